package sheet

import (
	"fmt"
	"image/color"
	"io"
	"strings"
	"time"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/plot"
	"pourplane/survey"
)

// Margins of a page, points. Header and footer are inside the upper and lower margin.
const (
	side   = 50
	narrow = 30 // beside a plan to scale, which needs the width
	top    = 54
	bottom = 54
)

var (
	black = color.NRGBA{A: 255}
	grey  = color.NRGBA{R: 0x50, G: 0x50, B: 0x50, A: 255}
	faint = color.NRGBA{R: 0xb4, G: 0xb4, B: 0xb4, A: 255}
)

// Lettering of a page, from the largest to the smallest.
var (
	titleType   = plot.Lettering{Size: 20, Bold: true}
	headingType = plot.Lettering{Size: 14, Bold: true}
	tableType   = plot.Lettering{Size: 10.5, Bold: true}
	textType    = plot.Lettering{Size: 10}
	captionType = plot.Lettering{Size: 9, Color: grey}
	noteType    = plot.Lettering{Size: 8.5, Color: grey}
)

// lead is the distance from line to line.
func lead(l plot.Lettering) vg.Length { return 1.32 * l.Size }

// size returns the width and height of an upright page, points. Sources: ISO 216
// (A4, 210 mm by 297 mm) and ANSI/ASME Y14.1 (A, 8.5 in by 11 in).
func (p Paper) size() (w, h vg.Length, err error) {
	switch p {
	case A4:
		return 210 * vg.Millimeter, 297 * vg.Millimeter, nil
	case Letter:
		return 8.5 * vg.Inch, 11 * vg.Inch, nil
	}
	return 0, 0, &survey.Error{Element: "paper", Found: fmt.Sprint(uint8(p)), Want: "A4 or Letter"}
}

// tightened is the share of the gaps between blocks that is kept if that saves a page. Own
// choice: with less, heads run into the block above.
const tightened = 0.6

// block is a piece of a page that is not split.
type block struct {
	gap    vg.Length // above it, unless it is first on a page
	height vg.Length
	keep   bool   // stays on the page of the next block
	again  *block // set above it if it is first on a page
	draw   painter
}

// painter draws a block whose upper left corner is at p.
type painter func(d *plot.PDF, p vg.Point) error

// leaf is a page before it is written: the number of pages is not known until all are laid
// out.
type leaf struct {
	w, h, side vg.Length
	ops        []painter
	at         []vg.Point
}

// flow lays blocks out on pages.
type flow struct {
	title, date, program string
	w, h, side           vg.Length // of new pages, and their margin
	leaves               []leaf
	y                    vg.Length // lower edge of the content of the last page
	fresh                bool      // the last page is empty
	tight                bool      // less space between blocks
	snug                 bool      // pictures beside a table are no higher
	single               bool      // one page: its warnings stay above its map
	kept                 []block   // waiting for the block they stay with
	later                []later   // waiting for the top of a page
}

// later is a picture without room on its page: what follows it fills the page first.
type later struct {
	height vg.Length // min
	set    func()
}

func (f *flow) width() vg.Length { return f.w - 2*f.side }
func (f *flow) body() vg.Length  { return f.h - top - bottom }

// room returns the height left on the last page below the waiting blocks.
func (f *flow) room() vg.Length {
	y := f.y
	for _, b := range f.kept {
		y -= b.gap + b.height
	}
	return y - bottom
}

// turn begins a page.
func (f *flow) turn() {
	f.leaves = append(f.leaves, leaf{w: f.w, h: f.h, side: f.side})
	f.y, f.fresh = f.h-top, true
}

// put draws at a place on the last page.
func (f *flow) put(p vg.Point, draw painter) {
	l := &f.leaves[len(f.leaves)-1]
	l.ops, l.at = append(l.ops, draw), append(l.at, p)
	f.fresh = false
}

// add sets blocks below the content, on a new page if they do not fit.
func (f *flow) add(blocks ...block) {
	for _, b := range blocks {
		if f.tight {
			b.gap *= tightened
		}
		f.kept = append(f.kept, b)
		if !b.keep {
			f.flush()
		}
	}
}

// flush sets the waiting blocks.
func (f *flow) flush() {
	if len(f.kept) == 0 {
		return
	}
	need := vg.Length(0)
	for _, b := range f.kept {
		need += b.gap + b.height
	}
	first := f.fresh
	if f.y-need < bottom && !f.fresh {
		f.turn()
		f.setLater()
		if b := f.kept[0].again; b != nil {
			need += b.height
		}
		if f.y-need < bottom && !f.fresh {
			f.turn()
		}
		first = true
	}
	for _, b := range f.kept {
		if f.y-b.gap-b.height < bottom && !f.fresh { // taller than a page together
			f.turn()
			first = true
		}
		if first && b.again != nil {
			f.set(*b.again)
		}
		f.set(b)
		first = false
	}
	f.kept = f.kept[:0]
}

