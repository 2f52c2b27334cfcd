package report

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/plot/table"
	"pourplane/surface/flatness"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// ListRules prints the limits, rule by rule, no line wider than a terminal. Each figure is in
// the unit it is published in, with the other in brackets.
func ListRules() []byte {
	var b bytes.Buffer
	line := func(head, body string) {
		for _, l := range table.Hang(head, Printable(body), mostWide) {
			fmt.Fprintln(&b, l)
		}
	}
	fmt.Fprintf(&b, "Limits as published, the other unit in brackets, and how each is known\n\n")
	last := ""
	for _, r := range flatness.Limits() {
		standard := r.Standard
		if r.Edition == flatness.NotStated {
			standard += ", edition not stated"
		} else if r.Edition != "" {
			standard += " " + r.Edition
		}
		if head := r.Name + standard + r.Class; head != last {
			last = head
			line(fmt.Sprintf("%-24s ", r.Name), standard+": "+r.Class)
		}
		known := ""
		if r.Known != "" {
			known = " (" + r.Known + ")"
		}
		line("    ", ruleMeasure(r)+": "+ruleLimit(r)+known)
	}
	return b.Bytes()
}

// ruleLimit writes the limit of a rule.
func ruleLimit(r flatness.Row) string {
	switch {
	case r.Kind <= flatness.ByLocalFL && r.Local:
		return fmt.Sprintf("%.3g", r.Limit*0.6)
	case r.Kind <= flatness.ByLocalFL:
		return fmt.Sprintf("%g", r.Limit)
	case r.Kind == flatness.BySupports:
		return "by the distance of the supports"
	case r.Limit <= 0:
		return "by length"
	}
	const half = 1e-9 // mm: 3.175 is a little less as a float64, and is 3.18
	return bothUnits(r.Limit, fmt.Sprintf("%.3g mm", r.Limit*1e3+half), fine(r.Limit, unit.Style{Imperial: true}))
}

// ruleMeasure writes what a rule measures.
func ruleMeasure(r flatness.Row) string {
	measure := r.Kind.String()
	if r.Length > 0 {
		measure += ", " + bothUnits(r.Length, fmt.Sprintf("%.4g m", r.Length), unit.Style{Imperial: true}.Length(r.Length))
	}
	if r.Share > 0 {
		measure += fmt.Sprintf(", %.3g %% of it", r.Share*100)
	}
	return measure
}

// inInches reports whether a length of a rule is published in inches.
func inInches(m float64) bool {
	n := m / unit.Inch.Metres() * 32
	return math.Abs(n-math.Round(n)) < 1e-6
}

// bothUnits writes a length of a rule as published, with the other unit in brackets. The
// nearest 1/64 in could be larger than a metric limit, so that is decimal.
func bothUnits(m float64, metric, inches string) string {
	if inInches(m) {
		return fmt.Sprintf("%s (%s)", inches, metric)
	}
	if feet := m / unit.Foot.Metres(); feet > 1 {
		return fmt.Sprintf("%s (%.2f ft)", metric, feet)
	}
	return fmt.Sprintf("%s (%.3f in)", metric, m/unit.Inch.Metres())
}

// ofUnits reports whether a rule is published in the units of a survey. F-numbers are used
// where feet are.
func ofUnits(r flatness.Row, style unit.Style) bool {
	feet := r.Kind <= flatness.ByLocalFL
	if !feet && r.Kind != flatness.BySupports && r.Limit > 0 {
		feet = inInches(r.Limit) && inInches(r.Length)
	}
	return feet == style.Imperial
}

// ruleLength writes a length required by a rule: whole inches in a job in feet, otherwise
// metres, which such a rule is written in.
func ruleLength(m float64, style unit.Style) string {
	if inches := m / unit.Inch.Metres(); style.Imperial && math.Abs(inches-math.Round(inches)) < 1e-6 {
		return style.Length(m)
	}
	return strconv.FormatFloat(m, 'g', 4, 64) + " m"
}

func basis(text string) string {
	if text == "" {
		return ""
	}
	return "; based on " + text
}

