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

type fataler interface {
	Helper()
	Errorf(string, ...any)
	Fatalf(string, ...any)
}

// cutInto cuts and checks what must be true of any cut: the quantities of the pieces sum to
// the whole, their triangles are sound, their rings bound them, and each can be cut, drawn
// and filled as a floor.
func cutInto(t fataler, f *Floor, target Plane, lines ...[]Vec) *Parts {
	t.Helper()
	p, err := f.Cut(lines)
	if err != nil {
		t.Fatalf("%v", err)
	}
	checkSums(t, f, p, target)
	return p
}

func checkSums(t fataler, f *Floor, p *Parts, target Plane) {
	t.Helper()
	whole := f.FillTo(target, nil)
	var sums Fill
	perimeter := 0.0
	least, greatest := math.Inf(1), math.Inf(-1)
	for i, piece := range p.Pieces {
		q := piece.FillTo(target, nil)
		sums.Area += q.Area
		sums.Sloped += q.Sloped
		sums.Fill += q.Fill
		sums.Cut += q.Cut
		sums.FillArea += q.FillArea
		sums.FittedArea += q.FittedArea
		sums.FittedFill += q.FittedFill
		least, greatest = min(least, q.Least), max(greatest, q.Greatest)
		perimeter += piece.Perimeter
		rings := 0.0
		for _, r := range piece.Regions {
			for j, ring := range r.Rings {
				a := RingArea(ring)
				if (a > 0) != (j == 0) {
					t.Errorf("piece %d: ring %d has area %g", i, j, a)
				}
				rings += a
			}
			for h, w := range r.TIN.Twin {
				if w >= 0 && r.TIN.Twin[w] != int32(h) {
					t.Errorf("piece %d: twins of half-edge %d disagree", i, h)
				}
			}
			for k := range r.TIN.Len() {
				if a := r.TIN.area(k); a < -1e-12 {
					t.Errorf("piece %d: triangle %d has area %g", i, k, a)
				}
			}
			r.TIN.Contours(r.TIN.Depths(target), []float64{0, 0.01, 0.02})
		}
		// Rings are straight to two steps of the nanometre grid, which far out are 20 nm.
		if math.Abs(rings-q.Area) > 1e-6 {
			t.Errorf("piece %d: rings enclose %.12g m², triangles cover %.12g", i, rings, q.Area)
		}
	}
	for _, j := range p.Joins {
		if j.Pieces[0] >= j.Pieces[1] {
			t.Errorf("a join of the pieces %v", j.Pieces)
		}
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"area", sums.Area, whole.Area}, {"area along the slope", sums.Sloped, whole.Sloped},
		{"fill", sums.Fill, whole.Fill}, {"cut", sums.Cut, whole.Cut}, {"filled area", sums.FillArea, whole.FillArea},
		{"fitted area", sums.FittedArea, whole.FittedArea}, {"fill on it", sums.FittedFill, whole.FittedFill},
	} {
		// 1e-12 of what is summed: cut and fill are differences of depths times area.
		scale := max(math.Abs(c.want), whole.Area*max(math.Abs(whole.Least), math.Abs(whole.Greatest)))
		if !(math.Abs(c.got-c.want) <= 1e-12*scale) {
			t.Errorf("%s of %d pieces sums to %.16g, want %.16g", c.what, len(p.Pieces), c.got, c.want)
		}
	}
	if math.Abs(perimeter-f.Perimeter) > 1e-7 {
		t.Errorf("walls of the pieces sum to %.12g m, want %.12g", perimeter, f.Perimeter)
	}
	if math.Abs(least-whole.Least) > 1e-12 || math.Abs(greatest-whole.Greatest) > 1e-12 {
		t.Errorf("depths from %g to %g, want %g to %g", least, greatest, whole.Least, whole.Greatest)
	}
}

// The helper must detect a cut that lost something.
func TestSumsOfAWrongCutAreRejected(t *testing.T) {
	f := build(t, Data{Shots: shotsOn(0, 0, 6, 4, 1, sloped)})
	p := cutInto(t, f, Horizontal(10), []Vec{{X: 2.5, Y: -1}, {X: 2.5, Y: 5}})
	p.Pieces[0].Regions[0].TIN.Z[0] += 1e-9
	var r rejected
	checkSums(&r, f, p, Horizontal(10))
	if r == 0 {
		t.Error("an elevation changed by a nanometre went unseen")
	}
}

type rejected int

