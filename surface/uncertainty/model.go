package uncertainty

import (
	"maps"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/survey"
)

// Errors are standard deviations of a survey, m.
type Errors struct {
	Reading float64 // of one reading
	Setup   float64 // common to all shots of a set-up: instrument, benchmark, bubble
}

// Input is the fill whose uncertainty is asked for.
type Input struct {
	Floor  *surface.Floor // as triangulated from the survey
	Split  *surface.Floor // what Floor.Under returned for Target
	Target surface.Target
	Errors Errors
	Setup  func(survey.Point) string // set-up of a shot; nil: all are of one
	Field  *Field                    // how the floor undulates, where that is known; nil: as its shots say
	Ties   []Tie                     // of set-ups to benchmarks and to each other, each after those that it is tied to; one without a tie is tied to a benchmark
	Aim    map[string]float64        // set-ups that the target was read from, with their shares, which add up to 1; nil: its elevation is given
	AimSD  float64                   // m: standard deviation of the target by the readings that it was taken from
}

// Tie is how a set-up got its height of instrument: the mean from some points.
type Tie struct {
	Setup  string
	Points int            // benchmarks and turning points; each has an error of its own
	On     map[string]int // set-ups that some of them were known from, with how many: their errors are in it too
}

// Parts are standard deviations by cause, m³.
type Parts struct {
	Reading  float64 // of the readings
	Setup    float64 // of the set-ups
	Sampling float64 // of the floor between the shots
	Walls    float64 // of the floor between the outermost shots and the walls
	Total    float64
}

// Volume is how far the fill is known.
type Volume struct {
	Fill  float64      // m³, of the triangulated floor
	Dist  Distribution // of the true fill, m³
	Parts Parts
	// Regions are the standard deviations of the regions of the floor, m³: with the set-ups, which they
	// may share.
	Regions []float64
	Known   bool // false: a region has too few shots to say
}

// Interval returns the bounds between which the fill is with a probability, m³, never below zero.
// Wide ones, of 90 % or more, hold the fill of the triangulated floor: where the floor between the
// shots is likely off the triangles on one side, it is one of them.
func (v Volume) Interval(probability float64) (lo, hi float64) {
	lo, hi = v.Dist.Quantile((1-probability)/2), v.Dist.Quantile((1+probability)/2)
	if probability >= wide {
		lo, hi = min(lo, v.Fill), max(hi, v.Fill)
	}
	return max(0, lo), max(0, hi)
}

// wide is the probability from which bounds hold the fill of the triangulated floor: narrower ones
// would hold the true fill more often than they say.
const wide = 0.9

// Model is what the shots say of a floor.
type Model struct {
	in      Input
	regions []*region
	Known   bool
}

// region is a region of the model.
type region struct {
	pieces []*piece
	each   float64 // how many pieces of the region each one counts for
	apart  float64 // m: side of the square that one measured vertex represents
	fields []weighed
	under  [][]*kriging       // by field and piece
	whole  map[string]float64 // m² of the fill's weights, by set-up
	square float64            // m⁴: sum of the squared weights of the readings
	beyond float64            // share of the filled area where the shots say nothing: see [Model.Beyond]
}

// New describes the floor of in.
func New(in Input) *Model {
	m := &Model{in: in, Known: true}
	for i, r := range in.Floor.Regions {
		e := newExtractor(r, in.Split.Regions[i].TIN, in.Target.Within(r.Part), in.Setup)
		g := &region{apart: spacing(r.TIN, e)}
		g.pieces, g.each = e.pieces()
		g.whole, g.square = e.weights(in.Floor.FillWeights(in.Split, in.Target, i))
		m.regions = append(m.regions, g)
		if slices.ContainsFunc(g.pieces, func(p *piece) bool { return len(p.x) < Fewest }) {
			m.Known = false
			continue
		}
		if in.Field != nil {
			g.fields, g.under = known(g.pieces, *in.Field, in.Errors.Reading)
			m.Known = m.Known && g.fields != nil
			continue
		}
		if g.beyond = g.beyondShots(); g.beyond > mostBeyond {
			m.Known = false
			continue
		}
		lo, hi := bounds(g.pieces)
		extent := math.Hypot(hi.X-lo.X, hi.Y-lo.Y)
		g.fields, g.under = weigh(g.pieces, g.apart, extent, in.Errors.Reading)
		if len(g.fields) == 0 {
			m.Known = false
		}
	}
	return m
}

// Few is a region with too few measured places to say anything.
type Few struct{ Region, Measured int }

// Few returns the regions with less than [Fewest] measured places.
func (m *Model) Few() []Few {
	var out []Few
	for i, g := range m.regions {
		if n := len(g.pieces[0].x); n < Fewest {
			out = append(out, Few{i, n})
		}
	}
	return out
}

