package plot

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// RunMap shows where the runs of readings are, each with its results.
type RunMap struct {
	Title   string
	Summary string // the main numbers, one line in bold
	Note    string

	Outlines [][]surface.Vec // edges of the floor; nil if unknown
	Runs     []survey.Run    // those without a place are not drawn
	Text     []string        // per run
	Units    unit.Style
}

func (m *RunMap) header() header { return header{m.Title, m.Summary, m.Note} }

func (m *RunMap) heading() string { return m.header().heading() }

// reach returns the corners of the drawing, with some margin; false if there is nothing to
// draw.
func (m *RunMap) reach() (lo, hi surface.Vec, ok bool) {
	take := func(x, y float64) {
		if math.IsNaN(x + y) {
			return
		}
		if !ok {
			lo, hi, ok = surface.Vec{X: x, Y: y}, surface.Vec{X: x, Y: y}, true
		}
		lo = surface.Vec{X: min(lo.X, x), Y: min(lo.Y, y)}
		hi = surface.Vec{X: max(hi.X, x), Y: max(hi.Y, y)}
	}
	for _, ring := range m.Outlines {
		for _, p := range ring {
			take(p.X, p.Y)
		}
	}
	for _, r := range m.Runs {
		take(r.Start.X, r.Start.Y)
		take(r.End.X, r.End.Y)
	}
	air := max(0.06*max(hi.X-lo.X, hi.Y-lo.Y), 0.1)
	return surface.Vec{X: lo.X - air, Y: lo.Y - air}, surface.Vec{X: hi.X + air, Y: hi.Y + air}, ok
}

const runLegend = scaleTall + margin

// Height returns the height at which the floor has the full width.
func (m *RunMap) Height(width vg.Length) vg.Length {
	lo, hi, ok := m.reach()
	if !ok {
		return m.header().height(width) + width
	}
	shape := max((hi.Y-lo.Y)/(hi.X-lo.X), 0.35)
	return m.header().height(width) + (width-2*margin-axisRoom)*vg.Length(min(shape, 1.4)) + axisRoom + runLegend
}

// Draw draws the map onto c.
func (m *RunMap) Draw(c draw.Canvas) error {
	lo, hi, ok := m.reach()
	if !ok {
		return ErrNoFloor
	}
	c = m.header().draw(c)
	s := &runSheet{RunMap: m}
	drawPlan(c, lo, hi, plan{units: m.Units, legend: runLegend, x: "x (east)", y: "y (north)"}, s)
	legend := draw.Crop(c, margin, -margin, margin/2, -(c.Size().Y - runLegend))
	run := func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), 1.6, runInk) }
	drawBeside(legend, []entry{{run, "run of readings, one dot per reading; red line: from the F-numbers to their run"}, {nil, "Plan view, one scale on both axes"}})
	scaleBar(draw.Crop(legend, legend.Size().X-scaleRoom, 0, 0, 0), m.Units, s.frame.scale)
	return nil
}

// planFrame returns the frame of a plan with axes counted from a place.
func planFrame(c draw.Canvas, p *gonum.Plot, u unit.Style, from surface.Vec) frame {
	size, _ := planUnit(u)
	x, _ := p.Transforms(&c)
	return frame{
		base:   surface.Vec{X: (p.X.Min + from.X) * size, Y: (p.Y.Min + from.Y) * size},
		origin: c.Min,
		scale:  float64(x(p.X.Max)-x(p.X.Min)) / ((p.X.Max - p.X.Min) * size),
	}
}

// fineDepth writes a depth to finer steps than depths of fill, because tolerances are an
// eighth of an inch or 3 mm.
func fineDepth(u unit.Style, m float64) string {
	if u.Imperial {
		u.Denominator = 64
		return u.Depth(m)
	}
	return strconv.FormatFloat(m*1e3, 'f', 1, 64) + " mm"
}

var runInk = rgb(0x2f7398)

