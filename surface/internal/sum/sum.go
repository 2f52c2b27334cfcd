// Package sum adds many terms without losing the small ones.
package sum

import "math"

// Sum is a compensated sum: the error of the total stays within a few units in the last
// place of the sum of magnitudes, for any number of terms. Source: Neumaier 1974, ZAMM
// 54:39-51. The zero value is an empty sum.
type Sum struct{ s, c float64 }

// Add adds x.
func (a *Sum) Add(x float64) {
	t := a.s + x
	if math.Abs(a.s) >= math.Abs(x) {
		a.c += (a.s - t) + x
	} else {
		a.c += (x - t) + a.s
	}
	a.s = t
}

// Merge adds another sum.
func (a *Sum) Merge(b Sum) {
	a.Add(b.s)
	a.Add(b.c)
}

// Value returns the total.
func (a *Sum) Value() float64 { return a.s + a.c }