func (r *rejected) Helper()               {}
func (r *rejected) Errorf(string, ...any) { *r++ }
func (r *rejected) Fatalf(string, ...any) { *r++ }

func line(xy ...float64) []Vec {
	var out []Vec
	for i := 0; i < len(xy); i += 2 {
		out = append(out, Vec{X: xy[i], Y: xy[i+1]})
	}
	return out
}

// A wedge: depth 0.01·x over a rectangle of 10 m by 4 m, cut at x = c. Closed form:
// the fill up to c is 4·0.01·c²/2. Dams run between shots and along them.
func TestWedgeCutAcross(t *testing.T) {
	f := build(t, Data{Shots: shotsOn(0, 0, 10, 4, 1, func(x, y float64) float64 { return 10 - 0.01*x })})
	for _, c := range []float64{0.3, 1, 2.5, 7, 9.999} {
		p := cutInto(t, f, Horizontal(10), line(c, -3, c, 50))
		if len(p.Pieces) != 2 || len(p.Joins) != 1 {
			t.Fatalf("%d pieces, %d joins; want 2 and 1", len(p.Pieces), len(p.Joins))
		}
		near(t, "fill of the west piece", p.Pieces[0].FillTo(Horizontal(10), nil).Fill, 4*0.01*c*c/2, 1e-13)
		near(t, "length of the dam", p.Joins[0].Length(), 4, 1e-12)
		near(t, "height of the dam", greatest(p.Joins[0].Heights(Horizontal(10))), 0.01*c, 1e-12)
		near(t, "perimeter", p.Pieces[0].Perimeter, 4+2*c, 1e-9)
		if ring := p.Pieces[0].Regions[0].Rings; len(ring) != 1 || len(ring[0]) != 4 {
			t.Errorf("rings %v, want one of four corners", ring)
		}
	}
}

// Against a second method: the triangles are split at the line separately, and each
// half-floor is built again from faces.
func TestCutAgainstHalfFloors(t *testing.T) {
	f := build(t, Data{Shots: wavy(rand.New(rand.NewPCG(3, 1)), 0.7)})
	lo, hi := f.Bounds()
	a, b := Vec{X: lo.X + 0.3*(hi.X-lo.X), Y: lo.Y - 1}, Vec{X: lo.X + 0.6*(hi.X-lo.X), Y: hi.Y + 1}
	target := Plane{Z: 10.02, SlopeX: 0.001}
	p := cutInto(t, f, target, []Vec{a, b})
	left, right := cutAlong(t, f.Regions[0].TIN, a, b)
	for i, half := range []*Floor{left, right} {
		got, want := p.Pieces[i].FillTo(target, nil), half.FillTo(target, nil)
		near(t, "fill", got.Fill, want.Fill, 1e-9*want.Area)
		near(t, "cut", got.Cut, want.Cut, 1e-9*want.Area)
		near(t, "area", got.Area, want.Area, 1e-7)
	}
}

// An L-shaped room with a column: a line through the column is two dams; a line that turns
// round a corner of the room also divides it. Areas in closed form.
func TestLShapeWithAColumn(t *testing.T) {
	column := ringOf("column", survey.Hole, 2, 1, 3, 1, 3, 2, 2, 2)
	f := build(t, Data{Shots: shotsOn(0, 0, 9, 8, 0.75, sloped), Rings: []survey.Ring{room, column}})
	area := func(p *Floor) float64 { return p.FillTo(Horizontal(10), nil).Area }
	p := cutInto(t, f, Horizontal(10), line(2.5, -1, 2.5, 9))
	if len(p.Pieces) != 2 || len(p.Joins) != 2 {
		t.Fatalf("%d pieces, %d joins; want 2 and 2", len(p.Pieces), len(p.Joins))
	}
	near(t, "west", area(p.Pieces[0]), 2.5*8-0.5, 1e-9)
	near(t, "dam below the column", p.Joins[0].Length(), 1, 1e-9)
	near(t, "dam above it", p.Joins[1].Length(), 6, 1e-9)
	if n := len(p.Pieces[0].Openings); n != 0 {
		t.Errorf("%d openings in a piece that has half the column at its edge", n)
	}

	p = cutInto(t, f, Horizontal(10), line(-1, 5, 3.5, 5, 6, 2, 6, -1), line(4, 4.5, 4, 4.4))
	if len(p.Pieces) != 3 {
		t.Fatalf("%d pieces, want 3", len(p.Pieces))
	}

	p = cutInto(t, f, Horizontal(10), line(6, 5, 6, -1), line(-1, 6, 5, 6))
	if len(p.Pieces) != 3 {
		t.Fatalf("%d pieces, want 3", len(p.Pieces))
	}
	near(t, "middle", area(p.Pieces[0]), 6*4.5+4*1.5-1, 1e-9)
	if n := len(p.Pieces[0].Openings); n != 1 {
		t.Errorf("%d openings in the piece with the column, want 1", n)
	}
	// A dam that ends on another.
	p = cutInto(t, f, Horizontal(10), line(6, 5, 6, -1), line(6, 2.2, 10, 2.2))
	if len(p.Pieces) != 3 {
		t.Errorf("%d pieces where a dam ends on another, want 3", len(p.Pieces))
	}
	// From wall to column and on from there, as two lines.
	p = cutInto(t, f, Horizontal(10), line(2.5, 0, 2.5, 1), line(2.5, 2, 2.5, 8))
	if len(p.Pieces) != 2 {
		t.Errorf("%d pieces, want 2", len(p.Pieces))
	}
}

