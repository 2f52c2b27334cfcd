package report

import (
	"pourplane/surface"
	"pourplane/surface/job"
)

// sureJSON is how sure the fill is. Null: not measured.
type sureJSON struct {
	CI50 *[2]float64 `json:"fill_ci50_m3"`
	CI90 *[2]float64 `json:"fill_ci90_m3"`
	CI99 *[2]float64 `json:"fill_ci99_m3"`
	SD   *sureCauses `json:"fill_sd_m3"`
	Mean *float64    `json:"mean_depth_sd_m"` // where it is filled

	Accuracy accuracyJSON `json:"accuracy"`
	Next     []nextJSON   `json:"next_shots"`
}

type sureCauses struct {
	Reading  float64 `json:"reading"`
	Setup    float64 `json:"setup"`
	Sampling float64 `json:"sampling"`
	Walls    float64 `json:"walls"`
	Total    float64 `json:"total"`
}

type nextJSON struct {
	At    [2]float64 `json:"at"`
	After *float64   `json:"sd_after_m3"` // of the fill, once it and those before it are read; null: not measured
	Depth *float64   `json:"depth_sd_m"`  // there, before any of them is read
}

// riskJSON is the order for a risk of running short, with all of the allowance spilled.
type riskJSON struct {
	Risk  float64 `json:"risk"`
	Order float64 `json:"order_m3"`
	Bags  *int    `json:"bags"` // null: by truck
	Short float64 `json:"short_m3"`
	Over  float64 `json:"left_over_m3"`

	OverCost  *float64 `json:"left_over_cost"`
	ShortCost *float64 `json:"short_cost"`
	Wrong     *float64 `json:"wrong_cost"` // of both
}

func newSureJSON(w *job.Filled) sureJSON {
	out := sureJSON{Next: []nextJSON{}}
	s := w.Sure()
	if s == nil {
		return out
	}
	out.Accuracy = accuracyOf(s.Accuracy)
	next := s.Next()
	var places []surface.Vec
	for _, n := range next {
		places = append(places, n.At)
	}
	for i, d := range w.DepthsAt(places) {
		out.Next = append(out.Next, nextJSON{pt(d.At), finite(next[i].SDAfter), finite(d.SD)})
	}
	if !s.Known {
		return out
	}
	bounds := func(p float64) *[2]float64 {
		lo, hi := s.Interval(p)
		return &[2]float64{lo, hi}
	}
	out.CI50, out.CI90, out.CI99 = bounds(0.5), bounds(0.9), bounds(0.99)
	parts := sureCauses(s.Parts)
	out.SD, out.Mean = &parts, &s.Mean
	return out
}

func riskOf(r job.Risk) riskJSON {
	out := riskJSON{Risk: r.Asked, Order: r.Order, Short: r.Short, Over: r.Over, OverCost: r.OverCost, ShortCost: r.ShortCost}
	if r.Bags > 0 {
		out.Bags = &r.Bags
	}
	if r.OverCost != nil && r.ShortCost != nil {
		wrong := r.Wrong()
		out.Wrong = &wrong
	}
	return out
}

func risksJSON(all []job.Risk) []riskJSON {
	out := []riskJSON{}
	for _, r := range all {
		out = append(out, riskOf(r))
	}
	return out
}

// setRisks adds how likely the order of w runs short, and other orders.
func (o *orderJSON) setRisks(w *job.Filled) {
	now, all := w.Risks()
	o.ForRisk = risksJSON(all)
	if all == nil {
		return
	}
	o.Risk, o.Wrong = &now.Risk, riskOf(now).Wrong
	if best, ok := w.Cheapest(); ok {
		one := riskOf(best)
		one.Risk = best.Risk // none was asked for
		o.Cheapest = &one
	}
}

// shareJSON is how far what a material takes of the fill is known, and its order for a risk of
// running short. Null: not measured.
type shareJSON struct {
	CI90     *[2]float64 `json:"net_ci90_m3"`
	SD       *float64    `json:"net_sd_m3"`
	Risk     *float64    `json:"risk"` // of running short with what is bought
	ForRisk  []riskJSON  `json:"for_risk"`
	Wrong    *float64    `json:"wrong_cost"`
	Cheapest *riskJSON   `json:"cheapest"`
}

func shareOf(w *job.Filled, material int) shareJSON {
	out := shareJSON{ForRisk: []riskJSON{}}
	for _, s := range w.Shares() {
		if s.Material == material {
			lo, hi := s.Interval(job.SureShare)
			out.CI90, out.SD = &[2]float64{lo, hi}, &s.SD
		}
	}
	for _, m := range w.MaterialRisks() {
		if m.Material != material {
			continue
		}
		out.Risk, out.ForRisk, out.Wrong = &m.Now.Risk, risksJSON(m.All), riskOf(m.Now).Wrong
		if m.Cheapest != nil {
			one := riskOf(*m.Cheapest)
			one.Risk = m.Cheapest.Risk
			out.Cheapest = &one
		}
	}
	return out
}
