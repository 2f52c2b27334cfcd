package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/uncertainty"
)

// place is a place on a floor: what was said of its depth, and what a rod without error finds.
type place struct {
	kind, density int
	within, off   float64 // m
}

// somePlaces returns places spread over a floor at random, those with the smallest ± first.
func somePlaces(seed uint64, k, n int) (out []place) {
	const many = 16
	s := newSite(seed, k, n, false)
	in, _ := s.input(s.shots)
	var at []surface.Vec
	for len(at) < many {
		p := surface.Vec{X: s.in.w * s.random.Float64(), Y: s.in.h * s.random.Float64()}
		if s.in.holds(p.X, p.Y) {
			at = append(at, p)
		}
	}
	locate := in.Floor.Regions[0].TIN.Locator()
	for _, d := range uncertainty.New(in).Depths(0, at) {
		if z, _, ok := locate.At(d.At); ok && !math.IsNaN(d.Within) {
			out = append(out, place{k, n % 4, d.Within, z - s.f.z(d.At.X, d.At.Y) - s.f.rough*s.random.NormFloat64()})
		}
	}
	slices.SortFunc(out, func(a, b place) int { return cmp.Compare(a.within, b.within) })
	return out
}

// depths prints how often the depth at a place is within the stated ±, and where that is small and
// large on its floor.
func depths(seed uint64, floors int) {
	found := make([][]place, len(kinds)*floors)
	each(len(found), func(i int) { found[i] = somePlaces(seed, i/floors, i%floors) })
	var all, sure, unsure []place
	for _, some := range found {
		third := len(some) / 3
		sure, unsure = append(sure, some[:third]...), append(unsure, some[len(some)-third:]...)
		all = append(all, some...)
	}
	fmt.Printf("\n%-16s %7s %6s  %s\n", "true depth", "places", "90 %", "mean ± of 90 %, mm")
	row := func(name string, some []place) {
		in, mean, n := 0.0, 0.0, float64(len(some))
		for _, p := range some {
			if math.Abs(p.off) <= p.within {
				in++
			}
			mean += p.within / n
		}
		fmt.Printf("%-16s %7d %6.1f  %5.2f\n", name, len(some), 100*in/n, 1000*mean)
	}
	some := func(keep func(place) bool) []place {
		return slices.DeleteFunc(slices.Clone(all), func(p place) bool { return !keep(p) })
	}
	for k, of := range kinds {
		row(of.name, some(func(p place) bool { return p.kind == k }))
	}
	for d := range 4 {
		row(fmt.Sprintf("%g m, scan %g m", densities[0][d], densities[1][d]), some(func(p place) bool { return p.density == d }))
	}
	row("surest third", sure)
	row("least sure third", unsure)
	row("all", all)
}
