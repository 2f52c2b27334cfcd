package job

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/survey"
)

// aimed is a job on the shots of floor.csv with the given target.
func aimed(target string) string {
	return "title = \"Aim\"\ndate = 2026-11-25\n[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\n" + target
}

// doors is a level floor of 4 by 3 m at 9.900 m with a finished floor at each side,
// outside the walls: south 10.000, east 10.004, north 10.006, west 10.002 m.
func doors() fstest.MapFS {
	text := "point,x (m),y (m),z (m),code\n"
	for i := range 5 {
		for k := range 4 {
			text += fmt.Sprintf("%d,%d,%d,9.9,\n", 101+4*i+k, i, k)
		}
	}
	text += "south,2,-0.1,10.000,FF\neast,4.1,1.5,10.004,FF\nnorth,2,3.1,10.006,FF\nwest,-0.1,1.5,10.002,FF\n"
	return fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": walls(4, 3)}
}

// The finish rules by hand: the lowest of 10.000, 10.004, 10.006 and 10.002 m is the
// south door, the mean is 10.003 m. Build-up and low are subtracted.
func TestTargetFromFinishedFloors(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		target string
		z      float64 // top of fill in the middle of the floor
	}{
		{"elevation = \"10m\"\n", 10},
		{"elevation = \"393.7007874015748in\"\n", 10},
		{"finish = \"10m\"\nbuildup = \"15mm\"\n", 9.985},
		{"finish = \"10m\"\nbuildup = \"15mm\"\nlow = \"2mm\"\n", 9.983},
		{"finish = \"10m\"\nbuildup = \"0mm\"\nlow = \"2mm\"\n", 9.998},
		{"finish = \"10m\"\nbuildup = \"0mm\"\n", 10},
		{"finish = \"10m\"\nbuildup = \"1/2in\"\n", 9.9873},
		{"finish-codes = [\"FF\"]\nbuildup = \"10mm\"\n", 9.99},
		{"finish-codes = [\"ff\"]\nbuildup = \"10mm\"\nfinish-rule = \"lowest\"\n", 9.99},
		{"finish-codes = [\"FF\"]\nbuildup = \"10mm\"\nfinish-rule = \"mean\"\n", 9.993},
		{"finish-codes = [\"FF\"]\nbuildup = \"10mm\"\nfinish-rule = \"mean\"\nlow = \"3mm\"\n", 9.99},
		{"finish-codes = [\"FF\"]\nbuildup = \"10mm\"\nfinish-rule = \"plane\"\n", 9.993},
		{"finish-at = \"east\"\nbuildup = \"4mm\"\n", 10},
		{"finish-at = \"north\"\nbuildup = \"0mm\"\n", 10.006},
	} {
		t.Run(strings.ReplaceAll(strings.TrimSpace(c.target), "\n", ", "), func(t *testing.T) {
			t.Parallel()
			r := solved(t, aimed(c.target), doors())
			z := r.Filled.Fill.Target.Elevation(surfaceVec(2, 1.5))
			near(t, "top of the fill", z, c.z)
			near(t, "fill", r.Filled.Fill.Fill, 12*(c.z-9.9))
			if got := len(r.Thresholds); got != 4 {
				t.Errorf("%d thresholds, want 4", got)
			}
			for _, one := range r.Thresholds {
				near(t, "room at "+one.Point.Name(), one.Room, one.Point.Z-r.Filled.Fill.Target.Elevation(surfaceVec(one.Point.X, one.Point.Y)))
			}
		})
	}
}

