package survey

import (
	"cmp"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"pourplane/survey/unit"
)

// Label names a point at the start of a note.
func Label(p Point) string {
	if p.Name == "" {
		return ""
	}
	return Abridged(p.Name) + ": "
}

// Zeros is what heights of exactly 0 mean in a file.
type Zeros uint8

const (
	ZerosByOthers Zeros = iota // measured where others are near 0, left out where few are far from all others, else refused
	ZerosMeasured              // all were measured
	ZerosMissing               // none was
)

// MaxSize is how many bytes an input may have where the options set no other
// limit: a list of seven million shots, or a LandXML surface of two million
// points. What is larger is more likely a pipe that never ends than a floor.
const MaxSize = 256_000_000

// Limit is how many bytes an input may have.
func (o Options) Limit() int64 { return cmp.Or(o.MaxSize, MaxSize) }

// Point is one shot: x east, y north, z up, in metres. Z is NaN when the file
// gives a place without an elevation, as most outlines do.
type Point struct {
	X, Y, Z float64
	Name    string // as written: 007 and 7 are two names; empty in scans
	Code    string // as written
	Remark  string // as written in a column headed as remarks
	Part    string // the region, ring or line it belongs to; often empty
	At      Pos
}

// HasZ reports whether the point has an elevation.
func (p Point) HasZ() bool { return !math.IsNaN(p.Z) }

// Role says what a point code means for the floor.
type Role uint8

const (
	Floor    Role = iota // a shot on the floor to be filled
	Outline              // a corner of the outer edge
	Void                 // a corner of an opening or obstruction that is not poured
	Break                // a vertex of a breakline
	Finished             // adjoining finished floor: a threshold or sill to be met
	Control              // benchmark, turning point or check shot: no part of the floor
)

// RingKind says which side of a ring is floor.
type RingKind uint8

const (
	Outer RingKind = iota
	Hole
)

// Ring is a closed line as read; the last corner joins the first and is not
// repeated. Direction is free. Whether it crosses itself is judged in package
// surface.
type Ring struct {
	Name   string
	Kind   RingKind
	Points []Point
	Walls  []string // names of the walls, each from the corner of its index to the next, "" for none; nil: none has one
	At     Pos
}

// Breakline is a line that the surface must keep as edges. With elevations it
// is a crease (joint, channel, edge of a ramp). Without, it is a step: where it
// divides the floor, each side keeps its own elevations.
type Breakline struct {
	Name   string
	Points []Point
	At     Pos
}

// Surface is one surface as a file held it: with faces (Vertices and Faces),
// with the data it was made from, or both.
type Surface struct {
	Name     string
	At       Pos
	Vertices []Point
	Faces    [][3]int32 // indices into Vertices, either direction, visible faces only
	FaceLine []int32    // line of each face in the file At names; nil or as long as Faces

	Points     []Point // source data
	Rings      []Ring
	Breaklines []Breakline

	Declared Declared
}

// Declared is what a file states of its own surface, SI; NaN where it does not.
type Declared struct {
	Area2D, Area3D, ElevMin, ElevMax float64
}

// Survey is what one file held.
type Survey struct {
	Name       string      // file name, for messages
	Format     string      // "delimited text", "LandXML 1.2"
	Encoding   string      // "UTF-8", "Windows-1252", …
	Delimiter  string      // ",", ";", "tab", "|", "blanks", "cells" of a workbook; empty for XML
	Order      string      // how the columns were understood, such as "P N E Z D"
	Headed     bool        // columns are named by a header, not by Options.Order
	Unit       unit.Length // of the elevations as the file writes them: how a user thinks of them
	Plan       unit.Length // of x and y
	PlanStated bool        // text that states the unit of x and y itself; of other formats it is false
	Relative   bool        // elevations are readings turned upside down: no height of instrument was known
	Points     []Point
	Levels     []Point // elevations without a place, X and Y NaN: a level book without plan columns
	Places     []Point // places without an elevation, Z NaN: a list of names, x and y
	Finished   []Point
	Heights    []Point // elevations without a place beside others that have one, X and Y NaN: left out, unless the target is taken from them
	Control    []Point
	Rings      []Ring
	Breaklines []Breakline
	Outlines   []Ring // closed lines that the file names and does not call the floor: rooms, parcels
	Surfaces   []Surface
	Runs       []Run     // readings at a fixed step along lines
	Sheets     []Sheet   // grid sheets
	Readings   []Reading // of the floor points of a text file, in file order; nil where there are more than mostReadings
	Book       *Book     // set when rod readings were reduced from set-ups
	Rows       int       // data rows or points seen, used or not
	Notes      []Note

	Files []Source // of a survey from several files, each; nil for one

	MixedUnits bool // cells of one column state several units
	Served     Served

	LevelRoles []Role // of Levels
}

// Sheet is a grid sheet.
type Sheet struct {
	Name, File string     // the text in its corner, often empty
	Origin     [2]float64 // where its A1 lies, m
}

// Names returns what the sheet may be called by, in upper case: its file with and
// without the ending, and the text in its corner.
func (s Sheet) Names() []string {
	base := strings.ToUpper(filepath.Base(s.File))
	names := []string{base, strings.TrimSuffix(base, strings.ToUpper(filepath.Ext(s.File)))}
	if s.Name != "" {
		names = append(names, strings.ToUpper(s.Name))
	}
	return names
}

