//go:build !light

package text

import (
	"archive/zip"
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"pourplane/survey"
	"pourplane/survey/internal/input"
	"pourplane/survey/unit"
)

// sheetLines is a sheet as text.
type sheetLines struct {
	workbookSheet
	text   []byte
	hidden int // number of hidden rows
}

// BeginWorkbook is [Begin] for a workbook (XLSX). It reads the sheet that o.Sheet names,
// or the only one that has shots (corners for an outline). Each row is a line. Cells keep
// their full value, not what the spreadsheet displays. A damaged workbook, and several
// sheets that fit, are errors.
func BeginWorkbook(b []byte, name string, o survey.Options, outline bool) (f *Reader, err error) {
	defer func() {
		// A damaged workbook can make the library panic.
		if p := recover(); p != nil {
			f, err = nil, damagedWorkbook(name, fmt.Errorf("%v", p))
		}
	}()
	if err := isWorkbook(b, name, o); err != nil {
		return nil, err
	}
	// If both limits are equal, nothing is unpacked to disk.
	book, err := excelize.OpenReader(bytes.NewReader(b), excelize.Options{UnzipSizeLimit: o.Limit(), UnzipXMLSizeLimit: o.Limit(), RawCellValue: true})
	if err != nil {
		return nil, damagedWorkbook(name, err)
	}
	defer book.Close()
	sheet, others, err := chooseSheet(book, name, o, outline)
	if err != nil {
		return nil, err
	}
	if f, err = begin(sheet.text, name, o, outline, &sheet.workbookSheet); err != nil {
		inSheet(err, sheet.name)
		return nil, err
	}
	how := fmt.Sprintf("sheet %s is read", unit.Quote(sheet.name))
	if len(others) > 0 {
		how += ", not " + quotedNames(others)
	}
	f.note(survey.Assumed, f.at(0), "%s", how)
	if sheet.hidden > 0 {
		f.note(survey.Warning, f.at(0), "%d hidden rows are read like the others", sheet.hidden)
	}
	for i := range f.s.Notes {
		if n := &f.s.Notes[i]; n.Pos.File == name {
			n.Pos.Sheet = sheet.name
		}
	}
	f.s.Format, f.s.Sheet = "XLSX, sheet "+unit.Quote(sheet.name), sheet.name
	f.s.Served.Sheet, f.s.Served.Left = true, others
	return f, nil
}

func damagedWorkbook(name string, err error) error {
	return &survey.Error{Pos: survey.Pos{File: name}, Found: "a workbook that cannot be read: " + err.Error(), Want: "a whole workbook (XLSX)", Hint: "save the sheet as delimited text (CSV)", Err: err}
}

// isWorkbook returns an error for an archive that is not an XLSX workbook, or is above
// o.Limit unpacked.
func isWorkbook(b []byte, name string, o survey.Options) error {
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		return damagedWorkbook(name, err)
	}
	refuse := func(what, hint string) error {
		return &survey.Error{Pos: survey.Pos{File: name}, Found: what, Want: "delimited text or a workbook (XLSX)", Hint: hint}
	}
	const save = "save it as XLSX, or the sheet as delimited text (CSV)"
	var size uint64
	found := refuse("an archive", "unpack it first")
	for _, f := range z.File {
		size += f.UncompressedSize64
		switch {
		case f.Name == "xl/workbook.bin":
			found = refuse("a binary workbook (XLSB)", save)
		case strings.HasPrefix(f.Name, "xl/") && !strings.HasSuffix(f.Name, ".bin"):
			found = nil
		case strings.HasPrefix(f.Name, "word/"):
			found = refuse("a word processor's document", "save the list as delimited text (CSV)")
		case f.Name == "mimetype":
			kind := make([]byte, 100)
			if r, err := f.Open(); err == nil {
				n, _ := io.ReadFull(r, kind)
				kind = kind[:n]
				r.Close()
			}
			if bytes.Contains(kind, []byte("opendocument.spreadsheet")) {
				return refuse("an OpenDocument spreadsheet (ODS)", save)
			}
			if bytes.Contains(kind, []byte("opendocument")) {
				return refuse("an OpenDocument file that is no spreadsheet", save)
			}
		}
		if found == nil && slices.ContainsFunc(z.File, func(f *zip.File) bool { return f.Name == "xl/workbook.bin" }) {
			return refuse("a binary workbook (XLSB)", save)
		}
	}
	if found == nil && size > uint64(o.Limit()) {
		return input.TooLarge(name, o.Limit())
	}
	return found
}

// quotedNames returns names in quotes, separated by commas.
func quotedNames(names []string) string {
	var q []string
	for _, n := range names {
		q = append(q, unit.Quote(n))
	}
	return strings.Join(q, ", ")
}

