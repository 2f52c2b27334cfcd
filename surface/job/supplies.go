package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// mixName returns the name of what comes by truck, if the job gives one.
func (h *Result) mixName() string {
	for _, m := range h.Bought {
		if m.Bags == 0 {
			return "of " + h.Service.Materials[m.Material].Name
		}
	}
	return ""
}

// Supplies is what a job needs in addition to the order of its mix.
type Supplies struct {
	Service    *order.Service // nil if the job lists no materials
	Bought     []order.Use    // what is bought, allowance included
	Bill       order.Cost
	Ways       []order.Way
	Layers     map[string]int  // number of layers of each way
	Schedule   *order.Schedule // nil if nothing is filled
	Coats      []coating
	Edging     *order.Edging
	Joints     *order.JointOrder
	JointRun   float64     // m
	JointWidth float64     // m; 0: not known
	Movement   bool        // the joints are movement joints
	JointsAt   []unit.Text // where they are, if the survey or the outline has lines named so
	JointLines [][]surface.Vec
	// JointsUndrawn: movement joints, of which the plan has no lines, or shorter ones than
	// the job says.
	JointsUndrawn bool
	// JointsUnsaid are such lines of a job without [joints]: it does not say what they are.
	JointsUnsaid []unit.Text
	Spacing      order.Spacing // of contraction joints at the mean depth
	Currency     string
	Price        float64     // price of 1 m³ of the mix
	Whole        order.Floor // the whole fill, whatever serves it
	Heaviest     float64     // kg/m³, max unit weight of the materials of the fill
	materials    order.Materials
	Total        total
}

// coating is a coat with its quantities.
type coating struct {
	order.Coat
	order.Coating
}

// supply works out what the fill needs.
func (h *Result) supply() error {
	if h.Filled.Fill.Fill == 0 {
		return nil
	}
	e := h.entries()
	if greatest := h.Filled.Fill.Greatest; greatest > order.Deepest {
		e.measured("target", unit.Textf("a fill %s deep", unit.Distance(greatest)), unit.Textf("max %s: a target on the datum and in the unit of the survey", unit.Distance(order.Deepest)))
		return e.err
	}
	h.Currency = h.Job.Mix.Currency
	h.Whole, h.Heaviest = h.Takeoff.Floor, h.Mix.UnitWeight
	if h.OnSite = h.Job.Pace.MixedOnSite; h.OnSite {
		if h.Job.Plant.Truck != "" || h.Job.Plant.ShortLoad != "" {
			e.refuse("pace.mixed-on-site", "trucks in [plant] as well", "one of the two")
		}
		h.Notes = survey.Without(h.Notes, byDelivery)
		h.Delivery.Notes = nil
	}
	h.materialsOf(e)
	h.Filled.prices = prices{h.Price, h.Job.Mix.PricePerBag, h.Job.Mix.ShortLoadPrice}
	h.clock(e)
	h.coatsOf(e)
	h.edges(e)
	h.jointsOf(e)
	return e.err
}

// materialsOf assigns the materials of the job to depths, and compares the ways to fill.
func (h *Result) materialsOf(e *entries) {
	h.Price = e.price("mix.", priced{"price-per-m3", h.Job.Mix.PricePerM3, 1}, priced{"price-per-yd3", h.Job.Mix.PricePerYd3, order.CubicYard})
	var compared order.Materials
	for i, m := range h.Job.Materials {
		one := e.materialOf(i, m)
		if !m.CompareOnly {
			// A material has one unit weight in the load, on the map and among the
			// ways compared.
			one.UnitWeight = cmp.Or(one.UnitWeight, h.Job.UnitWeight())
			h.Supplies.materials = append(h.Supplies.materials, one)
		}
		compared = append(compared, one)
	}
	h.weightsOf(e)
	if e.err != nil {
		return
	}
	if len(h.Supplies.materials) > 0 {
		if h.serve(e); e.err != nil {
			return
		}
	}
	h.compareWays(e, compared)
}

