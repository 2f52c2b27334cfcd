// Package order turns volumes and areas into things to order. It takes numbers, never a
// surface, so that every line can be checked by hand: what a floor takes ([Floor.Takeoff]),
// of which material at which depth ([Serve]), when it is placed ([Pace.Schedule]), and the
// results of other ways to fill ([Compare]).
//
// Lengths are metres, masses kilograms; a rate is m³/h and a cover m²/L, as in the trade.
// Money is in the unit of the prices, and an item without a price has no cost. "From memory"
// in a comment means that no text was at hand, "common practice" that there is no written
// source.
package order

// NormalConcrete is the unit weight of normal reinforced concrete, kg/m³: 150
// lb/ft³. Source: ACI 318 and ASCE 7, from memory.
const NormalConcrete = 2400.0

// ConcreteLeast returns the usual min thickness of bonded concrete, m, a round figure of the
// system the job is surveyed in: 1 1/2 in, the upper end of the 3/4 to 1 1/2 in of US toppings
// (ACI 302.1R class 7, from memory), or 40 mm, the upper end of the 25–40 mm of UK screeds
// (from memory).
func ConcreteLeast(us bool) float64 {
	if us {
		return 1.5 * inch
	}
	return 0.040
}

// CubicYard is one cubic yard in m³, exactly.
const CubicYard = 0.764554857984

// Mix is an order of ready-mixed fill.
type Mix struct {
	Net        float64 // m³ in place
	Allowance  float64 // share of Net added for spill, absorption and survey error: 0.05 is 5 %
	Step       float64 // m³: the plant delivers whole steps
	Order      float64 // m³
	UnitWeight float64 // kg/m³
	Load       Load    // of Net in place
}

// New computes an order: net × (1 + allowance), rounded up to whole steps (common practice,
// no source). net is in m³ over filled m² of floor, greatest is the max depth in m. Warnings
// of unusual but possible values are the caller's task; a negative, infinite or missing
// number is an error. [Floor.Takeoff] and [Plant.Deliver] go further.
func New(net, filled, greatest, allowance, step, unitWeight float64) (Mix, error) {
	if err := check(share(PartAllowance, allowance), positive(PartStep, step, "a volume in m³")); err != nil {
		return Mix{}, err
	}
	load, err := Floor{Net: net, Area: filled, Greatest: max(greatest, 0)}.Load(unitWeight)
	if err != nil {
		return Mix{}, err
	}
	return Mix{net, allowance, step, wholes(net*(1+allowance)/step) * step, unitWeight, load}, nil
}
