package report

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// markName is the name of a place on the map and in the list.
func markName(m *flatness.Spot) string {
	if m.High {
		return fmt.Sprintf("H%d", m.Number)
	}
	return fmt.Sprintf("L%d", m.Number)
}

// taskOf returns the work at a place.
func taskOf(m *flatness.Spot) string {
	switch {
	case m.NotMeasured:
		return "not measured there: shoot it first"
	case m.High && m.Passes == 1:
		return "grind, 1 pass"
	case m.High:
		return fmt.Sprintf("grind, %d passes", m.Passes)
	case m.Bags > 0:
		return "fill, " + survey.Plural(m.Bags, "bag")
	}
	return "fill"
}

// addMarks writes the work to do and its consequences, and but in a record what to check first.
func addMarks(j *job.Judged, style unit.Style, rows *facts, record bool) {
	if j.Floor == nil {
		return
	}
	w := j.Work
	if len(w.Spots)+w.Small == 0 {
		if j.LevelLack().In(style) != "" {
			rows.add("To do", "nothing at the shots: each is within %s of the plane", fine(j.Tol, style))
			return
		}
		rows.add("To do", "nothing: the floor is within %s of the plane", fine(j.Tol, style))
		return
	}
	small := ""
	if w.Small > 0 {
		small = fmt.Sprintf("%s smaller than %s each, %s in all", survey.Plural(w.Small, "place"), style.Area(j.LeastArea), style.Area(w.SmallArea))
	}
	tasks := tasksOf(j, style)
	if len(tasks) == 0 {
		rows.add("To do", "nothing to list: %s", small)
		return
	}
	rows.add("To do", "%s%s to come within ±%s", betweenShots(j, style), strings.Join(tasks, ", "), fine(j.Tol, style))
	const much = 0.25 // of the tolerance; own choice
	if off := job.In90(j.Accuracy.Setup); !record && !j.Fitted && off >= much*j.Tol {
		rows.add("", "check the instrument's height first: its error, up to %s (90 %%), moves all of this", fine(off, style))
	}
	addRaised(j, style, rows)
	if small != "" {
		rows.add("", "not listed: %s", small)
	}
}

// addPlaced writes the volume placed, and how it compares with the order.
func addPlaced(j *job.Judged, style unit.Style, rows *facts) {
	p := j.Placed
	if p == nil {
		return
	}
	rows.add("Placed", "%s net over %s, mean %s; max %s at %s, min %s at %s", style.Volume(p.Net), style.Area(p.Area), style.Depth(p.Mean), style.Depth(p.Most), job.Beside(j.Floor, p.MostAt).In(style), style.Depth(p.Least), job.Beside(j.Floor, p.LeastAt).In(style))
	if p.Ordered > 0 {
		what := "left over, lost in pump and hopper, or thicker than surveyed"
		if p.Remainder < 0 {
			what = "more was placed than was ordered"
		}
		given := "given as " + unit.Flag("ordered").String()
		if j.InJob {
			given = "as given in the job"
		}
		rows.add("", "ordered %s, %s; less %s placed: %s, %s", style.Volume(p.Ordered), given, style.Volume(p.Net), style.Volume(p.Remainder), what)
		if off := j.TakenOff.In(style); off != "" {
			rows.add("", "the take-off of this job: %s", off)
		}
	}
	if p.LostArea > 0 {
		rows.add("", "%s of it is lower than before, %s: settled, or surveyed differently", style.Area(p.LostArea), style.Volume(p.Lost))
	}
}

// addNoBed asks for what the bed under the covering is calculated from.
func addNoBed(j *job.Judged, rows *facts) {
	if !j.Covered || j.Bed != nil || j.Floor == nil {
		return
	}
	how := fmt.Sprintf("%s Z or %s CODE with %s L, in place of %s", unit.Flag("finish"), unit.Flag("finish-code"), unit.Flag("buildup"), unit.Flag("target"))
	if j.InJob {
		how = "target.finish or target.finish-codes with target.buildup, in place of target.elevation"
	}
	rows.add("Bed", "not known: it takes the finished level. Set the target from that: %s", how)
}

