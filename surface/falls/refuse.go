package falls

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"pourplane/surface"
	"pourplane/surface/internal/exact"
	"pourplane/surface/internal/plan"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// TooHigh is the refusal of an even fall that goes above the level of the walls.
type TooHigh struct {
	Drain  string
	At     surface.Vec // the highest place at a wall
	Z, Top float64     // m
}

func (e *TooHigh) Error() string { return "the fall goes above the walls" }

// TooFlat is the refusal of level walls that leave less fall than stated.
type TooFlat struct {
	Drain       string
	At          surface.Vec // the place with the least fall
	Least, Fall float64     // rise over run
	Way         float64     // m from there to the drain
}

func (e *TooFlat) Error() string { return "the floor falls less than stated" }

// Hidden is the refusal of level walls where an inner corner is in the way to the nearest drain.
type Hidden struct {
	Drain string
	At    surface.Vec
}

func (e *Hidden) Error() string { return "a part of the floor has no straight way to its drain" }

// Dry is the refusal of a drain that no water reaches.
type Dry struct {
	Drain, Other string
	At           surface.Vec
	Z, Floor     float64 // m: elevations of the drain and of the floor there, without it
}

func (e *Dry) Error() string { return "no water reaches the drain" }

// wallThickness is the max distance outside its outline to which a floor may fall, m: a gully
// in the wall is not part of the floor. Own choice, a thick wall.
const wallThickness = 0.5

// steepest is the max fall, rise over run. Own choice: nothing is floated or walked on beyond.
const steepest = 0.5

func percent(fall float64) string { return strconv.FormatFloat(fall*100, 'g', 4, 64) + " %" }

// what names a drain in a message.
func what(d *Drain) string {
	kind := "drain"
	if d.Channel {
		kind = "channel"
	}
	if d.Name == "" {
		return kind
	}
	return kind + " " + unit.Quote(d.Name)
}

func (a *Ask) spot(p surface.Vec) surface.Spot { return surface.Spot{Floor: a.Floor, At: p} }

func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// check refuses what can be refused without the floor.
func (a *Ask) check() error {
	if len(a.Drains) == 0 {
		return &survey.Error{Found: "no drain", Want: "at least one drain or channel to fall to"}
	}
	if !(a.Fall > 0 && a.Fall <= steepest) {
		return &survey.Error{Element: "fall", Found: percent(a.Fall), Want: "a fall above 0 %, max " + percent(steepest)}
	}
	known := 0
	for i := range a.Drains {
		d := &a.Drains[i]
		if !finite(d.At.X, d.At.Y) || d.Channel && !finite(d.To.X, d.To.Y) || math.IsInf(d.Z, 0) {
			return &survey.Error{Element: what(d), Found: fmt.Sprintf("(%g, %g)", d.At.X, d.At.Y), Want: "a place in numbers"}
		}
		if !math.IsNaN(d.Z) {
			known++
		}
	}
	switch {
	case math.IsInf(a.Top, 0):
		return &survey.Error{Element: "level of the walls", Found: fmt.Sprintf("%g", a.Top), Want: "an elevation"}
	case a.Level && math.IsNaN(a.Top):
		return (&survey.Error{Found: "walls that are to be level, without their level", Want: "the elevation of the floor at the walls"}).
			Hinted("or %s, which takes the elevation of the drains", unit.Ask("walls", "even"))
	case !a.Level && known > 0 && known < len(a.Drains):
		unknown := slices.IndexFunc(a.Drains, func(d Drain) bool { return math.IsNaN(d.Z) })
		return &survey.Error{Element: what(&a.Drains[unknown]), Found: "no elevation, where other drains have one",
			Want: "the elevation of every drain, or of none: then the walls give them"}
	case !a.Level && known == 0 && math.IsNaN(a.Top):
		return &survey.Error{Element: what(&a.Drains[0]), Found: "no elevation, and no level of the walls", Want: "one of the two"}
	}
	return nil
}

// settled is a drain on the floor, in metres from the origin.
type settled struct {
	Drain
	at, to vec
	order  int // among those asked for
}

