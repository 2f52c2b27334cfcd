package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

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

// PlanFiles returns the sheet to print and the sheet to type the readings into, as text and as a
// workbook. paper is A4 or Letter; empty: as usual where the units of the style are.
func PlanFiles(p *job.Planned, style unit.Style, paper string) ([]Output, error) {
	var b bytes.Buffer
	size := sheet.A4
	if paper == "Letter" || paper == "" && style.Imperial {
		size = sheet.Letter
	}
	all, name := scales(style)
	if err := sheet.WriteGridSheet(&b, gridSheet(p, style), size, all, name); err != nil {
		return nil, err
	}
	rows := gridRows(p, style)
	book, err := gridBook(p.Title, rows)
	if err != nil {
		return nil, err
	}
	return []Output{{Name: "plan.pdf", Data: b.Bytes()}, {Name: "plan.csv", Data: gridCSV(rows)}, {Name: "plan.xlsx", Data: book}}, nil
}

// metricElevation and usElevation show how the elevation of a benchmark is typed: the sheet has
// the unit of the readings alone, which 10 would be taken to be in.
const metricElevation, usElevation = "10.000 m", "100.00 ft"

// gridSheet is the sheet to print.
func gridSheet(p *job.Planned, style unit.Style) sheet.GridSheet {
	closes, unitOf, elevation := "2 mm", "mm", metricElevation
	if style.Imperial {
		closes, unitOf, elevation = `1/16"`, "ft", usElevation
	}
	s := sheet.GridSheet{
		Title: p.Title, Program: "pourplane " + Version,
		Blanks: []string{"Date", "Read by", "Instrument and rod", "Unit of the readings, if not " + unitOf, "Benchmark: name and what it is", "Its elevation with its unit, as " + elevation, "Rod on it at the start", "Rod on it at the end"},
		Text: []string{
			"Read the benchmark first and last: if the two differ by more than " + closes + ", the instrument has moved and the shots in between are worth nothing. Stand the rod plumb on the bare floor; a bigger reading is a lower floor. Write a dash where the rod cannot stand. Grey places are off the floor.",
			"Beside the grid: the finished floor at every door, drains, top and foot of every step, walls askew to the grid, the highest place and the lowest. They go into a list of their own, with their distances from the walls and the benchmark first and last.",
			"Then type each reading into the cell of the same name of plan.xlsx or plan.csv, and the benchmark into its rows BM.",
		},
		Cautions: []string{"Laser: never look into the beam or aim it at eye height. Open edges, pits and stairs: cover or rail them off before anybody walks with a rod. Dust: never sweep dry; vacuum the places to shoot, or wet them. Keep a metal rod away from live conductors."},
	}
	for i := range p.Grids {
		g := &p.Grids[i]
		room := sheet.GridRoom{Plan: gridPlan(g, p.Floor, style)}
		if len(p.Grids) > 1 {
			room.Name = g.Part
		}
		room.From = fmt.Sprintf("%s. Columns A, B … are from the %s, rows 1, 2 … from the %s, with the tape from the corner with the ring.", survey.Plural(len(g.Shots()), "shot"), g.West, g.South)
		s.Rooms = append(s.Rooms, room)
	}
	return s
}

// gridPlan is the plan of one grid.
func gridPlan(g *setout.ShotGrid, f *surface.Floor, style unit.Style) plot.ShotGridMap {
	m := plot.ShotGridMap{Title: g.Part, On: g.On}
	for _, r := range f.Regions {
		if r.Part != g.Part {
			continue
		}
		for _, ring := range r.Rings {
			var local []surface.Vec
			for _, p := range ring {
				local = append(local, g.Local(p))
			}
			m.Rings = append(m.Rings, local)
		}
	}
	to := surface.Vec{X: g.Origin.X, Y: g.Origin.Y + 1}
	m.North = g.Local(to)
	for i, at := range g.Columns {
		m.Columns = append(m.Columns, plot.GridLine{At: at, Name: setout.Letter(i), Text: taped(at, style)})
	}
	for i, at := range g.Rows {
		m.Rows = append(m.Rows, plot.GridLine{At: at, Name: strconv.Itoa(i + 1), Text: taped(at, style)})
	}
	return m
}

