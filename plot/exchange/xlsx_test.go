package exchange

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"pourplane/plot/table"
	"pourplane/survey"
)

var bookDate = time.Date(2026, 3, 4, 5, 6, 8, 0, time.FixedZone("", 3600))

// orderBook is an invented order: amounts on one sheet, the money on another. 1.37 m³ at 25
// kg a bag, 1,700 kg/m³, 5 % more: 1.37·1.05·1700/25 = 97.818, so 98 bags, at 21.50 each
// 2,107.00.
func orderBook() []table.Table {
	named := func(v float64, name string) table.Cell { return table.Cell{Value: v, Number: true, Name: name} }
	input := func(v float64, name string) table.Cell {
		c := named(v, name)
		c.Input = true
		return c
	}
	return []table.Table{
		{
			Title: "Amounts: owner's floor & stair",
			Columns: []table.Column{
				{Name: "Item", Decimals: -1},
				{Name: "Unit", Decimals: -1},
				{Name: "Amount", Right: true, Decimals: 2},
				{Name: "Done", Decimals: -1},
			},
			Rows: [][]table.Cell{
				{table.Text("Volume in place"), table.Text("m³"), named(1.37, "volume"), {Tick: true}},
				{table.Text("More for waste"), table.Text("%"), input(5, "waste")},
				{table.Text("=HYPERLINK(1)"), table.Text("kg/m³"), {Value: 1700, Number: true, Name: "density of mix", Text: "1,700"}},
			},
			Notes: []string{"Amounts are those of the survey."},
		},
		{
			Title:   "Money",
			Columns: []table.Column{{Name: "Item", Decimals: -1}, {Name: "Figure", Right: true, Decimals: -1}},
			Rows: [][]table.Cell{
				{table.Text("Price of a bag"), input(21.5, "price")},
				{table.Text("Bags"), {Value: 98, Number: true, Name: "bags", Formula: "ROUNDUP({volume}*(1+{waste}/100)*{density of mix}/25,0)"}},
				{table.Text("Cost"), {Value: 2107, Number: true, Bold: true, Formula: "{bags}*{price}"}},
				{},
				{table.Text("Third"), table.Number(1. / 3)},
			},
		},
	}
}

func writtenBook(t *testing.T, tables []table.Table) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteXLSX(&b, "Order of 4 March", bookDate, tables); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// part returns a part of a workbook.
func part(t *testing.T, book []byte, name string) []byte {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		t.Fatal(err)
	}
	f, err := z.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	content, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return content
}

// sheet is what ECMA-376 part 1, section 18.3, calls a worksheet.
type sheet struct {
	Fit struct {
		On bool `xml:"fitToPage,attr"`
	} `xml:"sheetPr>pageSetUpPr"`
	Pane struct {
		Rows  int    `xml:"ySplit,attr"`
		State string `xml:"state,attr"`
	} `xml:"sheetViews>sheetView>pane"`
	Cols []struct {
		Min   int     `xml:"min,attr"`
		Max   int     `xml:"max,attr"`
		Width float64 `xml:"width,attr"`
	} `xml:"cols>col"`
	Cells []struct {
		Ref     string `xml:"r,attr"`
		Style   int    `xml:"s,attr"`
		Type    string `xml:"t,attr"`
		Formula string `xml:"f"`
		Value   string `xml:"v"`
		Text    string `xml:"is>t"`
	} `xml:"sheetData>row>c"`
	Page struct {
		Wide  string `xml:"fitToWidth,attr"`
		High  string `xml:"fitToHeight,attr"`
		Paper string `xml:"paperSize,attr"`
	} `xml:"pageSetup"`
}

// styles is a style sheet of that standard.
type styles struct {
	Formats []struct {
		ID   int    `xml:"numFmtId,attr"`
		Code string `xml:"formatCode,attr"`
	} `xml:"numFmts>numFmt"`
	Fonts []struct {
		Bold *struct{} `xml:"b"`
	} `xml:"fonts>font"`
	Fills []struct {
		Ground struct {
			RGB string `xml:"rgb,attr"`
		} `xml:"patternFill>fgColor"`
	} `xml:"fills>fill"`
	Looks []struct {
		Format int `xml:"numFmtId,attr"`
		Font   int `xml:"fontId,attr"`
		Fill   int `xml:"fillId,attr"`
	} `xml:"cellXfs>xf"`
}