// materialOf reads material i of the job. It refuses a price per a unit in which the
// material is not sold, and an impossible unit weight.
func (e *entries) materialOf(i int, m Material) order.Material {
	key := func(k string) string { return fmt.Sprintf("materials[%d].%s", i+1, k) }
	one := order.Material{Name: m.Name, Yield: e.volume(key("bag-yield"), m.BagYield), BagMass: m.BagMass, Least: e.length(key("least"), m.Least), Greatest: e.length(key("greatest"), m.Greatest),
		Lifts: m.Lifts, Working: e.duration(key("working-time"), m.WorkingTime), UnitWeight: m.UnitWeight}
	switch {
	case m.Name == "":
		e.wanting(key("name"), "none", "a name for the material: %s", e.example("materials.name"))
	case one.Greatest > 0 && one.Greatest < one.Least:
		e.refuse(key("greatest"), fmt.Sprintf("%q, below least = %q", m.Greatest, m.Least), "the max thickness of a lift, no less than the min one: the two may be swapped")
	case m.BagYield != "" && m.PricePerBag == 0 && m.PricePerM3+m.PricePerYd3 != 0:
		e.refuse(key("bag-yield"), "a price by volume of what comes in bags", "price-per-bag")
	case m.BagYield == "" && m.PricePerBag != 0:
		e.refuse(key("price-per-bag"), "a price of bags without their yield", "bag-yield, or a price by volume")
	}
	if m.PricePerM2+m.PricePerFt2 != 0 && !(m.CompareOnly && slices.ContainsFunc(order.Builds(false), func(b order.Build) bool { return b.Name == m.Name })) {
		e.refuse(key("name"), strconv.Quote(m.Name)+", priced by area", "the name of a way to fill, such as \"framing over\", and compare-only = true; what is poured is priced by volume or by the bag")
	}
	one.Price = e.price(key(""), priced{"price-per-bag", m.PricePerBag, 1},
		priced{"price-per-m3", m.PricePerM3, 1}, priced{"price-per-yd3", m.PricePerYd3, order.CubicYard},
		priced{"price-per-m2", m.PricePerM2, 1}, priced{"price-per-ft2", m.PricePerFt2, unit.Foot.Metres() * unit.Foot.Metres()})
	if w := m.UnitWeight; w != 0 && !(w >= 10 && w <= 10000) || !m.CompareOnly && w != 0 && w < 100 {
		e.refuse(key("unit-weight-kgm3"), bothWeights(w), weightsAllowed+"; of foam that is only compared, from 10 kg/m³ (0.62 lb/ft³)")
	}
	return one
}

// weightsAllowed are the limits of a unit weight: the lightest fill, and beyond any concrete. Own choice.
const weightsAllowed = "between 100 and 10000 kg/m³ (6.3 and 624 lb/ft³)"

// bothWeights writes a unit weight, kg/m³, in both systems: it is refused before it is known how
// it was typed.
func bothWeights(w float64) string {
	return fmt.Sprintf("%.6g kg/m³ (%.4g lb/ft³)", w, w*cubicFoot/poundMass)
}

const poundMass = 0.45359237 // kg

// bands cuts the fill at levels of depth, m.
func (h *Result) bands(levels []float64) order.Floor {
	return floorOf(h.Floor, h.Floor.FillTo(h.Filled.Fill.Target, levels))
}

