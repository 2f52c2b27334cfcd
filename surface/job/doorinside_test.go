package job

import (
	"strings"
	"testing"
	"testing/fstest"
)

// The target is taken from a shot in the middle of the room: a warning beside the target. A
// shot at a door jamb, a hand inside the wall, is taken without one.
func TestFinishAtInTheRoom(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{
		"walls.csv": {Data: []byte("x (m),y (m)\n0,0\n6,0\n6,4\n0,4\n")},
		"floor.csv": {Data: []byte("point,x (m),y (m),z (m)\n1,0.5,0.5,9.95\n2,5.5,0.5,9.94\n3,5.5,3.5,9.95\n4,0.5,3.5,9.96\n13,3,2,9.99\nD1,0.2,2,10\n")},
	}
	for name, want := range map[string]bool{"13": true, "D1": false} {
		r := solved(t, "title = \"a\"\ndate = 2026-11-25\n[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nfinish-at = \""+name+"\"\nbuildup = \"10mm\"\n", files)
		found := ""
		for _, n := range r.Notes {
			if text := n.In(StyleOf(r.Survey, "")); strings.Contains(text, "is in the room") {
				found = text
			}
		}
		if (found != "") != want || want && !strings.Contains(found, "2.000 m from the nearest wall") {
			t.Errorf("finish-at %s: %q", name, found)
		}
	}
}
