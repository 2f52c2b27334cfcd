package surface

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
)

// An L of 8 × 6 m less 4 × 3 m at its north-east, with a step across its west part and an
// opening; distances by hand.
func TestBesideNamesTwoWallsXThenY(t *testing.T) {
	point := func(x, y, z float64) survey.Point { return survey.Point{X: x, Y: y, Z: z} }
	ring := func(kind survey.RingKind, name string, xy ...float64) survey.Ring {
		r := survey.Ring{Name: name, Kind: kind}
		for i := 0; i < len(xy); i += 2 {
			r.Points = append(r.Points, point(xy[i], xy[i+1], math.NaN()))
		}
		return r
	}
	var shots []survey.Point
	for x := 0.5; x < 8; x++ {
		for y := 0.5; y < 6; y++ {
			if x < 4 || y < 3 {
				shots = append(shots, point(x, y, 0))
			}
		}
	}
	f, err := NewFloor(Data{Shots: shots,
		Rings: []survey.Ring{ring(survey.Outer, "hall", 0, 0, 8, 0, 8, 3, 4, 3, 4, 6, 0, 6), ring(survey.Hole, "pit", 2, 1, 2.4, 1, 2.4, 1.4, 2, 1.4)},
		Lines: []survey.Breakline{{Name: "step", Points: []survey.Point{point(0, 4, math.NaN()), point(4, 4, math.NaN())}}}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		x, y float64
		want string
	}{
		{1, 5, "west 1, north 1"},
		{3.5, 3.8, "inner east 0.5, north 2.2"}, // the east wall of the north arm, at x = 4
		{7, 2.5, "east 1, inner north 0.5"},     // the north wall of the east arm, at y = 3
		{2.5, 1.2, "west 2.5, south 1.2"},       // not from the opening beside it
		{1, 4.2, "west 1, north 1.8"},           // not from the step beside it
		{0, 2, "west 0, south 2"},
	} {
		var got []string
		for _, s := range f.Beside(Vec{X: c.x, Y: c.y}) {
			got = append(got, fmt.Sprintf("%s %.4g", s.Wall, s.Distance))
		}
		if s := strings.Join(got, ", "); s != c.want {
			t.Errorf("(%g, %g): %s, want %s", c.x, c.y, s, c.want)
		}
	}
	if inner := f.Beside(Vec{X: 3.5, Y: 3.8}); !f.Inner() || !inner[0].Inner || inner[1].Inner {
		t.Errorf("an L has inner walls: %v, %+v", f.Inner(), inner)
	}
	// The outline names two walls, one of them parted by the step; thresholds are at two.
	named, err := NewFloor(Data{Shots: shots,
		Rings: []survey.Ring{ring(survey.Outer, "hall", 0, 0, 8, 0, 8, 3, 4, 3, 4, 6, 0, 6)},
		Lines: []survey.Breakline{{Name: "step", Points: []survey.Point{point(0, 4, math.NaN()), point(4, 4, math.NaN())}}}})
	if err != nil {
		t.Fatal(err)
	}
	named.Data.Rings[0].Walls = []string{"", "", "", "court", "", "street"}
	named.Thresholds = []survey.Point{survey.Point{X: 0.1, Y: 1}.Named("D2"), survey.Point{X: -0.2, Y: 2}.Named("D1"), survey.Point{X: 0, Y: 2.2}.Named("D1"), survey.Point{X: -0.5, Y: 1}.Named("far"), {X: 0, Y: 1.5}, survey.Point{X: 3, Y: 6}.Named("J")}
	for _, c := range []struct {
		x, y float64
		want string
	}{
		{1, 5, "west street [], north  [J]"},
		{1, 1, "west street [D1 D2], south  []"},
		{3.5, 3.8, "inner east court [], north  [J]"},
		{7, 2.5, "east  [], inner north  []"},
	} {
		var got []string
		for _, s := range named.Beside(Vec{X: c.x, Y: c.y}) {
			got = append(got, fmt.Sprintf("%s %s %v", s.Wall, s.Name, s.Doors))
		}
		if s := strings.Join(got, ", "); s != c.want {
			t.Errorf("(%g, %g): %s, want %s", c.x, c.y, s, c.want)
		}
	}
	if named.Named() {
		t.Error("all walls have names")
	}
	// A floor made inside the same walls keeps their names.
	names := 0
	for _, r := range named.Outlines() {
		for _, w := range r.Walls {
			if w != "" {
				names++
			}
		}
	}
	if names != 4 { // both on both sides of the step
		t.Errorf("%d walls have names in the outlines, want 4", names)
	}
	named.Data.Rings[0].Walls = []string{"a", "b", "c", "d", "e", "f"}
	if !named.Named() {
		t.Error("not all walls have names")
	}
}

// Walls that face one way get different names, the outermost first: otherwise a list of
// places would have two walls of one name. Piers no deeper than half a brick, and the chords
// of a round wall, are part of their wall.
func TestBesideTellsWallsOfOneWayApart(t *testing.T) {
	floor := func(xy ...float64) *Floor {
		r := survey.Ring{Name: "hall", Kind: survey.Outer}
		var mx, my float64
		for i := 0; i < len(xy); i += 2 {
			r.Points = append(r.Points, survey.Point{X: xy[i], Y: xy[i+1], Z: math.NaN()})
			mx, my = max(mx, xy[i]), max(my, xy[i+1])
		}
		d := Data{Rings: []survey.Ring{r}}
		for x := 0.25; x < mx; x += 0.5 {
			for y := 0.25; y < my; y += 0.5 {
				d.Shots = append(d.Shots, survey.Point{X: x, Y: y})
			}
		}
		f, err := NewFloor(d)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	at := func(f *Floor, x, y float64) string { return f.Beside(Vec{X: x, Y: y})[0].Wall }
	stairs := floor(0, 0, 6, 0, 6, 2, 4, 2, 4, 4, 2, 4, 2, 6, 0, 6)
	for y, want := range map[float64]string{1: "east", 3: "1st inner east", 5: "2nd inner east"} { // 0.25 m from each
		if got := at(stairs, 5.75-2*math.Floor(y/2), y); got != want {
			t.Errorf("stairs at y = %g: %s, want %s", y, got, want)
		}
	}
	for deep, want := range map[float64]string{0.09: "east", 0.11: "inner east"} {
		if got := at(floor(0, 0, 4, 0, 4, 1, 4-deep, 1, 4-deep, 2, 4, 2, 4, 3, 0, 3), 3, 1.5); got != want {
			t.Errorf("a pier %g m deep: %s, want %s", deep, got, want)
		}
	}
	var round []float64
	for i := range 60 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 60)
		round = append(round, 3+3*cos, 3+3*sin)
	}
	if got := at(floor(round...), 5, 4); got != "north-east" {
		t.Errorf("a round wall: %s, want north-east", got)
	}
	for n, want := range map[int]string{1: "1st", 2: "2nd", 3: "3rd", 4: "4th", 11: "11th", 12: "12th", 13: "13th", 21: "21st", 112: "112th"} {
		if got := ordinal(n); got != want {
			t.Errorf("%d: %s, want %s", n, got, want)
		}
	}
}

