package text

import (
	"math"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

func TestDemoRuns(t *testing.T) {
	s, err := readFile(t, "../../testdata/demo/lines.csv", survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Runs) != 4 || s.Rows != 116 || !s.Relative || len(s.LeftOut()) != 0 {
		t.Fatalf("%d runs of %d readings, relative %v", len(s.Runs), s.Rows, s.Relative)
	}
	p := s.Runs[3]
	if p.Name != "P4" || len(p.Stations) != 27 || !check.Nearly(p.Step, ft) || !check.Nearly(p.Start.X, 12*ft) || !check.Nearly(p.Start.Y, 29*ft) || !check.Nearly(p.End.Y, 3*ft) || !check.Nearly(p.Length(), 26*ft) || !p.Placed() {
		t.Errorf("run %+v", p)
	}
	// Down from the line of sight, in inches.
	if !check.Nearly(p.Stations[0].Z, -52.39*0.0254) || p.Stations[0].Text != "52.39" {
		t.Errorf("first reading %+v", p.Stations[0])
	}
}

func TestRuns(t *testing.T) {
	m := survey.Options{Unit: unit.Metre}
	for _, c := range []struct {
		name, text string
		o          survey.Options
		step       float64
		z          []float64
		end        [2]float64 // NaN: not placed
	}{
		{"station and rod", "run,station,rod\nA,0,1.500\nA,0.3,1.502\nA,0.6,1.499\n", m, 0.3, []float64{-1.5, -1.502, -1.499}, [2]float64{math.NaN(), 0}},
		{"rows in any order", "run,station,rod\nA,0.6,1.499\nA,0,1.500\nA,0.3,1.502\n", m, 0.3, []float64{-1.5, -1.502, -1.499}, [2]float64{math.NaN(), 0}},
		{"order and elevation, step from the options", "run,order,elevation\nA,1,9.5\nA,2,9.6\nA,3,9.7\n", survey.Options{Unit: unit.Metre, Step: 0.3}, 0.3, []float64{9.5, 9.6, 9.7}, [2]float64{math.NaN(), 0}},
		{"order without a step", "run,order,elevation\nA,1,9.5\nA,2,9.6\n", m, 0, []float64{9.5, 9.6}, [2]float64{math.NaN(), 0}},
		{"order and a column of the step, which goes before the options", "run,order,step_mm,elevation\nA,1,300,9.5\nA,2,300,9.6\nA,3,,9.7\n", survey.Options{Unit: unit.Metre, Step: 0.5}, 0.3, []float64{9.5, 9.6, 9.7}, [2]float64{math.NaN(), 0}},
		{"readings in a cell and the step", "run,step (in),rod\nA,12,\"1.5 1.6 1.7\"\n", m, ft, []float64{-1.5, -1.6, -1.7}, [2]float64{math.NaN(), 0}},
		{"start and bearing", "run,station,elevation,x0,y0,bearing\nA,0,9.5,2,3,90\nA,0.5,9.6,2,3,90\nA,1,9.7,2,3,90\n", m, 0.5, []float64{9.5, 9.6, 9.7}, [2]float64{3, 3}},
		{"every reading placed", "run,x,y,z\nA,1,1,9.5\nA,1,1.5,9.6\nA,1,2,9.4\n", m, 0.5, []float64{9.5, 9.6, 9.4}, [2]float64{1, 2}},
		{"readings in a cell", "line,x0,y0,x1,y1,n,rod\nA,0,0,3,0,3,\"1.5;1.6;1.7\"\n", m, 1.5, []float64{-1.5, -1.6, -1.7}, [2]float64{3, 0}},
		{"readings in a cell, without quotes", "run,readings (in)\nA,0 1/8 -1/16 1/4\n", survey.Options{Step: ft}, ft, []float64{0, -0.0254 / 8, 0.0254 / 16, -0.0254 / 4}, [2]float64{math.NaN(), 0}},
		{"readings with commas in a cell", "run,readings (mm)\nA,\"0, 1.5, 2\"\n", survey.Options{Step: 0.3}, 0.3, []float64{0, -0.0015, -0.002}, [2]float64{math.NaN(), 0}},
		{"a line without ends", "line,down_mm\nA,0 1 2\n", survey.Options{Step: 0.3}, 0.3, []float64{0, -0.001, -0.002}, [2]float64{math.NaN(), 0}},
		{"a line, the number of readings and the step", "line;n;step_mm;reading (mm)\nA;3;300;0 1 2\n", survey.Options{}, 0.3, []float64{0, -0.001, -0.002}, [2]float64{math.NaN(), 0}},
		{"a title row and elevations", "Hall, 3 May\nrun,elevation (m)\nA,9.5 9.6 9.7\n", survey.Options{Step: 0.3}, 0.3, []float64{9.5, 9.6, 9.7}, [2]float64{math.NaN(), 0}},
		{"inches and fractions between semicolons", "run,reading (in)\nA,1 1/2;1 1/4;2\n", survey.Options{Step: ft}, ft, []float64{-1.5 * 0.0254, -1.25 * 0.0254, -2 * 0.0254}, [2]float64{math.NaN(), 0}},
		{"a gap", "run,station,z\nA,0,9.5\nA,0.3,-\nA,0.6,9.7\n", m, 0.3, []float64{9.5, math.NaN(), 9.7}, [2]float64{math.NaN(), 0}},
		{"feet and inches", "run,station (ft),rod (ft-in)\nA,0,5-3 3/8\nA,1,5-3 1/2\n", survey.Options{}, ft, []float64{-1.609725, -1.6129}, [2]float64{math.NaN(), 0}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, c.text, c.o)
			if err != nil {
				t.Fatal(err)
			}
			r := s.Runs[0]
			if len(s.Runs) != 1 || !check.Nearly(r.Step, c.step) || len(r.Stations) != len(c.z) {
				t.Fatalf("%+v", s.Runs)
			}
			for i, z := range c.z {
				if got := r.Stations[i].Z; !check.Nearly(got, z) && !(math.IsNaN(z) && math.IsNaN(got)) {
					t.Errorf("station %d at %.4f, want %.4f", i+1, got, z)
				}
			}
			if placed := !math.IsNaN(c.end[0]); placed != r.Placed() || placed && (!check.Nearly(r.End.X, c.end[0]) || !check.Nearly(r.End.Y, c.end[1])) {
				t.Errorf("ends at %g, %g; want %v", r.End.X, r.End.Y, c.end)
			}
		})
	}
}

