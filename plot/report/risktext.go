package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// roundCounts are the counts that a small probability is written with: no finer than it is known, and as a
// foreman counts.
var roundCounts = []float64{3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200, 300, 500, 700, 1000}

// aboutHalf is how far from one half a probability is written as that.
const aboutHalf = 0.05

// timesIn writes a probability as a foreman would: "1 time in 20".
func timesIn(p float64) string {
	switch {
	case p >= 0.95:
		return "nearly always"
	case math.Abs(p-0.5) <= aboutHalf:
		return "half the time"
	case p > 0.5:
		return fmt.Sprintf("%.0f times in 10", min(9, math.Round(10*p)))
	case p > 0.365: // the middle of 0.4 and 1/3
		return "4 times in 10"
	case p < 1.0/1200:
		return "less than 1 time in 1,000"
	}
	best := roundCounts[0]
	for _, n := range roundCounts {
		if math.Abs(math.Log(n*p)) < math.Abs(math.Log(best*p)) {
			best = n
		}
	}
	if best == 1000 {
		return "1 time in 1,000"
	}
	return fmt.Sprintf("1 time in %.0f", best)
}

// amountOf writes an order of a risk.
func amountOf(w *job.Filled, r job.Risk, u unit.Style) string {
	if r.Bags > 0 {
		return survey.Plural(r.Bags, "bag")
	}
	if w.Open {
		return u.SmallVolume(r.Order)
	}
	return sold(w, r.Order, u)
}

// riskText is how likely the order runs short, and the order for a small risk; of several materials
// each. Empty where it is not known.
func riskText(w *job.Filled, u unit.Style) string {
	var parts []string
	all := orders(w)
	for _, o := range all {
		of := ""
		if len(all) > 1 {
			of = " of " + o.Name
		}
		text := shortOf(w, o, of, u)
		if r, ok := safer(o); ok {
			text += fmt.Sprintf(", %s %s", amountOf(w, r, u), timesIn(r.Risk))
		}
		parts = append(parts, text)
	}
	raised := raisedText(w, u)
	if raised == "" && !slices.ContainsFunc(all, func(o job.MaterialRisk) bool { return !isMostlyShort(o) }) {
		return "" // the warning beside the order has it
	}
	return raised + allSpilled(w) + strings.Join(parts, "; ")
}

// safer is the larger order for a small risk, where it is one.
func safer(o job.MaterialRisk) (job.Risk, bool) {
	const small = 0.05
	for _, r := range o.All {
		if r.Asked == small && r.Order > o.Now.Order && timesIn(r.Risk) != timesIn(o.Now.Risk) {
			return r, true
		}
	}
	return job.Risk{}, false
}

// mostlyShort warns of orders that run short more often than not. Each comes with the order with which
// being wrong costs least, or one for a small risk where a price is missing.
func mostlyShort(w *job.Filled, u unit.Style) []survey.Note {
	var parts []string
	all := orders(w)
	for _, o := range all {
		if !isMostlyShort(o) {
			continue
		}
		of := ""
		if len(all) > 1 {
			of = " of " + o.Name
		}
		text := shortOf(w, o, of, u)
		if best := o.Cheapest; best != nil && best.Order > o.Now.Order {
			cost := "costs"
			if best.Bags > 1 {
				cost = "cost"
			}
			text += fmt.Sprintf(": %s %s, and %s least", amountOf(w, *best, u), timesIn(best.Risk), cost)
		} else if r, ok := safer(o); ok {
			text += fmt.Sprintf(": %s %s", amountOf(w, r, u), timesIn(r.Risk))
		}
		parts = append(parts, text)
	}
	if parts == nil {
		return nil
	}
	return []survey.Note{survey.Notef(survey.Warning, survey.Pos{}, "%s%s", allSpilled(w), strings.Join(parts, "; ")).About(survey.AboutOrder)}
}

func isMostlyShort(o job.MaterialRisk) bool { return o.Now.Risk > 0.5+aboutHalf }

// riskInShort is the same of the orders as they are, where others are in a table.
func riskInShort(w *job.Filled, u unit.Style) string {
	all := orders(w)
	if len(all) < 2 {
		return riskText(w, u)
	}
	var parts []string
	for i, o := range all {
		of := ofName(all, o)
		text := shortOf(w, o, of, u)
		if i > 0 {
			text = amountOf(w, o.Now, u) + of + " " + timesIn(o.Now.Risk)
		}
		parts = append(parts, text)
	}
	return raisedText(w, u) + allSpilled(w) + strings.Join(parts, ", ")
}

// forRisks are the orders for two small risks, for paper; empty where they are not known.
func forRisks(w *job.Filled, u unit.Style) string {
	all := orders(w)
	if all == nil {
		return ""
	}
	var risks []string
	for _, small := range []float64{0.05, 0.01} {
		var amounts []string
		for _, o := range all {
			for _, r := range o.All {
				if r.Asked == small {
					amounts = append(amounts, amountOf(w, r, u)+ofName(all, o))
				}
			}
		}
		risks = append(risks, fmt.Sprintf("%g %%: %s", percentOf(small), strings.Join(amounts, ", ")))
	}
	return "For a risk of " + strings.Join(risks, "; ")
}