// The markup itself is read with the standard library, independent of the library that wrote
// it.
func TestWorkbookByItsMarkup(t *testing.T) {
	book := writtenBook(t, orderBook())
	var look styles
	if err := xml.Unmarshal(part(t, book, "xl/styles.xml"), &look); err != nil {
		t.Fatal(err)
	}
	sheets := make([]sheet, 2)
	for k, name := range []string{"xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml"} {
		if err := xml.Unmarshal(part(t, book, name), &sheets[k]); err != nil {
			t.Fatal(err)
		}
		s := sheets[k]
		if !s.Fit.On || s.Page.Wide != "1" || s.Page.High != "0" || s.Page.Paper != "" {
			t.Errorf("sheet %d: prints %+v, want one page wide, as many high as it takes, on the printer's own paper", k+1, s.Page)
		}
		if s.Pane.Rows != headRow || s.Pane.State != "frozen" {
			t.Errorf("sheet %d: the heads do not stay in sight: %+v", k+1, s.Pane)
		}
		for j, c := range s.Cols {
			if c.Min != j+1 || c.Max != j+1 || c.Width < 8 {
				t.Errorf("sheet %d: column %d is set by %+v", k+1, j+1, c)
			}
		}
	}
	if n := len(sheets[0].Cols); n != 4 {
		t.Errorf("%d columns have a width, want 4", n)
	}

	type cell struct {
		text, value, formula string
		bold, tinted         bool
		format               string
	}
	read := func(k int, ref string) (out cell) {
		for _, c := range sheets[k].Cells {
			if c.Ref != ref {
				continue
			}
			l := look.Looks[c.Style]
			out = cell{text: c.Text, value: c.Value, formula: c.Formula,
				bold: look.Fonts[l.Font].Bold != nil, tinted: look.Fills[l.Fill].Ground.RGB == "FF"+inputTint}
			for _, f := range look.Formats {
				if f.ID == l.Format {
					out.format = f.Code
				}
			}
			if c.Value != "" && c.Type != "" {
				t.Errorf("%s is of type %q, a number has none", ref, c.Type)
			}
		}
		return out
	}
	const first = `'Amounts owner’s floor & stair'!`
	for _, c := range []struct {
		sheet int
		ref   string
		want  cell
	}{
		{0, "A1", cell{text: "Amounts: owner's floor & stair", bold: true}},
		{0, "C3", cell{text: "Amount", bold: true}},
		{0, "C4", cell{value: "1.37", format: "0.00"}},
		{0, "D4", cell{text: "☐"}},
		{0, "C5", cell{value: "5", format: "0.00", tinted: true}},
		{0, "A6", cell{text: "=HYPERLINK(1)"}}, // a text, not a formula
		{0, "C6", cell{value: "1700", format: "0.00"}},
		{0, "A8", cell{text: "Amounts are those of the survey."}},
		{0, "A9", cell{text: inputNote}},
		{1, "B4", cell{value: "21.5", tinted: true}},
		{1, "B5", cell{value: "98", formula: "ROUNDUP(" + first + "$C$4*(1+" + first + "$C$5/100)*" + first + "$C$6/25,0)"}},
		{1, "B6", cell{value: "2107", formula: "'Money'!$B$5*'Money'!$B$4", bold: true}},
		{1, "B8", cell{value: "0.333333333333333"}}, // 15 digits, which is what a spreadsheet holds
	} {
		if got := read(c.sheet, c.ref); got != c.want {
			t.Errorf("sheet %d, %s: got %+v, want %+v", c.sheet+1, c.ref, got, c.want)
		}
	}

	var workbook struct {
		Sheets []struct {
			Name string `xml:"name,attr"`
		} `xml:"sheets>sheet"`
		Names []struct {
			Name  string `xml:"name,attr"`
			Sheet int    `xml:"localSheetId,attr"`
			Place string `xml:",chardata"`
		} `xml:"definedNames>definedName"`
	}
	if err := xml.Unmarshal(part(t, book, "xl/workbook.xml"), &workbook); err != nil {
		t.Fatal(err)
	}
	if len(workbook.Sheets) != 2 || workbook.Sheets[0].Name != "Amounts owner’s floor & stair" || workbook.Sheets[1].Name != "Money" {
		t.Errorf("sheets are %v", workbook.Sheets)
	}
	if len(workbook.Names) != 2 || workbook.Names[1].Name != "_xlnm.Print_Titles" || workbook.Names[1].Sheet != 1 || workbook.Names[1].Place != "'Money'!$3:$3" {
		t.Errorf("names are %v, want the heads repeated on every page", workbook.Names)
	}
}

// GDAL reads workbooks with its own code. It does not calculate: it shows the values stored
// beside the formulas.
func TestWorkbookByGDAL(t *testing.T) {
	got := byGDAL(t, "order.xlsx", writtenBook(t, orderBook()), "Money")
	want := map[int][2]string{
		0: {"Money", ""}, 2: {"Item", "Figure"}, 3: {"Price of a bag", "21.5"}, 4: {"Bags", "98"}, 5: {"Cost", "2107"},
	}
	for i, w := range want {
		a, _ := got[i].Properties["Field1"].(string)
		b, _ := got[i].Properties["Field2"].(string)
		if a != w[0] || b != w[1] {
			t.Errorf("row %d: GDAL reads %v, want %v", i+1, got[i].Properties, w)
		}
	}
}

