package job

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/flatness"
	"pourplane/survey"
)

// afterJob is a job on a floor of 8 by 6 m, level at 9.900 m, with a target of 10 m and
// a survey after the pour. keys go into its flatness table.
func afterJob(keys string) string {
	return "title = \"After\"\ndate = 2026-11-25\n[survey]\nfiles = [\"floor.csv\"]\nafter = [\"after.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"10m\"\n[flatness]\n" + keys
}

// asPoured gives shots every step m on a floor of 8 by 6 m after the pour, z metres
// above 10 m.
func asPoured(step float64, z func(x, y float64) float64) fstest.MapFS {
	var b strings.Builder
	b.WriteString("point,x (m),y (m),z (m)\n")
	for i, p := range onGrid(8, 6, step, z) {
		fmt.Fprintf(&b, "%d,%g,%g,%.9f\n", 501+i, p[0], p[1], 10+p[2])
	}
	return fstest.MapFS{"floor.csv": levelShots(9.9, 9, 7), "walls.csv": walls(8, 6), "after.csv": {Data: []byte(b.String())}}
}

// The volume placed is the new floor minus the old one, exactly: 48 m² × 100 mm if the
// floor is at the target. The volume ordered minus the volume placed is left over.
func TestPlacedAndOrdered(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name      string
		z         func(x, y float64) float64
		ordered   string
		net, most float64
		remainder float64
	}{
		{"at the target", flat(0), "5m3", 4.8, 0.1, 0.2},
		{"5 mm low", flat(-0.005), "5m3", 48 * 0.095, 0.095, 5 - 48*0.095},
		{"too little ordered", flat(0.002), "4.8m3", 48 * 0.102, 0.102, 4.8 - 48*0.102},
		{"tilted", func(x, _ float64) float64 { return 0.001 * (x - 4) }, "6.5yd3", 4.8, 0.104, 6.5*0.764554857984 - 4.8},
		{"nothing ordered", flat(0), "", 4.8, 0.1, 0},
	} {
		keys := ""
		if c.ordered != "" {
			keys = "ordered = \"" + c.ordered + "\"\n"
		}
		r := solved(t, afterJob(keys), asPoured(1, c.z))
		p := r.Judged.Placed
		if p == nil {
			t.Fatal("nothing was placed")
		}
		near(t, c.name+": net", p.Net, c.net)
		near(t, c.name+": placed", p.Placed, c.net)
		near(t, c.name+": lost", p.Lost, 0)
		near(t, c.name+": area", p.Area, 48)
		near(t, c.name+": mean", p.Mean, c.net/48)
		near(t, c.name+": max rise", p.Most, c.most)
		if c.ordered != "" {
			near(t, c.name+": remainder", p.Remainder, c.remainder)
		}
	}
	if err := hinted(refused(t, afterJob("ordered = \"5m\"\n"), asPoured(1, flat(0)))); !strings.Contains(err, "flatness.ordered") {
		t.Errorf("%s", err)
	}
}

// Where the floor is lower than before, the volume is lost and not fill: a quarter of
// the floor at 9.890 m, with a slope of one metre to it.
func TestFloorThatSank(t *testing.T) {
	t.Parallel()
	r := solved(t, afterJob(""), asPoured(1, func(x, _ float64) float64 {
		if x <= 2 {
			return -0.11
		}
		return 0
	}))
	p := r.Judged.Placed
	// Between x 2 and 3 m it rises from −10 to 100 mm: zero after 1/11 m.
	near(t, "area lost", p.LostArea, 6*(2+1.0/11))
	near(t, "lost", p.Lost, 6*(2*0.01+0.01/2/11))
	near(t, "placed", p.Placed, 6*(5*0.1+0.1/2*10/11))
	near(t, "net", p.Net, p.Placed-p.Lost)
	near(t, "min rise", p.Least, -0.01)
}

