package job

import (
	"slices"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Place is a place as a person with a tape finds it, with the thresholds of the walls.
func (w *Filled) Place(p surface.Vec) Spot { return Spot{w.Floor, p, wallText} }

// Beside is a place by its distances from two walls, east or west first; by its coordinates
// where no two walls face it.
func Beside(floor *surface.Floor, p surface.Vec) Spot { return Spot{floor, p, wallAlone} }

// Spot is a place on a floor, for a person with a tape.
type Spot struct {
	floor *surface.Floor
	at    surface.Vec
	name  func(surface.Side) string // of a wall
}

func (p Spot) String() string { return p.In(unit.Style{}) }

// In writes the place. A distance that is written as 0 is at the wall.
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

// corners counts the corners of the floor that walls of two names make: an L has several of
// some.
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
func WallCell(s surface.Side) unit.Text {
	return unit.Textf("%s %s", WallShort(s), unit.Distance(s.Distance))
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

// CellOf is a place in the cell of a table, "west 4'-0\", north 7'-0\"", by its coordinates
// where no two walls face it.
func CellOf(floor *surface.Floor, p surface.Vec) unit.Text {
	sides := WallsOf(floor, p)
	if len(sides) < 2 {
		return unit.Textf("%s", At(p))
	}
	return unit.Textf("%s, %s", WallCell(sides[0]), WallCell(sides[1]))
}

// Stretch is where a straight line runs.
func Stretch(floor *surface.Floor, from, to surface.Vec) unit.Text {
	return unit.Textf("from %s to %s", CellOf(floor, from), CellOf(floor, to))
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
func wallBetween(floor *surface.Floor, from, to surface.Vec) unit.Text {
	const at0 = 1e-6 // m, of a place on the wall
	middle := surface.Vec{X: (from.X + to.X) / 2, Y: (from.Y + to.Y) / 2}
	for _, s := range WallsOf(floor, middle) {
		if s.Distance < at0 {
			return unit.Textf("%s", wallText(s))
		}
	}
	return unit.Textf("wall at %s", At(from))
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
