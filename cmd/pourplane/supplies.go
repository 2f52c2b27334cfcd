package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// supplies is what a job takes besides the order of its mix.
type supplies struct {
	service   *order.Service // nil where the job lists no materials
	bought    []order.Use    // by the service, allowance included
	bill      order.Cost
	ways      []order.Way
	layers    map[string]int  // that each way has
	schedule  *order.Schedule // nil where nothing is filled
	coats     []coating
	edging    *order.Edging
	joints    *order.JointOrder
	jointRun  float64       // m
	spacing   order.Spacing // of contraction joints at the mean depth
	currency  string
	price     float64     // of a m³ of the mix
	whole     order.Floor // all that is filled, whatever serves it
	heaviest  float64     // kg/m³, unit weight of the heaviest of what it is filled with
	materials order.Materials
	total     total
}

// coating is a coat with what it takes.
type coating struct {
	order.Coat
	order.Coating
}

// supply works out what the fill takes by the job.
func (h *solved) supply() error {
	if h.work.fill.Fill == 0 {
		return nil
	}
	e := h.entries()
	h.currency = h.job.Mix.Currency
	h.whole, h.heaviest = h.takeoff.Floor, h.mix.UnitWeight
	if h.onSite = h.job.Pace.MixedOnSite; h.onSite {
		if h.job.Plant.Truck != "" || h.job.Plant.ShortLoad != "" {
			e.refuse("pace.mixed-on-site", "trucks in [plant] as well", "one of the two")
		}
		h.notes = withoutNotes(h.notes, h.delivery.Notes)
		h.delivery.Notes = nil
	}
	h.materialsOf(e)
	h.clock(e)
	h.coatsOf(e)
	h.edges(e)
	h.jointsOf(e)
	return e.err
}

