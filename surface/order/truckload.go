package order

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/survey/unit"
)

// Truckload is what one truck carries in m³, and the bays that it serves: none if the pour has
// no bays.
type Truckload struct {
	Volume float64
	Bays   []string
}

// Evenly divides v m³ into as few equal loads as carry no more than most each, in whole steps
// except the last.
func (p Pace) Evenly(v, most float64) []float64 {
	n := wholes(v / most)
	if !(n >= 1 && n <= trucksMost) {
		return nil
	}
	var out []float64
	done := 0.0
	for i := range int(n) {
		upTo := min(v, p.UpTo(v*float64(i+1)/n))
		out, done = append(out, upTo-done), upTo
	}
	return out
}

// UpTo rounds v m³ up to the steps of the plant.
func (p Pace) UpTo(v float64) float64 {
	if p.Step == 0 {
		return v
	}
	return wholes(v/p.Step) * p.Step
}

// Most is the max load, m³, that is empty in time if it does not wait; 0: none.
func (s *Schedule) Most() float64 { return min(s.Fresh, s.Pace.steps(s.Pace.Truck)) }

// Reload replaces full loads by others, each on site as the one before is empty unless the pace
// has a spacing, and the warnings of late trucks by one that says what to order. It reports whether every truck is
// then empty in time; if not, s is unchanged. Loads that keep to the bays settle Stops too if
// bays is set.
func (s *Schedule) Reload(loads []Truckload, bays bool) bool {
	again := *s
	again.Trucks, again.Late, again.Waits, again.Pace.Loads = nil, nil, nil, nil
	for _, l := range loads {
		if l.Volume <= hair {
			return false
		}
		again.Pace.Loads = append(again.Pace.Loads, l.Volume)
	}
	if again.drive() != nil || again.late() {
		return false
	}
	again.warn(&again.Late, "%s. %s%s%s", again.orders(loads), s.why(), again.working(bays), again.shortLoads())
	again.judgeWaits()
	if bays {
		again.Stops = nil
	}
	*s = again
	return true
}

// orders says how many trucks to order, what each carries, and when.
func (s *Schedule) orders(loads []Truckload) unit.Text {
	text := unit.Textf("order %d trucks: %s", len(loads), InWords(loads, s.Pace.Step, s.Pace.US))
	if len(s.Trucks) == 2 {
		return unit.Textf("%s, on site %s later", text, span(s.Trucks[1].Arrives))
	}
	if s.Pace.Spacing > 0 {
		return unit.Textf("%s, %s apart", text, span(s.Pace.Spacing))
	}
	return unit.Textf("%s, each on site as the one before is empty", text)
}

// mostNamed is the max number of loads that are named in a sentence.
const mostNamed = 4

// InWords lists loads: "2.75 yd³ for bay 1, then 5.50 yd³ for bay 2".
func InWords(loads []Truckload, step float64, us bool) unit.Text {
	if len(loads) > mostNamed {
		most := slices.MaxFunc(loads, func(a, b Truckload) int { return cmp.Compare(a.Volume, b.Volume) })
		return unit.Textf("loads of max %s, see Trucks by the clock", SoldIn(most.Volume, step, us))
	}
	var out []unit.Text
	for _, l := range loads {
		one := unit.Textf("%s", SoldIn(l.Volume, step, us))
		switch len(l.Bays) {
		case 0:
		case 1:
			one = unit.Textf("%s for bay %s", one, l.Bays[0])
		default:
			one = unit.Textf("%s for bays %s", one, strings.Join(l.Bays, " and "))
		}
		out = append(out, one)
	}
	return unit.Join(out, ", then ")
}

// why is what full loads would do, and what else would empty them in time.
func (s *Schedule) why() unit.Text {
	worst := slices.MaxFunc(s.Trucks, func(a, b Truck) int { return cmp.Compare(a.Late, b.Late) })
	which := "Full loads"
	if len(s.Trucks) == 1 {
		which = "1 truck"
	}
	p := s.Pace
	return unit.Textf("%s of %s would be up to %s past the %s limit, unless %s an hour are placed, or the plant agrees to a retarder or a longer limit",
		which, SoldIn(worst.Volume, p.Step, p.US), span(worst.Ends-worst.Batched-p.Discharge), span(p.Discharge), noLess(worst.Volume/(p.Discharge-p.Travel).Hours()))
}

// working is why the pour has bays, if that is because of the working time.
func (s *Schedule) working(bays bool) unit.Text {
	if !bays || len(s.Stops) == 0 {
		return unit.Text{}
	}
	return unit.Textf(". Set the dams first and finish bay by bay: placing takes %s, the mix can be worked for %s after it leaves the truck, screeding and floating included", span(s.Placing), span(s.Pace.Working))
}

// shortLoads warns of loads that plants usually charge extra.
func (s *Schedule) shortLoads() unit.Text {
	short, all := 0, len(s.Pace.Loads)
	for _, v := range s.Pace.Loads {
		if s.IsShort(v) {
			short++
		}
	}
	which := fmt.Sprintf("%d of %d loads are", short, all)
	switch {
	case short == 0:
		return unit.Text{}
	case short == all && all == 2:
		which = "Both loads are"
	case short == all && all > 1:
		which = fmt.Sprintf("All %d loads are", all)
	case short == 1:
		which = fmt.Sprintf("1 of %d loads is", all)
	}
	return unit.Textf(". %s short, below %s, which usually costs extra: ask the plant", which, SoldIn(s.short(), s.Pace.Step, s.Pace.US))
}

// IsShort reports whether a load of v m³ is a short load.
func (s *Schedule) IsShort(v float64) bool { return v < s.short()-hair }

func (s *Schedule) short() float64 { return cmp.Or(s.Pace.Short, usualShort*s.Pace.Truck) }

// loads are the volumes of the trucks, m³: full ones and the remainder, if none are given.
func (s *Schedule) loads(full float64) ([]float64, error) {
	if s.Pace.Loads != nil {
		return s.Pace.Loads, nil
	}
	n := wholes(s.Volume / full)
	if err := check(quantity{"trucks", n, 0, trucksMost, fmt.Sprintf("no more than %d: look at the volume and the load", trucksMost)}); err != nil {
		return nil, err
	}
	var out []float64
	for i := range int(n) {
		out = append(out, math.Min(full, s.Volume-float64(i)*full))
	}
	return out, nil
}
