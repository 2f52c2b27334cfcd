package plot

import (
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
)

// affine maps the coordinates of a drawing to points from the lower left corner of the page:
// x' = a·x + c·y + e, y' = b·x + d·y + f.
type affine struct{ a, b, c, d, e, f float64 }

func (m affine) apply(x, y float64) (float64, float64) {
	return m.a*x + m.c*y + m.e, m.b*x + m.d*y + m.f
}

// then returns the map that applies n first, then m.
func (m affine) then(n affine) affine {
	e, f := m.apply(n.e, n.f)
	return affine{
		m.a*n.a + m.c*n.b, m.b*n.a + m.d*n.b,
		m.a*n.c + m.c*n.d, m.b*n.c + m.d*n.d,
		e, f,
	}
}

// pen is the state that a canvas saves and restores.
type pen struct {
	m     affine
	color color.NRGBA
	width float64
	dash  []vg.Length
	phase float64
}

// page is the common part of the vector canvases: they keep the state themselves and write
// final coordinates, so that a file has no nested groups.
type page struct {
	w, h vg.Length
	pen
	stack []pen
}

func newPage(w, h vg.Length) page {
	return page{w: w, h: h, pen: pen{m: affine{a: 1, d: 1}, color: color.NRGBA{A: 255}, width: 1}}
}

func (p *page) Size() (w, h vg.Length)   { return p.w, p.h }
func (p *page) SetLineWidth(w vg.Length) { p.width = w.Points() }
func (p *page) Translate(pt vg.Point) {
	p.m = p.m.then(affine{1, 0, 0, 1, pt.X.Points(), pt.Y.Points()})
}
func (p *page) Scale(x, y float64) { p.m = p.m.then(affine{x, 0, 0, y, 0, 0}) }
func (p *page) Push()              { p.stack = append(p.stack, p.pen) }
func (p *page) place(q vg.Point) [2]float64 {
	x, y := p.m.apply(q.X.Points(), q.Y.Points())
	return [2]float64{x, y}
}

func (p *page) SetLineDash(pattern []vg.Length, phase vg.Length) {
	p.dash, p.phase = pattern, phase.Points()
}

func (p *page) SetColor(c color.Color) {
	if c == nil {
		c = color.Black
	}
	p.color = color.NRGBAModel.Convert(c).(color.NRGBA)
}

func (p *page) Rotate(rad float64) {
	s, c := math.Sincos(rad)
	p.m = p.m.then(affine{c, s, -s, c, 0, 0})
}

func (p *page) Pop() {
	p.pen = p.stack[len(p.stack)-1]
	p.stack = p.stack[:len(p.stack)-1]
}

// pathWriter takes a path in final coordinates, points from the lower left corner.
type pathWriter interface {
	move(p [2]float64)
	line(p [2]float64)
	curve(c1, c2, p [2]float64)
	close()
}

// walk sends path to w.
func (p *page) walk(path vg.Path, w pathWriter) {
	var last vg.Point
	for i, c := range path {
		switch c.Type {
		case vg.MoveComp:
			w.move(p.place(c.Pos))
		case vg.LineComp:
			w.line(p.place(c.Pos))
		case vg.CurveComp:
			c1, c2 := c.Control[0], c.Control[len(c.Control)-1]
			if len(c.Control) == 1 { // a quadratic curve as a cubic
				c1 = last.Add(c1.Sub(last).Scale(2. / 3))
				c2 = c.Pos.Add(c2.Sub(c.Pos).Scale(2. / 3))
			}
			w.curve(p.place(c1), p.place(c2), p.place(c.Pos))
		case vg.ArcComp:
			last = p.arc(c, i == 0, w)
			continue
		case vg.CloseComp:
			w.close()
		default:
			panic(fmt.Sprintf("plot: path component of unknown type %d", c.Type))
		}
		last = c.Pos
	}
}

// arc writes an arc as cubic curves of at most a quarter turn each, which are within 0.03 %
// of the radius, and returns its end.
func (p *page) arc(c vg.PathComp, first bool, w pathWriter) vg.Point {
	on := func(angle float64) (at, along vg.Point) {
		s, cos := math.Sincos(angle)
		r := c.Radius
		return vg.Point{X: c.Pos.X + r*vg.Length(cos), Y: c.Pos.Y + r*vg.Length(s)},
			vg.Point{X: -r * vg.Length(s), Y: r * vg.Length(cos)}
	}
	from, tangent := on(c.Start)
	if first {
		w.move(p.place(from))
	} else {
		w.line(p.place(from))
	}
	n := math.Ceil(math.Abs(c.Angle) / (math.Pi / 2))
	step := c.Angle / n
	k := vg.Length(4. / 3 * math.Tan(step/4))
	for i := range int(n) {
		to, next := on(c.Start + float64(i+1)*step)
		w.curve(p.place(from.Add(tangent.Scale(k))), p.place(to.Sub(next.Scale(k))), p.place(to))
		from, tangent = to, next
	}
	return from
}