// Departures from the target by hand: a tilt of 1 mm/m about the middle gives ±4 mm, a
// root mean square of 2.309 mm (8/√12), and within 3 mm on 6 of 8 m.
func TestDeparturesFromTheTarget(t *testing.T) {
	t.Parallel()
	r := solved(t, afterJob("tolerance = \"3mm\"\n"), asPoured(0.5, func(x, _ float64) float64 { return 0.001 * (x - 4) }))
	j := r.Judged
	near(t, "highest", j.Off.Highest, 0.004)
	near(t, "lowest", j.Off.Lowest, -0.004)
	near(t, "mean", j.Off.Mean, 0)
	near(t, "RMS", j.Off.RMS, 0.008/math.Sqrt(12))
	near(t, "within 3 mm", j.Off.Within, 0.75)
	near(t, "area", j.Area, 48)
	if j.Fitted {
		t.Error("held against a plane of its own, want the target")
	}
	near(t, "target", j.Target.Elevation(surfaceVec(1, 1)), 10)
	// Beyond 3 mm: wedges of 1 m × 6 m, 1 mm at the wall, 3 L each.
	near(t, "to grind", j.Work.Grind, 0.003)
	near(t, "to fill", j.Work.Fill, 0.003)
	near(t, "area to grind", j.Work.GrindArea, 6)
	near(t, "area to fill", j.Work.FillArea, 6)
	if len(j.Work.Spots) != 2 || !j.Work.Spots[0].High || j.Work.Spots[1].High {
		t.Fatalf("%+v, want a high and a low", j.Work.Spots)
	}
	near(t, "the high is at the east wall", j.Work.Spots[0].At.X, 8)
	// The usual tolerance is 3 mm, 1/8 in on a floor shot in feet (common practice, no source).
	near(t, "usual tolerance", solved(t, afterJob(""), asPoured(1, flat(0))).Judged.Tol, 0.003)
}

// A bag of 12 L fills 3 L; at 0.5 mm a pass, 1 mm takes two passes.
func TestBagsAndPassesOfTheRemedy(t *testing.T) {
	t.Parallel()
	r := solved(t, afterJob("tolerance = \"3mm\"\nbag-yield = \"2L\"\ngrind-pass = \"0.5mm\"\n"), asPoured(0.5, func(x, _ float64) float64 { return 0.001 * (x - 4) }))
	m := r.Judged.Work.Spots
	if len(m) != 2 || m[0].Passes != 2 || m[1].Bags != 2 {
		t.Errorf("%+v, want 2 passes and 2 bags of 2 L for 3", m)
	}
	// Raised by 1 mm nothing needs grinding: the tilt is then 3 mm max above the plane.
	c := r.Judged.Raised
	if c == nil {
		t.Fatal("no plane that saves the grinding")
	}
	near(t, "raised by", c.Offset, 0.001)
	near(t, "to grind there", c.Grind, 0)
	near(t, "to grind at the target", c.GrindAt, 0.003)
	near(t, "to fill there", c.Fill, 6*2*0.002/2) // beyond 3 mm below it: 2 m × 6 m, 2 mm at the wall
}

// The gap under a straightedge by hand: on a triangle wave 2 m from crest to crest and 4
// mm high, a 2 m edge on two crests has a gap of 4 mm.
func TestGapUnderAStraightedge(t *testing.T) {
	t.Parallel()
	wave := func(x, _ float64) float64 { return 0.004 * (math.Abs(math.Mod(x, 2)-1) - 1) } // 0 at odd ends: crests at x 0, 2, 4 …
	r := solved(t, afterJob("straightedges = [\"2m\", \"1m\"]\n"), asPoured(0.5, wave))
	j := r.Judged
	if j.Asked != 2 || len(j.Edges) < 2 {
		t.Fatalf("%d asked for of %d edges", j.Asked, len(j.Edges))
	}
	near(t, "2 m", j.Edges[0].Length, 2)
	near(t, "gap under 2 m", j.Edges[0].Gap, 0.004)
	// 1 m over a hollow, with the lowest point under the middle: 2 mm.
	near(t, "gap under 1 m", j.Edges[1].Gap, 0.002)
	if !j.Carries(2) || j.TooSparse(2).In(styleOf(j)) != "" {
		t.Errorf("shots every 0.5 m carry 2 m: %s", j.TooSparse(2).In(styleOf(j)))
	}
	// A flat floor has no gap, whatever its slope.
	r = solved(t, afterJob(""), asPoured(0.5, func(x, y float64) float64 { return 0.002*x - 0.001*y }))
	isWithin(t, "gap on a plane", r.Judged.Edges[0].Gap, 0, 1e-9)
}

