package surface

import (
	"math"

	"pourplane/survey"
)

// Covering is the layers on top of the fill: tile or another covering, and the bed under it,
// whose thickness makes up what the fill leaves. Lengths in metres.
type Covering struct {
	Thickness       float64 // of the covering itself
	Bed             float64 // as planned
	Least, Greatest float64 // min and max of the bed; both 0: the bed is as planned everywhere
}

// limited reports whether the bed can take up differences.
func (c Covering) limited() bool { return c.Greatest > 0 }

// Threshold is a place where the new floor meets an adjoining finished floor.
type Threshold struct {
	Point  survey.Point // on the finished floor; its Z is the elevation to meet
	Top    float64      // m, elevation of the fill there
	Room   float64      // m, from the top of the fill to the finished floor: for covering and bed
	Bed    float64      // m, bed that brings the covering flush; may be outside its limits, or negative
	Laid   float64      // m, bed as laid: Bed within its limits, or as planned
	Change float64      // m, change of level that remains; positive: the new floor is higher
}

// Thresholds computes the bed at each finished place that makes the covering flush, and the
// change of level where the bed cannot. Own formulation of common practice: room is finished
// floor minus top of fill; bed is room minus covering; the part outside the bed's limits is
// left as a step.
func Thresholds(finished []survey.Point, target Target, c Covering) []Threshold {
	return thresholds(finished, target.Elevation, c)
}

// ThresholdsOn computes the same for a floor as surveyed. Its elevation is that of the
// nearest place on its walls to each finished place.
func ThresholdsOn(f *Floor, finished []survey.Point, c Covering) []Threshold {
	walls := f.Walls(Plane{})
	return thresholds(finished, func(p Vec) float64 {
		best, z := math.Inf(1), math.NaN()
		for _, w := range walls {
			if d := p.Distance(p.NearestOn(w.From, w.To)); d < best {
				best, z = d, -(w.Start + p.Along(w.From, w.To)*(w.End-w.Start)) // depth below 0
			}
		}
		return z
	}, c)
}

func thresholds(finished []survey.Point, top func(Vec) float64, c Covering) []Threshold {
	var out []Threshold
	for _, p := range finished {
		t := Threshold{Point: p, Top: top(Vec{X: p.X, Y: p.Y})}
		t.Room = p.Z - t.Top
		t.Bed = t.Room - c.Thickness
		t.Laid = c.Bed
		if c.limited() {
			t.Laid = math.Min(math.Max(t.Bed, c.Least), c.Greatest)
		}
		t.Change = t.Laid - t.Bed
		out = append(out, t)
	}
	return out
}
