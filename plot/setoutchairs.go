package plot

import (
	"cmp"
	"math"
	"pourplane/surface"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const (
	chairDot    = 1.1 // pt, radius
	chairLetter = 6   // pt
	mostLetters = 26  // of the alphabet
)

// chairHeights lists the heights of the chairs, each once, as given: the first is a.
func (s *setOutSheet) chairHeights() (out []string) {
	for _, h := range s.Heights {
		if !slices.Contains(out, h) {
			out = append(out, h)
		}
	}
	return out
}

// chairsLettered reports whether chairs have letters for their heights: if no two would touch.
func (s *setOutSheet) chairsLettered() bool {
	if len(s.Heights) == 0 || len(s.chairHeights()) > mostLetters {
		return false
	}
	if s.frame.scale == 0 {
		return true
	}
	near := chairLetter / s.frame.scale
	all := slices.Clone(s.Chairs)
	slices.SortFunc(all, func(v, w surface.Vec) int { return cmp.Compare(v.X, w.X) })
	first := 0 // the first that is near in x
	for i, v := range all {
		for v.X-all[first].X >= near {
			first++
		}
		for _, w := range all[first:i] {
			if math.Abs(v.Y-w.Y) < near {
				return false
			}
		}
	}
	return true
}

// chairSize is the room that a chair takes on the plan.
func (s *setOutSheet) chairSize() vg.Length {
	if s.chairsLettered() {
		return chairLetter
	}
	return 3
}

// drawChairs draws the chairs as letters for their heights, or as dots, and crosses where a
// chair has no room.
func (s *setOutSheet) drawChairs(c draw.Canvas) {
	all := s.chairHeights()
	lettered := s.chairsLettered()
	letters := make([]chairMark, len(all))
	for k := range all {
		letters[k] = s.chairLetter(k)
	}
	for i, v := range s.Chairs {
		at := s.frame.at(v)
		if !lettered {
			c.SetColor(black)
			c.Fill(dot(at, chairDot))
			continue
		}
		letters[slices.Index(all, s.Heights[i])].draw(c, at)
	}
	for _, v := range s.NoChair {
		noChairSign(c, s.frame.at(v))
	}
}

// chairMark is the letter of a height.
type chairMark struct{ label }

func (s *setOutSheet) chairLetter(k int) chairMark {
	return chairMark{newLabel(string(rune('a'+k)), chairLetter, true)}
}

func (m chairMark) draw(c draw.Canvas, at vg.Point) {
	c.SetColor(white)
	c.Fill(dot(at, chairLetter*0.45))
	m.centre = at
	m.write(c, 0)
}

func noChairSign(c draw.Canvas, at vg.Point) {
	const in = 2.2
	var cross vg.Path
	cross.Move(at.Add(vg.Point{X: -in, Y: -in}))
	cross.Line(at.Add(vg.Point{X: in, Y: in}))
	cross.Move(at.Add(vg.Point{X: -in, Y: in}))
	cross.Line(at.Add(vg.Point{X: in, Y: -in}))
	stroke(c, cross, 1, black)
}

// chairEntries are the chairs with the height of each letter, and the crosses.
func (s *setOutSheet) chairEntries() (out []entry) {
	if n := len(s.Chairs); n > 0 {
		text, sign := count(n, "chair", "chairs"), dotSign(chairDot)
		switch all := s.chairHeights(); {
		case len(all) == 0:
		case s.chairsLettered():
			var keys []string
			for k, h := range all {
				keys = append(keys, string(rune('a'+k))+"\u00a0"+strings.ReplaceAll(h, " ", "\u00a0"))
			}
			text += ", a letter each for the height: " + strings.Join(keys, ", ")
			sign = func(c draw.Canvas, at vg.Point) { s.chairLetter(0).draw(c, at) }
		default:
			text += "; no room for their heights"
		}
		out = append(out, entry{sign, text})
	}
	if n := len(s.NoChair); n > 0 {
		out = append(out, entry{noChairSign, count(n, "place", "places") + " without room for a chair"})
	}
	return out
}
