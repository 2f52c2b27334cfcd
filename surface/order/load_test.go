package order

import (
	"math"
	"testing"
)

func TestLoadOfASlab(t *testing.T) {
	// 150 lb/ft³: 1, 2, 3, 4, 6 in weigh 12.5, 25, 37.5, 50, 75 lb/ft² (arithmetic).
	const psf = pound / (foot * foot)
	for in, want := range map[float64]float64{1: 12.5, 2: 25, 3: 37.5, 4: 50, 6: 75} {
		l, err := Floor{Net: 10 * in * inch, Area: 10}.Load(150 * pound / foot3)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mean", l.Mean/psf, want)
		near(t, "most", l.Most/psf, want)
	}
	// 1 lb/ft² is 47.8803 Pa (exact to the digits).
	if got := Kilopascals(psf) * 1000; got < 47.88025 || got > 47.88035 {
		t.Errorf("1 lb/ft² = %.5f Pa, want 47.8803", got)
	}
}

func TestPublishedLoads(t *testing.T) {
	const psf = pound / (foot * foot)
	// ASCE 7-16, table C3.1: tile of 19 mm (3/4 in) on 25 mm (1 in) of mortar, 1.10 kN/m²; 23 lb/ft² in the
	// table in US units, from memory.
	if got := Kilopascals(23 * psf); got < 1.095 || got > 1.105 {
		t.Errorf("23 lb/ft² = %.3f kPa, want 1.10", got)
	}
	// The usual 40 lb/ft² of a dwelling is 1.92 kPa (ASCE 7, from memory).
	if got := Kilopascals(40 * psf); got < 1.915 || got > 1.925 {
		t.Errorf("40 lb/ft² = %.3f kPa, want 1.92", got)
	}
}

// The ramp of 10 m² from 0 to 100 mm, by hand: leveller 71.75 L of 2000 kg/m³, concrete 0.42 m³
// of 2400; 8.25 L that neither serves count as concrete. 143.5 + 1008 + 19.8 = 1171.3 kg.
func TestLoadByMaterial(t *testing.T) {
	ms := Materials{leveller, concrete}
	s, err := Serve(ramp(10, 0, 0.1, Limits(ms)), ms)
	if err != nil {
		t.Fatal(err)
	}
	for greatest, most := range map[float64]float64{0: 240, 0.1: 240, 0.09: 216, 1: 240} {
		l, err := s.Load(greatest)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mass", l.Mass, 1171.3)
		near(t, "mean", l.Mean, 117.13)
		near(t, "most", l.Most, most)
	}
	// 60 mm of something of 4500 kg/m³ weigh more than 100 mm of concrete.
	ms = Materials{{Name: "heavy", Greatest: 0.06, UnitWeight: 4500}, concrete}
	if s, err = Serve(ramp(10, 0, 0.1, Limits(ms)), ms); err != nil {
		t.Fatal(err)
	}
	l, err := s.Load(0.1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "most, where it is not deepest", l.Most, 270)
	_, err = s.Load(math.NaN())
	refused(t, "max depth", err)
}
