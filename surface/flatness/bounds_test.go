package flatness

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// A table by supports is tried at the columns of DIN 18202 table 3, 0.1, 1, 4, 10 and 15 m,
// and at usual straightedges between them. A gap that is too large at one of them alone
// fails there.
func TestTableBySupportsIsTriedAtEachLength(t *testing.T) {
	want := []float64{0.1, 0.3, 0.6, 1, 2, 3, 4, 6, 10, 15}
	for _, bad := range want {
		at := func(length float64) (Reading, bool) {
			r := Reading{Value: 0.0001, To: surface.Vec{X: length}, Apart: length / 10}
			if length == bad {
				r.Value = 0.1
			}
			return r, true
		}
		v := judgeNamed(t, Measured{GapAt: at}, "din18202-3", Settings{})
		var failed []float64
		for _, one := range v {
			if one.Outcome == Fail {
				failed = append(failed, one.Length)
			}
		}
		if len(v) != len(want) || !slices.Equal(failed, []float64{bad}) {
			t.Errorf("a bad gap at %g m: %d verdicts, %v m fail", bad, len(v), failed)
		}
	}
}

// Readings set out with a tape may be 2 % farther apart than wanted. Own choice.
func TestTapesMayStretch(t *testing.T) {
	for _, c := range []struct {
		share float64 // of the distance wanted
		ok    bool
	}{{1.019, true}, {1.021, false}} {
		at := func(length float64) (Reading, bool) {
			return Reading{Value: 0.001, To: surface.Vec{X: length}, Apart: c.share * length / 3}, true
		}
		v := judgeNamed(t, Measured{GapAt: at}, "bs8204-sr1", Settings{})[0]
		if got := v.Outcome == Pass; got != c.ok {
			t.Errorf("readings at %g of what is wanted: %s", c.share, v.Outcome)
		}
		if got := (Settings{}).LevelWanted(c.share*10*foot) == 0; got != c.ok {
			t.Errorf("shots at %g of what is wanted: enough %v", c.share, got)
		}
	}
}

// Readings required are 2√A, A in ft², rounded up. Rounding of square feet into m² adds
// none; a ten-thousandth of a square foot more does.
func TestReadingsRequiredAreWhole(t *testing.T) {
	for side := 1; side <= 40; side++ {
		a := float64(side*side) * sqFoot
		if got := (Settings{}).required(a); got != 2*side {
			t.Errorf("%d ft²: %d readings, want %d", side*side, got, 2*side)
		}
		if got := (Settings{Thirtieth: true}).required(30 * a); got != side*side {
			t.Errorf("%d ft²: %d readings, want %d", 30*side*side, got, side*side)
		}
	}
	if got := (Settings{}).required(100.001 * sqFoot); got != 21 {
		t.Errorf("100.001 ft²: %d readings, want 21", got)
	}
}

// A nanometre is nothing; two are something.
func TestDepartureOfNothing(t *testing.T) {
	if f := inverse(inchFF, 0.9e-9); !math.IsInf(float64(f), 1) {
		t.Errorf("0.9 nm: F = %g, want no number", f)
	}
	if f := inverse(inchFF, 2e-9); math.IsInf(float64(f), 1) {
		t.Errorf("2 nm: F = %g, want a number", f)
	}
	f := gridFloor(t, 4, 4, 1, func(x, y float64) float64 { return 0.003 })
	for _, c := range []struct {
		over float64 // m beyond what is allowed
		want int
	}{{0.9e-9, 25}, {2e-9, 0}} {
		if _, near := CountShots(f, surface.Horizontal(0), 0.003-c.over); near != c.want {
			t.Errorf("%g m over: %d shots are within, want %d", c.over, near, c.want)
		}
	}
}

// Two bumps 1 m apart carry the edge in all positions, over a hollow of the same depth:
// all gaps are that. Up to 100 mm the share is exact, and from there to the largest gap it
// is interpolated.
func TestShareOfDeepGaps(t *testing.T) {
	for _, c := range []struct{ depth, tolerance, want float64 }{
		{0.080, 0.079, 0}, {0.080, 0.0801, 1}, {0.099, 0.098, 0}, {0.099, 0.0991, 1}, {0.120, 0.099, 0}, {0.120, 0.110, 0.5},
	} {
		e := layAlong(t, along(0, -0.5, 1, 0, 1.5, -c.depth, 2, 0, 3, -0.5), Laying{Length: 2})
		near(t, fmt.Sprintf("share within %g of %g m", c.tolerance, c.depth), e.Within(c.tolerance), c.want, 0.001)
	}
}

