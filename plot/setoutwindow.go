package plot

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
)

// PlanWindow is the part of a plan that a sheet shows.
type PlanWindow struct {
	Name   string
	Lo, Hi surface.Vec
}

// Holds reports whether all of b is in a.
func Holds(a, b vg.Rectangle) bool {
	const slack = 1e-6 // pt, of places that are sums
	return b.Min.X >= a.Min.X-slack && b.Min.Y >= a.Min.Y-slack && b.Max.X <= a.Max.X+slack && b.Max.Y <= a.Max.Y+slack
}

// SheetsAtLeast returns how many sheets that show w by h of the plan it takes at the least for
// each pin to be whole on one, without placing its lettering: no sheet holds two of so many
// pins. It is 0 if that cannot be said.
func (m *SetOutMap) SheetsAtLeast(w, h vg.Length) int {
	s := newSetOutSheet(m)
	around := vg.Length(0) // name and height of a pin, on any side of each other
	for i := range m.Pins {
		for k := range pinSizes {
			name, height := s.pairOf(i, k)
			around = max(around, name.w+name.h+height.w+height.h)
		}
	}
	const mark = startRadius + clear
	if whole := max(leaderReach+around, 2*around) + 2*mark; whole > min(w, h)/2 {
		return 0 // sheets do not overlap by so much
	}
	lo, hi := s.reach()
	air := float64(leaderReach+around+mark) / m.perMetre()
	var inside []surface.Vec // pins with all their lettering
	for _, q := range m.Pins {
		if q.At.X >= lo.X+air && q.At.X <= hi.X-air && q.At.Y >= lo.Y+air && q.At.Y <= hi.Y-air {
			inside = append(inside, q.At)
		}
	}
	slices.SortFunc(inside, func(a, b surface.Vec) int { return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X)) })
	const slack = 1 // pt
	wide, high := float64(w+slack)/m.perMetre(), float64(h+slack)/m.perMetre()
	var apart []surface.Vec
	for _, p := range inside {
		if !slices.ContainsFunc(apart, func(q surface.Vec) bool { return math.Abs(p.X-q.X) <= wide && math.Abs(p.Y-q.Y) <= high }) {
			apart = append(apart, p)
		}
	}
	return len(apart)
}

// boxOf returns the area of the mark of pin i.
func (s *setOutSheet) boxOf(i int) box {
	r := 2 * s.radius(i)
	return box{centre: s.frame.at(s.Pins[i].At), w: r, h: r}
}

// pinBoxes returns the area of each pin with its lettering, from the corner of the page.
func (s *setOutSheet) pinBoxes() []vg.Rectangle {
	out := make([]vg.Rectangle, len(s.Pins))
	for i := range out {
		out[i] = s.boxOf(i).bounds()
	}
	for _, l := range s.labels {
		if l.of > 0 {
			r, b := &out[l.of-1], l.bounds()
			r.Min = vg.Point{X: min(r.Min.X, b.Min.X), Y: min(r.Min.Y, b.Min.Y)}
			r.Max = vg.Point{X: max(r.Max.X, b.Max.X), Y: max(r.Max.Y, b.Max.Y)}
		}
	}
	for i := range out {
		out[i] = vg.Rectangle{Min: out[i].Min.Sub(s.corner), Max: out[i].Max.Sub(s.corner)}
	}
	return out
}

// inWindow reports whether all of b is in the window.
func (s *setOutSheet) inWindow(b box) bool {
	r := b.bounds()
	return s.window == (vg.Rectangle{}) || Holds(s.window, vg.Rectangle{Min: r.Min.Sub(s.corner), Max: r.Max.Sub(s.corner)})
}

// shown returns the part of the page that the window shows; nil: all of it.
func (s *setOutSheet) shown() *vg.Rectangle {
	if s.window == (vg.Rectangle{}) {
		return nil
	}
	return &vg.Rectangle{Min: s.window.Min.Add(s.corner), Max: s.window.Max.Add(s.corner)}
}

