package uncertainty

import "math"

// Smoothness is how smooth a floor is from one place to the next: the parameter ν of the Matérn
// family. Source: Stein 1999, Interpolation of Spatial Data, 2.7; closed forms of half-integer ν in
// Rasmussen and Williams 2006, Gaussian Processes for Machine Learning, (4.14) to (4.17).
type Smoothness uint8

const (
	Rugged Smoothness = iota // ν = 1/2: steps and edges at any scale, the exponential model
	Bent                     // ν = 3/2: bends, but no steps
	Smooth                   // ν = 5/2: smooth
)

// Field is how a floor undulates about a plane: a random field whose correlation falls with
// distance, and what each shot has of its own beside the reading error.
type Field struct {
	Smooth Smoothness
	Reach  float64 // m: the scale ℓ of the Matérn family
	SD     float64 // m: of the correlated part
	Own    float64 // m: standard deviation of roughness under the rod
}

// Correlation returns the correlation of two places d metres apart.
func (f Field) Correlation(d float64) float64 { return matern(f.Smooth, d/f.Reach) }

// Semivariance returns half the mean square difference between the elevations of two places d
// metres apart, m², without roughness and reading error.
func (f Field) Semivariance(d float64) float64 { return f.SD * f.SD * (1 - f.Correlation(d)) }

func matern(s Smoothness, d float64) float64 {
	switch s {
	case Rugged:
		return math.Exp(-d)
	case Bent:
		d *= math.Sqrt(3)
		return (1 + d) * math.Exp(-d)
	}
	d *= math.Sqrt(5)
	return (1 + d + d*d/3) * math.Exp(-d)
}
