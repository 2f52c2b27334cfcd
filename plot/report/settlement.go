package report

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/plot"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/surface/settlement"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// month is the mean month, in days.
const month = 365.25 / 12

// Cautions of every comparison, and of a floor that moves.
const (
	sinkingMark = "A benchmark on the same slab or footing sinks with it, and the surveys then show less than there is: check it against one outside the building"
	stopAndAsk  = "Do not fill or pour over a floor that moves. Find and stop the cause first: loose or washed-out fill, a leaking drain or water line, a footing, soil that shrinks or swells. Have a licensed engineer look at it; local codes apply"
)

// lowerBy writes a change with its direction.
func lowerBy(m float64, style unit.Style) string {
	switch size := tiny(math.Abs(m), style); {
	case size == tiny(0, style):
		return size
	case m < 0:
		return size + " lower"
	default:
		return size + " higher"
	}
}

// tiny writes the size of a change: to 0.1 mm, or to 1/64 in.
func tiny(m float64, style unit.Style) string {
	if text := fine(m, style); !style.Imperial || m == 0 || text != fine(0, style) {
		return text
	}
	return `less than 1/64"`
}

// changed writes a change with half its 90 % interval.
func changed(m settlement.Moved, style unit.Style) string {
	if !m.Known() {
		return lowerBy(m.Change, style) + ", ± not measured"
	}
	return lowerBy(m.Change, style) + " ± " + tiny(m.Half(), style)
}

// howSure writes how sure it is that something moved.
func howSure(l settlement.Level) string {
	if l == settlement.NotShown {
		return "not shown to have moved"
	}
	return fmt.Sprintf("moved (%d %%)", l)
}

// notShown writes why a change is not shown that is more than its own ±, or nothing.
func notShown(past bool, w *settlement.Comparison) string {
	if !past {
		return ""
	}
	return ": it is past its own ±, but " + byChance(w)
}

// byChance is how many of all figures are past their own ± by error alone.
func byChance(w *settlement.Comparison) string {
	return fmt.Sprintf("error alone puts about %.0f of the %d figures looked at past theirs", max(1, math.Round(0.1*float64(w.Tests()))), w.Tests())
}

// unseen is the change of a place that would be shown in 9 of 10 cases: against the others, m, and
// in elevation.
func unseen(against float64, c *settlement.Comparison, style unit.Style) string {
	return fmt.Sprintf("moved less than %s against the others, or %s in elevation, may not show", tiny(against, style), tiny(c.SeenAt, style))
}

// unshownText is what there is to know of the places that are not shown to have moved: the change
// that would show, unless the verdict has it, and which of them are past their own ±.
func unshownText(r *job.Settled, style unit.Style) string {
	w, n := r.Whole, 0
	var past []string
	for _, p := range sortedPlaces(r) {
		if p.Total.Level > settlement.NotShown || p.Relative.Level > settlement.NotShown {
			continue
		}
		n++
		if p.Total.PastItsInterval() || p.Relative.PastItsInterval() {
			past = append(past, r.NameOf(p.Index).In(style))
		}
	}
	var out []string
	if n > 0 && w.Any() > settlement.NotShown {
		out = append(out, fmt.Sprintf("%d of %s: one that %s", n, survey.Plural(len(w.Places), "place"), unseen(w.SeenRel, w, style)))
	}
	const most = 6 // names
	if k := len(past); k > most {
		past = append(past[:most:most], fmt.Sprintf("%d more", k-most))
	}
	if len(past) > 0 {
		out = append(out, fmt.Sprintf("%s changed by more than the ± there, but %s", wordList(past), byChance(w)))
	}
	return strings.Join(out, ". ")
}

// meanVerdict writes whether the mean of the floor is shown to have moved.
func meanVerdict(w *settlement.Comparison) string {
	switch {
	case !w.Mean.Known():
		return survey.Plural(len(w.Places), "place") + " are too few to say what is between them"
	case w.Mean.Level == settlement.NotShown:
		return howSure(w.Mean.Level) + notShown(w.Mean.PastItsInterval(), w)
	}
	return howSure(w.Mean.Level)
}

// meanChange writes the mean change of the floor and whether it is shown.
func meanChange(w *settlement.Comparison, style unit.Style) string {
	join := ", "
	if !w.Mean.Known() {
		join = ": "
	}
	return changed(w.Mean, style) + join + meanVerdict(w)
}

// overMiddle is what moved against the middle of the floor.
const overMiddle = "moved against the middle"

