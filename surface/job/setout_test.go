package job

import (
	"cmp"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/survey"
)

// Pins are on the floor, with marks that are whole steps of the crew's rule at or below
// the target. Names are unique, and every position is on the floor.
func TestPinsAreBelowTheTarget(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		keys    string
		spacing float64
		step    float64
	}{
		{"", 1.5, 0.001}, {"spacing = \"1m\"\n", 1, 0.001}, {"spacing = \"2m\"\nrule-step = \"5mm\"\n", 2, 0.005}, {"spacing = \"1.2m\"\nwall-spacing = \"2m\"\nfrom-wall = \"300mm\"\n", 1.2, 0.001}, {"rule-step = \"1/8in\"\n", 1.5, 0.0254 / 8},
	} {
		r := solved(t, rampJob+"[pins]\n"+c.keys, ramp)
		seen := map[string]bool{}
		for _, p := range r.Pins.Pins {
			if seen[p.Name] {
				t.Errorf("%s: two pins %s", c.keys, p.Name)
			}
			seen[p.Name] = true
			depth := 0.02 + 0.08*p.At.X/6
			isWithin(t, c.keys+"depth at "+p.Name, p.Depth, depth, 1e-9)
			isWithin(t, c.keys+"floor at "+p.Name, p.Floor, -depth, 1e-9)
			if steps := p.Height / c.step; math.Abs(steps-math.Round(steps)) > 1e-6 || p.Height > p.Depth+1e-9 || p.Depth-p.Height >= c.step+1e-9 {
				t.Errorf("%s: pin %s of %g m at a depth of %g, want whole steps of %g below it", c.keys, p.Name, p.Height, p.Depth, c.step)
			}
			if at := p.At; at.X < 0 || at.X > 6 || at.Y < 0 || at.Y > 4 {
				t.Errorf("%s: pin %s at %v, off the floor", c.keys, p.Name, at)
			}
		}
		if len(r.Pins.Grids) != 1 {
			t.Fatalf("%d grids", len(r.Pins.Grids))
		}
		g := r.Pins.Grids[0]
		for _, lines := range [][]setout.GridLine{g.Columns, g.Rows} {
			for _, l := range lines {
				if n := l.At / c.spacing; math.Abs(n-math.Round(n)) > 1e-9 {
					t.Errorf("%s: line %s at %g m, want whole spacings of %g", c.keys, l.Name, l.At, c.spacing)
				}
			}
		}
		lo := slices.MinFunc(r.Pins.Pins, func(a, b setout.Pin) int { return cmp.Compare(a.Depth, b.Depth) })
		hi := slices.MaxFunc(r.Pins.Pins, func(a, b setout.Pin) int { return cmp.Compare(a.Depth, b.Depth) })
		near(t, "min depth of pins", r.Pins.Least.Depth, lo.Depth)
		near(t, "max depth of pins", r.Pins.Greatest.Depth, hi.Depth)
		near(t, "the first to set is the deepest", r.Pins.Start.Depth, hi.Depth)
	}
}

// With an exit the first pin is the farthest from it.
func TestFirstPinIsFarFromTheExit(t *testing.T) {
	t.Parallel()
	for _, exit := range []surface.Vec{{X: 0, Y: 0}, {X: 6, Y: 4}, {X: 6, Y: 0}} {
		r := solved(t, rampJob+fmt.Sprintf("[site]\nexit = \"%gm,%gm\"\n", exit.X, exit.Y), ramp)
		far := 0.0
		for _, p := range r.Pins.Pins {
			far = max(far, p.At.Distance(exit))
		}
		near(t, fmt.Sprintf("first pin from %v", exit), r.Pins.Start.At.Distance(exit), far)
	}
}

