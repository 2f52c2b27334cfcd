//go:build !light

package page

import (
	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// plan lays a grid of shots over walls. With names it makes the sheets of it as well.
func (q *asked) plan() (Reply, [][]byte, error) {
	a := q.Plan
	j := &job.Job{Units: a.Units, Show: q.Show, Survey: job.Survey{Files: []string{a.Outline}, Sheet: a.Sheet, ReadingSD: a.Reading, SetupSD: a.Setup}}
	p, err := job.Planning(j, job.PlanOptions{Want: a.Want, Spacing: a.Spacing, Floor: a.Floor}, q.in, q.watch)
	if err != nil {
		return Reply{Refused: q.planRefusals(err)}, nil, nil
	}
	style, err := q.styleOf(p.Survey, "")
	if err != nil {
		return Reply{}, nil, err
	}
	if len(q.Names) > 0 {
		all, err := report.PlanFiles(p, style, "")
		if err != nil {
			return Reply{}, nil, err
		}
		made, parts := madeOf(all)
		return made, parts, nil
	}
	f, parts := floorOf(p.Floor)
	out := &Plan{Spacing: p.Spacing, Units: unitsOf(style), Target: Target{Text: style.LevelDown(0)}, Floor: f, Shades: []report.Shade{{Color: "#ffffff"}}}
	out.Facts, out.Choices = report.PlanFacts(p, style)
	for i := range p.Grids {
		for _, s := range p.Grids[i].Shots() {
			f.Shots = append(f.Shots, Shot{Name: s.Name(), X: s.X, Y: s.Y})
		}
	}
	return Reply{Plan: out}, parts, nil
}

// planRefusals words an error with what the form of a plan has.
func (q *asked) planRefusals(err error) []Refusal {
	all := survey.Errors(err)
	if len(all) == 0 {
		return []Refusal{{Text: err.Error()}}
	}
	var out []Refusal
	for _, e := range all {
		one := e.Worded(planWords)
		if e.Field != "" {
			one.Element, one.Field, one.Usage = planNames[e.Field], "", false
		}
		text := one.Error()
		if one.Hint != "" {
			text += "; " + one.Hint
		}
		out = append(out, Refusal{Text: text, File: e.File, Line: e.Line, Row: q.in.row(e.Pos)})
	}
	return out
}

// planNames are what the form calls an option.
var planNames = map[string]string{"want": "± wanted", "spacing": "spacing", "floor": "kind of floor", "reading-sd": "reading error", "setup-sd": "set-up error", "units": "unit of the walls"}

func planWords(o, _ unit.Option) string {
	name, ok := planNames[o.Name]
	switch {
	case !ok:
		return o.String()
	case o.Value == "":
		return "“" + name + "”"
	}
	return "“" + name + "” " + o.Value
}
