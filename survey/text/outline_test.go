package text

import (
	"math"
	"os"
	"slices"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// outlineOf reads text as an outline file.
func outlineOf(t *testing.T, text string, o survey.Options) (*survey.Survey, error) {
	t.Helper()
	return readText([]byte(text), "o.csv", o, true)
}

func TestDemoOutline(t *testing.T) {
	// The unit of the survey does not contradict the unit of the outline.
	demo, err := os.ReadFile("../../testdata/demo/outline.csv")
	if err != nil {
		t.Fatal(err)
	}
	s, err := outlineOf(t, string(demo), survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Rings) != 2 || len(s.Breaklines) != 1 || len(s.Points) != 0 {
		t.Fatalf("%d rings, %d lines, %d points, want 2, 1, 0", len(s.Rings), len(s.Breaklines), len(s.Points))
	}
	room, column, step := s.Rings[0], s.Rings[1], s.Breaklines[0]
	if room.Name != "room" || room.Kind != survey.Outer || column.Name != "column" || column.Kind != survey.Hole || step.Name != "step" {
		t.Errorf("%q %v, %q %v, %q", room.Name, room.Kind, column.Name, column.Kind, step.Name)
	}
	nan := math.NaN()
	check.Points(t, room.Points, points([]at{{"", 0, 0, nan}, {"", 36 * ft, 0, nan}, {"", 36 * ft, 18 * ft, nan}, {"", 16 * ft, 18 * ft, nan}, {"", 16 * ft, 32 * ft, nan}, {"", 0, 32 * ft, nan}}))
	check.Points(t, column.Points, points([]at{{"", 24 * ft, 8.25 * ft, nan}, {"", 25.5 * ft, 8.25 * ft, nan}, {"", 25.5 * ft, 9.75 * ft, nan}, {"", 24 * ft, 9.75 * ft, nan}}))
	check.Points(t, step.Points, points([]at{{"", 0, 20 * ft, nan}, {"", 16 * ft, 20 * ft, nan}}))
	if room.At.Line != 2 || column.At.Line != 8 || step.At.Line != 12 {
		t.Errorf("they are on lines %d, %d, %d, want 2, 8, 12", room.At.Line, column.At.Line, step.At.Line)
	}
}

func TestOutlineWithoutRingsIsOneOuterRing(t *testing.T) {
	s, err := outlineOf(t, "x,y,z,part\n0,0,1.5,a\n4,0,,a\n4,3,1.6,a\n0,0,1.5,a\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Rings) != 1 || s.Rings[0].Kind != survey.Outer {
		t.Fatalf("rings %v, want one", s.Rings)
	}
	check.Points(t, s.Rings[0].Points, points([]at{{"", 0, 0, 1.5}, {"", 4, 0, math.NaN()}, {"", 4, 3, 1.6}}))
}

// Parts without a column ring are rooms if they can be nothing else, names of corners if no two are
// the same, or else refused.
func TestOutlinePartsWithoutRings(t *testing.T) {
	const head, kitchen = "part,x,y\n", "kitchen,0,0\nkitchen,4,0\nkitchen,4,3\nkitchen,0,3\n"
	for text, want := range map[string][]string{
		head + kitchen: {""},
		head + kitchen + "WC,4,0\nWC,6,0\nWC,6,3\nWC,4,3\nWC,4,0\n":                                               {"kitchen", "WC"}, // with a side in common
		head + "A,0,0\nB,4,0\nC,4,3\nD,0,3\n":                                                                     {""},
		head + "A,0,0\nB,4,0\nC,4,3\nD,0,3\nA,0,0\n":                                                              {""},
		head + "u,0,0\nu,6,0\nu,6,4\nu,5,4\nu,5,1\nu,1,1\nu,1,4\nu,0,4\nyard,1,1\nyard,5,1\nyard,5,4\nyard,1,4\n": {"u", "yard"},
	} {
		s, err := outlineOf(t, text, survey.Options{Unit: unit.Metre})
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		var got []string
		for _, r := range s.Rings {
			got = append(got, r.Name)
			if r.Kind != survey.Outer || len(r.Points) < 4 {
				t.Errorf("%q: ring %q is %v with %d corners", text, r.Name, r.Kind, len(r.Points))
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%q: rings %q, want %q", text, got, want)
		}
	}
	for text, want := range map[string]string{
		head + kitchen + "post,1,1\npost,2,1\npost,2,2\npost,1,2\n": `o.csv:6: column 1 "part": found part "post" inside part "kitchen", and no column ring, want whether that is a hole or a floor of its own`,
		head + "pit,0,0\npit,1,0\npit,1,1\npit,0,1\n" + kitchen:     `o.csv:2: column 1 "part": found part "pit" inside part "kitchen", and no column ring`,
		head + kitchen + "step,0,1\nstep,4,1\n":                     `o.csv:6: column 1 "part": found 2 corners for part "step", and no column ring, want at least 3 corners for each part`,
		head + "kitchen,0,0\n,4,0\n,4,3\n,0,3\n":                    `o.csv:2: column 1 "part": found 1 corner for part "kitchen", and no column ring`,
	} {
		_, err := outlineOf(t, text, survey.Options{Unit: unit.Metre})
		check.Errors(t, err, []string{want})
		if h := survey.Hints(err); len(h) != 1 {
			t.Errorf("%q: hints %q", text, h)
		}
	}
}

func TestOutlineRowsFollowSeq(t *testing.T) {
	s, err := outlineOf(t, "seq,x,y,ring\n3,4,3,outer\n1,0,0,outer\n2,4,0,outer\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Rings[0].Points, points([]at{{"", 0, 0, math.NaN()}, {"", 4, 0, math.NaN()}, {"", 4, 3, math.NaN()}}))
}

func TestOutlineByCode(t *testing.T) {
	s, err := outlineOf(t, "x,y,code\n0,0,OUT\n4,0,OUT\n4,3,OUT\n1,1,VOID shaft\n2,1,VOID shaft\n2,2,VOID shaft\n0,1,BL\n4,1,BL\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Rings) != 2 || s.Rings[1].Name != "shaft" || s.Rings[1].Kind != survey.Hole || len(s.Breaklines) != 1 {
		t.Errorf("rings %v lines %v", s.Rings, s.Breaklines)
	}
}

func TestOutlineWithoutHeader(t *testing.T) {
	_, err := outlineOf(t, "0,0\n4,0\n4,3\n", survey.Options{Unit: unit.Metre})
	check.Errors(t, err, []string{"2 columns without a header"})
	if h := survey.Hints(err); len(h) != 1 || h[0] != "--order NE or --order EN" {
		t.Errorf("hints %q", h)
	}
	s, err := outlineOf(t, "0,0\n4,0\n4,3\n", survey.Options{Unit: unit.Metre, Order: "EN"})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Rings[0].Points, points([]at{{"", 0, 0, math.NaN()}, {"", 4, 0, math.NaN()}, {"", 4, 3, math.NaN()}}))
}

func TestOutlineRefusals(t *testing.T) {
	m := survey.Options{Unit: unit.Metre}
	for _, c := range []struct {
		name, text string
		o          survey.Options
		want       string
	}{
		{"no unit", "x,y\n0,0\n4,0\n4,3\n", survey.Options{}, "want a unit"},
		{"unknown ring", "x,y,ring\n0,0,outer\n4,0,upper\n4,3,outer\n", m, `o.csv:3:5: column 3 "ring": found "upper", want outer, hole or line`},
		{"bad seq", "seq,x,y\n1,0,0\nb,4,0\n3,4,3\n", m, `column 1 "seq": found "b", want a whole number`},
		{"two corners", "x,y\n0,0\n4,0\n0,0\n", m, "o.csv:2: ring: found 2 points, want at least 3"},
		{"one vertex", "x,y,part,ring\n0,0,r,outer\n4,0,r,outer\n4,4,r,outer\n1,1,s,line\n", m, "o.csv:5: line s: found 1 points, want at least 2"},
		{"bad z", "x,y,z\n0,0,O\n4,0,\n4,3,\n", m, `column 3 "z": found "O"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := outlineOf(t, c.text, c.o)
			check.Errors(t, err, []string{c.want})
		})
	}
}

// A column of walls names the wall from each corner to the next, in the order of seq. A
// file without such names has none.
func TestOutlineNamesItsWalls(t *testing.T) {
	s, err := outlineOf(t, "seq,x,y,ring,wall\n3,4,3,outer,glass front\n1,0,0,outer,hall\n2,4,0,outer,\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := s.Rings[0].Walls, []string{"hall", "", "glass front"}; !slices.Equal(got, want) {
		t.Errorf("walls %q, want %q", got, want)
	}
	if s, err = outlineOf(t, "x,y,edge name\n0,0,\n4,0,\n4,3,\n0,0,\n", survey.Options{Unit: unit.Metre}); err != nil || s.Rings[0].Walls != nil {
		t.Errorf("walls %q: %v", s.Rings[0].Walls, err)
	}
	if s, err = outlineOf(t, "x,y,wall\n0,0,south\n4,0,east\n4,3,long\n0,0,\n", survey.Options{Unit: unit.Metre}); err != nil || !slices.Equal(s.Rings[0].Walls, []string{"south", "east", "long"}) {
		t.Errorf("walls %q of a ring whose first corner is repeated: %v", s.Rings[0].Walls, err)
	}
}
