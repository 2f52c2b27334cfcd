package plot

import (
	"cmp"
	"fmt"
	"image"
	"image/color"
	"math"
	"slices"
	"strings"

	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// DepthMap is the floor in plan with its depth of fill in bands of colour,
// contour lines, shots, what is not poured, steps, and the finished floor next
// door. Depth is target less floor: positive is fill, negative is cut.
type DepthMap struct {
	Title   string
	Summary string // the main numbers, one line in bold
	Note    string // what was left out, what the outline rests on, …; lines end with \n

	Floor    *surface.Floor
	Target   surface.Plane
	Levels   []float64         // limits of the bands, m; nil: what [BandLimits] chooses
	Contours []surface.Contour // at Levels, and finer ones; nil: traced at Levels
	Finished []survey.Point    // adjoining finished floor
	Units    unit.Style
	Shots    bool // mark the shots and write their depths
	// Departure words the map as one of a finished floor: how far it stands above the
	// plane it should have, written with +, or lies below it, written with −. Levels stay
	// depths below the plane.
	Departure bool
	Marks     []Mark         // numbered places
	Drains    []survey.Point // where water leaves the floor
	Ringed    []survey.Point // shots to be looked at again

	unitWeight float64 // kg/m³; above 0 depths are worded as the load they make, see [LoadMap]
}

// Mark is a numbered place on a map, with the outline of what it stands for.
type Mark struct {
	Name  string
	At    surface.Vec
	Rings [][]surface.Vec
	Lines [][2]surface.Vec // such as a straightedge as it lies
}

// ContourMap is a DepthMap in lines alone, for black and white print.
type ContourMap DepthMap

// Draw draws the map onto c.
func (m *DepthMap) Draw(c draw.Canvas) error { return drawMap(m, c, true) }

// Height returns the height that gives the floor the whole width.
func (m *DepthMap) Height(width vg.Length) vg.Length { return mapHeight(m, width, true) }

func (m *DepthMap) heading() string { return m.header().heading() }

// Draw draws the map onto c.
func (m *ContourMap) Draw(c draw.Canvas) error { return drawMap((*DepthMap)(m), c, false) }

// Height returns the height that gives the floor the whole width.
func (m *ContourMap) Height(width vg.Length) vg.Length {
	return mapHeight((*DepthMap)(m), width, false)
}

func (m *ContourMap) heading() string { return (*DepthMap)(m).heading() }

func (m *DepthMap) header() header { return header{m.Title, m.Summary, m.Note} }

const (
	fewTriangles = 5000 // up to here bands are drawn as paths, above as an image
	oneLine      = 7    // cells of a line that crosses the lettering of a depth upright
	mostMarks    = 2000 // above, marks of shots would hide the floor
	imageDPI     = 200  // of bands drawn as an image in SVG and PDF
	axisRoom     = 34   // pt that an axis takes beside the map, about
)

func drawMap(m *DepthMap, c draw.Canvas, filled bool) error {
	if !drawable(m.Floor) {
		return ErrNoFloor
	}
	s := newSheet(m, filled)
	c = m.header().draw(c)
	s.finish = s.legendHeight(c.Size().X)
	lo, hi := s.reach()
	drawPlan(c, lo, hi, plan{units: m.Units, legend: s.finish, x: "x", y: "y"}, s)
	s.legend(draw.Crop(c, margin, -margin, margin/2, -(c.Size().Y - s.finish)))
	return nil
}

// drawable reports whether every region of f has triangles.
func drawable(f *surface.Floor) bool {
	return f != nil && len(f.Regions) > 0 && !slices.ContainsFunc(f.Regions, func(r surface.Region) bool {
		return r.TIN == nil || r.TIN.Len() == 0
	})
}

func mapHeight(m *DepthMap, width vg.Length, filled bool) vg.Length {
	if !drawable(m.Floor) {
		return m.header().height(width) + width
	}
	return newSheet(m, filled).height(width)
}

// height returns the height that gives the floor the whole width.
func (s *sheet) height(width vg.Length) vg.Length {
	lo, hi := s.reach()
	shape := (hi.Y - lo.Y) / (hi.X - lo.X)
	if !(shape > 0.35) {
		shape = 0.35
	}
	room := width - 2*margin - axisRoom
	return s.header().height(width) + room*vg.Length(min(shape, 1.4)) + axisRoom + s.legendHeight(width)
}

// sheet is a map while it is drawn.
type sheet struct {
	*DepthMap
	filled   bool
	fill     surface.Fill
	depths   [][]float64 // by region and vertex, m
	bands    *bands
	share    []float64 // of the area in each band that occurs
	contours []surface.Contour
	shots    int
	finished []survey.Point // those with an elevation and near the floor
	from     surface.Vec    // where the axes count from, in the unit of the axes
	finish   vg.Length      // height of the legend
	frame    frame          // known once the axes are
	labelled int            // shots with their depth written
}

func newSheet(m *DepthMap, filled bool) *sheet {
	s := &sheet{DepthMap: m, filled: filled}
	least, greatest := m.Floor.Depths(m.Target)
	limits := m.Levels
	if limits == nil {
		limits = BandLimits(m.Floor, m.Target, m.Units)
	}
	s.bands = newBands(limits, least, greatest)
	s.fill = m.Floor.To(m.Target, s.bands.limits[s.bands.first:s.bands.last])
	s.share = make([]float64, s.bands.last-s.bands.first+1)
	for i := range min(len(s.share), len(s.fill.Bands)) {
		s.share[i] = s.fill.Bands[i].Area / s.fill.Area
	}
	s.bands.list(s.share, greatest)
	s.contours = m.Contours
	for _, r := range m.Floor.Regions {
		d := r.TIN.Depths(m.Target)
		s.depths = append(s.depths, d)
		s.shots += len(r.Shots)
		if m.Contours == nil {
			s.contours = append(s.contours, r.TIN.Contours(d, s.bands.limits)...)
		}
	}
	lo, hi := m.Floor.Bounds()
	near := 0.3 * lo.Distance(hi) // farther away is no neighbour, and would shrink the map
	for _, p := range m.Finished {
		if p.HasZ() && p.X > lo.X-near && p.X < hi.X+near && p.Y > lo.Y-near && p.Y < hi.Y+near {
			s.finished = append(s.finished, p)
		}
	}
	return s
}

// reach returns the corners of what the axes must show, m: the floor, its
// neighbours, and some air.
func (s *sheet) reach() (lo, hi surface.Vec) {
	lo, hi = s.Floor.Bounds()
	for _, p := range s.finished {
		lo = surface.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = surface.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	air := 0.02 * max(hi.X-lo.X, hi.Y-lo.Y)
	if len(s.finished) > 0 {
		air *= 3.7 // their lettering stands outside the walls, on the narrowest picture too
	}
	return surface.Vec{X: lo.X - air, Y: lo.Y - air}, surface.Vec{X: hi.X + air, Y: hi.Y + air}
}

// bare writes a depth, the load it makes or the departure it is, without its unit, which
// the legend states.
func (s *sheet) bare(m float64) string {
	if s.unitWeight > 0 {
		return bareLoad(m*s.unitWeight, s.Units)
	}
	if s.Departure {
		m = -m
	}
	t := strings.TrimSuffix(strings.TrimSuffix(s.Units.Depth(m), " mm"), `"`)
	rest, below := strings.CutPrefix(t, "-")
	switch {
	case below:
		return "−" + rest
	case s.Departure && t != strings.TrimSuffix(strings.TrimSuffix(s.Units.Depth(0), " mm"), `"`):
		return "+" + t
	}
	return t
}

func (s *sheet) unitName() string {
	if s.unitWeight > 0 {
		return loadUnit(s.Units)
	}
	if s.Units.Imperial {
		return "inches"
	}
	return "mm"
}

// colorAt returns the colour of the ground at a depth.
func (s *sheet) colorAt(depth float64) color.NRGBA {
	if !s.filled {
		return white
	}
	return s.bands.color(depth)
}

func (s *sheet) setFrom(v surface.Vec) { s.from = v }

// Plot draws what lies between the axes.
func (s *sheet) Plot(c draw.Canvas, p *gonum.Plot) {
	s.frame = planFrame(c, p, s.Units, s.from)
	if s.filled {
		s.drawBands(c)
	}
	s.drawCut(c)
	s.drawOpenings(c)

	g := newGround(c.Rectangle)
	s.owners(g)
	lines := make([]measured, 0, len(s.contours))
	for _, k := range s.contours {
		lines = append(lines, measure(s.frame.onPage(k)))
	}
	s.drawWalls(g, walled)
	for _, o := range s.openings() {
		for _, l := range hatch([][]vg.Point{o}, 1, 1) {
			g.draw(l[:], taken)
		}
	}
	marked := s.Shots && s.shots <= mostMarks
	if marked {
		for _, r := range s.Floor.Regions {
			for _, q := range r.Shots {
				g.mark(box{centre: s.frame.at(surface.Vec{X: q.X, Y: q.Y}), w: 2, h: 2}, taken)
			}
		}
	}
	// Marks first, so that no label stands on another place's mark; then labels,
	// the most wanted first.
	for _, m := range s.Marks {
		for _, l := range s.outline(m) {
			g.draw(l, walled)
		}
	}
	names := s.placeNames(g)
	fall := s.placeFall(g, true, nil)
	plates := s.placeMarks(g)
	for _, l := range lines {
		g.draw(l.at, lined)
	}
	gaps := make([][]gap, len(lines))
	font := lettering(smallest, false, black)
	for i, k := range s.contours {
		if s.major(k.Level) {
			gaps[i] = g.gaps(lines[i], font.Width(s.bare(k.Level))+1, smallest)
		}
	}
	s.drawContours(c, lines, gaps)
	s.drawEdges(c)
	if marked {
		s.drawWalls(g, taken) // a depth stands on the side of the wall where its shot is
		s.drawShots(c, g)
	}
	s.drawMarks(c)
	for _, d := range s.drains() {
		drainSign(c, s.frame.at(surface.Vec{X: d.X, Y: d.Y}))
	}
	if fall != nil {
		fall.draw(c)
	}
	for _, n := range names {
		n.draw(c)
	}
	s.drawPlates(c, plates)
}

// outline returns the lines of a numbered place on the page.
func (s *sheet) outline(m Mark) [][]vg.Point {
	var out [][]vg.Point
	for _, r := range m.Rings {
		var at []vg.Point
		for i := range len(r) + 1 {
			at = append(at, s.frame.at(r[i%len(r)]))
		}
		out = append(out, at)
	}
	for _, l := range m.Lines {
		out = append(out, []vg.Point{s.frame.at(l[0]), s.frame.at(l[1])})
	}
	return out
}

// drawMarks draws the outlines of the numbered places.
func (s *sheet) drawMarks(c draw.Canvas) {
	for _, m := range s.Marks {
		var outline vg.Path
		for _, l := range s.outline(m) {
			for i, p := range l {
				if i == 0 {
					outline.Move(p)
				} else {
					outline.Line(p)
				}
			}
		}
		stroke(c, outline, 3, white)
		stroke(c, outline, 1.4, alarm)
	}
}

const plateTall = 9.6 // pt, of the number of a place

// placeMarks finds room for the numbers of the places: beside each, or where others
// stand already farther off, to which a line leads.
func (s *sheet) placeMarks(g *ground) []box {
	style := lettering(8, true, black)
	var out []box
	for _, m := range s.Marks {
		at := s.frame.at(m.At)
		b := box{centre: at, w: style.Width(m.Name) + 4, h: plateTall}
		for _, r := range []vg.Length{2, 5, 9, 14, 20, 28, 38, 50} {
			if centre, ok := g.beside(at, r, b.w, b.h, math.MaxInt-1, at); ok {
				b.centre = centre
				break
			}
		}
		out = append(out, b)
	}
	return out
}

// drawPlates writes the numbers of the places.
func (s *sheet) drawPlates(c draw.Canvas, plates []box) {
	style := lettering(8, true, black)
	for i, b := range plates {
		half := vg.Point{X: b.w / 2, Y: b.h / 2}
		at := s.frame.at(s.Marks[i].At)
		to := vg.Point{X: min(max(at.X, b.centre.X-half.X), b.centre.X+half.X), Y: min(max(at.Y, b.centre.Y-half.Y), b.centre.Y+half.Y)}
		const near = 8 // pt: closer, it is plain what is meant
		if math.Hypot(float64(to.X-at.X), float64(to.Y-at.Y)) > near {
			var lead vg.Path
			lead.Move(at)
			lead.Line(to)
			stroke(c, lead, 0.8, alarm)
		}
		plate := vg.Rectangle{Min: b.centre.Sub(half), Max: b.centre.Add(half)}.Path()
		c.SetColor(white)
		c.Fill(plate)
		stroke(c, plate, 0.8, alarm)
		write(c, style, b.centre, 0.5, s.Marks[i].Name)
	}
}

// drawWalls marks the edges of the floor and its steps.
func (s *sheet) drawWalls(g *ground, with uint8) {
	for _, r := range s.Floor.Regions {
		for _, ring := range r.Rings {
			var at []vg.Point
			for i := range len(ring) + 1 {
				at = append(at, s.frame.at(ring[i%len(ring)]))
			}
			g.draw(at, with)
		}
	}
}

// drawBands fills the floor with the colour of its shallowest band and lays the
// deeper ones over it, each down to the deepest, so that no ground shines through
// between neighbours.
func (s *sheet) drawBands(c draw.Canvas) {
	triangles := 0
	for _, r := range s.Floor.Regions {
		triangles += r.TIN.Len()
	}
	if triangles > fewTriangles {
		s.drawImage(c)
		return
	}
	for i := s.bands.first; i <= s.bands.last; i++ {
		level := math.Inf(-1)
		if i > s.bands.first {
			level = s.bands.limits[i-1]
		}
		var path vg.Path
		for k, r := range s.Floor.Regions {
			path = append(path, above(r.TIN, s.depths[k], s.frame.vertices(r.TIN), level)...)
		}
		c.SetColor(s.bands.colors[i])
		c.Fill(path)
	}
}

// drawImage draws the bands pixel by pixel, at the pixels of the picture itself
// where it has some.
func (s *sheet) drawImage(c draw.Canvas) {
	dpi := float64(imageDPI)
	if d, ok := c.Canvas.(interface{ DPI() float64 }); ok {
		dpi = d.DPI()
	}
	lo, hi := s.Floor.Bounds()
	a, b := s.frame.at(lo), s.frame.at(hi)
	per := vg.Length(72 / dpi)
	down := func(v vg.Length) int { return int(math.Floor(float64(v / per))) }
	x0, y0 := down(a.X), down(a.Y)
	w, h := down(b.X)+1-x0, down(b.Y)+1-y0
	r := vg.Rectangle{
		Min: vg.Point{X: vg.Length(x0) * per, Y: vg.Length(y0) * per},
		Max: vg.Point{X: vg.Length(x0+w) * per, Y: vg.Length(y0+h) * per},
	}
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for k, region := range s.Floor.Regions {
		paint(img, r, region.TIN, s.depths[k], s.frame.vertices(region.TIN), s.bands)
	}
	c.DrawImage(r, img)
}

// drawCut hatches what stands above the target, so that it shows without colour.
func (s *sheet) drawCut(c draw.Canvas) {
	if s.fill.Least >= 0 {
		return
	}
	var parts [][]vg.Point
	for k, r := range s.Floor.Regions {
		parts = append(parts, partsBelow(r.TIN, s.depths[k], s.frame.vertices(r.TIN), 0)...)
	}
	strokeAll(c, hatch(parts, 1, 4.5), 0.45, cutLine)
}

var (
	cutLine  = rgb(0x6e3208)
	voidLine = rgb(0x808080)
)

func strokeAll(c draw.Canvas, pieces [][2]vg.Point, width vg.Length, ink color.Color) {
	var path vg.Path
	for _, l := range pieces {
		path.Move(l[0])
		path.Line(l[1])
	}
	stroke(c, path, width, ink)
}

func stroke(c draw.Canvas, path vg.Path, width vg.Length, ink color.Color, dash ...vg.Length) {
	if len(path) == 0 {
		return
	}
	c.SetLineStyle(draw.LineStyle{Color: ink, Width: width, Dashes: dash})
	c.Stroke(path)
}

// openings returns what is not poured, on the page.
func (s *sheet) openings() [][]vg.Point {
	var out [][]vg.Point
	for _, o := range s.Floor.Openings {
		var at []vg.Point
		for _, v := range o {
			at = append(at, s.frame.at(v))
		}
		out = append(out, at)
	}
	return out
}

func (s *sheet) drawOpenings(c draw.Canvas) {
	strokeAll(c, hatch(s.openings(), -1, 3), 0.4, voidLine)
}

// major reports whether a contour is the limit of a band.
func (s *sheet) major(level float64) bool {
	return slices.ContainsFunc(s.bands.limits, func(l float64) bool { return math.Abs(l-level) < 1e-9 })
}

func (s *sheet) drawContours(c draw.Canvas, lines []measured, gaps [][]gap) {
	for i, k := range s.contours {
		width, ink := vg.Length(0.4), color.NRGBA{0, 0, 0, 150}
		if s.major(k.Level) {
			width, ink = 0.8, color.NRGBA{0, 0, 0, 215}
		}
		if k.Level == 0 && s.fill.Least < 0 && !s.Departure {
			width = 1.6 // where the target meets the floor
		}
		var dash []vg.Length
		if !s.filled && k.Level < 0 {
			dash = []vg.Length{3, 2}
		}
		var path vg.Path
		from := vg.Length(0)
		add := func(to vg.Length) {
			for j, p := range lines[i].between(from, to) {
				if j == 0 {
					path.Move(p)
				} else {
					path.Line(p)
				}
			}
		}
		for _, g := range gaps[i] {
			add(g.from)
			from = g.to
		}
		add(lines[i].length())
		stroke(c, path, width, ink, dash...)
		ground := s.colorAt(k.Level)
		for _, g := range gaps[i] {
			turned(c, lettering(smallest, false, on(ground)), g.label, s.bare(k.Level))
		}
	}
}

func (s *sheet) drawEdges(c draw.Canvas) {
	var rings, steps vg.Path
	for _, r := range s.Floor.Regions {
		rings = append(rings, s.frame.ringPath(r.Rings...)...)
	}
	rings = append(rings, s.frame.ringPath(s.Floor.Openings...)...)
	stroke(c, rings, 1.3, black)
	for _, e := range s.Floor.Steps {
		steps.Move(s.frame.at(e[0]))
		steps.Line(s.frame.at(e[1]))
	}
	strokeStep(c, steps)
}

// strokeStep draws a step as a black line with a broken white core, unlike any
// wall or contour.
func strokeStep(c draw.Canvas, path vg.Path) {
	stroke(c, path, 2.6, black)
	stroke(c, path, 1.2, white, 4, 3)
}

// dot returns a filled disc as a path.
func dot(p vg.Point, r vg.Length) vg.Path {
	var path vg.Path
	path.Move(vg.Point{X: p.X + r, Y: p.Y})
	path.Arc(p, r, 0, 2*math.Pi)
	path.Close()
	return path
}

// diamond returns the mark of a finished floor.
func diamond(p vg.Point, r vg.Length) vg.Path {
	var path vg.Path
	path.Move(vg.Point{X: p.X + r, Y: p.Y})
	path.Line(vg.Point{X: p.X, Y: p.Y + r})
	path.Line(vg.Point{X: p.X - r, Y: p.Y})
	path.Line(vg.Point{X: p.X, Y: p.Y - r})
	path.Close()
	return path
}

func (s *sheet) drawShots(c draw.Canvas, g *ground) {
	defer func() { g.only = 0 }()
	for i, r := range s.Floor.Regions {
		g.only = int32(i) + 1
		for _, q := range r.Shots {
			v := surface.Vec{X: q.X, Y: q.Y}
			depth := s.Target.Elevation(v) - q.Z
			at := s.frame.at(v)
			style := lettering(smallest, false, on(s.colorAt(depth)))
			c.SetColor(style.Color)
			c.Fill(dot(at, 0.9))
			text := s.bare(depth)
			if centre, ok := g.beside(at, 1.6, style.Width(text)+2.5, capHeight(style)+0.9, oneLine, at); ok {
				write(c, style, centre, 0.5, text)
				s.labelled++
			}
		}
	}
}

// owners notes in g which region each cell belongs to.
func (s *sheet) owners(g *ground) {
	order := make([]int, len(s.Floor.Regions))
	rings := make([][]vg.Point, len(order))
	size := make([]float64, len(order))
	for i, r := range s.Floor.Regions {
		order[i] = i
		ring := r.Rings[0]
		for k, v := range ring {
			w := ring[(k+1)%len(ring)]
			size[i] += (v.X-ring[0].X)*(w.Y-ring[0].Y) - (v.Y-ring[0].Y)*(w.X-ring[0].X)
			rings[i] = append(rings[i], s.frame.at(v))
		}
	}
	// A pit lies in an opening of its room: the smaller region comes last.
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(size[j], size[i]) })
	g.owner = make([]int32, len(g.cells))
	for _, i := range order {
		for _, l := range hatch([][]vg.Point{rings[i]}, 0, 0.5) {
			for x := l[0].X; x <= l[1].X; x += 0.5 {
				if k := g.index(vg.Point{X: x, Y: l[0].Y}); k >= 0 {
					g.owner[k] = int32(i) + 1
				}
			}
		}
	}
}