type runSheet struct {
	*RunMap
	from  surface.Vec
	frame frame // known once there are axes
}

func (s *runSheet) setFrom(v surface.Vec) { s.from = v }

// Plot draws everything between the axes.
func (s *runSheet) Plot(c draw.Canvas, p *gonum.Plot) {
	s.frame = planFrame(c, p, s.Units, s.from)
	g := newGround(c.Rectangle)
	s.drawOutlines(c, g)
	for _, r := range s.Runs {
		if r.Placed() {
			s.drawRun(c, g, r)
		}
	}
	drawRunNames(c, s.placeNames(g))
}

// drawOutlines draws the edges of the floor, and marks them on g.
func (s *runSheet) drawOutlines(c draw.Canvas, g *ground) {
	stroke(c, s.frame.ringPath(s.Outlines...), 1.2, black)
	for _, ring := range s.Outlines {
		var at []vg.Point
		for i := range len(ring) + 1 {
			at = append(at, s.frame.at(ring[i%len(ring)]))
		}
		g.draw(at, walled)
	}
}

// ends returns the ends of a run on the page.
func (s *runSheet) ends(r survey.Run) (vg.Point, vg.Point) {
	return s.frame.at(surface.Vec{X: r.Start.X, Y: r.Start.Y}), s.frame.at(surface.Vec{X: r.End.X, Y: r.End.Y})
}

// drawRun draws a run and its readings, and marks its line on g.
func (s *runSheet) drawRun(c draw.Canvas, g *ground, r survey.Run) {
	a, b := s.ends(r)
	g.draw([]vg.Point{a, b}, lined)
	var line, marks vg.Path
	line.Move(a)
	line.Line(b)
	stroke(c, line, 1.6, runInk)
	n := len(r.Stations)
	if n < 2 || float64(b.Sub(a).X)*float64(b.Sub(a).X)+float64(b.Sub(a).Y)*float64(b.Sub(a).Y) < float64(9*n*n) {
		return // readings closer than 3 pt would run together
	}
	for i := range n {
		at := a.Add(b.Sub(a).Scale(vg.Length(i) / vg.Length(n-1)))
		marks = append(marks, dot(at, 1.1)...)
	}
	c.SetColor(black)
	c.Fill(marks)
}

// runName is the name of a run and its results, with their place.
type runName struct {
	text       string
	at, centre vg.Point // the point on the run that a line leads to, and the middle of the text
	w          vg.Length
}

// placeNames finds room for the names of runs. A name without room is left out.
func (s *runSheet) placeNames(g *ground) (names []runName) {
	for i, r := range s.Runs {
		if !r.Placed() {
			continue
		}
		text := r.Name
		if i < len(s.Text) {
			text = strings.TrimSpace(text + "  " + s.Text[i])
		}
		name := runName{text: text, w: lettering(smallest, true, black).Width(text) + 3}
		a, b := s.ends(r)
		if name.place(g, a, b) {
			names = append(names, name)
		}
	}
	return names
}

// place finds room for n beside its run from a to b: at a few points along the run, clear of
// other runs if possible.
func (n *runName) place(g *ground, a, b vg.Point) bool {
	for _, most := range []int{0, 8, math.MaxInt - 1} {
		for _, share := range []vg.Length{0.08, 0.92, 0.25, 0.75, 0.4, 0.6} {
			at := a.Add(b.Sub(a).Scale(share))
			if free, _ := g.free(box{centre: at, w: 5, h: 5}); !free {
				continue // another name covers the place
			}
			if centre, ok := g.beside(at, 3, n.w, 8.5, most, at); ok {
				n.at, n.centre = at, centre
				g.mark(box{centre: at, w: 5, h: 5}, taken)
				return true
			}
		}
	}
	return false
}

