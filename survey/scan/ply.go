package scan

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/internal/input"
	"pourplane/survey/internal/thin"
	"pourplane/survey/unit"
)

// ReadPLY reads a PLY file: ascii, binary_little_endian or binary_big_endian 1.0. name
// is used in messages and names the surface. The file is streamed. With o.Thin memory
// grows only with the squares of the grid.
//
// Properties x, y and z of the element vertex may have any scalar type and any position;
// other properties and elements are skipped. Without faces the result is Points. With
// faces (lists vertex_indices or vertex_index) it is one Surface. Faces of four corners
// are split from the first corner to the third; faces of more corners are refused. When
// points are thinned, faces are skipped.
//
// PLY states no unit: it is o.Unit, and None is an error.
//
// Errors are [*survey.Error], with line and column in the header and in ascii; in binary
// data the element names the row.
//
// Source: The PLY Polygon File Format, Turk 1994, known from its usual description; the
// type names int8 … float64 are later custom.
func ReadPLY(r io.Reader, name string, o survey.Options) (*survey.Survey, error) {
	if err := thin.Check(o.Thin); err != nil {
		return nil, err
	}
	p := &ply{r: input.Watch(r, o.Progress), s: &survey.Survey{Name: name, Order: "E N Z"}, o: o, file: survey.Pos{File: name}}
	p.tagged = survey.Point{}.With(survey.Tag{At: survey.Pos{File: p.file.File, Line: 1}})
	for _, step := range []func() error{p.header, p.units, p.body, p.finish} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return p.s, nil
}

// ply is a PLY file being read.
type ply struct {
	r    *bufio.Reader
	s    *survey.Survey
	o    survey.Options
	file survey.Pos
	line int // line in the header, then in an ascii body

	elements []*plyElement
	vertices int64 // number of vertices in the header

	values plyValues
	grid   *thin.Grid
	shots  []thin.Shot // not yet in the grid
	pts    []survey.Point
	tagged survey.Point // at no place
	faces  [][3]int32
	lines  []int32
	cut    int // faces of four corners that were split
}

// plyElement is an element of the header.
type plyElement struct {
	name       string
	rows       int64
	at         survey.Pos
	properties []plyProperty
}

// plyProperty is a property of an element. count is the type of the length of a list.
type plyProperty struct {
	name  string
	kind  plyType
	list  bool
	count plyType
}

// plyType is a scalar type.
type plyType uint8

const (
	plyInt8 plyType = iota
	plyUint8
	plyInt16
	plyUint16
	plyInt32
	plyUint32
	plyFloat32
	plyFloat64
)

var plyTypes = map[string]plyType{
	"char": plyInt8, "uchar": plyUint8, "short": plyInt16, "ushort": plyUint16, "int": plyInt32, "uint": plyUint32, "float": plyFloat32, "double": plyFloat64,
	"int8": plyInt8, "uint8": plyUint8, "int16": plyInt16, "uint16": plyUint16, "int32": plyInt32, "uint32": plyUint32, "float32": plyFloat32, "float64": plyFloat64,
}

// size returns the size of a value in bytes.
func (t plyType) size() int { return [...]int{1, 1, 2, 2, 4, 4, 4, 8}[t] }

// plyValues reads the values of a body, row by row. Errors name the element and its row
// n, counted from 1.
type plyValues interface {
	row(e *plyElement, n int64) error // goes to the next row
	value(p plyProperty, t plyType) (float64, error)
	skip(p plyProperty, n int64) error // skips n values of the type of p
	end() error                        // ends the row
	at() survey.Pos
	more() bool // whether data follows the last row
}

// header reads up to and including the line end_header.
func (p *ply) header() error {
	const most = 1 << 16 // bytes; a header of ten elements has a thousand
	read := 0
	for {
		b, err := p.r.ReadSlice('\n')
		if read += len(b); read > most || errors.Is(err, bufio.ErrBufferFull) {
			return &survey.Error{Pos: p.file, Element: "header", Found: fmt.Sprintf("no line end_header in the first %d bytes", most), Want: "a PLY file"}
		}
		if err == io.EOF {
			return &survey.Error{Pos: p.file, Element: "header", Found: "the end of the file", Want: "the line end_header", Err: io.ErrUnexpectedEOF}
		}
		if err != nil {
			return input.Unreadable(p.file.File, err)
		}
		p.line++
		text := strings.TrimRight(string(b), " \t\r\n")
		if p.line == 1 {
			if text != "ply" {
				return p.refuse(strconv.Quote(text[:min(len(text), 40)]), `"ply"`)
			}
			continue
		}
		words := strings.Fields(text)
		if len(words) == 0 {
			continue
		}
		switch words[0] {
		case "comment", "obj_info":
		case "format":
			err = p.formatLine(words)
		case "element":
			err = p.elementLine(words)
		case "property":
			err = p.propertyLine(words)
		case "end_header":
			return p.complete()
		default:
			err = p.refuse(strconv.Quote(words[0]), "format, element, property, comment, obj_info or end_header")
		}
		if err != nil {
			return err
		}
	}
}

