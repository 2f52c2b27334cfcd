package plot

import (
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

// DepthMap is the floor in plan with its depth of fill in bands of colour, contour lines,
// shots, openings, steps, and the adjoining finished floor. Depth is target minus floor:
// positive is fill, negative is cut.
type DepthMap struct {
	Title   string
	Summary string // the main numbers, one line in bold
	Note    string // what was left out, what the outline comes from, …; lines end with \n

	Floor    *surface.Floor
	Target   surface.Target
	Levels   []float64         // limits of the bands, m; nil: [surface.Steps.Limits]
	Contours []surface.Contour // at Levels, and finer ones; nil: traced at Levels
	Finished []survey.Point    // adjoining finished floor
	Doors    bool              // Finished by name alone, where there is room
	Units    unit.Style
	Shots    bool // mark the shots and write their depths
	// Departure labels the map as one of a finished floor: its height above the plane it
	// should have, written with +, or below it, written with −. Levels are still depths
	// below the plane.
	Departure bool
	// Change labels the map as one of the change of the floor between two surveys, with + for
	// higher and − for lower; Departure is set too. The band of 0 is grey: not shown to have moved.
	Change   bool
	Spots    []Spot           // numbered places
	Ramps    [][]surface.Vec  // outlines of ramps
	Stops    [][2]surface.Vec // where the fill on ramps is to stop, in pieces
	Drains   []survey.Point   // where water leaves the floor
	Channels [][2]surface.Vec // where it leaves along a line, from end to end
	Ringed   []survey.Point   // shots to check again; with Change those that moved, each named with how
	Pins     []surface.Vec    // where a page puts rings over the map: no lettering there

	known *known // kept from one format to the next

	unitWeight float64 // kg/m³; above 0 depths are labelled as the load they make, see [LoadMap]
	heaviest   bool    // of several materials
	plusMinus  bool    // depths are labelled as a ±, see [ErrorMap]
	small      bool    // see [SmallMap]
}

// Spot is a numbered place on a map, with its outline.
type Spot struct {
	Name  string
	At    surface.Vec
	Rings [][]surface.Vec
	Lines [][2]surface.Vec // such as a straightedge in its place
	Next  bool             // worth another shot
}

// ContourMap is a DepthMap in lines only, for black and white print.
type ContourMap DepthMap

// Draw draws the map onto c.
func (m *DepthMap) Draw(c draw.Canvas) error { return drawMap(m, c, true) }

// Height returns the height at which the floor has the full width.
func (m *DepthMap) Height(width vg.Length) vg.Length { return mapHeight(m, width, true) }

func (m *DepthMap) heading() string { return m.header().heading() }

// Draw draws the map onto c.
func (m *ContourMap) Draw(c draw.Canvas) error { return drawMap((*DepthMap)(m), c, false) }

// Height returns the height at which the floor has the full width.
func (m *ContourMap) Height(width vg.Length) vg.Length {
	return mapHeight((*DepthMap)(m), width, false)
}

func (m *ContourMap) heading() string { return (*DepthMap)(m).heading() }

func (m *DepthMap) header() header { return header{m.Title, m.Summary, m.Note} }

const (
	fewTriangles = 5000 // up to here bands are drawn as paths, above as an image
	oneLine      = 7    // max cells of a line that the lettering of a depth may cover
	twoLines     = 16   // the same where there is no clearer place: once across a line that is not level
	mostMarks    = 2000 // max; more would hide the floor
	imageDPI     = 200  // of bands drawn as an image in SVG and PDF
	axisRoom     = 34   // pt that an axis takes beside the map, roughly
	shotRadius   = 1.6  // pt from a shot to its depth
	// pt: a ring is 7 pixels wide, and a page shows a point of a map as at least 1.1 pixels.
	ringRadius = 3.2
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

// height returns the height at which the floor has the full width.
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
	share    []float64 // of the area, per band that occurs
	contours []surface.Contour
	shots    int
	finished []survey.Point // those with an elevation and near the floor
	from     surface.Vec    // start of the axes, in their unit
	finish   vg.Length      // height of the legend
	frame    frame          // known once there are axes
	labelled int            // shots with their depth written
}

// known is a sheet before it is drawn, and what it depends on.
type known struct {
	of    DepthMap
	sheet sheet
}

// still reports whether k is what newSheet would work out for m.
func (k *known) still(m *DepthMap) bool {
	return k != nil && k.of.Floor == m.Floor && k.of.Target == m.Target && k.of.Units == m.Units &&
		(k.of.Levels == nil) == (m.Levels == nil) && slices.Equal(k.of.Levels, m.Levels) && k.of.Change == m.Change &&
		sameList(k.of.Contours, m.Contours) && sameList(k.of.Finished, m.Finished)
}

// sameList reports whether a and b are one list.
func sameList[T any](a, b []T) bool {
	return (a == nil) == (b == nil) && len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0])
}

