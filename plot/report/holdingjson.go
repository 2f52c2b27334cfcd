package report

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"pourplane/plot"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

func ShotMap(h *job.Holding, style unit.Style) *plot.ShotMap {
	m := &plot.ShotMap{
		Title: filepath.Base(h.S.Name), Summary: summary(h, style), Points: h.S.Points, Finished: h.S.Finished,
		Rings: slices.Concat(h.S.Rings, h.S.Outlines), Lines: h.S.Breaklines, Runs: h.S.Runs, Units: style,
	}
	if left := h.S.LeftOut(); len(left) > 0 {
		var some []string
		for _, n := range left[:min(12, len(left))] {
			some = append(some, n.Text.In(style))
		}
		m.Note = fmt.Sprintf("%s left out: %s", survey.Plural(len(left), "row"), strings.Join(some, "; "))
		if len(left) > 12 {
			m.Note += "; …"
		}
	}
	if len(m.Points) == 0 {
		for _, u := range h.S.Surfaces {
			m.Points = append(m.Points, u.Vertices...)
		}
	}
	for _, v := range h.Suspects {
		m.Ringed = append(m.Ringed, v.Shot)
	}
	return m
}

func summary(h *job.Holding, style unit.Style) string {
	n := len(h.S.Points)
	text := survey.Plural(n, "floor shot")
	switch {
	case n > 0:
	case len(h.S.Surfaces) > 0:
		text = survey.Plural(len(h.S.Surfaces), "surface")
	case len(h.S.Runs) > 0:
		readings := 0
		for _, r := range h.S.Runs {
			readings += len(r.Stations)
		}
		text = survey.Plural(len(h.S.Runs), "run") + " of " + survey.Plural(readings, "reading")
	}
	if h.HasPlan {
		text += fmt.Sprintf(", %s by %s", style.Length(h.Hi.X-h.Lo.X), style.Length(h.Hi.Y-h.Lo.Y))
	}
	if lo, hi := h.FloorRange(); h.HasZ {
		text += fmt.Sprintf("; highest above lowest %s", span(hi-lo, style))
	}
	return text
}

// span writes a difference of elevations; small ones are written as depths.
func span(m float64, style unit.Style) string {
	if m > 1 {
		return style.Length(m)
	}
	return style.Depth(m)
}

func plan(m float64, style unit.Style) string { return style.Coordinate(m) }

func separatorWord(d string) string {
	switch d {
	case ",":
		return "commas"
	case ";":
		return "semicolons"
	case "|":
		return "bars"
	case "tab":
		return "tabs"
	}
	return d
}

// units writes the units in words.
func units(h *job.Holding) string {
	up, plan := h.S.Unit, h.S.Plan
	name := func(u unit.Length) string {
		if u == unit.None {
			return "of their own, cell by cell"
		}
		return u.String()
	}
	heights, flat := name(up), name(plan)
	if h.S.Book != nil && h.S.Book.FeetInches || len(h.S.Readings) > 0 && !slices.ContainsFunc(h.S.Readings, func(r survey.Reading) bool { return !r.FeetInches }) {
		heights = "feet and inches"
	}
	if h.S.PlanFeetInches {
		flat = "feet and inches"
	}
	switch {
	case h.Outline, up == unit.None && plan != unit.None && len(h.S.Readings) == 0:
		return flat
	case flat == heights:
		return heights
	case plan == unit.None:
		return "heights " + heights
	}
	return fmt.Sprintf("plan %s, heights %s", flat, heights)
}

