package plot

import (
	"image/color"
	"math"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
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

// placeMarks finds room for the numbers of the places: beside each or, if others are there
// already, farther off with a line to the mark.
func (s *sheet) placeMarks(g *ground) []box {
	style := lettering(8, true, black)
	var out []box
	for _, m := range s.Spots {
		at := s.frame.at(m.At)
		b := box{centre: at, w: style.Width(m.Name) + 4, h: plateTall}
		for _, r := range []vg.Length{2, 5, 9, 14, 20, 28, 38, 50} {
			if centre, ok := g.beside(at, r, b.w, b.h, math.MaxInt-1, at); ok {
				b.centre = centre
				break
			}
		}
		out = append(out, b)
	}
	return out
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

// lead draws a line from a mark to lettering that is far enough away to be mistaken for
// another mark's.
func lead(c draw.Canvas, at vg.Point, b box, ink color.Color) {
	to := vg.Point{X: min(max(at.X, b.centre.X-b.w/2), b.centre.X+b.w/2), Y: min(max(at.Y, b.centre.Y-b.h/2), b.centre.Y+b.h/2)}
	const near = 8 // pt: closer, the mark is clear
	if math.Hypot(float64(to.X-at.X), float64(to.Y-at.Y)) > near {
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
// adjoining finished floor.
func (s *sheet) placeNames(g *ground) []name {
	lo, hi := s.Floor.Bounds()
	middle := s.frame.at(lo).Add(s.frame.at(hi)).Scale(0.5)
	var names []name
	add := func(n name) {
		if n.text == "" {
			names = append(names, n)
			return
		}
		size, bold := n.style()
		w, h := lettering(size, bold, black).Width(n.text)+3, size+1.5
		r := vg.Length(4.5)
		if n.doubt || n.drain {
			r = doubtRing + 1
		}
		radii := []vg.Length{r, r + 4, r + 9, r + 15}
		var centre vg.Point
		ok := false
		for _, r := range radii {
			if centre, ok = g.beside(n.mark, r, w, h, math.MaxInt-1, n.clearOf); ok {
				break
			}
		}
		if !ok {
			centre = g.over(n.mark, radii, w, h)
		}
		n.plate = box{centre: centre, w: w, h: h}
		g.mark(box{centre: centre, w: w + 2*apart, h: h + 2*apart}, taken)
		names = append(names, n)
	}
	extremes := s.extremes()
	at := func(v surface.Vec) vg.Point { return s.frame.at(v) }
	for _, e := range extremes {
		g.mark(box{centre: at(e.v), w: 9, h: 9}, taken)
	}
	for _, p := range s.finished {
		g.mark(box{centre: at(surface.Vec{X: p.X, Y: p.Y}), w: 8, h: 8}, taken)
	}
	for _, p := range s.drains() {
		g.mark(drainBox(at(surface.Vec{X: p.X, Y: p.Y})), taken)
	}
	for _, p := range s.Ringed {
		g.mark(box{centre: at(surface.Vec{X: p.X, Y: p.Y}), w: 2*doubtRing + 1, h: 2*doubtRing + 1}, taken)
	}
	for _, e := range extremes {
		add(name{mark: at(e.v), ring: true, text: e.text, strong: true, clearOf: at(e.v)})
	}
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
		add(name{mark: at(v), clearOf: middle, text: strings.TrimSpace(p.Name + " " + text)})
	}
	for _, p := range s.drains() {
		v := at(surface.Vec{X: p.X, Y: p.Y})
		add(name{mark: v, text: p.Name, drain: true, clearOf: v})
	}
	for _, p := range s.Ringed {
		v := at(surface.Vec{X: p.X, Y: p.Y})
		add(name{mark: v, doubt: true, strong: true, text: p.Name, clearOf: v})
	}
	return names
}
