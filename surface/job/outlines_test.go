package job

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Invalid outlines are refused at their file, and mostly at their row.
func TestOutlinesThatAreNone(t *testing.T) {
	t.Parallel()
	const head = "part,ring,x_m,y_m\n"
	for _, c := range []struct{ name, text, want string }{
		{"two corners", head + "room,outer,0,0\nroom,outer,6,0\n", "walls.csv"},
		{"a bow", head + "room,outer,0,0\nroom,outer,6,4\nroom,outer,6,0\nroom,outer,0,4\n", "cross"},
		{"no width", head + "room,outer,0,0\nroom,outer,6,0\nroom,outer,3,0\n", "walls.csv"},
		{"a column outside", head + "room,outer,0,0\nroom,outer,6,0\nroom,outer,6,4\nroom,outer,0,4\nc,hole,8,1\nc,hole,9,1\nc,hole,9,2\n", "walls.csv:6"},
		{"a column across a wall", head + "room,outer,0,0\nroom,outer,6,0\nroom,outer,6,4\nroom,outer,0,4\nc,hole,5,1\nc,hole,7,1\nc,hole,7,2\nc,hole,5,2\n", "walls.csv"},
		{"somewhere else", head + "room,outer,100,100\nroom,outer,106,100\nroom,outer,106,104\nroom,outer,100,104\n", "outline"},
		{"a strange ring", head + "room,sideways,0,0\nroom,sideways,6,0\nroom,sideways,6,4\nroom,sideways,0,4\n", "sideways"},
		{"no number", head + "room,outer,0,0\nroom,outer,six,0\nroom,outer,6,4\n", "walls.csv:3"},
		{"empty", "", "walls.csv"},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := fstest.MapFS{"floor.csv": ramp["floor.csv"], "walls.csv": {Data: []byte(c.text)}}
			if err := hinted(refused(t, rampJob, files)); !strings.Contains(err, c.want) {
				t.Errorf("%s\nwant %s", err, c.want)
			}
		})
	}
}

// Shots off the floor are left out and listed; the volume is the floor's without them.
func TestShotsOffTheFloorAreLeftOut(t *testing.T) {
	t.Parallel()
	shots := append(onGrid(4, 3, 1, flat(9.95)), [3]float64{7, 1, 9.5}, [3]float64{-3, 2, 9.4})
	r := solved(t, tenMetres, floorOfShots(shots, outlineOf(rectangle(0, 0, 4, 3))))
	near(t, "fill", r.Filled.Fill.Fill, 0.6)
	if r.Floor.Used != 20 {
		t.Errorf("%d shots used, want 20", r.Floor.Used)
	}
	var rows []int
	for _, n := range r.Notes {
		if n.Kind == survey.LeftOut {
			rows = append(rows, n.Pos.Line)
		}
	}
	slices.Sort(rows)
	if !slices.Equal(rows, []int{22, 23}) {
		t.Errorf("left out: rows %v, want 22 and 23", rows)
	}
}

// A floor is from 300 mm to 5 km across (own choice): outside that the plan is in
// another unit.
func TestSizeOfAFloor(t *testing.T) {
	t.Parallel()
	for size, taken := range map[float64]bool{0.29: false, 0.31: true, 4999: true, 5001: false} {
		var shots [][3]float64
		for _, p := range onGrid(4, 4, 1, flat(9.95)) {
			shots = append(shots, [3]float64{p[0] / 4 * size, p[1] / 4 * size, p[2]})
		}
		j := &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}, Target: Target{Elevation: "10m"}}
		_, err := Fill(j, nil, floorOfShots(shots, outlineOf(rectangle(0, 0, size, size))), nil)
		if (err == nil) != taken || err != nil && !strings.Contains(err.Error(), "want one between 300 mm and 5 km across: is the unit right?") {
			t.Errorf("%g m: %v", size, err)
		}
	}
}

// A position is given from two walls, in the reader's unit: by hand on 6 by 4 m.
func TestPlacesByTheWalls(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob, ramp)
	for _, c := range []struct {
		x, y       float64
		metric, us string
	}{
		{2, 1.5, "2.000 m from west wall, 1.500 m from south wall", `6'-6 3/4" from west wall, 4'-11 1/16" from south wall`},
		{5, 3, "1.000 m from east wall, 1.000 m from north wall", `3'-3 3/8" from east wall, 3'-3 3/8" from north wall`},
		{0, 0, "the corner of west wall and south wall", "the corner of west wall and south wall"},
		{6, 4, "the corner of east wall and north wall", "the corner of east wall and north wall"},
		{0, 1, "west wall, 1.000 m from south wall", `west wall, 3'-3 3/8" from south wall`},
		{2, 4, "2.000 m from west wall, at north wall", `6'-6 3/4" from west wall, at north wall`},
	} {
		got := Beside(r.Floor, surfaceVec(c.x, c.y))
		if text := got.In(unit.Style{}); text != c.metric {
			t.Errorf("%g, %g: %s, want %s", c.x, c.y, text, c.metric)
		}
		if text := got.In(unit.Style{Imperial: true}); text != c.us {
			t.Errorf("%g, %g in feet: %s, want %s", c.x, c.y, text, c.us)
		}
	}
	// The deepest place of the ramp is at the east wall.
	near(t, "deepest at", r.Filled.Fill.GreatestAt.X, 6)
	near(t, "shallowest at", r.Filled.Fill.LeastAt.X, 0)
}

