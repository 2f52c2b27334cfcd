package main

import (
	"cmp"
	"fmt"
	"math"

	"pourplane/plot/table"
	"pourplane/surface/order"
)

// books lists the tables of the take-off, whose figures a spreadsheet works out anew
// when one of the user's own is changed.
func (h *handover) books() []table.Table {
	var out []table.Table
	if h.work.fill.Fill > 0 {
		out = append(out, h.takeoffTable())
	}
	out = append(out, h.bandTable())
	out = append(out, h.serviceTables()...)
	if h.bars != nil {
		out = append(out, h.cutTable(), h.chairTable())
	}
	if h.bays != nil {
		out = append(out, h.bayTable())
	}
	out = append(out, h.supplySection().Tables...)
	return append(out, h.waysSection().Tables...)
}

// ledger collects the rows of a take-off.
type ledger struct{ table.Table }

func newLedger(title string) *ledger {
	return &ledger{table.Table{Title: title, Columns: []table.Column{{Name: "Item"}, {Name: "Figure", Right: true, Decimals: 3}, {Name: "Unit"}, {Name: "How"}}}}
}

// given is a figure that the user may change.
func (l *ledger) given(name, key string, v float64, unit, how string) {
	l.Rows = append(l.Rows, []table.Cell{table.Text(name), {Value: v, Number: true, Name: key, Input: true}, table.Text(unit), table.Text(how)})
}

// worked is a figure that follows from others.
func (l *ledger) worked(name, key string, v float64, unit, formula, how string) {
	l.Rows = append(l.Rows, []table.Cell{table.Text(name), {Value: v, Number: true, Name: key, Formula: formula}, table.Text(unit), table.Text(how)})
}

// total is worked, in bold.
func (l *ledger) total(name, key string, v float64, unit, formula, how string) {
	l.worked(name, key, v, unit, formula, how)
	row := l.Rows[len(l.Rows)-1]
	row[0].Bold, row[1].Bold = true, true
}

// takeoffTable is the order line by line.
func (h *handover) takeoffTable() table.Table {
	l := newLedger("Take-off")
	t, d, f := h.takeoff, h.delivery, h.takeoff.Floor
	line := func(name string) float64 {
		for _, o := range t.Lines {
			if o.Name == name {
				return o.Volume
			}
		}
		return 0
	}
	loss, price, money := h.losses, h.job.Mix.Price, cmp.Or(h.job.Mix.Currency, "money")
	if d.Trucks > 0 {
		l.given("Net volume", "net", f.Net, "m³", "that the plant delivers, old floor to target")
		l.given("Filled area", "area", f.Area, "m²", "of it, in plan")
		l.given("Old floor", "real", f.Real, "m²", "filled area along the slope")
		l.given("Roughness", "roughness", 1000*loss.Roughness, "mm", "that the old floor's profile swallows")
		l.worked("Rough floor", "rough", line("Rough floor"), "m³", "{roughness}/1000*{real}", "roughness × old floor")
		l.given("Finish high by", "high", 1000*loss.High, "mm", "")
		l.worked("Finish high", "finish", line("Finish high"), "m³", "{high}/1000*{area}", "× filled area")
		l.given("Allowance", "percent", math.Round(1e10*loss.Allowance)/1e8, "%", "spill, absorption, survey error")
		l.worked("Allowance", "allowance", line("Allowance"), "m³", "{percent}/100*({net}+{rough}+{finish})", "of the volumes above")
		l.given("Pump line, bore", "bore", 1000*loss.Bore, "mm", "inside")
		l.given("Pump line, length", "length", loss.Length, "m", "")
		l.worked("Pump line", "line", line("Pump line"), "m³", "PI()/4*({bore}/1000)^2*{length}", "π/4 × bore² × length")
		l.given("Hopper", "hopper", line("Hopper"), "m³", "left in the pump")
		l.given("Priming", "priming", line("Priming"), "m³", "run through the line and thrown away")
		l.total("Needed", "need", t.Need, "m³", "{net}+{rough}+{finish}+{allowance}+{line}+{hopper}+{priming}", "the lines together")
		l.given("Order step", "step", h.mix.Step, "m³", "the plant delivers whole steps")
		l.total("To order", "order", d.Volume, "m³", "ROUNDUP(ROUND({need}/{step},9),0)*{step}", "rounded up, never down")
		l.worked("To order", "yards", d.CubicYards(), "yd³", fmt.Sprintf("{order}/%.12g", order.CubicYard), "")
		l.given("Truck", "truck", d.Full, "m³", "a load in whole steps")
		l.worked("Trucks", "trucks", float64(d.Trucks), "", "ROUNDUP(ROUND({order}/{truck},9),0)", "")
		l.worked("Last truck", "last", d.Last, "m³", "{order}-({trucks}-1)*{truck}", "")
		l.given("Price", "price", price, money+" per m³", "your own; 0 where not known")
		l.total("Cost of the mix", "cost", d.Volume*price, money, "{order}*{price}", "order × price, without charges for short loads or waiting")
	}
	l.given("Fill of all materials", "whole", h.whole.Net, "m³", "old floor to target")
	l.given("Over", "over", h.whole.Area, "m²", "in plan")
	l.given("Unit weight", "weight", h.mix.UnitWeight, "kg/m³", "")
	l.worked("Mass in place", "mass", h.mix.Load.Mass, "kg", "{whole}*{weight}", "fill × unit weight")
	l.worked("Mean load", "load", h.mix.Load.Mean, "kg/m²", "{mass}/{over}", "")
	return l.Table
}

// bandTable is the floor by depth.
func (h *handover) bandTable() table.Table {
	t := table.Table{Title: "Depth bands", Columns: []table.Column{{Name: "From (mm)", Right: true, Decimals: 1}, {Name: "To (mm)", Right: true, Decimals: 1}, {Name: "Area (m²)", Right: true, Decimals: 3}, {Name: "Volume (m³)", Right: true, Decimals: 4}},
		Notes: []string{"Negative depths stand above the target."}}
	for _, b := range h.work.fill.Bands {
		t.Rows = append(t.Rows, []table.Cell{table.Number(1000 * b.From), table.Number(1000 * b.To), table.Number(b.Area), table.Number(b.Volume)})
	}
	return t
}
