package blunder

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
	"pourplane/survey"
)

const (
	// slips is how many of all readings are wrong: a careful crew gets a few
	// hundred right in a row.
	slips = 1.0 / 40
	// tail is the degrees of freedom of the t distribution that predictions
	// miss by: a floor is rougher in some places than in others.
	tail = 20
	// least is the smallest departure worth a question, m: a floor has humps,
	// and a rod stands on a crumb.
	least = 0.012
	// rubble is the most that a rod stands above the floor on what lies there, m.
	rubble = 0.040
	// anywhere is over what a slip of no known kind is spread, m, up and down.
	anywhere = 1.0
	// asideFrom is how many standard deviations off a shot does not help to
	// predict others: sound ones reach it once in some thousands.
	asideFrom = 3.0
	// alike: an explanation is named when it is this many times as likely as
	// any other that would put the floor at another elevation.
	alike = 4
)

// shares says how slips divide among kinds; where a kind cannot be, its share is
// nobody's. A misread whole unit is the one that trade and surveying manuals
// put first.
var shares = map[Kind]float64{
	OneFoot: 0.15, OneInch: 0.2, Hundred: 0.2, OneMetre: 0.15,
	Transposed: 0.06, Dropped: 0.06, Misread: 0.04,
	Swapped: 0.1, Copied: 0.05, OtherUnit: 0.05, SignTurned: 0.03, NotRod: 0.03,
	OffFloor: 0.04, DoesNotFit: 0.03,
}

var missing = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: tail}

// density is that of a sound shot at an elevation, 1/m.
func (d departure) density() float64 { return missing.Prob(d.standard()) / d.sd }

// explain judges the core of w: it sets aside the worst shot, predicts all others
// anew, and so on, then weighs for each shot set aside what may have happened.
func explain(b *book, w *window) []Finding {
	rest := w.copy()
	var aside []int
	for len(aside) < len(w.shots)/4 {
		worst, most := -1, asideFrom
		for i := range w.shots {
			if rest.out[i] {
				continue
			}
			t := math.Abs(rest.departure(i).standard())
			if t > most {
				t /= rest.roughness(i)
			}
			if t > most {
				worst, most = i, t
			}
		}
		if worst < 0 {
			break
		}
		rest.setAside(worst)
		aside = append(aside, worst)
	}
	// Those that prove sound after all help to predict again.
	for {
		off := w.together(aside)
		var found []Finding
		var bad []int
		for n, i := range aside {
			off[n].sd *= rest.roughness(i)
			v := b.weigh(w, rest, aside, i, off[n])
			if v.sound {
				continue
			}
			bad = append(bad, i)
			if i < w.core {
				found = append(found, v.finding)
			}
		}
		if len(bad) == len(aside) {
			return found
		}
		aside, rest = bad, w.copy()
		for _, i := range aside {
			rest.setAside(i)
		}
	}
}

type verdict struct {
	sound   bool
	finding Finding
}

// weighed is an explanation and how likely it is, up to a factor common to all.
type weighed struct {
	candidate
	z    float64 // m: elevation that it means
	like float64
}

