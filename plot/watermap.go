package plot

import (
	"fmt"
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

// WaterMap shows where water is left on a floor and which way it runs.
type WaterMap struct {
	Title   string
	Summary string // the main numbers, one line in bold
	Note    string

	Floor  *surface.Floor
	Limits []float64         // m, ascending from 0: depths of water
	Under  [][][]surface.Vec // per limit, loops round the floor under more water, the water on their left
	Ponds  []Spot            // names and deepest places
	Flows  [][]surface.Vec   // ways of water, downhill
	Drains []survey.Point    //
	Doors  []survey.Point    // where water leaves over a threshold

	Channels [][2]surface.Vec // from one of the drains to another
	Units    unit.Style
}

func (m *WaterMap) header() header { return header{m.Title, m.Summary, m.Note} }

func (m *WaterMap) heading() string { return m.header().heading() }

// waterInks are the blues of water, from the shallowest band.
var waterInks = []color.NRGBA{rgb(0xcfe6f5), rgb(0x93c6e6), rgb(0x4f9bd0), rgb(0x1d6aa6)}

var flowInk = rgb(0x33566e)

func (m *WaterMap) reach() (lo, hi surface.Vec) {
	lo, hi = withLeft(m.Floor)
	for _, list := range [][]survey.Point{m.Drains, m.Doors} {
		for _, p := range list {
			lo = surface.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
			hi = surface.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
	}
	air := max(0.05*max(hi.X-lo.X, hi.Y-lo.Y), 0.1)
	return surface.Vec{X: lo.X - air, Y: lo.Y - air}, surface.Vec{X: hi.X + air, Y: hi.Y + air}
}

// entries are the signs on the map, each with its meaning.
func (m *WaterMap) entries() []entry {
	var out []entry
	for i, from := range m.Limits {
		if len(m.Under[i]) == 0 {
			continue
		}
		out = append(out, entry{swatchSign(0, 4, waterInks[i], nil), m.depthText(from)})
	}
	if len(m.Flows) > 0 {
		out = append(out, entry{flowSign, "the way water runs, by steepest descent"})
	}
	if len(m.Drains) > 0 {
		out = append(out, entry{func(c draw.Canvas, at vg.Point) { drainSign(c, at) }, "drain"})
	}
	if len(m.Doors) > 0 {
		out = append(out, entry{finishedSign, "threshold: water leaves above its elevation"})
	}
	return append(slices.Concat(out, floorEntries(m.Floor)), planEntry)
}

// WaterDepth is a colour of water on the map, as #rrggbb, and what it means.
type WaterDepth struct{ Color, Text string }

// Depths are the colours of water and what they mean, one for each limit.
func (m *WaterMap) Depths() []WaterDepth {
	var out []WaterDepth
	for i, from := range m.Limits {
		ink := waterInks[i]
		out = append(out, WaterDepth{fmt.Sprintf("#%02x%02x%02x", ink.R, ink.G, ink.B), m.depthText(from)})
	}
	return out
}

// depthText is what the colour of water from a depth means.
func (m *WaterMap) depthText(from float64) string {
	if from == 0 {
		return "water stays when all ponds are full"
	}
	return "water more than " + fineDepth(m.Units, from) + " deep"
}

// Height returns the height at which the floor has the full width.
func (m *WaterMap) Height(width vg.Length) vg.Length {
	if !drawable(m.Floor) {
		return m.header().height(width) + width
	}
	lo, hi := m.reach()
	shape := max((hi.Y-lo.Y)/(hi.X-lo.X), 0.35)
	return m.header().height(width) + (width-2*margin-axisRoom)*vg.Length(min(shape, 1.4)) + axisRoom + entriesHeight(m.entries(), width)
}

// Draw draws the map onto c.
func (m *WaterMap) Draw(c draw.Canvas) error {
	if !drawable(m.Floor) {
		return ErrNoFloor
	}
	c = m.header().draw(c)
	lo, hi := m.reach()
	s := &waterSheet{WaterMap: m}
	height := entriesHeight(m.entries(), c.Size().X)
	drawPlan(c, lo, hi, plan{units: m.Units, legend: height, x: "x", y: "y"}, s)
	legend := draw.Crop(c, margin, -margin, margin/2, -(c.Size().Y - height))
	drawBeside(legend, m.entries())
	scaleBar(draw.Crop(legend, legend.Size().X-scaleRoom, 0, 0, 0), m.Units, s.frame.scale)
	return nil
}

// waterSheet is a map while it is drawn.
type waterSheet struct {
	*WaterMap
	from  surface.Vec
	frame frame      // known once there are axes
	heads []vg.Point // drawn in the middle of lines
}

func (s *waterSheet) setFrom(v surface.Vec) { s.from = v }

// Plot draws everything between the axes.
func (s *waterSheet) Plot(c draw.Canvas, p *gonum.Plot) {
	s.frame = planFrame(c, p, s.Units, s.from)
	// Names are placed as on the map of depths.
	on := &sheet{DepthMap: &DepthMap{Floor: s.Floor, Units: s.Units, Spots: s.Ponds, Channels: s.Channels}, frame: s.frame}
	for i, loops := range s.Under {
		c.SetColor(waterInks[i])
		c.Fill(s.frame.ringPath(loops...))
	}
	if len(s.Under) > 0 {
		stroke(c, s.frame.ringPath(s.Under[0]...), 0.7, waterInks[len(waterInks)-1])
	}
	on.drawOpenings(c)
	g := newGround(c.Rectangle)
	on.drawWalls(g, walled)
	for _, f := range s.Flows {
		s.drawFlow(c, g, f)
	}
	on.drawEdges(c)
	on.takeChannels(g)
	on.drawChannels(c)
	s.letter(c, g, on)
}

// letter writes the names of ponds, drains and thresholds.
func (s *waterSheet) letter(c draw.Canvas, g *ground, on *sheet) {
	for _, p := range s.Drains {
		g.mark(drainBox(on.frame.at(surface.Vec{X: p.X, Y: p.Y})), taken)
	}
	for _, p := range s.Doors {
		g.mark(box{centre: on.frame.at(surface.Vec{X: p.X, Y: p.Y}), w: 8, h: 8}, taken)
	}
	crowded := g.clone()
	plates := on.placeMarks(g, crowded)
	others := slices.Clone(plates)
	add := func(p survey.Point, drain bool) {
		n := name{mark: on.frame.at(surface.Vec{X: p.X, Y: p.Y}), drain: drain, text: strings.TrimSpace(p.Name())}
		n.clearOf = n.mark
		if n.text != "" {
			size, bold := n.style()
			n.plate = box{w: lettering(size, bold, black).Width(n.text) + 3, h: size + 1.5}
			n.plate.centre, _ = on.roomForName(g, crowded, n, doubtRing+1, others)
			g.mark(box{centre: n.plate.centre, w: n.plate.w + 2*apart, h: n.plate.h + 2*apart}, taken)
			crowded.mark(n.plate, taken)
			others = append(others, n.plate)
		}
		n.draw(c)
	}
	for _, p := range namedOnce(s.Drains, s.Channels) {
		add(p, true)
	}
	for _, p := range s.Doors {
		add(p, false)
	}
	for _, m := range s.Ponds {
		c.SetColor(black)
		c.Fill(dot(s.frame.at(m.At), 1.4))
	}
	on.drawPlates(c, plates)
}

const headLong = 5 // pt, of the head of an arrow of water

// drawFlow draws the way of water with a head at its end and, where there is room, in its
// middle.
func (s *waterSheet) drawFlow(c draw.Canvas, g *ground, line []surface.Vec) {
	all := s.frame.onPage(surface.Contour{Line: line})
	if len(all) < 2 {
		return
	}
	at := all[:1:1] // places closer than a line is wide would make a file large
	for i, p := range all[1:] {
		if d := p.Sub(at[len(at)-1]); math.Hypot(float64(d.X), float64(d.Y)) >= 0.8 || i == len(all)-2 {
			at = append(at, p)
		}
	}
	k := measure(at)
	long := k.length()
	if long < 2*headLong {
		return
	}
	var path vg.Path
	k.addTo(&path, 0, long-headLong/2)
	stroke(c, path, 0.6, flowInk)
	g.draw(at, lined)
	flowHead(c, k, long)
	middle := k.point(long / 2)
	if long > 14*headLong && !slices.ContainsFunc(s.heads, func(p vg.Point) bool {
		d := p.Sub(middle)
		return math.Hypot(float64(d.X), float64(d.Y)) < 7*headLong
	}) {
		s.heads = append(s.heads, middle)
		flowHead(c, k, long/2)
	}
}

// flowHead draws the head of an arrow with its tip a length along a line.
func flowHead(c draw.Canvas, k measured, tip vg.Length) {
	to, from := k.point(tip), k.point(tip-headLong)
	d := to.Sub(from)
	l := vg.Length(math.Hypot(float64(d.X), float64(d.Y)))
	if l == 0 {
		return
	}
	along := d.Scale(1 / l)
	across := vg.Point{X: -along.Y, Y: along.X}.Scale(1.9)
	back := to.Sub(along.Scale(headLong))
	var head vg.Path
	head.Move(to)
	head.Line(back.Add(across))
	head.Line(back.Sub(across))
	head.Close()
	c.SetColor(flowInk)
	c.Fill(head)
}

// flowSign is an arrow of water.
func flowSign(c draw.Canvas, at vg.Point) {
	line := dash(at)
	stroke(c, line, 0.6, flowInk)
	flowHead(c, measure([]vg.Point{{X: at.X - 8, Y: at.Y}, {X: at.X + 8, Y: at.Y}}), 16)
}