// serve finds the material for each depth, and how much of each to order.
func (h *Result) serve(e *entries) {
	s := &h.Supplies
	service, err := order.Serve(h.bands(order.Limits(s.materials)).Bands, s.materials)
	if err != nil {
		e.material(err)
		return
	}
	s.Service = &service
	if err := h.featherEdges(s.Service); err != nil {
		e.failed("ramps", err)
		return
	}
	h.Notes = slices.Concat(h.Notes, service.Notes, h.featherNotes())
	h.service, h.bought = s.Service, func() []order.Use { return s.Bought }
	h.share(s.Service)
	if h.margins, err = h.marginsOf(s.Service); err != nil {
		e.err = err
		return
	}
	if s.Bought, s.Bill, err = service.Order(h.Losses, h.Whole.Real/h.Whole.Area, h.margins); err != nil {
		e.failed("materials", err)
		return
	}
	if len(service.Problems) > 0 {
		h.addHeights(service.Problems)
	}
	if len(service.Problems) > 0 && !h.Job.Mix.AcceptUnserved {
		h.refuseUnserved(e, service.Problems[0])
		return
	}
	for _, p := range service.Problems {
		h.Unserved.Area, h.Unserved.Volume = h.Unserved.Area+p.Area, h.Unserved.Volume+p.Volume
		h.Notes = append(h.Notes, survey.Notef(survey.Warning, survey.Pos{}, "not served: %s", p.Text).About(survey.AboutOrder))
	}
	if h.readyMixed(e, service); e.err != nil {
		return
	}
	load, err := service.Load(h.Filled.Fill.Greatest)
	if err != nil {
		e.material(err)
		return
	}
	h.reload(load)
}

// refuseUnserved refuses a job with depths that no material serves, and names what to
// check first.
func (h *Result) refuseUnserved(e *entries, p order.Problem) {
	if greatest := h.Filled.Fill.Greatest; greatest > 1 {
		e.measured("target", unit.Textf("a fill %s deep, which no material serves", unit.Distance(greatest)), unit.Textf("a target on the datum and in the unit of the survey"))
		return
	}
	var ways []unit.Text
	for _, b := range h.Blunders {
		// A misread rod can cause depths that no material serves.
		ways = append(ways, unit.Textf("look first at %s:%d: %s", b.Shot.At().File, b.Shot.At().Line, BlunderText(b)))
	}
	ways = append(append(ways, p.Ways...), unit.Textf("mix.accept-unserved = true, to see all the rest"))
	e.err = h.Job.Error("materials", "", "one for every depth").Saw("no material for %s", p.Text).Hinting(p.Instead(ways))
}

// compareWays compares the usual ways to fill, with the materials and prices of the job.
func (h *Result) compareWays(e *entries, compared order.Materials) {
	s := &h.Supplies
	builds, compared := pricedWhole(order.Builds(h.Filled.own()), compared)
	compared = h.withMixes(builds, compared)
	levels, err := order.Levels(builds, compared, h.Filled.Fill.Greatest)
	if err != nil {
		e.failed("materials", err)
		return
	}
	s.Layers = map[string]int{}
	for _, b := range builds {
		s.Layers[b.Name] = len(b.Layers)
	}
	if s.Ways, err = order.Compare(h.bands(levels), builds, compared); err != nil {
		e.material(err)
		return
	}
	if !h.Job.Outputs.Ways {
		return // result.json has the basis of each
	}
	for _, w := range s.Ways {
		for _, n := range w.Notes {
			if n.Kind == survey.Assumed {
				h.Notes = append(h.Notes, survey.Notef(n.Kind, n.Pos, "%s: %s", w.Name, n.Text))
			}
		}
	}
}

// pricedWhole returns the ways to fill with the price of those that the job prices
// per m² as a whole, such as framing, and the other materials.
func pricedWhole(builds []order.Build, materials order.Materials) ([]order.Build, order.Materials) {
	for i := range builds {
		materials = slices.DeleteFunc(materials, func(m order.Material) bool {
			if m.Name != builds[i].Name {
				return false
			}
			builds[i].Price = m.Price
			return true
		})
	}
	return builds, materials
}

// withMixes adds the concretes that the job does not list as its own mix. Listed ones
// without a unit weight get the one of the mix.
func (h *Result) withMixes(builds []order.Build, materials order.Materials) order.Materials {
	for _, name := range []string{"concrete", "concrete cap"} {
		switch k := slices.IndexFunc(materials, func(m order.Material) bool { return m.Name == name }); {
		case k < 0:
			materials = append(materials, ownMix(builds, name, h.mixWeight(), h.Price))
		case materials[k].UnitWeight == 0:
			materials[k].UnitWeight = h.mixWeight()
		}
	}
	return materials
}

