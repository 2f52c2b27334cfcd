package uncertainty

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"pourplane/surface"
	"pourplane/survey"
)

// Shot is a place where one more reading is worth taking.
type Shot struct {
	At      surface.Vec
	Region  int
	SDAfter float64 // m³: standard deviation of the fill once it and those before it are read; NaN where it is not known
}

// tile is a piece on the way to the next shots.
type tile struct {
	region  int
	piece   *piece
	places  []surface.Vec // m from the origin of the piece
	z       []float64     // m: of the triangles there, from the mean elevation of the piece
	cells   []float64     // m: of the triangles at the cells of the piece, likewise
	choices []*choice
}

// choice is a tile under one field: what its triangles are off by, at the places and over the filled
// part of the piece.
type choice struct {
	weight float64       // probability of the field
	mean   []float64     // m: mean of how much higher the floor is at each place
	cov    *mat.SymDense // m²: mean products of those
	off    float64       // m³: mean of how much more is below the floor than below the triangles
	square float64       // m⁶: mean square of that
	with   []float64     // m⁴: mean product of it and of what each place is off by
	own    float64       // m²: variance of one more reading
}

// answer is what the triangles do when one more shot is read.
type answer struct {
	floor         *surface.Floor // with the shot on the triangles; nil: not triangulated anew
	weight, shift float64        // m² and m³: see [surface.Locator.OneMore]
	rise, move    []float64      // m per m that the shot is above the triangles, and m if it is on them, at each place
	z, cells      []float64      // of the tile then
}

// The next shots are those under the fields that have nextShare of the probability, at most nextFields.
// With few shots many fields are possible: the five most likely alone choose worse places.
const (
	nextShare  = 0.95
	nextFields = 40
)

// Of so many places, those that seem best by the triangles next to them alone, the floor is triangulated
// anew with a shot there: the elevations at walls change too. Fewer on floors of many shots, so that
// all triangulations for one next shot have about triedShots together.
const (
	tried      = 24
	triedShots = 5000
)

// Next returns the k places where one more reading narrows what is known of the fill most, each
// with those before it read. Each is the one that takes most from the mean square of what the fill of the
// triangles is off by, averaged over the fields that the shots allow: a greedy choice, as that of Krause,
// Singh and Guestrin 2008, Journal of Machine Learning Research 9:235-284, but of an integral, and by
// what the triangles make of a reading. Of a region of so many shots that only a part of its tiles was
// looked at it returns none. now is what the fill is known to. Where the shots are too few to say,
// they are the places farthest from all of them.
func (m *Model) Next(k int, now Parts) []Shot {
	if !m.Known {
		return m.farthest(k)
	}
	tiles := m.tiles()
	var out []Shot
	// What no shot on the floor changes stays: the set-ups, and the readings behind the target.
	stays, all := 0.0, 0.0
	for _, g := range m.regions {
		for _, w := range g.whole {
			stays += w
		}
	}
	stays = square(now.Setup) + square(m.in.AimSD*stays)
	for _, t := range tiles {
		for _, c := range t.choices {
			all += c.weight * c.square
		}
	}
	variance, left := max(0, square(now.Total)-stays), all
	floor := m.in.Floor
	for range k {
		best, ok := bestOf(floor, tiles)
		if !ok {
			break
		}
		t := &tiles[best.tile]
		for _, c := range t.choices {
			c.read(best.place, best.answer)
		}
		if best.floor != nil {
			floor, t.z, t.cells = best.floor, best.z, best.answer.cells
		}
		left -= best.gain
		out = append(out, Shot{At: t.at(best.place), Region: t.region, SDAfter: math.Sqrt(stays + variance*max(0, left)/all)})
	}
	return out
}

// at returns a place of t on the grid of the survey.
func (t *tile) at(place int) surface.Vec {
	return surface.Vec{X: t.piece.origin.X + t.places[place].X, Y: t.piece.origin.Y + t.places[place].Y}
}

// trial is a place with what one more shot there would do.
type trial struct {
	tile, place int
	gain        float64 // m⁶
	answer
}

