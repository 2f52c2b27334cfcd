package plot

import (
	"image/color"
	"math"
	"slices"

	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
)

// setOutSheet is a SetOutMap while it is drawn.
type setOutSheet struct {
	*sheet
	*SetOutMap
	setOutLettering
	barMarks []label
	fall     *arrow       // nil: the target is level, or there is no room
	falls    []arrow      // of a target that bends
	corner   vg.Point     // lower left corner of the page
	laid     *SetOutPlan  // nil: the lettering is placed when s is drawn
	window   vg.Rectangle // of laid
	hidden   map[int]bool // owners of labels that are not whole in the window
	apart    vg.Length    // gap of lettering to anything of another pin, in sizes: see [wellApart]
	ways     [2][]bar
	every    [2]int // one line of bars in this many is drawn
	laps     [][2]surface.Vec
	pairs    [len(pinSizes)][][2]label // name and height per pin, without places: see [setOutSheet.pairOf]
	marks    []pinMark                 // of all pins, from left to right
	benches  []survey.Point            // the benchmarks on the plan
	away     []survey.Point            // those farther off
}

// setOutLettering is what [setOutSheet.place] found room for, and counts of the rest.
type setOutLettering struct {
	labels    []label // of pins, the adjoining finished floor and drains
	leaders   []leader
	bays      []label
	dams      []label
	materials []materialSpot
	named     int      // pins with their name written
	heights   int      // pins with their height written
	titled    int      // bays with their name written
	textless  int      // bays without their text
	nameless  int      // dams without
	exit      vg.Point // of the sign of the way out
}

func newSetOutSheet(m *SetOutMap) *setOutSheet {
	d := &DepthMap{Floor: m.Floor, Target: m.Target, Units: m.Units, Finished: m.Finished, Drains: m.Drains, Channels: m.Channels, Ramps: m.Ramps, Levels: m.Levels, known: m.known}
	if m.Levels == nil {
		d.Contours = []surface.Contour{}
	}
	depths := newSheet(d, false)
	m.known = d.known
	s := &setOutSheet{sheet: depths, SetOutMap: m, every: [2]int{1, 1}}
	if len(m.Bars) > 0 {
		first := m.Bars[0][1].X - m.Bars[0][0].X
		rise := m.Bars[0][1].Y - m.Bars[0][0].Y
		for i, b := range m.Bars {
			x, y := b[1].X-b[0].X, b[1].Y-b[0].Y
			way := 0
			if math.Abs(first*x+rise*y) < math.Abs(first*y-rise*x) { // more than 45° from the first
				way = 1
			}
			mark := ""
			if len(m.BarMarks) > 0 {
				mark = m.BarMarks[i]
			}
			s.ways[way] = append(s.ways[way], bar{ends: b, mark: mark})
		}
	}
	s.sortBenches()
	for way := range s.ways {
		s.sortBars(s.ways[way])
	}
	return s
}

// reach returns the corners of the area that the axes must show, m, with space for the
// lettering outside the walls.
func (s *setOutSheet) reach() (lo, hi surface.Vec) {
	lo, hi = withLeft(s.Floor)
	take := func(_ string, v surface.Vec) {
		lo = surface.Vec{X: min(lo.X, v.X), Y: min(lo.Y, v.Y)}
		hi = surface.Vec{X: max(hi.X, v.X), Y: max(hi.Y, v.Y)}
	}
	s.places(take)
	for _, q := range slices.Concat(s.finished, s.benches) {
		take("", surface.Vec{X: q.X, Y: q.Y})
	}
	long, short := max(hi.X-lo.X, hi.Y-lo.Y), min(hi.X-lo.X, hi.Y-lo.Y)
	air := 0.06 * long
	if len(s.Pins) > 0 { // room for lettering of pins at walls at the end of lines
		air = max(air, 0.12*short)
	}
	if per := s.perMetre(); per > 0 {
		air = 24 / per
	}
	return surface.Vec{X: lo.X - air, Y: lo.Y - air}, surface.Vec{X: hi.X + air, Y: hi.Y + air}
}

