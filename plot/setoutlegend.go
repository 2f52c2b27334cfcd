package plot

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

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

// entries are the signs on the plan in reading order, each with its meaning.
func (s *setOutSheet) entries() []entry {
	out := slices.Concat(s.pinEntries(), s.materialEntries(), s.barEntries(), s.bayEntries(), s.fallEntries(s.withoutName(s.unnamedDrains())))
	if len(s.Windows) > 0 {
		out = append(out, entry{inkSign(1, damInk, 5, 3), "what each sheet shows, by its letter"})
	}
	out = slices.Concat(out, s.depthEntries(), floorEntries(s.Floor), s.rampEntries(), s.finishedEntries(), s.benchEntries())
	if s.Scale > 0 {
		return append(out, entry{nil, fmt.Sprintf("Plan view, 1:%g on a print at full size; x and y as in the survey file", s.Scale)})
	}
	return append(out, planEntry)
}

// pinEntries are the marks of pins, and how many pins have each.
func (s *setOutSheet) pinEntries() (out []entry) {
	n := len(s.Pins)
	if n == 0 {
		return nil
	}
	sign := func(q SetOutPin) func(draw.Canvas, vg.Point) {
		return func(c draw.Canvas, at vg.Point) { q.draw(c, at) }
	}
	text := count(n, "pin", "pins")
	if s.lettered() {
		text += ": name, and height of the mark in bold, " + s.unitName()
	}
	out = append(out, entry{sign(SetOutPin{}), text})
	if s.frame.scale > 0 && s.named+s.heights < 2*n {
		blank := func(draw.Canvas, vg.Point) {} // the text belongs to the sign above
		out = append(out, entry{blank, fmt.Sprintf("%s not shown, no room; %s has all", s.leftOut(n), cmp.Or(s.List, "the list"))})
	}
	if k := s.countPins(func(q SetOutPin) bool { return q.Wall }); k > 0 {
		out = append(out, entry{sign(SetOutPin{Wall: true}), fmt.Sprintf("%d of them at walls", k)})
	}
	if k := s.countPins(func(q SetOutPin) bool { return q.Kind == PinNothing }); k > 0 {
		out = append(out, entry{sign(SetOutPin{Kind: PinNothing}), fmt.Sprintf("nothing to pour at %d of them", k)})
	}
	if k := s.countPins(func(q SetOutPin) bool { return q.Doubt != "" }); k > 0 {
		out = append(out, entry{sign(SetOutPin{Doubt: "!"}), fmt.Sprintf("! %d in doubt: check before setting", k)})
	}
	if k := s.countPins(func(q SetOutPin) bool { return q.Slight }); k > 0 {
		out = append(out, entry{nil, fmt.Sprintf("without \"!\": %s that a shot in doubt changes by less than a step of the rule", count(k, "pin", "pins"))})
	}
	if s.countPins(func(q SetOutPin) bool { return q.Kind == PinStart }) > 0 {
		out = append(out, entry{sign(SetOutPin{Kind: PinStart}), "start placing here"})
	}
	return out
}

// countPins returns the number of pins that are of a kind.
func (m *SetOutMap) countPins(is func(SetOutPin) bool) (n int) {
	for _, q := range m.Pins {
		if is(q) {
			n++
		}
	}
	return n
}

// barEntries are the bars, their laps, the mesh and the chairs.
func (s *setOutSheet) barEntries() (out []entry) {
	for way, bars := range s.ways {
		if len(bars) == 0 {
			continue
		}
		text := count(len(bars), "bar", "bars") + []string{" one way", " the other way"}[way]
		if of := s.Ways[way]; of != "" {
			text = count(len(bars), "bar", "bars") + " " + of
		}
		if s.every[way] > 1 {
			text += fmt.Sprintf(", one line in %d drawn", s.every[way])
		}
		out = append(out, entry{inkSign(0.8, barInks[way], barDashes[way]...), text})
	}
	if len(s.laps) > 0 && s.every == [2]int{1, 1} {
		out = append(out, entry{lineSign(lapWidth), "lap of two bars"})
	}
	if n := len(s.Sheets); n > 0 {
		out = append(out, entry{sheetSign, count(n, "sheet", "sheets") + " of mesh"})
	}
	return append(out, s.chairEntries()...)
}

// bayEntries are the dams, the bays and the way out.
func (s *setOutSheet) bayEntries() (out []entry) {
	if len(s.Dams) > 0 {
		text := "dam"
		if s.frame.scale > 0 && s.nameless > 0 {
			text += fmt.Sprintf(", %d without room for the name; the list of bays has all", s.nameless)
		}
		out = append(out, entry{inkSign(damWidth, damInk), text})
	}
	if n := len(s.Bays); n > 0 {
		text := count(n, "bay", "bays")
		if s.frame.scale > 0 && s.titled < n {
			text += fmt.Sprintf(", %d without room for its name", n-s.titled)
		}
		if s.frame.scale > 0 && s.textless > 0 {
			text += fmt.Sprintf("; %d without text, see the list", s.textless)
		}
		out = append(out, entry{swatchSign(0, 4, tints[0], nil), text})
	}
	if s.Exit != nil {
		out = append(out, entry{exitSign, "exit"})
	}
	return out
}

// depthEntries are the hatchings of thin fill and of floor above the target, and the lines
// of equal depth.
func (s *setOutSheet) depthEntries() (out []entry) {
	if s.Thin > 0 && s.fill.Least < s.Thin {
		out = append(out, entry{swatchSign(1, 6, thinTint, thinLine), "hatched: fill thinner than " + s.Units.Depth(s.Thin)})
	}
	if s.fill.Least < 0 {
		ground := thinTint
		if s.Thin == 0 {
			ground = white
		}
		out = append(out, entry{swatchSign(-1, cutSpacing, ground, cutLine), "hatched closely: floor above the target, nothing to pour"})
	}
	if len(s.contours) > 0 {
		out = append(out, entry{inkSign(0.4, contourInk), "lines of equal depth, " + s.levelSteps()})
	}
	return out
}

// finishedEntries are the adjoining finished floor, and how much of it the plan leaves out.
func (s *setOutSheet) finishedEntries() []entry {
	if len(s.Finished) == 0 {
		return nil
	}
	text := "adjoining finished floor" + s.finishedLeftOut() + s.withoutName(s.unnamedDoors())
	return []entry{{finishedSign, text}}
}

// benchEntries are the benchmarks, with their elevations, and where those are that are not on the
// plan.
func (s *setOutSheet) benchEntries() (out []entry) {
	var on []string
	for i, q := range s.benches {
		if !s.hidden[s.firstBench()-i] {
			on = append(on, q.Name()+" "+s.Units.Elevation(q.Z))
		}
	}
	if len(on) > 0 {
		out = append(out, entry{benchSign, "benchmark: " + strings.Join(on, ", ")})
	}
	for _, q := range s.away {
		out = append(out, entry{nil, fmt.Sprintf("benchmark %s %s: outside the plan, at %s", q.Name(), s.Units.Elevation(q.Z), s.Units.Place(q.X, q.Y))})
	}
	return out
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
	heights, names := count(n-s.heights, "height", "heights"), count(n-s.named, "name", "names")
	switch {
	case s.named == n:
		return heights
	case s.heights == n:
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
