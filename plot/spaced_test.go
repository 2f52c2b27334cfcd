package plot

import (
	"testing"

	"gonum.org/v1/plot/vg"
)

// On a telephone ten half inches have 18 pt each: 1 and 1 1/2 would read as 1 1 1/2.
func TestNumbersBelowTheBarDoNotRunTogether(t *testing.T) {
	texts := []string{"0", "1/2", "1", "1 1/2", "2", "2 1/2", "3", "3 1/2", "4", "4 1/2", "5"}
	for _, c := range []struct {
		pitch vg.Length
		want  int
	}{{60, 11}, {24, 11}, {18, 6}, {9, 6}, {4, 3}} {
		var all []numbered
		for i, text := range texts {
			all = append(all, numbered{c.pitch * vg.Length(i), 2.1 * vg.Length(len(text)), text})
		}
		got := spaced(all)
		if len(got) != c.want || got[0].text != "0" || got[len(got)-1].text != "5" {
			t.Errorf("%g pt apart: %v, want %d numbers from 0 to 5", c.pitch.Points(), got, c.want)
		}
	}
}
