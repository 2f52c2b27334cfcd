package main

import (
	"math"
	"math/rand/v2"
)

// floor is a test section as elevations at the nodes of a square grid, one step apart.
type floor struct {
	wide, long int // nodes in x and y
	step       float64
	z          []float64 // m, row by row
}

func (f *floor) at(x, y int) float64 { return f.z[y*f.wide+x] }

// kind is a kind of floor. Each floor of it draws its own sizes.
type kind struct {
	name string
	make func(f *floor, rng *rand.Rand)
}

// kinds are the floors of the study. Sizes are our own choice, from floors between FF 15 and
// FF 60.
var kinds = []kind{
	{"smooth dish", dish},
	{"slope with waves", slope},
	{"settled corner", corner},
	{"joint steps", steps},
	{"rough all over", rough},
	{"curled panels", curled},
	{"random walk", walk},
	{"rough in one place", patch},
}

// between returns a random number from lo to hi.
func between(rng *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }

// lift adds a height of a place in m to f.
func (f *floor) lift(height func(x, y float64) float64) {
	for j := range f.long {
		for i := range f.wide {
			f.z[j*f.wide+i] += height(f.step*float64(i), f.step*float64(j))
		}
	}
}

func (f *floor) sides() (x, y float64) { return f.step * float64(f.wide-1), f.step * float64(f.long-1) }

// texture adds the roughness of troweling, normal with a standard deviation in m.
func (f *floor) texture(rng *rand.Rand, sd float64) {
	f.lift(func(_, _ float64) float64 { return sd * rng.NormFloat64() })
}

// waves adds sine waves of 2 to 10 m in all directions.
func (f *floor) waves(rng *rand.Rand, n int, lo, hi float64) {
	for range n {
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		number, phase := 2*math.Pi/between(rng, 2, 10), 2*math.Pi*rng.Float64()
		size := between(rng, lo, hi)
		f.lift(func(x, y float64) float64 { return size * math.Sin(number*(x*cos+y*sin)+phase) })
	}
}

// dish is a hollow or a dome of second order, its middle anywhere.
func dish(f *floor, rng *rand.Rand) {
	x0, y0 := f.sides()
	r := math.Hypot(x0, y0) / 2
	deep := between(rng, -0.030, 0.040)
	x0, y0 = x0*rng.Float64(), y0*rng.Float64()
	f.lift(func(x, y float64) float64 { return deep * ((x-x0)*(x-x0) + (y-y0)*(y-y0)) / (r * r) })
	f.texture(rng, between(rng, 0.0001, 0.0005))
}

// slope falls 0.2 to 1.5 % in any direction, with waves.
func slope(f *floor, rng *rand.Rand) {
	sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
	fall := between(rng, 0.002, 0.015)
	f.lift(func(x, y float64) float64 { return fall * (x*cos + y*sin) })
	f.waves(rng, 5, 0.0005, 0.003)
	f.texture(rng, between(rng, 0.0001, 0.0005))
}

// corner has one corner 15 to 50 mm down, over 30 to 60 % of the sides.
func corner(f *floor, rng *rand.Rand) {
	wide, long := f.sides()
	x0, y0 := wide*float64(rng.IntN(2)), long*float64(rng.IntN(2))
	reach := between(rng, 0.3, 0.6) * (wide + long) / 2
	deep := between(rng, 0.015, 0.050)
	f.lift(func(x, y float64) float64 {
		in := max(0, 1-math.Hypot(x-x0, y-y0)/reach)
		return -deep * in * in
	})
	f.waves(rng, 3, 0.0005, 0.0015)
	f.texture(rng, between(rng, 0.0001, 0.0005))
}

// panels adds to f a height of each panel of 4 to 6 m, given the place in it from -1 to 1.
func (f *floor) panels(rng *rand.Rand, height func(panel int, u, v float64) float64) {
	wide, long := between(rng, 4, 6), between(rng, 4, 6)
	x0, y0 := wide*rng.Float64(), long*rng.Float64()
	f.lift(func(x, y float64) float64 {
		u, v := (x+x0)/wide, (y+y0)/long
		i, j := math.Floor(u), math.Floor(v)
		return height(int(j)*100+int(i), 2*(u-i)-1, 2*(v-j)-1)
	})
}

// steps has panels up or down by a standard deviation of 1 to 4 mm.
func steps(f *floor, rng *rand.Rand) {
	size, up := between(rng, 0.001, 0.004), map[int]float64{}
	f.panels(rng, func(panel int, _, _ float64) float64 {
		if _, seen := up[panel]; !seen {
			up[panel] = size * rng.NormFloat64()
		}
		return up[panel]
	})
	f.waves(rng, 3, 0.0005, 0.0015)
	f.texture(rng, between(rng, 0.0003, 0.0008))
}

// rough is independent from one reading to the next.
func rough(f *floor, rng *rand.Rand) { f.texture(rng, between(rng, 0.0006, 0.002)) }

// curled has panels with edges 3 to 8 mm up.
func curled(f *floor, rng *rand.Rand) {
	up := between(rng, 0.003, 0.008)
	f.panels(rng, func(_ int, u, v float64) float64 {
		out := max(math.Abs(u), math.Abs(v))
		return up * out * out * out
	})
	f.waves(rng, 3, 0.0005, 0.0015)
	f.texture(rng, between(rng, 0.0003, 0.0008))
}

// walk is a random walk along any line, of 0.5 to 1.5 mm a step: the mean of random walks
// across many directions (turning bands, Matheron 1973).
func walk(f *floor, rng *rand.Rand) {
	const bands = 24
	wide, long := f.sides()
	reach := math.Hypot(wide, long)
	// The mean of |cos| is 2/π.
	size := between(rng, 0.0005, 0.0015) * math.Sqrt(math.Pi/2/bands)
	for k := range bands {
		sin, cos := math.Sincos(math.Pi * (float64(k) + rng.Float64()) / bands)
		const fine = 4 // of a step
		line := make([]float64, int(2*reach/f.step*fine)+2)
		for i := 1; i < len(line); i++ {
			line[i] = line[i-1] + size/2*rng.NormFloat64()
		}
		f.lift(func(x, y float64) float64 { return line[int((x*cos+y*sin+reach)/f.step*fine)] })
	}
	f.texture(rng, between(rng, 0.0001, 0.0005))
}

// patch is three to eight times as rough on a tenth to a quarter of the floor.
func patch(f *floor, rng *rand.Rand) {
	f.waves(rng, 3, 0.0005, 0.0015)
	base := between(rng, 0.0003, 0.0006)
	f.texture(rng, base)
	share, shape := between(rng, 0.1, 0.25), between(rng, 0.6, 1.6)
	wide, long := f.sides()
	a, b := wide*math.Sqrt(share)*math.Sqrt(shape), long*math.Sqrt(share)/math.Sqrt(shape)
	x0, y0 := (wide-a)*rng.Float64(), (long-b)*rng.Float64()
	worse := base * between(rng, 3, 8)
	f.lift(func(x, y float64) float64 {
		if x < x0 || x > x0+a || y < y0 || y > y0+b {
			return 0
		}
		return worse * rng.NormFloat64()
	})
}
