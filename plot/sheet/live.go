//go:build !light

package sheet

import (
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"

	"pourplane/plot"
	"pourplane/surface"
	"pourplane/survey"
)

const (
	// Up to this number the page has the triangles themselves, about 40 bytes each.
	mostTriangles = 20_000
	// Above it, a grid of depths with this many cells along the longer side of the floor.
	gridCells = 200
)

// live is the floor for the script of a page: all it needs for the depth at a place. Lengths
// are metres, places are on the grid of the survey.
type live struct {
	Denominator int            `json:"denominator"` // of inches; 0: millimetres
	Departure   bool           `json:"departure"`
	Size        float64        `json:"size"` // m, unit of the places shown
	Unit        string         `json:"unit"`
	Stride      float64        `json:"stride"` // step of an arrow key
	Frames      []liveFrame    `json:"frames"` // of the pictures, wide and narrow
	Lo          [2]float64     `json:"lo"`
	Hi          [2]float64     `json:"hi"`
	Regions     []liveRegion   `json:"regions"`
	Openings    [][][2]float64 `json:"openings"`
	Pins        []livePin      `json:"pins,omitempty"`

	note string // if the depths are not those of the triangles
}

type livePin struct {
	X    float64 `json:"x"` // m
	Y    float64 `json:"y"`
	Name string  `json:"name"`
	Text string  `json:"text"`
}

type liveFrame struct {
	Width  float64 `json:"width"` // points
	X      float64 `json:"x"`     // of the upper left corner
	Y      float64 `json:"y"`
	Metres float64 `json:"metres"` // per point
}

// liveRegion has either triangles or a grid of nodes. Numbers are in base64, low bytes first.
type liveRegion struct {
	Name string  `json:"name"`
	X    float64 `json:"x"` // origin of at, or of the nodes
	Y    float64 `json:"y"`

	At      string `json:"at,omitempty"`      // float64: x, y and depth of each vertex
	Corners string `json:"corners,omitempty"` // uint32: three vertices per triangle, counter-clockwise

	Nodes  string         `json:"nodes,omitempty"` // float32: depths, row by row from the south-west
	Across int            `json:"across,omitempty"`
	Step   float64        `json:"step,omitempty"`
	Rings  [][][2]float64 `json:"rings,omitempty"`
}

func newLive(m *plot.DepthMap) (*live, error) {
	lo, hi := m.Floor.Bounds()
	l := &live{
		Departure: m.Departure, Size: 1, Unit: "m", Stride: 0.1,
		Lo: [2]float64{lo.X, lo.Y}, Hi: [2]float64{hi.X, hi.Y},
		Openings: places(m.Floor.Openings),
	}
	if m.Units.Imperial {
		l.Size, l.Unit, l.Stride = m.Units.Places().Metres(), m.Units.Places().String(), 0.3048/4
		l.Denominator = int(math.Round(0.0254 / m.Units.Step()))
	}
	for _, width := range []vg.Length{wideWidth, narrowWidth} {
		f, err := m.Frame(width)
		if err != nil {
			return nil, err
		}
		l.Frames = append(l.Frames, liveFrame{f.Width, f.Corner.X, f.Corner.Y, f.Metres})
	}
	if least, greatest := m.Floor.Depths(m.Target); math.IsNaN(least+greatest) || math.IsInf(least, 0) || math.IsInf(greatest, 0) {
		return nil, &survey.Error{Element: "depth map", Found: fmt.Sprintf("depths from %g to %g m", least, greatest), Want: "numbers"}
	}
	triangles := 0
	for _, r := range m.Floor.Regions {
		triangles += r.TIN.Len()
	}
	if triangles <= mostTriangles {
		for _, r := range m.Floor.Regions {
			l.Regions = append(l.Regions, withTriangles(r, r.TIN.Depths(m.Target)))
		}
		return l, nil
	}
	step := max(hi.X-lo.X, hi.Y-lo.Y) / gridCells
	var off []float64
	for _, r := range m.Floor.Regions {
		depth := r.TIN.Depths(m.Target)
		g := newNodes(r.TIN, depth, step)
		for i, d := range depth {
			off = append(off, math.Abs(g.at(r.TIN.X[i], r.TIN.Y[i])-d))
		}
		l.Regions = append(l.Regions, liveRegion{
			Name: r.Name, X: r.TIN.Origin.X + g.x, Y: r.TIN.Origin.Y + g.y,
			Nodes: packed(g.depth), Across: g.across, Step: step, Rings: places(r.Rings),
		})
	}
	slices.Sort(off)
	up := func(v float64) string { return m.Units.DepthUp(v) }
	l.note = fmt.Sprintf("This floor has too many triangles for a page: the depths shown here are read from a grid of %s instead. At 95 %% of the surveyed places they are within %s of the surface; the max difference is %s.",
		m.Units.Length(step), up(off[len(off)*95/100]), up(off[len(off)-1]))
	return l, nil
}

func places(rings [][]surface.Vec) [][][2]float64 {
	out := make([][][2]float64, len(rings))
	for i, ring := range rings {
		for _, p := range ring {
			out[i] = append(out[i], [2]float64{p.X, p.Y})
		}
	}
	return out
}

