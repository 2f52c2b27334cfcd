package main

import (
	"fmt"
	"strings"

	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface/order"
	"pourplane/survey"
)

// total is the price of the job at the user's prices.
type total struct {
	lines   []totalLine
	cost    order.Cost // of the lines; Lacking: those without a price
	outside []string   // what no key of the job has a price for
}

// totalLine is one thing that is bought.
type totalLine struct {
	item     string
	quantity float64 // in SI units, or of whole things
	unit     string  // in SI
	price    float64 // of one SI unit or thing; 0: not given
	from     string  // cell of the workbook that its cost stands in already; empty: the table of prices has it
}

func (l totalLine) amount() float64 { return order.Money(l.quantity * l.price) }

// addUp lists all that is bought with its price.
func (h *solved) addUp(e *entries) {
	if h.work.fill.Fill == 0 {
		return
	}
	t := &h.supplies.total
	add := func(item string, quantity float64, unit string, price float64, from string) {
		if quantity > 0 {
			t.lines = append(t.lines, totalLine{item, quantity, unit, price, from})
		}
	}
	things := func(item string, n int, unit string, price float64) {
		add(item, float64(n), unit, price, "")
	}
	one := func(key string, price float64) float64 { return e.price("", priced{key, price, 1}) }
	if d := h.delivery; d.Trucks > 0 {
		name := "Mix"
		for _, u := range h.bought {
			if h.service.Materials[u.Material].Yield == 0 {
				name = h.service.Materials[u.Material].Name
			}
		}
		add(name, d.Volume, "m3", h.price, "cost")
		if !h.onSite {
			t.outside = append(t.outside, "charges for short loads and waiting")
		}
	}
	if b := h.bag; b != nil {
		add("Bags of "+b.name, float64(b.Count), "bags", one("mix.price-per-bag", h.job.Mix.PricePerBag), "bag_cost")
	}
	for i, u := range h.bought {
		if k := h.service.Materials[u.Material]; k.Yield > 0 {
			add(k.Name, float64(u.Bags), "bags", k.Price, fmt.Sprintf("cost_%d", i+1))
		}
	}
	for i, c := range h.coats {
		name := "Coat: " + c.Name
		if c.Name == "" {
			name = fmt.Sprintf("Coat %d", i+1)
		}
		if c.Packs == 0 {
			add(name, c.Product, "L", 0, "")
			continue
		}
		things(name, c.Packs, "packs", c.Price)
	}
	j := h.job
	if k := h.edging; k != nil {
		film, foam := one("edge.price-per-roll", j.Edge.PricePerRoll), one("edge.price-per-piece", j.Edge.PricePerPiece)
		switch {
		case film > 0 && k.Rolls == 0:
			e.refuse("edge.price-per-roll", "a price of rolls without their length", "roll, and film = true")
		case foam > 0 && k.Pieces == 0:
			e.refuse("edge.price-per-piece", "a price of pieces of foam without their length", "foam and foam-piece")
		}
		if k.Rolls > 0 {
			things("Film along the walls", k.Rolls, "rolls", film)
		} else {
			add("Film along the walls", k.FilmLength, "m", 0, "")
		}
		if k.Pieces > 0 {
			things("Foam along the walls", k.Pieces, "pieces", foam)
		} else {
			add("Foam along the walls", k.FoamLength, "m", 0, "")
		}
	}
	if k := h.joints; k != nil {
		filler := one("joints.price-per-pack", j.Joints.PricePerPack)
		if filler > 0 && k.Packs == 0 {
			e.refuse("joints.price-per-pack", "a price of packs without their size", "pack-litres")
		}
		if k.Packs > 0 {
			things("Filler of joints", k.Packs, "packs", filler)
		} else {
			add("Filler of joints", k.Filler, "L", 0, "")
		}
		rod := e.price("joints.", priced{"rod-price-per-m", j.Joints.RodPerM, 1}, priced{"rod-price-per-ft", j.Joints.RodPerFt, 0.3048})
		add("Rod of joints", k.Rod, "m", rod, "")
	}
	if b := h.bars; b != nil {
		things("Bars of "+b.Rules.Size.Name+", "+h.style.Length(b.Rules.Stock), b.Stock, "bars", one("bars.price-per-bar", j.Bars.PricePerBar))
		things("Chairs", len(b.Chairs), "chairs", one("bars.price-per-chair", j.Bars.PricePerChair))
	}
	if k := h.mesh; k != nil {
		things("Mesh", k.Count, "sheets", one("mesh.price-per-sheet", j.Mesh.PricePerSheet))
	}
	if e.err != nil {
		return
	}
	for _, l := range t.lines {
		one := order.Cost{Amount: l.amount()}
		if l.price == 0 {
			one.Lacking = []string{l.item}
		}
		t.cost = t.cost.Plus(one)
	}
	t.outside = append(t.outside, "labour", "hire", "tax")
	if t.priced() && !t.cost.Known() {
		h.notes = append(h.notes, survey.Notef(survey.Warning, survey.Pos{}, "total price: without %s, as no price is given", strings.Join(t.cost.Lacking, ", ")).About(survey.AboutOrder))
	}
}

