package plot

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strconv"

	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// SetOutMap is what is marked and laid on a floor before the pour, in plan: grade pins
// with the heights of their marks, bars and chairs, the dams that part the bays.
// Places are on the grid of the survey, m.
type SetOutMap struct {
	Title   string
	Summary string // the main numbers, one line in bold
	Note    string

	Floor    *surface.Floor
	Target   surface.Plane
	Levels   []float64 // depths of thin contour lines in the background, m; nil: none
	Thin     float64   // m: the floor is hatched where the fill is thinner; 0: nowhere
	Finished []survey.Point
	Drains   []survey.Point // where water leaves the floor
	Units    unit.Style

	Pins     []SetOutPin
	Bars     [][2]surface.Vec // drawn in two inks, for two directions; lapped where two of a line lie side by side
	BarMarks []string         // of each bar; written once to a run of neighbours that have the same
	Sheets   [][]surface.Vec  // of mesh, corner by corner
	Chairs   []surface.Vec
	Dams     [][]surface.Vec // lines
	DamNames []string        // of each dam
	Bays     []Bay
	Exit     *surface.Vec // the way out of the pour
	Windows  []PlanWindow // what each sheet of a larger plan shows, as frames
	// Bare leaves out header and legend: a plan of which sheets show a part each.
	Bare bool
	// Window is what a sheet shows of the plan, points from the lower left corner of a page
	// of [SetOutMap.PlanSize]: a pin, a mark or a name that is not whole in it is left out,
	// because a number cut by an edge reads as another. The zero value shows all.
	Window vg.Rectangle

	// HeightsFirst finds room for heights before names where both have none; else the names,
	// by which the rows of a list are found, come first.
	HeightsFirst bool

	// Scale draws the plan at 1:Scale on a page of [SetOutMap.PlanSize]; 0: as large as
	// the page allows.
	Scale float64
}

// SetOutPin is a pin on a SetOutMap.
type SetOutPin struct {
	At   surface.Vec
	Name string
	Text string // height of the mark, without the unit, which the legend states
	Wall bool   // at a wall, not of the grid
	Kind PinKind
}

// PlanWindow is the part of a plan that a sheet shows.
type PlanWindow struct {
	Name   string
	Lo, Hi surface.Vec
}

// PinKind says what a pin is for.
type PinKind uint8

const (
	PinFill    PinKind = iota
	PinNothing         // nothing is poured here
	PinStart           // where the work starts
)

// Bay is a part of the floor that is poured at one go.
type Bay struct {
	Name, Text string          // Text: such as its volume
	At         surface.Vec     // where both are written, room permitting
	Rings      [][]surface.Vec // tinted; nil: not known
}

func (m *SetOutMap) header() header {
	if m.Bare {
		return header{}
	}
	return header{m.Title, m.Summary, m.Note}
}

func (m *SetOutMap) heading() string { return header{title: m.Title}.heading() }

// check refuses what has no place, by name.
func (m *SetOutMap) check() error {
	if !drawable(m.Floor) {
		return ErrNoFloor
	}
	if !(m.Scale >= 0) || math.IsInf(m.Scale, 0) {
		return &survey.Error{Element: "scale", Found: "1:" + strconv.FormatFloat(m.Scale, 'g', -1, 64), Want: "1 to a number above 0"}
	}
	if !(m.Thin >= 0) || math.IsInf(m.Thin, 0) {
		return &survey.Error{Element: "least depth", Found: strconv.FormatFloat(m.Thin, 'g', -1, 64) + " m", Want: "a depth of 0 or more"}
	}
	if n := len(m.BarMarks); n > 0 && n != len(m.Bars) {
		return &survey.Error{Element: "marks of bars", Found: count(n, "mark", "marks"), Want: "as many as bars, " + strconv.Itoa(len(m.Bars))}
	}
	if n := len(m.DamNames); n > 0 && n != len(m.Dams) {
		return &survey.Error{Element: "names of dams", Found: count(n, "name", "names"), Want: "as many as dams, " + strconv.Itoa(len(m.Dams))}
	}
	var err error
	m.places(func(what string, v surface.Vec) {
		if err == nil && !(math.Abs(v.X)+math.Abs(v.Y) < math.MaxFloat64) {
			err = &survey.Error{Element: what, Found: fmt.Sprintf("x %g, y %g", v.X, v.Y), Want: "a place on the grid of the survey"}
		}
	})
	return err
}

