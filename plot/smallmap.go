package plot

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// SmallMap is a DepthMap for little room, beside a table: without title, shots and scale bar, and with
// a key of its colours and numbered places alone.
type SmallMap DepthMap

// Draw draws the map onto c.
func (m *SmallMap) Draw(c draw.Canvas) error {
	if !drawable(m.Floor) {
		return ErrNoFloor
	}
	s := m.sheet()
	s.finish = s.smallLegend(c.Size().X)
	lo, hi := s.reach()
	drawPlan(c, lo, hi, plan{units: m.Units, legend: s.finish, x: "x", y: "y"}, s)
	key := draw.Crop(c, margin, -margin, margin/2, -(c.Size().Y - s.finish))
	s.colorBar(key)
	key.Max.Y -= barRoom
	drawWrapped(key, s.alarmEntries())
	return nil
}

// Height returns the height at which the floor has the full width.
func (m *SmallMap) Height(width vg.Length) vg.Length {
	if !drawable(m.Floor) {
		return width
	}
	s := m.sheet()
	lo, hi := s.reach()
	return (width-2*margin-axisRoom)*vg.Length((hi.Y-lo.Y)/(hi.X-lo.X)) + axisRoom + s.smallLegend(width)
}

func (m *SmallMap) heading() string { return (*DepthMap)(m).heading() }

func (m *SmallMap) sheet() *sheet {
	d := DepthMap(*m)
	d.Title, d.Summary, d.Note, d.Shots, d.small = "", "", "", false, true
	s := newSheet(&d, true)
	m.known = d.known
	return s
}

func (s *sheet) smallLegend(width vg.Length) vg.Length {
	height := vg.Length(barRoom)
	if all := s.alarmEntries(); all != nil {
		height += wrappedHeight(all, width)
	}
	return height
}
