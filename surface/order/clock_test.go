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

const minute = time.Minute

func words(notes []survey.Note, kind survey.NoteKind) string {
	var out []string
	for _, n := range notes {
		if n.Kind == kind {
			out = append(out, n.Text.String())
		}
	}
	return strings.Join(out, "\n")
}

func TestTheLiveEdgeShrinksWithDepth(t *testing.T) {
	// Computed: rate × time ÷ depth. 20 ft³/h for 10 min is 3.333 ft³: at 1/2 in 80 ft², at 2 in 20 ft².
	p := Pace{Placing: 20 * foot3, Working: 10 * minute, Site: true}
	for depth, want := range map[float64]float64{0.5: 80, 2: 20} {
		s, err := p.Schedule(Floor{Net: depth * inch, Area: 1}, 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "live area in ft²", s.Area/(foot*foot), want)
	}
	// With 4 min to find its level, 6 min are left: 2 ft³.
	p.Level = 4 * minute
	s, err := p.Schedule(Floor{Net: 1, Area: 10}, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "live volume in ft³", s.Bay/foot3, 2)
}

func TestTrucksByTheClock(t *testing.T) {
	f := Floor{Net: 12, Area: 120, Greatest: 0.2}
	base := Pace{Placing: 6, Truck: 6, Discharge: 90 * minute, Travel: 30 * minute}
	for _, c := range []struct {
		name                  string
		change                func(*Pace)
		arrives, starts, ends time.Duration // of the second truck
		late                  float64       // m³ of the second truck
		said                  string        // in a warning; empty: no warning
	}{
		// 6 m³ take 60 min; 30 on the road: 90 are just enough.
		{"just in time", func(*Pace) {}, 60 * minute, 60 * minute, 120 * minute, 0, ""},
		// 5 m³/h: 72 min and 30 are 12 too many, 1 m³.
		{"too slow", func(p *Pace) { p.Placing = 5 }, 72 * minute, 72 * minute, 144 * minute, 1, "trucks 1 and 2 of 2: the last 1.00 m³ of each pass the 1 h 30 min limit. Order loads of max 5.00 m³"},
		// Every 45 min: the second waits 15 and has 1.5 m³ when its time is up.
		{"too close", func(p *Pace) { p.Spacing = 45 * minute }, 45 * minute, 60 * minute, 120 * minute, 1.5, "truck 2 of 2: the last 1.50 m³ comes out up to 15 min after its 1 h 30 min limit (batched at 15 min). Space the trucks 1 h, or place faster\ntruck 2 of 2: arrives at 45 min and waits 15 min"},
		{"too far apart", func(p *Pace) { p.Spacing = 90 * minute }, 90 * minute, 90 * minute, 150 * minute, 0, "truck 2 of 2: the crew is idle 30 min before it comes"},
		{"so far apart that the edge sets", func(p *Pace) { p.Spacing, p.Working = 90*minute, 20*minute }, 90 * minute, 90 * minute, 150 * minute, 0, "is idle 30 min before it comes, longer than the mix can be worked: a cold joint"},
		{"too far away", func(p *Pace) { p.Travel = 95 * minute }, 60 * minute, 60 * minute, 120 * minute, 6, "The drive alone takes all of it"},
	} {
		p := base
		c.change(&p)
		s, err := p.Schedule(f, 0)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if len(s.Trucks) != 2 {
			t.Fatalf("%s: %d trucks, want 2", c.name, len(s.Trucks))
		}
		got := s.Trucks[1]
		if got.Arrives != c.arrives || got.Starts != c.starts || got.Ends != c.ends || s.Ends != c.ends || got.Batched != c.arrives-p.Travel {
			t.Errorf("%s: second truck %+v", c.name, got)
		}
		near(t, c.name+": late", got.Late, c.late)
		if said := words(slices.Concat(s.Late, s.Waits), survey.Warning); (c.said == "") != (said == "") || !strings.Contains(said, c.said) {
			t.Errorf("%s: warned of %q, want %q", c.name, said, c.said)
		}
	}
}