func TestRunRefusals(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"one reading", "run,station,rod\nA,0,1.5\n", "f.csv:2: run A: found 1 reading, want at least 2"},
		{"uneven steps", "run,station,rod\nA,0,1.5\nA,0.3,1.5\nA,0.75,1.5\nA,1.05,1.5\n", "f.csv:4: run A: found a step of 0.450 m before station 0.750 m, want steps of 0.300 m, as most of the run has, or a whole number of them"},
		{"a station twice", "run,station,rod\nA,0,1.5\nA,0.3,1.5\nA,0.3,1.5\n", "f.csv:4: run A: found a second reading at station 0.300 m, want one reading a station"},
		{"count of readings", "line,x0,y0,x1,y1,n,rod\nA,0,0,3,0,4,\"1.5 1.6 1.7\"\n", `f.csv:2:11: column 6 "n": found "4", want 3, as many readings as the row holds`},
		{"a word among readings", "line,x0,y0,x1,y1,n,rod\nA,0,0,3,0,3,\"1.5 high 1.7\"\n", `column 7 "rod": found "high"`},
		{"the same run twice", "line,x0,y0,x1,y1,n,rod\nA,0,0,3,0,2,\"1.5 1.7\"\nA,0,0,3,0,2,\"1.5 1.7\"\n", "f.csv:3: run A: found a second row, want one row a run; line 2 has the first"},
		{"one reading or two", "run,readings\nA,0 1 1/2 2\n", `f.csv:2: run A: found "1 1/2", which is one reading or two, want readings that blanks do not cut`},
		{"heads of no runs", "track,values\nA,0 1 2 1 0\n", "f.csv:1: found several readings in one cell, and no header that names runs, want a header such as run,readings (mm)"},
		{"no header", "A,0 1 2 1 0\nB,0 1 2 1 0\n", "f.csv:1: found several readings in one cell, and no header that names runs, want a header such as run,readings (mm)"},
		{"off the line", "run,x,y,z\nA,1,1,9.5\nA,1.1,1.5,9.6\nA,1,2,9.4\n", "f.csv:3: run A: found a reading 100 mm off the line"},
		{"two steps in a run", "run,order,step_mm,z\nA,1,300,9.5\nA,2,250,9.6\n", `f.csv:3:5: column 3 "step_mm": found "250", want 0.3 m, as line 2 has for run A`},
		{"no step", "run,order,step_mm,z\nA,1,-300,9.5\nA,2,-300,9.6\n", `f.csv:2:5: column 3 "step_mm": found "-300", want a length above 0`},
		{"stations against the step", "run,station,step_mm,z\nA,0,300,9.5\nA,0.5,300,9.6\nA,1,300,9.6\n", "f.csv:2: run A: found readings every 0.500 m, want the step of 0.300 m that the file states"},
		{"too long for its ends", "run,station,z,x0,y0,x1,y1\nA,0,9.5,0,0,5,0\nA,1,9.5,0,0,5,0\n", "f.csv:2: run A: found 2 readings a step of 1.000 m apart, want as many as fit the 5.000 m between its ends"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := read(t, c.text, survey.Options{Unit: unit.Metre})
			check.Errors(t, err, []string{c.want})
			if err != nil && strings.Contains(err.Error(), "panic") {
				t.Error(err)
			}
		})
	}
}

// A station that the file skips has no reading, as if its cell were empty.
func TestRunStationsPassedOver(t *testing.T) {
	for _, text := range []string{
		"run,station,z\nA,0,9.1\nA,0.3,9.2\nA,0.6,9.3\nA,1.2,9.5\n",
		"run,order,z\nA,1,9.1\nA,2,9.2\nA,3,9.3\nA,5,9.5\n",
	} {
		s, err := read(t, text, survey.Options{Unit: unit.Metre})
		if err != nil {
			t.Fatal(err)
		}
		r := s.Runs[0]
		if len(r.Stations) != 5 || !math.IsNaN(r.Stations[3].Z) || r.Stations[4].Z != 9.5 {
			t.Errorf("stations %+v", r.Stations)
		}
		noted := false
		for _, n := range s.Notes {
			noted = noted || n.Kind == survey.LeftOut && strings.Contains(n.Text.String(), "1 without a reading between stations")
		}
		if !noted {
			t.Errorf("not noted: %v", s.Notes)
		}
	}
}
