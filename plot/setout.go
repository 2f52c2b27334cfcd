package plot

import (
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// SetOutMap is a plan of what is marked and laid on a floor before the pour: grade pins with
// the heights of their marks, bars and chairs, the dams between bays. Places are on the grid
// of the survey, m.
type SetOutMap struct {
	Title   string
	Summary string // the main numbers, one line in bold
	Note    string

	Floor    *surface.Floor
	Target   surface.Target
	Levels   []float64 // depths of thin contour lines in the background, m; nil: none
	Thin     float64   // m: the floor is hatched where the fill is thinner; 0: nowhere
	Finished []survey.Point
	Drains   []survey.Point // where water leaves the floor
	Channels [][2]surface.Vec
	Ramps    [][]surface.Vec // their outlines
	Marks    []survey.Point  // benchmarks: those far from the floor are only named
	Units    unit.Style

	Pins     []SetOutPin
	Bars     [][2]surface.Vec // drawn in two inks, for two directions; lapped where two of one line overlap
	BarMarks []string         // per bar; written once per run of neighbours with the same mark
	Sheets   [][]surface.Vec  // of mesh, corners in order
	Ways     [2]string        // what to say of the bars of each direction: "along the north wall"; empty: nothing
	Chairs   []surface.Vec
	Heights  []string        // per chair, its height: written as a letter that the legend explains
	NoChair  []surface.Vec   // where a chair has no room below its bar
	Dams     [][]surface.Vec // lines
	DamNames []string        // per dam
	Bays     []Bay
	// Materials are the ranges of depth that each material serves, the thinnest first; none
	// for a single material.
	Materials []PlanMaterial

	Exit    *surface.Vec // the way out of the pour
	Windows []PlanWindow // what each sheet of a larger plan shows, as frames
	// Bare leaves out header and legend: a plan that is split over several sheets.
	Bare bool

	// List is where all names and heights are listed: "pins.pdf"; "": the list beside the
	// plan.
	List string

	// HeightsFirst finds room for heights before names if there is not room for both.
	// Otherwise names come first, because they identify the rows of a list.
	HeightsFirst bool

	// Scale draws the plan at 1:Scale on a page of [SetOutMap.PlanSize]; 0: as large as
	// the page allows.
	Scale float64

	known *known // kept from one page to the next
}

// SetOutPin is a pin of a SetOutMap.
type SetOutPin struct {
	At   surface.Vec
	Name string
	Text string // height of the mark, without the unit, which the legend gives
	Wall bool   // at a wall, not in the grid
	Kind PinKind

	Doubt  string // the reading in doubt on which the height depends, "shot 7"; empty: none
	Slight bool   // a reading in doubt changes the height by less than a step of the rule: no mark
}

// PinKind is the purpose of a pin.
type PinKind uint8

const (
	PinFill    PinKind = iota
	PinNothing         // nothing is poured here
	PinStart           // where the work starts
)

// Bay is a part of the floor that is poured in one go.
type Bay struct {
	Name, Text string          // Text: its volume, for example
	At         surface.Vec     // where both are written, if there is room
	Rings      [][]surface.Vec // tinted; nil: unknown
}

func (m *SetOutMap) header() header {
	if m.Bare {
		return header{}
	}
	return header{m.Title, m.Summary, m.Note}
}

func (m *SetOutMap) heading() string { return header{title: m.Title}.heading() }

// check refuses content without a place and names it.
func (m *SetOutMap) check() error {
	if !drawable(m.Floor) {
		return ErrNoFloor
	}
	if !(m.Scale >= 0) || math.IsInf(m.Scale, 0) {
		return &survey.Error{Element: "scale", Found: "1:" + strconv.FormatFloat(m.Scale, 'g', -1, 64), Want: "1 to a number above 0"}
	}
	if !(m.Thin >= 0) || math.IsInf(m.Thin, 0) {
		return &survey.Error{Element: "min depth", Found: strconv.FormatFloat(m.Thin, 'g', -1, 64) + " m", Want: "a depth of 0 or more"}
	}
	if n := len(m.BarMarks); n > 0 && n != len(m.Bars) {
		return &survey.Error{Element: "marks of bars", Found: count(n, "mark", "marks"), Want: "as many as bars, " + strconv.Itoa(len(m.Bars))}
	}
	if n := len(m.DamNames); n > 0 && n != len(m.Dams) {
		return &survey.Error{Element: "names of dams", Found: count(n, "name", "names"), Want: "as many as dams, " + strconv.Itoa(len(m.Dams))}
	}
	if n := len(m.Heights); n > 0 && n != len(m.Chairs) {
		return &survey.Error{Element: "heights of chairs", Found: count(n, "height", "heights"), Want: "as many as chairs, " + strconv.Itoa(len(m.Chairs))}
	}
	err := m.checkMaterials()
	m.places(func(what string, v surface.Vec) {
		if err == nil && !(math.Abs(v.X)+math.Abs(v.Y) < math.MaxFloat64) {
			err = &survey.Error{Element: what, Found: fmt.Sprintf("x %g, y %g", v.X, v.Y), Want: "a place on the grid of the survey"}
		}
	})
	return err
}

// places visits everything drawn except the floor.
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
	for i, v := range m.NoChair {
		visit(fmt.Sprintf("chair without room %d", i+1), v)
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
		visit("the exit", *m.Exit)
	}
}

// Draw draws the map onto c. It refuses a page too small for the scale.
func (m *SetOutMap) Draw(c draw.Canvas) error {
	if err := m.check(); err != nil {
		return err
	}
	return newSetOutSheet(m).drawOn(c)
}

// drawOn draws s onto a page.
func (s *setOutSheet) drawOn(c draw.Canvas) error {
	m := s.SetOutMap
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

func mm(l vg.Length) float64 { return l.Points() / 72 * 25.4 }

// perMetre returns the points per metre at Scale, 0 for no scale.
func (m *SetOutMap) perMetre() float64 {
	if m.Scale == 0 {
		return 0
	}
	return 72 / 0.0254 / m.Scale
}

const (
	axisMost  = 46  // pt, max that an axis takes beside the map
	leastWide = 400 // pt, min for the legend beside the scale bar
)

// Height returns the height at the scale, or the height at which the floor has the full
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

// PlanSize returns the width and height of the drawing at its Scale, with margins, header
// and legend; without a Scale, its default size.
func (m *SetOutMap) PlanSize() (width, height vg.Length) {
	width = DefaultWidth
	if per := m.perMetre(); per > 0 && m.check() == nil {
		lo, hi := newSetOutSheet(m).reach()
		width = max(vg.Length((hi.X-lo.X)*per)+2*margin+axisMost, leastWide)
	}
	return width, m.Height(width)
}
