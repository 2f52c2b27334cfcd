package order

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Material is a fill material, as its maker describes it. A zero field has the default given
// with it.
type Material struct {
	Name       string
	Yield      float64       // m³ in place per bag; 0: sold by volume
	BagMass    float64       // kg, dry; 0: unknown
	Least      float64       // m, min thickness; 0: down to a feather edge
	Greatest   float64       // m, max thickness of one lift; 0: no limit
	Lifts      int           // max one on another; 0: one, until its maker allows more
	Working    time.Duration // from mixing until it no longer flows or can be finished; 0: unknown
	UnitWeight float64       // kg/m³ in place; 0: [NormalConcrete], on the heavy side
	Price      float64       // per bag, or per m³ if sold by volume; 0: unknown
}

// Materials are materials in order of preference.
type Materials []Material

const liftsMost = 20 // own choice: more is a typing error

// layers returns the max number of lifts.
func (m Material) layers() int { return max(m.Lifts, 1) }

// over returns the max thickness of one lift, infinite if there is no limit.
func (m Material) over() float64 {
	if m.Greatest == 0 {
		return math.Inf(1)
	}
	return m.Greatest
}

// lifts returns the min number of equal lifts, up to most, in which every depth between from
// and to can be laid; 0: none.
func (m Material) lifts(from, to float64, most int) int {
	for n := 1; n <= most; n++ {
		if from >= float64(n)*m.Least-hair && to <= float64(n)*m.over()+hair {
			return n
		}
	}
	return 0
}

// limits writes the thicknesses allowed for m.
func (m Material) limits() string {
	text := fmt.Sprintf("%g m", m.Least)
	if m.Greatest == 0 {
		return text + " or more"
	}
	if text += fmt.Sprintf(" to %g m", m.Greatest); m.layers() > 1 {
		text += fmt.Sprintf(" in each of max %d lifts", m.layers())
	}
	return text
}

func (m Material) weight() float64 {
	if m.UnitWeight == 0 {
		return NormalConcrete
	}
	return m.UnitWeight
}

// or returns m with its zero fields from u. A limit of u that contradicts one of m is
// ignored.
func (m Material) or(u Material) Material {
	if u.Greatest < m.Least {
		u.Greatest = 0
	}
	if m.Greatest > 0 && u.Least > m.Greatest {
		u.Least = 0
	}
	return Material{
		Name: m.Name, Yield: cmp.Or(m.Yield, u.Yield), BagMass: cmp.Or(m.BagMass, u.BagMass), Least: cmp.Or(m.Least, u.Least), Greatest: cmp.Or(m.Greatest, u.Greatest),
		Lifts: cmp.Or(m.Lifts, u.Lifts), Working: cmp.Or(m.Working, u.Working), UnitWeight: cmp.Or(m.UnitWeight, u.UnitWeight), Price: cmp.Or(m.Price, u.Price),
	}
}

// with returns ms, each with its zero fields from the layer of its name.
func (ms Materials) with(layers []Layer) Materials {
	out := slices.Clone(ms)
	for i := range out {
		for _, l := range layers {
			if l.Name == out[i].Name {
				out[i] = out[i].or(l.Material)
			}
		}
	}
	return out
}

