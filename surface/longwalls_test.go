package surface

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/survey"
)

const foot = 0.3048

// measured returns r with the elevation z at its corners, all or those named.
func measured(r survey.Ring, z func(x, y float64) float64, corners ...int) survey.Ring {
	r.Points = slices.Clone(r.Points)
	for i := range r.Points {
		if len(corners) == 0 || slices.Contains(corners, i) {
			p := &r.Points[i]
			p.Z = z(p.X, p.Y)
		}
	}
	return r
}

// dish is 3 in deep in the middle of a room of 20 × 20 ft: z = c r² from the middle.
func dish(x, y float64) float64 {
	u, v := x-10*foot, y-10*foot
	return 0.25 * foot * (u*u + v*v) / (200 * foot * foot)
}

// dishShots are on a grid of 4 ft that stops 2 ft short of the walls.
func dishShots() []survey.Point { return shotsOn(2*foot, 2*foot, 18*foot, 18*foot, 4*foot, dish) }

func dishRoom() survey.Ring {
	return ringOf("room", survey.Outer, 0, 0, 20*foot, 0, 20*foot, 20*foot, 0, 20*foot)
}

// Closed forms, all derived: the mean of c r² over a square of side 20 ft is c 20²/6. Flat
// triangles between shots h apart in x and y are above the dish by c h²/3 on average (x(h−x)
// over a right triangle, in x and in y): 2.0 mm here, 3 % of the fill. The survey cannot
// show the volume better. A straight wall is 38 mm above the dish at its middle.
func TestDishWithAndWithoutItsCorners(t *testing.T) {
	const c, side, h = 0.25 * foot / (200 * foot * foot), 20 * foot, 4 * foot
	want := side * side * (0.3*foot - c*side*side/6)
	chord := side * side * c * h * h / 3
	corners := []survey.Point{{X: 0, Y: 0}, {X: side, Y: 0}, {X: side, Y: side}, {X: 0, Y: side}}
	for i := range corners {
		corners[i].Z = dish(corners[i].X, corners[i].Y)
	}
	for _, d := range []struct {
		name string
		data Data
	}{
		{"corners not measured", Data{Shots: dishShots(), Rings: []survey.Ring{dishRoom()}}},
		{"corners of the outline measured", Data{Shots: dishShots(), Rings: []survey.Ring{measured(dishRoom(), dish)}}},
		{"shots at the corners", Data{Shots: append(dishShots(), corners...), Rings: []survey.Ring{dishRoom()}}},
		{"two corners measured", Data{Shots: dishShots(), Rings: []survey.Ring{measured(dishRoom(), dish, 0, 1)}}},
	} {
		f := build(t, d.data)
		r := f.FillTo(Horizontal(0.3*foot), nil)
		near(t, d.name+": fill, m³", r.Fill, want, 1.25*chord)
		near(t, d.name+": estimated area", r.FittedArea, (20*20-16*16)*foot*foot, 1e-9)
		if r.FittedFill < 0.2*r.Fill {
			t.Errorf("%s: %g of %g m³ is estimated", d.name, r.FittedFill, r.Fill)
		}
	}
	f := build(t, Data{Shots: dishShots(), Rings: []survey.Ring{measured(dishRoom(), dish)}})
	places := 0
	for v, z := range f.Regions[0].TIN.Z {
		if p := f.Regions[0].TIN.At(int32(v)); f.Regions[0].TIN.Fitted[v] {
			places++
			near(t, fmt.Sprintf("elevation at the wall, %v", p), z, dish(p.X, p.Y), 0.004)
		}
	}
	if places != 4*4 { // walls of 20 ft in pieces of 4 ft, the side of the square of a shot
		t.Errorf("%d places on the walls, want 16", places)
	}
}

// A plane floor gives that plane whichever corners are measured, in rooms turned on the grid
// and in corridors with shots in a row, which do not determine the slope across.
func TestPlaneFloorWithAnyCornersMeasured(t *testing.T) {
	plane := func(x, y float64) float64 { return 9.9 + 0.011*x - 0.007*y }
	for _, size := range []struct{ w, h, step, sway float64 }{{8, 6, 1, 0}, {12, 1.2, 1, 0.002}} {
		for corners := range 16 {
			for _, angle := range []float64{0, 0.37} {
				sin, cos := math.Sincos(angle)
				turn := func(x, y float64) (float64, float64) { return cos*x - sin*y, sin*x + cos*y }
				ring := survey.Ring{Name: "room"}
				for i, p := range [][2]float64{{0, 0}, {size.w, 0}, {size.w, size.h}, {0, size.h}} {
					x, y := turn(p[0], p[1])
					z := plane(x, y)
					if corners&(1<<i) == 0 {
						z = math.NaN()
					}
					ring.Points = append(ring.Points, survey.Point{X: x, Y: y, Z: z})
				}
				d := Data{Rings: []survey.Ring{ring}}
				if size.sway > 0 && corners != 15 {
					continue // a slope that shots in a row do not show is assumed level
				}
				for i, p := range shotsOn(0.6, 0.6, size.w-0.6, size.h-0.6, size.step, plane) {
					p.X, p.Y = turn(p.X, p.Y+size.sway*math.Sin(float64(i)))
					p.Z = plane(p.X, p.Y)
					d.Shots = append(d.Shots, p)
				}
				f := build(t, d)
				x, y := turn(size.w/2, size.h/2)
				r := f.FillTo(Horizontal(11), nil)
				name := fmt.Sprintf("%g × %g m, corners %04b, turned %g", size.w, size.h, corners, angle)
				near(t, name+": fill", r.Fill, size.w*size.h*(11-plane(x, y)), 1e-7)
				for v, z := range f.Regions[0].TIN.Z {
					p := f.Regions[0].TIN.At(int32(v))
					near(t, fmt.Sprintf("%s: elevation at %v", name, p), z, plane(p.X, p.Y), 1e-9)
				}
				if r.FittedArea < 0.2*r.Area {
					t.Errorf("%s: %g of %g m² is estimated, want the strip at the walls", name, r.FittedArea, r.Area)
				}
			}
		}
	}
}

