package report

import (
	"fmt"
	"strings"

	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey/unit"
)

// books lists the tables of the take-off. A spreadsheet recalculates them when a figure of
// the user's changes.
func (h *Handover) books() []table.Table {
	var out []table.Table
	if h.Filled.Fill.Fill > 0 {
		out = append(out, h.takeoffTable())
		if h.Supplies.Total.Priced() {
			out = append(out, h.totalTable())
		}
	}
	out = append(out, sureBandTable(h.Filled, h.Style))
	if regions := regionTable(h.Filled, h.Style); regions.Rows != nil {
		out = append(out, regions)
	}
	if heights := h.heights(bookHeights(h.Style.Imperial)); heights.Rows != nil {
		out = append(out, heights)
	}
	if h.Service != nil {
		out = append(out, h.partTable())
	}
	if h.Bars != nil {
		out = append(out, h.cutSheet(), h.chairTable())
	}
	if h.Mesh != nil {
		out = append(out, h.meshTable())
	}
	if h.Bays != nil {
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

// worked is a calculated figure.
func (l *ledger) worked(name, key string, v float64, unit, formula, how string) {
	l.Rows = append(l.Rows, []table.Cell{table.Text(name), {Value: v, Number: true, Name: key, Formula: formula}, table.Text(unit), table.Text(how)})
}

// count is a total of items.
func (l *ledger) count(name, key string, v float64, formula, how string) {
	l.total(name, key, v, "", formula, how)
	l.Rows[len(l.Rows)-1][1].Whole = true
}

// total is worked, in bold.
func (l *ledger) total(name, key string, v float64, unit, formula, how string) {
	l.worked(name, key, v, unit, formula, how)
	row := l.Rows[len(l.Rows)-1]
	row[0].Bold, row[1].Bold = true, true
}

// takeoffTable is the order line by line: that of the plant, and bags.
func (h *Handover) takeoffTable() table.Table {
	l, u := newLedger("Take-off"), h.measures()
	l.given("Roughness", "roughness", h.Losses.Roughness/u.thin, u.thinName, "that the old floor's profile swallows")
	l.given("Finish high by", "high", h.Losses.High/u.thin, u.thinName, "")
	l.given("Allowance", "percent", percentOf(h.Losses.Allowance), "%", "spill, absorption, survey error")
	h.plantRows(l, u)
	h.bagRows(l, u)
	if b := h.Unserved; b.Area > 0 {
		l.given("Not served", "unserved", b.Volume/u.volume, u.volumeName, "no material may be laid there: not in the order, not in the price")
		l.given("Not served, area", "unserved_area", b.Area/u.area, u.areaName, "in plan")
	}
	l.given("Fill of all materials", "whole", h.Whole.Net/u.volume, u.volumeName, "old floor to target")
	l.given("Over", "over", h.Whole.Area/u.area, u.areaName, "in plan")
	// Of several materials this is the mean, so that the mass is right.
	l.given("Unit weight", "weight", h.Mix.Load.Mass/h.Whole.Net/u.weight, u.weightName, "in place")
	l.worked("Mass in place", "mass", h.Mix.Load.Mass/u.mass, u.massName, "{whole}*"+u.each+"*{weight}", "fill × unit weight")
	l.worked("Mean load", "load", h.Mix.Load.Mean/u.mass*u.area, u.massName+"/"+u.areaName, "{mass}/{over}", "")
	return l.Table
}

// amount writes a price in the user's currency, or as a bare number if none is named.
func (h *Handover) amount(v float64) string {
	return strings.TrimSpace(unit.Money(order.Money(v)) + " " + h.Currency)
}

// inCents is a formula of money, rounded as [order.Money] rounds.
func inCents(formula string) string { return "ROUND(" + formula + ",2)" }

// plantRows are the rows that come by truck.
func (h *Handover) plantRows(l *ledger, u measures) {
	t, d, f := h.Takeoff, h.Delivery, h.Takeoff.Floor
	if d.Trucks == 0 && h.Bag == nil {
		return
	}
	line := func(name string) float64 {
		for _, o := range t.Items {
			if o.Name == name {
				return o.Volume / u.volume
			}
		}
		return 0
	}
	l.given("Net volume", "net", f.Net/u.volume, u.volumeName, "that the plant delivers, old floor to target")
	l.given("Filled area", "area", f.Area/u.area, u.areaName, "of it, in plan")
	l.given("Old floor", "real", f.Real/u.area, u.areaName, "filled area along the slope")
	l.worked(order.RoughFloor, "rough", line(order.RoughFloor), u.volumeName, "{roughness}*{real}/"+u.layer, "roughness × old floor")
	l.worked(order.FinishHigh, "finish", line(order.FinishHigh), u.volumeName, "{high}*{area}/"+u.layer, "× filled area")
	ground := ""
	if v := line(order.Ground); v > 0 {
		l.given(order.Ground, "ground", v, u.volumeName, "covers what is ground first")
		ground = "+{ground}"
	}
	if v := line(order.Margin); v > 0 {
		l.given(order.Margin, "margin", v, u.volumeName, "the fill is that much more at the risk that is accepted")
		ground += "+{margin}"
	}
	l.worked(order.Allowance, "allowance", line(order.Allowance), u.volumeName, "{percent}/100*({net}+{rough}+{finish}"+ground+")", "of the volumes above")
	l.given("Pump line, bore", "bore", h.Losses.Bore/u.thin, u.thinName, "inside")
	l.given("Pump line, length", "length", h.Losses.Length/u.long, u.longName, "")
	l.worked(order.PumpLine, "line", line(order.PumpLine), u.volumeName, "PI()/4*({bore}/"+u.bore+")^2*{length}/"+u.line, "π/4 × bore² × length")
	l.given(order.Hopper, "hopper", line(order.Hopper), u.volumeName, "left in the pump")
	l.given(order.Priming, "priming", line(order.Priming), u.volumeName, "run through the line and thrown away")
	l.total(neededLine, "need", t.Need/u.volume, u.volumeName, "{net}+{rough}+{finish}"+ground+"+{allowance}+{line}+{hopper}+{priming}", "the lines together")
	if b := h.Bag; b != nil {
		l.given("Yield of a bag", "bag_yield", b.Yield/u.volume, u.volumeName, "usual; as the bag says")
		l.count("Bags", "bags", float64(b.Count), "ROUNDUP(ROUND({need}/{bag_yield},9),0)", "bags of "+b.Name)
		price := h.Job.Mix.PricePerBag
		l.given("Price of a bag", "bag_price", price, h.Currency, "your own; 0 where not known")
		l.total("Cost of the bags", "bag_cost", order.Money(float64(b.Count)*price), h.Currency, inCents("{bags}*{bag_price}"), "")
		return
	}
	l.given("Order step", "step", h.Mix.Step/u.volume, u.volumeName, "the plant delivers whole steps")
	l.total("To order", "order", d.Volume/u.volume, u.volumeName, "ROUNDUP(ROUND({need}/{step},9),0)*{step}", "rounded up, never down")
	switch {
	case h.OnSite:
	case len(d.Loads) > 0:
		l.given("Trucks", "trucks", float64(d.Trucks), "", "loads as under Trucks by the clock")
	default:
		l.given("Truck", "truck", d.Full/u.volume, u.volumeName, "a load in whole steps")
		l.count("Trucks", "trucks", float64(d.Trucks), "ROUNDUP(ROUND({order}/{truck},9),0)", "")
		l.worked("Last truck", "last", d.Last/u.volume, u.volumeName, "{order}-({trucks}-1)*{truck}", "")
	}
	l.given("Price of the mix", "price", h.Price*u.volume, strings.TrimSpace(h.Currency+" per "+u.volumeName), "your own; 0 where not known")
	l.total("Cost of the mix", "cost", order.Money(d.Volume*h.Price), h.Currency, inCents("{order}*{price}"), "excluding short-load and waiting charges")
}

// bagRows are the rows that come in bags.
func (h *Handover) bagRows(l *ledger, u measures) {
	if h.Service == nil {
		return
	}
	steep := h.Whole.Real / h.Whole.Area
	for i, m := range h.Bought {
		one := h.Service.Materials[m.Material]
		if one.Yield == 0 {
			continue
		}
		k := func(name string) string { return fmt.Sprintf("%s_%d", name, i+1) }
		net, area := 0.0, 0.0
		for _, p := range h.Service.Parts {
			if p.Material == m.Material {
				net, area = net+p.Volume, area+p.Area
			}
		}
		l.given(one.Name+", net", k("net"), net/u.volume, u.volumeName, "old floor to target, where it serves")
		l.given(one.Name+", area", k("area"), area/u.area, u.areaName, "in plan")
		margin := ""
		if v := h.MarginOf(m.Material); v > 0 {
			l.given(one.Name+", margin", k("margin"), v/u.volume, u.volumeName, "its share is that much more at the risk that is accepted")
			margin = "+{" + k("margin") + "}"
		}
		l.worked(one.Name+", needed", k("need"), m.Volume/u.volume, u.volumeName,
			fmt.Sprintf("({%s}+({roughness}*%.9g+{high})*{%s}/%s%s)*(1+{percent}/100)", k("net"), steep, k("area"), u.layer, margin), "with rough floor, finish high and allowance")
		l.given(one.Name+", yield of a bag", k("yield"), one.Yield/u.volume, u.volumeName, "as the bag says")
		l.count(one.Name+", bags", k("bags"), float64(m.Bags), "ROUNDUP(ROUND({"+k("need")+"}/{"+k("yield")+"},9),0)", "whole bags")
		l.given(one.Name+", price of a bag", k("price"), one.Price, h.Currency, "your own; 0 where not known")
		l.total(one.Name+", cost", k("cost"), order.Money(float64(m.Bags)*one.Price), h.Currency, inCents("{"+k("bags")+"}*{"+k("price")+"}"), "")
	}
}

// percentOf writes a share in percent without the noise of its last bits.
func percentOf(share float64) float64 { return job.Rounded(100*share, 1e-9) }
