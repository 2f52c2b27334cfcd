package job

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/settlement"
	"pourplane/survey"
)

// visited is a survey of a floor on BM1, with shots in a random order.
func visited(rng *rand.Rand, shots map[string][2]float64, z func(x, y float64) float64) *fstest.MapFile {
	rows := []string{}
	for name, at := range shots {
		rows = append(rows, fmt.Sprintf("%s,%g,%g,%.6f,\n", name, at[0], at[1], z(at[0], at[1])))
	}
	rng.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
	return &fstest.MapFile{Data: []byte("point,x (m),y (m),z (m),code\nBM1,-3,-3,10.000000,BM\n" + strings.Join(rows, ""))}
}

func settledOf(t *testing.T, files fstest.MapFS, o SettleOptions, names ...string) *Settled {
	t.Helper()
	var j Job
	j.Survey.Files, j.Survey.Outline = names, "walls.csv"
	j.Survey.ReadingSD, j.Survey.SetupSD = "1mm", "0.5mm"
	r, err := Settle(&j, o, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A floor of 8 by 6 m goes down by 2 mm and 1 mm more for each metre to the east: 6 mm in the
// middle, 0.288 m³. The shots keep 0.5 m off the walls, and the strip along them is fitted. The
// order of the rows, which differs in each file, changes nothing.
func TestFloorThatTiltsAsItSinks(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 2))
	shots := map[string][2]float64{}
	for i := range 8 {
		for k := range 6 {
			shots[fmt.Sprintf("P%d%d", i, k)] = [2]float64{0.5 + float64(i), 0.5 + float64(k)}
		}
	}
	first := func(x, y float64) float64 { return 9.9 + 0.003*math.Sin(x) + 0.002*math.Cos(3*y) }
	sunk := func(by float64) func(x, y float64) float64 {
		return func(x, y float64) float64 { return first(x, y) - by*(0.002+0.001*x) }
	}
	files := fstest.MapFS{"walls.csv": walls(8, 6), "a.csv": visited(rng, shots, first), "b.csv": visited(rng, shots, sunk(1)), "c.csv": visited(rng, shots, sunk(1.5))}
	r := settledOf(t, files, SettleOptions{Dates: "2026-01-01,2026-01-31,2026-03-02"}, "a.csv", "b.csv", "c.csv")
	const tiny = 2e-6 // the files have six decimals
	for _, v := range []struct {
		what            string
		got, want, near float64
	}{
		{"mean", r.Whole.Mean.Change, -0.009, tiny},
		{"mean by volume", (r.Higher - r.Lower) / r.Area, r.Whole.Mean.Change, 1e-12},
		{"volume", r.Lower, 48 * 0.009, 48 * tiny},
		{"middle", r.Whole.Middle, -0.009, tiny},
		{"tilt east", r.Whole.Tilt.East, -0.0015, tiny},
		{"tilt north", r.Whole.Tilt.North, 0, tiny},
		{"set-ups", r.Whole.Setup, 0.0005 * math.Sqrt2, 1e-12},
		{"mean rate", r.Speeds.Mean.PerDay, -0.009 / 60, tiny},
		{"before", r.Speeds.Whole.Before, -0.006 / 30, tiny},
		{"last", r.Speeds.Whole.Last, -0.003 / 30, tiny},
		{"days", r.Speeds.Days[2], 60, 0},
		{"places", float64(len(r.Whole.Places)), 48, 0},
	} {
		if !(math.Abs(v.got-v.want) <= v.near) {
			t.Errorf("%s = %.9g, want %.9g", v.what, v.got, v.want)
		}
	}
	if r.Still.State != StillMoves || r.Mark != "BM1" || !r.Whole.Mean.Known() {
		t.Errorf("state %d on %q, want a floor that still moves on BM1", r.Still.State, r.Mark)
	}
	again := settledOf(t, fstest.MapFS{"walls.csv": walls(8, 6), "a.csv": visited(rng, shots, first), "b.csv": visited(rng, shots, sunk(1)), "c.csv": visited(rng, shots, sunk(1.5))},
		SettleOptions{}, "a.csv", "b.csv", "c.csv")
	if d := again.Whole.Mean.Change - r.Whole.Mean.Change; math.Abs(d) > 1e-15 || math.Abs(again.Whole.Mean.SD-r.Whole.Mean.SD) > 1e-12 {
		t.Errorf("the mean differs by %g with the rows in another order, its error by %g", d, again.Whole.Mean.SD-r.Whole.Mean.SD)
	}
}

