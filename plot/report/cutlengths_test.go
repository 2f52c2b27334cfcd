package report

import (
	"math"
	"strings"
	"testing"

	"pourplane/survey/unit"
)

// A bar is cut to the length printed: a whole step of the tape, rounded down so that its ends
// keep their cover. Two bars beside the column of the demo, 2.3665 m long, were printed
// 7'-9 3/16", longer than they are.
func TestCutLengthsAreAsPrinted(t *testing.T) {
	h := hall(t)
	list := h.cutTable()
	for i, c := range h.Bars.Cuts {
		row := list.Rows[i]
		printed, err := unit.Parse(row[2].Text, unit.Metre)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(printed-c.Length) > 1e-9 {
			t.Errorf("%s: printed %s, which is %.4f m; the plan has %.4f m", c.Mark, row[2].Text, printed, c.Length)
		}
		if !strings.HasSuffix(row[3].Text, " ft") {
			if all, err := unit.Parse(row[3].Text, unit.Metre); err != nil || math.Abs(all-float64(c.Count)*printed) > 1e-9 {
				t.Errorf("%s: %d of %s are printed %s together", c.Mark, c.Count, row[2].Text, row[3].Text)
			}
		}
	}
}
