package job

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"pourplane/survey"
)

// sixCubic is a floor of 12 × 5 m, 100 mm below 10 m: 6 m³, half a cubic metre to each metre along
// x. Nothing is added to it.
func sixCubic() (text string, files fstest.MapFS) {
	return tenMetres + "[mix]\nallowance-percent = 0\n", fstest.MapFS{"floor.csv": levelShots(9.9, 13, 6), "walls.csv": walls(12, 5)}
}

// acrossAt is a [bays] with dams across the floor of [sixCubic] at places along x.
func acrossAt(xs ...float64) string {
	var dams []string
	for _, x := range xs {
		dams = append(dams, fmt.Sprintf("[\"%gm,0m\", \"%gm,5m\"]", x, x))
	}
	return "[bays]\ndams = [" + strings.Join(dams, ", ") + "]\n"
}

// warned lists the warnings of a result that have a word.
func warned(r *Result, word string) (out []string) {
	for _, n := range r.Notes {
		if text := n.In(styleOf(r)); n.Kind == survey.Warning && strings.Contains(text, word) {
			out = append(out, text)
		}
	}
	return out
}

// Loads by hand on 6 m³. A truck is on site 30 min after batching and empty 90 min after it: what is
// placed in 60 min is the max load. At 6 m³/h one truck of 6 m³ is just in time and full loads
// remain; at 4 m³/h it takes 90 min, 30 too late, so that each bay has its own loads.
func TestLoadsOfBaysByHand(t *testing.T) {
	t.Parallel()
	text, files := sixCubic()
	for _, c := range []struct {
		name, plant string
		pace        float64   // m³/h
		dams        []float64 // m along x
		mix         []float64 // m³ of each bay
		trucks      string    // of each bay
		loads       []float64 // m³, planned; nil: full loads and the remainder
		ends        float64   // min
	}{
		{"one truck for all", "6m3", 6, []float64{4, 8}, []float64{2, 2, 2}, "[[1] [1] [1]]", nil, 60},
		{"the second truck has the last bay", "4m3", 6, []float64{4, 8}, []float64{2, 2, 2}, "[[1] [1] [2]]", nil, 60},
		{"a bay from two trucks", "4m3", 6, []float64{4, 9}, []float64{2, 2.5, 1.5}, "[[1] [1 2] [2]]", nil, 60},
		{"a step is left for the next bay", "4m3", 6, []float64{7.5}, []float64{3.75, 2.25}, "[[1] [1 2]]", nil, 60},
		{"less than a step is no service", "4m3", 6, []float64{7.8}, []float64{3.9, 2.1}, "[[1] [2]]", nil, 60},
		{"a bay of three trucks", "2m3", 6, []float64{1}, []float64{0.5, 5.5}, "[[1] [1 2 3]]", nil, 60},
		{"a load for each bay", "6m3", 4, []float64{4, 8}, []float64{2, 2, 2}, "[[1] [2] [3]]", []float64{2, 2, 2}, 90},
		// 5 m³ are two loads of 2.5; as a load of 4 and one of 1 they are not even.
		{"a bay beyond the max load", "6m3", 4, []float64{2}, []float64{1, 5}, "[[1] [2 3]]", []float64{1, 2.5, 2.5}, 90},
		// 1.9 m³ take a load of 2; the rest of it goes into bay 2, which needs 2 more.
		{"loads in whole steps", "6m3", 4, []float64{3.8, 8}, []float64{1.9, 2.1, 2}, "[[1] [2] [3]]", []float64{2, 2, 2}, 90},
		// 4 m³ are placed in 60 min and 4 m³ are in the bay: exactly in time.
		{"a bay of just the max load", "6m3", 4, []float64{8}, []float64{4, 2}, "[[1] [2]]", []float64{4, 2}, 90},
	} {
		r := solved(t, text+fmt.Sprintf("[plant]\ntruck = %q\n[pace]\nplacing-m3-per-hour = %g\n", c.plant, c.pace)+acrossAt(c.dams...), files)
		for i, want := range c.mix {
			near(t, fmt.Sprintf("%s: mix of bay %d", c.name, i+1), r.BayMix[i], want)
		}
		if got := fmt.Sprint(r.BayTrucks); got != c.trucks {
			t.Errorf("%s: trucks of the bays %s, by hand %s", c.name, got, c.trucks)
		}
		var loads []float64
		for _, l := range r.Delivery.Loads {
			loads = append(loads, l.Volume)
		}
		if len(loads) != len(c.loads) {
			t.Errorf("%s: loads %v, by hand %v", c.name, loads, c.loads)
			continue
		}
		sum := 0.0
		for i, want := range c.loads {
			near(t, fmt.Sprintf("%s: load %d", c.name, i+1), loads[i], want)
			near(t, fmt.Sprintf("%s: truck %d", c.name, i+1), r.Schedule.Trucks[i].Volume, want)
			sum += want
		}
		if c.loads != nil {
			near(t, c.name+": of the order", sum, 6)
			if r.Delivery.Trucks != len(c.loads) || !r.Delivery.Short {
				t.Errorf("%s: %d trucks, short %t; by hand %d, short below 3.6", c.name, r.Delivery.Trucks, r.Delivery.Short, len(c.loads))
			}
		}
		if got := r.Schedule.Ends.Minutes(); got != c.ends {
			t.Errorf("%s: ends after %g min, by hand %g", c.name, got, c.ends)
		}
		for i, truck := range r.Schedule.Trucks {
			if truck.Late > 0 || truck.Ends-truck.Batched > 90*time.Minute {
				t.Errorf("%s: truck %d is late: %+v", c.name, i+1, truck)
			}
		}
	}
}

