package flatness

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sync"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// Rates is the figures for the work on marks. A zero field is left out.
type Rates struct {
	Pass      float64 // m, ground off in one pass
	BagYield  float64 // m³ of patch per bag
	LeastArea float64 // m²: smaller spots are counted, not listed
}

// Spot is one connected part of the floor outside the tolerance.
type Spot struct {
	Number int
	High   bool            // to grind; otherwise a low to fill
	Rings  [][]surface.Vec // its edge: outer ring first, counter-clockwise; then the holes, clockwise
	At     surface.Vec     // its highest or lowest place
	Off    float64         // m, from the target there; negative below
	Beyond float64         // m, beyond the tolerance there
	Area   float64         // m² in plan
	Volume float64         // m³ beyond the tolerance
	Passes int             // to grind it down; 0 for a low, and where it is not measured
	// NotMeasured means that a high is estimated at a wall, farther from any reading than
	// readings are from each other: nobody has seen it.
	NotMeasured bool
	Bags        int      // to fill it, whole; 0 for a high
	Walls       []Offset // from At to two walls, the nearest first; fewer if there are none
}

// Offset is a distance square to a wall.
type Offset struct {
	Distance float64     // m
	Foot     surface.Vec // on the wall
}

// Work is the grinding and filling to do.
type Work struct {
	Spots                []Spot // highs, then lows, each by volume
	GrindArea, FillArea  float64
	Grind, Fill          float64 // m³ beyond the tolerance, including spots too small to list
	Small                int     // spots not listed
	SmallArea, SmallWork float64 // m² and m³ of them
}

// FindSpots finds the parts of f that are above or below target by more than tolerance.
// Triangles are cut along the tolerance, exactly, and are connected through the edges they
// share; the two sides of a step are not. Volumes reach to the tolerance, not to the target:
// the min work, not the max.
//
// Errors are [*survey.Error]: a tolerance or a rate below zero.
func FindSpots(f *surface.Floor, target surface.Target, tolerance float64, rates Rates) (Work, error) {
	if !(tolerance >= 0) {
		return Work{}, &survey.Error{Element: "tolerance", Found: fmt.Sprintf("%g m", tolerance), Want: "0 or more"}
	}
	if least := min(rates.Pass, rates.BagYield, rates.LeastArea); !(least >= 0) {
		return Work{}, &survey.Error{Element: "rates of work", Found: fmt.Sprint(least), Want: "0 or more"}
	}
	read := f // without the vertices that the target adds, which nobody read
	f, err := f.Under(target)
	if err != nil {
		return Work{}, err
	}
	var w Work
	for _, high := range []bool{true, false} {
		var marks []Spot
		var area, volume sum.Sum
		for i, r := range f.Regions {
			depth := r.TIN.Depths(target)
			beyond := make([]float64, len(depth))
			for v, d := range depth {
				if high {
					d = -d
				}
				beyond[v] = d - tolerance
			}
			unseen := sync.OnceValue(func() func(surface.Vec) bool { return farFromReadings(read.Regions[i].TIN) })
			for _, m := range parts(r.TIN, beyond) {
				area.Add(m.Area)
				volume.Add(m.Volume)
				if m.Area < rates.LeastArea {
					w.Small++
					w.SmallArea += m.Area
					w.SmallWork += m.Volume
					continue
				}
				m.High = high
				if m.Off = -m.Beyond - tolerance; high {
					m.Off = m.Beyond + tolerance
				}
				switch {
				case high && unseen()(m.At):
					m.NotMeasured = true
				case high && rates.Pass > 0:
					m.Passes = int(math.Ceil(m.Beyond/rates.Pass - 1e-9))
				case !high && rates.BagYield > 0:
					m.Bags = int(math.Ceil(m.Volume/rates.BagYield - 1e-9))
				}
				m.Walls = walls(r.Rings, m.At)
				marks = append(marks, m)
			}
		}
		slices.SortFunc(marks, func(a, b Spot) int {
			return cmp.Or(cmp.Compare(b.Volume, a.Volume), cmp.Compare(a.At.X, b.At.X), cmp.Compare(a.At.Y, b.At.Y))
		})
		w.Spots = append(w.Spots, marks...)
		if high {
			w.GrindArea, w.Grind = area.Value(), volume.Value()
		} else {
			w.FillArea, w.Fill = area.Value(), volume.Value()
		}
	}
	for i := range w.Spots {
		w.Spots[i].Number = i + 1
	}
	return w, nil
}

