package plot

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
)

const (
	drainRadius = 4.5 // pt
	drainText   = "drain, or low end of the fall"
)

// drainBox is the area of the sign of a drain.
func drainBox(at vg.Point) box { return box{centre: at, w: 2*drainRadius + 1, h: 2*drainRadius + 1} }

// drains returns the drains on the floor or at its edge, each place once, and channels with their
// name at one end.
func (s *sheet) drains() []survey.Point {
	lo, hi := s.Floor.Bounds()
	var out []survey.Point
	for _, d := range s.Drains {
		seen := slices.ContainsFunc(out, func(p survey.Point) bool { return p.X == d.X && p.Y == d.Y })
		if !seen && d.X >= lo.X && d.X <= hi.X && d.Y >= lo.Y && d.Y <= hi.Y {
			out = append(out, d)
		}
	}
	return namedOnce(out, s.DepthMap.Channels)
}

// namedOnce takes the name off the second end of each channel in drains, if the first has it too.
func namedOnce(drains []survey.Point, channels [][2]surface.Vec) []survey.Point {
	const onePlace = 0.001 // m
	out := slices.Clone(drains)
	at := func(v surface.Vec) int {
		return slices.IndexFunc(out, func(p survey.Point) bool { return v.Distance(surface.Vec{X: p.X, Y: p.Y}) < onePlace })
	}
	for _, l := range channels {
		if i, k := at(l[0]), at(l[1]); i >= 0 && k >= 0 && i != k && out[i].Name() == out[k].Name() {
			out[k] = out[k].Named("")
		}
	}
	return out
}

// drainSign is a circle with a cross in it.
func drainSign(c draw.Canvas, at vg.Point) {
	ring := dot(at, drainRadius)
	c.SetColor(white)
	c.Fill(ring)
	const in = drainRadius * 0.7
	var cross vg.Path
	cross.Move(at.Add(vg.Point{X: -in, Y: -in}))
	cross.Line(at.Add(vg.Point{X: in, Y: in}))
	cross.Move(at.Add(vg.Point{X: -in, Y: in}))
	cross.Line(at.Add(vg.Point{X: in, Y: -in}))
	stroke(c, cross, 1, black)
	stroke(c, ring, 1.2, black)
}

// drawChannels draws each channel as a line with dark edges, between the signs of its ends.
func (s *sheet) drawChannels(c draw.Canvas) {
	for _, l := range s.DepthMap.Channels {
		var path vg.Path
		path.Move(s.frame.at(l[0]))
		path.Line(s.frame.at(l[1]))
		stroke(c, path, 4, black)
		stroke(c, path, 1.8, white)
	}
}

// takeChannels keeps lettering off the channels.
func (s *sheet) takeChannels(g *ground) {
	for _, l := range s.DepthMap.Channels {
		a, b := s.frame.at(l[0]), s.frame.at(l[1])
		long := vg.Length(math.Hypot(float64(b.X-a.X), float64(b.Y-a.Y)))
		g.mark(box{centre: a.Add(b).Scale(0.5), w: long, h: 6, turn: math.Atan2(float64(b.Y-a.Y), float64(b.X-a.X))}, taken)
	}
}

// slope returns the fall of the target, as a ratio; 0 if it is level or no plane, or the map is
// not one of depths.
func (s *sheet) slope() float64 {
	if s.unitWeight > 0 {
		return 0
	}
	plane, _ := surface.IsPlane(s.Target)
	fall, _ := plane.Slope()
	return fall
}

func fallText(slope float64) string { return fmt.Sprintf("%.3g %%", 100*slope) }

// arrow points where water runs, with the fall beside it.
type arrow struct {
	centre vg.Point
	length vg.Length
	turn   float64 // counter-clockwise from right
	text   string
	at     vg.Point // middle of the text
}

