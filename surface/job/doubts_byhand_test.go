package job

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/survey"
)

// odd is the floor of [sixCubic] with its shot 132, at (5, 2), at another elevation. A shot
// reaches a metre along x and y: the square whose middle it is, and its pyramid, are 4 m² less two
// half squares at the diagonals that pass it by.
func odd(t *testing.T, z float64) (text string, files fstest.MapFS) {
	t.Helper()
	text, files = sixCubic()
	row := func(z float64) string { return fmt.Sprintf("132,5,2,%.12f\n", z) }
	was := string(files["floor.csv"].Data)
	if files["floor.csv"].Data = []byte(strings.Replace(was, row(9.9), row(z), 1)); string(files["floor.csv"].Data) == was {
		t.Fatal("no shot was changed")
	}
	return text, files
}

// Beside an order is what is ordered if the reading of the largest effect is wrong. By hand the floor
// without it takes 6 m³, one truck of 6. With the shot 300 mm low a second one comes for the rest; 300 mm
// high it cuts nothing else than itself.
func TestReadingInDoubtBesideTheOrder(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		z                       float64
		plant                   string
		trucks                  int
		beside, instead, cut, m string
	}{
		{9.6, "[plant]\ntruck = \"6m3\"\n", 2, " (6.00 m³ if shot 132 is misread)", "If shot 132 is wrong, order about 6.00 m³, 1 truck", "", " (only because shot 132 reads 300 mm low; otherwise 100 mm)"},
		{9.6, "[plant]\ntruck = \"6m3\"\n[pace]\nplacing-m3-per-hour = 4\n", 2, " (6.00 m³ if shot 132 is misread)", "", "", " (only because shot 132 reads 300 mm low; otherwise 100 mm)"}, // loads are planned
		{9.8, "[plant]\ntruck = \"6m3\"\n", 2, " (6.00 m³ if shot 132 is misread)", "If shot 132 is wrong, order about 6.00 m³, 1 truck", "", " (only because shot 132 reads 100 mm low; otherwise 100 mm)"},
		// As many trucks either way: the order alone differs.
		{9.6, "[plant]\ntruck = \"5m3\"\nshort-load = \"1m3\"\n", 2, " (6.00 m³ if shot 132 is misread)", "", "", " (only because shot 132 reads 300 mm low; otherwise 100 mm)"},
		// 1.5 m³ is below 1.6 and 1 m³ as well: short both times.
		{9.6, "[plant]\ntruck = \"5m3\"\nshort-load = \"1.6m3\"\n", 2, " (6.00 m³ if shot 132 is misread)", "", "", " (only because shot 132 reads 300 mm low; otherwise 100 mm)"},
		// 1.5 m³ is not short of 1.25, and 1 m³ is.
		{9.6, "[plant]\ntruck = \"5m3\"\nshort-load = \"1.25m3\"\n", 2, " (6.00 m³ if shot 132 is misread)", "If shot 132 is wrong, order about 6.00 m³, 2 trucks, a short load", "", " (only because shot 132 reads 300 mm low; otherwise 100 mm)"},
		// 0.25 m³ beside 6.25, and 6 m³ alone, are below 6.1: short before and after.
		{9.6, "[plant]\ntruck = \"6.25m3\"\nshort-load = \"6.1m3\"\n", 2, " (6.00 m³ if shot 132 is misread)", "If shot 132 is wrong, order about 6.00 m³, 1 truck", "", " (only because shot 132 reads 300 mm low; otherwise 100 mm)"},
		// 5.8 m³ and 6 are both ordered as 6; the cut is of the shot alone.
		{10.2, "[plant]\ntruck = \"6m3\"\n", 1, "", "", " (none if shot 132 is misread)", ""},
		{9.6, "[pace]\nmixed-on-site = true\n", 0, "", "", "", " (only because shot 132 reads 300 mm low; otherwise 100 mm)"},
	} {
		text, files := odd(t, c.z)
		if !strings.Contains(c.plant, "[pace]") {
			text += "[pace]\nplacing-m3-per-hour = 12\n"
		}
		r := solved(t, text+c.plant, files)
		what := fmt.Sprintf("%g m, %s", c.z, c.plant)
		if len(r.Blunders) != 1 || r.Blunders[0].Corrected == nil {
			t.Fatalf("%s: %+v", what, r.Blunders)
		}
		near(t, what+"fill without it", r.Blunders[0].Corrected.Fill, 6)
		near(t, what+"cut without it", r.Blunders[0].Corrected.Cut, 0)
		near(t, what+"change", r.Blunders[0].VolumeChange, 6-r.Filled.Fill.Fill)
		if r.Delivery.Trucks != c.trucks && c.trucks > 0 {
			t.Errorf("%s%d trucks, by hand %d", what, r.Delivery.Trucks, c.trucks)
		}
		for of, v := range map[string][2]string{"order": {r.OrderDoubt().String(), c.beside}, "cut": {r.CutDoubt().String(), c.cut}, "max depth": {r.MaxDoubt.String(), c.m}} {
			if v[0] != v[1] {
				t.Errorf("%s%s: %q, by hand %q", what, of, v[0], v[1])
			}
		}
		doubts := r.DoubtsOnOrder().String()
		if !strings.HasPrefix(doubts, "1 reading: shot 132 (if wrong, 0.") || (c.instead == "") != strings.HasSuffix(doubts, ". Read again before you order") || !strings.HasSuffix(doubts, c.instead) {
			t.Errorf("%sdoubts %q, by hand with %q", what, doubts, c.instead)
		}
	}
}

