package order

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pourplane/survey"
)

// Every bound on input is tested from both sides: the bound itself is accepted, and a
// hundredth beyond it is refused by name. All bounds are own choice.
func TestBoundsAreWhereTheMessagesPutThem(t *testing.T) {
	pace := func(set func(*Pace, float64)) func(float64) error {
		return func(v float64) error {
			p := Pace{}
			set(&p, v)
			_, err := p.Schedule(Floor{Net: 0.001, Area: 1}, 0)
			return err
		}
	}
	coat := func(set func(*Coat, float64)) func(float64) error {
		return func(v float64) error {
			c := Coat{Cover: 5}
			set(&c, v)
			_, err := c.Over(10)
			return err
		}
	}
	edge := func(set func(*Edge, *Wall, float64)) func(float64) error {
		return func(v float64) error {
			e, w := Edge{}, Wall{Name: wallNamed("wall"), Length: 4, Start: 0.05, End: 0.05, Closed: true}
			set(&e, &w, v)
			_, err := e.Along([]Wall{w})
			return err
		}
	}
	joint := func(set func(*Joints, *float64, float64)) func(float64) error {
		return func(v float64) error {
			j, depth := Joints{Length: 10}, 0.1
			set(&j, &depth, v)
			_, err := j.Over(depth)
			return err
		}
	}
	material := func(set func(*Material, float64)) func(float64) error {
		return func(v float64) error {
			m := Material{Name: "mix"}
			set(&m, v)
			return Materials{m}.checked()
		}
	}
	losses := func(set func(*Losses, float64)) func(float64) error {
		return func(v float64) error {
			var l Losses
			set(&l, v)
			_, err := Floor{Net: 1, Area: 10}.Takeoff(l)
			return err
		}
	}
	layer := func(set func(*Layer, float64)) func(float64) error {
		return func(v float64) error {
			b := Build{Name: "way", Layers: []Layer{{Material: Material{Name: "cap"}, Thick: 0.05}, {Material: Material{Name: "fill"}}}}
			at := 0
			if set(&b.Layers[1], v); b.Layers[1].Step == 0 {
				b.Layers[1] = Layer{Material: Material{Name: "fill"}}
			} else {
				at = 1
			}
			if at == 0 {
				set(&b.Layers[0], v)
			}
			_, err := resolve([]Build{b}, nil)
			return err
		}
	}
	for _, c := range []struct {
		name        string // in the message
		least, most float64
		try         func(float64) error
	}{
		{"placing", 0.001, 1000, pace(func(p *Pace, v float64) { p.Placing, p.Truck, p.Step = v, 100, 0 })},
		{"truck", 0.01, 100, pace(func(p *Pace, v float64) { p.Truck = v })},
		{"travel in minutes", 0, 24 * 60, pace(func(p *Pace, v float64) { p.Travel = time.Duration(v * float64(time.Minute)) })},
		{"coat, cover", 0.05, 100, coat(func(c *Coat, v float64) { c.Cover = v })},
		{"coat, cover of the first coat", 0.05, 100, coat(func(c *Coat, v float64) { c.First = v })},
		{"coat, coats", 0, 10, coat(func(c *Coat, v float64) { c.Coats = int(v + 0.95) })},
		{"coat, water", 0, 20, coat(func(c *Coat, v float64) { c.Water = v })},
		{"coat, overlap", 0, 0.9, coat(func(c *Coat, v float64) { c.Overlap = v })},
		{"coat, pack", 0, 1e6, coat(func(c *Coat, v float64) { c.Pack = v })},
		{"coat, price of a pack", 0, 1e9, coat(func(c *Coat, v float64) { c.Pack, c.Price = 5, v })},
		{"coat, real area", 0, 1e9, func(v float64) error { _, err := Coat{Cover: 5}.Over(v); return err }},
		{"packs", 0, 1e9, func(v float64) error { _, err := packs("coat", v); return err }},
		{"bags", 0, 1e9, func(v float64) error { _, err := Bag{Yield: 0.01}.For(v * 0.01); return err }},
		{"lap", 0, 5, edge(func(e *Edge, _ *Wall, v float64) { e.Lap = v })},
		{"foot of the film", 0, 5, edge(func(e *Edge, _ *Wall, v float64) { e.Foot = v })},
		{"foam", 0, 0.1, edge(func(e *Edge, _ *Wall, v float64) { e.Strip = v })},
		{"height of foam", 0, 1000, edge(func(e *Edge, w *Wall, v float64) { e.Strip, e.Height, w.Start, w.End = 0.005, 1.0/1024, v/1024, 0 })},
		{"wall, length", 0, 1e6, edge(func(_ *Edge, w *Wall, v float64) { w.Length = v })},
		{"wall, depth at its start", -5, 5, edge(func(_ *Edge, w *Wall, v float64) { w.Start = v })},
		{"joints", 0, 1e6, joint(func(j *Joints, _ *float64, v float64) { j.Length = v })},
		{"width of the joint", 1e-9, 0.1, joint(func(j *Joints, _ *float64, v float64) { j.Width = v })},
		{"depth of the fill", 1e-9, 1, joint(func(_ *Joints, depth *float64, v float64) { *depth = v })},
		{"depth of the fill", 1e-9, 1, func(v float64) error { _, err := JointSpacing(v); return err }},
		{"mix, yield of a bag", 0, 2, material(func(m *Material, v float64) { m.Yield = v })},
		{"mix, mass of a bag", 0, 2000, material(func(m *Material, v float64) { m.BagMass = v })},
		{"mix, min thickness", 0, 2, material(func(m *Material, v float64) { m.Least = v })},
		{"mix, max thickness", 1e-9, 10, material(func(m *Material, v float64) { m.Greatest = v })},
		{"mix, lifts", 0, 20, material(func(m *Material, v float64) { m.Lifts = int(v + 0.95) })},
		{"mix, unit weight", 0, 25000, material(func(m *Material, v float64) { m.UnitWeight = v })},
		{"mix, working time in minutes", 0, 24 * 60, material(func(m *Material, v float64) { m.Working = time.Duration(v * float64(time.Minute)) })},
		{"roughness", 0, 0.02, losses(func(l *Losses, v float64) { l.Roughness = v })},
		{"finish high by", 0, 0.02, losses(func(l *Losses, v float64) { l.High = v })},
		{"bore of the line", 0, 0.3, losses(func(l *Losses, v float64) {
			if l.Bore = v; v > 0 {
				l.Length = 10
			}
		})},
		{"length of the line", 0, 2000, losses(func(l *Losses, v float64) {
			if l.Length = v; v > 0 {
				l.Bore = 0.05
			}
		})},
		{"slope of the old floor", 1, 100, func(v float64) error { _, _, err := Service{}.Order(Losses{}, v, nil); return err }},
		{"way, cap, thickness", 1e-9, 10, layer(func(l *Layer, v float64) { l.Thick = v })},
		{"way, fill, step", 0.001, 1, layer(func(l *Layer, v float64) { l.Step = v })},
		{"short load", 0, 7, func(v float64) error { _, err := Plant{Truck: 7, Step: 1, Short: v}.Deliver(5); return err }},
		{"volume", 0, 1e6, func(v float64) error { _, err := Plant{Truck: 1, Step: 1}.Deliver(v); return err }},
	} {
		for _, v := range []float64{c.least, c.most} {
			if err := c.try(v); err != nil {
				t.Errorf("%s: %g is refused: %v", c.name, v, err)
			}
		}
		beyond := []float64{c.most * 1.01}
		if c.least > 1e-9 {
			beyond = append(beyond, c.least*0.99)
		}
		for _, v := range beyond {
			if err := c.try(v); err == nil || !strings.Contains(err.Error(), c.name) {
				t.Errorf("%s: %g is taken, or refused by another name: %v", c.name, v, err)
			}
		}
	}
}

