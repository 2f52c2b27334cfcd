package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"pourplane/plot"
	"pourplane/surface"
	"pourplane/surface/blunder"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"

	"github.com/spf13/cobra"
)

type readFlags struct {
	step    string
	picture string
	asJSON  bool
	verbose bool
}

func newRead() *cobra.Command {
	var f readFlags
	var j job.Job
	c := &cobra.Command{
		Use:   "read FILE...",
		Short: "What a file holds and how it was understood, before anything is computed",
		Long: `read opens survey files and tells what they hold: how they were understood (format,
separator, columns, units, and what was assumed), points by code, their extent, the
area, how dense the shots are against usual practice, which readings look wrong, and
a small map. Run it first on a file of your own.`,
		Example: `  pourplane read survey.csv
  pourplane read grid.csv --units m --grid-numbers south --grid-values rod
  pourplane read survey.csv --outline walls.csv --map survey.png
  pourplane read hall.xml --json`,
		Args: someFiles,
		RunE: func(c *cobra.Command, files []string) error {
			j.Survey.Files = files
			return f.run(c, &j)
		},
	}
	jobFlags(c, &j)
	s := c.Flags()
	s.StringVar(&f.step, "step", "", "distance `L` between the readings of runs, where the file does not say")
	s.StringVar(&f.picture, "map", "", "draw the shots into `FILE`, .png, .svg or .pdf")
	s.BoolVar(&f.asJSON, "json", false, "print the result as one JSON object, SI units, and nothing else")
	s.BoolVar(&f.verbose, "verbose", false, "print everything: all surfaces, runs and suspects, the map in full, all notes")
	return c
}

// holding is what read has found out.
type holding struct {
	style    unit.Style
	s        *survey.Survey
	outline  bool           // the file is an outline
	floor    *surface.Floor // nil where the points carry none
	why      string         // there is no floor
	lo, hi   survey.Point   // extent
	hasPlan  bool
	hasZ     bool
	codes    []codeCount
	suspects []blunder.Finding
	// unsearched tells that some shots were not searched for suspects; a note says why.
	unsearched bool
}

type codeCount struct {
	code string
	n    int
}

