package plot

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
)

// pinSizes are the sizes of the heights of marks, pt, from the most wanted to the least
// that can be read on the floor at arm's length.
var pinSizes = []vg.Length{11, 10, leastPin}

const leastPin = 9 * vg.Length(1)

// nameSize returns the size of the names beside heights of a size.
func nameSize(height vg.Length) vg.Length { return max(0.75*height, leastPin) }

// newLabel returns lettering without a place, and the room it takes: at the sides enough
// that the fractions of neighbours do not read as one.
func newLabel(text string, size vg.Length, bold bool) label {
	style := lettering(size, bold, black)
	return label{box: box{w: style.Width(text) + 0.5*size, h: capHeight(style) + 1.2}, size: size, bold: bold, text: text}
}

// layout is where name and height stand at a pin that nothing is in the way of.
type layout uint8

const (
	stacked layout = iota // the name above the mark and the height beneath
	beside                // both to the right
)

// extent is how far lettering may stand from where the layout has it.
type extent uint8

const (
	regularly extent = iota // not at all, nor across a line: tried first, so that one pin at a wall does not push a whole row about
	about                   // anywhere about the mark
)

// placePins finds room for names and heights: in the largest lettering that leaves
// few pins without, which are tried smaller; where some are left without, in the least, with
// lines that lead to it; where many are, names or heights first. What has no room is counted.
//
// Lettering keeps to the region of its pin, and off its walls.
func (s *setOutSheet) placePins(g *ground) {
	s.owners(g)
	s.drawWalls(g, taken)
	g.strict = true
	defer func() { g.only, g.strict = 0, false }()
	regions := make([]int32, len(s.Pins))
	for i, q := range s.Pins {
		regions[i] = s.regionAt(q.At)
	}
	least := len(pinSizes) - 1
	few := (len(s.Pins) + 19) / 20
	var best *pinLettering
	size := 0 // of best
	for n := range 2 * len(pinSizes) {
		k, first := n/2, layout(n%2)
		if best != nil && k > size && best.named+best.told == 2*len(s.Pins) {
			break
		}
		t := &pinLettering{ground: g.clone()}
		var rest, late []int
		for i := range s.Pins {
			t.ground.only = regions[i]
			if !s.placePair(t.ground, i, k, first, regularly, &t.labels) {
				rest = append(rest, i)
			}
		}
		// At a wall one side is lost, so these choose before the others.
		slices.SortStableFunc(rest, func(i, j int) int { return cmp.Compare(side(s.Pins[i]), side(s.Pins[j])) })
		for _, i := range rest {
			placed := false
			for smaller := k; smaller <= least && !placed; smaller++ {
				t.ground.only = regions[i]
				placed = s.placePair(t.ground, i, smaller, first, about, &t.labels)
			}
			if !placed {
				if late = append(late, i); len(late) > few {
					break
				}
			}
		}
		if len(late) > few {
			continue
		}
		t.moved = len(rest)
		s.placeLate(t, late, regions)
		if best == nil || t.named+t.told > best.named+best.told || t.named+t.told == best.named+best.told && k == size && t.moved < best.moved {
			best, size = t, k
		}
	}
	if best == nil || best.left(s) > 0 {
		if t := s.placeWithLeaders(g, regions); t != nil && (best == nil || t.left(s) < best.left(s)) {
			best = t
		}
	}
	if best == nil {
		best = &pinLettering{ground: g}
		all := func(height bool) (placed int) {
			var rest []int
			for i := range s.Pins {
				g.only = regions[i]
				if s.placeOne(g, i, height, true, &best.labels) {
					placed++
				} else {
					rest = append(rest, i)
				}
			}
			for _, i := range rest {
				g.only = regions[i]
				if s.placeOne(g, i, height, false, &best.labels) {
					placed++
				}
			}
			return placed
		}
		for _, height := range []bool{s.HeightsFirst, !s.HeightsFirst} {
			if height {
				best.told = all(true)
			} else {
				best.named = all(false)
			}
		}
	}
	g.cells, s.labels, s.named, s.told = best.ground.cells, append(s.labels, best.labels...), best.named, best.told
	s.leaders = append(s.leaders, best.leaders...)
}

