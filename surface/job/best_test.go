package job

import (
	"math"
	"strings"
	"testing"
	"testing/fstest"
)

// The finished floors of [doors] by hand: the range of each is its elevation less 15 mm, 3 mm up or
// down. The south one may be no higher than 9.988 m, the north one no lower: one level plane is left. With
// 4 mm each way the lowest is the cheapest, held by the north door: 12 m² a metre.
func TestBestMeetsThresholds(t *testing.T) {
	t.Parallel()
	const level = "best = true\nmax-fall = \"0\"\nfinish-codes = [\"FF\"]\nbuildup = \"15mm\"\n"
	r := solved(t, aimed(level+"trip = \"3mm\"\n"), doors())
	near(t, "one level", r.Best.Plane.Z, 9.988)
	r = solved(t, aimed(level+"trip = \"4mm\"\n"), doors())
	near(t, "level", r.Best.Plane.Z, 9.987)
	near(t, "fill", r.Best.Fill, 12*0.087)
	if len(r.Best.Held) == 0 || r.Best.Held[0].ID != "door:north" {
		t.Fatalf("held by %+v", r.Best.Held)
	}
	near(t, "saves", r.Best.Held[0].Saves, 12)
	// Two doors alike hold it together: more at one of them saves nothing, more trip does.
	files := doors()
	files["floor.csv"].Data = append(files["floor.csv"].Data, "lobby,3,3.1,10.006,FF\n"...)
	two := solved(t, aimed(level+"trip = \"4mm\"\n"), files).Best
	for _, h := range two.Held {
		if h.byDoor() {
			isWithin(t, h.ID+" alone", h.Saves, 0, 1e-6)
		}
	}
	if l := two.Limits[0]; l.Text.String() != "north no lower, lobby no lower" || l.Loose != "more trip" {
		t.Errorf("limits %+v", two.Limits)
	}
	isWithin(t, "together", two.Limits[0].Saves, 12, 1e-3)
	r = solved(t, aimed(level+"trip = \"4mm\"\nlow = \"2mm\"\n"), doors())
	near(t, "low", r.Best.Plane.Z, 9.985)

	// Without a change of level all four are met: they are on one plane, by hand.
	r = solved(t, aimed("best = true\nfinish-codes = [\"FF\"]\nbuildup = \"15mm\"\n"), doors())
	near(t, "middle", r.Best.Plane.Z, 10.003-0.015)
	near(t, "east", r.Best.Plane.SlopeX, 0.002/4.2)
	near(t, "north", r.Best.Plane.SlopeY, 0.006/3.2)

	// A bed of 2 to 12 mm under a covering of 10 mm: 12 to 22 mm below the floor, and 3 mm either way.
	r = solved(t, aimed("best = true\nmax-fall = \"0\"\nfinish-at = \"south\"\ncovering = \"10mm\"\nbed-least = \"2mm\"\nbed-greatest = \"12mm\"\ntrip = \"3mm\"\n"), doors())
	near(t, "with a bed", r.Best.Plane.Z, 10-0.022-0.003)
	if change := r.Thresholds[0].Change; math.Abs(change+0.003) > 1e-9 {
		t.Errorf("change of level %g", change)
	}
	if r.Brought != nil {
		t.Error("a volume that was not given")
	}
	if r = solved(t, aimed(level+"trip = \"4mm\"\nvolume = \"1m3\"\n"), doors()); r.Brought.Sets {
		t.Error("a volume sets the target beside the plane of least cost")
	}
}

// ramped is a floor of 4 by 3 m that rises 40 mm to the east.
func ramped() fstest.MapFS {
	return fstest.MapFS{"floor.csv": grid(5, 4, func(x, _ float64) float64 { return 9.9 + x/100 }), "walls.csv": walls(4, 3)}
}

