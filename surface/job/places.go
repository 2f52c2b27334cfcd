package job

import (
	"fmt"
	"slices"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Place writes a place as a person with a tape finds it, with the thresholds of the walls.
func (w *Filled) Place(p surface.Vec) string { return besideAs(w.Floor, p, w.Style, wallText) }

// Beside writes a place by its distances from two walls, east or west first; by its
// coordinates where no two walls face it.
func Beside(floor *surface.Floor, p surface.Vec, style unit.Style) string {
	return besideAs(floor, p, style, wallAlone)
}

func besideAs(floor *surface.Floor, p surface.Vec, style unit.Style, name func(surface.Side) string) string {
	sides := WallsOf(floor, p)
	if len(sides) < 2 {
		return At(p, style)
	}
	a, b := sides[0], sides[1]
	from := func(s surface.Side) string { return style.Length(s.Distance) + " from " + name(s) }
	switch touchA, touchB := touches(a, style), touches(b, style); {
	case touchA && touchB:
		text := "the corner of " + wallAlone(a) + " and " + wallAlone(b)
		if corners(floor, a, b, style) > 1 {
			text += " at " + At(p, style)
		}
		return text
	case touchA:
		return name(a) + ", " + from(b)
	case touchB:
		return from(a) + ", at " + name(b)
	default:
		return from(a) + ", " + from(b)
	}
}

// touches reports whether a place is at a wall as far as can be written.
func touches(s surface.Side, style unit.Style) bool {
	return style.Length(s.Distance) == style.Length(0)
}

// corners counts the corners of the floor that walls of two names make: an L has several of
// some.
func corners(floor *surface.Floor, a, b surface.Side, style unit.Style) int {
	n := 0
	for _, r := range floor.Regions {
		for _, v := range r.Rings[0] {
			s := floor.Beside(v)
			if len(s) == 2 && touches(s[0], style) && touches(s[1], style) && wallAlone(s[0]) == wallAlone(a) && wallAlone(s[1]) == wallAlone(b) {
				n++
			}
		}
	}
	return n
}

// wallAlone is a wall in a sentence: by the name that the outline gives it, else "north
// wall".
func wallAlone(s surface.Side) string {
	if s.Name != "" {
		return WallShort(s)
	}
	return s.Wall + " wall"
}

// wallText is a wall in a sentence, without a name with the thresholds at it, which are on
// every plan.
func wallText(s surface.Side) string {
	text := wallAlone(s)
	if s.Name != "" || len(s.Doors) == 0 || len(s.Doors) > mostDoors {
		return text
	}
	word := "threshold "
	if len(s.Doors) > 1 {
		word = "thresholds "
	}
	return text + " (" + word + strings.Join(slices.Sorted(slices.Values(s.Doors)), ", ") + ")"
}

// mostDoors is how many thresholds a wall is told by: more are no help to find it.
const mostDoors = 3

// WallCell is a distance from a wall in the cell of a table: "west 4'-0\"".
func WallCell(s surface.Side, style unit.Style) string {
	return WallShort(s) + " " + style.Length(s.Distance)
}

// WallShort is a wall in a table; one that is named by a number alone is "wall 3".
func WallShort(s surface.Side) string {
	if s.Name == "" {
		return s.Wall
	}
	if strings.Trim(s.Name, "0123456789.") == "" {
		return "wall " + s.Name
	}
	return s.Name
}

// FromWalls is a place in the cell of a table: "west 4'-0\", north 7'-0\""; empty where no
// two walls face it.
func FromWalls(floor *surface.Floor, p surface.Vec, style unit.Style) string {
	sides := WallsOf(floor, p)
	if len(sides) < 2 {
		return ""
	}
	return WallCell(sides[0], style) + ", " + WallCell(sides[1], style)
}

// CellOf is a place in the cell of a table, by its coordinates where no two walls face it.
func CellOf(floor *surface.Floor, p surface.Vec, style unit.Style) string {
	if text := FromWalls(floor, p, style); text != "" {
		return text
	}
	return At(p, style)
}

// Stretch writes where a straight line runs.
func Stretch(floor *surface.Floor, from, to surface.Vec, style unit.Style) string {
	return fmt.Sprintf("from %s to %s", CellOf(floor, from, style), CellOf(floor, to, style))
}

// WallsOf are the two walls that a place is measured from; the hull of the shots is no
// wall.
func WallsOf(floor *surface.Floor, p surface.Vec) []surface.Side {
	if floor == nil || floor.Hull {
		return nil
	}
	return floor.Beside(p)
}

// wallBetween names the wall of which the edge from one corner to another is a piece.
func wallBetween(floor *surface.Floor, from, to surface.Vec, style unit.Style) string {
	const at0 = 1e-6 // m, of a place on the wall
	middle := surface.Vec{X: (from.X + to.X) / 2, Y: (from.Y + to.Y) / 2}
	for _, s := range WallsOf(floor, middle) {
		if s.Distance < at0 {
			return wallText(s)
		}
	}
	return "wall at " + At(from, style)
}

// WallsNote says what walls are named by in a list of places, and the thresholds at them.
func WallsNote(floor *surface.Floor, places []surface.Vec) string {
	var order []string
	doors := map[string][]string{}
	compass := false
	for _, p := range places {
		for _, s := range WallsOf(floor, p) {
			name := WallShort(s)
			if !slices.Contains(order, name) {
				order = append(order, name)
			}
			compass = compass || s.Name == ""
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
		if n := len(doors[name]); n > 0 && n <= mostDoors {
			with = append(with, name+" with "+strings.Join(doors[name], ", "))
		}
	}
	text := "Walls by the names of the outline"
	if compass {
		text = "Walls by the compass of the drawing, north toward +y"
	}
	if with != nil {
		text += "; " + strings.Join(with, "; ")
	}
	return text + "."
}

// compassNote says once that walls are named by the drawing, where some have no other name.
func compassNote(floor *surface.Floor) []survey.Note {
	if floor == nil || floor.Hull || floor.Named() {
		return nil
	}
	return []survey.Note{survey.Notef(survey.Assumed, survey.Pos{}, "walls are named by the drawing: north is toward +y")}
}
