//go:build !light

package exchange

import (
	"archive/zip"
	"bytes"
	"cmp"
	"fmt"
	"io"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"pourplane/plot/table"
	"pourplane/survey"
)

// A sheet has its title in the first row, its heads in the third and its rows from the
// fourth.
const (
	headRow  = 3
	firstRow = headRow + 1
)

const (
	longestSheetName = 31    // characters, ECMA-376 part 1, 18.2.19: limits of the programs that read it
	longestText      = 32767 // characters of a cell

	narrowest, widest = 8., 48.  // of a column, in characters
	portrait          = 95.      // a sheet wider than this is printed across
	usualColumn       = 8.       // width of a column without one set, a little under the true one
	leastAcross       = 72.      // min width of titles and notes
	usualSize         = 11.      // of letters, points
	lineHeight        = 15.      // of a line of them, points
	inputTint         = "FFF3D6" // pale yellow: a figure to change
	boxToTick         = "☐"
	producer          = "pourplane"
	inputNote         = "Tinted figures may be changed; the results are calculated again."
)

// WriteXLSX writes a workbook of Office Open XML (ECMA-376) with one sheet per table.
// Numbers are numbers, in the unit of their head and with the decimals of their column, even
// if the table shows a text in their place. A cell with a Formula gets the formula, with
// each {name} replaced by the place of the cell of that name on any sheet, and also its
// Value, so that a program that does not calculate shows it too. Input cells are tinted.
// Every sheet prints one page wide on the printer's paper, with its heads on every page.
//
// Date is in the properties of the document, where zero is 1 January 1970, and on its parts,
// where an archive allows no date before 1 January 1980. Nothing of the machine is written:
// equal input gives equal bytes. Errors are [*survey.Error], or those of w.
func WriteXLSX(w io.Writer, title string, date time.Time, tables []table.Table) error {
	if len(tables) == 0 {
		return &survey.Error{Element: "workbook", Found: "no table", Want: "at least one"}
	}
	if date.IsZero() {
		date = time.Unix(0, 0)
	}
	b := book{file: excelize.NewFile(), styles: map[style]int{}}
	for _, t := range tables {
		b.tables = append(b.tables, t.Figures())
	}
	defer b.file.Close()
	b.sheets = sheetNames(tables)
	if err := b.findNames(); err != nil {
		return err
	}
	if err := b.findCircle(); err != nil {
		return err
	}
	stamp := date.UTC().Format("2006-01-02T15:04:05Z")
	if err := b.file.SetDocProps(&excelize.DocProperties{
		Title: title, Creator: producer, LastModifiedBy: producer, Created: stamp, Modified: stamp,
	}); err != nil {
		return err
	}
	if err := b.file.SetAppProps(&excelize.AppProperties{Application: producer}); err != nil {
		return err
	}
	for k := range tables {
		if err := b.writeSheet(k); err != nil {
			return err
		}
	}
	b.file.SetZipWriter(func(w io.Writer) excelize.ZipWriter {
		return &parts{Writer: zip.NewWriter(w), date: date.UTC(), content: map[string]*bytes.Buffer{}}
	})
	return b.file.Write(w)
}

// book is a workbook being written.
type book struct {
	file   *excelize.File
	tables []table.Table
	sheets []string          // one per table
	places map[string]string // of the cells that formulas call by name: 'Sheet'!$C$5
	styles map[style]int
}

// style is the look of a cell. The format distinguishes numbers from texts.
type style struct {
	size                float64 // points; 0: default
	bold, ruled, tinted bool
	right, centre, wrap bool
	format              string // of a number; empty: all its digits
}

// where names a cell in messages by its table.
func where(t table.Table, row, column int) string {
	return fmt.Sprintf("table %q, row %d, column %q", t.Title, row+1, t.Columns[column].Name)
}

// findNames checks the tables and finds the places of their named cells.
func (b *book) findNames() error {
	b.places = map[string]string{}
	for k, t := range b.tables {
		if err := t.Check(); err != nil {
			return &survey.Error{Want: err.Error(), Err: err}
		}
		for i, row := range t.Rows {
			for j, cell := range row {
				if n := len(utf16.Encode([]rune(cell.Text))); n > longestText {
					return &survey.Error{Element: where(t, i, j), Found: fmt.Sprintf("a text of %d characters", n),
						Want: fmt.Sprintf("at most %d, which is what a cell of a workbook holds", longestText)}
				}
				if cell.Name == "" {
					continue
				}
				if strings.ContainsAny(cell.Name, "{}") {
					return &survey.Error{Element: where(t, i, j), Found: fmt.Sprintf("the name %q", cell.Name), Want: "a name without braces"}
				}
				if _, twice := b.places[cell.Name]; twice {
					return &survey.Error{Element: where(t, i, j), Found: fmt.Sprintf("the name %q a second time", cell.Name), Want: "a name that no other cell of the book has"}
				}
				place, err := excelize.CoordinatesToCellName(j+1, firstRow+i, true)
				if err != nil {
					return &survey.Error{Element: where(t, i, j), Want: err.Error(), Err: err}
				}
				b.places[cell.Name] = quoted(b.sheets[k]) + "!" + place
			}
		}
	}
	return nil
}

