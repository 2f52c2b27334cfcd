package job

import (
	"fmt"
	"slices"
	"strconv"

	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// total is the price of the job at the user's prices.
type total struct {
	Lines   []totalLine
	Cost    order.Cost // cost of the lines; Lacking: lines without a price
	Outside []string   // items that no key of the job prices
	Part    bool       // some of the fill is in no line, since no material serves it
}

// totalLine is one thing that is bought.
type totalLine struct {
	Item     unit.Text
	Quantity float64 // in SI units, or a number of things
	Unit     string  // in SI
	Price    float64 // per SI unit or thing; 0: not given
	Named    bool    // by the user
	From     string  // cell of the workbook that already holds its cost; empty: the table of prices holds it
}

// Unpriced lists the items without a price, as in a sentence.
func (t *total) Unpriced() []unit.Text {
	var out []unit.Text
	for _, l := range t.Lines {
		if item := l.inSentence(); l.Price == 0 && !slices.ContainsFunc(out, func(t unit.Text) bool { return t.String() == item.String() }) {
			out = append(out, item)
		}
	}
	return out
}

// inSentence is the item in the middle of a sentence: without its capital, unless the user
// named it.
func (l totalLine) inSentence() unit.Text {
	if l.Named {
		return l.Item
	}
	return l.Item.Lower()
}

// itemNamed returns the name of an item that has no quantity.
func itemNamed(name string) unit.Text { return unit.Textf("%s", name) }

func (l totalLine) Amount() float64 { return order.Money(l.Quantity * l.Price) }

// addUp lists everything to buy with its price.
func (h *Result) addUp(e *entries) {
	if h.Filled.Fill.Fill == 0 {
		return
	}
	t := &h.Supplies.Total
	e.priceOf("mix.short-load-price", h.Job.Mix.ShortLoadPrice) // weighed in [Filled.Risks]
	t.Part = h.Unserved.Area > 0
	h.addMix(t, e)
	h.addCoats(t)
	h.addEdging(t, e)
	h.addJoints(t, e)
	if b := h.Bars; b != nil {
		t.add(unit.Textf("Bars of %s in lengths of %s", b.Rules.Size.Name, unit.Distance(b.Rules.Stock)), float64(b.Stock), "bars", e.priceOf("bars.price-per-bar", h.Job.Bars.PricePerBar), "")
		t.things("Chairs", len(b.Chairs), "chairs", e.priceOf("bars.price-per-chair", h.Job.Bars.PricePerChair))
	}
	if k := h.Mesh; k != nil {
		t.things("Mesh", k.Count, "sheets", e.priceOf("mesh.price-per-sheet", h.Job.Mesh.PricePerSheet))
	}
	if e.err != nil {
		return
	}
	t.sum()
	t.Outside = append(t.Outside, "labour", "hire", "tax")
	if t.Priced() && !t.Cost.Known() {
		h.Notes = append(h.Notes, survey.Notef(survey.Warning, survey.Pos{}, "total price: without %s, as no price is given", unit.Join(t.Unpriced(), ", ")).About(survey.AboutOrder))
	}
}

// add adds an item if its quantity is not zero.
func (t *total) add(item unit.Text, quantity float64, of string, price float64, from string) {
	if quantity > 0 {
		t.Lines = append(t.Lines, totalLine{Item: item, Quantity: quantity, Unit: of, Price: price, From: from})
	}
}

// material adds a material under the name that the user gave it.
func (t *total) material(name string, quantity float64, of string, price float64, from string) {
	t.add(itemNamed(name), quantity, of, price, from)
	if quantity > 0 {
		t.Lines[len(t.Lines)-1].Named = true
	}
}

// things adds n whole things if n is not zero.
func (t *total) things(item string, n int, of string, price float64) {
	t.add(itemNamed(item), float64(n), of, price, "")
}

// byLength adds what is sold by length: whole feet or metres.
func (t *total) byLength(item string, m float64, us bool, price float64) {
	t.add(itemNamed(item), BoughtLength(m, us), "m", price, "")
}

// BoughtLength rounds a length in m up to whole metres, or to whole feet in US units, as it is
// sold.
func BoughtLength(m float64, us bool) float64 {
	one := 1.0
	if us {
		one = unit.Foot.Metres()
	}
	return unit.Up(m, one)
}

// sum adds up the cost of the lines.
func (t *total) sum() {
	for _, l := range t.Lines {
		one := order.Cost{Amount: l.Amount()}
		if l.Price == 0 {
			one.Lacking = []string{l.inSentence().String()}
		}
		t.Cost = t.Cost.Plus(one)
	}
}

// priceOf checks the price of a key of the job.
func (e *entries) priceOf(key string, price float64) float64 {
	return e.price("", priced{key, price, 1})
}

// addMix adds the materials of the fill: by truck, and in bags.
func (h *Result) addMix(t *total, e *entries) {
	if d := h.Delivery; d.Trucks > 0 {
		name := ""
		for _, u := range h.Bought {
			if h.Service.Materials[u.Material].Yield == 0 {
				name = h.Service.Materials[u.Material].Name
			}
		}
		if name == "" {
			t.add(itemNamed("Mix"), d.Volume, "m3", h.Price, "cost")
		} else {
			t.material(name, d.Volume, "m3", h.Price, "cost")
		}
		if !h.OnSite {
			t.Outside = append(t.Outside, "charges for short loads and waiting")
		}
	}
	if b := h.Bag; b != nil {
		t.add(itemNamed("Bags of "+b.Name), float64(b.Count), "bags", e.priceOf("mix.price-per-bag", h.Job.Mix.PricePerBag), "bag_cost")
	}
	for i, u := range h.Bought {
		if k := h.Service.Materials[u.Material]; k.Yield > 0 {
			t.material(k.Name, float64(u.Bags), "bags", k.Price, fmt.Sprintf("cost_%d", i+1))
		}
	}
}

// addCoats adds the coats, in packs if their size is known.
func (h *Result) addCoats(t *total) {
	for i, c := range h.Coats {
		name := "Coat: " + c.Name
		if c.Name == "" {
			name = fmt.Sprintf("Coat %d", i+1)
		}
		if c.Packs == 0 {
			t.add(itemNamed(name), c.Product, "L", 0, "")
			continue
		}
		t.things(name, c.Packs, "packs", c.Price)
	}
}

// addEdging adds film and foam along the walls, in rolls and pieces if their length is
// known.
func (h *Result) addEdging(t *total, e *entries) {
	k := h.Edging
	if k == nil {
		return
	}
	film, foam := e.priceOf("edge.price-per-roll", h.Job.Edge.PricePerRoll), e.priceOf("edge.price-per-piece", h.Job.Edge.PricePerPiece)
	switch {
	case film > 0 && k.Rolls == 0:
		e.refuse("edge.price-per-roll", "a price of rolls without their length", "roll, and film = true")
	case foam > 0 && k.Pieces == 0:
		e.refuse("edge.price-per-piece", "a price of pieces of foam without their length", "foam and foam-piece")
	}
	if k.Rolls > 0 {
		t.things("Film along the walls", k.Rolls, "rolls", film)
	} else {
		t.byLength("Film along the walls", k.FilmLength, h.US, 0)
	}
	if k.Pieces > 0 {
		t.things("Foam along the walls", k.Pieces, "pieces", foam)
	} else {
		t.byLength("Foam along the walls", k.FoamLength, h.US, 0)
	}
}

// addJoints adds strip, sealant or filler, and backer rod of joints. Sealant is in packs if
// their size is known.
func (h *Result) addJoints(t *total, e *entries) {
	k, j := h.Joints, h.Job.Joints
	if k == nil {
		return
	}
	filler := e.priceOf("joints.price-per-pack", j.PricePerPack)
	if filler > 0 && k.Packs == 0 {
		e.refuse("joints.price-per-pack", "a price of packs without their size", "pack-litres")
	}
	name := "Filler of joints"
	if h.Movement {
		name = "Sealant of joints"
	}
	strip := e.price("joints.", priced{"strip-price-per-m", j.StripPerM, 1}, priced{"strip-price-per-ft", j.StripPerFt, 0.3048})
	if strip > 0 && !h.Movement {
		e.refuse("joints.kind", strconv.Quote(j.Kind), "movement joints: contraction joints have no compressible strip")
	}
	if h.Movement && h.JointWidth == 0 {
		t.Outside = append(t.Outside, "sealant and backer rod of joints")
	}
	t.byLength("Strip of joints", k.Strip, h.US, strip)
	if k.Packs > 0 {
		t.things(name, k.Packs, "packs", filler)
	} else {
		t.add(itemNamed(name), k.Filler, "L", 0, "")
	}
	rod := e.price("joints.", priced{"rod-price-per-m", j.RodPerM, 1}, priced{"rod-price-per-ft", j.RodPerFt, 0.3048})
	t.byLength("Backer rod of joints", k.Rod, h.US, rod)
}

// Priced reports whether anything has a price: without a price there is no total.
func (t *total) Priced() bool { return t.Cost.Amount > 0 }

// Complete reports whether the lines have the whole fill and every line has a price.
func (t *total) Complete() bool { return t.Cost.Known() && !t.Part }
