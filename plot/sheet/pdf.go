package sheet

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"

	"pourplane/plot"
	"pourplane/survey"
)

// WritePDF writes r as a PDF on paper p. The first page begins with the title and the first
// section. A date written as 2026-11-25 is also stored in the file. Equal records give equal
// bytes.
//
// It refuses with a [*survey.Error]: a record without a title or with nothing in its
// sections, a picture without a drawing, a table row with more cells than columns, or a
// number that is not finite.
func WritePDF(w io.Writer, r Record, p Paper) error {
	if err := r.check(); err != nil {
		return err
	}
	width, height, err := p.size()
	if err != nil {
		return err
	}
	if r.Across {
		width, height = height, width
	}
	f := r.shortest(width, height)
	if loose := r.loose().shortest(width, height); len(f.leaves) > len(loose.leaves)+len(loose.leaves)/manyPages {
		f = loose
	}
	for _, c := range []struct {
		most  float64 // own choice: on a smaller map nothing can be read
		tight bool
	}{{0.6, false}, {0.5, false}, {0.42, false}, {0.42, true}, {0.38, true}, {0.34, true}, {0, false}, {-1, false}} {
		if !r.OnePage || len(f.leaves) == 1 {
			break
		}
		f = r.withPictures(c.most).laidOut(width, height, c.tight)
	}
	return f.write(w)
}

// manyPages: sections are kept together if that costs at most one page in this many. Own
// choice.
const manyPages = 10

// loose returns r with no section kept together.
func (r Record) loose() Record {
	r.Sections = slices.Clone(r.Sections)
	for i := range r.Sections {
		r.Sections[i].Together = false
	}
	return r
}

// shortest lays r out on pages of a size, with less space if that saves a page, and with pictures no
// higher than the tables that they are beside, or none, if that saves one more.
func (r Record) shortest(width, height vg.Length) *flow {
	f := r.laidOut(width, height, false)
	if len(f.leaves) == 1 {
		return f
	}
	if t := r.laidOut(width, height, true); len(t.leaves) < len(f.leaves) {
		f = t
	}
	for _, s := range r.Sections {
		if len(s.Pictures) == 0 || !s.Pictures[0].Beside {
			continue
		}
		r.snug = true
		if t := r.laidOut(width, height, true); len(t.leaves) < len(f.leaves) {
			f = t
		}
		break
	}
	return f
}

// laidOut lays r out on pages of a size, with less space if tight is true.
func (r Record) laidOut(width, height vg.Length, tight bool) *flow {
	f := &flow{title: r.Title, date: r.Date, program: r.Program, w: width, h: height, side: side, tight: tight, snug: r.snug, single: r.OnePage}
	f.turn()
	f.head()
	first := true
	for _, s := range r.Sections {
		if !s.empty() {
			f.section(s, first)
			first = false
		}
	}
	f.finish()
	return f
}

// withPictures returns r with pictures up to a share most of the height of a page. With 0 it
// has none; below 0 its cautions are closer too.
func (r Record) withPictures(most float64) Record {
	r.Sections = slices.Clone(r.Sections)
	for i := range r.Sections {
		s := &r.Sections[i]
		s.Pictures = slices.Clone(s.Pictures)
		for k := range s.Pictures {
			s.Pictures[k].Most = most
		}
		if most <= 0 {
			s.Pictures = nil
		}
		s.Lead = s.Lead || most < 0
	}
	return r
}

func (s Section) empty() bool {
	return len(s.Figures)+len(s.Warnings)+len(s.Text)+len(s.Cautions)+len(s.Tables)+len(s.Pictures)+len(s.Lines) == 0
}

func sectionName(i int, s Section) string { return fmt.Sprintf("section %d %q", i+1, s.Title) }

// check refuses a section that cannot be shown.
func (s Section) check(where string) error {
	for _, t := range s.Tables {
		if err := check(t, where); err != nil {
			return err
		}
	}
	for k, q := range s.Pictures {
		if q.Drawing == nil {
			return &survey.Error{Element: fmt.Sprintf("%s, picture %d", where, k+1), Found: "no drawing", Want: "one"}
		}
	}
	return nil
}

