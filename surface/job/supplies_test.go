package job

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// The ramp of 20 to 100 mm over 24 m² has 0.3 m² for each millimetre of depth. Between
// depths a and b mm there are 0.3·(b−a) m² with a mean of (a+b)/2.
func between(a, b float64) (area, volume float64) {
	area = 0.3 * (b - a)
	return area, area * (a + b) / 2000
}

// Materials by depth, in the order of the job, by hand: up to 40 mm mortar, 6 m² and
// 0.18 m³, and beyond concrete, 18 m² and 1.26 m³; with 5 % and bags of 12 L, 15.75
// bags.
func TestMaterialsByDepth(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob+`[[materials]]
name = "concrete"
least = "40mm"
price-per-m3 = 150
[[materials]]
name = "mortar"
bag-yield = "12L"
bag-mass-kg = 25
greatest = "40mm"
unit-weight-kgm3 = 2000
price-per-bag = 9
`, ramp)
	if r.Service == nil || len(r.Bought) != 2 || len(r.Service.Problems) != 0 {
		t.Fatalf("%+v", r.Service)
	}
	for _, u := range r.Bought {
		switch r.Service.Materials[u.Material].Name {
		case "mortar":
			area, volume := between(20, 40)
			near(t, "mortar, area", u.Area, area)
			near(t, "mortar, volume with 5 %", u.Volume, volume*1.05)
			if want := int(math.Ceil(volume * 1.05 / 0.012)); u.Bags != want || want != 16 {
				t.Errorf("%d bags, want %d", u.Bags, want)
			}
			near(t, "dry bags", u.Dry, 16*25)
			near(t, "cost of mortar", u.Cost.Amount, 16*9)
		case "concrete":
			area, _ := between(40, 100)
			near(t, "concrete, area", u.Area, area)
			near(t, "concrete, as ordered", u.Volume, 1.5)
			near(t, "cost of concrete", u.Cost.Amount, 1.5*150)
			if u.Bags != 0 {
				t.Errorf("%d bags of what is sold by volume", u.Bags)
			}
		}
	}
	_, shallow := between(20, 40)
	_, deep := between(40, 100)
	near(t, "mass", r.Mix.Load.Mass, shallow*2000+deep*2400)
	near(t, "bill", r.Bill.Amount, 16*9+1.5*150)
	near(t, "heaviest", r.Heaviest, 2400)
	if unit.Join(r.Filled.Bags, "; ").String() != "16 bags of mortar" || r.Mixed != "of concrete" {
		t.Errorf("bags %q, by the truck %q", r.Filled.Bags, r.Mixed)
	}
}

// The first material that may be as thick serves a depth. In the other order concrete,
// then without a min thickness, serves all.
func TestOrderOfMaterials(t *testing.T) {
	t.Parallel()
	a, b := "[[materials]]\nname = \"a\"\n", "[[materials]]\nname = \"b\"\ngreatest = \"60mm\"\n"
	names := func(text string) (out []string) {
		r := solved(t, rampJob+text, ramp)
		for _, p := range r.Service.Parts {
			out = append(out, r.Service.Materials[p.Material].Name)
		}
		return out
	}
	if got := names(a + b + "bag-yield = \"12L\"\n"); slices.Contains(got, "b") {
		t.Errorf("a first: %q", got)
	}
	if got := names(b + "bag-yield = \"12L\"\n" + a); !slices.Contains(got, "a") || !slices.Contains(got, "b") {
		t.Errorf("b first: %q, want both", got)
	}
}

