package job

import (
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/survey/unit"
)

const levelBay = "elevation = \"10.15m\"\nfall = \"1%\"\n"

// Tables name drains and channels, with a place or an elevation of their own; in one list with texts.
func TestDrainTables(t *testing.T) {
	r := solved(t, bayJob(levelBay+`
[[target.drains]]
name = "Gully by the gate"
at = "1m,1m"
[[target.drains]]
name = "D1"
[[target.drains]]
at = "5m,1m"
to = "5m,3m"
[[target.drains]]
name = "Back channel"
at = "0.5m,3.5m"
to = "1.5m,3.5m"
`), bay())
	var names []string
	for _, d := range r.Falls.Served {
		names = append(names, d.Name)
	}
	if want := []string{"Gully by the gate", "D1", "channel 1", "Back channel"}; !slices.Equal(names, want) {
		t.Errorf("named %q, want %q", names, want)
	}
	if d := r.Falls.Served[1]; d.At != surfaceVec(3, 2) || d.Channel {
		t.Errorf("D1 at %v", d.At)
	}
	if d := r.Falls.Served[2]; !d.Channel || d.To != surfaceVec(5, 3) {
		t.Errorf("a channel to %v", d.To)
	}
	// With elevations of their own the walls follow. By hand: from the drain 10.02 m, the corner
	// of a quarter is √(1.5² + 2²) = 2.5 m away; 1 % of it is 25 mm.
	r = solved(t, bayJob("fall = \"1%\"\ndrains = [{ name = \"W\", at = \"1.5m,2m\", elevation = \"10.02m\" }, \"4.5m,2m,10.02m\"]\n"), bay())
	isWithin(t, "highest", r.Falls.Highest.Z, 10.045, 1e-9)
	if got := r.Falls.Served[0].Name + ", " + r.Falls.Served[1].Name; got != "W, drain 2" {
		t.Errorf("named %s", got)
	}
	// An elevation for a shot is that of the fill: its rim and the build-up do not count.
	r = solved(t, bayJob("fall = \"1%\"\ndrains = [{ name = \"D1\", elevation = \"10.05m\" }]\n"), bay())
	isWithin(t, "drain", r.Falls.Served[0].Z, 10.05, 1e-12)
	isWithin(t, "highest", r.Falls.Highest.Z, 10.05+0.01*math.Hypot(3, 2), 1e-9)
}

// drained is a level floor of 6 by 4 m with shots of two drains with a name, one without, and a
// shot of the floor named as in floorName.
func drained(floorName string) fstest.MapFS {
	files := bay()
	files["floor.csv"] = &fstest.MapFile{Data: []byte("name,x,y,z,code\n1,0,0,10,\n2,6,0,10,\n3,6,4,10,\n4,0,4,10,\n" + floorName + ",3,0,10,\n6,3,4,10,\nD1,1.5,2,10.06,DRAIN\nD2,4.5,1,10.06,Drain north\n,4.5,3,10.06,DRAIN\nG1,3,3.9,10.06,GULLY\nW,3,3,10,WALL\n")}
	return files
}

// A code stands for all drains that were shot with it.
func TestDrainsByTheirCode(t *testing.T) {
	of := func(drains string) *Result {
		return solved(t, bayJob(levelBay+"drains = ["+drains+"]\n"), drained("5"))
	}
	coded, listed := of(`"drain"`), of(`"D1", "D2", "4.5m,3m"`)
	if !reflect.DeepEqual(coded.Falls.Served, listed.Falls.Served) {
		t.Errorf("by code\n%v, one by one\n%v", coded.Falls.Served, listed.Falls.Served)
	}
	if n := len(coded.Falls.Served); n != 3 || coded.Falls.Served[2].Name != "drain 3" {
		t.Errorf("%d drains, the last %q", n, coded.Falls.Served[n-1].Name)
	}
	if n := len(of(`"GULLY", "D1"`).Falls.Served); n != 2 {
		t.Errorf("%d drains of a code and a name, want 2", n)
	}
	// At their rims, less the build-up.
	r := solved(t, bayJob("buildup = \"12mm\"\nfall = \"1%\"\ndrains = [\"DRAIN\"]\n"), drained("5"))
	for _, d := range r.Falls.Served {
		isWithin(t, d.Name, d.Z, 10.048, 1e-12)
	}
}

