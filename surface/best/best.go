// Package best finds the plane of least cost for a floor: filling up to it, and grinding what is
// too high for it, each at its price.
//
// # What is minimised
//
// Cost = fill price × fill + grind price × cut. If the product needs a least depth H, the floor
// is ground to H below the plane where it is higher, and the fill covers all of it: fill is the
// integral of max(d, H) and cut that of max(0, H − d), with d the depth from plane to floor. That
// answers "raise the target or grind the hump" by price. Without grinding d ≥ H is a limit at
// every vertex. A greatest depth is a limit at every vertex in both cases.
//
// Cost is convex in the elevation and the two slopes of the plane, so the least is found with
// proof. It is smooth where the plane crosses the floor, with a bend where the plane is a part
// of the floor itself. Each plane looked at gives the exact cost and a linear bound below the
// cost of all others (its gradient: the floor's triangles are clipped at the plane). Newton's
// step with the exact second derivative, the lowest point of all bounds, and the middle of what
// is left are tried until cost and bound agree.
//
// Sources: Kelley 1960, Journal of SIAM 8:703-712 (bounds); Elzinga and Moore 1975,
// Mathematical Programming 8:134-145 (middle of what is left).
//
// # Planes alike
//
// If several planes cost the same, the one lowest at the middle of the floor is taken, and of
// these the nearest to level.
package best

import (
	"errors"
	"fmt"
	"math"

	"pourplane/surface"
)

// Kind is a kind of limit.
type Kind uint8

const (
	MinDepth Kind = iota // least depth of the product
	MaxDepth             // greatest depth of the product
	MaxFall              // greatest fall of the plane
	Highest              // highest top of fill at a place
	Lowest               // lowest top of fill at a place
	Level                // no fall at all
)

// Place is where the plane is bound to a range of elevations, m: a threshold, a sill, or a fixed
// point, which has one elevation. No limit is ±Inf.
type Place struct {
	Name        string
	At          surface.Vec
	Least, Most float64
}

// Spec is what the plane must keep, and the prices.
type Spec struct {
	FillPrice  float64 // per m³, above 0
	GrindPrice float64 // per m³, above 0; +Inf: nothing is ground
	MinDepth   float64 // m
	MaxDepth   float64 // m; 0: no limit
	MaxFall    float64 // rise over run; 0: no limit
	Level      bool
	Places     []Place
}

// Bind is a limit that the cheapest plane is at.
type Bind struct {
	Kind  Kind
	Name  string      // of the place, or of the shot
	At    surface.Vec // where it binds; not of a fall
	Fixed bool        // the place has one elevation; Kind is the side on which the plane would be cheaper
	// Price is the cost saved per metre that the limit alone is loosened; for a fall, per unit
	// of slope. Of a depth it is the share of this place: the shares of a kind together are
	// what loosening the depth everywhere saves. It is 0 where other limits hold the plane too.
	Price float64
}

// Best is the cheapest plane.
type Best struct {
	Plane     surface.Plane
	Cost      float64
	Fill, Cut float64 // m³
	Bound     float64 // no plane within the limits costs less
	Residual  float64 // cost per metre of plane: how far the prices of the limits are from balance
	Binding   []Bind
	Cover     float64 // cost saved per metre that the least depth is less
	Looked    int     // planes whose cost was worked out
}

// NoGrinding is the price of grinding that rules it out.
var NoGrinding = math.Inf(1)

func (s *Spec) grinds() bool { return !math.IsInf(s.GrindPrice, 1) }

func (s *Spec) check() error {
	switch {
	case !(s.FillPrice > 0) || math.IsInf(s.FillPrice, 1):
		return errors.New("the price of the fill must be more than 0")
	case !(s.GrindPrice > 0):
		return errors.New("the price of grinding must be more than 0")
	case !(s.MinDepth >= 0) || !(s.MaxDepth >= 0) || !(s.MaxFall >= 0):
		return errors.New("depths and falls must be 0 or more")
	case s.MaxDepth > 0 && s.MaxDepth < s.MinDepth:
		return errors.New("the greatest depth is less than the least depth")
	}
	for _, p := range s.Places {
		switch {
		case math.IsNaN(p.Least) || math.IsNaN(p.Most) || math.IsInf(p.Least, 1) || math.IsInf(p.Most, -1):
			return fmt.Errorf("the range of elevations at %s is not numbers", p.Name)
		case p.Least > p.Most:
			return fmt.Errorf("the lowest elevation at %s is above the highest", p.Name)
		}
	}
	return nil
}

// ErrNotFound is returned if cost and bound do not meet. That is a fault of this package.
var ErrNotFound = errors.New("the search for the cheapest plane did not end")

// Solve returns the cheapest plane within the limits of s. The error is a [*Clash] if there is
// none.
func (g *Ground) Solve(s Spec) (*Best, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	p := newProblem(g, &s)
	start, short := p.within()
	if short > touching {
		return nil, g.clash(s)
	}
	p.slack = max(0, short)
	p.fix(start)
	r := newSearch(p, start)
	if err := r.run(); err != nil {
		return nil, err
	}
	r.polish()
	r.lowest()
	return r.result(), nil
}

// plane returns the plane of q on the grid of the survey. A fall that is rounding is none.
func (g *Ground) plane(q vec3) surface.Plane {
	if math.Hypot(q[1], q[2])*g.reach < 10*feasible {
		q[1], q[2] = 0, 0
	}
	return surface.Plane{At: g.at, Z: g.z + q[0], SlopeX: 0 + q[1], SlopeY: 0 + q[2]}
}

// Point is one plane of the trade-off between filling and grinding.
type Point struct {
	Ratio     float64 // price of grinding to price of filling; +Inf: nothing is ground
	Plane     surface.Plane
	Fill, Cut float64 // m³
	Cost      float64 // at the prices of the job
}

// Curve returns the cheapest planes for other ratios of the two prices: the least fill for each
// volume of grinding. A ratio that the limits rule out is left out.
func (g *Ground) Curve(s Spec, ratios []float64) ([]Point, error) {
	var out []Point
	for _, ratio := range ratios {
		other := s
		other.FillPrice, other.GrindPrice = 1, ratio
		b, err := g.Solve(other)
		if clash := (*Clash)(nil); errors.As(err, &clash) {
			continue
		}
		if err != nil {
			return nil, err
		}
		cost := s.FillPrice * b.Fill
		if b.Cut > 0 {
			cost += s.GrindPrice * b.Cut
		}
		out = append(out, Point{Ratio: ratio, Plane: b.Plane, Fill: b.Fill, Cut: b.Cut, Cost: cost})
	}
	return out, nil
}
