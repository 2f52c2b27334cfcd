package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/plot"
	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// record is the record to hand over, in reading order. On paper the list of pins is only on
// the crew's sheet, depths are shown by band only, and no other heights of the target.
func (h *Handover) record(paper bool) sheet.Record {
	r := sheet.Record{Title: h.Title, Date: h.day, Program: "pourplane " + Version}
	if h.Pins != nil {
		for _, p := range h.Pins.Pins {
			r.Pins = append(r.Pins, sheet.Pin{At: p.At, Name: p.Name, Text: "mark " + h.mark(p)})
		}
	}
	order, sure := h.orderSection(), h.sureSection()
	if paper {
		order.Text, sure = append(order.Text, h.sureLine()...), sheet.Section{}
	}
	for _, s := range []sheet.Section{
		h.summarySection(paper), h.surveySection(), h.targetSection(), h.fallSection(), h.tradeSection(), h.depthSection(paper), h.rampSection(), h.waterSection(), order, sure, h.errorSection(paper), h.materialSection(), h.waysSection(), h.weightSection(),
		h.steelSection(), h.supplyPage(), h.pinSection(paper), h.baySection(), h.afterSection(paper), h.notesSection(), h.cautionSection(), h.signSection(), h.fileSection(paper),
	} {
		if s.Title != "" {
			r.Sections = append(r.Sections, s)
		}
	}
	return r
}

// summarySection is read first: three numbers with what changes them, and the map.
func (h *Handover) summarySection(paper bool) sheet.Section {
	f, u := h.Filled.Fill, h.Style
	s := sheet.Section{Title: "Summary", Lead: true}
	head, order := h.toBuy()
	s.Figures = []sheet.Figure{
		{Value: order, Name: head},
		{Value: u.SmallVolume(f.Fill), Name: "fill, over " + u.Area(f.FillArea)},
		{Value: fromTo(u.Depth(f.Least), u.Depth(f.Greatest)), Name: "depth, mean " + meanText(f, u)},
	}
	s.Warnings = h.about(survey.Warning, survey.AboutOrder, survey.AboutDepth, survey.AboutTarget, survey.AboutSteel)
	target := topOfFill(h.Filled, u) + " Floor " + u.Area(f.Area) + "."
	if cut, _ := h.Ground(); cut > 0 {
		target += " Above the target" + groundTo(h.Filled, u) + ": " + cutText(h.Filled, u) + h.CutDoubt().In(u) + ", to be ground"
		if h.Best == nil {
			target += ", or raise the target"
		}
		target += "."
	}
	s.Text = append(s.Text, target)
	if j := h.Judged; j != nil {
		s.Text = append(s.Text, h.afterPour()+Verdict(j, h.Style)+".")
		s.Cautions = append(s.Cautions, h.about(survey.Warning, survey.AboutFlatness)...)
	}
	s.Cautions = append(s.Cautions, h.weighty()...)
	if n := len(h.about(survey.Warning, survey.General, survey.AboutLoad)); n > 0 { // those that are not above
		all := len(h.about(survey.Warning, survey.General, survey.AboutLoad, survey.AboutOrder, survey.AboutDepth, survey.AboutTarget, survey.AboutSteel, survey.AboutFlatness))
		more := fmt.Sprintf("All %d warnings are", all)
		if all == 1 {
			more = "A warning is"
		}
		s.Cautions = append(s.Cautions, more+" under “Notes and checks”.")
	}
	s.Pictures = []sheet.Picture{{Drawing: onPage(h.main(), paper), Caption: "Depth of fill from the old floor to the target"}}
	return s
}

// onPage returns a drawing as it is on a page of the record: on paper a map has the full
// width in the height that is left.
func onPage(d plot.Drawing, paper bool) plot.Drawing {
	if m, ok := d.(*plot.DepthMap); ok && paper {
		return (*plot.WideMap)(m)
	}
	return d
}

