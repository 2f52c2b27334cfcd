package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/survey/unit"
)

// SightKind says what a rod reading is for.
type SightKind uint8

const (
	Intermediate SightKind = iota // any point, between the other two
	Back                          // a point whose elevation is known: gives the height of instrument
	Fore                          // a point to be known, or to close on
)

func (k SightKind) String() string { return [...]string{"IS", "BS", "FS"}[k] }

// Sight is one rod reading of a level book.
type Sight struct {
	Kind     SightKind
	Setup    string
	Name     string // of the point; often empty for intermediate sights
	Reading  float64
	Text     string  // of the reading, as written
	Distance float64 // m from the level to the rod; NaN where it was not booked
	At       Pos

	Elevation  float64 // m, of the point; adjusted if the book is
	Correction float64 // m, in Elevation
	SD         float64 // m, standard deviation of Elevation; NaN without redundancy

	x, y   float64 // m; NaN without a place
	given  float64 // elevation that the row states for its point, m; NaN if none
	check  bool    // on a benchmark, turning point or check
	id     int     // of the point
	tie    bool    // on a floor point that another set-up, or file, has seen before
	shared bool    // given is what another file has for a point that both have seen, no benchmark
	plain  bool    // from a list, which does not say what a reading is for
}

// Setup is the level in one place.
type Setup struct {
	Name       string
	HI         float64 // height of instrument, m; adjusted if the book is
	Correction float64 // m, in HI

	given bool    // HI is given, not read
	depth int     // set-ups from the benchmark on, this one included
	on    string  // the set-up before, of which this one hangs; empty after a benchmark
	run   float64 // m of sight from the benchmark to this set-up's last; NaN if not booked
}

// Benchmark is a point of known elevation.
type Benchmark struct {
	Name      string
	Elevation float64 // m
	At        Pos
}

// Closure is a point whose elevation came out twice.
type Closure struct {
	On        string
	Setup     string  // from which it came out the second time
	Known     float64 // m, the first time, or as the benchmark is known
	Observed  float64 // m
	Allowable float64 // m
	Benchmark bool    // Known is that of a benchmark
	Closing   bool    // by a foresight that ends a line on a benchmark
	At        Pos

	whole bool     // seen from the first set-up and again from the last
	path  []string // set-ups of the line, of a closing sight
	list  bool     // from a list, which may not say that the instrument was moved
}

// Misclosure is observed less known, m.
func (c Closure) Misclosure() float64 { return c.Observed - c.Known }

// Beyond reports whether c is more than it may be.
func (c Closure) Beyond() bool {
	const rounding = 1e-9 // m; a misclosure of just the allowance is within it
	return math.Abs(c.Misclosure()) > c.Allowable+rounding
}

// Checks are the sums by which a surveyor checks the arithmetic of a page:
// backsights less foresights is the last elevation less the first, and so is rise
// less fall.
type Checks struct {
	SumBS, SumFS     float64 // m
	SumRise, SumFall float64 // m, both positive
	LastMinusFirst   float64 // m, before any adjustment
	// Line reports whether the book is one line, each set-up beginning where the
	// last one ended: only then must the three differences be equal.
	Line bool
}

// Book is what the rod readings of one or more set-ups came to.
type Book struct {
	Sights     []Sight // in the order of the file
	Setups     []Setup
	Benchmarks []Benchmark // the first is the one the elevations hang on
	Closures   []Closure
	Checks     Checks
	Ties       []Tie
	Adjust     Adjust
	Relative   bool     // no benchmark: elevation 0 is the first line of sight
	Redundancy int      // sights over and above those that the elevations need
	UnitWeight float64  // m, standard deviation of unit weight; NaN unless adjusted by least squares with redundancy
	Fault      string   // what is most likely at fault, when a closure is beyond its allowance
	Faults     []*Error // figures of the book that its sights contradict
	FeetInches bool     // readings are in feet and inches
	RiseFall   bool     // the book has columns of rise and fall
}

// Tie is how well a set-up is tied to others that were reduced before it.
type Tie struct {
	Setup  string
	On     []string  // names of the points
	Off    []float64 // m, by which each says that the height of instrument is higher than their mean
	Common bool      // by points seen from both, without a backsight
	known  bool      // by a backsight, or a reading on a benchmark
}

// Spread is the greatest less the least of Off, m.
func (t Tie) Spread() float64 { return slices.Max(t.Off) - slices.Min(t.Off) }

// Main returns the closure that decides: of those on benchmarks by a closing
// sight the one that takes most of its allowance, and nil when nothing closes. A book
// without benchmark closes on a point of its first set-up that the last one saw again.
func (b *Book) Main() *Closure {
	var worst *Closure
	for i := range b.Closures {
		c := &b.Closures[i]
		if (c.Closing || b.Relative && c.whole) && (worst == nil || math.Abs(c.Misclosure())*worst.Allowable > math.Abs(worst.Misclosure())*c.Allowable) {
			worst = c
		}
	}
	return worst
}

