package job

import "pourplane/survey"

// misused refuses the value of a field, by its short name.
func misused(field, found, want string) *survey.Error {
	return &survey.Error{Field: field, Found: found, Want: want, Usage: true}
}

// misuse refuses a request of a job or a call in one sentence. field is the field that
// it is about, empty for the target as a whole.
func misuse(field, format string, args ...any) *survey.Error {
	return (&survey.Error{Field: field, Usage: true}).Wanted(format, args...)
}