// Lifts by hand: a leveller of 40 mm max per lift serves up to 40 mm in one, to 80 mm in
// two and to 120 mm in three.
func TestLifts(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob+"[[materials]]\nname = \"leveller\"\nbag-yield = \"14L\"\ngreatest = \"40mm\"\nlifts = 3\n", ramp)
	area := map[int]float64{}
	for _, p := range r.Service.Parts {
		area[p.Lifts] += p.Area
	}
	for lifts, edge := range map[int][2]float64{1: {20, 40}, 2: {40, 80}, 3: {80, 100}} {
		want, _ := between(edge[0], edge[1])
		near(t, fmt.Sprintf("%d lifts", lifts), area[lifts], want)
	}
	if got := r.LiftsOf(&r.Filled.Fill); got != 3 {
		t.Errorf("%d lifts at most, want 3", got)
	}
	if b := r.Bagged(); b == nil || b.Name != "leveller" {
		t.Errorf("bagged material %+v", b)
	}
	// Two lifts do not reach 100 mm: the rest is refused, with its depths.
	err := refused(t, rampJob+"[[materials]]\nname = \"leveller\"\nbag-yield = \"14L\"\ngreatest = \"40mm\"\nlifts = 2\n", ramp)
	if !strings.Contains(err.Error(), "80 mm to 100 mm") || !strings.HasPrefix(err.Error(), "job.toml:8:") {
		t.Error(err)
	}
}

// Depths that no material serves are refused with the possible solutions, or left out of
// the order on request. By hand 20 to 30 mm: 3 m² and 0.075 m³; 50 to 100: 15 m² and
// 1.125 m³.
func TestUnservedDepths(t *testing.T) {
	t.Parallel()
	text := rampJob + "[mix]\n%s[[materials]]\nname = \"mortar\"\nbag-yield = \"12L\"\nleast = \"30mm\"\ngreatest = \"50mm\"\n"
	err := hinted(refused(t, fmt.Sprintf(text, ""), ramp))
	for _, want := range []string{"20 mm to 30 mm", "accept-unserved"} {
		if !strings.Contains(err, want) {
			t.Errorf("%s\nlacks %s", err, want)
		}
	}
	r := solved(t, fmt.Sprintf(text, "accept-unserved = true\n"), ramp)
	thinArea, thin := between(20, 30)
	deepArea, deep := between(50, 100)
	near(t, "area not served", r.Unserved.Area, thinArea+deepArea)
	near(t, "volume not served", r.Unserved.Volume, thin+deep)
	if got := r.UnservedText().In(styleOf(r)); got != "1.20 m³ over 18.00 m² that no material serves" {
		t.Errorf("%q", got)
	}
	_, served := between(30, 50)
	near(t, "bought", r.Bought[0].Volume, served*1.05)
	if got := aboutTopic(r, survey.AboutOrder); strings.Count(got, "not served: ") != 2 {
		t.Errorf("%s", got)
	}
	if got := solved(t, rampJob, ramp).UnservedText().In(styleOf(r)); got != "" {
		t.Errorf("all served: %q", got)
	}
}

// Refused are two materials by truck, which need two plants, a price in a unit in which
// the material is not sold, and an impossible unit weight.
func TestMaterialsThatMeanNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, want string }{
		{"[[materials]]\nname = \"a\"\ngreatest = \"50mm\"\n[[materials]]\nname = \"b\"\n", "a and b, both by the truck"},
		{"[[materials]]\nname = \"a\"\nprice-per-bag = 5\n", "materials[1].price-per-bag: found a price of bags without their yield"},
		{"[[materials]]\nname = \"a\"\nbag-yield = \"12L\"\nprice-per-m3 = 5\n", "materials[1].bag-yield: found a price by volume of what comes in bags"},
		{"[[materials]]\nname = \"a\"\nprice-per-m2 = 5\n", "priced by area"},
		{"[[materials]]\nname = \"a\"\nunit-weight-kgm3 = 99\n", "materials[1].unit-weight-kgm3"},
		{"[[materials]]\nname = \"foam\"\ncompare-only = true\nunit-weight-kgm3 = 9\n", "materials[1].unit-weight-kgm3"},
		{"[[materials]]\nname = \"a\"\nleast = \"60mm\"\ngreatest = \"40mm\"\n", "materials[1].greatest"},
		{"[[materials]]\nname = \"a\"\nbag-yield = \"12\"\n", "materials[1].bag-yield"},
		{"[[materials]]\nname = \"a\"\nlifts = -1\n", "materials[1]"},
		{"[[materials]]\nname = \"a\"\n[[materials]]\nname = \"a\"\n", "materials"},
		{"[[materials]]\nname = \"a\"\nprice-per-m3 = 5\nprice-per-yd3 = 5\n", "materials[1].price-per-yd3: found two prices, want one of price-per-m3 and price-per-yd3"},
		{"[[materials]]\nname = \"a\"\nworking-time = \"soon\"\n", "materials[1].working-time"},
		{"[[materials]]\nbag-yield = \"12L\"\n", "materials[1].name: found none, want a name for the material: name = "},
	} {
		if err := hinted(refused(t, rampJob+c.text, ramp)); !strings.HasPrefix(err, "job.toml:") || !strings.Contains(err, c.want) {
			t.Errorf("%s\n%s\nwant %s", c.text, err, c.want)
		}
	}
}

