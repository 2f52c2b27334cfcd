package report

import (
	"math"
	"slices"

	"pourplane/surface/setout"
	"pourplane/survey/unit"
)

// shared rounds parts to whole steps that add up to the rounded total. The largest keeps its
// nearest figure, which other tables show too: the others take the difference. Parts that
// cannot be divided so stay as they are.
func shared(total float64, parts []float64, step float64) []float64 {
	switch len(parts) {
	case 0:
		return nil
	case 1:
		return []float64{total}
	}
	large := slices.Index(parts, slices.Max(parts))
	digits := make([]float64, len(parts))
	rest, next := math.Round(total/step)-math.Round(parts[large]/step), -1
	for i, p := range parts {
		if i == large {
			continue
		}
		digits[i] = p / step
		rest -= digits[i]
		if next < 0 || p > parts[next] {
			next = i
		}
	}
	digits[next] = max(0, digits[next]+rest)
	digits[large] = math.Round(parts[large] / step)
	whole := 0.0
	for _, d := range digits {
		whole += d
	}
	out, err := setout.Apportion(whole, digits, 0)
	if err != nil || math.Round(whole) != math.Round(total/step) {
		return parts
	}
	for i := range out {
		out[i] *= step
	}
	return out
}

// servedShares are areas, m², and volumes, m³: first of the materials bought, then of the depths
// that none serves. The areas add up to the floor as shown. The volumes do not: each is a line
// that the reader works on with, by its unit weight or yield.
func (h *Handover) servedShares() (areas, volumes []float64) {
	s := h.Service
	for _, b := range h.Bought {
		areas, volumes = append(areas, b.Area), append(volumes, s.Use(b.Material).Volume)
	}
	for _, p := range s.Problems {
		areas, volumes = append(areas, p.Area), append(volumes, p.Volume)
	}
	return shared(s.Area, areas, h.areaStep()), volumes
}

// partShares divides what is shown of each material among its depths; areas and volumes in
// the order of the parts.
func (h *Handover) partShares() (areas, volumes []float64) {
	parts, m := h.Service.Parts, h.measures()
	areas, volumes = make([]float64, len(parts)), make([]float64, len(parts))
	ofAreas, ofVolumes := h.servedShares()
	for k, b := range h.Bought {
		var at []int
		var a, v []float64
		for i, p := range parts {
			if p.Material == b.Material {
				at, a, v = append(at, i), append(a, p.Area), append(v, p.Volume)
			}
		}
		a, v = shared(ofAreas[k], a, h.areaStep()), shared(ofVolumes[k], v, 0.01*m.volume)
		for i, j := range at {
			areas[j], volumes[j] = a[i], v[i]
		}
	}
	return areas, volumes
}

// areaStep is the last digit of an area as shown, m².
func (h *Handover) areaStep() float64 {
	if h.Style.Imperial {
		return 0.1 * h.measures().area
	}
	return 0.01
}

// servedMasses are masses in the same order, and that of the whole. They add up: with a part
// to the pound and a whole to the hundred they would not.
func (h *Handover) servedMasses() (each []string, whole string) {
	s, m := h.Service, h.measures()
	var parts []float64
	sum := 0.0
	for _, b := range h.Bought {
		parts = append(parts, s.Use(b.Material).Mass/m.mass)
	}
	for _, p := range s.Problems {
		parts = append(parts, p.Volume*s.Heaviest()/m.mass)
	}
	if len(parts) < 2 {
		return []string{h.Style.Mass(h.Mix.Load.Mass)}, h.Style.Mass(h.Mix.Load.Mass)
	}
	for _, p := range parts {
		sum += p
	}
	step := 1.0
	if slices.Min(parts) >= 100 {
		step = 10
	}
	for _, p := range shared(sum, parts, step) {
		each = append(each, unit.Whole(p)+" "+m.massName)
	}
	return each, unit.Whole(math.Round(sum/step)*step) + " " + m.massName
}
