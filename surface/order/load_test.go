package order

import (
	"strings"
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

func TestCautionsStandBesideWhatCausesThem(t *testing.T) {
	l := Load{Mass: 4800, Mean: 120, Most: 240}
	for _, c := range []struct {
		word string
		job  Job
	}{
		{"Grinding", Job{Cut: 0.1}}, {"silica and cement dust", Job{Bagged: true}}, {"settled, and will go on", Job{Grounded: true}},
		{"Heating pipes", Job{Heated: true}}, {"Old tile", Job{Old: true}}, {"F2170", Job{Covering: true}}, {"whips", Job{Pumped: true}},
		// 40 lb/ft² is 195.3 kg/m²; 240 of it is 123 %.
		{"195 kg/m², of which the fill alone takes 123 %", Job{Suspended: true}},
	} {
		text := func(j Job) string {
			var b strings.Builder
			for _, n := range Cautions(l, j, unit.Style{}) {
				b.WriteString(n.Text)
			}
			return b.String()
		}
		if !strings.Contains(text(c.job), c.word) {
			t.Errorf("%+v: no word of %q", c.job, c.word)
		}
		if strings.Contains(text(Job{}), c.word) {
			t.Errorf("%q is said of a job without it", c.word)
		}
	}
	if got := Cautions(Load{}, Job{}, unit.Style{}); len(got) != 1 {
		t.Errorf("nothing to fill: %d cautions, want that of pipes and cables alone", len(got))
	}
}
