package job

import (
	"pourplane/surface"
	"pourplane/surface/blunder"
	"pourplane/surface/falls"
	"pourplane/surface/order"
	"pourplane/surface/uncertainty"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Filled is the complete result of a fill, for the screen and for the JSON.
type Filled struct {
	Title      string
	Survey     *survey.Survey
	Floor      *surface.Floor // its triangles are split where the target bends
	Old        *surface.Floor // as triangulated from the survey, whatever the target is
	US         bool           // usual figures are whole in feet and inches
	Fill       surface.Fill   // its bands are those of the survey's system; see [Filled.BandsIn]
	Mix        order.Mix
	Losses     order.Losses
	plan       *filling
	plant      order.Plant
	Takeoff    order.Takeoff
	Delivery   order.Delivery
	Bags       []unit.Text    // orders in bags
	smallBags  bool           // less than [order.BagsBelow] is ordered in usual bags
	Bag        *bagOrder      // order in usual bags, if the volume is too small for a plant; else nil
	orderNotes []survey.Note  // from the take-off with usual figures
	Thin       order.Band     // part with less depth than concrete is usually laid, if no material has its own limits
	bonded     bool           // the job bonds the fill to the old floor
	Mixed      string         // what comes by truck, if a job names it: "of topping concrete"
	Open       bool           // too thin for concrete, and no other material is named: nothing is ordered
	Unserved   order.Band     // part that no material of the job serves: in no order and no price
	OnSite     bool           // mixed on site: no trucks
	Weighs     string         // text of the unit weights, if there are several
	Found      *surface.Found // nil if the shots carry no plane
	Thresholds []surface.Threshold
	Covering   surface.Covering
	Covered    bool           // a build-up or covering was given
	Surveyed   bool           // thresholds of the floor as surveyed, not as planned
	Finish     surface.Target // finished floor from a finish rule; nil without one
	FinishedBy []survey.Point // the shots that the rule takes it from
	Brought    *Brought       // the volume that is placed, if it is given
	Best       *Best          // the plane of least cost; nil unless it is the target
	raised     *Best          // the plane of least cost that the target was raised from
	Falls      *falls.Built   // falls to drains; nil without any
	Ramps      []Ramp         // between the target and thresholds
	RaisedBy   float64        // m, by which the target is above these falls
	Falling    *falling       // a sloped target on its floor; nil for a level one
	Design     *Design        // a surface from a file that is the target; else nil
	NotFilled  []PartLeft     // parts of the floor that are not filled
	Blunders   []blunder.Finding
	MaxDoubt   unit.Text        // " (depends on shot 24, in doubt)", where the max depth does
	Profiles   [][2]surface.Vec // lines of the profiles
	Water      []*Standing      // on the floor and on the finished target; nil unless asked for
	Notes      []survey.Note

	sure   func() *Sure              // nil: see [Filled.Sure]
	model  func() *uncertainty.Model // nil likewise: what the shots say of the floor
	margin float64                   // m³, see [order.Losses]
	prices prices

	service *order.Service     // the materials of a job; nil without any
	bought  func() []order.Use // of them, allowance included
	shares  func() []Share     // nil: see [Filled.Shares]
	margins []float64          // m³ by material, as margin; nil without a risk
}

// bagOrder is an order in bags of one kind.
type bagOrder struct {
	order.Bag
	order.Bags
	Name string // "25 kg concrete mix"
}

// Ordered is what is ordered by truck, m³, or where all of it comes in bags, what they yield.
func (w *Filled) Ordered() float64 {
	switch {
	case w.Bag != nil:
		return float64(w.Bag.Count) * w.Bag.Yield
	case w.Mix.Order > 0 || w.service == nil:
		return w.Mix.Order
	}
	sum := 0.0
	for _, u := range w.bought() {
		sum += float64(u.Bags) * w.service.Materials[u.Material].Yield
	}
	return sum
}

// Lines returns the lines of the take-off that are not zero, and the rounding up.
func (w *Filled) Lines() []order.Item {
	var out []order.Item
	for _, l := range w.Takeoff.Items {
		if l.Volume != 0 {
			out = append(out, l)
		}
	}
	if len(out) > 0 && w.Delivery.Rounding.Name != "" {
		out = append(out, w.Delivery.Rounding)
	}
	return out
}

// UnservedText describes the part that no material serves: "0.57 m³ over 8.62 m² that no
// material serves". Empty if all is served.
func (w *Filled) UnservedText() unit.Text {
	if w.Unserved.Area == 0 {
		return unit.Text{}
	}
	return unit.Textf("%s over %s that no material serves", unit.SmallVolume(w.Unserved.Volume), unit.Area(w.Unserved.Area))
}
