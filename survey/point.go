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

// Label returns the name of a point for the start of a note.
func Label(p Point) string { return p.Tag().Label() }

// Zeros is the meaning of heights of exactly 0 in a file.
type Zeros uint8

const (
	ZerosByOthers Zeros = iota // measured if other heights are near 0, left out if few are 0 and all others are far from it, else refused
	ZerosMeasured              // all were measured
	ZerosMissing               // none was measured
)

// MaxSize is the max size of an input in bytes unless the options set another: a list of
// seven million shots, or a LandXML surface of two million points. Anything larger is
// more likely an endless pipe than a floor.
const MaxSize = 256_000_000

// Limit returns the max size of an input in bytes.
func (o Options) Limit() int64 { return cmp.Or(o.MaxSize, MaxSize) }

// Point is one shot: x east, y north, z up, in metres. Z is NaN when the file gives a
// place without an elevation, as most outlines do. Its [Tag] is kept apart, see [Point.With],
// since millions of points are held at once. A copy is == to its point; to compare others
// there is [Point.Equal].
type Point struct {
	X, Y, Z   float64
	line, col uint32
	tag       *tag // nil if there is none
}

// HasZ reports whether the point has an elevation.
func (p Point) HasZ() bool { return !math.IsNaN(p.Z) }

// Role is what a point is, for the floor.
type Role uint8

const (
	Floor    Role = iota // a shot on the floor to be filled
	Outline              // a corner of the outer edge
	Void                 // a corner of an opening or obstruction that is not poured
	Break                // a vertex of a breakline
	Finished             // adjoining finished floor: a threshold or sill to be met
	Control              // benchmark, turning point or check shot: not part of the floor
)

// RingKind is which side of a ring is floor.
type RingKind uint8

const (
	Outer RingKind = iota
	Hole
)

// Ring is a closed line as read. The last corner joins the first and is not repeated. It
// may run in either direction. Package surface checks whether it crosses itself.
type Ring struct {
	Name   string
	Kind   RingKind
	Points []Point
	Walls  []string // names of the walls, each from the corner of its index to the next; "" is no name, nil is no names at all
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

// Surface is one surface of a file: with faces (Vertices and Faces), with its source
// data, or with both.
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

// Declared holds the figures that a file states about its own surface, SI; NaN if not
// stated.
type Declared struct {
	Area2D, Area3D, ElevMin, ElevMax float64
}

// Survey is the content of one file, or of several joined.
type Survey struct {
	Name           string      // file name, for messages
	Format         string      // "delimited text", "LandXML 1.2", for people
	Sheet          string      // the sheet that was read of a workbook
	Encoding       string      // "UTF-8", "Windows-1252", …
	Delimiter      string      // ",", ";", "tab", "|", "blanks", "cells" of a workbook; empty for XML
	Order          string      // how the columns were read, such as "P N E Z D", for people
	RodColumn      bool        // a column has rod readings
	Headed         bool        // a header names the columns, not Options.Order
	Unit           unit.Length // unit of the elevations in the file; results use it by default
	Plan           unit.Length // of x and y
	PlanStated     bool        // a text file states the unit of x and y itself; false for other formats
	PlanFeetInches bool        // x and y are in feet and inches
	Relative       bool        // elevations are negated rod readings: no height of instrument is known
	Points         []Point
	Levels         []Point // elevations without a place, X and Y NaN: from a level book without plan columns
	Places         []Point // places without an elevation, Z NaN: a list of names, x and y
	Finished       []Point
	Heights        []Point // elevations without a place in a file where others have one, X and Y NaN: left out, unless the target is taken from them
	Control        []Point
	Rings          []Ring
	Breaklines     []Breakline
	Outlines       []Ring // closed lines that the file names but does not call the floor: rooms, parcels
	Surfaces       []Surface
	Runs           []Run     // readings at a fixed step along lines
	Sheets         []Sheet   // grid sheets
	Readings       []Reading // of the floor points of a text file, in file order; nil where there are more than mostReadings
	Book           *Book     // set if rod readings were reduced from set-ups
	Rows           int       // data rows or points read, used or not
	GridCells      bool      // the rows are the cells of a grid sheet
	MarkRows       int       // of them benchmarks and turning points without a place, used in the level book only
	Notes          []Note

	Cells Cells // if the options keep them; nil if nothing was thinned

	Files []Source // each file of a survey from several files; nil for one

	MixedUnits bool // cells of one column state several units
	Served     Served

	LevelRoles []Role // role of each of Levels

	Remarks map[Pos]string // texts of a column of remarks that are not in the tags of their points, by row; nil without any
}

// RemarkOn returns what the file remarks on p, empty for nothing. s may be nil.
func (s *Survey) RemarkOn(p Point) string {
	if s == nil {
		return p.Remark()
	}
	at := p.At()
	at.Col = 0
	return cmp.Or(s.Remarks[at], p.Remark())
}

// Sheet is a grid sheet.
type Sheet struct {
	Name, File string     // text in the corner, often empty; name of the file
	Origin     [2]float64 // x, y of A1, m
}

// Names returns the names by which the sheet can be chosen, in upper case: its file with
// and without the ending, and the text in its corner.
func (s Sheet) Names() []string {
	base := strings.ToUpper(filepath.Base(s.File))
	names := []string{base, strings.TrimSuffix(base, strings.ToUpper(filepath.Ext(s.File)))}
	if s.Name != "" {
		names = append(names, strings.ToUpper(s.Name))
	}
	return names
}

// Served reports which options apply to the files. An option that does not apply has
// changed nothing.
type Served struct {
	Order bool     // there is no header, or one that names only x and y
	Rods  bool     // rod readings
	Drops bool     // depths from the target: elevation 0 is the target
	Grid  bool     // a grid sheet, or places from names such as A1
	Sheet bool     // a workbook
	Left  []string // sheets of workbooks that are not read
	Edge  bool     // a workbook holds the outline
	Codes []string
	Marks []string // benchmarks beside a grid sheet, or in a list that gives them no place

	Stated []Benchmark // benchmarks whose elevation a row gives, outside level books
}

// Add adds what applied to another file.
func (s *Served) Add(t Served) {
	s.Order, s.Rods, s.Grid = s.Order || t.Order, s.Rods || t.Rods, s.Grid || t.Grid
	s.Sheet, s.Drops = s.Sheet || t.Sheet, s.Drops || t.Drops
	s.Left = append(s.Left, t.Left...)
	s.Codes = append(s.Codes, t.Codes...)
	s.Marks = append(s.Marks, t.Marks...)
	s.Stated = append(s.Stated, t.Stated...)
}

// Stated lists the benchmarks whose elevation a row of a file gives, each from its first
// row.
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
// order: benchmarks, turning points and checks, then, if others is set, the drains and
// other named shots of a level book.
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
	drain := map[string]bool{}
	for _, d := range s.Drains() {
		drain[d.Name()] = true
	}
	for _, check := range []bool{true, false} {
		for _, t := range s.Book.Sights {
			if (t.Mark && !drain[t.Name]) == check && (check || others) {
				add(t.Name)
			}
		}
	}
	return out
}

