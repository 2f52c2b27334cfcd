package blunder

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"pourplane/survey"
	"pourplane/survey/unit"
)

const (
	// slips is the assumed share of wrong readings, and tail the degrees of freedom of the t
	// distribution of the errors of sound ones. Chosen on the simulated books of seeds 1 to
	// 200: with more slips or a thinner tail more sound shots are suspected, with fewer
	// slips or a fatter one an inch goes unseen on a wavy floor.
	slips = 1.0 / 25
	tail  = 25
	// least is the min departure worth a question, m: a floor has humps, and a rod may be on
	// a crumb.
	least = 0.012
	// rubble is the max height of a rod above the floor on debris, m.
	rubble = 0.040
	// anywhere is the max size of a slip of no known kind, up or down, m.
	anywhere = 1.0
	// asideFrom is the departure, in standard deviations, from which a shot does not help to
	// predict others until it has been checked: three in a thousand sound shots exceed it.
	asideFrom = 3.0
	// alike: an explanation is named if it is this many times as likely as any other that
	// would put the floor at another elevation.
	alike = 4
)

// shares is how slips divide among kinds; the share of an impossible kind is not given to
// others. Common practice, no count: manuals warn first of whole units, then of figures. A
// rod on rubble and a slip of no kind come last, because they explain anything.
var shares = map[Kind]float64{
	OneFoot: 0.15, OneInch: 0.2, Hundred: 0.2, OneMetre: 0.15,
	Transposed: 0.06, Dropped: 0.06, Misread: 0.04,
	Swapped: 0.1, Copied: 0.05, OtherUnit: 0.05, SignTurned: 0.03, NotRod: 0.03,
	OffFloor: 0.04, DoesNotFit: 0.03,
}

var missing = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: tail}

// density is the density of a sound shot at an elevation, 1/m.
func (d departure) density() float64 { return missing.Prob(d.standard()) / d.sd }

// explain judges the core of w. It sets aside the worst shot, predicts all others again, and
// so on, then weighs for each shot set aside what may have happened.
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
		rest.sweep(worst)
		aside = append(aside, worst)
	}
	// Shots that turn out sound help to predict again.
	for {
		var found []Finding
		var bad []int
		for _, i := range aside {
			d := rest.departure(i)
			rough := rest.roughness(i)
			d.sd *= rough
			f, wrong := b.weigh(rest, i, d, rough)
			if !wrong {
				continue
			}
			bad = append(bad, i)
			if i < w.core {
				found = append(found, f)
			}
		}
		if len(bad) == len(aside) {
			return found
		}
		aside, rest = bad, w.copy()
		for _, i := range aside {
			rest.sweep(i)
		}
	}
}

// weighed is an explanation and its likelihood, up to a common factor.
type weighed struct {
	candidate
	z    float64 // m: the elevation it means
	like float64
}

// weigh compares what may have happened to shot i of w, which is set aside, and returns the
// likeliest; false if the shot is sound.
func (b *book) weigh(w *window, i int, d departure, rough float64) (Finding, bool) {
	s := w.shots[i]
	fits := s.z - d.off
	r, say := b.readingOf(s)
	all := b.explanations(w, i, d, say.step())
	sound := (1-slips)*d.density() + humps*w.hump(i, rough)
	total := sound
	for _, e := range all {
		total += e.like
	}
	if sound > total/2 || math.Abs(d.off) < least {
		return Finding{}, false
	}
	slices.SortStableFunc(all, func(a, b weighed) int { return cmp.Compare(b.like, a.like) })
	best := all[0]
	f := Finding{Reading: r, Shot: s.point, Kind: best.kind, Found: r.Text, WouldFit: best.text, Fits: fits, Off: d.off, Sure: best.like / total, Doubt: math.Abs(d.off) <= highest}
	if b.survey.Relative && s.reading >= 0 {
		f.Rod = say.write(r.Value + upward(r.Measure)*(fits-s.z))
	}
	if !best.kind.open() {
		for _, e := range all[1:] {
			if e.like*alike >= best.like && math.Abs(e.z-best.z) > say.step()/2 && !e.kind.open() {
				f.Also = append(f.Also, Alternative{e.kind, e.text})
			}
		}
	}
	if f.Also != nil {
		f.Also = append([]Alternative{{best.kind, best.text}}, f.Also...)
		f.Kind, best.z, best.text = DoesNotFit, fits, ""
	}
	if best.text == "" {
		f.WouldFit = say.write(r.Value + upward(r.Measure)*(best.z-s.z))
	}
	f.restated = map[survey.Point]float64{s.point: best.z}
	if f.Kind == Swapped || f.Kind == Copied {
		f.Other = b.readings[best.other]
	}
	if f.Kind == Swapped {
		for _, t := range w.shots {
			if t.reading == best.other {
				f.restated[t.point] = t.z + s.z - best.z
			}
		}
	}
	return f, true
}

