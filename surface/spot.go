package surface

import (
	"slices"
	"strings"

	"pourplane/survey/unit"
)

// Spot is a position on a floor, for a person with a tape: by its distances from two walls,
// east or west first, or by its coordinates if no two walls face it. It is worded when it is
// shown, so a note can hold a place on a floor that is not finished.
type Spot struct {
	Floor *Floor
	At    Vec
	Doors bool // a wall without a name has its thresholds with it
	About bool // to 10 mm or 1 in is enough
}

func (p Spot) String() string { return p.In(unit.Style{}) }

// In writes the position. A distance that rounds to 0 is written as at the wall.
func (p Spot) In(style unit.Style) string {
	sides := p.Floor.Sides(p.At)
	length, place, about := style.Length, style.Place, ""
	if p.About {
		length, place, about = style.About, style.AboutPlace, "about "
	}
	if len(sides) < 2 {
		return about + place(p.At.X, p.At.Y)
	}
	touches := func(s Side) bool { return length(s.Distance) == length(0) }
	a, b := sides[0], sides[1]
	from := func(s Side) string { return length(s.Distance) + " from " + p.wall(s) }
	switch touchA, touchB := touches(a), touches(b); {
	case touchA && touchB:
		text := "the corner of " + a.alone() + " and " + b.alone()
		if corners(p.Floor, a, b, touches) > 1 {
			text += " at " + placeOf(p.At).In(style)
		}
		return text
	case touchA:
		return p.wall(a) + ", " + about + from(b)
	case touchB:
		return about + from(a) + ", at " + p.wall(b)
	default:
		return about + from(a) + ", " + from(b)
	}
}

func (p Spot) wall(s Side) string {
	if p.Doors {
		return s.Text()
	}
	return s.alone()
}

// placeOf is a place in plan on the grid of the survey.
func placeOf(p Vec) unit.Place { return unit.Place{X: p.X, Y: p.Y} }

// corners counts the corners where walls of two names meet: an L-shaped floor has some
// more than once.
func corners(floor *Floor, a, b Side, touches func(Side) bool) int {
	n := 0
	for _, r := range floor.Regions {
		for _, v := range r.Rings[0] {
			s := floor.Beside(v)
			if len(s) == 2 && touches(s[0]) && touches(s[1]) && s[0].alone() == a.alone() && s[1].alone() == b.alone() {
				n++
			}
		}
	}
	return n
}

// Sides returns the two walls from which a position is measured. The hull of the shots has
// no walls.
func (f *Floor) Sides(p Vec) []Side {
	if f == nil || f.Hull {
		return nil
	}
	return f.Beside(p)
}

// Short returns a wall for a table. A wall named by a number alone is "wall 3".
func (s Side) Short() string {
	if s.Name == "" {
		return s.Wall
	}
	if strings.Trim(s.Name, "0123456789.") == "" {
		return "wall " + s.Name
	}
	return s.Name
}

// alone returns a wall in a sentence: by its name in the outline, else "north wall".
func (s Side) alone() string {
	if s.Name != "" {
		return s.Short()
	}
	return s.Wall + " wall"
}

// Text returns a wall in a sentence. A wall without a name has its thresholds with it;
// every plan shows them.
func (s Side) Text() string {
	text := s.alone()
	if s.Name != "" || len(s.Doors) == 0 || len(s.Doors) > MostDoors {
		return text
	}
	doors := slices.Sorted(slices.Values(s.Doors))
	last := len(doors) - 1
	if last == 0 {
		return text + " (the wall with " + doors[0] + ")"
	}
	return text + " (the wall with " + strings.Join(doors[:last], ", ") + " and " + doors[last] + ")"
}

// MostDoors is the max number of thresholds named with a wall: more do not help to find it.
const MostDoors = 3
