package job

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/survey"
)

// floorOfShots is a list of shots, each x, y, z in metres, and an outline of x, y.
func floorOfShots(shots [][3]float64, outline string) fstest.MapFS {
	var b strings.Builder
	b.WriteString("point,x (m),y (m),z (m)\n")
	for i, p := range shots {
		fmt.Fprintf(&b, "%d,%.9f,%.9f,%.12f\n", 101+i, p[0], p[1], p[2])
	}
	return fstest.MapFS{"floor.csv": {Data: []byte(b.String())}, "walls.csv": {Data: []byte(outline)}}
}

// outlineOf writes the corners of a room and of its columns.
func outlineOf(room [][2]float64, columns ...[][2]float64) string {
	b := "part,ring,x_m,y_m\n"
	for _, c := range room {
		b += fmt.Sprintf("room,outer,%.9f,%.9f\n", c[0], c[1])
	}
	for i, column := range columns {
		for _, c := range column {
			b += fmt.Sprintf("column %d,hole,%.9f,%.9f\n", i+1, c[0], c[1])
		}
	}
	return b
}

// rectangle returns a w by h rectangle with its south-west corner at x, y.
func rectangle(x, y, w, h float64) [][2]float64 {
	return [][2]float64{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

// onGrid lists shots at whole steps from 0 over w by h m.
func onGrid(w, h, step float64, z func(x, y float64) float64) (out [][3]float64) {
	for i := range int(math.Round(w/step)) + 1 {
		for k := range int(math.Round(h/step)) + 1 {
			x, y := float64(i)*step, float64(k)*step
			out = append(out, [3]float64{x, y, z(x, y)})
		}
	}
	return out
}

func flat(z float64) func(x, y float64) float64 { return func(_, _ float64) float64 { return z } }

// tenMetres is the job of the ramp with a target at 10 m.
var tenMetres = strings.Replace(rampJob, `"0m"`, `"10m"`, 1)

// Floors with a textbook solid as fill. Volumes: box w·l·h; wedge w·l·(h1+h2)/2; prism
// half the box; pyramid a third of base × height; frustum h/3·(A1+A2+√(A1·A2)); the
// formulas are elementary geometry. The target is at 0.
func TestFillOfSolids(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name             string
		shots            [][3]float64
		outline          string
		fill, cut, area  float64
		filled           float64 // m² below the target
		least, greatest  float64
		perimeter, slope float64 // slope: of the old floor if it is one plane, else 0
	}{
		{"box", onGrid(4, 3, 1, flat(-0.05)), outlineOf(rectangle(0, 0, 4, 3)), 12 * 0.05, 0, 12, 12, 0.05, 0.05, 14, 0},
		{"box of few shots", [][3]float64{{0, 0, -0.08}, {5, 0, -0.08}, {5, 2, -0.08}, {0, 2, -0.08}}, outlineOf(rectangle(0, 0, 5, 2)), 0.8, 0, 10, 10, 0.08, 0.08, 14, 0},
		{"wedge", onGrid(6, 4, 1, func(x, _ float64) float64 { return -0.02 - 0.08*x/6 }), outlineOf(rectangle(0, 0, 6, 4)), 24 * 0.06, 0, 24, 24, 0.02, 0.1, 20, 0.08 / 6},
		{"wedge to a feather edge", onGrid(6, 4, 1, func(_, y float64) float64 { return -0.12 * y / 4 }), outlineOf(rectangle(0, 0, 6, 4)), 24 * 0.06, 0, 24, 24, 0, 0.12, 20, 0.03},
		{"wedge that the target crosses", onGrid(6, 4, 1, func(x, _ float64) float64 { return 0.02 - 0.01*x }), outlineOf(rectangle(0, 0, 6, 4)), 4 * 4 * 0.02, 2 * 4 * 0.01, 24, 16, -0.02, 0.04, 20, 0.01},
		{"wedge cut across a corner", onGrid(4, 4, 1, func(x, y float64) float64 { return -0.01 * (x + y - 6) }), outlineOf(rectangle(0, 0, 4, 4)),
			// Below the target is the triangle x + y > 6 with legs of 2 m, deepest 0.02 at its corner: 2·0.02/3.
			2 * 0.02 / 3, 0.16*2 + 2*0.02/3, 16, 2, -0.06, 0.02, 16, 0.01 * math.Sqrt2},
		{"pyramid", [][3]float64{{0, 0, 0}, {4, 0, 0}, {4, 4, 0}, {0, 4, 0}, {2, 2, -0.3}}, outlineOf(rectangle(0, 0, 4, 4)), 16 * 0.3 / 3, 0, 16, 16, 0, 0.3, 16, 0},
		{"oblique pyramid", [][3]float64{{0, 0, 0}, {4, 0, 0}, {4, 4, 0}, {0, 4, 0}, {1, 3, -0.24}}, outlineOf(rectangle(0, 0, 4, 4)), 16 * 0.24 / 3, 0, 16, 16, 0, 0.24, 16, 0},
		{"hump", [][3]float64{{0, 0, -0.1}, {4, 0, -0.1}, {4, 4, -0.1}, {0, 4, -0.1}, {2, 2, 0.1}},
			// Above the target is the similar pyramid of half the height: an eighth of the whole.
			outlineOf(rectangle(0, 0, 4, 4)), 16*0.1 - 16*0.2/3 + 16*0.2/3/8, 16 * 0.2 / 3 / 8, 16, 12, -0.1, 0.1, 16, 0},
		{"frustum", [][3]float64{{0, 0, 0}, {4, 0, 0}, {4, 4, 0}, {0, 4, 0}, {1, 1, -0.15}, {3, 1, -0.15}, {3, 3, -0.15}, {1, 3, -0.15}},
			outlineOf(rectangle(0, 0, 4, 4)), 0.15 / 3 * (16 + 4 + 8), 0, 16, 16, 0, 0.15, 16, 0},
		{"trough", onGrid(4, 5, 1, func(x, _ float64) float64 { return -0.1 + 0.05*math.Abs(x-2) }), outlineOf(rectangle(0, 0, 4, 5)), 20 * 0.05, 0, 20, 20, 0, 0.1, 18, 0},
		{"ridge", onGrid(4, 5, 1, func(x, _ float64) float64 { return -0.05 * math.Abs(x-2) }), outlineOf(rectangle(0, 0, 4, 5)), 20 * 0.05, 0, 20, 20, 0, 0.1, 18, 0},
		{"box round a column", onGrid(4, 3, 1, flat(-0.05)), outlineOf(rectangle(0, 0, 4, 3), rectangle(1.25, 1.25, 0.5, 0.5)), 11.75 * 0.05, 0, 11.75, 11.75, 0.05, 0.05, 16, 0},
		{"wedge round two columns", onGrid(6, 4, 1, func(x, _ float64) float64 { return -0.02 - 0.08*x/6 }),
			// Each column removes its base times the depth in its middle: at x 1.5
			// and 4.5 m, 40 and 80 mm.
			outlineOf(rectangle(0, 0, 6, 4), rectangle(1.25, 1.25, 0.5, 0.5), rectangle(4.25, 2.25, 0.5, 0.5)), 1.44 - 0.25*(0.04+0.08), 0, 23.5, 23.5, 0.02, 0.1, 24, 0.08 / 6},
		{"L", onGrid(4, 4, 1, flat(-0.03)), outlineOf([][2]float64{{0, 0}, {4, 0}, {4, 2}, {2, 2}, {2, 4}, {0, 4}}), 12 * 0.03, 0, 12, 12, 0.03, 0.03, 16, 0},
		{"triangle", [][3]float64{{0, 0, -0.03}, {4, 0, -0.06}, {0, 3, -0.09}},
			// Linear over a triangle: the area times the mean of the corners.
			outlineOf([][2]float64{{0, 0}, {4, 0}, {0, 3}}), 6 * 0.06, 0, 6, 6, 0.03, 0.09, 12, math.Hypot(0.03/4, 0.06/3)},
		{"outline clockwise", onGrid(4, 3, 1, flat(-0.05)), outlineOf([][2]float64{{0, 0}, {0, 3}, {4, 3}, {4, 0}}), 0.6, 0, 12, 12, 0.05, 0.05, 14, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			var up [][3]float64 // on a datum 10 m higher: a height of exactly 0 may mean no height
			for _, p := range c.shots {
				up = append(up, [3]float64{p[0], p[1], p[2] + 10})
			}
			r := solved(t, tenMetres, floorOfShots(up, c.outline))
			f := r.Filled.Fill
			near(t, "fill", f.Fill, c.fill)
			near(t, "cut", f.Cut, c.cut)
			near(t, "area", f.Area, c.area)
			near(t, "area below the target", f.FillArea, c.filled)
			near(t, "area above it", f.CutArea, c.area-c.filled)
			near(t, "min depth", f.Least, c.least)
			near(t, "max depth", f.Greatest, c.greatest)
			near(t, "walls", r.Floor.Perimeter, c.perimeter)
			near(t, "mean depth", f.Mean, (c.fill-c.cut)/c.area)
			if c.slope != 0 || c.least == c.greatest {
				near(t, "area along the old floor", f.Sloped, c.area*math.Hypot(1, c.slope))
			}
			sumBands(t, r)
		})
	}
}

