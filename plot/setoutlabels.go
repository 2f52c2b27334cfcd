package plot

import (
	"cmp"
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
)

// pinSizes are the sizes of the heights of marks, pt, from the preferred size down to the
// smallest that can be read on the floor at arm's length.
var pinSizes = [...]vg.Length{11, 10, leastPin}

const leastPin = 9 * vg.Length(1)

// nameSize returns the size of names beside heights of a given size.
func nameSize(height vg.Length) vg.Length { return max(0.75*height, leastPin) }

// newLabel returns lettering without a place, and the room it takes: enough at the sides
// that the fractions of neighbours do not read as one.
func newLabel(text string, size vg.Length, bold bool) label {
	style := lettering(size, bold, black)
	return label{box: box{w: style.Width(text) + 0.5*size, h: capHeight(style) + 1.2}, size: size, bold: bold, text: text}
}

// Gaps between the lettering of two pins besides that of [newLabel], in sizes of it, tried one
// after the other: a figure halfway between two pins is read at the wrong one. Own choice.
const (
	wellApart   = 1.5
	fairlyApart = 0.8
)

// layout is where the name and height of a pin are if nothing is in the way.
type layout uint8

const (
	stacked layout = iota // name above the mark, height beneath
	beside                // both to the right
)

// loneHeights: with room for fewer than one height in this many pins, none is written. Own
// choice.
const loneHeights = 4

// extent is how far lettering may be from its layout.
type extent uint8

const (
	regularly extent = iota // not at all, and not across a line: tried first, so that one pin at a wall does not move a whole row
	about                   // anywhere beside the mark
)

// letter finds room for the names of the adjoining finished floor and the lettering of pins.
// Doors choose first, because they have fewer places. If some lettering finds no room, pins
// choose first if that leaves less out, or as much but less of pins.
func (s *setOutSheet) letter(g *ground) {
	start := g.clone()
	s.placeFinished(g)
	s.placePins(g)
	most := s.unplaced()
	if most == 0 || most > 2*(len(s.finished)+len(s.drains())+len(s.benches)) {
		return
	}
	cells, first := g.cells, *s
	g.cells, s.labels, s.leaders = start.cells, nil, nil
	s.placePins(g)
	s.placeFinished(g)
	ofPins := func(s *setOutSheet) int { return 2*len(s.Pins) - s.named - s.heights }
	if s.unplaced() > most || s.unplaced() == most && ofPins(s) >= ofPins(&first) {
		g.cells, *s = cells, first
	}
}

// unplaced returns how much lettering of pins, doors and drains has no room.
func (s *setOutSheet) unplaced() int {
	return 2*len(s.Pins) - s.named - s.heights + s.unnamedDoors() + s.unnamedDrains() + s.unnamedBenches()
}

// placePins finds room for names and heights. It uses the largest lettering that leaves few
// pins without, and tries those smaller. If some are still left, it uses the smallest with
// lines to it. If many are left, it places names or heights first. What has no room is
// counted.
//
// Lettering stays in the region of its pin, off its walls.
func (s *setOutSheet) placePins(g *ground) {
	s.owners(g)
	s.drawWalls(g, taken)
	s.marks = s.marksOnPage()
	g.strict = true
	defer func() { g.only, g.strict = 0, false }()
	regions := make([]int32, len(s.Pins))
	for i, q := range s.Pins {
		regions[i] = s.regionAt(q.At)
	}
	try := func(best *pinLettering, gap vg.Length, all ...func(*ground, []int32) *pinLettering) *pinLettering {
		s.apart = gap
		for _, place := range all {
			if best != nil && best.left(s) == 0 {
				break
			}
			if t := place(g, regions); t != nil && (best == nil || t.left(s) < best.left(s)) {
				best = t
			}
		}
		return best
	}
	best := try(nil, wellApart, s.placePairs)
	if best == nil || best.left(s) > 0 {
		best = try(best, 0, s.placePairs, s.placeWithLeaders)
		if best != nil && best.left(s) == 0 { // all have room: perhaps with a gap too
			if t := try(nil, fairlyApart, s.placePairs, s.placeWithLeaders); t != nil && t.left(s) == 0 {
				best = t
			}
		}
	}
	if best == nil {
		best = s.placeSingly(g, regions)
	}
	g.cells, s.labels, s.named, s.heights = best.ground.cells, append(s.labels, best.labels...), best.named, best.heights
	s.leaders = append(s.leaders, best.leaders...)
}

