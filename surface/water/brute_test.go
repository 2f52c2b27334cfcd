package water

import (
	"container/heap"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// Ponds of small random floors by another way: the level of each vertex as the least over all
// paths of the highest vertex on the path, found by relaxing all edges until nothing changes,
// and areas and volumes of the triangles cut at it in rational arithmetic. Elevations have
// few values, so that ties and level parts abound.
func TestPondsAgainstRationals(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	ponds := 0
	for range 400 {
		nx, ny, steps := 2+rng.IntN(5), 2+rng.IntN(4), 2+rng.IntN(8)
		f := gridFloor(t, nx, ny, 0.5, func(x, y float64) float64 { return float64(rng.IntN(steps)) / 8 })
		tin := f.Regions[0].TIN
		var outlets []Outlet
		for range rng.IntN(3) {
			v := int32(rng.IntN(len(tin.Z)))
			z := tin.Z[v]
			o := Outlet{At: tin.At(v), Z: z}
			if on := o.At.X == 0 || o.At.Y == 0; on && rng.IntN(2) == 0 {
				o.Open = true
			}
			if rng.IntN(2) == 0 {
				o.Z += float64(rng.IntN(3)) / 16
			}
			outlets = append(outlets, o)
		}
		w := find(t, f, Options{}, outlets...)
		level := minimax(tin, outlets, w)
		area, volume, deepest := new(big.Rat), new(big.Rat), 0.0
		for k := range tin.Len() {
			v := tin.V[3*k : 3*k+3]
			for _, i := range v {
				if level[i] > tin.Z[i] {
					a, b := cutExactly(tin, v, level[i])
					area.Add(area, a)
					volume.Add(volume, b)
					break
				}
			}
		}
		for i, l := range level {
			deepest = max(deepest, l-tin.Z[i])
		}
		var gotArea, gotVolume, gotDepth float64
		for _, p := range w.Ponds {
			gotArea, gotVolume, gotDepth = gotArea+p.Area, gotVolume+p.Volume, max(gotDepth, p.Depth)
			ponds++
		}
		wantArea, _ := area.Float64()
		wantVolume, _ := volume.Float64()
		near(t, "area", gotArea, wantArea, 1e-14*(1+wantArea))
		near(t, "volume", gotVolume, wantVolume, 1e-14*(1+wantVolume))
		near(t, "depth", gotDepth, deepest, 0)
	}
	if ponds < 400 {
		t.Errorf("only %d ponds", ponds)
	}
}

// minimax returns the level of the water over each vertex of t.
func minimax(t *surface.TIN, outlets []Outlet, w *Water) []float64 {
	level := make([]float64, len(t.Z))
	for i := range level {
		level[i] = math.Inf(1)
	}
	for v := range level {
		for _, o := range outlets {
			if t.At(int32(v)) == o.At {
				level[v] = min(level[v], max(t.Z[v], o.Z))
			}
		}
		for _, c := range w.Closed {
			if t.At(int32(v)) == c.At {
				level[v] = t.Z[v]
			}
		}
	}
	for changed := true; changed; {
		changed = false
		for h := range int32(len(t.V)) {
			a, b := t.V[h], t.V[surface.Next(h)]
			for range 2 {
				if z := max(t.Z[a], level[b]); z < level[a] {
					level[a], changed = z, true
				}
				a, b = b, a
			}
		}
	}
	if len(w.Closed) > 0 { // of a floor in one piece: it has no outlet
		fillFromLowest(t, level)
	}
	return level
}

// fillFromLowest fills around the lowest vertex up to the lowest level of any pond.
func fillFromLowest(t *surface.TIN, level []float64) {
	first := math.Inf(1)
	for v, l := range level {
		if l > t.Z[v] {
			first = min(first, l)
		}
	}
	under := make([]bool, len(level))
	for v, z := range t.Z {
		under[v] = z == slices.Min(t.Z) && z < first && !math.IsInf(first, 1)
	}
	// Of several lowest vertices the first by place has the water of the others' ponds run to it.
	for v := range under {
		for u := range v {
			if under[u] && under[v] {
				if t.At(int32(u)).Less(t.At(int32(v))) {
					under[v] = false
				} else {
					under[u] = false
				}
			}
		}
	}
	for changed := true; changed; {
		changed = false
		for h := range int32(len(t.V)) {
			for _, e := range [2][2]int32{{t.V[h], t.V[surface.Next(h)]}, {t.V[surface.Next(h)], t.V[h]}} {
				if under[e[0]] && !under[e[1]] && t.Z[e[1]] < first {
					under[e[1]], changed = true, true
				}
			}
		}
	}
	for v := range under {
		if under[v] {
			level[v] = first
		}
	}
}

// cutExactly returns area and volume of the part of a triangle below a level, by clipping it.
func cutExactly(t *surface.TIN, v []int32, level float64) (area, volume *big.Rat) {
	rat := func(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }
	type corner [3]*big.Rat // x, y, depth
	var in, out []corner
	for _, i := range v {
		in = append(in, corner{rat(t.X[i]), rat(t.Y[i]), new(big.Rat).Sub(rat(level), rat(t.Z[i]))})
	}
	for i, a := range in {
		b := in[(i+1)%3]
		if a[2].Sign() >= 0 {
			out = append(out, a)
		}
		if a[2].Sign()*b[2].Sign() < 0 {
			s := new(big.Rat).Quo(a[2], new(big.Rat).Sub(a[2], b[2]))
			var c corner
			for k := range 3 {
				c[k] = new(big.Rat).Add(a[k], new(big.Rat).Mul(s, new(big.Rat).Sub(b[k], a[k])))
			}
			out = append(out, c)
		}
	}
	area, volume = new(big.Rat), new(big.Rat)
	for i := 1; i+1 < len(out); i++ {
		a, b, c := out[0], out[i], out[i+1]
		d := func(k int, p corner) *big.Rat { return new(big.Rat).Sub(p[k], a[k]) }
		twice := new(big.Rat).Sub(new(big.Rat).Mul(d(0, b), d(1, c)), new(big.Rat).Mul(d(0, c), d(1, b)))
		one := new(big.Rat).Quo(twice, big.NewRat(2, 1))
		area.Add(area, one)
		mean := new(big.Rat).Add(a[2], new(big.Rat).Add(b[2], c[2]))
		volume.Add(volume, new(big.Rat).Mul(one, mean.Quo(mean, big.NewRat(3, 1))))
	}
	return area, volume
}

// cells is a raster for priority-flood as published: Barnes, Lehman and Mulla 2014, algorithm 1.
type cells struct {
	wide, high int
	z          []float64
	open       []int
}

type cellHeap struct {
	at    []int
	level []float64
}

func (h *cellHeap) Len() int           { return len(h.at) }
func (h *cellHeap) Less(i, j int) bool { return h.level[h.at[i]] < h.level[h.at[j]] }
func (h *cellHeap) Swap(i, j int)      { h.at[i], h.at[j] = h.at[j], h.at[i] }
func (h *cellHeap) Push(x any)         { h.at = append(h.at, x.(int)) }
func (h *cellHeap) Pop() any {
	x := h.at[len(h.at)-1]
	h.at = h.at[:len(h.at)-1]
	return x
}

func (c cells) filled() []float64 {
	level := make([]float64, len(c.z))
	for i := range level {
		level[i] = math.NaN()
	}
	h := &cellHeap{level: level}
	for _, i := range c.open {
		level[i] = c.z[i]
		heap.Push(h, i)
	}
	for h.Len() > 0 {
		i := heap.Pop(h).(int)
		x, y := i%c.wide, i/c.wide
		for dy := -1; dy <= 1; dy++ {
			for dx := -1; dx <= 1; dx++ {
				u, v := x+dx, y+dy
				if u < 0 || v < 0 || u >= c.wide || v >= c.high || !math.IsNaN(level[v*c.wide+u]) {
					continue
				}
				level[v*c.wide+u] = max(c.z[v*c.wide+u], level[i])
				heap.Push(h, v*c.wide+u)
			}
		}
	}
	return level
}

// The floor of the benchmark as a TIN of 0.25 m and as rasters of its triangles: volume and
// area of water converge to those of the triangles as the cells shrink.
func TestPondsAgainstRaster(t *testing.T) {
	z := func(x, y float64) float64 {
		return 10 + 0.004*x + 0.02*math.Sin(x*1.3)*math.Sin(y*1.7) + 0.005*math.Sin(5*x+3*y)
	}
	f := gridFloor(t, 40, 32, 0.25, z)
	at := f.Regions[0].TIN.Locator()
	w := find(t, f, Options{}, door(0, 4, math.NaN()))
	var area, volume float64
	for _, p := range w.Ponds {
		area, volume = area+p.Area, volume+p.Volume
	}
	if len(w.Ponds) < 10 || volume < 0.1 {
		t.Fatalf("%d ponds, %g m³: no test", len(w.Ponds), volume)
	}
	var areaOff, volumeOff []float64
	for _, n := range []int{4, 8, 16} { // cells to a side of a triangle; the corners of cells are their places
		c := cells{wide: 40*n + 1, high: 32*n + 1}
		s := 0.25 / float64(n)
		for j := range c.high {
			for i := range c.wide {
				h, _, ok := at.At(surface.Vec{X: float64(i) * s, Y: float64(j) * s})
				if !ok {
					t.Fatal("off the floor")
				}
				c.z = append(c.z, h)
			}
		}
		c.open = []int{16 * n * c.wide}
		level := c.filled()
		var a, v float64
		for i, l := range level {
			share := 1.0 // cells at the walls are halves and quarters
			if x := i % c.wide; x == 0 || x == c.wide-1 {
				share /= 2
			}
			if y := i / c.wide; y == 0 || y == c.high-1 {
				share /= 2
			}
			if d := l - c.z[i]; d > 0 {
				a += share * s * s
				v += share * d * s * s
			}
		}
		areaOff, volumeOff = append(areaOff, math.Abs(a/area-1)), append(volumeOff, math.Abs(v/volume-1))
	}
	t.Logf("area off %.3g, volume off %.3g", areaOff, volumeOff)
	// A cell at the water's edge counts whole or not at all, and water passes from cell to cell
	// where a ridge runs between their middles: both err in the order of the cell's side.
	for i, n := range []float64{4, 8, 16} {
		if areaOff[i] > 0.1/n || volumeOff[i] > 0.12/n {
			t.Errorf("%g cells to a side: area differs by %.3g, volume by %.3g", n, areaOff[i], volumeOff[i])
		}
	}
}

// The answer does not depend on the order of shots, of faces or of outlets.
func TestOrderDoesNotMatter(t *testing.T) {
	for seed := range uint64(30) {
		rng := rand.New(rand.NewPCG(seed, 9))
		var shots []survey.Point
		for i := range 13 {
			for j := range 11 {
				shots = append(shots, survey.Point{X: 0.5 * float64(i), Y: 0.5 * float64(j), Z: 10 + float64(rng.IntN(12))/1000})
			}
		}
		outlets := []Outlet{drain(2.2, 1.9), drain(4.5, 4.5), door(0, 3.1, 10.004), drain(1, 4)}
		for i := range outlets {
			outlets[i].Name = fmt.Sprint(i)
		}
		one := func() *Water {
			f, err := surface.NewFloor(surface.Data{Shots: shots})
			if err != nil {
				t.Fatal(err)
			}
			w := find(t, f, Options{Shallow: 0.002}, outlets...)
			slices.SortFunc(w.Outlets, func(a, b Drained) int { return slices.Compare([]byte(a.Name), []byte(b.Name)) })
			return w
		}
		show := func(w *Water) string {
			for i := range w.Ponds {
				if w.Ponds[i].To.Kind == ToOutlet {
					w.Ponds[i].To.Index = 0 // counts the outlets as given
				}
			}
			flows := w.Flows(1.1)
			for i := range flows {
				flows[i].To.Index = 0
			}
			return fmt.Sprintf("%+v %+v %+v %v %v %v %+v %v", w.Ponds, w.Outlets, w.Closed, w.Level, w.Shallow, w.ShallowArea, w.Least, flows)
		}
		a := show(one())
		rng.Shuffle(len(shots), func(i, j int) { shots[i], shots[j] = shots[j], shots[i] })
		rng.Shuffle(len(outlets), func(i, j int) { outlets[i], outlets[j] = outlets[j], outlets[i] })
		if b := show(one()); a != b {
			t.Fatalf("seed %d: another order gives\n%s\nwant\n%s", seed, b, a)
		}
	}
}