// places visits all that is drawn besides the floor.
func (m *SetOutMap) places(visit func(what string, v surface.Vec)) {
	for _, p := range m.Pins {
		visit("pin "+strconv.Quote(p.Name), p.At)
	}
	for i, b := range m.Bars {
		what := fmt.Sprintf("bar %d", i+1)
		visit(what, b[0])
		visit(what, b[1])
	}
	for i, sheet := range m.Sheets {
		for _, v := range sheet {
			visit(fmt.Sprintf("sheet %d", i+1), v)
		}
	}
	for i, v := range m.Chairs {
		visit(fmt.Sprintf("chair %d", i+1), v)
	}
	for i, d := range m.Dams {
		for _, v := range d {
			visit(fmt.Sprintf("dam %d", i+1), v)
		}
	}
	for _, b := range m.Bays {
		visit("bay "+strconv.Quote(b.Name), b.At)
		for _, r := range b.Rings {
			for _, v := range r {
				visit("bay "+strconv.Quote(b.Name), v)
			}
		}
	}
	if m.Exit != nil {
		visit("the way out", *m.Exit)
	}
}

// Draw draws the map onto c. It refuses a page too small for the scale.
func (m *SetOutMap) Draw(c draw.Canvas) error {
	if err := m.check(); err != nil {
		return err
	}
	s := newSetOutSheet(m)
	s.corner = c.Min
	page := c.Size()
	c = m.header().draw(c)
	finish := s.legendHeight(page.X)
	lo, hi := s.reach()
	if !drawPlan(c, lo, hi, plan{units: m.Units, legend: finish, x: "x", y: "y", scale: m.perMetre()}, s) {
		w, h := m.PlanSize()
		return &survey.Error{
			Element: "drawing at 1:" + strconv.FormatFloat(m.Scale, 'g', -1, 64),
			Found:   fmt.Sprintf("a page of %.0f by %.0f mm", mm(page.X), mm(page.Y)),
			Want:    fmt.Sprintf("%.0f by %.0f mm", math.Ceil(mm(w)), math.Ceil(mm(h))),
			Hint:    "a larger page or a smaller scale",
		}
	}
	if !m.Bare {
		s.legend(draw.Crop(c, margin, -margin, margin/2, -(c.Size().Y - finish)))
	}
	return nil
}

// Unwritten returns how many names and heights of the pins that are shown find no room on
// the plan at its Scale.
func (m *SetOutMap) Unwritten() (names, heights int, err error) {
	s, _, err := m.laidOut()
	if err != nil {
		return 0, 0, err
	}
	return len(m.Pins) - s.named, len(m.Pins) - s.told, nil
}

// PinBoxes returns the room that each pin takes with its lettering on a page of
// [SetOutMap.PlanSize] at its Scale, points from the lower left corner.
func (m *SetOutMap) PinBoxes() ([]vg.Rectangle, error) {
	s, _, err := m.laidOut()
	if err != nil {
		return nil, err
	}
	return s.pinBoxes(), nil
}

// Arrowless reports whether the target falls and the arrow that points there has no room
// on the plan at its Scale, or in its Window.
func (m *SetOutMap) Arrowless() (bool, error) {
	s, _, err := m.laidOut()
	return err == nil && s.fall == nil && s.slope() > 0, err
}

// Inside returns the part of a page of [SetOutMap.PlanSize] that the floor takes at its
// Scale, with the air about it and without the axes, points from the lower left corner.
func (m *SetOutMap) Inside() (vg.Rectangle, error) {
	s, page, err := m.laidOut()
	if err != nil {
		return vg.Rectangle{}, err
	}
	lo, hi := s.reach()
	return vg.Rectangle{Min: s.frame.at(lo).Sub(page.Min), Max: s.frame.at(hi).Sub(page.Min)}, nil
}

// Frame returns how the plan lies on a page of [SetOutMap.PlanSize] at its Scale.
func (m *SetOutMap) Frame() (Frame, error) {
	s, page, err := m.laidOut()
	if err != nil {
		return Frame{}, err
	}
	return s.frame.on(page), nil
}

