package sheet

import (
	"fmt"
	"io"
	"math"
	"strings"

	"gonum.org/v1/plot/vg"

	"pourplane/plot"
	"pourplane/plot/table"
	"pourplane/survey"
)

// PinSheet is what the crew sets grade pins by: a plan true to scale and the pins
// to tick off.
type PinSheet struct {
	Title   string
	Date    string // as it is to stand on every page
	Program string // name and version of what made it

	Plan                  plot.Drawing // nil: only the table
	PlanWidth, PlanHeight vg.Length    // of the plan at Scale, within [PlanRoom]
	Scale                 string       // as it is to stand beneath the plan: "1:50"

	Figures  []Figure
	Text     []string
	Cautions []string
	Table    table.Table
}

const (
	planHead  = 26 // pt above a plan, for the title
	planUnder = 40 // pt beneath it, for the scale
)

// PlanRoom returns the largest width and height of a plan on paper p, upright or
// across, in points. Both are 0 for a paper that is not known.
func PlanRoom(p Paper, landscape bool) (w, h vg.Length) {
	w, h, err := p.size()
	if err != nil {
		return 0, 0
	}
	if landscape {
		w, h = h, w
	}
	return w - 2*narrow, h - top - bottom - planHead - planUnder
}

// WritePins writes s as a PDF on paper p: the plan at its true size, upright or
// else across, with a line to measure whether the printer kept the size; then
// figures, text and cautions, and the table in as many columns as can be read.
// Equal sheets give equal bytes.
//
// A sheet without a title or without rows, and a plan that fits neither way, are
// refused with a [*survey.Error].
func WritePins(w io.Writer, s PinSheet, p Paper) error {
	if strings.TrimSpace(s.Title) == "" {
		return &survey.Error{Element: "pin sheet", Found: "no title", Want: "one for the head of every page"}
	}
	if len(s.Table.Rows) == 0 {
		return &survey.Error{Element: fmt.Sprintf("pin sheet %q", s.Title), Found: "no pins", Want: "at least one"}
	}
	if err := check(s.Table, fmt.Sprintf("pin sheet %q", s.Title)); err != nil {
		return err
	}
	width, height, err := p.size()
	if err != nil {
		return err
	}
	f := &flow{title: s.Title, date: s.Date, program: s.Program, w: width, h: height, side: narrow}
	if s.Plan != nil {
		across, err := s.across(p)
		if err != nil {
			return err
		}
		if across {
			f.w, f.h = height, width
		}
		f.turn()
		f.plan(s, p, across)
		f.w, f.h = width, height
		if across {
			f.turn()
		}
	} else {
		f.turn()
		f.head()
	}
	f.figures(s.Figures)
	f.paragraphs(s.Text)
	f.cautions(s.Cautions)
	if !f.inColumns(s.Table, largestPin, smallest, likes, least) {
		f.table(s.Table)
	}
	return f.write(w)
}

// across reports whether the plan needs the paper turned.
func (s PinSheet) across(p Paper) (bool, error) {
	const slack = 0.01 // pt, of a size that was worked out from the room itself
	for _, landscape := range []bool{false, true} {
		w, h := PlanRoom(p, landscape)
		if s.PlanWidth > 0 && s.PlanHeight > 0 && s.PlanWidth <= w+slack && s.PlanHeight <= h+slack {
			return landscape, nil
		}
	}
	mm := func(l vg.Length) float64 { return float64(l / vg.Millimeter) }
	floor := func(l vg.Length) float64 { return math.Floor(mm(l)) }
	w, h := PlanRoom(p, false)
	across, up := PlanRoom(p, true)
	return false, &survey.Error{
		Element: fmt.Sprintf("plan of %q at scale %s", s.Title, s.Scale),
		Found:   fmt.Sprintf("%.1f mm by %.1f mm", mm(s.PlanWidth), mm(s.PlanHeight)),
		Want:    fmt.Sprintf("at most %.0f mm by %.0f mm, or %.0f mm by %.0f mm across; take a smaller scale", floor(w), floor(h), floor(across), floor(up)),
	}
}

// plan sets the title, the plan and its scale on a page of their own or at the head
// of one.
func (f *flow) plan(s PinSheet, p Paper, across bool) {
	title := plot.Lettering{Size: 14, Bold: true}
	f.set(block{height: planHead, draw: func(d *plot.PDF, q vg.Point) error {
		d.Text(title, baseLine(title, q), shorten(title, s.Title, f.leaves[0].w-2*narrow))
		return nil
	}})
	room := s.PlanHeight
	if across {
		_, room = PlanRoom(p, true)
	}
	wide := f.width()
	f.set(block{height: room + planUnder, draw: func(d *plot.PDF, q vg.Point) error {
		at := vg.Point{X: q.X + (wide-s.PlanWidth)/2, Y: q.Y - (room-s.PlanHeight)/2}
		r := vg.Rectangle{Min: vg.Point{X: at.X, Y: at.Y - s.PlanHeight}, Max: vg.Point{X: at.X + s.PlanWidth, Y: at.Y}}
		if err := d.Place(s.Plan, r); err != nil {
			return fmt.Errorf("plan of %q: %w", s.Title, err)
		}
		ruler(d, vg.Point{X: q.X, Y: q.Y - room - 22}, p, s.Scale, wide)
		return nil
	}})
}

