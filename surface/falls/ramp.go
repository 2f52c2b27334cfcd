package falls

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
)

// Threshold is what a ramp joins the target to: a place at a wall, or the straight line between two.
type Threshold struct {
	Name  string
	At    surface.Vec
	Line  bool
	To    surface.Vec   // the other end of a line
	Z, Zo float64       // m, of the fill at At and at To
	More  []surface.Vec // shots between the ends of a line
}

// Slant is a ramp that is wanted: with a slope, or with a length.
type Slant struct {
	Threshold
	Slope  float64 // rise over run; 0: it follows from the length
	Length float64 // m, square to the wall from the middle of the threshold
}

// Ramp is a strip of one slope between a threshold and the target: it has the elevation of the
// threshold less the slope times the shortest way there inside the walls, or plus it.
type Ramp struct {
	Slant                   // with its slope and its length
	Rise    float64         // m, from End to the middle of the threshold: slope times length; below 0: down to the threshold
	From    surface.Vec     // the middle of the threshold, on the wall
	End     surface.Vec     // where it meets the target, square to the wall
	Cross   float64         // rise over run, along a line
	Area    float64         // m²
	Outline [][]surface.Vec // of the strip
	feet    [2]surface.Vec  // the threshold on the wall
	strip   *surface.TIN    // where it is past the target
}

// Ramped is a target with ramps.
type Ramped struct {
	Target surface.Target
	Ramps  []Ramp      // in the order asked for
	Flush  []Threshold // those that need none
}

// flush is the rise, m, below which a ramp is not needed: a shot is no better. Own choice.
const flush = 0.0005

// WithRamps returns base, a [surface.Plane] or [surface.Shape], with ramps to thresholds at the
// walls of f. The triangles of a ramp are within 0.05 mm of its surface. Where ramps overlap the
// higher of two up to their thresholds counts, or the lower of two down to them. Errors are
// [*survey.Error].
func WithRamps(f *surface.Floor, base surface.Target, wanted []Slant) (*Ramped, error) {
	w := wallsOf(f)
	out := &Ramped{}
	var all []*laid
	for i, s := range wanted {
		l := &laid{f: f, w: w, base: base, order: i, Ramp: Ramp{Slant: s}}
		needed, err := l.settle()
		if err != nil {
			return nil, err
		}
		if !needed {
			out.Flush = append(out.Flush, s.Threshold)
			continue
		}
		all = append(all, l)
	}
	// Up to thresholds first; and no result depends on the order they come in.
	slices.SortFunc(all, func(a, b *laid) int {
		return cmp.Or(cmp.Compare(b.sign, a.sign), byPlace(a.at, b.at), byPlace(a.to, b.to))
	})
	target := base
	for i, l := range all {
		if err := l.apart(all[:i]); err != nil {
			return nil, err
		}
		if err := l.cone(); err != nil {
			return nil, err
		}
		if err := l.cut(base); err != nil {
			return nil, err
		}
		meets, err := l.meets(all[:i])
		if err != nil {
			return nil, err
		}
		if meets {
			if err := l.cut(target); err != nil {
				return nil, err
			}
		}
		target = surface.NewRamp(l.whole, l.sign < 0, l.bends(target), l.doors(), target)
	}
	for _, l := range all {
		if err := l.reached(all, target); err != nil {
			return nil, err
		}
		l.Area, l.Outline = l.strip.PlanArea(), l.strip.Borders()
	}
	slices.SortFunc(all, func(a, b *laid) int { return a.order - b.order })
	for _, l := range all {
		out.Ramps = append(out.Ramps, l.Ramp)
	}
	out.Target = target
	return out, nil
}

// laid is a ramp in the making. Places in lower case are in metres from the origin of the walls.
type laid struct {
	Ramp
	f           *surface.Floor
	w           *walls
	base        surface.Target
	order       int
	sign        float64      // 1: up to the threshold, -1: down to it
	at, to      vec          // the threshold, on the wall
	mid, inward vec          // its middle, and the direction square to it into the floor
	free        float64      // m, how far it is that way to the next wall
	whole       *surface.TIN // the surface of even slope, as far as the target is anywhere
}

