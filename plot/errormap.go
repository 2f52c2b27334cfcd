package plot

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// ErrorMap is how well the depth of the fill is known, in plan: the ± that the depth at a place is
// within at nine of ten places.
type ErrorMap struct {
	Title   string
	Summary string // the main numbers, one line in bold
	Note    string

	Floor *surface.Floor                                   // as triangulated from the survey
	Error func(region int, places []surface.Vec) []float64 // m, not negative: the ± at places of a region
	Next  []surface.Vec                                    // places worth another shot, the best first
	Units unit.Style
}

// Map returns m as a map of depths with labels of its own: its floor is as far below level as the
// depth is uncertain. Where the ± of a place is not a number there is no map, see [ErrNoFloor].
func (m ErrorMap) Map() *DepthMap {
	d := &DepthMap{Title: m.Title, Summary: m.Summary, Note: m.Note, Target: surface.Horizontal(0), Units: m.Units, Shots: true, plusMinus: true}
	if !drawable(m.Floor) {
		return d
	}
	f := *m.Floor
	f.Regions = make([]surface.Region, len(m.Floor.Regions))
	longest := m.longest()
	for i, r := range m.Floor.Regions {
		r.TIN = refined(r.TIN, longest)
		places := make([]surface.Vec, len(r.TIN.X))
		for v := range places {
			places[v] = r.TIN.At(int32(v))
		}
		r.TIN.Z = make([]float64, len(places))
		for v, e := range m.Error(i, places) {
			if !(e >= 0 && e <= math.MaxFloat64) {
				return d
			}
			r.TIN.Z[v] = -e
		}
		f.Regions[i] = r
	}
	d.Floor = &f
	least, greatest := f.Depths(d.Target)
	d.Levels = ErrorLevels(least, greatest, m.Units)
	lo, hi := f.Bounds()
	for i, at := range m.Next {
		const size = 0.012 // of the floor: as large as the ring round a shot
		d.Spots = append(d.Spots, Spot{Name: strconv.Itoa(i + 1), At: at, Next: true, Rings: [][]surface.Vec{circle(at, size*max(hi.X-lo.X, hi.Y-lo.Y))}})
	}
	return d
}

// Plain reports whether m is the map of a ±, which has few labels in it.
func (m *DepthMap) Plain() bool { return m.plusMinus }

// circle returns a ring round a place.
func circle(at surface.Vec, radius float64) []surface.Vec {
	const corners = 24
	out := make([]surface.Vec, corners)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		out[i] = surface.Vec{X: at.X + radius*cos, Y: at.Y + radius*sin}
	}
	return out
}

// longest is the max length of an edge of the map, m: short beside the spacing of the shots, less so
// where that takes more triangles than are drawn as paths.
func (m ErrorMap) longest() float64 {
	const fine, coarse, few = 2, 1.5, 100 // edges from shot to shot, and up to how many shots
	if m.Floor.Used > few {
		return m.Floor.Spacing() / coarse
	}
	return m.Floor.Spacing() / fine
}

// errorSteps are the limits of the bands of a ± from 1 to 10, of the size of a unit each: as the ±
// goes with the distance to the shots, bands are wider the larger it is. In inches they are on a rule.
var errorSteps = map[bool][]float64{false: {1, 1.5, 2, 3, 4, 6, 8}, true: {1, 1.5}}

// ErrorLevels returns the limits of the bands of a ±, m, ascending, from at or below least to at or
// above greatest: from 0.5 mm or 1/64 in.
func ErrorLevels(least, greatest float64, u unit.Style) []float64 {
	size, by := 0.001, 10.0
	if u.Imperial {
		size, by = inch/64, 2
	}
	out := []float64{0}
	add := func(v float64) bool {
		if v <= least*(1+1e-9) {
			out = out[:0]
		}
		out = append(out, v)
		return v >= greatest*(1-1e-9)
	}
	done := !u.Imperial && add(size/2)
	for ; !done; size *= by {
		for _, k := range errorSteps[u.Imperial] {
			if done = add(k * size); done {
				break
			}
		}
	}
	return out
}

