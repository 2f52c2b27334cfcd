package text

import (
	"bytes"
	"regexp"
	"slices"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Crews often record a move of the instrument within a list as a line of its own: "SETUP
// 2", "Station B", "moved laser". The rows below it have another height of instrument.

// banner is a line that begins a set-up.
type banner struct {
	line int
	text string
	name string // number or letter, upper case; empty without one
	hi   string // a height of instrument in the same line
	only bool   // no new set-up: the line only gives hi
}

var (
	// bannerHint is a cheap filter: lines that do not match it are not searched.
	bannerHint = regexp.MustCompile(`(?i)set|sta|stn|pos|loc|mov|reloc|shift|bump|knock|day|h\.?i\b|height of|colli|laser|level|inst|tripod|gun|machine|transit|aufst`)

	// bannerStarts are the first two letters of each alternative of bannerHint.
	bannerStarts = pairsOf("se", "st", "po", "lo", "mo", "re", "sh", "bu", "kn", "da", "h.", "hi", "he", "co", "la", "le", "in", "tr", "gu", "ma", "au")

	bannerNumber = `(?: ?(?:no|nr|num|number))?(?: ?([a-z]\d{0,2}|\d{1,3}[a-z]?|one|two|three|four|five|six))?`
	instruments  = `(?:laser|level|instrument|inst|tripod|gun|machine|transit)`
	places       = `(?:station|stn|sta|position|posn|pos|location|loc|stand|place|aufstellung|standpunkt|standort)`
	ordinals     = `(?:new|next|another|second|third|fourth|1st|2nd|3rd|4th)`
	// strongBanner can only be about the instrument.
	strongBanner = []*regexp.Regexp{
		regexp.MustCompile(`^(?:` + ordinals + ` )?(?:` + instruments + ` )?set ?up(?: again)?` + bannerNumber + `(?: .*)?$`),
		regexp.MustCompile(`^(?:` + ordinals + ` )?` + instruments + ` (?:station|position|location|stand)` + bannerNumber + `(?: .*)?$`),
		regexp.MustCompile(`^` + ordinals + ` (?:station|position|location|stand)()(?: .*)?$`),
		regexp.MustCompile(`^(?:(?:i|we|they|had to|have|has|was|then|now|here) )*(?:moved?|moving|shift(?:ed)?|re ?(?:located?|set|positioned)|set(?: up)?|bumped|knocked)(?: the| our| my)? (?:` + instruments + `|set ?up|station)()(?: .*)?$`),
		regexp.MustCompile(`^(?:the )?` + instruments + `(?: (?:was|has been|had to be|is|got|then))? (?:moved|shifted|re ?(?:located|set|positioned)|bumped|knocked|set up again)()(?: .*)?$`),
		regexp.MustCompile(`^day (?:\d{1,2}|two|three)()$`),
	}
	// weakBanner can also be the name of a shot.
	weakBanner = regexp.MustCompile(`^(?:station|stn|sta|position|pos|location|loc|stand)` + strings.TrimSuffix(bannerNumber, "?") + `(?: .*)?$`)

	// loneBanner is the instrument or its place with a number before or after it. Beside
	// figures it is ambiguous (a storey is a level too), so it begins a set-up only in a
	// row without figures.
	loneBanner = regexp.MustCompile(`^(?:the )?(` + ordinals + `|neue|zweite|dritte|\d{1,2}(?:st|nd|rd|th)?)?(?: ?(?:` + instruments + `|instr|h ?i|height of instrument|` + places + `))+` + bannerNumber + `$`)

	// asksMove matches a remark that may or may not report a move.
	asksMove = regexp.MustCompile(`\b(?:lasers?|levels?|instruments?|inst|instr|stations?|stn|sta|pos|positions?|h ?i|moved?|reset|tripods?|aufstellung|standpunkt)\b`)

	// perhapsBanner matches a remark that reports a move in words that no banner has.
	perhapsBanner = regexp.MustCompile(`\b(?:moved?|moving|relocated?|reset|shifted|bumped|knocked|repositioned|set ?ups?)\b`)
	// movedInstrument matches a remark beside a reading that reports a move. It needs a
	// word for the instrument: a floor can drop too.
	movedInstrument = regexp.MustCompile(`\b(?:laser|instrument|inst|instr|tripod)\b.*\b(?:\d|two|2nd|second|new|other|changed|dropped|raised|lowered|fell)\b|\b(?:new|other|another|2nd|second|3rd|third)\b.*\b(?:laser|instrument|inst|instr|tripod)\b`)
	noBanner        = regexp.MustCompile(`\b(?:not|never|same|didn ?t|without|ok|checked)\b`)

	shortLabel = regexp.MustCompile(`^(?:[A-Za-z]\d{0,2}|\d{1,3}[A-Za-z]?)$`)
)

// pairsOf marks each two-letter start in every mix of cases. The index is first byte<<8 |
// second byte.
func pairsOf(starts ...string) *[1 << 16]bool {
	var out [1 << 16]bool
	for _, w := range starts {
		for _, a := range []string{w[:1], strings.ToUpper(w[:1])} {
			for _, b := range []string{w[1:], strings.ToUpper(w[1:])} {
				out[int(a[0])<<8|int(b[0])] = true
			}
		}
	}
	return &out
}

// hintsAtBanner reports whether bannerHint matches t. Few rows of a survey have one of
// the letter pairs, so the pattern seldom runs.
func hintsAtBanner(t string) bool {
	for i := 1; i < len(t); i++ {
		if bannerStarts[int(t[i-1])<<8|int(t[i])] || t[i] >= 0x80 || t[0] >= 0x80 { // letters beyond ASCII fold to some of these
			return bannerHint.MatchString(t)
		}
	}
	return false
}

// bannerForm returns text as the banner patterns expect it: lower case, words and numbers
// separated by one blank, no punctuation.
func bannerForm(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r > 127)
	}), " ")
}

