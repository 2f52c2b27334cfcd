package job

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/uncertainty"
	"pourplane/survey"
)

// denseGrid is points of a grid.
func denseGrid(nx, ny int, step float64) (out []survey.Point) {
	for i := range nx {
		for k := range ny {
			out = append(out, survey.Point{X: 0.05 + step*float64(i), Y: 0.05 + step*float64(k), Z: 9.95 + 0.0001*float64((i*k)%7)})
		}
	}
	return out
}

// Points are those of a scan if they are as close as no one shoots them, in any order; a place shot
// twice, among others that are far apart, is none.
func TestDensePointsAreAScan(t *testing.T) {
	var pairs []survey.Point
	for _, p := range denseGrid(30, 20, 0.3) {
		beside := p
		beside.X += 0.005
		pairs = append(pairs, p, beside)
	}
	for name, c := range map[string]struct {
		points []survey.Point
		want   bool
	}{
		"1200 points 100 mm apart": {denseGrid(40, 30, 0.1), true},
		"2400 points 50 mm apart":  {denseGrid(60, 40, 0.05), true},
		"1200 points 150 mm apart": {denseGrid(40, 30, 0.15), false},
		"900 points 50 mm apart":   {denseGrid(30, 30, 0.05), false},
		"pairs 300 mm apart":       {pairs, false},
		"half of them 2 m apart":   {append(denseGrid(25, 24, 0.05), denseGrid(25, 24, 2)...), false},
	} {
		back := slices.Clone(c.points)
		slices.Reverse(back)
		if isDense(c.points) != c.want || isDense(back) != c.want {
			t.Errorf("%s: %v and %v, want %v", name, isDense(c.points), isDense(back), c.want)
		}
	}
}

// A text file whose points are those of a scan has its reading error, and the notes say so.
func TestATextFileOfAScanIsSaid(t *testing.T) {
	t.Parallel()
	text := "x_m,y_m,z_m\n"
	for _, p := range denseGrid(34, 30, 0.1) {
		text += fmt.Sprintf("%.3f,%.3f,%.4f\n", p.X, p.Y, p.Z)
	}
	for sd, want := range map[string]string{"": "1020 points, as close or as many as a scan has: the reading error is assumed as that of a scan, 1.0 mm", "2mm": ""} {
		j := &Job{Survey: Survey{Files: []string{"floor.csv"}, ReadingSD: sd}}
		j.Target.Elevation = "10m"
		w, err := Fill(j, nil, fstest.MapFS{"floor.csv": {Data: []byte(text)}}, nil)
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, n := range w.Survey.Notes {
			if n.Kind == survey.Assumed && strings.Contains(n.String(), "as that of a scan") {
				said = n.String()
			}
		}
		if got := w.Sure().Way; got != uncertainty.ByScan || said != want {
			t.Errorf("--reading-sd %q: measured by %v, said %q", sd, got, said)
		}
	}
}
