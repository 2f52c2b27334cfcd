package main

import (
	"math/rand/v2"
	"strings"
)

// options are what is surveyed.
type options struct {
	floors        int // of each kind and length
	seed          uint64
	only          string // a word in the names of kinds; empty: all
	even          bool   // lines in strips of their own
	runs, lengths []int  // numbers of runs; readings per run
}

// cell is the surveys of one kind of floor with so many runs of n readings.
type cell struct {
	kind    string
	runs, n int
	surveys int
	ff, fl  count
}

// count is the intervals given of surveys.
type count struct {
	given, holds  int
	width, oracle float64 // sums, as shares of F
}

// coverage is the share of the intervals that hold the true value.
func (c count) coverage() float64 { return float64(c.holds) / float64(c.given) }

// study surveys floors of every kind. A floor depends on its seed, kind, length and number alone.
func study(o options) []cell {
	var out []cell
	for k, kind := range kinds {
		if !strings.Contains(kind.name, o.only) {
			continue
		}
		for _, n := range o.lengths {
			row := make([]cell, len(o.runs))
			for i, runs := range o.runs {
				row[i] = cell{kind: kind.name, runs: runs, n: n}
			}
			for i := range o.floors {
				rng := rand.New(rand.NewPCG(o.seed, uint64(k)<<48|uint64(n)<<32|uint64(i)))
				f := draw(kind, n, i, rng)
				e := f.all(n, rng)
				for c := range row {
					ff, fl := e.survey(f, row[c].runs, o.even, rng)
					row[c].surveys++
					row[c].ff.add(ff)
					row[c].fl.add(fl)
				}
			}
			out = append(out, row...)
		}
	}
	return out
}

// draw makes a floor that has room for runs of n readings: 28 to 82 steps wide and long.
func draw(k kind, n, i int, rng *rand.Rand) *floor {
	side := func() int { return max(n+2, 28) + rng.IntN(max(n, 16)) }
	f := &floor{wide: side(), long: side(), step: [...]float64{0.3048, 0.3}[i%2]}
	f.z = make([]float64, f.wide*f.long)
	k.make(f, rng)
	return f
}

// together adds cells up by a name.
func together(cells []cell, name func(cell) string) []cell {
	var out []cell
	at := map[string]int{}
	for _, c := range cells {
		i, seen := at[name(c)]
		if !seen {
			i = len(out)
			at[name(c)] = i
			out = append(out, cell{kind: name(c)})
		}
		out[i].surveys += c.surveys
		out[i].ff.join(c.ff)
		out[i].fl.join(c.fl)
	}
	return out
}

func (c *count) add(r result) {
	if !r.given {
		return
	}
	one := count{given: 1, width: r.width, oracle: r.oracle}
	if r.holds {
		one.holds = 1
	}
	c.join(one)
}

func (c *count) join(o count) {
	c.given += o.given
	c.holds += o.holds
	c.width += o.width
	c.oracle += o.oracle
}
