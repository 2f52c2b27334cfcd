package main

import (
	"fmt"
	"math"
	"slices"

	"pourplane/survey"

	"pourplane/surface/uncertainty"
)

// tried is a floor: what was said of its fill, and what was true.
type tried struct {
	kind, density int
	area, fill    float64 // m², m³
	off           float64 // m³: true fill minus that of the triangles
	p             float64 // probability of a smaller fill than the true one, as stated
	width         float64 // m³: of the 90 % interval
	oracle        float64 // m³: of that of one who knows the field; NaN for scans
}

func tryOne(seed uint64, k, n int, exact bool) tried {
	s := newSite(seed, k, n, exact)
	in, fill := s.input(s.shots)
	v := uncertainty.New(in).Volume(fill)
	truth := s.in.below(s.f, s.level)
	t := tried{kind: k, density: n % 4, area: s.in.area(), fill: fill, off: truth - fill, p: v.Dist.Below(truth), oracle: math.NaN()}
	t.width = width(v)
	if k != scan {
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
		if exact {
			fmt.Println("\nThe same without errors of set-ups, and none stated:")
		}
		fmt.Printf("%-16s %7s %6s %6s %6s  %s\n", "true fill within", "floors", "50 %", "90 %", "99 %", "mean width of 90 %: ours, fixed rule, one who knows the field, mm of depth")
		perArea, perFill := fixedRules(all)
		row := func(name string, some []tried) {
			ours, oracle, n := 0.0, 0.0, float64(len(some))
			for _, t := range some {
				ours += t.width / t.area / n
				oracle += t.oracle / t.area / n
			}
			fmt.Printf("%-16s %7d %6.1f %6.1f %6.1f  %5.2f %5.2f %5.2f\n", name, len(some), within(some, 0.5), within(some, 0.9), within(some, 0.99), 1000*ours, 1000*fixedWidth(some, perArea, perFill), 1000*oracle)
		}
		for k, of := range kinds {
			row(of.name, pick(all, func(t tried) bool { return t.kind == k }))
		}
		for d := range 4 {
			row(fmt.Sprintf("%g m, scan %g m", densities[0][d], densities[1][d]), pick(all, func(t tried) bool { return t.density == d }))
		}
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

// fixedRules returns the allowances that hold nine true fills of ten: one as a depth over the
// area, m, one as a share of the fill.
func fixedRules(all []tried) (perArea, perFill float64) {
	var byArea, byFill []float64
	for _, t := range all {
		byArea = append(byArea, math.Abs(t.off)/t.area)
		byFill = append(byFill, math.Abs(t.off)/max(t.fill, 1e-9))
	}
	slices.Sort(byArea)
	slices.Sort(byFill)
	return byArea[len(all)*9/10], byFill[len(all)*9/10]
}

// fixedWidth returns the mean width of the better of the two rules, m of depth.
func fixedWidth(all []tried, perArea, perFill float64) float64 {
	byFill := 0.0
	for _, t := range all {
		byFill += 2 * perFill * t.fill / t.area / float64(len(all))
	}
	return min(2*perArea, byFill)
}
