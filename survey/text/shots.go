package text

import (
	"strings"

	"pourplane/survey"
)

// cursor is a table while its rows are read.
type cursor struct {
	table
	data  []byte // the lines as the row decoder takes them
	comma rune   // what separates their fields
	line  int    // on which the current row begins
	wide  row    // the current row, where it was decoded as a scanRow
	errs  []error

	// Lines of the file before the first of text.body and of data.
	bodyBefore, dataBefore int
}

// shots are the points of a table as they are read.
type shots struct {
	cursor
	pts      []survey.Point
	roles    []survey.Role    // nil while all are Floor
	readings []survey.Reading // one for each of pts, nil past mostReadings of them
	rods     []float64        // -reading of each of pts, m, NaN without one; shorter than pts after the last
	pending  []int            // points that still lack hi
	markers  []int            // points whose height may stand for no data
	zeros    []int
	tenths   tenths

	codes    *survey.Codebook
	coded    map[string]int    // words for codes in a column of remarks, and on how many shots
	codedAt  survey.Pos        // of the first
	names    map[string]string // codes and parts, each once
	lastName string            // looked up in names last
	lastOnce string
}

// place reads where p is. placed is false where the row does not say, ok where it says so
// wrongly.
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

// once returns text, the same string for the same text.
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
