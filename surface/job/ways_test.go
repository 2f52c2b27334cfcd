package job

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/surface/order"
)

func wayOf(t *testing.T, r *Result, name string) order.Way {
	t.Helper()
	i := slices.IndexFunc(r.Ways, func(w order.Way) bool { return w.Name == name })
	if i < 0 {
		var names []string
		for _, w := range r.Ways {
			names = append(names, w.Name)
		}
		t.Fatalf("no way %q among %q", name, names)
	}
	return r.Ways[i]
}

// The ways to fill are compared on one floor: for each way, the part that its layers
// fill and the part that they cannot add up to the fill, and its mass is the sum of its
// layers.
func TestWaysAddUp(t *testing.T) {
	t.Parallel()
	r := solved(t, tenMetres, hallOf(0.1))
	if len(r.Ways) < 3 {
		t.Fatalf("%d ways", len(r.Ways))
	}
	for _, w := range r.Ways {
		laid, mass := 0.0, w.Weight*w.Area
		for _, l := range w.Laid {
			laid += l.Volume
			mass += l.Mass
			near(t, w.Name+", "+l.Name, l.Mass, l.Volume*l.UnitWeight)
		}
		for _, p := range w.Problems {
			laid += p.Volume
		}
		near(t, w.Name+": volume", laid, 8)
		near(t, w.Name+": mass", w.Load.Mass, mass)
		if n := r.Layers[w.Name]; n < 1 || n < len(w.Laid) {
			t.Errorf("%s: %d of %d layers", w.Name, len(w.Laid), n)
		}
	}
	// Concrete alone by hand: 8 m³ at 2400 kg/m³.
	near(t, "concrete", wayOf(t, r, "full-depth concrete").Load.Mass, 8*2400)
}

// A material of the job replaces that layer of the ways, with its price and weight. A
// material for comparison only is in no order.
func TestMaterialsThatAreOnlyCompared(t *testing.T) {
	t.Parallel()
	r := solved(t, tenMetres+"[[materials]]\nname = \"light fill\"\nunit-weight-kgm3 = 500\nprice-per-m3 = 90\ncompare-only = true\n", hallOf(0.2))
	if r.Service != nil || len(r.Bought) != 0 {
		t.Errorf("bought %+v", r.Bought)
	}
	found := false
	for _, w := range r.Ways {
		for _, l := range w.Laid {
			if l.Name == "light fill" {
				found = true
				near(t, w.Name+": unit weight", l.UnitWeight, 500)
				near(t, w.Name+": cost", l.Cost.Amount, order.Money(90*l.Volume))
			}
		}
	}
	if !found {
		t.Error("no way has the light fill")
	}
}

// Framing is priced by area: 80 m² at 45, and at 4.18 per square foot.
func TestFramingByArea(t *testing.T) {
	t.Parallel()
	name := ""
	for _, b := range order.Builds(false) {
		if strings.Contains(b.Name, "framing") {
			name = b.Name
		}
	}
	for text, want := range map[string]float64{"price-per-m2 = 45": 80 * 45, "price-per-ft2 = 4": 80 / 0.09290304 * 4} {
		r := solved(t, tenMetres+"[[materials]]\nname = \""+name+"\"\ncompare-only = true\n"+text+"\n", hallOf(0.2))
		isWithin(t, text, wayOf(t, r, name).Cost.Amount, want, 0.01)
	}
}

// The ways of a pour are the same in either system of units.
func TestWaysDoNotDependOnTheUnitShown(t *testing.T) {
	t.Parallel()
	a, b := solved(t, tenMetres, hallOf(0.15)), solved(t, "show = \"feet\"\n"+tenMetres, hallOf(0.15))
	if len(a.Ways) != len(b.Ways) {
		t.Fatalf("%d and %d ways", len(a.Ways), len(b.Ways))
	}
	for i := range a.Ways {
		if a.Ways[i].Name != b.Ways[i].Name || math.Abs(a.Ways[i].Load.Mass-b.Ways[i].Load.Mass) > 1e-9*(1+a.Ways[i].Load.Mass) {
			t.Errorf("%s: %g kg, then %s: %g", a.Ways[i].Name, a.Ways[i].Load.Mass, b.Ways[i].Name, b.Ways[i].Load.Mass)
		}
	}
}
