package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"pourplane/surface/flatness"
	"pourplane/survey"
)

const (
	readingError = 0.0003 // m, standard deviation
	apart        = 4      // steps between parallel lines: 4 ft or 1.2 m (ASTM E1155-96 section 7)
	overZ        = 10     // steps of the differences of FL
)

// line is where a line of readings is laid on a floor.
type line struct {
	across bool // along y
	at     int  // row or column
	from   int  // node of the first reading
}

// place lays lines of n readings on f at random: equally many in both directions, parallel ones
// at least [apart]. Even ones are each at random in a strip of their own.
func (f *floor) place(lines, n int, even bool, rng *rand.Rand) []line {
	var out []line
	across := rng.IntN(2) == 1
	for half := range 2 {
		count := (lines + 1 - half) / 2
		room, along := f.long, f.wide
		if across {
			room, along = along, room
		}
		for _, at := range rows(room, count, even, rng) {
			out = append(out, line{across, at, rng.IntN(along - n + 1)})
		}
		across = !across
	}
	return out
}

// rows returns some of all rows, at least [apart].
func rows(all, some int, even bool, rng *rand.Rand) []int {
	if !even {
		// Places without the gaps between them, then with them.
		out := rng.Perm(all - (some-1)*(apart-1))[:some]
		slices.Sort(out)
		for i := range out {
			out[i] += i * (apart - 1)
		}
		return out
	}
	var out []int
	for i := range some {
		from, to := i*all/some, (i+1)*all/some
		if i > 0 {
			from = max(from, out[i-1]+apart)
		}
		out = append(out, from+rng.IntN(max(1, to-from)))
	}
	return out
}

// read takes the readings of a line.
func (f *floor) read(l line, n int, rng *rand.Rand) survey.Run {
	name := "A"
	if l.across {
		name = "B"
	}
	r := survey.Run{Name: fmt.Sprint(name, l.at), Step: f.step, Stations: make([]survey.Station, n)}
	place := func(i int) (x, y int) {
		if l.across {
			return l.at, l.from + i
		}
		return l.from + i, l.at
	}
	for i := range r.Stations {
		r.Stations[i].Z = f.at(place(i)) + readingError*rng.NormFloat64()
	}
	spot := func(x, y int) survey.Point {
		return survey.Point{X: f.step * float64(x), Y: f.step * float64(y)}
	}
	r.Start, r.End = spot(place(0)), spot(place(n-1))
	return r
}

// every is the square departures of all lines of a length on a floor, by direction, for the
// curvatures and for the differences over ten steps.
type every struct {
	n      int
	q, z   [2][][]float64 // [direction][row or column, again for each reading of the floor][first node], m²
	gq, gz [2]float64     // their means
}

// again is how often the whole floor is read for the true value.
const again = 3

// all lays lines of n readings at every row, column and first node of f.
func (f *floor) all(n int, rng *rand.Rand) *every {
	out := &every{n: n}
	h := make([]float64, len(f.z))
	for range again {
		for i, z := range f.z {
			h[i] = z + readingError*rng.NormFloat64()
		}
		for direction := range 2 {
			rows, along, next, stride := f.long, f.wide, f.wide, 1
			if direction == 1 {
				rows, along, next, stride = f.wide, f.long, 1, f.wide
			}
			for row := range rows {
				at := func(i int) float64 { return h[row*next+i*stride] }
				out.q[direction] = append(out.q[direction], departures(along-2, n-2, func(i int) float64 { return at(i) - 2*at(i+1) + at(i+2) }))
				out.z[direction] = append(out.z[direction], departures(along-overZ, n-overZ, func(i int) float64 { return at(i+overZ) - at(i) }))
			}
		}
	}
	for direction := range 2 {
		out.gq[direction], out.gz[direction] = mean(out.q[direction]), mean(out.z[direction])
	}
	return out
}

// departures returns (3s + |mean|)² of each n successive values of total ones.
func departures(total, n int, value func(i int) float64) []float64 {
	out := make([]float64, total-n+1)
	sums, squares := make([]float64, total+1), make([]float64, total+1)
	for i := range total {
		v := value(i)
		sums[i+1], squares[i+1] = sums[i]+v, squares[i]+v*v
	}
	for i := range out {
		m := (sums[i+n] - sums[i]) / float64(n)
		s := math.Sqrt(max(0, squares[i+n]-squares[i]-float64(n)*m*m) / float64(n-1))
		d := 3*s + math.Abs(m)
		out[i] = d * d
	}
	return out
}

func mean(rows [][]float64) float64 {
	total, count := 0.0, 0
	for _, row := range rows {
		for _, v := range row {
			total += v
		}
		count += len(row)
	}
	return total / float64(count)
}

// truth returns the mean square departures of all lines, in the directions of those laid.
func (e *every) truth(lines []line) (q, z float64) {
	for _, l := range lines {
		d := direction(l)
		q += e.gq[d] / float64(len(lines))
		z += e.gz[d] / float64(len(lines))
	}
	return q, z
}

func direction(l line) int {
	if l.across {
		return 1
	}
	return 0
}

// oracle returns the widths of the 90 % intervals of F as a share of F for one who knows how much
// the results of surveys like this one differ on f.
func (e *every) oracle(f *floor, lines int, even bool, rng *rand.Rand) (q, z float64) {
	const surveys = 30
	var sums [4]float64
	for range surveys {
		laid := f.place(lines, e.n, even, rng)
		var g [2]float64
		for _, l := range laid {
			d := direction(l)
			row := l.at + rng.IntN(again)*len(e.q[d])/again
			g[0] += e.q[d][row][l.from]
			g[1] += e.z[d][row][l.from]
		}
		for i := range g {
			v := -0.5 * math.Log(g[i])
			sums[2*i] += v
			sums[2*i+1] += v * v
		}
	}
	width := func(s, ss float64) float64 {
		return 2 * 1.645 * math.Sqrt(max(0, ss-s*s/surveys)/(surveys-1))
	}
	return width(sums[0], sums[1]), width(sums[2], sums[3])
}

// result is an interval of a survey against the true value.
type result struct {
	given, holds  bool
	width, oracle float64 // as a share of the true value
}

// survey measures a floor with some lines of e.n readings.
func (e *every) survey(f *floor, lines int, even bool, rng *rand.Rand) (ff, fl result) {
	laid := f.place(lines, e.n, even, rng)
	sec := flatness.Section{Area: float64(f.wide*f.long) * f.step * f.step}
	for _, l := range laid {
		sec.Runs = append(sec.Runs, f.read(l, e.n, rng))
	}
	r, err := flatness.Measure(sec, flatness.Settings{})
	if err != nil {
		panic(err) // our own runs
	}
	q, z := e.truth(laid)
	const inch = 0.0254
	ff = against(r.FFRange, 4.57*inch/math.Sqrt(q))
	fl = against(r.FLRange, 12.5*inch/math.Sqrt(z))
	if ff.given || fl.given {
		ff.oracle, fl.oracle = e.oracle(f, lines, even, rng)
	}
	return ff, fl
}

func against(i flatness.Interval, truth float64) result {
	low, high := float64(i.Low), float64(i.High)
	return result{given: i.Known(), holds: low <= truth && truth <= high, width: (high - low) / truth}
}
