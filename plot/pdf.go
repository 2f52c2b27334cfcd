//go:build !light

package plot

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"time"

	"codeberg.org/go-pdf/fpdf"
	stdfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// pdfCanvas writes pages of PDF with its fonts embedded as Unicode subsets: m², ½ and ″ are
// correct and can be searched, which a canvas with code-page text cannot do.
type pdfCanvas struct {
	page
	doc    *fpdf.Fpdf
	used   pen // the document's current state
	font   font.Font
	fonts  map[string]bool
	images int
	seen   *vg.Rectangle // lettering that is not whole in it is left out; nil: all is visible
}

// newDocument returns a document without pages; w and h are the default page size.
func newDocument(w, h vg.Length, title string, date time.Time) *pdfCanvas {
	doc := fpdf.NewCustom(&fpdf.InitType{
		UnitStr: "pt",
		Size:    fpdf.SizeType{Wd: w.Points(), Ht: h.Points()},
	})
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	if date.IsZero() {
		date = time.Unix(0, 0) // not the current time, so that equal drawings are equal files
	}
	doc.SetCreationDate(date.UTC())
	doc.SetModificationDate(date.UTC())
	doc.SetCatalogSort(true)
	doc.SetTitle(shown(title, lettering(1, false, black)), true)
	doc.SetLineJoinStyle("round")
	return &pdfCanvas{doc: doc, fonts: map[string]bool{}}
}

// newPage begins a page with a black pen, whatever pen the last page ended with.
func (c *pdfCanvas) newPage(w, h vg.Length) {
	c.page = newPage(w, h)
	c.doc.SetDashPattern(nil, 0)
	c.doc.AddPageFormat("P", fpdf.SizeType{Wd: w.Points(), Ht: h.Points()})
	c.doc.SetFillColor(0, 0, 0)
	c.doc.SetDrawColor(0, 0, 0)
	c.doc.SetTextColor(0, 0, 0)
	c.doc.SetLineWidth(c.width)
	c.used, c.font = c.pen, font.Font{}
}

func newPDF(w, h vg.Length, title string, date time.Time) *pdfCanvas {
	c := newDocument(w, h, title, date)
	c.newPage(w, h)
	return c
}

// madeBy names the program that makes the document.
func (c *pdfCanvas) madeBy(program string) { c.doc.SetCreator(program, true) }

// see leaves out lettering that is not whole in r; nil: all is visible.
func (c *pdfCanvas) see(r *vg.Rectangle) { c.seen = r }

// bookmark adds a height on the page to the bookmarks.
func (c *pdfCanvas) bookmark(f font.Face, name string, y vg.Length) {
	c.setFont(f) // so that the text is encoded as Unicode
	c.doc.Bookmark(name, 0, c.down(y.Points()))
}

func (c *pdfCanvas) pages() int { return c.doc.PageCount() }

func (c *pdfCanvas) down(y float64) float64 { return c.h.Points() - y }

func (c *pdfCanvas) move(p [2]float64) { c.doc.MoveTo(p[0], c.down(p[1])) }
func (c *pdfCanvas) line(p [2]float64) { c.doc.LineTo(p[0], c.down(p[1])) }
func (c *pdfCanvas) close()            { c.doc.ClosePath() }
func (c *pdfCanvas) curve(c1, c2, p [2]float64) {
	c.doc.CurveBezierCubicTo(c1[0], c.down(c1[1]), c2[0], c.down(c2[1]), p[0], c.down(p[1]))
}

// ink sets the current colour in the document if it changed.
func (c *pdfCanvas) ink() {
	k := c.color
	if k == c.used.color {
		return
	}
	c.doc.SetFillColor(int(k.R), int(k.G), int(k.B))
	c.doc.SetDrawColor(int(k.R), int(k.G), int(k.B))
	c.doc.SetTextColor(int(k.R), int(k.G), int(k.B))
	if k.A != c.used.color.A {
		c.doc.SetAlpha(float64(k.A)/255, "Normal")
	}
	c.used.color = k
}

func (c *pdfCanvas) Fill(p vg.Path) {
	c.ink()
	c.walk(p, c)
	c.doc.DrawPath("F")
}

