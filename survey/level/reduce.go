// Package level reduces level books: heights of instrument, elevations, closures, ties
// and the adjustment.
package level

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// levelling is a book during its reduction.
type levelling struct {
	*survey.Book
	o        survey.Options
	plan, up unit.Length // units of the book, which its notes are in
	ids      int

	benchmark map[int]*survey.Benchmark
	known     map[int]float64 // elevations so far
	from      map[int]string  // set-up that gave the elevation; not for benchmarks
	names     map[int]string
	setup     map[string]*survey.Setup
	of        map[string][]int // sights of each set-up
	order     []string         // set-ups in the order of the book
	used      map[int]bool     // sights that gave a height of instrument
	notes     []survey.Note
}

func (l *levelling) note(k survey.NoteKind, at survey.Pos, format string, args ...any) {
	l.notes = append(l.notes, survey.Notef(k, at, format, args...))
}

// Reduce works out the elevations of sights. The height of instrument is the elevation
// of the backsight's point plus its reading. An elevation is the height of instrument
// minus the reading. Known are the elevations given with the sights, those of
// o.Benchmarks and the heights of instrument in given. If nothing is known and there is
// no backsight, the first line of sight is elevation 0, provided mayFloat is set.
//
// A set-up with several backsights takes the mean of their heights. A set-up without a
// backsight is tied to the points that are seen from it and from others. Source for the
// arithmetic: any textbook of surveying; see the tests.
func Reduce(sights []survey.Sight, given map[string]float64, o survey.Options, plan, up unit.Length, mayFloat bool) (*survey.Book, []survey.Note, error) {
	l := &levelling{Book: &survey.Book{Sights: sights, UnitWeight: math.NaN(), Adjust: o.Adjust}, o: o, plan: plan, up: up,
		benchmark: map[int]*survey.Benchmark{}, known: map[int]float64{}, from: map[int]string{}, names: map[int]string{},
		setup: map[string]*survey.Setup{}, of: map[string][]int{}, used: map[int]bool{}}
	l.identify()
	l.benchmarks()
	for name, hi := range given {
		if u := l.setup[name]; u != nil {
			u.HI, u.Given = hi, true
		}
	}
	l.kinds()
	if err := l.instruments(mayFloat); err != nil {
		return nil, nil, err
	}
	l.split()
	for i, name := range l.order {
		at := sights[l.of[name][0]].At
		if l.Relative && i == 0 {
			l.note(survey.Assumed, at, "set-up %s: %s", name, survey.Unreferenced)
			continue
		}
		if l.Relative {
			l.note(survey.Assumed, at, "set-up %s: %s", name, survey.InstrumentAgainst(l.order[0], l.setup[name].HI))
			continue
		}
		l.note(survey.Assumed, at, "set-up %s: height of instrument %s", name, l.elevation(l.setup[name].HI))
	}
	l.elevations()
	l.sums()
	if err := l.closures(); err != nil {
		return nil, nil, err
	}
	if err := l.adjust(); err != nil {
		return nil, nil, err
	}
	for _, name := range l.order {
		l.Setups = append(l.Setups, *l.setup[name])
	}
	return l.Book, l.notes, nil
}

func (l *levelling) elevation(m float64) string { return unit.StyleOf(l.plan, l.up).Elevation(m) }

func (l *levelling) difference(m float64, up, down string) string {
	return unit.Difference(unit.StyleOf(l.plan, l.up), m, up, down)
}

// imperial reports whether the book is in feet.
func (l *levelling) imperial() bool { return unit.StyleOf(l.plan, l.up).Imperial }

// OnePlace is the max distance, m, between readings with one name that are still one
// point: a rod is not put back more exactly. Own choice.
const OnePlace = 0.05

// SameReading is the max difference, m, between two figures for one height of instrument
// or benchmark that still agree: less than a rod can be read to. Own choice.
const SameReading = 1e-4