// matchBanner reports whether text begins a set-up, returns its name, and reports in weak
// whether text can also name a shot.
func matchBanner(text string) (name string, weak, ok bool) {
	form := bannerForm(text)
	if form == "" || noBanner.MatchString(form) || strings.Contains(text, "+") { // 2+50 is a chainage
		return "", false, false
	}
	for _, r := range strongBanner {
		if m := r.FindStringSubmatch(form); m != nil {
			return strings.ToUpper(m[1]), false, true
		}
	}
	if m := weakBanner.FindStringSubmatch(form); m != nil {
		return strings.ToUpper(m[1]), true, true
	}
	return "", false, false
}

// matchLone reports whether text, in a row without figures, begins a set-up, and returns
// its name.
func matchLone(text string) (name string, ok bool) {
	if missing(text) || strings.Contains(text, "+") {
		return "", false
	}
	m := loneBanner.FindStringSubmatch(bannerForm(text))
	if m == nil || m[1] == "" && m[2] == "" {
		return "", false
	}
	if name = m[2]; name == "" && m[1][0] <= '9' {
		name = strings.TrimRight(m[1], "stndrh")
	}
	return strings.ToUpper(name), true
}

// lone applies [matchLone] to the cells of a row without a reading. The number may be in
// a cell of its own.
func (f *table) lone(cells []bannerCell) (name string, ok bool) {
	if len(cells) == 2 && shortLabel.MatchString(cells[1].text) && (f.form.sep == blanks || f.of[isRod] == nil || cells[1].column != f.of[isRod].index) {
		if name, ok = matchLone(cells[0].text + " " + cells[1].text); ok {
			return name, true
		}
	}
	for _, c := range cells {
		if looksNumeric(c.text) || missing(c.text) { // a dash is a shot that was not read
			return "", false
		}
	}
	for _, c := range cells {
		if name, ok = matchLone(c.text); ok {
			return name, true
		}
	}
	return "", false
}

// bannerCell is a cell of a line that is not empty.
type bannerCell struct {
	column int
	text   string
}

// bannerCells returns the cells of a line that are not empty. The height of instrument is
// not among them: hi is its text, empty without one.
func (f *dialect) bannerCells(t string) (cells []bannerCell, hi string) {
	if f.form.sep == blanks {
		if v, ok := statedHI(t); ok {
			hi = v
			t = t[:hiLine.FindStringIndex(t)[0]]
		}
		// Consecutive words are one cell.
		words := false
		for _, w := range strings.Fields(t) {
			n := len(cells)
			switch {
			case looksNumeric(w):
				cells, words = append(cells, bannerCell{n, w}), false
			case words:
				cells[n-1].text += " " + w
			default:
				cells, words = append(cells, bannerCell{n, w}), true
			}
		}
		return cells, hi
	}
	fields := split(t, f.form.sep)
	for i := 0; i < len(fields); i++ {
		c := strings.TrimSpace(fields[i])
		if v, ok := statedHI(c); ok {
			hi = v
			c = strings.TrimSpace(c[:hiLine.FindStringIndex(c)[0]])
		} else if headWords[headForm(strings.Trim(c, "= "))] == isHI && i+1 < len(fields) && looksNumeric(fields[i+1]) {
			hi = fields[i+1]
			c = ""
			i++
		}
		if c != "" {
			cells = append(cells, bannerCell{i, c})
		}
	}
	return cells, hi
}

