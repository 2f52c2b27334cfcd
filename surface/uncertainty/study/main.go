// Command study measures whether the ± of a fill holds. It makes floors of several kinds, surveys
// them with the errors of a reader, and counts how often the true fill is within the stated bounds;
// then it adds shots where they are said to be worth most, and compares, and counts how often the
// depth at a place is within its ±.
//
//	go run ./surface/uncertainty/study -floors 1000
package main

import (
	"cmp"
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

// densities are the distances between the shots of a rod, m, and those of a scan.
var densities = [2][]float64{{1, 1.5, 2, 3}, {0.15, 0.2, 0.3, 0.4}}

// site is a floor with its survey.
type site struct {
	in     room
	f      floor
	by     reader
	at     []surface.Vec
	shots  []survey.Point
	level  float64
	off    func(x, y float64) float64 // error of the set-up
	random *rand.Rand
}

// newSite makes floor n of a kind. by is how it is read, if not by a scanner.
func newSite(seed uint64, k, n int, exact bool) site {
	rng := rand.New(rand.NewPCG(seed, uint64(k)*1_000_000+uint64(n)))
	s := site{in: newRoom(rng), by: byRod, random: rng}
	of, way := k, 0
	if k == scan {
		of, way, s.by = rng.IntN(scan), 1, byScanner
	}
	if exact {
		s.by.setup, s.by.tilt = 0, 0
	}
	s.f = kinds[of].make(rng, s.in.w, s.in.h)
	s.at = grid(rng, s.in, densities[way][n%len(densities[way])], way == 1 || rng.IntN(3) > 0, 0.1)
	s.off = s.by.setUp(rng, s.in)
	for _, p := range s.at {
		s.shots = append(s.shots, s.read(p))
	}
	top := math.Inf(-1)
	for _, p := range s.shots {
		top = max(top, p.Z)
	}
	s.level = top + between(rng, 0.005, 0.03)
	if rng.IntN(4) == 0 { // some of the floor is above the target, up to half of its shots
		by := slices.SortedFunc(slices.Values(s.shots), func(a, b survey.Point) int { return cmp.Compare(a.Z, b.Z) })
		s.level = by[int(between(rng, 0.5, 1)*float64(len(by)))].Z
	}
	return s
}

// shallow reports whether some of the shots are above the target.
func (s *site) shallow() bool {
	return slices.ContainsFunc(s.shots, func(p survey.Point) bool { return p.Z > s.level })
}

func (s *site) read(p surface.Vec) survey.Point {
	return survey.Point{X: p.X, Y: p.Y, Z: s.by.read(s.random, s.f, s.off, p.X, p.Y)}
}

func (s *site) errors() uncertainty.Errors {
	return uncertainty.Errors{Reading: math.Hypot(s.by.reading, s.by.step/math.Sqrt(12)), Setup: s.by.setup}
}

// input returns the fill of shots to the level of s, and its volume, m³.
func (s *site) input(shots []survey.Point) (uncertainty.Input, float64) {
	f, err := surface.NewFloor(surface.Data{Shots: shots, Rings: s.in.outline(), Duplicates: surface.Mean})
	if err != nil {
		panic(err) // a floor of our own making
	}
	target := surface.Horizontal(s.level)
	return uncertainty.Input{Floor: f, Split: f, Target: target, Errors: s.errors()}, f.FillTo(target, nil).Fill
}

// each calls do for n floors on all processors.
func each(n int, do func(i int)) {
	var wait sync.WaitGroup
	next := make(chan int)
	for range runtime.NumCPU() {
		wait.Go(func() {
			for i := range next {
				do(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wait.Wait()
}

func main() {
	floors := flag.Int("floors", 1000, "floors of each kind")
	only := flag.String("only", "", "intervals, next or depths: that part alone")
	seed := flag.Uint64("seed", 1, "seed of all of them")
	flag.Parse()
	if *floors < 4 {
		fmt.Fprintln(os.Stderr, "study: -floors is at least 4, one of each distance between shots")
		os.Exit(2)
	}
	parts := []struct {
		name string
		run  func(seed uint64, floors int)
	}{{"intervals", intervals}, {"next", nextShots}, {"depths", depths}}
	for _, p := range parts {
		if *only == "" || *only == p.name {
			p.run(*seed, *floors)
		}
	}
}
