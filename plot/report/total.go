package report

import (
	"fmt"
	"slices"
	"strings"

	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/survey/unit"
)

// TotalText is the price of the job and what it leaves out, empty if nothing has a price.
func (h *Handover) TotalText() string {
	t := &h.Supplies.Total
	if !t.Priced() {
		return ""
	}
	text := h.amount(t.Cost.Amount) + lessing(h.unserved(h.Style))
	if !t.Cost.Known() {
		text += "; no price given: " + strings.Join(h.unpriced(), ", ")
	}
	return text
}

// unpriced lists the items without a price in a word or two: "film" of "film along the walls".
func (h *Handover) unpriced() []string {
	var out []string
	for _, l := range h.Supplies.Total.Lines {
		name := l.Item.In(h.Style)
		if !l.Named {
			for _, more := range []string{" along ", " of "} {
				name, _, _ = strings.Cut(name, more)
			}
			name = strings.ToLower(name[:1]) + name[1:]
		}
		if l.Price == 0 && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// lessing names what a sum or an order leaves out.
func lessing(without []string) string {
	if len(without) == 0 {
		return ""
	}
	return ", without " + strings.Join(without, " and ")
}

// unserved lists the depths without a material, as one item that is not included.
func (h *Handover) unserved(u unit.Style) []string {
	if text := h.UnservedText().In(u); text != "" {
		return []string{text}
	}
	return nil
}

// notIncluded lists what the price of the job leaves out, the most important first.
func (h *Handover) notIncluded(u unit.Style) []string {
	t := &h.Supplies.Total
	out := h.unserved(u)
	for _, name := range t.Unpriced() {
		out = append(out, name.In(u))
	}
	return append(out, t.Outside...)
}

// totalFigure is the price of the job for the first page; nil if nothing has a price.
func (h *Handover) totalFigure() *sheet.Figure {
	t := &h.Supplies.Total
	if !t.Priced() {
		return nil
	}
	if !t.Complete() {
		without := h.unserved(h.Style)
		switch lacking := t.Cost.Lacking; {
		case len(lacking) > mostLacking:
			without = append(without, fmt.Sprintf("%d of %d items, listed below", len(lacking), len(t.Lines)))
		default:
			without = append(without, lacking...)
		}
		return &sheet.Figure{Value: "price: not complete", Name: "without " + strings.Join(without, " and ")}
	}
	name := "price, no currency named"
	if h.Currency != "" {
		name = "price in " + h.Currency
	}
	return &sheet.Figure{Value: unit.Money(t.Cost.Amount), Name: name}
}

// inCurrency names the currency of the prices, or says that none is named.
func (h *Handover) inCurrency() string {
	if h.Currency == "" {
		return "; the job names no currency"
	}
	return ", in " + h.Currency
}

// mostLacking is the max number of items without a price that are named under a figure.
const mostLacking = 3

// totalTable is the price of the job line by line; changing a price in a spreadsheet changes
// the total.
func (h *Handover) totalTable() table.Table {
	t := &h.Supplies.Total
	out := table.Table{Title: "Price of the job", Columns: []table.Column{{Name: "Item"}, {Name: "Quantity", Right: true, Decimals: 2, Under: "%s"}, {Name: "Unit", Under: " %s"}, {Name: "Price of one", Unit: h.Currency, Right: true, Decimals: 2, Grouped: true, Under: ", price %s"}, {Name: "Cost", Unit: h.Currency, Right: true, Decimals: 2, Grouped: true}},
		Notes: []string{"Not included: " + strings.Join(h.notIncluded(h.Style), ", ") + "."}}
	var sum []string
	// Cells of the take-off that already contain these figures.
	quantities := map[string]string{"cost": "order", "bag_cost": "bags"}
	prices := map[string]string{"cost": "price", "bag_cost": "bag_price"}
	m := h.measures()
	for k, l := range t.Lines {
		shown, name := l.Quantity, l.Unit
		switch l.Unit {
		case "m3":
			shown, name = l.Quantity/m.volume, m.volumeName
		case "L":
			shown, name = l.Quantity/m.liquid, m.liquidName
		case "m":
			shown, name = l.Quantity/m.long, m.longName
		}
		if l.Quantity == 1 {
			name = strings.TrimSuffix(name, "s") // of items: packs, rolls
		}
		each := l.Price * l.Quantity / shown
		key := fmt.Sprintf("total_%d", k+1)
		quantity := table.Cell{Value: shown, Number: true, Name: "q" + key, Whole: l.Unit != "m3" && l.Unit != "L"}
		price := table.Cell{Value: each, Number: true, Name: "p" + key, Input: l.From == ""}
		amount := table.Cell{Value: l.Amount(), Number: true, Name: key, Formula: inCents("{q" + key + "}*{p" + key + "}")}
		if n, ok := strings.CutPrefix(l.From, "cost_"); ok {
			quantity.Formula, price.Formula = "{bags_"+n+"}", "{price_"+n+"}"
		} else if l.From != "" {
			quantity.Formula, price.Formula = "{"+quantities[l.From]+"}", "{"+prices[l.From]+"}"
		}
		if l.Price == 0 {
			price.Text, amount.Text = table.NotKnown, "—"
		}
		out.Rows = append(out.Rows, []table.Cell{table.Text(l.Item.In(h.Style)), quantity, table.Text(name), price, amount})
		sum = append(sum, "{"+key+"}")
	}
	head := "Total"
	if !t.Cost.Known() {
		head = "Total of what has a price"
	}
	head += lessing(h.unserved(h.Style))
	out.Rows = append(out.Rows, []table.Cell{{Text: head, Bold: true}, table.Text(""), table.Text(""), table.Text(""), {Value: t.Cost.Amount, Number: true, Bold: true, Name: "total", Formula: strings.Join(sum, "+")}})
	return out
}

// totalJSON is the price of the job. Quantities are in SI units, prices per unit.
type totalJSON struct {
	Amount   float64         `json:"amount"` // of everything with a price
	Currency string          `json:"currency"`
	Complete bool            `json:"complete"` // every line has a price, and the lines cover all of the fill
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

// totalOf is null if nothing has a price. Own writes what is left out.
func (h *Handover) totalOf(own unit.Style) *totalJSON {
	t := &h.Supplies.Total
	if !t.Priced() {
		return nil
	}
	out := &totalJSON{Amount: t.Cost.Amount, Currency: h.Currency, Complete: t.Complete(), Not: h.notIncluded(own)}
	for _, l := range t.Lines {
		one := totalLineJSON{Item: l.Item.In(own), Quantity: l.Quantity, Unit: l.Unit}
		if l.Price > 0 {
			price, amount := l.Price, l.Amount()
			one.Price, one.Amount = &price, &amount
		}
		out.Lines = append(out.Lines, one)
	}
	return out
}
