package text

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// book is a workbook to be written: sheets by name, rows of cells from A1.
type book []sheetOfBook

type sheetOfBook struct {
	name   string
	rows   [][]any
	change func(t *testing.T, f *excelize.File, sheet string)
}

func (b book) bytes(t *testing.T) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for i, s := range b {
		if i == 0 {
			must(t, f.SetSheetName("Sheet1", s.name))
		} else if _, err := f.NewSheet(s.name); err != nil {
			t.Fatal(err)
		}
		for n, row := range s.rows {
			for k, v := range row {
				if v == nil {
					continue
				}
				at, err := excelize.CoordinatesToCellName(k+1, n+1)
				must(t, err)
				must(t, f.SetCellValue(s.name, at, v))
			}
		}
		if s.change != nil {
			s.change(t, f, s.name)
		}
	}
	var out bytes.Buffer
	must(t, f.Write(&out))
	return out.Bytes()
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// readBook reads the sheet of a workbook that the options name.
func readBook(t *testing.T, name string, b []byte, o survey.Options, outline bool) (*survey.Survey, error) {
	t.Helper()
	f, err := BeginWorkbook(b, name, o, outline)
	if err != nil {
		return nil, err
	}
	return f.Alone()
}

func formatted(cell, code string) func(*testing.T, *excelize.File, string) {
	return func(t *testing.T, f *excelize.File, sheet string) {
		style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &code})
		must(t, err)
		must(t, f.SetCellStyle(sheet, cell, cell, style))
	}
}

var shotRows = [][]any{
	{"Point", "x [m]", "y [m]", "z [m]"},
	{1, 0, 0, 9.98},
	{2, 4, 0, 9.985},
	{"P3", 4, 3, 9.9775},
	{4, 0, 3, 9.97},
}

var cornerRows = [][]any{{"x [m]", "y [m]"}, {0, 0}, {4, 0}, {4, 3}, {0, 3}}

// A sheet reads like the same cells in delimited text: header, units, feet and inches,
// blank rows and a preamble.
func TestWorkbookReadsAsText(t *testing.T) {
	for _, c := range []struct {
		name string
		rows [][]any
		o    survey.Options
	}{
		{"metres", shotRows, survey.Options{}},
		{"a preamble, blank rows, an empty column on the left", [][]any{{}, {nil, "Hall, as found"}, {nil, "Units:", "metres"}, {}, {nil, "Point", "x", "y", "z"}, {nil, "A", 0, 0, 9.98}, {}, {nil, "B", 4, 0, 9.985}, {nil, "C", 4, 3, 9.9}}, survey.Options{}},
		{"feet and inches", [][]any{{"pt", "x (ft)", "y (ft)", "rod"}, {1, 0, 0, `5'-3 3/8"`}, {2, 10, 0, `5' 3 1/2"`}, {3, 10, 8, `4-11 7/8`}, {4, 0, 8, `63 3/8"`}}, survey.Options{HasInstrument: true, Instrument: 30}},
		{"without a header", [][]any{{1, 5.5, 7.25, 9.98, "FL"}, {2, 6.5, 7.25, 9.98, "FL"}, {3, 6.5, 9, 9.98, "FL"}}, survey.Options{Order: "PENZD", Unit: unit.Metre}},
		{"a grid", [][]any{{"m", "A", "B", "C"}, {1, 1.512, 1.515, 1.521}, {2, 1.513, 1.517, 1.519}}, survey.Options{HasInstrument: true, Instrument: 11.5, Grid: survey.Grid{LetterStep: 3, NumberStep: 2, Bearings: &survey.GridBearings{Letters: 90, Numbers: 180}, Values: survey.Rod, HasValues: true}}},
	} {
		var csv strings.Builder
		for _, row := range c.rows {
			var cells []string
			for _, v := range row {
				if v == nil {
					v = ""
				}
				cells = append(cells, field(fmt.Sprint(v)))
			}
			csv.WriteString(strings.Join(cells, "\t") + "\n")
		}
		want, err := Read(strings.NewReader(csv.String()), "f", c.o)
		if err != nil {
			t.Fatalf("%s as text: %v", c.name, err)
		}
		for _, thin := range []survey.Thin{{}, {Cell: 0.01}} {
			c.o.Thin = thin
			got, err := readBook(t, "book.xlsx", book{{name: "Shots", rows: c.rows}}.bytes(t), c.o, false)
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			if len(got.Points) != len(want.Points) || got.Rows != want.Rows || len(got.Points) < 3 {
				t.Errorf("%s: %d points of %d rows, want %d of %d", c.name, len(got.Points), got.Rows, len(want.Points), want.Rows)
				continue
			}
			for i, p := range got.Points {
				q := want.Points[i]
				if thin.Cell == 0 && (p.X != q.X || p.Y != q.Y || p.Z != q.Z || p.Name() != q.Name() || p.Code() != q.Code() || p.At().Line != q.At().Line) {
					t.Errorf("%s: point %v, want %v", c.name, p, q)
				}
			}
			if got.Format != `XLSX, sheet "Shots"` || got.Delimiter != "cells" {
				t.Errorf("%s: %q, %q", c.name, got.Format, got.Delimiter)
			}
		}
	}
}

