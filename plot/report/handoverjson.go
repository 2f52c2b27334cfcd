package report

import (
	"encoding/json"
	"fmt"
	"math"

	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey/unit"
)

// handoverJSON is the part that a job adds to the object of fill --json. Fields are added,
// never renamed; parts not asked for are left out.
type handoverJSON struct {
	Materials []materialJSON `json:"materials,omitempty"`
	Unserved  []unservedJSON `json:"depths_not_served,omitempty"`
	Clock     *clockJSON     `json:"clock,omitempty"`
	Ways      []wayJSON      `json:"ways,omitempty"`
	Coats     []coatJSON     `json:"coats,omitempty"`
	Edge      *edgeJSON      `json:"edge,omitempty"`
	Joints    *jointJSON     `json:"joints,omitempty"`
	Bars      *barsJSON      `json:"bars,omitempty"`
	Mesh      *meshJSON      `json:"mesh,omitempty"`
	Pins      *pinsJSON      `json:"pins,omitempty"`
	Bays      []bayJSON      `json:"bays,omitempty"`
	Dams      []damJSON      `json:"dams,omitempty"`
	Total     *totalJSON     `json:"total,omitempty"`
}

type materialJSON struct {
	Name   string   `json:"name"`
	Area   float64  `json:"area_m2"`
	Volume float64  `json:"volume_m3"` // allowance included
	Bags   int      `json:"bags"`      // 0: sold by volume
	Cost   *float64 `json:"cost"`      // null: no price
	Net    float64  `json:"net_m3"`
	Weight float64  `json:"unit_weight_kg_m3"`
	Mass   float64  `json:"mass_kg"` // of the net volume in place
	shareJSON
}

type unservedJSON struct {
	From   float64  `json:"from_m"`
	To     float64  `json:"to_m"`
	Area   float64  `json:"area_m2"`
	Volume float64  `json:"volume_m3"`
	Why    string   `json:"why"`
	Ways   []string `json:"instead"`
	Weight float64  `json:"unit_weight_kg_m3,omitempty"` // by which the load counts it, that of the heaviest material; not for a way
	Mass   float64  `json:"mass_kg,omitempty"`
}

type clockJSON struct {
	Placing float64     `json:"placing_min"`
	Ends    float64     `json:"ends_min"`
	Bay     float64     `json:"bay_m3"` // placed within the working time; 0: unknown
	Bays    int         `json:"bays"`
	Trucks  []truckJSON `json:"trucks"`
}

// truckJSON counts minutes from the arrival of the first truck.
type truckJSON struct {
	Volume  float64 `json:"volume_m3"`
	Batched float64 `json:"batched_min"`
	Arrives float64 `json:"arrives_min"`
	Starts  float64 `json:"starts_min"`
	Ends    float64 `json:"empty_min"`
	Late    float64 `json:"too_late_m3"`
}

type wayJSON struct {
	Name       string         `json:"name"`
	Layers     []layerJSON    `json:"layers"`
	Area       float64        `json:"works_on_m2"`
	MeanLoad   float64        `json:"mean_load_kg_m2"`
	MostLoad   float64        `json:"greatest_load_kg_m2"`
	Cost       *float64       `json:"cost"` // null: a price is missing
	Lacking    []string       `json:"without_price"`
	DryLeast   float64        `json:"dry_least_days"`
	DryMost    float64        `json:"dry_most_days"`
	DryHow     string         `json:"dry_how"`
	Needs      []string       `json:"needs"`
	Engineer   []string       `json:"engineer"`
	NotWorking []unservedJSON `json:"does_not_work"`
	Weight     float64        `json:"besides_layers_kg_m2"` // a frame, whose layers have no unit weight
	Mass       float64        `json:"mass_kg"`              // where it works
}

type layerJSON struct {
	Name     string  `json:"name"`
	Least    float64 `json:"least_m"`
	Greatest float64 `json:"greatest_m"`
	Volume   float64 `json:"volume_m3"`
	Bags     int     `json:"bags"`
	Weight   float64 `json:"unit_weight_kg_m3"`
	Mass     float64 `json:"mass_kg"`
}

type coatJSON struct {
	Name    string  `json:"name"`
	Mixed   float64 `json:"mixed_l"`
	Product float64 `json:"product_l"`
	Water   float64 `json:"water_l"`
	Packs   int     `json:"packs"`
	Cost    float64 `json:"cost"`
}

type edgeJSON struct {
	Length     float64 `json:"walls_m"`
	FilmHeight float64 `json:"film_height_m"`
	FilmLength float64 `json:"film_length_m"`
	FilmArea   float64 `json:"film_area_m2"`
	Rolls      int     `json:"film_rolls,omitempty"`
	FoamLength float64 `json:"foam_length_m"`
	FoamHeight float64 `json:"foam_height_m"`
	Pieces     int     `json:"foam_pieces,omitempty"`
}

