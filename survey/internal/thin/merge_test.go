package thin

import (
	"cmp"
	"math"
	"math/big"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
)

// byHand thins with a map and sums of any size: each square has the sum of the nanometres
// of its points, and its mean is rounded with halves away from zero.
func byHand(pts []Shot, side int64) []Shot {
	type sum struct {
		of [3]big.Int
		n  int64
	}
	nano := func(m float64) int64 { return int64(math.Round(m * 1e9)) }
	all := map[square]*sum{}
	for _, p := range pts {
		at := square{FloorDiv(nano(p.Y), side), FloorDiv(nano(p.X), side)}
		if all[at] == nil {
			all[at] = &sum{}
		}
		s := all[at]
		s.n++
		for i, v := range [3]float64{p.X, p.Y, p.Z} {
			s.of[i].Add(&s.of[i], big.NewInt(nano(v)))
		}
	}
	var order []square
	for at := range all {
		order = append(order, at)
	}
	slices.SortFunc(order, func(a, b square) int { return cmp.Or(cmp.Compare(a.row, b.row), cmp.Compare(a.col, b.col)) })
	var out []Shot
	for _, at := range order {
		var v [3]float64
		for i := range v {
			s := &all[at].of[i]
			twice := new(big.Int).Mul(new(big.Int).Abs(s), big.NewInt(2))
			twice.Add(twice, big.NewInt(all[at].n)).Quo(twice, big.NewInt(2*all[at].n))
			if v[i] = float64(twice.Int64()) / 1e9; s.Sign() < 0 {
				v[i] = float64(-twice.Int64()) / 1e9
			}
		}
		out = append(out, Shot{v[0], v[1], v[2], 0})
	}
	return out
}

// The means are exact to the last bit and do not depend on how the points are divided among
// grids, in which order the grids are joined, or how far out the points are: sums past 64
// bits are kept.
func TestJoinedGridsGiveTheSamePoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thin := survey.Thin{Cell: rapid.SampledFrom([]float64{0.001, 0.025, 0.3048, 1000}).Draw(t, "cell"), Keep: survey.Kept(rapid.IntRange(0, 2).Draw(t, "keep"))}
		centre := rapid.SampledFrom([]float64{0, 6783020.123, -500000, 999_900_000, -999_900_000}).Draw(t, "from")
		number := rapid.Custom(func(t *rapid.T) float64 {
			return centre + float64(rapid.IntRange(-9, 9).Draw(t, "cells"))*thin.Cell + float64(rapid.IntRange(-4, 4).Draw(t, "nm"))/2e9
		})
		pts := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Shot {
			return Shot{number.Draw(t, "x"), number.Draw(t, "y"), number.Draw(t, "z"), rapid.IntRange(1, 5).Draw(t, "line")}
		}), 1, 80).Draw(t, "points")
		one, parts := New(thin, "f"), []*Grid{New(thin, "f"), New(thin, "f"), New(thin, "f")}
		for _, p := range pts {
			one.Add(p.X, p.Y, p.Z, p.Line)
			parts[rapid.IntRange(0, 2).Draw(t, "part")].Add(p.X, p.Y, p.Z, p.Line)
		}
		parts = rapid.Permutation(parts).Draw(t, "joined")
		if rapid.Bool().Draw(t, "last first") {
			parts[1].Merge(parts[2])
		} else {
			parts[0].Merge(parts[2])
		}
		if parts[0].Merge(parts[1]); parts[0].Seen != len(pts) {
			t.Fatalf("%d of %d points", parts[0].Seen, len(pts))
		}
		got, want := parts[0].Points(), one.Points()
		at := New(thin, "f")
		if at.AddAll(pts); at.Seen != len(pts) || !slices.EqualFunc(at.Points(), want, survey.Point.Equal) {
			t.Fatalf("at once %v\none by one %v", at.Points(), want)
		}
		if !slices.Equal(got, want) {
			t.Fatalf("joined %v\nin one grid %v", got, want)
		}
		if thin.Keep != survey.Mean {
			return
		}
		for i, w := range byHand(pts, one.side) {
			if p := want[i]; p.X != w.X || p.Y != w.Y || p.Z != w.Z {
				t.Fatalf("%v, want %v", p, w)
			}
		}
	})
}

func BenchmarkGrid(b *testing.B) {
	for _, keep := range []survey.Kept{survey.Mean, survey.Lowest} {
		b.Run(keep.String(), func(b *testing.B) {
			const n = 1_000_000
			if testing.Short() {
				b.Skip("1M points")
			}
			for b.Loop() {
				g := New(survey.Thin{Cell: 0.025, Keep: keep}, "f")
				x, y := 0.0, 0.0
				for range n { // evenly over 40 m by 25 m, in no order
					x, y = math.Mod(x+24.72135955, 40), math.Mod(y+14.19, 25)
					g.Add(x, y, x/1000, 0)
				}
				g.Points()
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds()/1e6, "Mpoints/s")
		})
	}
}
