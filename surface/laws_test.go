package surface

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
)

// The answer depends on the shots, not on their order, and on the floor, not on the origin
// of the grid.
func TestOrderAndOriginDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		var shots []survey.Point
		step := rapid.SampledFrom([]float64{0.1, 0.3048, 0.5, 1}).Draw(t, "step")
		for i := range 12 {
			for j := range 9 {
				if rng.Float64() < 0.8 {
					shots = append(shots, survey.Point{X: float64(i) * step, Y: float64(j) * step, Z: math.Round(rng.Float64()*100) / 1000})
				}
			}
		}
		outline := ringOf("", survey.Outer, 0.5*step, 0.25*step, 10.5*step, 0.5*step, 10*step, 7.5*step, 5*step, 5*step, step, 7*step)
		one := func(dx, dy float64, shuffle, walls bool) Fill {
			d := Data{Shots: slices.Clone(shots)}
			if walls {
				d.Rings = []survey.Ring{{Points: slices.Clone(outline.Points)}}
			}
			for i := range d.Shots {
				d.Shots[i].X += dx
				d.Shots[i].Y += dy
			}
			if shuffle {
				rng.Shuffle(len(d.Shots), func(i, j int) { d.Shots[i], d.Shots[j] = d.Shots[j], d.Shots[i] })
			}
			f, err := NewFloor(d)
			if err != nil {
				t.Fatal(err)
			}
			return f.FillTo(Horizontal(0.05), []float64{0, 0.02, 0.04})
		}
		for _, walls := range []bool{true, false} {
			a, b := one(0, 0, false, walls), one(0, 0, true, walls)
			if a.Fill != b.Fill || a.Cut != b.Cut || a.Area != b.Area || a.LeastAt != b.LeastAt || a.Bands[1] != b.Bands[1] {
				t.Fatalf("shuffled rows change the answer: %+v, %+v", a, b)
			}
		}
		// After the move the grid's corners are still cocircular and are cut the same way.
		// (Walls are cut into pieces with rounded ends, so they are left out.)
		a, c := one(0, 0, false, false), one(431207, 4512896, true, false)
		if math.Abs(a.Fill-c.Fill) > 1e-12*a.Fill || math.Abs(a.Area-c.Area) > 1e-12*a.Area || a.Triangles != c.Triangles {
			t.Fatalf("moved to grid coordinates: fill %.12g, area %.12g; at the origin %.12g, %.12g", c.Fill, c.Area, a.Fill, a.Area)
		}
	})
}

// A survey moved by a million metres, to site coordinates, gives the same answer to twelve
// digits, walls and fits included.
func TestMovedByAMillionMetres(t *testing.T) {
	one := func(dx, dy float64) Fill {
		var shots []survey.Point
		for _, p := range append(shotsOn(0.305, 0.305, 8.7, 4.2, 0.711, sloped), shotsOn(0.3, 5.2, 3.5, 7.6, 0.8, sloped)...) {
			p.X, p.Y = p.X+dx, p.Y+dy
			p.Z += 0.001 * float64(len(shots)%7)
			shots = append(shots, p)
		}
		r := ringOf("room", survey.Outer, 0, 0, 9, 0.25, 8.8, 4.5, 4, 4.4, 4.1, 8, 0, 8)
		for i := range r.Points {
			r.Points[i].X += dx
			r.Points[i].Y += dy
		}
		return build(t, Data{Shots: shots, Rings: []survey.Ring{r}}).FillTo(Horizontal(9.93), []float64{0, 0.02})
	}
	a, b := one(0, 0), one(1e6, 1e6)
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"fill", b.Fill, a.Fill}, {"cut", b.Cut, a.Cut}, {"area", b.Area, a.Area}, {"fill area", b.FillArea, a.FillArea},
		{"max depth", b.Greatest, a.Greatest}, {"band", b.Bands[1].Volume, a.Bands[1].Volume}, {"at the walls", b.FittedFill, a.FittedFill},
	} {
		near(t, c.name, c.got, c.want, 1e-12*math.Abs(c.want))
	}
	if a.Fill == 0 || a.Cut == 0 {
		t.Error("the test wants both fill and cut")
	}
}