// bestOf returns the place where one more shot on a floor gains most; false if none gains.
func bestOf(f *surface.Floor, tiles []tile) (trial, bool) {
	var trials []trial
	for i := range tiles {
		t := &tiles[i]
		locate := f.Regions[t.region].TIN.Locator()
		for c := range t.places {
			one := trial{tile: i, place: c}
			one.weight, one.shift, _ = locate.OneMore(t.at(c))
			one.gain = t.gain(c, one.answer)
			trials = append(trials, one)
		}
	}
	most := func(a, b trial) int { return cmp.Compare(b.gain, a.gain) }
	slices.SortStableFunc(trials, most)
	if n := len(f.Data.Shots); n > 0 {
		trials = trials[:min(len(trials), tried, max(1, triedShots/n))]
		inParallel(len(trials), func(i int) {
			one := &trials[i]
			t := &tiles[one.tile]
			if a, ok := t.answer(f, one.place); ok {
				one.answer = a
				one.gain = t.gain(one.place, a)
			}
		})
		slices.SortStableFunc(trials, most)
	}
	if len(trials) == 0 || !(trials[0].gain > 0) {
		return trial{}, false
	}
	return trials[0], true
}

// answer triangulates a floor anew with a shot at a place of t; false if that cannot be done.
func (t *tile) answer(f *surface.Floor, place int) (answer, bool) {
	const by = 0.001 // m: the triangles follow the shot nearly in proportion
	at := t.at(place)
	z := t.piece.mean + t.z[place]
	on, ok := withShot(f, at, z)
	above, ok2 := withShot(f, at, z+by)
	if !ok || !ok2 {
		return answer{}, false
	}
	a := answer{floor: on}
	lower, upper := on.Regions[t.region].TIN.Locator(), above.Regions[t.region].TIN.Locator()
	follow := func(p surface.Vec, was float64) (now, move, rise float64) {
		p = surface.Vec{X: t.piece.origin.X + p.X, Y: t.piece.origin.Y + p.Y}
		lo, _, ok := lower.At(p)
		hi, _, ok2 := upper.At(p)
		if !ok || !ok2 {
			return was, 0, 0 // beside the floor, by the rounding of a cell's middle
		}
		now = lo - t.piece.mean
		return now, now - was, (hi - lo) / by
	}
	a.cells = make([]float64, len(t.cells))
	for i, c := range t.piece.cells {
		now, move, rise := follow(surface.Vec{X: c.x, Y: c.y}, t.cells[i])
		a.cells[i] = now
		a.shift += c.area * move
		a.weight += c.area * rise
	}
	a.z, a.move, a.rise = make([]float64, len(t.places)), make([]float64, len(t.places)), make([]float64, len(t.places))
	for i, p := range t.places {
		a.z[i], a.move[i], a.rise[i] = follow(p, t.z[i])
	}
	return a, true
}

// withShot returns a floor with one more shot; false if it cannot be triangulated.
func withShot(f *surface.Floor, at surface.Vec, z float64) (*surface.Floor, bool) {
	d := f.Data
	d.Shots = append(slices.Clone(d.Shots), survey.Point{X: at.X, Y: at.Y, Z: z})
	out, err := surface.NewFloor(d)
	return out, err == nil && len(out.Regions) == len(f.Regions)
}

// tiles returns the pieces with the places where one more shot can be read.
func (m *Model) tiles() []tile {
	var tiles []tile
	for i, g := range m.regions {
		if g.each > 1 {
			continue
		}
		first := len(tiles)
		locate := m.in.Floor.Regions[i].TIN.Locator()
		for _, p := range g.pieces {
			t := tile{region: i, piece: p}
			for _, c := range p.cells {
				z, _, ok := locate.At(surface.Vec{X: p.origin.X + c.x, Y: p.origin.Y + c.y})
				if !ok {
					z = p.mean + c.z
				}
				t.cells = append(t.cells, z-p.mean)
			}
			tiles = append(tiles, t)
		}
		for _, at := range m.open(i) {
			t := &tiles[first+g.nearest(at)]
			z, _, _ := locate.At(at)
			t.z = append(t.z, z-t.piece.mean)
			t.places = append(t.places, surface.Vec{X: at.X - t.piece.origin.X, Y: at.Y - t.piece.origin.Y})
		}
		fields, weights := g.most(g.enough(nextShare, nextFields))
		for b := range g.pieces {
			t := &tiles[first+b]
			t.choices = make([]*choice, len(fields))
			inParallel(len(fields), func(w int) {
				t.choices[w] = newChoice(g.under[fields[w]][b], t.places, t.z, g.fields[fields[w]], weights[w], m.in.Errors.Reading)
			})
		}
	}
	return tiles
}