// ruling is a rule and its result.
type ruling struct {
	name, what, outcome string // pass, fail, partly, or not measured, of all rules that lack the same readings
	parts               []string
	apart               bool // not measured because readings are too far apart
	doubt               doubt
}

// doubt is whether another survey could give the other outcome.
type doubt uint8

const (
	noDoubt doubt = iota
	unsure        // not known, because an F-number has no interval
	inDoubt       // of a pass one limit, of a fail all that it fails, are inside the interval
)

func doubtOf(v *flatness.Verdict) doubt {
	switch {
	case v.InDoubt:
		return inDoubt
	case v.Unsure != "":
		return unsure
	}
	return noDoubt
}

// ruleGroup is a rule while its measures are gathered.
type ruleGroup struct {
	ruling
	missing []string
	foreign bool    // published in other units than those of the survey
	length  float64 // m of the shortest straightedge that readings are too far apart for; 0: none
	lack    ruling  // what its measures lack, if known: of that straightedge first
}

// groupsOf gathers the measures of each rule, first of the rules published in the units of
// the survey.
func groupsOf(j *job.Judged, style unit.Style) (groups []*ruleGroup) {
	byName := map[string]*ruleGroup{}
	for i := range j.Verdicts {
		v := &j.Verdicts[i]
		g := byName[v.Row.Name]
		if g == nil {
			what := v.Row.Standard
			if v.Row.Class != "" {
				what += ", " + v.Row.Class
			}
			g = &ruleGroup{ruling: ruling{name: v.Row.Name, what: what, outcome: flatness.Pass.String()}, foreign: !ofUnits(v.Row, style)}
			byName[v.Row.Name] = g
			groups = append(groups, g)
		}
		switch {
		case v.Overall: // of the whole floor, which has a separate limit
		case v.Outcome == flatness.NotMeasured:
			g.lacks(j, v, style)
		default:
			g.measured(j, v, style)
		}
	}
	slices.SortStableFunc(groups, func(a, b *ruleGroup) int {
		switch {
		case a.foreign == b.foreign:
			return 0
		case a.foreign:
			return 1
		}
		return -1
	})
	return groups
}

// measured adds a measure with a verdict.
func (g *ruleGroup) measured(j *job.Judged, v *flatness.Verdict, style unit.Style) {
	part := VerdictText(v, style)
	failed := g.outcome == flatness.Fail.String()
	switch fails := v.Outcome == flatness.Fail; {
	case fails && failed:
		g.doubt = min(g.doubt, doubtOf(v))
	case fails:
		g.doubt = doubtOf(v)
	case !failed:
		g.doubt = max(g.doubt, doubtOf(v))
	}
	if v.Outcome == flatness.Fail {
		g.outcome = v.Outcome.String()
		part = "FAIL " + part
		if !math.IsNaN(v.From.X + v.From.Y) {
			part += " at " + job.CellOf(j.Floor, v.From).In(style)
		}
	}
	g.parts = append(g.parts, part)
}

// lacks adds a measure without a verdict.
func (g *ruleGroup) lacks(j *job.Judged, v *flatness.Verdict, style unit.Style) {
	part := v.Row.Kind.String()
	if v.Row.Length > 0 {
		part += " of " + ruleLength(v.Row.Length, style)
	}
	if lack := lackOf(j, v, style); lack.parts != nil {
		if lack.apart && v.Row.Kind == flatness.BySupports {
			part += fmt.Sprintf(", straightedges from %g m", v.Length)
		}
		part += " (" + lack.parts[0] + ")"
		if g.lack.parts == nil || v.Length < g.length {
			g.length, g.lack = v.Length, lack
		}
	}
	g.missing = append(g.missing, part)
}

