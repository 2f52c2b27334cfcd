package plot

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
)

// leader is a thin line from the mark of a pin to lettering that has no room beside it.
type leader struct {
	of       int // as label.of
	from, to vg.Point
}

// pinLettering is the places of names and heights of pins on a plan.
type pinLettering struct {
	ground         *ground
	labels         []label
	leaders        []leader
	named, heights int
	moved          int // pins not placed in their layout
}

// left returns how many names and heights are not placed.
func (t *pinLettering) left(s *setOutSheet) int { return 2*len(s.Pins) - t.named - t.heights }

// placeLate finds room for either the name or the height of pins without room for both, and
// counts what is written.
func (s *setOutSheet) placeLate(t *pinLettering, late []int, regions []int32) {
	t.named, t.heights = len(s.Pins)-len(late), len(s.Pins)-len(late)
	for _, i := range late {
		t.ground.only = regions[i]
		for _, height := range []bool{s.HeightsFirst, !s.HeightsFirst} {
			switch ok := s.placeOne(t.ground, i, height, false, &t.labels); {
			case ok && height:
				t.heights++
			case ok:
				t.named++
			}
		}
	}
}

// placeWithLeaders finds room for names and heights in the smallest lettering, beside the
// marks or at the end of a line: on the floor, or outside it too if some would be left. It
// returns the try with the fewest left, nil if the plan is too crowded for lines.
func (s *setOutSheet) placeWithLeaders(g *ground, regions []int32) *pinLettering {
	best := s.placeLedRounds(g, regions, false)
	if best != nil && best.left(s) == 0 {
		return best
	}
	if t := s.placeLedRounds(g, regions, true); t != nil && (best == nil || t.left(s) < best.left(s)) {
		best = t
	}
	return best
}