// taped writes a distance as a tape shows it.
func taped(m float64, style unit.Style) string {
	if !style.Imperial && math.Abs(math.Remainder(m, 0.01)) < 1e-6 {
		return strconv.FormatFloat(m, 'f', 2, 64) + " m"
	}
	return style.Length(m)
}

// blank is a cell of a sheet that a reading, or the elevation of a benchmark, is typed into.
const blank = ""

// gridRows are the rows of the sheet to type the readings into: a grid sheet, which is read back as
// it is. Cells that nothing is typed into are left out at the end of a row.
func gridRows(p *job.Planned, style unit.Style) (rows [][]string) {
	row := func(cells ...string) { rows = append(rows, cells) }
	unitOf, elevation := "mm", metricElevation
	if style.Imperial {
		unitOf, elevation = "ft", usElevation
	}
	feet := ""
	if style.Imperial {
		feet = " Feet and inches may be typed."
	}
	row("Rod readings." + feet + " Row BM: the reading at the start and in the next cell the height of the benchmark with its unit: " + elevation + ". Last row: the reading at the end.")
	row("Unit", unitOf)
	row("BM", blank, blank)
	for i := range p.Grids {
		g := &p.Grids[i]
		if g.Origin != (surface.Vec{}) || g.Bearing != 90 || len(p.Grids) > 1 {
			origin := []string{"Origin", millimetres(g.Origin.X), millimetres(g.Origin.Y)}
			if g.Bearing != 90 {
				origin = append(origin, fmt.Sprintf("letters %g deg", g.Bearing))
			}
			row(origin...)
		}
		head := []string{""}
		if len(p.Grids) > 1 {
			head[0] = g.Part
		}
		for c, at := range g.Columns {
			head = append(head, setout.Letter(c)+" = "+typed(at, style))
		}
		row(head...)
		for r := len(g.Rows) - 1; r >= 0; r-- {
			cells := []string{strconv.Itoa(r+1) + " = " + typed(g.Rows[r], style)}
			for _, on := range g.On[r] {
				cells = append(cells, map[bool]string{true: blank, false: "-"}[on])
			}
			row(cells...)
		}
	}
	row("BM", blank)
	return rows
}

// widestRow is the number of cells of the longest of rows.
func widestRow(rows [][]string) (wide int) {
	const least = 4 // as an origin with a bearing has
	for _, cells := range rows {
		wide = max(wide, len(cells))
	}
	return max(wide, least)
}

// gridCSV is the sheet as delimited text, with as many fields in each row.
func gridCSV(rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	for _, cells := range rows {
		w.Write(append(slices.Clone(cells), make([]string, widestRow(rows)-len(cells))...)) // to memory: cannot fail
	}
	w.Flush()
	return b.Bytes()
}

// gridBook is the sheet as a workbook, with the cells to type into tinted.
func gridBook(title string, rows [][]string) ([]byte, error) {
	t := table.Table{Title: rows[0][0], Sheet: "Readings"}
	for i := range widestRow(rows) {
		t.Columns = append(t.Columns, table.Column{Right: i > 0})
	}
	for i, name := range rows[1] {
		t.Columns[i].Name = name
	}
	for _, cells := range rows[2:] {
		var out []table.Cell
		for i, text := range cells {
			out = append(out, table.Cell{Text: text, Input: text == blank && i > 0, Bold: i == 0 || strings.Contains(text, " = ")})
		}
		t.Rows = append(t.Rows, out)
	}
	var b bytes.Buffer
	err := exchange.WriteXLSX(&b, title, time.Time{}, []table.Table{t})
	return b.Bytes(), err
}

// millimetres writes a coordinate without a decimal sign, which a spreadsheet might change.
func millimetres(m float64) string { return strconv.FormatFloat(1000*m, 'f', 0, 64) + " mm" }

// typed writes the distance of a line without a decimal sign and without the marks of feet and
// inches.
func typed(m float64, style unit.Style) string {
	if !style.Imperial {
		return millimetres(m)
	}
	return strings.NewReplacer(`'-`, " ft ", `"`, " in").Replace(style.Length(m))
}

