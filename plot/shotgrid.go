package plot

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
)

// ShotGridMap is a room before its survey: its walls to scale, and the grid of places to shoot.
type ShotGridMap struct {
	Title         string
	Rings         [][]surface.Vec // m from the corner that the lines are measured from: along the letters, along the numbers
	Columns, Rows []GridLine
	On            [][]bool    // by row and column: a shot
	North         surface.Vec // unit vector in the same axes
	Scale         float64     // 50 for 1:50
}

// GridLine is a line of a grid.
type GridLine struct {
	At   float64 // m from the wall
	Name string  // "B"
	Text string  // the distance as written
}

// Room for the heads of rows and columns beside the walls, and air on the far sides.
const (
	gridLeft = 66 * vg.Length(1)
	gridTop  = 62 * vg.Length(1)
	gridAir  = 8 * vg.Length(1)
)

var (
	gridInk   = color.NRGBA{R: 0x9a, G: 0x9a, B: 0x9a, A: 255}
	gridFloor = color.NRGBA{R: 0xf4, G: 0xf2, B: 0xec, A: 255}
)

// perMetre is the size of a metre at the scale of m, in points.
func (m *ShotGridMap) perMetre() vg.Length { return vg.Inch * vg.Length(1/0.0254/m.Scale) }

// bounds returns the extent of the walls.
func (m *ShotGridMap) bounds() (lo, hi surface.Vec) {
	if len(m.Rings) == 0 {
		return lo, hi
	}
	lo, hi = surface.Vec{X: math.Inf(1), Y: math.Inf(1)}, surface.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, r := range m.Rings {
		for _, p := range r {
			lo, hi = surface.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}, surface.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
	}
	return lo, hi
}

// PlanSize returns the size of the plan at its scale, with the heads of its lines.
func (m *ShotGridMap) PlanSize() (w, h vg.Length) {
	lo, hi := m.bounds()
	k := m.perMetre()
	return gridLeft + vg.Length(hi.X-lo.X)*k + gridAir, gridTop + vg.Length(hi.Y-lo.Y)*k + gridAir
}

// Apart returns the mean distance of neighbouring lines at the scale of m, the lesser of both ways.
func (m *ShotGridMap) Apart() vg.Length {
	least := math.Inf(1)
	for _, lines := range [][]GridLine{m.Columns, m.Rows} {
		if n := len(lines); n > 1 {
			least = min(least, (lines[n-1].At-lines[0].At)/float64(n-1))
		}
	}
	return vg.Length(least) * m.perMetre()
}

// Height returns the height at the scale of the plan.
func (m *ShotGridMap) Height(vg.Length) vg.Length {
	_, h := m.PlanSize()
	return h
}

func (m *ShotGridMap) heading() string { return header{title: m.Title}.heading() }

// Draw draws the plan into the upper left corner of c.
func (m *ShotGridMap) Draw(c draw.Canvas) error {
	lo, hi := m.bounds()
	if hi.X <= lo.X || hi.Y <= lo.Y {
		return ErrNoFloor
	}
	k := m.perMetre()
	corner := vg.Point{X: c.Min.X + gridLeft, Y: c.Max.Y - gridTop - vg.Length(hi.Y-lo.Y)*k}
	at := func(p surface.Vec) vg.Point {
		return vg.Point{X: corner.X + vg.Length(p.X-lo.X)*k, Y: corner.Y + vg.Length(p.Y-lo.Y)*k}
	}
	var walls vg.Path
	for _, r := range m.Rings {
		for i, p := range r {
			if i == 0 {
				walls.Move(at(p))
				continue
			}
			walls.Line(at(p))
		}
		walls.Close()
	}
	c.SetColor(gridFloor)
	c.Fill(walls)
	m.lines(c, at, lo, hi)
	c.SetLineStyle(draw.LineStyle{Color: black, Width: 1.4})
	c.Stroke(walls)
	m.start(c, at(surface.Vec{}))
	m.shots(c, at, k)
	m.arrow(c, vg.Point{X: c.Min.X + 14, Y: c.Max.Y - gridTop/2 - 4})
	return nil
}