// Lines through shots, along edges of triangles and along their diagonals.
func TestCutAlongEdgesAndThroughVertices(t *testing.T) {
	f := build(t, Data{Shots: shotsOn(0, 0, 6, 6, 1, func(x, y float64) float64 { return 10 - 0.002*x*y })})
	for _, l := range [][]Vec{line(0, 3, 6, 3), line(3, 0, 3, 6), line(0, 0, 6, 6), line(6, 0, 0, 6), line(0, 1, 6, 4), line(0, 2, 2, 2, 2, 4, 6, 4), line(0, 5.5, 5.5, 0)} {
		if p := cutInto(t, f, Horizontal(10), l); len(p.Pieces) != 2 {
			t.Errorf("line %v: %d pieces, want 2", l, len(p.Pieces))
		}
		back := slices.Clone(l)
		slices.Reverse(back)
		p, q := cutInto(t, f, Horizontal(10), l), cutInto(t, f, Horizontal(10), back)
		for i := range p.Pieces {
			if a, b := p.Pieces[i].FillTo(Horizontal(10), nil).Fill, q.Pieces[i].FillTo(Horizontal(10), nil).Fill; a != b {
				t.Errorf("line %v: fill %v, run the other way %v", l, a, b)
			}
		}
	}
	// A ring of dams, and one piece cut again.
	p := cutInto(t, f, Horizontal(10), line(1.5, 1.5, 4.5, 1.5, 4.5, 4.5, 1.5, 4.5, 1.5, 1.5))
	if len(p.Pieces) != 2 || len(p.Joins) != 4 {
		t.Fatalf("%d pieces, %d joins; want 2 and 4", len(p.Pieces), len(p.Joins))
	}
	near(t, "inner area", p.Pieces[1].FillTo(Horizontal(10), nil).Area, 9, 1e-12)
	near(t, "walls round it", p.Pieces[1].Perimeter, 0, 1e-9)
	again, err := p.Pieces[0].Cut([][]Vec{line(3, -1, 3, 7)})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "fill cut twice", again.Pieces[0].FillTo(Horizontal(10), nil).Fill+again.Pieces[1].FillTo(Horizontal(10), nil).Fill, p.Pieces[0].FillTo(Horizontal(10), nil).Fill, 1e-14)
	if len(again.Pieces) != 2 || len(again.Joins) != 2 {
		t.Errorf("%d pieces, %d joins; want 2 and 2", len(again.Pieces), len(again.Joins))
	}
}

