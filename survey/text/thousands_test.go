package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// An apostrophe before three digits groups thousands in a metric column: feet have no
// inches of three digits. 1'000 to 1'011 could be feet and inches by their value.
func TestApostropheGroupsThousandsInMetricColumns(t *testing.T) {
	want := []at{{"1", 0, 0, 1}, {"2", 12, 0, 1.011}, {"3", 0, 5, 0.998}, {"4", 12.345, 5, 10.006}}
	for _, c := range []struct {
		name, text string
		o          survey.Options
	}{
		{"headed in mm", "P,E [mm],N [mm],Level [mm]\n1,0,0,1'000\n2,12'000,0,1'011\n3,0,5'000,998\n4,12'345,5'000,10'006\n", survey.Options{}},
		{"curly", "P,E [mm],N [mm],Level [mm]\n1,0,0,1’000\n2,12’000,0,1’011\n3,0,5’000,998\n4,12’345,5’000,10’006\n", survey.Options{}},
		{"unit asked for", "P,E,N,Level\n1,0,0,1'000\n2,12'000,0,1'011\n3,0,5'000,998\n4,12'345,5'000,10'006\n", survey.Options{Unit: unit.Millimetre}},
		{"decimal comma", "P;E;N;Level\n1;0,0;0;1'000,0\n2;12'000;0;1'011,0\n3;0;5'000,0;998\n4;12'345;5'000;10'006,0\n", survey.Options{Unit: unit.Millimetre}},
		{"own unit", "P,E,N,Level\n1,0 mm,0 mm,1'000 mm\n2,12'000 mm,0 mm,1'011mm\n3,0 mm,5'000 mm,998 mm\n4,12'345 mm,5'000mm,10'006 mm\n", survey.Options{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, c.text, c.o)
			if err != nil {
				t.Fatal(err)
			}
			check.Points(t, s.Points, points(want))
			if len(s.Readings) == 4 && strings.ContainsAny(s.Readings[1].Text, "'’") {
				t.Errorf("reading %q, want it without signs between thousands, as one that would fit is written", s.Readings[1].Text)
			}
		})
	}
	sheet := "mm,0,5000,10000\n0,1'000,1'011,998\n5000,1'003,10'006,1'001\n"
	s, err := read(t, sheet, survey.Options{Grid: survey.Grid{Values: survey.Elevation, HasValues: true}})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"0/0", 0, 0, 1}, {"5000/0", 5, 0, 1.011}, {"10000/0", 10, 0, 0.998}, {"0/5000", 0, 5, 1.003}, {"5000/5000", 5, 5, 10.006}, {"10000/5000", 10, 5, 1.001}}))
}

// In a column of feet it may be either, unless the inches would be 12 or more.
func TestApostropheInFeetIsAskedAbout(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"P,E ft,N ft,Z ft\n1,0,0,1'000\n", `4 "Z ft": found "1'000", want feet and inches such as 1'-0`},
		{"P,E ft,N ft,Rod (ft-in)\n1,0,0,4'006\n", `4 "Rod (ft-in)": found "4'006", want feet and inches`},
		{"P,E,N,Z\n1,0 m,0 m,1'000\n", `found "1'000", want a `},
	} {
		_, err := read(t, c.text, survey.Options{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want it to say %q", c.text, err, c.want)
		}
	}
	s, err := read(t, "P,E,N,Z\n1,2'445'180.5,1'204.25,100.5\n", survey.Options{Unit: unit.Foot})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"1", 2445180.5 * 0.3048, 1204.25 * 0.3048, 100.5 * 0.3048}}))
}
