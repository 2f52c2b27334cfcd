package surface

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"pourplane/survey"
)

// pit is a square of 2 × 2 m whose middle is a metre below its corners.
func pit(t *testing.T) *Floor {
	return faces(t, []survey.Point{{X: -1, Y: -1, Z: 1}, {X: 1, Y: -1, Z: 1}, {X: 1, Y: 1, Z: 1}, {X: -1, Y: 1, Z: 1}, {X: 0, Y: 0, Z: 0}},
		[3]int32{0, 1, 4}, [3]int32{1, 2, 4}, [3]int32{2, 3, 4}, [3]int32{3, 0, 4})
}

// Filled to z the pit is a pyramid upside down: 4z³/3 up to its rim, then a prism of 4 m².
func TestAVolumeFillsAPitToTheRootOfACubic(t *testing.T) {
	floor := pit(t)
	for _, v := range []float64{1e-12, 1e-6, 0.001, 0.1, 1, 4. / 3, 1.4, 10, 1e6} {
		want := math.Cbrt(0.75 * v)
		if v > 4./3 {
			want = 1 + (v-4./3)/4
		}
		got := floor.RaiseFor(Horizontal(0), v)
		near(t, "height of the fill", got, want, 4*ulp(want))
		// From a target elsewhere the way there is shorter or longer by as much.
		near(t, "from 0.3 m", floor.RaiseFor(Horizontal(0.3), v)+0.3, want, 8*ulp(max(want, 0.3)))
	}
}

// A wedge of 3 × 2 m that falls by 0.3 m takes 2·z²/(2·0.1) until it is covered, and a dead
// level floor a layer of its volume by its area.
func TestAVolumeOnAWedgeAndOnALevelFloor(t *testing.T) {
	wedge := faces(t, []survey.Point{{X: 0, Y: 0, Z: 10}, {X: 3, Y: 0, Z: 10.3}, {X: 3, Y: 2, Z: 10.3}, {X: 0, Y: 2, Z: 10}}, [3]int32{0, 1, 2}, [3]int32{0, 2, 3})
	for _, v := range []float64{0.01, 0.2, 0.899, 1.5} {
		want := 10 + math.Sqrt(0.1*v)
		if v > 0.9 {
			want = 10.3 + (v-0.9)/6
		}
		near(t, "on the wedge", wedge.RaiseFor(Horizontal(0), v), want, 4*ulp(10))
	}
	// A target that falls with it leaves a layer of one thickness.
	near(t, "a layer", wedge.RaiseFor(Plane{Z: 10, SlopeX: 0.1}, 0.6), 0.1, 8*ulp(10))

	flat := faces(t, []survey.Point{{X: 0, Y: 0, Z: 10}, {X: 3, Y: 0, Z: 10}, {X: 3, Y: 2, Z: 10}, {X: 0, Y: 2, Z: 10}}, [3]int32{0, 1, 2}, [3]int32{0, 2, 3})
	near(t, "on a level floor", flat.RaiseFor(Horizontal(0), 0.3), 10.05, 2*ulp(10))
}

// rough is an uneven floor of about n shots, in two regions.
func rough(t testing.TB, n int, seed uint64) *Floor {
	rng := rand.New(rand.NewPCG(seed, 7))
	var shots []survey.Point
	for range n {
		x, y := 16*rng.Float64(), 6*rng.Float64()
		if x > 7 && x < 9 {
			continue
		}
		shots = append(shots, survey.Point{X: x, Y: y, Z: 99.9 + 0.03*math.Sin(x/2) + 0.02*math.Cos(y) + 0.004*rng.Float64()})
	}
	floor, err := NewFloor(Data{Shots: shots, Rings: []survey.Ring{
		ringOf("west", survey.Outer, 0, 0, 7, 0, 7, 6, 0, 6), ringOf("east", survey.Outer, 9, 0, 16, 0, 16, 6, 9, 6)}, Duplicates: First})
	if err != nil {
		t.Fatal(err)
	}
	return floor
}