// newSheet returns the sheet of m. A map is measured and then drawn in several formats; its
// depths, bands and contours are worked out once.
func newSheet(m *DepthMap, filled bool) *sheet {
	if !m.known.still(m) {
		of := *m
		of.Levels = slices.Clone(m.Levels)
		m.known = &known{of: of, sheet: *workSheet(m)}
	}
	s := m.known.sheet
	s.DepthMap, s.filled = m, filled
	return &s
}

// Sliver reports whether a band at the end of the depths is its neighbour as written: of no
// area, on the same side of the target, and as deep as the limit between them. So is a small one
// that is off the limit by no more than the triangles of a fall are off the fall.
func Sliver(end, next surface.Band, u unit.Style) bool {
	const facets, small = 0.0001, 0.1 // m; of the neighbour, own choice
	if (end.To <= 0) != (next.To <= 0) {
		return false
	}
	limit := end.To
	if next.To <= end.From {
		limit = end.From
	}
	off := math.Abs(end.Volume/end.Area - limit)
	return end.Area == 0 || u.NoArea(end.Area) && off < u.Step()/2 || end.Area < small*next.Area && off < facets
}

func workSheet(m *DepthMap) *sheet {
	s := &sheet{DepthMap: m}
	least, greatest := m.Floor.Depths(m.Target)
	limits := m.Levels
	if limits == nil {
		limits = stepsOf(m.Units).Limits(m.Floor, m.Target)
	}
	s.bands = newBands(limits, least, greatest)
	if m.Change {
		s.bands = sortedBands(limits, least, greatest)
	}
	s.fill = m.Floor.FillTo(m.Target, s.bands.limits[s.bands.first:s.bands.last])
	s.share = make([]float64, s.bands.last-s.bands.first+1)
	for i := range min(len(s.share), len(s.fill.Bands)) {
		s.share[i] = s.fill.Bands[i].Area / s.fill.Area
	}
	// A sliver at an end has the colour of the next band, as the list of bands has its limits.
	if n := len(s.share) - 1; n > 0 {
		for _, end := range []int{0, n} {
			if next := max(end-1, min(1, n-end)); s.share[next] > 0 && Sliver(s.fill.Bands[end], s.fill.Bands[next], m.Units) {
				s.share[end] = 0
			}
		}
	}
	s.bands.list(s.share, greatest)
	if m.Change {
		s.bands.grey()
	}
	if m.plusMinus {
		s.bands.ink(errorInks)
	}
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
	near := 0.3 * lo.Distance(hi) // farther away it does not adjoin, and would shrink the map
	for _, p := range m.Finished {
		if p.HasZ() && p.X > lo.X-near && p.X < hi.X+near && p.Y > lo.Y-near && p.Y < hi.Y+near {
			s.finished = append(s.finished, p)
		}
	}
	return s
}