// settle puts the threshold on its wall and works out slope and length. It reports whether a ramp
// is needed.
func (l *laid) settle() (bool, error) {
	if err := l.check(); err != nil {
		return false, err
	}
	var err error
	if l.at, err = l.foot(l.At); err != nil {
		return false, err
	}
	l.to = l.at
	if l.Line {
		if l.to, err = l.foot(l.To); err != nil {
			return false, err
		}
		if l.to.Less(l.at) {
			l.at, l.to, l.Z, l.Zo, l.At, l.To = l.to, l.at, l.Zo, l.Z, l.To, l.At
		}
		if err := l.onFloor(); err != nil {
			return false, err
		}
		l.Cross = math.Abs(l.Z-l.Zo) / l.at.Distance(l.to)
	} else {
		l.Zo = l.Z
	}
	l.feet = [2]surface.Vec{l.w.site(l.at), l.w.site(l.to)}
	l.mid = between(l.at, l.to, 0.5)
	l.From = l.w.site(l.mid)
	ends := [3]float64{l.Z - l.base.Elevation(l.feet[0]), l.Zo - l.base.Elevation(l.feet[1]), (l.Z+l.Zo)/2 - l.base.Elevation(l.From)}
	least, most := slices.Min(ends[:]), slices.Max(ends[:])
	switch {
	case least > -flush && most < flush:
		return false, nil
	case least < -flush && most > flush:
		return false, l.both(least, most)
	}
	if l.sign = 1; most+least < 0 {
		l.sign = -1
	}
	if err := l.axis(); err != nil {
		return false, err
	}
	return true, l.grade()
}

// foot returns the place on the walls nearest to p.
func (l *laid) foot(p surface.Vec) (vec, error) {
	const at = 1e-6 // m: nearer to a corner than anything is built
	q := l.w.local(p)
	near, e, away := l.w.nearest(q)
	for _, c := range [2]int{l.w.edges[e].a, l.w.edges[e].b} {
		if k := l.w.corners[c].at; k.Distance(near) <= at {
			near = k
		}
	}
	most := besideWall
	if l.f.Hull {
		most += l.f.Spacing()
	}
	inside := l.w.inside(q)
	if inside {
		most = insideWall
	}
	if away > most {
		return near, l.farOff(away, most, inside)
	}
	return near, nil
}

// axis finds the direction square to the threshold into the floor: of one place at a corner, half
// way between its walls.
func (l *laid) axis() error {
	var ways []vec
	if l.Line {
		e := times(1/l.at.Distance(l.to), minus(l.to, l.at))
		ways = []vec{{X: -e.Y, Y: e.X}, {X: e.Y, Y: -e.X}}
	} else {
		for _, open := range l.w.open(l.mid) {
			sin, cos := math.Sincos(open.from + open.wide/2)
			ways = append(ways, vec{X: cos, Y: sin})
		}
	}
	for _, d := range ways {
		if free := l.w.free(l.mid, d); free > l.free {
			l.free, l.inward = free, d
		}
	}
	if l.free == 0 {
		return l.leaves()
	}
	return nil
}

// free returns how far it is from a place at a wall in direction d to the next wall, m; 0 if it
// leads out of the floor.
func (w *walls) free(p, d vec) float64 {
	const start = 1e-4 // m
	far := math.Inf(1)
	for e := range w.edges {
		a, b := w.ends(e)
		h, along := dot(w.edges[e].out, minus(a, p)), dot(w.edges[e].out, d)
		if along <= 1e-12 || h < start*along {
			continue
		}
		r := h / along
		at := plus(p, times(r, d))
		if at.Distance(at.NearestOn(a, b)) <= close {
			far = min(far, r)
		}
	}
	if math.IsInf(far, 1) || !w.inside(plus(p, times(min(start, far/2), d))) {
		return 0
	}
	return far
}

