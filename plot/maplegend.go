package plot

import (
	"fmt"
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey/unit"
)

const (
	barRoom   = 48  // pt that the colour bar takes
	scaleRoom = 128 // pt wide, for scale bar and arrow
	scaleTall = 44  // pt high
)

func (s *sheet) legendHeight(page vg.Length) vg.Length {
	h := entriesHeight(s.legendEntries(page-2*margin), page)
	if s.filled {
		h += barRoom
	}
	return h
}

// legendEntries are the entries and, if there is no room for it above the colour bar at a
// width, the text on the shares in the bar.
func (s *sheet) legendEntries(width vg.Length) []entry {
	out := s.entries()
	if s.filled && !s.sharesAbove(width) {
		out = append([]entry{{nil, sharesText}}, out...)
	}
	return out
}

const sharesText = "in the bar: share of the area"

// sharesAbove reports whether the text on the shares fits beside the caption of the bar.
func (s *sheet) sharesAbove(width vg.Length) bool {
	return lettering(9, true, black).Width(s.caption())+12+lettering(8, false, grey).Width(sharesText) <= width
}

// entries are the signs on the map in reading order, each with its meaning.
func (s *sheet) entries() []entry {
	out := slices.Concat(s.contourEntries(), s.cutEntries(), floorEntries(s.Floor), s.rampEntries(), s.finishedEntries(), s.fallEntries(""), s.alarmEntries(), s.shotEntries())
	if s.unitWeight > 0 {
		out = append(out, s.loadEntries()...)
	}
	return append(out, planEntry)
}

func (s *sheet) rampEntries() []entry {
	if len(s.Ramps) == 0 {
		return nil
	}
	out := []entry{{func(c draw.Canvas, at vg.Point) { strokeRamp(c, dash(at)) }, "edge of a ramp"}}
	if len(s.Stops) > 0 {
		out = append(out, entry{func(c draw.Canvas, at vg.Point) { strokeStop(c, dash(at)) }, "from here on the fill on a ramp is too thin: chase the old floor"})
	}
	return out
}

// contourEntries are the lines of equal depth: bold lines have no entry on a coloured map,
// where the colour bar has their levels.
func (s *sheet) contourEntries() (out []entry) {
	if !s.filled {
		what, cut := "depth of fill", "of cut, dashed and −"
		if s.Departure {
			what, cut = "departure", "above the plane, dashed and +"
		}
		text := "lines of equal " + what + ", " + s.levelSteps()
		if s.fill.Least < 0 {
			text += "; " + cut
		}
		out = append(out, entry{lineSign(0.8), text})
	}
	if slices.ContainsFunc(s.contours, func(k surface.Contour) bool { return !s.major(k.Level) }) {
		out = append(out, entry{lineSign(0.4), "thin lines: halfway between"})
	}
	return out
}

// levelSteps gives the step between lines of equal depth, or their unit if it varies.
func (s *sheet) levelSteps() string {
	if step, ok := evenStep(s.bands.limits); ok {
		return "every " + s.Units.Depth(step)
	}
	return s.unitName()
}

// cutEntries are the hatching above the target or the plane, and the grey of a change.
func (s *sheet) cutEntries() []entry {
	if s.Change {
		text := "grey: not shown to have moved"
		if len(s.Ringed) > 0 { // a place alone, or only against the middle, is shown by less
			text += ", but where ringed"
		}
		return []entry{{swatchSign(0, 4.5, notShown, nil), text}}
	}
	if s.fill.Least >= 0 {
		return nil
	}
	text := "hatched: floor above " + s.goal() + ", to be cut"
	if s.Departure {
		text = "hatched: above the plane"
	}
	if s.unitWeight > 0 {
		text = "hatched: floor above the target, nothing poured, no load"
	}
	return []entry{{swatchSign(1, 4.5, s.colorAt(s.fill.Least), cutLine), text}}
}

// goal is what the fill is brought up to, in the words of who reads the map: Doors are for
// the customer.
func (s *sheet) goal() string {
	if s.Doors {
		return "the new floor"
	}
	return "the target"
}

// finishedEntries are the adjoining finished floor, and how much of it the map leaves out.
func (s *sheet) finishedEntries() []entry {
	if len(s.Finished) == 0 {
		return nil
	}
	if s.Doors {
		return []entry{{finishedSign, "adjoining finished floor" + s.finishedLeftOut()}}
	}
	return []entry{{finishedSign, "adjoining finished floor: above (+) or below (−) the target" + s.finishedLeftOut()}}
}

// finishedLeftOut gives the number of points of adjoining finished floor that are not drawn.
func (s *sheet) finishedLeftOut() string {
	if n := len(s.Finished) - len(s.finished); n > 0 {
		return fmt.Sprintf("; %s not shown", grouped(float64(n)))
	}
	return ""
}

