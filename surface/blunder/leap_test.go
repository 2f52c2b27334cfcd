package blunder

import (
	"math"
	"slices"
	"testing"
)

// TestLeap: the laser is moved at a place in the list and no row records it. Clean books
// have no such place.
func TestLeap(t *testing.T) {
	n := uint64(*books)
	for _, wavy := range []bool{false, true} {
		var alarms, missed, wrong int
		for seed := uint64(firstMeasured); seed < firstMeasured+n; seed++ {
			l := newLevel(seed, sixteenths, wavy)
			if k, _ := leapAt(l.shots()); k != 0 {
				alarms++
			}
			from := len(l.rows)/4 + l.rng.IntN(len(l.rows)/2)
			by := []float64{-1, 1}[l.rng.IntN(2)] * (0.04 + 0.2*l.rng.Float64())
			for i := from; i < len(l.rows); i++ {
				l.read(i, l.rows[i].rod-by)
			}
			switch k, got := leapAt(l.shots()); {
			case k == 0:
				missed++
			case k != from || got-by > 0.01 || by-got > 0.01:
				wrong++
			}
		}
		t.Logf("wavy %v: %d books, %d alarms, moved: %d not seen, %d at another row", wavy, n, alarms, missed, wrong)
		if missed > int(n)/5 || wrong > 0 {
			t.Errorf("wavy %v: %d of %d moves not seen and %d at another row, want max a fifth and none", wavy, missed, n, wrong)
		}
		if alarms > 0 {
			t.Errorf("wavy %v: %d alarms in %d clean books, want none", wavy, alarms, n)
		}
	}
}

// shots returns the rows as shots, m.
func (l *level) shots() []*shot {
	var out []*shot
	for i, r := range l.rows {
		out = append(out, &shot{x: r.x, y: r.y, z: -r.rod, reading: i})
	}
	return out
}

// TestLeapSteps: floors with a real step, a pit or a slope, and books walked in other ways.
// Nothing moved.
func TestLeapSteps(t *testing.T) {
	n := uint64(*books)
	for _, c := range []struct {
		name  string
		raise func(l *level, x, y float64) float64 // m, x and y as shares of the room
		last  bool                                 // the raised part is read last
	}{
		{"slope", func(l *level, x, y float64) float64 { return 0.02*x*l.width + 0.01*y*l.height }, false},
		{"step across the rows", func(l *level, x, y float64) float64 { return when(y > 0.5, 0.15) }, false},
		{"step along the rows", func(l *level, x, y float64) float64 { return when(x > 0.4, 0.15) }, false},
		{"step, level by level", func(l *level, x, y float64) float64 { return when(x > 0.4, 0.15) }, true},
		{"slanting step", func(l *level, x, y float64) float64 { return when(x+y > 1, 0.1) }, false},
		{"slanting step, level by level", func(l *level, x, y float64) float64 { return when(x*l.width+y*l.height > 0.5*(l.width+l.height), 0.1) }, true},
		{"pit", func(l *level, x, y float64) float64 { return when(max(math.Abs(x-0.5), math.Abs(y-0.4)) < 0.3, -0.1) }, false},
		{"pit read last", func(l *level, x, y float64) float64 { return when(max(math.Abs(x-0.5), math.Abs(y-0.4)) < 0.3, -0.1) }, true},
		{"pit in a corner", func(l *level, x, y float64) float64 { return when(min(x, y) > 0.45, -0.1) }, false},
		{"pit in a corner read last", func(l *level, x, y float64) float64 { return when(min(x, y) > 0.45, -0.1) }, true},
	} {
		alarms := 0
		for seed := uint64(firstMeasured); seed < firstMeasured+n; seed++ {
			l := newLevel(seed, sixteenths, seed%2 == 1)
			up := func(r levelRow) float64 { return c.raise(l, r.x/l.width, r.y/l.height) }
			for i, r := range l.rows {
				l.read(i, r.rod-up(r))
			}
			if c.last {
				slices.SortStableFunc(l.rows, func(p, q levelRow) int { return when(up(p) != 0, 1) - when(up(q) != 0, 1) })
			}
			if k, _ := leapAt(l.shots()); k != 0 {
				alarms++
			}
		}
		t.Logf("%s: %d alarms in %d", c.name, alarms, n)
		if alarms > 0 {
			t.Errorf("%s: %d alarms in %d books, want none", c.name, alarms, n)
		}
	}
}

// when returns v if yes is set, else 0.
func when[T int | float64](yes bool, v T) T {
	if yes {
		return v
	}
	return 0
}