// sumBands checks that the bands of depth add up to the whole floor.
func sumBands(t *testing.T, r *Result) {
	t.Helper()
	f := r.Filled.Fill
	area, volume := 0.0, 0.0
	for i, b := range f.Bands {
		area, volume = area+b.Area, volume+b.Volume
		if !(b.From < b.To) || i > 0 && b.From < f.Bands[i-1].To {
			t.Errorf("band %d is from %g to %g after %+v", i, b.From, b.To, f.Bands[max(0, i-1)])
		}
		if mean := b.Volume / b.Area; mean < b.From-1e-9 || mean > b.To+1e-9 {
			t.Errorf("band from %g to %g has a mean of %g", b.From, b.To, mean)
		}
	}
	isWithin(t, "area of the bands", area, f.Area, 1e-8*f.Area)
	near(t, "volume of the bands", volume, f.Fill-f.Cut)
}

// A step divides the floor: each side keeps its elevation up to the line. By hand 3 × 4
// m at 20 mm and 3 × 4 m at 70 mm.
func TestStepKeepsBothSides(t *testing.T) {
	t.Parallel()
	var shots [][3]float64
	for _, x := range []float64{0.2, 1.5, 2.8, 3.2, 4.5, 5.8} {
		for _, y := range []float64{0.2, 2, 3.8} {
			z := -0.02
			if x > 3 {
				z = -0.07
			}
			shots = append(shots, [3]float64{x, y, z})
		}
	}
	files := floorOfShots(shots, outlineOf(rectangle(0, 0, 6, 4))+"step,line,3,0\nstep,line,3,4\n")
	r := solved(t, rampJob, files)
	near(t, "fill", r.Filled.Fill.Fill, 12*0.02+12*0.07)
	near(t, "step", r.Floor.StepLength, 4)
	near(t, "walls", r.Floor.Perimeter, 20)
	if n := len(r.Filled.Fill.Regions); n != 2 {
		t.Fatalf("%d regions, want 2", n)
	}
	for _, f := range r.Filled.Fill.Regions {
		if f.Least != f.Greatest && math.Abs(f.Least-f.Greatest) > 1e-9 {
			t.Errorf("a side of the step from %g to %g deep, want one depth", f.Least, f.Greatest)
		}
		near(t, "area of a side", f.Area, 12)
	}

	// Without the line the same shots are a ramp between x 2.8 and 3.2: the same volume by symmetry.
	r = solved(t, rampJob, floorOfShots(shots, outlineOf(rectangle(0, 0, 6, 4))))
	near(t, "fill without the step", r.Filled.Fill.Fill, 12*0.02+12*0.07)
	if len(r.Filled.Fill.Regions) > 1 {
		t.Errorf("%d regions without a line", len(r.Filled.Fill.Regions))
	}
}

