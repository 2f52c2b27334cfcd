package order

import (
	"math"
	"pourplane/survey/unit"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

const gallon = 231 * inch * inch * inch / litre // L, US

func TestCoatByHand(t *testing.T) {
	// By hand: 84 m² along the floor. First coat at 4 m²/L, second at 6: 21 + 14 = 35 L; passes
	// that overlap by a third: × 1.5 = 52.5; 2 parts of water to 1: 17.5 L of product, 35 of water.
	// Cans of 5 L: 3.5, so 4, at 30 each.
	got, err := Coat{Cover: 6, First: 4, Coats: 2, Water: 2, Overlap: 1.0 / 3, Pack: 5, Price: 30}.Over(84)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "first coat", got.Each[0], 31.5)
	near(t, "second coat", got.Each[1], 21)
	near(t, "mixed", got.Mixed, 52.5)
	near(t, "product", got.Product, 17.5)
	near(t, "water", got.Water, 35)
	if got.Packs != 4 || got.Cost != 120 {
		t.Errorf("%d packs for %g, want 4 for 120", got.Packs, got.Cost)
	}
	// The zero value except cover: one coat, undiluted, no losses, nothing counted.
	got, err = Coat{Cover: 5}.Over(80)
	if err != nil || got.Mixed != 16 || got.Product != 16 || got.Water != 0 || got.Packs != 0 || got.Cost != 0 {
		t.Errorf("plain coat: %+v, %v; want 16 L of product and no more", got, err)
	}
}

func TestPublishedCover(t *testing.T) {
	// A US gallon covers 1604 ft² at 1 mil, and 1 L 1000 m² at 1 µm: Joseph, Calculating paint
	// coverage, paintcenter.org 2003; Spreading rate, a paint maker's data sheet. 20 mil and 0.5 mm here,
	// by the rule that t m cover 0.001/t m²/L.
	for _, c := range []struct {
		name           string
		thick, area, l float64
	}{
		{"20 mil over 1604/20 ft²", 0.020 * inch, 1604.0 / 20 * foot * foot, gallon},
		{"500 µm over 2 m²", 500e-6, 2, 1},
	} {
		got, err := Coat{Cover: litre / c.thick}.Over(c.area)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Mixed/c.l-1) > 0.0002 { // 1604.17 is printed as 1604
			t.Errorf("%s: %.5f L, want %.5f", c.name, got.Mixed, c.l)
		}
	}
}

func TestPacksHoldWhatIsNeededAndMoreFloorTakesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Coat{
			Cover: rapid.Float64Range(0.1, 50).Draw(t, "cover"), Coats: rapid.IntRange(0, 4).Draw(t, "coats"), Water: rapid.Float64Range(0, 5).Draw(t, "water"),
			Overlap: rapid.Float64Range(0, 0.5).Draw(t, "overlap"), Allowance: rapid.Float64Range(0, 0.3).Draw(t, "allowance"), Pack: rapid.Float64Range(0.5, 30).Draw(t, "pack"), Price: 1,
		}
		c.First = c.Cover * rapid.Float64Range(0.3, 1).Filter(func(f float64) bool { return f*c.Cover >= coverLeast }).Draw(t, "first")
		area, more := rapid.Float64Range(0, 1e4).Draw(t, "area"), rapid.Float64Range(0, 1e3).Draw(t, "more")
		a, err := c.Over(area)
		if err != nil {
			t.Fatal(err)
		}
		b, err := c.Over(area + more)
		if err != nil {
			t.Fatal(err)
		}
		if held := float64(a.Packs) * c.Pack; held < a.Product-1e-6 || held >= a.Product+c.Pack {
			t.Fatalf("%d packs hold %g L, want %g and no whole pack more", a.Packs, held, a.Product)
		}
		if b.Mixed < a.Mixed || b.Packs < a.Packs || b.Cost < a.Cost {
			t.Fatalf("%g m² takes %+v, %g m² takes less, %+v", area, a, area+more, b)
		}
		if d := a.Product + a.Water - a.Mixed; math.Abs(d) > 1e-9*(1+a.Mixed) {
			t.Fatalf("product and water are %g L more than what is mixed", d)
		}
	})
}

