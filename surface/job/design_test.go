package job

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// landXML is a LandXML file of surfaces: points (x, y, z) and faces, in a unit.
func landXML(linear string, surfaces ...string) *fstest.MapFile {
	units := `<Metric linearUnit="meter" areaUnit="squareMeter" volumeUnit="cubicMeter" temperatureUnit="celsius" pressureUnit="HPA" angularUnit="decimal degrees"/>`
	if linear == "foot" {
		units = `<Imperial linearUnit="foot" areaUnit="squareFoot" volumeUnit="cubicFeet" temperatureUnit="fahrenheit" pressureUnit="inHG" angularUnit="decimal degrees"/>`
	}
	return &fstest.MapFile{Data: []byte(`<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2" date="2026-11-25" time="08:00:00"><Units>` + units + `</Units><Surfaces>` + strings.Join(surfaces, "") + `</Surfaces></LandXML>`)}
}

func tin(name string, corners [][3]float64, faces ...[3]int) string {
	text := fmt.Sprintf(`<Surface name="%s"><Definition surfType="TIN"><Pnts>`, name)
	for i, c := range corners {
		text += fmt.Sprintf(`<P id="%d">%.17g %.17g %.17g</P>`, i+1, c[1], c[0], c[2]) // northing first
	}
	text += "</Pnts><Faces>"
	for _, f := range faces {
		text += fmt.Sprintf("<F>%d %d %d</F>", f[0], f[1], f[2])
	}
	return text + "</Faces></Definition></Surface>"
}

// sheetOver is a surface of two triangles on a rectangle, on a plane.
func sheetOver(name string, x0, y0, x1, y1 float64, z func(x, y float64) float64) string {
	at := func(x, y float64) [3]float64 { return [3]float64{x, y, z(x, y)} }
	return tin(name, [][3]float64{at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)}, [3]int{1, 2, 3}, [3]int{1, 3, 4})
}

// ridged is a roof over the floor of bay: 10.1 m at both ends, 10.25 m along a ridge across it.
func ridged() string {
	return tin("top of fill", [][3]float64{{-1, -1, 10.1 - 0.05}, {3, -1, 10.25}, {7, -1, 10.1 - 0.05}, {-1, 5, 10.1 - 0.05}, {3, 5, 10.25}, {7, 5, 10.1 - 0.05}}, [3]int{1, 2, 5}, [3]int{1, 5, 4}, [3]int{2, 3, 6}, [3]int{2, 6, 5})
}

func evenly(z float64) func(x, y float64) float64 {
	return func(float64, float64) float64 { return z }
}

// Two planes along a ridge across a floor of 6 by 4 m at 10 m, by hand: 24 m² × (0.1 + 0.15/2) m.
func TestDesignWithARidge(t *testing.T) {
	files := bay()
	files["design.xml"] = landXML("meter", ridged(), sheetOver("other", 0, 0, 1, 1, evenly(10)))
	r := solved(t, bayJob("surface = \"design.xml#top of fill\"\n"), files)
	isWithin(t, "fill", r.Fill.Fill, 24*0.175, 1e-8)
	isWithin(t, "deepest", r.Fill.Greatest, 0.25, 1e-9)
	isWithin(t, "room at A1", r.Thresholds[0].Room, 10.2-10.25, 1e-9)
	if r.Design == nil || r.Design.Triangles != 4 || r.Design.Lowered != 0 || len(r.NotFilled) != 0 {
		t.Errorf("%+v, %d not filled", r.Design, len(r.NotFilled))
	}
	// As the finished floor it is lowered.
	low := solved(t, bayJob("surface = \"design.xml#top of fill\"\nbuildup = \"12mm\"\nlow = \"3mm\"\n"), files)
	isWithin(t, "below the finished floor", low.Fill.Fill, 24*0.16, 1e-8)
	// By fine squares: the middle of each, to the height of the design there.
	volume, step := 0.0, 0.01
	for x := step / 2; x < 6; x += step {
		volume += step * 4 * (0.25 - 0.05*math.Abs(x-3))
	}
	isWithin(t, "by strips", r.Fill.Fill, volume, 1e-6)
	raised, err := r.Raised(0.01)
	if err != nil {
		t.Fatal(err)
	}
	isWithin(t, "raised", raised.Fill.Fill, r.Fill.Fill+0.24, 1e-8)
	// A given volume fills it to a height above it: by hand 0.48 m³ on 24 m² are 20 mm.
	more := solved(t, bayJob(fmt.Sprintf("surface = \"design.xml#top of fill\"\nvolume = \"%.4fm3\"\n", 24*0.175+0.48)), files)
	isWithin(t, "volume", more.Brought.Off, 0.02, 1e-6)
}

