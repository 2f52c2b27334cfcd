package main

import (
	"fmt"
	"math"
	"slices"

	"pourplane/survey"

	"pourplane/surface/uncertainty"
)

// withOracle is of how many floors four are shown to one who knows the field: that takes long.
const withOracle = 20

// tried is a floor: what was said of its fill, and what was true.
type tried struct {
	kind, density int
	shots         int
	near          bool    // some of the floor is above the target
	known         bool    // the shots are enough to say anything
	area, fill    float64 // m², m³
	off           float64 // m³: true fill minus that of the triangles
	p             float64 // probability of a smaller fill than the true one, as stated
	width         float64 // m³: of the 90 % interval
	oracle        float64 // m³: of that of one who knows the field; NaN where nobody was asked
}

func tryOne(seed uint64, k, n int, exact bool) tried {
	s := newSite(seed, k, n, exact)
	in, fill := s.input(s.shots)
	v := uncertainty.New(in).Volume(fill)
	truth := s.in.below(s.f, s.level)
	t := tried{kind: k, density: n % 4, shots: len(s.shots), near: s.shallow(), known: v.Known, area: s.in.area(), fill: fill, off: truth - fill, p: v.Dist.Below(truth), oracle: math.NaN()}
	t.width = width(v)
	if v.Known && exact && k != scan && n%withOracle < 4 { // of each distance between shots
		f := s.trueField()
		in.Field = &f
		t.oracle = width(uncertainty.New(in).Volume(fill))
	}
	return t
}

func width(v uncertainty.Volume) float64 {
	lo, hi := v.Interval(0.9)
	return hi - lo
}

// trueField returns the field that describes the floor of s best, from places read without error
// about 0.6 m apart.
func (s *site) trueField() uncertainty.Field {
	t := *s
	t.f.rough = 0
	t.by = reader{}
	var shots []survey.Point
	const apart = 0.6
	for x := apart / 2; x < s.in.w; x += apart {
		for y := apart / 2; y < s.in.h; y += apart {
			if s.in.holds(x, y) {
				shots = append(shots, survey.Point{X: x, Y: y, Z: s.f.z(x, y)})
			}
		}
	}
	in, _ := t.input(shots)
	f := uncertainty.New(in).Likely(0)
	f.Own = math.Hypot(f.Own, s.f.rough)
	f.SD = max(f.SD, 1e-5)
	return f
}

// intervals prints how often the true fill is within the stated bounds, and how wide they are.
func intervals(seed uint64, floors int) {
	for _, exact := range []bool{false, true} {
		all := make([]tried, len(kinds)*floors)
		each(len(all), func(i int) { all[i] = tryOne(seed, i/floors, i%floors, exact) })
		asked := len(all)
		all = pick(all, func(t tried) bool { return t.known })
		fmt.Println("How often, in %, the true fill is within the bounds, and how wide they are in mm of mean depth")
		if exact {
			fmt.Println("\nThe same without errors of set-ups, and none stated")
		}
		fmt.Printf("%d of %d floors have too few shots and no bounds\n", asked-len(all), asked)
		byArea, byFill := fixedRules(all)
		fmt.Printf("%-20s %6s  %5s %5s %5s   %9s   %s\n", "", "floors", "50 %", "90 %", "99 %", "width, mm", "fixed rule: 90 %, width; of one who knows the field: width")
		row := func(name string, some []tried) {
			var width, fixed, oracle, beside, asked float64
			held, n := 0, float64(len(some))
			for _, t := range some {
				width += t.width / t.area / n
				allowed := byArea * t.area
				if byFill > 0 {
					allowed = byFill * t.fill
				}
				fixed += 2 * allowed / t.area / n
				if math.Abs(t.off) <= allowed {
					held++
				}
				if !math.IsNaN(t.oracle) {
					oracle, beside, asked = oracle+t.oracle/t.area, beside+t.width/t.area, asked+1
				}
			}
			fmt.Printf("%-20s %6d  %5.1f %5.1f %5.1f   %9.2f   %5.1f %5.2f", name, len(some), within(some, 0.5), within(some, 0.9), within(some, 0.99), 1000*width, 100*float64(held)/n, 1000*fixed)
			if asked > 0 {
				fmt.Printf("   %.2f where ours is %.2f", 1000*oracle/asked, 1000*beside/asked)
			}
			fmt.Println()
		}
		for k, of := range kinds {
			row(of.name, pick(all, func(t tried) bool { return t.kind == k }))
		}
		for d := range 4 {
			row(fmt.Sprintf("%g m, scan %g m", densities[0][d], densities[1][d]), pick(all, func(t tried) bool { return t.density == d }))
		}
		row("some floor above it", pick(all, func(t tried) bool { return t.near }))
		dishes := pick(all, func(t tried) bool { return t.kind == 0 && t.density == 3 })
		row("dishes, to 8 shots", pick(dishes, func(t tried) bool { return t.shots <= 8 }))
		row("dishes, 9 or more", pick(dishes, func(t tried) bool { return t.shots > 8 }))
		row("all by rod", pick(all, func(t tried) bool { return t.kind != scan }))
		row("all", all)
	}
}

func pick(all []tried, keep func(tried) bool) []tried {
	return slices.DeleteFunc(slices.Clone(all), func(t tried) bool { return !keep(t) })
}

// within returns the share, %, of fills within the stated bounds.
func within(all []tried, p float64) float64 {
	n := 0
	for _, t := range all {
		if t.p >= (1-p)/2 && t.p <= (1+p)/2 {
			n++
		}
	}
	return 100 * float64(n) / float64(len(all))
}

// fixedRules returns the better of two allowances that hold nine true fills of ten: the same depth
// over the area everywhere, m, or the same share of the fill; the other is zero.
func fixedRules(all []tried) (byArea, byFill float64) {
	var depths, shares []float64
	area, fill := 0.0, 0.0
	for _, t := range all {
		depths = append(depths, math.Abs(t.off)/t.area)
		shares = append(shares, math.Abs(t.off)/max(t.fill, 1e-9))
		area, fill = area+1, fill+t.fill/t.area
	}
	slices.Sort(depths)
	slices.Sort(shares)
	byArea, byFill = depths[len(all)*9/10], shares[len(all)*9/10]
	if byArea*area < byFill*fill {
		return byArea, 0
	}
	return 0, byFill
}
