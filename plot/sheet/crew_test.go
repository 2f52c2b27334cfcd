package sheet

import (
	"fmt"
	"testing"

	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"github.com/chromedp/chromedp"

	"pourplane/plot/table"
)

// On a small phone the crew reads each height and rod reading whole, beside the box to tick,
// and the reason of a doubtful reading wraps inside its table.
func TestTheCrewsTablesFitATelephone(t *testing.T) {
	t.Parallel()
	pins := table.Table{Title: "Grade pins", Columns: []table.Column{{Name: "Pin"}, {Name: "From wall", Under: "%s"}, {Name: "and from wall", Under: ", %s"},
		{Name: "Height", Right: true}, {Name: "Rod = BM1 +", Right: true}, {Name: "Set"}},
		Rows: [][]table.Cell{{table.Text("W12"), table.Text(`inner north 10'-11 15/16"`), table.Text(`inner east 12'-10 15/16"`), {Text: `3 15/16"`, Bold: true}, table.Text(`+12 15/16"`), {Tick: true}}}}
	doubts := table.Table{Title: "Readings to look at again", Columns: []table.Column{{Name: "Shot"}, {Name: "Where in the file", Under: "%s"}, {Name: "What it looks like"}},
		Rows: [][]table.Cell{{table.Text("24"), table.Text("garage-before-the-pour.csv:30"), table.Text(`24 reads 5-0 11/16, 12" lower than nearby shots suggest: it looks one foot out`)}}}
	text := htmlOf(t, Record{Title: "Garage", Sections: []Section{{Title: "Tables", Tables: []table.Table{pins, doubts}}}}, nil)
	ctx := tab(t)
	for _, c := range []struct {
		width int64
		face  []byte
	}{{360, liberationsansregular.TTF}, {320, liberationsansregular.TTF}, {360, liberationmonoregular.TTF}} {
		do(ctx, t, chromedp.EmulateViewport(c.width, 740))
		open(ctx, t, inFace(t, text, c.face))
		photograph(ctx, t, fmt.Sprint("crew-", c.width), true)
		for i, over := range ask[[]float64](ctx, t, `[...document.querySelectorAll('.box')].map(b => b.scrollWidth - b.clientWidth)`) {
			if over > 0 {
				t.Errorf("%d pixels wide: table %d scrolls sideways by %g", c.width, i+1, over)
			}
		}
		// Text that a cell shows ends inside its cell, and no cell is under another.
		for _, bad := range ask[[]string](ctx, t, `[...document.querySelectorAll('tr')].flatMap(r => {
			const cells = [...r.cells].filter(c => c.getClientRects().length);
			return cells.filter((c, i) => {
				const range = document.createRange(); range.selectNodeContents(c);
				const b = range.getBoundingClientRect(), box = c.getBoundingClientRect(), next = cells[i + 1];
				return b.right > box.right + 0.5 || next && b.right > next.getBoundingClientRect().left + 0.5;
			}).map(c => c.textContent); })`) {
			t.Errorf("%d pixels wide: %q is not whole", c.width, bad)
		}
	}
}
