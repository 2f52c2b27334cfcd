package plot

import (
	"image/color"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// entry is a line of the legend: a sign, if any, and what it means.
type entry struct {
	sign func(c draw.Canvas, at vg.Point) // centred on at, 16 by 8 pt
	text string
}

const entryLead = 11.5 // pt from line to line of the legend

// drawEntries sets entries from the upper left corner of c downwards.
func drawEntries(c draw.Canvas, entries []entry) {
	y := c.Max.Y - 6
	style := lettering(8, false, black)
	for _, e := range entries {
		x := c.Min.X + 8
		if e.sign != nil {
			e.sign(c, vg.Point{X: x, Y: y})
			x += 13
		} else {
			x -= 8
		}
		write(c, style, vg.Point{X: x, Y: y}, 0, e.text)
		y -= entryLead
	}
}

// dash returns a short level line about at.
func dash(at vg.Point) vg.Path {
	var p vg.Path
	p.Move(vg.Point{X: at.X - 8, Y: at.Y})
	p.Line(vg.Point{X: at.X + 8, Y: at.Y})
	return p
}

func lineSign(width vg.Length, pattern ...vg.Length) func(draw.Canvas, vg.Point) {
	return func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), width, black, pattern...) }
}

// swatchSign is a patch of ground with hatching; no hatching when ink is nil.
func swatchSign(slope, spacing vg.Length, ground, ink color.Color) func(draw.Canvas, vg.Point) {
	return func(c draw.Canvas, at vg.Point) {
		r := vg.Rectangle{Min: at.Sub(vg.Point{X: 8, Y: 4}), Max: at.Add(vg.Point{X: 8, Y: 4})}
		c.SetColor(ground)
		c.Fill(r.Path())
		if ink != nil {
			strokeAll(c, hatch([][]vg.Point{corners(r)}, slope, spacing), 0.45, ink)
		}
		stroke(c, r.Path(), 0.6, black)
	}
}

func corners(r vg.Rectangle) []vg.Point {
	return []vg.Point{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}}
}