// materialsOf serves the depths with the materials of the job, and compares the ways
// to fill.
func (h *solved) materialsOf(e *entries) {
	s, f := &h.supplies, h.work.fill
	h.price = e.price("mix.", priced{"price-per-m3", h.job.Mix.PricePerM3, 1}, priced{"price-per-yd3", h.job.Mix.PricePerYd3, order.CubicYard})
	var compared order.Materials
	for i, m := range h.job.Materials {
		key := func(k string) string { return fmt.Sprintf("materials[%d].%s", i+1, k) }
		one := order.Material{Name: m.Name, Yield: e.volume(key("bag-yield"), m.BagYield), BagMass: m.BagMass, Least: e.length(key("least"), m.Least), Greatest: e.length(key("greatest"), m.Greatest),
			Lifts: m.Lifts, Working: e.duration(key("working-time"), m.WorkingTime), UnitWeight: m.UnitWeight}
		cubic := []priced{{"price-per-m3", m.PricePerM3, 1}, {"price-per-yd3", m.PricePerYd3, order.CubicYard}}
		square := []priced{{"price-per-m2", m.PricePerM2, 1}, {"price-per-ft2", m.PricePerFt2, unit.Foot.Metres() * unit.Foot.Metres()}}
		bag := priced{"price-per-bag", m.PricePerBag, 1}
		switch {
		case m.BagYield != "" && m.PricePerBag == 0 && m.PricePerM3+m.PricePerYd3 != 0:
			e.refuse(key("bag-yield"), "a price by volume of what comes in bags", "price-per-bag")
		case m.BagYield == "" && m.PricePerBag != 0:
			e.refuse(key("price-per-bag"), "a price of bags without their yield", "bag-yield, or a price by volume")
		}
		if m.PricePerM2+m.PricePerFt2 != 0 && !(m.CompareOnly && slices.ContainsFunc(order.Builds(), func(b order.Build) bool { return b.Name == m.Name })) {
			e.refuse(key("name"), strconv.Quote(m.Name)+", priced by area", "the name of a way to fill, such as \"framing over\", and compare-only = true; what is poured is priced by volume or by the bag")
		}
		one.Price = e.price(fmt.Sprintf("materials[%d].", i+1), slices.Concat([]priced{bag}, cubic, square)...)
		if w := m.UnitWeight; w != 0 && !(w >= 10 && w <= 10000) || !m.CompareOnly && w != 0 && w < 100 {
			e.refuse(key("unit-weight-kgm3"), fmt.Sprint(w), "kg/m³ between 100 and 10000; of foam that is only compared, from 10")
		}
		if !m.CompareOnly {
			// One unit weight for one material, in the load, on the map and among the ways compared.
			one.UnitWeight = cmp.Or(one.UnitWeight, h.job.UnitWeight())
			s.materials = append(s.materials, one)
		}
		compared = append(compared, one)
	}
	h.weightsOf(e)
	if e.err != nil {
		return
	}
	builds := order.Builds()
	for i := range builds {
		// A way may be priced as a whole by the m², as framing is.
		compared = slices.DeleteFunc(compared, func(m order.Material) bool {
			if m.Name != builds[i].Name {
				return false
			}
			builds[i].Price = m.Price
			return true
		})
	}
	bands := func(levels []float64) order.Floor {
		return floorOf(h.floor, h.floor.To(f.Target, levels))
	}
	if len(s.materials) > 0 {
		service, err := order.Serve(bands(order.Limits(s.materials)).Bands, s.materials)
		if err != nil {
			e.material(err)
			return
		}
		s.service = &service
		h.notes = append(h.notes, service.Notes...)
		if s.bought, s.bill, err = service.Order(h.losses, h.whole.Real/h.whole.Area); err != nil {
			e.failed("materials", err)
			return
		}
		if len(service.Problems) > 0 && !h.job.Mix.AcceptUnserved {
			p := service.Problems[0]
			if f.Greatest > 1 {
				e.refuse("target", "a fill "+h.style.Length(f.Greatest)+" deep, which no material serves", "a target on the datum and in the unit of the survey")
				return
			}
			e.err = h.job.Error("materials", p.Text.In(h.style), "materials that serve every depth")
			first := ""
			for _, b := range h.blunders {
				// A misread rod makes depths that nothing serves.
				first += fmt.Sprintf("look first at %s:%d: %s; or ", b.Shot.At.File, b.Shot.At.Line, blunderText(b, h.style))
			}
			e.err.(*survey.Error).Hint = first + unit.Join(p.Ways, "; or ").In(h.style) + "; or mix.accept-unserved = true, to see all the rest"
			return
		}
		for _, p := range service.Problems {
			h.notes = append(h.notes, survey.Notef(survey.Warning, survey.Pos{}, "not served: %s", p.Text).About(survey.AboutOrder))
		}
		if h.readyMixed(e, service); e.err != nil {
			return
		}
		load, err := service.Load(f.Greatest)
		if err != nil {
			e.material(err)
			return
		}
		h.reload(load)
	}
	for _, name := range []string{"concrete", "concrete cap"} {
		switch k := slices.IndexFunc(compared, func(m order.Material) bool { return m.Name == name }); {
		case k < 0:
			compared = append(compared, ownMix(builds, name, h.mixWeight(), h.price))
		case compared[k].UnitWeight == 0:
			compared[k].UnitWeight = h.mixWeight()
		}
	}
	levels, err := order.Levels(builds, compared, f.Greatest)
	if err != nil {
		e.failed("materials", err)
		return
	}
	s.layers = map[string]int{}
	for _, b := range builds {
		s.layers[b.Name] = len(b.Layers)
	}
	if s.ways, err = order.Compare(bands(levels), builds, compared); err != nil {
		e.material(err)
		return
	}
	for _, w := range s.ways {
		if !h.job.Outputs.Ways {
			break // result.json has what each rests on
		}
		for _, n := range w.Notes {
			if n.Kind == survey.Assumed {
				h.notes = append(h.notes, survey.Notef(n.Kind, n.Pos, "%s: %s", w.Name, n.Text))
			}
		}
	}
}

