package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// asEntered is beside every list of steel.
const asEntered = "Sizes, spacings, laps and covers are as entered in the job: a designer's drawing and the local code take precedence."

// steelSection is bars or mesh, with the chairs under them.
func (h *Handover) steelSection() sheet.Section {
	if h.Bars == nil && h.Mesh == nil {
		return sheet.Section{}
	}
	u := h.Style
	s := sheet.Section{Title: "Reinforcement", Cautions: []string{asEntered}, Text: slices.Concat(h.atJoints(), h.throughDams())}
	if m := h.Mesh; m != nil {
		r := m.Rules
		s.Text = append(s.Text, fmt.Sprintf("%s of %s, each %s × %s, laps %s: %s as laid, rows cut at their ends but nothing trimmed to walls, %s of it double; %s.", survey.Plural(m.Count, "sheet"), cmp.Or(h.Job.Mesh.Name, "mesh"), u.Length(r.Length), u.Length(r.Width), u.Depth(r.Lap), u.Area(m.Area), u.Area(m.Lapped), u.Mass(m.Mass)))
		if t := m.Thin; t.Area > 0 {
			s.Text = append(s.Text, fmt.Sprintf("Too thin for mesh and its cover (%s needed): %s of floor. Sheets are still counted there: ask the designer where to end them.", u.Depth(t.Need), u.Area(t.Area)))
		}
		s.Pictures = append(s.Pictures, sheet.Picture{Drawing: h.setOutMap(false, true, false), Caption: "Sheets as laid, before they are trimmed", Most: 0.6})
		return s
	}
	b := h.Bars
	r := b.Rules
	s.Text = append(s.Text, fmt.Sprintf("%s of %s at %s and %s, %s: %s in all, %s with laps, cut from %s of %s (%s).", survey.Plural(b.Count, "bar"), r.Size.Name, u.Depth(r.SpacingX), u.Depth(r.SpacingY), survey.Plural(b.Laps, "lap"), h.runLength(b.Total), u.Mass(b.Mass), survey.Plural(b.Stock, "stock bar"), u.Length(r.Stock), u.Mass(b.StockMass)))
	s.Text = append(s.Text, fmt.Sprintf("Cover: %s to walls; %s above the upper bars, which sets their height; min %s wanted below the lower; laps %s.", u.Depth(r.Edge), u.Depth(r.Top), u.Depth(r.Bottom), u.Depth(r.Lap)))
	if t := b.Thin; t.Area > 0 {
		s.Text = append(s.Text, fmt.Sprintf("Too thin for bars and their cover (%s needed): %s of floor, with %s of mix. It is hatched on the plan. The list still counts bars there: end them at the hatching unless the designer wants something else. Where the fill is thinner than the bar it cannot be placed at all.", u.Depth(t.Need), u.Area(t.Area), u.SmallVolume(t.Volume)))
	}
	if n := len(b.NoRoom); n > 0 {
		s.Text = append(s.Text, fmt.Sprintf("At %s the fill is too thin for a chair and the bar on it: crosses on the plan, not counted. End the bars before them, raise the target, or ask the designer.", survey.Plural(n, "place")))
	}
	if text := h.LapsOnEdges().In(u); text != "" {
		s.Text = append(s.Text, sentence(text))
	} else if b.LapsMoved > 0 {
		edges := "steps"
		if h.Bays != nil && len(h.Bays.Dams) > 0 {
			edges = "steps and dams"
		}
		s.Text = append(s.Text, "Laps are "+u.Depth(r.Edge)+" or more from "+edges+".")
	}
	if b.Short > 0 {
		s.Text = append(s.Text, fmt.Sprintf("%s shorter than %s left out.", survey.Plural(b.Short, "piece"), u.Depth(r.Shortest)))
	}
	var chairs []string
	for _, c := range b.ChairCount {
		chairs = append(chairs, fmt.Sprintf("%d of %s", c.Count, u.DepthDown(c.Height)))
	}
	if len(chairs) > 0 {
		s.Text = append(s.Text, "Chairs under the lower bars, rounded down to a step, the rest shimmed: "+strings.Join(chairs, ", ")+"."+h.lowChairs())
		if low := b.ChairCount[0].Height; low < b.Rules.Bottom-1e-9 {
			s.Text = append(s.Text, "Chairs as low as "+u.DepthDown(low)+" may not be sold: ask the designer what to set the bars on there.")
		}
	}
	s.Tables = append(s.Tables, h.cutTable())
	s.Pictures = append(s.Pictures, sheet.Picture{Drawing: h.setOutMap(false, true, false), Caption: "Bars and chairs in plan", Most: 0.95})
	return s
}

