package job

import (
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/survey/unit"
)

// hall is a level floor of 6 by 4 m at 10 m, with finished floors at one place of the south wall
// and at both jambs of a door in the north wall.
func hall() fstest.MapFS {
	return fstest.MapFS{
		"floor.csv": {Data: []byte("name,x,y,z,code\n1,0,0,10,\n2,6,0,10,\n3,6,4,10,\n4,0,4,10,\n5,3,0,10,\n6,3,4,10,\n" +
			"D1,2,-0.1,10.02,SILL\nD2,5,-0.1,10.0624,SILL\nJ1,2.5,4.1,10.112,HALL\nJ2,3.4,4.1,10.112,HALL\n")},
		"outline.csv": {Data: []byte("x,y\n0,0\n6,0\n6,4\n0,4\n")},
	}
}

func hallJob(target string) string {
	return "title = \"Hall\"\ndate = 2026-11-25\nunits = \"m\"\n[survey]\nfiles = [\"floor.csv\"]\noutline = \"outline.csv\"\ncodes = { SILL = \"finished\", HALL = \"finished\" }\n[target]\n" + target
}

// Half a cone and a wedge with two quarters, over a level target: the fill at a threshold is the
// finished floor less the covering, as in the list of thresholds.
func TestRampsOnALevelTarget(t *testing.T) {
	r := solved(t, hallJob("elevation = \"10.05m\"\ncovering = \"12mm\"\nramps = [\"D1=1:12\", \"HALL=600mm\", \"D2=5%\"]\n"), hall())
	down, up, length := 0.042, 0.05, 0.6
	far := down * 12
	cone, wedge := math.Pi*far*far*down/6, 0.9*length*up/2+math.Pi*length*length*up/6
	// The facets of a cone are off by less than 0.05 mm.
	isWithin(t, "fill", r.Fill.Fill, 24*0.05-cone+wedge, 0.00005*(math.Pi*far*far/2+0.9*length+math.Pi*length*length/2))
	if len(r.Ramps) != 2 || r.Ramps[0].Name != "D1" || r.Ramps[1].Name != "HALL" {
		t.Fatalf("%d ramps, want two: D2 is flush", len(r.Ramps))
	}
	isWithin(t, "length", r.Ramps[0].Length, far, 1e-9)
	isWithin(t, "slope", r.Ramps[1].Slope, up/length, 1e-9)
	for _, door := range r.Thresholds {
		want := 0.012
		if door.Point.Name() == "D2" {
			want = 10.0624 - 10.05
		}
		isWithin(t, "room at "+door.Point.Name(), door.Room, want, 1e-9)
	}
	notes := noteTexts(r)
	for _, want := range []string{
		"the ramp to D1 goes down 42 mm over 0.504 m, 1:12 (8.33 %)", "the ramp to HALL goes up 50 mm over 0.600 m, 1:12 (8.33 %)",
		"at D2 the target already meets the fill at the threshold: no ramp needed",
		"on the ramp to D1 the fill is thinner than 40 mm, the least of concrete as usually laid, within 0.384 m of the threshold",
	} {
		if !strings.Contains(notes, want) {
			t.Errorf("no %q in\n%s", want, notes)
		}
	}
	if strings.Contains(notes, "steeper than 1:12") {
		t.Error("a ramp of 1:12 is warned of as steeper")
	}
	// Raised, the ramps go up with the target.
	raised, err := r.Raised(0.01)
	if err != nil {
		t.Fatal(err)
	}
	isWithin(t, "raised", raised.Fill.Fill-r.Fill.Fill, 0.24, 1e-9)
	if len(raised.Ramps) != 2 {
		t.Errorf("%d ramps raised", len(raised.Ramps))
	}
}

func noteTexts(r *Result) string {
	var b strings.Builder
	for _, n := range r.Notes {
		b.WriteString(n.Text.In(unit.Style{}) + "\n")
	}
	return b.String()
}

// The least thickness is that of the materials: 3 mm of a leveller over a fill of 8 mm down to the
// old floor. By hand: the stop line is half a circle of radius 3 mm × 12, and the chase half a
// cylinder less half a cone.
func TestFeatherOfAMaterial(t *testing.T) {
	files := hall()
	files["floor.csv"].Data = []byte(strings.ReplaceAll(string(files["floor.csv"].Data), "10.02,", "10,"))
	r := solved(t, hallJob("elevation = \"10.03m\"\nramps = [\"D1=1:12\"]\n[[materials]]\nname = \"leveller\"\nleast = \"20mm\"\ngreatest = \"60mm\"\nbag-yield = \"12l\"\n[mix]\naccept-unserved = true\n"), files)
	e := r.Ramps[0].Feather
	far := 0.02 * 12
	isWithin(t, "least", e.Least, 0.02, 0)
	isWithin(t, "stop line", e.Length, math.Pi*far, 0.002*math.Pi*far)
	isWithin(t, "chase", e.Chase, math.Pi*far*far*0.02/6, 0.00005*2*far*far)
	if notes := noteTexts(r); !strings.Contains(notes, "thinner than 20 mm, the least of leveller, within 0.240 m") || strings.Contains(notes, "as usually laid, within") {
		t.Errorf("notes:\n%s", notes)
	}
}

