package job

import (
	"context"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"pourplane/surface"
)

// demo is the folder of the demo job.
var demo = os.DirFS("../../testdata/demo")

// theHall is the demo job, solved once for all tests; none may change it.
var theHall = sync.OnceValues(func() (*Result, error) {
	text, err := fs.ReadFile(demo, "job.toml")
	if err != nil {
		return nil, err
	}
	j, err := Parse(text, "job.toml")
	if err != nil {
		return nil, err
	}
	return Solve(context.Background(), j, demo, nil)
})

func demoHall(t testing.TB) *Result {
	t.Helper()
	r, err := theHall()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// parsed reads a job from text.
func parsed(t testing.TB, text string) *Job {
	t.Helper()
	j, err := Parse([]byte(text), "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// solved solves a job that is given as text.
func solved(t testing.TB, text string, files fs.FS) *Result {
	t.Helper()
	r, err := Solve(t.Context(), parsed(t, text), files, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// refused solves a job that must be refused, and returns the refusal.
func refused(t testing.TB, text string, files fs.FS) error {
	t.Helper()
	j, err := Parse([]byte(text), "job.toml")
	if err != nil {
		return err
	}
	r, err := Solve(t.Context(), j, files, nil)
	if err == nil {
		t.Fatalf("not refused:\n%s", text)
	}
	if r != nil {
		t.Error("a refusal with a result")
	}
	return err
}

// near fails unless got is within 1e-9 of want, relative if want is more than 1.
func near(t testing.TB, what string, got, want float64) {
	t.Helper()
	isWithin(t, what, got, want, 1e-9*max(1, math.Abs(want)))
}

func isWithin(t testing.TB, what string, got, want, by float64) {
	t.Helper()
	if !(math.Abs(got-want) <= by) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

// grid is a list of shots every metre from (0, 0), nx by ny of them, with elevations z
// to 12 decimals.
func grid(nx, ny int, z func(x, y float64) float64) *fstest.MapFile {
	var b strings.Builder
	b.WriteString("point,x (m),y (m),z (m)\n")
	for i := range nx {
		for k := range ny {
			fmt.Fprintf(&b, "%d,%d,%d,%.12f\n", 100+ny*i+k, i, k, z(float64(i), float64(k)))
		}
	}
	return &fstest.MapFile{Data: []byte(b.String())}
}

// walls is the outline of a room of w by h m with a corner at (0, 0).
func walls(w, h float64) *fstest.MapFile {
	return &fstest.MapFile{Data: fmt.Appendf(nil, "part,ring,x_m,y_m\nroom,outer,0,0\nroom,outer,%[1]g,0\nroom,outer,%[1]g,%[2]g\nroom,outer,0,%[2]g\n", w, h)}
}

// levelShots is a list of shots of a level floor.
func levelShots(z float64, nx, ny int) *fstest.MapFile {
	return grid(nx, ny, func(_, _ float64) float64 { return z })
}

// ramp is a floor of 6 by 4 m that falls from 20 mm to 100 mm below 0 along x: 1.44 m³
// at a mean of 60 mm fill it up to 0.
var ramp = fstest.MapFS{
	"floor.csv": grid(7, 5, func(x, _ float64) float64 { return -0.020 - 0.080*x/6 }),
	"walls.csv": walls(6, 4),
}

// checked returns files with a survey after the pour.
func checked(files fstest.MapFS, text string) fstest.MapFS {
	files = maps.Clone(files)
	files["after.csv"] = &fstest.MapFile{Data: []byte(text)}
	return files
}

// surfaceVec returns a plan position.
func surfaceVec(x, y float64) surface.Vec { return surface.Vec{X: x, Y: y} }

const rampJob = `title = "Ramp"
date = 2026-11-25
[survey]
files = ["floor.csv"]
outline = "walls.csv"
[target]
elevation = "0m"
`