// Rows are what a job adds to the answer: the price and the steel.
func (h *Handover) Rows() (rows []AnswerRow) {
	u := h.Style
	if text := h.TotalText(); text != "" {
		rows = append(rows, AnswerRow{Head: "Price", Text: text})
	}
	if text := cheapestText(h.Filled, u, h.amount); text != "" {
		rows = append(rows, AnswerRow{Head: "Being wrong", Text: text, spare: restOfSure})
	}
	if b := h.Bars; b != nil {
		rows = append(rows, AnswerRow{Head: "Bars", Text: fmt.Sprintf("%d of %s, %s%s", b.Count, b.Rules.Size.Name, u.Mass(b.Mass), thinInShort(&b.Thin, "them", u))})
	}
	if m := h.Mesh; m != nil {
		rows = append(rows, AnswerRow{Head: "Mesh", Text: fmt.Sprintf("%s of %s, %s%s", survey.Plural(m.Count, "sheet"), cmp.Or(h.Job.Mesh.Name, "mesh"), u.Mass(m.Mass), thinInShort(&m.Thin, "it", u))})
	}
	return rows
}

// thinInShort is where the fill is too thin for steel; empty if nowhere.
func thinInShort(t *setout.Thin, steel string, u unit.Style) string {
	if t.Area == 0 {
		return ""
	}
	return fmt.Sprintf("; too thin for %s and the cover (%s needed): %s", steel, u.Depth(t.Need), u.Area(t.Area))
}

// lowChairs says why chairs are lower than the cover: they have the room that is left under
// the bars.
func (h *Handover) lowChairs() string {
	b, u := h.Bars, h.Style
	low := 0
	for _, c := range b.Chairs {
		if c.Clear < b.Rules.Bottom-1e-9 {
			low++
		}
	}
	if low == 0 {
		return ""
	}
	return fmt.Sprintf(" A chair is as high as the gap under its bar: %d of %d have less than the %s of cover wanted, all where it is too thin for bars, thinnest at %s.", low, len(b.Chairs), u.Depth(b.Rules.Bottom), h.thinnest(&b.Thin))
}

// thinnest is where places too thin for steel are thinnest, by tape: the largest first.
func (h *Handover) thinnest(t *setout.Thin) string {
	const named = 3
	var at []string
	for _, p := range t.Places[:min(len(t.Places), named)] {
		at = append(at, job.Beside(h.Floor, p.At).In(h.Style))
	}
	if n := len(t.Places) - named; n > 0 {
		at = append(at, fmt.Sprintf("%d smaller places", n))
	}
	return strings.Join(at, "; ")
}

// atJoints says what the steel does at movement joints, if there are any.
func (h *Handover) atJoints() []string {
	if at := h.JointsUnsaid; at != nil {
		return []string{"The steel below is drawn across " + unit.Join(at, "; ").In(h.Style) + ". The job does not say if that is a movement joint: no steel may cross one."}
	}
	if h.Joints == nil || !h.Movement {
		return nil
	}
	text := "Stop all steel on each side of a movement joint: none may cross it."
	switch {
	case h.Mesh != nil:
		text += " The sheets below are counted across it: cut them there."
	case len(h.JointLines) == 0:
		text += " This list does not stop bars at the joint, as the job gives only its length: do not cut or place steel until it is drawn (a line named joint in the outline)."
	default:
		text += " The bars below end " + h.Style.Depth(h.Bars.Rules.Edge) + " from each joint that is drawn."
		if h.JointsUndrawn {
			text += " Only part of the length given is drawn: do not cut or place steel at the rest until it is."
		}
	}
	return []string{text}
}

// throughDams says that steel is drawn through the dams between bays, if there are any.
func (h *Handover) throughDams() []string {
	if h.Bays == nil || len(h.Bays.Dams) == 0 {
		return nil
	}
	var names []string
	for _, d := range h.Bays.Dams {
		names = append(names, d.Name)
	}
	what := "dam "
	if len(names) > 1 {
		what = "dams "
	}
	return []string{"The steel is drawn through " + what + strings.Join(names, ", ") + ": notch the boards over it, or stop it there if the designer says so."}
}

// crewLength writes a length as on a tape, and a long sum in whole feet, if that differs from
// the number itself.
func (h *Handover) crewLength(m float64) string {
	switch {
	case !h.Style.Imperial:
		return ""
	case m >= 100*unit.Foot.Metres():
		return h.runLength(m)
	}
	return h.Style.Length(m)
}