// checked refuses impossible materials, by name.
func (ms Materials) checked() error {
	seen := map[string]bool{}
	for i, m := range ms {
		if m.Name == "" {
			return refuse(fmt.Sprintf("material %d", i+1), "no name", "a name to tell it by")
		}
		if seen[m.Name] {
			return refuse("materials", fmt.Sprintf("%q twice", m.Name), "each name once")
		}
		seen[m.Name] = true
		if err := check(
			quantity{PartBagYield, m.Yield, 0, 2, "a volume between 0 and 2 m³"},
			quantity{"mass of a bag", m.BagMass, 0, 2000, "a mass between 0 and 2000 kg"},
			quantity{"lifts", float64(m.Lifts), 0, liftsMost, fmt.Sprintf("a number between 0 and %d", liftsMost)},
			quantity{"working time in minutes", m.Working.Minutes(), 0, 24 * 60, "a time between 0 and 24 h"},
			quantity{"unit weight", m.UnitWeight, 0, 25000, "a weight between 0 and 25,000 kg/m³"},
			amount("price", m.Price, "a price")); err != nil {
			return ofThe(m.Name, err)
		}
		if err := within(PartMinThickness, m.Least, 0, 2, unit.Either{Metric: "a thickness from 0 to 2 m", US: "a thickness from 0 to 78 in"}); err != nil {
			return ofThe(m.Name, err)
		}
		if m.Greatest != 0 {
			if err := within(PartMaxThickness, m.Greatest, max(m.Least, hair), 10, unit.Either{Metric: "0 for no limit, or a thickness from the min one to 10 m", US: "0 for no limit, or a thickness from the min one to 32 ft"}); err != nil {
				return ofThe(m.Name, err)
			}
		}
	}
	return nil
}

// Limits returns the depths, m, ascending, at which bands for [Serve] must be cut: where the
// fill begins, and where a material starts or stops serving, in up to its max number of
// lifts.
func Limits(materials Materials) []float64 {
	out := []float64{0}
	for _, m := range materials {
		for n := 1; n <= min(m.layers(), liftsMost); n++ {
			out = append(out, float64(n)*m.Least, float64(n)*m.Greatest)
		}
	}
	out = slices.DeleteFunc(out, func(d float64) bool { return !(d >= 0 && d <= math.MaxFloat64) })
	slices.Sort(out)
	return slices.CompactFunc(out, func(a, b float64) bool { return math.Abs(a-b) <= hair })
}

// Money rounds an amount to hundredths, halves up.
func Money(v float64) float64 { return unit.HalfUp(v, 2) }

// Cost is money in the unit of the prices.
type Cost struct {
	Amount  float64  // of everything with a price
	Lacking []string // names without a price; empty: Amount is the whole cost
}

// Known reports whether everything had a price.
func (c Cost) Known() bool { return len(c.Lacking) == 0 }

// rounded is c as printed, so that sums match the figures shown.
func (c Cost) rounded() Cost {
	c.Amount = Money(c.Amount)
	return c
}

// Plus adds costs; each name without a price is listed once.
func (c Cost) Plus(o Cost) Cost {
	out := Cost{Money(c.Amount + o.Amount), slices.Clone(c.Lacking)}
	for _, name := range o.Lacking {
		if !slices.Contains(out.Lacking, name) {
			out.Lacking = append(out.Lacking, name)
		}
	}
	return out
}

// costs returns the cost of units of m: bags, or m³ if sold by volume.
func (m Material) costs(units float64) Cost {
	if m.Price == 0 && units > 0 {
		return Cost{Lacking: []string{m.Name}}
	}
	return Cost{Amount: units * m.Price}
}

// Use is the amount used of one material.
type Use struct {
	Material int     // index into the materials
	From, To float64 // m, min and max depth it is used for
	Area     float64 // m²
	Volume   float64 // m³ in place
	Bags     int     // whole bags; 0 if sold by volume
	Weight   float64 // kg/m³ in place
	Mass     float64 // kg in place: Volume × Weight
	Dry      float64 // kg of dry bags; 0: unknown, or none
	Cost     Cost    // of whole bags, or of the volume
}

// use computes the use of material i over area m² with volume m³.
func (ms Materials) use(i int, area, volume float64) (Use, error) {
	m := ms[i]
	u := Use{Material: i, Area: area, Volume: volume, Weight: m.weight(), Mass: volume * m.weight()}
	if m.Yield == 0 {
		u.Cost = m.costs(volume).rounded()
		return u, nil
	}
	bags, err := Bag{Mass: m.BagMass, Yield: m.Yield}.For(volume)
	if err != nil {
		return u, err
	}
	u.Bags, u.Dry, u.Cost = bags.Count, bags.Mass, m.costs(float64(bags.Count)).rounded()
	return u, nil
}

