package job

import (
	"errors"
	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// misused refuses the value of a field, by its short name.
func misused(field, found, want string) *survey.Error {
	return &survey.Error{Field: field, Found: found, Want: want, Usage: true}
}

// misuse refuses a request of a job or a call in one sentence. field is the field that
// it is about, empty for the target as a whole.
func misuse(field, format string, args ...any) *survey.Error {
	return (&survey.Error{Field: field, Usage: true}).Wanted(format, args...)
}

// refusal is a refusal in a note or a reason. Where shots are all outside an outline, its hint is
// part of it.
type refusal struct{ err error }

func (r refusal) In(s unit.Style) string {
	err := survey.ErrorIn(r.err, s)
	var missed *surface.Missed
	var whole *survey.Error
	if errors.As(err, &missed) && errors.As(err, &whole) {
		return err.Error() + "; " + whole.Hint
	}
	return err.Error()
}

func (r refusal) String() string { return r.In(unit.Style{}) }