// What to order in words, by hand: two bays of 4 and 2 m³ at 4 m³/h. The second truck is on site
// when the first is empty, after 60 min. One of 6 m³ is empty 30 + 90 min after batching, 30 past 90.
func TestOrderOfLoadsInWords(t *testing.T) {
	t.Parallel()
	text, files := sixCubic()
	r := solved(t, text+"[plant]\ntruck = \"6m3\"\n[pace]\nplacing-m3-per-hour = 4\n"+acrossAt(8), files)
	want := []string{"order 2 trucks: 4.00 m³ for bay 1, then 2.00 m³ for bay 2, on site 1 h later. 1 truck of 6.00 m³ would be up to 30 min past the 1 h 30 min limit, unless 6.00 m³ an hour are placed, or the plant agrees to a retarder or a longer limit. 1 of 2 loads is short, below 3.60 m³, which usually costs extra: ask the plant"}
	if got := warned(r, "order "); !reflect.DeepEqual(got, want) {
		t.Errorf("%q\nwant %q", got, want)
	}
	// Nothing else advises on the same trucks, not even on the last of 5 and 1 m³.
	r = solved(t, text+"[plant]\ntruck = \"5m3\"\n[pace]\nplacing-m3-per-hour = 4\n"+acrossAt(8), files)
	for _, word := range []string{"short load", "comes out", "Order loads", "waits"} {
		if got := warned(r, word); got != nil {
			t.Errorf("beside the plan: %q", got)
		}
	}
	// Spaced by the job the trucks serve the bays too: 75 min apart the crew waits 15 for the second.
	r = solved(t, text+"[plant]\ntruck = \"6m3\"\n[pace]\nplacing-m3-per-hour = 4\ntruck-spacing = \"75min\"\n"+acrossAt(8), files)
	if got := warned(r, "order 2 trucks: 4.00 m³ for bay 1, then 2.00 m³ for bay 2, on site 1 h 15 min later. "); len(got) != 1 || fmt.Sprint(r.BayTrucks) != "[[1] [2]]" {
		t.Errorf("trucks %v of the bays, %q", r.BayTrucks, warned(r, "order "))
	}
	if got := warned(r, "the crew is idle"); !reflect.DeepEqual(got, []string{"truck 2 of 2: the crew is idle 15 min before it comes"}) {
		t.Errorf("%q", got)
	}
	// Spaced so close that the second waits past its limit, or at a pace that nobody gave, full loads
	// stay and the advice is only that.
	for _, keys := range []string{"placing-m3-per-hour = 4\ntruck-spacing = \"20min\"\n", "travel = \"45min\"\n"} {
		r := solved(t, text+"[plant]\ntruck = \"6m3\"\n[pace]\n"+keys+acrossAt(8), files)
		if r.Delivery.Trucks != 1 || r.Delivery.Loads != nil || len(warned(r, "Order loads of max")) != 1 {
			t.Errorf("%s: %d trucks, loads %v, %q", keys, r.Delivery.Trucks, r.Delivery.Loads, warned(r, "Order loads"))
		}
	}
	// 45 of the 90 min are left at 6 m³/h: 4.5 m³.
	if got := warned(solved(t, text+"[plant]\ntruck = \"6m3\"\n[pace]\ntravel = \"45min\"\n"+acrossAt(8), files), "Order loads of max 4.50 m³"); len(got) != 1 {
		t.Errorf("%q", got)
	}
}

// Working time by hand: 30 min at 4 m³/h are 2 m³, the 6 m³ take 90 min. Bays that follow from it
// are three, each with its truck, and settle it. With dams of the job it is said which bay is too
// large for it, and bays in time need no word.
func TestWorkingTimeShorterThanPlacing(t *testing.T) {
	t.Parallel()
	text, files := sixCubic()
	text += "[plant]\ntruck = \"6m3\"\n[pace]\nplacing-m3-per-hour = 4\nworking-time = \"30min\"\n"
	r := solved(t, text, files)
	if len(r.Bays.Bays) != 3 || fmt.Sprint(r.BayTrucks) != "[[1] [2] [3]]" {
		t.Errorf("%d bays, trucks %v; by hand 3, one for each", len(r.Bays.Bays), r.BayTrucks)
	}
	for _, b := range r.Bays.Bays {
		near(t, "bay "+b.Name, b.Fill.Fill, 2)
	}
	if got := warned(r, "working time"); got != nil {
		t.Errorf("settled by the plan, and warned of: %q", got)
	}
	if got := warned(r, "Set the dams first and finish bay by bay: placing takes 1 h 30 min, the mix can be worked for 30 min"); len(got) != 1 {
		t.Errorf("no word of the dams: %q", warned(r, "order "))
	}
	for _, c := range []struct {
		dams []float64
		want []string
	}{
		{[]float64{4, 8}, nil}, {[]float64{3, 8}, []string{"2 of 3"}}, {[]float64{3}, []string{"2 of 2"}}, {[]float64{5, 7}, []string{"1, 3 of 3"}},
	} {
		got := warned(solved(t, text+acrossAt(c.dams...), files), "working time: ")
		if len(got) != len(c.want) || len(got) > 0 && got[0] != "working time: the mix can be worked for 30 min, in which 2.00 m³ is placed; more is in bay "+c.want[0]+". Make it smaller, or place faster" {
			t.Errorf("dams at %v: %q, want bay %v", c.dams, got, c.want)
		}
	}
}