// Part is a range of depths that one material serves in one number of lifts.
type Part struct {
	Band
	Material int     // index into the materials
	Lifts    int     // equal lifts, one on another
	Bags     float64 // not rounded: whole bags are bought for all parts together; 0 if sold by volume
	Cost     Cost    // of Bags, or of the volume
}

// Misfit is why a range of depths cannot be laid.
type Misfit uint8

const (
	Thin    Misfit = iota // thinner than every min thickness: the feather edge
	Deep                  // deeper than anything allowed
	Between               // too deep for one and too thin for the next
)

func (m Misfit) String() string {
	return [...]string{"thinner than the min thickness", "deeper than may be laid", "too deep for one lift and too thin for the next"}[m]
}

// Problem is a range of depths that cannot be laid as asked, and the alternatives.
type Problem struct {
	Band
	Misfit Misfit
	Text   unit.Text   // one sentence: depths, area, volume
	Ways   []unit.Text // alternatives, for the user to choose from

	// NoHeight is why no other height of the target is one of Ways, if the caller has looked
	// for one.
	NoHeight unit.Text
}

// Instead writes ways, which are those of p and of the caller, as one text.
func (p Problem) Instead(ways []unit.Text) unit.Text {
	out := unit.Join(ways, "; or ")
	if p.NoHeight == (unit.Text{}) {
		return out
	}
	return unit.Textf("%s. %s", out, p.NoHeight)
}

// Err returns the problem as a refusal, for a caller that stops there.
func (p Problem) Err() *survey.Error {
	return (&survey.Error{Element: "thickness"}).Measured(unit.Text{}, p.Text, unit.Join(p.Ways, "; or "))
}

// Service is which material serves which depths. Parts and Problems together are the whole
// floor.
type Service struct {
	Materials    Materials
	Area, Volume float64 // m², m³ of the whole floor
	Parts        []Part  // by depth
	Uses         []Use   // of each material used, in the order of Materials
	Cost         Cost    // of Uses
	Problems     []Problem
	Notes        []survey.Note
}

// Serve gives each band to the first material that may be that thick, in one lift or in the
// fewest equal ones that its maker allows. Bands must be cut at [Limits]; a band across a
// limit is an error, as is an impossible number. Depths that no material serves are not an
// error but a [Problem] each, with a [Misfit]. Volumes are net: see [Service.Order].
func Serve(bands []Band, materials Materials) (Service, error) {
	if len(materials) == 0 {
		return Service{}, &survey.Error{Part: "materials", Element: "materials", Found: "none", Want: "at least one"}
	}
	if err := materials.checked(); err != nil {
		return Service{}, err
	}
	bands, area, volume, err := filled(bands)
	if err != nil {
		return Service{}, err
	}
	bands = slices.Clone(bands)
	slices.SortFunc(bands, byDepth)
	s := Service{Materials: materials, Area: area, Volume: volume}
	limits := Limits(materials)
	for i, b := range bands {
		if i > 0 && b.From < bands[i-1].To-hair {
			return Service{}, refuse("bands", fmt.Sprintf("%g to %g m and %g to %g m", bands[i-1].From, bands[i-1].To, b.From, b.To), "bands that do not overlap")
		}
		for _, l := range limits {
			if l > b.From+hair && l < b.To-hair {
				return Service{}, refuse(fmt.Sprintf("band %g to %g m", b.From, b.To), fmt.Sprintf("the limit %g m inside it", l), "bands cut at every limit of thickness of the materials")
			}
		}
		k, lifts := materials.pick(b.From, b.To)
		if k < 0 {
			s.Problems = failed(s.Problems, b, materials.misfit(b.From, b.To))
			continue
		}
		if last := len(s.Parts) - 1; last >= 0 && s.Parts[last].Material == k && s.Parts[last].Lifts == lifts && s.Parts[last].To >= b.From-hair {
			s.Parts[last].Band = joined(s.Parts[last].Band, b)
		} else {
			s.Parts = append(s.Parts, Part{Band: b, Material: k, Lifts: lifts})
		}
	}
	for i := range s.Parts {
		p := &s.Parts[i]
		m := materials[p.Material]
		units := p.Volume
		if m.Yield > 0 {
			p.Bags = p.Volume / m.Yield
			units = p.Bags
		}
		p.Cost = m.costs(units)
	}
	for i := range s.Problems {
		s.explain(&s.Problems[i])
	}
	if s.Uses, s.Cost, err = s.Order(Losses{}, 1, nil); err != nil {
		return Service{}, err
	}
	s.note()
	return s, nil
}