// The least-squares plane through four finished floors: with doors at the middle of each
// side, its slopes are 2 mm in 4.2 m from west to east and 6 mm in 3.2 m from south to
// north.
func TestPlaneThroughFinishedFloors(t *testing.T) {
	t.Parallel()
	r := solved(t, aimed("finish-codes = [\"FF\"]\nfinish-rule = \"plane\"\nbuildup = \"0mm\"\n"), doors())
	p := r.Filled.Fill.Target.(surface.Plane)
	near(t, "slope to the east", p.SlopeX, 0.002/4.2)
	near(t, "slope to the north", p.SlopeY, 0.006/3.2)
	if r.Finish == nil {
		t.Fatal("no finished plane")
	}
	near(t, "finished floor in the middle", r.Finish.Elevation(surfaceVec(2, 1.5)), 10.003)
	// A wedge over a rectangle: area times the depth in the middle.
	near(t, "fill", r.Filled.Fill.Fill, 12*0.103)

	// Two shots, or three on one line, do not define a plane.
	for _, gone := range [][]string{{"east", "west"}, {"east"}} {
		files := doors()
		text := string(files["floor.csv"].Data)
		for _, name := range gone {
			i := strings.Index(text, "\n"+name+",") + 1
			text = text[:i] + text[i+strings.Index(text[i:], "\n")+1:]
		}
		if len(gone) == 1 {
			text = strings.Replace(text, "west,-0.1,1.5", "west,2,4.1", 1)
		}
		files["floor.csv"] = &fstest.MapFile{Data: []byte(text)}
		err := hinted(refused(t, aimed("finish-codes = [\"FF\"]\nfinish-rule = \"plane\"\nbuildup = \"0mm\"\n"), files))
		if !strings.Contains(err, "lowest") || !strings.Contains(err, "finished floor") {
			t.Errorf("without %v: %s", gone, err)
		}
	}
}

// A target above a finished floor gives a warning with the height: the mean of the four
// is 3 mm above the south door.
func TestMeanIsAboveSomeDoor(t *testing.T) {
	t.Parallel()
	warned := func(rule string) (texts []string) {
		r := solved(t, aimed("finish-codes = [\"FF\"]\nbuildup = \"10mm\"\nfinish-rule = \""+rule+"\"\n"), doors())
		for _, n := range r.Notes {
			if text := n.In(styleOf(r)); n.Kind == survey.Warning && strings.Contains(text, "the finished plane is") {
				texts = append(texts, text)
			}
		}
		return texts
	}
	if got := warned("mean"); len(got) != 1 || !strings.Contains(got[0], "3 mm above the adjoining floor at south") {
		t.Errorf("mean: %q", got)
	}
	if got := warned("lowest"); got != nil {
		t.Errorf("lowest: %q, want no warning", got)
	}
}

// A target that falls in a direction is held at the highest corner. By hand 4 by 3 m at
// 9.900 m: to the east 1 %, from 10.000 at x 0 to 9.960 at x 4, 12 m² × 80 mm; to the
// north-east from the south-west corner.
func TestFallsByDirection(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		fall, toward   string
		slopeX, slopeY float64
		atX, atY       float64 // the highest corner
	}{
		{"fall-percent = 1.0\n", "E", -0.01, 0, 0, 0},
		{"fall-percent = 1.0\n", "e", -0.01, 0, 0, 0},
		{"fall = \"1:100\"\n", "W", 0.01, 0, 4, 0},
		{"fall = \"10mm/m\"\n", "N", 0, -0.01, 0, 0},
		{"fall = \"1%\"\n", "S", 0, 0.01, 0, 3},
		{"fall = \"1:100\"\n", "90deg", -0.01, 0, 0, 0},
		{"fall = \"1:100\"\n", "180deg", 0, 0.01, 0, 3},
		{"fall = \"1:100\"\n", "NE", -0.01 / math.Sqrt2, -0.01 / math.Sqrt2, 0, 0},
		{"fall = \"1:100\"\n", "SW", 0.01 / math.Sqrt2, 0.01 / math.Sqrt2, 4, 3},
		{"fall = \"1:100\"\n", "30deg", -0.01 * 0.5, -0.01 * math.Sqrt(3) / 2, 0, 0},
		{"fall = \"1/8in/ft\"\n", "E", -1.0 / 96, 0, 0, 0},
	} {
		t.Run(strings.TrimSpace(c.fall)+" "+c.toward, func(t *testing.T) {
			t.Parallel()
			r := solved(t, aimed("elevation = \"10m\"\n"+c.fall+"toward = \""+c.toward+"\"\n"), doors())
			p := r.Filled.Fill.Target.(surface.Plane)
			near(t, "slope to the east", p.SlopeX, c.slopeX)
			near(t, "slope to the north", p.SlopeY, c.slopeY)
			near(t, "at the highest corner", p.Elevation(surfaceVec(c.atX, c.atY)), 10)
			middle := 10 + c.slopeX*(2-c.atX) + c.slopeY*(1.5-c.atY)
			near(t, "fill", r.Filled.Fill.Fill, 12*(middle-9.9))
			if r.Falling == nil || r.Falling.Place != nil {
				t.Errorf("%+v, want a fall without a place", r.Falling)
			}
		})
	}
}

