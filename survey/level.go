package survey

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"pourplane/survey/unit"
)

// Setup is the level in one place.
type Setup struct {
	Name string
	HI   float64 // height of instrument, m
}

// Book is what the rod readings of one or more set-ups came to.
type Book struct {
	Setups     []Setup
	Benchmark  string  // the one the elevations hang on
	Elevation  float64 // of Benchmark, m
	SumBS      float64 // m
	SumFS      float64 // m
	Misclosure float64 // m, observed less known, on the closing sight; NaN when the book does not close
	Closing    string  // benchmark of the closing sight
}

// sightKind says what a reading is for.
type sightKind uint8

const (
	intermediate sightKind = iota
	back
	fore
)

var sightWords = map[string]sightKind{
	"bs": back, "b": back, "backsight": back, "back": back, "+": back,
	"fs": fore, "f": fore, "foresight": fore, "fore": fore,
	"is": intermediate, "i": intermediate, "int": intermediate, "intermediate": intermediate, "ss": intermediate, "chk": intermediate, "": intermediate,
}

// sight is one rod reading of a level book.
type sight struct {
	kind    sightKind
	setup   string
	name    string
	reading float64 // m
	given   float64 // elevation of the point that the row states, m; NaN if none
	role    Role
	pt      int // in textReader.pts
	at      Pos
}

// booked is a figure that a level book has worked out itself.
type booked struct {
	column *column
	value  float64 // m
	text   string
	at     Pos
	pt     int // its elevation is meant
	setup  string
	isHI   bool // of setup
	step   bool // rise or fall from the sight before
}

// statedElevation finds the elevation of a benchmark in a note.
var statedElevation = regexp.MustCompile(`(?i)\b(?:assumed|taken as|elevation|elev|el|rl)\b[\s:=.]*(?:as )?([-+−]?\d+(?:[.,]\d+)?(?:\s*(?:m|mm|cm|ft|feet)\b|')?)`)

// bookRow reads a row that is one sight and reports whether it is one.
func (f *textReader) bookRow(r *row, p *Point, as Role) bool {
	word := strings.ToLower(strings.Trim(r.Sight.text, " ."))
	kind, ok := sightWords[word]
	if !ok {
		c := f.of[isSight]
		f.fail(&Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(r.Sight.text), Want: "BS, IS or FS"})
		return false
	}
	errs := len(f.errs)
	v, ok := f.length(f.up, &r.Rod)
	if len(f.errs) > errs {
		return false
	}
	if !ok {
		return f.noHeight(p, as, "no rod reading", r.Rod.text)
	}
	s := sight{kind: kind, name: p.Name, reading: v, given: math.NaN(), role: as, pt: len(f.pts), at: p.At}
	if s.setup = strings.TrimSpace(r.Setup.text); s.setup == "" {
		s.setup = f.setupOf(kind)
	}
	if c := f.of[isZ]; c != nil {
		if z, ok := f.length(c, &r.Z); ok {
			s.given = z
		}
	}
	if math.IsNaN(s.given) && (kind == back || as == Control) {
		if m := statedElevation.FindStringSubmatch(r.Remark.text); m != nil {
			u := f.up.unit
			if z, err := f.num.length(&column{unit: u}, m[1]); err == nil {
				s.given = z
			}
		}
	}
	if len(f.errs) > errs {
		return false
	}
	f.sights = append(f.sights, s)
	return true
}

// setupOf names the set-up of a sight where the book does not: a backsight
// after anything else begins the next.
func (f *textReader) setupOf(kind sightKind) string {
	n := len(f.sights)
	if n == 0 {
		return "1"
	}
	last := f.sights[n-1]
	if kind != back || last.kind == back {
		return last.setup
	}
	i, err := strconv.Atoi(last.setup)
	if err != nil {
		return last.setup
	}
	return strconv.Itoa(i + 1)
}