// Beyond returns the closures that are beyond their allowance.
func (b *Book) Beyond() []Closure {
	var out []Closure
	for _, c := range b.Closures {
		if c.Beyond() {
			out = append(out, c)
		}
	}
	return out
}

// Err returns why elevations from b should not be built on: figures of the book
// that its sights contradict, and closures beyond their allowance unless accept is
// set. It is nil for a sound book.
func (b *Book) Err(style unit.Style, accept bool) error {
	var errs []error
	for _, e := range b.Faults {
		errs = append(errs, e)
	}
	if !accept {
		beyond := b.Beyond()
		for i, c := range beyond {
			e := &Error{Pos: c.At, Element: "level book", Found: fmt.Sprintf("%s from set-up %s at %s, %s than it is known at", c.On, c.Setup, style.Elevation(c.Observed), off(style, c.Misclosure(), "higher", "lower")),
				Want: "no more than " + off(style, c.Allowable, "", "")}
			if b.Fault != "" && i == len(beyond)-1 {
				e.Want += "; most likely at fault: " + b.Fault
			}
			e = e.Hinted("pourplane reduce %s prints the whole book; correct the reading, or go on with %s or a wider %s", unit.Flag("verbose"), unit.Ask("accept-misclosure", ""), unit.Ask("allow", ""))
			if c.list {
				e = e.AlsoHinted("; if the instrument was moved before it, write a row SETUP 2 there")
			}
			errs = append(errs, e)
		}
	}
	return joined(errs)
}

// levelling is a book while it is reduced.
type levelling struct {
	*Book
	o     Options
	style unit.Style
	ids   int

	benchmark map[int]*Benchmark
	known     map[int]float64 // elevations so far
	from      map[int]string  // set-up that gave them; not for benchmarks
	names     map[int]string
	setup     map[string]*Setup
	of        map[string][]int // sights of a set-up
	order     []string         // of set-ups
	used      map[int]bool     // sights that gave a height of instrument
	notes     []Note
}

func (l *levelling) note(k NoteKind, at Pos, format string, args ...any) {
	l.notes = append(l.notes, Notef(k, at, format, args...))
}

// Origin says what the elevations start from: the first benchmark, or a height of
// instrument that was given.
func (b *Book) Origin() (name string, elevation float64) {
	if len(b.Benchmarks) > 0 {
		return b.Benchmarks[0].Name, b.Benchmarks[0].Elevation
	}
	for _, u := range b.Setups {
		if u.given {
			return "height of instrument of set-up " + u.Name, u.HI
		}
	}
	return "", 0
}

// reduceBook works out the elevations of sights: the height of instrument is the
// elevation of the backsight's point plus its reading, an elevation is the height
// of instrument less the reading. Elevations that the sights state, those of
// o.Benchmarks and the heights of instrument in given are known; where there is none
// and no backsight either, the first line of sight is elevation 0 if mayFloat is set.
//
// A set-up with several backsights hangs on their mean; one without hangs on the
// points that were seen from it and from others. Source for the arithmetic: any
// textbook of surveying; see the tests.
func reduceBook(sights []Sight, given map[string]float64, o Options, style unit.Style, mayFloat bool) (*Book, []Note, error) {
	l := &levelling{Book: &Book{Sights: sights, UnitWeight: math.NaN(), Adjust: o.Adjust}, o: o, style: style,
		benchmark: map[int]*Benchmark{}, known: map[int]float64{}, from: map[int]string{}, names: map[int]string{},
		setup: map[string]*Setup{}, of: map[string][]int{}, used: map[int]bool{}}
	l.identify()
	l.benchmarks()
	for name, hi := range given {
		if u := l.setup[name]; u != nil {
			u.HI, u.given = hi, true
		}
	}
	l.kinds()
	if err := l.instruments(mayFloat); err != nil {
		return nil, nil, err
	}
	l.part()
	for _, name := range l.order {
		l.note(Assumed, sights[l.of[name][0]].At, "set-up %s: height of instrument %s", name, l.elevation(l.setup[name].HI))
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

func (l *levelling) elevation(m float64) string { return l.style.Elevation(m) }

// onePlace is how far apart readings of one name may be and still be of one point, m: a
// rod is not put back more exactly. Own choice.
const onePlace = 0.05

// sameReading is how far apart two figures for one height of instrument or benchmark may
// be, m: below what a rod can be read to. Own choice.
const sameReading = 1e-4

// identify gives every point a number. Sights belong to one point if they have
// one name, unless the file places them apart: shots are often counted from 1
// again in the next set-up.
func (l *levelling) identify() {
	byName := map[string][]int{}
	for i := range l.Sights {
		s := &l.Sights[i]
		s.id, s.SD = l.ids, math.NaN()
		if _, seen := l.of[s.Setup]; !seen {
			l.order = append(l.order, s.Setup)
			l.setup[s.Setup] = &Setup{Name: s.Setup, HI: math.NaN()}
		}
		l.of[s.Setup] = append(l.of[s.Setup], i)
		if s.Name != "" {
			key := strings.ToUpper(s.Name)
			for _, j := range byName[key][:min(64, len(byName[key]))] {
				t := &l.Sights[j]
				if d := math.Hypot(s.x-t.x, s.y-t.y); !(d > onePlace) {
					s.id = t.id
					s.tie = s.tie || t.Setup != s.Setup && !math.IsNaN(d)
					break
				}
			}
			byName[key] = append(byName[key], i)
		}
		if s.id == l.ids {
			l.ids++
			l.names[s.id] = s.Name
		}
	}
}

// benchmarks collects the elevations that are given, those of the options before
// those of the file.
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
			z = s.given
		}
		b := l.benchmark[s.id]
		switch {
		case math.IsNaN(z):
		case b == nil:
			l.benchmark[s.id] = &Benchmark{s.Name, z, s.At}
			if !byUser {
				l.note(Assumed, s.At, "benchmark %s taken at %s", s.Name, l.elevation(z))
			}
		case math.Abs(z-b.Elevation) > sameReading && !byUser:
			l.note(Warning, s.At, "benchmark %s at %s here, %s before: the first is used", s.Name, l.elevation(z), l.elevation(b.Elevation))
		}
	}
	for id, b := range l.benchmark {
		l.known[id] = b.Elevation
	}
}

