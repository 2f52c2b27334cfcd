package plot

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// leader is a thin line from the mark of a pin to lettering that has no room about it.
type leader struct {
	of       int // as of a label
	from, to vg.Point
}

// pinLettering is where names and heights of pins stand on a plan.
type pinLettering struct {
	ground      *ground
	labels      []label
	leaders     []leader
	named, told int
	moved       int // pins not placed as the layout has it
}

// left returns how many names and heights have no room.
func (t *pinLettering) left(s *setOutSheet) int { return 2*len(s.Pins) - t.named - t.told }

// placeLate finds room for one of name and height of pins that have none for both, and
// counts what is written.
func (s *setOutSheet) placeLate(t *pinLettering, late []int, regions []int32) {
	t.named, t.told = len(s.Pins)-len(late), len(s.Pins)-len(late)
	for _, i := range late {
		t.ground.only = regions[i]
		for _, height := range []bool{s.HeightsFirst, !s.HeightsFirst} {
			switch ok := s.placeOne(t.ground, i, height, false, &t.labels); {
			case ok && height:
				t.told++
			case ok:
				t.named++
			}
		}
	}
}

// placeWithLeaders finds room for names and heights in the least lettering, about the marks
// or at the end of a line. Pins left without choose first in the next of a few rounds. It
// returns the round with the fewest left, nil where the plan is too crowded for lines.
func (s *setOutSheet) placeWithLeaders(g *ground, regions []int32) *pinLettering {
	const rounds = 12
	least := len(pinSizes) - 1
	crowded := max(4, len(s.Pins)/4) // left without: more lines than these cannot be followed
	var best *pinLettering
	var early []int
	for round := range rounds {
		t := &pinLettering{ground: g.clone()}
		layout := layout(round % 2)
		var late []int
		about := func(i int) {
			t.ground.only = regions[i]
			if !s.placePair(t.ground, i, least, layout, about, &t.labels) && !s.placeLed(t.ground, i, &t.labels, &t.leaders) {
				late = append(late, i)
			}
		}
		done := make([]bool, len(s.Pins))
		for _, i := range early {
			about(i)
			done[i] = true
		}
		var rest []int
		for i := range s.Pins {
			t.ground.only = regions[i]
			if !done[i] && !s.placePair(t.ground, i, least, layout, regularly, &t.labels) {
				rest = append(rest, i)
			}
		}
		slices.SortStableFunc(rest, func(i, j int) int { return cmp.Compare(side(s.Pins[i]), side(s.Pins[j])) })
		for _, i := range rest {
			if about(i); len(late) > crowded {
				return best
			}
		}
		var again []int
		for _, i := range early {
			if !slices.Contains(late, i) {
				again = append(again, i)
			}
		}
		early = append(slices.Clone(late), again...)
		if s.placeLate(t, late, regions); best == nil || t.left(s) < best.left(s) {
			best = t
		}
		if len(late) == 0 {
			break
		}
	}
	return best
}

const (
	leaderReach = 80 // pt from a mark to its lettering at most; own choice: farther off the eye loses the line
	leaderAir   = 5  // pt that led lettering keeps from what is not its own
)

// placeLed finds room for name and height of pin i, in the least lettering, one above the
// other or in a row: as near as may be, where a straight line to the mark crosses neither
// walls nor what else is written. It adds them to labels and the line to lines.
func (s *setOutSheet) placeLed(g *ground, i int, labels *[]label, lines *[]leader) bool {
	q, size := s.Pins[i], pinSizes[len(pinSizes)-1]
	at, r := s.frame.at(q.At), s.radius(i)
	n, h := newLabel(q.Name, nameSize(size), false), newLabel(q.Text, size, true)
	n.of, h.of = i+1, i+1
	type pattern struct{ n, h, size vg.Point }
	patterns := []pattern{
		{vg.Point{Y: h.h / 2}, vg.Point{Y: -n.h / 2}, vg.Point{X: max(n.w, h.w), Y: n.h + h.h}},
		{vg.Point{X: -h.w / 2}, vg.Point{X: n.w / 2}, vg.Point{X: n.w + h.w, Y: max(n.h, h.h)}},
	}
	const angles = 48
	for far := r + 6; far <= leaderReach; far += 2 {
		for k := range angles {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / angles)
			for _, p := range patterns {
				centre := at.Add(vg.Point{X: far * vg.Length(cos), Y: far * vg.Length(sin)})
				room := box{centre: centre, w: p.size.X + leaderAir, h: p.size.Y + leaderAir}
				from, to := at.Add(vg.Point{X: r * vg.Length(cos), Y: r * vg.Length(sin)}), edgeToward(centre, p.size, at)
				if d := to.Sub(from); float64(d.X)*cos+float64(d.Y)*sin < 3 { // too near to need a line: it would hide the mark
					continue
				}
				if free, onLines := g.free(room); !free || onLines > 0 || !g.clear(from, to) {
					continue
				}
				n.centre, h.centre = centre.Add(p.n), centre.Add(p.h)
				g.mark(room, taken)
				g.draw([]vg.Point{from, to}, taken)
				*labels = append(*labels, n, h)
				*lines = append(*lines, leader{of: i + 1, from: from, to: to})
				return true
			}
		}
	}
	return false
}

// edgeToward returns where the line from the middle of a rectangle to p leaves it.
func edgeToward(centre, size, p vg.Point) vg.Point {
	d := p.Sub(centre)
	share := 1.0
	if d.X != 0 {
		share = min(share, math.Abs(float64(size.X/2/d.X)))
	}
	if d.Y != 0 {
		share = min(share, math.Abs(float64(size.Y/2/d.Y)))
	}
	return centre.Add(d.Scale(vg.Length(share)))
}

// clear reports whether a line from one place to another meets nothing that is taken, nor
// leaves the region that lettering keeps to.
func (g *ground) clear(from, to vg.Point) bool {
	d := to.Sub(from)
	n := int(2*math.Hypot(float64(d.X), float64(d.Y))) + 1
	for k := range n + 1 {
		p := from.Add(d.Scale(vg.Length(k) / vg.Length(n)))
		if k := g.index(p); k < 0 || g.barred(k) {
			return false
		}
	}
	return true
}

func (l leader) draw(c draw.Canvas) {
	var path vg.Path
	path.Move(l.from)
	path.Line(l.to)
	stroke(c, path, 1.8, white)
	stroke(c, path, 0.6, black)
}
