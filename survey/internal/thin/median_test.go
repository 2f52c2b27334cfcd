package thin

import (
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// sorted returns what is kept of a square in a form that can be compared.
func (m *middle) sorted() middle {
	c := *m
	c.shots = slices.SortedFunc(slices.Values(m.shots), lower)
	c.level = slices.Clone(m.level)
	return c
}

// What a square keeps of its points for the median depends on the points alone, however
// they are divided and joined; the median is exact up to MostExact points, and of more it is
// a point at most a step lower.
func TestMedianOfManyPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		n := rapid.SampledFrom([]int{1, 2, MostExact - 1, MostExact, MostExact + 1, 1000, 3000}).Draw(t, "points")
		spread := rapid.SampledFrom([]float64{0, 0.002, 0.02, 3}).Draw(t, "spread")
		pts := make([]Shot, n)
		for i := range pts {
			pts[i] = Shot{r.Float64(), r.Float64(), math.Round(1e5*spread*r.NormFloat64()) / 1e5, 1 + i}
		}
		parts := make([]middle, rapid.IntRange(1, 5).Draw(t, "parts"))
		var one middle
		for _, p := range pts {
			one.add(p)
			parts[r.IntN(len(parts))].add(p)
		}
		for len(parts) > 1 {
			r.Shuffle(len(parts), reflect.Swapper(parts))
			parts[0].join(&parts[len(parts)-1])
			parts = parts[:len(parts)-1]
		}
		if got, want := parts[0].sorted(), one.sorted(); !reflect.DeepEqual(got, want) {
			t.Fatalf("joined: %d points, %d kept, %d levels of %d nm; in one: %d, %d, %d of %d", got.n, len(got.shots), len(got.level), got.step, want.n, len(want.shots), len(want.level), want.step)
		}
		if len(one.level) > mostLevels || len(one.shots) > MostExact {
			t.Fatalf("%d levels, %d points kept", len(one.level), len(one.shots))
		}
		slices.SortFunc(pts, lower)
		exact := pts[(n-1)/2]
		got, within := one.median()
		switch low := Nanometres(exact.Z) - Nanometres(got.Z); {
		case n <= MostExact && (got != exact || within != 0):
			t.Fatalf("%v of %d points, want %v", got, n, exact)
		case low < 0 || low > 0 && low >= within:
			t.Fatalf("%d nm below the median, want less than %d", low, within)
		case !slices.Contains(pts, got):
			t.Fatalf("%v was not measured", got)
		}
	})
}

// A square of the median keeps no more than 10 kB, and the note says how near it is.
func TestMedianOfAMillionPointsInOneSquare(t *testing.T) {
	const n = 1_000_000
	g := New(survey.Thin{Cell: 1, Keep: survey.Median}, "f")
	r := rand.New(rand.NewPCG(1, 1))
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	for range n {
		g.Add(0.5, 0.5, 0.01*r.NormFloat64(), 0)
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	if kept := int64(after.HeapAlloc) - int64(before.HeapAlloc); kept > 50_000 {
		t.Errorf("%d bytes kept of one square", kept)
	}
	for u, want := range map[unit.Length]string{
		unit.Metre: "1000000 points thinned to 1: the point of median elevation of each square of 1000 mm; up to 0.4 mm below the median in 1 square of more than 256 points",
		unit.Foot:  `up to 0.0157" below the median in 1 square of more than 256 points`,
	} {
		if got := g.Note(u).String(); !strings.HasSuffix(got, want) {
			t.Errorf("%s, want %s", got, want)
		}
	}
}