// rulings compares the floor with each rule, once each. A rule with only some parts measured
// names the others; skipped are those with none.
func rulings(j *job.Judged, style unit.Style) (out []ruling, skipped []string) {
	lacking := map[string]int{} // in out, by what they lack
	for _, g := range groupsOf(j, style) {
		if g.parts == nil && g.lack.parts != nil {
			key := g.lack.what + ": " + g.lack.parts[0]
			i, ok := lacking[key]
			if !ok {
				i = len(out)
				lacking[key] = i
				out = append(out, g.lack)
			}
			out[i].name = strings.TrimPrefix(out[i].name+", "+g.name, ", ")
			continue
		}
		if g.parts == nil {
			skipped = append(skipped, g.name)
			continue
		}
		g.parts = compact(g.parts)
		if g.missing != nil {
			if g.outcome == flatness.Pass.String() {
				g.outcome = partly
			}
			g.parts = append(g.parts, "not measured: "+strings.Join(compact(g.missing), ", "))
		}
		out = append(out, g.ruling)
	}
	return out, skipped
}

// lackOf returns what a verdict lacks, and of what; without parts if nothing it requires was
// measured.
func lackOf(j *job.Judged, v *flatness.Verdict, style unit.Style) ruling {
	out := ruling{what: v.Row.Kind.String(), outcome: flatness.NotMeasured.String()}
	switch {
	case v.Fall > 0:
		out.parts = []string{v.Note}
	case v.Wanted > 0:
		out.apart, out.parts = true, []string{j.Sparse(v.Wanted).In(style)}
		if v.Row.Kind == flatness.ByStraightedge || v.Row.Kind == flatness.BySupports || v.Row.Kind == flatness.ByStep {
			out.what = job.EdgeLength(v.Length).In(style) + " straightedge"
		}
	case v.Count.Few():
		out.parts = []string{v.Count.In(style)}
		if v.Count.Of == j.OnRuns.Of {
			out.what = "on runs"
		}
	case v.Lack != "":
		out.parts = []string{v.Lack}
	}
	return out
}

// eitherWay is said of a result whose limit is inside the interval of the value.
const eitherWay = "could go either way: limit inside the 90 % interval"

// notKnown is said of a result by an F-number without an interval.
const notKnown = "no 90 % interval: not known whether it could go either way"

// partly is the outcome of a rule that the floor keeps as far as it was measured.
const partly = "partly checked"

const inPart = "Partly checked: what was measured is within the limit; the rest of the rule, listed behind it, was not measured."

const properties = "Property E (TR 34): height difference between neighbours on a 3 m grid. Property F: change of slope from one 300 mm step of a run to the next."

// lackings counts the rules without a verdict by what they lack; skipped are those for which
// nothing was measured. The counts add up to the total.
func lackings(j *job.Judged, rules []ruling, skipped int, style unit.Style) (total int, text string) {
	count := map[string]int{}
	var order []string
	for _, r := range rules {
		if r.outcome != flatness.NotMeasured.String() {
			continue
		}
		why := r.parts[0]
		if r.apart {
			why = fmt.Sprintf("%s %s apart, too far", j.Readings(), style.Length(j.Apart))
		}
		if count[why] == 0 {
			order = append(order, why)
		}
		n := len(strings.Split(r.name, ", "))
		count[why] += n
		total += n
	}
	if skipped > 0 && total > 0 {
		why := "nothing measured for them"
		order = append(order, why)
		count[why] = skipped
	}
	total += skipped
	if len(order) == 1 {
		return total, order[0]
	}
	for i, why := range order {
		order[i] = fmt.Sprintf("%d: %s", count[why], why)
	}
	return total, strings.Join(order, "; ")
}

// edgeRule states when a straightedge gives a verdict.
func edgeRule(j *job.Judged) string {
	return fmt.Sprintf("A straightedge is judged where %s are no farther apart than %.0f %% of its length on 95 %% of the floor.", j.Readings(), 100*j.Settings.Wanted(1))
}

// levelRule states when the level of a floor gets a verdict.
func levelRule(j *job.Judged, style unit.Style) string {
	return fmt.Sprintf("The level of a floor is judged where there are %d shots or more, no farther apart than %s on 95 %% of the floor: our own rule.", flatness.FewestShots, style.Length(j.Settings.LevelWanted(math.Inf(1))))
}

