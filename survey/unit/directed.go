package unit

import "math"

// Noise is the max rounding error of a length or a level, m, in sums of lengths that are exact in
// inches or in decimals. Within it a value counts as a whole step. Places are on a grid of 1 nm,
// which at a slope of 1 is 1 nm of level. An elevation on a plane adds a few roundings of float64:
// each is at most 1e-16 of a coordinate, 1 nm at 10,000 km from the origin. 100 nm is well above
// their sum, and 1/4,000 of the finest step shown, 1/64 in.
const Noise = 1e-7

// Down rounds m down to whole steps. Within [Noise] below a step it is that step: a plane that
// falls 1/8 in a foot is 1 in lower after 8 ft, not a step more.
func Down(m, step float64) float64 { return math.Floor((m+Noise)/step) * step }

// Up rounds m up to whole steps. Within [Noise] above a step it is that step.
func Up(m, step float64) float64 { return 0 - Down(-m, step) } // 0, not −0
