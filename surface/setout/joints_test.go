package setout_test

import (
	"math"
	"testing"

	"pourplane/surface"
	"pourplane/surface/setout"
)

// No bar crosses a movement joint or comes nearer to it than the cover, whatever its angle, and
// bars beside a joint that runs along them are no farther apart than elsewhere.
func TestBarsStopAtMovementJoints(t *testing.T) {
	const edge, spacing = 0.075, 0.4
	for name, joint := range map[string][]surface.Vec{
		"along":      {{X: 0, Y: 2.5}, {X: 10, Y: 2.5}},
		"across":     {{X: 4.1, Y: 0}, {X: 4.1, Y: 6}},
		"askew":      {{X: 2, Y: 0}, {X: 7, Y: 6}},
		"with angle": {{X: 0, Y: 2}, {X: 5, Y: 2}, {X: 5, Y: 6}},
	} {
		t.Run(name, func(t *testing.T) {
			b, err := setout.LayBars(rectangle(t, 10, 6, level), surface.Horizontal(10.2), setout.BarRules{Size: sized(t, "10"), Spacing: spacing, Edge: edge, Joints: [][]surface.Vec{joint}})
			if err != nil {
				t.Fatal(err)
			}
			for _, bar := range b.Bars {
				for k := range 101 {
					u := float64(k) / 100
					p := surface.Vec{X: bar.From.X + u*(bar.To.X-bar.From.X), Y: bar.From.Y + u*(bar.To.Y-bar.From.Y)}
					for i := range len(joint) - 1 {
						if d := p.Distance(p.NearestOn(joint[i], joint[i+1])); d < edge-1e-6 {
							t.Fatalf("bar %s from %v to %v is %.3f m from the joint", bar.Mark, bar.From, bar.To, d)
						}
					}
				}
			}
		})
	}
	b, err := setout.LayBars(rectangle(t, 10, 6, level), surface.Horizontal(10.2), setout.BarRules{Size: sized(t, "10"), Spacing: spacing, Edge: edge, Joints: [][]surface.Vec{{{X: 0, Y: 2.5}, {X: 10, Y: 2.5}}}})
	if err != nil {
		t.Fatal(err)
	}
	beside := 0
	for _, bar := range b.Bars {
		if y := bar.From.Y; bar.Mark[0] == 'X' && math.Abs(math.Abs(y-2.5)-edge) < 1e-6 {
			beside++
		}
	}
	if beside != 4 { // two lines of 9.85 m, each of two bars
		t.Errorf("%d bars beside the joint, want 4", beside)
	}
}