// Six shots along the middle of a corridor that sags by 30 mm and falls across: the measured
// corners show the fall across, the shots the sag.
func TestCorridorSagsBetweenItsMeasuredCorners(t *testing.T) {
	sag := func(x, y float64) float64 { return 10 + 0.02*y - 0.03*(1-(x-5)*(x-5)/25) }
	d := corridor(rand.New(rand.NewPCG(1, 31)), 0.002, 0, sag)
	d.Rings[0] = measured(d.Rings[0], sag)
	f := build(t, d)
	places := 0
	for v, z := range f.Regions[0].TIN.Z {
		if p := f.Regions[0].TIN.At(int32(v)); f.Regions[0].TIN.Fitted[v] {
			places++
			near(t, fmt.Sprintf("elevation at the wall, %v", p), z, sag(p.X, p.Y), 0.009)
		}
	}
	if places < 8 {
		t.Errorf("%d places on the walls, want some on each", places)
	}
	if len(f.Notes) != 0 {
		t.Errorf("notes %v, want none", f.Notes)
	}
}

// Elevations measured at the wall are kept to the last bit, also on an uneven floor.
func TestMeasuredCornersKeepTheirElevation(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 31))
	rough := func(_, _ float64) float64 { return 10 + 0.01*rng.NormFloat64() }
	d := Data{Shots: shotsOn(0.5, 0.5, 9.5, 7.5, 1, rough), Rings: []survey.Ring{measured(ringOf("room", survey.Outer, 0, 0, 10, 0, 10, 8, 0, 8), rough)}}
	d.Shots = append(d.Shots, survey.Point{X: 5, Y: 0, Z: rough(5, 0)})
	given := map[Vec]float64{}
	for _, p := range append(slices.Clone(d.Shots), d.Rings[0].Points...) {
		given[Vec{X: p.X, Y: p.Y}] = p.Z
	}
	tin := build(t, d).Regions[0].TIN
	kept := 0
	for v, z := range tin.Z {
		if want, ok := given[tin.At(int32(v))]; ok {
			kept++
			if z != want || tin.Fitted[v] {
				t.Errorf("%v: elevation %v, estimated %v, want %v as measured", tin.At(int32(v)), z, tin.Fitted[v], want)
			}
		} else if !tin.Fitted[v] {
			t.Errorf("%v: not measured and not estimated", tin.At(int32(v)))
		}
	}
	if kept != len(given) {
		t.Errorf("%d of %d measured places are in the surface", kept, len(given))
	}
}

// wallPlaces returns how many places of a floor of one region are estimated on y = 0.
func wallPlaces(f *Floor) int {
	n, tin := 0, f.Regions[0].TIN
	for v, fitted := range tin.Fitted {
		if fitted && tin.At(int32(v)).Y == 0 {
			n++
		}
	}
	return n
}

// A wall is long if three shots are nearer to its middle than its ends. Shots as near as its
// ends, and shots behind another wall, do not count.
func TestWhichWallsAreLong(t *testing.T) {
	level := func(_, _ float64) float64 { return 10 }
	hall := measured(ringOf("hall", survey.Outer, 0, 0, 8, 0, 8, 30, 0, 30), level)
	// Behind a thin wall that hides the south wall from the shots on the other side.
	split := measured(ringOf("hall", survey.Outer, 0, 0, 8, 0, 8, 30, 0, 30, 0, 2.1, 7.9, 2.1, 7.9, 2, 0, 2), level)
	// The middle third of a wall of 12 m beside close shots, in a room with few.
	thirds := measured(ringOf("hall", survey.Outer, 0, 0, 4, 0, 8, 0, 12, 0, 12, 12, 0, 12), level)
	// Three shots in sight, and several hundred nearer ones that are not.
	crowd := []float64{0.5, 1, 0.6, 1.2, 7.5, 1}
	for _, p := range shotsOn(3, 2.2, 5, 3.2, 0.1, level) {
		crowd = append(crowd, p.X, p.Y)
	}
	for _, c := range []struct {
		name string
		ring survey.Ring
		xy   []float64
		want int // at the south wall
	}{
		{"a crowd behind a wall", split, crowd, 7},
		{"two shots", hall, []float64{3, 3, 5, 3}, 0},
		{"three", hall, []float64{3, 1, 4, 1, 5, 1}, 1},
		{"the third as near as the ends", hall, []float64{3, 3, 5, 3, 4, 4}, 0},
		{"the third a millimetre nearer", hall, []float64{3, 3, 5, 3, 4, 3.999}, 1},
		{"the third behind a wall", split, []float64{3, 1, 5, 1, 4, 3}, 0},
		{"close shots in a room with few", thirds, []float64{5, 0.5, 6, 0.6, 7, 0.5, 6, 9}, 1},
	} {
		d := Data{Rings: []survey.Ring{c.ring}}
		for i := 0; i < len(c.xy); i += 2 {
			d.Shots = append(d.Shots, survey.Point{X: c.xy[i], Y: c.xy[i+1], Z: 10})
		}
		if got := wallPlaces(build(t, d)); got != c.want {
			t.Errorf("%s: %d places on the wall are estimated, want %d", c.name, got, c.want)
		}
	}
}