// PlanText is what the command plan prints.
func PlanText(p *job.Planned, style unit.Style, outline, out string, written []Output) []byte {
	var b bytes.Buffer
	for _, r := range planRows(p, style) {
		for _, line := range r.lines() {
			fmt.Fprintln(&b, line)
		}
	}
	fmt.Fprintf(&b, "\n%s", strings.Join(table.Plain(choiceTable(p, style), 2), "\n")+"\n")
	var rows facts
	rows.add("Widest gap", "between two lines of shots: one is beside every wall, the others are at round figures of the tape, or evenly between where those are too far apart")
	if out == "" {
		rows.add("Next", "%s writes the sheet to print, plan.pdf, and the one to type into, plan.xlsx or plan.csv", unit.Ask("out", "DIR"))
	} else {
		var names []string
		for _, o := range written {
			names = append(names, o.Name)
		}
		rows.add("Written", "%s: %s", out, strings.Join(names, ", "))
		rows.add("Next", "print plan.pdf, type the readings into plan.csv or plan.xlsx, then: pourplane fill %s %s %s", filepath.Join(out, "plan.csv"), unit.Ask("outline", outline), unit.Ask("target", "Z"))
	}
	b.WriteByte('\n')
	for _, r := range rows {
		for _, line := range r.lines() {
			fmt.Fprintln(&b, line)
		}
	}
	return b.Bytes()
}

// PlanFacts are the grid that was chosen and how sure the volume is with it, on a screen, and how
// coarser and finer ones compare.
func PlanFacts(p *job.Planned, style unit.Style) ([]Fact, Grid) {
	var out []Fact
	for _, r := range planRows(p, style) {
		out = append(out, Fact{Head: r.Head, Text: Printable(r.Text)})
	}
	t := choiceTable(p, style).Pick("Spacing", "Shots", "Volume within, 90 %") // a narrow screen has no room for more
	choices := gridOf(t)
	choices.Title, choices.Notes = "Coarser and finer", []string{"Chosen: " + taped(p.Spacing, style) + "."}
	return out, choices
}

// planRows are the grid and how sure the volume is with it.
func planRows(p *job.Planned, style unit.Style) facts {
	var rows facts
	shape := survey.Plural(len(p.Grids), "grid") + ", each from its own corner"
	if len(p.Grids) == 1 {
		g := &p.Grids[0]
		shape = fmt.Sprintf("%s by %s from the %s and the %s", survey.Plural(len(g.Columns), "column"), survey.Plural(len(g.Rows), "row"), g.West, g.South)
	}
	rows.add("Shots", "%d, %s, and beside every wall: %s", p.Shots, apartText(p.GridChoice, style), shape)
	within := job.In90(p.SD.Total)
	rows.add("Volume", "then within ±%s, 90 %% sure, on %s; ±%s of mean depth over %s", style.SmallVolume(within), p.Kind.Words(), job.SD(within/p.Area).In(style), style.Area(p.Area))
	part := func(sd float64) string { return "±" + style.PartVolume(job.In90(sd), within) }
	rows.add("Of that", "reading %s, set-up %s, between shots %s, along the walls %s; "+ofCauses, part(p.SD.Reading), part(p.SD.Setup), part(p.SD.Sampling), part(p.SD.Walls))
	rows.add("Errors", "%s", accuracyText(p.Accuracy, style))
	if least, most := surface.UsualShots(p.Area); float64(p.Shots) < math.Floor(least) {
		rows.add("Highs", "crews usually take %.0f to %.0f shots here: these give the volume, but a high that stays above the fill may be missed", least, most)
	}
	if p.FarOff > 0 {
		rows.add("Walls", "the nearest shot to %s is %s off: shoot along the walls there as well", p.FarWall.In(style), style.Length(p.FarOff))
	}
	for _, n := range p.Survey.Notes {
		if n.Kind == survey.Warning {
			rows.add("Check", "%s", n.In(style))
		}
	}
	return rows
}

