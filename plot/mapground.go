package plot

import (
	"cmp"
	"image"
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
)

// drawWalls draws the edges of the floor and its steps.
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

// drawBands fills the floor with the colour of its shallowest band and draws the deeper ones
// over it, each including all deeper ones, so that no ground shows between neighbours.
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

// drawImage draws the bands pixel by pixel, at the pixels of the picture itself if it has
// any.
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

// drawCut hatches the floor above the target, so that it shows without colour.
func (s *sheet) drawCut(c draw.Canvas) {
	if s.fill.Least >= 0 || s.Change {
		return
	}
	var parts [][][]vg.Point
	for k, r := range s.Floor.Regions {
		parts = append(parts, rings(below(r.TIN, s.depths[k], s.frame.vertices(r.TIN), 0)))
	}
	strokeAll(c, hatchAreas(parts, 1, 4.5), 0.45, cutLine)
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

// openings returns the openings on the page.
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

func (s *sheet) drawContours(c draw.Canvas, lines []measured, gaps [][]gap) {
	for i, k := range s.contours {
		width, ink := vg.Length(0.4), color.NRGBA{0, 0, 0, 150}
		if s.major(k.Level) && !s.plusMinus {
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
		for _, g := range gaps[i] {
			lines[i].addTo(&path, from, g.from)
			from = g.to
		}
		lines[i].addTo(&path, from, lines[i].length())
		stroke(c, path, width, ink, dash...)
		text := on(s.colorAt(k.Level))
		for _, g := range gaps[i] {
			if s.Change { // half of it may be on the grey of what is not shown, half on a dark band
				text = black
				g.label.plate(c, 230)
			}
			turned(c, lettering(smallest, false, text), g.label, s.bare(k.Level))
		}
	}
}

func (s *sheet) drawEdges(c draw.Canvas) {
	var rings, steps vg.Path
	for _, r := range s.Floor.Regions {
		rings = append(rings, s.frame.ringPath(r.Rings...)...)
	}
	rings = append(rings, s.frame.ringPath(s.Floor.Openings...)...)
	stroke(c, leftPath(s.frame, s.Floor), 0.8, grey, 3, 2)
	stroke(c, rings, 1.3, black)
	for _, e := range s.Floor.Steps {
		steps.Move(s.frame.at(e[0]))
		steps.Line(s.frame.at(e[1]))
	}
	strokeStep(c, steps)
}

// leftPath is the outline of the parts that were left out of a floor.
func leftPath(f frame, floor *surface.Floor) (path vg.Path) {
	for _, r := range floor.Left {
		path = append(path, f.ringPath(r.Rings...)...)
	}
	return path
}

// withLeft returns the corners of a floor with the parts that were left out.
func withLeft(f *surface.Floor) (lo, hi surface.Vec) {
	lo, hi = f.Bounds()
	for _, r := range f.Left {
		for _, p := range r.Rings[0] {
			lo = surface.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
			hi = surface.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
	}
	return lo, hi
}

// strokeStep draws a step as a black line with a broken white core, unlike any wall or
// contour.
func strokeStep(c draw.Canvas, path vg.Path) {
	stroke(c, path, 2.6, black)
	stroke(c, path, 1.2, white, 4, 3)
}

// strokeRamp draws the edge of a ramp as a broken black line on white, unlike any contour.
func strokeRamp(c draw.Canvas, path vg.Path) {
	stroke(c, path, 2, white)
	stroke(c, path, 1, black, 5, 2.5)
}

// strokeStop draws the line at which the fill on a ramp is to stop.
func strokeStop(c draw.Canvas, path vg.Path) {
	stroke(c, path, 2.6, white)
	stroke(c, path, 1.4, alarm)
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

// owners records in g the region of each cell.
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
	// A pit is in an opening of its room: the smaller region comes last.
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(size[j], size[i]) })
	g.owner = make([]int32, len(g.cells))
	for _, i := range order {
		for _, l := range hatch([][]vg.Point{rings[i]}, 0, 0.5) {
			last := l[0].X // of points half a cell apart, which miss none between
			for x := last; x <= l[1].X; x += 0.5 {
				last = x
			}
			left, right := math.Floor(float64(l[0].X-g.min.X)), math.Floor(float64(last-g.min.X))
			left, right = max(left, 0), min(right, float64(g.w-1))
			if y := math.Floor(float64(l[0].Y - g.min.Y)); y >= 0 && y < float64(g.h) {
				for k := int(y)*g.w + int(left); k <= int(y)*g.w+int(right); k++ {
					g.owner[k] = int32(i) + 1
				}
			}
		}
	}
	g.run()
}

// regionAt returns the region at a place, from 1, close enough for lettering; 0: none.
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