// A target that falls to a drain, named by its shot or by its place. By hand to the
// middle of the east wall of 4 by 3 m: 10.000 at the west wall, 9.960 at the drain.
func TestFallsToADrain(t *testing.T) {
	t.Parallel()
	files := doors()
	files["floor.csv"] = &fstest.MapFile{Data: append(files["floor.csv"].Data, "D1,4,1.5,9.85,DRAIN\n"...)}
	for _, toward := range []string{"D1", "d1", "4m,1.5m"} {
		r := solved(t, aimed("elevation = \"10m\"\nfall = \"1:100\"\ntoward = \""+toward+"\"\n"), files)
		near(t, toward+": slope", r.Filled.Fill.Target.(surface.Plane).SlopeX, -0.01)
		near(t, toward+": slope to the north", r.Filled.Fill.Target.(surface.Plane).SlopeY, 0)
		near(t, toward+": fill", r.Filled.Fill.Fill, 12*0.08)
		f := r.Falling
		if f == nil || f.Place == nil {
			t.Fatalf("%s: no place that it falls to", toward)
		}
		near(t, toward+": at the drain", f.Z, 9.96)
		near(t, toward+": lower than the drain", f.Lower, 0)
	}
}

// Floor beyond a drain is lower than the drain. The note has its area and depth: a drain
// at x 3 of 4 m leaves 1 m × 3 m lower, by up to 10 mm.
func TestFloorPastTheDrain(t *testing.T) {
	t.Parallel()
	text := aimed("elevation = \"10m\"\nfall = \"1:100\"\ntoward = \"3m,1.5m\"\nfall-direction = \"E\"\n")
	r := solved(t, text, doors())
	near(t, "area lower than the drain", r.Falling.Beyond.Area, 3)
	near(t, "by", r.Falling.Lower, 0.01)
	if got := aboutTopic(r, survey.AboutTarget); !strings.Contains(got, "the target runs on below the place it falls to: 3.00 m² of it is lower than that place, up to 10 mm lower") {
		t.Errorf("warnings: %s", got)
	}
	// With the drain in the middle no plane drains all of the floor: the user is asked.
	err := hinted(refused(t, aimed("elevation = \"10m\"\nfall = \"1:100\"\ntoward = \"2m,1.5m\"\n"), doors()))
	if !strings.Contains(err, "in the middle of the floor") || !strings.Contains(err, "fall-direction") {
		t.Errorf("%s", err)
	}
	// A place may be off the floor by 0.5 m max, a thick wall (own choice).
	for x, taken := range map[string]bool{"4.49m": true, "4.51m": false} {
		_, err := Solve(t.Context(), parsed(t, aimed("elevation = \"10m\"\nfall = \"1:100\"\ntoward = \""+x+",1.5m\"\n")), doors(), nil)
		if (err == nil) != taken || err != nil && !strings.Contains(err.Error(), "outside the outline") {
			t.Errorf("x %s: %v", x, err)
		}
	}
}

// A fall held at the finished floor: at 1 % to the east, the west door at 10.002 is 4.1
// m uphill of the east door. The lowest of the four, after the fall to each is
// subtracted, holds the plane.
func TestFallHeldAtADoor(t *testing.T) {
	t.Parallel()
	r := solved(t, aimed("finish-codes = [\"FF\"]\nbuildup = \"10mm\"\nfall = \"1:100\"\ntoward = \"E\"\n"), doors())
	// With the fall removed: S 10.000 + 0.02, E 10.004 + 0.041, N 10.006 + 0.02, W
	// 10.002 − 0.001.
	want := 10.002 - 0.001 - 0.01
	near(t, "top of the fill at the west wall", r.Filled.Fill.Target.Elevation(surfaceVec(0, 1.5)), want)
	near(t, "room at the west door", thresholdOf(t, r, "west").Room, 0.01)
	near(t, "fill", r.Filled.Fill.Fill, 12*(want-0.02-9.9))
}

func thresholdOf(t *testing.T, r *Result, name string) (out struct{ Room, Bed, Laid, Change float64 }) {
	t.Helper()
	for _, one := range r.Thresholds {
		if one.Point.Name() == name {
			out.Room, out.Bed, out.Laid, out.Change = one.Room, one.Bed, one.Laid, one.Change
			return out
		}
	}
	t.Fatalf("no threshold %s", name)
	return out
}

