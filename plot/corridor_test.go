package plot

import (
	"fmt"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
)

// corridor is a floor of a length and width with pins along both walls and down the middle.
func corridor(length, width, apart float64) *SetOutMap {
	m := &SetOutMap{Floor: rectangle(length, width, int(length), 2, func(x, y float64) float64 { return 10 }), Target: surface.Horizontal(10.05), HeightsFirst: true}
	for k, y := range []float64{0.15, width / 2, width - 0.15} {
		for i, x := 1, 0.15; x < length; i, x = i+1, x+apart {
			m.Pins = append(m.Pins, SetOutPin{At: surface.Vec{X: x, Y: y}, Name: fmt.Sprintf("%c%d", 'A'+k, i), Text: "50", Wall: k != 1})
		}
	}
	return m
}

// The page for the wall has names and heights of pins of a long corridor outside its walls
// too, at the end of lines. Without that the longer one showed 52 heights only.
func TestCorridorIsLetteredOutside(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		length, width, apart float64
		unnamed, unwritten   int
	}{{10, 1.2, 0.8, 0, 0}, {40, 2, 1.5, 25, 1}} {
		m := corridor(c.length, c.width, c.apart)
		s := newSetOutSheet(m)
		lo, hi := s.reach()
		drawPlan(draw.New(newSVG(722, 345, "")), lo, hi, plan{legend: 80, x: "x", y: "y"}, s)
		if s.named < len(m.Pins)-c.unnamed || s.heights < len(m.Pins)-c.unwritten {
			t.Errorf("%g by %g m: %d names and %d heights of %d pins", c.length, c.width, s.named, s.heights, len(m.Pins))
		}
		outside := 0
		for i, l := range s.leaders {
			for _, o := range s.leaders[i+1:] {
				if cross([2]vg.Point{l.from, l.to}, [2]vg.Point{o.from, o.to}) {
					t.Errorf("%g by %g m: the lines to pins %d and %d cross", c.length, c.width, l.of, o.of)
				}
			}
			if s.regionAt(m.Pins[l.of-1].At) != 0 && (l.to.Y > s.frame.at(surface.Vec{Y: c.width}).Y || l.to.Y < s.frame.at(surface.Vec{}).Y) {
				outside++
			}
		}
		if c.length > 20 && outside < 20 {
			t.Errorf("%d of %d lines lead outside", outside, len(s.leaders))
		}
	}
}

// A door's name takes no room from a pin beside it, wherever the door is. On the narrowest
// picture the door's name may be left out and counted.
func TestPinsBesideDoors(t *testing.T) {
	t.Parallel()
	m := &SetOutMap{Floor: rectangle(4.5, 4, 4, 4, func(x, y float64) float64 { return 10 }), Target: surface.Horizontal(10.05), HeightsFirst: true}
	for i, x := range []float64{0.15, 1.5, 3, 4.35} {
		for k, y := range []float64{0.15, 1.5, 3, 3.85} {
			m.Pins = append(m.Pins, SetOutPin{At: surface.Vec{X: x, Y: y}, Name: fmt.Sprintf("W%d", 10+4*i+k), Text: "105", Wall: i%3 == 0 || k%3 == 0})
		}
	}
	for x := 0.0; x <= 4.5; x += 0.75 {
		for _, p := range []survey.Point{{X: x, Y: 0, Z: 10.1}, {X: x, Y: 4, Z: 10.1}, {X: 0, Y: x * 4 / 4.5, Z: 10.1}, {X: 4.5, Y: x * 4 / 4.5, Z: 10.1}} {
			m.Finished = []survey.Point{p.Named("DOOR1")}
			for _, width := range []vg.Length{236, 340} {
				s := newSetOutSheet(m)
				lo, hi := s.reach()
				drawPlan(draw.New(newSVG(width, 0.8*width, "")), lo, hi, plan{x: "x", y: "y"}, s)
				if s.named != len(m.Pins) || s.heights != len(m.Pins) || s.unnamedDoors() > 0 && width > 300 {
					t.Errorf("%g pt wide, a door at %.1f, %.1f: %d names and %d heights of %d, %d doors unnamed", width.Points(), p.X, p.Y, s.named, s.heights, len(m.Pins), s.unnamedDoors())
				}
			}
		}
	}
}