// Two triangles on a plane are that plane, in metres, in feet and as points.
func TestDesignOfAPlane(t *testing.T) {
	files := bay()
	z := func(x, y float64) float64 { return 10.1 + 0.01*x - 0.005*y }
	const foot = 0.3048
	files["design.xml"] = landXML("meter", sheetOver("top", -1, -1, 7, 5, z))
	files["feet.xml"] = landXML("foot", sheetOver("top", -1/foot, -1/foot, 7/foot, 5/foot, func(x, y float64) float64 { return z(x*foot, y*foot) / foot }))
	points := "x (m),y (m),z (m)\n"
	for _, c := range [][2]float64{{-1, -1}, {7, -1}, {7, 5}, {-1, 5}, {2, 2.5}} {
		points += fmt.Sprintf("%g,%g,%.17g\n", c[0], c[1], z(c[0], c[1]))
	}
	files["points.csv"] = &fstest.MapFile{Data: []byte(points)}
	files["bare.csv"] = &fstest.MapFile{Data: []byte(strings.ReplaceAll(points, " (m)", ""))} // in the unit of the job
	for _, file := range []string{"design.xml", "feet.xml", "points.csv", "bare.csv"} {
		r := solved(t, bayJob("surface = \""+file+"\"\n"), files)
		isWithin(t, file, r.Fill.Fill, 24*(0.1+0.03-0.01), 1e-8)
	}
}

// A design over half of the floor: by hand 12 m² × 0.1 m, and 12 m² that are not filled.
func TestDesignOverHalf(t *testing.T) {
	files := bay()
	files["design.xml"] = landXML("meter", sheetOver("half", -1, -1, 3, 5, evenly(10.1)))
	r := solved(t, bayJob("surface = \"design.xml\"\n"), files)
	isWithin(t, "fill", r.Fill.Fill, 1.2, 1e-8)
	isWithin(t, "area", r.Fill.Area, 12, 1e-8)
	isWithin(t, "walls", r.Floor.Perimeter, 10, 1e-8)
	if len(r.NotFilled) != 1 || r.NotFilled[0].At == nil || r.NotFilled[0].Shots != 2 {
		t.Fatalf("not filled: %+v", r.NotFilled)
	}
	isWithin(t, "not filled", r.NotFilled[0].Area, 12, 1e-8)
	for _, p := range r.Pins.Pins {
		if p.At.X > 3 {
			t.Errorf("pin %s at (%g, %g), beyond the design", p.Name, p.At.X, p.At.Y)
		}
	}
	edge := false
	for _, n := range r.Notes {
		edge = edge || strings.Contains(n.In(styleOf(r)), "the fill ends up to 100 mm above the floor where the target surface ends, along 4.000 m of edge")
	}
	if !edge {
		t.Error("no word of the open edge")
	}
	// A part that stays as it is, and a design over the others.
	parts := sunken()
	parts["design.xml"] = landXML("meter", sheetOver("top", -1, -1, 12, 5, evenly(10.1)))
	r = solved(t, bayJob("surface = \"design.xml\"\nparts = [\"pit=none\"]\n"), parts)
	isWithin(t, "without the pit", r.Fill.Fill, 32*0.1, 1e-8)
	// The finished floor beside what is not covered counts for nothing.
	parts["design.xml"] = landXML("meter", sheetOver("top", -1, -1, 6, 5, evenly(10.1)))
	r = solved(t, bayJob("surface = \"design.xml\"\n"), parts)
	isWithin(t, "the room", r.Fill.Fill, 2.4, 1e-8)
	if len(r.Thresholds) != 1 || len(r.NotFilled) != 2 {
		t.Errorf("%d thresholds, not filled %+v", len(r.Thresholds), r.NotFilled)
	}
}

// After the pour the floor is judged against the design, where it covers.
func TestJudgedAgainstADesign(t *testing.T) {
	files := bay()
	files["design.xml"] = landXML("meter", sheetOver("half", -1, -1, 3, 5, evenly(10.1)))
	after := "name,x,y,z\n"
	for x := 0; x <= 6; x++ {
		for y := 0; y <= 4; y++ {
			after += fmt.Sprintf("C%d%d,%d,%d,%g\n", x, y, x, y, 10.102)
		}
	}
	files["after.csv"] = &fstest.MapFile{Data: []byte(after)}
	r := solved(t, strings.Replace(bayJob("surface = \"design.xml\"\n"), "outline =", "after = [\"after.csv\"]\noutline =", 1), files)
	isWithin(t, "highest", r.Judged.Off.Highest, 0.002, 1e-9)
	isWithin(t, "area", r.Judged.Area, 12, 1e-8)
	isWithin(t, "placed", r.Judged.Placed.Net, 12*0.102, 1e-7)
}

