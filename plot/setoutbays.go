package plot

import (
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
)

// tints are pale, and distinct in grey print too.
var tints = []color.NRGBA{rgb(0xfaf5e0), rgb(0xe6c6bf), rgb(0xdcebf7), rgb(0xb7c3de), rgb(0xd3dfbd), rgb(0xc2b596)}

// tintBays gives bays that may touch different colours.
func (s *setOutSheet) tintBays(c draw.Canvas) {
	tint := s.bayTints()
	for i, b := range s.Bays {
		path := s.frame.ringPath(b.Rings...)
		if len(path) == 0 {
			continue
		}
		c.SetColor(tints[tint[i]])
		c.Fill(path)
	}
	for _, b := range s.Bays {
		stroke(c, s.frame.ringPath(b.Rings...), 0.6, grey)
	}
}

// bayTints returns the tint of each bay: the least used of those that no earlier bay with
// touching bounds has.
func (m *SetOutMap) bayTints() []int {
	type bounds struct{ lo, hi surface.Vec }
	all := make([]bounds, len(m.Bays))
	tint := make([]int, len(m.Bays))
	used := make([]int, len(tints))
	for i, b := range m.Bays {
		all[i] = bounds{surface.Vec{X: math.Inf(1), Y: math.Inf(1)}, surface.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
		for _, r := range b.Rings {
			for _, v := range r {
				all[i].lo = surface.Vec{X: min(all[i].lo.X, v.X), Y: min(all[i].lo.Y, v.Y)}
				all[i].hi = surface.Vec{X: max(all[i].hi.X, v.X), Y: max(all[i].hi.Y, v.Y)}
			}
		}
		const touch = 0.05 // m, more than a dam is thick
		near := make([]int, len(tints))
		for k := range i {
			p, q := all[i], all[k]
			if p.lo.X < q.hi.X+touch && q.lo.X < p.hi.X+touch && p.lo.Y < q.hi.Y+touch && q.lo.Y < p.hi.Y+touch {
				near[tint[k]]++
			}
		}
		best := 0
		for t := range tints {
			if near[t] < near[best] || near[t] == near[best] && used[t] < used[best] {
				best = t
			}
		}
		tint[i] = best
		used[best]++
	}
	return tint
}

// placeBays finds room for the names of bays and the text beneath: inside each bay, as near
// as possible to their place. In a strip they are turned upright, and if there is no room
// for both the name alone is written. What has no room is counted.
func (s *setOutSheet) placeBays(g *ground) {
	for _, b := range s.Bays {
		in := s.inside(g, b)
		try := func(turn float64, gap vg.Length, labels ...label) bool {
			if in.place(labels, s.frame.at(b.At), turn, gap) {
				for _, l := range labels {
					g.mark(l.box, taken)
				}
				s.bays = append(s.bays, labels...)
				s.titled++
				return true
			}
			return false
		}
		// Both, one above the other; then upright; then in one line upright.
		done := false
		for _, size := range []vg.Length{13, 11, 9, smallest} {
			if done = done || try(0, 1, newLabel(b.Name, size, true), newLabel(b.Text, 0.85*size, false)); done {
				break
			}
		}
		for _, size := range []vg.Length{9, smallest} {
			if done = done || try(math.Pi/2, 1, newLabel(b.Name, size, true), newLabel(b.Text, 0.85*size, false)); done {
				break
			}
			if done = done || try(math.Pi/2, -1, newLabel(b.Name, size, true), newLabel(b.Text, 0.85*size, false)); done {
				break
			}
		}
		if done {
			continue
		}
		for _, size := range []vg.Length{11, 9, smallest} {
			if try(0, 0, newLabel(b.Name, size, true)) || try(math.Pi/2, 0, newLabel(b.Name, size, true)) {
				if b.Text != "" {
					s.textless++
				}
				break
			}
		}
	}
}

// interior is where lettering may be in a bay, by cells of a point: counts of obstacles and
// of lines, summed from the lower left corner.
type interior struct {
	min           vg.Point
	w, h          int
	blocked, line []int32
}

// lineCost is the cost of a cell of a line under lettering, as a distance in points from the
// lettering's place.
const lineCost = 0.5

// inside returns the room in b that g leaves free. A bay without known edges has the whole
// ground.
func (s *setOutSheet) inside(g *ground, b Bay) *interior {
	var rings [][]vg.Point
	for _, r := range b.Rings {
		rings = append(rings, s.onPage(r))
	}
	return within(g, rings)
}

// within returns the room within rings that g leaves free; without rings, on the whole
// ground.
func within(g *ground, rings [][]vg.Point) *interior {
	x0, y0, x1, y1 := 0, 0, g.w, g.h // cells
	if len(rings) > 0 {
		x0, y0, x1, y1 = g.w, g.h, 0, 0
	}
	for _, at := range rings {
		for _, p := range at {
			x, y := int(p.X-g.min.X), int(p.Y-g.min.Y)
			x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x+1), max(y1, y+1)
		}
	}
	x0, y0, x1, y1 = max(x0, 0), max(y0, 0), min(x1, g.w), min(y1, g.h)
	in := &interior{min: g.min.Add(vg.Point{X: vg.Length(x0), Y: vg.Length(y0)}), w: max(x1-x0, 0), h: max(y1-y0, 0)}
	free := make([]bool, in.w*in.h)
	for y := range in.h {
		cy := in.min.Y + vg.Length(y) + 0.5
		var cuts []float64
		for _, r := range rings {
			for i, p := range r {
				q := r[(i+1)%len(r)]
				if (p.Y <= cy) != (q.Y <= cy) {
					cuts = append(cuts, float64(p.X+(cy-p.Y)/(q.Y-p.Y)*(q.X-p.X)-in.min.X))
				}
			}
		}
		slices.Sort(cuts)
		for k := 0; k+1 < len(cuts); k += 2 {
			for x := max(0, int(math.Ceil(cuts[k]-0.5))); x < in.w && float64(x)+0.5 <= cuts[k+1]; x++ {
				free[y*in.w+x] = true
			}
		}
		if len(rings) == 0 {
			for x := range in.w {
				free[y*in.w+x] = true
			}
		}
	}
	edge := &ground{min: in.min, w: in.w, h: in.h, cells: make([]uint8, in.w*in.h)}
	const clearOfEdge = 0.6 // pt
	for _, r := range rings {
		if len(r) == 0 {
			continue
		}
		m := measure(append(r, r[0]))
		for d := vg.Length(0); d <= m.length(); d++ {
			edge.mark(box{centre: m.point(d), w: damWidth + 2*clearOfEdge, h: damWidth + 2*clearOfEdge}, taken)
		}
	}
	in.blocked, in.line = make([]int32, (in.w+1)*(in.h+1)), make([]int32, (in.w+1)*(in.h+1))
	for y := range in.h {
		for x := range in.w {
			k, n := y*in.w+x, (y+1)*(in.w+1)+x+1
			up, left, both := n-in.w-1, n-1, n-in.w-2
			on := g.cells[(y+y0)*g.w+x+x0]
			in.blocked[n] = in.blocked[up] + in.blocked[left] - in.blocked[both]
			in.line[n] = in.line[up] + in.line[left] - in.line[both]
			if !free[k] || (on|edge.cells[k])&taken != 0 {
				in.blocked[n]++
			}
			if on&(lined|walled) != 0 {
				in.line[n]++
			}
		}
	}
	return in
}

