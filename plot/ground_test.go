package plot

import (
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/plot/vg"
)

// An upright box is checked row by row, a turned one point by point. A turn too small to
// move a point gives the same result.
func TestUprightBoxesAreLookedAtAlike(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 5))
	at := func(n float64) vg.Length { return vg.Length(n * r.Float64()) }
	free, barred, lines := 0, 0, 0
	for range 40 {
		g := newGround(vg.Rectangle{Min: vg.Point{X: at(50), Y: at(50)}, Max: vg.Point{X: 150 + at(50), Y: 130 + at(50)}})
		g.owner = make([]int32, len(g.cells))
		for i := range g.owner {
			g.owner[i] = int32(min(2, i%g.w/(g.w/3)))
		}
		g.run()
		for range 25 {
			g.mark(box{centre: vg.Point{X: at(200), Y: at(200)}, w: at(9), h: at(9)}, []uint8{taken, lined, walled}[r.IntN(3)])
		}
		for range 400 {
			g.only, g.strict = int32(r.IntN(3)), r.IntN(2) == 0
			b := box{centre: vg.Point{X: at(200), Y: at(200)}, w: at(40), h: at(14)}
			ok, on := g.free(b)
			b.turn = 1e-300
			if slowOK, slowOn := g.free(b); slowOK != ok || ok && slowOn != on {
				t.Fatalf("%+v: %t with %d on lines, point by point %t with %d", b, ok, on, slowOK, slowOn)
			}
			if ok {
				free++
			} else {
				barred++
			}
			if ok && on > 0 {
				lines++
			}
		}
	}
	if min(free, barred, lines) < 300 {
		t.Errorf("%d free, %d not, %d on lines: too one-sided to show anything", free, barred, lines)
	}
}

// An upright box is marked row by row, up to the edges of the ground.
func TestUprightBoxesAreMarkedAlike(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(7, 1))
	for range 2000 {
		a := newGround(vg.Rectangle{Min: vg.Point{X: 20.3, Y: 10.9}, Max: vg.Point{X: 80, Y: 50}})
		b := a.clone()
		at := box{centre: vg.Point{X: vg.Length(100 * r.Float64()), Y: vg.Length(60 * r.Float64())}, w: vg.Length(40 * r.Float64()), h: vg.Length(14 * r.Float64())}
		a.mark(at, lined)
		at.turn = 1e-300
		if b.mark(at, lined); !slices.Equal(a.cells, b.cells) {
			t.Fatalf("%+v: marked otherwise than point by point", at)
		}
	}
}

func BenchmarkGroundFree(b *testing.B) {
	g := newGround(vg.Rectangle{Max: vg.Point{X: 800, Y: 600}})
	g.owner, g.only, g.strict = make([]int32, len(g.cells)), 0, true
	g.run()
	at := box{centre: vg.Point{X: 400, Y: 300}, w: 60, h: 24}
	for name, turn := range map[string]float64{"upright": 0, "turned": 0.1} {
		at.turn = turn
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if ok, _ := g.free(at); !ok {
					b.Fatal("not free")
				}
			}
		})
	}
}
