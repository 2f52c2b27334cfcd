package job

import (
	"math"

	"pourplane/surface"
	"pourplane/surface/order"
)

// Tried is what a floor takes with its target moved up by Raise.
type Tried struct {
	surface.Height
	Mass     float64 // kg in place
	Order    float64 // m³ from the plant, in whole steps
	Bags     int
	Need     float64  // m³ that it takes where nothing is ordered: too thin for concrete nearly everywhere, and no material chosen
	Unknown  bool     // what to order is refused
	Unserved float64  // m³ that no material of the job serves: in no order and no price
	Cost     *float64 // of what is ordered, at the prices of the job; nil: not known
}

// HeightsAround is how many steps above and below the target heights are listed: 10 mm, or 5/8
// in. Own choice.
const HeightsAround = 10

// HeightStep is the step between the heights of a table, m: 1 mm or 1/16 in.
func HeightStep(us bool) float64 { return surface.Steps{US: us}.Levels(0, 0)[1] }

// Heights returns what the floor takes with its target n steps of step, m, down to n steps up,
// without those that leave nothing to fill. There are no prices.
func (w *Filled) Heights(step float64, n int) []Tried {
	return w.tried(step, n, &Supplies{}, 0)
}

// Heights is [Filled.Heights] with the materials and prices of the job.
func (r *Result) Heights(step float64, n int) []Tried {
	return r.tried(step, n, &r.Supplies, r.Job.Mix.PricePerBag)
}

func (w *Filled) tried(step float64, n int, s *Supplies, bag float64) []Tried {
	losses, plant, err := w.plan.lossesFor(w)
	limits := []float64{order.ConcreteLeast(w.own()) - leastHair}
	if s.Service != nil {
		limits = order.Limits(s.Service.Materials)[1:] // the first is 0
	}
	var raises []float64
	for k := -n; k <= n; k++ {
		raises = append(raises, float64(k)*step)
	}
	var out []Tried
	for _, h := range w.Floor.Heights(w.Fill.Target, raises, limits) {
		if h.Fill == 0 {
			continue
		}
		t := Tried{Height: h, Mass: h.Fill * float64(w.plan.Weight)}
		switch {
		case err != nil:
		case s.Service != nil:
			err = t.serve(w, s, losses, plant)
		default:
			losses.Ground = w.Best.Covers(h.Raise, h.Fill, w.Fill.Area)
			err = t.order(w, losses, plant, s.Price, bag)
		}
		if t.Unknown = err != nil; t.Unknown {
			t.Order, t.Need, t.Bags, t.Cost = 0, 0, 0, nil
		}
		out = append(out, t)
	}
	return out
}

// order fills in what is ordered of the one mix of the job.
func (t *Tried) order(w *Filled, losses order.Losses, plant order.Plant, price, bag float64) error {
	steep := w.Fill.Sloped / w.Fill.Area
	takeoff, err := order.Floor{Net: t.Fill, Area: t.FillArea, Real: t.FillArea * steep, Least: t.Least, Greatest: t.Greatest}.Takeoff(losses)
	if err != nil {
		return err
	}
	thin := 0.0
	for _, b := range t.Bands {
		if b.To <= order.ConcreteLeast(w.own())-leastHair {
			thin += b.Area
		}
	}
	switch w.plan.comesAs(thin/t.FillArea, takeoff.Need) {
	case asOpen:
		t.Need = takeoff.Need
	case inBags:
		bags, err := order.UsualBag(w.own()).For(takeoff.Need)
		if err != nil {
			return err
		}
		t.Bags = bags.Count
		t.cost(float64(bags.Count), bag)
	case byTruck:
		d, err := plant.Deliver(takeoff.Need)
		if err != nil {
			return err
		}
		t.Order = d.Volume
		t.cost(d.Volume, price)
	}
	return nil
}

// cost sets the cost of an amount; it is not known without a price.
func (t *Tried) cost(amount, price float64) {
	if price > 0 {
		c := order.Money(amount * price)
		t.Cost = &c
	}
}

// serve fills in what is ordered of the materials of the job.
func (t *Tried) serve(w *Filled, s *Supplies, losses order.Losses, plant order.Plant) error {
	steep := w.Fill.Sloped / w.Fill.Area
	var bands []order.Band
	for _, b := range t.Bands {
		b.From = min(max(b.From, t.Least), b.Volume/b.Area) // no depth is less
		bands = append(bands, order.Band(b))
	}
	service, err := order.Serve(bands, s.Service.Materials)
	if err != nil {
		return err
	}
	load, err := service.Load(t.Greatest)
	if err != nil {
		return err
	}
	uses, cost, err := service.Order(losses, steep, w.margins)
	if err != nil {
		return err
	}
	t.Mass = load.Mass
	for _, p := range service.Problems {
		t.Unserved += p.Volume
	}
	var mixed order.Floor // by truck
	for _, p := range service.Parts {
		if service.Materials[p.Material].Yield == 0 {
			mixed.Net, mixed.Area, mixed.Greatest = mixed.Net+p.Volume, mixed.Area+p.Area, max(mixed.Greatest, min(p.To, t.Greatest))
		}
	}
	lacking := len(cost.Lacking) > 0
	amount := cost.Amount
	for _, u := range uses {
		m := service.Materials[u.Material]
		if m.Yield > 0 {
			t.Bags += u.Bags
			continue
		}
		mixed.Real = mixed.Area * steep
		losses.Margin = w.MarginOf(u.Material)
		takeoff, err := mixed.Takeoff(losses)
		if err != nil {
			return err
		}
		d, err := plant.Deliver(takeoff.Need)
		if err != nil {
			return err
		}
		t.Order = d.Volume
		amount += order.Money(d.Volume*m.Price) - u.Cost.Amount
	}
	if !lacking && t.Unserved == 0 && amount > 0 {
		amount = math.Round(amount*100) / 100
		t.Cost = &amount
	}
	return nil
}
