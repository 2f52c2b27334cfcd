package blunder

import (
	"cmp"
	"math"
	"slices"

	"pourplane/survey"
)

const (
	// oftenMoved is the share of set-ups in which the instrument is knocked, sinks or
	// relevels itself: on a building site one in a few dozen.
	oftenMoved = 1.0 / 40
	// jump is the standard deviation of the move, m: a larger one is noticed at the next
	// reading.
	jump = 0.010
	// eachSide is the min number of readings before and after: fewer are single blunders.
	eachSide = 5
	// together and stretch: up to this many readings of a set-up are compared at once,
	// longer set-ups in stretches that overlap by half.
	together = 400
	stretch  = 200
	// mostFromOne is the max number of readings of one set-up: more cannot come from a rod.
	mostFromOne = 4000
	// shaky is the factor on the variance that the field gives a step: a sum over a whole
	// region strains one field more than the prediction of one shot does, and floors have
	// joints.
	shaky = 1.5
	// samePlace is how far apart two readings of one benchmark may be, m. Farther apart, or
	// higher by more than any jump that the floor would not show, it is another benchmark of
	// the same name.
	samePlace = 0.5
	// checkReading is the standard deviation of a reading on a benchmark, m.
	checkReading = 0.0015
)

// jumped is an instrument that moved.
type jumped struct {
	from, last  int     // readings
	first, late int     // between which it moved, at odds of 19 to 1
	by          float64 // m: rise of later elevations
	sure        float64
}

// place is a reading before which an instrument may have moved.
type place struct {
	reading int
	by      float64 // m
	weight  float64 // odds that it did, if nothing else were possible
}

// check is a benchmark or turning point seen twice.
type check struct {
	file     string
	from, to int     // lines between which it shows a move
	rise     float64 // m, of its elevation from the first to the second time
	variance float64 // m²
}

// spans reports whether a move before the reading at p shows in c.
func (c check) spans(p survey.Pos) bool {
	return c.file == p.File && c.from < p.Line && p.Line <= c.to
}

// checks returns the results of benchmarks that were read again. From one set-up to the next
// the ties between them add their errors.
func (b *book) checks() []check {
	control := slices.Clone(b.survey.Control)
	slices.SortStableFunc(control, func(p, q survey.Point) int {
		return cmp.Or(cmp.Compare(p.Name(), q.Name()), cmp.Compare(p.At().File, q.At().File), cmp.Compare(p.At().Line, q.At().Line))
	})
	var out []check
	for i := 1; i < len(control); i++ {
		p, q := control[i-1], control[i]
		if p.Name() == "" || p.Name() != q.Name() || p.At().File != q.At().File || !p.HasZ() || !q.HasZ() ||
			math.Hypot(p.X-q.X, p.Y-q.Y) > samePlace || math.Abs(q.Z-p.Z) > 5*jump {
			continue
		}
		ties, last := 0, -1
		for n, r := range b.readings {
			if r.At.File == p.At().File && r.At.Line > p.At().Line && r.At.Line < q.At().Line {
				if last >= 0 && b.setup[n] != last {
					ties++
				}
				last = b.setup[n]
			}
		}
		out = append(out, check{p.At().File, p.At().Line, q.At().Line, q.Z - p.Z, float64(2+2*ties) * checkReading * checkReading})
	}
	return out
}

// moves looks in each set-up of readings from a line of sight for a place in row order from
// which all elevations are shifted by one amount, by generalised least squares with the
// field of each region and by the benchmarks, and returns the surest. If the floor itself
// has a step along the way walked, it cannot distinguish the two.
//
// For a step c (0 before, 1 after) cᵀBz/cᵀBc estimates its size with variance 1/cᵀBc. Every
// place is weighed with a normal prior on the size (Wakefield 2009, Genetic Epidemiology
// 33:79-86, for the closed form of that Bayes factor).
func (b *book) moves(regions []*region, checks []check) (jumped, bool) {
	of := map[int][]int{} // readings by set-up
	for i, r := range b.readings {
		if r.Measure != survey.Elevation {
			of[b.setup[i]] = append(of[b.setup[i]], i)
		}
	}
	var all []place
	for setup := range b.setups {
		rows := of[setup]
		if len(rows) > mostFromOne {
			continue
		}
		long, by := together, together
		if len(rows) > together {
			long, by = stretch, stretch/2
		}
		for from := 0; from == 0 || from+long-by < len(rows); from += by {
			some := rows[from:min(from+long, len(rows))]
			all = append(all, b.move(regions, checks, some, setup, float64(len(rows)))...)
		}
	}
	slices.SortFunc(all, func(p, q place) int {
		return cmp.Or(cmp.Compare(q.weight, p.weight), cmp.Compare(p.reading, q.reading))
	})
	var odds float64
	for _, p := range all {
		odds += p.weight
	}
	if odds <= 1 {
		return jumped{}, false
	}
	best := jumped{from: all[0].reading, first: all[0].reading, late: all[0].reading, by: all[0].by, sure: odds / (1 + odds)}
	rows := of[b.setup[best.from]]
	best.last = rows[len(rows)-1]
	for sum, i := 0.0, 0; sum < 0.95*odds; i++ {
		sum += all[i].weight
		best.first, best.late = min(best.first, all[i].reading), max(best.late, all[i].reading)
	}
	return best, true
}

// move checks some rows of a set-up, which has a number of places where it may have moved.
func (b *book) move(regions []*region, checks []check, rows []int, setup int, places float64) []place {
	if len(rows) < 2*eachSide {
		return nil
	}
	first, last := rows[0], rows[len(rows)-1]
	type member struct {
		w *window
		i int
	}
	at := map[int]member{}
	for _, r := range regions {
		var shots []*shot
		mine := false
		for _, s := range r.shots {
			in := s.reading >= first && s.reading <= last && s.setup == setup
			if !r.bad[s] && (in || len(r.shots) <= together && s.reading >= 0) {
				shots = append(shots, s)
				mine = mine || in
			}
		}
		if !mine || len(shots) < fewest {
			continue
		}
		w := newWindow(shots, len(shots), r.field, true)
		w.sill *= shaky * max(1, w.misfit())
		for i, s := range shots {
			if s.setup == setup {
				at[s.reading] = member{w, i}
			}
		}
	}
	// From the last row back, each is moved to after the step.
	var after []member
	var out []place
	var num, den float64
	for k := len(rows) - 1; k >= eachSide; k-- {
		p, ok := at[rows[k]]
		if !ok {
			continue
		}
		num += p.w.r[p.i] / p.w.sill
		den -= p.w.at(p.i, p.i) / p.w.sill
		for _, q := range after {
			if q.w == p.w {
				den -= 2 * p.w.at(p.i, q.i) / p.w.sill
			}
		}
		after = append(after, p)
		if len(after) < eachSide {
			continue
		}
		r := b.readings[rows[k]]
		cnum, cden := num, den
		for _, c := range checks {
			if c.spans(r.At) {
				cnum += c.rise / c.variance
				cden += 1 / c.variance
			}
		}
		size, v := cnum/cden, 1/cden
		like := math.Exp(min(size*size/v/2*jump*jump/(jump*jump+v), 600)) / math.Sqrt(1+jump*jump/v)
		out = append(out, place{rows[k], size, oftenMoved / (1 - oftenMoved) * like / places})
	}
	return out
}
