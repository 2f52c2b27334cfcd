package surface

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/file"
)

func square4(z ...float64) []survey.Point {
	return []survey.Point{{X: 0, Y: 0, Z: z[0]}, {X: 6, Y: 0, Z: z[1]}, {X: 6, Y: 4, Z: z[2]}, {X: 0, Y: 4, Z: z[3]}}
}

// Faces are kept as they are: the other diagonal has another volume.
func TestFacesAreKept(t *testing.T) {
	p := square4(0, 0.1, 0, 0.1)
	one := faces(t, p, [3]int32{0, 1, 2}, [3]int32{0, 2, 3}).FillTo(Horizontal(0.2), nil)
	other := faces(t, p, [3]int32{0, 1, 3}, [3]int32{2, 1, 3}).FillTo(Horizontal(0.2), nil) // one clockwise
	near(t, "fill over one diagonal", one.Fill, 24*0.2-12*0.1/3*2, 1e-14)
	near(t, "fill over the other", other.Fill, 24*0.2-12*0.2/3*2, 1e-14)
}

func TestBadFacesAreRefused(t *testing.T) {
	for _, c := range []struct {
		name   string
		points []survey.Point
		faces  [][3]int32
		want   string
	}{
		{"overlap", square4(0, 0, 0, 0), [][3]int32{{0, 1, 2}, {0, 1, 3}}, "face 2 of surface \"s\": found the same edge, on the same side, as face 1"},
		{"overlap without a common edge", append(square4(0, 0, 0, 0), survey.Point{X: 1, Y: 1}, survey.Point{X: 5, Y: 1}, survey.Point{X: 3, Y: 9}),
			[][3]int32{{0, 1, 2}, {0, 2, 3}, {4, 5, 6}}, "found an overlap in plan with face"},
		{"one inside another", append(square4(0, 0, 0, 0), survey.Point{X: 3, Y: 1}, survey.Point{X: 4, Y: 1}, survey.Point{X: 4, Y: 2}),
			[][3]int32{{0, 1, 2}, {4, 5, 6}}, "found an overlap in plan with face 1"},
		{"upright", []survey.Point{{X: 0}, {X: 1}, {X: 2, Z: 5}}, [][3]int32{{0, 1, 2}}, "found no face with an area in plan"},
	} {
		_, err := FromFaces(survey.Surface{Name: "s", Vertices: c.points, Faces: c.faces, Declared: undeclared})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %s", c.name, err, c.want)
		}
	}
}

func TestDeclaredAreaIsCompared(t *testing.T) {
	s := survey.Surface{Name: "s", Vertices: square4(1, 1, 1, 1), Faces: [][3]int32{{0, 1, 2}, {0, 2, 3}}, Declared: undeclared}
	s.Declared.Area2D = 24
	if f, err := FromFaces(s); err != nil || len(f.Notes) != 0 {
		t.Errorf("right area: notes %v, error %v", f.Notes, err)
	}
	s.Declared.Area2D = 24.01
	if f, err := FromFaces(s); err != nil || len(f.Notes) != 1 || f.Notes[0].Kind != survey.Warning {
		t.Errorf("wrong area: notes %v, error %v, want one warning", f.Notes, err)
	}
}

// Surfaces of another program that declares their areas and elevations: an outside check of
// plan area, sloped area, min and max. (Origin and licence of the file:
// testdata/landxml/README.md.)
func TestDeclaredAreasOfAnotherProgram(t *testing.T) {
	s, err := file.Open("../testdata/landxml/samples/lx11-subdivision.xml", survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	const ft = 0.3048
	for i, want := range []struct{ plan, sloped float64 }{{9742293.9521, 9752293.9702}, {2768515.7662, 3348805.6532}} {
		f, err := FromFaces(s.Surfaces[i])
		if err != nil {
			t.Fatal(err)
		}
		plan, sloped := f.Regions[0].TIN.Area()
		near(t, "plan area", plan/ft/ft, want.plan, 1e-9*want.plan)
		near(t, "area along the slope", sloped/ft/ft, want.sloped, 1e-8*want.sloped)
		if len(f.Notes) > 0 {
			t.Errorf("surface %d: %v, want no disagreement", i, f.Notes)
		}
	}
}

// A ring of faces round a hole, with an upright face and a loose vertex.
func TestFacesWithHoleAndUprightFace(t *testing.T) {
	p := append(square4(1, 1, 1, 1),
		survey.Point{X: 2, Y: 1, Z: 1}, survey.Point{X: 4, Y: 1, Z: 1}, survey.Point{X: 4, Y: 3, Z: 1}, survey.Point{X: 2, Y: 3, Z: 1},
		survey.Point{X: 2, Y: 1, Z: 0}, survey.Point{X: 50, Y: 50, Z: -9})
	f := faces(t, p, [3]int32{0, 1, 4}, [3]int32{1, 5, 4}, [3]int32{1, 2, 5}, [3]int32{2, 6, 5}, [3]int32{2, 3, 6}, [3]int32{3, 7, 6}, [3]int32{3, 0, 7}, [3]int32{0, 4, 7}, [3]int32{4, 5, 8})
	r := f.FillTo(Horizontal(1.5), nil)
	near(t, "area", r.Area, 20, 1e-14)
	near(t, "perimeter", f.Perimeter, 28, 1e-14)
	near(t, "max depth", r.Greatest, 0.5, 0)
	if len(f.Openings) != 1 || len(f.Notes) != 1 {
		t.Errorf("%d openings, notes %v; want one of each", len(f.Openings), f.Notes)
	}
	if f.Regions[0].TIN.Len() != 8 {
		t.Errorf("%d triangles, want 8", f.Regions[0].TIN.Len())
	}
}
