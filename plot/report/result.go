package report

import (
	"math"
	"path/filepath"
	"slices"

	"pourplane/surface"
	"pourplane/surface/blunder"
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

func suspectOf(b blunder.Finding) suspect {
	sure := &b.Sure
	if b.Kind == blunder.Lone {
		sure = nil
	}
	out := suspect{b.Shot.At().File, b.Shot.At().Line, b.Shot.Name(), b.Shot.Z, b.Fits, b.Off,
		string(b.Kind), b.Found, b.WouldFit, sure, b.Other.Name, b.Other.At.Line, b.Between[0].At.Line, b.Between[1].At.Line, []alternative{}, b.VolumeChange, b.Doubt}
	for _, a := range b.Also {
		out.Also = append(out.Also, alternative{string(a.Kind), a.WouldFit})
	}
	return out
}

// Result is the output of fill --json. Other tools rely on it: fields are added, never
// renamed. Everything is SI; depth is positive where fill is needed.
type Result struct {
	Area       float64      `json:"area_m2"`
	Perimeter  float64      `json:"perimeter_m"`
	StepLength float64      `json:"step_length_m"`
	Sloped     float64      `json:"sloped_area_m2"`
	Fill       float64      `json:"fill_m3"`
	Cut        float64      `json:"cut_m3"`
	FillArea   float64      `json:"fill_area_m2"`
	CutArea    float64      `json:"cut_area_m2"`
	Depth      depthJSON    `json:"depth_m"`
	Target     plannedJSON  `json:"target"`
	Volume     *volumeJSON  `json:"volume,omitempty"` // none if no volume is given
	Best       *bestJSON    `json:"best,omitempty"`   // none unless the target is the plane of least cost
	TIN        tinJSON      `json:"tin"`
	Points     pointJSON    `json:"points"`
	Bands      []band       `json:"bands"`
	Heights    []heightJSON `json:"heights"` // the target a step at a time down and up
	Fitted     float64      `json:"extrapolated_area_m2"`
	FittedFill float64      `json:"extrapolated_fill_m3"`
	Regions    []region     `json:"regions"`
	Order      orderJSON    `json:"order"`
	Thresholds []threshold  `json:"thresholds"`
	Found      *found       `json:"floor_as_found"`
	Suspects   []suspect    `json:"suspects"`

	sureJSON
	Ramps    []rampJSON     `json:"ramps,omitempty"`
	Water    *[]pondJSON    `json:"water,omitempty"` // the ponds; left out where not asked for
	Drainage []drainageJSON `json:"drainage,omitempty"`

	Level    *levels  `json:"level_book,omitempty"`
	Assumed  []string `json:"assumed"`
	Warnings []string `json:"warnings"`
	Cautions []string `json:"cautions"`
}

type depthJSON struct {
	Min   float64    `json:"min"`
	Mean  float64    `json:"mean"`
	Max   float64    `json:"max"`
	MinAt [2]float64 `json:"min_at"`
	MaxAt [2]float64 `json:"max_at"`

	MeanFilled *float64 `json:"mean_where_filled"` // of the part below the target; null: there is none

	MinSD *float64 `json:"min_depth_sd_m"` // null: not measured
	MaxSD *float64 `json:"max_depth_sd_m"`
}

type target struct {
	Z      *float64   `json:"z_m"` // null where parts have targets of their own
	At     [2]float64 `json:"at"`
	SlopeX *float64   `json:"slope_x"` // null unless the target is one plane
	SlopeY *float64   `json:"slope_y"`
}

// plannedJSON is the target and its figures on the floor.
type plannedJSON struct {
	target
	Kind       string      `json:"kind"`       // plane, falls, regions or surface
	LeastFall  float64     `json:"least_fall"` // rise over run, over the floor
	Drains     []drainJSON `json:"drains"`
	Surface    *designJSON `json:"surface"`    // a surface from a file that is the target; else null
	Parts      []partJSON  `json:"parts"`      // each with its target, where they have their own
	NotFilled  []leftJSON  `json:"not_filled"` // parts that are in none of the figures
	Least      float64     `json:"least_m"`    // over the floor
	LeastAt    [2]float64  `json:"least_at"`
	Greatest   float64     `json:"greatest_m"`
	GreatestAt [2]float64  `json:"greatest_at"`
	Toward     *towardJSON `json:"toward"` // null for a level target, or one that falls in a direction
}

// drainJSON is a drain that the target falls to from all sides.
type drainJSON struct {
	Name      string     `json:"name"`
	At        [2]float64 `json:"at"`
	To        [2]float64 `json:"to"`  // the other end of a channel; of a drain the same place
	Z         float64    `json:"z_m"` // of the target
	Area      float64    `json:"area_m2"`
	LeastFall float64    `json:"least_fall"`
}

// towardJSON is the place that a target falls to.
type towardJSON struct {
	Name      string     `json:"name"` // of the shot there
	At        [2]float64 `json:"at"`
	Z         float64    `json:"z_m"`      // of the target
	Lower     float64    `json:"lower_m"`  // how far the target continues below it
	LowerAt   [2]float64 `json:"lower_at"` // where it is lowest
	LowerArea float64    `json:"lower_area_m2"`
}

type tinJSON struct {
	Vertices  int `json:"vertices"`
	Triangles int `json:"triangles"`
}

func tinOf(f *surface.Floor) tinJSON {
	var out tinJSON
	for _, r := range f.Regions {
		out.Vertices += len(r.TIN.Z)
		out.Triangles += r.TIN.Len()
	}
	return out
}

type pointJSON struct {
	Read     int        `json:"read"`
	Used     int        `json:"used"`
	Finished int        `json:"finished"`
	Control  int        `json:"control"` // with drains
	Drains   int        `json:"drains"`
	Outline  int        `json:"outline"`
	Rejected []rejected `json:"rejected"`
}

type rejected struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Reason string `json:"reason"`
}

