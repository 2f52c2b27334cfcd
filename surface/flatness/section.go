package flatness

import (
	"fmt"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
)

// Section is a test section: the runs on one piece of floor.
type Section struct {
	Name    string
	Runs    []survey.Run
	Outline [][]surface.Vec    // outer ring counter-clockwise, then openings clockwise; nil: unknown
	Joints  []survey.Breakline // construction and isolation joints; saw cuts do not stop a run
	Area    float64            // m²; 0: that of the outline, or unknown
	Basis   string             // source of the readings; empty: a level or the like, read along the runs
}

// Answer is whether a rule is met.
type Answer uint8

const (
	Unknown Answer = iota
	Met
	NotMet
)

func (a Answer) String() string { return [...]string{"not known", "met", "not met"}[a] }

// Rule is a sampling rule and its result for a section.
type Rule struct {
	Rule   string
	Met    Answer
	Found  string
	Source string
}

// Result is the result for a section.
type Result struct {
	Name                    string
	Basis                   string
	Area                    float64 // m²; 0: unknown
	Lines                   []Line
	FF, FL                  F
	FFRange, FLRange        Interval
	Curvatures, Differences int // number of readings for FF and FL
	Required                int // 10-ft differences required; 0 if the area is unknown
	Rules                   []Rule
	Notes                   []survey.Note

	q, z spread // of curvatures and of differences
}

// Measure returns the F-numbers of a section, with each sampling rule as met or not. Runs
// without F-numbers are left out and noted. It is an error if none is left, or if runs at 12
// in and at 300 mm are mixed, because their figures differ.
//
// Lines combine by 1/F² = Σr/F² ÷ Σr, r readings each, or pooled by [Settings].
func Measure(sec Section, s Settings) (*Result, error) {
	out := &Result{Name: sec.Name, Basis: sec.Basis, Area: sec.Area}
	if out.Area == 0 && len(sec.Outline) > 0 {
		out.Area = area(sec.Outline)
	}
	var first error
	for _, r := range sec.Runs {
		lines, notes, err := Lines(r, s)
		if err != nil {
			if first == nil {
				first = err
			}
			out.Notes = append(out.Notes, survey.Notef(survey.Warning, survey.Pos{}, "not used: %v", err))
			continue
		}
		out.Lines = append(out.Lines, lines...)
		out.Notes = append(out.Notes, notes...)
	}
	if len(out.Lines) == 0 {
		if first != nil {
			return nil, first
		}
		return nil, &survey.Error{Element: strings.TrimSpace("section " + sec.Name), Found: "no runs", Want: "at least one run of 12 readings"}
	}
	y, _ := systemOf(out.Lines[0].Step)
	for _, l := range out.Lines {
		if other, _ := systemOf(l.Step); other != y {
			return nil, &survey.Error{Pos: l.At, Element: "run " + l.Run, Found: "readings every " + other.String(), Want: fmt.Sprintf("every %s, as run %s has: the two do not combine", y, out.Lines[0].Run), Hint: "make two sections of them"}
		}
	}
	if out.Area > 0 {
		out.Required = s.required(out.Area)
	}
	out.combine(s, y)
	out.Rules = rules(sec, out, s.filled(y), y)
	return out, nil
}

// combine sets the F-numbers of the section from those of its lines.
func (r *Result) combine(s Settings, y system) {
	var q, z [][]float64
	var ff, fl []F
	var nq, nz []float64
	for _, l := range r.Lines {
		q, z = append(q, l.q), append(z, l.z)
		ff, fl = append(ff, l.FF), append(fl, l.FL)
		nq, nz = append(nq, float64(l.Q.N)), append(nz, float64(l.Z.N))
		r.Curvatures += l.Q.N
		r.Differences += l.Z.N
	}
	r.FF, r.FL = weighted(ff, nq), weighted(fl, nz)
	if s.Pooled {
		cFF, cFL := s.constants(y)
		r.FF = inverse(cFF, describe(joined(q), s.DivideByN).departure())
		r.FL = inverse(cFL, describe(joined(z), s.DivideByN).departure())
	}
	r.q = spreadOfRuns(r.Lines, func(l Line) Stat { return l.Q }, oneStratum)
	r.z = spreadOfRuns(r.Lines, func(l Line) Stat { return l.Z }, s.filled(y).Turn)
	r.FFRange, r.FLRange = s.intervals(r.FF, r.FL, []*Result{r}, []float64{1})
}

func joined(x [][]float64) []float64 {
	var out []float64
	for _, v := range x {
		out = append(out, v...)
	}
	return out
}

// Local is a min value and its section.
type Local struct {
	F  F
	Of *Result
}

// Whole is a floor of one section or several.
type Whole struct {
	Sections         []*Result
	FF, FL           F
	FFRange, FLRange Interval
	LocalFF, LocalFL Local
}

// Combine puts sections together by area: 1/F² = ΣA/F² ÷ ΣA (ASTM E1155-96 section 9, from
// memory 85 %). The min value of any section is given beside the overall one. It is an error
// if there are several sections and the area of one is unknown.
func Combine(sections []*Result, s Settings) (*Whole, error) {
	if len(sections) == 0 {
		return nil, &survey.Error{Found: "no section", Want: "at least one that is measured"}
	}
	w := &Whole{Sections: sections,
		LocalFF: Local{sections[0].FF, sections[0]}, LocalFL: Local{sections[0].FL, sections[0]}}
	var ff, fl []F
	var areas []float64
	for _, r := range sections {
		a := r.Area
		if len(sections) == 1 {
			a = 1
		}
		if a <= 0 {
			return nil, &survey.Error{Element: strings.TrimSpace("section " + r.Name), Found: "no area", Want: "the area of each section: they are weighted by it"}
		}
		ff, fl, areas = append(ff, r.FF), append(fl, r.FL), append(areas, a)
		if r.FF < w.LocalFF.F {
			w.LocalFF = Local{r.FF, r}
		}
		if r.FL < w.LocalFL.F {
			w.LocalFL = Local{r.FL, r}
		}
	}
	w.FF, w.FL = weighted(ff, areas), weighted(fl, areas)
	w.FFRange, w.FLRange = s.intervals(w.FF, w.FL, sections, areas)
	return w, nil
}