// priced tells whether anything has a price: without one there is no total.
func (t *total) priced() bool { return t.cost.Amount > 0 }

// totalText is the price of the job with what it leaves out, empty where nothing has a price.
func (h *handover) totalText() string {
	t := &h.supplies.total
	if !t.priced() {
		return ""
	}
	text := h.amount(t.cost.Amount)
	if !t.cost.Known() {
		text += fmt.Sprintf(", without %d of %d items", len(t.cost.Lacking), len(t.lines))
	}
	return text
}

// totalFigure is the price of the job for the first page; nil where nothing has a price.
func (h *handover) totalFigure() *sheet.Figure {
	t := &h.supplies.total
	if !t.priced() {
		return nil
	}
	name := "price"
	if h.currency != "" {
		name += " in " + h.currency
	}
	if !t.cost.Known() {
		name += ", not all of it"
	}
	return &sheet.Figure{Value: fmt.Sprintf("%.2f", t.cost.Amount), Name: name}
}

// totalTable is the price of the job line by line; a price changed in a spreadsheet changes
// the total.
func (h *handover) totalTable() table.Table {
	t := &h.supplies.total
	out := table.Table{Title: "Price of the job", Columns: []table.Column{{Name: "Item"}, {Name: "Quantity", Right: true, Decimals: 2}, {Name: "Unit"}, {Name: h.inCurrency("Price of one"), Right: true, Decimals: 2}, {Name: h.inCurrency("Cost"), Right: true, Decimals: 2}},
		Notes: []string{"Not included: " + strings.Join(append(append([]string{}, t.cost.Lacking...), t.outside...), ", ") + "."}}
	var sum []string
	// Cells of the take-off that these figures stand in already.
	quantities := map[string]string{"cost": "order", "bag_cost": "bags"}
	prices := map[string]string{"cost": "price", "bag_cost": "bag_price"}
	m := h.measures()
	for k, l := range t.lines {
		shown, name := l.quantity, l.unit
		switch l.unit {
		case "m3":
			shown, name = l.quantity/m.volume, m.volumeName
		case "L":
			shown, name = l.quantity/m.liquid, m.liquidName
		case "m":
			shown, name = l.quantity/m.long, m.longName
		}
		each := l.price * l.quantity / shown
		key := fmt.Sprintf("total_%d", k+1)
		quantity := table.Cell{Value: shown, Number: true, Name: "q" + key, Whole: l.unit != "m3" && l.unit != "L" && l.unit != "m"}
		price := table.Cell{Value: each, Number: true, Name: "p" + key, Input: l.from == ""}
		amount := table.Cell{Value: l.amount(), Number: true, Name: key, Formula: inCents("{q" + key + "}*{p" + key + "}")}
		if n, ok := strings.CutPrefix(l.from, "cost_"); ok {
			quantity.Formula, price.Formula = "{bags_"+n+"}", "{price_"+n+"}"
		} else if l.from != "" {
			quantity.Formula, price.Formula = "{"+quantities[l.from]+"}", "{"+prices[l.from]+"}"
		}
		if l.price == 0 {
			price.Text, amount.Text = "not known", "—"
		}
		out.Rows = append(out.Rows, []table.Cell{table.Text(l.item), quantity, table.Text(name), price, amount})
		sum = append(sum, "{"+key+"}")
	}
	head := "Total"
	if !t.cost.Known() {
		head = "Total of what has a price"
	}
	out.Rows = append(out.Rows, []table.Cell{{Text: head, Bold: true}, table.Text(""), table.Text(""), table.Text(""), {Value: t.cost.Amount, Number: true, Bold: true, Name: "total", Formula: strings.Join(sum, "+")}})
	return out
}

// totalJSON is the price of the job. Quantities are in SI units, prices of one of them.
type totalJSON struct {
	Amount   float64         `json:"amount"` // of what has a price
	Currency string          `json:"currency"`
	Complete bool            `json:"complete"` // every line has a price
	Lines    []totalLineJSON `json:"lines"`
	Not      []string        `json:"not_included"`
}

type totalLineJSON struct {
	Item     string   `json:"item"`
	Quantity float64  `json:"quantity"`
	Unit     string   `json:"unit"`
	Price    *float64 `json:"price"` // of one; null: not given
	Amount   *float64 `json:"amount"`
}

// totalOf is null where nothing has a price.
func (h *handover) totalOf() *totalJSON {
	t := &h.supplies.total
	if !t.priced() {
		return nil
	}
	out := &totalJSON{Amount: t.cost.Amount, Currency: h.currency, Complete: t.cost.Known(), Not: append(append([]string{}, t.cost.Lacking...), t.outside...)}
	for _, l := range t.lines {
		one := totalLineJSON{Item: l.item, Quantity: l.quantity, Unit: l.unit}
		if l.price > 0 {
			price, amount := l.price, l.amount()
			one.Price, one.Amount = &price, &amount
		}
		out.Lines = append(out.Lines, one)
	}
	return out
}
