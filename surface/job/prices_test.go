package job

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"pourplane/surface/order"
	"pourplane/survey"
)

// pricedJob has a price for everything except chairs: the steel is too low for them to
// be omitted.
var pricedJob = rampJob + func() string {
	text, err := os.ReadFile("../../testdata/priced.toml")
	if err != nil {
		panic(err)
	}
	return string(text)
}()

// totalOf returns a line of the total.
func totalOf(t *testing.T, r *Result, item string) totalLine {
	t.Helper()
	i := slices.IndexFunc(r.Total.Lines, func(l totalLine) bool { return l.Item.String() == item })
	if i < 0 {
		t.Fatalf("no line %q in %+v", item, r.Total.Lines)
	}
	return r.Total.Lines[i]
}

// Every line by hand: 18 m² of topping at 70 mm are 1.26 m³, with 5 % 1.323, in tenths
// 1.4. 6 m² of mortar at 30 mm with 5 % are 15.75 bags. Primer for 24 m² at 5 m²/L is a
// pack of 5 L. Walls of 20 m are a roll of 25 m and 10 pieces of 2 m. Filler of 6 m × 6
// mm × 6 mm is 0.216 L, a pack, with 6 m of rod. 22 bars (see the bars).
func TestTotalLineByLine(t *testing.T) {
	t.Parallel()
	r := solved(t, pricedJob, ramp)
	sum := 0.0
	for _, c := range []struct {
		item     string
		quantity float64
		unit     string
		price    float64
	}{
		{"topping", 1.4, "m3", 150}, {"mortar", 16, "bags", 9}, {"Coat: primer", 1, "packs", 30}, {"Film along the walls", 1, "rolls", 12}, {"Foam along the walls", 10, "pieces", 1.5},
		{"Sealant of joints", 1, "packs", 8}, {"Strip of joints", 6, "m", 1.5}, {"Backer rod of joints", 6, "m", 0.5}, {"Bars of 8 mm in lengths of 6.000 m", 22, "bars", 6},
	} {
		l := totalOf(t, r, c.item)
		near(t, c.item, l.Quantity, c.quantity)
		near(t, c.item+", price", l.Price, c.price)
		near(t, c.item+", amount", l.Amount(), c.quantity*c.price)
		if l.Unit != c.unit {
			t.Errorf("%s in %s, want %s", c.item, l.Unit, c.unit)
		}
		sum += c.quantity * c.price
	}
	near(t, "total", r.Total.Cost.Amount, sum)
	if chairs := totalOf(t, r, "Chairs"); chairs.Price != 0 || chairs.Quantity != float64(len(r.Bars.Chairs)) {
		t.Errorf("%+v, want %d chairs without a price", chairs, len(r.Bars.Chairs))
	}
	if n := len(r.Total.Lines); n != 10 {
		t.Errorf("%d lines, want 10: %+v", n, r.Total.Lines)
	}
	if r.Total.Complete() || !r.Total.Priced() || !slices.Equal(r.Total.Cost.Lacking, []string{"chairs"}) {
		t.Errorf("complete %v, lacks %q; want chairs", r.Total.Complete(), r.Total.Cost.Lacking)
	}
	if got := aboutTopic(r, survey.AboutOrder); !strings.Contains(got, "total price: without chairs, as no price is given") {
		t.Errorf("warnings %s", got)
	}
	if !slices.Equal(r.Total.Outside, []string{"charges for short loads and waiting", "labour", "hire", "tax"}) {
		t.Errorf("outside %q", r.Total.Outside)
	}
}

// With a price of chairs the total is complete, and 1.5 euros higher for each chair.
func TestTotalIsComplete(t *testing.T) {
	t.Parallel()
	a, b := solved(t, pricedJob, ramp), solved(t, pricedJob+"price-per-chair = 1.5\n", ramp)
	if !b.Total.Complete() || strings.Contains(aboutTopic(b, survey.AboutOrder), "total price") {
		t.Errorf("%+v", b.Total.Cost)
	}
	near(t, "with chairs", b.Total.Cost.Amount-a.Total.Cost.Amount, 1.5*float64(len(b.Bars.Chairs)))
	if b.Currency != "euros" {
		t.Errorf("currency %q", b.Currency)
	}
}