// toBuy is the order, short enough for large letters, and what to buy, with the order if the
// reading in doubt is misread.
func (h *Handover) toBuy() (head, text string) {
	if b := h.Bag; b != nil {
		return "to buy: " + b.Name, survey.Plural(b.Count, "bag")
	}
	var amounts, things []string
	if h.Mix.Order > 0 {
		amounts = append(amounts, sold(h.Filled, h.Mix.Order, h.Style))
		things = append(things, strings.TrimPrefix(h.Mixed, "of "))
	}
	for _, m := range h.Bought {
		if m.Bags > 0 {
			amounts = append(amounts, survey.Plural(m.Bags, "bag"))
			things = append(things, h.Service.Materials[m.Material].Name)
		}
	}
	if h.Open {
		head := "needed"
		if risk, margin := h.Margin(); margin > 0 {
			head += fmt.Sprintf(", %s for a risk of %g %%", h.Style.PartVolume(margin, h.Filled.Fill.Fill), percentOf(risk))
		}
		return head + "; no material chosen: too thin for concrete", h.Style.SmallVolume(h.Takeoff.Need)
	}
	head = "to order"
	if what := strings.Join(things, " + "); what != "" {
		head += ": " + what
	}
	if h.Mix.Order > 0 {
		head += h.OrderDoubt().In(h.Style)
	}
	return head + lessing(h.unserved(h.Style)), cmp.Or(strings.Join(amounts, " + "), "nothing")
}

