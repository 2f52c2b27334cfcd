package falls

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pourplane/surface"
)

// ramped is a level floor at 10 m inside a box, filled to base with ramps, and the volume that the
// ramps add to the fill, or take off it.
func ramped(t *testing.T, f *surface.Floor, base surface.Target, wanted ...Slant) (*Ramped, float64) {
	t.Helper()
	r, err := WithRamps(f, base, wanted)
	if err != nil {
		t.Fatal(err)
	}
	return r, f.FillTo(r.Target, nil).Fill - f.FillTo(base, nil).Fill
}

// isWithin wants a volume between the closed form and that plus facets off by 0.05 mm.
func isWithin(t *testing.T, what string, got, want, area float64) {
	t.Helper()
	if d := (got - want) * math.Copysign(1, want); !(d > -1e-9 && d < 0.00005*area) {
		t.Errorf("%s: %.9g, want %.9g or up to %.2g farther from 0", what, got, want, 0.00005*area)
	}
}

func door(name string, x, y, z float64) Threshold {
	return Threshold{Name: name, At: surface.Vec{X: x, Y: y}, Z: z}
}

// A ramp at one place of a straight wall is half a cone: π r² h / 6 over a level target.
func TestRampAtAWallIsHalfACone(t *testing.T) {
	for _, at := range []float64{0, 500_000} {
		f := box(t, at, at, 6, 4)
		const h = 0.04
		length := h * 12
		cone := math.Pi * length * length * h / 6
		area := math.Pi * length * length / 2
		r, more := ramped(t, f, surface.Horizontal(10.05), Slant{Threshold: door("D1", at+2, at-0.1, 10.05+h), Slope: 1. / 12})
		isWithin(t, "up", more, cone, area)
		isNear(t, "length", r.Ramps[0].Length, length, 1e-9)
		isNear(t, "rise", r.Ramps[0].Rise, h, 1e-9)
		isNear(t, "area", r.Ramps[0].Area, area, 0.002*area)
		isNear(t, "at the threshold", r.Target.Elevation(surface.Vec{X: at + 2, Y: at}), 10.05+h, 1e-9)
		isNear(t, "half way", r.Target.Elevation(surface.Vec{X: at + 2, Y: at + length/2}), 10.05+h/2, 0.00005)
		isNear(t, "beyond", r.Target.Elevation(surface.Vec{X: at + 2, Y: at + length + 0.01}), 10.05, 0)

		r, less := ramped(t, f, surface.Horizontal(10.05), Slant{Threshold: door("D1", at+2, at, 10.05-h), Length: length})
		isWithin(t, "down", less, -cone, area)
		isNear(t, "slope", r.Ramps[0].Slope, 1./12, 1e-9)
		isNear(t, "rise", r.Ramps[0].Rise, -h, 1e-9)
	}
}

// In a corner it is a quarter of the cone.
func TestRampInACornerIsAQuarterCone(t *testing.T) {
	_, more := ramped(t, box(t, 0, 0, 6, 4), surface.Horizontal(10.05), Slant{Threshold: door("D1", 0, 0, 10.1), Slope: 0.05})
	isWithin(t, "fill", more, math.Pi*0.05/12, math.Pi/4)
}

// Along both jambs of a door it is a wedge with a quarter of a cone at each end.
func TestRampAlongALine(t *testing.T) {
	const h, wide, length = 0.05, 0.9, 0.6
	d := Threshold{Name: "DOOR", At: surface.Vec{X: 2.9, Y: 0}, Line: true, To: surface.Vec{X: 2, Y: 0}, Z: 10.05 + h, Zo: 10.05 + h}
	r, more := ramped(t, box(t, 0, 0, 6, 4), surface.Horizontal(10.05), Slant{Threshold: d, Length: length})
	isWithin(t, "fill", more, wide*length*h/2+math.Pi*length*length*h/6, wide*length+math.Pi*length*length/2)
	isNear(t, "cross slope", r.Ramps[0].Cross, 0, 0)

	// Ends that differ: the line between them is the top edge, and each end has its own cone.
	d.Zo += 0.006
	r, more = ramped(t, box(t, 0, 0, 6, 4), surface.Horizontal(10.05), Slant{Threshold: d, Slope: h / length})
	want := 0.0
	for _, z := range []float64{h, h + 0.006} {
		l := z / (h / length)
		want += math.Pi * l * l * z / 12
	}
	// A wedge whose height runs from a to b has the volume wide·(a² + ab + b²)/(6·slope).
	want += wide * (h*h + h*(h+0.006) + (h+0.006)*(h+0.006)) / 6 / (h / length)
	isWithin(t, "fill between unlike ends", more, want, wide*length+math.Pi*length*length)
	isNear(t, "cross slope", r.Ramps[0].Cross, 0.006/0.9, 1e-12)
	isNear(t, "at the higher end", r.Target.Elevation(surface.Vec{X: 2, Y: 0}), 10.106, 1e-9)
}

