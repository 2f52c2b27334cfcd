package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
)

// TestReadingOnBenchmarkIsBacksight: a list with a column of set-ups has no kinds of
// sight. A reading on a benchmark of given elevation ties its set-up like a backsight. A
// reading on a point that another set-up has read does not. Heights by hand: 10.000 +
// 1.200 and 10.000 + 1.300, and by T: 11.200 − 1.400 + 1.600.
func TestReadingOnBenchmarkIsBacksight(t *testing.T) {
	const first = "setup,point,x (m),y (m),rod (m)\nS1,BM1,,,1.200\nS1,A,0,0,1.5\nS1,B,4,0,1.5\nS1,T,4,4,1.400\n"
	mustRead := func(text string) *survey.Survey {
		s, err := read(t, text, survey.Options{Benchmarks: map[string]float64{"BM1": 10}})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	s := mustRead(first + "S2,BM1,,,1.300\nS2,C,0,4,1.6\n")
	check.Notes(t, s.Notes, []string{"set-up S1: height of instrument 11.200 m", "set-up S2: height of instrument 11.300 m"})
	for _, n := range s.Notes {
		if strings.Contains(n.Text.String(), "backsight") {
			t.Errorf("%s", n.Text)
		}
	}
	s = mustRead(first + "S2,T,,,1.600\nS2,C,0,4,1.6\n")
	check.Notes(t, s.Notes, []string{"set-up S2: no backsight on a point that is known; tied by points seen from other set-ups as well: T, one tie, which nothing checks", "set-up S2: height of instrument 11.400 m"})
	s = mustRead(first + "S2,BM1,,,1.300\nS2,T,,,1.500\nS2,C,0,4,1.6\n")
	check.Notes(t, s.Notes, []string{"set-up S2: tied by a benchmark and by points seen from other set-ups as well: BM1 no difference, T no difference; the mean is used"})
}
