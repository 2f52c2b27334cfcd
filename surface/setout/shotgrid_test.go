package setout

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// planFloor is a floor of outlines alone: the corners are its shots.
func planFloor(t *testing.T, rings []survey.Ring, lines ...survey.Breakline) *surface.Floor {
	t.Helper()
	f, err := surface.NewFloor(surface.Data{Shots: CornerShots(rings, lines), Rings: rings, Lines: lines})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// outlineOf is a ring of corners x, y.
func outlineOf(name string, kind survey.RingKind, xy ...float64) survey.Ring {
	r := survey.Ring{Name: name, Kind: kind}
	for i := 0; i < len(xy); i += 2 {
		r.Points = append(r.Points, survey.Point{X: xy[i], Y: xy[i+1], Z: math.NaN()})
	}
	return r
}

// drawn is a grid as on the sheet: north at the top.
func drawn(g *ShotGrid) string {
	var rows []string
	for r := len(g.On) - 1; r >= 0; r-- {
		row := ""
		for _, on := range g.On[r] {
			row += map[bool]string{true: "o", false: "."}[on]
		}
		rows = append(rows, row)
	}
	return strings.Join(rows, " ")
}

func TestShotGrids(t *testing.T) {
	rule := GridRule{Spacing: 1, Off: 0.1, Mark: 0.01}
	step := survey.Breakline{Name: "step", Points: []survey.Point{{X: 0, Y: 2, Z: math.NaN()}, {X: 4, Y: 2, Z: math.NaN()}}}
	for _, c := range []struct {
		name          string
		rings         []survey.Ring
		lines         []survey.Breakline
		columns, rows string
		on            string
	}{
		{"a room: beside every wall, and whole metres between", []survey.Ring{outlineOf("room", survey.Outer, 0, 0, 4, 0, 4, 3, 0, 3)}, nil,
			"0.1 1 2 3 3.9", "0.1 1 2 2.9", "ooooo ooooo ooooo ooooo"},
		{"evenly where whole metres leave more than one", []survey.Ring{outlineOf("room", survey.Outer, 0, 0, 3.4, 0, 3.4, 2.7, 0, 2.7)}, nil,
			"0.1 0.9 1.7 2.5 3.3", "0.1 1 2 2.6", "ooooo ooooo ooooo ooooo"},
		{"measured from the walls wherever the outline begins", []survey.Ring{outlineOf("room", survey.Outer, 100, 200, 104, 200, 104, 203, 100, 203)}, nil,
			"0.1 1 2 3 3.9", "0.1 1 2 2.9", "ooooo ooooo ooooo ooooo"},
		{"an L has lines beside its inner walls", []survey.Ring{outlineOf("room", survey.Outer, 0, 0, 4, 0, 4, 1.5, 2, 1.5, 2, 4, 0, 4)}, nil,
			"0.1 1 1.9 2.9 3.9", "0.1 0.75 1.4 2 3 3.9", "ooo.. ooo.. ooo.. ooooo ooooo ooooo"},
		{"evenly between walls that leave no whole metre", []survey.Ring{outlineOf("room", survey.Outer, 0, 0, 4, 0, 4, 1.7, 2, 1.7, 2, 3.4, 0, 3.4)}, nil,
			"0.1 1 1.9 2.9 3.9", "0.1 1 1.6 2.45 3.3", "ooo.. ooo.. ooooo ooooo ooooo"},
		{"none in a column", []survey.Ring{outlineOf("room", survey.Outer, 0, 0, 4, 0, 4, 4, 0, 4), outlineOf("column", survey.Hole, 1.8, 1.8, 2.2, 1.8, 2.2, 2.2, 1.8, 2.2)}, nil,
			"0.1 1 2 3 3.9", "0.1 1 2 3 3.9", "ooooo ooooo oo.oo ooooo ooooo"},
		{"nor as near to one as half the distance from a wall", []survey.Ring{outlineOf("room", survey.Outer, 0, 0, 4, 0, 4, 4, 0, 4), outlineOf("column", survey.Hole, 2.04, 1.8, 2.4, 1.8, 2.4, 2.2, 2.04, 2.2)}, nil,
			"0.1 1 2 3 3.9", "0.1 1 2 3 3.9", "ooooo ooooo oo.oo ooooo ooooo"},
		{"on both sides of a step", []survey.Ring{outlineOf("room", survey.Outer, 0, 0, 4, 0, 4, 4, 0, 4)}, []survey.Breakline{step},
			"0.1 1 2 3 3.9", "0.1 1 1.9 2.1 3 3.9", "ooooo ooooo ooooo ooooo ooooo ooooo"},
		{"two lines across a corridor narrower than the spacing", []survey.Ring{outlineOf("corridor", survey.Outer, 0, 0, 0.9, 0, 0.9, 3, 0, 3)}, nil,
			"0.1 0.8", "0.1 1 2 2.9", "oo oo oo oo"},
		{"and across a slot narrower than a rod is from two walls", []survey.Ring{outlineOf("slot", survey.Outer, 0, 0, 0.2, 0, 0.2, 2, 0, 2)}, nil,
			"0.05 0.15", "0.1 1 1.9", "oo oo oo"},
	} {
		t.Run(c.name, func(t *testing.T) {
			all, err := LayShotGrids(planFloor(t, c.rings, c.lines...), rule)
			if err != nil {
				t.Fatal(err)
			}
			g := all[0]
			list := func(lines []float64) string {
				var out []string
				for _, v := range lines {
					out = append(out, fmt.Sprintf("%.4g", v))
				}
				return strings.Join(out, " ")
			}
			if list(g.Columns) != c.columns || list(g.Rows) != c.rows || drawn(&g) != c.on {
				t.Errorf("columns %s, rows %s, %s; want %s, %s, %s", list(g.Columns), list(g.Rows), drawn(&g), c.columns, c.rows, c.on)
			}
			if g.West != "west wall" || g.South != "south wall" || g.Bearing != 90 {
				t.Errorf("from %s and %s, bearing %g", g.West, g.South, g.Bearing)
			}
		})
	}
}

// In an L the lines beside its inner walls can leave out a whole spacing on either side: no two
// neighbours are farther apart than the spacing all the same, but for what a tape rounds.
func TestShotGridOfAnLHasNoGaps(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	within := func(lo, hi float64) float64 { return lo + rng.Float64()*(hi-lo) }
	for range 400 {
		w, h, rule := within(4, 12), within(4, 12), GridRule{Spacing: within(0.5, 3), Off: 0.1, Mark: 0.01}
		x, y := within(1, w-1), within(1, h-1)
		all, err := LayShotGrids(planFloor(t, []survey.Ring{outlineOf("room", survey.Outer, 0, 0, w, 0, w, y, x, y, x, h, 0, h)}), rule)
		if err != nil {
			t.Fatal(err)
		}
		for _, lines := range [][]float64{all[0].Columns, all[0].Rows} {
			for k := 1; k < len(lines); k++ {
				if gap := lines[k] - lines[k-1]; gap > rule.Spacing+2*rule.Mark {
					t.Fatalf("%.2f by %.2f m less %.2f by %.2f m, lines %.2f m apart: %.2f m between %.2f and %.2f m", w, h, w-x, h-y, rule.Spacing, gap, lines[k-1], lines[k])
				}
			}
		}
	}
}

// Rooms are apart: each has a grid of its own, from its own walls.
func TestShotGridOfEachRoom(t *testing.T) {
	kitchen := outlineOf("kitchen", survey.Outer, 0, 0, 4, 0, 4, 3, 0, 3)
	hall := outlineOf("hall", survey.Outer, 4.15, 0.5, 7.15, 0.5, 7.15, 2.5, 4.15, 2.5)
	hall.Walls = []string{"street side", "", "", "kitchen side"}
	all, err := LayShotGrids(planFloor(t, []survey.Ring{kitchen, hall}), GridRule{Spacing: 1, Off: 0.1, Mark: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 2 || all[0].Part != "kitchen" || all[1].Part != "hall" {
		t.Fatalf("%d grids", len(all))
	}
	if g := all[1]; g.Origin != (surface.Vec{X: 4.15, Y: 0.5}) || g.West != "kitchen side" || g.South != "street side" || g.At(1, 1) != (surface.Vec{X: 5.15, Y: 1.5}) {
		t.Errorf("%+v", all[1])
	}
	for _, p := range all[1].Shots() {
		if p.Part() != "hall" {
			t.Errorf("shot %s of %q", p.Name(), p.Part())
		}
	}
}

// A room that is turned on the drawing has its grid along its walls, whichever corner comes
// first.
func TestShotGridTurnedWithTheWalls(t *testing.T) {
	const turn = 20. // degrees, counter-clockwise
	sin, cos := math.Sincos(turn * math.Pi / 180)
	var xy []float64
	for _, p := range [][2]float64{{0, 0}, {4, 0}, {4, 3}, {0, 3}} {
		xy = append(xy, 1000+p[0]*cos-p[1]*sin, 2000+p[0]*sin+p[1]*cos)
	}
	for k := range 4 {
		from := append(append([]float64{}, xy[2*k:]...), xy[:2*k]...)
		all, err := LayShotGrids(planFloor(t, []survey.Ring{outlineOf("room", survey.Outer, from...)}), GridRule{Spacing: 1, Off: 0.1, Mark: 0.01})
		if err != nil {
			t.Fatal(err)
		}
		g := all[0]
		if g.Bearing != 70 || g.Origin != (surface.Vec{X: 1000, Y: 2000}) || drawn(&g) != "ooooo ooooo ooooo ooooo" {
			t.Errorf("corner %d first: %+v", k, g)
		}
		if p := g.At(1, 2); math.Hypot(p.X-(1000+2*cos-sin), p.Y-(2000+2*sin+cos)) > 1e-9 {
			t.Errorf("C2 at %v", p)
		}
	}
}

func TestShotGridRefusesTooMany(t *testing.T) {
	_, err := LayShotGrids(planFloor(t, []survey.Ring{outlineOf("hall", survey.Outer, 0, 0, 100, 0, 100, 100, 0, 100)}), GridRule{Spacing: 0.5, Off: 0.1, Mark: 0.01})
	if err == nil || !strings.Contains(err.Error(), "a wider spacing") {
		t.Error(err)
	}
}

func TestLetters(t *testing.T) {
	for n, want := range map[int]string{0: "A", 7: "H", 8: "J", 13: "P", 23: "Z", 24: "AA", 47: "AZ", 48: "BA"} {
		if Letter(n) != want {
			t.Errorf("%d is %s, want %s", n, Letter(n), want)
		}
	}
}
