package report

import (
	"bytes"
	"math"
	"slices"
	"testing"

	"pourplane/plot/exchange"
	"pourplane/survey"
	"pourplane/survey/landxml"
)

// On the ramp the depth is 20 mm at the west wall and 100 mm at the east one, 6 m off: a
// depth of d mm is at x = 6·(d − 20)/80 m, from wall to wall of 4 m. The top of the fill, 0,
// is the elevation of what is drawn.
func TestPlanByHand(t *testing.T) {
	h := runText(t, handJob).h
	layer := func(name string) exchange.Layer {
		layers := h.plan().Layers
		i := slices.IndexFunc(layers, func(l exchange.Layer) bool { return l.Name == name })
		if i < 0 {
			t.Fatalf("no layer %s", name)
		}
		return layers[i]
	}
	value := func(p []exchange.Property, name string) any {
		for _, v := range p {
			if v.Name == name {
				return v.Value
			}
		}
		return nil
	}
	seen := map[float64]bool{}
	for _, name := range []string{"DEPTH-CONTOURS", "DEPTH-CONTOURS-MINOR"} {
		for _, l := range layer(name).Lines {
			d, ok := value(l.Properties, "depth_mm").(float64)
			if !ok || l.Closed || len(l.Points) < 2 {
				t.Fatalf("%s: %+v", name, l)
			}
			seen[math.Round(d)] = true
			south, north := math.Inf(1), math.Inf(-1)
			for _, p := range l.Points {
				if x := 6 * (d - 20) / 80; math.Abs(p.X-x) > 1e-6 {
					t.Errorf("%s: %g mm at x = %g, by hand %g", name, d, p.X, x)
				}
				south, north = min(south, p.Y), max(north, p.Y)
			}
			if math.Abs(south) > 1e-6 || math.Abs(north-4) > 1e-6 {
				t.Errorf("%s: %g mm from y = %g to %g, want from wall to wall", name, d, south, north)
			}
		}
	}
	for d := 30.0; d < 100; d += 10 {
		if !seen[d] {
			t.Errorf("no contour at %g mm", d)
		}
	}
	room := layer("OUTLINE").Areas[0]
	// 24 m² × 60 mm.
	for name, want := range map[string]float64{"area_m2": 24, "fill_m3": 1.44, "cut_m3": 0, "depth_mean_mm": 60, "depth_least_mm": 20, "depth_greatest_mm": 100} {
		if got, _ := value(room.Properties, name).(float64); math.Abs(got-want) > 1e-6 {
			t.Errorf("%s is %g, by hand %g", name, got, want)
		}
	}
	if math.Abs(room.Elevation) > 1e-12 {
		t.Errorf("the outline is at %g, the top of the fill at 0", room.Elevation)
	}
}

// surface.xml, read again, is the ramp: 35 shots on z = −0.02 − 0.08·x/6, and triangles that
// cover 24 m².
func TestLandXMLByHand(t *testing.T) {
	h := runText(t, handJob).h
	out := LandXML(h.Filled, h.date)
	var b bytes.Buffer
	if err := out.Write(&b); err != nil {
		t.Fatal(err)
	}
	s, err := landxml.Read(&b, out.Name, survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Surfaces) != 1 || len(s.Surfaces[0].Vertices) != 35 {
		t.Fatalf("%d surfaces", len(s.Surfaces))
	}
	v, area := s.Surfaces[0].Vertices, 0.0
	for _, p := range v {
		if z := -0.02 - 0.08*p.X/6; math.Abs(p.Z-z) > 1e-6 {
			t.Errorf("%g at x = %g, by hand %g", p.Z, p.X, z)
		}
	}
	for _, f := range s.Surfaces[0].Faces {
		a, b, c := v[f[0]], v[f[1]], v[f[2]]
		area += math.Abs((b.X-a.X)*(c.Y-a.Y)-(c.X-a.X)*(b.Y-a.Y)) / 2
	}
	if math.Abs(area-24) > 1e-6 {
		t.Errorf("triangles of %g m², by hand 24", area)
	}
}