// ruler draws a line of known length beside the scale: a printer that fits a page
// to its paper changes both.
func ruler(d *plot.PDF, p vg.Point, paper Paper, scale string, width vg.Length) {
	length, name, parts := 100*vg.Millimeter, "100 mm", 10
	if paper == Letter {
		length, name, parts = 4*vg.Inch, "4 in", 4
	}
	rule(d, p, length, 1, black)
	for i := range parts + 1 {
		x := p.X + length*vg.Length(i)/vg.Length(parts)
		up := vg.Length(4)
		if i == 0 || i == parts {
			up = 8
		}
		var t vg.Path
		t.Move(vg.Point{X: x, Y: p.Y})
		t.Line(vg.Point{X: x, Y: p.Y + up})
		stroke(d, t, 0.75, black)
	}
	x, room := p.X+length+10, width-length-10
	text := "Print at full size: this line is " + name + " long."
	if scale != "" {
		d.Text(textType, vg.Point{X: x, Y: p.Y + 12}, shorten(textType, "Scale "+scale+".", room))
	}
	d.Text(textType, vg.Point{X: x, Y: p.Y}, shorten(textType, text, room))
}

// Lettering of the rows to tick: read on the floor, at more than arm's length.
const largestPin = 11 // pt

// inColumns sets a table of short rows in as many columns as fit on the page, each
// with the heads, in lettering between two sizes, at the first of the widths at
// which two fit. It reports whether they do; else nothing is set.
func (f *flow) inColumns(t table.Table, from, to vg.Length, widths ...func(measure) float64) bool {
	const gap = 18 // pt from column to column
	all := measures(t)
	g, n := grid{}, 0
	for _, of := range widths {
		for size := from; size >= to && n < 2; size -= 0.5 {
			n = min(4, int((f.width()+gap)/(total(all, size, of)+gap)))
			if n >= 2 {
				g = spread(t, all, size, (f.width()-gap*vg.Length(n-1))/vg.Length(n), of)
			}
		}
	}
	if n < 2 {
		return false
	}
	head := g.head()
	var rows []piece
	tallest := vg.Length(0)
	for _, r := range t.Rows {
		for _, p := range g.row(r, f.body()/3) {
			rows = append(rows, p)
			tallest = max(tallest, p.size)
		}
	}
	f.tableTitle(t.Title)
	if f.room() < head.gap+head.height+max(tallest, vg.Length(min(4, len(rows)))*rows[0].size) && !f.fresh {
		f.turn()
	}
	f.flush()
	step := (f.width() + gap) / vg.Length(n)
	for len(rows) > 0 {
		if f.fresh {
			f.y += head.gap
		}
		f.y -= head.gap
		room := f.y - bottom - head.height
		columns := balanced(rows, room, n)
		deepest := vg.Length(0)
		for k, column := range columns {
			p := vg.Point{X: f.side + step*vg.Length(k), Y: f.y}
			f.put(p, head.draw)
			p.Y -= head.height
			for _, r := range column {
				f.put(p, func(d *plot.PDF, at vg.Point) error {
					g.drawRow(d, at, r)
					return nil
				})
				p.Y -= r.size
			}
			deepest = max(deepest, f.y-p.Y)
			rows = rows[len(column):]
		}
		f.y -= deepest
		if len(rows) > 0 {
			f.turn()
		}
	}
	f.notes(t.Notes)
	return true
}

// balanced fills up to n columns of a height with rows from the first on, none of
// them taller; where
// all that are left fit, it makes the columns equally long.
func balanced(rows []piece, height vg.Length, n int) [][]piece {
	fill := func(height vg.Length) (columns [][]piece, rest int) {
		from := 0
		for range n {
			to, left := from, height
			for to < len(rows) && (rows[to].size <= left) {
				left -= rows[to].size
				to++
			}
			if to > from {
				columns = append(columns, rows[from:to])
			}
			from = to
		}
		return columns, len(rows) - from
	}
	best, rest := fill(height)
	if rest > 0 {
		return best
	}
	lo, hi := vg.Length(0), height
	for range 20 {
		mid := (lo + hi) / 2
		if c, rest := fill(mid); rest == 0 {
			best, hi = c, mid
		} else {
			lo = mid
		}
	}
	return best
}