// The rate of the whole floor has the part for what is between the places that the mean has: of
// two surveys its ± is that of the mean over the days. Three places are too few to say.
func TestRateHasWhatTheMeanHas(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(8, 9))
	flat := func(x, y float64) float64 { return 9.9 }
	sunk := func(x, y float64) float64 { return 9.9 - 0.012*math.Exp(-(x*x+y*y)/6) }
	shots := map[string][2]float64{}
	for i := range 12 {
		shots[fmt.Sprintf("P%d", i)] = [2]float64{float64(i%4)*2.4 + 0.4, float64(i/4)*2.4 + 0.4}
	}
	dates := SettleOptions{Dates: "2026-01-01,2026-01-31"}
	r := settledOf(t, fstest.MapFS{"walls.csv": walls(8, 6), "a.csv": visited(rng, shots, flat), "b.csv": visited(rng, shots, sunk)}, dates, "a.csv", "b.csv")
	if want := r.Whole.Mean.SD / 30; !(r.Whole.Between > 0.0003) || !(math.Abs(r.Speeds.Mean.SD-want) <= 1e-9) {
		t.Errorf("rate ± %g a day, want %g; %g m of it between the places", r.Speeds.Mean.SD, want, r.Whole.Between/30)
	}
	few := map[string][2]float64{"A": {0.5, 0.5}, "B": {7.5, 0.5}, "C": {4, 5.5}}
	dates.Dates += ",2026-03-02"
	r = settledOf(t, fstest.MapFS{"walls.csv": walls(8, 6), "a.csv": visited(rng, few, flat), "b.csv": visited(rng, few, sunk), "c.csv": visited(rng, few, func(x, y float64) float64 { return 9.8985 })}, dates, "a.csv", "b.csv", "c.csv")
	if r.Whole.Mean.Known() || r.Speeds.Mean.Known() || r.Speeds.Whole != nil || r.Speeds.Mean.Used != 3 {
		t.Errorf("three places: mean %+v, its rate %+v; want no error of either", r.Whole.Mean, r.Speeds.Mean)
	}
}

// matched lists the place of each shot of a second survey, -1 for a new one.
func matched(first, second []survey.Point) (out []int, apart int) {
	m := matcher{}
	m.add(first)
	m.add(second)
	for _, p := range second {
		at := -1
		for k, q := range m.places[:len(first)] {
			if q.Z[1] == p.Z {
				at = k
			}
		}
		out = append(out, at)
	}
	return out, len(m.apart)
}

// Shots are at one place by name within 100 mm, or without within 50 mm.
func TestPlacesInCommon(t *testing.T) {
	t.Parallel()
	shot := func(name string, x, y, z float64) survey.Point { return survey.Point{X: x, Y: y, Z: z}.Named(name) }
	for _, c := range []struct {
		name          string
		first, second []survey.Point
		want          []int
		apart         int
	}{
		{"one name, 99 mm apart", []survey.Point{shot("A", 0, 0, 1)}, []survey.Point{shot("a", 0.099, 0, 2)}, []int{0}, 0},
		{"one name, 101 mm apart", []survey.Point{shot("A", 0, 0, 1)}, []survey.Point{shot("A", 0.101, 0, 2)}, []int{-1}, 1},
		{"no names, 49 mm apart", []survey.Point{shot("", 5, 5, 1)}, []survey.Point{shot("", 5.049, 5, 2)}, []int{0}, 0},
		{"no names, 51 mm apart", []survey.Point{shot("", 5, 5, 1)}, []survey.Point{shot("", 5.051, 5, 2)}, []int{-1}, 0},
		{"other names, 10 mm apart", []survey.Point{shot("A", 0, 0, 1)}, []survey.Point{shot("B", 0.01, 0, 2)}, []int{0}, 0},
		{"the nearer of two", []survey.Point{shot("", 0, 0, 1), shot("", 0.04, 0, 1.5)}, []survey.Point{shot("", 0.03, 0, 2)}, []int{1}, 0},
		{"halfway between two", []survey.Point{shot("", 0, 0, 1), shot("", 0.06, 0, 1.5)}, []survey.Point{shot("", 0.03, 0, 2)}, []int{-1}, 0},
		{"names that two shots have", []survey.Point{shot("F", 0, 0, 1), shot("F", 3, 0, 1.5)}, []survey.Point{shot("F", 0.08, 0, 2), shot("F", 3.01, 0, 2.5)}, []int{-1, 1}, 0},
		{"names that changed places", []survey.Point{shot("A", 0, 0, 1), shot("B", 3, 0, 1.5)}, []survey.Point{shot("B", 0, 0, 2), shot("A", 3, 0, 2.5)}, []int{0, 1}, 2},
		{"far west of the origin", []survey.Point{shot("", -0.01, -0.01, 1)}, []survey.Point{shot("", 0.01, 0.01, 2)}, []int{0}, 0},
	} {
		got, apart := matched(c.first, c.second)
		if fmt.Sprint(got) != fmt.Sprint(c.want) || apart != c.apart {
			t.Errorf("%s: places %v, %d names apart; want %v, %d", c.name, got, apart, c.want, c.apart)
		}
	}
}

