package surface

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// Region is a piece of floor with its own outline and surface. The two sides of a step are
// two regions.
type Region struct {
	Name  string
	Part  string  // name of its outline, which several regions may share
	Rings [][]Vec // outer ring first, counter-clockwise; then the openings, clockwise
	TIN   *TIN
	Shots []survey.Point // used for its surface; TIN.Shot indexes them
}

// Floor is the whole floor to fill.
type Floor struct {
	Regions    []Region
	Openings   [][]Vec        // not poured, for drawing
	Steps      [][2]Vec       // pieces of the lines between regions
	Open       [][2]Vec       // pieces of the lines between regions and parts that were left out, see [Floor.Without]
	Left       []Region       // of parts that were left out
	Perimeter  float64        // m of wall: outer edges and openings, steps not counted
	StepLength float64        // m
	Data       Data           // what it was built from; empty for a surface that came with faces
	Hull       bool           // no outline was given: the edge is the hull of the shots
	Shots      int            // shots given
	Used       int            // shots not left out
	Elsewhere  error          // not nil if the outline seems to be of another survey, a [Missed]: most shots are outside
	Thresholds []survey.Point // shots on adjoining finished floor; [Floor.Beside] names their walls
	Notes      []survey.Note
}

// Bounds returns the south-west and north-east corners of the floor.
func (f *Floor) Bounds() (lo, hi Vec) {
	first := true
	for _, r := range f.Regions {
		t := r.TIN
		if len(t.X) == 0 {
			continue
		}
		// Rounding keeps the order, so these are the extremes of At.
		west, east := extremes(t.X)
		south, north := extremes(t.Y)
		p, q := Vec{X: t.Origin.X + west, Y: t.Origin.Y + south}, Vec{X: t.Origin.X + east, Y: t.Origin.Y + north}
		if first {
			lo, hi, first = p, q, false
		}
		lo = Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
	}
	return lo, hi
}

// extremes returns the min and max of v.
func extremes(v []float64) (least, greatest float64) {
	least, greatest = v[0], v[0]
	for _, x := range v { // comparisons are faster than min and max
		if x < least {
			least = x
		}
		if x > greatest {
			greatest = x
		}
	}
	return least, greatest
}

// Outlines returns the edges of the floor as rings without elevations, for building another
// surface inside the same walls.
func (f *Floor) Outlines() []survey.Ring {
	var out []survey.Ring
	for _, r := range f.Regions {
		for _, loop := range r.Rings {
			ring := survey.Ring{Name: r.Name}
			if RingArea(loop) < 0 {
				ring.Kind = survey.Hole
			}
			for i, p := range loop {
				ring.Points = append(ring.Points, survey.Point{X: p.X, Y: p.Y, Z: math.NaN()})
				if name := f.wallName(p, loop[(i+1)%len(loop)]); name != "" {
					if ring.Walls == nil {
						ring.Walls = make([]string, len(loop))
					}
					ring.Walls[i] = name
				}
			}
			out = append(out, ring)
		}
	}
	return out
}

// Depths returns the min and max depth from f to target, m.
func (f *Floor) Depths(target Target) (least, greatest float64) {
	f = f.under(target)
	least, greatest = math.Inf(1), math.Inf(-1)
	for _, r := range f.Regions {
		d := r.TIN.Depths(target)
		least, greatest = min(least, slices.Min(d)), max(greatest, slices.Max(d))
	}
	return least, greatest
}

// Spacing returns the side of the square that one shot represents, m: the usual distance
// between shots.
func (f *Floor) Spacing() float64 {
	var area sum.Sum
	for _, r := range f.Regions {
		area.Add(r.TIN.PlanArea())
	}
	return math.Sqrt(area.Value() / float64(max(1, f.Used)))
}

// Surfaces returns the floor as surfaces with faces, for export: one per region, vertices on
// the grid of the survey. Each has a different name.
func (f *Floor) Surfaces() []survey.Surface {
	var out []survey.Surface
	taken := map[string]bool{}
	for _, r := range f.Regions {
		first := cmp.Or(r.Name, "floor")
		name := first
		for n := 2; taken[name]; n++ {
			name = fmt.Sprintf("%s (%d)", first, n)
		}
		taken[name] = true
		s := survey.Surface{Name: name, Vertices: make([]survey.Point, len(r.TIN.Z))}
		for v := range s.Vertices {
			at := r.TIN.At(int32(v))
			s.Vertices[v] = survey.Point{X: at.X, Y: at.Y, Z: r.TIN.Z[v]}
			if i := r.TIN.Shot[v]; i >= 0 {
				s.Vertices[v] = s.Vertices[v].With(survey.Tag{Name: r.Shots[i].Name(), Code: r.Shots[i].Code()})
			}
		}
		s.Faces = make([][3]int32, 0, r.TIN.Len())
		for t := range r.TIN.Len() {
			s.Faces = append(s.Faces, [3]int32(r.TIN.V[3*t:3*t+3]))
		}
		out = append(out, s)
	}
	return out
}
