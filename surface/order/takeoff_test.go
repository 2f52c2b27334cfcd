package order

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// What covers ground parts is placed like the net volume: it has the allowance, and bays share it.
func TestGroundPartsAreOrdered(t *testing.T) {
	f := Floor{Net: 1, Area: 10, Greatest: 0.2}
	got, err := f.Takeoff(Losses{Ground: 0.2, Allowance: 0.05})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.Need-1.2*1.05) > 1e-12 || got.Volume(Ground) != 0.2 {
		t.Errorf("%+v", got)
	}
	if upTo := got.UpTo([]float64{0.5, 0.5}, []float64{5, 5}); math.Abs(upTo[1]-got.Need) > 1e-12 || math.Abs(upTo[0]-got.Need/2) > 1e-12 {
		t.Errorf("bays %v of %g", upTo, got.Need)
	}
	if _, err := f.Takeoff(Losses{Ground: -1}); err == nil {
		t.Error("less than nothing over ground parts")
	}
}

// near compares to a billionth, absolute or relative.
func near(t *testing.T, name string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-9*max(1, math.Abs(want))) {
		t.Errorf("%s = %.12g, want %.12g", name, got, want)
	}
}

func TestPublishedOrdersAreNeverRoundedDown(t *testing.T) {
	for _, c := range []struct {
		name      string
		floor     Floor
		allowance float64
		need      float64 // yd³, to two figures after the point
		want      float64 // yd³ in quarters
	}{
		// NAVEDTRA 14070, chapter 5: 527.40 ft³ + 10 % waste = 580.14 ft³ = 21.487 yd³,
		// which the manual prints as 21 and would run short.
		{"small building, US Navy manual", Floor{Net: 527.397 * foot3, Area: 1000 * foot * foot}, 0.10, 21.49, 21.50},
		// 2018 National Home Improvement Estimator, p. 42: 420 ft² at 4 in + 5 % = 5.44 yd³.
		{"drive, estimator's handbook", Floor{Net: 420 * 4.0 / 12 * foot3, Area: 420 * foot * foot}, 0.05, 5.44, 5.50},
		// Computed by hand: room 240 × 180 in, fill from 1.5 to 3.5 in along it: 2.5 × 43,200 =
		// 108,000 in³ = 62.5 ft³ = 2.3148 yd³; + 10 % = 2.5463.
		{"room with a fall", Floor{Net: 62.5 * foot3, Area: 300 * foot * foot, Least: 1.5 * inch, Greatest: 3.5 * inch}, 0.10, 2.55, 2.75},
	} {
		took, err := c.floor.Takeoff(Losses{Allowance: c.allowance})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if got := took.Need / CubicYard; math.Abs(got-c.need) > 0.005 {
			t.Errorf("%s: need = %.4f yd³, want %.2f", c.name, got, c.need)
		}
		d, err := Plant{Step: CubicYard / 4}.Deliver(took.Need)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		near(t, c.name+": order in yd³", d.CubicYards(), c.want)
	}
}

func TestEveryLossIsALine(t *testing.T) {
	// 40 m² at a mean of 50 mm; 41 m² along the floor. By hand: rough 0.001 × 41 = 0.041;
	// high 0.0015 × 40 = 0.060; 5 % of 2.101 = 0.10505; line π/4 × 0.05² × 20 = 0.03927 (20
	// L in 10 m of 50 mm); hopper 0.1.
	f := Floor{Net: 2, Area: 40, Real: 41, Greatest: 0.08}
	got, err := f.Takeoff(Losses{Roughness: 0.001, High: 0.0015, Allowance: 0.05, Bore: 0.05, Length: 20, Hopper: 0.1, Priming: 0.02})
	if err != nil {
		t.Fatal(err)
	}
	want := []float64{2, 0.041, 0.060, 0.10505, 0.0392699081699, 0.1, 0.02}
	if len(got.Items) != len(want) {
		t.Fatalf("%d lines, want %d", len(got.Items), len(want))
	}
	for i, l := range got.Items {
		near(t, l.Name, l.Volume, want[i])
	}
	near(t, "need", got.Need, 2.3653199081699)
	if how := got.Items[4].How.String(); how != "π/4 × bore² × length: 50 mm bore, 20.000 m" {
		t.Errorf("the line says %q", how)
	}
}