// refuse returns an error in the current line of the header.
func (p *ply) refuse(found, want string) error {
	return &survey.Error{Pos: survey.Pos{File: p.file.File, Line: p.line}, Found: found, Want: want}
}

func (p *ply) formatLine(words []string) error {
	if len(words) == 3 && words[2] == "1.0" {
		switch words[1] {
		case "ascii":
			p.values = &plyText{p: p}
		case "binary_little_endian":
			p.values = &plyBinary{p: p, order: binary.LittleEndian}
		case "binary_big_endian":
			p.values = &plyBinary{p: p, order: binary.BigEndian}
		}
		if p.values != nil {
			p.s.Format = "PLY " + words[1]
			return nil
		}
	}
	return p.refuse(strconv.Quote(strings.Join(words, " ")), "format ascii 1.0, binary_little_endian 1.0 or binary_big_endian 1.0")
}

func (p *ply) elementLine(words []string) error {
	if len(words) == 3 {
		if n, err := strconv.ParseInt(words[2], 10, 64); err == nil && n >= 0 {
			for _, e := range p.elements {
				if e.name == words[1] {
					return p.refuse("element "+e.name+" once more", "each element once")
				}
			}
			p.elements = append(p.elements, &plyElement{name: words[1], rows: n, at: survey.Pos{File: p.file.File, Line: p.line}})
			return nil
		}
	}
	return p.refuse(strconv.Quote(strings.Join(words, " ")), "element, a name and a count")
}

func (p *ply) propertyLine(words []string) error {
	if len(p.elements) == 0 {
		return p.refuse("a property before any element", "an element first")
	}
	e := p.elements[len(p.elements)-1]
	var q plyProperty
	kind := ""
	switch {
	case len(words) == 5 && words[1] == "list":
		count, ok := plyTypes[words[2]]
		if !ok || count >= plyFloat32 {
			return p.refuse(fmt.Sprintf("type %q", words[2]), "a type of whole numbers for the length of a list")
		}
		q, kind = plyProperty{name: words[4], list: true, count: count}, words[3]
	case len(words) == 3 && words[1] != "list":
		q, kind = plyProperty{name: words[2]}, words[1]
	default:
		return p.refuse(strconv.Quote(strings.Join(words, " ")), "property, a type and a name, or property list, two types and a name")
	}
	var ok bool
	if q.kind, ok = plyTypes[kind]; !ok {
		return p.refuse(fmt.Sprintf("type %q", kind), "char, uchar, short, ushort, int, uint, float or double, or int8 to float64")
	}
	e.properties = append(e.properties, q)
	return nil
}

// complete checks the header as a whole.
func (p *ply) complete() error {
	if p.values == nil {
		return &survey.Error{Pos: p.file, Element: "header", Found: "no line format", Want: "format ascii 1.0, binary_little_endian 1.0 or binary_big_endian 1.0"}
	}
	for _, e := range p.elements {
		if e.name == "vertex" {
			p.vertices = e.rows
		}
		if len(e.properties) == 0 && e.rows > 0 {
			return &survey.Error{Pos: e.at, Element: "element " + e.name, Found: "no property", Want: "at least one"}
		}
		seen := map[string]bool{}
		for _, q := range e.properties {
			if seen[q.name] {
				return &survey.Error{Pos: e.at, Element: "element " + e.name, Found: fmt.Sprintf("two properties %q", q.name), Want: "each name once"}
			}
			if e.name == "vertex" || !q.list {
				seen[q.name] = true
			}
		}
		if e.name != "vertex" {
			continue
		}
		for _, axis := range []string{"x", "y", "z"} {
			if !seen[axis] {
				return &survey.Error{Pos: e.at, Element: "element vertex", Found: "no property " + axis, Want: "x, y and z"}
			}
		}
		for _, q := range e.properties {
			if _, ok := axis(q.name); ok && q.list {
				return &survey.Error{Pos: e.at, Element: "element vertex", Found: "a list " + q.name, Want: "one number"}
			}
		}
	}
	if p.vertices == 0 {
		return &survey.Error{Pos: p.file, Element: "header", Found: "no vertices", Want: "an element vertex with a count above 0"}
	}
	return nil
}

