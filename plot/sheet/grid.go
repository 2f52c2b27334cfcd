package sheet

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/plot/vg"

	"pourplane/plot"
	"pourplane/plot/table"
	"pourplane/survey"
)

// check refuses a table that cannot be shown.
func check(t table.Table, where string) error {
	for i, row := range t.Rows {
		at := fmt.Sprintf("%s, table %q, row %d", where, t.Title, i+1)
		if len(row) > len(t.Columns) {
			return &survey.Error{Element: at, Found: fmt.Sprintf("%d cells", len(row)), Want: fmt.Sprintf("at most %d, one a column", len(t.Columns))}
		}
		for k, c := range row {
			if c.Number && c.Text == "" && (math.IsNaN(c.Value) || math.IsInf(c.Value, 0)) {
				return &survey.Error{Element: at, Found: fmt.Sprintf("%v under %q", c.Value, t.Columns[k].Name), Want: "a number"}
			}
		}
	}
	return nil
}

const (
	largest  = 9  // pt of the lettering of a table
	smallest = 7  // pt: below, a print cannot be read at arm's length
	between  = 8  // pt from column to column
	many     = 45 // rows that fill a page
	air      = 16 // pt, max by which a column of a narrow table is widened
)

// measure is the width a column needs, in sizes of its lettering.
type measure struct {
	least   float64 // only very long words are broken
	likes   float64 // long texts are wrapped
	longest float64 // nothing is wrapped
}

// grid is a table with the widths of its columns.
type grid struct {
	table.Table
	size   vg.Length
	widths []vg.Length // with the space between columns
	pad    vg.Length   // half of that space
	tight  bool        // rows with less space
}

func (g *grid) width() vg.Length {
	sum := vg.Length(0)
	for _, w := range g.widths {
		sum += w
	}
	return sum
}

func (g *grid) letters(bold bool) plot.Lettering { return plot.Lettering{Size: g.size, Bold: bold} }

// Widths in sizes of the lettering.
const (
	wordiest = 14 // the longest word that is not broken
	wraps    = 20 // the shortest text that is wrapped
)

// measures returns the widths that the columns of t need.
func measures(t table.Table) []measure {
	out := make([]measure, len(t.Columns))
	word := func(l plot.Lettering, text string) float64 {
		long := 0.0
		for _, w := range strings.Fields(text) {
			long = max(long, float64(l.Width(w)))
		}
		return long
	}
	for k, c := range t.Columns {
		l := plot.Lettering{Size: 1, Bold: true}
		whole, longest := float64(l.Width(c.Name)), word(l, c.Name)
		m := &out[k]
		m.least = max(min(longest, wordiest), 1)
		m.longest = max(whole, 1)
		m.likes = max(m.least, min(whole, whole/2+1, wraps)) // a head takes two lines
	}
	for _, row := range t.Rows {
		for k, cell := range row {
			l := plot.Lettering{Size: 1, Bold: cell.Bold}
			text := t.Columns[k].Show(cell)
			whole := float64(l.Width(text))
			least := whole
			switch {
			case cell.Number:
			case t.Columns[k].Right: // a number in words, such as 3 1/4"
				least = min(whole, wordiest)
			default:
				least = min(word(l, text), wordiest)
			}
			likes := max(least, min(whole, wraps))
			if cell.Tick {
				for _, w := range []*float64{&whole, &least, &likes} {
					*w += tickRoom(text)
				}
			}
			m := &out[k]
			m.least, m.likes, m.longest = max(m.least, least), max(m.likes, likes), max(m.longest, whole)
		}
	}
	return out
}

// tickRoom returns the width of a box to tick, in sizes, with the space to the text beside
// it.
func tickRoom(text string) float64 {
	if text == "" {
		return 1
	}
	return 1.4
}

// total returns the width of columns at a size.
func total(all []measure, size vg.Length, of func(measure) float64) vg.Length {
	sum := vg.Length(0)
	for _, m := range all {
		sum += vg.Length(of(m))*size + between
	}
	return sum
}

func least(m measure) float64 { return m.least }
func likes(m measure) float64 { return m.likes }

