package plot

import (
	"fmt"
	"math"

	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// Frame maps places on a picture of the floor to the floor. North, or the direction of y, is
// up; the scale is the same on both axes.
type Frame struct {
	Width, Height float64     // of the picture, points
	Corner        surface.Vec // place of the picture's upper left corner, m on the grid of the survey
	Metres        float64     // per point
}

// Place returns the place on the floor, m, that is right and down points from the upper left
// corner of the picture.
func (f Frame) Place(right, down float64) surface.Vec {
	return surface.Vec{X: f.Corner.X + float64(right*f.Metres), Y: f.Corner.Y - float64(down*f.Metres)}
}

// Frame returns the frame of the picture that [Write] makes of the map at a width and the
// height that suits it.
func (m *DepthMap) Frame(width vg.Length) (Frame, error) {
	if !drawable(m.Floor) {
		return Frame{}, ErrNoFloor
	}
	if !(width > 0) {
		return Frame{}, fmt.Errorf("a drawing %g points wide has no room", width.Points())
	}
	s := newSheet(m, true)
	lo, hi := s.reach()
	c := draw.New(newSVG(width, s.height(width), ""))
	on := framed{units: m.Units}
	drawPlan(m.header().draw(c), lo, hi, plan{units: m.Units, legend: s.legendHeight(width), x: "x", y: "y"}, &on)
	f := on.frame.on(c)
	if v := f.Place(f.Width, f.Height); math.IsNaN(v.X+v.Y) || math.IsInf(v.X, 0) || math.IsInf(v.Y, 0) {
		return Frame{}, fmt.Errorf("the map has no finite scale")
	}
	return f, nil
}

// on returns f relative to a page.
func (f frame) on(page draw.Canvas) Frame {
	return Frame{
		Width: page.Max.X.Points(), Height: page.Max.Y.Points(),
		Metres: 1 / f.scale,
		Corner: surface.Vec{
			X: f.base.X - f.origin.X.Points()/f.scale,
			Y: f.base.Y + (page.Max.Y-f.origin.Y).Points()/f.scale,
		},
	}
}

// framed draws nothing; it records the frame that a drawing would have on the page.
type framed struct {
	units unit.Style
	from  surface.Vec
	frame
}

func (f *framed) setFrom(v surface.Vec) { f.from = v }

func (f *framed) Plot(c draw.Canvas, p *gonum.Plot) { f.frame = planFrame(c, p, f.units, f.from) }

// Words returns a depth, m, as written on the map: "68 mm", "cut 3 mm", or on a map of
// departures "2.1 mm below".
func (m *DepthMap) Words(depth float64) string {
	switch size := fineDepth(m.Units, math.Abs(depth)); {
	case m.Departure && size == fineDepth(m.Units, 0):
		return size // zero has no side
	case m.Departure && depth < 0:
		return size + " above"
	case m.Departure:
		return size + " below"
	}
	text := m.Units.Depth(math.Abs(depth))
	if depth < 0 && text != m.Units.Depth(0) {
		text = "cut " + text
	}
	return text
}
