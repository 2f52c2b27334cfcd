package flatness

import (
	"fmt"
	"hash/fnv"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/survey"
)

const (
	// oneIn20 is the standard normal quantile of 95 %: one value in 20 is above it, one in 20
	// below its negative.
	oneIn20 = 1.6448536269514722
	// redraws is how often readings are given one more error to see what errors do to a max.
	// Own choice: its mean is then good to a third of the spread of one.
	redraws = 8
	// coarser is how many times farther apart the lines of a redraw are: the effect of errors
	// on a max changes little with the number of lines. Own choice.
	coarser = 3
)

// Sure is how sure a measured value is. The zero value means that it is not known.
type Sure struct {
	SD    float64 // m, of the value, from the error of the readings
	Bias  float64 // m, max by which the error of the readings makes a max value too large on average
	Short float64 // max share of the true value that is not seen between readings
	// Stated is the standard deviation of one value by the error that the user states, m, where
	// readings scatter less than that; else 0. SD and Bias are then from the scatter.
	Stated float64
}

func (s Sure) known() bool { return s != Sure{} }

// Between returns the range of a true value measured as v, both m: at least 90 % of true
// values are in theirs, in a simulation of 144 floors 92 %.
//
// The max of many values is too large on average, because the largest is chosen among those
// that errors made larger. The true value is between v less Bias and v on average: Bias is taken
// off at the lower end, and half of it at the upper end (own choice by the same simulation),
// where the result is no less than v. Both ends have the error of v and that of Bias, which is
// from a few draws. A gap between readings is not seen: at the upper end Short is added.
//
// An error that is larger than the scatter of the readings has not made their max any larger:
// nothing is taken off at the upper end for it.
func (s Sure) Between(v float64) (low, high float64) {
	const ofBias = 1 / (redraws * (math.Sqrt2 - 1) * (math.Sqrt2 - 1)) // variance of Bias, in SD²
	below, above := 0.0, 0.0
	if s.Bias > 0 {
		below, above = ofBias, ofBias/4
	}
	low = v - s.Bias - oneIn20*s.SD*math.Sqrt(1+below)
	high = v - s.Bias/2 + oneIn20*s.SD*math.Sqrt(1+above)
	if s.Stated > 0 {
		low, high = min(low, v-s.Bias-oneIn20*s.Stated), max(high, v+oneIn20*s.Stated)
	}
	return max(0, low), max(v, high) / (1 - s.Short)
}

// Unseen returns the max share of a gap under a straightedge of a length that readings apart
// metres from each other miss, both m: as much as they are apart in lengths of the edge.
//
// Own choice by simulation, along lines on random floors (Matérn covariance of smoothness 3/2,
// with a reach of half an edge): 19 in 20 show at least 69 % of the gap to readings a third of
// the edge apart, 81 % to those a quarter, 94 % an eighth. To those half an edge apart it is 53
// %: so little that [Settings.EdgeShare] asks for a third, which puts two readings between the
// ends.
func Unseen(apart, length float64) float64 { return min(max(apart/length, 0), 0.9) }

// GapSD returns the standard deviation of a gap at a share of the way between two supports,
// where each of the three heights has one of sd, m: the gap is a·h₁ + (1 − a)·h₂ − h₃. In the
// middle it is √1.5 of it, at a support √2.
func GapSD(sd, share float64) float64 {
	return sd * math.Sqrt(1+share*share+(1-share)*(1-share))
}

// noise returns an error of standard deviation 1 for a place, the same in each run: one of
// the several draws.
func noise(at surface.Vec, draw int) float64 {
	mix := func(h uint64) uint64 { // splitmix64 (Steele, Lea, Flood 2014)
		h += 0x9e3779b97f4a7c15
		h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
		h = (h ^ h>>27) * 0x94d049bb133111eb
		return h ^ h>>31
	}
	h := mix(mix(math.Float64bits(at.X)+uint64(draw)) ^ math.Float64bits(at.Y))
	u, w := float64(h>>11)/(1<<53), float64(mix(h)>>11)/(1<<53)
	return math.Sqrt(-2*math.Log(1-u)) * math.Cos(2*math.Pi*w) // Box-Muller
}

