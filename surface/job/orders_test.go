package job

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/order"
	"pourplane/survey"
)

// hallOf is a floor of 10 by 8 m, level at a depth below 10 m.
func hallOf(depth float64) fstest.MapFS {
	return fstest.MapFS{"floor.csv": levelShots(10-depth, 11, 9), "walls.csv": walls(10, 8)}
}

func lineOf(t *testing.T, r *Result, name string) float64 {
	t.Helper()
	for _, l := range r.Takeoff.Items {
		if l.Name == name {
			return l.Volume
		}
	}
	t.Fatalf("no line %q in %+v", name, r.Takeoff.Items)
	return 0
}

// An order line by line, by hand on 80 m² at 100 mm, 8 m³: a rough floor of 1.5 mm takes
// 0.12, finishing 2 mm high 0.16; 5 % of 8.28 are 0.414; a line of 65 mm and 30 m holds
// π/4·0.065²·30 = 0.09955; the hopper 0.2 and priming 0.1 as given.
func TestTakeoffByHand(t *testing.T) {
	t.Parallel()
	r := solved(t, tenMetres+`[plant]
roughness = "1.5mm"
finish-high = "2mm"
line-bore = "65mm"
line-length = "30m"
hopper = "0.2m3"
priming = "100L"
truck = "6m3"
`, hallOf(0.1))
	line := math.Pi / 4 * 0.065 * 0.065 * 30
	for name, want := range map[string]float64{"Net": 8, "Rough floor": 0.12, "Finish high": 0.16, "Allowance": 0.05 * 8.28, "Pump line": line, "Hopper": 0.2, "Priming": 0.1} {
		near(t, name, lineOf(t, r, name), want)
	}
	need := 8.28*1.05 + line + 0.3
	near(t, "need", r.Takeoff.Need, need)
	near(t, "order, in steps of 0.25", r.Delivery.Volume, math.Ceil(need/0.25)*0.25)
	near(t, "rounded up", r.Delivery.Rounding.Volume, math.Ceil(need/0.25)*0.25-need)
	if r.Delivery.Trucks != 2 || math.Abs(r.Delivery.Full-6) > 1e-12 || math.Abs(r.Delivery.Last-3.25) > 1e-9 {
		t.Errorf("%d trucks of %g and %g m³, want 2 of 6 and 3.25", r.Delivery.Trucks, r.Delivery.Full, r.Delivery.Last)
	}
	near(t, "load of all", r.Mix.Load.Mass, 8*2400)
	near(t, "mean load", r.Mix.Load.Mean, 240)
	near(t, "max load", r.Mix.Load.Most, 240)
}

// A slope has more area than its plan: roughness is taken along the slope. By hand 24 m²
// that fall 80 mm in 6 m.
func TestRoughnessIsAlongTheFloor(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob+"[plant]\nroughness = \"2mm\"\ntruck = \"6m3\"\n", ramp)
	near(t, "rough floor", lineOf(t, r, "Rough floor"), 0.002*24*math.Hypot(1, 0.08/6))
}

// Orders are whole steps, rounded up; a whole number of steps is unchanged.
func TestOrderSteps(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		depth, allowance float64
		step             string
		want             float64
	}{
		{0.1, 0, "", 8}, {0.1, 5, "", 8.5}, {0.1, 3.125, "", 8.25}, {0.1, 3.2, "", 8.5},
		{0.1, 0, "order-step = \"0.1m3\"\n", 8}, {0.1, 1, "order-step = \"0.1m3\"\n", 8.1}, {0.1, 5, "order-step = \"1m3\"\n", 9},
		{0.1, 0, "order-step = \"3m3\"\n", 9}, {0.1, 0, "order-step = \"1yd3\"\n", 11 * 0.764554857984}, {0.05, 100, "", 8},
	} {
		text := fmt.Sprintf("%s[mix]\nallowance-percent = %g\n%s", tenMetres, c.allowance, c.step)
		r := solved(t, text, hallOf(c.depth))
		near(t, fmt.Sprintf("%g m and %g %%, %s", c.depth, c.allowance, c.step), r.Delivery.Volume, c.want)
		near(t, "order of the mix", r.Mix.Order, c.want)
	}
}

// An allowance of 0.05 is 0.05 %, of which the order warns: 5 % as a fraction. None at all
// and 1 % are taken as they are.
func TestAllowanceAsFraction(t *testing.T) {
	t.Parallel()
	for allowance, want := range map[string]bool{"0.0": false, "0.05": true, "0.99": true, "1": false, "5": false} {
		r := solved(t, tenMetres+"[mix]\nallowance-percent = "+allowance+"\n", hallOf(0.1))
		if got := aboutTopic(r, survey.AboutOrder); strings.Contains(got, "the allowance is "+allowance+" %: it is given in percent, 5 for 5 %") != want {
			t.Errorf("%s %%: %s", allowance, got)
		}
	}
}