// fit returns t as one or more grids up to width: at the largest size at which short texts
// need not be broken, else with them wrapped. If the numbers still do not fit, it returns
// parts that each begin with the first column.
func fit(t table.Table, width vg.Length) []grid {
	all := measures(t)
	for _, of := range []func(measure) float64{likes, least} {
		for size := vg.Length(largest); size >= smallest; size -= 0.5 {
			if total(all, size, of) <= width {
				return []grid{spread(t, all, size, width, of)}
			}
		}
	}
	var out []grid
	room := width - total(all[:1], smallest, least)
	for from := 1; from < len(all) || len(out) == 0; {
		to := from
		for to < len(all) && (to == from || total(all[from:to+1], smallest, least) <= room) {
			to++
		}
		part := table.Table{Title: t.Title, Columns: append(t.Columns[:1:1], t.Columns[from:to]...)}
		for _, row := range t.Rows {
			part.Rows = append(part.Rows, append(row[:min(1, len(row)):min(1, len(row))], row[min(from, len(row)):min(to, len(row))]...))
		}
		if to == len(all) {
			part.Notes = t.Notes
		}
		picked := append(all[:1:1], all[from:to]...)
		out = append(out, spread(part, picked, smallest, width, least))
		from = to
	}
	for i := range out {
		if len(out) > 1 {
			out[i].Title = strings.TrimSpace(fmt.Sprintf("%s (part %d of %d)", t.Title, i+1, len(out)))
		}
	}
	return out
}

// spread gives every column of t the width it needs, then width to the columns that can use
// more, then some space to all. A column wider than the page is cut to the page.
func spread(t table.Table, all []measure, size, width vg.Length, of func(measure) float64) grid {
	out := make([]vg.Length, len(all))
	left, wish := width, 0.0
	for k, m := range all {
		out[k] = vg.Length(of(m))*size + between
		left -= out[k]
		wish += m.longest - of(m)
	}
	if left < 0 { // words or numbers of absurd length
		for k := range out {
			out[k] *= width / (width - left)
		}
		return grid{Table: t, size: size, widths: out, pad: between / 2}
	}
	if wish > 0 {
		share := min(1, float64(left/size)/wish)
		for k, m := range all {
			more := vg.Length((m.longest-of(m))*share) * size
			out[k] += more
			left -= more
		}
	}
	more := min(air, left/vg.Length(len(all)))
	for k := range out {
		out[k] += more
	}
	return grid{Table: t, size: size, widths: out, pad: (between + more) / 2}
}

// together is the min number of rows of a table on a page, at its start and at its end.
const together = 3

// piece is a row of a table, or as much of it as fits on a page.
type piece struct {
	cells [][]string // lines
	row   []table.Cell
	size  vg.Length // height
}

// air is the space above and below the text of a row, points.
func (g *grid) air() vg.Length {
	if g.tight {
		return 1
	}
	return 2
}

// row wraps a row into pieces up to most in height.
func (g *grid) row(row []table.Cell, most vg.Length) []piece {
	lead := lead(g.letters(false))
	cells := make([][]string, len(row))
	n := 1
	for k, c := range row {
		room := g.widths[k] - 2*g.pad
		if c.Tick {
			room -= vg.Length(tickRoom("x")) * g.size
		}
		cells[k] = g.letters(c.Bold).Wrap(g.Columns[k].Show(c), max(room, g.size/2))
		n = max(n, len(cells[k]))
	}
	fits := max(1, int((most-2*g.air())/lead))
	var out []piece
	for from := 0; from < n; from += fits {
		p := piece{row: row, size: vg.Length(min(fits, n-from))*lead + 2*g.air()}
		for _, c := range cells {
			p.cells = append(p.cells, c[min(from, len(c)):min(from+fits, len(c))])
		}
		if from > 0 { // only one box
			p.row = make([]table.Cell, len(row))
			for k, c := range row {
				c.Tick = false
				p.row[k] = c
			}
		}
		out = append(out, p)
	}
	return out
}

// drawRow draws a piece of a row with a hairline below.
func (g *grid) drawRow(d *plot.PDF, p vg.Point, r piece) {
	rule(d, vg.Point{X: p.X, Y: p.Y - r.size}, g.width(), 0.3, faint)
	x := p.X
	for k, lines := range r.cells {
		l := g.letters(r.row[k].Bold)
		at := vg.Point{X: x + g.pad, Y: p.Y - g.air()}
		right := x + g.widths[k] - g.pad
		if r.row[k].Tick {
			a := 0.95 * g.size
			q := vg.Point{X: at.X, Y: at.Y - (lead(l)-a)/2}
			if g.Columns[k].Right && len(lines) == 0 {
				q.X = right - a
			}
			stroke(d, box(q, a, a), 0.8, black)
			at.X += vg.Length(tickRoom("x")) * g.size
		}
		for _, line := range lines {
			q := at
			if g.Columns[k].Right {
				q.X = right - l.Width(line)
			}
			d.Text(l, baseLine(l, q), line)
			at.Y -= lead(l)
		}
		x += g.widths[k]
	}
}