// placePairs finds room for names and heights in pairs, in the largest lettering that leaves
// few pins without. It returns nil if every size leaves many.
func (s *setOutSheet) placePairs(g *ground, regions []int32) (best *pinLettering) {
	size := 0 // index of the size of best
	for n := range 2 * len(pinSizes) {
		k, first := n/2, layout(n%2)
		if best != nil && k > size && best.left(s) == 0 {
			break
		}
		t := s.placeIn(g.clone(), k, first, regions)
		if t != nil && (best == nil || t.left(s) < best.left(s) || t.left(s) == best.left(s) && k == size && t.moved < best.moved) {
			best, size = t, k
		}
	}
	return best
}

// placeIn finds room for names and heights in size k and a layout. Pins without room in that
// layout may have their lettering elsewhere, in the same size. It returns nil if many pins are
// left.
func (s *setOutSheet) placeIn(g *ground, k int, first layout, regions []int32) *pinLettering {
	t := &pinLettering{ground: g}
	var late []int
	few := (len(s.Pins) + 19) / 20
	// Pins at a wall can use only one side, so they choose before the others.
	for _, wall := range []bool{true, false} {
		var rest []int
		for i, q := range s.Pins {
			g.only = regions[i]
			if q.Wall == wall && !s.placePair(g, i, k, first, regularly, &t.labels) {
				rest = append(rest, i)
			}
		}
		for _, i := range rest {
			g.only = regions[i]
			if s.placePair(g, i, k, first, about, &t.labels) {
				continue
			}
			if late = append(late, i); len(late) > few {
				return nil
			}
		}
		t.moved += len(rest)
	}
	s.placeLate(t, late, regions)
	return t
}

// placeSingly finds room for all names and then for all heights, or the heights first, each
// on its own in the smallest lettering.
func (s *setOutSheet) placeSingly(g *ground, regions []int32) *pinLettering {
	t := &pinLettering{ground: g}
	if s.HeightsFirst {
		t.heights = s.placeEach(t, true, regions)
		t.named = s.placeEach(t, false, regions)
		return t
	}
	t.named = s.placeEach(t, false, regions)
	// A few heights among many names read as numbers without a pin.
	cells, labels := slices.Clone(g.cells), len(t.labels)
	if t.heights = s.placeEach(t, true, regions); t.heights < len(s.Pins)/loneHeights {
		t.ground.cells, t.labels, t.heights = cells, t.labels[:labels], 0
	}
	return t
}

// placeEach finds room for the heights or the names of pins, those in the preferred place
// before the others. It returns how many have room.
func (s *setOutSheet) placeEach(t *pinLettering, height bool, regions []int32) (placed int) {
	place := func(i int, regular bool) bool {
		t.ground.only = regions[i]
		ok := s.placeOne(t.ground, i, height, regular, &t.labels)
		if ok {
			placed++
		}
		return ok
	}
	var rest []int
	for i := range s.Pins {
		if !place(i, true) {
			rest = append(rest, i)
		}
	}
	for _, i := range rest {
		place(i, false)
	}
	return placed
}

// side orders pins at walls before the others.
func side(q SetOutPin) int {
	if q.Wall {
		return 0
	}
	return 1
}

// placeOne finds room for the name or the height of pin i in the smallest size, as
// [setOutSheet.placePair] does.
func (s *setOutSheet) placeOne(g *ground, i int, height, regular bool, labels *[]label) bool {
	q := s.Pins[i]
	l, of := s.pairOf(i, len(pinSizes)-1)
	if height {
		l = of
	}
	if l.text == "" {
		return true
	}
	places, most := round(s.frame.at(q.At), s.radius(i), l, height), math.MaxInt
	if regular {
		places, most = places[:1], 0
	}
	places = s.owned(i, l.box, places)
	if !g.take(&l, s.frame.at(q.At), places, most) {
		return false
	}
	*labels = append(*labels, l)
	return true
}