// chooseSheet returns the sheet to read and the names of the others.
func chooseSheet(book *excelize.File, name string, o survey.Options, outline bool) (sheet *sheetLines, others []string, err error) {
	all := book.GetSheetList()
	pos := survey.Pos{File: name}
	flag := cmp.Or(o.SheetOption, "sheet")
	if outline {
		flag = "outline-sheet"
	}
	oneOf := func(first string) unit.Text {
		if outline {
			return unit.Textf("%s, one of these", unit.Ask(flag, "NAME"))
		}
		return unit.Textf("%s", unit.AskQuoted(flag, first))
	}
	defer func() {
		for _, n := range all {
			if sheet != nil && n != sheet.name {
				others = append(others, n)
			}
		}
	}()
	if o.Sheet != "" {
		for _, n := range all {
			if strings.EqualFold(strings.TrimSpace(n), strings.TrimSpace(o.Sheet)) {
				sheet, err = sheetText(book, name, n)
				return sheet, nil, err
			}
		}
		return nil, nil, (&survey.Error{Pos: pos, Found: "the sheets " + quotedNames(all), Want: fmt.Sprintf("a sheet named %q", o.Sheet)}).Hinting(oneOf(all[0]))
	}
	var filled, fit, walls []string // walls: sheets with corners and no shots
	var lastFilled, lastFit *sheetLines
	var wrong error // error of lastFit
	for _, n := range all {
		if visible, err := book.GetSheetVisible(n); err != nil || !visible {
			continue
		}
		one, err := sheetText(book, name, n)
		if err != nil && !errors.As(err, new(*survey.Error)) || err == nil && len(one.text) == 0 {
			continue // a chart or an empty sheet
		}
		filled, lastFilled = append(filled, n), one
		if err != nil || holdsShots(one, name, o, outline) {
			fit, lastFit, wrong = append(fit, n), one, err
			if outline && err == nil && !holdsShots(one, name, o, false) {
				walls = append(walls, n)
			}
		}
	}
	what, want := "shots", "one sheet of shots"
	if outline {
		what, want = "corners", "one sheet of corners"
	}
	switch {
	case len(fit) == 1:
		return lastFit, nil, wrong
	case len(filled) == 1:
		return lastFilled, nil, nil
	case len(filled) == 0:
		return nil, nil, &survey.Error{Pos: pos, Found: "a workbook without cells", Want: want}
	case len(fit) == 0:
		return nil, nil, (&survey.Error{Pos: pos, Found: "no sheet with " + what + " among " + quotedNames(filled), Want: want}).Hinting(oneOf(filled[0]))
	}
	e := &survey.Error{Pos: pos, Found: fmt.Sprintf("%d sheets with %s: %s", len(fit), what, quotedNames(fit)), Want: want}
	switch {
	case len(walls) > 0:
		e = e.Hinted("%s", unit.AskQuoted(flag, walls[0]))
	case outline: // each has shots, and one of them is the survey
		e = e.Hinted("%s, the sheet with the corners of the walls; the workbook has %s", unit.Ask(flag, "NAME"), quotedNames(filled))
	default:
		e = e.Hinted("%s", unit.AskQuoted(flag, fit[0]))
	}
	return nil, nil, e
}

// holdsShots reports whether a sheet has the columns of a survey, or of an outline. Other
// errors are reported when it is read.
func holdsShots(sheet *sheetLines, name string, o survey.Options, outline bool) bool {
	f, err := understand(bytes.Clone(sheet.text), name, o, outline, &sheet.workbookSheet)
	if err == nil {
		return outline || f.form.grid || f.manner != planOnly
	}
	switch {
	case f == nil || f.form == nil:
		return false
	case f.layout != nil:
		return f.known && (outline || f.manner != planOnly)
	case f.form.head != nil:
		return true
	}
	// A list without a header: the order of its columns is asked later.
	return f.form.fields >= 3 && len(f.form.content) > 0 && dataLike(split(f.form.content[0].text, f.form.sep), 3)
}

