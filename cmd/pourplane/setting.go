package main

import (
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

// setting is what is marked and laid on the floor before the pour.
type setting struct {
	exit    *surface.Vec
	pins    *setout.Pins // nil where nothing is filled
	bars    *setout.Bars
	mesh    *setout.Mesh
	bays    *setout.Bays
	bayBags []int // whole ones, where one bagged material fills the floor
	allBags int
}

// setOut marks the floor by the job.
func (h *solved) setOut() error {
	if h.work.fill.Fill == 0 {
		return nil
	}
	e := h.entries()
	j, s := h.job, &h.setting
	if j.Site.Exit != "" {
		v := e.place("site.exit", j.Site.Exit)
		lo, hi := h.floor.Bounds()
		// Nobody leaves a floor by a way that is another floor's.
		if away := max(lo.X-v.X, v.X-hi.X, lo.Y-v.Y, v.Y-hi.Y); !(away <= 50) {
			e.refuse("site.exit", fmt.Sprintf("%q, %.4g m from the floor", j.Site.Exit, away), "a place at the floor, on the grid of the survey")
		}
		s.exit = &v
	}
	target := h.work.fill.Target
	step := e.length("pins.rule-step", j.Pins.RuleStep)
	rules := setout.PinRules{Spacing: e.length("pins.spacing", j.Pins.Spacing), WallSpacing: e.length("pins.wall-spacing", j.Pins.WallSpacing), FromWall: e.length("pins.from-wall", j.Pins.FromWall),
		Step: step, Exit: s.exit, Style: h.style, Taken: h.shotNames()}
	if e.err != nil {
		return e.err
	}
	pins, err := setout.SetPins(h.floor, target, rules)
	e.failed("pins", err)
	s.pins = &pins
	h.notes = append(h.notes, pins.Notes...)
	h.steel(e)
	h.cutBays(e)
	return e.err
}

// shotNames lists the names of all shots of the survey.
func (h *solved) shotNames() []string {
	var out []string
	for _, list := range [][]survey.Point{h.survey.Points, h.survey.Finished, h.survey.Control, h.survey.Heights} {
		for i := range list {
			if name := list[i].Name; name != "" {
				out = append(out, name)
			}
		}
	}
	return out
}

// steel lays bars or mesh.
func (h *solved) steel(e *entries) {
	b, m, target := h.job.Bars, h.job.Mesh, h.work.fill.Target
	switch {
	case e.err != nil:
	case b.Size == "" && b != (job.Bars{}):
		e.refuse("bars.size", "none", "a size such as #3, 10 or 10mm")
	case m.SheetLength == "" && m != (job.Mesh{}):
		e.refuse("mesh.sheet-length", "none", "the length of a sheet")
	case b.Size != "" && m.SheetLength != "":
		e.refuse("mesh", "bars and mesh", "one of the two")
	case b.Size != "":
		size, err := setout.BarNamed(b.Size)
		e.failed("bars.size", err)
		rules := setout.BarRules{Size: size, Spacing: e.length("bars.spacing", b.Spacing), SpacingY: e.length("bars.spacing-across", b.Across), Edge: e.length("bars.edge-cover", b.EdgeCover), Bottom: e.length("bars.bottom-cover", b.BottomCover),
			Top: e.length("bars.top-cover", b.TopCover), Stock: e.length("bars.stock-length", b.StockLength), Lap: e.length("bars.lap", b.Lap), ChairSpacing: e.length("bars.chair-spacing", b.ChairSpacing), Style: h.style}
		if e.err != nil {
			return
		}
		bars, err := setout.LayBars(h.floor, target, rules)
		e.failed("bars", err)
		h.bars = &bars
		h.notes = append(h.notes, bars.Notes...)
	case m.SheetLength != "":
		rules := setout.MeshRules{Length: e.length("mesh.sheet-length", m.SheetLength), Width: e.length("mesh.sheet-width", m.SheetWidth), Mass: m.Mass, Lap: e.length("mesh.lap", m.Lap), Cover: e.length("mesh.cover", m.Cover), Style: h.style}
		if e.err != nil {
			return
		}
		mesh, err := setout.LayMesh(h.floor, target, rules)
		e.failed("mesh", err)
		h.mesh = &mesh
		h.notes = append(h.notes, mesh.Notes...)
	}
}

// pinTable is the list of pins: for the crew with boxes to tick, else as numbers.
func (h *handover) pinTable(crew bool) table.Table {
	m, rod, place, level := h.measures(), h.rodFrom(), h.style.Places(), h.style.Elevations()
	rooms := slices.ContainsFunc(h.pins.Pins, func(p setout.Pin) bool { return p.Room != "" })
	t := table.Table{Title: "Grade pins", Columns: []table.Column{{Name: "Pin"}}}
	add := func(c ...table.Column) { t.Columns = append(t.Columns, c...) }
	if rooms {
		add(table.Column{Name: "Room"})
	}
	x, y := table.Column{Name: "x (" + place.String() + ")", Right: true, Decimals: 2}, table.Column{Name: "y (" + place.String() + ")", Right: true, Decimals: 2}
	if crew {
		add(table.Column{Name: "From wall"}, table.Column{Name: "and from wall"}, table.Column{Name: "Height", Right: true})
		if rod != nil {
			add(table.Column{Name: "Rod: " + rod.name + " and", Right: true})
		}
		add(table.Column{Name: "Set"})
		t.Notes = []string{"Height: of the mark above the old floor beside the pin, rounded down. None: already at or above the target."}
		var places []surface.Vec
		for _, p := range h.pins.Pins {
			places = append(places, p.At)
		}
		if note := wallsNote(h.floor, places); note != "" {
			t.Notes = append(t.Notes, note)
		}
	} else {
		add(x, y, table.Column{Name: "at wall"}, table.Column{Name: "old floor (" + level.String() + ")", Right: true, Decimals: 4}, table.Column{Name: "depth (" + m.thinName + ")", Right: true, Decimals: 2},
			table.Column{Name: "height of mark (" + m.thinName + ")", Right: true, Decimals: 4}, table.Column{Name: "height of mark", Right: true},
			table.Column{Name: "from wall"}, table.Column{Name: "and from wall"})
	}
	number := func(v, size float64) table.Cell { return table.Number(rounded(v/size, 1e-6)) }
	for _, p := range h.pins.Pins {
		row := text(p.Name)
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
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// mark writes the height of a pin in the crew's unit.
func (h *handover) mark(p setout.Pin) string {
	if p.Depth <= 0 {
		return "none"
	}
	u := h.style
	if u.Imperial {
		u.Denominator = 64 // the least that a rule is divided in; 1/8 in stays 1/8
	} else if step := 1000 * h.pins.Rules.Step; math.Abs(step-math.Round(step)) > 1e-9 {
		return fmt.Sprintf("%.1f mm", math.Floor(1e4*p.Height+1e-6)/10)
	}
	// Downwards again: steps of 0.01 ft or 2.5 mm are no whole 64ths or millimetres.
	return u.DepthDown(p.Height)
}

// setOutMap draws what is asked for of the setting.
func (h *handover) setOutMap(pins, bars, bays bool) *plot.SetOutMap {
	m := &plot.SetOutMap{Floor: h.floor, Target: h.work.fill.Target, Finished: h.survey.Finished, Drains: h.depth.Drains, Units: h.style, Exit: h.exit}
	var parts []string
	if pins {
		parts = append(parts, h.pinText())
		for _, p := range h.pins.Pins {
			kind := plot.PinFill
			switch {
			case p.Depth <= 0:
				kind = plot.PinNothing
			case p.Name == h.pins.Start.Name:
				kind = plot.PinStart
			}
			m.Pins = append(m.Pins, plot.SetOutPin{At: p.At, Name: p.Name, Text: strings.TrimRight(strings.TrimSuffix(h.mark(p), " mm"), `"`), Wall: p.Wall, Kind: kind})
		}
	} else {
		m.Levels = h.levels
	}
	if bars && h.bars != nil {
		for _, b := range h.bars.Bars {
			m.Bars, m.BarMarks = append(m.Bars, [2]surface.Vec{b.From, b.To}), append(m.BarMarks, b.Mark)
		}
		for _, c := range h.bars.Chairs {
			m.Chairs = append(m.Chairs, c.At)
		}
		m.Thin = max(0, h.bars.Thin.Need)
		parts = append(parts, fmt.Sprintf("%s of %s, %s", plural(h.bars.Count, "bar"), h.bars.Rules.Size.Name, h.style.Mass(h.bars.Mass)))
	}
	if bars && h.mesh != nil {
		for _, s := range h.mesh.Sheets {
			m.Sheets = append(m.Sheets, s.Corners[:])
		}
		parts = append(parts, plural(h.mesh.Count, "sheet")+" of mesh")
	}
	if bays && h.bays != nil {
		h.drawBays(m)
		parts = append(parts, plural(len(h.bays.Bays), "bay"))
	}
	m.Summary = strings.Join(parts, "; ")
	return m
}

func (h *handover) pinText() string {
	p := h.pins
	return fmt.Sprintf("%s; marks from %s (%s) to %s (%s); %s", plural(len(p.Pins), "pin"), h.mark(p.Least), p.Least.Name, h.mark(p.Greatest), p.Greatest.Name, h.startText())
}

// startText says where to begin.
func (h *handover) startText() string {
	if h.pins.Start.Name == "" {
		return "none with a mark to start at"
	}
	return "start at " + h.pins.Start.Name
}

// rodTexts give the rod reading on the finished fill, wherever the level stands.
func (h *handover) rodTexts() []string {
	k, p := h.survey.Book, h.work.fill.Target
	if k == nil || k.Relative || p.SlopeX != 0 || p.SlopeY != 0 {
		return nil
	}
	var out []string
	for _, b := range k.Benchmarks {
		sign, d := "+", b.Elevation-p.Z
		if d < 0 {
			sign, d = "−", -d
		}
		out = append(out, fmt.Sprintf("Rod on the finished fill = rod on %s %s %s, from the same set-up.", b.Name, sign, h.style.Depth(d)))
	}
	return out
}

// ruleStep is the least division of the crew's rule.
func (h *handover) ruleStep() string {
	step := h.pins.Rules.Step
	if h.style.Imperial {
		return unit.Style{Imperial: true, Denominator: 64}.Depth(step)
	}
	return fmt.Sprintf("%g mm", 1000*step)
}

// pinSection is the pins in the record; on paper their plan and list are sheets of their
// own.
func (h *handover) pinSection(paper bool) sheet.Section {
	if h.pins == nil {
		return sheet.Section{}
	}
	s := sheet.Section{Title: "Grade pins", Text: []string{h.pinText() + "."}}
	if paper {
		s.Text[0] += " The plan to scale and the list to tick off are in pins.pdf, one page for the wall in wall.pdf."
		return s
	}
	s.Pictures = []sheet.Picture{{Drawing: h.setOutMap(true, false, false), Caption: "Pins with the height of their marks"}}
	s.Tables = []table.Table{h.pinTable(true)}
	return s
}

// settingLayers are pins, bars and dams for the plan.
func (h *handover) settingLayers() []exchange.Layer {
	var out []exchange.Layer
	if h.pins != nil {
		l := exchange.Layer{Name: "PINS"}
		for _, p := range h.pins.Pins {
			l.Marks = append(l.Marks, exchange.Mark{At: p.At, Elevation: p.Floor + p.Height, Text: p.Name + " " + h.mark(p), Properties: []exchange.Property{
				{Name: "name", Value: p.Name}, {Name: "room", Value: p.Room}, {Name: "wall", Value: p.Wall}, {Name: "floor_m", Value: p.Floor}, {Name: "depth_mm", Value: 1000 * p.Depth}, {Name: "height_mm", Value: 1000 * p.Height}}})
		}
		out = append(out, l)
	}
	if h.bars != nil {
		l := exchange.Layer{Name: "BARS"}
		for _, b := range h.bars.Bars {
			l.Lines = append(l.Lines, exchange.Line{Points: []surface.Vec{b.From, b.To}, Elevation: math.NaN(), Properties: []exchange.Property{{Name: "mark", Value: b.Mark}, {Name: "length_mm", Value: 1000 * b.Length()}}})
		}
		c := exchange.Layer{Name: "CHAIRS"}
		for _, k := range h.bars.Chairs {
			c.Marks = append(c.Marks, exchange.Mark{At: k.At, Elevation: math.NaN(), Text: h.style.Depth(k.Height), Properties: []exchange.Property{{Name: "height_mm", Value: 1000 * k.Height}}})
		}
		out = append(out, l, c)
	}
	if h.mesh != nil {
		l := exchange.Layer{Name: "MESH"}
		for _, s := range h.mesh.Sheets {
			l.Lines = append(l.Lines, exchange.Line{Points: s.Corners[:], Closed: true, Elevation: math.NaN()})
		}
		out = append(out, l)
	}
	return append(out, h.bayLayers()...)
}
