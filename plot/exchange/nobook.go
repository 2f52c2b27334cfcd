//go:build light

package exchange

import (
	"errors"
	"io"
	"time"

	"pourplane/plot/table"
)

// WriteXLSX is that of the whole program.
func WriteXLSX(io.Writer, string, time.Time, []table.Table) error {
	return errors.New("the light engine writes no workbook")
}
