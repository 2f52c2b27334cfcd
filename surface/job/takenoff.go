package job

import (
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// takenOff is what the job orders, by truck and in bags, with its sum: "8.25 yd³ by truck and 7
// bags of repair mortar (0.11 yd³), together 8.36 yd³". Empty if nothing is ordered.
func (h *Result) takenOff() unit.Text {
	var parts []unit.Text
	sum := 0.0
	if v := h.Delivery.Volume; v > 0 {
		how := "by truck"
		if h.OnSite {
			how = "mixed on site"
		}
		parts, sum = append(parts, unit.Textf("%s %s", order.SoldIn(v, h.Mix.Step, h.own()), how)), sum+v
	}
	bags := func(n int, of string, v float64) {
		parts, sum = append(parts, unit.Textf("%s of %s (%s)", survey.Plural(n, "bag"), of, unit.Volume(v))), sum+v
	}
	if b := h.Bag; b != nil {
		bags(b.Count, b.Name, float64(b.Count)*b.Yield)
	}
	for _, u := range h.Bought {
		if m := h.Service.Materials[u.Material]; m.Yield > 0 && u.Bags > 0 {
			bags(u.Bags, m.Name, float64(u.Bags)*m.Yield)
		}
	}
	text := unit.Join(parts, " and ")
	if len(parts) > 1 {
		text = unit.Textf("%s, together %s", text, unit.Volume(sum))
	}
	return text
}