// addBed writes the bed under the covering, and where it is too thin or too thick.
func addBed(j *job.Judged, style unit.Style, rows *facts) {
	v := j.Bed
	if v == nil {
		return
	}
	rows.add("Bed", "%s to bring the covering to the finished level; thickness %s to %s, mean %s", style.Volume(v.Volume), style.Depth(v.Least), style.Depth(v.Greatest), style.Depth(v.Mean))
	if v.Proud > 0 {
		rows.add("", "the floor is too high for the covering by up to %s", style.Depth(-v.Least))
	}
	if l := j.Covering; v.Least < l.Least-unit.Noise {
		rows.add("", "thinner than the min bed of %s by up to %s", style.Depth(l.Least), style.Depth(l.Least-v.Least))
	}
	if l := j.Covering; l.Greatest > 0 && v.Greatest > l.Greatest+unit.Noise {
		rows.add("", "thicker than the max bed of %s by up to %s", style.Depth(l.Greatest), style.Depth(v.Greatest-l.Greatest))
	}
}

// tasksOf gives how much there is to grind and to fill, each if it is large enough to list.
func tasksOf(j *job.Judged, style unit.Style) (tasks []string) {
	w := j.Work
	write := handVolumesLike(style, w.Grind, w.Fill)
	if w.GrindArea > 0 && w.GrindArea >= j.LeastArea {
		tasks = append(tasks, fmt.Sprintf("grind %s of floor (%s)", style.Area(w.GrindArea), write(w.Grind)))
	}
	if w.FillArea > 0 && w.FillArea >= j.LeastArea {
		tasks = append(tasks, fmt.Sprintf("fill %s (%s)", style.Area(w.FillArea), write(w.Fill)))
	}
	return tasks
}

// addRaised writes how much higher the plane must be to save the grinding, and what the
// lows take then.
func addRaised(j *job.Judged, style unit.Style, rows *facts) {
	c := j.Raised
	if c == nil || j.Work.GrindArea < j.LeastArea || c.Offset <= 0 {
		return
	}
	write := handVolumesLike(style, c.Grind, c.Fill)
	left := "nothing needs grinding"
	if c.Grind > 1e-9 {
		left = write(c.Grind) + " is left to grind"
	}
	least := 0.0001 // m, the last digit shown
	if style.Imperial {
		least = 0.0254 / 64
	}
	switch {
	case j.Off.Highest-j.Tol < least/2:
		rows.add("", "no high exceeds it by %s", fine(least, style))
	case c.Offset >= least/2:
		rows.add("", "grinding is the last resort: with the plane %s higher %s, and the lows take %s; the deepest place is then %s", fine(c.Offset, style), left, write(c.Fill), sideOfIt(-c.Deepest, style))
	}
}

// lists reports whether highs and lows make a table.
func lists(j *job.Judged) bool {
	if j.Floor == nil || len(j.Work.Spots) == 0 {
		return false
	}
	w := j.Work
	return w.GrindArea > 0 && w.GrindArea >= j.LeastArea || w.FillArea > 0 && w.FillArea >= j.LeastArea
}

// printMarks prints highs and lows with their places, and what to do about them.
func printMarks(j *job.Judged, b *bytes.Buffer, style unit.Style) {
	if !lists(j) {
		return
	}
	const most = 30
	t := placesTable(j, style).Pick("Place", "At", "From two walls", "From plane", "Area", "Volume", "To do")
	fmt.Fprintf(b, "\n%s", firstRows(t, most))
}

// fine writes a gap to finer steps than depths: gaps are a millimetre or two.
func fine(m float64, style unit.Style) string {
	if style.Imperial {
		style.Denominator = 64
		return style.Depth(m)
	}
	return strconv.FormatFloat(m*1e3, 'f', 1, 64) + " mm"
}

// sideOf writes a departure in words.
func sideOf(m float64, style unit.Style) string {
	switch size := fine(math.Abs(m), style); {
	case size == fine(0, style):
		return size // zero has no side
	case m < 0:
		return size + " below"
	default:
		return size + " above"
	}
}

// sideOfIt writes a departure in words, from a plane that is named before it.
func sideOfIt(m float64, style unit.Style) string {
	text := sideOf(m, style)
	if text == fine(0, style) {
		return "level with it"
	}
	return text + " it"
}

