package report

import (
	"fmt"
	"math"
	"strings"

	"pourplane/surface/job"
	"pourplane/surface/uncertainty"
	"pourplane/survey/unit"
)

// bounds writes the bounds of the fill in its unit, which is not repeated: "7.18 and 7.46".
func bounds(lo, hi, fill float64, u unit.Style) string {
	return withoutUnit(u.PartVolume(lo, fill)) + " and " + withoutUnit(u.PartVolume(hi, fill))
}

// withoutUnit is a volume as its number alone.
func withoutUnit(volume string) string {
	if at := strings.LastIndex(volume, " "); at >= 0 {
		return volume[:at]
	}
	return volume
}

// unitOf is the unit of a volume as written.
func unitOf(volume string) string { return strings.TrimPrefix(volume, withoutUnit(volume)+" ") }

// sureOf is how sure the fill is, to go on after it; empty where that is not asked.
func sureOf(w *job.Filled, u unit.Style) string {
	s := w.Sure()
	switch {
	case s == nil:
		return ""
	case !s.Known && w.Fill.Fill == 0:
		return ""
	case !s.Known:
		return ", ± not measured (" + s.Lacks(w.Old) + "),"
	}
	if byVolume(w) { // its height is what is unsure, see [broughtText]
		return ""
	}
	lo, hi := s.Interval(job.SureShare)
	if w.Fill.Fill == 0 && hi < u.PartStep(0)/2 {
		return ""
	}
	text := fmt.Sprintf(" %.0f %% sure between %s,", 100*job.SureShare, bounds(lo, hi, w.Fill.Fill, u))
	if likely := likelier(s, w.Fill.Fill, u); likely != "" {
		return " from shot to shot, likely " + likely + ";" + text
	}
	return "," + text
}

// likelier is the fill that is as likely exceeded as not, without its unit, where that differs from
// the fill of the triangles by as much as a quarter of the width of the bounds; else empty.
func likelier(s *job.Sure, fill float64, u unit.Style) string {
	likely := max(0, s.Dist.Quantile(0.5))
	if !(math.Abs(likely-fill) > halfOf(s.Parts.Total)/2) || u.PartVolume(likely, fill) == u.PartVolume(fill, fill) {
		return ""
	}
	return withoutUnit(u.PartVolume(likely, fill))
}

// ofCauses is how the ± of the causes make that of all together, wherever they are listed.
const ofCauses = "the squares of the causes add up, as they seldom all go one way"

// causes are the parts of what is not known of the fill, each as the ± that a normal error of its
// standard deviation is within, 9 times in 10: squared they add up to that of all together. Those that
// make less than a hundredth of it are left out. All together are last.
func causes(w *job.Filled, u unit.Style) []AnswerRow {
	s := w.Sure()
	var out []AnswerRow
	for _, c := range []struct {
		name string
		sd   float64
	}{{"readings", s.Parts.Reading}, {"set-up", s.Parts.Setup}, {"between shots", s.Parts.Sampling}, {"at walls", s.Parts.Walls}, {"together", s.Parts.Total}} {
		if half := halfOf(c.sd); half >= halfOf(s.Parts.Total)/100 {
			out = append(out, AnswerRow{Head: c.name, Text: "±" + partIn(w, half, u)})
		}
	}
	return out
}

// causesText lists the causes; empty where nothing is known.
func causesText(w *job.Filled, u unit.Style) string {
	if !w.Sure().Known {
		return ""
	}
	var parts []string
	all := causes(w, u)
	for i, c := range all {
		if i < len(all)-1 && unitOf(c.Text) == unitOf(all[len(all)-1].Text) {
			c.Text = withoutUnit(c.Text)
		}
		parts = append(parts, c.Head+" "+c.Text)
	}
	text := strings.Join(parts, ", ")
	if byVolume(w) {
		return "in height: " + text
	}
	return text
}

// fillSure is the fill and how sure it is, or the height that it comes to.
func fillSure(w *job.Filled, u unit.Style) string {
	text := "Fill " + u.SmallVolume(w.Fill.Fill)
	if s := w.Sure(); byVolume(w) && s != nil && s.Known {
		return text + fmt.Sprintf(", %.0f %% sure to come between %s the target", 100*job.SureShare, heightSure(w, job.SureShare, u))
	}
	return text + strings.TrimSuffix(sureOf(w, u), ",")
}

// byVolume reports whether the volume is given and sets the target: then its height is what is unsure.
func byVolume(w *job.Filled) bool { return w.Brought != nil && w.Brought.Sets && w.Fill.FillArea > 0 }

// heightSure is how sure the height is that a given volume fills to.
func heightSure(w *job.Filled, share float64, u unit.Style) string {
	lo, hi := w.Sure().Interval(share)
	below, above := (hi-w.Fill.Fill)/w.Fill.FillArea, (w.Fill.Fill-lo)/w.Fill.FillArea
	return fmt.Sprintf("%s below and %s above", job.LessThanStep(max(0, below)).In(u), job.LessThanStep(max(0, above)).In(u))
}

// partIn writes a part of what is not known: of the fill, or of the height of a given volume.
func partIn(w *job.Filled, half float64, u unit.Style) string {
	if byVolume(w) {
		return job.SD(half / w.Fill.FillArea).In(u)
	}
	return partOf(w.Sure(), half, w.Fill.Fill, u)
}

// halfOf is half the width of the interval that is shown, m³, of a normal error of a standard
// deviation.
func halfOf(sd float64) float64 { return sd * uncertainty.Normal(1).Quantile((1+job.SureShare)/2) }

