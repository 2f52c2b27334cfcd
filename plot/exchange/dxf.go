package exchange

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode"

	"pourplane/surface"
	"pourplane/survey"
)

// longestString is the max bytes of an encoded text in release 12.
const longestString = 255

// layerColours are the colour numbers that layers take in turn: blue, red, green, magenta,
// cyan, then an orange and a grey. Yellow and white are left out because they are invisible
// on paper.
var layerColours = []int{5, 1, 3, 6, 4, 30, 8}

// paperRun is the length of the longer side of a plan in letter heights: a plan that fills
// 250 mm of a sheet has letters of 2.5 mm (a height of ISO 3098-1).
const paperRun = 100

// WriteDXF writes p as ASCII DXF of release 12 (AC1009), which nearly every program reads,
// by the DXF reference of that release. One drawing unit is the Unit of the plan. $INSUNITS
// states it (from a later release; readers of this one ignore it), and so does a line of
// text below the plan, before the title.
//
// Rings and lines become polylines at their elevation; rings and closed lines are closed.
// Marks become a point and a text beside it, with a height that suits the plan. Layers keep
// their names and get a colour each. Properties are not written here; [WriteGeoJSON] writes
// them. Texts are in code page 1252, which the header names: letters of ISO 8859-1 directly,
// others as \U+ and the four hexadecimal digits of their code. Line ends and other control
// characters become spaces.
func WriteDXF(w io.Writer, p Plan) error {
	if err := p.check(); err != nil {
		return err
	}
	if int(p.Unit) >= len(units) {
		return &survey.Error{Element: "plan", Found: fmt.Sprintf("drawing unit %d", p.Unit), Want: "a metre, a foot or a US survey foot"}
	}
	least, most := p.extent()
	height := max(most.X-least.X, most.Y-least.Y) / paperRun
	if height == 0 {
		height = 0.1
	}
	unit := units[p.Unit]
	d := dxf{Writer: bufio.NewWriterSize(w, streamed), size: unit.metres}
	d.section("HEADER")
	d.pair(9, "$ACADVER")
	d.pair(1, "AC1009")
	d.pair(9, "$DWGCODEPAGE")
	d.pair(3, "ANSI_1252")
	d.pair(9, "$EXTMIN")
	d.place(least, 0)
	d.pair(9, "$EXTMAX")
	d.place(most, 0)
	d.pair(9, "$LUNITS") // decimal
	d.pair(70, "2")
	d.pair(9, "$INSUNITS")
	d.pair(70, unit.number)
	d.pair(9, "$PDMODE") // a point is drawn as a cross with upright arms
	d.pair(70, "2")
	d.pair(9, "$PDSIZE")
	d.length(40, height)
	d.end("ENDSEC")

	d.section("TABLES")
	d.table("LTYPE", 1)
	d.pair(0, "LTYPE")
	d.pair(2, "CONTINUOUS")
	d.pair(70, "0")
	d.pair(3, "Solid line")
	d.pair(72, "65") // always so
	d.pair(73, "0")
	d.number(40, 0)
	d.end("ENDTAB")
	d.table("LAYER", 1+len(p.Layers))
	d.layer("0", 7)
	for k, l := range p.Layers {
		if l.Name != "0" {
			d.layer(l.Name, layerColours[k%len(layerColours)])
		}
	}
	d.end("ENDTAB")
	d.end("ENDSEC")

	d.section("ENTITIES")
	for _, l := range p.Layers {
		for _, a := range l.Areas {
			for _, ring := range a.Rings {
				d.polyline(l.Name, ring, true, a.Elevation)
			}
		}
		for _, n := range l.Lines {
			d.polyline(l.Name, n.Points, n.Closed, n.Elevation)
		}
		for _, m := range l.Labels {
			d.entity("POINT", l.Name)
			d.place(m.At, m.Elevation)
			beside := surface.Vec{X: m.At.X + height/2, Y: m.At.Y + height/2}
			d.text(l.Name, beside, m.Elevation, height, m.Text)
		}
	}
	beneath := surface.Vec{X: least.X, Y: least.Y - 3*height}
	d.text("0", beneath, 0, height, strings.TrimSpace("1 drawing unit = 1 "+unit.name+". "+p.Title))
	d.end("ENDSEC")
	d.end("EOF")
	return d.Flush()
}

const streamed = 1 << 16 // bytes of a file written at once

