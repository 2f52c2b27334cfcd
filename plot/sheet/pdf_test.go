package sheet

import (
	"bytes"
	"cmp"
	"encoding/xml"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pourplane/plot"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/file"
	"pourplane/survey/unit"
)

const foot = 0.3048

// demo returns a map of the demo floor with a level target.
func demo(t testing.TB) *plot.DepthMap {
	t.Helper()
	o := survey.Options{Codes: map[string]survey.Role{"ADJ": survey.Finished, "SILL": survey.Finished}}
	s, err := file.Open("../../testdata/demo/survey.csv", o)
	if err != nil {
		t.Fatal(err)
	}
	walls, err := file.OpenOutline("../../testdata/demo/outline.csv", survey.Options{Unit: s.Plan})
	if err != nil {
		t.Fatal(err)
	}
	floor, err := surface.NewFloor(surface.Data{Shots: s.Points, Rings: walls.Rings, Lines: walls.Breaklines})
	if err != nil {
		t.Fatal(err)
	}
	return &plot.DepthMap{
		Title: "Depth of fill", Summary: "Level target 99.930 ft",
		Floor: floor, Target: surface.Horizontal(99.930 * foot), Finished: s.Finished, Units: unit.Style{Imperial: true}, Shots: true,
	}
}

// shots returns a table of the shots of a floor.
func shots(m *plot.DepthMap) table.Table {
	t := table.Table{
		Title: "Shots and depth at each",
		Columns: []table.Column{
			{Name: "Shot"}, {Name: "x (ft)", Right: true, Decimals: 2}, {Name: "y (ft)", Right: true, Decimals: 2},
			{Name: "Elevation (ft)", Right: true, Decimals: 3}, {Name: "Depth of fill (in)", Right: true}, {Name: "Read after the pour"}, {Name: "Seen"},
		},
		Notes: []string{"Depth is target less floor, to the sixteenth of an inch. Elevation 100.00 ft is the brass screw BM1."},
	}
	for _, r := range m.Floor.Regions {
		for _, p := range r.Shots {
			depth := m.Target.Elevation(surface.Vec{X: p.X, Y: p.Y}) - p.Z
			t.Rows = append(t.Rows, []table.Cell{table.Text(p.Name()), table.Number(p.X / foot), table.Number(p.Y / foot), table.Number(p.Z / foot),
				table.Text(m.Units.Depth(depth)), {}, {Tick: true}})
		}
	}
	return t
}

func full(t testing.TB) Record {
	m := demo(t)
	contours := plot.ContourMap(*m)
	contours.Title, contours.Finished = "Lines of equal depth", nil
	return Record{
		Title: "Bottling hall: floor record", Date: "2026-11-25", Program: "pourplane 1.0",
		Sections: []Section{
			{
				Title:    "Summary",
				Figures:  []Figure{{"7.27 yd³", "fill to the target"}, {"8 yd³", "to order, 5 % on top"}, {`2 11/16"`, "mean depth"}, {`3/10" … 4 1/2"`, "least and greatest depth"}},
				Text:     []string{"The floor is brought up to one level plane at 99.930 ft, ½ in below the corridor at door A. 105 shots on 12 m² – Δz ≤ ±1 mm, café side, θ = 0°, 4 → 5."},
				Cautions: []string{"Dust of cement burns eyes and skin: wear gloves and goggles, and wash off at once.", "Have a licensed engineer confirm that the slab carries the weight of the fill before it is placed. Local code and the maker's data sheet go before this record; where they differ, stop and ask before anything is mixed."},
				Pictures: []Picture{{Drawing: m, Caption: "Depth of fill over the floor as found. Numbers at the shots are inches."}},
			},
			{
				Title: "Survey", NewPage: true,
				Text:     []string{"Two set-ups of an optical level."},
				Tables:   []table.Table{shots(m), wide(14)},
				Pictures: []Picture{{Drawing: &contours, Caption: "The same floor in lines, for print in black and white."}},
			},
			{
				Title: "Materials",
				Tables: []table.Table{{
					Title:   "To order",
					Columns: []table.Column{{Name: "What"}, {Name: "Quantity", Right: true, Decimals: 2}, {Name: "Unit"}, {Name: "Remarks"}},
					Rows: [][]table.Cell{
						{table.Text("Topping mix"), table.Number(8), table.Text("yd³"), table.Text("Three trucks of 2⅔ yd³ each, 40 minutes apart, the first at 7:00; slump as ordered, no water added on site without the word of whoever answers for the mix.")},
						{table.Text("Bonding primer"), table.Number(3), table.Text("pails"), table.Text("two coats")},
						{{Text: "Total weight", Bold: true}, {Value: 31200, Number: true, Bold: true}, {Text: "lb", Bold: true}},
					},
				}},
			},
			{Title: "Accepted", Text: []string{"Accepted, or accepted except for what is written here:"}, Lines: []string{"Floor contractor", "General contractor", "Levels checked by"}},
		},
	}
}

