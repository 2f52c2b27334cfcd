package sheet

import (
	"math"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/plot"
	"pourplane/plot/table"
)

// square is a drawing as high as it is wide.
type square struct{ plot.Drawing }

func (square) Draw(draw.Canvas) error       { return nil }
func (square) Height(w vg.Length) vg.Length { return w }

// A picture beside a narrow table takes as much of the page as the higher of the two, and a little at
// least; by hand 0.28 of the 734 pt of A4. Beside a wide table there is no room.
func TestPictureBesideATable(t *testing.T) {
	t.Parallel()
	narrow := table.Table{Columns: []table.Column{{Name: "What"}, {Name: "Much", Right: true}}}
	wide := table.Table{Columns: []table.Column{{Name: "What"}}}
	for range 4 {
		narrow.Rows = append(narrow.Rows, []table.Cell{table.Text("x"), table.Text("1")})
		wide.Rows = append(wide.Rows, []table.Cell{table.Text("a long sentence that takes up nearly all of the width of a page and leaves nothing for a picture")})
	}
	snug := false
	height := func(s Section) float64 {
		f := &flow{w: 595, h: 842, side: side, snug: snug}
		f.turn()
		f.add(block{height: 5})
		from := f.y
		f.section(s, false)
		return float64(from - f.y)
	}
	q := Picture{Drawing: square{}, Caption: "A square", Beside: true}
	if got := height(Section{Tables: []table.Table{narrow}, Pictures: []Picture{q}}); math.Abs(got-(14+0.28*734)) > 1e-6 {
		t.Errorf("%g pt, want %g", got, 14+0.28*734)
	}
	// Where a page is short of room it is no higher than the table, and of so short a one not drawn.
	snug, q.Instead = true, "See the square"
	if got, want := height(Section{Tables: []table.Table{narrow}, Pictures: []Picture{q}}), height(Section{Tables: []table.Table{narrow}}); math.Abs(got-want) > 1e-6 {
		t.Errorf("%g pt beside a short table, want %g as without it", got, want)
	}
	snug = false
	alone := height(Section{Tables: []table.Table{wide}})
	q.Most = 0.3
	if got, want := height(Section{Tables: []table.Table{wide}, Pictures: []Picture{q}}), alone+0.3*734; got < want {
		t.Errorf("beside a wide table: %g pt, want %g or more", got, want)
	}
}
