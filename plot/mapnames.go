package plot

import (
	"image/color"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
)

// outline returns the outline of a numbered place on the page.
func (s *sheet) outline(m Spot) [][]vg.Point {
	var out [][]vg.Point
	for _, r := range m.Rings {
		var at []vg.Point
		for i := range len(r) + 1 {
			at = append(at, s.frame.at(r[i%len(r)]))
		}
		out = append(out, at)
	}
	for _, l := range m.Lines {
		out = append(out, []vg.Point{s.frame.at(l[0]), s.frame.at(l[1])})
	}
	return out
}

// drawMarks draws the outlines of the numbered places.
func (s *sheet) drawMarks(c draw.Canvas) {
	for _, m := range s.Spots {
		var outline vg.Path
		for _, l := range s.outline(m) {
			for i, p := range l {
				if i == 0 {
					outline.Move(p)
				} else {
					outline.Line(p)
				}
			}
		}
		stroke(c, outline, 3, white)
		stroke(c, outline, 1.4, alarm)
	}
}

const apart = 3 // pt between a name and the labels of contours

const plateTall = 9.6 // pt, of the plate of a number

// placeLettering finds room for the numbers of the places and for the names. The numbers are
// first: they are short, and a list refers to each by its number alone.
func (s *sheet) placeLettering(g *ground) (plates []box, names []name) {
	s.takeMarks(g)
	// Lettering without room elsewhere may cover shots, but no mark and no other lettering.
	crowded := &ground{min: g.min, w: g.w, h: g.h, cells: make([]uint8, len(g.cells))}
	s.takeMarks(crowded)
	plates = s.placeMarks(g, crowded)
	return plates, s.placeNames(g, crowded, plates)
}

// takeMarks takes the marks of all places, so that no lettering covers one.
func (s *sheet) takeMarks(g *ground) {
	at := func(p survey.Point) vg.Point { return s.frame.at(surface.Vec{X: p.X, Y: p.Y}) }
	for _, m := range s.Spots {
		for _, l := range s.outline(m) {
			g.draw(l, walled)
		}
	}
	for _, e := range s.extremes() {
		g.mark(box{centre: s.frame.at(e.v), w: 9, h: 9}, taken)
	}
	for _, p := range s.finished {
		g.mark(box{centre: at(p), w: 8, h: 8}, taken)
	}
	for _, p := range s.drains() {
		g.mark(drainBox(at(p)), taken)
	}
	for _, p := range s.Ringed {
		g.mark(box{centre: at(p), w: 2*doubtRing + 1, h: 2*doubtRing + 1}, taken)
	}
}

// farther are the distances for lettering without room beside its mark, pt: it has a line
// to the mark then.
var farther = []vg.Length{20, 28, 38, 50, 64}

// placeMarks finds room for the numbers of the places: beside each or, if others are there
// already, farther off with a line to the mark.
func (s *sheet) placeMarks(g, crowded *ground) []box {
	style := lettering(8, true, black)
	var out []box
	for _, m := range s.Spots {
		at := s.frame.at(m.At)
		b := box{centre: at, w: style.Width(m.Name) + 4, h: plateTall}
		radii := slices.Concat([]vg.Length{2, 5, 9, 14}, farther)
		if centre, ok := g.nearby(at, radii, b, at, out); ok {
			b.centre = centre
		} else if centre, ok := g.coveringLeast(crowded, at, radii, b, out); ok {
			b.centre = centre
		} else {
			crowded.anywhere(&b, at, out)
		}
		g.mark(b, taken)
		crowded.mark(b, taken)
		out = append(out, b)
	}
	return out
}

// nearby finds room for lettering of the size of b near a mark at p: at the first of the radii
// with room where no other lettering is between the two.
func (g *ground) nearby(p vg.Point, radii []vg.Length, b box, from vg.Point, others []box) (centre vg.Point, ok bool) {
	between := func(q vg.Point) bool { return b.screened(q, p, others) }
	for _, r := range radii {
		if centre, ok = g.besideUnless(p, r, b.w, b.h, math.MaxInt-1, from, between); ok {
			return centre, true
		}
	}
	return p, false
}