type band struct {
	From   float64 `json:"from_m"`
	To     float64 `json:"to_m"`
	Area   float64 `json:"area_m2"`
	Volume float64 `json:"volume_m3"`

	AreaSD   *float64 `json:"area_sd_m2"` // null: not measured
	VolumeSD *float64 `json:"volume_sd_m3"`
	Area90   *float64 `json:"area_within90_m2"` // within ± of the area with a probability of 90 %
	Volume90 *float64 `json:"volume_within90_m3"`
}

type region struct {
	Name  string    `json:"name"`
	Area  float64   `json:"area_m2"`
	Fill  float64   `json:"fill_m3"`
	Cut   float64   `json:"cut_m3"`
	Depth depthJSON `json:"depth_m"`

	FillSD *float64 `json:"fill_sd_m3"` // null: not measured
}

type orderJSON struct {
	Net        float64  `json:"net_m3"`
	Allowance  float64  `json:"allowance"` // a share: 0.05 is 5 %
	Step       float64  `json:"step_m3"`
	Order      *float64 `json:"order_m3,omitempty"` // of bags what they yield; none where no material is chosen
	OrderYards *float64 `json:"order_yd3,omitempty"`
	UnitWeight float64  `json:"unit_weight_kg_m3"`
	Mass       float64  `json:"mass_kg"` // of the net volume in place
	MeanLoad   float64  `json:"mean_load_kg_m2"`
	MostLoad   float64  `json:"greatest_load_kg_m2"`

	Lines  []lineJSON `json:"lines"` // of the take-off; rounding up is the last
	Trucks int        `json:"trucks"`
	Full   float64    `json:"truck_m3"`
	Last   float64    `json:"last_truck_m3"`
	Bags   *bagsJSON  `json:"bags"`          // of dry concrete, for an order too small for a plant; else null
	Needed float64    `json:"needed_m3"`     // before rounding up, of all materials
	Open   bool       `json:"material_open"` // too thin for concrete nearly everywhere: nothing is ordered
	Thin   *thinJSON  `json:"too_thin"`      // where the fill is thinner than concrete is usually laid; else null

	Risk    *float64   `json:"risk"`     // of running short, with all of the allowance spilled; null: not measured
	ForRisk []riskJSON `json:"for_risk"` // orders for other risks; none where nothing is ordered, or it is not measured

	Wrong    *float64  `json:"wrong_cost"` // mean cost of mix left over and of second deliveries; null: a price is missing
	Cheapest *riskJSON `json:"cheapest"`   // the order with the least such cost, with the risk that it has; null: likewise
}