// regionAt returns which region a place lies in, from 1, near enough for lettering; 0: none.
func (s *sheet) regionAt(v surface.Vec) int32 {
	for i, r := range s.Floor.Regions {
		in := false
		for _, ring := range r.Rings {
			for k, a := range ring {
				b := ring[(k+1)%len(ring)]
				if (a.Y <= v.Y) != (b.Y <= v.Y) && a.X+(v.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) > v.X {
					in = !in
				}
			}
		}
		if in {
			return int32(i) + 1
		}
	}
	return 0
}

// name is a mark with its lettering on a plate.
type name struct {
	mark   vg.Point
	ring   bool // a ring round an extreme; a diamond on a finished floor otherwise
	doubt  bool // a wider ring in red round a shot to be looked at again
	plate  box
	text   string
	strong bool
	// clearOf is what the lettering should stand away from, room permitting.
	clearOf vg.Point
}

func (n name) style() (size vg.Length, bold bool) {
	if n.strong {
		return 8.5, true
	}
	return smallest, true
}

func (n name) draw(c draw.Canvas) {
	ink := black
	switch {
	case n.doubt:
		ink = alarm
		stroke(c, dot(n.mark, doubtRing), 3, white)
		stroke(c, dot(n.mark, doubtRing), 1.4, alarm)
	case n.ring:
		stroke(c, dot(n.mark, 4), 2.6, white)
		stroke(c, dot(n.mark, 4), 1.2, black)
	default:
		c.SetColor(white)
		c.Fill(diamond(n.mark, 4.6))
		c.SetColor(black)
		c.Fill(diamond(n.mark, 3.2))
	}
	if n.text == "" {
		return
	}
	half := vg.Point{X: n.plate.w / 2, Y: n.plate.h / 2}
	c.SetColor(withAlpha(white, 225))
	c.Fill(vg.Rectangle{Min: n.plate.centre.Sub(half), Max: n.plate.centre.Add(half)}.Path())
	size, bold := n.style()
	write(c, lettering(size, bold, ink), n.plate.centre, 0.5, n.text)
}

