package sheet

import (
	"slices"
	"strings"
	"testing"

	"pourplane/plot/table"
)

// What follows a picture without room on its page fills that page; the picture is at the top
// of the next one, also amid a table, which goes on below it with its heads.
func TestNoPageIsLeftHalfEmptyForAPicture(t *testing.T) {
	t.Parallel()
	rows := func(n int) table.Table {
		out := table.Table{Title: "Table-after", Columns: []table.Column{{Name: "Head-after"}}}
		for range n {
			out.Rows = append(out.Rows, []table.Cell{table.Text("row")})
		}
		return out
	}
	for _, n := range []int{4, 30} {
		r := Record{Title: "R", Sections: []Section{
			{Title: "First", Text: []string{strings.TrimSpace(strings.Repeat("filler\n", 26))}},
			{Title: "Second", Text: []string{"text-two"}, Pictures: []Picture{{Drawing: corners{demo(t)}, Caption: "caption-one"}, {Drawing: corners{demo(t)}, Caption: "caption-two", Most: 0.2}}},
			{Title: "Third", Tables: []table.Table{rows(n)}},
		}}
		pages := read(t, written(t, r, Letter))
		sound(t, pages, "R", side)
		if len(pages) < 2 {
			t.Fatalf("%d pages, want 2 or more", len(pages))
		}
		words := func(i int) []string { return strings.Fields(pages[i].text()) }
		if first := words(0); !slices.Contains(first, "“caption-one”") || !slices.Contains(first, "Table-after") || slices.Contains(first, "High") {
			t.Errorf("%d rows: page 1 is %q", n, first)
		}
		second := pages[1].text()
		one, two, more := strings.Index(second, "caption-one"), strings.Index(second, "caption-two"), strings.Index(second, "continued")
		if one < 0 || two < one {
			t.Errorf("%d rows: page 2 is %q", n, second)
		}
		if n == 30 && (more < two || !strings.Contains(second[more:], "Head-after")) {
			t.Errorf("page 2 is %q, want the table to go on below the pictures", second)
		}
	}
}

// A table that fits well on one page is not split over two: its total is seen with its rows. A
// longer one is, with its heads on each page.
func TestShortTablesAreNotSplit(t *testing.T) {
	t.Parallel()
	for n, want := range map[int]bool{10: false, 28: true} {
		long := table.Table{Title: "Prices", Columns: []table.Column{{Name: "Item"}, {Name: "Cost", Right: true}}}
		for range n {
			long.Rows = append(long.Rows, []table.Cell{table.Text("row"), table.Text("1")})
		}
		long.Rows = append(long.Rows, []table.Cell{table.Text("Total"), table.Text("x")})
		pages := read(t, written(t, Record{Title: "R", Sections: []Section{
			{Title: "First", Text: []string{strings.TrimSpace(strings.Repeat("filler\n", 34))}},
			{Title: "Second", Tables: []table.Table{long}},
		}}, Letter))
		split := false
		for _, p := range pages {
			split = split || strings.Contains(p.text(), "continued")
		}
		if split != want {
			t.Errorf("%d rows on %d pages: split %v, want %v", n, len(pages), split, want)
		}
	}
}