// By hand: at 5 m³/h the 60 min after the drive place 5 m³, so 1 m³ of each load of 6 is
// late; the last, of 5.6 m³, has 0.6 m³ left, 7.2 min of work.
func TestTrucksThatAreLateAlikeAreWarnedOfOnce(t *testing.T) {
	for placing, want := range map[float64]string{
		5: "trucks 1 to 3 of 4: the last 1.00 m³ of each pass the 1 h 30 min limit. Order loads of max 5.00 m³, or place faster. Such loads make 5 trucks, the last of 3.60 m³\n" +
			"truck 4 of 4: the last 0.60 m³ comes out up to 7 min after its 1 h 30 min limit (batched at 3 h 6 min)",
		0: "trucks 1 to 3 of 4: the last 1.00 m³ of each pass the 1 h limit. Order loads of max 5.00 m³, or place faster. Such loads make 5 trucks, the last of 3.60 m³. The pace of 6.00 m³ an hour is assumed",
	} {
		p := Pace{Placing: placing, Truck: 6, Discharge: 90 * minute, Travel: 30 * minute}
		if placing == 0 {
			p.Discharge, p.Travel = 60*minute, 10*minute // 50 min at 6 m³/h: 5 m³ again
		}
		s, err := p.Schedule(Floor{Net: 23.6, Area: 236}, 0)
		if err != nil {
			t.Fatal(err)
		}
		if got := words(slices.Concat(s.Late, s.Waits), survey.Warning); !strings.HasPrefix(got, want) || strings.Count(got, "\n") != 1 {
			t.Errorf("at %g m³/h: %q, want %q", placing, got, want)
		}
	}
}

// Loads are whole steps, as the plant divides them: by hand, trucks of 6.3 m³ in steps of
// 0.5 carry 6; at 4.5 m³/h 60 min place 4.5 m³, at 4.4 only 4 in whole steps.
func TestLoadsAreWholeSteps(t *testing.T) {
	f := Floor{Net: 13, Area: 130}
	plant := Plant{Step: 0.5, Truck: 6.3}
	d, err := plant.Deliver(13)
	if err != nil {
		t.Fatal(err)
	}
	for placing, fresh := range map[float64]string{4.5: "4.50 m³", 4.4: "4.00 m³"} {
		p := Pace{Placing: placing, Truck: plant.Truck, Step: plant.Step, Discharge: 90 * minute, Travel: 30 * minute}
		s, err := p.Schedule(f, d.Volume)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Trucks) != d.Trucks {
			t.Fatalf("%d trucks, the plant sends %d", len(s.Trucks), d.Trucks)
		}
		near(t, "full", s.Trucks[0].Volume, d.Full)
		near(t, "last", s.Trucks[2].Volume, d.Last)
		if said := words(slices.Concat(s.Late, s.Waits), survey.Warning); !strings.Contains(said, "Order loads of max "+fresh) {
			t.Errorf("at %g m³/h: %q, want loads of %s", placing, said, fresh)
		}
	}
	s, err := Pace{Placing: 0.4, Truck: 6, Step: 0.5, Travel: 30 * minute}.Schedule(f, 1)
	if err != nil {
		t.Fatal(err)
	}
	if said := words(slices.Concat(s.Late, s.Waits), survey.Warning); !strings.Contains(said, "Not one step of 0.50 m³ can be placed in time") {
		t.Errorf("0.4 m³ in time: %q", said)
	}
}