// A pin never has the name of a shot.
func TestPinsDoNotTakeNamesOfShots(t *testing.T) {
	t.Parallel()
	var shots strings.Builder
	shots.WriteString("point,x (m),y (m),z (m)\n")
	n := 0
	for _, column := range "ABCDEFG" {
		for row := range 5 {
			fmt.Fprintf(&shots, "%c%d,%d,%d,-0.05\n", column, row+1, n, row)
		}
		n++
	}
	files := fstest.MapFS{"floor.csv": {Data: []byte(shots.String())}, "walls.csv": walls(6, 4)}
	r := solved(t, rampJob, files)
	for _, p := range r.Pins.Pins {
		if slices.ContainsFunc(r.Survey.Points, func(s survey.Point) bool { return s.Name() == p.Name }) {
			t.Errorf("pin %s has the name of a shot", p.Name)
		}
	}
	if len(r.Pins.Pins) < 10 {
		t.Errorf("%d pins", len(r.Pins.Pins))
	}
}

// Bars by hand on 6 by 4 m, 75 mm from the walls: 5.85 m and 3.85 m long, 500 mm apart
// max. 3.85/0.5 are 8 spaces, 9 bars along; 5.85/0.5 are 12, 13 bars across. A bar of 8
// mm is 0.395 kg/m (π/4·d²·7850 kg/m³ to the gram, as in tables of bars).
func TestBarsByHand(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob+"[bars]\nsize = \"8\"\nspacing = \"500mm\"\nedge-cover = \"75mm\"\ntop-cover = \"10mm\"\nbottom-cover = \"5mm\"\nstock-length = \"6m\"\nlap = \"400mm\"\n", ramp)
	b := r.Bars
	total := 9*5.85 + 13*3.85
	near(t, "length", b.Total, total)
	near(t, "mass", b.Mass, total*0.395)
	if b.Count != 22 || b.Laps != 0 || b.Stock != 22 {
		t.Errorf("%d bars with %d laps from %d of stock, want 22, 0 and 22: two of 3.85 m are longer than 6", b.Count, b.Laps, b.Stock)
	}
	near(t, "mass of stock", b.StockMass, 22*6*0.395)
	for _, one := range b.Bars {
		for _, p := range []surface.Vec{one.From, one.To} {
			if p.X < 0.075-1e-7 || p.X > 5.925+1e-7 || p.Y < 0.075-1e-7 || p.Y > 3.925+1e-7 {
				t.Errorf("bar %s ends at %v, nearer to a wall than 75 mm", one.Mark, p)
			}
		}
	}
	for _, cut := range b.Cuts {
		near(t, "row "+cut.Mark, cut.Total, cut.Length*float64(cut.Count))
	}
	// Chairs under the lower bars: the depth minus the cover above and two bars of 8
	// mm, in steps of 5 mm (own choice).
	counted := 0
	for _, c := range b.Chairs {
		isWithin(t, "room for a chair", c.Clear, 0.02+0.08*c.At.X/6-0.010-0.016, 1e-8)
		if c.Height > c.Clear+1e-9 || c.Clear-c.Height >= 0.005+1e-9 || math.Abs(math.Remainder(c.Height, 0.005)) > 1e-9 {
			t.Errorf("a chair of %g m in %g", c.Height, c.Clear)
		}
	}
	for _, n := range b.ChairCount {
		counted += n.Count
	}
	if counted != len(b.Chairs) || counted == 0 {
		t.Errorf("%d chairs by height, %d in all", counted, len(b.Chairs))
	}
	// 5 mm, two bars and 10 mm above are 31 mm: the floor is thinner at x below 0.825
	// m.
	near(t, "too thin for the mat", b.Thin.Area, 4*0.825)
}

// A room of 10 by 8 m takes bars of 9.85 m from stock of 6 m, lapped by 40 diameters of
// 12 mm (common practice, no source): 0.48 m more each.
func TestBarsAreLapped(t *testing.T) {
	t.Parallel()
	r := solved(t, tenMetres+"[bars]\nsize = \"T12\"\nspacing = \"1m\"\nstock-length = \"6m\"\n", hallOf(0.15))
	b := r.Bars
	near(t, "lap", b.Rules.Lap, 0.48)
	// 7.85/1 and 9.85/1: 9 bars along of 9.85 m and 11 across of 7.85, each of two pieces.
	near(t, "length", b.Total, 9*(9.85+0.48)+11*(7.85+0.48))
	if b.Laps != 20 || b.Count != 40 {
		t.Errorf("%d pieces with %d laps, want 40 with 20", b.Count, b.Laps)
	}
	near(t, "mass", b.Mass, b.Total*0.888)
	// Another spacing across.
	r = solved(t, tenMetres+"[bars]\nsize = \"12\"\nspacing = \"1m\"\nspacing-across = \"2m\"\nstock-length = \"12m\"\n", hallOf(0.15))
	near(t, "length with 2 m across", r.Bars.Total, 9*9.85+6*7.85)
}

