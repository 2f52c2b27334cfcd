package plot

import (
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// placeDams finds room for the name of each dam at one of its ends: outside the wall it
// runs to, else on the dam itself inside.
func (s *setOutSheet) placeDams(g *ground) {
	for i, d := range s.Dams {
		line := s.onPage(d)
		if len(s.DamNames) == 0 || s.DamNames[i] == "" || len(line) < 2 {
			continue
		}
		l := newLabel(s.DamNames[i], 8, true)
		l.ink = damInk
		m := measure(line)
		n := len(line) - 1
		var places []vg.Point
		ends := [][2]vg.Point{{line[0], line[1]}, {line[n], line[n-1]}}
		for _, off := range []vg.Length{3, 9, 15} {
			for _, e := range ends {
				u := e[0].Sub(e[1])
				length := vg.Length(math.Hypot(float64(u.X), float64(u.Y)))
				if length == 0 {
					continue
				}
				u = u.Scale(1 / length)
				reach := vg.Length(math.Abs(float64(u.X)))*l.w/2 + vg.Length(math.Abs(float64(u.Y)))*l.h/2
				places = append(places, e[0].Add(u.Scale(off+reach)))
			}
		}
		free := false
		for _, p := range places {
			try := l.box
			try.centre = p
			if ok, lines := g.free(try); ok && lines == 0 {
				l.centre, free = p, true
				break
			}
		}
		for off := vg.Length(8); !free && off < m.length()/2; off += 4 {
			for _, at := range []vg.Length{off, m.length() - off} {
				try := l.box
				try.centre = m.point(at)
				if ok, _ := g.free(try); ok && !g.onWall(try) {
					l.centre, l.plated, free = try.centre, true, true
					break
				}
			}
		}
		if !free {
			s.nameless++
			continue
		}
		g.mark(l.box, taken)
		s.dams = append(s.dams, l)
	}
}

func (s *setOutSheet) drawDams(c draw.Canvas) {
	var path vg.Path
	for _, d := range s.Dams {
		for i, p := range s.onPage(d) {
			if i == 0 {
				path.Move(p)
			} else {
				path.Line(p)
			}
		}
	}
	stroke(c, path, damWidth, damInk)
}