// side orders pins at walls before the others.
func side(q SetOutPin) int {
	if q.Wall {
		return 0
	}
	return 1
}

// placeOne finds room for the name or the height of pin i in the least size, as
// [setOutSheet.placePair] does.
func (s *setOutSheet) placeOne(g *ground, i int, height, regular bool, labels *[]label) bool {
	q, size := s.Pins[i], pinSizes[len(pinSizes)-1]
	l := newLabel(q.Name, nameSize(size), false)
	if height {
		l = newLabel(q.Text, size, true)
	}
	l.of = i + 1
	if l.text == "" {
		return true
	}
	places, most := round(s.frame.at(q.At), s.radius(i), l, height), math.MaxInt
	if regular {
		places, most = places[:1], 0
	}
	if !g.take(&l, s.frame.at(q.At), places, most) {
		return false
	}
	*labels = append(*labels, l)
	return true
}

// clear is the least gap between a mark and its lettering: a cell of the ground.
const clear = 1

// radius returns how far lettering stands off the middle of pin i.
func (s *setOutSheet) radius(i int) vg.Length {
	if s.Pins[i].Kind == PinStart {
		return startRadius + clear
	}
	return pinRadius + clear
}

// placePair finds room for name and height of pin i in size k, and adds them to labels:
// as the layout has it, or elsewhere about the mark, as far as it may.
func (s *setOutSheet) placePair(g *ground, i, k int, first layout, may extent, labels *[]label) bool {
	q := s.Pins[i]
	at, r := s.frame.at(q.At), s.radius(i)
	n, h := newLabel(q.Name, nameSize(pinSizes[k]), false), newLabel(q.Text, pinSizes[k], true)
	n.of, h.of = i+1, i+1
	switch {
	case q.Name == "" && q.Text == "":
		return true
	case q.Name == "" || q.Text == "":
		l := n
		if q.Name == "" {
			l = h
		}
		ok := g.take(&l, at, round(at, r, l, q.Name == ""), math.MaxInt)
		if ok {
			*labels = append(*labels, l)
		}
		return ok
	}
	up, down := r+n.h/2, -(r + h.h/2)
	type pair struct{ n, h vg.Point }
	candidates := []pair{{vg.Point{Y: up}, vg.Point{Y: down}}}
	for _, side := range []vg.Length{1, -1} {
		candidates = append(candidates, pair{vg.Point{X: side * (n.w/2 - pinRadius), Y: up}, vg.Point{X: side * (h.w/2 - pinRadius), Y: down}})
	}
	for _, side := range []vg.Length{1, -1} {
		candidates = append(candidates, pair{vg.Point{X: side * (r + n.w/2), Y: n.h / 2}, vg.Point{X: side * (r + h.w/2), Y: -h.h / 2}})
	}
	const rightward = 3
	for _, side := range []vg.Length{0, 1, -1} { // both above, both beneath
		nx, hx := side*(n.w/2-pinRadius), side*(h.w/2-pinRadius)
		candidates = append(candidates,
			pair{vg.Point{X: nx, Y: r + h.h + n.h/2}, vg.Point{X: hx, Y: r + h.h/2}},
			pair{vg.Point{X: nx, Y: -(r + n.h/2)}, vg.Point{X: hx, Y: -(r + n.h + h.h/2)}})
	}
	rows := len(candidates)
	for _, y := range []vg.Length{-(r + h.h/2), r + h.h/2} { // in one row beneath or above
		for _, start := range []vg.Length{-(n.w + h.w) / 2, -pinRadius, pinRadius - n.w - h.w} {
			candidates = append(candidates, pair{vg.Point{X: start + n.w/2, Y: y}, vg.Point{X: start + n.w + h.w/2, Y: y}})
		}
	}
	for _, start := range []vg.Length{r, -r - n.w - h.w} { // and at the side
		for _, y := range []vg.Length{0, -0.4 * h.h, 0.4 * h.h} {
			candidates = append(candidates, pair{vg.Point{X: start + n.w/2, Y: y}, vg.Point{X: start + n.w + h.w/2, Y: y}})
		}
	}
	if first == beside {
		candidates = append([]pair{candidates[rightward]}, candidates...)
		rows++
	}
	best := math.MaxInt
	if may == regularly {
		candidates, best = candidates[:1], 1
	}
	most := best
	for rank, c := range candidates {
		a, b := n.box, h.box
		a.centre, b.centre = at.Add(c.n), at.Add(c.h)
		a, b = outward(a, at), outward(b, at)
		freeA, linesA := g.free(a)
		freeB, linesB := g.free(b)
		if rank >= rows { // no wall between the two
			both := box{centre: at.Add(vg.Point{X: c.n.X + h.w/2, Y: c.n.Y}), w: n.w + h.w, h: h.h}
			ok, lines := g.free(both)
			freeA, linesA, linesB = freeA && ok, lines, 0
		}
		if cost := linesA + linesB + rank; freeA && freeB && cost < best {
			best, n.centre, h.centre = cost, at.Add(c.n), at.Add(c.h)
		}
	}
	if best == most {
		return false
	}
	g.mark(outward(n.box, at), taken)
	g.mark(outward(h.box, at), taken)
	*labels = append(*labels, n, h)
	return true
}

