package order

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// ramp returns the bands of a straight ramp, area m² in plan from min to max depth, cut at
// levels: each band has the same share of the area as of the depth.
func ramp(area, least, greatest float64, levels []float64) []Band {
	at := []float64{least}
	for _, l := range levels {
		if l > least && l < greatest {
			at = append(at, l)
		}
	}
	at = append(at, greatest)
	var out []Band
	for i := 1; i < len(at); i++ {
		a := area * (at[i] - at[i-1]) / (greatest - least)
		out = append(out, Band{at[i-1], at[i], a, a * (at[i] + at[i-1]) / 2})
	}
	return out
}

var (
	leveller = Material{Name: "leveller", Yield: 0.014, BagMass: 25, Least: 0.003, Greatest: 0.038, UnitWeight: 2000, Price: 20}
	concrete = Material{Name: "concrete", Least: 0.040, UnitWeight: 2400, Price: 150}
)

func TestARampIsServedByDepth(t *testing.T) {
	// 10 m² from 0 to 100 mm, by hand: 0.1 m² a mm. Leveller 3–38 mm: 3.5 m² × 20.5 mm = 71.75 L, 5.125
	// bags, so 6 for 120; concrete 40–100 mm: 6 m² × 70 mm = 0.42 m³ for 63. Left: 0–3 mm, 0.3 m² and
	// 0.45 L; 38–40 mm, 0.2 m² and 7.8 L.
	ms := Materials{leveller, concrete}
	s, err := Serve(ramp(10, 0, 0.1, Limits(ms)), ms)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Parts) != 2 || len(s.Uses) != 2 || len(s.Problems) != 2 {
		t.Fatalf("%d parts, %d uses, %d problems, want 2 of each: %+v", len(s.Parts), len(s.Uses), len(s.Problems), s)
	}
	near(t, "leveller, area", s.Parts[0].Area, 3.5)
	near(t, "leveller, volume", s.Parts[0].Volume, 0.07175)
	near(t, "leveller, bags before rounding", s.Parts[0].Bags, 5.125)
	near(t, "concrete, volume", s.Parts[1].Volume, 0.42)
	if s.Uses[0].Bags != 6 || s.Uses[1].Bags != 0 {
		t.Errorf("%d and %d bags, want 6 and 0", s.Uses[0].Bags, s.Uses[1].Bags)
	}
	near(t, "leveller, from", s.Uses[0].From, 0.003)
	near(t, "leveller, to", s.Uses[0].To, 0.038)
	near(t, "leveller, mass in place", s.Uses[0].Mass, 143.5)
	near(t, "leveller, dry", s.Uses[0].Dry, 150)
	near(t, "cost", s.Cost.Amount, 120+63)
	if !s.Cost.Known() {
		t.Errorf("no price for %v", s.Cost.Lacking)
	}
	thin, between := s.Problems[0], s.Problems[1]
	if thin.Misfit != Thin || between.Misfit != Between {
		t.Errorf("misfits %v and %v", thin.Misfit, between.Misfit)
	}
	near(t, "feather edge, area", thin.Area, 0.3)
	near(t, "feather edge, volume", thin.Volume, 0.00045)
	near(t, "gap, volume", between.Volume, 0.0078)
	// Grinding to 3 mm takes 0.3 m² × 1.5 mm = 0.45 L. Bands do not tell what another height serves.
	said := unit.Join(thin.Ways, "\n").String()
	if want := "grind 0.45 L off the old floor over 0.30 m², max 3 mm"; !strings.Contains(said, want) || strings.Contains(said, "target") {
		t.Errorf("want %q and no height in %q", want, said)
	}
	if want := "38 mm to 40 mm deep, 0.20 m², 7.8 L"; !strings.Contains(between.Err().Error(), want) {
		t.Errorf("%q does not say %q", between.Err(), want)
	}
	uses, _, err := s.Order(Losses{Allowance: 0.2}, 1, nil) // 5.125 × 1.2 = 6.15
	if err != nil || uses[0].Bags != 7 {
		t.Errorf("with 20 %%: %+v, %v, want 7 bags", uses, err)
	}
	// Roughness of 1 mm along a floor 1 % longer than in plan, 1.5 mm high, 10 %: of leveller 71.75 + 3.535 +
	// 5.25 = 80.535 L, 88.5885 with the allowance, 6.33 bags; of concrete 0.42 + 0.00606 + 0.009 = 0.43506 m³.
	l := Losses{Roughness: 0.001, High: 0.0015, Allowance: 0.1, Hopper: 0.1}
	if uses, _, err = s.Order(l, 1.01, nil); err != nil || uses[0].Bags != 7 {
		t.Fatalf("with what is lost: %+v, %v, want 7 bags", uses, err)
	}
	near(t, "leveller with what is lost", uses[0].Volume, 0.0885885)
	near(t, "concrete with what is lost", uses[1].Volume, 0.43506*1.1)
}

