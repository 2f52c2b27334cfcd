package plot

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
)

// PlanMaterial is a range of depths of fill that one material serves, on a SetOutMap.
type PlanMaterial struct {
	Name string
	Text string  // area and volume of all its ranges
	From float64 // m deep: where it begins; it ends where the next begins
	None bool    // no material serves these depths
}

// borderWidth is of the line where one material ends, unlike a step and a line of depth.
const borderWidth = 1.8

var borderDash = []vg.Length{7, 2, 1.5, 2}

// materialSpot is the lettering of a material with a line to its area, if it is outside.
type materialSpot struct {
	labels []label
	led    bool
	leader leader
}

// checkMaterials refuses ranges that are not in order.
func (m *SetOutMap) checkMaterials() error {
	for i, p := range m.Materials {
		if !(p.From >= 0) || math.IsInf(p.From, 0) || i > 0 && p.From <= m.Materials[i-1].From {
			return &survey.Error{Element: "depths of " + strconv.Quote(p.Name), Found: fmt.Sprintf("from %g m", p.From), Want: "depths of 0 or more, each deeper than the one before"}
		}
	}
	return nil
}

// materialNames lists the materials once each, the one for the thinnest fill first.
func (m *SetOutMap) materialNames() (out []PlanMaterial) {
	for _, p := range m.Materials {
		if !slices.ContainsFunc(out, func(q PlanMaterial) bool { return q.Name == p.Name }) {
			out = append(out, p)
		}
	}
	return out
}

// tinted reports whether the areas of materials have tints: pins and bays need the ground.
func (m *SetOutMap) tinted() bool { return len(m.Materials) > 0 && len(m.Pins)+len(m.Bays) == 0 }

// materialTint is the tint of a material; white where none serves.
func (m *SetOutMap) materialTint(p PlanMaterial) color.NRGBA {
	i := slices.IndexFunc(m.materialNames(), func(q PlanMaterial) bool { return q.Name == p.Name })
	if p.None || i < 0 {
		return white
	}
	return tints[(i+1)%len(tints)]
}

// materialRings returns the edges of the area of a material on the page.
func (s *setOutSheet) materialRings(name string) (out [][]vg.Point) {
	for k, r := range s.Floor.Regions {
		at := s.frame.vertices(r.TIN)
		for i, p := range s.Materials {
			if p.Name != name {
				continue
			}
			out = append(out, rings(above(r.TIN, s.depths[k], at, p.From))...)
			if i+1 < len(s.Materials) {
				out = append(out, rings(above(r.TIN, s.depths[k], at, s.Materials[i+1].From))...)
			}
		}
	}
	return out
}

// tintMaterials tints the area of each material, the deeper ones over the others, and
// hatches where none serves.
func (s *setOutSheet) tintMaterials(c draw.Canvas) {
	if !s.tinted() {
		return
	}
	for _, p := range s.Materials {
		var path vg.Path
		for k, r := range s.Floor.Regions {
			path = append(path, above(r.TIN, s.depths[k], s.frame.vertices(r.TIN), p.From)...)
		}
		if len(path) > 0 {
			c.SetColor(s.materialTint(p))
			c.Fill(path)
		}
	}
	for _, p := range s.materialNames() {
		if p.None {
			strokeAll(c, hatch(s.materialRings(p.Name), -1, cutSpacing), 0.45, cutLine)
		}
	}
}

// borders returns the lines where one material ends and the next begins.
func (s *setOutSheet) borders() (out []surface.Contour) {
	var levels []float64
	for _, p := range s.Materials[min(1, len(s.Materials)):] {
		levels = append(levels, p.From)
	}
	for k, r := range s.Floor.Regions {
		out = append(out, r.TIN.Contours(s.depths[k], levels)...)
	}
	return out
}

func (s *setOutSheet) drawBorders(c draw.Canvas) {
	var path vg.Path
	for _, k := range s.borders() {
		for i, p := range s.frame.onPage(k) {
			if i == 0 {
				path.Move(p)
			} else {
				path.Line(p)
			}
		}
	}
	stroke(c, path, borderWidth+1.2, white)
	stroke(c, path, borderWidth, black, borderDash...)
}

// placeMaterials finds room for the name of each material with its area and volume: inside
// its area, or else beside it at the end of a line. What has no room is in the legend alone.
func (s *setOutSheet) placeMaterials(g *ground) {
	for _, p := range s.materialNames() {
		area := s.materialRings(p.Name)
		if len(area) == 0 {
			continue
		}
		in, middle := within(g, area), middleOf(area)
		sizes := []vg.Length{11, 9.5, smallest}
		if !s.tinted() { // the names alone, below the pins; the list of materials has the figures
			sizes, p.Text = sizes[2:], ""
		}
		done := false
		for _, size := range sizes {
			labels := p.labels(size)
			if done = in.place(labels, middle, 0, 2); done {
				for _, l := range labels {
					g.mark(l.box, taken)
				}
				s.materials = append(s.materials, materialSpot{labels: labels})
				break
			}
		}
		for _, at := range in.anchors(middle) {
			done = done || s.leadToMaterial(g, p, at)
		}
	}
}