// Positions name the sheet and the cell, or the row.
func TestWorkbookPositions(t *testing.T) {
	rows := slices.Clone(shotRows)
	rows[3] = []any{"P3", 4, 3, "nine"}
	for _, c := range []struct {
		name string
		b    book
		o    survey.Options
		want string
	}{
		{"a word", book{{name: "Level 1", rows: rows}}, survey.Options{}, `b.xlsx:Level 1!D4: column 4 "z [m]": found "nine"`},
		{"an empty column on the left", book{{name: "S", rows: [][]any{nil, {nil, nil, "x [m]", "y [m]", "z [m]"}, {nil, nil, 0, 0, 9}, {nil, nil, 4, 0, "nine"}, {nil, nil, 4, 4, 9}}}}, survey.Options{}, `b.xlsx:S!E4: column 3 "z [m]": found "nine"`},
		{"far to the right", book{{name: "S", rows: [][]any{append(make([]any, 26), "x [m]", "y [m]", "z [m]"), append(make([]any, 26), 0, 0, 9), append(make([]any, 26), 4, 0, "nine"), append(make([]any, 26), 4, 4, 9)}}}, survey.Options{}, `b.xlsx:S!AC3: column 3 "z [m]": found "nine"`},
		{"no unit", book{{name: "S", rows: [][]any{{"x", "y", "z"}, {0, 0, 9}, {4, 0, 9}, {4, 4, 9}}}}, survey.Options{}, `b.xlsx:S`},
		{"no header", book{{name: "S", rows: [][]any{{0, 0, 9.5}, {4, 0, 9.5}, {4, 4, 9.5}}}}, survey.Options{Unit: unit.Metre}, `b.xlsx:S row 1: found 3 columns without a header`},
		{"a date made of a fraction", book{{name: "S", rows: [][]any{{"x (ft)", "y (ft)", "rod (in)"}, {0, 0, `63 3/8"`}, {4, 0, time.Date(2026, 3, 8, 0, 0, 0, 0, time.UTC)}, {4, 4, `63 1/2"`}}}}, survey.Options{HasInstrument: true}, `b.xlsx:S!C3: column 3 "rod (in)": found "2026-03-08", want a length; this looks like a date that a spreadsheet made of a fraction`},
		{"a date of another form", book{{name: "S", rows: [][]any{{"x [m]", "y [m]", "z [m]"}, {0, 0, 9.5}, {4, 0, 46000}, {4, 4, 9.5}}, change: formatted("C3", "d-mmm")}}, survey.Options{}, `b.xlsx:S!C3: column 3 "z [m]": found "2025-12-09", want a length; this looks like a date`},
		{"in a grid", book{{name: "S", rows: [][]any{nil, {nil, "m", "A", "B", "C"}, {nil, 1, 1.512, 1.515, 1.521}, {nil, 2, 1.513, "1.5x7", 1.519}}}}, survey.Options{HasInstrument: true, Instrument: 11.5, Grid: survey.Grid{LetterStep: 3, NumberStep: 2, Bearings: &survey.GridBearings{Letters: 90, Numbers: 180}, Values: survey.Rod, HasValues: true}}, `b.xlsx:S!D4: `},
	} {
		_, err := readBook(t, "b.xlsx", c.b.bytes(t), c.o, false)
		if err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s: %v\nwant %s", c.name, err, c.want)
		}
	}
	// As other programs write them: a formula without its last value, and an error in
	// place of a name.
	plain := book{{name: "S", rows: shotRows}}.bytes(t)
	for _, c := range []struct{ old, new, want string }{
		{`<c r="D3"><v>9.985</v></c>`, `<c r="D3"><f>D2+0.005</f></c>`, "b.xlsx:S!D3: found a formula without a value, want the value that it gives"},
		{`<c r="D3"><v>9.985</v></c>`, `<c r="D3"><f>D2+0.005</f><v>9.985</v></c>`, ""},
		{`<c r="A3"><v>2</v></c>`, `<c r="A3" t="e"><v>#REF!</v></c>`, "b.xlsx:S!A3: found #REF!, want the name or the number that belongs there"},
	} {
		_, err := readBook(t, "b.xlsx", rewritten(t, plain, c.old, c.new), survey.Options{}, false)
		if got := fmt.Sprint(err); c.want == "" && err != nil || !strings.HasPrefix(got, c.want) {
			t.Errorf("%s: %v, want %s", c.new, err, c.want)
		}
	}
	s, err := readBook(t, "b.xlsx", plain, survey.Options{}, false)
	must(t, err)
	if got := s.Points[1].At().String(); got != "b.xlsx:S row 3" {
		t.Errorf("place %s", got)
	}
	for _, n := range s.Notes {
		if n.Pos.Sheet != "S" {
			t.Errorf("a note without its sheet: %v", n)
		}
	}
}

