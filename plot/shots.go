package plot

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// ShotMap is a survey in plan as read, before anything is computed: every shot with its
// name, coloured by how far it is below the highest, and the outlines and runs of the file.
type ShotMap struct {
	Title   string
	Summary string // the main numbers, one line in bold
	Note    string

	Points   []survey.Point // on the floor
	Finished []survey.Point // adjoining finished floor
	Rings    []survey.Ring
	Lines    []survey.Breakline
	Runs     []survey.Run
	Ringed   []survey.Point // to check again
	Units    unit.Style
}

const (
	mostDrawn = 20_000 // max marks; more would be unreadable, and a large file
	mostNamed = 1500   // max names tried
)

// Draw draws the map onto c.
func (m *ShotMap) Draw(c draw.Canvas) error {
	s, err := newShotSheet(m)
	if err != nil {
		return err
	}
	c = header{m.Title, m.Summary, m.Note}.draw(c)
	finish := s.legendHeight(c.Size().X)
	drawPlan(c, s.lo, s.hi, plan{units: m.Units, legend: finish, x: "x (east)", y: "y (north)"}, s)
	s.legend(draw.Crop(c, margin, -margin, margin/2, -(c.Size().Y - finish)))
	return nil
}

// Height returns the height at which the survey has the full width.
func (m *ShotMap) Height(width vg.Length) vg.Length {
	head := header{m.Title, m.Summary, m.Note}.height(width)
	s, err := newShotSheet(m)
	if err != nil {
		return head + width
	}
	shape := max((s.hi.Y-s.lo.Y)/(s.hi.X-s.lo.X), 0.35)
	return head + (width-2*margin-axisRoom)*vg.Length(min(shape, 1.4)) + axisRoom + s.legendHeight(width)
}

func (m *ShotMap) heading() string { return header{title: m.Title}.heading() }

// shotSheet is a ShotMap while it is drawn.
type shotSheet struct {
	*ShotMap
	shots       []survey.Point // marked: of the floor and of placed runs
	of          int            // number of shots in all
	lo, hi      surface.Vec    // m, with some margin
	highest     float64        // m
	bands       *bands
	from        surface.Vec
	scale       float64 // points to the metre
	leastLowest float64
}

func newShotSheet(m *ShotMap) (*shotSheet, error) {
	s := &shotSheet{ShotMap: m, highest: math.Inf(-1), leastLowest: math.Inf(1)}
	all := m.Points
	for _, r := range m.Runs {
		if !r.Placed() {
			continue
		}
		for i, v := range r.Stations {
			share := float64(i) / float64(len(r.Stations)-1)
			all = append(all[:len(all):len(all)], survey.Point{X: r.Start.X + share*(r.End.X-r.Start.X), Y: r.Start.Y + share*(r.End.Y-r.Start.Y), Z: v.Z})
		}
	}
	s.of = len(all)
	step := 1 + (len(all)-1)/mostDrawn
	for i := 0; i < len(all); i += step {
		s.shots = append(s.shots, all[i])
	}
	first := true
	reach := func(x, y float64) {
		if math.IsNaN(x + y) {
			return
		}
		if first {
			s.lo, s.hi, first = surface.Vec{X: x, Y: y}, surface.Vec{X: x, Y: y}, false
		}
		s.lo = surface.Vec{X: min(s.lo.X, x), Y: min(s.lo.Y, y)}
		s.hi = surface.Vec{X: max(s.hi.X, x), Y: max(s.hi.Y, y)}
	}
	for _, p := range all {
		reach(p.X, p.Y)
		if p.HasZ() {
			s.highest, s.leastLowest = max(s.highest, p.Z), min(s.leastLowest, p.Z)
		}
	}
	for _, p := range m.Finished {
		reach(p.X, p.Y)
	}
	for _, r := range m.Rings {
		for _, p := range r.Points {
			reach(p.X, p.Y)
		}
	}
	if first {
		return nil, ErrNoFloor
	}
	air := max(0.05*max(s.hi.X-s.lo.X, s.hi.Y-s.lo.Y), 0.1)
	s.lo, s.hi = surface.Vec{X: s.lo.X - air, Y: s.lo.Y - air}, surface.Vec{X: s.hi.X + air, Y: s.hi.Y + air}
	if s.highest >= s.leastLowest {
		drop := s.highest - s.leastLowest
		s.bands = newBands(stepsOf(m.Units).Levels(0, drop), 0, drop)
	}
	return s, nil
}

