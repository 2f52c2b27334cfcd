package surface

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
)

// Two arms of a U with a thin wall between them, one 20 mm lower than the other: only shots
// in sight count, so each arm keeps its own elevation up to that wall.
func TestShotsBehindAWallDoNotCount(t *testing.T) {
	u := ringOf("u", survey.Outer, 0, 0, 6.1, 0, 6.1, 8, 3.1, 8, 3.1, 2, 3, 2, 3, 8, 0, 8)
	shots := shotsOn(0.5, 4, 2.5, 7.5, 0.5, func(_, _ float64) float64 { return 10 })
	shots = append(shots, shotsOn(3.6, 4, 5.6, 7.5, 0.5, func(_, _ float64) float64 { return 9.98 })...)
	shots = append(shots, shotsOn(0.5, 0.5, 5.5, 1.5, 0.5, func(x, _ float64) float64 { return 10 - 0.02*x/6.1 })...)
	f := build(t, Data{Shots: shots, Rings: []survey.Ring{u}})
	tin := f.Regions[0].TIN
	seen := 0
	for v := range tin.Z {
		p := tin.At(int32(v))
		if !tin.Fitted[v] || p.Y < 5 {
			continue
		}
		want := 10.0
		if p.X > 3.05 {
			want = 9.98
		}
		seen++
		if math.Abs(tin.Z[v]-want) > 1e-9 {
			t.Errorf("wall at %v has %.4f m, want %.4f", p, tin.Z[v], want)
		}
	}
	if seen < 20 {
		t.Errorf("%d places on the walls of the arms, want many", seen)
	}
}

// A wall is fitted to at least the nearest dozen shots. Raising each shot in turn by a
// millimetre shows which ones.
func TestWallsRestOnADozenShots(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 12))
	shots := shotsOn(0.4, 0.4, 5.6, 3.6, 0.8, func(_, _ float64) float64 { return 10 + 0.001*rng.NormFloat64() })
	// Round the column, among the shots, six of them would make the place as certain as one
	// shot.
	d := Data{Shots: shots, Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 6, 0, 6, 4, 0, 4), ringOf("column", survey.Hole, 2.5, 1.7, 3.1, 1.7, 3.1, 1.9, 2.5, 1.9)}}
	before := build(t, d).Regions[0].TIN
	rests := map[Vec]int{}
	for i := range shots {
		d.Shots = slices.Clone(shots)
		d.Shots[i].Z += 0.001
		after := build(t, d).Regions[0].TIN
		for v := range after.Z {
			if after.Fitted[v] && math.Abs(after.Z[v]-before.Z[v]) > 1e-9 {
				rests[after.At(int32(v))]++
			}
		}
	}
	if len(rests) < 20 {
		t.Fatalf("%d places on the walls, want many", len(rests))
	}
	for p, n := range rests {
		if n < 12 {
			t.Errorf("the wall at %v rests on %d shots, want the nearest 12 at least", p, n)
		}
	}
}

// A fit more than twice as uncertain as a shot is reported, with the factor; below that it
// is not: four shots a metre from the walls of a room of 4 m, and 0.7 m.
func TestFarWallsAreReported(t *testing.T) {
	for _, c := range []struct {
		in   float64
		want string
	}{{1, "is far from any shot: its elevation may be wrong by 3 times as much as a shot; shoot the floor there"}, {0.7, ""}} {
		f := build(t, Data{Shots: shotsOn(c.in, c.in, 4-c.in, 4-c.in, 4-2*c.in, sloped), Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 4, 0, 4, 4, 0, 4)}})
		var got []string
		for _, n := range f.Notes {
			got = append(got, n.String())
		}
		all := strings.Join(got, "; ")
		if !strings.HasSuffix(all, c.want) || strings.Count(all, ";") > 1 || c.want == "" && all != "" {
			t.Errorf("shots %g m from the walls: notes %q, want %q", c.in, got, c.want)
		}
	}
}

// One shot 4 mm outside is at the wall, one 6 mm outside is not.
func TestWallTolerance(t *testing.T) {
	for _, c := range []struct {
		off  float64
		used bool
	}{{0.004, true}, {0.006, false}, {0.02, false}} {
		shots := append(shotsOn(0.5, 0.5, 7.5, 5.5, 0.5, sloped), survey.Point{X: 8 + c.off, Y: 3, Z: sloped(8, 3)})
		f := build(t, Data{Shots: shots, Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 8, 0, 8, 6, 0, 6)}})
		if got := f.Used == f.Shots; got != c.used {
			t.Errorf("a shot %g mm outside is used: %v, want %v", c.off*1000, got, c.used)
		}
	}
}