// A place as far from an inner wall as from an outermost one is given from the latter, however
// the outline begins; of two alike corners the first by x and y is the highest or lowest.
func TestTiesDoNotDependOnTheOutline(t *testing.T) {
	point := func(x, y, z float64) survey.Point { return survey.Point{X: x, Y: y, Z: z} }
	corners := []survey.Point{point(0, 0, math.NaN()), point(8, 0, math.NaN()), point(8, 3, math.NaN()), point(4, 3, math.NaN()), point(4, 6, math.NaN()), point(0, 6, math.NaN())}
	shots := []survey.Point{point(1, 1, 0), point(7, 1, 0), point(2, 2, 0), point(1, 5, 0), point(3, 5, 0), point(3, 2, 0)}
	for n := range corners {
		f, err := NewFloor(Data{Shots: shots, Rings: []survey.Ring{{Kind: survey.Outer, Name: "hall", Points: slices.Concat(corners[n:], corners[:n])}}})
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range []float64{2 - 1e-12, 2 + 1e-12} {
			if s := f.Beside(Vec{X: x, Y: 5}); s[0].Wall != "west" {
				t.Errorf("from corner %d, x = %v: %+v, want the west wall", n, x, s)
			}
		}
		_, _, low, high := f.Range(Plane{SlopeX: -0.01, SlopeY: 1e-13})
		if low != (Vec{X: 8}) || high != (Vec{}) {
			t.Errorf("from corner %d: lowest at %v, highest at %v", n, low, high)
		}
		if b := f.Beyond(Vec{X: 6, Y: 1}, Vec{X: 1, Y: 1e-13}); b.At != (Vec{X: 8}) {
			t.Errorf("from corner %d: farthest at %v", n, b.At)
		}
	}
}
