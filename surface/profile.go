package surface

import (
	"cmp"
	"slices"
)

// Station is a place on a profile.
type Station struct {
	Distance  float64 // m from the start of the line, in plan
	At        Vec
	Elevation float64 // m
	Part      string  // of a profile: that it is over, by [Region.Part]
}

// Profile returns the floor along the straight line from a to b: one run of stations per
// stretch over floor. Between stations the floor is straight. Where the line crosses a step
// one stretch ends and another begins at the same distance.
func (f *Floor) Profile(a, b Vec) [][]Station {
	var out [][]Station
	for _, r := range f.Regions {
		for _, run := range r.TIN.profile(a, b) {
			for i := range run {
				run[i].Part = r.Part
			}
			out = append(out, run)
		}
	}
	slices.SortStableFunc(out, func(p, q []Station) int { return cmp.Compare(p[0].Distance, q[0].Distance) })
	return out
}

func (t *TIN) profile(a, b Vec) [][]Station {
	length := a.Distance(b)
	if length == 0 {
		return nil
	}
	type piece struct{ from, to Station }
	var pieces []piece
	ax, ay := a.X-t.Origin.X, a.Y-t.Origin.Y
	dx, dy := b.X-a.X, b.Y-a.Y
	for k := range t.Len() {
		var x, y, z, off [3]float64
		neg, pos := false, false
		for i, v := range t.V[3*k : 3*k+3] {
			x[i], y[i], z[i] = t.X[v]-ax, t.Y[v]-ay, t.Z[v]
			off[i] = dx*y[i] - dy*x[i] // which side of the line
			neg, pos = neg || off[i] < 0, pos || off[i] > 0
		}
		if (!neg || !pos) && !onLine(off) {
			continue
		}
		var ends []Station
		add := func(px, py, pz float64) {
			s := (px*dx + py*dy) / (length * length)
			ends = append(ends, Station{Distance: s * length, At: Vec{X: a.X + s*dx, Y: a.Y + s*dy}, Elevation: pz})
		}
		for i := range 3 {
			j := (i + 1) % 3
			switch {
			case off[i] == 0:
				add(x[i], y[i], z[i])
			case off[i] < 0 != (off[j] < 0) && off[j] != 0:
				s := off[i] / (off[i] - off[j])
				add(x[i]+s*(x[j]-x[i]), y[i]+s*(y[j]-y[i]), z[i]+s*(z[j]-z[i]))
			}
		}
		if len(ends) < 2 {
			continue
		}
		p := piece{ends[0], ends[1]}
		if p.from.Distance > p.to.Distance {
			p.from, p.to = p.to, p.from
		}
		// Cut to the line.
		cut := func(s, o Station, d float64) Station {
			q := (d - s.Distance) / (o.Distance - s.Distance)
			return Station{Distance: d, At: Vec{X: a.X + d/length*dx, Y: a.Y + d/length*dy}, Elevation: s.Elevation + q*(o.Elevation-s.Elevation)}
		}
		if p.to.Distance <= 0 || p.from.Distance >= length || p.to.Distance == p.from.Distance {
			continue
		}
		whole := p
		if p.from.Distance < 0 {
			p.from = cut(whole.from, whole.to, 0)
		}
		if p.to.Distance > length {
			p.to = cut(whole.from, whole.to, length)
		}
		pieces = append(pieces, p)
	}
	slices.SortFunc(pieces, func(p, q piece) int { return cmp.Compare(p.from.Distance, q.from.Distance) })
	var out [][]Station
	const gap = 1e-7 // m: pieces of neighbouring triangles meet to within a few nanometres
	for _, p := range pieces {
		n := len(out)
		if n == 0 || p.from.Distance-out[n-1][len(out[n-1])-1].Distance > gap {
			out = append(out, []Station{p.from, p.to})
			continue
		}
		if p.to.Distance-out[n-1][len(out[n-1])-1].Distance > gap {
			out[n-1] = append(out[n-1], p.to)
		}
	}
	return out
}

// onLine reports whether a triangle beside the line has an edge on it. The neighbour across
// that edge also has it, but at an edge of the floor there is no neighbour.
func onLine(off [3]float64) bool {
	n := 0
	for _, o := range off {
		if o == 0 {
			n++
		}
	}
	return n == 2
}
