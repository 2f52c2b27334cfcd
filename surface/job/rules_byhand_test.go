package job

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/flatness"
)

// aValley is a floor of 6 by 5 m with shots every 250 mm that falls from both ends along x to its middle by
// s mm a metre, 10 m on average.
func aValley(s float64) fstest.MapFS {
	shots := onGrid(6, 5, 0.25, func(x, _ float64) float64 { return 10 + s/1000*(math.Abs(x-3)-1.5) })
	return floorOfShots(shots, outlineOf(rectangle(0, 0, 6, 5)))
}

// valleyOf judges such a floor against a target of 10 m.
func valleyOf(t *testing.T, s float64, change func(*Job)) *Judged {
	t.Helper()
	j := &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}, Target: Target{Elevation: "10m"}, Flatness: Flatness{Rules: RuleNames()}}
	if change != nil {
		change(j)
	}
	return judged(t, j, FlatOptions{LeastArea: LeastMark}, aValley(s))
}

// Published limits by hand on a valley. A straightedge of a length L across it stands L/2 out on both
// sides: its gap is s·L/2. Limits are as printed in the standards (see the notes beside each in the
// list of rules): BS 8204 SR1 to SR3 3, 5 and 10 mm under 2 m; BS 5385 3, AS 3958.1 4, NF DTU 52.1 3, 13.3 7
// and 52.2 5 mm under 2 m; NATSPEC A 3 and B 6 mm and NZS 3114 5 mm under 3 m; tile, resilient and wood
// 1/4, 1/8, 3/16 and 3/16 in under 10 ft, wood 1/8 in under 6 ft; DIN 18202 row 3 4 and 10 mm at 1 and 4
// m, row 4 3 and 9, row 2 8 and 12, and what is between them in proportion. A level departs by ±1.5·s.
func TestPublishedLimitsByHand(t *testing.T) {
	t.Parallel()
	const foot, inch = 0.3048, 0.0254
	for _, c := range []struct {
		s     float64 // mm/m
		rule  string
		at    float64 // m
		limit float64 // m
		pass  bool
	}{
		{4, "bs8204-sr1", 2, 0.003, false}, {4, "bs8204-sr2", 2, 0.005, true}, {4, "bs8204-sr3", 2, 0.010, true},
		{4, "bs5385", 2, 0.003, false}, {4, "as3958", 2, 0.004, true}, {4, "dtu52.1", 2, 0.003, false}, {4, "dtu13.3", 2, 0.007, true}, {4, "dtu52.2", 2, 0.005, true},
		{4, "natspec-a", 3, 0.003, false}, {4, "natspec-b", 3, 0.006, true}, {4, "nzs3114", 3, 0.005, false},
		{4, "tile", 10 * foot, inch / 4, true}, {4, "tile-large", 10 * foot, inch / 8, false}, {4, "resilient", 10 * foot, 3 * inch / 16, false}, {4, "wood-10ft", 10 * foot, 3 * inch / 16, false}, {4, "wood-6ft", 6 * foot, inch / 8, false},
		{4, "din18202-3", 1, 0.004, true}, {4, "din18202-3", 2, 0.006, true}, {4, "din18202-3", 4, 0.010, true}, {4, "din18202-4", 1, 0.003, true}, {4, "din18202-4", 2, 0.005, true}, {4, "din18202-4", 4, 0.009, true},
		{5.2, "bs8204-sr2", 2, 0.005, false}, {5.2, "bs8204-sr3", 2, 0.010, true}, {5.2, "as3958", 2, 0.004, false}, {5.2, "dtu13.3", 2, 0.007, true}, {5.2, "dtu52.2", 2, 0.005, false},
		{5.2, "natspec-b", 3, 0.006, false}, {5.2, "tile", 10 * foot, inch / 4, false},
		{5.2, "din18202-3", 2, 0.006, true}, {5.2, "din18202-3", 4, 0.010, false}, {5.2, "din18202-4", 1, 0.003, true}, {5.2, "din18202-4", 2, 0.005, false}, {5.2, "din18202-2", 4, 0.012, true},
		{4, "din18202-1", 2, 0.017, true}, // 15 and 20 at 1 and 4 m: 16.67 in whole millimetres
	} {
		found := false
		for _, v := range judgedValleys(t, c.s).Verdicts {
			if v.Row.Name != c.rule || math.Abs(v.Length-c.at) > 1e-9 || v.Row.Kind != flatness.ByStraightedge && v.Row.Kind != flatness.BySupports {
				continue
			}
			found = true
			what := fmt.Sprintf("%g mm a metre, %s under %g m", c.s, c.rule, c.at)
			isWithin(t, what, v.Value, c.s/1000*c.at/2, 1e-7)
			isWithin(t, what+", limit", v.Limit, c.limit, 1e-12)
			if want := map[bool]flatness.Outcome{true: flatness.Pass, false: flatness.Fail}[c.pass]; v.Outcome != want {
				t.Errorf("%s: %v, by hand %v", what, v.Outcome, want)
			}
		}
		if !found {
			t.Errorf("no verdict of %s at %g m", c.rule, c.at)
		}
	}
	// Levels: 6 mm off at 4 mm a metre, 7.8 mm at 5.2. NZS 3109 allows 5, BS 8204 15, ACI 117 3/4 in.
	for _, v := range judgedValleys(t, 4).Verdicts {
		if v.Row.Kind == flatness.ByDatum && !math.IsNaN(v.Value) {
			isWithin(t, v.Row.Name, v.Value, 0.006, 1e-9)
			if pass := v.Row.Name != "nzs3109"; strings.HasPrefix(v.Row.Name, "nzs") != (v.Outcome == flatness.Fail) && v.Row.Name != "dtu52.1" && v.Row.Name != "dtu13.3" {
				t.Errorf("%s: %v, by hand pass %t", v.Row.Name, v.Outcome, pass)
			}
		}
	}
}