// screened reports whether a line from a mark at p to lettering of the size of b at q would
// meet other lettering.
func (b box) screened(q, p vg.Point, others []box) bool {
	b.centre = q
	end, led := b.leadEnd(p)
	return led && slices.ContainsFunc(others, func(o box) bool { return o.meets(p, end) })
}

// coveringLeast finds the place near a mark at p where lettering of the size of b covers the
// fewest cells that are taken, but nothing in crowded, and no other lettering is between the
// two; the nearest if equal.
func (g *ground) coveringLeast(crowded *ground, p vg.Point, radii []vg.Length, b box, others []box) (centre vg.Point, ok bool) {
	best := math.MaxInt
	for _, r := range radii {
		for _, q := range aside(r, b.w, b.h) {
			b.centre = p.Add(q)
			if free, _ := crowded.free(b); !free || b.screened(b.centre, p, others) {
				continue
			}
			covered := 0
			b.each(func(at vg.Point) bool {
				if k := g.index(at); k >= 0 && g.cells[k]&taken != 0 {
					covered++
				}
				return true
			})
			if covered < best {
				best, centre, ok = covered, b.centre, true
			}
		}
	}
	return centre, ok
}

// anywhere moves b to the free place nearest to a mark at p, if possible where no other
// lettering is between the two. Without such a place it stays where it is.
func (g *ground) anywhere(b *box, p vg.Point, others []box) bool {
	for _, suits := range []func(vg.Point) bool{func(q vg.Point) bool { return !b.screened(q, p, others) }, nil} {
		for far := vg.Length(40); far < 320; far *= 2 {
			if g.near(b, p, far, suits) {
				return true
			}
		}
	}
	return false
}

// meets reports whether the line from p to q meets an upright box.
func (b box) meets(p, q vg.Point) bool {
	d := q.Sub(p)
	n := int(math.Hypot(float64(d.X), float64(d.Y))) + 1
	for k := range n + 1 {
		at := p.Add(d.Scale(vg.Length(k) / vg.Length(n))).Sub(b.centre)
		if math.Abs(float64(at.X)) < float64(b.w)/2 && math.Abs(float64(at.Y)) < float64(b.h)/2 {
			return true
		}
	}
	return false
}

// drawPlates writes the numbers of the places.
func (s *sheet) drawPlates(c draw.Canvas, plates []box) {
	style := lettering(8, true, black)
	for i, b := range plates {
		half := vg.Point{X: b.w / 2, Y: b.h / 2}
		lead(c, s.frame.at(s.Spots[i].At), b, alarm)
		plate := vg.Rectangle{Min: b.centre.Sub(half), Max: b.centre.Add(half)}.Path()
		c.SetColor(white)
		c.Fill(plate)
		stroke(c, plate, 0.8, alarm)
		write(c, style, b.centre, 0.5, s.Spots[i].Name)
	}
}

// leadEnd returns where a line from a mark to lettering at b ends; led is false if they are
// so near that it needs none.
func (b box) leadEnd(mark vg.Point) (to vg.Point, led bool) {
	const near = 8 // pt: closer, the mark is clear
	clamp := func(v, middle, half vg.Length) vg.Length { return min(max(v, middle-half), middle+half) }
	to = vg.Point{X: clamp(mark.X, b.centre.X, b.w/2), Y: clamp(mark.Y, b.centre.Y, b.h/2)}
	led = math.Hypot(float64(to.X-mark.X), float64(to.Y-mark.Y)) > near
	if to.X == mark.X { // not along the wall that a mark is on
		to.X = clamp(mark.X, b.centre.X, 0.3*b.w)
	}
	return to, led
}

// lead draws a line from a mark to lettering that is far enough away to be mistaken for
// another mark's.
func lead(c draw.Canvas, at vg.Point, b box, ink color.Color) {
	if to, led := b.leadEnd(at); led {
		var line vg.Path
		line.Move(at)
		line.Line(to)
		stroke(c, line, 0.8, ink)
	}
}

