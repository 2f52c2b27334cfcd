package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// money writes a price.
func (h *Handover) money(c order.Cost) string {
	if !c.Known() {
		if c.Amount == 0 {
			return table.NotKnown
		}
		return fmt.Sprintf("%s and more: no price of %s", h.amount(c.Amount), strings.Join(c.Lacking, ", "))
	}
	return h.amount(c.Amount)
}

// serviceTables list which material serves which depths, and what to buy of each.
func (h *Handover) serviceTables() []table.Table {
	s := h.Service
	if s == nil {
		return nil
	}
	u := h.Style
	buy := table.Table{Title: "Materials to buy", Columns: columns("Material", "Area>", "Net>", "Unit weight>", "Mass>", "To buy>", "Bags>", "Cost>"), Notes: []string{"Net: old floor to target; mass: net × unit weight, in place."}}
	if len(h.Filled.Bags) > 0 {
		with := h.added(fmt.Sprintf("the allowance of %g %%", percentOf(h.Mix.Allowance)))
		if with == "" {
			with = "nothing beyond the net volume: no allowance is set"
		}
		buy.Notes = append(buy.Notes, "Bags with "+with+".")
	}
	areas, volumes := h.servedShares()
	masses, mass := h.servedMasses()
	for i, m := range h.Bought {
		bags := "by volume"
		if m.Bags > 0 {
			bags = fmt.Sprint(m.Bags)
		}
		net := s.Use(m.Material)
		buy.Rows = append(buy.Rows, text(s.Materials[m.Material].Name, u.Area(areas[i]), u.Volume(volumes[i]), u.UnitWeight(net.Weight), masses[i], u.Volume(m.Volume), bags, h.money(m.Cost)))
	}
	for i := range s.Problems {
		i += len(h.Bought)
		buy.Rows = append(buy.Rows, text("not served", u.Area(areas[i]), u.Volume(volumes[i]), u.UnitWeight(s.Heaviest()), masses[i], "nothing", "none", "not included"))
	}
	total := text("Together", u.Area(s.Area), u.Volume(s.Volume), "", mass, "", "", h.money(h.Bill))
	for i := range total {
		total[i].Bold = true
	}
	buy.Rows = append(buy.Rows, total)
	if !addUp(s.Volume, volumes, 0.01*h.measures().volume) {
		buy.Notes = append(buy.Notes, roundedLines)
	}
	return []table.Table{h.partTable().Pick("From", "To", "Material", "Lifts", "Area", "Volume"), buy}
}

// added lists what is bought beyond the net volume, as far as the job sets it; the allowance is
// called as given. It is empty where nothing is added.
func (h *Handover) added(allowance string) string {
	var parts []string
	if h.Losses.Roughness > 0 {
		parts = append(parts, "rough floor")
	}
	if h.Losses.High > 0 {
		parts = append(parts, "finish high")
	}
	if risk, margin := h.Margin(); margin > 0 {
		parts = append(parts, fmt.Sprintf("a margin for a risk of %g %%", percentOf(risk)))
	}
	if h.Mix.Allowance > 0 {
		parts = append(parts, allowance)
	}
	return wordList(parts)
}

// wordList joins words by commas, and the last by "and".
func wordList(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return strings.Join(words, "")
}

// clockTable is the pour by the hour.
func (h *Handover) clockTable() (table.Table, []string) {
	s := h.Schedule
	t := table.Table{Title: "Trucks by the clock", Columns: columns("Truck>", "Load>", "Batched>", "Arrives>", "Starts>", "Empty>", "Waits>", "Crew idle>")}
	t.Notes = []string{"Hours and minutes from the arrival of the first truck."}
	late := slices.ContainsFunc(s.Trucks, func(k order.Truck) bool { return k.Late > 0 })
	if late {
		t.Columns = append(t.Columns, columns("Past the discharge limit>")...)
		t.Notes[0] += " Past the discharge limit: what is still in the truck when its time since batching is up."
	}
	if h.BayTrucks != nil {
		t.Columns = append(t.Columns, columns("For bay>")...)
	}
	if s.Pace.Spacing == 0 {
		t.Notes = append(t.Notes, "Not included: the time to change trucks, and to finish one bay before the next. Agree with the plant how far apart they come.")
	}
	for i, k := range s.Trucks {
		if len(s.Trucks) == 1 && !late {
			break // the text has it all
		}
		row := text(fmt.Sprint(i+1), h.Style.Volume(k.Volume), clock(k.Batched), clock(k.Arrives), clock(k.Starts), clock(k.Ends), job.Minutes(k.Waits), job.Minutes(k.Idle))
		switch {
		case k.Late > 0:
			row = append(row, table.Text(h.Style.Volume(k.Late)))
		case late:
			row = append(row, table.Text(""))
		}
		if h.BayTrucks != nil {
			row = append(row, table.Text(h.baysOf(i+1)))
		}
		t.Rows = append(t.Rows, row)
	}
	p := s.Pace
	lines := []string{fmt.Sprintf("At %s an hour placing takes %s.", h.Style.Volume(p.Placing), job.Minutes(s.Placing))}
	if !p.Site {
		lines[0] += fmt.Sprintf(" The pour ends %s after the first truck arrives.", job.Minutes(s.Ends))
		lines = append(lines, fmt.Sprintf("Assumes %s from batching to arrival and %s until a truck must be empty.", job.Minutes(p.Travel), job.Minutes(p.Discharge)))
	}
	if s.Bay > 0 {
		// The bays of the plan may be smaller than the working time requires.
		least := max(1, int(math.Ceil(s.Volume/s.Bay-1e-9)))
		needs := fmt.Sprintf("needs %d bays or more", least)
		if least == 1 {
			needs = "fits in one bay"
		}
		lines = append(lines, fmt.Sprintf("%s can be placed in the working time of %s%s: the pour of %s %s.", h.Style.Volume(s.Bay), job.Minutes(p.Working), workedFrom(p), h.Style.Volume(s.Volume), needs))
		if h.Bays != nil {
			lines = append(lines, "The plan has "+survey.Plural(len(h.Bays.Bays), "bay")+".")
		}
	}
	return t, lines
}