// setOrder adds what is ordered, m³.
func (o *orderJSON) setOrder(w *job.Filled) {
	if w.Open {
		return
	}
	v := w.Ordered()
	yards := v / order.CubicYard
	o.Order, o.OrderYards = &v, &yards
}

// bagsJSON is an order in usual bags: there are no trucks.
type bagsJSON struct {
	Count int     `json:"count"`
	Mass  float64 `json:"bag_kg"`
	Yield float64 `json:"yield_m3"` // of a bag
}

// thinJSON is floor with less fill than a usual min thickness.
type thinJSON struct {
	Least  float64 `json:"least_m"`
	Area   float64 `json:"area_m2"`
	Volume float64 `json:"volume_m3"`
}

type lineJSON struct {
	Name   string  `json:"name"`
	Volume float64 `json:"volume_m3"`
	How    string  `json:"how"`
}

// threshold is a place on adjoining finished floor.
type threshold struct {
	Name     string      `json:"name"`
	Code     string      `json:"code"`
	At       *[2]float64 `json:"at"` // null without a position
	Finish   float64     `json:"finish_m"`
	Top      float64     `json:"top_of_fill_m"`
	Room     float64     `json:"room_m"`            // for covering and bed
	Bed      *float64    `json:"bed_m"`             // makes the covering flush; null when no covering is given
	Laid     *float64    `json:"bed_laid_m"`        // within its limits, or as planned
	Least    *float64    `json:"bed_least_m"`       // null without limits
	Greatest *float64    `json:"bed_greatest_m"`    // null without limits
	Change   *float64    `json:"change_of_level_m"` // positive: the new floor is higher; null when there is no covering
	Residual *float64    `json:"residual_m"`        // above the finished plane that the rule made; null without a rule
}

// found is the shape of the old floor.
type found struct {
	Shots     int        `json:"shots"`
	Plane     target     `json:"plane"`
	PlaneSD   float64    `json:"plane_sd_m"`
	Robust    target     `json:"robust_plane"`
	Spread    float64    `json:"robust_spread_m"`
	WorstOff  float64    `json:"worst_off_m"`
	WorstName string     `json:"worst_point"`
	WorstAt   [2]float64 `json:"worst_at"`
	BowlSD    *float64   `json:"second_order_sd_m"`
}

type suspect struct {
	File  string  `json:"file"`
	Line  int     `json:"line"`
	Point string  `json:"point"`
	Found float64 `json:"found_m"`
	Fits  float64 `json:"would_fit_m"`
	Off   float64 `json:"off_m"`

	Kind         string        `json:"kind"` // its look
	Reading      string        `json:"found"`
	WouldFit     string        `json:"would_fit"`
	Sure         *float64      `json:"sure"` // 0 to 1, share among all explanations; null: one of too few shots to weigh them
	Other        string        `json:"other_point"`
	OtherLine    int           `json:"other_line"`
	Earliest     int           `json:"earliest_line"` // instrument moved: the first row before which it may have moved, at odds of 19 to 1; else 0
	Latest       int           `json:"latest_line"`
	Also         []alternative `json:"also"`             // explanations that fit equally well; empty when one is named
	VolumeChange float64       `json:"volume_change_m3"` // of the fill at the target; in read of a fill to a level above the whole floor
	Doubt        bool          `json:"doubt"`            // a real hump or hollow between the other shots would read the same
}

type alternative struct {
	Kind     string `json:"kind"`
	WouldFit string `json:"would_fit"`
}

type levels struct {
	Setups     []setup  `json:"setups"`
	Benchmark  string   `json:"benchmark"`
	Elevation  float64  `json:"elevation_m"`
	SumBS      float64  `json:"sum_bs_m"`
	SumFS      float64  `json:"sum_fs_m"`
	Misclosure *float64 `json:"misclosure_m"` // observed minus known; null when the book does not close
	Allowable  *float64 `json:"allowable_m"`
	Closing    string   `json:"closing"`
}

type setup struct {
	Name string  `json:"name"`
	HI   float64 `json:"hi_m"`
}

