package flatness

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// origin is the place of these tests' floors on a site grid.
var origin = surface.Vec{X: 350_000, Y: 5_600_000}

// hall builds a floor inside corners, with shots step apart and z over it, rotated by
// bearing radians.
func hall(t testing.TB, corners []surface.Vec, step, bearing float64, z func(x, y float64) float64) *surface.Floor {
	t.Helper()
	f := newFrame(origin, bearing)
	point := func(x, y, z float64) survey.Point {
		p := f.out(surface.Vec{X: x, Y: y})
		return survey.Point{X: p.X, Y: p.Y, Z: z}
	}
	ring := survey.Ring{Name: "hall"}
	var hi surface.Vec
	for _, c := range corners {
		ring.Points = append(ring.Points, point(c.X, c.Y, math.NaN()))
		hi = surface.Vec{X: max(hi.X, c.X), Y: max(hi.Y, c.Y)}
	}
	inside := newPlan([][]surface.Vec{corners}, nil, newFrame(surface.Vec{}, 0))
	d := surface.Data{Rings: []survey.Ring{ring}}
	for y := step / 2; y < hi.Y; y += step {
		for x := step / 2; x < hi.X; x += step {
			if slices.ContainsFunc(inside.floorAlong(y), func(s surface.Span) bool { return s.Lo+0.01 < x && x < s.Hi-0.01 }) {
				d.Shots = append(d.Shots, point(x, y, z(x, y)))
			}
		}
	}
	floor, err := surface.NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return floor
}

func rectangle(wide, high float64) []surface.Vec {
	return []surface.Vec{{X: 0, Y: 0}, {X: wide, Y: 0}, {X: wide, Y: high}, {X: 0, Y: high}}
}

// ell is a hall of 20 × 18 m without a corner of 8 × 9 m.
var ell = []surface.Vec{{X: 0, Y: 0}, {X: 20, Y: 0}, {X: 20, Y: 9}, {X: 12, Y: 9}, {X: 12, Y: 18}, {X: 0, Y: 18}}

func wavy(x, y float64) float64 {
	return 12.5 + 0.003*math.Sin(2.1*x+0.3)*math.Cos(1.3*y) + 0.002*math.Sin(0.7*x-0.4*y)
}

func layOne(t testing.TB, floor *surface.Floor, joints []survey.Breakline, s Settings) Section {
	t.Helper()
	sections, notes, err := LayOut(floor, joints, s)
	if err != nil || len(sections) != 1 || len(notes) != 0 {
		t.Fatal(len(sections), notes, err)
	}
	return sections[0]
}

