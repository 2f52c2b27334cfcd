package job

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/surface/blunder"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// cautions returns the texts of the cautions of a result.
func cautions(r *Result) string {
	var out []string
	for _, n := range r.Notes {
		if n.Kind == survey.Caution {
			out = append(out, n.In(styleOf(r)))
		}
	}
	return strings.Join(out, "\n")
}

// The site of a job decides on its cautions. They are usual trade cautions; each has a
// word that no other has.
func TestCautionsFollowTheSite(t *testing.T) {
	t.Parallel()
	base := cautions(solved(t, tenMetres+"[site]\nbearing = \"ground\"\n", hallOf(0.1)))
	for _, c := range []struct{ keys, word string }{
		{"heated = true\n", "heat"}, {"old-covering = true\n", "asbestos"}, {"post-tensioned = true\n", "tendon"}, {"drains = true\n", "drain"},
		{"engines = true\n", "carbon monoxide"}, {"in-use = true\n", "ways out"},
	} {
		got := cautions(solved(t, tenMetres+"[site]\nbearing = \"ground\"\n"+c.keys, hallOf(0.1)))
		if !strings.Contains(strings.ToLower(got), c.word) {
			t.Errorf("%s no word of %s:\n%s", c.keys, c.word, got)
		}
		if got == base {
			t.Errorf("%s changes no caution", c.keys)
		}
	}
	suspended := cautions(solved(t, tenMetres+"[site]\nbearing = \"suspended\"\n", hallOf(0.1)))
	if !strings.Contains(suspended, "engineer") || suspended == base {
		t.Errorf("suspended: %s", suspended)
	}
	// Grinding makes dust: only if there is something to grind.
	hump := fstest.MapFS{"floor.csv": grid(7, 5, func(x, _ float64) float64 { return 9.95 + 0.02*x }), "walls.csv": walls(6, 4)}
	if got := cautions(solved(t, tenMetres, hump)); !strings.Contains(got, "silica") {
		t.Errorf("no word of silica dust:\n%s", got)
	}
	// A pumped mix.
	pumped := cautions(solved(t, tenMetres+"[site]\nbearing = \"ground\"\n[plant]\nline-bore = \"65mm\"\nline-length = \"30m\"\n", hallOf(0.1)))
	if pumped == base {
		t.Error("a pump line changes no caution")
	}
	// Bags make dust when they are opened.
	bagged := cautions(solved(t, tenMetres+"[site]\nbearing = \"ground\"\n[[materials]]\nname = \"mix\"\nbag-yield = \"12L\"\n", hallOf(0.1)))
	if bagged == base {
		t.Error("bags change no caution")
	}
}

// A caution about the load has the load of the job: 100 mm at 2400 kg/m³ are 240 kg/m²,
// and twice the depth gives twice the load.
func TestCautionOfTheLoad(t *testing.T) {
	t.Parallel()
	for depth, want := range map[float64]string{0.1: "240 kg/m²", 0.2: "480 kg/m²"} {
		r := solved(t, tenMetres, hallOf(depth))
		found := false
		for _, n := range r.Notes {
			found = found || n.Topic == survey.AboutLoad && strings.Contains(n.In(styleOf(r)), want)
		}
		if !found {
			t.Errorf("%g m: no note of the load with %s", depth, want)
		}
	}
}

