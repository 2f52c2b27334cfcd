package report

import (
	"fmt"
	"strings"

	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/survey"
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
		out.Text = []string{fmt.Sprintf("Not measured: %s do not tell how far the fill is known. Each region of the floor takes 4 or more.", survey.Plural(s.Shots, "shot"))}
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
	if t := h.riskTable(); t.Rows != nil {
		out.Tables = append(out.Tables, t)
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
		text += ": " + of + "; " + accuracyText(s.Accuracy, u)
	}
	text = sentence(text)
	now, all := h.Result.Risks()
	if risk := riskText(w, now, all, u); risk != "" {
		text += " " + sentence(risk)
	}
	return []string{text}
}

// riskTable lists what to order for a risk of running short, with what is left over or lacking.
func (h *Handover) riskTable() table.Table {
	now, all := h.Result.Risks()
	if all == nil {
		return table.Table{}
	}
	u := h.Style
	t := table.Table{Title: "Order by risk of running short", Columns: columns("Risk accepted", "Order>", "Runs short", "Left over, mean>", "Lacking, mean>")}
	over, short := now.OverCost != nil, now.ShortCost != nil
	if over {
		t.Columns = append(t.Columns, columns("Left over costs>")...)
	}
	if short {
		t.Columns = append(t.Columns, columns("Running short costs>")...)
	}
	add := func(name string, r job.Risk) {
		cells := []string{name, amountOf(h.Filled, r, u), timesIn(r.Risk), u.SmallVolume(r.Over), u.SmallVolume(r.Short)}
		if over {
			cells = append(cells, h.amount(*r.OverCost))
		}
		if short {
			cells = append(cells, h.amount(*r.ShortCost))
		}
		t.Rows = append(t.Rows, text(cells...))
	}
	add("as ordered", now)
	for i := 0; i < len(all); { // one row for an order
		n := i + 1
		for n < len(all) && all[n].Order == all[i].Order && all[n].Bags == all[i].Bags {
			n++
		}
		add(fromTo(fmt.Sprintf("%g %%", percentOf(all[i].Asked)), fmt.Sprintf("%g %%", percentOf(all[n-1].Asked))), all[i])
		i = n
	}
	t.Notes = append(t.Notes, "All of the allowance is counted as spilled or left in the tools. What is left over is paid for and dumped; running short takes a second delivery, mean of all pours.")
	if !over {
		t.Notes = append(t.Notes, "Price of the mix not given: volumes only.")
	}
	if !short {
		t.Notes = append(t.Notes, "Price of a second delivery not given: mix.short-load-price.")
	}
	return t
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
