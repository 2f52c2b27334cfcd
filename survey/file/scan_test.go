package file

import (
	"errors"
	"path/filepath"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// TestScanSamples reads the files of testdata/scan. The README there gives the expected
// results.
func TestScanSamples(t *testing.T) {
	for _, c := range []struct {
		file           string
		rows, points   int
		vertices, face int
	}{
		{"slab-1.2.las", 15, 12, 0, 0},
		{"slab-1.4.las", 15, 12, 0, 0},
		{"slab-mesh.ply", 0, 0, 12, 12},
		{"slab-little.ply", 12, 12, 0, 0},
		{"slab-big.ply", 12, 12, 0, 0},
		{"slab.xyz", 13, 12, 0, 0},
	} {
		name := filepath.Join(check.Scans, c.file)
		s, err := Open(name, survey.Options{Unit: unit.Metre})
		if err != nil {
			t.Errorf("%s: %v", c.file, err)
			continue
		}
		vertices, faces := 0, 0
		pts := s.Points
		for _, u := range s.Surfaces {
			vertices, faces, pts = len(u.Vertices), len(u.Faces), u.Vertices
		}
		if s.Rows != c.rows || len(s.Points) != c.points || vertices != c.vertices || faces != c.face {
			t.Errorf("%s: %d rows, %d points, %d vertices, %d faces", c.file, s.Rows, len(s.Points), vertices, faces)
		}
		for i, p := range pts {
			x, y := float64(i%4), float64(i/4)
			if !check.Nearly(p.X, x) || !check.Nearly(p.Y, y) || !check.Nearly(p.Z, 9.98+0.005*x-0.0025*y) {
				t.Errorf("%s: point %d is %v, %v, %v", c.file, i, p.X, p.Y, p.Z)
			}
		}
		if s, err = Open(name, survey.Options{Unit: unit.Metre, Thin: survey.Thin{Cell: 2, Keep: survey.Lowest}}); err != nil || len(s.Points) != 4 {
			t.Errorf("%s thinned: %v, %v", c.file, s, err)
		}
		var e *survey.Error
		if _, err := OpenOutline(name, survey.Options{Unit: unit.Metre}); c.file != "slab.xyz" && !errors.As(err, &e) {
			t.Errorf("%s as an outline: %v", c.file, err)
		}
	}
}