func (f *readFlags) run(c *cobra.Command, j *job.Job) error {
	files := j.Survey.Files
	format := strings.TrimPrefix(strings.ToLower(filepath.Ext(f.picture)), ".")
	if f.picture != "" && format != "png" && format != "svg" && format != "pdf" {
		return &usageError{fmt.Sprintf("--map: found %q, want a file that ends in .png, .svg or .pdf", f.picture), ""}
	}
	if f.asJSON && f.verbose {
		return &usageError{"--verbose is for print; --json has everything", "leave it out"}
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	from := &disk{stdin: c.InOrStdin, keeps: len(files) == 1}
	h, err := hold(j, f.step, from, from.again, p.say)
	if err != nil {
		return err
	}
	style := h.style
	if f.picture != "" {
		p.say("drawing "+filepath.Base(f.picture), 0, 0)
		var b bytes.Buffer
		if err := plot.Write(&b, h.shotMap(style), plot.Output{Format: format}); err != nil {
			return fmt.Errorf("--map: %w", err)
		}
		if err := writeAll(filepath.Dir(f.picture), []output{{filepath.Base(f.picture), b.Bytes()}}, append(files, j.Survey.Outline)); err != nil {
			return err
		}
	}
	if f.asJSON {
		data, err := indented(newHolding(h))
		if err != nil {
			return err
		}
		p.end()
		_, err = c.OutOrStdout().Write(data)
		return err
	}
	text := h.print(style, f.picture, f.verbose)
	p.end()
	_, err = c.OutOrStdout().Write(text)
	return err
}

// hold reads the surveys of a job and finds out what they hold. Again opens the first one
// once more: outlines have no elevations, and are then read as such.
func hold(j *job.Job, step string, files fs.FS, again func(string) (io.ReadCloser, error), watch Watch) (*holding, error) {
	if s := j.Show; s != "" && s != "metric" && s != "feet" {
		return nil, &usageError{fmt.Sprintf("--show: found %q, want metric or feet", s), ""}
	}
	f := inputOf(j)
	f.step, f.files = step, files
	if _, err := f.options(); err != nil {
		return nil, err
	}
	names, h := j.Paths(j.Survey.Files), &holding{}
	s, o, err := f.open(names, watch)
	if errors.Is(err, survey.ErrNoHeights) && len(names) == 1 {
		o.Open = again
		if edge, err2 := survey.OpenOutline(names[0], o); err2 == nil && len(edge.Rings)+len(edge.Breaklines) > 0 {
			s, err, h.outline = edge, nil, true
		}
	}
	if err != nil {
		return nil, err
	}
	if err := f.sourceFlags.options(&o); err != nil {
		return nil, err
	}
	if f.outline != "" {
		if err := f.addOutline(s, o); err != nil {
			return nil, err
		}
	}
	if err := f.leave(s); err != nil {
		return nil, err
	}
	if len(s.Rings) == 0 {
		s.Notes = append(s.Notes, s.LostPoints()...)
	}
	if err := f.idle(s); err != nil {
		return nil, err
	}
	h.s, h.style = s, styleOf(s, f.show)
	if s.Book != nil {
		for _, e := range s.Book.Faults {
			s.Notes = append(s.Notes, survey.Notef(survey.Warning, e.Pos, "%s: booked %s; the sights give %s", e.Element, e.Found, strings.TrimSuffix(e.Want, ", which the sights give")))
		}
	}
	watch.say("triangulating", 0, 0)
	h.count()
	return h, h.build(&f)
}

// all returns every point with a place, floor shots first.
func (h *holding) all() []survey.Point {
	out := slices.Concat(h.s.Points, h.s.Finished, h.s.Control)
	for _, u := range h.s.Surfaces {
		out = append(out, u.Vertices...)
		if len(u.Vertices) == 0 {
			out = append(out, u.Points...)
		}
	}
	for _, r := range slices.Concat(h.s.Rings, h.s.Outlines) {
		out = append(out, r.Points...)
	}
	for _, r := range h.s.Runs {
		out = append(out, r.Start, r.End)
		for _, v := range r.Stations {
			out = append(out, survey.Point{X: math.NaN(), Y: math.NaN(), Z: v.Z})
		}
	}
	return out
}

// floorRange returns the lowest and the highest elevation of the floor, NaN without
// any: adjoining finished floors and benchmarks are no part of it.
func (h *holding) floorRange() (lo, hi float64) {
	lo, hi = h.lo.Z, h.hi.Z
	if !h.hasZ {
		return math.NaN(), math.NaN()
	}
	for i, p := range h.s.Points {
		if i == 0 {
			lo, hi = p.Z, p.Z
		}
		lo, hi = min(lo, p.Z), max(hi, p.Z)
	}
	return lo, hi
}

// count works out the extent and the codes.
func (h *holding) count() {
	for _, p := range append(h.all(), h.s.Levels...) {
		if !math.IsNaN(p.X + p.Y) {
			if !h.hasPlan {
				h.lo.X, h.hi.X, h.lo.Y, h.hi.Y, h.hasPlan = p.X, p.X, p.Y, p.Y, true
			}
			h.lo.X, h.hi.X = min(h.lo.X, p.X), max(h.hi.X, p.X)
			h.lo.Y, h.hi.Y = min(h.lo.Y, p.Y), max(h.hi.Y, p.Y)
		}
		if p.HasZ() {
			if !h.hasZ {
				h.lo.Z, h.hi.Z, h.hasZ = p.Z, p.Z, true
			}
			h.lo.Z, h.hi.Z = min(h.lo.Z, p.Z), max(h.hi.Z, p.Z)
		}
	}
	n := map[string]int{}
	for _, p := range slices.Concat(h.s.Points, h.s.Levels, h.s.Finished, h.s.Control) {
		n[p.Code]++
	}
	for code, k := range n {
		h.codes = append(h.codes, codeCount{code, k})
	}
	slices.SortFunc(h.codes, func(a, b codeCount) int { return cmp.Or(cmp.Compare(b.n, a.n), cmp.Compare(a.code, b.code)) })
}

// build makes the floor that the points carry, to judge them by. Errors that the
// user's own options are to blame for are returned; others are part of what read
// has to tell.
func (h *holding) build(f *input) error {
	switch {
	case h.outline:
		h.why = "an outline: no elevations"
		return nil
	case len(h.s.Runs) > 0 && len(h.s.Points) == 0:
		h.why = "readings along lines: flatness, not a surface"
		return nil
	case len(h.s.Levels) > 0:
		h.why = "levels without places: a second file of names, x and y gives them"
		return nil
	case len(h.s.Surfaces) > 1 && f.surface == "":
		h.why = fmt.Sprintf("%d surfaces: --surface NAME chooses one", len(h.s.Surfaces))
		return nil
	}
	floor, err := f.floor(h.s, h.style)
	var usage *usageError
	switch {
	case err == nil:
		h.floor = floor
		var notes []survey.Note
		h.suspects, notes = blunder.Find(h.s, floor)
		h.unsearched = len(notes) > 0
		h.s.Notes = append(h.s.Notes, notes...)
	case errors.As(err, &usage):
		return err
	default:
		h.why = err.Error()
	}
	return nil
}

func (h *holding) shotMap(style unit.Style) *plot.ShotMap {
	m := &plot.ShotMap{
		Title: filepath.Base(h.s.Name), Summary: h.summary(style), Points: h.s.Points, Finished: h.s.Finished,
		Rings: slices.Concat(h.s.Rings, h.s.Outlines), Lines: h.s.Breaklines, Runs: h.s.Runs, Units: style,
	}
	if left := h.s.LeftOut(); len(left) > 0 {
		var some []string
		for _, n := range left[:min(12, len(left))] {
			some = append(some, n.Text.In(style))
		}
		m.Note = fmt.Sprintf("%s left out: %s", plural(len(left), "row"), strings.Join(some, "; "))
		if len(left) > 12 {
			m.Note += "; …"
		}
	}
	if len(m.Points) == 0 {
		for _, u := range h.s.Surfaces {
			m.Points = append(m.Points, u.Vertices...)
		}
	}
	for _, v := range h.suspects {
		m.Ringed = append(m.Ringed, v.Shot)
	}
	return m
}

func (h *holding) summary(style unit.Style) string {
	n := len(h.s.Points)
	text := plural(n, "floor shot")
	switch {
	case n > 0:
	case len(h.s.Surfaces) > 0:
		text = plural(len(h.s.Surfaces), "surface")
	case len(h.s.Runs) > 0:
		readings := 0
		for _, r := range h.s.Runs {
			readings += len(r.Stations)
		}
		text = plural(len(h.s.Runs), "run") + " of " + plural(readings, "reading")
	}
	if h.hasPlan {
		text += fmt.Sprintf(", %s by %s", style.Length(h.hi.X-h.lo.X), style.Length(h.hi.Y-h.lo.Y))
	}
	if lo, hi := h.floorRange(); h.hasZ {
		text += fmt.Sprintf("; highest above lowest %s", span(hi-lo, style))
	}
	return text
}

// span writes a difference of elevations: small ones as depths are written.
func span(m float64, style unit.Style) string {
	if m > 1 {
		return style.Length(m)
	}
	return style.Depth(m)
}

// plural counts things.
func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func plan(m float64, style unit.Style) string { return style.Coordinate(m) }

// closing tells in short how a book closes.
func closing(b *survey.Book, style unit.Style) string {
	c := b.Main()
	switch {
	case c == nil:
		return "it does not close on a known benchmark"
	case c.Beyond():
		return fmt.Sprintf("misclosure on %s %s, MORE than the %s allowed: pourplane reduce shows it", c.On, style.Depth(c.Misclosure()), style.Depth(c.Allowable))
	}
	return fmt.Sprintf("misclosure on %s %s of %s allowed", c.On, style.Depth(c.Misclosure()), style.Depth(c.Allowable))
}

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

// units tells the units in words.
func (h *holding) units() string {
	up, plan := h.s.Unit, h.s.Plan
	name := func(u unit.Length) string {
		if u == unit.None {
			return "of their own, cell by cell"
		}
		return u.String()
	}
	heights := name(up)
	if h.s.Book != nil && h.s.Book.FeetInches {
		heights = "feet and inches"
	}
	switch {
	case h.outline, up == unit.None && plan != unit.None && len(h.s.Readings) == 0:
		return name(plan)
	case name(plan) == heights:
		return heights
	case plan == unit.None:
		return "heights " + heights
	}
	return fmt.Sprintf("plan %s, heights %s", name(plan), heights)
}

// holdingJSON is what read --json prints. Fields are added, never renamed.
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

func newHolding(h *holding) holdingJSON {
	s := h.s
	r := holdingJSON{
		Format: s.Format, Encoding: s.Encoding, Delimiter: s.Delimiter, Units: h.units(), UnitPlan: s.Plan.String(), UnitZ: s.Unit.String(), Order: s.Order,
		Relative: s.Relative, Rows: s.Rows, Points: len(s.Points) + len(s.Levels), ByCode: map[string]int{}, Finished: len(s.Finished), Control: len(s.Control), Drains: len(s.Drains()),
		Rings: len(s.Rings), Lines: len(s.Breaklines), Surfaces: []surfaceJSON{}, Runs: []runJSON{},
		Extent: map[string]*extent{"x": nil, "y": nil, "z": nil}, NoSurface: h.why, Suspects: []suspect{}, Files: s.Files,
	}
	for _, k := range h.codes {
		r.ByCode[k.code] = k.n
	}
	if h.hasPlan {
		r.Extent["x"], r.Extent["y"] = &extent{h.lo.X, h.hi.X}, &extent{h.lo.Y, h.hi.Y}
	}
	if h.hasZ {
		r.Extent["z"] = &extent{h.lo.Z, h.hi.Z}
	}
	for _, u := range s.Surfaces {
		r.Surfaces = append(r.Surfaces, surfaceJSON{u.Name, len(u.Vertices), len(u.Faces), len(u.Points)})
	}
	for _, u := range s.Runs {
		r.Runs = append(r.Runs, runJSON{u.Name, len(u.Stations), u.Step, u.Placed()})
	}
	if f := h.floor; f != nil {
		area := 0.0
		for _, g := range f.Regions {
			plan, _ := g.TIN.Area()
			area += plan
		}
		r.Area = &area
		least, most, enough := surface.UsualShots(area)
		r.Shots = &densityJSON{f.Used, f.Spacing(), least, most, enough, f.Hull}
	}
	for _, v := range h.suspects {
		r.Suspects = append(r.Suspects, suspectOf(v))
	}
	r.Assumed, r.Warnings, _, r.LeftOut = told(s.Notes, unit.StyleOf(s.Plan, s.Unit))
	r.Level = levelsOf(s.Book)
	return r
}
