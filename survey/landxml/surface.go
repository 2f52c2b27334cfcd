package landxml

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// surface reads a Surface.
func (l *reader) surface(e *element) error {
	s := survey.Surface{Name: e.get("name"), At: e.at, Declared: survey.Declared{Area2D: math.NaN(), Area3D: math.NaN(), ElevMin: math.NaN(), ElevMax: math.NaN()}}
	var faces *tinReader
	err := l.x.each(func(e *element) error {
		switch e.name {
		case "SourceData":
			return l.sourceData(&s)
		case "Definition":
			if faces != nil {
				return &survey.Error{Pos: e.at, Element: fmt.Sprintf("surface %q", s.Name), Found: "a second Definition", Want: "one: two surfaces are not merged"}
			}
			faces = &tinReader{l: l, s: &s}
			return faces.read(e)
		}
		return l.x.skip()
	})
	if err != nil {
		return err
	}
	if faces != nil {
		if err := faces.resolve(); err != nil {
			return err
		}
	}
	if len(s.Faces) == 0 && len(s.Points) == 0 && len(s.Breaklines) == 0 {
		found := "no data"
		if faces != nil && len(faces.from) > 0 {
			found = fmt.Sprintf("%d points and no faces", len(faces.from))
		}
		l.note(survey.Warning, s.At, "surface %q has %s, and is left out", s.Name, found)
		if l.empty == nil {
			l.empty = &survey.Error{Pos: s.At, Element: fmt.Sprintf("surface %q", s.Name), Found: found, Want: "faces, points or breaklines"}
		}
		return nil
	}
	l.s.Surfaces = append(l.s.Surfaces, s)
	return nil
}

// tinReader reads a Definition. Ids are names, not positions. Most files number from 1
// in order, and then no table is needed.
type tinReader struct {
	l       *reader
	s       *survey.Surface
	corners int // of a face: 3, or 4 for a grid

	xyz  []float64 // three per point; z is NaN without an elevation
	from []mark
	id   map[int32]int32 // nil while ids are 1, 2, 3 …
	ref  map[int32]string

	face   []int32 // corners by id
	faceAt []mark  // zero for an invisible face
}

// mark is a line and column, without the file name, to save memory for a million points.
type mark struct{ line, col int32 }

func (t *tinReader) pos(m mark) survey.Pos {
	return survey.Pos{File: t.l.file.File, Line: int(m.line), Col: int(m.col)}
}

func (t *tinReader) at(i int32) survey.Point {
	return survey.Point{X: t.xyz[3*i], Y: t.xyz[3*i+1], Z: t.xyz[3*i+2]}.With(survey.Tag{At: t.pos(t.from[i])})
}

func (t *tinReader) what() string { return "surface " + unit.Quote(t.s.Name) }

func (t *tinReader) read(e *element) error {
	switch kind := e.get("surfType"); {
	case strings.EqualFold(kind, "TIN"), kind == "":
		t.corners = 3
	case strings.EqualFold(kind, "grid"):
		t.corners = 4
	default:
		return &survey.Error{Pos: e.at, Element: "surfType of " + t.what(), Found: strconv.Quote(kind), Want: "TIN or grid"}
	}
	for name, to := range map[string]*float64{"area2DSurf": &t.s.Declared.Area2D, "area3DSurf": &t.s.Declared.Area3D, "elevMin": &t.s.Declared.ElevMin, "elevMax": &t.s.Declared.ElevMax} {
		if e.get(name) != "" {
			var err error
			if *to, err = t.l.attribute(e, name, name+" of "+t.what()); err != nil {
				return err
			}
		}
	}
	return t.l.x.each(func(e *element) error {
		switch e.name {
		case "Pnts":
			return t.l.x.eachBut(t.plainPoints(), t.point)
		case "Faces":
			return t.l.x.eachBut(t.plainFaces(), t.oneFace)
		}
		return t.l.x.skip()
	})
}

