package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// In a list with blanks between fields, a fraction belongs to the number before it if the
// line has more fields than columns. A text in the last column may begin with a fraction.
func TestFractionsAmongBlanks(t *testing.T) {
	for _, c := range []struct {
		text string
		z    []float64 // inches, of the rod
		why  string
	}{
		{"pt x_ft y_ft rod_ft_in\n1  0  0  4-5 3/8\n2 10 0 4-5\n3 10 10 53 7/8\"\n4 0 10 4-6 1/64\n", []float64{53.375, 53, 53.875, 54 + 1./64}, ""},
		{"pt x_ft y_ft rod_ft_in note\n1 0 0 4-5 3/8 by the door\n2 10 0 4-5 1/2\n3 10 10 4-6 3/4 in the dip\n", []float64{53.375, 53.5, 54.75}, ""},
		{"pt x_ft y_ft rod_ft_in\n1 0 0 4-5 3/5\n2 10 0 4-5\n3 10 10 4-5\n", nil, `f.txt:2: found "3/5" past the last column`}, // not a fraction of a tape
	} {
		s, err := Read(strings.NewReader(c.text), "f.txt", survey.Options{Unit: unit.Foot})
		if c.why != "" {
			if err == nil || !strings.Contains(err.Error(), c.why) {
				t.Errorf("%q: %v, want %s", c.text, err, c.why)
			}
			continue
		}
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		for i, z := range c.z {
			if got := -s.Points[i].Z / 0.0254; got < z-1e-9 || got > z+1e-9 {
				t.Errorf("%q: rod %d is %g in, want %g", c.text, i+1, got, z)
			}
		}
	}
}
