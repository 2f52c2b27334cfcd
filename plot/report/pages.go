package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"pourplane/plot"
	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// wall is the page to pin on the wall: the order, the deepest place, and the plan with the
// pins.
func (h *Handover) wall() sheet.Record {
	f, u := h.Filled.Fill, h.Style
	head, buy := h.toBuy()
	s := sheet.Section{Title: "", Figures: []sheet.Figure{
		{Value: buy, Name: head},
		{Value: u.Depth(f.Greatest), Name: "deepest, at " + h.Place(f.GreatestAt).In(u) + job.NorthAt(h.Floor, f.GreatestAt) + h.MaxDoubt.In(u)},
	}}
	s.Text = []string{topOfFill(h.Filled, u)}
	s.Text = append(s.Text, h.thinTexts()...)
	s.Text = slices.Concat(s.Text, h.checkFirst(), h.doorTexts(), h.doubtTexts(), h.doubtfulPins())
	var plan plot.Drawing = h.depth
	caption := "Depth of fill"
	if h.Pins != nil {
		m := h.setOutMap(true, false, false)
		m.HeightsFirst, m.List = true, "pins.pdf" // no list is beside it
		// The text above and below the plan is here instead: its room is for the pins.
		m.Title, m.Summary = "", ""
		plan, caption = m, ""
		p := h.Pins
		s.Figures = append(s.Figures, sheet.Figure{Value: fmt.Sprint(len(p.Pins)), Name: "pins, " + h.marksText()})
		s.Text[0] += " Heights are from the old floor to the mark; never finish above it."
	}
	rod := h.rodTexts()
	switch {
	case h.Pins == nil:
	case h.rodByPin() != nil:
		rod = []string{"Rod on each mark: pins.pdf. " + h.levelWins()}
	case len(rod) > 0:
		rod[0] += " " + h.levelWins()
	}
	// One paragraph: the plan needs the room.
	if text := strings.Join(slices.Concat(rod, h.benchmarkTexts()), " "); text != "" {
		s.Text = append(s.Text, text)
	}
	s.Text = append(s.Text, h.grateTexts()...)
	s.Pictures = []sheet.Picture{{Drawing: plan, Caption: caption}}
	// Beside the text, a page across suits plans about 1.9 times as wide as high.
	const wide = 1.9
	lo, hi := h.Floor.Bounds()
	return sheet.Record{Title: h.Title, Date: h.day, Program: "pourplane " + Version, Across: hi.X-lo.X > wide*(hi.Y-lo.Y), Sections: []sheet.Section{s}}
}

// sentence is a text with a capital and a full stop; empty for none.
func sentence(text string) string {
	if text == "" {
		return ""
	}
	return unit.Sentence(text) + "."
}

// thinTexts say where the fill is too thin for the mix, if anywhere.
func (h *Handover) thinTexts() []string {
	text := h.Filled.ThinText().In(h.Style)
	if text == "" {
		return nil
	}
	return []string{sentence(text)}
}

// doubtTexts name the readings in doubt, if any: they change what is ordered and agreed.
func (h *Handover) doubtTexts() []string {
	if text := job.Doubts(h.Blunders, " in doubt").In(h.Style); text != "" {
		return []string{text + "."}
	}
	return nil
}

// checkFirst is how the rod on the doors that the target is taken from differs from that on the
// first benchmark: a crew that reads so sees a wrong door or benchmark before it sets a pin.
func (h *Handover) checkFirst() []string {
	k := h.Survey.Book
	if k == nil || k.Relative || len(k.Benchmarks) == 0 {
		return nil
	}
	const most = 4 // doors on the line; own choice
	b := k.Benchmarks[0]
	var each []string
	for _, d := range h.FinishedBy {
		if d.Name() == "" || d.Name() == b.Name || len(each) == most {
			continue
		}
		sign, more := "+", b.Elevation-d.Z
		if more < 0 {
			sign, more = "−", -more
		}
		each = append(each, fmt.Sprintf("on %s = %s %s %s", d.Name(), b.Name, sign, h.Style.Depth(more)))
	}
	if each == nil {
		return nil
	}
	return []string{"Check first: rod " + strings.Join(each, ", ") + "; if not, stop and ask."}
}

// doorTexts say that the finished floors that set the target differ or may be wrong, if so.
func (h *Handover) doorTexts() (out []string) {
	for _, n := range h.Filled.Notes {
		if n.Step == job.ByDoors {
			out = append(out, sentence(n.Text.In(h.Style)))
		}
	}
	return out
}

// belowDoors is the new floor as the customer sees it: what the fill leaves for the covering,
// and the change of level at each door; or its level if no door was read.
func (h *Handover) belowDoors() string {
	f, u := h.Filled.Fill, h.Style
	how := "level"
	parts, ofParts := f.Target.(surface.PartTargets)
	switch {
	case ofParts:
		how = partsText(parts, h.Floor, u)
	case !surface.WithoutRamps(f.Target).Level():
		how = job.FallText(h.Floor, f.Target)
	}
	how += rampsForCustomer(h.Ramps, u)
	switch {
	case len(h.Thresholds) == 0:
		return topText(h.Filled, u) + rampsForCustomer(h.Ramps, u)
	case len(h.Thresholds) > mostDoors:
		return how + "; at the doors: " + doorsInShort(h.Filled, u)
	}
	var room, takes, over []string
	same, bed := true, false
	for i := range h.Thresholds {
		d := &h.Thresholds[i]
		name := h.doorName(d)
		text := u.Depth(d.Room)
		if h.Covered {
			take := u.Depth(h.Covering.Thickness + d.Laid)
			same = same && take == u.Depth(h.Covering.Thickness+h.Thresholds[0].Laid)
			bed = bed || d.Laid > 0
			takes = append(takes, take+" at "+name)
			over = append(over, meets(d.Change, name, u))
		}
		if over, higher := strings.CutPrefix(text, "-"); higher {
			text = "nothing (" + over + " too high)"
		}
		room = append(room, text+" at "+name)
	}
	if !h.Covered {
		return how + ". Up to the finished floor, for the covering, it leaves " + strings.Join(room, ", ")
	}
	take, what := strings.Join(takes, ", "), "the covering takes"
	if same {
		take, _, _ = strings.Cut(takes[0], " at ")
	}
	if bed {
		what = "covering and bed take"
	}
	return how + ". Up to the finished floor it leaves " + strings.Join(room, ", ") + "; " + what + " " + take + ". With the covering on, the new floor is " + strings.Join(over, ", ")
}