// fallEntries are the drains, with more about them, and the arrow of the fall.
func (s *sheet) fallEntries(more string) (out []entry) {
	if len(s.drains()) > 0 {
		out = append(out, entry{drainSign, drainText + more})
	}
	by := ""
	if slope := s.slope(); slope > 0 {
		by = fallText(slope)
	} else if s.bends() {
		by = s.fallsText()
	}
	if by != "" {
		down := func(c draw.Canvas, at vg.Point) { arrow{centre: at, length: 16}.draw(c) }
		out = append(out, entry{down, s.goal() + " falls this way, by " + by})
	}
	return out
}

// alarmEntries are what is drawn in red: the places of a list, and shots to check again.
func (s *sheet) alarmEntries() (out []entry) {
	if len(s.Spots) > 0 {
		text, sign := "numbered: places in the list", inkSign(1.4, alarm)
		if len(s.Spots[0].Lines) > 0 {
			text = "numbered: straightedges as laid, worst first"
		}
		if s.Spots[0].Next {
			text, sign = "next shots, the best first", plateSign
		}
		out = append(out, entry{sign, text})
	}
	if len(s.Ringed) > 0 {
		text := "ringed in red: look at this reading again"
		if s.Change {
			text = "ringed in red: shown to have moved, as written"
		}
		out = append(out, entry{ringSign, text})
	}
	return out
}

// shotEntries are the shots, and how many of them have their depth written.
func (s *sheet) shotEntries() []entry {
	if !s.Shots {
		return nil
	}
	n := grouped(float64(s.shots))
	what := "depth"
	switch {
	case s.Change:
		what = "change"
	case s.Departure:
		what = "departure"
	}
	text := n + " shots with their " + what + ", " + s.unitName()
	switch {
	case s.shots > mostMarks:
		text = n + " shots, too many to mark"
	case s.plusMinus:
		text = n + " shots"
	case s.labelled < s.shots:
		text = fmt.Sprintf("%s shots; %s, %s, written at %s of them", n, what, s.unitName(), grouped(float64(s.labelled)))
	}
	return []entry{{dotSign(0.9), text}}
}

var planEntry = entry{nil, "Plan view, one scale on both axes; x and y as in the survey file"}

// evenStep returns the step between levels when it is the same throughout.
func evenStep(levels []float64) (float64, bool) {
	if len(levels) < 2 {
		return 0, false
	}
	step := levels[1] - levels[0]
	for i := 2; i < len(levels); i++ {
		if math.Abs(levels[i]-levels[i-1]-step) > 1e-9 {
			return 0, false
		}
	}
	return step, true
}

func (s *sheet) legend(c draw.Canvas) {
	if s.filled {
		s.colorBar(c)
		c.Max.Y -= barRoom
	}
	drawBeside(c, s.legendEntries(c.Size().X))
	scaleBar(draw.Crop(c, c.Size().X-scaleRoom, 0, 0, 0), s.Units, s.frame.scale)
}

// caption is the meaning of the colours.
func (s *sheet) caption() string {
	word := "Depth of fill, " + s.unitName()
	switch {
	case s.unitWeight > 0:
		word = loadCaption(s.Units)
	case s.plusMinus && s.small:
		word = "± of the depth, " + s.unitName()
	case s.plusMinus:
		word = "± of the depth, " + s.unitName() + ": 9 of 10 places are within it"
	case s.Change:
		word = "Change, " + s.unitName() + " (lower: −)"
	case s.Departure:
		word = "Above the plane, " + s.unitName() + " (below: −)"
	case s.fill.Least < 0:
		word += " (cut: −)"
	}
	return word
}