// head returns the heads of the columns over a line.
func (g *grid) head() block {
	l := g.letters(true)
	heads := make([][]string, len(g.Columns))
	n := 0
	for k, c := range g.Columns {
		heads[k] = l.Wrap(c.Name, max(g.widths[k]-2*g.pad, g.size/2))
		n = max(n, len(heads[k]))
	}
	height := vg.Length(n)*lead(l) + 2*g.air()
	return block{gap: 3, height: height, keep: true, draw: func(d *plot.PDF, p vg.Point) error {
		rule(d, vg.Point{X: p.X, Y: p.Y - height}, g.width(), 1, black)
		x := p.X
		for k, lines := range heads {
			at := vg.Point{X: x + g.pad, Y: p.Y - height + g.air() + vg.Length(len(lines))*lead(l)}
			for _, line := range lines {
				q := at
				if g.Columns[k].Right {
					q.X = x + g.widths[k] - g.pad - l.Width(line)
				}
				d.Text(l, baseLine(l, q), line)
				at.Y -= lead(l)
			}
			x += g.widths[k]
		}
		return nil
	}}
}

// unsplit is the max share of a page of a table that is not split over two: its total is seen with
// its rows. Own choice.
const unsplit = 0.4

// table sets a table; its heads are repeated on every page. A narrow table longer than a
// page is set in columns.
func (f *flow) table(t table.Table) {
	t = t.Headed()
	if len(t.Columns) == 0 {
		f.tableTitle(t.Title)
		f.notes(t.Notes)
		return
	}
	if len(t.Rows) > many && f.inColumns(t, largest, largest, likes) {
		return
	}
	for _, g := range fit(t, f.width()) {
		g.tight = f.tight
		head := g.head()
		above := f.tableTitle(g.Title)
		if above == 0 {
			head.gap = 14
		}
		f.add(head)
		again := f.continued(g.Title, head)
		if len(g.Rows) == 0 {
			f.add(f.lines(noteType, "no rows", 0)...)
		}
		most := f.body() - max(again.height, above+head.gap+head.height)
		rows := make([][]piece, len(g.Rows))
		high := above + head.height
		for i, row := range g.Rows {
			rows[i] = g.row(row, most)
			for _, p := range rows[i] {
				high += p.size
			}
		}
		whole := high <= unsplit*f.body()
		for i, pieces := range rows {
			for k, p := range pieces {
				// The first rows and the last ones stay together, and the last one with the notes.
				last := len(g.Rows) - 1
				keep := whole && (i < last || k < len(pieces)-1) || len(pieces) == 1 && i < last && (i < together-1 || i > last-together) || i == last && k == len(pieces)-1 && len(g.Notes) > 0
				f.add(block{height: p.size, again: &again, keep: keep, draw: func(d *plot.PDF, at vg.Point) error {
					g.drawRow(d, at, p)
					return nil
				}})
			}
		}
		f.notes(g.Notes)
	}
}

// continued returns the heads for the next pages of a table.
func (f *flow) continued(title string, head block) block {
	if strings.TrimSpace(title) == "" {
		return head
	}
	line := shorten(noteType, title, f.width()-60) + ", continued"
	return block{height: lead(noteType) + head.height, draw: func(d *plot.PDF, p vg.Point) error {
		d.Text(noteType, baseLine(noteType, p), line)
		return head.draw(d, vg.Point{X: p.X, Y: p.Y - lead(noteType)})
	}}
}

// tableTitle sets the title of a table, which stays with its heads, and returns its height.
func (f *flow) tableTitle(title string) vg.Length {
	lines := f.lines(tableType, title, 14)
	for i := range lines {
		lines[i].keep = true
	}
	f.add(lines...)
	return vg.Length(len(lines)) * lead(tableType)
}

func (f *flow) notes(all []string) {
	for _, n := range all {
		f.add(f.lines(noteType, n, 3)...)
	}
}
