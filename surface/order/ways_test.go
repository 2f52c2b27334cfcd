package order

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pourplane/survey"
	"pourplane/survey/unit"
)

const day = 24 * time.Hour

func way(t *testing.T, ways []Way, name string) Way {
	t.Helper()
	i := slices.IndexFunc(ways, func(w Way) bool { return w.Name == name })
	if i < 0 {
		t.Fatalf("no way %q", name)
	}
	return ways[i]
}

func TestWaysOverAnEvenFloor(t *testing.T) {
	// 10 m² at 200 mm, by hand. Concrete 2 m³ of 2400. Cap of 75 mm 0.75 m³ = 1800 kg; under it 125 mm: light
	// fill 1.25 m³ of 600 = 750 kg, or five boards, 1.25 m³ of 21.6 = 27 kg. Frame 12 lb/ft².
	const psf = pound / (foot * foot)
	f := Floor{Net: 2, Area: 10, Least: 0.2, Greatest: 0.2, Bands: []Band{{0.2, 0.2, 10, 2}}}
	prices := Materials{{Name: "concrete", Least: 0.04, Price: 150}, {Name: "concrete cap", Price: 160}, {Name: "light fill", UnitWeight: 600, Price: 90}}
	ways, err := Compare(f, nil, prices)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name   string
		load   float64 // kg/m²
		layers []float64
		cost   float64 // −1: not known
	}{
		{"full-depth concrete", 480, []float64{2}, 300},
		{"light fill with a cap", 255, []float64{0.75, 1.25}, 120 + 112.5},
		{"rigid foam with a cap", 182.7, []float64{0.75, 1.25}, -1},
		{"framing over", 12 * psf, []float64{0.18, 1.82}, -1},
	} {
		w := way(t, ways, c.name)
		near(t, c.name+": mean", w.Load.Mean, c.load)
		near(t, c.name+": most", w.Load.Most, c.load)
		near(t, c.name+": mass", w.Load.Mass, 10*c.load)
		near(t, c.name+": area", w.Area, 10)
		if len(w.Laid) != len(c.layers) {
			t.Fatalf("%s: %+v, want %d layers", c.name, w.Laid, len(c.layers))
		}
		for i, v := range c.layers {
			near(t, c.name+": "+w.Laid[i].Name, w.Laid[i].Volume, v)
		}
		if w.Cost.Known() != (c.cost >= 0) {
			t.Errorf("%s: no price for %v", c.name, w.Cost.Lacking)
		} else if w.Cost.Known() {
			near(t, c.name+": cost", w.Cost.Amount, c.cost)
		} else if !strings.Contains(words(w.Notes, survey.Warning), "no price was given") {
			t.Errorf("%s: it is not said that the cost is not known: %v", c.name, w.Notes)
		}
		if len(w.Problems) != 0 || len(w.Needs) == 0 || len(w.Engineer) == 0 {
			t.Errorf("%s: %+v", c.name, w)
		}
	}
	w := way(t, ways, "bagged underlayment")
	if len(w.Problems) != 1 || w.Problems[0].Misfit != Deep || w.Volume != 0 {
		t.Errorf("200 mm of leveller: %+v, want too deep", w)
	}
	near(t, "not to be laid", w.Problems[0].Volume, 2)
}

