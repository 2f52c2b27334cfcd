package flatness

import (
	"math"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

func placedRun(name string, x0, y0, x1, y1 float64, z ...float64) survey.Run {
	r := survey.Run{Name: name, Start: survey.Point{X: x0, Y: y0}, End: survey.Point{X: x1, Y: y1}, Step: math.Hypot(x1-x0, y1-y0) / float64(len(z)-1)}
	for _, v := range z {
		r.Stations = append(r.Stations, survey.Station{Z: v})
	}
	return r
}

func ring(name string, kind survey.RingKind, at ...float64) survey.Ring {
	r := survey.Ring{Name: name, Kind: kind}
	for i := 0; i < len(at); i += 2 {
		r.Points = append(r.Points, survey.Point{X: at[i], Y: at[i+1], Z: math.NaN()})
	}
	return r
}

// Runs go to the room they are in, whichever direction its corners run. Those without a
// place make a separate section, and those in no room are left out.
func TestSectionsOf(t *testing.T) {
	rings := []survey.Ring{
		ring("west", survey.Outer, 0, 0, 0, 8, 10, 8, 10, 0), // clockwise
		ring("east", survey.Outer, 10, 0, 20, 0, 20, 8, 10, 8),
		ring("pit", survey.Hole, 12, 2, 14, 2, 14, 4, 12, 4), // counter-clockwise
	}
	lost := survey.Run{Name: "lost", Start: survey.Point{X: math.NaN()}, End: survey.Point{X: math.NaN()}}
	got, notes := SectionsOf([]survey.Run{placedRun("a", 11, 6, 19, 6, 0, 0), placedRun("b", 1, 1, 9, 1, 0, 0), placedRun("c", 30, 1, 39, 1, 0, 0), lost, placedRun("d", 1, 3, 9, 3, 0, 0)}, rings, nil)
	want := []struct {
		name  string
		runs  []string
		rings int
	}{{"west", []string{"b", "d"}, 1}, {"east", []string{"a"}, 2}, {"of runs without a place", []string{"lost"}, 0}}
	if len(notes) != 1 || !strings.Contains(notes[0].Text.String(), "run c: ") {
		t.Errorf("notes %v, want one on run c", notes)
	}
	if len(got) != len(want) {
		t.Fatalf("%d sections, want %d", len(got), len(want))
	}
	twice := func(r []surface.Vec) (s float64) {
		for i, p := range r {
			q := r[(i+1)%len(r)]
			s += p.X*q.Y - q.X*p.Y
		}
		return s
	}
	for i, w := range want {
		g := got[i]
		if g.Name != w.name || len(g.Runs) != len(w.runs) || len(g.Outline) != w.rings {
			t.Errorf("section %d: %q with %d runs and %d rings, want %+v", i, g.Name, len(g.Runs), len(g.Outline), w)
			continue
		}
		for k, r := range g.Runs {
			if r.Name != w.runs[k] {
				t.Errorf("section %q: run %q, want %q", g.Name, r.Name, w.runs[k])
			}
		}
		for k, o := range g.Outline {
			if a := twice(o); (a > 0) != (k == 0) {
				t.Errorf("section %q: ring %d has twice the area %g", g.Name, k, a)
			}
		}
	}
}

// The worst run is named; the shares are of all positions on all runs.
func TestLayAlongRuns(t *testing.T) {
	flat := placedRun("flat", 0, 0, 4, 0, 0, 0, 0, 0, 0)
	dip := placedRun("dip", 0, 1, 4, 1, 0, 0, -0.004, 0, 0)
	e, name, err := LayAlongRuns([]survey.Run{flat, dip}, Laying{Length: 2})
	if err != nil {
		t.Fatal(err)
	}
	// The edge rests on 1 and 3 over the dip at 2.
	near(t, "gap", e.Gap, 0.004, 1e-9)
	near(t, "way of both runs", e.Positions, 4, 1e-9)
	if name != "dip" {
		t.Errorf("worst on %q", name)
	}
	alone, _, err := LayAlongRuns([]survey.Run{dip}, Laying{Length: 2})
	if err != nil {
		t.Fatal(err)
	}
	// All of the level run is within, so half of the excess remains.
	near(t, "share", 1-e.Within(0.002), (1-alone.Within(0.002))/2, 1e-9)
	if _, _, err := LayAlongRuns([]survey.Run{{Name: "x", Stations: make([]survey.Station, 3)}}, Laying{Length: 2}); err == nil {
		t.Error("a run without a step is laid along")
	}
	none, name, err := LayAlongRuns([]survey.Run{flat}, Laying{Length: 9})
	if err != nil || none.Fits || name != "" || none.Longest != 4 {
		t.Errorf("an edge longer than the run: %+v, %q, %v", none, name, err)
	}
}

// On a plane tilted by 1 % along 10 m, compared with a level one at its middle, departures
// are spread evenly from -50 to 50 mm.
func TestSharesOfATiltedFloor(t *testing.T) {
	f, err := surface.NewFloor(surface.Data{Shots: []survey.Point{{X: 0, Y: 0, Z: 0}, {X: 10, Y: 0, Z: 0.1}, {X: 10, Y: 4, Z: 0.1}, {X: 0, Y: 4, Z: 0}}})
	if err != nil {
		t.Fatal(err)
	}
	level := surface.Horizontal(0.05)
	d := AtShots(f, level)
	near(t, "within 10 mm", d.Share(0.010), 0.2, 1e-9)
	near(t, "within 60 mm", d.Share(0.060), 1, 1e-12)
	near(t, "greatest departure", d.Value, 0.05, 1e-12)
	near(t, "share of the reading", d.Share(0.025), 0.5, 1e-9)
	shares, err := Shares(f, level, -0.05, 0.02, 5)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range shares {
		near(t, "share of a fifth", s, 0.2, 1e-9)
	}
	// Bins that do not reach the ends include everything beyond.
	shares, err = Shares(f, level, -0.02, 0.02, 2)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lower half", shares[0], 0.5, 1e-9)
	near(t, "upper half", shares[1], 0.5, 1e-9)
	if _, err := Shares(f, level, 0, 0, 3); err == nil {
		t.Error("steps of nothing make a histogram")
	}
}

// A run through two rooms and beyond belongs to each for the part inside; an opening has
// none of it.
func TestSectionsCutRuns(t *testing.T) {
	rings := []survey.Ring{
		ring("west", survey.Outer, 0, 0, 10, 0, 10, 8, 0, 8),
		ring("pit", survey.Hole, 4, 0.5, 6, 0.5, 6, 2, 4, 2),
		ring("east", survey.Outer, 10.5, 0, 20, 0, 20, 8, 10.5, 8),
	}
	z := make([]float64, 31)
	for i := range z {
		z[i] = float64(i)
	}
	got, notes := SectionsOf([]survey.Run{placedRun("a", -5, 1, 25, 1, z...)}, rings, nil)
	if len(got) != 2 || len(got[0].Runs) != 1 || len(got[1].Runs) != 1 {
		t.Fatalf("got %+v", got)
	}
	w, e := got[0].Runs[0], got[1].Runs[0]
	if w.Start.X != 0 || w.End.X != 10 || len(w.Stations) != 11 || w.Stations[0].Z != 5 || !math.IsNaN(w.Stations[5].Z) || w.Stations[4].Z != 9 {
		t.Errorf("west: %+v", w)
	}
	if e.Start.X != 11 || e.End.X != 20 || len(e.Stations) != 10 || e.Stations[9].Z != 25 {
		t.Errorf("east: %+v", e)
	}
	// Outside: five at the west, one in the pit, five at the east.
	if len(notes) != 1 || !strings.Contains(notes[0].Text.String(), "11 of its 31 readings are outside") {
		t.Errorf("notes %v", notes)
	}
}