// workedFrom says from when the working time counts.
func workedFrom(p order.Pace) string {
	if p.Site {
		return " after mixing"
	}
	return " after it leaves the truck, screeding and floating included"
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

// waysSection compares the ways to fill.
func (h *Handover) waysSection() sheet.Section {
	if len(h.Ways) == 0 || !h.Job.Outputs.Ways {
		return sheet.Section{}
	}
	u := h.Style
	s := sheet.Section{Title: "Ways to fill, compared", Text: []string{"For the net volume, without allowance, waste, rounding up and what the pump keeps: an order costs more. The comparison decides nothing: it rests on usual figures where you gave none, and what is listed under an engineer must be answered by a licensed one."}}
	m := h.measures()
	load := m.massName + "/" + m.areaName
	t := table.Table{Title: "Ways compared", Columns: []table.Column{{Name: "Way"}, {Name: "Layers, from the top"}, numbers("Works on", m.areaName, m.areaDigits()), numbers("Mean load", load, 1), numbers("Max load", load, 1),
		numbers("Cost, net", h.Currency, 2), {Name: "Dry for a covering after"}}}
	needs := table.Table{Title: "What each needs", Columns: columns("Way", "Needs", "An engineer must say", "Where it does not work")}
	for _, w := range h.Ways {
		var layers []string
		for _, l := range w.Laid {
			thick := u.Depth(l.Least)
			if most := u.Depth(l.Greatest); most != thick {
				thick += " to " + most
			}
			one := fmt.Sprintf("%s %s: %s", l.Name, thick, u.Volume(l.Volume))
			if l.UnitWeight > 0 {
				one += " at " + u.UnitWeight(l.UnitWeight)
			}
			if l.Bags > 0 {
				one += ", " + survey.Plural(l.Bags, "bag")
			}
			layers = append(layers, one)
		}
		dry := w.Drying.How.In(u)
		if w.Drying.Most > 0 {
			dry = fmt.Sprintf("%s to %s: %s", days(w.Drying.Least), days(w.Drying.Most), dry)
			if w.Drying.Most >= 365*24*time.Hour {
				dry = w.Drying.How.In(u)
			}
		}
		var bad []string
		for _, p := range w.Problems {
			bad = append(bad, p.Text.In(u))
		}
		needs.Rows = append(needs.Rows, text(w.Name, strings.Join(w.Needs, "; "), strings.Join(w.Engineer, "; "), strings.Join(bad, " ")))
		if w.Area == 0 || len(w.Laid) < h.Layers[w.Name] {
			t.Rows = append(t.Rows, text(w.Name, "works nowhere on this floor as a whole", "—", "—", "—", "—", "—"))
			continue
		}
		price := table.Number(w.Cost.Amount)
		if !w.Cost.Known() {
			price = table.Text("no price of " + strings.Join(w.Cost.Lacking, ", "))
		}
		perArea := m.mass / m.area
		t.Rows = append(t.Rows, append(text(w.Name, strings.Join(layers, "; ")), table.Number(w.Area/m.area), table.Number(w.Load.Mean/perArea), table.Number(w.Load.Most/perArea), price, table.Text(dry)))
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
	return survey.Plural(n, "day")
}

// orderSection is the take-off, line by line, with the clock and the materials.
func (h *Handover) orderSection() sheet.Section {
	d := h.Delivery
	s := sheet.Section{Title: "Take-off", Together: true}
	if h.Filled.Fill.Fill == 0 {
		s.Text = []string{"Nothing is below the target: nothing to order."}
		return s
	}
	switch {
	case h.Open:
		s.Text = append(s.Text, "Needed: "+openText(h.Filled, h.Style)+". Choose a material for so thin a fill: the yield of its bag then gives the number of bags.")
	case d.Trucks == 0 && h.Bag == nil:
		s.Text = append(s.Text, "All of it comes in bags: nothing is ordered from a plant.")
	default:
		h.plantTable(&s)
	}
	if h.Unserved.Area > 0 {
		s.Text = append(s.Text, "Not included: "+h.UnservedText().In(h.Style)+".")
	}
	s.Tables = append(s.Tables, h.serviceTables()...)
	if h.Supplies.Total.Priced() {
		s.Tables = append(s.Tables, h.totalTable())
	}
	if h.Schedule != nil {
		t, lines := h.clockTable()
		s.Text = append(s.Text, lines...)
		if len(t.Rows) > 0 {
			s.Tables = append(s.Tables, t)
		}
	}
	return s
}

// plantTable is the order of the plant.
func (h *Handover) plantTable(s *sheet.Section) {
	u, d := h.Style, h.Delivery
	t := orderTable(h.Filled, u)
	if b := h.Bag; b != nil {
		total := text("To buy", fmt.Sprint(b.Count), "bags of "+b.Name)
		total[0].Bold, total[1].Bold = true, true
		t.Rows = append(t.Rows, total)
		s.Tables = append(s.Tables, t)
		s.Text = append(s.Text, "Mixed from bags: plants seldom send a truck for as little.")
		return
	}
	total := text("To order", sold(h.Filled, d.Volume, u), "whole steps of the plant")
	total[0].Bold, total[1].Bold = true, true
	t.Rows = append(t.Rows, total)
	s.Tables = append(s.Tables, t)
	how := delivered(h.Filled, u)
	if len(d.Loads) > 0 {
		how += ": " + order.InWords(d.Loads, h.Mix.Step, u.Imperial).In(u)
	}
	s.Text = append(s.Text, sentence(how))
	if text := h.plantAsks(); text != "" {
		s.Text = append(s.Text, text)
	}
	if p := h.Price; p > 0 {
		m := h.measures()
		s.Text = append(s.Text, fmt.Sprintf("At your price of %s a %s the mix costs %s, excluding short-load and waiting charges. takeoff.xlsx works it out anew when you change a figure.", h.amount(p*m.volume), m.volumeName, h.amount(p*d.Volume)))
	}
}

// roundly writes a length from a rule of thumb, to a quarter of a foot or a tenth of a
// metre.
func (h *Handover) roundly(m float64) string {
	if h.Style.Imperial {
		return h.Style.Length(job.Rounded(m/unit.Foot.Metres(), 0.25) * unit.Foot.Metres())
	}
	return fmt.Sprintf("%.1f m", m)
}

// runLength writes a long length in all: whole feet or metres.
func (h *Handover) runLength(m float64) string {
	u := h.measures()
	return unit.Whole(m/u.long) + " " + u.longName
}

// supplyPage is the section for readers: the figures carry their units, so the names do not.
func (h *Handover) supplyPage() sheet.Section {
	s := h.supplySection()
	if h.Filled.Fill.Fill > 0 {
		s.Title = "Coats, walls and joints"
		s.Text = append(h.floorBefore(), s.Text...)
	}
	for _, t := range s.Tables {
		for _, row := range t.Rows {
			name := row[0].Text
			if i := strings.LastIndex(name, " ("); i > 0 && name[i:] != " ("+h.Currency+")" {
				row[0].Text = name[:i]
			}
		}
	}
	return s
}

// supplySection is the supplies on the old floor and along the walls. Spreadsheets have the
// figures as numbers, in the unit given with each.
func (h *Handover) supplySection() sheet.Section {
	u, m := h.Style, h.measures()
	var s sheet.Section
	type figure struct {
		name, unit string
		value      float64
		shown, how string
		whole      bool
	}
	list := func(title string, figures ...figure) {
		t := table.Table{Title: title, Columns: []table.Column{{Name: "What"}, {Name: "Figure", Right: true, Decimals: 2}, {Name: "How"}}}
		for _, f := range figures {
			if f.value != 0 {
				t.Rows = append(t.Rows, []table.Cell{table.Text(strings.TrimSuffix(f.name+" ("+f.unit+")", " ()")), {Value: f.value, Number: true, Text: f.shown, Whole: f.whole}, table.Text(f.how)})
			}
		}
		s.Tables = append(s.Tables, t)
	}
	length := func(name string, v float64, how string) figure {
		return figure{name: name, unit: m.longName, value: v / m.long, shown: u.Length(v), how: how}
	}
	depth := func(name string, v float64, how string) figure {
		return figure{name: name, unit: m.thinName, value: v / m.thin, shown: u.Depth(v), how: how}
	}
	reaches := func(name string, v float64, how string) figure { // rounded up: what is cut to it covers all of v
		f := depth(name, v, how)
		f.shown = u.DepthUp(v)
		return f
	}
	count := func(name string, n int, how string) figure {
		return figure{name: name, value: float64(n), shown: fmt.Sprint(n), how: how, whole: true}
	}
	litre := func(name string, v float64, how string) figure {
		return figure{name: name, unit: m.liquidName, value: v / m.liquid, shown: h.liquid(v), how: how}
	}
	area := func(name string, v float64, how string) figure {
		return figure{name: name, unit: m.areaName, value: v / m.area, shown: u.Area(v), how: how}
	}
	sold := func(name string, v float64, how string) figure {
		v = job.BoughtLength(v, u.Imperial)
		return figure{name: name, unit: m.longName, value: v / m.long, shown: h.runLength(v), how: how, whole: true}
	}
	for _, c := range h.Coats {
		pack := ""
		if c.Pack > 0 {
			pack = fmt.Sprintf("of %.4g %s", c.Pack/m.liquid, m.liquidName)
		}
		list("Coat: "+cmp.Or(c.Name, "unnamed"), area("Old floor", h.Whole.Real, "slope included"), count("Coats", len(c.Each), ""), litre("Mixed", c.Mixed, h.coatHow(c.Coat)), litre("Product", c.Product, "of it"),
			litre("Water", c.Coating.Water, "of it"), count("Packs", c.Packs, pack), figure{name: "Cost", unit: h.Currency, value: c.Cost, shown: fmt.Sprintf("%.2f", c.Cost)})
	}
	if e := h.Edging; e != nil {
		list("Along the walls", length("Walls and columns", e.Length, "where something is filled"), reaches("Film, height", e.FilmHeight, "at the deepest wall, foot and the part above the fill included"), sold("Film, length", e.FilmLength, fmt.Sprintf("with %s and an allowance of %g %%", survey.Plural(e.Laps, "lap"), h.Job.Edge.Allowance)),
			area("Film, area", e.FilmArea, "on the walls, without the laps"), count("Film, rolls", e.Rolls, "at its max height"), reaches("Foam strip, height", e.FoamHeight, "through the whole depth"),
			sold("Foam strip, length", e.FoamLength, fmt.Sprintf("courses and an allowance of %g %% included", h.Job.Edge.Allowance)), count("Foam strip, pieces", e.Pieces, ""), figure{name: "Mix displaced", unit: m.volumeName, value: e.Displaced / m.volume, shown: u.SmallVolume(e.Displaced), how: "by the foam; not taken off the order"})
	}
	if k := h.Joints; k != nil && h.Movement {
		s.Text = append(s.Text, h.movementText())
		list("Movement joints carried through", length("Length", h.JointRun, ""), depth("Width", h.JointWidth, "as given; never narrower than the old joint"), depth("Joint, depth in the fill", k.Cut, "full depth: as deep as the fill, this much where it is deepest"),
			sold("Compressible strip", k.Strip, "as high as the fill, as thick as the joint is wide"), sold("Backer rod, under the sealant", k.Rod, u.Depth(k.Bore)+" thick"), litre("Sealant", k.Filler, u.Depth(k.Fill)+" deep, at the top of the covering"), count("Packs", k.Packs, ""))
	} else if k != nil {
		list("Contraction joints", length("Length", h.JointRun, ""), depth("Saw cut", k.Cut, h.cutText()), litre("Filler", k.Filler, u.Depth(k.Fill)+" deep"), count("Packs", k.Packs, ""), sold("Backer rod, under the sealant", k.Rod, ""))
	}
	if h.Spacing.Most > 0 {
		s.Text = append(s.Text, fmt.Sprintf("Contraction joints: if the concrete is not bonded to the old floor, usually %s to %s apart at the mean depth (24 to 36 times the thickness); if bonded, over the joints of the old floor. A designer's plan takes precedence.", h.roundly(h.Spacing.Least), h.roundly(h.Spacing.Most)))
	}
	if len(s.Tables)+len(s.Text) > 0 {
		s.Title = "Coats, walls and joints"
	}
	return s
}

// liquid writes a volume given in L: "9.5 L", "2.5 gal" (US).
func (h *Handover) liquid(litres float64) string {
	m := h.measures()
	if v := litres / m.liquid; v < 1 {
		return fmt.Sprintf("%.2f %s", v, m.liquidName)
	}
	return fmt.Sprintf("%.1f %s", litres/m.liquid, m.liquidName)
}