func (r Record) check() error {
	if strings.TrimSpace(r.Title) == "" {
		return &survey.Error{Element: "record", Found: "no title", Want: "one for the head of every page"}
	}
	held := false
	for i, s := range r.Sections {
		held = held || !s.empty()
		if err := s.check(sectionName(i, s)); err != nil {
			return err
		}
	}
	if !held {
		return &survey.Error{Element: fmt.Sprintf("record %q", r.Title), Found: "no section with anything in it", Want: "at least one"}
	}
	return nil
}

// head sets the title at the top of the first page.
func (f *flow) head() {
	f.add(f.lines(titleType, f.title, 0)...)
	width := f.width()
	f.add(block{gap: 4, height: 4, draw: func(d *plot.PDF, p vg.Point) error {
		rule(d, p, width, 1.5, black)
		return nil
	}})
}

func (f *flow) section(s Section, first bool) {
	if (s.NewPage || s.Together && !f.holds(s)) && !f.fresh && !first {
		f.finish()
		f.turn()
	}
	if s.Title != "" {
		f.heading(s.Title)
	}
	f.figures(s.Figures)
	var after []string
	if s.Lead {
		after = f.lead(s)
	} else {
		f.cautions(s.Warnings)
		f.add(f.paragraphs(s.Text)...)
		f.cautions(s.Cautions)
	}
	if len(s.Tables) > 0 && len(s.Pictures) > 0 && s.Pictures[0].Beside && f.beside(s.Tables[0], s.Pictures[0]) {
		s.Tables, s.Pictures = s.Tables[1:], s.Pictures[1:]
	}
	for _, t := range s.Tables {
		f.table(t)
	}
	for i := 0; i < len(s.Pictures); i++ {
		if i+1 < len(s.Pictures) && s.Pictures[i].Half && s.Pictures[i+1].Half {
			f.pair(s.Pictures[i], s.Pictures[i+1])
			i++
			continue
		}
		f.picture(s.Pictures[i], first && i == 0)
	}
	f.add(f.closer(after)...)
	f.signOff(s.Lines)
	f.flush()
	if s.Together {
		f.finish()
	}
}

// holds reports whether the rest of the page has room for what waits and for all of s.
func (f *flow) holds(s Section) bool {
	try := *f
	try.leaves, try.kept, try.later = slices.Clone(f.leaves), slices.Clone(f.kept), slices.Clone(f.later)
	s.Together = false
	try.section(s, false)
	try.finish()
	return len(try.leaves) == len(f.leaves)
}

// leadRoom is the min height of the main picture on a page, pt: with less, the legend leaves
// no room for the plan. Own choice.
const leadRoom = 280

// lead sets the content above the main picture. It returns the warnings that would leave the
// picture too little room: they are set after it, and a line gives their number.
func (f *flow) lead(s Section) (after []string) {
	above := func(n int) []block {
		blocks := f.closer(s.Warnings[:n])
		if more := len(s.Warnings) - n; more == 1 {
			blocks = append(blocks, f.lines(captionType, "1 more warning is after the map.", 4)...)
		} else if more > 1 {
			blocks = append(blocks, f.lines(captionType, fmt.Sprintf("%d more warnings are after the map.", more), 4)...)
		}
		return slices.Concat(blocks, f.paragraphs(s.Text), f.closer(s.Cautions))
	}
	n := len(s.Warnings)
	for n > 1 && len(s.Pictures) > 0 && !f.single && f.room()-stacked(above(n)) < leadRoom+captionRoom {
		n--
	}
	f.add(above(n)...)
	return s.Warnings[n:]
}

// captionRoom is the height beyond the picture itself, pt: space, and a caption of two
// lines.
const captionRoom = 40

