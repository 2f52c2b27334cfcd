package job

import (
	"fmt"
	"io/fs"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/survey"
)

// judged judges a floor as the command flatness does.
func judged(t *testing.T, j *Job, o FlatOptions, files fs.FS) *Judged {
	t.Helper()
	got, err := Judge(j, o, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// unjudged returns the refusal of a judgement.
func unjudged(t *testing.T, j *Job, o FlatOptions, files fs.FS) string {
	t.Helper()
	got, err := Judge(j, o, files, nil)
	if err == nil || got != nil {
		t.Fatalf("not refused: %+v", o)
	}
	return hinted(err)
}

// runsOf writes runs of readings at a step, in inches, on lines 1 ft apart.
func runsOf(step float64, runs ...[]float64) fstest.MapFS {
	text := "run,station (in),reading (in)\n"
	for i, run := range runs {
		for k, z := range run {
			text += fmt.Sprintf("%c,%g,%.4f\n", 'A'+i, float64(k)*step, z)
		}
	}
	return fstest.MapFS{"lines.csv": {Data: []byte(text)}}
}

var onlyLines = &Job{Survey: Survey{Files: []string{"lines.csv"}}}

// F-numbers of two lines in inches by the formulas of ASTM E1155, computed elsewhere
// (python and R): FF 37.4199 and FL 43.8438 of one, 33.0444 and 52.1488 of the other,
// 34.7051 and 48.7059 together. Readings are elevations here; the sign of a line does
// not change its spread.
func TestFNumbersOfRuns(t *testing.T) {
	t.Parallel()
	a := []float64{0, .05, .12, .10, .06, .02, .03, .09, .15, .18, .16, .11, .07, .04, .06, .10}
	b := []float64{0, .03, .01, -.04, -.02, .05, .08, .04, -.01, -.06, -.05, 0, .06, .07, .03, -.02, -.03, .02, .06, .05, .01}
	for _, c := range []struct {
		name   string
		runs   [][]float64
		ff, fl float64
	}{{"A", [][]float64{a}, 37.4199, 43.8438}, {"B", [][]float64{b}, 33.0444, 52.1488}, {"A and B", [][]float64{a, b}, 34.7051, 48.7059}} {
		j := judged(t, onlyLines, FlatOptions{LeastArea: LeastMark}, runsOf(12, c.runs...))
		if j.Whole == nil {
			t.Errorf("%s: no F-numbers: %s", c.name, j.Why)
			continue
		}
		isWithin(t, c.name+": FF", float64(j.Whole.FF), c.ff, 0.0002)
		isWithin(t, c.name+": FL", float64(j.Whole.FL), c.fl, 0.0002)
		if j.Floor != nil || j.LaidOut || len(j.Runs) != len(c.runs) {
			t.Errorf("%s: a floor %v, laid out %v, %d runs", c.name, j.Floor != nil, j.LaidOut, len(j.Runs))
		}
	}
}

// Simple lines: an even slope of 0.01 in a foot has no curvature, and FL 12.5/0.1. A
// line of 11 readings gets no F-number (ASTM E1155 needs 12).
func TestFNumbersOfPlainRuns(t *testing.T) {
	t.Parallel()
	slope := func(n int) (out []float64) {
		for i := range n {
			out = append(out, 0.01*float64(i))
		}
		return out
	}
	j := judged(t, onlyLines, FlatOptions{LeastArea: LeastMark}, runsOf(12, slope(21)))
	if j.Whole == nil || !math.IsInf(float64(j.Whole.FF), 1) && float64(j.Whole.FF) < 1e6 {
		t.Fatalf("%+v", j.Whole)
	}
	isWithin(t, "FL of an even slope", float64(j.Whole.FL), 125, 1e-6)
	if j = judged(t, onlyLines, FlatOptions{LeastArea: LeastMark}, runsOf(12, slope(11))); j.Whole != nil || j.Why.String() == "" {
		t.Errorf("11 readings: %+v, %q", j.Whole, j.Why)
	}
}

// Without a target a floor is compared with its own plane: a tilt is no departure, a
// hump of 6 mm in the middle is.
func TestPlaneOfItsOwn(t *testing.T) {
	t.Parallel()
	j := &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}}
	tilted := fstest.MapFS{"floor.csv": grid(9, 7, func(x, y float64) float64 { return 10 + 0.004*x - 0.003*y }), "walls.csv": walls(8, 6)}
	got := judged(t, j, FlatOptions{LeastArea: LeastMark}, tilted)
	if !got.Fitted {
		t.Error("not fitted")
	}
	isWithin(t, "slope to the east", got.Target.(surface.Plane).SlopeX, 0.004, 1e-9)
	isWithin(t, "slope to the north", got.Target.(surface.Plane).SlopeY, -0.003, 1e-9)
	isWithin(t, "highest", got.Off.Highest, 0, 1e-9)
	near(t, "within", got.Off.Within, 1)
	// Compared with a target, the tilt of the same floor is a departure.
	aimedAt := *j
	aimedAt.Target.Elevation = "10m"
	got = judged(t, &aimedAt, FlatOptions{LeastArea: LeastMark}, tilted)
	if got.Fitted {
		t.Error("fitted, want the target")
	}
	isWithin(t, "highest above the target", got.Off.Highest, 0.032, 1e-9)
	isWithin(t, "lowest below the target", got.Off.Lowest, -0.018, 1e-9)
}