// drawRunNames draws names, each with a line that leads to its run. All lines come first, so
// that none crosses a name.
func drawRunNames(c draw.Canvas, names []runName) {
	for _, n := range names {
		var lead vg.Path
		lead.Move(n.at)
		lead.Line(n.centre)
		stroke(c, lead, 0.7, alarm)
		c.SetColor(alarm)
		c.Fill(dot(n.at, 2))
	}
	for _, n := range names {
		half := vg.Point{X: n.w / 2, Y: 4.2}
		c.SetColor(withAlpha(white, 225))
		c.Fill(vg.Rectangle{Min: n.centre.Sub(half), Max: n.centre.Add(half)}.Path())
		write(c, lettering(smallest, true, black), n.centre, 0.5, n.text)
	}
}

// plotFunc is a function that draws between axes.
type plotFunc func(draw.Canvas, *gonum.Plot)

// Plot implements gonum's Plotter.
func (f plotFunc) Plot(c draw.Canvas, p *gonum.Plot) { f(c, p) }

// Histogram is the share of the floor per deviation from the plane.
type Histogram struct {
	Title   string
	Summary string
	Note    string

	From      float64   // m: lower limit of the first bin; above the plane is positive
	Step      float64   // m
	Shares    []float64 // of the area, bin by bin
	Tolerance float64   // m, drawn at plus and minus; 0: not drawn
	Depth     bool      // label it as depth of fill, not as departure
	Units     unit.Style
}

func (m *Histogram) header() header { return header{m.Title, m.Summary, m.Note} }

func (m *Histogram) heading() string { return m.header().heading() }

// Height returns a suitable height for a bar chart.
func (m *Histogram) Height(width vg.Length) vg.Length {
	return m.header().height(width) + 0.42*width + axisRoom + wrappedHeight(m.entries(), width)
}

func (m *Histogram) entries() []entry {
	within, beyond := "share of the area with that departure", "beyond the tolerance"
	switch {
	case m.Depth:
		within, beyond = "share of the area with that depth", "above the target"
	case m.Tolerance > 0:
		within = "within the tolerance"
	}
	var some [2]bool // bars of each colour
	for i, s := range m.Shares {
		if s > 0 && m.beyond(i) {
			some[1] = true
		} else if s > 0 {
			some[0] = true
		}
	}
	var entries []entry
	if some[0] {
		entries = append(entries, entry{swatchSign(0, 4, fillInks[2], nil), within})
	}
	if some[1] {
		entries = append(entries, entry{swatchSign(0, 4, cutInks[1], nil), beyond})
	}
	if _, cut := shareAxis(m.Shares); cut > 0 {
		entries[0].text += "; a bar with a figure is cut short"
	}
	if m.Tolerance > 0 {
		entries = append(entries, entry{func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), 1.3, alarm, 4, 2) }, "tolerance"})
	}
	return entries
}

// beyond reports whether a bin is of a departure beyond the tolerance, or of cut.
func (m *Histogram) beyond(i int) bool {
	mid := m.From + m.Step*(float64(i)+0.5)
	return m.Tolerance > 0 && math.Abs(mid) > m.Tolerance || m.Depth && mid < 0
}