// Mesh by hand on 6 by 4 m, 50 mm from the walls (own choice), in sheets of 4.8 by 2.4 m
// with a lap of 200 mm: two sheets a row, 4.8 and 1.3 m, and two rows, 2.4 and 1.7 m.
func TestMeshByHand(t *testing.T) {
	t.Parallel()
	const keys = "[mesh]\nname = \"A142\"\nsheet-length = \"4.8m\"\nsheet-width = \"2.4m\"\nlap = \"200mm\"\ncover = \"10mm\"\nmass-kgm2 = 2.22\n"
	r := solved(t, rampJob+keys, ramp)
	m := r.Mesh
	if m.Count != 4 || len(m.Sheets) != 4 {
		t.Errorf("%d sheets, %d to buy, want 4", len(m.Sheets), m.Count)
	}
	near(t, "area", m.Area, 6.1*4.1)
	near(t, "mass of whole sheets", m.Mass, 4*4.8*2.4*2.22)
	near(t, "lapped", m.Lapped, 6.1*4.1-5.9*3.9)
	// Cover above and below together are 20 mm, the min depth of the ramp.
	near(t, "too thin", m.Thin.Area, 0)
	r = solved(t, rampJob+strings.Replace(keys, "10mm", "20mm", 1), ramp)
	near(t, "too thin for 40 mm", r.Mesh.Thin.Area, 6)
}

// Impossible steel is refused at its key.
func TestSteelThatMeansNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, want string }{
		{"[bars]\nspacing = \"500mm\"\n", "bars.size: found none, want a size of bar, #3, 10 or 10mm: size = \"10\""},
		{"[bars]\nsize = \"8\"\n", "bars"},
		{"[bars]\nsize = \"thick\"\nspacing = \"500mm\"\n", "bars.size"},
		{"[bars]\nsize = \"8\"\nspacing = \"0m\"\n", "bars.spacing"},
		{"[bars]\nsize = \"8\"\nspacing = \"500mm\"\nlap = \"7m\"\n", "bars"},
		{"[bars]\nsize = \"25\"\nspacing = \"500mm\"\ntop-cover = \"90mm\"\n", "bars"},
		{"[mesh]\nmass-kgm2 = 2.2\n", "mesh.sheet-length: found none, want the length of a sheet"},
		{"[mesh]\nsheet-length = \"4.8m\"\n", "mesh"},
		{"[mesh]\nsheet-length = \"4.8m\"\nsheet-width = \"2.4m\"\nmass-kgm2 = 2.2\nlap = \"3m\"\n", "mesh"},
		{"[bars]\nsize = \"8\"\nspacing = \"500mm\"\n[mesh]\nsheet-length = \"4.8m\"\n", "mesh: found bars and mesh, want one of the two"},
		{"[pins]\nspacing = \"0m\"\n", "pins.spacing"},
		{"[pins]\nspacing = \"50mm\"\n", "pins.spacing"},
		{"[pins]\nrule-step = \"200mm\"\n", "pins.rule-step"},
		{"[pins]\nfrom-wall = \"-1mm\"\n", "pins.from-wall"},
		{"[pins]\nfrom-wall = \"3m\"\n", "pins"},
	} {
		if err := hinted(refused(t, rampJob+c.text, ramp)); !strings.HasPrefix(err, "job.toml:") || !strings.Contains(err, c.want) {
			t.Errorf("%s\n%s\nwant %s", c.text, err, c.want)
		}
	}
}

