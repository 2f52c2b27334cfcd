package job

import (
	"math"
	"strings"

	"pourplane/surface"
	"pourplane/surface/blunder"
)

// doubtAt returns a function that names the readings in doubt on which the old floor at a
// place depends: with the reading that would fit it differs by more than a step of the rule,
// m; slight tells that it differs by less, but does. On a floor too large to be rebuilt they
// are those at the corners of its triangle. Without a reading in doubt it is nil.
func (w *Filled) doubtAt(step float64) func(surface.Vec) (names string, slight bool) {
	if len(w.Blunders) == 0 {
		return nil
	}
	ground := w.Old.Locators()
	rebuilt := make([]surface.Locators, len(w.Blunders))
	for i := range w.Blunders {
		if g := w.Blunders[i].Rebuilt(w.Old); g != nil {
			rebuilt[i] = g.Locators()
		}
	}
	return func(p surface.Vec) (string, bool) {
		const same = 1e-6 // m: but for rounding
		z, region, ok := ground.At(p)
		if !ok {
			return "", false
		}
		slight := false
		var names []string
		for i := range w.Blunders {
			b := &w.Blunders[i]
			depends := false
			if rebuilt[i] != nil {
				other, _, in := rebuilt[i].At(p)
				depends = !in || math.Abs(other-z) > step
				slight = slight || in && math.Abs(other-z) > same
			} else {
				r := w.Old.Regions[region]
				_, k, _ := ground[region].At(p)
				for _, v := range r.TIN.V[3*k : 3*k+3] {
					if s := r.TIN.Shot[v]; s >= 0 && b.Restates(r.Shots[s]) {
						depends = true
					}
				}
			}
			if name := doubtNamed(b.Shot); depends && b.Kind == blunder.Moved {
				names = append(names, "all from "+name+" on")
			} else if depends {
				names = append(names, name)
			}
		}
		return strings.Join(names, " and "), slight && len(names) == 0
	}
}