// about lists the notes of a kind on some topics, each once.
func (h *Handover) about(kind survey.NoteKind, topics ...survey.Topic) []string {
	var out []string
	for _, n := range h.allNotes() {
		if n.Kind != kind || !slices.Contains(topics, n.Topic) {
			continue
		}
		n.Text = n.Text.Unhinted()
		if text := noteLine(n, h.Style); !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return out
}

// allNotes are the notes on the surveys before and after the pour.
func (h *Handover) allNotes() []survey.Note {
	notes := slices.Concat(mostlyShort(h.Filled, h.Style), h.Notes)
	if h.Judged == nil {
		return notes
	}
	return append(notes, h.Judged.Notes...)
}

func (h *Handover) surveySection() sheet.Section {
	u := h.Style
	s := sheet.Section{Title: "Survey"}
	sum := &Summary{Filled: h.Filled, Style: u}
	rows := slices.Insert(sum.surveyed(), 0, AnswerRow{Head: "Files", Text: strings.Join(h.Job.FilesNamed(), ", ")})
	rows = slices.Insert(rows, 2, AnswerRow{Head: "Spacing of shots", Text: h.spacings()})
	if k := h.Survey.Book; k != nil {
		for i, b := range k.Setups {
			rows = append(rows, AnswerRow{Head: "Set-up " + b.Name, Text: k.InstrumentText(i, u.Level).In(u)})
		}
		rows = append(rows, AnswerRow{Head: "Closure", Text: closes(k, u)})
	}
	s.Tables = append(s.Tables, whatTable("What", "Found", rows))
	if len(h.Blunders) > 0 {
		t := table.Table{Title: "Readings to look at again", Columns: []table.Column{{Name: "Shot"}, {Name: "Where in the file", Under: "%s", Whole: true}, {Name: "What it looks like"}}}
		for _, b := range h.Blunders {
			t.Rows = append(t.Rows, text(b.Shot.Name(), b.Shot.At().String(), job.BlunderText(b).In(u)))
		}
		s.Tables = append(s.Tables, t)
	}
	if t := h.remarkTable(); t.Rows != nil {
		s.Tables = append(s.Tables, t)
	}
	return s
}

// spacings are the spacing of the shots of each survey.
func (h *Handover) spacings() string {
	const of = " apart on 95 % of the floor"
	text := h.Style.Length(flatness.Apart(h.Old)) + of
	if j := h.Judged; j != nil && j.Floor != nil {
		text = h.Style.Length(flatness.Apart(h.Old)) + " apart before the pour, check shots after it " + h.Style.Length(j.Apart) + of
	}
	return text
}

// afterPour heads what was found after the pour. The date on each page is that of the survey
// before it; a job gives no other.
func (h *Handover) afterPour() string {
	return fmt.Sprintf("After the pour (%s, its date not given): ", strings.Join(h.Job.Survey.After, ", "))
}

func (h *Handover) targetSection() sheet.Section {
	u := h.Style
	s := sheet.Section{Title: "Target and thresholds", Text: []string{topOfFill(h.Filled, u)}}
	t := &h.Job.Target
	from := ""
	switch {
	case h.Best != nil: // its range at each of them is a note
	case t.Finish != "":
		from = "the finished floor at " + t.Finish
	case t.FinishAt != "":
		from = "the finished floor at " + t.FinishAt
	case len(t.FinishCodes) > 0:
		from = "the finished floor at the shots of " + strings.Join(t.FinishCodes, ", ") + " (" + cmp.Or(t.FinishRule, "lowest") + ")"
	}
	if from != "" {
		s.Text = append(s.Text, fmt.Sprintf("From %s, less %s of covering and bed and %s to stay low.", from, cmp.Or(t.Buildup, "nothing"), cmp.Or(t.Low, "nothing")))
	}
	if text := bestText(h.Best, math.MaxInt, u); text != "" {
		s.Text = append(s.Text, "Least cost: "+text+".")
	}
	if text := broughtText(h.Filled, u); text != "" {
		s.Text = append(s.Text, "Volume: "+text+".")
	}
	s.Text = slices.Concat(s.Text, h.rodTexts(), h.benchmarkTexts(), h.grateTexts())
	if len(h.Thresholds) == 0 {
		return s
	}
	s.Tables = append(s.Tables, thresholdTable(h.Filled, u))
	return s
}

func (h *Handover) depthSection(paper bool) sheet.Section {
	t := sureBandTable(h.Filled, h.Style)
	if paper {
		t = bandTable(h.BandsIn(h.Style.Imperial), h.Style)
	}
	t.Title = "" // as the section has one
	s := sheet.Section{Title: "Depths", Text: h.errorText(paper), Tables: []table.Table{t}}
	if paper {
		s.Text = append(s.Text, h.nextText()...)
	} else if regions := regionTable(h.Filled, h.Style); regions.Rows != nil {
		s.Tables = append(s.Tables, regions)
	}
	if rows := h.Result.Heights(job.HeightStep(h.Style.Imperial), job.HeightsAround); !paper && rows != nil {
		heights := h.narrowHeights(rows)
		heights.Notes = append(heights.Notes, "Cut, depths and weight at each height are in takeoff.xlsx.")
		s.Tables = append(s.Tables, heights)
	}
	if m := h.errors(); m != nil && paper {
		s.Pictures = append(s.Pictures, sheet.Picture{Drawing: (*plot.SmallMap)(h.errorsNow(m)), Caption: "How well the depth is known", Most: 0.3, Beside: true, Instead: "How well the depth is known: map in depth-error.pdf"})
	}
	if g := h.histogram(); g != nil && !paper {
		s.Pictures = append(s.Pictures, sheet.Picture{Drawing: g, Caption: "Share of the floor by its depth of fill"})
	}
	return s
}

// histogram sorts the area by its depth of fill.
func (h *Handover) histogram() *plot.Histogram {
	f := h.Filled.Fill
	step := 0.001
	if h.Style.Imperial {
		step = 0.0254 / 16
	}
	for (f.Greatest-f.Least)/step > 40 {
		step *= 2
	}
	if f.Area == 0 {
		return nil
	}
	const hair = 1e-9 // of a step: a depth that is a limit of a bar opens no bar beyond it
	from := step * math.Floor(f.Least/step+hair)
	n := max(1, int(math.Ceil((f.Greatest-from)/step-hair)))
	limits := make([]float64, n+1)
	for i := range limits {
		limits[i] = from + float64(i)*step
	}
	shares := make([]float64, n)
	for _, b := range h.Floor.FillTo(f.Target, limits).Bands {
		i := min(max(0, math.Round((b.From-from)/step)), float64(n-1))
		shares[int(i)] += b.Area / f.Area
	}
	return &plot.Histogram{Summary: depthSummary(f, h.Style),
		From: from, Step: step, Shares: shares, Depth: true, Units: h.Style}
}

func (h *Handover) weightSection() sheet.Section {
	f, u, l := h.Filled.Fill, h.Style, h.Mix.Load
	if f.Fill == 0 {
		return sheet.Section{}
	}
	s := sheet.Section{Title: "Weight", Text: []string{fmt.Sprintf("The fill weighs %s in place, %s: %s on average over what is filled, %s at the deepest.", u.Mass(l.Mass), weighed(h.Filled, u), u.Load(l.Mean), u.Load(l.Most))}}
	if !u.Imperial {
		s.Text[0] += fmt.Sprintf(" That is %.2f and %.2f kPa.", order.Kilopascals(l.Mean), order.Kilopascals(l.Most))
	}
	if !h.Job.Outputs.LoadMap {
		return s
	}
	s.Pictures = []sheet.Picture{{Drawing: &plot.LoadMap{Summary: h.loadText(), Floor: h.Floor, Target: f.Target, UnitWeight: h.Heaviest, Heaviest: h.Weighs != "", Units: u}, Caption: "Added dead load"}}
	return s
}

func (h *Handover) loadText() string {
	text := "Added dead load of a fill of " + h.Style.UnitWeight(h.Heaviest)
	if h.Weighs != "" {
		text += ", the heaviest of its materials"
	}
	return text
}

// weighty are the cautions about the load on the floor.
func (h *Handover) weighty() []string { return h.about(survey.Caution, survey.AboutLoad) }

// afterSection is the floor as poured: figures, what is left to do, and the maps.
func (h *Handover) afterSection(paper bool) sheet.Section {
	j := h.Judged
	if j == nil {
		return sheet.Section{}
	}
	s := sheet.Section{Title: "After the pour", Together: true, Text: []string{verdict(j, "", h.Style) + "."}, Cautions: h.about(survey.Warning, survey.AboutFlatness)}
	tolerance, _ := toleranceTable(j, h.Style, inResult)
	tolerance.Title = "Tolerance check"
	s.Tables = append(s.Tables, whatTable("What", "Measured", flatRows(j, h.Style, true)), tolerance)
	if len(j.Work.Spots) > 0 {
		s.Tables = append(s.Tables, placesTable(j, h.Style).Pick("Place", "From two walls", "From plane", "Area", "Volume", "To do", "Done"))
	}
	s.Pictures = afterPictures(j, h.Style)
	if j.Water != nil {
		s.Text = append(s.Text, sentence(waterRows(standingOf(j), h.Style)[0].Text))
		tables, picture := waterParts(j.Water, h.Style)
		s.Tables, s.Pictures = append(s.Tables, tables...), append(s.Pictures, picture)
	}
	for i := range s.Pictures {
		s.Pictures[i].Drawing = onPage(s.Pictures[i].Drawing, paper)
	}
	return s
}

// afterPictures are the maps of flatness with captions, the half-width ones last.
func afterPictures(j *job.Judged, u unit.Style) []sheet.Picture {
	var wide, small []sheet.Picture
	for _, p := range FlatnessPictures(j, "", u) {
		switch p.name {
		case "departures":
			wide = append(wide, sheet.Picture{Drawing: p.drawing, Caption: "How far the new floor is from the plane", Most: 0.46})
		case "histogram":
			small = append(small, sheet.Picture{Drawing: p.drawing, Caption: "Share of the floor by its departure", Half: true, Most: 0.3})
		case "water", "water-after": // with its tables
		case "runs":
			wide = append(wide, sheet.Picture{Drawing: p.drawing, Caption: "Runs of readings and their F-numbers", Most: 0.6})
		case "worst-gap":
			small = append(small, sheet.Picture{Drawing: p.drawing, Caption: "The largest gap under the straightedge", Half: true, Most: 0.3})
		default:
			wide = append(wide, sheet.Picture{Drawing: p.drawing, Caption: "Where the straightedge shows the largest gap", Most: 0.42})
		}
	}
	return append(wide, small...)
}

func (h *Handover) notesSection() sheet.Section {
	s := sheet.Section{Title: "Notes and checks"}
	notes := h.allNotes()
	for _, k := range kinds {
		if k.kind == survey.Caution { // in a section of their own
			continue
		}
		t := table.Table{Title: k.head, Columns: []table.Column{{Name: "Where", Whole: true}, {Name: "What"}}}
		seen := map[string]bool{}
		for _, n := range notes {
			n.Text = n.Text.Unhinted()
			said := noteSentence(n, h.Style)
			if where := n.Pos.String(); n.Kind == k.kind && !seen[where+said] {
				seen[where+said] = true
				t.Rows = append(t.Rows, text(where, said))
			}
		}
		if len(t.Rows) > 0 {
			s.Tables = append(s.Tables, t)
		}
	}
	if len(s.Tables) == 0 {
		s.Text = []string{"Nothing."}
	}
	return s
}

func (h *Handover) cautionSection() sheet.Section {
	s := sheet.Section{Title: "Cautions"}
	notes := h.allNotes()
	seen := map[string]bool{}
	for _, n := range notes {
		if text := noteSentence(n, h.Style); n.Kind == survey.Caution && !seen[text] {
			seen[text] = true
			s.Cautions = append(s.Cautions, text)
		}
	}
	s.Cautions = append(s.Cautions, h.remarkCautions()...)
	return s
}

func (h *Handover) signSection() sheet.Section {
	return sheet.Section{Title: "Signed", Lines: []string{"Old floor measured by", "Order checked by", "Poured by", "New floor measured by", "Accepted for covering by"}}
}

// fileSection lists the input files; on paper a line each, so that it needs no extra page.
func (h *Handover) fileSection(paper bool) sheet.Section {
	s := sheet.Section{Title: "Manifest", Text: []string{fmt.Sprintf("Made by pourplane %s. The same job and files make the same results again.", Version)}}
	t := table.Table{Title: "Files that went in", Columns: columns("Name", "Bytes>", "SHA-256")}
	if paper {
		s.Text[0] += " These went in, with their SHA-256:"
		t = table.Table{}
	}
	for _, f := range h.Inputs {
		if paper {
			t.Notes = append(t.Notes, Printable(fmt.Sprintf("%s, %d bytes: %s", f.Name, f.Bytes, f.SHA256)))
		} else {
			t.Rows = append(t.Rows, text(f.Name, fmt.Sprint(f.Bytes), f.SHA256))
		}
	}
	t.Notes = append(t.Notes, "manifest.json lists the files that came out.")
	s.Tables = []table.Table{t}
	return s
}

// fromTo writes a range; one figure if both ends show the same.
func fromTo(least, most string) string {
	if least == most {
		return least
	}
	return least + " to " + most
}

// depthSummary is the mean depth of the fill and its range.
func depthSummary(f surface.Fill, u unit.Style) string {
	least, mean, most := u.Depth(f.Least), meanText(f, u), u.Depth(f.Greatest)
	if least == most && most == mean {
		return "Depth of fill: " + mean + " all over"
	}
	return fmt.Sprintf("Depth of fill: mean %s, %s", mean, fromTo(least, most))
}
