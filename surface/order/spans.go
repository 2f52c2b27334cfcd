package order

import (
	"cmp"
	"math"
	"slices"

	"pourplane/survey/unit"
)

// Span is a range of depths, m; To is infinite if there is no limit.
type Span struct{ From, To float64 }

// Spans returns the depths above 0 that ms serve, as ranges without a gap, from the thinnest.
func (ms Materials) Spans() []Span {
	limits := append(Limits(ms), math.Inf(1))
	var out []Span
	for i, from := range limits[:len(limits)-1] {
		to := limits[i+1]
		if k, _ := ms.pick(from, to); k < 0 {
			continue
		}
		if last := len(out) - 1; last >= 0 && out[last].To == from {
			out[last].To = to
		} else {
			out = append(out, Span{from, to})
		}
	}
	return out
}

// Raises returns by how much a target may be raised, m, negative: lowered, so that depths begin
// or end where those that ms serve do: whole steps, the smallest move first. depths are those of
// each region of the floor, negative above the target. Which of them leave no depth unserved is
// for the caller to find.
func (ms Materials) Raises(depths []Span, step float64) []float64 {
	var out []float64
	for _, s := range ms.Spans() {
		for _, d := range depths {
			out = append(out, unit.Up(s.From-d.From, step))
			if s.To < math.Inf(1) {
				out = append(out, unit.Down(s.To-d.To, step))
			}
		}
	}
	out = slices.DeleteFunc(out, func(h float64) bool { return h == 0 })
	slices.SortFunc(out, func(a, b float64) int { return cmp.Or(cmp.Compare(math.Abs(a), math.Abs(b)), cmp.Compare(a, b)) })
	return slices.Compact(out)
}