// left returns how far the ramp is from the target at distance d along its axis if it has slope s, m;
// below 0 beyond the place where they meet.
func (l *laid) left(s, d float64) float64 {
	z := (l.Z + l.Zo) / 2
	return l.sign*(z-l.base.Elevation(l.w.site(plus(l.mid, times(d, l.inward))))) - s*d
}

// grade works out the length from the slope, or the slope from the length.
func (l *laid) grade() error {
	if l.Slope == 0 {
		if l.Length > l.free+close {
			return l.tooLong()
		}
		rise := l.left(0, l.Length)
		if rise <= 0 {
			return l.noRise()
		}
		l.Slope = rise / l.Length
		if l.Slope > steepestRamp*(1+1e-9) {
			return l.tooSteep(rise)
		}
	} else {
		const step = 0.01 // m
		d := 0.0
		for l.left(l.Slope, d) > 0 {
			if d == l.free {
				return l.neverMeets()
			}
			d = min(d+step, l.free)
		}
		least, most := max(0, d-step), d
		for range 60 {
			if mid := (least + most) / 2; l.left(l.Slope, mid) > 0 {
				least = mid
			} else {
				most = mid
			}
		}
		l.Length = most
	}
	l.End = l.w.site(plus(l.mid, times(l.Length, l.inward)))
	l.Rise = l.sign * l.Slope * l.Length
	return nil
}

// reach returns how far from its threshold the ramp can go, m.
func (l *laid) reach() float64 {
	least, greatest, _, _ := l.f.RangeOf(l.base)
	high := max(l.sign*l.Z, l.sign*l.Zo) - min(l.sign*least, l.sign*greatest)
	return max(high, flush) / l.Slope
}

// cone makes the surface of even slope round the threshold, as far as the target is anywhere.
func (l *laid) cone() error {
	far := l.reach()
	w := l.w.around(l.at, l.to, far)
	s := settled{Drain: Drain{Channel: l.Line}, at: l.at, to: l.to}
	sources := w.spread(sourcesOf(w, []settled{s}, func(*settled) float64 { return 0 }))
	if l.Cross > 0 {
		for i := range sources {
			if k := &sources[i]; k.corner >= 0 && k.w < far {
				return l.crooked(w.site(k.at))
			}
		}
	}
	c := w.divide(sources)
	form := &form{sources: sources, fall: l.Slope}
	f, err := newMesh(c, form, l.Slope*far).floor()
	if err != nil {
		return err
	}
	for _, r := range f.Regions {
		t := r.TIN
		for v, down := range t.Z {
			z := l.Z
			if l.Line {
				z += t.At(int32(v)).Along(l.feet[0], l.feet[1]) * (l.Zo - l.Z)
			}
			t.Z[v] = z - l.sign*down
		}
	}
	least, greatest, _, _ := l.f.RangeOf(l.base)
	end := least
	if l.sign < 0 {
		end = greatest
	}
	l.whole, err = f.Over(surface.Horizontal(end), l.sign < 0, l.From)
	return err
}

// cut makes the strip: the part of the ramp that is past a target.
func (l *laid) cut(target surface.Target) (err error) {
	f := &surface.Floor{Regions: []surface.Region{{TIN: l.whole}}}
	if l.strip, err = f.Over(target, l.sign < 0, l.From); err == nil && l.strip == nil {
		return l.covered(nil)
	}
	return err
}

// bends are the lines of the strip: its edge but for walls, and the lines of the cone inside it.
func (l *laid) bends(target surface.Target) [][2]surface.Vec {
	const at = 1e-7 // m
	var out [][2]surface.Vec
	elevation := l.whole.Locator()
	for _, e := range l.strip.Edges() {
		mid := between(e[0], e[1], 0.5)
		if z, _, ok := elevation.At(mid); ok && math.Abs(z-target.Elevation(mid)) <= at {
			out = append(out, e)
		}
	}
	t := l.whole
	for h, w := range t.Twin {
		if w < int32(h) {
			continue // of both sides of a line one
		}
		a, b := t.At(t.V[h]), t.At(t.V[surface.Next(int32(h))])
		from, to := 1.0, 0.0
		for v := range l.strip.X {
			p := l.strip.At(int32(v))
			if k := p.Along(a, b); p.Distance(between(a, b, k)) <= at {
				from, to = min(from, k), max(to, k)
			}
		}
		if from < to {
			out = append(out, [2]surface.Vec{between(a, b, from), between(a, b, to)})
		}
	}
	return out
}

