package text

import (
	"fmt"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
)

// TestSetupColumnByValues: beside rod readings a column headed day, from, inst or
// position is the column of set-ups if its values repeat in runs, with a mean of three
// rows a value. Otherwise it is listed as not used.
func TestSetupColumnByValues(t *testing.T) {
	list := func(head, rod string, values ...string) string {
		text := "point,x (m),y (m)," + rod + "," + head + "\nBM1,,,1.200," + values[0] + "\n"
		for i, v := range values {
			text += fmt.Sprintf("P%d,%d,%d,1.500,%s\n", i, i%3, i/3, v)
		}
		return text
	}
	o := survey.Options{Benchmarks: map[string]float64{"BM1": 10}}
	const as = `read as the set-up of the instrument, as its values repeat in runs`
	const unused = `not used: column 5 `
	bm := "BM1,,,1.300,B\n"
	for _, c := range []struct{ name, text, want string }{
		{"day", list("day", "rod (m)", "A", "A", "B", "B", "B") + bm, as},
		{"from", list("From", "rod (m)", "A", "A", "B", "B", "B") + bm, as},
		{"inst", list("inst.", "rod (m)", "A", "A", "B", "B", "B") + bm, as},
		{"instr", list("Instr", "rod (m)", "A", "A", "B", "B", "B") + bm, as},
		{"position", list("Position", "rod (m)", "A", "A", "B", "B", "B") + bm, as},
		{"elevations", list("day", "z (m)", "A", "A", "B", "B", "B"), unused},
		{"one value", list("day", "rod (m)", "A", "A", "A", "A", "A"), unused},
		{"not in runs", list("day", "rod (m)", "A", "B", "A", "B", "A", "B"), unused},
		{"a value without a row", list("day", "rod (m)", "A", "A", "", "B", "B"), unused},
		{"fewer than three to a value", list("day", "rod (m)", "A", "A", "B", "B"), unused},
		{"another head", list("weather", "rod (m)", "A", "A", "B", "B", "B"), unused},
	} {
		s, err := read(t, c.text, o)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		t.Run(c.name, func(t *testing.T) { check.Notes(t, s.Notes, []string{c.want}) })
	}
	// By hand: 10.000 + 1.200 − 1.500 and 10.000 + 1.300 − 1.500.
	s, err := read(t, list("day", "rod (m)", "A", "A", "B", "B", "B")+bm, o)
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"P0", 0, 0, 9.7}, {"P1", 1, 0, 9.7}, {"P2", 2, 0, 9.8}, {"P3", 0, 1, 9.8}, {"P4", 1, 1, 9.8}}))
	// Without a tie the refusal names the column.
	_, err = read(t, list("day", "rod (m)", "A", "A", "B", "B", "B", "B"), o)
	if err == nil || !strings.Contains(err.(*survey.Error).Hint, `where column 5 "day" is not the set-up of the instrument, head it "note"`) {
		t.Errorf("%v, want a hint about the column", err)
	}
}
