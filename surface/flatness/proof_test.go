package flatness

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// oneLow is a floor of 9.6 by 7.2 m with shots every 1.2 m and one of them low.
func oneLow(t *testing.T, low float64) *surface.Floor {
	t.Helper()
	return gridFloor(t, 8, 6, 1.2, func(x, y float64) float64 {
		if math.Hypot(x-4.8, y-3.6) < 0.1 {
			return -low
		}
		return 0
	})
}

// By hand: shots 1.2 m apart and one 30 mm low. Under an edge of 2.4 m it is a gap of 30 mm.
// Under one of 2 m three places 0.6 m apart have a quarter of it or more; under one of 1 m,
// three 0.4 m apart a ninth. With errors each of many candidates must exceed its own.
func TestGapProvenByThreeShots(t *testing.T) {
	f := oneLow(t, 0.030)
	for length, want := range map[float64]float64{2.4: 0.030, 2: 0.030 / 4, 1.2: 0.030 / 4, 1: 0.030 / 9, 0.7: 0.030 / 16} {
		p, ok := Prove(f, length, 0)
		if !ok || math.Abs(p.Least-want) > 1e-12 || p.C != (surface.Vec{X: 4.8, Y: 3.6}) {
			t.Errorf("%g m: %+v, want %g", length, p, want)
		}
	}
	if p, ok := Prove(f, 0.5, 0); ok {
		t.Errorf("five steps of 0.24 m: %+v", p)
	}
	p, _ := Prove(f, 2, 0.001)
	if z := (0.030/4 - p.Least) / (GapSD(0.001, 0.5) / 4); z < 2.5 || z > 4.5 {
		t.Errorf("%g m less for errors of 1 mm, %.2f of their spread", 0.030/4-p.Least, z)
	}
	if p, ok := Prove(oneLow(t, 0.0005), 2, 0.001); ok {
		t.Errorf("half a millimetre low with errors of 1 mm: %+v", p)
	}
	// An edge that has no floor under it everywhere proves nothing.
	narrow := room(t, 2.6, 0.6, [][2]float64{{0.1, 0.3}, {1.3, 0.3}, {2.5, 0.3}, {1.3, 0.1}})
	for v := range narrow.Regions[0].TIN.Z {
		if tin := narrow.Regions[0].TIN; tin.At(int32(v)) == (surface.Vec{X: 1.3, Y: 0.3}) {
			tin.Z[v] -= 0.05
		}
	}
	if _, ok := Prove(narrow, 2.4, 0); !ok {
		t.Error("an edge from shot to shot in a corridor of 2.6 m is not seen")
	}
	if p, ok := Prove(narrow, 2.7, 0); ok {
		t.Errorf("an edge longer than the corridor: %+v", p)
	}
}

// What shots prove is never more than the gap on the floor that they are from, whatever it does
// between them; with errors in at most one of 20 floors.
func TestProvenGapIsThere(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	found, wrong := 0, 0
	for i := range 40 {
		reach := []float64{0.3, 0.8, 2}[i%3]
		length := []float64{1, 2, 3}[i/3%3]
		z := roughFloor(r, 0.010, reach)
		truth, err := Lay(shotFloor(t, r, 6, 5, 0.1, 0, z), Laying{Length: length})
		if err != nil {
			t.Fatal(err)
		}
		// Shots are at places of the fine floor, so that they are on it.
		exact := func(x, y float64) float64 { return z(x, y) }
		if p, ok := Prove(shotFloor(t, r, 6, 5, 1, 0, exact), length, 0); ok {
			found++
			if p.Least > truth.Gap*1.02+1e-4 { // the fine floor is read every 100 mm
				t.Errorf("reach %g, edge of %g m: %g proven, %g there", reach, length, p.Least, truth.Gap)
			}
		}
		if p, ok := Prove(shotFloor(t, r, 6, 5, 1, 0.003, exact), length, 0.003); ok && p.Least > truth.Gap {
			wrong++
		}
	}
	if found < 30 || wrong > 2 {
		t.Errorf("%d of 40 floors with a proof, %d wrong with errors", found, wrong)
	}
}

// Proofs do not depend on the order of the shots.
func TestProofInAnyOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	var shots []survey.Point
	for range 60 {
		shots = append(shots, survey.Point{X: float64(r.IntN(9)), Y: float64(r.IntN(7)), Z: 0.03 * r.Float64()})
	}
	var want Proof
	for i := range 4 {
		f, err := surface.NewFloor(surface.Data{Shots: shots, Duplicates: surface.Mean})
		if err != nil {
			t.Fatal(err)
		}
		p, ok := Prove(f, 3, 0.0005)
		if !ok {
			t.Fatal("nothing proven")
		}
		if i == 0 {
			want = p
		}
		if math.Abs(p.Least-want.Least) > 1e-12 || p.C != want.C {
			t.Errorf("%+v, want %+v", p, want)
		}
		r.Shuffle(len(shots), func(i, j int) { shots[i], shots[j] = shots[j], shots[i] })
	}
}