// withErrors returns a floor whose readings have one more error of standard deviation sd, m.
// Elevations estimated at walls follow those of the shots that they are from.
func withErrors(f *surface.Floor, sd float64, draw int) *surface.Floor {
	out := *f
	out.Regions = slices.Clone(f.Regions)
	for i := range out.Regions {
		t := *out.Regions[i].TIN
		off := make([]float64, len(t.Z))
		for v := range off {
			if t.Fitted == nil || !t.Fitted[v] {
				off[v] = sd * noise(t.At(int32(v)), draw)
			}
		}
		z := slices.Clone(t.Z)
		for v := range z {
			if t.Fitted != nil && t.Fitted[v] {
				for _, s := range t.Shares(int32(v)) {
					z[v] += s.Weight * off[s.Vertex]
				}
			} else {
				z[v] += off[v]
			}
		}
		t.Z = z
		out.Regions[i].TIN = &t
	}
	return &out
}

// sureOf returns how sure a max is that is base without one more error of its readings and
// again with it. A max is a convex function of the errors, so on average it grows no less from
// once to √2 times their size than in proportion to what it grew from none: Bias is at least
// what errors added to it.
func sureOf(base float64, again []float64) Sure {
	mean := 0.0
	for _, v := range again {
		mean += v / float64(len(again))
	}
	squares := 0.0
	for _, v := range again {
		squares += (v - mean) * (v - mean)
	}
	return Sure{SD: math.Sqrt(squares / float64(len(again)-1)), Bias: max(0, (mean-base)/(math.Sqrt2-1))}
}

// SureEdges returns how sure the gaps and the steps of straightedges on f are, by laying them
// again on readings with one more error of standard deviation sd, m.
func SureEdges(f *surface.Floor, l Laying, sd float64, lengths ...float64) (gaps, steps []Sure, err error) {
	gaps, steps = make([]Sure, len(lengths)), make([]Sure, len(lengths))
	if sd == 0 || len(lengths) == 0 {
		return gaps, steps, nil
	}
	l.Spacing, l.Progress = coarser*lineSpacing(f, 14, len(lengths)), nil
	base, err := LayAll(f, l, lengths...)
	if err != nil {
		return nil, nil, err
	}
	gap, step := make([][]float64, len(lengths)), make([][]float64, len(lengths))
	for draw := range redraws {
		again, err := LayAll(withErrors(f, sd, draw), l, lengths...)
		if err != nil {
			return nil, nil, err
		}
		for i := range again {
			gap[i], step[i] = append(gap[i], again[i].Gap), append(step[i], again[i].Step)
		}
	}
	for i := range lengths {
		gaps[i], steps[i] = sureOf(base[i].Gap, gap[i]), sureOf(base[i].Step, step[i])
	}
	return gaps, steps, nil
}

// SureRuns is [SureEdges] along runs.
func SureRuns(runs []survey.Run, l Laying, sd float64) (Sure, error) {
	if sd == 0 {
		return Sure{}, nil
	}
	base, _, err := LayAlongRuns(runs, l)
	if err != nil {
		return Sure{}, err
	}
	var again []float64
	for draw := range redraws {
		noisy := slices.Clone(runs)
		for i := range noisy {
			noisy[i].Stations = slices.Clone(noisy[i].Stations)
			name := fnv.New32a()
			fmt.Fprint(name, noisy[i].Name)
			for k := range noisy[i].Stations {
				noisy[i].Stations[k].Z += sd * noise(surface.Vec{X: float64(name.Sum32()), Y: float64(k)}, draw)
			}
		}
		e, _, err := LayAlongRuns(noisy, l)
		if err != nil {
			return Sure{}, err
		}
		again = append(again, e.Gap)
	}
	return sureOf(base.Gap, again), nil
}

// SureDatum returns how sure the max departure of the shots of f from target is, of readings with an error
// of standard deviation sd that share one of standard deviation setup, m.
func SureDatum(f *surface.Floor, target surface.Target, sd, setup float64) Sure {
	most := func(f *surface.Floor) float64 { return AtShots(f, target).Value }
	out := Sure{SD: setup}
	if sd > 0 {
		var again []float64
		for draw := range redraws {
			again = append(again, most(withErrors(f, sd, draw)))
		}
		out = sureOf(most(f), again)
		out.SD = math.Hypot(out.SD, setup)
	}
	return out
}

// doubted sets the range of the value, and whether another survey could give the other
// outcome.
func (v *Verdict) doubted(g Reading) {
	if v.Outcome == NotMeasured || !g.Sure.known() {
		return
	}
	v.Low, v.High = g.Sure.Between(v.Value)
	if r := v.Row; r.Share > 0 && r.Share < 1 {
		if !math.IsNaN(v.Share) {
			low, high := g.Share(v.Limit*(1-g.Sure.Short)), g.Share(v.Limit+g.Sure.Bias)
			v.share(low, high)
		}
		return
	}
	if v.Outcome == Pass && v.High > v.Limit+none || v.Outcome == Fail && v.Low <= v.Limit {
		v.doubtLimit()
	}
}

