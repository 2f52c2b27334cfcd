// Package falls builds the target of a floor that falls to drains and channels, as a surface of
// triangles inside its walls. The fall is even everywhere, along the shortest way to a drain
// that stays inside the walls, or the walls are level and the floor is straight from each
// place at a wall to its drain. Either way each place has one drain, and the floor drains.
package falls

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
)

// Drain is what a floor falls to: a point, or a channel, which is level along its length.
type Drain struct {
	Name    string
	At      surface.Vec
	Channel bool
	To      surface.Vec // the other end of a channel
	Z       float64     // m, NaN if the level of the walls decides
}

// Ends returns the place of a drain, or both ends of a channel.
func (d Drain) Ends() []surface.Vec {
	if d.Channel {
		return []surface.Vec{d.At, d.To}
	}
	return []surface.Vec{d.At}
}

// Ask is what is wanted of a floor.
type Ask struct {
	Floor  *surface.Floor
	Drains []Drain
	Fall   float64 // rise over run
	Level  bool    // level walls; else an even fall
	Top    float64 // m: walls are level at it, or with an even fall nowhere above it; NaN: not given
}

// Place is a place of the surface.
type Place struct {
	At surface.Vec
	Z  float64 // m
}

// Served is the part of a floor that falls to one drain. A drain in the thickness of a wall is
// at the nearest place of the floor.
type Served struct {
	Drain
	Area      float64 // m²
	Farthest  float64 // m, the longest way to the drain
	LeastFall float64 // rise over run, along the way to the drain
	LeastAt   surface.Vec
	Highest   Place // at a wall
}

// Crease is a line along which two facets of the surface meet that is worth a line on a
// drawing.
type Crease struct {
	Valley bool
	Points []Place
}

// Built is a surface that falls to drains.
type Built struct {
	Floor   *surface.Floor
	Served  []Served // in the order of the drains asked for
	Highest Place    // at a wall
	Lowest  Place    // at a wall
	Creases []Crease
	Fall    float64 // rise over run, of an even fall; 0: the walls are level

	cells *cells
	form  form
}

// form is the shape of a surface that falls to drains.
type form struct {
	sources []source
	level   bool
	fall    float64
	base    float64 // m: elevation of the level of reference, for an even fall
	top     float64
	z       []float64 // per drain
}

func (f *form) up(i int, r, end float64) float64 {
	s := &f.sources[i]
	if !f.level {
		return f.base + float64(f.fall*(s.w+r))
	}
	z := f.z[s.drain]
	if r == end {
		return f.top
	}
	return z + float64((f.top-z)*(r/end))
}

func (f *form) plane(i int) bool { return f.sources[i].strip && !f.level }

// Build returns the surface of a floor that falls to drains. Errors are [*survey.Error]; those
// that follow from the levels hold a [*TooHigh], a [*TooFlat], a [*Hidden] or a [*Dry].
func Build(a Ask) (*Built, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	w := wallsOf(a.Floor)
	drains, err := a.settle(w)
	if err != nil {
		return nil, err
	}
	f := form{level: a.Level, fall: a.Fall, top: a.Top}
	base := math.Inf(1)
	for _, d := range drains {
		base = min(base, d.Z)
	}
	known := !math.IsNaN(base)
	way := func(d *settled) float64 {
		if a.Level || !known {
			return 0
		}
		return (d.Z - base) / a.Fall
	}
	sources := w.spread(sourcesOf(w, drains, way))
	if err := a.reached(w, sources); err != nil {
		return nil, err
	}
	if err := a.undercut(w, drains, sources); err != nil {
		return nil, err
	}
	c := w.divide(sources)
	f.sources = sources
	b := &Built{cells: c, Served: make([]Served, len(drains))}
	b.measure(drains)
	if a.Level {
		err = a.levelWalls(b, &f, drains)
	} else {
		b.Fall = a.Fall
		err = a.evenFall(b, &f, base)
	}
	if err != nil {
		return nil, err
	}
	b.form = f
	m := newMesh(c, &b.form, 0)
	if b.Floor, err = m.floor(); err != nil {
		return nil, err
	}
	b.levels(m, drains)
	return b, nil
}

// sourcesOf returns the drains as sources, each as far from the level of reference as way says.
func sourcesOf(w *walls, drains []settled, way func(*settled) float64) []source {
	var out []source
	point := func(i int, at vec, l float64, of span) {
		for _, open := range w.open(at) {
			for _, s := range open.both(of) {
				out = append(out, source{at: at, w: l, drain: i, corner: -1, span: s})
			}
		}
	}
	for i := range drains {
		d := &drains[i]
		l := way(d)
		if !d.Channel {
			point(i, d.at, l, span{0, 2 * math.Pi})
			continue
		}
		long := d.at.Distance(d.to)
		e := times(1/long, minus(d.to, d.at))
		n := vec{X: 0 - e.Y, Y: e.X}
		out = append(out, source{at: d.at, w: l, drain: i, corner: -1, strip: true, along: e, out: n, long: long})
		out = append(out, source{at: d.to, w: l, drain: i, corner: -1, strip: true, along: times(-1, e), out: times(-1, n), long: long})
		point(i, d.at, l, span{angle(n), math.Pi})
		point(i, d.to, l, span{angle(times(-1, n)), math.Pi})
	}
	return out
}