// Steps divide both arms, as few as possible.
func TestStepsOfTwoArms(t *testing.T) {
	for _, c := range []struct{ a, b, most, product, step float64 }{
		{1, 1, 1, 1, 1}, {1, 1, 0.98, 4, 0.5}, {1, 1, 0.985, 1, 1}, {1, 1, 0.6, 4, 0.5}, {1, 1, 0.49, 9, 1. / 3}, {1, 2, 1, 2, 1}, {2, 1, 1, 2, 1}, {1, 1.5, 0.6, 6, 0.5}, {1, 1.03, 1, 0, 0}, {1, 1.01, 1, 1, 1}, {1, 1, 0.2, 0, 0}, {1, 5, 1, 0, 0},
	} {
		product, step := stepsOf(c.a, c.b, c.most)
		if product != c.product || math.Abs(step-c.step) > 1e-9 {
			t.Errorf("%g and %g, at most %g: %g of %g, want %g of %g", c.a, c.b, c.most, product, step, c.product, c.step)
		}
	}
}

// A pass needs readings close enough; a fail that the shots prove is kept, and says so.
func TestFailFromShotsFarApart(t *testing.T) {
	at := func(least float64) Measured {
		return Measured{
			GapAt: func(length float64) (Reading, bool) {
				return Reading{Value: 0.020, To: surface.Vec{X: length}, Apart: 1.2, Proof: &Proof{Least: least, A: surface.Vec{X: 1}, B: surface.Vec{X: 3}}, Share: func(float64) float64 { return 0 }}, length < 3.2
			},
			Datum: &Reading{Value: 0.020, Apart: 4, Proof: &Proof{Least: least}},
		}
	}
	for _, c := range []struct {
		least float64
		rule  string
		want  Outcome
	}{
		{0.0075, "bs8204-sr2", Fail}, {0.0050, "bs8204-sr2", NotMeasured}, {0.0075, "bs8204-sr3", NotMeasured},
		{0.0075, "nzs3109", Fail}, {0.0075, "bs8204-datum", NotMeasured},
	} {
		v := judgeNamed(t, at(c.least), c.rule, Settings{})[0]
		if v.Outcome != c.want || v.AtLeast != (c.want == Fail) || v.AtLeast && (v.Value != c.least || v.Wanted != 0 || !strings.Contains(v.Note, "proven by the shots")) {
			t.Errorf("%g m proven, %s: %+v", c.least, c.rule, v)
		}
	}
	// A share of all positions is not proven by a few of them.
	for _, v := range judgeNamed(t, at(0.030), "aci117-flat-gap", Settings{}) {
		if want := map[bool]Outcome{true: NotMeasured, false: Fail}[v.Row.Share > 0]; v.Outcome != want {
			t.Errorf("share %g: %v, want %v", v.Row.Share, v.Outcome, want)
		}
	}
	// Of a table by supports, each length that fails is a verdict of its own; here those of 1 m and
	// more are proven: 4 mm at 1 m, 6 at 2 m, and 8 at 3 m is more than what is.
	supports := at(0.0075)
	all := supports.GapAt
	supports.GapAt = func(length float64) (Reading, bool) {
		g, ok := all(length)
		if length < 1 {
			g.Proof = nil
		}
		return g, ok
	}
	fails, bare := 0, 0
	for _, v := range judgeNamed(t, supports, "din18202-3", Settings{}) {
		switch v.Outcome {
		case Fail:
			fails++
		case NotMeasured:
			bare++
		}
	}
	if fails != 2 || bare != 1 {
		t.Errorf("%d fails, %d not measured", fails, bare)
	}
}