func TestWaysOverARamp(t *testing.T) {
	// 10 m² from 0 to 200 mm, 0.05 m² a mm, by hand. No room for a cap of 75 mm: 3.75 m², 0.140625 m³. Then cap only
	// to 100 mm, and 1, 2, 3, 4 boards of 25 mm over 1.25 m² each: 0.3125 m³. The cap has what is left of
	// 6.25 m² × 137.5 mm. It is heaviest just before a board fits: 100 mm of it and four boards, 240 + 2.16.
	builds := Builds(false)
	levels, err := Levels(builds, nil, 0.2)
	if err != nil {
		t.Fatal(err)
	}
	f := Floor{Net: 1, Area: 10, Greatest: 0.2, Bands: ramp(10, 0, 0.2, levels)}
	check := func(f Floor) {
		t.Helper()
		ways, err := Compare(f, builds, nil)
		if err != nil {
			t.Fatal(err)
		}
		w := way(t, ways, "rigid foam with a cap")
		near(t, "cap", w.Laid[0].Volume, 6.25*0.1375-0.3125)
		near(t, "foam", w.Laid[1].Volume, 0.3125)
		near(t, "foam, area", w.Laid[1].Area, 5)
		near(t, "greatest cap", w.Laid[0].Greatest, 0.1)
		near(t, "greatest foam", w.Laid[1].Greatest, 0.1)
		near(t, "most", w.Load.Most, 240+0.1*21.6)
		if len(w.Problems) != 1 || w.Problems[0].Misfit != Thin || !strings.Contains(w.Problems[0].Text.String(), "0 mm to 75 mm deep, 3.75 m², 0.14 m³: thinner than the min thickness of this way, 75 mm") {
			t.Fatalf("problems %+v", w.Problems)
		}
		near(t, "no room, volume", w.Problems[0].Volume, 0.140625)
		// Light fill from 50 mm: the cap alone to 125 mm, then fill of 0–75 mm above 50.
		w = way(t, ways, "light fill with a cap")
		near(t, "light fill", w.Laid[1].Volume, 3.75*(0.1625-0.075))
		near(t, "cap over it", w.Laid[0].Volume, 6.25*0.1375-3.75*(0.1625-0.075))
		near(t, "most", w.Load.Most, 0.125*2400)
		// Leveller 3–38 mm: 1.75 m² × 20.5 mm = 35.875 L, 2.56 bags, so 3.
		w = way(t, ways, "bagged underlayment")
		near(t, "leveller", w.Volume, 0.035875)
		near(t, "leveller, by layer", w.Laid[0].Volume, 0.035875)
		// A deck does not get thicker for lack of room: nothing up to 18 + 38 mm.
		frame := way(t, ways, "framing over")
		if len(frame.Problems) != 1 || frame.Problems[0].Misfit != Thin {
			t.Fatalf("framing: %+v", frame.Problems)
		}
		near(t, "no room for a frame, area", frame.Problems[0].Area, 0.056*50)
		near(t, "deck", frame.Laid[0].Volume, (10-0.056*50)*0.018)
		if w.Laid[0].Bags != 3 || len(w.Problems) != 2 || !w.Drying.Maker {
			t.Errorf("bagged: %+v", w)
		}
	}
	check(f)
	// One band over all: its spread by the mean is the ramp itself.
	f.Bands = []Band{{0, 0.2, 10, 1}}
	check(f)
	f.Bands = nil
	check(f)
	ways, err := Compare(f, builds, nil)
	if err != nil {
		t.Fatal(err)
	}
	if said := words(ways[0].Notes, survey.Assumed); !strings.Contains(said, "depths: spread between 0 mm and 200 mm") || !strings.Contains(said, "10.00 m² is in bands across a limit") {
		t.Errorf("it is not said that depths are assumed: %q", said)
	}
}

func TestACapHasItsOwnLimits(t *testing.T) {
	// Cap of 75 to 90 mm on fill of 50 mm or more, by hand: to 90 mm the cap alone; from 125 mm both; between
	// neither: 35 mm of a ramp of 10 m² from 75 to 175 mm, 3.5 m² × 107.5 mm.
	b := Build{Name: "b", Layers: []Layer{
		{Material: Material{Name: "cap", Least: 0.075, Greatest: 0.090}, Thick: 0.075},
		{Material: Material{Name: "fill", Least: 0.050, UnitWeight: 500}},
	}}
	ways, err := Compare(Floor{Net: 1.25, Area: 10, Least: 0.075, Greatest: 0.175, Bands: ramp(10, 0.075, 0.175, nil)}, []Build{b}, nil)
	if err != nil {
		t.Fatal(err)
	}
	w := ways[0]
	if len(w.Problems) != 1 || w.Problems[0].Misfit != Between {
		t.Fatalf("%+v", w.Problems)
	}
	near(t, "neither, area", w.Problems[0].Area, 3.5)
	near(t, "neither, volume", w.Problems[0].Volume, 3.5*0.1075)
	near(t, "cap", w.Laid[0].Volume, 1.5*0.0825+5*0.075)
	near(t, "fill", w.Laid[1].Volume, 5*0.075)
	// With boards of 25 mm the cap takes less than a board: 75 to 90 mm of it, then 10 mm that neither takes.
	b.Layers[1].Least, b.Layers[1].Step = 0.025, 0.025
	if ways, err = Compare(Floor{Net: 1.25, Area: 10, Least: 0.075, Greatest: 0.175}, []Build{b}, nil); err != nil {
		t.Fatal(err)
	}
	w = ways[0]
	if len(w.Problems) != 4 {
		t.Fatalf("%+v", w.Problems)
	}
	near(t, "works", w.Area, 4*1.5)
	near(t, "boards", w.Laid[1].Volume, 1.5*(0.025+0.050+0.075))
}

