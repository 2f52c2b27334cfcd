package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/survey/unit"
)

// Adjust is how a misclosure is spread.
type Adjust uint8

const (
	NoAdjustment Adjust = iota
	BySetups            // every set-up of a line takes an equal part
	ByDistance          // in proportion to the length of sights
	LeastSquares        // all sights together
)

func (a Adjust) String() string {
	return [...]string{"none", "by set-ups", "by distance", "by least squares"}[a]
}

// SightKind is the purpose of a rod reading.
type SightKind uint8

const (
	Intermediate SightKind = iota // any point read between the other two
	Back                          // on a point of known elevation: gives the height of instrument
	Fore                          // on a point whose elevation it gives, or on a point to close on
)

func (k SightKind) String() string { return [...]string{"IS", "BS", "FS"}[k] }

// Sight is one rod reading of a level book.
type Sight struct {
	Kind     SightKind
	Setup    string
	Name     string // name of the point; often empty for intermediate sights
	Reading  float64
	Text     string  // the reading as written
	Distance float64 // m from the level to the rod; NaN if not booked
	At       Pos

	Elevation  float64 // m, elevation of the point; adjusted if the book is adjusted
	Correction float64 // m, the adjustment contained in Elevation
	SD         float64 // m, standard deviation of Elevation; NaN without redundancy

	X, Y   float64 // m; NaN without a place
	Stated float64 // m, elevation that the row gives for its point; NaN if none
	Mark   bool    // on a benchmark, turning point or check shot
	Point  int     // number of the point: sights on one point share it
	Tied   bool    // on a floor point already seen from another set-up or in another file
	Shared bool    // Stated comes from another file that has the same point, and the point is no benchmark
	Listed bool    // from a list, which does not give the purpose of a reading
}

// Setup is one position of the level.
type Setup struct {
	Name       string
	HI         float64 // height of instrument, m; adjusted if the book is adjusted
	Correction float64 // m, the adjustment contained in HI

	Given bool   // the file or an option gives HI
	Depth int    // number of set-ups from the benchmark to this one, included
	On    string // the earlier set-up that this one is tied to; empty after a benchmark
	// From has for each point that gave HI the set-up that the point was known from; "" for a
	// benchmark. It is empty where HI is given, or is 0 without a benchmark.
	From []string
	Run  float64 // m, length of sights from the benchmark to the last sight of this set-up; NaN if not booked
}

// Benchmark is a point of known elevation.
type Benchmark struct {
	Name      string
	Elevation float64 // m
	At        Pos
}

// Closure is a point with two elevations: the one known first and one observed later.
type Closure struct {
	On        string
	Setup     string  // set-up of the second elevation
	Known     float64 // m, the first elevation, or the elevation of the benchmark
	Observed  float64 // m
	Allowable float64 // m
	Benchmark bool    // Known is the elevation of a benchmark
	Closing   bool    // made by a foresight that ends a line on a benchmark
	At        Pos

	Whole  bool     // the point is seen from the first set-up and again from the last
	Path   []string // set-ups of the line that a closing sight ends
	Listed bool     // from a list, which may not record that the instrument moved
}

// Misclosure returns observed minus known, m.
func (c Closure) Misclosure() float64 { return c.Observed - c.Known }

// Beyond reports whether the misclosure exceeds its allowance.
func (c Closure) Beyond() bool {
	const rounding = 1e-9 // m; a misclosure equal to the allowance passes
	return math.Abs(c.Misclosure()) > c.Allowable+rounding
}

// Checks are the sums that check the arithmetic of a page: backsights minus foresights
// equals the last elevation minus the first, and so does rise minus fall.
type Checks struct {
	SumBS, SumFS     float64 // m
	SumRise, SumFall float64 // m, both positive
	LastMinusFirst   float64 // m, before any adjustment
	// Line reports whether the book is one line: each set-up begins where the last one
	// ended. Only then must the three differences be equal.
	Line bool
}

// Book is the reduced level book of one or more set-ups.
type Book struct {
	Sights     []Sight // in the order of the file
	Setups     []Setup
	Benchmarks []Benchmark // the first is the origin of the elevations
	Closures   []Closure
	Checks     Checks
	Ties       []Tie
	Adjust     Adjust
	Relative   bool     // no benchmark: elevation 0 is the first line of sight
	Redundancy int      // number of sights beyond those that the elevations need
	UnitWeight float64  // m, standard deviation of unit weight; NaN unless adjusted by least squares with redundancy
	Fault      string   // the most likely cause, if a closure is beyond its allowance
	FaultOn    []string // points of the sights most likely at fault
	Faults     []*Error // figures of the book that its sights contradict
	FeetInches bool     // readings are in feet and inches
	RiseFall   bool     // the book has columns of rise and fall
}

// Contradiction is the cause of a refused figure of a book: its sights give another.
type Contradiction struct{ Sights string }

func (c Contradiction) Error() string { return c.Sights + ", which the sights give" }

// Tie compares the heights of instrument that common points give a set-up.
type Tie struct {
	Setup  string
	On     []string  // names of the points
	Off    []float64 // m, height of instrument from each point minus their mean
	Common bool      // by points seen from both set-ups, without a backsight
	Known  bool      // by a backsight, or a reading on a benchmark
}

// Spread returns max minus min of Off, m.
func (t Tie) Spread() float64 { return slices.Max(t.Off) - slices.Min(t.Off) }

