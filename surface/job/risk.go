package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/surface/order"
	"pourplane/surface/uncertainty"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Risks of running short that are listed. Own choice.
var usualRisks = []float64{0.50, 0.20, 0.10, 0.05, 0.01}

// Limits of a risk and of the number of next shots that may be asked for. Own choice: the
// distribution of the fill ends near 1 in 30,000.
const (
	leastRisk, mostRisk = 0.001, 0.5
	mostNext            = 50
	usualNext           = 3 // in the record of a job
)

// Risk is an order and what comes of it: how likely it runs short, with all of the allowance
// spilled or left in the tools.
type Risk struct {
	Asked float64 // of running short, for which it is the order
	Order float64 // m³ to order; of bags what they yield
	Bags  int     // 0: by truck
	Risk  float64 // of running short with the order, rounded up as it is
	Over  float64 // m³ left over on average: paid for and dumped
	Short float64 // m³ lacking on average, counting 0 where it does not run short

	OverCost  *float64 // of Over, at the price of the mix; nil: not given
	ShortCost *float64 // risk times the price of a second delivery; nil: not given
}

func parseRisk(text string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "%")), 64)
	if err != nil {
		return 0, unit.Wanted{Want: riskWanted}
	}
	if !(v >= 100*leastRisk && v <= 100*mostRisk) {
		return 0, unit.Wanted{Want: wantedRisk(v)}
	}
	return v / 100, nil
}

const riskWanted = "percent between 0.1 and 50, such as 5: the risk of running short"

// wantedRisk is what is wanted in place of a percentage out of range: one below it may be a share.
func wantedRisk(percent float64) string {
	if percent >= leastRisk && percent < 100*leastRisk {
		return fmt.Sprintf("%s; did you mean %.6g?", riskWanted, 100*percent)
	}
	return riskWanted
}

func parseNext(text string) (int, error) {
	v, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil || v < 0 || v > mostNext {
		return 0, unit.Wanted{Want: nextWanted}
	}
	return v, nil
}

const nextWanted = "a whole number of shots between 0 and 50, such as 5"

// checkSure refuses a risk and a number of shots out of range.
func (f *filling) checkSure() error {
	if r := f.riskPercent; r != nil {
		if !(*r/100 >= leastRisk && *r/100 <= mostRisk) {
			return misused("risk", fmt.Sprint(*r), wantedRisk(*r))
		}
		f.risk = *r / 100
	}
	if n := f.nextShots; n != nil {
		if !(*n >= 0 && *n <= mostNext) || *n != math.Trunc(*n) {
			return misused("next", fmt.Sprint(*n), nextWanted)
		}
		f.next = int(*n)
	}
	return nil
}

// margin returns how much more than the fill the order is for, m³, at the risk that is asked for:
// never less.
func (f *filling) margin(w *Filled) (float64, error) {
	if f.risk == 0 || w.sure == nil {
		return w.margin, nil // of a target that was raised: as before
	}
	s := w.Sure()
	if !s.Known {
		return 0, s.unknown("risk", w.Old)
	}
	return max(0, s.Dist.Quantile(1-f.risk)-s.Fill), nil
}

// Margin is the risk of running short that was asked for, 0: none, and how much more fill the order
// is for by it, m³.
func (w *Filled) Margin() (risk, more float64) { return w.plan.risk, w.margin }

// unknown refuses an option that needs to know how sure the fill of a floor is.
func (s *Sure) unknown(field string, floor *surface.Floor) error {
	return misuse(field, "%s needs to know how sure the fill is, and that is not measured: %s", unit.Ask(field, ""), s.Lacks(floor)).
		Hinted("%s; %s then lists where to shoot", unit.LeaveOut(field), unit.Ask("next", fmt.Sprint(usualNext)))
}

// Lacks is what the shots on a floor lack to say how sure its fill is.
func (s *Sure) Lacks(floor *surface.Floor) string {
	var out []string
	of := func(region int) string {
		if len(floor.Regions) > 1 {
			return floor.Regions[region].Name + ": "
		}
		return ""
	}
	for _, f := range s.Model.Few() {
		out = append(out, fmt.Sprintf("%s%s, min %d needed", of(f.Region), survey.Plural(f.Measured, "shot"), uncertainty.Fewest))
	}
	for _, b := range s.Model.Beyond() {
		out = append(out, fmt.Sprintf("%s%.0f %% of it is beyond the shots: shoot that floor too", of(b.Region), 100*b.Share))
	}
	return strings.Join(out, "; ")
}

// prices are those that a job weighs the risk of running short by; 0: not given.
type prices struct {
	volume float64 // of 1 m³ by truck
	bag    float64 // of a usual bag of concrete
	second float64 // of a second delivery
}

// demand is what an order is for: the need before rounding up.
type demand struct {
	dist   uncertainty.Distribution // of the need, m³
	amount func(need float64) (volume float64, bags int, err error)
	price  float64 // of 1 m³ that is ordered; 0: not given
	second float64 // of a second delivery; 0: not given
}

