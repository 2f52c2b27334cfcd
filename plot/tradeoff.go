package plot

import (
	"errors"
	"math"

	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface/order"
	"pourplane/survey/unit"
)

// TradeOff is what is filled against what is ground off: the least fill for each volume ground.
type TradeOff struct {
	Title   string
	Summary string
	Note    string

	Points []Traded // by volume ground off, the most first
	Ratio  float64  // price of grinding to price of fill, for the line of equal cost; 0: none
	Priced bool     // these prices were given
	Units  unit.Style
}

// Traded is one plane of a [TradeOff].
type Traded struct {
	Fill, Cut float64 // m³
	Text      string  // beside it
	Here      bool    // the target
}

// ErrNoTrade means that there is nothing to draw a trade-off from.
var ErrNoTrade = errors.New("there is nothing to grind")

func (m *TradeOff) header() header { return header{m.Title, m.Summary, m.Note} }

func (m *TradeOff) heading() string { return m.header().heading() }

// Height returns a suitable height for a curve.
func (m *TradeOff) Height(width vg.Length) vg.Length {
	return m.header().height(width) + 0.5*width + axisRoom + wrappedHeight(m.entries(), width)
}

func (m *TradeOff) entries() []entry {
	out := []entry{
		{func(c draw.Canvas, at vg.Point) { c.SetColor(runInk); c.Fill(dot(at, 3)) }, "least fill for what is ground off, and how many times the fill the grinding costs there"},
		{func(c draw.Canvas, at vg.Point) { hereSign(c, at) }, "the target"},
	}
	if m.Ratio > 0 {
		text := "equal cost if both cost the same by volume"
		if m.Priced {
			text = "equal cost at the prices given"
		}
		out = append(out, entry{inkSign(1, grey, 4, 2), text})
	}
	return out
}

// hereSign marks the target on the curve.
func hereSign(c draw.Canvas, at vg.Point) {
	c.SetColor(white)
	c.Fill(dot(at, 5))
	stroke(c, dot(at, 5), 1.6, alarm)
	c.SetColor(alarm)
	c.Fill(dot(at, 2.4))
}

// volumes returns the unit of volumes, m³, and its name.
func (m *TradeOff) volumes() (size float64, name string) {
	if m.Units.Imperial {
		return order.CubicYard, "yd³"
	}
	return 1, "m³"
}

// Draw draws the curve onto c.
func (m *TradeOff) Draw(c draw.Canvas) error {
	if len(m.Points) < 2 {
		return ErrNoTrade
	}
	c = m.header().draw(c)
	size, name := m.volumes()
	p := newAxes()
	most, low, high := 0.0, math.Inf(1), 0.0
	for _, q := range m.Points {
		most, low, high = max(most, q.Cut/size), min(low, q.Fill/size), max(high, q.Fill/size)
	}
	if !(most > 0) {
		return ErrNoTrade
	}
	if least := 0.02 * high; high-low < least { // limits may leave the fill as it is
		low, high = low-least/2, high+least/2
	}
	p.X.Min, p.X.Max = -0.04*most, 1.1*most
	p.Y.Min, p.Y.Max = max(0, low-0.15*(high-low)), high+0.15*(high-low)
	p.X.Label.Text, p.Y.Label.Text = "ground off, "+name, "fill, "+name
	legend := wrappedHeight(m.entries(), c.Size().X)
	area := draw.Crop(c, margin, -margin-6, legend, -4)
	data := p.DataCanvas(area).Size()
	p.X.Tick.Marker = ticks{nice((p.X.Max - p.X.Min) / max(data.X.Points(), 1) * 44)}
	p.Y.Tick.Marker = ticks{nice((p.Y.Max - p.Y.Min) / max(data.Y.Points(), 1) * 28)}
	p.Add(plotFunc(func(c draw.Canvas, p *gonum.Plot) { m.curve(c, p, size) }))
	p.Draw(area)
	drawWrapped(draw.Crop(c, margin, -margin, 0, -(c.Size().Y-legend)), m.entries())
	return nil
}

// curve draws what is between the axes.
func (m *TradeOff) curve(c draw.Canvas, p *gonum.Plot, size float64) {
	toX, toY := p.Transforms(&c)
	at := func(q *Traded) vg.Point { return vg.Point{X: toX(q.Cut / size), Y: toY(q.Fill / size)} }
	g := newGround(c.Rectangle)
	var line vg.Path
	for i := range m.Points {
		q := &m.Points[i]
		if i == 0 {
			line.Move(at(q))
		} else {
			line.Line(at(q))
			g.draw([]vg.Point{at(&m.Points[i-1]), at(q)}, lined)
		}
		if q.Here && m.Ratio > 0 {
			m.equalCost(c, p, q, size)
		}
	}
	stroke(c, line, 1.6, runInk)
	here := -1
	for i := range m.Points {
		if m.Points[i].Here {
			here = i
			continue
		}
		c.SetColor(runInk)
		c.Fill(dot(at(&m.Points[i]), 3))
		g.mark(box{centre: at(&m.Points[i]), w: 6, h: 6}, taken)
	}
	if here >= 0 {
		hereSign(c, at(&m.Points[here]))
		g.mark(box{centre: at(&m.Points[here]), w: 11, h: 11}, taken)
		m.letter(c, g, at(&m.Points[here]), &m.Points[here])
	}
	for i := range m.Points {
		if i != here {
			m.letter(c, g, at(&m.Points[i]), &m.Points[i])
		}
	}
}

// equalCost draws the line of the cost of q through it, as far as it is between the axes.
func (m *TradeOff) equalCost(c draw.Canvas, p *gonum.Plot, q *Traded, size float64) {
	toX, toY := p.Transforms(&c)
	x, y := q.Cut/size, q.Fill/size
	from, to := max(p.X.Min, x-(p.Y.Max-y)/m.Ratio), min(p.X.Max, x+(y-p.Y.Min)/m.Ratio)
	var line vg.Path
	line.Move(vg.Point{X: toX(from), Y: toY(y + (x-from)*m.Ratio)})
	line.Line(vg.Point{X: toX(to), Y: toY(y + (x-to)*m.Ratio)})
	stroke(c, line, 1, grey, 4, 2)
}

// letter writes the text of a point beside it where there is room: above the curve rather than below
// it. A point without room keeps its dot.
func (m *TradeOff) letter(c draw.Canvas, g *ground, at vg.Point, q *Traded) {
	style := lettering(8, q.Here, black)
	w := style.Width(q.Text) + 2
	for _, off := range []vg.Point{{X: w/2 + 7, Y: 6}, {X: w/2 + 9, Y: 0}, {X: 0, Y: 12}, {X: -w/2 - 7, Y: -6}, {X: 0, Y: -12}, {X: w/2 + 7, Y: -6}} {
		b := box{centre: vg.Point{X: at.X + off.X, Y: at.Y + off.Y}, w: w, h: 9}
		if ok, lines := g.free(b); ok && lines == 0 {
			g.mark(b, taken)
			write(c, style, b.centre, 0.5, q.Text)
			return
		}
	}
}
