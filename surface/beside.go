package surface

import (
	"math"
	"slices"
)

// Side is a distance square to a wall, by which a place is found on the floor.
type Side struct {
	Wall     string  // the way it faces from the floor: "west", "north-east"
	Distance float64 // m
}

// Beside returns the distances of p from two outer walls of f: from the nearest of those
// that face east or west, then from the nearest of those that face north or south. A wall
// counts where the line square to it from p meets it, with p on its floor side; steps and
// openings are no walls. Where none counts there are fewer.
func (f *Floor) Beside(p Vec) []Side {
	step := map[[2]Vec]bool{}
	for _, s := range f.Steps {
		step[s], step[[2]Vec{s[1], s[0]}] = true, true
	}
	var nearest [2]Side
	var found [2]bool
	for _, r := range f.Regions {
		if len(r.Rings) == 0 {
			continue
		}
		ring := r.Rings[0] // counter-clockwise: the floor is on its left
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			length := a.Distance(b)
			if length == 0 || step[[2]Vec{a, b}] {
				continue
			}
			e := Vec{(b.X - a.X) / length, (b.Y - a.Y) / length}
			along := float64((p.X-a.X)*e.X) + float64((p.Y-a.Y)*e.Y)
			away := float64((p.Y-a.Y)*e.X) - float64((p.X-a.X)*e.Y)
			const touch = 1e-6 // m: a place on a wall is on its floor side
			if along < -touch || along > length+touch || away < -touch {
				continue
			}
			axis := 0
			if math.Abs(e.X) > math.Abs(e.Y) {
				axis = 1
			}
			if away = max(away, 0); !found[axis] || away < nearest[axis].Distance {
				nearest[axis], found[axis] = Side{compassPoint(e.Y, -e.X), away}, true
			}
		}
	}
	return slices.DeleteFunc(nearest[:], func(s Side) bool { return s.Wall == "" })
}

// compassPoint names the nearest of eight directions, y being north.
func compassPoint(x, y float64) string {
	eight := []string{"east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east"}
	return eight[(int(math.Round(math.Atan2(y, x)/(math.Pi/4)))+8)%8]
}
