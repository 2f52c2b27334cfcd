// Package sheet lays what was found out on pages: the record that is handed over, as
// PDF or as one HTML file, and the sheet of pins for the crew.
package sheet

import (
	"pourplane/plot"
	"pourplane/plot/table"
	"pourplane/surface"
)

// Record is what is handed over, in the order it is read.
type Record struct {
	Title    string
	Date     string // as it is to stand on every page
	Program  string // name and version of what made it
	Sections []Section
	Across   bool  // on paper, turned
	OnePage  bool  // on paper: pictures get smaller, or are left out, before a second page is begun
	Pins     []Pin // on a screen, on the depth map: touched, each shows its text
}

// Pin is a mark at a place of the floor.
type Pin struct {
	At         surface.Vec
	Name, Text string
}

// Section is a part of a record under a heading. What is empty is left out; what is
// there is shown in the order of the fields.
type Section struct {
	Title    string
	NewPage  bool // begins a page of its own on paper
	Lead     bool // the pictures matter most: right below the figures on a screen, with room on paper
	Figures  []Figure
	Warnings []string // what changes the figures, right below them
	Text     []string // paragraphs
	Cautions []string // set off, each with a sign of warning
	Tables   []table.Table
	Pictures []Picture
	Lines    []string // to be filled in by hand: "Levels checked by", with room for name, date and signature
}

// Figure is one of the main numbers, shown large with a word beneath it.
type Figure struct{ Value, Name string }

// Picture is a drawing with a line beneath it.
type Picture struct {
	Drawing plot.Drawing
	Caption string
	Most    float64 // share of the height of a page that it may take on paper; 0: all of it
	Half    bool    // on paper beside the next one, where that is half too
}

// Paper is the size of the pages.
type Paper uint8

const (
	A4 Paper = iota
	Letter
)