// Breaklines may differ by half a millimetre where they cross; the mean is taken.
func TestBreaklinesCrossWithinHalfAMillimetre(t *testing.T) {
	line := func(name string, x0, y0, x1, y1, z float64) survey.Breakline {
		return survey.Breakline{Name: name, Points: []survey.Point{{X: x0, Y: y0, Z: z}, {X: x1, Y: y1, Z: z}}}
	}
	for _, c := range []struct {
		apart   float64
		refused bool
	}{{0.0004, false}, {0.0006, true}, {0.003, true}} {
		f, err := NewFloor(Data{Shots: shotsOn(0.5, 0.5, 3.5, 2.5, 0.5, sloped), Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 4, 0, 4, 3, 0, 3)},
			Lines: []survey.Breakline{line("A", 0.7, 1.2, 3.2, 1.2, 9.9), line("B", 2.2, 0.7, 2.2, 2.2, 9.9+c.apart)}})
		var e *survey.Error
		if got := errors.As(err, &e); got != c.refused {
			t.Errorf("lines %g mm apart: error %v, refused %v wanted", c.apart*1000, err, c.refused)
		}
		if err != nil {
			continue
		}
		tin := f.Regions[0].TIN
		at := slices.IndexFunc(tin.Z, func(z float64) bool { return math.Abs(z-9.9-c.apart/2) < 1e-12 })
		if at < 0 || tin.At(int32(at)).Distance(Vec{X: 2.2, Y: 1.2}) > 1e-9 {
			t.Errorf("lines %g mm apart: no vertex half way between them where they cross", c.apart*1000)
		}
	}
}

// Whatever the input, the floor is on whole steps: shots, pieces of slanting walls, and the
// places where lines cross.
func TestVerticesAreOnWholeSteps(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 13))
	var shots []survey.Point
	for range 60 {
		shots = append(shots, survey.Point{X: 1 + 7*rng.Float64(), Y: 1 + 4*rng.Float64(), Z: 0.01 * rng.Float64()})
	}
	level := func(x0, y0, x1, y1 float64) survey.Breakline {
		return survey.Breakline{Points: []survey.Point{{X: x0, Y: y0, Z: 0.005}, {X: x1, Y: y1, Z: 0.005}}}
	}
	f := build(t, Data{Shots: shots, Rings: []survey.Ring{ringOf("", survey.Outer, 0.1234, 0.7, 9.3, 0, 9.1, 6.3, 0, 6)},
		Lines: []survey.Breakline{level(0.5, 0.9, 8.3, 5.7), level(0.7, 5.1, 8.7, 0.3), level(4, -1, 5.1, 7)}})
	tin := f.Regions[0].TIN
	crossings := 0
	for v := range tin.Z {
		x, y := math.Round(tin.X[v]*1e9)/1e9, math.Round(tin.Y[v]*1e9)/1e9
		if x != tin.X[v] || y != tin.Y[v] {
			t.Errorf("vertex %d at (%.12f, %.12f) m is not on a whole nanometre", v, tin.X[v], tin.Y[v])
		}
		if tin.Shot[v] < 0 && !tin.Fitted[v] {
			crossings++
		}
	}
	if crossings < 5 {
		t.Errorf("%d vertices where lines cross or meet walls, want several", crossings)
	}
}

// refusals counts the cases of a property test that NewFloor refuses. A test that refuses
// most of its cases fails.
type refusals struct {
	cases, refused int
	last           error
}

func (r *refusals) floor(d Data) (*Floor, error) {
	f, err := NewFloor(d)
	r.cases++
	if err != nil {
		r.refused++
		r.last = err
	}
	return f, err
}

func (r *refusals) check(t *testing.T, most float64) {
	t.Helper()
	if float64(r.refused) > most*float64(r.cases) {
		t.Errorf("%d of %d floors were refused, want %g at most; the last: %v", r.refused, r.cases, most, r.last)
	}
	t.Logf("%d of %d floors were refused", r.refused, r.cases)
}