// In feet and inches a thin layer is a fraction where it is one: 1/16 in; 1 mm is 2.52 64ths
// and stays 1 mm. 41 m² are 441.3 ft².
func TestThinLayersInInches(t *testing.T) {
	f := Floor{Net: 2, Area: 40, Real: 41, Greatest: 0.08}
	for imperial, want := range map[bool][2]string{true: {"1.0 mm × 441.3 ft² along the old floor", "1/16\" × 430.6 ft²"}, false: {"1.0 mm × 41.00 m² along the old floor", "1.6 mm × 40.00 m²"}} {
		got, err := f.Takeoff(Losses{Roughness: 0.001, High: inch / 16})
		if err != nil {
			t.Fatal(err)
		}
		u := unit.Style{Imperial: imperial}
		if rough, high := got.Items[1].How.In(u), got.Items[2].How.In(u); rough != want[0] || high != want[1] {
			t.Errorf("the lines say %q and %q, want %q", rough, high, want)
		}
	}
}

// 100 × 0.07 is 7.000000000000001 in binary.
func TestPercentIsWritten(t *testing.T) {
	for allowance, want := range map[float64]string{0.07: "7 % of", 0.14: "14 % of", 0.025: "2.5 % of", 0.29: "29 % of"} {
		got, err := Floor{Net: 2, Area: 40}.Takeoff(Losses{Allowance: allowance})
		if err != nil {
			t.Fatal(err)
		}
		if how := got.Items[3].How.String(); !strings.HasPrefix(how, want) {
			t.Errorf("%g is written %q, want %q", allowance, how, want)
		}
		if allowance > 0.25 && !strings.Contains(words(got.Notes, survey.Warning), "allowance: 29 % is") {
			t.Errorf("%v", got.Notes)
		}
	}
}

func TestConcreteInAHundredFeetOfHose(t *testing.T) {
	// Computed from the bore (π d²/4): 2, 2.5, 3, 4, 5 in hold 0.081, 0.126, 0.182, 0.323, 0.505 yd³.
	for bore, want := range map[float64]float64{2: 0.081, 2.5: 0.126, 3: 0.182, 4: 0.323, 5: 0.505} {
		got, err := Floor{Net: 1, Area: 10}.Takeoff(Losses{US: true, Bore: bore * inch, Length: 100 * foot})
		if err != nil {
			t.Fatal(err)
		}
		if v := got.Items[4].Volume / CubicYard; math.Abs(v-want) > 0.0005 {
			t.Errorf("100 ft of %g in holds %.4f yd³, want %.3f", bore, v, want)
		}
		near(t, "hopper by default", got.Items[5].Volume, CubicYard/4)
	}
	got, err := Floor{Net: 1, Area: 10}.Takeoff(Losses{Bore: 0.05, Length: 30})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "hopper by default in metres", got.Items[5].Volume, 0.2)
}

func TestTrucksCarryWholeSteps(t *testing.T) {
	for _, c := range []struct {
		name       string
		need       float64
		plant      Plant
		trucks     int
		full, last float64
		short      bool
	}{
		{"two and a little", 12.3, Plant{Step: 0.5, Truck: 6, Short: 3}, 3, 6, 0.5, true},
		{"two exactly", 12, Plant{Step: 0.5, Truck: 6, Short: 3}, 2, 6, 6, false},
		{"a truck that is no whole number of steps", 8, Plant{Step: 0.5, Truck: 6.3, Short: 2}, 2, 6, 2, false},
		{"6 m³ by default", 8, Plant{}, 2, 6, 2, true},
		{"0.6 of that", 9.6, Plant{Step: 0.1}, 2, 6, 3.6, false},
		{"nothing", 0, Plant{}, 0, 6, 0, false},
		{"0.6 of a truck that is given", 9.6, Plant{Step: 0.5, Truck: 6}, 2, 6, 4, false},
		{"less than that", 9.5, Plant{Step: 0.5, Truck: 6}, 2, 6, 3.5, true},
		{"6 yd³ of a truck of 10", 6 * CubicYard, Plant{US: true, Step: CubicYard / 4}, 1, 10 * CubicYard, 6 * CubicYard, false},
		{"a quarter less", 5.75 * CubicYard, Plant{US: true, Step: CubicYard / 4}, 1, 10 * CubicYard, 5.75 * CubicYard, true},
	} {
		// A job in feet has trucks of 10 yd³; a job in metres does not have trucks of 7.65
		// m³.
		d, err := c.plant.Deliver(c.need)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if d.Trucks != c.trucks || (len(d.Notes) == 1) != c.short {
			t.Errorf("%s: %d trucks, notes %v; want %d, short %v", c.name, d.Trucks, d.Notes, c.trucks, c.short)
		}
		if even := strings.Contains(words(d.Notes, survey.Warning), "share the order out evenly"); even != (c.short && c.trucks > 1) {
			t.Errorf("%s: %d trucks, notes %v", c.name, d.Trucks, d.Notes)
		}
		near(t, c.name+": full", d.Full, c.full)
		near(t, c.name+": last", d.Last, c.last)
	}
}

func TestOrdersNeverFallShortAndTrucksAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		need := rapid.Float64Range(0, 500).Draw(t, "need")
		step := rapid.SampledFrom([]float64{0.1, 0.2, 0.25, 0.5, CubicYard / 4, CubicYard / 2}).Draw(t, "step")
		if rapid.Bool().Draw(t, "whole") {
			need = math.Round(need/step) * step
			if got := wholes(need / step); got != math.Round(need/step) {
				t.Fatalf("%g m³ is %g whole steps", need, got)
			}
		}
		d, err := Plant{Step: step, Truck: rapid.Float64Range(1, 12).Draw(t, "truck")}.Deliver(need)
		if err != nil {
			t.Fatal(err)
		}
		if d.Volume < need-hair*step || d.Volume >= need+step {
			t.Fatalf("need %g, step %g: order %g", need, step, d.Volume)
		}
		if d.Trucks > 0 {
			if sum := float64(d.Trucks-1)*d.Full + d.Last; math.Abs(sum-d.Volume) > 1e-9 || d.Last <= 0 || d.Last > d.Full+1e-9 {
				t.Fatalf("trucks bring %g of %g, the last %g of %g", sum, d.Volume, d.Last, d.Full)
			}
		}
		b := Bag{Yield: rapid.Float64Range(0.005, 0.03).Draw(t, "yield")}
		bags, err := b.For(need)
		if err != nil {
			t.Fatal(err)
		}
		if got := float64(bags.Count) * b.Yield; got < need-hair*b.Yield || got >= need+b.Yield {
			t.Fatalf("need %g: %d bags yield %g", need, bags.Count, got)
		}
	})
}

func TestBagsOfOneCubicYard(t *testing.T) {
	// 27 ÷ yield: 90, 72, 60, 45, 40 bags (arithmetic on the yields of two trade tables).
	for lb, want := range map[int]int{40: 90, 50: 72, 60: 60, 80: 45, 90: 40} {
		got, err := ConcreteBags[lb].For(CubicYard)
		if err != nil {
			t.Fatal(err)
		}
		if got.Count != want {
			t.Errorf("%d lb: %d bags in 1 yd³, want %d", lb, got.Count, want)
		}
	}
	// 0.5 m³ of a bag of 25 kg that yields 14 L with 5 L: 35.7 → 36 bags, 900 kg, 180 L, 4 L to
	// spare; on pallets of 16, three.
	got, err := Bag{Mass: 25, Yield: 0.014, Water: 0.005, Pallet: 16}.For(0.5)
	if err != nil {
		t.Fatal(err)
	}
	if got.Count != 36 || got.Pallets != 3 {
		t.Errorf("%d bags on %d pallets, want 36 on 3", got.Count, got.Pallets)
	}
	near(t, "mass", got.Mass, 900)
	near(t, "water", got.Water, 0.18)
	near(t, "spare", got.Spare, 0.004)
}

