package survey

import (
	"cmp"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"pourplane/survey/unit"
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

// noteDrains notes the drains, since a drain that is filled over is floor.
func (s *Survey) noteDrains() {
	s.askDoors()
	drains := s.Drains()
	if len(drains) == 0 {
		return
	}
	const most = 5 // are named; own choice
	var names []string
	for _, p := range drains[:min(len(drains), most)] {
		name := cmp.Or(Abridged(p.Name), "the shot of "+p.At.String())
		names = append(names, fmt.Sprintf("%s (%s)", name, Abridged(p.Code)))
	}
	if n := len(drains) - len(names); n > 0 {
		names = append(names, fmt.Sprintf("and %d more", n))
	}
	what := "1 drain"
	if n := len(drains); n > 1 {
		what = fmt.Sprintf("%d drains", n)
	}
	s.Notes = append(s.Notes, Notef(Assumed, drains[0].At, "%s left out of the floor: %s. A drain that is filled over is floor: give its shot a code of the floor, such as FLR", what, strings.Join(names, ", ")).About(AboutDepth))
}

// askDoors warns of shots coded DR, which is written for a drain and for a door. They are
// floor.
func (s *Survey) askDoors() {
	const code = "DR"
	var some []Point
	for _, p := range s.Points {
		if strings.EqualFold(strings.TrimSpace(p.Code), code) {
			some = append(some, p)
		}
	}
	if len(some) == 0 || slices.Contains(s.Served.Codes, code) {
		return
	}
	s.Notes = append(s.Notes, Notef(Warning, some[0].At, "%s coded %s read as the floor: a door or a drain? %s or %s", Plural(len(some), "shot"), code, unit.Ask("code", code+"=floor"), unit.Ask("code", code+"=control")).About(AboutDepth))
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
	m, known := meaning{}, false
	if r, ok := c.word(up); ok {
		m.role, known = r, true
	} else if i := strings.IndexAny(up, codeEnds); i > 0 {
		if r, ok := c.word(up[:i]); ok {
			m, known = meaning{r, strings.TrimLeft(strings.TrimSpace(cell)[i:], codeEnds)}, true
		}
	}
	if !known && IsDrain(cell) {
		m.role, _ = c.word(drainCodes[0])
	}
	if len(c.seen) < 1<<12 {
		c.seen[strings.Clone(cell)] = m
	}
	return m
}

// remark reads a cell of a description column, where only a code word in
// capitals that fills the cell is a code: "void near drain" is prose. A drain is one
// in any case.
func (c *codebook) remark(cell string) (role Role, known bool) {
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

// described reads a cell of a column of descriptions: its text is the code of the shot. In
// a column that is headed as remarks it is one where it is a word for a code, a benchmark
// or a sight.
func (f *textReader) described(text string, p *Point) meaning {
	role, known := f.codes.remark(text)
	if c := f.of[isRemark]; c == nil || !c.prose {
		p.Code = f.once(text)
		return meaning{role: role}
	}
	p.Remark = f.once(text)
	if known || isBenchmarkWord(text) || isSightWord(text) {
		p.Code = f.once(text)
	}
	if role != Floor {
		if f.coded == nil {
			f.coded, f.codedAt = map[string]int{}, p.At
		}
		f.coded[strings.ToUpper(p.Code)]++
	}
	return meaning{role: role}
}

// noteCoded notes what words in a column of remarks were taken as codes.
func (f *textReader) noteCoded() {
	if len(f.coded) == 0 || f.outline {
		return
	}
	const most = 5 // are named; own choice
	all := slices.Sorted(maps.Keys(f.coded))
	var words []string
	for _, w := range all[:min(len(all), most)] {
		words = append(words, fmt.Sprintf("%s %d", w, f.coded[w]))
	}
	if n := len(all) - most; n > 0 {
		words = append(words, fmt.Sprintf("and %d more", n))
	}
	f.note(Assumed, f.codedAt, "%s holds remarks. A cell with a code alone gives its shot that code: %s. For a floor shot type %s", f.of[isRemark], strings.Join(words, ", "), unit.Ask("code", all[0]+"=floor"))
}

// isSightWord reports whether a code is a kind of sight of a level book.
func isSightWord(code string) bool {
	return slices.Contains([]string{"BS", "IS", "FS"}, strings.ToUpper(strings.TrimSpace(code)))
}
