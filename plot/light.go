//go:build light

package plot

import (
	"errors"
	"image"
	"io"
	"time"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// pdfCanvas stands in for pages of PDF where a program makes no files: it has no marks, and cannot
// be written.
type pdfCanvas struct{ page }

func newDocument(w, h vg.Length, _ string, _ time.Time) *pdfCanvas {
	return &pdfCanvas{newPage(w, h)}
}

func newPDF(w, h vg.Length, title string, date time.Time) *pdfCanvas {
	return newDocument(w, h, title, date)
}

func (c *pdfCanvas) newPage(w, h vg.Length)                    { c.page = newPage(w, h) }
func (c *pdfCanvas) Fill(vg.Path)                              {}
func (c *pdfCanvas) Stroke(vg.Path)                            {}
func (c *pdfCanvas) FillString(font.Face, vg.Point, string)    {}
func (c *pdfCanvas) DrawImage(vg.Rectangle, image.Image)       {}
func (c *pdfCanvas) within(_, _ vg.Rectangle, _ Drawing) error { return errNoDrawings }
func (c *pdfCanvas) writeTo(io.Writer) error                   { return errNoDrawings }

func (c *pdfCanvas) madeBy(string)                         {}
func (c *pdfCanvas) see(*vg.Rectangle)                     {}
func (c *pdfCanvas) bookmark(font.Face, string, vg.Length) {}
func (c *pdfCanvas) pages() int                            { return 0 }

func writePNG(io.Writer, image.Image, bool) error { return errNoDrawings }

var errNoDrawings = errors.New("this program makes no drawings")
