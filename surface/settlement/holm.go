package settlement

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Holm returns p-values corrected for being looked at together, in the same order: to
// call only those at most α significant makes a false call among all of them with a
// chance of at most α, however they depend on each other.
//
// Source: Holm 1979, A simple sequentially rejective multiple test procedure, Scandinavian
// Journal of Statistics 6:65-70.
func Holm(p []float64) []float64 {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p[a], p[b]) })
	out := make([]float64, len(p))
	most := 0.0
	for k, i := range order {
		most = max(most, min(1, float64(len(p)-k)*p[i]))
		out[i] = most
	}
	return out
}

// twoSided returns the chance that error alone makes a change as large as m, up or down.
// It is 1 where the error is not known.
func twoSided(m Moved) float64 {
	if !m.Known() {
		return 1
	}
	if m.Freedom > 0 {
		return 2 * distuv.StudentsT{Sigma: 1, Nu: m.Freedom}.Survival(math.Abs(m.Change)/m.SD)
	}
	return math.Erfc(math.Abs(m.Change) / m.SD / math.Sqrt2)
}

// Quantile returns the value that a standard normal one is below with chance p.
func Quantile(p float64) float64 { return distuv.UnitNormal.Quantile(p) }
