package job

import (
	"fmt"
	"strings"

	"pourplane/surface/order"
	"pourplane/survey"
)

// total is the price of the job at the user's prices.
type total struct {
	Lines   []totalLine
	Cost    order.Cost // of the lines; Lacking: those without a price
	Outside []string   // what no key of the job has a price for
	Part    bool       // some of the fill is in no line, as no material serves it
}

// totalLine is one thing that is bought.
type totalLine struct {
	Item     string
	Quantity float64 // in SI units, or of whole things
	Unit     string  // in SI
	Price    float64 // of one SI unit or thing; 0: not given
	From     string  // cell of the workbook that its cost stands in already; empty: the table of prices has it
}

func (l totalLine) Amount() float64 { return order.Money(l.Quantity * l.Price) }

// addUp lists all that is bought with its price.
func (h *Result) addUp(e *entries) {
	if h.Filled.Fill.Fill == 0 {
		return
	}
	t := &h.Supplies.Total
	t.Part = h.Unserved.Area > 0
	add := func(item string, quantity float64, unit string, price float64, from string) {
		if quantity > 0 {
			t.Lines = append(t.Lines, totalLine{item, quantity, unit, price, from})
		}
	}
	things := func(item string, n int, unit string, price float64) {
		add(item, float64(n), unit, price, "")
	}
	one := func(key string, price float64) float64 { return e.price("", priced{key, price, 1}) }
	if d := h.Delivery; d.Trucks > 0 {
		name := "Mix"
		for _, u := range h.Bought {
			if h.Service.Materials[u.Material].Yield == 0 {
				name = h.Service.Materials[u.Material].Name
			}
		}
		add(name, d.Volume, "m3", h.Price, "cost")
		if !h.OnSite {
			t.Outside = append(t.Outside, "charges for short loads and waiting")
		}
	}
	if b := h.Bag; b != nil {
		add("Bags of "+b.Name, float64(b.Count), "bags", one("mix.price-per-bag", h.Job.Mix.PricePerBag), "bag_cost")
	}
	for i, u := range h.Bought {
		if k := h.Service.Materials[u.Material]; k.Yield > 0 {
			add(k.Name, float64(u.Bags), "bags", k.Price, fmt.Sprintf("cost_%d", i+1))
		}
	}
	for i, c := range h.Coats {
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
	j := h.Job
	if k := h.Edging; k != nil {
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
	if k := h.Joints; k != nil {
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
	if b := h.Bars; b != nil {
		things("Bars of "+b.Rules.Size.Name+", "+h.Style.Length(b.Rules.Stock), b.Stock, "bars", one("bars.price-per-bar", j.Bars.PricePerBar))
		things("Chairs", len(b.Chairs), "chairs", one("bars.price-per-chair", j.Bars.PricePerChair))
	}
	if k := h.Mesh; k != nil {
		things("Mesh", k.Count, "sheets", one("mesh.price-per-sheet", j.Mesh.PricePerSheet))
	}
	if e.err != nil {
		return
	}
	for _, l := range t.Lines {
		one := order.Cost{Amount: l.Amount()}
		if l.Price == 0 {
			one.Lacking = []string{l.Item}
		}
		t.Cost = t.Cost.Plus(one)
	}
	t.Outside = append(t.Outside, "labour", "hire", "tax")
	if t.Priced() && !t.Cost.Known() {
		h.Notes = append(h.Notes, survey.Notef(survey.Warning, survey.Pos{}, "total price: without %s, as no price is given", strings.Join(t.Cost.Lacking, ", ")).About(survey.AboutOrder))
	}
}

// Priced tells whether anything has a price: without one there is no total.
func (t *total) Priced() bool { return t.Cost.Amount > 0 }

// Complete tells whether all of the fill is in the lines, and every line has a price.
func (t *total) Complete() bool { return t.Cost.Known() && !t.Part }
