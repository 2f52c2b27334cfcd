package surface

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
)

// withZ returns r with elevations at its corners, one for all or one each.
func withZ(r survey.Ring, z ...float64) survey.Ring {
	r.Points = slices.Clone(r.Points)
	for i := range r.Points {
		r.Points[i].Z = z[i%len(z)]
	}
	return r
}

// aboutCorners returns the notes of a kind on elevations of corners.
func aboutCorners(f *Floor, kind survey.NoteKind) (all []string) {
	for _, n := range f.Notes {
		if s := n.Text.String(); n.Kind == kind && n.Topic == survey.AboutDepth && strings.HasPrefix(s, "the outline gives ") {
			all = append(all, s)
		}
	}
	return all
}

// A level room of 6 × 6 m with a pit or a plinth of 2 × 2 m whose corners have elevations in
// the outline, and one shot inside. By hand: 32 m² of room times its depth, 4 m² of the other
// times its depth. The corners are the pit's, and no slope runs from them into the room.
func TestCornersOfAPitAreThePits(t *testing.T) {
	outer := ringOf("room", survey.Outer, 0, 0, 6, 0, 6, 6, 0, 6)
	inner := ringOf("pit", survey.Outer, 2, 2, 4, 2, 4, 4, 2, 4)
	edge := survey.Ring{Name: "rim", Kind: survey.Hole, Points: inner.Points}
	for _, c := range []struct {
		name  string
		z     float64
		rings []survey.Ring
		notes int
	}{
		{"pit", 9.65, []survey.Ring{outer, withZ(inner, 9.65)}, 1},
		{"pit, listed first", 9.65, []survey.Ring{withZ(inner, 9.65), outer}, 1},
		{"plinth", 9.98, []survey.Ring{outer, withZ(inner, 9.98)}, 1},
		{"room with corners too", 9.65, []survey.Ring{withZ(outer, 9.95), withZ(inner, 9.65)}, 1},
		{"rim as an opening of the room", 9.65, []survey.Ring{outer, withZ(edge, 9.95), withZ(inner, 9.65)}, 0},
		{"rim after it", 9.65, []survey.Ring{withZ(inner, 9.65), withZ(edge, 9.95), outer}, 0},
	} {
		shots := []survey.Point{{X: 3, Y: 3, Z: c.z}}
		for _, p := range [][2]float64{{0.1, 0.1}, {3, 0.1}, {5.9, 0.1}, {0.1, 3}, {5.9, 3}, {0.1, 5.9}, {3, 5.9}, {5.9, 5.9}, {1, 1}, {5, 1}, {1, 5}, {5, 5}} {
			shots = append(shots, survey.Point{X: p[0], Y: p[1], Z: 9.95})
		}
		f := build(t, Data{Shots: shots, Rings: c.rings})
		near(t, c.name, f.FillTo(Horizontal(10), nil).Fill, 32*0.05+4*(10-c.z), 1e-9)
		notes := aboutCorners(f, survey.Assumed)
		if len(notes) != c.notes {
			t.Errorf("%s: notes %q, want %d", c.name, notes, c.notes)
		}
		const want = "the outline gives an elevation to 4 corners of pit on the edge to room: it is used for pit alone, and room follows its own shots there; if that is wrong, shoot room at that edge and name it in a column part"
		if len(notes) == 1 && notes[0] != want {
			t.Errorf("%s: %q, want %q", c.name, notes[0], want)
		}
	}
}

// Two rooms side by side, 4 × 3 m and 5 × 3 m, with a common wall. Each has the elevations of
// its own outline on it; by hand, area times depth.
func TestCornersOfACommonWall(t *testing.T) {
	west := ringOf("west", survey.Outer, 0, 0, 4, 0, 4, 3, 0, 3)
	east := ringOf("east", survey.Outer, 4, 0, 9, 0, 9, 3, 4, 3)
	for _, c := range []struct {
		name  string
		rings []survey.Ring
		zEast float64
		notes int
	}{
		{"different", []survey.Ring{withZ(west, 0), withZ(east, 0.1)}, 0.1, 0},
		{"equal", []survey.Ring{withZ(west, 0), withZ(east, 0)}, 0, 0},
		{"of one room only", []survey.Ring{withZ(west, 0), east}, 0.1, 1},
		{"of the other only", []survey.Ring{west, withZ(east, 0.1)}, 0.1, 1},
	} {
		shots := append(shotsOn(0.5, 0.5, 3.5, 2.5, 1, func(_, _ float64) float64 { return 0 }),
			shotsOn(4.5, 0.5, 8.5, 2.5, 1, func(_, _ float64) float64 { return c.zEast })...)
		f := build(t, Data{Shots: shots, Rings: c.rings})
		near(t, c.name, f.FillTo(Horizontal(0.2), nil).Fill, 12*0.2+15*(0.2-c.zEast), 1e-9)
		if notes := aboutCorners(f, survey.Assumed); len(notes) != c.notes || len(notes) == 1 && !strings.HasPrefix(notes[0], "the outline gives an elevation to 2 corners of ") {
			t.Errorf("%s: notes %q, want %d", c.name, notes, c.notes)
		}
	}
}

