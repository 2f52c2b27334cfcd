package report

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/job"
)

// A crew's list of ten shots with a benchmark that has no place, and one rod a foot off: its
// pages say where the benchmark is and which shot to read again. A code in the column of
// notes is no remark.
func TestCrewPagesOfAFewShots(t *testing.T) {
	t.Parallel()
	for _, head := range []string{"Notes", "remarks"} {
		files := fstest.MapFS{
			"porch.csv": {Data: []byte("No.,E (ft),N (ft),Rod (ft-in)," + head + "\nBM,,,4'-6\",corner of hearth\nD1,0,5,4'-5 1/4\",ADJ\n" +
				"1,1,1,4'-8 1/2\",\n2,5,1,4'-9\",\n3,9,1,4'-8 1/2\",\n4,1,5,4'-8 3/4\",\n5,5,5,4'-9 1/4\",\n6,9,5,4'-9\",\n7,1,9,4'-8 1/2\",\n8,5,9,4'-9\",\n9,9,9,5'-8 3/4\",\n")},
			"walls.csv": {Data: []byte("x (ft),y (ft)\n0,0\n10,0\n10,10\n0,10\n")},
		}
		j, err := job.Parse([]byte("title = \"Porch\"\ndate = 2026-11-28\n[survey]\nfiles = [\"porch.csv\"]\noutline = \"walls.csv\"\nbenchmarks = { BM = \"100ft\" }\n[target]\nfinish-codes = [\"ADJ\"]\nbuildup = \"9/16in\"\n"), "job.toml")
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
		for name, text := range map[string]string{"wall": strings.Join(h.wall().Sections[0].Text, "\n"), "customer": strings.Join(h.customer().Sections[0].Text, "\n")} {
			if !strings.Contains(text, "1 reading in doubt: shot 9 (if wrong, ") || !strings.Contains(text, "Read again") {
				t.Errorf("%s: %s page does not name the shot:\n%s", head, name, text)
			}
			if strings.Contains(text, "ADJ (D1)") {
				t.Errorf("%s: %s page takes a code for a remark:\n%s", head, name, text)
			}
		}
		if text := strings.Join(h.benchmarkTexts(), "\n"); text != "BM, 100.000 ft: corner of hearth." {
			t.Errorf("%s: benchmark %q", head, text)
		}
		if rows := h.remarkTable().Rows; len(rows) != 0 {
			t.Errorf("%s: remarks %v", head, rows)
		}
	}
}