// reach returns the corners of the area that the axes must show, m: the floor, its
// neighbours, and some margin.
func (s *sheet) reach() (lo, hi surface.Vec) {
	lo, hi = withLeft(s.Floor)
	for _, p := range s.finished {
		lo = surface.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = surface.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	air := 0.02 * max(hi.X-lo.X, hi.Y-lo.Y)
	if len(s.finished) > 0 {
		air *= 3.7 // their lettering is outside the walls, also on the narrowest picture
	}
	return surface.Vec{X: lo.X - air, Y: lo.Y - air}, surface.Vec{X: hi.X + air, Y: hi.Y + air}
}

// bare writes a depth, or the load or departure it means, without its unit, which the legend
// gives.
func (s *sheet) bare(m float64) string {
	if s.unitWeight > 0 {
		return bareLoad(m*s.unitWeight, s.Units)
	}
	if s.plusMinus {
		return bareError(m, s.Units)
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

// Plot draws everything between the axes.
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
	for _, v := range s.Pins {
		g.mark(pinRing(s.frame.at(v)), taken)
	}
	s.takeChannels(g)
	// Marks first, so that no label covers the mark of another place; then labels, the most
	// important first.
	plates, names := s.placeLettering(g)
	fall, falls := s.placeFall(g, true, nil), s.placeFalls(g, nil)
	for _, l := range lines {
		g.draw(l.at, lined)
	}
	gaps := make([][]gap, len(lines))
	font := lettering(smallest, false, black)
	for i, k := range s.contours {
		if s.major(k.Level) && !s.plusMinus {
			gaps[i] = g.gaps(lines[i], font.Width(s.bare(k.Level))+1, smallest)
		}
	}
	s.drawContours(c, lines, gaps)
	strokeRamp(c, s.frame.ringPath(s.Ramps...))
	var stops vg.Path
	for _, l := range s.Stops {
		stops.Move(s.frame.at(l[0]))
		stops.Line(s.frame.at(l[1]))
	}
	strokeStop(c, stops)
	s.drawEdges(c)
	if marked {
		s.drawWalls(g, taken) // a depth is on the same side of the wall as its shot
		s.drawShots(c, g)
	}
	s.drawChannels(c)
	s.drawMarks(c)
	if fall != nil {
		fall.draw(c)
	}
	for _, a := range falls {
		a.draw(c)
	}
	for _, n := range names {
		n.draw(c)
	}
	s.drawPlates(c, plates)
}

// major reports whether a contour is the limit of a band.
func (s *sheet) major(level float64) bool {
	return slices.ContainsFunc(s.bands.limits, func(l float64) bool { return math.Abs(l-level) < 1e-9 })
}

func (s *sheet) drawShots(c draw.Canvas, g *ground) {
	defer func() { g.only, g.strict = 0, false }()
	g.strict = true // outside the walls there is no depth
	written := map[vg.Point]bool{}
	for _, lines := range []int{oneLine, twoLines} { // those with clear room first
		for i, r := range s.Floor.Regions {
			g.only = int32(i) + 1
			for _, q := range r.Shots {
				v := surface.Vec{X: q.X, Y: q.Y}
				at := s.frame.at(v)
				if written[at] {
					continue
				}
				depth := s.Target.Within(r.Part).Elevation(v) - q.Z
				style := lettering(smallest, false, on(s.colorAt(depth)))
				c.SetColor(style.Color)
				c.Fill(dot(at, 0.9))
				if s.plusMinus {
					written[at] = true
					continue
				}
				text := s.bare(depth)
				if centre, ok := s.besideShot(g, at, style.Width(text)+2.5, capHeight(style)+0.9, lines); ok {
					write(c, style, centre, 0.5, text)
					written[at] = true
					s.labelled++
				}
			}
		}
	}
}

// besideShot finds room for the depth at a shot, clear of a ring that may cover the shot and
// across so many cells of lines.
func (s *sheet) besideShot(g *ground, at vg.Point, w, h vg.Length, lines int) (vg.Point, bool) {
	centre, ok := g.beside(at, shotRadius, w, h, lines, at)
	if !ok && len(s.Pins) > 0 {
		centre, ok = g.beside(at, ringRadius, w, h, lines, at)
	}
	return centre, ok
}

// pinRing is the area of a ring that a page puts over the map.
func pinRing(at vg.Point) box { return box{centre: at, w: 2 * ringRadius, h: 2 * ringRadius} }

// stepsOf are the steps between depths that a reader of u works in.
func stepsOf(u unit.Style) surface.Steps {
	return surface.Steps{US: u.Imperial, Finest: u.Step()}
}
