package sheet

import (
	"fmt"
	"image/color"
	"io"
	"math"
	"strings"

	"gonum.org/v1/plot/vg"

	"pourplane/plot"
	"pourplane/survey"
)

// GridSheet is what a crew takes along to survey a floor: for each room a plan of the places to
// shoot and a box for the reading of each.
type GridSheet struct {
	Title    string
	Program  string   // name and version of the program that made it
	Blanks   []string // names of the boxes on the first page of each room: "Date"
	Rooms    []GridRoom
	Text     []string
	Cautions []string
}

// GridRoom is one room of a [GridSheet].
type GridRoom struct {
	Name string // as in the outline; empty if there is only one room
	Plan plot.ShotGridMap
	From string // what the distances of columns and rows are from
}

// Sizes of the table of boxes, points: a box takes feet, inches and sixteenths in handwriting.
const (
	boxWide  = 46 // min
	mostWide = 80
	boxHigh  = 22
	rowHead  = 62
	headHigh = 26
	blanks   = 4 // in a row
	blank    = 34

	readable = 28 // between the lines of a plan, so that names are between them; own choice
)

var offFloor = color.NRGBA{R: 0xdc, G: 0xdc, B: 0xdc, A: 255}

// WriteGridSheet writes s as a PDF on paper p. scales are those of the plans, the largest
// first, and name writes one. Each room starts a page, upright or across. Equal sheets give
// equal bytes.
func WriteGridSheet(w io.Writer, s GridSheet, p Paper, scales []float64, name func(float64) string) error {
	if strings.TrimSpace(s.Title) == "" {
		return &survey.Error{Element: "grid sheet", Found: "no title", Want: "one for the head of every page"}
	}
	if len(s.Rooms) == 0 {
		return &survey.Error{Element: fmt.Sprintf("grid sheet %q", s.Title), Found: "no room", Want: "at least one"}
	}
	if _, _, err := p.size(); err != nil {
		return err
	}
	f := &flow{title: s.Title, program: s.Program, side: narrow}
	for i, r := range s.Rooms {
		if i > 0 {
			s.Text, s.Cautions = nil, nil // on the pages of the first room
		}
		f.gridRoom(s, r, p, scales, name)
		f.finish()
	}
	return f.write(w)
}

// fitted returns the number of columns of boxes that a page of a width has room for.
func fitted(width vg.Length) int { return int((width - 2*narrow - rowHead) / boxWide) }

// lay is how a room is laid out on pages that are upright or across.
type lay struct {
	f     *flow // of such pages, empty
	scale float64
	pages int // of the table
}

// gridRoom sets a room: its boxes, the plan and the table on one page, or if the plan would be
// too small for that, the plan on a page of its own before the others.
func (f *flow) gridRoom(s GridSheet, r GridRoom, p Paper, scales []float64, name func(float64) string) {
	head := s.Title
	if r.Name != "" {
		head += ": " + r.Name
	}
	before := func(f *flow) {
		f.blanks(s.Blanks)
		f.cautions(s.Cautions)
	}
	from := func(f *flow) { f.add(f.lines(textType, r.From, 7)...) }
	text := func(f *flow) { f.add(f.paragraphs(s.Text)...) }
	const around = planHead + planUnder + 10 // the title, the ruler, and the gap above
	m := r.Plan
	var alone, table lay
	for _, across := range []bool{false, true} {
		on := &flow{side: f.side}
		on.w, on.h, _ = p.size()
		if across {
			on.w, on.h = on.h, on.w
		}
		plan := lay{f: on, scale: largestScale(m, scales, on.width(), on.body()-around-on.tall(from))}
		if plan.scale > 0 && (alone.scale == 0 || plan.scale < alone.scale) {
			alone = plan
		}
		if n := on.tablePages(len(m.Columns), len(m.Rows), on.tall(before)); table.pages == 0 || n < table.pages {
			table = lay{f: on, pages: n}
		}
		rows := vg.Length(len(m.Rows))*boxHigh + headHigh + 10
		m.Scale = largestScale(m, scales, on.width(), on.body()-around-on.tall(before)-on.tall(from)-on.tall(text)-rows)
		if m.Scale > 0 && fitted(on.w) >= len(m.Columns) && (m.Apart() >= readable || m.Scale <= alone.scale) {
			f.begin(on)
			f.roomTitle(head)
			before(f)
			f.add(f.gridPlan(&m, p, name(m.Scale), head))
			from(f)
			text(f)
			f.gridTable(r.Plan, head)
			return
		}
	}
	here := false // the text is below the plan
	if m.Scale = alone.scale; m.Scale > 0 {
		f.begin(alone.f)
		f.roomTitle(head)
		f.add(f.gridPlan(&m, p, name(m.Scale), head))
		from(f)
		if here = f.tall(text) <= f.room(); here {
			text(f)
		}
		f.finish()
		f.begin(table.f)
	} else {
		f.begin(table.f)
		f.roomTitle(head)
		from(f)
		f.add(f.lines(noteType, "The room is too large for a plan on this paper: its rows and columns are in the table.", 3)...)
	}
	before(f)
	f.gridTable(r.Plan, head)
	if !here {
		text(f)
	}
}

// begin begins a page of the size of on.
func (f *flow) begin(on *flow) {
	f.w, f.h = on.w, on.h
	f.turn()
}

// tablePages counts the pages of a table of boxes; the first has something before it.
func (f *flow) tablePages(columns, rows int, before vg.Length) int {
	blocks := (columns + fitted(f.w) - 1) / fitted(f.w)
	room := func(taken vg.Length) int { return int((f.body() - headHigh - 10 - taken) / boxHigh) }
	whole := room(lead(noteType))
	return blocks + max(0, rows-room(before)+whole-1)/whole + (blocks-1)*(max(0, rows-room(0)+whole-1)/whole)
}

