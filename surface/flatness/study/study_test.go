package main

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pourplane/surface/flatness"
)

// small is a study of few floors: about 3 s.
var small = options{floors: 200, seed: 4, runs: []int{3, 4, 6, 12}, lengths: []int{20, 30}}

// The intervals hold 88 to 92 of 100 true values over all kinds of floors, 85 to 95 of each kind. Two
// standard errors of 200 floors are 1 % of all kinds and 3 % of one. Intervals a quarter narrower hold
// 82 % (FF) and 85 % (FL) of all, a quarter wider ones 95 and 96 %.
func TestIntervalsHold(t *testing.T) {
	cells := study(small)
	all := together(cells, func(cell) string { return "all" })[0]
	for _, c := range []struct {
		of        string
		got       count
		low, high float64
	}{{"FF", all.ff, 0.88, 0.93}, {"FL", all.fl, 0.88, 0.93}} {
		if v := c.got.coverage(); v < c.low || v > c.high {
			t.Errorf("%s: %.3f of %d intervals hold, want %.2f to %.2f", c.of, v, c.got.given, c.low, c.high)
		}
	}
	for _, c := range together(cells, func(c cell) string { return c.kind }) {
		for of, n := range map[string]count{"FF": c.ff, "FL": c.fl} {
			if v := n.coverage(); v < 0.83 || v > 0.97 {
				t.Errorf("%s, %s: %.3f of %d intervals hold, want 0.85 to 0.95", c.kind, of, v, n.given)
			}
		}
	}
	for _, c := range cells {
		if c.runs < 4 && c.ff.given+c.fl.given > 0 || c.runs < 6 && c.fl.given > 0 || c.runs >= 6 && c.ff.given == 0 {
			t.Errorf("%s, %d runs: %d and %d intervals of %d surveys", c.kind, c.runs, c.ff.given, c.fl.given, c.surveys)
		}
	}
}

// The true value is F of lines laid one by one by the package that is studied.
func TestTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	f := draw(kinds[1], 12, 0, rng)
	const n = 15
	e := f.all(n, rng)
	var q, z [2]float64
	for direction := range 2 {
		rows, along := f.long, f.wide
		if direction == 1 {
			rows, along = along, rows
		}
		count := 0.0
		for at := range rows {
			for from := range along - n + 1 {
				lines, _, err := flatness.Lines(f.read(line{direction == 1, at, from}, n, rng), flatness.Settings{})
				if err != nil {
					t.Fatal(err)
				}
				q[direction] += math.Pow(4.57*0.0254/float64(lines[0].FF), 2)
				z[direction] += math.Pow(12.5*0.0254/float64(lines[0].FL), 2)
				count++
			}
		}
		q[direction] /= count
		z[direction] /= count
		if math.Abs(e.gq[direction]/q[direction]-1) > 0.03 || math.Abs(e.gz[direction]/z[direction]-1) > 0.01 {
			t.Errorf("direction %d: %v and %v, line by line %v and %v", direction, e.gq[direction], e.gz[direction], q[direction], z[direction])
		}
	}
	truth, _ := e.truth([]line{{across: true}, {}, {}, {}})
	if want := (3*e.gq[0] + e.gq[1]) / 4; math.Abs(truth/want-1) > 1e-12 {
		t.Errorf("truth of three along and one across %v, want %v", truth, want)
	}
}

// Parallel lines are at least four steps apart, on the floor, in equal number.
func TestPlaces(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for _, even := range []bool{false, true} {
		for range 300 {
			f := draw(kinds[4], 12, 0, rng)
			var rows [2][]int
			for _, l := range f.place(12, 12, even, rng) {
				d := direction(l)
				rows[d] = append(rows[d], l.at)
				room, along := f.long, f.wide
				if l.across {
					room, along = along, room
				}
				if l.at < 0 || l.at >= room || l.from < 0 || l.from+12 > along {
					t.Fatalf("%+v on %d by %d", l, f.wide, f.long)
				}
			}
			for _, r := range rows {
				slices.Sort(r)
				for i := range r {
					if len(r) != 6 || i > 0 && r[i]-r[i-1] < apart {
						t.Fatalf("rows %v", rows)
					}
				}
			}
		}
	}
}

func TestCommand(t *testing.T) {
	var out, diag bytes.Buffer
	if status := run([]string{"-floors", "1", "-kind", "walk"}, &out, &diag); status != 0 || diag.Len() > 0 {
		t.Fatalf("%d: %s", status, &diag)
	}
	for _, want := range []string{"\nrandom walk          12  40 ", "\nall ", "\n3                                   -    0 % "} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %q in\n%s", want, &out)
		}
	}
	if status := run([]string{"-floor", "1"}, &out, &diag); status != 2 || !strings.Contains(diag.String(), "-floor") {
		t.Errorf("%d: %s", status, &diag)
	}
}