// Rules of the job: one verdict each, with the limit and the measured value.
func TestHouseRules(t *testing.T) {
	t.Parallel()
	wave := func(x, _ float64) float64 { return 0.004 * (math.Abs(math.Mod(x, 2)-1) - 1) }
	verdicts := func(rules string) []flatness.Verdict {
		return solved(t, afterJob("rules = [\"own\"]\nhouse-rules = ["+rules+"]\n"), asPoured(0.5, wave)).Judged.Verdicts
	}
	for _, c := range []struct {
		rule    string
		outcome flatness.Outcome
		value   float64
	}{
		{`{ name = "own", straightedge = "2m", limit = "4mm" }`, flatness.Pass, 0.004},
		{`{ name = "own", straightedge = "2m", limit = "3mm" }`, flatness.Fail, 0.004},
		{`{ name = "own", departure = true, limit = "4mm" }`, flatness.Pass, 0.004},
		{`{ name = "own", departure = true, limit = "3.5mm" }`, flatness.Fail, 0.004},
		{`{ name = "own", departure = true, limit = "2mm", share-percent = 50 }`, flatness.Pass, 0.004},
		{`{ name = "own", departure = true, limit = "2mm", share-percent = 60 }`, flatness.Fail, 0.004},
	} {
		got := verdicts(c.rule)
		if len(got) != 1 {
			t.Errorf("%s: %d verdicts", c.rule, len(got))
			continue
		}
		if got[0].Outcome != c.outcome {
			t.Errorf("%s: %v, want %v (%+v)", c.rule, got[0].Outcome, c.outcome, got[0])
		}
		isWithin(t, c.rule, got[0].Value, c.value, 1e-9)
	}
	for _, c := range []struct{ rules, want string }{
		{`{ straightedge = "2m", limit = "3mm" }`, "a name of its own"}, {`{ name = "tile", straightedge = "2m", limit = "3mm" }`, "a name of its own"},
		{`{ name = "own" }`, "without a limit"}, {`{ name = "own", limit = "3mm" }`, "without a limit"}, {`{ name = "own", straightedge = "2", limit = "3mm" }`, "2"},
		{`{ name = "own", straightedge = "2m", limit = "3" }`, "3"}, {`{ name = "own", departure = true, limit = "-3mm" }`, "a length with its unit, such as 3mm"},
		{`{ name = "own", departure = true, limit = "3mm", share-percent = 101 }`, "0 to 100 %"}, {`{ name = "own", ff = -1 }`, "F-numbers from 0 to 1000"}, {`{ name = "own", fl = 1000 }`, "F-numbers from 0 to 1000"},
	} {
		if err := hinted(refused(t, afterJob("house-rules = ["+c.rules+"]\n"), asPoured(1, flat(0)))); !strings.Contains(err, "flatness.house-rules") || !strings.Contains(err, c.want) {
			t.Errorf("%s\n%s\nwant %s", c.rules, err, c.want)
		}
	}
	if err := hinted(refused(t, afterJob("rules = [\"din18202-33\"]\n"), asPoured(1, flat(0)))); !strings.Contains(err, "did you mean") || !strings.Contains(err, "din18202-3") {
		t.Errorf("%s", err)
	}
}

// Rows of published tables: under 4 m, DIN 18202 row 3 allows 10 mm and row 4 allows 9
// mm (German screed trade handbook, table 3). A triangle wave of 9.5 mm over 4 m passes
// the first and fails the second.
func TestPublishedRules(t *testing.T) {
	t.Parallel()
	wave := func(x, _ float64) float64 { return 0.0095 / 2 * (math.Abs(math.Mod(x, 4)-2) - 2) }
	files := asPoured(0.5, wave)
	at4m := func(rule string) flatness.Outcome {
		r := solved(t, afterJob("rules = [\""+rule+"\"]\n"), files)
		for _, v := range r.Judged.Verdicts {
			if math.Abs(v.Length-4) < 1e-9 {
				isWithin(t, rule+": gap", v.Value, 0.0095, 1e-9)
				return v.Outcome
			}
		}
		t.Fatalf("%s: no verdict for 4 m: %+v", rule, r.Judged.Verdicts)
		return 0
	}
	if got := at4m("din18202-3"); got != flatness.Pass {
		t.Errorf("row 3: %v, want passes", got)
	}
	if got := at4m("din18202-4"); got != flatness.Fail {
		t.Errorf("row 4: %v, want fails", got)
	}
}

