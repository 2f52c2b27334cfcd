package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sync"

	"pourplane/surface"
	"pourplane/surface/uncertainty"
	"pourplane/survey"
)

// Sure is how far the fill of a floor is known from its survey.
type Sure struct {
	Accuracy
	uncertainty.Volume         // Known: false where too few shots tell anything
	Mean               float64 // m: standard deviation of the mean depth where it is filled
	Shots              int     // that the floor was measured by

	Model *uncertainty.Model
	next  func() []uncertainty.Shot
	bands func([]surface.Band) []BandSure
	asked sync.Mutex
	known map[string][]BandSure // of bands that were asked for
}

// BandSure is how far a band of depth is known, m² and m³; not a number where that is not measured.
// Above the target and next to it, where some of the floor is above, it is not: what is filled there on
// another floor is not looked at. The outermost bands have what is beyond them.
type BandSure struct{ Area, Volume uncertainty.Spread }

// Sure returns how far the fill is known. It is worked out once, when it is first asked for; nil
// for a target that was raised.
func (w *Filled) Sure() *Sure {
	if w.sure == nil {
		return nil
	}
	return w.sure()
}

// weighSure prepares [Filled.Sure] for the fill of w.
func (f *filling) weighSure(w *Filled) error {
	a, err := f.accuracy(w.Survey)
	if err != nil {
		return err
	}
	w.Survey.Notes = append(w.Survey.Notes, a.notes(survey.AboutOrder)...)
	w.model = sync.OnceValue(func() *uncertainty.Model { return w.modelled(a) })
	w.sure = sync.OnceValue(func() *Sure { return w.weigh(a) })
	return nil
}

func (w *Filled) modelled(a Accuracy) *uncertainty.Model {
	setup := setupsOf(w.Survey)
	aim := w.aimedBy(setup, a.Reading)
	return uncertainty.New(uncertainty.Input{Floor: w.Old, Split: w.Floor, Target: w.Fill.Target,
		Errors: uncertainty.Errors{Reading: a.Reading, Setup: a.Setup}, Setup: setup, Ties: tiesOf(w.Survey), Aim: aim.shares, AimSD: aim.sd})
}

func (w *Filled) weigh(a Accuracy) *Sure {
	s := &Sure{Accuracy: a, Shots: w.Old.Used, Model: w.model()}
	s.Volume = s.Model.Volume(w.Fill.Fill)
	if w.Fill.FillArea > 0 {
		s.Mean = s.Parts.Total / w.Fill.FillArea
	}
	s.next = sync.OnceValue(func() []uncertainty.Shot { return s.Model.Next(w.plan.next, s.Parts) })
	s.bands = func(bands []surface.Band) []BandSure { return w.spreadOf(s, bands) }
	return s
}

// Sure returns how far the fill of the whole floor up to a level is known, before the floor has a
// target. The level is taken from the highest shot, so that what its set-up is out by moves both.
func (h *Holding) Sure(top surface.Target) (*Sure, error) {
	a, err := h.accuracy()
	if err != nil {
		return nil, err
	}
	setup, highest := setupsOf(h.S), math.Inf(-1)
	var aim map[string]float64
	for _, p := range h.S.Points {
		if p.Z > highest {
			highest, aim = p.Z, map[string]float64{setup(p): 1}
		}
	}
	s := &Sure{Accuracy: a, Shots: h.Floor.Used}
	s.Model = uncertainty.New(uncertainty.Input{Floor: h.Floor, Split: h.Floor, Target: top,
		Errors: uncertainty.Errors{Reading: a.Reading, Setup: a.Setup}, Setup: setup, Ties: tiesOf(h.S), Aim: aim})
	s.Volume = s.Model.Volume(h.Floor.FillTo(top, nil).Fill)
	s.next = sync.OnceValue(func() []uncertainty.Shot { return s.Model.Next(usualNext, s.Parts) })
	return s, nil
}

// Next are the places where another shot narrows the fill most, as many as the job asks for.
func (s *Sure) Next() []uncertainty.Shot { return s.next() }

// NextAsked reports whether next shots were asked for.
func (w *Filled) NextAsked() bool { return w.plan.next > 0 }

// Bands returns how far bands of depth of the fill are known; nil if that is not measured. It takes long
// when bands are first asked for.
func (s *Sure) Bands(of []surface.Band) []BandSure {
	s.asked.Lock()
	defer s.asked.Unlock()
	limits := fmt.Sprint(of)
	out, ok := s.known[limits]
	if !ok {
		if s.known == nil {
			s.known = map[string][]BandSure{}
		}
		out = s.bands(of)
		s.known[limits] = out
	}
	return out
}

// Regions returns the standard deviation of the fill of each region, m³; nil if it is not measured.
func (s *Sure) Regions() []float64 { return s.Volume.Regions }

