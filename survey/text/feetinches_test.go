package text

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

func TestColumnsOfMostlyFeetAndInches(t *testing.T) {
	const in = 0.0254
	rod := func(inches float64) float64 { return -inches * in }
	for _, c := range []struct {
		name, text string
		o          survey.Options
		want       []at
		notes      []string
	}{
		{"hyphened among fractions, bare among marks", "point,x,y,rod\n1,0'0\",0'0\",4-4 7/8\n2,20'0\",0'0\",4-5\n3,20,10'-6\",4-5 1/8\n4,0'0\",10'-6\",4-4 1/2\n5,10'0\",5'0\",5\n", survey.Options{},
			[]at{{"1", 0, 0, rod(52.875)}, {"2", 240 * in, 0, rod(53)}, {"3", 240 * in, 126 * in, rod(53.125)}, {"4", 0, 126 * in, rod(52.5)}, {"5", 120 * in, 60 * in, rod(60)}},
			[]string{`assumed: column 2 "x" is in feet and inches; read so too, a whole number is feet: 20 on line 4`, `column 4 "rod" is in feet and inches; read so too, a whole number is feet: 4-5 on line 3, 5 on line 6`}},
		{"a header of feet", "point,x_ft,y_ft,rod_ft\n1,0,0,4-4 7/8\n2,20,0,4-5\n3,20,10.5,4-5 1/8\n4,0,10.5,4.5\n5,0,5,4-6 1/8\n", survey.Options{},
			[]at{{"1", 0, 0, rod(52.875)}, {"2", 240 * in, 0, rod(53)}, {"3", 240 * in, 126 * in, rod(53.125)}, {"4", 0, 126 * in, rod(54)}, {"5", 0, 60 * in, rod(54.125)}},
			[]string{`column 4 "rod_ft" is in feet and inches; read so too, a bare number is in ft: 4-5 on line 3, 4.5 on line 5`}},
		{"places with hyphens alone", "point,x,y,rod\n1,0-6,0-6,4-4 7/8\n2,9-6,0-6,4-5\n3,9-6,7-6,4-5 1/8\n", survey.Options{},
			[]at{{"1", 6 * in, 6 * in, rod(52.875)}, {"2", 114 * in, 6 * in, rod(53)}, {"3", 114 * in, 90 * in, rod(53.125)}}, nil},
		{"bare in a column headed feet and inches", "point,x (ft-in),y (ft-in),rod (ft-in)\n1,0-6,0-6,4-4 7/8\n2,9-6,0-6,4-5\n3,10,7-6,4-5 1/8\n", survey.Options{},
			[]at{{"1", 6 * in, 6 * in, rod(52.875)}, {"2", 114 * in, 6 * in, rod(53)}, {"3", 120 * in, 90 * in, rod(53.125)}},
			[]string{`column 2 "x (ft-in)" is in feet and inches; read so too, a whole number is feet: 10 on line 4`}},
		{"fraction characters and dashes", "point,x ft,y ft,rod\n1,0,0,4–4⅞\n2,9,0,4–5\n3,9,7,4–5⅛\n", survey.Options{},
			[]at{{"1", 0, 0, rod(52.875)}, {"2", 108 * in, 0, rod(53)}, {"3", 108 * in, 84 * in, rod(53.125)}}, nil},
		{"hyphens alone in a column of feet", "point,x ft,y ft,rod\n1,0,0,4-4 7/8\n2,13-0,0,4-5\n3,13-0,17-6,4-5 1/8\n4,0,17-6,4-5\n", survey.Options{},
			[]at{{"1", 0, 0, rod(52.875)}, {"2", 156 * in, 0, rod(53)}, {"3", 156 * in, 210 * in, rod(53.125)}, {"4", 0, 210 * in, rod(53)}},
			[]string{`column 2 "x ft" is in feet and inches; read so too, a bare number is in ft: 13-0 on line 3, 13-0 on line 4`}},
		{"metres beside", "point,x m,y m,rod\n1,0,0,4-4 7/8\n2,9,0,4-5\n3,9,7,4-5 1/8\n", survey.Options{},
			[]at{{"1", 0, 0, rod(52.875)}, {"2", 9, 0, rod(53)}, {"3", 9, 7, rod(53.125)}}, nil},
		{"bare numbers asked to be inches", "point,x ft,y ft,rod\n1,0,0,4-4 7/8\n2,9,0,53\n3,9,7,4-5 1/8\n", survey.Options{Unit: unit.Inch},
			[]at{{"1", 0, 0, rod(52.875)}, {"2", 108 * in, 0, rod(53)}, {"3", 108 * in, 84 * in, rod(53.125)}},
			[]string{`a bare number is in in: 53 on line 3`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, c.text, c.o)
			if err != nil {
				t.Fatal(err)
			}
			check.Points(t, s.Points, points(c.want))
			check.Notes(t, s.Notes, c.notes)
			if s.Unit != unit.Foot || !s.Readings[0].FeetInches {
				t.Errorf("unit %v, feet and inches %v", s.Unit, s.Readings[0].FeetInches)
			}
		})
	}
}

