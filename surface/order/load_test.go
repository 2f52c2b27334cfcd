package order

import (
	"math"
	"testing"

	"pourplane/survey/unit"
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

// The ramp of 10 m² from 0 to 100 mm, by hand: leveller 71.75 L of 2000 kg/m³, concrete 0.42 m³
// of 2400; 8.25 L that neither serves count as concrete. 143.5 + 1008 + 19.8 = 1171.3 kg.
func TestLoadByMaterial(t *testing.T) {
	ms := Materials{leveller, concrete}
	s, err := Serve(ramp(10, 0, 0.1, Limits(ms)), ms, unit.Style{})
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
	if s, err = Serve(ramp(10, 0, 0.1, Limits(ms)), ms, unit.Style{}); err != nil {
		t.Fatal(err)
	}
	l, err := s.Load(0.1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "most, where it is not deepest", l.Most, 270)
	_, err = s.Load(math.NaN())
	refused(t, "greatest depth", err)
}
