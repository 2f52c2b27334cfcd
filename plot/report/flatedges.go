package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/surface/flatness"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// withinText is how much of the floor is within the tolerance, or how many of the shots if
// they are too far apart for the floor between them.
func withinText(j *job.Judged, style unit.Style) string {
	if lack := j.LevelLack().In(style); lack != "" {
		return fmt.Sprintf("%s within ±%s; between them not measured: %s", nearShots(j), fine(j.Tol, style), lack)
	}
	return fmt.Sprintf("%s of %s within ±%s%s; root mean square %s", unit.Percent(j.Off.Within), style.Area(j.Area), fine(j.Tol, style), shareRange(j), smallest(j.Off.RMS, style))
}

// shareRange is the range of the share of the floor within the tolerance, in brackets; empty where it
// is no wider than what is shown.
func shareRange(j *job.Judged) string {
	low, high, known := j.WithinBetween()
	if !known {
		return " on straight lines between the shots (how far they hold is not known)"
	}
	if a, b := unit.Percent(low), unit.Percent(high); a != b {
		return fmt.Sprintf(" (90 %% range %s to %s)", strings.TrimSuffix(a, " %"), b)
	}
	return ""
}

func nearShots(j *job.Judged) string {
	return fmt.Sprintf("%d of %s", j.Near, survey.Plural(j.Shots.N, "shot"))
}

// betweenShots begins the text on estimates.
func betweenShots(j *job.Judged, style unit.Style) string {
	if j.LevelLack().In(style) == "" {
		return ""
	}
	return "estimated between the shots: "
}

// gapAtReadings is a gap under a straightedge without a verdict; empty without a gap.
func gapAtReadings(j *job.Judged, e *job.Laid, where string, style unit.Style) string {
	if e.From == e.To {
		return ""
	}
	fails := func(v flatness.Verdict) bool { return v.AtLeast && v.Length == e.Length }
	if e.Proof != nil && slices.ContainsFunc(j.Verdicts, fails) {
		return fmt.Sprintf("; three shots in a row prove a gap of at least %s, from %s", fine(e.Proof.Least, style), job.Stretch(j.Floor, e.Proof.A, e.Proof.B).In(style))
	}
	return fmt.Sprintf("; the gap at the %s alone is %s, %s", j.Readings(), fine(e.Gap, style), where)
}

// addEdges writes the gaps under the straightedges asked for.
func addEdges(j *job.Judged, style unit.Style, rows *facts) {
	for i, e := range j.Edges {
		if i >= j.Asked {
			break // laid for the rules
		}
		head := "Straightedge"
		if i > 0 {
			head = ""
		}
		if !e.Fits {
			rows.add(head, "%s: does not fit; the longest clear line is %s", job.EdgeLength(e.Length).In(style), style.Length(e.Longest))
			continue
		}
		where := job.Stretch(j.Floor, e.From, e.To).In(style)
		if e.Run != "" {
			where = "on run " + e.Run
		}
		share := ""
		if text := j.TooSparse(e.Length).In(style); text != "" {
			rows.add(head, "%s: %s", job.EdgeLength(e.Length).In(style), text+gapAtReadings(j, &e, where, style)+edgeLimits(j, e.Length, style))
			continue
		}
		if j.Tol > 0 {
			share = fmt.Sprintf("; %s of all positions within %s", unit.Percent(e.Within(j.Tol)), fine(j.Tol, style))
		}
		rows.add(head, "%s: largest gap %s%s, %s%s", job.EdgeLength(e.Length).In(style), fine(e.Gap, style), rangeOf(e.SureGap, e.Gap, style), where, share+edgeLimits(j, e.Length, style))
	}
}

// rangeOf is the range of a length, if it is known.
func rangeOf(s flatness.Sure, v float64, style unit.Style) string {
	if s == (flatness.Sure{}) {
		return ""
	}
	low, high := s.Between(v)
	return fmt.Sprintf(" (90 %% range %s to %s)", fine(low, style), fine(high, style))
}

