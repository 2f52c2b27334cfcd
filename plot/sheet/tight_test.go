package sheet

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/plot"
	"pourplane/plot/table"
)

// A record has less space if that saves a page, and only then. By hand: a gap of 10 pt is
// then 6 pt, a row of a table has 1 pt above and below instead of 2, and the line to sign on
// has 22 pt instead of 30.
func TestLessAirWhereItSavesAPage(t *testing.T) {
	t.Parallel()
	down := func(tight bool, set func(f *flow)) vg.Length {
		f := &flow{w: 595, h: 842, side: side, tight: tight}
		f.turn()
		f.add(block{height: 5})
		from := f.y
		set(f)
		f.flush()
		return from - f.y
	}
	rows := table.Table{Columns: []table.Column{{Name: "What"}}}
	for range 7 {
		rows.Rows = append(rows.Rows, []table.Cell{table.Text("x")})
	}
	heads := 14.0 // pt, gap above a table
	for what, c := range map[string]struct {
		set  func(f *flow)
		less float64
	}{
		"gap":   {func(f *flow) { f.add(block{gap: 10, height: 20}) }, 4},
		"table": {func(f *flow) { f.table(rows) }, 0.4*heads + 8*2},
		"lines": {func(f *flow) { f.signOff([]string{"Agreed"}) }, 0.4*6 + 8},
	} {
		if less := float64(down(false, c.set) - down(true, c.set)); math.Abs(less-c.less) > 1e-9 {
			t.Errorf("%s: %.2f pt less, want %.2f", what, less, c.less)
		}
	}
	saved := false
	for n := 100; n < 110; n++ {
		r := Record{Title: "Floor", Sections: []Section{{}}}
		for i := range n {
			r.Sections[0].Text = append(r.Sections[0].Text, fmt.Sprintf("Line %d.", i))
		}
		width, height, _ := A4.size()
		loose, tight := len(r.laidOut(width, height, false).leaves), len(r.laidOut(width, height, true).leaves)
		got := len(read(t, written(t, r, A4)))
		if got != min(loose, tight) {
			t.Errorf("%d lines: %d pages, want %d, the fewer of %d and %d", n, got, min(loose, tight), loose, tight)
		}
		saved = saved || tight < loose
	}
	if !saved {
		t.Error("no page is saved: nothing is shown")
	}
}

// taken is a map that records the height it is drawn at.
type taken struct {
	*plot.DepthMap
	high *vg.Length
}

func (m taken) Height(vg.Length) vg.Length { return 5000 }

func (m taken) Draw(c draw.Canvas) error {
	*m.high = c.Size().Y
	return nil
}

// The map of a one-page record gets smaller as the text gets longer, down to 0.34 of the
// page; then it is left out.
func TestMapOfASinglePageGetsSmaller(t *testing.T) {
	t.Parallel()
	least, gone := math.Inf(1), false
	for n := range 45 {
		var high vg.Length
		r := Record{Title: "Hall", OnePage: true, Sections: []Section{{Pictures: []Picture{{Drawing: taken{demo(t), &high}, Caption: "Depth of fill"}}, Lines: []string{"Agreed"}}}}
		for i := range n {
			r.Sections[0].Text = append(r.Sections[0].Text, fmt.Sprintf("Line %d.", i))
		}
		if pages := read(t, written(t, r, A4)); len(pages) > 1 && high > 0 {
			t.Errorf("%d lines: %d pages and a map", n, len(pages))
		}
		if high == 0 {
			gone = true
			continue
		}
		if gone {
			t.Errorf("%d lines: a map, and none with fewer", n)
		}
		_, height, _ := A4.size()
		least = min(least, float64(high/(height-top-bottom)))
	}
	if !gone || least < 0.335 || least > 0.345 {
		t.Errorf("the least map takes %.3f of the page, and is left out then: %t; want 0.335 to 0.345", least, gone)
	}
}
