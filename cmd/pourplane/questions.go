package main

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// questions asks for what the options and the files of a new job leave open, and again
// for an answer that is refused.
type questions struct {
	*newFlags
	*asker // nil: nothing is asked
}

// failed is why no more can be asked, nil where answers have simply ended.
func (q *questions) failed() error {
	if q.asker == nil || q.err == nil {
		return nil
	}
	return fmt.Errorf("the answers cannot be read: %w", q.err)
}

// understand reads the surveys, and asks for what they lack.
func (q *questions) understand(p *progress) (*survey.Survey, *job.Lengths, error) {
	datum := false
	for {
		s, given, err := job.OpenFloor(&q.of, &disk{}, p.say)
		p.end()
		switch {
		case err != nil && q.about(err):
			continue
		case err != nil:
			return nil, nil, cmp.Or(q.failed(), err)
		case q.asker != nil && !datum && s.Relative && s.Served.Rods && q.of.Survey.InstrumentHeight == "" && len(q.of.Survey.Benchmarks) == 0:
			if datum = true; q.datum(s) {
				continue
			}
		}
		return s, given, q.failed()
	}
}

// datum asks what the elevation 0 of rod readings is.
func (q *questions) datum(s *survey.Survey) bool {
	example := exampleOf(s)
	if marks := s.Marks(false); len(marks) > 0 {
		a := q.ask(fmt.Sprintf("Elevation of %s with its unit, such as %s; empty: not known", marks[0], example), "", aLength)
		if a != "" {
			q.of.Survey.Benchmarks = map[string]string{marks[0]: a}
			return true
		}
	}
	h := &q.of.Survey.InstrumentHeight
	*h = q.ask(fmt.Sprintf("Height of instrument (elevation of the line of sight) with its unit, such as %s; empty: levels relative to each other", example), "", aLength)
	return *h != ""
}

// exampleOf is an elevation in the unit of a survey.
func exampleOf(s *survey.Survey) string {
	if s.Unit.Imperial() {
		return "100ft"
	}
	return "11.5m"
}

// rest asks what no survey says: title, target, walls and what the floor bears on.
func (q *questions) rest(s *survey.Survey, given *job.Lengths) error {
	if q.asker == nil {
		return nil
	}
	taken := func(flag string) func(string) error {
		return func(text string) error {
			_, err := given.Parse(flag, text)
			var u *job.UsageError
			if !errors.As(err, &u) {
				return err
			}
			// Here the value alone is typed.
			hint, _, _ := strings.Cut(u.Hint, "; or --units")
			return &job.UsageError{Text: strings.TrimPrefix(u.Text, flag+": "), Hint: strings.ReplaceAll(hint, flag+" ", "")}
		}
	}
	q.of.Title = q.ask("Title of the job", q.of.Title, anything)
	if err := q.aim(s, taken); err != nil {
		return err
	}
	if q.of.Survey.Outline == "" && len(s.Rings) == 0 && len(s.Surfaces) == 0 {
		q.of.Survey.Outline = q.ask("Outline file; empty: the hull of the shots", "", aFile)
	}
	q.of.Site.Bearing = q.ask("Does the floor bear on the ground or is it suspended: ground, suspended, or empty if nobody knows", "", aBearing)
	return q.failed()
}

// aim asks for the target, until there is one: its elevation, or the finished floor to meet.
// Taken checks the value of an option.
func (q *questions) aim(s *survey.Survey, taken func(flag string) func(string) error) error {
	t := &q.of.Target
	for !job.Aimed(t) && !q.over {
		t.Elevation = q.ask("Elevation of the target plane (top of fill) with its unit, such as "+exampleOf(s)+"; empty: from the finished floor", "", taken("--target"))
		if t.Elevation != "" {
			break
		}
		if codes := codesOf(s.Finished); len(codes) > 0 {
			on := (&job.TargetFlags{Codes: codes}).FinishShots(s)
			if q.ask(fmt.Sprintf("Take the finished floor from the %s of %s", survey.Plural(len(on), "shot"), strings.Join(codes, ", ")), "yes", yesOrNo) == "yes" && !q.over {
				t.FinishCodes = codes
			}
		}
		if len(t.FinishCodes) == 0 {
			t.Finish = q.ask("Elevation of the finished floor to meet, with its unit", "", taken("--finish"))
		}
		if job.Aimed(t) {
			if err := q.below(s, taken); err != nil {
				return err
			}
		}
	}
	return nil
}

