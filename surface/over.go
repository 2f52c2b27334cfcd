package surface

import (
	"math"

	"pourplane/surface/internal/exact"
	"pourplane/surface/internal/sum"
)

// on is how far, m, a surface may be from another and still count as on it.
const on = 2e-9

// Over returns the part of f that is above target, or below it, and that holds the place at, or is
// nearest to it: triangles with the elevations of f, cut along the line where the two meet. It is
// nil if there is none. Within two nanometres of target f counts as on it. Errors are those of
// [Floor.Under].
func (f *Floor) Over(target Target, below bool, at Vec) (*TIN, error) {
	split, err := f.Under(target)
	if err != nil {
		return nil, err
	}
	var best *TIN
	nearest := math.Inf(1)
	for _, r := range split.Regions {
		over := r.TIN.Depths(target)
		for v := range over {
			if !below {
				over[v] = 0 - over[v]
			}
			if math.Abs(over[v]) < on {
				over[v] = 0
			}
		}
		t := r.TIN.clipped(over)
		if t.Len() == 0 {
			continue
		}
		t.join()
		if part, off := t.pieceAt(at); off < nearest {
			best, nearest = part, off
		}
	}
	return best, nil
}

// clipped returns the part of t where over, given by vertex, is above 0.
func (t *TIN) clipped(over []float64) *TIN {
	out := &TIN{Origin: t.Origin}
	place := func(x, y, z float64) int32 {
		out.X, out.Y, out.Z = append(out.X, x), append(out.Y, y), append(out.Z, z)
		return int32(len(out.X) - 1)
	}
	kept, cut := map[int32]int32{}, map[[2]int32]int32{}
	keep := func(v int32) int32 {
		n, ok := kept[v]
		if !ok {
			n = place(t.X[v], t.Y[v], t.Z[v])
			kept[v] = n
		}
		return n
	}
	crossing := func(u, v int32) int32 {
		if u > v {
			u, v = v, u
		}
		n, ok := cut[[2]int32{u, v}]
		if !ok {
			k := over[u] / (over[u] - over[v])
			n = place(t.X[u]+float64(k*(t.X[v]-t.X[u])), t.Y[u]+float64(k*(t.Y[v]-t.Y[u])), t.Z[u]+float64(k*(t.Z[v]-t.Z[u])))
			cut[[2]int32{u, v}] = n
		}
		return n
	}
	for k := range t.Len() {
		if max(over[t.V[3*k]], over[t.V[3*k+1]], over[t.V[3*k+2]]) <= 0 {
			continue
		}
		var corners []int32
		for i := range 3 {
			u, v := t.V[3*k+i], t.V[3*k+(i+1)%3]
			if over[u] >= 0 {
				corners = append(corners, keep(u))
			}
			if over[u] > 0 && over[v] < 0 || over[u] < 0 && over[v] > 0 {
				corners = append(corners, crossing(u, v))
			}
		}
		for i := 2; i < len(corners); i++ {
			a, b, c := corners[0], corners[i-1], corners[i]
			if exact.Orient(out.X[a], out.Y[a], out.X[b], out.Y[b], out.X[c], out.Y[c]) > 0 {
				out.V = append(out.V, a, b, c)
			}
		}
	}
	return out
}

// pieceAt returns the triangles of t that hang together by edges with the one at a place, or with
// the nearest one, and how far that is.
func (t *TIN) pieceAt(at Vec) (*TIN, float64) {
	best, nearest := 0, math.Inf(1)
	for k := range t.Len() {
		for i := range 3 {
			a, b := t.At(t.V[3*k+i]), t.At(t.V[3*k+(i+1)%3])
			if d := at.Distance(at.NearestOn(a, b)); d < nearest {
				best, nearest = k, d
			}
		}
	}
	if _, k, ok := t.Locator().At(at); ok {
		best, nearest = k, 0
	}
	seen := make([]bool, t.Len())
	seen[best] = true
	out := TIN{Origin: t.Origin}
	number := map[int32]int32{}
	for queue := []int32{int32(best)}; len(queue) > 0; {
		k := queue[0]
		queue = queue[1:]
		for _, v := range t.V[3*k : 3*k+3] {
			n, ok := number[v]
			if !ok {
				n = int32(len(out.X))
				number[v] = n
				out.X, out.Y, out.Z = append(out.X, t.X[v]), append(out.Y, t.Y[v]), append(out.Z, t.Z[v])
				out.Fitted, out.Shot = append(out.Fitted, true), append(out.Shot, -1)
			}
			out.V = append(out.V, n)
		}
		for _, w := range t.Twin[3*k : 3*k+3] {
			if w >= 0 && !seen[w/3] {
				seen[w/3] = true
				queue = append(queue, w/3)
			}
		}
	}
	out.join()
	return &out, nearest
}