// A pour too long for any crew is refused: by its hours, its trucks, its bays.
func TestPoursThatNoCrewWorksThrough(t *testing.T) {
	for _, c := range []struct {
		name string
		pace Pace
		most float64 // m³
	}{
		{"1000 h", Pace{Placing: 1, Truck: 100}, 1000},
		{"10,000 trucks", Pace{Placing: 1000, Truck: 1, Step: 1}, 10_000},
		{"10,000 bays", Pace{Placing: 60, Site: true, Working: time.Minute}, 10_000},
	} {
		for share, refused := range map[float64]bool{0.999: false, 1.001: true} {
			if _, err := c.pace.Schedule(Floor{Net: c.most * share, Area: 1e6}, 0); (err != nil) != refused {
				t.Errorf("%s: %g m³: %v, want an error: %v", c.name, c.most*share, err, refused)
			}
		}
	}
}

// Unusual values give a warning, not a refusal: fill deeper than 0.5 m and an allowance
// above 25 %. Both are own choice.
func TestTheExtraordinaryIsWarnedOfFromItsBound(t *testing.T) {
	for _, c := range []struct {
		depth, allowance float64
		want             string
	}{{0.499, 0.249, ""}, {0.501, 0, "max depth"}, {0.1, 0.251, "allowance"}} {
		took, err := Floor{Net: c.depth, Area: 1}.Takeoff(Losses{Allowance: c.allowance})
		if err != nil {
			t.Fatal(err)
		}
		if got := words(took.Notes, survey.Warning); !strings.Contains(got, c.want) || (got == "") != (c.want == "") {
			t.Errorf("%g m deep, allowance %g: %q, want %q", c.depth, c.allowance, got, c.want)
		}
	}
}

