package plot

import (
	"errors"
	"fmt"
	"math"
	"strings"

	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// Profile is the floor along a straight line, with the target above it and the depth between
// them. Heights are exaggerated by a round factor, which the legend gives.
type Profile struct {
	Title   string
	Summary string // the main numbers, one line in bold
	Note    string

	Floor    *surface.Floor
	Target   surface.Target
	From, To surface.Vec
	Units    unit.Style
}

// ErrOffFloor means that the line of a profile does not cross the floor.
var ErrOffFloor = errors.New("the line of the profile does not cross the floor")

func (m *Profile) header() header { return header{m.Title, m.Summary, m.Note} }

func (m *Profile) heading() string { return m.header().heading() }

// Height returns a height with room for the depths.
func (m *Profile) Height(width vg.Length) vg.Length {
	return m.header().height(width) + 0.42*width + axisRoom + m.legendHeight(width)
}

// legendHeight leaves room for any exaggeration factor, and for the sign of a cut.
func (m *Profile) legendHeight(page vg.Length) vg.Length {
	return wrappedHeight((&section{Profile: m, cut: true}).entries("10,000"), page)
}

// Draw draws the profile onto c.
func (m *Profile) Draw(c draw.Canvas) error {
	if !drawable(m.Floor) {
		return ErrNoFloor
	}
	s := &section{Profile: m, runs: m.Floor.Profile(m.From, m.To)}
	if len(s.runs) == 0 {
		return ErrOffFloor
	}
	s.measure()
	c = m.header().draw(c)
	p := newAxes()
	size, name := planUnit(m.Units)
	p.X.Max = m.From.Distance(m.To) / size
	p.X.Label.Text = "along the line, " + name
	p.Y.Label.Text = "elevation, " + name
	legend := m.legendHeight(c.Size().X)
	area := draw.Crop(c, margin, -margin-6, legend, -4)
	s.exaggerate(p, area)
	p.Add(s)
	p.Draw(area)
	drawWrapped(draw.Crop(c, margin, -margin, 0, -(c.Size().Y-legend)), s.entries(fmt.Sprintf("%g", s.times)))
	return nil
}

// section is a profile while it is drawn.
type section struct {
	*Profile
	runs            [][]surface.Station
	low, high       float64         // m, of floor and target along the line
	least, greatest surface.Station // places of min and max depth
	times           float64         // exaggeration of heights
	cut             bool
}

func (s *section) depth(q surface.Station) float64 { return s.top(q) - q.Elevation }

// top is the elevation of the target at q, of the part that q is over.
func (s *section) top(q surface.Station) float64 { return s.Target.Within(q.Part).Elevation(q.At) }

func (s *section) measure() {
	s.low, s.high = math.Inf(1), math.Inf(-1)
	s.least, s.greatest = s.runs[0][0], s.runs[0][0]
	for _, run := range s.runs {
		for _, q := range run {
			t := s.top(q)
			s.low, s.high = min(s.low, q.Elevation, t), max(s.high, q.Elevation, t)
			if s.depth(q) < s.depth(s.least) {
				s.least = q
			}
			if s.depth(q) > s.depth(s.greatest) {
				s.greatest = q
			}
		}
	}
	s.cut = s.depth(s.least) < 0
}

// exaggerate sets the axes so that heights are drawn larger than lengths by the largest of
// 1, 2, 5, 10 … that leaves room for lettering.
func (s *section) exaggerate(p *gonum.Plot, c draw.Canvas) {
	size, _ := planUnit(s.Units)
	low, high := s.low/size, s.high/size
	span := max(high-low, 0.005/size) // a floor on target still gets a line with some space
	p.Y.Min, p.Y.Max = low-span, high+span
	for range 8 {
		data := p.DataCanvas(c).Size()
		w, h := max(data.X.Points(), 1), max(data.Y.Points(), 1)
		per := (p.X.Max - p.X.Min) / w // units of length per point
		most := 0.62 * h * per / span
		s.times = nice(most)
		for s.times > most*(1+1e-9) {
			s.times = nice(s.times / 2.5)
		}
		tall := h * per / s.times
		mid := (low + high) / 2
		p.Y.Min, p.Y.Max = mid-0.5*tall, mid+0.5*tall
		p.X.Tick.Marker = ticks{nice(per * 44)}
		p.Y.Tick.Marker = ticks{nice(per / s.times * 30)}
	}
}

// stationed returns run with the places added where floor and target meet.
func (s *section) stationed(run []surface.Station) []surface.Station {
	var out []surface.Station
	for i, q := range run {
		if i > 0 {
			p := run[i-1]
			if a, b := s.depth(p), s.depth(q); a < 0 != (b < 0) && a != 0 && b != 0 {
				out = append(out, between(p, q, a/(a-b)))
			}
		}
		out = append(out, q)
	}
	return out
}

// between returns the place at a share of the way from p to q.
func between(p, q surface.Station, share float64) surface.Station {
	return surface.Station{
		Distance:  p.Distance + share*(q.Distance-p.Distance),
		At:        surface.Vec{X: p.At.X + share*(q.At.X-p.At.X), Y: p.At.Y + share*(q.At.Y-p.At.Y)},
		Elevation: p.Elevation + share*(q.Elevation-p.Elevation),
		Part:      p.Part,
	}
}

// station returns the floor at a distance along the line.
func (s *section) station(d float64) (surface.Station, bool) {
	for _, run := range s.runs {
		for i := 1; i < len(run); i++ {
			if p, q := run[i-1], run[i]; d >= p.Distance && d <= q.Distance {
				return between(p, q, (d-p.Distance)/(q.Distance-p.Distance)), true
			}
		}
	}
	return surface.Station{}, false
}

// Plot draws everything between the axes.
func (s *section) Plot(c draw.Canvas, p *gonum.Plot) {
	size, _ := planUnit(s.Units)
	toX, toY := p.Transforms(&c)
	x := func(d float64) vg.Length { return toX(d / size) }
	y := func(z float64) vg.Length { return toY(z / size) }
	floorAt := func(q surface.Station) vg.Point { return vg.Point{X: x(q.Distance), Y: y(q.Elevation)} }
	targetAt := func(q surface.Station) vg.Point {
		return vg.Point{X: x(q.Distance), Y: y(s.top(q))}
	}
	g := newGround(c.Rectangle)

	for i, run := range s.runs {
		if i > 0 {
			last := s.runs[i-1][len(s.runs[i-1])-1]
			s.gap(c, x(last.Distance), x(run[0].Distance))
		}
		var slab, fill, cut, bottom []vg.Point
		for _, q := range s.stationed(run) {
			f, t := floorAt(q), targetAt(q)
			slab = append(slab, f)
			fill = append(fill, vg.Point{X: f.X, Y: min(f.Y, t.Y)})
			cut = append(cut, vg.Point{X: f.X, Y: max(f.Y, t.Y)})
			bottom = append(bottom, t)
		}
		for k := len(bottom) - 1; k >= 0; k-- {
			fill = append(fill, bottom[k])
			cut = append(cut, bottom[k])
		}
		body := append([]vg.Point{{X: slab[0].X, Y: c.Min.Y}}, slab...)
		body = append(body, vg.Point{X: slab[len(slab)-1].X, Y: c.Min.Y})
		c.FillPolygon(slabInk, body)
		c.FillPolygon(fillInk, fill)
		if s.cut {
			c.FillPolygon(cutInks[0], cut)
			strokeAll(c, hatch([][]vg.Point{cut}, 1, 4.5), 0.45, cutLine)
		}
	}
	for i, run := range s.runs {
		var floor, target vg.Path
		for k, q := range run {
			if k == 0 {
				if i > 0 && q.Distance-s.runs[i-1][len(s.runs[i-1])-1].Distance < 1e-6 {
					// a step: its face is part of the floor
					last := s.runs[i-1]
					floor.Move(floorAt(last[len(last)-1]))
					floor.Line(floorAt(q))
				} else {
					floor.Move(floorAt(q))
				}
				target.Move(targetAt(q))
				continue
			}
			floor.Line(floorAt(q))
			target.Line(targetAt(q))
		}
		stroke(c, floor, 1.5, black)
		stroke(c, target, 1.1, black, 5, 2.5)
	}
	for _, run := range s.runs {
		var floor, target []vg.Point
		for _, q := range run {
			floor, target = append(floor, floorAt(q)), append(target, targetAt(q))
		}
		g.draw(floor, lined)
		g.draw(target, lined)
	}
	for _, q := range []surface.Station{s.least, s.greatest} {
		g.mark(box{centre: floorAt(q), w: 8, h: 8}, taken)
	}
	s.depths(c, g, p, floorAt, targetAt)
	s.extremes(c, g, floorAt)
}

var (
	slabInk = rgb(0xe6e6e6)
	fillInk = rgb(0xb5d6cf)
)

// gap hatches a stretch without floor and labels it if it is wide enough.
func (s *section) gap(c draw.Canvas, from, to vg.Length) {
	if to-from < 0.5 {
		return
	}
	r := vg.Rectangle{Min: vg.Point{X: from, Y: c.Min.Y}, Max: vg.Point{X: to, Y: c.Max.Y}}
	strokeAll(c, hatch([][]vg.Point{corners(r)}, -1, 4), 0.4, voidLine)
	style := lettering(smallest, false, black)
	const text = "no floor"
	b := box{centre: vg.Point{X: (from + to) / 2, Y: c.Min.Y + style.Width(text)/2 + 4}, w: style.Width(text) + 4, h: 10, turn: math.Pi / 2}
	if to-from < b.h {
		return
	}
	c.SetColor(white)
	c.Fill(vg.Rectangle{Min: b.centre.Sub(vg.Point{X: b.h / 2, Y: b.w / 2}), Max: b.centre.Add(vg.Point{X: b.h / 2, Y: b.w / 2})}.Path())
	turned(c, style, b, text)
}

// depths writes the depth at each tick of the axis along the line.
func (s *section) depths(c draw.Canvas, g *ground, p *gonum.Plot, floorAt, targetAt func(surface.Station) vg.Point) {
	size, _ := planUnit(s.Units)
	style := lettering(8.5, true, black)
	for _, t := range p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max) {
		q, ok := s.station(t.Value * size)
		if !ok {
			continue
		}
		f, up := floorAt(q), targetAt(q)
		var line vg.Path
		line.Move(f)
		line.Line(up)
		stroke(c, line, 0.5, black)
		text := strings.TrimSuffix(strings.TrimSuffix(s.Units.Depth(s.depth(q)), " mm"), `"`)
		text = strings.Replace(text, "-", "−", 1)
		b := box{centre: vg.Point{X: f.X, Y: max(f.Y, up.Y) + 8}, w: style.Width(text) + 2, h: 8}
		b.centre.X = min(max(b.centre.X, c.Min.X+b.w/2+1), c.Max.X-b.w/2)
		if ok, _ := g.free(b); ok {
			g.mark(b, taken)
			write(c, style, b.centre, 0.5, text)
		}
	}
}