// holdingJSON is the output of read --json. Fields are added, never renamed.
type holdingJSON struct {
	Format    string             `json:"format"`
	Encoding  string             `json:"encoding"`
	Delimiter string             `json:"delimiter"`
	Units     string             `json:"units"`
	UnitPlan  string             `json:"unit_plan"`
	UnitZ     string             `json:"unit_elevation"`
	Order     string             `json:"order"`
	Relative  bool               `json:"relative"`
	Rows      int                `json:"rows"`
	Points    int                `json:"points"`
	ByCode    map[string]int     `json:"by_code"`
	Finished  int                `json:"finished"`
	Control   int                `json:"control"` // with drains
	Drains    int                `json:"drains"`
	Rings     int                `json:"rings"`
	Lines     int                `json:"breaklines"`
	Surfaces  []surfaceJSON      `json:"surfaces"`
	Runs      []runJSON          `json:"runs"`
	Extent    map[string]*extent `json:"extent_m"`
	Area      *float64           `json:"area_m2"`
	Shots     *densityJSON       `json:"density,omitempty"`
	NoSurface string             `json:"no_surface,omitempty"`
	Suspects  []suspect          `json:"suspects"`
	LeftOut   []rejected         `json:"left_out"`
	Assumed   []string           `json:"assumed"`
	Warnings  []string           `json:"warnings"`
	Files     []survey.Source    `json:"files,omitempty"`
	Level     *levels            `json:"level_book,omitempty"`
}

type extent [2]float64

type surfaceJSON struct {
	Name     string `json:"name"`
	Vertices int    `json:"vertices"`
	Faces    int    `json:"faces"`
	Points   int    `json:"points"`
}

type runJSON struct {
	Name     string  `json:"name"`
	Readings int     `json:"readings"`
	Step     float64 `json:"step_m"`
	Placed   bool    `json:"placed"`
}

type densityJSON struct {
	Used     int     `json:"shots"`
	Spacing  float64 `json:"spacing_m"`
	Least    float64 `json:"usual_least"`
	Most     float64 `json:"usual_most"`
	Enough   float64 `json:"enough"`
	FromHull bool    `json:"area_is_hull"`
}

func NewHolding(h *job.Holding) holdingJSON {
	s := h.S
	r := holdingJSON{
		Format: s.Format, Encoding: s.Encoding, Delimiter: s.Delimiter, Units: units(h), UnitPlan: s.Plan.String(), UnitZ: s.Unit.String(), Order: s.Order,
		Relative: s.Relative, Rows: s.Rows, Points: len(s.Points) + len(s.Levels), ByCode: map[string]int{}, Finished: len(s.Finished), Control: len(s.Control), Drains: len(s.Drains()),
		Rings: len(s.Rings), Lines: len(s.Breaklines), Surfaces: []surfaceJSON{}, Runs: []runJSON{},
		Extent: map[string]*extent{"x": nil, "y": nil, "z": nil}, NoSurface: h.Why.In(unit.StyleOf(s.Plan, s.Unit)), Suspects: []suspect{}, Files: s.Files,
	}
	for _, k := range h.Codes {
		r.ByCode[k.Code] = k.N
	}
	if h.HasPlan {
		r.Extent["x"], r.Extent["y"] = &extent{h.Lo.X, h.Hi.X}, &extent{h.Lo.Y, h.Hi.Y}
	}
	if h.HasZ {
		r.Extent["z"] = &extent{h.Lo.Z, h.Hi.Z}
	}
	for _, u := range s.Surfaces {
		r.Surfaces = append(r.Surfaces, surfaceJSON{u.Name, len(u.Vertices), len(u.Faces), len(u.Points)})
	}
	for _, u := range s.Runs {
		r.Runs = append(r.Runs, runJSON{u.Name, len(u.Stations), u.Step, u.Placed()})
	}
	if f := h.Floor; f != nil {
		area := 0.0
		for _, g := range f.Regions {
			plan, _ := g.TIN.Area()
			area += plan
		}
		r.Area = &area
		least, most := surface.UsualShots(area)
		r.Shots = &densityJSON{f.Used, f.Spacing(), least, most, surface.EnoughShots(area, false), f.Hull}
	}
	for _, v := range h.Suspects {
		r.Suspects = append(r.Suspects, suspectOf(v))
	}
	r.Assumed, r.Warnings, _, r.LeftOut = notesByKind(s.Notes, unit.StyleOf(s.Plan, s.Unit))
	r.Level = levelsOf(s.Book)
	return r
}