// roomTitle sets the title of a room.
func (f *flow) roomTitle(text string) {
	title, width := plot.Lettering{Size: 14, Bold: true}, f.width()
	f.add(block{height: planHead, draw: func(d *plot.PDF, q vg.Point) error {
		d.Mark(text, q.Y)
		d.Text(title, baseLine(title, q), shorten(title, text, width))
		return nil
	}})
}

// tall returns the height that blocks take, with the gap above them.
func (f *flow) tall(set func(*flow)) vg.Length {
	on := &flow{w: f.w, h: f.h, side: f.side}
	on.turn()
	on.set(block{})
	on.fresh = false
	set(on)
	return on.body() - on.room()
}

// largestScale returns the first scale at which a plan fits, 0 for none.
func largestScale(m plot.ShotGridMap, scales []float64, width, height vg.Length) float64 {
	for _, m.Scale = range scales {
		if w, h := m.PlanSize(); w <= width && h <= height {
			return m.Scale
		}
	}
	return 0
}

// gridPlan is the plan of a room at its scale, with a line to measure it by.
func (f *flow) gridPlan(m *plot.ShotGridMap, p Paper, scale, title string) block {
	w, h := m.PlanSize()
	width := f.width()
	return block{gap: 10, height: h + planUnder, draw: func(d *plot.PDF, q vg.Point) error {
		x := q.X + (width-w)/2
		if err := d.Place(m, vg.Rectangle{Min: vg.Point{X: x, Y: q.Y - h}, Max: vg.Point{X: x + w, Y: q.Y}}); err != nil {
			return fmt.Errorf("plan of %q: %w", title, err)
		}
		ruler(d, vg.Point{X: q.X, Y: q.Y - h - 22}, p, scale, width)
		return nil
	}}
}

// blanks sets boxes to write in, side by side.
func (f *flow) blanks(names []string) {
	width := f.width()
	label := plot.Lettering{Size: 7.5, Color: grey}
	for from := 0; from < len(names); from += blanks {
		row := names[from:min(from+blanks, len(names))]
		each := width / vg.Length(len(row))
		f.add(block{height: blank, draw: func(d *plot.PDF, p vg.Point) error {
			for i, name := range row {
				q := vg.Point{X: p.X + vg.Length(i)*each, Y: p.Y}
				stroke(d, box(q, each, blank), 0.75, black)
				d.Text(label, vg.Point{X: q.X + 4, Y: q.Y - 9}, shorten(label, name, each-8))
			}
			return nil
		}})
	}
}

// gridTable sets the table of boxes: columns side by side as far as the page has room, rows from the
// north, as on the plan.
func (f *flow) gridTable(m plot.ShotGridMap, title string) {
	pages := int(math.Ceil(float64(len(m.Columns)) / float64(fitted(f.w))))
	each := (len(m.Columns) + pages - 1) / pages
	wide := min(mostWide, (f.width()-rowHead)/vg.Length(each))
	for from := 0; from < len(m.Columns); from += each {
		to := min(from+each, len(m.Columns))
		head := gridHead(m.Columns[from:to], wide)
		head.gap, head.keep = 10, true
		if from > 0 {
			f.finish()
			f.turn()
		}
		f.add(head)
		again := gridHead(m.Columns[from:to], wide)
		draw := again.draw
		again.height += lead(noteType)
		again.draw = func(d *plot.PDF, p vg.Point) error {
			d.Text(noteType, baseLine(noteType, p), title+", continued")
			return draw(d, vg.Point{X: p.X, Y: p.Y - lead(noteType)})
		}
		for r := len(m.Rows) - 1; r >= 0; r-- {
			on := m.On[r][from:to]
			line := m.Rows[r]
			f.add(block{height: boxHigh, again: &again, keep: r == 1, draw: func(d *plot.PDF, p vg.Point) error {
				gridRow(d, p, line, on, wide)
				return nil
			}})
		}
	}
}

// gridHead is the heads of some columns.
func gridHead(columns []plot.GridLine, wide vg.Length) block {
	return block{height: headHigh, draw: func(d *plot.PDF, p vg.Point) error {
		for i, c := range columns {
			x := p.X + rowHead + (vg.Length(i)+0.5)*wide
			centred(d, plot.Lettering{Size: 10, Bold: true}, vg.Point{X: x, Y: p.Y - 12}, c.Name)
			centred(d, plot.Lettering{Size: 7.5}, vg.Point{X: x, Y: p.Y - 22}, c.Text)
		}
		return nil
	}}
}

func centred(d *plot.PDF, l plot.Lettering, p vg.Point, text string) {
	d.Text(l, vg.Point{X: p.X - l.Width(text)/2, Y: p.Y}, text)
}

// gridRow draws a row of boxes; one off the floor is grey.
func gridRow(d *plot.PDF, p vg.Point, line plot.GridLine, on []bool, wide vg.Length) {
	name, distance := plot.Lettering{Size: 10, Bold: true}, plot.Lettering{Size: 7.5}
	middle := p.Y - boxHigh/2
	d.Text(name, vg.Point{X: p.X, Y: middle - 3.6}, line.Name)
	d.Text(distance, vg.Point{X: p.X + rowHead - 6 - distance.Width(line.Text), Y: middle - 2.7}, line.Text)
	for i, here := range on {
		q := vg.Point{X: p.X + rowHead + vg.Length(i)*wide, Y: p.Y}
		if !here {
			c := d.Canvas()
			c.SetColor(offFloor)
			c.Fill(box(q, wide, boxHigh))
		}
		stroke(d, box(q, wide, boxHigh), 0.6, black)
	}
}
