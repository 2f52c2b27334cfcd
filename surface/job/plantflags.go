package job

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strconv"

	"pourplane/surface"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// plantFlags are the additions to the net volume of an order, and its delivery.
type plantFlags struct {
	roughness, high, bore, line, hopper, priming, truck, short string
}

// losses reads the additions to the net volume, and the plant.
func (f *plantFlags) losses(given *Lengths) (order.Losses, order.Plant, error) {
	var l order.Losses
	var p order.Plant
	if err := given.into(lengthValue{"roughness", f.roughness, &l.Roughness}, lengthValue{"finish-high", f.high, &l.High}, lengthValue{"line-bore", f.bore, &l.Bore}, lengthValue{"line-length", f.line, &l.Length}); err != nil {
		return l, p, err
	}
	for _, v := range []lengthValue{{"hopper", f.hopper, &l.Hopper}, {"priming", f.priming, &l.Priming}, {"truck", f.truck, &p.Truck}, {"short-load", f.short, &p.Short}} {
		if v.text == "" {
			continue
		}
		m, err := unit.ParseVolume(v.text)
		if err != nil || m < 0 {
			return l, p, noVolume(v.field, v.text, given.shown(Place).Imperial())
		}
		if m == 0 && v.field != "priming" { // the usual is no priming
			return l, p, misused(v.field, strconv.Quote(v.text), "more than 0; without it it is as usual").Hinted("%s", unit.LeaveOut(v.field))
		}
		*v.to = m
	}
	return l, p, nil
}

// partFields gives the field for each part that an order refuses.
var partFields = map[string]string{
	order.PartRoughness: "roughness", order.PartFinishHigh: "finish-high", order.PartBore: "line-bore", order.PartLineLength: "line-length", order.PartPumpLine: "line-bore",
	order.PartHopper: "hopper", order.PartPriming: "priming", order.PartStep: "order-step", order.PartTruckSize: "truck", order.PartShortLoad: "short-load",
}

// floorOf returns the figures of a fill for an order.
func floorOf(floor *surface.Floor, f surface.Fill) order.Floor {
	out := order.Floor{Net: f.Fill, Area: f.FillArea, Real: f.Sloped * f.FillArea / f.Area, Perimeter: floor.Perimeter, Least: f.Least, Greatest: f.Greatest}
	for _, b := range poured(f) {
		out.Bands = append(out.Bands, occurring(order.Band(b), f))
	}
	return out
}

// occurring returns b with its limits narrowed to the depths in f: those of the regions
// that reach into it, whose depths have no gap. Area and volume are unchanged.
func occurring(b order.Band, f surface.Fill) order.Band {
	regions := f.Regions
	if len(regions) == 0 {
		regions = []surface.Fill{f}
	}
	mean := min(max(b.Volume/b.Area, b.From), b.To) // rounding may put it outside
	from, to := mean, mean
	for _, r := range regions {
		if lo, hi := max(r.Least, b.From), min(r.Greatest, b.To); lo < hi {
			from, to = min(from, lo), max(to, hi)
		}
	}
	b.From, b.To = max(b.From, from), min(b.To, to)
	return b
}

// poured returns the bands that are filled. Floor exactly at the target is in the band
// from 0 and takes no fill.
func poured(f surface.Fill) []surface.Band {
	var out []surface.Band
	for _, b := range f.Bands {
		if b.From == 0 && f.Least == 0 {
			b.Area = max(b.Area-(f.Area-f.FillArea-f.CutArea), 0)
		}
		if b.To > 0 && b.Area > 0 {
			out = append(out, b)
		}
	}
	return out
}

