package surface

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"pourplane/survey"
)

// Side is a distance square to a wall. Two of them give a place on the floor.
type Side struct {
	Wall     string   // the direction it faces from the floor, y being north: "west", "inner north-east"
	Name     string   // from the outline; often empty
	Doors    []string // names of its thresholds
	Inner    bool     // behind the outermost wall that faces that way
	Distance float64  // m
}

// Beside returns the distances of p from two outer walls of f: from the nearest of those
// that face east or west, then from the nearest of those that face north or south. A wall
// counts if the line from p square to it meets it with p on its floor side. Steps and
// openings do not count. If no wall counts there are fewer distances. If several walls face
// one way, as in an L, those behind the outermost are inner walls, numbered inward.
func (f *Floor) Beside(p Vec) []Side {
	near := f.faced(p)
	return slices.DeleteFunc([]Side{f.nearestSide(near[0]), f.nearestSide(near[1])}, func(s Side) bool { return s.Wall == "" })
}

// BesideBoth returns the distances of two places from the same two walls, those nearest to
// both together, as [Floor.Beside] does for one. Without a wall that both face, each place
// has its own.
func (f *Floor) BesideBoth(p, q Vec) (ofP, ofQ []Side) {
	nearP, nearQ := f.faced(p), f.faced(q)
	for axis := range 2 {
		var both []facedWall
		for _, w := range nearP[axis] {
			for _, v := range nearQ[axis] {
				if w.ends == v.ends {
					both = append(both, facedWall{w.ends, w.way, w.away + v.away})
				}
			}
		}
		if len(both) == 0 {
			continue
		}
		wall := f.nearestWall(both)
		keep := func(all []facedWall) []facedWall {
			return slices.DeleteFunc(all, func(w facedWall) bool { return w.ends != wall.ends })
		}
		nearP[axis], nearQ[axis] = keep(nearP[axis]), keep(nearQ[axis])
	}
	none := func(s Side) bool { return s.Wall == "" }
	return slices.DeleteFunc([]Side{f.nearestSide(nearP[0]), f.nearestSide(nearP[1])}, none), slices.DeleteFunc([]Side{f.nearestSide(nearQ[0]), f.nearestSide(nearQ[1])}, none)
}

// facedWall is a wall that a place faces.
type facedWall struct {
	ends [2]Vec
	way  string // the direction it faces from the floor
	away float64
}

// faced returns the walls that p faces: those that face east or west, and the others.
func (f *Floor) faced(p Vec) (out [2][]facedWall) {
	f.facing(p, func(a, b, e Vec, away float64) {
		axis := 0
		if math.Abs(e.X) > math.Abs(e.Y) {
			axis = 1
		}
		out[axis] = append(out[axis], facedWall{[2]Vec{a, b}, CompassPoint(e.Y, -e.X), away})
	})
	return out
}

// nearestWall returns the nearest of some walls.
func (f *Floor) nearestWall(all []facedWall) facedWall {
	nearest := all[0]
	for _, w := range all[1:] {
		const same = 1e-6 // m: as far from both walls, but for rounding
		if w.away < nearest.away-same || w.away <= nearest.away+same && f.before(w.ends, nearest.ends) {
			nearest = w
		}
	}
	return nearest
}

// nearestSide returns the nearest of some walls with its name; the zero Side for none.
func (f *Floor) nearestSide(all []facedWall) Side {
	if len(all) == 0 {
		return Side{}
	}
	w := f.nearestWall(all)
	inner := f.inward(w.ends[0], w.ends[1])
	return Side{Wall: inner + w.way, Name: f.wallName(w.ends[0], w.ends[1]), Doors: f.doorsAt(w.ends[0], w.ends[1]), Inner: inner != "", Distance: w.away}
}

// before reports whether a place as far from two walls is given from the first: from an
// outermost wall rather than an inner one, else from the one with the lesser coordinates.
func (f *Floor) before(w, v [2]Vec) bool {
	if a, b := f.inward(w[0], w[1]) == "", f.inward(v[0], v[1]) == ""; a != b {
		return a
	}
	return Vec{X: (w[0].X + w[1].X) / 2, Y: (w[0].Y + w[1].Y) / 2}.Less(Vec{X: (v[0].X + v[1].X) / 2, Y: (v[0].Y + v[1].Y) / 2})
}

// Inner reports whether any wall of f is an inner one.
func (f *Floor) Inner() bool {
	facing := map[Vec][]float64{}
	f.outerWalls(func(a, b Vec) {
		way := outward(a, b)
		facing[way] = append(facing[way], out(a, b, way))
	})
	for _, at := range facing {
		slices.Sort(at)
		for i := 1; i < len(at); i++ {
			if at[i]-at[i-1] > oneWall {
				return true
			}
		}
	}
	return false
}

// oneWall is how far apart walls on lines that face the same way still count as one wall, m,
// as do the chords of a round one. Own choice: the depth of a half-brick pier.
const oneWall = 0.1

// out returns how far out the wall from a to b is in the direction way, m.
func out(a, b, way Vec) float64 {
	return float64((a.X+b.X)/2*way.X) + float64((a.Y+b.Y)/2*way.Y)
}

// inward distinguishes the wall from a to b from others that face the same way: empty for
// the outermost, else "inner ", with a number if there are several.
func (f *Floor) inward(a, b Vec) string {
	way := outward(a, b)
	var at []float64
	f.outerWalls(func(p, q Vec) {
		if outward(p, q) == way {
			at = append(at, out(p, q, way))
		}
	})
	slices.SortFunc(at, func(x, y float64) int { return cmp.Compare(y, x) })
	mine, lines, rank := out(a, b, way), 0, 0
	for i, x := range at {
		if i == 0 || at[i-1]-x > oneWall {
			lines++
		}
		if x == mine {
			rank = lines
		}
	}
	switch {
	case rank < 2:
		return ""
	case lines == 2:
		return "inner "
	}
	return ordinal(rank-1) + " inner "
}

