package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// sureSection is how sure the fill and its order are: the bounds, what they are made of, what to
// order for a risk of running short, and where another shot is worth most. On paper it is a line
// of the take-off.
func (h *Handover) sureSection() sheet.Section {
	w, u := h.Filled, h.Style
	s := w.Sure()
	if s == nil || w.Fill.Fill == 0 {
		return sheet.Section{}
	}
	out := sheet.Section{Title: "How sure"}
	if !s.Known {
		out.Text = []string{"± not measured: " + s.Lacks(w.Old) + "."}
		return out
	}
	rows := []AnswerRow{}
	for _, p := range []float64{0.5, 0.9, 0.99} {
		lo, hi := s.Interval(p)
		text := bounds(lo, hi, w.Fill.Fill, u) + " " + unitOf(u.PartVolume(hi, w.Fill.Fill))
		if byVolume(w) {
			text = heightSure(w, p, u)
		}
		rows = append(rows, AnswerRow{Head: fmt.Sprintf("%.0f %% sure", 100*p), Text: "between " + text})
	}
	for _, c := range causes(w, u) {
		rows = append(rows, AnswerRow{Head: "± " + c.Head, Text: strings.TrimPrefix(c.Text, "±")})
	}
	what := "Height that the volume fills to"
	if !byVolume(w) {
		what = "Fill"
		rows = append(rows, AnswerRow{Head: "± of the mean depth", Text: job.SD(halfOf(s.Parts.Total) / w.Fill.FillArea).In(u)})
	}
	rows = append(rows, AnswerRow{Head: "Errors", Text: accuracyText(s.Accuracy, u)})
	of := whatTable("What", what, rows)
	of.Notes = append(of.Notes, "A ± holds 9 times in 10. "+sentence(ofCauses)+" The bounds are of all of them at once, and can be farther off on one side.")
	out.Tables = append(out.Tables, of)
	if t := h.shareTable(); t.Rows != nil {
		out.Tables = append(out.Tables, t)
	}
	all := orders(w)
	for _, o := range all {
		out.Tables = append(out.Tables, h.riskTable(o, len(all) > 1))
	}
	if t := h.nextTable(s); t.Rows != nil && h.Judged == nil { // nothing is measured again after the pour
		out.Tables = append(out.Tables, t)
	}
	return out
}

// sureLine is how sure the fill and its order are, for paper.
func (h *Handover) sureLine() []string {
	w, u := h.Filled, h.Style
	s := w.Sure()
	if s == nil || w.Fill.Fill == 0 {
		return nil
	}
	text := fillSure(w, u)
	if of := causesText(w, u); of != "" {
		text += ": " + of
		if assumed := assumedBy(s, nil, u); assumed != "" {
			text += ", assumed: " + assumed
		}
	}
	text = sentence(text)
	if risk := riskInShort(w, u); risk != "" {
		text += " " + sentence(risk)
	}
	if other := forRisks(w, u); other != "" {
		text += " " + other + "."
	}
	if wrong := cheapestText(w, u, h.amount); wrong != "" {
		text += " " + sentence("being wrong costs "+wrong)
	}
	return []string{text}
}

// shareTable is how sure the share of each of several materials is.
func (h *Handover) shareTable() table.Table {
	t := table.Table{Title: "How sure the share of each material is", Columns: columns("Material", "Net>", "90 % sure between>")}
	u, shares := h.Style, h.Shares()
	if len(shares) < 2 {
		return t
	}
	for _, s := range shares {
		net, between := materialShare(s, h.Fill.Fill, u)
		t.Rows = append(t.Rows, text(h.MaterialName(s.Material), net, between+" "+unitOf(net)))
	}
	t.Notes = append(t.Notes, "They do not add up to the bounds of the fill: a floor that is lower takes more of one and less of another.")
	return t
}

// materialShare is the net share of a material and its bounds, which have no unit: in the unit of the
// fill, with digits to a tenth of how far the bounds are from each other.
func materialShare(s job.Share, fill float64, u unit.Style) (net, between string) {
	lo, hi := s.Interval(job.SureShare)
	write := func(v float64) string { return u.PartVolumeTo(v, fill, (hi-lo)/10) }
	return write(s.Net), withoutUnit(write(lo)) + " and " + withoutUnit(write(hi))
}