// laidOut draws the plan at its Scale for what comes of it, and returns the page.
func (m *SetOutMap) laidOut() (*setOutSheet, draw.Canvas, error) {
	w, h := m.PlanSize()
	page := draw.New(newSVG(w, h, ""))
	if err := m.check(); err != nil {
		return nil, page, err
	}
	s := newSetOutSheet(m)
	lo, hi := s.reach()
	drawPlan(m.header().draw(page), lo, hi, plan{units: m.Units, legend: s.legendHeight(w), x: "x", y: "y", scale: m.perMetre()}, s)
	return s, page, nil
}

func mm(l vg.Length) float64 { return l.Points() / 72 * 25.4 }

// perMetre returns the points to the metre that Scale asks for, 0 for none.
func (m *SetOutMap) perMetre() float64 {
	if m.Scale == 0 {
		return 0
	}
	return 72 / 0.0254 / m.Scale
}

const (
	axisMost  = 46  // pt that an axis takes beside the map at most
	leastWide = 400 // pt for the legend beside the scale bar
)

// Height returns the height that the scale takes, or that gives the floor the whole
// width.
func (m *SetOutMap) Height(width vg.Length) vg.Length {
	head := m.header().height(width)
	if m.check() != nil {
		return head + width
	}
	s := newSetOutSheet(m)
	lo, hi := s.reach()
	if per := m.perMetre(); per > 0 {
		return head + s.legendHeight(width) + vg.Length((hi.Y-lo.Y)*per) + axisMost
	}
	shape := max((hi.Y-lo.Y)/(hi.X-lo.X), 0.35)
	return head + (width-2*margin-axisRoom)*vg.Length(min(shape, 1.4)) + axisRoom + s.legendHeight(width)
}

// PlanSize returns the width and height of the drawing at its Scale, margins, header
// and legend included; without a Scale, those it has when nothing is asked for.
func (m *SetOutMap) PlanSize() (width, height vg.Length) {
	width = DefaultWidth
	if per := m.perMetre(); per > 0 && m.check() == nil {
		lo, hi := newSetOutSheet(m).reach()
		width = max(vg.Length((hi.X-lo.X)*per)+2*margin+axisMost, leastWide)
	}
	return width, m.Height(width)
}

// setOutSheet is a SetOutMap while it is drawn.
type setOutSheet struct {
	*sheet
	*SetOutMap
	labels   []label // of pins and the adjoining finished floor
	leaders  []leader
	bays     []label
	dams     []label
	barMarks []label
	named    int          // pins with their name written
	told     int          // pins with their height written
	titled   int          // bays with their name written
	untold   int          // bays without their text
	nameless int          // dams without
	fall     *arrow       // nil: the target is level, or no room
	exit     vg.Point     // where the sign of the way out stands
	corner   vg.Point     // lower left one of the page
	hidden   map[int]bool // owners of labels that are not whole in the window
	unnamed  int          // finished floors without
	ways     [2][]bar
	every    [2]int // of so many lines of bars one is drawn
	laps     [][2]surface.Vec
}

// label is lettering with its place on the page.
type label struct {
	box
	size   vg.Length
	bold   bool
	text   string
	ink    color.Color // nil: black
	plated bool        // on a ground of its own
	of     int         // what it belongs to: 1 for the first pin, -1 for the first mark of the finished floor; 0: only itself
}

func (l label) write(c draw.Canvas, opacity uint8) {
	if opacity > 0 {
		l.plate(c, opacity)
	}
	var ink color.Color = black
	if l.ink != nil {
		ink = l.ink
	}
	turned(c, lettering(l.size, l.bold, ink), l.box, l.text)
}

// bounds returns the upright rectangle about b.
func (b box) bounds() vg.Rectangle {
	sin, cos := math.Sincos(b.turn)
	sin, cos = math.Abs(sin), math.Abs(cos)
	half := vg.Point{X: (b.w*vg.Length(cos) + b.h*vg.Length(sin)) / 2, Y: (b.w*vg.Length(sin) + b.h*vg.Length(cos)) / 2}
	return vg.Rectangle{Min: b.centre.Sub(half), Max: b.centre.Add(half)}
}

