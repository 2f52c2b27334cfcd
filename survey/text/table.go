package text

import "pourplane/survey"

// manner is how a file gives the height of its points.
type manner uint8

const (
	byElevation manner = iota
	byRod              // rod readings, with or without elevations on some rows
	byGradeRod         // rod readings and grade rods
	byDiff             // deviation from target
	byDepth            // depths below or heights above the target
	bySight            // level book, one row a sight
	byBook             // level book with columns BS, IS, FS
	planOnly           // outlines: no height
	byRun              // readings along lines
)

// table is a file whose columns are known.
type table struct {
	dialect
	*layout
	num     numbers
	manner  manner
	known   bool    // columns and heights are decided
	up      *column // the column of heights; nil for planOnly
	guessed *column // column taken as set-ups by its values

	hi    float64 // height of instrument, m
	hasHI bool
	hiPos survey.Pos
}

// isLevelBook reports whether the file is a level book.
func (f *table) isLevelBook() bool { return f.manner == bySight || f.manner == byBook }