// below asks how far the top of fill is below the finished floor.
func (q *questions) below(s *survey.Survey, taken func(flag string) func(string) error) error {
	t := &q.of.Target
	thin, none := "15mm", "0mm"
	if s.Unit.Imperial() {
		thin, none = "9/16in", "0in"
	}
	for t.Buildup == "" && !q.over {
		t.Buildup = q.ask("How much lower than the finished floor is the top of fill (covering and bed together), with its unit, such as "+thin+"; "+none+" for a flush fill; Enter asks again", "", taken("--buildup"))
	}
	if t.Buildup == "" {
		return cmp.Or(q.failed(), job.NoBuildup("no answer"))
	}
	t.Low = cmp.Or(t.Low, q.ask("How far to stay low, with its unit; empty: not at all", "", taken("--low")))
	return nil
}

// question is what is asked for a field of a job.
type question struct {
	flag, text string
	check      func(string) error
}

func (q *questions) table() []question {
	kinds := func(words ...string) func(string) error {
		return func(text string) error {
			if slices.Contains(words, text) {
				return nil
			}
			return wanted(text, strings.Join(words[:len(words)-1], ", ")+" or "+words[len(words)-1])
		}
	}
	return []question{
		{"units", "Unit of the lengths in " + filepath.Base(q.of.Survey.Files[0]) + ": m, cm, mm, ft, ftUS or in", aUnit},
		{"sheet", "Sheet of the workbook with the shots", anything},
		{"outline-sheet", "Sheet of the workbook with the outline", anything},
		{"surface", "Surface to use", anything},
		{"order", "Order of the columns, such as PNEZD or XYZ", anything},
		{"grid-values", "What the cells of the grid hold: rod, elevation or depth", kinds("rod", "elevation", "depth")},
		{"grid-spacing", "Distance between the lines of the grid with its unit, such as 3m or 10ft; two with a comma between for letters and numbers", lengthsOf(1, 2)},
		{"grid-numbers", "Direction in which the lines 1, 2, 3 are counted: north, east, south, west, or degrees", anything},
		{"grid-letters", "Direction in which the lines A, B, C are counted", anything},
		{"grid-origin", "Where A1 is on the floor, as X,Y with units; for one of several sheets SHEET=X,Y", lengthsOf(2, 2)},
		{"benchmark", "A benchmark and its elevation, such as BM1=100ft", aBenchmark},
		{"instrument-height", "Height of instrument (elevation of the line of sight), with its unit", aLength},
		{"accept-misclosure", "Build on the level book although it closes worse than it may: yes or no", yesOrNo},
		{"duplicates", "Two elevations at one place: mean, first or last", kinds("mean", "first", "last", "refuse")},
		{"zeros", "Heights of exactly 0: measured or missing", kinds("measured", "missing")},
		{"retriangulate", "Make new triangles from the points of the surface, not keeping its faces: yes or no", yesOrNo},
		{"thin", "Side of the square that keeps one point of the scan, such as 50mm or 2in", aLength},
		{"max-size", "Largest file to read, such as 2GB", anything},
		{"target", "Elevation of the target plane (top of fill), with its unit", aLength},
		{"finish", "Elevation of the finished floor to meet, with its unit", aLength},
		{"finish-code", "Code of the shots on the finished floor", anything},
		{"finish-at", "Name of the shot on the finished floor", anything},
		{"finish-rule", "How several shots make the finished floor: lowest, mean or plane", kinds("lowest", "mean", "plane")},
		{"buildup", "How much lower than the finished floor is the top of fill (covering and bed together), with its unit", aLength},
		{"low", "How far to stay low, with its unit", aLength},
		{"covering", "Thickness of the covering alone, with its unit", aLength},
		{"toward", "Where the target falls to: a place X,Y with units, the name of a shot, or a direction such as NE", anything},
		{"fall-direction", "Direction of the fall to that place, such as N or 120deg", anything},
		{"outline", "Outline file", aFile},
	}
}

// optionOf is the option of a hint that shows its value too.
func optionOf(hint string) string {
	flag, _, _ := strings.Cut(hint, " ")
	return flag
}

// optionsOf lists the options that a refusal is about: the one that it names first, then
// those that its hints show, with what they show as a value.
func (q *questions) optionsOf(text string, hints []string) []string {
	flags := job.InHints.FindAllString(strings.Join(hints, "\n"), -1)
	if strings.HasPrefix(text, "--") {
		own := strings.TrimRight(optionOf(text), ":")
		first := func(f string) bool { return optionOf(f) == own }
		slices.SortStableFunc(flags, func(a, b string) int {
			switch {
			case first(a) && !first(b):
				return -1
			case first(b) && !first(a):
				return 1
			}
			return 0
		})
		if !slices.ContainsFunc(flags, first) {
			flags = append([]string{own}, flags...)
		}
	}
	if strings.Contains(text, "outline") || q.of.Survey.Outline != "" && strings.HasPrefix(text, q.of.Survey.Outline+":") {
		flags = append(flags, "--outline")
	}
	return flags
}