// sheetText returns the cells of a sheet as text: a line for each row, with tabs between
// fields.
func sheetText(book *excelize.File, name, sheet string) (*sheetLines, error) {
	rows, err := book.GetRows(sheet)
	if err != nil {
		return nil, err
	}
	left, right := math.MaxInt, 0
	for _, row := range rows {
		for i, c := range row {
			if strings.TrimSpace(c) != "" {
				left, right = min(left, i), max(right, i+1)
			}
		}
	}
	out := &sheetLines{workbookSheet: workbookSheet{name: sheet, left: left}}
	if right == 0 {
		return out, nil
	}
	formats := map[int]numberFormat{}
	var b bytes.Buffer
	for n, row := range rows {
		at := func(i int) string {
			cell, _ := excelize.CoordinatesToCellName(i+1, n+1)
			return cell
		}
		refuse := func(i int, found, want, hint string) error {
			return &survey.Error{Pos: survey.Pos{File: name, Line: n + 1, Col: i + 1, Sheet: sheet}, Found: found, Want: want, Hint: hint}
		}
		if visible, err := book.GetRowVisible(sheet, n+1); err == nil && !visible && len(row) > 0 {
			out.hidden++
		}
		first := true
		for i := left; i < right; i++ {
			if i > left {
				b.WriteByte('\t')
			}
			c := ""
			if i < len(row) {
				c = row[i]
			}
			if c == "" {
				if formula, _ := book.GetCellFormula(sheet, at(i)); formula != "" {
					kind, _ := book.GetCellType(sheet, at(i))
					if kind == excelize.CellTypeUnset || kind == excelize.CellTypeNumber {
						return nil, refuse(i, "a formula without a value", "the value that it gives", "open the workbook in a spreadsheet program and save it there, or save the sheet as delimited text (CSV)")
					}
				}
				continue
			}
			kind, err := book.GetCellType(sheet, at(i))
			if err != nil {
				return nil, err
			}
			switch kind {
			case excelize.CellTypeUnset, excelize.CellTypeNumber:
				style, err := book.GetCellStyle(sheet, at(i))
				if err != nil {
					return nil, err
				}
				as, ok := formats[style]
				if !ok {
					as = formatOf(book, style)
					formats[style] = as
				}
				c = as.text(c)
			case excelize.CellTypeBool:
				c = map[bool]string{true: "TRUE", false: "FALSE"}[c == "1" || strings.EqualFold(c, "true")]
			case excelize.CellTypeError:
				if first { // #N/A at the start of a line would be a comment
					return nil, refuse(i, c, "the name or the number that belongs there", "")
				}
			}
			first = first && strings.TrimSpace(c) == ""
			b.WriteString(field(c))
		}
		b.WriteByte('\n')
	}
	out.text = b.Bytes()
	return out, nil
}

// field returns a cell as one field of a line.
func field(c string) string {
	c = strings.Map(func(r rune) rune {
		switch r {
		case '\t', '\n', '\r', 0:
			return ' '
		}
		return r
	}, c)
	if strings.Contains(c, `"`) {
		return `"` + strings.ReplaceAll(c, `"`, `""`) + `"`
	}
	return c
}

// numberFormat is the part of a number format that changes what the number means.
type numberFormat struct {
	date bool
	unit string // after the number, such as " mm"
}

// text returns the number of a cell to 15 significant digits, as spreadsheets compute it.
// A date becomes a text that is not a length.
func (n numberFormat) text(raw string) string {
	v, err := strconv.ParseFloat(raw, 64)
	if err != nil {
		return raw
	}
	if n.date {
		t, err := excelize.ExcelDateToTime(v, false)
		if err != nil {
			return raw
		}
		if v >= 0 && v < 1 {
			return t.Format(time.TimeOnly)
		}
		return t.Format(time.DateOnly)
	}
	if v, err = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 15, 64), 64); err != nil {
		return raw
	}
	return strconv.FormatFloat(v, 'f', -1, 64) + n.unit
}

var (
	formatLiteral = regexp.MustCompile(`"([^"]*)"|\\(.)|_.|\*.`)
	formatBracket = regexp.MustCompile(`\[[^\]]*\]`)
)

// formatOf returns the number format of a style. Built-in formats: ECMA-376-1, 18.8.30,
// numFmt. Dates and times are 14 to 22 and 45 to 47, in East Asian versions also 27 to 36
// and 50 to 58.
func formatOf(book *excelize.File, style int) numberFormat {
	s, err := book.GetStyle(style)
	if err != nil || s == nil {
		return numberFormat{}
	}
	if s.CustomNumFmt == nil {
		n := s.NumFmt
		return numberFormat{date: n >= 14 && n <= 22 || n >= 27 && n <= 36 || n >= 45 && n <= 47 || n >= 50 && n <= 58}
	}
	return readFormat(*s.CustomNumFmt)
}

// readFormat parses the code of a number format. Its first section, for numbers above 0,
// shows whether the number is a date. The literal texts of all sections together are the
// unit, if they are one.
func readFormat(code string) numberFormat {
	literal := ""
	code = formatLiteral.ReplaceAllStringFunc(code, func(m string) string {
		switch {
		case m[0] == '"':
			literal += m[1 : len(m)-1]
		case m[0] == '\\':
			literal += m[1:]
		}
		return ""
	})
	elapsed := regexp.MustCompile(`(?i)\[(h+|m+|s+)\]`).MatchString(code)
	code, _, _ = strings.Cut(formatBracket.ReplaceAllString(code, ""), ";")
	code = strings.ReplaceAll(strings.ToLower(code), "general", "")
	if elapsed || strings.ContainsAny(code, "ymdhs") {
		return numberFormat{date: true}
	}
	if u, ok := unit.ParseLength(strings.TrimSpace(literal)); ok {
		return numberFormat{unit: " " + u.String()}
	}
	return numberFormat{}
}

// inSheet sets the sheet in the errors of its cells.
func inSheet(err error, sheet string) {
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range many.Unwrap() {
			inSheet(e, sheet)
		}
		return
	}
	var e *survey.Error
	if errors.As(err, &e) {
		e.Sheet = sheet
	}
}
