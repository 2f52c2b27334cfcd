package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"pourplane/plot"
	"pourplane/plot/exchange"
	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/order"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// cutBays cuts the floor into bays by the job; where it says how long the mix can be
// worked and nothing of bays, by what can be placed in that time.
func (h *solved) cutBays(e *entries) {
	b := h.job.Bays
	rules := setout.BayRules{Width: e.length("bays.width", b.Width), Most: e.volume("bays.most", b.Most)}
	for _, line := range b.Dams {
		var dam []surface.Vec
		for _, place := range line {
			dam = append(dam, e.place("bays.dams", place))
		}
		rules.Dams = append(rules.Dams, dam)
	}
	key := "bays"
	if s := h.schedule; len(b.Dams) == 0 && b.Width == "" && b.Most == "" {
		if s == nil || s.Bays < 2 {
			return
		}
		// The clock counts what is ordered, a bay what lies in it.
		rules.Most, key = s.Bay*h.whole.Net/s.Volume, "pace.working-time"
	}
	if h.style.Imperial {
		rules.Step = unit.Foot.Metres() / 6
	}
	if h.exit != nil {
		rules.Exit, rules.HasExit = *h.exit, true
	}
	if e.err != nil {
		return
	}
	bays, err := setout.CutBays(h.floor, h.work.fill.Target, rules)
	e.failed(key, err)
	if e.err != nil {
		return
	}
	h.bays = &bays
	h.countBays(key == "bays")
	if bag := h.bagged(); bag != nil {
		var each []float64
		for _, b := range bays.Bays {
			if b.Fill.Fill == 0 {
				each = append(each, 0)
				continue
			}
			took, err := floorOf(b.Floor, b.Fill).Takeoff(order.Losses{Roughness: h.losses.Roughness, High: h.losses.High, Allowance: h.losses.Allowance})
			e.failed(key, err)
			each = append(each, took.Need)
		}
		h.bayBags, h.allBags, err = setout.WholeBags(each, bag.Yield)
		e.failed(key, err)
	}
	h.notes = append(h.notes, bays.Notes...)
}

// shareBays rounds areas and volumes of bays so that they add up to the whole as shown.
func (h *handover) shareBays() error {
	if h.bays == nil {
		return nil
	}
	m, whole := h.measures(), h.bays.Fill
	var areas, volumes []float64
	for _, b := range h.bays.Bays {
		areas, volumes = append(areas, b.Fill.FillArea/m.area), append(volumes, b.Fill.Fill/m.volume)
	}
	var errAreas, errVolumes error
	h.bayAreas, errAreas = setout.Shares(whole.FillArea/m.area, areas, 1)
	h.bayVolumes, errVolumes = setout.Shares(whole.Fill/m.volume, volumes, 2)
	return errors.Join(errAreas, errVolumes)
}

// countBays makes the bays that are laid out the ones that are counted everywhere, and
// words what the clock warns of by them: bays of the job that are placed in time settle it.
func (h *solved) countBays(chosen bool) {
	s := h.schedule
	if s == nil || s.Bays == 0 {
		return
	}
	s.Bays = len(h.bays.Bays)
	if len(s.Stops) == 0 {
		return
	}
	var late []string
	for _, b := range h.bays.Bays {
		if b.Fill.Fill*s.Volume/h.whole.Net > s.Bay*(1+1e-9) {
			late = append(late, b.Name)
		}
	}
	h.notes = withoutNotes(h.notes, s.Stops)
	warn := func(format string, args ...any) {
		s.Stops = []survey.Note{survey.Notef(survey.Warning, survey.Pos{}, format, args...).About(survey.AboutOrder)}
		h.notes = append(h.notes, s.Stops...)
	}
	switch working := minutes(s.Pace.Working); {
	case late != nil:
		warn("working time: the mix can be worked for %s, in which %s is placed; more is in bay %s of %d. Make it smaller, or place faster", working, unit.Volume(s.Bay), strings.Join(late, ", "), s.Bays)
	case !chosen:
		warn("working time: placing takes %s and the mix can be worked for %s: place it in the %d bays that are laid out, of %s at most, or faster", minutes(s.Placing), working, s.Bays, unit.Volume(s.Bay))
	}
}

// drawBays puts bays and dams on a plan.
func (h *handover) drawBays(m *plot.SetOutMap) {
	for _, d := range h.bays.Dams {
		m.Dams, m.DamNames = append(m.Dams, []surface.Vec{d.From, d.To}), append(m.DamNames, d.Name)
	}
	for i, b := range h.bays.Bays {
		one := plot.Bay{Name: b.Name, Text: h.bayText(i), At: b.At}
		for _, r := range b.Floor.Regions {
			one.Rings = append(one.Rings, r.Rings...)
		}
		m.Bays = append(m.Bays, one)
	}
}

// bayText is the volume of a bay as the list shows it.
func (h *handover) bayText(i int) string {
	return fmt.Sprintf("%.2f %s", h.bayVolumes[i], h.measures().volumeName)
}