// Mix made on site has no notes on trucks.
func TestNoWordOfTrucksOnSite(t *testing.T) {
	s, err := Pace{Site: true, Working: 15 * minute}.Schedule(Floor{Net: 9, Area: 100}, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range s.Notes {
		if strings.Contains(n.Text.String(), "truck") || strings.Contains(n.Text.String(), "batch") || strings.Contains(n.Text.String(), "discharge") {
			t.Errorf("mixed on site: %s", n.Text.String())
		}
	}
	if len(s.Notes) == 0 {
		t.Error("nothing is said of bays and pace")
	}
}

func TestWhatWasNotGivenIsSaid(t *testing.T) {
	// 9 m³ at 6 m³/h take 90 min, in loads of 10 yd³, 7.65 m³: two. 60 min after the drive 6 m³ are placed.
	s, err := Pace{}.Schedule(Floor{Net: 9, Area: 100}, 0)
	if err != nil {
		t.Fatal(err)
	}
	if s.Placing != 90*minute || len(s.Trucks) != 2 {
		t.Errorf("placing %v with %d trucks, want 1h30m0s with 2", s.Placing, len(s.Trucks))
	}
	near(t, "a load that is empty in time", s.Fresh, 6)
	said := words(s.Notes, survey.Assumed)
	for _, want := range []string{"placing: 6.00 m³ an hour", "travel: 30 min", "discharge limit: 1 h 30 min"} {
		if !strings.Contains(said, want) {
			t.Errorf("no word of %q in %q", want, said)
		}
	}
}

func TestBaysStayWorkable(t *testing.T) {
	// 2 m³ at 3 m³/h take 40 min; worked for 15 less 3: 0.6 m³ a bay, 4 bays; at the mean depth of 20 mm 30 m²,
	// at 50 mm 12 m².
	p := Pace{Placing: 3, Working: 15 * minute, Level: 3 * minute, Site: true}
	s, err := p.Schedule(Floor{Net: 2, Area: 100, Greatest: 0.05}, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bay", s.Bay, 0.6)
	near(t, "area", s.Area, 30)
	if s.Bays != 4 || len(s.Trucks) != 0 || s.Placing != 40*minute || s.Ends != s.Placing {
		t.Errorf("%d bays, %d trucks, placing %v to %v; want 4, 0 and 40m0s", s.Bays, len(s.Trucks), s.Placing, s.Ends)
	}
	if said := words(s.Stops, survey.Warning); !strings.Contains(said, "placing takes 40 min and the mix can be worked for 15 min less the 3 min") || !strings.Contains(said, "4 bays, or strips between live edges, of max 0.60 m³, about 30.00 m² each at the mean depth and 12.00 m² where it is deepest") {
		t.Errorf("warned of %q", said)
	}
	if s, err = p.Schedule(Floor{Net: 0.6, Area: 100}, 0); err != nil || s.Bays != 1 || words(s.Stops, survey.Warning) != "" {
		t.Errorf("what fits one bay: %d bays, %v, %v", s.Bays, s.Notes, err)
	}
}

func TestAMaterialBringsItsWorkingTime(t *testing.T) {
	p := Pace{Placing: 3, Working: 90 * minute}.With(Material{Yield: 0.014, Working: 10 * minute})
	if p.Working != 10*minute || !p.Site {
		t.Errorf("with a bag that sets in 10 min: %+v", p)
	}
	if p = (Pace{Working: 90 * minute}).With(concrete); p.Working != 90*minute || p.Site {
		t.Errorf("with concrete of a working time not known: %+v", p)
	}
}

func TestTrucksBringWhatIsOrdered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Pace{
			Placing: rapid.Float64Range(1, 60).Draw(t, "placing"), Truck: rapid.Float64Range(1, 12).Draw(t, "truck"),
			Travel: time.Duration(rapid.IntRange(1, 100).Draw(t, "travel")) * minute, Spacing: time.Duration(rapid.IntRange(0, 120).Draw(t, "spacing")) * minute,
		}
		volume := rapid.Float64Range(0.1, 200).Draw(t, "volume")
		s, err := p.Schedule(Floor{Net: volume, Area: 10 * volume}, 0)
		if err != nil {
			t.Fatal(err)
		}
		sum, free := 0.0, time.Duration(0)
		for i, tr := range s.Trucks {
			sum += tr.Volume
			if tr.Volume <= 0 || tr.Volume > p.Truck || tr.Starts < tr.Arrives || tr.Starts < free || tr.Ends < tr.Starts || tr.Late < 0 || tr.Late > tr.Volume || tr.Waits < 0 || tr.Idle < 0 {
				t.Fatalf("truck %d: %+v", i+1, tr)
			}
			if spent := tr.Ends - tr.Batched; (spent > 90*minute+time.Second) != (tr.Late > 0) {
				t.Fatalf("truck %d is empty %v after batching, late with %g m³", i+1, spent, tr.Late)
			}
			free = tr.Ends
		}
		if math.Abs(sum-volume) > 1e-9*volume || s.Ends < s.Placing-time.Second {
			t.Fatalf("trucks bring %g of %g m³; the end %v after placing of %v", sum, volume, s.Ends, s.Placing)
		}
	})
}

