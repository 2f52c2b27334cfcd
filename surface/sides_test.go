package surface

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/surface/internal/plan"
	"pourplane/survey"
)

// pitFloor is a level room of 6 × 6 m at 0 with a level pit of 2 × 2 m at −100 mm, both
// uneven by ±2 mm, on a grid of 0.5 m. The 16 shots on the edge of the pit have the
// elevation edge.
func pitFloor(edge float64) Data {
	var d Data
	d.Rings = []survey.Ring{ringOf("room", survey.Outer, 0, 0, 6, 0, 6, 6, 0, 6), ringOf("pit", survey.Outer, 2, 2, 4, 2, 4, 4, 2, 4)}
	d.Shots = shotsOn(0, 0, 6, 6, 0.5, func(x, y float64) float64 {
		z := 0.0
		switch away := max(math.Abs(x-3), math.Abs(y-3)); {
		case away < 1:
			z = -0.1
		case away == 1:
			z = edge
		}
		return z + 0.002*math.Sin(7*x+11*y)
	})
	return d
}

func onEdge(f *Floor) []survey.Note {
	return slices.DeleteFunc(slices.Clone(f.Notes), func(n survey.Note) bool { return !strings.Contains(n.Text.String(), " on the edge ") })
}

// The true volume of a pit with walls, by hand: 36 m² × 50 mm plus 4 m² × 100 mm. Shots on
// its edge that were read in the room, or in the pit, are used for that side only.
func TestShotsOnAnEdgeServeTheirSide(t *testing.T) {
	for _, c := range []struct {
		edge float64
		note string
	}{
		{0, "16 shots are on the edge between pit and room and agree with the other shots of room: they are used for room alone; if that is wrong, name the side in a column part, or draw the edge beside the shots"},
		{-0.1, "16 shots are on the edge between pit and room and agree with the other shots of pit: they are used for pit alone; if that is wrong, name the side in a column part, or draw the edge beside the shots"},
	} {
		d := pitFloor(c.edge)
		f := build(t, d)
		notes := onEdge(f)
		if len(notes) != 1 || notes[0].Text.String() != c.note || notes[0].Kind != survey.Assumed || notes[0].Topic != survey.AboutDepth {
			t.Errorf("edge at %g: notes %v", c.edge, notes)
		}
		fill := f.FillTo(Horizontal(0.05), nil).Fill
		t.Logf("edge read at %g: fill %.4f m³, true %.4f", c.edge, fill, 36*0.05+4*0.1)
		near(t, "fill", fill, 36*0.05+4*0.1, 0.01)
		slices.Reverse(d.Shots)
		if again := build(t, d).FillTo(Horizontal(0.05), nil).Fill; math.Abs(again-fill) > 1e-12 {
			t.Errorf("fill %v in another order, want %v", again, fill)
		}
	}
	// Between the two heights the side is unknown: both, with the warning.
	notes := onEdge(build(t, pitFloor(-0.05)))
	if len(notes) != 1 || notes[0].Kind != survey.Warning || !strings.HasPrefix(notes[0].Text.String(), "16 shots are on the edge between pit and room: ") {
		t.Errorf("edge at half height: %v", notes)
	}
	// One of the sixteen shots is doubtful: fifteen are given to a side, one is warned of.
	d := pitFloor(0)
	for i, p := range d.Shots {
		if p.X == 2 && p.Y == 3 {
			d.Shots[i].Z = -0.03
		}
	}
	notes = onEdge(build(t, d))
	if len(notes) != 2 || notes[0].Kind == notes[1].Kind || !strings.HasPrefix(notes[0].Text.String(), "1 shot is ") || !strings.HasPrefix(notes[1].Text.String(), "15 shots are on ") {
		t.Errorf("one of sixteen in doubt: %v", notes)
	}
}

// A region is not left without a surface: shots in one row, or fewer than three, inside a
// pit do not decide about its edge.
func TestShotsOnAnEdgeOfANarrowPit(t *testing.T) {
	d := pitFloor(0)
	d.Shots = slices.DeleteFunc(d.Shots, func(p survey.Point) bool { return max(math.Abs(p.X-3), math.Abs(p.Y-3)) < 1 && p.X != 3 })
	for range 2 { // three in a row, then two shots off one line with the edge
		notes := onEdge(build(t, d))
		if len(notes) != 1 || notes[0].Kind != survey.Warning {
			t.Errorf("notes %v, want a warning", notes)
		}
		d.Shots = slices.DeleteFunc(d.Shots, func(p survey.Point) bool { return p.X == 3 && p.Y == 3 })
	}
}

// A shot that just keeps a bound is given to its side; just beyond the bound it is not.
func TestWhichSideAShotIsOf(t *testing.T) {
	for _, c := range []struct {
		what     string
		z        float64
		h, other sideHeight
		want     bool
	}{
		{"3 scatters off", 0.0149, sideHeight{0, 0.005}, sideHeight{-0.1, 0.005}, true},
		{"more", 0.0151, sideHeight{0, 0.005}, sideHeight{-0.1, 0.005}, false},
		{"4 times farther off the other", -0.0099, sideHeight{0, 0.005}, sideHeight{-0.05, 0.005}, true},
		{"less", -0.0101, sideHeight{0, 0.005}, sideHeight{-0.05, 0.005}, false},
		{"20 mm apart", 0, sideHeight{0, 0.005}, sideHeight{-0.0201, 0.005}, true},
		{"less", 0, sideHeight{0, 0.005}, sideHeight{-0.0199, 0.005}, false},
		{"fits neither", 0.05, sideHeight{0, 0.005}, sideHeight{-0.3, 0.005}, false},
		{"fits both", 0, sideHeight{0, 0.005}, sideHeight{-0.1, 0.04}, false},
		{"the other side above", 0, sideHeight{0, 0.005}, sideHeight{0.1, 0.005}, true},
	} {
		if got := clearlyOf(c.z, c.h, c.other); got != c.want {
			t.Errorf("%s: %v, want %v", c.what, got, c.want)
		}
	}
}

// The height of a side, by hand: of shots in a row at 1, 2, 3 … m the nearest six count, or
// fewer if there are fewer. The scatter is at least 5 mm.
func TestHeightOfASide(t *testing.T) {
	b := &builder{}
	var own []int32
	for i := range 9 {
		x := float64(i + 1)
		b.shot = append(b.shot, Vec{X: 1e9 * x, Y: 0}, Vec{X: 1e9 * x, Y: 1e7 * x})
		b.data.Shots = append(b.data.Shots, survey.Point{Z: 0.01 * x * x}, survey.Point{Z: 7})
		own = append(own, int32(2*i))
	}
	h := b.heightAt(Vec{}, plan.NewNeighbours(b.shot, own))
	// 10, 40, 90, 160, 250, 360 mm: mean 910/6, sum of squares 227 500 − 910²/6 = 89 483.3 mm².
	near(t, "mean of six", h.mean, 0.910/6, 1e-12)
	near(t, "scatter of six", h.scatter, math.Sqrt(0.0894833333333333/5), 1e-12)
	h = b.heightAt(Vec{}, plan.NewNeighbours(b.shot, own[:3]))
	near(t, "mean of three", h.mean, 0.14/3, 1e-12)
	for i := range b.data.Shots {
		b.data.Shots[i].Z = 0.002 * float64(i%4)
	}
	h = b.heightAt(Vec{}, plan.NewNeighbours(b.shot, own))
	near(t, "least scatter", h.scatter, 0.005, 0)
}
