package plot

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
)

// pairOf returns the name and the height of pin i in size k, without places.
func (s *setOutSheet) pairOf(i, k int) (name, height label) {
	if s.pairs[k] == nil {
		s.pairs[k] = make([][2]label, len(s.Pins))
		for j, q := range s.Pins {
			n, h := newLabel(q.Name, nameSize(pinSizes[k]), false), newLabel(q.Text, pinSizes[k], true)
			n.of, h.of = j+1, j+1
			s.pairs[k][j] = [2]label{n, h}
		}
	}
	return s.pairs[k][i][0], s.pairs[k][i][1]
}

// pairPlace is where a name and a height are, from the mark.
type pairPlace struct{ n, h vg.Point }

// pairPlaces appends the places of a name and a height beside a mark of radius r to out, the
// preferred first: rows of them with one above the other, then those in one row. With
// regularly it is the first of them only.
func pairPlaces(out []pairPlace, n, h box, r vg.Length, first layout, may extent) (places []pairPlace, rows int) {
	rightward := func(side vg.Length) pairPlace {
		return pairPlace{vg.Point{X: side * (r + n.w/2), Y: n.h / 2}, vg.Point{X: side * (r + h.w/2), Y: -h.h / 2}}
	}
	if first == beside {
		out = append(out, rightward(1))
	}
	up, down := r+n.h/2, -(r + h.h/2)
	out = append(out, pairPlace{vg.Point{Y: up}, vg.Point{Y: down}})
	if may == regularly {
		return out[:1], 1
	}
	for _, side := range []vg.Length{1, -1} {
		out = append(out, pairPlace{vg.Point{X: side * (n.w/2 - pinRadius), Y: up}, vg.Point{X: side * (h.w/2 - pinRadius), Y: down}})
	}
	for _, side := range []vg.Length{1, -1} {
		out = append(out, rightward(side))
	}
	for _, side := range []vg.Length{0, 1, -1} { // both above, both beneath
		nx, hx := side*(n.w/2-pinRadius), side*(h.w/2-pinRadius)
		out = append(out,
			pairPlace{vg.Point{X: nx, Y: r + h.h + n.h/2}, vg.Point{X: hx, Y: r + h.h/2}},
			pairPlace{vg.Point{X: nx, Y: -(r + n.h/2)}, vg.Point{X: hx, Y: -(r + n.h + h.h/2)}})
	}
	out = append(out, pairPlace{vg.Point{Y: -(r + n.h/2)}, vg.Point{Y: r + h.h/2}}) // staggered: between neighbours in the layout
	rows = len(out)
	row := func(start, y vg.Length) {
		out = append(out, pairPlace{vg.Point{X: start + n.w/2, Y: y}, vg.Point{X: start + n.w + h.w/2, Y: y}})
	}
	for _, y := range []vg.Length{-(r + h.h/2), r + h.h/2} { // in one row beneath or above
		for _, start := range []vg.Length{-(n.w + h.w) / 2, -pinRadius, pinRadius - n.w - h.w} {
			row(start, y)
		}
	}
	for _, start := range []vg.Length{r, -r - n.w - h.w} { // and at the side
		for _, y := range []vg.Length{0, -0.4 * h.h, 0.4 * h.h} {
			row(start, y)
		}
	}
	return out, rows
}

