package report

import (
	"fmt"
	"io"
	"time"

	"pourplane/plot"
	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/surface/settlement"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// SettlementFiles makes the files of a comparison: the record as PDF and HTML, the places, and
// the map of the change.
func SettlementFiles(r *job.Settled, style unit.Style, watch job.Watch) ([]Output, error) {
	paper := sheet.A4
	if style.Imperial {
		paper = sheet.Letter
	}
	m := changeMap(r, style)
	m.Height(plot.DefaultWidth) // works out what its drawings share
	all := []making{
		{"record.pdf", "writing record.pdf", func(w io.Writer) error { return sheet.WritePDF(w, settleRecord(r, m, style), paper) }},
		{"record.html", "writing record.html", func(w io.Writer) error { return sheet.WriteHTML(w, settleRecord(r, m, style), nil) }},
		{"places.csv", "writing places.csv", func(w io.Writer) error {
			_, err := w.Write(SettlementPlaces(r, style))
			return err
		}},
	}
	return made(append(all, drawings([]picture{{"change", m}})...), watch)
}

// settleRecord is the comparison on pages, to hand over.
func settleRecord(r *job.Settled, m *plot.DepthMap, style unit.Style) sheet.Record {
	w := r.Whole
	onPage := *m
	onPage.Title, onPage.Note = "", "" // the page has them
	g := w.Greatest(r.Places)
	mean, verdict := changed(w.Mean, style), meanVerdict(w)
	if !w.Mean.Known() {
		mean, verdict = lowerBy(w.Mean.Change, style), "± not measured, "+verdict
	}
	moved, middle := r.Counts()
	shown := "places shown to have moved"
	if middle > 0 {
		shown += fmt.Sprintf(", %d more only against the middle of the floor", middle)
	}
	result := sheet.Section{
		Title: "Result",
		Figures: []sheet.Figure{
			{Value: fmt.Sprintf("%d of %d", moved, len(w.Places)), Name: shown},
			{Value: changed(g.Relative, style), Name: "max against the middle of the floor, at " + r.NameOf(g.Index).In(style)},
			{Value: mean, Name: "mean of the floor: " + verdict},
		},
		Text:     []string{settleVerdict(r, style)},
		Cautions: settleCautions(r),
		Pictures: []sheet.Picture{{Drawing: &onPage, Caption: "Change of the floor; each place ± " + eachPlace(r, style), Most: 0.5}},
	}
	for _, n := range r.Notes {
		if n.Kind == survey.Warning && n.Pos == (survey.Pos{}) {
			result.Warnings = append(result.Warnings, Printable(noteLine(n, style)))
		}
	}
	var figures facts
	for _, row := range settleRows(r, style) {
		if r.Speeds == nil && row.Head == "Rate" {
			row.Text = "not known: the surveys have no dates"
		}
		if row.Head != "Verdict" && row.Head != "Caution" {
			figures = append(figures, row)
		}
	}
	places := settleTable(r, style)
	places.Notes = []string{
		"Change: later less earlier, against the benchmark. Against the middle: less the median change, free of the error of the set-ups. Every ± is a 90 % interval of one figure alone; the verdict is corrected for all of them together (Holm 1979).",
		"Moved: shown against the benchmark. Moved against the middle: the benchmark does not show it, the other places do; it may be the middle that moved.",
		"Not shown to have moved does not mean unmoved.",
	}
	out := sheet.Record{Title: settleTitle(r), Program: "pourplane " + Version, Sections: []sheet.Section{
		result,
		{Title: "Figures", Tables: []table.Table{whatTable("What", "Found", figures)}},
		{Title: "Places", Tables: []table.Table{places}},
		{Title: "Surveys", Tables: []table.Table{visitTable(r, style)}},
	}}
	for _, n := range remarks(r.Notes, nil, style) {
		out.Sections = append(out.Sections, sheet.Section{Title: n.Head, Text: n.Notes})
	}
	out.Sections = append(out.Sections, sheet.Section{Title: "Signatures", Together: true, Lines: []string{"Measured by", "Checked by"}})
	if last := r.Visits[len(r.Visits)-1].Date; !last.IsZero() {
		out.Date = last.Format(time.DateOnly)
	}
	return out
}

// visitTable lists the surveys.
func visitTable(r *job.Settled, style unit.Style) table.Table {
	t := table.Table{Columns: columns("Survey", "Date", "Shots>", "Set-ups>", "Errors, standard deviations")}
	for _, v := range r.Visits {
		date := "not given"
		if !v.Date.IsZero() {
			date = v.Date.Format(time.DateOnly)
		}
		t.Rows = append(t.Rows, text(v.Name, date, fmt.Sprint(v.Shots), fmt.Sprint(v.Setups), accuracyText(v.Accuracy, style)))
	}
	return t
}

// settleCautions are the cautions of a comparison.
func settleCautions(r *job.Settled) (out []string) {
	if r.Whole.Any() > settlement.NotShown || r.Still.State == job.StillMoves {
		out = append(out, stopAndAsk)
	}
	for _, n := range r.Notes {
		if n.Kind == survey.Caution {
			out = append(out, n.String())
		}
	}
	if c := r.Alike(); c != nil {
		when := "Nearly"
		if c != r.Whole {
			when = fmt.Sprintf("From %s to %s nearly", r.Visits[c.From].Visited(), r.Visits[c.To].Visited())
		}
		out = append(out, when+" all places moved alike. "+alikeText(r.Mark))
	}
	return append(out, sinkingMark)
}

// alikeText says what else makes places move alike, with what to check: mark ties the surveys;
// empty for none.
func alikeText(mark string) string {
	if mark == "" {
		return "Surveys that are not on one datum look the same: check the benchmark of each, and one outside the building"
	}
	return fmt.Sprintf("A misread rod on %s, or %s itself moving, looks the same: read it again, and check it against a benchmark outside the building", mark, mark)
}