// Coats by hand over 24 m² of floor that falls 80 mm in 6 m. A coat that covers 6 m²/L
// takes area/6. With one part of water to one of product half is product. Passes that
// overlap by 20 % take 1/(1−0.2) of it. Packs are whole.
func TestCoats(t *testing.T) {
	t.Parallel()
	real := 24 * math.Hypot(1, 0.08/6)
	for _, c := range []struct {
		text    string
		mixed   float64 // L
		product float64
		packs   int
	}{
		{"cover-m2-per-litre = 6\n", real / 6, real / 6, 0},
		{"cover-m2-per-litre = 6\npack-litres = 5\n", real / 6, real / 6, 1},
		{"cover-m2-per-litre = 6\ncoats = 2\npack-litres = 5\n", real / 3, real / 3, 2},
		{"cover-m2-per-litre = 6\ncoats = 2\nwater-parts = 1\npack-litres = 5\n", real / 3, real / 6, 1},
		{"cover-m2-per-litre = 6\ncoats = 2\nwater-parts = 3\npack-litres = 1\n", real / 3, real / 12, 3},
		{"cover-m2-per-litre = 6\noverlap-percent = 20\npack-litres = 1\n", real / 6 / 0.8, real / 6 / 0.8, 6},
		{"cover-m2-per-litre = 6\nfirst-cover-m2-per-litre = 4\ncoats = 2\npack-litres = 1\n", real/4 + real/6, real/4 + real/6, 11},
		{"cover-m2-per-litre = 6\nallowance-percent = 10\npack-litres = 1\n", real / 6 * 1.1, real / 6 * 1.1, 5},
	} {
		r := solved(t, rampJob+"[[coats]]\nname = \"primer\"\n"+c.text, ramp)
		if len(r.Coats) != 1 {
			t.Fatalf("%d coats", len(r.Coats))
		}
		got := r.Coats[0]
		near(t, c.text+"mixed", got.Mixed, c.mixed)
		near(t, c.text+"product", got.Product, c.product)
		near(t, c.text+"water", got.Coating.Water, c.mixed-c.product)
		if got.Packs != c.packs {
			t.Errorf("%s%d packs, want %d", c.text, got.Packs, c.packs)
		}
	}
	for _, c := range []struct{ text, want string }{
		{"name = \"primer\"\n", "coats[1]"}, {"cover-m2-per-litre = -1\n", "coats[1]"}, {"cover-m2-per-litre = 6\noverlap-percent = 100\n", "coats[1]"}, {"cover-m2-per-litre = 6\ncoats = -1\n", "coats[1]"},
	} {
		if err := hinted(refused(t, rampJob+"[[coats]]\n"+c.text, ramp)); !strings.Contains(err, c.want) || !strings.HasPrefix(err, "job.toml:") {
			t.Errorf("%s%s", c.text, err)
		}
	}
}

