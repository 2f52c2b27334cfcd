package plot

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// WideMap is a DepthMap for a page with little height left: the legend is beside the plan,
// above the colour bar, if the plan is larger that way.
type WideMap DepthMap

// Draw draws the map onto c.
func (m *WideMap) Draw(c draw.Canvas) error {
	if !drawable(m.Floor) {
		return ErrNoFloor
	}
	s := newSheet((*DepthMap)(m), true)
	side := s.sideRoom(draw.Canvas{Canvas: c, Rectangle: s.header().below(c.Rectangle)})
	if side == 0 {
		return (*DepthMap)(m).Draw(c)
	}
	c = m.header().draw(c)
	s.finish = barRoom
	lo, hi := s.reach()
	drawPlan(draw.Crop(c, 0, -side, 0, 0), lo, hi, plan{units: m.Units, legend: s.finish, x: "x", y: "y"}, s)
	s.colorBar(draw.Crop(c, margin, -margin, 0, -(c.Size().Y - barRoom)))
	column := draw.Crop(c, c.Size().X-side, -margin, barRoom, 0)
	drawWrapped(column, s.sideEntries(c.Size().X))
	scaleBar(draw.Crop(column, 0, 0, 0, -(column.Size().Y-scaleTall-margin)), m.Units, s.frame.scale)
	return nil
}

// Height returns the height at which the floor has the full width.
func (m *WideMap) Height(width vg.Length) vg.Length { return (*DepthMap)(m).Height(width) }

func (m *WideMap) heading() string { return (*DepthMap)(m).heading() }

func (m *WideMap) header() header { return (*DepthMap)(m).header() }

// sideEntries are the entries of a legend beside the plan, on a page of a width.
func (s *sheet) sideEntries(page vg.Length) []entry { return s.legendEntries(page - 2*margin) }

// sideRoom returns the width of a legend beside the plan in c; 0 if the plan is larger with
// the legend below it.
func (s *sheet) sideRoom(c draw.Canvas) vg.Length {
	const (
		narrowest = 150                 // pt: the scale bar, and lines of a few words
		wrapped   = 0.36                // of the page: longer entries are wrapped
		around    = 2*margin + axisRoom // pt beside and below a plan
	)
	size := c.Size()
	entries := s.sideEntries(size.X)
	side := vg.Length(narrowest)
	for _, e := range entries {
		side = max(side, lettering(8, false, black).Width(e.text)+signRoom+2*margin)
	}
	side = max(narrowest, min(side, wrapped*size.X))
	if vg.Length(len(entryLines(entries, side-margin, 0)))*entryLead+scaleTall+2*margin > size.Y-barRoom {
		return 0
	}
	lo, hi := s.reach()
	scale := func(w, h vg.Length) float64 {
		return min((w-around).Points()/(hi.X-lo.X), (h-around).Points()/(hi.Y-lo.Y))
	}
	if scale(size.X-side, size.Y-barRoom) <= scale(size.X, size.Y-s.legendHeight(size.X)) {
		return 0
	}
	return side
}