// stacked is the total height of blocks on a page.
func stacked(blocks []block) (sum vg.Length) {
	for _, b := range blocks {
		sum += b.gap + b.height
	}
	return sum
}

// heading sets the title of a section, which stays with what follows.
func (f *flow) heading(title string) {
	lines := f.lines(headingType, title, 18)
	for i := range lines {
		draw := lines[i].draw
		if i == 0 {
			lines[i].draw = func(d *plot.PDF, p vg.Point) error {
				d.Mark(title, p.Y)
				return draw(d, p)
			}
		}
		lines[i].keep = true
	}
	f.add(lines...)
}

func (f *flow) paragraphs(text []string) (out []block) {
	for _, t := range text {
		out = append(out, f.lines(textType, t, 7)...)
	}
	return out
}

// figures sets the main numbers in boxes, in as few rows as stay readable.
func (f *flow) figures(all []Figure) {
	all = slices.DeleteFunc(slices.Clone(all), func(g Figure) bool { return g == Figure{} })
	if len(all) == 0 {
		return
	}
	const (
		gap = 8
		pad = 8
	)
	rows := (len(all) + 3) / 4
	columns := (len(all) + rows - 1) / rows
	value := plot.Lettering{Size: 20, Bold: true}
	width := func() vg.Length { return (f.width() - gap*vg.Length(columns-1)) / vg.Length(columns) }
	fits := func() bool {
		return !slices.ContainsFunc(all, func(g Figure) bool { return value.Width(g.Value) > width()-2*pad })
	}
	for !fits() {
		if value.Size > 14 {
			value.Size -= 2
			continue
		}
		if columns == 1 { // words, on several lines
			break
		}
		rows = (len(all) + columns - 2) / (columns - 1)
		columns = (len(all) + rows - 1) / rows
		value.Size = 20
	}
	f.boxes(all, value, columns, width(), gap, pad)
}

// boxes sets figures in boxes of a width, with columns in a row.
func (f *flow) boxes(all []Figure, value plot.Lettering, columns int, width, gap, pad vg.Length) {
	for i := 0; i < len(all); i += columns {
		row := all[i:min(i+columns, len(all))]
		var values, names [][]string
		most, under := 0, 0
		for _, g := range row {
			v, n := value.Wrap(g.Value, width-2*pad), captionType.Wrap(g.Name, width-2*pad)
			values, names = append(values, v), append(names, n)
			most, under = max(most, len(v)), max(under, len(n))
		}
		height := vg.Length(most)*lead(value) + vg.Length(under)*lead(captionType) + 2*pad
		f.add(block{gap: gap, height: height, draw: func(d *plot.PDF, p vg.Point) error {
			for k := range row {
				stroke(d, box(p, width, height), 0.75, grey)
				at := vg.Point{X: p.X + pad, Y: p.Y - pad}
				for _, v := range values[k] {
					d.Text(value, baseLine(value, at), v)
					at.Y -= lead(value)
				}
				for _, n := range names[k] {
					d.Text(captionType, baseLine(captionType, at), n)
					at.Y -= lead(captionType)
				}
				p.X += width + gap
			}
			return nil
		}})
	}
}

// cautions sets each caution in a frame with a warning sign. More than a few are set closer,
// without frames. One longer than a page continues in another frame.
func (f *flow) cautions(all []string) {
	const (
		pad  = 7
		sign = 24
		tall = 22 // of the sign
		few  = 3
	)
	if len(all) > few {
		f.add(f.closer(all)...)
		return
	}
	width := f.width()
	for _, text := range all {
		lines := textType.Wrap(text, width-sign-3*pad)
		most := int((f.body() - 2*pad) / lead(textType))
		for len(lines) > 0 {
			part := lines[:min(most, len(lines))]
			lines = lines[len(part):]
			height := max(vg.Length(len(part))*lead(textType), tall) + 2*pad
			f.add(block{gap: 6, height: height, draw: func(d *plot.PDF, p vg.Point) error {
				stroke(d, box(p, width, height), 1.25, black)
				warn(d, vg.Point{X: p.X + pad, Y: p.Y - pad}, sign, tall)
				at := vg.Point{X: p.X + sign + 2*pad, Y: p.Y - (height-vg.Length(len(part))*lead(textType))/2}
				for _, l := range part {
					d.Text(textType, baseLine(textType, at), l)
					at.Y -= lead(textType)
				}
				return nil
			}})
		}
	}
}

