package flatness

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

var undeclared = survey.Declared{Area2D: math.NaN(), Area3D: math.NaN(), ElevMin: math.NaN(), ElevMax: math.NaN()}

// gridFloor is a floor of nx × ny squares of a side, each cut from south-west to
// north-east.
func gridFloor(tb testing.TB, nx, ny int, side float64, z func(x, y float64) float64) *surface.Floor {
	tb.Helper()
	s := survey.Surface{Name: "grid", Declared: undeclared}
	for j := range ny + 1 {
		for i := range nx + 1 {
			x, y := float64(i)*side, float64(j)*side
			s.Vertices = append(s.Vertices, survey.Point{X: x, Y: y, Z: z(x, y)})
		}
	}
	for j := range ny {
		for i := range nx {
			a := int32(j*(nx+1) + i)
			b := a + int32(nx) + 1
			s.Faces = append(s.Faces, [3]int32{a, a + 1, b + 1}, [3]int32{a, b + 1, b})
		}
	}
	f, err := surface.FromFaces(s)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

func lay(tb testing.TB, f *surface.Floor, l Laying) Straightedge {
	tb.Helper()
	e, err := Lay(f, l)
	if err != nil {
		tb.Fatal(err)
	}
	return e
}

// rough is the floor of the raster race: 1600 × 1000 nodes at 25 mm.
func rough(x, y float64) float64 {
	h := uint64(math.Round(x*40))*2654435761 + uint64(math.Round(y*40))*40503
	h ^= h >> 13
	h *= 0x9E3779B97F4A7C15
	noise := float64(h>>11)/(1<<53) - 0.5
	return 0.001*x + 0.004*math.Sin(x/1.7)*math.Sin(y/2.3) + 0.002*math.Sin(x/0.6+y/0.9) + 0.0008*noise
}

func BenchmarkStraightedge(b *testing.B) {
	raster := gridFloor(b, 1599, 999, 0.025, rough)
	for _, n := range []int{2, 12} {
		b.Run(fmt.Sprintf("points=1.6M/directions=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				lay(b, raster, Laying{Length: 3.048, Directions: n})
			}
		})
	}
	rng := rand.New(rand.NewPCG(1, 1))
	shots := make([]survey.Point, 100_000)
	for i := range shots {
		x, y := 40*rng.Float64(), 25*rng.Float64()
		shots[i] = survey.Point{X: x, Y: y, Z: rough(x, y)}
	}
	f, err := surface.NewFloor(surface.Data{Shots: shots})
	if err != nil {
		b.Fatal(err)
	}
	b.Run("points=100k/floor=random/directions=12", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			lay(b, f, Laying{Length: 3.048})
		}
	})
}

func TestPlaneHasNoGap(t *testing.T) {
	f := gridFloor(t, 40, 30, 0.1, func(x, y float64) float64 { return 100 + 0.013*x - 0.007*y })
	e := lay(t, f, Laying{Length: 2})
	near(t, "gap", e.Gap, 0, 2e-9)
	near(t, "within", e.Within(1e-6), 1, 1e-12)
}