// A misread rod is named with its row, the likely error and the reading that would fit;
// it is used. On a level floor shot in metres, one shot may be 100 mm or a metre wrong.
func TestMisreadRodsAreNamed(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		off   float64
		kinds []blunder.Kind
	}{
		{"100 mm low", -0.1, []blunder.Kind{blunder.Hundred, blunder.Misread}},
		{"100 mm high", 0.1, []blunder.Kind{blunder.Hundred, blunder.Misread}},
		{"a metre low", -1, []blunder.Kind{blunder.OneMetre, blunder.Misread}},
	} {
		files := fstest.MapFS{"floor.csv": grid(7, 5, func(x, y float64) float64 {
			z := 9.9 + 0.001*math.Mod(3*x+2*y, 3)
			if x == 3 && y == 2 {
				z += c.off
			}
			return z
		}), "walls.csv": walls(6, 4)}
		r := solved(t, strings.Replace(rampJob, `"0m"`, `"10.2m"`, 1), files)
		if len(r.Blunders) != 1 {
			t.Errorf("%s: %d findings", c.name, len(r.Blunders))
			continue
		}
		b := r.Blunders[0]
		// Rows are ordered by x: shot 100 + 5·3 + 2, on line 19.
		if b.Shot.Name() != "117" || b.Shot.At().Line != 19 || b.Shot.At().File != "floor.csv" {
			t.Errorf("%s: %s at %s", c.name, b.Shot.Name(), b.Shot.At())
		}
		isWithin(t, c.name+": off", b.Off, c.off, 0.003)
		isWithin(t, c.name+": fits", b.Fits, 9.901, 0.003)
		if !slices.Contains(c.kinds, b.Kind) {
			t.Errorf("%s looks like %v", c.name, b.Kind)
		}
		// In a grid of 1 m one shot represents 1 m².
		isWithin(t, c.name+": change", b.VolumeChange, c.off, 0.01*max(1, math.Abs(c.off)))
		text := BlunderText(b).In(styleOf(r))
		for _, want := range []string{"117 reads ", "nearby shots suggest", "used as read", "read it again"} {
			if !strings.Contains(strings.ToLower(text), want) {
				t.Errorf("%s: %q lacks %q", c.name, text, want)
			}
		}
		// By hand 10.2 m less the lowest other shot at 9.9 m.
		doubt := regexp.MustCompile(`^ \(only because shot 117 reads (100 mm|99 mm|101 mm|a metre|1001 mm|1000 mm|999 mm) low; otherwise 300 mm\)$`)
		if c.off > 0 {
			doubt = regexp.MustCompile(`^$`)
		}
		if got := r.MaxDoubt.In(styleOf(r)); !doubt.MatchString(got) {
			t.Errorf("%s: max depth%q, want %q", c.name, got, doubt)
		}
		if got := aboutTopic(r, survey.AboutDepth); !strings.Contains(got, "117 reads ") {
			t.Errorf("%s: no warning: %s", c.name, got)
		}
		if got := Doubts(r.Blunders, " in doubt").In(styleOf(r)); !strings.HasPrefix(got, "1 reading in doubt: shot 117 (if wrong, ") || !strings.HasSuffix(got, "Read again before you order") {
			t.Errorf("%s: %q", c.name, got)
		}
	}
	if got := Doubts(nil, " in doubt").In(styleOf(solved(t, rampJob, ramp))); got != "" {
		t.Errorf("none in doubt: %q", got)
	}
}

// A reading in doubt above the target: what it adds to the cut is not taken off the fill, and
// the order named beside it is that of the list with the right reading.
//
// By hand: 24 m² at 50 mm take 1.2 m³. The shot of 1 m too high stands on 3 m² of triangles, a
// pyramid of 1 m³ of which 0.95³ m³ are above the target; the rest is missing in the fill.
func TestDoubtAboveTheTarget(t *testing.T) {
	t.Parallel()
	list := func(spike float64) fstest.MapFS {
		return fstest.MapFS{"walls.csv": walls(6, 4), "floor.csv": grid(7, 5, func(x, y float64) float64 {
			if x == 3 && y == 2 {
				return 9.95 + spike
			}
			return 9.95
		})}
	}
	r, right := solved(t, tenMetres, list(1)), solved(t, tenMetres, list(0))
	if len(r.Blunders) != 1 || len(right.Blunders) != 0 {
		t.Fatalf("%d and %d findings", len(r.Blunders), len(right.Blunders))
	}
	const missing = 1 - 0.95*0.95*0.95
	near(t, "fill", r.Filled.Fill.Fill, 1.2-missing)
	near(t, "cut", r.Filled.Fill.Cut, 1-missing)
	near(t, "change", r.Blunders[0].VolumeChange, missing)
	if got, want := BlunderText(r.Blunders[0]).In(styleOf(r)), "the fill is 0.14 m³ more"; !strings.Contains(got, want) {
		t.Errorf("%q lacks %q", got, want)
	}
	if got, want := Doubts(r.Blunders, "").In(styleOf(r)), "1 reading: shot 117 (if wrong, 0.14 m³ more fill). Read again before you order"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	near(t, "order", r.Delivery.Volume, 1.25)
	near(t, "order of the right list", right.Delivery.Volume, 1.5)
	if got, want := r.OrderDoubt().In(styleOf(r)), " (1.50 m³ if shot 117 is misread)"; got != want {
		t.Errorf("%q, want %q", got, want)
	}

	// Where the order is the same no other is named.
	coarse := tenMetres + "[mix]\norder-step = \"0.5m3\"\n"
	r, right = solved(t, coarse, list(1)), solved(t, coarse, list(0))
	if got := r.OrderDoubt().In(styleOf(r)); r.Delivery.Volume != right.Delivery.Volume || got != "" {
		t.Errorf("%g and %g m³ ordered: %q", r.Delivery.Volume, right.Delivery.Volume, got)
	}
}

