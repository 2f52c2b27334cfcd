package plot

import (
	"encoding/binary"
	"image/color"
	"math"
	"slices"
	"strings"

	stdfont "golang.org/x/image/font"
	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"

	"pourplane/surface"
)

// smallest is the min size of lettering on a drawing, pt: 11 pixels high when a drawing 236
// pt wide is shown on a phone 360 pixels wide, minus the margins of a page.
const smallest = 8 * vg.Length(1)

// lettering returns a text style in the one font that all drawings use, set from the left
// end of the base line.
func lettering(size vg.Length, bold bool, c color.Color) text.Style {
	f := font.Font{Typeface: "Liberation", Variant: "Sans", Size: size}
	if bold {
		f.Weight = stdfont.WeightBold
	}
	return text.Style{Color: c, Font: f, Handler: gonum.DefaultTextHandler}
}

// write sets one line with the middle of its capitals at p; align is the share of its width
// left of p.
func write(c vg.Canvas, s text.Style, p vg.Point, align float64, line string) {
	face := s.Handler.Cache().Lookup(s.Font, s.Font.Size)
	p.X -= vg.Length(align) * face.Width(line)
	p.Y -= capHeight(s) / 2
	c.SetColor(s.Color)
	c.FillString(face, p, line)
}

// capHeight is the height of a capital or a figure: 0.729 of the size in the font used, from
// its OS/2 table.
func capHeight(s text.Style) vg.Length { return 0.729 * s.Font.Size }

// wrap breaks a paragraph into lines up to width; a longer word is left whole.
func wrap(s text.Style, paragraph string, width vg.Length) []string {
	var lines []string
	for _, part := range strings.Split(paragraph, "\n") {
		line := ""
		for _, word := range strings.Fields(part) {
			switch {
			case line == "":
				line = word
			case s.Width(line+" "+word) <= width:
				line += " " + word
			default:
				lines = append(lines, line)
				line = word
			}
		}
		if line != "" {
			lines = append(lines, line)
		}
	}
	return lines
}

// What is at a place on the page.
const (
	taken  uint8 = 1 << iota // lettering or a mark: nothing may cover it
	lined                    // a line: better not covered
	walled                   // an edge of the floor: better not covered, and never by the label of a contour
	border                   // where one material ends: lettering may not cover it, lines to lettering may cross it
)

// wallCost is how many cells of other lines one cell of an edge of the floor counts as.
const wallCost = 4

// ground records what has been drawn where, in cells of one point.
type ground struct {
	min   vg.Point
	w, h  int
	cells []uint8
	owner []int32 // region of each cell, from 1; 0: none; nil until [sheet.owners]
	alike []int32 // number of cells of one owner in a row, from each cell to the right
	only  int32   // the only region where lettering may be; 0: anywhere
	// strict also keeps lettering off the outside of the floor.
	strict bool
}

// clone returns a copy of g to try other places on.
func (g *ground) clone() *ground {
	c := *g
	c.cells = slices.Clone(g.cells)
	return &c
}

func newGround(r vg.Rectangle) *ground {
	g := &ground{min: r.Min, w: max(int(r.Size().X)+1, 1), h: max(int(r.Size().Y)+1, 1)}
	g.cells = make([]uint8, g.w*g.h)
	return g
}

// index returns the number of the cell at p, -1 off the ground.
func (g *ground) index(p vg.Point) int {
	x, y := math.Floor(float64(p.X-g.min.X)), math.Floor(float64(p.Y-g.min.Y))
	if x < 0 || y < 0 || x >= float64(g.w) || y >= float64(g.h) {
		return -1
	}
	return int(y)*g.w + int(x)
}

// cell returns the cell at p, nil off the ground.
func (g *ground) cell(p vg.Point) *uint8 {
	if k := g.index(p); k >= 0 {
		return &g.cells[k]
	}
	return nil
}

// onFloor reports whether there is a region at p.
func (g *ground) onFloor(p vg.Point) bool {
	k := g.index(p)
	return k >= 0 && g.owner[k] != 0
}

// box is a rectangle of a given size about a centre, rotated by an angle.
type box struct {
	centre vg.Point
	w, h   vg.Length
	turn   float64
}

// samples returns the number of parts between the points that cover a length of a box.
func samples(length vg.Length) int { return int(math.Ceil(float64(length) / 0.9)) }

// sample returns the place of point i of n + 1 along a length, from its middle.
func sample(length vg.Length, i, n int) vg.Length {
	return length * vg.Length(float64(i)/float64(max(n, 1))-0.5)
}