// Plot draws everything between the axes.
func (s *setOutSheet) Plot(c draw.Canvas, p *gonum.Plot) {
	s.frame = planFrame(c, p, s.Units, s.from)
	var g *ground
	if s.laid != nil && s.laid.suits(c.Rectangle) {
		g = s.take(c.Min)
	} else {
		g = s.place(c.Rectangle)
	}
	s.finish(g)
	at := s.frame.at

	s.tintBays(c)
	s.tintMaterials(c)
	s.hatchFloor(c)
	s.drawOpenings(c)
	s.drawLevels(c, g)
	strokeRamp(c, s.frame.ringPath(s.Ramps...))
	s.drawBorders(c)
	s.drawBars(c)
	s.drawWayToExit(c)           // below lettering that it may have to cross
	for _, l := range s.labels { // below the walls, which stay visible
		l.plate(c, 200)
	}
	s.drawEdges(c)
	s.drawDams(c)
	s.drawWindows(c)
	for _, l := range s.bays {
		l.write(c, 0)
	}
	for _, l := range s.dams {
		if l.plated {
			l.plate(c, 255)
		}
		l.write(c, 0)
	}
	s.drawMaterials(c)
	for _, l := range s.leaders {
		l.draw(c)
	}
	for _, l := range s.labels {
		l.write(c, 0)
	}
	for i, q := range s.finished {
		if s.hidden[-i-1] {
			continue
		}
		mark := at(surface.Vec{X: q.X, Y: q.Y})
		c.SetColor(white)
		c.Fill(diamond(mark, 4.6))
		c.SetColor(black)
		c.Fill(diamond(mark, 3.2))
	}
	for i, q := range s.Pins {
		if !s.hidden[i+1] {
			q.draw(c, at(q.At))
		}
	}
	s.sheet.drawChannels(c)
	for _, q := range s.drains() {
		if b := drainBox(at(surface.Vec{X: q.X, Y: q.Y})); s.inWindow(b) {
			drainSign(c, b.centre)
		}
	}
	for _, q := range s.benches {
		if b := benchBox(at(surface.Vec{X: q.X, Y: q.Y})); s.inWindow(b) {
			benchSign(c, b.centre)
		}
	}
	if s.fall != nil {
		s.fall.draw(c)
	}
	for _, a := range s.falls {
		a.draw(c)
	}
	if s.Exit != nil && s.inWindow(exitBox(s.exit)) {
		exitSign(c, s.exit)
	}
}

// drawWayToExit draws the line from the sign of the way out to its place.
func (s *setOutSheet) drawWayToExit(c draw.Canvas) {
	if s.Exit == nil || !s.inWindow(exitBox(s.exit)) {
		return
	}
	at := s.frame.at(*s.Exit)
	if d := at.Sub(s.exit); math.Hypot(float64(d.X), float64(d.Y)) > exitBeside {
		var lead vg.Path
		lead.Move(s.exit)
		lead.Line(at)
		stroke(c, lead, 1, black)
	}
}

// letterAndExit finds room for the lettering of pins and doors beside the sign of the way out,
// which has its true place and moves only off a mark there, as a door's.
func (s *setOutSheet) letterAndExit(g *ground) {
	if s.Exit == nil {
		s.letter(g)
		return
	}
	b := exitBox(s.frame.at(*s.Exit))
	if s.exit = b.centre; g.untaken(b) {
		g.mark(b, taken)
		s.letter(g)
		return
	}
	start, before := g.clone(), *s
	s.letter(g)
	if s.placeExit(g) {
		return
	}
	// Lettering is in the way of the line to its place: the sign takes its place first.
	cells, after := g.cells, *s
	g.cells, *s = start.cells, before
	g.mark(b, taken)
	s.letter(g)
	if s.unplaced() > after.unplaced() {
		g.cells, *s = cells, after
	}
}

// untaken reports whether b is on the page and has no mark or lettering in it.
func (g *ground) untaken(b box) bool {
	return b.each(func(p vg.Point) bool {
		k := g.index(p)
		return k >= 0 && g.cells[k]&taken == 0
	})
}

// placeExit finds room for the sign of the way out. It reports whether the sign and the line
// to its place are clear of lettering.
func (s *setOutSheet) placeExit(g *ground) (clear bool) {
	at := s.frame.at(*s.Exit)
	mark := vg.Length(0) // pt, half of one at the place
	near := func(x, y float64) {
		if d := s.frame.at(surface.Vec{X: x, Y: y}).Sub(at); math.Hypot(float64(d.X), float64(d.Y)) < pinRadius {
			mark = startRadius + 1
		}
	}
	for _, p := range s.Pins {
		near(p.At.X, p.At.Y)
	}
	for _, p := range slices.Concat(s.finished, s.drains(), s.benches) {
		near(p.X, p.Y)
	}
	b := exitBox(at)
	for _, seen := range []func(vg.Point) bool{func(q vg.Point) bool { return g.sees(q, at, mark) }, nil} {
		for far := vg.Length(30); far < 500; far *= 2 {
			if g.near(&b, at, far, seen) {
				s.exit = b.centre
				return seen != nil
			}
		}
	}
	s.exit = b.centre
	return false
}

const exitBeside = 4 // pt: farther from its place, a line leads the sign of the way out to it

// sees reports whether the line from a sign to its place meets nothing but walls and the mark
// there.
func (g *ground) sees(sign, at vg.Point, mark vg.Length) bool {
	d := at.Sub(sign)
	far := vg.Length(math.Hypot(float64(d.X), float64(d.Y)))
	from, to := exitBox(at).w/2, far-mark
	return far <= exitBeside || from >= to || g.clear(sign.Add(d.Scale(from/far)), sign.Add(d.Scale(to/far)), true)
}