// Holds reports whether a holds the whole of b.
func Holds(a, b vg.Rectangle) bool {
	const slack = 1e-6 // pt, of places that are sums
	return b.Min.X >= a.Min.X-slack && b.Min.Y >= a.Min.Y-slack && b.Max.X <= a.Max.X+slack && b.Max.Y <= a.Max.Y+slack
}

// plate whitens the ground under b.
func (b box) plate(c draw.Canvas, opacity uint8) {
	half := vg.Point{X: b.w / 2, Y: b.h / 2}
	c.Push()
	c.Translate(b.centre)
	c.Rotate(b.turn)
	c.SetColor(withAlpha(white, opacity))
	c.Fill(vg.Rectangle{Min: half.Scale(-1), Max: half}.Path())
	c.Pop()
}

func newSetOutSheet(m *SetOutMap) *setOutSheet {
	d := &DepthMap{Floor: m.Floor, Target: m.Target, Units: m.Units, Finished: m.Finished, Drains: m.Drains, Levels: m.Levels}
	if m.Levels == nil {
		d.Contours = []surface.Contour{}
	}
	s := &setOutSheet{sheet: newSheet(d, false), SetOutMap: m, every: [2]int{1, 1}}
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
	for way := range s.ways {
		s.sortBars(s.ways[way])
	}
	return s
}

// reach returns the corners of what the axes must show, m, with air for the lettering
// outside the walls.
func (s *setOutSheet) reach() (lo, hi surface.Vec) {
	lo, hi = s.Floor.Bounds()
	take := func(_ string, v surface.Vec) {
		lo = surface.Vec{X: min(lo.X, v.X), Y: min(lo.Y, v.Y)}
		hi = surface.Vec{X: max(hi.X, v.X), Y: max(hi.Y, v.Y)}
	}
	s.places(take)
	for _, q := range s.finished {
		take("", surface.Vec{X: q.X, Y: q.Y})
	}
	air := 0.06 * max(hi.X-lo.X, hi.Y-lo.Y)
	if per := s.perMetre(); per > 0 {
		air = 24 / per
	}
	return surface.Vec{X: lo.X - air, Y: lo.Y - air}, surface.Vec{X: hi.X + air, Y: hi.Y + air}
}

