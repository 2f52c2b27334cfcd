package flatness

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"pourplane/surface"
)

// sight is a line over a surface, followed from a triangle under it in both directions.
type sight struct {
	*surface.TIN
	cos, sin, line float64 // direction; m across
}

func (g *sight) across(v int32) float64 {
	return float64(g.Y[v]*g.cos) - float64(g.X[v]*g.sin)
}

func (g *sight) down(h int32) bool {
	return g.across(g.V[h]) >= g.line && g.across(g.V[surface.Next(h)]) < g.line
}

// meet returns where the line crosses half-edge h: m along it, elevation.
func (g *sight) meet(h int32) (u, z float64) {
	a, b := g.V[h], g.V[surface.Next(h)]
	wa, wb := g.across(a), g.across(b)
	f := (g.line - wa) / (wb - wa)
	ua, ub := float64(g.X[a]*g.cos)+float64(g.Y[a]*g.sin), float64(g.X[b]*g.cos)+float64(g.Y[b]*g.sin)
	return ua + float64(f*(ub-ua)), g.Z[a] + float64(f*(g.Z[b]-g.Z[a]))
}

// walk follows the line over triangle k from about from to about to, or to the edges of the
// floor. It is false if rounding puts the line beside the triangle.
func (g *sight) walk(k int, from, to float64, p *stretch) bool {
	h := int32(3 * k)
	for range 3 {
		if g.down(h) {
			break
		}
		h = surface.Next(h)
	}
	if !g.down(h) {
		return false
	}
	for { // back to its start
		if u, _ := g.meet(h); u <= from || g.Twin[h] < 0 {
			break
		}
		h = surface.Next(g.Twin[h])
		if !g.down(h) {
			h = surface.Next(h)
		}
	}
	p.reset()
	for {
		u, z := g.meet(h)
		p.add(u, z)
		if u >= to {
			return true
		}
		out := surface.Next(h)
		if g.across(g.V[surface.Next(out)]) < g.line {
			out = surface.Next(out)
		}
		if h = g.Twin[out]; h < 0 {
			p.add(g.meet(out))
			return true
		}
	}
}

// ground is a surface with its locator.
type ground struct {
	*surface.TIN
	on *surface.Locator
}

// worst lays the edge along the line over a place in a direction, in all positions that
// cover the place, and returns the one with the max gap; false if none fits.
func (s *search) worst(g ground, at surface.Vec, angle float64, p *stretch) (Place, bool) {
	_, k, ok := g.on.At(at)
	if !ok {
		return Place{}, false
	}
	d := turned{TIN: g.TIN}
	d.sin, d.cos = math.Sincos(angle)
	x, y := at.X-g.Origin.X, at.Y-g.Origin.Y
	u, w := float64(x*d.cos)+float64(y*d.sin), float64(y*d.cos)-float64(x*d.sin)
	line := sight{g.TIN, d.cos, d.sin, w}
	if !line.walk(k, u-s.Length, u+s.Length, p) || p.length() < s.Length-1e-7 {
		return Place{}, false
	}
	t := tally{maximum: true, cells: make([]spot, 1)}
	s.along(p, &t, w, 0)
	if !(t.cells[0].gap > 0) {
		return Place{}, false
	}
	return s.placed(t.cells[0], d.place), true
}

const (
	finest = 0.0005 // m across, end of refinement: a place is not known better; own choice
	grows  = 1e-7   // m: less is no increase
)

// climb moves and rotates the edge about a place, in steps halved whenever the gap no longer
// increases, until the steps are half a millimetre.
func (s *search) climb(g ground, from Place, turn float64) Place {
	var p stretch
	best := from
	angle := math.Atan2(from.To.Y-from.From.Y, from.To.X-from.From.X)
	for step := s.Spacing / 2; step > finest; {
		grew := false
		sin, cos := math.Sincos(angle)
		now, at := angle, best.LowAt
		for _, by := range [...]struct{ across, turn float64 }{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1}} {
			to := surface.Vec{X: at.X - by.across*step*sin, Y: at.Y + by.across*step*cos}
			a := now + by.turn*turn
			if q, ok := s.worst(g, to, a, &p); ok && q.Gap > best.Gap+grows {
				best, angle, grew = q, a, true
			}
		}
		if !grew {
			step, turn = step/2, turn/2
		}
	}
	return best
}

// refine replaces the places found on lines by the worst near each: lines pass beside the
// worst place, and at an angle to the worst direction. Only places that may become the worst
// are tried.
func (s *search) refine(grounds []ground) {
	const most = 24
	const near = 0.7 // of the max gap: lines are close enough that no worse place is below it
	slices.SortStableFunc(s.found, func(a, b Place) int { return cmp.Compare(b.Gap, a.Gap) })
	var starts []Place
	apart := s.apart()
	for _, f := range s.found {
		if len(starts) == most || f.Gap < near*s.found[0].Gap {
			break
		}
		if !slices.ContainsFunc(starts, func(q Place) bool { return q.LowAt.Distance(f.LowAt) < apart/2 }) {
			starts = append(starts, f)
		}
	}
	turn := math.Pi / 2 / float64(max(1, len(s.out.Directions)))
	better := make([]Place, len(starts))
	var next atomic.Int32
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(starts)) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(starts); i = int(next.Add(1)) - 1 {
				better[i] = starts[i]
				for _, g := range grounds {
					if q := s.climb(g, starts[i], turn); q.Gap > better[i].Gap {
						better[i] = q
					}
				}
			}
		})
	}
	wait.Wait()
	s.found = append(s.found, better...)
}
