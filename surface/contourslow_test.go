package surface

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"pourplane/survey"
)

// slowContours traces each level by itself over all triangles: first the lines that enter at
// an edge of the floor, then the others, each from the first triangle that it can begin in.
func slowContours(t *TIN, depth, levels []float64) (out []Contour) {
	for _, level := range levels {
		up := func(h int32) bool { return depth[t.V[h]] >= level }
		way := func(k int32, from bool) int32 { // in: from above to below; out: the other way
			for h := 3 * k; h < 3*k+3; h++ {
				if up(h) == from && up(Next(h)) != from {
					return h
				}
			}
			return -1
		}
		at := func(h int32) Vec {
			a, b := t.V[h], t.V[Next(h)]
			if depth[a] < depth[b] {
				a, b = b, a
			}
			s := (level - depth[a]) / (depth[b] - depth[a])
			return Vec{X: t.Origin.X + t.X[a] + float64(s*(t.X[b]-t.X[a])), Y: t.Origin.Y + t.Y[a] + float64(s*(t.Y[b]-t.Y[a]))}
		}
		done := map[int32]bool{}
		for _, edges := range []bool{true, false} {
			for k := range int32(t.Len()) {
				in := way(k, true)
				if in < 0 || done[k] || edges && t.Twin[in] >= 0 {
					continue
				}
				c := Contour{Level: level, Line: []Vec{at(in)}}
				for k := k; ; {
					done[k] = true
					h := way(k, false)
					if t.Twin[h] >= 0 && done[t.Twin[h]/3] {
						c.Closed = true
						break
					}
					c.Line = append(c.Line, at(h))
					if t.Twin[h] < 0 {
						break
					}
					k = t.Twin[h] / 3
				}
				if c.Line = slices.Compact(c.Line); c.Closed && len(c.Line) > 1 && c.Line[0] == c.Line[len(c.Line)-1] {
					c.Line = c.Line[:len(c.Line)-1]
				}
				if len(c.Line) > 2 || len(c.Line) == 2 && !c.Closed {
					out = append(out, c)
				}
			}
		}
	}
	return out
}

// Lines are those of a slow search, bit for bit and in its order, on one processor and on
// several: with levels in any order, twice, through vertices and more than can be numbered.
func TestContoursAgainstASlowSearch(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	bumpy := func(x, y float64) float64 {
		return 0.01 * math.Round(20*math.Sin(x)*math.Cos(1.3*y)+10*math.Sin(7*x*y))
	}
	many := slices.Concat([]float64{0.155}, slices.Repeat([]float64{-0.145}, 255), []float64{0.155}) // the first and the last have one number
	for _, c := range []struct {
		name      string
		side, gap float64
		levels    []float64
	}{
		{"few triangles", 3, 0.25, []float64{0.1, -0.1, 0, 0.1, 0.055, 9, math.Inf(1), math.Inf(-1), math.NaN()}},
		{"many levels", 4, 0.1, many},
		{"many triangles", 7, 0.05, []float64{0.05, -0.05, 0, 0.123}},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := build(t, Data{Shots: shotsOn(0, 0, c.side, c.side, c.gap, bumpy), Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, c.side, 0, c.side, c.side, 0, c.side), ringOf("pit", survey.Hole, 1, 1, 1.4, 1, 1.4, 1.3, 1, 1.3)}})
			tin := f.Regions[0].TIN
			depth := tin.Depths(Horizontal(0))
			want := slowContours(tin, depth, c.levels)
			open := 0
			for _, l := range want {
				if !l.Closed {
					open++
				}
			}
			if open == 0 || open == len(want) {
				t.Fatalf("%d of %d lines end at an edge: too one-sided", open, len(want))
			}
			for _, k := range []int{1, 4} {
				runtime.GOMAXPROCS(k)
				got := tin.Contours(depth, c.levels)
				same := slices.EqualFunc(got, want, func(a, b Contour) bool {
					return a.Level == b.Level && a.Closed == b.Closed && slices.EqualFunc(a.Line, b.Line, sameBits)
				})
				if !same {
					t.Errorf("on %d processors: %d lines, want %d, or other places", k, len(got), len(want))
				}
			}
		})
	}
}

func sameBits(a, b Vec) bool {
	return math.Float64bits(a.X) == math.Float64bits(b.X) && math.Float64bits(a.Y) == math.Float64bits(b.Y)
}