func TestDrainTableRefusals(t *testing.T) {
	for _, c := range []struct{ drains, want string }{
		{"[[target.drains]]\n", "job.toml:10:3: target.drains[1].name: found neither name nor at"},
		{"[[target.drains]]\nelevation = \"10m\"\n", "found neither name nor at"},
		{"[[target.drains]]\nname = \"D1\"\n[[target.drains]]\nname = \"D9\"\n", "job.toml:13:1: target.drains[2].name: found \"D9\", want the name of a shot; any other name goes with a place"},
		{"[[target.drains]]\nname = \"D1\"\nat = \"3m,2m\"\n", "job.toml:12:1: target.drains[1].at: found a place for \"D1\", which is the shot at floor.csv:8"},
		{"[[target.drains]]\nat = \"1m,2m\"\nto = \"1000mm,2m\"\n", "job.toml:12:1: target.drains[1].to: found \"1000mm,2m\", want another place"},
		{"[[target.drains]]\nname = \"D1\"\nto = \"1.5m,2m\"\n", "target.drains[1].to: found \"1.5m,2m\", want another place"},
		{"[[target.drains]]\nat = \"1,2\"\n", "job.toml:11:1: target.drains[1].at: found \"1,2\", want a length with its unit, such as 1m,2m"},
		{"[[target.drains]]\nat = \"1m,2m\"\nelevation = \"10\"\n", "target.drains[1].elevation: found \"10\", want a length with its unit, such as 10m"},
		{"[[target.drains]]\nat = \"1m,2m,10m\"\n", "target.drains[1].at: found \"1m,2m,10m\", want a place"},
		{"[[target.drains]]\nat = \"1m,2m\"\nto = \"3m\"\n", "target.drains[1].to: found \"3m\", want a place"},
		{"[[target.drains]]\nat = \"xm,2m\"\n", "target.drains[1].at: found"},
		{"[[target.drains]]\nname = \"D1\"\n[[target.drains]]\nname = \"d1\"\n", "job.toml:13:1: target.drains[2].name: found two drains named \"D1\""},
		{"drains = [\"D1\", \"d1\"]\n", "job.toml:10:1: target.drains: found two drains named \"D1\""},
		{"drains = [{ name = \"drain 2\", at = \"1m,1m\" }, \"5m,3m\"]\n", "found two drains named \"drain 2\""},
		{"drains = [{ name = \"x\" }]\n", "job.toml:10:1: target.drains[1].name: found \"x\""},
		{"[[target.drains]]\nplace = \"1m,1m\"\n", "job.toml:11:1: found the key \"target.drains.place\", want a key of [[target.drains]]: name, at, to, elevation"},
		{"[[target.drains]]\nname = 1\n", "target.drains.name: found 1, want text in one pair of quotes: name = \"1\""},
		{"drains = \"D1\"\n", "want a list: drains = [\"D1\"]"},
		{"drains = [\"WALL\"]\n", "WALL is a code of shots that are not drains"},
		{"drains = [\"SUMP\"]\n", "drains here have that code"},
	} {
		if err := hinted(refused(t, bayJob(levelBay+c.drains), drained("5"))); !strings.Contains(err, c.want) {
			t.Errorf("%q: %s, want %q in it", c.drains, err, c.want)
		}
	}
	// A name that is a code as well could mean two things.
	err := hinted(refused(t, bayJob(levelBay+"drains = [\"DRAIN\"]\n"), drained("drain")))
	if want := "found \"DRAIN\", the name of the shot at floor.csv:6 and the code of 3 drains, want one of the two"; !strings.Contains(err, want) {
		t.Errorf("%s, want %q in it", err, want)
	}
}

// The editor of a job leaves tables of drains alone, and writes lists of texts.
func TestTablesOfDrainsAreEditedByHand(t *testing.T) {
	plain := bayJob(levelBay + "drains = [\"D1\"]\n")
	got, err := Edited([]byte(plain), "target.drains", "D1", "5m,3m")
	if err != nil || !strings.Contains(string(got), "drains = [\"D1\", \"5m,3m\"] #") {
		t.Errorf("%v\n%s", err, got)
	}
	there := func(text string) (out *Choice) {
		for _, c := range parsed(t, text).Choices() {
			if c.Key == "target.drains" {
				out = &c
			}
		}
		return out
	}
	if c := there(plain); c == nil || c.Kind != KindList || !slices.Equal(c.Values, []string{"D1"}) {
		t.Errorf("%v", c)
	}
	for _, drains := range []string{"[[target.drains]]\nname = \"D1\"\n", "drains = [{ name = \"D1\" }]\n", "drains = [\"D1\", { at = \"1m,1m\" }]\n"} {
		text := bayJob(levelBay + drains)
		if got, err := Edited([]byte(text), "target.drains", "D2"); err == nil || !strings.Contains(err.Error(), "edited by hand") {
			t.Errorf("%q became %s", drains, got)
		}
		if there(text) != nil {
			t.Errorf("%q is offered for a form", drains)
		}
		// Another key is set beside them.
		got, err := Edited([]byte(text), "target.walls", "level")
		if err != nil {
			t.Error(err)
			continue
		}
		if j := parsed(t, string(got)); j.Target.Walls != "level" || len(j.Target.Drains) != len(parsed(t, text).Target.Drains) {
			t.Errorf("%q: walls %q, %d drains", drains, j.Target.Walls, len(j.Target.Drains))
		}
	}
}