// Where the fill is as shallow without the ramp, it is not the ramp that is to blame: one up only
// adds to the fill, and one down on a target that is too thin all over is left to the warning of that.
func TestNoFeatherWhereTheFloorIsAsShallow(t *testing.T) {
	const leveller = "[[materials]]\nname = \"leveller\"\nleast = \"31mm\"\ngreatest = \"150mm\"\nbag-yield = \"12l\"\n[mix]\naccept-unserved = true\n"
	for _, target := range []string{"elevation = \"10.01m\"\nramps = [\"J1=1:12\"]\n", "elevation = \"10.03m\"\nramps = [\"D1=1:12\"]\n"} {
		r := solved(t, hallJob(target+leveller), hall())
		if e := r.Ramps[0].Feather; e.Area != 0 || e.Chase != 0 || e.Line != nil {
			t.Errorf("%s: thin over %.3f m², chase %g m³", target, e.Area, e.Chase)
		}
		if notes := noteTexts(r); strings.Contains(notes, "on the ramp to") {
			t.Errorf("notes:\n%s", notes)
		}
	}
}

// Rise, length and slope go together where the target falls along the ramp: by hand the target is
// 10 mm lower at the end of 1 m, at a fall of 1 %.
func TestRiseOfARampOnAFall(t *testing.T) {
	files := hall()
	files["floor.csv"].Data = append(files["floor.csv"].Data, "W1,-0.1,2,10.11,SILL\n"...)
	r := solved(t, hallJob("elevation = \"10.05m\"\nfall = \"1%\"\ntoward = \"E\"\nramps = [\"W1=1m\"]\n"), files)
	isWithin(t, "rise", r.Ramps[0].Rise, 0.07, 1e-9)
	isWithin(t, "slope", r.Ramps[0].Slope, 0.07, 1e-9)
}

// A ramp keeps off the drains that the floor falls to; of one that was only shot there is a warning.
// By hand the ramp down to D1 ends 1.2 m from the wall at most.
func TestRampsKeepOffDrains(t *testing.T) {
	const target = "elevation = \"10.1m\"\nfall = \"1%\"\n"
	for _, c := range []struct{ drains, found string }{
		{"drains = [\"2m,0.5m\"]\nramps = [\"D1=1m\"]\n", "drain 1 under it"},
		{"channels = [\"0.5m,0.4m,5.5m,0.4m\"]\nramps = [\"D1=1m\"]\n", "channel 1 under it"},
		{"channels = [\"0.5m,0.4m,5.5m,0.4m\"]\nramps = [\"D1=300mm\"]\n", ""},
		{"drains = [\"2m,2m\"]\nramps = [\"D1=1m\"]\n", ""},
	} {
		if c.found == "" {
			solved(t, hallJob(target+c.drains), hall())
		} else if err := hinted(refused(t, hallJob(target+c.drains), hall())); !strings.Contains(err, c.found) || !strings.Contains(err, "shorter or steeper") {
			t.Errorf("%q: %s, want %q in it", c.drains, err, c.found)
		}
	}
	for y, want := range map[string]bool{"0.5": true, "2": false} {
		files := hall()
		files["floor.csv"].Data = append(files["floor.csv"].Data, ("FD,2," + y + ",9.99,DRAIN\n")...)
		notes := noteTexts(solved(t, hallJob("elevation = \"10.1m\"\nramps = [\"D1=1m\"]\n"), files))
		if got := strings.Contains(notes, "the ramp to D1 goes across the drain FD"); got != want {
			t.Errorf("drain at y = %s: warned %v, want %v:\n%s", y, got, want, notes)
		}
	}
}

