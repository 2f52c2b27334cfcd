package plot

import (
	"cmp"
	"math"
	"strconv"
	"strings"

	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey/unit"
)

const foot = 0.3048

// planUnit returns the unit of the axes in metres, and its name.
func planUnit(u unit.Style) (size float64, name string) {
	return u.Places().Metres(), u.Places().String()
}

// nice returns the smallest of 1, 2, 5 × 10ⁿ that is at least v.
func nice(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{1, 2, 5, 10} {
		if k*p >= v*(1-1e-9) {
			return k * p
		}
	}
	return 10 * p
}

// ticks sets a mark at every multiple of step.
type ticks struct{ step float64 }

func (t ticks) Ticks(lo, hi float64) []gonum.Tick {
	var out []gonum.Tick
	digits := max(0, -int(math.Floor(math.Log10(t.step)+1e-9)))
	for k := math.Ceil(lo/t.step - 1e-9); k*t.step <= hi+1e-9*t.step; k++ {
		v := k * t.step
		label := strconv.FormatFloat(v+0, 'f', digits, 64) // +0: no "-0"
		out = append(out, gonum.Tick{Value: v, Label: label})
	}
	return out
}

// inchTicks sets a mark at every multiple of step inches, a power of two from 1/64 up, written
// as a rule is read.
type inchTicks struct{ step float64 }

func (t inchTicks) Ticks(lo, hi float64) []gonum.Tick {
	var out []gonum.Tick
	for k := math.Ceil(lo/t.step - 1e-9); k*t.step <= hi+1e-9*t.step; k++ {
		label := unit.Style{Imperial: true, Denominator: 64}.Depth(k * t.step * inch)
		out = append(out, gonum.Tick{Value: k * t.step, Label: strings.TrimSuffix(label, `"`)})
	}
	return out
}

const inch = 0.0254

// thinTicks are marks at least so far apart on an axis of mm, or of inches.
func thinTicks(least float64, u unit.Style) gonum.Ticker {
	if !u.Imperial {
		return ticks{nice(least)}
	}
	return inchTicks{math.Pow(2, max(math.Ceil(math.Log2(least)-1e-9), -6))}
}

// start returns the round number that coordinates from lo to hi are counted from: 0 unless
// they are too long to read.
func start(lo, hi float64) float64 {
	if max(math.Abs(lo), math.Abs(hi)) < 10_000 {
		return 0
	}
	round := max(1000, math.Pow(10, math.Ceil(math.Log10(hi-lo))))
	return math.Floor(lo/round) * round
}

// axisLabel names an axis, its unit and where it counts from.
func axisLabel(name, unitName string, from float64) string {
	if from == 0 {
		return name + ", " + unitName
	}
	return name + ", " + unitName + " from " + grouped(from)
}

// grouped writes a whole number with commas between its thousands.
func grouped(v float64) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', 0, 64)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	if v < 0 {
		return "−" + s
	}
	return s
}

// newAxes returns thin axes with lettering for a picture of this kind.
func newAxes() *gonum.Plot {
	p := gonum.New()
	p.BackgroundColor = nil
	for _, a := range []*gonum.Axis{&p.X, &p.Y} {
		a.LineStyle.Width = 0.5
		a.LineStyle.Color = grey
		a.Tick.LineStyle.Width = 0.5
		a.Tick.LineStyle.Color = grey
		a.Tick.Length = 3
		a.Padding = 0
		a.Label.TextStyle = lettering(8, false, grey)
		a.Label.TextStyle.XAlign, a.Label.TextStyle.YAlign = text.XCenter, text.YBottom
		a.Label.Padding = 1
		a.Tick.Label.Font = lettering(smallest, false, grey).Font
		a.Tick.Label.Color = grey
	}
	return p
}

