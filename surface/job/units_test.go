package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/survey/unit"
)

// feetInches writes a length as 5'-3 3/8", to a number of parts of an inch.
func feetInches(m float64, parts int) string {
	n := int(math.Round(m / 0.0254 * float64(parts)))
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	feet, rest := n/(12*parts), n%(12*parts)
	inches, part := rest/parts, rest%parts
	if part == 0 {
		return fmt.Sprintf("%s%d'-%d\"", sign, feet, inches)
	}
	return fmt.Sprintf("%s%d'-%d %d/%d\"", sign, feet, inches, part, parts)
}

// decimals writes lengths in a unit, to a number of digits.
func decimals(u unit.Length, digits int) func(float64) string {
	return func(m float64) string { return strconv.FormatFloat(m/u.Metres(), 'f', digits, 64) }
}

// writtenIn gives the shots and walls of a room in a unit, with heads that name it.
func writtenIn(shots [][3]float64, w, h float64, head string, write func(float64) string) fstest.MapFS {
	list := fmt.Sprintf("point,x (%[1]s),y (%[1]s),z (%[1]s)\n", head)
	for i, p := range shots {
		list += fmt.Sprintf("%d,%s,%s,%s\n", 101+i, cell(write(p[0])), cell(write(p[1])), cell(write(p[2])))
	}
	walls := fmt.Sprintf("part,ring,x (%[1]s),y (%[1]s)\n", head)
	for _, c := range rectangle(0, 0, w, h) {
		walls += fmt.Sprintf("room,outer,%s,%s\n", cell(write(c[0])), cell(write(c[1])))
	}
	return fstest.MapFS{"floor.csv": {Data: []byte(list)}, "walls.csv": {Data: []byte(walls)}}
}

// cell writes a cell of a list.
func cell(text string) string { return `"` + strings.ReplaceAll(text, `"`, `""`) + `"` }

// A survey gives the same floor in any unit: 12 by 8 ft of a wedge from 1 to 4 in below
// 10 ft, which every unit below writes exactly or to a nanometre. By hand 96 ft² × 2.5
// in = 20 ft³ = 0.566337 m³ (1 ft = 0.3048 m, exactly, since 1959).
func TestSameFillInEveryUnit(t *testing.T) {
	t.Parallel()
	const foot, inch = 0.3048, 0.0254
	shots := [][3]float64{}
	for i := range 7 {
		for k := range 5 {
			shots = append(shots, [3]float64{float64(2*i) * foot, float64(2*k) * foot, 10*foot - inch - float64(i)*inch/2})
		}
	}
	for _, c := range []struct {
		head   string
		target string
		write  func(float64) string
		by     float64 // m³, from rounding: half the last digit over 8.92 m²
	}{
		{"m", "3.048m", decimals(unit.Metre, 9), 1e-8},
		{"m", "3.048m", decimals(unit.Metre, 4), 0.00005 * 9},
		{"cm", "304.8cm", decimals(unit.Centimetre, 7), 1e-8},
		{"mm", "3048mm", decimals(unit.Millimetre, 6), 1e-8},
		{"mm", "3048mm", decimals(unit.Millimetre, 1), 0.00005 * 9},
		{"ft", "10ft", decimals(unit.Foot, 9), 1e-8},
		{"ft", "10ft", decimals(unit.Foot, 2), 0.005 * foot * 9},
		{"in", "120in", decimals(unit.Inch, 6), 1e-8},
		{"ftUS", "3.048m", decimals(unit.SurveyFoot, 9), 1e-8},
		{"ft-in", "10ft", func(m float64) string { return feetInches(m, 16) }, 1e-8},
		{"ft-in", `9'-12"`, func(m float64) string { return feetInches(m, 64) }, 1e-8},
	} {
		t.Run(c.head+" "+c.write(3.0099), func(t *testing.T) {
			t.Parallel()
			if c.target == `9'-12"` {
				c.target = `10'-0"`
			}
			r := solved(t, strings.Replace(rampJob, `"0m"`, strconv.Quote(c.target), 1), writtenIn(shots, 12*foot, 8*foot, c.head, c.write))
			isWithin(t, "fill", r.Filled.Fill.Fill, 20*foot*foot*foot, c.by+1e-9)
			isWithin(t, "area", r.Filled.Fill.Area, 96*foot*foot, 3*c.by/0.06+1e-6)
			imperial := strings.HasPrefix(c.head, "f") || c.head == "in"
			if r.US != imperial {
				t.Errorf("shown in feet: %v, want %v", r.US, imperial)
			}
		})
	}
}

