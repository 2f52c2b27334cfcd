package uncertainty

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"pourplane/surface"
	"pourplane/survey"
)

// The fill near the target is the mean of floors drawn from the same field, each filled only where it is
// below the target.
func TestEdgeAgreesWithDraws(t *testing.T) {
	f := dish(t, 25)
	m, _ := modelOf(f, -0.01, Errors{Reading: 0.001})
	g := m.regions[0]
	p := g.pieces[0]
	if len(p.edge) < 90 {
		t.Fatalf("%d cells", len(p.edge))
	}
	var places []surface.Vec
	for _, c := range p.edge {
		places = append(places, surface.Vec{X: c.x, Y: c.y})
	}
	best, _ := g.most(1)
	k, sill := g.under[best[0]][0], g.fields[best[0]].sill
	got := k.at(places, sill, true)
	for i := range places {
		got.cov.SetSym(i, i, got.cov.At(i, i)*(1+1e-6)+1e-12)
	}
	var chol mat.Cholesky
	if !chol.Factorize(got.cov) {
		t.Fatal("no Cholesky factor")
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	rng := rand.New(rand.NewPCG(3, 4))
	const n = 1000
	sum, squares := 0.0, 0.0
	for range n {
		e := mat.NewVecDense(len(places), nil)
		for i := range places {
			e.SetVec(i, rng.NormFloat64())
		}
		e.MulVec(&lower, e)
		one := 0.0
		for i, c := range p.edge {
			d := c.depth + c.z - got.mean[i] - e.AtVec(i)
			one += c.area * max(0, d)
			if c.depth > 0 {
				one -= c.area * d
			}
		}
		sum, squares = sum+one/n, squares+one*one/n
	}
	of := math.Sqrt((squares - sum*sum) / n)
	if more := k.beyond(sill); math.Abs(more-sum) > 4*of || more < 20*of {
		t.Errorf("%g m³ more, draws %g ± %g", more, sum, of)
	}
}

// A floor well below its target has no edge; one of which a corner alone is filled has no more cells
// than another.
func TestEdgeCells(t *testing.T) {
	f := dish(t, 25)
	m, _ := modelOf(f, 0.05, Errors{Reading: 0.001})
	if n := len(m.regions[0].pieces[0].edge); n != 0 {
		t.Errorf("%d cells of a floor 30 mm below its target", n)
	}
	corner := floorOf(t, []survey.Point{{X: 0, Y: 0, Z: -1e-6}, {X: 8, Y: 0}, {X: 8, Y: 6}, {X: 0, Y: 6}, {X: 0.01, Y: 0.01}}, rectangle(8, 6))
	m, fill := modelOf(corner, 0, Errors{Reading: 0.001})
	p := m.regions[0].pieces[0]
	if fill <= 0 || len(p.edge) < 50 || len(p.edge) > 2000 {
		t.Errorf("%d cells, fill %g m³", len(p.edge), fill)
	}
	area := 0.0
	for _, c := range p.edge {
		area += c.area
	}
	if math.Abs(area-48) > 1e-9 {
		t.Errorf("cells of %g m² of a floor of 48 m² all near its target", area)
	}
}

// The bounds that choose what is looked at.
func TestLookedAt(t *testing.T) {
	for _, of := range []struct {
		below float64
		some  bool
	}{{0.0199, true}, {0.0201, false}} {
		flat := floorOf(t, []survey.Point{{X: 1, Y: 1}, {X: 7, Y: 1}, {X: 1, Y: 5}, {X: 7, Y: 5}, {X: 4, Y: 3}}, rectangle(8, 6))
		m, _ := modelOf(flat, of.below, Errors{Reading: 0.001})
		if got := len(m.regions[0].pieces[0].edge) > 0; got != of.some {
			t.Errorf("%g m below the target: near it %v", of.below, got)
		}
	}
	fields := func(weights ...float64) *region {
		g := &region{}
		for _, w := range weights {
			g.fields = append(g.fields, weighed{weight: w})
		}
		return g
	}
	if n := fields(0.02, 0.145, 0.5, 0.03, 0.305).enough(nextShare, nextFields); n != 3 {
		t.Errorf("%d fields have 95 %%, want 3", n)
	}
	if n := fields(0.02, 0.145, 0.5, 0.037, 0.298).enough(nextShare, nextFields); n != 4 {
		t.Errorf("%d fields have 95 %%, want 4", n)
	}
	even := make([]float64, 60)
	for i := range even {
		even[i] = 1.0 / 60
	}
	if n := fields(even...).enough(nextShare, nextFields); n != 40 {
		t.Errorf("%d fields of 60, want 40", n)
	}
}

// Tiles that stand for others count for them too.
func TestEdgeOfTilesCounts(t *testing.T) {
	m, _ := modelOf(dish(t, 25), -0.01, Errors{Reading: 0.001})
	g := m.regions[0]
	one := g.atEdge()
	g.each = 3
	for f, v := range g.atEdge() {
		if one[f] <= 0 || math.Abs(v-3*one[f]) > 1e-12 {
			t.Errorf("field %d: %g m³, one tile has %g", f, v, one[f])
		}
	}
}
