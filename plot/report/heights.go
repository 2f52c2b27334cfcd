package report

import (
	"fmt"
	"math"
	"strings"

	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// heightTable is what the floor takes with its target step by step up and down. currency is that
// of the prices.
func heightTable(w *job.Filled, rows []job.Tried, currency string, u unit.Style) table.Table {
	m := measuresOf(u)
	has := func(is func(job.Tried) bool) bool {
		for _, r := range rows {
			if is(r) {
				return true
			}
		}
		return false
	}
	plane, level := surface.IsPlane(w.Fill.Target)
	level = level && plane.Level()
	cut := has(func(r job.Tried) bool { return r.Cut > 0 })
	open := has(func(r job.Tried) bool { return r.Need > 0 })
	order := open || has(func(r job.Tried) bool { return r.Order > 0 })
	bags := has(func(r job.Tried) bool { return r.Bags > 0 })
	cost := has(func(r job.Tried) bool { return r.Cost != nil })
	unserved := has(func(r job.Tried) bool { return r.Unserved > 0 })

	t := table.Table{Title: "Other heights", Columns: []table.Column{numbers("Target up", m.thinName, 4)}}
	add := func(here bool, c table.Column) {
		if here {
			t.Columns = append(t.Columns, c)
		}
	}
	add(level, numbers("Target", u.Elevations().String(), 3))
	add(true, numbers("Fill", m.volumeName, 3))
	add(cut, numbers("Cut", m.volumeName, 3))
	add(true, numbers("Min depth", m.thinName, 2))
	add(true, numbers("Max depth", m.thinName, 2))
	add(true, numbers("Weight", m.massName, 0))
	add(order, numbers("To order", m.volumeName, 2))
	add(bags, numbers("Bags", "", 0))
	add(cost, table.Column{Name: "Cost", Unit: currency, Right: true, Decimals: 2, Grouped: true})
	var cuts []float64
	for _, r := range rows {
		cuts = append(cuts, r.Cut)
	}
	write := handVolumesLike(u, cuts...)
	for _, r := range rows {
		up := u.Depth(r.Raise)
		switch {
		case r.Raise > 0:
			up = "+" + up
		case r.Raise == 0:
			up = "as it is"
		}
		row := []table.Cell{table.Quantity(up, job.Rounded(r.Raise/m.thin, 1e-6))}
		cell := func(here bool, c table.Cell) {
			if here {
				row = append(row, c)
			}
		}
		none := table.Text("—")
		orElse := func(known bool, c table.Cell) table.Cell {
			if known {
				return c
			}
			return none
		}
		z := plane.Z + r.Raise
		cell(level, table.Quantity(u.ElevationDown(z), z/u.Elevations().Metres()))
		cell(true, m.volumeCell(r.Fill))
		above := none
		if r.Cut > 0 {
			above.Text = write(r.Cut)
		}
		cell(cut, table.Quantity(above.Text, r.Cut/m.volume))
		cell(true, m.depthCell(r.Least))
		cell(true, m.depthCell(r.Greatest))
		cell(true, m.massCell(r.Mass))
		cell(order, orElse(r.Order+r.Need > 0, m.volumeCell(r.Order+r.Need)))
		cell(bags, orElse(r.Bags > 0, table.Number(float64(r.Bags))))
		amount := 0.0
		if r.Cost != nil {
			amount = *r.Cost
		}
		cell(cost, orElse(r.Cost != nil, table.Number(amount)))
		if r.Raise == 0 {
			for i := range row {
				row[i].Bold = true
			}
		}
		t.Rows = append(t.Rows, row)
	}
	if cost {
		t.Notes = append(t.Notes, "Cost: of what is ordered for the fill, at the prices of the job.")
	}
	if open {
		t.Notes = append(t.Notes, "Where it is too thin for concrete and no material is chosen, to order is what is needed, not rounded up.")
	}
	if unserved {
		t.Notes = append(t.Notes, "Without a cost: no material serves some of the depths.")
	}
	if has(func(r job.Tried) bool { return r.Unknown }) {
		t.Notes = append(t.Notes, "Without an order: it is refused at that height.")
	}
	return t
}

// heightJSON is what the floor takes with its target at another height.
type heightJSON struct {
	Up       float64  `json:"above_target_m"`
	Z        *float64 `json:"z_m"` // of the target, at its place; null where parts have their own
	Fill     float64  `json:"fill_m3"`
	Cut      float64  `json:"cut_m3"`
	Least    float64  `json:"min_depth_m"`
	Greatest float64  `json:"max_depth_m"`
	Mass     float64  `json:"weight_kg"`
	Order    *float64 `json:"order_m3,omitempty"`  // by truck; none where all is in bags, or nothing is ordered
	Need     *float64 `json:"needed_m3,omitempty"` // where no material is chosen: not rounded up
	Bags     int      `json:"bags"`
	Cost     *float64 `json:"cost"` // null: not known
}

func heightsJSON(rows []job.Tried, target target) []heightJSON {
	out := []heightJSON{}
	for _, r := range rows {
		var z *float64
		if target.Z != nil {
			up := *target.Z + r.Raise
			z = &up
		}
		var truck, need *float64
		if r.Order > 0 {
			truck = &r.Order
		}
		if r.Need > 0 {
			need = &r.Need
		}
		out = append(out, heightJSON{r.Raise, z, r.Fill, r.Cut, r.Least, r.Greatest, r.Mass, truck, need, r.Bags, r.Cost})
	}
	return out
}

// heights are what the job takes at other heights, n steps down and up.
func (h *Handover) heights(n int) table.Table {
	return heightTable(h.Filled, h.Result.Heights(job.HeightStep(h.Style.Imperial), n), h.Currency, h.Style)
}

// OtherHeights is what decides between heights, narrow enough for a phone; nil where nothing is
// filled.
func (h *Handover) OtherHeights() *Grid {
	rows := h.Result.Heights(job.HeightStep(h.Style.Imperial), job.HeightsAround)
	if rows == nil {
		return nil
	}
	t := h.narrowHeights(rows)
	t.Title = "Other heights of the target"
	g := gridOf(t)
	return &g
}

// narrowHeights is what decides between heights, narrow enough for a phone.
func (h *Handover) narrowHeights(rows []job.Tried) table.Table {
	m := h.measures()
	t := heightTable(h.Filled, rows, h.Currency, h.Style)
	t = t.Pick("Target up", "Fill", "To order", "Bags", "Cost")
	for j := range t.Columns {
		c := &t.Columns[j]
		for i, r := range rows {
			cell := &t.Rows[i][j]
			switch c.Name {
			case "Target up":
				cell.Text = strings.TrimSuffix(cell.Text, " mm")
				if r.Raise == 0 {
					cell.Text = "0"
				}
			case "Fill", "To order":
				if cell.Number {
					cell.Text = fmt.Sprintf("%.2f", cell.Value)
				}
			case "Cost":
				if cell.Number {
					cell.Text = strings.TrimSuffix(unit.Money(math.Round(cell.Value)), ".00")
				}
			}
		}
		switch c.Name {
		case "Target up":
			c.Name = "Up"
			if !h.Style.Imperial {
				c.Name = "Up (mm)"
			}
		case "Fill":
			c.Name += " (" + m.volumeName + ")"
		case "To order":
			c.Name = "Order (" + m.volumeName + ")"
		}
	}
	return t
}

// bookHeights is how many steps above and below the target a workbook lists: 50 mm or 2 in. Own
// choice.
func bookHeights(us bool) int {
	if us {
		return 32
	}
	return 50
}

// heightTable is the table of heights for a terminal.
func (s *Summary) heightTable() table.Table {
	rows := s.Heights
	if rows == nil {
		rows = s.Filled.Heights(job.HeightStep(s.Style.Imperial), job.HeightsAround)
	}
	return heightTable(s.Filled, rows, "", s.Style)
}

// plainNotes is [plain] with the title and the notes of the table.
func plainNotes(t table.Table) string {
	text := t.Title + "\n" + plain(t)
	for _, note := range t.Notes {
		text += note + "\n"
	}
	return text
}