func TestBadNumbersAreRefusedByName(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	ok := Floor{Net: 2, Area: 40, Greatest: 0.08}
	change := func(f func(*Floor)) Floor { g := ok; f(&g); return g }
	take := func(f Floor, l Losses) error { _, err := f.Takeoff(l); return err }
	deliver := func(p Plant, need float64) error { _, err := p.Deliver(need); return err }
	for _, c := range []struct {
		name string // of the quantity
		err  error
	}{
		{"net volume", take(change(func(f *Floor) { f.Net = -1 }), Losses{})},
		{"net volume", take(change(func(f *Floor) { f.Net = nan }), Losses{})},
		{"net volume", take(change(func(f *Floor) { f.Net = 4 }), Losses{})}, // 40 m² × 0.08 m is 3.2 m³
		{"filled area", take(change(func(f *Floor) { f.Area = 0 }), Losses{})},
		{"filled area", take(change(func(f *Floor) { f.Area = inf }), Losses{})},
		{"real area of the old floor", take(change(func(f *Floor) { f.Real = 39 }), Losses{})},
		{"max depth", take(change(func(f *Floor) { f.Greatest = -0.1 }), Losses{})},
		{"min depth", take(change(func(f *Floor) { f.Least = 0.09 }), Losses{})},
		{"bands", take(change(func(f *Floor) { f.Bands = []Band{{0, 0.08, 39, 2}} }), Losses{})},
		{"band 1, 0.08 to 0.01 m", take(change(func(f *Floor) { f.Bands = []Band{{0.08, 0.01, 40, 2}} }), Losses{})},
		{"band 1, 0 to 0.04 m, volume", take(change(func(f *Floor) { f.Bands = []Band{{0, 0.04, 40, 2}} }), Losses{})},
		{"allowance", take(ok, Losses{Allowance: 1.5})},
		{"allowance", take(ok, Losses{Allowance: nan})},
		{"roughness", take(ok, Losses{Roughness: 1.5})}, // mm for m
		{"pump line", take(ok, Losses{Bore: 0.05})},
		{"bore of the line", take(ok, Losses{Bore: 50, Length: 20})},
		{"need", deliver(Plant{}, -1)},
		{"order step", deliver(Plant{Step: -1}, 1)},
		{"truck", deliver(Plant{Step: 1, Truck: 0.5}, 1)},
	} {
		var e *survey.Error
		if !errors.As(c.err, &e) || e.Element != c.name {
			t.Errorf("want an error about %q, got %v", c.name, c.err)
		}
	}
}

func TestTheExtraordinaryIsWarnedOfByName(t *testing.T) {
	got, err := Floor{Net: 60, Area: 40, Greatest: 3}.Takeoff(Losses{Allowance: 0.9})
	if err != nil {
		t.Fatal(err)
	}
	var said []string
	for _, n := range got.Notes {
		said = append(said, n.Text.String())
	}
	text := strings.Join(said, "\n")
	for _, want := range []string{"max depth: 3000 mm", "allowance: 90 %"} {
		if !strings.Contains(text, want) {
			t.Errorf("no warning %q in %q", want, text)
		}
	}
	if got, err = (Floor{Net: 2, Area: 40, Greatest: 0.08}).Takeoff(Losses{Allowance: 0.05}); err != nil || len(got.Notes) > 0 {
		t.Errorf("an ordinary floor: %v, %v", got.Notes, err)
	}
}

// By hand: bays of 1 m³ over 40 m² and 3 m³ over 60 m². 1 mm of roughness and 1 mm of high finish
// are 0.08 and 0.12 m³; with 10 % 1.188 and 3.432. A line of 20 m of 100 mm holds 0.157 m³; with
// 0.2 in the hopper and 0.1 to prime it the first bay takes 1.645, both 5.077. A bay that takes
// none has no share of the pump.
func TestEachBayHasItsOwnLosses(t *testing.T) {
	took, err := Floor{Net: 4, Area: 100}.Takeoff(Losses{Roughness: 0.001, High: 0.001, Allowance: 0.1, Bore: 0.1, Length: 20, Hopper: 0.2, Priming: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	got := took.UpTo([]float64{0, 1, 3}, []float64{0, 40, 60})
	near(t, "nothing", got[0], 0)
	near(t, "first bay", got[1], 1.188+math.Pi*0.0025*20+0.3)
	near(t, "both", got[2], 4.62+math.Pi*0.0025*20+0.3)
	near(t, "need", got[2], took.Need)
}