// leaveOutCut leaves out what is not whole in the window: a mark with all its lettering,
// which otherwise would seem to belong to another mark. Pins left out do not count as
// unwritten.
func (s *setOutSheet) leaveOutCut() {
	if s.window == (vg.Rectangle{}) {
		return
	}
	s.hidden = map[int]bool{}
	for i := range s.Pins {
		s.hidden[i+1] = !s.inWindow(s.boxOf(i))
	}
	for i, q := range s.finished {
		s.hidden[-i-1] = !s.inWindow(box{centre: s.frame.at(surface.Vec{X: q.X, Y: q.Y}), w: 10, h: 10})
	}
	first := len(s.finished) + 1
	for i, q := range s.drains() {
		s.hidden[-first-i] = !s.inWindow(drainBox(s.frame.at(surface.Vec{X: q.X, Y: q.Y})))
	}
	for i, q := range s.benches {
		s.hidden[s.firstBench()-i] = !s.inWindow(benchBox(s.frame.at(surface.Vec{X: q.X, Y: q.Y})))
	}
	names, heights := map[int]bool{}, map[int]bool{}
	for _, l := range s.labels {
		if l.of != 0 && l.of > -first && !s.inWindow(l.box) { // a drain is shown without its name
			s.hidden[l.of] = true
		}
		names[l.of], heights[l.of] = names[l.of] || !l.bold, heights[l.of] || l.bold
	}
	for i, q := range s.Pins {
		if s.hidden[i+1] && q.Name != "" && !names[i+1] {
			s.named++
		}
		if s.hidden[i+1] && q.Text != "" && !heights[i+1] {
			s.heights++
		}
	}
	for _, labels := range []*[]label{&s.labels, &s.bays, &s.dams, &s.barMarks} {
		*labels = slices.DeleteFunc(*labels, func(l label) bool { return s.hidden[l.of] || !s.inWindow(l.box) })
	}
	s.materials = slices.DeleteFunc(s.materials, func(m materialSpot) bool {
		spot := box{centre: m.leader.from}
		return m.led && !s.inWindow(spot) || slices.ContainsFunc(m.labels, func(l label) bool { return !s.inWindow(l.box) })
	})
	s.leaders = slices.DeleteFunc(s.leaders, func(l leader) bool { return s.hidden[l.of] })
}

// unnamedDoors returns how many visible marks of the adjoining finished floor have no room
// for their names, unnamedDrains how many drains, unnamedBenches how many benchmarks.
func (s *setOutSheet) unnamedDoors() int { return s.unnamed(s.finished, -1) }

func (s *setOutSheet) unnamedDrains() int { return s.unnamed(s.drains(), -len(s.finished)-1) }

func (s *setOutSheet) unnamedBenches() int { return s.unnamed(s.benches, s.firstBench()) }

// unnamed counts the points without their names; labels of points[0] have owner first, of
// the next point first − 1.
func (s *setOutSheet) unnamed(points []survey.Point, first int) (n int) {
	for i, q := range points {
		of := first - i
		if q.Name() != "" && !s.hidden[of] && !slices.ContainsFunc(s.labels, func(l label) bool { return l.of == of }) {
			n++
		}
	}
	return n
}

// drawWindows frames the parts that sheets show, each with its name in a corner. A frame
// ends at the axes, clear of their lettering.
func (s *setOutSheet) drawWindows(c draw.Canvas) {
	style := lettering(14, true, damInk)
	for _, w := range s.Windows {
		lo, hi := s.frame.at(w.Lo), s.frame.at(w.Hi)
		r := vg.Rectangle{Min: vg.Point{X: max(lo.X, c.Min.X+1), Y: max(lo.Y, c.Min.Y+1)}, Max: vg.Point{X: min(hi.X, c.Max.X-1), Y: min(hi.Y, c.Max.Y-1)}}
		stroke(c, r.Path(), 1, damInk, 5, 3)
		at := vg.Point{X: r.Min.X + style.Width(w.Name)/2 + 5, Y: r.Max.Y - 12}
		box{centre: at, w: style.Width(w.Name) + 4, h: 14}.plate(c, 230)
		write(c, style, at, 0.5, w.Name)
	}
}
