package plot

import (
	"math"
	"slices"

	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
)

// SetOutPlan is a [SetOutMap] at its Scale with its lettering placed on a page of
// [SetOutMap.PlanSize]. Placing takes most of the time of a plan, and the part on a sheet
// has the same lettering as the whole: both are drawn and queried from here without placing
// again. The map must not be changed.
type SetOutPlan struct {
	*SetOutMap
	page   vg.Rectangle
	area   vg.Rectangle // between the axes
	ground *ground      // after placing
	placed *setOutSheet
	window vg.Rectangle // zero: all is visible
}

// LayOut places the lettering of the map.
func (m *SetOutMap) LayOut() (*SetOutPlan, error) {
	if err := m.check(); err != nil {
		return nil, err
	}
	w, h := m.PlanSize()
	page := draw.New(newSVG(w, h, ""))
	s := newSetOutSheet(m)
	lo, hi := s.reach()
	p := &SetOutPlan{SetOutMap: m, page: page.Rectangle, placed: s}
	drawPlan(m.header().draw(page), lo, hi, plan{units: m.Units, legend: s.legendHeight(w), x: "x", y: "y", scale: m.perMetre()}, placing{p})
	return p, nil
}

// placing places the lettering of a plan between the axes and draws nothing.
type placing struct{ *SetOutPlan }

func (p placing) setFrom(v surface.Vec) { p.placed.setFrom(v) }

func (p placing) Plot(c draw.Canvas, axes *gonum.Plot) {
	p.area = c.Rectangle
	p.placed.frame = planFrame(c, axes, p.Units, p.placed.from)
	p.SetOutPlan.ground = p.placed.place(c.Rectangle)
}

// Part returns the plan as one sheet shows it, through a window, points from the lower left
// corner of the page. A pin, a mark or a name that is not whole in it is left out, because a
// number cut by an edge reads as another number.
func (p *SetOutPlan) Part(window vg.Rectangle) *SetOutPlan {
	part := *p
	part.window = window
	return &part
}

// Draw draws the visible part of the plan onto c.
func (p *SetOutPlan) Draw(c draw.Canvas) error {
	s := p.placed.copy()
	s.laid, s.window = p, p.window
	s.frame, s.setOutLettering = frame{}, setOutLettering{} // the legend's height is computed without lettering
	return s.drawOn(c)
}

// copy returns a sheet that can be drawn elsewhere.
func (s *setOutSheet) copy() *setOutSheet {
	c, below := *s, *s.sheet
	c.sheet = &below
	return &c
}

// suits reports whether the places of the plan are right between axes about r.
func (p *SetOutPlan) suits(r vg.Rectangle) bool {
	const slack = 1e-6 // pt, of sizes that are sums
	d := r.Size().Sub(p.area.Size())
	return math.Abs(float64(d.X)) < slack && math.Abs(float64(d.Y)) < slack
}

// take moves the lettering of the plan that s is drawn from to s, and returns the ground
// with its corner at a place.
func (s *setOutSheet) take(corner vg.Point) *ground {
	s.setOutLettering = s.laid.placed.moved(corner.Sub(s.laid.ground.min))
	g := s.laid.ground.clone()
	g.min = corner
	return g
}

// moved returns l moved by a distance.
func (l *setOutLettering) moved(by vg.Point) setOutLettering {
	out := *l
	for _, labels := range []*[]label{&out.labels, &out.bays, &out.dams} {
		*labels = slices.Clone(*labels)
		for i := range *labels {
			b := &(*labels)[i].box
			b.centre = b.centre.Add(by)
		}
	}
	out.leaders = slices.Clone(l.leaders)
	for i := range out.leaders {
		to := &out.leaders[i]
		to.from, to.to = to.from.Add(by), to.to.Add(by)
	}
	out.materials = nil
	for _, m := range l.materials {
		m.labels = slices.Clone(m.labels)
		for i := range m.labels {
			m.labels[i].centre = m.labels[i].centre.Add(by)
		}
		m.leader.from, m.leader.to = m.leader.from.Add(by), m.leader.to.Add(by)
		out.materials = append(out.materials, m)
	}
	out.exit = l.exit.Add(by)
	return out
}

// shownSheet returns the sheet of the visible part of the plan, where it was placed.
func (p *SetOutPlan) shownSheet() *setOutSheet {
	s := p.placed.copy()
	s.laid, s.window = p, p.window
	s.finish(s.take(p.ground.min))
	return s
}

// Unwritten returns how many names and heights of the visible pins have no room on the plan.
func (p *SetOutPlan) Unwritten() (names, heights int) {
	s := p.shownSheet()
	return len(p.Pins) - s.named, len(p.Pins) - s.heights
}

// Unnamed returns how many visible marks of the adjoining finished floor, drains and benchmarks
// have no room for their names.
func (p *SetOutPlan) Unnamed() int {
	s := p.shownSheet()
	return s.unnamedDoors() + s.unnamedDrains() + s.unnamedBenches()
}

// Arrowless reports whether the target falls but its arrow has no room on the visible part
// of the plan.
func (p *SetOutPlan) Arrowless() bool {
	s := p.shownSheet()
	return s.fall == nil && s.slope() > 0
}

// PinBoxes returns the area of each pin with its lettering, points from the lower left
// corner of the page.
func (p *SetOutPlan) PinBoxes() []vg.Rectangle { return p.placed.pinBoxes() }

// Inside returns the part of the page that the floor takes, with its margin and without the
// axes, points from the lower left corner.
func (p *SetOutPlan) Inside() vg.Rectangle {
	lo, hi := p.placed.reach()
	return vg.Rectangle{Min: p.placed.frame.at(lo).Sub(p.page.Min), Max: p.placed.frame.at(hi).Sub(p.page.Min)}
}

// Frame returns the frame of the plan on its page.
func (p *SetOutPlan) Frame() Frame { return p.placed.frame.on(draw.Canvas{Rectangle: p.page}) }

// place finds room for all lettering that does not depend on the visible part, between axes
// round r, and returns the ground.
func (s *setOutSheet) place(r vg.Rectangle) *ground {
	s.setOutLettering = setOutLettering{}
	at := s.frame.at
	g := newGround(r)
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
	s.sheet.takeChannels(g)
	for _, q := range s.benches {
		g.mark(benchBox(at(surface.Vec{X: q.X, Y: q.Y})), taken)
	}
	for _, k := range s.borders() {
		g.draw(s.frame.onPage(k), border)
	}
	s.thinOut()
	s.placeBays(g)
	s.placeDams(g)
	s.letterAndExit(g)
	s.placeMaterials(g)
	return g
}

// finish places the lettering that depends on the visible part, and leaves out what is not
// whole in it.
func (s *setOutSheet) finish(g *ground) {
	s.fall = s.placeFall(g, false, s.shown())
	s.placeBarMarks(g)
	s.falls = s.placeFalls(g, s.shown())
	s.leaveOutCut()
}