// identify numbers the points. Sights with one name are one point, unless the file gives
// them different places: shots are often counted from 1 again in the next set-up.
func (l *levelling) identify() {
	byName := map[string][]int{}
	for i := range l.Sights {
		s := &l.Sights[i]
		s.Point, s.SD = l.ids, math.NaN()
		if _, seen := l.of[s.Setup]; !seen {
			l.order = append(l.order, s.Setup)
			l.setup[s.Setup] = &survey.Setup{Name: s.Setup, HI: math.NaN()}
		}
		l.of[s.Setup] = append(l.of[s.Setup], i)
		if s.Name != "" {
			key := strings.ToUpper(s.Name)
			for _, j := range byName[key][:min(64, len(byName[key]))] {
				t := &l.Sights[j]
				if d := math.Hypot(s.X-t.X, s.Y-t.Y); !(d > OnePlace) {
					s.Point = t.Point
					s.Tied = s.Tied || t.Setup != s.Setup && !math.IsNaN(d)
					break
				}
			}
			byName[key] = append(byName[key], i)
		}
		if s.Point == l.ids {
			l.ids++
			l.names[s.Point] = s.Name
		}
	}
}

// benchmarks collects the given elevations, first from the options, then from the file.
func (l *levelling) benchmarks() {
	asked := map[string]float64{}
	for name, z := range l.o.Benchmarks {
		asked[strings.ToUpper(name)] = z
	}
	for i := range l.Sights {
		s := &l.Sights[i]
		if s.Name == "" {
			continue
		}
		z, byUser := asked[strings.ToUpper(s.Name)]
		if !byUser {
			z = s.Stated
		}
		b := l.benchmark[s.Point]
		switch {
		case math.IsNaN(z):
		case b == nil:
			l.benchmark[s.Point] = &survey.Benchmark{Name: s.Name, Elevation: z, At: s.At}
			if !byUser {
				l.note(survey.Assumed, s.At, "benchmark %s taken at %s", s.Name, l.elevation(z))
			}
		case math.Abs(z-b.Elevation) > SameReading && !byUser:
			l.note(survey.Warning, s.At, "benchmark %s at %s here, %s before: the first is used", s.Name, l.elevation(z), l.elevation(b.Elevation))
		}
	}
	for id, b := range l.benchmark {
		l.known[id] = b.Elevation
	}
}

// instruments works out the height of instrument of every set-up, in the order of the
// book. Backsights come before common points.
func (l *levelling) instruments(mayFloat bool) error {
	backs := false
	for i := range l.Sights {
		backs = backs || l.Sights[i].Kind == survey.Back && !l.Sights[i].Listed
	}
	given := false
	for _, name := range l.order {
		if u := l.setup[name]; u.Given {
			given = true
			u.Depth, u.Run = 1, 0
			l.reach(u)
		}
	}
	if len(l.benchmark) == 0 && !given && !backs && mayFloat {
		l.Relative = true
		l.establish(l.order[0], nil)
	}
	for {
		progress := false
		for _, name := range l.order {
			progress = l.setHI(name, true) || progress
		}
		for i := 0; i < len(l.order) && !progress; i++ {
			progress = l.setHI(l.order[i], false)
		}
		if !progress {
			return l.untied()
		}
	}
}

// setHI sets the height of instrument of a set-up from its backsights, or from any of
// its points that are already known. It reports whether it could.
func (l *levelling) setHI(name string, byBacksight bool) bool {
	u := l.setup[name]
	if !math.IsNaN(u.HI) {
		return false
	}
	var on []int
	for _, i := range l.of[name] {
		s := &l.Sights[i]
		if _, ok := l.known[s.Point]; ok && (s.Kind == survey.Back) == byBacksight {
			on = append(on, i)
		}
	}
	if len(on) == 0 {
		return false
	}
	l.establish(name, on)
	return true
}

