package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"pourplane/plot/report"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// about asks for what a refusal is about. It returns false if nothing is answered.
func (q *questions) about(err error) bool {
	if q.asker == nil {
		return false
	}
	r := q.open(err)
	if len(r.marks)+len(r.fields) > 0 {
		text := survey.Each(err, func(e *survey.Error) error {
			if len(r.fields) > 0 && e.Field == r.fields[0].name && e.Element == "" {
				return e.Unnamed() // an answer has no option before it
			}
			return e
		}).Error()
		_, q.err = fmt.Fprintln(q.out, report.Printable(shortly(text)))
	}
	for i, name := range r.marks {
		if q.again(name, i+1 < len(r.marks)+len(r.fields)) {
			return true
		}
	}
	for i, one := range r.fields {
		if q.settled(one, r, i+1 < len(r.fields)) {
			return true
		}
	}
	return false
}

// refusal is what a refusal leaves open.
type refusal struct {
	fields []question    // fields that would settle it, each once, in the order of the refusal
	marks  []string      // benchmarks with a given elevation that may be wrong
	wrong  string        // benchmark that no survey has
	asks   []unit.Option // all options that it asks for
}

// open returns what can be asked after a refusal.
func (q *questions) open(err error) refusal {
	var r refusal
	outline := false
	given := q.of.Survey.Benchmarks
	for _, e := range survey.Errors(err) {
		r.asks = append(r.asks, e.Asks()...)
		outline = outline || q.of.Survey.Outline != "" && e.File == q.of.Survey.Outline
		for _, name := range e.Marks {
			if given[name] != "" && !slices.Contains(r.marks, name) {
				r.marks = append(r.marks, name)
			}
		}
		if e.Field == "benchmark" && given[e.Of] != "" {
			r.wrong = e.Of
		}
	}
	slices.Sort(r.marks)
	if outline {
		r.asks = append(r.asks, unit.Ask("outline", ""))
	}
	for _, o := range r.asks {
		named := func(one question) bool { return one.name == o.Name }
		if k := slices.IndexFunc(q.table(), named); k >= 0 && !slices.ContainsFunc(r.fields, named) {
			r.fields = append(r.fields, q.table()[k])
		}
	}
	if slices.ContainsFunc(r.fields, func(one question) bool { return one.name == "benchmark" }) {
		r.marks = nil
	}
	return r
}

// emptyMeans describes an empty answer: another question follows, or none.
func emptyMeans(more bool) string {
	if more {
		return " (press Enter for another way)"
	}
	return " (press Enter to stop)"
}

// again asks for the elevation of a benchmark that already has one.
func (q *questions) again(name string, more bool) bool {
	a := q.ask(fmt.Sprintf("Elevation of %s with its unit, %s so far%s", name, q.of.Survey.Benchmarks[name], emptyMeans(more)), "", aLength)
	if a == "" {
		return false
	}
	q.of.Survey.Benchmarks = maps.Clone(q.of.Survey.Benchmarks)
	q.of.Survey.Benchmarks[name] = a
	return true
}

// settled asks for one field of a refusal, and reports whether it was answered. more
// means that another question follows.
func (q *questions) settled(one question, r refusal, more bool) bool {
	var examples []string
	for _, o := range r.asks {
		switch {
		case o.Name != one.name:
		case o.Leave:
			if q.ask("Leave that out: yes or no", "yes", yesOrNo) != "yes" || q.over {
				return false
			}
			one.clear(&q.of)
			return true
		case o.Value != "" && o.Value != "NAME":
			examples = append(examples, o.Value)
		}
	}
	if one.name == "benchmark" {
		return q.benchmark(r.wrong, strings.Join(examples[:min(1, len(examples))], ""), emptyMeans(more))
	}
	if one.shown && len(examples) > 0 {
		one.text += ", such as " + strings.Join(examples, " or ")
	}
	a := q.ask(one.text+emptyMeans(more), "", one.check)
	return a != "" && one.answer(&q.of, a)
}

// shortly returns a refusal without the part that repeats line by line.
func shortly(text string) string {
	const most = 3
	lines := strings.Split(text, "\n")
	if len(lines) <= most+1 {
		return text
	}
	return strings.Join(lines[:most], "\n") + fmt.Sprintf("\nand %d more like these", len(lines)-most)
}

// benchmark asks for a benchmark and its elevation; the example shows its name. wrong is
// a benchmark that no survey has, to be left out.
func (q *questions) benchmark(wrong, example, empty string) bool {
	marks := &q.of.Survey.Benchmarks
	name, elevation, named := strings.Cut(example, "=")
	text, check := "A benchmark and its elevation, such as BM1=100ft", aBenchmark
	if named = named && name != "NAME"; named {
		text = fmt.Sprintf("Elevation of %s with its unit, such as %s", name, elevation)
		check = func(text string) error {
			if strings.Contains(text, "=") {
				return aBenchmark(text)
			}
			return aLength(text)
		}
	}
	if wrong != "" {
		empty = " (press Enter to leave " + wrong + " out)"
	}
	a := q.ask(text+empty, "", check)
	if a == "" && (wrong == "" || q.over) {
		return false
	}
	delete(*marks, wrong)
	if a == "" {
		return true
	}
	if is, elevation, both := strings.Cut(a, "="); both {
		name, a = is, elevation
	}
	if *marks == nil {
		*marks = map[string]string{}
	}
	(*marks)[name] = a
	return true
}