// place moves labels to the nearest free place to a given place: one beneath the other with
// a gap, or side by side with a negative gap, all turned. It reports whether there is such a
// place.
func (in *interior) place(labels []label, at vg.Point, turn float64, gap vg.Length) bool {
	beside := gap < 0
	gap = max(gap, -gap)
	var w, h vg.Length
	for i, l := range labels {
		if i > 0 && beside {
			w += gap
		} else if i > 0 {
			h += gap
		}
		if beside {
			w, h = w+l.w, max(h, l.h)
		} else {
			w, h = max(w, l.w), h+l.h
		}
	}
	pw, ph := w, h
	if turn != 0 {
		pw, ph = h, w
	}
	nx, ny := int(math.Ceil(float64(pw))), int(math.Ceil(float64(ph)))
	best := math.Inf(1)
	var centre vg.Point
	sum := func(of []int32, x, y int) int32 {
		row := in.w + 1
		return of[(y+ny)*row+x+nx] - of[y*row+x+nx] - of[(y+ny)*row+x] + of[y*row+x]
	}
	for y := 0; y+ny <= in.h; y++ {
		for x := 0; x+nx <= in.w; x++ {
			if sum(in.blocked, x, y) > 0 {
				continue
			}
			c := vg.Point{X: in.min.X + vg.Length(x) + vg.Length(nx)/2, Y: in.min.Y + vg.Length(y) + vg.Length(ny)/2}
			if cost := math.Hypot(float64(c.X-at.X), float64(c.Y-at.Y)) + lineCost*float64(sum(in.line, x, y)); cost < best {
				best, centre = cost, c
			}
		}
	}
	if math.IsInf(best, 1) {
		return false
	}
	sin, cos := math.Sincos(turn)
	x, y := -w/2, h/2
	for i := range labels {
		l := &labels[i]
		var u, v vg.Length
		if beside {
			u = x + l.w/2
			x += l.w + gap
		} else {
			v = y - l.h/2
			y -= l.h + gap
		}
		l.turn = turn
		l.centre = centre.Add(vg.Point{X: u*vg.Length(cos) - v*vg.Length(sin), Y: u*vg.Length(sin) + v*vg.Length(cos)})
	}
	return true
}