func (s *shotSheet) setFrom(v surface.Vec) { s.from = v }

// Plot draws everything between the axes.
func (s *shotSheet) Plot(c draw.Canvas, p *gonum.Plot) {
	f := planFrame(c, p, s.Units, s.from)
	s.scale = f.scale
	d := &shotDrawing{shotSheet: s, c: c, frame: f, ground: newGround(c.Rectangle), radius: s.markRadius()}
	d.drawLines()
	d.drawShots()
	d.drawFinished()
	d.nameAll()
}

// markRadius is of the marks of shots, pt: as large as possible with neighbours apart.
func (s *shotSheet) markRadius() vg.Length {
	spacing := math.Sqrt((s.hi.X - s.lo.X) * (s.hi.Y - s.lo.Y) / float64(max(len(s.shots), 1)))
	return vg.Length(min(max(0.25*spacing*s.scale, 0.7), 4))
}

// shotDrawing is the part of a ShotMap between the axes while it is drawn.
type shotDrawing struct {
	*shotSheet
	c      draw.Canvas
	frame  frame
	ground *ground   // what is taken, for the names
	radius vg.Length // of the marks of shots
}

// at returns the place of a point on the page.
func (d *shotDrawing) at(p survey.Point) vg.Point { return d.frame.at(surface.Vec{X: p.X, Y: p.Y}) }

// drawLines draws the outlines, the lines and the runs of the file.
func (d *shotDrawing) drawLines() {
	for _, r := range d.Rings {
		d.line(r.Points, true, 1.2)
	}
	for _, l := range d.Lines {
		d.line(l.Points, false, 1, 4, 2)
	}
	for _, r := range d.Runs {
		if r.Placed() {
			d.line([]survey.Point{r.Start, r.End}, false, 0.5)
		}
	}
}

// line draws a line through points, back to the first if it is closed, and keeps names off
// it.
func (d *shotDrawing) line(pts []survey.Point, closed bool, width vg.Length, dash ...vg.Length) {
	var path vg.Path
	for i, q := range pts {
		if i == 0 {
			path.Move(d.at(q))
		} else {
			path.Line(d.at(q))
		}
	}
	if closed && len(pts) > 0 {
		path.Close()
		pts = append(pts[:len(pts):len(pts)], pts[0])
	}
	onPage := make([]vg.Point, len(pts))
	for i, q := range pts {
		onPage[i] = d.at(q)
	}
	d.ground.draw(onPage, walled)
	stroke(d.c, path, width, black, dash...)
}

// drawShots draws the marks of the shots in the colour of their depth.
func (d *shotDrawing) drawShots() {
	for _, q := range d.shots {
		d.ground.mark(box{centre: d.at(q), w: 2 * d.radius, h: 2 * d.radius}, taken)
		mark := dot(d.at(q), d.radius)
		d.c.SetColor(d.color(q))
		d.c.Fill(mark)
		if d.radius > 1.5 {
			stroke(d.c, mark, 0.4, black)
		}
	}
}

// drawFinished draws the adjoining finished floor, and the rings of shots to check again.
func (d *shotDrawing) drawFinished() {
	for _, q := range d.Finished {
		finishedSign(d.c, d.at(q))
		d.ground.mark(box{centre: d.at(q), w: 7, h: 7}, taken)
	}
	for _, q := range d.Ringed {
		stroke(d.c, dot(d.at(q), d.radius+3), 2.6, white)
		stroke(d.c, dot(d.at(q), d.radius+3), 1.4, alarm)
	}
}