// A job shown in another system is the same job: volumes, order, weight and bands of the
// JSON are unchanged.
func TestShowChangesNoFigure(t *testing.T) {
	t.Parallel()
	const more = "[plant]\nroughness = \"1mm\"\n[mix]\nallowance-percent = 7\n[bays]\nwidth = \"2m\"\n"
	text := strings.Replace(rampJob, `"0m"`, `"0.2m"`, 1) + more
	a, b := solved(t, text, ramp), solved(t, "show = \"feet\"\n"+text, ramp)
	if a.US || !b.US {
		t.Fatalf("shown in feet: %v, %v", a.US, b.US)
	}
	near(t, "fill", b.Filled.Fill.Fill, a.Filled.Fill.Fill)
	near(t, "need", b.Takeoff.Need, a.Takeoff.Need)
	near(t, "order", b.Delivery.Volume, a.Delivery.Volume)
	near(t, "load", b.Mix.Load.Mass, a.Mix.Load.Mass)
	if len(a.Filled.Fill.Bands) != len(b.Filled.Fill.Bands) || len(a.Filled.Fill.Bands) < 2 {
		t.Fatalf("%d bands, then %d", len(a.Filled.Fill.Bands), len(b.Filled.Fill.Bands))
	}
	for i := range a.Filled.Fill.Bands {
		if a.Filled.Fill.Bands[i] != b.Filled.Fill.Bands[i] {
			t.Errorf("band %d: %+v, then %+v", i+1, a.Filled.Fill.Bands[i], b.Filled.Fill.Bands[i])
		}
	}
	if fmt.Sprint(a.BandsIn(false)) == fmt.Sprint(a.BandsIn(true)) {
		t.Error("bands that are shown in feet are the same as in metres, want whole fractions of an inch")
	}
}

// A list that does not name its unit is refused, unless the job gives the unit; the plan
// of 6 by 4 is then in that unit. With any other list the unit of the job is refused.
func TestUnitsOfTheJob(t *testing.T) {
	t.Parallel()
	bare := fstest.MapFS{
		"floor.csv": {Data: []byte("point,x,y,z\n1,0,0,9.9\n2,6,0,9.9\n3,6,4,9.9\n4,0,4,9.9\n")},
		"walls.csv": {Data: []byte("x,y\n0,0\n6,0\n6,4\n0,4\n")},
	}
	text := strings.Replace(rampJob, `"0m"`, `"TARGET"`, 1)
	at := func(target string) string { return strings.Replace(text, "TARGET", target, 1) }
	if err := refused(t, at("10m"), bare); !strings.Contains(err.Error(), "unit") {
		t.Errorf("without a unit: %v", err)
	}
	for _, c := range []struct {
		units, target string
		fill          float64
	}{
		{"m", "10m", 24 * 0.1}, {"ft", "10ft", 24 * 0.1 * 0.3048 * 0.3048 * 0.3048},
		{"ftUS", "10ft", 24 * 0.1 * math.Pow(1200.0/3937, 3)}, // the foot of the survey (NIST: 1200/3937 m)
		{"m", "393.7007874015748in", 24 * 0.1},
	} {
		r := solved(t, "units = \""+c.units+"\"\n"+at(c.target), bare)
		isWithin(t, c.units+" fill", r.Filled.Fill.Fill, c.fill, 1e-9)
	}
	// A file that names another unit is refused: one of the two is wrong.
	if err := refused(t, "units = \"ft\"\n"+rampJob, ramp); !strings.Contains(err.Error(), "floor.csv:1: found columns in m, want lengths in ft") {
		t.Error(err)
	}
}

