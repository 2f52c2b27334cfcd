package job

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"pourplane/surface"
	"pourplane/surface/best"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// bestFlags are the limits and the prices of the plane of least cost.
type bestFlags struct {
	best                                                     bool
	minDepth, maxDepth, maxFall, trip, fillPrice, grindPrice string
	mixPrice                                                 bool   // the price of the fill is that of the mix
	currency                                                 string // a word for the prices
}

// bestOf returns the limits and prices of a job. The price of its mix is that of the fill.
func bestOf(j *Job) bestFlags {
	t := &j.Target
	f := bestFlags{t.Best, t.MinDepth, t.MaxDepth, t.MaxFall, t.Trip, t.FillPrice, t.GrindPrice, false, j.Mix.Currency}
	if f.best && f.fillPrice == "" {
		for _, p := range []struct {
			price float64
			of    string
		}{{j.Mix.PricePerM3, "/m3"}, {j.Mix.PricePerYd3, "/yd3"}} {
			if p.price > 0 {
				f.fillPrice, f.mixPrice = strconv.FormatFloat(p.price, 'g', -1, 64)+p.of, true
			}
		}
	}
	return f
}

// limits lists what goes with the plane of least cost alone.
func (f *bestFlags) limits() []struct{ field, text string } {
	return []struct{ field, text string }{{"min-depth", f.minDepth}, {"max-depth", f.maxDepth}, {"max-fall", f.maxFall}, {"trip", f.trip}, {"fill-price", f.fillPrice}, {"grind-price", f.grindPrice}}
}

// given reports whether a plane of least cost is asked for, or anything that goes with it.
func (f *bestFlags) given() bool {
	for _, l := range f.limits() {
		if l.text != "" {
			return true
		}
	}
	return f.best
}

// check refuses settings that are wrong whatever the survey.
func (f *bestFlags) check(t *targetFlags) error {
	if !f.best {
		for _, l := range f.limits() {
			if l.text != "" {
				return misuse(l.field, "%s goes with the plane of least cost", unit.Ask(l.field, "")).Hinted("%s", unit.Ask("best", ""))
			}
		}
		return nil
	}
	doors := len(t.codes) > 0 || t.at != ""
	for _, o := range []struct{ field, text string }{{"target", t.target}, {"finish", t.finish}} {
		if o.text != "" {
			return misuse("best", "%s finds the height and the fall of the target, %s gives it; give one of them", unit.Ask("best", ""), unit.Ask(o.field, o.text)).
				Hinted("%s; %s for the floors that it meets", unit.LeaveOut(o.field), unit.Ask("finish-code", "CODE"))
		}
	}
	switch {
	case len(levelsIn(t.parts)) > 0:
		return misuse("best", "%s finds one plane for all parts that are filled; a part has a height of its own", unit.Ask("best", "")).Hinted("%s, or %s for parts that are not filled", unit.LeaveOut("best"), askPart("PART", notFilled))
	case len(t.ramps) > 0:
		return misuse("ramp", "%s finds one plane, within the range of each threshold; a ramp is not part of it", unit.Ask("best", "")).Hinted("%s; or %s with the height that it finds, and the ramp", unit.LeaveOut("ramp"), unit.Ask("target", "Z"))
	case t.drainFlags.given() || t.walls != "":
		return misuse("best", "%s finds one plane; a floor that falls to drains is not one", unit.Ask("best", "")).Hinted("%s, or %s", unit.LeaveOut("best"), unit.LeaveOut("drain"))
	case t.fall != 0 || t.toward != "" || t.direction != "":
		return misuse("best", "%s finds the fall itself; it can be limited", unit.Ask("best", "")).Hinted("%s in place of %s and %s; %s for a level target", unit.Ask("max-fall", percentOf(t.fall)), unit.Ask("fall", ""), unit.Ask("toward", ""), unit.Ask("max-fall", "0"))
	case t.rule != "lowest":
		return misuse("finish-rule", "%s meets each shot on the finished floor within its range; %s makes one plane of them", unit.Ask("best", ""), unit.Ask("finish-rule", "")).Hinted("%s", unit.LeaveOut("finish-rule"))
	case !doors && (t.buildup != "" || t.low != "" || f.trip != ""):
		field := "trip"
		if t.low != "" {
			field = "low"
		}
		if t.buildup != "" {
			field = "buildup"
		}
		return misuse(field, "%s is for thresholds, and no shots on a finished floor are named", unit.Ask(field, "")).Hinted("%s, or %s", unit.Ask("finish-code", "CODE"), unit.Ask("finish-at", "NAME"))
	case !doors && f.minDepth+f.maxDepth+f.maxFall+f.fillPrice+f.grindPrice == "":
		return misuse("best", "nothing says what the plane must keep: no thresholds, no limits, no prices").
			Hinted("%s %s, %s, %s, or %s", unit.Ask("finish-code", "CODE"), unit.Ask("buildup", "H"), unit.Ask("min-depth", "H"), unit.Ask("max-fall", "0"), unit.Ask("grind-price", "P"))
	}
	return nil
}