// note adds the notes on parts and cost.
func (s *Service) note() {
	for _, p := range s.Parts {
		if p.Lifts > 1 {
			n := float64(p.Lifts)
			s.Notes = append(s.Notes, warning("%s: %s to %s deep, %s, takes %d equal lifts of %s to %s; each waits for the one below and is primed or bonded to it as its maker says",
				s.Materials[p.Material].Name, unit.Depth(p.From), unit.Depth(p.To), unit.Area(p.Area), p.Lifts, unit.Depth(p.From/n), unit.Depth(p.To/n)))
		}
	}
}

// NoPrice is the warning of what a cost leaves out.
func NoPrice(c Cost) survey.Note {
	if c.Amount > 0 {
		return warning("cost: not known as a whole, as no price was given for %s", list(c.Lacking)).About(survey.AboutOrder)
	}
	return warning("cost: not known, as no price was given for %s", list(c.Lacking)).About(survey.AboutOrder)
}

// Order returns what to buy of each material, and its cost: its fill, plus what a rough
// floor takes and a high finish adds there, plus a margin, plus the allowance on these. steep is the
// area along the old floor divided by that in plan, 1 or more; margins are by the index of the
// material, m³, nil: none. Mix left in a pump line, its hopper and its priming is not included: that
// is the mix of one material, see [Floor.Takeoff]. Bags are rounded up once per material.
func (s Service) Order(l Losses, steep float64, margins []float64) ([]Use, Cost, error) {
	if err := check(append(l.placed(), quantity{"slope of the old floor", steep, 1 - slack, 100, "area along the floor over area in plan, from 1 to 100"})...); err != nil {
		return nil, Cost{}, err
	}
	var uses []Use
	var cost Cost
	for i := range s.Materials {
		b := Band{From: math.Inf(1)}
		for _, p := range s.Parts {
			if p.Material == i {
				b = Band{min(b.From, p.From), max(b.To, p.To), b.Area + p.Area, b.Volume + p.Volume}
			}
		}
		if b.Area == 0 {
			continue
		}
		more := 0.0
		if margins != nil {
			more = margins[i]
		}
		u, err := s.Materials.use(i, b.Area, (b.Volume+l.Roughness*b.Area*steep+l.High*b.Area+more)*(1+l.Allowance))
		if err != nil {
			return nil, Cost{}, err
		}
		u.From, u.To = b.From, b.To
		uses, cost = append(uses, u), cost.Plus(u.Cost)
	}
	return uses, cost, nil
}

// Use returns the net use of one material by its index; the zero Use if it serves nothing.
func (s Service) Use(material int) Use {
	for _, u := range s.Uses {
		if u.Material == material {
			return u
		}
	}
	return Use{Material: material}
}

// pick returns the first material that serves every depth between from and to, and its
// number of lifts; -1: none.
func (ms Materials) pick(from, to float64) (which, lifts int) {
	for i, m := range ms {
		if n := m.lifts(from, to, m.layers()); n > 0 {
			return i, n
		}
	}
	return -1, 0
}

