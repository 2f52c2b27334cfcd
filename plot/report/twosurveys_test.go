package report

import (
	"strings"
	"testing"
)

// The demo's record has two surveys: it says which one each spacing is of, which file the floor
// after the pour is from, and what a straightedge may show.
func TestEachSurveyIsNamed(t *testing.T) {
	h := hall(t)
	if got, want := h.spacings(), `3'-11 5/8" apart before the pour, check shots after it 4'-5 7/16" apart on 95 % of the floor`; got != want {
		t.Errorf("spacings %q, want %q", got, want)
	}
	var first string
	for _, text := range h.summarySection(true).Text {
		if strings.HasPrefix(text, "After the pour") {
			first = text
		}
	}
	if want := "After the pour (check.csv, its date not given): "; !strings.HasPrefix(first, want) || !strings.Contains(first, `(check shots 4'-5 7/16" apart, too far)`) {
		t.Errorf("page 1 has %q, want %q and the check shots", first, want)
	}
	limit := ""
	for _, r := range flatRows(h.Judged, h.Style, true) {
		if r.Head == "Straightedge" {
			limit = r.Text
		}
	}
	if !strings.HasSuffix(limit, `; limit 1/4" (tile)`) {
		t.Errorf("straightedge %q, want the limit of the rule asked for", limit)
	}
	if got := edgeLimits(h.Judged, 1.8288, h.Style); !strings.Contains(got, "no limit is given for this length: flatness.house-rules gives one") {
		t.Errorf("a straightedge of 6 ft: %q", got)
	}
}
