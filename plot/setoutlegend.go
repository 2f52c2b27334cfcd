package plot

import (
	"cmp"
	"fmt"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

func (s *setOutSheet) legendHeight(page vg.Length) vg.Length {
	if s.Bare {
		return 0
	}
	h := entriesHeight(s.entries(), page)
	if len(s.Pins)+len(s.Bays) > 0 {
		h += entryLead // for the entry on what is left out
	}
	return h
}

func (s *setOutSheet) legend(c draw.Canvas) {
	drawBeside(c, s.entries())
	scaleBar(draw.Crop(c, c.Size().X-scaleRoom, 0, 0, 0), s.Units, s.frame.scale)
}

// setOutLegend is the legend of a plan by itself.
type setOutLegend struct{ *setOutSheet }

// Legend returns the legend of the visible part of the plan, to be set beneath a bare plan.
func (p *SetOutPlan) Legend() Drawing { return setOutLegend{p.shownSheet()} }

func (l setOutLegend) heading() string { return "" }

func (l setOutLegend) Height(width vg.Length) vg.Length { return entriesHeight(l.entries(), width) }

func (l setOutLegend) Draw(c draw.Canvas) error {
	l.legend(draw.Crop(c, margin, -margin, 0, 0))
	return nil
}

func (s *setOutSheet) entries() []entry {
	var out []entry
	add := func(sign func(draw.Canvas, vg.Point), format string, args ...any) {
		out = append(out, entry{sign, fmt.Sprintf(format, args...)})
	}
	if n := len(s.Pins); n > 0 {
		sign := func(q SetOutPin) func(draw.Canvas, vg.Point) {
			return func(c draw.Canvas, at vg.Point) { q.draw(c, at) }
		}
		if s.lettered() {
			add(sign(SetOutPin{}), "%s: name, and height of the mark in bold, %s", count(n, "pin", "pins"), s.unitName())
		} else {
			add(sign(SetOutPin{}), "%s", count(n, "pin", "pins"))
		}
		if s.frame.scale > 0 && s.named+s.told < 2*n {
			add(func(draw.Canvas, vg.Point) {}, "%s not shown, no room; %s has all", s.leftOut(n), cmp.Or(s.List, "the list"))
		}
		kinds := func(is func(SetOutPin) bool) int {
			k := 0
			for _, q := range s.Pins {
				if is(q) {
					k++
				}
			}
			return k
		}
		if k := kinds(func(q SetOutPin) bool { return q.Wall }); k > 0 {
			add(sign(SetOutPin{Wall: true}), "%d of them at walls", k)
		}
		if k := kinds(func(q SetOutPin) bool { return q.Kind == PinNothing }); k > 0 {
			add(sign(SetOutPin{Kind: PinNothing}), "nothing to pour at %d of them", k)
		}
		if kinds(func(q SetOutPin) bool { return q.Kind == PinStart }) > 0 {
			add(sign(SetOutPin{Kind: PinStart}), "start here")
		}
	}
	for way, bars := range s.ways {
		if len(bars) == 0 {
			continue
		}
		text := count(len(bars), "bar", "bars") + []string{" one way", " the other way"}[way]
		if s.every[way] > 1 {
			text += fmt.Sprintf(", one line in %d drawn", s.every[way])
		}
		add(func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), 0.8, barInks[way], barDashes[way]...) }, "%s", text)
	}
	if len(s.laps) > 0 && s.every == [2]int{1, 1} {
		add(func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), lapWidth, black) }, "lap of two bars")
	}
	if n := len(s.Sheets); n > 0 {
		add(sheetSign, "%s of mesh", count(n, "sheet", "sheets"))
	}
	if n := len(s.Chairs); n > 0 {
		add(func(c draw.Canvas, at vg.Point) { c.SetColor(black); c.Fill(dot(at, 1.1)) }, "%s", count(n, "chair", "chairs"))
	}
	if len(s.Dams) > 0 {
		text := "dam"
		if s.frame.scale > 0 && s.nameless > 0 {
			text += fmt.Sprintf(", %d without room for the name; the list of bays has all", s.nameless)
		}
		add(func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), damWidth, damInk) }, "%s", text)
	}
	if n := len(s.Bays); n > 0 {
		text := count(n, "bay", "bays")
		if s.frame.scale > 0 && s.titled < n {
			text += fmt.Sprintf(", %d without room for its name", n-s.titled)
		}
		if s.frame.scale > 0 && s.untold > 0 {
			text += fmt.Sprintf("; %d without text, see the list", s.untold)
		}
		add(swatchSign(0, 4, tints[0], nil), "%s", text)
	}
	if s.Exit != nil {
		add(exitSign, "way out")
	}
	if len(s.drains()) > 0 {
		add(drainSign, "%s", drainText+s.withoutName(s.unnamedDrains()))
	}
	if slope := s.slope(); slope > 0 {
		add(func(c draw.Canvas, at vg.Point) { arrow{centre: at, length: 16}.draw(c) }, "the target falls this way, by %s", fallText(slope))
	}
	if len(s.Windows) > 0 {
		add(func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), 1, damInk, 5, 3) }, "what each sheet shows, by its letter")
	}
	if s.Thin > 0 && s.fill.Least < s.Thin {
		add(swatchSign(1, 6, thinTint, thinLine), "hatched: fill thinner than %s", s.Units.Depth(s.Thin))
	}
	if s.fill.Least < 0 {
		add(func(c draw.Canvas, at vg.Point) {
			ground := thinTint
			if s.Thin == 0 {
				ground = white
			}
			swatchSign(-1, cutSpacing, ground, cutLine)(c, at)
		}, "hatched closely: floor above the target, nothing to pour")
	}
	if len(s.contours) > 0 {
		text := "lines of equal depth, " + s.unitName()
		if step, ok := evenStep(s.bands.limits); ok {
			text = "lines of equal depth, every " + s.Units.Depth(step)
		}
		add(func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), 0.4, contourInk) }, "%s", text)
	}
	if len(s.Floor.Openings) > 0 {
		add(swatchSign(-1, 3, white, voidLine), "not poured")
	}
	if len(s.Floor.Steps) > 0 {
		add(func(c draw.Canvas, at vg.Point) { strokeStep(c, dash(at)) }, "step in the floor")
	}
	if len(s.Finished) > 0 {
		text := "adjoining finished floor"
		if n := len(s.Finished) - len(s.finished); n > 0 {
			text += fmt.Sprintf("; %s not shown", grouped(float64(n)))
		}
		text += s.withoutName(s.unnamedDoors())
		add(func(c draw.Canvas, at vg.Point) { c.SetColor(black); c.Fill(diamond(at, 3.2)) }, "%s", text)
	}
	if s.Scale > 0 {
		add(nil, "1:%g on a print at full size", s.Scale)
	}
	return append(out, planEntry)
}