func (t *tinReader) point(e *element) error {
	if e.name != "P" {
		return t.l.x.skip()
	}
	text := e.get("id")
	id, ok := wholeNumber(text)
	if !ok {
		return &survey.Error{Pos: e.at, Element: "point id in " + t.what(), Found: strconv.Quote(text), Want: "a whole number"}
	}
	p, n, err := t.l.place(func() string { return "point id " + text + " of " + t.what() }, e)
	if err != nil {
		return err
	}
	if k, ok := t.index(id); ok {
		q := t.at(k)
		if q.X != p.X || q.Y != p.Y || q.Z != p.Z && q.HasZ() && p.HasZ() {
			return &survey.Error{Pos: e.at, Element: "point id " + text + " of " + t.what(), Found: "other coordinates than at " + q.At().String(), Want: "one place for one id"}
		}
		return nil
	}
	if n == 0 {
		if t.ref == nil {
			t.ref = map[int32]string{}
		}
		t.ref[int32(len(t.from))] = e.get("pntRef")
	}
	t.keep(id, p.X, p.Y, p.Z, e.at)
	return nil
}

// keep adds a point with a new id.
func (t *tinReader) keep(id int32, x, y, z float64, at survey.Pos) {
	i := int32(len(t.from))
	if t.id == nil && id != i+1 {
		t.id = make(map[int32]int32)
		for k := range i {
			t.id[k+1] = k
		}
	}
	if t.id != nil {
		t.id[id] = i
	}
	t.xyz = append(t.xyz, x, y, z)
	t.from = append(t.from, mark{int32(at.Line), int32(at.Col)})
}

// plainPoints returns a function that reads points without the decoder, several times
// faster, as long as they have the simplest form and new ids.
func (t *tinReader) plainPoints() func() {
	x := t.l.x
	begin, end := x.tags("P")
	begin = append(begin, ` id="`...)
	return func() {
		for {
			w := x.src.window()
			id, c, rest, ok := plainPoint(w, begin, end)
			if !ok {
				return
			}
			if _, there := t.index(id); there {
				return
			}
			t.keep(id, c[1], c[0], c[2], x.here())
			x.src.lo += len(w) - len(rest)
			x.report()
		}
	}
}

// plainFaces does the same for faces.
func (t *tinReader) plainFaces() func() {
	x := t.l.x
	begin, end := x.tags("F")
	return func() {
		for {
			w := x.src.window()
			ids, hidden, rest, ok := plainFace(w, begin, end, t.corners)
			if !ok {
				return
			}
			t.keepFace(ids[:t.corners], hidden, x.here())
			x.src.lo += len(w) - len(rest)
			x.report()
		}
	}
}

// keepFace adds a face. An invisible face takes a number, so that later faces are
// counted as in the file.
func (t *tinReader) keepFace(ids []int32, hidden bool, at survey.Pos) {
	t.face = append(t.face, ids...)
	if hidden {
		t.l.invisible++
		t.faceAt = append(t.faceAt, mark{})
		return
	}
	t.faceAt = append(t.faceAt, mark{int32(at.Line), int32(at.Col)})
}

func (t *tinReader) oneFace(e *element) error {
	if e.name != "F" {
		return t.l.x.skip()
	}
	var err error
	t.l.text, err = t.l.x.text(t.l.text[:0])
	if err != nil {
		return err
	}
	what := func() string { return fmt.Sprintf("face %d of %s", len(t.faceAt)+1, t.what()) }
	var ids [4]int32
	n := 0
	for rest := t.l.text; ; n++ {
		rest = bytes.TrimLeft(rest, " \t\r\n")
		if len(rest) == 0 {
			break
		}
		end := bytes.IndexAny(rest, " \t\r\n")
		if end < 0 {
			end = len(rest)
		}
		id, ok := wholeNumber(rest[:end])
		if !ok {
			return &survey.Error{Pos: e.at, Element: what(), Found: strconv.Quote(string(rest[:min(end, 40)])), Want: "the id of a point, a whole number"}
		}
		if n < t.corners {
			ids[n] = id
		}
		rest = rest[end:]
	}
	if n != t.corners {
		return &survey.Error{Pos: e.at, Element: what(), Found: fmt.Sprintf("%d points", n), Want: strconv.Itoa(t.corners)}
	}
	i := e.get("i")
	if spelt := strings.EqualFold(i, "true"); spelt {
		t.l.note(survey.Assumed, e.at, "%s: i=%q is read as i=\"1\", invisible", what(), i)
		i = "1"
	}
	t.keepFace(ids[:n], i == "1", e.at)
	return nil
}