// placeVerdict writes whether a place is shown to have moved, or only against the middle.
func placeVerdict(p settlement.PlaceChange) string {
	switch {
	case p.Total.Level > settlement.NotShown:
		return howSure(p.Total.Level)
	case p.Relative.Level > settlement.NotShown:
		return fmt.Sprintf("%s (%d %%)", overMiddle, p.Relative.Level)
	}
	return "not shown"
}

// movedCount writes how many places are shown to have moved; nothing for none.
func movedCount(r *job.Settled) string {
	are := func(n int) string {
		if n == 1 {
			return "is"
		}
		return "are"
	}
	moved, middle := r.Counts()
	all := survey.Plural(len(r.Whole.Places), "place")
	switch {
	case moved > 0 && middle > 0:
		return fmt.Sprintf("%d of %s %s shown to have moved, %d more only against the middle of the floor", moved, all, are(moved), middle)
	case moved > 0:
		return fmt.Sprintf("%d of %s %s shown to have moved", moved, all, are(moved))
	case middle > 0:
		return fmt.Sprintf("%d of %s %s shown to have moved, but only against the middle of the floor", middle, all, are(middle))
	}
	return ""
}

// settleRows are the lines of figures of a comparison.
func settleRows(r *job.Settled, style unit.Style) (rows facts) {
	w := r.Whole
	rows.add("Verdict", "%s", settleVerdict(r, style))
	for _, text := range settleCautions(r) {
		rows.add("Caution", "%s", text)
	}
	how := survey.Plural(len(w.Places), "place") + " read in the first and the last"
	if v, is := r.BySurface(); is {
		how = fmt.Sprintf("few places in common: %s of %s against the surfaces of the others", survey.Plural(len(w.Places), "shot"), v.Visited())
	}
	rows.add("Compared", "%s, %s; %s", survey.Plural(len(r.Visits), "survey"), r.Basis.In(style), how)
	rows.add("", "%s; every ± is a 90 %% interval", errorsText(r, style))
	between := "not measured"
	if w.Mean.Known() {
		between = tiny(w.BetweenHalf(), style)
	}
	rows.add("Whole floor", "mean %s", meanChange(w, style))
	rows[len(rows)-1].Topic = survey.AboutDepth
	rows.add("", "± by cause: readings %s, set-ups %s, between the shots %s", tiny(settlement.Interval90*w.Reading, style), tiny(settlement.Interval90*w.Setup, style), between)
	rows.add("", "volume %s over %s", lostVolume(r, style), style.Area(r.Area))
	g := w.Greatest(r.Places)
	verdict := fmt.Sprintf("shown (%d %%)", g.Relative.Level)
	if g.Relative.Level == settlement.NotShown {
		verdict = "not shown" + notShown(g.Relative.PastItsInterval(), w)
	}
	rows.add("Differential", "max at %s: %s against the middle of the floor, %s", r.NameOf(g.Index).In(style), changed(g.Relative, style), verdict)
	if p := w.Pair; p.Low != p.High {
		rows.add("", "%s to %s: %s ± %s in %s%s", r.NameOf(p.Low).In(style), r.NameOf(p.High).In(style), tiny(p.Difference, style), tiny(p.Half, style), style.Length(p.Distance), oneIn(p.Distance, p.Difference))
	}
	if t := w.Tilt; t != nil {
		rows.add("Tilt", "%s", tiltText(t, w))
	}
	rows = append(rows, speedRows(r, style)...)
	if text := unshownText(r, style); text != "" {
		rows.add("Not shown", "%s", text)
	}
	return rows
}

// lostVolume writes the volume by which the floor is lower, with its ±.
func lostVolume(r *job.Settled, style unit.Style) string {
	net, off, lost := r.Lower-r.Higher, r.Whole.Mean.Half()*r.Area, "lost"
	if net < 0 {
		lost = "gained"
	}
	if !r.Whole.Mean.Known() {
		return fmt.Sprintf("%s %s, ± not measured,", lost, style.PartVolume(math.Abs(net), math.Abs(net)))
	}
	whole := max(math.Abs(net), off)
	return fmt.Sprintf("%s %s ± %s", lost, style.PartVolume(math.Abs(net), whole), style.PartVolume(off, whole))
}

// oneIn writes a difference over a distance as 1 in N.
func oneIn(distance, difference float64) string {
	if !(difference > 0) || distance/difference > 1e5 {
		return ""
	}
	return fmt.Sprintf(" (1 in %.0f)", distance/difference)
}

