package surface

import (
	"math"

	"pourplane/surface/internal/plan"
)

// squares cover the plan. One that no edge or line comes near is wholly in one region or in
// none, so most shots of a large survey are placed by a look at their square.
type squares struct {
	lo     Vec
	size   float64 // steps
	nx, ny int
	of     []int32 // per square: its region, or one of the following
}

const (
	unsure  = -1 // an edge or line is near
	nowhere = -2 // in no region
)

// A square for so many shots, and none for so few shots that they are placed one by one.
const (
	shotsPerSquare = 8
	fewToPlace     = 2000
)

// newSquares returns the squares of the plan, nil if each shot is to be placed by itself.
func (b *builder) newSquares() *squares {
	if len(b.shot) < fewToPlace || b.marked {
		return nil
	}
	lo, hi := Vec{X: math.Inf(1), Y: math.Inf(1)}, Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, r := range b.regions {
		for _, e := range r.tree.All {
			lo = Vec{X: min(lo.X, e.A.X), Y: min(lo.Y, e.A.Y)}
			hi = Vec{X: max(hi.X, e.A.X), Y: max(hi.Y, e.A.Y)}
		}
	}
	w, h := hi.X-lo.X, hi.Y-lo.Y
	if !(w > 0 && h > 0) {
		return nil
	}
	most := float64(len(b.shot) / shotsPerSquare)
	s := &squares{lo: lo, size: max(math.Sqrt(w*h/most), max(w, h)/most)}
	s.nx, s.ny = int(w/s.size)+1, int(h/s.size)+1
	s.of = make([]int32, s.nx*s.ny)
	for _, r := range b.regions {
		for _, e := range r.tree.All {
			s.mark(e.A, e.B)
		}
	}
	for _, c := range b.creases {
		for i := 1; i < len(c.v); i++ {
			s.mark(b.K[c.v[i-1]], b.K[c.v[i]])
		}
	}
	s.settle(b.regionOf)
	return s
}

// mark makes the squares near the edge from a to c unsure.
func (s *squares) mark(a, c Vec) {
	if c.Y < a.Y {
		a, c = c, a
	}
	// A shot is on an edge within two steps; the rest is far more than all rounding here.
	beside := 4 + 1e-6*s.size
	for j := s.row(a.Y - beside); j <= s.row(c.Y+beside); j++ {
		west, east := min(a.X, c.X), max(a.X, c.X)
		if c.Y > a.Y {
			at := func(y float64) float64 { return a.X + (min(max(y, a.Y), c.Y)-a.Y)/(c.Y-a.Y)*(c.X-a.X) }
			south := s.lo.Y + float64(j)*s.size
			u, v := at(south-beside), at(south+s.size+beside)
			west, east = min(u, v), max(u, v)
		}
		for i := s.column(west - beside); i <= s.column(east+beside); i++ {
			s.of[j*s.nx+i] = unsure
		}
	}
}

func (s *squares) row(y float64) int    { return min(max(int((y-s.lo.Y)/s.size), 0), s.ny-1) }
func (s *squares) column(x float64) int { return min(max(int((x-s.lo.X)/s.size), 0), s.nx-1) }

// settle gives the squares that are not unsure what in returns for their middle. It asks
// once for squares side by side, because nothing passes between them.
func (s *squares) settle(in func(Vec) int32) {
	for j := range s.ny {
		for i := range s.nx {
			c := j*s.nx + i
			switch {
			case s.of[c] == unsure:
			case i > 0 && s.of[c-1] != unsure:
				s.of[c] = s.of[c-1]
			case j > 0 && s.of[c-s.nx] != unsure:
				s.of[c] = s.of[c-s.nx]
			default:
				s.of[c] = in(Vec{X: s.lo.X + (float64(i)+0.5)*s.size, Y: s.lo.Y + (float64(j)+0.5)*s.size})
			}
		}
	}
}

// at returns the region of the square of p, or unsure or nowhere.
func (s *squares) at(p Vec) int32 {
	x, y := (p.X-s.lo.X)/s.size, (p.Y-s.lo.Y)/s.size
	if !(x >= 0 && y >= 0 && x < float64(s.nx) && y < float64(s.ny)) {
		return unsure
	}
	return s.of[int(y)*s.nx+int(x)]
}

// regionOf returns the one region that p, away from all edges, is in, or nowhere.
func (b *builder) regionOf(p Vec) int32 {
	of := int32(nowhere)
	b.held = b.boxes.Holding(p, b.held[:0])
	for _, r := range b.held {
		if b.regions[r].tree.Side(p) == plan.Outside {
			continue
		}
		if of != nowhere {
			return unsure
		}
		of = int32(r)
	}
	return of
}