// wideRow reads a row of a book with columns BS, IS and FS and reports whether
// it holds a sight.
func (f *textReader) wideRow(r *row, p *Point, as Role) bool {
	errs := len(f.errs)
	read := func(of role, c *cell) (float64, bool) {
		if f.of[of] == nil {
			return 0, false
		}
		return f.length(f.of[of], c)
	}
	bs, okB := read(isBS, &r.BS)
	is, okI := read(isIS, &r.IS)
	fs, okF := read(isFS, &r.FS)
	rl, okRL := read(isZ, &r.Z)
	hi, okHI := read(isHI, &r.HI)
	rise, okRise := read(isRise, &r.Rise)
	fall, okFall := read(isFall, &r.Fall)
	if len(f.errs) > errs {
		return false
	}
	setup := "1"
	if n := len(f.sights); n > 0 {
		setup = f.sights[n-1].setup
	}
	s := sight{name: p.Name, given: math.NaN(), role: as, pt: len(f.pts), at: p.At}
	add := func(kind sightKind, reading float64) {
		s.kind, s.setup, s.reading = kind, setup, reading
		f.sights = append(f.sights, s)
	}
	switch {
	case okI && (okB || okF):
		f.fail(&Error{Pos: p.At, Found: "an intermediate sight beside another", Want: "one of the two; a turning point has a foresight and a backsight"})
		return false
	case !okI && !okB && !okF:
		return f.noHeight(p, as, "no sight", "")
	case !okB && len(f.sights) == 0:
		f.fail(&Error{Pos: p.At, Found: "a sight before any backsight", Want: "a backsight on a benchmark first"})
		return false
	case !okB && f.sights[len(f.sights)-1].kind == fore:
		f.fail(&Error{Pos: p.At, Found: "a sight after the last foresight of a set-up", Want: "a backsight from the next set-up first"})
		return false
	case okB && !okF && len(f.sights) > 0 && f.sights[len(f.sights)-1].kind != fore:
		f.fail(&Error{Pos: p.At, Found: "a backsight from a new set-up without a foresight from the last", Want: "a turning point with both"})
		return false
	}
	if okI {
		add(intermediate, is)
	}
	if okF {
		add(fore, fs)
	}
	if okB {
		if !okF && okRL {
			s.given = rl
		}
		if n := len(f.sights); n > 0 {
			i, _ := strconv.Atoi(setup) // written by us
			setup = strconv.Itoa(i + 1)
		}
		add(back, bs)
	}
	book := func(of role, c *cell, b booked) {
		b.column, b.text, b.at = f.of[of], strings.TrimSpace(c.text), f.cellPos(f.of[of])
		b.pt, b.setup = len(f.pts), setup
		f.booked = append(f.booked, b)
	}
	if okRL {
		book(isZ, &r.Z, booked{value: rl})
	}
	if okHI && okB {
		book(isHI, &r.HI, booked{value: hi, isHI: true})
	}
	if okRise && rise != 0 {
		book(isRise, &r.Rise, booked{value: rise, step: true})
	}
	if okFall && fall != 0 {
		book(isFall, &r.Fall, booked{value: -fall, step: true})
	}
	return true
}

// reduce works out the elevations of a level book: HI is benchmark plus
// backsight, elevation is HI less reading. Nothing is adjusted.
func (f *textReader) reduce() error {
	given := map[string]float64{} // benchmarks
	asked := map[string]bool{}    // those of the options, which overrule the file
	for name, z := range f.o.Benchmarks {
		given[strings.ToUpper(name)], asked[strings.ToUpper(name)] = z, true
	}
	key := func(s sight) string { return strings.ToUpper(s.name) }
	for _, s := range f.sights {
		z, have := given[key(s)]
		switch {
		case math.IsNaN(s.given) || s.name == "":
		case !have:
			given[key(s)] = s.given
			f.note(Assumed, s.at, "benchmark %s taken at %s", s.name, f.show(s.given))
		case math.Abs(z-s.given) > 1e-4 && !asked[key(s)]:
			f.note(Warning, s.at, "benchmark %s at %s here, %s before: the first is used", s.name, f.show(s.given), f.show(z))
		}
	}
	known := map[string]float64{}
	for k, z := range given {
		known[k] = z
	}

	b := &Book{Misclosure: math.NaN(), Elevation: math.NaN()}
	bySetup := map[string][]sight{}
	var order []string
	for _, s := range f.sights {
		if bySetup[s.setup] == nil {
			order = append(order, s.setup)
		}
		bySetup[s.setup] = append(bySetup[s.setup], s)
	}
	hi := map[string]float64{}
	for progress := true; progress; {
		progress = false
		for _, setup := range order {
			if _, done := hi[setup]; done {
				continue
			}
			for _, s := range bySetup[setup] {
				z, ok := known[key(s)]
				if s.kind != back || !ok {
					continue
				}
				if _, second := hi[setup]; second {
					if d := z + s.reading - hi[setup]; math.Abs(d) > 1e-4 {
						f.note(Warning, s.at, "set-up %s: the backsight on %s gives a height of instrument %s", setup, s.name, f.off(d, "higher", "lower")+" than the first")
					}
					continue
				}
				hi[setup] = z + s.reading
				progress = true
				if b.Benchmark == "" {
					b.Benchmark, b.Elevation = s.name, z
				}
			}
			if _, ok := hi[setup]; !ok {
				continue
			}
			for _, s := range bySetup[setup] {
				if _, ok := known[key(s)]; s.kind == fore && !ok && s.name != "" {
					known[key(s)] = hi[setup] - s.reading
				}
			}
		}
	}
	if err := f.untied(order, bySetup, hi, len(given) > 0); err != nil {
		return err
	}
	for _, setup := range order {
		b.Setups = append(b.Setups, Setup{setup, hi[setup]})
		f.note(Assumed, bySetup[setup][0].at, "set-up %s: height of instrument %s", setup, f.show(hi[setup]))
	}

	seen := map[string]sight{}
	for _, s := range f.sights {
		z := hi[s.setup] - s.reading
		ref, isGiven := given[key(s)]
		switch s.kind {
		case back:
			b.SumBS += s.reading
			if math.IsNaN(f.pts[s.pt].Z) {
				f.pts[s.pt].Z = known[key(s)]
			}
			if _, ok := seen[key(s)]; !ok {
				seen[key(s)] = s
			}
			continue
		case fore:
			b.SumFS += s.reading
		}
		f.pts[s.pt].Z = z
		if s.kind == fore && isGiven {
			b.Misclosure, b.Closing = z-ref, s.name
			kind := Warning
			if math.Abs(b.Misclosure) < 1e-5 {
				kind = Assumed
			}
			f.note(kind, s.at, "closing sight on %s: observed %s, known %s, %s; nothing is spread over the readings", s.name, f.show(z), f.show(ref), f.off(b.Misclosure, "high", "low"))
			continue
		}
		if s.role != Control || s.name == "" {
			continue
		}
		before, again := seen[key(s)]
		switch {
		case isGiven && again:
			f.compare(s, z, ref, "its known elevation")
		case again:
			f.compare(s, z, f.pts[before.pt].Z, "from set-up "+before.setup)
		}
		if !again {
			seen[key(s)] = s
		}
	}
	f.s.Book = b
	return f.audit(hi)
}

