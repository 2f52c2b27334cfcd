package setout_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/survey"
)

// By hand: 14 × 4 m in two rooms with a step at x = 6, and a dam at x = 11, 100 mm to walls and
// bars of 6 m with laps of 0.5. A line from the west would end its first bar at 6.1 m with the lap
// from 5.6 on the step: it ends at 5.9. The next, from 5.399, would end at 11.399 with the lap from
// 10.899 on the dam: it ends at 10.899. From the east the first ends at 7.9, the second, from 8.4
// to 2.4, is clear of both. Turned round, it is the same.
func TestLapsKeepClearOfStepsAndDams(t *testing.T) {
	low := func(x, y float64) float64 { return 10 - 0.04*math.Round(math.Min(1, math.Max(0, x-5))) }
	west, east := closed(survey.Outer, 0, 0, 6, 0, 6, 4, 0, 4), closed(survey.Outer, 6, 0, 14, 0, 14, 4, 6, 4)
	west.Name, east.Name = "west", "east"
	points := append(shots(west, level), shots(east, low)...)
	points = slices.DeleteFunc(points, func(p survey.Point) bool { return p.X == 6 })
	dam := [2]surface.Vec{{X: 11, Y: 0}, {X: 11, Y: 4}}
	for _, angle := range []float64{0, 0.3, math.Pi} {
		rings, turnedPoints := turned(angle, 0, 0, []survey.Ring{west, east}, points)
		c, s := math.Cos(angle), math.Sin(angle)
		at := func(v surface.Vec) surface.Vec { return surface.Vec{X: c*v.X - s*v.Y, Y: s*v.X + c*v.Y} }
		rules := setout.BarRules{Size: sized(t, "10"), Spacing: 0.5, Edge: 0.1, Stock: 6, Lap: 0.5, Dams: [][2]surface.Vec{{at(dam[0]), at(dam[1])}}}
		b, err := setout.LayBars(build(t, turnedPoints, rings...), surface.Horizontal(10.15), rules)
		if err != nil {
			t.Fatal(err)
		}
		along := func(v surface.Vec) float64 { return c*v.X + s*v.Y }
		across := func(v surface.Vec) float64 { return c*v.Y - s*v.X }
		lapped := 0
		for i, bar := range b.Bars[:len(b.Bars)-1] {
			next := b.Bars[i+1]
			if bar.Mark[0] != 'X' || next.Mark[0] != 'X' || math.Abs(across(next.From)-across(bar.To)) > 1e-6 {
				continue
			}
			lapped++
			lo, hi := min(along(next.From), along(bar.To)), max(along(next.From), along(bar.To))
			for _, edge := range []float64{6, 11} {
				if lo < edge+0.1-1e-6 && hi > edge-0.1+1e-6 {
					t.Errorf("turned by %g: a lap from %.3f to %.3f m, at an edge at %g", angle, lo, hi, edge)
				}
			}
			if lap := hi - lo; lap < 0.5-1e-6 || lap > 0.503 {
				t.Errorf("turned by %g: a lap of %.4f m, want 0.5", angle, lap)
			}
		}
		// 3.8 m in 8 gaps: 9 lines of two laps; 5 or 4 of them from the west, with both moved.
		if lapped != 18 || b.LapsStuck != nil || b.LapsMoved != 10 && b.LapsMoved != 8 {
			t.Errorf("turned by %g: %d laps, %d moved, stuck %v", angle, lapped, b.LapsMoved, b.LapsStuck)
		}
		if !strings.Contains(noteText(b.Notes), "from steps and dams: the bar before each is cut shorter") {
			t.Error(noteText(b.Notes))
		}
	}
}

// Dams so close that no bar can end between them leave the lap where it is, and it is reported.
func TestLapsWithNoRoom(t *testing.T) {
	var dams [][2]surface.Vec
	for x := 0.3; x < 8; x += 0.3 {
		dams = append(dams, [2]surface.Vec{{X: x, Y: -1}, {X: x, Y: 5}})
	}
	b, err := setout.LayBars(rectangle(t, 8, 4, level), surface.Horizontal(10.15), setout.BarRules{Size: sized(t, "10"), Spacing: 0.5, Edge: 0.1, Stock: 6, Lap: 0.5, Dams: dams})
	if err != nil {
		t.Fatal(err)
	}
	if len(b.LapsStuck) != 9 || b.LapsMoved != 0 || b.Laps != 9 || math.Abs(b.LapsStuck[0].X-5.85) > 1e-6 && math.Abs(b.LapsStuck[0].X-2.15) > 1e-6 {
		t.Errorf("%d laps, %d moved, stuck %v", b.Laps, b.LapsMoved, b.LapsStuck)
	}
}

// A line of bars that runs along a dam, 50 mm beside it, has its laps where they are: no place on it
// is better. By hand: 8 m in y and 16 lines 500 mm apart from 0.1 m; the dam is at x = 1.15.
func TestLapsAlongADam(t *testing.T) {
	dam := [2]surface.Vec{{X: 1.15, Y: -1}, {X: 1.15, Y: 9}}
	b, err := setout.LayBars(rectangle(t, 8.2, 8, level), surface.Horizontal(10.15), setout.BarRules{Size: sized(t, "10"), Spacing: 0.5, Edge: 0.1, Stock: 6, Lap: 0.5, Dams: [][2]surface.Vec{dam}})
	if err != nil {
		t.Fatal(err)
	}
	if b.LapsStuck != nil || b.LapsMoved != 0 {
		t.Errorf("%d moved, stuck %v", b.LapsMoved, b.LapsStuck)
	}
}
