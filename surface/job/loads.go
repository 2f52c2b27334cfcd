package job

import (
	"slices"

	"pourplane/surface/order"
	"pourplane/surface/setout"
	"pourplane/survey"
)

// planLoads finds what each bay takes of what comes by truck, and makes one plan of it: if full
// loads are too late and smaller ones are not, the smaller ones are the order. They keep to
// the bays if that works.
func (h *Result) planLoads() error {
	s := h.Schedule
	if s == nil || len(s.Trucks) == 0 || h.Delivery.Trucks == 0 {
		return nil
	}
	upTo, err := h.mixUpTo()
	if err != nil {
		return err
	}
	if s.Smaller() && h.Job.Pace.Placing > 0 { // an assumed pace changes no order
		h.smallerLoads(upTo)
	}
	if upTo == nil {
		return nil
	}
	h.BayTrucks = make([][]int, len(upTo))
	before := 0.0
	for _, v := range upTo {
		h.BayMix, before = append(h.BayMix, v-before), v
	}
	var volumes []float64
	for _, t := range s.Trucks {
		volumes = append(volumes, t.Volume)
	}
	for i, l := range h.truckloads(volumes, upTo) {
		for k, b := range h.Bays.Bays {
			if slices.Contains(l.Bays, b.Name) {
				h.BayTrucks[k] = append(h.BayTrucks[k], i+1)
			}
		}
	}
	return nil
}

// smallerLoads orders loads that are empty in time: by bays if that works, else evenly.
func (h *Result) smallerLoads(upTo []float64) {
	s := h.Schedule
	most := s.Most()
	var byBays []float64
	before := 0.0
	for _, v := range upTo {
		end := min(s.Volume, s.Pace.UpTo(v))
		if end > before {
			byBays, before = append(byBays, s.Pace.Evenly(end-before, most)...), end
		}
	}
	ours := upTo != nil && !h.Job.Bays.given() // bays for the working time alone
	for _, volumes := range [][]float64{byBays, s.Pace.Evenly(s.Volume, most)} {
		loads := h.truckloads(volumes, upTo)
		if len(loads) == 0 || !s.Reload(loads, ours) {
			continue
		}
		h.Notes = survey.Without(h.Notes, byLate, byDelivery)
		if len(s.Stops) == 0 {
			h.Notes = survey.Without(h.Notes, byClock)
		}
		h.Notes = slices.Concat(survey.By(byLate, s.Late), survey.Without(h.Notes, byWait), survey.By(byWait, s.Waits))
		d := &h.Delivery
		d.Loads, d.Trucks, d.Notes = loads, len(loads), nil
		d.Full, d.Last = slices.Max(volumes), volumes[len(volumes)-1]
		d.Short = slices.ContainsFunc(volumes, s.IsShort)
		return
	}
}

// truckloads says which bays each load serves; upTo is what is placed at the end of each bay.
// What is left of a load in less than a step of the plant is no service to the next bay.
func (h *Result) truckloads(volumes, upTo []float64) []order.Truckload {
	var out []order.Truckload
	from := 0.0
	for _, v := range volumes {
		load, to := order.Truckload{Volume: v}, from+v
		begins, best, most := 0.0, "", 0.0
		for k, ends := range upTo {
			in := min(to, ends) - max(from, begins)
			if name := h.Bays.Bays[k].Name; in > most {
				best, most = name, in
			}
			if in > 0 && in >= h.Mix.Step {
				load.Bays = append(load.Bays, h.Bays.Bays[k].Name)
			}
			begins = ends
		}
		if len(load.Bays) == 0 && best != "" {
			load.Bays = []string{best}
		}
		out, from = append(out, load), to
	}
	return out
}

// mixUpTo returns how much of what comes by truck has left the trucks at the end of each bay, m³:
// each bay's own need, with what fills the pump in the first and rounding up in the last; nil if
// there are not several bays.
func (h *Result) mixUpTo() ([]float64, error) {
	if h.Bays == nil || len(h.Bays.Bays) < 2 {
		return nil, nil
	}
	out, err := h.placedBy()
	if err != nil {
		return nil, err
	}
	out[len(out)-1] = h.Schedule.Volume
	return out, nil
}

// placedBy returns how much of what comes by truck each bay needs, m³, added up bay by bay.
func (h *Result) placedBy() ([]float64, error) {
	var nets, areas []float64
	for i := range h.Bays.Bays {
		net, area, err := h.trucked(&h.Bays.Bays[i])
		if err != nil {
			return nil, err
		}
		nets, areas = append(nets, net), append(areas, area)
	}
	return h.Takeoff.UpTo(nets, areas), nil
}

// trucked is the volume of a bay that comes by truck, m³, and its area, m².
func (h *Result) trucked(b *setout.Bay) (net, area float64, err error) {
	if h.Service == nil || b.Fill.Fill == 0 {
		return b.Fill.Fill, b.Fill.FillArea, nil
	}
	service, _, err := h.servedIn(b)
	if err != nil {
		return 0, 0, err
	}
	for _, p := range service.Parts {
		if p.Material >= 0 && h.Service.Materials[p.Material].Yield == 0 {
			net, area = net+p.Volume, area+p.Area
		}
	}
	return net, area, nil
}