// name is a mark with its lettering on a plate.
type name struct {
	mark   vg.Point
	ring   bool // a ring round an extreme; otherwise a diamond on a finished floor
	doubt  bool // a wider red ring round a shot to check again
	drain  bool // draw the sign of a drain
	plate  box
	text   string
	strong bool
	// optional is lettering that is left out without room.
	optional bool
	// clearOf is what the lettering keeps away from, if there is room.
	clearOf vg.Point
}

func (n name) style() (size vg.Length, bold bool) {
	if n.strong {
		return 8.5, true
	}
	return smallest, true
}

func (n name) draw(c draw.Canvas) {
	ink := black
	if n.doubt {
		ink = alarm
	}
	if n.text != "" {
		lead(c, n.mark, n.plate, ink)
	}
	switch {
	case n.doubt:
		stroke(c, dot(n.mark, doubtRing), 3, white)
		stroke(c, dot(n.mark, doubtRing), 1.4, alarm)
	case n.drain:
		drainSign(c, n.mark)
	case n.ring:
		stroke(c, dot(n.mark, 4), 2.6, white)
		stroke(c, dot(n.mark, 4), 1.2, black)
	default:
		c.SetColor(white)
		c.Fill(diamond(n.mark, 4.6))
		c.SetColor(black)
		c.Fill(diamond(n.mark, 3.2))
	}
	if n.text == "" {
		return
	}
	half := vg.Point{X: n.plate.w / 2, Y: n.plate.h / 2}
	c.SetColor(withAlpha(white, 225))
	c.Fill(vg.Rectangle{Min: n.plate.centre.Sub(half), Max: n.plate.centre.Add(half)}.Path())
	size, bold := n.style()
	write(c, lettering(size, bold, ink), n.plate.centre, 0.5, n.text)
}

const doubtRing = 6.2 // pt, clear of the ring round an extreme, which a doubtful shot often is

// extreme is a place of min or max depth and its text.
type extreme struct {
	v    surface.Vec
	text string
}

func (s *sheet) extremes() []extreme {
	f := &s.fill
	if s.unitWeight > 0 {
		return s.loadExtremes()
	}
	if s.plusMinus {
		return s.errorExtremes()
	}
	if s.Change {
		return nil // the places that moved have their change written
	}
	extremes := []extreme{{f.GreatestAt, "max " + s.Units.Depth(f.Greatest)}, {f.LeastAt, "min " + s.Units.Depth(f.Least)}}
	if s.Departure {
		extremes[0].text, extremes[1].text = "lowest: "+s.Words(f.Greatest), "highest: "+s.Words(f.Least)
	}
	if f.Greatest < 0 && !s.Departure {
		extremes[0].text = "min cut " + s.Units.Depth(-f.Greatest)
	}
	if f.Least < 0 && !s.Departure {
		extremes[1].text = "highest: cut " + s.Units.Depth(-f.Least)
	}
	if f.Greatest-f.Least < s.Units.Step()/2 && s.Departure {
		extremes = extremes[:1]
		extremes[0].text = "flat to " + s.Units.Depth(s.Units.Step())
	} else if f.Greatest-f.Least < s.Units.Step()/2 {
		extremes = extremes[:1]
		extremes[0].text = s.Units.Depth(f.Greatest) + " all over"
		if f.Greatest < 0 {
			extremes[0].text = "cut " + s.Units.Depth(-f.Greatest) + " all over"
		}
	}
	return extremes
}

