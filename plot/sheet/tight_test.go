package sheet

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/plot/vg"

	"pourplane/plot/table"
)

// A record has less air where that saves a page, and only there. By hand: a gap of 10 pt is
// then 6 pt, a row of a table has 1 pt above and beneath instead of 2, and the line to sign
// on 22 pt instead of 30.
func TestLessAirWhereItSavesAPage(t *testing.T) {
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
	heads := 14.0 // pt of the gap above a table
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
