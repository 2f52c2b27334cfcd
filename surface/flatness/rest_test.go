package flatness

import (
	"math"
	"math/rand/v2"
	"testing"
)

// bruteRest is the definition: of all pairs of corners with nothing above the line between
// them, the widest pair on both sides of the edge's middle; then the max gap under that
// line. O(n³). side moves the middle, to distinguish the two positions of a rocking edge; a
// node may be above the line by slack.
func bruteRest(x, z []float64, s, length, side, slack float64) (gap, a, b float64) {
	at := func(u float64) float64 {
		k := 0
		for k+2 < len(x) && x[k+1] < u {
			k++
		}
		return z[k] + (z[k+1]-z[k])*(u-x[k])/(x[k+1]-x[k])
	}
	wx, wz := []float64{s}, []float64{at(s)}
	for k := range x {
		if x[k] > s && x[k] < s+length {
			wx, wz = append(wx, x[k]), append(wz, z[k])
		}
	}
	wx, wz = append(wx, s+length), append(wz, at(s+length))
	mid := s + length/2 + side
	best := -1.0
	for i := range wx {
		for j := i + 1; j < len(wx); j++ {
			if wx[i] > mid || wx[j] < mid {
				continue
			}
			line := func(u float64) float64 { return wz[i] + (wz[j]-wz[i])*(u-wx[i])/(wx[j]-wx[i]) }
			over, most := false, 0.0
			for k := range wx {
				d := line(wx[k]) - wz[k]
				over = over || d < -slack
				if i < k && k < j {
					most = max(most, d)
				}
			}
			if !over && wx[j]-wx[i] > best {
				best, gap, a, b = wx[j]-wx[i], most, wx[i], wx[j]
			}
		}
	}
	return gap, a, b
}

// profiles of the kinds that are awkward: noise, steps of whole millimetres with
// many ties, random walks, waves, straight pieces.
func randomProfile(rng *rand.Rand, kind int) (x, z []float64) {
	n := 2 + rng.IntN(40)
	u, h := rng.Float64(), 100.0
	for i := range n {
		x = append(x, u)
		switch kind % 5 {
		case 0:
			h = 100 + 0.003*rng.Float64()
		case 1:
			h = 100 + math.Round(3*rng.Float64())/1000
		case 2:
			h += 0.003 * (rng.Float64() - 0.5)
		case 3:
			h = 100 + 0.004*math.Sin(3*u) + 0.0003*rng.Float64()
		case 4:
			h = 100 + 0.002*u
			if i%7 == 3 {
				h += 0.001
			}
		}
		z = append(z, h)
		if kind%2 == 0 {
			u += 0.1
		} else {
			u += 0.02 + 0.2*rng.Float64()
		}
	}
	return x, z
}

func stretchOf(x, z []float64) *stretch {
	var p stretch
	for i := range x {
		p.add(x[i], z[i])
	}
	return &p
}

func TestRestAgainstTheDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	checked := 0
	for kind := range 3000 {
		x, z := randomProfile(rng, kind)
		p := stretchOf(x, z)
		length := 0.05 + rng.Float64()*min(3, p.length())
		if kind%3 == 0 {
			length = 0.1 * float64(1+rng.IntN(20))
		}
		if p.length() < length {
			continue
		}
		all := tally{per: 1, cells: make([]spot, 1)}
		r := resting{stretch: p, length: length, to: &all}
		r.run()
		way := p.length() - length
		if math.Abs(all.positions-way) > 1e-9 {
			t.Fatalf("profile %d: %.12g m of way, want %.12g", kind, all.positions, way)
		}
		// The worst position is a real one: its gap follows the definition on at least one
		// side of it.
		worst := all.cells[0]
		found := math.Inf(1)
		for _, side := range []float64{-1e-9, 1e-9} {
			for _, beside := range []float64{-1e-6, 0, 1e-6} {
				g, _, _ := bruteRest(x, z, min(max(worst.s+beside, x[0]), x[0]+way), length, side, 1e-12)
				found = min(found, math.Abs(g-worst.gap))
			}
		}
		if found > 1e-7 && worst.gap > 0 {
			t.Fatalf("profile %d %v %v, edge %g: worst gap %.9g at %.12g, off the definition there by %g", kind, x, z, length, worst.gap, worst.s, found)
		}
		const samples = 60
		const tolerance = 0.0008
		within := 0.0
		if way < 1e-6 {
			continue // one position, and the middle may be on a node
		}
		for i := range samples {
			s := x[0] + way*(float64(i)+rng.Float64())/samples
			gap, a, b := bruteRest(x, z, s, length, 0, 1e-9)
			strict, _, _ := bruteRest(x, z, s, length, 0, 1e-12) // three in line to a nanometre, by chance
			if min(gap, strict) > worst.gap+2e-9 {
				t.Fatalf("profile %d %v %v, edge %g: gap %.9g at %.12g, the worst found is %.9g", kind, x, z, length, gap, s, worst.gap)
			}
			q := resting{stretch: p, length: length, to: &all}
			q.place(s)
			xa, _, xb, _ := q.supports(s)
			if g := q.gapUnder(q.edge(), q.low); min(math.Abs(g-gap), math.Abs(g-strict)) > 3e-9 || xa < a-1e-9 || xb > b+1e-9 {
				t.Fatalf("profile %d, edge %g at %g: gap %.9g on %g and %g, by the definition %.9g on %g and %g", kind, length, s, g, xa, xb, gap, a, b)
			}
			if gap <= tolerance+sameHeight {
				within += 1.0 / samples
			}
			checked++
		}
		got := Straightedge{Positions: all.positions, gaps: all.bins}.Within(tolerance)
		if math.Abs(got-within) > 0.27 {
			t.Fatalf("profile %d, edge %g: share %.3f within %g, by sampling %.3f; worst %v way %g, %v %v", kind, length, got, tolerance, within, worst, way, x, z)
		}
	}
	if checked < 100_000 {
		t.Errorf("only %d positions checked", checked)
	}
}

