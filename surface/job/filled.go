package job

import (
	"pourplane/surface"
	"pourplane/surface/blunder"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Filled is everything that was worked out, for the screen and for the JSON.
type Filled struct {
	Title      string
	Survey     *survey.Survey
	Floor      *surface.Floor
	Style      unit.Style
	Levels     []float64 // limits of the depth bands, m
	Fill       surface.Fill
	Bands      []surface.Band // of the JSON, whatever is shown
	Mix        order.Mix
	Losses     order.Losses
	plant      order.Plant
	Takeoff    order.Takeoff
	Delivery   order.Delivery
	Bags       []string       // orders in bags
	Bag        *bagOrder      // of a usual bag, where no plant would deliver as little; else nil
	orderNotes []survey.Note  // of the take-off by usual figures
	Thin       order.Band     // filled thinner than concrete is usually laid, where no material has limits of its own
	Mixed      string         // what comes by the truck, where a job names it: "of topping concrete"
	Open       bool           // too thin for concrete, and no other material is named: nothing is ordered
	Unserved   order.Band     // all that no material of the job may be laid in: in no order and no price
	OnSite     bool           // mixed there: no trucks
	Weighs     string         // at what unit weight, where it is not one
	Found      *surface.Found // nil when the shots carry no plane
	Thresholds []surface.Threshold
	Covering   surface.Covering
	Covered    bool           // a build-up or covering was given
	Surveyed   bool           // thresholds are those of the floor as it is, not as it is planned
	Finish     *surface.Plane // of the finished floor, made by a rule
	Falling    *falling       // how a sloped target lies; nil for a level one
	Blunders   []blunder.Finding
	Profiles   [][2]surface.Vec // lines to draw the floor along
	Notes      []survey.Note
}

// bagOrder is an order in bags of one kind.
type bagOrder struct {
	order.Bag
	order.Bags
	Name string // "25 kg concrete mix"
}

// Lines are those of the take-off that are not zero, and the rounding up.
func (w *Filled) Lines() []order.Line {
	var out []order.Line
	for _, l := range w.Takeoff.Lines {
		if l.Volume != 0 {
			out = append(out, l)
		}
	}
	if len(out) > 0 && w.Delivery.Rounding.Name != "" {
		out = append(out, w.Delivery.Rounding)
	}
	return out
}

// UnservedText is what no material serves, as a sum is named without it: "0.57 m³ over
// 8.62 m² that no material serves". Empty where all is served.
func (w *Filled) UnservedText() unit.Text {
	if w.Unserved.Area == 0 {
		return unit.Text{}
	}
	return unit.Textf("%s over %s that no material serves", SmallVolume(w.Unserved.Volume), unit.Area(w.Unserved.Area))
}