const doubtRing = 6.2 // pt, clear of the ring round an extreme, which a doubtful shot often is

// extreme is a place of least or greatest depth and what is written there.
type extreme struct {
	v    surface.Vec
	text string
}

func (s *sheet) extremes() []extreme {
	f := &s.fill
	if s.unitWeight > 0 {
		return s.loadExtremes()
	}
	extremes := []extreme{{f.GreatestAt, "greatest " + s.Units.Depth(f.Greatest)}, {f.LeastAt, "least " + s.Units.DepthDown(f.Least)}}
	if s.Departure {
		extremes[0].text, extremes[1].text = "lowest: "+s.Words(f.Greatest), "highest: "+s.Words(f.Least)
	}
	if f.Greatest < 0 && !s.Departure {
		extremes[0].text = "least cut " + s.Units.Depth(-f.Greatest)
	}
	if f.Least < 0 && !s.Departure {
		extremes[1].text = "highest: cut " + s.Units.Depth(-f.Least)
	}
	if f.Greatest-f.Least < s.Units.Step()/2 && s.Departure {
		extremes = extremes[:1]
		extremes[0].text = "flat to " + s.Units.Depth(s.Units.Step())
	} else if f.Greatest-f.Least < s.Units.Step()/2 {
		extremes = extremes[:1]
		extremes[0].text = s.Units.Depth(f.Greatest) + " all over"
		if f.Greatest < 0 {
			extremes[0].text = "cut " + s.Units.Depth(-f.Greatest) + " all over"
		}
	}
	return extremes
}