// cellsAlong appends to out the cells of the points that cover a length about middle, counted
// from from: each next to the one before, or the same again.
func cellsAlong(out []int, middle, length, from vg.Length) []int {
	n := samples(length)
	for i := range n + 1 {
		out = append(out, int(math.Floor(float64(middle+sample(length, i, n)-from))))
	}
	return out
}

// endsAlong returns the first and the last of the cells of [cellsAlong].
func endsAlong(middle, length, from vg.Length) (first, last float64) {
	n := samples(length)
	return math.Floor(float64(middle + sample(length, 0, n) - from)), math.Floor(float64(middle + sample(length, n, n) - from))
}

// each visits points that cover b, no more than a cell apart.
func (b box) each(visit func(p vg.Point) bool) bool {
	s, c := math.Sincos(b.turn)
	nx, ny := samples(b.w), samples(b.h)
	for i := range nx + 1 {
		for j := range ny + 1 {
			u, v := sample(b.w, i, nx), sample(b.h, j, ny)
			if !visit(b.centre.Add(vg.Point{X: u*vg.Length(c) - v*vg.Length(s), Y: u*vg.Length(s) + v*vg.Length(c)})) {
				return false
			}
		}
	}
	return true
}

// free reports whether lettering may be in b, and how much of it would be on lines.
func (g *ground) free(b box) (ok bool, onLines int) {
	if b.turn == 0 {
		return g.freeUpright(b)
	}
	ok = b.each(func(p vg.Point) bool {
		k := g.index(p)
		if k < 0 || g.barred(k) {
			return false
		}
		onLines += lineCosts[g.cells[k]&(walled|lined)]
		return true
	})
	return ok, onLines
}

// barred reports whether lettering may not be on a cell.
func (g *ground) barred(cell int) bool {
	return g.cells[cell]&(taken|border) != 0 || g.foreign(cell)
}

// foreign reports whether a cell is in a region where lettering may not be.
func (g *ground) foreign(cell int) bool {
	return g.only != 0 && g.owner[cell] != g.only && (g.strict || g.owner[cell] != 0)
}

// lineCosts is how many cells of lines a cell counts as, by its content.
var lineCosts = [...]int{lined: 1, walled: wallCost, walled | lined: wallCost}

// freeUpright is [ground.free] for a box that is not rotated, as almost all lettering is.
// The cells are those of [box.each].
func (g *ground) freeUpright(b box) (ok bool, onLines int) {
	left, right := endsAlong(b.centre.X, b.w, g.min.X)
	low, high := endsAlong(b.centre.Y, b.h, g.min.Y)
	if !(left >= 0 && right < float64(g.w) && low >= 0 && high < float64(g.h)) {
		return false, 0
	}
	x0, x1, y0, y1 := int(left), int(right), int(low), int(high)
	// Most places fail; where they do, one of nine cells often shows it.
	for _, y := range [3]int{(y0 + y1) / 2, y0, y1} {
		for _, x := range [3]int{(x0 + x1) / 2, x0, x1} {
			if g.barred(y*g.w + x) {
				return false, 0
			}
		}
	}
	seen := uint8(0)
	for y := y0; y <= y1; y++ {
		from, to := y*g.w+x0, y*g.w+x1+1
		if seen |= union(g.cells[from:to]); seen&(taken|border) != 0 || g.foreignIn(from, to) {
			return false, 0
		}
	}
	if seen == 0 {
		return true, 0
	}
	// A cell with two points counts twice.
	var roomX, roomY [128]int
	columns := cellsAlong(roomX[:0], b.centre.X, b.w, g.min.X)
	for _, y := range cellsAlong(roomY[:0], b.centre.Y, b.h, g.min.Y) {
		row := g.cells[y*g.w : y*g.w+g.w]
		for _, x := range columns {
			onLines += lineCosts[row[x]&(walled|lined)]
		}
	}
	return true, onLines
}

// union returns all bits of cells.
func union(cells []uint8) uint8 {
	var eight uint64
	for ; len(cells) >= 8; cells = cells[8:] {
		eight |= binary.LittleEndian.Uint64(cells)
	}
	one := uint8(0)
	for _, c := range cells {
		one |= c
	}
	for ; eight != 0; eight >>= 8 {
		one |= uint8(eight)
	}
	return one
}

// run sets the runs of cells with one owner.
func (g *ground) run() {
	g.alike = make([]int32, len(g.owner))
	for k := len(g.owner) - 1; k >= 0; k-- {
		g.alike[k] = 1
		if (k+1)%g.w != 0 && g.owner[k+1] == g.owner[k] {
			g.alike[k] += g.alike[k+1]
		}
	}
}

