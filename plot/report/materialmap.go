package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pourplane/plot"
	"pourplane/plot/sheet"
)

// planMaterials are the ranges of depth of each material for a plan, the thinnest first; nil
// if one material serves the whole floor.
func (h *Handover) planMaterials() []plot.PlanMaterial {
	s := h.Service
	if s == nil {
		return nil
	}
	areas, volumes := h.servedShares()
	figures := func(i int) string { return h.Style.Area(areas[i]) + ", " + h.Style.Volume(volumes[i]) }
	var all []plot.PlanMaterial
	for _, p := range s.Parts {
		for i, b := range h.Bought {
			if b.Material == p.Material {
				all = append(all, plot.PlanMaterial{Name: s.Materials[p.Material].Name, Text: figures(i), From: p.From})
			}
		}
	}
	for i, p := range s.Problems {
		name := "no material"
		if len(s.Problems) > 1 {
			name += fmt.Sprintf(" (%s)", p.Misfit)
		}
		all = append(all, plot.PlanMaterial{Name: name, Text: figures(len(h.Bought) + i), From: p.From, None: true})
	}
	slices.SortStableFunc(all, func(a, b plot.PlanMaterial) int { return cmp.Compare(a.From, b.From) })
	all = slices.CompactFunc(all, func(a, b plot.PlanMaterial) bool { return a.Name == b.Name })
	if len(all) < 2 {
		return nil
	}
	all[0].From = 0 // no fill is thinner
	return all
}

// materialSection shows where one material ends and the next begins, if there are several.
func (h *Handover) materialSection() sheet.Section {
	all := h.planMaterials()
	if all == nil {
		return sheet.Section{}
	}
	var borders []string
	first := []string{"Which is placed first: see the product labels, or set your own sequence."}
	for i, p := range all[1:] {
		if text := h.sequenceText(all[i], p); text != "" {
			first = append(first, text)
		}
		borders = append(borders, fmt.Sprintf("%s deep: %s where it is thinner, %s where it is deeper", h.Style.Depth(p.From), all[i].Name, p.Name))
	}
	m := h.setOutMap(false, false, false)
	m.Levels, m.Exit = nil, nil
	m.Summary = "Materials in plan"
	return sheet.Section{Title: "Where each material goes", Text: append([]string{
		"The border is where the fill is " + strings.Join(borders, "; and ") + ".",
	}, first...), Pictures: []sheet.Picture{{Drawing: m, Caption: "Where one material ends and the next begins", Most: 0.5}}}
}