// Source is one file of several.
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

// Measure is the quantity that a reading measures.
type Measure uint8

const (
	Elevation Measure = iota // of the floor, upward
	Rod                      // down from the line of sight: a bigger reading is a lower floor
	Deviation                // floor minus target
	Drop                     // target minus floor
)

// Reading is one height as written in a file, before any reduction. Its point has the
// same Pos.
type Reading struct {
	Name       string
	Text       string  // as written, trimmed, without signs between thousands
	Value      float64 // m, as written: no height of instrument applied, sign unchanged
	Measure    Measure
	Unit       unit.Length // of a bare number in its column
	FeetInches bool        // its column is in feet and inches
	Setup      string      // empty if the file has none
	At         Pos
}

// Options describe how files are written. With the zero value everything comes from the
// file.
type Options struct {
	Unit          unit.Length // for lengths without a unit; None: such lengths are an error
	Order         string      // order of the columns of a file without header: "PNEZD", "PENZD", "XYZ", "NEZ", "ENZ" …
	Instrument    float64     // height of instrument, m, for rod readings; see HasInstrument
	HasInstrument bool
	Benchmarks    map[string]float64 // elevation by point name, m
	Adjust        Adjust             // how the misclosure of a level book is spread
	Allow         Allowance          // the largest misclosure of a level book
	Grid          Grid               // places of the crossings of a grid
	// InUnit is called with the units of plan and heights of a text file before its
	// rows are read (None where it states none). It sets the lengths in the options
	// that depend on them. May be nil.
	InUnit      func(plan, up unit.Length, o *Options) error
	Step        float64                 // m between the readings of runs, if the file does not give it; 0: unknown
	Zeros       Zeros                   // meaning of heights of exactly 0
	Codes       map[string]Role         // codes in addition to [DefaultCodes]
	Thin        Thin                    // scans: one point for each square of a grid
	Cells       bool                    // keep Survey.Cells, for several files and for file.WriteCells
	Progress    func(done, total int64) // called now and then; may be nil
	Stop        func() error            // called now and then; an error ends the reading; may be nil
	Sheet       string                  // sheet of a workbook; empty: the only one with shots
	SheetOption string                  // name of the option for Sheet, in hints; empty: sheet
	MaxSize     int64                   // max size of an input in bytes; 0: [MaxSize]
	// Open opens an input by the name that the user gave. nil: [os.Open], and standard
	// input for the name -.
	Open func(name string) (io.ReadCloser, error)
}