// Served says which options found something in the files that they are for; an option
// that did not has changed nothing.
type Served struct {
	Order bool     // no header, or one that says only x and y
	Rods  bool     // readings from an instrument
	Drops bool     // depths from the target: elevation 0 is the target
	Grid  bool     // a grid sheet, or places from names such as A1
	Sheet bool     // a workbook
	Left  []string // sheets of the workbooks that are not read
	Edge  bool     // a workbook with the outline
	Codes []string
	Marks []string // benchmarks read beside a grid sheet, or in a list that gives them no place

	Stated []Benchmark // whose elevation a row gives, outside level books
}

// Add takes over what served in another file.
func (s *Served) Add(t Served) {
	s.Order, s.Rods, s.Grid = s.Order || t.Order, s.Rods || t.Rods, s.Grid || t.Grid
	s.Sheet, s.Drops = s.Sheet || t.Sheet, s.Drops || t.Drops
	s.Left = append(s.Left, t.Left...)
	s.Codes = append(s.Codes, t.Codes...)
	s.Marks = append(s.Marks, t.Marks...)
	s.Stated = append(s.Stated, t.Stated...)
}

// Stated lists the benchmarks whose elevation a row of a file gives, each as its first row
// has it.
func (s *Survey) Stated() []Benchmark {
	all := slices.Clone(s.Served.Stated)
	if s.Book != nil {
		for _, t := range s.Book.Sights {
			if t.Mark {
				all = append(all, Benchmark{t.Name, t.Stated, t.At})
			}
		}
	}
	var out []Benchmark
	seen := map[string]bool{"": true}
	for _, b := range all {
		if key := strings.ToUpper(b.Name); !seen[key] && !math.IsNaN(b.Elevation) {
			seen[key] = true
			out = append(out, b)
		}
	}
	return out
}

// Marks lists each point once whose elevation [Options].Benchmarks can give, in file
// order: benchmarks, turning points and checks, then, where others is set, the shots of
// a level book that have a name.
func (s *Survey) Marks(others bool) []string {
	var out []string
	seen := map[string]bool{"": true}
	add := func(name string) {
		if key := strings.ToUpper(name); !seen[key] {
			seen[key] = true
			out = append(out, name)
		}
	}
	for _, name := range s.Served.Marks {
		add(name)
	}
	if s.Book == nil {
		return out
	}
	for _, check := range []bool{true, false} {
		for _, t := range s.Book.Sights {
			if t.Mark == check && (check || others) {
				add(t.Name)
			}
		}
	}
	return out
}

// Source is one of several files.
type Source struct {
	Name, Format, Order string
	Rows                int
	Plan, Unit          unit.Length // of x and y, and of heights
}

// LeftOut returns the notes of what was not used, in file order.
func (s *Survey) LeftOut() []Note {
	var out []Note
	for _, n := range s.Notes {
		if n.Kind == LeftOut {
			out = append(out, n)
		}
	}
	return out
}

// Measure says what a reading measures.
type Measure uint8

const (
	Elevation Measure = iota // of the floor, upward
	Rod                      // from the line of sight down: the larger, the lower the floor
	Deviation                // floor less target
	Drop                     // target less floor
)

// Reading is one height as it stands in a file, before anything was made of it.
// The point made of it is read at the same place.
type Reading struct {
	Name       string
	Text       string  // as written, trimmed, without signs between thousands
	Value      float64 // m, as the text says: no height of instrument, no sign turned
	Measure    Measure
	Unit       unit.Length // of a bare number in its column
	FeetInches bool        // its column is one of feet and inches
	Setup      string      // empty where the file has none
	At         Pos
}

// Options says how files are written where they do not say it themselves. The
// zero value asks the file for everything.
type Options struct {
	Unit          unit.Length // for lengths without a unit; None: an error if the file has such
	Order         string      // order of columns without header: "PNEZD", "PENZD", "XYZ", "NEZ", "ENZ" …
	Instrument    float64     // height of instrument, m, for rod readings; see HasInstrument
	HasInstrument bool
	Benchmarks    map[string]float64 // elevation by point name, m, for level books
	Adjust        Adjust             // how the misclosure of a level book is spread
	Allow         Allowance          // what a level book may close by
	Grid          Grid               // where the crossings of a grid lie
	// InUnit gets the units of plan and heights of a text file before its rows are read
	// (None where it states none), to set lengths of the options that depend on them;
	// may be nil.
	InUnit      func(plan, up unit.Length, o *Options) error
	Step        float64                 // m between the readings of runs, where the file does not say; 0: unknown
	Zeros       Zeros                   // what heights of exactly 0 are
	Codes       map[string]Role         // over and above [DefaultCodes]
	Thin        Thin                    // scans: one point for each square of a grid
	Progress    func(done, total int64) // called now and then; may be nil
	Stop        func() error            // asked now and then: its error ends the reading; may be nil
	Sheet       string                  // of a workbook; empty: the only one with shots
	SheetOption string                  // that names it, in hints; empty: sheet
	MaxSize     int64                   // bytes that an input may have; 0: [MaxSize]
	// Open opens an input by the name it is given under; nil: [os.Open], and
	// standard input for the name -.
	Open func(name string) (io.ReadCloser, error)
}