// about asks for what a refusal is about. It returns false where nothing is answered.
func (q *questions) about(err error) bool {
	if q.asker == nil {
		return false
	}
	text, hints := err.Error(), hintsOf(err)
	flags := q.optionsOf(text, hints)
	table := map[string]question{}
	for _, one := range q.table() {
		table["--"+one.flag] = one
	}
	var can []string
	for _, f := range flags {
		if _, known := table[optionOf(f)]; known && !slices.ContainsFunc(can, func(other string) bool { return optionOf(other) == optionOf(f) }) {
			can = append(can, f)
		}
	}
	var marks []string
	if !slices.ContainsFunc(can, func(f string) bool { return optionOf(f) == "--benchmark" }) {
		marks = q.marksIn(text)
	}
	if len(can)+len(marks) > 0 {
		if len(can) > 0 {
			text = strings.TrimPrefix(text, optionOf(can[0])+": ") // an answer has no option before it
		}
		_, q.err = fmt.Fprintln(q.out, report.Printable(shortly(text)))
	}
	for i, name := range marks {
		if q.again(name, i+1 < len(marks)+len(can)) {
			return true
		}
	}
	for i, found := range can {
		if q.settled(table[optionOf(found)], found, text, hints, flags, i+1 < len(can)) {
			return true
		}
	}
	return false
}

// emptyMeans says what an empty answer does: another question follows, or none.
func emptyMeans(more bool) string {
	if more {
		return "; empty: another way"
	}
	return "; empty: stop"
}

// again asks for the elevation of a benchmark that has one.
func (q *questions) again(name string, more bool) bool {
	a := q.ask(fmt.Sprintf("Elevation of %s with its unit, %s so far%s", name, q.of.Survey.Benchmarks[name], emptyMeans(more)), "", aLength)
	if a == "" {
		return false
	}
	q.of.Survey.Benchmarks = maps.Clone(q.of.Survey.Benchmarks)
	q.of.Survey.Benchmarks[name] = a
	return true
}

// settled asks for one option that a refusal is about, found as its hints show it among
// flags, and reports whether it was answered. More says that another question follows.
func (q *questions) settled(one question, found, refusal string, hints, flags []string, more bool) bool {
	flag, example, _ := strings.Cut(found, " ")
	example = strings.Trim(example, `"`)
	if slices.ContainsFunc(hints, func(h string) bool { return strings.Contains(h, "leave "+flag+" out") }) {
		if q.ask("Leave that out: yes or no", "yes", yesOrNo) != "yes" || q.over {
			return false
		}
		one.clear(&q.of)
		return true
	}
	if flag == "--benchmark" {
		return q.benchmark(refusal, example, emptyMeans(more))
	}
	if slices.Contains([]string{"--sheet", "--outline-sheet", "--surface", "--grid-origin"}, flag) {
		var all []string
		for _, f := range flags {
			if _, value, _ := strings.Cut(f, " "); optionOf(f) == flag && value != "" && value != "NAME" {
				all = append(all, strings.Trim(value, `"`))
			}
		}
		if len(all) > 0 {
			one.text += ", such as " + strings.Join(all, " or ")
		}
	}
	a := q.ask(one.text+emptyMeans(more), "", one.check)
	return a != "" && one.answer(&q.of, a)
}

// marksIn returns which of the benchmarks that were given a refusal names, as that of a
// level book which does not close on them does.
func (q *questions) marksIn(refusal string) []string {
	var out []string
	for _, name := range slices.Sorted(maps.Keys(q.of.Survey.Benchmarks)) {
		whole := regexp.MustCompile(`(^|[^\pL\pN._-])` + regexp.QuoteMeta(name) + `($|[^\pL\pN._-])`)
		if whole.MatchString(refusal) {
			out = append(out, name)
		}
	}
	return out
}

// shortly is a refusal without what repeats itself line by line.
func shortly(text string) string {
	const most = 3
	lines := strings.Split(text, "\n")
	if len(lines) <= most+1 {
		return text
	}
	return strings.Join(lines[:most], "\n") + fmt.Sprintf("\nand %d more like these", len(lines)-most)
}

