// Package settlement compares two or more surveys of one floor: how much each place and
// the floor as a whole moved, what the errors of the surveys leave of it, and how fast it
// goes. Numbers in, numbers out: lengths are metres, times are days, a change is later
// minus earlier, so that a negative one is a settlement.
package settlement

import (
	"errors"
	"math"
	"slices"

	"pourplane/surface/internal/sum"
)

// Errors are the standard deviations of one survey, m.
type Errors struct {
	Reading float64 // of one reading, independent of the others
	Setup   float64 // of the height of instrument: the same for all readings of the survey
}

// Place is one place of the floor with its elevation in each survey.
type Place struct {
	X, Y   float64
	Z      []float64 // by survey; NaN where the survey has no reading there
	SD     []float64 // by survey, m: of Z without the error of the set-up; nil: one reading, see [Errors]
	Weight float64   // what a reading here adds to the mean over the area; the weights of compared places are made to add up to 1
}

// Level is how sure it is that something moved: the chance, in percent, that an unmoved
// floor would not show this much.
type Level int

const (
	NotShown Level = 0  // not shown to have moved, which is not the same as unmoved
	Likely   Level = 90 // shown at 90 %
	Sure     Level = 99 // shown at 99 %
)

// levelOf returns the level of a corrected p-value.
func levelOf(p float64) Level {
	switch {
	case p <= 0.01:
		return Sure
	case p <= 0.1:
		return Likely
	}
	return NotShown
}

// Area is what is known of the mean over the area besides the places.
type Area struct {
	Between float64 // m: standard deviation of the mean for what happened between the places; NaN if that is not known
	Freedom float64 // degrees of freedom of Between; 0: it was not estimated

	Measured bool    // Mean is the mean change and Reading its standard deviation from readings alone; else they follow from the places
	Mean     float64 // m
	Reading  float64 // m
}

// Moved is a change, its standard deviation, and whether it is more than error.
type Moved struct {
	Change float64 // m, negative: lower
	SD     float64 // m; NaN: not known, which shows nothing
	P      float64 // corrected for everything looked at in the comparison, see [Compare]
	Level  Level

	Freedom float64 // degrees of freedom of SD; 0: it was not estimated
}

// Half returns half the width of the 90 % interval of the change.
func (m Moved) Half() float64 { return times90(m.Freedom) * m.SD }

// Known reports whether the standard deviation of the change is known.
func (m Moved) Known() bool { return !math.IsNaN(m.SD) }

// PastItsInterval reports whether the 90 % interval of the change, taken alone, is all on one
// side of 0.
func (m Moved) PastItsInterval() bool { return math.Abs(m.Change) > m.Half() }

// PlaceChange is the change at one place.
type PlaceChange struct {
	Index    int   // of the place
	Total    Moved // against the datum: the error of both set-ups is in it
	Relative Moved // against the middle of all changes: no error of a set-up is in it

	reading float64 // m, standard deviation of Total without the set-ups
}

// Level returns the higher of the two levels of the place.
func (c PlaceChange) Level() Level { return max(c.Total.Level, c.Relative.Level) }

// Pair is the greatest difference between the changes of two places.
type Pair struct {
	Low, High  int // indices of places: Low went down most, High least
	Difference float64
	SD         float64
	Half       float64 // half of a 90 % interval that holds for all pairs at once, as this one was chosen among them
	Distance   float64 // between the two in plan
}

// Comparison is what two surveys show of a floor.
type Comparison struct {
	From, To int // surveys
	Places   []PlaceChange
	Mean     Moved
	Reading  float64 // m, the standard deviation of the mean from readings alone
	Setup    float64 // m, from the two set-ups alone
	Between  float64 // m, from what is between the places alone; NaN if that is not known
	Freedom  float64 // degrees of freedom of Between; 0: it was not estimated
	Middle   float64 // m, the median change
	Pair     Pair
	Tilt     *Tilt   // nil if the places do not carry a plane with more than three of them
	SeenAt   float64 // m, a change of any one place against the datum that would be shown at 90 % in 9 of 10 cases
	SeenRel  float64 // m, the same against the middle
}

// Fewest is the least number of places that can be compared: the middle of two changes
// does not tell which of them moved.
const Fewest = 3

// Refusals of [Compare].
var (
	ErrFew    = errors.New("fewer than three places are read in both surveys")
	ErrErrors = errors.New("the error of a reading is not a length above 0")
)

