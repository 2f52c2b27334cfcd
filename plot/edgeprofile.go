package plot

import (
	"fmt"
	"math"
	"strconv"

	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// EdgeProfile is the floor under a straightedge in its place, heights exaggerated.
type EdgeProfile struct {
	Title   string
	Summary string
	Note    string

	Line     []surface.Station // the floor under the edge and beyond its ends; Distance along it
	From, To float64           // m along the line: the ends of the edge
	A, B     float64           // m along the line: its two supports
	Low      float64           // m along the line: the largest gap between the supports
	Gap      float64           // m
	// Curvature of readings one step apart, m, the first at the second station of Line;
	// drawn as bars below, nil for none. Line must then be the readings of a run.
	Curvature []float64
	Units     unit.Style
}

func (m *EdgeProfile) header() header { return header{m.Title, m.Summary, m.Note} }

func (m *EdgeProfile) heading() string { return m.header().heading() }

// Height returns a height with room for the gap.
func (m *EdgeProfile) Height(width vg.Length) vg.Length {
	return m.header().height(width) + 0.36*width + axisRoom + m.legendHeight(width)
}

// legendHeight leaves room for any exaggeration factor.
func (m *EdgeProfile) legendHeight(page vg.Length) vg.Length {
	return wrappedHeight(m.entries("10,000"), page)
}

func (m *EdgeProfile) mostCurvature() (most float64) {
	for _, q := range m.Curvature {
		most = max(most, math.Abs(q))
	}
	return most
}

func (m *EdgeProfile) entries(times string) []entry {
	return []entry{
		{func(c draw.Canvas, at vg.Point) { c.SetColor(black); c.Fill(diamond(at, 3)) }, "where the straightedge rests"},
		{nil, curvatureText(m, m.mostCurvature())},
		{nil, fmt.Sprintf("Heights drawn %s times larger than lengths", times)},
	}
}

// Draw draws the profile onto c.
func (m *EdgeProfile) Draw(c draw.Canvas) error {
	if len(m.Line) < 2 {
		return ErrOffFloor
	}
	c = m.header().draw(c)
	s := newEdgeSheet(m)
	p := s.axes()
	legend := m.legendHeight(c.Size().X)
	area := draw.Crop(c, margin, -margin-6, legend, -4)
	data := p.DataCanvas(area).Size()
	p.X.Tick.Marker = ticks{nice((p.X.Max - p.X.Min) / max(data.X.Points(), 1) * 44)}
	p.Y.Tick.Marker = thinTicks((p.Y.Max-p.Y.Min)/max(data.Y.Points(), 1)*26, m.Units)
	p.Add(s)
	p.Draw(area)
	drawWrapped(draw.Crop(c, margin, -margin, 0, -(c.Size().Y-legend)), m.entries(timesText(p, data, s.size, s.small)))
	return nil
}

// edgeSheet is an EdgeProfile while it is drawn. Heights are from the underside of the edge,
// so that a sloped floor also fits.
type edgeSheet struct {
	*EdgeProfile
	size, small     float64 // m in the units of the axes, along the line and of height
	name, smallName string  // of these units
	first, last     float64 // m along the line
	atA, tilt       float64 // m, elevation of the underside at A, and its slope
	low, high       float64 // m, of the floor
	span            float64 // m, from low to high, at least 1 mm
	most            float64 // m, largest curvature; 0: no bars
	bars            float64 // m, height of zero curvature
}

func newEdgeSheet(m *EdgeProfile) *edgeSheet {
	s := &edgeSheet{EdgeProfile: m, small: 0.001, smallName: "mm", most: m.mostCurvature()}
	s.size, s.name = planUnit(m.Units)
	if m.Units.Imperial {
		s.small, s.smallName = 0.0254, "in"
	}
	s.first, s.last = m.Line[0].Distance, m.Line[len(m.Line)-1].Distance
	s.atA = m.height(m.A)
	if m.A != m.B {
		s.tilt = (m.height(m.B) - s.atA) / (m.B - m.A)
	}
	for _, q := range m.Line {
		s.low, s.high = min(s.low, s.above(q)), max(s.high, s.above(q))
	}
	s.span = max(s.high-s.low, 0.001)
	s.bars = s.low - 0.7*s.span
	return s
}

// above returns how far the floor is above the underside of the edge, m.
func (s *edgeSheet) above(q surface.Station) float64 {
	return q.Elevation - s.atA - s.tilt*(q.Distance-s.A)
}

// axes returns axes with room for the edge, and for the bars of curvature below the floor.
func (s *edgeSheet) axes() *gonum.Plot {
	p := newAxes()
	p.X.Min, p.X.Max = 0, (s.last-s.first)/s.size
	p.Y.Min, p.Y.Max = (s.low-0.35*s.span)/s.small, (s.high+0.45*s.span)/s.small
	if s.most > 0 {
		p.Y.Min = (s.low - 1.15*s.span) / s.small
	}
	p.X.Label.Text = "along the line, " + s.name
	p.Y.Label.Text = "below the edge (−), " + s.smallName
	return p
}

// Plot draws everything between the axes.
func (s *edgeSheet) Plot(c draw.Canvas, p *gonum.Plot) {
	toX, toY := p.Transforms(&c)
	at := func(d, z float64) vg.Point { return vg.Point{X: toX((d - s.first) / s.size), Y: toY(z / s.small)} }
	s.drawFloor(c, at)
	if s.most > 0 {
		s.drawCurvature(c, at)
	}
	s.drawEdge(c, at)
}

// drawFloor draws the floor and its body; at gives the place of a distance and a height.
func (s *edgeSheet) drawFloor(c draw.Canvas, at func(d, z float64) vg.Point) {
	var floor vg.Path
	body := []vg.Point{{X: at(s.first, 0).X, Y: c.Min.Y}}
	for i, q := range s.Line {
		pt := at(q.Distance, s.above(q))
		body = append(body, pt)
		if i == 0 {
			floor.Move(pt)
		} else {
			floor.Line(pt)
		}
	}
	body = append(body, vg.Point{X: at(s.last, 0).X, Y: c.Min.Y})
	c.FillPolygon(slabInk, body)
	stroke(c, floor, 1.2, black)
}

// drawCurvature draws a bar per reading, up in a trough and down on a crest.
func (s *edgeSheet) drawCurvature(c draw.Canvas, at func(d, z float64) vg.Point) {
	var zero vg.Path
	zero.Move(at(s.first, s.bars))
	zero.Line(at(s.last, s.bars))
	stroke(c, zero, 0.5, grey)
	wide := 0.35 * vg.Length(float64(at(s.last, 0).X-at(s.first, 0).X)/float64(len(s.Curvature)+1))
	for i, q := range s.Curvature {
		if i+1 >= len(s.Line) || math.IsNaN(q) {
			continue
		}
		x := at(s.Line[i+1].Distance, 0).X
		r := vg.Rectangle{Min: vg.Point{X: x - wide, Y: at(0, s.bars).Y}, Max: vg.Point{X: x + wide, Y: at(0, s.bars+0.35*s.span*q/s.most).Y}}
		c.SetColor(fillInks[3])
		if q < 0 {
			c.SetColor(cutInks[2])
		}
		c.Fill(r.Path())
	}
}

// drawEdge draws the straightedge, its two supports, and the gap with its size.
func (s *edgeSheet) drawEdge(c draw.Canvas, at func(d, z float64) vg.Point) {
	tall := vg.Length(5)
	bar := vg.Rectangle{Min: at(s.From, 0), Max: at(s.To, 0).Add(vg.Point{Y: tall})}
	c.SetColor(rgb(0xe5a163))
	c.Fill(bar.Path())
	stroke(c, bar.Path(), 0.7, black)
	for _, d := range []float64{s.A, s.B} {
		c.SetColor(black)
		c.Fill(diamond(at(d, 0), 3))
	}
	var drop vg.Path
	drop.Move(at(s.Low, 0))
	drop.Line(at(s.Low, -s.Gap))
	stroke(c, drop, 1.4, alarm)
	label := at(s.Low, 0).Add(vg.Point{Y: tall + 9})
	write(c, lettering(9, true, black), label, 0.5, fineDepth(s.Units, s.Gap))
}

// curvatureText gives the size of the longest bar.
func curvatureText(m *EdgeProfile, most float64) string {
	if most == 0 {
		return "Floor as measured, grey; the edge rests on two places and bridges the floor between"
	}
	size := strconv.FormatFloat(most*1e3, 'f', 1, 64) + " mm"
	if m.Units.Imperial {
		size = strconv.FormatFloat(most/0.0254, 'f', 3, 64) + " in"
	}
	return "Bars: curvature from reading to reading, up in a trough, down on a crest; the longest is " + size
}

// timesText gives the exaggeration of heights.
func timesText(p *gonum.Plot, data vg.Point, size, small float64) string {
	x := data.X.Points() / ((p.X.Max - p.X.Min) * size)
	y := data.Y.Points() / ((p.Y.Max - p.Y.Min) * small)
	return grouped(math.Round(y / x))
}

// height returns the floor at a distance along the line.
func (m *EdgeProfile) height(d float64) float64 {
	for i := 1; i < len(m.Line); i++ {
		if p, q := m.Line[i-1], m.Line[i]; d <= q.Distance || i == len(m.Line)-1 {
			if q.Distance == p.Distance {
				return q.Elevation
			}
			return p.Elevation + (d-p.Distance)/(q.Distance-p.Distance)*(q.Elevation-p.Elevation)
		}
	}
	return m.Line[0].Elevation
}