// The sheet read is the named one, or the only one with shots.
func TestWorkbookSheets(t *testing.T) {
	notes := [][]any{{"Hall"}, {"Surveyed", time.Date(2026, 11, 20, 0, 0, 0, 0, time.UTC)}, {"Crew", "two"}}
	hide := func(t *testing.T, f *excelize.File, s string) { must(t, f.SetSheetVisible(s, false)) }
	noUnit := [][]any{{"x", "y", "z"}, {0, 0, 9}, {4, 0, 9}, {4, 4, 9}}
	for _, c := range []struct {
		name    string
		b       book
		sheet   string
		outline bool
		read    string // sheet; else refused
		want    string
		hint    string
	}{
		{"one of several", book{{name: "Notes", rows: notes}, {name: "Shots", rows: shotRows}, {name: "Empty"}, {name: "Walls", rows: cornerRows}}, "", false, "Shots", "", ""},
		{"an outline", book{{name: "Notes", rows: notes}, {name: "Walls", rows: cornerRows}}, "", true, "Walls", "", ""},
		{"an outline beside shots", book{{name: "Shots", rows: shotRows}, {name: "Walls", rows: cornerRows}}, "", true, "", `b.xlsx: found 2 sheets with corners: "Shots", "Walls", want one sheet of corners`, `--outline-sheet "Walls"`},
		{"an outline beside shots, named wrongly", book{{name: "Shots", rows: shotRows}, {name: "Walls", rows: cornerRows}}, "wall", true, "", `b.xlsx: found the sheets "Shots", "Walls", want a sheet named "wall"`, `--outline-sheet NAME, one of these`},
		{"an outline among shots", book{{name: "Notes", rows: notes}, {name: "Before", rows: shotRows}, {name: "After", rows: shotRows}}, "", true, "", `b.xlsx: found 2 sheets with corners: "Before", "After", want one sheet of corners`, `--outline-sheet NAME, the sheet with the corners of the walls; the workbook has "Notes", "Before", "After"`},
		{"no outline", book{{name: "Notes", rows: notes}, {name: "More", rows: notes}}, "", true, "", `b.xlsx: found no sheet with corners among "Notes", "More", want one sheet of corners`, `--outline-sheet NAME, one of these`},
		{"an outline by name", book{{name: "Shots", rows: shotRows}, {name: "Walls", rows: cornerRows}}, "walls", true, "Walls", "", ""},
		{"two", book{{name: "Before", rows: shotRows}, {name: "After", rows: shotRows}}, "", false, "", `b.xlsx: found 2 sheets with shots: "Before", "After", want one sheet of shots`, `--sheet "Before"`},
		{"two, one of which lacks its unit", book{{name: "Before", rows: noUnit}, {name: "After", rows: shotRows}}, "", false, "", `b.xlsx: found 2 sheets with shots: "Before", "After", want one sheet of shots`, `--sheet "Before"`},
		{"two, one of which has no header", book{{name: "Before", rows: shotRows[1:]}, {name: "After", rows: shotRows}}, "", false, "", `b.xlsx: found 2 sheets with shots: "Before", "After", want one sheet of shots`, `--sheet "Before"`},
		{"by name", book{{name: "Before", rows: shotRows}, {name: "After", rows: shotRows}}, " after", false, "After", "", ""},
		{"a name that is not there", book{{name: "Before", rows: shotRows}, {name: "After", rows: shotRows}}, "Later", false, "", `b.xlsx: found the sheets "Before", "After", want a sheet named "Later"`, `--sheet "Before"`},
		{"one hidden", book{{name: "Before", rows: shotRows}, {name: "After", rows: shotRows, change: hide}}, "", false, "Before", "", ""},
		{"the hidden one by name", book{{name: "Before", rows: shotRows}, {name: "After", rows: shotRows, change: hide}}, "After", false, "After", "", ""},
		{"none", book{{name: "Notes", rows: notes}, {name: "More", rows: notes}}, "", false, "", `b.xlsx: found no sheet with shots among "Notes", "More", want one sheet of shots`, `--sheet "Notes"`},
		{"nothing", book{{name: "Empty"}}, "", false, "", `b.xlsx: found a workbook without cells, want one sheet of shots`, ""},
	} {
		s, err := readBook(t, "b.xlsx", c.b.bytes(t), survey.Options{Sheet: c.sheet}, c.outline)
		if c.read == "" {
			hints := strings.Join(survey.Hints(err), "; ")
			if err == nil || err.Error() != c.want || hints != c.hint {
				t.Errorf("%s: %v, hint %s\nwant %s, hint %s", c.name, err, hints, c.want, c.hint)
			}
			continue
		}
		if err != nil || s.Format != fmt.Sprintf("XLSX, sheet %q", c.read) {
			t.Errorf("%s: %v, %v", c.name, s, err)
			continue
		}
		if !slices.ContainsFunc(s.Notes, func(n survey.Note) bool {
			return n.Kind == survey.Assumed && strings.HasPrefix(n.Text.String(), fmt.Sprintf("sheet %q is read", c.read)) && strings.Contains(n.Text.String(), ", not ") == (len(c.b) > 1)
		}) {
			t.Errorf("%s: notes %v", c.name, s.Notes)
		}
	}
}