// On the ramp a level plane h above its low side fills 150·h² and cuts 150·(0.04 − h)²: at a price of
// grinding of r times that of the fill h is 0.04·r/(1 + r).
func TestBestAtPrices(t *testing.T) {
	t.Parallel()
	const yard = 0.764554857984 // m³
	for _, c := range []struct {
		keys   string
		ratio  float64
		fill   float64 // price per m³
		priced bool
		note   string
	}{
		{"", 1, 1, false, "no prices: a volume ground is taken to cost as much as one filled"},
		{"grind-price = \"300/m3\"\nfill-price = \"100\"\n", 3, 100, true, ""},
		{"grind-price = \"300\"\n", 1, 300, true, "no price of the fill"},
		{"fill-price = \"115/yd3\"\n", 1, 115 / yard, true, "no price of grinding"},
		{"grind-price = \"400 per m3\"\n[mix]\nprice-per-yd3 = 152.9109715968\n", 2, 200, true, "the price of the fill is that of the mix"},
	} {
		r := solved(t, aimed("best = true\nmax-fall = \"0\"\n"+c.keys), ramped())
		b := r.Best
		h := 0.04 * c.ratio / (1 + c.ratio)
		near(t, c.keys+"height", b.Plane.Z, 9.9+h)
		near(t, c.keys+"cost", b.Cost, c.fill*150*(h*h+c.ratio*(0.04-h)*(0.04-h)))
		near(t, c.keys+"fill", r.Filled.Fill.Fill, 150*h*h)
		near(t, c.keys+"cut", r.Filled.Fill.Cut, b.Cut)
		if b.Priced != c.priced {
			t.Errorf("%spriced: %v", c.keys, b.Priced)
		}
		found := c.note == ""
		for _, n := range r.Notes {
			found = found || strings.Contains(n.Text.String(), c.note)
		}
		if !found {
			t.Errorf("%sno note %q", c.keys, c.note)
		}
		points, err := b.Curve()
		if err != nil {
			t.Fatal(err)
		}
		here := 0
		for _, p := range points {
			if z := 9.9 + 0.04*p.Ratio/(1+p.Ratio); !math.IsInf(p.Ratio, 1) {
				near(t, "curve", p.Plane.Z, z)
			}
			if p.Here {
				here++
				near(t, "of the job", p.Ratio, c.ratio)
			}
		}
		if here != 1 || len(points) < 7 {
			t.Errorf("%s%d of %d points are of the job", c.keys, here, len(points))
		}
	}
}

// On the ramp with a least depth of 5 mm a level plane is at 9.925 m, by hand: the eastern half is ground to
// 9.920 m. The order has the fill over it, at this height and at others.
func TestBestOrdersWhatCoversGroundParts(t *testing.T) {
	t.Parallel()
	r := solved(t, aimed("best = true\nmax-fall = \"0\"\nmin-depth = \"5mm\"\n[mix]\norder-step = \"10L\"\nallowance-percent = 0\n"), ramped())
	near(t, "height", r.Best.Plane.Z, 9.925)
	near(t, "fill", r.Best.Fill, 6*0.015+6*0.005)
	near(t, "needed", r.Takeoff.Need, 0.12)
	for _, row := range r.Heights(0.01, 1) {
		h := row.Raise
		west := 6 * (0.015 + h)
		if h < 0 { // to 9.915 m: 1.5 of the 2 m are below it
			west = 4.5 * 0.0075
		}
		near(t, "at another height", row.Fill+r.Best.Covers(h, row.Fill, 12), west+6*max(0, 0.005+h))
		if want := 0.01 * math.Ceil((west+6*max(0, 0.005+h))/0.01-1e-6); math.Abs(row.Order-want) > 1e-9 {
			t.Errorf("raised by %g: order %g, want %g", h, row.Order, want)
		}
	}
	err := refused(t, aimed("best = true\nmax-fall = \"0\"\nmin-depth = \"5mm\"\nvolume = \"1m3\"\n"), ramped())
	if !strings.Contains(err.Error(), "the floor is ground for the least depth first") {
		t.Error(err)
	}
}

