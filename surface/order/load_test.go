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
	// ASCE 7-16, table C3.1: tile of 19 mm (3/4 in) on 25 mm (1 in) of mortar, 1.10 kN/m²; 22.97 lb/ft² by
	// hand, and 23 in the table in US units, from memory.
	load := 1.10 * 1000 / gravity
	near(t, "kPa", Kilopascals(load), 1.10)
	if got := PoundsPerSquareFoot(load); got < 22.965 || got > 22.985 {
		t.Errorf("1.10 kN/m² = %.3f lb/ft², want 22.97", got)
	}
	// 150 lb/ft³: 12.5 lb/ft² for every inch; the usual 40 lb/ft² of a dwelling is 1.92 kPa (ASCE 7, from memory).
	near(t, "an inch", PoundsPerSquareFoot(150*pound/foot3*inch), 12.5)
	if got := Kilopascals(40 * pound / (foot * foot)); got < 1.915 || got > 1.925 {
		t.Errorf("40 lb/ft² = %.3f kPa, want 1.92", got)
	}
}

func TestLoadsBandByBand(t *testing.T) {
	// By hand, 2000 kg/m³: 10 m² hold 0.3 m³ in 25 to 50 mm: 60 kg/m², 100 at most; 5 m² hold 0.3 in 50 to
	// 75, where the fill ends at 70: 120 and 140.
	f := Floor{Net: 0.6, Area: 15, Least: -0.01, Greatest: 0.07, Bands: []Band{{-0.025, 0, 4, 0}, {0.025, 0.05, 10, 0.3}, {0.05, 0.075, 5, 0.3}}}
	got, err := f.Loads(2000)
	if err != nil || len(got) != 2 {
		t.Fatalf("%d bands, %v; want 2", len(got), err)
	}
	sum := 0.0
	for i, want := range []Load{{600, 60, 100}, {600, 120, 140}} {
		near(t, "mass", got[i].Load.Mass, want.Mass)
		near(t, "mean", got[i].Load.Mean, want.Mean)
		near(t, "most", got[i].Load.Most, want.Most)
		sum += got[i].Load.Mass
	}
	all, err := f.Load(2000)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bands together", sum, all.Mass)

	f.Bands = nil
	one, err := f.Loads(2000)
	if err != nil || len(one) != 1 || one[0].Load != all || one[0].From != 0 || one[0].To != 0.07 {
		t.Errorf("without bands: %+v, %v; want one with %+v", one, err, all)
	}
	if none, err := (Floor{}).Loads(2000); err != nil || len(none) != 0 {
		t.Errorf("nothing to fill: %+v, %v", none, err)
	}
	_, err = f.Loads(math.NaN())
	refused(t, "unit weight", err)
	_, err = Floor{Net: -1, Area: 1}.Loads(2000)
	refused(t, "net volume", err)
}
