package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/plot"
	"pourplane/plot/exchange"
	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// wallCells give a place by tape from two walls, east or west first; its coordinates if it
// faces no two walls.
func (h *Handover) wallCells(p surface.Vec) (x, y table.Cell) {
	if sides := h.Floor.Sides(p); len(sides) == 2 {
		return table.Text(job.WallCell(sides[0]).In(h.Style)), table.Text(job.WallCell(sides[1]).In(h.Style))
	}
	return table.Text("x " + h.Style.Length(p.X)), table.Text("y " + h.Style.Length(p.Y))
}

// pinTable is the list of pins: for the crew with boxes to tick, otherwise as numbers.
func (h *Handover) pinTable(crew bool) table.Table {
	m, rod, place, level := h.measures(), h.rodByPin(), h.Style.Places(), h.Style.Elevations()
	rooms := slices.ContainsFunc(h.Pins.Pins, func(p setout.Pin) bool { return p.Room != "" })
	doubts := slices.ContainsFunc(h.Pins.Pins, func(p setout.Pin) bool { return p.Doubt != "" })
	known := slices.ContainsFunc(h.Pins.Pins, func(p setout.Pin) bool { return p.Within > 0 })
	pins, bays := slices.Clone(h.Pins.Pins), len(h.bays()) > 1
	if bays && crew { // in the order of placing
		slices.SortStableFunc(pins, func(a, b setout.Pin) int { return cmp.Compare(h.bayOf(a.At), h.bayOf(b.At)) })
	}
	t := table.Table{Title: "Grade pins", Columns: []table.Column{{Name: "Pin"}}}
	add := func(c ...table.Column) { t.Columns = append(t.Columns, c...) }
	under := func(format string) string { // on a phone the places are under the names: the heights stay in view
		if crew {
			return format
		}
		return ""
	}
	if bays {
		add(table.Column{Name: "Bay", Under: under("bay %s: ")})
	}
	if rooms {
		add(table.Column{Name: "Room", Under: under("%s: ")})
	}
	x, y := numbers("x", place.String(), 2), numbers("y", place.String(), 2)
	if crew {
		add(table.Column{Name: "From wall", Under: under("%s")}, table.Column{Name: "and from wall", Under: under(", %s")}, table.Column{Name: "Height", Right: true})
		if rod != nil {
			add(table.Column{Name: "Rod = " + rod.Name + " +", Right: true})
		}
		add(table.Column{Name: "Set"})
		t.Notes = []string{"Height: of the mark above the old floor beside the pin, rounded down. None: already at or above the target."}
		var places []surface.Vec
		for _, p := range h.Pins.Pins {
			places = append(places, p.At)
		}
		t.Notes = slices.Concat(t.Notes, h.doubtfulPins(), h.unsurePins())
		if note := job.WallsNote(h.Floor, places); note != "" {
			t.Notes = append(t.Notes, note)
		}
	} else {
		add(x, y, table.Column{Name: "at wall"}, numbers("old floor", level.String(), 4), numbers("depth", m.thinName, 2),
			numbers("height of mark", m.thinName, 4), table.Column{Name: "height of mark", Right: true},
			table.Column{Name: "from wall"}, table.Column{Name: "and from wall"})
		if doubts {
			t.Columns = append(t.Columns, table.Column{Name: "in doubt"})
		}
		if known {
			add(numbers("depth ± 90 %", m.thinName, 2))
		}
	}
	number := func(v, size float64) table.Cell { return table.Number(job.Rounded(v/size, 1e-6)) }
	for _, p := range pins {
		row := text(p.Name)
		if bays {
			row = append(row, text(h.bays()[h.bayOf(p.At)].Name)...)
		}
		if rooms {
			row = append(row, text(p.Room)...)
		}
		x, y := number(p.At.X, place.Metres()), number(p.At.Y, place.Metres())
		wallX, wallY := h.wallCells(p.At)
		if crew {
			x, y = wallX, wallY
		}
		row = append(row, x, y)
		mark := h.mark(p)
		if crew && p.Doubt != "" {
			mark = "! " + mark
		}
		if crew {
			row = append(row, table.Cell{Text: mark, Bold: true})
			if rod != nil {
				row = append(row, table.Text(h.rodMore(rod, p)))
			}
			row = append(row, table.Cell{Tick: true})
		} else {
			wall := ""
			if p.Wall {
				wall = "wall"
			}
			row = append(row, table.Text(wall), number(p.Floor, level.Metres()), number(p.Depth, m.thin), number(p.Height, m.thin), table.Text(mark), wallX, wallY)
			if doubts {
				row = append(row, text(p.Doubt)...)
			}
			if known {
				row = append(row, m.plusMinus(p.Within))
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// mark writes the height of a pin in the crew's unit.
func (h *Handover) mark(p setout.Pin) string {
	if p.Depth <= 0 {
		return "none"
	}
	u := h.Style
	if u.Imperial {
		u.Denominator = 64 // the finest division of a rule; 1/8 in stays 1/8
	} else if step := 1000 * h.Pins.Rules.Step; math.Abs(step-math.Round(step)) > 1e-9 {
		return fmt.Sprintf("%.1f mm", 1000*unit.Down(p.Height, 1e-4))
	}
	// Down again: steps of 0.01 ft or 2.5 mm are not whole 64ths or millimetres.
	return u.DepthDown(p.Height)
}

// setOutMap draws the requested set-out.
func (h *Handover) setOutMap(pins, bars, bays bool) *plot.SetOutMap {
	m := &plot.SetOutMap{Floor: h.Floor, Target: h.Filled.Fill.Target, Finished: h.FinishedBeside(), Drains: h.setOutDrains(), Channels: channelsOf(h.Filled), Ramps: h.depth.Ramps, Marks: h.planMarks(), Units: h.Style, Exit: h.Exit}
	if !bars && !bays {
		m.Materials = h.planMaterials()
	}
	var parts []string
	if pins {
		parts = append(parts, h.pinText())
		for _, p := range h.Pins.Pins {
			kind := plot.PinFill
			switch {
			case p.Depth <= 0:
				kind = plot.PinNothing
			case p.Name == h.Pins.Start.Name:
				kind = plot.PinStart
			}
			mark := strings.TrimRight(strings.TrimSuffix(h.mark(p), " mm"), `"`)
			if p.Doubt != "" {
				mark = "! " + mark
			}
			m.Pins = append(m.Pins, plot.SetOutPin{At: p.At, Name: p.Name, Text: mark, Wall: p.Wall, Kind: kind, Doubt: p.Doubt, Slight: p.Slight})
		}
	} else {
		m.Levels = h.depth.Levels
	}
	if bars && h.Bars != nil {
		for _, b := range h.Bars.Bars {
			m.Bars, m.BarMarks = append(m.Bars, [2]surface.Vec{b.From, b.To}), append(m.BarMarks, b.Mark)
		}
		chairs := slices.Clone(h.Bars.Chairs)
		slices.SortStableFunc(chairs, func(a, b setout.Chair) int { return cmp.Compare(a.Height, b.Height) })
		for _, c := range chairs {
			m.Chairs, m.Heights = append(m.Chairs, c.At), append(m.Heights, h.Style.DepthDown(c.Height))
		}
		m.NoChair, m.Ways = h.Bars.NoRoom, h.barWays()
		m.Thin = max(0, h.Bars.Thin.Need)
		parts = append(parts, fmt.Sprintf("%s of %s, %s", survey.Plural(h.Bars.Count, "bar"), h.Bars.Rules.Size.Name, h.Style.Mass(h.Bars.Mass)))
	}
	if bars && h.Mesh != nil {
		for _, s := range h.Mesh.Sheets {
			m.Sheets = append(m.Sheets, s.Corners[:])
		}
		parts = append(parts, survey.Plural(h.Mesh.Count, "sheet")+" of mesh")
	}
	if bays && h.Bays != nil {
		h.drawBays(m)
		parts = append(parts, survey.Plural(len(h.Bays.Bays), "bay"))
	}
	m.Summary = strings.Join(parts, "; ")
	return m
}

func (h *Handover) pinText() string {
	return survey.Plural(len(h.Pins.Pins), "pin") + "; " + h.marksText()
}

// marksText is the range of the marks and where to begin.
func (h *Handover) marksText() string {
	p, start := h.Pins, "none with a sure mark to start at"
	if p.Start.Name != "" {
		start = "start placing at " + p.Start.Name + ", " + h.whyStart()
	} else if len(h.bays()) > 1 {
		start = "start placing in bay " + h.bays()[0].Name
	}
	if least := h.mark(p.Least); least == h.mark(p.Greatest) {
		return "all marks " + least + "; " + start
	}
	return fmt.Sprintf("marks from %s (%s) to %s (%s); %s", h.mark(p.Least), pinNamed(p.Least), h.mark(p.Greatest), pinNamed(p.Greatest), start)
}

// pinNamed is the name of a pin in the range of marks.
func pinNamed(p setout.Pin) string {
	if p.Doubt != "" {
		return p.Name + ", in doubt"
	}
	return p.Name
}

// bays are the bays laid out, if any.
func (h *Handover) bays() []setout.Bay {
	if h.Bays == nil {
		return nil
	}
	return h.Bays.Bays
}

// bayOf is the number of the bay at p, in the order of placing; the nearest one if p is in none,
// and of several the first.
func (h *Handover) bayOf(p surface.Vec) int {
	best, near := 0, math.Inf(1)
	for i, b := range h.bays() {
		if d := setout.Away(b.Floor, p); d < near {
			best, near = i, d
		}
	}
	return best
}

// whyStart is what makes a pin the first.
func (h *Handover) whyStart() string {
	p, why := h.Pins, "the deepest pin"
	if p.Rules.Exit != nil {
		why = "the pin farthest from the exit"
	}
	if all := h.bays(); len(all) > 1 {
		why += " in bay " + all[0].Name
	}
	if slices.ContainsFunc(p.Pins, func(q setout.Pin) bool { return q.Doubt != "" }) {
		why += " that is not in doubt"
	}
	return why
}

// doubtfulPins list the pins that depend on readings in doubt, by reading.
func (h *Handover) doubtfulPins() []string {
	if h.Pins == nil {
		return nil
	}
	var order []string
	names := map[string][]string{}
	for _, p := range h.Pins.Pins {
		if p.Doubt == "" {
			continue
		}
		if names[p.Doubt] == nil {
			order = append(order, p.Doubt)
		}
		names[p.Doubt] = append(names[p.Doubt], p.Name)
	}
	var out []string
	for _, of := range order {
		verb := "depend"
		if len(names[of]) == 1 {
			verb = "depends"
		}
		out = append(out, fmt.Sprintf("! %s %s on %s, in doubt: check before setting.", strings.Join(names[of], ", "), verb, of))
	}
	return out
}

// unsurePins lists the pins at which the depth is less than its ±.
func (h *Handover) unsurePins() []string {
	if h.Pins == nil {
		return nil
	}
	var names []string
	for _, p := range h.Pins.Pins {
		if p.Depth > 0 && p.Within > p.Depth {
			names = append(names, p.Name)
		}
	}
	if names == nil {
		return nil
	}
	return []string{fmt.Sprintf("The ± is larger than the depth at %s: read the floor there before you set it.", strings.Join(names, ", "))}
}

// rodTexts give the rod reading on the finished fill, for any place of the level.
func (h *Handover) rodTexts() []string {
	k := h.Survey.Book
	p, ok := surface.IsPlane(h.Filled.Fill.Target)
	if k == nil || k.Relative || !ok || !p.Level() {
		return nil
	}
	var out []string
	for _, b := range k.Benchmarks {
		sign, text := h.rodDifference(b.Elevation - p.Z)
		out = append(out, fmt.Sprintf("Rod on the finished fill = rod on %s %s %s, from the same set-up (rounded: never above the target).", b.Name, cmp.Or(sign, "+"), text))
	}
	return out
}

// ruleStep is the smallest division of the crew's rule.
func (h *Handover) ruleStep() string {
	step := h.Pins.Rules.Step
	if h.Style.Imperial {
		return unit.Style{Imperial: true, Denominator: 64}.Depth(step)
	}
	return fmt.Sprintf("%g mm", 1000*step)
}

// pinSection is the pins in the record; on paper their plan and list are sheets of their
// own.
func (h *Handover) pinSection(paper bool) sheet.Section {
	if h.Pins == nil {
		return sheet.Section{}
	}
	s := sheet.Section{Title: "Grade pins", Text: []string{h.pinText() + "."}}
	if paper {
		s.Text[0] += " The plan to scale and the list to tick off are in pins.pdf, and a page to hang on the wall is wall.pdf."
		return s
	}
	s.Pictures = []sheet.Picture{{Drawing: h.setOutMap(true, false, false), Caption: "Pins with the height of their marks"}}
	s.Tables = []table.Table{h.pinTable(true)}
	return s
}

// settingLayers are pins, bars and dams for the plan.
func (h *Handover) settingLayers() []exchange.Layer {
	var out []exchange.Layer
	if h.Pins != nil {
		l := exchange.Layer{Name: "PINS"}
		for _, p := range h.Pins.Pins {
			text := p.Name + " " + h.mark(p)
			var sd any // null: not measured
			if p.SD > 0 {
				sd = 1000 * p.SD
			}
			if p.Doubt != "" { // a DXF has no properties
				text += " ! in doubt: " + p.Doubt
			}
			l.Labels = append(l.Labels, exchange.Label{At: p.At, Elevation: p.Floor + p.Height, Text: text, Properties: []exchange.Property{
				{Name: "name", Value: p.Name}, {Name: "room", Value: p.Room}, {Name: "wall", Value: p.Wall}, {Name: "floor_m", Value: p.Floor}, {Name: "depth_mm", Value: 1000 * p.Depth}, {Name: "depth_sd_mm", Value: sd}, {Name: "height_mm", Value: 1000 * p.Height}, {Name: "in_doubt", Value: p.Doubt != ""}}})
		}
		out = append(out, l)
	}
	if h.Bars != nil {
		l := exchange.Layer{Name: "BARS"}
		for _, b := range h.Bars.Bars {
			l.Lines = append(l.Lines, exchange.Line{Points: []surface.Vec{b.From, b.To}, Elevation: math.NaN(), Properties: []exchange.Property{{Name: "mark", Value: b.Mark}, {Name: "length_mm", Value: 1000 * b.Length()}}})
		}
		c := exchange.Layer{Name: "CHAIRS"}
		for _, k := range h.Bars.Chairs {
			c.Labels = append(c.Labels, exchange.Label{At: k.At, Elevation: math.NaN(), Text: h.Style.Depth(k.Height), Properties: []exchange.Property{{Name: "height_mm", Value: 1000 * k.Height}}})
		}
		out = append(out, l, c)
	}
	if h.Mesh != nil {
		l := exchange.Layer{Name: "MESH"}
		for _, s := range h.Mesh.Sheets {
			l.Lines = append(l.Lines, exchange.Line{Points: s.Corners[:], Closed: true, Elevation: math.NaN()})
		}
		out = append(out, l)
	}
	return append(out, h.bayLayers()...)
}