// clear is the min gap between a mark and its lettering: one cell of the ground.
const clear = 1

// radius returns the distance of lettering from the centre of pin i.
func (s *setOutSheet) radius(i int) vg.Length {
	if s.Pins[i].Kind == PinStart {
		return startRadius + clear
	}
	return pinRadius + clear
}

// placeFinished finds room for the names of the adjoining finished floor, if possible on the
// side away from the middle, of drains, and of benchmarks: with the elevation if there is room
// and no pin or bar needs it. The legend has it too.
func (s *setOutSheet) placeFinished(g *ground) {
	lo, hi := s.Floor.Bounds()
	middle := s.frame.at(lo).Add(s.frame.at(hi)).Scale(0.5)
	away := func(p vg.Point) float64 { return math.Hypot(float64(p.X-middle.X), float64(p.Y-middle.Y)) }
	for i, q := range s.finished {
		s.placeName(g, q, q.Name(), -i-1, 4, func(p, q vg.Point) int { return cmp.Compare(away(q), away(p)) })
	}
	for i, q := range s.drains() {
		s.placeName(g, q, q.Name(), -len(s.finished)-i-1, drainRadius, func(vg.Point, vg.Point) int { return 0 })
	}
	for i, q := range s.benches {
		for k, text := range []string{q.Name() + " " + s.Units.Elevation(q.Z), q.Name()} {
			if k == 0 && len(s.Pins)+len(s.Bars) > 0 {
				continue
			}
			if s.placeName(g, q, text, s.firstBench()-i, benchRadius, func(p, q vg.Point) int { return cmp.Compare(away(q), away(p)) }) {
				break
			}
		}
	}
}

// placeName finds room for the name of a point at its mark of a radius or a little farther
// away; places are tried in an order. It reports whether there is any.
func (s *setOutSheet) placeName(g *ground, q survey.Point, name string, of int, r vg.Length, order func(p, q vg.Point) int) bool {
	if name == "" {
		return true
	}
	l := newLabel(name, smallest, true)
	l.of = of
	at := s.frame.at(surface.Vec{X: q.X, Y: q.Y})
	line := func(centre vg.Point) (leader, bool) {
		to := edgeToward(centre, vg.Point{X: l.w, Y: l.h}, at)
		d := to.Sub(at)
		far := vg.Length(math.Hypot(float64(d.X), float64(d.Y)))
		return leader{of: of, from: at.Add(d.Scale((r + 2) / far)), to: to}, far > r+4
	}
	for _, try := range []struct {
		offs   []vg.Length
		struck int // by a wall, if nothing else is free
	}{{[]vg.Length{0, 4, 8}, 0}, {[]vg.Length{0, 4, 8}, math.MaxInt}, {[]vg.Length{14, 20, 28}, 0}, {[]vg.Length{14, 20, 28}, math.MaxInt}} {
		for _, off := range try.offs {
			places := round(at, r+off+clear, l, false)
			slices.SortStableFunc(places, order)
			places = slices.DeleteFunc(places, func(p vg.Point) bool {
				k, led := line(p)
				return led && (!g.clear(k.from, k.to, true) || g.alongWall(k.from, k.to))
			})
			if g.take(&l, at, places, try.struck) {
				s.labels = append(s.labels, l)
				if k, led := line(l.centre); led {
					g.draw([]vg.Point{k.from, k.to}, taken)
					s.leaders = append(s.leaders, k)
				}
				return true
			}
		}
	}
	return false
}

// alongWall reports whether a line from a mark is still on a wall or close beside it past its
// middle: it would not be seen there.
func (g *ground) alongWall(from, to vg.Point) bool {
	const close = 3 // pt
	return g.onWall(box{centre: from.Add(to.Sub(from).Scale(0.6)), w: 2 * close, h: 2 * close})
}

