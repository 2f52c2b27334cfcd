package survey

import (
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
	"DRAIN": Control, "GULLY": Control, "FD": Control, // its rim is where the floor shall fall to, and no part of the old floor
}

// IsDrain reports whether a code is that of a drain, where water leaves the floor.
func IsDrain(code string) bool {
	code = strings.ToUpper(code)
	return code == "DRAIN" || code == "GULLY" || code == "FD" // floor drain; common practice, no source
}

// meaning is what a code says of its point.
type meaning struct {
	role Role
	name string // of the ring or line, after the code word; often empty
}

// codebook looks codes up, each spelling once.
type codebook struct {
	own  map[string]Role
	seen map[string]meaning

	hit      []string // of own, those that were found
	lastCell string   // looked up last
	last     meaning
}

func newCodebook(own map[string]Role) *codebook {
	return &codebook{own: own, seen: map[string]meaning{}}
}

func (c *codebook) word(w string) (Role, bool) {
	if r, ok := c.own[w]; ok {
		if !slices.Contains(c.hit, w) {
			c.hit = append(c.hit, w)
		}
		return r, true
	}
	r, ok := DefaultCodes[w]
	return r, ok
}

// code reads a cell of a code column: a code word in any case, alone or
// followed by a separator and a name.
func (c *codebook) code(cell string) meaning {
	switch cell {
	case "":
		return meaning{}
	case c.lastCell: // codes come in runs
		return c.last
	}
	if m, ok := c.seen[cell]; ok {
		c.lastCell, c.last = cell, m
		return m
	}
	up := strings.ToUpper(strings.TrimSpace(cell))
	m := meaning{}
	if r, ok := c.word(up); ok {
		m.role = r
	} else if i := strings.IndexAny(up, " -_:/."); i > 0 {
		if r, ok := c.word(up[:i]); ok {
			m = meaning{r, strings.TrimLeft(strings.TrimSpace(cell)[i:], " -_:/.")}
		}
	}
	if len(c.seen) < 1<<12 {
		c.seen[strings.Clone(cell)] = m
	}
	return m
}

// remark reads a cell of a description column, where only a code word in
// capitals that fills the cell is a code: "void near drain" is prose.
func (c *codebook) remark(cell string) meaning {
	t := strings.TrimSpace(cell)
	if t == "" || len(t) > 12 || t != strings.ToUpper(t) {
		return meaning{}
	}
	r, _ := c.word(t)
	return meaning{role: r}
}
