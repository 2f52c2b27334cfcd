package thin

import (
	"slices"
)

const (
	// MostExact is the number of points of a square up to which its median is exact. Past it
	// the square counts its points in steps of height.
	MostExact = 256
	// LeastStep is the first step of height, nm. A square that has points at more than
	// mostLevels heights, as one at a wall, takes steps of twice the height until they are
	// no more than that.
	LeastStep  = 100_000
	mostLevels = 256
)

// middle is what is kept of a square to know the point of median elevation. It depends on
// the points and not on their order, nor on how they were divided and joined: up to
// MostExact points are all kept; of more, the number at each step of height and the first of
// them in the order of lower, in the least step with no more than mostLevels of them.
type middle struct {
	shots []Shot  // all of them, in no order, while step is 0
	level []level // in order of height
	step  int64   // nm
	n     uint64
}

// level is a step of height that has points.
type level struct {
	Shot        // the first of them
	n    uint64 // their number
}

// key returns the number of the step in which a shot is.
func (m *middle) key(p *Shot) int64 { return FloorDiv(Nanometres(p.Z), m.step) }

// add takes a shot.
func (m *middle) add(p Shot) {
	m.n++
	if m.step == 0 {
		if m.shots == nil {
			m.shots = make([]Shot, 0, 4)
		}
		if m.shots = append(m.shots, p); len(m.shots) > MostExact {
			m.count()
		}
		return
	}
	m.put(level{p, 1})
}

// count counts the shots in steps of height.
func (m *middle) count() {
	m.step = LeastStep
	slices.SortFunc(m.shots, lower)
	m.level = make([]level, 0, 64)
	for _, p := range m.shots {
		if k := len(m.level); k > 0 && m.key(&m.level[k-1].Shot) == m.key(&p) {
			m.level[k-1].n++
		} else {
			m.level = append(m.level, level{p, 1})
		}
	}
	m.shots = nil
	m.widen()
}

// put takes the shots of a step of height.
func (m *middle) put(l level) {
	at := m.key(&l.Shot)
	i, j := 0, len(m.level)
	for i < j {
		if k := int(uint(i+j) >> 1); m.key(&m.level[k].Shot) < at {
			i = k + 1
		} else {
			j = k
		}
	}
	if i == len(m.level) || m.key(&m.level[i].Shot) != at {
		m.level = slices.Insert(m.level, i, l)
		m.widen()
		return
	}
	old := &m.level[i]
	if lower(l.Shot, old.Shot) < 0 {
		old.Shot = l.Shot
	}
	old.n += l.n
}

// widen doubles the steps until there are few enough.
func (m *middle) widen() {
	for len(m.level) > mostLevels {
		m.double()
	}
}

// double doubles the steps.
func (m *middle) double() {
	m.step *= 2
	k := 0
	for _, l := range m.level[1:] {
		if m.key(&m.level[k].Shot) == m.key(&l.Shot) {
			m.level[k].n += l.n // its first is higher
			continue
		}
		k++
		m.level[k] = l
	}
	m.level = m.level[:k+1]
}

// join adds the shots of o.
func (m *middle) join(o *middle) {
	if o.step == 0 {
		for _, p := range o.shots {
			m.add(p)
		}
		return
	}
	if m.step == 0 {
		few := m.shots
		*m = middle{level: slices.Clone(o.level), step: o.step, n: o.n}
		for _, p := range few {
			m.add(p)
		}
		return
	}
	m.n += o.n
	for m.step < o.step {
		m.double()
	}
	for _, l := range o.level {
		m.put(l)
	}
}

// median returns the point of median elevation, the lower of two. Its elevation is exact,
// or up to within below the median.
func (m *middle) median() (p Shot, within int64) {
	if m.step == 0 {
		slices.SortFunc(m.shots, lower)
		return m.shots[(len(m.shots)-1)/2], 0
	}
	before := uint64(0)
	for _, l := range m.level {
		if before += l.n; before > (m.n-1)/2 {
			if l.n == 1 {
				return l.Shot, 0
			}
			return l.Shot, m.step
		}
	}
	panic("thin: a square without its median")
}
