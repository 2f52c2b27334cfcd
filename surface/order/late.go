package order

import (
	"cmp"
	"fmt"
	"math"
	"time"

	"pourplane/survey/unit"
)

// Cure is what a plant can change so that every truck is empty in time. Zero is no change.
type Cure struct {
	Spacing time.Duration // between two trucks, whole minutes
	Load    float64       // m³, max per truck: whole steps
}

// Smaller reports whether trucks are late and smaller loads alone empty them in time.
func (s *Schedule) Smaller() bool {
	if !s.late() {
		return false
	}
	c, ok := s.cure()
	return ok && c.Load > 0 && c.Spacing == 0
}

// of returns p with the cure.
func (c Cure) of(p Pace) Pace {
	if c.Spacing > 0 {
		p.Spacing = c.Spacing
	}
	if c.Load > 0 {
		p.Truck = c.Load
	}
	return p
}

// cure returns a change that makes every truck empty in time, tried on the schedule itself:
// trucks farther apart first, which orders the same loads, then smaller loads; false if
// neither works.
func (s *Schedule) cure() (Cure, bool) {
	p := s.Pace
	whole := func(d time.Duration) time.Duration {
		return time.Duration(math.Ceil(d.Minutes()-hair)) * time.Minute
	}
	all := []Cure{{Spacing: whole(p.placing(p.steps(p.Truck)))}}
	if s.Fresh > hair && s.Fresh < p.Truck {
		all = append(all, Cure{Load: s.Fresh}, Cure{Load: s.Fresh, Spacing: whole(p.placing(s.Fresh))})
	}
	for _, c := range all {
		again := Schedule{Pace: c.of(p), Volume: s.Volume}
		if again.drive() == nil && !again.late() {
			return c, true
		}
	}
	return Cure{}, false
}

// late reports whether any truck is not empty in time.
func (s *Schedule) late() bool {
	for _, t := range s.Trucks {
		if t.Late > 0 {
			return true
		}
	}
	return false
}

// cureText is the advice on trucks that are not empty in time.
func (s *Schedule) cureText() unit.Text {
	p := s.Pace
	c, ok := s.cure()
	switch {
	case p.Travel >= p.Discharge:
		return unit.Textf("The drive alone takes all of it: find a nearer plant, or mix on site")
	case s.Fresh <= hair && p.Step > 0:
		return unit.Textf("Not one step of %s can be placed in time: place faster, find a nearer plant, or mix on site", unit.Volume(p.Step))
	case !ok:
		return unit.Textf("No load and no spacing cures it: place faster, find a nearer plant, or mix on site")
	case c.Load == 0:
		return unit.Textf("Space the trucks %s, or place faster", span(c.Spacing))
	case c.Spacing == 0:
		return unit.Textf("Order loads of max %s, or place faster%s", noMore(c.Load), s.moreTrucks(c))
	}
	return unit.Textf("Order loads of max %s, %s apart, or place faster%s", noMore(c.Load), span(c.Spacing), s.moreTrucks(c))
}

// moreTrucks says how many trucks smaller loads make, if more than now, and how small the
// last load gets.
func (s *Schedule) moreTrucks(c Cure) unit.Text {
	again := Schedule{Pace: c.of(s.Pace), Volume: s.Volume}
	if again.drive() != nil || len(again.Trucks) <= len(s.Trucks) {
		return unit.Text{}
	}
	short, last := "", again.Trucks[len(again.Trucks)-1].Volume
	if least := cmp.Or(s.Pace.Short, usualShort*s.Pace.Truck); last < least-hair {
		short = ", a short load, usually charged extra"
	}
	return unit.Textf(". Such loads make %d trucks, the last of %s%s", len(again.Trucks), unit.Volume(last), short)
}

// noMore is a volume in m³, rounded down when written.
type noMore float64

func (v noMore) In(s unit.Style) string {
	per := 1.0
	if s.Imperial {
		per = CubicYard
	}
	return s.Volume(math.Floor(float64(v)/per*100+hair) / 100 * per)
}

// noLess is a volume in m³, rounded up when written.
type noLess float64

func (v noLess) In(s unit.Style) string {
	per := 1.0
	if s.Imperial {
		per = CubicYard
	}
	return s.Volume(math.Ceil(float64(v)/per*100-hair) / 100 * per)
}

func (v noLess) String() string { return v.In(unit.Style{}) }

func (v noMore) String() string { return v.In(unit.Style{}) }

// judgeLate warns of trucks that are not empty in time: neighbours with the same remainder
// together.
func (s *Schedule) judgeLate() {
	p := s.Pace
	what := s.cureText()
	const litre = 0.001
	for i := 0; i < len(s.Trucks); {
		t, end := s.Trucks[i], i+1
		if t.Late == 0 {
			i = end
			continue
		}
		for end < len(s.Trucks) && s.Trucks[end].Late > 0 && math.Abs(s.Trucks[end].Late-t.Late) < litre {
			end++
		}
		if end == i+1 {
			which := unit.Textf("1 truck")
			if n := len(s.Trucks); n > 1 {
				which = unit.Textf("truck %d of %d", end, n)
			}
			s.warn(&s.Late, "%s: the last %s comes out up to %s after its %s limit (batched %s). %s",
				which, unit.Volume(t.Late), span(t.Ends-t.Batched-p.Discharge), span(p.Discharge), before(t.Batched), what)
		} else {
			name := fmt.Sprintf("%d to %d", i+1, end)
			if end == i+2 {
				name = fmt.Sprintf("%d and %d", i+1, end)
			}
			s.warn(&s.Late, "trucks %s of %d: the last %s of each pass the %s limit. %s", name, len(s.Trucks), unit.Volume(t.Late), span(p.Discharge), what)
		}
		i = end
	}
}