// equalAspect widens one axis of p until a unit has the same length on both. The margins
// depend on the tick labels and the labels on the ranges, so it iterates a few times. Then
// it fixes the ticks, and with them the margins, which makes the last pass exact. With a
// fixed number of units per point it reports whether the content of p fits.
func equalAspect(p *gonum.Plot, c draw.Canvas, fixed float64) (fits bool) {
	x0, x1, y0, y1 := p.X.Min, p.X.Max, p.Y.Min, p.Y.Max
	var per float64 // units per point
	widen := func() {
		size := p.DataCanvas(c).Size()
		w, h := max(size.X.Points(), 1), max(size.Y.Points(), 1)
		per = max((x1-x0)/w, (y1-y0)/h)
		if fits = fixed == 0 || per <= fixed*(1+1e-6); fixed > 0 && fits {
			per = fixed
		}
		grow := func(lo, hi, to float64) (float64, float64) {
			mid := lo + (hi-lo)/2
			return mid - to/2, mid + to/2
		}
		p.X.Min, p.X.Max = grow(x0, x1, per*w)
		p.Y.Min, p.Y.Max = grow(y0, y1, per*h)
	}
	for range 4 {
		widen()
		p.X.Tick.Marker = ticks{nice(per * 48)}
		p.Y.Tick.Marker = p.X.Tick.Marker
	}
	for _, a := range []*gonum.Axis{&p.X, &p.Y} {
		// A label that sticks out at an end would come and go with the range.
		air := 11 * per
		if fixed > 0 {
			air = 16 * fixed
		}
		kept := a.Tick.Marker.Ticks(a.Min+air, a.Max-air)
		if len(kept) == 0 {
			kept = a.Tick.Marker.Ticks(a.Min, a.Max)
		}
		a.Tick.Marker = gonum.ConstantTicks(kept)
	}
	widen()
	return fits
}

// plan is the layout of a plan on the page.
type plan struct {
	units  unit.Style
	legend vg.Length // height reserved below
	x, y   string    // names of the axes
	scale  float64   // points per metre; 0: as large as fits
}

// drawPlan draws axes true to scale from lo to hi, above the legend, and plotter between
// them, which is given the start of the axes. It reports whether the page is large enough
// for the scale.
func drawPlan(c draw.Canvas, lo, hi surface.Vec, how plan, plotter interface {
	gonum.Plotter
	setFrom(surface.Vec)
}) (fits bool) {
	p := newAxes()
	size, name := planUnit(how.units)
	from := surface.Vec{X: start(lo.X/size, hi.X/size), Y: start(lo.Y/size, hi.Y/size)}
	plotter.setFrom(from)
	p.X.Min, p.X.Max = lo.X/size-from.X, hi.X/size-from.X
	p.Y.Min, p.Y.Max = lo.Y/size-from.Y, hi.Y/size-from.Y
	p.X.Label.Text = axisLabel(how.x, name, from.X)
	p.Y.Label.Text = axisLabel(how.y, name, from.Y)
	area := draw.Crop(c, margin, -margin-6, how.legend, -4)
	fixed := 0.0
	if how.scale > 0 {
		fixed = 1 / (how.scale * size)
	}
	x0, x1, y0, y1 := p.X.Min, p.X.Max, p.Y.Min, p.Y.Max
	if !equalAspect(p, area, fixed) {
		return false
	}
	// In a box far wider than the floor the axis would extend far past the floor.
	const far = 1.6
	if over := (p.X.Max - p.X.Min) / (x1 - x0); fixed == 0 && over > far {
		spare := p.DataCanvas(area).Size().X * vg.Length(1-far/over) / 2
		area = draw.Crop(area, spare, -spare, 0, 0)
		p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = x0, x1, y0, y1
		equalAspect(p, area, fixed)
	}
	p.Add(plotter)
	p.Draw(area)
	return true
}

// header is the text above a picture.
type header struct{ title, summary, note string }

const margin = 10 // pt

// lines returns the wrapped lines of h with their styles and line spacing.
func (h header) lines(width vg.Length) (styles []text.Style, lead []vg.Length, lines []string) {
	for _, part := range []struct {
		s    text.Style
		text string
	}{
		{lettering(15, true, black), h.title},
		{lettering(11, true, black), h.summary},
		{lettering(8.5, false, grey), h.note},
	} {
		for _, l := range wrap(part.s, part.text, width-2*margin) {
			styles = append(styles, part.s)
			lead = append(lead, 1.28*part.s.Font.Size)
			lines = append(lines, l)
		}
	}
	return styles, lead, lines
}

// height returns the height of h at a width.
func (h header) height(width vg.Length) vg.Length {
	_, lead, _ := h.lines(width)
	sum := vg.Length(margin)
	for _, l := range lead {
		sum += l
	}
	return sum
}

// below returns the part of r below h.
func (h header) below(r vg.Rectangle) vg.Rectangle {
	r.Max.Y -= h.height(r.Size().X)
	return r
}

// draw sets h at the top of c and returns the canvas below it.
func (h header) draw(c draw.Canvas) draw.Canvas {
	styles, lead, lines := h.lines(c.Size().X)
	y := c.Max.Y - margin
	for i, l := range lines {
		y -= lead[i] / 2
		write(c, styles[i], vg.Point{X: c.Min.X + margin, Y: y}, 0, l)
		y -= lead[i] / 2
	}
	c.Max.Y = y
	return c
}

// heading returns the title of a file.
func (h header) heading() string { return cmp.Or(h.title, "floor") }
