package main

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"sync"

	"pourplane/surface"
	"pourplane/surface/uncertainty"
	"pourplane/survey"
)

// tried is one floor: what its survey said, and what was true.
type tried struct {
	kind    int
	density int
	area    float64
	off     float64 // m³: true fill minus that of the triangles
	p       float64 // where in its stated distribution the true fill was
	width   float64 // m³: of the 90 % interval
	total   float64
	shots   int
}

var densities = []float64{1, 1.5, 2, 3}

func try(seed uint64, k, n int) tried {
	rng := rand.New(rand.NewPCG(seed, uint64(k)*1_000_000+uint64(n)))
	in := newRoom(rng)
	of := k
	if k == scan {
		of = rng.IntN(scan)
	}
	f := kinds[of].make(rng, in.w, in.h)
	d := n % len(densities)
	r := byRod
	spacing, walls, shake := densities[d], rng.IntN(3) > 0, 0.1
	if k == scan {
		r, spacing, walls, shake = byScanner, []float64{0.15, 0.2, 0.3, 0.4}[d], true, 0.05
	}
	shots := r.survey(rng, f, in, grid(rng, in, spacing, walls, shake))
	top := math.Inf(-1)
	for _, s := range shots {
		top = max(top, s.Z)
	}
	level := top + between(rng, 0.005, 0.03)
	if rng.IntN(4) == 0 { // some of the floor is above the target
		level = top - between(rng, 0, 0.004)
	}
	model, fill := modelOf(shots, in, level, errorsOf(r))
	v := model.Volume(fill)
	truth := in.below(f, level)
	lo, hi := v.Interval(0.9)
	return tried{kind: k, density: d, area: in.area(), off: truth - fill, p: v.Dist.Below(truth), width: hi - lo, total: v.Parts.Total, shots: len(shots)}
}

func errorsOf(r reader) uncertainty.Errors {
	return uncertainty.Errors{Reading: math.Hypot(r.reading, r.step/math.Sqrt(12)), Setup: r.setup}
}

func main() {
	floors := flag.Int("floors", 1000, "floors of each kind")
	seed := flag.Uint64("seed", 1, "seed of all of them")
	noSetup := flag.Bool("no-setup", false, "without the errors of set-ups, and without stating any")
	flag.Parse()
	if *noSetup {
		byRod.setup, byScanner.setup = 0, 0
		byRod.tilt, byScanner.tilt = 0, 0
	}
	all := make([]tried, len(kinds)**floors)
	var wait sync.WaitGroup
	next := make(chan int)
	for range runtime.NumCPU() {
		wait.Go(func() {
			for i := range next {
				all[i] = try(*seed, i / *floors, i%*floors)
			}
		})
	}
	for i := range all {
		next <- i
	}
	close(next)
	wait.Wait()
	print(all)
}

func inside(all []tried, p float64) float64 {
	n := 0
	for _, t := range all {
		if t.p >= (1-p)/2 && t.p <= (1+p)/2 {
			n++
		}
	}
	return 100 * float64(n) / float64(len(all))
}

func print(all []tried) {
	fmt.Fprintf(os.Stdout, "%-22s %6s %6s %6s %6s %9s %9s %6s\n", "kind, spacing", "shots", "50 %", "90 %", "99 %", "width mm", "rms mm", "bias mm")
	row := func(name string, some []tried) {
		width, square, bias, shots := 0.0, 0.0, 0.0, 0.0
		n := float64(len(some))
		for _, t := range some {
			width += t.width / t.area / n
			square += t.off * t.off / t.area / t.area / n
			bias += t.off / t.area / n
			shots += float64(t.shots) / n
		}
		fmt.Printf("%-22s %6.0f %6.1f %6.1f %6.1f %9.2f %9.2f %6.2f\n", name, shots, inside(some, 0.5), inside(some, 0.9), inside(some, 0.99), 1000*width, 1000*math.Sqrt(square), 1000*bias)
	}
	pick := func(keep func(tried) bool) []tried {
		return slices.DeleteFunc(slices.Clone(all), func(t tried) bool { return !keep(t) })
	}
	for k, of := range kinds {
		row(of.name, pick(func(t tried) bool { return t.kind == k }))
		for d, s := range densities {
			row(fmt.Sprintf("    %g", s), pick(func(t tried) bool { return t.kind == k && t.density == d }))
		}
	}
	row("all", all)
}

func modelOf(shots []survey.Point, in room, level float64, e uncertainty.Errors) (*uncertainty.Model, float64) {
	f, err := surface.NewFloor(surface.Data{Shots: shots, Rings: in.outline(), Duplicates: surface.Mean})
	if err != nil {
		panic(err)
	}
	target := surface.Horizontal(level)
	m := uncertainty.New(uncertainty.Input{Floor: f, Split: f, Target: target, Errors: e})
	return m, f.FillTo(target, nil).Fill
}