// findCircle refuses formulas that depend on each other.
func (b *book) findCircle() error {
	formulas := map[string]string{} // by the name of their cell
	for _, t := range b.tables {
		for _, row := range t.Rows {
			for _, cell := range row {
				if cell.Name != "" && cell.Formula != "" {
					formulas[cell.Name] = cell.Formula
				}
			}
		}
	}
	done := map[string]bool{}
	var follow func(name string, path []string) error
	follow = func(name string, path []string) error {
		if slices.Contains(path, name) {
			return &survey.Error{Element: "workbook", Found: fmt.Sprintf("a formula that needs its own value: %s", strings.Join(append(path, name), ", ")),
				Want: "formulas that can be worked out one after the other"}
		}
		if done[name] {
			return nil
		}
		for _, braced := range inBraces.FindAllString(formulas[name], -1) {
			if err := follow(braced[1:len(braced)-1], append(slices.Clone(path), name)); err != nil {
				return err
			}
		}
		done[name] = true
		return nil
	}
	for _, name := range slices.Sorted(maps.Keys(formulas)) {
		if err := follow(name, nil); err != nil {
			return err
		}
	}
	return nil
}

// quoted returns a sheet's name, which has no apostrophe, as used in formulas.
func quoted(sheet string) string { return "'" + sheet + "'" }

var inBraces = regexp.MustCompile(`\{[^{}]*\}`)

// formula returns f with places in place of names.
func (b *book) formula(f, element string) (string, error) {
	refuse := func(found, want string) error {
		return &survey.Error{Element: fmt.Sprintf("%s, formula %q", element, f), Found: found, Want: want}
	}
	var unknown string
	out := inBraces.ReplaceAllStringFunc(strings.TrimPrefix(f, "="), func(braced string) string {
		place, known := b.places[braced[1:len(braced)-1]]
		if !known && unknown == "" {
			unknown = braced
		}
		return place
	})
	if unknown != "" {
		return "", refuse("the name "+unknown, "the name of a cell in one of the tables")
	}
	bare := inBraces.ReplaceAllString(f, "")
	if strings.ContainsAny(bare, "{}") {
		return "", refuse("a brace without its other", "names in braces")
	}
	for i, outside := range strings.Split(bare, `"`) {
		for _, r := range outside {
			// Every second part is between quotes, where all letters are allowed.
			if i%2 == 0 && r >= utf8.RuneSelf {
				return "", refuse(fmt.Sprintf("%q", r), "signs a spreadsheet knows: + - * /")
			}
		}
	}
	return out, nil
}

// look returns the number by which cells refer to style s.
func (b *book) look(s style) (int, error) {
	if id, known := b.styles[s]; known {
		return id, nil
	}
	family, err := b.file.GetDefaultFont()
	if err != nil {
		return 0, err
	}
	x := &excelize.Style{
		Font:      &excelize.Font{Family: family, Bold: s.bold, Size: cmp.Or(s.size, usualSize), Color: "000000"},
		Alignment: &excelize.Alignment{WrapText: s.wrap, Vertical: "top"},
	}
	switch {
	case s.centre:
		x.Alignment.Horizontal = "center"
	case s.right:
		x.Alignment.Horizontal = "right"
	}
	if s.ruled {
		x.Alignment.Vertical = "bottom"
		x.Border = []excelize.Border{{Type: "bottom", Color: "000000", Style: 1}}
	}
	if s.tinted {
		x.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{inputTint}}
	}
	if s.format != "" {
		x.CustomNumFmt = &s.format
	}
	id, err := b.file.NewStyle(x)
	b.styles[s] = id
	return id, err
}

// cell returns a cell as written.
func (b *book) cell(c table.Column, cell table.Cell, element string) (any, error) {
	look := style{bold: cell.Bold, tinted: cell.Input, right: c.Right || cell.Number, wrap: !cell.Number, centre: cell.Tick && cell.Text == ""}
	out := excelize.Cell{Value: cell.Text}
	switch {
	case cell.Number:
		out.Value = cell.Value
		if cell.Whole {
			c.Decimals = 0
		}
		if c.Decimals >= 0 {
			look.format = strings.TrimSuffix("0."+strings.Repeat("0", c.Decimals), ".")
			if c.Grouped {
				look.format = "#,##" + look.format
			}
			if cell.Text == table.NotKnown && cell.Value == 0 { // until the user types a number over it
				look.format += ";-" + look.format + `;"` + table.NotKnown + `"`
			}
		}
	case cell.Tick:
		out.Value = strings.TrimSpace(boxToTick + " " + cell.Text)
	}
	var err error
	if cell.Formula != "" {
		if out.Formula, err = b.formula(cell.Formula, element); err != nil {
			return nil, err
		}
	}
	out.StyleID, err = b.look(look)
	return out, err
}