// wholeNumber parses the digits of an id without copying them.
func wholeNumber[T string | []byte](b T) (int32, bool) {
	v := 0
	for i := range len(b) {
		if b[i] < '0' || b[i] > '9' || v > math.MaxInt32/10 {
			return 0, false
		}
		v = v*10 + int(b[i]-'0')
	}
	return int32(v), len(b) > 0 && v <= math.MaxInt32
}

// resolve turns ids into indices of the points that visible faces use.
func (t *tinReader) resolve() error {
	used := make([]int32, len(t.from)) // index in Vertices plus one
	n := len(t.faceAt)
	s := t.s
	s.Vertices = make([]survey.Point, 0, len(t.from))
	s.Faces = make([][3]int32, 0, n)
	s.FaceLine = make([]int32, 0, n)
	for f := range n {
		if t.faceAt[f] == (mark{}) {
			continue
		}
		at := t.pos(t.faceAt[f])
		what := func() string { return fmt.Sprintf("face %d of %s", f+1, t.what()) }
		ids := t.face[f*t.corners : (f+1)*t.corners]
		var corner [4]int32
		for k, id := range ids {
			i, ok := t.index(id)
			if !ok {
				return &survey.Error{Pos: at, Element: what(), Found: fmt.Sprintf("point id %d, which does not exist", id), Want: "the id of a point of this surface"}
			}
			for _, j := range corner[:k] {
				if i == j {
					return &survey.Error{Pos: at, Element: what(), Found: fmt.Sprintf("point id %d twice", id), Want: fmt.Sprintf("%d different points", t.corners)}
				}
			}
			corner[k] = i
		}
		for k, i := range corner[:t.corners] {
			if used[i] == 0 {
				if math.IsNaN(t.xyz[3*i+2]) && t.ref[i] == "" {
					return &survey.Error{Pos: t.pos(t.from[i]), Element: fmt.Sprintf("point id %d of %s", ids[k], t.what()),
						Found: fmt.Sprintf("no elevation, where face %d (%s) uses it", f+1, at), Want: "northing, easting and elevation"}
				}
				s.Vertices = append(s.Vertices, t.at(i))
				used[i] = int32(len(s.Vertices))
				if r := t.ref[i]; r != "" {
					v := &s.Vertices[used[i]-1]
					*v = v.Named(r) // resolved when all points are read
					v.Z = math.Inf(1)
				}
			}
			corner[k] = used[i] - 1
		}
		s.Faces = append(s.Faces, [3]int32(corner[:3]))
		s.FaceLine = append(s.FaceLine, t.faceAt[f].line)
		if t.corners == 4 {
			s.Faces = append(s.Faces, [3]int32{corner[0], corner[2], corner[3]})
			s.FaceLine = append(s.FaceLine, t.faceAt[f].line)
		}
	}
	if t.corners == 4 {
		t.l.note(survey.Assumed, s.At, "%s is a grid: each face of four points is cut along the diagonal from its first to its third", t.what())
	}
	if n > 0 && len(s.Faces) == 0 {
		return &survey.Error{Pos: s.At, Element: t.what(), Found: "no visible face", Want: "at least one"}
	}
	return nil
}

func (t *tinReader) index(id int32) (int32, bool) {
	if t.id == nil {
		return id - 1, id >= 1 && int(id) <= len(t.from)
	}
	i, ok := t.id[id]
	return i, ok
}