// placeNames finds room for the lettering that is never left out: the extremes
// and the adjoining finished floor.
func (s *sheet) placeNames(g *ground) []name {
	lo, hi := s.Floor.Bounds()
	middle := s.frame.at(lo).Add(s.frame.at(hi)).Scale(0.5)
	var names []name
	add := func(n name) {
		if n.text == "" {
			names = append(names, n)
			return
		}
		size, bold := n.style()
		w, h := lettering(size, bold, black).Width(n.text)+3, size+1.5
		r := vg.Length(4.5)
		if n.doubt {
			r = doubtRing + 1
		}
		var centre vg.Point
		ok := false
		for _, more := range []vg.Length{0, 4, 9, 15} {
			if centre, ok = g.beside(n.mark, r+more, w, h, math.MaxInt-1, n.clearOf); ok {
				break
			}
		}
		if !ok {
			// No free place: over lesser marks, but inside the picture.
			centre = vg.Point{X: n.mark.X + r + w/2, Y: n.mark.Y}
			if right := g.min.X + vg.Length(g.w); centre.X+w/2 > right {
				centre.X = n.mark.X - r - w/2
			}
			g.mark(box{centre: centre, w: w, h: h}, taken)
		}
		n.plate = box{centre: centre, w: w, h: h}
		names = append(names, n)
	}
	extremes := s.extremes()
	at := func(v surface.Vec) vg.Point { return s.frame.at(v) }
	for _, e := range extremes {
		g.mark(box{centre: at(e.v), w: 9, h: 9}, taken)
	}
	for _, p := range s.finished {
		g.mark(box{centre: at(surface.Vec{X: p.X, Y: p.Y}), w: 8, h: 8}, taken)
	}
	for _, p := range s.drains() {
		g.mark(drainBox(at(surface.Vec{X: p.X, Y: p.Y})), taken)
	}
	for _, p := range s.Ringed {
		g.mark(box{centre: at(surface.Vec{X: p.X, Y: p.Y}), w: 2*doubtRing + 1, h: 2*doubtRing + 1}, taken)
	}
	for _, e := range extremes {
		add(name{mark: at(e.v), ring: true, text: e.text, strong: true, clearOf: at(e.v)})
	}
	for _, p := range s.finished {
		v := surface.Vec{X: p.X, Y: p.Y}
		off := p.Z - s.Target.Elevation(v)
		text := s.Units.Depth(math.Abs(off))
		switch {
		case s.Units.Depth(off) == s.Units.Depth(0):
		case off > 0:
			text = "+" + text
		default:
			text = "−" + text
		}
		add(name{mark: at(v), clearOf: middle, text: strings.TrimSpace(p.Name + " " + text)})
	}
	for _, p := range s.Ringed {
		v := at(surface.Vec{X: p.X, Y: p.Y})
		add(name{mark: v, doubt: true, strong: true, text: p.Name, clearOf: v})
	}
	return names
}