// Best is the plane of least cost, and what decides it.
type Best struct {
	Plane     surface.Plane
	Fill, Cut float64 // m³; the fill covers what is ground as well
	Cost      float64 // in m³ if the prices are taken as equal
	Priced    bool    // Cost is money
	Currency  string
	FillPrice float64 // per m³
	Grind     float64 // price per m³; +Inf: nothing is ground
	MinDepth  float64 // m
	Cover     float64 // cost saved per metre that the least depth is less
	Held      []Held
	Limits    []Limit // the same, those that are loosened together in one
	Level     bool    // no fall was allowed

	ground *best.Ground
	spec   best.Spec
	curved sync.Once
	curve  []Traded
	failed error
}

// Held is a limit that the plane of least cost is at.
type Held struct {
	ID     string // such as "door:D1"
	kind   best.Kind
	where  unit.Text
	Text   unit.Text // "D1 no higher"
	At     surface.Vec
	Placed bool    // At is set
	Fall   bool    // Saves is by a fall
	Saves  float64 // cost per metre that it is loosened; of a fall, per unit of slope
}

// Limit is a limit with what is saved if it is loosened.
type Limit struct {
	Text  unit.Text
	Loose string // how it is loosened: "more", "less", "more trip"
	Fall  bool   // Saves is per unit of slope
	Saves float64
}

// Grinds reports whether anything may be ground.
func (b *Best) Grinds() bool { return !math.IsInf(b.Grind, 1) }

// Covers returns the fill over what is ground off, m³, that a fill to the plane does not have. The
// plane is raised by h, m, and is then filled to by fill over area. It is 0 without a plane of least
// cost.
func (b *Best) Covers(h, fill, area float64) float64 {
	if b == nil || b.Cut == 0 || b.MinDepth == 0 {
		return 0
	}
	return max(0, b.Fill+h*area-fill)
}

// noRounding is a volume that is ground off, m³, 0 where it is the rounding of a floor that is the
// plane itself.
func noRounding(cut float64) float64 {
	if cut < 1e-9 {
		return 0
	}
	return cut
}

// Traded is a plane of least cost at another price of grinding.
type Traded struct {
	Ratio     float64 // price of grinding to price of fill; +Inf: nothing is ground
	Plane     surface.Plane
	Fill, Cut float64 // m³
	Cost      float64 // at the prices of the job; +Inf
	Here      bool    // the plane of the job
}

// tradedAt are the ratios of prices of a curve. Own choice: half to sixteen times.
var tradedAt = []float64{0.5, 1, 2, 4, 8, 16, math.Inf(1)}

// Curve returns the planes of least cost at other prices of grinding, from much ground to
// nothing, with that of the job in its place. It is nil if nothing may be ground.
func (b *Best) Curve() ([]Traded, error) {
	b.curved.Do(func() { b.curve, b.failed = b.trade() })
	return b.curve, b.failed
}

func (b *Best) trade() ([]Traded, error) {
	if !b.Grinds() {
		return nil, nil
	}
	own := b.Grind / b.FillPrice
	ratios := slices.Clone(tradedAt)
	i, same := slices.BinarySearch(ratios, own)
	if !same {
		ratios = slices.Insert(ratios, i, own)
	}
	points, err := bestCurve(b.ground, b.spec, ratios)
	if err != nil {
		return nil, err
	}
	var out []Traded
	for _, p := range points {
		t := Traded{Ratio: p.Ratio, Plane: p.Plane, Fill: p.Fill, Cut: noRounding(p.Cut), Cost: p.Cost, Here: p.Ratio == own}
		if t.Here {
			t.Plane, t.Fill, t.Cut, t.Cost = b.Plane, b.Fill, b.Cut, b.Cost
		}
		out = append(out, t)
	}
	return out, nil
}