// A book of two set-ups has an error that is not common to all its readings.
func TestSeveralSetupsWidenTheReadings(t *testing.T) {
	t.Parallel()
	r := &Settled{Visits: []Visit{{Accuracy: Accuracy{Reading: 0.003, Setup: 0.004}, Setups: 1}, {Accuracy: Accuracy{Reading: 0.003, Setup: 0.004}, Setups: 2}}}
	e := r.errors()
	if e[0] != (settlement.Errors{Reading: 0.003, Setup: 0.004}) || math.Abs(e[1].Reading-0.005) > 1e-15 || e[1].Setup != 0.004 {
		t.Errorf("errors %v", e)
	}
}

// What is written 1 mm a month for a place that moved is too little for 10 days, and the day
// from which a survey can tell is when that rate gives what would show.
func TestTooShortToTell(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 4))
	shots := map[string][2]float64{"A": {0, 0}, "B": {8, 0}, "C": {8, 6}, "D": {0, 6}, "E": {4, 3}}
	at := func(down float64) func(x, y float64) float64 {
		return func(x, y float64) float64 {
			if x == 0 && y == 0 {
				return 9.9 - down
			}
			return 9.9
		}
	}
	files := fstest.MapFS{"walls.csv": walls(8, 6), "a.csv": visited(rng, shots, at(0)), "b.csv": visited(rng, shots, at(0.012)), "c.csv": visited(rng, shots, at(0.0125))}
	r := settledOf(t, files, SettleOptions{Dates: "2026-01-01,2026-03-02,2026-03-12"}, "a.csv", "b.csv", "c.csv")
	days := math.Ceil(r.Steps[1].SeenRel / (0.012 / 60))
	if r.Still.State != StillTooShort || r.Still.Days != days || r.Still.Until.Format("2006-01-02") != r.Visits[1].Date.AddDate(0, 0, int(days)).Format("2006-01-02") {
		t.Errorf("state %d, %g days to %s; want too short, %g days", r.Still.State, r.Still.Days, r.Still.Until, days)
	}
	late := settledOf(t, files, SettleOptions{Dates: "2026-01-01,2026-03-02,2026-09-12"}, "a.csv", "b.csv", "c.csv")
	if late.Still.State != StillNotShown {
		t.Errorf("half a year later: state %d, want not shown", late.Still.State)
	}
	none := settledOf(t, files, SettleOptions{}, "a.csv", "b.csv", "c.csv")
	if none.Still.State != StillNotShown || none.Speeds != nil {
		t.Errorf("without dates: state %d, want not shown and no rate", none.Still.State)
	}
}

// Places have the elevation of the floor: of two readings at one place what the rule for
// duplicates makes of them. A shot outside the walls is none.
func TestPlacesAreOfTheFloor(t *testing.T) {
	t.Parallel()
	list := func(more string) *fstest.MapFile {
		return &fstest.MapFile{Data: []byte("point,x (m),y (m),z (m),code\nBM1,-3,-3,10,BM\nA,0,0,9.9,\nB,8,0,9.9,\nC,8,6,9.9,\nD,0,6,9.9,\nE,4,3,9.9,\n" + more)}
	}
	files := fstest.MapFS{"walls.csv": walls(8, 6), "a.csv": list("F,2,2,9.900,\nX,9,3,9.900,\n"), "b.csv": list("F,2,2,9.890,\nF2,2,2,9.880,\nX,9,3,9.700,\n")}
	var j Job
	j.Survey.Files, j.Survey.Outline, j.Survey.Duplicates = []string{"a.csv", "b.csv"}, "walls.csv", "mean"
	r, err := Settle(&j, SettleOptions{}, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(r.Names, ""); got != "ABCDEF" {
		t.Errorf("places %s, want those on the floor in the order of the file", got)
	}
	for _, p := range r.Whole.Places {
		if want := map[string]float64{"F": -0.015}[r.Names[p.Index]]; math.Abs(p.Total.Change-want) > 1e-9 {
			t.Errorf("%s changed by %g, want %g", r.Names[p.Index], p.Total.Change, want)
		}
	}
}
