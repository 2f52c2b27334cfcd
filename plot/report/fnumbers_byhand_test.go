package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/flatness"
	"pourplane/surface/job"
)

// zigzags writes runs of 16 readings 1 ft apart, from a corner of a square of 20 ft 2 ft inside its
// walls: five along and five across, 4 ft apart. Each rises by slope inches a foot, and every other
// reading is tooth inches higher.
func zigzags(b *bytes.Buffer, name string, x0, slope, tooth float64) {
	for k := range 10 {
		for i := range 16 {
			along, across := 2+float64(i), 2+4*float64(k%5)
			if k >= 5 {
				along, across = across, along
			}
			fmt.Fprintf(b, "%s%d,%g,%g,%.6f\n", name, k, x0+along, across, slope*float64(i)+tooth*float64(i%2))
		}
	}
}

// judgedRuns judges runs in a file with an outline.
func judgedRuns(t *testing.T, runs, outline string) *job.Judged {
	t.Helper()
	files := fstest.MapFS{"runs.csv": {Data: []byte("run,x (ft),y (ft),z (in)\n" + runs)}, "walls.csv": {Data: []byte("part,ring,x_ft,y_ft\n" + outline)}}
	j, err := job.Judge(&job.Job{Survey: job.Survey{Files: []string{"runs.csv"}, Outline: "walls.csv"}}, job.FlatOptions{LeastArea: job.LeastMark}, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	if j.Whole == nil {
		t.Fatalf("no F-numbers: %s", j.Why)
	}
	return j
}

// zigzagFF is FF of a zigzag of 16 readings by hand: 14 changes of slope of ±2 teeth, whose mean is
// 0 and whose standard deviation is 2·√(14/13) teeth; 4.57 in over three of them (ASTM E1155).
func zigzagFF(tooth float64) float64 { return 4.57 / (3 * 2 * math.Sqrt(14.0/13) * tooth) }

const westSquare = "west,outer,0,0\nwest,outer,20,0\nwest,outer,20,20\nwest,outer,0,20\n"

// By hand: 16 readings are 15 ft, and six of their differences over 10 ft are all ten times the
// slope: FL is 12.5 in over that (ASTM E1155). Lines of as many readings combine as the root of the
// mean square of their departures: teeth of 1 and 7 hundredths of an inch as one of 5, and so do
// slopes. The square of 400 ft² wants 2·√400 = 40 differences (the same, from memory) and has 60.
func TestFNumberRowsByHand(t *testing.T) {
	var runs bytes.Buffer
	zigzags(&runs, "A", 0, 0.01, 0.01)
	zigzags(&runs, "B", 0, -0.07, 0.07) // falls: FL is the same
	lines := strings.SplitAfter(runs.String(), "\n")
	// Of each, the runs along or across: five of A and five of B are in one square.
	j := judgedRuns(t, strings.Join(lines[:5*16], "")+strings.Join(lines[15*16:], ""), westSquare)
	rows := cellsOf(runTable(j.Whole, feet))
	if len(rows) != 10 {
		t.Fatalf("%d runs, want 10", len(rows))
	}
	for _, row := range rows {
		tooth, fl := 0.01, "125.0"
		if strings.HasPrefix(row[0], "B") {
			tooth, fl = 0.07, "17.9" // 12.5/0.7
		}
		if row[1] != "16" || row[2] != `15'-0"` || row[3] != fmt.Sprintf("%.1f", zigzagFF(tooth)) || row[4] != fl {
			t.Errorf("%q, by hand 16 readings, 15 ft, FF %.1f and FL %s", row, zigzagFF(tooth), fl)
		}
	}
	var text facts
	addRuns(j, &text, feet)
	// The squares 1 and 49 of five runs each have the mean 25, which has the standard error
	// √(10·24²/9/10) = 8. FF is known to half of 8/25 times 1.833, t at 95 % with 9 degrees of freedom.
	half := 0.16 * 1.833
	saidIn(t, text[0].Text, fmt.Sprintf("FF %.1f (%.1f to %.1f), FL 25.0; brackets: 90 %% interval", zigzagFF(0.05), (1-half)*zigzagFF(0.05), (1+half)*zigzagFF(0.05)))
	saidIn(t, text[1].Text, "90 % interval of FL not known: the runs do not differ")
	saidIn(t, fmt.Sprint(text), "not min of a section")
	var b bytes.Buffer
	printRuns(j, &b, feet)
	saidIn(t, b.String(), "Rules of sampling, west (60 differences of 40 wanted)\n", `met       at least 40 differences over 10'-0": 60 `, "met       section of at least 320 ft²: 400 ft²", `met       no side below 8'-0": 20'-0"`,
		`met       no run within 2'-0" of walls, openings, joints: 2'-0"`, `met       parallel runs at least 4'-0" apart: 4'-0"`)
	figuresIn(t, NewFlat(j), map[string]float64{"section.ff": zigzagFF(0.05), "section.fl": 25, "section.area_m2": 400 * 0.3048 * 0.3048, "section.readings": 60, "section.readings_required": 40,
		"runs.0.readings": 16, "runs.0.step_m": 0.3048, "runs.0.ff": zigzagFF(0.01), "runs.0.fl": 125, "runs.9.ff": zigzagFF(0.07), "runs.9.fl": 12.5 / 0.7})
}

// By hand: sections combine by their areas (ASTM E1155). Teeth of 5 hundredths of an inch on 400 ft²
// and of 1 on 800 are as one of 3 on all, √((25 + 2·1)/3), and slopes likewise. Of the classes of ACI
// 117-10 conventional, 20 and 15, is kept, with three fifths of that in each section; of moderately
// flat, 25 and 20, FL is kept and FF is not.
func TestSectionsOfFNumbersByHand(t *testing.T) {
	var runs bytes.Buffer
	zigzags(&runs, "W", 0, 0.05, 0.05)
	zigzags(&runs, "E", 20, 0.01, 0.01)
	j := judgedRuns(t, runs.String(), westSquare+"east,outer,20,0\neast,outer,60,0\neast,outer,60,20\neast,outer,20,20\n")
	whole, local := zigzagFF(0.03), zigzagFF(0.05)
	var text facts
	addRuns(j, &text, feet)
	saidIn(t, fmt.Sprint(text), fmt.Sprintf("FF %.1f, FL 41.7", whole), "of FF and FL not known: the runs do not differ", fmt.Sprintf("min of a section: FF %.1f (west), FL 25.0 (west)", local))
	figuresIn(t, NewFlat(j), map[string]float64{"section.ff": whole, "section.fl": 12.5 / 0.3, "section.local_ff": local, "section.local_fl": 25, "section.area_m2": 1200 * 0.3048 * 0.3048, "section.readings": 120,
		"sections.0.readings_required": 40, "sections.1.readings_required": 57, "section.readings_required": 97}) // 2·√800 = 56.6
	seen := 0
	for _, c := range NewFlat(j).Classes {
		want, ok := map[string]struct {
			limit, measured float64
			pass            bool
		}{
			"aci117-conventional FF overall": {20, whole, true}, "aci117-conventional FL overall": {15, 12.5 / 0.3, true}, "aci117-conventional local FF": {12, local, true}, "aci117-conventional local FL": {9, 25, true},
			"aci117-moderate FF overall": {25, whole, false}, "aci117-moderate FL overall": {20, 12.5 / 0.3, true}, "aci117-moderate local FF": {15, local, true}, // 14.7 is 15 in whole numbers
			"aci117-very-flat FL overall": {35, 12.5 / 0.3, true}, "aci117-super-flat local FL": {24, 25, true}, "aci117-super-flat local FF": {36, local, false},
		}[c.Name+" "+c.Measure]
		if !ok {
			continue
		}
		if seen++; c.Limit == nil || c.Measured == nil || c.Pass == nil || math.Abs(*c.Limit-want.limit) > 1e-9 || math.Abs(*c.Measured-want.measured) > 1e-6 || *c.Pass != want.pass {
			data, err := json.Marshal(c)
			t.Errorf("%s, by hand %+v (%v)", data, want, err)
		}
	}
	if seen != 10 {
		t.Errorf("%d classes, want 10", seen)
	}
	all, _ := rulings(j, feet)
	for name, want := range map[string]string{"aci117-conventional": "pass", "aci117-moderate": "fail"} {
		i := slices.IndexFunc(all, func(r ruling) bool { return slices.Contains(strings.Split(r.name, ", "), name) })
		if i < 0 || all[i].outcome != want {
			t.Errorf("%s: no %s in %+v", name, want, all)
			continue
		}
		if name == "aci117-moderate" {
			saidIn(t, strings.Join(all[i].parts, "; "), fmt.Sprintf("FAIL FF %.1f, min 25", whole), "FL 41.7, min 20", fmt.Sprintf("local FF %.1f, min 15", local), "local FL 25, min 12")
		}
	}
}

// By hand: a floor of 60 × 40 ft, 2400 ft², wants a difference for each 30 of them, 80 (ASTM E1155,
// from memory). An even slope has no departure for FF, and a level one none for FL.
func TestRunsWithoutDepartureByHand(t *testing.T) {
	var runs bytes.Buffer
	zigzags(&runs, "A", 0, 0.05, 0)
	j := judgedRuns(t, runs.String(), "hall,outer,0,0\nhall,outer,60,0\nhall,outer,60,40\nhall,outer,0,40\n")
	for _, row := range cellsOf(runTable(j.Whole, feet)) {
		if row[3] != "no departure" || row[4] != "25.0" {
			t.Errorf("%q, by hand no departure and FL 25.0", row)
		}
	}
	figuresIn(t, NewFlat(j), map[string]float64{"section.readings_required": 80, "section.fl": 25})
	if one, run := NewFlat(j).Section, NewFlat(j).Runs[0]; !one.Infinite || one.Level || !run.Infinite || run.Level {
		t.Errorf("FF without departure %t, %t, FL %t, %t, by hand FF alone", one.Infinite, run.Infinite, one.Level, run.Level)
	}
	runs.Reset()
	zigzags(&runs, "A", 0, 0, 0.05)
	j = judgedRuns(t, runs.String(), westSquare)
	if f := j.Whole.FL; !f.Infinite() {
		t.Errorf("FL %s of runs that are level over 10 ft", f)
	}
	for _, v := range j.Verdicts {
		if v.Row.Kind == flatness.ByFL && v.Outcome != flatness.Pass {
			t.Errorf("%s: %v of a floor without departure", v.Row.Name, v.Outcome)
		}
	}
}

// Lines of 16 and of 30 readings combine by the rule of the standard for two,
// F_j·F_k·√[(r_j + r_k)/(r_k·F_j² + r_j·F_k²)] (ASTM E1155, from memory), with 14 and 28 changes of
// slope and with 6 and 20 differences over 10 ft.
func TestLinesOfUnequalLengthByHand(t *testing.T) {
	var runs bytes.Buffer
	zigzag := func(name string, n int, slope, tooth float64) {
		for i := range n {
			fmt.Fprintf(&runs, "%s,%d,%.6f\n", name, i, slope*float64(i)+tooth*float64(i%2))
		}
	}
	zigzag("A", 16, 0.02, 0.05)
	zigzag("B", 30, -0.06, 0.02)
	files := fstest.MapFS{"runs.csv": {Data: []byte("run,station (ft),z (in)\n" + runs.String())}}
	j, err := job.Judge(&job.Job{Survey: job.Survey{Files: []string{"runs.csv"}}}, job.FlatOptions{LeastArea: job.LeastMark}, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	both := func(f, r, g, s float64) float64 { return f * g * math.Sqrt((r+s)/(s*f*f+r*g*g)) }
	figuresIn(t, NewFlat(j), map[string]float64{"section.ff": both(zigzagFF(0.05), 14, 4.57/(3*2*math.Sqrt(28.0/27)*0.02), 28), "section.fl": both(12.5/0.2, 6, 12.5/0.6, 20), "section.readings": 26})
	if rows := cellsOf(runTable(j.Whole, feet)); rows[1][1] != "30" || rows[1][2] != `29'-0"` || rows[1][4] != "20.8" {
		t.Errorf("%q, by hand 30 readings, 29 ft and FL 20.8", rows[1])
	}
}