type jointJSON struct {
	Kind   string  `json:"kind"`
	Length float64 `json:"length_m"`
	Cut    float64 `json:"cut_m"`
	Strip  float64 `json:"strip_m,omitempty"`
	Filler float64 `json:"filler_l"`
	Packs  int     `json:"packs"`
	Rod    float64 `json:"rod_m"`
}

type barsJSON struct {
	Size      string      `json:"size"`
	Count     int         `json:"count"`
	Laps      int         `json:"laps"`
	Length    float64     `json:"length_m"`
	Mass      float64     `json:"mass_kg"`
	Stock     int         `json:"stock_bars"`
	StockMass float64     `json:"stock_mass_kg"`
	TooThin   float64     `json:"too_thin_m2"`
	Need      float64     `json:"depth_needed_m"`
	Cuts      []cutJSON   `json:"cuts"`
	Chairs    []chairJSON `json:"chairs"`
}

type cutJSON struct {
	Mark   string  `json:"mark"`
	Count  int     `json:"count"`
	Length float64 `json:"length_m"`
}

type chairJSON struct {
	Height float64 `json:"height_m"`
	Count  int     `json:"count"`
}

type meshJSON struct {
	Sheets int     `json:"sheets"`
	Area   float64 `json:"laid_m2"`
	Lapped float64 `json:"lapped_m2"`
	Mass   float64 `json:"mass_kg"`
}

type pinsJSON struct {
	Count    int            `json:"count"`
	Least    string         `json:"least"`
	Greatest string         `json:"greatest"`
	Start    string         `json:"start"`
	InDoubt  []pinDoubtJSON `json:"in_doubt,omitempty"` // those to check before setting
	Places   []pinJSON      `json:"places"`
}

type pinJSON struct {
	Name    string     `json:"name"`
	At      [2]float64 `json:"at"`
	Depth   float64    `json:"depth_m"`
	DepthSD *float64   `json:"depth_sd_m"` // null: not measured
}

type pinDoubtJSON struct {
	Pin     string `json:"pin"`
	Reading string `json:"reading"` // in doubt, that its height depends on
}

type bayJSON struct {
	Name       string   `json:"name"`
	Area       float64  `json:"area_m2"`
	Fill       float64  `json:"fill_m3"`
	Neighbours []string `json:"beside"`
	Lifts      int      `json:"lifts,omitempty"`           // of listed materials, at the max depth of the bay
	Mix        *float64 `json:"mix_by_truck_m3,omitempty"` // with losses: those of the pump in the first bay, rounding up in the last
	Trucks     []int    `json:"from_trucks,omitempty"`     // from 1
}

// damJSON is a dam between two bays. Its heights are the fill beside it, at a step on the
// lower side.
type damJSON struct {
	Name   string     `json:"name"`
	Bays   [2]string  `json:"between"`
	From   [2]float64 `json:"from_xy_m"`
	To     [2]float64 `json:"to_xy_m"`
	Length float64    `json:"length_m"`
	Min    float64    `json:"height_min_m"`
	Max    float64    `json:"height_max_m"`
	Step   bool       `json:"along_step"`
}

// costOf is null if a price is missing.
func costOf(c order.Cost) *float64 {
	if !c.Known() {
		return nil
	}
	return &c.Amount
}

// unserved lists depths that are not served; weight is the unit weight used for them, kg/m³,
// 0 for none.
func unserved(all []order.Problem, weight float64, own unit.Style) []unservedJSON {
	out := []unservedJSON{}
	for _, p := range all {
		ways := []string{}
		for _, w := range p.Ways {
			ways = append(ways, w.In(own))
		}
		out = append(out, unservedJSON{p.From, p.To, p.Area, p.Volume, p.Text.In(own), ways, weight, p.Volume * weight})
	}
	return out
}

// JobResult is the object of fill --json and the part that a job adds.
type JobResult struct {
	Result
	handoverJSON
	Flatness *FlatJSON `json:"flatness,omitempty"`
}

// JSON writes the result of a job as in its result.json.
func (h *Handover) JSON() ([]byte, error) {
	r := JobResult{Result: NewResult(h.Filled), handoverJSON: h.numbers()}
	r.Heights = heightsJSON(h.Result.Heights(job.HeightStep(h.Survey.Unit.Imperial()), job.HeightsAround), r.Target.target)
	if h.Judged != nil {
		one := NewFlat(h.Judged)
		r.Flatness = &one
	}
	return Indented(r)
}

// Indented writes a result for other programs.
func Indented(v any) ([]byte, error) {
	data, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("the result cannot be written as JSON: %w", err)
	}
	return append(data, '\n'), nil
}