// Bisection alone, to the last bit, on the exact fill of each target.
func TestAVolumeAgainstBisection(t *testing.T) {
	for seed := range uint64(6) {
		floor := rough(t, 60+20*int(seed), seed)
		for _, slope := range []float64{0, 0.004} {
			shape := Plane{SlopeX: slope, SlopeY: -slope / 3, At: Vec{X: 5, Y: 2}}
			fill := func(z float64) float64 {
				v := 0.0
				for _, r := range floor.Regions {
					one, _ := FillCut(r.TIN, shape.Lowered(-z))
					v += one
				}
				return v
			}
			for _, v := range []float64{1e-5, 0.01, 0.3, 1, 2.29366, 3.5, 20} {
				lo, hi := 0.0, 200.0
				for m := 100.0; m > lo && m < hi; m = lo + (hi-lo)/2 {
					if fill(m) < v {
						lo = m
					} else {
						hi = m
					}
				}
				got := floor.RaiseFor(shape, v)
				near(t, "elevation", got, hi, 2*ulp(100))
				near(t, "fill there", fill(got), v, 84*2*ulp(100))
				if again, _ := floor.FilledTo(shape.Lowered(-got)); math.Abs(again-v) > 84*2*ulp(100) {
					t.Errorf("FilledTo finds %.17g, want %g", again, v)
				}
			}
		}
	}
}

// exactFill is the fill of one triangle below a level z in rational numbers: the corners below z
// are cut off along the level line.
func exactFill(p [3]survey.Point, z float64) *big.Rat {
	rat := func(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }
	sub := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
	mul := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
	type at struct{ x, y, d *big.Rat }
	var ring []at
	for i := range p {
		a, b := p[i], p[(i+1)%3]
		da, db := sub(rat(z), rat(a.Z)), sub(rat(z), rat(b.Z))
		if da.Sign() >= 0 {
			ring = append(ring, at{rat(a.X), rat(a.Y), da})
		}
		if da.Sign()*db.Sign() < 0 {
			s := new(big.Rat).Quo(da, sub(da, db))
			along := func(u, v float64) *big.Rat { return new(big.Rat).Add(rat(u), mul(s, sub(rat(v), rat(u)))) }
			ring = append(ring, at{along(a.X, b.X), along(a.Y, b.Y), new(big.Rat)})
		}
	}
	v := new(big.Rat)
	for i := 1; i+1 < len(ring); i++ {
		a, b, c := ring[0], ring[i], ring[i+1]
		twice := sub(mul(sub(b.x, a.x), sub(c.y, a.y)), mul(sub(b.y, a.y), sub(c.x, a.x)))
		d := new(big.Rat).Add(a.d, new(big.Rat).Add(b.d, c.d))
		v.Add(v, mul(mul(twice, d), big.NewRat(1, 6)))
	}
	return v
}

// The volume of each height in rational numbers: the solution is between its neighbours.
func TestAVolumeInRationalNumbers(t *testing.T) {
	points := []survey.Point{{X: 0, Y: 0, Z: 0.125}, {X: 3, Y: 0.5, Z: 0.0625}, {X: 3.5, Y: 2, Z: 0.03}, {X: -0.25, Y: 2.5, Z: 0.21}}
	set := [][3]int32{{0, 1, 2}, {0, 2, 3}}
	floor := faces(t, points, set...)
	fill := func(z float64) *big.Rat {
		v := new(big.Rat)
		for _, f := range set {
			v.Add(v, exactFill([3]survey.Point{points[f[0]], points[f[1]], points[f[2]]}, z))
		}
		return v
	}
	for _, v := range []float64{0.001, 0.0625, 0.37, 0.9} {
		z := floor.RaiseFor(Horizontal(0), v)
		want := new(big.Rat).SetFloat64(v)
		if fill(z-2*ulp(z)).Cmp(want) > 0 || fill(z+2*ulp(z)).Cmp(want) < 0 {
			got, _ := fill(z).Float64()
			t.Errorf("%g m³ fills to %.17g, where the exact fill is %.17g", v, z, got)
		}
	}
}

