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
	Whole *settlement.Intervals // the last two intervals of that mean; nil for two surveys
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
	sd := make([]float64, len(r.Visits))
	for k, v := range r.Visits {
		s.Days = append(s.Days, v.Date.Sub(r.Visits[0].Date).Hours()/24)
		sd[k] = math.Hypot(e[k].Reading, e[k].Setup)
	}
	for _, p := range r.Places {
		rate, _ := settlement.RateOf(s.Days, p.Z, sd)
		s.Rates = append(s.Rates, rate)
	}
	z, share := r.meanElevations()
	if share > 0 {
		for k := range sd {
			sd[k] = math.Hypot(e[k].Reading*share, e[k].Setup)
		}
		s.Mean, _ = settlement.RateOf(s.Days, z, sd)
	}
	if n := len(z); n > 2 {
		before, last := s.Days[n-2]-s.Days[n-3], s.Days[n-1]-s.Days[n-2]
		if share > 0 {
			v := settlement.CompareIntervals(before, last, z[n-2]-z[n-3], z[n-1]-z[n-2], [3]float64{sd[n-3], sd[n-2], sd[n-1]})
			s.Whole = &v
		}
		a, b := changeAt(r.Steps[n-3], s.At), changeAt(r.Steps[n-2], s.At)
		if a != nil && b != nil {
			// Each step's standard deviation is of two surveys; the parts are as their readings.
			widened := b.Relative.SD / math.Hypot(e[n-2].Reading, e[n-1].Reading)
			v := settlement.CompareIntervals(before, last, a.Relative.Change, b.Relative.Change,
				[3]float64{e[n-3].Reading * widened, e[n-2].Reading * widened, e[n-1].Reading * widened})
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

// meanElevations returns the mean over the area of the places read every time, m above
// that of the first survey, and the root of the sum of its squared weights: the standard
// deviation of such a mean over that of a reading. It is 0 without such places.
func (r *Settled) meanElevations() (z []float64, share float64) {
	z = make([]float64, len(r.Visits))
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
		return z, 0
	}
	for k := range z {
		z[k] /= whole
	}
	return z, math.Sqrt(squares) / whole
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
		if c, err := settlement.Compare(r.Places, 0, n-2, r.errors(), r.Whole.Between); err == nil {
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
	change, seen := r.earlier.Mean.Change, step.SeenAt*step.Mean.SD/step.Places[0].Total.SD
	if g := r.earlier.Greatest(r.Places); g.Level() > settlement.NotShown {
		change, seen = g.Relative.Change, step.SeenRel
	}
	if need := settlement.DaysToTell(seen, change/days); need > last {
		r.Still.State, r.Still.Days = StillTooShort, math.Ceil(need)
		r.Still.Until = r.Visits[n-2].Date.AddDate(0, 0, int(min(r.Still.Days, 36500)))
	}
}