// placeFinished finds room for the names of the adjoining finished floor, on the side
// away from the middle if there is some.
func (s *setOutSheet) placeFinished(g *ground) {
	lo, hi := s.Floor.Bounds()
	middle := s.frame.at(lo).Add(s.frame.at(hi)).Scale(0.5)
	away := func(p vg.Point) float64 { return math.Hypot(float64(p.X-middle.X), float64(p.Y-middle.Y)) }
	for i, q := range s.finished {
		if q.Name == "" {
			continue
		}
		l := newLabel(q.Name, smallest, true)
		l.of = -i - 1
		at := s.frame.at(surface.Vec{X: q.X, Y: q.Y})
		places := round(at, 4+clear, l, false)
		slices.SortStableFunc(places, func(p, q vg.Point) int { return cmp.Compare(away(q), away(p)) })
		if g.take(&l, at, places, math.MaxInt) {
			s.labels = append(s.labels, l)
		} else {
			s.unnamed++
		}
	}
}

// round returns the places of a label about a mark of radius r, the most wanted first.
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

// outward returns b with more room on the side away from the mark at p that it belongs
// to: lettering must stand closer to its own mark than to what belongs to another.
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

// take sets l, which belongs to the mark at p, at the one of places where it is free and covers the fewest lines, an
// earlier one before a later, and takes the room. It covers no more than most cells of
// lines.
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

// placeBays finds room for the names of bays and what stands beneath them: inside each
// bay, as near as may be to where they should stand. In a strip they are turned upright,
// and where both have no room the name stands alone. What has none is counted.
func (s *setOutSheet) placeBays(g *ground) {
	for _, b := range s.Bays {
		in := s.inside(g, b)
		try := func(turn float64, gap vg.Length, labels ...label) bool {
			if in.place(labels, s.frame.at(b.At), turn, gap) {
				for _, l := range labels {
					g.mark(l.box, taken)
				}
				s.bays = append(s.bays, labels...)
				s.titled++
				return true
			}
			return false
		}
		// Both, one above the other; then upright; then in one line upright.
		done := false
		for _, size := range []vg.Length{13, 11, 9, smallest} {
			if done = done || try(0, 1, newLabel(b.Name, size, true), newLabel(b.Text, 0.85*size, false)); done {
				break
			}
		}
		for _, size := range []vg.Length{9, smallest} {
			if done = done || try(math.Pi/2, 1, newLabel(b.Name, size, true), newLabel(b.Text, 0.85*size, false)); done {
				break
			}
			if done = done || try(math.Pi/2, -1, newLabel(b.Name, size, true), newLabel(b.Text, 0.85*size, false)); done {
				break
			}
		}
		if done {
			continue
		}
		for _, size := range []vg.Length{11, 9, smallest} {
			if try(0, 0, newLabel(b.Name, size, true)) || try(math.Pi/2, 0, newLabel(b.Name, size, true)) {
				if b.Text != "" {
					s.untold++
				}
				break
			}
		}
	}
}