// Plot draws what lies between the axes.
func (s *setOutSheet) Plot(c draw.Canvas, p *gonum.Plot) {
	s.frame = planFrame(c, p, s.Units, s.from)
	at := s.frame.at
	g := newGround(c.Rectangle)
	s.drawWalls(g, walled)
	for _, o := range s.openings() {
		for _, l := range hatch([][]vg.Point{o}, 1, 1) {
			g.draw(l[:], taken)
		}
	}
	for _, d := range s.Dams {
		g.draw(s.onPage(d), lined)
	}
	for _, q := range s.Pins {
		g.mark(box{centre: at(q.At), w: 2 * pinRadius, h: 2 * pinRadius}, taken)
		if q.Kind == PinStart {
			g.mark(box{centre: at(q.At), w: 2 * startRadius, h: 2 * startRadius}, taken)
		}
	}
	for _, q := range s.finished {
		g.mark(box{centre: at(surface.Vec{X: q.X, Y: q.Y}), w: 8, h: 8}, taken)
	}
	for _, q := range s.drains() {
		g.mark(drainBox(at(surface.Vec{X: q.X, Y: q.Y})), taken)
	}
	s.thinOut()
	s.placeBays(g)
	s.placeDams(g)
	s.placeFinished(g)
	s.placePins(g)
	s.placeExit(g)
	s.fall = s.placeFall(g, false, s.shown())
	s.placeBarMarks(g)
	s.leaveOutCut()

	s.tintBays(c)
	s.hatchFloor(c)
	s.drawOpenings(c)
	s.drawLevels(c, g)
	s.drawBars(c)
	for _, l := range s.labels { // beneath the walls, which stay whole
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
	for _, l := range s.leaders {
		l.draw(c)
	}
	for _, l := range s.labels {
		l.write(c, 0)
	}
	for i, q := range s.Pins {
		if !s.hidden[i+1] {
			q.draw(c, at(q.At))
		}
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
	for _, q := range s.drains() {
		if b := drainBox(at(surface.Vec{X: q.X, Y: q.Y})); s.inWindow(b) {
			drainSign(c, b.centre)
		}
	}
	if s.fall != nil {
		s.fall.draw(c)
	}
	if s.Exit != nil && s.inWindow(exitBox(s.exit)) {
		const beside = 4 // pt: farther off, a line leads to the place
		if d := at(*s.Exit).Sub(s.exit); math.Hypot(float64(d.X), float64(d.Y)) > beside {
			var lead vg.Path
			lead.Move(s.exit)
			lead.Line(at(*s.Exit))
			stroke(c, lead, 1, black)
		}
		exitSign(c, s.exit)
	}
}

// boxOf returns the room that the mark of pin i takes.
func (s *setOutSheet) boxOf(i int) box {
	r := 2 * s.radius(i)
	return box{centre: s.frame.at(s.Pins[i].At), w: r, h: r}
}

// pinBoxes returns the room of each pin with its lettering, from the corner of the page.
func (s *setOutSheet) pinBoxes() []vg.Rectangle {
	out := make([]vg.Rectangle, len(s.Pins))
	for i := range out {
		out[i] = s.boxOf(i).bounds()
	}
	for _, l := range s.labels {
		if l.of > 0 {
			r, b := &out[l.of-1], l.bounds()
			r.Min = vg.Point{X: min(r.Min.X, b.Min.X), Y: min(r.Min.Y, b.Min.Y)}
			r.Max = vg.Point{X: max(r.Max.X, b.Max.X), Y: max(r.Max.Y, b.Max.Y)}
		}
	}
	for i := range out {
		out[i] = vg.Rectangle{Min: out[i].Min.Sub(s.corner), Max: out[i].Max.Sub(s.corner)}
	}
	return out
}

// inWindow reports whether b is whole in the window.
func (s *setOutSheet) inWindow(b box) bool {
	r := b.bounds()
	return s.Window == (vg.Rectangle{}) || Holds(s.Window, vg.Rectangle{Min: r.Min.Sub(s.corner), Max: r.Max.Sub(s.corner)})
}

// shown returns the part of the page that the window shows; nil: all of it.
func (s *setOutSheet) shown() *vg.Rectangle {
	if s.Window == (vg.Rectangle{}) {
		return nil
	}
	return &vg.Rectangle{Min: s.Window.Min.Add(s.corner), Max: s.Window.Max.Add(s.corner)}
}

// leaveOutCut leaves out what is not whole in the window: a mark with all its lettering,
// which otherwise would be read at another mark. Pins left out are not counted as
// unwritten.
func (s *setOutSheet) leaveOutCut() {
	if s.Window == (vg.Rectangle{}) {
		return
	}
	s.hidden = map[int]bool{}
	for i := range s.Pins {
		s.hidden[i+1] = !s.inWindow(s.boxOf(i))
	}
	for i, q := range s.finished {
		s.hidden[-i-1] = !s.inWindow(box{centre: s.frame.at(surface.Vec{X: q.X, Y: q.Y}), w: 10, h: 10})
	}
	names, heights := map[int]bool{}, map[int]bool{}
	for _, l := range s.labels {
		if l.of != 0 && !s.inWindow(l.box) {
			s.hidden[l.of] = true
		}
		names[l.of], heights[l.of] = names[l.of] || !l.bold, heights[l.of] || l.bold
	}
	for i, q := range s.Pins {
		if s.hidden[i+1] && q.Name != "" && !names[i+1] {
			s.named++
		}
		if s.hidden[i+1] && q.Text != "" && !heights[i+1] {
			s.told++
		}
	}
	for _, labels := range []*[]label{&s.labels, &s.bays, &s.dams, &s.barMarks} {
		*labels = slices.DeleteFunc(*labels, func(l label) bool { return s.hidden[l.of] || !s.inWindow(l.box) })
	}
	s.leaders = slices.DeleteFunc(s.leaders, func(l leader) bool { return s.hidden[l.of] })
}

// placeExit finds room for the sign of the way out after the pins, which it gives way to.
func (s *setOutSheet) placeExit(g *ground) {
	if s.Exit == nil {
		return
	}
	b := exitBox(s.frame.at(*s.Exit))
	for far := vg.Length(30); far < 500 && !g.near(&b, s.frame.at(*s.Exit), far); far *= 2 {
	}
	s.exit = b.centre
}

// exitBox is the room of the sign of the way out.
func exitBox(at vg.Point) box { return box{centre: at, w: 12, h: 12} }

// drawWindows frames the parts that sheets show, each with its name in a corner.
func (s *setOutSheet) drawWindows(c draw.Canvas) {
	style := lettering(14, true, damInk)
	for _, w := range s.Windows {
		r := vg.Rectangle{Min: s.frame.at(w.Lo), Max: s.frame.at(w.Hi)}
		stroke(c, r.Path(), 1, damInk, 5, 3)
		at := vg.Point{X: r.Min.X + style.Width(w.Name)/2 + 5, Y: r.Max.Y - 12}
		box{centre: at, w: style.Width(w.Name) + 4, h: 14}.plate(c, 230)
		write(c, style, at, 0.5, w.Name)
	}
}

func (s *setOutSheet) onPage(line []surface.Vec) []vg.Point {
	out := make([]vg.Point, len(line))
	for i, v := range line {
		out[i] = s.frame.at(v)
	}
	return out
}

// hatchFloor tints the floor where the fill is too thin, with a hatching sparse enough
// for bars to be seen in it, and hatches it closely where there is none.
func (s *setOutSheet) hatchFloor(c draw.Canvas) {
	var thin, cut [][]vg.Point
	for k, r := range s.Floor.Regions {
		at := s.frame.vertices(r.TIN)
		if s.Thin > 0 {
			thin = append(thin, partsBelow(r.TIN, s.depths[k], at, s.Thin)...)
		}
		cut = append(cut, partsBelow(r.TIN, s.depths[k], at, 0)...)
	}
	var path vg.Path
	for _, p := range thin {
		for i, q := range p {
			if i == 0 {
				path.Move(q)
			} else {
				path.Line(q)
			}
		}
		path.Close()
	}
	if len(path) > 0 {
		c.SetColor(thinTint)
		c.Fill(path)
		stroke(c, path, 0.4, thinTint) // no seams between triangles
	}
	strokeAll(c, hatch(thin, 1, thinSpacing), 0.3, thinLine)
	strokeAll(c, hatch(cut, -1, cutSpacing), 0.45, cutLine)
}

const (
	thinSpacing = 16  // pt between the lines of the hatching
	cutSpacing  = 4.5 // where nothing is poured
)

var (
	thinTint = rgb(0xfbe9d6)
	thinLine = rgb(0xc89a6c)
)

// drawLevels draws the contour lines thinly, with their depths where the pins leave
// room.
func (s *setOutSheet) drawLevels(c draw.Canvas, g *ground) {
	style := lettering(smallest, false, grey)
	for _, k := range s.contours {
		m := measure(s.frame.onPage(k))
		var path vg.Path
		from := vg.Length(0)
		add := func(to vg.Length) {
			for j, p := range m.between(from, to) {
				if j == 0 {
					path.Move(p)
				} else {
					path.Line(p)
				}
			}
		}
		gaps := g.gaps(m, style.Width(s.bare(k.Level))+1, smallest)
		for _, b := range gaps {
			add(b.from)
			from = b.to
		}
		add(m.length())
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

const (
	damWidth    = 3.4
	pinRadius   = 2
	startRadius = 5
	closestBars = 2.5 // pt, below which bars would be one grey
	lapWidth    = 1.4
)

// bar is a bar among those of its direction.
type bar struct {
	ends     [2]surface.Vec
	mark     string
	off      float64 // m across, from the first bar of the direction
	from, to float64 // m along
	line     int     // bars of one line, from 0
}

// sortBars orders the bars of a direction line by line, and finds where they lap.
func (s *setOutSheet) sortBars(bars []bar) {
	if len(bars) == 0 {
		return
	}
	origin, to := bars[0].ends[0], bars[0].ends[1]
	length := max(origin.Distance(to), 1e-9)
	ux, uy := (to.X-origin.X)/length, (to.Y-origin.Y)/length
	for i := range bars {
		b := &bars[i]
		var along, across [2]float64
		for k, v := range b.ends {
			along[k] = (v.X-origin.X)*ux + (v.Y-origin.Y)*uy
			across[k] = (v.Y-origin.Y)*ux - (v.X-origin.X)*uy
		}
		b.off, b.from, b.to = (across[0]+across[1])/2, min(along[0], along[1]), max(along[0], along[1])
	}
	slices.SortStableFunc(bars, func(a, b bar) int { return cmp.Compare(a.off, b.off) })
	const same = 0.001 // m: bars of one line; lines are at least a bar apart
	first := 0         // of its line
	for i := range bars {
		if i > 0 {
			bars[i].line = bars[i-1].line
			if bars[i].off-bars[i-1].off > same {
				bars[i].line++
				first = i
			}
		}
		for _, a := range bars[first:i] {
			from, to := max(a.from, bars[i].from), min(a.to, bars[i].to)
			if to-from > same {
				at := func(along float64) surface.Vec {
					return surface.Vec{X: origin.X + along*ux - bars[i].off*uy, Y: origin.Y + along*uy + bars[i].off*ux}
				}
				s.laps = append(s.laps, [2]surface.Vec{at(from), at(to)})
			}
		}
	}
}

// thinOut chooses how many of the lines of bars can be told apart.
func (s *setOutSheet) thinOut() {
	for way, bars := range s.ways {
		if len(bars) == 0 {
			continue
		}
		last := bars[len(bars)-1]
		if last.line > 0 {
			apart := (last.off - bars[0].off) / float64(last.line) * s.frame.scale
			s.every[way] = max(1, int(math.Ceil(closestBars/apart)))
		}
	}
}

// drawBars draws the bars, or of the lines they lie on as many as can be told apart.
func (s *setOutSheet) drawBars(c draw.Canvas) {
	for way, bars := range s.ways {
		var path vg.Path
		for _, b := range bars {
			if b.line%s.every[way] == 0 {
				path.Move(s.frame.at(b.ends[0]))
				path.Line(s.frame.at(b.ends[1]))
			}
		}
		stroke(c, path, 0.6, barInks[way], barDashes[way]...)
	}
	if s.every == [2]int{1, 1} {
		var path vg.Path
		for _, l := range s.laps {
			path.Move(s.frame.at(l[0]))
			path.Line(s.frame.at(l[1]))
		}
		stroke(c, path, lapWidth, black)
	}
	var path, across vg.Path
	for _, sheet := range s.Sheets {
		path = append(path, s.frame.ringPath(sheet)...)
		if len(sheet) > 2 {
			across.Move(s.frame.at(sheet[0]))
			across.Line(s.frame.at(sheet[len(sheet)/2]))
		}
	}
	stroke(c, path, 0.8, barInks[0])
	stroke(c, across, 0.4, barInks[0])
	var dots vg.Path
	for _, v := range s.Chairs {
		dots = append(dots, dot(s.frame.at(v), 1.1)...)
	}
	if len(dots) > 0 {
		c.SetColor(black)
		c.Fill(dots)
	}
	for _, l := range s.barMarks {
		l.write(c, 255)
	}
}

// placeBarMarks finds room for the mark of each run of neighbours on one of its bars, the
// middle one if there is room.
func (s *setOutSheet) placeBarMarks(g *ground) {
	for way, bars := range s.ways {
		for _, b := range bars {
			if b.line%s.every[way] == 0 {
				g.draw([]vg.Point{s.frame.at(b.ends[0]), s.frame.at(b.ends[1])}, lined)
			}
		}
	}
	for _, v := range s.Chairs {
		g.mark(box{centre: s.frame.at(v), w: 3, h: 3}, taken)
	}
	for way, bars := range s.ways {
		for _, run := range s.runs(way, bars) {
			for k := range run { // from the middle outwards
				i := len(run) / 2
				if k%2 == 1 {
					i -= (k + 1) / 2
				} else {
					i += k / 2
				}
				if i >= 0 && i < len(run) && s.placeBarMark(g, way, run[i]) {
					break
				}
			}
		}
	}
}

// runs parts the drawn bars of a direction into runs of neighbours with the same mark.
func (s *setOutSheet) runs(way int, bars []bar) [][]bar {
	var out [][]bar
	for _, b := range bars {
		if b.mark == "" || b.line%s.every[way] != 0 {
			continue
		}
		found := false
		for i := len(out) - 1; i >= 0 && !found; i-- {
			last := out[i][len(out[i])-1]
			if step := b.line - last.line; last.mark == b.mark && step > 0 && step <= s.every[way] && b.from < last.to && last.from < b.to {
				out[i], found = append(out[i], b), true
			}
		}
		if !found {
			out = append(out, []bar{b})
		}
	}
	return out
}

// placeBarMark finds room for the mark of b on it, between the bars that cross it.
func (s *setOutSheet) placeBarMark(g *ground, way int, b bar) bool {
	p, q := s.frame.at(b.ends[0]), s.frame.at(b.ends[1])
	l := newLabel(b.mark, smallest, true)
	l.ink = barInks[way]
	d := q.Sub(p)
	l.turn = math.Atan2(float64(d.Y), float64(d.X))
	if l.turn > math.Pi/2+1e-9 || l.turn <= -math.Pi/2+1e-9 {
		l.turn += math.Pi
	}
	length := vg.Length(math.Hypot(float64(d.X), float64(d.Y)))
	const steps = 40
	best := math.Inf(1)
	for k := 1; k < steps; k++ {
		share := vg.Length(k) / steps
		if min(share, 1-share)*length < l.w/2+2 {
			continue
		}
		try := l.box
		try.centre = p.Add(d.Scale(share))
		free, lines := g.free(try)
		if cost := float64(lines) + 6*math.Abs(float64(share)-0.5); free && !g.onWall(try) && cost < best {
			best, l.centre = cost, try.centre
		}
	}
	if math.IsInf(best, 1) {
		return false
	}
	g.mark(l.box, taken)
	s.barMarks = append(s.barMarks, l)
	return true
}

func (s *setOutSheet) drawDams(c draw.Canvas) {
	var path vg.Path
	for _, d := range s.Dams {
		for i, p := range s.onPage(d) {
			if i == 0 {
				path.Move(p)
			} else {
				path.Line(p)
			}
		}
	}
	stroke(c, path, damWidth, damInk)
}

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

// tints are pale, and told apart in grey print too.
var tints = []color.NRGBA{rgb(0xfaf5e0), rgb(0xe6c6bf), rgb(0xdcebf7), rgb(0xb7c3de), rgb(0xd3dfbd), rgb(0xc2b596)}

// tintBays colours each bay unlike the ones that may touch it.
func (s *setOutSheet) tintBays(c draw.Canvas) {
	tint := s.bayTints()
	for i, b := range s.Bays {
		path := s.frame.ringPath(b.Rings...)
		if len(path) == 0 {
			continue
		}
		c.SetColor(tints[tint[i]])
		c.Fill(path)
	}
	for _, b := range s.Bays {
		stroke(c, s.frame.ringPath(b.Rings...), 0.6, grey)
	}
}

// bayTints returns for each bay which tint it has: of those that no bay before it has
// whose bounds touch, the one used least.
func (m *SetOutMap) bayTints() []int {
	type bounds struct{ lo, hi surface.Vec }
	all := make([]bounds, len(m.Bays))
	tint := make([]int, len(m.Bays))
	used := make([]int, len(tints))
	for i, b := range m.Bays {
		all[i] = bounds{surface.Vec{X: math.Inf(1), Y: math.Inf(1)}, surface.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
		for _, r := range b.Rings {
			for _, v := range r {
				all[i].lo = surface.Vec{X: min(all[i].lo.X, v.X), Y: min(all[i].lo.Y, v.Y)}
				all[i].hi = surface.Vec{X: max(all[i].hi.X, v.X), Y: max(all[i].hi.Y, v.Y)}
			}
		}
		const touch = 0.05 // m, more than a dam is thick
		near := make([]int, len(tints))
		for k := range i {
			p, q := all[i], all[k]
			if p.lo.X < q.hi.X+touch && q.lo.X < p.hi.X+touch && p.lo.Y < q.hi.Y+touch && q.lo.Y < p.hi.Y+touch {
				near[tint[k]]++
			}
		}
		best := 0
		for t := range tints {
			if near[t] < near[best] || near[t] == near[best] && used[t] < used[best] {
				best = t
			}
		}
		tint[i] = best
		used[best]++
	}
	return tint
}
