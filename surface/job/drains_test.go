package job

import (
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/survey/unit"
)

// bay is a level floor of 6 by 4 m at 10 m, with a drain in its middle whose rim is at 10.06 m and
// a finished floor at 10.2 m.
func bay() fstest.MapFS {
	return fstest.MapFS{
		"floor.csv":   {Data: []byte("name,x,y,z,code\n1,0,0,10,\n2,6,0,10,\n3,6,4,10,\n4,0,4,10,\n5,3,0,10,\n6,3,4,10,\nD1,3,2,10.06,DRAIN\nA1,3,-0.2,10.2,ADJ\n")},
		"outline.csv": {Data: []byte("x,y\n0,0\n6,0\n6,4\n0,4\n")},
	}
}

func bayJob(target string) string {
	return "title = \"Wash bay\"\ndate = 2026-11-25\nunits = \"m\"\n[survey]\nfiles = [\"floor.csv\"]\noutline = \"outline.csv\"\n[target]\n" + target
}

// Level walls round one drain are a pyramid, a third of the box (any book on solids).
func TestLevelWallsToADrain(t *testing.T) {
	r := solved(t, bayJob("elevation = \"10.15m\"\nfall = \"1%\"\ndrains = [\"D1\"]\nwalls = \"level\"\n"), bay())
	down := 0.01 * math.Hypot(3, 2)
	isWithin(t, "fill", r.Fill.Fill, 24*(0.15-down/3), 1e-8)
	isWithin(t, "drain", r.Falls.Served[0].Z, 10.15-down, 1e-12)
	isWithin(t, "at the wall", r.Fill.Target.Elevation(surfaceVec(0, 3)), 10.15, 1e-9)
	if r.Survey.Points[0].Name() == "D1" || len(r.Survey.Points) != 6 {
		t.Errorf("%d floor shots, want 6 without the drain", len(r.Survey.Points))
	}
	raised, err := r.Raised(0.01)
	if err != nil {
		t.Fatal(err)
	}
	isWithin(t, "raised", raised.Fill.Fill, r.Fill.Fill+0.24, 1e-9)
	if got := raised.DrainsText().In(unit.Style{}); got != "; to D1 at 10.123 m, min 1 % along the way there" {
		t.Errorf("raised %q, by hand 10.15 + 0.01 − 0.0361", got)
	}
}

// An even fall from the rim of the drain, lowered by the build-up: a cone over the rectangle, whose
// integral is four times that over a quarter, by the antiderivative of the distance.
func TestEvenFallFromTheRim(t *testing.T) {
	r := solved(t, bayJob("fall = \"1:50\"\ndrains = [\"D1\"]\nbuildup = \"12mm\"\nlow = \"3mm\"\n"), bay())
	isWithin(t, "drain", r.Falls.Served[0].Z, 10.045, 1e-12)
	p, q, d := 3.0, 2.0, math.Hypot(3, 2)
	cone := 4 * (p*q*d/3 + p*p*p/6*math.Log((q+d)/p) + q*q*q/6*math.Log((p+d)/q)) / 50
	if want := 24*0.045 + cone; r.Fill.Fill > want+1e-7 || r.Fill.Fill < want-24*0.00005 {
		t.Errorf("fill %.6f m³, want %.6f or up to 1.2 l less", r.Fill.Fill, want)
	}
	// The finished floor is above the nearest wall place: by hand 10.2 − (10.045 + 0.02 × 2).
	isWithin(t, "room at the door", r.Thresholds[0].Room, 0.115, 0.00006)
}

// A target from finished floors is the top of the walls.
func TestDrainsBelowFinishedFloor(t *testing.T) {
	r := solved(t, bayJob("finish-codes = [\"ADJ\"]\nbuildup = \"20mm\"\nfall = \"2%\"\ndrains = [\"1m,1m\", \"5m,3m\"]\nchannels = [\"3m,1.5m,3m,2.5m\"]\n"), bay())
	isWithin(t, "highest", r.Falls.Highest.Z, 10.18, 1e-9)
	sum := 0.0
	for _, d := range r.Falls.Served {
		sum += d.Area
	}
	isWithin(t, "areas", sum, 24, 1e-6)
	if len(r.Falls.Served) != 3 || r.Falls.Served[2].Name != "channel 1" {
		t.Errorf("%d drains", len(r.Falls.Served))
	}
}

// A floor that falls by a published least fall has none with less of it.
func TestLeastFallIsMet(t *testing.T) {
	r := solved(t, bayJob("elevation = \"10.2m\"\nfall = \"1/4in/ft\"\ndrains = [\"D1\"]\n[outputs]\nwater = true\n"), bay())
	planned := r.Water[1]
	for i, l := range LeastFalls {
		if share := planned.Flatter[i]; share > 1e-9 {
			t.Errorf("%s: %.1f %% of the floor falls less than %.2f %%", l.For, 100*share, 100*l.Fall)
		}
	}
}