// The value of a cell is read in full, as the spreadsheet computes it. A unit in its
// format is the unit of the cell.
func TestWorkbookCells(t *testing.T) {
	with := func(value any, code string) book {
		rows := slices.Clone(shotRows)
		rows[2] = []any{2, 4, 0, value}
		return book{{name: "S", rows: rows, change: func(t *testing.T, f *excelize.File, s string) {
			if code != "" {
				formatted("D3", code)(t, f, s)
			}
		}}}
	}
	for _, c := range []struct {
		name  string
		value any
		code  string
		want  float64
	}{
		{"two places shown", 9.98765, "0.00", 9.98765},
		{"the noise of binary sums", 9.9 + 0.08, "", 9.98},
		{"tiny noise", 9.0000000000000018, "", 9},
		{"a fraction shown", 9.375, "# ??/??", 9.375},
		{"a word before", 9.98, `"RL "0.000`, 9.98},
		{"metres shown", 9.98, `0.000" m"`, 9.98},
		{"millimetres shown", 9980, `0\ "mm"`, 9.98},
		{"feet shown", 10, `0.00"ft"`, 3.048},
		{"inches shown", 100, `0\"`, 2.54},
		{"in red below 0", -0.5, `0.00;[Red]-0.00`, -0.5},
	} {
		s, err := readBook(t, "b.xlsx", with(c.value, c.code).bytes(t), survey.Options{}, false)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if got := s.Points[1].Z; got != c.want && math.Abs(got-c.want) > 1e-15 {
			t.Errorf("%s: %.17g, want %.17g", c.name, got, c.want)
		}
	}
	// Dates outside columns of lengths, and formulas with a value, are accepted.
	rows := [][]any{{"Point", "x [m]", "y [m]", "z [m]", "date"}}
	for _, r := range shotRows[1:] {
		rows = append(rows, append(slices.Clone(r), time.Date(2026, 11, 20, 8, 30, 0, 0, time.UTC)))
	}
	s, err := readBook(t, "b.xlsx", book{{name: "S", rows: rows, change: func(t *testing.T, f *excelize.File, s string) {
		must(t, f.SetRowVisible(s, 3, false))
	}}}.bytes(t), survey.Options{}, false)
	must(t, err)
	if len(s.Points) != 4 {
		t.Errorf("%d points", len(s.Points))
	}
	if !slices.ContainsFunc(s.Notes, func(n survey.Note) bool {
		return n.Kind == survey.Warning && n.Text.String() == "1 hidden rows are read like the others"
	}) {
		t.Errorf("notes %v", s.Notes)
	}
}

