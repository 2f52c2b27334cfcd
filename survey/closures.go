package survey

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey/unit"
)

// sums makes the checks of arithmetic. The last sight of a book closes its page,
// so that it counts among the foresights whatever it is.
func (l *levelling) sums() {
	c := &l.Checks
	c.Line = true
	for i := range l.Sights {
		s := &l.Sights[i]
		last := i == len(l.Sights)-1
		switch {
		case s.Kind == Back:
			c.SumBS += s.Reading
		case s.Kind == Fore, last:
			c.SumFS += s.Reading
		}
		if i == 0 {
			c.Line = s.Kind == Back
			continue
		}
		before := &l.Sights[i-1]
		if s.Setup == before.Setup {
			c.Line = c.Line && s.Kind != Back && before.Kind != Fore
			if d := before.Reading - s.Reading; d > 0 {
				c.SumRise += d
			} else {
				c.SumFall -= d
			}
			continue
		}
		c.Line = c.Line && s.Kind == Back && before.Kind == Fore && s.id == before.id
	}
	if n := len(l.Sights); n > 0 {
		first, last := &l.Sights[0], &l.Sights[n-1]
		c.LastMinusFirst = last.Elevation - first.Elevation
	}
}

// closures finds the points whose elevation came out twice.
func (l *levelling) closures() error {
	first := map[int]*Sight{} // by which a point that is no benchmark came out first
	for i := range l.Sights {
		s := &l.Sights[i]
		u := l.setup[s.Setup]
		b := l.benchmark[s.id]
		c := Closure{On: s.Name, Setup: s.Setup, Observed: u.HI - s.Reading, At: s.At, list: s.plain}
		before, again := first[s.id]
		switch {
		case s.Kind == Back && !u.given:
			if _, ok := first[s.id]; !ok {
				first[s.id] = s
			}
			continue
		case l.used[i]: // it depends on this sight, which proves nothing
			continue
		case b != nil && s.Kind != Intermediate:
			c.Benchmark, c.Closing, c.Known = true, true, b.Elevation
			c.path = l.path(s.Setup)
			if c.Allowable = l.o.Allow.of(u.depth, u.run, l.style.Imperial); math.IsNaN(c.Allowable) {
				return (&Error{Pos: s.At, Element: "allowance by length", Found: "sights without a distance", Want: "a column of distances from the level to the rod, or another rule"}).Hinted("%s", unit.Ask("allow", "LENGTH"))
			}
			kind := Warning
			if math.Abs(c.Misclosure()) < 1e-5 {
				kind = Assumed
			}
			spread := "not adjusted"
			if l.o.Adjust != NoAdjustment {
				spread = "spread over the readings, " + l.o.Adjust.String()
			}
			n := Notef(kind, s.At, "closing sight on %s: observed %s, known %s, %s; %s", s.Name, l.elevation(c.Observed), l.elevation(c.Known), off(l.style, c.Misclosure(), "high", "low"), spread)
			if c.Beyond() {
				n = n.About(AboutOrder)
			}
			l.notes = append(l.notes, n)
			l.Closures = append(l.Closures, c)
			continue
		case s.Name == "", again && s.plain && !s.check && before.Setup == s.Setup:
			continue // two shots at one place of the floor are no matter of levels
		case b != nil:
			c.Benchmark, c.Known = true, b.Elevation
		case !again:
			first[s.id] = s
			continue
		case before.Kind == Back:
			c.Known = l.known[s.id]
		default:
			c.Known = l.setup[before.Setup].HI - before.Reading
		}
		c.whole = again && before.Setup == l.order[0] && s.Setup == l.order[len(l.order)-1]
		n, than := 1, "its known elevation"
		switch {
		case c.Benchmark:
			n = u.depth
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
			l.note(Assumed, s.At, "%s seen again from set-up %s: no change", s.Name, s.Setup)
		} else {
			l.note(Warning, s.At, "%s seen again from set-up %s: %s than %s", s.Name, s.Setup, off(l.style, d, "higher", "lower"), than)
		}
		if c.Allowable = l.o.Allow.of(n, u.run, l.style.Imperial); !math.IsNaN(c.Allowable) {
			l.Closures = append(l.Closures, c)
		}
	}
	return nil
}

// path returns the set-ups from the benchmark to one of them.
func (l *levelling) path(name string) []string {
	var out []string
	for ; name != ""; name = l.setup[name].on {
		out = append(out, name)
	}
	slices.Reverse(out)
	return out
}

// off writes a small difference in words: `1/16" low`.
func off(style unit.Style, d float64, up, down string) string {
	if math.Abs(d) < 1e-5 {
		return "no difference"
	}
	style.Denominator = 32
	word := up
	if d < 0 {
		word = down
	}
	size := style.Depth(math.Abs(d))
	if !style.Imperial {
		size = strconv.FormatFloat(math.Round(math.Abs(d)*1e4)/10, 'f', -1, 64) + " mm"
	}
	if strings.HasPrefix(size, "0") && style.Imperial {
		size = `less than 1/32"`
	}
	return strings.TrimSpace(size + " " + word)
}
