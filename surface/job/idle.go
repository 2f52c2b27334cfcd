package job

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// purpose is the use of an option for reading. If a survey has nothing that the option
// applies to, the option is refused: the user probably has another survey in mind.
type purpose struct {
	field string
	given func(*input) bool
	found func(*input, *survey.Survey) bool
	kind  string // what it is for
}

func isSet(of func(*input) string) func(*input) bool {
	return func(f *input) bool { return of(f) != "" }
}

func hasRods(_ *input, s *survey.Survey) bool { return s.Served.Rods || s.Book != nil }

func hasBook(_ *input, s *survey.Survey) bool { return s.Book != nil }

func hasGrid(_ *input, s *survey.Survey) bool { return s.Served.Grid }

func hasRuns(_ *input, s *survey.Survey) bool { return len(s.Runs) > 0 }

func hasSurface(_ *input, s *survey.Survey) bool { return len(s.Surfaces) > 0 }

func hasFaces(_ *input, s *survey.Survey) bool {
	return slices.ContainsFunc(s.Surfaces, func(u survey.Surface) bool { return len(u.Faces) > 0 })
}

// hasShots reports whether shots are made into a surface here: two may be at one place.
func hasShots(f *input, s *survey.Survey) bool {
	return f.retriangulate || len(s.Surfaces) == 0 && len(s.Points) > 0 || slices.ContainsFunc(s.Surfaces, func(u survey.Surface) bool { return len(u.Faces) == 0 })
}

// purposes has every option for reading that does not apply to every survey.
var purposes = []purpose{
	{"instrument-height", isSet(func(f *input) string { return f.instrument }), hasRods, "rod readings"},
	{"benchmark", func(f *input) bool { return len(f.benchmarks) > 0 }, func(f *input, s *survey.Survey) bool { return hasBook(f, s) || hasGrid(f, s) && hasRods(f, s) }, "a level book: rod readings with a column of set-ups and one of sights (BS, IS, FS)"},
	{"adjust", func(f *input) bool { return f.adjust != "none" }, hasBook, "a level book"},
	{"allow", isSet(func(f *input) string { return f.allow }), hasBook, "a level book"},
	{"accept-misclosure", func(f *input) bool { return f.despite }, hasBook, "a level book"},
	{"grid-spacing", isSet(func(f *input) string { return f.spacing }), hasGrid, "a grid sheet, or stations named A1, B7"},
	{"grid-numbers", isSet(func(f *input) string { return f.numbers }), hasGrid, "a grid sheet, or stations named A1, B7"},
	{"grid-letters", isSet(func(f *input) string { return f.letters }), hasGrid, "a grid sheet, or stations named A1, B7"},
	{"grid-origin", func(f *input) bool { return len(f.origins) > 0 }, hasGrid, "a grid sheet, or stations named A1, B7"},
	{"grid-values", isSet(func(f *input) string { return f.values }), hasGrid, "a grid sheet"},
	{"order", isSet(func(f *input) string { return f.order }), func(_ *input, s *survey.Survey) bool { return s.Served.Order }, "a file without header, or one whose header has only x and y"},
	{"sheet", isSet(func(f *input) string { return f.sheet }), func(_ *input, s *survey.Survey) bool { return s.Served.Sheet }, "a workbook (XLSX)"},
	{"outline-sheet", isSet(func(f *input) string { return f.edge }), func(_ *input, s *survey.Survey) bool { return s.Served.Edge }, "an outline in a workbook (XLSX)"},
	{"surface", isSet(func(f *input) string { return f.surface }), hasSurface, "a file with surfaces"},
	{"retriangulate", func(f *input) bool { return f.retriangulate }, hasFaces, "a surface with faces"},
	{"duplicates", func(f *input) bool { return f.duplicates != "refuse" }, hasShots, "shots: a surface keeps its faces"},
	{"zeros", isSet(func(f *input) string { return f.zeros }), func(_ *input, s *survey.Survey) bool { return s.Delimiter != "" }, "a text file"},
	{"step", isSet(func(f *input) string { return f.step }), func(f *input, s *survey.Survey) bool { return f.laysOut || hasRuns(f, s) }, "runs of readings"},
}