func TestColumnsOfFeetAndInchesStillAsk(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		// 53 feet is not a reading of this rod, 53 inches may be.
		{"point,x ft,y ft,rod\n1,0,0,4-4 7/8\n2,9,0,53\n3,9,7,4-5 1/8\n", `f.csv:3:7: column 4 "rod": found "53", want feet-inches such as 4-5 3/8, or a number with ' or "; 53 feet are far from the other cells`},
		{"point,x (ft-in),y (ft-in),rod (ft-in)\n1,0-6,0-6,4-4 7/8\n2,9-6,0-6,53\n", `column 4 "rod (ft-in)": found "53"`},
		// 4.5 may be four feet and a half, or 4 ft 5 in.
		{"point,x ft,y ft,rod\n1,0,0,4-4 7/8\n2,9,0,4.5\n3,9,7,4-5 1/8\n", `column 4 "rod": found "4.5", want feet-inches`},
		// Nothing shows that 4-5 is feet and inches.
		{"point,x ft,y ft,rod\n1,0,0,4-4\n2,9,0,4-5\n3,9,7,4-6\n", `column 4 "rod": found "4-4", want feet and inches with their marks`},
		// Few cells are feet and inches.
		{"point,x ft,y ft,rod\n1,0,0,4-4 7/8\n2,9,0,4.5\n3,9,7,4.25\n4,9,8,4.25\n", `column 4 "rod": found "4.5"`},
		{"point,x ft,y ft,rod mm\n1,0,0,4-4 7/8\n2,9,0,4-5\n3,9,7,4-5 1/8\n", `column 4 "rod mm": found "4-5"`},
	} {
		_, err := read(t, c.text, survey.Options{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want it to say %q", c.text, err, c.want)
		}
	}
}