// closer returns cautions as a list, each with a small sign.
func (f *flow) closer(all []string) (out []block) {
	const sign = 11
	l := plot.Lettering{Size: captionType.Size}
	for _, text := range all {
		lines := l.Wrap(text, f.width()-2*sign)
		for i, line := range lines {
			b := block{height: lead(l), keep: i+1 < len(lines) && (i == 0 || i == len(lines)-2), draw: func(d *plot.PDF, p vg.Point) error {
				if i == 0 {
					warn(d, vg.Point{X: p.X, Y: p.Y - 1}, sign, 10)
				}
				d.Text(l, baseLine(l, vg.Point{X: p.X + 1.6*sign, Y: p.Y}), line)
				return nil
			}}
			if i == 0 {
				b.gap = 4
			}
			out = append(out, b)
		}
	}
	return out
}

// warn draws a triangle with an exclamation mark; p is its upper left corner.
func warn(d *plot.PDF, p vg.Point, w, h vg.Length) {
	var t vg.Path
	t.Move(vg.Point{X: p.X + w/2, Y: p.Y - 1})
	t.Line(vg.Point{X: p.X + w - 1, Y: p.Y - h + 1})
	t.Line(vg.Point{X: p.X + 1, Y: p.Y - h + 1})
	t.Close()
	stroke(d, t, 2, black)
	mark := plot.Lettering{Size: 0.62 * h, Bold: true}
	d.Text(mark, vg.Point{X: p.X + (w-mark.Width("!"))/2, Y: p.Y - 0.83*h}, "!")
}

// picture sets a drawing over the full width, or as large as the page allows, with its
// caption below on the same page. The main picture of the summary takes the room left there.
func (f *flow) picture(q Picture, main bool) {
	const (
		gap   = 10
		under = 6
	)
	page := f.width()
	caption := captionType.Wrap(q.Caption, page)
	rest := caption[min(6, len(caption)):]
	caption = caption[:len(caption)-len(rest)]
	beneath := under + vg.Length(len(caption))*lead(captionType)
	if q.Caption == "" {
		caption, beneath = nil, 0
	}

	full := suits(q.Drawing, page)
	here := f.room() - gap - beneath
	there := f.body() - beneath
	for _, b := range f.kept {
		there -= b.gap + b.height
	}
	high := min(full, there)
	if q.Most > 0 {
		high = min(high, vg.Length(q.Most)*f.body())
	}
	enough := 0.62 * high // of the room left: in less, lettering crowds
	if q.Most > 0 {
		enough = 0.85 * high
	}
	if !main && f.postpone(gap+beneath+enough, q.Caption, func() { f.picture(q, false) }) {
		return
	}
	if here < high && (here >= enough || main && here >= leadRoom) {
		high = here
	}
	width := narrowed(q.Drawing, page, high)
	f.add(block{gap: gap, height: high + beneath, draw: func(d *plot.PDF, p vg.Point) error {
		left := p.X + (page-width)/2
		r := vg.Rectangle{Min: vg.Point{X: left, Y: p.Y - high}, Max: vg.Point{X: left + width, Y: p.Y}}
		if err := d.Place(q.Drawing, r); err != nil {
			return fmt.Errorf("picture %q: %w", q.Caption, err)
		}
		at := vg.Point{Y: r.Min.Y - under}
		for _, l := range caption {
			at.X = p.X + (page-captionType.Width(l))/2
			d.Text(captionType, baseLine(captionType, at), l)
			at.Y -= lead(captionType)
		}
		return nil
	}})
	f.add(f.lines(captionType, strings.Join(rest, " "), 0)...)
}

