package job

import (
	"math"
	"sort"
	"strings"

	"pourplane/surface"
	"pourplane/surface/settlement"
	"pourplane/survey"
)

// Two shots are at one place if they have one name and are oneName apart, or are
// onePlace apart: a rod goes back to a mark within that. Own choice; on a floor that
// falls 1 % a shot 50 mm off its mark is 0.5 mm off in elevation.
const (
	oneName  = 0.1  // m
	onePlace = 0.05 // m
)

// matcher finds the places that several surveys have read.
type matcher struct {
	places []settlement.Place
	names  []string
	shots  []survey.Point // each as first read
	read   int            // surveys so far
	apart  []movedName    // names at two places
}

// movedName is a name that two surveys have at places too far apart to be one.
type movedName struct {
	name     string
	distance float64 // m
}

// measuredShots lists the shots that a floor is made of, each place once, with the elevation
// that it has there: of shots at one place that is what the rule for duplicates makes of them.
// Shots off the floor are not among them. A surface with its own faces gives its vertices.
func measuredShots(f *surface.Floor) []survey.Point {
	var out []survey.Point
	seen := map[surface.Vec]bool{}
	for _, r := range f.Regions {
		first := len(out)
		order := []int32{}
		for v, n := range r.TIN.Shot {
			if n < 0 {
				continue
			}
			p := r.Shots[n]
			p.Z = r.TIN.Z[v]
			if at := (surface.Vec{X: p.X, Y: p.Y}); !seen[at] { // the two sides of a step may share one
				seen[at] = true
				out, order = append(out, p), append(order, n)
			}
		}
		sort.Sort(inOrder{out[first:], order}) // of the file
	}
	return out
}

// inOrder sorts shots by their numbers.
type inOrder struct {
	shots []survey.Point
	order []int32
}

func (o inOrder) Len() int           { return len(o.shots) }
func (o inOrder) Less(i, j int) bool { return o.order[i] < o.order[j] }
func (o inOrder) Swap(i, j int) {
	o.shots[i], o.shots[j] = o.shots[j], o.shots[i]
	o.order[i], o.order[j] = o.order[j], o.order[i]
}

// add matches the shots of the next survey with the places so far. Shots without a match
// are new places.
func (m *matcher) add(shots []survey.Point) {
	of := make([]int, len(shots)) // place of each shot, -1 for none
	taken := make([]bool, len(m.places))
	known, given := byName(m.shots), byName(shots)
	for i, p := range shots {
		of[i] = -1
		key := strings.ToUpper(p.Name())
		k, one := known[key]
		if j, only := given[key]; key == "" || !one || k < 0 || !only || j < 0 {
			continue // no name, or one that several shots have
		}
		if d := apartIn(p, m.shots[k]); d <= oneName {
			of[i], taken[k] = k, true
		} else {
			m.apart = append(m.apart, movedName{p.Name(), d})
		}
	}
	m.nearest(shots, of, taken)
	for i := range m.places {
		m.places[i].Z = append(m.places[i].Z, math.NaN())
	}
	for i, p := range shots {
		k := of[i]
		if k < 0 {
			k = len(m.places)
			m.places = append(m.places, settlement.Place{X: p.X, Y: p.Y, Z: make([]float64, m.read+1)})
			for n := range m.read {
				m.places[k].Z[n] = math.NaN()
			}
			m.shots, m.names = append(m.shots, p), append(m.names, p.Name())
		}
		m.places[k].Z[m.read] = p.Z
		if m.names[k] == "" {
			m.names[k] = p.Name()
		}
	}
	m.read++
}

// byName gives the index of each name in upper case, -1 for one that several points have.
func byName(points []survey.Point) map[string]int {
	out := map[string]int{}
	for i := range points {
		key := strings.ToUpper(points[i].Name())
		if _, twice := out[key]; twice {
			i = -1
		}
		out[key] = i
	}
	return out
}

func apartIn(p, q survey.Point) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }

// nearest matches shots and places without a match that are the nearest to each other,
// and near enough. Of two that are equally near neither is matched.
func (m *matcher) nearest(shots []survey.Point, of []int, taken []bool) {
	places := newNearby(m.shots, func(k int) bool { return !taken[k] })
	free := newNearby(shots, func(i int) bool { return of[i] < 0 })
	type pair struct{ shot, place int }
	var found []pair
	for i, p := range shots {
		if of[i] >= 0 {
			continue
		}
		k := places.nearest(p)
		if k < 0 || free.nearest(m.shots[k]) != i {
			continue
		}
		found = append(found, pair{i, k})
	}
	for _, f := range found {
		of[f.shot] = f.place
	}
}

// nearby finds points by place, in squares of [onePlace].
type nearby struct {
	points []survey.Point
	in     map[[2]int64][]int
}

func newNearby(points []survey.Point, use func(int) bool) *nearby {
	n := &nearby{points, map[[2]int64][]int{}}
	for i := range points {
		if use(i) {
			n.in[squareOf(points[i])] = append(n.in[squareOf(points[i])], i)
		}
	}
	return n
}

func squareOf(p survey.Point) [2]int64 {
	return [2]int64{int64(math.Floor(p.X / onePlace)), int64(math.Floor(p.Y / onePlace))}
}

// nearest returns the index of the nearest point within [onePlace] of p, -1 if there is
// none or two are equally near.
func (n *nearby) nearest(p survey.Point) int {
	const rounding = 1e-9 // m
	best, at := -1, math.Inf(1)
	square := squareOf(p)
	for dx := int64(-1); dx <= 1; dx++ {
		for dy := int64(-1); dy <= 1; dy++ {
			for _, i := range n.in[[2]int64{square[0] + dx, square[1] + dy}] {
				switch d := apartIn(p, n.points[i]); {
				case d > onePlace+rounding:
				case d < at-rounding:
					best, at = i, d
				case d <= at+rounding:
					best, at = -1, min(d, at)
				}
			}
		}
	}
	return best
}