// 0 is 0 in any unit: it does not count against feet and inches, and is not far from
// them.
func TestBareZeroesAmongFeetAndInches(t *testing.T) {
	const in = 0.0254
	l := []at{{"", 0, 0, 0}, {"", 156 * in, 0, 0}, {"", 156 * in, 120 * in, 0}, {"", 78 * in, 120 * in, 0}, {"", 78 * in, 210 * in, 0}, {"", 0, 210 * in, 0}}
	for _, c := range []struct {
		name, text string
		o          survey.Options
		want       []at
	}{
		{"a fraction elsewhere", "x,y\n0,0\n13-0,0\n13-0,10-0\n6-6,10-0\n6-6,17-5 1/2\n0.0,17-5 1/2\n", survey.Options{}, append(slices.Clone(l[:4]), at{"", 78 * in, 209.5 * in, 0}, at{"", 0, 209.5 * in, 0})},
		{"marks", "x,y\n0,0\n13'-0\",0\n13'-0\",10'-0\"\n6'-6\",10'-0\"\n6'-6\",17'-6\"\n0,17'-6\"\n", survey.Options{}, l},
		{"more zeroes than others", "x,y\n0,0\n13'-0\",0\n13'-0\",17'-6\"\n0,17'-6\"\n0,10'-0\"\n0,9'-0\"\n0,8'-0\"\n", survey.Options{}, []at{{"", 0, 0, 0}, {"", 156 * in, 0, 0}, {"", 156 * in, 210 * in, 0}, {"", 0, 210 * in, 0}, {"", 0, 120 * in, 0}, {"", 0, 108 * in, 0}, {"", 0, 96 * in, 0}}},
		{"a header of feet", "x (ft),y (ft)\n0,0\n13-0,0\n13-0,10-0\n6-6,10-0\n6-6,17-6\n0,17-6\n", survey.Options{}, l},
		{"a header of feet and inches", "x (ft-in),y (ft-in)\n0,0\n13-0,0\n13-0,10-0\n6-6,10-0\n6-6,17-6\n0,17-6\n", survey.Options{}, l},
		{"units by option", "x,y\n0,0\n13-0,0\n13-0,10-0\n6-6,10-0\n6-6,17-6\n0,17-6\n", survey.Options{Unit: unit.Foot}, l},
		{"survey feet by option", "x,y\n0,0\n13-0,0\n13-0,10-0\n6-6,10-0\n6-6,17-6\n0,17-6\n", survey.Options{Unit: unit.SurveyFoot}, l},
	} {
		s, err := readText([]byte(c.text), "walls.csv", c.o, true)
		if err != nil || len(s.Rings) != 1 || len(s.Rings[0].Points) != len(c.want) {
			t.Errorf("%s: %v, %v", c.name, err, s)
			continue
		}
		for i, p := range s.Rings[0].Points {
			if math.Abs(p.X-c.want[i].x) > 1e-4 || math.Abs(p.Y-c.want[i].y) > 1e-4 { // survey feet: 10 µm
				t.Errorf("%s: corner %d at (%g, %g), want (%g, %g)", c.name, i+1, p.X, p.Y, c.want[i].x, c.want[i].y)
			}
		}
	}
	// Nothing shows that 13-0 is feet and inches.
	if _, err := readText([]byte("x,y\n0,0\n13-0,0\n13-0,17-6\n0,17-6\n"), "walls.csv", survey.Options{}, true); err == nil || !strings.Contains(err.Error(), `found "13-0", want feet and inches with their marks`) {
		t.Errorf("hyphens alone: %v", err)
	}
}

// A bare number that may be feet or inches is refused with a hint. Each text of the hint
// is then accepted.
func TestBareNumberFarFromFeetAndInches(t *testing.T) {
	const list = "point,x,y,rod\n1,0'0\",0'0\",4-4 7/8\n2,20'0\",0'0\",4-5\n3,20'0\",10'0\",4-5 1/8\n4,%s,10'0\",4-4 1/2\n"
	_, err := read(t, strings.Replace(list, "%s", "40", 1), survey.Options{})
	want := `write 40' where it is feet, 40" where it is inches; or --units ft (or in) for all bare numbers of the file`
	if h := survey.Hints(err); len(h) != 1 || h[0] != want {
		t.Errorf("%v, hints %q, want %q", err, h, want)
	}
	for _, c := range []struct {
		cell string
		o    survey.Options
		x    float64 // in
	}{{"40'", survey.Options{}, 480}, {`"40"""`, survey.Options{}, 40}, {"40", survey.Options{Unit: unit.Foot}, 480}, {"40", survey.Options{Unit: unit.Inch}, 40}} {
		s, err := read(t, strings.Replace(list, "%s", c.cell, 1), c.o)
		if err != nil || len(s.Points) != 4 || s.Points[3].X < c.x*0.0254-1e-9 || s.Points[3].X > c.x*0.0254+1e-9 {
			t.Errorf("%s with %v: %v", c.cell, c.o.Unit, err)
		}
	}
	// --units does not decide if the header gives feet and inches.
	_, err = read(t, "point,x (ft-in),y (ft-in),rod (ft-in)\n1,0-6,0-6,4-5\n2,9-6,0-6,53\n", survey.Options{})
	if h := survey.Hints(err); len(h) != 1 || h[0] != `write 53' where it is feet, 53" where it is inches` {
		t.Errorf("%v, hints %q", err, h)
	}
}

