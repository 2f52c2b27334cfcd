package surface

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface/internal/plan"
	"pourplane/survey"
)

// cornerZ is the elevation that an outline or opening gives one of its corners.
type cornerZ struct {
	floor int // the outline whose floor has it, see [builder.floorOf]
	z     float64
	at    survey.Pos
}

// giveCorner keeps the elevation that ring i gives its corner at vertex v. Outlines that
// share a corner may give it different elevations: the floor of each has its own.
func (b *builder) giveCorner(i int, v int32, p survey.Point) error {
	if !p.HasZ() {
		return nil
	}
	floor := b.floorOf(i)
	for _, c := range b.corners[v] {
		if c.floor == floor && math.Abs(c.z-p.Z) > sameElevation {
			return b.twoElevations(b.K[v], c.at, c.z, p.At(), p.Z)
		}
	}
	b.corners[v] = append(b.corners[v], cornerZ{floor, p.Z, p.At()})
	return nil
}

// floorOf returns the outline whose floor the elevations of ring i are read on: an outline's
// own, or the floor around an opening.
func (b *builder) floorOf(i int) int {
	r := b.rings[i]
	if r.kind == survey.Outer {
		return i
	}
	around := i
	for j, s := range b.rings {
		if s.kind != survey.Outer || s.area <= r.area || around != i && s.area >= b.rings[around].area {
			continue
		}
		if s.tree == nil {
			s.tree = plan.NewEdgeTree(plan.RingEdges(s.k, 0))
		}
		if !slices.ContainsFunc(r.k, func(k Vec) bool { return s.tree.Side(k) == plan.Outside }) {
			around = j
		}
	}
	return around
}

// lineThrough checks that a line with elevation z at vertex v agrees with the outlines there.
func (b *builder) lineThrough(v int32, p survey.Point) error {
	for _, c := range b.corners[v] {
		if math.Abs(c.z-p.Z) > sameElevation { // not if the line has none
			return b.twoElevations(b.K[v], c.at, c.z, p.At(), p.Z)
		}
	}
	return nil
}

// elevationIn returns the elevation of vertex v on the floor of r, from its outline, an
// opening in it or a line, and where it was read; NaN for none.
func (b *builder) elevationIn(r *region, v int32) (float64, survey.Pos) {
	for _, c := range b.corners[v] {
		if c.floor == r.ring {
			return c.z, c.at
		}
	}
	return b.z[v], b.at[v]
}

// ofLine returns the elevation of a line at its vertex v. Without one of its own it is that
// of the corner it is at, if the outlines there agree; NaN for none.
func (b *builder) ofLine(v int32) float64 {
	z := b.z[v]
	for _, c := range b.corners[v] {
		switch {
		case math.IsNaN(z):
			z = c.z
		case math.Abs(z-c.z) > sameElevation:
			return math.NaN()
		}
	}
	return z
}

// noteCorners lists the outlines whose corner elevations are not used for the region on the
// other side of the edge.
func (b *builder) noteCorners() {
	for _, r := range b.regions {
		of := map[int][]cornerZ{} // by outline
		for _, e := range r.edge {
			if z, _ := b.elevationIn(r, e.a); !math.IsNaN(z) {
				continue
			}
			for _, c := range b.corners[e.a] {
				of[c.floor] = append(of[c.floor], c)
			}
		}
		for i, ring := range b.rings {
			if len(of[i]) == 0 {
				continue
			}
			name, other := cmp.Or(ring.name, "the floor"), cmp.Or(r.name, "the floor")
			b.floor.Notes = append(b.floor.Notes, survey.Notef(survey.Assumed, firstOf(of[i]), "the outline gives an elevation to %s of %s on the edge to %s: it is used for %s alone, and %s follows its own shots there; if that is wrong, shoot %s at that edge and name it in a column part",
				survey.Plural(len(of[i]), "corner"), name, other, name, other, other).About(survey.AboutDepth))
		}
	}
}

// warnOfStepCorners warns of corners with one elevation at which a step ends: one of the two
// floors then rises or falls to that corner.
func (b *builder) warnOfStepCorners() {
	on := map[int32]bool{}
	for _, c := range b.parting {
		for _, v := range c.v {
			on[v] = len(b.corners[v]) > 0
		}
	}
	sides := map[cornerZ]int{} // floors that take it
	for _, r := range b.regions {
		for _, e := range r.edge {
			for _, c := range b.corners[e.a] {
				if on[e.a] && c.floor == r.ring {
					sides[c]++
				}
			}
		}
	}
	of := map[int][]cornerZ{} // by outline
	for c, n := range sides {
		if n > 1 {
			of[c.floor] = append(of[c.floor], c)
		}
	}
	for i, ring := range b.rings {
		if len(of[i]) == 0 {
			continue
		}
		b.floor.Notes = append(b.floor.Notes, survey.Notef(survey.Warning, firstOf(of[i]), "the outline gives one elevation to %s of %s where a step ends: which side it was read on is not known, so both sides are taken at that height; leave it out, or give each side an outline of its own",
			survey.Plural(len(of[i]), "corner"), cmp.Or(ring.name, "the floor")).About(survey.AboutDepth))
	}
}

// firstOf returns where the first of some elevations was read.
func firstOf(some []cornerZ) survey.Pos {
	return slices.MinFunc(some, func(c, d cornerZ) int { return cmp.Compare(c.at.Line, d.at.Line) }).at
}
