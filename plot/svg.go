package plot

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"image"
	"io"
	"math"
	"strconv"

	stdfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// svgCanvas writes SVG with a viewBox, so that it scales to any screen, and with a fill on
// the root group, because some readers give text without a fill the fill of the shape before
// it.
type svgCanvas struct {
	page
	title string
	body  bytes.Buffer
	err   error
}

func newSVG(w, h vg.Length, title string) *svgCanvas {
	return &svgCanvas{page: newPage(w, h), title: title}
}

// number writes v to 1/100 pt without trailing zeros.
func (c *svgCanvas) number(v float64) {
	b := strconv.AppendFloat(c.body.AvailableBuffer(), math.Round(v*100)/100, 'f', -1, 64)
	if string(b) == "-0" {
		b = b[1:]
	}
	c.body.Write(b)
}

func (c *svgCanvas) pair(op string, p [2]float64) {
	c.body.WriteString(op)
	c.number(p[0])
	c.body.WriteByte(' ')
	c.number(c.h.Points() - p[1])
}

func (c *svgCanvas) move(p [2]float64) { c.pair("M", p) }
func (c *svgCanvas) line(p [2]float64) { c.pair("L", p) }
func (c *svgCanvas) close()            { c.body.WriteByte('Z') }
func (c *svgCanvas) curve(c1, c2, p [2]float64) {
	c.pair("C", c1)
	c.pair(" ", c2)
	c.pair(" ", p)
}

// paint writes an attribute with the current colour.
func (c *svgCanvas) paint(attr string) {
	k := c.color
	fmt.Fprintf(&c.body, ` %s="#%02x%02x%02x"`, attr, k.R, k.G, k.B)
	if k.A != 255 {
		fmt.Fprintf(&c.body, ` %s-opacity="%.3g"`, attr, float64(k.A)/255)
	}
}

func (c *svgCanvas) path(p vg.Path) {
	c.body.WriteString(` d="`)
	c.walk(p, c)
	c.body.WriteString("\"/>\n")
}

func (c *svgCanvas) Fill(p vg.Path) {
	c.body.WriteString("<path")
	c.paint("fill")
	c.path(p)
}

func (c *svgCanvas) Stroke(p vg.Path) {
	if c.width <= 0 {
		return
	}
	c.body.WriteString(`<path fill="none"`)
	c.paint("stroke")
	c.body.WriteString(` stroke-width="`)
	c.number(c.width)
	c.body.WriteByte('"')
	if len(c.dash) > 0 {
		c.body.WriteString(` stroke-dasharray="`)
		for i, d := range c.dash {
			if i > 0 {
				c.body.WriteByte(' ')
			}
			c.number(d.Points())
		}
		c.body.WriteByte('"')
		if c.phase != 0 {
			c.body.WriteString(` stroke-dashoffset="`)
			c.number(c.phase)
			c.body.WriteByte('"')
		}
	}
	c.path(p)
}

func (c *svgCanvas) FillString(f font.Face, pt vg.Point, text string) {
	if f.Font.Size == 0 {
		return
	}
	at := c.place(pt)
	x, y := at[0], c.h.Points()-at[1]
	c.body.WriteString(`<text x="`)
	c.number(x)
	c.body.WriteString(`" y="`)
	c.number(y)
	c.body.WriteString(`" font-size="`)
	c.number(f.Font.Size.Points())
	c.body.WriteByte('"')
	if f.Font.Weight == stdfont.WeightBold {
		c.body.WriteString(` font-weight="bold"`)
	}
	// The width was measured in a font that the reader may lack: another font is fitted to
	// it, so that nothing is cut off or runs into its neighbour.
	if w := f.Width(text).Points(); w > 0 {
		c.body.WriteString(` textLength="`)
		c.number(w)
		c.body.WriteString(`" lengthAdjust="spacingAndGlyphs"`)
	}
	c.paint("fill")
	if turn := math.Atan2(c.m.b, c.m.a); turn != 0 {
		c.body.WriteString(` transform="rotate(`)
		c.number(-turn * 180 / math.Pi)
		c.body.WriteByte(' ')
		c.number(x)
		c.body.WriteByte(' ')
		c.number(y)
		c.body.WriteString(`)"`)
	}
	c.body.WriteByte('>')
	xml.EscapeText(&c.body, []byte(text)) // a bytes.Buffer never fails
	c.body.WriteString("</text>\n")
}

func (c *svgCanvas) DrawImage(r vg.Rectangle, img image.Image) {
	var data bytes.Buffer
	if err := writePNG(&data, img, false); err != nil && c.err == nil {
		c.err = err
	}
	lo, hi := c.place(r.Min), c.place(r.Max)
	c.body.WriteString(`<image preserveAspectRatio="none" x="`)
	c.number(lo[0])
	c.body.WriteString(`" y="`)
	c.number(c.h.Points() - hi[1])
	c.body.WriteString(`" width="`)
	c.number(hi[0] - lo[0])
	c.body.WriteString(`" height="`)
	c.number(hi[1] - lo[1])
	c.body.WriteString(`" href="data:image/png;base64,`)
	c.body.WriteString(base64.StdEncoding.EncodeToString(data.Bytes()))
	c.body.WriteString("\"/>\n")
}

func (c *svgCanvas) writeTo(w io.Writer) error {
	if c.err != nil {
		return c.err
	}
	var head bytes.Buffer
	fmt.Fprintf(&head, `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" width="%[1]gpt" height="%[2]gpt" viewBox="0 0 %[1]g %[2]g" role="img">
<title>`, c.w.Points(), c.h.Points())
	xml.EscapeText(&head, []byte(c.title))
	fmt.Fprintf(&head, `</title>
<rect width="%g" height="%g" fill="#ffffff"/>
<g fill="#000000" stroke-linejoin="round" font-family="'Liberation Sans', Arimo, Helvetica, Arial, sans-serif">
`, c.w.Points(), c.h.Points())
	if _, err := head.WriteTo(w); err != nil {
		return err
	}
	if _, err := c.body.WriteTo(w); err != nil {
		return err
	}
	_, err := io.WriteString(w, "</g>\n</svg>\n")
	return err
}