// takeOff computes the order; nothing if nothing is filled.
func (f *filling) takeOff(w *Filled) error {
	if w.Fill.Fill == 0 {
		return nil
	}
	l, plant, err := f.lossesFor(w)
	if err != nil {
		return err
	}
	refused := func(err error) error {
		var e *survey.Error
		if errors.As(err, &e) && partFields[e.Part] != "" {
			field := partFields[e.Part]
			for _, v := range []lengthValue{{"hopper", f.hopper, nil}, {"priming", f.priming, nil}, {"truck", f.truck, nil}, {"short-load", f.short, nil}} {
				if v.field == field && v.text != "" {
					return misused(field, strconv.Quote(v.text), e.Want) // as typed, with its unit
				}
			}
			return misused(field, e.Found, e.Want)
		}
		return &survey.Error{Element: "order", Want: err.Error(), Err: err}
	}
	if extra := w.covers(); extra > 0 && f.served {
		w.orderNotes = append(w.orderNotes, survey.Notef(survey.Warning, survey.Pos{}, "the order lacks the fill over what is ground first, %s: order that much more", unit.SmallVolume(extra)).About(survey.AboutOrder))
	} else {
		l.Ground = extra
	}
	w.Losses, w.plant = l, plant
	if w.Takeoff, err = floorOf(w.Floor, w.Fill).Takeoff(l); err != nil {
		return refused(err)
	}
	if w.Delivery, err = plant.Deliver(w.Takeoff.Need); err != nil {
		return refused(err)
	}
	w.Mix.Order = w.Delivery.Volume
	if f.served {
		return nil
	}
	w.bonded = f.bonded
	w.thinFill()
	w.smallBags = !f.plantChosen()
	switch f.comesAs(w.Thin.Area/w.Fill.FillArea, w.Takeoff.Need) {
	case asOpen:
		w.Open, w.Delivery, w.Mix.Order = true, order.Delivery{}, 0
	case inBags:
		if err := w.inBags(); err != nil {
			return refused(err)
		}
	}
	return nil
}

// lossesFor returns the losses of the order of w and its plant, with usual figures where none are
// given.
func (f *filling) lossesFor(w *Filled) (order.Losses, order.Plant, error) {
	l, plant, err := f.losses(&f.given)
	if err != nil {
		return l, plant, err
	}
	if w.margin, err = f.margin(w); err != nil {
		return l, plant, err
	}
	l.Margin, l.Allowance, plant.Step = w.margin, w.Mix.Allowance, w.Mix.Step
	// Usual figures are those of the survey's system, whatever is shown.
	own := w.Survey.Unit.Imperial()
	l.US, plant.US = own, own
	plant.Truck = cmp.Or(plant.Truck, order.UsualTruck(own))
	if l.Bore > 0 {
		l.Hopper = cmp.Or(l.Hopper, order.UsualHopper(own))
	}
	return l, plant, nil
}

// plantChosen reports whether the order is to come from a plant, however small.
func (f *filling) plantChosen() bool {
	p := f.plantFlags
	return f.step != "" || p != (plantFlags{roughness: p.roughness, high: p.high}) || f.byPlant
}

// coming is how the fill of a job without materials comes.
type coming uint8

const (
	byTruck coming = iota
	inBags
	asOpen // no material is chosen, and most of it is too thin for concrete
)

// comesAs decides how a fill comes: thin is the share of its area that is too thin for concrete,
// need its order before rounding, m³.
func (f *filling) comesAs(thin, need float64) coming {
	switch {
	case f.plantChosen():
		return byTruck
	case !f.byBag && thin >= mostlyThin:
		return asOpen
	case need < order.BagsBelow:
		return inBags
	}
	return byTruck
}

// mostlyThin is the share of the filled area too thin for concrete from which no
// concrete is ordered unless the user asks for it: the material is open. Own choice.
const mostlyThin = 0.9

// thinFill finds where the fill is thinner than concrete is usually laid.
func (w *Filled) thinFill() {
	least := order.ConcreteLeast(w.own())
	under := least - leastHair
	for _, b := range poured(w.Floor.FillTo(w.Fill.Target, []float64{0, under})) {
		if b.From >= 0 && b.To <= under {
			w.Thin.Area, w.Thin.Volume = w.Thin.Area+b.Area, w.Thin.Volume+b.Volume
		}
	}
	w.Thin.To = least
	if w.ThinText().String() == "" {
		return
	}
	w.orderNotes = append(w.orderNotes, survey.Notef(survey.Warning, survey.Pos{}, "%s%s", w.ThinText(), w.higherThanDoor()).About(survey.AboutOrder))
}