const (
	barRoom   = 48  // pt that the colour bar takes
	scaleRoom = 128 // pt wide, for scale bar and arrow
	scaleTall = 44  // pt high
)

func (s *sheet) legendHeight(page vg.Length) vg.Length {
	h := entriesHeight(s.legendEntries(page-2*margin), page)
	if s.filled {
		h += barRoom
	}
	return h
}

// legendEntries are the entries and, where it has no room above the colour bar at a width,
// what is told of the numbers in that.
func (s *sheet) legendEntries(width vg.Length) []entry {
	out := s.entries()
	if s.filled && !s.sharesAbove(width) {
		out = append([]entry{{nil, sharesText}}, out...)
	}
	return out
}

const sharesText = "in the bar: share of the area"

// sharesAbove reports whether the words on the shares fit beside the caption of the bar.
func (s *sheet) sharesAbove(width vg.Length) bool {
	return lettering(9, true, black).Width(s.caption())+12+lettering(8, false, grey).Width(sharesText) <= width
}

func (s *sheet) entries() []entry {
	var out []entry
	if !s.filled {
		what, cut := "depth of fill", "of cut, dashed and −"
		if s.Departure {
			what, cut = "departure", "above the plane, dashed and +"
		}
		text := "lines of equal " + what + ", " + s.unitName()
		if step, ok := evenStep(s.bands.limits); ok {
			text = "lines of equal " + what + ", every " + s.Units.Depth(step)
		}
		if s.fill.Least < 0 {
			text += "; " + cut
		}
		out = append(out, entry{lineSign(0.8), text})
	}
	if slices.ContainsFunc(s.contours, func(k surface.Contour) bool { return !s.major(k.Level) }) {
		out = append(out, entry{lineSign(0.4), "thin lines: halfway between"})
	}
	if s.fill.Least < 0 {
		ground := s.colorAt(s.fill.Least)
		text := "hatched: floor above the target, to be cut"
		if s.Departure {
			text = "hatched: above the plane"
		}
		if s.unitWeight > 0 {
			text = "hatched: floor above the target, nothing poured, no load"
		}
		out = append(out, entry{swatchSign(1, 4.5, ground, cutLine), text})
	}
	if len(s.Floor.Openings) > 0 {
		out = append(out, entry{swatchSign(-1, 3, white, voidLine), "not poured"})
	}
	if len(s.Floor.Steps) > 0 {
		out = append(out, entry{func(c draw.Canvas, at vg.Point) { strokeStep(c, dash(at)) }, "step in the floor"})
	}
	if len(s.Finished) > 0 {
		text := "adjoining finished floor: above (+) or below (−) the target"
		if n := len(s.Finished) - len(s.finished); n > 0 {
			text += fmt.Sprintf("; %s not shown", grouped(float64(n)))
		}
		out = append(out, entry{func(c draw.Canvas, at vg.Point) {
			c.SetColor(black)
			c.Fill(diamond(at, 3.2))
		}, text})
	}
	if len(s.drains()) > 0 {
		out = append(out, entry{drainSign, drainText})
	}
	if slope := s.slope(); slope > 0 {
		out = append(out, entry{func(c draw.Canvas, at vg.Point) { arrow{centre: at, length: 16}.draw(c) }, "the target falls this way, by " + fallText(slope)})
	}
	if len(s.Marks) > 0 {
		text := "numbered: places in the list"
		if len(s.Marks[0].Lines) > 0 {
			text = "numbered: straightedges as they lie, the worst first"
		}
		out = append(out, entry{func(c draw.Canvas, at vg.Point) { stroke(c, dash(at), 1.4, alarm) }, text})
	}
	if len(s.Ringed) > 0 {
		out = append(out, entry{func(c draw.Canvas, at vg.Point) { stroke(c, dot(at, 3.6), 1.4, alarm) }, "ringed in red: look at this reading again"})
	}
	if s.Shots {
		n := grouped(float64(s.shots))
		what := "depth"
		if s.Departure {
			what = "departure"
		}
		text := n + " shots with their " + what + ", " + s.unitName()
		switch {
		case s.shots > mostMarks:
			text = n + " shots, too many to mark"
		case s.labelled < s.shots:
			text = fmt.Sprintf("%s shots; %s, %s, written at %s of them", n, what, s.unitName(), grouped(float64(s.labelled)))
		}
		out = append(out, entry{func(c draw.Canvas, at vg.Point) {
			c.SetColor(black)
			c.Fill(dot(at, 0.9))
		}, text})
	}
	if s.unitWeight > 0 {
		out = append(out, s.loadEntries()...)
	}
	return append(out, planEntry)
}

