// Package setout is what is marked and laid on a floor before the pour: grade pins, bars or
// mesh with their chairs, and the dams between bays.
package setout

import "pourplane/surface"

// Pin is a grade pin: a place on the old floor and the height of its mark above it.
type Pin struct {
	Name   string
	At     surface.Vec // on the grid of the survey
	Room   string      // name of the region, if there are several regions
	Wall   bool        // along a wall, not in the grid
	Floor  float64     // m, elevation of the old floor there
	Depth  float64     // m, target minus floor; negative: the floor is above the target
	Within float64     // m: Depth is within ± of that with a probability of 90 %; 0: not known
	SD     float64     // m: standard deviation of Depth; 0: not known
	Doubt  string      // the reading in doubt on which Floor depends, "shot 7"; empty: none
	Slight bool        // a reading in doubt changes Floor, but by no more than the step of the crew's rule
	Height float64     // m: Depth rounded down to the step of the crew's rule; 0 if Depth is negative
}

// Bar is a straight reinforcing bar as cut.
type Bar struct {
	Mark     string // bars of one mark have the same size and direction
	From, To surface.Vec
}

// Length returns the length of a bar, m.
func (b Bar) Length() float64 { return b.From.Distance(b.To) }