// interior is where lettering may stand in a bay, by cells of a point: counts of what is
// in the way and of lines, summed from the lower left corner.
type interior struct {
	min           vg.Point
	w, h          int
	blocked, line []int32
}

// lineCost is what a cell of a line under lettering costs, in points from the place where
// it should stand.
const lineCost = 0.5

// inside returns the room in b that g leaves. A bay whose edges are not known has the
// whole ground.
func (s *setOutSheet) inside(g *ground, b Bay) *interior {
	var rings [][]vg.Point
	x0, y0, x1, y1 := 0, 0, g.w, g.h // cells
	if len(b.Rings) > 0 {
		x0, y0, x1, y1 = g.w, g.h, 0, 0
	}
	for _, r := range b.Rings {
		at := s.onPage(r)
		rings = append(rings, at)
		for _, p := range at {
			x, y := int(p.X-g.min.X), int(p.Y-g.min.Y)
			x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x+1), max(y1, y+1)
		}
	}
	x0, y0, x1, y1 = max(x0, 0), max(y0, 0), min(x1, g.w), min(y1, g.h)
	in := &interior{min: g.min.Add(vg.Point{X: vg.Length(x0), Y: vg.Length(y0)}), w: max(x1-x0, 0), h: max(y1-y0, 0)}
	free := make([]bool, in.w*in.h)
	for y := range in.h {
		cy := in.min.Y + vg.Length(y) + 0.5
		var cuts []float64
		for _, r := range rings {
			for i, p := range r {
				q := r[(i+1)%len(r)]
				if (p.Y <= cy) != (q.Y <= cy) {
					cuts = append(cuts, float64(p.X+(cy-p.Y)/(q.Y-p.Y)*(q.X-p.X)-in.min.X))
				}
			}
		}
		slices.Sort(cuts)
		for k := 0; k+1 < len(cuts); k += 2 {
			for x := max(0, int(math.Ceil(cuts[k]-0.5))); x < in.w && float64(x)+0.5 <= cuts[k+1]; x++ {
				free[y*in.w+x] = true
			}
		}
		if len(rings) == 0 {
			for x := range in.w {
				free[y*in.w+x] = true
			}
		}
	}
	edge := &ground{min: in.min, w: in.w, h: in.h, cells: make([]uint8, in.w*in.h)}
	const clearOfEdge = 0.6 // pt
	for _, r := range rings {
		if len(r) == 0 {
			continue
		}
		m := measure(append(r, r[0]))
		for d := vg.Length(0); d <= m.length(); d++ {
			edge.mark(box{centre: m.point(d), w: damWidth + 2*clearOfEdge, h: damWidth + 2*clearOfEdge}, taken)
		}
	}
	in.blocked, in.line = make([]int32, (in.w+1)*(in.h+1)), make([]int32, (in.w+1)*(in.h+1))
	for y := range in.h {
		for x := range in.w {
			k, n := y*in.w+x, (y+1)*(in.w+1)+x+1
			up, left, both := n-in.w-1, n-1, n-in.w-2
			on := g.cells[(y+y0)*g.w+x+x0]
			in.blocked[n] = in.blocked[up] + in.blocked[left] - in.blocked[both]
			in.line[n] = in.line[up] + in.line[left] - in.line[both]
			if !free[k] || (on|edge.cells[k])&taken != 0 {
				in.blocked[n]++
			}
			if on&(lined|walled) != 0 {
				in.line[n]++
			}
		}
	}
	return in
}

