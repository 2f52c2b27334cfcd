package job

import (
	"slices"
	"sync"

	"gonum.org/v1/gonum/stat"

	"pourplane/surface/order"
	"pourplane/surface/uncertainty"
)

// Share is how far what one material of a job takes of the fill is known.
type Share struct {
	Material int     // index into the materials of the job
	Net      float64 // m³, of the triangulated floor
	SD       float64 // m³
	Dist     uncertainty.Distribution
}

// Interval returns the bounds between which the share is with a probability, m³, as those of the
// fill: see [uncertainty.Volume.Interval].
func (s Share) Interval(probability float64) (lo, hi float64) {
	lo, hi = s.Dist.Quantile((1-probability)/2), s.Dist.Quantile((1+probability)/2)
	return max(0, min(lo, s.Net)), max(s.Net, hi)
}

// margin returns how much more than the net share an order is for, m³, at a risk.
func (s Share) margin(risk float64) float64 { return max(0, s.Dist.Quantile(1-risk)-s.Net) }

// Shares returns how far the share of each material is known, in the order of the materials; nil
// where the job has none, or it is not measured.
func (w *Filled) Shares() []Share {
	if w.shares == nil {
		return nil
	}
	return w.shares()
}

// share prepares [Filled.Shares] for the materials of a job.
func (w *Filled) share(service *order.Service) {
	if w.sure != nil {
		w.shares = sync.OnceValue(func() []Share { return sharesOf(w.Sure(), service) })
	}
}

// sharesOf returns how far the share of each material that serves is known. One that serves all of the
// floor takes what the fill takes. Of several each takes what is in its depths on floors that the
// shots allow: a floor that is lower gives from the thin one to the thick one. Depths beyond those
// that the floor has as measured go to the material nearest in depth.
func sharesOf(s *Sure, service *order.Service) []Share {
	if !s.Known {
		return nil
	}
	if len(service.Uses) == 1 && len(service.Problems) == 0 {
		return []Share{{service.Uses[0].Material, service.Uses[0].Volume, s.Parts.Total, s.Dist}}
	}
	var out []Share
	drawn := sharesDrawn(s, service)
	for _, u := range service.Uses {
		values := make([]float64, len(drawn))
		for i, d := range drawn {
			values[i] = d[u.Material]
		}
		_, sd := stat.PopMeanStdDev(values, nil)
		out = append(out, Share{u.Material, u.Volume, sd, uncertainty.Drawn(values, s.Dist)})
	}
	return out
}

// sharesDrawn returns what each material takes on each of the floors that are drawn, m³. Where materials
// serve all depths, what they take of a floor adds up to its fill.
func sharesDrawn(s *Sure, service *order.Service) [][]float64 {
	ranges := service.Ranges()
	volumes := func(cells [][]uncertainty.Cell, each []float64) []float64 {
		out := make([]float64, len(service.Materials))
		for r := range cells {
			for _, c := range cells[r] {
				for _, one := range ranges {
					_, v := c.Between(one.From, one.To)
					out[one.Material] += v * each[r]
				}
			}
		}
		return out
	}
	drawn, base := s.Model.Draw(s.Volume, draws, volumes), s.Model.Triangulated(volumes)
	for _, d := range drawn {
		all, some := 0.0, 0.0
		for _, u := range service.Uses {
			share := u.Volume + d[u.Material] - base[u.Material]
			d[u.Material] = max(0, share)
			all, some = all+share, some+d[u.Material]
		}
		// None takes less than nothing: the others then take less, so that the sum stays.
		for k := range d {
			if all < some {
				d[k] *= max(0, all) / some
			}
		}
	}
	return drawn
}

// marginsOf returns how much more of each material its order is for at the risk that is asked for, m³,
// by the index of the material; nil without one.
func (h *Result) marginsOf(service *order.Service) ([]float64, error) {
	risk := h.plan.risk
	if risk == 0 || h.sure == nil {
		return h.margins, nil // of a target that was raised: as before
	}
	shares := h.Shares()
	if shares == nil {
		return nil, h.Sure().unknown("risk", h.Old)
	}
	out := make([]float64, len(service.Materials))
	for _, s := range shares {
		out[s.Material] = s.margin(risk)
	}
	return out, nil
}

// MarginOf is how much more of a material the order is for by the risk that was asked for, m³.
func (w *Filled) MarginOf(material int) float64 {
	if w.margins == nil {
		return 0
	}
	return w.margins[material]
}

// Needed is what the order is for before it is rounded up, of all materials together, m³.
func (w *Filled) Needed() float64 {
	need := w.Takeoff.Need
	if w.service == nil {
		return need
	}
	for _, u := range w.bought() {
		if w.service.Materials[u.Material].Yield > 0 { // the others are in the take-off
			need += u.Volume
		}
	}
	return need
}

// MaterialName is the name of a material of the job.
func (w *Filled) MaterialName(material int) string { return w.service.Materials[material].Name }

// MaterialRisk is the order of one material of a job and what comes of it.
type MaterialRisk struct {
	Material int
	Name     string
	Now      Risk   // as ordered
	All      []Risk // for other risks, the largest first
	Cheapest *Risk  // nil: a price is missing
}

// MaterialRisks returns the order of each material of a job with what comes of it; nil where the job
// lists none, or it is not known how sure the fill is.
func (w *Filled) MaterialRisks() []MaterialRisk {
	var out []MaterialRisk
	for _, s := range w.Shares() {
		d, need, ok := w.demandOf(s)
		if !ok {
			continue
		}
		one := MaterialRisk{Material: s.Material, Name: w.MaterialName(s.Material)}
		if one.Now, one.All = d.list(w.plan.risk, need); one.All == nil {
			continue
		}
		if best, ok := d.cheapest(); ok {
			one.Cheapest = &best
		}
		out = append(out, one)
	}
	return out
}

// demandOf returns what the order of a material is for, and its need before rounding up.
func (w *Filled) demandOf(s Share) (d demand, need float64, ok bool) {
	m := w.service.Materials[s.Material]
	more := w.MarginOf(s.Material)
	d.second = w.prices.second
	if m.Yield == 0 {
		if d, ok = w.byTruck(); ok {
			d.dist, need = w.needs(s.Dist, s.Net), w.Takeoff.Need
		}
		return d, need, ok
	}
	k := slices.IndexFunc(w.bought(), func(u order.Use) bool { return u.Material == s.Material })
	if k < 0 {
		return d, 0, false
	}
	of := 1 + w.Losses.Allowance
	need = w.bought()[k].Volume
	d.dist = s.Dist.Shifted(-s.Net).Scaled(of).Shifted(need - more*of)
	d.price = m.Price / m.Yield
	d.amount = inWholeBags(order.Bag{Yield: m.Yield})
	return d, need, true
}

// inWholeBags is how bags are ordered.
func inWholeBags(bag order.Bag) func(need float64) (float64, int, error) {
	return func(need float64) (float64, int, error) {
		b, err := bag.For(need)
		return float64(b.Count) * bag.Yield, b.Count, err
	}
}
