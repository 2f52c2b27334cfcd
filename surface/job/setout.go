package job

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/surface/order"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// cutBays divides the floor into bays as the job says. If the job gives the working time
// of the mix and no bays, a bay is what can be placed in that time.
func (h *Result) cutBays(e *entries) {
	b := h.Job.Bays
	rules := setout.BayRules{Width: e.length("bays.width", b.Width), Most: e.volume("bays.most", b.Most)}
	for _, line := range b.Dams {
		var dam []surface.Vec
		for _, place := range line {
			dam = append(dam, e.place("bays.dams", place))
		}
		rules.Dams = append(rules.Dams, dam)
	}
	key := "bays"
	if s := h.Schedule; !b.given() {
		if s == nil || s.Bays < 2 {
			return
		}
		// The clock uses the ordered volume, a bay its net volume: see layBays.
		rules.Most, key = s.Bay*h.served()/s.Volume, "pace.working-time"
	}
	if h.US {
		rules.Step = unit.Foot.Metres() / 6
	}
	if h.Exit != nil {
		rules.Exit, rules.HasExit = *h.Exit, true
	}
	if e.err != nil {
		return
	}
	if e.failed(key, h.layBays(rules, key != "bays")); e.err != nil {
		return
	}
	bays := h.Bays
	if len(bays.Bays) > 1 && h.Pins != nil {
		h.Pins.Begin(bays.Bays[0].Floor) // the bays are placed in their order
	}
	if err := h.bagBays(); err != nil {
		e.failed(key, err)
		return
	}
	e.failed(key, h.countBays(key == "bays"))
	h.Notes = append(h.Notes, bays.Notes...)
}

// fittings is how often bays for the working time are cut anew; own choice.
const fittings = 8

// layBays cuts the floor into bays. Bays for the working time are made smaller until each is
// placed in it: what is lost in the pump is all in the first.
func (h *Result) layBays(rules setout.BayRules, inTime bool) error {
	for range fittings {
		bays, err := setout.CutBays(h.Floor, h.Filled.Fill.Target, rules)
		if err != nil {
			return err
		}
		if h.Bays = &bays; !inTime || len(bays.Bays) == 0 {
			return nil
		}
		placed, err := h.inBays()
		if err != nil {
			return err
		}
		most := slices.Max(placed)
		if most <= h.Schedule.Bay*(1+1e-9) {
			return nil
		}
		rules.Most *= h.Schedule.Bay / most
	}
	return nil
}

// inBays returns the volume placed in each bay, m³: its own net volume with what is lost in it.
func (h *Result) inBays() ([]float64, error) {
	if h.Service != nil && h.Delivery.Volume == 0 { // all in bags
		var out []float64
		for i := range h.Bays.Bays {
			need, _, err := h.inBay(&h.Bays.Bays[i])
			if err != nil {
				return nil, err
			}
			out = append(out, need)
		}
		return out, nil
	}
	out, err := h.placedBy()
	for i := len(out) - 1; i > 0; i-- {
		out[i] -= out[i-1]
	}
	return out, err
}

// served returns the net volume that some material serves, m³.
func (h *Result) served() float64 { return h.Whole.Net - h.Unserved.Volume }

// bagBays counts the bags of each bay, and the part that no material serves.
func (h *Result) bagBays() error {
	bag := h.Bagged()
	if bag == nil && h.Unserved.Area == 0 {
		return nil
	}
	var each []float64
	for _, b := range h.Bays.Bays {
		need, lacks, err := h.inBay(&b)
		if err != nil {
			return err
		}
		each = append(each, need)
		if h.Unserved.Area > 0 {
			h.BayUnserved = append(h.BayUnserved, lacks)
		}
	}
	if bag == nil {
		return nil
	}
	var err error
	h.BayBags, h.AllBags, err = setout.WholeBags(each, bag.Yield)
	return err
}

// inBay returns the volume that a bay takes of the materials that serve it, with rough
// floor, finish high and allowance, and the volume that no material serves, both m³.
func (h *Result) inBay(b *setout.Bay) (need, unserved float64, err error) {
	if b.Fill.Fill == 0 {
		return 0, 0, nil
	}
	service, f, err := h.servedIn(b)
	if err != nil {
		return 0, 0, err
	}
	uses, _, err := service.Order(h.Losses, f.Real/f.Area, h.marginsIn(service))
	for _, u := range uses {
		need += u.Volume
	}
	for _, p := range service.Problems {
		unserved += p.Volume
	}
	return need, unserved, err
}

