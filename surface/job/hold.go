package job

import (
	"cmp"
	"errors"
	"io"
	"io/fs"
	"math"
	"slices"
	"strconv"

	"pourplane/surface"
	"pourplane/surface/blunder"
	"pourplane/survey"
	"pourplane/survey/file"
	"pourplane/survey/text"
	"pourplane/survey/unit"
)

// Holding is the result of the command read.
type Holding struct {
	accuracy func() (Accuracy, error) // of a floor

	S        *survey.Survey
	Outline  bool           // the file is an outline
	Floor    *surface.Floor // nil if the points do not give one
	Why      unit.Text      // reason why there is no floor
	Fault    error          // the refusal that it is, if it is one
	Lo, Hi   survey.Point   // extent
	HasPlan  bool
	HasZ     bool
	Codes    []codeCount
	Suspects []blunder.Finding
	// Unsearched explains why some shots were not checked for suspects.
	Unsearched []survey.Note

	keyed bool
}

// InKeys words what is held with the keys of a job instead of options.
func (h *Holding) InKeys(j *Job) {
	keyed(j, h.S.Notes)
	keyed(j, h.Unsearched)
	h.Why, h.keyed = h.Why.Worded(lineIn(unitOf(j))), true
}

// Walls names what gives the walls.
func (h *Holding) Walls() string {
	if f, ok := ByFlag("outline"); ok && h.keyed {
		return f.Key
	}
	return unit.Ask("outline", "FILE").String()
}

type codeCount struct {
	Code string
	N    int
}

// HoldOptions are what the command read asks beside a job.
type HoldOptions struct {
	Step  string // between the readings of runs
	Cells bool   // the survey keeps its cells, and no surface is made
	Doors bool   // the shots that the target names as finished floor are no floor
}

