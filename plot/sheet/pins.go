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

// PinSheet is what the crew uses to set grade pins: a plan true to scale and the pins to
// tick off.
type PinSheet struct {
	Title   string
	Date    string // as printed on every page
	Program string // name and version of the program that made it

	Plan                  plot.Drawing // nil: only the table
	PlanWidth, PlanHeight vg.Length    // size of the plan at Scale, within [PlanRoom]
	Scale                 string       // as printed below the plan: "1:50"

	// Parts are the sheets of a plan that is too large for one; Plan is then the overview. A
	// single part without a Plan has Legend below it, or on the next page if there is no
	// room.
	Parts  []PlanPart
	Legend plot.Drawing

	Figures  []Figure
	Text     []string
	Cautions []string
	Table    table.Table
}

// PlanPart is the part of a larger plan on one sheet.
type PlanPart struct {
	Name          string       // as on the overview: "B"
	Plan          plot.Drawing // the whole
	Width, Height vg.Length    // of the whole, at Scale
	Window        vg.Rectangle // visible part, from the lower left corner of the whole; within [PlanRoom]
	Scale         string
	Note          string // beside the name: what is not written on it
}

const (
	planHead  = 26 // pt above a plan, for the title
	planUnder = 30 // pt below it, for the scale
)

// PlanRoom returns the max width and height of a plan on paper p, upright or across, in
// points. Both are 0 for an unknown paper.
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

// WritePins writes s as a PDF on paper p: the plan at its true size, upright or else across,
// with a line to measure whether the printer kept the size; then figures, text and cautions,
// and the table in as many columns as stay readable. Equal sheets give equal bytes.
//
// A sheet without a title or without rows, and a plan that fits neither upright nor across,
// are refused with a [*survey.Error].
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
	switch {
	case s.Plan == nil && len(s.Parts) == 1:
		if err := f.part(s, s.Parts[0], p); err != nil {
			return err
		}
		across := f.w != width
		f.w, f.h = width, height
		if across {
			f.turn()
		}
		f.legend(s.Legend)
	case s.Plan != nil:
		across, err := s.across(p)
		if err != nil {
			return err
		}
		if across {
			f.w, f.h = height, width
		}
		f.turn()
		f.plan(s, p, across)
		for _, part := range s.Parts {
			if err := f.part(s, part, p); err != nil {
				return err
			}
		}
		f.w, f.h = width, height
		if across || len(s.Parts) > 0 {
			f.turn()
		}
	default:
		f.turn()
		f.head()
	}
	f.figures(s.Figures)
	f.add(f.paragraphs(s.Text)...)
	f.cautions(s.Cautions)
	if !f.inColumns(s.Table, largestPin, smallest, likes, least) {
		f.table(s.Table)
	}
	return f.write(w)
}