func newChoice(k *kriging, places []surface.Vec, z []float64, w weighed, weight, reading float64) *choice {
	here := k.at(places, w.sill, true)
	c := &choice{weight: weight, mean: here.mean, cov: here.cov, own: max(w.own*w.sill, reading*reading)}
	b := k.whole()
	// What the triangles are off by counts, not only what the field leaves open.
	c.off = -k.p.higher(b)
	c.square = w.sill*b.variance + c.off*c.off
	c.with = make([]float64, len(places))
	for i := range places {
		c.mean[i] -= z[i]
	}
	for i, at := range places {
		c.with[i] = w.sill*k.withWhole(at, b) + c.mean[i]*c.off
		for j := i; j < len(places); j++ {
			c.cov.SetSym(i, j, c.cov.At(i, j)+c.mean[i]*c.mean[j])
		}
	}
	return c
}

// withWhole returns the covariance of the elevation at a place with the integral over the cells, m² and
// units of the sill. b is the integral.
func (k *kriging) withWhole(at surface.Vec, b block) float64 {
	cov := b.plane[0] + at.X*b.plane[1] + at.Y*b.plane[2]
	for _, q := range k.p.cells {
		cov += q.area * matern(k.c.smooth, math.Hypot(at.X-q.x, at.Y-q.y)/k.c.reach)
	}
	for i := range k.p.x {
		cov -= b.weights.AtVec(i) * matern(k.c.smooth, math.Hypot(at.X-k.p.x[i], at.Y-k.p.y[i])/k.c.reach)
	}
	return cov
}

// gain returns by how much a reading at a place of t lowers the mean square of what its fill is off by,
// m⁶.
func (t *tile) gain(place int, a answer) float64 {
	sum := 0.0
	for _, c := range t.choices {
		sum += c.weight * c.gain(place, a)
	}
	return sum
}

// gain is that under one field: with r what the place is off by with the error of the reading, what the fill
// is off by becomes less by shift + weight × r.
func (c *choice) gain(q int, a answer) float64 {
	v := c.cov.At(q, q) + c.own
	return 2*a.weight*c.with[q] + 2*a.shift*c.off - a.shift*a.shift - 2*a.shift*a.weight*c.mean[q] - a.weight*a.weight*v
}

// read updates c for a reading at place q: what place i is off by becomes less by move + rise × r.
func (c *choice) read(q int, a answer) {
	n := len(c.with)
	v := c.cov.At(q, q) + c.own
	col := make([]float64, n)
	for i := range n {
		col[i] = c.cov.At(q, i)
	}
	if a.floor == nil { // as the field follows
		a.weight, a.shift = c.with[q]/v, 0
		a.move, a.rise = make([]float64, n), make([]float64, n)
		for i := range n {
			a.rise[i] = col[i] / v
		}
	}
	here, with := c.mean[q], c.with[q]
	// Mean products of (e − move − rise·r) of two places, or of one and the fill.
	for i := range n {
		for j := i; j < n; j++ {
			lessI := a.move[j]*c.mean[i] + a.rise[j]*col[i]
			lessJ := a.move[i]*c.mean[j] + a.rise[i]*col[j]
			both := a.move[i]*a.move[j] + (a.move[i]*a.rise[j]+a.rise[i]*a.move[j])*here + a.rise[i]*a.rise[j]*v
			c.cov.SetSym(i, j, c.cov.At(i, j)-lessI-lessJ+both)
		}
	}
	for i := range n {
		lessFill := a.shift*c.mean[i] + a.weight*col[i]
		lessPlace := a.move[i]*c.off + a.rise[i]*with
		both := a.move[i]*a.shift + (a.move[i]*a.weight+a.rise[i]*a.shift)*here + a.rise[i]*a.weight*v
		c.with[i] += both - lessFill - lessPlace
	}
	for i := range n {
		c.mean[i] -= a.move[i] + a.rise[i]*here
	}
	c.off -= a.shift + a.weight*here
}
