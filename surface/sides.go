package surface

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"pourplane/surface/internal/plan"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// sharedShot is a shot on an edge of several regions.
type sharedShot struct {
	shot    int32
	regions []*region
	side    *region // the region it was given to, nil: all of them
}

// A shot on the common edge of two regions was read on one of them. It is given to the one
// whose nearest shots it agrees with, if there is no doubt. All bounds are our own choice
// (common practice, no source: rods are read to some millimetres, and a step to be poured is
// 20 mm or more).
const (
	mostNear     = 6     // max shots used of each side, plus those as near as the last
	leastScatter = 0.005 // m: min scatter of the shots of a side
	fitting      = 3.0   // max scatters from the mean of its side
	missing      = 4.0   // min times farther from the mean of the other side
	leastStep    = 0.020 // m, min between the two means
)

// sideHeight is the mean elevation of a region's shots near a place, m, and their standard
// deviation, at least leastScatter.
type sideHeight struct{ mean, scatter float64 }

// off returns the distance of z from the mean, m.
func (h sideHeight) off(z float64) float64 { return math.Abs(z - h.mean) }

// fits reports whether z is as close to the mean as one of the shots might be.
func (h sideHeight) fits(z float64) bool { return h.off(z) <= fitting*h.scatter }

// clearlyOf reports whether z belongs to the side of height h and not to the other.
func clearlyOf(z float64, h, other sideHeight) bool {
	return h.fits(z) && !other.fits(z) && other.off(z) >= missing*h.off(z) && math.Abs(h.mean-other.mean) >= leastStep
}

// findSides gives shots on the edge between two regions to one of them, if the shots inside
// the two leave no doubt. It uses only shots in one region alone, so that no answer depends
// on another.
func (b *builder) findSides() {
	if len(b.shared) == 0 {
		return
	}
	on := map[int32]bool{}
	for _, s := range b.shared {
		on[s.shot] = true
	}
	inside := map[*region]*plan.Neighbours{}
	given := map[*region]map[int32]bool{} // to the other side, per region
	for i := range b.shared {
		s := &b.shared[i]
		if len(s.regions) != 2 {
			continue
		}
		var h [2]sideHeight
		known := true
		for j, r := range s.regions {
			n, ok := inside[r]
			if !ok {
				n = b.ownShots(r, on)
				inside[r] = n
			}
			if known = known && n != nil; known {
				h[j] = b.heightAt(b.shot[s.shot], n)
			}
		}
		z := b.data.Shots[s.shot].Z
		for j, r := range s.regions {
			if known && clearlyOf(z, h[j], h[1-j]) {
				s.side = r
				other := s.regions[1-j]
				if given[other] == nil {
					given[other] = map[int32]bool{}
				}
				given[other][s.shot] = true
			}
		}
	}
	for r, shots := range given {
		r.shots = slices.DeleteFunc(r.shots, func(i int32) bool { return shots[i] })
	}
}

// ownShots returns a finder of the shots of r that are not on shared edges; nil if they are
// too few to determine its surface alone.
func (b *builder) ownShots(r *region, on map[int32]bool) *plan.Neighbours {
	own := slices.DeleteFunc(slices.Clone(r.shots), func(i int32) bool { return on[i] })
	if len(own) == 0 {
		return nil
	}
	first := b.shot[own[0]]
	second := max(0, slices.IndexFunc(own, func(i int32) bool { return b.shot[i] != first }))
	if !slices.ContainsFunc(own, func(i int32) bool { return plan.Orient(first, b.shot[own[second]], b.shot[i]) != 0 }) {
		return nil
	}
	return plan.NewNeighbours(b.shot, own)
}

// heightAt returns the height of the shots of n near p.
func (b *builder) heightAt(p Vec, n *plan.Neighbours) sideHeight {
	var z []float64
	for _, i := range n.Around(p, mostNear) {
		z = append(z, b.data.Shots[i].Z)
	}
	slices.Sort(z) // so that sums do not depend on row order
	var total, squares sum.Sum
	for _, x := range z {
		total.Add(x)
	}
	mean := total.Value() / float64(len(z))
	for _, x := range z {
		squares.Add((x - mean) * (x - mean))
	}
	return sideHeight{mean, max(leastScatter, math.Sqrt(squares.Value()/float64(len(z)-1)))}
}

// mostNamed is the max number of shots that a note names.
const mostNamed = 8

// regionNames joins the names of the regions of s.
func (s sharedShot) regionNames() string {
	var names []string
	for _, r := range s.regions {
		names = append(names, cmp.Or(r.name, "the floor"))
	}
	slices.Sort(names)
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// judgeShared lists the shots on common edges that were given to one side, and warns of the
// others: a shot read on one side of a step is then used for both sides, which makes a hump
// or a hollow beside it.
func (b *builder) judgeShared() {
	groups := map[[2]string][]sharedShot{} // by regions and side
	for _, s := range b.shared {
		key := [2]string{s.regionNames()}
		if s.side != nil {
			key[1] = cmp.Or(s.side.name, "the floor")
		}
		groups[key] = append(groups[key], s)
	}
	keys := slices.SortedFunc(maps.Keys(groups), func(j, k [2]string) int {
		return cmp.Or(cmp.Compare(j[0], k[0]), cmp.Compare(j[1], k[1]))
	})
	for _, key := range keys {
		group := groups[key]
		slices.SortFunc(group, func(s, t sharedShot) int {
			p, q := b.data.Shots[s.shot], b.data.Shots[t.shot]
			return cmp.Or(cmp.Compare(p.At().File, q.At().File), cmp.Compare(p.At().Line, q.At().Line), cmp.Compare(p.At().Col, q.At().Col), cmp.Compare(p.Name(), q.Name()), cmp.Compare(s.shot, t.shot))
		})
		outers := map[string]bool{}
		var named []string
		for _, s := range group {
			if name := b.data.Shots[s.shot].Name(); name != "" && len(named) < mostNamed {
				named = append(named, name)
			}
			for _, r := range s.regions {
				outers[r.outer] = true
			}
		}
		who := ""
		if len(named) > 0 {
			if len(named) < len(group) {
				named = append(named, "…")
			}
			who = " (" + strings.Join(named, ", ") + ")"
		}
		what, were := "1 shot is", "it was"
		if len(group) > 1 {
			what, were = fmt.Sprintf("%d shots are", len(group)), "they were"
		}
		how := "draw the edge beside the shots"
		if len(outers) > 1 {
			how = "name the side in a column part, or " + how
		}
		if key[1] != "" {
			agree, used := "agrees", "it is"
			if len(group) > 1 {
				agree, used = "agree", "they are"
			}
			b.floor.Notes = append(b.floor.Notes, survey.Notef(survey.Assumed, b.data.Shots[group[0].shot].At(), "%s on the edge between %s%s and %s with the other shots of %s: %s used for %s alone; if that is wrong, %s",
				what, key[0], who, agree, key[1], used, key[1], how).About(survey.AboutDepth))
			continue
		}
		b.floor.Notes = append(b.floor.Notes, survey.Notef(survey.Warning, b.data.Shots[group[0].shot].At(), "%s on the edge between %s%s: which side %s read on is not known, so both sides are taken at that height; %s",
			what, key[0], who, were, how).About(survey.AboutDepth))
	}
}
