package text

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// bannerSearch finds the lines of a file that begin a set-up. Ambiguous lines are kept
// until all rows are known.
type bannerSearch struct {
	f *Reader

	weak    []banner     // names of a place, which can also name a shot without a reading
	perhaps []banner     // remarks that report a move in other words
	asks    []banner     // remarks that may or may not report a move
	onShots []banner     // remarks that report a move, on rows of shots
	labels  []bannerText // set-ups named on rows of shots

	named                   string // a shot with a name that a set-up can have
	firstRow, lastRow, rows int    // lines with two figures or more
	lastFigure              int    // the last line with a figure; a benchmark without a place counts
}

// bannerText is the name of a set-up on the row of a shot.
type bannerText struct {
	line int
	text string // after bannerForm
	weak bool
}

// bannerLine is a line that bannerHint matches.
type bannerLine struct {
	banner
	written string // without the comment mark
	isNote  bool
	cells   []bannerCell
	found   bool  // cells from at on begin a set-up
	isWeak  bool  // they can also name a shot
	at      int   // index in cells of the first of them
	others  []int // columns of the figures outside the banner
}

// isRow reports whether l has the figures of a shot.
func (l *bannerLine) isRow() bool { return len(l.others) >= 2 && !l.isNote }

// findBanners finds the lines that begin a set-up, and refuses ambiguous ones.
func (f *Reader) findBanners() error {
	s := &bannerSearch{f: f}
	quotes := false
	for n, l := range linesFrom(f.text.body, f.form.start, f.form.first) {
		if inside := quotes; bytes.IndexByte(l, '"') >= 0 || inside {
			if quotes = f.form.sep != blanks && quoteOpen(l, f.form.sep, inside); inside {
				continue
			}
		}
		t := string(bytes.TrimSpace(l))
		if !hintsAtBanner(t) {
			s.countFigures(n, t)
		} else if err := s.judge(f.bannerLine(n, t)); err != nil {
			return err
		}
	}
	if err := s.takeWeak(); err != nil {
		return err
	}
	for _, b := range f.banners { // its comment is not a skipped one
		f.s.Notes = slices.DeleteFunc(f.s.Notes, func(n survey.Note) bool { return n.Pos.Line == b.line })
	}
	slices.SortFunc(f.banners, func(a, b banner) int { return a.line - b.line })
	if err := s.askRemarks(); err != nil {
		return err
	}
	return s.askLabels()
}

// countFigures counts a line that bannerHint does not match.
func (s *bannerSearch) countFigures(n int, t string) {
	m := s.f.form
	if t == "" || isRule(t) || isComment(t, m.sep, m.fields) {
		return
	}
	figures := 0
	for _, c := range split(t, m.sep) {
		if looksNumeric(c) {
			figures++
		}
	}
	if figures > 0 {
		s.lastFigure = n
	}
	if figures >= 2 {
		s.countRow(n)
	}
}

func (s *bannerSearch) countRow(n int) {
	if s.lastRow = n; s.firstRow == 0 {
		s.firstRow = n
	}
	s.rows++
}

// bannerLine looks for a banner among the cells of line n.
func (f *table) bannerLine(n int, t string) *bannerLine {
	l := &bannerLine{isNote: isComment(t, f.form.sep, f.form.fields)}
	if l.isNote {
		t, _ = commentMark(t)
	}
	l.written, l.line = t, n
	l.cells, l.hi = f.bannerCells(t)
	for _, c := range l.cells {
		l.text = strings.TrimSpace(l.text + " " + c.text)
	}
	took := 1 // cells
	for i, c := range l.cells {
		if i+1 < len(l.cells) && shortLabel.MatchString(l.cells[i+1].text) && !f.places(l.cells[i+1].column, l.cells) {
			if l.name, l.isWeak, l.found = matchBanner(c.text + " " + l.cells[i+1].text); l.found {
				l.at, took = i, 2
				break
			}
		}
		if !f.isSetupCell(c.column) {
			if l.name, l.isWeak, l.found = matchBanner(c.text); l.found {
				l.at = i
				break
			}
		}
	}
	for i, c := range l.cells {
		if looksNumeric(c.text) && !(l.found && i >= l.at && i < l.at+took) {
			l.others = append(l.others, c.column)
		}
	}
	return l
}

// judge classifies a line that bannerHint matches.
func (s *bannerSearch) judge(l *bannerLine) error {
	if l.isRow() {
		s.countRow(l.line)
	}
	if !l.found && l.isRow() && s.lastFigure > 0 {
		if text := movedCell(l.cells); text != "" {
			s.onShots = append(s.onShots, banner{line: l.line, text: text})
		}
	}
	if !l.found && s.takeLone(l) {
		return nil
	}
	if len(l.others) > 0 && !l.isNote {
		s.lastFigure = l.line
	}
	if l.found {
		return s.takeBanner(l)
	}
	return s.takeRemark(l)
}

// takeLone takes a line without figures that names a set-up, and reports whether l is
// one. It also remembers the first shot with such a name.
func (s *bannerSearch) takeLone(l *bannerLine) bool {
	f := s.f
	name, ok := f.lone(l.cells)
	switch {
	case ok:
		l.name = name
		s.weak = append(s.weak, l.banner)
		return true
	case len(l.others) >= 2 && s.named == "":
		if _, ok := f.lone(l.cells[:1]); ok {
			s.named = l.cells[0].text
		} else if _, ok := f.lone(l.cells[:2]); ok && f.form.sep == blanks {
			s.named = l.cells[0].text + " " + l.cells[1].text
		}
	}
	return false
}

