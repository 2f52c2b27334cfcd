package falls

import (
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface"
)

// By symmetry the ridge between two drains halves the room, and is as level as the walls: each half
// is the room of one drain, a pyramid.
func TestLevelWallsToTwoDrains(t *testing.T) {
	ask := func(top float64, drains ...Drain) Ask { return Ask{Drains: drains, Fall: 0.01, Level: true, Top: top} }
	for _, z := range []float64{none, 10.05} {
		two := ask(10.2, Drain{Name: "A", At: vec{X: 2, Y: 2}, Z: z}, Drain{Name: "B", At: vec{X: 6, Y: 2}, Z: z})
		b, fill := fillTo(t, box(t, 0, 0, 8, 4), two)
		one, half := fillTo(t, box(t, 0, 0, 4, 4), ask(10.2, Drain{At: vec{X: 2, Y: 2}, Z: z}))
		isNear(t, "fill", fill.Fill, 2*half.Fill, 1e-9)
		down := 10.2 - one.Served[0].Z
		isNear(t, "fill by hand", fill.Fill, 32*0.2-32*down/3, 1e-8)
		for _, s := range b.Served {
			isNear(t, s.Name, s.Z, one.Served[0].Z, 1e-12)
			isNear(t, s.Name+" serves", s.Area, 16, 1e-9)
			isNear(t, s.Name+" least fall", s.LeastFall, one.Served[0].LeastFall, 1e-12)
		}
		isNear(t, "ridge", surface.NewShape(b.Floor, nil).Elevation(vec{X: 4, Y: 1}), 10.2, 1e-9)
	}
}

// halfOf returns the part of a ring that is nearer to p than to q.
func halfOf(ring []vec, p, q vec) []vec {
	closer := func(v vec) float64 { return v.Distance(q)*v.Distance(q) - v.Distance(p)*v.Distance(p) }
	var out []vec
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		da, db := closer(a), closer(b)
		if da >= 0 {
			out = append(out, a)
		}
		if da > 0 && db < 0 || da < 0 && db > 0 {
			out = append(out, vec{X: a.X + (b.X-a.X)*da/(da-db), Y: a.Y + (b.Y-a.Y)*da/(da-db)})
		}
	}
	return out
}

// In a room without inner corners each drain has the places that are nearest to it, cut out of the
// room here line by line, and the surface over them is a pyramid whose rim is level.
func TestLevelWallsOfRandomRooms(t *testing.T) {
	const top, fall = 10.3, 0.01
	for seed := range uint64(200) {
		rng := rand.New(rand.NewPCG(seed, 3))
		n := 3 + rng.IntN(5)
		var ring []vec
		turned := rng.Float64()
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + turned) / float64(n))
			ring = append(ring, vec{X: math.Round(6e3*cos) / 1e3, Y: math.Round(4e3*sin) / 1e3})
		}
		a := Ask{Fall: fall, Level: true, Top: top}
		for range 1 + rng.IntN(6) {
			sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
			r := 0.4 * rng.Float64()
			a.Drains = append(a.Drains, Drain{At: vec{X: 6 * r * cos, Y: 4 * r * sin}, Z: none})
		}
		var want, whole float64
		type part struct{ z, area float64 }
		var parts []part
		for i, d := range a.Drains {
			cell := ring
			for k, e := range a.Drains {
				if k != i {
					cell = halfOf(cell, d.At, e.At)
				}
			}
			area, far := 0.0, 0.0
			for k, p := range cell {
				q := cell[(k+1)%len(cell)]
				area += (p.X*q.Y - p.Y*q.X) / 2
				far = max(far, p.Distance(d.At))
			}
			whole += area
			want -= area * fall * far / 3
			parts = append(parts, part{top - fall*far, area})
		}
		want += whole * (top - 10)
		b, fill := fillTo(t, levelFloor(t, ring...), a)
		isNear(t, "fill", fill.Fill, want, 1e-7)
		for i, s := range b.Served {
			isNear(t, "area", s.Area, parts[i].area, 1e-6)
			isNear(t, "drain", s.Z, parts[i].z, 1e-7)
		}
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
}

// hall is a hall of 60 by 40 m with 40 square columns, and a drain in the middle of each of 30 bays
// of 10 by 8 m, off the grid of the columns.
func hall(t testing.TB) Ask {
	rings := [][]vec{rect(0, 0, 60, 40)}
	for i := range 8 {
		for j := range 5 {
			x, y := 4+7.5*float64(i), 4+8*float64(j)
			rings = append(rings, rect(x-0.2, y-0.2, x+0.2, y+0.2))
		}
	}
	a := Ask{Floor: floorOf(t, rings...), Fall: 0.01, Top: none}
	for i := range 6 {
		for j := range 5 {
			a.Drains = append(a.Drains, Drain{At: vec{X: 5.5 + 10*float64(i), Y: 3 + 8*float64(j)}, Z: 10})
		}
	}
	return a
}

// A hall of many drains and columns falls everywhere as one of few does.
func TestHallOfManyDrains(t *testing.T) {
	a := hall(t)
	checkEven(t, a, mustBuild(t, a), 500, rand.New(rand.NewPCG(1, 1)))
}

func BenchmarkHall(b *testing.B) {
	a := hall(b)
	b.ReportAllocs()
	for b.Loop() {
		built, err := Build(a)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(built.Floor.Regions[0].TIN.Len()), "triangles")
	}
}