// measure finds the area that each drain serves and the longest way to it.
func (b *Built) measure(drains []settled) {
	area := make([]sum.Sum, len(drains))
	far := make([]place, len(drains))
	for i, s := range b.cells.sources {
		for _, p := range b.cells.pieces[i] {
			area[s.drain].Add(b.cells.areaOf(i, p))
			for _, q := range [2]float64{p.q0, p.q1} {
				r := p.at(&s, q)
				far[s.drain].farther(place{s.place(q, r), s.w + r})
			}
		}
	}
	for i := range drains {
		d := drains[i].Drain
		if d.At = b.cells.site(drains[i].at); d.Channel {
			d.To = b.cells.site(drains[i].to)
		}
		b.Served[i] = Served{Drain: d, Area: area[i].Value(), Farthest: far[i].way, LeastAt: b.cells.site(far[i].at)}
	}
}

// place is a place and the way from it to the level of reference.
type place struct {
	at  vec
	way float64
}

// farther replaces p by q if q is farther; of equal ones it takes the westernmost.
func (p *place) farther(q place) bool {
	const same = 1e-9
	if q.way > p.way+same || q.way > p.way-same && q.at.Less(p.at) {
		*p = q
		return true
	}
	return false
}

// areaOf returns the area between a piece and source i, m².
func (c *cells) areaOf(i int, p piece) float64 {
	s := &c.sources[i]
	if !s.strip && p.by < 0 {
		a, b := s.place(p.q0, p.at(s, p.q0)), s.place(p.q1, p.at(s, p.q1))
		return cross(minus(a, s.at), minus(b, s.at)) / 2
	}
	area := func(q0, q1 float64) float64 {
		mid, half := (q0+q1)/2, (q1-q0)/2
		total := 0.0
		// Gauss-Legendre with three places.
		for _, g := range [3][2]float64{{-math.Sqrt(0.6), 5. / 9}, {0, 8. / 9}, {math.Sqrt(0.6), 5. / 9}} {
			r := p.at(s, mid+g[0]*half)
			if !s.strip {
				r *= r / 2
			}
			total += g[1] * half * r
		}
		return total
	}
	var total sum.Sum
	var halve func(q0, q1, whole float64, depth int)
	halve = func(q0, q1, whole float64, depth int) {
		const deepest, exact = 30, 1e-9 // m²
		mid := (q0 + q1) / 2
		left, right := area(q0, mid), area(mid, q1)
		if math.Abs(left+right-whole) < exact || depth == deepest {
			total.Add(left)
			total.Add(right)
			return
		}
		halve(q0, mid, left, depth+1)
		halve(mid, q1, right, depth+1)
	}
	halve(p.q0, p.q1, area(p.q0, p.q1), 0)
	return total.Value()
}

// evenFall sets the elevations for an even fall from the drains of elevation base, or from the
// level of the walls.
func (a *Ask) evenFall(b *Built, f *form, base float64) error {
	top, drain := place{way: math.Inf(-1)}, 0
	b.cells.alongWalls(func(s *source, at vec, r float64) {
		if top.farther(place{at, s.w + r}) {
			drain = s.drain
		}
	})
	f.base = base
	if math.IsNaN(base) {
		f.base = a.Top - a.Fall*top.way
	}
	for i := range b.Served {
		s := &b.Served[i]
		s.LeastFall = a.Fall
		if math.IsNaN(s.Z) {
			s.Z = f.base
		}
	}
	if z := f.base + a.Fall*top.way; z > a.Top+1e-9 {
		return a.tooHigh(&b.Served[drain].Drain, b.cells.site(top.at), z)
	}
	return nil
}

// alongWalls calls visit with the ends of all pieces at walls.
func (c *cells) alongWalls(visit func(s *source, at vec, r float64)) {
	for i := range c.sources {
		s := &c.sources[i]
		for _, p := range c.pieces[i] {
			if p.by >= 0 || p.by == noLength {
				continue
			}
			for _, q := range [2]float64{p.q0, p.q1} {
				r := p.at(s, q)
				visit(s, s.place(q, r), r)
			}
		}
	}
}

