package job

import (
	"math"
	"time"

	"pourplane/surface/settlement"
)

// Speeds are the rates of a floor that was surveyed on known dates.
type Speeds struct {
	Days  []float64             // of the surveys, from the first
	Rates []settlement.Rate     // by place; Used is 0 where it was read once
	Mean  settlement.Rate       // of the places read every time, weighted by area; Used is 0 without any
	Whole *settlement.Intervals // the last two intervals of that mean; nil for two surveys, or without its error
	At    int                   // the place that moved most against the middle
	Place *settlement.Intervals // its last two intervals, against the middle; nil if it was not read in each of the last three surveys
}

// speeds works out the rates.
func (r *Settled) speeds() {
	if r.Visits[0].Date.IsZero() {
		return
	}
	s := &Speeds{At: r.Whole.Greatest(r.Places).Index}
	e := r.errors()
	for _, v := range r.Visits {
		s.Days = append(s.Days, v.Date.Sub(r.Visits[0].Date).Hours()/24)
	}
	for i, p := range r.Places {
		sd := make([]float64, len(e))
		for k := range e {
			sd[k] = math.Hypot(r.readingAt(i, k), e[k].Setup)
		}
		rate, _ := settlement.RateOf(s.Days, p.Z, sd)
		s.Rates = append(s.Rates, rate)
	}
	z, sd, known := r.meanElevations()
	if known {
		for k := range sd {
			sd[k] = math.Hypot(sd[k], e[k].Setup)
		}
		s.Mean, _ = settlement.RateOf(s.Days, z, sd)
		apart := r.apart / s.Days[len(e)-1]
		s.Mean.Freedom = settlement.FreedomOf(s.Mean.SD, []float64{apart}, []float64{r.freedom})
		s.Mean.SD = math.Hypot(s.Mean.SD, apart) // what is between the places goes on from survey to survey
	}
	if n := len(z); n > 2 {
		before, last := s.Days[n-2]-s.Days[n-3], s.Days[n-1]-s.Days[n-2]
		if known && s.Mean.Known() {
			var whole [3]float64
			for i := range whole { // each mean change has the part for what is between the places once
				whole[i] = math.Hypot(sd[n-3+i], r.apart/math.Sqrt2)
			}
			v := settlement.CompareIntervals(before, last, z[n-2]-z[n-3], z[n-1]-z[n-2], whole, settlement.FreedomOf(math.Hypot(sd[n-2], sd[n-1]), []float64{r.apart}, []float64{r.freedom}))
			s.Whole = &v
		}
		a, b := changeAt(r.Steps[n-3], s.At), changeAt(r.Steps[n-2], s.At)
		if a != nil && b != nil {
			v := settlement.CompareIntervals(before, last, a.Relative.Change, b.Relative.Change, r.againstMiddle(s.At, n), 0)
			s.Place = &v
		}
	}
	r.Speeds = s
}

// changeAt returns the change at a place, nil if the comparison does not have it.
func changeAt(c *settlement.Comparison, place int) *settlement.PlaceChange {
	if c == nil {
		return nil
	}
	for i := range c.Places {
		if c.Places[i].Index == place {
			return &c.Places[i]
		}
	}
	return nil
}

// readingAt returns the standard deviation of the elevation of a place in a survey, m, without
// the error of the set-up.
func (r *Settled) readingAt(place, k int) float64 {
	if sd := r.Places[place].SD; sd != nil {
		return sd[k]
	}
	return r.errors()[k].Reading
}

// againstMiddle returns the standard deviations of a place against the middle in the last three
// of n surveys, m, with the part of the middle as in [settlement.Compare].
func (r *Settled) againstMiddle(place, n int) (sd [3]float64) {
	for i := range sd {
		squares, k := 0.0, n-3+i
		for _, p := range r.Whole.Places {
			v := r.readingAt(p.Index, k)
			squares += v * v
		}
		count := float64(len(r.Whole.Places))
		sd[i] = math.Hypot(r.readingAt(place, k), math.Sqrt(squares/count*math.Pi/2/count))
	}
	return sd
}

// meanElevations returns the mean elevation over the area in each survey, m above the first,
// and their standard deviations without the errors of the set-ups, and without what is between
// places in common. Of these only those read every time count; false if there are none.
func (r *Settled) meanElevations() (z, sd []float64, known bool) {
	z, sd = make([]float64, len(r.Visits)), make([]float64, len(r.Visits))
	if s := r.surfaces; s != nil {
		for k, step := range r.Steps {
			if step == nil {
				return z, sd, false
			}
			z[k+1] = z[k] + step.Mean.Change
		}
		for k, m := range s.means {
			sd[k] = math.Hypot(m.reading, m.between)
		}
		return z, sd, true
	}
	whole, squares := 0.0, 0.0
	for _, p := range r.Places {
		if always(p) {
			whole, squares = whole+p.Weight, squares+p.Weight*p.Weight
			for k := range z {
				z[k] += p.Weight * (p.Z[k] - p.Z[0])
			}
		}
	}
	if !(whole > 0) {
		return z, sd, false
	}
	for k, e := range r.errors() {
		z[k] /= whole
		sd[k] = e.Reading * math.Sqrt(squares) / whole
	}
	return z, sd, true
}

func always(p settlement.Place) bool {
	for _, z := range p.Z {
		if math.IsNaN(z) {
			return false
		}
	}
	return true
}

// StillState is whether a floor still moves.
type StillState int

const (
	StillUnknown  StillState = iota // the last two surveys have too few places in common
	StillMoves                      // movement is shown between the last two surveys
	StillTooShort                   // none is shown, but at the rate of before it would not be yet
	StillNotShown                   // none is shown
)

// Still is what the last interval between surveys shows.
type Still struct {
	State StillState
	Level settlement.Level // of StillMoves
	Seen  float64          // m, a change of one place that would have been shown in 9 of 10 cases
	Until time.Time        // of StillTooShort: a survey from this day on can tell
	Days  float64          // of StillTooShort: from the last but one survey to that day
}

// still judges the last interval.
func (r *Settled) still() {
	n := len(r.Visits)
	step := r.Steps[n-2]
	if step == nil {
		return
	}
	r.Still = Still{State: StillNotShown, Seen: step.SeenRel}
	var moved []int
	if n > 2 {
		if c, err := r.compareVisits(0, n-2); err == nil {
			r.earlier = c
			for _, p := range c.Places {
				if p.Level() > settlement.NotShown {
					moved = append(moved, p.Index)
				}
			}
		}
	}
	if level := step.Again(moved); level > settlement.NotShown {
		r.Still.State, r.Still.Level = StillMoves, level
		return
	}
	if r.Speeds == nil || r.earlier == nil || r.earlier.Any() == settlement.NotShown {
		return
	}
	days, last := r.Speeds.Days[n-2], r.Speeds.Days[n-1]-r.Speeds.Days[n-2]
	change, seen := r.earlier.Mean.Change, step.SeenAt
	if step.Mean.Known() {
		seen *= step.Mean.SD / step.Places[0].Total.SD
	}
	if g := r.earlier.Greatest(r.Places); g.Level() > settlement.NotShown {
		change, seen = g.Relative.Change, step.SeenRel
	}
	if need := settlement.DaysToTell(seen, change/days); need > last {
		r.Still.State, r.Still.Days = StillTooShort, math.Ceil(need)
		r.Still.Until = r.Visits[n-2].Date.AddDate(0, 0, int(min(r.Still.Days, 36500)))
	}
}