// partOf writes a part of what is not known of the fill, in the unit of the fill: next to it another
// would be misread. It has digits to a tenth of all that is not known.
func partOf(s *job.Sure, half, fill float64, u unit.Style) string {
	return u.PartVolumeTo(half, fill, halfOf(s.Parts.Total)/10)
}

// madeOf is what the bounds of the fill are made of, and what would narrow them.
func (s *Summary) madeOf() string { return madeOf(s.Filled, s.option, s.Style) }

// option names an option, or in a job its key.
func (s *Summary) option(flag string) string {
	if !s.InJob {
		return fmt.Sprint(unit.Flag(flag))
	}
	f, _ := job.ByFlag(flag)
	return f.Key
}

func madeOf(w *job.Filled, option func(string) string, u unit.Style) string {
	s := w.Sure()
	if s == nil || !s.Known || w.Fill.Fill == 0 {
		return ""
	}
	text := causesText(w, u)
	switch likely := s.Dist.Quantile(0.5); {
	case likelier(s, w.Fill.Fill, u) == "":
	case byVolume(w):
		text += fmt.Sprintf(". The floor bends between its shots: its height is more likely %s %s", job.SD(math.Abs(likely-w.Fill.Fill)/w.Fill.FillArea).In(u), map[bool]string{true: "less", false: "more"}[likely > w.Fill.Fill])
	case likely > w.Fill.Fill:
		text += ". The floor bends between its shots: straight from shot to shot it has too little fill"
	default:
		text += ". The floor bends between its shots: straight from shot to shot it has too much fill"
	}
	if help := helps(s, option); help != "" {
		text += ". " + help
	}
	return text
}

// assumedBy are the errors that were assumed, with the options that replace them; on paper without.
// It is empty where both are given.
func assumedBy(s *job.Sure, option func(string) string, u unit.Style) string {
	var out, flags []string
	add := func(given bool, what string, sd float64, flag string) {
		if given {
			return
		}
		text := fmt.Sprintf("%s error of %s", what, job.SD(sd).In(u))
		if flag == "reading-sd" && s.Way != uncertainty.ByRod { // what most floors are read with
			text += " for " + s.Way.String()
		}
		out, flags = append(out, text), append(flags, flag)
	}
	add(s.ReadingGiven, "reading", s.Reading, "reading-sd")
	add(s.SetupGiven || s.Known && s.Parts.Setup == 0, "set-up", s.Setup, "setup-sd") // or it cancels
	text := strings.Join(out, ", ")
	if option != nil && out != nil {
		for i := range flags {
			flags[i] = option(flags[i])
		}
		text += ": none given (" + strings.Join(flags, ", ") + ")"
	}
	if n := s.Model.Least(); s.Known && n < fewShots {
		if text != "" {
			text += "; "
		}
		text += fmt.Sprintf("a usual floor between only %d shots: a hollow that they miss is not in it", n)
	}
	return text
}

// fewShots is from how many shots of a region on the ± does not say that it rests on what is usual.
// Own choice: of 139 dishes of the study with 4 to 8 shots 3 m apart the bounds of 90 % held 69 %, of
// 94 with 9 or more 88 %.
const fewShots = 9

// helps is what narrows the bounds most.
func helps(s *job.Sure, option func(string) string) string {
	p := s.Parts
	switch half := p.Total * p.Total / 2; {
	case p.Total == 0:
		return ""
	case p.Setup*p.Setup > half:
		return fmt.Sprintf("Mostly the set-up: tie it to a second benchmark, or give its own error with %s", option("setup-sd"))
	case p.Sampling*p.Sampling+p.Walls*p.Walls > half:
		return fmt.Sprintf("More shots narrow it: %s lists places", option("next"))
	}
	return ""
}

// sureRows are how sure the fill and the order are, with the next shots.
func (sum *Summary) sureRows() []AnswerRow {
	w, u := sum.Filled, sum.Style
	var out []AnswerRow
	s := w.Sure()
	if s != nil && s.Known && (sureOf(w, u) != "" || byVolume(w)) && !sum.SureApart {
		if text := assumedBy(s, sum.option, u); text != "" {
			out = append(out, AnswerRow{Head: "± assumes", Text: text, extra: true})
		}
		if text := sum.madeOf(); text != "" {
			out = append(out, AnswerRow{Head: "± by cause", Text: text, spare: restOfSure, later: true})
		}
	}
	if text := sharesText(w, u); text != "" {
		out = append(out, AnswerRow{Head: "Materials", Text: text, spare: restOfSure})
	}
	if text := riskText(w, u); text != "" {
		out = append(out, AnswerRow{Head: "Risk", Text: text, spare: restOfSure, first: true})
	}
	if s == nil || sum.SureApart {
		return out
	}
	next := nextOf(s.Next(), s.Parts, w.Floor, w.Fill.Fill, u)
	if len(next.at) == 0 && w.NextAsked() {
		out = append(out, AnswerRow{Head: "Next shots", Text: noNext(w, s)})
	}
	for i, where := range next.where {
		row := AnswerRow{Text: where}
		if next.after != nil {
			row.Text += ": " + next.after[i] + " after it"
		}
		if i == 0 {
			row.Head = "Next shots"
		}
		if sum.InJob {
			row.spare = restOfSure
		}
		out = append(out, row)
	}
	if next.little != "" {
		row := AnswerRow{Text: next.little}
		if sum.InJob {
			row.spare = restOfSure
		}
		out = append(out, row)
	}
	return out
}

// restOfSure counts the rows on how sure the fill and the order are, where they are left out.
const restOfSure = "how sure that is"