// axis returns the coordinate that a property is.
func axis(name string) (int, bool) {
	switch name {
	case "x":
		return 0, true
	case "y":
		return 1, true
	case "z":
		return 2, true
	}
	return 0, false
}

func (p *ply) units() error {
	if p.o.Unit == unit.None {
		return (&survey.Error{Pos: p.file, Found: "coordinates without a unit", Want: "a unit: PLY files state none"}).Hinting(survey.AskUnit)
	}
	p.s.Unit, p.s.Plan = p.o.Unit, p.o.Unit
	if p.o.Thin.Cell > 0 {
		p.grid = thin.New(p.o.Thin, p.s.Name)
	}
	return nil
}

// body reads the rows of all elements.
func (p *ply) body() error {
	for _, e := range p.elements {
		if r, ok := p.fixed(e); ok {
			if err := r.read(); err != nil {
				return err
			}
			continue
		}
		read := p.other
		switch e.name {
		case "vertex":
			read = p.vertex
		case "face":
			read = p.face
		}
		for n := range e.rows {
			if err := p.values.row(e, n+1); err != nil {
				return err
			}
			if err := read(e, n+1); err != nil {
				return err
			}
			if err := p.values.end(); err != nil {
				return err
			}
		}
	}
	return nil
}

// row names a row in messages.
func (e *plyElement) row(n int64) string { return fmt.Sprintf("%s %d of %d", e.name, n, e.rows) }

// length reads the length of a list.
func (p *ply) length(e *plyElement, n int64, q plyProperty) (int64, error) {
	v, err := p.values.value(q, q.count)
	if err == nil && !(v >= 0 && v <= math.MaxUint32 && v == math.Trunc(v)) {
		err = &survey.Error{Pos: p.values.at(), Element: e.row(n), Found: fmt.Sprintf("a list %s of %g values", q.name, v), Want: "a length of 0 or more"}
	}
	return int64(v), err
}

// skip skips one property.
func (p *ply) skip(e *plyElement, n int64, q plyProperty) error {
	many := int64(1)
	if q.list {
		var err error
		if many, err = p.length(e, n, q); err != nil {
			return err
		}
	}
	return p.values.skip(q, many)
}

// other skips a row.
func (p *ply) other(e *plyElement, n int64) error {
	for _, q := range e.properties {
		if err := p.skip(e, n, q); err != nil {
			return err
		}
	}
	return nil
}

// vertex reads a row of the element vertex.
func (p *ply) vertex(e *plyElement, n int64) error {
	var v [3]float64
	at := p.values.at()
	for _, q := range e.properties {
		k, ok := axis(q.name)
		if !ok {
			if err := p.skip(e, n, q); err != nil {
				return err
			}
			continue
		}
		c, err := p.values.value(q, q.kind)
		if err != nil {
			return err
		}
		if v[k] = p.s.Unit.ToMetres(c); math.IsNaN(v[k]) || math.IsInf(v[k], 0) {
			return &survey.Error{Pos: p.values.at(), Element: e.row(n), Found: fmt.Sprintf("%s %g", q.name, c), Want: "a finite number"}
		}
	}
	at.Col = 0
	if p.grid == nil {
		one := p.tagged.OnLine(at.Line)
		one.X, one.Y, one.Z = v[0], v[1], v[2]
		p.pts = append(p.pts, one)
		return nil
	}
	shot := thin.Shot{X: v[0], Y: v[1], Z: v[2], Line: at.Line}
	if !shot.Near() {
		return thin.TooFar(at, e.row(n), v[0], v[1], v[2])
	}
	if p.shots = append(p.shots, shot); len(p.shots) == shotsAtOnce {
		p.grid.AddAll(p.shots)
		p.shots = p.shots[:0]
	}
	return nil
}