func (a arrow) draw(c draw.Canvas) {
	sin, cos := math.Sincos(a.turn)
	along := vg.Point{X: vg.Length(cos), Y: vg.Length(sin)}
	across := vg.Point{X: -along.Y, Y: along.X}
	tip, tail := a.centre.Add(along.Scale(a.length/2)), a.centre.Sub(along.Scale(a.length/2))
	neck := tip.Sub(along.Scale(6))
	var shaft, head vg.Path
	shaft.Move(tail)
	shaft.Line(neck)
	head.Move(tip)
	head.Line(neck.Add(across.Scale(3)))
	head.Line(neck.Sub(across.Scale(3)))
	head.Close()
	stroke(c, shaft, 4, white)
	stroke(c, head, 2.4, white)
	stroke(c, shaft, 1.6, black)
	c.SetColor(black)
	c.Fill(head)
	if a.text == "" {
		return
	}
	style := lettering(smallest, true, black)
	half := vg.Point{X: style.Width(a.text)/2 + 1.5, Y: smallest/2 + 1}
	c.SetColor(withAlpha(white, 225))
	c.Fill(vg.Rectangle{Min: a.at.Sub(half), Max: a.at.Add(half)}.Path())
	write(c, style, a.at, 0.5, a.text)
}

// fallTurn returns the direction of the target's fall, counter-clockwise from right.
func (s *sheet) fallTurn() float64 {
	plane, _ := surface.IsPlane(s.Target)
	return math.Atan2(-plane.SlopeY, -plane.SlopeX)
}

// bends reports whether the target is one on which water runs in several directions, on a map of
// depths.
func (s *sheet) bends() bool {
	_, plane := surface.IsPlane(s.Target)
	return !plane && s.unitWeight == 0 && !s.Departure
}

// fallsText is how much a target that bends falls: "1 %" or "0.9 to 1.2 %". Empty if it is level.
func (s *sheet) fallsText() string {
	least, greatest, _, err := s.Floor.FallsOf(s.Target)
	low, high := fallText(least), fallText(greatest)
	switch {
	case err != nil || greatest == 0:
		return ""
	case low == high:
		return high
	}
	return strings.TrimSuffix(low, " %") + " to " + high
}

const (
	fallStep = 92 // pt between the arrows of a target that bends, about
	fallLong = 17 // pt, of each of them
)

// placeFalls finds room for arrows all over a target that bends, and takes it: about one in each
// square of the page where the fall has one direction from the tail of the arrow to its tip. If part
// of the page is given, arrows are whole in it.
func (s *sheet) placeFalls(g *ground, part *vg.Rectangle) []arrow {
	if !s.bends() {
		return nil
	}
	lo, hi := s.Floor.Bounds()
	from, to := s.frame.at(lo), s.frame.at(hi)
	if part != nil {
		from = vg.Point{X: max(from.X, part.Min.X), Y: max(from.Y, part.Min.Y)}
		to = vg.Point{X: min(to.X, part.Max.X), Y: min(to.Y, part.Max.Y)}
	}
	var out []arrow
	many := func(long vg.Length) int { return max(1, int(math.Round(float64(long)/fallStep))) }
	wide, high := many(to.X-from.X), many(to.Y-from.Y)
	step := vg.Point{X: (to.X - from.X) / vg.Length(wide), Y: (to.Y - from.Y) / vg.Length(high)}
	for i := range wide {
		for j := range high {
			middle := from.Add(vg.Point{X: step.X * (vg.Length(i) + 0.5), Y: step.Y * (vg.Length(j) + 0.5)})
			if a, ok := s.fallNear(g, middle, step, part); ok {
				g.mark(a.area(), taken)
				out = append(out, a)
			}
		}
	}
	return out
}

// area is the area of an arrow without its text.
func (a arrow) area() box { return box{centre: a.centre, w: a.length, h: 9, turn: a.turn} }