// placeNames finds room for the lettering that is never left out: the extremes and the
// adjoining finished floor. It keeps off the numbered places, if there is room elsewhere.
func (s *sheet) placeNames(g, crowded *ground, plates []box) (names []name) {
	others := slices.Clone(plates)
	add := func(n name) {
		if n.text == "" {
			names = append(names, n)
			return
		}
		size, bold := n.style()
		n.plate = box{w: lettering(size, bold, black).Width(n.text) + 3, h: size + 1.5}
		r := vg.Length(4.5)
		if n.doubt || n.drain {
			r = doubtRing + 1
		}
		centre, room := s.roomForName(g, crowded, n, r, others)
		if !room && n.optional {
			n.text = ""
			names = append(names, n)
			return
		}
		n.plate.centre = centre
		g.mark(box{centre: centre, w: n.plate.w + 2*apart, h: n.plate.h + 2*apart}, taken)
		crowded.mark(n.plate, taken)
		others = append(others, n.plate)
		names = append(names, n)
	}
	at := func(v surface.Vec) vg.Point { return s.frame.at(v) }
	for _, e := range s.extremes() {
		add(name{mark: at(e.v), ring: true, text: e.text, strong: true, clearOf: at(e.v)})
	}
	lo, hi := s.Floor.Bounds()
	middle := at(lo).Add(at(hi)).Scale(0.5)
	for _, p := range s.finished {
		v := surface.Vec{X: p.X, Y: p.Y}
		off := p.Z - s.Target.Elevation(v)
		text := s.Units.Depth(math.Abs(off))
		switch {
		case s.Units.Depth(off) == s.Units.Depth(0):
		case off > 0:
			text = "+" + text
		default:
			text = "−" + text
		}
		if s.Doors {
			text = ""
		}
		add(name{mark: at(v), clearOf: middle, optional: s.Doors, text: strings.TrimSpace(p.Name() + " " + text)})
	}
	for _, p := range s.drains() {
		v := at(surface.Vec{X: p.X, Y: p.Y})
		add(name{mark: v, text: p.Name(), drain: true, clearOf: v})
	}
	for _, p := range s.Ringed {
		v := at(surface.Vec{X: p.X, Y: p.Y})
		add(name{mark: v, doubt: true, strong: true, text: p.Name(), clearOf: v})
	}
	return names
}

// roomForName finds room for the plate of n at a mark of radius r: off all numbered places,
// off those of other marks, off all but straightedges, farther away, over shots; without
// room, where it covers least.
func (s *sheet) roomForName(g, crowded *ground, n name, r vg.Length, others []box) (centre vg.Point, room bool) {
	near := []vg.Length{r, r + 4, r + 9, r + 15}
	far := slices.Concat(near, farther[1:])
	type try struct {
		g     *ground
		radii []vg.Length
	}
	tries := []try{{g, far}}
	if len(s.Spots) > 0 {
		other := func(m Spot) bool {
			off := s.frame.at(m.At).Sub(n.mark)
			return math.Hypot(float64(off.X), float64(off.Y)) > doubtRing
		}
		areas := s.spotGround(g, func(m Spot) bool { return len(m.Rings) > 0 })
		tries = []try{{s.spotGround(g, func(Spot) bool { return true }), near}, {s.spotGround(g, other), near}, {areas, near}, {areas, far}, {g, far}}
	}
	for _, t := range tries {
		if centre, ok := t.g.nearby(n.mark, t.radii, n.plate, n.clearOf, others); ok {
			return centre, true
		}
	}
	if n.optional {
		return n.mark, false
	}
	ringed := crowded.clone()
	for _, v := range s.Pins {
		ringed.mark(pinRing(s.frame.at(v)), taken)
	}
	b := n.plate
	if b.centre = n.mark; ringed.near(&b, n.mark, 45, func(q vg.Point) bool {
		b.centre = q
		end, led := b.leadEnd(n.mark)
		return !b.screened(q, n.mark, others) && !(led && g.alongWall(n.mark, end))
	}) {
		return b.centre, true
	}
	if centre, ok := g.coveringLeast(crowded, n.mark, near, n.plate, others); ok {
		return centre, true
	}
	if crowded.anywhere(&b, n.mark, others) {
		return b.centre, true
	}
	return g.over(n.mark, near, n.plate.w, n.plate.h), false
}

// spotGround returns g with some of the numbered places taken.
func (s *sheet) spotGround(g *ground, which func(Spot) bool) *ground {
	out := g.clone()
	for _, m := range s.Spots {
		if !which(m) {
			continue
		}
		outline := s.outline(m)
		for _, l := range outline {
			out.draw(l, taken)
		}
		if len(m.Rings) > 0 {
			for _, l := range hatch(outline, 0, 1) {
				out.draw(l[:], taken)
			}
		}
	}
	return out
}
