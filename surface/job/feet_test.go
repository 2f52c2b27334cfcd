package job

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/order"
	"pourplane/survey/unit"
)

const (
	foot  = 0.3048
	inch  = 0.0254
	pound = 0.45359237
)

// roomInFeet is a room of 20 by 15 ft, level at a depth in inches below 100 ft.
func roomInFeet(depth float64) fstest.MapFS {
	text := "point,x (ft),y (ft),z (ft)\n"
	n := 0
	for x := 0; x <= 20; x += 5 {
		for y := 0; y <= 15; y += 5 {
			n++
			text += fmt.Sprintf("%d,%d,%d,%.9f\n", 100+n, x, y, 100-depth/12)
		}
	}
	return fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": {Data: []byte("x (ft),y (ft)\n0,0\n20,0\n20,15\n0,15\n")}}
}

// hundredFeet is the job of the ramp with a target at 100 ft.
var hundredFeet = strings.Replace(rampJob, `"0m"`, `"100ft"`, 1)

// Bars of a slab of 20 by 15 ft, #4 at 18 in both ways and 3 in from the edges, by hand:
// clear lengths of 234 and 174 in. 13 spaces need 14 bars of 174 in; 9.67 round up to 10
// spaces, 11 bars of 234 in. #4 is 0.668 lb/ft (a table of bars, ASTM A615).
func TestBarsInInches(t *testing.T) {
	t.Parallel()
	r := solved(t, hundredFeet+"[bars]\nsize = \"#4\"\nspacing = \"18in\"\nedge-cover = \"3in\"\nstock-length = \"20ft\"\n", roomInFeet(6))
	b := r.Bars
	total := 14*174.0 + 11*234
	near(t, "length, in", b.Total/inch, total)
	isWithin(t, "mass, lb", b.Mass/pound, total/12*0.668, 0.05)
	if b.Count != 25 || b.Laps != 0 || b.Stock != 25 {
		t.Errorf("%d bars, %d laps, %d of stock; want 25, none and 25", b.Count, b.Laps, b.Stock)
	}
	// Two bars of 9 ft come from one of 20 ft.
	r = solved(t, hundredFeet+"[bars]\nsize = \"#4\"\nspacing = \"18in\"\nedge-cover = \"3in\"\nstock-length = \"40ft\"\n", roomInFeet(6))
	// 40 ft hold two bars of either length (234 + 234 = 468 in, 174 + 174 or 234 +
	// 174), but not three: 480 in.
	if want := 13; r.Bars.Stock != want {
		t.Errorf("%d bars of 40 ft, want %d", r.Bars.Stock, want)
	}
}

// Coats in US figures by hand: 300 ft² at 200 ft²/gal are 1.5 gal, 2 packs; with two
// coats 3.
func TestCoatsInGallons(t *testing.T) {
	t.Parallel()
	const gallon = 3.785411784
	for coats, packs := range map[int]int{1: 2, 2: 3} {
		r := solved(t, fmt.Sprintf("%s[[coats]]\nname = \"primer\"\ncover-ft2-per-gallon = 200\npack-gallons = 1\nprice-per-pack = 40\ncoats = %d\n", hundredFeet, coats), roomInFeet(2))
		near(t, "product, gal", r.Coats[0].Product/gallon, 1.5*float64(coats))
		if r.Coats[0].Packs != packs {
			t.Errorf("%d coats: %d packs, want %d", coats, r.Coats[0].Packs, packs)
		}
		near(t, "price", totalOf(t, r, "Coat: primer").Amount(), 40*float64(packs))
	}
}

// Film and foam along 70 ft of wall: a roll of 100 ft, and pieces of 4 ft.
func TestEdgesInFeet(t *testing.T) {
	t.Parallel()
	e := solved(t, hundredFeet+"[edge]\nfilm = true\nroll = \"100ft\"\nlap = \"6in\"\nabove = \"2in\"\nfoam = \"1/4in\"\nfoam-piece = \"4ft\"\n", roomInFeet(3)).Edging
	near(t, "walls, ft", e.Length/foot, 70)
	near(t, "height of film, in", e.FilmHeight/inch, 5)
	near(t, "length of film, ft", e.FilmLength/foot, 70.5)
	near(t, "displaced, ft³", e.Displaced/(foot*foot*foot), 70.0*3/12/48)
	if e.Rolls != 1 || e.Pieces != 18 {
		t.Errorf("%d rolls, %d pieces; want 1 and 18 of 4 ft for 70", e.Rolls, e.Pieces)
	}
}

// Joints in inches: a quarter of 6 in is 1 1/2 in. Elastic filler is half as deep as the
// joint is wide, from 1/4 to 1/2 in (handbook of architectural detailing).
func TestJointsInInches(t *testing.T) {
	t.Parallel()
	for width, fill := range map[string]float64{"3/8in": 0.25, "3/4in": 0.375, "1in": 0.5, "1 1/2in": 0.5} {
		j := solved(t, hundredFeet+"[joints]\nkind = \"contraction\"\nlength = \"20ft\"\nelastic = true\nwidth = \""+width+"\"\n", roomInFeet(6)).Joints
		isWithin(t, width+": cut, in", j.Cut/inch, 1.5, 1e-9)
		isWithin(t, width+": fill, in", j.Fill/inch, fill, 1.0/16+1e-9)
		if j.Fill > fill*inch+1e-9 && fill == 0.5 {
			t.Errorf("%s: filler %g in deep, want at most 1/2", width, j.Fill/inch)
		}
	}
}