// ErrorText writes a ±: small ones to 0.1 mm or 1/64 in, others to 1 mm or 1/16 in.
func ErrorText(m float64, u unit.Style) string {
	const small = 0.005 // m
	text := fineDepth(u, m)
	if m > small {
		u.Denominator = 16
		text = u.Depth(m)
	}
	return "±" + strings.Replace(text, ".0 mm", " mm", 1)
}

// bareError writes a ± without its sign and its unit.
func bareError(m float64, u unit.Style) string {
	return strings.TrimSuffix(strings.TrimSuffix(strings.Replace(fineDepth(u, m), ".0 mm", " mm", 1), " mm"), `"`)
}

func (s *sheet) errorExtremes() []extreme {
	f := &s.fill
	most, least := ErrorText(f.Greatest, s.Units), ErrorText(f.Least, s.Units)
	if most == least {
		return []extreme{{f.GreatestAt, most + " all over"}}
	}
	if s.small {
		return []extreme{{f.GreatestAt, "max " + most}}
	}
	return []extreme{{f.GreatestAt, "max " + most}, {f.LeastAt, "min " + least}}
}

// refined returns t with its edges halved until none is longer than longest, m, and the triangles
// divided there. It has no elevations.
func refined(t *surface.TIN, longest float64) *surface.TIN {
	out := &surface.TIN{Origin: t.Origin, X: slices.Clone(t.X), Y: slices.Clone(t.Y), V: t.V}
	for halve(out, longest) {
	}
	out.Twin = make([]int32, len(out.V))
	half := make(map[[2]int32]int32, len(out.V))
	for h := range int32(len(out.V)) {
		half[[2]int32{out.V[h], out.V[surface.Next(h)]}] = h
	}
	for h := range out.Twin {
		out.Twin[h] = -1
		if w, ok := half[[2]int32{out.V[surface.Next(int32(h))], out.V[h]}]; ok {
			out.Twin[h] = w
		}
	}
	return out
}

// halve halves each edge of t that is longer than longest, m, and reports whether there was one.
func halve(t *surface.TIN, longest float64) bool {
	middles := map[[2]int32]int32{}
	middle := func(a, b int32) int32 {
		a, b = min(a, b), max(a, b) // once for the triangles on both sides
		if !(math.Hypot(t.X[b]-t.X[a], t.Y[b]-t.Y[a]) > longest) {
			return -1
		}
		m, ok := middles[[2]int32{a, b}]
		if !ok {
			m = int32(len(t.X))
			middles[[2]int32{a, b}] = m
			t.X, t.Y = append(t.X, (t.X[a]+t.X[b])/2), append(t.Y, (t.Y[a]+t.Y[b])/2)
		}
		return m
	}
	out := make([]int32, 0, 2*len(t.V))
	for k := range t.Len() {
		var m [3]int32 // the middle of the edge from each corner
		c := [3]int32(t.V[3*k : 3*k+3])
		halved := 0
		for i := range c {
			if m[i] = middle(c[i], c[(i+1)%3]); m[i] >= 0 {
				halved++
			}
		}
		for (halved == 1 || halved == 2) && !(m[0] >= 0 && m[2] < 0) { // so that the first edge is halved, and the last is not
			c, m = [3]int32{c[1], c[2], c[0]}, [3]int32{m[1], m[2], m[0]}
		}
		switch halved {
		case 0:
			out = append(out, c[0], c[1], c[2])
		case 1:
			out = append(out, c[0], m[0], c[2], m[0], c[1], c[2])
		case 2:
			out = append(out, m[0], c[1], m[1], c[0], m[0], m[1], c[0], m[1], c[2])
		default:
			out = append(out, c[0], m[0], m[2], m[0], c[1], m[1], m[2], m[1], c[2], m[0], m[1], m[2])
		}
	}
	t.V = out
	return len(middles) > 0
}