// colorBar draws the bands that occur side by side, their limits below and their share of
// the area inside; the numbers increase to the right.
func (s *sheet) colorBar(c draw.Canvas) {
	b := s.bands
	caption := lettering(9, true, black)
	y := c.Max.Y - 6
	write(c, caption, vg.Point{X: c.Min.X, Y: y}, 0, s.caption())
	if s.sharesAbove(c.Size().X) {
		write(c, lettering(8, false, grey), vg.Point{X: c.Max.X, Y: y}, 1, sharesText)
	}
	y -= 8
	const tall = 14
	const gap = 26 // pt, in place of a stretch of depth without area
	left, right := c.Min.X+8, c.Max.X-8
	gaps := 0
	for k := 1; k < len(b.listed); k++ {
		if b.listed[k] != b.listed[k-1]+1 {
			gaps++
		}
	}
	w := (right - left - gap*vg.Length(gaps)) / vg.Length(len(b.listed))
	type edge struct {
		x     vg.Length
		limit int // index in limits
	}
	var edges []edge
	x := left
	list := slices.Clone(b.listed)
	if s.Departure {
		slices.Reverse(list)
	}
	for k, i := range list {
		lower, upper := i-1, i // the limits on the left and right
		if s.Departure {
			lower, upper = upper, lower
		}
		switch {
		case k == 0:
			edges = append(edges, edge{x, lower})
		case edges[len(edges)-1].limit != lower:
			x += gap
			edges = append(edges, edge{x, lower})
		}
		r := vg.Rectangle{Min: vg.Point{X: x, Y: y - tall}, Max: vg.Point{X: x + w, Y: y}}
		c.SetColor(b.colors[i])
		c.Fill(r.Path())
		hatched := b.cut(i, s.fill.Greatest) && !s.Change
		if hatched {
			strokeAll(c, hatch([][]vg.Point{corners(r)}, 1, 4.5), 0.45, cutLine)
		}
		stroke(c, r.Path(), 0.6, black)
		style := lettering(8, false, on(b.colors[i]))
		share := percent(s.share[i-b.first])
		mid := vg.Point{X: x + w/2, Y: y - tall/2}
		if hatched { // clear of the hatching
			half := vg.Point{X: style.Width(share)/2 + 1, Y: 4.5}
			c.SetColor(b.colors[i])
			c.Fill(vg.Rectangle{Min: mid.Sub(half), Max: mid.Add(half)}.Path())
		}
		write(c, style, mid, 0.5, share)
		x += w
		edges = append(edges, edge{x, upper})
	}
	y -= tall + 6
	style := lettering(8.5, true, black)
	var numbers []numbered
	for _, e := range edges {
		if e.limit >= 0 && e.limit < len(b.limits) {
			text := s.bare(b.limits[e.limit])
			numbers = append(numbers, numbered{e.x, style.Width(text) / 2, text})
		}
	}
	for _, n := range spaced(numbers) {
		write(c, style, vg.Point{X: n.x, Y: y}, 0.5, n.text)
	}
}

// numbered is a number below the colour bar, with half its width.
type numbered struct {
	x, half vg.Length
	text    string
}

// spaced returns every number, or every second, third and so on, so that none looks like a
// part of its neighbour: 1 and 1 1/2. The last is always there.
func spaced(all []numbered) []numbered {
	const gap = 9 // pt, well over the space in 1 1/2
	clash := func(a, b numbered) bool { return a.x+a.half+gap > b.x-b.half }
	for step := 1; step < len(all); step++ {
		last := all[len(all)-1]
		var out []numbered
		fits := true
		for k := 0; k < len(all)-1; k += step {
			if n := len(out); n > 0 && clash(out[n-1], all[k]) {
				fits = false
				break
			}
			out = append(out, all[k])
		}
		if !fits {
			continue
		}
		for len(out) > 0 && clash(out[len(out)-1], last) {
			out = out[:len(out)-1]
		}
		return append(out, last)
	}
	return all
}

// percent writes a share in whole percents; a small share above 0 is written <1%.
func percent(share float64) string {
	if share > 0 && share < 0.005 {
		return "<1%"
	}
	return fmt.Sprintf("%.0f%%", 100*share)
}

// scaleBar draws a bar of a round length and an arrow along y, at scale points per metre;
// nothing at scale 0, if the plan has no room.
func scaleBar(c draw.Canvas, units unit.Style, scale float64) {
	if !(scale > 0) || math.IsInf(scale, 0) {
		return
	}
	size, unitName := planUnit(units)
	const longest = 96 // pt
	length := 0.0      // m: the longest of 1, 2, 5 × 10ⁿ that fits
	for p := math.Pow(10, math.Floor(math.Log10(longest/(scale*size)))); length == 0; p /= 10 {
		for _, k := range []float64{1, 2, 5} {
			if k*p*size*scale <= longest {
				length = k * p * size
			}
		}
	}
	w := vg.Length(length * scale)
	right := c.Max.X - 26
	y := c.Max.Y - 24
	at := func(share vg.Length) vg.Length { return right - w + share*w }
	for i, ink := range []color.NRGBA{black, white} {
		r := vg.Rectangle{Min: vg.Point{X: at(vg.Length(i) / 2), Y: y - 2}, Max: vg.Point{X: at(vg.Length(i+1) / 2), Y: y + 2}}
		c.SetColor(ink)
		c.Fill(r.Path())
		stroke(c, r.Path(), 0.6, black)
	}
	style := lettering(8, false, black)
	write(c, style, vg.Point{X: at(0), Y: y + 8}, 0.5, "0")
	write(c, style, vg.Point{X: at(1), Y: y + 8}, 0.5, fmt.Sprintf("%g %s", length/size, unitName))

	x := c.Max.X - 5
	var shaft, head vg.Path
	shaft.Move(vg.Point{X: x, Y: y - 14})
	shaft.Line(vg.Point{X: x, Y: y + 14})
	stroke(c, shaft, 1, black)
	head.Move(vg.Point{X: x, Y: y + 20})
	head.Line(vg.Point{X: x - 3.5, Y: y + 11})
	head.Line(vg.Point{X: x + 3.5, Y: y + 11})
	head.Close()
	c.SetColor(black)
	c.Fill(head)
	write(c, style, vg.Point{X: c.Max.X, Y: y - 19}, 1, "y of the survey")
}
