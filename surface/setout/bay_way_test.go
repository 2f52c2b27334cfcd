package setout

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// reachable checks that the exit can be reached from every bay of f over bays not yet placed
// and over floor that needs no fill.
func reachable(t interface{ Errorf(string, ...any) }, f *surface.Floor, b Bays) {
	linked := make([]map[int]bool, len(b.Bays))
	for i, k := range b.Bays {
		if Away(k.Floor, k.At) > 0 {
			t.Errorf("the name of bay %s stands outside it", k.Name)
		}
		linked[i] = map[int]bool{}
		for j, other := range b.Bays {
			linked[i][j] = slices.Contains(k.Neighbours, other.Name)
		}
	}
	for _, along := range overDryFloor(f, b) {
		for i := range along {
			for j := range along {
				linked[i][j] = true
			}
		}
	}
	for k := range b.Bays {
		seen, open := map[int]bool{k: true}, []int{k}
		for len(open) > 0 {
			i := open[0]
			open = open[1:]
			for j := k; j < len(b.Bays); j++ {
				if linked[i][j] && !seen[j] {
					seen[j], open = true, append(open, j)
				}
			}
		}
		if !seen[len(b.Bays)-1] {
			t.Errorf("from bay %s the exit is not reached over bays not yet placed", b.Bays[k].Name)
		}
	}
}

// overDryFloor returns, of each part of f that is no bay, the numbers of the bays along
// it: of places 100 mm apart, next to each other.
func overDryFloor(f *surface.Floor, b Bays) []map[int]bool {
	const apart = 0.1
	lo, hi := f.Bounds()
	nx, ny := int((hi.X-lo.X)/apart)+1, int((hi.Y-lo.Y)/apart)+1
	const off, dry = -2, -1
	at := make([]int, nx*ny) // number of the bay, dry, or outside the floor
	for i := range at {
		p := surface.Vec{X: lo.X + apart*(float64(i%nx)+0.5), Y: lo.Y + apart*(float64(i/nx)+0.5)}
		at[i] = off
		if Away(f, p) == 0 {
			at[i] = slices.IndexFunc(b.Bays, func(k Bay) bool { return Away(k.Floor, p) == 0 })
		}
	}
	var out []map[int]bool
	for start := range at {
		if at[start] != dry {
			continue
		}
		along, open := map[int]bool{}, []int{start}
		for at[start] = off; len(open) > 0; {
			i := open[0]
			open = open[1:]
			for _, d := range [][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
				x, y := i%nx+d[0], i/nx+d[1]
				if x < 0 || y < 0 || x >= nx || y >= ny {
					continue
				}
				if j := y*nx + x; at[j] == dry {
					at[j], open = off, append(open, j)
				} else if at[j] >= 0 {
					along[at[j]] = true
				}
			}
		}
		out = append(out, along)
	}
	return out
}

type failures []string

func (f *failures) Errorf(format string, args ...any) { *f = append(*f, fmt.Sprintf(format, args...)) }

// The middle of a floor of 9 × 4 m is 10 mm above the target, from x = 3 to 6 m: the crew
// walks over it from the far bay to the one at the exit. If a gap divides the middle from
// wall to wall, the far bay needs a way out.
func TestWayOverFloorWithoutFill(t *testing.T) {
	shots := grid(0, 0, 9, 4, 1, func(x, y float64) float64 {
		if x >= 3 && x <= 6 {
			return 10.01
		}
		return 9.95
	})
	walls := ring(survey.Outer, 0, 0, 9, 0, 9, 4, 0, 4)
	r := BayRules{Dams: [][]surface.Vec{{{X: 3, Y: -1}, {X: 3, Y: 5}}, {{X: 6, Y: -1}, {X: 6, Y: 5}}}, Exit: surface.Vec{X: 0, Y: 1}, HasExit: true}
	f := floorOf(t, surface.Data{Shots: shots, Rings: []survey.Ring{walls}})
	b := cut(t, f, r)
	if len(b.Bays) != 2 || len(b.Dams) != 0 || b.Bays[0].At.X < 6 {
		t.Fatalf("%d bays, %d dams; want 2 and none, the far one first", len(b.Bays), len(b.Dams))
	}
	if want := "1 part of the floor needs no fill: it is not a bay"; texts(b.Notes) != want {
		t.Errorf("notes %q, want %q", texts(b.Notes), want)
	}
	reachable(t, f, b)

	two := []survey.Ring{ring(survey.Outer, 0, 0, 4, 0, 4, 4, 0, 4), ring(survey.Outer, 5, 0, 9, 0, 9, 4, 5, 4)}
	f = floorOf(t, surface.Data{Shots: shots, Rings: two})
	b = cut(t, f, r)
	if want := "2 parts of the floor need no fill: they are not bays\nbay 1 does not join the bays at the exit over a width of 0.500 m: it needs a way out of its own"; texts(b.Notes) != want {
		t.Errorf("notes %q, want %q", texts(b.Notes), want)
	}
	var got failures
	reachable(&got, f, b)
	if want := (failures{"from bay 1 the exit is not reached over bays not yet placed"}); !slices.Equal(got, want) {
		t.Errorf("two rooms: %q, want %q", got, want)
	}
}