// toBest makes the target of p the plane of least cost.
func (f *targetFlags) toBest(p *planned, l *Lengths, s *survey.Survey, floor *surface.Floor) error {
	us := s.Unit.Imperial()
	spec, err := f.bestSpec(l, us)
	if err != nil {
		return err
	}
	if spec.Places, p.notes, err = f.bestDoors(l, s, spec.Level); err != nil {
		return err
	}
	ground := groundFor(floor)
	found, err := bestPlane(ground, spec)
	if clash := (*best.Clash)(nil); errors.As(err, &clash) {
		return f.clash(clash, spec, l, us)
	}
	if err != nil {
		return misuse("best", "%v", err)
	}
	b := &Best{Plane: found.Plane, Fill: found.Fill, Cut: found.Cut, Cost: found.Cost, Priced: f.fillPrice != "" || f.inMoney(), FillPrice: spec.FillPrice, Grind: spec.GrindPrice,
		MinDepth: spec.MinDepth, Cover: found.Cover, Level: spec.Level, ground: ground, spec: spec}
	b.Currency = f.currency
	b.Cut = noRounding(b.Cut)
	if f.volume != "" && b.MinDepth > 0 && b.Cut > 0 {
		return misuse("volume", "the floor is ground for the least depth first: how high a volume then fills it is not worked out").Hinted("%s, or %s", unit.LeaveOut("volume"), unit.LeaveOut("min-depth"))
	}
	b.hold(found)
	trip := 0.0
	if slices.ContainsFunc(b.Held, func(h Held) bool { return h.byDoor() }) {
		trip = b.tripSaves()
	}
	b.group(trip)
	p.best, p.plane = b, found.Plane
	p.notes = append(p.notes, f.bestNotes(b, floor)...)
	return nil
}

// inMoney reports whether grinding has a price of its own.
func (f *bestFlags) inMoney() bool {
	_, relative, _ := timesFill(f.grindPrice)
	return f.grindPrice != "" && f.grindPrice != "none" && !relative
}

// bestSpec reads limits and prices. Without a price fill and grinding cost the same.
func (f *targetFlags) bestSpec(l *Lengths, us bool) (spec best.Spec, err error) {
	if err := l.into(lengthValue{"min-depth", f.minDepth, &spec.MinDepth}, lengthValue{"max-depth", f.maxDepth, &spec.MaxDepth}); err != nil {
		return spec, err
	}
	if f.maxDepth != "" && spec.MaxDepth < spec.MinDepth {
		return spec, misuse("max-depth", "%s is less than %s", unit.Ask("max-depth", f.maxDepth), unit.Ask("min-depth", f.minDepth)).Hinted("%s no less than the least depth", unit.Ask("max-depth", "H"))
	}
	if f.maxFall != "" {
		percent, err := parseSlope(f.maxFall)
		if err != nil {
			return spec, wantedOf("max-fall", f.maxFall, err)
		}
		spec.MaxFall, spec.Level = percent/100, percent == 0
	}
	spec.FillPrice, spec.GrindPrice = math.NaN(), math.NaN()
	times, relative, err := timesFill(f.grindPrice)
	if err != nil {
		return spec, wantedOf("grind-price", f.grindPrice, err)
	}
	if f.fillPrice != "" {
		if spec.FillPrice, err = parsePrice(f.fillPrice, us); err != nil {
			return spec, wantedOf("fill-price", f.fillPrice, err)
		}
	}
	switch {
	case f.grindPrice == "none":
		spec.GrindPrice = best.NoGrinding
	case f.grindPrice != "" && !relative:
		if spec.GrindPrice, err = parsePrice(f.grindPrice, us); err != nil {
			return spec, wantedOf("grind-price", f.grindPrice, err)
		}
	}
	noFill := math.IsNaN(spec.FillPrice)
	switch {
	case noFill && spec.GrindPrice > 0 && !math.IsInf(spec.GrindPrice, 1):
		spec.FillPrice = spec.GrindPrice
	case noFill:
		spec.FillPrice = 1
	}
	switch {
	case relative:
		spec.GrindPrice = times * spec.FillPrice
	case math.IsNaN(spec.GrindPrice):
		spec.GrindPrice = spec.FillPrice
	}
	return spec, nil
}

