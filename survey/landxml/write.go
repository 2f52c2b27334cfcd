package landxml

import (
	"bufio"
	"cmp"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"time"

	"pourplane/survey"
	"pourplane/survey/internal/input"
)

// Document is the content of a written file.
type Document struct {
	Project  string
	Version  string           // of this program
	Date     time.Time        // of the surfaces
	Points   []survey.Point   // written as CgPoints
	Surfaces []survey.Surface // source data and faces
}

// Write writes LandXML 1.2 in metres, with everything its schema requires. Numbers are
// the shortest decimals that read back to the same bits, without exponent; the usual
// four decimals would move every vertex. Boundaries are written in plan. Characters that
// XML cannot hold become U+FFFD.
//
// A document that cannot be read back is refused before anything is written: a surface
// without name or faces, two surfaces or two points of one name, a face with a missing
// vertex or one vertex twice, a ring of fewer than three corners, a breakline of fewer
// than two corners or with elevations on only some of its points, a number that is not
// finite, an elevation missing elsewhere than in Points and rings. Vertices that no face
// uses are written, and not read back.
func Write(w io.Writer, d Document) error {
	if err := d.check(); err != nil {
		return err
	}
	b := bufio.NewWriter(w)
	x := &xmlWriter{b}
	x.raw(xml.Header)
	x.raw(`<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xsi:schemaLocation="http://www.landxml.org/schema/LandXML-1.2 http://www.landxml.org/schema/LandXML-1.2/LandXML-1.2.xsd" version="1.2"`)
	x.attr("date", d.Date.UTC().Format(time.DateOnly))
	x.attr("time", d.Date.UTC().Format(time.TimeOnly))
	x.raw(` language="English" readOnly="false">
  <Units>
    <Metric areaUnit="squareMeter" linearUnit="meter" volumeUnit="cubicMeter" temperatureUnit="celsius" pressureUnit="milliBars"/>
  </Units>
  <Project`)
	x.attr("name", d.Project)
	x.raw("/>\n  <Application name=\"pourplane\"")
	x.attr("version", d.Version)
	x.raw("/>\n")
	if len(d.Points) > 0 {
		x.raw("  <CgPoints>\n")
		for _, p := range d.Points {
			x.raw("    <CgPoint")
			if p.Name() != "" {
				x.attr("name", p.Name())
			}
			if p.Code() != "" {
				x.attr("code", p.Code())
			}
			x.raw(">")
			x.place(p, p.HasZ())
			x.raw("</CgPoint>\n")
		}
		x.raw("  </CgPoints>\n")
	}
	if len(d.Surfaces) > 0 {
		x.raw("  <Surfaces>\n")
		for i := range d.Surfaces {
			x.surface(&d.Surfaces[i])
		}
		x.raw("  </Surfaces>\n")
	}
	x.raw("</LandXML>\n")
	return b.Flush()
}

// check finds what LandXML cannot hold.
func (d *Document) check() error {
	if err := written("CgPoint", d.Points, false); err != nil {
		return err
	}
	points := map[string]bool{"": false}
	for _, p := range d.Points {
		if points[p.Name()] {
			return &survey.Error{Pos: p.At(), Element: "CgPoint", Found: fmt.Sprintf("%q twice", p.Name()), Want: "points of different names, or of none"}
		}
		points[p.Name()] = p.Name() != ""
	}
	surfaces := map[string]bool{}
	for i := range d.Surfaces {
		s := &d.Surfaces[i]
		if s.Name == "" || surfaces[s.Name] {
			return &survey.Error{Pos: s.At, Element: fmt.Sprintf("surface %d", i+1), Found: fmt.Sprintf("the name %q", s.Name), Want: "a name that no other surface has"}
		}
		surfaces[s.Name] = true
		bad := func(what string, args ...any) error {
			return &survey.Error{Pos: s.At, Element: fmt.Sprintf("surface %q", s.Name), Want: fmt.Sprintf(what, args...)}
		}
		if len(s.Faces) == 0 {
			return bad("faces to write")
		}
		for k, f := range s.Faces {
			for _, v := range f {
				if v < 0 || int(v) >= len(s.Vertices) {
					return bad("vertices of face %d that are there; vertex %d of %d is not", k+1, v, len(s.Vertices))
				}
			}
			if f[0] == f[1] || f[1] == f[2] || f[2] == f[0] {
				return bad("three different vertices of face %d; it has %d, %d and %d", k+1, f[0], f[1], f[2])
			}
		}
		if err := cmp.Or(written("vertex", s.Vertices, true), written("data point", s.Points, true)); err != nil {
			return err
		}
		if area, _, _ := extent(s); !(area <= input.LargestNumber) {
			return bad("coordinates small enough for an area")
		}
		for _, l := range s.Breaklines {
			if len(l.Points) < 2 {
				return bad("two points or more in breakline %q", l.Name)
			}
			for _, p := range l.Points {
				if p.HasZ() != l.Points[0].HasZ() {
					return bad("elevations on all points of breakline %q or on none", l.Name)
				}
			}
			if err := written("breakline", l.Points, false); err != nil {
				return err
			}
		}
		for _, r := range s.Rings {
			if len(r.Points) < 3 {
				return bad("three corners or more in ring %q", r.Name)
			}
			if err := written("corner", r.Points, false); err != nil {
				return err
			}
		}
	}
	return nil
}

