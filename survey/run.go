package survey

import (
	"math"
)

// Run is a line of readings at a fixed step along a straight line, as flatness is
// measured.
type Run struct {
	Name     string
	Start    Point   // first reading; X and Y are NaN where the file does not place the run
	End      Point   // last reading; as Start
	Step     float64 // m; 0 if neither the file nor the options give it
	Stations []Station
	At       Pos
}

// Placed reports whether the plan position of the run is known.
func (r Run) Placed() bool { return !math.IsNaN(r.Start.X + r.Start.Y + r.End.X + r.End.Y) }

// Length returns the distance from the first to the last reading, m; 0 if Step is 0.
func (r Run) Length() float64 { return r.Step * float64(max(0, len(r.Stations)-1)) }

// Station is one reading of a run.
type Station struct {
	Z    float64 // m, upward; NaN without a reading
	Text string  // as written
	At   Pos
}
