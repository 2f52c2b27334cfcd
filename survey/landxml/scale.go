package landxml

import (
	"pourplane/survey"
)

// zeroLevels collects points to decide whether an elevation of 0 means no elevation.
type zeroLevels struct {
	n      int
	first  survey.Pos
	others [2]float64 // min and max
}

func (z *zeroLevels) add(p *survey.Point) {
	switch {
	case p.Z == 0:
		if z.n++; z.n == 1 {
			z.first = p.At()
		}
	case z.others == [2]float64{}:
		z.others = [2]float64{p.Z, p.Z}
	default:
		z.others = [2]float64{min(z.others[0], p.Z), max(z.others[1], p.Z)}
	}
}

// stray reports whether all others are at least a metre (or a yard) from 0, all on one
// side.
func (z *zeroLevels) stray(u *linearUnit) bool {
	return z.n > 0 && (u.metres(z.others[0]) >= 0.9 || u.metres(z.others[1]) <= -0.9)
}

// scale converts everything to metres.
func (l *reader) scale() {
	u := l.unit
	if u.mul == 1 && u.div == 1 {
		return
	}
	all := func(points []survey.Point) {
		for i := range points {
			p := &points[i]
			p.X, p.Y, p.Z = u.metres(p.X), u.metres(p.Y), u.metres(p.Z)
		}
	}
	all(l.s.Points)
	all(l.s.Control)
	for i := range l.s.Outlines {
		all(l.s.Outlines[i].Points)
	}
	for i := range l.s.Surfaces {
		s := &l.s.Surfaces[i]
		all(s.Vertices)
		all(s.Points)
		for j := range s.Rings {
			all(s.Rings[j].Points)
		}
		for j := range s.Breaklines {
			all(s.Breaklines[j].Points)
		}
		d := &s.Declared
		d.Area2D, d.Area3D = u.metres(u.metres(d.Area2D)), u.metres(u.metres(d.Area3D))
		d.ElevMin, d.ElevMax = u.metres(d.ElevMin), u.metres(d.ElevMax)
	}
}