// placePair finds room for name and height of pin i in size k, and adds them to labels: in
// the layout, or elsewhere beside the mark within the extent.
func (s *setOutSheet) placePair(g *ground, i, k int, first layout, may extent, labels *[]label) bool {
	q := s.Pins[i]
	at, r := s.frame.at(q.At), s.radius(i)
	n, h := s.pairOf(i, k)
	switch {
	case q.Name == "" && q.Text == "":
		return true
	case q.Name == "" || q.Text == "":
		l := n
		if q.Name == "" {
			l = h
		}
		ok := g.take(&l, at, s.owned(i, l.box, round(at, r, l, q.Name == "")), math.MaxInt)
		if ok {
			*labels = append(*labels, l)
		}
		return ok
	}
	var room [32]pairPlace
	places, rows := pairPlaces(room[:0], n.box, h.box, r, first, may)
	best := math.MaxInt
	if may == regularly {
		best = 1
	}
	most := best
	for rank, c := range places {
		if rank >= best {
			break // no later place is better
		}
		a, b := n.box, h.box
		a.centre, b.centre = at.Add(c.n), at.Add(c.h)
		a, b = outward(a, at), outward(b, at)
		free, lines := g.free(a)
		if !free {
			continue
		}
		free, more := g.free(b)
		if !free {
			continue
		}
		lines += more
		if rank >= rows { // no wall between the two
			both := box{centre: at.Add(vg.Point{X: c.n.X + h.w/2, Y: c.n.Y}), w: n.w + h.w, h: h.h}
			if free, lines = g.free(both); !free {
				continue
			}
		}
		if cost := lines + rank; cost < best && s.clearOfMarks(i, a, pinSizes[k]) && s.clearOfMarks(i, b, pinSizes[k]) && s.ownsBoth(i, n.box, h.box, c) {
			best, n.centre, h.centre = cost, at.Add(c.n), at.Add(c.h)
		}
	}
	if best == most {
		return false
	}
	for _, l := range []label{n, h} {
		b := outward(l.box, at)
		b.w += 2 * s.apart * pinSizes[k]
		g.mark(b, taken)
	}
	*labels = append(*labels, n, h)
	return true
}

// clearOfMarks reports whether b, lettering of pin i in a size, has the gap to the marks of
// all others.
func (s *setOutSheet) clearOfMarks(i int, b box, size vg.Length) bool {
	gap := s.apart * size / 2
	return gap == 0 || s.offMarks(i, b, gap+pinRadius)
}

// offMarks reports whether b keeps a distance from the marks of all pins but i.
func (s *setOutSheet) offMarks(i int, b box, least vg.Length) bool {
	const slack = 1e-6 // pt, of sums
	left, right := b.centre.X-b.w/2-least-slack, b.centre.X+b.w/2+least+slack
	from, _ := slices.BinarySearchFunc(s.marks, left, func(m pinMark, x vg.Length) int { return cmp.Compare(m.at.X, x) })
	for _, m := range s.marks[from:] {
		if m.at.X > right {
			break
		}
		if m.pin != i && b.to(m.at) < least {
			return false
		}
	}
	return true
}

// to returns the distance from b, upright, to p.
func (b box) to(p vg.Point) vg.Length {
	dx, dy := max(absLength(p.X-b.centre.X)-b.w/2, 0), max(absLength(p.Y-b.centre.Y)-b.h/2, 0)
	return vg.Length(math.Hypot(float64(dx), float64(dy)))
}

// owns reports whether b, lettering without a line, is nearer to the mark of pin i than to any
// other: it would be read at the other.
func (s *setOutSheet) owns(i int, b box) bool {
	return s.offMarks(i, b, b.to(s.frame.at(s.Pins[i].At))+nearer)
}

// nearer is how much nearer lettering is to its own mark than to another, pt. Own choice.
const nearer = 1.5

// ownsBoth reports whether a name and a height at a place are both nearest to pin i.
func (s *setOutSheet) ownsBoth(i int, n, h box, c pairPlace) bool {
	at := s.frame.at(s.Pins[i].At)
	n.centre, h.centre = at.Add(c.n), at.Add(c.h)
	return s.owns(i, n) && s.owns(i, h)
}

// owned returns the places where lettering is nearest to pin i.
func (s *setOutSheet) owned(i int, b box, places []vg.Point) []vg.Point {
	return slices.DeleteFunc(places, func(p vg.Point) bool {
		b.centre = p
		return !s.owns(i, b)
	})
}

func absLength(l vg.Length) vg.Length { return vg.Length(math.Abs(float64(l))) }

// pinMark is the mark of a pin on the page.
type pinMark struct {
	at  vg.Point
	pin int
}

// marksOnPage returns the marks of all pins from left to right.
func (s *setOutSheet) marksOnPage() []pinMark {
	out := make([]pinMark, len(s.Pins))
	for i, q := range s.Pins {
		out[i] = pinMark{s.frame.at(q.At), i}
	}
	slices.SortFunc(out, func(a, b pinMark) int { return cmp.Compare(a.at.X, b.at.X) })
	return out
}