func TestBadCoatsAreRefusedByName(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		element string
		coat    Coat
		area    float64
	}{
		{"primer, cover", Coat{Name: "primer"}, 1}, {"coat, cover", Coat{Cover: -4}, 1}, {"coat, cover", Coat{Cover: nan}, 1},
		{"coat, cover", Coat{Cover: 250}, 1}, // ft²/gal as printed on the can
		{"coat, cover of the first coat", Coat{Cover: 5, First: nan}, 1}, {"coat, coats", Coat{Cover: 5, Coats: -1}, 1}, {"coat, coats", Coat{Cover: 5, Coats: 11}, 1},
		{"coat, water", Coat{Cover: 5, Water: -1}, 1}, {"coat, overlap of passes", Coat{Cover: 5, Overlap: 1}, 1}, {"coat, allowance", Coat{Cover: 5, Allowance: 5}, 1},
		{"coat, pack", Coat{Cover: 5, Pack: math.Inf(1)}, 1}, {"coat, pack", Coat{Cover: 5, Price: 30}, 1}, {"coat, price of a pack", Coat{Cover: 5, Pack: 5, Price: -1}, 1},
		{"coat, packs", Coat{Cover: 5, Pack: 1e-300}, 1}, {"coat, real area", Coat{Cover: 5}, -1}, {"coat, real area", Coat{Cover: 5}, 1e10}, {"coat, real area", Coat{Cover: 5}, nan},
	} {
		refused(t, c.element, func() error { _, err := c.coat.Over(c.area); return err }())
	}
}

// Any input, NaN and infinity too, is refused or gives finite numbers of 0 or more.
func TestNoOrderIsLessThanNothingOrNoNumber(t *testing.T) {
	number := rapid.OneOf(rapid.Float64(), rapid.Float64Range(0, 1), rapid.Float64Range(0, 20), rapid.SampledFrom([]float64{0, math.NaN(), math.Inf(1), math.Inf(-1), -1, 5e-324, math.MaxFloat64}))
	rapid.Check(t, func(t *rapid.T) {
		v := func(name string) float64 { return number.Draw(t, name) }
		sound := func(name string, err error, all ...float64) {
			for i, x := range all {
				if err == nil && !(x >= 0 && x <= math.MaxFloat64) {
					t.Fatalf("%s: number %d is %g", name, i, x)
				}
			}
		}
		c, err := Coat{"", v("cover"), v("first"), rapid.IntRange(-1, 12).Draw(t, "coats"), v("water"), v("overlap"), v("spill"), v("pack"), v("price")}.Over(v("area"))
		sound("coat", err, c.Mixed, c.Product, c.Water, c.Cost, float64(c.Packs))
		e, err := Edge{false, v("above"), v("foot"), v("lap"), v("roll"), v("width"), v("strip"), v("piece"), v("height"), v("offcuts")}.Along([]Wall{{unit.Text{}, v("length"), v("start"), v("end"), rapid.Bool().Draw(t, "closed")}})
		sound("edge", err, e.Length, e.FilmHeight, e.FilmArea, e.FilmLength, float64(e.Laps), float64(e.Rolls), e.FoamHeight, e.FoamLength, float64(e.Pieces), e.Displaced)
		s, err := JointSpacing(v("thickness"))
		sound("spacing", err, s.Least, s.Most)
		j, err := Joints{v("run"), rapid.Bool().Draw(t, "movement"), rapid.Bool().Draw(t, "bonded"), v("gap"), rapid.Bool().Draw(t, "elastic"), v("waste"), v("can"), v("step"), rapid.Bool().Draw(t, "inches")}.Over(v("thick"))
		sound("joints", err, j.Cut, j.Fill, j.Filler, j.Rod, j.Bore, float64(j.Packs))
	})
}

// refused requires an error about element that gives what was found and what is required.
func refused(t *testing.T, element string, err error) {
	t.Helper()
	if err == nil || !strings.HasPrefix(err.Error(), element+": found ") {
		t.Errorf("%s: error %v", element, err)
	}
}
