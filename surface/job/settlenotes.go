package job

import (
	"math"
	"slices"

	"pourplane/surface/settlement"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// wholeShift is the change of the floor as a whole, m, above which a wrong benchmark or
// unit is more likely than settlement. Own choice.
const wholeShift = 0.05

// notes reports what was assumed and what qualifies the result.
func (r *Settled) notes(m *matcher) {
	about := func(k survey.NoteKind, format string, args ...any) {
		r.Notes = append(r.Notes, survey.Notef(k, survey.Pos{}, format, args...))
	}
	if math.Abs(r.Whole.Middle) > wholeShift {
		r.Notes = append(r.Notes, survey.Notef(survey.Warning, survey.Pos{}, "the floor as a whole moved %s: check benchmark, elevation and unit of both surveys", unit.Depth(math.Abs(r.Whole.Middle))).About(survey.AboutDepth))
	}
	if moved := r.Shown(); len(moved) == 1 && !r.shownBefore(moved[0].Index) {
		how := ""
		if moved[0].Total.Level == settlement.NotShown {
			how = " against the middle"
		}
		about(survey.Warning, "%s alone is shown to have moved%s: a misread rod looks the same, so read it again", r.NameOf(moved[0].Index), how)
	}
	if r.Whole.HalfMoved() {
		r.Notes = append(r.Notes, survey.Notef(survey.Warning, survey.Pos{}, "half or more of the places moved against the middle of the floor: the differences between them do not tell which half moved and which stayed. Go by the change against the benchmark, as far as it is sure that this stayed").About(survey.AboutDepth))
	}
	for _, v := range r.Visits {
		if v.Setups > 1 {
			about(survey.Assumed, "%s has %d set-ups: the error of a set-up is counted with each reading, as it is not common to all", v.Name, v.Setups)
		}
	}
	if v, is := r.BySurface(); is {
		about(survey.Assumed, "too few places are read in several surveys: the %s of %s are compared with the surfaces of the others. Every ± has what is between their shots", survey.Plural(len(r.Places), "shot"), v.Visited())
	}
	if n := len(r.Places) - len(r.Whole.Places); n > 0 {
		about(survey.Assumed, "%s not in both the first survey and the last: not compared", placesAre(n))
	}
	for _, a := range m.apart[:min(3, len(m.apart))] {
		about(survey.Warning, "%s is %s away from its place in an earlier survey: not compared under that name", a.name, unit.Distance(a.distance))
	}
	if n := len(m.apart) - 3; n > 0 {
		about(survey.Warning, "%d more names are at two places", n)
	}
	for k := range r.Steps {
		if r.Steps[k] == nil {
			about(survey.Warning, "fewer than %d places are in both %s and %s: that interval is not compared", settlement.Fewest, r.Visits[k].Visited(), r.Visits[k+1].Visited())
		}
	}
	seen := map[string]bool{}
	for _, v := range r.Visits {
		for _, n := range slices.Concat(v.Survey.Notes, v.Floor.Notes) {
			if text := n.String(); n.Topic != survey.AboutOrder && !seen[text] { // the outline is read with every survey
				seen[text] = true
				r.Notes = append(r.Notes, n)
			}
		}
	}
}

func placesAre(n int) string {
	if n == 1 {
		return "1 place is"
	}
	return survey.Plural(n, "place") + " are"
}

// Counts returns how many places are shown to have moved from the first survey to the last, and
// how many others only against the middle.
func (r *Settled) Counts() (moved, middle int) {
	for _, p := range r.Shown() {
		if p.Total.Level > settlement.NotShown {
			moved++
		} else {
			middle++
		}
	}
	return moved, middle
}

// Alike returns the comparison in which the places moved alike, which a misread benchmark does
// too: that from the first survey to the last, or else the first step; nil for none.
func (r *Settled) Alike() *settlement.Comparison {
	for _, c := range append([]*settlement.Comparison{r.Whole}, r.Steps...) {
		if c != nil && c.Alike() {
			return c
		}
	}
	return nil
}

// Shown lists the places that are shown to have moved from the first survey to the last, against
// the datum or against the middle.
func (r *Settled) Shown() (out []settlement.PlaceChange) {
	for _, p := range r.Whole.Places {
		if p.Level() > settlement.NotShown {
			out = append(out, p)
		}
	}
	return out
}

// shownBefore reports whether a place had moved in the survey before the last.
func (r *Settled) shownBefore(place int) bool {
	c := changeAt(r.earlier, place)
	return c != nil && c.Level() > settlement.NotShown
}

// NameOf names a place: by its name, or by where it is.
func (r *Settled) NameOf(place int) unit.Text {
	if name := r.Names[place]; name != "" {
		return unit.Textf("%s", name)
	}
	return unit.Textf("%s", unit.Place{X: r.Places[place].X, Y: r.Places[place].Y})
}