// Film and foam by hand along 14 m of wall of 4 by 3 m at 50 mm: film 50 mm high and 50
// mm above it, all around with one lap of 100 mm; foam of 5 mm over the depth.
func TestFilmAndFoam(t *testing.T) {
	t.Parallel()
	box := fstest.MapFS{"floor.csv": levelShots(9.95, 5, 4), "walls.csv": walls(4, 3)}
	edging := func(keys string) *Result { return solved(t, tenMetres+"[edge]\n"+keys, box) }
	r := edging("film = true\nroll = \"25m\"\nfoam = \"5mm\"\nfoam-piece = \"2m\"\n")
	e := r.Edging
	near(t, "walls", e.Length, 14)
	near(t, "height of film", e.FilmHeight, 0.1)
	near(t, "area of film", e.FilmArea, 1.4)
	near(t, "length of film", e.FilmLength, 14.1)
	near(t, "height of foam", e.FoamHeight, 0.05)
	near(t, "length of foam", e.FoamLength, 14)
	near(t, "mix that the foam replaces", e.Displaced, 14*0.005*0.05)
	if e.Rolls != 1 || e.Laps != 1 || e.Pieces != 7 {
		t.Errorf("%d rolls, %d laps, %d pieces; want 1, 1 and 7", e.Rolls, e.Laps, e.Pieces)
	}
	// With a foot, another lap and more above; a roll of 10 m ends once on the way.
	e = edging("film = true\nabove = \"100mm\"\nfoot = \"150mm\"\nlap = \"200mm\"\nroll = \"10m\"\n").Edging
	near(t, "height of film with a foot", e.FilmHeight, 0.05+0.1+0.15)
	near(t, "area of film with a foot", e.FilmArea, 14*0.3)
	if e.Rolls != 2 || e.Laps != 2 || e.Pieces != 0 || e.FoamLength != 0 {
		t.Errorf("%+v, want 2 rolls with 2 laps and no foam", e)
	}
	near(t, "length of film in two rolls", e.FilmLength, 14+2*0.2)
	// Foam 30 mm high in two courses over 50 mm.
	e = edging("foam = \"5mm\"\nfoam-height = \"30mm\"\nfoam-piece = \"1m\"\n").Edging
	near(t, "foam in two courses", e.FoamLength, 28)
	if e.Pieces != 28 || e.FilmLength != 0 {
		t.Errorf("%+v, want 28 pieces and no film", e)
	}
	// With 10 % for corners.
	e = edging("foam = \"5mm\"\nallowance-percent = 10\n").Edging
	near(t, "foam with an allowance", e.FoamLength, 15.4)
	// A column has walls too.
	r = solved(t, tenMetres+"[edge]\nfoam = \"5mm\"\n", fstest.MapFS{"floor.csv": levelShots(9.95, 5, 4), "walls.csv": {Data: []byte(outlineOf(rectangle(0, 0, 4, 3), rectangle(1.25, 1.25, 0.5, 0.5)))}})
	near(t, "foam round a column", r.Edging.FoamLength, 16)

	for _, c := range []struct{ text, want string }{
		{"[edge]\nroll = \"25m\"\n", "edge: found neither film nor foam"},
		{"[edge]\nfilm = true\nfoot = \"100mm\"\n[site]\nbonded = true\n", "film under a bonded fill"},
		{"[edge]\nfilm = true\nprice-per-roll = 5\n", "edge.price-per-roll: found a price of rolls without their length"},
		{"[edge]\nfoam = \"5mm\"\nprice-per-piece = 5\n", "edge.price-per-piece: found a price of pieces of foam without their length"},
	} {
		if err := hinted(refused(t, tenMetres+c.text, box)); !strings.Contains(err, c.want) || !strings.HasPrefix(err, "job.toml:") {
			t.Errorf("%s%s\nwant %s", c.text, err, c.want)
		}
	}
}