// cutTable lists bars to cut; a spreadsheet recalculates the sums.
func (h *Handover) cutTable() table.Table {
	u := h.measures()
	each := h.Bars.Rules.Size.Mass * u.long / u.mass // of one metre or foot
	t := table.Table{Title: "Bars to cut", Columns: []table.Column{{Name: "Mark"}, {Name: "Count", Right: true}, numbers("Length", u.longName, 3), numbers("Together", u.longName, 2), numbers("Mass", u.massName, 1)},
		Notes: []string{h.layers() + asEntered}}
	var lengths, masses []string
	for i, c := range h.Bars.Cuts {
		k := fmt.Sprint(i + 1)
		t.Rows = append(t.Rows, []table.Cell{table.Text(c.Mark), {Value: float64(c.Count), Number: true, Name: "n" + k}, {Value: c.Length / u.long, Number: true, Name: "l" + k, Text: h.crewLength(c.Length)},
			{Value: c.Total / u.long, Number: true, Name: "t" + k, Formula: "{n" + k + "}*{l" + k + "}", Text: h.crewLength(c.Total)}, {Value: c.Total / u.long * each, Number: true, Name: "m" + k, Formula: fmt.Sprintf("{t%s}*%.9g", k, each)}})
		lengths, masses = append(lengths, "{t"+k+"}"), append(masses, "{m"+k+"}")
	}
	t.Rows = append(t.Rows, []table.Cell{{Text: "Together", Bold: true}, {Value: float64(h.Bars.Count), Number: true, Bold: true}, table.Text(""),
		{Value: h.Bars.Total / u.long, Number: true, Bold: true, Formula: strings.Join(lengths, "+"), Text: h.crewLength(h.Bars.Total)}, {Value: h.Bars.Mass / u.mass, Number: true, Bold: true, Formula: strings.Join(masses, "+")}})
	return t
}

// barWays say of the bars of each direction how they run, where the first is and how far apart they
// are; nothing if rooms or joints part them into several sets.
func (h *Handover) barWays() (out [2]string) {
	all := h.Bars.Spaced
	if len(all) != 2 || all[0].Direction != "X" {
		return out
	}
	u, runs := h.Style, []string{"X: along ", "Y: across, on top: the first beside "}
	for i, s := range all {
		side, ok := h.sideAt(s.First)
		if !ok {
			return [2]string{}
		}
		out[i] = runs[i] + side.Text() + ", " + u.Depth(side.Distance) + " from it"
		if i == 0 {
			out[i] = runs[i] + side.Text() + ", the first " + u.Depth(side.Distance) + " from it"
		}
		if s.Apart > 0 {
			out[i] += ", then every " + u.Depth(s.Apart)
		}
	}
	return out
}

// sideAt is the nearest wall of a place.
func (h *Handover) sideAt(p surface.Vec) (surface.Side, bool) {
	sides := h.Floor.Sides(p)
	if len(sides) == 0 {
		return surface.Side{}, false
	}
	return slices.MinFunc(sides, func(a, b surface.Side) int { return cmp.Compare(a.Distance, b.Distance) }), true
}

// layers say which bars are which in the cutting list.
func (h *Handover) layers() string {
	if ways := h.barWays(); ways[0] != "" {
		return ways[0] + "; the lower layer. " + ways[1] + ". "
	}
	return "X: along the main wall, the lower layer; Y: across, on top of it. "
}

// cutSheet is [Handover.cutTable] for a workbook, whose lengths are numbers: in feet a column
// gives them as on a tape.
func (h *Handover) cutSheet() table.Table {
	t := h.cutTable()
	if !h.Style.Imperial {
		return t
	}
	t.Columns = append(t.Columns, table.Column{Name: "Cut to", Right: true})
	for i, c := range h.Bars.Cuts {
		t.Rows[i] = append(t.Rows[i], table.Text(h.Style.Length(c.Length)))
	}
	return t
}

func (h *Handover) chairTable() table.Table {
	m := h.measures()
	t := table.Table{Title: "Chairs", Columns: []table.Column{numbers("Height", m.thinName, 2), {Name: "Count", Right: true}}, Notes: []string{"Under the lower bars, rounded down to a step; the rest is shimmed."}}
	for _, c := range h.Bars.ChairCount {
		t.Rows = append(t.Rows, []table.Cell{{Value: job.Rounded(c.Height/m.thin, 1e-6), Number: true, Text: h.Style.DepthDown(c.Height)}, table.Number(float64(c.Count))})
	}
	return t
}

// meshTable is the sheets to buy.
func (h *Handover) meshTable() table.Table {
	m, k := h.measures(), h.Mesh
	t := table.Table{Title: "Mesh", Columns: []table.Column{{Name: "What"}, {Name: "Figure", Right: true, Decimals: 2}}, Notes: []string{asEntered}}
	for _, f := range []struct {
		name  string
		value float64
	}{{"Sheets", float64(k.Count)}, {"Laid before trimming (" + m.areaName + ")", k.Area / m.area}, {"Lying double (" + m.areaName + ")", k.Lapped / m.area}, {"Mass of whole sheets (" + m.massName + ")", k.Mass / m.mass}} {
		t.Rows = append(t.Rows, []table.Cell{table.Text(f.name), {Value: f.value, Number: true, Whole: f.name == "Sheets"}})
	}
	return t
}