// settle puts the drains on the floor: one in the thickness of a wall at the nearest place of the
// wall. They are sorted by place.
func (a *Ask) settle(w *walls) ([]settled, error) {
	var out []settled
	for i, d := range a.Drains {
		s := settled{Drain: d, order: i}
		var err error
		if s.at, err = a.within(w, &d, d.At); err != nil {
			return nil, err
		}
		s.to = s.at
		if d.Channel {
			if s.to, err = a.within(w, &d, d.To); err != nil {
				return nil, err
			}
			if err := a.channel(w, &s); err != nil {
				return nil, err
			}
			if s.to.Less(s.at) {
				s.at, s.to = s.to, s.at
			}
		}
		if a.Level {
			if err := a.offWalls(w, &s); err != nil {
				return nil, err
			}
		}
		out = append(out, s)
	}
	inOrder(out)
	for i := range out {
		for j := range i {
			if err := a.apart(w, &out[j], &out[i]); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// within returns place p of a drain, on the floor. A place moved to a wall is not rounded to the
// grid: seen past a corner near by, the wall would bend.
func (a *Ask) within(w *walls, d *Drain, p surface.Vec) (vec, error) {
	const at = 1e-6 // m: nearer to a wall than anything is built
	q := w.local(p)
	near, e, away := w.nearest(q)
	for _, c := range [2]int{w.edges[e].a, w.edges[e].b} {
		if w.corners[c].at.Distance(q) <= max(at, away) {
			near = w.corners[c].at
		}
	}
	switch {
	case away <= at:
		return near, nil
	case w.inside(q):
		return q, nil
	}
	edge, most := "the outline", wallThickness
	if a.Floor.Hull {
		edge, most = "the outermost shots", wallThickness+a.Floor.Spacing()
	}
	if away > most {
		return q, (&survey.Error{Element: what(d)}).Saw("%s, %s outside %s", unit.Place{X: p.X, Y: p.Y}, unit.Distance(away), edge).
			Wanted("a place on the floor, or no farther than %s from it", unit.Distance(most))
	}
	return near, nil
}

// channel refuses a channel without length or one that leaves the floor.
func (a *Ask) channel(w *walls, s *settled) error {
	const least = 0.01 // m, own choice
	long := s.at.Distance(s.to)
	if long < least {
		return (&survey.Error{Element: what(&s.Drain)}).Saw("%s from end to end", unit.FineDepth(long)).Wanted("two ends, min %s apart", unit.Depth(least))
	}
	cuts := []float64{0, 1}
	for e := range w.edges {
		p, q := w.ends(e)
		x := plan.Edge{A: s.at, B: s.to}
		if plan.Meet(s.at, s.to, p, q) == exact.Cross && min(x.Distance(p), x.Distance(q)) > close {
			if min(s.at.Distance(s.at.NearestOn(p, q)), s.to.Distance(s.to.NearestOn(p, q))) > close {
				at, _ := crossing(s.at, s.to, p, q)
				return a.leaves(&s.Drain, w.site(at))
			}
		}
		for _, k := range [2]vec{p, q} {
			if x.Distance(k) <= 2*close {
				cuts = append(cuts, k.Along(s.at, s.to))
			}
		}
	}
	slices.Sort(cuts)
	for i := 1; i < len(cuts); i++ {
		if (cuts[i]-cuts[i-1])*long < least/10 {
			continue
		}
		at := between(s.at, s.to, (cuts[i]+cuts[i-1])/2)
		if _, _, away := w.nearest(at); away > 2*close && !w.inside(at) {
			return a.leaves(&s.Drain, w.site(at))
		}
	}
	return nil
}

func (a *Ask) leaves(d *Drain, at surface.Vec) error {
	return (&survey.Error{Element: what(d), Want: "a channel that stays on the floor: give its two sides of the wall as two channels"}).
		Saw("a wall across it at %s", unit.Place{X: at.X, Y: at.Y})
}

// crossing returns where the lines a–b and c–d cross.
func crossing(a, b, c, d vec) (vec, bool) {
	r, s := minus(b, a), minus(d, c)
	det := cross(r, s)
	if det == 0 {
		return vec{}, false
	}
	return plus(a, times(cross(minus(c, a), s)/det, r)), true
}

// offWalls refuses a drain at a wall that is to be level: the floor there would have two levels.
func (a *Ask) offWalls(w *walls, s *settled) error {
	for _, p := range [2]vec{s.at, s.to} {
		if _, _, away := w.nearest(p); away > 2*close {
			continue
		}
		at := w.site(p)
		return (&survey.Error{Element: what(&s.Drain), Want: "a drain away from the walls, where these are to be level"}).
			Saw("an end at a wall, %s", a.spot(at)).
			Hinted("%s lets the level of the walls vary", unit.Ask("walls", "even"))
	}
	return nil
}

// apart refuses two drains at one place, and channels that meet.
func (a *Ask) apart(w *walls, s, t *settled) error {
	const least = 0.001 // m
	d, at := apart(s, t)
	if d >= least {
		return nil
	}
	found := "the place of " + what(&s.Drain)
	if s.Channel || t.Channel {
		found = "a place on " + what(&s.Drain)
	}
	return (&survey.Error{Element: what(&t.Drain), Want: "drains at different places"}).Saw("%s, %s", found, a.spot(w.site(at)))
}

// apart returns the distance of two drains and where they are nearest.
func apart(s, t *settled) (float64, vec) {
	if s.Channel && t.Channel && plan.Meet(s.at, s.to, t.at, t.to) != exact.Apart {
		if at, ok := crossing(s.at, s.to, t.at, t.to); ok {
			return 0, at
		}
	}
	best, where := math.Inf(1), vec{}
	for _, x := range [][2]*settled{{s, t}, {t, s}} {
		for _, p := range [2]vec{x[0].at, x[0].to} {
			if d := p.Distance(p.NearestOn(x[1].at, x[1].to)); d < best {
				best, where = d, p
			}
		}
	}
	return best, where
}

// reached refuses a floor of which a part has no way to any drain.
func (a *Ask) reached(w *walls, sources []source) error {
	for i := range w.corners {
		c := &w.corners[i]
		if slices.ContainsFunc(sources, func(s source) bool {
			_, ok := w.value(&s, c.at)
			return ok
		}) {
			continue
		}
		return (&survey.Error{Element: "drains", Want: "a drain in each part of the floor that walls separate"}).
			Saw("none that the floor at %s could fall to", a.spot(w.site(c.at)))
	}
	return nil
}

// undercut refuses a drain at which the fall to another is lower: no water would reach it.
func (a *Ask) undercut(w *walls, drains []settled, sources []source) error {
	for i := range sources {
		s := &sources[i]
		if s.corner >= 0 {
			continue
		}
		for j := range sources {
			t := &sources[j]
			if t.drain == s.drain {
				continue
			}
			at := s.at
			if s.strip && !t.strip {
				at = t.at.NearestOn(s.at, plus(s.at, times(s.long, s.along)))
			}
			l, ok := w.value(t, at)
			if !ok || l >= s.w-1e-9 {
				continue
			}
			d, p := &drains[s.drain], w.site(at)
			e := &Dry{Drain: d.Name, Other: drains[t.drain].Name, At: p, Z: d.Z, Floor: d.Z - a.Fall*(s.w-l)}
			return (&survey.Error{Element: what(&d.Drain), Want: "a drain no higher than the floor round it", Err: e}).
				Saw("%s, where the floor that falls %s to %s is at %s", unit.FineLevel(e.Z), percent(a.Fall), what(&drains[t.drain].Drain), unit.FineLevel(e.Floor))
		}
	}
	return nil
}

func (a *Ask) tooHigh(d *Drain, at surface.Vec, z float64) error {
	e := &TooHigh{Drain: d.Name, At: at, Z: z, Top: a.Top}
	return (&survey.Error{Element: what(d), Err: e}).
		Saw("%s with a fall of %s, which gives %s at the highest wall, %s: %s above the level of the walls, %s",
			unit.FineLevel(d.Z), percent(a.Fall), unit.FineLevel(z), a.spot(at), unit.FineDepth(z-a.Top), unit.FineLevel(a.Top)).
		Wanted("a floor nowhere above that: the drain %s lower, or less fall", unit.FineDepth(z-a.Top))
}

func (a *Ask) tooFlat(s *Served) error {
	e := &TooFlat{Drain: s.Name, At: s.LeastAt, Least: s.LeastFall, Fall: a.Fall, Way: s.Farthest}
	return (&survey.Error{Element: what(&s.Drain), Err: e}).
		Saw("%s, %s below the level of the walls: a fall of %s from %s, %s away", unit.FineLevel(s.Z), unit.FineDepth(a.Top-s.Z), percent(s.LeastFall), a.spot(s.LeastAt), unit.Distance(s.Farthest)).
		Wanted("%s or more: the drain at %s or lower", percent(a.Fall), unit.FineLevel(a.Top-a.Fall*s.Farthest))
}

func (a *Ask) hidden(d *Drain, at surface.Vec) error {
	return (&survey.Error{Element: what(d), Want: "a straight way from every wall to a drain, for level walls: one more drain", Err: &Hidden{Drain: d.Name, At: at}}).
		Saw("an inner corner between it and the floor at %s", a.spot(at)).
		Hinted("or %s, which falls round corners", unit.Ask("walls", "even"))
}
