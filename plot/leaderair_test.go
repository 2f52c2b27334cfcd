package plot

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/plot/vg"

	"pourplane/surface"
)

// On random plans lettering is read at its own pin: without a line it is nearer to its mark than
// to any other, a line keeps a ring's width from the marks of others and does not meet another
// line, and lettering at a line is not beside another mark. None is on the border of two
// materials. The way out is at its place wherever no mark is there.
func TestLetteringIsReadAtItsPin(t *testing.T) {
	t.Parallel()
	led, lone := 0, 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 7))
		m := &SetOutMap{Floor: hall(4, surface.Vec{}), Target: surface.Horizontal(99.83 * foot), Finished: doors(surface.Vec{}), Scale: 60 + 60*r.Float64(),
			Materials: []PlanMaterial{{Name: "mortar"}, {Name: "concrete", From: 0.03}}}
		for n := 20 + r.IntN(50); len(m.Pins) < n; {
			x, y := 36*r.Float64(), 32*r.Float64()
			if !onHall(x, y) {
				continue
			}
			if len(m.Pins) > 0 && r.IntN(3) == 0 { // beside another
				q := m.Pins[r.IntN(len(m.Pins))].At
				x, y = q.X/foot+3*(r.Float64()-0.5), q.Y/foot+3*(r.Float64()-0.5)
				if !onHall(x, y) {
					continue
				}
			}
			m.Pins = append(m.Pins, SetOutPin{At: feet(x, y)[0], Name: fmt.Sprint("P", len(m.Pins)+1), Text: "2 13/16", Wall: r.IntN(3) == 0})
		}
		exit := feet(18*r.Float64(), 18*r.Float64())[0]
		m.Exit = &exit
		s := laid(t, m).placed
		mark := func(i int) vg.Point { return s.frame.at(m.Pins[i].At) }
		hasLine := map[int]bool{}
		for k, l := range s.leaders {
			if l.of < 1 {
				continue
			}
			hasLine[l.of], led = true, led+1
			for i, q := range m.Pins {
				if d := offPiece(mark(i), l.from, l.to); i+1 != l.of && d < 4.99 {
					t.Errorf("%d: the line of %s is %.1f pt from %s", seed, m.Pins[l.of-1].Name, d, q.Name)
				}
			}
			for _, o := range s.leaders[k+1:] {
				if o.of > 0 && crossing(l.from, l.to, o.from, o.to) {
					t.Errorf("%d: the lines of %s and %s cross", seed, m.Pins[l.of-1].Name, m.Pins[o.of-1].Name)
				}
			}
		}
		for _, l := range s.labels {
			if l.of < 1 {
				continue
			}
			lone++
			own := l.box.to(mark(l.of - 1))
			for i, q := range m.Pins {
				d := l.box.to(mark(i))
				if i+1 != l.of && (!hasLine[l.of] && d <= own || hasLine[l.of] && d < 7.99) {
					t.Errorf("%d: %s of %s is %.1f pt from %s and %.1f from its own pin", seed, l.text, m.Pins[l.of-1].Name, d, q.Name, own)
				}
			}
			inner := l.box
			inner.w, inner.h = l.w-2, l.h-2
			for _, k := range s.borders() {
				line := s.frame.onPage(k)
				for i := 1; i < len(line); i++ {
					if inner.meets(line[i-1], line[i]) {
						t.Errorf("%d: %s of %s is on the border of the materials", seed, l.text, m.Pins[l.of-1].Name)
					}
				}
			}
		}
		place, free := s.frame.at(exit), true
		for i := range m.Pins {
			d := mark(i).Sub(place)
			free = free && max(absLength(d.X), absLength(d.Y)) > 9
		}
		for _, q := range s.finished {
			d := s.frame.at(surface.Vec{X: q.X, Y: q.Y}).Sub(place)
			free = free && max(absLength(d.X), absLength(d.Y)) > 11
		}
		if free && s.exit != place && onHall(exit.X/foot, exit.Y/foot) && s.untakenByHoles(place) {
			t.Errorf("%d: the way out is at %v, want %v", seed, s.exit, place)
		}
	}
	if led < 40 || lone < 1000 {
		t.Errorf("%d lines and %d letterings checked", led, lone)
	}
}

// untakenByHoles reports whether the sign of the way out is clear of hatched openings.
func (s *setOutSheet) untakenByHoles(p vg.Point) bool {
	for _, o := range s.openings() {
		for _, q := range o {
			if d := q.Sub(p); max(absLength(d.X), absLength(d.Y)) < 30 {
				return false
			}
		}
	}
	return true
}