// across reports whether the plan needs the paper across.
func (s PinSheet) across(p Paper) (bool, error) {
	const slack = 0.01 // pt, for a size computed from the room itself
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

// plan sets the title, the plan and its scale on a separate page or at the top of one.
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

// part sets one sheet of a larger plan on a separate page, upright or across.
func (f *flow) part(s PinSheet, part PlanPart, p Paper) error {
	size := part.Window.Size()
	across, err := PinSheet{Title: s.Title, PlanWidth: size.X, PlanHeight: size.Y, Scale: part.Scale}.across(p)
	if err != nil {
		return err
	}
	f.w, f.h, _ = p.size() // Plan, if any, was on it
	if across {
		f.w, f.h = f.h, f.w
	}
	f.turn()
	title := plot.Lettering{Size: 14, Bold: true}
	f.set(block{height: planHead, draw: func(d *plot.PDF, q vg.Point) error {
		name, at := "Sheet "+part.Name, baseLine(title, q)
		if len(s.Parts) == 1 {
			name = s.Title
		}
		d.Text(title, at, name)
		off := title.Width(name) + 14
		d.Text(textType, at.Add(vg.Point{X: off}), shorten(textType, part.Note, f.leaves[0].w-2*narrow-off))
		return nil
	}})
	wide := f.width()
	f.set(block{height: size.Y + planUnder, draw: func(d *plot.PDF, q vg.Point) error {
		corner := vg.Point{X: q.X + (wide-size.X)/2, Y: q.Y - size.Y}
		r := vg.Rectangle{Min: corner, Max: corner.Add(size)}
		whole := vg.Rectangle{Min: corner.Sub(part.Window.Min)}
		whole.Max = whole.Min.Add(vg.Point{X: part.Width, Y: part.Height})
		if err := d.PlacePart(part.Plan, whole, r); err != nil {
			return fmt.Errorf("sheet %s of %q: %w", part.Name, s.Title, err)
		}
		stroke(d, r.Path(), 0.5, faint)
		ruler(d, vg.Point{X: q.X, Y: q.Y - size.Y - 22}, p, part.Scale, wide)
		return nil
	}})
	return nil
}

// legend sets the legend of a plan over the full width.
func (f *flow) legend(of plot.Drawing) {
	if of == nil {
		return
	}
	wide := f.width()
	tall := of.Height(wide)
	f.add(block{height: tall, draw: func(d *plot.PDF, q vg.Point) error {
		return d.Place(of, vg.Rectangle{Min: vg.Point{X: q.X, Y: q.Y - tall}, Max: vg.Point{X: q.X + wide, Y: q.Y}})
	}})
}

// ruler draws a line of known length beside the scale: a printer that fits a page to its
// paper changes both.
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

// Lettering of the rows to tick: read on the floor, from farther than arm's length.
const largestPin = 11 // pt

// inColumns sets a table of short rows in as many columns as fit on the page, each with the
// heads, in lettering between two sizes, at the first of the widths at which two columns
// fit. If a few rows would need another page, the lettering is smaller if that saves the
// page. It reports whether two columns fit; if not, nothing is set.
func (f *flow) inColumns(t table.Table, from, to vg.Length, widths ...func(measure) float64) bool {
	t = t.Headed()
	all := measures(t)
	c := f.largestColumns(t, all, from, to, widths)
	if c == nil {
		return false
	}
	f.tableTitle(t.Title)
	under := vg.Length(0)
	for _, note := range t.Notes {
		under += vg.Length(len(noteType.Wrap(note, f.width())))*lead(noteType) + 3
	}
	if at, over := f.pages(c, under); at > 0 && over < few {
		for size := c.size - 0.5; size >= to; size -= 0.5 {
			smaller := f.columnsOf(t, all, size, c.of) // never nil: it needs less width
			if now, _ := f.pages(smaller, under); now < at {
				c = smaller
				break
			}
		}
	}
	f.setColumns(c)
	f.notes(t.Notes)
	return true
}

const columnGap = 18 // pt from column to column

// tableColumns is a table set in several columns, side by side.
type tableColumns struct {
	size vg.Length // of the lettering
	of   func(measure) float64
	n    int // columns
	grid grid
	head block
	rows []piece
}

// largestColumns returns a table in columns, in the largest lettering at the first of the
// widths at which two columns fit; nil if they fit at none.
func (f *flow) largestColumns(t table.Table, all []measure, from, to vg.Length, widths []func(measure) float64) *tableColumns {
	for _, of := range widths {
		for size := from; size >= to; size -= 0.5 {
			if c := f.columnsOf(t, all, size, of); c != nil {
				return c
			}
		}
	}
	return nil
}

// columnsOf returns a table in columns in lettering of a size; nil if two do not fit.
func (f *flow) columnsOf(t table.Table, all []measure, size vg.Length, of func(measure) float64) *tableColumns {
	n := min(4, int((f.width()+columnGap)/(total(all, size, of)+columnGap)))
	if n < 2 {
		return nil
	}
	c := &tableColumns{size: size, of: of, n: n}
	c.grid = spread(t, all, size, (f.width()-columnGap*vg.Length(n-1))/vg.Length(n), of)
	c.head = c.grid.head()
	for _, r := range t.Rows {
		c.rows = append(c.rows, c.grid.row(r, f.body()/3)...)
	}
	return c
}

// setColumns sets c on this page, or on the next if there is room for only a few rows, and
// on as many more as it needs.
func (f *flow) setColumns(c *tableColumns) {
	rows := c.rows
	tallest := vg.Length(0)
	for _, r := range rows {
		tallest = max(tallest, r.size)
	}
	if f.room() < c.head.gap+c.head.height+max(tallest, vg.Length(min(4, len(rows)))*rows[0].size) && !f.fresh {
		f.turn()
	}
	f.flush()
	for len(rows) > 0 {
		if f.fresh {
			f.y += c.head.gap
		}
		f.y -= c.head.gap
		room := f.y - bottom - c.head.height
		columns := balanced(rows, room, c.n)
		deepest := vg.Length(0)
		for k, column := range columns {
			deepest = max(deepest, f.setColumn(c, k, column))
			rows = rows[len(column):]
		}
		f.y -= deepest
		if len(rows) > 0 {
			f.turn()
		}
	}
}

// setColumn sets rows as column k under the heads, and returns the height that they take.
func (f *flow) setColumn(c *tableColumns, k int, rows []piece) vg.Length {
	step := (f.width() + columnGap) / vg.Length(c.n)
	p := vg.Point{X: f.side + step*vg.Length(k), Y: f.y}
	f.put(p, c.head.draw)
	p.Y -= c.head.height
	for _, r := range rows {
		f.put(p, func(d *plot.PDF, at vg.Point) error {
			c.grid.drawRow(d, at, r)
			return nil
		})
		p.Y -= r.size
	}
	return f.y - p.Y
}

// few is the max share of a page for rows that smaller lettering should save.
const few = 0.3

// pages returns how many pages beyond the present one c and the content below it take, and
// the share of the last page that they fill.
func (f *flow) pages(c *tableColumns, under vg.Length) (more int, last float64) {
	rows := c.rows
	room := f.room() - c.head.gap - c.head.height
	for {
		used := vg.Length(0)
		done := 0
		for _, column := range balanced(rows, room, c.n) {
			high := vg.Length(0)
			for _, r := range column {
				high += r.size
			}
			used = max(used, high)
			done += len(column)
		}
		full := f.body() - c.head.gap - c.head.height
		if done == len(rows) && used+under <= room {
			return more, float64((used + under) / full)
		}
		if done == 0 && more > 0 { // rows taller than a page
			return more, 1
		}
		rows = rows[done:]
		room, more = full, more+1
	}
}

// balanced fills up to n columns of a height with rows from the first on. If all the rows
// fit, it makes the columns equally long.
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