var planEntry = entry{nil, "Plan view, one scale on both axes; x and y as in the survey file"}

// evenStep returns the step between levels when it is the same throughout.
func evenStep(levels []float64) (float64, bool) {
	if len(levels) < 2 {
		return 0, false
	}
	step := levels[1] - levels[0]
	for i := 2; i < len(levels); i++ {
		if math.Abs(levels[i]-levels[i-1]-step) > 1e-9 {
			return 0, false
		}
	}
	return step, true
}

func (s *sheet) legend(c draw.Canvas) {
	if s.filled {
		s.colorBar(c)
		c.Max.Y -= barRoom
	}
	drawBeside(c, s.legendEntries(c.Size().X))
	scaleBar(draw.Crop(c, c.Size().X-scaleRoom, 0, 0, 0), s.Units, s.frame.scale)
}

// caption says what the colours are of.
func (s *sheet) caption() string {
	word := "Depth of fill, " + s.unitName()
	switch {
	case s.unitWeight > 0:
		word = loadCaption(s.Units)
	case s.Departure:
		word = "Above the plane, " + s.unitName() + " (below: −)"
	case s.fill.Least < 0:
		word += " (cut: −)"
	}
	return word
}

// colorBar draws the bands that occur side by side, their limits below and the
// share of the area inside; the numbers grow to the right.
func (s *sheet) colorBar(c draw.Canvas) {
	b := s.bands
	caption := lettering(9, true, black)
	y := c.Max.Y - 6
	write(c, caption, vg.Point{X: c.Min.X, Y: y}, 0, s.caption())
	if s.sharesAbove(c.Size().X) {
		write(c, lettering(8, false, grey), vg.Point{X: c.Max.X, Y: y}, 1, sharesText)
	}
	y -= 8
	const tall = 14
	const gap = 26 // pt, where a stretch of depth without area is left out
	left, right := c.Min.X+8, c.Max.X-8
	gaps := 0
	for k := 1; k < len(b.listed); k++ {
		if b.listed[k] != b.listed[k-1]+1 {
			gaps++
		}
	}
	w := (right - left - gap*vg.Length(gaps)) / vg.Length(len(b.listed))
	type edge struct {
		x     vg.Length
		limit int // in limits
	}
	var edges []edge
	x := left
	list := slices.Clone(b.listed)
	if s.Departure {
		slices.Reverse(list)
	}
	for k, i := range list {
		lower, upper := i-1, i // the limits left and right
		if s.Departure {
			lower, upper = upper, lower
		}
		switch {
		case k == 0:
			edges = append(edges, edge{x, lower})
		case edges[len(edges)-1].limit != lower:
			x += gap
			edges = append(edges, edge{x, lower})
		}
		r := vg.Rectangle{Min: vg.Point{X: x, Y: y - tall}, Max: vg.Point{X: x + w, Y: y}}
		c.SetColor(b.colors[i])
		c.Fill(r.Path())
		if b.cut(i, s.fill.Greatest) {
			strokeAll(c, hatch([][]vg.Point{corners(r)}, 1, 4.5), 0.45, cutLine)
		}
		stroke(c, r.Path(), 0.6, black)
		style := lettering(8, false, on(b.colors[i]))
		share := percent(s.share[i-b.first])
		mid := vg.Point{X: x + w/2, Y: y - tall/2}
		if b.cut(i, s.fill.Greatest) { // clear of the hatching
			half := vg.Point{X: style.Width(share)/2 + 1, Y: 4.5}
			c.SetColor(b.colors[i])
			c.Fill(vg.Rectangle{Min: mid.Sub(half), Max: mid.Add(half)}.Path())
		}
		write(c, style, mid, 0.5, share)
		x += w
		edges = append(edges, edge{x, upper})
	}
	y -= tall + 6
	style := lettering(8.5, true, black)
	used := vg.Length(math.Inf(-1))
	for k, e := range edges {
		if e.limit < 0 || e.limit >= len(b.limits) {
			continue
		}
		text := s.bare(b.limits[e.limit])
		half := style.Width(text) / 2
		last := k == len(edges)-1
		if next := k + 1; !last && next == len(edges)-1 && e.x+half+2 > edges[next].x-half {
			continue // the last limit is worth more
		}
		if e.x-half < used+2 && !last {
			continue
		}
		write(c, style, vg.Point{X: e.x, Y: y}, 0.5, text)
		used = e.x + half
	}
}

