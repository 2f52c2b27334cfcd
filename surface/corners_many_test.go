package surface

import (
	"testing"

	"pourplane/survey"
)

// Outlines of thousands of corners without elevations, and hundreds of lines that cross:
// each corner is fitted, and a tilted floor is exact. (With a check of every edge for each
// line of sight the star took minutes.)
func TestThousandsOfCorners(t *testing.T) {
	shots := shotsOn(-4.5, -4.5, 4.5, 4.5, 0.5, sloped)
	for _, c := range []struct {
		name string
		ring survey.Ring
	}{{"circle", circleOf(1200, 1)}, {"star", circleOf(1200, 0.7)}} {
		var corners []Vec
		for _, p := range c.ring.Points {
			corners = append(corners, Vec{X: p.X, Y: p.Y})
		}
		f := build(t, Data{Shots: shots, Rings: []survey.Ring{c.ring}})
		r := f.FillTo(Horizontal(10), nil)
		near(t, c.name+": area", r.Area, RingArea(corners), 1e-7)
		near(t, c.name+": fill", r.Fill, RingArea(corners)*(10-sloped(0, 0)), 1e-5)
		if n := len(f.Regions[0].TIN.Z); n < 1200+len(shots) {
			t.Errorf("%s: %d vertices, want all corners and shots", c.name, n)
		}
	}
	d := crossing(120, 9.9)
	d.Shots = shotsOn(-9.75, -9.75, 9.75, 9.75, 0.5, func(_, _ float64) float64 { return 9.9 })
	near(t, "fill over crossing lines", build(t, d).FillTo(Horizontal(10), nil).Fill, 40, 1e-7)
}
