//go:build light

package text

import "pourplane/survey"

// BeginWorkbook is that of the whole program.
func BeginWorkbook(_ []byte, name string, _ survey.Options, _ bool) (*Reader, error) {
	return nil, &survey.Error{Pos: survey.Pos{File: name}, Found: "a workbook", Want: "the whole engine, which reads it"}
}
