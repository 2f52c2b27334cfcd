package order

import (
	"cmp"
	"fmt"
	"math"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Band is the fill between two depths.
type Band struct {
	From, To float64 // m
	Area     float64 // m², in plan
	Volume   float64 // m³
}

// Floor is the fill to order for. A zero field has the default given with it.
type Floor struct {
	Net       float64 // m³ between the old floor and the target
	Area      float64 // m² in plan to be filled
	Real      float64 // m² along the old floor; 0: Area
	Perimeter float64 // m of outline and openings
	Least     float64 // m, depth of fill; negative where the floor is above the target
	Greatest  float64 // m, depth of fill; 0: the mean, an even layer
	Bands     []Band  // no two overlap; those above the target (To ≤ 0) are not fill and are ignored
}

const (
	deep      = 0.5  // m: fill is seldom deeper; own choice
	generous  = 0.25 // an allowance above this is unusual: printed ones end at 10 %; own choice
	roughMost = 0.02 // m: no profile takes more; own choice
)

// Mean returns the depth over the filled area, m.
func (f Floor) Mean() float64 {
	if f.Area == 0 {
		return 0
	}
	return f.Net / f.Area
}

// checked returns f with defaults and only its filled bands, and refuses numbers that
// contradict each other.
func (f Floor) checked() (Floor, error) {
	if f.Real == 0 {
		f.Real = f.Area
	}
	if f.Greatest == 0 {
		f.Greatest = f.Mean()
	}
	if err := check(amount("net volume", f.Net, "a volume in m³"), amount("filled area", f.Area, "an area in m²"),
		quantity{"real area of the old floor", f.Real, f.Area * (1 - slack), math.MaxFloat64, "an area in m², not below the filled area in plan"},
		amount("perimeter", f.Perimeter, "a length in m"), amount("max depth", f.Greatest, "a depth in m"),
		quantity{"min depth", f.Least, -math.MaxFloat64, f.Greatest + hair, "a depth in m, not above the max"}); err != nil {
		return f, err
	}
	if f.Net > 0 && f.Area == 0 {
		return f, refuse("filled area", "0", "the area in m² that the volume is on")
	}
	if most := f.Area * f.Greatest; f.Net > most*(1+slack)+hair {
		return f, refuse("net volume", fmt.Sprintf("%g m³", f.Net), fmt.Sprintf("no more than filled area × max depth, %g m³", most))
	}
	if f.Bands == nil {
		return f, nil
	}
	bands, area, volume, err := filled(f.Bands)
	if err != nil {
		return f, err
	}
	if math.Abs(area-f.Area) > slack*f.Area+hair || math.Abs(volume-f.Net) > slack*f.Net+hair {
		return f, refuse("bands", fmt.Sprintf("%g m² and %g m³ together", area, volume), fmt.Sprintf("the filled area and net volume, %g m² and %g m³", f.Area, f.Net))
	}
	f.Bands = bands
	return f, nil
}

// filled returns the filled bands, with their area and volume, and refuses impossible ones.
func filled(all []Band) (bands []Band, area, volume float64, err error) {
	bands = []Band{}
	for i, b := range all {
		if b.To <= 0 || b.Area <= 0 && b.Area > -hair {
			continue
		}
		name := fmt.Sprintf("band %d, %g to %g m", i+1, b.From, b.To)
		if err := check(quantity{name, b.From, 0, min(b.To, math.MaxFloat64), "depths in m from 0 up, the lesser first"}, amount(name+", greater depth", b.To, "a depth in m"), amount(name+", area", b.Area, "an area in m²"),
			quantity{name + ", volume", b.Volume, b.Area*b.From*(1-slack) - hair, b.Area*b.To*(1+slack) + hair, "a volume in m³ between area × min and area × max depth"}); err != nil {
			return nil, 0, 0, err
		}
		bands, area, volume = append(bands, b), area+b.Area, volume+b.Volume
	}
	return bands, area, volume, nil
}

// Losses are what a fill takes beyond its net volume. Zero is no loss.
type Losses struct {
	Roughness float64 // m of mix that the profile of the old floor takes, over its real area: 0 primed and smooth, 0.001–0.002 blasted (from memory)
	High      float64 // m that the finish may come out high, over the filled area: 1/16 in is usual (common practice, no source)
	Ground    float64 // m³ that covers what is ground off below the target first
	Margin    float64 // m³ that the fill may be more than the net volume, at the risk of running short that is accepted
	Allowance float64 // share added for spill and tools: 0.05 is 5 %. In print 2–10 % (estimating handbooks; ready-mix association leaflet); where depth was measured on a grid, less
	Bore      float64 // m inside diameter of the pump line
	Length    float64 // m of pump line
	Hopper    float64 // m³ left in the hopper of the pump; 0 with a line: 1/4 yd³, or 0.2 m³ outside the US, the upper end of 0.1–0.25 yd³ (from memory)
	US        bool    // US defaults
	Priming   float64 // m³ of the mix run through the line and thrown away; 0: the line is primed with something else
}

// UsualHopper is the mix left in a hopper, m³, see [Losses].
func UsualHopper(us bool) float64 {
	if us {
		return CubicYard / 4
	}
	return 0.2
}

// placed returns the losses where the mix is placed, to check.
func (l Losses) placed() []quantity {
	return []quantity{{PartRoughness, l.Roughness, 0, roughMost, "a depth between 0 and 0.02 m"}, {PartFinishHigh, l.High, 0, roughMost, "a depth between 0 and 0.02 m"}, share(PartAllowance, l.Allowance)}
}

// Names of the lines of a [Takeoff].
const (
	Net        = "Net"
	RoughFloor = "Rough floor"
	FinishHigh = "Finish high"
	Ground     = "Ground parts"
	Margin     = "Margin for the risk"
	Allowance  = "Allowance"
	PumpLine   = "Pump line"
	Hopper     = "Hopper"
	Priming    = "Priming"
)

// Item is one line of an order.
type Item struct {
	Name   string
	Volume float64 // m³
	How    unit.Text
}

// Takeoff is what a floor takes, line by line.
type Takeoff struct {
	Floor Floor // with defaults
	Items []Item
	Need  float64 // m³: the sum of the items, before rounding
	Notes []survey.Note
}

// Takeoff adds up what f takes: the net volume, the additions for a rough floor and a high
// finish, what covers ground parts, a margin for the risk, an allowance on these five, and the mix left in the pump. Every
// item but those of ground parts and of the margin is present, even if it is zero.
func (f Floor) Takeoff(l Losses) (Takeoff, error) {
	f, err := f.checked()
	if err != nil {
		return Takeoff{}, err
	}
	if err := check(append(l.placed(), quantity{PartBore, l.Bore, 0, 0.3, "an inside diameter between 0 and 0.3 m"},
		quantity{PartLineLength, l.Length, 0, 2000, "a length between 0 and 2000 m"}, amount(PartHopper, l.Hopper, "a volume in m³"), amount("ground parts", l.Ground, "a volume in m³"), amount("margin", l.Margin, "a volume in m³"), amount(PartPriming, l.Priming, "a volume in m³"))...); err != nil {
		return Takeoff{}, err
	}
	if (l.Bore > 0) != (l.Length > 0) {
		return Takeoff{}, refuse(PartPumpLine, fmt.Sprintf("bore %g m, length %g m", l.Bore, l.Length), "both, or neither")
	}
	if l.Bore > 0 && l.Hopper == 0 {
		l.Hopper = UsualHopper(l.US)
	}
	t := Takeoff{Floor: f}
	add := func(name string, v float64, how string, args ...any) float64 {
		t.Items = append(t.Items, Item{name, v, unit.Textf(how, args...)})
		t.Need += v
		return v
	}
	placed := add(Net, f.Net, "old floor to target, mean %s over %s", unit.Depth(f.Mean()), unit.Area(f.Area)) +
		add(RoughFloor, l.Roughness*f.Real, "%s × %s along the old floor", layer(l.Roughness), unit.Area(f.Real)) +
		add(FinishHigh, l.High*f.Area, "%s × %s", layer(l.High), unit.Area(f.Area))
	if l.Ground > 0 {
		placed += add(Ground, l.Ground, "where the floor is ground first")
	}
	if l.Margin > 0 {
		placed += add(Margin, l.Margin, "the fill is that much more at the risk of running short that is accepted")
	}
	add(Allowance, l.Allowance*placed, "%.10g %% of the lines above", 100*l.Allowance)
	add(PumpLine, math.Pi/4*l.Bore*l.Bore*l.Length, "π/4 × bore² × length: %s bore, %s", unit.Depth(l.Bore), unit.Distance(l.Length))
	add(Hopper, l.Hopper, "left in the pump")
	add(Priming, l.Priming, "run through the line and thrown away")

	if f.Net == 0 {
		t.Notes = append(t.Notes, warning("net volume: nothing is below the target"))
	}
	if f.Greatest > deep {
		t.Notes = append(t.Notes, warning("max depth: %s is out of the ordinary for a floor; check the target and the unit of the survey", unit.Depth(f.Greatest)).About(survey.AboutDepth))
	}
	if l.Allowance > generous {
		t.Notes = append(t.Notes, warning("allowance: %.10g %% is far above the 2–10 %% in print", 100*l.Allowance))
	}
	return t, nil
}

// UpTo returns how much mix, m³, must have left the trucks by the end of each bay, in the order of
// placing: what t needs, shared out. nets and areas are what the bays take of the floor of t,
// m³ and m².
//
// A rough floor and a high finish take mix by area, spill and tools by what is placed. The pump
// takes its mix from the first load: priming is thrown away, and line and hopper must be full
// before the first bay gets any. They stay full until the last bay, as every load goes through
// them, and what is in them then is lost. So all of it belongs to the first bay: with a share
// of it by volume, that bay would run short by what the later ones were to bring. Source:
// arithmetic.
func (t Takeoff) UpTo(nets, areas []float64) []float64 {
	net, area := 0.0, 0.0
	for i := range nets {
		net, area = net+nets[i], area+areas[i]
	}
	byNet, byArea := t.Volume(Net)+t.Volume(Ground)+t.Volume(Margin), t.Volume(RoughFloor)+t.Volume(FinishHigh)
	pump := t.Volume(PumpLine) + t.Volume(Hopper) + t.Volume(Priming)
	out, sum := make([]float64, len(nets)), 0.0
	for i := range nets {
		one := shareOf(byNet, nets[i], net) + shareOf(byArea, areas[i], area)
		one += shareOf(t.Volume(Allowance), one, byNet+byArea)
		if one > 0 {
			sum, pump = sum+pump, 0 // the first bay that takes any
		}
		sum += one
		out[i] = sum
	}
	return out
}

// shareOf is the share of v that part has of whole.
func shareOf(v, part, whole float64) float64 {
	if whole == 0 {
		return 0
	}
	return v * part / whole
}

// Volume returns the volume of a line, m³; 0 if there is none.
func (t Takeoff) Volume(name string) float64 {
	for _, l := range t.Items {
		if l.Name == name {
			return l.Volume
		}
	}
	return 0
}

// layer is a thickness in m, below the steps of a rule: "1.6 mm". In inches it is a
// fraction where it is whole 64ths, else in mm: the nearest fraction would not give the
// volume beside it.
type layer float64

func (v layer) In(s unit.Style) string {
	if n := float64(v) / inch * 64; s.Imperial && math.Abs(n-math.Round(n)) < 1e-6 {
		s.Denominator = 64
		return s.Depth(float64(v))
	}
	return fmt.Sprintf("%.1f mm", float64(v)*1000)
}

// Plant is the delivery of ready-mixed concrete.
type Plant struct {
	US    bool    // US defaults
	Step  float64 // m³: the plant delivers whole steps; 0: 0.25 m³ (common practice, no source; US 1/4 yd³)
	Truck float64 // m³ a load; 0: 10 yd³ (common practice, no source), or 6 m³ outside the US (UK 6–8 m³, common practice, no source)
	Short float64 // m³: a load below this is usually charged extra; 0: 0.6 of Truck, 6 yd³ of 10 (common practice, no source: sources say 4–6 and 6–10 yd³)
}

const (
	usualStep  = 0.25 // m³, see [Plant]
	usualShort = 0.6  // of a truck, see [Plant]
)

// UsualTruck is a load, m³, see [Plant].
func UsualTruck(us bool) float64 {
	if us {
		return 10 * CubicYard
	}
	return 6
}

// Delivery is an order of ready-mixed concrete in truck loads.
type Delivery struct {
	Volume   float64 // m³ to order, whole steps
	Rounding Item    // what rounding up added
	Trucks   int
	Full     float64     // m³ of every truck except the last: whole steps
	Last     float64     // m³ of the last truck
	Short    bool        // the last truck is a short load
	Loads    []Truckload // of each truck, if not full ones and the remainder
	Notes    []survey.Note
}

// CubicYards returns the order in yd³.
func (d Delivery) CubicYards() float64 { return d.Volume / CubicYard }

// SoldIn is a volume in the system that its step is round in, to 0.01 yd³ or m³; where it is
// round in both or in neither, in US units if us.
func SoldIn(volume, step float64, us bool) unit.Sold {
	round := func(v float64) bool { return math.Abs(v*100-math.Round(v*100)) < 1e-6 }
	if metric, yards := round(step), round(step/CubicYard); metric != yards {
		us = yards
	}
	return unit.Sold{Volume: volume, US: us}
}

// Deliver rounds need, m³, up to whole steps of the plant, never down, and divides it into
// trucks. A need within a billionth of a step of a whole one stays.
func (p Plant) Deliver(need float64) (Delivery, error) {
	p.Step, p.Truck = cmp.Or(p.Step, usualStep), cmp.Or(p.Truck, UsualTruck(p.US))
	p.Short = cmp.Or(p.Short, usualShort*p.Truck)
	if err := check(amount("need", need, "a volume in m³"), positive(PartStep, p.Step, "a volume in m³"),
		quantity{PartTruckSize, p.Truck, p.Step, math.MaxFloat64, "a volume in m³ of at least one order step"}, quantity{PartShortLoad, p.Short, 0, p.Truck, "a volume no larger than that of a truck"}); err != nil {
		return Delivery{}, err
	}
	steps, full := wholes(need/p.Step), math.Floor(p.Truck/p.Step+hair)
	d := Delivery{Volume: steps * p.Step, Full: full * p.Step}
	d.Rounding = Item{"Rounded up", d.Volume - need, unit.Textf("to whole steps of %s", SoldIn(p.Step, p.Step, p.US))}
	if trucks := math.Ceil(steps / full); trucks > 0 {
		if trucks > 1e6 {
			return Delivery{}, refuse("volume", fmt.Sprintf("%.0f m³, %.0f truck loads", need, trucks), "no more than a million: are the units of the survey and the target right?")
		}
		d.Trucks, d.Last = int(trucks), (steps-(trucks-1)*full)*p.Step
	}
	d.Short = d.Trucks > 0 && d.Last < p.Short-hair
	switch {
	case !d.Short:
	case d.Trucks == 1:
		d.Notes = append(d.Notes, warning("truck: %s is a short load, below %s, and usually charged extra; ask the plant", SoldIn(d.Last, p.Step, p.US), SoldIn(p.Short, p.Step, p.US)))
	default:
		d.Notes = append(d.Notes, warning("last truck: %s is a short load, below %s, and usually charged extra; share the order out evenly, or hold this truck until what is left has been measured",
			SoldIn(d.Last, p.Step, p.US), SoldIn(p.Short, p.Step, p.US)))
	}
	return d, nil
}

func (v layer) String() string { return v.In(unit.Style{}) }