// Advice on trucks that are not empty in time always works. Where there is no advice, no
// spacing in steps of a minute and no load works.
func TestAdviceOnLateTrucksCuresThem(t *testing.T) {
	late := func(p Pace, v float64) bool {
		s, err := p.Schedule(Floor{Net: v, Area: 10 * v}, 0)
		if err != nil {
			t.Fatal(err)
		}
		return s.late()
	}
	rapid.Check(t, func(t *rapid.T) {
		step := rapid.SampledFrom([]float64{0, 0.25, 0.5, CubicYard / 2}).Draw(t, "step")
		p := Pace{Placing: rapid.Float64Range(1, 12).Draw(t, "placing"), Truck: rapid.Float64Range(1, 9).Draw(t, "truck"), Step: step,
			Travel: time.Duration(rapid.IntRange(1, 100).Draw(t, "travel")) * minute, Spacing: time.Duration(rapid.IntRange(0, 90).Draw(t, "spacing")) * minute}
		volume := rapid.Float64Range(1, 30).Draw(t, "volume")
		s, err := p.Schedule(Floor{Net: volume, Area: 10 * volume}, 0)
		if err != nil {
			t.Fatal(err)
		}
		if !s.late() {
			if len(s.Late) > 0 {
				t.Fatalf("warned for nothing: %v", s.Late)
			}
			return
		}
		c, ok := s.cure()
		text := s.cureText().In(unit.Style{})
		if !strings.Contains(words(s.Late, survey.Warning), text) {
			t.Fatalf("%q is not in %v", text, s.Late)
		}
		if ok {
			if late(c.of(p), volume) {
				t.Fatalf("%+v: %q leaves a truck late", p, text)
			}
			return
		}
		for apart := minute; apart <= 600*minute; apart += 30 * minute {
			for load := max(0.5, step); load <= p.Truck; load += max(0.5, step) {
				if p.steps(load) > 0.05 && !late(Cure{apart, load}.of(p), volume) {
					t.Fatalf("%+v: %v and %g m³ cure it, %q", p, apart, load, text)
				}
			}
		}
	})
}

// By hand: 9 yd³ at 10 yd³ an hour take 54 min. Every 30 min the second truck is empty 98
// min after it was batched; every 54 min, 74. At 6 yd³ an hour 9 yd³ take 90 min, and 70 min
// place 7 yd³: trucks 70 min or more apart are in time.
func TestEachWayToCureLateTrucks(t *testing.T) {
	for _, c := range []struct {
		placing float64 // yd³/h
		travel  time.Duration
		spacing time.Duration
		want    Cure
		text    string
	}{
		{10, 20 * minute, 30 * minute, Cure{Spacing: 54 * minute}, "Space the trucks 54 min, or place faster"},
		{6, 20 * minute, 75 * minute, Cure{Load: 7 * CubicYard}, "Order loads of max 7.00 yd³, or place faster"},
		{6, 20 * minute, 0, Cure{Load: 7 * CubicYard}, "Order loads of max 7.00 yd³, or place faster"},
		{6, 20 * minute, 30 * minute, Cure{Load: 7 * CubicYard, Spacing: 70 * minute}, "Order loads of max 7.00 yd³, 1 h 10 min apart, or place faster"},
		{0.2, 20 * minute, 0, Cure{}, "Not one step of 0.50 yd³ can be placed in time: place faster, find a nearer plant, or mix on site"},
		{6, 90 * minute, 0, Cure{}, "The drive alone takes all of it: find a nearer plant, or mix on site"},
	} {
		p := Pace{Placing: c.placing * CubicYard, Truck: 9 * CubicYard, Step: CubicYard / 2, Travel: c.travel, Spacing: c.spacing}
		s, err := p.Schedule(Floor{Net: 19.5 * CubicYard, Area: 100}, 0)
		if err != nil {
			t.Fatal(err)
		}
		got, _ := s.cure()
		if math.Abs(got.Load-c.want.Load) > 1e-9 || got.Spacing != c.want.Spacing || len(s.Late) == 0 || !strings.HasSuffix(s.Late[0].Text.In(unit.Style{Imperial: true}), c.text) {
			t.Errorf("%g yd³ an hour, %v: %+v, want %+v: %v", c.placing, c.spacing, got, c.want, s.Late)
		}
	}
}