// Lines of profiles are read in the unit of the survey.
func TestProfilesOfAFill(t *testing.T) {
	t.Parallel()
	j := &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}, Target: Target{Elevation: "0m"}}
	w, err := Fill(j, []string{"0m,2m,6m,2m", "1,0,1,4"}, ramp, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(w.Profiles) != 2 || w.Profiles[0][1] != surfaceVec(6, 2) || w.Profiles[1][0] != surfaceVec(1, 0) {
		t.Errorf("%v", w.Profiles)
	}
	for _, text := range []string{"0m,2m,6m", "0m,2m,6m,2m,1m", "here", ""} {
		if _, err := Fill(j, []string{text}, ramp, nil); err == nil || !strings.Contains(err.Error(), "profile") {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// The command fill and a job give the same fill.
func TestFillIsThatOfTheJob(t *testing.T) {
	t.Parallel()
	for i, more := range []string{"", "[mix]\nallowance-percent = 8\n", "[plant]\nroughness = \"1mm\"\ntruck = \"7m3\"\n", "[mix]\norder-step = \"0.1m3\"\nunit-weight-kgm3 = 2100\n"} {
		j := parsed(t, rampJob+more)
		w, err := Fill(j, nil, ramp, nil)
		if err != nil {
			t.Fatal(err)
		}
		r := solved(t, rampJob+more, ramp)
		near(t, fmt.Sprintf("%d: fill", i), w.Fill.Fill, r.Filled.Fill.Fill)
		near(t, fmt.Sprintf("%d: need", i), w.Takeoff.Need, r.Takeoff.Need)
		near(t, fmt.Sprintf("%d: order", i), w.Delivery.Volume, r.Delivery.Volume)
		near(t, fmt.Sprintf("%d: mass", i), w.Mix.Load.Mass, r.Mix.Load.Mass)
		if w.Delivery.Trucks != r.Delivery.Trucks {
			t.Errorf("%d: %d trucks, %d of the job", i, w.Delivery.Trucks, r.Delivery.Trucks)
		}
	}
}

// Deviations from the target are depths from it. The target 0 must be given.
func TestDeviationsFromTheTarget(t *testing.T) {
	t.Parallel()
	text := "point,x (m),y (m),low (mm)\n"
	for i, p := range onGrid(4, 3, 1, flat(0)) {
		text += fmt.Sprintf("%d,%g,%g,%d\n", i+1, p[0], p[1], 30)
	}
	files := fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": walls(4, 3)}
	j := &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}}
	if _, err := Fill(j, nil, files, nil); err == nil || !strings.Contains(hinted(err), "target") {
		t.Errorf("%v", err)
	}
	j.Target.Elevation = "0m"
	w, err := Fill(j, nil, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "fill", w.Fill.Fill, 12*0.03)
	near(t, "depth", w.Fill.Greatest, 0.03)
}

// The plane found under the shots is the plane of the floor, with its slope and the
// deviation of the shots.
func TestFloorAsFound(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob, ramp)
	f := r.Found
	if f == nil {
		t.Fatal("no plane")
	}
	isWithin(t, "slope to the east", f.Plane.SlopeX, -0.08/6, 1e-9)
	isWithin(t, "slope to the north", f.Plane.SlopeY, 0, 1e-9)
	isWithin(t, "in the middle", f.Plane.Elevation(surfaceVec(3, 2)), -0.06, 1e-9)
	if math.IsNaN(f.Plane.Z) {
		t.Error("no elevation")
	}
}

// Walls that most shots are outside of are refused by a job: they are in another unit.
func TestWallsOfAnotherUnit(t *testing.T) {
	t.Parallel()
	files := hallOf(0.1)
	files["walls.csv"] = walls(3.048, 2.4384)
	if err := hinted(refused(t, tenMetres, files)); !strings.Contains(err, "87 of 99 shots are outside it") || !strings.Contains(err, "is one of the two in another unit, or are x and y exchanged? Of a survey of several rooms, give the shots of this one alone") {
		t.Error(err)
	}
	files["walls.csv"] = walls(30, 24)
	r := solved(t, tenMetres, files)
	if got := aboutTopic(r, survey.AboutOrder); !strings.HasPrefix(got, "the shots cover 10.000 m x 8.000 m of a floor of 30.000 m x 24.000 m: check the unit of x and y") {
		t.Error(got)
	}
}
