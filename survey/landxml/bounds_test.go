package landxml

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pourplane/survey"
)

// Two levels of one point in LandXML may differ by 1.5 mm.
func TestLevelsMayDifferByTheirRounding(t *testing.T) {
	for level, warned := range map[string]bool{"10.0014": false, "10.0016": true} {
		doc := head + metr + `<CgPoints><CgPoint name="a">1 2 10</CgPoint><CgPoint name="b">1 4 ` + level + `</CgPoint><CgPoint name="c">3 4</CgPoint><CgPoint name="d">3 2</CgPoint></CgPoints><Survey><InstrumentSetup id="I"><RawObservation rod="1.5" purpose="backsight"><TargetPoint pntRef="a"/></RawObservation>`
		for _, p := range []string{"b", "c", "d"} {
			doc += `<RawObservation rod="1.5" purpose="sideshot"><TargetPoint pntRef="` + p + `"/></RawObservation>`
		}
		s, err := Read(strings.NewReader(doc+`</InstrumentSetup></Survey>`+end), "x.xml", survey.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(fmt.Sprint(s.Notes), "which is known as"); got != warned {
			t.Errorf("a level of %s read as 10: warned %v, want %v", level, got, warned)
		}
	}
}

// Chords follow curved walls to 1 mm, as the note states, with no more pieces than
// needed. By hand, the height of an arc of radius r over an angle a is r·(1 − cos a/2).
func TestArcsAreFollowedToAMillimetre(t *testing.T) {
	doc := head + metr + tri + `<PlanFeatures><PlanFeature name="bow"><CoordGeom><Curve rot="ccw"><Start>0 5</Start><End>5 0</End><Center>0 0</Center></Curve>` +
		`<Line><Start>5 0</Start><End>0 0</End></Line><Line><Start>0 0</Start><End>0 5</End></Line></CoordGeom></PlanFeature></PlanFeatures>` + end
	s, err := Read(strings.NewReader(doc), "x.xml", survey.Options{})
	if err != nil || len(s.Outlines) != 1 {
		t.Fatal(err, s)
	}
	pts, worst := s.Outlines[0].Points, 0.0
	for i, p := range pts[1:] {
		if q := pts[i]; math.Hypot(p.X, p.Y) > 4.9 && math.Hypot(q.X, q.Y) > 4.9 {
			worst = max(worst, 5-math.Hypot((p.X+q.X)/2, (p.Y+q.Y)/2))
		}
	}
	if worst > 0.001 || worst < 0.0009 {
		t.Errorf("pieces are up to %.6f m off the arc, want no more than a millimetre and about that", worst)
	}
}

// Zeros mean no elevation if all other levels are 0.9 m (a yard) or more from 0.
func TestZerosFarFromLevels(t *testing.T) {
	for _, c := range []struct {
		unit   string
		lo, hi float64
		stray  bool
	}{
		{"meter", 0.91, 2, true}, {"meter", 0.89, 2, false}, {"meter", -2, -0.91, true}, {"meter", -2, -0.89, false}, {"meter", -2, 2, false},
		{"foot", 3, 9, true}, {"foot", 2.9, 9, false}, {"millimeter", 910, 2000, true}, {"millimeter", 890, 2000, false},
	} {
		u := linearUnits[c.unit]
		z := zeroLevels{n: 1, others: [2]float64{c.lo, c.hi}}
		if got := z.stray(&u); got != c.stray {
			t.Errorf("0 beside %g to %g %s: a mark for none %v, want %v", c.lo, c.hi, c.unit, got, c.stray)
		}
	}
}

// Every unit of LandXML by definition: a mile is 5280 ft, a foot 12 in of 25.4 mm
// (Federal Register 24 FR 5348, 1959), the US survey foot 1200/3937 m.
func TestUnitsOfLandXML(t *testing.T) {
	inch := 0.0254
	for name, metres := range map[string]float64{"millimeter": 1e-3, "centimeter": 1e-2, "meter": 1, "kilometer": 1e3, "inch": inch, "foot": 12 * inch, "USSurveyFoot": 1200. / 3937, "mile": 5280 * 12 * inch} {
		system := "Metric"
		if strings.Contains("inch foot USSurveyFoot mile", name) {
			system = "Imperial"
		}
		doc := head + `<Units><` + system + ` linearUnit="` + name + `"/></Units><CgPoints><CgPoint name="a">0 0 1</CgPoint><CgPoint name="b">0 3 1</CgPoint><CgPoint name="c">3 0 1</CgPoint></CgPoints>` + end
		s, err := Read(strings.NewReader(doc), "x.xml", survey.Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		p := s.Points[1]
		if math.Abs(p.X/metres-3) > 1e-12 || math.Abs(p.Z/metres-1) > 1e-12 {
			t.Errorf("3 and 1 %s are %.12g and %.12g m, want %.12g and %.12g", name, p.X, p.Z, 3*metres, metres)
		}
	}
}
