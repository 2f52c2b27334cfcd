// Package plot draws a floor and the fill it takes: a depth map, a contour drawing and a
// profile along a line, true to scale, as PNG, SVG or PDF.
package plot

import (
	"cmp"
	"errors"
	"fmt"
	"image/color"
	"io"
	"time"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// Drawing is a picture of a floor.
type Drawing interface {
	// Draw draws onto c, filling its rectangle.
	Draw(c draw.Canvas) error
	// Height returns the height that suits the drawing at a given width.
	Height(width vg.Length) vg.Length

	heading() string
}

// DefaultWidth is the width of a drawing. At 250 dots per inch it makes 1600 pixels, and the
// smallest lettering on the colour bar is still readable when the picture is shown on a
// phone 390 pixels wide.
const DefaultWidth = 460.8 * vg.Length(1)

const defaultDPI = 250

// Output is the format and size of a written drawing.
type Output struct {
	Format        string    // "png", "svg" or "pdf"
	Width, Height vg.Length // points; 0: DefaultWidth, and the height that suits the drawing
	DPI           int       // dots per inch of a PNG; 0: 250
	Date          time.Time // date in a PDF; zero: 1 January 1970, so that equal drawings are equal files
}

// ErrNoFloor means that there is no triangle to draw.
var ErrNoFloor = errors.New("there is no floor to draw")

// Write draws d and writes it to w. Equal drawings give equal bytes.
func Write(w io.Writer, d Drawing, o Output) error {
	width := cmp.Or(o.Width, DefaultWidth)
	height := o.Height
	if height == 0 {
		height = d.Height(width)
	}
	if !(width > 0) || !(height > 0) {
		return fmt.Errorf("a drawing of %g by %g points has no room", width.Points(), height.Points())
	}
	switch o.Format {
	case "png":
		c := vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(cmp.Or(o.DPI, defaultDPI)), vgimg.UseBackgroundColor(color.White))
		if err := d.Draw(draw.New(c)); err != nil {
			return err
		}
		return writePNG(w, c.Image(), true)
	case "svg":
		c := newSVG(width, height, d.heading())
		if err := d.Draw(draw.New(c)); err != nil {
			return err
		}
		return c.writeTo(w)
	case "pdf":
		c := newPDF(width, height, d.heading(), o.Date)
		if err := d.Draw(draw.New(c)); err != nil {
			return err
		}
		return c.writeTo(w)
	}
	return fmt.Errorf("found format %q, want png, svg or pdf", o.Format)
}