// A wall measured as densely as the floor stays as given, and so do a breakline along a wall
// and the hull of the shots.
func TestWallsThatStayAsGiven(t *testing.T) {
	dense := survey.Ring{Name: "room"}
	for _, side := range [][4]float64{{0, 0, 1, 0}, {8, 0, 0, 1}, {8, 8, -1, 0}, {0, 8, 0, -1}} {
		for i := range 8 {
			x, y := side[0]+side[2]*float64(i), side[1]+side[3]*float64(i)
			dense.Points = append(dense.Points, survey.Point{X: x, Y: y, Z: 0.004 * x * y})
		}
	}
	floor := func(x, y float64) float64 { return 0.004 * x * y }
	corner := func(x, y float64) survey.Point { return survey.Point{X: x, Y: y, Z: floor(x, y)} }
	sill := survey.Breakline{Name: "sill", Points: []survey.Point{corner(0, 0), corner(8, 0)}}
	shots := shotsOn(0.5, 0.5, 7.5, 7.5, 1, floor)
	corners := measured(ringOf("room", survey.Outer, 0, 0, 8, 0, 8, 8, 0, 8), floor)
	f := build(t, Data{Shots: shots, Rings: []survey.Ring{dense}})
	near(t, "estimated beside a dense wall", f.FillTo(Horizontal(1), nil).FittedArea, 0, 0)
	f = build(t, Data{Shots: shots, Rings: []survey.Ring{corners}, Lines: []survey.Breakline{sill}})
	near(t, "places on a wall along a breakline", float64(wallPlaces(f)), 0, 0)
	if r := f.FillTo(Horizontal(1), nil); r.FittedArea == 0 {
		t.Error("nothing is estimated at the other walls")
	}
	// The ends of a line without elevations, inside, are always estimated.
	line := survey.Breakline{Name: "line", Points: []survey.Point{{X: 3.7, Y: 4.2, Z: math.NaN()}, {X: 4.3, Y: 4.2, Z: math.NaN()}}}
	hull := Data{Shots: append(shots, corners.Points...)}
	near(t, "estimated in the hull", build(t, hull).FillTo(Horizontal(1), nil).FittedArea, 0, 0)
	hull.Lines = []survey.Breakline{line}
	near(t, "places on the hull", float64(wallPlaces(build(t, hull))), 0, 0)
}

// The rows of the shots and of the outline may be in any order; the outline may start at any
// corner and run in either direction.
func TestLongWallsDoNotDependOnOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 31))
	rough := func(x, y float64) float64 { return dish(x, y) + 0.003*rng.NormFloat64() }
	d := Data{Shots: shotsOn(0.5, 0.5, 9.5, 7.5, 1, rough), Rings: []survey.Ring{measured(ringOf("room", survey.Outer, 0, 0, 10, 0.3, 10.2, 8, 0.1, 8.1), rough)}}
	at := func(f *Floor) map[Vec]float64 {
		out := map[Vec]float64{}
		for v, z := range f.Regions[0].TIN.Z {
			out[f.Regions[0].TIN.At(int32(v))] = z
		}
		return out
	}
	want := build(t, d)
	for i := range 8 {
		d.Shots, d.Rings = slices.Clone(d.Shots), slices.Clone(d.Rings)
		rng.Shuffle(len(d.Shots), func(i, j int) { d.Shots[i], d.Shots[j] = d.Shots[j], d.Shots[i] })
		p := d.Rings[0].Points
		p = append(slices.Clone(p[i%4:]), p[:i%4]...)
		if i >= 4 {
			slices.Reverse(p)
		}
		d.Rings[0].Points = p
		f := build(t, d)
		near(t, "fill", f.FillTo(Horizontal(1), nil).Fill, want.FillTo(Horizontal(1), nil).Fill, 1e-12)
		got := at(f)
		for p, z := range at(want) {
			if got[p] != z {
				t.Errorf("order %d: elevation at %v is %v, want %v", i, p, got[p], z)
			}
		}
	}
}
