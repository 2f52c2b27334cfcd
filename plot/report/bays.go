package report

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

// shareBays rounds areas and volumes of bays so that they add up to the whole as shown.
func (h *Handover) shareBays() error {
	if h.Bays == nil {
		return nil
	}
	m, whole := h.measures(), h.Bays.Fill
	var areas, volumes []float64
	for _, b := range h.Bays.Bays {
		areas, volumes = append(areas, b.Fill.FillArea/m.area), append(volumes, b.Fill.Fill/m.volume)
	}
	var errAreas, errVolumes error
	h.bayAreas, errAreas = setout.Apportion(whole.FillArea/m.area, areas, m.areaDigits())
	h.bayVolumes, errVolumes = setout.Apportion(whole.Fill/m.volume, volumes, 2)
	if h.Unserved.Area == 0 {
		return errors.Join(errAreas, errVolumes)
	}
	var lacks []float64
	for _, v := range h.BayUnserved {
		lacks = append(lacks, v/m.volume)
	}
	var errLacks error
	h.bayLacks, errLacks = setout.Apportion(h.Unserved.Volume/m.volume, lacks, 2)
	return errors.Join(errAreas, errVolumes, errLacks)
}

// drawBays puts bays and dams on a plan.
func (h *Handover) drawBays(m *plot.SetOutMap) {
	for _, d := range h.Bays.Dams {
		m.Dams, m.DamNames = append(m.Dams, []surface.Vec{d.From, d.To}), append(m.DamNames, d.Name)
	}
	for i, b := range h.Bays.Bays {
		one := plot.Bay{Name: b.Name, Text: h.bayText(i), At: b.At}
		for _, r := range b.Floor.Regions {
			one.Rings = append(one.Rings, r.Rings...)
		}
		m.Bays = append(m.Bays, one)
	}
}

// bayText is the volume of a bay as in the list: net, if the list also has what is ordered.
func (h *Handover) bayText(i int) string {
	text := fmt.Sprintf("%.2f %s", h.bayVolumes[i], h.measures().volumeName)
	if h.BayMix != nil {
		text += " net"
	}
	return text
}

// bayTable lists bays in placing order. The figures shown add up to the whole as shown, to
// the last digit.
func (h *Handover) bayTable() table.Table {
	u := h.Style
	m := h.measures()
	t := table.Table{Title: "Bays in the order of placing", Columns: []table.Column{{Name: "Bay"}, numbers("Area", m.areaName, m.areaDigits()), numbers("Volume", m.volumeName, 2)}}
	whole := h.Bays.Fill
	bag := h.Bagged()
	if bag != nil {
		t.Columns = append(t.Columns, table.Column{Name: "Bags", Right: true})
		t.Notes = append(t.Notes, fmt.Sprintf("Bags of %s, whole ones for each bay, with the allowance of %g %%; filled at one go the floor takes %s.", bag.Name, percentOf(h.Mix.Allowance), survey.Plural(h.Bought[0].Bags, "bag")))
	}
	var mixes []float64
	if h.BayMix != nil {
		t.Columns[2].Name = strings.Replace(t.Columns[2].Name, "Volume", "Net", 1)
		t.Columns = append(t.Columns, numbers("Mix by truck", m.volumeName, 2), table.Column{Name: "From truck", Right: true})
		t.Notes = append(t.Notes, h.mixNote())
		mixes = h.bayMixes()
	}
	lacks := h.Unserved.Area > 0
	if lacks {
		t.Columns = append(t.Columns, numbers("Not served", m.volumeName, 2))
		t.Notes = append(t.Notes, "Not served: no material may be laid there. It is part of the volume of the bay, and in no order.")
	}
	lifts := h.Service != nil && slices.ContainsFunc(h.Service.Parts, func(p order.Part) bool { return p.Lifts > 1 })
	if lifts {
		t.Columns = append(t.Columns, columns("Lifts>")...)
		t.Notes = append(t.Notes, "Lifts: how many are laid one on another where the bay is deepest; the volume is that of all of them.")
	}
	t.Columns = append(t.Columns, columns("Dams", "Beside")...)
	set := map[int]string{} // the bay that each dam belongs to
	for i, b := range h.Bays.Bays {
		row := append(text(b.Name), table.Number(h.bayAreas[i]), table.Number(h.bayVolumes[i]))
		if bag != nil {
			row = append(row, table.Number(float64(h.BayBags[i])))
		}
		if mixes != nil {
			row = append(row, table.Number(mixes[i]), table.Text(h.trucksOf(i)))
		}
		if lacks {
			row = append(row, table.Number(h.bayLacks[i]))
		}
		if lifts {
			row = append(row, table.Number(float64(h.LiftsOf(&b.Fill))))
		}
		var dams []string
		for _, k := range b.Dams {
			d := h.Bays.Dams[k]
			if bay := set[k]; bay != "" {
				dams = append(dams, d.Name+": set for bay "+bay)
				continue
			}
			set[k] = b.Name
			dams = append(dams, damText(d, u))
		}
		t.Rows = append(t.Rows, append(row, text(strings.Join(dams, "; "), strings.Join(b.Neighbours, ", "))...))
	}
	total := append(text("Together"), table.Number(whole.FillArea/m.area), table.Number(whole.Fill/m.volume))
	if bag != nil {
		total = append(total, table.Number(float64(h.AllBags)))
	}
	if mixes != nil {
		total = append(total, table.Number(h.Delivery.Volume/m.volume), table.Text(""))
	}
	if lacks {
		total = append(total, table.Number(h.Unserved.Volume/m.volume))
	}
	if lifts {
		total = append(total, table.Text(""))
	}
	for len(total) < len(t.Columns) {
		total = append(total, table.Text(""))
	}
	for i := range total {
		total[i].Bold = true
	}
	t.Rows = append(t.Rows, total)
	return t
}