// readingOf returns the reading of a shot and how its column writes; without one the reading is
// its elevation.
func (b *book) readingOf(s *shot) (survey.Reading, style) {
	if s.reading >= 0 {
		r := b.readings[s.reading]
		return r, b.style[columnOf(r)]
	}
	say := style{unit: cmp.Or(b.survey.Unit, unit.Metre), digits: 3}
	return survey.Reading{Name: s.point.Name(), Text: say.write(s.z), Value: s.z, At: s.point.At()}, say
}

// open reports whether k does not determine which reading was meant.
func (k Kind) open() bool { return k == OffFloor || k == Copied || k == DoesNotFit }

// explanations lists what may have happened to shot i, each by Bayes' rule: how often it
// happens, times how likely it gives the written text.
func (b *book) explanations(w *window, i int, d departure, step float64) []weighed {
	s := w.shots[i]
	fits := s.z - d.off
	var all []weighed
	add := func(c candidate, z, like float64) {
		all = append(all, weighed{c, z, slips * shares[c.kind] * c.share * like})
	}
	at := func(z float64) float64 { return departure{z - fits, d.sd}.density() }
	if s.reading >= 0 {
		r := b.readings[s.reading]
		for _, c := range b.candidates(s.reading) {
			z := s.z + upward(r.Measure)*(c.value-r.Value)
			add(c, z, at(z))
		}
		if z, ok := b.otherWay(s); ok {
			add(candidate{kind: NotRod, share: 1}, z, at(z))
		}
		for _, c := range b.swaps(w, i) {
			add(c.candidate, c.z, at(c.z)*c.like)
		}
		if n, ok := b.repeats(s.reading); ok {
			// A copied reading gives the same text for certain; another slip would give one
			// of many.
			add(candidate{kind: Copied, share: 1, other: n}, fits, 1/step)
		}
	}
	onRubble := (missing.CDF(d.standard()) - missing.CDF((d.off-rubble)/d.sd)) / rubble
	add(candidate{kind: OffFloor, share: 1}, fits, onRubble)
	add(candidate{kind: DoesNotFit, share: 1}, fits, 1/(2*anywhere))
	return all
}

// repeats returns the reading next to i in its set-up with the same text.
func (b *book) repeats(i int) (int, bool) {
	for _, n := range []int{i - 1, i + 1} {
		if n >= 0 && n < len(b.readings) && b.setup[n] == b.setup[i] &&
			b.readings[n].Measure == b.readings[i].Measure && b.readings[n].Value == b.readings[i].Value {
			return n, true
		}
	}
	return 0, false
}

// otherWay returns the elevation of a shot whose row has an elevation among rod readings, or
// a reading among elevations.
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

// swaps returns the shots of w that shot i may have exchanged readings with; the like of
// each is how much better the other shot fits with it.
func (b *book) swaps(w *window, i int) []weighed {
	s := w.shots[i]
	r := b.readings[s.reading]
	var out []weighed
	for j, t := range w.shots {
		if j == i || t.reading < 0 || t.setup != s.setup || b.readings[t.reading].Measure != r.Measure || t.z == s.z {
			continue
		}
		dj := w.departure(j)
		exchanged := departure{dj.off + s.z - t.z, dj.sd}
		like := exchanged.density() / dj.density()
		// Usually it is the row before or after, or any row of a sheet.
		share := 0.2 / float64(len(w.shots))
		if d := t.reading - s.reading; d == 1 || d == -1 {
			share += 0.4
		}
		out = append(out, weighed{candidate{Swapped, b.readings[t.reading].Value, b.readings[t.reading].Text, share, t.reading}, t.z, like})
	}
	return out
}