// The survey after the pour is held against the plane found before it.
func TestBestAfterThePour(t *testing.T) {
	t.Parallel()
	files := ramped()
	files["after.csv"] = grid(5, 4, func(x, _ float64) float64 { return 9.92 + x/1000 })
	text := strings.Replace(aimed("best = true\nmax-fall = \"0\"\n"), "files =", "after = [\"after.csv\"]\nfiles =", 1)
	r := solved(t, text, files)
	near(t, "target", r.Judged.Target.Elevation(surfaceVec(0, 0)), 9.92)
	near(t, "highest", r.Judged.Off.Highest, 0.004)
}

// One door and nothing else lets the plane turn about it: a steep one is warned of.
func TestBestWarnsOfAFallWithoutLimit(t *testing.T) {
	t.Parallel()
	for keys, warned := range map[string]bool{"": true, "max-fall = \"15%\"\n": false, "max-fall = \"0\"\n": false} {
		found := false
		for _, n := range solved(t, aimed("best = true\nfinish-at = \"south\"\nbuildup = \"0mm\"\n"+keys), doors()).Notes {
			found = found || strings.Contains(n.Text.String(), "as nothing limits its fall")
		}
		if found != warned {
			t.Errorf("%q: warned %v", keys, found)
		}
	}
}

// What clashes is named in one refusal, with what frees it.
func TestBestRefusals(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ keys, want, hint string }{
		{"best = true\nmax-fall = \"0\"\nfinish-codes = [\"FF\"]\nbuildup = \"15mm\"\ntrip = \"2mm\"\n",
			"target.best: no plane keeps these: a level target; south, no higher than 9.987 m; north, no lower than 9.989 m", `trip = "3mm"`},
		{"best = true\nmax-fall = \"0\"\nfinish-codes = [\"FF\"]\nbuildup = \"15mm\"\ntrip = \"2mm\"\nlow = \"2mm\"\n",
			"south, no higher than 9.985 m; north, no lower than 9.987 m", `trip = "3mm"`},
		{"best = true\nmax-fall = \"0.1%\"\nfinish-codes = [\"FF\"]\nbuildup = \"15mm\"\n", "a fall of no more than 0.1 %", `max-fall = "0.`},
		{"best = true\nmin-depth = \"20mm\"\ngrind-price = \"none\"\nfinish-codes = [\"FF\"]\nbuildup = \"90mm\"\n", "a depth of no less than 20 mm without grinding", `min-depth = "`},
		{"best = true\nmax-fall = \"0\"\nramps = [\"south=1:12\"]\n", "a ramp is not part of it", "ramps"},
		{"best = true\nmax-fall = \"0\"\nparts = [\"room=10m\"]\n", "finds one plane for all parts that are filled", "best"},
		{"best = true\n", "nothing says what the plane must keep", "finish-codes"},
		{"best = true\nmax-fall = \"30%\"\n", "a fall from 0 to 20 %", ""},
		{"best = true\nfill-price = \"5/m2\"\n", "a price of a volume", ""},
		{"best = true\nfill-price = \"0\"\n", "a price of a volume", ""},
		{"elevation = \"10m\"\ntrip = \"5mm\"\n", "goes with the plane of least cost", "best"},
		{"best = true\nfinish-codes = [\"XX\"]\nbuildup = \"5mm\"\n", "no shot with code XX", ""},
		{"best = true\nmax-fall = \"0\"\nfinish-codes = [\"FF\"]\nfinish-rule = \"mean\"\nbuildup = \"5mm\"\n", "makes one plane of them", ""},
	} {
		err := refused(t, aimed(c.keys), doors())
		if !strings.Contains(err.Error(), c.want) || !strings.Contains(hintOf(err), c.hint) {
			t.Errorf("%s\n%v\nhint %s\nwant %s, hint %s", c.keys, err, hintOf(err), c.want, c.hint)
		}
	}
}