// readyMixed takes what comes in bags off the order of the plant.
func (h *solved) readyMixed(e *entries, s order.Service) {
	f := order.Floor{Least: h.whole.Least, Perimeter: h.whole.Perimeter}
	for _, p := range s.Parts {
		if s.Materials[p.Material].Yield == 0 {
			f.Net, f.Area, f.Greatest = f.Net+p.Volume, f.Area+p.Area, max(f.Greatest, min(p.To, h.whole.Greatest))
			f.Bands = append(f.Bands, p.Band)
		}
	}
	var mixed []*order.Use // by the truck
	for i := range h.bought {
		u := &h.bought[i]
		if u.Bags > 0 {
			h.work.bags = append(h.work.bags, fmt.Sprintf("%d bags of %s", u.Bags, s.Materials[u.Material].Name))
		} else {
			mixed = append(mixed, u)
		}
	}
	// What was said of the order when all of it came from the plant holds no longer.
	h.notes = withoutNotes(h.notes, slices.Concat(h.takeoff.Notes, h.delivery.Notes))
	h.takeoff, h.delivery, h.mix.Order = order.Takeoff{Floor: f}, order.Delivery{}, 0
	if f.Net == 0 {
		return
	}
	f.Real = f.Area * h.whole.Real / h.whole.Area
	var err error
	if h.takeoff, err = f.Takeoff(h.losses); err != nil {
		e.failed("materials", err)
		return
	}
	if h.delivery, err = h.plant.Deliver(h.takeoff.Need); err != nil {
		e.failed("plant", err)
		return
	}
	if h.onSite {
		h.delivery.Notes = nil
	}
	h.notes = slices.Concat(h.notes, h.takeoff.Notes, h.delivery.Notes)
	h.mix.Order = h.delivery.Volume
	if len(mixed) > 1 {
		e.refuse("materials", s.Materials[mixed[0].Material].Name+" and "+s.Materials[mixed[1].Material].Name+", both by the truck", "one that comes by the truck: two plants' orders, trucks and clocks are two jobs")
	}
	if len(mixed) != 1 {
		return
	}
	// One material comes by the truck: what is ordered is what is bought of it.
	m := s.Materials[mixed[0].Material]
	switch {
	case h.price != 0 && m.Price != 0 && math.Abs(h.price-m.Price) > 1e-9*m.Price:
		key := "mix.price-per-m3"
		if h.job.Mix.PricePerYd3 != 0 {
			key = "mix.price-per-yd3"
		}
		e.refuse(key, "a price of the mix, and another of "+m.Name, "one of the two")
	case m.Price == 0 && h.price != 0:
		s.Materials[mixed[0].Material].Price, m.Price = h.price, h.price
	}
	h.price = m.Price
	mixed[0].Volume, mixed[0].Cost = h.delivery.Volume, order.Cost{Amount: order.Money(h.delivery.Volume * m.Price)}
	if m.Price == 0 {
		mixed[0].Cost.Lacking = []string{m.Name}
	}
	h.bill = order.Cost{}
	for _, u := range h.bought {
		h.bill = h.bill.Plus(u.Cost)
	}
}

// withoutNotes takes notes back that hold no longer.
func withoutNotes(notes, gone []survey.Note) []survey.Note {
	return slices.DeleteFunc(slices.Clone(notes), func(n survey.Note) bool {
		return slices.ContainsFunc(gone, func(g survey.Note) bool { return g.Kind == n.Kind && g.String() == n.String() })
	})
}