// placeLedRounds lets the pins left over choose first in the next of a few rounds, and
// returns the round with the fewest left. Outside the floor, in every second round pins at
// walls try there before the floor.
func (s *setOutSheet) placeLedRounds(g *ground, regions []int32, outside bool) *pinLettering {
	const rounds = 12
	crowded := max(4, len(s.Pins)/3) // more left than this would need more lines than can be followed
	var best *pinLettering
	var early []int
	for round := range rounds {
		t := &pinLettering{ground: g.clone()}
		late := s.placeLedRound(t, regions, early, ledWay{layout(round % 2), outside, outside && round%2 == 0, crowded})
		if len(late) > crowded {
			return best
		}
		again := slices.DeleteFunc(early, func(i int) bool { return slices.Contains(late, i) })
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

// ledWay is where lettering may be in a round.
type ledWay struct {
	layout
	outside bool // at the end of a line, off the floor, across its wall
	first   bool // for pins at walls, before places on the floor
	crowded int  // the round ends if more are left
}

// placeLedRound places first the pins in early, then those with room in their layout, then
// the others. It returns those without room.
func (s *setOutSheet) placeLedRound(t *pinLettering, regions []int32, early []int, way ledWay) (late []int) {
	least := len(pinSizes) - 1
	elsewhere := func(i int) {
		t.ground.only = regions[i]
		led := func() bool { return s.placeLed(t.ground, i, way.outside, &t.labels, &t.leaders) }
		pair := func() bool { return s.placePair(t.ground, i, least, way.layout, about, &t.labels) }
		if way.first && s.Pins[i].Wall {
			led, pair = pair, led
		}
		if !pair() && !led() {
			late = append(late, i)
		}
	}
	done := make([]bool, len(s.Pins))
	for _, i := range early {
		elsewhere(i)
		done[i] = true
	}
	var rest []int
	for i, q := range s.Pins {
		t.ground.only = regions[i]
		if !done[i] && (way.first && q.Wall || !s.placePair(t.ground, i, least, way.layout, regularly, &t.labels)) {
			rest = append(rest, i)
		}
	}
	slices.SortStableFunc(rest, func(i, j int) int { return cmp.Compare(side(s.Pins[i]), side(s.Pins[j])) })
	for _, i := range rest {
		if elsewhere(i); len(late) > way.crowded {
			break
		}
	}
	return late
}

const (
	leaderReach = 80 // pt, max from a mark to its lettering; own choice: farther, the eye loses the line
	leaderAir   = 5  // pt between lettering at a line and anything of other pins
	markAir     = 5  // pt from a line to the marks of other pins: a ring round one is not touched
	lineAir     = 3  // pt between two lines
	foreignAir  = 8  // pt from lettering at a line to the marks of other pins: nearer, it is read as theirs
)

// followed reports whether the eye can follow a line to pin i: it keeps off the marks of other
// pins and of the adjoining floor, and off the lines to other pins.
func (s *setOutSheet) followed(i int, from, to vg.Point, lines []leader) bool {
	for _, m := range s.marks {
		air := markAir + s.radius(m.pin) - pinRadius - clear
		if m.pin != i && offPiece(m.at, from, to) < air {
			return false
		}
	}
	for _, q := range slices.Concat(s.finished, s.benches) {
		if offPiece(s.frame.at(surface.Vec{X: q.X, Y: q.Y}), from, to) < markAir {
			return false
		}
	}
	for _, l := range lines {
		if min(offPiece(l.from, from, to), offPiece(l.to, from, to), offPiece(from, l.from, l.to), offPiece(to, l.from, l.to)) < lineAir || crossing(from, to, l.from, l.to) {
			return false
		}
	}
	return true
}

// offPiece returns the distance of p from the piece of line from a to b.
func offPiece(p, a, b vg.Point) vg.Length {
	v := surface.Vec{X: float64(p.X), Y: float64(p.Y)}
	return vg.Length(v.Distance(v.NearestOn(surface.Vec{X: float64(a.X), Y: float64(a.Y)}, surface.Vec{X: float64(b.X), Y: float64(b.Y)})))
}

// crossing reports whether two pieces of line cross inside both.
func crossing(a, b, c, d vg.Point) bool {
	left := func(a, b, p vg.Point) bool {
		d, e := b.Sub(a), p.Sub(a)
		return d.X*e.Y > d.Y*e.X
	}
	return left(a, b, c) != left(a, b, d) && left(c, d, a) != left(c, d, b)
}

// placeLed finds room for name and height of pin i in the smallest lettering, one above the
// other or in a row: as near as possible, where a straight line to the mark crosses neither
// walls nor other lettering. Outside the floor the line may cross the wall there, and the
// shortest way out is tried first. It adds to labels and lines.
func (s *setOutSheet) placeLed(g *ground, i int, outside bool, labels *[]label, lines *[]leader) bool {
	if outside {
		g.strict = false
		defer func() { g.strict = true }()
	}
	q := s.Pins[i]
	at, r := s.frame.at(q.At), s.radius(i)
	n, h := s.pairOf(i, len(pinSizes)-1)
	type pattern struct{ n, h, size vg.Point }
	patterns := []pattern{
		{vg.Point{Y: h.h / 2}, vg.Point{Y: -n.h / 2}, vg.Point{X: max(n.w, h.w), Y: n.h + h.h}},
		{vg.Point{X: -h.w / 2}, vg.Point{X: n.w / 2}, vg.Point{X: n.w + h.w, Y: max(n.h, h.h)}},
	}
	from := 0.0
	if outside {
		from = s.outwardFrom(q.At)
	}
	var ways [ledAngles]struct{ sin, cos float64 }
	for k := range ways {
		ways[k].sin, ways[k].cos = math.Sincos(from + ledTurn(k, outside))
	}
	for _, place := range ledPlaces()[outside] {
		far := r + place.far
		if far > leaderReach {
			continue
		}
		sin, cos := ways[place.angle].sin, ways[place.angle].cos
		for _, p := range patterns {
			centre := at.Add(vg.Point{X: far * vg.Length(cos), Y: far * vg.Length(sin)})
			room := box{centre: centre, w: p.size.X + leaderAir, h: p.size.Y + leaderAir}
			if free, onLines := g.free(room); !free || onLines > 0 {
				continue
			}
			from, to := at.Add(vg.Point{X: r * vg.Length(cos), Y: r * vg.Length(sin)}), edgeToward(centre, p.size, at)
			if d := to.Sub(from); float64(d.X)*cos+float64(d.Y)*sin < 3 { // too near to need a line, which would hide the mark
				continue
			}
			if !g.clear(from, to, outside && g.outside(centre)) || !s.followed(i, from, to, *lines) || !s.offMarks(i, box{centre: centre, w: p.size.X, h: p.size.Y}, foreignAir) {
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
	return false
}

// ledPlace is a place for the centre of lettering at a line.
type ledPlace struct {
	far   vg.Length // pt beyond the edge of the mark
	angle int       // see ledTurn
}

const ledAngles = 48

// ledTurn returns the turn of an angle from the direction tried first: counter-clockwise, or
// with both ways the shorter way.
func ledTurn(angle int, both bool) float64 {
	turn := 2 * math.Pi * float64(angle) / ledAngles
	if both && turn > math.Pi {
		turn -= 2 * math.Pi
	}
	return turn
}

// sideways is how much farther straight outside counts the same as a quarter turn, pt:
// parallel lines pass between the lettering of a row nearer to the wall, slanting ones block
// it. Own choice.
const sideways = 60

// ledPlaces lists the places in the order to try them: on the floor the nearest first,
// outside it those straight out of the wall first.
var ledPlaces = sync.OnceValue(func() map[bool][]ledPlace {
	var all []ledPlace
	for far := vg.Length(6); far <= leaderReach; far += 2 {
		for k := range ledAngles {
			all = append(all, ledPlace{far, k})
		}
	}
	out := slices.Clone(all)
	cost := func(p ledPlace) float64 {
		return float64(p.far) + sideways*math.Abs(ledTurn(p.angle, true))/(math.Pi/2)
	}
	slices.SortStableFunc(out, func(a, b ledPlace) int { return cmp.Compare(cost(a), cost(b)) })
	return map[bool][]ledPlace{false: all, true: out}
})

// edgeToward returns where the line from the centre of a rectangle to p leaves it.
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

// outwardFrom returns the direction from a place to the nearest wall, counter-clockwise from
// right.
func (s *setOutSheet) outwardFrom(v surface.Vec) float64 {
	least, turn := math.Inf(1), 0.0
	for _, r := range s.Floor.Regions {
		for _, ring := range r.Rings {
			for k, a := range ring {
				b := ring[(k+1)%len(ring)]
				x, y := b.X-a.X, b.Y-a.Y
				share := 0.0
				if square := x*x + y*y; square > 0 {
					share = min(max(((v.X-a.X)*x+(v.Y-a.Y)*y)/square, 0), 1)
				}
				x, y = a.X+share*x-v.X, a.Y+share*y-v.Y
				if d := math.Hypot(x, y); d < least {
					least, turn = d, math.Atan2(y, x)
				}
			}
		}
	}
	return turn
}

// outside reports whether p is on the page and off the floor.
func (g *ground) outside(p vg.Point) bool {
	k := g.index(p)
	return k >= 0 && g.owner[k] == 0
}

// clear reports whether a line from one place to another meets nothing that is taken and
// stays in the region of the lettering. With walls it may cross walls.
func (g *ground) clear(from, to vg.Point, walls bool) bool {
	d := to.Sub(from)
	n := int(2*math.Hypot(float64(d.X), float64(d.Y))) + 1
	for k := range n + 1 {
		p := from.Add(d.Scale(vg.Length(k) / vg.Length(n)))
		if k := g.index(p); k < 0 || g.foreign(k) || g.cells[k]&taken != 0 && !(walls && g.cells[k]&walled != 0) {
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