// A step at x = 4 of 50 mm: a dam along it separates the two levels, a dam across it leaves
// the step in both pieces. Also with the room turned, where no corner is on the nanometre grid.
func TestCutAlongAndAcrossAStep(t *testing.T) {
	for _, turn := range []float64{0, 0.3, 1.1} {
		at := func(x, y float64) Vec {
			s, c := math.Sincos(turn)
			return Vec{X: c*x - s*y + 20, Y: s*x + c*y + 30}
		}
		poly := func(xy ...float64) []float64 {
			var out []float64
			for i := 0; i < len(xy); i += 2 {
				p := at(xy[i], xy[i+1])
				out = append(out, p.X, p.Y)
			}
			return out
		}
		var shots []survey.Point
		for _, p := range shotsOn(0, 0, 9.9, 5.4, 0.9, func(x, y float64) float64 { return 10 }) {
			q := at(p.X, p.Y)
			if p.X > 4 {
				p.Z = 9.95
			}
			shots = append(shots, survey.Point{X: q.X, Y: q.Y, Z: p.Z})
		}
		a, b := at(4, -1), at(4, 7)
		f := build(t, Data{Shots: shots, Rings: []survey.Ring{ringOf("hall", survey.Outer, poly(0, 0, 10, 0, 10, 6, 0, 6)...)},
			Lines: []survey.Breakline{{Name: "step", Points: []survey.Point{{X: a.X, Y: a.Y, Z: math.NaN()}, {X: b.X, Y: b.Y, Z: math.NaN()}}}}})
		if len(f.Regions) != 2 {
			t.Fatalf("%d regions, want 2", len(f.Regions))
		}
		target := Horizontal(10.02)
		p := cutInto(t, f, target, []Vec{at(4, -2), at(4, 9)})
		if len(p.Pieces) != 2 || len(p.Joins) != 1 {
			t.Fatalf("turned by %g: %d pieces, %d joins along the step; want 2 and 1", turn, len(p.Pieces), len(p.Joins))
		}
		near(t, "dam on the step", p.Joins[0].Length(), 6, 1e-7)
		near(t, "its height", greatest(p.Joins[0].Heights(target)), 0.07, 1e-9)
		near(t, "step left", p.Pieces[0].StepLength+p.Pieces[1].StepLength, 0, 1e-7)

		p = cutInto(t, f, target, []Vec{at(-1, 2.5), at(11, 2.5)})
		if len(p.Pieces) != 2 {
			t.Fatalf("turned by %g: %d pieces across the step, want 2", turn, len(p.Pieces))
		}
		near(t, "steps", p.Pieces[0].StepLength+p.Pieces[1].StepLength, 6, 1e-7)
		for _, piece := range p.Pieces {
			if len(piece.Regions) != 2 || len(piece.Steps) == 0 {
				t.Errorf("a piece of %d regions and %d steps; want both sides of one step", len(piece.Regions), len(piece.Steps))
			}
		}
		// From the west wall to the step, along it, and on to the north wall: the dam turns
		// where there was no corner.
		p = cutInto(t, f, target, []Vec{at(0, 2.2), at(4, 2.2), at(4, 6)})
		if len(p.Pieces) != 2 {
			t.Errorf("turned by %g: %d pieces where a dam turns into the step, want 2", turn, len(p.Pieces))
		}
		// A dam that ends on the step separates nothing: the mix flows round it.
		if _, err := f.Cut([][]Vec{{at(0, 2.2), at(4, 2.2)}}); err == nil || !strings.Contains(err.Error(), "does not divide the floor") {
			t.Errorf("turned by %g: a dam to the step alone: %v", turn, err)
		}
	}
}

// A floor with triangles on top of each other is refused by name.
func TestTangledFloorIsNotCut(t *testing.T) {
	f := build(t, Data{Shots: shotsOn(0, 0, 9, 8, 0.75, sloped), Rings: []survey.Ring{room}})
	tin := f.Regions[0].TIN
	_, k, _ := tin.Locator().At(Vec{X: 6.2, Y: 0.2})
	tin.V, tin.Twin = append(tin.V, tin.V[3*k:3*k+3]...), append(tin.Twin, -1, -1, -1)
	_, err := f.Cut([][]Vec{line(6.2, -1, 6.2, 5)})
	var e *survey.Error
	if !errors.As(err, &e) || !strings.HasPrefix(err.Error(), `floor "room": found two triangles on the same side of one edge where it is cut, by 2.867 m from east wall, 0.067 m from south wall`) || e.Hint == "" {
		t.Errorf("got %v, want a refusal of the floor by its name", err)
	}
}

