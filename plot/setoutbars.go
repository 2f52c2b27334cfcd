package plot

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
)

const (
	closestBars = 2.5 // pt; bars closer than this would be one grey
	lapWidth    = 1.4
)

// bar is a bar of one direction.
type bar struct {
	ends     [2]surface.Vec
	mark     string
	off      float64 // m across, from the first bar of the direction
	from, to float64 // m along
	line     int     // number of its line, from 0
}

// sortBars orders the bars of a direction line by line, and finds their laps.
func (s *setOutSheet) sortBars(bars []bar) {
	if len(bars) == 0 {
		return
	}
	origin, to := bars[0].ends[0], bars[0].ends[1]
	length := max(origin.Distance(to), 1e-9)
	ux, uy := (to.X-origin.X)/length, (to.Y-origin.Y)/length
	for i := range bars {
		b := &bars[i]
		var along, across [2]float64
		for k, v := range b.ends {
			along[k] = (v.X-origin.X)*ux + (v.Y-origin.Y)*uy
			across[k] = (v.Y-origin.Y)*ux - (v.X-origin.X)*uy
		}
		b.off, b.from, b.to = (across[0]+across[1])/2, min(along[0], along[1]), max(along[0], along[1])
	}
	slices.SortStableFunc(bars, func(a, b bar) int { return cmp.Compare(a.off, b.off) })
	const same = 0.001 // m: bars within this are in one line; lines are at least a bar apart
	first := 0         // of its line
	for i := range bars {
		if i > 0 {
			bars[i].line = bars[i-1].line
			if bars[i].off-bars[i-1].off > same {
				bars[i].line++
				first = i
			}
		}
		for _, a := range bars[first:i] {
			from, to := max(a.from, bars[i].from), min(a.to, bars[i].to)
			if to-from > same {
				at := func(along float64) surface.Vec {
					return surface.Vec{X: origin.X + along*ux - bars[i].off*uy, Y: origin.Y + along*uy + bars[i].off*ux}
				}
				s.laps = append(s.laps, [2]surface.Vec{at(from), at(to)})
			}
		}
	}
}

// thinOut chooses how many lines of bars to draw so that they stay distinct.
func (s *setOutSheet) thinOut() {
	for way, bars := range s.ways {
		if len(bars) == 0 {
			continue
		}
		last := bars[len(bars)-1]
		if last.line > 0 {
			apart := (last.off - bars[0].off) / float64(last.line) * s.frame.scale
			s.every[way] = max(1, int(math.Ceil(closestBars/apart)))
		}
	}
}

// drawBars draws the bars, or only as many lines of them as stay distinct.
func (s *setOutSheet) drawBars(c draw.Canvas) {
	for way, bars := range s.ways {
		var path vg.Path
		for _, b := range bars {
			if b.line%s.every[way] == 0 {
				path.Move(s.frame.at(b.ends[0]))
				path.Line(s.frame.at(b.ends[1]))
			}
		}
		stroke(c, path, 0.6, barInks[way], barDashes[way]...)
	}
	if s.every == [2]int{1, 1} {
		var path vg.Path
		for _, l := range s.laps {
			path.Move(s.frame.at(l[0]))
			path.Line(s.frame.at(l[1]))
		}
		stroke(c, path, lapWidth, black)
	}
	var path, across vg.Path
	for _, sheet := range s.Sheets {
		path = append(path, s.frame.ringPath(sheet)...)
		if len(sheet) > 2 {
			across.Move(s.frame.at(sheet[0]))
			across.Line(s.frame.at(sheet[len(sheet)/2]))
		}
	}
	stroke(c, path, 0.8, barInks[0])
	stroke(c, across, 0.4, barInks[0])
	s.drawChairs(c)
	for _, l := range s.barMarks {
		l.write(c, 255)
	}
}

// placeBarMarks finds room for the mark of each run of neighbours on one of its bars, the
// middle one if possible.
func (s *setOutSheet) placeBarMarks(g *ground) {
	for way, bars := range s.ways {
		for _, b := range bars {
			if b.line%s.every[way] == 0 {
				g.draw([]vg.Point{s.frame.at(b.ends[0]), s.frame.at(b.ends[1])}, lined)
			}
		}
	}
	size := s.chairSize()
	for _, v := range s.Chairs {
		g.mark(box{centre: s.frame.at(v), w: size, h: size}, taken)
	}
	for way, bars := range s.ways {
		for _, run := range s.runs(way, bars) {
			for k := range run { // from the middle outward
				i := len(run) / 2
				if k%2 == 1 {
					i -= (k + 1) / 2
				} else {
					i += k / 2
				}
				if i >= 0 && i < len(run) && s.placeBarMark(g, way, run[i]) {
					break
				}
			}
		}
	}
}

// runs divides the drawn bars of a direction into runs of neighbours with the same mark.
func (s *setOutSheet) runs(way int, bars []bar) [][]bar {
	var out [][]bar
	for _, b := range bars {
		if b.mark == "" || b.line%s.every[way] != 0 {
			continue
		}
		found := false
		for i := len(out) - 1; i >= 0 && !found; i-- {
			last := out[i][len(out[i])-1]
			if step := b.line - last.line; last.mark == b.mark && step > 0 && step <= s.every[way] && b.from < last.to && last.from < b.to {
				out[i], found = append(out[i], b), true
			}
		}
		if !found {
			out = append(out, []bar{b})
		}
	}
	return out
}

// placeBarMark finds room for the mark of b on it, between the bars that cross it.
func (s *setOutSheet) placeBarMark(g *ground, way int, b bar) bool {
	p, q := s.frame.at(b.ends[0]), s.frame.at(b.ends[1])
	l := newLabel(b.mark, smallest, true)
	l.ink = barInks[way]
	d := q.Sub(p)
	l.turn = math.Atan2(float64(d.Y), float64(d.X))
	if l.turn > math.Pi/2+1e-9 || l.turn <= -math.Pi/2+1e-9 {
		l.turn += math.Pi
	}
	length := vg.Length(math.Hypot(float64(d.X), float64(d.Y)))
	const steps = 40
	best := math.Inf(1)
	for k := 1; k < steps; k++ {
		share := vg.Length(k) / steps
		if min(share, 1-share)*length < l.w/2+2 {
			continue
		}
		try := l.box
		try.centre = p.Add(d.Scale(share))
		free, lines := g.free(try)
		if cost := float64(lines) + 6*math.Abs(float64(share)-0.5); free && !g.onWall(try) && cost < best {
			best, l.centre = cost, try.centre
		}
	}
	if math.IsInf(best, 1) {
		return false
	}
	g.mark(l.box, taken)
	s.barMarks = append(s.barMarks, l)
	return true
}
