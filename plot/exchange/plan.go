// Package exchange writes results for other programs, in open formats: tables as XLSX, plans
// as DXF and GeoJSON.
package exchange

import "pourplane/surface"

// Plan is a drawing at true places, layer by layer, on the grid of the survey in metres. An
// item without a single elevation, such as a line on a falling plane, is at 0 in a DXF and
// has no elevation_m in GeoJSON.
type Plan struct {
	Title  string
	Layers []Layer
	Unit   Unit // of the drawing, in DXF; GeoJSON is in metres
}

// Unit is the length of one drawing unit of a DXF. The zero value is a metre.
type Unit uint8

const (
	Metre Unit = iota
	Foot
	SurveyFoot // of 1200/3937 m
)

// units of a drawing: length in metres, name, and number as $INSUNITS. Source: DXF
// reference, header variables (2, 6; 21 from release 2017 on).
var units = [...]struct {
	metres float64
	name   string
	number string
}{{1, "metre", "6"}, {0.3048, "foot", "2"}, {1200. / 3937, "US survey foot", "21"}}

// Layer is a group of items of a plan.
type Layer struct {
	Name   string // capitals, digits, hyphens: "CONTOURS"
	Areas  []Area
	Lines  []Line
	Labels []Label
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

// Label is a place with a text beside it.
type Label struct {
	At         surface.Vec
	Elevation  float64 // m; NaN: none
	Text       string
	Properties []Property
}

// Property is a number or text of an item of a plan. Its name includes the unit: "depth_mm".
type Property struct {
	Name  string
	Value any // a string, a float64, an int or a bool; nil: not known, null in GeoJSON
}
