package job

import (
	"math"
	"testing"
)

// pricedFill is the order of a result at the prices of its job: the lines that fill it.
func pricedFill(r *Result) float64 {
	e := r.entries()
	var t total
	r.addMix(&t, e)
	t.sum()
	return t.Cost.Amount
}

// Each row of the table is what the job gives with its target there.
func TestHeightsAreSolved(t *testing.T) {
	t.Parallel()
	for name, r := range map[string]*Result{
		"demo":  demoHall(t),
		"bags":  solved(t, aimed("elevation = \"9.93m\"\n[mix]\nprice-per-bag = 9.5\n"), doors()),
		"truck": solved(t, aimed("elevation = \"9.95m\"\n[mix]\nprice-per-m3 = 160.0\norder-step = \"0.1m3\"\n[plant]\nroughness = \"1mm\"\nfinish-high = \"1mm\"\n"), doors()),
		"none":  solved(t, aimed("elevation = \"9.93m\"\n"), doors()),
	} {
		t.Run(name, func(t *testing.T) {
			step := HeightStep(r.own())
			rows := r.Heights(step, HeightsAround)
			if len(rows) != 2*HeightsAround+1 {
				t.Fatalf("%d rows", len(rows))
			}
			for k, row := range rows {
				if h := float64(k-HeightsAround) * step; row.Raise != h {
					t.Fatalf("row %d is %v m up, want %v", k, row.Raise, h)
				}
				want, err := r.Raised(row.Raise)
				if row.Unserved > 0 && err != nil { // refused, where the job does not accept it
					if row.Cost != nil {
						t.Errorf("%+v m: a cost of %v without what no material serves", row.Raise, *row.Cost)
					}
					continue
				}
				if err != nil {
					t.Fatal(err)
				}
				f := want.Fill
				isWithin(t, "fill", row.Fill, f.Fill, 1e-11)
				isWithin(t, "cut", row.Cut, f.Cut, 1e-11)
				isWithin(t, "deepest", row.Greatest, f.Greatest, 1e-12)
				isWithin(t, "mass", row.Mass, want.Mix.Load.Mass, 1e-7)
				isWithin(t, "order", row.Order, want.Delivery.Volume, 1e-9)
				bags := 0
				if want.Bag != nil {
					bags = want.Bag.Count
				}
				for _, u := range want.Bought {
					bags += u.Bags
				}
				need := 0.0
				if want.Open {
					need = want.Takeoff.Need
				}
				isWithin(t, "need", row.Need, need, 1e-9)
				if row.Bags != bags {
					t.Errorf("%+v m: %d bags; solved %d", row.Raise, row.Bags, bags)
				}
				switch cost := pricedFill(want); {
				case cost == 0 && row.Cost != nil, cost > 0 && row.Cost == nil:
					t.Errorf("%+v m: cost %v, solved %v", row.Raise, row.Cost, cost)
				case cost > 0 && math.Abs(*row.Cost-cost) > 0.005:
					t.Errorf("%+v m: cost %v, solved %v", row.Raise, *row.Cost, cost)
				}
			}
		})
	}
}

// A layer on a level floor by hand: 12 m² at 50 mm and 160 a m³.
func TestHeightsByHand(t *testing.T) {
	t.Parallel()
	r := solved(t, aimed("elevation = \"9.95m\"\n[mix]\nprice-per-m3 = 160.0\norder-step = \"0.1m3\"\nallowance-percent = 0\nunit-weight-kgm3 = 2000\n"), doors())
	rows := r.Heights(0.001, 60)
	if len(rows) != 110 { // from 1 mm deep to 110 mm
		t.Errorf("%d rows", len(rows))
	}
	for _, row := range rows {
		deep := 0.05 + row.Raise
		isWithin(t, "fill", row.Fill, 12*deep, 1e-8)
		isWithin(t, "mass", row.Mass, 24000*deep, 1e-5)
		isWithin(t, "cost", *row.Cost, 160*0.1*math.Ceil(12*deep/0.1-1e-6), 1e-6)
	}
	if HeightStep(true) != 0.0254/16 || HeightStep(false) != 0.001 {
		t.Errorf("steps of %v and %v m", HeightStep(true), HeightStep(false))
	}
}