// lines draws the lines of the grid, with their names and distances outside the walls.
func (m *ShotGridMap) lines(c draw.Canvas, at func(surface.Vec) vg.Point, lo, hi surface.Vec) {
	name, distance := lettering(9, true, black), lettering(7.5, false, black)
	stroke := func(from, to vg.Point) {
		var p vg.Path
		p.Move(from)
		p.Line(to)
		c.SetLineStyle(draw.LineStyle{Color: gridInk, Width: 0.5})
		c.Stroke(p)
	}
	const room, most = 9 * vg.Length(1), 5 // between the middles of two texts, and how far one is moved for that
	last := vg.Length(math.Inf(-1))
	for _, l := range m.Columns {
		p, top := at(surface.Vec{X: l.At, Y: lo.Y}), at(surface.Vec{X: l.At, Y: hi.Y})
		stroke(vg.Point{X: p.X, Y: p.Y - 4}, vg.Point{X: top.X, Y: top.Y + 6})
		x := max(p.X, last+room+vg.Length(5*(len(l.Name)-1)))
		if x-p.X > most {
			continue
		}
		last = x
		write(c, name, vg.Point{X: x, Y: top.Y + 12}, 0.5, l.Name)
		c.Push()
		c.Translate(vg.Point{X: x, Y: top.Y + 20})
		c.Rotate(math.Pi / 2)
		write(c, distance, vg.Point{}, 0, l.Text)
		c.Pop()
	}
	last = vg.Length(math.Inf(-1))
	for _, l := range m.Rows {
		p, right := at(surface.Vec{X: lo.X, Y: l.At}), at(surface.Vec{X: hi.X, Y: l.At})
		stroke(vg.Point{X: p.X - 6, Y: p.Y}, vg.Point{X: right.X + 4, Y: right.Y})
		y := max(p.Y, last+room)
		if y-p.Y > most {
			continue
		}
		last = y
		write(c, name, vg.Point{X: p.X - 9, Y: y}, 1, l.Name)
		write(c, distance, vg.Point{X: p.X - 26, Y: y}, 1, l.Text)
	}
}

// start marks the corner that distances are measured from.
func (m *ShotGridMap) start(c draw.Canvas, p vg.Point) {
	var ring vg.Path
	ring.Move(p.Add(vg.Point{X: 4}))
	ring.Arc(p, 4, 0, 2*math.Pi)
	ring.Close()
	c.SetColor(color.White)
	c.Fill(ring)
	c.SetLineStyle(draw.LineStyle{Color: black, Width: 1.2})
	c.Stroke(ring)
}

// shots marks every shot, with its name where there is room for it.
func (m *ShotGridMap) shots(c draw.Canvas, at func(surface.Vec) vg.Point, k vg.Length) {
	face := lettering(6.5, false, black)
	apart := func(lines []GridLine, i int) vg.Length { // to the next line, where the name is written
		if i+1 == len(lines) {
			return vg.Length(math.Inf(1))
		}
		return vg.Length(lines[i+1].At-lines[i].At) * k
	}
	lookup := face.Handler.Cache().Lookup(face.Font, face.Font.Size)
	longest := vg.Length(0)
	for _, l := range m.Columns {
		longest = max(longest, lookup.Width(l.Name+m.Rows[len(m.Rows)-1].Name))
	}
	named := m.Apart() >= max(11, longest+5)
	for r, row := range m.On {
		for i, on := range row {
			if !on {
				continue
			}
			p := at(surface.Vec{X: m.Columns[i].At, Y: m.Rows[r].At})
			c.SetColor(black)
			var dot vg.Path
			dot.Move(p.Add(vg.Point{X: 1.9}))
			dot.Arc(p, 1.9, 0, 2*math.Pi)
			dot.Close()
			c.Fill(dot)
			name := m.Columns[i].Name + m.Rows[r].Name
			w := lookup.Width(name)
			q := vg.Point{X: p.X + 2.5, Y: p.Y + 6}
			toWall := i+1 == len(row) || !row[i+1]
			switch {
			case !named || apart(m.Rows, r) < 11:
				continue
			case toWall && i > 0 && apart(m.Columns, i-1) >= 2*w+8:
				q.X = p.X - 2.5 - w
			case toWall && i > 0 || apart(m.Columns, i) < w+5:
				continue
			}
			if r+1 == len(m.On) || !m.On[r+1][i] {
				q.Y = p.Y - 6
			}
			write(c, face, q, 0, name)
		}
	}
}

// arrow points north.
func (m *ShotGridMap) arrow(c draw.Canvas, p vg.Point) {
	on := func(along, across float64) vg.Point {
		return vg.Point{X: p.X + vg.Length(along*m.North.X-across*m.North.Y), Y: p.Y + vg.Length(along*m.North.Y+across*m.North.X)}
	}
	var shaft, head vg.Path
	shaft.Move(on(-9, 0))
	shaft.Line(on(4, 0))
	head.Move(on(10, 0))
	head.Line(on(2, 3.2))
	head.Line(on(2, -3.2))
	head.Close()
	c.SetLineStyle(draw.LineStyle{Color: black, Width: 1})
	c.Stroke(shaft)
	c.SetColor(black)
	c.Fill(head)
	write(c, lettering(8, true, black), on(17, 0), 0.5, "N")
}