// narrowTable returns a table of two columns and n rows, one of them long.
func narrowTable(n int) table.Table {
	t := table.Table{Title: "A narrow table", Columns: []table.Column{{Name: "Bar"}, {Name: "Length (ft)", Right: true}}, Notes: []string{"narrow note"}}
	for k := range n {
		t.Rows = append(t.Rows, []table.Cell{table.Text(fmt.Sprintf("bar-%d", k+1)), table.Text(fmt.Sprintf("%d'-%d 3/8\"", k%40, k%12))})
	}
	t.Rows[n/2][0].Text = strings.Repeat("Abcdefghij ", 40)
	return t
}

// wide returns a table of n columns of numbers.
func wide(n int) table.Table {
	t := table.Table{Title: fmt.Sprintf("A table of %d columns", n), Columns: []table.Column{{Name: "Station"}}}
	row := []table.Cell{table.Text("P1")}
	for k := range n - 1 {
		t.Columns = append(t.Columns, table.Column{Name: fmt.Sprintf("Reading %d (mm)", k+1), Right: true, Decimals: 2})
		row = append(row, table.Number(1000.25+float64(k)))
	}
	t.Rows = [][]table.Cell{row, row, row}
	return t
}

func written(t testing.TB, r Record, p Paper) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WritePDF(&b, r, p); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// word is a word on a page as pdftotext finds it, in points from the upper left corner.
type word struct {
	XMin float64 `xml:"xMin,attr"`
	YMin float64 `xml:"yMin,attr"`
	XMax float64 `xml:"xMax,attr"`
	YMax float64 `xml:"yMax,attr"`
	Text string  `xml:",chardata"`
}

type sheetPage struct {
	Width  float64 `xml:"width,attr"`
	Height float64 `xml:"height,attr"`
	Words  []word  `xml:"word"`
}

func (p sheetPage) text() string {
	var all []string
	for _, w := range p.Words {
		all = append(all, w.Text)
	}
	return strings.Join(all, " ")
}

// read returns the pages of a PDF as an independent reader sees them.
func read(t *testing.T, pdf []byte) []sheetPage {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext (poppler-utils) is not installed")
	}
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("SHEETS"); dir != "" { // to look at them
		if err := os.WriteFile(filepath.Join(dir, strings.ReplaceAll(t.Name(), "/", "-")+".pdf"), pdf, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var diag bytes.Buffer
	c := exec.Command(tool, "-bbox", file, "-")
	c.Stderr = &diag
	out, err := c.Output()
	if err != nil || diag.Len() > 0 {
		t.Fatalf("pdftotext: %v\n%s", err, &diag)
	}
	var doc struct {
		Pages []sheetPage `xml:"body>doc>page"`
	}
	d := xml.NewDecoder(bytes.NewReader(out))
	d.Strict, d.Entity = false, xml.HTMLEntity
	if err := d.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	return doc.Pages
}

// sound checks every sheet: nothing beyond the margins, a footer on every page, the title at
// the top of every page.
func sound(t *testing.T, pages []sheetPage, title string, side float64) {
	t.Helper()
	for i, p := range pages {
		for _, w := range p.Words {
			if w.XMin < side-1 || w.XMax > p.Width-side+1 || w.YMin < 30 || w.YMax > p.Height-20 {
				t.Errorf("page %d: %q stands at %.1f to %.1f, %.1f to %.1f of %.0f by %.0f", i+1, w.Text, w.XMin, w.XMax, w.YMin, w.YMax, p.Width, p.Height)
			}
		}
		text := p.text()
		if want := fmt.Sprintf("page %d of %d", i+1, len(pages)); !strings.Contains(text, want) {
			t.Errorf("page %d: no %q", i+1, want)
		}
		if !strings.HasPrefix(text, title) {
			t.Errorf("page %d begins %q, want %q", i+1, text[:min(60, len(text))], title)
		}
	}
}

func TestRecordIsReadByOthersAsWritten(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		paper Paper
		w, h  float64 // pt; ISO 216: 210 mm by 297 mm; ANSI A: 8.5 in by 11 in
	}{{"a4", A4, 595.28, 841.89}, {"letter", Letter, 612, 792}} {
		t.Run(c.name, func(t *testing.T) {
			r := full(t)
			pages := read(t, written(t, r, c.paper))
			sound(t, pages, r.Title, side)
			all := ""
			for i, p := range pages {
				if math.Abs(p.Width-c.w) > 0.01 || math.Abs(p.Height-c.h) > 0.01 {
					t.Errorf("page %d is %g by %g, want %g by %g", i+1, p.Width, p.Height, c.w, c.h)
				}
				all += p.text() + "\n"
			}
			for _, want := range []string{"7.27 yd³", `2 11/16"`, "½ in below", "12 m² – Δz ≤ ±1 mm, café side, θ = 0°, 4 → 5.", "2026-11-25", "pourplane 1.0", "wash off at once", "signature"} {
				if !strings.Contains(all, want) {
					t.Errorf("no %q", want)
				}
			}
			for _, want := range []string{"7.27 yd³", "goggles", "licensed engineer", "Numbers at the shots are inches.", "max"} {
				if !strings.Contains(pages[0].text(), want) {
					t.Errorf("no %q on the first page", want)
				}
			}
		})
	}
}