func hasInput(t table.Table) bool { return anyCell(t, func(c table.Cell) bool { return c.Input }) }

// calculates reports whether t has a formula.
func calculates(t table.Table) bool {
	return anyCell(t, func(c table.Cell) bool { return c.Formula != "" })
}

func anyCell(t table.Table, is func(table.Cell) bool) bool {
	return slices.ContainsFunc(t.Rows, func(row []table.Cell) bool { return slices.ContainsFunc(row, is) })
}

// widths returns the width of every column in characters, and their sum. Letters are taken a
// little wide, because the reader's font may differ.
func widths(t table.Table) (wide []float64, total float64) {
	wide = make([]float64, len(t.Columns))
	for j, c := range t.Columns {
		for word := range strings.FieldsSeq(c.Name) { // a head may wrap
			wide[j] = max(wide[j], 1.15*room(word)) // in bold
		}
		wide[j] = max(wide[j], room(c.Name)/2)
		for _, row := range t.Rows {
			if j >= len(row) {
				continue
			}
			s := row[j].Text
			if row[j].Number {
				s = c.Show(table.Cell{Value: row[j].Value, Number: true, Whole: row[j].Whole})
				if c.Decimals < 0 {
					s = s[:min(len(s), 11)] // as many digits as a spreadsheet shows of such a number
				}
			}
			wide[j] = max(wide[j], room(s))
		}
		wide[j] = min(max(wide[j], narrowest), widest)
		total += wide[j]
	}
	return wide, total
}

// room returns the column width that s needs, in characters.
func room(s string) float64 { return 1.2*float64(utf8.RuneCountInString(s)) + 2 }

// rowHeight returns the height of a row whose texts wrap in columns of the given widths; 0,
// for the default of the reader's program, if none wraps.
func rowHeight(texts []string, wide []float64) float64 {
	most := 1
	for j, s := range texts {
		most = max(most, folded(s, wide[j]))
	}
	if most == 1 {
		return 0
	}
	return min(float64(most)*lineHeight, excelize.MaxRowHeight)
}

// folded returns how many lines s takes in a column: wrapped at its spaces, and inside a
// word that is too long.
func folded(s string, wide float64) int {
	lines, now := 0, ""
	for word := range strings.FieldsSeq(s) {
		if now != "" && room(now+" "+word) <= wide {
			now += " " + word
			continue
		}
		now = word
		lines += max(1, int(math.Ceil(room(word)/wide)))
	}
	return max(1, lines)
}

// sheetNames returns a sheet name for every table, made from its title: without characters
// that are not allowed, up to 31 long, and no name twice in any case. An apostrophe becomes
// a typographic one: in formulas a plain one is written twice, which some spreadsheets
// cannot read.
func sheetNames(tables []table.Table) []string {
	names := make([]string, len(tables))
	taken := map[string]bool{"history": true} // reserved by some programs
	for k, t := range tables {
		name := strings.Map(func(r rune) rune {
			switch {
			case strings.ContainsRune(`:\/?*[]`, r) || unicode.IsControl(r):
				return ' '
			case r == '\'':
				return '’'
			}
			return r
		}, strings.ToValidUTF8(cmp.Or(t.Sheet, t.Title), " "))
		name = strings.Join(strings.Fields(name), " ")
		if name == "" {
			name = fmt.Sprintf("Table %d", k+1)
		}
		names[k] = shortened(name, longestSheetName)
		for n := 2; taken[strings.ToLower(names[k])]; n++ {
			ending := fmt.Sprintf(" %d", n)
			names[k] = shortened(name, longestSheetName-len(ending)) + ending
		}
		taken[strings.ToLower(names[k])] = true
	}
	return names
}

// shortened returns the beginning of s up to n units of UTF-16, which is how a spreadsheet
// counts.
func shortened(s string, n int) string {
	for i, r := range s {
		if n -= utf16.RuneLen(r); n < 0 {
			return strings.TrimRight(s[:i], " ")
		}
	}
	return s
}

// parts writes the parts of a workbook into the archive sorted by name, all with one date:
// the library returns them in no fixed order.
type parts struct {
	*zip.Writer
	date    time.Time
	content map[string]*bytes.Buffer
}

func (p *parts) Create(name string) (io.Writer, error) {
	p.content[name] = &bytes.Buffer{}
	return p.content[name], nil
}

func (p *parts) Close() error {
	date := p.date
	if earliest := time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC); date.Before(earliest) {
		date = earliest // of an archive
	}
	for _, name := range slices.Sorted(maps.Keys(p.content)) {
		w, err := p.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: date})
		if err != nil {
			return err
		}
		if _, err := p.content[name].WriteTo(w); err != nil {
			return err
		}
	}
	return p.Writer.Close()
}