// Two rooms, one of 9 × 3 m east, one of 3 × 8 m north beyond a gap, 50 mm and 80 mm deep:
// each is cut across its longest wall. By hand, max 3 m wide: 3 strips of 3 m, and 3 of 8/3
// m to whole steps of 50 mm, from the southern end of the second.
func TestStripsOfEachRoom(t *testing.T) {
	f := floorOf(t, surface.Data{
		Shots: append(grid(0, 0, 9, 3, 1, func(x, y float64) float64 { return 9.95 }), grid(10, 2, 13, 10, 1, func(x, y float64) float64 { return 9.92 })...),
		Rings: []survey.Ring{ring(survey.Outer, 0, 0, 9, 0, 9, 3, 0, 3), ring(survey.Outer, 10, 2, 13, 2, 13, 10, 10, 10)},
	})
	f.Regions[1].Name = "store"
	b := cut(t, f, BayRules{Width: 3, Exit: surface.Vec{X: 0, Y: 1}, HasExit: true})
	if len(b.Bays) != 6 || len(b.Dams) != 4 {
		t.Fatalf("%d bays, %d dams; want 6 and 4", len(b.Bays), len(b.Dams))
	}
	for _, k := range b.Bays {
		lo, hi := k.Floor.Bounds()
		w, h := hi.X-lo.X, hi.Y-lo.Y
		if lo.X < 9.5 {
			closeTo(t, "width", w, 3, 1e-9)
			closeTo(t, "fill", k.Fill.Fill, 9*0.05, 1e-9)
		} else {
			closeTo(t, "width across", w, 3, 1e-9)
			closeTo(t, "width", h, 8.0/3, 0.05)
		}
	}
	for _, d := range b.Dams {
		closeTo(t, "length", d.Length, 3, 1e-9)
		if east := d.From.X < 9.5; east != !d.Own || east != (d.Region == "") || east != (d.Along == surface.Vec{X: 1}) {
			t.Errorf("dam %+v", d)
		} else if !east {
			closeTo(t, "offset", d.Offset, d.From.Y-2, 1e-9)
		}
	}
}

// A region equally long both ways keeps the direction of the whole floor, and so does one
// whose walls differ from it by less than half a degree; with more it has its own.
func TestOwnDirection(t *testing.T) {
	for _, c := range []struct {
		name          string
		w, h, degrees float64
		own           bool
	}{
		{"a square", 2, 2, 0, false}, {"long east", 3, 2, 0, false}, {"long north", 2, 3, 0, true},
		{"a little askew", 3, 2, 0.4, false}, {"askew", 3, 2, 0.6, true},
	} {
		sin, cos := math.Sincos(c.degrees * math.Pi / 180)
		var corners []surface.Vec
		for _, p := range []surface.Vec{{}, {X: c.w}, {X: c.w, Y: c.h}, {Y: c.h}} {
			corners = append(corners, surface.Vec{X: p.X*cos - p.Y*sin, Y: p.X*sin + p.Y*cos})
		}
		east := surface.Vec{X: 1}
		if got := ownDirection(surface.Region{Rings: [][]surface.Vec{corners}}, east); (got != east) != c.own {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// A dam across a wedge is as high as its deeper end is deep: depth 0.01·x.
func TestDamLeastHeight(t *testing.T) {
	b := cut(t, wedge(t), BayRules{Dams: [][]surface.Vec{{{X: 2, Y: 0}, {X: 6, Y: 4}}}})
	if len(b.Dams) != 1 {
		t.Fatal(b.Dams)
	}
	closeTo(t, "greatest", b.Dams[0].Height, 0.06, 1e-12)
	closeTo(t, "least", b.Dams[0].Least, 0.02, 1e-12)
}
