//go:build light

package sheet

import (
	"errors"
	"io"

	"pourplane/plot"
)

// WriteHTML fails: a program that makes no files leaves the templates out.
func WriteHTML(io.Writer, Record, *plot.DepthMap) error {
	return errors.New("this program makes no pages")
}
