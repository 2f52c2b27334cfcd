package report

import (
	"bytes"
	"math"

	"pourplane/plot"
	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Fact is one line of an answer on a screen, with the warnings that change it.
type Fact struct {
	Head     string   `json:"head"`
	Text     string   `json:"text"`
	Warnings []string `json:"warnings,omitempty"`
}

// Remarks are notes of one kind under a head.
type Remarks struct {
	Head  string   `json:"head"`
	Notes []string `json:"notes"`
}

// Facts are the answer, the order first, and all notes that are beside none of its lines.
func (s *Summary) Facts() ([]Fact, []Remarks) {
	var out []Fact
	beside := map[survey.Topic]bool{}
	for _, r := range append(s.answer(), AnswerRow{Head: "Load", Text: s.load(), Topic: survey.AboutLoad}) {
		f := Fact{Head: r.Head, Text: Printable(r.Text)}
		if r.Topic != survey.General && !beside[r.Topic] {
			beside[r.Topic] = true
			for _, n := range folded(s.allNotes()) {
				if n.Kind == survey.Warning && n.Topic == r.Topic {
					f.Warnings = append(f.Warnings, Printable(noteLine(n.Note, s.Style)))
				}
			}
		}
		out = append(out, f)
	}
	return out, remarks(s.allNotes(), beside, s.Style)
}

// HeldFacts are the contents of a file and how it was understood, with all its notes.
func HeldFacts(h *job.Holding, style unit.Style) ([]Fact, []Remarks) {
	rows, _ := holdingRows(h, style, math.MaxInt)
	var out []Fact
	for _, r := range rows {
		out = append(out, Fact{Head: r.Head, Text: Printable(r.Text)})
	}
	return out, remarks(h.S.Notes, nil, style)
}

// remarks lists notes by kind, but for the warnings on topics that have them beside their line.
func remarks(notes []survey.Note, beside map[survey.Topic]bool, style unit.Style) []Remarks {
	var out []Remarks
	for _, kind := range kinds {
		r := Remarks{Head: kind.head}
		for _, n := range folded(notes) {
			if n.Kind == kind.kind && !(n.Kind == survey.Warning && beside[n.Topic]) {
				r.Notes = append(r.Notes, Printable(noteLine(n.Note, style)))
			}
		}
		if len(r.Notes) > 0 {
			out = append(out, r)
		}
	}
	return out
}

// RecordPage is record.html alone.
func (h *Handover) RecordPage() (Output, error) {
	var b bytes.Buffer
	err := sheet.WriteHTML(&b, h.record(false), h.main())
	return Output{Name: "record.html", Data: b.Bytes()}, err
}

// PinMark is a grade pin with the text of its mark.
type PinMark struct {
	Name  string     `json:"name"`
	At    [2]float64 `json:"at"`
	Floor float64    `json:"floor_m"` // elevation of the old floor
	Depth float64    `json:"depth_m"`
	Mark  float64    `json:"mark_m"` // elevation of the mark, or of the old floor where there is none
	Text  string     `json:"text"`   // height of the mark above the old floor
	Where string     `json:"where"`  // distances from walls
	Doubt string     `json:"doubt,omitempty"`
}

// PinMarks are the grade pins in the order in which they are set.
func (h *Handover) PinMarks() []PinMark {
	out := []PinMark{}
	if h.Pins == nil {
		return out
	}
	for _, p := range h.Pins.Pins {
		out = append(out, PinMark{p.Name, [2]float64{p.At.X, p.At.Y}, p.Floor, p.Depth, p.Floor + p.Height, h.mark(p), job.Beside(h.Floor, p.At).In(h.Style), p.Doubt})
	}
	return out
}

// Grid is a table on a screen: its cells as text.
type Grid struct {
	Title   string     `json:"title"`
	Columns []GridHead `json:"columns"`
	Rows    [][]string `json:"rows"`
	Notes   []string   `json:"notes,omitempty"`
}

// GridHead is the head of a column.
type GridHead struct {
	Name  string `json:"name"`
	Right bool   `json:"right,omitempty"` // of numbers
}

// Grids are the tables that a new target changes: thresholds, bands of depth, and the order.
func (s *Summary) Grids() []Grid {
	var out []Grid
	if len(s.Thresholds) > 0 {
		t := thresholdTable(s.Filled, s.Style)
		t.Title = "Thresholds"
		out = append(out, gridOf(t))
	}
	bands := bandTable(s.BandsIn(s.Style.Imperial), s.Style)
	bands.Title = "Depths"
	out = append(out, gridOf(bands))
	if s.Mix.Order > 0 {
		order := orderTable(s.Filled, s.Style)
		order.Title = "Order"
		out = append(out, gridOf(order))
	}
	return out
}

func gridOf(t table.Table) Grid {
	t = t.Headed()
	g := Grid{Title: t.Title, Notes: t.Notes, Rows: [][]string{}}
	for _, c := range t.Columns {
		g.Columns = append(g.Columns, GridHead{c.Name, c.Right})
	}
	for _, row := range t.Rows {
		var cells []string
		for j, c := range row {
			cells = append(cells, t.Columns[j].Show(c))
		}
		g.Rows = append(g.Rows, cells)
	}
	return g
}

// DoorSign is the same, short enough for a plan: +5/8" for a finished floor above the fill.
func DoorSign(d surface.Threshold, style unit.Style) string {
	text := style.Change(d.Room)
	if d.Room > 0 && text != style.Depth(0) {
		return "+" + text
	}
	return text
}

// DoorText is how far the finished floor at a threshold is above the top of the fill.
func DoorText(d surface.Threshold, style unit.Style) string {
	if d.Room < 0 {
		return style.Change(-d.Room) + " below the top of fill"
	}
	return style.Change(d.Room) + " above the top of fill"
}

// Shade is a class of depth on a map: its limits, its colour as #rrggbb and its words.
type Shade struct {
	From  float64 `json:"from_m"`
	To    float64 `json:"to_m"`
	Color string  `json:"color"`
	Text  string  `json:"text"`
}

// Shades are the classes of depth of the depth map.
func (s *Summary) Shades() []Shade {
	m := depthMap(s.Filled, s.Style)
	return shadesOf(&m, s.Style)
}

func shadesOf(m *plot.DepthMap, style unit.Style) []Shade {
	out := []Shade{}
	for _, v := range m.Shades() {
		out = append(out, Shade{v.From, v.To, v.Color, fromTo(style.Depth(v.From), style.Depth(v.To))})
	}
	return out
}

// Part is a part of the record on a screen, without its pictures.
type Part struct {
	Title    string   `json:"title"`
	Warnings []string `json:"warnings,omitempty"`
	Text     []string `json:"text,omitempty"`
	Cautions []string `json:"cautions,omitempty"`
	Tables   []Grid   `json:"tables,omitempty"`
}

// TakeoffParts are what to buy and to lay: the order, the ways to fill, bars, supplies and bays.
func (h *Handover) TakeoffParts() []Part {
	out := []Part{}
	for _, s := range []sheet.Section{h.orderSection(), h.waysSection(), h.steelSection(), h.supplyPage(), h.baySection()} {
		if s.Title == "" {
			continue
		}
		p := Part{Title: s.Title, Warnings: s.Warnings, Text: s.Text, Cautions: s.Cautions}
		for _, t := range s.Tables {
			p.Tables = append(p.Tables, gridOf(t))
		}
		out = append(out, p)
	}
	return out
}