// Joints by hand. A cut is a quarter of the depth, min 1 in, or all of a thinner fill. A
// bonded fill is cut through at its deepest. Elastic filler is half as deep as the joint
// is wide, 6 to 13 mm; below it is a rod a quarter wider than the joint.
func TestJoints(t *testing.T) {
	t.Parallel()
	box := func(depth float64) fstest.MapFS { return hallOf(depth) }
	for _, c := range []struct {
		depth     float64
		keys      string
		cut, fill float64 // m; NaN: not checked here
		filler    float64 // L
		packs     int
		rod       float64
		more      string
	}{
		{0.16, "length = \"10m\"\nwidth = \"6mm\"\n", 0.04, 0.04, 10 * 6 * 0.04, 0, 0, ""},
		{0.16, "length = \"10m\"\nwidth = \"6mm\"\npack-litres = 0.6\n", 0.04, 0.04, 2.4, 4, 0, ""},
		{0.16, "length = \"10m\"\nwidth = \"6mm\"\nallowance-percent = 10\npack-litres = 0.6\n", 0.04, 0.04, 2.64, 5, 0, ""},
		{0.16, "length = \"10m\"\n", 0.04, 0.04, 10 * 3 * 0.04, 0, 0, ""}, // a saw blade, 3 mm
		{0.2, "length = \"5m\"\nwidth = \"20mm\"\nelastic = true\n", 0.05, 0.01, 5 * 20 * 0.01, 0, 5, ""},
		{0.2, "length = \"5m\"\nwidth = \"6mm\"\nelastic = true\n", 0.05, 0.006, 5 * 6 * 0.006, 0, 5, ""},
		{0.2, "length = \"5m\"\nwidth = \"40mm\"\nelastic = true\n", 0.05, 0.013, 5 * 40 * 0.013, 0, 0, ""}, // 37 mm below it are too shallow for a rod of 50
		{0.16, "length = \"10m\"\nwidth = \"6mm\"\n", 0.16, 0.16, 10 * 6 * 0.16, 0, 0, "[site]\nbonded = true\n"},
		{0.02, "length = \"10m\"\nwidth = \"6mm\"\n", 0.02, 0.02, 10 * 6 * 0.02, 0, 0, ""},
	} {
		r := solved(t, tenMetres+"[joints]\nkind = \"contraction\"\n"+c.keys+c.more, box(c.depth))
		j := r.Joints
		if j == nil {
			t.Fatalf("%s: no joints", c.keys)
		}
		what := fmt.Sprintf("%g m, %s", c.depth, c.keys)
		near(t, what+"cut", j.Cut, c.cut)
		near(t, what+"fill", j.Fill, c.fill)
		near(t, what+"filler", j.Filler, c.filler)
		near(t, what+"rod", j.Rod, c.rod)
		if j.Packs != c.packs {
			t.Errorf("%s%d packs, want %d", what, j.Packs, c.packs)
		}
	}
	for _, c := range []struct{ text, want string }{
		{"[joints]\nwidth = \"6mm\"\n", "joints.length"}, {"[joints]\nkind = \"saw\"\nlength = \"6m\"\n", `joints.kind: found "saw", want "movement" or "contraction"`}, {"[joints]\nlength = \"6m\"\nprice-per-pack = 8\npack-litres = 0.3\n", "joints.width: found none"},
		{"[joints]\nlength = \"6m\"\nwidth = \"6mm\"\nprice-per-pack = 8\n", "joints.price-per-pack: found a price of packs without their size"},
		{"[joints]\nlength = \"6m\"\nrod-price-per-m = 1\nrod-price-per-ft = 1\n", "joints.rod-price-per-ft: found two prices"},
	} {
		if err := hinted(refused(t, tenMetres+c.text, box(0.1))); !strings.Contains(err, c.want) || !strings.HasPrefix(err, "job.toml:") {
			t.Errorf("%s%s\nwant %s", c.text, err, c.want)
		}
	}
	// Contraction joints are 24 to 36 times the mean depth apart, max 18 ft (PCA
	// table).
	r := solved(t, tenMetres, box(0.1))
	near(t, "closest joints", r.Supplies.Spacing.Least, 2.4)
	near(t, "farthest joints", r.Supplies.Spacing.Most, 3.6)
	r = solved(t, tenMetres, box(0.2))
	near(t, "no farther than 18 ft", r.Supplies.Spacing.Most, 18*0.3048)
	if r = solved(t, tenMetres+"[site]\nbonded = true\n", box(0.1)); r.Supplies.Spacing.Most != 0 {
		t.Errorf("a bonded fill has joints of its own: %+v", r.Supplies.Spacing)
	}
}