// benchmark asks for one: for its elevation, where the refusal shows its name.
func (q *questions) benchmark(refusal, example, empty string) bool {
	marks := &q.of.Survey.Benchmarks
	wrong := ""
	for of := range *marks {
		if strings.HasPrefix(refusal, "--benchmark "+of+":") {
			wrong = of
		}
	}
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
		empty = "; empty: leave " + wrong + " out"
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

// answer sets a field, in place of what was refused; false where it then is as it was.
func (one *question) answer(j *job.Job, text string) bool {
	f, _ := job.ByFlag(one.flag)
	v := f.Value(j)
	switch old := v.Addr().Interface().(type) {
	case *bool:
		was := *old
		*old = text == "yes"
		return *old != was
	case *map[string]string: // another answer for one of several
		if name, _, named := strings.Cut(text, "="); named {
			delete(*old, name)
			delete(*old, "")
		} else {
			clear(*old)
		}
	default:
		v.SetZero()
	}
	return f.Set(j, text) == nil
}

func (one *question) clear(j *job.Job) {
	f, _ := job.ByFlag(one.flag)
	f.Value(j).SetZero()
}

// hintsOf lists what an error says to type.
func hintsOf(err error) []string {
	hints := survey.Hints(err)
	var u *job.UsageError
	if errors.As(err, &u) && u.Hint != "" {
		hints = append(hints, u.Hint)
	}
	return hints
}

// asker asks questions on a terminal, or of a pipe.
type asker struct {
	in   *bufio.Scanner
	out  io.Writer
	over bool // no more answers come
	err  error
}

// ask returns the answer, def where it is empty or there are no more. An answer that
// check refuses is asked for again, with the reason.
func (a *asker) ask(question, def string, check func(string) error) string {
	if a.err != nil || a.over {
		return def
	}
	if def != "" {
		question += " [" + def + "]"
	}
	for {
		if _, a.err = fmt.Fprintf(a.out, "%s: ", question); a.err != nil || !a.in.Scan() {
			a.over, a.err = true, cmp.Or(a.err, a.in.Err())
			return def
		}
		answer := strings.TrimSpace(a.in.Text())
		if n := len(answer); n > 1 && answer[0] == '"' && answer[n-1] == '"' {
			answer = answer[1 : n-1] // a name as messages quote it
		}
		if answer = cmp.Or(answer, def); answer == "" {
			return ""
		}
		err := check(answer)
		if err == nil {
			return answer
		}
		text := err.Error()
		if hints := hintsOf(err); len(hints) > 0 {
			text += "\nhint: " + strings.Join(hints, "\nhint: ")
		}
		if _, a.err = fmt.Fprintln(a.out, report.Printable(text)); a.err != nil {
			return def
		}
	}
}

// wanted refuses an answer.
func wanted(found, want string) error {
	return &survey.Error{Found: fmt.Sprintf("%q", found), Want: want}
}

func anything(string) error { return nil }

// aLength takes a number with or without a unit: reading the survey settles what a bare
// one is, or refuses it.
func aLength(text string) error {
	if _, err := unit.Parse(text, unit.None); err != nil && !errors.Is(err, unit.ErrNoUnit) {
		return wanted(text, "a length with its unit, such as 10.02m or 99.93ft")
	}
	return nil
}

// lengthsOf takes a list of lengths, with a name before it or none.
func lengthsOf(least, most int) func(string) error {
	return func(text string) error {
		_, list, _ := job.EachLength(text)
		parts := strings.Split(list, ",")
		if len(parts) < least || len(parts) > most || slices.ContainsFunc(parts, func(p string) bool { return aLength(strings.TrimSpace(p)) != nil }) {
			return wanted(text, map[int]string{1: "a length with its unit, such as 3m or 10ft, or two with a comma between", 2: "two lengths with a comma between, such as 12m,0m"}[least])
		}
		return nil
	}
}

func aUnit(text string) error {
	if _, ok := unit.ParseLength(text); !ok {
		return wanted(text, "m, cm, mm, ft, ftUS or in")
	}
	return nil
}

func aBenchmark(text string) error {
	name, elevation, ok := strings.Cut(text, "=")
	if !ok || name == "" || aLength(elevation) != nil {
		return wanted(text, "NAME=ELEVATION with its unit, such as BM1=100ft")
	}
	return nil
}

func aFile(name string) error {
	if info, err := os.Stat(name); err != nil || info.IsDir() {
		return wanted(name, "a file that is there")
	}
	return nil
}

func aBearing(text string) error {
	if text == "ground" || text == "suspended" {
		return nil
	}
	return wanted(text, "ground, suspended, or nothing")
}

func yesOrNo(text string) error {
	if text == "yes" || text == "no" {
		return nil
	}
	return wanted(text, "yes or no")
}

// codesOf lists the codes of shots, each once.
func codesOf(points []survey.Point) []string {
	var out []string
	for _, p := range points {
		if p.Code != "" && !slices.Contains(out, p.Code) {
			out = append(out, p.Code)
		}
	}
	return out
}