// readyMixed removes what comes in bags from the order of the plant.
func (h *Result) readyMixed(e *entries, s order.Service) {
	f := order.Floor{Least: h.Whole.Least, Perimeter: h.Whole.Perimeter}
	for _, p := range s.Parts {
		if s.Materials[p.Material].Yield == 0 {
			f.Net, f.Area, f.Greatest = f.Net+p.Volume, f.Area+p.Area, max(f.Greatest, min(p.To, h.Whole.Greatest))
			f.Bands = append(f.Bands, p.Band)
		}
	}
	var mixed []*order.Use // by truck
	for i := range h.Bought {
		u := &h.Bought[i]
		if u.Bags > 0 {
			h.Filled.Bags = append(h.Filled.Bags, unit.Textf("%s of %s", survey.Plural(u.Bags, "bag"), s.Materials[u.Material].Name))
		} else {
			mixed = append(mixed, u)
		}
	}
	// The notes of an order from the plant alone no longer apply.
	h.Notes = survey.Without(h.Notes, byTakeoff, byDelivery)
	h.Takeoff, h.Delivery, h.Mix.Order = order.Takeoff{Floor: f}, order.Delivery{}, 0
	if f.Net == 0 {
		return
	}
	f.Real = f.Area * h.Whole.Real / h.Whole.Area
	if len(mixed) == 1 {
		h.margin = h.MarginOf(mixed[0].Material)
		h.Losses.Margin = h.margin
	}
	var err error
	if h.Takeoff, err = f.Takeoff(h.Losses); err != nil {
		e.failed("materials", err)
		return
	}
	if h.Delivery, err = h.plant.Deliver(h.Takeoff.Need); err != nil {
		e.failed("plant", err)
		return
	}
	if h.OnSite {
		h.Delivery.Notes = nil
	}
	h.Notes = slices.Concat(h.Notes, survey.By(byTakeoff, h.Takeoff.Notes), survey.By(byDelivery, h.Delivery.Notes))
	h.Mix.Order = h.Delivery.Volume
	if len(mixed) > 1 {
		e.refuse("materials", s.Materials[mixed[0].Material].Name+" and "+s.Materials[mixed[1].Material].Name+", both by the truck", "one that comes by the truck: two plants' orders, trucks and clocks are two jobs")
	}
	if len(mixed) != 1 {
		return
	}
	// One material comes by truck: the order is what is bought of it.
	m := s.Materials[mixed[0].Material]
	switch {
	case h.Price != 0 && m.Price != 0 && math.Abs(h.Price-m.Price) > 1e-9*m.Price:
		key := "mix.price-per-m3"
		if h.Job.Mix.PricePerYd3 != 0 {
			key = "mix.price-per-yd3"
		}
		e.refuse(key, "a price of the mix, and another of "+m.Name, "one of the two")
	case m.Price == 0 && h.Price != 0:
		s.Materials[mixed[0].Material].Price, m.Price = h.Price, h.Price
	}
	h.Price = m.Price
	mixed[0].Volume, mixed[0].Cost = h.Delivery.Volume, order.Cost{Amount: order.Money(h.Delivery.Volume * m.Price)}
	if m.Price == 0 {
		mixed[0].Cost.Lacking = []string{m.Name}
	}
	h.Bill = order.Cost{}
	for _, u := range h.Bought {
		h.Bill = h.Bill.Plus(u.Cost)
	}
}

// Steps whose notes no longer apply once materials or bays of the job are known.
const (
	byTakeoff  = "take-off"
	byDelivery = "delivery"
	byLoad     = "load"  // cautions about the load
	byLate     = "late"  // trucks that are not empty in time
	byWait     = "wait"  // trucks that wait, and a crew that is idle
	byClock    = "clock" // a pour that takes longer than the mix can be worked
)