// The volume placed between two surveys given to the command: 20 mm over 48 m².
func TestPlacedBetweenTwoSurveys(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"before.csv": levelShots(9.98, 9, 7), "after.csv": levelShots(10, 9, 7), "walls.csv": walls(8, 6)}
	j := &Job{Survey: Survey{Files: []string{"after.csv"}, Outline: "walls.csv"}, Flatness: Flatness{Ordered: "1m3"}}
	got := judged(t, j, FlatOptions{Before: "before.csv", LeastArea: LeastMark}, files)
	near(t, "placed", got.Placed.Net, 0.96)
	near(t, "remainder", got.Placed.Remainder, 0.04)
	if text := unjudged(t, &Job{Survey: Survey{Files: []string{"after.csv"}, Outline: "walls.csv"}}, FlatOptions{Before: "after.csv"}, files); !strings.Contains(text, "the survey after the pour is the same as before") {
		t.Errorf("%s", text)
	}
}

// Options without a use in a judgement are refused by name.
func TestJudgementsThatMeanNothing(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"floor.csv": levelShots(10, 9, 7), "walls.csv": walls(8, 6)}
	lines := runsOf(12, make([]float64, 20))
	floor := func(change func(*Job)) *Job {
		j := &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}}
		change(j)
		return j
	}
	none := func(*Job) {}
	for _, c := range []struct {
		job   *Job
		o     FlatOptions
		files fs.FS
		want  string
	}{
		{floor(none), FlatOptions{Runs: "mine"}, files, "want from-file or laid-out"},
		{floor(none), FlatOptions{Runs: "from-file"}, files, "no runs"},
		{floor(none), FlatOptions{LeastArea: -1}, files, "found -1, want 0 or more"},
		{floor(none), FlatOptions{LeastArea: math.NaN()}, files, "want 0 or more"},
		{floor(func(j *Job) { j.Flatness.Ordered = "5m3" }), FlatOptions{}, files, "before"},
		{floor(func(j *Job) { j.Flatness.Rules = []string{"none"} }), FlatOptions{}, files, "rule"},
		{floor(func(j *Job) { j.Flatness.Tolerance = "0mm" }), FlatOptions{}, files, "tolerance"},
		{floor(func(j *Job) { j.Flatness.Straightedges = []string{"0m"} }), FlatOptions{}, files, "straightedge"},
		{floor(func(j *Job) { j.Flatness.BagYield = "much" }), FlatOptions{}, files, "bag-yield"},
		{floor(func(j *Job) { j.Target.Buildup = "10mm" }), FlatOptions{}, files, "buildup"},
		{floor(func(j *Job) { j.Target.Covering = "10mm" }), FlatOptions{}, files, "covering"},
		{onlyLines, FlatOptions{Runs: "laid-out"}, lines, "runs and no surface"},
		{&Job{Survey: onlyLines.Survey, Target: Target{Elevation: "1m"}}, FlatOptions{}, lines, "runs and no surface"},
		{&Job{Survey: onlyLines.Survey, Flatness: Flatness{Tolerance: "3mm"}}, FlatOptions{LeastArea: LeastMark}, lines, "tolerance"},
	} {
		if text := unjudged(t, c.job, c.o, c.files); !strings.Contains(text, c.want) {
			t.Errorf("%+v: %s\nwant %s", c.o, text, c.want)
		}
	}
}

