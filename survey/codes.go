package survey

import (
	"regexp"
	"slices"
	"strings"
)

// DefaultCodes gives the role of each point code unless [Options] give another. Any
// other code is a shot on the floor. Keys are upper case.
var DefaultCodes = map[string]Role{
	"OUTLINE": Outline, "OUT": Outline, "PERIMETER": Outline,
	"VOID": Void, "HOLE": Void, "OPENING": Void,
	"BREAK": Break, "BRK": Break, "BREAKLINE": Break, "BL": Break,
	"ADJ": Finished, "FIN": Finished, "FF": Finished, "FFL": Finished, "FFE": Finished,
	"FINISHED": Finished, "THRESHOLD": Finished, "SILL": Finished,
	"BM": Control, "TBM": Control, "BENCHMARK": Control, "TP": Control, "CP": Control, "CHK": Control, "CHECK": Control,
	// The rim of a drain is a low point of the target and no part of the old floor. FD
	// is a floor drain; common practice, no source.
	"DRAIN": Control, "DRN": Control, "GULLY": Control, "FD": Control,
}

// drainCodes are the codes of [DefaultCodes] that mean a drain.
var drainCodes = []string{"DRAIN", "DRN", "GULLY", "FD"}

// drainWord matches the ways to write a drain, in upper case and without full stops: one
// of drainCodes, its plural or other spelling, with the kind of drain before it and a
// number after it. Common practice, no source.
var drainWord = regexp.MustCompile(`^(?:(?:FLOOR|AREA|TRENCH|CHANNEL|LINEAR|SLOT|SHOWER|YARD)[ -_]?)?(?:DRAINS?|DRNS?|GULLE?YS?|GULLIES|FD|SUMP)\d*$`)

// isDrainWord reports whether the whole text means a drain.
func isDrainWord(text string) bool {
	return drainWord.MatchString(strings.ReplaceAll(strings.ToUpper(strings.TrimSpace(text)), ".", ""))
}

// codeEnds are the characters that may separate a code word from a name.
const codeEnds = " -_:/."

// IsDrain reports whether a code means a drain: the word in any case, alone or followed
// by a name.
func IsDrain(code string) bool {
	if isDrainWord(code) {
		return true
	}
	word := strings.TrimSpace(code)
	for i, r := range word { // a name may follow
		if i > 0 && strings.ContainsRune(codeEnds, r) && isDrainWord(word[:i]) {
			return true
		}
	}
	return false
}

// Drains returns the drains that were shot. They are not part of the floor.
func (s *Survey) Drains() []Point {
	var out []Point
	for _, p := range s.Control {
		if IsDrain(p.Code()) {
			out = append(out, p)
		}
	}
	return out
}

// Meaning is the role and the name that a code gives its point.
type Meaning struct {
	Role Role
	Name string // name of the ring or line, after the code word; often empty
}

// Codebook looks up codes. It parses each spelling once.
type Codebook struct {
	Own  map[string]Role // codes in addition to DefaultCodes
	seen map[string]Meaning

	Hit      []string // codes of Own that the file uses
	lastCell string   // the cell looked up last
	last     Meaning
	leads    map[string]Lead
}

// NewCodebook returns a codebook with own in addition to [DefaultCodes].
func NewCodebook(own map[string]Role) *Codebook {
	return &Codebook{Own: own, seen: map[string]Meaning{}}
}

func (c *Codebook) word(w string) (Role, bool) {
	if r, ok := c.Own[w]; ok {
		if !slices.Contains(c.Hit, w) {
			c.Hit = append(c.Hit, w)
		}
		return r, true
	}
	r, ok := DefaultCodes[w]
	return r, ok
}

// Code reads a cell of a code column: a code word in any case, alone or
// followed by a separator and a name.
func (c *Codebook) Code(cell string) Meaning {
	switch cell {
	case "":
		return Meaning{}
	case c.lastCell: // equal codes often follow one another
		return c.last
	}
	if m, ok := c.seen[cell]; ok {
		c.lastCell, c.last = cell, m
		return m
	}
	up := strings.ToUpper(strings.TrimSpace(cell))
	m, known := Meaning{}, false
	if r, ok := c.word(up); ok {
		m.Role, known = r, true
	} else if i := strings.IndexAny(up, codeEnds); i > 0 {
		if r, ok := c.word(up[:i]); ok {
			m, known = Meaning{r, strings.TrimLeft(strings.TrimSpace(cell)[i:], codeEnds)}, true
		}
	}
	if !known && IsDrain(cell) {
		m.Role, _ = c.word(drainCodes[0])
	}
	if len(c.seen) < 1<<12 {
		c.seen[strings.Clone(cell)] = m
	}
	return m
}

// wordsOnly are codes that are plain words as well: "check" in a remark asks for one.
var wordsOnly = map[string]bool{"CHECK": true, "FINISHED": true}

// Remark reads a cell of a description column. There a code must fill the cell: "void near
// drain" is prose. A drain and a code of the options may be in any case, any other must be
// in capitals. With anyCase only those of corners and breaklines and wordsOnly must.
func (c *Codebook) Remark(cell string, anyCase bool) (role Role, known bool) {
	t := strings.TrimRight(strings.TrimSpace(cell), ".,;:")
	_, stated := c.Stated(t)
	if t == "" || len(t) > len("channel drain 12") && !stated {
		return Floor, false
	}
	up := strings.ToUpper(t)
	r, ok := c.word(up)
	switch {
	case isDrainWord(t) && !ok: // "Floor drain" alone is a drain
		return c.word(drainCodes[0])
	case t == up || isDrainWord(t):
		return r, ok
	}
	if stated || anyCase && (r == Finished || r == Control) && !wordsOnly[up] {
		return r, ok
	}
	return Floor, false
}

// Stated returns the role that the options give a remark as a whole, in any case.
func (c *Codebook) Stated(remark string) (role Role, stated bool) {
	if len(c.Own) == 0 {
		return Floor, false
	}
	role, stated = c.Own[strings.ToUpper(strings.TrimRight(strings.TrimSpace(remark), ".,;:"))]
	return role, stated
}

// IsCode reports whether a cell is one of [DefaultCodes], in any case.
func IsCode(cell string) bool {
	_, known := DefaultCodes[strings.ToUpper(strings.TrimSpace(cell))]
	return known
}