// Shots too far apart give no verdict, and the reason is reported.
func TestSparseShotsCarryNoVerdict(t *testing.T) {
	t.Parallel()
	r := solved(t, afterJob("straightedges = [\"2m\"]\nrules = [\"own\"]\nhouse-rules = [{ name = \"own\", straightedge = \"2m\", limit = \"3mm\" }]\n"), asPoured(2, flat(0)))
	j := r.Judged
	if j.Carries(2) || !strings.Contains(j.TooSparse(2).In(styleOf(j)), "no verdict: check shots 2.000 m apart") {
		t.Errorf("%q", j.TooSparse(2).In(styleOf(j)))
	}
	if v := j.Verdicts; len(v) != 1 || v[0].Outcome == flatness.Pass || v[0].Outcome == flatness.Fail {
		t.Errorf("%+v, want no verdict", v)
	}
	found := false
	for _, n := range j.Notes {
		found = found || n.Kind == survey.Warning && n.Topic == survey.AboutFlatness && strings.Contains(n.In(styleOf(j)), "straightedge of 2.000 m: no verdict")
	}
	if !found {
		t.Error("no warning of it")
	}
}

// The two surveys of a job must differ: the same file or the same shots are refused.
func TestSameSurveyTwice(t *testing.T) {
	t.Parallel()
	files := asPoured(1, flat(0))
	err := hinted(refused(t, strings.Replace(afterJob(""), `["after.csv"]`, `["floor.csv"]`, 1), files))
	if !strings.Contains(err, "the survey after the pour is the same as before") {
		t.Errorf("%s", err)
	}
	files["after.csv"] = files["floor.csv"]
	if err := hinted(refused(t, afterJob(""), files)); !strings.Contains(err, "the survey after the pour is the same as before") {
		t.Errorf("a copy: %s", err)
	}
}

// A benchmark of the survey before the pour is used in the one after it, with another
// height of instrument. By hand BM1 at 10.000, read 1.300 and then 1.350: 11.300 − 1.3
// and 11.350 − 1.35.
func TestBenchmarkIsCarried(t *testing.T) {
	t.Parallel()
	files := rods(9.9, 11.3, "BM1,,,1.300\n", "BM1,,,1.300\n")
	files["after.csv"] = rods(10.001, 11.35, "BM1,,,1.350\n", "BM1,,,1.350\n")["floor.csv"]
	text := with(rodJob, "after = [\"after.csv\"]\nbenchmarks = { BM1 = \"10m\" }\n")
	r := solved(t, text, files)
	isWithin(t, "after the pour", r.Judged.Off.Mean, 0.001, 1e-9)
	isWithin(t, "placed", r.Judged.Placed.Net, 12*0.101, 1e-8)
	// Without a benchmark the new set-up is on no known zero.
	plain := rods(9.9, 11.3, "", "")
	plain["after.csv"] = rods(10.001, 11.35, "", "")["floor.csv"]
	text = with(rodJob, "after = [\"after.csv\"]\ninstrument-height = \"11.3m\"\n")
	if err := hinted(refused(t, text, plain)); !strings.Contains(err, "without a height of instrument") || !strings.Contains(err, "after-instrument-height") {
		t.Errorf("%s", err)
	}
	r = solved(t, with(text, "after-instrument-height = \"11.35m\"\n"), plain)
	isWithin(t, "with a height of its own", r.Judged.Off.Mean, 0.001, 1e-9)
}

// The bed between the poured floor and tiles that end at the finished floor, by hand:
// the lowest door at 10 m minus 10 mm of tiles minus 9.983 m is 7 mm over 12 m², and 7
// mm at the door.
func TestBedAfterThePour(t *testing.T) {
	t.Parallel()
	text := aimed("finish-codes = [\"FF\"]\nbuildup = \"15mm\"\ncovering = \"10mm\"\nbed-least = \"3mm\"\nbed-greatest = \"8mm\"\n")
	files := doors()
	files["after.csv"] = grid(5, 4, flat(9.983))
	r := solved(t, strings.Replace(text, "[target]", "after = [\"after.csv\"]\n[target]", 1), files)
	b := r.Judged.Bed
	if b == nil {
		t.Fatal("no bed")
	}
	near(t, "bed", b.Mean, 0.007)
	near(t, "volume", b.Volume, 12*0.007)
	near(t, "min bed", b.Least, 0.007)
	near(t, "in the way", b.Proud, 0)
	near(t, "as poured, from the target", r.Judged.Off.Highest, -0.002)
	if r.Judged.Doors == nil || len(r.Judged.Doors.Thresholds) != 4 {
		t.Fatalf("doors %+v", r.Judged.Doors)
	}
	for _, d := range r.Judged.Doors.Thresholds {
		near(t, "room at "+d.Point.Name(), d.Room, d.Point.Z-9.983)
	}
}
