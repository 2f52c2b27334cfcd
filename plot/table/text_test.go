package table

import (
	"encoding/csv"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func order() Table {
	return Table{
		Title: "To order",
		Columns: []Column{
			{Name: "Item", Decimals: -1},
			{Name: "Quantity (m³)", Right: true, Decimals: 2},
			{Name: "Remark", Decimals: -1},
			{Name: "Done", Decimals: -1},
		},
		Rows: [][]Cell{
			{Text("Levelling compound"), Number(1.2345), Text("in two coats where it is deeper than one may be"), {Tick: true}},
			{Text("Primer"), Number(-0.001)},
			{Text("全角"), {Text: "3 1/2", Value: 3.5, Number: true}, Text("bell\x07 and\nline")},
		},
		Notes: []string{"Quantities are in place, without waste."},
	}
}

func TestTextIsAligned(t *testing.T) {
	var b strings.Builder
	if err := WriteText(&b, order(), 0); err != nil {
		t.Fatal(err)
	}
	want := `To order

Item                Quantity (m³)  Remark                                           Done
------------------  -------------  -----------------------------------------------  ----
Levelling compound           1.23  in two coats where it is deeper than one may be  [ ]
Primer                       0.00
全角                        3 1/2  bell  and line

Quantities are in place, without waste.
`
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

func TestTextFitsTheTerminal(t *testing.T) {
	var b strings.Builder
	if err := WriteText(&b, order(), 60); err != nil {
		t.Fatal(err)
	}
	want := `To order

Item                Quantity (m³)  Remark               Done
------------------  -------------  -------------------  ----
Levelling compound           1.23  in two coats where   [ ]
                                   it is deeper than
                                   one may be
Primer                       0.00
全角                        3 1/2  bell  and line

Quantities are in place, without waste.
`
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

func TestTextIsAListOnANarrowTerminal(t *testing.T) {
	var b strings.Builder
	if err := WriteText(&b, order(), 30); err != nil {
		t.Fatal(err)
	}
	want := `To order

Item: Levelling compound
Quantity (m³): 1.23
Remark: in two coats where it
is deeper than one may be
Done: [ ]

Item: Primer
Quantity (m³): 0.00

Item: 全角
Quantity (m³): 3 1/2
Remark: bell  and line

Quantities are in place,
without waste.
`
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

// At every width all words are present, in order within their cell, and no line of the table
// itself is wider than the limit.
func TestTextDropsNothingAtAnyWidth(t *testing.T) {
	for width := 1; width < 120; width++ {
		var b strings.Builder
		if err := WriteText(&b, order(), width); err != nil {
			t.Fatal(err)
		}
		for _, row := range order().Rows {
			for _, cell := range row {
				for _, word := range strings.Fields(printable(cell.Text)) {
					if !strings.Contains(b.String(), word) {
						t.Errorf("width %d: %q is missing", width, word)
					}
				}
			}
		}
		for line := range strings.Lines(b.String()) {
			line = strings.TrimSuffix(line, "\n")
			if cellsWide(line) > width && strings.ContainsAny(line, " ") {
				t.Errorf("width %d: line %q is %d wide and has a space to fold it at", width, line, cellsWide(line))
			}
		}
	}
}

func TestTerminalPlaces(t *testing.T) {
	// Unicode Standard Annex 11: wide ideographs take two places; a combining mark
	// (here U+0301) takes none.
	for s, want := range map[string]int{"m²": 2, "½″": 2, "全角": 4, "e\u0301": 1, "": 0} {
		if got := cellsWide(s); got != want {
			t.Errorf("%q takes %d places, want %d", s, got, want)
		}
	}
}

// Read back by encoding/csv, which follows RFC 4180.
func TestCSVIsReadBack(t *testing.T) {
	tenth, fifth := 0.1, 0.2
	in := Table{
		Columns: []Column{{Name: "Name"}, {Name: "Depth (m)", Decimals: 2, Right: true}, {Name: "Done"}},
		Rows: [][]Cell{
			{Text("said \"so\", then\nleft"), Number(tenth + fifth), {Tick: true}},
			{Text("=1+1"), Number(-1e-7)},
			{Text(""), {Text: "3 1/2", Value: 3.5, Number: true}},
			{Text(" spaced "), Number(math.Copysign(0, -1))},
		},
		Notes: []string{"not in the records"},
	}
	var b strings.Builder
	if err := WriteCSV(&b, in); err != nil {
		t.Fatal(err)
	}
	got, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{
		{"Name", "Depth (m)", "Done"},
		{"said \"so\", then\nleft", "0.30000000000000004", ""},
		{"'=1+1", "-0.0000001", ""},
		{"", "3.5", ""},
		{" spaced ", "0", ""},
	}
	if !slices.EqualFunc(got, want, slices.Equal) {
		t.Errorf("got %q, want %q", got, want)
	}
	if n := strings.Count(b.String(), "\r\n"); n != 5 {
		t.Errorf("%d lines end in CR LF, want 5: RFC 4180, section 2, rule 1", n)
	}
}

func TestCSVKeepsAnEmptyRecord(t *testing.T) {
	var b strings.Builder
	if err := WriteCSV(&b, Table{Columns: []Column{{Name: "Name"}}, Rows: [][]Cell{{}, {Text("a")}}}); err != nil {
		t.Fatal(err)
	}
	got, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
	if err != nil || len(got) != 3 {
		t.Errorf("read %d records (%v), want 3", len(got), err)
	}
}

func TestNumbersKeepEveryBitInCSV(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64().Draw(t, "v")
		var b strings.Builder
		if err := WriteCSV(&b, Table{Columns: []Column{{Name: "v"}}, Rows: [][]Cell{{Number(v)}}}); err != nil {
			t.Fatal(err)
		}
		got, err := strconv.ParseFloat(strings.Fields(b.String())[1], 64)
		if err != nil || got != v {
			t.Errorf("wrote %v, read %v (%v)", v, got, err)
		}
	})
}

// The characters that begin a formula are those of the OWASP page on CSV injection:
// =, +, -, @, tab and carriage return.
func TestGuardAgainstFormulas(t *testing.T) {
	for s, want := range map[string]string{
		"=1+1":               "'=1+1",
		"@SUM(A1)":           "'@SUM(A1)",
		"+cmd|' /C calc'!A0": "'+cmd|' /C calc'!A0",
		"-A1":                "'-A1",
		"\t=1":               "'\t=1",
		"\r=1":               "'\r=1",
		"'=1+1":              "''=1+1",
		"-3 1/2":             "-3 1/2",
		"+0.25":              "+0.25",
		"-0'-3 1/2\"":        "-0'-3 1/2\"",
		"-":                  "-",
		"'quoted'":           "'quoted'",
		"north wall":         "north wall",
	} {
		if got := guarded(s); got != want {
			t.Errorf("guarded(%q) = %q, want %q", s, got, want)
		}
	}
	// The reader's rule in the comment on WriteCSV gives every text back.
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOf(rapid.SampledFrom([]rune("'=+-@\ta1 "))).Draw(t, "s")
		got := guarded(s)
		if isFormula(got) {
			t.Errorf("guarded(%q) = %q is still taken for a formula", s, got)
		}
		if strings.HasPrefix(got, "'") && isFormula(strings.TrimLeft(got, "'")) {
			got = got[1:]
		}
		if got != s {
			t.Errorf("%q comes back as %q", s, got)
		}
	})
}

