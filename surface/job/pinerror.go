package job

import (
	"math"

	"pourplane/surface"
	"pourplane/surface/setout"
)

// weighPins sets how far the depth at each pin is known, where that is known.
func (w *Filled) weighPins(pins []setout.Pin) {
	s := w.Sure()
	if s == nil {
		return
	}
	ground := w.Old.Locators()
	byRegion := map[int][]int{}
	for i, p := range pins {
		if _, region, ok := ground.At(p.At); ok {
			byRegion[region] = append(byRegion[region], i)
		}
	}
	for region, some := range byRegion {
		var places []surface.Vec
		for _, i := range some {
			places = append(places, pins[i].At)
		}
		for k, d := range s.Model.Depths(region, places) {
			if !math.IsNaN(d.Within) {
				pins[some[k]].Within = d.Within
			}
		}
	}
}
