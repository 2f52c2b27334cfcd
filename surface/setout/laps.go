package setout

import (
	"pourplane/surface"
	"pourplane/survey/unit"
)

// crossed are the steps and dams that bars run over, on the axes of a layout.
func (l *layer) crossed(a axes) []wall {
	var out []wall
	for _, list := range [][][2]surface.Vec{l.floor.Steps, l.rules.Dams} {
		for _, s := range list {
			out = append(out, wall{a.in(s[0]), a.in(s[1])})
		}
	}
	return out
}

// piece lays bars along a stretch of a line, lapped if it is longer than a bar. Laps keep clear
// of what is crossed.
func (l *layer) piece(direction string, a axes, y float64, s surface.Span, back bool, crossed []wall) {
	from := func(t float64) float64 { // a place on the line, t from where its first bar starts
		if back {
			return s.Hi - t
		}
		return s.Lo + t
	}
	out := func(t float64) surface.Vec { return a.out(surface.Vec{X: from(t), Y: y}) }
	var shut []surface.Span
	if s.Hi-s.Lo > l.rules.Stock+same {
		for _, w := range crossed {
			if (w.a.Y <= y) == (w.b.Y <= y) {
				continue // beside it: every place on a line along an edge is the same
			}
			if n, ok := surface.Near(w, y, l.rules.Edge-hair); ok {
				if n = (surface.Span{Lo: n.Lo - s.Lo, Hi: n.Hi - s.Lo}); back {
					n = surface.Span{Lo: s.Hi - s.Lo - n.Hi, Hi: s.Hi - s.Lo - n.Lo}
				}
				shut = append(shut, n)
			}
		}
	}
	bars, stuck := l.rules.lapped(s.Hi-s.Lo, shut)
	l.out.Laps += len(bars) - 1
	if l.bars += len(bars); l.bars > mostBars {
		return
	}
	for i, b := range bars {
		l.out.Bars = append(l.out.Bars, Bar{Mark: direction, From: out(b.Lo), To: out(b.Hi)})
		if i < len(bars)-1 && b.Hi-b.Lo < l.rules.Stock-same {
			l.out.LapsMoved++
		}
	}
	for _, t := range stuck {
		l.out.LapsStuck = append(l.out.LapsStuck, out(t))
	}
}

// lapped divides a length into bars of Stock from its start, and the rest. A bar whose lap would
// be in shut is cut shorter by whole steps of the tape. stuck are the middles of laps that stay in
// shut, as no bar can end before it.
func (r BarRules) lapped(length float64, shut []surface.Span) (bars []surface.Span, stuck []float64) {
	from := 0.0
	for length-from > r.Stock+same {
		to, lap := from+r.Stock, r.Lap
		if end, ok := r.clearEnd(from, to, shut); !ok {
			stuck = append(stuck, to-lap/2)
		} else if end < to {
			to, lap = end, r.Lap+r.Same // bars a step apart are cut alike, to the shorter
		}
		bars = append(bars, surface.Span{Lo: from, Hi: to})
		from = to - lap
	}
	return append(bars, surface.Span{Lo: from, Hi: length}), stuck
}

// clearEnd returns where a bar ends whose lap is not in shut: at to or before it. It is false if
// the bar would be too short to get on with.
func (r BarRules) clearEnd(from, to float64, shut []surface.Span) (float64, bool) {
	for moved := true; moved; {
		moved = false
		for _, s := range shut {
			if s.Lo < to-hair && s.Hi > to-r.Lap-r.Same+hair {
				to, moved = from+unit.Down(s.Lo-from, r.Same), true
			}
		}
		if to-from < r.Lap+max(r.Shortest, 2*r.Same) {
			return 0, false
		}
	}
	return to, true
}