// Each price is in the total once: raising it by 1 raises the total by its quantity
// only.
func TestEachPriceCountsOnce(t *testing.T) {
	t.Parallel()
	base := solved(t, pricedJob, ramp)
	for _, c := range []struct{ key, was, is, item string }{
		{"price-per-m3", "price-per-m3 = 150", "price-per-m3 = 151", "topping"}, {"price-per-bag", "price-per-bag = 9", "price-per-bag = 10", "mortar"},
		{"coat", "price-per-pack = 30", "price-per-pack = 31", "Coat: primer"}, {"roll", "price-per-roll = 12", "price-per-roll = 13", "Film along the walls"},
		{"piece", "price-per-piece = 1.5", "price-per-piece = 2.5", "Foam along the walls"}, {"filler", "price-per-pack = 8", "price-per-pack = 9", "Sealant of joints"},
		{"rod", "rod-price-per-m = 0.5", "rod-price-per-m = 1.5", "Backer rod of joints"}, {"bar", "price-per-bar = 6", "price-per-bar = 7", "Bars of 8 mm in lengths of 6.000 m"},
	} {
		r := solved(t, strings.Replace(pricedJob, c.was, c.is, 1), ramp)
		near(t, c.key, r.Total.Cost.Amount-base.Total.Cost.Amount, totalOf(t, base, c.item).Quantity)
		for i, l := range r.Total.Lines {
			if l.Item.String() != c.item && fmt.Sprint(l) != fmt.Sprint(base.Total.Lines[i]) {
				t.Errorf("%s changes %+v to %+v", c.key, base.Total.Lines[i], l)
			}
		}
	}
}

// Prices per cubic yard and foot equal those per cubic metre and metre: 0.764554857984
// m³ and 0.3048 m, exactly.
func TestPricesByTheYard(t *testing.T) {
	t.Parallel()
	r := solved(t, strings.NewReplacer("price-per-m3 = 150", "price-per-yd3 = 120", "rod-price-per-m = 0.5", "rod-price-per-ft = 0.2").Replace(pricedJob), ramp)
	near(t, "topping", totalOf(t, r, "topping").Price, 120/order.CubicYard)
	near(t, "rod", totalOf(t, r, "Backer rod of joints").Price, 0.2/0.3048)
}

// Amounts are rounded to hundredths line by line, halves up, so that the lines add up to
// the total.
func TestAmountsAreWholeCents(t *testing.T) {
	t.Parallel()
	r := solved(t, strings.Replace(pricedJob, "price-per-m3 = 150", "price-per-m3 = 149.996", 1), ramp)
	near(t, "1.4 m³ at 149.996", totalOf(t, r, "topping").Amount(), 209.99) // 209.9944
	sum := 0.0
	for _, l := range r.Total.Lines {
		if cents := l.Amount() * 100; math.Abs(cents-math.Round(cents)) > 1e-6 {
			t.Errorf("%s costs %g", l.Item, l.Amount())
		}
		sum += l.Amount()
	}
	near(t, "total", r.Total.Cost.Amount, sum)
}

// Price of the mix from a plant, of bags in its place, and of material on site without
// trucks.
func TestPriceOfTheMix(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob+"[mix]\nprice-per-m3 = 150\n", ramp)
	near(t, "mix", totalOf(t, r, "Mix").Amount(), 1.75*150)
	if !r.Total.Complete() || !slices.Contains(r.Total.Outside, "charges for short loads and waiting") {
		t.Errorf("%+v", r.Total)
	}
	r = solved(t, rampJob+"[mix]\nprice-per-m3 = 150\n[pace]\nmixed-on-site = true\n", ramp)
	if slices.Contains(r.Total.Outside, "charges for short loads and waiting") {
		t.Errorf("mixed on site, with %q outside", r.Total.Outside)
	}
	// Bags by hand: 50 mm lower there is fill from x 2.25 m, 3.75 m long and 4 m wide
	// with a mean of 25 mm: 0.375 m³.
	r = solved(t, strings.Replace(rampJob, `"0m"`, `"-0.05m"`, 1)+"[mix]\nprice-per-bag = 4\n", ramp)
	near(t, "fill", r.Filled.Fill.Fill, 0.375)
	l := totalOf(t, r, "Bags of 25 kg concrete mix")
	near(t, "bags", l.Amount(), 4*float64(r.Bag.Count))
	if want := int(math.Ceil(r.Filled.Fill.Fill * 1.05 / r.Bag.Yield)); r.Bag.Count != want {
		t.Errorf("%d bags, want %d", r.Bag.Count, want)
	}
	// A price of the mix applies to the only material that comes by truck.
	r = solved(t, rampJob+"[mix]\nprice-per-m3 = 150\n[[materials]]\nname = \"dense mix\"\n", ramp)
	near(t, "material", totalOf(t, r, "dense mix").Price, 150)
	near(t, "price", r.Supplies.Price, 150)
	if strings.Contains(aboutTopic(r, survey.AboutOrder), "price") {
		t.Errorf("%s", aboutTopic(r, survey.AboutOrder))
	}
}

