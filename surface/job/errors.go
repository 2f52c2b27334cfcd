package job

import "pourplane/survey"

// misused refuses the value of a field, by its short name.
func misused(field, found, want string) *survey.Error {
	return &survey.Error{Field: field, Found: found, Want: want, Usage: true}
}

// misuse refuses what a job or a call asks for, in a sentence. Field is the one that it is
// about, empty where it is the target as a whole.
func misuse(field, format string, args ...any) *survey.Error {
	return (&survey.Error{Field: field, Usage: true}).Wanted(format, args...)
}