// fallNear returns an arrow as near as possible to the middle of a square of the page.
func (s *sheet) fallNear(g *ground, middle, step vg.Point, part *vg.Rectangle) (arrow, bool) {
	const tries, one = 3, 0.97 // one direction: within 14°
	best, found := arrow{}, math.Inf(1)
	for i := -tries; i <= tries; i++ {
		for j := -tries; j <= tries; j++ {
			at := middle.Add(vg.Point{X: step.X * vg.Length(i) / (2.5 * tries), Y: step.Y * vg.Length(j) / (2.5 * tries)})
			cost := math.Hypot(float64(at.X-middle.X), float64(at.Y-middle.Y))
			if cost >= found || !g.onFloor(at) {
				continue
			}
			_, down := surface.FallAt(s.Target, s.frame.place(at))
			a := arrow{centre: at, length: fallLong, turn: math.Atan2(down.Y, down.X)}
			half := vg.Point{X: vg.Length(down.X) * fallLong / 2, Y: vg.Length(down.Y) * fallLong / 2}
			tip, tail := at.Add(half), at.Sub(half)
			if down == (surface.Vec{}) || !g.onFloor(tip) || !g.onFloor(tail) || part != nil && !Holds(*part, a.area().bounds()) {
				continue
			}
			_, first := surface.FallAt(s.Target, s.frame.place(tail))
			_, last := surface.FallAt(s.Target, s.frame.place(tip))
			if first.X*down.X+first.Y*down.Y < one || last.X*down.X+last.Y*down.Y < one {
				continue
			}
			if free, _ := g.free(a.area()); free {
				best, found = a, cost
			}
		}
	}
	return best, !math.IsInf(found, 1)
}

// label is the area of the text of a.
func (a arrow) label() box {
	return box{centre: a.at, w: lettering(smallest, true, black).Width(a.text) + 4, h: smallest + 2}
}

// placeFall finds room on the floor for the arrow of a falling target, as near its middle as
// possible, and takes it; nil if the target is level. If over is true the arrow may cover
// marks when there is no other room; if not, there is no arrow then. If part of the page is
// given, the arrow is whole in it, near its middle.
func (s *sheet) placeFall(g *ground, over bool, part *vg.Rectangle) *arrow {
	slope := s.slope()
	if slope == 0 {
		return nil
	}
	a := &arrow{length: 46, turn: s.fallTurn(), text: fallText(slope)}
	tall := vg.Length(10)
	width := a.label().w
	sin, cos := math.Sincos(a.turn)
	off := tall/2 + vg.Length(math.Abs(sin))*width/2 + vg.Length(math.Abs(cos))*(smallest/2+1)
	lo, hi := s.Floor.Bounds()
	from, to := s.frame.at(lo), s.frame.at(hi)
	if part != nil {
		from = vg.Point{X: max(from.X, part.Min.X), Y: max(from.Y, part.Min.Y)}
		to = vg.Point{X: min(to.X, part.Max.X), Y: min(to.Y, part.Max.Y)}
	}
	middle := from.Add(to).Scale(0.5)
	best := math.Inf(1)
	const steps = 24
	for i := range steps + 1 {
		for j := range steps + 1 {
			at := vg.Point{X: from.X + (to.X-from.X)*vg.Length(i)/steps, Y: from.Y + (to.Y-from.Y)*vg.Length(j)/steps}
			try := arrow{centre: at, length: a.length, turn: a.turn}
			label := at.Add(vg.Point{X: -vg.Length(sin) * off, Y: vg.Length(cos) * off})
			along := vg.Point{X: vg.Length(cos) * a.length / 2, Y: vg.Length(sin) * a.length / 2}
			if !g.onFloor(at.Add(along)) || !g.onFloor(at.Sub(along)) || !g.onFloor(label) {
				continue
			}
			head, words := box{centre: at, w: a.length, h: tall, turn: try.turn}.bounds(), box{centre: label, w: width, h: smallest + 2}.bounds()
			if part != nil && !(Holds(*part, head) && Holds(*part, words)) {
				continue
			}
			freeA, linesA := g.free(box{centre: at, w: a.length, h: tall, turn: try.turn})
			freeB, linesB := g.free(box{centre: label, w: width, h: smallest + 2})
			d := at.Sub(middle)
			cost := math.Hypot(float64(d.X), float64(d.Y)) + 2*float64(linesA+linesB)
			if !freeA || !freeB { // over marks of shots if necessary
				if !over {
					continue
				}
				cost += 1000
			}
			if cost < best {
				best, a.centre, a.at = cost, at, label
			}
		}
	}
	if math.IsInf(best, 1) && !over {
		return nil
	}
	if math.IsInf(best, 1) { // a floor narrower than the arrow
		a.centre, a.at = middle, middle.Add(vg.Point{X: -vg.Length(sin) * off, Y: vg.Length(cos) * off})
	}
	g.mark(box{centre: a.centre, w: a.length, h: tall, turn: a.turn}, taken)
	g.mark(box{centre: a.at, w: width, h: smallest + 2}, taken)
	return a
}