// Without a target the effect is that on a fill above the whole floor, and the text says so.
func TestDoubtWithoutTarget(t *testing.T) {
	b := blunder.Finding{Kind: blunder.OneMetre, Off: 1, VolumeChange: 1}
	if got, want := BlunderText(b).In(unit.Style{}), "a fill to a level above the whole floor is 1.00 m³ more"; !strings.Contains(got, want) {
		t.Errorf("%q lacks %q", got, want)
	}
	b.Corrected, b.VolumeChange = &surface.Fill{}, 0
	if got, want := BlunderText(b).In(unit.Style{}), "the fill is the same"; !strings.Contains(got, want) {
		t.Errorf("%q lacks %q", got, want)
	}
}

// Doubts names the three with the largest effect and counts the others.
func TestDoubtsAreNamedByTheirVolume(t *testing.T) {
	t.Parallel()
	var all []blunder.Finding
	for i, v := range []float64{0.01, -0.5, 0.2, 0.02, -0.3} {
		all = append(all, blunder.Finding{Shot: survey.Point{}.Named(fmt.Sprint(i + 1)), VolumeChange: v})
	}
	r := solved(t, rampJob, ramp)
	got := Doubts(all, "").In(styleOf(r))
	if want := "5 readings: shot 2 (if wrong, 0.50 m³ less fill), shot 5 (if wrong, 0.30 m³ less fill), shot 3 (if wrong, 0.20 m³ more fill) and 2 more. Read again before you order"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// Notes of a job name its keys and never options.
func TestNotesNameKeys(t *testing.T) {
	t.Parallel()
	files := floorOfShots(onGrid(4, 3, 1, flat(9.95)), "")
	delete(files, "walls.csv")
	for _, text := range []string{
		strings.Replace(tenMetres, "outline = \"walls.csv\"\n", "", 1),
		strings.Replace(strings.Replace(tenMetres, "outline = \"walls.csv\"\n", "", 1), `"10m"`, `"9.99m"`, 1) + "[plant]\ntruck = \"6m3\"\n",
	} {
		r := solved(t, text, files)
		for _, n := range r.Notes {
			if got := n.In(styleOf(r)); strings.Contains(got, " --") || strings.HasPrefix(got, "--") {
				t.Errorf("%s", got)
			}
		}
	}
}

// Every topic of a note is one that pages show, and every note has a kind and a text.
func TestNotesOfTheDemo(t *testing.T) {
	t.Parallel()
	r := demoHall(t)
	topics := []survey.Topic{survey.General, survey.AboutOrder, survey.AboutTarget, survey.AboutDepth, survey.AboutLoad, survey.AboutSteel, survey.AboutFlatness}
	seen := map[string]bool{}
	for _, n := range slices.Concat(r.Notes, r.Judged.Notes) {
		text := n.In(styleOf(r))
		if !slices.Contains(topics, n.Topic) {
			t.Errorf("topic %q of %s", n.Topic, text)
		}
		if strings.TrimSpace(text) == "" || strings.Contains(text, "%!") {
			t.Errorf("note %q at %s", text, n.Pos)
		}
		seen[n.Pos.String()+text] = true
	}
	if len(seen) < 10 {
		t.Errorf("%d notes", len(seen))
	}
}

// The figures of the demo, worked out in testdata/demo/worked.md: areas from the
// outline, 36 × 18 + 16 × 14 − 1.5² ft. The tests of the report check the rest of that
// file.
func TestDemoByItsOutline(t *testing.T) {
	t.Parallel()
	r := demoHall(t)
	const foot = 0.3048
	near(t, "area", r.Filled.Fill.Area, 869.75*foot*foot)
	near(t, "walls", r.Floor.Perimeter, (36+18+20+14+16+32+4*1.5)*foot)
	near(t, "step", r.Floor.StepLength, 16*foot)
	if n := len(r.Filled.Fill.Regions); n != 2 {
		t.Errorf("%d regions", n)
	}
	sumBands(t, r)
	bays := 0.0
	for _, b := range r.Bays.Bays {
		bays += b.Fill.Fill
	}
	near(t, "bays together", bays, r.Filled.Fill.Fill)
	lines := 0.0
	for _, l := range r.Takeoff.Items {
		lines += l.Volume
	}
	near(t, "lines together", lines, r.Takeoff.Need)
	near(t, "order", r.Delivery.Volume, r.Takeoff.Need+r.Delivery.Rounding.Volume)
}

// styleOf is the style in which a job asks for its result.
func styleOf(of any) unit.Style {
	switch r := of.(type) {
	case *Judged:
		return StyleOf(r.Survey, "")
	case *Result:
		return StyleOf(r.Survey, r.Job.Show)
	}
	return unit.Style{}
}