// reload repeats the cautions for the load by the materials.
func (h *solved) reload(l order.Load) {
	before := order.Cautions(h.mix.Load, h.filling.around(h.work))
	h.notes = withoutNotes(h.notes, before)
	h.mix.Load = l
	var weights []float64
	for _, u := range h.service.Uses {
		weights = append(weights, u.Weight)
	}
	if len(h.service.Problems) > 0 {
		weights = append(weights, h.service.Heaviest())
	}
	if len(weights) > 0 {
		h.heaviest, h.mix.UnitWeight = slices.Max(weights), weights[0]
		if slices.Min(weights) != h.heaviest {
			h.weighs = "each material at its own unit weight"
			h.mix.UnitWeight = l.Mass / h.whole.Net // in the mean
		}
	}
	h.notes = append(h.notes, order.Cautions(l, h.filling.around(h.work))...)
}

// weightsOf lists the materials whose unit weight was not given, and refuses one of the
// mix that nothing of the job would have.
func (h *solved) weightsOf(e *entries) {
	own := h.job.Mix.UnitWeight
	used := len(h.job.Materials) == 0 || own == 0
	var lacking []string
	for _, m := range h.job.Materials {
		switch {
		case m.CompareOnly:
		case m.UnitWeight == 0:
			used, lacking = true, append(lacking, m.Name)
		case m.UnitWeight == own:
			used = true
		}
	}
	if !used && len(h.supplies.materials) > 0 {
		e.refuse("mix.unit-weight-kgm3", h.style.UnitWeight(own)+", while each material has another unit weight of its own", "one of the two")
	}
	if len(lacking) > 0 {
		from := "that of the mix"
		if own == 0 {
			from = "that of normal concrete"
		}
		h.notes = append(h.notes, survey.Notef(survey.Assumed, survey.Pos{}, "unit weight of %s: %s, %s, as no other is given", strings.Join(lacking, ", "), h.style.UnitWeight(h.job.UnitWeight()), from).About(survey.AboutLoad))
	}
}

// mixWeight is the unit weight of what the plant delivers, kg/m³.
func (h *solved) mixWeight() float64 {
	if h.service != nil {
		for _, u := range h.service.Uses {
			if h.service.Materials[u.Material].Yield == 0 {
				return u.Weight
			}
		}
	}
	return h.job.UnitWeight()
}

// ownMix is a usual layer laid of the mix of the job.
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
func (h *solved) clock(e *entries) {
	p := h.job.Pace
	pace := order.Pace{Placing: p.Placing, Discharge: e.duration("pace.discharge", p.Discharge), Travel: e.duration("pace.travel", p.Travel), Spacing: e.duration("pace.truck-spacing", p.TruckSpacing),
		Working: e.duration("pace.working-time", p.WorkingTime), Level: e.duration("pace.level-time", p.LevelTime), Site: p.MixedOnSite, Truck: cmp.Or(h.delivery.Full, h.plant.Truck), Step: h.mix.Step}
	if e.err != nil {
		return
	}
	volume, f := h.delivery.Volume, h.takeoff.Floor
	if h.open {
		return // how fast a material that nobody chose is placed, nobody knows
	}
	if volume == 0 { // all of it comes in bags
		f, pace.Site = h.whole, true
		if h.bag != nil {
			volume = h.takeoff.Need
		}
		for _, u := range h.bought {
			volume += u.Volume
		}
	}
	if pace.Working == 0 && h.service != nil {
		// The material that stiffens first sets the pace; beside trucks, what is mixed by the bag
		// waits for nobody.
		for _, u := range h.bought {
			if m := h.service.Materials[u.Material]; (m.Yield == 0 || h.delivery.Trucks == 0) && m.Working > 0 && (pace.Working == 0 || m.Working < pace.Working) {
				pace = pace.With(m)
			}
		}
	}
	if volume > 0 && h.delivery.Volume == 0 && pace.Placing == 0 {
		// A crew that mixes bags by hand has another pace than one that empties trucks.
		h.notes = append(h.notes, survey.Notef(survey.Assumed, survey.Pos{}, "no times are worked out: how fast bags are mixed and placed is not given ([pace] placing-m3-per-hour or placing-yd3-per-hour)"))
		return
	}
	sched, err := pace.Schedule(f, volume)
	if err != nil {
		e.failed("pace", err)
		return
	}
	h.supplies.schedule = &sched
	h.notes = slices.Concat(h.notes, sched.Notes, sched.Stops)
}

