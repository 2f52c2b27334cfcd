package best

import (
	"math"

	"pourplane/surface"
)

// Limit names a limit for a message.
type Limit struct {
	Kind Kind
	Name string
	At   surface.Vec
	// Alone is by how much this limit alone must be loosened for a plane to keep all limits, m;
	// of a fall, rise over run, from what is allowed. It is +Inf if that is not enough.
	Alone float64
}

// Clash is the error for limits that no plane keeps.
type Clash struct {
	Limits []Limit // a smallest set: without any one of them the others leave a plane
	Each   float64 // m: these limits, loosened by this each, leave one plane
	Fall   float64 // the same for the greatest fall, rise over run
	// Ranges is by how much the ranges of all places, and they alone, must be loosened for a
	// plane to keep all limits, m. It is +Inf if that is not enough.
	Ranges float64
}

func (c *Clash) Error() string { return "no plane keeps all limits" }

// clash finds which limits of s clash: each is left out in turn, and for good if the others
// clash without it.
func (g *Ground) clash(s Spec) *Clash {
	out := &Clash{}
	all := s
	for _, l := range s.limits() {
		left := s.without(l)
		if _, short := newProblem(g, &left).within(); short > touching {
			s = left
			continue
		}
		out.Limits = append(out.Limits, Limit{Kind: l.kind, Alone: g.alone(all, l)})
		if l.kind == Highest || l.kind == Lowest {
			last := &out.Limits[len(out.Limits)-1]
			last.Name, last.At = s.Places[l.place].Name, s.Places[l.place].At
		}
	}
	p := newProblem(g, &s)
	_, out.Each = p.within()
	out.Fall = out.Each / g.reach
	p = newProblem(g, &all)
	p.loose = func(l *limit) bool { return l.kind == Highest || l.kind == Lowest }
	_, out.Ranges = p.within()
	return out
}

// limits are the kinds of limits of s, and the sides of its places.
func (s *Spec) limits() (out []limit) {
	if s.Level {
		out = append(out, limit{kind: Level})
	}
	if s.MaxFall > 0 {
		out = append(out, limit{kind: MaxFall})
	}
	if !s.grinds() {
		out = append(out, limit{kind: MinDepth})
	}
	if s.MaxDepth > 0 {
		out = append(out, limit{kind: MaxDepth})
	}
	for i, at := range s.Places {
		if !math.IsInf(at.Most, 1) {
			out = append(out, limit{kind: Highest, place: i})
		}
		if !math.IsInf(at.Least, -1) {
			out = append(out, limit{kind: Lowest, place: i})
		}
	}
	return out
}

// without returns s without a limit.
func (s Spec) without(l limit) Spec {
	switch l.kind {
	case Level:
		s.Level = false
	case MaxFall:
		s.MaxFall = 0
	case MinDepth:
		s.GrindPrice = 1
	case MaxDepth:
		s.MaxDepth = 0
	case Highest, Lowest:
		s.Places = append([]Place(nil), s.Places...)
		if l.kind == Highest {
			s.Places[l.place].Most = math.Inf(1)
		} else {
			s.Places[l.place].Least = math.Inf(-1)
		}
	}
	return s
}

// alone returns by how much one limit must be loosened for a plane to keep all of s.
func (g *Ground) alone(s Spec, l limit) float64 {
	kind := l.kind
	if kind == Level {
		s.Level, s.MaxFall, kind = false, 0, MaxFall
	}
	p := newProblem(g, &s)
	p.capped = p.capped || kind == MaxFall
	p.loose = func(o *limit) bool {
		return o.kind == kind && (o.place == l.place || kind != Highest && kind != Lowest)
	}
	_, short := p.within()
	switch {
	case kind == MaxFall:
		return short / g.reach
	case kind == MinDepth && short > s.MinDepth:
		return math.Inf(1) // less than no depth
	}
	return short
}