// tiltText writes the tilt of the change.
func tiltText(t *settlement.Tilt, w *settlement.Comparison) string {
	if t.Slope() == 0 {
		return "none"
	}
	_, direction := bearingOf(-t.East, -t.North)
	what := "not shown to have tilted" + notShown(t.Alone <= 0.1, w)
	if t.Level > settlement.NotShown {
		what = fmt.Sprintf("tilted (%d %%)", t.Level)
	}
	return fmt.Sprintf("%.3f %% ± %.3f more fall toward %s, %s", 100*t.Slope(), 100*t.SlopeHalf, direction, what)
}

// bearingOf returns a direction in degrees from north and as one of eight words.
func bearingOf(east, north float64) (float64, string) {
	degrees := math.Mod(math.Atan2(east, north)*180/math.Pi+360, 360)
	return degrees, []string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}[int(math.Round(degrees/45))%8]
}

// errorsText writes the errors of the surveys, once where they are the same.
func errorsText(r *job.Settled, style unit.Style) string {
	var all []string
	for _, v := range r.Visits {
		if text := accuracyText(v.Accuracy, style); !slices.Contains(all, text) {
			all = append(all, text)
		}
	}
	if len(all) == 1 {
		return all[0] + " in each"
	}
	for i, v := range r.Visits {
		if i < len(all) {
			all[i] = v.Visited() + ": " + accuracyText(v.Accuracy, style)
		} else {
			all = append(all, v.Visited()+": "+accuracyText(v.Accuracy, style))
		}
	}
	return strings.Join(all, "; ")
}

// settleVerdict is the answer in a sentence.
func settleVerdict(r *job.Settled, style unit.Style) string {
	w, n := r.Whole, len(r.Visits)
	last, before := r.Visits[n-1].Visited(), r.Visits[n-2].Visited()
	moved := "as a whole, though no single place is shown to have moved"
	if some := movedCount(r); some != "" {
		moved = some
	}
	if w.Any() == settlement.NotShown {
		moved = "no change is shown in all"
	}
	floor, shownBy := "The floor", w
	if r.Still.State == job.StillMoves {
		shownBy = r.Steps[n-2]
	}
	if shownBy != nil && shownBy.Alike() {
		floor = "The floor or " + cmp.Or(r.Mark, "its datum")
	}
	switch s := r.Still; {
	case w.Any() == settlement.NotShown && s.State != job.StillMoves:
		return fmt.Sprintf("Not shown to have moved from %s to %s: a place that %s", r.Visits[0].Visited(), last, unseen(w.SeenRel, w, style))
	case s.State == job.StillMoves && n == 2:
		return fmt.Sprintf("%s moved from %s to %s (%d %%): %s", floor, before, last, s.Level, moved)
	case s.State == job.StillMoves:
		return fmt.Sprintf("%s still moves: shown from %s to %s (%d %%); since %s %s", floor, before, last, s.Level, r.Visits[0].Visited(), moved)
	case s.State == job.StillTooShort:
		return fmt.Sprintf("%s moved: %s. From %s to %s is too short to tell whether it stopped: at the rate of before, a survey from %s on can show it", floor, moved, before, last, s.Until.Format("2006-01-02"))
	case s.State == job.StillNotShown:
		return fmt.Sprintf("%s moved: %s. Not shown to have moved from %s to %s: a place that %s", floor, moved, before, last, unseen(s.Seen, r.Steps[n-2], style))
	default:
		return fmt.Sprintf("%s moved: %s. Not known whether it still does: too few places are in the last two surveys", floor, moved)
	}
}

// perMonth writes a rate with its ±.
func perMonth(v settlement.Rate, style unit.Style) string {
	if !v.Known() {
		return lowerBy(v.PerDay*month, style) + " a month, ± not measured"
	}
	return changed(settlement.Moved{Change: v.PerDay * month, SD: v.SD * month, Freedom: v.Freedom}, style) + " a month"
}

// speedRows are the lines of the rates.
func speedRows(r *job.Settled, style unit.Style) (rows facts) {
	s := r.Speeds
	if s == nil {
		rows.add("Rate", "not known: %s gives one date for each survey", unit.Flag("dates"))
		return rows
	}
	if s.Mean.Used > 0 {
		rows.add("Rate", "whole floor %s", perMonth(s.Mean, style))
	}
	if v := s.Rates[s.At]; v.Used > 0 {
		rows.add("", "%s %s", r.NameOf(s.At).In(style), perMonth(v, style))
	}
	for _, v := range []struct {
		name string
		of   *settlement.Intervals
	}{{"whole floor", s.Whole}, {r.NameOf(s.At).In(style) + " against the middle", s.Place}} {
		if v.of == nil {
			continue
		}
		head := "Trend"
		if rows[len(rows)-1].Head == "Trend" {
			head = ""
		}
		rows.add(head, "%s: %s, before that %s: %s", v.name, perMonth(v.of.LastRate(), style), lowerBy(v.of.Before*month, style), trendText(v.of.Trend, v.of.P))
	}
	return rows
}