// wantedOf refuses the value of a field by what its reader wants.
func wantedOf(field, text string, err error) *survey.Error {
	var w unit.Wanted
	if errors.As(err, &w) {
		return misused(field, strconv.Quote(text), w.Want)
	}
	return misused(field, strconv.Quote(text), err.Error())
}

// timesFill reads a price of grinding that is given as that of the fill so many times: 4x.
func timesFill(text string) (times float64, relative bool, err error) {
	number := strings.TrimRight(strings.ToLower(strings.TrimSpace(text)), "x×")
	if number == strings.ToLower(strings.TrimSpace(text)) {
		return 0, false, nil
	}
	times, err = strconv.ParseFloat(strings.TrimSpace(number), 64)
	if err != nil || !(times > 0) || times > mostTimes {
		return 0, false, unit.Wanted{Want: "so many times the price of the fill, such as 4x, more than 0"}
	}
	return times, true, nil
}

// mostTimes is how many times the fill grinding may cost. Own choice.
const mostTimes = 1e6

// TimesText is the value of grind-price for a ratio of prices.
func TimesText(ratio float64) string {
	if math.IsInf(ratio, 1) {
		return "none"
	}
	return strconv.FormatFloat(ratio, 'g', -1, 64) + "x"
}

// highestPrice is the most that a volume may cost: beyond it a sum cannot be read. Own choice.
const highestPrice = 1e12

