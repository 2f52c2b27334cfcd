package job

import (
	"slices"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Place returns a plan position for a person with a tape. Walls are named with their
// thresholds.
func (w *Filled) Place(p surface.Vec) surface.Spot {
	return surface.Spot{Floor: w.Floor, At: p, Doors: true}
}

// Beside returns a plan position by its distances from two walls, east or west first, or
// by its coordinates if no two walls face it.
func Beside(floor *surface.Floor, p surface.Vec) surface.Spot {
	return surface.Spot{Floor: floor, At: p}
}

// WallCell returns a distance from a wall for the cell of a table: "west 4'-0\"".
func WallCell(s surface.Side) unit.Text {
	return unit.Textf("%s %s", s.Short(), unit.Distance(s.Distance))
}

// CellOf returns a position for the cell of a table, "west 4'-0\", north 7'-0\"", or its
// coordinates if no two walls face it.
func CellOf(floor *surface.Floor, p surface.Vec) unit.Text {
	return cellFrom(floor.Sides(p), p)
}

// cellFrom returns a position by its distances from walls; its coordinates if they are fewer
// than two.
func cellFrom(sides []surface.Side, p surface.Vec) unit.Text {
	if len(sides) < 2 {
		return unit.Textf("%s", At(p))
	}
	return unit.Textf("%s, %s", WallCell(sides[0]), WallCell(sides[1]))
}

// Stretch describes a straight line by its ends, both from the same two walls if they face
// them.
func Stretch(floor *surface.Floor, from, to surface.Vec) unit.Text {
	var a, b []surface.Side
	if floor != nil && !floor.Hull {
		a, b = floor.BesideBoth(from, to)
	}
	return unit.Textf("from %s to %s", cellFrom(a, from), cellFrom(b, to))
}

// wallBetween names the wall that contains the edge from one corner to another.
func wallBetween(floor *surface.Floor, from, to surface.Vec) unit.Text {
	const at0 = 1e-6 // m from the wall
	middle := surface.Vec{X: (from.X + to.X) / 2, Y: (from.Y + to.Y) / 2}
	for _, s := range floor.Sides(middle) {
		if s.Distance < at0 {
			return unit.Textf("%s", s.Text())
		}
	}
	return unit.Textf("wall at %s", At(from))
}

// WallsNote explains how walls are named in a list of positions, with their thresholds.
func WallsNote(floor *surface.Floor, places []surface.Vec) string {
	var order []string
	doors := map[string][]string{}
	compass, inner := false, false
	for _, p := range places {
		for _, s := range floor.Sides(p) {
			name := s.Short()
			if !slices.Contains(order, name) {
				order = append(order, name)
			}
			compass = compass || s.Name == ""
			inner = inner || s.Name == "" && s.Inner
			for _, d := range s.Doors {
				if !slices.Contains(doors[name], d) {
					doors[name] = append(doors[name], d)
				}
			}
		}
	}
	if len(order) == 0 {
		return ""
	}
	var with []string
	for _, name := range order {
		if n := len(doors[name]); n > 0 && n <= surface.MostDoors {
			with = append(with, name+" "+strings.Join(slices.Sorted(slices.Values(doors[name])), ", "))
		}
	}
	text := "Walls have their names in the outline"
	if compass {
		text = "Walls are named by the drawing: north is toward +y"
	}
	if with != nil {
		text += "; thresholds: " + strings.Join(with, "; ")
	}
	if inner {
		text += "; " + innerWalls
	}
	return text + "."
}

const innerWalls = "an inner wall is set back from the outermost wall on that side, as in an L-shaped room"

// NorthAt says what north is, for the first place given from walls: "" where the walls have
// names, or one of its two has a door to find it by.
func NorthAt(floor *surface.Floor, p surface.Vec) string {
	if floor == nil || floor.Hull || floor.Named() {
		return ""
	}
	sides := floor.Sides(p)
	if len(sides) == 0 || slices.ContainsFunc(sides, func(s surface.Side) bool { return len(s.Doors) > 0 }) {
		return ""
	}
	return " (north is +y of the survey)"
}

// compassNote explains once that walls are named by the directions of the drawing, if
// some have no other name.
func compassNote(floor *surface.Floor) []survey.Note {
	if floor == nil || floor.Hull || floor.Named() {
		return nil
	}
	text := "walls are named by the drawing: north is toward +y"
	if floor.Inner() {
		text += "; " + innerWalls
	}
	return []survey.Note{survey.Notef(survey.Assumed, survey.Pos{}, "%s", text)}
}
