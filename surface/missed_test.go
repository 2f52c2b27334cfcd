package surface

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pourplane/survey"
)

// TestMissedOutline: the min shift by hand, one axis at a time. With a row of shots on a
// wall it is still a miss; with shots on the walls only it is not.
func TestMissedOutline(t *testing.T) {
	square := survey.Ring{Name: "hall"}
	for _, c := range [][2]float64{{0, 0}, {36, 0}, {36, 36}, {0, 36}} {
		square.Points = append(square.Points, survey.Point{X: c[0], Y: c[1], Z: math.NaN()})
	}
	shots := func(x, y, step float64) (out []survey.Point) {
		for i := range 9 {
			out = append(out, survey.Point{X: x + float64(i%3)*step, Y: y + float64(i/3)*step, Z: 1})
		}
		return out
	}
	for _, c := range []struct {
		name       string
		x, y, step float64
		dx, dy     float64
	}{
		{"a row on the south wall", 0, -36, 18, 0, 36},
		{"north and west of it", -40, 40, 10, 40, -24},
		{"east of it, off every wall", 100, 5, 10, -84, 0},
		{"too wide for it", 100, 0, 20, math.NaN(), math.NaN()},
	} {
		_, err := NewFloor(Data{Shots: shots(c.x, c.y, c.step), Rings: []survey.Ring{square}})
		var m *Missed
		if !errors.As(err, &m) {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		same := func(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }
		if !same(m.DX, c.dx) || !same(m.DY, c.dy) {
			t.Errorf("%s: shift %g, %g; want %g, %g", c.name, m.DX, m.DY, c.dx, c.dy)
		}
	}
	corners := append([]survey.Point{}, square.Points...)
	for i := range corners {
		corners[i].Z = float64(i)
	}
	if _, err := NewFloor(Data{Shots: corners, Rings: []survey.Ring{square}}); err != nil {
		t.Errorf("shots on the corners alone: %v", err)
	}
}

// If more than half of the shots are outside the outline, that comes before any error in the
// few inside. With half of them inside it does not.
func TestMostShotsOutside(t *testing.T) {
	square := survey.Ring{Name: "hall"}
	for _, c := range [][2]float64{{0, 0}, {4, 0}, {4, 3}, {0, 3}} {
		square.Points = append(square.Points, survey.Point{X: c[0], Y: c[1], Z: math.NaN()})
	}
	inside, beyond := []survey.Point{{X: 1, Y: 1, Z: 10}, {X: 2, Y: 1, Z: 10}}, []survey.Point{{X: 5, Y: 2, Z: 10}, {X: 6, Y: 2, Z: 10}, {X: 6, Y: 3, Z: 10}}
	_, err := NewFloor(Data{Shots: append(inside, beyond...), Rings: []survey.Ring{square}})
	var m *Missed
	if !errors.As(err, &m) || !strings.Contains(err.Error(), "3 of 5 shots are outside it: the outline reaches from") {
		t.Errorf("%v, want 3 of 5 shots outside", err)
	}
	_, err = NewFloor(Data{Shots: append(inside, beyond[:2]...), Rings: []survey.Ring{square}})
	if err == nil || errors.As(err, &m) && strings.Contains(err.Error(), "outside") {
		t.Errorf("%v, want the error of two shots", err)
	}
}