// higherThanDoor warns the crew, not the customer, of the other way out of a thin fill: the
// finished floor is to stay where its doors put it.
func (w *Filled) higherThanDoor() string {
	if w.Finish == nil {
		return ""
	}
	return ": the target is set by the adjoining finished floor, and raising it lifts the new floor above the door by as much"
}

// leastHair is how much less than the min thickness still is the min thickness, m: sums of
// elevations are no more exact than that.
const leastHair = 1e-11

// leastThin is the area too thin for concrete below which nobody is warned, m²: a hand's
// breadth square, written as 0. Own choice.
const leastThin = 0.005

// ThinText describes where the fill is too thin for concrete; "" if nowhere, or on an area
// that rounds to nothing.
func (w *Filled) ThinText() unit.Text {
	if w.Thin.Area < leastThin {
		return unit.Text{}
	}
	instead := "Use another material there"
	if w.Finish == nil {
		instead += ", or raise the target"
	}
	bond := "if bonded; not bonded it takes more"
	if w.bonded {
		bond = "of a bonded fill"
	}
	return unit.Textf("too thin for concrete on %s (%s of the filled area), %s of fill: less than %s deep, the usual minimum %s. %s",
		unit.Area(w.Thin.Area), percentText(w.Thin.Area/w.Fill.FillArea), unit.SmallVolume(w.Thin.Volume), leastText(w.Thin.To == order.ConcreteLeast(true)), bond, instead)
}

// leastText writes the usual min thickness of concrete without rounding: [order.ConcreteLeast].
func leastText(us bool) unit.Either {
	if us {
		return unit.Either{Metric: `1 1/2" (38.1 mm)`, US: `1 1/2"`}
	}
	return unit.Either{Metric: "40 mm", US: `40 mm (1.575")`}
}

// percentText writes a fraction in whole percent. It writes 0 and 100 only for exactly 0
// and 1.
func percentText(share float64) string {
	switch p := math.Round(100 * share); {
	case p < 1:
		return "under 1 %"
	case p > 99 && share < 1:
		return "over 99 %"
	default:
		return fmt.Sprintf("%.0f %%", p)
	}
}

// inBags orders usual bags instead of a truck.
func (w *Filled) inBags() error {
	own := w.Survey.Unit.Imperial()
	bag := order.UsualBag(own)
	bags, err := bag.For(w.Takeoff.Need)
	if err != nil {
		return err
	}
	name, yield := "25 kg concrete mix", fmt.Sprintf("%.1f L", bag.Yield*1000)
	if own {
		name, yield = "80 lb concrete mix", fmt.Sprintf("%.2f ft³", bag.Yield/cubicFoot)
	}
	w.Bag = &bagOrder{bag, bags, name}
	w.Bags = []unit.Text{unit.Textf("%s of %s for %s; too little for a truck", survey.Plural(bags.Count, "bag"), name, unit.SmallVolume(w.Takeoff.Need))}
	w.Delivery = order.Delivery{Rounding: order.Item{Name: "Rounded up", Volume: bags.Spare, How: unit.Textf("to whole bags of %s", yield)}}
	w.Mix.Order = 0
	w.orderNotes = append(w.orderNotes, survey.Notef(survey.Assumed, survey.Pos{}, "order: less than %s is counted in bags that yield %s each; the label of your bag takes precedence. With an order step or a truck given it is ordered from a plant", unit.Volume(order.BagsBelow), yield).About(survey.AboutOrder))
	return nil
}

const cubicFoot = 0.3048 * 0.3048 * 0.3048 // m³

// noVolume refuses a text that is no volume. The examples are in the units of the survey.
func noVolume(field, text string, us bool) error {
	f, _ := ByFlag(field)
	found, want := unit.VolumeWanted(text, f.With(text, us))
	return misused(field, found, want)
}
