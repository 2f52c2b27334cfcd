package flatness

import (
	"cmp"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Laying is which edge is laid on a floor, and where.
type Laying struct {
	Length     float64                 // m, of the edge
	Directions int                     // over half a turn, the first to the east; 0: 12, one every 15°; north and the walls are added
	Spacing    float64                 // m between lines; 0: half the spacing of the shots, from 25 to 150 mm, or more to limit the work to some seconds
	Worst      int                     // number of places to report; 0: 10
	Target     surface.Plane           // that Step is measured from; zero: level
	Limit      func(d float64) float64 // m, > 0: allowed gap for supports d metres apart; nil: not judged
	Progress   func(done, total int)   // gets how much is done, from one goroutine at a time; may be nil
	Stop       func() error            // asked now and then, from any goroutine: its error ends the laying; may be nil
}

// Place is a position of the edge.
type Place struct {
	Gap                float64     // m, max between its supports
	From, To           surface.Vec // its ends
	SupportA, SupportB surface.Vec
	LowAt              surface.Vec // place of the max gap
}

// Straightedge is the result of laying an edge on a floor. Its embedded Place is the worst.
type Straightedge struct {
	Place
	Length     float64
	Directions []float64 // degrees from east, counter-clockwise
	Spacing    float64   // m, max between lines
	Lines      int
	Fits       bool    // there is a position for it
	Positions  float64 // m of way examined, over all lines: the way of the start of the edge
	Longest    float64 // m, the longest stretch from wall to wall on any line
	Worst      []Place // the worst, separate: their lowest places are at least half an edge apart
	Rocking    float64 // m of Positions with both supports within a third of the edge: it rocks on a hump instead of bridging a hollow
	Rock       Place   // where the edge turns most as its middle passes a support; LowAt is that support
	Swing      float64 // m, how far each end moves there from one rest to the other
	Ratio      float64 // max of gap over limit at the distance of its supports; 0 without a limit
	RatioAt    Place
	Step       float64 // m, max difference between the departures of the floor from the target under the two ends: "x in L", with no edge laid
	StepAt     Place
	Shareless  bool // the distribution of gaps was not kept
	gaps       []float64
}

// Within returns the share of positions, 0 to 1, with a gap of at most tolerance in metres.
// For the lines examined it is exact if the tolerance is a whole number of 1/160 mm up to
// 100 mm, as every tenth of a millimetre and every 1/32 in is; otherwise it is interpolated,
// and from 100 mm up to the max gap. It is NaN for an edge shorter than two spacings of the
// shots: there the share would show the triangles and nothing about the floor.
func (e Straightedge) Within(tolerance float64) float64 {
	switch {
	case e.Shareless:
		return math.NaN()
	case tolerance < 0:
		return 0
	case e.Positions > 0:
	case e.Gap <= tolerance+sameHeight:
		return 1
	default:
		return 0
	}
	steps := (tolerance + sameHeight) / gapStep
	way := 0.0
	for i, w := range e.gaps {
		part := min(max(steps-float64(i)+1, 0), 1)
		if i == mostBins { // from the bin before to the max gap
			first := (mostBins - 1) * gapStep
			part = min(max((tolerance-first)/(e.Gap-first), 0), 1)
		}
		way += w * part
	}
	return min(1, way/e.Positions)
}

// chunk is how many lines are processed together. Chunks are done on all processors and
// added in order, so the result is the same on any machine.
const chunk = 32

// Lay lays an edge on f in every position along parallel lines, in several directions:
// evenly over half a turn, to the north, and along the walls, in the direction of most of
// their length. Lines run from wall to wall, the outermost along the walls. The two sides of
// a step are two floors: the edge is never across one. Only positions with the whole edge on
// the floor count.
//
// The edge rests where it settles: on the two corners of the upper convex hull of the floor
// under it on either side of its middle. The gap is read between these supports, never under
// an overhanging end. (Own derivation; that the supports are the hull edge under the middle
// is what gravity does to a rigid edge, and reading between supports only is common
// practice.)
//
// Along each line the answer is exact for the triangulated floor, over all positions, not
// only those with an end on a node. Between nodes both ends of the edge are on straight
// pieces of floor. While the supports stay the same the gap above a node is one of three
// functions of the position s:
//
//   - both supports are nodes: constant;
//   - one is a node and the other an end of the edge: of first order in one over
//     their distance, so it only increases or only decreases;
//   - both are ends of the edge: of second order and curved downward, with its
//     max where its derivative is zero or at an end of the piece.
//
// The place of the max gap changes between two nodes where the edge is parallel to the line
// through them. Supports change where the middle passes a support, a free end touches the
// floor, or a node touches the edge; each is a root of a linear or quadratic equation. The
// pieces are followed from event to event, so no maximum can be missed. Heights within a
// nanometre count as equal. Across the lines the floor is sampled at the spacing. At the
// places with the largest gaps the edge is then moved and rotated until the gap no longer
// increases. On 24 random floors with shots every 300 mm the gap found was at least 0.9999
// of the gap on lines 20 mm and 3° apart; the lines alone miss up to 7 % of it. An edge that
// fits on none of the lines is tried along the longest ways over the floor, from corner to
// corner.
//
// Errors are [*survey.Error]: settings out of range, or [ErrTooWide] as the cause. An edge
// that fits nowhere is not an error; Positions is then 0.
func Lay(f *surface.Floor, l Laying) (Straightedge, error) {
	all, err := LayAll(f, l, l.Length)
	if err != nil {
		return Straightedge{}, err
	}
	return all[0], nil
}

// LayAll lays edges of several lengths, each as [Lay] does, along lines that are walked once
// for all. l.Length is not used.
func LayAll(f *surface.Floor, l Laying, lengths ...float64) ([]Straightedge, error) {
	for _, l.Length = range lengths {
		if err := l.check(); err != nil {
			return nil, err
		}
	}
	l.Directions = cmp.Or(l.Directions, 12)
	l.Worst = cmp.Or(l.Worst, 10)
	bearings := l.bearings(f)
	if l.Spacing == 0 {
		l.Spacing = lineSpacing(f, len(bearings), len(lengths))
	}
	if countLines(f, bearings, l.Spacing)*float64(len(lengths)) > mostLines {
		lo, hi := f.Bounds()
		return nil, tooWide(f.Shots, lo, hi, "lines of straightedges")
	}
	var all []*search
	apart := f.Spacing()
	for _, l.Length = range lengths {
		all = append(all, &search{Laying: l, out: Straightedge{Length: l.Length, Directions: slices.Clone(bearings), Spacing: l.Spacing, Shareless: l.Length < 2*apart}})
	}
	shared := progress{report: l.Progress, stop: l.Stop, of: len(f.Regions) * len(bearings)}
	grounds := make([]ground, len(f.Regions))
	var located sync.WaitGroup // beside the lines
	defer located.Wait()
	for i, r := range f.Regions {
		t := ordered(r.TIN)
		located.Go(func() { grounds[i] = ground{t, t.Locator()} })
		over := newField(t)
		for _, degrees := range bearings {
			d := over.turn(degrees)
			if err := direction(all, d, d.lines(l.Spacing), &shared); err != nil {
				return nil, err
			}
		}
	}
	located.Wait()
	var out []Straightedge
	for _, s := range all {
		if err := shared.stopped(); err != nil {
			return nil, err
		}
		if !s.total.fits {
			for _, r := range f.Regions {
				s.fromCornerToCorner(r)
			}
			slices.Sort(s.out.Directions)
		}
		s.refine(grounds)
		out = append(out, s.result())
	}
	return out, nil
}

// mostCrossings is the max number of crossings of lines and triangles: several seconds of
// work.
const mostCrossings = 1.5e7

// lineSpacing returns the distance of lines for edges of several lengths: half that of the
// shots, from 25 to 150 mm, or more if that would give more than [mostCrossings]: a line
// meets about three triangles per shot.
func lineSpacing(f *surface.Floor, directions, lengths int) float64 {
	apart, crossings := f.Spacing(), 0.0
	for _, r := range f.Regions {
		crossings += 1.5 * float64(r.TIN.Len()) * apart // times one over the distance of lines
	}
	return max(min(max(apart/2, 0.025), 0.15), crossings*float64(directions*lengths)/mostCrossings)
}

// LayAlong lays an edge in every position along one profile, as
// [surface.Floor.Profile] returns it; see [Lay]. Directions, Spacing and Progress
// are not used.
func LayAlong(profile [][]surface.Station, l Laying) (Straightedge, error) {
	if err := l.check(); err != nil {
		return Straightedge{}, err
	}
	l.Worst = cmp.Or(l.Worst, 10)
	s := search{Laying: l, out: Straightedge{Length: l.Length, Lines: 1}}
	var p stretch
	var t tally
	for _, stations := range profile {
		p.reset()
		for i := range stations {
			p.add(stations[i].Distance, stations[i].Elevation)
		}
		s.clear(&t, p.x[0], p.x[len(p.x)-1])
		first, last := stations[0], stations[len(stations)-1]
		s.along(&p, &t, 0, (l.Target.Elevation(last.At)-l.Target.Elevation(first.At))/(last.Distance-first.Distance))
		s.merge(&t, func(u, _ float64) surface.Vec {
			f := (u - first.Distance) / (last.Distance - first.Distance)
			return surface.Vec{X: first.At.X + f*(last.At.X-first.At.X), Y: first.At.Y + f*(last.At.Y-first.At.Y)}
		})
	}
	return s.result(), nil
}

// Stretches returns a run as a profile, cut where a reading is missing. Places are metres
// along the run if the file does not give its place. The error is [*survey.Error]: a run
// without a step.
func Stretches(r survey.Run) ([][]surface.Station, error) {
	if !(r.Step > 0) {
		return nil, (&survey.Error{Pos: r.At, Element: "run " + r.Name, Found: "no distance between readings", Want: "the step of the run"}).Hinted("%s, or %s", unit.Ask("step", "12in"), unit.Ask("step", "300mm"))
	}
	var out [][]surface.Station
	open := false
	for i, s := range r.Stations {
		if open = open && !math.IsNaN(s.Z); math.IsNaN(s.Z) {
			continue
		}
		d := float64(i) * r.Step
		at := surface.Vec{X: d}
		if r.Placed() {
			f := float64(i) / float64(len(r.Stations)-1)
			at = surface.Vec{X: r.Start.X + f*(r.End.X-r.Start.X), Y: r.Start.Y + f*(r.End.Y-r.Start.Y)}
		}
		if !open {
			out, open = append(out, nil), true
		}
		n := len(out) - 1
		out[n] = append(out[n], surface.Station{Distance: d, At: at, Elevation: s.Z})
	}
	return slices.DeleteFunc(out, func(s []surface.Station) bool { return len(s) < 2 }), nil
}

func (l Laying) check() error {
	bad := func(element, found, want string) error {
		return &survey.Error{Element: element, Found: found, Want: want}
	}
	switch {
	case !(l.Length >= 0.01 && l.Length <= 100):
		return bad("length of the straightedge", fmt.Sprintf("%g m", l.Length), "0.01 to 100 m")
	case l.Directions < 0 || l.Directions > 180:
		return bad("directions of the straightedge", fmt.Sprint(l.Directions), "1 to 180 over half a turn")
	case l.Spacing != 0 && !(l.Spacing >= 0.001):
		return bad("spacing of lines", fmt.Sprintf("%g m", l.Spacing), "at least 0.001 m")
	case l.Worst < 0:
		return bad("number of worst places", fmt.Sprint(l.Worst), "1 or more")
	}
	return nil
}

// bearings returns the directions of lines, in degrees: evenly over half a turn, north, and
// the direction of most of the walls, to a tenth of a degree.
func (l Laying) bearings(f *surface.Floor) []float64 {
	var out []float64
	for i := range l.Directions {
		out = append(out, 180*float64(i)/float64(l.Directions))
	}
	type wall struct{ length, longest, degrees float64 }
	walls := map[int]wall{}
	for _, r := range f.Regions {
		for _, ring := range r.Rings {
			for i, a := range ring {
				b := ring[(i+1)%len(ring)]
				degrees := math.Mod(math.Atan2(b.Y-a.Y, b.X-a.X)*180/math.Pi+360, 180)
				key := int(math.Round(degrees*10)) % 1800
				w := walls[key]
				d := a.Distance(b)
				if w.length += d; d > w.longest {
					w.longest, w.degrees = d, degrees
				}
				walls[key] = w
			}
		}
	}
	var most wall
	for _, w := range walls {
		if w.length > most.length || w.length == most.length && w.degrees < most.degrees {
			most = w
		}
	}
	for _, more := range []float64{90, most.degrees} {
		if !slices.ContainsFunc(out, func(d float64) bool { return min(math.Abs(d-more), 180-math.Abs(d-more)) < 0.1 }) {
			out = append(out, more)
		}
	}
	slices.Sort(out)
	return out
}

// search collects the results of an edge.
type search struct {
	Laying
	out   Straightedge
	total tally
	found []Place // candidates for the worst places
}

// clear empties t for lines from lo to hi along. It keeps the worst position in every quarter
// of an edge.
func (s *search) clear(t *tally, lo, hi float64) {
	per := 4 / max(s.Length, 1)
	n := int((hi-lo)*per) + 1
	cells := slices.Grow(t.cells[:0], n)[:n]
	clear(cells)
	*t = tally{maximum: s.out.Shareless, limit: s.Limit, from: lo, per: per, cells: cells, bins: t.bins[:0]}
}

// along lays the edge along p, where the target rises by slope. An edge up to a tenth of a
// micrometre too long fits: lengths are rounded.
func (s *search) along(p *stretch, t *tally, line, slope float64) {
	have := p.length()
	t.longest = max(t.longest, have)
	if have >= s.Length-1e-7 {
		r := resting{stretch: p, length: min(s.Length, have), to: t, line: line, rise: slope * s.Length}
		r.run()
	}
}

// progress reports how much is done of several directions.
type progress struct {
	sync.Mutex
	report   func(done, total int) // may be nil
	stop     func() error          // may be nil
	why      error                 // it stopped
	done, of int                   // directions
	parts    int                   // done of the next one
}

// part records that one of the parts of a direction is done.
func (p *progress) part(of int) {
	if p.report == nil {
		return
	}
	p.Lock()
	defer p.Unlock()
	p.parts++
	p.report(p.done*of+p.parts, p.of*of)
	if p.parts == of {
		p.done, p.parts = p.done+1, 0
	}
}

// stopped returns why no more is to be done, and the same from then on.
func (p *progress) stopped() error {
	if p.stop == nil {
		return nil
	}
	p.Lock()
	defer p.Unlock()
	p.why = cmp.Or(p.why, p.stop())
	return p.why
}

// direction lays every edge along lines of one direction, ascending.
func direction(all []*search, d *turned, lines []float64, shared *progress) error {
	enter := d.entries(lines)
	parts := make([][]*tally, (len(lines)+chunk-1)/chunk)
	var next atomic.Int32
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(parts)) {
		wait.Go(func() {
			var p stretch
			for {
				i := int(next.Add(1)) - 1
				if i >= len(parts) || shared.stopped() != nil {
					return
				}
				for _, s := range all {
					t := new(tally)
					s.clear(t, d.lo.X, d.hi.X)
					parts[i] = append(parts[i], t)
				}
				for j := i * chunk; j < min((i+1)*chunk, len(lines)); j++ {
					for _, h := range enter[j] {
						d.walk(h, lines[j], &p)
						for k, s := range all {
							s.along(&p, parts[i][k], lines[j], float64(s.Target.SlopeX*d.cos)+float64(s.Target.SlopeY*d.sin))
						}
					}
				}
				shared.part(len(parts))
			}
		})
	}
	wait.Wait()
	if err := shared.stopped(); err != nil {
		return err
	}
	for k, s := range all {
		s.out.Lines += len(lines)
		for _, t := range parts {
			s.merge(t[k], d.place)
		}
	}
	return nil
}