// percent writes a share to whole percents, and says so when it is some but
// little.
func percent(share float64) string {
	if share > 0 && share < 0.005 {
		return "<1%"
	}
	return fmt.Sprintf("%.0f%%", 100*share)
}

// scaleBar draws a bar of a round length and an arrow along y, at scale points to
// the metre.
func scaleBar(c draw.Canvas, units unit.Style, scale float64) {
	size, unitName := planUnit(units)
	const longest = 96 // pt
	length := 0.0      // m: the longest of 1, 2, 5 × 10ⁿ that has room
	for p := math.Pow(10, math.Floor(math.Log10(longest/(scale*size)))); length == 0; p /= 10 {
		for _, k := range []float64{1, 2, 5} {
			if k*p*size*scale <= longest {
				length = k * p * size
			}
		}
	}
	w := vg.Length(length * scale)
	right := c.Max.X - 26
	y := c.Max.Y - 24
	at := func(share vg.Length) vg.Length { return right - w + share*w }
	for i, ink := range []color.NRGBA{black, white} {
		r := vg.Rectangle{Min: vg.Point{X: at(vg.Length(i) / 2), Y: y - 2}, Max: vg.Point{X: at(vg.Length(i+1) / 2), Y: y + 2}}
		c.SetColor(ink)
		c.Fill(r.Path())
		stroke(c, r.Path(), 0.6, black)
	}
	style := lettering(8, false, black)
	write(c, style, vg.Point{X: at(0), Y: y + 8}, 0.5, "0")
	write(c, style, vg.Point{X: at(1), Y: y + 8}, 0.5, fmt.Sprintf("%g %s", length/size, unitName))

	x := c.Max.X - 5
	var shaft, head vg.Path
	shaft.Move(vg.Point{X: x, Y: y - 14})
	shaft.Line(vg.Point{X: x, Y: y + 14})
	stroke(c, shaft, 1, black)
	head.Move(vg.Point{X: x, Y: y + 20})
	head.Line(vg.Point{X: x - 3.5, Y: y + 11})
	head.Line(vg.Point{X: x + 3.5, Y: y + 11})
	head.Close()
	c.SetColor(black)
	c.Fill(head)
	write(c, style, vg.Point{X: c.Max.X, Y: y - 19}, 1, "y of the survey")
}
