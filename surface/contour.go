package surface

// Contour is a line of equal depth. Closed lines do not repeat their first
// place. Depth grows to the left of the direction of travel.
type Contour struct {
	Level  float64
	Line   []Vec // on the grid of the survey
	Closed bool
}
