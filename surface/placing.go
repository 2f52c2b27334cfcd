package surface

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/surface/internal/plan"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// atWall is how far outside an outline a shot still counts as at the wall, m. Places in plan
// are measured with tapes, to half a centimetre at best (common practice, no source), and
// rotation or rounding moves a wall shot by less.
const atWall = 0.005

// wallShot is a shot just outside the outline and the nearest place on the outline.
type wallShot struct {
	shot int32
	part string
	foot Vec
	off  float64 // steps
}

// placeShots gives each shot to its region.
func (b *builder) placeShots() error {
	named := map[string]bool{}
	for _, r := range b.regions {
		if r.outer != "" {
			named[strings.ToLower(r.outer)] = true
		}
	}
	var near []wallShot
	beyond := 0
	squares := b.newSquares()
	if squares != nil {
		b.byLine = make([]bool, len(b.shot))
		if len(b.regions) == 1 {
			b.regions[0].shots = make([]int32, 0, len(b.shot))
		}
	}
	for i := range b.shot {
		if squares != nil {
			if r := squares.at(b.shot[i]); r >= 0 {
				b.regions[r].shots = append(b.regions[r].shots, int32(i))
				continue
			}
			b.byLine[i] = true
		}
		p := &b.data.Shots[i]
		part := ""
		if p.Part() != "" && named[strings.ToLower(p.Part())] {
			part = p.Part()
		}
		placed, elsewhere := b.place(int32(i), part)
		if placed {
			continue
		}
		if elsewhere == "" {
			if w := b.toWall(int32(i), b.shot[i], part); w.off <= atWall*b.Per {
				near = append(near, w)
				continue
			}
		}
		if b.leaveOut(i, part, elsewhere) {
			beyond++
		}
		b.outside++
	}
	if !b.floor.Hull && 2*b.outside > len(b.shot) && !b.anyInside() {
		return b.missed("no shot inside it")
	}
	b.floor.Elsewhere = b.togetherInPlan(beyond)
	b.warnBeyond(beyond)
	b.warnSmallPart()
	b.moveToWalls(near)
	b.findSides()
	b.judgeShared()
	b.noteCorners()
	b.warnOfStepCorners()
	for _, r := range b.regions {
		if len(r.shots) == 0 && !b.enoughOnBorder(r) {
			at := survey.Pos{}
			for _, ring := range b.rings {
				if ring.name == r.outer {
					at = ring.points[0].At()
				}
			}
			hint := "are outline and survey in the same unit, and x and y in the same order?"
			if 2*b.outside <= len(b.shot) {
				hint = moreShots
			}
			return &survey.Error{Pos: at, Element: ringName(survey.Ring{Name: r.name}),
				Found: "no shot inside it", Want: "at least 3 shots", Hint: hint, Ask: anotherOutline}
		}
	}
	return nil
}

// place gives a shot to the regions it is in or on. If it is marked for another region,
// elsewhere is the region it is in.
func (b *builder) place(i int32, part string) (placed bool, elsewhere string) {
	var first *region
	var in []*region // if several
	for _, r := range b.regionsAt(b.shot[i]) {
		b.edges = r.tree.On(b.shot[i], b.edges[:0])
		if len(b.edges) == 0 && r.tree.Side(b.shot[i]) == plan.Outside {
			continue
		}
		if part != "" && !strings.EqualFold(part, r.outer) {
			elsewhere = r.name
			continue
		}
		r.shots = append(r.shots, i)
		for _, e := range b.edges {
			r.edge[e.At].shots = append(r.edge[e.At].shots, i)
		}
		switch {
		case first == nil:
			first = r
		case in == nil:
			in = []*region{first, r}
		default:
			in = append(in, r)
		}
	}
	if len(in) > 1 {
		b.shared = append(b.shared, sharedShot{shot: i, regions: in})
	}
	return first != nil, elsewhere
}

// toWall returns the nearest place on a wall to shot i, which is at a place.
func (b *builder) toWall(i int32, at Vec, part string) wallShot {
	w := wallShot{shot: i, part: part, off: math.Inf(1)}
	reach := math.Inf(1)
	b.nearRegions(at, &reach, func(r *region) {
		if part != "" && !strings.EqualFold(part, r.outer) {
			return
		}
		r.tree.Near(at, &reach, func(e *plan.Edge) {
			foot := e.Nearest(at)
			foot = Vec{X: math.Round(foot.X), Y: math.Round(foot.Y)}
			if off := foot.Distance(at); off < w.off || off == w.off && foot.Less(w.foot) {
				w.foot, w.off = foot, off
				reach = w.off + 1 // the foot is rounded to a step
			}
		})
	})
	return w
}

// moveToWalls makes wall shots of those just outside. Of several at one place, only one is
// kept; where the outline or a shot already has an elevation, none is. The others are left
// out, as is any shot outside.
func (b *builder) moveToWalls(near []wallShot) {
	if len(near) == 0 {
		return
	}
	taken := map[Vec]bool{}
	for v, k := range b.K {
		taken[k] = !math.IsNaN(b.z[v]) || len(b.corners[int32(v)]) > 0
	}
	for _, r := range b.regions {
		for _, e := range r.edge {
			for _, i := range e.shots {
				taken[b.shot[i]] = true
			}
		}
	}
	slices.SortFunc(near, func(v, w wallShot) int {
		return cmp.Or(cmp.Compare(v.off, w.off), cmp.Compare(b.data.Shots[v.shot].Z, b.data.Shots[w.shot].Z), cmp.Compare(v.shot, w.shot))
	})
	moved, farthest := 0, wallShot{}
	for _, w := range near {
		if !taken[w.foot] {
			taken[w.foot] = true
			from := b.shot[w.shot]
			b.shot[w.shot] = w.foot
			if placed, _ := b.place(w.shot, w.part); placed {
				moved, farthest = moved+1, w
				continue
			}
			b.shot[w.shot] = from
		}
		b.leaveOut(int(w.shot), w.part, "")
	}
	if moved > 0 {
		what := "1 shot"
		if moved > 1 {
			what = fmt.Sprintf("%d shots", moved)
		}
		b.note(survey.Assumed, b.data.Shots[farthest.shot].At(), "%s outside the outline, by max %s: taken as at the wall", what, unit.FineDepth(max(farthest.off/b.Per, 0.001)))
	}
}

func (b *builder) enoughOnBorder(r *region) bool {
	n := 0
	for _, e := range r.edge {
		if z, _ := b.elevationIn(r, e.a); !math.IsNaN(z) {
			n++
		}
	}
	return n >= 3
}

// leaveOut leaves out a shot that is in no region and reports whether it is outside the
// walls.
func (b *builder) leaveOut(i int, part, elsewhere string) (beyond bool) {
	p := b.data.Shots[i]
	name := cmp.Or(p.Name(), "shot")
	if elsewhere != "" {
		b.drop(int32(i), "%s is marked for region %q but is in %q", name, part, elsewhere)
		return false
	}
	beyond = true
	best, where := b.toEdge(b.shot[i]), "outside the outline"
	for _, ring := range b.rings {
		if ring.kind != survey.Hole {
			continue
		}
		if ring.tree == nil {
			ring.tree = plan.NewEdgeTree(plan.RingEdges(ring.k, 0))
		}
		if ring.tree.Side(b.shot[i]) == plan.Inside {
			beyond = false
			where = "inside " + ringName(survey.Ring{Name: ring.name, Kind: ring.kind})
		}
	}
	b.drop(int32(i), "%s is %s, %s from its edge", name, where, unit.Distance(best/b.Per))
	return beyond
}