// face reads a row of the element face.
func (p *ply) face(e *plyElement, n int64) error {
	for _, q := range e.properties {
		if p.grid != nil || !q.list || q.name != "vertex_indices" && q.name != "vertex_index" {
			if err := p.skip(e, n, q); err != nil {
				return err
			}
			continue
		}
		corners, err := p.length(e, n, q)
		if err != nil {
			return err
		}
		if corners < 3 || corners > 4 {
			return &survey.Error{Pos: p.values.at(), Element: e.row(n), Found: fmt.Sprintf("%d corners", corners), Want: "3 or 4", Hint: "save the surface as triangles"}
		}
		var c [4]int32
		for i := range corners {
			v, err := p.values.value(q, q.kind)
			if err != nil {
				return err
			}
			if !(v >= 0 && v < float64(p.vertices) && v <= math.MaxInt32 && v == math.Trunc(v)) {
				return &survey.Error{Pos: p.values.at(), Element: e.row(n), Found: fmt.Sprintf("vertex %g", v), Want: fmt.Sprintf("0 to %d", p.vertices-1)}
			}
			c[i] = int32(v)
		}
		line := int32(p.values.at().Line)
		p.faces, p.lines = append(p.faces, [3]int32(c[:3])), append(p.lines, line)
		if corners == 4 {
			p.faces, p.lines = append(p.faces, [3]int32{c[0], c[2], c[3]}), append(p.lines, line)
			p.cut++
		}
	}
	return nil
}

// finish returns points or a surface.
func (p *ply) finish() error {
	note := func(k survey.NoteKind, format string, args ...any) {
		p.s.Notes = append(p.s.Notes, survey.Notef(k, p.file, format, args...))
	}
	note(survey.Assumed, "PLY states no unit: coordinates taken as %s", p.s.Unit)
	if p.values.more() {
		p.s.Notes = append(p.s.Notes, survey.Notef(survey.Warning, p.file, "the file goes on after the rows that its header promises: they are not read").About(survey.AboutOrder))
	}
	if p.cut > 0 {
		note(survey.Assumed, "%d faces of four corners cut from the first corner to the third", p.cut)
	}
	switch {
	case p.grid != nil:
		p.grid.AddAll(p.shots)
		p.s.Rows = p.grid.Seen
		p.grid.Into(p.s, p.o.Cells)
		for _, e := range p.elements {
			if e.name == "face" && e.rows > 0 {
				note(survey.Assumed, "%d faces are not used, since the points are thinned", e.rows)
			}
		}
	case len(p.faces) == 0:
		p.s.Rows, p.s.Points = len(p.pts), p.pts
	default:
		u := survey.Surface{Name: strings.TrimSuffix(filepath.Base(p.s.Name), filepath.Ext(p.s.Name)), At: p.file, Vertices: p.pts, Faces: p.faces,
			Declared: survey.Declared{Area2D: math.NaN(), Area3D: math.NaN(), ElevMin: math.NaN(), ElevMax: math.NaN()}}
		if _, ascii := p.values.(*plyText); ascii {
			u.FaceLine = p.lines
		}
		p.s.Surfaces = []survey.Surface{u}
	}
	return nil
}

// plyBinary reads the values of a binary body.
type plyBinary struct {
	p     *ply
	order binary.ByteOrder
	e     *plyElement
	n     int64
}

func (b *plyBinary) row(e *plyElement, n int64) error {
	b.e, b.n = e, n
	return nil
}

func (b *plyBinary) end() error { return nil }

func (b *plyBinary) at() survey.Pos { return b.p.file }

func (b *plyBinary) more() bool {
	_, err := b.p.r.Peek(1)
	return err == nil
}

func (b *plyBinary) cut(err error) error {
	if !errors.Is(err, io.EOF) {
		return input.Unreadable(b.p.file.File, err)
	}
	return &survey.Error{Pos: b.p.file, Element: b.e.row(b.n), Found: "the end of the file", Want: "as many rows as the header promises", Err: io.ErrUnexpectedEOF}
}

func (b *plyBinary) value(_ plyProperty, t plyType) (float64, error) {
	size := t.size()
	c, err := b.p.r.Peek(size)
	if err != nil {
		return 0, b.cut(err)
	}
	v := t.value(c, b.order)
	b.p.r.Discard(size)
	return v, nil
}

func (b *plyBinary) skip(q plyProperty, n int64) error {
	// Discard takes an int, which may have only 32 bits.
	for left := n * int64(q.kind.size()); left > 0; {
		some, err := b.p.r.Discard(int(min(left, math.MaxInt32)))
		if err != nil {
			return b.cut(err)
		}
		left -= int64(some)
	}
	return nil
}