func TestPublishedOrdersInBags(t *testing.T) {
	for _, c := range []struct {
		name  string
		bands []Band
		bags  int
	}{
		// Computed by hand: room 240 × 180 in, 1.5 to 3.5 in: 62.5 ft³; of 80 lb bags of 0.6 ft³ 104.17.
		{"room with a fall", ramp(300*foot*foot, 1.5*inch, 3.5*inch, nil), 105},
		// 2018 National Home Improvement Estimator, p. 42: 420 ft² at 4 in = 5.185 yd³, of which each takes
		// 45 bags of 80 lb: 233.3.
		{"drive", []Band{{4 * inch, 4 * inch, 420 * foot * foot, 420 * foot * foot * 4 * inch}}, 234},
	} {
		m := Material{Name: "bags of 80 lb", Yield: ConcreteBags[80].Yield, Least: 1.5 * inch}
		s, err := Serve(c.bands, Materials{m})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if len(s.Problems) != 0 || s.Uses[0].Bags != c.bags {
			t.Errorf("%s: %d bags, problems %v; want %d and none", c.name, s.Uses[0].Bags, s.Problems, c.bags)
		}
		if s.Cost.Known() || s.Cost.Lacking[0] != m.Name {
			t.Errorf("%s: cost %+v, want that the price of %s is not known", c.name, s.Cost, m.Name)
		}
	}
}

func TestDeeperThanOneLift(t *testing.T) {
	flat := func(d float64) []Band { return []Band{{d, d, 2, 2 * d}} }
	for _, c := range []struct {
		name  string
		depth float64
		m     Material
		lifts int // 0: a problem
		why   Misfit
	}{
		{"one lift to the limit", 0.038, leveller, 1, 0},
		{"two equal lifts", 0.060, with(leveller, 3), 2, 0},
		{"three to their limit", 0.114, with(leveller, 3), 3, 0},
		{"more than three", 0.115, with(leveller, 3), 0, Deep},
		{"not one on another", 0.060, leveller, 0, Deep},
		// Halves of 60 mm are 30 mm, below 40; halves of 80 are 40.
		{"too deep for one lift, too thin for two", 0.060, Material{Name: "m", Least: 0.040, Greatest: 0.050, Lifts: 2}, 0, Between},
		{"just two lifts", 0.080, Material{Name: "m", Least: 0.040, Greatest: 0.050, Lifts: 2}, 2, 0},
		{"no limit", 3, concrete, 1, 0},
	} {
		s, err := Serve(flat(c.depth), Materials{c.m})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if c.lifts == 0 {
			if len(s.Problems) != 1 || s.Problems[0].Misfit != c.why || len(s.Parts) != 0 {
				t.Errorf("%s: %+v, want a problem: %v", c.name, s, c.why)
			}
		} else if len(s.Problems) != 0 || s.Parts[0].Lifts != c.lifts {
			t.Errorf("%s: %+v, want %d lifts", c.name, s, c.lifts)
		}
	}
}

func with(m Material, lifts int) Material { m.Lifts = lifts; return m }

