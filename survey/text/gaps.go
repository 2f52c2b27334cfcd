package text

import (
	"math"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// gap is a skipped row without a reading.
type gap struct {
	line int
	text string
	rule bool // a row of dashes
}

// askGap is the hint for such a row: the instrument may have been moved there.
const askGap = `where the instrument was moved write a row of its own, SETUP 2, and below it the row of the benchmark or turning point; else put # before the row`

// mostGaps is the maximum number of gaps listed with their text.
const mostGaps = 10

// gapRow remembers the current row, which has no reading, if set-ups may change in this
// file.
func (f *Reader) gapRow(text string) {
	if f.mayMove() {
		f.gaps = append(f.gaps, gap{line: f.line, text: text})
	}
}

// lineText returns the fields of the current line, joined by blanks.
func (f *cursor) lineText() string {
	return strings.Join(strings.FieldsFunc(string(lineAt(f.text.body, f.line-f.bodyBefore)), func(r rune) bool {
		return r == f.form.sep || r == '\t' || r == '\r' || r == '"'
	}), " ")
}

// askGaps checks the rows without a reading among rod readings: the instrument may have
// been moved at each of them. A row that may name a set-up, or names the instrument, is
// refused. Other text and a row of dashes give a warning, an empty row an assumption or,
// where the readings jump, a warning. A row is not questioned if a mark read before and
// after it checks the height of instrument.
func (f *Reader) askGaps() error {
	if f.manner != byRod && f.manner != byGradeRod || f.of[isHI] != nil {
		return nil
	}
	checked := f.checks()
	slices.SortStableFunc(f.gaps, func(a, b gap) int { return a.line - b.line })
	warned, more := 0, 0
	blank, firstBlank := 0, 0
	for _, g := range f.gaps {
		text := strings.TrimSpace(g.text)
		before, after := f.around(g.line)
		if before == nil || after == nil || slices.ContainsFunc(checked, func(c [2]int) bool { return c[0] < g.line && g.line < c[1] }) {
			continue
		}
		at := f.at(g.line)
		switch {
		case text == "" && !g.rule:
			if jump := f.jump(g.line); jump > 0 && warned < mostGaps {
				warned++
				f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, at, "an empty row among the shots, where the readings change by %s: was the instrument moved here? All is read as if it was not; %s", unit.Depth(jump), askGap).About(survey.AboutDepth))
			} else if blank++; blank == 1 {
				firstBlank = g.line
			}
		case !g.rule && (mayNameSetup(text) && !inSeries(text, before.Name(), after.Name()) || namesInstrument(text)):
			return &survey.Error{Pos: at, Found: strconv.Quote(text) + " among the shots, without a reading", Want: "to know whether the instrument was moved here", Hint: askGap}
		case !g.rule && (ofRows.MatchString(bannerForm(text)) || asksMove.MatchString(bannerForm(text)) && noBanner.MatchString(bannerForm(text))):
		case warned < mostGaps:
			warned++
			what := unit.Quote(text)
			if g.rule {
				what = "a row of dashes"
			}
			f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, at, "%s among the shots: was the instrument moved here? All is read as if it was not; %s", survey.Excerpt(what), askGap).About(survey.AboutDepth))
		default:
			more++
		}
	}
	if more > 0 {
		f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, f.pos, "%d more rows without a reading among the shots: the instrument is taken as not moved there", more).About(survey.AboutDepth))
	}
	if blank > 0 {
		f.note(survey.Assumed, f.at(firstBlank), "%s among the rod readings, the first here: the instrument is taken as not moved there", survey.Plural(blank, "empty row"))
	}
	return nil
}

// minJump is the minimum change of readings, m, that points to a moved instrument. A
// smaller change is the floor. Own choice, as is the factor of 3 to the spread on either
// side.
const minJump = 0.05

// jump returns the difference, m, between the medians of the three shots before and the
// three after a line. It is 0 if there are fewer shots, or if the difference is small.
func (f *Reader) jump(line int) float64 {
	i := sort.Search(len(f.listRods), func(i int) bool { return f.listedPoint(f.listRods[i]).At().Line > line })
	three := func(from, step int) []float64 {
		var z []float64
		for k := from; k >= 0 && k < len(f.listRods) && len(z) < 3; k += step {
			if r := f.listRods[k]; !f.isMarkRow(r) {
				z = append(z, r.rod)
			}
		}
		slices.Sort(z)
		return z
	}
	a, b := three(i-1, -1), three(i, 1)
	if len(a) < 3 || len(b) < 3 {
		return 0
	}
	jump, within := math.Abs(a[1]-b[1]), max(a[2]-a[0], b[2]-b[0])
	if jump > minJump && jump > 3*within {
		return jump
	}
	return 0
}

// around returns the points read before and after a line, nil for both if either is
// missing.
func (f *Reader) around(line int) (before, after *survey.Point) {
	i := sort.Search(len(f.listRods), func(i int) bool { return f.listedPoint(f.listRods[i]).At().Line > line })
	if i == 0 || i == len(f.listRods) {
		return nil, nil
	}
	return f.listedPoint(f.listRods[i-1]), f.listedPoint(f.listRods[i])
}

// checks returns the first line and a later line of each mark that was read again from
// one set-up. The two readings show whether the instrument was moved between.
func (f *Reader) checks() [][2]int {
	type mark struct {
		key   string
		setup int
	}
	var out [][2]int
	first := map[mark]int{}
	for _, r := range f.listRods {
		p := f.listedPoint(r)
		if key := (mark{markKey(p.Name()), r.setup}); key.key == "" || !f.isMarkRow(r) {
			continue
		} else if at, again := first[key]; again {
			out = append(out, [2]int{at, p.At().Line})
		} else {
			first[key] = p.At().Line
		}
	}
	return out
}

var (
	// setupName matches text that may be the name of a set-up: S2, IP2, B, 2.
	setupName = regexp.MustCompile(`^(?:[a-z]{1,2} ?)?\d{1,2}[a-z]?$|^[a-z]$`)

	// instrumentWords matches words for the instrument or for a move.
	instrumentWords = regexp.MustCompile(`\b(?:lasers?|instruments?|inst|instr|tripods?|estaci(?:o|ó)n|aufstellung|standpunkt|h ?i|set ?ups?|moved?|moving|reset|changed?|bumped|knocked|dropped|fell|fallen)\b|\b(?:new|other|another|different) height\b|^from\b`)

	// ofRows matches the heading of a block of shots, such as row 3.
	ofRows = regexp.MustCompile(`^(?:rows?|lines?|page|sheet|columns?)\b`)
)

func mayNameSetup(text string) bool { return setupName.MatchString(bannerForm(text)) && !isMark(text) }

func namesInstrument(text string) bool {
	form := bannerForm(text)
	return instrumentWords.MatchString(form) && !noBanner.MatchString(form)
}

// inSeries reports whether name continues the numbering of the shots around it: P2 after
// P1 or before P3.
func inSeries(name, before, after string) bool {
	form := func(s string) (letters string, n int) {
		n, _ = strconv.Atoi(digitRun.FindString(s))
		return strings.ToUpper(strings.TrimSpace(digitRun.ReplaceAllString(s, "#"))), n
	}
	letters, n := form(name)
	a, first := form(before)
	b, last := form(after)
	if !strings.Contains(letters, "#") {
		return false
	}
	return a == letters && n == first+1 || b == letters && n == last-1 || a == letters && b == letters && first < n && n < last
}
