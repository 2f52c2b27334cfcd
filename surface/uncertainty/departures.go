package uncertainty

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"

	"pourplane/surface"
)

// Departures are how far a floor is from its target, on each of the floors that its shots allow.
type Departures struct {
	Most  []float64   // m: the largest, up or down
	Share [][]float64 // 0 to 1, of the area within each of the tolerances
	// MostRead and ShareRead are those of the triangulated floor, at the same places.
	MostRead  float64
	ShareRead []float64
}

// ofLarge is the max number of places that are looked at in a tile of a large region. Own choice:
// three to a shot.
const ofLarge = 420

// Departures draws n floors that the shots allow, as [Model.Draw] does, but each place of a large
// region moves by itself and has its own roughness. The target of m is lift metres above that of the departures, and above all
// of the floor. Nil where the shots say nothing. The draws are the same each time.
func (m *Model) Departures(n int, lift float64, tolerances []float64) *Departures {
	if !m.Known {
		return nil
	}
	rng := rand.New(rand.NewPCG(2, 15))
	var tiles []*departing
	for _, g := range m.regions {
		fields, weights := g.most(likely)
		if len(g.pieces) > 1 { // each takes as long as a small region
			fields, weights = g.most(1)
		}
		for b, p := range g.pieces {
			if t := g.departing(b, p, fields, weights, m.in.Errors.Reading); t != nil {
				tiles = append(tiles, t)
			}
		}
	}
	out := &Departures{}
	out.MostRead, out.ShareRead = departed(tiles, lift, tolerances, func(t *departing) []float64 { return make([]float64, len(t.cells)) })
	common := math.Hypot(m.setups(), m.in.AimSD)
	for range n {
		moved := common * rng.NormFloat64()
		most, share := departed(tiles, lift-moved, tolerances, func(t *departing) []float64 { return t.draw(rng) })
		out.Most, out.Share = append(out.Most, most), append(out.Share, share)
	}
	return out
}

// departing is a piece with what each of its fields says of some of its cells.
type departing struct {
	cells   []cell
	each    float64 // how many pieces it counts for
	weights []float64
	freedom []float64
	own     []float64 // m: roughness that each place has for itself
	means   [][]float64
	roots   []*mat.TriDense
}

// departing returns piece b of g; nil if it has no cells.
func (g *region) departing(b int, p *piece, fields []int, weights []float64, reading float64) *departing {
	t := &departing{each: g.each, weights: weights}
	step := 1
	if len(g.pieces) > 1 {
		step = max(1, (len(p.cells)+ofLarge-1)/ofLarge)
	}
	var places []surface.Vec
	for i := 0; i < len(p.cells); i += step {
		c := p.cells[i]
		t.cells = append(t.cells, c)
		places = append(places, surface.Vec{X: c.x, Y: c.y})
	}
	if places == nil {
		return nil
	}
	for _, f := range fields {
		w := g.fields[f]
		mean, root := g.under[f][b].jointly(places, w.sill)
		t.means, t.roots, t.freedom = append(t.means, mean), append(t.roots, root), append(t.freedom, w.freedom)
		t.own = append(t.own, w.field(reading).Own)
	}
	return t
}

// draw returns by how much deeper each cell is on one floor than on the triangulated one, m.
func (t *departing) draw(rng *rand.Rand) []float64 {
	f := pick(rng, t.weights)
	wide := wider(rng, t.freedom[f])
	off := offBy(rng, t.roots[f], wide)
	for i, c := range t.cells {
		off[i] = c.z - t.means[f][i] - off[i] - wide*t.own[f]*rng.NormFloat64()
	}
	return off
}

// departed returns the largest departure of cells that are deeper by off than the triangulated floor,
// and the share of their area within each of the tolerances.
func departed(tiles []*departing, lift float64, tolerances []float64, off func(*departing) []float64) (most float64, share []float64) {
	area := 0.0
	share = make([]float64, len(tolerances))
	for _, t := range tiles {
		deeper := off(t)
		for i, c := range t.cells {
			now := Cell{Area: t.each * c.area, Depth: c.depth + deeper[i] - lift, Span: c.span}
			most = max(most, math.Abs(now.Depth))
			area += now.Area
			for k, tolerance := range tolerances {
				in, _ := now.Between(-tolerance, tolerance)
				share[k] += in
			}
		}
	}
	for k := range share {
		share[k] = min(1, share[k]/area) // by rounding
	}
	return most, share
}