// The longest way over an L of 4 by 4 m with arms of 1 m passes the inner corner and is
// √(4² + (4/3)²) long. An edge of that length fits, turned by any angle and on a grid of
// large coordinates, whose last digit is a nanometre.
func TestLongestWayOnALargeGrid(t *testing.T) {
	most := math.Hypot(4, 4./3)
	for i := range 13 {
		sin, cos := math.Sincos(float64(i) * 0.151)
		at := func(x, y float64) survey.Point {
			return survey.Point{X: 400_000 + x*cos - y*sin, Y: 5_000_000 + x*sin + y*cos, Z: math.NaN()}
		}
		var d surface.Data
		d.Rings = []survey.Ring{{Points: []survey.Point{at(0, 0), at(4, 0), at(4, 1), at(1, 1), at(1, 4), at(0, 4)}}}
		for x := 0.1; x < 4; x += 0.4 {
			for _, p := range []survey.Point{at(x, 0.5), at(0.5, x), at(x, 0.1), at(0.1, x)} {
				p.Z = 1
				d.Shots = append(d.Shots, p)
			}
		}
		f, err := surface.NewFloor(d)
		if err != nil {
			t.Fatal(err)
		}
		e := lay(t, f, Laying{Length: most, Spacing: 0.5})
		near(t, fmt.Sprintf("longest, turned by %g", float64(i)*0.151), e.Longest, most, 1e-7)
		if !e.Fits {
			t.Errorf("turned by %g: an edge of %g m does not fit", float64(i)*0.151, most)
		}
	}
}

// circle is an outline of n corners.
func circle(n int) []surface.Vec {
	var out []surface.Vec
	for i := range n {
		sin, cos := math.Sincos(0.02 + 2*math.Pi*float64(i)/float64(n)) // no wall or diameter runs east
		out = append(out, surface.Vec{X: 5 * cos, Y: 5 * sin})
	}
	return out
}

// Outlines of many corners are tried at some pairs of corners, 4 000 000 over the number of
// corners, and above 1000 corners at every second one. Own choice, for speed.
func TestCornersTried(t *testing.T) {
	for _, c := range []struct{ corners, pairs int }{{100, 4950}, {999, 4004}, {1999, 2001}} {
		ring := circle(c.corners)
		got := crossings([][]surface.Vec{ring})
		odd := slices.ContainsFunc(got, func(x crossing) bool { return slices.Index(ring, x.corner)%2 == 1 })
		if len(got) != c.pairs || odd != (c.corners < 1000) {
			t.Errorf("%d corners: %d pairs tried, odd ones %v; want %d", c.corners, len(got), odd, c.pairs)
		}
	}
}

// An edge that fits on no line is tried in a dozen directions from corner to corner.
func TestDirectionsFromCornerToCorner(t *testing.T) {
	ring := survey.Ring{}
	for _, p := range circle(40) {
		ring.Points = append(ring.Points, survey.Point{X: p.X, Y: p.Y, Z: math.NaN()})
	}
	var shots []survey.Point
	for _, p := range grid(-4.5, 1, 10, 10) {
		shots = append(shots, survey.Point{X: p[0], Y: p[1], Z: 1})
	}
	f, err := surface.NewFloor(surface.Data{Shots: shots, Rings: []survey.Ring{ring}})
	if err != nil {
		t.Fatal(err)
	}
	l := Laying{Length: 9.9999, Directions: 1, Spacing: 0.7}
	e := lay(t, f, l)
	if got := len(e.Directions) - len(l.bearings(f)); !e.Fits || got != 12 {
		t.Errorf("%v: %d directions besides %d, want 12", e.Directions, got, len(l.bearings(f)))
	}
}

// Readings on a fine grid, but for a strip of 2 m in a floor of 20 m: places farther than r
// from a reading are 2 − 2r wide, a twentieth of 20 m at r = 0.5 m. 1.5 mm of r are 3 mm of
// way, or 0.00015 of the floor; found is 0.8 mm at most, with a fourth of the places 2.1 mm.
func TestReadingsApartAreKnownToAThousandth(t *testing.T) {
	for _, start := range []float64{4, 5.7, 7, 11, 13} {
		var shots [][2]float64
		for _, p := range grid(0, 0.1, 201, 61) {
			if p[0] < start+0.001 || p[0] > start+1.999 {
				shots = append(shots, p)
			}
		}
		near(t, fmt.Sprintf("a strip from %g m", start), onGrid*Apart(room(t, 20, 6, shots)), 0.5, 0.0015)
	}
}