// exitBox is the area of the sign of the way out.
func exitBox(at vg.Point) box { return box{centre: at, w: 12, h: 12} }

func (s *setOutSheet) onPage(line []surface.Vec) []vg.Point {
	out := make([]vg.Point, len(line))
	for i, v := range line {
		out[i] = s.frame.at(v)
	}
	return out
}

// hatchFloor tints the floor where the fill is too thin, with hatching sparse enough to see
// bars through, and hatches it closely where there is no fill.
func (s *setOutSheet) hatchFloor(c draw.Canvas) {
	var path vg.Path
	var thin, cut [][][]vg.Point
	for k, r := range s.Floor.Regions {
		at := s.frame.vertices(r.TIN)
		if s.Thin > 0 {
			p := below(r.TIN, s.depths[k], at, s.Thin)
			path, thin = append(path, p...), append(thin, rings(p))
		}
		if s.fill.Least < 0 {
			cut = append(cut, rings(below(r.TIN, s.depths[k], at, 0)))
		}
	}
	if len(path) > 0 {
		c.SetColor(thinTint)
		c.Fill(path)
		stroke(c, path, 0.4, thinTint) // no ground shows beside the walls
	}
	strokeAll(c, hatchAreas(thin, 1, thinSpacing), 0.3, thinLine)
	strokeAll(c, hatchAreas(cut, -1, cutSpacing), 0.45, cutLine)
}

const (
	thinSpacing = 16  // pt between the lines of the hatching
	cutSpacing  = 4.5 // where nothing is poured
)

var (
	thinTint = rgb(0xfbe9d6)
	thinLine = rgb(0xc89a6c)
)

// drawLevels draws thin contour lines, with their depths where the pins leave room.
func (s *setOutSheet) drawLevels(c draw.Canvas, g *ground) {
	style := lettering(smallest, false, grey)
	for _, k := range s.contours {
		m := measure(s.frame.onPage(k))
		var path vg.Path
		from := vg.Length(0)
		gaps := g.gaps(m, style.Width(s.bare(k.Level))+1, smallest)
		for _, b := range gaps {
			m.addTo(&path, from, b.from)
			from = b.to
		}
		m.addTo(&path, from, m.length())
		stroke(c, path, 0.4, contourInk)
		for _, b := range gaps {
			b.label.plate(c, 190) // over hatching
			turned(c, style, b.label, s.bare(k.Level))
		}
	}
}

var (
	contourInk = rgb(0x8a8a8a)
	barInks    = [2]color.NRGBA{rgb(0x2f5f98), rgb(0x9a4a12)}
	barDashes  = [2][]vg.Length{nil, {6, 1.6}}
	damInk     = rgb(0x3a2a5e)
)

// draw draws the mark of a pin.
func (q SetOutPin) draw(c draw.Canvas, at vg.Point) {
	r := vg.Length(pinRadius)
	switch {
	case q.Kind == PinNothing:
		var x vg.Path
		x.Move(at.Add(vg.Point{X: -r, Y: -r}))
		x.Line(at.Add(vg.Point{X: r, Y: r}))
		x.Move(at.Add(vg.Point{X: -r, Y: r}))
		x.Line(at.Add(vg.Point{X: r, Y: -r}))
		stroke(c, x, 2.4, white)
		stroke(c, x, 1.2, alarm)
		return
	case q.Kind == PinStart:
		stroke(c, dot(at, startRadius-0.8), 2.8, white)
		stroke(c, dot(at, startRadius-0.8), 1.4, black)
	}
	shape := func(r vg.Length) vg.Path {
		if q.Wall {
			return vg.Rectangle{Min: at.Sub(vg.Point{X: r, Y: r}), Max: at.Add(vg.Point{X: r, Y: r})}.Path()
		}
		return dot(at, r)
	}
	c.SetColor(white)
	c.Fill(shape(r + 0.6))
	c.SetColor(black)
	if q.Wall {
		r -= 0.3 // a square looks larger than a disc
	}
	c.Fill(shape(r))
	if q.Doubt != "" { // hollow: seen on a black and white print too
		c.SetColor(white)
		c.Fill(shape(r - 0.8))
	}
}

// exitSign is an arrow through a gap.
func exitSign(c draw.Canvas, at vg.Point) {
	var p vg.Path
	p.Move(at.Add(vg.Point{X: -4.5, Y: -4.5}))
	p.Line(at.Add(vg.Point{X: 4.5, Y: -4.5}))
	p.Line(at.Add(vg.Point{Y: 4.5}))
	p.Close()
	stroke(c, p, 2.6, white)
	c.SetColor(white)
	c.Fill(p)
	stroke(c, p, 1.4, black)
}

const (
	damWidth    = 3.4
	pinRadius   = 2
	startRadius = 5
)
