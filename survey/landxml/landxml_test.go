package landxml

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// readXML reads a file.
func readXML(t *testing.T, name string, o survey.Options) (*survey.Survey, error) {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	return Read(f, name, o)
}

func openXML(t *testing.T, name string, o survey.Options) *survey.Survey {
	t.Helper()
	s, err := readXML(t, filepath.Join("../../testdata/landxml", name), o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// planArea returns the plan area of the visible faces, by the shoelace formula.
func planArea(s *survey.Surface) float64 {
	total := 0.0
	for _, f := range s.Faces {
		a, b, c := s.Vertices[f[0]], s.Vertices[f[1]], s.Vertices[f[2]]
		total += math.Abs((b.X-a.X)*(c.Y-a.Y)-(b.Y-a.Y)*(c.X-a.X)) / 2
	}
	return total
}

// The content of each file. Plan areas of samples were worked out from the files in
// exact fractions, in their own unit; those of lx11-subdivision are declared in the
// file, which another program wrote.
func TestLandXMLFiles(t *testing.T) {
	const foot, surveyFoot = 0.3048, 1200.0 / 3937
	for _, c := range []struct {
		file                      string
		surface                   int
		vertices, faces           int
		area                      float64 // m²
		points, rings, breaklines int
		leftOut                   int
		format                    string
	}{
		{file: "made/void-and-island.xml", vertices: 114, faces: 160, area: 80, points: 117, rings: 3, breaklines: 1, format: "LandXML 1.2"},
		{file: "made/source-data-only.xml", points: 28, breaklines: 1, rings: 1, format: "LandXML 1.2"},
		{file: "made/prefix-millimetre-exponent.xml", vertices: 35, faces: 48, area: 96, format: "LandXML 1.2"},
		{file: "made/utf16le-bom.xml", vertices: 4, faces: 2, area: 24, format: "LandXML 1.2"},
		{file: "made/latin1-declared.xml", vertices: 4, faces: 2, area: 24, format: "LandXML 1.2"},
		{file: "made/utf8-bom.xml", vertices: 4, faces: 2, area: 24, format: "LandXML 1.2"},
		{file: "made/version-1.0.xml", vertices: 4, faces: 2, area: 24, breaklines: 1, format: "LandXML 1.0"},
		{file: "made/foot.xml", vertices: 4, faces: 2, area: 111.483648, format: "LandXML 1.2"},
		{file: "made/foot-elevationunit-meter.xml", vertices: 4, faces: 2, area: 111.483648, format: "LandXML 1.2"},
		{file: "made/us-survey-foot-big-coordinates.xml", vertices: 4, faces: 2, area: 1200 * surveyFoot * surveyFoot, format: "LandXML 1.2"},
		{file: "made/grid-quads.xml", vertices: 12, faces: 12, area: 96, format: "LandXML 1.2"},
		{file: "samples/fi-road-highest.xml", vertices: 307, faces: 547, area: 315.505526361527, breaklines: 13, format: "LandXML 1.2"},
		{file: "samples/fi-rockbed.xml", vertices: 2037, faces: 3244, area: 2160.7097325, points: 988, breaklines: 67, format: "LandXML 1.2"},
		{file: "samples/us-survey-foot.xml", vertices: 57, faces: 96, area: 3031369.120805853 * surveyFoot * surveyFoot, format: "LandXML 1.2"},
		{file: "samples/lx11-subdivision.xml", vertices: 713, faces: 1284, area: 9742293.9521 * foot * foot, leftOut: 286, format: "LandXML 1.1"},
		{file: "samples/lx11-subdivision.xml", surface: 1, vertices: 2716, faces: 5241, area: 2768515.7662 * foot * foot, leftOut: 286, format: "LandXML 1.1"},
	} {
		t.Run(fmt.Sprintf("%s %d", c.file, c.surface), func(t *testing.T) {
			s := openXML(t, c.file, survey.Options{})
			u := s.Surfaces[c.surface]
			area := planArea(&u)
			for _, n := range []struct {
				what      string
				got, want int
			}{
				{"vertices", len(u.Vertices), c.vertices}, {"faces", len(u.Faces), c.faces},
				{"points", len(u.Points), c.points}, {"rings", len(u.Rings), c.rings},
				{"breaklines", len(u.Breaklines), c.breaklines}, {"left out", len(s.LeftOut()), c.leftOut},
			} {
				if n.got != n.want && !(n.what == "points" && c.file == "samples/fi-road-highest.xml") {
					t.Errorf("%d %s, want %d", n.got, n.what, n.want)
				}
			}
			if c.area > 0 && math.Abs(area-c.area) > 2e-11*c.area+1e-5*1e-5 && !strings.Contains(c.file, "subdivision") {
				t.Errorf("plan area %.12g m², want %.12g", area, c.area)
			}
			if strings.Contains(c.file, "subdivision") && math.Abs(area-c.area) > 1e-9*c.area {
				t.Errorf("plan area %.12g m², the file declares %.12g", area, c.area)
			}
			if s.Format != c.format {
				t.Errorf("format %q, want %q", s.Format, c.format)
			}
		})
	}
}

// Northing comes first in the file; the extents of the room differ, so a swap shows.
func TestLandXMLNorthComesFirst(t *testing.T) {
	s := openXML(t, "made/foot.xml", survey.Options{})
	p := s.Surfaces[0].Vertices[0]
	if p.Y != 365760 || p.X != 731520 || p.Z != 30.48 {
		t.Errorf("first point at %.4f east, %.4f north, %.4f up; want 731520, 365760, 30.48", p.X, p.Y, p.Z)
	}
	if s.Unit != unit.Foot {
		t.Errorf("unit %v, want ft", s.Unit)
	}
	big := openXML(t, "made/us-survey-foot-big-coordinates.xml", survey.Options{}).Surfaces[0].Vertices[0]
	if math.Abs(big.Y-365760.7315) > 5e-5 || math.Abs(big.X-731521.4630) > 5e-5 || math.Abs(big.Z-30.480061) > 5e-7 {
		t.Errorf("US survey feet: %.4f, %.4f, %.6f", big.X, big.Y, big.Z)
	}
}

func TestLandXMLPoints(t *testing.T) {
	s := openXML(t, "made/points-and-references.xml", survey.Options{})
	if len(s.Points) != 6 || s.Rows != 8 || len(s.LeftOut()) != 2 {
		t.Errorf("%d of %d points, %d left out; want 6 of 8 and 2", len(s.Points), s.Rows, len(s.LeftOut()))
	}
	for _, p := range s.Points {
		if p.Name() == "S3" && p.Z != 9.969 {
			t.Errorf("S3 has coordinates of its own; elevation %g, want 9.969", p.Z)
		}
	}
	if len(s.Outlines) != 1 || s.Outlines[0].Name != "treatment 1" || len(s.Outlines[0].Points) != 4 {
		t.Errorf("outlines %+v, want one of four corners", s.Outlines)
	}
	if n := len(openXML(t, "samples/fi-lighting-points.xml", survey.Options{}).Points); n != 37 {
		t.Errorf("%d points nested three deep, want 37", n)
	}
	levels := openXML(t, "made/rod-observations.xml", survey.Options{})
	want := map[string]float64{"L1": 9.988, "L2": 9.974, "L3": 9.969}
	for _, p := range levels.Points {
		if math.Abs(p.Z-want[p.Name()]) > 1e-12 {
			t.Errorf("%s = %g, want %g", p.Name(), p.Z, want[p.Name()])
		}
		delete(want, p.Name())
	}
	if len(want) > 0 {
		t.Errorf("no elevation for %v", want)
	}
	if len(levels.Points) != 3 || len(levels.Control) != 1 || levels.Control[0].Name() != "BM" || levels.Control[0].Z != 10 {
		t.Errorf("control %+v, want the benchmark and no part of the floor", levels.Control)
	}
	if n := len(openXML(t, "samples/lx11-subdivision.xml", survey.Options{}).Outlines); n != 83 {
		t.Errorf("%d parcels, want 83", n)
	}
}

// On a national grid coordinates are millions of metres. A gap wide enough to walk
// through must not pass as rounding.
func TestLandXMLOpenLineOnANationalGridIsNoOutline(t *testing.T) {
	corner := func(n, e float64) string { return fmt.Sprintf("%.4f %.4f", 6783020+n, 21530666+e) }
	room := func(last string) string {
		line := func(a, b string) string { return "<Line><Start>" + a + "</Start><End>" + b + "</End></Line>" }
		a, b, c := corner(0, 0), corner(0, 6), corner(4, 6)
		return head + metr + tri + `<PlanFeatures><PlanFeature name="room"><CoordGeom>` + line(a, b) + line(b, c) + line(c, last) + `</CoordGeom></PlanFeature></PlanFeatures>` + end
	}
	for _, c := range []struct {
		last     string
		outlines int
		note     string
	}{
		{corner(0, 0), 1, ""},
		{corner(4, 0), 0, "gap of 4.000 m"},
		{corner(0.01, 0), 0, "gap of 0.010 m"},
		{corner(0.0004, 0), 1, ""}, {corner(0.0006, 0), 0, "gap of 0.001 m"}, // half the last digit of files in millimetres
	} {
		s, err := Read(strings.NewReader(room(c.last)), "x.xml", survey.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Outlines) != c.outlines || !strings.Contains(fmt.Sprint(s.Notes), c.note) {
			t.Errorf("ending at %s: %d outlines, notes %v; want %d and %q", c.last, len(s.Outlines), s.Notes, c.outlines, c.note)
		}
	}
}

// Every point left out is counted; anything unusual has a note.
func TestLandXMLSaysWhatItLeavesOut(t *testing.T) {
	points := `<CgPoints><CgPoint name="a">1 2 0.02</CgPoint><CgPoint name="b">3 2 0.000</CgPoint><CgPoint name="c">3 5 0.0</CgPoint></CgPoints>`
	data := func(attr, inner string) string {
		return `<Surfaces><Surface name="s"><SourceData><DataPoints ` + attr + `>` + inner + `</DataPoints></SourceData></Surface></Surfaces>`
	}
	for _, c := range []struct {
		name, doc               string
		points, source, leftOut int
		note                    string
	}{
		{"zero among others near it", points, 3, 0, 0, fmt.Sprintf("x.xml:1:%d: elevation exactly 0, here and at 2 points in all", strings.Index(head+metr+points, `<CgPoint name="b"`)+1)},
		{"data points not to be included", points + data("", `<PntList3D>1 1 1</PntList3D>`) + data(`DTMAttribute="donotinclude"`, `<PntList3D>0 0 1 0 6 1</PntList3D>`), 3, 1, 2, "data point 2 of surface"},
		{"data point by reference", data(`pntRef="c" code="SLAB"`, ``) + points, 3, 1, 0, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			doc := head + metr + c.doc + end
			if c.leftOut > 0 { // a surface with nothing else is refused, so put both lists in one
				doc = strings.Replace(doc, `</SourceData></Surface></Surfaces><Surfaces><Surface name="s"><SourceData>`, "", 1)
			}
			s, err := Read(strings.NewReader(doc), "x.xml", survey.Options{})
			if err != nil {
				t.Fatal(err)
			}
			source := 0
			for _, u := range s.Surfaces {
				source += len(u.Points)
				for _, p := range u.Points {
					if !p.HasZ() || math.IsInf(p.Z, 0) {
						t.Errorf("data point %+v", p)
					}
				}
			}
			if len(s.Points) != c.points || source != c.source || len(s.LeftOut()) != c.leftOut || !strings.Contains(fmt.Sprint(s.Notes), c.note) {
				t.Errorf("%d points, %d data points, %d left out, notes %v; want %d, %d, %d, %q", len(s.Points), source, len(s.LeftOut()), s.Notes, c.points, c.source, c.leftOut, c.note)
			}
		})
	}
}

// The exact message for each bad file: place, what was found, what is wanted.
func TestLandXMLRefusals(t *testing.T) {
	for file, want := range map[string]string{
		"bad-ambiguous-reference.xml": `:4:238: pntRef: found "1", the name of two points (FILE:4:26 and FILE:4:134), want a reference with one meaning`,
		"bad-comma-decimal.xml":       `:4:87: point id 2 of surface "s": found "0,000", want a number with a decimal point; LandXML has no decimal comma`,
		"bad-dangling-face.xml":       `:4:182: face 2 of surface "s": found point id 5, which does not exist, want the id of a point of this surface`,
		"bad-duplicate-id.xml":        `:4:133: point id 3 of surface "s": found other coordinates than at FILE:4:110, want one place for one id`,
		"bad-nan.xml":                 `:4:87: point id 2 of surface "s": found "NaN", want a finite number such as -12.345`,
		"bad-no-elevation.xml":        `:4:87: point id 2 of surface "s": found no elevation, where face 1 (FILE:4:164) uses it, want northing, easting and elevation`,
		"bad-no-units.xml":            `: Units: found none, want the linear unit of the coordinates`,
		"bad-truncated.xml":           `:2:653: found the end of the file inside Faces, want a whole file; this one is cut short`,
		"bad-two-point-face.xml":      `:4:182: face 2 of surface "s": found 2 points, want 3`,
	} {
		name := filepath.Join("../../testdata/landxml/made", file)
		_, err := readXML(t, name, survey.Options{})
		if err == nil || err.Error() != name+strings.ReplaceAll(want, "FILE", name) {
			t.Errorf("%s: error %v\nwant %s", file, err, want)
		}
	}
}

// Malformed documents, with the exact message. The mark ‸ shows the place that the
// message must name and is not part of the document. The decoder reads up to the fault.
func TestMalformedLandXML(t *testing.T) {
	const cut = "want a whole file; this one is cut short"
	inside := func(text string) string {
		return "<LandXML>\n<Units><Metric linearUnit=\"meter\"/></Units>\n" + text + "\n</LandXML>\n"
	}
	point := func(text string) string {
		return inside("<CgPoints>\n <CgPoint name=" + text + "</CgPoint></CgPoints>")
	}
	tin := func(text string) string {
		return inside("<Surfaces><Surface name=\"s\">\n<Definition surfType=\"TIN\">" + text + "</Definition></Surface></Surfaces>")
	}
	for _, c := range []struct{ name, doc, want string }{
		{"empty", "‸", "found no element, want a LandXML document"},
		{"only line ends", "\n\n‸", "found no element, want a LandXML document"},
		{"only a comment", "<!-- nothing -->‸", "found no element, want a LandXML document"},
		{"only words", "LandXML‸", "found no element, want a LandXML document"},
		{"cut before the end tag", "<LandXML>\n<Units/>\n‸", "found the end of the file inside LandXML, " + cut},
		{"cut inside a tag", "<LandXML>\n<Units‸", "found the end of the file inside LandXML, " + cut},
		{"cut inside an attribute", "<LandXML>\n<Units a=\"‸", "found the end of the file inside LandXML, " + cut},
		{"cut inside an end tag", "<LandXML>\n<Units>\n</Un‸", "found the end of the file inside Units, " + cut},
		{"comment without end", inside("<!-- open") + "‸", "found the end of the file inside LandXML, " + cut},
		{"CDATA without end", inside("<![CDATA[ open") + "‸", "found the end of the file inside LandXML, " + cut},
		{"instruction without end", inside("<?open") + "‸", "found the end of the file inside LandXML, " + cut},
		{"another end tag", inside("<Surfaces>‸</Surface>"), "found </Surface>, want </Surfaces>"},
		{"end tag without start", inside("‸</Surfaces>"), "found </Surfaces>, want </LandXML>"},
		{"tags crossed", inside("<Surfaces><Surface>‸</Surfaces></Surface>"), "found </Surfaces>, want </Surface>"},
		{"prefixes crossed", inside("<a:Surfaces>‸</b:Surfaces>"), "found </b:Surfaces>, want </a:Surfaces>"},
		{"attribute without value", inside("<Surfaces name>‸"), "found attribute name without = in element, want well-formed XML"},
		{"attribute without quotes", inside("<Surfaces name=a‸>"), "found unquoted or missing attribute value in element, want well-formed XML"},
		{"attribute twice", inside("‸<Surfaces name=\"a\" name=\"b\"/>"), "<Surfaces>: found attribute name twice, want well-formed XML"},
		{"invisible twice", tin("<Faces><F>1 2 3</F>\n‸<F i=\"1\" i=\"0\">1 2 3</F></Faces>"), "<F>: found attribute i twice, want well-formed XML"},
		{"bare ampersand", point("\"A &‸ B\">1 2 3"), "found invalid character entity & (no semicolon), want well-formed XML"},
		{"bare less-than in an attribute", point("\"<‸A>\">1 2 3"), "found unescaped < inside quoted string, want well-formed XML"},
		{"bare less-than in text", point("\"A\">1 <‸ 2"), "found expected element name after <, want well-formed XML"},
		{"name that begins with a digit", inside("<1Point‸/>"), "found invalid XML name: 1Point, want well-formed XML"},
		{"control character", point("\"A\">1 2 \x013‸"), "found illegal character code U+0001, want well-formed XML"},
		{"bytes that are no UTF-8 behind a mark", "\xef\xbb\xbf" + point("\"\xfc\"‸>1 2 3"), "found invalid UTF-8, want well-formed XML"},
		{"point without id", tin("<Pnts>‸<P>0 0 1</P></Pnts>"), `point id in surface "s": found "", want a whole number`},
		{"negative id", tin("<Faces>\n‸<F>1 2 -3</F></Faces>"), `face 1 of surface "s": found "-3", want the id of a point, a whole number`},
		{"id with decimals", tin("<Faces>\n‸<F>1 2 3.0</F></Faces>"), `face 1 of surface "s": found "3.0", want the id of a point, a whole number`},
		{"id beyond all counting", tin("<Faces>\n‸<F>1 2 99999999999</F></Faces>"), `face 1 of surface "s": found "99999999999", want the id of a point, a whole number`},
		{"declared area in words", inside("<Surfaces><Surface name=\"s\">‸<Definition surfType=\"TIN\" area2DSurf=\"about 3\"/></Surface></Surfaces>"), `area2DSurf of surface "s": found "about 3", want a finite number such as -12.345`},
	} {
		t.Run(c.name, func(t *testing.T) {
			before, after, ok := strings.Cut(c.doc, "‸")
			if !ok {
				t.Fatal("no mark")
			}
			want := fmt.Sprintf("x.xml:%d:%d: %s", strings.Count(before, "\n")+1, len(before)-strings.LastIndex(before, "\n"), c.want)
			_, err := Read(strings.NewReader(before+after), "x.xml", survey.Options{})
			if err == nil || err.Error() != want {
				t.Errorf("error %v\nwant  %s", err, want)
			}
		})
	}
}

const (
	head = `<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2">`
	foot = `<Units><Imperial linearUnit="foot"/></Units>`
	metr = `<Units><Metric linearUnit="meter"/></Units>`
	tri  = `<Surfaces><Surface name="s"><Definition surfType="TIN"><Pnts><P id="1">0 0 1</P><P id="2">0 6 1</P><P id="3">4 0 1</P></Pnts><Faces><F>1 2 3</F></Faces></Definition></Surface></Surfaces>`
	end  = `</LandXML>`
)

// One trap per row, with its result: a message, or a correct reading.
func TestLandXMLTraps(t *testing.T) {
	surface := func(inner string) string {
		return head + metr + `<Surfaces><Surface name="s">` + inner + `</Surface></Surfaces>` + end
	}
	faces := func(pnts, fs string) string {
		return surface(`<Definition surfType="TIN"><Pnts>` + pnts + `</Pnts><Faces>` + fs + `</Faces></Definition>`)
	}
	three := `<P id="1">0 0 1</P><P id="2">0 6 1</P><P id="3">4 0 1</P>`
	for _, c := range []struct {
		name, doc string
		o         survey.Options
		want      string // in the error; empty: read without error
	}{
		{"plain", head + metr + tri + end, survey.Options{}, ""},
		{"another root", `<gpx></gpx>`, survey.Options{}, `x.xml:1:1: root element: found <gpx>, want <LandXML>`},
		{"nothing", ``, survey.Options{}, "found no element, want a LandXML document"},
		{"only a declaration", `<?xml version="1.0"?>`, survey.Options{}, "found no element"},
		{"tags that do not match", head + `<Units></Unit>` + end, survey.Options{}, "found </Unit>, want </Units>"},
		{"attribute without end", head + `<Units a="`, survey.Options{}, "found the end of the file inside LandXML"},
		{"two units", head + foot + metr + tri + end, survey.Options{}, "Units: found metre, where x.xml:1"},
		{"the same units twice", head + metr + metr + tri + end, survey.Options{}, ""},
		{"units of a survey header are not those of the file", head + `<Survey><SurveyHeader name="a">` + foot + `</SurveyHeader></Survey>` + metr + tri + end, survey.Options{}, ""},
		{"units asked for contradict", head + foot + tri + end, survey.Options{Unit: unit.Metre}, "Units: found foot, want m, the unit asked for"},
		{"units asked for, none in the file", head + tri + end, survey.Options{Unit: unit.Metre}, ""},
		{"unknown unit", head + `<Units><Metric linearUnit="ell"/></Units>` + end, survey.Options{}, `linearUnit: found "ell", want meter`},
		{"points of a feature are no surface data", surface(`<Definition surfType="TIN"><Pnts>` + three + `</Pnts><Faces><F>1 2 3</F></Faces><Feature><Pnts><P id="x">no</P></Pnts></Feature></Definition>`), survey.Options{}, ""},
		{"foreign elements are passed over", head + metr + `<q:Surfaces xmlns:q="urn:q"><q:Surface/></q:Surfaces>` + tri + end, survey.Options{}, ""},
		{"surface without data", surface(`<SourceData></SourceData>`), survey.Options{}, `surface "s": found no data`},
		{"id that is no number", faces(`<P id="A">0 0 1</P>`, ``), survey.Options{}, `point id in surface "s": found "A", want a whole number`},
		{"id twice at one place", faces(three+`<P id="3">4 0 1</P>`, `<F>1 2 3</F>`), survey.Options{}, ""},
		{"ids in any order", faces(`<P id="30">0 0 1</P><P id="7">0 6 1</P><P id="1">4 0 1</P>`, `<F>7 30 1</F>`), survey.Options{}, ""},
		{"face with one point twice", faces(three, `<F>1 2 2</F>`), survey.Options{}, `face 1 of surface "s": found point id 2 twice`},
		{"only invisible faces", faces(three, `<F i="1">1 2 3</F>`), survey.Options{}, "found no visible face"},
		{"four numbers", faces(`<P id="1">0 0 1 1</P>`, ``), survey.Options{}, "found 4 numbers"},
		{"infinity", faces(`<P id="1">0 0 INF</P>`, ``), survey.Options{}, `found "INF", want a finite number`},
		{"hexadecimal", faces(`<P id="1">0 0 0x1p3</P>`, ``), survey.Options{}, `found "0x1p3"`},
		{"underscore", faces(`<P id="1">0 0 1_0</P>`, ``), survey.Options{}, `found "1_0"`},
		{"nothing after the point", faces(`<P id="1">0. 0. 71.</P><P id="2">0 6 1</P><P id="3">4 0 1</P>`, `<F>1 2 3</F>`), survey.Options{}, ""},
		{"number list on the next line", faces("<P id=\"1\">\n 0\r\n\t0 1 </P><P id=\"2\">0 6 1</P><P id=\"3\">4 0 1</P>", `<F>1 2 3</F>`), survey.Options{}, ""},
		{"odd list", surface(`<SourceData><DataPoints><PntList3D>0 0 1 0</PntList3D></DataPoints></SourceData>`), survey.Options{}, "found 4 numbers, want a multiple of 3"},
		{"unknown boundary", surface(`<SourceData><Boundaries><Boundary bndType="dataclip" edgeTrim="true"><PntList2D>0 0 0 1 1 1</PntList2D></Boundary></Boundaries></SourceData>`), survey.Options{}, `bndType of Boundary "" of surface "s": found "dataclip", want outer, void or island`},
		{"breakline of one point", surface(`<SourceData><Breaklines><Breakline name="b"><PntList3D>0 0 1</PntList3D></Breakline></Breaklines></SourceData>`), survey.Options{}, `Breakline "b" of surface "s": found 1 points, want at least 2`},
		{"contour without elevation", surface(`<SourceData><Contours><Contour><PntList2D>0 0 0 1</PntList2D></Contour></Contours></SourceData>`), survey.Options{}, `elev of Contour of surface "s"`},
		{"kind of surface", surface(`<Definition surfType="mesh"/>`), survey.Options{}, `surfType of surface "s": found "mesh", want TIN or grid`},
		{"reference to nothing", head + metr + `<CgPoints><CgPoint name="a" pntRef="b"/></CgPoints>` + end, survey.Options{}, `pntRef: found "b", want the name of a CgPoint`},
		{"references in a circle", head + metr + `<CgPoints><CgPoint name="a" pntRef="b"/><CgPoint name="b" pntRef="a"/></CgPoints>` + end, survey.Options{}, "leads back to where it came from"},
		{"a hundred references in a row", head + metr + chained(100) + end, survey.Options{}, ""},
		{"one more", head + metr + chained(101) + end, survey.Options{}, `pntRef: found "p101", after 100 references in a row, want references that end sooner`},
		{"forward reference", head + metr + `<CgPoints><CgPoint name="a" pntRef="b"/><CgPoint name="b">1 2 3</CgPoint></CgPoints>` + end, survey.Options{}, ""},
		{"points without elevations", head + metr + `<CgPoints><CgPoint name="a">1 2</CgPoint></CgPoints>` + end, survey.Options{}, "found 1 points, none of them with an elevation"},
		{"line to a centre", head + metr + `<PlanFeatures><PlanFeature name="r"><CoordGeom><Line><Start>0 0</Start><Center>0 6</Center></Line></CoordGeom></PlanFeature></PlanFeatures>` + end, survey.Options{}, `Line of PlanFeature "r": found 2 places, want Start and End`},
		{"nothing of use", head + metr + `<Alignments><Alignment name="a" length="1" staStart="0"/></Alignments>` + end, survey.Options{}, "found no points or surfaces"},
		{"junk after the end", head + metr + tri + end + "\x00\x1a", survey.Options{}, ""},
		{"unknown encoding", `<?xml version="1.0" encoding="rot13"?><LandXML/>`, survey.Options{}, `XML declaration: found encoding "rot13"`},
		{"declared UTF-16, written byte by byte", `<?xml version="1.0" encoding="UTF-16"?>` + strings.TrimPrefix(head, `<?xml version="1.0"?>`) + metr + tri + end, survey.Options{}, ""},
		{"undeclared Latin-1", strings.Replace(head+metr+tri+end, `"s"`, "\"s\xe4\"", 1), survey.Options{}, ""},
		{"two backsights", head + metr + `<CgPoints><CgPoint name="a">1 2 10</CgPoint><CgPoint name="b">1 3 11</CgPoint><CgPoint name="c">1 4</CgPoint></CgPoints><Survey><InstrumentSetup id="I"><RawObservation rod="1.5" purpose="backsight"><TargetPoint pntRef="a"/></RawObservation><RawObservation rod="0.6" purpose="backsight"><TargetPoint pntRef="b"/></RawObservation><RawObservation rod="1.5" purpose="sideshot"><TargetPoint pntRef="c"/></RawObservation></InstrumentSetup></Survey>` + end, survey.Options{}, `set-up "I": found backsights on "a" and "b", want one backsight`},
		{"rod readings without backsight", head + metr + `<CgPoints><CgPoint name="a">1 2</CgPoint></CgPoints><Survey><InstrumentSetup id="I"><RawObservation rod="1.5" purpose="sideshot"><TargetPoint pntRef="a"/></RawObservation></InstrumentSetup></Survey>` + end, survey.Options{}, `set-up "I": found rod readings without a backsight`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(strings.NewReader(c.doc), "x.xml", c.o)
			switch {
			case c.want == "" && err != nil:
				t.Errorf("refused: %v", err)
			case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
				t.Errorf("error %v\nwant %s", err, c.want)
			}
		})
	}
}