// A bare length of a job is refused with what to write: other people read a job file
// later.
func TestBareLengthsOfAJob(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ was, is, key, hint string }{
		{`"0m"`, `"0.1"`, "target.elevation", `such as 0.1m`},
		{"[target]", "instrument-height = \"11.2\"\n[target]", "survey.instrument-height", "such as 11.2m"},
		{"[target]", "[pins]\nspacing = \"1.5\"\n[target]", "pins.spacing", "want a length with its unit, such as 1.5m"},
		{"[target]", "[bays]\nwidth = \"2\"\n[target]", "bays.width", "want a length with its unit, such as 2m"},
		{"[target]", "[edge]\nfilm = true\nabove = \"50\"\n[target]", "edge.above", "want a length with its unit, such as 50mm"},
		{"[target]", "[plant]\nroughness = \"1\"\n[target]", "plant.roughness", "want a length with its unit, such as 1mm"},
		{"[target]", "[site]\nexit = \"1,1\"\n[target]", "site.exit", `want a place "X,Y" with its units, such as "3.2m,4m"`},
	} {
		err := hinted(refused(t, strings.Replace(rampJob, c.was, c.is, 1), ramp))
		if !strings.Contains(err, c.key) || !strings.Contains(err, c.hint) {
			t.Errorf("%s:\n%s\nwant %s and %s", c.is, err, c.key, c.hint)
		}
	}
}

// US figures of a job equal their SI values: pound 0.45359237 kg, foot 0.3048 m, gallon
// 231 in³, all exact (NIST Handbook 44, appendix C, from memory).
func TestUSFiguresOfAJob(t *testing.T) {
	t.Parallel()
	const pound, foot, yard, gallon = 0.45359237, 0.3048, 0.9144, 3.785411784
	j := parsed(t, rampJob+`[mix]
unit-weight-lbft3 = 150
[pace]
placing-yd3-per-hour = 8
[joints]
length = "1m"
pack-gallons = 0.25
[mesh]
mass-lbft2 = 0.42
[[materials]]
name = "a"
bag-yield = "12L"
bag-mass-lb = 50
unit-weight-lbft3 = 120
[[coats]]
cover-ft2-per-gallon = 200
first-cover-ft2-per-gallon = 100
pack-gallons = 5
`)
	near(t, "unit weight", j.Mix.UnitWeight, 150*pound/(foot*foot*foot))
	near(t, "unit weight of the job", j.UnitWeight(), 150*pound/(foot*foot*foot))
	near(t, "pace", j.Pace.Placing, 8*yard*yard*yard)
	near(t, "pack of filler", j.Joints.Pack, gallon/4)
	near(t, "mesh", j.Mesh.Mass, 0.42*pound/(foot*foot))
	near(t, "bag", j.Materials[0].BagMass, 50*pound)
	near(t, "material", j.Materials[0].UnitWeight, 120*pound/(foot*foot*foot))
	near(t, "cover", j.Coats[0].Cover, 200*foot*foot/gallon)
	near(t, "first cover", j.Coats[0].First, 100*foot*foot/gallon)
	near(t, "pack of a coat", j.Coats[0].Pack, 5*gallon)
	for _, c := range []struct{ key, text string }{
		{"mix.unit-weight-kgm3", "[mix]\nunit-weight-kgm3 = 2400\nunit-weight-lbft3 = 150\n"},
		{"pace.placing-m3-per-hour", "[pace]\nplacing-m3-per-hour = 6\nplacing-yd3-per-hour = 8\n"},
		{"coats[1].pack-litres", "[[coats]]\npack-litres = 5\npack-gallons = 1\n"},
		{"materials[1].bag-mass-kg", "[[materials]]\nbag-mass-kg = 25\nbag-mass-lb = 50\n"},
	} {
		_, err := Parse([]byte(rampJob+c.text), "job.toml")
		if err == nil || !strings.Contains(err.Error(), c.key+": found a figure, and another for") || !strings.Contains(err.Error(), "want one of the two") {
			t.Errorf("%s: %v", c.key, err)
		}
	}
}

// An outline may be in another unit than the shots if it names the unit.
func TestOutlineInAnotherUnit(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"floor.csv": ramp["floor.csv"], "walls.csv": {Data: []byte("x (mm),y (mm)\n0,0\n6000,0\n6000,4000\n0,4000\n")}}
	r := solved(t, rampJob, files)
	near(t, "fill", r.Filled.Fill.Fill, 1.44)
	files["walls.csv"] = &fstest.MapFile{Data: []byte("x (ft),y (ft)\n0,0\n19.685039370,0\n19.685039370,13.123359580\n0,13.123359580\n")}
	r = solved(t, rampJob, files)
	isWithin(t, "fill", r.Filled.Fill.Fill, 1.44, 1e-8)
}
