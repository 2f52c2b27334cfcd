package surface

import (
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/survey"
)

// The weights of the shots in the volume are its derivatives: the volume is linear in the
// elevations while the filled part keeps its edge, so moving one shot by a little changes it by the
// weight times the move. The elevations fitted at walls move with the shots: there the derivative
// is that of an estimate that has come to rest, which the last of its steps is near. A shot has
// 1 m² here, and the derivatives agree to 0.03 m².
func TestFillWeightsAreDerivatives(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 1))
	for name, z0 := range map[string]float64{"all filled": 0.2, "partly filled": 0.051} {
		for _, target := range []Target{Horizontal(z0), Plane{Z: z0, SlopeX: 0.002}} {
			shots, rings := columned(rng, 0.04)
			floor, err := NewFloor(Data{Shots: shots, Rings: rings})
			if err != nil {
				t.Fatal(err)
			}
			tin := floor.Regions[0].TIN
			weights := tin.Measured(floor.FillWeights(floor, target, 0))
			total := 0.0
			for v, w := range weights {
				total += w
				i := tin.Shot[v]
				if i < 0 {
					if w != 0 {
						t.Fatalf("%s: vertex %d is no shot and has the weight %g", name, v, w)
					}
					continue
				}
				const by = 1e-5
				var fill [2]float64
				for k, move := range []float64{-by, by} {
					moved := append([]survey.Point(nil), shots...)
					moved[i].Z += move
					again, err := NewFloor(Data{Shots: moved, Rings: rings})
					if err != nil {
						t.Fatal(err)
					}
					fill[k] = again.FillTo(target, nil).Fill
				}
				if got := (fill[0] - fill[1]) / (2 * by); math.Abs(got-w) > 0.03 {
					t.Errorf("%s: shot %d: the fill changes by %g m³ per m, its weight is %g", name, i, got, w)
				}
			}
			if area := floor.FillTo(target, nil).FillArea; math.Abs(total-area) > 1e-9 {
				t.Errorf("%s: the weights add up to %g, the filled area is %g", name, total, area)
			}
		}
	}
}

// columned is a room of 6 × 4 m with a column, shot on a grid that keeps off the walls.
func columned(rng *rand.Rand, rise float64) ([]survey.Point, []survey.Ring) {
	var shots []survey.Point
	for x := 0.5; x < 6; x++ {
		for y := 0.5; y < 4; y++ {
			shots = append(shots, survey.Point{X: x + 0.1*rng.Float64(), Y: y + 0.1*rng.Float64(), Z: rise + 0.004*rng.NormFloat64() + 0.003*x})
		}
	}
	ring := func(kind survey.RingKind, x0, y0, x1, y1 float64) survey.Ring {
		r := survey.Ring{Kind: kind}
		for _, p := range [][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}} {
			r.Points = append(r.Points, survey.Point{X: p[0], Y: p[1], Z: math.NaN()})
		}
		return r
	}
	return shots, []survey.Ring{ring(survey.Outer, 0, 0, 6, 4), ring(survey.Hole, 2, 1.8, 2.4, 2.2)}
}

// On a floor that the target bends over the weights are those of the same plane in two pieces.
func TestFillWeightsUnderABend(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 2))
	shots, rings := columned(rng, 0.04)
	floor, err := NewFloor(Data{Shots: shots, Rings: rings})
	if err != nil {
		t.Fatal(err)
	}
	corner := func(x, y, z float64) survey.Point { return survey.Point{X: x, Y: y, Z: z} }
	top, err := NewFloor(Data{Shots: []survey.Point{corner(-1, -1, 0.05), corner(7, -1, 0.07), corner(7, 5, 0.07), corner(-1, 5, 0.05), corner(3, 2.3, 0.06)}})
	if err != nil {
		t.Fatal(err)
	}
	bent := NewShape(top, nil)
	split, err := floor.Under(bent)
	if err != nil {
		t.Fatal(err)
	}
	if split.Regions[0].TIN.Len() == floor.Regions[0].TIN.Len() {
		t.Fatal("the target does not bend over the floor")
	}
	want := floor.FillWeights(floor, Plane{At: Vec{X: 3}, Z: 0.06, SlopeX: 0.0025}, 0)
	for v, w := range floor.FillWeights(split, bent, 0) {
		if math.Abs(w-want[v]) > 1e-9 {
			t.Errorf("vertex %d: %g, %g under the plane", v, w, want[v])
		}
	}
}
