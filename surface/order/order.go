// Package order turns volumes and areas into things to order. It takes numbers,
// never a surface, so that every line can be checked by hand.
package order

import (
	"errors"
	"fmt"
	"math"
)

// NormalConcrete is the unit weight of normal reinforced concrete, kg/m³: 150
// lb/ft³. Source: ACI 318 and ASCE 7, from memory.
const NormalConcrete = 2400.0

// CubicYard is one cubic yard in m³, exactly.
const CubicYard = 0.764554857984

// Mix is an order of ready-mixed fill.
type Mix struct {
	Net        float64 // m³ in place
	Allowance  float64 // share of Net added for spill, absorption and survey error: 0.05 is 5 %
	Step       float64 // m³: the plant delivers whole steps
	Order      float64 // m³
	UnitWeight float64 // kg/m³
	Mass       float64 // kg of Net in place
	MeanLoad   float64 // kg/m² over the area that is filled
	MostLoad   float64 // kg/m² at the greatest depth
}

// New works out an order: net × (1 + allowance), rounded up to whole steps
// (common practice, no source). net is in m³ over filled m² of floor with the
// greatest depth in m. What is out of the ordinary but possible is the caller's
// to warn of; a negative, infinite or missing number is an error.
func New(net, filled, greatest, allowance, step, unitWeight float64) (Mix, error) {
	for _, c := range []struct {
		what string
		v    float64
		ok   bool
	}{
		{"net volume", net, net >= 0},
		{"filled area", filled, filled >= 0},
		{"greatest depth", greatest, !math.IsNaN(greatest)},
		{"allowance", allowance, allowance >= 0 && allowance <= 1},
		{"order step", step, step > 0},
		{"unit weight", unitWeight, unitWeight > 0},
	} {
		if !c.ok || math.IsInf(c.v, 0) {
			return Mix{}, fmt.Errorf("the %s cannot be %g", c.what, c.v)
		}
	}
	if net > 0 && filled == 0 {
		return Mix{}, errors.New("a volume needs an area to lie on")
	}
	m := Mix{Net: net, Allowance: allowance, Step: step, UnitWeight: unitWeight, Mass: net * unitWeight}
	// A volume that is a whole number of steps but for the last bits must not be
	// pushed to the next one.
	steps := net * (1 + allowance) / step
	m.Order = math.Max(0, math.Ceil(steps-1e-9)) * step // nothing is not −0
	if filled > 0 {
		m.MeanLoad = m.Mass / filled
		m.MostLoad = max(greatest, 0) * unitWeight
	}
	return m, nil
}
