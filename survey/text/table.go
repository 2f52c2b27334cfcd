package text

import "pourplane/survey"

// manner is how a file gives the height of its points.
type manner uint8

const (
	byElevation manner = iota
	byRod              // rod readings, beside elevations on some rows or not
	byGradeRod         // rod and what it should read
	byDiff             // deviation from target
	byDepth            // low or high columns
	bySight            // level book, one row a sight
	byBook             // level book with columns BS, IS, FS
	planOnly           // outlines: no height
	byRun              // readings along lines
)

// table is a file of which it is known what its columns are.
type table struct {
	dialect
	*layout
	num     numbers
	manner  manner
	known   bool    // which column is what
	up      *column // the column of heights, whichever it is; nil for planOnly
	guessed *column // of set-ups, by its values

	hi    float64 // height of instrument, m
	hasHI bool
	hiPos survey.Pos
}

// isLevelBook reports whether every row is of a level book.
func (f *table) isLevelBook() bool { return f.manner == bySight || f.manner == byBook }