// bayTable lists bays in the order of placing. What is shown adds up to the whole as
// shown, to the last digit.
func (h *handover) bayTable() table.Table {
	u := h.style
	m := h.measures()
	size, area, name, square := m.volume, m.area, m.volumeName, m.areaName
	t := table.Table{Title: "Bays in the order of placing", Columns: []table.Column{{Name: "Bay"}, {Name: "Area (" + square + ")", Right: true, Decimals: 1}, {Name: "Volume (" + name + ")", Right: true, Decimals: 2}}}
	whole := h.bays.Fill
	bag := h.bagged()
	if bag != nil {
		t.Columns = append(t.Columns, table.Column{Name: "Bags", Right: true})
		t.Notes = append(t.Notes, fmt.Sprintf("Bags of %s, whole ones for each bay, with the allowance of %g %%; filled at one go the floor takes %s.", bag.Name, percentOf(h.mix.Allowance), plural(h.bought[0].Bags, "bag")))
	}
	lifts := h.service != nil && slices.ContainsFunc(h.service.Parts, func(p order.Part) bool { return p.Lifts > 1 })
	if lifts {
		t.Columns = append(t.Columns, columns("Lifts>")...)
		t.Notes = append(t.Notes, "Lifts: how many are laid one on another where the bay is deepest; the volume is that of all of them.")
	}
	t.Columns = append(t.Columns, columns("Dams", "Beside")...)
	for i, b := range h.bays.Bays {
		row := append(text(b.Name), table.Number(h.bayAreas[i]), table.Number(h.bayVolumes[i]))
		if bag != nil {
			row = append(row, table.Number(float64(h.bayBags[i])))
		}
		if lifts {
			row = append(row, table.Number(float64(h.liftsOf(&b.Fill))))
		}
		var dams []string
		for _, k := range b.Dams {
			d := h.bays.Dams[k]
			dams = append(dams, damText(d, u))
		}
		t.Rows = append(t.Rows, append(row, text(strings.Join(dams, "; "), strings.Join(b.Neighbours, ", "))...))
	}
	total := append(text("Together"), table.Number(whole.FillArea/area), table.Number(whole.Fill/size))
	if bag != nil {
		total = append(total, table.Number(float64(h.allBags)))
	}
	if lifts {
		total = append(total, table.Text(""))
	}
	for i := range total {
		total[i].Bold = true
	}
	t.Rows = append(t.Rows, total)
	return t
}

// damText describes a dam: it is as high as the fill is deepest along it.
func damText(d setout.Dam, u unit.Style) string {
	text := fmt.Sprintf("%s: %s long, %s high", d.Name, u.Length(d.Length), u.Depth(d.Height))
	if least := u.Depth(d.Least); least != u.Depth(d.Height) {
		text += fmt.Sprintf(" (%s where it is least)", least)
	}
	if d.Line == 0 {
		text += ", along the step"
	}
	if d.Offset > 0 {
		text += fmt.Sprintf(", %s from the %s end", u.Length(d.Offset), direction(-d.Along.X, -d.Along.Y))
		if d.Own {
			text += " of " + cmp.Or(d.Region, "this part")
		}
	}
	return text
}

// liftsOf returns the most lifts that a part of the floor takes by its depths.
func (h *solved) liftsOf(f *surface.Fill) int {
	most := 0
	for _, p := range h.service.Parts {
		if p.From < f.Greatest && p.To > f.Least {
			most = max(most, p.Lifts)
		}
	}
	return most
}

// bagged returns the one bagged material that fills the floor; nil where there is none,
// or several.
func (h *solved) bagged() *order.Material {
	if h.service == nil || len(h.service.Uses) != 1 {
		return nil
	}
	if m := &h.service.Materials[h.service.Uses[0].Material]; m.Yield > 0 {
		return m
	}
	return nil
}

func (h *handover) baySection() sheet.Section {
	if h.bays == nil {
		return sheet.Section{}
	}
	text := "Place them in this order, away from the way out. Dams stand as high as the fill beside them is deep"
	if slices.ContainsFunc(h.bays.Dams, func(d setout.Dam) bool { return d.Line == 0 }) {
		text += ", along a step as deep as on its lower side"
	}
	return sheet.Section{Title: "Bays", Text: []string{text + "."},
		Tables: []table.Table{h.bayTable()}, Pictures: []sheet.Picture{{Drawing: h.setOutMap(false, false, true), Caption: "Bays, dams and the way out", Most: 0.5}}}
}

func (h *handover) bayLayers() []exchange.Layer {
	if h.bays == nil {
		return nil
	}
	z := h.top()
	dams, bays := exchange.Layer{Name: "DAMS"}, exchange.Layer{Name: "BAYS"}
	for _, d := range h.bays.Dams {
		dams.Lines = append(dams.Lines, exchange.Line{Points: []surface.Vec{d.From, d.To}, Elevation: z, Properties: []exchange.Property{{Name: "name", Value: d.Name}, {Name: "length_m", Value: d.Length}, {Name: "height_mm", Value: 1000 * d.Height}, {Name: "least_height_mm", Value: 1000 * d.Least}}})
		dams.Marks = append(dams.Marks, exchange.Mark{At: surface.Vec{X: (d.From.X + d.To.X) / 2, Y: (d.From.Y + d.To.Y) / 2}, Elevation: z, Text: "dam " + d.Name})
	}
	for k, b := range h.bays.Bays {
		bays.Marks = append(bays.Marks, exchange.Mark{At: b.At, Elevation: z, Text: "bay " + b.Name + " " + h.bayText(k)})
		for i, r := range b.Floor.Regions {
			part := b.Fill
			if len(part.Regions) > 0 {
				part = part.Regions[i]
			}
			bays.Areas = append(bays.Areas, exchange.Area{Rings: r.Rings, Elevation: z, Properties: []exchange.Property{{Name: "bay", Value: b.Name}, {Name: "area_m2", Value: part.Area}, {Name: "fill_m3", Value: part.Fill}}})
		}
	}
	return []exchange.Layer{bays, dams}
}
