package plot

import (
	"errors"
	"io"
	"math"
	"slices"
	"testing"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// errorOf returns an ErrorMap of a floor with a ± that depends on the place alone.
func errorOf(f *surface.Floor, at func(surface.Vec) float64) ErrorMap {
	return ErrorMap{Floor: f, Error: func(_ int, places []surface.Vec) []float64 {
		out := make([]float64, len(places))
		for i, p := range places {
			out[i] = at(p)
		}
		return out
	}}
}

// A ± that grows evenly from 1 mm at the left wall to 7 mm at the right one, 6 m off, has by hand
// 1/12 of the floor in each half millimetre.
func TestErrorMap(t *testing.T) {
	t.Parallel()
	f := rectangle(6, 4, 3, 2, func(x, y float64) float64 { return 10 + 0.01*x })
	f.Used = 12
	m := errorOf(f, func(p surface.Vec) float64 { return 0.001 * (1 + p.X) })
	m.Title, m.Next = "Store", []surface.Vec{{X: 5, Y: 3}, {X: 4, Y: 1}}
	d := m.Map()
	got := texts(t, written(t, d, "svg"))
	for _, want := range []string{
		"Store", "± of the depth, mm: 9 of 10 places are within it", "min ±1 mm", "max ±7 mm", "next shots, the best first",
		"0 shots", "1", "1.5", "2", "3", "4", "6", "8", "8%", "17%", "33%",
	} {
		if !has(got, want) {
			t.Errorf("no %q among %q", want, got)
		}
	}
	for _, r := range d.Floor.Regions {
		for v, z := range r.TIN.Z {
			if want := -0.001 * (1 + r.TIN.At(int32(v)).X); math.Abs(z-want) > 1e-15 {
				t.Fatalf("%g at %v, want %g", z, r.TIN.At(int32(v)), want)
			}
		}
	}
	if f.Regions[0].TIN.Z[0] != 10 {
		t.Error("the floor itself has changed")
	}
	m.Units = unit.Style{Imperial: true}
	got = texts(t, written(t, m.Map(), "svg"))
	for _, want := range []string{"± of the depth, inches: 9 of 10 places are within it", `min ±3/64"`, `max ±1/4"`, "1/32", "3/64", "1/16", "3/32", "1/8", "3/16", "1/4", "3/8"} {
		if !has(got, want) {
			t.Errorf("no %q among %q", want, got)
		}
	}
	even := texts(t, written(t, errorOf(f, func(surface.Vec) float64 { return 0.0024 }).Map(), "svg"))
	if !has(even, "±2.4 mm all over") {
		t.Errorf("no ± all over among %q", even)
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1), -0.001} {
		if err := errorOf(f, func(surface.Vec) float64 { return bad }).Map().write(); !errors.Is(err, ErrNoFloor) {
			t.Errorf("± of %g: %v, want no map", bad, err)
		}
	}
	if err := (ErrorMap{}).Map().write(); !errors.Is(err, ErrNoFloor) {
		t.Errorf("without a floor: %v, want no map", err)
	}
}

// Beside a table the map has its colours and the next shots, and no more.
func TestSmallMap(t *testing.T) {
	t.Parallel()
	f := rectangle(6, 4, 3, 2, func(x, y float64) float64 { return 10 + 0.01*x })
	m := errorOf(f, func(p surface.Vec) float64 { return 0.001 * (1 + p.X) })
	m.Title, m.Next = "Store", []surface.Vec{{X: 5, Y: 3}, {X: 4, Y: 1}}
	d := (*SmallMap)(m.Map())
	got := texts(t, written(t, d, "svg"))
	for _, want := range []string{"± of the depth, mm", "max ±7 mm", "next shots, the best first", "1", "2", "8"} {
		if !has(got, want) {
			t.Errorf("no %q among %q", want, got)
		}
	}
	for _, not := range []string{"min ±1 mm", "0 shots", planEntry.text, "y of the survey"} {
		if has(got, not) {
			t.Errorf("%q among %q", not, got)
		}
	}
	// By hand: 240 pt wide, less margins and axis 186 for 6.24 m, and so 126 pt for 4.24 m.
	if h := d.Height(240); math.Abs(float64(h)-(186*4.24/6.24+axisRoom+barRoom+entryLead+margin)) > 1e-6 {
		t.Errorf("%g pt high", h)
	}
}

func (m *DepthMap) write() error { return Write(io.Discard, m, Output{Format: "svg"}) }

// Halving edges keeps the area and the outline, leaves no gap between neighbours, and no edge too
// long.
func TestRefinedTriangles(t *testing.T) {
	t.Parallel()
	for name, f := range map[string]*surface.Floor{"lattice": rectangle(6, 4, 3, 2, func(x, y float64) float64 { return 10 }), "pit": flatWithPit(), "sliver": rectangle(6, 0.01, 1, 1, func(x, y float64) float64 { return 10 })} {
		for _, r := range f.Regions {
			const longest = 0.4
			got := refined(r.TIN, longest)
			if a, b := got.PlanArea(), r.TIN.PlanArea(); math.Abs(a-b) > 1e-12*b {
				t.Errorf("%s: %g m², want %g", name, a, b)
			}
			border, want := 0.0, 0.0
			for h := range int32(len(got.V)) {
				a, b := got.At(got.V[h]), got.At(got.V[surface.Next(h)])
				if a.Distance(b) > longest {
					t.Fatalf("%s: an edge of %g m", name, a.Distance(b))
				}
				switch w := got.Twin[h]; {
				case w < 0:
					border += a.Distance(b)
				case got.Twin[w] != h || got.V[w] != got.V[surface.Next(h)]:
					t.Fatalf("%s: half-edge %d and its twin %d do not meet", name, h, w)
				}
			}
			for _, ring := range r.Rings {
				for i, p := range ring {
					want += p.Distance(ring[(i+1)%len(ring)])
				}
			}
			if math.Abs(border-want) > 1e-9 {
				t.Errorf("%s: %g m of edge, want %g", name, border, want)
			}
		}
	}
}

// The limits hold the ± on both sides, and the inks darken evenly, so that a print in grey has the
// order too.
func TestErrorLevels(t *testing.T) {
	t.Parallel()
	mm := func(us bool, of ...float64) (out []float64) {
		for _, v := range of {
			if us {
				v *= inch / 0.001
			}
			out = append(out, 0.001*v)
		}
		return out
	}
	for _, c := range []struct {
		least, greatest float64
		us              bool
		want            []float64
	}{
		{0.0018, 0.011, false, mm(false, 1.5, 2, 3, 4, 6, 8, 10, 15)},
		{0.002, 0.003, false, mm(false, 2, 3)},
		{0, 0.0004, false, mm(false, 0, 0.5)},
		{0.0024, 0.0024, false, mm(false, 2, 3)},
		{0.0024, 0.0170, true, mm(true, 0.09375, 0.125, 0.1875, 0.25, 0.375, 0.5, 0.75)},
	} {
		got := ErrorLevels(c.least, c.greatest, unit.Style{Imperial: c.us})
		if !slices.EqualFunc(got, c.want, func(a, b float64) bool { return math.Abs(a-b) < 1e-12 }) {
			t.Errorf("from %g to %g m: %v, want %v", c.least, c.greatest, got, c.want)
		}
	}
	for n := 2; n <= 8; n++ {
		for i := 1; i < n; i++ {
			if a, b := lightness(ramp(errorInks, i-1, n)), lightness(ramp(errorInks, i, n)); a-b < 6 {
				t.Errorf("ink %d of %d: lightness %.0f after %.0f", i, n, b, a)
			}
		}
	}
}