func TestLongTableHasItsHeadsOnEveryPage(t *testing.T) {
	t.Parallel()
	pins := table.Table{Title: "Pins", Columns: []table.Column{{Name: "Pin"}, {Name: "Depth (mm)", Right: true, Decimals: 1}, {Name: "Set"}, {Name: "Remark"}}}
	for i := range 5000 {
		pins.Rows = append(pins.Rows, []table.Cell{table.Text(fmt.Sprintf("N%d", i+1)), table.Number(float64(i) / 7), {Tick: true}, table.Text("glued, near the wall of the cold store")})
	}
	r := Record{Title: "Many", Sections: []Section{{Title: "All", Tables: []table.Table{pins}}}}
	pages := read(t, written(t, r, A4))
	sound(t, pages, "Many", side)
	n := 0
	for i, p := range pages {
		slices.SortStableFunc(p.Words, func(a, b word) int {
			return cmp.Or(cmp.Compare(math.Round(a.YMax), math.Round(b.YMax)), cmp.Compare(a.XMin, b.XMin))
		})
		var right []float64
		head := false
		for k, w := range p.Words {
			head = head || w.Text == "Depth" && p.Words[k+1].Text == "(mm)"
			if w.Text == fmt.Sprintf("N%d", n+1) {
				right = append(right, p.Words[k+1].XMax)
				n++
			}
		}
		if !head {
			t.Errorf("page %d has no heads", i+1)
		}
		if len(right) == 0 {
			t.Fatalf("page %d has no rows", i+1)
		}
		for _, x := range right {
			if math.Abs(x-right[0]) > 0.05 {
				t.Errorf("page %d: numbers end at %.2f and %.2f", i+1, right[0], x)
			}
		}
	}
	if n != 5000 {
		t.Errorf("%d rows in order, want 5000", n)
	}
}

func TestEqualRecordsAreEqualFiles(t *testing.T) {
	t.Parallel()
	a, b := written(t, full(t), A4), written(t, full(t), A4)
	if !bytes.Equal(a, b) {
		t.Error("two runs differ")
	}
	// The date and the title, as PDF strings (ISO 32000-1, 7.9.4).
	if !bytes.Contains(a, []byte("D:20261125000000")) {
		t.Error("the date is not stated")
	}
	if host, err := os.Hostname(); err == nil && len(host) > 3 && bytes.Contains(a, []byte(host)) {
		t.Error("the file names the machine")
	}
}