// notZero writes a value too small for its digits as less than the last digit.
func notZero(text string) string {
	number, of, ok := strings.Cut(text, " ")
	if !ok || strings.ContainsAny(number, "123456789") {
		return text
	}
	return "less than " + number[:len(number)-1] + "1 " + of
}

// smallest writes a fraction of a millimetre, or 1/64 in.
func smallest(m float64, style unit.Style) string {
	if style.Imperial {
		if text := fine(m, style); m == 0 || text != fine(0, style) {
			return text
		}
		return "less than 1/64\""
	}
	return strconv.FormatFloat(m*1e3, 'f', 2, 64) + " mm"
}

// noRange is the interval of a run: one does not show how the floor differs from place to place.
var noRange = flatness.Interval{Low: flatness.F(math.NaN()), High: flatness.F(math.NaN())}

func ranged(f flatness.F, i flatness.Interval) string {
	if f.Infinite() {
		return "no departure"
	}
	if !i.Known() {
		return f.String()
	}
	if i.Low == 0 {
		return fmt.Sprintf("%s (up to %s)", f, i.High)
	}
	return fmt.Sprintf("%s (%s to %s)", f, i.Low, i.High)
}

// numbersInBrief writes the F-numbers of a floor with their intervals, without the reason where
// there is none.
func numbersInBrief(w *flatness.Whole) string {
	one := func(f flatness.F, i flatness.Interval) string {
		if i.Known() {
			return ranged(f, i)
		}
		return ranged(f, i) + " (interval not known)"
	}
	text := fmt.Sprintf("FF %s, FL %s", one(w.FF, w.FFRange), one(w.FL, w.FLRange))
	if w.FFRange.Known() || w.FLRange.Known() {
		text += "; brackets: 90 % interval"
	}
	return text
}

// flatRows are the figures of a floor as judged. A record does not ask for more input.
func flatRows(j *job.Judged, style unit.Style, record bool) []AnswerRow {
	var rows facts
	addPlane(j, style, &rows)
	addEdges(j, style, &rows)
	addAccuracy(j, style, &rows, record)
	addRuns(j, &rows, style)
	addChords(j, style, &rows)
	addPlaced(j, style, &rows)
	if !record {
		addNoBed(j, &rows)
	}
	addBed(j, style, &rows)
	addMarks(j, style, &rows, record)
	return rows
}

// FlatnessText writes everything.
func FlatnessText(j *job.Judged, style unit.Style, out string, written []Output) []byte {
	var b bytes.Buffer
	var rows facts
	head := "Warning"
	for _, n := range j.Notes {
		if n.Kind == survey.Warning && n.Topic == survey.AboutFlatness {
			rows.add(head, "%s", noteLine(n, style))
			head = ""
		}
	}
	fmt.Fprintf(&b, "%s\n\n%s", Printable(j.Title), listed(slices.Concat(rows, flatRows(j, style, false), waterRows(standingOf(j), style))))
	printRuns(j, &b, style)
	printMarks(j, &b, style)
	if w := j.Doors; w != nil && len(w.Thresholds) > 0 && !j.InJob { // a job has listed its thresholds with the fill
		fmt.Fprintf(&b, "\n%s", plain(terminalThresholds(w, style)))
	}
	printClasses(&b, j, style)
	printWater(standingOf(j), &b, style)
	if len(written) > 0 {
		fmt.Fprintf(&b, "\nWritten to %s:", out)
		for _, o := range written {
			fmt.Fprintf(&b, " %s", o.Name)
		}
		fmt.Fprintf(&b, "\n")
	}
	say(&b, j.Notes, map[survey.Topic]bool{survey.AboutFlatness: true}, style)
	return b.Bytes()
}

// addPlane writes how far the floor is from its plane.
func addPlane(j *job.Judged, style unit.Style, rows *facts) {
	if j.Floor == nil {
		return
	}
	what := "target plane"
	if _, plane := surface.IsPlane(j.Target); !plane {
		what = "target"
	}
	if j.Fitted {
		what = fmt.Sprintf("its own plane (least squares; %s compares it with yours)", unit.Flag("target"))
	}
	rows.add("Against", "%s, %s%s", what, designText(j.Design, j.Target, j.Floor, style), job.RampsText(j.Ramps).In(style))
	if text := bestText(j.Best, fewLimits, style); text != "" {
		rows.add("Least cost", "%s", text)
	}
	end := func(off float64, at surface.Vec, estimated bool) string {
		text := sideOf(off, style) + " at " + job.Beside(j.Floor, at).In(style)
		if estimated {
			text += " (estimated at the wall)"
		}
		return text
	}
	rows.add("Departures", "highest %s, lowest %s", end(j.Off.Highest, j.Off.HighestAt, j.Off.AtWall[0]), end(j.Off.Lowest, j.Off.LowestAt, j.Off.AtWall[1]))
	rows.add("", "%s", withinText(j, style))
}