// On falls to a drain the ramp is where brute force over a fine grid has it, round an inner corner
// too.
func TestRampOnFallsAgainstBruteForce(t *testing.T) {
	ring := []surface.Vec{{X: 0, Y: 0}, {X: 6, Y: 0}, {X: 6, Y: 4}, {X: 2, Y: 4}, {X: 2, Y: 1}, {X: 1.4, Y: 1}, {X: 1.4, Y: 4}, {X: 0, Y: 4}}
	f := levelFloor(t, ring...)
	b, err := Build(Ask{Floor: f, Drains: []Drain{{Name: "G", At: surface.Vec{X: 4, Y: 2}, Z: 10.02}}, Fall: 1. / 60, Top: math.NaN()})
	if err != nil {
		t.Fatal(err)
	}
	plane, err := surface.Falling(10.12, 0.015, surface.Vec{}, surface.Vec{}, surface.Vec{X: 2, Y: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		base surface.Target
		z    float64
	}{{surface.NewShape(b.Floor, nil), 10.2}, {surface.NewShape(b.Floor, nil), 9.96}, {plane, 10.18}, {plane, 9.98}} {
		base, z := c.base, c.z
		wanted := []Slant{
			{Threshold: door("A", 1.4, 1.2, z), Slope: 0.2},
			{Threshold: Threshold{Name: "B", At: surface.Vec{X: 6, Y: 1}, Line: true, To: surface.Vec{X: 6, Y: 1.9}, Z: z - 0.05, Zo: z - 0.05}, Slope: 0.06},
		}
		r, err := WithRamps(f, base, wanted)
		if err != nil {
			t.Fatal(err)
		}
		ways := []*oracle{newOracle([][]vec{ring}, []Drain{{At: wanted[0].At}}, []float64{0}), newOracle([][]vec{ring}, []Drain{{At: wanted[1].At, Channel: true, To: wanted[1].To}}, []float64{0})}
		worst, on := 0.0, 0
		rng := rand.New(rand.NewPCG(7, 1))
		for range 3000 {
			p := surface.Vec{X: 6 * rng.Float64(), Y: 4 * rng.Float64()}
			if !ways[0].in(p) {
				continue
			}
			want := base.Elevation(p)
			below := want
			for i, o := range ways {
				away := o.at(p) * wanted[i].Slope
				if z > 10.1 {
					want = max(want, wanted[i].Z-away)
				} else {
					want = min(want, wanted[i].Z+away)
				}
			}
			if want != below {
				on++
			}
			worst = max(worst, math.Abs(r.Target.Elevation(p)-want))
		}
		if worst > 0.00005 || on < 100 {
			t.Errorf("thresholds at %g: %.3g m off brute force, want 0.00005; %d places on a ramp", z, worst, on)
		}
	}
}

// The order that ramps are given in, and turning the floor, change nothing.
func TestRampsInAnyOrder(t *testing.T) {
	f := box(t, 0, 0, 6, 4)
	a, b := Slant{Threshold: door("A", 2, 0, 10.1), Slope: 0.08}, Slant{Threshold: door("B", 2.6, 0, 10.09), Slope: 0.05}
	_, one := ramped(t, f, surface.Horizontal(10.05), a, b)
	r, other := ramped(t, f, surface.Horizontal(10.05), b, a)
	isNear(t, "in the other order", other, one, 1e-12)
	if r.Ramps[0].Name != "B" || r.Ramps[1].Name != "A" {
		t.Errorf("ramps at %s and %s, want the order asked for", r.Ramps[0].Name, r.Ramps[1].Name)
	}
	// They overlap: by a sum over a grid of the higher of both.
	const n = 1500
	sum := 0.0
	for i := range n {
		for j := range n {
			p := surface.Vec{X: 0.5 + 4*(float64(i)+0.5)/n, Y: 1.2 * (float64(j) + 0.5) / n}
			sum += max(0, 0.05-0.08*p.Distance(a.At), 0.04-0.05*p.Distance(b.At)) * 4 * 1.2 / n / n
		}
	}
	isNear(t, "the higher of both", one, sum, 0.00005*1.5)
}

// Down to a door in the plane of a level old floor the fill ends in a feather edge. Where it is to
// keep 20 mm, the line is at that depth, and the chase is what is missing: at one place of a wall
// half of a cylinder less half of a cone.
func TestFeather(t *testing.T) {
	const depth, least, slope = 0.03, 0.02, 1. / 12
	f := box(t, 0, 0, 6, 4)
	r, _ := ramped(t, f, surface.Horizontal(10+depth), Slant{Threshold: door("D1", 2, 0, 10), Slope: slope})
	got, err := r.Ramps[0].Feather(f, r.Target, least)
	if err != nil {
		t.Fatal(err)
	}
	far := least / slope
	isNear(t, "line", got.Length, math.Pi*far, 0.002*math.Pi*far)
	isNear(t, "nearest", got.Nearest, 0, 1e-9)
	isNear(t, "farthest", got.Farthest, far, 0.001)
	isNear(t, "area", got.Area, math.Pi*far*far/2, 0.002*far*far)
	isNear(t, "chase", got.Chase, math.Pi*far*far*least/6, 0.00005*2*far*far)
	isNear(t, "cut", got.Cut, 0, 1e-12)

	// 10 mm below the old floor: cut first, then as deep again.
	r, _ = ramped(t, f, surface.Horizontal(10+depth), Slant{Threshold: door("D1", 2, 0, 9.99), Slope: slope})
	if got, err = r.Ramps[0].Feather(f, r.Target, least); err != nil {
		t.Fatal(err)
	}
	far = 0.03 / slope
	isNear(t, "chase with cut", got.Chase, math.Pi*far*far*0.03/6, 0.00005*2*far*far)
	cut := 0.01 / slope
	isNear(t, "cut", got.Cut, math.Pi*cut*cut*0.01/6, 0.00005*2*far*far)

	// Along a line: a wedge and two quarter cones.
	d := Threshold{Name: "D", At: surface.Vec{X: 2, Y: 0}, Line: true, To: surface.Vec{X: 3, Y: 0}, Z: 10, Zo: 10}
	r, _ = ramped(t, f, surface.Horizontal(10+depth), Slant{Threshold: d, Slope: slope})
	if got, err = r.Ramps[0].Feather(f, r.Target, least); err != nil {
		t.Fatal(err)
	}
	far = least / slope
	isNear(t, "chase along a line", got.Chase, far*least/2+math.Pi*far*far*least/6, 0.00005*4*far*far)
	isNear(t, "line along a line", got.Length, 1+math.Pi*far, 0.002*math.Pi*far)
}

func TestRefusedRamps(t *testing.T) {
	f := box(t, 0, 0, 6, 4)
	at := func(x, y, z float64) Slant { return Slant{Threshold: door("D1", x, y, z), Slope: 1. / 12} }
	long := func(z, l float64) Slant { return Slant{Threshold: door("D1", 2, 0, z), Length: l} }
	named := func(s Slant, name string) Slant { s.Name = name; return s }
	for _, c := range []struct {
		wanted []Slant
		want   string
	}{
		{[]Slant{long(10.1, 0)}, "a length of 0"},
		{[]Slant{long(10.1, 4.01)}, "where the next wall is 4"},
		{[]Slant{long(10.1, 0.05)}, "no steeper than 1:2"},
		{[]Slant{at(2, 0, 10.5)}, "still"},
		{[]Slant{at(2, -2.5, 10.1)}, "2.500 m outside the nearest wall"},
		{[]Slant{at(2, 0, math.NaN())}, "known place"},
		{[]Slant{at(2, 0, 10.1), named(at(2, -0.1, 10.1), "D2")}, "one ramp at a threshold"},
		{[]Slant{at(2, 0, 10.1), named(at(2.3, 0, 10), "D2")}, "do not meet"},
		{[]Slant{at(2, 0, 10.1), named(at(2.1, 0, 10.06), "D2")}, "across its threshold"},
		{[]Slant{{Threshold: Threshold{Name: "D", At: surface.Vec{X: 2}, Line: true, To: surface.Vec{X: 3}, Z: 10.04, Zo: 10.06}, Slope: 0.05}}, "all above the target"},
	} {
		_, err := WithRamps(f, surface.Horizontal(10.05), c.wanted)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
	_, err := WithRamps(f, surface.Horizontal(10.05), []Slant{at(2, 0, 10.1), named(at(2.3, 0, 10), "D2")})
	if o := (*Overlap)(nil); !errors.As(err, &o) || o.First != "D1" || o.Second != "D2" {
		t.Errorf("%v, want both names", err)
	}
	// Side by side they are no trouble.
	r, _ := ramped(t, f, surface.Horizontal(10.05), at(2, 0, 10.1), named(at(4, 0, 10), "D2"), named(at(0, 2, 10.0502), "D3"))
	if len(r.Ramps) != 2 || len(r.Flush) != 1 || r.Flush[0].Name != "D3" {
		t.Errorf("%d ramps and %v flush", len(r.Ramps), r.Flush)
	}
}

// In random rooms with columns, over planes and falls, up to and down to random places at walls, the
// target is that of brute force, and the floor split for it has its volume.
func TestRampsInRandomRooms(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 3))
	done, refused := 0, 0
	for done < 60 {
		rings := randomRoom(rng)
		f := tryFloor(rings)
		if f == nil {
			continue
		}
		ring := rings[0]
		var base surface.Target = surface.Plane{At: surface.Vec{X: 6, Y: 6}, Z: 10, SlopeX: 0.02 * (rng.Float64() - 0.5), SlopeY: 0.02 * (rng.Float64() - 0.5)}
		if rng.IntN(3) == 0 {
			base = surface.Horizontal(10)
		}
		wall := rng.IntN(len(ring))
		at := between(ring[wall], ring[(wall+1)%len(ring)], rng.Float64())
		z := base.Elevation(at) + 0.01 + 0.05*rng.Float64()
		up := rng.IntN(2) == 0
		if !up {
			z = 2*base.Elevation(at) - z
		}
		s := Slant{Threshold: door("D", at.X, at.Y, z), Slope: 0.03 + 0.2*rng.Float64()}
		drain := Drain{At: at}
		if rng.IntN(2) == 0 {
			to := between(ring[wall], ring[(wall+1)%len(ring)], rng.Float64())
			if to.Distance(at) < 0.02 {
				continue
			}
			s.Line, s.To, s.Zo = true, to, z
			drain = Drain{At: at, Channel: true, To: to}
		}
		r, err := WithRamps(f, base, []Slant{s})
		if err != nil {
			refused++
			continue
		}
		done++
		way := newOracle(ringsOf(f), []Drain{drain}, []float64{0})
		want := func(p vec) float64 {
			if up {
				return max(base.Elevation(p), z-s.Slope*way.at(p))
			}
			return min(base.Elevation(p), z+s.Slope*way.at(p))
		}
		worst := 0.0
		for range 300 {
			p := vec{X: at.X + 2*rng.NormFloat64(), Y: at.Y + 2*rng.NormFloat64()}
			if !way.in(p) || way.onWall(p) {
				continue
			}
			worst = max(worst, math.Abs(r.Target.Elevation(p)-want(p)))
		}
		if worst > 0.00005 {
			t.Errorf("room %v, ramp %+v: %.3g m off brute force", rings, s, worst)
		}
		split, err := f.Under(r.Target)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range split.Regions {
			d := g.TIN.Depths(r.Target)
			for k := range g.TIN.Len() {
				var m vec
				mean := 0.0
				for _, v := range g.TIN.V[3*k : 3*k+3] {
					m, mean = plus(m, times(1./3, g.TIN.At(v))), mean+(d[v]+g.TIN.Z[v])/3
				}
				if off := math.Abs(mean - r.Target.Elevation(m)); off > 1e-7 {
					t.Errorf("room %v, ramp %+v: a triangle at %v is %.3g m off the target that it is split for", rings, s, m, off)
					break
				}
			}
		}
	}
	if refused > 60 {
		t.Errorf("%d refused", refused)
	}
}