// chained makes points that each refer to the next; the last refers to one with
// coordinates.
func chained(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, `<CgPoint name="p%d" pntRef="p%d"/>`, i, i+1)
	}
	return fmt.Sprintf(`<CgPoints>%s<CgPoint name="p%d">1 2 3</CgPoint></CgPoints>`, b.String(), n)
}

func TestLandXMLWindowsBytesAreRead(t *testing.T) {
	s, err := Read(strings.NewReader(strings.Replace(head+metr+tri+end, `"s"`, "\"K\xfcche\"", 1)), "x.xml", survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if s.Surfaces[0].Name != "Küche" {
		t.Errorf("surface %q, want Küche", s.Surfaces[0].Name)
	}
}

// Written documents read back to the same bits.
func TestWriteLandXMLRoundTrip(t *testing.T) {
	d := Document{
		Project: `bay "7" & <annex>`, Version: "1", Date: time.Date(2024, 3, 1, 0, 0, 0, 0, time.UTC),
		Points: []survey.Point{survey.Point{X: 1.5, Y: 1.0 / 3, Z: 9.99}.With(survey.Tag{Name: "A1", Code: "SLAB"}), {X: 2.5, Y: 3, Z: 9.98}, survey.Point{X: 4, Y: 5, Z: math.NaN()}.Named("plan")},
		Surfaces: []survey.Surface{{
			Name:       "as found",
			Vertices:   []survey.Point{{X: 0, Y: 0, Z: 0.1}, {X: math.Pi, Y: 0, Z: -1e-9}, {X: 0.1, Y: 6783020.064, Z: 3}},
			Faces:      [][3]int32{{0, 1, 2}},
			Points:     []survey.Point{{X: 1, Y: 2, Z: 3}},
			Breaklines: []survey.Breakline{{Name: "joint", Points: []survey.Point{{X: 0, Y: 1, Z: 2}, {X: 3, Y: 4, Z: 5}}}, {Name: "step", Points: []survey.Point{{X: 0, Y: 2, Z: math.NaN()}, {X: 3, Y: 2, Z: math.NaN()}}}},
			Rings:      []survey.Ring{{Name: "walls", Points: []survey.Point{{X: 0, Y: 0}, {X: 5, Y: 0}, {X: 5, Y: 5}}}, {Name: "pit", Kind: survey.Hole, Points: []survey.Point{{X: 1, Y: 1}, {X: 2, Y: 1}, {X: 2, Y: 2}}}},
		}, {
			Name:     "faces only",
			Vertices: []survey.Point{{X: 0, Y: 0, Z: 0.1}, {X: 6, Y: 0, Z: 0.1}, {X: 0, Y: 4, Z: 0.05}, {X: 6, Y: 4, Z: 0.1}},
			Faces:    [][3]int32{{0, 1, 2}, {1, 3, 2}},
		}},
	}
	var b bytes.Buffer
	if err := Write(&b, d); err != nil {
		t.Fatal(err)
	}
	s, err := Read(bytes.NewReader(b.Bytes()), "x.xml", survey.Options{})
	if err != nil {
		t.Fatalf("%v\n%s", err, b.String())
	}
	u, v := s.Surfaces[0], d.Surfaces[0]
	bits := func(p []survey.Point) (out [][3]uint64) {
		for _, q := range p {
			out = append(out, [3]uint64{math.Float64bits(q.X), math.Float64bits(q.Y), math.Float64bits(q.Z)})
		}
		return out
	}
	if !reflect.DeepEqual(bits(u.Vertices), bits(v.Vertices)) || !reflect.DeepEqual(bits(u.Points), bits(v.Points)) ||
		!reflect.DeepEqual(bits(u.Breaklines[0].Points), bits(v.Breaklines[0].Points)) || !reflect.DeepEqual(u.Faces, v.Faces) ||
		!reflect.DeepEqual(bits(s.Points), bits(d.Points[:2])) || len(u.Breaklines) != 2 || u.Breaklines[1].Points[0].HasZ() || len(s.Surfaces) != 2 {
		t.Errorf("read back %+v\nwritten %+v", u, v)
	}
	// The extremes are on third corners only.
	if hi, lo := u.Declared.ElevMax, s.Surfaces[1].Declared.ElevMin; hi != 3 || lo != 0.05 {
		t.Errorf("highest declared %g, lowest %g; want 3 and 0.05", hi, lo)
	}
	if len(u.Rings) != 2 || u.Rings[1].Kind != survey.Hole || len(u.Rings[0].Points) != 3 {
		t.Errorf("rings %+v", u.Rings)
	}
	var any struct {
		XMLName xml.Name
		Date    string `xml:"date,attr"`
		Time    string `xml:"time,attr"`
		Version string `xml:"version,attr"`
		Project struct {
			Name string `xml:"name,attr"`
		}
	}
	if err := xml.Unmarshal(b.Bytes(), &any); err != nil || any.Date != "2024-03-01" || any.Time != "00:00:00" || any.Version != "1.2" || any.Project.Name != d.Project {
		t.Errorf("head %+v, error %v", any, err)
	}
	t.Run("schema", func(t *testing.T) {
		name := filepath.Join(t.TempDir(), "all.xml")
		if err := os.WriteFile(name, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		validate(t, name)
	})
}

// A document that cannot be read back is refused, and nothing is written.
func TestWriteLandXMLRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	v := []survey.Point{{X: 0, Y: 0, Z: 1}, {X: 1, Y: 0, Z: 1}, {X: 0, Y: 1, Z: 1}}
	for _, c := range []struct {
		name   string
		change func(d *Document, s *survey.Surface)
		want   string // empty: written
	}{
		{"sound", func(*Document, *survey.Surface) {}, ""},
		{"point without elevation", func(d *Document, _ *survey.Surface) { d.Points = []survey.Point{{X: 1, Y: 2, Z: nan}} }, ""},
		{"points without names", func(d *Document, _ *survey.Surface) { d.Points = []survey.Point{{X: 1, Z: 1}, {X: 2, Z: 1}} }, ""},
		{"two points of one name", func(d *Document, _ *survey.Surface) {
			d.Points = []survey.Point{survey.Point{Z: 1}.Named("7"), survey.Point{Z: 1}.Named("07"), survey.Point{Z: 1}.Named("7")}
		}, `CgPoint: found "7" twice, want points of different names, or of none`},
		{"point at infinity", func(d *Document, _ *survey.Surface) { d.Points = []survey.Point{{X: 1, Y: -inf, Z: 1}} }, "CgPoint 1: found 1 east, -Inf north, 1 up, want finite numbers"},
		{"elevation at infinity", func(d *Document, _ *survey.Surface) { d.Points = []survey.Point{{Z: 1}, {X: 1, Y: 2, Z: inf}} }, "CgPoint 2: found 1 east, 2 north, +Inf up, want finite numbers"},
		{"number that kilometres would overflow", func(d *Document, _ *survey.Surface) { d.Points = []survey.Point{{X: 1.1e300, Z: 1}} }, "CgPoint 1: found 1.1e+300 east"},
		{"no name", func(_ *Document, s *survey.Surface) { s.Name = "" }, `surface 1: found the name "", want a name that no other surface has`},
		{"two surfaces of one name", func(d *Document, s *survey.Surface) { d.Surfaces = []survey.Surface{*s} }, `surface 2: found the name "s", want a name that no other surface has`},
		{"face of one vertex twice", func(_ *Document, s *survey.Surface) { s.Faces = [][3]int32{{0, 1, 2}, {2, 1, 2}} }, `surface "s": three different vertices of face 2; it has 2, 1 and 2`},
		{"face of a vertex below none", func(_ *Document, s *survey.Surface) { s.Faces = [][3]int32{{0, -1, 2}} }, `surface "s": vertices of face 1 that are there; vertex -1 of 3 is not`},
		{"vertex nowhere", func(_ *Document, s *survey.Surface) {
			s.Vertices = append(slices.Clone(v[:2]), survey.Point{X: nan, Z: 1})
		}, "vertex 3: found NaN east"},
		{"area beyond all numbers", func(_ *Document, s *survey.Surface) { s.Vertices = []survey.Point{{}, {X: 1e200}, {Y: 1e200}} }, `surface "s": coordinates small enough for an area`},
		{"point nowhere", func(d *Document, _ *survey.Surface) { d.Points = []survey.Point{{X: nan, Y: 2, Z: 1}} }, "CgPoint 1: found NaN east"},
		{"no faces", func(_ *Document, s *survey.Surface) { s.Faces = nil }, `surface "s": faces to write`},
		{"face of a vertex that is not there", func(_ *Document, s *survey.Surface) { s.Faces = [][3]int32{{0, 1, 3}} }, "vertex 3 of 3 is not"},
		{"vertex without elevation", func(_ *Document, s *survey.Surface) { s.Vertices = append([]survey.Point{{Z: nan}}, v[1:]...) }, "vertex 1: found 0 east, 0 north, NaN up"},
		{"data point without elevation", func(_ *Document, s *survey.Surface) { s.Points = []survey.Point{{Z: nan}} }, "data point 1"},
		{"breakline of one point", func(_ *Document, s *survey.Surface) { s.Breaklines = []survey.Breakline{{Name: "b", Points: v[:1]}} }, `two points or more in breakline "b"`},
		{"breakline with an elevation at one end", func(_ *Document, s *survey.Surface) {
			s.Breaklines = []survey.Breakline{{Name: "b", Points: []survey.Point{{Z: nan}, {X: 1, Z: 2}}}}
		}, `on all points of breakline "b" or on none`},
		{"step", func(_ *Document, s *survey.Surface) {
			s.Breaklines = []survey.Breakline{{Name: "b", Points: []survey.Point{{Z: nan}, {X: 1, Z: nan}}}}
		}, ""},
		{"breakline to infinity", func(_ *Document, s *survey.Surface) {
			s.Breaklines = []survey.Breakline{{Name: "b", Points: []survey.Point{{Z: 1}, {X: 1, Z: inf}}}}
		}, "breakline 2: found"},
		{"ring of two corners", func(_ *Document, s *survey.Surface) { s.Rings = []survey.Ring{{Name: "r", Points: v[:2]}} }, `three corners or more in ring "r"`},
		{"ring to infinity", func(_ *Document, s *survey.Surface) {
			s.Rings = []survey.Ring{{Points: []survey.Point{v[0], v[1], {X: inf}}}}
		}, "corner 3: found +Inf east"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := survey.Surface{Name: "s", Vertices: v, Faces: [][3]int32{{0, 1, 2}}}
			d := Document{Project: "p", Version: "1", Date: time.Date(2024, 3, 1, 0, 0, 0, 0, time.UTC)}
			c.change(&d, &s)
			d.Surfaces = append(d.Surfaces, s)
			var b bytes.Buffer
			err := Write(&b, d)
			switch {
			case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want) || b.Len() > 0):
				t.Errorf("error %v after %d bytes, want %s", err, b.Len(), c.want)
			case c.want == "" && err != nil:
				t.Errorf("refused: %v", err)
			case c.want == "":
				if _, err := Read(&b, "x.xml", survey.Options{}); err != nil {
					t.Errorf("does not read back: %v", err)
				}
			}
		})
	}
}
