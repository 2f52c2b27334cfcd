package text

import (
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
)

// Sheets whose columns and rows have a name and a distance need neither spacing nor direction.
func TestNamedSheets(t *testing.T) {
	const head = "Rod readings,,\nUnit,mm,\n"
	for _, c := range []struct {
		name, text string
		o          survey.Options
		want       []at
		notes      []string
	}{
		{"rows from the north, a cell off the floor", "HI,11500\n" + head + ",A = 100 mm,B = 1000 mm\n2 = 2900 mm,1500,-\n1 = 100 mm,1600,1700\n", survey.Options{},
			[]at{{"A2", 0.1, 2.9, 10}, {"A1", 0.1, 0.1, 9.9}, {"B1", 1, 0.1, 9.8}}, []string{`left out: B2: no reading ("-")`, "assumed: heads of the columns read as distances to the east, heads of the rows to the north"}},
		{"feet and inches", head + "rod (ft),A = 4 in,B = 3 ft,C = 17 ft 8 1/2 in\n1 = 4 in,4-5 3/8,4.5,4' 5\"\n", survey.Options{},
			[]at{{"A1", 4 * ft / 12, 4 * ft / 12, -53.375 * ft / 12}, {"B1", 3 * ft, 4 * ft / 12, -4.5 * ft}, {"C1", 212.5 * ft / 12, 4 * ft / 12, -53 * ft / 12}}, nil},
		{"an origin", head + "Origin,100 m,200 m\n,A = 100 mm,B = 1000 mm\n1 = 100 mm,1600,1700\n", survey.Options{},
			[]at{{"A1", 100.1, 200.1, -1.6}, {"B1", 101, 200.1, -1.7}}, nil},
		{"an origin of the options overrules it", head + "Origin,100 m,200 m\n,A = 100 mm,B = 1000 mm\n1 = 100 mm,1600,1700\n", survey.Options{Grid: survey.Grid{Origins: map[string][2]float64{"": {5, 6}}}},
			[]at{{"A1", 5.1, 6.1, -1.6}, {"B1", 6, 6.1, -1.7}}, nil},
		{"turned: letters run south, so numbers run east", head + "Origin,100 m,200 m,letters 180 deg\n,A = 100 mm,B = 1000 mm\n1 = 200 mm,1600,1700\n", survey.Options{},
			[]at{{"A1", 100.2, 199.9, -1.6}, {"B1", 100.2, 199, -1.7}}, nil},
		{"two rooms, each from its own corner", head + "kitchen,A = 100 mm,B = 1000 mm\n1 = 100 mm,1600,1700\nOrigin,5 m,0 m\nWC,A = 100 mm,B = 900 mm\n1 = 100 mm,1601,1701\n", survey.Options{Grid: survey.Grid{Origins: map[string][2]float64{"KITCHEN": {0, 0}}}},
			[]at{{"kitchen A1", 0.1, 0.1, -1.6}, {"kitchen B1", 1, 0.1, -1.7}, {"WC A1", 5.1, 0.1, -1.601}, {"WC B1", 5.9, 0.1, -1.701}}, nil},
		{"a benchmark that is not yet read is not used", head + "BM,,10.000 m\n,A = 100 mm,B = 1000 mm\n1 = 100 mm,1600,1700\nBM,,\n", survey.Options{},
			[]at{{"A1", 0.1, 0.1, -1.6}, {"B1", 1, 0.1, -1.7}}, nil},
		{"a benchmark read at the start and at the end", head + "BM,1500,10.000 m\n,A = 100 mm,B = 1000 mm\n1 = 100 mm,1600,1700\nBM,1500,\n", survey.Options{},
			[]at{{"A1", 0.1, 0.1, 9.9}, {"B1", 1, 0.1, 9.8}}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, c.text, c.o)
			if err != nil {
				t.Fatal(err)
			}
			check.Points(t, s.Points, points(c.want))
			check.Notes(t, s.Notes, c.notes)
		})
	}
}

func TestNamedSheetRefusals(t *testing.T) {
	const head = "Rod readings,,\nUnit,mm,\n"
	const sheet = ",A = 100 mm,B = 1000 mm\n1 = 100 mm,1600,1700\n"
	for _, c := range []struct{ name, text, want string }{
		{"a row without a distance", head + ",A = 100 mm,B = 1000 mm\n1 = 100 mm,1600,1700\n2,1600,1700\n", `f.csv:5: row head: found "2", want a number and a distance such as 1 = 100 mm`},
		{"a distance that is none", head + ",A = 100 mm,B = 1000 ells\n1 = 100 mm,1600,1700\n", `f.csv:3: column head: found "B = 1000 ells", want`},
		{"an origin without a unit", head + "Origin,100,200\n" + sheet, `f.csv:3: origin: found "100", want x and y with their unit`},
		{"an origin of one figure", head + "Origin,100 m,\n" + sheet, `f.csv:3: origin: found 1 cells, want x and y with their unit, such as Origin,12 m,3 m`},
		{"an origin that is no length", head + "Origin,here,there\n" + sheet, `f.csv:3: origin: found "here", want x and y with their unit`},
		{"a turn without its unit", head + "Origin,1 m,2 m,30\n" + sheet, `f.csv:3: origin: found "30", want x and y with their unit`},
		{"an origin below the last sheet", head + sheet + "Origin,1 m,2 m\n", `f.csv:5: origin: found no sheet below it`},
		{"two rooms at one place", head + "kitchen" + sheet + "WC" + sheet, "f.csv:5: grid: found cells given on lines 4 and 6, want an origin for each sheet"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := read(t, c.text, survey.Options{})
			check.Errors(t, err, []string{c.want})
		})
	}
}