// doubtLimit says that the limit is inside the range of the value.
func (v *Verdict) doubtLimit() {
	v.InDoubt = true
	v.remark(fmt.Sprintf("the limit is inside the 90 %% range from %.1f to %.1f mm", 1000*v.Low, 1000*v.High))
}

// share sets whether the share required is inside the range of that found.
func (v *Verdict) share(low, high float64) {
	if v.Outcome == Pass && low < v.Row.Share || v.Outcome == Fail && high >= v.Row.Share {
		v.InDoubt = true
		v.remark(fmt.Sprintf("the share required is inside the 90 %% range from %.0f to %.0f %%", 100*low, 100*high))
	}
}

// doubtedShare is doubted for values each with an error of their own: the share that is within
// the limit falls again by what one more error takes, and is of a limited number of values.
func (v *Verdict) doubtedShare(s *Spread) {
	if v.Outcome == NotMeasured || s.SD == 0 {
		return
	}
	upTo := func(x float64) float64 { return math.Erfc(-x/s.SD/math.Sqrt2) / 2 }
	mean, variance := 0.0, 0.0
	n := float64(len(s.Values))
	for _, d := range s.Values {
		p := upTo(v.Limit-d) - upTo(-v.Limit-d)
		mean += p / n
		variance += p * (1 - p) / n / n
	}
	share := s.Share(v.Limit)
	before := share + (share-mean)/(math.Sqrt2-1) // as in [sureOf]
	spread := oneIn20 * math.Sqrt(variance)
	v.share(max(0, min(share, before)-spread), min(1, max(share, before)+spread))
}

// fewestForScatter is the min number of readings whose scatter shows their error. Own choice.
const fewestForScatter = 30

// Scatter returns the standard deviation of one reading, m: usual, or less where readings
// scatter less than that. Readings differ from what those beside them lead to expect by their
// own error and by what the floor does between; of both, with 95 % confidence, their error is
// no larger than this. f may be nil: then runs count. Fewer than 30 readings show nothing.
func Scatter(f *surface.Floor, target surface.Target, runs []survey.Run, usual float64) float64 {
	squares, n := 0.0, 0.0 // of differences, each as if of variance 1
	if f != nil {
		for _, r := range f.Regions {
			s, k := scatterOn(r.TIN, r.TIN.Depths(target.Within(r.Part)))
			squares, n = squares+s, n+k
		}
	} else {
		for _, r := range runs {
			for _, p := range stretches(r) {
				for _, q := range Curvatures(p.h) {
					squares, n = squares+q*q/6, n+1
				}
			}
		}
	}
	if n < fewestForScatter {
		return usual
	}
	// The 5 % quantile of χ² over its freedom (Wilson and Hilferty 1931), of as many independent
	// differences as every third.
	free := n / 3
	low := math.Pow(1-2/(9*free)-oneIn20*math.Sqrt(2/(9*free)), 3)
	return min(usual, math.Sqrt(squares/n/low))
}

// scatterOn returns the sum of the squares of the differences between the shots of t and the
// mean of those beside them, each over its variance if shots had one of 1, and their number.
// depths are from a plane. Shots beside an elevation estimated at a wall do not count.
func scatterOn(t *surface.TIN, depths []float64) (squares, n float64) {
	total, beside, wall := make([]float64, len(t.Z)), make([]float64, len(t.Z)), make([]bool, len(t.Z))
	for h, v := range t.V {
		w := t.V[surface.Next(int32(h))]
		for _, pair := range [2][2]int32{{v, w}, {w, v}} {
			if t.Twin[h] >= 0 && pair[0] == w {
				continue // the twin counts it
			}
			total[pair[0]] += depths[pair[1]]
			beside[pair[0]]++
			wall[pair[0]] = wall[pair[0]] || t.Twin[h] < 0 || t.Fitted != nil && (t.Fitted[pair[0]] || t.Fitted[pair[1]])
		}
	}
	for v := range t.Z {
		if !wall[v] && beside[v] > 0 {
			d := depths[v] - total[v]/beside[v]
			squares += d * d / (1 + 1/beside[v])
			n++
		}
	}
	return squares, n
}