func TestWhatElseCouldBeDoneIsSaidInNumbers(t *testing.T) {
	// 60 mm where leveller ends at 38: two lifts of 30; or 22 mm more of something; and mortar of 10–50 mm,
	// min 10 mm below the target, since 60 − 50 = 10, under leveller.
	mortar := Material{Name: "mortar", Least: 0.010, Greatest: 0.050}
	s, err := Serve([]Band{{0.06, 0.06, 2, 0.12}}, Materials{leveller, mortar})
	if err != nil {
		t.Fatal(err)
	}
	said := unit.Join(s.Problems[0].Ways, "\n").String()
	for _, want := range []string{
		"lay leveller in 2 equal lifts of 30 mm to 30 mm",
		"lay mortar in 2 equal lifts of 30 mm to 30 mm",
		"make a first pour of mortar to 10 mm below the target and lay leveller over it",
		"make a first pour of leveller to 22 mm below the target and lay mortar over it",
		"up to 10 mm thick, and leave 50 mm below the target",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("no word of %q in\n%s", want, said)
		}
	}
	if e := s.Problems[0].Err(); e.Hint == "" || !strings.Contains(e.Error(), "60 mm to 60 mm deep, 2.00 m², 0.12 m³: deeper than may be laid") {
		t.Errorf("refusal %q, hint %q", e, e.Hint)
	}
}

func TestGrindingInNumbers(t *testing.T) {
	// Computed: 12 ft² that lack 0.33 ft³ of 1 in of cover give that to the grinder.
	b := Band{0.75 * inch, inch, 12 * foot * foot, (1 - 0.33) * foot3}
	got := tooThin(b, inch).In(unit.Style{Imperial: true})
	if want := `grind 0.33 ft³ off the old floor over 12.0 ft², max 1/4"`; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestLiftsAndMissingPricesAreSaid(t *testing.T) {
	m := with(leveller, 2)
	m.Price = 0
	s, err := Serve([]Band{{0.05, 0.07, 3, 0.18}}, Materials{m})
	if err != nil {
		t.Fatal(err)
	}
	said := words(append(s.Notes, NoPrice(s.Cost)), survey.Warning)
	for _, want := range []string{"leveller: 50 mm to 70 mm deep, 3.00 m², takes 2 equal lifts of 25 mm to 35 mm", "no price was given for leveller"} {
		if !strings.Contains(said, want) {
			t.Errorf("no word of %q in %q", want, said)
		}
	}
}

func TestTheFirstOfTwoIsPreferred(t *testing.T) {
	b := []Band{{0.045, 0.05, 1, 0.0475}}
	fine := Material{Name: "fine", Least: 0.01, Greatest: 0.06}
	for _, ms := range []Materials{{fine, concrete}, {concrete, fine}} {
		s, err := Serve(b, ms)
		if err != nil {
			t.Fatal(err)
		}
		if s.Parts[0].Material != 0 {
			t.Errorf("%s serves, want %s", ms[s.Parts[0].Material].Name, ms[0].Name)
		}
	}
}

func TestLimitsAscend(t *testing.T) {
	got := Limits(Materials{with(leveller, 2), concrete, {Name: "bad", Least: math.NaN(), Greatest: -1}})
	want := []float64{0, 0.003, 0.006, 0.038, 0.040, 0.076}
	if !slices.EqualFunc(got, want, func(a, b float64) bool { return math.Abs(a-b) < 1e-12 }) {
		t.Errorf("limits %v, want %v", got, want)
	}
}

func TestServedAndUnservedAreTheWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Materials of ranges that do not overlap, with gaps between some.
		var ms Materials
		at := 0.0
		for i := range rapid.IntRange(1, 4).Draw(t, "materials") {
			least := at + rapid.SampledFrom([]float64{0, 0.004, 0.013}).Draw(t, "gap")
			at = least + rapid.Float64Range(0.005, 0.05).Draw(t, "range")
			ms = append(ms, Material{Name: string(rune('a' + i)), Least: least, Greatest: at, Yield: rapid.SampledFrom([]float64{0, 0.014}).Draw(t, "yield"), Price: 1 + float64(i)})
		}
		bands := ramp(rapid.Float64Range(1, 500).Draw(t, "area"), 0, rapid.Float64Range(0.001, 0.3).Draw(t, "greatest"), Limits(ms))
		serve := func(ms Materials) (Service, map[string]Use) {
			s, err := Serve(bands, ms)
			if err != nil {
				t.Fatal(err)
			}
			uses := map[string]Use{}
			for _, u := range s.Uses {
				name := ms[u.Material].Name
				u.Material = 0
				uses[name] = u
			}
			return s, uses
		}
		s, uses := serve(ms)
		area, volume, cost := 0.0, 0.0, 0.0
		for _, p := range s.Parts {
			area, volume = area+p.Area, volume+p.Volume
		}
		for _, u := range s.Uses {
			cost += u.Cost.Amount
		}
		for _, p := range s.Problems {
			area, volume = area+p.Area, volume+p.Volume
			if len(p.Ways) == 0 {
				t.Fatalf("%v: nothing else could be done", p)
			}
		}
		whole := 0.0
		for _, b := range bands {
			whole += b.Volume
		}
		if math.Abs(area-s.Area) > 1e-9*s.Area || math.Abs(volume-whole) > 1e-9*whole || Money(cost) != s.Cost.Amount {
			t.Fatalf("parts and problems: %g m², %g m³, costs %g; the whole: %g, %g, %g", area, volume, cost, s.Area, whole, s.Cost.Amount)
		}
		other, theirs := serve(rapid.Permutation(ms).Draw(t, "order"))
		if len(uses) != len(theirs) || len(s.Problems) != len(other.Problems) {
			t.Fatalf("another order of materials changes the service: %v, %v", uses, theirs)
		}
		for name, u := range uses {
			if o := theirs[name]; u.Volume != o.Volume || u.Area != o.Area || u.Bags != o.Bags || u.Cost.Amount != o.Cost.Amount {
				t.Fatalf("another order of materials changes %s: %+v, %+v", name, u, o)
			}
		}
	})
}

