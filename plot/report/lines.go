package report

import (
	"math"

	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey/unit"
)

// orderTable is the order line by line: a line of the take-off, its volume and how it comes about; then
// what is needed, and the rounding up.
func orderTable(w *job.Filled, u unit.Style) table.Table {
	t := table.Table{Title: "The order line by line", Columns: columns("Line", "Volume>", "How")}
	var lines []float64
	need, up := order.Item{Name: neededLine, Volume: w.Takeoff.Need}, w.Delivery.Rounding
	row := func(l order.Item) {
		t.Rows = append(t.Rows, text(l.Name, u.PartVolume(l.Volume, largest(w)), l.How.In(u)))
	}
	for _, l := range w.Takeoff.Items {
		if l.Volume != 0 {
			row(l)
			lines = append(lines, l.Volume)
		}
	}
	row(need)
	if up.Name != "" {
		row(up)
	}
	step, ordered := u.PartStep(largest(w)), w.Delivery.Volume
	if !addUp(need.Volume, lines, step) || ordered > 0 && !addUp(ordered, []float64{need.Volume, up.Volume}, step) {
		t.Notes = append(t.Notes, roundedLines)
	}
	return t
}

// roundedLines is said where lines as shown do not add up to their total as shown.
const roundedLines = "Lines are rounded; totals are of the unrounded figures."

// addUp reports whether parts, each rounded to steps, add up to the rounded total.
func addUp(total float64, parts []float64, step float64) bool {
	sum := 0.0
	for _, p := range parts {
		sum += math.Round(p / step)
	}
	return sum == math.Round(total/step)
}

// largest is the volume that decides on the unit of all lines.
func largest(w *job.Filled) float64 { return max(w.Takeoff.Need, w.Delivery.Volume) }

// neededLine names the line of an order that adds up those above it.
const neededLine = "Needed"
