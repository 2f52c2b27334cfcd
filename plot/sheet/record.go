// Package sheet lays out results on pages: the record to hand over, as PDF or as one HTML
// file, and the sheet of pins for the crew.
package sheet

import (
	"pourplane/plot"
	"pourplane/plot/table"
	"pourplane/surface"
)

// Record is the record to hand over, in reading order.
type Record struct {
	Title    string
	Date     string // as printed on every page
	Program  string // name and version of the program that made it
	Sections []Section
	Across   bool  // on paper: landscape
	OnePage  bool  // on paper: pictures get smaller, or are left out, before a second page is used
	Pins     []Pin // on a screen, on the depth map: a touch on one shows its text

	snug bool // pictures are no higher than the table that they are beside
}

// Pin is a mark at a place on the floor.
type Pin struct {
	At         surface.Vec
	Name, Text string
}

// Section is a part of a record under a heading. Empty fields are left out; the others are
// shown in their order here.
type Section struct {
	Title   string
	NewPage bool // starts a new page on paper
	// Together starts a new page on paper unless all of the section fits on the rest of one, and
	// sets its pictures before the next section.
	Together bool
	Lead     bool // the pictures matter most: right below the figures on a screen, with room on paper
	Figures  []Figure
	Warnings []string // changes to the figures, right below them
	Text     []string // paragraphs
	Cautions []string // set apart, each with a warning sign
	Tables   []table.Table
	Pictures []Picture
	Lines    []string // to fill in by hand: "Levels checked by", with room for name, date and signature
}

// Figure is one of the main numbers, shown large with its name below.
type Figure struct{ Value, Name string }

// Picture is a drawing with a caption.
type Picture struct {
	Drawing plot.Drawing
	Caption string
	Most    float64 // max share of the height of a page on paper; 0: all of it
	Half    bool    // on paper beside the next one, if that is half too
	Beside  bool    // on paper right of the first table of its section, where that leaves room
	Instead string  // with Beside: set in its place where it would cost a page
}

// Paper is the size of the pages.
type Paper uint8

const (
	A4 Paper = iota
	Letter
)
