package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

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
	if err != nil || !(v >= 100*leastRisk && v <= 100*mostRisk) {
		return 0, unit.Wanted{Want: riskWanted}
	}
	return v / 100, nil
}

const riskWanted = "percent between 0.1 and 50, such as 5: the risk of running short"

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
			return misused("risk", fmt.Sprint(*r), riskWanted)
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
		return 0, s.unknown("risk")
	}
	return max(0, s.Dist.Quantile(1-f.risk)-s.Fill), nil
}

// Margin is the risk of running short that was asked for, 0: none, and how much more fill the order
// is for by it, m³.
func (w *Filled) Margin() (risk, more float64) { return w.plan.risk, w.margin }

// unknown refuses an option that needs to know how sure the fill is.
func (s *Sure) unknown(field string) error {
	return misuse(field, "%s needs to know how far the fill is known; %s do not tell: each region of the floor takes 4 or more", unit.Ask(field, ""), survey.Plural(s.Shots, "shot")).
		Hinted("%s", unit.LeaveOut(field))
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

// needs returns the distribution of what the order of w needs before it is rounded up, m³: of the
// fill, whose difference from the triangulated one takes its allowance too.
//
// Roughness and a high finish take mix by the area that is filled, which hardly changes; the pump
// takes the same. So the need is that of the take-off, moved by the difference of the fill and
// its allowance.
func (w *Filled) needs(s *Sure) uncertainty.Distribution {
	of := 1 + w.Losses.Allowance
	return s.Dist.Shifted(-s.Fill).Scaled(of).Shifted(w.Takeoff.Need - w.Takeoff.Volume(order.Margin)*of)
}

// demand returns what the order of w is for; false where nothing is ordered.
func (w *Filled) demand() (d demand, ok bool) {
	s := w.Sure()
	if s == nil || !s.Known || w.Takeoff.Need == 0 || w.Open {
		return d, false
	}
	d.dist = w.needs(s)
	switch {
	case w.Bag != nil:
		d.amount = func(need float64) (float64, int, error) {
			b, err := w.Bag.Bag.For(need)
			return float64(b.Count) * w.Bag.Yield, b.Count, err
		}
	case w.Delivery.Volume > 0:
		d.amount = func(need float64) (float64, int, error) {
			of, err := w.plant.Deliver(need)
			return of.Volume, 0, err
		}
	default:
		return d, false
	}
	return d, true
}

// Risks returns the order as it is, and the orders for usual risks and the one that is asked
// for, largest first. Nothing is returned where nothing is ordered, or it is not known how sure
// the fill is. There are no prices.
func (w *Filled) Risks() (now Risk, all []Risk) {
	d, ok := w.demand()
	if !ok {
		return Risk{}, nil
	}
	return d.list(w.plan.risk, w.Takeoff.Need)
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

// Risks is [Filled.Risks] with the prices of the job.
func (h *Result) Risks() (now Risk, all []Risk) {
	d, ok := h.demand()
	if !ok {
		return Risk{}, nil
	}
	d.price, d.second = h.Price, h.Job.Mix.ShortLoadPrice
	if h.Bag != nil {
		d.price = h.Job.Mix.PricePerBag / h.Bag.Yield
	}
	return d.list(h.plan.risk, h.Takeoff.Need)
}