// The published limits, each at its figure and just past it: sources beside the rows.
func TestRampLimits(t *testing.T) {
	at := func(slope, rise, cross float64) string {
		r := Ramp{}
		r.Slope, r.Rise, r.Cross, r.Line = slope, rise, cross, true
		out := ""
		for _, l := range limitsOf(&r.Ramp) {
			out += map[string]string{"met": "+", "not met": "-", "not measured": "?"}[l.Outcome()]
		}
		return out
	}
	const inch = 0.0254
	for _, c := range []struct {
		slope, rise, cross float64
		want               string // 1:12, 1:20, cross 1:48, 1:10 and 6 in, 1:8 and 3 in, 1:2 and 1/2 in
	}{
		{1. / 12, 0.5, 1. / 48, "+-+---"},
		{1/12. + 1e-6, 0.5, 1/48. + 1e-6, "------"},
		{1. / 20, 0.5, 0, "+++---"},
		{1/20. + 1e-6, 0.5, 0, "+-+---"},
		{1. / 10, 6 * inch, 0, "--++--"},
		{1. / 10, -6 * inch, 0, "--++--"},
		{1. / 10, 6.01 * inch, 0, "--+---"},
		{1/10. + 1e-6, 6 * inch, 0, "--+---"},
		{1. / 8, 3 * inch, 0, "--+-+-"},
		{1. / 8, 3.01 * inch, 0, "--+---"},
		{1/8. + 1e-6, 3 * inch, 0, "--+---"},
		{1. / 2, inch / 2, 0, "--+--+"},
		{1. / 2, 0.51 * inch, 0, "--+---"},
	} {
		if got := at(c.slope, c.rise, c.cross); got != c.want {
			t.Errorf("1:%.4g, rise %g m, cross 1:%.4g: %s, want %s", 1/c.slope, c.rise, 1/c.cross, got, c.want)
		}
	}
	r := Ramp{}
	r.Slope = 0.01
	if got := limitsOf(&r.Ramp)[2].Outcome(); got != "not measured" {
		t.Errorf("cross slope at one shot: %s", got)
	}
}

func TestRampRefusals(t *testing.T) {
	for _, c := range []struct{ target, want string }{
		{"elevation = \"10.05m\"\nramps = [\"D1\"]\n", "D1=1:12"},
		{"elevation = \"10.05m\"\nramps = [\"D1=\"]\n", "D1=1:12"},
		{"elevation = \"10.05m\"\nramps = [\"D1=8\"]\n", "D1=8%"},
		{"elevation = \"10.05m\"\nramps = [\"D1=0\"]\n", "a length above 0"},
		{"elevation = \"10.05m\"\nramps = [\"D1=0%\"]\n", "a slope above 0"},
		{"elevation = \"10.05m\"\nramps = [\"D1=1:1\"]\n", "50 %"},
		{"elevation = \"10.05m\"\nramps = [\"D1=wide\"]\n", "a length such as 600mm"},
		{"elevation = \"10.05m\"\nramps = [\"D1=1m\", \"d1=2m\"]\n", "two ramps at"},
		{"elevation = \"10.05m\"\nramps = [\"D7=1:12\"]\n", "did you mean"},
		{"elevation = \"10.05m\"\nramps = [\"D7= 600mm\"]\n", "did you mean [target] ramps = [\"D1=600mm\"]"},
		{"elevation = \"10.05m\"\nramps = [\"HALL=1:1000\"]\n", "a slope of 1:1000, "},
		{"elevation = \"10.05m\"\nramps = [\"3=1:12\"]\n", "3 is no finished floor; those are D1, SILL"},
		{"elevation = \"10.05m\"\nramps = [\"SILL=1:12\"]\n", "3.010 m apart: several doors"},
		{"elevation = \"10.05m\"\nramps = [\"D1=5m\"]\n", "where the next wall is 4.000 m"},
		{"elevation = \"10.05m\"\nramps = [\"D1=1:200\"]\n", "still"},
		{"volume = \"1m3\"\nramps = [\"D1=1:12\"]\n", "says how high the volume fills"},
		{"ramps = [\"D1=1:12\"]\n", "no target"},
		{"elevation = \"10.05m\"\nparts = [\"EAST=10m\"]\nramps = [\"D1=1:12\"]\n", "not for parts"},
		{"best = true\nmax-fall = \"0\"\nmin-depth = \"3mm\"\nramps = [\"D1=1:12\"]\n", "a ramp is not part of it"},
	} {
		if err := hinted(refused(t, hallJob(c.target), widened(c.target))); !strings.Contains(err, c.want) {
			t.Errorf("%q: %s, want %q in it", c.target, err, c.want)
		}
	}
}

// widened is hall, with the doors of one code more than a door apart for the job that names it.
func widened(target string) fstest.MapFS {
	files := hall()
	if strings.Contains(target, "SILL=") {
		files["floor.csv"].Data = []byte(strings.Replace(string(files["floor.csv"].Data), "D2,5,", "D2,5.01,", 1))
	}
	return files
}