// A limit inside the range of a value could go either way; outside it the verdict is clear.
func TestVerdictsInsideTheirError(t *testing.T) {
	for _, c := range []struct {
		value float64
		sure  Sure
		want  Outcome
		doubt bool
	}{
		{0.0029, Sure{}, Pass, false},
		{0.0029, Sure{SD: 0.0005}, Pass, true},
		{0.0020, Sure{SD: 0.0005}, Pass, false},
		{0.0020, Sure{SD: 0.0005, Short: 1. / 3}, Pass, true}, // up to 4.2 mm
		{0.0035, Sure{SD: 0.0005}, Fail, true},
		{0.0040, Sure{SD: 0.0005}, Fail, false},
		{0.0040, Sure{SD: 0.0005, Bias: 0.0005}, Fail, true},
	} {
		g := Reading{Value: c.value, Sure: c.sure, To: surface.Vec{X: 2}}
		for _, rule := range []string{"bs8204-sr1", "bs5385"} {
			v := judgeNamed(t, Measured{GapAt: func(float64) (Reading, bool) { return g, true }}, rule, Settings{})[0]
			if v.Outcome != c.want || v.InDoubt != c.doubt || c.sure.known() != (v.Low <= c.value && c.value <= v.High) {
				t.Errorf("%+v: %v, in doubt %t, %g to %g", c, v.Outcome, v.InDoubt, v.Low, v.High)
			}
		}
	}
	// Of shares: nine in ten within 1/4 in; 88 % are within two thirds of it.
	within := func(x float64) float64 { return min(1, x/0.00635*0.93) }
	for short, doubt := range map[float64]bool{0: false, 0.02: false, 1. / 3: true} {
		g := Reading{Value: 0.008, Share: within, Sure: Sure{SD: 0.0001, Short: short}, To: surface.Vec{X: 3}}
		v := judgeNamed(t, Measured{GapAt: func(float64) (Reading, bool) { return g, true }}, "aci117-flat-gap", Settings{})[0]
		if v.Outcome != Pass || v.InDoubt != doubt {
			t.Errorf("%g unseen: %v, in doubt %t", short, v.Outcome, v.InDoubt)
		}
	}
	// Of single values with an error: all of 20 within 4.5 mm, by 0.4 mm or by 3 mm.
	for most, doubt := range map[float64]bool{0.0041: true, 0.0015: false} {
		values := make([]float64, 20)
		for i := range values {
			values[i] = most
		}
		v := judgeNamed(t, Measured{PropertyE: &Spread{Values: values, SD: 0.001}}, "tr34-fm1", Settings{})[0]
		if v.Outcome != Pass || v.InDoubt != doubt {
			t.Errorf("%g m: %v, in doubt %t", most, v.Outcome, v.InDoubt)
		}
	}
	// Of thresholds; and one whose floor is estimated from far away.
	for _, c := range []struct {
		change, shot float64
		want         Outcome
		doubt        bool
	}{{0.004, 0.3, Pass, false}, {0.012, 0.3, Pass, true}, {0.014, 0.6, Fail, true}, {0.020, 0.3, Fail, false}, {0.004, 0.63, NotMeasured, false}, {0.020, 0.63, NotMeasured, false}} {
		m := Measured{Thresholds: []surface.Threshold{{Change: c.change}}, DoorShots: []float64{c.shot}, DoorSD: 0.0015}
		if v := judgeNamed(t, m, "ada", Settings{})[0]; v.Outcome != c.want || v.InDoubt != c.doubt {
			t.Errorf("%+v: %v, in doubt %t, %s", c, v.Outcome, v.InDoubt, v.Note)
		}
	}
}

// The error of readings is no larger than they scatter: as simulated, and not less than that in
// more than one of 20 floors.
func TestScatterOfReadings(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 42))
	less, floors := 0, 40
	total := 0.0
	for range floors {
		got := Scatter(shotFloor(t, r, 5, 4, 0.5, 0.0004, func(float64, float64) float64 { return 0 }), surface.Horizontal(0), nil, 0.0015)
		total += got / float64(floors)
		if got < 0.0004 {
			less++
		}
	}
	if less > 2 || total < 0.0004 || total > 0.0006 {
		t.Errorf("%.2g m on average, of 0.0004; %d of %d less", total, less, floors)
	}
	rough := shotFloor(t, r, 5, 4, 0.5, 0.0004, roughFloor(r, 0.01, 1))
	if got := Scatter(rough, surface.Horizontal(0), nil, 0.0015); got != 0.0015 {
		t.Errorf("a rough floor: %g m", got)
	}
	few := shotFloor(t, r, 5, 4, 1, 0.0001, func(float64, float64) float64 { return 0 })
	if got := Scatter(few, surface.Horizontal(0), nil, 0.0015); got != 0.0015 {
		t.Errorf("few shots: %g m", got)
	}
	var stations []survey.Station
	for range 200 {
		stations = append(stations, survey.Station{Z: 0.0003 * r.NormFloat64()})
	}
	if got := Scatter(nil, nil, []survey.Run{{Name: "A", Step: 0.3, Stations: stations}}, 0.001); got < 0.0003 || got > 0.0004 {
		t.Errorf("a run: %g m, of 0.0003", got)
	}
}
