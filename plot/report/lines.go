package report

import (
	"math"

	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/surface/setout"
	"pourplane/survey/unit"
)

// orderTable is the order line by line: a line of the take-off, its volume and how it comes about; then
// what is needed, and the rounding up.
func orderTable(w *job.Filled, u unit.Style) table.Table {
	t := table.Table{Title: "The order line by line", Columns: columns("Line", "Volume>", "How")}
	lines, need, up := shownLines(w, u)
	for _, l := range append(lines, need, up) {
		if l.Name != "" {
			t.Rows = append(t.Rows, text(l.Name, u.PartVolume(l.Volume, largest(w)), l.How.In(u)))
		}
	}
	return t
}

// largest is the volume that decides on the unit of all lines.
func largest(w *job.Filled) float64 { return max(w.Takeoff.Need, w.Delivery.Volume) }

// neededLine names the line of an order that adds up those above it.
const neededLine = "Needed"

// shownLines are the non-zero lines of the take-off, except the rounding up, with volumes in
// m³ of whole last digits as shown. They add up to need, and need plus up to the order, to
// the last digit. The net volume keeps its nearest figure, which is also shown elsewhere;
// the difference goes to the largest of the others.
func shownLines(w *job.Filled, u unit.Style) (lines []order.Item, need, up order.Item) {
	per := u.PartStep(largest(w))
	digits := func(v float64) float64 { return math.Round(v / per) }
	need, up = order.Item{Name: neededLine, Volume: w.Takeoff.Need}, w.Delivery.Rounding
	var parts []float64
	for _, l := range w.Takeoff.Items {
		if l.Volume != 0 {
			lines, parts = append(lines, l), append(parts, l.Volume/per)
		}
	}
	if len(parts) == 0 {
		return nil, need, up
	}
	whole := digits(need.Volume)
	rest := whole - digits(lines[0].Volume) // for the lines below the net volume
	large := 1
	for i := 1; i < len(parts); i++ {
		rest -= parts[i]
		if parts[i] > parts[large] {
			large = i
		}
	}
	if len(parts) > 1 && parts[large]+rest >= 0 {
		parts[0] = digits(lines[0].Volume)
		parts[large] += rest
	} else {
		whole = need.Volume / per
	}
	shares, err := setout.Apportion(whole, parts, 0)
	if err != nil {
		return lines, need, up // unrounded: a volume that cannot be divided was refused before
	}
	sum := 0.0
	for i, v := range shares {
		lines[i].Volume = v * per
		sum += v
	}
	need.Volume = sum * per
	if order := w.Delivery.Volume; order > 0 {
		up.Volume = (digits(order) - sum) * per
	}
	return lines, need, up
}
