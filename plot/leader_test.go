package plot

import (
	"testing"

	"gonum.org/v1/plot/vg"
)

// If pins are too close for lettering beside each mark, lines lead to it: none is left out,
// and no line crosses lettering, another mark or another line. A line crosses a wall only to
// lettering outside the floor.
func TestLeadersToLettering(t *testing.T) {
	t.Parallel()
	m := pinned(3.3)
	led, written := false, 0
	for _, scale := range []float64{64, 72, 80, 84, 88} {
		m.Scale = scale
		s := laid(t, m).placed
		if s.named+s.heights == 2*len(m.Pins) {
			written++
			led = led || len(s.leaders) > 0
		}
		var walls [][2]vg.Point
		for _, r := range m.Floor.Regions {
			for _, ring := range r.Rings {
				for i, v := range ring {
					walls = append(walls, [2]vg.Point{s.frame.at(v), s.frame.at(ring[(i+1)%len(ring)])})
				}
			}
		}
		for i, l := range s.leaders {
			line := [2]vg.Point{l.from, l.to}
			for _, w := range walls {
				if cross(line, w) && onHall(s.placeOf(l.to)) {
					t.Errorf("1:%g: the line to pin %d crosses a wall", scale, l.of)
				}
			}
			for _, o := range s.leaders[i+1:] {
				if cross(line, [2]vg.Point{o.from, o.to}) {
					t.Errorf("1:%g: the lines to pins %d and %d cross", scale, l.of, o.of)
				}
			}
			for _, b := range s.labels {
				half := vg.Point{X: b.w/2 - 1, Y: b.h/2 - 1} // without the margin of every label
				lo, hi := b.centre.Sub(half), b.centre.Add(half)
				if cross(line, [2]vg.Point{lo, hi}) || cross(line, [2]vg.Point{{X: lo.X, Y: hi.Y}, {X: hi.X, Y: lo.Y}}) {
					t.Errorf("1:%g: the line to pin %d crosses %q of %d", scale, l.of, b.text, b.of)
				}
			}
			for k, q := range m.Pins {
				at := s.frame.at(q.At)
				r := vg.Point{X: pinRadius, Y: pinRadius}
				if k+1 != l.of && cross(line, [2]vg.Point{at.Sub(r), at.Add(r)}) {
					t.Errorf("1:%g: the line to pin %d crosses the mark of %s", scale, l.of, q.Name)
				}
			}
		}
	}
	if !led || written < 3 {
		t.Errorf("all is written at %d of 5 scales, with lines: %t", written, led)
	}
}

// cross reports whether two pieces of line cross inside both.
func cross(a, b [2]vg.Point) bool {
	side := func(l [2]vg.Point, p vg.Point) bool {
		d, e := l[1].Sub(l[0]), p.Sub(l[0])
		return d.X*e.Y > d.Y*e.X
	}
	return side(a, b[0]) != side(a, b[1]) && side(b, a[0]) != side(b, a[1])
}

// placeOf returns the place of the floor at p, ft.
func (s *setOutSheet) placeOf(p vg.Point) (x, y float64) {
	return ((p.X-s.frame.origin.X).Points()/s.frame.scale + s.frame.base.X) / foot, ((p.Y-s.frame.origin.Y).Points()/s.frame.scale + s.frame.base.Y) / foot
}