// place moves labels, one beneath the other with a gap or side by side with a negative
// one, all turned, to where they are free as near as may be to a place. It reports
// whether there is such a place.
func (in *interior) place(labels []label, at vg.Point, turn float64, gap vg.Length) bool {
	beside := gap < 0
	gap = max(gap, -gap)
	var w, h vg.Length
	for i, l := range labels {
		if i > 0 && beside {
			w += gap
		} else if i > 0 {
			h += gap
		}
		if beside {
			w, h = w+l.w, max(h, l.h)
		} else {
			w, h = max(w, l.w), h+l.h
		}
	}
	pw, ph := w, h
	if turn != 0 {
		pw, ph = h, w
	}
	nx, ny := int(math.Ceil(float64(pw))), int(math.Ceil(float64(ph)))
	best := math.Inf(1)
	var centre vg.Point
	sum := func(of []int32, x, y int) int32 {
		row := in.w + 1
		return of[(y+ny)*row+x+nx] - of[y*row+x+nx] - of[(y+ny)*row+x] + of[y*row+x]
	}
	for y := 0; y+ny <= in.h; y++ {
		for x := 0; x+nx <= in.w; x++ {
			if sum(in.blocked, x, y) > 0 {
				continue
			}
			c := vg.Point{X: in.min.X + vg.Length(x) + vg.Length(nx)/2, Y: in.min.Y + vg.Length(y) + vg.Length(ny)/2}
			if cost := math.Hypot(float64(c.X-at.X), float64(c.Y-at.Y)) + lineCost*float64(sum(in.line, x, y)); cost < best {
				best, centre = cost, c
			}
		}
	}
	if math.IsInf(best, 1) {
		return false
	}
	sin, cos := math.Sincos(turn)
	x, y := -w/2, h/2
	for i := range labels {
		l := &labels[i]
		var u, v vg.Length
		if beside {
			u = x + l.w/2
			x += l.w + gap
		} else {
			v = y - l.h/2
			y -= l.h + gap
		}
		l.turn = turn
		l.centre = centre.Add(vg.Point{X: u*vg.Length(cos) - v*vg.Length(sin), Y: u*vg.Length(sin) + v*vg.Length(cos)})
	}
	return true
}

// placeDams finds room for the name of each dam at one of its ends: outside the wall it
// runs to, else on the dam itself inside.
func (s *setOutSheet) placeDams(g *ground) {
	for i, d := range s.Dams {
		line := s.onPage(d)
		if len(s.DamNames) == 0 || s.DamNames[i] == "" || len(line) < 2 {
			continue
		}
		l := newLabel(s.DamNames[i], 8, true)
		l.ink = damInk
		m := measure(line)
		n := len(line) - 1
		var places []vg.Point
		ends := [][2]vg.Point{{line[0], line[1]}, {line[n], line[n-1]}}
		for _, off := range []vg.Length{3, 9, 15} {
			for _, e := range ends {
				u := e[0].Sub(e[1])
				length := vg.Length(math.Hypot(float64(u.X), float64(u.Y)))
				if length == 0 {
					continue
				}
				u = u.Scale(1 / length)
				reach := vg.Length(math.Abs(float64(u.X)))*l.w/2 + vg.Length(math.Abs(float64(u.Y)))*l.h/2
				places = append(places, e[0].Add(u.Scale(off+reach)))
			}
		}
		free := false
		for _, p := range places {
			try := l.box
			try.centre = p
			if ok, lines := g.free(try); ok && lines == 0 {
				l.centre, free = p, true
				break
			}
		}
		for off := vg.Length(8); !free && off < m.length()/2; off += 4 {
			for _, at := range []vg.Length{off, m.length() - off} {
				try := l.box
				try.centre = m.point(at)
				if ok, _ := g.free(try); ok && !g.onWall(try) {
					l.centre, l.plated, free = try.centre, true, true
					break
				}
			}
		}
		if !free {
			s.nameless++
			continue
		}
		g.mark(l.box, taken)
		s.dams = append(s.dams, l)
	}
}

