package surface

import (
	"math"

	"pourplane/surface/internal/plan"
	"pourplane/survey"
)

// From this number and this share of shots outside the walls, the outline may be wrong.
// Fewer may just have been taken on the adjoining floor. Own choice.
const (
	fewestBeyond = 3
	shareBeyond  = 0.1
)

// warnBeyond warns if many shots are outside the walls. Shots in openings and shots marked
// for another region do not count.
func (b *builder) warnBeyond(beyond int) {
	if b.floor.Hull || beyond < fewestBeyond || float64(beyond)/float64(len(b.shot)) < shareBeyond {
		return
	}
	advice := ""
	if b.exchangedInside() {
		advice = ", or whether its x and y are exchanged"
	}
	at := survey.Pos{}
	for _, r := range b.rings {
		if r.kind == survey.Outer {
			at = r.points[0].At()
			break
		}
	}
	b.floor.Notes = append(b.floor.Notes, survey.Notef(survey.Warning, at, "%d of %d shots are outside the walls: check the outline%s", beyond, len(b.shot), advice).About(survey.AboutOrder))
}

// exchangedInside reports whether all shots are inside the outline with x and y exchanged.
func (b *builder) exchangedInside() bool {
	lo, hi := Vec{X: math.Inf(1), Y: math.Inf(1)}, Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, r := range b.rings {
		for _, p := range r.points {
			lo, hi = Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}, Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
	}
	for i := range b.data.Shots {
		p := Vec{X: b.data.Shots[i].Y, Y: b.data.Shots[i].X}
		if p.X < lo.X-atWall || p.X > hi.X+atWall || p.Y < lo.Y-atWall || p.Y > hi.Y+atWall { // the grid may not reach there
			return false
		}
		k, in := b.Steps(p), false
		for _, r := range b.regionsAt(k) {
			in = in || r.tree.Side(k) != plan.Outside || len(r.tree.On(k, nil)) > 0
		}
		if !in && b.toWall(int32(i), k, "").off > atWall*b.Per {
			return false
		}
	}
	return true
}
