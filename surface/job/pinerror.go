package job

import (
	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/surface/uncertainty"
)

// DepthsAt returns how far the depth is known at places of the floor: NaN where it is not.
func (w *Filled) DepthsAt(places []surface.Vec) []uncertainty.Depth {
	out := make([]uncertainty.Depth, len(places))
	for i, at := range places {
		out[i] = uncertainty.UnknownDepth(at)
	}
	if w.model == nil || len(places) == 0 {
		return out
	}
	model := w.model() // not [Filled.Sure]: the volume takes as long again
	if !model.Known {
		return out
	}
	ground := w.Old.Locators()
	byRegion := map[int][]int{}
	for i, at := range places {
		if _, region, ok := ground.At(at); ok {
			byRegion[region] = append(byRegion[region], i)
		}
	}
	for region, some := range byRegion {
		var there []surface.Vec
		for _, i := range some {
			there = append(there, places[i])
		}
		for k, d := range model.Depths(region, there) {
			out[some[k]] = d
		}
	}
	return out
}

// weighPins sets how far the depth at each pin is known, where that is known.
func (w *Filled) weighPins(pins []setout.Pin) {
	var places []surface.Vec
	for _, p := range pins {
		places = append(places, p.At)
	}
	for i, d := range w.DepthsAt(places) {
		if d.SD >= 0 {
			pins[i].Within, pins[i].SD = d.Within, d.SD
		}
	}
}