// Bags of 80 lb yield 0.6 ft³ (two trade tables): a room of 20 by 15 ft at 1 in is 25
// ft³, 26.25 with 5 %, 43.75 bags. That is too thin for concrete, 1 1/2 in, so nothing
// is ordered until the job asks for it.
func TestBagsOfPounds(t *testing.T) {
	t.Parallel()
	r := solved(t, hundredFeet, roomInFeet(1))
	if !r.Open || r.Bag != nil {
		t.Errorf("open %v, bags %+v", r.Open, r.Bag)
	}
	r = solved(t, hundredFeet+"[mix]\nprice-per-bag = 6\n", roomInFeet(1))
	isWithin(t, "fill, ft³", r.Filled.Fill.Fill/(foot*foot*foot), 25, 1e-6)
	if r.Bag == nil || r.Bag.Count != 44 {
		t.Fatalf("%+v, want 44 bags", r.Bag)
	}
	near(t, "dry mass, lb", r.Bag.Bags.Mass/pound, 44*80)
	near(t, "price", r.Total.Cost.Amount, 44*6)
}

// Trucks by the yard: 300 ft² at 6 in are 5.556 yd³, 5.833 with 5 %, ordered as 6 in one
// truck, which is not a short load. At 5 in 4.63, 4.861 and 5 are, which is one.
func TestTrucksByTheYard(t *testing.T) {
	t.Parallel()
	for depth, want := range map[float64]struct {
		order float64
		short bool
	}{6: {6, false}, 5: {5, true}, 12: {11.75, true}, 8: {8, false}} {
		r := solved(t, hundredFeet, roomInFeet(depth))
		near(t, fmt.Sprintf("%g in", depth), r.Delivery.Volume/order.CubicYard, want.order)
		short := false
		for _, n := range r.Delivery.Notes {
			short = short || strings.Contains(n.In(styleOf(r)), "extra")
		}
		if short != want.short {
			t.Errorf("%g in: short %v, want %v", depth, short, want.short)
		}
	}
}

// Pins on a rule in sixteenths: marks are whole sixteenths at or below the target.
func TestPinsInSixteenths(t *testing.T) {
	t.Parallel()
	r := solved(t, hundredFeet+"[pins]\nspacing = \"5ft\"\n", roomInFeet(3.03))
	for _, p := range r.Pins.Pins {
		if n := p.Height / inch * 16; math.Abs(n-math.Round(n)) > 1e-6 || math.Abs(n-48) > 1e-6 {
			t.Errorf("pin %s of %g sixteenths, want 48 of 48.48", p.Name, n)
		}
	}
}

// A pour by the yard: 6 yd³ at 8 yd³/h is 45 min.
func TestPaceByTheYard(t *testing.T) {
	t.Parallel()
	s := solved(t, hundredFeet+"[pace]\nplacing-yd3-per-hour = 8\n", roomInFeet(6)).Supplies.Schedule
	isWithin(t, "placing, min", s.Placing.Minutes(), 45, 1e-6)
	isWithin(t, "ends, min", s.Ends.Minutes(), 45, 1e-6)
	if len(s.Trucks) != 1 {
		t.Errorf("%d trucks", len(s.Trucks))
	}
}

// The usual min thickness of bonded concrete is round in the unit of the survey, whatever is
// shown: 1 1/2 in in a room in feet, 40 mm in a metric one. A fill of exactly that is not too
// thin, and 1/16 in or 1 mm less is.
func TestLeastConcreteIsRoundInTheUnitOfTheSurvey(t *testing.T) {
	t.Parallel()
	for _, show := range []string{"", "show = \"metric\"\n", "show = \"feet\"\n"} {
		feet := "1 1/2\""
		if strings.Contains(show, "metric") {
			feet = "1 1/2\" (38.1 mm)"
		}
		metric := "40 mm"
		if strings.Contains(show, "feet") {
			metric = "40 mm (1.575\")"
		}
		for _, c := range []struct {
			job   string
			files fstest.MapFS
			want  string
		}{
			{hundredFeet, roomInFeet(1.5), ""}, {hundredFeet, roomInFeet(1.5625), ""}, {hundredFeet, roomInFeet(1.4375), feet},
			{tenMetres, hallOf(0.040), ""}, {tenMetres, hallOf(0.039), metric}, {tenMetres, hallOf(0.0385), metric},
		} {
			r := solved(t, show+c.job, c.files)
			us := strings.Contains(show, "feet") || show == "" && c.job == hundredFeet
			got := r.ThinText().In(unit.Style{Imperial: us})
			if c.want == "" && got != "" || !strings.Contains(got, c.want) || c.want != "" && !strings.Contains(got, "less than "+c.want+" deep, the usual minimum if bonded; not bonded") {
				t.Errorf("%q: %q, want %q", show, got, c.want)
			}
		}
	}
	bonded := solved(t, hundredFeet+"[site]\nbonded = true\n", roomInFeet(1)).ThinText().In(unit.Style{Imperial: true})
	if !strings.Contains(bonded, "the usual minimum of a bonded fill.") {
		t.Errorf("bonded: %q", bonded)
	}
}