// takeBanner classifies a line with a banner by its column and the figures beside it.
func (s *bannerSearch) takeBanner(l *bannerLine) error {
	f, cell := s.f, l.cells[l.at]
	switch {
	case len(l.others) == 0 && l.isWeak:
		s.weak = append(s.weak, l.banner)
	case len(l.others) == 0, !l.isWeak && f.onlyPlace(l.others):
		f.banners = append(f.banners, l.banner)
	case cell.column == 0 || f.of[isName] != nil && cell.column == f.of[isName].index:
		if l.isWeak && len(l.others) >= 2 {
			s.named = cmp.Or(s.named, cell.text)
			break
		}
		return &survey.Error{Pos: f.at(l.line), Found: fmt.Sprintf("%q with figures beside it", cell.text), Want: "a set-up that begins on a row of its own, or a shot by another name", Hint: askBanner}
	case f.of[isPart] != nil && cell.column == f.of[isPart].index && l.isWeak:
	default:
		s.labels = append(s.labels, bannerText{l.line, bannerForm(cell.text), l.isWeak})
	}
	return nil
}

// takeRemark classifies a line without a banner: a height of instrument alone, or a
// remark.
func (s *bannerSearch) takeRemark(l *bannerLine) error {
	f, b, sep := s.f, l.banner, s.f.form.sep
	onlyHI := l.hi != "" && len(l.cells) == 0
	switch {
	case onlyHI && l.isNote:
		b.only = true
		f.banners = append(f.banners, b)
	case onlyHI && f.manner == byRod && sep != blanks && strings.ContainsRune(l.written, sep):
		// A line without a separator is read with the rows: see [Reader.trailingHI].
		if !strings.ContainsAny(l.written, "=:") && shortLabel.MatchString(l.hi) {
			return &survey.Error{Pos: f.at(l.line), Found: strconv.Quote(strings.TrimRight(l.written, string(sep)+" ")), Want: "to know whether it is a height of instrument or the number of its place", Hint: fmt.Sprintf("write HI = %s, or SETUP %s", l.hi, l.hi)}
		}
		b.only = true
		f.banners = append(f.banners, b)
	case len(l.others) == 0 && l.hi == "" && len(l.cells) > 0:
		form := bannerForm(l.text)
		switch {
		case noBanner.MatchString(form):
		case perhapsBanner.MatchString(form):
			s.perhaps = append(s.perhaps, b)
		case asksMove.MatchString(form) && (l.isNote || f.manner == bySight):
			s.asks = append(s.asks, b)
		}
	}
	return nil
}

// takeWeak takes the weak lines as banners. It refuses them if a shot has such a name.
func (s *bannerSearch) takeWeak() error {
	f := s.f
	for _, b := range s.weak {
		if s.named != "" {
			return &survey.Error{Pos: f.at(b.line), Found: strconv.Quote(b.text) + " without a reading", Want: fmt.Sprintf("to know whether it is a shot that was not read, such as %q, or the instrument in another place", s.named), Hint: "give the shot a dash for its reading, or head the new place SETUP 2"}
		}
		f.banners = append(f.banners, b)
	}
	return nil
}

// askRemarks refuses remarks that report a move, between rows of shots or on one of them.
// It warns of remarks that may report one.
func (s *bannerSearch) askRemarks() error {
	f := s.f
	for _, b := range s.perhaps {
		if s.firstRow > 0 && s.firstRow < b.line && b.line < s.lastRow {
			return &survey.Error{Pos: f.at(b.line), Found: strconv.Quote(b.text), Want: "to know whether the instrument was moved here", Hint: askBanner}
		}
	}
	for _, b := range s.asks {
		if s.firstRow > 0 && s.firstRow < b.line && b.line < s.lastFigure {
			f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, f.at(b.line), "%s: was the instrument moved here? All is read as if it was not; %s", unit.Quote(survey.Abridged(b.text)), askBanner).About(survey.AboutDepth))
		}
	}
	for _, b := range s.onShots {
		if len(s.onShots) < s.rows-1 || b.text != s.onShots[0].text { // not on every row
			return &survey.Error{Pos: f.at(b.line), Found: fmt.Sprintf("%q on the row of a shot", b.text), Want: "to know whether the instrument was moved here", Hint: askBanner}
		}
	}
	return nil
}

// askLabels refuses set-ups named on rows of shots, unless it is clear which shots belong
// to each.
func (s *bannerSearch) askLabels() error {
	distinct := map[string]bool{}
	for _, l := range s.labels {
		distinct[l.text] = true
	}
	for _, l := range s.labels {
		switch {
		case len(distinct) == 1 && len(s.labels) == s.rows: // one set-up, named on every row
		case l.weak && 2*len(distinct) >= s.rows && s.rows > 2: // names of places
		case s.labels[0].line == s.firstRow && l.text == s.labels[0].text && len(distinct) > 1: // the error is at the next one, where it changes
		default:
			return &survey.Error{Pos: s.f.at(l.line), Found: fmt.Sprintf("%q on the row of a shot", l.text), Want: "to know which shots were read from where",
				Hint: "head the column setup if it names the set-up of every shot; else " + askBanner}
		}
	}
	return nil
}
