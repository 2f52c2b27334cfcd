package surface

import (
	"math"
	"testing"

	"pourplane/survey"
)

// pyramid is a room of 6 m by 4 m with shots at its corners and one 20 mm higher at (2, 2):
// edges run from there to each corner.
func pyramid(t *testing.T) *Floor {
	shots := []survey.Point{{Z: 10}, {X: 6, Z: 10}, {X: 6, Y: 4, Z: 10}, {Y: 4, Z: 10}, {X: 2, Y: 2, Z: 10.02}}
	return build(t, Data{Shots: shots, Rings: []survey.Ring{ringOf("room", survey.Outer, 0, 0, 6, 0, 6, 4, 0, 4)}})
}

// The line turns on the edge from (2, 2) to (6, 4), at two thirds of it, rounded to a
// nanometre. By hand: the line from (-1, -1) reaches the south wall at x = 4/13, the line to
// (8, -1) the east wall at y = 1.6. Between them is a figure of four corners.
func TestCutTurnsOnAnEdge(t *testing.T) {
	p := cutInto(t, pyramid(t), Horizontal(10.03), line(-1, -1, 4.666666667, 3.333333333, 8, -1))
	if len(p.Pieces) != 2 || len(p.Joins) != 2 {
		t.Fatalf("%d pieces, %d joins; want 2 and 2", len(p.Pieces), len(p.Joins))
	}
	inside := []Vec{{X: 4.0 / 13, Y: 0}, {X: 6, Y: 0}, {X: 6, Y: 1.6}, {X: 14.0 / 3, Y: 10.0 / 3}}
	near(t, "area inside", p.Pieces[1].FillTo(Horizontal(10.03), nil).Area, RingArea(inside), 1e-8)
	near(t, "first dam", p.Joins[0].Length(), inside[0].Distance(inside[3]), 1e-8)
	near(t, "second dam", p.Joins[1].Length(), inside[3].Distance(inside[2]), 1e-8)
}

// Every line from the west to the south or east that turns there divides the room in two,
// except those that double back.
func TestCutsThatTurnOnAnEdge(t *testing.T) {
	f := pyramid(t)
	cuts := 0
	for _, bend := range line(4.666666667, 3.333333333, 4.666666667, 1.333333333, 4.857142857, 3.428571429) {
		for y := -2.0; y <= 6; y += 0.5 {
			for x := -2.0; x <= 8; x++ {
				l := []Vec{{X: -1, Y: y}, bend, {X: x, Y: -1 - x/8}}
				if doublesBack(l) {
					continue
				}
				cuts++
				if p := cutInto(t, f, Horizontal(10.01), l); len(p.Pieces) != 2 {
					t.Errorf("line %v: %d pieces, want 2", l, len(p.Pieces))
				}
			}
		}
	}
	if cuts < 500 {
		t.Errorf("%d cuts, want 500 at least", cuts)
	}
}

// A place two steps from a corner, or from an edge, is on it. One three steps from it is
// not: it becomes a separate corner.
func TestPlacesNextToCornersAndEdges(t *testing.T) {
	const nm = 1e-9
	for _, c := range []struct {
		name string
		at   Vec
		want Vec // where the dam turns
	}{
		{"two steps from a shot", Vec{X: 2, Y: 2 + 2*nm}, Vec{X: 2, Y: 2}},
		{"three steps from it", Vec{X: 2, Y: 2 + 3*nm}, Vec{X: 2, Y: 2 + 3*nm}},
		// The edge from (2, 2) to (6, 4) rises by 1 in 2.
		{"by an edge", Vec{X: 4, Y: 3 + 2*nm}, Vec{X: 4 + 0.8*nm, Y: 3 + 0.4*nm}},
		{"beside it", Vec{X: 4, Y: 3 + 3*nm}, Vec{X: 4, Y: 3 + 3*nm}},
		{"on a wall", Vec{X: 6 - 2*nm, Y: 1}, Vec{X: 6, Y: 1}},
		{"beside it", Vec{X: 6 - 3*nm, Y: 1}, Vec{X: 6 - 3*nm, Y: 1}},
	} {
		p := cutInto(t, pyramid(t), Horizontal(10.01), []Vec{{X: 1, Y: -1}, c.at, {X: 5, Y: 5}})
		gap := math.Inf(1)
		for _, j := range p.Joins {
			for _, s := range j.Run {
				gap = min(gap, s.At.Distance(c.want))
			}
		}
		if gap > 0.05*nm {
			t.Errorf("%s: the dam turns %g nm from (%.10f, %.10f)", c.name, gap/nm, c.want.X, c.want.Y)
		}
	}
}

// Two shots two steps beside a line in the direction 4 : 3 are on it. So is the place where
// another line crosses the edge between them, whichever side it is rounded to. The room is
// 80 mm by 60 mm, where the distance of the shots from the line is not rounded.
func TestCutAcrossAnEdgeThatIsADam(t *testing.T) {
	const nm = 1e-9
	shots := []survey.Point{{Z: 10}, {X: 0.08, Z: 10}, {X: 0.08, Y: 0.06, Z: 10}, {Y: 0.06, Z: 10},
		{X: 0.02 - 2*nm, Y: 0.02 + nm, Z: 10.01}, {X: 0.06 - 2*nm, Y: 0.05 + nm, Z: 10.02}}
	f := build(t, Data{Shots: shots, Rings: []survey.Ring{ringOf("room", survey.Outer, 0, 0, 0.08, 0, 0.08, 0.06, 0, 0.06)}})
	for i := 25; i < 60; i++ {
		x := float64(i) / 1000
		p := cutInto(t, f, Horizontal(10.03), line(-0.02, -0.01, 0.1, 0.08), line(x, -0.01, x+0.0005, 0.07))
		if len(p.Pieces) != 4 {
			t.Errorf("crossed at %g m: %d pieces, want 4", x, len(p.Pieces))
		}
	}
}