// misfit returns why none of ms serves the depths between from and to.
func (ms Materials) misfit(from, to float64) Misfit {
	least, reach := math.Inf(1), 0.0
	for _, m := range ms {
		least, reach = min(least, m.Least), max(reach, float64(m.layers())*m.over())
	}
	switch {
	case to <= least+hair:
		return Thin
	case from >= reach-hair:
		return Deep
	}
	return Between
}

// failed adds a band that cannot be laid to problems; neighbours with the same misfit are
// one problem.
func failed(all []Problem, b Band, why Misfit) []Problem {
	if last := len(all) - 1; last >= 0 && all[last].Misfit == why && all[last].To >= b.From-hair {
		all[last].Band = joined(all[last].Band, b)
		return all
	}
	return append(all, Problem{Band: b, Misfit: why})
}

func joined(a, b Band) Band {
	return Band{a.From, max(a.To, b.To), a.Area + b.Area, a.Volume + b.Volume}
}

func byDepth(a, b Band) int {
	return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To))
}

// say writes the sentence of p.
func (p *Problem) say() {
	p.Text = unit.Textf("%s to %s deep, %s, %s: %s", unit.Depth(p.From), unit.Depth(p.To), unit.Area(p.Area), unit.SmallVolume(p.Volume), p.Misfit)
}

// explain writes the sentence of p and its alternatives.
func (s *Service) explain(p *Problem) {
	p.say()
	lower, upper := 0.0, math.Inf(1) // the nearest depths below and above that a material serves
	for _, m := range s.Materials {
		for n := 1; n <= m.layers(); n++ {
			if d := float64(n) * m.over(); d <= p.From+hair {
				lower = max(lower, d)
			}
			if d := float64(n) * m.Least; d >= p.To-hair {
				upper = min(upper, d)
			}
		}
	}
	if p.Misfit != Thin {
		p.Ways = append(p.Ways, s.inLifts(p)...)
		p.Ways = append(p.Ways, s.over(p)...)
		p.Ways = append(p.Ways, unit.Textf("make a first pour of something that may be laid as deep, up to %s thick, and leave %s below the target for the top", unit.Depth(p.To-lower), unit.Depth(lower)))
	}
	if p.Misfit != Deep && upper < math.Inf(1) {
		p.Ways = append(p.Ways, tooThin(p.Band, upper))
	}
	if p.Misfit == Thin {
		p.Ways = append(p.Ways, unit.Textf("use a patch that its maker allows down to a feather edge"))
	}
}

// tooThin is the alternative for a band that needs a thickness of at least least, m: grinding
// the missing volume off the floor. Another height of the target moves all depths, so that
// bands alone do not tell what it serves: see [Materials.Raises].
func tooThin(b Band, least float64) unit.Text {
	return unit.Textf("grind %s off the old floor over %s, max %s", unit.SmallVolume(max(0, least*b.Area-b.Volume)), unit.Area(b.Area), unit.DepthUp(least-b.From))
}

// inLifts names the materials that would serve p in more lifts than allowed.
func (s *Service) inLifts(p *Problem) []unit.Text {
	var out []unit.Text
	for _, m := range s.Materials {
		if n := m.lifts(p.From, p.To, liftsMost); n > 0 {
			out = append(out, unit.Textf("lay %s in %d equal lifts of %s to %s, if its maker allows them one on another",
				m.Name, n, unit.Depth(p.From/float64(n)), unit.Depth(p.To/float64(n))))
		}
	}
	return out
}

// over names the pairs of materials that would serve p one over the other: the lower one is
// poured to an even distance below the target.
func (s *Service) over(p *Problem) []unit.Text {
	var out []unit.Text
	for i, top := range s.Materials {
		for j, first := range s.Materials {
			low, high := max(top.Least, p.To-first.over()), min(top.over(), p.From-first.Least)
			if i == j || low > high+hair || low <= hair {
				continue
			}
			out = append(out, unit.Textf("make a first pour of %s to %s below the target and lay %s over it, if both makers allow it", first.Name, unit.Depth(low), top.Name))
		}
	}
	return out
}