// weigh compares what may have happened to shot i, by Bayes' rule: how often it
// happens, times how likely it makes what is written.
func (b *book) weigh(w, rest *window, aside []int, i int, d departure) verdict {
	s := w.shots[i]
	fits := s.z - d.off
	sound := (1 - slips) * d.density()
	var all []weighed
	add := func(c candidate, z, like float64) {
		all = append(all, weighed{c, z, slips * shares[c.kind] * c.share * like})
	}
	at := func(z float64) float64 { return departure{z - fits, d.sd}.density() }
	step := 0.001
	say := style{unit: b.survey.Unit, digits: 3}
	value := func(z float64) float64 { return z }
	if s.reading >= 0 {
		r := b.readings[s.reading]
		say = b.style[columnOf(r)]
		step = say.step()
		up := upward(r.Measure)
		value = func(z float64) float64 { return r.Value + up*(z-s.z) }
		for _, c := range b.candidates(s.reading) {
			z := s.z + up*(c.value-r.Value)
			add(c, z, at(z))
		}
		if z, ok := b.otherWay(s); ok {
			add(candidate{NotRod, value(z), say.write(value(z)), 1, -1}, z, at(z))
		}
		for _, c := range b.swaps(w, rest, aside, i) {
			add(c.candidate, c.z, at(c.z)*c.like)
		}
		if n, ok := b.repeats(s.reading); ok {
			// That the reading stands there again is certain if it was copied, where
			// another slip would write one of many.
			add(candidate{Copied, value(fits), say.write(value(fits)), 1, n}, fits, 1/step)
		}
	}
	onRubble := (missing.CDF(d.standard()) - missing.CDF((d.off-rubble)/d.sd)) / rubble
	add(candidate{OffFloor, value(fits), say.write(value(fits)), 1, -1}, fits, onRubble)
	add(candidate{DoesNotFit, value(fits), say.write(value(fits)), 1, -1}, fits, 1/(2*anywhere))

	total := sound
	for _, e := range all {
		total += e.like
	}
	if sound > total/2 || math.Abs(d.off) < least {
		return verdict{sound: true}
	}
	slices.SortStableFunc(all, func(a, b weighed) int { return cmp.Compare(b.like, a.like) })
	best := all[0]
	f := Finding{Shot: s.point, Kind: best.kind, WouldFit: best.text, Fits: fits, Off: d.off, Sure: best.like / total, restated: map[survey.Point]float64{s.point: best.z}}
	if best.kind != Copied && best.kind != OffFloor && best.kind != DoesNotFit {
		for _, e := range all[1:] {
			if e.like*alike >= best.like && math.Abs(e.z-best.z) > step/2 && e.kind != OffFloor && e.kind != DoesNotFit && e.kind != Copied {
				f.Also = append(f.Also, Alternative{e.kind, e.text})
			}
		}
		if f.Also != nil {
			f.Also = append([]Alternative{{best.kind, best.text}}, f.Also...)
			f.Kind, f.WouldFit = DoesNotFit, say.write(value(fits))
			f.restated[s.point] = fits
		}
	}
	if s.reading >= 0 {
		f.Reading = b.readings[s.reading]
		f.Found = f.Reading.Text
	} else {
		f.Reading = survey.Reading{Name: s.point.Name, Value: s.z, Unit: b.survey.Unit, At: s.point.At}
		f.Found = say.write(s.z)
	}
	if best.other >= 0 && f.Kind == best.kind {
		f.Other = b.readings[best.other]
	}
	if f.Kind == Swapped {
		for _, t := range w.shots {
			if t.reading == best.other {
				f.restated[t.point] = t.z + s.z - best.z
			}
		}
	}
	return verdict{finding: f}
}

// repeats returns the reading next to i in its set-up that is written alike.
func (b *book) repeats(i int) (int, bool) {
	for _, n := range []int{i - 1, i + 1} {
		if n >= 0 && n < len(b.readings) && b.setup[n] == b.setup[i] &&
			b.readings[n].Measure == b.readings[i].Measure && b.readings[n].Value == b.readings[i].Value {
			return n, true
		}
	}
	return 0, false
}

// otherWay returns the elevation of a shot whose row holds an elevation among rod
// readings, or a reading among elevations.
func (b *book) otherWay(s *shot) (float64, bool) {
	r := b.readings[s.reading]
	switch {
	case r.Measure == survey.Rod:
		return r.Value, true
	case r.Measure == survey.Elevation && b.survey.Book != nil:
		for _, u := range b.survey.Book.Setups {
			if u.Name == r.Setup {
				return u.HI - r.Value, true
			}
		}
	}
	return 0, false
}

// swaps returns the shots of w that shot i may have exchanged readings with: the
// like of each is how much better the other one fits with it.
func (b *book) swaps(w, rest *window, aside []int, i int) []weighed {
	s := w.shots[i]
	r := b.readings[s.reading]
	var out []weighed
	for j, t := range w.shots {
		if j == i || t.reading < 0 || t.setup != s.setup || b.readings[t.reading].Measure != r.Measure || t.z == s.z {
			continue
		}
		set := aside
		if !rest.out[j] {
			set = append(slices.Clone(aside), j)
		}
		off := w.together(set)
		dj := off[slices.Index(set, j)]
		exchanged := departure{dj.off + s.z - t.z, dj.sd}
		like := exchanged.density() / dj.density()
		// Mostly it is the row before or after, or any of a sheet.
		share := 0.2 / float64(len(w.shots))
		if d := t.reading - s.reading; d == 1 || d == -1 {
			share += 0.4
		}
		out = append(out, weighed{candidate{Swapped, b.readings[t.reading].Value, b.readings[t.reading].Text, share, t.reading}, t.z, like})
	}
	return out
}