// Random shots in random simple rooms: triangles cover the outline minus its openings, fill
// minus cut is area times mean depth, and a turned floor has the same volume.
func TestCoverageAndRotation(t *testing.T) {
	var made refusals
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		n := rapid.IntRange(3, 12).Draw(t, "corners")
		var xy []float64
		for i := range n { // star-shaped, so it never crosses itself
			a := 2 * math.Pi * (float64(i) + 0.8*rng.Float64()) / float64(n)
			r := 3 + 3*rng.Float64()
			xy = append(xy, r*math.Cos(a), r*math.Sin(a))
		}
		hole := []float64{-0.5, -0.5, 0.5, -0.4, 0.4, 0.6}
		var shots []survey.Point
		for range rapid.IntRange(40, 200).Draw(t, "shots") {
			x, y := 12*rng.Float64()-6, 12*rng.Float64()-6
			shots = append(shots, survey.Point{X: x, Y: y, Z: 0.02 * math.Sin(x) * math.Cos(y)})
		}
		turn := func(angle float64) (Fill, float64, bool) {
			s, c := math.Sincos(angle)
			rot := func(p *survey.Point) { p.X, p.Y = c*p.X-s*p.Y, s*p.X+c*p.Y }
			d := Data{Shots: slices.Clone(shots), Rings: []survey.Ring{ringOf("", survey.Outer, xy...), ringOf("", survey.Hole, hole...)}}
			for i := range d.Shots {
				rot(&d.Shots[i])
			}
			area := 0.0
			for k, r := range d.Rings {
				for i := range r.Points {
					rot(&r.Points[i])
				}
				var v []Vec
				for _, p := range r.Points {
					v = append(v, Vec{X: p.X, Y: p.Y})
				}
				area += RingArea(v) * float64(1-2*k)
			}
			f, err := made.floor(d)
			if err != nil {
				return Fill{}, 0, false // too few shots inside
			}
			return f.FillTo(Horizontal(0.005), nil), area, true
		}
		a, area, ok := turn(0)
		if !ok {
			t.Skip("too few shots in the room")
		}
		if math.Abs(a.Area-area) > 1e-7 {
			t.Fatalf("triangles cover %.12g m², the outline %.12g", a.Area, area)
		}
		if math.Abs(a.Fill-a.Cut-a.Area*a.Mean) > 1e-12 {
			t.Fatalf("fill less cut %g, area times mean %g", a.Fill-a.Cut, a.Area*a.Mean)
		}
		b, _, _ := turn(0.7)
		// The number of pieces of a wall may change if its length is a whole number of
		// spacings, which a turn can tip. The fitted elevations then differ, so only values
		// independent of them are compared to the digit.
		if a.Triangles == b.Triangles && math.Abs(a.Fill-b.Fill) > 1e-7 {
			t.Fatalf("turned floor: fill %.12g, before %.12g", b.Fill, a.Fill)
		}
	})
	made.check(t, 0.2)
}

// Cutting a floor along any line and adding the two parts changes nothing.
func TestVolumeIsAdditiveOverAnyCut(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	var shots []survey.Point
	for range 300 {
		x, y := 10*rng.Float64(), 8*rng.Float64()
		shots = append(shots, survey.Point{X: x, Y: y, Z: 0.05 * rng.NormFloat64()})
	}
	f := build(t, Data{Shots: shots})
	target := Plane{Z: 0.01, SlopeX: 0.002}
	whole := f.FillTo(target, nil)
	for range 50 {
		a := Vec{X: 10 * rng.Float64(), Y: 8 * rng.Float64()}
		angle := math.Pi * rng.Float64()
		left, right := cutAlong(t, f.Regions[0].TIN, a, Vec{X: a.X + math.Cos(angle), Y: a.Y + math.Sin(angle)})
		var fill, cut, area float64
		for _, part := range []*Floor{left, right} {
			if part != nil {
				r := part.FillTo(target, nil)
				fill += r.Fill
				cut += r.Cut
				area += r.Area
			}
		}
		// Cut corners are rounded to a nanometre.
		near(t, "area", area, whole.Area, 1e-7)
		near(t, "fill", fill, whole.Fill, 1e-8)
		near(t, "cut", cut, whole.Cut, 1e-8)
	}
}