func TestDesignRefusals(t *testing.T) {
	files := bay()
	files["design.xml"] = landXML("meter", ridged(), sheetOver("half", -1, -1, 3, 5, evenly(10.1)))
	files["far.xml"] = landXML("meter", sheetOver("top", 100, 100, 110, 110, evenly(10.1)))
	files["high.xml"] = landXML("meter", sheetOver("top", -1, -1, 7, 5, evenly(101)))
	files["points.csv"] = &fstest.MapFile{Data: []byte("x (m),y (m),z (m)\n-1,-1,10.1\n7,-1,10.1\n7,5,10.1\n-1,5,10.1\n")}
	files["bare.csv"] = &fstest.MapFile{Data: []byte("x,y\n-1,-1\n7,-1\n7,5\n")}
	for _, c := range []struct{ target, want string }{
		{"surface = \"design.xml\"\n", "target.surface: found 2 surfaces in design.xml: \"top of fill\", \"half\", want one of them named"},
		{"surface = \"design.xml#haf\"\n", "did you mean [target] surface = \"design.xml#half\"?"},
		{"surface = \"points.csv#top\"\n", "points.csv has points and no surface"},
		{"surface = \"none.xml\"\n", "target.surface"},
		{"surface = \"far.xml\"\n", "found a surface from (100.000, 100.000) m to (110.000, 110.000) m, and a floor from (0.000, 0.000) m to (6.000, 4.000) m"},
		{"surface = \"high.xml\"\n", "target.surface: found a target 91.000 m from the floor"},
		{"surface = \"bare.csv\"\n", "bare.csv:1: "},
		{"surface = \"points.csv\"\nelevation = \"10.1m\"\n", "each set the target; give one of them"},
		{"surface = \"points.csv\"\nfall = \"1%\"\ntoward = \"N\"\n", "has its own heights and falls"},
		{"surface = \"points.csv\"\nfall = \"1%\"\ndrains = [\"3m,2m\"]\n", "has its own heights and falls"},
		{"surface = \"points.csv\"\nramps = [\"A1=1m\"]\n", "has its own heights and falls"},
		{"surface = \"points.csv\"\nbest = true\nmax-fall = \"1%\"\n", "has its own heights and falls"},
		{"surface = \"points.csv\"\nparts = [\"room=10m\"]\n", "is for all parts that are filled"},
	} {
		err := refused(t, bayJob(c.target), files)
		if text := hinted(err); !strings.Contains(text, c.want) {
			t.Errorf("%q: %s, want %q in it", c.target, text, c.want)
		}
		var e *survey.Error
		if !errors.As(err, &e) || e.File == "" {
			t.Errorf("%q: no place: %v", c.target, err)
		}
	}
}

// A reading in doubt changes the fill where the design covers, and no more.
func TestDoubtWithinADesign(t *testing.T) {
	files := bay()
	text := "name,x,y,z\n"
	for x := 0; x <= 6; x++ {
		for y := 0; y <= 4; y++ {
			z := 10.0
			if x == 1 && y == 2 {
				z = 10.3048 // one foot
			}
			text += fmt.Sprintf("S%d%d,%d,%d,%g\n", x, y, x, y, z)
		}
	}
	files["floor.csv"] = &fstest.MapFile{Data: []byte(text)}
	files["design.xml"] = landXML("meter", sheetOver("half", -1, -1, 3, 5, evenly(10.4)))
	r := solved(t, bayJob("surface = \"design.xml\"\n"), files)
	if len(r.Blunders) != 1 {
		t.Fatalf("%d findings", len(r.Blunders))
	}
	isWithin(t, "corrected", r.Blunders[0].Corrected.Fill, 12*0.4, 0.02)
	isWithin(t, "area", r.Blunders[0].Corrected.Area, 12, 1e-8)
}

// A design that ends a little inside the walls leaves many slivers: the largest are listed, the others
// together.
func TestManyPiecesNotCovered(t *testing.T) {
	var left []PartLeft
	for i := range 8 {
		left = append(left, PartLeft{Area: 8 - float64(i), At: &surface.Vec{X: float64(i)}})
	}
	notes := leftNotes(left)
	if len(notes) != 6 {
		t.Fatalf("%d notes, want 5 and one for the rest", len(notes))
	}
	if got := notes[5].In(unit.Style{}); !strings.Contains(got, "3 pieces beside these, 6.00 m² in all") { // 3 + 2 + 1
		t.Error(got)
	}
}