// marginsIn returns the part of the margins that a bay takes: by its share of each material.
func (h *Result) marginsIn(bay order.Service) []float64 {
	if h.margins == nil {
		return nil
	}
	out := make([]float64, len(h.margins))
	for i, m := range h.margins {
		if whole := h.Service.Use(i).Volume; whole > 0 {
			out[i] = m * bay.Use(i).Volume / whole
		}
	}
	return out
}

// servedIn returns what the materials serve of a bay.
func (h *Result) servedIn(b *setout.Bay) (order.Service, order.Floor, error) {
	f := floorOf(b.Floor, b.Floor.FillTo(h.Filled.Fill.Target, order.Limits(h.Service.Materials)))
	service, err := order.Serve(f.Bands, h.Service.Materials)
	return service, f, err
}

// countBays makes the laid-out bays those of all outputs, and rewrites the warnings of
// the clock for them: bays of the job that can be placed in time settle the warning.
func (h *Result) countBays(chosen bool) error {
	s := h.Schedule
	if s == nil || s.Bays == 0 {
		return nil
	}
	s.Bays = len(h.Bays.Bays)
	if len(s.Stops) == 0 {
		return nil
	}
	placed, err := h.inBays()
	if err != nil {
		return err
	}
	var late []string
	for i, b := range h.Bays.Bays {
		if placed[i] > s.Bay*(1+1e-9) {
			late = append(late, b.Name)
		}
	}
	h.Notes = survey.Without(h.Notes, byClock)
	warn := func(format string, args ...any) {
		s.Stops = []survey.Note{survey.Notef(survey.Warning, survey.Pos{}, format, args...).About(survey.AboutOrder)}
		h.Notes = append(h.Notes, survey.By(byClock, s.Stops)...)
	}
	switch working := Minutes(s.Pace.Working); {
	case late != nil:
		warn("working time: the mix can be worked for %s, in which %s is placed; more is in bay %s of %d. Make it smaller, or place faster", working, unit.Volume(s.Bay), strings.Join(late, ", "), s.Bays)
	case !chosen:
		warn("working time: placing takes %s and the mix can be worked for %s: place it in the %d bays laid out (max %s each), or place faster", Minutes(s.Placing), working, s.Bays, unit.Volume(s.Bay))
	}
	return nil
}

// LiftsOf returns the max number of lifts that a part of the floor takes.
func (h *Result) LiftsOf(f *surface.Fill) int {
	most := 0
	for _, p := range h.Service.Parts {
		if p.From < f.Greatest && p.To > f.Least {
			most = max(most, p.Lifts)
		}
	}
	return most
}

// Bagged returns the only bagged material that fills the floor; nil if there is none, or
// if there are several.
func (h *Result) Bagged() *order.Material {
	if h.Service == nil || len(h.Service.Uses) != 1 {
		return nil
	}
	if m := &h.Service.Materials[h.Service.Uses[0].Material]; m.Yield > 0 {
		return m
	}
	return nil
}

// setting is what is marked and laid on the floor before the pour.
type setting struct {
	Exit    *surface.Vec
	Pins    *setout.Pins // nil if nothing is filled
	Bars    *setout.Bars
	Mesh    *setout.Mesh
	Bays    *setout.Bays
	BayBags []int // whole bags, if one bagged material fills the floor
	AllBags int

	BayMix    []float64 // m³ of each bay that comes by truck: that in the pump in the first, rounding up in the last; nil if nothing does
	BayTrucks [][]int   // the trucks that serve each bay, from 1

	BayUnserved []float64 // m³ of each bay that no material serves; nil if all is served
}