// Bays by hand: the ramp in strips of 2 m, 8 m² each with means of 33.3, 60 and 86.7 mm.
// The crew leaves at the south-west corner: the eastern bay is placed first.
func TestBaysByHand(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob+"[bays]\nwidth = \"2m\"\n[site]\nexit = \"0m,0m\"\n", ramp)
	b := r.Bays
	if len(b.Bays) != 3 || len(b.Dams) != 2 {
		t.Fatalf("%d bays, %d dams", len(b.Bays), len(b.Dams))
	}
	for i, mean := range []float64{0.02 + 0.08*5/6, 0.06, 0.02 + 0.08/6} {
		bay := b.Bays[i]
		if want := fmt.Sprint(i + 1); bay.Name != want {
			t.Errorf("bay %s is placed as number %s", bay.Name, want)
		}
		near(t, "area of bay "+bay.Name, bay.Fill.Area, 8)
		near(t, "fill of bay "+bay.Name, bay.Fill.Fill, 8*mean)
	}
	near(t, "together", b.Fill.Fill, 1.44)
	for _, d := range b.Dams {
		near(t, "dam "+d.Name, d.Length, 4)
		near(t, "height of dam "+d.Name, d.Height, 0.02+0.08*d.From.X/6)
		near(t, "offset of dam "+d.Name, d.Offset, d.From.X)
	}
	// From the other corner the order is reversed.
	r = solved(t, rampJob+"[bays]\nwidth = \"2m\"\n[site]\nexit = \"6m,4m\"\n", ramp)
	near(t, "the western bay is first", r.Bays.Bays[0].Fill.Fill, 8*(0.02+0.08/6))
}

// Bays of equal fill, and bays by dams of the job.
func TestBaysByVolumeAndByDams(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob+"[bays]\nmost = \"0.5m3\"\n", ramp)
	sum := 0.0
	for _, b := range r.Bays.Bays {
		if b.Fill.Fill > 0.5+1e-9 {
			t.Errorf("bay %s of %g m³", b.Name, b.Fill.Fill)
		}
		sum += b.Fill.Fill
	}
	near(t, "together", sum, 1.44)
	if len(r.Bays.Bays) != 3 {
		t.Errorf("%d bays, want 1.44/0.5 rounded up", len(r.Bays.Bays))
	}
	// A dam from wall to wall along y 1 m: a quarter and three quarters.
	r = solved(t, rampJob+"[bays]\ndams = [[\"0m,1m\", \"6m,1m\"]]\n", ramp)
	if len(r.Bays.Bays) != 2 {
		t.Fatalf("%d bays", len(r.Bays.Bays))
	}
	small, large := r.Bays.Bays[0].Fill, r.Bays.Bays[1].Fill
	if small.Area > large.Area {
		small, large = large, small
	}
	near(t, "south of the dam", small.Fill, 0.36)
	near(t, "north of the dam", large.Fill, 1.08)
	// Two dams that meet, in three bays.
	r = solved(t, rampJob+"[bays]\ndams = [[\"3m,0m\", \"3m,4m\"], [\"3m,2m\", \"6m,2m\"]]\n", ramp)
	var areas []float64
	for _, b := range r.Bays.Bays {
		areas = append(areas, math.Round(b.Fill.Area*1e6)/1e6)
	}
	slices.Sort(areas)
	if !slices.Equal(areas, []float64{6, 6, 12}) {
		t.Errorf("bays of %v m², want 6, 6 and 12", areas)
	}
}

// Each bay has whole bags: 8 m² with means of 33.3, 60 and 86.7 mm, with 5 %, in bags of
// 12 L.
func TestBagsOfEachBay(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob+"[[materials]]\nname = \"leveller\"\nbag-yield = \"12L\"\n[bays]\nwidth = \"2m\"\n", ramp)
	if len(r.BayBags) != 3 {
		t.Fatalf("bags %v", r.BayBags)
	}
	all := 0
	for i, b := range r.Bays.Bays {
		want := int(math.Ceil(b.Fill.Fill*1.05/0.012 - 1e-9)) // 42 bags are exact for 0.48 m³
		if r.BayBags[i] != want {
			t.Errorf("bay %s: %d bags, want %d for %g m³", b.Name, r.BayBags[i], want, b.Fill.Fill)
		}
		all += want
	}
	if r.AllBags != all {
		t.Errorf("%d bags in all, want %d", r.AllBags, all)
	}
	if once := int(math.Ceil(1.44 * 1.05 / 0.012)); all < once {
		t.Errorf("%d bags in bays, %d for the whole floor", all, once)
	}
}

