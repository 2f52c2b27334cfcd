package main

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface/order"
)

// money writes a price.
func (h *handover) money(c order.Cost) string {
	if !c.Known() {
		if c.Amount == 0 {
			return "not known"
		}
		return fmt.Sprintf("%.2f %s and more: no price of %s", c.Amount, h.currency, strings.Join(c.Lacking, ", "))
	}
	return strings.TrimSpace(fmt.Sprintf("%.2f %s", c.Amount, h.currency))
}

// serviceTables say which material serves which depths, and what of each is bought.
func (h *handover) serviceTables() []table.Table {
	s := h.service
	if s == nil {
		return nil
	}
	u := h.style
	parts := table.Table{Title: "Materials by depth", Columns: columns("From>", "To>", "Material", "Lifts>", "Area>", "Volume>")}
	for _, p := range s.Parts {
		parts.Rows = append(parts.Rows, text(u.Depth(p.From), u.Depth(p.To), s.Materials[p.Material].Name, fmt.Sprint(p.Lifts), u.Area(p.Area), u.Volume(p.Volume)))
	}
	for _, p := range s.Problems {
		parts.Notes = append(parts.Notes, "NOT SERVED: "+p.Text+" Instead: "+strings.Join(p.Ways, "; or ")+".")
	}
	buy := table.Table{Title: "Materials to buy", Columns: columns("Material", "Area>", "In place>", "Bags>", "Cost>"),
		Notes: []string{fmt.Sprintf("With what a rough floor and a high finish take and the allowance of %.10g %%; without what stays in pump and hopper.", 100*h.mix.Allowance)}}
	for _, m := range h.bought {
		bags := "by volume"
		if m.Bags > 0 {
			bags = fmt.Sprint(m.Bags)
		}
		buy.Rows = append(buy.Rows, text(s.Materials[m.Material].Name, u.Area(m.Area), u.Volume(m.Volume), bags, h.money(m.Cost)))
	}
	total := text("Together", "", "", "", h.money(h.bill))
	total[0].Bold, total[4].Bold = true, true
	buy.Rows = append(buy.Rows, total)
	return []table.Table{parts, buy}
}

// clockTable is the pour by the hour.
func (h *handover) clockTable() (table.Table, []string) {
	s := h.schedule
	t := table.Table{Title: "Trucks by the clock", Columns: columns("Truck>", "Load>", "Batched>", "Arrives>", "Starts>", "Empty>", "Waits>", "Crew stands>", "Too late>")}
	for i, k := range s.Trucks {
		late := ""
		if k.Late > 0 {
			late = h.style.Volume(k.Late)
		}
		t.Rows = append(t.Rows, text(fmt.Sprint(i+1), h.style.Volume(k.Volume), clock(k.Batched), clock(k.Arrives), clock(k.Starts), clock(k.Ends), minutes(k.Waits), minutes(k.Idle), late))
	}
	t.Notes = []string{"Hours and minutes from the arrival of the first truck. Too late: what is still in the truck when its time since batching is up."}
	p := s.Pace
	begin := "the first truck arrives"
	if p.Site {
		begin = "mixing begins"
	}
	lines := []string{fmt.Sprintf("At %s an hour placing takes %s; the pour ends %s after %s.", h.style.Volume(p.Placing), minutes(s.Placing), minutes(s.Ends), begin)}
	if !p.Site {
		lines = append(lines, fmt.Sprintf("Reckoned with %s from batching to arrival and %s until a truck must be empty.", minutes(p.Travel), minutes(p.Discharge)))
	}
	if s.Bay > 0 {
		lines = append(lines, fmt.Sprintf("Within the working time of %s, %s can be placed: %s.", minutes(p.Working), h.style.Volume(s.Bay), plural(s.Bays, "bay")))
	}
	return t, lines
}

// clock writes a time before or after the first truck.
func clock(d time.Duration) string {
	sign := ""
	if d < 0 {
		sign, d = "−", -d
	}
	m := int(d.Round(time.Minute).Minutes())
	return fmt.Sprintf("%s%d:%02d", sign, m/60, m%60)
}