// Compare returns what survey to shows against survey from. e has the errors of each
// survey.
//
// With reading error r and set-up error s of the two surveys (1, 2), the change of a
// place has the variance r1² + r2² + s1² + s2², of which the s part is common to all
// places. Against the median of all n changes it has at most (r1² + r2²)(1 + π/(2n)): the
// variance of a median of normal values is π/(2n) of theirs for large n and less for small
// (textbook), and of values of different variances at most π/(2n) of their mean. That the
// median follows each of its values a little is left out: it does not follow one that moved
// away from it.
//
// Every place is tested twice, and the mean and the tilt once: 2n + 2 tests. Their
// p-values are corrected together by [Holm], so that on a floor that did not move the
// chance of any level above [NotShown] is at most 10 %, and of [Sure] at most 1 %, with
// normal errors of the given size.
func Compare(places []Place, from, to int, e []Errors, over Area) (*Comparison, error) {
	setup := math.Hypot(e[from].Setup, e[to].Setup)
	if !(e[from].Reading > 0) || !(e[to].Reading > 0) || !(setup >= 0) || over.Between < 0 || math.IsInf(e[from].Reading+e[to].Reading+setup+over.Between, 0) {
		return nil, ErrErrors
	}
	c := &Comparison{From: from, To: to, Setup: setup, Between: over.Between, Freedom: over.Freedom}
	var changes []float64
	var variances sum.Sum
	for i, p := range places {
		if d := p.Z[to] - p.Z[from]; !math.IsNaN(d) {
			reading := math.Hypot(p.sd(from, e), p.sd(to, e))
			c.Places = append(c.Places, PlaceChange{Index: i, reading: reading, Total: Moved{Change: d, SD: math.Hypot(reading, setup)}})
			changes = append(changes, d)
			variances.Add(reading * reading)
		}
	}
	n := len(changes)
	if n < Fewest {
		return nil, ErrFew
	}
	slices.Sort(changes)
	c.Middle = (changes[(n-1)/2] + changes[n/2]) / 2
	usual := math.Sqrt(variances.Value() / float64(n))
	seen := Quantile(1-0.1/2/float64(c.Tests())) + Quantile(0.9)
	for i := range c.Places {
		t := &c.Places[i]
		t.Relative = Moved{Change: t.Total.Change - c.Middle, SD: math.Hypot(t.reading, usual*math.Sqrt(math.Pi/2/float64(n)))}
		c.SeenAt, c.SeenRel = max(c.SeenAt, seen*t.Total.SD), max(c.SeenRel, seen*t.Relative.SD)
	}
	c.takeMean(places, over)
	c.takePair(places)
	c.Tilt = tiltOf(places, c.Places, usual)
	c.judge()
	return c, nil
}

// sd returns the standard deviation of the elevation in a survey, without its set-up.
func (p Place) sd(k int, e []Errors) float64 {
	if p.SD == nil {
		return e[k].Reading
	}
	return p.SD[k]
}

// BetweenHalf returns half the width of the 90 % interval of what is between the places alone.
func (c *Comparison) BetweenHalf() float64 { return times90(c.Freedom) * c.Between }

// Tests is how many figures are tested together, see [Compare].
func (c *Comparison) Tests() int { return 2*len(c.Places) + 2 }

// takeMean works out the mean over the area.
func (c *Comparison) takeMean(places []Place, over Area) {
	var whole, mean, squares sum.Sum
	for _, p := range c.Places {
		whole.Add(places[p.Index].Weight)
	}
	all := whole.Value()
	for _, p := range c.Places {
		w := 1 / float64(len(c.Places))
		if all > 0 {
			w = places[p.Index].Weight / all
		}
		mean.Add(w * p.Total.Change)
		squares.Add(w * w * p.reading * p.reading)
	}
	c.Reading = math.Sqrt(squares.Value())
	change := mean.Value()
	if over.Measured {
		change, c.Reading = over.Mean, over.Reading
	}
	surveyed := math.Hypot(c.Reading, c.Setup)
	c.Mean = Moved{Change: change, SD: math.Hypot(surveyed, c.Between), Freedom: FreedomOf(surveyed, []float64{c.Between}, []float64{over.Freedom})}
}

