package job

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/surface/setout"
)

// A floor of 16 by 12 ft with a shot every 4 ft, shot 7 at (4, 4) ft a foot low. By hand, along
// the line from it to the next shot the floor changes by 1 ft × the share of the way back: at a
// quarter 3 in; 0.02 ft short of the next shot 1/200 ft, 1/16 in less a little: a slight change.
// Past it nothing changes.
func TestSlightDoubtIsNoMark(t *testing.T) {
	t.Parallel()
	const foot = 0.3048
	var shots strings.Builder
	shots.WriteString("name,easting ft,northing ft,elevation ft\n")
	for k := range 20 {
		z := 99.8
		if k+1 == 7 {
			z--
		}
		fmt.Fprintf(&shots, "%d,%d,%d,%.3f\n", k+1, 4*(k%5), 4*(k/5), z)
	}
	r := solved(t, "title = \"Garage\"\ndate = 2026-11-25\n[survey]\nfiles = [\"garage.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"100.05ft\"\n[site]\nbearing = \"ground\"\n[pins]\nspacing = \"4ft\"\n", fstest.MapFS{
		"garage.csv": {Data: []byte(shots.String())}, "walls.csv": {Data: []byte("easting ft,northing ft\n0,0\n16,0\n16,12\n0,12\n")}})
	at := r.doubtAt(foot / 12 / 16)
	if at == nil {
		t.Fatal("no reading is in doubt")
	}
	for _, c := range []struct {
		x      float64 // ft, at y 4
		names  string
		slight bool
	}{{4, "shot 7", false}, {7, "shot 7", false}, {7.98, "", true}, {8.5, "", false}, {12, "", false}} {
		if names, slight := at(surface.Vec{X: c.x * foot, Y: 4 * foot}); names != c.names || slight != c.slight {
			t.Errorf("at %g ft: %q, slight %v; want %q, %v", c.x, names, slight, c.names, c.slight)
		}
	}
}

// Nine shots, 2 m apart, are too few to weigh misread rods. By hand the one 300 mm low, in the
// middle of the north wall, has the triangles of the north half: the pins there are marked, and
// placing starts at none of them, although they are the farthest from the exit and the deepest.
func TestPinsNearALoneShot(t *testing.T) {
	t.Parallel()
	var shots strings.Builder
	shots.WriteString("name,easting m,northing m,elevation m\n")
	for k := range 9 {
		z := 9.9
		if k == 7 {
			z -= 0.3
		}
		fmt.Fprintf(&shots, "%d,%d,%d,%.3f\n", k+1, 2*(k%3), 2*(k/3), z)
	}
	for _, exit := range []string{"", "exit = \"2m,0m\"\n"} {
		r := solved(t, "title = \"Garage\"\ndate = 2026-11-25\n[survey]\nfiles = [\"garage.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"10m\"\n[site]\nbearing = \"ground\"\n"+exit+"[pins]\nspacing = \"1m\"\nwall-spacing = \"1m\"\n", fstest.MapFS{
			"garage.csv": {Data: []byte(shots.String())}, "walls.csv": {Data: []byte("easting m,northing m\n0,0\n4,0\n4,4\n0,4\n")}})
		marked := 0
		for _, p := range r.Pins.Pins {
			deep := p.Depth > 0.101
			if deep != (p.Doubt == "shot 8") {
				t.Errorf("exit %q: %s is %.3f m deep, in doubt %q", exit, p.Name, p.Depth, p.Doubt)
			}
			if deep {
				marked++
			}
		}
		if marked == 0 || r.Pins.Start.Name == "" || r.Pins.Start.Doubt != "" || r.Pins.Start.Depth > 0.101 {
			t.Errorf("exit %q: %d pins in doubt, start at %+v", exit, marked, r.Pins.Start)
		}
		var lone *setout.Pin
		for i, p := range r.Pins.Pins {
			if lone == nil || p.Depth > lone.Depth {
				lone = &r.Pins.Pins[i]
			}
		}
		if lone.Depth < 0.3 || lone.Doubt == "" {
			t.Errorf("exit %q: the deepest pin is %+v", exit, *lone)
		}
		if doubts := r.DoubtsOnOrder().String(); !strings.HasPrefix(doubts, "1 reading: shot 8 (if wrong, ") {
			t.Errorf("exit %q: doubts on the order %q", exit, doubts)
		}
	}
}