func TestLinesThatCannotCut(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	column := ringOf("column", survey.Hole, 2, 1, 3, 1, 3, 2, 2, 2)
	f := build(t, Data{Shots: shotsOn(0, 0, 9, 8, 0.75, sloped), Rings: []survey.Ring{room, column}})
	good := line(6, -1, 6, 5)
	for _, c := range []struct {
		name string
		line []Vec
		want string
	}{
		{"no place", nil, "cut line 2: found 0 different places, want at least 2"},
		{"one place twice", line(1, 1, 1, 1), "cut line 2: found 1 different places, want at least 2"},
		{"not a number", line(1, nan, 1, 4), "cut line 2: found the place (1.000, NaN) m, want places on or beside the floor"},
		{"infinite", line(1, -inf, 1, 4), "cut line 2: found the place (1.000, -Inf) m, want places on or beside the floor"},
		{"in millimetres", line(1, -1, 1, 4e7), "cut line 2: found the place (1.000, 40000000.000) m, want places on or beside the floor"},
		{"beside the floor", line(5, 6, 9, 6), "cut line 2: found a line that does not cross the floor (it runs by 7.000 m from west wall, 6.000 m from south wall), want a line that runs from wall to wall over floor, and no line twice"},
		{"along a wall", line(0, 0, 9, 0), "cut line 2: found a line that does not cross the floor (it runs by 4.500 m from west wall, at south wall), want a line that runs from wall to wall over floor, and no line twice"},
		{"twice", line(6, 0, 6, 5), "cut line 2: found a line that does not cross the floor (it runs by 3.000 m from east wall, 2.000 m from inner north wall), want a line that runs from wall to wall over floor, and no line twice"},
		{"short of a wall", line(4.2, -1, 4.2, 4.45), "cut line 2: found an end inside the floor at 4.200 m from west wall, 0.050 m from inner north wall, 0.050 m from the nearest wall, want a line that runs from wall to wall or to another line"},
		{"inside", line(4.2, 1, 5, 2), "cut line 2: found an end inside the floor at 4.200 m from west wall, 1.000 m from south wall, 1.000 m from the nearest wall, want a line that runs from wall to wall or to another line"},
		{"past another dam", line(7, 2, 5.9, 2), "cut line 2: found an end inside the floor at 2.000 m from east wall, 2.000 m from south wall, 2.000 m from the nearest wall, want a line that runs from wall to wall or to another line"},
		{"to a column only", line(2.5, -1, 2.5, 1.5), "cut line 2: found a line that does not divide the floor: the same piece is on both sides of it at 2.500 m from west wall, 0.875 m from south wall, want a line that runs from wall to wall or to another line, on both sides of an opening"},
	} {
		_, err := f.Cut([][]Vec{good, c.line})
		var e *survey.Error
		if !errors.As(err, &e) || err.Error() != c.want {
			t.Errorf("%s:\n got %v\nwant %s", c.name, err, c.want)
		}
	}
}

func doublesBack(l []Vec) bool {
	for i := 2; i < len(l); i++ {
		ux, uy, vx, vy := l[i-1].X-l[i-2].X, l[i-1].Y-l[i-2].Y, l[i].X-l[i-1].X, l[i].Y-l[i-1].Y
		if math.Abs(ux*vy-uy*vx) < 1e-6 && ux*vx+uy*vy < 0 {
			return true
		}
	}
	return false
}

// Without a line the pieces are the parts that walls separate.
func TestCutWithoutLines(t *testing.T) {
	f := build(t, Data{Shots: append(shotsOn(0, 0, 3, 3, 1, sloped), shotsOn(4, 0, 7, 3, 1, sloped)...), Rings: []survey.Ring{
		ringOf("east", survey.Outer, 4, 0, 7, 0, 7, 3, 4, 3), ringOf("west", survey.Outer, 0, 0, 3, 0, 3, 3, 0, 3)}})
	p := cutInto(t, f, Horizontal(10))
	if len(p.Pieces) != 2 || len(p.Joins) != 0 || p.Pieces[0].Regions[0].Name != "west" {
		t.Fatalf("%d pieces, %d joins; want the rooms west and east", len(p.Pieces), len(p.Joins))
	}
	// A dam in one room leaves the other alone.
	p = cutInto(t, f, Horizontal(10), line(1, -1, 1, 9))
	if len(p.Pieces) != 3 || p.Pieces[2].Used != 16 || p.Pieces[0].Used != 8 {
		t.Errorf("%d pieces; want 3, the last with its 16 shots, the first with 8", len(p.Pieces))
	}
}