// Main returns the closure that decides: among closing sights on benchmarks, the one
// that uses the largest part of its allowance. In a book without benchmark it is a point
// of the first set-up that the last one sees again. It is nil when nothing closes.
func (b *Book) Main() *Closure {
	var worst *Closure
	for i := range b.Closures {
		c := &b.Closures[i]
		if (c.Closing || b.Relative && c.Whole) && (worst == nil || math.Abs(c.Misclosure())*worst.Allowable > math.Abs(worst.Misclosure())*c.Allowable) {
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

// Err returns why the elevations of b must not be used: figures of the book that its
// sights contradict, and closures beyond their allowance unless accept is set. It is nil
// for a sound book.
func (b *Book) Err(accept bool) error {
	var errs []error
	for _, e := range b.Faults {
		errs = append(errs, e)
	}
	if !accept {
		beyond := b.Beyond()
		for i, c := range beyond {
			want := unit.Textf("no more than %s", unit.Off{Metres: c.Allowable})
			e := &Error{Pos: c.At, Element: "level book", Marks: []string{c.On}}
			if b.Fault != "" && i == len(beyond)-1 {
				want = unit.Textf("%s; most likely at fault: %s", want, b.Fault)
				e.Marks = append(e.Marks, b.FaultOn...)
			}
			e = e.Measured(unit.Textf("%s from set-up %s at %s, %s than it is known at", c.On, c.Setup, unit.Elevation(c.Observed), unit.Off{Metres: c.Misclosure(), Up: "higher", Down: "lower"}), want, unit.Text{})
			e = e.Hinted("pourplane reduce %s prints the whole book; correct the reading, or go on with %s or a wider %s", unit.Flag("verbose"), unit.Ask("accept-misclosure", ""), unit.Ask("allow", ""))
			if c.Listed {
				e = e.AlsoHinted("; if the instrument was moved before it, write a row SETUP 2 there")
			}
			errs = append(errs, e)
		}
	}
	return JoinErrors(errs)
}

// Origin returns the name and elevation, m, that the elevations start from: the first
// benchmark, or a given height of instrument.
func (b *Book) Origin() (name string, elevation float64) {
	if len(b.Benchmarks) > 0 {
		return b.Benchmarks[0].Name, b.Benchmarks[0].Elevation
	}
	for _, u := range b.Setups {
		if u.Given {
			return "height of instrument of set-up " + u.Name, u.HI
		}
	}
	return "", 0
}

// Unreferenced says where the heights of a level book start that has no benchmark, in place
// of the height 0 of its first instrument.
const Unreferenced = "no benchmark given: heights are measured down from the line of sight"

// InstrumentText is the height of instrument of set-up i, written by level. Without a
// benchmark it is only known against the first instrument, and must not read as a height
// above the floor.
func (b *Book) InstrumentText(i int, level func(m float64) string) unit.Text {
	switch hi := b.Setups[i].HI; {
	case b.Relative && i == 0:
		return unit.Textf("%s", Unreferenced)
	case b.Relative:
		return InstrumentAgainst(b.Setups[0].Name, hi)
	default:
		return unit.Textf("height of instrument %s", level(hi))
	}
}

// InstrumentAgainst says how much higher an instrument is than the one of set-up first, whose
// line of sight is 0.
func InstrumentAgainst(first string, hi float64) unit.Text {
	if math.Abs(hi) < 1e-5 {
		return unit.Textf("line of sight as high as from set-up %s", first)
	}
	return unit.Textf("line of sight %s than from set-up %s", unit.Off{Metres: hi, Up: "higher", Down: "lower"}, first)
}

// NoBenchmark is the cause where no benchmark of a level book has a known elevation. None
// of the given names is in the book.
type NoBenchmark struct {
	Marks []string // names that could have been given
}

func (n *NoBenchmark) Error() string { return "no benchmark of the level book has a known elevation" }

// BenchmarkOption returns the option that sets a benchmark to elevation 100, as an
// example for the user to edit: in feet beside readings in inches, in metres beside
// millimetres.
func BenchmarkOption(name string, u unit.Length) unit.Option {
	switch {
	case u.Imperial() && !u.IsFoot():
		u = unit.Foot
	case !u.Imperial():
		u = unit.Metre
	}
	return unit.Ask("benchmark", name+"=100"+u.String())
}

// Unplaced returns the error for a level book without plan positions. The error lists
// the elevations of the book, since they are its only use. It is nil where everything
// has a place.
func (s *Survey) Unplaced() error {
	if len(s.Levels) == 0 {
		return nil
	}
	style := unit.StyleOf(s.Plan, s.Unit)
	var levels []string
	n := 0
	seen := map[string]bool{}
	for _, b := range s.Book.Benchmarks[:min(1, len(s.Book.Benchmarks))] {
		seen[strings.ToUpper(b.Name)] = true
	}
	for _, p := range s.Levels {
		if seen[strings.ToUpper(p.Name())] {
			continue
		}
		seen[strings.ToUpper(p.Name())] = true
		if n++; n <= 8 {
			levels = append(levels, fmt.Sprintf("%s %s", p.Name(), style.Elevation(p.Z)))
		}
	}
	if n > 8 {
		levels = append(levels, "…")
	}
	closure := "it does not close on a benchmark"
	if c := s.Book.Main(); c != nil {
		closure = fmt.Sprintf("it closes on %s, %s", c.On, unit.Difference(style, c.Misclosure(), "high", "low"))
	}
	return (&Error{Pos: Pos{File: s.Name, Line: s.Levels[0].At().Line}, Found: fmt.Sprintf("a level book of %d levels (%s; %s)", n, strings.Join(levels, ", "), closure),
		Want: "plan positions beside the levels: columns headed such as x and y, or a second file of names, x and y",
	}).Hinted("pourplane reduce %s prints the whole book", unit.Flag("verbose"))
}