func TestCellsOfASheetInFeetAndInches(t *testing.T) {
	const in = 0.0254
	s, err := read(t, "rod,A,B,C\n1,4-4 7/8,4-5,4-4 1/2\n2,4-5 1/8,5,4-4 3/4\n", survey.Options{Grid: survey.Grid{LetterStep: 3, NumberStep: 3, Bearings: &survey.GridBearings{Letters: 90, Numbers: 180}}})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"A1", 0, 0, -52.875 * in}, {"B1", 3, 0, -53 * in}, {"C1", 6, 0, -52.5 * in}, {"A2", 0, -3, -53.125 * in}, {"B2", 3, -3, -60 * in}, {"C2", 6, -3, -52.75 * in}}))
	check.Notes(t, s.Notes, []string{"read so too, a whole number is feet: 4-5 on line 2, 5 on line 3"})
}

// Figures typed with dashes do not say whether the last one counts eighths or sixteenths: that
// is asked once a column, with what the figures show.
func TestLastFiguresAreAskedOnce(t *testing.T) {
	const rows = "1,0,0,4-4-07\n2,9,0,4-5-%s\n3,9,7,4-4-03\n4,0,7,4-4-00\n"
	for _, c := range []struct{ head, last, want, hint string }{
		{"rod (ft-in)", "11", `f.csv:2:7: column 4 "rod (ft-in)": found "4-4-07" and 3 cells like it, want feet-inches and a fraction: does the last figure count eighths or sixteenths of an inch?`,
			"the last figures go up to 11, so they are no eighths. If they are sixteenths, make the head of the column rod (ft-in-16ths)"},
		{"rod_ft_in", "05", "", "if they are sixteenths, make the head of the column rod (ft-in-16ths); if eighths, rod (ft-in-8ths)"},
		{"Rod reading", "05", "", "make the head of the column Rod reading (ft-in-16ths); if eighths, Rod reading (ft-in-8ths)"},
		{"rod ft-in", "17", "", "the last figures go up to 17, so they count neither: write fractions, such as 4-5 3/8"},
	} {
		_, err := read(t, "point,x ft,y ft,"+c.head+"\n"+strings.Replace(rows, "%s", c.last, 1), survey.Options{})
		if all := survey.Errors(err); len(all) != 1 || !strings.Contains(err.Error(), c.want) || !strings.Contains(all[0].Hint, c.hint) {
			t.Errorf("%s, %s: %d errors, %v, hints %q, want %q", c.head, c.last, len(all), err, survey.Hints(err), c.hint)
		}
	}
	for _, c := range []struct {
		head string
		z    float64 // ft, of shot 1
	}{{"rod (ft-in-16ths)", 4 + 4.4375/12}, {"Rod reading (ft-in-8ths)", 4 + 4.875/12}} {
		s, err := read(t, "point,x ft,y ft,"+c.head+"\n"+strings.Replace(rows, "%s", "05", 1), survey.Options{})
		if err != nil || math.Abs(-s.Points[0].Z-c.z*0.3048) > 1e-12 {
			t.Errorf("%s: %v, %v", c.head, err, s)
		}
	}
}

// A bare number in feet and inches is refused in whole words.
func TestBareNumberIsRefusedInWords(t *testing.T) {
	_, err := read(t, "P,E,N,rod_ft_in\n1,0,0,4-5 3/8\n2,0,1,4.32\n3,0,2,52.4\n", survey.Options{Unit: unit.Metre})
	if err == nil || !strings.Contains(err.Error(), "found \"4.32\", want feet-inches such as 4-5 3/8, or a number with ' or \"\n") {
		t.Error(err)
	}
}