// Random floors, random dams, random row order: sums agree and equal surveys give equal
// pieces.
func TestCutsOfRandomFloors(t *testing.T) {
	var made refusals
	cuts, idle := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		rng := rand.New(rand.NewPCG(seed, 7))
		// Half of the floors are turned, so that walls, shots and dams that coincide do so
		// only to the nanometre grid. Some are far from the origin.
		sin, cos := 0.0, 1.0
		if rng.IntN(2) == 0 {
			sin, cos = math.Sincos(2 * math.Pi * rng.Float64())
		}
		away := []float64{0, 300, 5e5, 5e6}[rng.IntN(4)]
		turn := func(x, y float64) Vec { return Vec{X: away + cos*x - sin*y, Y: away + sin*x + cos*y} }
		turned := func(xy ...float64) []float64 {
			var out []float64
			for i := 0; i < len(xy); i += 2 {
				p := turn(xy[i], xy[i+1])
				out = append(out, p.X, p.Y)
			}
			return out
		}
		place := func() Vec {
			// Half of them on a coarse grid, so that they fall on shots and on each other.
			if rng.IntN(2) == 0 {
				return Vec{X: float64(rng.IntN(11)), Y: float64(rng.IntN(7))}
			}
			return Vec{X: 10 * rng.Float64(), Y: 6 * rng.Float64()}
		}
		var shots []survey.Point
		taken := map[Vec]bool{}
		for range rapid.IntRange(6, 60).Draw(t, "shots") {
			if p := place(); !taken[p] {
				taken[p] = true
				q := turn(p.X, p.Y)
				shots = append(shots, survey.Point{X: q.X, Y: q.Y, Z: 10 + 0.03*rng.NormFloat64()})
			}
		}
		outer := ringOf("room", survey.Outer, turned(0, 0, 10, 0, 10, 6, 0, 6)...)
		hole := ringOf("column", survey.Hole, turned(4, 2, 5, 2, 5.3, 3.1, 4, 3)...)
		d := Data{Shots: shots, Rings: []survey.Ring{outer, hole}}
		if rng.IntN(2) == 0 {
			a, b := turn(7, -1), turn(6, 7)
			d.Lines = []survey.Breakline{{Name: "step", Points: []survey.Point{{X: a.X, Y: a.Y, Z: math.NaN()}, {X: b.X, Y: b.Y, Z: math.NaN()}}}}
		}
		f, err := made.floor(d)
		if err != nil {
			t.Skip(err.Error())
		}
		var lines [][]Vec
		for range rapid.IntRange(1, 4).Draw(t, "dams") {
			a, b := place(), place()
			if rng.IntN(2) == 0 {
				a.X, b.X = -1, 11
			} else {
				a.Y, b.Y = -1, 7
			}
			l := []Vec{a}
			for range rng.IntN(3) {
				l = append(l, place())
			}
			l = append(l, b)
			if rng.IntN(4) == 0 {
				l = []Vec{{X: 7, Y: -1}, {X: 6, Y: 7}} // along the step, if there is one
			}
			for i, p := range l {
				l[i] = turn(p.X, p.Y)
			}
			lines = append(lines, l)
		}
		p, err := f.Cut(lines)
		cuts++
		if err != nil {
			idle++
			// Only a line beside the floor, or one that doubles back on itself.
			if strings.Contains(err.Error(), "cross the floor") || slices.ContainsFunc(lines, doublesBack) {
				return
			}
			t.Fatal(err)
			return
		}
		target := Plane{At: turn(0, 0), Z: 10.01, SlopeX: 0.002, SlopeY: -0.001}
		checkSums(t, f, p, target)

		other := d
		other.Shots = slices.Clone(shots)
		rng.Shuffle(len(other.Shots), func(i, j int) { other.Shots[i], other.Shots[j] = other.Shots[j], other.Shots[i] })
		g, err := NewFloor(other)
		if err != nil {
			t.Fatal(err)
		}
		q, err := g.Cut(lines)
		if err != nil {
			t.Fatal(err)
		}
		if len(q.Pieces) != len(p.Pieces) {
			t.Fatalf("%d pieces, in another order of rows %d", len(p.Pieces), len(q.Pieces))
		}
		for i := range p.Pieces {
			if a, b := p.Pieces[i].FillTo(target, nil), q.Pieces[i].FillTo(target, nil); a.Fill != b.Fill || a.Area != b.Area || a.Greatest != b.Greatest || a.GreatestAt != b.GreatestAt {
				t.Errorf("piece %d: %v m³ over %v m², in another order of rows %v over %v", i, a.Fill, a.Area, b.Fill, b.Area)
			}
			for j := range p.Pieces[i].Regions {
				for k, ring := range p.Pieces[i].Regions[j].Rings {
					if !slices.Equal(ring, q.Pieces[i].Regions[j].Rings[k]) {
						t.Errorf("piece %d: ring %d differs with the order of rows", i, k)
					}
				}
			}
		}
	})
	made.check(t, 0.2)
	if 2*idle > cuts {
		t.Errorf("in %d of %d floors the lines cut nothing, want half at most", idle, cuts)
	}
	t.Logf("in %d of %d floors the lines cut nothing", idle, cuts)
}

func greatest(_, most float64) float64 { return most }