// A line names four drains max, and an elevation that all have once.
func TestDrainsInALine(t *testing.T) {
	for _, c := range []struct{ target, want string }{
		// By hand: the farthest corner is √(1.5² + 2²) = 2.5 m from its drain, 25 mm at 1 %.
		{levelBay + "drains = [\"1.5m,2m\", { name = \"E\", at = \"4.5m,2m\" }]\n", "; to drain 1 and E at 10.125 m"},
		{levelBay + "drains = [\"1.5m,2m\", \"3m,2m\", \"4.5m,2m\"]\n", "; to drain 1, drain 2 and drain 3 at 10.125 m"},
		{levelBay + "drains = [\"1.5m,2m\", \"2m,2m\", \"3m,2m\", \"4m,2m\", \"4.5m,2m\"]\n", "; to 5 drains at 10.125 m"},
		// Level walls: the drain that is farther from a corner, √(2² + 2²) m, is lower.
		{levelBay + "walls = \"level\"\ndrains = [\"1m,2m\", \"4m,2m\"]\n", "; to drain 1 at 10.125 m and drain 2 at 10.121 m, min 1 % along the way there"},
	} {
		if got := solved(t, bayJob(c.target), bay()).DrainsText().In(unit.Style{}); got != c.want {
			t.Errorf("%q: %q, want %q", c.target, got, c.want)
		}
	}
}

// A new job shows the drains that were shot as the example of what it could fall to.
func TestANewJobShowsItsDrains(t *testing.T) {
	for rows, want := range map[string]string{
		"":                                `# drains = ["3.2m,2m"]`,
		"D1,1,1,10,DRAIN\nD2,5,1,10,FD\n": `# drains = ["D1", "D2"]`,
		"D1,1,1,10,DRAIN\n,5,1,10,FD\n":   `# drains = ["DRAIN", "FD"]`,
	} {
		files := bay()
		files["floor.csv"] = &fstest.MapFile{Data: []byte("name,x,y,z,code\n1,0,0,10,\n2,6,0,10,\n3,6,4,10,\n4,0,4,10,\n" + rows)}
		j := parsed(t, bayJob(levelBay+"toward = \"N\"\n"))
		s, _, err := OpenFloor(j, files, nil)
		if err != nil {
			t.Fatal(err)
		}
		j.Seen(s)
		if text := j.Text(false); !strings.Contains(text, want+" # drains that it falls to") {
			t.Errorf("%q: no %s in\n%s", rows, want, text)
		}
	}
}

// A volume sets the level of the walls, and the drains follow.
func TestAVolumeThatFallsToDrains(t *testing.T) {
	// By hand: the pyramid to D1 takes 24·(h − down/3) above the floor at 10 m, and is nowhere below it.
	down := 0.01 * math.Hypot(3, 2)
	r := solved(t, bayJob("volume = \"3m3\"\nfall = \"1%\"\nwalls = \"level\"\ndrains = [\"D1\"]\n"), bay())
	isWithin(t, "fill", r.Fill.Fill, 3, 1e-9)
	isWithin(t, "walls", r.Falls.Highest.Z, 10+3.0/24+down/3, 1e-9)
	isWithin(t, "drain", r.Falls.Served[0].Z, 10+3.0/24+down/3-down, 1e-9)
	if b := r.Brought; b == nil || !b.Sets || b.Off != 0 {
		t.Errorf("brought %+v", b)
	}
	// An even fall is the one to a target as high.
	even := solved(t, bayJob("volume = \"0.7m3\"\nfall = \"2%\"\ndrains = [\"D1\", \"1m,1m\"]\n"), bay())
	isWithin(t, "fill", even.Fill.Fill, 0.7, 1e-9)
	same := solved(t, bayJob("elevation = \""+strconv.FormatFloat(even.Falls.Highest.Z, 'f', -1, 64)+"m\"\nfall = \"2%\"\ndrains = [\"D1\", \"1m,1m\"]\n"), bay())
	isWithin(t, "fill to it", same.Fill.Fill, 0.7, 1e-9)
	isWithin(t, "cut to it", same.Fill.Cut, even.Fill.Cut, 1e-9)
	for _, c := range []struct{ target, want string }{
		{"drains = [\"3m,2m,10.1m\"]\n", "sets the height of the fill, and the elevation of drain 1 does too"},
		{"[[target.drains]]\nname = \"D1\"\nelevation = \"10.1m\"\n", "and the elevation of D1 does too"},
		{"drains = [\"D1\"]\nbuildup = \"12mm\"\n", "alone sets the top of the fill itself"},
	} {
		if err := hinted(refused(t, bayJob("volume = \"3m3\"\nfall = \"2%\"\n"+c.target), bay())); !strings.Contains(err, c.want) {
			t.Errorf("%q: %s, want %q in it", c.target, err, c.want)
		}
	}
	if err := hinted(refused(t, bayJob("volume = \"900m3\"\nfall = \"2%\"\ndrains = [\"D1\"]\n"), bay())); !strings.Contains(err, "fills the floor to a depth of") {
		t.Error(err)
	}
}
