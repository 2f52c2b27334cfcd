package flatness

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
)

// Proof is a gap that three shots in a row prove, however far apart shots are elsewhere.
type Proof struct {
	Least   float64     // m: the gap under the edge is at least this somewhere between the ends, with 95 % confidence
	A, B, C surface.Vec // the ends, and the low shot between them
}

const (
	// mostArms is the max length of either arm, from the low shot to an end, in halves of an
	// edge. Own choice: the gap that is proven falls with the product of the arms.
	mostArms = 4
	// mostTried is the number of nearest shots that may be ends. Own choice: more than the 49
	// of a square grid within three of its sides.
	mostTried = 48
	// mostChecked is the number of candidates checked for floor along the whole edge. Own choice.
	mostChecked = 100
)

// Prove returns the largest gap under an edge of a length in m that three shots of f prove,
// whose readings have an error of standard deviation sd, m. False: there are none in a row.
//
// Let C be lower by g than the line between A and B, n and m steps of d away from it, d no
// longer than half the edge. Some three places of the row d apart then have a gap of g/(n·m)
// or more at the middle one: g is the sum of n·m such gaps, with weights. (The discrete
// Green's function of the second difference, of which a textbook has the sum; own derivation
// for this use.) An edge centred on that place covers both others, so it rests at that height
// above it or more, whatever the floor between the shots does. The edge must have floor under
// it in all these places.
//
// The largest of many candidates is chosen: with k of them each must exceed its error by the
// 1 − 0.05/k quantile (Bonferroni).
func Prove(f *surface.Floor, length, sd float64) (Proof, bool) {
	var all []candidate
	for i, r := range f.Regions {
		all = append(all, candidatesOn(r.TIN, i, length, sd)...)
	}
	if len(all) == 0 {
		return Proof{}, false
	}
	z := -math.Sqrt2 * math.Erfinv(2*0.05/float64(len(all))-1)
	for i := range all {
		all[i].least = all[i].gap - z*all[i].sd
	}
	slices.SortFunc(all, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(b.least, a.least), byPlace(a.c, b.c), byPlace(a.a, b.a), byPlace(a.b, b.b))
	})
	for _, p := range all[:min(len(all), mostChecked)] {
		if p.least <= 0 {
			break
		}
		if p.onFloor(f.Regions[p.region], length) {
			return Proof{p.least, p.a, p.b, p.c}, true
		}
	}
	return Proof{}, false
}

func byPlace(a, b surface.Vec) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) }

// candidate is three shots in a row.
type candidate struct {
	a, b, c        surface.Vec
	gap, sd, least float64 // m, of an edge
	step           float64 // m: the gap is of three places this far apart
	region         int
}

// candidatesOn lists the shots of t, of a region, that are below a line between two others in
// a row with them.
func candidatesOn(t *surface.TIN, region int, length, sd float64) (out []candidate) {
	var shots []int32
	for v := range t.Z {
		if t.Fitted == nil || !t.Fitted[v] {
			shots = append(shots, int32(v))
		}
	}
	near := newNearest(t)
	reach := mostArms * length / 2 * (1 + tapes)
	for i, c := range shots {
		ends := near.within(i, reach, mostTried)
		for k, a := range ends {
			for _, b := range ends[k+1:] {
				if p, ok := inRow(t, shots[a], shots[b], c, length, sd); ok {
					p.region = region
					out = append(out, p)
				}
			}
		}
	}
	return out
}

// inRow returns the gap that shot c below the line from a to b proves under an edge.
func inRow(t *surface.TIN, a, b, c int32, length, sd float64) (candidate, bool) {
	ux, uy := t.X[b]-t.X[a], t.Y[b]-t.Y[a]
	span := math.Hypot(ux, uy)
	to := ((t.X[c]-t.X[a])*ux + (t.Y[c]-t.Y[a])*uy) / span
	from := span - to
	aside := math.Abs((t.X[c]-t.X[a])*uy-(t.Y[c]-t.Y[a])*ux) / span
	if !(aside <= tapes*span && to > 0 && from > 0) {
		return candidate{}, false
	}
	gap := (t.Z[a]*from+t.Z[b]*to)/span - t.Z[c]
	steps, step := stepsOf(to, from, length/2)
	if gap <= 0 || steps == 0 {
		return candidate{}, false
	}
	return candidate{a: t.At(a), b: t.At(b), c: t.At(c), gap: gap / steps, sd: GapSD(sd, from/span) / steps, step: step}, true
}