// riskTable lists what to order for a risk of running short, with what is left over or lacking. named:
// it is of one material of several.
func (h *Handover) riskTable(o job.MaterialRisk, named bool) table.Table {
	u, now := h.Style, o.Now
	t := table.Table{Title: "Order by risk of running short", Columns: columns("Order for a risk of", "Order>", "Runs short", "Left over, mean>", "Lacking, mean>")}
	if named {
		t.Title += ": " + o.Name
	}
	over, short := now.OverCost != nil, now.ShortCost != nil
	if over {
		t.Columns = append(t.Columns, columns("Left over costs>")...)
	}
	if short {
		t.Columns = append(t.Columns, columns("Running short costs>")...)
	}
	if over && short {
		t.Columns = append(t.Columns, columns("Being wrong costs>")...)
	}
	for _, r := range riskRows(o) {
		cells := []string{r.name, amountOf(h.Filled, r.Risk, u), timesIn(r.Risk.Risk), someVolume(r.Over, now.Order, u), someVolume(r.Short, now.Order, u)}
		if over {
			cells = append(cells, h.amount(*r.OverCost))
		}
		if short {
			cells = append(cells, h.amount(*r.ShortCost))
		}
		if over && short {
			cells = append(cells, h.amount(r.Wrong()))
		}
		row := text(cells...)
		for i := range row {
			row[i].Bold = r.now
		}
		t.Rows = append(t.Rows, row)
	}
	if h.Losses.Allowance > 0 {
		t.Notes = append(t.Notes, "All of the allowance is counted as spilled or left in the tools.")
	}
	t.Notes = append(t.Notes, "What is left over is paid for and dumped; running short takes a second delivery. Means of all pours like this one.")
	switch {
	case h.Open:
		t.Notes = append(t.Notes, "No material chosen: volumes only, not rounded up.")
	case !over:
		t.Notes = append(t.Notes, "Price not given: volumes only.")
	}
	if !short && !h.Open {
		t.Notes = append(t.Notes, "Price of a second delivery not given.")
	}
	return t
}

// someVolume is a volume in the unit of an order, in words where it is too small to show.
func someVolume(v, of float64, u unit.Style) string {
	const least = 5e-6 // m³: a drop
	if v < least {
		return "none"
	}
	return notZero(u.PartVolume(v, of))
}

// riskRow is an order with the risks that it is for.
type riskRow struct {
	job.Risk
	name string
	now  bool // as ordered
}

// riskRows are the orders for risks, the smallest first: each order once, with all that it is for.
func riskRows(o job.MaterialRisk) []riskRow {
	var out []riskRow
	asked := map[float64][]float64{}
	add := func(r job.Risk) {
		if !slices.ContainsFunc(out, func(o riskRow) bool { return o.Order == r.Order }) {
			out = append(out, riskRow{Risk: r, now: r.Order == o.Now.Order})
		}
	}
	add(o.Now)
	for _, r := range o.All {
		add(r)
		asked[r.Order] = append(asked[r.Order], r.Asked)
	}
	if o.Cheapest != nil {
		add(*o.Cheapest)
	}
	slices.SortFunc(out, func(a, b riskRow) int { return cmp.Compare(a.Order, b.Order) })
	for i := range out {
		r := &out[i]
		var names []string
		if of := asked[r.Order]; len(of) > 0 {
			slices.Sort(of)
			names = append(names, percents(of))
		}
		if r.now {
			names = append(names, "as ordered")
		}
		if o.Cheapest != nil && r.Order == o.Cheapest.Order {
			names = append(names, "cheapest")
		}
		r.name = strings.Join(names, ", ")
	}
	return out
}

// nextTable lists the places where another shot narrows the fill most.
func (h *Handover) nextTable(s *job.Sure) table.Table {
	next := nextOf(s.Next(), s.Parts, h.Floor, h.Filled.Fill.Fill, h.Style)
	t := table.Table{Title: "Where another shot narrows it most", Columns: columns("Shot", "From two walls")}
	if next.after != nil {
		t.Columns = append(t.Columns, columns("± of the fill after it>")...)
	}
	for i, where := range next.where {
		row := text(fmt.Sprint(i+1), where)
		if next.after != nil {
			row = append(row, text(next.after[i])...)
		}
		t.Rows = append(t.Rows, row)
	}
	if next.little != "" {
		t.Notes = append(t.Notes, next.little+".")
	}
	return t
}

// nextText lists the places worth another shot, which the maps number, on paper: where they narrow the
// ± by little, or by how much is not known, only if the job asks for them. They are in record.html.
func (h *Handover) nextText() []string {
	w := h.Filled
	s := w.Sure()
	if s == nil || h.Judged != nil { // nothing is measured again after the pour
		return nil
	}
	next := nextOf(s.Next(), s.Parts, h.Floor, w.Fill.Fill, h.Style)
	if len(next.where) == 0 || next.little != "" && h.Job.Outputs.NextShots == nil {
		return nil
	}
	var parts []string
	for i, where := range next.where {
		parts = append(parts, fmt.Sprintf("%d %s", i+1, where))
	}
	text := "Next shots, the best first: " + strings.Join(parts, "; ")
	if next.after == nil {
		text = "Next shots: " + strings.Join(parts, "; ")
	} else {
		text += "; the fill is then within " + next.after[len(next.after)-1]
	}
	if next.little != "" {
		text += ". " + next.little
	}
	return []string{text + "."}
}