// Bands are cut from the area and volume of a floor, and may differ from them by a
// millionth, not by twice that.
func TestBandsAddUpToAMillionth(t *testing.T) {
	for share, refused := range map[float64]bool{0.9e-6: false, 1.1e-6: true, -0.9e-6: false, -1.1e-6: true} {
		f := Floor{Net: 100, Area: 1000, Greatest: 0.2, Bands: []Band{{0, 0.2, 1000, 100 * (1 + share)}}}
		if _, err := f.Takeoff(Losses{}); (err != nil) != refused {
			t.Errorf("bands that hold %g more: %v, want an error: %v", share, err, refused)
		}
	}
}

// Defaults are common practice, as written beside them: 10 yd³ a truck and 1/4 yd³ a step in
// the US; 6 m³ and 0.25 m³ elsewhere; a load below 0.6 of a truck is short.
func TestUsualDeliveries(t *testing.T) {
	for _, c := range []struct {
		need  float64
		us    bool
		order float64
		short bool
	}{
		{3.55, false, 3.75, false}, {3.5, false, 3.5, true}, {3.6, false, 3.75, false}, {3.25, false, 3.25, true},
		{6.01 * CubicYard, true, 6.25 * CubicYard, false}, {5.76 * CubicYard, true, 6 * CubicYard, false}, {5.75 * CubicYard, true, 5.75 * CubicYard, true},
	} {
		p := Plant{US: c.us}
		if c.us {
			p.Step = CubicYard / 4
		}
		d, err := p.Deliver(c.need)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "order", d.Volume, c.order)
		if got := strings.Contains(words(d.Notes, survey.Warning), "short load"); got != c.short || d.Trucks != 1 {
			t.Errorf("%g m³: short load %v, %d trucks; want %v, 1", c.need, got, d.Trucks, c.short)
		}
	}
}