// setOut works out the marks on the floor.
func (h *Result) setOut() error {
	if h.Filled.Fill.Fill == 0 {
		return nil
	}
	e := h.entries()
	j, s := h.Job, &h.setting
	if j.Site.Exit != "" {
		v := e.place("site.exit", j.Site.Exit)
		lo, hi := h.Floor.Bounds()
		// An exit far from the floor belongs to another floor.
		if away := max(lo.X-v.X, v.X-hi.X, lo.Y-v.Y, v.Y-hi.Y); !(away <= 50) {
			e.refuse("site.exit", fmt.Sprintf("%q, %.4g m from the floor", j.Site.Exit, away), "a place at the floor, on the grid of the survey")
		}
		s.Exit = &v
	}
	target := h.Filled.Fill.Target
	step := e.length("pins.rule-step", j.Pins.RuleStep)
	rules := setout.PinRules{Spacing: e.length("pins.spacing", j.Pins.Spacing), WallSpacing: e.length("pins.wall-spacing", j.Pins.WallSpacing), FromWall: e.length("pins.from-wall", j.Pins.FromWall),
		Step: cmp.Or(step, stepOf(h.US)), Exit: s.Exit, US: h.US, Taken: h.shotNames()}
	if e.err != nil {
		return e.err
	}
	rules.Doubt = h.doubtAt(rules.Step)
	for _, d := range h.Survey.Drains() {
		rules.Drains = append(rules.Drains, surface.Vec{X: d.X, Y: d.Y})
	}
	pins, err := setout.SetPins(h.Floor, target, rules)
	e.failed("pins", err)
	h.weighPins(pins.Pins)
	s.Pins = &pins
	h.Notes = append(h.Notes, pins.Notes...)
	for _, step := range []func(*entries){h.cutBays, h.steel} {
		if err := cmp.Or(e.err, h.plan.stopped()); err != nil {
			return err
		}
		step(e)
	}
	return e.err
}

// shotNames lists the names of all shots of the survey.
func (h *Result) shotNames() []string {
	var out []string
	for _, list := range [][]survey.Point{h.Survey.Points, h.Survey.Finished, h.Survey.Control, h.Survey.Heights} {
		for i := range list {
			if name := list[i].Name(); name != "" {
				out = append(out, name)
			}
		}
	}
	return out
}

// steel lays out bars or mesh.
func (h *Result) steel(e *entries) {
	b, m, target := h.Job.Bars, h.Job.Mesh, h.Filled.Fill.Target
	switch {
	case e.err != nil:
	case b.Size == "" && b != (Bars{}):
		e.wanting("bars.size", "none", "a size of bar, #3, 10 or 10mm: %s", e.example("bars.size"))
	case m.SheetLength == "" && m != (Mesh{}):
		e.wanting("mesh.sheet-length", "none", "the length of a sheet: %s", e.example("mesh.sheet-length"))
	case b.Size != "" && m.SheetLength != "":
		e.refuse("mesh", "bars and mesh", "one of the two")
	case b.Size != "" && b.Spacing == "":
		e.wanting("bars.spacing", "none", "the distance from bar to bar: %s", e.example("bars.spacing"))
	case m.SheetLength != "" && m.SheetWidth == "":
		e.wanting("mesh.sheet-width", "none", "the width of a sheet: %s", e.example("mesh.sheet-width"))
	case b.Size != "":
		size, err := setout.BarNamed(b.Size)
		if _, number := setout.BarNamed("#" + b.Size); err != nil && number == nil {
			e.refuse("bars.size", strconv.Quote(b.Size), fmt.Sprintf("a number of bar with its mark, size = %q, or a diameter in mm", "#"+b.Size))
		}
		e.failed("bars.size", err)
		rules := setout.BarRules{Size: size, Spacing: e.length("bars.spacing", b.Spacing), SpacingY: e.length("bars.spacing-across", b.Across), Edge: e.length("bars.edge-cover", b.EdgeCover), Bottom: e.length("bars.bottom-cover", b.BottomCover),
			Top: e.length("bars.top-cover", b.TopCover), Stock: e.length("bars.stock-length", b.StockLength), Lap: e.length("bars.lap", b.Lap), ChairSpacing: e.length("bars.chair-spacing", b.ChairSpacing), US: h.US, Same: stepOf(h.US), Joints: h.JointLines, Dams: h.damLines()}
		if e.err != nil {
			return
		}
		bars, err := setout.LayBars(h.Floor.Parted(target), target, rules)
		e.failed("bars", err)
		h.Bars = &bars
		h.Notes = slices.Concat(h.Notes, h.acrossJoints("bars", h.JointsUndrawn), h.lapsOnEdges(), h.tooThin(&bars.Thin, "bars and their cover", "The list still counts bars there: end them at the hatching unless the designer wants something else"), bars.Notes)
	case m.SheetLength != "":
		rules := setout.MeshRules{Length: e.length("mesh.sheet-length", m.SheetLength), Width: e.length("mesh.sheet-width", m.SheetWidth), Mass: m.Mass, Lap: e.length("mesh.lap", m.Lap), Cover: e.length("mesh.cover", m.Cover), US: h.US}
		if e.err != nil {
			return
		}
		mesh, err := setout.LayMesh(h.Floor.Parted(target), target, rules)
		e.failed("mesh", err)
		h.Mesh = &mesh
		h.Notes = slices.Concat(h.Notes, h.acrossJoints("sheets", h.Joints != nil && h.Movement), h.tooThin(&mesh.Thin, "mesh and its cover", "Sheets are still counted there: ask the designer where to end them"), mesh.Notes)
	}
}