// placed returns a spot as a position of the edge.
func (s *search) placed(p spot, place func(along, across float64) surface.Vec) Place {
	return Place{p.gap, place(p.s, p.line), place(p.s+s.Length, p.line), place(p.a, p.line), place(p.b, p.line), place(p.at, p.line)}
}

// apart is the min distance between the lowest points of two of the worst places, m.
func (s *search) apart() float64 { return max(s.Length/2, 0.25) }

// mostFound is the max number of candidates for the worst places: some hundreds for each
// place shown.
const mostFound = 20_000

// merge adds the results on some lines; place returns where they are.
func (s *search) merge(t *tally, place func(along, across float64) surface.Vec) {
	on := func(p spot) Place { return s.placed(p, place) }
	if t.rock.value > s.total.rock.value {
		s.out.Rock = on(t.rock)
	}
	if t.ratio.value > s.total.ratio.value {
		s.out.RatioAt = on(t.ratio)
	}
	if t.step.value > s.total.step.value {
		s.out.StepAt = on(t.step)
	}
	for i := range t.cells {
		if c := &t.cells[i]; c.gap > 0 {
			s.found = append(s.found, on(*c))
		}
	}
	if len(s.found) > 2*mostFound {
		s.found = largest(s.found, mostFound)
	}
	s.total.merge(t)
}