// mixNote says what the mix of each bay holds.
func (h *Handover) mixNote() string {
	text := "Net: old floor to target. Mix by truck: "
	if len(h.Filled.Bags) > 0 {
		text += "without what comes in bags, "
	}
	if with := h.added("the allowance of each bay"); with != "" {
		text += "with " + with + "; "
	}
	text += "together the " + sold(h.Filled, h.Delivery.Volume, h.Style) + " ordered."
	first := slices.IndexFunc(h.BayMix, func(v float64) bool { return v > 0 })
	if kept := h.Takeoff.Volume(order.PumpLine) + h.Takeoff.Volume(order.Hopper); kept > 0 {
		text += fmt.Sprintf(" Bay %s also fills line and hopper, %s: every later load goes through them, so that it stays in them to the end and is lost then.", h.Bays.Bays[first].Name, h.Style.Volume(kept))
	}
	if lost := h.Takeoff.Volume(order.Priming); lost > 0 {
		text += fmt.Sprintf(" Bay %s also primes the line: %s, thrown away.", h.Bays.Bays[first].Name, h.Style.Volume(lost))
	}
	return text + fmt.Sprintf(" The rounding up is with bay %s. What is left of a load goes into the next bay.", h.Bays.Bays[len(h.Bays.Bays)-1].Name)
}

// bayMixes are the shares of the bays in what comes by truck, so rounded that they add up to
// the order.
func (h *Handover) bayMixes() []float64 {
	m := h.measures()
	var out []float64
	for _, v := range h.BayMix {
		out = append(out, v/m.volume)
	}
	if shown, err := setout.Apportion(h.Delivery.Volume/m.volume, out, 2); err == nil {
		return shown
	}
	return out
}

// trucksOf lists the trucks that serve bay i.
func (h *Handover) trucksOf(i int) string {
	var out []string
	for _, k := range h.BayTrucks[i] {
		out = append(out, fmt.Sprint(k))
	}
	return strings.Join(out, ", ")
}

// baysOf lists the bays that a truck serves.
func (h *Handover) baysOf(truck int) string {
	var out []string
	for i, b := range h.Bays.Bays {
		if slices.Contains(h.BayTrucks[i], truck) {
			out = append(out, b.Name)
		}
	}
	return strings.Join(out, ", ")
}

// damText describes a dam: its height is the max depth of fill along it.
func damText(d setout.Dam, u unit.Style) string {
	text := fmt.Sprintf("%s: %s long, %s high", d.Name, u.Length(d.Length), u.Depth(d.Height))
	if least := u.Depth(d.Least); least != u.Depth(d.Height) {
		text += fmt.Sprintf(" (min %s)", least)
	}
	if d.Line == 0 {
		text += ", along the step"
	}
	if d.Offset > 0 {
		text += fmt.Sprintf(", %s from the %s end", u.Length(d.Offset), surface.CompassPoint(-d.Along.X, -d.Along.Y))
		if d.Own {
			text += " of " + cmp.Or(d.Region, "this part")
		}
	}
	return text
}

func (h *Handover) baySection() sheet.Section {
	if h.Bays == nil {
		return sheet.Section{}
	}
	order, caption := "from one end of the floor to the other", "Bays and dams"
	if h.Exit != nil {
		order, caption = "the farthest from the exit first", "Bays, dams and the exit"
	}
	text := "Place them in this order, " + order + ". A dam is as high as the fill beside it is deep"
	if slices.ContainsFunc(h.Bays.Dams, func(d setout.Dam) bool { return d.Line == 0 }) {
		text += "; along a step it is measured on the lower side"
	}
	texts := []string{text + "."}
	if len(h.Bays.Dams) > 0 {
		// Common practice, no source.
		texts = append(texts, "Leave each dam until the bay placed first holds its edge: it is still wet when the next one starts. "+
			"Then the dam stays in for good, or is pulled for a cold joint; or it is pulled earlier, while both sides are wet and level. "+
			"The crew and the designer choose (common practice, no source).")
	}
	return sheet.Section{Title: "Bays", Together: true, Text: texts,
		Tables: []table.Table{h.bayTable()}, Pictures: []sheet.Picture{{Drawing: h.setOutMap(false, false, true), Caption: caption, Most: 0.5}}}
}

func (h *Handover) bayLayers() []exchange.Layer {
	if h.Bays == nil {
		return nil
	}
	z := h.top()
	dams, bays := exchange.Layer{Name: "DAMS"}, exchange.Layer{Name: "BAYS"}
	for _, d := range h.Bays.Dams {
		dams.Lines = append(dams.Lines, exchange.Line{Points: []surface.Vec{d.From, d.To}, Elevation: z, Properties: []exchange.Property{{Name: "name", Value: d.Name}, {Name: "length_m", Value: d.Length}, {Name: "height_mm", Value: 1000 * d.Height}, {Name: "least_height_mm", Value: 1000 * d.Least}}})
		dams.Labels = append(dams.Labels, exchange.Label{At: surface.Vec{X: (d.From.X + d.To.X) / 2, Y: (d.From.Y + d.To.Y) / 2}, Elevation: z, Text: "dam " + d.Name})
	}
	for k, b := range h.Bays.Bays {
		bays.Labels = append(bays.Labels, exchange.Label{At: b.At, Elevation: z, Text: "bay " + b.Name + " " + h.bayText(k)})
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