// addAccuracy writes which error of the readings the ranges are from, if there are any, and but in
// a record what gives another.
func addAccuracy(j *job.Judged, style unit.Style, rows *facts, record bool) {
	if !slices.ContainsFunc(j.Verdicts, func(v flatness.Verdict) bool {
		return v.AtLeast || !math.IsNaN(v.Low) && v.Row.Kind > flatness.ByLocalFL
	}) {
		return
	}
	text := accuracyText(j.Accuracy, style)
	if j.Floor == nil || j.Fitted { // nothing is judged from a datum
		text = readingText(j.Accuracy, style)
	}
	if j.ReadingSD < j.Accuracy.Reading {
		text += fmt.Sprintf("; %s scatter by no more than %s, which is used", j.Readings(), job.SD(j.ReadingSD).In(style))
	}
	if !j.Accuracy.ReadingGiven && !record {
		how := "survey.reading-sd"
		if !j.InJob {
			how = unit.Flag("reading-sd").String()
		}
		text += "; " + how + " gives your own"
	}
	rows.add("Accuracy", "%s", text)
}

// edgeLimits are the limits that the rules asked for set for a straightedge of a length, or what
// to give for one. Many rules have a table of their own.
func edgeLimits(j *job.Judged, length float64, style unit.Style) string {
	const most = 2
	var limits []string
	for i := range j.Verdicts {
		v := &j.Verdicts[i]
		switch {
		case v.Row.Kind == flatness.BySupports: // of any length
			return ""
		case v.Row.Kind == flatness.ByStraightedge && math.Abs(v.Row.Length-length) < 1e-6:
			limits = append(limits, fmt.Sprintf("%s (%s)", fine(v.Limit, style), v.Row.Name))
		}
	}
	switch n := len(limits); {
	case n > most:
		return ""
	case n > 0:
		return "; limit " + strings.Join(limits, ", ")
	case j.InJob:
		return "; no limit is given for this length: flatness.house-rules gives one"
	}
	return fmt.Sprintf("; no limit is given for this length: %s list shows the rules and their lengths", unit.Flag("rule"))
}

// addRuns writes the F-numbers of all runs together.
func addRuns(j *job.Judged, rows *facts, style unit.Style) {
	w := j.Whole
	if w == nil {
		if why := j.Why.In(style); why != "" {
			rows.add("F-numbers", "not measured: %s", why)
		}
		return
	}
	text := fmt.Sprintf("FF %s, FL %s", ranged(w.FF, w.FFRange), ranged(w.FL, w.FLRange))
	if w.FFRange.Known() || w.FLRange.Known() {
		text += "; brackets: 90 % interval, " + flatness.Estimate
	}
	rows.add("F-numbers", "%s", text)
	switch ff, fl := w.FFRange.Why, w.FLRange.Why; {
	case ff != "" && ff == fl:
		rows.add("", "90 %% intervals of FF and FL not known: %s", ff)
	default:
		if ff != "" {
			rows.add("", "90 %% interval of FF not known: %s", ff)
		}
		if fl != "" {
			rows.add("", "90 %% interval of FL not known: %s", fl)
		}
	}
	rows.add("", "%s", flatness.Method)
	if len(w.Sections) > 1 {
		rows.add("", "min of a section: FF %s (%s), FL %s (%s)", w.LocalFF.F, w.LocalFF.Of.Name, w.LocalFL.F, w.LocalFL.Of.Name)
	}
}

func addChords(j *job.Judged, style unit.Style, rows *facts) {
	if len(j.Chords) == 0 {
		return
	}
	var parts []string
	for _, c := range j.Chords {
		parts = append(parts, fmt.Sprintf("%s %s", style.Length(c.Length), smallest(c.RMS, style)))
	}
	rows.add("Chords", "how far the middle of a straight line of that length is off the floor (root mean square): %s", strings.Join(parts, ", "))
}
