package flatness

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// Interval is the confidence interval of an F-number, by [Estimate]: where F of all lines of
// that kind on the floor is, read in the same way. Errors of reading make a floor look
// rougher, and the interval does not take them out.
//
// Low and High are NaN if unknown, and Why is the reason. FF requires four runs, and on a known area
// as many readings as a verdict, by [CountRuns]. FL requires six runs and as many differences as
// [Result.Required]. Low is 0 if the runs differ so much that they set no limit.
//
// Share of the 90 % intervals that hold, and width over that of an interval from knowing how
// surveys of the floor differ: 1,000 floors of each kind and length of run, 4 to 12 runs of
// 12 to 40 readings, at random places. By `go run ./surface/flatness/study`.
//
//	kind of floor       FF holds  width   FL holds  width
//	smooth dish           89.0 %   1.14     89.4 %   1.72
//	slope with waves      91.3 %   1.25     92.3 %   2.01
//	settled corner        89.4 %   1.16     85.5 %   1.24
//	joint steps           91.0 %   1.23     94.2 %   1.92
//	rough all over        90.1 %   1.16     90.3 %   1.65
//	curled panels         90.4 %   1.17     93.8 %   2.01
//	random walk           89.8 %   1.16     93.4 %   1.86
//	rough in one place    89.3 %   1.20     94.0 %   1.92
//	all                   90.0 %   1.19     91.6 %   1.68
//	 4 runs               89.1 %   1.30     -        -
//	 6 runs               89.6 %   1.19     91.3 %   1.93
//	12 runs               90.6 %   1.17     92.2 %   1.51
//
// Less than 85 % hold with few readings on floors where the runs may miss a place: 78 to 83 % of FF
// with four runs, or runs of 12 or 15 readings, on floors rough in one place, and 80 to 82 % of FL
// with runs of 15 or 20 readings on a settled corner.
//
// A wide interval is given like any other. Without those, more of the surveys left are those that
// missed a rough place: of FF to half its value 86 % hold on floors rough in one place, of all 89 %.
type Interval struct {
	Low, High F
	Why       string
}

// Known reports whether there is an interval.
func (i Interval) Known() bool { return !math.IsNaN(float64(i.Low)) }

func unknown(why string, args ...any) Interval {
	return Interval{F(math.NaN()), F(math.NaN()), fmt.Sprintf(why, args...)}
}

// Estimate is the name of the intervals: the formula of ASTM E1155 was not found.
const Estimate = "pourplane's own estimate from how the runs differ"

const (
	// fewestFF and fewestFL are the min numbers of runs for an interval. Own choice: with three
	// runs those of FF are up to 1.6 times as wide as from knowing how surveys differ, with four
	// those of FL 2.4 times.
	fewestFF = 4
	fewestFL = 6
	// fewestEach is the min number of runs of each section.
	fewestEach = 2
)

const (
	// On a slope the runs down it differ from those across: the differences of FL have a stratum
	// for each direction, by [Settings.Turn]. Curvatures do not change with a slope. They have one
	// stratum, which leaves more degrees of freedom: the intervals of four runs are half as wide.
	oneStratum = 90 // degrees
)

// tails are the shares of 1 − confidence below and above an interval.
type tails struct{ low, high float64 }

// Runs that miss a settled corner give an FL that is too high and do not differ enough to show it.
// So the low end of FL is far down, 0.7 % in place of 5 %, and the high end nearer. Chosen on
// floors of other seeds than those of the table at [Interval].
var (
	tailsFF = tails{0.5, 0.5}
	tailsFL = tails{0.07, 1.05}
)

// spread is how well runs show the square departure of a floor.
type spread struct {
	square   float64 // (3s + |x̄|)² of all readings, the mean over the lines, m²
	variance float64 // of square, m⁴
	freedom  float64 // of variance
	runs     int
}

// cluster is the lines of a run, which gaps divide: they are not independent.
type cluster struct {
	run      string
	at       survey.Pos
	bearing  float64 // from 0 to π; NaN if not placed
	total, n float64 // sum of the square departures of its readings, m²; their number
}

// spreadOfRuns returns the spread of lines for curvatures or for differences.
//
// Source: Cochran 1977, Sampling Techniques, 3rd edition, sections 5.4 and 11.7. Runs are drawn from
// the floor in strata, which are the directions more than turn degrees apart. The variances of
// the strata add, with the effective degrees of freedom of Satterthwaite 1946. Unplaced runs, or
// a direction with one run, make one stratum.
func spreadOfRuns(lines []Line, of func(Line) Stat, turn float64) spread {
	var runs []cluster
	for _, l := range lines {
		i := slices.IndexFunc(runs, func(c cluster) bool { return c.run == l.Run && c.at == l.At })
		if i < 0 {
			i = len(runs)
			bearing := math.Mod(segment{l.Start, l.End}.bearing()+2*math.Pi, math.Pi)
			runs = append(runs, cluster{run: l.Run, at: l.At, bearing: bearing})
		}
		s := of(l)
		d := s.departure()
		runs[i].total += float64(s.N) * d * d
		runs[i].n += float64(s.N)
	}
	var all, total sum.Sum
	for _, c := range runs {
		all.Add(c.n)
		total.Add(c.total)
	}
	out := spread{square: total.Value() / all.Value(), runs: len(runs)}
	if len(runs) < fewestEach {
		return out
	}
	var variance, terms sum.Sum
	for _, stratum := range strata(runs, turn) {
		var n, total, squares sum.Sum
		for _, c := range stratum {
			n.Add(c.n)
			total.Add(c.total)
		}
		for _, c := range stratum {
			off := c.total - c.n*total.Value()/n.Value()
			squares.Add(off * off)
		}
		m := float64(len(stratum))
		v := m / (m - 1) * squares.Value() / (all.Value() * all.Value())
		variance.Add(v)
		terms.Add(v * v / (m - 1))
	}
	out.variance = variance.Value()
	out.freedom = out.variance * out.variance / terms.Value()
	return out
}