// What is not filled is no bay, and takes no truck. By hand: 100 mm as far as 8 m, none from 9 m on, and half of
// 100 mm between: 4 + 0.25 m³.
func TestDryFloorHasNoTruck(t *testing.T) {
	t.Parallel()
	text, files := sixCubic()
	files["floor.csv"] = grid(13, 6, func(x, _ float64) float64 { return 9.9 + 0.1*max(0, x-8) })
	r := solved(t, text+"[plant]\ntruck = \"6m3\"\n[pace]\nplacing-m3-per-hour = 4\n"+acrossAt(5, 9), files)
	if len(r.BayMix) != 2 {
		t.Fatalf("bays of %v m³", r.BayMix)
	}
	for i, want := range []float64{2.5, 1.75} {
		isWithin(t, fmt.Sprintf("mix of bay %d", i+1), r.BayMix[i], want, 1e-7)
	}
	if got := fmt.Sprint(r.BayTrucks); got != "[[1] [2]]" || len(r.Delivery.Loads) != 2 {
		t.Errorf("trucks of the bays %s, loads %v", got, r.Delivery.Loads)
	}
}

// Each bay takes its own of what comes by truck, and the last one the rounding up. By hand on the ramp: bags serve up to 40 mm, 1.5 m
// along x, 6 m² × 30 mm = 0.18 m³; the truck has the other 18 m² × 70 mm = 1.26, ordered as 1.5. West
// of 3 m are 6 m² × 50 mm = 0.30 of it, east of it 12 m² × 80 mm = 0.96, with 0.24 of rounding 1.20.
func TestBaysShareWhatComesByTruck(t *testing.T) {
	t.Parallel()
	const materials = "[[materials]]\nname = \"leveller\"\nbag-yield = \"12L\"\ngreatest = \"40mm\"\n[[materials]]\nname = \"topping\"\nleast = \"40mm\"\n"
	r := solved(t, rampJob+"[mix]\nallowance-percent = 0\norder-step = \"0.25m3\"\n[bays]\ndams = [[\"3m,0m\", \"3m,4m\"]]\n"+materials, ramp)
	near(t, "ordered", r.Delivery.Volume, 1.5)
	shares := map[bool]float64{true: 0.30, false: 1.20}
	for i, b := range r.Bays.Bays {
		west := b.Fill.Greatest < 0.061
		isWithin(t, fmt.Sprintf("mix of bay %s, west %t", b.Name, west), r.BayMix[i], shares[west], 1e-9)
	}
	if fmt.Sprint(r.BayTrucks) != "[[1] [1]]" {
		t.Errorf("trucks of the bays %v", r.BayTrucks)
	}
	// 0.18 m³ in bags of 12 L.
	if len(r.Bought) != 2 || r.Bought[0].Bags+r.Bought[1].Bags != 15 {
		t.Errorf("bought %+v, by hand 15 bags", r.Bought)
	}
}

// A bay is judged by what is placed in it, not by its share of the whole: 0.5 m³ that fills the
// hopper goes through the first of three bays of 2 m³, and 30 min at 4 m³/h are 2 m³. By their
// shares all three were 2.17 m³. With 1 m³ in the hopper, bays for the working time are six of 1 m³.
func TestABayIsJudgedByItsOwnVolume(t *testing.T) {
	t.Parallel()
	text, files := sixCubic()
	pace := "[pace]\nplacing-m3-per-hour = 4\nworking-time = \"30min\"\n"
	got := warned(solved(t, text+"[plant]\ntruck = \"8m3\"\nhopper = \"0.5m3\"\n"+pace+acrossAt(4, 8), files), "working time: ")
	if len(got) != 1 || !strings.Contains(got[0], "more is in bay 1 of 3. ") {
		t.Errorf("%q, want bay 1 alone", got)
	}
	r := solved(t, text+"[plant]\ntruck = \"8m3\"\nhopper = \"1m3\"\n"+pace, files)
	if got := warned(r, "more is in bay"); len(r.Bays.Bays) != 6 || got != nil {
		t.Errorf("%d bays, warned of %q", len(r.Bays.Bays), got)
	}
}
