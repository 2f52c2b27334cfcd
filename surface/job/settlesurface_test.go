package job

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/settlement"
)

// wavy returns an uneven floor: twelve waves of 3 to 12 m and a few millimetres.
func wavy(rng *rand.Rand) func(x, y float64) float64 {
	type wave struct{ east, north, phase, size float64 }
	var all []wave
	for range 12 {
		length, way := 3+9*rng.Float64(), 2*math.Pi*rng.Float64()
		all = append(all, wave{2 * math.Pi / length * math.Cos(way), 2 * math.Pi / length * math.Sin(way), 2 * math.Pi * rng.Float64(), 0.002 * rng.NormFloat64() * length / 6})
	}
	return func(x, y float64) float64 {
		z := 9.9
		for _, w := range all {
			z += w.size * math.Cos(w.east*x+w.north*y+w.phase)
		}
		return z
	}
}

// shotsAnew is a survey of a floor of 8 by 6 m on a grid of its own, each shot near its
// crossing, read to reading and set up to setup, m.
func shotsAnew(rng *rand.Rand, nx, ny int, off, reading, setup float64, z func(x, y float64) float64) *fstest.MapFile {
	var b strings.Builder
	b.WriteString("point,x (m),y (m),z (m),code\nBM1,-3,-3,10.000000,BM\n")
	shift := setup * rng.NormFloat64()
	for i := range nx {
		for k := range ny {
			x := min(max(off+float64(i)*(8-2*off)/float64(nx-1)+0.1*rng.NormFloat64(), 0), 8)
			y := min(max(off+float64(k)*(6-2*off)/float64(ny-1)+0.1*rng.NormFloat64(), 0), 6)
			fmt.Fprintf(&b, "S%d%d%d,%.3f,%.3f,%.6f,\n", nx, i, k, x, y, z(x, y)+shift+reading*rng.NormFloat64())
		}
	}
	return &fstest.MapFile{Data: []byte(b.String())}
}

// Surveys without a place in common, of an uneven floor that did not move: no more than 10 %
// call anything moved, and the intervals hold 0 in about 90 % (718 floors: 6.3 % called moved,
// the change of a place held in 90.3 %, the mean in 91.8 %). A corner that went down by 15 mm is
// shown.
func TestShotsAgainstSurfaces(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(5, 6))
	const floors, n = 40, 30
	called, seen, held, means := 0, 0, 0, 0
	for range floors {
		z := wavy(rng)
		sunk := func(x, y float64) float64 { return z(x, y) - 0.015*math.Exp(-(x*x+y*y)/9) }
		files := fstest.MapFS{"walls.csv": walls(8, 6), "a.csv": shotsAnew(rng, 6, 5, 0.2, 0.001, 0.0005, z), "b.csv": shotsAnew(rng, 7, 5, 0.45, 0.001, 0.0005, z), "c.csv": shotsAnew(rng, 7, 5, 0.45, 0.001, 0.0005, sunk)}
		r := settledOf(t, files, SettleOptions{}, "a.csv", "b.csv")
		if v, is := r.BySurface(); !is || v.Name != "a.csv" {
			t.Fatalf("compared by %q, want the fewer shots of a.csv against the other surface", v.Name)
		}
		if r.Whole.Any() > settlement.NotShown {
			called++
		}
		for _, p := range r.Whole.Places {
			if math.Abs(p.Total.Change) <= p.Total.Half() {
				held++
			}
		}
		if math.Abs(r.Whole.Mean.Change) <= r.Whole.Mean.Half() {
			means++
		}
		if settledOf(t, files, SettleOptions{}, "a.csv", "c.csv").Whole.Any() > settlement.NotShown {
			seen++
		}
	}
	t.Logf("%d of %d called moved, %d sunk ones seen; held at %.3f of the places and in %d means", called, floors, seen, float64(held)/floors/n, means)
	// Two standard deviations of a count of 10 % or 90 % of 40 are 3.8.
	if called > 7 || means < 32 || seen < floors {
		t.Errorf("%d called moved, %d means held, %d sunk floors seen of %d", called, means, seen, floors)
	}
	if share := float64(held) / floors / n; share < 0.85 || share > 0.95 {
		t.Errorf("%.3f of the places held their change, want 0.90", share)
	}
}

// A level floor that goes down by 10 mm, read at other places each time: the mean is exact,
// between any two surveys, and the rate is 10 mm in 30 days.
func TestLevelFloorReadAnew(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(7, 8))
	files := fstest.MapFS{"walls.csv": walls(8, 6)}
	for k, name := range []string{"a.csv", "b.csv", "c.csv"} {
		files[name] = shotsAnew(rng, 5+k, 4, 0.1+0.3*float64(k), 0, 0, flat(9.9-0.010*float64(k)))
	}
	r := settledOf(t, files, SettleOptions{Dates: "2026-01-01,2026-01-31,2026-03-02"}, "a.csv", "b.csv", "c.csv")
	if _, is := r.BySurface(); !is {
		t.Fatal("not compared by surfaces")
	}
	isWithin(t, "mean", r.Whole.Mean.Change, -0.020, 1e-9)
	isWithin(t, "volume", r.Lower, 48*0.020, 1e-7)
	isWithin(t, "rate", r.Speeds.Mean.PerDay, -0.020/60, 1e-10)
	isWithin(t, "rate at a place", r.Speeds.Rates[0].PerDay, -0.020/60, 1e-7)
	if r.Speeds.Whole == nil || r.Speeds.Place == nil {
		t.Error("no trend")
	}
}