// stepsOf returns the least product of the numbers of equal steps in two lengths, of steps up
// to most, and that step, m; 0 if there are none. A length may differ from whole steps as much
// as a tape does.
func stepsOf(a, b, most float64) (product, step float64) {
	for n := 1.0; n <= mostArms; n++ {
		d := a / n
		m := math.Round(b / d)
		if d <= most*(1+tapes) && m >= 1 && m <= mostArms && math.Abs(m*d-b) <= tapes*b && (product == 0 || n*m < product) {
			product, step = n*m, d
		}
	}
	return product, step
}

// onFloor reports whether an edge of a length centred anywhere from a step after a to a step
// before b has floor of its region under it: looked at every twentieth of the edge.
func (p *candidate) onFloor(r surface.Region, length float64) bool {
	on := r.TIN.Locator()
	span := p.a.Distance(p.b)
	over := max(0, length/2-p.step)
	n := int(math.Ceil((span + 2*over) / (length / 20)))
	for i := range n + 1 {
		u := (-over + (span+2*over)*float64(i)/float64(n)) / span
		if i == 0 || i == n { // the ends may be on a wall
			u += (0.5 - float64(i)/float64(n)) * 1e-6
		}
		at := surface.Vec{X: p.a.X + u*(p.b.X-p.a.X), Y: p.a.Y + u*(p.b.Y-p.a.Y)}
		if _, _, ok := on.At(at); !ok {
			return false
		}
	}
	return true
}

// within returns the readings within a distance of reading a, the nearest first, at most so
// many.
func (n *nearest) within(a int, distance float64, most int) []int {
	type other struct {
		i int
		d float64
	}
	var all []other
	lo, hi := n.square(n.x[a]-distance, n.y[a]-distance), n.square(n.x[a]+distance, n.y[a]+distance)
	for j := lo[1]; j <= hi[1]; j++ {
		for i := lo[0]; i <= hi[0]; i++ {
			c := j*n.wide + i
			for _, r := range n.list[n.first[c]:n.first[c+1]] {
				if d := math.Hypot(n.x[r]-n.x[a], n.y[r]-n.y[a]); int(r) != a && d <= distance {
					all = append(all, other{int(r), d})
				}
			}
		}
	}
	slices.SortFunc(all, func(p, q other) int {
		return cmp.Or(cmp.Compare(p.d, q.d), cmp.Compare(n.x[p.i], n.x[q.i]), cmp.Compare(n.y[p.i], n.y[q.i]))
	})
	var out []int
	for _, o := range all[:min(len(all), most)] {
		out = append(out, o.i)
	}
	return out
}

// square returns the cell of a place, or the nearest one.
func (n *nearest) square(x, y float64) [2]int {
	return [2]int{min(max(int(math.Floor((x-n.x0)/n.cell)), 0), n.wide-1), min(max(int(math.Floor((y-n.y0)/n.cell)), 0), n.high-1)}
}

// ProveDatum returns the max departure of the shots of f from target, up or down, less what
// their error may explain, and the place of that shot: 95 % confidence, as in [Prove]. sd is of
// one reading, setup of the error that all share, m.
func ProveDatum(f *surface.Floor, target surface.Target, sd, setup float64) (Proof, bool) {
	shots, _ := CountShots(f, target, 0)
	if shots.N == 0 {
		return Proof{}, false
	}
	most := AtShots(f, target)
	z := -math.Sqrt2 * math.Erfinv(2*0.05/float64(shots.N)-1)
	return Proof{most.Value - z*math.Hypot(sd, setup), most.From, most.From, most.From}, true
}
