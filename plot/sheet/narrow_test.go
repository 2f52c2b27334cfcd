package sheet

import (
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
	ctx := browser(t)
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

// Only a warning that may be cut shows that a touch opens it; one of twoLines letters is
// whole.
func TestACutWarningShowsThatItOpens(t *testing.T) {
	t.Parallel()
	short := strings.Repeat("truck 1 is late ", 4)[:twoLines-1] + "."
	if len(short) != 60 {
		t.Fatalf("a warning of %d letters, want 60", len(short))
	}
	text, _ := narrowPage(t, Section{Warnings: []string{short, short + "!", strings.Repeat(short, 3)}}, liberationsansregular.TTF)
	state := `[...document.querySelectorAll('details.caution')].map(d => {
		const p = d.querySelector('p'), after = getComputedStyle(d.querySelector('summary'), '::after').content;
		return (p.scrollHeight <= p.clientHeight + 1 ? 'whole ' : 'cut ') + after; }).join(', ')`
	if got, want := text(state), `whole none, whole "more", cut "more"`; got != want {
		t.Errorf("the warnings are %s; want %s", got, want)
	}
	if got, want := text(`document.querySelectorAll('summary')[2].click(), `+state), `whole none, whole "more", whole "less"`; got != want {
		t.Errorf("after a touch the warnings are %s; want %s", got, want)
	}
}