// ordinal writes 1 as 1st.
func ordinal(n int) string {
	end := "th"
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			end = "st"
		case 2:
			end = "nd"
		case 3:
			end = "rd"
		}
	}
	return strconv.Itoa(n) + end
}

// outerWalls calls see for every outer wall. The floor is on the left.
func (f *Floor) outerWalls(see func(a, b Vec)) {
	inside := f.inside()
	for _, r := range f.Regions {
		if len(r.Rings) == 0 {
			continue
		}
		ring := r.Rings[0] // counter-clockwise: the floor is on its left
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if a != b && !inside[[2]Vec{a, b}] {
				see(a, b)
			}
		}
	}
}

// facing calls see for every outer wall that p faces: it runs from a to b in the unit
// direction e, with the floor on its left; p is away from it, m.
func (f *Floor) facing(p Vec, see func(a, b, e Vec, away float64)) {
	f.outerWalls(func(a, b Vec) {
		length := a.Distance(b)
		e := Vec{X: (b.X - a.X) / length, Y: (b.Y - a.Y) / length}
		along := float64((p.X-a.X)*e.X) + float64((p.Y-a.Y)*e.Y)
		away := float64((p.Y-a.Y)*e.X) - float64((p.X-a.X)*e.Y)
		const touch = 1e-6 // m: a place on a wall is on its floor side
		if along >= -touch && along <= length+touch && away >= -touch {
			see(a, b, e, max(away, 0))
		}
	})
}

// offWall is how far a place may be from the line of a wall and still be on it, m. Rounding
// to the nanometre grid moves corners by less.
const offWall = 1e-4

// offLine returns the distance of p along the line from a to b, and from that line, m.
func offLine(p, a, b Vec) (along, off float64) {
	length := a.Distance(b)
	x, y := (b.X-a.X)/length, (b.Y-a.Y)/length
	return float64((p.X-a.X)*x) + float64((p.Y-a.Y)*y), math.Abs(float64((p.Y-a.Y)*x) - float64((p.X-a.X)*y))
}

// Named reports whether the outline names every outer wall.
func (f *Floor) Named() bool {
	for _, r := range f.Data.Rings {
		if r.Kind == survey.Outer && (r.Walls == nil || slices.Contains(r.Walls, "")) {
			return false
		}
	}
	return len(f.Data.Rings) > 0
}

// wallName returns the outline's name for the wall that the edge from a to b is part of.
func (f *Floor) wallName(a, b Vec) string {
	for _, r := range f.Data.Rings {
		for i, name := range r.Walls {
			if name == "" {
				continue
			}
			p, q := r.Points[i], r.Points[(i+1)%len(r.Points)]
			from, to := Vec{X: p.X, Y: p.Y}, Vec{X: q.X, Y: q.Y}
			length := from.Distance(to)
			if length == 0 {
				continue
			}
			alongA, offA := offLine(a, from, to)
			alongB, offB := offLine(b, from, to)
			if offA < offWall && offB < offWall && min(alongA, alongB) > -offWall && max(alongA, alongB) < length+offWall {
				return name
			}
		}
	}
	return ""
}

// doorsAt returns the names of the thresholds at the wall from a to b, in order along it,
// each once.
func (f *Floor) doorsAt(a, b Vec) []string {
	// m: a shot on the finished floor at a wall is in the door reveal or just behind it. Own
	// choice: few walls are much thicker.
	const reveal = 0.4
	type door struct {
		name  string
		along float64
	}
	var at []door
	length := a.Distance(b)
	for _, p := range f.Thresholds {
		along, off := offLine(Vec{X: p.X, Y: p.Y}, a, b)
		if p.Name() != "" && off <= reveal && along >= 0 && along <= length {
			at = append(at, door{p.Name(), along})
		}
	}
	slices.SortStableFunc(at, func(p, q door) int { return cmp.Or(cmp.Compare(p.along, q.along), cmp.Compare(p.name, q.name)) })
	var names []string
	for _, d := range at {
		if !slices.Contains(names, d.name) {
			names = append(names, d.name)
		}
	}
	return names
}

// eighth returns the nearest of eight directions, 0 being east and y north.
func eighth(x, y float64) int { return (int(math.Round(math.Atan2(y, x)/(math.Pi/4))) + 8) % 8 }

// CompassPoint names the nearest of eight directions, y being north.
func CompassPoint(x, y float64) string {
	return []string{"east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east"}[eighth(x, y)]
}

// outward returns the nearest of eight directions that a wall faces, a unit vector. The
// floor is on its left.
func outward(a, b Vec) Vec {
	sin, cos := math.Sincos(float64(eighth(b.Y-a.Y, a.X-b.X)) * math.Pi / 4)
	return Vec{X: cos, Y: sin}
}

// NearestWall returns the place on the edges of the floor that is nearest to p.
func (f *Floor) NearestWall(p Vec) Vec {
	var best Vec
	least := math.Inf(1)
	for _, r := range f.Regions {
		for _, ring := range r.Rings {
			for i, from := range ring {
				q := p.NearestOn(from, ring[(i+1)%len(ring)])
				if d := p.Distance(q); d < least {
					best, least = q, d
				}
			}
		}
	}
	return best
}
