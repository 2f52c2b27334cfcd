package job

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// fallsOn is a job for a level floor at 1 m of 6 by 4 m, whose target is 0.2 m above it at the highest corner
// and falls by 2 %.
func fallsOn(toward, more string) string {
	return strings.Replace(rampJob, "elevation = \"0m\"", "elevation = \"1.2m\"\nfall = \"2%\"\ntoward = \""+toward+"\""+more, 1)
}

var levelRoom = fstest.MapFS{"floor.csv": levelShots(1, 7, 5), "walls.csv": walls(6, 4)}

// A fall in a direction by hand: bearings run clockwise from north. Along a bearing b the room is
// 6·|sin b| + 4·|cos b| long, from the corner that is held to the lowest one, and the mean depth is
// half the fall below 0.2 m.
func TestFallsInADirectionByHand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		toward, words string
		bearing       float64 // degrees
		lowest        string  // place
	}{
		{"N", "north", 0, ""}, {"E", "east", 90, ""}, {"S", "south", 180, ""}, {"W", "west", 270, ""},
		{"NE", "north-east", 45, "the corner of east wall and north wall"}, {"SE", "south-east", 135, "the corner of east wall and south wall"},
		{"SW", "south-west", 225, "the corner of west wall and south wall"}, {"NW", "north-west", 315, "the corner of west wall and north wall"},
		{"30deg", "north-east (bearing 30.0°)", 30, "the corner of east wall and north wall"}, {"100deg", "east (bearing 100.0°)", 100, "the corner of east wall and south wall"},
		{"200.5deg", "south (bearing 200.5°)", 200.5, "the corner of west wall and south wall"}, {"300deg", "north-west (bearing 300.0°)", 300, "the corner of west wall and north wall"},
		{"45.04deg", "north-east", 45.04, ""}, {"44.9deg", "north-east (bearing 44.9°)", 44.9, ""}, {"359.96deg", "north", 359.96, ""},
	} {
		r := solved(t, fallsOn(c.toward, ""), levelRoom)
		sin, cos := math.Sincos(c.bearing * math.Pi / 180)
		p, long := r.Filled.Fill.Target.(surface.Plane), 6*math.Abs(sin)+4*math.Abs(cos)
		isWithin(t, c.toward+": slope to the east", p.SlopeX, -0.02*sin, 1e-12)
		isWithin(t, c.toward+": slope to the north", p.SlopeY, -0.02*cos, 1e-12)
		near(t, c.toward+": max depth", r.Filled.Fill.Greatest, 0.2)
		near(t, c.toward+": min depth", r.Filled.Fill.Least, 0.2-0.02*long)
		near(t, c.toward+": fill", r.Filled.Fill.Fill, 24*(0.2-0.01*long))
		if got := FallText(nil, p); got != "falls 2 % toward the "+c.words {
			t.Errorf("%s: %q, by hand toward the %s", c.toward, got, c.words)
		}
		ends := r.Falling.Ends().In(unit.Style{})
		if want := "; lowest " + down(1.2-0.02*long) + " at "; !strings.HasPrefix(ends, want) || !strings.Contains(ends, c.lowest) {
			t.Errorf("%s: %q, by hand %q%s", c.toward, ends, want, c.lowest)
		}
		for _, want := range []string{"the target falls 2 % toward the " + c.words + ": highest 1.200 m at ", ", lowest " + down(1.2-0.02*long) + " at "} {
			if !strings.Contains(notesText(r), want) {
				t.Errorf("%s: no %q in\n%s", c.toward, want, notesText(r))
			}
		}
	}
}

// down is an elevation of the target as written, rounded down but for rounding errors.
func down(z float64) string { return fmt.Sprintf("%.3f m", math.Floor((z+1e-7)*1000)/1000) }

// Falls in percent as they are written: 1 in 60 is 1.67 %, 1/4 in a foot a 48th.
func TestFallsInPercentByHand(t *testing.T) {
	t.Parallel()
	for fall, c := range map[string]struct {
		text  string
		share float64
	}{
		"1:60": {"falls 1.67 % toward the east", 1.0 / 60}, "1/4in/ft": {"falls 2.08 % toward the east", 1.0 / 48}, "1/8in/ft": {"falls 1.04 % toward the east", 1.0 / 96},
		"15mm/m": {"falls 1.5 % toward the east", 0.015}, "0.5%": {"falls 0.5 % toward the east", 0.005}, "1:12": {"falls 8.33 % toward the east", 1.0 / 12},
	} {
		r := solved(t, strings.Replace(fallsOn("E", ""), "2%", fall, 1), levelRoom)
		if got := FallText(nil, r.Filled.Fill.Target); got != c.text {
			t.Errorf("%s: %q, by hand %q", fall, got, c.text)
		}
		isWithin(t, fall+": drop from wall to wall", 0.2-r.Filled.Fill.Least, 6*c.share, 1e-12)
	}
}

// A fall to a place by hand: square to the wall it is at; from a corner halfway between its walls; and
// in the middle of a room the way that is said. What is beyond the place stays wet: of 6 by 4 m the
// half south of (3, 2), 12 m², up to 2 m farther and 40 mm lower.
func TestFallsToAPlaceByHand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		toward, more, words string
		z, beyond, lower    float64 // m at the place; m² and m beyond it
	}{
		{"6m,2m", "", "east", 1.2 - 0.12, 0, 0},
		{"3m,4m", "", "north", 1.2 - 0.08, 0, 0},
		{"0m,0m", "", "south-west", 1.2 - 0.02*10/math.Sqrt2, 0, 0},
		{"3m,2m", "\nfall-direction = \"S\"", "south", 1.2 - 0.04, 12, 0.04},
		{"3m,2m", "\nfall-direction = \"W\"", "west", 1.2 - 0.06, 12, 0.06},
		{"2m,1m", "\nfall-direction = \"S\"", "south", 1.2 - 0.06, 6, 0.02},
	} {
		r := solved(t, fallsOn(c.toward, c.more), levelRoom)
		f := r.Falling
		if got := FallText(nil, r.Filled.Fill.Target); got != "falls 2 % toward the "+c.words {
			t.Errorf("%s: %q, by hand toward the %s", c.toward, got, c.words)
		}
		isWithin(t, c.toward+": at the place", f.Z, c.z, 1e-7) // the middle of two walls is found in steps
		isWithin(t, c.toward+": beyond it", f.Beyond.Area, c.beyond, 1e-9)
		isWithin(t, c.toward+": lower than it", f.Lower, c.lower, 1e-9)
		ends := f.Ends().In(unit.Style{})
		if want := "; " + down(c.z) + " at "; !strings.Contains(ends, want) || !strings.HasSuffix(ends, ", where it falls to") {
			t.Errorf("%s: %q, by hand %q", c.toward, ends, want)
		}
		wet := notesText(r)
		if want := fmt.Sprintf("%.2f m² of it is lower than that place, up to %.0f mm lower", c.beyond, 1000*c.lower); c.beyond > 0 && !strings.Contains(wet, want) {
			t.Errorf("%s: no %q in %s", c.toward, want, wet)
		} else if c.beyond == 0 && strings.Contains(wet, "Water stays there") {
			t.Errorf("%s: drained to its lowest wall, and %s", c.toward, wet)
		}
	}
}

// notesText is all notes of a result.
func notesText(r *Result) string {
	var all []string
	for _, n := range r.Notes {
		all = append(all, n.In(styleOf(r)))
	}
	return strings.Join(all, "\n")
}
