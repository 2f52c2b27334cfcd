// Package exchange writes what was found out for other programs, in open formats:
// tables as XLSX, plans as DXF and GeoJSON.
package exchange

import "pourplane/surface"

// Plan is a drawing of true places, layer by layer, on the grid of the survey in
// metres. What has no elevation of its own, such as a line on a plane that falls, lies at
// 0 in a DXF and has no elevation_m in GeoJSON.
type Plan struct {
	Title  string
	Layers []Layer
}

// Layer is what belongs together in a plan.
type Layer struct {
	Name  string // capitals, digits, hyphens: "CONTOURS"
	Areas []Area
	Lines []Line
	Marks []Mark
}

// Area is a piece of floor with its openings. Rings do not repeat their first place.
type Area struct {
	Rings      [][]surface.Vec // the outer one first, counter-clockwise; then the openings, clockwise
	Elevation  float64         // m; NaN: none
	Properties []Property
}

// Line is an open or closed line.
type Line struct {
	Points     []surface.Vec
	Closed     bool
	Elevation  float64 // m; NaN: none
	Properties []Property
}

// Mark is a place with a word beside it.
type Mark struct {
	At         surface.Vec
	Elevation  float64 // m; NaN: none
	Text       string
	Properties []Property
}

// Property is a figure or word that belongs to a thing of a plan. Its name carries
// the unit: "depth_mm".
type Property struct {
	Name  string
	Value any // a string, a float64, an int or a bool
}