// Trucks by hand: full loads first, the last one smaller. The usual truck is 6 m³ in
// metres, 10 yd³ in feet (common practice, no source), and a last load below 0.6 of a
// truck costs extra.
func TestTrucks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		depth  float64
		truck  string
		trucks int
		last   float64
		short  bool
	}{
		{0.1, "", 2, 2, true}, {0.15, "", 2, 6, false}, {0.12, "", 2, 3.75, false}, {0.118, "", 2, 3.5, true},
		{0.1, "truck = \"8m3\"\n", 1, 8, false}, {0.1, "truck = \"7.5m3\"\n", 2, 0.5, true}, {0.1, "truck = \"4m3\"\n", 2, 4, false}, {0.1, "truck = \"2m3\"\n", 4, 2, false},
		{0.1, "short-load = \"1.9m3\"\n", 2, 2, false}, {0.1, "short-load = \"2.1m3\"\n", 2, 2, true},
	} {
		text := tenMetres + "[mix]\nallowance-percent = 0\n"
		if c.truck != "" {
			text += "[plant]\n" + c.truck
		}
		r := solved(t, text, hallOf(c.depth))
		if r.Delivery.Trucks != c.trucks || math.Abs(r.Delivery.Last-c.last) > 1e-9 {
			t.Errorf("%g m, %s: %d trucks, the last of %g m³, want %d and %g", c.depth, c.truck, r.Delivery.Trucks, r.Delivery.Last, c.trucks, c.last)
		}
		short := false
		for _, n := range r.Delivery.Notes {
			short = short || strings.Contains(n.In(styleOf(r)), "extra")
		}
		if short != c.short {
			t.Errorf("%g m, %s: a short load: %v, want %v: %v", c.depth, c.truck, short, c.short, r.Delivery.Notes)
		}
	}
}

// Usual figures follow the units of the survey: in feet a truck of 10 yd³ and steps of
// 1/4 yd³. 20 by 16 ft at 12 in are 320 ft³, 11.852 yd³.
func TestUsualFiguresOfFeet(t *testing.T) {
	t.Parallel()
	text := "point,x (ft),y (ft),z (ft)\n"
	for i := range 6 {
		for k := range 5 {
			text += fmt.Sprintf("%d,%d,%d,9\n", 101+5*i+k, 4*i, 4*k)
		}
	}
	files := fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": {Data: []byte("x (ft),y (ft)\n0,0\n20,0\n20,16\n0,16\n")}}
	r := solved(t, strings.Replace(rampJob, `"0m"`, `"10ft"`, 1)+"[mix]\nallowance-percent = 0\n", files)
	near(t, "fill", r.Filled.Fill.Fill, 320*0.3048*0.3048*0.3048)
	near(t, "order", r.Delivery.Volume, 12*order.CubicYard)
	if r.Delivery.Trucks != 2 {
		t.Errorf("%d trucks", r.Delivery.Trucks)
	}
	near(t, "full", r.Delivery.Full, 10*order.CubicYard)
	near(t, "last", r.Delivery.Last, 2*order.CubicYard)
}

// Less than a cubic metre is ordered in bags of 25 kg that yield 11.7 L (0.15 ft³ per 20
// lb). By hand: 2.4 m² at 50 mm, 0.12 m³; with 5 % 0.126 m³, 10.77 bags. With any key
// about a plant the order goes to the plant.
func TestBagsOrTruck(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"floor.csv": grid(3, 3, flat(9.95)), "walls.csv": walls(2, 2)}
	const yield = 0.15 * 0.3048 * 0.3048 * 0.3048 * 25 / (20 * 0.45359237)
	r := solved(t, tenMetres, files)
	if r.Bag == nil || r.Delivery.Trucks != 0 || r.Mix.Order != 0 {
		t.Fatalf("bags %+v, %d trucks", r.Bag, r.Delivery.Trucks)
	}
	near(t, "yield", r.Bag.Yield, yield)
	if want := int(math.Ceil(4 * 0.05 * 1.05 / yield)); r.Bag.Count != want {
		t.Errorf("%d bags, want %d", r.Bag.Count, want)
	}
	near(t, "dry mass", r.Bag.Bags.Mass, 25*float64(r.Bag.Count))
	for _, plant := range []string{"[plant]\ntruck = \"6m3\"\n", "[mix]\norder-step = \"0.5m3\"\n", "[mix]\nprice-per-m3 = 150\n", "[pace]\ntravel = \"20min\"\n", "[pace]\nmixed-on-site = true\n", "[plant]\nhopper = \"0.1m3\"\n", "[pace]\ntruck-spacing = \"30min\"\n", "[pace]\ndischarge = \"60min\"\n"} {
		if r := solved(t, tenMetres+plant, files); r.Bag != nil || r.Delivery.Trucks == 0 {
			t.Errorf("%s: bags %+v, %d trucks", plant, r.Bag, r.Delivery.Trucks)
		}
	}
	// Keys that are not about a plant leave the order in bags.
	for _, other := range []string{"[plant]\nroughness = \"1mm\"\n", "[plant]\nfinish-high = \"2mm\"\n", "[mix]\nallowance-percent = 10\n", "[pace]\nplacing-m3-per-hour = 1\n", "[mix]\nprice-per-bag = 5\n"} {
		if r := solved(t, tenMetres+other, files); r.Bag == nil || r.Delivery.Trucks != 0 {
			t.Errorf("%s: bags %+v, %d trucks", other, r.Bag, r.Delivery.Trucks)
		}
	}
}