// establish sets the height of instrument of a set-up to the mean from the sights on, 0
// without any, and makes its points known.
func (l *levelling) establish(name string, on []int) {
	u := l.setup[name]
	tie := survey.Tie{Setup: name}
	u.HI, u.Depth, u.Run, u.From = 0, 1, 0, nil
	points := map[int]bool{}
	for k, i := range on {
		s := &l.Sights[i]
		hi := l.known[s.Point] + s.Reading
		l.used[i] = true
		u.HI += (hi - u.HI) / float64(k+1)
		tie.On, tie.Off = append(tie.On, s.Name), append(tie.Off, hi)
		if !points[s.Point] {
			points[s.Point], u.From = true, append(u.From, l.from[s.Point])
		}
		// On a benchmark any sight serves as a backsight.
		if _, mark := l.benchmark[s.Point]; s.Kind == survey.Back || mark && !s.Shared {
			tie.Known = true
		} else {
			tie.Common = true
		}
		if before, ok := l.from[s.Point]; ok && l.setup[before].Depth >= u.Depth {
			u.Depth, u.On = l.setup[before].Depth+1, before
			u.Run = l.setup[before].Run
		}
		if k == 0 {
			u.Run += s.Distance
		}
	}
	for k := range tie.Off {
		tie.Off[k] -= u.HI
	}
	if len(on) > 1 || tie.Common {
		l.Ties = append(l.Ties, tie)
		l.noteTie(tie, l.Sights[on[0]].At)
	}
	if most := l.o.Allow.Of(2, math.NaN(), l.imperial()); len(on) > 1 && tie.Spread() > most {
		for k, i := range on {
			if s := &l.Sights[i]; math.Abs(tie.Off[k]) > most/2 {
				l.Closures = append(l.Closures, survey.Closure{On: s.Name, Setup: name, Known: l.known[s.Point], Observed: u.HI - s.Reading, Allowable: most / 2, At: s.At})
			}
		}
	}
	l.reach(u)
}

// reach makes the points known that a set-up sees. The foresight decides the elevation
// of a turning point.
func (l *levelling) reach(u *survey.Setup) {
	kinds := []survey.SightKind{survey.Fore, survey.Intermediate}
	if u.Given {
		kinds = append(kinds, survey.Back)
	}
	for _, kind := range kinds {
		for _, i := range l.of[u.Name] {
			s := &l.Sights[i]
			if _, ok := l.known[s.Point]; ok || s.Kind != kind || s.Name == "" {
				continue
			}
			l.known[s.Point], l.from[s.Point] = u.HI-s.Reading, u.Name
		}
	}
	for _, i := range l.of[u.Name] {
		if s := &l.Sights[i]; s.Kind == survey.Fore {
			u.Run += s.Distance
			break
		}
	}
}

func (l *levelling) noteTie(t survey.Tie, at survey.Pos) {
	how, kind := "backsights on", survey.Assumed
	switch {
	case t.Common && t.Known:
		how = "tied by a benchmark and by points seen from other set-ups as well:"
	case t.Common:
		how = "no backsight on a point that is known; tied by points seen from other set-ups as well:"
	}
	if len(t.On) == 1 {
		l.note(survey.Warning, at, "set-up %s: %s %s, one tie, which nothing checks", t.Setup, how, t.On[0])
		return
	}
	if t.Spread() > 2*l.o.Allow.Of(1, math.NaN(), l.imperial()) {
		kind = survey.Warning
	}
	var each []string
	for i, name := range t.On {
		each = append(each, name+" "+l.difference(t.Off[i], "high", "low"))
	}
	l.note(kind, at, "set-up %s: %s %s; the mean is used", t.Setup, how, strings.Join(each, ", "))
}