// numbers returns the part that a job adds.
func (h *Handover) numbers() handoverJSON {
	own := unit.StyleOf(h.Survey.Plan, h.Survey.Unit) // of texts: what is shown changes nothing here
	r := handoverJSON{Total: h.totalOf(own)}
	if s := h.Service; s != nil {
		for _, u := range h.Bought {
			net := s.Use(u.Material)
			r.Materials = append(r.Materials, materialJSON{s.Materials[u.Material].Name, u.Area, u.Volume, u.Bags, costOf(u.Cost), net.Volume, net.Weight, net.Mass, shareOf(h.Filled, u.Material)})
		}
		r.Unserved = unserved(s.Problems, s.Heaviest(), own)
	}
	if s := h.Schedule; s != nil {
		r.Clock = &clockJSON{s.Placing.Minutes(), s.Ends.Minutes(), s.Bay, s.Bays, []truckJSON{}}
		for _, t := range s.Trucks {
			r.Clock.Trucks = append(r.Clock.Trucks, truckJSON{t.Volume, t.Batched.Minutes(), t.Arrives.Minutes(), t.Starts.Minutes(), t.Ends.Minutes(), t.Late})
		}
	}
	for _, w := range h.Ways {
		one := wayJSON{Name: w.Name, Layers: []layerJSON{}, Area: w.Area, MeanLoad: w.Load.Mean, MostLoad: w.Load.Most, Cost: costOf(w.Cost), Lacking: append([]string{}, w.Cost.Lacking...),
			DryLeast: math.Round(w.Drying.Least.Hours() / 24), DryMost: math.Round(w.Drying.Most.Hours() / 24), DryHow: w.Drying.How.In(own), Needs: w.Needs, Engineer: w.Engineer, NotWorking: unserved(w.Problems, 0, own), Weight: w.Weight, Mass: w.Load.Mass}
		for _, l := range w.Laid {
			one.Layers = append(one.Layers, layerJSON{l.Name, l.Least, l.Greatest, l.Volume, l.Bags, l.UnitWeight, l.Mass})
		}
		r.Ways = append(r.Ways, one)
	}
	for _, c := range h.Coats {
		r.Coats = append(r.Coats, coatJSON{c.Name, c.Mixed, c.Product, c.Coating.Water, c.Packs, c.Cost})
	}
	if e := h.Edging; e != nil {
		r.Edge = &edgeJSON{e.Length, e.FilmHeight, e.FilmLength, e.FilmArea, e.Rolls, e.FoamLength, e.FoamHeight, e.Pieces}
	}
	if k := h.Joints; k != nil {
		r.Joints = &jointJSON{h.jointKind(), h.JointRun, k.Cut, k.Strip, k.Filler, k.Packs, k.Rod}
	}
	if b := h.Bars; b != nil {
		r.Bars = &barsJSON{b.Rules.Size.Name, b.Count, b.Laps, b.Total, b.Mass, b.Stock, b.StockMass, b.Thin.Area, b.Thin.Need, []cutJSON{}, []chairJSON{}}
		for _, c := range b.Cuts {
			r.Bars.Cuts = append(r.Bars.Cuts, cutJSON{c.Mark, c.Count, c.Length})
		}
		for _, c := range b.ChairCount {
			r.Bars.Chairs = append(r.Bars.Chairs, chairJSON{c.Height, c.Count})
		}
	}
	if m := h.Mesh; m != nil {
		r.Mesh = &meshJSON{m.Count, m.Area, m.Lapped, m.Mass}
	}
	if p := h.Pins; p != nil {
		r.Pins = &pinsJSON{Count: len(p.Pins), Least: p.Least.Name, Greatest: p.Greatest.Name, Start: p.Start.Name}
		for _, q := range p.Pins {
			one := pinJSON{Name: q.Name, At: pt(q.At), Depth: q.Depth}
			if q.SD > 0 {
				one.DepthSD = &q.SD
			}
			r.Pins.Places = append(r.Pins.Places, one)
			if q.Doubt != "" {
				r.Pins.InDoubt = append(r.Pins.InDoubt, pinDoubtJSON{q.Name, q.Doubt})
			}
		}
	}
	if h.Bays != nil {
		for i, b := range h.Bays.Bays {
			one := bayJSON{Name: b.Name, Area: b.Fill.Area, Fill: b.Fill.Fill, Neighbours: append([]string{}, b.Neighbours...)}
			if h.BayMix != nil {
				one.Mix, one.Trucks = &h.BayMix[i], h.BayTrucks[i]
			}
			if h.Service != nil {
				one.Lifts = h.LiftsOf(&b.Fill)
			}
			r.Bays = append(r.Bays, one)
		}
		for _, d := range h.Bays.Dams {
			r.Dams = append(r.Dams, damJSON{d.Name, d.Bays, pt(d.From), pt(d.To), d.Length, d.Least, d.Height, d.Line == 0})
		}
	}
	return r
}