// at returns the order for a need of at least need, asked for a risk.
func (d demand) at(asked, need float64) (Risk, error) {
	v, bags, err := d.amount(need)
	if err != nil {
		return Risk{}, err
	}
	r := Risk{Asked: asked, Order: v, Bags: bags, Risk: 1 - d.dist.Below(v), Short: d.dist.Over(v)}
	r.Over = v - d.dist.Mean() + r.Short
	if d.price > 0 {
		c := order.Money(d.price * r.Over)
		r.OverCost = &c
	}
	if d.second > 0 {
		c := order.Money(d.second * r.Risk)
		r.ShortCost = &c
	}
	return r, nil
}

// needs returns the distribution of what the order by truck or in usual bags needs before it is
// rounded up, m³: of its net volume, whose difference from the triangulated one takes its allowance
// too.
//
// Roughness and a high finish take mix by the area that is filled, which hardly changes; the pump
// takes the same. So the need is that of the take-off, moved by the difference of the net volume and
// its allowance.
func (w *Filled) needs(of uncertainty.Distribution, net float64) uncertainty.Distribution {
	with := 1 + w.Losses.Allowance
	return of.Shifted(-net).Scaled(with).Shifted(w.Takeoff.Need - w.Takeoff.Volume(order.Margin)*with)
}

// demand returns what the order of w is for; false where nothing is ordered, or several materials
// are, each of its own.
func (w *Filled) demand() (d demand, need float64, ok bool) {
	s := w.Sure()
	if s == nil || !s.Known {
		return d, 0, false
	}
	if w.service != nil {
		for _, one := range w.Shares() {
			// What comes by truck is the order; of bags it is the order where they are all there is.
			if m := w.service.Materials[one.Material]; m.Yield == 0 || len(w.service.Uses) == 1 {
				return w.demandOf(one)
			}
		}
		return d, 0, false
	}
	if w.Takeoff.Need == 0 {
		return d, 0, false
	}
	if w.Open { // of a material that is not chosen: neither rounded nor priced
		d.amount, ok = func(need float64) (float64, int, error) { return need, 0, nil }, true
	} else if w.Bag != nil {
		d.amount, d.price, d.second = inWholeBags(w.Bag.Bag), w.prices.bag/w.Bag.Yield, w.prices.second
		ok = true
	} else {
		d, ok = w.byTruck()
	}
	d.dist = w.needs(s.Dist, s.Fill)
	return d, w.Takeoff.Need, ok
}

// byTruck is how the plant delivers; false where it does not.
func (w *Filled) byTruck() (demand, bool) {
	return demand{price: w.prices.volume, second: w.prices.second, amount: func(need float64) (float64, int, error) {
		of, err := w.plant.Deliver(need)
		return of.Volume, 0, err
	}}, w.Delivery.Volume > 0
}

// Cheapest returns the order that being wrong costs least with, on average: mix left over and second
// deliveries together. False where a price is missing.
func (w *Filled) Cheapest() (Risk, bool) {
	d, _, ok := w.demand()
	if !ok {
		return Risk{}, false
	}
	return d.cheapest()
}

// cheapest returns the order with the least cost of being wrong: of two, the larger one. False where
// a price is missing.
func (d demand) cheapest() (best Risk, ok bool) {
	if d.price == 0 || d.second == 0 {
		return best, false
	}
	for _, need := range d.dist {
		r, err := d.at(0, max(0, need))
		if err == nil && (!ok || r.Wrong() <= best.Wrong()) {
			best, ok = r, true
		}
	}
	return best, ok
}

// Wrong is what being wrong costs on average, both ways: mix left over and second deliveries.
func (r Risk) Wrong() float64 { return order.Money(*r.OverCost + *r.ShortCost) }

// Risks returns the order as it is, and the orders for usual risks and the one that is asked
// for, largest first: of what comes by truck, or in bags where they are all of one kind. Nothing is
// returned where nothing is ordered so, or it is not known how sure the fill is. See
// [Filled.MaterialRisks].
func (w *Filled) Risks() (now Risk, all []Risk) {
	d, need, ok := w.demand()
	if !ok {
		return Risk{}, nil
	}
	return d.list(w.plan.risk, need)
}

// list returns the order for need, and the orders for the usual risks and for one more, 0: none.
func (d demand) list(more, need float64) (now Risk, all []Risk) {
	risks := slices.Clone(usualRisks)
	if more > 0 && !slices.Contains(risks, more) {
		risks = append(risks, more)
		slices.SortFunc(risks, func(a, b float64) int { return cmp.Compare(b, a) })
	}
	now, err := d.at(0, need)
	if err != nil {
		return Risk{}, nil // the plant refused the order itself before
	}
	for _, p := range risks {
		if r, err := d.at(p, max(0, d.dist.Quantile(1-p))); err == nil {
			all = append(all, r)
		}
	}
	return now, all
}
