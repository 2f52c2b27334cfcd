package job

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/surface/order"
)

// bumpy is a floor of 10 by 8 m shot on a grid of 1 m, 50 mm below 10 m on average.
func bumpy() fstest.MapFS {
	rng := rand.New(rand.NewPCG(4, 4))
	var b strings.Builder
	b.WriteString("x (m),y (m),z (m)\n")
	for i := range 11 {
		for j := range 9 {
			fmt.Fprintf(&b, "%d,%d,%.4f\n", i, j, 9.95+0.008*math.Sin(float64(i)/2)*math.Cos(float64(j)/3)+0.0015*rng.NormFloat64())
		}
	}
	return fstest.MapFS{"floor.csv": {Data: []byte(b.String())}}
}

// filledFor is the fill of the floor with a risk in percent; 0: none.
func filledFor(t *testing.T, risk float64) *Filled {
	t.Helper()
	j := &Job{Survey: Survey{Files: []string{"floor.csv"}}, Target: Target{Elevation: "10m"}, Plant: Plant{Truck: "6m3"}}
	if risk > 0 {
		j.Mix.RiskPercent = &risk
	}
	w, err := Fill(j, nil, bumpy(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// What an order leaves over and lacks, and how often it runs short, is that of fills drawn from the
// distribution: 200,000 of them, to 5 standard errors.
func TestRisksByDrawing(t *testing.T) {
	t.Parallel()
	w := filledFor(t, 0)
	s := w.Sure()
	now, all := w.Risks()
	if len(all) != len(usualRisks) {
		t.Fatalf("%d orders", len(all))
	}
	rng := rand.New(rand.NewPCG(7, 7))
	const n = 200_000
	needs := make([]float64, n)
	for i := range needs {
		// By hand: the net volume and 5 % of it, nothing else.
		needs[i] = 1.05 * s.Dist.Quantile(rng.Float64())
	}
	for _, r := range append(all, now) {
		var short, over, lack, over2, lack2 float64
		for _, need := range needs {
			d := r.Order - need
			if d < 0 {
				short++
				lack, lack2 = lack-d, lack2+d*d
				continue
			}
			over, over2 = over+d, over2+d*d
		}
		mean := func(sum, squares float64) (m, se float64) {
			m = sum / n
			return m, math.Sqrt(max(0, squares/n-m*m)/n) + 1e-6
		}
		p, pse := mean(short, short)
		o, ose := mean(over, over2)
		l, lse := mean(lack, lack2)
		if math.Abs(p-r.Risk) > 5*pse+4e-5 || math.Abs(o-r.Over) > 5*ose || math.Abs(l-r.Short) > 5*lse {
			t.Errorf("risk %g: order %.2f m³: short %.5f, drawn %.5f; over %.5f, drawn %.5f; lacking %.6f, drawn %.6f", r.Asked, r.Order, r.Risk, p, r.Over, o, r.Short, l)
		}
		if r.Asked > 0 && r.Risk > r.Asked+1e-6 {
			t.Errorf("order for a risk of %g runs short %g", r.Asked, r.Risk)
		}
		if d, _, _ := w.demand(); r.Asked > 0 && 1-d.dist.Below(r.Order-0.25) < r.Asked-1e-6 {
			t.Errorf("a step less than %g runs short less than %g too", r.Order, r.Asked)
		}
		if math.Abs(math.Mod(r.Order+1e-9, 0.25)) > 1e-6 {
			t.Errorf("order %g is not in whole steps", r.Order)
		}
	}
}

// A risk raises the order to the need at it, and never lowers it.
func TestOrderForARisk(t *testing.T) {
	t.Parallel()
	plain := filledFor(t, 0)
	for _, p := range []float64{50, 5, 1} {
		w := filledFor(t, p)
		s := w.Sure()
		margin := max(0, s.Dist.Quantile(1-p/100)-s.Fill)
		if got := w.Takeoff.Need - plain.Takeoff.Need; math.Abs(got-1.05*margin) > 1e-9 || math.Abs(w.Takeoff.Volume(order.Margin)-margin) > 1e-12 {
			t.Errorf("%g %%: need %g m³ more, margin %g", p, got, margin)
		}
		if w.Delivery.Volume < plain.Delivery.Volume {
			t.Errorf("%g %%: order lowered to %g", p, w.Delivery.Volume)
		}
		now, all := w.Risks()
		if p < 50 && now.Risk > p/100+1e-6 {
			t.Errorf("%g %%: the order runs short %g", p, now.Risk)
		}
		_, same := plain.Risks()
		for i := range all {
			if math.Abs(all[i].Order-same[i].Order) > 1e-9 {
				t.Errorf("%g %%: the order for %g is %g, without the option %g", p, all[i].Asked, all[i].Order, same[i].Order)
			}
		}
		for _, h := range w.Heights(0.001, 0) {
			if math.Abs(h.Order-w.Delivery.Volume) > 1e-9 {
				t.Errorf("%g %%: order %g at the height that it is, want %g", p, h.Order, w.Delivery.Volume)
			}
		}
	}
}

// The target read from a shot of the same set-up cancels the error that the set-up has in common.
func TestSetupCancels(t *testing.T) {
	t.Parallel()
	files := bumpy()
	text := strings.Replace(string(files["floor.csv"].Data), "x (m),y (m),z (m)", "x (m),y (m),z (m),code", 1)
	files["floor.csv"].Data = []byte(text + "10,4,10.0,ADJ\n")
	w, err := Fill(&Job{Survey: Survey{Files: []string{"floor.csv"}}, Target: Target{FinishCodes: []string{"ADJ"}, Buildup: "0mm"}}, nil, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := w.Sure().Parts.Setup; got > 1e-9 {
		t.Errorf("set-up %g m³, want 0", got)
	}
	if got, want := filledFor(t, 0).Sure().Parts.Setup, 0.001*80.0; math.Abs(got-want) > 1e-6 {
		t.Errorf("set-up %g m³ of a given elevation, want 1 mm on 80 m²: %g", got, want)
	}
}

// Bands and regions are known no better than their floor allows: the regions' fills vary as the
// volume does, and every band has an area that is not certain.
func TestSpreadOfParts(t *testing.T) {
	t.Parallel()
	w := filledFor(t, 0)
	s := w.Sure()
	if got := s.Regions(); len(got) != 1 || math.Abs(got[0]/s.Parts.Total-1) > 0.15 {
		t.Errorf("fill of the region ±%v, of the volume ±%g", got, s.Parts.Total)
	}
	bands := s.Bands(w.Fill.Bands)
	if len(bands) != len(w.Fill.Bands) {
		t.Fatalf("%d bands, want %d", len(bands), len(w.Fill.Bands))
	}
	for i, b := range bands {
		if !(b.Area.SD > 0 && b.Volume.SD > 0 && b.Area.Within >= b.Area.SD/2) {
			t.Errorf("band %d: %+v", i, b)
		}
	}
	if &bands[0] != &s.Bands(w.Fill.Bands)[0] {
		t.Error("the bands are worked out again")
	}
	// All depths together are one band: its area is that of the floor, its volume the fill.
	one := s.Bands([]surface.Band{{From: 0, To: 1}})[0]
	if !(one.Area.Within < 1e-9 && math.Abs(one.Volume.SD/s.Parts.Total-1) < 0.02 && math.Abs(one.Volume.Within/s.Parts.Total/1.645-1) < 0.05) {
		t.Errorf("all as one band: %+v, the fill ±%g", one, s.Parts.Total)
	}
}

// What is filled on another floor of what was found above the target is not looked at: there, and in
// the band next to it, nothing says how far a band is known.
func TestBandsAboveTheTargetAreNotMeasured(t *testing.T) {
	t.Parallel()
	w, err := Fill(&Job{Survey: Survey{Files: []string{"floor.csv"}}, Target: Target{Elevation: "9.95m"}}, nil, bumpy(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if w.Fill.Cut == 0 || w.Fill.Fill == 0 {
		t.Fatalf("cut %g m³, fill %g m³", w.Fill.Cut, w.Fill.Fill)
	}
	for i, b := range w.Sure().Bands(w.Fill.Bands) {
		if of := w.Fill.Bands[i]; math.IsNaN(b.Area.Within) != (of.From <= 0) || math.IsNaN(b.Volume.SD) != (of.From <= 0) {
			t.Errorf("from %g to %g m: %+v", of.From, of.To, b)
		}
	}
}

// Too few shots say nothing, and a risk cannot be kept by them.
func TestSureOfTooFewShots(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"floor.csv": {Data: []byte("x (m),y (m),z (m)\n0,0,9.95\n4,0,9.95\n0,3,9.96\n")}}
	j := &Job{Survey: Survey{Files: []string{"floor.csv"}}, Target: Target{Elevation: "10m"}}
	w, err := Fill(j, nil, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	if s := w.Sure(); s.Known || len(s.Next()) > 0 || s.Bands(w.Fill.Bands) != nil {
		t.Errorf("%+v", s)
	}
	if _, all := w.Risks(); all != nil {
		t.Error(all)
	}
	risk := 5.0
	j.Mix.RiskPercent = &risk
	if _, err := Fill(j, nil, files, nil); err == nil || !strings.Contains(err.Error(), "risk") || !strings.Contains(err.Error(), "3 shots, min 4 needed") {
		t.Error(err)
	}
}

// Values out of range are refused.
func TestRiskAndNextOutOfRange(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]bool{"5": true, "0.1": true, "50": true, "5 %": true, "0.09": false, "51": false, "-1": false, "x": false} {
		if _, err := parseRisk(text); (err == nil) != want {
			t.Errorf("risk %s: %v", text, err)
		}
	}
	for text, want := range map[string]bool{"0": true, "50": true, "51": false, "-1": false, "1.5": false} {
		if _, err := parseNext(text); (err == nil) != want {
			t.Errorf("next %s: %v", text, err)
		}
	}
	for _, v := range []float64{0.05, 60} {
		j := &Job{Survey: Survey{Files: []string{"floor.csv"}}, Target: Target{Elevation: "10m"}, Mix: Mix{RiskPercent: &v}, Outputs: Outputs{NextShots: nil}}
		if _, err := Fill(j, nil, bumpy(), nil); err == nil {
			t.Errorf("risk of %g taken", v)
		}
	}
	half := 1.5
	j := &Job{Survey: Survey{Files: []string{"floor.csv"}}, Target: Target{Elevation: "10m"}, Outputs: Outputs{NextShots: &half}}
	if _, err := Fill(j, nil, bumpy(), nil); err == nil {
		t.Error("1.5 shots taken")
	}
}