// pair sets two pictures side by side, each in half the width.
func (f *flow) pair(a, b Picture) {
	const (
		gap     = 10
		between = 14
		under   = 6
	)
	width := (f.width() - between) / 2
	high := min(max(suits(a.Drawing, width), suits(b.Drawing, width)), 0.45*f.body())
	both := [2]Picture{a, b}
	var captions [2][]string
	tall := 0
	for i, q := range both {
		captions[i] = captionType.Wrap(q.Caption, width)
		tall = max(tall, len(captions[i]))
	}
	beneath := under + vg.Length(tall)*lead(captionType)
	if f.postpone(gap+high+beneath, "", func() { f.pair(a, b) }) {
		return
	}
	f.add(block{gap: gap, height: high + beneath, draw: func(d *plot.PDF, p vg.Point) error {
		for i, q := range both {
			wide := narrowed(q.Drawing, width, high)
			left := p.X + vg.Length(i)*(width+between)
			drawn := min(high, suits(q.Drawing, wide))
			r := vg.Rectangle{Min: vg.Point{X: left + (width-wide)/2, Y: p.Y - drawn}, Max: vg.Point{X: left + (width+wide)/2, Y: p.Y}}
			if err := d.Place(q.Drawing, r); err != nil {
				return fmt.Errorf("picture %q: %w", q.Caption, err)
			}
			at := vg.Point{X: left, Y: p.Y - high - under}
			for _, l := range captions[i] {
				at.X = left + (width-captionType.Width(l))/2
				d.Text(captionType, baseLine(captionType, at), l)
				at.Y -= lead(captionType)
			}
		}
		return nil
	}})
}

// suits returns the height that suits d at a width.
func suits(d plot.Drawing, width vg.Length) vg.Length {
	if h := d.Height(width); h > 0 && !math.IsInf(float64(h), 0) {
		return h
	}
	return 0.6 * width
}

// narrowed returns the width, up to the one given, at which d is no taller than high, so
// that it is not a small drawing amid white paper. A [plot.WideMap] has the full width.
func narrowed(d plot.Drawing, width, high vg.Length) vg.Length {
	if _, wide := d.(*plot.WideMap); wide {
		return width
	}
	tall := suits(d, width)
	if tall <= high {
		return width
	}
	least := 0.65 * width // narrower, legends do not fit
	low := suits(d, least)
	// The height increases almost evenly with the width, and is slow to compute.
	for range 4 {
		if low > high || high-low < 1 || tall <= low {
			break
		}
		mid := least + (width-least)*(high-low)/(tall-low)
		if h := suits(d, mid); h <= high {
			least, low = mid, h
		} else {
			width, tall = mid, h
		}
	}
	return least
}

// signOff sets lines to fill in by hand: the subject, then room for name, date and
// signature.
func (f *flow) signOff(all []string) {
	const gap = 10
	width := f.width()
	for i, label := range all {
		words := textType.Wrap(label, 0.3*width-gap)
		least := vg.Length(30)
		if f.tight {
			least = 22
		}
		tall := max(least, vg.Length(len(words))*lead(textType)+6)
		f.add(block{gap: 6, height: tall + 12, keep: i+1 < len(all), draw: func(d *plot.PDF, p vg.Point) error {
			at := vg.Point{X: p.X, Y: p.Y - tall + vg.Length(len(words))*lead(textType)}
			for _, l := range words {
				d.Text(textType, baseLine(textType, at), l)
				at.Y -= lead(textType)
			}
			x, y := p.X+0.3*width, p.Y-tall
			for _, field := range []struct {
				name  string
				share vg.Length
			}{{"name", 0.27}, {"date", 0.15}, {"signature", 0.28}} {
				w := field.share*width - gap
				rule(d, vg.Point{X: x, Y: y}, w, 0.75, black)
				d.Text(noteType, vg.Point{X: x, Y: y - 10}, field.name)
				x += w + gap
			}
			return nil
		}})
	}
}