// Hold reads the surveys of a job and reports what they hold. again opens the first file
// once more: outlines have no elevations and are then read as outlines.
func Hold(j *Job, asked HoldOptions, files fs.FS, again func(string) (io.ReadCloser, error), watch Watch) (*Holding, error) {
	if s := j.Show; s != "" && s != "metric" && s != "feet" {
		return nil, misused("show", strconv.Quote(s), "metric or feet")
	}
	f := inputOf(j)
	f.step, f.cells, f.Files = asked.Step, asked.Cells, files
	if f.cells && f.outline != "" {
		return nil, misuse("cells", "walls are not in cells").Hinted("%s", unit.LeaveOut("outline"))
	}
	if f.cells && len(f.leaveOut) > 0 {
		return nil, misuse("cells", "the points of a square cannot be left out one by one").Hinted("%s", unit.LeaveOut("leave-out"))
	}
	if _, err := f.options(); err != nil {
		return nil, err
	}
	names, h := j.paths(j.Survey.Files), &Holding{}
	s, o, err := f.open(names, watch)
	if errors.Is(err, text.ErrNoHeights) && len(names) == 1 {
		o.Open = again
		if edge, err2 := file.OpenOutline(names[0], o); err2 == nil && len(edge.Rings)+len(edge.Breaklines) > 0 {
			s, err, h.Outline = edge, nil, true
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
	if aim := aimOf(j); asked.Doors {
		if err := aim.takeFinished(s, nil); err != nil {
			return nil, err
		}
	}
	if len(s.Rings) == 0 {
		s.Notes = append(s.Notes, s.LostPoints()...)
	}
	if err := f.idle(s); err != nil {
		return nil, err
	}
	h.S = s
	if s.Book != nil {
		for _, e := range s.Book.Faults {
			sights := e.Want
			var c survey.Contradiction
			if errors.As(e, &c) {
				sights = c.Sights
			}
			s.Notes = append(s.Notes, survey.Notef(survey.Warning, e.Pos, "%s: booked %s; the sights give %s", e.Element, e.Found, sights))
		}
	}
	watch.Say("triangulating", 0, 0)
	h.count()
	if err := h.build(&f, aimOf(j)); err != nil {
		return nil, err
	}
	return h, nil
}

// all returns every point with a place, floor shots first.
func (h *Holding) all() []survey.Point {
	out := slices.Concat(h.S.Points, h.S.Finished, h.S.Control)
	for _, u := range h.S.Surfaces {
		out = append(out, u.Vertices...)
		if len(u.Vertices) == 0 {
			out = append(out, u.Points...)
		}
	}
	for _, r := range slices.Concat(h.S.Rings, h.S.Outlines) {
		out = append(out, r.Points...)
	}
	for _, r := range h.S.Runs {
		out = append(out, r.Start, r.End)
		for _, v := range r.Stations {
			out = append(out, survey.Point{X: math.NaN(), Y: math.NaN(), Z: v.Z})
		}
	}
	return out
}

// FloorRange returns the min and max elevation of the floor, NaN without shots.
// Adjoining finished floors and benchmarks are not included.
func (h *Holding) FloorRange() (lo, hi float64) {
	lo, hi = h.Lo.Z, h.Hi.Z
	if !h.HasZ {
		return math.NaN(), math.NaN()
	}
	for i, p := range h.S.Points {
		if i == 0 {
			lo, hi = p.Z, p.Z
		}
		lo, hi = min(lo, p.Z), max(hi, p.Z)
	}
	return lo, hi
}

// count works out the extent and the codes.
func (h *Holding) count() {
	for _, p := range append(h.all(), h.S.Levels...) {
		if !math.IsNaN(p.X + p.Y) {
			if !h.HasPlan {
				h.Lo.X, h.Hi.X, h.Lo.Y, h.Hi.Y, h.HasPlan = p.X, p.X, p.Y, p.Y, true
			}
			h.Lo.X, h.Hi.X = min(h.Lo.X, p.X), max(h.Hi.X, p.X)
			h.Lo.Y, h.Hi.Y = min(h.Lo.Y, p.Y), max(h.Hi.Y, p.Y)
		}
		if p.HasZ() {
			if !h.HasZ {
				h.Lo.Z, h.Hi.Z, h.HasZ = p.Z, p.Z, true
			}
			h.Lo.Z, h.Hi.Z = min(h.Lo.Z, p.Z), max(h.Hi.Z, p.Z)
		}
	}
	n := map[string]int{}
	for _, p := range slices.Concat(h.S.Points, h.S.Levels, h.S.Finished, h.S.Control) {
		n[p.Code()]++
	}
	for code, k := range n {
		h.Codes = append(h.Codes, codeCount{code, k})
	}
	slices.SortFunc(h.Codes, func(a, b codeCount) int { return cmp.Or(cmp.Compare(b.N, a.N), cmp.Compare(a.Code, b.Code)) })
}

// build makes the floor from the points. It returns errors that the user's own options
// cause; other errors are part of the report of read.
func (h *Holding) build(f *input, aim targetFlags) error {
	switch {
	case f.cells:
		h.Why = unit.Textf("cells are written, to be read with those of other parts")
		return nil
	case h.Outline:
		h.Why = unit.Textf("an outline: no elevations")
		return nil
	case len(h.S.Runs) > 0 && len(h.S.Points) == 0:
		h.Why = unit.Textf("readings along lines: flatness, not a surface")
		return nil
	case len(h.S.Levels) > 0:
		h.Why = unit.Textf("levels without places: a second file of names, x and y gives them")
		return nil
	case len(h.S.Surfaces) > 1 && f.surface == "":
		h.Why = unit.Textf("%d surfaces: %s chooses one", len(h.S.Surfaces), unit.Ask("surface", "NAME"))
		return nil
	}
	floor, err := f.floor(h.S)
	switch {
	case err == nil:
		if err := f.noteBegun(h.S, floor, &aim); err != nil {
			return err
		}
		h.Floor, h.accuracy = floor, func() (Accuracy, error) { return f.accuracy(h.S) }
		h.S.Notes = append(h.S.Notes, doorsApart(doorsOn(h.S.Finished, surface.Plane{}), nil, h.S.Unit.Imperial())...)
		var notes []survey.Note
		h.Suspects, notes = blunder.Find(h.S, floor)
		h.Unsearched = notes
		h.S.Notes = append(h.S.Notes, notes...)
		for _, n := range floor.Notes {
			if n.Kind == survey.Warning && n.Topic == survey.AboutOrder {
				h.S.Notes = append(h.S.Notes, n)
			}
		}
	case survey.IsUsage(err):
		return err
	default:
		h.Why, h.Fault = unit.Textf("%s", refusal{err}), err
	}
	return nil
}

// OpenBook reads the level books of a job, and refuses other surveys. show is the system
// in which results are shown.
func OpenBook(j *Job, show string, files fs.FS, watch Watch) (*survey.Survey, error) {
	f := inputOf(j)
	f.show, f.Files = show, files
	names := j.paths(j.Survey.Files)
	s, _, err := f.open(names, watch)
	if err != nil {
		return nil, err
	}
	if s.Book == nil {
		return nil, &survey.Error{Pos: survey.Pos{File: names[0]}, Found: "no sights from set-ups", Want: "a level book: rod readings with a column of set-ups and one of sights (BS, IS, FS), or columns BS, IS and FS",
			Hint: "pourplane read shows how the file was understood"}
	}
	return s, f.idle(s)
}
