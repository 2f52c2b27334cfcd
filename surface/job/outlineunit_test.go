package job

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Shots over 4 by 4 m from (0, 0), and square outlines that were read in metres. The
// factors are those between units; the widths are on either side of the limits.
func TestOutlineUnit(t *testing.T) {
	square := func(lo, hi float64) []survey.Point {
		return []survey.Point{{X: lo, Y: lo}, {X: hi, Y: lo}, {X: hi, Y: hi}, {X: lo, Y: hi}}
	}
	for _, c := range []struct {
		name   string
		lo, hi float64 // outline, m as read
		stated bool
		want   string
	}{
		{"as read", -0.3, 4.3, false, ""},
		{"mm", -300, 4300, false, "as x (mm),y (mm) it fits"},
		{"cm", -30, 430, false, "as x (cm),y (cm) it fits"},
		{"feet", -0.3 / 0.3048, 4.3 / 0.3048, false, "as x (ft),y (ft) it fits"},
		{"inches", -0.3 / 0.0254, 4.3 / 0.0254, false, "as x (in),y (in) it fits"},
		{"mm and stated", -300, 4300, true, "found x and y in m: it reaches from (-300.000, -300.000) m to (4300.000, 4300.000) m, the 4 shots from (0.000, 0.000) m to (4.000, 4.000) m, a small part of it, want its unit: in mm it fits the shots"},
		{"cm and stated", -30, 430, true, "in cm it fits"},
		{"feet and stated", -0.3 / 0.3048, 4.3 / 0.3048, true, "in ft it fits"},
		{"inches and stated", -0.3 / 0.0254, 4.3 / 0.0254, true, "in in it fits"},
		{"stated, shots over less than 1/1.6 of it", 0, 6410, true, ""},
		{"stated, shots over a third of it", 0, 12, true, ""},
		{"stated, a third of it but not at its corner", -8, 5, true, ""},
		{"stated as read", -0.3, 4.3, true, ""},
		{"twice as wide", 0, 7990, false, "as x (mm),y (mm) it fits"},
		{"more than twice as wide", 0, 8010, false, ""},
		{"shots outside by 4.9 %", 187, 4000, false, "as x (mm),y (mm) it fits"},
		{"shots outside by 5.3 %", 200, 4000, false, ""},
		{"another unit than any", -3.6, 51.6, false, ""},
	} {
		s := &survey.Survey{Points: square(0, 4), Plan: unit.Metre}
		edge := &survey.Survey{Plan: unit.Metre, PlanStated: c.stated, Delimiter: ",", Rings: []survey.Ring{{Points: square(c.lo, c.hi)}}}
		err := outlineUnit(s, edge)
		switch {
		case c.want == "" && err != nil:
			t.Errorf("%s: %v, want no question", c.name, err)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

// The two feet differ by 2 parts in a million: 5 mm at 2.5 km (NIST: the US survey foot is
// 1200/3937 m).
func TestOutlineInTheOtherFoot(t *testing.T) {
	for _, c := range []struct {
		shots, edge unit.Length
		x           float64 // m
		want        string
	}{
		{unit.SurveyFoot, unit.Foot, 2400, ""},
		{unit.SurveyFoot, unit.Foot, 2600, "found x and y in ft, and those of the shots in ftUS: so far from 0,0 the two feet differ by 0.005 m, want one foot for both"},
		{unit.Foot, unit.SurveyFoot, 1524000, "found x and y in ftUS, and those of the shots in ft: so far from 0,0 the two feet differ by 3.048 m"},
		{unit.SurveyFoot, unit.SurveyFoot, 1524000, ""},
		{unit.Metre, unit.SurveyFoot, 1524000, ""},
	} {
		s := &survey.Survey{Points: []survey.Point{{X: c.x}, {X: c.x + 4}, {X: c.x + 4, Y: 4}}, Plan: c.shots}
		edge := &survey.Survey{Plan: c.edge, PlanStated: true, Delimiter: ",", Rings: []survey.Ring{{Points: s.Points}}}
		switch err := outlineUnit(s, edge); {
		case c.want == "" && err != nil:
			t.Errorf("%s and %s at %g m: %v", c.shots, c.edge, c.x, err)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%s and %s at %g m: %v, want %s", c.shots, c.edge, c.x, err, c.want)
		}
	}
}
