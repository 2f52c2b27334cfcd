package plot

import (
	"cmp"
	"errors"
	"image/color"
	"io"
	"strings"
	"sync"
	"time"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// PDF is a document of several pages with drawings, text and lines. Places on a page are
// points from its lower left corner. Equal calls give equal bytes.
type PDF struct{ c *pdfCanvas }

// NewPDF returns a document without pages. It records the title, the program that made it,
// and the date; a zero date is 1 January 1970.
func NewPDF(title, program string, date time.Time) *PDF {
	c := newDocument(595.28, 841.89, title, date)
	c.madeBy(shown(program, lettering(1, false, black)))
	return &PDF{c}
}

// Page begins a page, which is used from then on.
func (d *PDF) Page(w, h vg.Length) { d.c.newPage(w, h) }

// Canvas returns the current page, to draw lines and areas on.
func (d *PDF) Canvas() vg.Canvas { return d.c }

// Place draws p as vectors onto the rectangle r of the current page, at the size of r:
// nothing is scaled, and nothing outside r is visible.
func (d *PDF) Place(p Drawing, r vg.Rectangle) error { return d.c.within(r, r, p) }

// PlacePart draws p onto the rectangle whole, which may extend beyond the page, and shows
// only the rectangle r. Lettering that is not whole in r is left out: half a number reads as
// another number.
func (d *PDF) PlacePart(p Drawing, whole, r vg.Rectangle) error {
	d.c.see(&r)
	defer d.c.see(nil)
	return d.c.within(r, whole, p)
}

// Text sets one line of text from p, on its base line.
func (d *PDF) Text(l Lettering, p vg.Point, line string) {
	s := l.style()
	d.c.SetColor(s.Color)
	d.c.FillString(s.Handler.Cache().Lookup(s.Font, s.Font.Size), p, line)
}

// Mark adds the place at a height on the current page to the bookmarks that a reader shows
// beside the pages.
func (d *PDF) Mark(name string, y vg.Length) {
	l := Lettering{Size: 10}
	s := l.style()
	d.c.bookmark(s.Handler.Cache().Lookup(s.Font, s.Font.Size), shown(name, s), y)
}

// Encode writes the document to w. Call it once only.
func (d *PDF) Encode(w io.Writer) error {
	if d.c.pages() == 0 {
		return errors.New("there is no page to write")
	}
	return d.c.writeTo(w)
}

// Lettering is the look of text on a page of a [PDF], in the font of the drawings.
type Lettering struct {
	Size  vg.Length
	Bold  bool
	Color color.Color // nil: black
}

func (l Lettering) style() text.Style {
	return lettering(l.Size, l.Bold, cmp.Or[color.Color](l.Color, black))
}

// Width returns the width of a line as [PDF.Text] sets it: letter by letter, without the
// kerning of a bitmap picture.
func (l Lettering) Width(line string) vg.Length {
	g := glyphsOf(l.style())
	sum := 0.0
	for _, r := range g.clean(line) {
		sum += g.advance(r)
	}
	return l.Size * vg.Length(sum)
}

// Wrap breaks a paragraph into lines up to width: at spaces and line ends, and anywhere in a
// longer word. A no-break space keeps its words together. A line has at least one letter.
func (l Lettering) Wrap(paragraph string, width vg.Length) []string {
	g := glyphsOf(l.style())
	room := float64(width / l.Size)
	var lines []string
	for part := range strings.SplitSeq(paragraph, "\n") {
		var line []byte
		used := 0.0
		end := func() {
			if len(line) > 0 {
				lines = append(lines, string(line))
			}
			line, used = line[:0], 0
		}
		for _, word := range strings.FieldsFunc(g.clean(part), func(r rune) bool { return r == ' ' }) {
			long := 0.0
			for _, r := range word {
				long += g.advance(r)
			}
			if space := g.advance(' '); len(line) > 0 && used+space+long <= room {
				line = append(line, ' ')
				used += space
			} else {
				end()
			}
			for _, r := range word {
				a := g.advance(r)
				if used+a > room+1e-9 {
					end()
				}
				line = append(line, string(r)...)
				used += a
			}
		}
		end()
	}
	return lines
}

// glyphs is the letters of a font.
type glyphs struct {
	mu   sync.Mutex
	face *opentype.Font
	has  map[rune]float64 // width in sizes; negative: not in the font
	buf  sfnt.Buffer
}

var faces sync.Map // *opentype.Font to *glyphs

func glyphsOf(s text.Style) *glyphs {
	return glyphsIn(s.Handler.Cache().Lookup(s.Font, s.Font.Size).Face)
}

func glyphsIn(face *opentype.Font) *glyphs {
	if g, ok := faces.Load(face); ok {
		return g.(*glyphs)
	}
	g, _ := faces.LoadOrStore(face, &glyphs{face: face, has: map[rune]float64{}})
	return g.(*glyphs)
}

// advance returns the width of a letter in sizes, negative if the font lacks it.
func (g *glyphs) advance(r rune) float64 {
	g.mu.Lock()
	defer g.mu.Unlock()
	if a, ok := g.has[r]; ok {
		return a
	}
	a := -1.0
	if i, err := g.face.GlyphIndex(&g.buf, r); err == nil && i != 0 && r <= 0xffff { // the document cannot encode more
		em := g.face.UnitsPerEm()
		if w, err := g.face.GlyphAdvance(&g.buf, i, fixed.Int26_6(em), font.HintingNone); err == nil {
			a = float64(w) / float64(em)
		}
	}
	g.has[r] = a
	return a
}

// standIns replace letters that the font lacks.
var standIns = map[rune]rune{
	'⌀':      'Ø',
	'\u2011': '-', // non-breaking hyphen
}

// clean returns a line with only letters of the font: accents are joined to their letters,
// tabs and other spaces become spaces, marks without a shape are dropped, and any other
// missing letter becomes a question mark.
func (g *glyphs) clean(line string) string {
	var b strings.Builder
	for _, r := range norm.NFC.String(strings.ToValidUTF8(line, "?")) {
		switch {
		case r == '\u00a0':
			b.WriteRune(r)
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case unicode.In(r, unicode.Cf, unicode.Cc):
		case g.advance(r) >= 0:
			b.WriteRune(r)
		default:
			b.WriteRune(cmp.Or(standIns[r], '?'))
		}
	}
	return b.String()
}

// shown returns a line as the font of s can show it.
func shown(line string, s text.Style) string { return glyphsOf(s).clean(line) }