func (h *solved) coatsOf(e *entries) {
	for i, c := range h.job.Coats {
		key := func(k string) string { return fmt.Sprintf("coats[%d].%s", i+1, k) }
		one := order.Coat{Name: c.Name, Cover: c.Cover, First: c.First, Coats: c.Coats, Water: c.WaterParts, Overlap: e.percent(key("overlap-percent"), c.Overlap), Allowance: e.percent(key("allowance-percent"), c.Allowance), Pack: c.Pack, Price: c.Price}
		if e.err != nil {
			return
		}
		took, err := one.Over(h.whole.Real)
		if err != nil {
			e.failed(fmt.Sprintf("coats[%d]", i+1), err)
			return
		}
		h.supplies.coats = append(h.supplies.coats, coating{one, took})
	}
}

func (h *solved) edges(e *entries) {
	j := h.job.Edge
	if !j.Film && j.Foam == "" {
		if j != (job.Edge{}) {
			e.refuse("edge", "neither film nor foam", "film = true, or a thickness of foam")
		}
		return
	}
	edge := order.Edge{NoFilm: !j.Film, Above: e.length("edge.above", j.Above), Foot: e.length("edge.foot", j.Foot), Lap: e.length("edge.lap", j.Lap), Roll: e.length("edge.roll", j.Roll), Width: e.length("edge.roll-width", j.RollWidth),
		Strip: e.length("edge.foam", j.Foam), Piece: e.length("edge.foam-piece", j.FoamPiece), Height: e.length("edge.foam-height", j.FoamHeight), Allowance: e.percent("edge.allowance-percent", j.Allowance)}
	if e.err != nil {
		return
	}
	if h.job.Site.Bonded && edge.Foot > 0 {
		e.refuse("edge.foot", j.Foot+" of film under a bonded fill", "none: film breaks the bond; or site.bonded = false")
		return
	}
	var walls []order.Wall
	for _, w := range h.floor.Walls(h.work.fill.Target) {
		walls = append(walls, order.Wall{Name: wallBetween(h.floor, w.From, w.To, h.style), Length: w.From.Distance(w.To), Start: w.Start, End: w.End, Closed: w.Last})
	}
	got, err := edge.Along(walls)
	if err != nil {
		e.failed("edge", err)
		return
	}
	h.supplies.edging = &got
	h.notes = append(h.notes, got.Notes...)
}

func (h *solved) jointsOf(e *entries) {
	s, j := &h.supplies, h.job.Joints
	mean := h.whole.Mean()
	var err error
	// The rule is for concrete that lies loose on the floor.
	if (h.delivery.Trucks > 0 || h.bag != nil) && !h.job.Site.Bonded && mean <= 1 {
		if s.spacing, err = order.JointSpacing(mean); err != nil {
			e.failed("joints", err)
			return
		}
	}
	s.jointRun = e.length("joints.length", j.Length)
	joints := order.Joints{Length: s.jointRun, Bonded: h.job.Site.Bonded, Width: e.length("joints.width", j.Width), Elastic: j.Elastic, Pack: j.Pack, Allowance: e.percent("joints.allowance-percent", j.Allowance)}
	if s.jointRun == 0 && j != (job.Joints{}) {
		e.refuse("joints.length", "none", "the length of joint to carry through")
	}
	if s.jointRun == 0 || e.err != nil {
		return
	}
	depth := mean
	if h.job.Site.Bonded {
		depth = h.whole.Greatest // cut through, wherever the joint runs
	}
	got, err := joints.Over(depth)
	if err != nil {
		e.failed("joints", err)
		return
	}
	s.joints = &got
	h.notes = append(h.notes, got.Notes...)
}
