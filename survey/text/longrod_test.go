package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// Readings that no rod has are refused with the place of the first, whatever the layout. A
// rod of 25 ft, 7.62 m, is the longest in common use (common practice, no source).
func TestReadingsBeyondAnyRod(t *testing.T) {
	m := survey.Options{Unit: unit.Metre}
	none := survey.Options{}
	grid := survey.Options{Grid: survey.Grid{Values: survey.Rod, HasValues: true, Bearings: &survey.GridBearings{Letters: 90, Numbers: 180}}}
	for _, c := range []struct {
		text       string
		o          survey.Options
		want, hint string
	}{
		// Millimetres beside x and y in metres.
		{"x;y;rod\n0;0;1450\n5;0;1452\n5;4;1455\n0;4;1449\n", m, `f.csv:2:5: column 3 "rod": found "1450" (1449 to 1455 m), the first of 4 such readings in 4, want rod readings of 7.7 m or less: no rod is longer`, "write it into the head of that column: rod (mm), rod (cm) or rod (in)"},
		{"x,y,rod (m)\n0,0,1450\n5,0,1452\n5,4,1455\n", m, `column 3 "rod (m)": found "1450" (1450 to 1455 m)`, "the unit in the head of that column is wrong"},
		{"x (m),y (m),rod (cm)\n0,0,1204\n5,0,1210\n5,4,1215\n", none, `f.csv:2:5: column 3 "rod (cm)": found "1204" (12.04 to 12.15 m), the first of 3 such readings in 3`, "the unit in the head of that column is wrong; if a tape or laser meter measured down to the floor, head the column dip"},
		// The bound, in both units.
		{"x,y,rod\n0,0,7.71\n5,0,7.71\n5,4,7.71\n", m, `found "7.71" (7.71 m), the first of 3 such readings in 3`, "rod (mm)"},
		{"x,y,rod\n0,0,7.7\n5,0,7.7\n5,4,7.7\n", m, "", ""},
		{"x (ft),y (ft),rod (ft)\n0,0,25.00\n5,0,25.00\n5,4,24.98\n", none, "", ""},
		{"x (ft),y (ft),rod (ft)\n0,0,25.3\n5,0,25.3\n5,4,25.3\n", none, "want rod readings of 25.2 ft or less", "wrong"},
		{"x,y,rod (mm)\n0,0,1450\n5,0,1452\n5,4,1455\n", m, "", ""},
		// One slip of a decimal point, on the floor and on a benchmark overhead.
		{"x,y,rod\n0,0,1.450\n5,0,14.52\n5,4,1.455\n", m, `f.csv:3:5: column 3 "rod": found "14.52" (14.52 m), want rod`, "correct the reading, or put # before its row"},
		{"point,x,y,rod,code\nBM1,0,0,-14.5,BM\n1,5,0,1.452,\n2,5,4,1.455,\n", m, `f.csv:2:9: column 4 "rod": found "-14.5"`, "correct the reading"},
		// A number for no data is no reading.
		{"x,y,rod\n0,0,1.450\n5,0,9999\n5,4,1.455\n0,4,1.452\n", m, "", ""},
		// A tape is longer than a rod.
		{"x,y,dip\n0,0,45\n5,0,48\n5,4,52\n0,4,40\n", m, `f.csv:2:5: column 3 "dip": found "45" (40 to 52 m), the first of 4 such readings in 4, want readings of 30 m or less`, "dip (mm), dip (cm) or dip (in)"},
		{"x,y,dip\n0,0,30.1\n5,0,30.1\n5,4,30.1\n", m, "want readings of 30 m or less", "dip (mm)"},
		{"x,y,tape down\n0,0,29.9\n5,0,29.9\n5,4,29.9\n", m, "", ""},
		// Other layouts.
		{"point,x,y,rod,grade rod\n1,0,0,12.04,12.10\n2,5,0,12.05,12.10\n3,5,4,12.05,12.10\n", m, `f.csv:2:7: column 4 "rod": found "12.04"`, "rod (cm) or rod (in)"},
		{"point,x,y,BS,IS,FS,elev\nBM1,,,14.50,,,10.000\n1,0,0,,1.452,,\n2,5,0,,1.455,,\nBM1,,,,,1.450,\n", m, `f.csv:2:7: column 4 "BS": found "14.50"`, "correct the reading"},
		{"setup,sight,point,rod,elev\n1,BS,BM1,12.04,10.000\n1,IS,1,12.10,\n1,FS,BM1,12.04,\n", m, `f.csv:2:10: column 4 "rod": found "12.04"`, "write it into the head"},
		{"run,dist (m),rod (cm)\nA,0,1204\nA,0.3,1205\nA,0.6,1206\n", m, `f.csv:2: column 3 "rod (cm)": found "1204" (12.04 to 12.06 m)`, "wrong"},
		{"unit: m\nspacing 2 m\n,A,B,C\n1,12.04,12.05,12.06\n2,12.04,12.05,12.06\n", grid, `cell A1: found "12.04" (12.04 to 12.06 m), the first of 6 such readings in 6`, "--grid-values elevation"},
		// A level book of backsights and foresights alone may hold whole lines of levels.
		{"setup,sight,point,rod,elev\n1,BS,BM1,20.509,10.000\n1,FS,TP,20.000,\n2,BS,TP,20.1,\n2,FS,BM1,20.609,\n", m, "", ""},
	} {
		_, err := read(t, c.text, c.o)
		if c.want == "" {
			if err != nil {
				t.Errorf("%q: %v", c.text, err)
			}
			continue
		}
		check.Errors(t, err, []string{c.want})
		if h := survey.Hints(err); len(h) != 1 || !strings.Contains(h[0], c.hint) {
			t.Errorf("%q: hints %q, want %q", c.text, h, c.hint)
		}
	}
}
