package order

import "math"

// Load is the dead load that a fill adds.
type Load struct {
	Mass float64 // kg in all
	Mean float64 // kg/m² over the filled area
	Most float64 // kg/m² at the max depth
}

// gravity is standard gravity, m/s², exactly. Source: 3rd CGPM, 1901.
const gravity = 9.80665

// Kilopascals returns a load in kg/m² as kN/m².
func Kilopascals(load float64) float64 { return load * gravity / 1000 }

// Load returns the dead load of f filled with a material of a unit weight in kg/m³. Fresh
// concrete is a little heavier.
func (f Floor) Load(unitWeight float64) (Load, error) {
	f, err := f.checked()
	if err != nil {
		return Load{}, err
	}
	if err := check(positive("unit weight", unitWeight, "a weight in kg/m³")); err != nil {
		return Load{}, err
	}
	return Load{f.Net * unitWeight, f.Mean() * unitWeight, f.Greatest * unitWeight}, nil
}

// Heaviest returns the max unit weight of the materials, kg/m³, used for depths that none
// serves.
func (s Service) Heaviest() float64 {
	most := 0.0
	for _, m := range s.Materials {
		most = max(most, m.weight())
	}
	return most
}

// Load returns the dead load of a floor, each material with its unit weight; depths that
// none serves count as the heaviest. greatest is the max depth of the floor, m, as its bands
// may extend beyond it; 0: they do not.
func (s Service) Load(greatest float64) (Load, error) {
	if err := check(amount("max depth", greatest, "a depth in m")); err != nil {
		return Load{}, err
	}
	if greatest == 0 {
		greatest = math.Inf(1)
	}
	var out Load
	add := func(b Band, weight float64) {
		out.Mass += b.Volume * weight
		out.Most = max(out.Most, min(b.To, greatest)*weight)
	}
	for _, p := range s.Parts {
		add(p.Band, s.Materials[p.Material].weight())
	}
	for _, p := range s.Problems {
		add(p.Band, s.Heaviest())
	}
	if s.Area > 0 {
		out.Mean = out.Mass / s.Area
	}
	return out, nil
}