// extent returns the corners of the bounding box of p.
func (p Plan) extent() (least, most surface.Vec) {
	first := true
	take := func(points ...surface.Vec) {
		for _, v := range points {
			if first {
				least, most, first = v, v, false
			}
			least = surface.Vec{X: min(least.X, v.X), Y: min(least.Y, v.Y)}
			most = surface.Vec{X: max(most.X, v.X), Y: max(most.Y, v.Y)}
		}
	}
	for _, l := range p.Layers {
		for _, a := range l.Areas {
			take(a.Rings[0]...)
		}
		for _, n := range l.Lines {
			take(n.Points...)
		}
		for _, m := range l.Labels {
			take(m.At)
		}
	}
	return least, most
}

// dxf is a drawing being written: group codes and values, each on a line.
type dxf struct {
	*bufio.Writer         // keeps its first error
	size          float64 // m per drawing unit
	digits        []byte
}

func (d *dxf) pair(code int, value string) {
	d.code(code)
	d.WriteString(value)
	d.WriteString("\r\n")
}

func (d *dxf) code(code int) {
	for under := 100; under > 1 && code < under; under /= 10 {
		d.WriteByte(' ')
	}
	d.Write(strconv.AppendInt(d.AvailableBuffer(), int64(code), 10))
	d.WriteString("\r\n")
}

// number writes v in plain decimals: not every reader takes 1e-05.
func (d *dxf) number(code int, v float64) {
	d.digits = strconv.AppendFloat(d.digits[:0], v+0, 'f', -1, 64) // -0 + 0 is 0
	if !bytes.Contains(d.digits, []byte(".")) {
		d.digits = append(d.digits, ".0"...)
	}
	d.code(code)
	d.Write(append(d.digits, "\r\n"...))
}

// length writes a length in m in the drawing unit, to a billionth of it, so that lengths
// given in feet come out unchanged.
func (d *dxf) length(code int, v float64) {
	if d.size != 1 {
		v = math.Round(v/d.size*1e9) / 1e9
	}
	d.number(code, v)
}

func (d *dxf) place(v surface.Vec, z float64) {
	d.length(10, v.X)
	d.length(20, v.Y)
	if math.IsNaN(z) {
		z = 0
	}
	d.length(30, z)
}

func (d *dxf) section(name string) {
	d.pair(0, "SECTION")
	d.pair(2, name)
}

func (d *dxf) end(what string) { d.pair(0, what) }

func (d *dxf) table(name string, entries int) {
	d.pair(0, "TABLE")
	d.pair(2, name)
	d.pair(70, strconv.Itoa(entries))
}

func (d *dxf) layer(name string, colour int) {
	d.pair(0, "LAYER")
	d.pair(2, name)
	d.pair(70, "0")
	d.pair(62, strconv.Itoa(colour))
	d.pair(6, "CONTINUOUS")
}

func (d *dxf) entity(kind, layer string) {
	d.pair(0, kind)
	d.pair(8, layer)
}

func (d *dxf) polyline(layer string, points []surface.Vec, closed bool, elevation float64) {
	d.entity("POLYLINE", layer)
	d.pair(66, "1") // vertices follow
	d.place(surface.Vec{}, elevation)
	flag := "0"
	if closed {
		flag = "1"
	}
	d.pair(70, flag)
	for _, v := range points {
		d.entity("VERTEX", layer)
		d.place(v, elevation)
	}
	d.entity("SEQEND", layer)
}

// text writes a text, if there is one.
func (d *dxf) text(layer string, at surface.Vec, z, height float64, s string) {
	encoded := dxfString(s)
	if strings.TrimSpace(encoded) == "" {
		return
	}
	d.entity("TEXT", layer)
	d.place(at, z)
	d.length(40, height)
	d.pair(1, encoded)
}

// dxfString returns s as a value of a drawing. Letters that release 12 has no code for
// become "?", and a text longer than the max ends in "...".
func dxfString(s string) string {
	// If these would begin a code, their signs are written as letters by number.
	percent := strings.Contains(s, "%%")
	backslash := strings.Contains(s, `\U+`) || strings.Contains(s, `\M+`)
	var b strings.Builder
	whole := 0 // bytes after which the dots still fit
	for _, r := range s {
		switch {
		case r > 0xFFFF:
			b.WriteByte('?')
		case unicode.IsControl(r):
			b.WriteByte(' ')
		case r == '^':
			b.WriteString("^ ") // a caret alone makes a control character of the next letter
		case r > unicode.MaxLatin1 || r == '%' && percent || r == '\\' && backslash:
			fmt.Fprintf(&b, `\U+%04X`, r)
		default:
			b.WriteByte(byte(r)) // from 0xA0 on code page 1252 is ISO 8859-1
		}
		if b.Len() > longestString {
			return b.String()[:whole] + "..."
		}
		if b.Len() <= longestString-len("...") {
			whole = b.Len()
		}
	}
	return b.String()
}
