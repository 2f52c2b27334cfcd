// Package water finds where water stands on a floor and where it runs: ponds with their depth,
// area, volume and sill, the share of the floor that drains to each outlet, flow lines, and
// the least fall. The floor is its triangles, with their own elevations: as surveyed, after a
// pour, or the finished target.
//
// Walls, outer edges and openings alike, hold water. A step between regions is no wall: water
// falls from the high side to the low side, and a pond on the low side spills over the step
// once it is as high. Water leaves at outlets only. It is a matter of shape alone: no rain, no
// thickness of a film, no soaking in.
package water

import (
	"cmp"
	"fmt"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
)

// Outlet is a place where water leaves the floor.
//
// A drain is at a place on the floor, or up to [AtDrain] from its edge: a hole may be left out
// of the floor for it. An open side is the place on a wall, not on a step, that is nearest to
// At: a doorway without a dam.
type Outlet struct {
	Name string
	At   surface.Vec
	Open bool // an open side, not a drain

	// Z is the elevation, m, of the rim of a drain or of the sill of an open side. Water leaves
	// above it. NaN: at the elevation of the floor. A rim lower than the floor around it is a
	// corner of the floor, as the floor is dished to it. A sill lower than the floor changes
	// nothing: water leaves at the elevation of the floor.
	Z float64
}

// AtDrain is how far from the floor a drain may be, m: the body of a drain is narrower. Own
// choice.
const AtDrain = 0.3

// Options are what is listed, and what is wanted. The zero value lists every pond.
type Options struct {
	Shallow float64   // m: ponds less deep are counted, not listed, and water runs on over them
	Falls   []float64 // rise over run: wanted falls, see [Water.Flatter]
	Least   float64   // m²: the least area that a least fall must have; 0: a hundredth of the floor
}

// Pond is a place where water stands: a depression that is full to its sill, with all
// depressions inside it.
type Pond struct {
	At     surface.Vec // the deepest place
	Depth  float64     // m, there
	Area   float64     // m², plan
	Volume float64     // m³

	SpillsAt surface.Vec // the sill
	SpillZ   float64     // m, level of the water
	To       Target      // where the water goes from the sill

	Drains float64 // m², the part of the floor whose water runs into it, the pond itself included
}

// Kind is what a Target is.
type Kind uint8

const (
	None      Kind = iota // nowhere
	ToOutlet              // Index counts [Water.Outlets]
	ToPond                // Index counts [Water.Ponds]
	ToLowest              // Index counts [Water.Closed]
	OnTheFlat             // a level part of the floor
)

// Target is where water goes.
type Target struct {
	Kind  Kind
	Index int
}

// Drained is what an outlet takes.
type Drained struct {
	Outlet
	Place surface.Vec // where it is on the floor
	Floor float64     // m, elevation of the floor there
	Level float64     // m, above which water leaves
	Area  float64     // m², the part of the floor from which water runs to it before any pond is full
}

// Closed is a floor, or a part of one, from which no water leaves. All of it collects at its
// lowest place and has no sill. Where other ponds are listed there, the water in the lowest place
// is one too, up to the level at which it joins the first of them.
type Closed struct {
	At   surface.Vec // the lowest place
	Z    float64     // m, there
	Area float64     // m² of the part
	Runs float64     // m², the part of the floor from which water runs there before any pond is full
}

// Water is where water stands and runs on a floor.
type Water struct {
	Area    float64   // m² of floor, in plan
	Ponds   []Pond    // those not shallow, the largest volume first
	Outlets []Drained // as given
	Closed  []Closed  // parts of the floor without an outlet, the largest first

	Shallow     int     // ponds that are not listed
	ShallowArea float64 // m² of them

	// Level is the dry area without any fall, m². No water stands on it with a depth, and none
	// drains from it.
	Level float64

	Least Fall // the least fall that is not of a small part only

	// Flatter is the area with less than each of the wanted falls, m², ponds included.
	Flatter []float64

	m *mesh
	d *drainage
}

// Fall is a fall and its place.
type Fall struct {
	Fall float64     // rise over run
	At   surface.Vec // the middle of the largest triangle that falls no more
	Area float64     // m² that falls no more
}

// OffFloor is the refusal of an outlet that is not on the floor.
type OffFloor struct {
	Outlet int     // index
	Away   float64 // m from the floor
}

func (e *OffFloor) Error() string {
	return fmt.Sprintf("outlet %d is %.3f m from the floor", e.Outlet, e.Away)
}

// Draining is the area from which water runs to an outlet before any pond is full, m².
func (w *Water) Draining() float64 {
	var s sum.Sum
	for _, o := range w.Outlets {
		s.Add(o.Area)
	}
	return s.Value()
}