// A pit with its own outline keeps its bottom: 1 m² at 150 mm in 12 m² at 40 mm.
func TestPitOfItsOwn(t *testing.T) {
	t.Parallel()
	shots := onGrid(4, 3, 1, flat(-0.04))
	for _, p := range [][2]float64{{1.2, 1.2}, {1.8, 1.2}, {1.8, 1.8}, {1.2, 1.8}} {
		shots = append(shots, [3]float64{p[0], p[1], -0.15})
	}
	outline := outlineOf(rectangle(0, 0, 4, 3))
	for _, c := range rectangle(1.1, 1.1, 0.8, 0.8) {
		outline += fmt.Sprintf("pit,outer,%g,%g\n", c[0], c[1])
	}
	r := solved(t, rampJob, floorOfShots(shots, outline))
	near(t, "fill", r.Filled.Fill.Fill, (12-0.64)*0.04+0.64*0.15)
	near(t, "area", r.Filled.Fill.Area, 12)
	near(t, "max depth", r.Filled.Fill.Greatest, 0.15)
}

// Without an outline the floor is the hull of the shots, and a warning gives the area
// that may be missing: half a spacing along 14 m of edge. A spacing is the side of the
// square of one shot, 20 shots in 12 m²: √0.6 m.
func TestFloorWithoutOutline(t *testing.T) {
	t.Parallel()
	files := floorOfShots(onGrid(4, 3, 1, flat(-0.05)), "")
	delete(files, "walls.csv")
	r := solved(t, strings.Replace(rampJob, "outline = \"walls.csv\"\n", "", 1), files)
	near(t, "area", r.Filled.Fill.Area, 12)
	near(t, "fill", r.Filled.Fill.Fill, 0.6)
	notes := aboutTopic(r, survey.AboutOrder)
	if !strings.Contains(notes, "no walls given: the line around the outermost shots is used. Walls half a shot spacing (0.387 m) outside it would add 5.42 m² (45 %) of floor and 0.27 m³ of fill") {
		t.Errorf("warnings of the order: %s", notes)
	}
}