// Facets near a drain at a wall are flatter than the even fall that they follow, and are not it.
func TestAnEvenFallIsOneFall(t *testing.T) {
	r := solved(t, bayJob("elevation = \"10.2m\"\nfall = \"1%\"\ndrains = [\"1.5m,1m\", \"1.7m,3m\"]\nchannels = [\"4m,0.5m,4m,3.5m\"]\n[outputs]\nwater = true\n"), bay())
	if got := FallText(r.Filled.Floor, r.Fill.Target); got != "falls 1 %" {
		t.Errorf("it %s, want falls 1 %%", got)
	}
	planned := r.Water[1]
	isWithin(t, "flattest hundredth", planned.Least.Fall, 0.01, 0)
	for i, want := range []float64{0, 0, 24, 24, 0} {
		isWithin(t, "flatter", planned.Flatter[i], want, 1e-6)
	}
}

func TestDrainRefusals(t *testing.T) {
	for _, c := range []struct{ target, want string }{
		{"elevation = \"10.15m\"\ndrains = [\"D1\"]\n", "target.fall: how much does the floor fall"},
		{"elevation = \"10.15m\"\nfall = \"2%\"\nwalls = \"level\"\n", "for a floor that falls to drains"},
		{"elevation = \"10.15m\"\nfall = \"2%\"\nwalls = \"flat\"\ndrains = [\"D1\"]\n", "even or level"},
		{"elevation = \"10.15m\"\nfall = \"2%\"\ntoward = \"N\"\ndrains = [\"D1\"]\n", "give one of them"},
		{"fall = \"2%\"\nwalls = \"level\"\ndrains = [\"3m,2m,10.1m\"]\n", "without their level"},
		{"fall = \"2%\"\ndrains = [\"D1\"]\n", "shot at its rim"},
		{"fall = \"2%\"\ndrains = [\"3m,2m\"]\n", "no elevation of drain 1"},
		{"fall = \"2%\"\nchannels = [\"3m,1m,3m,2m\"]\n", "no elevation of channel 1"},
		{"elevation = \"10.15m\"\nfall = \"2%\"\ndrains = [\"D9\"]\n", "D1"},
		{"elevation = \"10.15m\"\nfall = \"2%\"\ndrains = [\"3m\"]\n", "one length is no place: [target] drains = [\"3m,Y\"]"},
		{"elevation = \"10.15m\"\nfall = \"2%\"\ndrains = [\"9m,2m\"]\n", "3.000 m outside the outline"},
		{"elevation = \"10.15m\"\nfall = \"2%\"\ndrains = [\"3m,2m,10.15m\"]\n", "72.1 mm above the level of the walls"},
		{"elevation = \"10.15m\"\nfall = \"2%\"\nchannels = [\"3m,1m,3m,1m\"]\n", "two ends"},
		{"elevation = \"10.15m\"\nfall = \"2%\"\nchannels = [\"3m,1m,3m\"]\n", "X1,Y1,X2,Y2"},
		{"finish-codes = [\"ADJ\"]\nfinish-rule = \"plane\"\nbuildup = \"9mm\"\nfall = \"2%\"\ndrains = [\"D1\"]\n", "a slope of its own"},
	} {
		if err := hinted(refused(t, bayJob(c.target), bay())); !strings.Contains(err, c.want) {
			t.Errorf("%q: %s, want %q in it", c.target, err, c.want)
		}
	}
}

// The facets that fan out from two drains do not split each other's slivers over and over: there
// were more than ten million triangles before the memory was used up.
func TestFacetsStayFew(t *testing.T) {
	files := fstest.MapFS{
		"floor.csv":   {Data: []byte("name,x,y,z\n1,0,0,9.91\n2,2,0,9.90\n3,4,0,9.915\n4,0,2,9.90\n5,2,2,9.89\n6,4,2,9.90\n7,0,3,9.92\n8,2,3,9.905\n9,4,3,9.91\n")},
		"outline.csv": {Data: []byte("x,y\n0,0\n4,0\n4,3\n0,3\n")},
	}
	r := solved(t, bayJob("elevation = \"10m\"\nfall = \"2%\"\ndrains = [\"1m,1m\", \"3m,2m\"]\n"), files)
	if r.Fill.Triangles > 30_000 {
		t.Errorf("%d triangles", r.Fill.Triangles)
	}
}

// A shot of finished floor above the fill is no drain, whatever it is called: 140 mm by hand. One at
// the fill, such as a sill that water leaves over, is.
func TestADrainOnFinishedFloor(t *testing.T) {
	for _, c := range []struct {
		target string
		want   bool
	}{
		{"elevation = \"10.1m\"\nfall = \"1%\"\ndrains = [\"A1\"]\n", true},
		{"elevation = \"10.3m\"\nfall = \"1%\"\ndrains = [\"A1\"]\n", false},
		{"elevation = \"10.1m\"\nfall = \"1%\"\ndrains = [\"D1\"]\n", false},
	} {
		notes := noteTexts(solved(t, bayJob(c.target), bay()))
		if got := strings.Contains(notes, "the floor falls to A1, which is finished floor 1"); got != c.want {
			t.Errorf("%s: warned %v:\n%s", c.target, got, notes)
		}
	}
}
