package plot

import (
	"bytes"
	"math"
	"testing"

	"gonum.org/v1/plot/vg"

	"pourplane/surface"
)

// A page puts a ring of 7 pixels over a map at each pin, up to 6.2 pt wide where the map is
// smallest. No lettering is under one, nor farther away than that needs.
func TestLetteringIsClearOfPins(t *testing.T) {
	t.Parallel()
	const ring = 3.1 // pt, radius
	m := &DepthMap{Floor: hall(2, surface.Vec{}), Target: surface.Horizontal(99.83 * foot), Finished: doors(surface.Vec{}), Shots: true}
	var pins []surface.Vec
	for _, q := range pinned(5).Pins {
		pins = append(pins, q.At)
	}
	for _, r := range m.Floor.Regions { // and on shots
		for i, q := range r.Shots {
			if i%40 == 0 {
				pins = append(pins, surface.Vec{X: q.X, Y: q.Y})
			}
		}
	}
	for _, width := range []vg.Length{236, DefaultWidth} {
		frame, err := m.Frame(width)
		if err != nil {
			t.Fatal(err)
		}
		under := func() (covered int, nearest float64) {
			var b bytes.Buffer
			if err := Write(&b, m, Output{Format: "svg", Width: width}); err != nil {
				t.Fatal(err)
			}
			nearest = math.Inf(1)
			for _, v := range pins {
				x, y := (v.X-frame.Corner.X)/frame.Metres, (frame.Corner.Y-v.Y)/frame.Metres
				for _, l := range lettered(t, b.Bytes()) {
					away := math.Max(math.Max(l.x0-x, x-l.x1), math.Max(l.y0-y, y-l.y1))
					if nearest = min(nearest, away); away < ring {
						covered++
					}
				}
			}
			return covered, nearest
		}
		m.Pins = nil
		if n, _ := under(); n == 0 {
			t.Errorf("%g pt wide: pins that the map does not know of cover %d letterings, want some", width.Points(), n)
		}
		m.Pins = pins
		if n, nearest := under(); n > 0 || nearest > ring+2.5 {
			t.Errorf("%g pt wide: %d letterings are under pins, the nearest is %.1f pt from one", width.Points(), n, nearest)
		}
	}
}

// Names without room beside their marks cover as little as possible, inside the picture, and
// a line leads to them.
func TestNamesOverTheLeastOfMarks(t *testing.T) {
	t.Parallel()
	g := newGround(vg.Rectangle{Max: vg.Point{X: 200, Y: 200}})
	mark := vg.Point{X: 190, Y: 100}
	g.mark(box{centre: vg.Point{X: 100, Y: 100}, w: 220, h: 220}, taken)
	const clearing = 135 // pt up: one place in reach is free except for a corner
	for y := clearing; y < 200; y++ {
		for x := 100; x < 200; x++ {
			g.cells[y*g.w+x] = 0
		}
	}
	g.cells[clearing*g.w+150] = taken
	got := g.over(mark, []vg.Length{4, 40}, 60, 10)
	if got.Y < clearing || got.X+30 > 200 {
		t.Errorf("a name of 60 by 10 pt is at %v", got)
	}
	if ok, _ := g.free(box{centre: got, w: 60, h: 10}); ok {
		t.Error("its room is not taken")
	}
}