func TestNumberFormats(t *testing.T) {
	for code, want := range map[string]numberFormat{
		"General": {}, "0.00": {}, "#,##0.000": {}, "0.00E+00": {}, "0%": {}, "# ?/?": {}, `"shot "0`: {}, `0.00_);[Red](0.00)`: {}, `0.00" m"`: {unit: " m"}, `0\ \m\m`: {unit: " mm"},
		"d-mmm": {date: true}, "mm/dd/yy": {date: true}, "yyyy": {date: true}, "h:mm": {date: true}, "[h]:mm": {date: true}, "[$-409]d-mmm-yy;@": {date: true}, `m"/"d`: {date: true},
	} {
		if got := readFormat(code); got != want {
			t.Errorf("%s: %+v, want %+v", code, got, want)
		}
	}
}

// rewritten replaces text in the first sheet of a workbook.
func rewritten(t *testing.T, b []byte, old, new string) []byte {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	must(t, err)
	var files []string
	for _, f := range r.File {
		in, err := f.Open()
		must(t, err)
		text, err := io.ReadAll(in)
		must(t, err)
		if f.Name == "xl/worksheets/sheet1.xml" {
			if !bytes.Contains(text, []byte(old)) {
				t.Fatalf("no %s in %s", old, text)
			}
			text = bytes.ReplaceAll(text, []byte(old), []byte(new))
		}
		files = append(files, f.Name, string(text))
	}
	return archive(t, files...)
}

// archive returns an archive of files, each a name and its content.
func archive(t *testing.T, files ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(files); i += 2 {
		w, err := z.Create(files[i])
		must(t, err)
		_, err = io.WriteString(w, files[i+1])
		must(t, err)
	}
	must(t, z.Close())
	return b.Bytes()
}

func TestArchivesThatAreNoWorkbooks(t *testing.T) {
	good := book{{name: "S", rows: shotRows}}.bytes(t)
	const want = ", want delimited text or a workbook (XLSX)"
	for _, c := range []struct {
		name string
		b    []byte
		o    survey.Options
		want string
		hint string
	}{
		{"ODS", archive(t, "mimetype", "application/vnd.oasis.opendocument.spreadsheet", "content.xml", "<x/>"), survey.Options{}, "b: found an OpenDocument spreadsheet (ODS)" + want, "save it as XLSX, or the sheet as delimited text (CSV)"},
		{"ODT", archive(t, "mimetype", "application/vnd.oasis.opendocument.text"), survey.Options{}, "b: found an OpenDocument file that is no spreadsheet" + want, "save it as XLSX, or the sheet as delimited text (CSV)"},
		{"XLSB", archive(t, "xl/styles.xml", "", "xl/workbook.bin", ""), survey.Options{}, "b: found a binary workbook (XLSB)" + want, "save it as XLSX, or the sheet as delimited text (CSV)"},
		{"a document", archive(t, "word/document.xml", ""), survey.Options{}, "b: found a word processor's document" + want, "save the list as delimited text (CSV)"},
		{"an archive", archive(t, "floor.csv", "x,y,z"), survey.Options{}, "b: found an archive" + want, "unpack it first"},
		{"cut short", good[:len(good)/2], survey.Options{}, "b: found a workbook that cannot be read: ", "save the sheet as delimited text (CSV)"},
		{"not a workbook inside", archive(t, "xl/workbook.xml", "<workbook>"), survey.Options{}, "b: ", ""},
		{"much in little", archive(t, "xl/workbook.xml", strings.Repeat(" ", 1e6)), survey.Options{MaxSize: 1e5}, "b: found more than 100 kB", "--max-size 400kB, or --thin 50mm for a scan in a file"},
	} {
		_, err := readBook(t, "b", c.b, c.o, false)
		if err == nil || !strings.HasPrefix(err.Error(), c.want) || c.hint != "" && !slices.Equal(survey.Hints(err), []string{c.hint}) {
			t.Errorf("%s: %v %q\nwant %s, hint %s", c.name, err, survey.Hints(err), c.want, c.hint)
		}
	}
}