// apartText says how far apart the lines of a grid are.
func apartText(c job.GridChoice, style unit.Style) string {
	columns, rows := taped(c.Apart[0], style), taped(c.Apart[1], style)
	if columns == rows || min(c.Apart[0], c.Apart[1]) == 0 {
		return "up to " + taped(c.Widest(), style) + " apart"
	}
	return "columns up to " + columns + " and rows up to " + rows + " apart"
}

// choiceTable compares the grid with coarser and finer ones.
func choiceTable(p *job.Planned, style unit.Style) table.Table {
	t := table.Table{Columns: []table.Column{{Name: "Spacing", Right: true}, {Name: "Widest gap", Right: true}, {Name: "Shots", Right: true}, {Name: "Volume within, 90 %", Right: true}, {Name: ""}}}
	for _, c := range p.Choices {
		chosen := ""
		if c == p.GridChoice {
			chosen = "this one"
		}
		t.Rows = append(t.Rows, []table.Cell{{Text: taped(c.Spacing, style)}, {Text: taped(c.Widest(), style)}, {Text: strconv.Itoa(c.Shots)}, {Text: "±" + style.PartVolume(job.In90(c.SD.Total), job.In90(p.SD.Total))}, {Text: chosen}})
	}
	return t
}

type shotPlanJSON struct {
	Title     string           `json:"title"`
	Area      float64          `json:"area_m2"`
	Floor     string           `json:"floor"`
	ReadingSD float64          `json:"reading_sd_m"`
	SetupSD   float64          `json:"setup_sd_m"`
	Want      *float64         `json:"want_m3"` // null if a spacing was asked for
	Spacing   float64          `json:"spacing_m"`
	Apart     [2]float64       `json:"apart_max_m"` // neighbouring columns, and rows
	Shots     int              `json:"shots"`
	Within    float64          `json:"within90_m3"` // half the width of the 90 % interval of the volume
	SD        spreadJSON       `json:"volume_sd_m3"`
	Choices   []gridChoiceJSON `json:"choices"`
	Grids     []shotGridJSON   `json:"grids"`
}

type spreadJSON struct {
	Reading  float64 `json:"reading"`
	Setup    float64 `json:"setup"`
	Sampling float64 `json:"sampling"`
	Walls    float64 `json:"walls"`
	Total    float64 `json:"total"`
}

type gridChoiceJSON struct {
	Spacing float64    `json:"spacing_m"`
	Apart   [2]float64 `json:"apart_max_m"`
	Shots   int        `json:"shots"`
	Within  float64    `json:"within90_m3"`
}

type shotGridJSON struct {
	Part    string         `json:"part"`
	Origin  [2]float64     `json:"origin_m"`
	Bearing float64        `json:"letters_bearing_deg"`
	From    [2]string      `json:"from"` // what columns and rows are measured from
	Columns []float64      `json:"columns_m"`
	Rows    []float64      `json:"rows_m"`
	Shots   []gridShotJSON `json:"shots"`
}

type gridShotJSON struct {
	Name string     `json:"name"`
	At   [2]float64 `json:"at"` // x, y of the outline, m
}

// NewPlan returns a plan as its JSON has it.
func NewPlan(p *job.Planned) any {
	sd := spreadJSON{p.SD.Reading, p.SD.Setup, p.SD.Sampling, p.SD.Walls, p.SD.Total}
	out := shotPlanJSON{p.Title, p.Area, p.Kind.Name, p.Accuracy.Reading, p.Accuracy.Setup, nil, p.Spacing, p.Apart, p.Shots, job.In90(sd.Total), sd, nil, nil}
	if p.Want > 0 {
		out.Want = &p.Want
	}
	for _, c := range p.Choices {
		out.Choices = append(out.Choices, gridChoiceJSON{c.Spacing, c.Apart, c.Shots, job.In90(c.SD.Total)})
	}
	for i := range p.Grids {
		g := &p.Grids[i]
		one := shotGridJSON{g.Part, [2]float64{g.Origin.X, g.Origin.Y}, g.Bearing, [2]string{g.West, g.South}, g.Columns, g.Rows, nil}
		for _, s := range g.Shots() {
			one.Shots = append(one.Shots, gridShotJSON{s.Name(), [2]float64{s.X, s.Y}})
		}
		out.Grids = append(out.Grids, one)
	}
	return out
}