// Many heights at once give what each gives alone, with its bands.
func TestHeightsAreWhatEachTargetTakes(t *testing.T) {
	limits := []float64{0.01, 0.02, 0.035}
	for seed := range uint64(4) {
		floor := rough(t, 100, seed)
		target := Plane{Z: 99.93, SlopeX: 0.001 * float64(seed)}
		var raises []float64
		for k := -60; k <= 60; k++ {
			raises = append(raises, 0.001*float64(k))
		}
		for _, h := range floor.Heights(target, raises, limits) {
			want := floor.FillTo(target.Lowered(-h.Raise), append([]float64{0}, limits...))
			near(t, "fill", h.Fill, want.Fill, 1e-12)
			near(t, "cut", h.Cut, want.Cut, 1e-12)
			near(t, "area", h.FillArea, want.FillArea, 1e-9)
			near(t, "least", h.Least, want.Least, 1e-13)
			near(t, "greatest", h.Greatest, want.Greatest, 1e-13)
			var bands []Band
			for _, b := range want.Bands {
				if b.From >= 0 && b.Area > 1e-9 {
					bands = append(bands, b)
				}
			}
			i := 0
			for _, b := range h.Bands {
				if b.Area <= 1e-9 {
					continue
				}
				if i == len(bands) {
					t.Fatalf("at %+g m: one band too many: %v", h.Raise, b)
				}
				near(t, "from", b.From, bands[i].From, 0)
				near(t, "band", b.Area, bands[i].Area, 1e-9)
				near(t, "volume", b.Volume, bands[i].Volume, 1e-11)
				i++
			}
			if i != len(bands) {
				t.Errorf("at %+g m: %d bands, want %d", h.Raise, i, len(bands))
			}
		}
	}
}

func BenchmarkRaiseFor(b *testing.B) {
	eachFloor(b, func(b *testing.B, shots []survey.Point) {
		floor, err := NewFloor(Data{Shots: shots, Duplicates: First})
		if err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			floor.RaiseFor(Horizontal(0), 5)
		}
	})
}

func BenchmarkHeights(b *testing.B) {
	var raises []float64
	for k := -10; k <= 10; k++ {
		raises = append(raises, 0.001*float64(k))
	}
	eachFloor(b, func(b *testing.B, shots []survey.Point) {
		floor, err := NewFloor(Data{Shots: shots, Duplicates: First})
		if err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			floor.Heights(Horizontal(9.96), raises, []float64{0.01, 0.04})
		}
	})
}

// A target that bends moves as one: its volumes are those of the target moved up.
func TestAVolumeBelowABentTarget(t *testing.T) {
	floor := floorOf(t, 9, 0, 0, 6, 4, 30, func(x, y float64) float64 { return 0.02 * math.Sin(x) * math.Cos(2*y) })
	target := NewShape(hipped(t, 0, 0, 6, 4, 0.1, 0.1), nil)
	fill := func(h float64) float64 { return floor.FillTo(target.Moved(h), nil).Fill }
	for _, v := range []float64{0.05, 0.4, 1, 3} {
		lo, hi := -1.0, 1.0
		for hi-lo > 1e-14 {
			if m := lo + (hi-lo)/2; fill(m) < v {
				lo = m
			} else {
				hi = m
			}
		}
		near(t, "height", floor.RaiseFor(target, v), hi, 5e-14)
	}
	for _, h := range floor.Heights(target, []float64{-0.08, -0.01, 0, 0.02}, nil) {
		want := floor.FillTo(target.Moved(h.Raise), nil)
		near(t, "fill", h.Fill, want.Fill, 1e-13)
		near(t, "cut", h.Cut, want.Cut, 1e-13)
		near(t, "area", h.FillArea, want.FillArea, 1e-11)
	}
}
