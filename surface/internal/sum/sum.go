// Package sum adds many terms without losing the small ones.
package sum

// Sum is a compensated sum: the error of the total stays within a few units in the last
// place of the sum of magnitudes, for any number of terms. Source: Neumaier 1974, ZAMM
// 54:39-51. The zero value is an empty sum.
type Sum struct{ s, c float64 }

// Add adds x. The rounding error is exact whichever of the two is larger: Knuth 1969, The Art
// of Computer Programming 2, section 4.2.2, theorem B.
func (a *Sum) Add(x float64) {
	t := a.s + x
	v := t - a.s
	a.c += (a.s - (t - v)) + (x - v)
	a.s = t
}

// Merge adds another sum.
func (a *Sum) Merge(b Sum) {
	a.Add(b.s)
	a.Add(b.c)
}

// Value returns the total.
func (a *Sum) Value() float64 { return a.s + a.c }
