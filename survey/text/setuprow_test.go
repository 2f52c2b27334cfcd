package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// A row with only the name of a set-up heads the rows below it that name none. One that they
// contradict is left out with a note. A sight from a set-up without a backsight is refused: its
// height of instrument is not known.
func TestRowWithOnlyASetup(t *testing.T) {
	const sights = "setup,sight,point,x (m),y (m),rod (m)\n"
	const wide = "setup,point,x (m),y (m),BS (m),IS (m),FS (m)\n"
	o := survey.Options{Benchmarks: map[string]float64{"BM": 10}}
	read := func(text string) (*survey.Survey, error) { return readText([]byte(text), "a.csv", o, false) }
	for _, c := range []struct{ text, want string }{
		{sights + "A,BS,BM,,,1.2\n,IS,1,0,0,1.3\nB,,,,,\n,IS,2,4,0,1.5\n", "a.csv:5: set-up B: found no backsight"},
		{wide + "A,BM,,,1.2,,\nA,1,0,0,,1.3,\nB,,,,,,\n,2,4,0,,1.5,\n", "a.csv:5: found a sight from set-up B, where the last backsight is from A"},
		{wide + "A,BM,,,1.2,,\nA,1,0,0,,1.3,\nB,2,4,0,,1.5,\n", "a.csv:4: found a sight from set-up B, where the last backsight is from A"},
	} {
		if _, err := read(c.text); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s%v\nwant %s", c.text, err, c.want)
		}
	}
	s, err := read(sights + "A,,,,,\n,BS,BM,,,1.2\n,IS,1,0,0,1.3\n,FS,TP,,,1.4\nB,,,,,\n,BS,TP,,,1.5\n,IS,2,4,0,1.5\n")
	if err != nil || len(s.Book.Setups) != 2 || s.Book.Setups[0].Name != "A" || s.Book.Setups[1].Name != "B" {
		t.Errorf("%+v, %v; want the set-ups A and B", s, err)
	}
	s, err = read(sights + "A,BS,BM,,,1.2\nB,,,,,\nA,IS,1,0,0,1.3\nA,IS,2,4,0,1.3\nC,,,,,\n")
	if err != nil {
		t.Fatal(err)
	}
	var left []string
	for _, n := range s.Notes {
		if n.Kind == survey.LeftOut {
			left = append(left, n.In(unit.Style{}))
		}
	}
	if got := strings.Join(left, "; "); got != `a.csv:3: "B": a set-up with no sight of its own below it; a.csv:6: "C": a set-up with no sight of its own below it` {
		t.Errorf("left out: %s", got)
	}
	// The row of a turning point in a book with columns may have the name of either set-up.
	for _, name := range []string{"A", "B"} {
		if s, err := read(wide + "A,BM,,,1.2,,\nA,1,0,0,,1.3,\n" + name + ",TP,,,1.5,,1.4\nB,2,4,0,,1.5,\n"); err != nil || len(s.Book.Setups) != 2 {
			t.Errorf("%v", err)
		}
	}
}