// sourceData reads the source data of a surface.
func (l *reader) sourceData(s *survey.Surface) error {
	return l.x.each(func(e *element) error {
		switch e.name {
		case "DataPoints":
			leave := donotinclude(e, false)
			if ref := e.get("pntRef"); ref != "" && !leave {
				s.Points = append(s.Points, survey.Point{Z: math.Inf(1)}.With(survey.Tag{Name: ref, Code: e.get("code"), At: e.at}))
			}
			return l.x.each(func(c *element) error {
				if c.name != "PntList3D" {
					return l.x.skip()
				}
				p, err := l.list(c, 3, "data points of surface "+unit.Quote(s.Name))
				if leave {
					for i := range p {
						l.note(survey.LeftOut, p[i].At(), "data point %d of surface %q is marked as not to be included", i+1, s.Name)
					}
					return err
				}
				if code := e.get("code"); code != "" && len(p) > 0 {
					coded := p[0].With(survey.Tag{Code: code, At: p[0].At()})
					for i := range p {
						p[i] = p[i].Like(coded)
					}
				}
				s.Points = append(s.Points, p...)
				return err
			})
		case "PointFiles":
			return l.x.each(func(c *element) error {
				if c.name == "PointFile" {
					l.others = append(l.others, c.get("fileName"))
				}
				return l.x.skip()
			})
		case "Breaklines":
			return l.x.each(func(c *element) error { return l.breakline(s, c) })
		case "Contours":
			return l.x.each(func(c *element) error { return l.contour(s, c) })
		case "Boundaries":
			return l.x.each(func(c *element) error { return l.boundary(s, c) })
		case "Chain":
			return l.chain(s, e)
		}
		return l.x.skip()
	})
}

// list reads a PntList with size numbers per point.
func (l *reader) list(e *element, size int, what string) ([]survey.Point, error) {
	c, err := l.coordinates(func() string { return what }, e)
	if err != nil {
		return nil, err
	}
	if len(c)%size != 0 || len(c) == 0 {
		return nil, &survey.Error{Pos: e.at, Element: what, Found: fmt.Sprintf("%d numbers", len(c)), Want: fmt.Sprintf("a multiple of %d", size)}
	}
	out := make([]survey.Point, 0, len(c)/size)
	p := survey.Point{Z: math.NaN()}.With(survey.Tag{At: e.at})
	for i := 0; i < len(c); i += size {
		if p.X, p.Y = c[i+1], c[i]; size == 3 {
			p.Z = c[i+2]
		}
		out = append(out, p)
	}
	return out, nil
}

// lists joins the PntLists of the element just opened.
func (l *reader) lists(what string) ([]survey.Point, error) {
	var out []survey.Point
	err := l.x.each(func(e *element) error {
		size := map[string]int{"PntList2D": 2, "PntList3D": 3}[e.name]
		if size == 0 {
			return l.x.skip()
		}
		p, err := l.list(e, size, what)
		out = append(out, p...)
		return err
	})
	return out, err
}

func (l *reader) breakline(s *survey.Surface, e *element) error {
	what := fmt.Sprintf("%s %s of surface %s", e.name, unit.Quote(e.get("name")), unit.Quote(s.Name))
	switch e.name {
	case "RetWall":
		l.note(survey.LeftOut, e.at, "%s is a retaining wall, no part of a floor", what)
		return l.x.skip()
	case "Breakline":
	default:
		return l.x.skip()
	}
	if kind := e.get("brkType"); kind != "" && !strings.EqualFold(kind, "standard") {
		l.note(survey.Assumed, e.at, "%s of type %q is kept as an edge like any other", what, kind)
	}
	p, err := l.lists(what)
	if err != nil {
		return err
	}
	if len(p) < 2 {
		return &survey.Error{Pos: e.at, Element: what, Found: fmt.Sprintf("%d points", len(p)), Want: "at least 2"}
	}
	if !p[0].HasZ() {
		l.note(survey.Assumed, e.at, "%s has no elevations: it is kept as a line where the floor may step", what)
	}
	s.Breaklines = append(s.Breaklines, survey.Breakline{Name: e.get("name"), Points: p, At: e.at})
	return nil
}

func (l *reader) contour(s *survey.Surface, e *element) error {
	if e.name != "Contour" {
		return l.x.skip()
	}
	what := "Contour of surface " + unit.Quote(s.Name)
	z, err := l.attribute(e, "elev", "elev of "+what)
	if err != nil {
		return err
	}
	p, err := l.lists(what)
	if err != nil {
		return err
	}
	for i := range p {
		p[i].Z = z
	}
	if len(p) < 2 {
		s.Points = append(s.Points, p...)
		return nil
	}
	s.Breaklines = append(s.Breaklines, survey.Breakline{Name: "contour " + e.get("elev"), Points: p, At: e.at})
	return nil
}