// Borders returns the edges of t as rings, the largest outer ring first.
func (t *TIN) Borders() [][]Vec { return t.borders() }

// Edges returns the edges of t, in pieces.
func (t *TIN) Edges() [][2]Vec {
	var out [][2]Vec
	for h, w := range t.Twin {
		if w < 0 {
			out = append(out, [2]Vec{t.At(t.V[h]), t.At(t.V[Next(int32(h))])})
		}
	}
	return out
}

// Shallow is where a fill is thinner than a least depth, in a part of a floor.
type Shallow struct {
	Line     [][2]Vec // pieces of the line where it has the least depth, inside the part
	Length   float64  // m, of that line
	Nearest  float64  // m, of any shallow place from the line asked for
	Farthest float64  // m
	Area     float64  // m²
	Chase    float64  // m³ between the old floor and the least depth below the target
	Cut      float64  // m³ of that above the target
}

// Shallow returns where the depth from f to target is less than least on the triangles, after
// [Floor.Under], whose middle is in the part. Distances are from the line a-b.
//
// Depth is linear over a triangle, so the line is straight within each and the volume is exact.
func (f *Floor) Shallow(target Target, least float64, in func(Vec) bool, a, b Vec) (Shallow, error) {
	split, err := f.Under(target)
	if err != nil {
		return Shallow{}, err
	}
	out := Shallow{Nearest: math.Inf(1)}
	var length, area, chase, cut sum.Sum
	for _, r := range split.Regions {
		t := r.TIN
		d := t.Depths(target)
		for v := range d {
			if math.Abs(d[v]-least) < on {
				d[v] = least
			}
		}
		for k := range t.Len() {
			v := [3]int32(t.V[3*k : 3*k+3])
			p := [3]Vec{t.At(v[0]), t.At(v[1]), t.At(v[2])}
			if !in(Vec{X: (p[0].X + p[1].X + p[2].X) / 3, Y: (p[0].Y + p[1].Y + p[2].Y) / 3}) {
				continue
			}
			plan := t.area(k)
			where, under := above(plan, least-d[v[0]], least-d[v[1]], least-d[v[2]])
			area.Add(where)
			chase.Add(under)
			_, high := above(plan, -d[v[0]], -d[v[1]], -d[v[2]])
			cut.Add(high)
			var ends []Vec
			see := func(at Vec) {
				away := at.Distance(at.NearestOn(a, b))
				out.Nearest, out.Farthest = min(out.Nearest, away), max(out.Farthest, away)
			}
			for i := range 3 {
				j := (i + 1) % 3
				if d[v[i]] < least {
					see(p[i])
				}
				if (d[v[i]] < least) != (d[v[j]] < least) {
					s := (least - d[v[i]]) / (d[v[j]] - d[v[i]])
					ends = append(ends, Vec{X: p[i].X + s*(p[j].X-p[i].X), Y: p[i].Y + s*(p[j].Y-p[i].Y)})
				}
			}
			if len(ends) == 2 && ends[0] != ends[1] {
				out.Line = append(out.Line, [2]Vec{ends[0], ends[1]})
				length.Add(ends[0].Distance(ends[1]))
				see(ends[0])
				see(ends[1])
			}
		}
	}
	out.Length, out.Area, out.Chase, out.Cut = length.Value(), area.Value(), chase.Value(), cut.Value()
	return out, nil
}