// Without any price there is no total. Without a pack size there are no packs, and the
// litres have no price.
func TestTotalWithoutPrices(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob, ramp)
	if r.Total.Priced() || r.Total.Cost.Amount != 0 || strings.Contains(aboutTopic(r, survey.AboutOrder), "price") {
		t.Errorf("%+v, %s", r.Total, aboutTopic(r, survey.AboutOrder))
	}
	r = solved(t, rampJob+"[[coats]]\ncover-m2-per-litre = 5\n[edge]\nfilm = true\nfoam = \"5mm\"\n[joints]\nlength = \"6m\"\nwidth = \"6mm\"\n", ramp)
	for item, unit := range map[string]string{"Coat 1": "L", "Film along the walls": "m", "Foam along the walls": "m", "Sealant of joints": "L"} {
		if l := totalOf(t, r, item); l.Unit != unit || l.Price != 0 || !(l.Quantity > 0) {
			t.Errorf("%+v, want %s without a price", l, unit)
		}
	}
}

// If some depths are in no line, the total is not the price of the job.
func TestTotalOfPartOfTheFill(t *testing.T) {
	t.Parallel()
	text := rampJob + "[mix]\naccept-unserved = true\n[[materials]]\nname = \"mortar\"\nbag-yield = \"12L\"\n%sprice-per-bag = 9\n"
	r := solved(t, fmt.Sprintf(text, "least = \"30mm\"\n"), ramp)
	if r.Total.Complete() || !r.Total.Part || !r.Total.Cost.Known() {
		t.Errorf("%+v, want a known cost of a part", r.Total)
	}
	r = solved(t, fmt.Sprintf(text, ""), ramp)
	if !r.Total.Complete() || r.Total.Part {
		t.Errorf("%+v, want all of it", r.Total)
	}
}

// Prices without a use are refused at their key.
func TestPricesThatMeanNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, want string }{
		{"[mix]\nprice-per-m3 = -1\n", "mix.price-per-m3"}, {"[mix]\nprice-per-m3 = 1e13\n", "mix.price-per-m3"}, {"[mix]\nprice-per-m3 = 0\n", "mix.price-per-m3: found 0, want more than 0"},
		{"[mix]\nprice-per-m3 = 5\nprice-per-yd3 = 5\n", "found two prices"}, {"[mix]\nshort-load-price = -3\n", "mix.short-load-price: found -3"}, {"[mix]\nprice-per-m3 = nan\n", "mix.price-per-m3"}, {"[mix]\nprice-per-m3 = inf\n", "mix.price-per-m3"},
		{"[bars]\nsize = \"8\"\nspacing = \"500mm\"\ntop-cover = \"10mm\"\nbottom-cover = \"5mm\"\nprice-per-bar = -1\n", "bars.price-per-bar"},
		{"[mesh]\nsheet-length = \"4.8m\"\nsheet-width = \"2.4m\"\nmass-kgm2 = 2.2\ncover = \"10mm\"\nprice-per-sheet = -1\n", "mesh.price-per-sheet"},
		{"[mix]\nprice-per-m3 = \"150\"\n", "want a number"},
	} {
		if err := hinted(refused(t, rampJob+c.text, ramp)); !strings.HasPrefix(err, "job.toml:") || !strings.Contains(err, c.want) {
			t.Errorf("%s\n%s\nwant %s", c.text, err, c.want)
		}
	}
}

// What is sold by length is bought in whole metres or whole feet, rounded up: 6 m are 19.7 ft.
func TestLengthsAreBoughtWhole(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		m    float64
		us   bool
		want float64
	}{{6, false, 6}, {6.01, false, 7}, {6 + 1e-9, false, 6}, {6, true, 20 * 0.3048}, {36 * 0.3048, true, 36 * 0.3048}, {0, true, 0}} {
		near(t, "length", BoughtLength(c.m, c.us), c.want)
	}
}
