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
func (w *Filled) Place(p surface.Vec) Spot { return Spot{w.Floor, p, wallText} }

// Beside returns a plan position by its distances from two walls, east or west first, or
// by its coordinates if no two walls face it.
func Beside(floor *surface.Floor, p surface.Vec) Spot { return Spot{floor, p, wallAlone} }

// Spot is a position on a floor, for a person with a tape.
type Spot struct {
	floor *surface.Floor
	at    surface.Vec
	name  func(surface.Side) string // name of a wall
}

func (p Spot) String() string { return p.In(unit.Style{}) }

// In writes the position. A distance that rounds to 0 is written as at the wall.
func (p Spot) In(style unit.Style) string {
	sides := WallsOf(p.floor, p.at)
	if len(sides) < 2 {
		return At(p.at).In(style)
	}
	touches := func(s surface.Side) bool { return style.Length(s.Distance) == style.Length(0) }
	a, b := sides[0], sides[1]
	from := func(s surface.Side) string { return style.Length(s.Distance) + " from " + p.name(s) }
	switch touchA, touchB := touches(a), touches(b); {
	case touchA && touchB:
		text := "the corner of " + wallAlone(a) + " and " + wallAlone(b)
		if corners(p.floor, a, b, touches) > 1 {
			text += " at " + At(p.at).In(style)
		}
		return text
	case touchA:
		return p.name(a) + ", " + from(b)
	case touchB:
		return from(a) + ", at " + p.name(b)
	default:
		return from(a) + ", " + from(b)
	}
}

// corners counts the corners where walls of two names meet: an L-shaped floor has some
// more than once.
func corners(floor *surface.Floor, a, b surface.Side, touches func(surface.Side) bool) int {
	n := 0
	for _, r := range floor.Regions {
		for _, v := range r.Rings[0] {
			s := floor.Beside(v)
			if len(s) == 2 && touches(s[0]) && touches(s[1]) && wallAlone(s[0]) == wallAlone(a) && wallAlone(s[1]) == wallAlone(b) {
				n++
			}
		}
	}
	return n
}

// wallAlone returns a wall in a sentence: by its name in the outline, else "north wall".
func wallAlone(s surface.Side) string {
	if s.Name != "" {
		return WallShort(s)
	}
	return s.Wall + " wall"
}

// wallText returns a wall in a sentence. A wall without a name has its thresholds with
// it; every plan shows them.
func wallText(s surface.Side) string {
	text := wallAlone(s)
	if s.Name != "" || len(s.Doors) == 0 || len(s.Doors) > mostDoors {
		return text
	}
	doors := slices.Sorted(slices.Values(s.Doors))
	last := len(doors) - 1
	if last == 0 {
		return text + " (the wall with " + doors[0] + ")"
	}
	return text + " (the wall with " + strings.Join(doors[:last], ", ") + " and " + doors[last] + ")"
}

// mostDoors is the max number of thresholds named with a wall: more do not help to find
// it.
const mostDoors = 3

// WallCell returns a distance from a wall for the cell of a table: "west 4'-0\"".
func WallCell(s surface.Side) unit.Text {
	return unit.Textf("%s %s", WallShort(s), unit.Distance(s.Distance))
}

// WallShort returns a wall for a table. A wall named by a number alone is "wall 3".
func WallShort(s surface.Side) string {
	if s.Name == "" {
		return s.Wall
	}
	if strings.Trim(s.Name, "0123456789.") == "" {
		return "wall " + s.Name
	}
	return s.Name
}

// CellOf returns a position for the cell of a table, "west 4'-0\", north 7'-0\"", or its
// coordinates if no two walls face it.
func CellOf(floor *surface.Floor, p surface.Vec) unit.Text {
	sides := WallsOf(floor, p)
	if len(sides) < 2 {
		return unit.Textf("%s", At(p))
	}
	return unit.Textf("%s, %s", WallCell(sides[0]), WallCell(sides[1]))
}

// Stretch describes a straight line by its ends.
func Stretch(floor *surface.Floor, from, to surface.Vec) unit.Text {
	return unit.Textf("from %s to %s", CellOf(floor, from), CellOf(floor, to))
}

// WallsOf returns the two walls from which a position is measured. The hull of the shots
// has no walls.
func WallsOf(floor *surface.Floor, p surface.Vec) []surface.Side {
	if floor == nil || floor.Hull {
		return nil
	}
	return floor.Beside(p)
}

// wallBetween names the wall that contains the edge from one corner to another.
func wallBetween(floor *surface.Floor, from, to surface.Vec) unit.Text {
	const at0 = 1e-6 // m from the wall
	middle := surface.Vec{X: (from.X + to.X) / 2, Y: (from.Y + to.Y) / 2}
	for _, s := range WallsOf(floor, middle) {
		if s.Distance < at0 {
			return unit.Textf("%s", wallText(s))
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
		for _, s := range WallsOf(floor, p) {
			name := WallShort(s)
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
		if n := len(doors[name]); n > 0 && n <= mostDoors {
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