// compare tells how a point that is seen again comes out against ref.
func (f *textReader) compare(s sight, z, ref float64, than string) {
	if d := z - ref; math.Abs(d) < 1e-5 {
		f.note(Assumed, s.at, "%s seen again from set-up %s: no change", s.name, s.setup)
	} else {
		f.note(Warning, s.at, "%s seen again from set-up %s: %s than %s", s.name, s.setup, f.off(d, "higher", "lower"), than)
	}
}

// off writes a small difference in words: `1/16" low`.
func (f *textReader) off(d float64, up, down string) string {
	if math.Abs(d) < 1e-5 {
		return "no difference"
	}
	s := unit.Style{Imperial: f.s.Unit.Imperial(), Denominator: 32}
	word := up
	if d < 0 {
		word = down
	}
	size := s.Depth(math.Abs(d))
	if !s.Imperial {
		size = strconv.FormatFloat(math.Round(math.Abs(d)*1e4)/10, 'f', -1, 64) + " mm"
	}
	if strings.HasPrefix(size, "0") && s.Imperial {
		size = `less than 1/32"`
	}
	return size + " " + word
}

// untied returns an error for each set-up without a height of instrument.
func (f *textReader) untied(order []string, bySetup map[string][]sight, hi map[string]float64, anyGiven bool) error {
	for _, setup := range order {
		if _, ok := hi[setup]; ok {
			continue
		}
		list := bySetup[setup]
		e := &Error{Pos: list[0].at, Element: "set-up " + setup}
		var on []string
		for _, s := range list {
			if s.kind == back {
				on = append(on, s.name)
			}
		}
		switch {
		case len(on) == 0:
			e.Found, e.Want = "no backsight", "a backsight on a benchmark or turning point"
		case !anyGiven:
			e.Found, e.Want = "no benchmark with a known elevation", fmt.Sprintf("the elevation of %s", on[0])
			e.Hint = fmt.Sprintf("--benchmark %s=ELEV, such as --benchmark %s=100.00", on[0], on[0])
		default:
			e.Found = fmt.Sprintf("a backsight on %s, which no other set-up has as foresight", strings.Join(on, " and "))
			e.Want = "a turning point that ties it to the others"
			e.Hint = fmt.Sprintf("--benchmark %s=ELEV if its elevation is known", on[0])
		}
		return e
	}
	return nil
}

// audit compares what the book has worked out itself with what the sights give.
func (f *textReader) audit(hi map[string]float64) error {
	const same = 0.00051 // m; books are kept to the millimetre
	var errs []error
	for _, b := range f.booked {
		want := 0.0
		switch {
		case b.isHI:
			want = hi[b.setup]
		case b.step && b.pt == 0:
			continue
		case b.step:
			want = f.pts[b.pt].Z - f.pts[b.pt-1].Z
			if b.value < 0 {
				want, b.value = -want, -b.value
			}
		default:
			want = f.pts[b.pt].Z
		}
		if math.Abs(want-b.value) <= same || len(errs) >= mostErrors {
			continue
		}
		u := b.column.unit.Metres()
		errs = append(errs, &Error{Pos: b.at, Element: b.column.String(), Found: strconv.Quote(b.text),
			Want: strconv.FormatFloat(want/u, 'f', 3, 64) + ", which the sights give"})
	}
	return joined(errs)
}