// notesOfLack states the rules that prevented verdicts.
func notesOfLack(j *job.Judged, style unit.Style) []string {
	var out []string
	say := func(text string, of func(v flatness.Verdict) bool) {
		if slices.ContainsFunc(j.Verdicts, of) {
			out = append(out, text)
		}
	}
	level := func(v flatness.Verdict) bool { return v.Row.Kind == flatness.ByDatum }
	apart := func(v flatness.Verdict) bool { return v.Wanted > 0 && !level(v) }
	say(edgeRule(j), apart)
	say("Where "+j.Readings()+" are too far apart: lay a straightedge of that length by hand and measure the gap under it with a wedge, or shoot along lines as close as needed.", apart)
	say("A fail is given from shots too far apart for a pass where three of them in a row prove a gap larger than the limit, whatever the floor between them does.", func(v flatness.Verdict) bool { return v.AtLeast })
	say(levelRule(j, style), func(v flatness.Verdict) bool { return level(v) && (v.Wanted > 0 || v.Count.Few()) })
	say(fmt.Sprintf("A share of values within a limit is judged from %d values on: our own rule.", flatness.FewestValues), func(v flatness.Verdict) bool { return v.Count.Few() && v.Count.Wanted == flatness.FewestValues })
	say(flatness.RunsWanted+".", func(v flatness.Verdict) bool { return v.Count.Few() && v.Count.Of == j.OnRuns.Of })
	return out
}

// toleranceTable compares the floor with each rule. Where is where both figures and the
// source of each limit are.
func toleranceTable(j *job.Judged, style unit.Style, where string) (t table.Table, rules []ruling) {
	t = table.Table{Title: "Tolerance check (measured / allowed)", Columns: columns("Rule", "Standard", "Measured / allowed", "Result"),
		Notes: []string{"A value passes if it is within the limit before or after rounding; " + where + "."}}
	rules, skipped := rulings(j, style)
	for _, r := range rules {
		cells := text(r.name, r.what, strings.Join(r.parts, "; "), r.outcome)
		cells[3].Bold = r.outcome == flatness.Fail.String()
		t.Rows = append(t.Rows, cells)
	}
	if len(rules) == 0 {
		t.Notes = append(t.Notes, "Nothing was measured that a rule asks for.")
	}
	if slices.ContainsFunc(rules, func(r ruling) bool { return r.outcome == partly }) {
		t.Notes = append(t.Notes, inPart)
	}
	if slices.ContainsFunc(j.Verdicts, func(v flatness.Verdict) bool { return v.InDoubt }) {
		t.Notes = append(t.Notes, "Could go either way: the limit is inside the 90 % interval of the value. That of a length is from the error of the readings and from what a gap between readings may hide; it holds the true value in 90 % of cases or more.")
	}
	if slices.ContainsFunc(j.Verdicts, func(v flatness.Verdict) bool { return v.Unsure != "" && v.Outcome != flatness.NotMeasured }) {
		t.Notes = append(t.Notes, "Interval not known: nor is it whether the result could go either way. The reason is given with the F-numbers.")
	}
	if slices.ContainsFunc(j.Verdicts, func(v flatness.Verdict) bool {
		return (v.Row.Kind == flatness.ByPropertyE || v.Row.Kind == flatness.ByPropertyF) && !math.IsNaN(v.Value)
	}) {
		t.Notes = append(t.Notes, properties)
	}
	t.Notes = append(t.Notes, notesOfLack(j, style)...)
	if len(skipped) > 0 {
		t.Notes = append(t.Notes, "Not measured: "+strings.Join(skipped, ", ")+".")
	}
	return t, rules
}

const inResult = "result.json gives both, and where each limit comes from"