// depthsOf are the depths of fills.
func depthsOf(w *job.Filled, fills []surface.Fill) []depthJSON {
	var places []surface.Vec
	for _, f := range fills {
		places = append(places, f.LeastAt, f.GreatestAt)
	}
	known := w.DepthsAt(places)
	var out []depthJSON
	for i, f := range fills {
		out = append(out, depthJSON{f.Least, f.Mean, f.Greatest, pt(f.LeastAt), pt(f.GreatestAt), finite(f.Fill / f.FillArea), finite(known[2*i].SD), finite(known[2*i+1].SD)})
	}
	return out
}

func planeJSON(p surface.Plane) target {
	return target{&p.Z, [2]float64{p.At.X, p.At.Y}, &p.SlopeX, &p.SlopeY}
}

// targetJSON is a target over a floor. One that is no plane is given where it is highest, without
// slopes.
func targetJSON(t surface.Target, floor *surface.Floor) target {
	if p, ok := surface.IsPlane(t); ok {
		return planeJSON(p)
	}
	_, greatest, _, at := floor.RangeOf(t)
	if _, ok := t.(surface.PartTargets); ok {
		return target{At: pt(at)}
	}
	return target{Z: &greatest, At: pt(at)}
}

func plannedOf(w *job.Filled) plannedJSON {
	out := plannedJSON{target: targetJSON(surface.WithoutRamps(w.Fill.Target), w.Floor)}
	out.Kind, out.Drains = "plane", []drainJSON{}
	out.Parts, out.NotFilled = partsJSON(w), leftOf(w.NotFilled)
	if len(w.Ramps) > 0 {
		out.Kind = "surface"
	}
	out.LeastFall, _, _, _ = w.Floor.FallsOf(w.Fill.Target) // a floor that cannot be split has been refused
	if w.Falls != nil {
		out.Kind, out.LeastFall = "falls", math.Inf(1)
		for _, d := range w.Falls.Served {
			ends := d.Ends()
			out.LeastFall = min(out.LeastFall, d.LeastFall)
			out.Drains = append(out.Drains, drainJSON{d.Name, pt(ends[0]), pt(ends[len(ends)-1]), d.Z + w.RaisedBy, d.Area, d.LeastFall})
		}
	}
	if w.Design != nil {
		out.Kind = "surface"
		out.Surface = &designJSON{filepath.Base(w.Design.File), w.Design.Name, w.Design.Triangles, w.Design.Lowered}
	}
	if len(out.Parts) > 0 {
		out.Kind = "regions"
	}
	var least, greatest surface.Vec
	out.Least, out.Greatest, least, greatest = w.Floor.RangeOf(w.Fill.Target)
	out.LeastAt, out.GreatestAt = pt(least), pt(greatest)
	if f := w.Falling; f != nil && f.Place != nil {
		out.Toward = &towardJSON{f.Name, pt(*f.Place), f.Z, f.Lower, pt(f.Beyond.At), f.Beyond.Area}
	}
	return out
}