func minutes(d time.Duration) string {
	m := int(d.Round(time.Minute).Minutes())
	switch {
	case m < 100:
		return fmt.Sprintf("%d min", m)
	case m%60 == 0:
		return fmt.Sprintf("%d h", m/60)
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}

// wayTables compare the ways to fill.
func (h *handover) waysSection() sheet.Section {
	if len(h.ways) == 0 {
		return sheet.Section{}
	}
	u := h.style
	s := sheet.Section{Title: "Ways to fill, compared", NewPage: true, Text: []string{"For the depths measured, net of allowance and waste. The comparison decides nothing: it rests on usual figures where you gave none, and what stands under an engineer must be answered by a licensed one."}}
	t := table.Table{Columns: columns("Way", "Layers, from the top", "Works on>", "Load, mean and greatest>", "Cost>", "Dry for a covering after")}
	needs := table.Table{Title: "What each needs", Columns: columns("Way", "Needs", "An engineer must say", "Where it does not work")}
	for _, w := range h.ways {
		var layers []string
		for _, l := range w.Laid {
			one := fmt.Sprintf("%s %s to %s: %s", l.Name, u.Depth(l.Least), u.Depth(l.Greatest), u.Volume(l.Volume))
			if l.Bags > 0 {
				one += fmt.Sprintf(", %d bags", l.Bags)
			}
			layers = append(layers, one)
		}
		dry := w.Drying.How
		if w.Drying.Most > 0 {
			dry = fmt.Sprintf("%s to %s: %s", days(w.Drying.Least), days(w.Drying.Most), dry)
		}
		t.Rows = append(t.Rows, text(w.Name, strings.Join(layers, "; "), u.Area(w.Area), u.Load(w.Load.Mean)+", "+u.Load(w.Load.Most), h.money(w.Cost), dry))
		var bad []string
		for _, p := range w.Problems {
			bad = append(bad, p.Text)
		}
		needs.Rows = append(needs.Rows, text(w.Name, strings.Join(w.Needs, "; "), strings.Join(w.Engineer, "; "), strings.Join(bad, " ")))
	}
	t.Notes = []string{"Drying times are for planning and no promise: test before covering."}
	s.Tables = []table.Table{t, needs}
	return s
}

func days(d time.Duration) string {
	n := int(d.Hours()/24 + 0.5)
	if n >= 21 {
		return fmt.Sprintf("%d weeks", (n+6)/7)
	}
	return plural(n, "day")
}

// orderSection is the take-off, line by line, with the clock and the materials.
func (h *handover) orderSection() sheet.Section {
	d := h.delivery
	s := sheet.Section{Title: "Take-off"}
	if h.work.fill.Fill == 0 {
		s.Text = []string{"Nothing lies below the target: nothing is to be ordered."}
		return s
	}
	if d.Trucks == 0 {
		s.Text = append(s.Text, "All of it comes in bags: nothing is ordered from a plant.")
	} else {
		h.plantTable(&s)
	}
	s.Tables = append(s.Tables, h.serviceTables()...)
	if h.schedule != nil {
		t, lines := h.clockTable()
		s.Text = append(s.Text, lines...)
		if len(t.Rows) > 0 {
			s.Tables = append(s.Tables, t)
		}
	}
	return s
}

// plantTable is the order of the plant.
func (h *handover) plantTable(s *sheet.Section) {
	u, d := h.style, h.delivery
	t := table.Table{Title: "The order line by line", Columns: columns("Line", "Volume>", "How")}
	for _, l := range h.takeoff.Lines {
		t.Rows = append(t.Rows, text(l.Name, u.Volume(l.Volume), l.How))
	}
	t.Rows = append(t.Rows, text("Needed", u.Volume(h.takeoff.Need), ""), text(d.Rounding.Name, u.Volume(d.Rounding.Volume), d.Rounding.How))
	total := text("To order", u.Volume(d.Volume), fmt.Sprintf("%.2f m³ = %.2f yd³", d.Volume, d.CubicYards()))
	total[0].Bold, total[1].Bold = true, true
	t.Rows = append(t.Rows, total)
	s.Tables = append(s.Tables, t)
	trucks := "1 truck."
	if d.Trucks > 1 {
		trucks = fmt.Sprintf("%d trucks of %s, the last with %s.", d.Trucks, u.Volume(d.Full), u.Volume(d.Last))
	}
	s.Text = append(s.Text, trucks)
	if p := h.job.Mix.Price; p > 0 {
		s.Text = append(s.Text, fmt.Sprintf("At your price of %.2f %s a m³ the mix costs %.2f %s, charges for short loads or waiting aside. takeoff.xlsx works it out anew when you change a figure.", p, h.currency, p*d.Volume, h.currency))
	}
}

// supplySection is what goes on the old floor and along the walls.
func (h *handover) supplySection() sheet.Section {
	u := h.style
	var s sheet.Section
	if len(h.coats) > 0 {
		t := table.Table{Title: "Coats", Columns: columns("Coat", "Coats>", "Mixed>", "Product>", "Water>", "Packs>", "Cost>"),
			Notes: []string{"Over " + u.Area(h.whole.Real) + " of old floor, slope included."}}
		for _, c := range h.coats {
			packs, cost := "", ""
			if c.Pack > 0 {
				packs = fmt.Sprintf("%d of %g L", c.Packs, c.Pack)
			}
			if c.Price > 0 {
				cost = fmt.Sprintf("%.2f %s", c.Cost, h.currency)
			}
			t.Rows = append(t.Rows, text(cmp.Or(c.Name, "coat"), fmt.Sprint(len(c.Each)), litres(c.Mixed), litres(c.Product), litres(c.Coating.Water), packs, cost))
		}
		s.Tables = append(s.Tables, t)
	}
	if e := h.edging; e != nil {
		t := table.Table{Title: "Along the walls", Columns: columns("What", "Figure", "How")}
		row := func(a, b, c string) { t.Rows = append(t.Rows, text(a, b, c)) }
		row("Walls and columns", u.Length(e.Length), "where something is filled")
		if e.FilmHeight > 0 {
			row("Film, height", u.Depth(e.FilmHeight), "at the deepest wall, foot and what stands above included")
			row("Film, length", u.Length(e.FilmLength), fmt.Sprintf("with %s and allowance", plural(e.Laps, "lap")))
			row("Film, area", u.Area(e.FilmArea), "that it hides, laps apart")
			if e.Rolls > 0 {
				row("Film, rolls", fmt.Sprint(e.Rolls), "")
			}
		}
		if e.FoamHeight > 0 {
			row("Foam strip, height", u.Depth(e.FoamHeight), "through the whole depth")
			row("Foam strip, length", u.Length(e.FoamLength), "courses and allowance included")
			if e.Pieces > 0 {
				row("Foam strip, pieces", fmt.Sprint(e.Pieces), "")
			}
			row("Mix displaced", u.Volume(e.Displaced), "by the foam; not taken off the order")
		}
		s.Tables = append(s.Tables, t)
	}
	if k := h.joints; k != nil {
		t := table.Table{Title: "Movement joints carried through", Columns: columns("What", "Figure")}
		t.Rows = append(t.Rows, text("Length", u.Length(h.jointRun)), text("Saw cut", u.Depth(k.Cut)), text("Filler", fmt.Sprintf("%s, %s deep", litres(k.Filler), u.Depth(k.Fill))))
		if k.Packs > 0 {
			t.Rows = append(t.Rows, text("Packs", fmt.Sprint(k.Packs)))
		}
		if k.Rod > 0 {
			t.Rows = append(t.Rows, text("Rod behind the sealant", u.Length(k.Rod)))
		}
		s.Tables = append(s.Tables, t)
	}
	if h.spacing.Most > 0 {
		s.Text = append(s.Text, fmt.Sprintf("Contraction joints in an unbonded concrete fill of the mean depth usually stand %s to %s apart (24 to 36 times the thickness). Joints of the old floor are carried through; a designer's plan goes first.", u.Length(h.spacing.Least), u.Length(h.spacing.Most)))
	}
	if len(s.Tables)+len(s.Text) > 0 {
		s.Title = "Coats, walls and joints"
	}
	return s
}

func litres(v float64) string { return fmt.Sprintf("%.1f L", v) }