// postpone sets a picture at the top of a later page if it does not fit here and much of the
// page would stay white, or if another one waits: pictures keep their order.
func (f *flow) postpone(height vg.Length, caption string, set func()) bool {
	const much = 0.2 // of a page
	fits := f.room() >= height
	if f.single || f.fresh || len(f.kept) > 0 || len(f.later) == 0 && (fits || f.room() < much*f.body()) {
		return false
	}
	f.later = append(f.later, later{height, set})
	if caption != "" {
		f.add(f.lines(noteType, "“"+caption+"” follows.", 7)...)
	}
	return true
}

// setLater sets the pictures that wait at the top of the last page, as many as it has room
// for.
func (f *flow) setLater() {
	all, kept := f.later, f.kept
	f.later, f.kept = nil, nil
	for len(all) > 0 && (f.fresh || f.room() >= all[0].height) {
		all[0].set()
		all = all[1:]
	}
	f.later, f.kept = all, kept
}

// finish sets all that waits.
func (f *flow) finish() {
	f.flush()
	for len(f.later) > 0 {
		if f.room() < f.later[0].height {
			f.turn()
		}
		f.setLater()
	}
}

func (f *flow) set(b block) {
	if !f.fresh {
		f.y -= b.gap
	}
	f.put(vg.Point{X: f.side, Y: f.y}, b.draw)
	f.y -= b.height
}

// lines returns one block per line of a paragraph. The first two and the last two stay
// together.
func (f *flow) lines(l plot.Lettering, text string, gap vg.Length) []block {
	wrapped := l.Wrap(text, f.width())
	var out []block
	for i, line := range wrapped {
		b := block{height: lead(l), draw: func(d *plot.PDF, p vg.Point) error {
			d.Text(l, baseLine(l, p), line)
			return nil
		}}
		if i == 0 {
			b.gap = gap
		}
		b.keep = len(wrapped) > 1 && (i == 0 || i == len(wrapped)-2)
		out = append(out, b)
	}
	return out
}

// baseLine returns the start of the base line of a row with its upper left corner at p.
func baseLine(l plot.Lettering, p vg.Point) vg.Point {
	return vg.Point{X: p.X, Y: p.Y - (lead(l)+0.729*l.Size)/2} // 0.729: height of a capital
}

// write writes all pages, each with its header and footer.
func (f *flow) write(w io.Writer) error {
	f.finish()
	date, _ := time.Parse(time.DateOnly, f.date)
	doc := plot.NewPDF(f.title, f.program, date)
	for i, l := range f.leaves {
		doc.Page(l.w, l.h)
		f.frame(doc, l, i+1)
		for k, op := range l.ops {
			if err := op(doc, l.at[k]); err != nil {
				return err
			}
		}
	}
	return doc.Encode(w)
}

// frame draws the header and the footer of page n. The first page begins with the title and
// has no header.
func (f *flow) frame(d *plot.PDF, l leaf, n int) {
	width := l.w - 2*l.side
	if n > 1 {
		y := l.h - top + 16
		d.Text(noteType, vg.Point{X: l.side, Y: y}, shorten(noteType, f.title, width))
		rule(d, vg.Point{X: l.side, Y: y - 5}, width, 0.5, faint)
	}
	y := vg.Length(bottom - 24)
	rule(d, vg.Point{X: l.side, Y: y + 11}, width, 0.5, faint)
	page := fmt.Sprintf("page %d of %d", n, len(f.leaves))
	date := shorten(noteType, f.date, width/4)
	program := shorten(noteType, f.program, width/3)
	d.Text(noteType, vg.Point{X: l.side, Y: y}, date)
	d.Text(noteType, vg.Point{X: l.side + (width-noteType.Width(program))/2, Y: y}, program)
	d.Text(noteType, vg.Point{X: l.side + width - noteType.Width(page), Y: y}, page)
}

// shorten cuts a line that is longer than width and ends it with an ellipsis.
func shorten(l plot.Lettering, line string, width vg.Length) string {
	line = strings.Join(strings.Fields(line), " ")
	if l.Width(line) <= width {
		return line
	}
	cut := l.Wrap(strings.ReplaceAll(line, " ", "\u00a0"), width-l.Width("…"))
	return strings.TrimSpace(strings.ReplaceAll(cut[0], "\u00a0", " ")) + "…"
}

// rule draws a horizontal line from p to the right.
func rule(d *plot.PDF, p vg.Point, length, width vg.Length, ink color.Color) {
	var path vg.Path
	path.Move(p)
	path.Line(vg.Point{X: p.X + length, Y: p.Y})
	stroke(d, path, width, ink)
}

func stroke(d *plot.PDF, path vg.Path, width vg.Length, ink color.Color) {
	c := draw.Canvas{Canvas: d.Canvas()}
	c.SetLineStyle(draw.LineStyle{Color: ink, Width: width})
	c.Stroke(path)
}

// box returns the outline of a rectangle with its upper left corner at p.
func box(p vg.Point, w, h vg.Length) vg.Path {
	return vg.Rectangle{Min: vg.Point{X: p.X, Y: p.Y - h}, Max: vg.Point{X: p.X + w, Y: p.Y}}.Path()
}