// packed returns fixed-size numbers as base64, low bytes first, as typed arrays have them on
// the phones and computers that show the page.
func packed(numbers any) string {
	b, err := binary.Append(nil, binary.LittleEndian, numbers)
	if err != nil {
		panic(err) // a type of no fixed size is a bug in this file
	}
	return base64.StdEncoding.EncodeToString(b)
}

func withTriangles(r surface.Region, depth []float64) liveRegion {
	t := r.TIN
	at := make([]float64, 0, 3*len(depth))
	for i, d := range depth {
		at = append(at, t.X[i], t.Y[i], d)
	}
	return liveRegion{Name: r.Name, X: t.Origin.X, Y: t.Origin.Y, At: packed(at), Corners: packed(t.V)}
}

// nodes is a grid of depths over a region and a cell or two beyond, so that every place of
// the region is between four nodes.
type nodes struct {
	x, y, step   float64 // of the south-west node, from the origin of the triangles, m
	across, tall int
	depth        []float32 // m, row by row
}

func newNodes(t *surface.TIN, depth []float64, step float64) *nodes {
	x0, x1, y0, y1 := slices.Min(t.X), slices.Max(t.X), slices.Min(t.Y), slices.Max(t.Y)
	g := &nodes{
		x: x0 - step, y: y0 - step, step: step,
		across: int(math.Ceil((x1-x0)/step)) + 3, tall: int(math.Ceil((y1-y0)/step)) + 3,
	}
	g.depth = make([]float32, g.across*g.tall)
	known := make([]bool, len(g.depth))
	for k := range t.Len() {
		g.mark(t, depth, k, known)
	}
	g.seed(t, depth, known)
	g.spread(known)
	return g
}

// seed gives each node beside the triangles the mean depth of the vertices nearest to it, so
// that parts narrower than a cell have a depth too.
func (g *nodes) seed(t *surface.TIN, depth []float64, known []bool) {
	sum := map[int]float64{}
	count := map[int]int{}
	for v, d := range depth {
		i, j := int(math.Round((t.X[v]-g.x)/g.step)), int(math.Round((t.Y[v]-g.y)/g.step))
		if n := j*g.across + i; !known[n] {
			sum[n] += d
			count[n]++
		}
	}
	for n, c := range count {
		g.depth[n] = float32(sum[n] / float64(c))
		known[n] = true
	}
}

// mark sets the nodes in triangle k.
func (g *nodes) mark(t *surface.TIN, depth []float64, k int, known []bool) {
	a, b, c := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
	cells := func(lo, hi, from float64) (int, int) {
		return int(math.Ceil((lo - from) / g.step)), int(math.Floor((hi - from) / g.step))
	}
	i0, i1 := cells(min(t.X[a], t.X[b], t.X[c]), max(t.X[a], t.X[b], t.X[c]), g.x)
	j0, j1 := cells(min(t.Y[a], t.Y[b], t.Y[c]), max(t.Y[a], t.Y[b], t.Y[c]), g.y)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			x, y := g.x+float64(float64(i)*g.step), g.y+float64(float64(j)*g.step)
			side := func(p, q int32) float64 {
				return float64((t.X[p]-x)*(t.Y[q]-y)) - float64((t.Y[p]-y)*(t.X[q]-x))
			}
			u, v, w := side(b, c), side(c, a), side(a, b)
			if n := j*g.across + i; u >= 0 && v >= 0 && w >= 0 && u+v+w > 0 {
				g.depth[n] = float32((float64(u*depth[a]) + float64(v*depth[b]) + float64(w*depth[c])) / (u + v + w))
				known[n] = true
			}
		}
	}
}

// spread gives each node without a depth the mean of its neighbours that have one, from the
// region outward until all have one.
func (g *nodes) spread(known []bool) {
	for {
		var reached []int
		for n := range known {
			if known[n] {
				continue
			}
			var sum float64
			count := 0
			for dj := -1; dj <= 1; dj++ {
				for di := -1; di <= 1; di++ {
					i, j := n%g.across+di, n/g.across+dj
					if i < 0 || i >= g.across || j < 0 || j >= g.tall || !known[j*g.across+i] {
						continue
					}
					sum += float64(g.depth[j*g.across+i])
					count++
				}
			}
			if count > 0 {
				g.depth[n] = float32(sum / float64(count))
				reached = append(reached, n)
			}
		}
		if len(reached) == 0 {
			return
		}
		for _, n := range reached {
			known[n] = true
		}
	}
}

// at returns the depth between the nodes round a place, m from the origin of the triangles.
func (g *nodes) at(x, y float64) float64 {
	u, v := (x-g.x)/g.step, (y-g.y)/g.step
	i, j := int(u), int(v)
	s, t := u-float64(i), v-float64(j)
	d := func(i, j int) float64 { return float64(g.depth[j*g.across+i]) }
	return (1-t)*((1-s)*d(i, j)+s*d(i+1, j)) + t*((1-s)*d(i, j+1)+s*d(i+1, j+1))
}