// reload repeats the cautions about the load with the materials.
func (h *Result) reload(l order.Load) {
	h.Notes = survey.Without(h.Notes, byLoad)
	h.Mix.Load = l
	var weights []float64
	for _, u := range h.Service.Uses {
		weights = append(weights, u.Weight)
	}
	if len(h.Service.Problems) > 0 {
		weights = append(weights, h.Service.Heaviest())
	}
	if len(weights) > 0 {
		h.Heaviest, h.Mix.UnitWeight = slices.Max(weights), weights[0]
		if slices.Min(weights) != h.Heaviest {
			h.Weighs = "each material at its own unit weight"
			h.Mix.UnitWeight = l.Mass / h.Whole.Net // mean unit weight
		}
	}
	h.Notes = append(h.Notes, survey.By(byLoad, order.Cautions(l, h.plan.around(h.Filled)))...)
}

// weightsOf lists the materials without a given unit weight. It refuses a unit weight of
// the mix that nothing in the job uses.
func (h *Result) weightsOf(e *entries) {
	own := h.Job.Mix.UnitWeight
	used := len(h.Job.Materials) == 0 || own == 0
	var lacking []string
	for _, m := range h.Job.Materials {
		switch {
		case m.CompareOnly:
		case m.UnitWeight == 0:
			used, lacking = true, append(lacking, m.Name)
		case m.UnitWeight == own:
			used = true
		}
	}
	if !used && len(h.Supplies.materials) > 0 {
		e.measured("mix.unit-weight-kgm3", unit.Textf("%s, while each material has another unit weight of its own", unit.UnitWeight(own)), unit.Textf("one of the two"))
	}
	if len(lacking) > 0 {
		from := "as for the mix"
		if own == 0 {
			from = "as for normal concrete"
		}
		h.Notes = append(h.Notes, survey.Notef(survey.Assumed, survey.Pos{}, "unit weight of %s: %s, %s; no other is given", strings.Join(lacking, ", "), unit.UnitWeight(h.Job.UnitWeight()), from).About(survey.AboutLoad))
	}
}

// mixWeight returns the unit weight of what the plant delivers, kg/m³.
func (h *Result) mixWeight() float64 {
	if h.Service != nil {
		for _, u := range h.Service.Uses {
			if h.Service.Materials[u.Material].Yield == 0 {
				return u.Weight
			}
		}
	}
	return h.Job.UnitWeight()
}

// ownMix returns a usual layer made of the mix of the job.
func ownMix(builds []order.Build, name string, weight, price float64) order.Material {
	for _, b := range builds {
		for _, l := range b.Layers {
			if l.Name == name {
				m := l.Material
				m.UnitWeight, m.Price = weight, price
				return m
			}
		}
	}
	return order.Material{Name: name, UnitWeight: weight, Price: price}
}

// clock plans the pour by the hour.
func (h *Result) clock(e *entries) {
	p := h.Job.Pace
	pace := order.Pace{Placing: p.Placing, Discharge: e.duration("pace.discharge", p.Discharge), Travel: e.duration("pace.travel", p.Travel), Spacing: e.duration("pace.truck-spacing", p.TruckSpacing),
		Working: e.duration("pace.working-time", p.WorkingTime), Level: e.duration("pace.level-time", p.LevelTime), Site: p.MixedOnSite, Truck: cmp.Or(h.Delivery.Full, h.plant.Truck), Short: h.plant.Short, Step: h.Mix.Step}
	if e.err != nil {
		return
	}
	volume, f := h.Delivery.Volume, h.Takeoff.Floor
	if h.Open {
		return // the placing rate of an open material is not known
	}
	if volume == 0 { // everything comes in bags
		f, pace.Site = h.Whole, true
		if h.Bag != nil {
			volume = h.Takeoff.Need
		}
		for _, u := range h.Bought {
			volume += u.Volume
		}
	}
	if pace.Working == 0 && h.Service != nil {
		// The material that stiffens first sets the pace. Material mixed by the bag
		// does not wait for trucks.
		for _, u := range h.Bought {
			if m := h.Service.Materials[u.Material]; (m.Yield == 0 || h.Delivery.Trucks == 0) && m.Working > 0 && (pace.Working == 0 || m.Working < pace.Working) {
				pace = pace.With(m)
			}
		}
	}
	if volume > 0 && h.Delivery.Volume == 0 && pace.Placing == 0 {
		// A crew that mixes bags by hand is slower than one that empties trucks.
		h.Notes = append(h.Notes, survey.Notef(survey.Assumed, survey.Pos{}, "no times are worked out: how fast bags are mixed and placed is not given%s", unit.Hintf(" ([pace] placing-m3-per-hour or placing-yd3-per-hour)")))
		return
	}
	sched, err := pace.Schedule(f, volume)
	if err != nil {
		e.failed("pace", err)
		return
	}
	h.Supplies.Schedule = &sched
	// A truck that is not empty in time is rejected: this comes before any other advice
	// on the order.
	h.Notes = slices.Concat(survey.By(byLate, sched.Late), h.Notes, sched.Notes, survey.By(byWait, sched.Waits), survey.By(byClock, sched.Stops))
}

