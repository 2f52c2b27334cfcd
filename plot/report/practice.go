package report

import (
	"fmt"
	"math"

	"pourplane/plot"
	"pourplane/surface/job"
	"pourplane/surface/order"
)

// sequenceText says what it means to place one of two materials first. The choice is the crew's: the
// product labels decide. Common practice, no source.
func (h *Handover) sequenceText(thin, deep plot.PlanMaterial) string {
	if thin.None || deep.None {
		return ""
	}
	u := h.Style
	return fmt.Sprintf("%s first: it needs a form along the border, %s long and %s high. %s first: it needs a block-out there, of the same length and height, to be stripped before the other (common practice, no source).",
		upperFirst(thin.Name), h.runLength(job.BoughtLength(h.borderLength(deep.From), u.Imperial)), u.Depth(deep.From), upperFirst(deep.Name))
}

// upperFirst is a name at the start of a sentence.
func upperFirst(name string) string { return sentence(name)[:len(name)] }

// borderLength is the length of the lines on the floor where the fill is depth m deep.
func (h *Handover) borderLength(depth float64) float64 {
	sum := 0.0
	for _, r := range h.Floor.Regions {
		for _, c := range r.TIN.Contours(r.TIN.Depths(h.Filled.Fill.Target), []float64{depth}) {
			for i := 1; i < len(c.Line); i++ {
				sum += c.Line[i-1].Distance(c.Line[i])
			}
			if n := len(c.Line); c.Closed && n > 1 {
				sum += c.Line[n-1].Distance(c.Line[0])
			}
		}
	}
	return sum
}

// plantAsks is what a plant asks besides the volume. Stone of max a third of the thickness: see
// [order.Builds]; of the bore of the line likewise: common practice, no source.
func (h *Handover) plantAsks() string {
	if h.Delivery.Trucks == 0 {
		return ""
	}
	text := "The plant also asks for strength, slump and largest stone: from your designer or the product label (common practice, no source)."
	least, bore := math.Inf(1), h.Losses.Bore
	if h.Service == nil {
		least = max(0, h.Filled.Fill.Least)
	} else {
		for _, p := range h.Service.Parts {
			if h.Service.Materials[p.Material].Yield == 0 {
				least = min(least, p.From)
			}
		}
	}
	u := h.Style
	size, what := least, u.Depth(least)+" where the mix is thinnest"
	if bore > 0 && bore < least {
		size, what = bore, u.Depth(bore)+" bore of the line"
	}
	stone := u.DepthDown(size / 3)
	if stone == u.DepthDown(0) {
		return text
	}
	return text + fmt.Sprintf(" Stone: max %s, a third of the %s.", stone, what)
}

// floorBefore is what a job file does not plan: preparing the old floor, bond and curing.
func (h *Handover) floorBefore() []string {
	bond := "Bonded or not: the designer decides; the job does not say bonded."
	if h.Job.Site.Bonded {
		bond = "Bonded, as the job says: no film, dust or dried slurry between old floor and fill."
	}
	return []string{bond + " Old floor: clean, sound and as rough as the product label asks; primed or wetted as it says. " +
		"Curing: start it as the label or the designer says, and for as long; thin fill dries out fastest (common practice, no source)."}
}

// coatHow is how the mixed amount of a coat comes about, from its factors.
func (h *Handover) coatHow(c order.Coat) string {
	m := h.measures()
	cover := func(v float64) string {
		return fmt.Sprintf("%.4g %s/%s", v/m.area*m.liquid, m.areaName, m.liquidName)
	}
	text := fmt.Sprintf("%d × %s ÷ %s", max(c.Coats, 1), h.Style.Area(h.Whole.Real), cover(c.Cover))
	if c.First > 0 && c.First != c.Cover {
		text = fmt.Sprintf("%s ÷ %s first", h.Style.Area(h.Whole.Real), cover(c.First))
		if c.Coats > 1 {
			text += fmt.Sprintf(", then %d × the same ÷ %s", c.Coats-1, cover(c.Cover))
		}
	}
	if c.Overlap > 0 {
		text += fmt.Sprintf("; ÷ (1 − %.10g %% overlap)", percentOf(c.Overlap))
	}
	if c.Allowance > 0 {
		text += fmt.Sprintf("; + %.10g %% allowance", percentOf(c.Allowance))
	}
	return text
}

// FirstOrder says what an order by truck has nothing for, if no loss but the allowance is given: the
// pour takes more than it.
func FirstOrder(w *job.Filled) string {
	l := w.Losses
	if w.Mix.Order == 0 || l.Bore > 0 || l.Hopper > 0 || l.Priming > 0 || l.Roughness > 0 || l.High > 0 {
		return ""
	}
	return "; a first order: a job file adds pump, line and rough floor"
}