// nameAll writes names where there is room, the most important first.
func (d *shotDrawing) nameAll() {
	ringed := map[survey.Pos]bool{}
	for _, q := range d.Ringed {
		ringed[q.At()] = true
		d.name(q, lettering(8, true, alarm), d.radius+4)
	}
	for _, q := range d.Finished {
		d.name(q, lettering(smallest, true, black), 4)
	}
	if len(d.shots) <= mostNamed {
		for _, q := range d.shots {
			if ringed[q.At()] && q.At().Line > 0 {
				continue // already named
			}
			d.name(q, lettering(smallest, false, black), d.radius+0.6)
		}
	}
	for _, r := range d.Runs {
		if r.Placed() {
			d.name(r.Start.Named(r.Name), lettering(8, true, black), d.radius+1)
		}
	}
}

// name writes the name of a point at a distance from its mark, if there is room.
func (d *shotDrawing) name(q survey.Point, style text.Style, off vg.Length) {
	if q.Name() == "" {
		return
	}
	size := style.Font.Size
	if centre, ok := d.ground.beside(d.at(q), off, style.Width(q.Name())+2, size, oneLine, d.at(q)); ok {
		write(d.c, style, centre, 0.5, q.Name())
	}
}

// alarm is the colour of shots to check again. They also have a ring, so the mark does not
// depend on colour alone.
var alarm = rgb(0xb3261e)

func (s *shotSheet) color(p survey.Point) color.Color {
	if s.bands == nil || !p.HasZ() {
		return white
	}
	return s.bands.color(s.highest - p.Z)
}

func (s *shotSheet) entries() []entry {
	var out []entry
	n := grouped(float64(s.of))
	text := n + " shots, coloured by how far they are below the highest"
	if len(s.shots) < s.of {
		text = fmt.Sprintf("%s of %s shots, coloured by how far they are below the highest", grouped(float64(len(s.shots))), n)
	}
	out = append(out, entry{func(c draw.Canvas, at vg.Point) {
		c.SetColor(s.color(s.shots[0]))
		c.Fill(dot(at, 3))
		stroke(c, dot(at, 3), 0.4, black)
	}, text})
	if len(s.shots) == 0 {
		out = nil
	}
	if len(s.Ringed) > 0 {
		out = append(out, entry{ringSign, "ringed: look at this reading again"})
	}
	if len(s.Finished) > 0 {
		out = append(out, entry{finishedSign, "adjoining finished floor"})
	}
	if len(s.Rings) > 0 {
		out = append(out, entry{lineSign(1.2), "outline"})
	}
	if len(s.Lines) > 0 {
		out = append(out, entry{lineSign(1, 4, 2), "line that the surface keeps: step, joint or crease"})
	}
	return append(out, entry{nil, "Plan view, one scale on both axes"})
}

func (s *shotSheet) legendHeight(page vg.Length) vg.Length {
	h := entriesHeight(s.entries(), page)
	if s.bands != nil {
		h += barRoom
	}
	return h
}

// legend draws the colours and the signs.
func (s *shotSheet) legend(c draw.Canvas) {
	if b := s.bands; b != nil {
		y := c.Max.Y - 6
		word := "mm"
		if s.Units.Imperial {
			word = "inches"
		}
		write(c, lettering(9, true, black), vg.Point{X: c.Min.X, Y: y}, 0, "Below the highest shot, "+word)
		y -= 8
		const tall = 14
		left, right := c.Min.X+8, c.Max.X-8
		w := (right - left) / vg.Length(b.last-b.first+1)
		style := lettering(8.5, true, black)
		for i := b.first; i <= b.last; i++ {
			x := left + w*vg.Length(i-b.first)
			r := vg.Rectangle{Min: vg.Point{X: x, Y: y - tall}, Max: vg.Point{X: x + w, Y: y}}
			c.SetColor(b.colors[i])
			c.Fill(r.Path())
			stroke(c, r.Path(), 0.6, black)
			for k, at := range []vg.Length{x, x + w} {
				if j := i - 1 + k; j >= 0 && j < len(b.limits) && (k == 0 || i == b.last) {
					write(c, style, vg.Point{X: at, Y: y - tall - 6}, 0.5, strings.TrimSuffix(strings.TrimSuffix(s.Units.Depth(b.limits[j]), " mm"), `"`))
				}
			}
		}
		c.Max.Y -= barRoom
	}
	drawBeside(c, s.entries())
	scaleBar(draw.Crop(c, c.Size().X-scaleRoom, 0, 0, 0), s.Units, s.scale)
}
