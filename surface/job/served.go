package job

import (
	"math"

	"pourplane/surface/order"
	"pourplane/survey/unit"
)

// addHeights adds to what can be done about depths without a material the nearest heights of
// the target, in whole steps, at which every depth has one; or that there is none. Each offered
// height has been filled to. Where ramps meet thresholds heights are not offered: a ramp keeps
// its end whatever the height of the target.
func (h *Result) addHeights(problems []order.Problem) {
	if len(h.Ramps) > 0 {
		return
	}
	fill, limits := &h.Filled.Fill, order.Limits(h.Supplies.materials)
	depths := []order.Span{{From: fill.Least, To: fill.Greatest}}
	for _, r := range fill.Regions {
		depths = append(depths, order.Span{From: r.Least, To: r.Greatest})
	}
	step := HeightStep(h.US)
	var up, down bool
	var ways []unit.Text
	for _, raise := range h.Supplies.materials.Raises(depths, step) {
		if raise > 0 && up || raise < 0 && down {
			continue
		}
		moved := h.Floor.FillTo(fill.Target.Moved(raise), limits)
		if moved.Fill == 0 || moved.Greatest > order.Deepest {
			continue
		}
		s, err := order.Serve(floorOf(h.Floor, moved).Bands, h.Supplies.materials)
		if err != nil || len(s.Problems) > 0 {
			continue
		}
		if raise > 0 {
			up = true
			ways = append(ways, unit.Textf("raise the target by %s, which takes %s more: then every depth has a material", unit.Depth(raise), unit.SmallVolume(moved.Fill-fill.Fill)))
			continue
		}
		down = true
		way := unit.Textf("lower the target by %s: then every depth has a material", unit.Depth(-raise))
		if cut := moved.Cut; cut > 0 {
			way = unit.Textf("%s, with %s over %s to grind", way, unit.SmallVolume(cut), unit.Area(moved.Area-moved.FillArea))
		}
		ways = append(ways, way)
	}
	if len(ways) == 0 {
		problems[0].NoHeight = h.noHeight(step)
	}
	problems[0].Ways = append(problems[0].Ways, ways...)
}

// noHeight is why no height of the target gives every depth a material.
func (h *Result) noHeight(step float64) unit.Text {
	longest := 0.0
	for _, s := range h.Supplies.materials.Spans() {
		longest = max(longest, s.To-s.From)
	}
	none := unit.Textf("No higher or lower target alone gives every depth a material")
	if spread := h.Filled.Fill.Greatest - h.Filled.Fill.Least; spread > longest && longest < math.Inf(1) {
		return unit.Textf("%s: from its highest to its lowest the floor differs by %s, and no range of thickness without a gap is longer than %s", none, unit.Depth(spread), unit.Depth(longest))
	}
	return unit.Textf("%s in whole steps of %s", none, unit.Depth(step))
}