func measureOne(t testing.TB, sec Section) *Result {
	t.Helper()
	r, err := Measure(sec, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// answer returns the result of a section for the rule that begins with begin.
func answer(t testing.TB, r *Result, begin string) Rule {
	t.Helper()
	for _, u := range r.Rules {
		if strings.HasPrefix(u.Rule, begin) {
			return u
		}
	}
	t.Fatalf("no rule %q", begin)
	return Rule{}
}

func TestLaidOutRunsKeepTheRules(t *testing.T) {
	for _, c := range []struct {
		name    string
		corners []surface.Vec
		step    float64
		narrow  bool
		waived  bool
		small   bool
	}{
		{"a hall", rectangle(20, 12), atMM, false, false, false},
		{"a hall in feet", rectangle(20, 12), atInch, false, false, false},
		{"an L", ell, atMM, false, false, false},
		{"a narrow hall", rectangle(30, 7), atMM, true, false, false},
		{"a corridor", rectangle(24, 2.6), atMM, true, true, false},
		{"a room", rectangle(4, 4), atMM, true, true, true},
	} {
		for _, bearing := range []float64{0, 0.5} {
			t.Run(fmt.Sprintf("%s turned by %g", c.name, bearing), func(t *testing.T) {
				sec := layOne(t, hall(t, c.corners, 0.25, bearing, wavy), nil, Settings{Step: c.step})
				r := measureOne(t, sec)
				if len(r.Notes) != 0 {
					t.Error(r.Notes)
				}
				for _, u := range r.Rules {
					unmet := c.small && (strings.HasPrefix(u.Rule, "section of at least") || strings.Contains(u.Rule, "differences over"))
					if want := map[bool]Answer{true: NotMet, false: Met}[unmet]; u.Met != want && u.Met != Unknown {
						t.Errorf("%s: %s (%s), want %s", u.Rule, u.Met, u.Found, want)
					}
				}
				if got := strings.Contains(answer(t, r, "no run within").Found, "waived"); got != c.waived {
					t.Errorf("waived: %v", got)
				}
				if got := slices.ContainsFunc(r.Rules, func(u Rule) bool { return strings.HasPrefix(u.Rule, "runs at 45°") }); got != c.narrow {
					t.Errorf("judged as a narrow section: %v", got)
				}
				if !strings.HasPrefix(r.Basis, "a surface of ") {
					t.Errorf("basis %q", r.Basis)
				}
			})
		}
	}
}

// Every reading equals [surface.Floor.Profile] there.
func TestReadingsLieOnTheTriangles(t *testing.T) {
	floor := hall(t, ell, 0.25, 0.5, wavy)
	sec := layOne(t, floor, nil, Settings{Step: atMM})
	n := 0
	for _, r := range sec.Runs {
		var profile []surface.Station
		a, b := station(r, 0), station(r, len(r.Stations)-1)
		// A little longer, so that both ends are inside.
		e := surface.Vec{X: (b.X - a.X) / r.Length() * 0.1, Y: (b.Y - a.Y) / r.Length() * 0.1}
		for _, p := range floor.Profile(surface.Vec{X: a.X - e.X, Y: a.Y - e.Y}, surface.Vec{X: b.X + e.X, Y: b.Y + e.Y}) {
			profile = append(profile, p...)
		}
		for i, s := range r.Stations {
			d := 0.1 + float64(i)*r.Step
			k := slices.IndexFunc(profile, func(p surface.Station) bool { return p.Distance >= d })
			p, q := profile[k-1], profile[k]
			want := p.Elevation + (d-p.Distance)/(q.Distance-p.Distance)*(q.Elevation-p.Elevation)
			near(t, "reading", s.Z, want, 1e-8)
			n++
		}
	}
	if n < 500 {
		t.Errorf("only %d readings", n)
	}
}

// A floor turned by 30° is read at the same places on it; only the diagonals of its
// triangles may differ.
func TestTurnedFloorMeasuresAlike(t *testing.T) {
	for _, corners := range [][]surface.Vec{rectangle(20, 12), ell, rectangle(24, 5)} {
		a := measureOne(t, layOne(t, hall(t, corners, 0.2, 0, wavy), nil, Settings{}))
		b := measureOne(t, layOne(t, hall(t, corners, 0.2, math.Pi/6, wavy), nil, Settings{}))
		if len(a.Lines) != len(b.Lines) || a.Differences != b.Differences || a.Curvatures != b.Curvatures {
			t.Errorf("%d and %d lines, %d and %d differences", len(a.Lines), len(b.Lines), a.Differences, b.Differences)
		}
		near(t, "FF turned", float64(b.FF/a.FF), 1, 0.02)
		near(t, "FL turned", float64(b.FL/a.FL), 1, 0.005)
	}
}

func TestLayOutIsTheSameEachTime(t *testing.T) {
	floor := hall(t, ell, 0.25, 0.3, wavy)
	a, _, _ := LayOut(floor, nil, Settings{})
	b, _, _ := LayOut(floor, nil, Settings{})
	if !reflect.DeepEqual(a, b) {
		t.Error("two layouts of one floor differ")
	}
}

// On a plane no departure is measured, at any slope.
func TestPlaneIsFlat(t *testing.T) {
	floor := hall(t, rectangle(20, 12), 0.25, 0.5, func(x, y float64) float64 { return 12.5 + 0.01*x - 0.004*y })
	r := measureOne(t, layOne(t, floor, nil, Settings{}))
	if !r.FF.Infinite() || !r.FFRange.Low.Infinite() {
		t.Errorf("FF %v from %v", r.FF, r.FFRange.Low)
	}
	// Lines along fall by 10 mm/m and those across by 4 mm/m, without spread: FL is
	// 12.5 in over the slope over 10 ft.
	for _, l := range r.Lines {
		slope := 0.01
		if l.Run[0] == 'B' {
			slope = 0.004
		}
		near(t, "FL of "+l.Run, float64(l.FL), 12.5/(120*slope), 1e-6)
	}
}

func TestJointsAreKeptClearOf(t *testing.T) {
	floor := hall(t, rectangle(20, 12), 0.25, 0.5, wavy)
	f := newFrame(origin, 0.5)
	a, b := f.out(surface.Vec{X: 8, Y: 0}), f.out(surface.Vec{X: 8, Y: 12})
	joint := []survey.Breakline{{Name: "joint", Points: []survey.Point{{X: a.X, Y: a.Y}, {X: b.X, Y: b.Y}}}}
	sec := layOne(t, floor, joint, Settings{Step: atMM})
	least := math.Inf(1)
	for _, r := range sec.Runs {
		least = min(least, segment{a, b}.to(segment{station(r, 0), station(r, len(r.Stations)-1)}))
	}
	if least < 0.6-1e-6 || least > 1.2 {
		t.Errorf("the nearest run is %.3f m from the joint, want 0.6 m or a little more", least)
	}
	if u := answer(t, measureOne(t, sec), "no run within"); u.Met != Met {
		t.Error(u)
	}
	// Runs laid without the joint cross it.
	across := layOne(t, floor, nil, Settings{Step: atMM})
	across.Joints = joint
	if u := answer(t, measureOne(t, across), "no run within"); u.Met != NotMet || u.Found != "a run crosses a joint" {
		t.Error(u)
	}
}

func TestOneRunBreaksRules(t *testing.T) {
	sec := layOne(t, hall(t, rectangle(20, 12), 0.25, 0, wavy), nil, Settings{Step: atMM})
	sec.Runs = sec.Runs[:1]
	r := measureOne(t, sec)
	for begin, want := range map[string]Answer{
		"at least 12 readings": Met, "at least 87 differences": NotMet, "runs along and across": NotMet, "parallel runs": Met,
	} {
		if u := answer(t, r, begin); u.Met != want {
			t.Errorf("%s: %s (%s), want %s", u.Rule, u.Met, u.Found, want)
		}
	}
	sec.Runs = append(sec.Runs, sec.Runs[0])
	sec.Runs[1].Name = "again"
	if u := answer(t, measureOne(t, sec), "parallel runs"); u.Met != NotMet {
		t.Error(u)
	}
	// For runs without a place the rules of place are unknown.
	r, err := Measure(Section{Runs: slabRuns(), Area: 20.53}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	for begin, want := range map[string]Answer{"no run within": Unknown, "parallel runs": Unknown, "section of at least 30.0 m²": NotMet, "at least 30 differences": NotMet} {
		if u := answer(t, r, begin); u.Met != want {
			t.Errorf("%s: %s (%s), want %s", u.Rule, u.Met, u.Found, want)
		}
	}
}

// No run may join two corners; the diagonal of a square would.
func TestNoRunFromCornerToCorner(t *testing.T) {
	for _, side := range []float64{3, 4, 5.1, 6} {
		sec := layOne(t, hall(t, rectangle(side, side), 0.25, 0.2, wavy), nil, Settings{Step: atMM})
		for _, r := range sec.Runs {
			ends := 0
			for _, p := range []surface.Vec{station(r, 0), station(r, len(r.Stations)-1)} {
				if slices.ContainsFunc(sec.Outline[0], func(c surface.Vec) bool { return c.Distance(p) < atMM }) {
					ends++
				}
			}
			if ends == 2 {
				t.Errorf("side %g: run %s joins two corners", side, r.Name)
			}
		}
		if u := answer(t, measureOne(t, sec), "parallel runs"); u.Met != Met {
			t.Errorf("side %g: %+v", side, u)
		}
	}
}

// A scan with a hole: readings over the hole are missing, not drawn across it.
func TestHolesInAScanAreNotBridged(t *testing.T) {
	whole := hall(t, rectangle(20, 12), 0.2, 0, wavy)
	var d surface.Data
	for _, s := range whole.Regions[0].Shots {
		if math.Hypot(s.X-origin.X-10, s.Y-origin.Y-6) > 1.5 {
			d.Shots = append(d.Shots, s)
		}
	}
	d.Rings = whole.Outlines()
	floor, err := surface.NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	sec := layOne(t, floor, nil, Settings{Step: atMM})
	missing := 0
	for _, r := range sec.Runs {
		for i, s := range r.Stations {
			p := station(r, i)
			in := math.Hypot(p.X-origin.X-10, p.Y-origin.Y-6)
			if math.IsNaN(s.Z) {
				missing++
				if in > 1.8 {
					t.Errorf("a reading %.2f m from the hole's middle is missing", in)
				}
			} else if in < 1 {
				t.Errorf("a reading %.2f m from the hole's middle", in)
			}
		}
	}
	if missing < 10 {
		t.Errorf("%d readings missing", missing)
	}
}

func TestLayOutRefuses(t *testing.T) {
	for _, c := range []struct {
		name    string
		corners []surface.Vec
		spacing float64
		s       Settings
		want    string
	}{
		{"sparse shots", rectangle(20, 12), 1, Settings{Step: atMM}, "shots usually 1.00 m apart along the runs, max 0.38 m needed for readings every 300 mm"},
		{"sparse shots in feet", rectangle(20, 12), 0.5, Settings{}, "shots usually 1'-7 11/16\" apart along the runs, max 1'-3\" needed for readings every 12 in"},
		{"a closet", rectangle(2, 1.5), 0.2, Settings{Step: atMM}, "found room for less than 12 readings every 300 mm, want a run of 3.30 m clear of walls and joints"},
		{"a step of its own", rectangle(20, 12), 0.5, Settings{Step: 0.5}, "found a step of 500.0 mm, want 12 in (304.8 mm) or 300 mm to 1 % for F-numbers"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := LayOut(hall(t, c.corners, c.spacing, 0, wavy), nil, c.s)
			if err == nil || err.Error() != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
}

// The share of a rectangle within a band of its walls is known.
func TestExcludedShare(t *testing.T) {
	p := newPlan([][]surface.Vec{rectangle(10, 6)}, nil, newFrame(surface.Vec{X: 3, Y: 1}, 0.4))
	near(t, "share", p.excluded(0.6), 1-8.8*4.8/60, 2e-3)
	near(t, "no band", p.excluded(0), 0, 1e-12)
	q := newPlan([][]surface.Vec{rectangle(10, 6)}, []segment{{surface.Vec{X: 5, Y: 0}, surface.Vec{X: 5, Y: 6}}}, newFrame(surface.Vec{}, 0))
	near(t, "with a joint", q.excluded(0.6), 1-7.6*4.8/60, 2e-3)
}

// Brute force over random floors: a place is free if its distance from every wall and joint
// is at least the band.
func TestFreeStretches(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	rings := [][]surface.Vec{ell, {{X: 4, Y: 4}, {X: 4, Y: 7}, {X: 7, Y: 7}, {X: 7, Y: 4}}}
	joints := []segment{{surface.Vec{X: 10, Y: -1}, surface.Vec{X: 9, Y: 19}}}
	for range 200 {
		f := newFrame(surface.Vec{X: 5, Y: 5}, 6*rng.Float64())
		p := newPlan(rings, joints, f)
		band := 1.5 * rng.Float64()
		y := 20*rng.Float64() - 10
		free := p.free(y, band)
		for range 50 {
			x := 30*rng.Float64() - 15
			at := surface.Vec{X: x, Y: y}
			floor := slices.ContainsFunc(p.floorAlong(y), func(s surface.Span) bool { return s.Lo <= x && x <= s.Hi })
			least := math.Inf(1)
			for _, s := range append(slices.Clone(p.rings), p.joints...) {
				least = min(least, s.toPoint(at))
			}
			got := slices.ContainsFunc(free, func(s surface.Span) bool { return s.Lo <= x && x <= s.Hi })
			if want := floor && least > band; got != want && math.Abs(least-band) > 1e-9 {
				t.Fatalf("x %v y %v: free %v, floor %v and %v m from the nearest wall, band %v", x, y, got, floor, least, band)
			}
		}
	}
}

func BenchmarkFlatness(b *testing.B) {
	floor := hall(b, rectangle(40, 25), 0.1, 0.5, wavy)
	if n := floor.Shots; n != 100_000 {
		b.Fatal(n)
	}
	sec := layOne(b, floor, nil, Settings{})
	b.Run("points=100k/part=layout", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			layOne(b, floor, nil, Settings{})
		}
	})
	b.Run("points=100k/part=measure", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			measureOne(b, sec)
		}
	})
}

func TestEqualLengthBothWays(t *testing.T) {
	for _, corners := range [][]surface.Vec{rectangle(20, 8), rectangle(13.3, 9.7), ell} {
		sec := layOne(t, hall(t, corners, 0.25, 0.5, wavy), nil, Settings{Step: atMM})
		var steps [2]int
		for _, r := range sec.Runs {
			steps[r.Name[0]-'A'] += len(r.Stations) - 1
			near(t, "step", station(r, 0).Distance(station(r, 1)), atMM, 1e-8)
		}
		if steps[0] != steps[1] {
			t.Errorf("%d steps along, %d across", steps[0], steps[1])
		}
		// Without half of those across the rule is broken.
		sec.Runs = slices.DeleteFunc(sec.Runs, func(r survey.Run) bool { return r.Name[0] == 'B' && r.Name[len(r.Name)-1]%2 == 0 })
		if u := answer(t, measureOne(t, sec), "runs along and across"); u.Met != NotMet {
			t.Error(u)
		}
	}
}

func TestDiagonalRunsOnRequest(t *testing.T) {
	sec := layOne(t, hall(t, rectangle(20, 12), 0.25, 0.5, wavy), nil, Settings{Step: atMM, Diagonal: true})
	u := answer(t, measureOne(t, sec), "runs along and across in equal length, or all at 45°")
	if u.Met != Met || !strings.HasPrefix(u.Found, "along 0.00 m, across 0.00 m, at 45° ") {
		t.Error(u)
	}
}

// The longest side continues over corners that a crew shot along it, which are not quite on
// one line.
func TestLongestSide(t *testing.T) {
	f := newFrame(origin, 0.3)
	var ring []surface.Vec
	for _, p := range []surface.Vec{{X: 4, Y: 0.005}, {X: 8, Y: -0.005}, {X: 12, Y: 0}, {X: 12, Y: 5}, {X: 0, Y: 5}, {X: 0, Y: 0}} {
		ring = append(ring, f.out(p))
	}
	ring[4] = f.out(surface.Vec{X: 0.5, Y: 5}) // 11.5 m above, 12 m below
	s := longest(ring)
	near(t, "length", s.a.Distance(s.b), 12, 1e-6)
	near(t, "bearing", s.bearing(), 0.3, 1e-6)
}

// Random floors with corners in and out and a column: every layout keeps the rules of place
// and is read everywhere, except readings on a slanting wall, where the shots of its
// triangles may be far apart.
func TestRandomOutlines(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	laid := 0
	for n := range 30 {
		var corners []surface.Vec
		sides := 3 + rng.IntN(9)
		size := 2 + 12*rng.Float64()
		for i := range sides {
			a, r := 2*math.Pi*(float64(i)+0.8*rng.Float64())/float64(sides), size*(0.5+0.5*rng.Float64())
			corners = append(corners, surface.Vec{X: size + r*math.Cos(a), Y: size + r*math.Sin(a)})
		}
		d := surface.Data{Rings: []survey.Ring{{Name: "random"}, {Kind: survey.Hole}}}
		nan := math.NaN()
		for _, c := range corners {
			d.Rings[0].Points = append(d.Rings[0].Points, survey.Point{X: c.X, Y: c.Y, Z: nan})
		}
		for _, c := range rectangle(0.4, 0.4) {
			d.Rings[1].Points = append(d.Rings[1].Points, survey.Point{X: size + c.X, Y: size + c.Y, Z: nan})
		}
		inside := newPlan([][]surface.Vec{corners}, nil, newFrame(surface.Vec{}, 0))
		for y := 0.1; y < 2*size; y += 0.2 {
			for x := 0.1; x < 2*size; x += 0.2 {
				column := x > size && x < size+0.4 && y > size && y < size+0.4
				if !column && slices.ContainsFunc(inside.floorAlong(y), func(s surface.Span) bool { return s.Lo < x && x < s.Hi }) {
					d.Shots = append(d.Shots, survey.Point{X: x, Y: y, Z: wavy(x, y)})
				}
			}
		}
		floor, err := surface.NewFloor(d)
		if err != nil {
			continue // the column is on a wall
		}
		sections, _, err := LayOut(floor, nil, Settings{Step: atMM})
		if err != nil {
			if !strings.Contains(err.Error(), "room for less than 12 readings") {
				t.Errorf("floor %d: %v", n, err)
			}
			continue
		}
		r := measureOne(t, sections[0])
		laid++
		for _, begin := range []string{"no run within", "parallel runs"} {
			if u := answer(t, r, begin); u.Met != Met {
				t.Errorf("floor %d: %+v", n, u)
			}
		}
		walls := ringSegments(sections[0].Outline)
		for _, run := range sections[0].Runs {
			for i, s := range run.Stations {
				if !math.IsNaN(s.Z) {
					continue
				}
				if !slices.ContainsFunc(walls, func(w segment) bool { return w.toPoint(station(run, i)) < 0.3 }) {
					t.Errorf("floor %d: run %s is not read at station %d", n, run.Name, i+1)
				}
			}
		}
	}
	if laid < 15 {
		t.Errorf("only %d floors were laid out", laid)
	}
}

// The two sides of a step are two sections; no run crosses it.
func TestStepPartsSections(t *testing.T) {
	nan := math.NaN()
	d := surface.Data{Rings: []survey.Ring{{Name: "hall"}}, Lines: []survey.Breakline{{Name: "step", Points: []survey.Point{{X: 11, Y: 0, Z: nan}, {X: 11, Y: 10, Z: nan}}}}}
	for _, c := range rectangle(20, 10) {
		d.Rings[0].Points = append(d.Rings[0].Points, survey.Point{X: c.X, Y: c.Y, Z: nan})
	}
	for y := 0.1; y < 10; y += 0.2 {
		for x := 0.1; x < 20; x += 0.2 {
			z := wavy(x, y)
			if x > 11 {
				z = 12.6 + 3*(z-12.5) // a step of 100 mm, and three times as rough
			}
			d.Shots = append(d.Shots, survey.Point{X: x, Y: y, Z: z})
		}
	}
	floor, err := surface.NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	sections, _, err := LayOut(floor, nil, Settings{Step: atMM})
	if err != nil || len(sections) != 2 {
		t.Fatal(len(sections), err)
	}
	var results []*Result
	names := map[string]bool{}
	for _, sec := range sections {
		results = append(results, measureOne(t, sec))
		for _, r := range sec.Runs {
			if names[r.Name] {
				t.Errorf("two runs %s", r.Name)
			}
			names[r.Name] = true
		}
	}
	if !names["A1"] || !names["B1"] || names["A0"] {
		t.Errorf("runs %v", names)
	}
	near(t, "area", results[0].Area+results[1].Area, 200, 1e-6)
	w, err := Combine(results, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if rough := results[0].FF / results[1].FF; rough > 0.45 && rough < 1/0.45 {
		t.Errorf("FF %v and %v: one side is three times as rough", results[0].FF, results[1].FF)
	}
	if w.LocalFF.F != min(results[0].FF, results[1].FF) || !(w.LocalFF.F < w.FF) {
		t.Errorf("FF %v overall, %v at least", w.FF, w.LocalFF.F)
	}
}
