package survey

import (
	"regexp"
	"slices"
	"strings"
)

// DefaultCodes is what point codes mean unless [Options] say otherwise; any
// other code is a shot on the floor. Keys are upper case.
var DefaultCodes = map[string]Role{
	"OUTLINE": Outline, "OUT": Outline, "PERIMETER": Outline,
	"VOID": Void, "HOLE": Void, "OPENING": Void,
	"BREAK": Break, "BRK": Break, "BREAKLINE": Break, "BL": Break,
	"ADJ": Finished, "FIN": Finished, "FF": Finished, "FFL": Finished, "FFE": Finished,
	"FINISHED": Finished, "THRESHOLD": Finished, "SILL": Finished,
	"BM": Control, "TBM": Control, "BENCHMARK": Control, "TP": Control, "CP": Control, "CHK": Control, "CHECK": Control,
	// Its rim is where the floor shall fall to, and no part of the old floor. FD is a
	// floor drain; common practice, no source.
	"DRAIN": Control, "DRN": Control, "GULLY": Control, "FD": Control,
}

// drainCodes are those of [DefaultCodes] that stand for a drain.
var drainCodes = []string{"DRAIN", "DRN", "GULLY", "FD"}

// drainWord is how drains are written, in upper case and without points: one of
// drainCodes, its plural or other spelling, the kind of drain before it and a number
// behind it. Common practice, no source.
var drainWord = regexp.MustCompile(`^(?:(?:FLOOR|AREA|TRENCH|CHANNEL|LINEAR|SLOT|SHOWER|YARD)[ -_]?)?(?:DRAINS?|DRNS?|GULLE?YS?|GULLIES|FD|SUMP)\d*$`)

// isDrainWord reports whether text as a whole stands for a drain.
func isDrainWord(text string) bool {
	return drainWord.MatchString(strings.ReplaceAll(strings.ToUpper(strings.TrimSpace(text)), ".", ""))
}

// codeEnds are what may follow a code word, before a name.
const codeEnds = " -_:/."

// IsDrain reports whether a code is that of a drain, where water leaves the floor: the
// word in any case, alone or followed by a name.
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

// Drains returns the drains that were shot: points that are no part of the floor.
func (s *Survey) Drains() []Point {
	var out []Point
	for _, p := range s.Control {
		if IsDrain(p.Code) {
			out = append(out, p)
		}
	}
	return out
}

// Meaning is what a code says of its point.
type Meaning struct {
	Role Role
	Name string // of the ring or line, after the code word; often empty
}

// Codebook looks codes up, each spelling once.
type Codebook struct {
	Own  map[string]Role // over and above DefaultCodes
	seen map[string]Meaning

	Hit      []string // of Own, those that were found
	lastCell string   // looked up last
	last     Meaning
}

// NewCodebook returns a codebook of codes over and above [DefaultCodes].
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
	case c.lastCell: // codes come in runs
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

// Remark reads a cell of a description column, where only a code word in
// capitals that fills the cell is a code: "void near drain" is prose. A drain is one
// in any case.
func (c *Codebook) Remark(cell string) (role Role, known bool) {
	t := strings.TrimSpace(cell)
	if t == "" || len(t) > 12 {
		return Floor, false
	}
	up := strings.ToUpper(t)
	r, ok := c.word(up)
	switch {
	case isDrainWord(t) && !ok: // "Floor drain" alone is one
		return c.word(drainCodes[0])
	case t != up && !isDrainWord(t):
		return Floor, false
	}
	return r, ok
}