// On any floor, in whole millimetres, flat, far up or far along, every metre of the way is
// counted once and no event repeats forever.
func TestEveryMetreCountsOnce(t *testing.T) {
	for seed := range uint64(8000) {
		rng := rand.New(rand.NewPCG(seed, 77))
		n := 2 + rng.IntN(120)
		kind := rng.IntN(9)
		quant := []float64{1e-3, 1e-4, 1.5875e-3, 5e-4}[rng.IntN(4)]
		off := []float64{0, 5000, -300}[rng.IntN(3)]
		x0 := []float64{0, 2000}[rng.IntN(2)]
		var p stretch
		u, h := x0, 0.0
		for i := range n {
			switch kind {
			case 0:
				h = 0.003 * rng.Float64()
			case 1:
				h = math.Round(3*rng.Float64()) * quant
			case 2:
				h += math.Round(3*rng.Float64()-1.5) * quant
			case 3:
				h = 0.004*math.Sin(3*u) + 0.0003*rng.Float64()
			case 4:
				h = math.Round(0.004*math.Sin(3*u)/quant) * quant
			case 5:
				h = 0.01*u + float64(i%5/4)*quant
			case 6:
				h = -0.001 * (u - x0) * (u - x0)
			case 7:
				h = 0.001 * (u - x0) * (u - x0)
			case 8:
				h = math.Abs(float64(i%20)-10) * quant
			}
			p.add(u, off+h)
			switch seed % 3 {
			case 0:
				u = x0 + 0.1*float64(i+1)
			case 1:
				u += 0.02 + 0.2*rng.Float64()
			case 2:
				u += 0.00001 + 0.2*rng.Float64()*rng.Float64()
			}
		}
		l := 0.1 * float64(1+rng.IntN(40))
		if rng.IntN(2) == 0 {
			l = 0.01 + 3*rng.Float64()
		}
		if p.length() < l {
			continue
		}
		all := tally{per: 1, cells: make([]spot, 1), limit: func(d float64) float64 { return 0.001 + 0.002*d }}
		r := resting{stretch: &p, length: l, to: &all}
		r.run()
		s := 0.0
		for _, w := range all.bins {
			if w < -1e-12 {
				t.Fatal(seed, w)
			}
			s += w
		}
		if way := p.length() - l; math.Abs(all.positions-way) > 1e-8 || math.Abs(s-way) > 1e-8 || math.IsNaN(all.ratio.value+all.cells[0].gap) {
			t.Fatal(seed, kind, s, all.positions, way)
		}
	}
}

func TestRising(t *testing.T) {
	for _, c := range []struct{ f0, f1, q, want float64 }{
		{-1, 1, 0, 0.5},
		{-1, -2, 0, 2},
		{-1, -1, 8, (1 - math.Sqrt(0.5)) / 2}, // up and down again in between
		{-1, -1, 3.9, 2},                      // not quite up
		{0, 1, -4, 0.75},                      // down first
		{1e-12, 1, 0, 0},
	} {
		if got := rising(c.f0, c.f1, c.q); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("rising(%g, %g, %g) = %g, want %g", c.f0, c.f1, c.q, got, c.want)
		}
	}
}