// Corners of one floor must agree: those of a room, of an opening that touches its wall, and
// of a line that starts at a corner.
func TestCornersOfOneFloorAgree(t *testing.T) {
	hall := withZ(ringOf("hall", survey.Outer, 0, 0, 4, 0, 4, 3, 0, 3), 0)
	duct := ringOf("duct", survey.Hole, 0, 0, 1, 0, 0, 1)
	line := func(z ...float64) []survey.Breakline {
		return []survey.Breakline{{Name: "channel", Points: []survey.Point{{X: 4, Y: 3, Z: z[0]}, {X: 2, Y: 1.5, Z: z[1]}}}}
	}
	shots := shotsOn(0.5, 0.5, 3.5, 2.5, 1, func(_, _ float64) float64 { return 0 })
	for _, c := range []struct {
		name  string
		d     Data
		wrong bool
	}{
		{"an opening that agrees", Data{Rings: []survey.Ring{hall, withZ(duct, 0)}}, false},
		{"one that does not", Data{Rings: []survey.Ring{hall, withZ(duct, 0.05)}}, true},
		{"one that does not, listed first", Data{Rings: []survey.Ring{withZ(duct, 0.05), hall}}, true},
		{"a line that agrees", Data{Rings: []survey.Ring{hall}, Lines: line(0, -0.01)}, false},
		{"one that does not", Data{Rings: []survey.Ring{hall}, Lines: line(-0.05, -0.01)}, true},
		{"one that ends at the corner without an elevation", Data{Rings: []survey.Ring{hall}, Lines: line(math.NaN(), -0.01)}, false},
	} {
		c.d.Shots = shots
		_, err := NewFloor(c.d)
		if wrong := err != nil && strings.Contains(err.Error(), "want one elevation at one place"); wrong != c.wrong || err != nil && !wrong {
			t.Errorf("%s: error %v, want one: %v", c.name, err, c.wrong)
		}
	}
}

// A line takes the elevation of a corner at its end if the outlines there agree.
func TestLineFromACorner(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		own     float64
		corners []float64
		want    float64
	}{{1, nil, 1}, {nan, nil, nan}, {nan, []float64{2}, 2}, {nan, []float64{2, 2}, 2}, {nan, []float64{2, 3}, nan}} {
		b := &builder{z: []float64{c.own}, corners: map[int32][]cornerZ{}}
		for i, z := range c.corners {
			b.corners[0] = append(b.corners[0], cornerZ{floor: i, z: z})
		}
		if got := b.ofLine(0); got != c.want && !(math.IsNaN(got) && math.IsNaN(c.want)) {
			t.Errorf("%v: %g", c, got)
		}
	}
}

// The volume of a room with a pit is that of the room with an opening there plus that of
// the pit alone, wherever the pit is and whatever elevations its corners have.
func TestRegionsAreComputedAsIfAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		x := float64(rapid.IntRange(0, 4).Draw(t, "x"))
		y := float64(rapid.IntRange(0, 3).Draw(t, "y"))
		room := ringOf("room", survey.Outer, 0, 0, 7, 0, 7, 6, 0, 6)
		pit := withZ(ringOf("pit", survey.Outer, x, y, x+3, y, x+3, y+3, x, y+3), -0.3+0.1*r.Float64(), -0.3, -0.2, -0.25)
		hole := ringOf("hole", survey.Hole, x, y, x+3, y, x+3, y+3, x, y+3)
		shots := shotsOn(0.5, 0.5, 6.5, 5.5, 1, func(px, py float64) float64 {
			z := 0.02 * r.Float64()
			if px > x && px < x+3 && py > y && py < y+3 {
				z -= 0.25
			}
			return z
		})
		fill := func(rings ...survey.Ring) float64 {
			f, err := NewFloor(Data{Shots: shots, Rings: rings})
			if err != nil {
				t.Fatal(err)
			}
			return f.FillTo(Horizontal(0.1), nil).Fill
		}
		if both, alone := fill(room, pit), fill(room, hole)+fill(pit); math.Abs(both-alone) > 1e-9 {
			t.Fatalf("room and pit at (%g, %g): %.9f m³, each alone %.9f", x, y, both, alone)
		}
	})
}

