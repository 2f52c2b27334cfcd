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

// Most shots outside the outline are to be refused although those inside carry a floor. Half of
// them are not, nor 100 inside: a room cut out of a larger survey.
func TestOutlineOfAnotherSurvey(t *testing.T) {
	for _, c := range []struct {
		in, out int
		refused bool
	}{{9, 10, true}, {10, 10, false}, {99, 120, true}, {100, 120, false}} {
		f, err := NewFloor(Data{Shots: append(squareShots(c.in, 0, 4), squareShots(c.out, 10, 4)...), Rings: []survey.Ring{squareOf(4)}})
		if err != nil {
			t.Fatal(err)
		}
		var m *Missed
		if errors.As(f.Elsewhere, &m) != c.refused {
			t.Errorf("%d inside, %d outside: %v", c.in, c.out, f.Elsewhere)
		}
	}
}

// Shots that cover less than 0.4 of both sides of the outline may be in another unit. A
// corridor down its middle and a strip of a hall cover one side.
func TestShotsOnASmallPart(t *testing.T) {
	for _, c := range []struct {
		name   string
		part   float64
		warned bool
	}{{"metres as feet", 0.3048, true}, {"below the bound", 0.39, true}, {"above the bound", 0.41, false}, {"half", 0.5, false}} {
		f, err := NewFloor(Data{Shots: squareShots(16, 0.1, 10*c.part), Rings: []survey.Ring{squareOf(10)}})
		if err != nil {
			t.Fatal(err)
		}
		if got := len(f.Notes) > 0 && strings.Contains(f.Notes[0].Text.String(), "check the unit of x and y") && f.Notes[0].Topic == survey.AboutOrder; got != c.warned {
			t.Errorf("%s: %v", c.name, f.Notes)
		}
	}
	strip := squareShots(16, 0.5, 2)
	for i := range strip {
		strip[i].Y *= 4
	}
	f, err := NewFloor(Data{Shots: strip, Rings: []survey.Ring{squareOf(10)}})
	if err != nil || len(f.Notes) > 0 && strings.Contains(f.Notes[0].Text.String(), "check the unit") {
		t.Errorf("a strip: %v %v", f, err)
	}
}

// squareOf returns a square outline with one corner at the origin.
func squareOf(side float64) survey.Ring {
	r := survey.Ring{Name: "hall"}
	for _, c := range [][2]float64{{0, 0}, {side, 0}, {side, side}, {0, side}} {
		r.Points = append(r.Points, survey.Point{X: c[0], Y: c[1], Z: math.NaN()})
	}
	return r
}

// squareShots returns n shots over a square of that side, its corner at from, from.
func squareShots(n int, from, side float64) (out []survey.Point) {
	across := int(math.Ceil(math.Sqrt(float64(n))))
	step := side / float64(max(across-1, 1))
	for i := range n {
		out = append(out, survey.Point{X: from + float64(i%across)*step, Y: from + float64(i/across)*step, Z: 10})
	}
	return out
}
