package uncertainty

import "math"

// Freedom returns the degrees of freedom of what is not known between the shots: of the region with
// the fewest.
func (m *Model) Freedom() float64 {
	out := math.Inf(1)
	for _, g := range m.regions {
		for _, f := range g.fields {
			out = min(out, f.freedom)
		}
	}
	return out
}