// idle refuses the first option that does not apply to the survey. If a second survey is
// read with the same options, the check waits for it, and refuses options that apply to
// neither.
func (f *input) idle(s *survey.Survey) error {
	if f.afterwards {
		return nil
	}
	f.served = append(f.served, s)
	if f.another && len(f.served) < max(2, f.surveys) {
		return nil
	}
	var names []string
	for _, one := range f.served {
		names = append(names, one.Name)
	}
	has := "has"
	if len(names) > 1 {
		has = "have"
	}
	anyOf := func(found func(*input, *survey.Survey) bool) bool {
		return slices.ContainsFunc(f.served, func(one *survey.Survey) bool { return found(f, one) })
	}
	for _, p := range purposes {
		if p.given(f) && !anyOf(p.found) {
			if p.field == "benchmark" && anyOf(hasRods) && len(f.served) == 1 {
				var marks []string
				for _, b := range f.benchmarks {
					name, _, _ := strings.Cut(b, "=")
					marks = append(marks, name)
				}
				return f.noMark(s, s.Name, marks)
			}
			if p.field == "order" && anyOf(func(_ *input, s *survey.Survey) bool { return s.Headed }) {
				return misuse(p.field, "%s is for %s; the header of %s names the columns", unit.Ask(p.field, ""), p.kind, strings.Join(names, " and ")).Hinted("%s", unit.LeaveOut(p.field))
			}
			e := misuse(p.field, "%s is for %s; %s %s none", unit.Ask(p.field, ""), p.kind, strings.Join(names, " and "), has)
			if p.field == "benchmark" && anyOf(hasRods) {
				return e.Hinted("name those columns setup and sight; for rod readings from one set-up, %s", unit.Ask("instrument-height", "H"))
			}
			return e.Hinted("%s", unit.LeaveOut(p.field))
		}
	}
	for _, c := range f.codes {
		code, _, _ := strings.Cut(c, "=")
		if !anyOf(func(_ *input, one *survey.Survey) bool {
			return slices.ContainsFunc(one.Served.Codes, func(hit string) bool { return strings.EqualFold(hit, code) })
		}) {
			return &survey.Error{Usage: true, Field: "code", Element: code, Want: fmt.Sprintf("no point of %s has that code", s.Name), Hint: "codes in this survey: " + listed(codesIn(s))}
		}
	}
	if f.marksLater {
		return nil
	}
	return f.marksFound(s)
}

// marksFound refuses a benchmark that is in none of the surveys: its elevation would be
// ignored, although the user means it to apply.
func (f *input) marksFound(surveys ...*survey.Survey) error {
	var known, marks, files []string
	for _, s := range surveys {
		known = append(known, s.Marks(true)...)
		files = append(files, s.Name)
		for _, name := range s.Marks(false) {
			if !slices.Contains(marks, name) {
				marks = append(marks, name)
			}
		}
	}
	for _, b := range f.benchmarks {
		name, elevation, _ := strings.Cut(b, "=")
		if slices.ContainsFunc(known, func(k string) bool { return strings.EqualFold(k, name) }) {
			continue
		}
		hint := unit.Textf("benchmarks and turning points found: %s", strings.Join(marks[:min(10, len(marks))], ", "))
		if len(marks) == 0 {
			hint = unit.Textf("no benchmark was found: %s", unit.LeaveOut("benchmark"))
		}
		if near := nearestName(name, marks); near != "" {
			hint = unit.Textf("did you mean %s? %s", unit.Ask("benchmark", near+"="+elevation), hint)
		}
		return (&survey.Error{Usage: true, Field: "benchmark", Element: name, Of: name, Want: "no reading on a point of that name in " + strings.Join(files, " nor in ")}).Hinting(hint)
	}
	return nil
}

// mistyped adds the given benchmarks to the refusal of a level book that has none of them,
// and suggests the most similar mark. It suggests none if a second survey follows, which
// may have the benchmark.
func (f *input) mistyped(err error) error {
	var none *survey.NoBenchmark
	if !errors.As(err, &none) || len(f.benchmarks) == 0 {
		return err
	}
	var names []string
	var meant unit.Text
	for _, b := range f.benchmarks {
		name, elevation, _ := strings.Cut(b, "=")
		names = append(names, name)
		if near := nearestName(name, none.Marks); near != "" && meant == (unit.Text{}) && !f.marksLater {
			meant = unit.Textf("did you mean %s?", unit.Ask("benchmark", near+"="+elevation))
		}
	}
	return survey.Each(err, func(e *survey.Error) error {
		if !errors.As(e, &none) {
			return e
		}
		named := *e
		named.Found += ": no reading is on " + strings.Join(names, " nor on ")
		return named.Hinting(meant)
	})
}

// nearestName returns the name most similar to a mistyped one, ignoring case, "" if none
// is similar.
func nearestName(wrong string, names []string) string {
	lower := map[string]string{}
	var words []string
	for _, name := range names {
		w := strings.ToLower(name)
		if _, twice := lower[w]; !twice {
			lower[w] = name
			words = append(words, w)
		}
	}
	return lower[Nearest(wrong, words)]
}
