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
// that can be read on paper; names are smaller.
var pinSizes = []vg.Length{11, 9.5, 8, 7, 6}

// nameSize returns the size of the names beside heights of a size.
func nameSize(height vg.Length) vg.Length { return max(0.72*height, 5) }

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

// placePins finds room for names and heights: in the largest lettering that leaves
// few pins without, which are tried smaller; where many are left without, in the least,
// names first. What has no room is counted.
func (s *setOutSheet) placePins(g *ground) {
	least := len(pinSizes) - 1
	few := (len(s.Pins) + 19) / 20
	type try struct {
		ground      *ground
		labels      []label
		named, told int
		moved       int // pins not placed as the layout has it
	}
	var best *try
	size := 0 // of best
	for n := range 2 * len(pinSizes) {
		k, first := n/2, layout(n%2)
		if best != nil && k > size && best.named+best.told == 2*len(s.Pins) {
			break
		}
		t := &try{ground: &ground{min: g.min, w: g.w, h: g.h, cells: slices.Clone(g.cells)}}
		var rest, late []int
		for i := range s.Pins {
			if !s.placePair(t.ground, i, k, first, true, &t.labels) {
				rest = append(rest, i)
			}
		}
		for _, i := range rest {
			if !s.placePair(t.ground, i, k, first, false, &t.labels) {
				if late = append(late, i); len(late) > few {
					break
				}
			}
		}
		if len(late) > few {
			continue
		}
		t.moved = len(rest)
		t.named, t.told = len(s.Pins)-len(late), len(s.Pins)-len(late)
		for _, i := range late {
			placed := false
			for smaller := k + 1; smaller <= least && !placed; smaller++ {
				placed = s.placePair(t.ground, i, smaller, first, false, &t.labels)
			}
			if placed || s.placeOne(t.ground, i, false, false, &t.labels) {
				t.named++
			}
			if placed || s.placeOne(t.ground, i, true, false, &t.labels) {
				t.told++
			}
		}
		if best == nil || t.named+t.told > best.named+best.told || t.named+t.told == best.named+best.told && k == size && t.moved < best.moved {
			best, size = t, k
		}
	}
	if best == nil {
		best = &try{ground: g}
		all := func(height bool) (placed int) {
			var rest []int
			for i := range s.Pins {
				if s.placeOne(g, i, height, true, &best.labels) {
					placed++
				} else {
					rest = append(rest, i)
				}
			}
			for _, i := range rest {
				if s.placeOne(g, i, height, false, &best.labels) {
					placed++
				}
			}
			return placed
		}
		best.named = all(false) // first: the rows of the list are found by the names
		best.told = all(true)
	}
	g.cells, s.labels, s.named, s.told = best.ground.cells, append(s.labels, best.labels...), best.named, best.told
}

// placeOne finds room for the name or the height of pin i in the least size, as
// [setOutSheet.placePair] does.
func (s *setOutSheet) placeOne(g *ground, i int, height, regular bool, labels *[]label) bool {
	q, size := s.Pins[i], pinSizes[len(pinSizes)-1]
	l := newLabel(q.Name, nameSize(size), false)
	if height {
		l = newLabel(q.Text, size, true)
	}
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
// as the layout has it, or elsewhere about the mark. Pins are to be tried with regular
// first, which allows that first place alone and nothing across a line, so that
// one pin at a wall does not push a whole row about.
func (s *setOutSheet) placePair(g *ground, i, k int, first layout, regular bool, labels *[]label) bool {
	q := s.Pins[i]
	at, r := s.frame.at(q.At), s.radius(i)
	n, h := newLabel(q.Name, nameSize(pinSizes[k]), false), newLabel(q.Text, pinSizes[k], true)
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
	if first == beside {
		candidates = append([]pair{candidates[rightward]}, candidates...)
	}
	best := math.MaxInt
	if regular {
		candidates, best = candidates[:1], 1
	}
	most := best
	for rank, c := range candidates {
		a, b := n.box, h.box
		a.centre, b.centre = at.Add(c.n), at.Add(c.h)
		a, b = outward(a, at), outward(b, at)
		freeA, linesA := g.free(a)
		freeB, linesB := g.free(b)
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

// placeFinished finds room for the names of the finished floor next door, on the side
// away from the middle if there is some.
func (s *setOutSheet) placeFinished(g *ground) {
	lo, hi := s.Floor.Bounds()
	middle := s.frame.at(lo).Add(s.frame.at(hi)).Scale(0.5)
	away := func(p vg.Point) float64 { return math.Hypot(float64(p.X-middle.X), float64(p.Y-middle.Y)) }
	for _, q := range s.finished {
		if q.Name == "" {
			continue
		}
		l := newLabel(q.Name, 7, true)
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

// placeBays finds room for the names of bays and what stands beneath them, as near as
// may be to where they should stand; what has no room is counted.
func (s *setOutSheet) placeBays(g *ground) {
	for _, b := range s.Bays {
		at := s.frame.at(b.At)
		for _, size := range []vg.Length{13, 11, 9, 7.5} {
			name, text := newLabel(b.Name, size, true), newLabel(b.Text, 0.85*size, false)
			both := box{w: max(name.w, text.w) + 2, h: name.h + text.h + 1}
			if !g.near(&both, at, 22) {
				continue
			}
			name.centre = both.centre.Add(vg.Point{Y: both.h/2 - name.h/2})
			text.centre = both.centre.Sub(vg.Point{Y: both.h/2 - text.h/2})
			s.bays = append(s.bays, name, text)
			s.titled++
			break
		}
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
		add(sign(SetOutPin{}), "%s: name, and height of the mark in bold, %s", count(n, "pin", "pins"), s.unitName())
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
		add(func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), damWidth, damInk) }, "dam")
	}
	if n := len(s.Bays); n > 0 {
		text := count(n, "bay", "bays")
		if s.frame.scale > 0 && s.titled < n {
			text += fmt.Sprintf(", %d without room for its name", n-s.titled)
		}
		add(swatchSign(0, 4, tints[0], nil), "%s", text)
	}
	if s.Exit != nil {
		add(exitSign, "way out")
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
		text := "finished floor next door"
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