// draws is how many floors are drawn for what has no closed form: it gives a standard deviation to
// about 3 % (1/√(2n)).
const draws = 600

// spreadOf returns how far bands of the fill are known.
func (w *Filled) spreadOf(s *Sure, bands []surface.Band) []BandSure {
	got := s.Model.Spread(s.Volume, draws, func(cells [][]uncertainty.Cell, each []float64) []float64 {
		out := make([]float64, 2*len(bands))
		for r := range cells {
			for _, c := range cells[r] {
				for k, b := range bands {
					if k == 0 { // what is beyond the depths of the floor as measured is in the outermost
						b.From = min(b.From, 0)
					}
					if k == len(bands)-1 {
						b.To = math.Inf(1)
					}
					area, volume := c.Between(b.From, b.To)
					out[2*k] += area * each[r]
					out[2*k+1] += volume * each[r]
				}
			}
		}
		return out
	})
	if got == nil {
		return nil
	}
	var out []BandSure
	none := uncertainty.Spread{SD: math.NaN(), Within: math.NaN()}
	for k, b := range bands {
		one := BandSure{got[2*k], got[2*k+1]}
		if b.From <= 0 && w.Fill.Cut > 0 {
			one = BandSure{none, none}
		}
		out = append(out, one)
	}
	return out
}

// setupsOf returns a function that names the set-up of a shot: by the column of the file, or else
// the file, as the instrument is set up for each list of rod readings. Elevations are of one.
func setupsOf(s *survey.Survey) func(survey.Point) string {
	type row struct {
		file string
		line int
	}
	of := map[row]string{}
	for _, r := range s.Readings {
		switch {
		case r.Setup != "":
			of[row{r.At.File, r.At.Line}] = r.Setup
		case r.Measure == survey.Rod:
			of[row{r.At.File, r.At.Line}] = r.At.File
		}
	}
	if s.Book != nil {
		for _, t := range s.Book.Sights {
			of[row{t.At.File, t.At.Line}] = t.Setup
		}
	}
	return func(p survey.Point) string { return of[row{p.At().File, p.At().Line}] }
}

// tiesOf returns how the set-ups of a level book are tied, each after those that it is tied to.
func tiesOf(s *survey.Survey) (out []uncertainty.Tie) {
	if s.Book == nil {
		return nil
	}
	setups := slices.Clone(s.Book.Setups)
	slices.SortStableFunc(setups, func(a, b survey.Setup) int { return cmp.Compare(a.Depth, b.Depth) })
	for _, u := range setups {
		t := uncertainty.Tie{Setup: u.Name, Points: max(1, len(u.From)), On: map[string]int{}}
		for _, on := range u.From {
			if on != "" {
				t.On[on]++
			}
		}
		out = append(out, t)
	}
	return out
}

// aim is where a target was read from: the set-ups with their shares, nil where its elevation is
// given, and how far the target is known by those readings.
type aim struct {
	shares map[string]float64
	sd     float64 // m
}

// aimedBy returns where the target was read from, with a standard deviation of one reading in m. Rod
// readings without a height of instrument have the target on the same line of sight.
func (w *Filled) aimedBy(setup func(survey.Point) string, reading float64) aim {
	switch s := w.Survey; {
	case w.Finish != nil && len(w.FinishedBy) > 0:
	case s.Book != nil && s.Book.Relative:
		return aim{shares: map[string]float64{s.Book.Setups[0].Name: 1}}
	case s.Relative && s.Served.Rods && len(s.Points) > 0:
		return aim{shares: map[string]float64{setup(s.Points[0]): 1}}
	default:
		return aim{}
	}
	out := aim{shares: map[string]float64{}}
	if w.plan.rule != "lowest" {
		n := float64(len(w.FinishedBy))
		for _, p := range w.FinishedBy {
			out.shares[setup(p)] += 1 / n
		}
		out.sd = reading / math.Sqrt(n)
		return out
	}
	var on []door
	for _, p := range w.FinishedBy {
		at := surface.Vec{X: p.X, Y: p.Y}
		if math.IsNaN(p.X + p.Y) { // on a level plane alone
			at = surface.Vec{}
		}
		on = append(on, door{p, p.Z - w.Finish.Elevation(at)})
	}
	doors := readDoors(on)
	var levels []uncertainty.Reads
	for _, d := range doors {
		r := uncertainty.Reads{N: len(d)}
		for _, one := range d {
			r.Mean += one.off / float64(len(d))
		}
		levels = append(levels, r)
	}
	lowest := uncertainty.LowestOf(levels, reading)
	out.sd = lowest.SD
	for i, d := range doors {
		for _, one := range d {
			out.shares[setup(one.shot)] += lowest.Share[i] / float64(len(d))
		}
	}
	return out
}

// SureShare is the probability of the interval that is shown. Own choice, as for F-numbers.
const SureShare = 0.9