func TestAwkwardTexts(t *testing.T) {
	t.Parallel()
	long := strings.Repeat("Abcdefghij", 900)
	r := Record{
		Title: strings.Repeat("A long title ", 12), Date: long[:300], Program: long[:300],
		Sections: []Section{
			{Text: []string{"", " ", long}, Cautions: []string{"", long}, Figures: []Figure{{}, {long[:100], long[:50]}}},
			{Title: "Nothing in it"},
			{Title: long[:200], Lines: []string{"", long[:200]}, Tables: []table.Table{
				{},
				{Title: "Heads alone", Columns: []table.Column{{Name: "A"}, {Name: ""}}},
				{Title: "Long cells", Columns: []table.Column{{Name: "A"}, {Name: long[:90]}, {Name: "C", Right: true}},
					Rows:  [][]table.Cell{{table.Text(long), table.Text("x"), table.Text(long[:400])}, {}, {table.Text("a\nb\tc"), {Tick: true, Text: strings.Repeat("tick ", 90)}}},
					Notes: []string{"", long[:300]}},
				wide(14), wide(60),
				narrowTable(100), {Title: "No columns"},
				{Columns: []table.Column{{Name: "Signs"}}, Rows: [][]table.Cell{{table.Text("⌀12 ⚠ 床 \U0001f4a7 e\u0301 \xff\xfe a\u200bb \x00")}}},
			}},
		},
	}
	pages := read(t, written(t, r, Letter))
	sound(t, pages, "A long title", side)
	all := ""
	for _, p := range pages {
		all += " " + p.text()
	}
	if got := strings.Count(strings.ReplaceAll(all, " ", ""), "Abcdefghij"); got < 900*3-60 {
		t.Errorf("%d repeats of the long word, want the text whole", got)
	}
	// Letters missing in the font become question marks, never boxes or broken text.
	if !strings.Contains(all, "Ø12 ? ? ? é ? ab") {
		t.Errorf("signs came out otherwise")
	}
	if strings.Contains(all, "Nothing in it") {
		t.Error("an empty section is shown")
	}
	for k := range 100 {
		if want := fmt.Sprintf("bar-%d ", k+1); k != 50 && !strings.Contains(all, want) {
			t.Errorf("no %s", want)
		}
	}
	if !strings.Contains(all, "(part 1 of ") || !strings.Contains(all, "Reading 59") {
		t.Error("a table of 60 columns is not parted")
	}
	if regexp.MustCompile(`[^.\d]\d{1,3}\.\d [^(]`).MatchString(all) {
		t.Error("a number is broken")
	}
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	cell := table.Table{Title: "T", Columns: []table.Column{{Name: "Depth"}}}
	with := func(rows ...[]table.Cell) Record {
		c := cell
		c.Rows = rows
		return Record{Title: "R", Sections: []Section{{Title: "S", Tables: []table.Table{c}}}}
	}
	for _, c := range []struct {
		name string
		r    Record
		p    Paper
		want string
	}{
		{"empty", Record{}, A4, "record: found no title, want one for the head of every page"},
		{"nothing to show", Record{Title: "R", Sections: []Section{{Title: "S"}}}, A4, `record "R": found no section with anything in it, want at least one`},
		{"paper", with([]table.Cell{table.Number(1)}), 7, "paper: found 7, want A4 or Letter"},
		{"cells", with(nil, []table.Cell{{}, {}}), A4, `section 1 "S", table "T", row 2: found 2 cells, want at most 1, one a column`},
		{"NaN", with([]table.Cell{table.Number(math.NaN())}), A4, `section 1 "S", table "T", row 1: found NaN under "Depth", want a number`},
		{"picture", Record{Title: "R", Sections: []Section{{Pictures: []Picture{{}}}}}, A4, `section 1 "", picture 1: found no drawing, want one`},
	} {
		var b bytes.Buffer
		err := WritePDF(&b, c.r, c.p)
		var e *survey.Error
		if !errors.As(err, &e) || e.Error() != c.want {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
		if b.Len() > 0 {
			t.Errorf("%s: something was written", c.name)
		}
	}
	var b bytes.Buffer
	bad := Record{Title: "R", Sections: []Section{{Pictures: []Picture{{Drawing: &plot.DepthMap{}, Caption: "nothing"}}}}}
	if err := WritePDF(&b, bad, A4); !errors.Is(err, plot.ErrNoFloor) || b.Len() > 0 {
		t.Errorf("no floor: %v and %d bytes", err, b.Len())
	}
}

// Wherever a page ends, a heading stays with its content, heads with rows, a picture with
// its caption, and a line to sign with its label.
func TestNothingIsPartedAtTheFootOfAPage(t *testing.T) {
	t.Parallel()
	m := corners{demo(t)}
	for n := range 45 {
		filler := strings.TrimSpace(strings.Repeat("filler\n", n))
		r := Record{Title: "R", Sections: []Section{
			{Title: "First", Text: []string{filler}},
			{Title: "Heading-one", Text: []string{"text-one " + strings.Repeat("word ", 60)}},
			{Title: "Heading-two", Tables: []table.Table{{Title: "Table-two", Columns: []table.Column{{Name: "Head-two"}},
				Rows: [][]table.Cell{{table.Text("row-a")}, {table.Text("row-b")}, {table.Text("row-c")}, {table.Text("row-d")}}, Notes: []string{"note-two"}}}},
			{Title: "Heading-three", Pictures: []Picture{{Drawing: m, Caption: "caption-three"}}},
			{Title: "Heading-four", Cautions: []string{"caution-four"}},
			{Title: "Heading-five", Lines: []string{"sign-five"}},
			{Title: "Heading-six", Figures: []Figure{{"7", "figure-six"}}},
		}}
		on := map[string]int{}
		pages := read(t, written(t, r, Letter))
		sound(t, pages, "R", side)
		for i, p := range pages {
			for _, w := range p.Words {
				if _, seen := on[w.Text]; !seen {
					on[w.Text] = i + 1
				}
			}
		}
		for _, together := range [][]string{
			{"Heading-one", "text-one"},
			{"Heading-two", "Table-two", "Head-two", "row-a", "row-b", "row-c"},
			{"row-b", "row-c", "row-d", "note-two"},
			{"Heading-three", "Low", "High", "caption-three"},
			{"Heading-four", "caution-four"},
			{"Heading-five", "sign-five", "signature"},
			{"Heading-six", "7", "figure-six"},
		} {
			for _, w := range together {
				if on[w] == 0 || on[w] != on[together[0]] {
					t.Errorf("%d lines before: %s on page %d, %s on page %d", n, together[0], on[together[0]], w, on[w])
				}
			}
		}
	}
}

// A record of one page stays one: its map gets smaller, then is left out, before the lines
// to sign move to a second page. If there is room the map is there.
func TestOnePageStaysOne(t *testing.T) {
	t.Parallel()
	seen := map[bool]int{}
	for rows := 0; rows <= 24; rows += 3 {
		price := table.Table{Title: "Price", Columns: []table.Column{{Name: "Item"}, {Name: "Cost"}}}
		for i := range rows {
			price.Rows = append(price.Rows, []table.Cell{table.Text(fmt.Sprintf("item %d", i)), table.Text("1")})
		}
		s := Section{Text: []string{"Text."}, Cautions: []string{strings.Repeat("Weight. ", 40)}, Pictures: []Picture{{Drawing: demo(t), Caption: "Depth of fill"}}, Lines: []string{"Agreed"}}
		if rows > 0 {
			s.Tables = append(s.Tables, price)
		}
		for _, paper := range []Paper{A4, Letter} {
			r := Record{Title: "Hall", OnePage: true, Sections: []Section{s}}
			var b bytes.Buffer
			if err := WritePDF(&b, r, paper); err != nil {
				t.Fatal(err)
			}
			pages := read(t, b.Bytes())
			sound(t, pages, "Hall", side)
			if len(pages) != 1 || !strings.Contains(pages[0].text(), "Agreed") {
				t.Errorf("%d rows: %d pages", rows, len(pages))
			}
			seen[strings.Contains(pages[0].text(), "Depth of fill")]++
		}
	}
	if seen[true] == 0 || seen[false] == 0 {
		t.Errorf("%d pages have the map and %d have not", seen[true], seen[false])
	}
	var b bytes.Buffer
	if err := WritePDF(&b, Record{Title: "Hall", Across: true, Sections: []Section{{Text: []string{"Text."}}}}, A4); err != nil {
		t.Fatal(err)
	}
	if p := read(t, b.Bytes())[0]; p.Width < p.Height {
		t.Errorf("a page across is %g by %g", p.Width, p.Height)
	}
}

// The map stays on the first page, at least 99 mm high, however many warnings there are:
// those without room follow it, each once, and a line gives their number.
func TestWarningsLeaveTheMapTheFirstPage(t *testing.T) {
	t.Parallel()
	for n, below := range map[int]int{1: 0, 9: 0, 14: 5, 20: 11} {
		s := Section{Title: "Summary", Lead: true, Figures: []Figure{{"7.27 yd³", "fill"}, {"8 yd³", "to order"}}, Pictures: []Picture{{Drawing: demo(t), Caption: "Depth of fill, the map"}}}
		for i := range n {
			s.Warnings = append(s.Warnings, fmt.Sprintf("Warning number %d: %s", i+1, strings.Repeat("it changes what is ordered, ", 7)))
		}
		pages := read(t, written(t, Record{Title: "Hall", Sections: []Section{s}}, A4))
		first, all := pages[0].text(), ""
		for _, p := range pages {
			all += p.text()
		}
		if !strings.Contains(first, "the map") {
			t.Errorf("%d warnings: the map is not on the first page", n)
		}
		for i := range n {
			name := fmt.Sprintf("Warning number %d:", i+1)
			if got := strings.Count(all, name); got != 1 {
				t.Errorf("%d warnings: %q is there %d times", n, name, got)
			}
			if above := strings.Contains(first, name); above != (i < n-below) {
				t.Errorf("%d warnings: %q on the first page %t", n, name, above)
			}
		}
		if line := fmt.Sprintf("%d more warnings are after the map.", below); strings.Contains(first, line) != (below > 0) {
			t.Errorf("%d warnings: no line %q, or one too many", n, line)
		}
	}
}

// Lines to sign are on one page.
func TestLinesToSignStayTogether(t *testing.T) {
	t.Parallel()
	lines := []string{"Old floor measured by", "Order checked by", "Poured by", "New floor measured by", "Accepted for covering by"}
	for n := 30; n <= 60; n += 2 {
		r := Record{Title: "Hall", Sections: []Section{{Text: slices.Repeat([]string{"A line of text."}, n)}, {Title: "Signed", Lines: lines}}}
		for i, p := range read(t, written(t, r, A4)) {
			if k := strings.Count(p.text(), "signature"); k != 0 && k != len(lines) {
				t.Errorf("%d lines above: %d of %d lines to sign on page %d", n, k, len(lines), i+1)
			}
		}
	}
}

// A section kept together begins a page if it does not fit on the rest of one, and its
// pictures come before the next section.
func TestSectionsAreKeptTogether(t *testing.T) {
	t.Parallel()
	long := table.Table{Title: "Order", Columns: []table.Column{{Name: "Line"}, {Name: "Volume"}}}
	for range 30 {
		long.Rows = append(long.Rows, []table.Cell{table.Text("Net"), table.Text("7.22 yd³")})
	}
	before := Section{Title: "Depths", Tables: []table.Table{long}}
	width, height, _ := Letter.size()
	for _, together := range []bool{true, false} {
		f := &flow{title: "Hall", w: width, h: height, side: side}
		f.turn()
		f.section(before, true)
		used := len(f.leaves[0].ops)
		f.section(Section{Title: "Take-off", Together: together, Tables: []table.Table{long}}, false)
		if moved := len(f.leaves) == 2 && len(f.leaves[0].ops) == used; moved != together {
			t.Errorf("together %v: %d pages, %d more blocks on the first", together, len(f.leaves), len(f.leaves[0].ops)-used)
		}
		pages := len(f.leaves)
		f.section(Section{Title: "Weight", Together: together, Text: []string{"29,600 lb"}}, false)
		if len(f.leaves) != pages {
			t.Errorf("together %v: a short section begins a page", together)
		}
		if !together {
			continue
		}
		m := demoMap(t, unit.Style{})
		f.section(Section{Title: "After the pour", Together: together, Pictures: []Picture{{Drawing: m, Caption: "Map"}, {Drawing: m, Caption: "Map"}, {Drawing: m, Caption: "Map"}}}, false)
		if len(f.later) > 0 {
			t.Errorf("%d pictures wait for the section after their own", len(f.later))
		}
	}
}

// A short record does not get a page longer for sections kept together.
func TestKeepingTogetherCostsNoPageOfAShortRecord(t *testing.T) {
	t.Parallel()
	long := table.Table{Title: "Order", Columns: []table.Column{{Name: "Line"}, {Name: "Volume"}}}
	for range 24 {
		long.Rows = append(long.Rows, []table.Cell{table.Text("Net"), table.Text("7.22 yd³")})
	}
	r := Record{Title: "Bathroom"}
	for range 4 {
		r.Sections = append(r.Sections, Section{Title: "Part", Together: true, Tables: []table.Table{long}})
	}
	pages := func(r Record) int {
		var b bytes.Buffer
		if err := WritePDF(&b, r, A4); err != nil {
			t.Fatal(err)
		}
		return bytes.Count(b.Bytes(), []byte("/Type /Page\n")) + bytes.Count(b.Bytes(), []byte("/Type /Page ")) + bytes.Count(b.Bytes(), []byte("/Type /Page/"))
	}
	if with, without := pages(r), pages(r.loose()); with == 0 || with != without {
		t.Errorf("%d pages together, %d without", with, without)
	}
	width, height, _ := A4.size()
	if n, m := len(r.laidOut(width, height, false).leaves), len(r.loose().laidOut(width, height, false).leaves); n <= m {
		t.Errorf("kept together it takes %d pages, else %d: nothing to decide", n, m)
	}
}