// extremes rings the places of max and min depth and labels them, clear of the line of the
// floor.
func (s *section) extremes(c draw.Canvas, g *ground, floorAt func(surface.Station) vg.Point) {
	style := lettering(8, true, black)
	names := []struct {
		q    surface.Station
		text string
	}{
		{s.greatest, "max " + s.Units.Depth(s.depth(s.greatest))},
		{s.least, "min " + s.Units.Depth(s.depth(s.least))},
	}
	if s.depth(s.greatest) < 0 {
		names[0].text = "min cut " + s.Units.Depth(-s.depth(s.greatest))
	}
	if s.cut {
		names[1].text = "highest: cut " + s.Units.Depth(-s.depth(s.least))
	}
	if s.depth(s.greatest)-s.depth(s.least) < s.Units.Step()/2 {
		names = names[:1]
		names[0].text = strings.Replace(names[0].text, "max ", "all along ", 1)
	}
	for _, n := range names {
		at := floorAt(n.q)
		stroke(c, dot(at, 3.4), 2.4, white)
		stroke(c, dot(at, 3.4), 1.1, black)
		w, h := style.Width(n.text)+3, vg.Length(10)
		up := vg.Point{X: at.X, Y: at.Y + 40} // there is room below the floor; the depths are above
		if s.depth(n.q) < 0 {
			up.Y = at.Y - 40
		}
		centre, ok := g.beside(at, 4.5, w, h, math.MaxInt-1, up)
		if !ok {
			continue
		}
		half := vg.Point{X: w / 2, Y: h / 2}
		c.SetColor(withAlpha(white, 225))
		c.Fill(vg.Rectangle{Min: centre.Sub(half), Max: centre.Add(half)}.Path())
		write(c, style, centre, 0.5, n.text)
	}
}