// strata divides runs by direction, where the next is more than turn degrees away.
func strata(runs []cluster, turn float64) [][]cluster {
	one := [][]cluster{runs}
	if slices.ContainsFunc(runs, func(c cluster) bool { return math.IsNaN(c.bearing) }) {
		return one
	}
	runs = slices.SortedStableFunc(slices.Values(runs), func(a, b cluster) int {
		if a.bearing < b.bearing {
			return -1
		} else if a.bearing > b.bearing {
			return 1
		}
		return 0
	})
	var out [][]cluster
	for i, c := range runs {
		if i == 0 || apartBy(c.bearing, runs[i-1].bearing) > turn {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], c)
	}
	if last := len(out) - 1; last > 0 && apartBy(runs[0].bearing, runs[len(runs)-1].bearing) <= turn {
		out[0] = append(out[0], out[last]...)
		out = out[:last]
	}
	if slices.ContainsFunc(out, func(s []cluster) bool { return len(s) < fewestEach }) {
		return one
	}
	return out
}

// together returns the spread of sections weighted by area; all have [fewestEach] runs.
func together(sections []spread, areas []float64) spread {
	var out spread
	var area, square, variance, terms sum.Sum
	for i, s := range sections {
		area.Add(areas[i])
		square.Add(areas[i] * s.square)
		out.runs += s.runs
		v := areas[i] * areas[i] * s.variance
		variance.Add(v)
		if v > 0 {
			terms.Add(v * v / s.freedom)
		}
	}
	out.square = square.Value() / area.Value()
	out.variance = variance.Value() / (area.Value() * area.Value())
	out.freedom = variance.Value() * variance.Value() / terms.Value()
	return out
}

// interval returns F ± t·(standard error of F), by the delta method: F is proportional to
// square^−½. Intervals of the same confidence on the scale of square or of its logarithm held
// less often in the study. It is NaN, with the reason, where the runs are too few for it.
func (s Settings) interval(f F, a spread, fewest int, t tails) Interval {
	switch {
	case f.Infinite():
		return Interval{Low: f, High: f}
	case a.runs < fewest:
		return unknown("%s; %d or more show how the floor differs from place to place", survey.Plural(a.runs, "run"), fewest)
	case a.variance <= a.square*a.square*1e-18:
		return unknown("the runs do not differ, so they do not show how the floor differs from place to place")
	}
	off := 1 - s.filled(inches).Confidence
	half := F(math.Sqrt(a.variance) / a.square / 2)
	student := distuv.StudentsT{Sigma: 1, Nu: a.freedom}
	return Interval{Low: f * max(0, 1-half*F(student.Quantile(1-off*t.low))), High: f * (1 + half*F(student.Quantile(1-off*t.high)))}
}

// intervals returns the intervals of FF and FL of sections, which are weighted by area.
func (s Settings) intervals(ff, fl F, sections []*Result, areas []float64) (ofFF, ofFL Interval) {
	var q, z []spread
	for _, r := range sections {
		q, z = append(q, r.q), append(z, r.z)
	}
	ofFF = s.interval(ff, together(q, areas), fewestFF, tailsFF)
	ofFL = s.interval(fl, together(z, areas), fewestFL, tailsFL)
	for _, r := range sections {
		y, _ := systemOf(r.Lines[0].Step)
		readings, wanted := r.Curvatures+2*len(r.Lines), readingsWanted(r.Area)
		switch {
		case !ofFF.Known() || ff.Infinite():
		case r.q.runs < fewestEach:
			ofFF = unknown("section %s has 1 run; %d or more show how it differs from place to place", r.Name, fewestEach)
		case readings < wanted:
			ofFF = unknown("%d readings; %d or more are needed on %s", readings, wanted, y.area(r.Area))
		}
		switch {
		case !ofFL.Known() || fl.Infinite():
		case r.z.runs < fewestEach:
			ofFL = unknown("section %s has 1 run; %d or more show how it differs from place to place", r.Name, fewestEach)
		case r.Area == 0:
			ofFL = unknown("without the area of the floor it is not known whether the runs reach all of it; an outline gives it")
		case r.Differences < r.Required:
			ofFL = unknown("%d differences over %s; %d or more are needed on %s", r.Differences, y.length(overZ*r.Lines[0].Step), r.Required, y.area(r.Area))
		}
	}
	return ofFF, ofFL
}
