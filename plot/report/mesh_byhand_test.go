package report

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/plot/exchange"
	"pourplane/surface/job"
)

// floorIn is a floor of w by h in a unit of length, with shots every step from (0, 0) and
// elevations z in the same unit.
func floorIn(of string, w, h, step float64, z func(x, y float64) float64) fstest.MapFS {
	var shots, walls bytes.Buffer
	fmt.Fprintf(&shots, "point,x (%[1]s),y (%[1]s),z (%[1]s)\n", of)
	n := 100
	for x := 0.0; x <= w+1e-9; x += step {
		for y := 0.0; y <= h+1e-9; y += step {
			fmt.Fprintf(&shots, "%d,%g,%g,%.12f\n", n, x, y, z(x, y))
			n++
		}
	}
	fmt.Fprintf(&walls, "x (%[1]s),y (%[1]s)\n0,0\n%[2]g,0\n%[2]g,%[3]g\n0,%[3]g\n", of, w, h)
	return fstest.MapFS{"floor.csv": {Data: shots.Bytes()}, "walls.csv": {Data: walls.Bytes()}}
}

// levelAt is a floor at one elevation.
func levelAt(z float64) func(x, y float64) float64 { return func(_, _ float64) float64 { return z } }

// handed is a job, given as text, on a floor of its own.
func handed(t *testing.T, text string, files fstest.MapFS) *Handover {
	t.Helper()
	j, err := job.Parse([]byte("title = \"Floor\"\ndate = 2026-11-25\n"+text), "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	done, err := job.Solve(t.Context(), j, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	h, err := NewHandover(done, StyleOf(done))
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// saidIn fails for each text that is not in another, and for each behind a "not " that is.
func saidIn(t *testing.T, text string, want ...string) {
	t.Helper()
	for _, w := range want {
		without, not := strings.CutPrefix(w, "not ")
		if not && strings.Contains(text, without) {
			t.Errorf("%q is in\n%s", without, text)
		} else if !not && !strings.Contains(text, w) {
			t.Errorf("%q is not in\n%s", w, text)
		}
	}
}

// A142 is 6 mm wire at 200 mm both ways: π/4·6² mm² at 7850 kg/m³, ten wires a metre, 2.22 kg/m²
// (the figure printed in BS 4483).
const meshKeys = "[mesh]\nname = \"A142\"\nsheet-length = \"4.8m\"\nsheet-width = \"2.4m\"\nlap = \"200mm\"\ncover = \"20mm\"\nmass-kgm2 = 2.22\nprice-per-sheet = 45.0\n"

// By hand on 6 × 4 m, 50 mm from the walls: 5.9 m by sheets of 4.8 less a lap of 0.2 are 4.8 and
// 1.3 m, 3.9 m by rows of 2.4 less 0.2 are 2.4 and 1.7 m. Laid are (4.8 + 1.3)(2.4 + 1.7) = 25.01
// m², of which 25.01 − 5.9·3.9 = 2.00 are double. Four whole sheets weigh 4·11.52·2.22 = 102.3 kg,
// 225.5 lb. Two covers of 20 mm are deeper than the fill on the first 1.5 m, 6 m².
func TestMeshByHand(t *testing.T) {
	if wire := 10 * math.Pi / 4 * 0.006 * 0.006 * 7850; math.Abs(wire-2.22) > 0.005 {
		t.Errorf("A142 by its wires: %g kg/m²", wire)
	}
	h := runText(t, ramp+meshKeys).h
	saidIn(t, strings.Join(recordSection(t, h, "Reinforcement").Text, "\n"), "4 sheets of A142, each 4.800 m × 2.400 m, laps 200 mm: 25.01 m² as laid", "2.00 m² of it double; 102 kg.",
		"Too thin for mesh and its cover (40 mm needed): 6.00 m² of floor")
	agree(t, "mesh", figuresOf(h.meshTable(), 1), map[string]float64{"Sheets": 4, "Laid before trimming (m²)": 25.01, "Lying double (m²)": 2, "Mass of whole sheets (kg)": 102.2976})
	figuresIn(t, numbersOf(t, h), map[string]float64{"mesh.sheets": 4, "mesh.laid_m2": 25.01, "mesh.lapped_m2": 2, "mesh.mass_kg": 102.2976})
	// A crew with feet and inches keeps 2 in from the walls, 50.8 mm: 5.8984 × 3.8984 m. 1 ft is
	// 0.3048 m, 1 lb 0.45359237 kg.
	inFeet := runText(t, "show = \"feet\"\n"+ramp+meshKeys).h
	laid, once := 6.0984*4.0984, 5.8984*3.8984
	agree(t, "mesh", figuresOf(inFeet.meshTable(), 1), map[string]float64{"Sheets": 4, "Laid before trimming (ft²)": laid / 0.09290304, "Lying double (ft²)": (laid - once) / 0.09290304, "Mass of whole sheets (lb)": 102.2976 / 0.45359237})
	saidIn(t, strings.Join(recordSection(t, inFeet, "Reinforcement").Text, "\n"), `each 15'-9" × 7'-10 1/2", laps 7 7/8": 269.0 ft² as laid`, "21.5 ft² of it double; 226 lb.", `(1 9/16" needed): 64.6 ft² of floor`)
	// Four sheets at 45.00 are in the price.
	for _, row := range cellsOf(h.totalTable()) {
		if row[0] == "Mesh" && !slices.Equal(row, []string{"Mesh", "4", "sheets", "45.00", "180.00"}) {
			t.Errorf("%q, by hand 4 sheets at 45.00 are 180.00", row)
		}
	}
	figuresIn(t, numbersOf(t, h), map[string]float64{"total.lines.1.quantity": 4, "total.lines.1.amount": 180})
}

// The sheets by hand, from corner to corner, as a plan for other programs and the map draw them.
func TestSheetsOfMeshByHand(t *testing.T) {
	h := runText(t, ramp+meshKeys).h
	want := map[[4]float64]bool{ // west, south, east, north
		{0.05, 0.05, 4.85, 2.45}: true, {4.65, 0.05, 5.95, 2.45}: true,
		{0.05, 2.25, 4.85, 3.95}: true, {4.65, 2.25, 5.95, 3.95}: true,
	}
	layers := h.plan().Layers
	i := slices.IndexFunc(layers, func(l exchange.Layer) bool { return l.Name == "MESH" })
	if i < 0 || len(layers[i].Lines) != 4 {
		t.Fatalf("no layer of 4 sheets: %d", i)
	}
	for _, l := range layers[i].Lines {
		box := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
		for _, p := range l.Points {
			box = [4]float64{min(box[0], p.X), min(box[1], p.Y), max(box[2], p.X), max(box[3], p.Y)}
		}
		for k := range box {
			box[k] = math.Round(box[k]*1e6) / 1e6
		}
		if !l.Closed || len(l.Points) != 4 || !want[box] {
			t.Errorf("a sheet on %v", box)
		}
		delete(want, box)
	}
	if len(want) > 0 {
		t.Errorf("no sheets on %v", want)
	}
	m := h.setOutMap(false, true, false)
	if len(m.Sheets) != 4 || m.Summary != "4 sheets of mesh" {
		t.Errorf("the map has %d sheets, %q", len(m.Sheets), m.Summary)
	}
}

// By hand in feet, with what is usual there: 2 in from walls, laps of 8 in and covers of 3/4 in. A
// room of 20 × 12 ft takes 236 × 140 in: sheets of 8 ft less 8 in are 96, 96 and 60 in, rows of 5
// ft less 8 in are 60, 60 and 36 in. Nine sheets, 252 × 156 in as laid, 273 ft²; 273 − 236·140/144
// = 43.6 are double. At 0.42 lb/ft² (6×6-W2.9, 42 lb in 100 ft² in tables of welded wire) whole
// ones weigh 9·40·0.42 = 151.2 lb, 68.58 kg. In a room of 12 × 20 ft they lie along its long walls too.
func TestMeshInFeetByHand(t *testing.T) {
	const keys = "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"0ft\"\n[mesh]\nname = \"6x6-W2.9\"\nsheet-length = \"8ft\"\nsheet-width = \"5ft\"\nmass-lbft2 = 0.42\n"
	const foot = 0.3048
	for _, size := range [][2]float64{{20, 12}, {12, 20}} {
		h := handed(t, keys, floorIn("ft", size[0], size[1], 2, levelAt(-0.25)))
		agree(t, "mesh", figuresOf(h.meshTable(), 1), map[string]float64{"Sheets": 9, "Laid before trimming (ft²)": 273, "Lying double (ft²)": 273 - 236.0*140/144, "Mass of whole sheets (lb)": 151.2})
		saidIn(t, strings.Join(h.steelSection().Text, "\n"), `9 sheets of 6x6-W2.9, each 8'-0" × 5'-0", laps 8": 273.0 ft² as laid`, "43.6 ft² of it double; 151 lb.", "not Too thin")
		figuresIn(t, numbersOf(t, h), map[string]float64{"mesh.laid_m2": 273 * foot * foot, "mesh.mass_kg": 151.2 * 0.45359237})
		least, most := math.Inf(1), 0.0 // of x along the sheets that are whole
		for _, s := range h.Mesh.Sheets {
			if s.Length > 95.9/12*foot {
				for _, c := range s.Corners {
					least, most = min(least, c.X), max(most, c.X)
				}
				break
			}
		}
		if along := most - least; size[0] > size[1] && math.Abs(along-8*foot) > 1e-9 || size[0] < size[1] && math.Abs(along-5*foot) > 1e-9 {
			t.Errorf("%g × %g ft: the first sheet takes %g ft of x, want its length along the long wall", size[0], size[1], along/foot)
		}
	}
	// 1 1/4 in of fill is less than two covers: all of the 240 ft².
	h := handed(t, keys, floorIn("ft", 20, 12, 2, levelAt(-1.25/12)))
	saidIn(t, strings.Join(h.steelSection().Text, "\n"), `Too thin for mesh and its cover (1 1/2" needed): 240.0 ft² of floor`)
}

// In an L-shaped room a row ends where no floor is under any of its width. By hand on 6 × 4 m without
// the corner north-east of (3, 2): rows of 2 m less 0.2 run from y = 0.05, 1.85 and 3.65 m. The
// first two have floor under them to the east wall, 5.9 m, the third to x = 3 m, 2.9 m. On 6 × 4
// m with steps of 0.5 m in the south wall, at x = 1, and in the north one, at x = 3, it is the same:
// the first row has floor under its last 1.55 m from wall to wall.
func TestMeshOfAnLByHand(t *testing.T) {
	floor := levelAt(-0.1)
	want := map[string]float64{"Sheets": 5, "Laid before trimming (m²)": 6.1*(2+2) + 2.9*0.3, "Mass of whole sheets (kg)": 5 * 9.6 * 2.22, "Lying double (m²)": 2*0.2*2 + 5.9*0.2 + 2.9*0.2}
	for _, walls := range []string{"0,0\n6,0\n6,2\n3,2\n3,4\n0,4\n", "0,0\n1,0\n1,0.5\n6,0.5\n6,4\n3,4\n3,3.5\n0,3.5\n"} {
		files := floorIn("m", 6, 4, 1, floor)
		files["walls.csv"] = &fstest.MapFile{Data: []byte("x (m),y (m)\n" + walls)}
		h := handed(t, ramp+strings.Replace(meshKeys, "2.4m", "2m", 1), files)
		agree(t, "mesh", figuresOf(h.meshTable(), 1), want)
	}
}