func NewResult(w *job.Filled) Result {
	s, floor, f, m := w.Survey, w.Floor, w.Fill, w.Mix
	own := unit.StyleOf(s.Plan, s.Unit) // of texts: what is shown changes nothing here
	depths := depthsOf(w, append([]surface.Fill{f}, f.Regions...))
	r := Result{
		Area: f.Area, Perimeter: floor.Perimeter, StepLength: floor.StepLength, Sloped: f.Sloped,
		Fill: f.Fill, Cut: f.Cut, FillArea: f.FillArea, CutArea: f.CutArea,
		Depth:  depths[0],
		Target: plannedOf(w),
		Volume: volumeOf(w),
		Best:   bestOf(w.Best),
		TIN:    tinOf(w.Old),
		Points: pointJSON{Read: s.Rows, Used: floor.Used, Finished: len(s.Finished), Control: len(s.Control), Drains: len(s.Drains()), Rejected: []rejected{}},
		Fitted: f.FittedArea, FittedFill: f.FittedFill,
		Regions: []region{},
		Order: orderJSON{m.Net, m.Allowance, m.Step, nil, nil, m.UnitWeight,
			m.Load.Mass, m.Load.Mean, m.Load.Most, []lineJSON{}, w.Delivery.Trucks, w.Delivery.Full, w.Delivery.Last, nil, w.Needed(), w.Open, nil, nil, nil, nil, nil},
		sureJSON:   newSureJSON(w),
		Thresholds: []threshold{}, Suspects: []suspect{},
		Assumed: []string{}, Warnings: []string{}, Cautions: []string{},
	}
	r.Order.setOrder(w)
	r.Order.setRisks(w)
	if b := w.Bag; b != nil {
		r.Order.Bags = &bagsJSON{b.Count, b.Bag.Mass, b.Yield}
	}
	if t := w.Thin; t.Area > 0 {
		r.Order.Thin = &thinJSON{t.To, t.Area, t.Volume}
	}
	for _, ring := range s.Rings {
		r.Points.Outline += len(ring.Points)
	}
	for _, l := range w.Lines() {
		r.Order.Lines = append(r.Order.Lines, lineJSON{l.Name, l.Volume, l.How.In(own)})
	}
	sure := w.Sure()
	for i, b := range w.Fill.Bands {
		one := band{From: b.From, To: b.To, Area: b.Area, Volume: b.Volume}
		if sure != nil && sure.Known {
			of := sure.Bands(w.Fill.Bands)[i]
			one.AreaSD, one.VolumeSD = finite(of.Area.SD), finite(of.Volume.SD)
			one.Area90, one.Volume90 = finite(of.Area.Within), finite(of.Volume.Within)
		}
		r.Bands = append(r.Bands, one)
	}
	for i, p := range f.Regions {
		one := region{Name: floor.Regions[i].Name, Area: p.Area, Fill: p.Fill, Cut: p.Cut, Depth: depths[i+1]}
		if sure != nil && sure.Known {
			one.FillSD = &sure.Regions()[i]
		}
		r.Regions = append(r.Regions, one)
	}
	for i := range w.Thresholds {
		r.Thresholds = append(r.Thresholds, thresholdOf(w, &w.Thresholds[i]))
	}
	if d := w.Found; d != nil {
		r.Found = &found{d.Shots, planeJSON(d.Plane), d.PlaneSD, planeJSON(d.Robust), d.Spread, d.Off, d.Worst.Name(), [2]float64{d.Worst.X, d.Worst.Y}, nil}
		if d.HasBowl {
			r.Found.BowlSD = &d.BowlSD
		}
	}
	for _, b := range w.Blunders {
		r.Suspects = append(r.Suspects, suspectOf(b))
	}
	r.Ramps = rampsJSON(w)
	r.Water, r.Drainage = waterJSON(w.Water)
	r.Heights = heightsJSON(w.Heights(job.HeightStep(w.Survey.Unit.Imperial()), job.HeightsAround), r.Target.target)
	r.Level = levelsOf(s.Book)
	r.Assumed, r.Warnings, r.Cautions, r.Points.Rejected = notesByKind(slices.Concat(mostlyShort(w, own), w.Notes), own)
	return r
}

// levelsOf is the level book in short; nil without one.
func levelsOf(b *survey.Book) *levels {
	if b == nil {
		return nil
	}
	out := &levels{SumBS: b.Checks.SumBS, SumFS: b.Checks.SumFS, Setups: []setup{}}
	if len(b.Benchmarks) > 0 {
		out.Benchmark, out.Elevation = b.Benchmarks[0].Name, b.Benchmarks[0].Elevation
	}
	if c := b.Main(); c != nil {
		m := c.Misclosure()
		out.Misclosure, out.Allowable, out.Closing = &m, &c.Allowable, c.On
	}
	for _, u := range b.Setups {
		out.Setups = append(out.Setups, setup{u.Name, u.HI})
	}
	return out
}

func thresholdOf(w *job.Filled, t *surface.Threshold) threshold {
	out := threshold{Name: t.Point.Name(), Code: t.Point.Code(), Finish: t.Point.Z, Top: t.Top, Room: t.Room}
	if !math.IsNaN(t.Point.X + t.Point.Y) {
		out.At = &[2]float64{t.Point.X, t.Point.Y}
	}
	if w.Covering.Thickness > 0 {
		out.Bed, out.Laid = &t.Bed, &t.Laid
	}
	if w.Covering.Greatest > 0 {
		out.Least, out.Greatest = &w.Covering.Least, &w.Covering.Greatest
	}
	if w.Covered {
		out.Change = &t.Change
	}
	if w.Finish != nil && w.SetBy(t.Point) {
		off := t.Point.Z - w.Finish.Elevation(surface.Vec{X: t.Point.X, Y: t.Point.Y})
		out.Residual = &off
	}
	return out
}