func TestTablesRefused(t *testing.T) {
	one := []Column{{Name: "Depth (m)"}}
	for _, c := range []struct {
		table Table
		want  string
	}{
		{Table{Title: "T", Columns: one, Rows: [][]Cell{{Number(1)}, {Number(math.NaN())}}}, `table "T", row 2, column "Depth (m)": found NaN, want a finite number`},
		{Table{Title: "T", Columns: one, Rows: [][]Cell{{Number(math.Inf(-1))}}}, `table "T", row 1, column "Depth (m)": found -Inf, want a finite number`},
		{Table{Title: "T", Columns: one, Rows: [][]Cell{{Text("a"), Text("b")}}}, `table "T", row 1: found 2 cells, want at most one for each of the 1 columns`},
		{Table{Title: "T", Columns: one, Rows: [][]Cell{{{Formula: "{a}", Text: "a"}}}}, `table "T", row 1, column "Depth (m)": found the formula "{a}" without a value, want the number it gives beside it`},
		{Table{Title: "T", Columns: []Column{{Name: "A", Decimals: 31}}}, `table "T", column "A": found 31 decimals, want -1 to 30`},
	} {
		var b strings.Builder
		for _, err := range []error{WriteText(&b, c.table, 80), WriteCSV(&b, c.table)} {
			if err == nil || err.Error() != c.want {
				t.Errorf("got %v, want %s", err, c.want)
			}
		}
		if b.Len() > 0 {
			t.Errorf("something was written before the refusal: %q", b.String())
		}
	}
	if err := WriteCSV(&strings.Builder{}, Table{Title: "T"}); err == nil {
		t.Error("a table without columns was written as CSV")
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestTextTellsWhenItCannotWrite(t *testing.T) {
	if WriteText(full{}, order(), 80) == nil || WriteCSV(full{}, order()) == nil {
		t.Error("no error although nothing could be written")
	}
}

// bands is a table of quantities: numbers for programs, texts for readers.
func bands() Table {
	return Table{
		Title:   "Bands",
		Columns: []Column{{Name: "Band"}, {Name: "From", Unit: "mm", Right: true}, {Name: "Area", Unit: "m²", Right: true, Decimals: 1}},
		Rows: [][]Cell{
			{Text("a"), Quantity("5 mm", 5), Number(12.25)},
			{Text("the second"), Quantity("15 mm", 15)},
		},
		Notes: []string{"a note"},
	}
}

// A head has the unit of its numbers where they are shown without it: a reader sees "5 mm", a
// program 5.
func TestHeadsHaveTheUnitOfBareNumbers(t *testing.T) {
	var text, csv strings.Builder
	if err := errors.Join(WriteText(&text, bands(), 0), WriteCSV(&csv, bands())); err != nil {
		t.Fatal(err)
	}
	if want := "Band         From  Area (m²)\n"; !strings.Contains(text.String(), want) {
		t.Errorf("a terminal has\n%s\nwant the heads %q", &text, want)
	}
	if want := "Band,From (mm),Area (m²)\r\na,5,12.25\r\nthe second,15,\r\n"; csv.String() != want {
		t.Errorf("CSV is %q, want %q", &csv, want)
	}
	if again := bands().Headed().Headed(); again.Columns[2].Name != "Area (m²)" {
		t.Errorf("the head is %q, want its unit once", again.Columns[2].Name)
	}
	if empty := (Table{Columns: bands().Columns}).Headed(); empty.Columns[1].Name != "From (mm)" {
		t.Errorf("the head over no rows is %q, want its unit", empty.Columns[1].Name)
	}
}

func TestPlainHasNoRule(t *testing.T) {
	want := []string{
		"Band         From  Area (m²)",
		"a            5 mm       12.3",
		"the second  15 mm",
	}
	if got := Plain(bands(), 2); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	list := Table{Columns: make([]Column, 2), Rows: [][]Cell{{Text("Fill"), Text("1 m³")}, {Text(""), Text("in bags")}}}
	if got, want := Plain(list, 3), []string{"Fill   1 m³", "       in bags"}; !slices.Equal(got, want) {
		t.Errorf("without heads: got %q, want %q", got, want)
	}
}

func TestPickedColumns(t *testing.T) {
	got := bands().Pick("Area", "Depth", "Band")
	if len(got.Columns) != 2 || got.Columns[0].Name != "Area" || got.Columns[1].Name != "Band" {
		t.Fatalf("columns %v, want Area and Band", got.Columns)
	}
	if got.Rows[0][0].Value != 12.25 || got.Rows[1][0] != (Cell{}) || got.Rows[1][1].Text != "the second" {
		t.Errorf("rows %v", got.Rows)
	}
	if got.Title != "Bands" || len(got.Notes) != 1 || len(bands().Columns) != 3 {
		t.Error("title and notes are kept, and the table itself is unchanged")
	}
}