// At each door, room is the finished floor minus the top of the fill. The bed makes the
// covering flush; beyond the limits of the bed there is a step. By hand with a fill at
// 9.985 and tiles of 10 mm: 15 to 21 mm of room, 5 to 11 mm of bed. Limits of 6 and 10
// mm leave the new floor 1 mm higher at S and 1 mm lower at N.
func TestBedAtEachDoor(t *testing.T) {
	t.Parallel()
	r := solved(t, aimed("elevation = \"9.985m\"\ncovering = \"10mm\"\nbed-least = \"6mm\"\nbed-greatest = \"10mm\"\n"), doors())
	for name, want := range map[string]struct{ room, bed, laid, change float64 }{
		"south": {0.015, 0.005, 0.006, 0.001}, "west": {0.017, 0.007, 0.007, 0}, "east": {0.019, 0.009, 0.009, 0}, "north": {0.021, 0.011, 0.010, -0.001},
	} {
		got := thresholdOf(t, r, name)
		near(t, name+": room", got.Room, want.room)
		near(t, name+": bed", got.Bed, want.bed)
		near(t, name+": bed as laid", got.Laid, want.laid)
		near(t, name+": change of level", got.Change, want.change)
	}
	// Without limits the bed is as planned: a build-up of 15 mm minus 10 mm of tiles
	// everywhere.
	r = solved(t, aimed("finish = \"10m\"\nbuildup = \"15mm\"\ncovering = \"10mm\"\n"), doors())
	for name, change := range map[string]float64{"south": 0, "west": -0.002, "east": -0.004, "north": -0.006} {
		got := thresholdOf(t, r, name)
		near(t, name+": bed as planned", got.Laid, 0.005)
		near(t, name+": change of level", got.Change, change)
	}
}

// People trip over a change of level of more than 1/4 in (2010 ADA Standards, 303.2). A
// fill above a door is named first.
func TestStepsAtDoors(t *testing.T) {
	t.Parallel()
	r := solved(t, aimed("finish = \"10m\"\nbuildup = \"15mm\"\ncovering = \"10mm\"\n"), doors())
	if got := aboutTopic(r, survey.AboutTarget); strings.Contains(got, "people trip") {
		t.Errorf("6 mm: %s", got)
	}
	r = solved(t, aimed("finish = \"9.999m\"\nbuildup = \"15mm\"\ncovering = \"10mm\"\n"), doors())
	if got := aboutTopic(r, survey.AboutTarget); !strings.Contains(got, "at north the new floor is 7 mm lower than the adjoining finished floor: bevel it, or people trip (accessible routes allow a vertical change of 6 mm") || strings.Contains(got, "at east") {
		t.Errorf("7 mm: %s", got)
	}
	r = solved(t, aimed("elevation = \"10.0041m\"\n"), doors())
	if got := aboutTopic(r, survey.AboutTarget); !strings.Contains(got, "the top of fill is 4 mm above the adjoining finished floor at south (1 of 3 others likewise): check the target") {
		t.Errorf("above two doors: %s", got)
	}
}