// ofName names the material of one of all orders, where its unit does not tell it.
func ofName(all []job.MaterialRisk, o job.MaterialRisk) string {
	if len(all) < 2 || len(all) == 2 && (all[0].Now.Bags == 0) != (all[1].Now.Bags == 0) {
		return ""
	}
	return " of " + o.Name
}

// shortOf is how often an order runs short.
func shortOf(w *job.Filled, o job.MaterialRisk, of string, u unit.Style) string {
	runs := "runs"
	if o.Now.Bags > 1 {
		runs = "run"
	}
	return fmt.Sprintf("%s%s %s short %s", amountOf(w, o.Now, u), of, runs, timesIn(o.Now.Risk))
}

// orders are the orders of w: of each material, where a job lists any, or the one of its mix. There are
// none where they are not known, or the volume is given: then it is its height that is unsure.
func orders(w *job.Filled) []job.MaterialRisk {
	if risk, _ := w.Margin(); byVolume(w) && risk == 0 {
		return nil
	}
	if w.Shares() != nil {
		return w.MaterialRisks()
	}
	now, all := w.Risks()
	if all == nil {
		return nil
	}
	one := job.MaterialRisk{Now: now, All: all}
	if best, ok := w.Cheapest(); ok {
		one.Cheapest = &best
	}
	return []job.MaterialRisk{one}
}

// allSpilled is on what condition an order runs short as often as it is said.
func allSpilled(w *job.Filled) string {
	if w.Losses.Allowance == 0 {
		return ""
	}
	return "if the allowance is spilled, "
}

// raisedText is what the risk that was asked for did to the order; empty without one.
func raisedText(w *job.Filled, u unit.Style) string {
	risk, margin := w.Margin()
	if risk == 0 {
		return ""
	}
	var more []string
	for _, s := range w.Shares() {
		if v := w.MarginOf(s.Material); v > 0 && len(w.Shares()) > 1 {
			more = append(more, u.PartVolume(v, w.Fill.Fill)+" of "+w.MaterialName(s.Material))
		} else {
			margin = v
		}
	}
	switch {
	case w.Open && margin > 0:
		return fmt.Sprintf("%s of fill added for a risk of %g %%: ", u.PartVolume(margin, w.Fill.Fill), percentOf(risk))
	case len(more) > 0:
		return fmt.Sprintf("%s added for a risk of %g %% each, as a lower floor takes less of one and more of another; then rounded up: ", strings.Join(more, " and "), percentOf(risk))
	case margin > 0:
		return fmt.Sprintf("%s of fill added for a risk of %g %%, then rounded up: ", u.PartVolume(margin, w.Fill.Fill), percentOf(risk))
	}
	return fmt.Sprintf("order not lowered for a risk of %g %%: ", percentOf(risk))
}

// sharesText is how sure the share of each of several materials is; empty of one.
func sharesText(w *job.Filled, u unit.Style) string {
	shares := w.Shares()
	if len(shares) < 2 {
		return ""
	}
	var parts []string
	for i, s := range shares {
		sure := fmt.Sprintf(", %.0f %% sure", 100*job.SureShare)
		if i > 0 {
			sure = ","
		}
		net, between := materialShare(s, w.Fill.Fill, u)
		parts = append(parts, fmt.Sprintf("%s %s%s between %s", w.MaterialName(s.Material), net, sure, between))
	}
	return strings.Join(parts, "; ")
}

// cheapestText is what being wrong costs on average with the order and with the cheapest one; of
// several materials each. Empty where a price is not given. money writes an amount.
func cheapestText(w *job.Filled, u unit.Style, money func(float64) string) string {
	var parts []string
	all := orders(w)
	for _, o := range all {
		if o.Cheapest == nil {
			continue
		}
		text := money(o.Now.Wrong())
		if len(all) > 1 {
			text = o.Name + " " + text
		}
		if len(parts) == 0 {
			text += " on average, for what is left over and second deliveries"
		}
		if o.Cheapest.Order == o.Now.Order {
			text += ", no order costs less"
		} else {
			text += fmt.Sprintf(", least with %s: %s", amountOf(w, *o.Cheapest, u), money(o.Cheapest.Wrong()))
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "; ")
}

// percents writes the risks, ascending, that one order is for: "20 % or 50 %", "1 % to 50 %".
func percents(risks []float64) string {
	first, last := fmt.Sprintf("%g %%", percentOf(risks[0])), fmt.Sprintf("%g %%", percentOf(risks[len(risks)-1]))
	switch len(risks) {
	case 1:
		return first
	case 2:
		return first + " or " + last
	}
	return first + " to " + last
}
