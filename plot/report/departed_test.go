package report

import (
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// A departure at a corner of the walls, which no shot is at, is said to be estimated; one at a
// shot is not.
func TestDepartureAtAWallIsEstimated(t *testing.T) {
	for text, want := range map[string][2]bool{
		"x_m,y_m,z_m\n1,1,10.000\n5,1,10.004\n5,3,10.008\n1,3,10.004\n":             {true, true},
		"x_m,y_m,z_m\n0,0,10.000\n6,0,10.000\n6,4,10.000\n0,4,10.000\n3,2,10.010\n": {false, false},
	} {
		files := fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": {Data: []byte("x_m,y_m\n0,0\n6,0\n6,4\n0,4\n")}}
		j, err := job.Judge(&job.Job{Survey: job.Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}, Target: job.Target{Elevation: "10m"}}, job.FlatOptions{}, files, nil)
		if err != nil {
			t.Fatal(err)
		}
		var rows facts
		addPlane(j, unit.Style{}, &rows)
		got := ""
		for _, r := range rows {
			if r.Head == "Departures" {
				got = r.Text
			}
		}
		high, low, _ := strings.Cut(got, ", lowest")
		if strings.Contains(high, "(estimated at the wall)") != want[0] || strings.Contains(low, "(estimated at the wall)") != want[1] {
			t.Errorf("%s: %s", text, got)
		}
	}
}

// A plane that falls by rounding alone is level.
func TestFallByRoundingIsLevel(t *testing.T) {
	f, err := surface.NewFloor(surface.Data{Shots: []survey.Point{{X: 0, Y: 0, Z: 10}, {X: 6, Y: 0, Z: 10}, {X: 0, Y: 4, Z: 10}}})
	if err != nil {
		t.Fatal(err)
	}
	plane := surface.Plane{Z: 10, SlopeX: 7.74e-21}
	if got := targetText(plane, f, unit.Style{}); got != "level at 10.000 m" {
		t.Error(got)
	}
	if got := job.FallText(f, plane); got != "level" {
		t.Error(got)
	}
}