// withoutName gives the number of marks of a laid out plan without room for the name.
func (s *setOutSheet) withoutName(n int) string {
	if n == 0 || s.frame.scale == 0 {
		return ""
	}
	return fmt.Sprintf("; %d without room for the name", n)
}

// lettered reports whether any pin has text.
func (m *SetOutMap) lettered() bool {
	return slices.ContainsFunc(m.Pins, func(q SetOutPin) bool { return q.Name+q.Text != "" })
}

// sheetSign is a rectangle with a diagonal.
func sheetSign(c draw.Canvas, at vg.Point) {
	r := vg.Rectangle{Min: at.Sub(vg.Point{X: 8, Y: 4}), Max: at.Add(vg.Point{X: 8, Y: 4})}
	var across vg.Path
	across.Move(r.Min)
	across.Line(r.Max)
	stroke(c, r.Path(), 0.8, barInks[0])
	stroke(c, across, 0.4, barInks[0])
}

// leftOut gives how many names and heights of n pins are not written.
func (s *setOutSheet) leftOut(n int) string {
	heights, names := count(n-s.told, "height", "heights"), count(n-s.named, "name", "names")
	switch {
	case s.named == n:
		return heights
	case s.told == n:
		return names
	}
	return heights + " and " + names
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return grouped(float64(n)) + " " + many
}