// Verdict is the result for the floor in one sentence.
func Verdict(j *job.Judged, style unit.Style) string { return verdict(j, shareRange(j), style) }

// verdict is [Verdict] with the range of the share within the tolerance, or without it where a table
// beside it has that.
func verdict(j *job.Judged, within string, style unit.Style) string {
	count, doubts := map[string]int{}, map[string][3]int{}
	rules, skipped := rulings(j, style)
	for _, r := range rules {
		count[r.outcome]++
		n := doubts[r.outcome]
		n[r.doubt]++
		doubts[r.outcome] = n
	}
	counted := func(outcome string) string {
		text := fmt.Sprintf("%d %s", count[outcome], outcome)
		var parts []string
		if n := doubts[outcome][inDoubt]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d could go either way", n))
		}
		if n := doubts[outcome][unsure]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d without an interval", n))
		}
		if parts != nil {
			text += " (" + strings.Join(parts, ", ") + ")"
		}
		return text
	}
	kept := "standards: " + counted(flatness.Pass.String()) + ", " + counted(flatness.Fail.String())
	if count[partly] > 0 {
		kept += ", " + counted(partly)
	}
	n, why := lackings(j, rules, len(skipped), style)
	switch judged := count[flatness.Pass.String()] + count[flatness.Fail.String()] + count[partly]; {
	case n == 1 && judged == 0:
		kept = "no verdict by the standard"
	case n > 0 && judged == 0:
		kept = fmt.Sprintf("no verdict by any of %d standards", n)
	case n > 0:
		kept += fmt.Sprintf(", %d not measured", n)
	}
	if why != "" {
		kept += " (" + why + ")"
	}
	if j.Floor == nil {
		return kept
	}
	of := "the target"
	if j.Fitted {
		of = "its own plane"
	}
	if lack := j.LevelLack().In(style); lack != "" {
		return fmt.Sprintf("not measured for the whole floor: %s. %s within ±%s of %s; %s", lack, nearShots(j), fine(j.Tol, style), of, kept)
	}
	return fmt.Sprintf("%s of the floor within ±%s of %s%s; %s", unit.Percent(j.Off.Within), fine(j.Tol, style), of, within, kept)
}

// What a terminal shows of flatness without --verbose.
const (
	mostFlatLines  = 40
	mostFlatPlaces = 6
	mostFlatRules  = 6 // that fail, with their figures
)