func (c *pdfCanvas) Stroke(p vg.Path) {
	if c.width <= 0 {
		return
	}
	c.ink()
	if c.width != c.used.width {
		c.doc.SetLineWidth(c.width)
		c.used.width = c.width
	}
	dash := make([]float64, len(c.dash))
	for i, d := range c.dash {
		dash[i] = d.Points()
	}
	if len(dash) > 0 || len(c.used.dash) > 0 {
		c.doc.SetDashPattern(dash, c.phase)
		c.used.dash = c.dash
	}
	c.walk(p, c)
	c.doc.DrawPath("D")
}

func (c *pdfCanvas) FillString(f font.Face, pt vg.Point, text string) {
	if f.Font.Size == 0 || c.cut(f, pt, text) {
		return
	}
	if f.Font != c.font {
		c.setFont(f)
	}
	c.ink()
	text = glyphsIn(f.Face).clean(text)
	at := c.place(pt)
	x, y := at[0], c.down(at[1])
	turn := math.Atan2(c.m.b, c.m.a)
	if turn == 0 {
		c.doc.Text(x, y, text)
		return
	}
	c.doc.TransformBegin()
	c.doc.TransformRotate(turn*180/math.Pi, x, y)
	c.doc.Text(x, y, text)
	c.doc.TransformEnd()
}

// cut reports whether capitals and figures of a text at pt are not wholly visible.
func (c *pdfCanvas) cut(f font.Face, pt vg.Point, text string) bool {
	if c.seen == nil {
		return false
	}
	w, h := f.Width(text), 0.729*f.Font.Size // as in [capHeight]
	for _, q := range []vg.Point{{}, {X: w}, {Y: h}, {X: w, Y: h}} {
		p := c.place(pt.Add(q))
		at := vg.Point{X: vg.Length(p[0]), Y: vg.Length(p[1])}
		if !Holds(*c.seen, vg.Rectangle{Min: at, Max: at}) {
			return true
		}
	}
	return false
}

func (c *pdfCanvas) setFont(f font.Face) {
	family, style := string(f.Font.Typeface)+string(f.Font.Variant), ""
	if f.Font.Weight == stdfont.WeightBold {
		style = "B"
	}
	if key := family + style; !c.fonts[key] {
		var data bytes.Buffer
		if _, err := f.Face.WriteSourceTo(nil, &data); err != nil {
			c.doc.SetError(err)
			return
		}
		c.doc.AddUTF8FontFromBytes(family, style, data.Bytes())
		c.fonts[key] = true
	}
	c.doc.SetFont(family, style, f.Font.Size.Points())
	c.font = f.Font
}

func (c *pdfCanvas) DrawImage(r vg.Rectangle, img image.Image) {
	var data bytes.Buffer
	if err := png.Encode(&data, img); err != nil {
		c.doc.SetError(err)
		return
	}
	c.images++
	name := fmt.Sprint("fill", c.images)
	o := fpdf.ImageOptions{ImageType: "png"}
	c.doc.RegisterImageOptionsReader(name, o, &data)
	lo, hi := c.place(r.Min), c.place(r.Max)
	c.doc.ImageOptions(name, lo[0], c.down(hi[1]), hi[0]-lo[0], hi[1]-lo[1], false, o, 0, "")
}

// within draws onto whole and shows only r of the page.
func (c *pdfCanvas) within(r, whole vg.Rectangle, d Drawing) error {
	used, set := c.used, c.font
	c.Push()
	size := r.Size()
	c.doc.ClipRect(r.Min.X.Points(), c.down(r.Max.Y.Points()), size.X.Points(), size.Y.Points(), false)
	err := d.Draw(draw.Canvas{Canvas: c, Rectangle: whole})
	c.doc.ClipEnd() // the document drops the state set since
	c.Pop()
	c.used = used
	if c.font != set { // the page has the font from before again, the document still that of d
		c.doc.SetFontSize(2 * c.font.Size.Points()) // none that follows: it is set anew with its next letters
		c.font = font.Font{}
	}
	return err
}

func (c *pdfCanvas) writeTo(w io.Writer) error { return c.doc.Output(w) }