// LapsOnEdges says which laps are on a step or a dam, as no bar can end before it; empty if none
// is.
func (h *Result) LapsOnEdges() unit.Text {
	const named = 3
	if h.Bars == nil || len(h.Bars.LapsStuck) == 0 {
		return unit.Text{}
	}
	all := h.Bars.LapsStuck
	var at []unit.Text
	for _, p := range all[:min(len(all), named)] {
		at = append(at, unit.Textf("%s", Beside(h.Floor, p)))
	}
	where := unit.Join(at, "; ")
	if n := len(all) - named; n > 0 {
		where = unit.Textf("%s; and %d more", where, n)
	}
	are := "is"
	if len(all) > 1 {
		are = "are"
	}
	return unit.Textf("%s %s within %s of a step or a dam, and no bar can end before it: %s. Ask the designer where to lap there",
		survey.Plural(len(all), "lap"), are, unit.Depth(h.Bars.Rules.Edge), where)
}

// lapsOnEdges warns of them.
func (h *Result) lapsOnEdges() []survey.Note {
	text := h.LapsOnEdges()
	if text.String() == "" {
		return nil
	}
	return []survey.Note{survey.Notef(survey.Warning, survey.Pos{}, "%s", text).About(survey.AboutSteel)}
}

// damLines are the dams between the bays, as lines in plan.
func (h *Result) damLines() (out [][2]surface.Vec) {
	if h.Bays == nil {
		return nil
	}
	for _, d := range h.Bays.Dams {
		out = append(out, [2]surface.Vec{d.From, d.To})
	}
	return out
}

// acrossJoints warns of steel that the list has across movement joints.
func (h *Result) acrossJoints(steel string, across bool) []survey.Note {
	why := "the job gives their length only"
	switch {
	case !across:
		return nil
	case !h.JointsUndrawn:
		why = "sheets are cut on site"
	case len(h.JointLines) > 0:
		why = "the plan has only part of their length"
	}
	do := "do not cut or place steel until each joint is drawn"
	if !h.JointsUndrawn {
		do = "cut each sheet at the joint"
	}
	return []survey.Note{survey.Notef(survey.Warning, survey.Pos{}, "movement joints: this list has %s across them, as %s: %s. No steel may cross a movement joint: stop all of it on each side",
		steel, why, do).About(survey.AboutSteel)}
}

// tooThin warns where the fill is thinner than its steel needs. The places are the largest
// first; its thinnest point is found by tape.
func (h *Result) tooThin(thin *setout.Thin, steel, drawn string) []survey.Note {
	n := len(thin.Places)
	if n == 0 {
		return nil
	}
	dry := unit.Text{}
	if thin.Dry > 0 {
		dry = unit.Textf(", of which %s are not filled at all", unit.Area(thin.Dry))
	}
	where := "thinnest at"
	if n > 1 {
		size := "largest"
		if n == 2 {
			size = "larger"
		}
		where = fmt.Sprintf("in %d places; the %s is thinnest at", n, size)
	}
	return []survey.Note{survey.Notef(survey.Warning, survey.Pos{}, "too thin for %s (%s needed): %s%s, %s %s. %s",
		steel, unit.Depth(thin.Need), unit.Area(thin.Area), dry, where, Beside(h.Floor, thin.Places[0].At), drawn).About(survey.AboutSteel)}
}
