package order

import "math"

// Bag is a bagged product, by the figures on its bag.
type Bag struct {
	Mass   float64 // kg, dry; 0: unknown
	Yield  float64 // m³ in place, mixed with the water stated on the bag
	Water  float64 // m³ of that water; 0: unknown
	Pallet int     // bags on a pallet; 0: pallets are not counted
}

// ConcreteBags are the usual bags of dry concrete, by their mass in lb: 0.15 ft³ per 20 lb.
// Source: two trade tables read (bag and block handbooks). The yield is the maker's, ASTM
// C387 does not set it, so the bag decides.
var ConcreteBags = map[int]Bag{
	40: {Mass: 40 * pound, Yield: 0.300 * foot3},
	50: {Mass: 50 * pound, Yield: 0.375 * foot3},
	60: {Mass: 60 * pound, Yield: 0.450 * foot3},
	80: {Mass: 80 * pound, Yield: 0.600 * foot3},
	90: {Mass: 90 * pound, Yield: 0.675 * foot3},
}

// BagsBelow is the need, m³, below which concrete is usually mixed from bags, because plants
// seldom send a truck for less (about 1 m³: common practice, no source).
const BagsBelow = 1.0

// UsualBag returns the usual bag of dry concrete: 80 lb if lengths are in feet, 25 kg if in
// metres (common practice, no source). The yield of 25 kg is that of [ConcreteBags] by mass,
// 11.7 L. The bag decides.
func UsualBag(imperial bool) Bag {
	if imperial {
		return ConcreteBags[80]
	}
	const mass = 25
	return Bag{Mass: mass, Yield: ConcreteBags[80].Yield * mass / ConcreteBags[80].Mass}
}

// Bags is an order of bags.
type Bags struct {
	Count   int
	Pallets int     // whole pallets that hold Count; 0: not counted
	Mass    float64 // kg dry; 0: unknown
	Water   float64 // m³; 0: unknown
	Spare   float64 // m³ that the bags yield beyond the need
}

// For returns the whole bags for a need, m³.
func (b Bag) For(need float64) (Bags, error) {
	if err := check(amount("need", need, "a volume in m³"), positive(PartBagYield, b.Yield, "a volume in m³"), amount("mass of a bag", b.Mass, "a mass in kg"),
		amount("water of a bag", b.Water, "a volume in m³"), amount("bags on a pallet", float64(b.Pallet), "a whole number")); err != nil {
		return Bags{}, err
	}
	n := wholes(need / b.Yield)
	if err := check(quantity{"bags", n, 0, 1e9, "a number that somebody could carry: look at the yield"}); err != nil {
		return Bags{}, err
	}
	out := Bags{Count: int(n), Mass: n * b.Mass, Water: n * b.Water, Spare: n*b.Yield - need}
	if b.Pallet > 0 {
		out.Pallets = int(math.Ceil(n / float64(b.Pallet)))
	}
	return out, nil
}
