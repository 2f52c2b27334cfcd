package job

import (
	"strings"
	"testing"
	"testing/fstest"
)

// A shot in the middle of a room of 6 by 4 m is named as finished floor, by its name or by its
// code: a warning beside the target. A shot at a door jamb, a hand inside the wall, is taken
// without one, and so is one
// in the next room.
func TestFinishedInTheRoom(t *testing.T) {
	t.Parallel()
	const shots = "point,x (m),y (m),z (m),code\n1,0.5,0.5,9.95,\n2,5.5,0.5,9.94,\n3,5.5,3.5,9.95,\n4,0.5,3.5,9.96,\n"
	for _, v := range []struct{ what, rows, target, wall string }{
		{"by name, in the middle", "13,3,2,9.99,\nD1,0.2,2,10,\n", `finish-at = "13"`, "2.000"},
		{"by name, at a jamb", "13,3,2,9.99,\nD1,0.2,2,10,\n", `finish-at = "D1"`, ""},
		{"by code, in the middle", "D1,1.5,2,9.99,ADJ\n", `finish-codes = ["ADJ"]`, "1.500"},
		{"by code, 310 mm in", "D1,0.31,2,9.99,ADJ\n", `finish-codes = ["ADJ"]`, "0.310"},
		{"by code, 290 mm in", "D1,0.29,2,9.99,ADJ\n", `finish-codes = ["ADJ"]`, ""},
		{"by code, in the next room", "D1,-0.5,2,9.99,ADJ\n", `finish-codes = ["ADJ"]`, ""},
	} {
		files := fstest.MapFS{"walls.csv": walls(6, 4), "floor.csv": {Data: []byte(shots + v.rows)}}
		r := solved(t, "title = \"a\"\ndate = 2026-11-25\n[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\n"+v.target+"\nbuildup = \"10mm\"\n", files)
		var found []string
		for _, n := range r.Notes {
			if text := n.In(StyleOf(r.Survey, "")); strings.Contains(text, "is in the room") {
				found = append(found, text)
			}
		}
		if want := v.wall + " m from the nearest wall"; v.wall == "" && found != nil || v.wall != "" && (len(found) != 1 || !strings.Contains(found[0], want)) {
			t.Errorf("%s: found %q", v.what, found)
		}
	}
}
