package settlement

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Interval90 times a standard deviation that is known is half the width of a 90 % confidence
// interval of a normal value.
const Interval90 = 1.6448536269514722

// times90 is [Interval90] for a standard deviation that was estimated with some degrees of freedom,
// by Student's t; 0: it is known.
func times90(freedom float64) float64 {
	if freedom == 0 || freedom > 1000 {
		return Interval90
	}
	return distuv.StudentsT{Sigma: 1, Nu: freedom}.Quantile(0.95)
}

// FreedomOf returns the degrees of freedom of the sum of a part that is known and parts that were
// estimated: standard deviations, each with its own. Source: Satterthwaite 1946, Biometrics
// Bulletin 2:110-114. It is 0, for known, where no part is estimated.
func FreedomOf(known float64, estimated, freedom []float64) float64 {
	sum, fourth := known*known, 0.0
	for i, sd := range estimated {
		sum += sd * sd
		if freedom[i] > 0 && !math.IsInf(freedom[i], 1) {
			fourth += math.Pow(sd, 4) / freedom[i]
		}
	}
	if !(fourth > 0) {
		return 0
	}
	return sum * sum / fourth
}