// takePair finds the two places whose changes differ most. Of equal ones it takes the
// most western, then the most southern.
func (c *Comparison) takePair(places []Place) {
	at := func(p PlaceChange) Place { return places[p.Index] }
	before := func(p, q Place) bool { return p.X < q.X || p.X == q.X && p.Y < q.Y }
	low, high := c.Places[0], c.Places[0]
	for _, p := range c.Places[1:] {
		if d := p.Total.Change - low.Total.Change; d < 0 || d == 0 && before(at(p), at(low)) {
			low = p
		}
		if d := p.Total.Change - high.Total.Change; d > 0 || d == 0 && before(at(p), at(high)) {
			high = p
		}
	}
	sd := math.Hypot(low.reading, high.reading)
	pairs := float64(len(c.Places)) * float64(len(c.Places)-1) / 2
	c.Pair = Pair{
		Low: low.Index, High: high.Index, Difference: high.Total.Change - low.Total.Change, SD: sd, Half: Quantile(1-0.05/pairs) * sd,
		Distance: math.Hypot(at(high).X-at(low).X, at(high).Y-at(low).Y),
	}
}

// judge sets the corrected p-values and the levels.
func (c *Comparison) judge() {
	p := make([]float64, 0, c.Tests())
	for _, t := range c.Places {
		p = append(p, twoSided(t.Total), twoSided(t.Relative))
	}
	tilt := 1.0
	if c.Tilt != nil {
		tilt = c.Tilt.Alone
	}
	p = Holm(append(p, twoSided(c.Mean), tilt))
	set := func(m *Moved, p float64) { m.P, m.Level = p, levelOf(p) }
	for i := range c.Places {
		set(&c.Places[i].Total, p[2*i])
		set(&c.Places[i].Relative, p[2*i+1])
	}
	set(&c.Mean, p[len(p)-2])
	if c.Tilt != nil {
		c.Tilt.P = p[len(p)-1]
		c.Tilt.Level = levelOf(c.Tilt.P)
	}
}

// HalfMoved reports whether at least half of the places are shown to have moved against the
// middle: it is then between those that moved and those that did not, or among either.
func (c *Comparison) HalfMoved() bool {
	n := 0
	for _, p := range c.Places {
		if p.Relative.Level > NotShown {
			n++
		}
	}
	return 2*n >= len(c.Places)
}

// Alike reports whether the floor moved against the datum and nothing is shown of differences
// within it: the mean or at least half of the places are shown to have moved, a tilt is not, and
// at most one place in ten is shown to have moved against the middle. A wrong datum of one survey
// looks the same. The limits are an own choice.
func (c *Comparison) Alike() bool {
	moved, apart := 0, 0
	for _, p := range c.Places {
		if p.Total.Level > NotShown {
			moved++
		}
		if p.Relative.Level > NotShown {
			apart++
		}
	}
	tilted := c.Tilt != nil && c.Tilt.Level > NotShown
	return (c.Mean.Level > NotShown || 2*moved >= len(c.Places)) && !tilted && 10*apart <= len(c.Places)
}

// Any returns the highest level in the comparison.
func (c *Comparison) Any() Level {
	most := c.Mean.Level
	if c.Tilt != nil {
		most = max(most, c.Tilt.Level)
	}
	for _, p := range c.Places {
		most = max(most, p.Level())
	}
	return most
}

// Again returns how sure it is that a floor of which some places have moved before moved in
// c: anything of it by [Comparison.Any], or one of those places, which are fewer and so need
// less correction. For being looked at in two ways, the p-values of both are doubled
// (Bonferroni), so that a false call has a chance of at most 10 % and 1 %.
func (c *Comparison) Again(places []int) Level {
	least := c.Mean.P
	if c.Tilt != nil {
		least = min(least, c.Tilt.P)
	}
	var p []float64
	for _, t := range c.Places {
		least = min(least, t.Total.P, t.Relative.P)
		if slices.Contains(places, t.Index) {
			p = append(p, twoSided(t.Total), twoSided(t.Relative))
		}
	}
	if len(p) == 0 {
		return levelOf(least)
	}
	return levelOf(2 * min(least, slices.Min(Holm(p))))
}

// Greatest returns the place that moved most against the middle. Of equal ones it takes
// the lower change, then the most western place, then the most southern.
func (c *Comparison) Greatest(places []Place) PlaceChange {
	best := c.Places[0]
	for _, p := range c.Places[1:] {
		a, b := math.Abs(p.Relative.Change), math.Abs(best.Relative.Change)
		at, was := places[p.Index], places[best.Index]
		if a > b || a == b && (p.Relative.Change < best.Relative.Change ||
			p.Relative.Change == best.Relative.Change && (at.X < was.X || at.X == was.X && at.Y < was.Y)) {
			best = p
		}
	}
	return best
}
