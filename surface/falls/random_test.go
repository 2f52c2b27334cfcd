package falls

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/surface"
)

// randomRoom returns a room of squares of a grid with columns in it.
func randomRoom(rng *rand.Rand) [][]vec {
	n := 5 + rng.IntN(6)
	var out []vec
	slant := rng.IntN(2) == 0
	for i := range n {
		r := 2 + 4*rng.Float64()
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.3*rng.Float64()) / float64(n))
		p := vec{X: 6 + r*cos, Y: 6 + r*sin}
		if !slant {
			p = vec{X: math.Round(p.X*2) / 2, Y: math.Round(p.Y*2) / 2}
		}
		out = append(out, vec{X: math.Round(p.X*1e3) / 1e3, Y: math.Round(p.Y*1e3) / 1e3})
	}
	rings := [][]vec{out}
	for range rng.IntN(3) {
		x, y, r := 5+2*rng.Float64(), 5+2*rng.Float64(), 0.1+0.4*rng.Float64()
		if !slant {
			x, y, r = math.Round(x*2)/2, math.Round(y*2)/2, 0.25
		}
		m := 3 + rng.IntN(6)
		if !slant {
			m = 4
		}
		var c []vec
		for i := range m {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(m))
			c = append(c, vec{X: math.Round((x+r*cos)*1e3) / 1e3, Y: math.Round((y+r*sin)*1e3) / 1e3})
		}
		rings = append(rings, c)
	}
	return rings
}

func tryFloor(rings [][]vec) *surface.Floor {
	var d surface.Data
	for i, r := range rings {
		kind := ringOf(0, r...)
		if i > 0 {
			kind = ringOf(1, r...)
		}
		d.Rings = append(d.Rings, kind)
	}
	f, err := surface.NewFloor(d)
	if err != nil || len(f.Regions) != 1 {
		return nil
	}
	for _, ring := range f.Regions[0].Rings {
		for i, p := range ring {
			if slices.Contains(ring[:i], p) {
				return nil // columns that touch: whether water passes between them is anyone's guess
			}
		}
	}
	return f
}

// randomAsk returns a room with drains; false if its walls are none.
func randomAsk(rng *rand.Rand) (Ask, bool) {
	f := tryFloor(randomRoom(rng))
	if f == nil {
		return Ask{}, false
	}
	half := rng.IntN(2) == 0
	place := func() vec {
		p := vec{X: 2 + 8*rng.Float64(), Y: 2 + 8*rng.Float64()}
		if half {
			p = vec{X: math.Round(p.X*2) / 2, Y: math.Round(p.Y*2) / 2}
		}
		return p
	}
	a := Ask{Floor: f, Fall: 0.02, Top: none}
	for range 1 + rng.IntN(4) {
		d := Drain{At: place(), Z: 0}
		if rng.IntN(3) == 0 {
			d.Channel, d.To = true, place()
		}
		if rng.IntN(2) == 0 {
			d.Z = 0.01 * rng.Float64()
		}
		a.Drains = append(a.Drains, d)
	}
	return a, true
}

func TestRandomRoomsFollowShortestWays(t *testing.T) {
	rooms := 0
	for seed := uint64(0); rooms < 300; seed++ {
		rng := rand.New(rand.NewPCG(seed, 7))
		a, ok := randomAsk(rng)
		if !ok {
			continue
		}
		b, err := Build(a)
		if err != nil {
			if b == nil && refusedRightly(err) {
				continue
			}
			t.Fatalf("seed %d: %v", seed, err)
		}
		rooms++
		if !t.Run("", func(t *testing.T) { checkEven(t, a, b, 300, rng) }) {
			t.Fatalf("seed %d", seed)
		}
	}
}
