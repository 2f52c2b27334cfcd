package job

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/survey"
)

const planRoom = "x_m,y_m\n0,0\n8,0\n8,6\n0,6\n"

func plan(outline string, asked PlanOptions, set func(*Job)) (*Planned, error) {
	j := &Job{Survey: Survey{Files: []string{"walls.csv"}}}
	if set != nil {
		set(j)
	}
	return Planning(j, asked, fstest.MapFS{"walls.csv": {Data: []byte(outline)}}, nil)
}

// The widest spacing that is sure enough is taken: each wider one that was tried is not.
func TestPlanTakesTheWidestGrid(t *testing.T) {
	for _, want := range []string{"0.1m3", "0.12m3", "0.2m3", "2mm", "4mm", "0.15yd3"} {
		p, err := plan(planRoom, PlanOptions{Want: want}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if In90(p.SD.Total) > p.Want {
			t.Errorf("%s: ±%.4f m³ with %g m", want, In90(p.SD.Total), p.Spacing)
		}
		for _, h := range gridSpacings[0] {
			if h <= p.Spacing || h > 4 {
				continue
			}
			wider, err := plan(planRoom, PlanOptions{Spacing: unitText(h)}, nil)
			if err != nil {
				t.Fatal(err)
			}
			if In90(wider.SD.Total) <= p.Want {
				t.Errorf("%s: %g m is taken, but ±%.4f m³ is given by %g m", want, p.Spacing, In90(wider.SD.Total), h)
			}
		}
	}
}

// What read calls enough is what plan takes for the same ±, without the error of the set-up.
func TestEnoughShotsAreThosePlanned(t *testing.T) {
	for _, us := range []bool{false, true} {
		want := "1mm"
		if us {
			want = "1/16in"
		}
		for _, area := range []float64{10, 30, 100, 1000} {
			mean := 0.0
			for _, ratio := range []float64{1, 8. / 5} {
				w, h := math.Sqrt(area*ratio), math.Sqrt(area/ratio)
				p, err := plan(fmt.Sprintf("x_m,y_m\n0,0\n%.3f,0\n%.3f,%.3f\n0,%.3f\n", w, w, h, h), PlanOptions{Want: want}, func(j *Job) { j.Survey.ReadingSD, j.Survey.SetupSD = "1mm", "0mm" })
				if err != nil {
					t.Fatal(err)
				}
				mean += float64(p.Shots) / 2
			}
			if got := surface.EnoughShots(area, us); math.Abs(got-mean) > 0.5 {
				t.Errorf("%s on %g m²: %g shots are enough, %g are planned on average", want, area, got, mean)
			}
		}
	}
}

func unitText(m float64) string { return strconv.FormatFloat(m, 'f', 2, 64) + "m" }

// A depth that is wanted is that of the whole floor; the parts are those of a sum.
func TestPlanParts(t *testing.T) {
	p, err := plan(planRoom, PlanOptions{Want: "3mm"}, func(j *Job) { j.Survey.ReadingSD, j.Survey.SetupSD = "2mm", "0.5mm" })
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(p.Want-0.003*48) > 1e-12 || math.Abs(p.Area-48) > 1e-9 {
		t.Errorf("want %g m³ over %g m²", p.Want, p.Area)
	}
	// The set-up error moves all of the floor; readings on as many equal shares of it give
	// their error divided by the root of their number, and unequal ones more.
	if math.Abs(p.SD.Setup-0.0005*48) > 1e-9 {
		t.Errorf("set-up %g m³", p.SD.Setup)
	}
	if least := 0.002 * 48 / math.Sqrt(float64(p.Shots)); p.SD.Reading < least || p.SD.Reading > 1.5*least {
		t.Errorf("reading %g m³, want %g m³ or a little more", p.SD.Reading, least)
	}
	if sum := math.Sqrt(p.SD.Reading*p.SD.Reading + p.SD.Setup*p.SD.Setup + p.SD.Sampling*p.SD.Sampling + p.SD.Walls*p.SD.Walls); math.Abs(sum-p.SD.Total) > 1e-12 {
		t.Errorf("total %g m³ of %+v", p.SD.Total, p.SD)
	}
	kinds := map[string]float64{}
	for _, kind := range FloorKindNames() {
		p, err := plan(planRoom, PlanOptions{Spacing: "2m", Floor: kind}, nil)
		if err != nil {
			t.Fatal(err)
		}
		kinds[kind] = p.SD.Sampling
	}
	if !(kinds["even"] < kinds["usual"] && kinds["usual"] < kinds["rough"]) {
		t.Errorf("between shots %v", kinds)
	}
}

// How far apart lines are is what the sheet has, between walls that face each other: counted here
// from the shots. No grid of as many shots as another is listed.
func TestPlanSaysHowFarApart(t *testing.T) {
	const aU = "x_m,y_m\n0,0\n9,0\n9,6\n6,6\n6,2\n3,2\n3,6\n0,6\n" // 3 m wide all round but 2 m at the bottom
	for _, c := range []struct {
		outline, spacing string
		columns, rows    float64 // by hand
	}{
		{planRoom, "3m", 3, 2.9},                             // columns 0.1, 3, 6, 7.9; rows 0.1, 3, 5.9
		{"x_m,y_m\n0,0\n8,0\n8,4\n0,4\n", "3m", 3, 1.9},      // rows 0.1, 2, 3.9
		{"x_m,y_m\n0,0\n8,0\n8,4\n0,4\n", "2.5m", 1.95, 2.4}, // columns 0.1, 2.05, 4, 5.95, 7.9; rows 0.1, 2.5, 3.9
		// An L: columns 0.1, 2.5, 4.9, 6.9, 8.9; rows 0.1, 2.5, 3.9, 5.9, 7.9, as 5 is too near to 3.9.
		{"x_m,y_m\n0,0\n9,0\n9,4\n5,4\n5,8\n0,8\n", "2.5m", 2.4, 2.4},
		{aU, "2m", 1.6, 2}, // columns 0.1, 1.5, 2.9, 4.5, 6.1, 7.5, 8.9; rows 0.1, 1.9, 3.9, 5.9: nothing across the yard, 3.2 m
	} {
		p, err := plan(c.outline, PlanOptions{Spacing: c.spacing}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(p.Apart[0]-c.columns) > 1e-9 || math.Abs(p.Apart[1]-c.rows) > 1e-9 {
			t.Errorf("%s: %v m apart, want %g and %g", c.spacing, p.Apart, c.columns, c.rows)
		}
		have := map[int]bool{}
		for _, one := range p.Choices {
			if have[one.Shots] {
				t.Errorf("%s: two grids of %d shots", c.spacing, one.Shots)
			}
			have[one.Shots] = true
		}
	}
}

// Choices are in order of their spacing, with the grid that was chosen once.
func TestPlanChoices(t *testing.T) {
	for _, spacing := range []string{"1m", "1.1m", "0.25m", "3m"} {
		p, err := plan(planRoom, PlanOptions{Spacing: spacing}, nil)
		if err != nil {
			t.Fatal(err)
		}
		n, last := 0, 0.0
		for _, c := range p.Choices {
			if c.Spacing <= last {
				t.Errorf("%s: %g m after %g m", spacing, c.Spacing, last)
			}
			if last = c.Spacing; c == p.GridChoice {
				n++
			}
		}
		if n != 1 || len(p.Choices) < 3 {
			t.Errorf("%s: chosen %d times in %+v", spacing, n, p.Choices)
		}
	}
}

func TestPlanRefusals(t *testing.T) {
	for _, c := range []struct {
		name, outline string
		asked         PlanOptions
		set           func(*Job)
		want, hint    string
	}{
		{"neither", planRoom, PlanOptions{}, nil, "found neither of --want and --spacing", "--want 0.1m3 for a grid whose volume is that sure, or --spacing 1m for what a grid gives"},
		{"neither, in feet", "x_ft,y_ft\n0,0\n20,0\n20,12\n0,12\n", PlanOptions{}, nil, "found neither of --want and --spacing", "--want 0.1yd3 for a grid whose volume is that sure, or --spacing 3ft for what a grid gives"},
		{"both", planRoom, PlanOptions{Want: "1mm", Spacing: "1m"}, nil, "found both of --want and --spacing", "--want 0.1m3"},
		{"no unit", planRoom, PlanOptions{Want: "0.1"}, nil, `--want: found "0.1", want a volume with its unit, such as 0.1yd3 or 0.08m3, or a mean depth below 1 ft`, ""},
		{"a length that is no depth", planRoom, PlanOptions{Want: "2m"}, nil, `--want: found "2m", want a volume`, ""},
		{"nothing", planRoom, PlanOptions{Want: "0m3"}, nil, `--want: found "0m3"`, ""},
		{"less than the set-up error", planRoom, PlanOptions{Want: "0.05m3"}, nil, "--want: found ±50 L, which cannot be had with one set-up: its error alone is ±79 L (1.0 mm over 48.00 m²), want more than that", "--want 0.12m3, or a better reading of the benchmark: --setup-sd 0.6mm"},
		{"less than the other errors", planRoom, PlanOptions{Want: "5L"}, nil, "--want: found ±5.0 L, which cannot be had with one set-up", "--want 0.12m3: with this floor and these readings no set-up error is small enough"},
		{"less than any grid gives", planRoom, PlanOptions{Want: "10L", Floor: "rough"}, func(j *Job) { j.Survey.SetupSD, j.Survey.ReadingSD = "0", "20mm" }, "--want: found ±10 L; 825 shots 0.250 m apart still leave ±", "or a better reading of the rod: --reading-sd "},
		{"far too little", planRoom, PlanOptions{Want: "1e-9m3"}, nil, `--want: found "1e-9m3" over 48.00 m², want ±4.8 L or more, 0.1 mm of mean depth: no rod is read finer`, ""},
		{"far too much", planRoom, PlanOptions{Want: "100m3"}, nil, `--want: found "100m3" over 48.00 m², want ±4.80 m³ or less, 100 mm of mean depth: any few shots give that`, ""},
		{"a spacing wider than the room", planRoom, PlanOptions{Spacing: "100m"}, nil, `--spacing: found "100m", though the lines beside the walls are no more than 7.800 m apart, want up to that`, ""},
		{"a kind", planRoom, PlanOptions{Want: "2mm", Floor: "wavy"}, nil, `--floor: found "wavy", want usual, even or rough`, ""},
		{"a spacing below zero", planRoom, PlanOptions{Spacing: "-1m"}, nil, "--spacing: found", ""},
		{"too many shots", planRoom, PlanOptions{Spacing: "0.1m"}, nil, "--spacing: found 4661 shots, want up to 1500: a wider spacing", ""},
		{"too few shots", "x_m,y_m\n0,0\n5,0\n2.6,2.4\n", PlanOptions{Spacing: "4m"}, nil, `--spacing: found "4m", which leaves fewer than 3 shots on a part of the floor, want a narrower spacing`, ""},
		{"far too many", planRoom, PlanOptions{Spacing: "1mm"}, nil, "--spacing: found more than 20000 crossings", ""},
		{"a survey", "point,x_m,y_m,z_m\n1,0,0,10\n2,4,0,10\n3,4,4,10\n", PlanOptions{Spacing: "1m"}, nil, "walls.csv: found elevations, as a list of shots has, want an outline", "if its rows are the corners, leave that column out"},
		{"an outline that crosses itself", "x_m,y_m\n0,0\n4,4\n4,0\n0,4\n", PlanOptions{Spacing: "1m"}, nil, "walls.csv:", ""},
		{"too small a floor", "x_m,y_m\n0,0\n0.2,0\n0.2,0.1\n0,0.1\n", PlanOptions{Spacing: "1m"}, nil, "want one between 300 mm and 5 km across", ""},
		{"no unit of the walls", "x,y\n0,0\n4,0\n4,4\n0,4\n", PlanOptions{Spacing: "1m"}, nil, "walls.csv", "--units"},
		{"an option of other files", planRoom, PlanOptions{Spacing: "1m"}, func(j *Job) { j.Survey.Sheet = "Walls" }, "--sheet is for a workbook (XLSX)", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := plan(c.outline, c.asked, c.set)
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(strings.Join(survey.Hints(err), "; "), c.hint) {
				t.Errorf("%v; hints %q\nwant %s; %s", err, survey.Hints(err), c.want, c.hint)
			}
		})
	}
}

// A wall askew to the grid is named where no shot is near it; a straight one is not.
func TestPlanNamesWallsFarFromShots(t *testing.T) {
	for outline, far := range map[string]bool{planRoom: false, "x_m,y_m\n0,0\n8.4,0\n8.4,5.5\n0,5.5\n": false, "x_m,y_m\n0,0\n8,0\n6,5\n0,6\n": true} {
		p, err := plan(outline, PlanOptions{Spacing: "1m"}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if (p.FarOff > 0) != far || far && (p.FarOff < 0.85 || p.FarOff > 1.2) {
			t.Errorf("%q: %.2f m from a shot at %v", outline, p.FarOff, p.FarWall.At)
		}
	}
}

// What a refusal offers is a grid when it is typed.
func TestPlanHintsWork(t *testing.T) {
	const hall = "x_m,y_m\n0,0\n20,0\n20,15\n0,15\n"
	offers := regexp.MustCompile(`--(want|setup-sd|reading-sd) (\S+[0-9a-zL])`)
	tried := map[string]int{}
	for _, c := range []struct{ outline, want, setup, reading string }{
		{planRoom, "0.02m3", "", ""}, {planRoom, "0.05m3", "", ""}, {planRoom, "0.05m3", "0.1mm", "20mm"}, {planRoom, "3mm", "50mm", ""},
		{hall, "0.05m3", "", ""}, {hall, "0.1m3", "", ""},
		{"x_ft,y_ft\n0,0\n36,0\n36,18\n0,18\n", "0.1yd3", "", ""},
	} {
		set := func(j *Job) { j.Survey.SetupSD, j.Survey.ReadingSD = c.setup, c.reading }
		_, err := plan(c.outline, PlanOptions{Want: c.want}, set)
		if err == nil {
			t.Errorf("%+v: not refused", c)
			continue
		}
		for _, m := range offers.FindAllStringSubmatch(strings.Join(survey.Hints(err), "; "), -1) {
			asked := PlanOptions{Want: c.want}
			if m[1] == "want" {
				asked.Want = m[2]
			}
			_, again := plan(c.outline, asked, func(j *Job) {
				set(j)
				switch m[1] {
				case "setup-sd":
					j.Survey.SetupSD = m[2]
				case "reading-sd":
					j.Survey.ReadingSD = m[2]
				}
			})
			if tried[m[1]]++; again != nil {
				t.Errorf("%+v: %s: %v", c, m[0], again)
			}
		}
	}
	if tried["want"] == 0 || tried["setup-sd"] == 0 || tried["reading-sd"] == 0 {
		t.Errorf("offers tried: %v", tried)
	}
}