// If 90 % or more of the fill is thinner than concrete is laid, 40 mm bonded, no
// concrete is ordered unless asked for (own choice). On the ramp a target 44 mm lower
// leaves 12.857 m², of which all is thin; at 0 it is a quarter.
func TestTooThinForAnOrder(t *testing.T) {
	t.Parallel()
	at := func(z, more string) *Result { return solved(t, strings.Replace(rampJob, `"0m"`, z, 1)+more, ramp) }
	r := at(`"0m"`, "")
	near(t, "thin area", r.Thin.Area, 6)
	near(t, "thin volume", r.Thin.Volume, 6*0.03)
	if r.Open || !strings.Contains(aboutTopic(r, survey.AboutOrder), "too thin for concrete on 6.00 m² (25 % of the filled area), 0.18 m³ of fill") {
		t.Errorf("open %v: %s", r.Open, aboutTopic(r, survey.AboutOrder))
	}
	// From x 1.5 m, where the depth is 0, to 60 mm at 6 m; 40 mm is at x 4.5 m, so two
	// thirds are within 40 mm.
	if r = at(`"-0.04m"`, ""); r.Open {
		t.Error("two thirds are thin: want an order")
	}
	// Max depth 44 mm: 40 of 44 mm are 91 % of the width.
	if r = at(`"-0.056m"`, ""); !r.Open || r.Delivery.Trucks != 0 || r.Bag != nil || r.Mix.Order != 0 {
		t.Errorf("91 %% thin: open %v, %d trucks, bags %v", r.Open, r.Delivery.Trucks, r.Bag)
	}
	// 45 mm: 89 %.
	if r = at(`"-0.055m"`, ""); r.Open {
		t.Error("89 % are thin: want an order")
	}
	for _, asked := range []string{"[plant]\ntruck = \"6m3\"\n", "[mix]\nprice-per-bag = 5\n", "[mix]\nprice-per-m3 = 150\n"} {
		if r = at(`"-0.056m"`, asked); r.Open {
			t.Errorf("%s: open, want an order", asked)
		}
	}
}

// An impossible plant, order or mix is refused at its key, with the allowed values.
func TestOrdersThatMeanNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, want string }{
		{"[mix]\nallowance-percent = -1\n", "mix.allowance-percent"},
		{"[mix]\nallowance-percent = 101\n", "found 101, want percent between 0 and 100"},
		{"[mix]\norder-step = \"-1m3\"\n", "mix.order-step"},
		{"[mix]\norder-step = \"some\"\n", "mix.order-step"},
		{"[mix]\nunit-weight-kgm3 = 99\n", "found 99 kg/m³ (6.18 lb/ft³), want between 100 and 10000"},
		{"[mix]\nunit-weight-kgm3 = 10001\n", "found 10001 kg/m³ (624.3 lb/ft³), want between 100 and 10000"},
		{"[mix]\nprice-per-m3 = -5\n", "mix.price-per-m3"},
		{"[plant]\nline-bore = \"65mm\"\n", "plant.line-bore and plant.line-length go together"},
		{"[plant]\nline-length = \"30m\"\n", "go together"},
		{"[plant]\ntruck = \"0m3\"\n", "plant.truck"},
		{"[plant]\nhopper = \"0L\"\n", "plant.hopper"},
		{"[plant]\nroughness = \"21mm\"\n", "plant.roughness"},
		{"[plant]\nfinish-high = \"-1mm\"\n", "plant.finish-high"},
		{"[plant]\ntruck = \"6m3\"\nshort-load = \"7m3\"\n", "plant.short-load"},
		{"[plant]\ntruck = \"6m3\"\n[pace]\nmixed-on-site = true\n", "pace.mixed-on-site: found trucks in [plant] as well"},
		{"[pace]\nplacing-m3-per-hour = -1\n", "pace"},
		{"[pace]\ntravel = \"far\"\n", "pace.travel"},
		{"[pace]\nworking-time = \"-5min\"\n", "pace.working-time"},
		{"[site]\nbearing = \"stilts\"\n", `site.bearing: found "stilts", want ground or suspended`},
		{"[outputs]\npaper = \"A3\"\n", `outputs.paper: found "A3", want A4 or Letter`},
	} {
		if err := hinted(refused(t, tenMetres+c.text, hallOf(0.1))); !strings.HasPrefix(err, "job.toml:") || !strings.Contains(err, c.want) {
			t.Errorf("%s\n%s\nwant %s", c.text, err, c.want)
		}
	}
}