// cutAlong returns the parts of t on either side of the line through a and b.
func cutAlong(t *testing.T, tin *TIN, a, b Vec) (left, right *Floor) {
	t.Helper()
	side := func(p survey.Point) float64 { return (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X) }
	part := func(sign float64) *Floor {
		s := survey.Surface{Declared: undeclared}
		for k := range tin.Len() {
			var poly []survey.Point
			for i := range 3 {
				v, w := tin.V[3*k+i], tin.V[3*k+(i+1)%3]
				p := survey.Point{X: tin.At(v).X, Y: tin.At(v).Y, Z: tin.Z[v]}
				q := survey.Point{X: tin.At(w).X, Y: tin.At(w).Y, Z: tin.Z[w]}
				sp, sq := sign*side(p), sign*side(q)
				if sp >= 0 {
					poly = append(poly, p)
				}
				if sp > 0 && sq < 0 || sp < 0 && sq > 0 {
					u := sp / (sp - sq)
					poly = append(poly, survey.Point{X: p.X + u*(q.X-p.X), Y: p.Y + u*(q.Y-p.Y), Z: p.Z + u*(q.Z-p.Z)})
				}
			}
			for i := 2; i < len(poly); i++ {
				n := int32(len(s.Vertices))
				s.Vertices = append(s.Vertices, poly[0], poly[i-1], poly[i])
				s.Faces = append(s.Faces, [3]int32{n, n + 1, n + 2})
			}
		}
		if len(s.Faces) == 0 {
			return nil
		}
		// Corners that rounding moved across a neighbour by a nanometre are not a real
		// overlap, so the parts are taken triangle by triangle.
		out := &Floor{}
		for _, face := range s.Faces {
			one := survey.Surface{Declared: undeclared, Faces: [][3]int32{{0, 1, 2}}}
			for _, v := range face {
				one.Vertices = append(one.Vertices, s.Vertices[v])
			}
			if f, err := FromFaces(one); err == nil {
				out.Regions = append(out.Regions, f.Regions...)
			}
		}
		return out
	}
	return part(1), part(-1)
}

// A room at any angle with shots on its walls: every shot is used.
func TestTurnedRoomWithShotsOnItsWalls(t *testing.T) {
	for angle := range 89 {
		sin, cos := math.Sincos(float64(angle+1) * math.Pi / 180)
		turn := func(p survey.Point) survey.Point {
			p.X, p.Y = cos*p.X-sin*p.Y, sin*p.X+cos*p.Y
			return p
		}
		r := ringOf("", survey.Outer, 0, 0, 10, 0, 10, 6, 0, 6)
		for i := range r.Points {
			r.Points[i] = turn(r.Points[i])
		}
		var shots []survey.Point
		for _, p := range shotsOn(0, 0, 10, 6, 1, sloped) {
			shots = append(shots, turn(p))
		}
		f, err := NewFloor(Data{Shots: shots, Rings: []survey.Ring{r}})
		if err != nil {
			t.Fatalf("turned by %d°: %v", angle+1, err)
		}
		if f.Used != len(shots) {
			t.Errorf("turned by %d°: %d of %d shots used", angle+1, f.Used, len(shots))
		}
		near(t, "fill", f.FillTo(Horizontal(10), nil).Fill, 60*(10-sloped(5, 3)), 1e-7)
	}
}

// A breakline through a corner of the outline counts, however far outside it starts.
func TestBreaklineThroughACorner(t *testing.T) {
	flat := func(_, _ float64) float64 { return 9 }
	for _, c := range []struct{ fx, fy, tx, ty float64 }{{5, -30, 5, 5}, {5, -1, 5, 5}, {5, 0, 5, 5}} {
		var fills []float64
		for _, r := range []survey.Ring{
			ringOf("", survey.Outer, 0, 0, 10, 0, 10, 10, 0, 10),
			ringOf("", survey.Outer, 0, 0, 5, 0, 10, 0, 10, 10, 0, 10),
		} {
			line := survey.Breakline{Points: []survey.Point{{X: c.fx, Y: c.fy, Z: 8}, {X: c.tx, Y: c.ty, Z: 8}}}
			f := build(t, Data{Shots: shotsOn(0.5, 0.75, 9.5, 9.75, 1, flat), Rings: []survey.Ring{r}, Lines: []survey.Breakline{line}})
			fills = append(fills, f.FillTo(Horizontal(10), nil).Fill)
		}
		if fills[0] < 102 {
			t.Errorf("line from (%g, %g): fill %g, as if it were not there", c.fx, c.fy, fills[0])
		}
		near(t, "fill with a corner under the line", fills[1], fills[0], 0.05)
	}
}

// A line that crosses a wall and has a corner exactly on it: the crossing is
// rounded to a nanometre, and the outside must not be taken for floor.
func TestLineCrossesAWallAndTouchesIt(t *testing.T) {
	line := survey.Breakline{Name: "s", Points: []survey.Point{{X: 5, Y: 5, Z: math.NaN()}, {X: 0, Y: 10, Z: math.NaN()}, {X: 8, Y: 5, Z: math.NaN()}}}
	shots := shotsOn(0.013, 0.017, 8, 8, 0.2, sloped)
	f := build(t, Data{Shots: shots, Lines: []survey.Breakline{line}, Rings: []survey.Ring{ringOf("r", survey.Outer, 5, 2, 8, 7, 2, 3)}})
	near(t, "area", f.FillTo(Horizontal(10), nil).Area, 9, 1e-7)
}
