package report

import (
	"strings"
	"testing"
	"testing/fstest"
)

// A price with a reading in doubt is no offer: the order may change once it is read again.
func TestNoOfferWithAReadingInDoubt(t *testing.T) {
	files := fstest.MapFS{}
	for name, text := range garage("price-per-yd3 = 160.0\n[mix]\ncurrency = \"dollars\"\n") {
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	_, text, _ := strings.Cut(string(files["job.toml"].Data), "[survey]")
	h := ranOn(t, "[survey]"+text, files).h
	if len(h.Blunders) != 1 {
		t.Fatalf("%d readings in doubt, want 1", len(h.Blunders))
	}
	s := h.customer().Sections[0]
	if f := s.Figures[0]; f.Value != "not an offer" || !strings.HasPrefix(f.Name, "1 reading in doubt, to be read again first; ") {
		t.Errorf("%q, %q", f.Value, f.Name)
	}
	if got := s.Tables[0].Title; got != "Price of the job, not an offer" {
		t.Error(got)
	}
	if s.Lines[0] != "Agreed: level, depth and weight; not a price" {
		t.Error(s.Lines[0])
	}
}
