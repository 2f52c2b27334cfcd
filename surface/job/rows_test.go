package job

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// Of three shots at one place the mean is that of all, and first and last are those of the file.
// By hand a middle of 2 by 2 m is a third of the volume: 4 m² × what it is lower / 3 more.
func TestThreeShotsAtOnePlace(t *testing.T) {
	t.Parallel()
	corners := [][3]float64{{0, 0, 9.96}, {2, 0, 9.96}, {2, 2, 9.96}, {0, 2, 9.96}}
	files := floorOfShots(append(corners, [][3]float64{{1, 1, 9.96}, {1, 1, 9.90}, {1, 1, 9.93}}...), outlineOf(rectangle(0, 0, 2, 2)))
	for rule, low := range map[string]float64{"first": 0, "mean": 0.03, "last": 0.03} {
		r := solved(t, with(tenMetres, "duplicates = \""+rule+"\"\n"), files)
		near(t, rule, r.Filled.Fill.Fill, 4*0.04+4*low/3)
	}
	// With one left out the others are the two.
	r := solved(t, with(tenMetres, "duplicates = \"mean\"\nleave-out = { \"107\" = \"rod off plumb\" }\n"), files)
	near(t, "mean of two", r.Filled.Fill.Fill, 4*0.04+4*0.03/3)
	r = solved(t, with(tenMetres, "duplicates = \"last\"\nleave-out = { \"107\" = \"rod off plumb\" }\n"), files)
	near(t, "the last that is left", r.Filled.Fill.Fill, 4*0.04+4*0.06/3)
	// With two left out there is one, and nothing to ask.
	r = solved(t, with(tenMetres, "leave-out = { \"106\" = \"rod off plumb\", \"floor.csv:8\" = \"a boot\" }\n"), files)
	near(t, "the one that is left", r.Filled.Fill.Fill, 4*0.04)
}

// A height of exactly 0 between shots at 0.55 m is refused as unclear. The job states that it is a pit,
// or no shot. By hand on a grid of 1 m one shot is a pyramid on
// six triangles of 0.5 m², 3 m² × depth / 3.
func TestZerosOfTheJob(t *testing.T) {
	t.Parallel()
	shots := onGrid(4, 3, 1, func(x, y float64) float64 {
		if x == 2 && y == 1 {
			return 0
		}
		return 0.55
	})
	files := floorOfShots(shots, outlineOf(rectangle(0, 0, 4, 3)))
	at := func(keys string) string { return strings.Replace(with(rampJob, keys), `"0m"`, `"0.6m"`, 1) }
	for _, c := range []struct {
		rule  string
		fill  float64
		shots int
	}{{"measured", 12*0.05 + 0.55, 20}, {"missing", 12 * 0.05, 19}} {
		r := solved(t, at("zeros = \""+c.rule+"\"\n"), files)
		near(t, c.rule, r.Filled.Fill.Fill, c.fill)
		if r.Floor.Used != c.shots {
			t.Errorf("%s: %d shots, want %d", c.rule, r.Floor.Used, c.shots)
		}
	}
	err := hinted(refused(t, at(""), files))
	for _, want := range []string{"floor.csv:11: column 4", "1 height of exactly 0, 550 mm or more from the 19 others", `zeros = "measured"`, `zeros = "missing"`} {
		if !strings.Contains(err, want) {
			t.Errorf("%s\nlacks %s", err, want)
		}
	}
}

// gridOf is a sheet of three by three crossings at z m, with a name in its corner.
func gridOf(name string, z float64) *fstest.MapFile {
	text := name + ",A,B,C\n"
	for row := range 3 {
		text += fmt.Sprintf("%d,%[2]g,%[2]g,%[2]g\n", row+1, z)
	}
	return &fstest.MapFile{Data: []byte(text)}
}

// Two grid sheets side by side, each from an origin of its own by the name in its corner or of its
// file. By hand each has 4 by 4 m, at 50 and at 70 mm, and 2 m between them a mean of 60.
func TestTwoGridSheets(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"west.csv": gridOf("BAY 1", 9.95), "east.csv": gridOf("BAY 2", 9.93), "walls.csv": walls(10, 4)}
	text := func(origins string) string {
		return "units = \"m\"\n" + strings.Replace(with(tenMetres, "grid-spacing = \"2m\"\ngrid-numbers = \"north\"\ngrid-values = \"elevation\"\n"+origins), `["floor.csv"]`, `["west.csv", "east.csv"]`, 1)
	}
	for _, origins := range []string{
		`"BAY 1" = "0m,0m", "BAY 2" = "6m,0m"`, `"west.csv" = "0m,0m", "east.csv" = "6m,0m"`, `"BAY 1" = "0m,0m", "BAY 2" = "19.68503937ft,0ft"`,
	} {
		r := solved(t, text("grid-origins = { "+origins+" }\n"), files)
		isWithin(t, origins, r.Filled.Fill.Fill, 16*0.05+8*0.06+16*0.07, 1e-6)
	}
	for _, c := range []struct{ origins, want string }{
		{"", "east.csv:1: grid: found a second sheet at the origin of the first|grid-origins"},
		{"grid-origins = { \"BAY 1\" = \"0m,0m\" }\n", "east.csv:1: grid: found a second sheet at the origin of the first|grid-origins"},
		{"grid-origins = { \"BAY 1\" = \"0m,0m\", \"BAY 3\" = \"6m,0m\" }\n", `found no sheet "BAY 3"|"BAY 2"`},
		{"grid-origins = { \"BAY 1\" = \"0m,0m\", \"BAY 2\" = \"6,0\" }\n", `job.toml:10:1: survey.grid-origins: found "6,0"|such as 6m,0`},
		{"grid-origins = { \"BAY 1\" = \"0m,0m\", \"BAY 2\" = \"6m\" }\n", "job.toml:10:1: survey.grid-origins|SHEET=X,Y"},
	} {
		err := hinted(refused(t, text(c.origins), files))
		for want := range strings.SplitSeq(c.want, "|") {
			if !strings.Contains(err, want) {
				t.Errorf("%s%s\nlacks %s", c.origins, err, want)
			}
		}
	}
}

// A1 is the origin, and lines count from it in the directions of the job. By hand the one deep
// crossing is B3: two spacings of 2 m along the numbers and one along the letters.
func TestDirectionsOfAGrid(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"floor.csv": {Data: []byte(",A,B,C\n1,9.95,9.95,9.95\n2,9.95,9.95,9.95\n3,9.95,9.90,9.95\n")}}
	for _, c := range []struct {
		numbers, letters string
		x, y             float64
	}{{"north", "east", 2, 4}, {"south", "east", 2, -4}, {"north", "west", -2, 4}, {"east", "north", 4, 2}, {"90", "south", 4, -2}, {"east", "", 4, 2}, {"west", "", -4, -2}} {
		keys := "grid-spacing = \"2m\"\ngrid-values = \"elevation\"\ngrid-numbers = \"" + c.numbers + "\"\n"
		if c.letters != "" {
			keys += "grid-letters = \"" + c.letters + "\"\n"
		}
		j := parsed(t, "units = \"m\"\n"+strings.Replace(with(tenMetres, keys), "outline = \"walls.csv\"\n", "", 1))
		r, err := Solve(t.Context(), j, files, nil)
		if err != nil {
			t.Errorf("%+v: %s", c, hinted(err))
			continue
		}
		at := r.Filled.Fill.GreatestAt
		near(t, c.numbers+" and "+c.letters+": x", at.X, c.x)
		near(t, c.numbers+" and "+c.letters+": y", at.Y, c.y)
	}
}
