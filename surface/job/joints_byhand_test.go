package job

import (
	"fmt"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Joints by hand on the ramp, 60 mm deep in the mean and 100 mm at most. A movement joint is open
// through 100 mm, with a strip and half as much sealant in depth as in width, 6 to 13 mm. A
// contraction joint is cut a quarter of 60, but min 25 mm; bonded it is cut through 100.
func TestKindsOfJointsByHand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, keys       string
		cut, strip, fill float64 // m
		filler, rod      float64 // L, m
		packs            int
		width            bool // asked for
	}{
		{"movement, no width", "length = \"6m\"\n", 0.1, 6, 0, 0, 0, 0, true},
		{"said to be movement, no width", "kind = \"movement\"\nlength = \"6m\"\nallowance-percent = 10\n", 0.1, 6.6, 0, 0, 0, 0, true},
		{"movement, narrow", "length = \"6m\"\nwidth = \"10mm\"\n", 0.1, 6, 0.006, 6 * 10 * 0.006, 6, 0, false},
		{"movement, 20 mm", "length = \"6m\"\nwidth = \"20mm\"\npack-litres = 0.6\n", 0.1, 6, 0.010, 6 * 20 * 0.010, 6, 2, false},
		{"movement, one drop more", "length = \"6m\"\nwidth = \"20mm\"\npack-litres = 0.6\nallowance-percent = 1\n", 0.1, 6.06, 0.010, 1.212, 6.06, 3, false},
		{"movement, wide", "length = \"6m\"\nwidth = \"30mm\"\n", 0.1, 6, 0.013, 6 * 30 * 0.013, 6, 0, false},
		{"contraction", "kind = \"contraction\"\nlength = \"6m\"\nwidth = \"10mm\"\n", 0.025, 0, 0.025, 6 * 10 * 0.025, 0, 0, false},
		{"contraction, a saw blade", "kind = \"contraction\"\nlength = \"6m\"\n", 0.025, 0, 0.025, 6 * 3 * 0.025, 0, 0, false},
		{"contraction, elastic", "kind = \"contraction\"\nlength = \"6m\"\nwidth = \"10mm\"\nelastic = true\n", 0.025, 0, 0.006, 6 * 10 * 0.006, 6, 0, false},
		{"contraction, bonded", "kind = \"contraction\"\nlength = \"6m\"\nwidth = \"10mm\"\n[site]\nbonded = true\n", 0.1, 0, 0.1, 6 * 10 * 0.1, 0, 0, false},
		{"movement, bonded", "length = \"6m\"\nwidth = \"10mm\"\n[site]\nbonded = true\n", 0.1, 6, 0.006, 6 * 10 * 0.006, 6, 0, false},
	} {
		r := solved(t, rampJob+"[joints]\n"+c.keys, ramp)
		j := r.Joints
		near(t, c.name+": depth", j.Cut, c.cut)
		near(t, c.name+": strip, m", j.Strip, c.strip)
		near(t, c.name+": sealant deep", j.Fill, c.fill)
		near(t, c.name+": sealant, L", j.Filler, c.filler)
		near(t, c.name+": rod, m", j.Rod, c.rod)
		if j.Packs != c.packs {
			t.Errorf("%s: %d packs, by hand %d", c.name, j.Packs, c.packs)
		}
		asked := 0
		for _, n := range r.Notes {
			if n.Kind == survey.Warning && strings.Contains(n.String(), "joints: no width given") {
				asked++
			}
		}
		if asked > 1 || (asked == 1) != c.width {
			t.Errorf("%s: asked for the width %d times", c.name, asked)
		}
	}
}

// Movement joints have their places from lines with the word joint in the outline, in any case; other
// lines and contraction joints have none. By hand in 6 × 4 m: 2 m from the west wall.
func TestPlacesOfJoints(t *testing.T) {
	t.Parallel()
	files := checked(ramp, "")
	delete(files, "after.csv")
	files["walls.csv"] = walls(6, 4)
	files["walls.csv"].Data = append(files["walls.csv"].Data, "East JOINT,line,2,0\nEast JOINT,line,2,4\nstep,line,4,0\nstep,line,4,4\n"...)
	const east = "East JOINT: from west 2.000 m, south 0.000 m to west 2.000 m, south 4.000 m"
	for keys, want := range map[string]string{"": east, "kind = \"movement\"\n": east, "kind = \"contraction\"\n": ""} {
		r := solved(t, rampJob+"[joints]\nlength = \"4m\"\nwidth = \"10mm\"\n"+keys, files)
		if got := unit.Join(r.JointsAt, "; ").In(unit.Style{}); got != want {
			t.Errorf("%q: %q, by hand %q", keys, got, want)
		}
	}
	// Of a line with several points the first and the last are its ends.
	files["walls.csv"].Data = append(walls(6, 4).Data, "joint,line,2,0\njoint,line,2,1\njoint,line,2,3\n"...)
	r := solved(t, rampJob+"[joints]\nlength = \"3m\"\n", files)
	if got, want := fmt.Sprint(r.JointsAt), "[joint: from west 2.000 m, south 0.000 m to west 2.000 m, south 3.000 m]"; got != want {
		t.Errorf("%s, by hand %s", got, want)
	}
}
