package plot

import (
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

func TestLoadMapOfALevelFill(t *testing.T) {
	t.Parallel()
	f := rectangle(6, 4, 3, 2, func(x, y float64) float64 { return 10 })
	// 100 mm of 2,400 kg/m³ is 240 kg/m² (arithmetic), × 9.80665 m/s² = 2.354 kN/m²
	// (standard gravity, 3rd CGPM, 1901).
	m := &LoadMap{Title: "Store", Floor: f, Target: surface.Horizontal(10.1), UnitWeight: 2400}
	got := texts(t, written(t, m, "svg"))
	for _, want := range []string{
		"Store", "240 kg/m² (2.35 kPa) all over", "Added dead load, kg/m² (100 kg/m² = 0.98 kPa)",
		"mean 240 kg/m² (2.35 kPa) over the area poured, max 240 kg/m² (2.35 kPa)",
		"fill taken at 2,400 kg/m³; wet it weighs a little more",
		"Suspended, framed or settled floor: a licensed engineer first",
	} {
		if !has(got, want) {
			t.Errorf("no %q among %q", want, got)
		}
	}
	// 4 in of 150 lb/ft³ is 50 lb/ft² (arithmetic); one is 47.88026 Pa (NIST SP 811,
	// appendix B, from memory), so 50 are 2.39 kPa and 10 are 0.48.
	m = &LoadMap{Floor: f, Target: surface.Horizontal(10 + 4*0.0254), UnitWeight: 150 * loadSize(unit.Style{Imperial: true}) / foot, Units: unit.Style{Imperial: true}}
	got = texts(t, written(t, m, "svg"))
	for _, want := range []string{"50.0 lb/ft² (2.39 kPa) all over", "Added dead load, lb/ft² (10 lb/ft² = 0.48 kPa)", "fill taken at 150 lb/ft³; wet it weighs a little more"} {
		if !has(got, want) {
			t.Errorf("no %q among %q", want, got)
		}
	}
}

// The mean is that of the order, over the poured area, and cut has no load.
func TestLoadMapAgreesWithTheOrder(t *testing.T) {
	t.Parallel()
	f, target := hall(1, surface.Vec{}), surface.Horizontal(99.83*foot)
	fill := f.FillTo(target, nil)
	load, err := order.Floor{Net: fill.Fill, Area: fill.FillArea, Greatest: fill.Greatest}.Load(2300)
	if err != nil {
		t.Fatal(err)
	}
	m := &LoadMap{Floor: f, Target: target, UnitWeight: 2300}
	got := texts(t, written(t, m, "svg"))
	for _, want := range []string{
		"mean " + bothLoads(load.Mean, unit.Style{}) + " over the area poured, max " + bothLoads(load.Most, unit.Style{}),
		"hatched: floor above the target, nothing poured, no load",
		"max " + bothLoads(load.Most, unit.Style{}),
		"0", "20", "200",
	} {
		if !has(got, want) {
			t.Errorf("no %q among %q", want, got)
		}
	}
	for _, s := range got {
		if strings.Contains(s, "−") {
			t.Errorf("%q: a load below nothing", s)
		}
	}
	// At the weight of the heaviest of several materials the mean would be too high.
	m.Heaviest = true
	if got := texts(t, written(t, m, "svg")); !has(got, "max "+bothLoads(load.Most, unit.Style{})) || slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, "mean ") }) {
		t.Errorf("the heaviest of several materials: %q", got)
	}
	m.Heaviest = false
	m.Target = surface.Horizontal(29)
	if got := texts(t, written(t, m, "svg")); !has(got, "no load") {
		t.Errorf("nothing is poured, and %q", got)
	}
}

func TestLoadLevelsAreRound(t *testing.T) {
	t.Parallel()
	psf := loadSize(unit.Style{Imperial: true})
	for _, c := range []struct {
		least, greatest float64
		u               unit.Style
		want            []float64
	}{
		{12, 186, unit.Style{}, []float64{0, 20, 40, 60, 80, 100, 120, 140, 160, 180, 200}},
		{240, 240, unit.Style{}, []float64{240, 241}},
		{0, 0, unit.Style{}, []float64{0, 1}},
		{2.4 * psf, 52 * psf, unit.Style{Imperial: true}, []float64{0, 10 * psf, 20 * psf, 30 * psf, 40 * psf, 50 * psf, 60 * psf}},
	} {
		got := LoadLevels(c.least, c.greatest, c.u)
		if !slices.EqualFunc(got, c.want, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }) {
			t.Errorf("%g to %g: %v, want %v", c.least, c.greatest, got, c.want)
		}
	}
}

func TestLoadMapRefuses(t *testing.T) {
	t.Parallel()
	f := hall(4, surface.Vec{})
	for _, w := range []float64{0, -2300, math.NaN(), math.Inf(1)} {
		var e *survey.Error
		err := Write(io.Discard, &LoadMap{Floor: f, Target: surface.Horizontal(31), UnitWeight: w}, Output{Format: "svg"})
		if !errors.As(err, &e) || e.Element != "unit weight" {
			t.Errorf("unit weight %g: %v", w, err)
		}
	}
	if err := Write(io.Discard, &LoadMap{UnitWeight: 2300}, Output{Format: "svg"}); !errors.Is(err, ErrNoFloor) {
		t.Errorf("no floor: %v", err)
	}
}
