package check

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/thin"
	"pourplane/survey/unit"
)

// Scans is the path of the sample scans from the folder of a reader.
const Scans = "../../testdata/scan"

// Seeds adds the files of testdata/scan that end in ext.
func Seeds(f *testing.F, ext string, add func([]byte)) {
	files, err := filepath.Glob(filepath.Join(Scans, "*."+ext))
	if err != nil || len(files) == 0 {
		f.Fatalf("no .%s in %s: %v", ext, Scans, err)
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		add(b)
	}
}

// Scan checks a scan reader: it allocates no more than the file can fill, the positions
// of its errors are inside the file, points are finite, and thinning after reading gives
// the same as thinning while reading.
func Scan(t *testing.T, b []byte, by survey.Thin, read func(o survey.Options) (*survey.Survey, error)) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	all, err := read(survey.Options{Unit: unit.Metre})
	runtime.ReadMemStats(&after)
	if n := after.TotalAlloc - before.TotalAlloc; n > 1<<20+uint64(len(b))*1000 {
		t.Errorf("%d bytes for a file of %d", n, len(b))
	}
	if (all == nil) == (err == nil) {
		t.Fatalf("survey %v with error %v", all, err)
	}
	inside := Inside(b)
	for _, p := range Positions(err) {
		if !inside(p) {
			t.Errorf("%v is outside the file: %v", p, err)
		}
	}
	if err != nil {
		return
	}
	vertices := all.Points
	for _, u := range all.Surfaces {
		vertices = u.Vertices
		for _, f := range u.Faces {
			if slices.Min(f[:]) < 0 || int(slices.Max(f[:])) >= len(u.Vertices) {
				t.Errorf("face %v of %d vertices", f, len(u.Vertices))
			}
		}
	}
	for _, p := range vertices {
		if !Finite(p.X) || !Finite(p.Y) || !Finite(p.Z) || !inside(p.At()) {
			t.Errorf("point %+v", p)
		}
	}
	want, wantErr := thin.Points(&survey.Survey{Name: "f"}, survey.Options{Thin: by}, vertices)
	s, err := read(survey.Options{Unit: unit.Metre, Thin: by})
	if (err == nil) != (wantErr == nil) {
		t.Fatalf("thinned: %v, afterwards: %v", err, wantErr)
	}
	if err == nil && (!slices.Equal(s.Points, want) || all.Rows > 0 && s.Rows != all.Rows) {
		t.Errorf("thinned: %d rows, %v\nafterwards: %d rows, %v", s.Rows, s.Points, all.Rows, want)
	}
}

// Thinning makes a thinning from two bytes.
func Thinning(cell, keep byte) survey.Thin {
	return survey.Thin{Cell: []float64{0.001, 0.05, 1, 1000}[cell%4], Keep: survey.Kept(keep % 3)}
}

// Shots calls point for each of n points of a scan, in rows, on a floor of 40 m by 25 m.
func Shots(n int, point func(i int, x, y, z float64)) {
	r := rand.New(rand.NewPCG(7, 7))
	for i := range n {
		a, b := float64(i%1000)/1000, float64(i/1000)/float64((n+999)/1000)
		point(i, 400_000+40*a+0.02*r.Float64(), 5_000_000+25*b+0.02*r.Float64(), 9.5+0.02*a-0.01*b+0.003*r.NormFloat64())
	}
}

// Bench measures reading of a million points, all of them and thinned to squares of 50
// mm.
func Bench(b *testing.B, data []byte, thinOnly bool, read func(o survey.Options) (*survey.Survey, error)) {
	const points = 1_000_000
	for _, thin := range []survey.Thin{{}, {Cell: 0.05, Keep: survey.Mean}, {Cell: 0.05, Keep: survey.Lowest}, {Cell: 0.05, Keep: survey.Median}} {
		name := "points=1M/keep=" + thin.Keep.String()
		if thin.Cell == 0 {
			if thinOnly {
				continue
			}
			name = "points=1M/keep=all"
		}
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				s, err := read(survey.Options{Unit: unit.Metre, Order: "XYZ", Thin: thin})
				if err != nil {
					b.Fatal(err)
				}
				if s.Rows != points {
					b.Fatalf("%d rows", s.Rows)
				}
			}
			b.ReportMetric(points*float64(b.N)/b.Elapsed().Seconds(), "points/s")
		})
	}
}