// trendText says whether a rate has changed, with the highest usual level that shows it: p is the
// probability that it has not.
func trendText(t settlement.Trend, p float64) string {
	level := "90 %"
	switch {
	case p <= 0.001:
		level = "99.9 %"
	case p <= 0.01:
		level = "99 %"
	}
	switch t {
	case settlement.Slower:
		return "slower (" + level + ")"
	case settlement.Faster:
		return "faster (" + level + ")"
	}
	return "not shown to be slower or faster"
}

// settleTable is the list of places, those that moved most first.
func settleTable(r *job.Settled, style unit.Style) table.Table {
	t := table.Table{Columns: columns("Place", "Change>", "Against the middle>", "Verdict")}
	if r.Speeds != nil {
		t.Columns = append(t.Columns, columns("A month>")...)
	}
	for _, p := range sortedPlaces(r) {
		row := text(r.NameOf(p.Index).In(style), changed(p.Total, style), changed(p.Relative, style), placeVerdict(p))
		if r.Speeds != nil {
			v := r.Speeds.Rates[p.Index]
			row = append(row, text(changed(settlement.Moved{Change: v.PerDay * month, SD: v.SD * month}, style))...)
		}
		for i := range row {
			row[i].Text = strings.ReplaceAll(row[i].Text, "less than ", "<") // the table must fit a terminal
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// sortedPlaces lists the compared places: those that moved, those that moved against the middle,
// the others; each by how far they moved against the middle.
func sortedPlaces(r *job.Settled) []settlement.PlaceChange {
	all := slices.Clone(r.Whole.Places)
	slices.SortStableFunc(all, func(a, b settlement.PlaceChange) int {
		p, q := r.Places[a.Index], r.Places[b.Index]
		return cmp.Or(-cmp.Compare(a.Total.Level, b.Total.Level), -cmp.Compare(a.Relative.Level, b.Relative.Level),
			-cmp.Compare(math.Abs(a.Relative.Change), math.Abs(b.Relative.Change)), cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y))
	})
	return all
}

// settleTitle heads the answer.
func settleTitle(r *job.Settled) string {
	title := fmt.Sprintf("Settlement from %s to %s", r.Visits[0].Visited(), r.Visits[len(r.Visits)-1].Visited())
	if r.Title != "" {
		title = r.Title + ": settlement" + strings.TrimPrefix(title, "Settlement")
	}
	return title
}

// SettlementText is the answer on a terminal. Without all, only as many places and notes as
// fit.
func SettlementText(r *job.Settled, style unit.Style, all bool, out string, written []Output) []byte {
	const most = 6 // places
	t := settleTable(r, style)
	if r.Speeds != nil { // the table must fit a terminal
		for _, row := range t.Rows {
			row[3].Text = strings.Replace(row[3].Text, overMiddle, "middle only", 1)
		}
	}
	rows := settleRows(r, style)
	tail := writtenInShort(out, written)
	var b bytes.Buffer
	if all {
		fmt.Fprintf(&b, "%s\n\n%s\n%s", Printable(settleTitle(r)), listed(rows), plain(t))
		for _, line := range tail {
			fmt.Fprintln(&b, line)
		}
		say(&b, r.Notes, nil, style)
		return b.Bytes()
	}
	var more []string
	if n := len(t.Rows) - most; n > 0 {
		t.Rows = t.Rows[:most]
		more = append(more, survey.Plural(n, "place"))
	}
	lines := []string{""}
	for _, line := range table.Plain(t, 2) {
		lines = append(lines, table.Cut(line, mostWide))
	}
	rows = append(rows, AnswerRow{table: lines})
	height := len(tail) + 12 // title, blank lines, the count of what is left out, and some notes
	for _, row := range rows {
		height += len(row.lines())
	}
	Brief{style: style, Title: settleTitle(r), Rows: rows, Notes: r.Notes, more: more, Tail: tail, Most: height}.Print(&b)
	return b.Bytes()
}

// SettlementPlaces is the list of places for a spreadsheet.
func SettlementPlaces(r *job.Settled, style unit.Style) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	name, size := style.Places().String(), style.Places().Metres()
	head := []string{"place", "x_" + name, "y_" + name}
	for k := range r.Visits {
		head = append(head, fmt.Sprintf("elevation_%d_m", k+1))
	}
	head = append(head, "change_m", "change_ci90_m", "shown_percent", "against_middle_m", "against_middle_ci90_m", "against_middle_shown_percent")
	if r.Speeds != nil {
		head = append(head, "rate_m_per_month", "rate_ci90_m_per_month")
	}
	if style.Imperial {
		head = append(head, "change_in", "change_ci90_in")
	}
	w.Write(head)
	num := func(v float64, digits int) string {
		if math.IsNaN(v) {
			return ""
		}
		return strconv.FormatFloat(v, 'f', digits, 64)
	}
	at := map[int]settlement.PlaceChange{}
	for _, p := range r.Whole.Places {
		at[p.Index] = p
	}
	for i, p := range r.Places {
		row := []string{r.Names[i], num(p.X/size, 3), num(p.Y/size, 3)}
		for _, z := range p.Z {
			row = append(row, num(z, 4))
		}
		c, compared := at[i]
		if compared {
			for _, m := range []settlement.Moved{c.Total, c.Relative} {
				row = append(row, num(m.Change, 4), num(m.Half(), 4), strconv.Itoa(int(m.Level)))
			}
		} else {
			row = append(row, "", "", "", "", "", "")
		}
		if r.Speeds != nil {
			if v := r.Speeds.Rates[i]; v.Used > 0 {
				row = append(row, num(v.PerDay*month, 5), num(v.Half()*month, 5))
			} else {
				row = append(row, "", "")
			}
		}
		if style.Imperial {
			inch := unit.Inch.Metres()
			if compared {
				row = append(row, num(c.Total.Change/inch, 3), num(c.Total.Half()/inch, 3))
			} else {
				row = append(row, "", "")
			}
		}
		w.Write(row)
	}
	w.Flush()
	return b.Bytes()
}

// changeMap is the map of the change. Lines of equal change are drawn only where a place would
// be shown to have moved.
func changeMap(r *job.Settled, style unit.Style) *plot.DepthMap {
	w := r.Whole
	m := &plot.DepthMap{
		Title:   settleTitle(r),
		Summary: fmt.Sprintf("Mean %s; each place ± %s", meanChange(w, style), eachPlace(r, style)),
		Note:    "± is a 90 % interval. " + strings.Join(settleCautions(r), ". "),
		Floor:   r.Change, Target: surface.Horizontal(0), Units: style, Departure: true, Change: true, Shots: len(w.Places) <= 400,
	}
	m.Levels = changeLevels(r, style)
	for _, p := range r.Shown() {
		at, how := r.Places[p.Index], lowerBy(p.Total.Change, style)
		if p.Total.Level == settlement.NotShown {
			how = lowerBy(p.Relative.Change, style) + " against the middle"
		}
		m.Ringed = append(m.Ringed, survey.Point{X: at.X, Y: at.Y, Z: at.Z[0]}.Named(r.Names[p.Index]+" "+how))
	}
	return m
}

// eachPlace is the ± of the change at a place, or from the least to the greatest.
func eachPlace(r *job.Settled, style unit.Style) string {
	least, most := math.Inf(1), 0.0
	for _, p := range r.Whole.Places {
		least, most = min(least, p.Total.SD), max(most, p.Total.SD)
	}
	a, b := tiny(settlement.Interval90*least, style), tiny(settlement.Interval90*most, style)
	if a == b {
		return a
	}
	return a + " to " + b
}

// changeLevels are the limits of the bands of a map of changes: the first on either side of
// 0 is what one place must change by to be shown, rounded up to a step of a rule.
func changeLevels(r *job.Settled, style unit.Style) []float64 {
	w := r.Whole
	most := 0.0
	for _, p := range w.Places {
		most = max(most, p.Total.SD)
	}
	limit := settlement.Quantile(1-0.05/float64(2*len(w.Places)+2)) * most
	step := style.Step()
	first := math.Ceil(limit/step) * step
	least, greatest := r.Change.Depths(surface.Horizontal(0))
	width := step
	for max(greatest, -least)/width > 5 {
		width *= 2
	}
	out := []float64{-first, first}
	for v := first + width; v < max(greatest, -least)+width; v += width {
		out = append(out, v, -v)
	}
	slices.Sort(out)
	return out
}
