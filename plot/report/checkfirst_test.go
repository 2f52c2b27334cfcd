package report

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/job"
)

// The crew's pages give the rod on the doors that the target is taken from against that on the
// benchmark: by hand 4-6 less 4-5 1/4 is 3/4 in above it, and 4-6 1/2 is 1/2 in below. A level
// book that closes 3/8 in high and is accepted warns that the target may be too high by as much.
func TestCrewPagesCheckTheDoorsFirst(t *testing.T) {
	t.Parallel()
	for _, close := range []string{"", "BM,,,4'-5 5/8\",\n"} {
		files := fstest.MapFS{
			"porch.csv": {Data: []byte("No.,E (ft),N (ft),Rod (ft-in),code\nBM,,,4'-6\",\nD1,0,5,4'-5 1/4\",ADJ\nD2,10,5,4'-6 1/2\",ADJ\n" +
				"1,1,1,4'-8 1/2\",\n2,5,1,4'-9\",\n3,9,1,4'-8 1/2\",\n4,1,5,4'-8 3/4\",\n5,5,5,4'-9 1/4\",\n6,9,5,4'-9\",\n7,1,9,4'-8 1/2\",\n8,5,9,4'-9\",\n9,9,9,4'-8 3/4\",\n" + close)},
			"walls.csv": {Data: []byte("x (ft),y (ft)\n0,0\n10,0\n10,10\n0,10\n")},
		}
		j, err := job.Parse([]byte("title = \"Porch\"\ndate = 2026-11-28\n[survey]\nfiles = [\"porch.csv\"]\noutline = \"walls.csv\"\naccept-misclosure = "+map[bool]string{true: "true", false: "false"}[close != ""]+"\nbenchmarks = { BM = \"100ft\" }\n[target]\nfinish-codes = [\"ADJ\"]\nbuildup = \"9/16in\"\n[pins]\nspacing = \"4ft\"\n"), "job.toml")
		if err != nil {
			t.Fatal(err)
		}
		r, err := job.Solve(context.Background(), j, files, nil)
		if err != nil {
			t.Fatal(err)
		}
		h, err := NewHandover(r, StyleOf(r))
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Join(h.wall().Sections[0].Text, "\n")
		if want := "Check first: rod on D1 = BM − 3/4\", on D2 = BM + 1/2\"; if not, stop and ask."; !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
		const closes = "The level book closes 3/8\" high on BM: shots late in the set-up may be up to 3/8\" too high. The target is taken from D1, D2: from one read late, it may be too high by as much."
		if got := strings.Contains(text, closes); got != (close != "") {
			t.Errorf("closing row %q: %v of the misclosure in\n%s", close, got, text)
		}
	}
}
