package setout

import (
	"math"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// bigFloor is a dished floor of 80 × 50 m with 10,000 shots.
func bigFloor(b *testing.B) *surface.Floor {
	b.Helper()
	var shots []survey.Point
	for i := range 100 {
		for k := range 100 {
			x, y := 0.4+0.8*float64(i), 0.25+0.5*float64(k)
			shots = append(shots, survey.Point{X: x, Y: y, Z: 9.92 + 0.02*math.Sin(x/7)*math.Cos(y/5)})
		}
	}
	ring := survey.Ring{Kind: survey.Outer}
	for _, p := range [][2]float64{{0, 0}, {80, 0}, {80, 50}, {0, 50}} {
		ring.Points = append(ring.Points, survey.Point{X: p[0], Y: p[1], Z: math.NaN()})
	}
	f, err := surface.NewFloor(surface.Data{Shots: shots, Rings: []survey.Ring{ring}})
	if err != nil {
		b.Fatal(err)
	}
	return f
}

func BenchmarkSetPins(b *testing.B) {
	f := bigFloor(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := SetPins(f, surface.Horizontal(10), PinRules{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLayBars(b *testing.B) {
	f := bigFloor(b)
	size, err := BarNamed("10")
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := LayBars(f, surface.Horizontal(10), BarRules{Size: size, Spacing: 0.3}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCutBays(b *testing.B) {
	f := bigFloor(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := CutBays(f, surface.Horizontal(10), BayRules{Most: 20}); err != nil {
			b.Fatal(err)
		}
	}
}