func (l *reader) boundary(s *survey.Surface, e *element) error {
	if e.name != "Boundary" {
		return l.x.skip()
	}
	what := fmt.Sprintf("Boundary %s of surface %s", unit.Quote(e.get("name")), unit.Quote(s.Name))
	r := survey.Ring{Name: e.get("name"), At: e.at}
	switch kind := e.get("bndType"); strings.ToLower(kind) {
	case "outer":
	case "void":
		r.Kind = survey.Hole
	case "island":
		l.note(survey.Assumed, e.at, "%s is an island: floor again inside a void", what)
	case "texture":
		return l.x.skip()
	default:
		return &survey.Error{Pos: e.at, Element: "bndType of " + what, Found: strconv.Quote(kind), Want: "outer, void or island"}
	}
	p, err := l.lists(what)
	if err != nil {
		return err
	}
	if len(p) > 0 && p[0].HasZ() {
		l.note(survey.Assumed, e.at, "%s has elevations: it limits the surface in plan, and they are not used", what)
	}
	for i := range p {
		p[i].Z = math.NaN() // the file does not state whether they are points of the surface
	}
	if trim := e.get("edgeTrim"); trim == "false" || trim == "0" {
		l.note(survey.Assumed, e.at, "%s asks for whole faces only (edgeTrim=%q): a surface made from its points is cut at the line all the same", what, trim)
	}
	if n := len(p); n > 1 && p[0].X == p[n-1].X && p[0].Y == p[n-1].Y {
		p = p[:n-1]
	}
	if len(p) < 3 {
		return &survey.Error{Pos: e.at, Element: what, Found: fmt.Sprintf("%d corners", len(p)), Want: "at least 3"}
	}
	r.Points = p
	s.Rings = append(s.Rings, r)
	return nil
}

// chain reads the names of CgPoints that form a breakline. They are looked up when all
// points are read.
func (l *reader) chain(s *survey.Surface, e *element) error {
	var err error
	l.text, err = l.x.text(l.text[:0])
	if err != nil {
		return err
	}
	b := survey.Breakline{Name: e.get("name"), At: e.at}
	for _, name := range strings.Fields(string(l.text)) {
		b.Points = append(b.Points, survey.Point{Z: math.Inf(1)}.With(survey.Tag{Name: name, At: e.at}))
	}
	if len(b.Points) < 2 {
		return &survey.Error{Pos: e.at, Element: "Chain", Found: fmt.Sprintf("%d names", len(b.Points)), Want: "at least 2"}
	}
	s.Breaklines = append(s.Breaklines, b)
	return nil
}

// resolveSurface fills in the references to CgPoints: points with an infinite elevation.
func (l *reader) resolveSurface(s *survey.Surface) error {
	if err := l.resolveAll(s.Vertices, true); err != nil {
		return err
	}
	if err := l.resolveAll(s.Points, true); err != nil {
		return err
	}
	if n := weld(s); n > 0 {
		l.note(survey.Assumed, s.At, "surface %q: %d vertices at the place of another, to the last digit, are joined with it", s.Name, n)
	}
	for _, points := range [][]survey.Point{s.Vertices, s.Points} {
		var z zeroLevels
		for i := range points {
			z.add(&points[i])
		}
		if z.stray(l.unit) {
			l.note(survey.Warning, z.first, "surface %q: elevation exactly 0, here and at %d points in all, where all others stay clear of it: where no level was taken, some programs write that", s.Name, z.n)
		}
	}
	for i := range s.Breaklines {
		if err := l.resolveAll(s.Breaklines[i].Points, false); err != nil {
			return err
		}
	}
	return nil
}

func (l *reader) resolveAll(points []survey.Point, needZ bool) error {
	for i := range points {
		p := &points[i]
		if !math.IsInf(p.Z, 1) {
			continue
		}
		j, err := l.named(p.Name(), 0, p.At())
		if err != nil {
			return err
		}
		q := l.points[j]
		if q.n == 0 || needZ && !q.HasZ() {
			return &survey.Error{Pos: p.At(), Element: "pntRef", Found: fmt.Sprintf("%q, a point without an elevation", p.Name()), Want: "a point with northing, easting and elevation"}
		}
		p.X, p.Y, p.Z = q.X, q.Y, q.Z
	}
	return nil
}