// foreignIn reports whether a cell of a row is in a region where lettering may not be.
func (g *ground) foreignIn(from, to int) bool {
	if g.only == 0 || g.owner[from] == g.only && g.alike[from] >= int32(to-from) {
		return false
	}
	for k := from; k < to; k++ {
		if g.foreign(k) {
			return true
		}
	}
	return false
}

// onWall reports whether b touches an edge of the floor.
func (g *ground) onWall(b box) bool {
	return !b.each(func(p vg.Point) bool {
		cell := g.cell(p)
		return cell == nil || *cell&walled == 0
	})
}

func (g *ground) mark(b box, with uint8) {
	if b.turn == 0 {
		left, right := endsAlong(b.centre.X, b.w, g.min.X)
		low, high := endsAlong(b.centre.Y, b.h, g.min.Y)
		left, right, low, high = max(left, 0), min(right, float64(g.w-1)), max(low, 0), min(high, float64(g.h-1))
		if !(left <= right && low <= high) {
			return
		}
		for y := int(low); y <= int(high); y++ {
			for k := y*g.w + int(left); k <= y*g.w+int(right); k++ {
				g.cells[k] |= with
			}
		}
		return
	}
	b.each(func(p vg.Point) bool {
		if cell := g.cell(p); cell != nil {
			*cell |= with
		}
		return true
	})
}

// draw marks a line.
func (g *ground) draw(line []vg.Point, with uint8) {
	for i := range len(line) - 1 {
		a, d := line[i], line[i+1].Sub(line[i])
		n := min(int(math.Hypot(float64(d.X), float64(d.Y)))+1, 4*(g.w+g.h))
		for k := range n + 1 {
			if cell := g.cell(a.Add(d.Scale(vg.Length(k) / vg.Length(n)))); cell != nil {
				*cell |= with
			}
		}
	}
}

// beside finds room for a text of the given size next to a mark at p of radius r and takes
// it: where it covers the fewest cells of lines, at most most, and of those the place
// farthest from from.
func (g *ground) beside(p vg.Point, r, w, h vg.Length, most int, from vg.Point) (centre vg.Point, ok bool) {
	return g.besideUnless(p, r, w, h, most, from, nil)
}

// besideUnless is [ground.beside] but for the places that are barred for another reason.
func (g *ground) besideUnless(p vg.Point, r, w, h vg.Length, most int, from vg.Point, barred func(vg.Point) bool) (centre vg.Point, ok bool) {
	best := most + 1
	far := vg.Length(0)
	for _, q := range aside(r, w, h) {
		free, lines := g.free(box{centre: p.Add(q), w: w, h: h})
		if free && barred != nil && barred(p.Add(q)) {
			continue
		}
		d := p.Add(q).Sub(from)
		away := d.X*d.X + d.Y*d.Y
		if free && (lines < best || lines == best && away > far && best <= most) {
			best, far, centre = lines, away, p.Add(q)
		}
	}
	if best > most {
		return centre, false
	}
	g.mark(box{centre: centre, w: w, h: h}, taken)
	return centre, true
}

// aside returns the possible centres of a text of the given size beside a mark of radius r.
func aside(r, w, h vg.Length) []vg.Point {
	dx, dy := r+w/2+0.7, r+h/2+1
	return []vg.Point{
		{X: dx, Y: h * 0.35}, {X: dx, Y: -h * 0.35}, {X: -dx, Y: h * 0.35}, {X: -dx, Y: -h * 0.35},
		{Y: dy}, {Y: -dy}, {X: w * 0.4, Y: dy}, {X: -w * 0.4, Y: dy}, {X: w * 0.4, Y: -dy}, {X: -w * 0.4, Y: -dy},
	}
}

// over takes the place for a text of the given size next to a mark at p that covers least,
// inside the picture, at the first of the radii if equal. If none is inside the picture it
// is right of the mark.
func (g *ground) over(p vg.Point, radii []vg.Length, w, h vg.Length) vg.Point {
	best, centre := math.MaxInt, p.Add(vg.Point{X: radii[0] + w/2})
	for _, r := range radii {
		for _, q := range aside(r, w, h) {
			covered := 0
			inside := box{centre: p.Add(q), w: w, h: h}.each(func(p vg.Point) bool {
				cell := g.cell(p)
				if cell != nil && *cell&taken != 0 {
					covered++
				}
				return cell != nil
			})
			if inside && covered < best {
				best, centre = covered, p.Add(q)
			}
		}
	}
	g.mark(box{centre: centre, w: w, h: h}, taken)
	return centre
}

