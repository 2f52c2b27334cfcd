package sheet

import (
	"fmt"
	"strings"
	"testing"

	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"github.com/chromedp/chromedp"

	"pourplane/plot/table"
)

// narrowPage opens a record in one font on a phone 360 pixels wide.
func narrowPage(t *testing.T, s Section, face []byte) (text func(expression string) string, number func(expression string) float64) {
	t.Helper()
	ctx := tab(t)
	do(ctx, t, chromedp.EmulateViewport(360, 740))
	open(ctx, t, inFace(t, htmlOf(t, Record{Title: "Hall", Sections: []Section{s}}, nil), face))
	photograph(ctx, t, "narrow-"+t.Name(), true)
	return func(e string) string { return ask[string](ctx, t, e) }, func(e string) float64 { return ask[float64](ctx, t, e) }
}

// On a phone the cost of each item and the total are visible; quantity, unit and price are
// in a second line under the item.
func TestPricesFitATelephone(t *testing.T) {
	t.Parallel()
	prices := table.Table{Title: "Price of the job",
		Columns: []table.Column{{Name: "Item"}, {Name: "Quantity", Right: true, Under: "%s"}, {Name: "Unit", Under: " %s"}, {Name: "Price of one (dollars)", Right: true, Under: ", price %s"}, {Name: "Cost (dollars)", Right: true}},
		Rows: [][]table.Cell{
			{table.Text("Bars of #3, 20'-0\""), table.Text("70"), table.Text("bars"), table.Text("not known"), table.Text("—")},
			{table.Text("bagged underlayment"), table.Text("8.25"), table.Text("yd³"), table.Text("160.00"), table.Text("1320.00")},
			{{Text: "Total of what has a price", Bold: true}, {}, {}, {}, {Text: "1320.00", Bold: true}},
		}}
	text, number := narrowPage(t, Section{Title: "Order", Tables: []table.Table{prices}}, liberationsansregular.TTF)
	if over := number(`(() => { const b = document.querySelector('.box'); return b.scrollWidth - b.clientWidth; })()`); over > 0 {
		t.Errorf("the prices scroll sideways by %g pixels", over)
	}
	want := "Item|Cost (dollars)\nBars of #3, 20'-0\"/70 bars, price not known|—\nbagged underlayment/8.25 yd³, price 160.00|1320.00\nTotal of what has a price|1320.00"
	got := text(`[...document.querySelectorAll('tr')].map(r => [...r.cells].filter(c => c.getClientRects().length).map(c => c.innerText.trim().replace(/\n+/g, '/')).join('|')).join('\n')`)
	if got != want {
		t.Errorf("the table shows\n%s\nwant\n%s", got, want)
	}
}

// A word of a main figure is never broken, even in a wide font.
func TestFigureHoldsItsLongestWord(t *testing.T) {
	t.Parallel()
	_, number := narrowPage(t, Section{Figures: []Figure{{"214 bags", "to order: bagged underlayment"}, {"7.32 yd³", "fill, over 869.8 ft²"}, {`5/16" to 4 5/8"`, `depth, mean 2 3/4"`}}}, liberationmonoregular.TTF)
	lines := number(`(() => { const r = document.createRange(), n = document.querySelector('.figures dt').firstChild, i = n.data.indexOf('underlayment');
		r.setStart(n, i); r.setEnd(n, i + 'underlayment'.length); return r.getClientRects().length; })()`)
	if lines != 1 {
		t.Errorf("the word is on %g lines, want 1", lines)
	}
	if rows := number(`new Set([...document.querySelectorAll('.figures > div')].map(d => d.getBoundingClientRect().top)).size`); rows != 1 {
		t.Errorf("three figures are on %g rows, want 1", rows)
	}
}