// levelWalls sets the elevations for level walls.
func (a *Ask) levelWalls(b *Built, f *form, drains []settled) error {
	const least = 1e-6 // m²
	worst := place{way: math.Inf(-1)}
	var of int
	for i := range b.cells.sources {
		s := &b.cells.sources[i]
		if s.corner < 0 {
			continue
		}
		for _, p := range b.cells.pieces[i] {
			if b.cells.areaOf(i, p) < least {
				continue
			}
			q := (p.q0 + p.q1) / 2
			r := p.at(s, q)
			if worst.farther(place{s.place(q, r), s.w + r}) {
				of = s.drain
			}
		}
	}
	if !math.IsInf(worst.way, -1) {
		return a.hidden(&drains[of].Drain, b.cells.site(worst.at))
	}
	f.z = make([]float64, len(drains))
	for i := range b.Served {
		s := &b.Served[i]
		if math.IsNaN(s.Z) {
			s.Z = a.Top - a.Fall*s.Farthest
		}
		f.z[i] = s.Z
		s.LeastFall = (a.Top - s.Z) / s.Farthest
		if s.LeastFall < a.Fall*(1-1e-9) {
			return a.tooFlat(s)
		}
	}
	return nil
}

// levels finds the highest and lowest places at walls, and the creases, and puts the drains
// into the order that was asked for.
func (b *Built) levels(m *mesh, drains []settled) {
	high, low := place{way: math.Inf(-1)}, place{way: math.Inf(-1)}
	each := make([]place, len(drains))
	for i := range each {
		each[i].way = math.Inf(-1)
	}
	for i := range m.sources {
		s := &m.sources[i]
		for _, p := range m.pieces[i] {
			if p.by >= 0 || p.by == noLength {
				continue
			}
			for _, q := range [2]float64{p.q0, p.q1} {
				r := p.at(s, q)
				at := place{s.place(q, r), b.form.up(i, r, r)}
				high.farther(at)
				each[s.drain].farther(at)
			}
			q := m.lowestOn(s, p)
			r := p.at(s, q)
			low.farther(place{s.place(q, r), -b.form.up(i, r, r)})
		}
	}
	b.Highest, b.Lowest = Place{m.site(high.at), high.way}, Place{m.site(low.at), -low.way}
	served := make([]Served, len(drains))
	for i, s := range b.Served {
		s.Highest = Place{m.site(each[i].at), each[i].way}
		served[drains[i].order] = s
	}
	b.Served = served
	for k, line := range m.arcs {
		c := Crease{}
		for _, v := range line {
			c.Points = append(c.Points, m.placeOf(v))
		}
		if !m.smooth(m.arcOf[k]) {
			b.Creases = append(b.Creases, c)
		}
	}
	b.Creases = append(b.Creases, b.valleys(m)...)
}

// lowestOn returns the parameter of the shortest line of s to the piece p at a wall.
func (c *cells) lowestOn(s *source, p piece) float64 {
	if !s.strip {
		if q := turn(angle(c.edges[^p.by].out) - s.from); q > p.q0 && q < p.q1 {
			return q
		}
	}
	if p.at(s, p.q0) < p.at(s, p.q1) {
		return p.q0
	}
	return p.q1
}

func (m *mesh) placeOf(v int32) Place {
	x := &m.vertices[v]
	return Place{m.site(x.at), x.level - x.low}
}

// smooth reports whether the parts of two sources meet without a crease, as those at the end
// of a channel do.
func (m *mesh) smooth(of [2]int) bool {
	s, t := &m.sources[of[0]], &m.sources[of[1]]
	return s.drain == t.drain && s.corner < 0 && t.corner < 0 && (s.strip != t.strip)
}

// valleys returns the channels and, with level walls, the lines from the drains to the corners
// of their parts.
func (b *Built) valleys(m *mesh) []Crease {
	var out []Crease
	for i := range m.sources {
		s := &m.sources[i]
		if s.strip && (i == 0 || m.sources[i-1].drain != s.drain) {
			z := m.up(i, 0, 1)
			out = append(out, Crease{Valley: true, Points: []Place{{m.site(s.at), z}, {m.site(plus(s.at, times(s.long, s.along))), z}}})
		}
		if s.strip || !b.form.level {
			continue
		}
		for k, p := range m.pieces[i] {
			if k == 0 && s.wide < 2*math.Pi {
				continue
			}
			v, _ := m.ends(i, p)
			out = append(out, Crease{Valley: true, Points: []Place{m.placeOf(m.apex[i]), m.placeOf(v)}})
		}
	}
	return out
}

// inOrder sorts drains by place, so that no result depends on the order they come in.
func inOrder(d []settled) {
	slices.SortFunc(d, func(a, b settled) int {
		return cmp.Or(byPlace(a.at, b.at), byPlace(a.to, b.to), cmp.Compare(a.Name, b.Name))
	})
}
