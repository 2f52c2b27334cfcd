package text

import (
	"strings"

	"pourplane/survey"
)

// cursor is a table whose rows are being read.
type cursor struct {
	table
	data  []byte // the lines in the form of the row decoder
	comma rune   // separator of their fields
	line  int    // line on which the current row begins
	wide  row    // the current row, if it was decoded as a scanRow
	errs  []error

	unitless *survey.Error // the refusal of all columns without a unit; nil: none

	// Number of lines of the file before the first of text.body and of data.
	bodyBefore, dataBefore int

	rodsSeen longRods
}

// shots are the points of a table that have been read.
type shots struct {
	cursor
	pts      []survey.Point
	hashed   []hashes         // of all points, in blocks; nil where these are found later
	roles    []survey.Role    // nil while all are Floor
	readings []survey.Reading // one for each of pts, nil past mostReadings of them
	many     bool             // there are more than mostReadings, as is known from the start
	rods     []float64        // minus the reading of each of pts, m, NaN without one; shorter than pts after the last
	pending  []int            // points whose elevation lacks hi
	markers  []int            // points whose height may mean no data
	zeros    []int
	tenths   tenths

	codes    *survey.Codebook
	coded    map[string]int    // codes in a column of remarks, each with its number of shots
	codedAt  survey.Pos        // of the first of them
	uncoded  []int             // points of no role whose remark is or begins with a code
	names    map[string]string // codes and parts, each stored once
	lastName string            // the last text looked up in names
	lastOnce string
}

// place reads x and y of p. placed is false if the row gives no place. ok is false if it
// gives a faulty one.
func (f *cursor) place(r *row, p *survey.Point) (placed, ok bool) {
	placed = true
	if f.x == nil && f.gridNamed() {
		placed = f.placeByName(p)
	}
	if f.x != nil {
		errs := len(f.errs)
		var okX, okY bool
		p.X, okX = f.length(f.x, &r.X)
		p.Y, okY = f.length(f.y, &r.Y)
		placed = okX && okY
		if len(f.errs) > errs {
			return false, false
		}
	}
	return placed, true
}

// once returns text without outer blanks. The same text gives the same string, to save
// memory.
func (f *shots) once(text string) string {
	switch text {
	case "":
		return ""
	case f.lastName: // codes come in runs
		return f.lastOnce
	}
	if s, ok := f.names[text]; ok {
		f.lastName, f.lastOnce = text, s
		return s
	}
	s := strings.Clone(strings.TrimSpace(text))
	if len(f.names) < 1<<12 {
		f.names[strings.Clone(text)] = s
	}
	return s
}

// keep appends a point and its role.
func (f *shots) keep(p survey.Point, r survey.Role) {
	if r != survey.Floor && f.roles == nil {
		f.roles = make([]survey.Role, len(f.pts), cap(f.pts))
	}
	f.pts = append(f.pts, p)
	if f.roles != nil {
		f.roles = append(f.roles, r)
	}
}
