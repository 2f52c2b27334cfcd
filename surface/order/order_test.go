package order

import (
	"math"
	"testing"
)

func TestOrderIsRoundedUp(t *testing.T) {
	const foot3 = 0.028316846592
	for _, c := range []struct {
		name                 string
		net, allowance, step float64
		want                 float64
	}{
		// NAVEDTRA 14070, chapter 5: 527.40 ft³ with 10 % waste is 580.14 ft³ =
		// 21.487 yd³. The manual prints 21, which would run short; to the next
		// quarter yard it is 21.50.
		{"small building, US Navy manual", 527.397 * foot3, 0.10, CubicYard / 4, 21.50 * CubicYard},
		// 2018 National Home Improvement Estimator, p. 42: 420 ft² at 4 in, 5 %:
		// 5.44 yd³; to the next quarter yard 5.50.
		{"drive, estimator's handbook", 420 * 4.0 / 12 * foot3, 0.05, CubicYard / 4, 5.50 * CubicYard},
		{"a whole number of steps stays", 3, 0, 0.25, 3},
		{"the last bit does not buy a step", 0.1 + 0.2, 0, 0.1, 0.3},
		{"a little over does", 3.0001, 0, 0.25, 3.25},
		{"nothing", 0, 0.05, 0.25, 0},
	} {
		m, err := New(c.net, 100, 0.2, c.allowance, c.step, NormalConcrete)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(m.Order-c.want) > 1e-9 {
			t.Errorf("%s: order = %.6f m³, want %.6f", c.name, m.Order, c.want)
		}
	}
}

func TestSlabWeighsTwelveAndAHalfPoundsPerSquareFootAndInch(t *testing.T) {
	// 150 lb/ft³: 6 in of concrete is 75 lb/ft² (arithmetic; the unit weight is
	// ACI 318's, from memory).
	const lb, foot = 0.45359237, 0.3048
	w := 150 * lb / (foot * foot * foot)
	m, err := New(10*0.5*foot, 10, 0.5*foot, 0, 0.1, w)
	if err != nil {
		t.Fatal(err)
	}
	if got := m.Load.Mean / lb * foot * foot; math.Abs(got-75) > 1e-9 {
		t.Errorf("mean load = %g lb/ft², want 75", got)
	}
	if m.Load.Most != m.UnitWeight*0.5*foot {
		t.Errorf("greatest load = %g kg/m², want %g", m.Load.Most, m.UnitWeight*0.5*foot)
	}
}

func TestImpossibleNumbersAreRefused(t *testing.T) {
	for _, c := range [][6]float64{
		{-1, 1, 0, 0, 1, 1}, {1, 0, 0, 0, 1, 1}, {1, 1, 0, -0.1, 1, 1}, {1, 1, 0, 1.5, 1, 1},
		{1, 1, 0, 0, 0, 1}, {1, 1, 0, 0, 1, 0}, {math.NaN(), 1, 0, 0, 1, 1}, {math.Inf(1), 1, 0, 0, 1, 1},
	} {
		if _, err := New(c[0], c[1], c[2], c[3], c[4], c[5]); err == nil {
			t.Errorf("New(%v) gave no error", c)
		}
	}
}