// near moves b to the free place closest to at, no farther than most, clear of lines if
// there is such a place, and takes it.
func (g *ground) near(b *box, at vg.Point, most vg.Length) bool {
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
			if free, lines := g.free(try); free && far+0.5*float64(lines) < best {
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

func (s *setOutSheet) legendHeight(page vg.Length) vg.Length {
	if s.Bare {
		return 0
	}
	h := entriesHeight(s.entries(), page)
	if len(s.Pins)+len(s.Bays) > 0 {
		h += entryLead // for what may be left out
	}
	return h
}

func (s *setOutSheet) legend(c draw.Canvas) {
	drawBeside(c, s.entries())
	scaleBar(draw.Crop(c, c.Size().X-scaleRoom, 0, 0, 0), s.Units, s.frame.scale)
}

func (s *setOutSheet) entries() []entry {
	var out []entry
	add := func(sign func(draw.Canvas, vg.Point), format string, args ...any) {
		out = append(out, entry{sign, fmt.Sprintf(format, args...)})
	}
	if n := len(s.Pins); n > 0 {
		sign := func(q SetOutPin) func(draw.Canvas, vg.Point) {
			return func(c draw.Canvas, at vg.Point) { q.draw(c, at) }
		}
		if s.lettered() {
			add(sign(SetOutPin{}), "%s: name, and height of the mark in bold, %s", count(n, "pin", "pins"), s.unitName())
		} else {
			add(sign(SetOutPin{}), "%s", count(n, "pin", "pins"))
		}
		if s.frame.scale > 0 && s.named+s.told < 2*n {
			add(func(draw.Canvas, vg.Point) {}, "%s left out for want of room; the list has all", s.leftOut(n))
		}
		kinds := func(is func(SetOutPin) bool) int {
			k := 0
			for _, q := range s.Pins {
				if is(q) {
					k++
				}
			}
			return k
		}
		if k := kinds(func(q SetOutPin) bool { return q.Wall }); k > 0 {
			add(sign(SetOutPin{Wall: true}), "%d of them at walls", k)
		}
		if k := kinds(func(q SetOutPin) bool { return q.Kind == PinNothing }); k > 0 {
			add(sign(SetOutPin{Kind: PinNothing}), "nothing to pour at %d of them", k)
		}
		if kinds(func(q SetOutPin) bool { return q.Kind == PinStart }) > 0 {
			add(sign(SetOutPin{Kind: PinStart}), "start here")
		}
	}
	for way, bars := range s.ways {
		if len(bars) == 0 {
			continue
		}
		text := count(len(bars), "bar", "bars") + []string{" one way", " the other way"}[way]
		if s.every[way] > 1 {
			text += fmt.Sprintf(", one line in %d drawn", s.every[way])
		}
		add(func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), 0.8, barInks[way], barDashes[way]...) }, "%s", text)
	}
	if len(s.laps) > 0 && s.every == [2]int{1, 1} {
		add(func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), lapWidth, black) }, "lap of two bars")
	}
	if n := len(s.Sheets); n > 0 {
		add(sheetSign, "%s of mesh", count(n, "sheet", "sheets"))
	}
	if n := len(s.Chairs); n > 0 {
		add(func(c draw.Canvas, at vg.Point) { c.SetColor(black); c.Fill(dot(at, 1.1)) }, "%s", count(n, "chair", "chairs"))
	}
	if len(s.Dams) > 0 {
		text := "dam"
		if s.frame.scale > 0 && s.nameless > 0 {
			text += fmt.Sprintf(", %d without room for the name", s.nameless)
		}
		add(func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), damWidth, damInk) }, "%s", text)
	}
	if n := len(s.Bays); n > 0 {
		text := count(n, "bay", "bays")
		if s.frame.scale > 0 && s.titled < n {
			text += fmt.Sprintf(", %d without room for its name", n-s.titled)
		}
		if s.frame.scale > 0 && s.untold > 0 {
			text += fmt.Sprintf("; the list has what is not written in %d of them", s.untold)
		}
		add(swatchSign(0, 4, tints[0], nil), "%s", text)
	}
	if s.Exit != nil {
		add(exitSign, "way out")
	}
	if len(s.drains()) > 0 {
		add(drainSign, drainText)
	}
	if slope := s.slope(); slope > 0 {
		add(func(c draw.Canvas, at vg.Point) { arrow{centre: at, length: 16, turn: s.fallTurn()}.draw(c) }, "the target falls this way, by %s", fallText(slope))
	}
	if len(s.Windows) > 0 {
		add(func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), 1, damInk, 5, 3) }, "what each sheet shows, by its letter")
	}
	if s.Thin > 0 && s.fill.Least < s.Thin {
		add(swatchSign(1, 6, thinTint, thinLine), "hatched: fill thinner than %s", s.Units.Depth(s.Thin))
	}
	if s.fill.Least < 0 {
		add(func(c draw.Canvas, at vg.Point) {
			ground := thinTint
			if s.Thin == 0 {
				ground = white
			}
			swatchSign(-1, cutSpacing, ground, cutLine)(c, at)
		}, "hatched closely: floor above the target, nothing to pour")
	}
	if len(s.contours) > 0 {
		text := "lines of equal depth, " + s.unitName()
		if step, ok := evenStep(s.bands.limits); ok {
			text = "lines of equal depth, every " + s.Units.Depth(step)
		}
		add(func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), 0.4, contourInk) }, "%s", text)
	}
	if len(s.Floor.Openings) > 0 {
		add(swatchSign(-1, 3, white, voidLine), "not poured")
	}
	if len(s.Floor.Steps) > 0 {
		add(func(c draw.Canvas, at vg.Point) { strokeStep(c, dash(at)) }, "step in the floor")
	}
	if len(s.Finished) > 0 {
		text := "adjoining finished floor"
		if n := len(s.Finished) - len(s.finished); n > 0 {
			text += fmt.Sprintf("; %s not shown", grouped(float64(n)))
		}
		if s.unnamed > 0 {
			text += fmt.Sprintf("; %d without room for the name", s.unnamed)
		}
		add(func(c draw.Canvas, at vg.Point) { c.SetColor(black); c.Fill(diamond(at, 3.2)) }, "%s", text)
	}
	if s.Scale > 0 {
		add(nil, "1:%g on a print at full size", s.Scale)
	}
	return append(out, planEntry)
}

// lettered reports whether any pin has something to be written at it.
func (m *SetOutMap) lettered() bool {
	return slices.ContainsFunc(m.Pins, func(q SetOutPin) bool { return q.Name+q.Text != "" })
}

// sheetSign is a rectangle with a diagonal.
func sheetSign(c draw.Canvas, at vg.Point) {
	r := vg.Rectangle{Min: at.Sub(vg.Point{X: 8, Y: 4}), Max: at.Add(vg.Point{X: 8, Y: 4})}
	var across vg.Path
	across.Move(r.Min)
	across.Line(r.Max)
	stroke(c, r.Path(), 0.8, barInks[0])
	stroke(c, across, 0.4, barInks[0])
}

// leftOut tells how many names and heights of n pins are not written.
func (s *setOutSheet) leftOut(n int) string {
	heights, names := count(n-s.told, "height", "heights"), count(n-s.named, "name", "names")
	switch {
	case s.named == n:
		return heights
	case s.told == n:
		return names
	}
	return heights + " and " + names
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return grouped(float64(n)) + " " + many
}