func (s *section) entries(times string) []entry {
	unitName := "mm"
	if s.Units.Imperial {
		unitName = "inches"
	}
	size, name := planUnit(s.Units)
	place := func(v surface.Vec) string {
		return strings.ReplaceAll(fmt.Sprintf("x %.2f, y %.2f", v.X/size, v.Y/size), "-", "−")
	}
	fill := entry{swatchSign(1, 4, fillInk, nil), "fill; depth in " + unitName + " above"}
	if s.cut {
		fill = entry{func(c draw.Canvas, at vg.Point) {
			swatchSign(1, 4, fillInk, nil)(c, at)
			half := at.Add(vg.Point{X: 4})
			r := vg.Rectangle{Min: half.Sub(vg.Point{X: 4, Y: 4}), Max: half.Add(vg.Point{X: 4, Y: 4})}
			c.SetColor(cutInks[0])
			c.Fill(r.Path())
			strokeAll(c, hatch([][]vg.Point{corners(r)}, 1, 3), 0.45, cutLine)
			stroke(c, r.Path(), 0.6, black)
		}, "fill; hatched: cut (−). Depth in " + unitName + " above"}
	}
	return []entry{
		{lineSign(1.1, 5, 2.5), "target"},
		{lineSign(1.5), "floor as surveyed"},
		fill,
		{nil, fmt.Sprintf("From %s to %s %s. Heights drawn %s times larger than lengths.", place(s.From), place(s.To), name, times)},
	}
}