// printClasses prints which limits the floor keeps: a line a rule, because all columns are
// wider than a terminal.
func printClasses(b *bytes.Buffer, j *job.Judged, style unit.Style) {
	where := fmt.Sprintf("%s gives both, and where each limit comes from; %s list prints the table", unit.Flag("json"), unit.Flag("rule"))
	if j.InJob {
		where = inResult
	}
	t, rules := toleranceTable(j, style, where)
	fmt.Fprintf(b, "\n%s\n", t.Title)
	var lacking []string
	wide := len(flatness.Pass.String())
	for _, r := range rules {
		if r.outcome == partly {
			wide = len(partly)
		}
	}
	for i, r := range rules {
		name, standard, measured, result := t.Rows[i][0].Text, t.Rows[i][1].Text, t.Rows[i][2].Text, t.Rows[i][3].Text
		if r.outcome == flatness.NotMeasured.String() {
			lacking = append(lacking, fmt.Sprintf("%s, %s: %s: %s", result, standard, measured, name))
			continue
		}
		fmt.Fprintf(b, "  %-*s  %-20s %s: %s\n", wide, result, name, standard, measured)
	}
	for _, line := range slices.Concat(lacking, t.Notes) {
		fmt.Fprintf(b, "  %s\n", line)
	}
}

// VerdictText writes one measure in the unit of its limit.
func VerdictText(v *flatness.Verdict, style unit.Style) string {
	own := style
	if v.Row.Kind > flatness.ByLocalFL {
		n := v.Row.Limit / 0.0254 * 32
		own.Imperial = v.Row.Limit > 0 && math.Abs(n-math.Round(n)) < 1e-6 && len(v.Row.Spans) == 0
	}
	number := func(x float64) string {
		switch {
		case math.IsInf(x, 1):
			return "no departure"
		case v.Row.Kind <= flatness.ByLocalFL:
			return strconv.FormatFloat(math.Round(x*10)/10, 'f', -1, 64)
		}
		return fine(x, own)
	}
	limit := ", limit " + number(v.Limit)
	shared := v.Row.Share > 0 && !math.IsNaN(v.Share)
	var value string
	switch v.Row.Kind {
	case flatness.ByFF:
		value = "FF " + number(v.Value) + ", min " + number(v.Limit)
	case flatness.ByFL:
		value = "FL " + number(v.Value) + ", min " + number(v.Limit)
	case flatness.ByLocalFF:
		value = "local FF " + number(v.Value) + ", min " + number(v.Limit)
	case flatness.ByLocalFL:
		value = "local FL " + number(v.Value) + ", min " + number(v.Limit)
	case flatness.ByStraightedge:
		value = number(v.Value) + " gap" + limit
		if shared {
			value = shareText(v, number)
		}
		edge := fmt.Sprintf("%g m", v.Length)
		if own.Imperial {
			edge = own.Length(v.Length)
		}
		value += ", " + edge + " straightedge"
	case flatness.BySupports:
		value = number(v.Value) + limit + fmt.Sprintf(", over %.3g m", v.Length)
	case flatness.ByThreshold:
		value = number(v.Value) + limit + ", at " + v.Where
	default:
		value = v.Row.Kind.String() + " " + number(v.Value) + limit
		if shared {
			value = v.Row.Kind.String() + " " + shareText(v, number)
		}
	}
	if v.Unread > 0 {
		value += fmt.Sprintf(" on %.0f %% of the floor", math.Floor(100*(1-v.Unread)))
	}
	if v.Row.Instead != "" {
		value += " (edge resting on the floor, not from " + v.Row.Instead + ")"
	}
	switch doubt := doubtOf(v); {
	case doubt == inDoubt && !math.IsNaN(v.Low) && v.Row.Share == 0:
		value += fmt.Sprintf(" (could go either way: %s to %s)", number(v.Low), number(v.High))
	case doubt == inDoubt:
		value += " (could go either way)"
	case doubt == unsure:
		value += " (interval not known)"
	}
	if v.AtLeast {
		value = "at least " + value + " (proven by the shots)"
	}
	return value
}

// shareText writes how many of the readings are within a limit that some may exceed.
func shareText(v *flatness.Verdict, number func(float64) string) string {
	of := ""
	if v.Count.N > 0 && v.Row.Kind != flatness.ByStraightedge {
		of = fmt.Sprintf(" of %d %s", v.Count.N, v.Count.Of)
	}
	return fmt.Sprintf("%s%s within %s (%.0f %% needed)", unit.Percent(v.Share), of, number(v.Limit), 100*v.Row.Share)
}

func compact(list []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, s := range list {
		if !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	return out
}