// valleys are those already judged, by their slope.
var valleys = map[float64]*Judged{}

func judgedValleys(t *testing.T, s float64) *Judged {
	t.Helper()
	if valleys[s] == nil {
		valleys[s] = valleyOf(t, s, nil)
	}
	return valleys[s]
}

// Limits of one's own by hand. A valley of 3 mm a metre in 8 by 6 m departs evenly from −6 to 6 mm: half of
// the floor is within 3, two thirds within 4, all within 6. A reading
// counts as rounded to 0.1 mm, which adds 0.05 of 6 mm.
func TestHouseRulesByHand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		limit   string
		percent float64
		share   float64
		pass    bool
	}{
		{"3mm", 49, 0.5, true}, {"3mm", 51, 0.5, false}, {"4mm", 66, 2.0 / 3, true}, {"4mm", 68, 2.0 / 3, false}, {"6mm", 0, 1, true}, {"5.8mm", 0, 0, false},
	} {
		keys := fmt.Sprintf("rules = [\"ours\"]\nhouse-rules = [{ name = \"ours\", departure = true, limit = %q, share-percent = %g }]\n", c.limit, c.percent)
		j := solved(t, afterJob(keys), asPoured(0.5, func(x, _ float64) float64 { return 0.003 * (math.Abs(x-4) - 2) })).Judged
		if len(j.Verdicts) != 1 {
			t.Fatalf("%d verdicts", len(j.Verdicts))
		}
		v := j.Verdicts[0]
		if (v.Outcome == flatness.Pass) != c.pass {
			t.Errorf("%s on %g %%: %v, by hand pass %t", c.limit, c.percent, v.Outcome, c.pass)
		}
		if c.percent > 0 {
			isWithin(t, c.limit+": share", v.Share, c.share, 1e-6)
		}
	}
}

// The bed under a covering by hand. The covering is 10 mm, its finished level 14 mm above the mean of the
// floor: a bed of 4 mm on average, 30 m² of it 120 L, from 10 in the valley to −2 at the ends. There the
// floor is too high on 0.5 m beside each wall, by 1 mm on average: 5 L, which the bed elsewhere has more.
func TestBedOnAValleyByHand(t *testing.T) {
	t.Parallel()
	j := valleyOf(t, 4, func(j *Job) {
		j.Target = Target{Finish: "10.014m", Buildup: "14mm", Covering: "10mm"}
		j.Flatness.Rules = nil
	})
	b := j.Bed
	if b == nil {
		t.Fatal("no bed")
	}
	isWithin(t, "bed", b.Volume, 0.125, 1e-8)
	isWithin(t, "too high", b.Proud, 0.005, 1e-8)
	isWithin(t, "thinnest", b.Least, -0.002, 1e-8)
	isWithin(t, "thickest", b.Greatest, 0.010, 1e-8)
	isWithin(t, "mean", b.Mean, 0.004, 1e-8)
}

// Two surveys of one floor by hand. Before, it is level at 9.95 m; after, a valley of 4 mm a metre about 9.955:
// 11 mm higher at the ends, 1 lower in the middle. Below the old floor are 0.25 m on both sides, on
// average by 0.5 mm: 2·0.25·5·0.0005 = 1.25 L on 2.5 m². Net are 5 mm on 30 m², 150 L.
func TestPlacedOnAValleyByHand(t *testing.T) {
	t.Parallel()
	files := floorOfShots(onGrid(6, 5, 0.25, func(x, _ float64) float64 { return 9.955 + 0.004*(math.Abs(x-3)-1.5) }), outlineOf(rectangle(0, 0, 6, 5)))
	files["before.csv"] = levelShots(9.95, 7, 6)
	j := judged(t, &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}, Flatness: Flatness{Ordered: "0.25m3"}}, FlatOptions{Before: "before.csv", LeastArea: LeastMark}, files)
	p := j.Placed
	isWithin(t, "net", p.Net, 0.150, 1e-8)
	isWithin(t, "lost", p.Lost, 0.00125, 1e-8)
	isWithin(t, "placed", p.Placed, 0.15125, 1e-8)
	isWithin(t, "area lost", p.LostArea, 2.5, 1e-6)
	isWithin(t, "max rise", p.Most, 0.011, 1e-9)
	isWithin(t, "min rise", p.Least, -0.001, 1e-9)
	isWithin(t, "min rise is in the middle", p.LeastAt.X, 3, 1e-9)
	isWithin(t, "remainder", p.Remainder, 0.1, 1e-8)
}