func TestMaterialsThatCannotBeAreRefusedByName(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	ok := []Band{{0.01, 0.02, 1, 0.015}}
	serve := func(bands []Band, ms ...Material) error { _, err := Serve(bands, ms); return err }
	change := func(f func(*Material)) Material { m := leveller; f(&m); return m }
	for _, c := range []struct {
		name string
		err  error
	}{
		{"materials", serve(ok)},
		{"material 1", serve(ok, Material{})},
		{"materials", serve(ok, leveller, leveller)},
		{"leveller, yield of a bag", serve(ok, change(func(m *Material) { m.Yield = 14 }))}, // L for m³
		{"leveller, yield of a bag", serve(ok, change(func(m *Material) { m.Yield = nan }))},
		{"leveller, mass of a bag", serve(ok, change(func(m *Material) { m.BagMass = -25 }))},
		{"leveller, min thickness", serve(ok, change(func(m *Material) { m.Least = 3 }))}, // mm for m
		{"leveller, max thickness", serve(ok, change(func(m *Material) { m.Greatest = 0.002 }))},
		{"leveller, max thickness", serve(ok, change(func(m *Material) { m.Greatest = inf }))},
		{"leveller, lifts", serve(ok, change(func(m *Material) { m.Lifts = -1 }))},
		{"leveller, unit weight", serve(ok, change(func(m *Material) { m.UnitWeight = inf }))},
		{"leveller, price", serve(ok, change(func(m *Material) { m.Price = -1 }))},
		{"leveller, working time in minutes", serve(ok, change(func(m *Material) { m.Working = -1 }))},
		{"band 1, 0.01 to +Inf m, greater depth", serve([]Band{{0.01, inf, 1, 0.015}}, leveller)},
		{"band 1, 0.01 to NaN m", serve([]Band{{0.01, nan, 1, 0.015}}, leveller)},
		{"band 1, 0.01 to 0.02 m, area", serve([]Band{{0.01, 0.02, nan, 0.015}}, leveller)},
		{"band 1, 0.01 to 0.02 m, volume", serve([]Band{{0.01, 0.02, 1, 0.03}}, leveller)},
		{"band 0.01 to 0.05 m", serve([]Band{{0.01, 0.05, 1, 0.03}}, leveller)}, // across 38 mm
		{"bands", serve([]Band{{0.01, 0.02, 1, 0.015}, {0.015, 0.03, 1, 0.02}}, leveller)},
		{"allowance", func() error { _, _, err := Service{}.Order(Losses{Allowance: nan}, 1, nil); return err }()},
		{"finish high by", func() error { _, _, err := Service{}.Order(Losses{High: 1.5}, 1, nil); return err }()}, // mm for m
		{"slope of the old floor", func() error { _, _, err := Service{}.Order(Losses{}, 0, nil); return err }()},
	} {
		var e *survey.Error
		if !errors.As(c.err, &e) || e.Element != c.name {
			t.Errorf("want an error about %q, got %v", c.name, c.err)
		}
	}
}
