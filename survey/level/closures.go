package level

import (
	"math"
	"slices"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// sums computes the sums that check the arithmetic. The last sight of a book closes its
// page, so it always counts as a foresight.
func (l *levelling) sums() {
	c := &l.Checks
	c.Line = true
	for i := range l.Sights {
		s := &l.Sights[i]
		last := i == len(l.Sights)-1
		switch {
		case s.Kind == survey.Back:
			c.SumBS += s.Reading
		case s.Kind == survey.Fore, last:
			c.SumFS += s.Reading
		}
		if i == 0 {
			c.Line = s.Kind == survey.Back
			continue
		}
		before := &l.Sights[i-1]
		if s.Setup == before.Setup {
			c.Line = c.Line && s.Kind != survey.Back && before.Kind != survey.Fore
			if d := before.Reading - s.Reading; d > 0 {
				c.SumRise += d
			} else {
				c.SumFall -= d
			}
			continue
		}
		c.Line = c.Line && s.Kind == survey.Back && before.Kind == survey.Fore && s.Point == before.Point
	}
	if n := len(l.Sights); n > 0 {
		first, last := &l.Sights[0], &l.Sights[n-1]
		c.LastMinusFirst = last.Elevation - first.Elevation
	}
}

// closures finds the points that have two elevations.
func (l *levelling) closures() error {
	first := map[int]*survey.Sight{} // the sight that first gave a point its elevation; not for benchmarks
	for i := range l.Sights {
		s := &l.Sights[i]
		u := l.setup[s.Setup]
		b := l.benchmark[s.Point]
		c := survey.Closure{On: s.Name, Setup: s.Setup, Observed: u.HI - s.Reading, At: s.At, Listed: s.Listed}
		before, again := first[s.Point]
		switch {
		case s.Kind == survey.Back && !u.Given:
			if _, ok := first[s.Point]; !ok {
				first[s.Point] = s
			}
			continue
		case l.used[i]: // the set-up depends on this sight, so it checks nothing
			continue
		case b != nil && (s.Kind != survey.Intermediate || l.isLast(i)):
			c.Benchmark, c.Closing, c.Known = true, true, b.Elevation
			c.Path = l.path(s.Setup)
			if c.Allowable = l.o.Allow.Of(u.Depth, u.Run, l.imperial()); math.IsNaN(c.Allowable) {
				return (&survey.Error{Pos: s.At, Element: "allowance by length", Found: "sights without a distance", Want: "a column of distances from the level to the rod, or another rule"}).Hinted("%s", unit.Ask("allow", "LENGTH"))
			}
			kind := survey.Warning
			if math.Abs(c.Misclosure()) < 1e-5 {
				kind = survey.Assumed
			}
			spread := "not adjusted"
			if l.o.Adjust != survey.NoAdjustment {
				spread = "spread over the readings, " + l.o.Adjust.String()
			}
			n := survey.Notef(kind, s.At, "closing sight on %s: observed %s, known %s, %s; %s", s.Name, l.elevation(c.Observed), l.elevation(c.Known), l.difference(c.Misclosure(), "high", "low"), spread)
			if c.Beyond() {
				n = n.About(survey.AboutOrder)
			}
			l.notes = append(l.notes, n)
			l.Closures = append(l.Closures, c)
			continue
		case s.Name == "", again && s.Listed && !s.Mark && before.Setup == s.Setup:
			continue // two shots at one place of the floor do not check the levels
		case b != nil:
			c.Benchmark, c.Known = true, b.Elevation
		case !again:
			first[s.Point] = s
			continue
		case before.Kind == survey.Back:
			c.Known = l.known[s.Point]
		default:
			c.Known = l.setup[before.Setup].HI - before.Reading
		}
		c.Whole = again && before.Setup == l.order[0] && s.Setup == l.order[len(l.order)-1]
		n, than := 1, "its known elevation"
		switch {
		case c.Benchmark:
			n = u.Depth
		case before.Setup != s.Setup:
			n = 2
			fallthrough
		default:
			than = "from set-up " + before.Setup
			if before.Setup == s.Setup {
				than = "before"
			}
		}
		if d := c.Misclosure(); math.Abs(d) < 1e-5 {
			l.note(survey.Assumed, s.At, "%s seen again from set-up %s: no change", s.Name, s.Setup)
		} else {
			l.note(survey.Warning, s.At, "%s seen again from set-up %s: %s than %s", s.Name, s.Setup, l.difference(d, "higher", "lower"), than)
		}
		if c.Allowable = l.o.Allow.Of(n, u.Run, l.imperial()); !math.IsNaN(c.Allowable) {
			l.Closures = append(l.Closures, c)
		}
	}
	return nil
}

// isLast reports whether a sight is the last from its set-up and closes what was read from it since
// the sight that gave its height of instrument, or the line that leads to it.
func (l *levelling) isLast(i int) bool {
	s := &l.Sights[i]
	all := l.of[s.Setup]
	if all[len(all)-1] != i {
		return false
	}
	return l.setup[s.Setup].Depth > 1 || len(all) > 1 && !l.used[all[len(all)-2]]
}

// path returns the set-ups from the benchmark to the named one.
func (l *levelling) path(name string) []string {
	var out []string
	for ; name != ""; name = l.setup[name].On {
		out = append(out, name)
	}
	slices.Reverse(out)
	return out
}