// farFromReadings returns whether a place on t is farther from any reading than half of the readings
// are from the next one.
func farFromReadings(t *surface.TIN) func(at surface.Vec) bool {
	if t.Fitted == nil {
		return func(surface.Vec) bool { return false }
	}
	near := newNearest(t)
	var steps []float64
	for a := range near.x {
		if _, step := near.find(near.x[a], near.y[a], func(r int) bool { return r != a }); step > 0 {
			steps = append(steps, step)
		}
	}
	slices.Sort(steps)
	return func(at surface.Vec) bool {
		_, d := near.to(at.X-t.Origin.X, at.Y-t.Origin.Y)
		return len(steps) == 0 || d > (1+tapes)*steps[len(steps)/2]
	}
}

// corner is a place with its height beyond the tolerance.
type corner struct {
	surface.Vec
	beyond float64
}

// positive returns the part of triangle k where beyond is above zero, as a convex polygon
// counter-clockwise, and the half-edge of each of its sides; -1 for the side along zero.
// Places are computed from the upper end of a half-edge, so that both triangles get the same
// bits.
func positive(t *surface.TIN, beyond []float64, k int) (poly []corner, on []int32) {
	for h := int32(3 * k); h < int32(3*k+3); h++ {
		a, b := t.V[h], t.V[surface.Next(h)]
		up, next := beyond[a] > 0, beyond[b] > 0
		if up {
			poly, on = append(poly, corner{surface.Vec{X: t.X[a], Y: t.Y[a]}, beyond[a]}), append(on, h)
		}
		if up == next {
			continue
		}
		from, to, side := a, b, int32(-1)
		if next {
			from, to, side = b, a, h
		}
		f := beyond[from] / (beyond[from] - beyond[to])
		poly = append(poly, corner{surface.Vec{
			X: t.X[from] + float64(f*(t.X[to]-t.X[from])),
			Y: t.Y[from] + float64(f*(t.Y[to]-t.Y[from])),
		}, 0})
		on = append(on, side)
	}
	return poly, on
}

// volume returns the area of a convex polygon and the integral of beyond over it: area times
// mean corner value for each triangle of a fan, exact for a linear function.
func volume(poly []corner) (area, integral float64) {
	for i := 2; i < len(poly); i++ {
		a, b, c := poly[0], poly[i-1], poly[i]
		s := (float64((b.X-a.X)*(c.Y-a.Y)) - float64((b.Y-a.Y)*(c.X-a.X))) / 2
		area += s
		integral += s * (a.beyond + b.beyond + c.beyond) / 3
	}
	return area, integral
}

// parts returns the connected parts of t where beyond, a value per vertex, is above zero.
func parts(t *surface.TIN, beyond []float64) []Spot {
	top := func(k int) float64 { return max(beyond[t.V[3*k]], beyond[t.V[3*k+1]], beyond[t.V[3*k+2]]) }
	seen := make([]bool, t.Len())
	var out []Spot
	for first := range t.Len() {
		if seen[first] || !(top(first) > 0) {
			continue
		}
		seen[first] = true
		var area, work sum.Sum
		var m Spot
		follow := map[surface.Vec][]surface.Vec{} // sides of its edge
		for stack := []int{first}; len(stack) > 0; {
			k := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			poly, on := positive(t, beyond, k)
			a, v := volume(poly)
			area.Add(a)
			work.Add(v)
			for i, p := range poly {
				if p.beyond > m.Beyond {
					m.Beyond, m.At = p.beyond, surface.Vec{X: t.Origin.X + p.X, Y: t.Origin.Y + p.Y}
				}
				if on[i] >= 0 && t.Twin[on[i]] >= 0 {
					if n := int(t.Twin[on[i]] / 3); !seen[n] {
						seen[n] = true
						stack = append(stack, n)
					}
				} else if q := poly[(i+1)%len(poly)].Vec; q != p.Vec {
					follow[p.Vec] = append(follow[p.Vec], q)
				}
			}
		}
		m.Area, m.Volume = area.Value(), work.Value()
		m.Rings = rings(follow, t.Origin)
		out = append(out, m)
	}
	return out
}

