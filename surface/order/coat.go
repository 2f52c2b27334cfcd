package order

import "fmt"

// Coat is a liquid on the old floor ahead of the fill: a primer, or a bond coat. If the
// maker gives figures by mass, they are entered by mass: every L below is then a kg.
//
// A slurry is entered by its thickness: t m of it cover 0.001/t m²/L.
type Coat struct {
	Name      string
	Cover     float64 // m² that 1 L of mixed liquid covers once, from the maker; 3.7–7.4 m²/L (150–300 ft²/gal) is common for primers (common practice, no source)
	First     float64 // m²/L of the first coat; bare porous concrete takes more; 0: Cover
	Coats     int     // 0: 1
	Water     float64 // parts of water to one part of product; 0: undiluted
	Overlap   float64 // share of the width of a pass that the next one covers again; 0: none, or Cover allows for it
	Allowance float64 // share added for spill and what stays in the tools
	Pack      float64 // L of product in a pack; 0: packs are not counted
	Price     float64 // of a pack
}

// Coating is an order of a coat.
type Coating struct {
	Each    []float64 // L of mixed liquid, coat by coat
	Mixed   float64   // L, the coats together
	Product float64   // L of Mixed
	Water   float64   // L of Mixed
	Packs   int       // whole packs that hold Product
	Cost    float64
}

const (
	coverMost  = 100.0 // m²/L: 0.01 mm of liquid; more was entered in another unit; own choice
	coverLeast = 0.05  // m²/L: 20 mm of liquid; own choice
)

// Over returns the amount of c for real, m² along the old floor (see [Floor], Real). Passes
// that overlap by a share s advance by 1 − s of their width, so the floor takes 1/(1 − s) of
// one pass (own derivation; the single edge of the first pass is ignored). Packs are rounded
// up, never down.
func (c Coat) Over(real float64) (Coating, error) {
	name := c.Name
	if name == "" {
		name = "coat"
	}
	if c.First == 0 {
		c.First = c.Cover
	}
	if c.Coats == 0 {
		c.Coats = 1
	}
	const covers = "m² that a litre covers, between 0.05 and 100"
	if err := check(quantity{name + ", real area", real, 0, 1e9, "an area in m², 0 to 1e9"}, quantity{name + ", cover", c.Cover, coverLeast, coverMost, covers}, quantity{name + ", cover of the first coat", c.First, coverLeast, coverMost, covers},
		quantity{name + ", coats", float64(c.Coats), 1, 10, "a whole number from 1 to 10"}, quantity{name + ", water", c.Water, 0, 20, "parts of water to one of product, 0 to 20"},
		quantity{name + ", overlap of passes", c.Overlap, 0, 0.9, "a share between 0 and 0.9"}, share(name+", allowance", c.Allowance),
		quantity{name + ", pack", c.Pack, 0, 1e6, "litres of product, 0 to 1e6"}, quantity{name + ", price of a pack", c.Price, 0, 1e9, "a price, 0 to 1e9"}); err != nil {
		return Coating{}, err
	}
	if c.Price > 0 && c.Pack == 0 {
		return Coating{}, refuse(name+", pack", "0", "the litres of product that the price is for")
	}
	var out Coating
	for i := range c.Coats {
		cover := c.Cover
		if i == 0 {
			cover = c.First
		}
		l := real / cover / (1 - c.Overlap) * (1 + c.Allowance)
		out.Each, out.Mixed = append(out.Each, l), out.Mixed+l
	}
	out.Product = out.Mixed / (1 + c.Water)
	out.Water = out.Product * c.Water
	if c.Pack > 0 {
		n, err := packs(name, out.Product/c.Pack)
		if err != nil {
			return Coating{}, err
		}
		out.Packs, out.Cost = n, Money(float64(n)*c.Price)
	}
	return out, nil
}

// packs returns a number of packs rounded up to whole ones. Absurd numbers are refused.
func packs(name string, of float64) (int, error) {
	if !(of <= 1e9) {
		return 0, refuse(name+", packs", fmt.Sprintf("%g", of), "no more than a billion: look at the size of a pack")
	}
	return int(wholes(of)), nil
}