// Least returns how many measured places the region with the fewest has.
func (m *Model) Least() int {
	n := math.MaxInt
	for _, g := range m.regions {
		n = min(n, len(g.pieces[0].x))
	}
	return n
}

// Likely returns the field that describes a region best.
func (m *Model) Likely(region int) Field {
	g := m.regions[region]
	if len(g.fields) == 0 {
		return Field{}
	}
	best, _ := g.most(1)
	return g.fields[best[0]].field(m.in.Errors.Reading)
}

// spacing is the side of the square that one measured vertex represents, m.
func spacing(t *surface.TIN, e *extractor) float64 {
	n := 0
	for v := range int32(len(t.Z)) {
		if e.measured(v) {
			n++
		}
	}
	return math.Sqrt(t.PlanArea() / float64(max(1, n)))
}

func bounds(pieces []*piece) (lo, hi surface.Vec) {
	lo, hi = surface.Vec{X: math.Inf(1), Y: math.Inf(1)}, surface.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range pieces {
		for i := range p.x {
			lo = surface.Vec{X: min(lo.X, p.origin.X+p.x[i]), Y: min(lo.Y, p.origin.Y+p.y[i])}
			hi = surface.Vec{X: max(hi.X, p.origin.X+p.x[i]), Y: max(hi.Y, p.origin.Y+p.y[i])}
		}
	}
	return lo, hi
}

// areas returns the areas of the cells.
func (p *piece) areas(only func(cell) bool) []float64 {
	out := make([]float64, len(p.cells))
	for i, c := range p.cells {
		if only == nil || only(c) {
			out[i] = c.area
		}
	}
	return out
}

// Volume returns how far the fill is known. fill is that of the triangulated floor, m³.
func (m *Model) Volume(fill float64) Volume {
	out := Volume{Fill: fill, Known: m.Known}
	if !m.Known {
		return out
	}
	var squares, total float64
	byCause := Parts{}
	for _, g := range m.regions {
		d, between, walls := g.volume(m.in.Errors)
		out.Dist = out.Dist.Plus(d)
		squares += g.square
		byCause.Sampling += between
		byCause.Walls += walls
		area := 0.0
		for _, w := range g.whole {
			area += w
		}
		total += area
		common := square(m.setups()*area) + square(m.in.AimSD*area)
		out.Regions = append(out.Regions, math.Sqrt(square(m.in.Errors.Reading)*g.square+between+walls+common))
	}
	aim := m.in.AimSD * total
	byCause.Reading = math.Hypot(m.in.Errors.Reading*math.Sqrt(squares), aim)
	byCause.Sampling, byCause.Walls = math.Sqrt(byCause.Sampling), math.Sqrt(byCause.Walls)
	if aim > 0 {
		out.Dist = out.Dist.Plus(Normal(aim))
	}
	out.Dist = out.Dist.Shifted(fill)
	if sd := m.setups(); sd > 0 {
		moved, spread := m.moved(fill, sd)
		byCause.Setup = spread
		out.Dist = out.Dist.Plus(moved)
	}
	byCause.Total = math.Sqrt(square(byCause.Reading) + square(byCause.Setup) + square(byCause.Sampling) + square(byCause.Walls))
	out.Parts = byCause
	return out
}

// setups returns the standard deviation of the depth of the whole fill by the set-ups, m. What a
// set-up is out by is also in those that are tied to it.
func (m *Model) setups() float64 {
	weights, total := map[string]float64{}, 0.0
	for _, g := range m.regions {
		for s, w := range g.whole {
			weights[s] += w
			total += w
		}
	}
	if total == 0 { // nothing to fill: as one set-up
		weights[""], total = 1, 1
	}
	for s, share := range m.in.Aim {
		weights[s] -= share * total
	}
	points := map[string]float64{}
	for _, t := range slices.Backward(m.in.Ties) {
		points[t.Setup] = float64(max(1, t.Points))
		for _, on := range slices.Sorted(maps.Keys(t.On)) {
			weights[on] += weights[t.Setup] * float64(t.On[on]) / points[t.Setup]
		}
	}
	squares := 0.0
	for _, s := range slices.Sorted(maps.Keys(weights)) {
		squares += weights[s] * weights[s] / max(1, points[s])
	}
	return m.in.Errors.Setup * math.Sqrt(squares) / total
}