func (h *Result) coatsOf(e *entries) {
	for i, c := range h.Job.Coats {
		key := func(k string) string { return fmt.Sprintf("coats[%d].%s", i+1, k) }
		one := order.Coat{Name: c.Name, Cover: c.Cover, First: c.First, Coats: c.Coats, Water: c.WaterParts, Overlap: e.percent(key("overlap-percent"), c.Overlap), Allowance: e.percent(key("allowance-percent"), c.Allowance), Pack: c.Pack, Price: c.Price}
		if e.err != nil {
			return
		}
		if c.Cover == 0 {
			e.wanting(fmt.Sprintf("coats[%d]", i+1), "no cover", "the area that a litre or a gallon covers, by the data sheet: %s",
				unit.Either{Metric: "cover-m2-per-litre = 6", US: "cover-ft2-per-gallon = 250"})
			return
		}
		took, err := one.Over(h.Whole.Real)
		if err != nil {
			e.failed(fmt.Sprintf("coats[%d]", i+1), err)
			return
		}
		h.Supplies.Coats = append(h.Supplies.Coats, coating{one, took})
	}
}

func (h *Result) edges(e *entries) {
	j := h.Job.Edge
	if !j.Film && j.Foam == "" {
		if j != (Edge{}) {
			e.wanting("edge", "neither film nor foam", "film = true, or a thickness of foam: %s", e.example("edge.foam"))
		}
		return
	}
	edge := order.Edge{NoFilm: !j.Film, Above: e.length("edge.above", j.Above), Foot: e.length("edge.foot", j.Foot), Lap: e.length("edge.lap", j.Lap), Roll: e.length("edge.roll", j.Roll), Width: e.length("edge.roll-width", j.RollWidth),
		Strip: e.length("edge.foam", j.Foam), Piece: e.length("edge.foam-piece", j.FoamPiece), Height: e.length("edge.foam-height", j.FoamHeight), Allowance: e.percent("edge.allowance-percent", j.Allowance)}
	if e.err != nil {
		return
	}
	if h.Job.Site.Bonded && edge.Foot > 0 {
		e.refuse("edge.foot", j.Foot+" of film under a bonded fill", "none: film breaks the bond; or site.bonded = false")
		return
	}
	var walls []order.Wall
	for _, w := range h.Floor.Walls(h.Filled.Fill.Target) {
		var name unit.Text // the hull of the shots has no named walls
		if !h.Floor.Hull {
			name = wallBetween(h.Floor, w.From, w.To)
		}
		walls = append(walls, order.Wall{Name: name, Length: w.From.Distance(w.To), Start: w.Start, End: w.End, Closed: w.Last})
	}
	got, err := edge.Along(walls)
	if err != nil {
		e.failed("edge", err)
		return
	}
	h.Supplies.Edging = &got
	h.Notes = append(h.Notes, got.Notes...)
}