// untied returns the error for the first set-up without a height of instrument, nil if
// all have one.
func (l *levelling) untied() error {
	for _, name := range l.order {
		if !math.IsNaN(l.setup[name].HI) {
			continue
		}
		e := &survey.Error{Pos: l.Sights[l.of[name][0]].At, Element: "set-up " + name}
		var on, named []string
		for _, i := range l.of[name] {
			if s := &l.Sights[i]; s.Kind == survey.Back {
				on = append(on, cmp.Or(s.Name, "a point without a name"))
				if s.Name != "" {
					named = append(named, s.Name)
				}
			}
		}
		switch {
		case len(on) == 0:
			e.Found, e.Want = "no backsight and no point that another set-up has seen", "a backsight on a benchmark or turning point, or a point in common"
			e = e.Hinted("give a point that both have seen the same name in both, or %s for one whose elevation is known, or a line HI = ELEV where the set-up begins", unit.Ask("benchmark", "NAME=ELEV"))
		case len(named) == 0:
			e.Found, e.Want = "no backsight on a point with a name", "the name of the benchmark or turning point"
			e = e.Hinted("write the name into the row of the backsight; then %s", unit.Ask("benchmark", "NAME=ELEV"))
		case len(l.benchmark) == 0:
			e.Found, e.Want = "no benchmark with a known elevation", fmt.Sprintf("the elevation of %s", named[0])
			e.Err = &survey.NoBenchmark{Marks: (&survey.Survey{Book: l.Book}).Marks(false)}
			e = e.Hinted("%s with its elevation in place of 100", survey.BenchmarkOption(named[0], unit.StyleOf(l.plan, l.up).Elevations()))
		default:
			e.Found = fmt.Sprintf("a backsight on %s, which no other set-up has as foresight", strings.Join(on, " and "))
			e.Want = "a turning point that ties it to the others"
			e = e.Hinted("%s with its elevation in place of 100, if it is known", survey.BenchmarkOption(named[0], unit.StyleOf(l.plan, l.up).Elevations()))
		}
		return e
	}
	return nil
}

// split makes two points of shots that have one name, no place and elevations too
// different to be one point: shots are often counted from 1 again.
func (l *levelling) split() {
	first := map[int]*survey.Sight{}
	for i := range l.Sights {
		s := &l.Sights[i]
		before, again := first[s.Point]
		if s.Name == "" || s.Mark || l.used[i] {
			continue
		}
		if !again {
			first[s.Point] = s
			continue
		}
		d := (l.setup[s.Setup].HI - s.Reading) - (l.setup[before.Setup].HI - before.Reading)
		if before.Mark || !math.IsNaN(s.X-before.X) || math.Abs(d) <= 10*l.o.Allow.Of(2, math.NaN(), l.imperial()) {
			continue
		}
		l.note(survey.Warning, s.At, "%s comes out %s here than in line %d: taken for two points of one name; if it is one, a reading is wrong", s.Name, l.difference(d, "higher", "lower"), before.At.Line)
		s.Point = l.ids
		l.ids++
		l.names[s.Point], l.known[s.Point] = s.Name, l.setup[s.Setup].HI-s.Reading
		l.from[s.Point] = s.Setup
	}
}

// elevations gives every sight its elevation. A backsight has the known elevation of its
// point.
func (l *levelling) elevations() {
	first := true
	for i := range l.Sights {
		s := &l.Sights[i]
		if s.Elevation = l.setup[s.Setup].HI - s.Reading; s.Kind == survey.Back {
			if z, ok := l.known[s.Point]; ok {
				s.Elevation = z
			}
			if b := l.benchmark[s.Point]; b != nil && first {
				l.Benchmarks = append(l.Benchmarks, *b)
				first = false
			}
		}
	}
	var rest []survey.Benchmark
	for _, b := range l.benchmark {
		if first || *b != l.Benchmarks[0] {
			rest = append(rest, *b)
		}
	}
	slices.SortFunc(rest, func(a, b survey.Benchmark) int {
		return cmp.Or(cmp.Compare(a.At.Line, b.At.Line), cmp.Compare(a.Name, b.Name))
	})
	l.Benchmarks = append(l.Benchmarks, rest...)
}
