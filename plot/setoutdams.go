package plot

import (
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// placeDams finds room for the name of each dam: outside the wall it runs to, else on the
// dam itself, else beside it where no other dam is as near.
func (s *setOutSheet) placeDams(g *ground) {
	s.owners(g)
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
			if ok, lines := g.free(try); ok && lines == 0 && g.outside(p) && s.nearest(i, p) {
				l.centre, free = p, true
				break
			}
		}
		for off := vg.Length(8); !free && off < m.length()/2; off += 4 {
			for _, at := range []vg.Length{off, m.length() - off} {
				try := l.box
				try.centre = m.point(at)
				if ok, _ := g.free(try); ok && !g.onWall(try) && s.nearest(i, try.centre) {
					l.centre, l.plated, free = try.centre, true, true
					break
				}
			}
		}
		for _, p := range besideDam(m, l) {
			try := l.box
			try.centre = p
			if ok, _ := g.free(try); ok && !free && !g.onWall(try) && s.nearest(i, p) {
				l.centre, free = p, true
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

// besideDam returns places beside a dam, from its middle outward.
func besideDam(m measured, l label) (places []vg.Point) {
	for off := vg.Length(0); off <= m.length()/2; off += 4 {
		for _, along := range []vg.Length{m.length()/2 - off, m.length()/2 + off} {
			ends := m.between(max(along-1, 0), min(along+1, m.length()))
			u := ends[len(ends)-1].Sub(ends[0])
			length := vg.Length(math.Hypot(float64(u.X), float64(u.Y)))
			if length == 0 {
				continue
			}
			across := vg.Point{X: -u.Y / length, Y: u.X / length}
			reach := damWidth/2 + 1 + vg.Length(math.Abs(float64(across.X)))*l.w/2 + vg.Length(math.Abs(float64(across.Y)))*l.h/2
			places = append(places, m.point(along).Add(across.Scale(reach)), m.point(along).Sub(across.Scale(reach)))
		}
	}
	return places
}

// nearest reports whether dam i is clearly nearer to p than any other.
func (s *setOutSheet) nearest(i int, p vg.Point) bool {
	const clearly = 2 // pt
	own := fromLine(s.onPage(s.Dams[i]), p)
	for k, d := range s.Dams {
		if k != i && fromLine(s.onPage(d), p) < own+clearly {
			return false
		}
	}
	return true
}

// fromLine returns the distance of p from a line.
func fromLine(line []vg.Point, p vg.Point) vg.Length {
	least := math.Inf(1)
	for i := 1; i < len(line); i++ {
		a, d := p.Sub(line[i-1]), line[i].Sub(line[i-1])
		share := vg.Length(0)
		if square := d.Dot(d); square > 0 {
			share = min(max(a.Dot(d)/square, 0), 1)
		}
		q := a.Sub(d.Scale(share))
		least = min(least, math.Hypot(float64(q.X), float64(q.Y)))
	}
	return vg.Length(least)
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