// A region with fewer than three elevations is refused with what to do about it; three are
// enough, be they shots or corners of its outline.
func TestTooFewElevationsInAPit(t *testing.T) {
	nan := math.NaN()
	outer := ringOf("room", survey.Outer, 0, 0, 6, 0, 6, 6, 0, 6)
	inner := ringOf("pit", survey.Outer, 2, 2, 4, 2, 4, 4, 2, 4)
	across := []survey.Breakline{{Name: "step", Points: []survey.Point{{X: 4.5, Y: -1, Z: nan}, {X: 4.5, Y: 7, Z: nan}}}}
	around := []survey.Point{{X: 1, Y: 1}, {X: 5, Y: 1}, {X: 5, Y: 5}, {X: 1, Y: 5}}
	middle := append(slices.Clone(around), survey.Point{X: 3, Y: 3, Z: -0.3})
	for _, c := range []struct {
		name, want, hint string
		d                Data
	}{
		{"no shot", "no shot inside it", moreShots, Data{Shots: around, Rings: []survey.Ring{outer, inner}}},
		{"one shot", "1 shot", moreShots, Data{Shots: middle, Rings: []survey.Ring{outer, inner}}},
		{"one corner too", "1 shot and 1 other elevation", moreShots, Data{Shots: middle, Rings: []survey.Ring{outer, withZ(inner, -0.3, nan, nan, nan)}}},
		{"two corners in line with the shot", "1 shot and 2 other elevations that are all on one line", moreShots, Data{Shots: middle, Rings: []survey.Ring{outer, withZ(inner, -0.3, nan)}}},
		{"three elevations", "", "", Data{Shots: middle, Rings: []survey.Ring{outer, withZ(inner, -0.3, -0.3, nan, nan)}}},
		{"corners alone", "", "", Data{Shots: around, Rings: []survey.Ring{outer, withZ(inner, -0.3)}}},
		{"no outline", "2 shots", "shoot 3 or more places in it, not all on one line", Data{Shots: around, Lines: across}},
	} {
		_, err := NewFloor(c.d)
		var e *survey.Error
		if errors.As(err, &e) != (c.want != "") || e != nil && (e.Found != c.want || e.Hint != c.hint) {
			t.Errorf("%s: %v; %+v", c.name, err, e)
		}
	}
}

// A corner with an elevation where a step ends is of one of the two floors, and which is not
// known. Without an elevation, or between two outlines, there is no doubt.
func TestCornersWhereAStepEnds(t *testing.T) {
	nan := math.NaN()
	hall := ringOf("hall", survey.Outer, 0, 0, 6, 0, 6, 3, 6, 6, 0, 6, 0, 3)
	south := withZ(ringOf("south", survey.Outer, 0, 0, 6, 0, 6, 3, 0, 3), 0)
	north := withZ(ringOf("north", survey.Outer, 0, 3, 6, 3, 6, 6, 0, 6), -0.1)
	step := []survey.Breakline{{Name: "step", Points: []survey.Point{{X: 0, Y: 3, Z: nan}, {X: 6, Y: 3, Z: nan}}}}
	shots := shotsOn(0.5, 0.5, 5.5, 5.5, 1, func(_, y float64) float64 {
		if y > 3 {
			return -0.1
		}
		return 0
	})
	for _, c := range []struct {
		name string
		d    Data
		want []string
	}{
		{"both ends", Data{Rings: []survey.Ring{withZ(hall, 0, 0, 0, -0.1, -0.1, 0)}, Lines: step},
			[]string{"the outline gives one elevation to 2 corners of hall where a step ends: which side it was read on is not known, so both sides are taken at that height; leave it out, or give each side an outline of its own"}},
		{"one end", Data{Rings: []survey.Ring{withZ(hall, 0, 0, nan, -0.1, -0.1, 0)}, Lines: step},
			[]string{"the outline gives one elevation to 1 corner of hall where a step ends: which side it was read on is not known, so both sides are taken at that height; leave it out, or give each side an outline of its own"}},
		{"no elevation there", Data{Rings: []survey.Ring{withZ(hall, 0, 0, nan, -0.1, -0.1, nan)}, Lines: step}, nil},
		{"no step", Data{Rings: []survey.Ring{withZ(hall, 0, 0, 0, -0.1, -0.1, 0)}}, nil},
		{"two outlines", Data{Rings: []survey.Ring{south, north}}, nil},
	} {
		c.d.Shots = shots
		f := build(t, c.d)
		if got := aboutCorners(f, survey.Warning); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		if c.want == nil && len(c.d.Lines)+len(c.d.Rings) > 1 {
			near(t, c.name, f.FillTo(Horizontal(0.1), nil).Fill, 18*0.1+18*0.2, 1e-9)
		}
	}
}
