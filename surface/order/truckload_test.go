package order

import (
	"strings"
	"testing"

	"pourplane/survey/unit"
)

// By hand: 8.25 yd³ at 7.75 yd³ an hour, on site 30 min after batching. 7.75 yd³ are placed in
// the hour that is left: 8.25 are 3 min 52 s too late. 2.75 yd³ take 21 min 17 s, and two such
// loads are in time.
func TestSmallerLoadsAreOnePlan(t *testing.T) {
	p := Pace{Placing: 7.75 * CubicYard, Truck: 10 * CubicYard, Step: CubicYard / 4, Travel: 30 * minute, Working: 45 * minute, US: true}
	s, err := p.Schedule(Floor{Net: 8.25 * CubicYard, Area: 100}, 8.25*CubicYard)
	if err != nil {
		t.Fatal(err)
	}
	if !s.Smaller() || len(s.Trucks) != 1 || len(s.Stops) != 1 {
		t.Fatalf("%+v", s)
	}
	near(t, "max load", s.Most()/CubicYard, 7.75)
	if s.Reload([]Truckload{{8.25 * CubicYard, nil}}, false) {
		t.Error("a load that is too late was taken")
	}
	if !s.Reload([]Truckload{{2.75 * CubicYard, []string{"1"}}, {5.5 * CubicYard, []string{"2"}}}, true) {
		t.Fatal("loads in time were not taken")
	}
	want := "order 2 trucks: 2.75 yd³ for bay 1, then 5.50 yd³ for bay 2, on site 21 min later. 1 truck of 8.25 yd³ would be up to 4 min past the 1 h 30 min limit, " +
		"unless 8.25 yd³ an hour are placed, or the plant agrees to a retarder or a longer limit. " +
		"Set the dams first and finish bay by bay: placing takes 1 h 4 min, the mix can be worked for 45 min after it leaves the truck, " +
		"screeding and floating included. Both loads are short, below 6.00 yd³, which usually costs extra: ask the plant"
	if len(s.Late) != 1 || len(s.Stops) != 0 || s.Late[0].Text.In(unit.Style{Imperial: true}) != want {
		t.Errorf("%v\nwant %s", s.Late, want)
	}
	if len(s.Trucks) != 2 || s.Trucks[1].Arrives != s.Trucks[0].Ends || s.late() {
		t.Errorf("%+v", s.Trucks)
	}
}

// 8.25 yd³ in loads of max 7.75 are 4.25 and 4.00, in quarters.
func TestLoadsAreSharedEvenly(t *testing.T) {
	got := Pace{Step: CubicYard / 4}.Evenly(8.25*CubicYard, 7.75*CubicYard)
	if len(got) != 2 {
		t.Fatal(got)
	}
	near(t, "first", got[0]/CubicYard, 4.25)
	near(t, "last", got[1]/CubicYard, 4)
	many := InWords(make([]Truckload, 5), CubicYard/4, true).String()
	if !strings.Contains(many, "see Trucks by the clock") {
		t.Error(many)
	}
}
