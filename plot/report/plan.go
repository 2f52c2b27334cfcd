package report

import (
	"math"

	"pourplane/plot/exchange"
	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// plan draws the floor for other programs, in layers.
func (h *Handover) plan() exchange.Plan {
	f := h.Filled.Fill
	z := h.top()
	outline := exchange.Layer{Name: "OUTLINE"}
	for i, r := range h.Floor.Regions {
		part := f
		if len(f.Regions) > 0 {
			part = f.Regions[i]
		}
		outline.Areas = append(outline.Areas, exchange.Area{Rings: r.Rings, Elevation: z, Properties: []exchange.Property{
			{Name: "name", Value: r.Name}, {Name: "area_m2", Value: part.Area}, {Name: "fill_m3", Value: part.Fill}, {Name: "cut_m3", Value: part.Cut},
			{Name: "depth_mean_mm", Value: 1000 * part.Mean}, {Name: "depth_least_mm", Value: 1000 * part.Least}, {Name: "depth_greatest_mm", Value: 1000 * part.Greatest},
		}})
	}
	voids := exchange.Layer{Name: "OPENINGS"}
	for _, o := range h.Floor.Openings {
		voids.Lines = append(voids.Lines, exchange.Line{Points: o, Closed: true, Elevation: z})
	}
	steps := exchange.Layer{Name: "STEPS"}
	for _, s := range h.Floor.Steps {
		steps.Lines = append(steps.Lines, exchange.Line{Points: s[:], Elevation: z})
	}
	major, minor := exchange.Layer{Name: "DEPTH-CONTOURS"}, exchange.Layer{Name: "DEPTH-CONTOURS-MINOR"}
	for _, c := range []struct {
		to     *exchange.Layer
		levels []float64
	}{{&major, h.depth.Levels}, {&minor, surface.Between(h.depth.Levels)}} {
		for _, r := range h.Floor.Regions {
			for _, l := range r.TIN.Contours(r.TIN.Depths(f.Target), c.levels) {
				c.to.Lines = append(c.to.Lines, exchange.Line{Points: l.Line, Closed: l.Closed, Elevation: math.NaN(),
					Properties: []exchange.Property{{Name: "depth_mm", Value: 1000 * l.Level}, {Name: "label", Value: h.Style.Depth(l.Level)}}})
			}
		}
	}
	shots := exchange.Layer{Name: "SHOTS"}
	for _, r := range h.Floor.Regions {
		for _, s := range r.Shots {
			shots.Labels = append(shots.Labels, h.shotMark(s, f.Target.Within(r.Part)))
		}
	}
	finished := exchange.Layer{Name: "FINISHED-FLOOR"}
	for _, s := range h.Survey.Finished {
		finished.Labels = append(finished.Labels, exchange.Label{At: surface.Vec{X: s.X, Y: s.Y}, Elevation: s.Z, Text: s.Name(), Properties: []exchange.Property{{Name: "code", Value: s.Code()}}})
	}
	layers := []exchange.Layer{outline, voids, steps, major, minor, shots, finished}
	if l := h.drainLayer(); len(l.Labels) > 0 {
		layers = append(layers, l)
	}
	drawn := exchange.Metre
	if h.Style.Imperial {
		drawn = exchange.Foot
		if h.Survey.Plan == unit.SurveyFoot {
			drawn = exchange.SurveyFoot
		}
	}
	return exchange.Plan{Title: h.Title, Unit: drawn, Layers: append(layers, h.settingLayers()...)}
}

// drainLayer has the drains and the place that the target falls to, each place once.
func (h *Handover) drainLayer() exchange.Layer {
	l := exchange.Layer{Name: "DRAINS"}
	to := h.Falling
	at := map[surface.Vec]bool{}
	for _, d := range h.depth.Drains {
		v := surface.Vec{X: d.X, Y: d.Y}
		if at[v] {
			continue
		}
		at[v] = true
		z := math.NaN()
		if d.Code() != "" && d.HasZ() {
			z = d.Z
		}
		falls := to != nil && to.Place != nil && v == surface.Vec{X: to.Place.X, Y: to.Place.Y}
		l.Labels = append(l.Labels, exchange.Label{At: v, Elevation: z, Text: d.Name(), Properties: []exchange.Property{{Name: "code", Value: d.Code()}, {Name: "target_falls_to", Value: falls}}})
	}
	return l
}

// top is the elevation of everything on the target, if the target is level.
func (h *Handover) top() float64 {
	if p, ok := surface.IsPlane(h.Filled.Fill.Target); ok && p.Level() {
		return p.Z
	}
	return math.NaN()
}

func (h *Handover) shotMark(s survey.Point, target surface.Target) exchange.Label {
	at := surface.Vec{X: s.X, Y: s.Y}
	depth := target.Elevation(at) - s.Z
	return exchange.Label{At: at, Elevation: s.Z, Text: h.Style.Depth(depth), Properties: []exchange.Property{{Name: "name", Value: s.Name()}, {Name: "depth_mm", Value: 1000 * depth}}}
}