// FlatnessInShort writes the verdict first, in at most [mostFlatLines] lines.
func FlatnessInShort(j *job.Judged, style unit.Style, out string, written []Output) []byte {
	rules, skipped := rulings(j, style)
	all := Verdict(j, style)
	if len(rules) == 0 {
		all += ": nothing was measured that a rule asks for"
	}
	rows := []AnswerRow{{Head: "Verdict", Text: all, Topic: survey.AboutFlatness}}
	var more []string
	by := map[string][]string{}
	failed, shown := 0, 0
	var also []string // failed, by name alone
	for _, r := range rules {
		if r.outcome != flatness.Fail.String() {
			key := r.outcome
			switch r.doubt {
			case inDoubt:
				key += eitherWay
			case unsure:
				key += notKnown
			}
			by[key] = append(by[key], strings.Split(r.name, ", ")...)
			continue
		}
		// Only failures, and the first place of each: the others are in the table.
		i := slices.IndexFunc(r.parts, func(p string) bool { return strings.HasPrefix(p, "FAIL ") })
		if failed++; failed > mostFlatRules || style.Imperial && strings.Contains(r.parts[i], " mm") {
			also = append(also, strings.Split(r.name, ", ")...) // standards in mm are not those of a job in feet
			continue
		}
		rows = append(rows, AnswerRow{Head: "Fail", Text: r.name + ": " + strings.TrimPrefix(r.parts[i], "FAIL ")})
		shown++
	}
	if len(also) > 0 {
		text := fmt.Sprintf("%s (%s has the figures)", strings.Join(also, ", "), unit.Flag("verbose"))
		if shown > 0 {
			text = "also " + text
		}
		rows = append(rows, AnswerRow{Head: "Fail", Text: text})
	}
	for _, p := range []struct{ key, head, text string }{
		{flatness.Pass.String(), "Pass", ""},
		{flatness.Pass.String() + eitherWay, "Pass", eitherWay + ": "},
		{flatness.Pass.String() + notKnown, "Pass", notKnown + ": "},
		{partly, "Partly", fmt.Sprintf("checked, within the limit so far; %s lists what was not measured: ", unit.Flag("verbose"))},
		{partly + eitherWay, "Partly", "checked, within the limit so far, " + eitherWay + ": "},
		{partly + notKnown, "Partly", "checked, within the limit so far, " + notKnown + ": "},
	} {
		if names := by[p.key]; names != nil {
			rows = append(rows, AnswerRow{Head: p.head, Text: p.text + strings.Join(names, ", ")})
		}
	}
	if n := len(by[flatness.NotMeasured.String()]) + len(skipped); n > 0 {
		more = append(more, survey.Plural(n, "rule")+" not measured")
	}
	rows = append(rows, waterRows(standingOf(j), style)...)
	rows = append(rows, flatRows(j, style, false)...)
	if w := j.Doors; w != nil && len(w.Thresholds) > 0 {
		rows = append(rows, AnswerRow{Head: "Thresholds", Text: doorsInShort(w, style)})
	}
	tail := writtenInShort(out, written)
	room := mostFlatLines - len(tail) - 4 // title, two blank lines, count of what is left out
	places := 0                           // the list of what to grind and fill is always there
	if lists(j) {
		places = min(len(j.Work.Spots), mostFlatPlaces)
		room -= places + 2 // blank line, head
	}
	figures := 0
	for i, r := range rows {
		if room -= len(r.lines()); room < 0 {
			figures = len(rows) - i
			rows = rows[:i]
			break
		}
	}
	if figures > 0 {
		more = append(more, survey.Plural(figures, "line")+" of figures")
	}
	if places > 0 {
		rows = append(rows, AnswerRow{table: placesInShort(j, places, style)})
		if n := len(j.Work.Spots) - places; n > 0 {
			more = append(more, survey.Plural(n, "place"))
		}
	}
	var b bytes.Buffer
	Brief{style: style, Title: j.Title, Rows: rows, Notes: j.Notes, more: more, Tail: tail, Most: mostFlatLines}.Print(&b)
	return b.Bytes()
}

// placesInShort is the table of the first n places, as wide as a terminal.
func placesInShort(j *job.Judged, n int, style unit.Style) []string {
	t := placesTable(j, style).Pick("Place", "From two walls", "From plane", "Area", "To do")
	t.Rows = t.Rows[:n]
	lines := []string{""}
	for _, line := range table.Plain(t, 2) {
		lines = append(lines, table.Cut(line, mostWide))
	}
	return lines
}

// printRuns prints F-numbers run by run, the sections and the rules of sampling.
func printRuns(j *job.Judged, b *bytes.Buffer, style unit.Style) {
	w := j.Whole
	if w == nil {
		return
	}
	const most = 40
	fmt.Fprintf(b, "\n%s", firstRows(runTable(w, style), most))
	for _, sec := range w.Sections {
		name := "Rules of sampling"
		if sec.Name != "" {
			name += ", " + sec.Name
		}
		wanted := "; how many are wanted is not known without the area"
		if sec.Required > 0 {
			wanted = fmt.Sprintf(" of %d wanted", sec.Required)
		}
		fmt.Fprintf(b, "\n%s (%d differences%s%s)\n", Printable(name), sec.Differences, wanted, basis(sec.Basis))
		for _, u := range sec.Rules {
			fmt.Fprintf(b, "  %-9s %s: %s (%s)\n", u.Met, u.Rule, Printable(u.Found), u.Source)
		}
	}
}