// Two trade tables read: 0.6 ft³ from 80 lb. By that a bag of 25 kg yields 11.7 L.
func TestUsualBags(t *testing.T) {
	if b := UsualBag(true); math.Abs(b.Mass-36.287) > 0.001 || math.Abs(b.Yield-0.6*0.0283168) > 1e-7 {
		t.Errorf("a bag in feet jobs: %+v, want 80 lb and 0.6 ft³", b)
	}
	if b := UsualBag(false); b.Mass != 25 || math.Abs(b.Yield-0.0117) > 0.00005 {
		t.Errorf("a bag in metric jobs: %+v, want 25 kg and 11.7 L", b)
	}
}

// The usual ways, layer by layer, by their sources: see [Builds].
func TestUsualWaysAgainstTheirSources(t *testing.T) {
	type layer struct{ name, thick, least, greatest, weight string }
	mm := func(v float64) string { return fmt.Sprintf("%.4g", v*1000) }
	want := map[string][]layer{
		"full-depth concrete":   {{"concrete", "0", "40", "0", "2400"}},                                             // UK screeds 25-40 mm; 150 lb/ft³
		"light fill with a cap": {{"concrete cap", "75", "75", "0", "2400"}, {"light fill", "0", "50", "0", "600"}}, // 3-4 in; 320-800 kg/m³
		"rigid foam with a cap": {{"concrete cap", "75", "75", "0", "2400"}, {"rigid foam", "0", "25", "0", "21.6"}},
		"bagged underlayment":   {{"leveller", "0", "3", "38", "2000"}}, // 1/8 to 1 1/2 in
		"framing over":          {{"deck", "18", "18", "18", "0"}, {"battens or joists", "0", "38", "0", "0"}},
	}
	for _, b := range Builds(false) {
		var got []layer
		for _, l := range b.Layers {
			got = append(got, layer{l.Name, mm(l.Thick), mm(l.Least), mm(l.Greatest), fmt.Sprintf("%.4g", l.UnitWeight)})
		}
		if !slices.Equal(got, want[b.Name]) {
			t.Errorf("%s: %v, want %v", b.Name, got, want[b.Name])
		}
		delete(want, b.Name)
	}
	if len(want) > 0 {
		t.Errorf("no way for %v", want)
	}
	foam, bag := Builds(false)[2].Layers[1], Builds(false)[3].Layers[0]
	near(t, "a board of foam in mm", foam.Step*1000, 25)
	near(t, "leveller, L a bag", bag.Yield*1000, 14)
	near(t, "leveller, kg a bag", bag.BagMass, 25)
	near(t, "leveller, min", bag.Working.Minutes(), 10)
	// 12 lb/ft² is 58.6 kg/m².
	if w := Builds(false)[4].Weight; math.Abs(w-58.6) > 0.05 {
		t.Errorf("framing weighs %.2f kg/m², want 58.6", w)
	}
}

// A pit of more than 10 m is not a floor.
func TestWaysOverAPit(t *testing.T) {
	for greatest, refused := range map[float64]bool{10: false, 10.1: true} {
		if _, err := Levels(nil, nil, greatest); (err != nil) != refused {
			t.Errorf("levels to %g m: %v, want an error: %v", greatest, err, refused)
		}
	}
}

// By hand: 20 m round a room and rolls of 10 m with laps of 0.1 m: 20/9.9, so 3 rolls. A
// roll without a width gives one strip.
func TestARollWithoutAWidthIsOneStrip(t *testing.T) {
	got, err := Edge{Roll: 10}.Along([]Wall{{wallNamed("room"), 20, 0.05, 0.05, true}})
	if err != nil || got.Rolls != 3 {
		t.Errorf("%d rolls, %v; want 3", got.Rolls, err)
	}
}

// Foam in boards of 25 mm below a cap of 75 mm changes every 25 mm from 100 mm on.
func TestBoardsAreCutAtEveryStep(t *testing.T) {
	got, err := Levels(Builds(false)[2:3], nil, 0.16)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []float64{0.075, 0.1, 0.125, 0.15} {
		if !slices.ContainsFunc(got, func(d float64) bool { return math.Abs(d-want) < 1e-9 }) {
			t.Errorf("%v: no cut at %g m", got, want)
		}
	}
}