func TestAFillThatFindsNoRoomIsSaid(t *testing.T) {
	// 100 mm are a cap of 75 mm and 25 mm, too little for light fill of 50 mm; leveller is too thick there.
	ways, err := Compare(Floor{Net: 1, Area: 10}, nil, Materials{leveller, concrete})
	if err != nil {
		t.Fatal(err)
	}
	if said := words(way(t, ways, "light fill with a cap").Notes, survey.Warning); !strings.Contains(said, "light fill: nowhere deep enough, so that it is concrete cap alone") {
		t.Errorf("warned of %q", said)
	}
	if said := unit.Join(way(t, ways, "bagged underlayment").Problems[0].Ways, "\n").String(); !strings.Contains(said, "use concrete where it is 100 mm to 100 mm deep") {
		t.Errorf("the listed material that would do is not named: %q", said)
	}
}

func TestSixInchesOfConcreteWeighSeventyFivePounds(t *testing.T) {
	// 6 in of concrete of 150 lb/ft³ are 75 lb/ft² (arithmetic).
	ways, err := Compare(Floor{Net: 10 * 6 * inch, Area: 10}, nil, Materials{{Name: "concrete", UnitWeight: 150 * pound / foot3}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lb/ft²", ways[0].Load.Most/pound*foot*foot, 75)
}

func TestDryingByTheUsualRules(t *testing.T) {
	for mm, want := range map[float64][2]float64{
		25.4: {25, 30},   // US maxim: 30 days an inch (read)
		40:   {40, 47},   // UK screed: 1 day a mm; 40/25.4 × 30 = 47.2
		75:   {75, 100},  // UK screed guidance (read): 75–100 days
		150:  {150, 365}, // the same: often over a year
		142:  {142, 358}, // 100 × (142/75)² = 358.5
		1000: {365, 365}, // no rule beyond a year
	} {
		d := drying(mm/1000, false, true)
		if d.Least != time.Duration(want[0])*day || d.Most != time.Duration(want[1])*day {
			t.Errorf("%g mm: %v to %v, want %g to %g days", mm, d.Least, d.Most, want[0], want[1])
		}
		if !strings.Contains(d.How.String(), "Test before covering") {
			t.Errorf("%g mm: %q", mm, d.How.String())
		}
	}
	ways, err := Compare(Floor{Net: 2, Area: 10}, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	// 200 mm: under a cap of 75 mm foam is dry, light fill is not; a frame is.
	for name, want := range map[string]float64{"full-depth concrete": 0.2, "light fill with a cap": 0.2, "rigid foam with a cap": 0.075, "framing over": 0} {
		near(t, name, way(t, ways, name).Drying.Thickness, want)
	}
}

// A listed material with only a price keeps weight, limits and yield of the usual layer: by hand, 200 mm are a cap of 75 mm and five boards, 2.70 kg/m² of foam;
// 30 mm of leveller over 10 m² 21.4 bags.
func TestAPriceAloneLeavesTheUsualLayer(t *testing.T) {
	priced := Materials{{Name: "rigid foam", Price: 70}, {Name: "leveller", Price: 20}}
	ways, err := Compare(Floor{Net: 2, Area: 10}, nil, priced)
	if err != nil {
		t.Fatal(err)
	}
	w := way(t, ways, "rigid foam with a cap")
	near(t, "load", w.Load.Most, 0.075*2400+0.125*21.6)
	near(t, "foam, cost", w.Laid[1].Cost.Amount, 1.25*70)
	if w = way(t, ways, "bagged underlayment"); len(w.Problems) != 1 || w.Problems[0].Misfit != Deep {
		t.Errorf("200 mm of leveller: %+v, want too deep", w)
	}
	if ways, err = Compare(Floor{Net: 0.3, Area: 10}, nil, priced); err != nil {
		t.Fatal(err)
	}
	if w = way(t, ways, "bagged underlayment"); len(w.Laid) != 1 || w.Laid[0].Bags != 22 || w.Cost.Amount != 22*20 {
		t.Errorf("30 mm of leveller: %+v, want 22 bags", w)
	}
	near(t, "leveller, load", w.Load.Most, 0.03*2000)
	// Its own limits go first, also where they contradict the usual ones.
	ways, err = Compare(Floor{Net: 0.6, Area: 10}, nil, Materials{{Name: "leveller", Least: 0.05}})
	if err != nil {
		t.Fatal(err)
	}
	if w = way(t, ways, "bagged underlayment"); len(w.Problems) != 0 || w.Laid[0].Bags != 43 {
		t.Errorf("60 mm of a leveller of 50 mm and more: %+v", w)
	}
}

func TestBaggedMaterialsThatAreListedServeTheBaggedWay(t *testing.T) {
	deepMix := Material{Name: "deep mix", Yield: 0.0125, Least: 0.02, Greatest: 0.06, Price: 30}
	// 1 m² at 30 mm: 30 L of leveller, preferred, 3 bags of 14 L; 1 m² at 50 mm: 50 L of deep mix, 4 bags.
	f := Floor{Net: 0.08, Area: 2, Least: 0.03, Greatest: 0.05, Bands: []Band{{0.03, 0.03, 1, 0.03}, {0.05, 0.05, 1, 0.05}}}
	ways, err := Compare(f, nil, Materials{leveller, concrete, deepMix})
	if err != nil {
		t.Fatal(err)
	}
	w := way(t, ways, "bagged underlayment")
	if len(w.Laid) != 2 || w.Laid[0].Bags != 3 || w.Laid[1].Bags != 4 || len(w.Problems) != 0 {
		t.Fatalf("%+v", w)
	}
	near(t, "cost", w.Cost.Amount, 3*20+4*30)
	// 2000 × 30 mm and, its weight not known, 2400 × 50 mm.
	near(t, "most", w.Load.Most, 120)
}

func TestSplittingABandKeepsAreaAndVolume(t *testing.T) {
	// A cone of 1 m² and 1 m depth has 1/3 m³, and deeper than half 1/4 m², where it holds 1/4 × (1/2 + 1/6).
	lower, upper := split(Band{0, 1, 1, 1. / 3}, 0.5)
	near(t, "cone, deeper half, area", upper.Area, 0.25)
	near(t, "cone, deeper half, volume", upper.Volume, 0.25*(0.5+1./6))
	near(t, "cone, area", lower.Area, 0.75)
	rapid.Check(t, func(t *rapid.T) {
		b := Band{From: rapid.Float64Range(0, 0.2).Draw(t, "from"), Area: rapid.Float64Range(0.001, 1000).Draw(t, "area")}
		b.To = b.From + rapid.Float64Range(0.001, 0.2).Draw(t, "depth")
		b.Volume = b.Area * (b.From + (b.To-b.From)*rapid.Float64Range(0, 1).Draw(t, "mean"))
		at := b.From + (b.To-b.From)*rapid.Float64Range(0.01, 0.99).Draw(t, "at")
		lower, upper := split(b, at)
		if math.Abs(lower.Area+upper.Area-b.Area) > 1e-12*b.Area || math.Abs(lower.Volume+upper.Volume-b.Volume) > 1e-12*b.Area {
			t.Fatalf("%v and %v are not %v", lower, upper, b)
		}
		for _, p := range []Band{lower, upper} {
			if tiny := 1e-9 * b.Area; p.Area < 0 || p.Volume < p.Area*p.From-tiny || p.Volume > p.Area*p.To+tiny {
				t.Fatalf("%v at %g: %v cannot be", b, at, p)
			}
		}
	})
}

func TestLayersAndProblemsAreTheWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(0, 0.1).Draw(t, "least")
		to := from + rapid.Float64Range(0.001, 0.3).Draw(t, "range")
		cuts := []float64{}
		for range rapid.IntRange(0, 6).Draw(t, "cuts") {
			cuts = append(cuts, rapid.Float64Range(from, to).Draw(t, "cut"))
		}
		slices.Sort(cuts)
		bands := ramp(rapid.Float64Range(1, 500).Draw(t, "area"), from, to, cuts)
		f := Floor{Least: from, Greatest: to, Bands: bands}
		for _, b := range bands {
			f.Area, f.Net = f.Area+b.Area, f.Net+b.Volume
		}
		ways, err := Compare(f, nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		levels, err := Levels(nil, nil, to)
		if err != nil {
			t.Fatal(err)
		}
		f.Bands = ramp(f.Area, from, to, levels)
		exact, err := Compare(f, nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		layer := func(w Way, k int) (volume float64) {
			for _, l := range w.Laid {
				if l.layer == k {
					volume += l.Volume
				}
			}
			return volume
		}
		for i, w := range ways { // a piece of a ramp is a ramp, wherever it is cut
			e := exact[i]
			for k := range Builds(false)[i].Layers {
				if got, want := layer(w, k), layer(e, k); math.Abs(got-want) > 1e-6*f.Area {
					t.Fatalf("%s: layer %d has %g m³, and %g when cut at levels", w.Name, k+1, got, want)
				}
			}
			if math.Abs(e.Area-w.Area) > 1e-6*f.Area || math.Abs(e.Load.Most-w.Load.Most) > 1e-3 {
				t.Fatalf("%s: %g m², %g kg/m²; %g, %g when cut at levels", w.Name, w.Area, w.Load.Most, e.Area, e.Load.Most)
			}
		}
		if len(ways) != len(Builds(false)) {
			t.Fatalf("%d ways, want %d", len(ways), len(Builds(false)))
		}
		for _, w := range ways {
			area, volume, laid, mass := w.Area, w.Volume, 0.0, 0.0
			for _, p := range w.Problems {
				area, volume = area+p.Area, volume+p.Volume
				if len(p.Ways) == 0 {
					t.Fatalf("%s: %v: nothing else could be done", w.Name, p)
				}
			}
			for _, l := range w.Laid {
				laid, mass = laid+l.Volume, mass+l.Mass
				if tiny := 1e-9 * f.Area; l.Volume < l.Area*l.Least-tiny || l.Volume > l.Area*l.Greatest+tiny {
					t.Fatalf("%s: %+v cannot be", w.Name, l)
				}
			}
			if math.Abs(area-f.Area) > 1e-9*f.Area || math.Abs(volume-f.Net) > 1e-9*f.Area || math.Abs(laid-w.Volume) > 1e-9*f.Area {
				t.Fatalf("%s: %g m², %g m³, laid %g of %g; the floor %g, %g", w.Name, area, volume, laid, w.Volume, f.Area, f.Net)
			}
			if w.Load.Mean > w.Load.Most+1e-6 {
				t.Fatalf("%s: %g kg/m² on average, %g at most", w.Name, w.Load.Mean, w.Load.Most)
			}
		}
	})
}

func TestBuildsThatCannotBeAreRefusedByName(t *testing.T) {
	f := Floor{Net: 2, Area: 40}
	on := func(f Floor, b ...Build) error { _, err := Compare(f, b, nil); return err }
	mud := Layer{Material: Material{Name: "mud"}}
	thick := func(v float64) Layer { l := mud; l.Thick = v; return l }
	for _, c := range []struct {
		name string
		err  error
	}{
		{"way 1", on(f, Build{})},
		{"b", on(f, Build{Name: "b"})},
		{"b", on(f, Build{Name: "b", Layers: []Layer{mud, mud}})},
		{"b", on(f, Build{Name: "b", Layers: []Layer{thick(0.1)}})},
		{"b, weight", on(f, Build{Name: "b", Layers: []Layer{mud}, Weight: -1})},
		{"b, price", on(f, Build{Name: "b", Layers: []Layer{mud}, Price: math.NaN()})},
		{"b, mud, thickness", on(f, Build{Name: "b", Layers: []Layer{thick(75), mud}})}, // mm for m
		{"b, mud, thickness", on(f, Build{Name: "b", Layers: []Layer{{Material: Material{Name: "mud", Least: 0.1}, Thick: 0.05}, mud}})},
		{"b, mud, thickness", on(f, Build{Name: "b", Layers: []Layer{{Material: Material{Name: "mud", Greatest: 0.02, Lifts: 2}, Thick: 0.05}, mud}})},
		{"b, mud, step", on(f, Build{Name: "b", Layers: []Layer{thick(0.1), {Material: mud.Material, Step: 25}}})},
		{"b, mud", on(f, Build{Name: "b", Layers: []Layer{{Material: mud.Material, Step: 0.025}}})},
		{"b, mud", on(f, Build{Name: "b", Layers: []Layer{{Material: mud.Material, Thick: 0.1, Bagged: true}, mud}})},
		{"mud, unit weight", on(f, Build{Name: "b", Layers: []Layer{{Material: Material{Name: "mud", UnitWeight: -1}}}})},
		{"net volume", on(Floor{Net: math.Inf(1)})},
		{"max depth", on(Floor{Net: 2, Area: 40, Greatest: 80})}, // mm for m
		{"max depth", func() error { _, err := Levels(nil, nil, math.NaN()); return err }()},
	} {
		var e *survey.Error
		if !errors.As(c.err, &e) || e.Element != c.name {
			t.Errorf("want an error about %q, got %v", c.name, c.err)
		}
	}
	if _, err := Levels([]Build{{}}, nil, 0.1); err == nil {
		t.Error("levels of a way without a name: no error")
	}
	if ways, err := Compare(Floor{}, nil, nil); err != nil || ways[0].Volume != 0 || ways[0].Drying.How.String() != "it works nowhere" {
		t.Errorf("nothing to fill: %+v, %v", ways, err)
	}
}