// instruments works out the height of instrument of every set-up, in the order of
// the book, backsights before common points.
func (l *levelling) instruments(mayFloat bool) error {
	backs := false
	for i := range l.Sights {
		backs = backs || l.Sights[i].Kind == Back && !l.Sights[i].plain
	}
	given := false
	for _, name := range l.order {
		if u := l.setup[name]; u.given {
			given = true
			u.depth, u.run = 1, 0
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
			progress = l.hang(name, true) || progress
		}
		for i := 0; i < len(l.order) && !progress; i++ {
			progress = l.hang(l.order[i], false)
		}
		if !progress {
			return l.untied()
		}
	}
}

// hang gives a set-up its height of instrument from its backsights, or from any
// of its points, that are known by now.
func (l *levelling) hang(name string, byBacksight bool) bool {
	u := l.setup[name]
	if !math.IsNaN(u.HI) {
		return false
	}
	var on []int
	for _, i := range l.of[name] {
		s := &l.Sights[i]
		if _, ok := l.known[s.id]; ok && (s.Kind == Back) == byBacksight {
			on = append(on, i)
		}
	}
	if len(on) == 0 {
		return false
	}
	l.establish(name, on)
	return true
}

// establish sets the height of instrument of a set-up to what the sights on say
// in the mean, 0 without any, and makes its points known.
func (l *levelling) establish(name string, on []int) {
	u := l.setup[name]
	tie := Tie{Setup: name}
	u.HI, u.depth, u.run = 0, 1, 0
	for k, i := range on {
		s := &l.Sights[i]
		hi := l.known[s.id] + s.Reading
		l.used[i] = true
		u.HI += (hi - u.HI) / float64(k+1)
		tie.On, tie.Off = append(tie.On, s.Name), append(tie.Off, hi)
		// On a benchmark any sight serves as a backsight.
		if _, mark := l.benchmark[s.id]; s.Kind == Back || mark && !s.shared {
			tie.known = true
		} else {
			tie.Common = true
		}
		if before, ok := l.from[s.id]; ok && l.setup[before].depth >= u.depth {
			u.depth, u.on = l.setup[before].depth+1, before
			u.run = l.setup[before].run
		}
		if k == 0 {
			u.run += s.Distance
		}
	}
	for k := range tie.Off {
		tie.Off[k] -= u.HI
	}
	if len(on) > 1 || tie.Common {
		l.Ties = append(l.Ties, tie)
		l.tell(tie, l.Sights[on[0]].At)
	}
	if most := l.o.Allow.of(2, math.NaN(), l.style.Imperial); len(on) > 1 && tie.Spread() > most {
		for k, i := range on {
			if s := &l.Sights[i]; math.Abs(tie.Off[k]) > most/2 {
				l.Closures = append(l.Closures, Closure{On: s.Name, Setup: name, Known: l.known[s.id], Observed: u.HI - s.Reading, Allowable: most / 2, At: s.At})
			}
		}
	}
	l.reach(u)
}

