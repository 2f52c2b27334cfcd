package text

import (
	"regexp"
	"strings"

	"pourplane/survey"
)

// fromWall matches the head of distances from a wall, after [headForm].
var fromWall = regexp.MustCompile(`^(?:(?:dist|distance|offset) )?from (?:the )?(west|south|east|north|w|s|e|n)(?: wall| side| edge)?$`)

// wallWords match the heads of distances from walls that the compass does not name.
var wallWords = regexp.MustCompile(`^(?:from|dist|distance|left|right|front|back|west|south)\b`)

// sideOf returns the side of the room from which a column is measured, "" for another column.
func sideOf(form string) string {
	m := fromWall.FindStringSubmatch(form)
	if m == nil {
		return ""
	}
	return map[string]string{"w": "west", "s": "south", "e": "east", "n": "north"}[m[1][:1]]
}

// fromWalls notes distances from the west and the south wall, which are x and y. It refuses those
// from the other two, which grow the other way: read as x or y they would mirror the room.
func (f *table) fromWalls(pos survey.Pos, columns []*column) error {
	var read []string
	for _, c := range columns {
		switch c.side {
		case "east", "north":
			other, axis := "west", "x"
			if c.side == "north" {
				other, axis = "south", "y"
			}
			return &survey.Error{Pos: pos, Element: c.String(), Found: "distances from the " + c.side + " wall", Want: "distances from the west and the south wall",
				Hint: "head the column " + axis + " and write the width of the room less each distance, which is the distance from the " + other + " wall"}
		case "west":
			read = append(read, c.String()+" as x, to the east")
		case "south":
			read = append(read, c.String()+" as y, to the north")
		}
	}
	if read != nil {
		f.note(survey.Assumed, pos, "distances from walls read: %s", strings.Join(read, "; "))
	}
	return nil
}