// planned is what the target is, before its figures.
func (h *Handover) planned() string {
	t := surface.WithoutRamps(h.Filled.Fill.Target)
	_, parts := t.(surface.PartTargets)
	_, plane := surface.IsPlane(t)
	switch {
	case h.Design != nil:
		return "the designed surface: "
	case parts:
		return "a height for each part: "
	case plane:
		return "one plane, "
	case h.Falls != nil:
		return "a surface that drains to " + h.DrainsList() + ": "
	}
	return "a surface that slopes, "
}

// doorName is a door for the customer: what the survey's remark calls it, with the name on the
// plan, as a customer knows no A1.
func (h *Handover) doorName(d *surface.Threshold) string {
	const long = 40 // a name, not a report; own choice
	name := cmp.Or(d.Point.Name(), h.Place(surface.Vec{X: d.Point.X, Y: d.Point.Y}).In(h.Style))
	remark, _, _ := strings.Cut(remarkOn(h.Survey, d.Point), ";")
	remark = strings.TrimPrefix(remark, d.Point.Code()+" - ") // a code in a remark is no name
	if remark = strings.TrimSpace(remark); remark == "" || utf8.RuneCountInString(remark) > long {
		return name
	}
	return remark + " (" + name + ")"
}

// meets says how the new floor, covering included, meets the floor at a door.
func meets(change float64, door string, u unit.Style) string {
	switch {
	case math.Abs(change) < u.Step()/2:
		return "flush at " + door
	case change > 0:
		return u.Change(change) + " higher than the floor at " + door
	}
	return u.Change(-change) + " lower than the floor at " + door
}

// mostDoors is the max number of doors named on the customer's page.
const mostDoors = 8

// customer is the page for the customer: the work, and its cost at the prices of the job.
func (h *Handover) customer() sheet.Record {
	f, u := h.Filled.Fill, h.Style
	mean, of := meanDepth(f)
	area := sheet.Figure{Value: u.Area(f.FillArea), Name: "floor to be filled"}
	if b := h.Unserved; b.Area > 0 {
		area.Name += "; " + u.Area(b.Area) + " of it no material serves"
	}
	s := sheet.Section{Figures: []sheet.Figure{area, {Value: u.Depth(mean), Name: "mean depth" + of + ", max " + u.Depth(f.Greatest)}}}
	// Nobody can agree to a price that is not there: then the signature is for the work alone.
	agreed := "Agreed: level, depth and weight"
	if t := &h.Supplies.Total; t.Priced() {
		price := h.totalFigure()
		switch {
		case len(h.Blunders) > 0: // the order may change once they are read again
			agreed += "; not a price"
			price.Value = "not an offer"
			price.Name = survey.Plural(len(h.Blunders), "reading") + " in doubt, to be read again first; " + price.Name
		case t.Complete():
			agreed = "Agreed: level, depth, weight, and the price of what is listed"
		default:
			agreed += "; not a price"
			price.Value = "not an offer"
			price.Name = "materials only, " + price.Name
		}
		if t.Complete() && len(t.Lines) == 1 {
			price.Name += ", " + strings.ToLower(t.Lines[0].Item.In(u)) + " only"
		}
		s.Figures = slices.Insert(s.Figures, 0, *price)
		s.Tables = []table.Table{h.totalTable()}
		if len(h.Blunders) > 0 {
			s.Tables[0].Title += ", not an offer"
		}
		if !t.Complete() { // what has no price is named below the table, and in the record with its quantity
			s.Tables[0].Title = "Materials only, not an offer"
			s.Tables[0].Rows = slices.DeleteFunc(s.Tables[0].Rows, func(r []table.Cell) bool { return r[3].Text == table.NotKnown })
		}
		s.Tables[0].Notes = []string{"The price is of what has a cost above" + h.inCurrency() + ". Not in it: " + strings.Join(h.notIncluded(u), ", ") + "."}
	}
	room := strings.Repeat("_", 20) // to write in by hand
	s.Text = []string{fmt.Sprintf("Contractor %s Customer %s Site %s", room, room, room),
		"The old floor is brought up to " + h.planned() + h.belowDoors() + "." + leftText(h.Filled, h.Style)}
	s.Text = append(s.Text, h.doubtTexts()...)
	if cut, _ := h.Ground(); cut > 0 {
		s.Text = append(s.Text, cutText(h.Filled, u)+h.CutDoubt().In(u)+" is above it"+groundTo(h.Filled, u)+" and has to be ground; that is not in the price.")
	}
	s.Cautions = h.weighty()
	m := *h.depth
	m.Shots, m.Ringed, m.Doors = false, nil, true // depths and the doors that the text names, which fit when small
	s.Pictures = []sheet.Picture{{Drawing: (*plot.WideMap)(&m), Caption: "Depth of fill"}}
	s.Lines = []string{agreed}
	return sheet.Record{Title: h.Title, Date: h.day, Program: "pourplane " + Version, OnePage: true, Sections: []sheet.Section{s}}
}