// A changed price or amount changes the dependent values, across sheets. Without a change
// every formula gives the value stored beside it.
func TestWorkbookIsLive(t *testing.T) {
	f, err := excelize.OpenReader(bytes.NewReader(writtenBook(t, orderBook())))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	calculated := func(ref string) float64 {
		t.Helper()
		s, err := f.CalcCellValue("Money", ref, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	if bags, cost := calculated("B5"), calculated("B6"); bags != 98 || cost != 2107 {
		t.Errorf("formulas give %v bags for %v, want 98 for 2107 as written", bags, cost)
	}
	if err := f.SetCellValue("Money", "B4", 20); err != nil {
		t.Fatal(err)
	}
	// 1.37·1.10·1700/25 = 102.476: 103 bags, at 20.00 each 2,060.00.
	if err := f.SetCellValue("Amounts owner’s floor & stair", "C5", 10); err != nil {
		t.Fatal(err)
	}
	if bags, cost := calculated("B5"), calculated("B6"); bags != 103 || cost != 2060 {
		t.Errorf("after a change formulas give %v bags for %v, want 103 for 2060", bags, cost)
	}
}

// An independent spreadsheet program recalculates the formulas: it gets a book with changed
// inputs and the old values beside the formulas.
func TestWorkbookByASpreadsheet(t *testing.T) {
	program, err := exec.LookPath("ssconvert")
	if err != nil {
		t.Skip("ssconvert of Gnumeric (package gnumeric) is not installed")
	}
	tables := orderBook()
	tables[0].Rows[1][2].Value = 10 // as in TestWorkbookIsLive
	tables[1].Rows[0][1].Value = 20
	dir := t.TempDir()
	in := filepath.Join(dir, "order.xlsx")
	if err := os.WriteFile(in, writtenBook(t, tables), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(program, "--recalc", "--export-file-per-sheet", in, filepath.Join(dir, "%n.csv")).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	f, err := os.Open(filepath.Join(dir, "1.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if rows[4][1] != "103" || rows[5][1] != "2060" {
		t.Errorf("it finds %v and %v, want 103 and 2060", rows[4], rows[5])
	}
}

func TestWorkbookIsTheSameEveryTime(t *testing.T) {
	tables := orderBook()
	for len(tables) < 12 { // the library keeps sheets in a map
		tables = append(tables, table.Table{Title: "Money"})
	}
	first := writtenBook(t, tables)
	for range 5 {
		if !bytes.Equal(first, writtenBook(t, tables)) {
			t.Fatal("equal tables give different bytes")
		}
	}
	z, err := zip.NewReader(bytes.NewReader(first), int64(len(first)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		if !f.Modified.Equal(bookDate) {
			t.Errorf("%s is of %v, want %v", f.Name, f.Modified, bookDate)
		}
	}
	if z.File[0].Name != "[Content_Types].xml" {
		t.Errorf("the first part is %s", z.File[0].Name)
	}
	core := string(part(t, first, "docProps/core.xml"))
	var p struct {
		Title    string `xml:"title"`
		Creator  string `xml:"creator"`
		By       string `xml:"lastModifiedBy"`
		Created  string `xml:"created"`
		Modified string `xml:"modified"`
	}
	if err := xml.Unmarshal([]byte(core), &p); err != nil {
		t.Fatal(err)
	}
	p2 := p
	p2.Title, p2.Creator, p2.By, p2.Created, p2.Modified = "Order of 4 March", "pourplane", "pourplane", "2026-03-04T04:06:08Z", "2026-03-04T04:06:08Z"
	if p != p2 {
		t.Errorf("properties are %+v, want %+v", p, p2)
	}
	// A date that no archive can hold becomes the earliest one.
	var b bytes.Buffer
	if err := WriteXLSX(&b, "", time.Time{}, orderBook()); err != nil {
		t.Fatal(err)
	}
	z, err = zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil || z.File[0].Modified.Year() != 1980 {
		t.Errorf("parts without a date are of %v (%v)", z.File[0].Modified, err)
	}
	if core := string(part(t, b.Bytes(), "docProps/core.xml")); !strings.Contains(core, "1970-01-01T00:00:00Z") {
		t.Errorf("properties without a date are %s", core)
	}
}

// ECMA-376 leaves names to the programs. They accept up to 31 characters of UTF-16, none of
// : \ / ? * [ ], no apostrophe at an end (here none at all), no name twice in any case.
func TestSheetNames(t *testing.T) {
	titles := []string{"Pins", "PINS", "a/b:c", "", "'quoted'", "History", strings.Repeat("x", 40), strings.Repeat("x", 50), strings.Repeat("😀", 16), "[?]"}
	want := []string{"Pins", "PINS 2", "a b c", "Table 4", "’quoted’", "History 2", strings.Repeat("x", 31), strings.Repeat("x", 29) + " 2", strings.Repeat("😀", 15), "Table 10"}
	var tables []table.Table
	for _, s := range titles {
		tables = append(tables, table.Table{Title: s})
	}
	if got := sheetNames(tables); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	f, err := excelize.OpenReader(bytes.NewReader(writtenBook(t, tables)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got := f.GetSheetList(); !slices.Equal(got, want) {
		t.Errorf("the book has %q, want %q", got, want)
	}
}

func TestRowsAreHighEnough(t *testing.T) {
	for _, c := range []struct {
		s    string
		wide float64
		want int
	}{
		{"", 8, 1}, {"Done", 8, 1}, {"Amount with everything in it (m³)", 21, 3}, {strings.Repeat("x", 100), 61, 2}, {"a b " + strings.Repeat("x", 100), 61, 3},
	} {
		if got := folded(c.s, c.wide); got != c.want {
			t.Errorf("%q takes %d lines of %v, want %d", c.s, got, c.wide, c.want)
		}
	}
}

func TestBooksRefused(t *testing.T) {
	one := func(cells ...table.Cell) []table.Table {
		t := table.Table{Title: "T", Columns: []table.Column{{Name: "A"}}}
		for _, c := range cells {
			t.Rows = append(t.Rows, []table.Cell{c})
		}
		return []table.Table{t}
	}
	formula := func(f string) table.Cell { return table.Cell{Number: true, Formula: f, Name: "x"} }
	for _, c := range []struct {
		tables []table.Table
		want   string
	}{
		{nil, "workbook: found no table, want at least one"},
		{one(table.Number(math.NaN())), `table "T", row 1, column "A": found NaN, want a finite number`},
		{one(formula("{y}*2")), `table "T", row 1, column "A", formula "{y}*2": found the name {y}, want the name of a cell in one of the tables`},
		{one(formula("{x*2")), `table "T", row 1, column "A", formula "{x*2": found a brace without its other, want names in braces`},
		{one(formula("3−2")), `table "T", row 1, column "A", formula "3−2": found '−', want signs a spreadsheet knows: + - * /`},
		{one(formula("1"), formula("2")), `table "T", row 2, column "A": found the name "x" a second time, want a name that no other cell of the book has`},
		{append(one(formula("1")), one(formula("2"))...), `table "T", row 1, column "A": found the name "x" a second time, want a name that no other cell of the book has`},
		{one(formula("{x}+1")), `workbook: found a formula that needs its own value: x, x, want formulas that can be worked out one after the other`},
		{one(table.Cell{Number: true, Name: "a", Formula: "{c}"}, table.Cell{Number: true, Name: "b", Formula: "{a}*2"}, table.Cell{Number: true, Name: "c", Formula: "1+{b}"}),
			`workbook: found a formula that needs its own value: a, c, b, a, want formulas that can be worked out one after the other`},
		{one(table.Cell{Name: "a{b}"}), `table "T", row 1, column "A": found the name "a{b}", want a name without braces`},
		{one(table.Text(strings.Repeat("x", 32768))), `table "T", row 1, column "A": found a text of 32768 characters, want at most 32767, which is what a cell of a workbook holds`},
	} {
		var b bytes.Buffer
		err := WriteXLSX(&b, "", bookDate, c.tables)
		var e *survey.Error
		if !errors.As(err, &e) || err.Error() != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
		if b.Len() > 0 {
			t.Error("something was written before the refusal")
		}
	}
	if err := WriteXLSX(io.Discard, "", bookDate, one(formula(`IF(1>0,1,"m³")`))); err != nil {
		t.Errorf("letters between quotes are refused: %v", err)
	}
}

// A price that nobody has given shows no 0.00 and stays a number to type over; money has its
// thousands apart.
func TestPricesNotKnown(t *testing.T) {
	price := table.Column{Name: "Price", Decimals: 2, Grouped: true}
	unknown := table.Cell{Text: table.NotKnown, Number: true, Input: true}
	text := string(part(t, writtenBook(t, []table.Table{{Title: "Prices", Columns: []table.Column{price}, Rows: [][]table.Cell{{unknown}, {table.Number(1729)}}}}), "xl/styles.xml"))
	for _, format := range []string{`formatCode="#,##0.00;-#,##0.00;&#34;not known&#34;"`, `formatCode="#,##0.00"`} {
		if !strings.Contains(text, format) {
			t.Errorf("no cell has the format %s in %s", format, text)
		}
	}
}