// measured is a line on the page with the distance to each of its points.
type measured struct {
	at   []vg.Point
	dist []vg.Length
}

func measure(at []vg.Point) measured {
	m := measured{at, make([]vg.Length, len(at))}
	for i := 1; i < len(at); i++ {
		d := at[i].Sub(at[i-1])
		m.dist[i] = m.dist[i-1] + vg.Length(math.Hypot(float64(d.X), float64(d.Y)))
	}
	return m
}

func (m measured) length() vg.Length { return m.dist[len(m.dist)-1] }

// between returns the stretch between two distances.
func (m measured) between(from, to vg.Length) []vg.Point {
	first, _ := slices.BinarySearchFunc(m.dist, from, func(d, from vg.Length) int {
		if d > from {
			return 1
		}
		return -1
	})
	last, _ := slices.BinarySearch(m.dist, to)
	last = max(first, last)
	out := make([]vg.Point, 0, last-first+2)
	out = append(append(out, m.point(from)), m.at[first:last]...)
	return append(out, m.point(to))
}

// addTo appends the stretch between two distances to a path.
func (m measured) addTo(path *vg.Path, from, to vg.Length) {
	points := m.between(from, to)
	*path = slices.Grow(*path, len(points))
	for i, p := range points {
		if i == 0 {
			path.Move(p)
		} else {
			path.Line(p)
		}
	}
}

func (m measured) point(d vg.Length) vg.Point {
	lo, hi := 0, len(m.dist)-1
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; m.dist[mid] <= d {
			lo = mid
		} else {
			hi = mid
		}
	}
	if m.dist[hi] == m.dist[lo] {
		return m.at[lo]
	}
	return m.at[lo].Add(m.at[hi].Sub(m.at[lo]).Scale((d - m.dist[lo]) / (m.dist[hi] - m.dist[lo])))
}

// gap is a place along a line for its label.
type gap struct {
	from, to vg.Length
	label    box
}

// gaps finds places for a label of width w and height h along m: where the line is nearly
// straight and the ground is free, one on a short line and more on a long one.
func (g *ground) gaps(m measured, w, h vg.Length) []gap {
	const (
		shortest = 45  // pt: on a shorter line a label would leave too little
		every    = 260 // pt of line per label
	)
	length := m.length()
	need := w + 4
	crowded := int(3 * w) // the line itself covers one to two cells per point, a neighbour as many again
	if length < shortest || length < 1.6*need {
		return nil
	}
	var out []gap
	n := max(1, int(length/every+0.5))
	for i := range n {
		lo, hi := length*vg.Length(i)/vg.Length(n), length*vg.Length(i+1)/vg.Length(n)
		mid := (lo + hi) / 2
		best, found := gap{}, false
		cost := math.Inf(1)
		for s := lo; s+need <= hi; s += 3 {
			a, b := m.point(s), m.point(s+need)
			chord := b.Sub(a)
			straight := math.Hypot(float64(chord.X), float64(chord.Y)) / float64(need)
			if straight < 0.93 {
				continue
			}
			turn := math.Atan2(float64(chord.Y), float64(chord.X))
			if turn > math.Pi/2 {
				turn -= math.Pi
			} else if turn <= -math.Pi/2 {
				turn += math.Pi
			}
			label := box{centre: a.Add(b).Scale(0.5), w: w, h: h, turn: turn}
			free, lines := g.free(label)
			c := float64(lines) + 200*(1-straight) + 10*math.Abs(float64((s+need/2-mid)/length))
			if free && lines <= crowded && c < cost && !g.onWall(label) {
				best, found, cost = gap{s, s + need, label}, true, c
			}
		}
		if found {
			g.mark(best.label, taken)
			out = append(out, best)
		}
	}
	return out
}

// onPage returns a contour on the page; a closed one ends where it starts.
func (f frame) onPage(k surface.Contour) []vg.Point {
	out := make([]vg.Point, 0, len(k.Line)+1)
	for _, p := range k.Line {
		out = append(out, f.at(p))
	}
	if k.Closed {
		out = append(out, out[0])
	}
	return out
}

// turned sets a line of text centred on b.
func turned(c vg.Canvas, s text.Style, b box, line string) {
	c.Push()
	c.Translate(b.centre)
	c.Rotate(b.turn)
	write(c, s, vg.Point{}, 0.5, line)
	c.Pop()
}
