package surface

import "pourplane/survey"

// Region is a piece of floor with an outline and a surface of its own. The two
// sides of a step are two regions.
type Region struct {
	Name  string
	Rings [][]Vec // outer ring first, counter-clockwise; then the openings, clockwise
	TIN   *TIN
	Shots []survey.Point // those used, in the order that TIN.Shot counts
}

// Floor is all there is to fill.
type Floor struct {
	Regions []Region
	Notes   []survey.Note
}