// aboutTopic lists the warnings of a result about a topic.
func aboutTopic(r *Result, topic survey.Topic) string {
	var out []string
	for _, n := range r.Notes {
		if n.Kind == survey.Warning && n.Topic == topic {
			out = append(out, n.In(styleOf(r)))
		}
	}
	return strings.Join(out, "\n")
}

// A floor without shots at the walls follows its plane to them, and the estimated area
// is reported: shots 0.5 m inside walls of 5 × 4 m on one plane.
func TestPlaneIsCarriedToTheWalls(t *testing.T) {
	t.Parallel()
	z := func(x, y float64) float64 { return -0.05 - 0.004*x - 0.006*y }
	var shots [][3]float64
	for _, x := range []float64{0.5, 1.5, 2.5, 3.5, 4.5} {
		for _, y := range []float64{0.5, 1.5, 2.5, 3.5} {
			shots = append(shots, [3]float64{x, y, z(x, y)})
		}
	}
	r := solved(t, rampJob, floorOfShots(shots, outlineOf(rectangle(0, 0, 5, 4))))
	f := r.Filled.Fill
	near(t, "fill", f.Fill, 20*-z(2.5, 2))
	near(t, "min depth", f.Least, 0.05)
	near(t, "max depth", f.Greatest, -z(5, 4))
	if f.FittedArea < 20-12-1e-9 || f.FittedArea > 20 {
		t.Errorf("%g m² estimated, want at least the strip of 8 m² along the walls", f.FittedArea)
	}
	if f.FittedFill <= 0 || f.FittedFill > f.Fill {
		t.Errorf("%g of %g m³ estimated", f.FittedFill, f.Fill)
	}
}