// rings joins sides to closed lines, the largest first.
func rings(follow map[surface.Vec][]surface.Vec, origin surface.Vec) [][]surface.Vec {
	starts := make([]surface.Vec, 0, len(follow))
	for p := range follow {
		starts = append(starts, p)
	}
	slices.SortFunc(starts, func(a, b surface.Vec) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	var out [][]surface.Vec
	for _, p := range starts {
		for len(follow[p]) > 0 {
			var ring []surface.Vec
			for at := p; len(follow[at]) > 0; {
				ring = append(ring, surface.Vec{X: origin.X + at.X, Y: origin.Y + at.Y})
				next := follow[at]
				follow[at] = next[1:]
				at = next[0]
			}
			out = append(out, ring)
		}
	}
	slices.SortStableFunc(out, func(a, b []surface.Vec) int { return cmp.Compare(surface.RingArea(b), surface.RingArea(a)) })
	return out
}

// walls returns the distances from p to the nearest wall and to the nearest one within 30°
// of square to it, each measured square to the wall.
func walls(edges [][]surface.Vec, p surface.Vec) []Offset {
	var out []Offset
	var first surface.Vec // along the nearest wall
	for len(out) < 2 {
		best, along := Offset{Distance: math.Inf(1)}, surface.Vec{}
		for _, ring := range edges {
			for i, a := range ring {
				b := ring[(i+1)%len(ring)]
				d := a.Distance(b)
				e := surface.Vec{X: (b.X - a.X) / d, Y: (b.Y - a.Y) / d}
				s := float64((p.X-a.X)*e.X) + float64((p.Y-a.Y)*e.Y)
				foot := surface.Vec{X: a.X + s*e.X, Y: a.Y + s*e.Y}
				skew := math.Abs(e.X*first.X + e.Y*first.Y) // cosine of the angle to the first
				if d > 0 && -1e-6 <= s && s <= d+1e-6 && skew <= 0.5 && p.Distance(foot) < best.Distance {
					best, along = Offset{p.Distance(foot), foot}, e
				}
			}
		}
		if math.IsInf(best.Distance, 1) {
			break
		}
		out, first = append(out, best), along
	}
	return out
}

// Compensation is the judged plane moved for the min grinding.
type Compensation struct {
	Offset          float64 // m, up from the target
	Target          surface.Target
	Grind, Fill     float64 // m³ above Target + tolerance and below Target − tolerance
	GrindAt, FillAt float64 // m³, the same at the target itself
	Deepest         float64 // m, max depth of the floor below Target
	Highest         float64 // m, max height above it
}

// Compensate moves the plane by which f is judged so that the volume to grind, everything
// higher than tolerance above it, is the minimum, while no place is deeper than low below
// it. Of all such planes it takes the one nearest to the target: filling increases as the
// plane rises, so it also has the least to fill.
//
// The volume to grind never increases as the plane rises, and is zero once the plane reaches
// the highest place minus tolerance; the deepest place limits the rise. So the best offset
// is min(max(0, highest − tolerance), low − deepest), both relative to the target. It is
// negative, with more to grind, if the floor is deeper than low to begin with.
//
// Errors are [*survey.Error]: a tolerance or low below zero.
func Compensate(f *surface.Floor, target surface.Target, tolerance, low float64) (Compensation, error) {
	if least := min(tolerance, low); !(least >= 0) {
		return Compensation{}, &survey.Error{Element: "tolerance", Found: fmt.Sprintf("%g m", least), Want: "0 or more"}
	}
	f, err := f.Under(target)
	if err != nil {
		return Compensation{}, err
	}
	least, greatest := f.Depths(target)
	c := Compensation{Offset: min(max(0, -least-tolerance), low-greatest)}
	c.Target = target.Moved(c.Offset)
	c.Deepest, c.Highest = greatest+c.Offset, -least-c.Offset
	work := func(p surface.Target) (grind, fill float64) {
		var g, l sum.Sum
		for _, r := range f.Regions {
			_, cut := surface.FillCut(r.TIN, p.Moved(tolerance))
			low, _ := surface.FillCut(r.TIN, p.Moved(-tolerance))
			g.Add(cut)
			l.Add(low)
		}
		return g.Value(), l.Value()
	}
	c.Grind, c.Fill = work(c.Target)
	c.GrindAt, c.FillAt = work(target)
	return c, nil
}

// Bedding is the bed between a floor and its covering.
type Bedding struct {
	Volume              float64 // m³, where there is room for a bed
	Proud               float64 // m³ of floor in the way of the covering
	Least, Greatest     float64 // m, thickness; Least is negative where the floor is in the way
	LeastAt, GreatestAt surface.Vec
	Mean                float64 // m
}

// Bed returns the bed that brings a covering of a thickness in metres to the finished plane
// over all of f, exactly on the triangles.
func Bed(f *surface.Floor, finished surface.Target, covering float64) Bedding {
	fill := f.FillTo(finished.Moved(-covering), nil)
	return Bedding{fill.Fill, fill.Cut, fill.Least, fill.Greatest, fill.LeastAt, fill.GreatestAt, fill.Mean}
}
