package report

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Own choices, so that remarks of every shot do not fill pages.
const (
	mostRemarks  = 10 // rows of the table
	mostOfRemark = 4  // names of points that share a remark
	mostHazards  = 6  // cautions
)

// hazard matches remarks on what must not be drilled into, buried or bridged unseen.
var hazard = regexp.MustCompile(`(?i)\b(drain|gully|pipe|duct|conduit|cable|wire|gas|heating|loop|tendon|crack|joint|void|hollow|loose|soft|wet|damp|leak|asbestos|pit|manhole|plug)`)

// remark is a text of the survey with the points that have it.
type remark struct {
	text   string
	points []survey.Point
}

// remarks are the texts beside floor shots, thresholds and benchmarks, those on hazards first. What
// is beside a later reading of a benchmark or a turning point is about that reading ("closing
// shot"), not about the place: again counts those.
func (h *Handover) remarks() (out []remark, again int) {
	seen := map[string]bool{}
	for k, list := range [][]survey.Point{h.Survey.Control, h.Survey.Finished, h.Survey.Points} {
		for _, p := range list {
			text := remarkOn(h.Survey, p)
			if text == "" {
				continue
			}
			if k == 0 && p.Name() != "" {
				if seen[p.Name()] && !hazard.MatchString(text) {
					again++
					continue
				}
				seen[p.Name()] = true
			}
			i := slices.IndexFunc(out, func(r remark) bool { return r.text == text })
			if i < 0 {
				i = len(out)
				out = append(out, remark{text: text})
			}
			out[i].points = append(out[i].points, p)
		}
	}
	slices.SortStableFunc(out, func(a, b remark) int { return risk(a) - risk(b) })
	return out, again
}

// remarkOn is what the survey remarks on a point, empty for nothing or for its code alone.
func remarkOn(s *survey.Survey, p survey.Point) string {
	text := Printable(strings.TrimSpace(s.RemarkOn(p)))
	if strings.EqualFold(text, p.Code()) {
		return ""
	}
	return text
}

// risk is 0 for remarks on hazards and 1 for others.
func risk(r remark) int {
	if hazard.MatchString(r.text) {
		return 0
	}
	return 1
}

// names lists the points of r.
func (r remark) names() string {
	var names []string
	for _, p := range r.points {
		name := p.Name()
		if name == "" {
			name = p.At().String()
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if n := len(names) - mostOfRemark; n > 0 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:mostOfRemark], ", "), n)
	}
	return strings.Join(names, ", ")
}

// remarkTable lists the remarks; without rows if there are none.
func (h *Handover) remarkTable() table.Table {
	t := table.Table{Title: "Remarks from the survey", Columns: []table.Column{{Name: "At"}, {Name: "Where (the first)", Under: "%s"}, {Name: "Remark"}}}
	all, again := h.remarks()
	files := strings.Join(h.Job.FilesNamed(), ", ")
	for i, r := range all {
		if i == mostRemarks {
			t.Notes = append(t.Notes, fmt.Sprintf("%s more: see %s.", survey.Plural(len(all)-i, "remark"), files))
			break
		}
		t.Rows = append(t.Rows, text(r.names(), h.whereIs(r.points[0]), r.text))
	}
	if again > 0 && len(t.Rows) > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("Not listed: %s on later readings of benchmarks and turning points, see %s.", survey.Plural(again, "remark"), files))
	}
	return t
}

// whereIs is the place of a point by tape from two walls, or by its coordinates.
func (h *Handover) whereIs(p survey.Point) string {
	if math.IsNaN(p.X + p.Y) {
		return "no place in the file"
	}
	x, y := h.wallCells(surface.Vec{X: p.X, Y: p.Y})
	return x.Text + ", " + y.Text
}

// remarkCautions repeats the remarks on hazards beside the cautions.
func (h *Handover) remarkCautions() []string {
	var out []string
	all, _ := h.remarks()
	for _, r := range all {
		if risk(r) > 0 || len(out) == mostHazards {
			break
		}
		out = append(out, fmt.Sprintf("In the survey at %s (%s): %s. Look at it on site before the pour hides it.", r.names(), h.whereIs(r.points[0]), strings.TrimRight(r.text, ".")))
	}
	return out
}

// benchmarkTexts say where the benchmarks are, per the survey.
func (h *Handover) benchmarkTexts() []string {
	if h.Survey.Book == nil {
		return nil
	}
	var out []string
	for _, b := range h.Survey.Book.Benchmarks {
		if text := h.findBenchmark(b.Name); text != "" {
			out = append(out, fmt.Sprintf("%s, %s: %s.", b.Name, h.Style.Elevation(b.Elevation), text))
		}
	}
	return out
}

// planMarks are the benchmarks with a place in plan.
func (h *Handover) planMarks() (out []survey.Point) {
	if h.Survey.Book == nil || h.Survey.Book.Relative {
		return nil
	}
	for _, b := range h.Survey.Book.Benchmarks {
		i := slices.IndexFunc(h.Survey.Control, func(p survey.Point) bool { return p.Name() == b.Name && !math.IsNaN(p.X+p.Y) })
		if i >= 0 {
			p := h.Survey.Control[i]
			p.Z = b.Elevation
			out = append(out, p)
		}
	}
	return out
}

// findBenchmark says where a point of the level book is, per the survey; empty if it does not
// say.
func (h *Handover) findBenchmark(name string) string {
	var p survey.Point
	if i := slices.IndexFunc(h.Survey.Control, func(p survey.Point) bool { return p.Name() == name }); i >= 0 {
		p = h.Survey.Control[i]
	} else if h.Survey.Book == nil {
		return ""
	} else if i := slices.IndexFunc(h.Survey.Book.Sights, func(s survey.Sight) bool { return s.Name == name }); i >= 0 {
		s := &h.Survey.Book.Sights[i]
		p = survey.Point{X: s.X, Y: s.Y}.With(survey.Tag{Name: name, At: s.At}) // a row without a place
	} else {
		return ""
	}
	text := strings.TrimRight(remarkOn(h.Survey, p), ".")
	if !math.IsNaN(p.X + p.Y) {
		if text != "" {
			text += "; "
		}
		text += h.whereIs(p)
	}
	return text
}

// levelWins says which way to set marks counts, and how far a mark set by it may be from its
// height: above it by what the height is rounded down, less what the rod is rounded up, which
// is one figure for a level target.
func (h *Handover) levelWins() string {
	r, u := h.rodFrom(), h.Style
	least, greatest := 0.0, u.Step()
	if target, ok := surface.IsPlane(h.Filled.Fill.Target); ok && target.Level() {
		more := r.Elevation - target.Z
		least = unit.Up(more, u.Step()) - more
		greatest = least
	}
	rule := u
	rule.Denominator = 64 // as the step of the rule is written
	from := "0"
	if greatest > unit.Noise {
		from = rule.DepthUp(greatest) + " below"
	}
	to := h.ruleStep()
	if least > unit.Noise && u.Imperial {
		to = rule.DepthUp(h.Pins.Rules.Step - least)
	}
	return fmt.Sprintf("Set the marks with the level. The heights are a check: a mark comes out %s to %s above its height.", from, to)
}

// noteLine is a note with its place. Without a place it begins with a capital.
func noteLine(n survey.Note, s unit.Style) string {
	if n.Pos.String() != "" {
		return n.In(s)
	}
	return noteSentence(n, s)
}

// noteSentence is what a note says, without its place.
func noteSentence(n survey.Note, s unit.Style) string { return unit.Sentence(n.Text.In(s)) }
