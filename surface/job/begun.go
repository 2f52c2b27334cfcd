package job

import (
	"cmp"
	"slices"
	"strings"

	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// begun is a floor shot whose remark begins with a code of finished floor and says more, or
// whose code looks mistyped.
type begun struct {
	shot survey.Point
	text string // the remark
	lead survey.Lead
	off  float64 // m outside the walls

	meant string // the code that the word of lead may be a slip of
}

// begunOn lists the floor shots that may be finished floor by their remarks, outside the
// walls or with one of the codes that the target is taken from, and those of [input.slipped].
// An old floor has no shot
// outside its walls, and a target without one of its doors is wrong.
func (f *input) begunOn(s *survey.Survey, floor *surface.Floor, codes []string) ([]begun, error) {
	own, err := f.codeRoles()
	if err != nil {
		return nil, err
	}
	book := survey.NewCodebook(own)
	var out []begun
	for i := range s.Points {
		p := &s.Points[i]
		text := cmp.Or(p.Remark(), p.Code())
		if text == "" || p.Remark() != "" && p.Code() != "" { // a code of its own says what it is
			continue
		}
		lead := book.Lead(text)
		if role, stated := book.Stated(text); lead.Role != survey.Finished || stated && role == survey.Floor || survey.IsCode(text) {
			continue
		}
		b := begun{shot: *p, text: strings.TrimSpace(text), lead: lead, off: outside(floor, p)}
		if b.off > 0 || slices.ContainsFunc(codes, func(c string) bool { return strings.EqualFold(c, lead.Word) }) {
			out = append(out, b)
		}
	}
	slips, err := f.slipped(s, floor, codes)
	return append(out, slips...), err
}

// outside returns how far a shot is outside the walls, m; 0 without walls.
func outside(floor *surface.Floor, p *survey.Point) float64 {
	if floor.Hull {
		return 0
	}
	return setout.Away(floor, surface.Vec{X: p.X, Y: p.Y})
}

// askBegun refuses a floor with shots that may be finished floor by their remarks.
func (f *input) askBegun(s *survey.Survey, floor *surface.Floor, codes []string) error {
	of, err := f.begunOn(s, floor, codes)
	if err != nil {
		return err
	}
	var errs []error
	for _, b := range of {
		where := unit.Textf(", and the target is taken from %s shots", b.lead.Word)
		if b.off > 0 {
			where = unit.Textf(" on a shot %s outside the walls", unit.Distance(b.off))
		}
		e := &survey.Error{Pos: b.shot.At(), Element: b.shot.Name()}
		if b.meant != "" {
			errs = append(errs, e.Measured(b.codeSlip(), unit.Textf("to know which it is"), unit.Text{}).Hinting(b.slipSettled()))
			continue
		}
		errs = append(errs, e.Measured(unit.Textf("the remark %s%s", unit.Quote(b.text), where), unit.Textf("to know whether it is adjoining finished floor or old floor"), unit.Text{}).Hinting(b.settled()))
	}
	if len(errs) == 0 {
		s.Notes = saidLeftOut(s.Notes, floor)
		return nil
	}
	return survey.JoinErrors(errs)
}

// settled says how to tell what the shot is.
func (b begun) settled() unit.Text {
	key := strings.ToUpper(strings.TrimRight(b.text, ".,;:"))
	finished, old := unit.Ask("code", key+"=finished"), unit.Ask("code", key+"=floor")
	code, rest := "ADJ", b.text
	if w := b.lead.Word; w != "FINISHED" && survey.IsCode(w) && strings.HasPrefix(strings.ToUpper(b.text), w) {
		code, rest = w, strings.TrimLeft(b.text[len(w):], " .,;:/-")
	}
	return unit.Textf("If it is finished floor, write the remark as %s, put %s in a column headed code, or %s. If it is old floor, %s", unit.Quote(code+" - "+rest), code, finished, old)
}

// saidLeftOut removes the warnings that a shot is used as floor where the floor leaves it out.
func saidLeftOut(notes []survey.Note, floor *surface.Floor) []survey.Note {
	gone := leftOut(floor)
	return slices.DeleteFunc(notes, func(n survey.Note) bool { return n.Step == survey.ByLead && gone[n.Pos] })
}

// noteBegun puts what a remark may mean in place of the warning that its shot is used as
// floor, where the shot is outside the walls.
func (f *input) noteBegun(s *survey.Survey, floor *surface.Floor, aim *targetFlags) error {
	of, err := f.begunOn(s, floor, nil)
	if err != nil {
		return err
	}
	said := map[survey.Pos]bool{}
	for _, b := range of {
		said[b.shot.At()] = true
		s.Notes = slices.DeleteFunc(s.Notes, func(n survey.Note) bool { return n.Step == survey.ByLead && n.Pos == b.shot.At() })
		if b.meant != "" {
			s.Notes = append(s.Notes, survey.Notef(survey.Warning, b.shot.At(), "%s%s. %s", survey.Label(b.shot), b.codeSlip(), b.slipSettled()).About(survey.AboutTarget))
			continue
		}
		s.Notes = append(s.Notes, survey.Notef(survey.Warning, b.shot.At(), "%sthe remark %s begins with the code %s, and the shot is %s outside the walls: it is not clear what it is. %s",
			survey.Label(b.shot), unit.Quote(b.text), b.lead.Word, unit.Distance(b.off), b.settled()).About(survey.AboutTarget))
	}
	s.Notes = append(saidLeftOut(s.Notes, floor), aim.noteDoorWords(s, floor, nil, said)...)
	return nil
}