// written returns an error for the first point whose numbers are not finite.
func written(what string, points []survey.Point, needZ bool) error {
	for i, p := range points {
		if !(math.Abs(p.X) <= input.LargestNumber) || !(math.Abs(p.Y) <= input.LargestNumber) || math.Abs(p.Z) > input.LargestNumber || needZ && !p.HasZ() {
			return &survey.Error{Pos: p.At(), Element: fmt.Sprintf("%s %d", what, i+1), Found: fmt.Sprintf("%g east, %g north, %g up", p.X, p.Y, p.Z), Want: "finite numbers"}
		}
	}
	return nil
}

// xmlWriter ignores errors: the buffered writer keeps the first.
type xmlWriter struct{ b *bufio.Writer }

func (x *xmlWriter) raw(s string) { x.b.WriteString(s) }

func (x *xmlWriter) attr(name, value string) {
	x.raw(" " + name + `="`)
	xml.EscapeText(x.b, []byte(value))
	x.raw(`"`)
}

func (x *xmlWriter) number(v float64) {
	x.b.Write(strconv.AppendFloat(x.b.AvailableBuffer(), v, 'f', -1, 64))
}

// id writes the id of a vertex.
func (x *xmlWriter) id(v int32) {
	x.b.Write(strconv.AppendInt(x.b.AvailableBuffer(), int64(v)+1, 10))
}

// place writes northing, easting and, if withZ, elevation.
func (x *xmlWriter) place(p survey.Point, withZ bool) {
	x.number(p.Y)
	x.raw(" ")
	x.number(p.X)
	if withZ {
		x.raw(" ")
		x.number(p.Z)
	}
}

func (x *xmlWriter) list(points []survey.Point, close, withZ bool) {
	name := "PntList2D"
	if withZ {
		name = "PntList3D"
	}
	x.raw("<" + name + ">")
	for i, p := range points {
		if i > 0 {
			x.raw(" ")
		}
		x.place(p, withZ)
	}
	if close {
		x.raw(" ")
		x.place(points[0], withZ)
	}
	x.raw("</" + name + ">")
}

// extent returns the plan area of the faces and their lowest and highest corner.
func extent(s *survey.Surface) (area, lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, f := range s.Faces {
		a, b, c := &s.Vertices[f[0]], &s.Vertices[f[1]], &s.Vertices[f[2]]
		area += math.Abs((b.X-a.X)*(c.Y-a.Y)-(b.Y-a.Y)*(c.X-a.X)) / 2
		lo, hi = min(lo, a.Z, b.Z, c.Z), max(hi, a.Z, b.Z, c.Z)
	}
	return area, lo, hi
}

func (x *xmlWriter) surface(s *survey.Surface) {
	x.raw("    <Surface")
	x.attr("name", s.Name)
	x.raw(">\n")
	if len(s.Points)+len(s.Breaklines)+len(s.Rings) > 0 {
		x.source(s)
	}
	x.raw(`      <Definition surfType="TIN"`)
	area, lo, hi := extent(s)
	for _, v := range []struct {
		name  string
		value float64
	}{{"area2DSurf", area}, {"elevMax", hi}, {"elevMin", lo}} {
		x.raw(" " + v.name + `="`)
		x.number(v.value)
		x.raw(`"`)
	}
	x.raw(">\n        <Pnts>\n")
	for i, p := range s.Vertices {
		x.raw(`          <P id="`)
		x.id(int32(i))
		x.raw(`">`)
		x.place(p, true)
		x.raw("</P>\n")
	}
	x.raw("        </Pnts>\n        <Faces>\n")
	for _, f := range s.Faces {
		x.raw("          <F>")
		x.id(f[0])
		x.raw(" ")
		x.id(f[1])
		x.raw(" ")
		x.id(f[2])
		x.raw("</F>\n")
	}
	x.raw("        </Faces>\n      </Definition>\n    </Surface>\n")
}

func (x *xmlWriter) source(s *survey.Surface) {
	x.raw("      <SourceData>\n")
	if len(s.Points) > 0 {
		x.raw("        <DataPoints>")
		x.list(s.Points, false, true)
		x.raw("</DataPoints>\n")
	}
	if len(s.Breaklines) > 0 {
		x.raw("        <Breaklines>\n")
		for _, l := range s.Breaklines {
			withZ := l.Points[0].HasZ()
			x.raw(`          <Breakline brkType="standard"`)
			x.attr("name", l.Name)
			x.raw(">")
			x.list(l.Points, false, withZ)
			x.raw("</Breakline>\n")
		}
		x.raw("        </Breaklines>\n")
	}
	if len(s.Rings) > 0 {
		x.raw("        <Boundaries>\n")
		for _, r := range s.Rings {
			kind := "outer"
			if r.Kind == survey.Hole {
				kind = "void"
			}
			x.raw(`          <Boundary bndType="` + kind + `" edgeTrim="true"`)
			x.attr("name", r.Name)
			x.raw(">")
			x.list(r.Points, true, false)
			x.raw("</Boundary>\n")
		}
		x.raw("        </Boundaries>\n")
	}
	x.raw("      </SourceData>\n")
}