// parsePrice reads a price of a volume, per m³: 160/m3, 115/yd3, or a bare number of the system
// of the survey.
func parsePrice(text string, us bool) (float64, error) {
	wrong := unit.Wanted{Want: "a price of a volume such as 160/m3 or 115/yd3, more than 0"}
	number, of, given := strings.Cut(strings.ReplaceAll(strings.ToLower(strings.TrimSpace(text)), " per ", "/"), "/")
	per := 1.0
	switch of = strings.TrimSpace(of); {
	case given:
		v, err := unit.ParseVolume("1" + of)
		if err != nil || !(v > 0) {
			return 0, wrong
		}
		per = v
	case us:
		per = order.CubicYard
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if err != nil || !(v > 0) || v > highestPrice {
		return 0, wrong
	}
	return v / per, nil
}

// bestDoors are the ranges of the top of fill at the thresholds: with limits of the bed what it can
// make up, else the build-up, and both ways the change of level that is allowed.
func (f *targetFlags) bestDoors(l *Lengths, s *survey.Survey, level bool) (places []best.Place, notes []survey.Note, err error) {
	if len(f.codes) == 0 && f.at == "" {
		return nil, nil, nil
	}
	on := f.finishShots(s)
	switch {
	case len(on) == 0 && f.at != "":
		return nil, nil, noShot(s, "finish-at", f.at, "the name of a shot on the adjoining finished floor")
	case len(on) == 0:
		return nil, nil, f.noCode(s)
	case f.buildup == "" && f.bedMost == "":
		return nil, nil, NoBuildup(s.Unit.Imperial())
	}
	for i := range s.Heights {
		if p := &s.Heights[i]; f.chosen(p) && !level {
			return nil, nil, (&survey.Error{Pos: p.At(), Element: cmp.Or(p.Name(), "shot on the finished floor"), Found: "no position", Want: "its x and y: a target that may fall is held there"}).Hinted("%s for a level target, or give its x and y", unit.Ask("max-fall", "0"))
		}
	}
	if notes, err = f.placeless(s, surface.Plane{}); err != nil {
		return nil, nil, err
	}
	_, c, err := f.thresholds(l, s, surface.Plane{})
	if err != nil {
		return nil, nil, err
	}
	var buildup, low, trip float64
	if err := l.into(lengthValue{"buildup", f.buildup, &buildup}, lengthValue{"low", f.low, &low}, lengthValue{"trip", f.trip, &trip}); err != nil {
		return nil, nil, err
	}
	thin, thick := buildup, buildup
	if f.bedMost != "" {
		thin, thick = c.Thickness+c.Least, c.Thickness+c.Greatest
	}
	var ranges []unit.Text
	for _, d := range on {
		at := best.Place{Name: cmp.Or(d.Name(), "the shot at "+d.At().String()), At: surface.Vec{X: d.X, Y: d.Y}, Least: d.Z - thick - low - trip, Most: d.Z - thin - low + trip}
		if math.IsNaN(d.X + d.Y) {
			at.At = surface.Vec{}
		}
		places = append(places, at)
		if len(ranges) < mostRanges {
			ranges = append(ranges, rangeText(&at))
		}
	}
	if more := len(places) - len(ranges); more > 0 {
		ranges = append(ranges, unit.Textf("%d more", more))
	}
	return places, append(notes, survey.Notef(survey.Assumed, survey.Pos{}, "the top of fill may be: %s", unit.Join(ranges, ", ")).About(survey.AboutTarget)), nil
}

// mostRanges is how many thresholds a note lists with their ranges.
const mostRanges = 8

func rangeText(p *best.Place) unit.Text {
	if p.Least == p.Most {
		return unit.Textf("%s at %s", unit.ElevationDown(p.Most), p.Name)
	}
	return unit.Textf("%s to %s at %s", unit.ElevationDown(p.Least), unit.ElevationDown(p.Most), p.Name)
}

// hold words what binds.
func (b *Best) hold(found *best.Best) {
	for _, o := range found.Binding {
		h := Held{At: o.At, Saves: o.Price, kind: o.Kind}
		place := cmp.Or(o.Name, strconv.FormatFloat(o.At.X, 'g', 10, 64)+","+strconv.FormatFloat(o.At.Y, 'g', 10, 64))
		where := unit.Textf("%s", At(o.At))
		if o.Name != "" {
			where = unit.Textf("%s", o.Name)
		}
		h.where = where
		switch h.Placed = true; o.Kind {
		case best.MinDepth:
			h.ID, h.Text = "least-depth:"+place, unit.Textf("the least depth at %s", where)
		case best.MaxDepth:
			h.ID, h.Text = "max-depth:"+place, unit.Textf("the max depth at %s", where)
		case best.MaxFall:
			h.ID, h.Text, h.Fall, h.Placed = "max-fall", unit.Textf("the max fall"), true, false
		case best.Level:
			h.ID, h.Text, h.Fall, h.Placed = "level", unit.Textf("the level target"), true, false
		default:
			h.ID = "door:" + o.Name
			switch {
			case o.Fixed:
				h.ID, h.Text = "fixed:"+o.Name, unit.Textf("%s", o.Name)
			case o.Kind == best.Highest:
				h.Text = unit.Textf("%s no higher", o.Name)
			default:
				h.Text = unit.Textf("%s no lower", o.Name)
			}
		}
		b.Held = append(b.Held, h)
	}
}

// tripSaves returns the cost saved per metre that the change of level allowed at all thresholds is
// more: several doors may hold the plane together, and none of them alone.
func (b *Best) tripSaves() float64 {
	const more = 1e-6 // m
	looser := b.spec
	looser.Places = slices.Clone(b.spec.Places)
	for i := range looser.Places {
		looser.Places[i].Least -= more
		looser.Places[i].Most += more
	}
	found, err := bestPlane(b.ground, looser)
	if err != nil { // more room leaves no less than there was
		return 0
	}
	return max(0, b.Cost-found.Cost) / more
}

// byDoor reports whether a limit is that of a threshold.
func (h *Held) byDoor() bool { return h.kind == best.Highest || h.kind == best.Lowest }

// mostDoors is how many thresholds are named that hold a plane. Own choice.
const mostDoors = 4

// group joins the places of a depth, and the thresholds: one setting loosens all of them. trip is
// what a metre more at all thresholds saves. Where high spots are ground, the least depth holds
// the plane at no one place.
func (b *Best) group(trip float64) {
	doors := Limit{Loose: "more trip", Saves: trip}
	var names []unit.Text
	for i := range b.Held {
		if b.Held[i].byDoor() {
			names = append(names, b.Held[i].Text)
		}
	}
	if n := len(names); n > mostDoors {
		names = append(names[:mostDoors], unit.Textf("%d more", n-mostDoors))
	}
	if len(names) > 0 {
		doors.Text = unit.Join(names, ", ")
		b.Limits = append(b.Limits, doors)
	}
	for _, kind := range []best.Kind{best.MinDepth, best.MaxDepth} {
		one := Limit{Loose: "more"}
		var where []unit.Text
		for _, h := range b.Held {
			if h.kind == kind {
				one.Saves += h.Saves
				where = append(where, h.where)
			}
		}
		if len(where) == 0 {
			continue
		}
		one.Text = unit.Textf("max depth at %s", unit.Join(where, ", "))
		if kind == best.MinDepth {
			one.Text, one.Loose = unit.Textf("least depth at %s", unit.Join(where, ", ")), "less"
		}
		b.Limits = append(b.Limits, one)
	}
	for _, h := range b.Held {
		if h.kind != best.MinDepth && h.kind != best.MaxDepth && !h.byDoor() {
			b.Limits = append(b.Limits, Limit{Text: h.Text, Loose: "more", Fall: h.Fall, Saves: h.Saves})
		}
	}
	if b.MinDepth > 0 && b.Grinds() {
		b.Limits = append(b.Limits, Limit{Text: unit.Textf("least depth of %s", unit.Depth(b.MinDepth)), Loose: "less", Saves: b.Cover})
	}
}

// clash refuses limits that no plane keeps, with what frees them.
func (f *targetFlags) clash(c *best.Clash, spec best.Spec, l *Lengths, us bool) error {
	var names, ways []unit.Text
	doors := false
	for _, o := range c.Limits {
		alone := o.Alone
		way := func(field, value string) {
			if !math.IsInf(alone, 1) {
				ways = append(ways, unit.Textf("%s", unit.Ask(field, value)))
			}
		}
		switch o.Kind {
		case best.Level:
			names = append(names, unit.Textf("a level target"))
			way("max-fall", percentUp(alone))
		case best.MaxFall:
			names = append(names, unit.Textf("a fall of no more than %.4g %%", 100*spec.MaxFall))
			way("max-fall", percentUp(spec.MaxFall+alone))
		case best.MinDepth:
			names = append(names, unit.Textf("a depth of no less than %s without grinding", unit.Depth(spec.MinDepth)))
			way("min-depth", lengthDown(spec.MinDepth-alone, us))
			ways = append(ways, unit.Textf("%s", unit.Ask("grind-price", "P")))
		case best.MaxDepth:
			names = append(names, unit.Textf("a depth of no more than %s", unit.Depth(spec.MaxDepth)))
			way("max-depth", lengthUp(spec.MaxDepth+alone, us))
		default:
			doors = true
			i := slices.IndexFunc(spec.Places, func(p best.Place) bool { return p.Name == o.Name && p.At == o.At })
			if p := &spec.Places[i]; o.Kind == best.Highest {
				names = append(names, unit.Textf("%s, no higher than %s", o.Name, unit.ElevationDown(p.Most)))
			} else {
				names = append(names, unit.Textf("%s, no lower than %s", o.Name, unit.ElevationDown(p.Least)))
			}
		}
	}
	if doors && !math.IsInf(c.Ranges, 1) {
		trip := 0.0
		if err := l.into(lengthValue{"trip", f.trip, &trip}); err != nil {
			return err
		}
		ways = append(ways, unit.Textf("%s", unit.Ask("trip", lengthUp(trip+c.Ranges, us))))
	}
	e := misuse("best", "no plane keeps these: %s", unit.Join(names, "; "))
	if len(ways) == 0 {
		return e.Hinted("leave one of them out")
	}
	return e.Hinted("%s: the least that frees it", unit.Join(ways, ", or "))
}

// lengthUp writes a length as an option, rounded up to 0.1 mm or 1/100 in; lengthDown rounds down.
func lengthUp(m float64, us bool) string { return lengthText(m, us, math.Ceil, -1e-6) }

func lengthDown(m float64, us bool) string { return lengthText(m, us, math.Floor, 1e-6) }

func lengthText(m float64, us bool, round func(float64) float64, hair float64) string {
	step, per, name := 1e-4, 10.0, "mm"
	if us {
		step, per, name = unit.Inch.Metres()/100, 100.0, "in"
	}
	return strconv.FormatFloat(round(m/step+hair)/per, 'f', -1, 64) + name
}

// percentUp writes a fall as an option, rounded up to 0.01 %.
func percentUp(fall float64) string {
	return strconv.FormatFloat(math.Ceil(fall*1e4-1e-6)/100, 'f', -1, 64) + "%"
}

// percentOf writes the fall of an option, 1 % if there is none.
func percentOf(s slope) string {
	return strconv.FormatFloat(cmp.Or(float64(s), 1), 'g', 4, 64) + "%"
}
