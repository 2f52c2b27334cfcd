package text

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"pourplane/survey"
	"pourplane/survey/level"
)

// rereadWords are words that crews add to the name of a benchmark read again.
var rereadWords = set("CHECK|CHK|CLOSE|CLOSING|AGAIN|END|START|RECHECK|REREAD|REPEAT")

// isMark reports whether name is the name of a benchmark, a turning point or a check:
// BM1, B.M. 2, BM-A, TP 3b, "closing BM1", "BM door sill".
func isMark(name string) bool {
	words := nameWords(strings.ReplaceAll(name, ".", ""))
	for i, w := range words {
		letters := strings.TrimRightFunc(w, func(r rune) bool { return !unicode.IsLetter(r) })
		if n := strings.IndexFunc(w, func(r rune) bool { return !unicode.IsLetter(r) }); n >= 0 {
			letters = w[:n]
		}
		if letters != "" && survey.DefaultCodes[letters] == survey.Control {
			return true
		}
		if i+1 == len(words) || !rereadWords[w] {
			return false
		}
	}
	return false
}

// nameWords returns the words of a name, in upper case.
func nameWords(name string) []string {
	return strings.FieldsFunc(strings.ToUpper(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// markKey returns the key that all spellings of the name of a benchmark share: "BM1" for
// "bm 1", "BM-1 check" and "BM1chk". Two numbers stay apart: "BM 1-0" is not "BM10".
func markKey(name string) string {
	var key strings.Builder
	digit := false // the key ends in a digit
	for _, w := range nameWords(name) {
		if rereadWords[w] {
			continue
		}
		for word := range rereadWords { // "BM1CHK", but not "BEND"
			if rest, ok := strings.CutSuffix(w, word); ok && rest != "" && unicode.IsDigit(rune(rest[len(rest)-1])) {
				w = rest
				break
			}
		}
		if r := []rune(w); digit && unicode.IsDigit(r[0]) {
			key.WriteByte('.')
		}
		key.WriteString(w)
		r := []rune(w)
		digit = unicode.IsDigit(r[len(r)-1])
	}
	return key.String()
}

// spelling is a name as it was written on one row.
type spelling struct {
	f     *Reader
	p     survey.Point // name, place and row
	mark  bool         // a benchmark, a turning point or a check
	given bool         // the row states its elevation
	fixed bool         // the name must not change: the file is read already
	names []*string
	point *survey.Point // that has the name too; may be nil
}

// sameMarks renames readings on a benchmark or turning point to the name that it is known
// by, where that is spelled in another way. The names of rows with an elevation and of
// the options count first, then the first spelling. A name that can be two of these is an
// error.
func sameMarks(rows []spelling, benchmarks map[string]float64) error {
	type mark struct {
		name, upper string
		x, y        float64
	}
	keys := make([]string, len(rows))
	known, marked := map[string][]mark{}, map[string][]int{}
	add := func(key, name string, x, y float64) {
		m := mark{name, strings.ToUpper(strings.TrimSpace(name)), x, y}
		if key != "" && !slices.ContainsFunc(known[key], func(o mark) bool { return o.upper == m.upper }) {
			known[key] = append(known[key], m)
		}
	}
	for i, r := range rows {
		if keys[i] = markKey(r.p.Name()); keys[i] != "" && r.mark {
			marked[keys[i]] = append(marked[keys[i]], i)
		}
		if r.given || r.fixed {
			add(keys[i], r.p.Name(), r.p.X, r.p.Y)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(benchmarks)) {
		add(markKey(name), name, math.NaN(), math.NaN())
	}
	for i, r := range rows {
		key, upper := keys[i], strings.ToUpper(r.p.Name())
		// A row without a word for a benchmark is one if it is at the place of a
		// benchmark of this name.
		here := r.mark || slices.ContainsFunc(marked[key], func(k int) bool {
			q := rows[k].p
			return math.Hypot(r.p.X-q.X, r.p.Y-q.Y) <= level.OnePlace
		})
		if key == "" || r.given || r.fixed || !here {
			continue
		}
		var like []mark
		for _, m := range known[key] {
			if m.upper == upper {
				like = nil
				break
			}
			if !(math.Hypot(r.p.X-m.x, r.p.Y-m.y) > level.OnePlace) {
				like = append(like, m)
			}
		}
		switch {
		case len(like) == 1:
			r.f.note(survey.Assumed, r.p.At(), "%s is taken for %s", r.p.Name(), like[0].name)
			for _, name := range r.names {
				*name = like[0].name
			}
			if r.point != nil {
				*r.point = r.point.Named(like[0].name)
			}
		case len(like) > 1:
			return &survey.Error{Pos: r.p.At(), Found: strconv.Quote(r.p.Name()), Want: fmt.Sprintf("to know which benchmark it is: %s or %s", like[0].name, like[1].name), Hint: "write its name exactly as the benchmark is named"}
		case r.mark:
			add(key, r.p.Name(), r.p.X, r.p.Y)
		}
	}
	return nil
}

// listSpellings returns the names in a list of rod readings.
func (f *Reader) listSpellings() []spelling {
	out := make([]spelling, 0, len(f.listRods))
	for _, r := range f.listRods {
		p := f.listedPoint(r)
		var names []*string
		if r.pt >= 0 && r.pt < len(f.readings) {
			names = append(names, &f.readings[r.pt].Name)
		}
		out = append(out, spelling{f: f, p: *p, mark: f.isMarkRow(r), given: !math.IsNaN(r.given), names: names, point: p})
	}
	return out
}

// bookSpellings returns the names of the sights of a level book. A turning point may be
// two sights of one row.
func (f *Reader) bookSpellings() []spelling {
	out := make([]spelling, 0, len(f.sights))
	for i := range f.sights {
		s, at := &f.sights[i], f.sighted[i]
		names := []*string{&s.Name}
		if at < len(f.readings) {
			names = append(names, &f.readings[at].Name)
		}
		given := !math.IsNaN(s.Stated)
		out = append(out, spelling{f: f, p: survey.Point{X: s.X, Y: s.Y}.With(survey.Tag{Name: s.Name, At: s.At}), mark: s.Mark || given || isMark(s.Name), given: given, names: names, point: &f.pts[at]})
	}
	return out
}

// isBenchmarkWord reports whether a name or code begins with a word for a benchmark.
func isBenchmarkWord(name string) bool {
	for _, w := range nameWords(strings.ReplaceAll(name, ".", "")) {
		if rereadWords[w] {
			continue
		}
		for _, word := range []string{"BM", "TBM", "BENCHMARK"} {
			if rest, ok := strings.CutPrefix(w, word); ok && (rest == "" || !unicode.IsLetter(rune(rest[0]))) {
				return true
			}
		}
		return false
	}
	return false
}