// A setting that cannot give a target is refused, with the keys that can.
func TestTargetsThatMeanNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ target, want string }{
		{"", "target"},
		{"elevation = \"10m\"\nfinish = \"10m\"\n", "give one of them"},
		{"elevation = \"10m\"\nbuildup = \"10mm\"\n", "top of the fill itself"},
		{"elevation = \"10m\"\nlow = \"2mm\"\n", "top of the fill itself"},
		{"elevation = \"10m\"\nfinish-rule = \"mean\"\n", "is for the shots of"},
		{"finish-codes = [\"FF\"]\nfinish-rule = \"highest\"\n", `found "highest", want lowest, mean or plane`},
		{"finish-codes = [\"SILL\"]\nbuildup = \"0mm\"\n", "no shot with code SILL"},
		{"finish-at = \"X\"\nbuildup = \"0mm\"\n", `no shot named "X"`},
		{"finish = \"10m\"\ncovering = \"10mm\"\n", "buildup"},
		{"finish = \"10m\"\nbuildup = \"5mm\"\ncovering = \"10mm\"\n", "thicker than the whole build-up"},
		{"elevation = \"10m\"\nbed-least = \"2mm\"\n", "go together"},
		{"elevation = \"10m\"\nbed-least = \"2mm\"\nbed-greatest = \"6mm\"\n", "covering of known thickness"},
		{"elevation = \"10m\"\ncovering = \"10mm\"\nbed-least = \"6mm\"\nbed-greatest = \"2mm\"\n", "the min bed than the max bed"},
		{"elevation = \"10m\"\nfall = \"1:100\"\n", "go together"},
		{"elevation = \"10m\"\ntoward = \"E\"\n", "go together"},
		{"elevation = \"10m\"\nfall = \"1:100\"\nfall-percent = 1.0\ntoward = \"E\"\n", "fall"},
		{"elevation = \"10m\"\nfall = \"1:100\"\ntoward = \"E\"\nfall-direction = \"N\"\n", "is a direction already"},
		{"elevation = \"10m\"\nfall = \"1:100\"\ntoward = \"down\"\n", `found "down"`},
		{"elevation = \"10m\"\nfall = \"1:100\"\ntoward = \"400deg\"\n", `found "400deg"`},
		{"elevation = \"10m\"\nfall = \"steep\"\ntoward = \"E\"\n", "want percent such as 1.5%"},
		{"elevation = \"10m\"\nfall = \"1:4\"\ntoward = \"E\"\n", "want a fall from 0 to 20 %"},
		{"finish-codes = [\"FF\"]\nfinish-rule = \"plane\"\nfall = \"1:100\"\ntoward = \"E\"\n", "has a slope of its own"},
		{"elevation = \"30.1m\"\n", "a target 20.200 m from the floor"},
		{"elevation = \"-10.2m\"\n", "a target 20.100 m from the floor"},
	} {
		if err := hinted(refused(t, aimed(c.target), doors())); !strings.Contains(err, c.want) || !strings.Contains(err, "job.toml") && !strings.Contains(err, "floor.csv") {
			t.Errorf("%s\n%s\nwant %s and its place", c.target, err, c.want)
		}
	}
	// Up to 10 m is computed, with a warning from 1 m (both own choice).
	r := solved(t, aimed("elevation = \"19.899m\"\n"), doors())
	near(t, "9.999 m", r.Filled.Fill.Fill, 12*9.999)
	if got := aboutTopic(r, survey.AboutDepth); !strings.Contains(got, "the fill is 9.999 m deep") {
		t.Errorf("%s", got)
	}
	if err := refused(t, aimed("elevation = \"19.901m\"\n"), doors()); err.Error() != "job.toml:6:2: target: found a fill 10.001 m deep, want max 10.000 m: a target on the datum and in the unit of the survey" {
		t.Error(err)
	}
	for z, warned := range map[string]bool{"10.899m": false, "10.901m": true} {
		if got := aboutTopic(solved(t, aimed("elevation = \""+z+"\"\n"), doors()), survey.AboutDepth); strings.Contains(got, "deep at") != warned {
			t.Errorf("%s: %q, want a warning: %v", z, got, warned)
		}
	}
}

// A target at or below the floor needs no fill, no marks and no order.
func TestNothingToFill(t *testing.T) {
	t.Parallel()
	for z, want := range map[string]string{"9.9m": "the floor already reaches the target: nothing to fill", "9.8m": "the target is 100 mm or more below the whole floor: nothing to fill"} {
		r := solved(t, aimed("elevation = \""+z+"\"\n")+"[bars]\nsize = \"8\"\nspacing = \"200mm\"\n[bays]\nwidth = \"2m\"\n[mix]\nprice-per-m3 = 150\n", doors())
		if r.Filled.Fill.Fill != 0 || r.Pins != nil || r.Bars != nil || r.Bays != nil || r.Supplies.Schedule != nil || r.Delivery.Trucks != 0 || len(r.Supplies.Total.Lines) != 0 {
			t.Errorf("%s: %g m³, pins %v, bars %v, bays %v, %d trucks, %d lines", z, r.Filled.Fill.Fill, r.Pins, r.Bars, r.Bays, r.Delivery.Trucks, len(r.Supplies.Total.Lines))
		}
		all := aboutTopic(r, survey.AboutOrder) + "\n" + aboutTopic(r, survey.AboutTarget)
		if !strings.Contains(all, want) {
			t.Errorf("%s: %s, want %s", z, all, want)
		}
	}
}