// The clock by hand: 12 m³ at 6 m³/h in two trucks. The first arrives at 0, batched 30
// min before (the usual travel), and is empty after 60 min. The second comes then, or at
// its spacing: after 90 min the crew is idle for 30, after 30 min it waits for 30.
func TestClockByHand(t *testing.T) {
	t.Parallel()
	const minute = 60e9
	for _, c := range []struct {
		pace                         string
		arrives, starts, ends        float64 // of the second truck, min
		waits, idle, late            float64 // min, min, m³
		placing, all, batched, first float64 // first: batched, min
	}{
		{"", 60, 60, 120, 0, 0, 0, 120, 120, 30, -30},
		{"travel = \"15min\"\n", 60, 60, 120, 0, 0, 0, 120, 120, 45, -15},
		{"truck-spacing = \"90min\"\n", 90, 90, 150, 0, 30, 0, 120, 150, 60, -30},
		{"truck-spacing = \"30min\"\n", 30, 60, 120, 30, 0, 3, 120, 120, 0, -30},
		{"travel = \"45min\"\n", 60, 60, 120, 0, 0, 1.5, 120, 120, 15, -45},
		{"discharge = \"60min\"\n", 60, 60, 120, 0, 0, 3, 120, 120, 30, -30},
		{"placing-m3-per-hour = 12\n", 30, 30, 60, 0, 0, 0, 60, 60, 0, -30},
	} {
		r := solved(t, tenMetres+"[mix]\nallowance-percent = 0\n[pace]\n"+c.pace, hallOf(0.15))
		s := r.Supplies.Schedule
		if s == nil || len(s.Trucks) != 2 {
			t.Fatalf("%s: %+v, want two trucks", c.pace, s)
		}
		second := s.Trucks[1]
		for what, v := range map[string][2]float64{"arrives": {float64(second.Arrives), c.arrives}, "starts": {float64(second.Starts), c.starts}, "ends": {float64(second.Ends), c.ends}, "waits": {float64(second.Waits), c.waits}, "idle": {float64(second.Idle), c.idle},
			"placing": {float64(s.Placing), c.placing}, "in all": {float64(s.Ends), c.all}, "batched": {float64(second.Batched), c.batched}, "the first is batched": {float64(s.Trucks[0].Batched), c.first}} {
			isWithin(t, c.pace+" "+what, v[0]/minute, v[1], 1e-6)
		}
		near(t, c.pace+" late", second.Late, c.late)
	}
}

// The working time limits a bay: 2 m³/h for 30 min is a bay of 1 m³. Mixed on site there
// are no trucks.
func TestBaysByTheClock(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob+"[mix]\norder-step = \"0.25m3\"\n[pace]\nplacing-m3-per-hour = 2\nworking-time = \"30min\"\nmixed-on-site = true\n", ramp)
	s := r.Supplies.Schedule
	near(t, "volume", s.Volume, 1.75)
	near(t, "bay", s.Bay, 1)
	if s.Bays != 2 || len(s.Trucks) != 0 || r.Bays == nil || len(r.Bays.Bays) != 2 {
		t.Errorf("%d bays, %d trucks, laid out: %+v", s.Bays, len(s.Trucks), r.Bays)
	}
	for _, b := range r.Bays.Bays {
		if most := 1.44 / 1.75; b.Fill.Fill > most+1e-9 { // net share of the ordered volume
			t.Errorf("bay %s of %g m³, want at most %g", b.Name, b.Fill.Fill, most)
		}
	}
	// 10 of the 30 min are needed for the mix to level itself: two thirds of a bay.
	r = solved(t, rampJob+"[mix]\norder-step = \"0.25m3\"\n[pace]\nplacing-m3-per-hour = 2\nworking-time = \"30min\"\nlevel-time = \"10min\"\nmixed-on-site = true\n", ramp)
	near(t, "bay with time to level", r.Supplies.Schedule.Bay, 2.0/3)
}
