package plot

import (
	"image/color"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
)

// entry is an item of the legend: its sign, if any, and its text.
type entry struct {
	sign func(c draw.Canvas, at vg.Point) // centred on at, 16 by 8 pt
	text string
}

const entryLead = 11.5 // pt from line to line of the legend

const signRoom = 21 // pt from the left edge to the text beside a sign

// drawBeside sets entries downward from the upper left corner of c, wrapped, with the right
// corner kept free for the scale bar.
func drawBeside(c draw.Canvas, entries []entry) {
	drawLines(c, entryLines(entries, c.Size().X, scaleRoom))
}

// drawWrapped sets entries downward from the upper left corner of c, wrapped to its width.
func drawWrapped(c draw.Canvas, entries []entry) { drawLines(c, entryLines(entries, c.Size().X, 0)) }

// wrappedHeight returns the height of wrapped entries on a page of a width.
func wrappedHeight(entries []entry, page vg.Length) vg.Length {
	return vg.Length(len(entryLines(entries, page-2*margin, 0)))*entryLead + margin
}

func drawLines(c draw.Canvas, lines []entryLine) {
	y := c.Max.Y - 6
	style := lettering(8, false, black)
	for _, l := range lines {
		x := c.Min.X
		if l.sign != nil {
			l.sign(c, vg.Point{X: x + 8, Y: y})
		}
		if l.indent {
			x += signRoom
		}
		write(c, style, vg.Point{X: x, Y: y}, 0, l.text)
		y -= entryLead
	}
}

// entryLine is a line of an entry; the sign is on the first line.
type entryLine struct {
	entry
	indent bool
}

// entryLines wraps entries to width, minus scale, the width of a scale bar, for as far down
// as the bar goes.
func entryLines(entries []entry, width, scale vg.Length) []entryLine {
	style := lettering(8, false, black)
	room := func(line int, indent bool) vg.Length {
		r := width
		if vg.Length(line)*entryLead < scaleTall+4 {
			r -= scale
		}
		if indent {
			r -= signRoom
		}
		return r
	}
	var out []entryLine
	for _, e := range entries {
		indent := e.sign != nil
		rest := strings.FieldsFunc(e.text, func(r rune) bool { return r == ' ' }) // a no-break space holds a figure to its unit
		for first := true; first || len(rest) > 0; first = false {
			n := min(1, len(rest))
			for n < len(rest) && style.Width(strings.Join(rest[:n+1], " ")) <= room(len(out), indent) {
				n++
			}
			l := entryLine{entry{text: strings.Join(rest[:n], " ")}, indent}
			if first {
				l.sign = e.sign
			}
			out = append(out, l)
			rest = rest[n:]
		}
	}
	return out
}

// entriesHeight returns the height of entries beside a scale bar, on a page of a width.
func entriesHeight(entries []entry, page vg.Length) vg.Length {
	return max(vg.Length(len(entryLines(entries, page-2*margin, scaleRoom)))*entryLead, scaleTall) + margin
}

// dash returns a short horizontal line through at.
func dash(at vg.Point) vg.Path {
	var p vg.Path
	p.Move(vg.Point{X: at.X - 8, Y: at.Y})
	p.Line(vg.Point{X: at.X + 8, Y: at.Y})
	return p
}

func lineSign(width vg.Length, pattern ...vg.Length) func(draw.Canvas, vg.Point) {
	return inkSign(width, black, pattern...)
}

// inkSign is a line of a colour, dashed if there is a pattern.
func inkSign(width vg.Length, ink color.Color, pattern ...vg.Length) func(draw.Canvas, vg.Point) {
	return func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), width, ink, pattern...) }
}

// dotSign is a filled black circle.
func dotSign(radius vg.Length) func(draw.Canvas, vg.Point) {
	return func(c draw.Canvas, at vg.Point) { c.SetColor(black); c.Fill(dot(at, radius)) }
}

// finishedSign is the mark of a point of the adjoining finished floor.
func finishedSign(c draw.Canvas, at vg.Point) {
	c.SetColor(black)
	c.Fill(diamond(at, 3.2))
}

// plateSign is the number of a place.
func plateSign(c draw.Canvas, at vg.Point) {
	r := vg.Rectangle{Min: vg.Point{X: at.X - 4, Y: at.Y - 4.5}, Max: vg.Point{X: at.X + 4, Y: at.Y + 4.5}}
	c.SetColor(white)
	c.Fill(r.Path())
	stroke(c, r.Path(), 0.8, alarm)
	write(c, lettering(7, true, black), at, 0.5, "1")
}

// ringSign is the mark of a shot to check again.
func ringSign(c draw.Canvas, at vg.Point) { stroke(c, dot(at, 3.6), 1.4, alarm) }

// floorEntries are the openings and steps of a floor.
func floorEntries(f *surface.Floor) (out []entry) {
	if len(f.Openings) > 0 {
		out = append(out, entry{swatchSign(-1, 3, white, voidLine), "not poured"})
	}
	if len(f.Left) > 0 {
		out = append(out, entry{func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), 0.8, grey, 3, 2) }, "not filled"})
	}
	if len(f.Steps) > 0 {
		out = append(out, entry{func(c draw.Canvas, at vg.Point) { strokeStep(c, dash(at)) }, "step in the floor"})
	}
	return out
}

// swatchSign is a patch of ground with hatching; no hatching if ink is nil.
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