// By hand: 8.25 yd³ at 7.75 yd³ an hour, 60 min after batching: 7.75 yd³ are placed in time,
// and 0.50 are left for a second truck. A plant that charges below 0.25 yd³ charges nothing.
func TestSmallerLoadsMakeMoreTrucks(t *testing.T) {
	for short, want := range map[float64]string{
		0:    "Order loads of max 7.75 yd³, or place faster. Such loads make 2 trucks, the last of 0.50 yd³, a short load, usually charged extra",
		0.25: "Order loads of max 7.75 yd³, or place faster. Such loads make 2 trucks, the last of 0.50 yd³",
	} {
		p := Pace{Placing: 7.75 * CubicYard, Truck: 9 * CubicYard, Step: CubicYard / 4, Short: short * CubicYard, Travel: 30 * minute}
		s, err := p.Schedule(Floor{Net: 8.25 * CubicYard, Area: 100}, 8.25*CubicYard)
		if err != nil {
			t.Fatal(err)
		}
		if said := s.Late[0].Text.In(unit.Style{Imperial: true}); !strings.HasSuffix(said, want) {
			t.Errorf("%q, want at its end %q", said, want)
		}
	}
}

func TestPacesThatCannotBeAreRefusedByName(t *testing.T) {
	f := Floor{Net: 2, Area: 40}
	on := func(p Pace, f Floor, v float64) error { _, err := p.Schedule(f, v); return err }
	for _, c := range []struct {
		name string
		err  error
	}{
		{"placing", on(Pace{Placing: math.NaN()}, f, 0)},
		{"placing", on(Pace{Placing: -1}, f, 0)},
		{"placing", on(Pace{Placing: math.Inf(1)}, f, 0)},
		{"truck", on(Pace{Truck: -6}, f, 0)},
		{"order step", on(Pace{Truck: 6, Step: 7}, f, 0)},
		{"order step", on(Pace{Step: math.NaN()}, f, 0)},
		{"discharge limit in minutes", on(Pace{Discharge: -minute}, f, 0)},
		{"travel in minutes", on(Pace{Travel: 25 * time.Hour}, f, 0)},
		{"spacing in minutes", on(Pace{Spacing: -1}, f, 0)},
		{"working time", on(Pace{Working: 5 * minute, Level: 5 * minute}, f, 0)},
		{"working time", on(Pace{Level: 5 * minute}, f, 0)},
		{"bays", on(Pace{Working: 1}, f, 0)},
		{"volume", on(Pace{}, f, -1)},
		{"volume", on(Pace{}, f, math.NaN())},
		{"placing time in hours", on(Pace{}, f, 1e9)},
		{"trucks", on(Pace{Placing: 1000, Truck: 0.01}, f, 1000)},
		{"net volume", on(Pace{}, Floor{Net: math.NaN()}, 0)},
	} {
		var e *survey.Error
		if !errors.As(c.err, &e) || e.Element != c.name {
			t.Errorf("want an error about %q, got %v", c.name, c.err)
		}
	}
}
