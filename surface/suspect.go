package surface

import (
	"cmp"
	"math"
	"slices"

	"pourplane/survey"
)

// Suspect is a shot that does not fit its neighbours.
type Suspect struct {
	Shot survey.Point
	Fits float64 // m: the elevation its neighbours lead one to expect
	Off  float64 // m: how far the shot stands above that; negative below
}

const (
	// mostJudged is how many shots are looked through: scans have no misread
	// rods, and their noise is not worth the time.
	mostJudged = 100_000
	// compared is how many neighbours a shot is held against: those round it on a
	// grid.
	compared = 8
	// suspectSpreads is how many robust standard deviations off a shot is suspect.
	// On the invented floors of the tests, level to wavy by 10 mm, sound shots
	// stayed below it.
	suspectSpreads = 7
	// suspectLeast is the least departure worth a question, m: a floor has humps,
	// and a rod stands on a crumb.
	suspectLeast = 0.012
)

// suspects returns the known shots of a region that stand off the plane through
// their nearest neighbours, worst first. Departures are weighed by how well the
// neighbours tell the place: one beyond them all, in a corner, tells little. The
// worst is set aside before its neighbours are judged again, since one bad shot
// makes good ones look bad.
func (s *sheet) suspects(known []int32) []Suspect {
	if len(s.r.shots) > mostJudged {
		return nil
	}
	var shots []int32
	for _, v := range known {
		if s.shot[v] >= 0 {
			shots = append(shots, v)
		}
	}
	if len(shots) < compared+4 {
		return nil
	}
	n := newNeighbours(s.k, shots)
	j := &judge{s: s, n: n, aside: map[int32]bool{}, off: make(map[int32]departure, len(shots))}
	all := make([]float64, 0, len(shots))
	for _, v := range shots {
		d := j.judge(v)
		j.off[v] = d
		all = append(all, math.Abs(d.weighed))
	}
	// The lower quartile, since on a small floor one bad shot spoils the departures
	// of more than half of the others. (0.3186 standard deviations on normal errors.)
	slices.Sort(all)
	bound := max(suspectSpreads*all[len(all)/4]/0.3186, suspectLeast)
	var out []Suspect
	for len(out) < 20 {
		worst := int32(-1)
		for _, v := range shots {
			if j.aside[v] {
				continue
			}
			d := math.Abs(j.off[v].weighed)
			if worst < 0 || d > math.Abs(j.off[worst].weighed) || d == math.Abs(j.off[worst].weighed) && s.k[v].less(s.k[worst]) {
				worst = v
			}
		}
		if worst < 0 || math.Abs(j.off[worst].weighed) <= bound {
			break
		}
		p := s.b.data.Shots[s.shot[worst]]
		out = append(out, Suspect{Shot: p, Fits: p.Z - j.off[worst].off, Off: j.off[worst].off})
		j.aside[worst] = true
		for _, v := range slices.Clone(n.around(s.k[worst], 6*compared)) {
			j.off[v] = j.judge(v)
		}
	}
	slices.SortStableFunc(out, func(a, b Suspect) int { return cmp.Compare(math.Abs(b.Off), math.Abs(a.Off)) })
	return out
}

// judge holds shots against their neighbours.
type judge struct {
	s     *sheet
	n     *neighbours
	aside map[int32]bool
	off   map[int32]departure
}

type departure struct{ off, weighed float64 }

func (j *judge) judge(v int32) departure {
	s := j.s
	p := s.k[v]
	var points []survey.Point
	var weight []float64
	for _, u := range j.n.around(p, compared+4+len(j.aside)) {
		if u == v || j.aside[u] || len(points) == compared {
			continue
		}
		at := s.b.metres(s.k[u])
		points = append(points, survey.Point{X: at.X, Y: at.Y, Z: s.z[u]})
		weight = append(weight, 1)
	}
	at := s.b.metres(p)
	// Steady, since on a small floor one bad shot is a neighbour of every other.
	plane, err := steadyPlane(points, weight)
	if err != nil {
		return departure{}
	}
	off := s.z[v] - plane.Elevation(at)
	return departure{off, off / math.Sqrt(1+variance(at, points, weight))}
}