// askBanner is the hint where it is not certain that the instrument was moved.
const askBanner = `where the instrument was moved write a row of its own, SETUP 2, and below it the row of the benchmark or turning point; elsewhere use other words`

// movedCell returns the first cell of a row with a reading that reports a move of the
// instrument, empty without one.
func movedCell(cells []bannerCell) string {
	for _, c := range cells {
		form := bannerForm(c.text)
		if !looksNumeric(c.text) && (perhapsBanner.MatchString(form) || movedInstrument.MatchString(form)) && !noBanner.MatchString(form) {
			return c.text
		}
	}
	return ""
}

// bannerRow returns the text of the current row and reports whether it only records a
// move of the instrument. It looks in runs, and in files whose heights do not depend on a
// set-up: see [Reader.passBanner].
func (f *shots) bannerRow(r *row) (string, bool) {
	if f.mayMove() || f.outline || f.manner == byBook || f.manner != byRun && f.short(r) == nil && !(f.manner == byElevation && missing(r.X.text) && missing(r.Y.text) && missing(r.Z.text)) {
		return "", false
	}
	t := string(bytes.TrimSpace(lineAt(f.text.body, f.line-f.bodyBefore)))
	if !hintsAtBanner(t) {
		return "", false
	}
	var all []string
	cells, _ := f.bannerCells(t)
	found, figures := false, 0
	for _, c := range cells {
		all = append(all, c.text)
		_, _, ok := matchBanner(c.text)
		found = found || ok
		if looksNumeric(c.text) {
			figures++
		}
	}
	text := strings.Join(all, " ")
	if len(cells) == 2 && shortLabel.MatchString(cells[1].text) && f.manner == byRun {
		if _, _, ok := matchBanner(text); ok {
			return text, true
		}
	}
	return text, found && figures == 0
}

// passBanner leaves out a line that records a move of the instrument. Elevations, depths
// and deviations do not depend on it. Readings of runs must be tied across it: see
// [Reader.tieRuns].
func (f *Reader) passBanner(text string) {
	at := f.at(f.line)
	if f.manner == byElevation && perhapsBanner.MatchString(strings.ToLower(text)) {
		f.fail(&survey.Error{Pos: at, Element: f.up.String(), Found: unit.Quote(survey.Abridged(text)) + " in a list of elevations", Want: "rod readings: an elevation does not change with the laser",
			Hint: "if that column is what the rod reads, head it rod; if it is elevations, put # before that line"})
		return
	}
	if f.manner != byRun {
		f.remarks++
		f.note(survey.LeftOut, at, "%s: no shot; the heights of this list are from no set-up", unit.Quote(survey.Abridged(text)))
		return
	}
	f.s.Rows-- // no reading
	f.runs.moves = append(f.runs.moves, banner{line: f.line, text: text})
}

// linesFrom yields the lines of body from byte offset at on, each with its number. The
// first has number n.
func linesFrom(body []byte, at, n int) func(func(int, []byte) bool) {
	return func(yield func(int, []byte) bool) {
		for ; at < len(body); n++ {
			end := bytes.IndexByte(body[at:], '\n')
			if end < 0 {
				end = len(body) - at
			}
			if !yield(n, body[at:at+end]) {
				return
			}
			at += end + 1
		}
	}
}

// isSetupCell reports whether a column names the set-up of every row.
func (f *table) isSetupCell(column int) bool {
	c := f.of[isSetup]
	return c != nil && c.index == column && f.form.sep != blanks
}

// places reports whether column is x, y or rod and at least two of these have a cell in
// cells.
func (f *table) places(column int, cells []bannerCell) bool {
	used, filled := false, 0
	for _, r := range []role{isX, isY, isRod} {
		if c := f.of[r]; c != nil {
			used = used || c.index == column
			for _, one := range cells {
				if one.column == c.index {
					filled++
				}
			}
		}
	}
	return used && filled > 1
}

// onlyPlace reports whether columns are exactly x and y.
func (f *table) onlyPlace(columns []int) bool {
	x, y := f.of[isX], f.of[isY]
	return x != nil && y != nil && f.form.sep != blanks && len(columns) == 2 && slices.Contains(columns, x.index) && slices.Contains(columns, y.index)
}