// Find finds where water stands on f and where it runs. The error is an [*OffFloor].
//
// Ponds are those of the filled surface, the lowest surface that is nowhere below the floor and
// from each place of which water can run to an outlet: priority-flood, Barnes, Lehman and Mulla
// 2014, Computers & Geosciences 62:117-127, on the vertices of the triangles. On a surface of
// triangles every depression has its deepest place and its sill at vertices, so that levels
// are exact. Areas and volumes are those of the triangles cut at the level. Of equal places the
// first by [surface.Vec].Less is used, so that nothing depends on the order of points.
//
// A place drains where water from it runs by steepest descent: down each triangle along its
// fall, along an edge where both sides fall to it, along walls, over steps; see [Water.Flow].
// The borders between what drains here and there are followed through the triangles, so that
// areas are exact except for rounding. A level triangle drains nowhere. Water that runs onto a
// level part goes on to its lower edge.
func Find(f *surface.Floor, outlets []Outlet, o Options) (*Water, error) {
	m := newMesh(f)
	w := &Water{Outlets: make([]Drained, len(outlets)), m: m}
	order := make([]int, len(outlets))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return outlets[i].compare(outlets[j]) })
	at := make([]int32, len(outlets)) // vertices
	for _, i := range order {
		v, err := m.place(outlets[i], f.Steps)
		if err != nil {
			err.Outlet = i
			return nil, err
		}
		at[i] = v
	}
	for i, u := range outlets {
		z := m.z[at[i]]
		level := z
		if u.Z > z+sameLevel {
			level = u.Z
		}
		w.Outlets[i] = Drained{Outlet: u, Place: m.at(at[i]), Floor: z, Level: level}
	}
	m.linkSteps(f.Steps)
	m.index()
	fl := newFlood(m, at, w.Outlets)
	ponds := fl.ponds(o.Shallow)
	w.measure(o)
	w.d = newDrainage(m, fl, ponds, len(outlets))
	w.d.run()
	w.list(fl, ponds)
	return w, nil
}

// compare orders outlets by place.
func (o Outlet) compare(p Outlet) int {
	return cmp.Or(cmp.Compare(o.At.X, p.At.X), cmp.Compare(o.At.Y, p.At.Y), cmp.Compare(o.Z, p.Z), cmp.Compare(o.Name, p.Name))
}

// list writes what was found into w.
func (w *Water) list(fl *flood, ponds *ponds) {
	d := w.d
	w.Shallow, w.ShallowArea = ponds.shallow, ponds.shallowArea
	for i := range w.Outlets {
		w.Outlets[i].Area = d.area[i].Value()
	}
	n := len(w.Outlets)
	for i, v := range fl.lowest {
		w.Closed = append(w.Closed, Closed{At: w.m.at(v), Z: w.m.z[v], Runs: d.area[n+i].Value(), Area: fl.part(i)})
	}
	w.Level = d.level.Value()
	for i, p := range ponds.listed {
		q := p.Pond
		q.Drains = d.area[d.first+i].Value()
		if p.over != nil {
			q.To = Target{ToPond, int(p.over.listed)}
		} else {
			q.To = d.target(d.onward(p.root))
		}
		w.Ponds = append(w.Ponds, q)
	}
}

// sameFall is the share of a wanted fall by which one that is equal to it may be less through
// rounding of the elevations, which are far larger than the differences.
const sameFall = 1e-6

// sameLevel is how far a rim or sill is above the floor through rounding alone, m.
const sameLevel = 1e-9

// measure sums the area and finds the least fall.
func (w *Water) measure(o Options) {
	m := w.m
	var area sum.Sum
	flatter := make([]sum.Sum, len(o.Falls))
	type slope struct {
		fall, area float64
		at         surface.Vec
	}
	falls := make([]float64, m.len())
	for t := range falls {
		a := m.area(t)
		area.Add(a)
		falls[t] = m.fall(t)
		for i, wanted := range o.Falls {
			if falls[t] < wanted*(1-sameFall) {
				flatter[i].Add(a)
			}
		}
	}
	w.Area = area.Value()
	for i := range flatter {
		w.Flatter = append(w.Flatter, flatter[i].Value())
	}
	wanted := o.Least
	if wanted <= 0 {
		wanted = w.Area / 100
	}
	wanted = min(wanted, w.Area) * (1 - 1e-9) // less the rounding of sums
	w.Least.Fall = leastOf(falls, m.area, wanted)
	var flat sum.Sum
	largest := slope{area: -1}
	for t, f := range falls {
		if f > w.Least.Fall {
			continue
		}
		a := m.area(t)
		flat.Add(a)
		if s := (slope{f, a, m.middle(t)}); s.area > largest.area || s.area == largest.area && s.at.Less(largest.at) {
			largest = s
		}
	}
	w.Least.At, w.Least.Area = largest.at, flat.Value()
}

// leastOf returns the least of values such that the areas of all up to it make wanted: it
// halves the values that are left round one in their middle.
func leastOf(values []float64, area func(i int) float64, wanted float64) float64 {
	left := make([]int32, len(values))
	for i := range left {
		left[i] = int32(i)
	}
	below := 0.0
	for {
		pivot := middling(values, left)
		var less, same sum.Sum
		lower, upper := 0, len(left) // left[:lower] are less, left[upper:] are more
		for i := 0; i < upper; {
			switch v := values[left[i]]; {
			case v < pivot:
				less.Add(area(int(left[i])))
				left[i], left[lower] = left[lower], left[i]
				lower++
				i++
			case v > pivot:
				upper--
				left[i], left[upper] = left[upper], left[i]
			default:
				same.Add(area(int(left[i])))
				i++
			}
		}
		switch {
		case lower > 0 && below+less.Value() >= wanted:
			left = left[:lower]
		case upper == len(left) || below+less.Value()+same.Value() >= wanted:
			return pivot
		default:
			below += less.Value() + same.Value()
			left = left[upper:]
		}
	}
}

// middling returns a value that is near the middle of some.
func middling(values []float64, of []int32) float64 {
	const most = 101
	var some []float64
	for i := range min(most, len(of)) {
		some = append(some, values[of[i*len(of)/min(most, len(of))]])
	}
	slices.Sort(some)
	return some[len(some)/2]
}
