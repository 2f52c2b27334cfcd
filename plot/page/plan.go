package page

import "pourplane/plot/report"

// PlanAsk is what a plan of shots is asked for, as it was typed: the ± wanted of the volume or the
// spacing of the grid, the kind of floor, and how exact the readings will be.
type PlanAsk struct {
	Outline string `json:"outline"` // file
	Sheet   string `json:"sheet"`   // of it, if it is a workbook
	Units   string `json:"units"`   // of bare numbers in it
	Want    string `json:"want"`
	Spacing string `json:"spacing"`
	Floor   string `json:"floor"`
	Reading string `json:"reading_sd"`
	Setup   string `json:"setup_sd"`
}

// Plan is a grid of shots for a floor that is not surveyed yet, with the floor to draw: it is flat.
type Plan struct {
	Facts   []report.Fact  `json:"facts"`
	Spacing float64        `json:"spacing_m"`
	Choices report.Grid    `json:"choices"` // coarser and finer grids
	Units   Units          `json:"units"`
	Target  Target         `json:"target"`
	Shades  []report.Shade `json:"shades"`
	Floor   *Floor         `json:"floor"`
}