// doors are the shots of the threshold with the elevation of the fill there.
func (l *laid) doors() map[surface.Vec]float64 {
	out := map[surface.Vec]float64{l.At: l.Z}
	if l.Line {
		out[l.To] = l.Zo
		for _, p := range l.More {
			out[p] = l.Z + p.Along(l.feet[0], l.feet[1])*(l.Zo-l.Z)
		}
	}
	return out
}

// around returns the walls of the floor that a threshold is on, with the openings within a
// distance of it.
func (w *walls) around(a, b vec, far float64) *walls {
	type loop struct {
		k     []vec
		area  float64
		holds bool
		near  float64
	}
	var loops []loop
	for _, ring := range w.rings {
		l := loop{near: math.Inf(1)}
		var area sum.Sum
		for _, c := range ring {
			p, q := w.ends(w.corners[c].out)
			l.k = append(l.k, vec{X: math.Round(p.X * w.Per), Y: math.Round(p.Y * w.Per)})
			area.Add(cross(minus(p, a), minus(q, a)) / 2)
			l.near = min(l.near, a.Distance(a.NearestOn(p, q)), p.Distance(p.NearestOn(a, b)), q.Distance(q.NearestOn(a, b)))
			l.holds = l.holds || a.Distance(a.NearestOn(p, q)) <= 2*close
		}
		l.area = area.Value()
		loops = append(loops, l)
	}
	// The least outer ring that has the threshold on it, or round it.
	best := -1
	for i, l := range loops {
		if l.area > 0 && (l.holds || inRing(l.k, w.Per, a)) && (best < 0 || l.area < loops[best].area) {
			best = i
		}
	}
	out := &walls{NanoGrid: w.NanoGrid}
	out.addRing(loops[best].k)
	for _, l := range loops {
		if l.area < 0 && l.near <= far && inRing(loops[best].k, w.Per, between(times(1/w.Per, l.k[0]), times(1/w.Per, l.k[1]), 0.5)) {
			out.addRing(l.k)
		}
	}
	return out
}

// inRing reports whether a place is inside a ring of places in steps.
func inRing(k []vec, per float64, p vec) bool {
	in := false
	for i, a := range k {
		b := k[(i+1)%len(k)]
		a, b = times(1/per, a), times(1/per, b)
		if (a.Y > p.Y) != (b.Y > p.Y) && (cross(minus(b, a), minus(p, a)) > 0) == (b.Y > a.Y) {
			in = !in
		}
	}
	return in
}

// Covers reports whether the strip of r has a place.
func (r *Ramp) Covers() func(at surface.Vec) bool {
	locator := r.strip.Locator()
	return func(at surface.Vec) bool {
		_, _, ok := locator.At(at)
		return ok
	}
}

// Feet returns the ends of the threshold on the wall; one place twice if it is no line.
func (r *Ramp) Feet() (a, b surface.Vec) { return r.feet[0], r.feet[1] }

// Feather returns where a floor, filled to target, has less than a least depth inside the ramp. It
// is nowhere if the fill is as shallow there without ramps.
func (r *Ramp) Feather(f *surface.Floor, target surface.Target, least float64) (surface.Shallow, error) {
	const most = 0.99 // of the place; own choice
	split, err := f.Under(target)
	if err != nil {
		return surface.Shallow{}, err
	}
	covers := r.Covers()
	thin, err := split.Shallow(target, least, covers, r.feet[0], r.feet[1])
	if err != nil {
		return surface.Shallow{}, err
	}
	without, err := split.Shallow(surface.WithoutRamps(target), least, covers, r.feet[0], r.feet[1])
	if err != nil || without.Area >= most*thin.Area {
		return surface.Shallow{}, err
	}
	return thin, nil
}