// moved returns how much more the fill is if the whole floor is lower by a normal error of standard
// deviation sd, m, and the standard deviation of that. Where the floor is well below the target
// everywhere that is the error times the area; elsewhere the fill to the moved target is worked
// out at some errors, as it increases with them.
func (m *Model) moved(fill, sd float64) (Distribution, float64) {
	area, clear := 0.0, math.Inf(1)
	for i, r := range m.in.Split.Regions {
		area += r.TIN.PlanArea()
		clear = min(clear, slices.Min(r.TIN.Depths(m.in.Target.Within(m.in.Floor.Regions[i].Part))))
	}
	all := Normal(sd)
	if clear > all[len(all)-1] {
		return all.Scaled(area), sd * area
	}
	const every = 10 // nodes: between them the fill is nearly straight
	out := make(Distribution, len(all))
	for i := 0; i < len(all); i += every {
		out[i] = m.in.Split.FillTo(m.in.Target.Moved(all[i]), nil).Fill - fill
		for j := 1; j < every && i > 0; j++ {
			out[i-j] = out[i] + float64(j)/every*(out[i-every]-out[i])
		}
	}
	mean, squares := 0.0, 0.0
	for i, v := range out {
		mean += masses[i] * v
		squares += masses[i] * v * v
	}
	return out, math.Sqrt(squares - mean*mean)
}

func square(v float64) float64 { return v * v }

// volume returns the distribution of the true fill of g minus that of the triangulated floor
// without the error of the set-ups, m³, and the variances of what is between shots and at walls, m⁶:
// what the readings leave of that of the distribution.
func (g *region) volume(e Errors) (d Distribution, between, walls float64) {
	g.integrate()
	edge := g.atEdge()
	terms := make([]term, len(g.fields))
	inParallel(len(g.fields), func(f int) {
		w := g.fields[f]
		t := term{weight: w.weight, freedom: w.freedom}
		bias, variance, square := 0.0, 0.0, 0.0
		for i, p := range g.pieces {
			k := g.under[f][i]
			b := k.whole()
			off := p.higher(b)
			bias += off
			square += off * off
			variance += w.sill * b.variance
		}
		if g.each == 1 {
			t.mean = bias + edge[f]
			t.scale = math.Sqrt(variance)
		} else {
			t.mean = edge[f]
			t.scale = math.Sqrt(g.each * (variance + square))
		}
		terms[f] = t
	})
	mean, variance := 0.0, 0.0
	for _, t := range terms {
		mean += t.weight * t.mean
	}
	for _, t := range terms {
		variance += t.weight * (square(t.scale) + square(t.mean-mean))
	}
	rest := max(0, variance-square(e.Reading)*g.square)
	part := g.atWalls()
	return mixture(terms), rest * (1 - part), rest * part
}

// integrate does the integrals over the cells, each once though several fields share it.
func (g *region) integrate() {
	of := map[*shape]*kriging{}
	for _, under := range g.under {
		for _, k := range under {
			of[k.shape] = k
		}
	}
	all := slices.Collect(maps.Values(of))
	inParallel(len(all), func(i int) { all[i].integrate() })
}

// weights returns the weights of a region's shots in the fill by set-up, m², and the sum of their
// squares, m⁴.
func (e *extractor) weights(of []float64) (whole map[string]float64, squares float64) {
	whole = map[string]float64{}
	for v, w := range e.old.Measured(of) {
		squares += w * w
		setup := ""
		if s := e.old.Shot; e.setupOf != nil && s != nil && s[v] >= 0 && w != 0 {
			setup = e.setupOf(e.shots.Shots[s[v]])
		}
		whole[setup] += w
	}
	return whole, squares
}

// atWalls returns the share of what is not known of a region's fill that is in the strip between
// the outermost shots and the walls, under the most likely field.
func (g *region) atWalls() float64 {
	best := 0
	for f, w := range g.fields {
		if w.weight > g.fields[best].weight {
			best = f
		}
	}
	var walls, between float64
	for i, p := range g.pieces {
		k := g.under[best][i]
		inner := make([]float64, len(p.weight))
		for j := range inner {
			inner[j] = p.weight[j] - p.ofWalls[j]
		}
		walls += k.errorOf(p.ofWalls, p.areas(func(c cell) bool { return c.wall }))
		between += k.errorOf(inner, p.areas(func(c cell) bool { return !c.wall }))
	}
	if walls+between == 0 {
		return 0
	}
	return walls / (walls + between)
}

// errorOf returns the variance, in units of the sill, of Σ weight × elevation of the shots without
// their own parts minus Σ area × elevation of the cells.
func (k *kriging) errorOf(weight, area []float64) float64 {
	p := k.p
	n := len(p.x)
	v := 0.0
	for i, w := range weight {
		for j, u := range weight {
			v += w * u * matern(k.c.smooth, p.apart[i*n+j]/k.c.reach)
		}
	}
	for c, q := range p.cells {
		if area[c] == 0 {
			continue
		}
		for i, w := range weight {
			v -= 2 * area[c] * w * matern(k.c.smooth, math.Hypot(q.x-p.x[i], q.y-p.y[i])/k.c.reach)
		}
		v += area[c] * area[c] * k.insideCell(q)
		for d, r := range p.cells[:c] {
			v += 2 * area[c] * area[d] * matern(k.c.smooth, math.Hypot(q.x-r.x, q.y-r.y)/k.c.reach)
		}
	}
	return max(0, v)
}