// labels are the name in a size and, beneath, the figures.
func (p PlanMaterial) labels(size vg.Length) []label {
	out := []label{newLabel(p.Name, size, true)}
	if p.Text != "" {
		out = append(out, newLabel(p.Text, max(0.85*size, smallest), false))
	}
	return out
}

// leadToMaterial finds room for the lettering of a material without room in its area, as
// near as possible, where a line to a place in the area meets no other lettering.
func (s *setOutSheet) leadToMaterial(g *ground, p PlanMaterial, at vg.Point) bool {
	labels := p.labels(smallest)
	var b box
	for _, l := range labels {
		b.w, b.h = max(b.w, l.w+2), b.h+l.h+2
	}
	suits := func(q vg.Point) bool {
		b.centre = q
		end, _ := b.leadEnd(at)
		d := end.Sub(at)
		if far := vg.Length(math.Hypot(float64(d.X), float64(d.Y))); far > 6 {
			return g.clear(at.Add(d.Scale(2/far)), at.Add(d.Scale(1-1/far)), true)
		}
		return false
	}
	for far := vg.Length(40); far < 200; far *= 1.7 {
		if g.near(&b, at, far, suits) {
			y := b.centre.Y + b.h/2
			for i := range labels {
				l := &labels[i]
				l.centre = vg.Point{X: b.centre.X, Y: y - 1 - l.h/2}
				y -= l.h + 2
			}
			end, _ := b.leadEnd(at)
			s.materials = append(s.materials, materialSpot{labels: labels, led: true, leader: leader{from: at, to: end}})
			return true
		}
	}
	return false
}

func (s *setOutSheet) drawMaterials(c draw.Canvas) {
	for _, m := range s.materials {
		if m.led {
			var line vg.Path
			line.Move(m.leader.from)
			line.Line(m.leader.to)
			stroke(c, line, 2.4, white)
			stroke(c, line, 0.8, black)
			c.SetColor(black)
			c.Fill(dot(m.leader.from, 1.6))
		}
		for _, l := range m.labels {
			l.write(c, 225)
		}
	}
}

// materialEntries are the tints, the border line, and what nobody but the maker and the crew
// can decide.
func (s *setOutSheet) materialEntries() (out []entry) {
	if len(s.Materials) < 2 {
		return nil
	}
	if s.tinted() {
		for _, p := range s.materialNames() {
			sign := swatchSign(0, 4, s.materialTint(p), nil)
			if p.None {
				sign = swatchSign(-1, cutSpacing, white, cutLine)
			}
			out = append(out, entry{sign, p.Name + ": " + p.Text})
		}
	}
	for i, p := range s.Materials[1:] {
		text := fmt.Sprintf("%s deep; thinner: %s, deeper: %s", s.Units.Depth(p.From), s.Materials[i].Name, p.Name)
		out = append(out, entry{inkSign(borderWidth, black, borderDash...), text})
	}
	if s.tinted() {
		out = append(out, entry{nil, "which material first: product label, or your own sequence"})
	}
	return out
}

// middleOf is the centroid of the largest of some rings.
func middleOf(all [][]vg.Point) (middle vg.Point) {
	most := 0.0
	for _, ring := range all {
		area, x, y := 0.0, 0.0, 0.0
		for i, p := range ring {
			q := ring[(i+1)%len(ring)]
			px, py, qx, qy := float64(p.X-ring[0].X), float64(p.Y-ring[0].Y), float64(q.X-ring[0].X), float64(q.Y-ring[0].Y)
			cross := px*qy - qx*py
			area, x, y = area+cross, x+(px+qx)*cross, y+(py+qy)*cross
		}
		if math.Abs(area) > most {
			most = math.Abs(area)
			middle = ring[0].Add(vg.Point{X: vg.Length(x / (3 * area)), Y: vg.Length(y / (3 * area))})
		}
	}
	return middle
}

// anchors are some free places in the area for the end of a line, the nearest to a place
// first.
func (in *interior) anchors(to vg.Point) (out []vg.Point) {
	const apart, most = 6, 30 // pt; more tries take long
	for y := 0; y < in.h; y += apart {
		for x := 0; x < in.w; x += apart {
			n := (y+1)*(in.w+1) + x + 1
			if in.blocked[n]-in.blocked[n-1]-in.blocked[n-in.w-1]+in.blocked[n-in.w-2] == 0 {
				out = append(out, in.min.Add(vg.Point{X: vg.Length(x) + 0.5, Y: vg.Length(y) + 0.5}))
			}
		}
	}
	far := func(p vg.Point) float64 { return math.Hypot(float64(p.X-to.X), float64(p.Y-to.Y)) }
	slices.SortStableFunc(out, func(p, q vg.Point) int { return cmp.Compare(far(p), far(q)) })
	return out[:min(most, len(out))]
}