// Every published rule can be asked for by name, and every one is compared with a floor
// without an error.
func TestEveryRuleIsHeld(t *testing.T) {
	t.Parallel()
	names := RuleNames()
	if len(names) < 20 {
		t.Errorf("%d rules", len(names))
	}
	seen := map[string]bool{}
	for _, n := range names {
		if seen[n] || n == "" || strings.Contains(n, " ") {
			t.Errorf("rule %q", n)
		}
		seen[n] = true
	}
	files := fstest.MapFS{"floor.csv": grid(17, 13, flat(10)), "walls.csv": walls(16, 12)}
	j := &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}, Target: Target{Elevation: "10m"}, Flatness: Flatness{Rules: names}}
	got := judged(t, j, FlatOptions{LeastArea: LeastMark}, files)
	of := map[string]int{}
	for _, v := range got.Verdicts {
		of[v.Row.Name]++
		if v.Outcome == flatness.Fail {
			t.Errorf("a dead level floor fails %s: %+v", v.Row.Name, v)
		}
		if v.Row.Source == "" || v.Row.Known == "" || v.Row.Edition == "" {
			t.Errorf("%s has no source: %+v", v.Row.Name, v.Row)
		}
	}
	for _, n := range names {
		if of[n] == 0 && !strings.Contains(n, "threshold") && n != "ada" {
			t.Errorf("no verdict of %s", n)
		}
	}
}

// Departures depend neither on the origin nor on the order of rows.
func TestJudgementDoesNotDependOnTheOrigin(t *testing.T) {
	t.Parallel()
	z := func(x, y float64) float64 { return 10 + 0.003*math.Sin(x)*math.Cos(0.7*y) }
	at := func(dx, dy float64) *Judged {
		var shots [][3]float64
		for _, p := range onGrid(8, 6, 1, z) {
			shots = append([][3]float64{{p[0] + dx, p[1] + dy, p[2]}}, shots...)
		}
		files := floorOfShots(shots, outlineOf(rectangle(dx, dy, 8, 6)))
		return judged(t, &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}}, FlatOptions{LeastArea: LeastMark}, files)
	}
	a, b := at(0, 0), at(4000.25, -700.5)
	isWithin(t, "RMS", b.Off.RMS, a.Off.RMS, 1e-10)
	isWithin(t, "highest", b.Off.Highest, a.Off.Highest, 1e-9)
	isWithin(t, "gap", b.Edges[0].Gap, a.Edges[0].Gap, 1e-8)
	if len(a.Notes) == 0 || len(a.Notes) != len(b.Notes) {
		t.Errorf("%d notes, then %d", len(a.Notes), len(b.Notes))
	}
	for _, n := range a.Notes {
		if n.Kind == survey.Caution && strings.TrimSpace(n.In(styleOf(a))) == "" {
			t.Error("an empty caution")
		}
	}
}
