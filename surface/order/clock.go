package order

import (
	"fmt"
	"math"
	"time"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Pace is the speed of a crew and a plant. A zero field has the default given with it. The
// figures are for planning: heat, wind, admixtures and a tired crew change all of them.
type Pace struct {
	Placing   float64       // m³/h placed and struck off; 0: 6 m³/h, the lower end of 8–15 yd³/h for small rooms (common practice, no source)
	Discharge time.Duration // from batching until a truck must be empty; 0: 90 min (ASTM C94, read; it also stops at 300 turns of the drum, and the purchaser may waive both while the mix can be placed without more water; later editions drop the turns, from memory). Shorter in the heat
	Travel    time.Duration // from batching to arrival; 0: 30 min (own assumption: ask the plant)
	Spacing   time.Duration // between two trucks; 0: each comes when the one before it is empty
	US        bool          // US defaults
	Truck     float64       // m³ a load; 0: as in [Plant]
	Loads     []float64     // m³ of each truck; nil: full loads and the remainder
	Short     float64       // m³: less is a short load; 0: as in [Plant]
	Step      float64       // m³: the plant loads whole steps; 0: any volume
	Site      bool          // mixed on site: there are no trucks, and the truck fields are ignored
	Working   time.Duration // from mixing on site, or from leaving the truck, until the mix no longer flows or can be finished; 0: not known, so that no bays are worked out. 10–20 min are usual for leveller (common practice, no source); the bag decides
	Level     time.Duration // time that a flowing mix needs to find its level, out of Working; 0: none
}

const (
	usualPlacing   = 6.0 // m³/h, see [Pace]
	usualDischarge = 90 * time.Minute
	usualTravel    = 30 * time.Minute
	longest        = 1000 * time.Hour // more is not a pour for a crew; own choice
	trucksMost     = 10000            // own choice
	baysMost       = 10000            // own choice
)

// Truck is one load by the clock. Times count from the arrival of the first truck, so the
// first is batched at a negative time.
type Truck struct {
	Volume  float64       // m³
	Batched time.Duration // water meets cement
	Arrives time.Duration
	Starts  time.Duration // to discharge: not before the truck ahead is empty
	Ends    time.Duration // empty
	Waits   time.Duration // on site
	Idle    time.Duration // the crew is idle before it
	Late    float64       // m³ still in the truck at its time limit; 0: empty in time
}

// Schedule is a pour by the clock.
type Schedule struct {
	Pace    Pace          // with defaults
	Volume  float64       // m³
	Placing time.Duration // at the pace, without waiting
	Ends    time.Duration // from the arrival of the first truck, or the first mix on site, waiting included
	Spacing time.Duration // between full trucks
	Fresh   float64       // m³ in whole steps: a load that is empty in time if it does not wait; 0: none, or mixed on site
	Trucks  []Truck       // none when mixed on site
	Bay     float64       // m³ that can be placed while the edge stays workable; 0: working time unknown
	Bays    int           // bays for Volume; 0: working time unknown
	Area    float64       // m² of a bay at the mean depth; 0: unknown
	Stops   []survey.Note // the pour takes longer than the mix can be worked: solved by bays up to Bay
	Late    []survey.Note // trucks that are not empty in time, and the cure
	Waits   []survey.Note // trucks that wait, and a crew that is idle
	Notes   []survey.Note

	assumed bool // the pace was not given
}

// warn adds a warning that depends on the pace, and notes whether the pace is assumed.
func (s *Schedule) warn(to *[]survey.Note, format string, args ...any) {
	if s.assumed {
		format += ". The pace of %s an hour is assumed%s"
		args = append(args, unit.Volume(s.Pace.Placing), unit.Hintf(": give yours, [pace] placing-m3-per-hour or placing-yd3-per-hour"))
	}
	*to = append(*to, warning(format, args...))
}

// checked returns p with defaults.
func (p Pace) checked() (Pace, error) {
	if p.Placing == 0 {
		p.Placing = usualPlacing
	}
	if p.Discharge == 0 {
		p.Discharge = usualDischarge
	}
	if p.Travel == 0 {
		p.Travel = usualTravel
	}
	if p.Truck == 0 {
		p.Truck = UsualTruck(p.US)
	}
	day := func(name string, d time.Duration) quantity {
		return quantity{name + " in minutes", d.Minutes(), 0, 24 * 60, "a time between 0 and 24 h"}
	}
	if err := check(quantity{"placing", p.Placing, 0.001, 1000, "a rate between 0.001 and 1000 m³/h"}, day("discharge limit", p.Discharge), day("travel", p.Travel),
		day("spacing", p.Spacing), day("working time", p.Working), day("time to find its level", p.Level), quantity{PartTruckSize, p.Truck, 0.01, 100, "a volume between 0.01 and 100 m³"},
		quantity{PartStep, p.Step, 0, p.Truck, "a volume in m³ of no more than a truck"}); err != nil {
		return p, err
	}
	if p.Working > 0 && p.Level >= p.Working || p.Working == 0 && p.Level > 0 {
		return p, refuse("working time", span(p.Working), "more than the time to find its level, "+span(p.Level))
	}
	return p, nil
}

// With returns p with the working time of m, if its maker states one. A bagged mix is mixed
// on site.
func (p Pace) With(m Material) Pace {
	if m.Working > 0 {
		p.Working = m.Working
	}
	p.Site = p.Site || m.Yield > 0
	return p
}

// placing returns the time to place v m³.
func (p Pace) placing(v float64) time.Duration {
	return time.Duration(math.Round(v / p.Placing * float64(time.Hour)))
}

// steps rounds v m³ down to the steps of the plant.
func (p Pace) steps(v float64) float64 {
	if p.Step == 0 {
		return v
	}
	return math.Floor(v/p.Step+hair) * p.Step
}

// placed returns the volume placed in d, m³.
func (p Pace) placed(d time.Duration) float64 { return max(0, p.Placing*d.Hours()) }

// live returns the volume, m³, that can be placed before the edge of the first part no
// longer works: rate × (working time − time to find its level). Source: arithmetic.
func (p Pace) live() float64 { return p.placed(p.Working - p.Level) }

// Schedule computes a pour of volume m³ over f; 0 is the net volume of f. Full loads come
// first and the remainder last, as in [Plant.Deliver].
//
// A truck that waits, one that is not empty at its time limit, an idle crew and a pour
// longer than the mix can be worked are warnings. None of them is an error.
func (p Pace) Schedule(f Floor, volume float64) (Schedule, error) {
	f, err := f.checked()
	if err != nil {
		return Schedule{}, err
	}
	given := p
	if p, err = p.checked(); err != nil {
		return Schedule{}, err
	}
	if volume == 0 {
		volume = f.Net
	}
	if err := check(amount("volume", volume, "a volume in m³"), quantity{"placing time in hours", volume / p.Placing, 0, longest.Hours(), "no more than 1000 h: look at the volume and the pace"}); err != nil {
		return Schedule{}, err
	}
	s := Schedule{Pace: p, Volume: volume, Placing: p.placing(volume), assumed: given.Placing == 0}
	note := func(k survey.NoteKind, format string, args ...any) {
		s.Notes = append(s.Notes, survey.Notef(k, survey.Pos{}, format, args...))
	}
	if given.Placing == 0 {
		note(survey.Assumed, "placing: %s an hour, the lower end of what is usual in small rooms; none was given", unit.Volume(p.Placing))
	}
	s.Ends = s.Placing
	if !p.Site {
		if given.Travel == 0 {
			note(survey.Assumed, "travel: %s from the plant; none was given", span(p.Travel))
		}
		if given.Discharge == 0 {
			note(survey.Assumed, "discharge limit: %s after batching, the usual limit (ASTM C94); the specification and the weather may ask for less", span(p.Discharge))
		}
		if err := s.drive(); err != nil {
			return Schedule{}, err
		}
		s.judgeLate()
		s.judgeWaits()
	}
	return s, s.bays(f)
}

// drive schedules the trucks.
func (s *Schedule) drive() error {
	p := s.Pace
	s.Fresh = p.steps(p.placed(p.Discharge - p.Travel))
	full := p.steps(p.Truck)
	if s.Spacing = p.Spacing; s.Spacing == 0 {
		s.Spacing = p.placing(full)
	}
	loads, err := s.loads(full)
	if err != nil {
		return err
	}
	var free time.Duration // when the truck ahead is empty
	for i, load := range loads {
		t := Truck{Volume: load, Arrives: time.Duration(i) * s.Spacing}
		if p.Loads != nil && p.Spacing == 0 {
			t.Arrives = free
		}
		t.Batched = t.Arrives - p.Travel
		t.Starts = max(t.Arrives, free)
		t.Waits, t.Idle = t.Starts-t.Arrives, t.Starts-free
		t.Ends = t.Starts + p.placing(t.Volume)
		if limit := t.Batched + p.Discharge; t.Ends > limit+time.Second {
			t.Late = min(t.Volume, p.placed(t.Ends-limit))
		}
		free = t.Ends
		s.Trucks = append(s.Trucks, t)
	}
	s.Ends = free
	return nil
}

// judgeWaits warns of trucks that wait, and of a crew that is idle.
func (s *Schedule) judgeWaits() {
	p := s.Pace
	for i, t := range s.Trucks {
		name := fmt.Sprintf("truck %d of %d", i+1, len(s.Trucks))
		if t.Waits >= time.Minute {
			s.warn(&s.Waits, "%s: arrives at %s and waits %s for the one ahead; space the trucks %s", name, span(t.Arrives), span(t.Waits), span(p.placing(p.steps(p.Truck))))
		}
		if t.Idle >= time.Minute && i > 0 {
			joint := ""
			if p.Working > 0 && t.Idle+p.Level > p.Working {
				joint = ", longer than the mix can be worked: a cold joint, unless a bay ends there"
			}
			s.warn(&s.Waits, "%s: the crew is idle %s before it comes%s", name, span(t.Idle), joint)
		}
	}
}

// bays divides the pour into bays that stay workable.
func (s *Schedule) bays(f Floor) error {
	p := s.Pace
	if p.Working == 0 {
		return nil
	}
	s.Bay = p.live()
	bays := wholes(s.Volume / s.Bay)
	if err := check(quantity{"bays", bays, 0, baysMost, fmt.Sprintf("no more than %d: look at the working time and the pace", baysMost)}); err != nil {
		return err
	}
	s.Bays = int(bays)
	deepest := 0.0 // m² of a bay there
	if f.Net > 0 {
		s.Area, deepest = s.Bay/f.Mean(), s.Bay/f.Greatest
	}
	if s.Bays > 1 {
		within := ""
		if p.Level > 0 {
			within = fmt.Sprintf(" less the %s it takes to find its level", span(p.Level))
		}
		s.warn(&s.Stops, "working time: placing takes %s and the mix can be worked for %s%s; min %d bays, or strips between live edges, of max %s, about %s each at the mean depth and %s where it is deepest, with a stop at a chosen line, or place faster",
			span(s.Placing), span(p.Working), within, s.Bays, unit.Volume(s.Bay), unit.Area(s.Area), unit.Area(deepest))
	}
	return nil
}

// span writes a duration as "45 min", "2 h" or "1 h 30 min", to the minute.
func span(d time.Duration) string {
	if d < 0 {
		return "-" + span(-d)
	}
	m := int(math.Round(d.Minutes()))
	switch {
	case m < 60:
		return fmt.Sprintf("%d min", m)
	case m%60 == 0:
		return fmt.Sprintf("%d h", m/60)
	}
	return fmt.Sprintf("%d h %d min", m/60, m%60)
}

// before writes a time, which may be before the start.
func before(d time.Duration) string {
	if d < 0 {
		return span(-d) + " before the start"
	}
	return "at " + span(d)
}