// On a phone no column of a wide table is lost: each row is a block with the first cell as its
// head and every other one with its name. Tables of up to three columns and those that fit stay
// tables. On a wider phone columns without room are in a second line under the first one.
func TestWideTablesFoldOnATelephone(t *testing.T) {
	t.Parallel()
	right := func(names ...string) (out []table.Column) {
		for _, name := range names {
			out = append(out, table.Column{Name: name, Right: true})
		}
		return out
	}
	row := func(cells ...string) (out []table.Cell) {
		for _, c := range cells {
			out = append(out, table.Text(c))
		}
		return out
	}
	change := table.Column{Name: "Change of level", Under: "%s"}
	doors := table.Table{Title: "Doors", Columns: append(append([]table.Column{{Name: "Threshold"}}, right("Finished", "Top of fill", "Covering + bed")...), change, table.Column{Name: "Above finish plane", Right: true}),
		Rows: [][]table.Cell{row("D1 ADJ", `100.021 ft (100'-0 1/4")`, `99.969 ft (99'-11 5/8")`, `5/8"`, `1/16" down to the new floor`, `0"`)}}
	thresholds := table.Table{Title: "Thresholds", Columns: append([]table.Column{{Name: "Threshold"}}, right("Finished", "Top of fill", "Covering + bed", "Bed if flush")...),
		Rows: [][]table.Cell{row("A1 ADJ", `99.995 ft (99'-11 15/16")`, `99.930 ft (99'-11 3/16")`, `3/4"`, `3/8"`)}}
	trucks := table.Table{Title: "Trucks", Columns: right("Truck", "Load", "Batched", "Arrives", "Starts", "Empty", "Waits", "Crew idle", "Past the discharge limit"),
		Rows: [][]table.Cell{row("1", "8.25 yd³", "−0:30", "0:00", "0:00", "1:03", "0 min", "0 min", "0.40 yd³")}}
	materials := table.Table{Title: "Materials", Columns: append([]table.Column{{Name: "Material"}}, right("Area", "Net", "Unit weight", "Mass", "To buy", "Bags", "Cost")...),
		Rows: [][]table.Cell{row("topping concrete", "842.7 ft²", "7.22 yd³", "149.8 lb/ft³", "29,230 lb", "8.25 yd³", "by volume", "1,320.00 dollars")}}
	files := table.Table{Title: "Files", Columns: []table.Column{{Name: "Name"}, {Name: "Bytes", Right: true}, {Name: "SHA-256"}},
		Rows: [][]table.Cell{row("survey.csv", "3801", strings.Repeat("a49a5f4b", 8))}}
	places := table.Table{Title: "Places", Columns: []table.Column{{Name: "Place"}, {Name: "From two walls"}, {Name: "From plane", Right: true}, {Name: "Area", Right: true}, {Name: "Volume", Right: true}, {Name: "To do"}, {Name: "Done"}},
		Rows: [][]table.Cell{append(row("H1", `inner east 7'-0", north 4'-0"`, `5/32" above`, "7.2 ft²", "0.01 ft³", "grind, 1 pass"), table.Cell{Tick: true})}}
	small := table.Table{Title: "Depths", Columns: right("Depth from", "To", "Area", "Volume"), Rows: [][]table.Cell{row(`1 1/2"`, `2"`, "177.8 ft²", "0.99 yd³")}}
	all := []table.Table{thresholds, trucks, materials, files, places, small, doors}
	text := htmlOf(t, Record{Title: "Hall", Sections: []Section{{Title: "Tables", Tables: all}}}, nil)
	ctx := tab(t)
	for _, width := range []int64{360, 320} {
		do(ctx, t, chromedp.EmulateViewport(width, 740))
		open(ctx, t, inFace(t, text, liberationsansregular.TTF))
		photograph(ctx, t, fmt.Sprint("folded-", width), true)
		for i, over := range ask[[]float64](ctx, t, `[...document.querySelectorAll('.box')].map(b => b.scrollWidth - b.clientWidth)`) {
			if over > 0 {
				t.Errorf("%d pixels wide: %s scrolls sideways by %g", width, all[i].Title, over)
			}
		}
		seen := ask[[]string](ctx, t, `[...document.querySelectorAll('.box')].map(b => b.innerText.replace(/\s+/g, ' '))`)
		for i, tab := range all {
			for k, c := range tab.Rows[0] {
				if !strings.Contains(seen[i], c.Text) {
					t.Errorf("%d pixels wide: %s shows %q, want %q of %q in it", width, tab.Title, seen[i], c.Text, tab.Columns[k].Name)
				}
			}
		}
		for i, tab := range all {
			for k, c := range tab.Columns {
				blocks := i != 3 && i != 5 // files and depths stay tables
				if name := c.Name + ":"; blocks && !strings.Contains(seen[i], name) || !blocks && k == 0 && !strings.Contains(seen[i], c.Name) {
					t.Errorf("%d pixels wide: %s shows %q, without %q", width, tab.Title, seen[i], c.Name)
				}
			}
		}
		if !strings.Contains(seen[0], "Threshold: A1 ADJ Finished: 99.995 ft") || strings.Contains(seen[5], ":") {
			t.Errorf("%d pixels wide: %q and %q, want blocks in the first and a table in the last", width, seen[0], seen[5])
		}
		if over := ask[float64](ctx, t, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
			t.Errorf("%d pixels wide: the page scrolls sideways by %g", width, over)
		}
		cut := ask[[]string](ctx, t, `[...document.querySelectorAll('td')].filter(d => d.innerText.trim() && (r => r.width < 1 || r.left < 0 || r.right > innerWidth || d.scrollWidth > d.clientWidth + 1)(d.getBoundingClientRect()) && getComputedStyle(d).display !== 'none').map(d => d.innerText)`)
		if len(cut) > 0 {
			t.Errorf("%d pixels wide: cells are cut: %q", width, cut)
		}
	}
	do(ctx, t, chromedp.EmulateViewport(480, 740))
	open(ctx, t, inFace(t, text, liberationsansregular.TTF))
	wider := strings.ReplaceAll(ask[string](ctx, t, `[...document.querySelectorAll('.box')].map(b => b.innerText.replace(/\s+/g, ' ')).join('|')`), "\u00a0", " ")
	for _, want := range []string{`99.969 ft (99'-11 5/8"); Change of level: 1/16" down to the new floor`, "A1 ADJ Finished: 99.995 ft"} {
		if !strings.Contains(wider, want) {
			t.Errorf("480 pixels wide: %q, want %q in it", wider, want)
		}
	}
	do(ctx, t, chromedp.EmulateViewport(1200, 740))
	open(ctx, t, text)
	if seen := ask[string](ctx, t, `document.querySelector('.box').innerText`); strings.Contains(seen, "Finished:") {
		t.Errorf("on a desk the table shows %q", seen)
	}
}