// reach makes the points known that a set-up has seen. A turning point's elevation
// is that of its foresight.
func (l *levelling) reach(u *Setup) {
	kinds := []SightKind{Fore, Intermediate}
	if u.given {
		kinds = append(kinds, Back)
	}
	for _, kind := range kinds {
		for _, i := range l.of[u.Name] {
			s := &l.Sights[i]
			if _, ok := l.known[s.id]; ok || s.Kind != kind || s.Name == "" {
				continue
			}
			l.known[s.id], l.from[s.id] = u.HI-s.Reading, u.Name
		}
	}
	for _, i := range l.of[u.Name] {
		if s := &l.Sights[i]; s.Kind == Fore {
			u.run += s.Distance
			break
		}
	}
}

func (l *levelling) tell(t Tie, at Pos) {
	how, kind := "backsights on", Assumed
	switch {
	case t.Common && t.known:
		how = "tied by a benchmark and by points seen from other set-ups as well:"
	case t.Common:
		how = "no backsight on a point that is known; tied by points seen from other set-ups as well:"
	}
	if len(t.On) == 1 {
		l.note(Warning, at, "set-up %s: %s %s, one tie, which nothing checks", t.Setup, how, t.On[0])
		return
	}
	if t.Spread() > 2*l.o.Allow.of(1, math.NaN(), l.style.Imperial) {
		kind = Warning
	}
	var each []string
	for i, name := range t.On {
		each = append(each, name+" "+off(l.style, t.Off[i], "high", "low"))
	}
	l.note(kind, at, "set-up %s: %s %s; the mean is used", t.Setup, how, strings.Join(each, ", "))
}

// untied returns the error for the first set-up without a height of instrument,
// nil if there is none.
func (l *levelling) untied() error {
	for _, name := range l.order {
		if !math.IsNaN(l.setup[name].HI) {
			continue
		}
		e := &Error{Pos: l.Sights[l.of[name][0]].At, Element: "set-up " + name}
		var on, named []string
		for _, i := range l.of[name] {
			if s := &l.Sights[i]; s.Kind == Back {
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
			e = e.Hinted("%s with its elevation in place of 100", BenchmarkOption(named[0], l.style.Elevations()))
		default:
			e.Found = fmt.Sprintf("a backsight on %s, which no other set-up has as foresight", strings.Join(on, " and "))
			e.Want = "a turning point that ties it to the others"
			e = e.Hinted("%s with its elevation in place of 100, if it is known", BenchmarkOption(named[0], l.style.Elevations()))
		}
		return e
	}
	return nil
}

// BenchmarkOption is the option that gives a benchmark the elevation 100, to be typed
// with another number.
func BenchmarkOption(name string, u unit.Length) unit.Option {
	return unit.Ask("benchmark", name+"=100"+u.String())
}

// part makes two points of shots that have one name and no place, and come out too
// far apart to be one: shots are often counted from 1 again.
func (l *levelling) part() {
	first := map[int]*Sight{}
	for i := range l.Sights {
		s := &l.Sights[i]
		before, again := first[s.id]
		if s.Name == "" || s.check || l.used[i] {
			continue
		}
		if !again {
			first[s.id] = s
			continue
		}
		d := (l.setup[s.Setup].HI - s.Reading) - (l.setup[before.Setup].HI - before.Reading)
		if before.check || !math.IsNaN(s.x-before.x) || math.Abs(d) <= 10*l.o.Allow.of(2, math.NaN(), l.style.Imperial) {
			continue
		}
		l.note(Warning, s.At, "%s comes out %s here than in line %d: taken for two points of one name; if it is one, a reading is wrong", s.Name, off(l.style, d, "higher", "lower"), before.At.Line)
		s.id = l.ids
		l.ids++
		l.names[s.id], l.known[s.id] = s.Name, l.setup[s.Setup].HI-s.Reading
		l.from[s.id] = s.Setup
	}
}

// elevations gives every sight its elevation. That of a backsight is what its
// point is known at.
func (l *levelling) elevations() {
	first := true
	for i := range l.Sights {
		s := &l.Sights[i]
		if s.Elevation = l.setup[s.Setup].HI - s.Reading; s.Kind == Back {
			if z, ok := l.known[s.id]; ok {
				s.Elevation = z
			}
			if b := l.benchmark[s.id]; b != nil && first {
				l.Benchmarks = append(l.Benchmarks, *b)
				first = false
			}
		}
	}
	var rest []Benchmark
	for _, b := range l.benchmark {
		if first || *b != l.Benchmarks[0] {
			rest = append(rest, *b)
		}
	}
	slices.SortFunc(rest, func(a, b Benchmark) int {
		return cmp.Or(cmp.Compare(a.At.Line, b.At.Line), cmp.Compare(a.Name, b.Name))
	})
	l.Benchmarks = append(l.Benchmarks, rest...)
}