// Draw draws the histogram onto c.
func (m *Histogram) Draw(c draw.Canvas) error {
	if len(m.Shares) == 0 {
		return ErrNoFloor
	}
	c = m.header().draw(c)
	small, name := 0.001, "mm"
	if m.Units.Imperial {
		small, name = 0.0254, "in"
	}
	p := newAxes()
	top, cut := shareAxis(m.Shares)
	last := m.From + m.Step*float64(len(m.Shares))
	p.X.Min, p.X.Max = min(m.From, -1.15*m.Tolerance)/small, max(last, 1.15*m.Tolerance)/small
	p.Y.Min, p.Y.Max = 0, 118*top
	if cut > 0 {
		p.Y.Max = (122 + 6*float64(cut)) * top // figures are above their bars
	}
	what := "departure from the plane, " + name + " (above: +)"
	if m.Depth {
		what = "depth of fill, " + name + " (above the target: −)"
	}
	p.X.Label.Text = what
	p.Y.Label.Text = "share of the area, %"
	legend := wrappedHeight(m.entries(), c.Size().X)
	area := draw.Crop(c, margin, -margin-6, legend, -4)
	data := p.DataCanvas(area).Size()
	p.X.Tick.Marker = thinTicks((p.X.Max-p.X.Min)/max(data.X.Points(), 1)*40, m.Units)
	p.Y.Tick.Marker = ticks{nice((p.Y.Max - p.Y.Min) / max(data.Y.Points(), 1) * 28)}
	p.Add(plotFunc(func(c draw.Canvas, p *gonum.Plot) {
		toX, toY := p.Transforms(&c)
		figure := lettering(8, true, black)
		right, rows := c.Min.X, 0
		for i, s := range m.Shares {
			a, b := m.From+m.Step*float64(i), m.From+m.Step*float64(i+1)
			bar := vg.Rectangle{Min: vg.Point{X: toX(a / small), Y: toY(0)}, Max: vg.Point{X: toX(b / small), Y: toY(100 * min(s, top))}}
			ink := fillInks[2]
			if m.beyond(i) {
				ink = cutInks[1]
			}
			c.SetColor(ink)
			c.Fill(bar.Path())
			stroke(c, bar.Path(), 0.5, black)
			if s <= top {
				continue
			}
			gap := bar.Min.Y + 0.8*(bar.Max.Y-bar.Min.Y)
			c.FillPolygon(white, []vg.Point{{X: bar.Min.X - 2, Y: gap - 4}, {X: bar.Max.X + 2, Y: gap}, {X: bar.Max.X + 2, Y: gap + 4}, {X: bar.Min.X - 2, Y: gap}})
			text := strconv.FormatFloat(100*s, 'f', 1, 64) + " %"
			at, half := (bar.Min.X+bar.Max.X)/2, figure.Width(text)/2
			if rows++; at-half > right {
				rows = 0
			}
			right = at + half + 2
			write(c, figure, vg.Point{X: at, Y: bar.Max.Y + 6 + 9*vg.Length(rows)}, 0.5, text)
		}
		if m.Tolerance > 0 {
			for _, t := range []float64{-m.Tolerance, m.Tolerance} {
				var line vg.Path
				line.Move(vg.Point{X: toX(t / small), Y: c.Min.Y})
				line.Line(vg.Point{X: toX(t / small), Y: c.Max.Y})
				stroke(c, line, 1.3, alarm, 4, 2)
				style, text := lettering(8, true, alarm), signed(m.Units, t)
				// Outside its line, where it meets no other, or inside for want of room there.
				at, align := vg.Point{X: toX(t/small) + 3, Y: c.Max.Y - 6}, 0.0
				if t < 0 && toX(t/small)-3-style.Width(text) > c.Min.X || t > 0 && at.X+style.Width(text) > c.Max.X {
					at.X, align = at.X-6, 1
				}
				write(c, style, at, align, text)
			}
		}
	}))
	p.Draw(area)
	drawWrapped(draw.Crop(c, margin, -margin, 0, -(c.Size().Y-legend)), m.entries())
	return nil
}

// shareAxis returns the share that the tallest bar is drawn to, and how many bars are cut:
// up to three, if they are over four times as tall as all others, which they would make too
// short to see.
func shareAxis(shares []float64) (top float64, cut int) {
	if len(shares) == 0 {
		return 0, 0
	}
	tall := slices.Clone(shares)
	slices.SortFunc(tall, func(a, b float64) int { return cmp.Compare(b, a) })
	top = tall[0]
	for k := 1; k < len(tall) && k <= 3; k++ {
		if tall[k] > 0 && tall[k-1] > 4*tall[k] {
			top, cut = 1.5*tall[k], k
		}
	}
	return top, cut
}

func signed(u unit.Style, m float64) string {
	if m < 0 {
		return "−" + fineDepth(u, -m)
	}
	return "+" + fineDepth(u, m)
}