// Impossible bays are refused at their key.
func TestBaysThatMeanNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, want string }{
		{"[bays]\nwidth = \"2m\"\nmost = \"1m3\"\n", "bays"},
		{"[bays]\nwidth = \"-2m\"\n", "bays.width"},
		{"[bays]\nmost = \"1L\"\n", "bays: found 1440 bays, want max 500"},
		{"[bays]\ndams = [[\"0m,1m\"]]\n", "bays"},
		{"[bays]\ndams = [[\"0m,1m\", \"3m,1m\"]]\n", "bays"},
		{"[bays]\ndams = [[\"20m,1m\", \"30m,1m\"]]\n", "bays"},
		{"[bays]\ndams = [[\"0,1\", \"6,1\"]]\n", "bays.dams"},
		{"[bays]\nmost = \"a lot\"\n", "bays.most"},
		{"[site]\nexit = \"0m\"\n", "site.exit"},
		{"[site]\nexit = \"99m,0m\"\n", "site.exit"},
	} {
		if err := hinted(refused(t, rampJob+c.text, ramp)); !strings.HasPrefix(err, "job.toml:") || !strings.Contains(err, c.want) {
			t.Errorf("%s\n%s\nwant %s", c.text, err, c.want)
		}
	}
}

// The ramp of 20 to 100 mm is thinnest at its west wall: a place that is found by tape.
func TestTooThinForMeshIsFoundByTape(t *testing.T) {
	t.Parallel()
	r := solved(t, rampJob+"[mesh]\nname = \"A142\"\nsheet-length = \"4.8m\"\nsheet-width = \"2.4m\"\nlap = \"200mm\"\ncover = \"20mm\"\nmass-kgm2 = 2.22\n", ramp)
	for _, n := range r.Notes {
		if text := n.Text.String(); strings.Contains(text, "too thin for mesh and its cover (40 mm needed): ") {
			if want := "6.00 m², thinnest at the corner of west wall and "; n.Kind != survey.Warning || !strings.Contains(text, want) {
				t.Errorf("%v: %q, want a warning with %q", n.Kind, text, want)
			}
			return
		}
	}
	t.Error("no warning of thin fill over mesh")
}

// Bays are counted once: those that are laid out.
func TestBaysHaveOneCount(t *testing.T) {
	text, err := fs.ReadFile(demo, "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	h := solved(t, strings.Replace(string(text), "truck = \"10yd3\"", "truck = \"7yd3\"", 1), demo) // full loads are in time
	n := len(h.Bays.Bays)
	h.Schedule.Bays = n + 1
	h.countBays(false)
	if h.Schedule.Bays != n {
		t.Errorf("the clock has %d bays, the plan %d", h.Schedule.Bays, n)
	}
	warned := func() (texts []string) {
		for _, note := range h.Notes {
			if note.Kind == survey.Warning && strings.Contains(note.String(), "working time") {
				texts = append(texts, note.String())
			}
		}
		return texts
	}
	if got := warned(); len(got) != 1 || !strings.Contains(got[0], "place it in the "+survey.Plural(n, "bay")+" laid out") {
		t.Errorf("warned of %q", got)
	}
	// A bay that is not placed in time is named; bays of the job that all are settle it.
	bay := h.Schedule.Bay
	h.Schedule.Bay = bay / 4
	h.countBays(true)
	if got := warned(); len(got) != 1 || !strings.Contains(got[0], "more is in bay "+h.Bays.Bays[0].Name) {
		t.Errorf("warned of %q", got)
	}
	h.Schedule.Bay = bay
	h.countBays(true)
	if got := warned(); got != nil {
		t.Errorf("warned of %q although all bays are placed in time", got)
	}
}