// largest keeps the n of found with the largest gaps, of equal ones the first, in their order.
func largest(found []Place, n int) []Place {
	gaps := make([]float64, len(found))
	for i := range found {
		gaps[i] = found[i].Gap
	}
	slices.Sort(gaps)
	least := gaps[len(gaps)-n]
	more, _ := slices.BinarySearch(gaps, math.Nextafter(least, math.Inf(1)))
	equal := n - (len(gaps) - more)
	return slices.DeleteFunc(found, func(p Place) bool {
		if p.Gap == least {
			equal--
			return equal < 0
		}
		return p.Gap < least
	})
}

// result returns the totals.
func (s *search) result() Straightedge {
	out := s.out
	out.Positions, out.Rocking, out.Longest, out.gaps = s.total.positions, s.total.rocking, s.total.longest, s.total.bins
	out.Fits = s.total.fits
	out.Swing = s.total.rock.value * s.Length / 2
	out.Ratio, out.Step = s.total.ratio.value, s.total.step.value
	near := s.apart()
	for len(out.Worst) < s.Laying.Worst {
		next := -1
		for i := range s.found {
			p := &s.found[i]
			if (next < 0 || p.Gap > s.found[next].Gap) && !slices.ContainsFunc(out.Worst, func(w Place) bool { return !(w.LowAt.Distance(p.LowAt) >= near) }) {
				next = i
			}
		}
		if next < 0 {
			break
		}
		out.Worst = append(out.Worst, s.found[next])
	}
	if len(out.Worst) > 0 {
		out.Place = out.Worst[0]
	}
	return out
}