// Without a plant of its own a job orders less than 1 m³ in bags. By hand 16 m² × 50 mm are 0.8 m³; a
// pit 600 mm deep at one shot adds a third of that on 2 to 4 m², and makes it a truck.
func TestReadingInDoubtThatMakesATruck(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"walls.csv": walls(4, 4), "floor.csv": grid(5, 5, func(x, y float64) float64 {
		if x == 2 && y == 2 {
			return 9.35
		}
		return 9.95
	})}
	r := solved(t, tenMetres+"[mix]\nallowance-percent = 0\n", files)
	if len(r.Blunders) != 1 || r.Delivery.Trucks != 1 {
		t.Fatalf("%d doubts, %+v", len(r.Blunders), r.Delivery)
	}
	near(t, "without it", r.Blunders[0].Corrected.Fill, 0.8)
	if got := r.DoubtsOnOrder().String(); !strings.HasSuffix(got, "If shot 112 is wrong, order about 0.80 m³, in bags: too little for a truck") {
		t.Errorf("%q", got)
	}
	if got := r.OrderDoubt().String(); got != "" {
		t.Errorf("a truck of %q", got)
	}
	// With a plant of its own it is a truck in either case, of 0.8 m³ in steps of 0.25.
	r = solved(t, tenMetres+"[mix]\nallowance-percent = 0\n[plant]\ntruck = \"6m3\"\n", files)
	if got := r.OrderDoubt().String(); got != " (1.00 m³ if shot 112 is misread)" || strings.Contains(r.DoubtsOnOrder().String(), "bags") {
		t.Errorf("%q, %q", got, r.DoubtsOnOrder())
	}
}

// A level fill drains to no drain on the floor, by hand on 6 × 4 m: up to 0.6 m from a wall one plane
// can fall to it, farther in it cannot. A drain beyond the walls is no drain of the floor.
func TestLevelFillAtDrains(t *testing.T) {
	t.Parallel()
	const plain, inner = "a level fill does not drain to %s: if water is to run there, ", "a level fill does not drain to %s, and one plane cannot drain to D1 from all sides, %s from the nearest wall"
	for _, c := range []struct {
		name, keys string
		rows       []string
		want       string
	}{
		{"at a wall", "", []string{"D1,3,0.6,9.85,DRAIN"}, fmt.Sprintf(plain, "D1")},
		{"at the east wall", "", []string{"D1,5.5,2,9.85,DRAIN"}, fmt.Sprintf(plain, "D1")},
		{"farther in", "", []string{"D1,3,0.61,9.85,DRAIN"}, fmt.Sprintf(inner, "D1", "0.610 m")},
		{"in the middle", "", []string{"D1,3,2,9.85,DRAIN"}, fmt.Sprintf(inner, "D1", "2.000 m")},
		{"two", "", []string{"D1,3,0.5,9.85,DRAIN", "D2,1,0.5,9.85,DRAIN"}, fmt.Sprintf(plain, "D1 and 1 more")},
		{"one of two beyond the walls", "", []string{"D1,3,0.5,9.85,DRAIN", "D2,7,0.5,9.85,DRAIN"}, fmt.Sprintf(plain, "D1")},
		{"beyond the walls", "", []string{"D2,3,-1,9.85,DRAIN"}, ""},
		{"sloped to it", "fall = \"1%\"\ntoward = \"D1\"\n", []string{"D1,3,0,9.85,DRAIN"}, ""},
		{"none", "", nil, ""},
	} {
		text := strings.Replace(tenMetres, "elevation = \"10m\"\n", "elevation = \"10m\"\n"+c.keys, 1)
		r := solved(t, text, doored(c.rows...))
		var got []string
		for _, n := range r.Notes {
			if s := strings.TrimPrefix(n.In(styleOf(r)), "floor.csv:37: "); strings.HasPrefix(s, "a level fill") && n.Kind == survey.Warning && n.Topic == survey.AboutTarget {
				got = append(got, s)
			}
		}
		if c.want == "" && got == nil || len(got) == 1 && c.want != "" && strings.HasPrefix(got[0], c.want) {
			continue
		}
		t.Errorf("%s: %q\nwant %q", c.name, got, c.want)
	}
}