// round returns the places of a label beside a mark of radius r, the preferred first.
func round(at vg.Point, r vg.Length, l label, beneath bool) []vg.Point {
	dx, dy := r+l.w/2, r+l.h/2
	if beneath {
		dy = -dy
	}
	out := []vg.Point{
		{Y: dy}, {X: l.w/2 - pinRadius, Y: dy}, {X: pinRadius - l.w/2, Y: dy}, {X: dx, Y: dy * 0.4}, {X: -dx, Y: dy * 0.4},
		{X: dx, Y: -dy * 0.4}, {X: -dx, Y: -dy * 0.4}, {Y: -dy}, {X: l.w/2 - pinRadius, Y: -dy}, {X: pinRadius - l.w/2, Y: -dy},
	}
	for i := range out {
		out[i] = out[i].Add(at)
	}
	return out
}

// outward returns b with more room on the side away from its mark at p: lettering must be
// closer to its own mark than to anything of another.
func outward(b box, p vg.Point) box {
	more := 0.35 * b.h
	if b.centre.Y < p.Y {
		b.centre.Y -= more / 2
	} else {
		b.centre.Y += more / 2
	}
	b.h += more
	return b
}

// take sets l, which belongs to the mark at p, at the free place that covers the fewest
// cells of lines, at most most; the earlier one if equal. It takes the room.
func (g *ground) take(l *label, p vg.Point, places []vg.Point, most int) bool {
	best := math.MaxInt
	for rank, place := range places {
		b := l.box
		b.centre = place
		if free, lines := g.free(outward(b, p)); free && lines <= most && lines+rank < best {
			best, l.centre = lines+rank, place
		}
	}
	if best == math.MaxInt {
		return false
	}
	g.mark(outward(l.box, p), taken)
	return true
}

// near moves b to the free place closest to at, up to most away and clear of lines if
// possible, and takes it: one that suits, unless suits is nil.
func (g *ground) near(b *box, at vg.Point, most vg.Length, suits func(vg.Point) bool) bool {
	const step = 2
	n := int(most / step)
	best := math.Inf(1)
	var centre vg.Point
	for i := -n; i <= n; i++ {
		for j := -n; j <= n; j++ {
			far := math.Hypot(float64(i), float64(j)) * step
			if far > float64(most) || far >= best {
				continue
			}
			try := *b
			try.centre = at.Add(vg.Point{X: vg.Length(i * step), Y: vg.Length(j * step)})
			if free, lines := g.free(try); free && far+0.5*float64(lines) < best && (suits == nil || suits(try.centre)) {
				best, centre = far+0.5*float64(lines), try.centre
			}
		}
	}
	if math.IsInf(best, 1) {
		return false
	}
	b.centre = centre
	g.mark(*b, taken)
	return true
}

// label is lettering with its place on the page.
type label struct {
	box
	size   vg.Length
	bold   bool
	text   string
	ink    color.Color // nil: black
	plated bool        // with a background
	of     int         // its owner: 1 for the first pin, -1 for the first mark of the finished floor, drains after those; 0: none
}

func (l label) write(c draw.Canvas, opacity uint8) {
	if opacity > 0 {
		l.plate(c, opacity)
	}
	var ink color.Color = black
	if l.ink != nil {
		ink = l.ink
	}
	turned(c, lettering(l.size, l.bold, ink), l.box, l.text)
}

// bounds returns the upright rectangle round b.
func (b box) bounds() vg.Rectangle {
	sin, cos := math.Sincos(b.turn)
	sin, cos = math.Abs(sin), math.Abs(cos)
	half := vg.Point{X: (b.w*vg.Length(cos) + b.h*vg.Length(sin)) / 2, Y: (b.w*vg.Length(sin) + b.h*vg.Length(cos)) / 2}
	return vg.Rectangle{Min: b.centre.Sub(half), Max: b.centre.Add(half)}
}

// plate whitens the ground under b.
func (b box) plate(c draw.Canvas, opacity uint8) {
	half := vg.Point{X: b.w / 2, Y: b.h / 2}
	c.Push()
	c.Translate(b.centre)
	c.Rotate(b.turn)
	c.SetColor(withAlpha(white, opacity))
	c.Fill(vg.Rectangle{Min: half.Scale(-1), Max: half}.Path())
	c.Pop()
}
