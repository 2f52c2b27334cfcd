package blunder

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"

	"pourplane/surface"
	"pourplane/survey"
)

// Kind is the kind of a blunder, by its look.
type Kind string

const (
	OneFoot    Kind = "one foot"
	OneInch    Kind = "one inch"
	Hundred    Kind = "100 mm"
	OneMetre   Kind = "one metre"
	Transposed Kind = "digits transposed"
	Dropped    Kind = "digit dropped"
	Misread    Kind = "digit misread" // 6 for 9, 1/4 for 1/2
	SignTurned Kind = "sign turned"
	NotRod     Kind = "elevation for reading" // or a reading for an elevation
	OtherUnit  Kind = "another unit"
	Moved      Kind = "instrument moved"
	OffFloor   Kind = "rod not on the floor"
	Swapped    Kind = "points swapped"
	Copied     Kind = "reading copied"
	DoesNotFit Kind = "does not fit"
	Lone       Kind = "far from the plane of the others" // of a few
)

// Finding is a reading that does not fit, and what it looks like.
type Finding struct {
	Reading      survey.Reading // if the survey has none as written, only its name and place
	Shot         survey.Point
	Kind         Kind
	Other        survey.Reading    // points swapped: the second one; reading copied: the one repeated; instrument moved: the last that moved with it
	Found        string            // as written
	WouldFit     string            // the reading that would fit, in the form of the file
	Rod          string            // the reading predicted from all others, in the form of the file, where elevations are minus the readings; else empty
	Fits         float64           // m: the elevation predicted from all others
	Off          float64           // m: height of the shot above that, negative below; instrument moved: the same for all later shots
	Sure         float64           // 0 to 1: the share of this explanation among all; lone: not weighed
	Doubt        bool              // within the unevenness of real floors: a hump or hollow narrower than the spacing of the shots would read the same
	Also         []Alternative     // does not fit: readings of different value that fit equally well
	Between      [2]survey.Reading // instrument moved: the first and the last row before which it may have moved, at odds of 19 to 1
	Others       int               // lone: the number of the other shots
	Within       float64           // lone: the max distance of the others from their plane, m
	Corrected    *surface.Fill     // the fill at the target with the reading that would fit; nil without a target
	Remark       string            // what the file remarks on the shot
	AtWall       bool              // at a wall, within a door reveal: the shot may be on adjoining finished floor
	VolumeChange float64           // m³, increase of the fill with the reading that would fit; without a target, of the fill to a level above the whole floor

	restated map[survey.Point]float64 // m: elevations with the reading that would fit
}

// Alternative is one of several explanations that fit equally well.
type Alternative struct {
	Kind     Kind
	WouldFit string
}

const (
	// mostJudged is the max number of shots checked: scans have no misread rods, and no
	// reading is kept as written beyond this number.
	mostJudged = 100_000
	// fewest is the min number of shots in a region: fewer cannot show the difference
	// between a blunder and a hollow.
	fewest = 12
	// mostFound ends the search: a survey with more findings is wrong as a whole.
	mostFound = 20
	// whole is the max number of shots judged against all others at once. Larger regions are
	// judged piece by piece, each with the shots round it: shots beyond two spacings are
	// screened by nearer shots.
	whole = 160
	piece = 40
)

// Find returns the readings of s that do not fit the floor f made from them, the largest
// departure first, and notes on what was not checked. Nothing is corrected. Surfaces that
// came with triangles have no readings and no findings.
//
// The answer does not depend on row order, except where order is the evidence: a reading
// repeated, an instrument moved.
func Find(s *survey.Survey, f *surface.Floor) ([]Finding, []survey.Note) {
	found, notes := find(s, f)
	measure(found, f)
	return found, notes
}

// FindIn is [Find] where the target is known: the effect of each finding is that on fill, which
// is of f. What is cut is not taken off it.
func FindIn(s *survey.Survey, f *surface.Floor, fill surface.Fill) ([]Finding, []survey.Note) {
	found, notes := find(s, f)
	for i := range found {
		then := found[i].corrected(f).FillTo(fill.Target, nil)
		found[i].Corrected, found[i].VolumeChange = &then, then.Fill-fill.Fill
	}
	return found, notes
}

// find is [Find] without volumes.
func find(s *survey.Survey, f *surface.Floor) ([]Finding, []survey.Note) {
	n := len(f.Data.Shots)
	if n == 0 {
		return nil, nil
	}
	if n > mostJudged {
		return nil, []survey.Note{survey.Notef(survey.Assumed, survey.Pos{File: s.Name}, "%d shots: more than %d are treated as a scan and not checked for misread rods", n, mostJudged)}
	}
	b := newBook(s)
	var regions []*region
	var few []survey.Note
	var lone []Finding
	for i := range f.Regions {
		r := &f.Regions[i]
		shots := b.shots(r)
		if len(shots) >= fewest {
			regions = append(regions, &region{shots: shots})
			continue
		}
		where := ""
		if r.Name != "" && len(f.Regions) > 1 {
			where = " in " + r.Name
		}
		few = append(few, survey.Notef(survey.Assumed, survey.Pos{File: s.Name}, "%s%s: too few to check for misread rods, which takes %d; check each reading", survey.Plural(len(shots), "shot"), where, fewest))
		lone = append(lone, b.loneOf(shots)...)
	}
	var found []Finding
	judge := func() (found []Finding) {
		for _, r := range regions {
			found = append(found, r.judge(b)...)
		}
		return found
	}
	var moves []Finding
	checks := b.checks()
	for len(moves) < mostFound {
		m, ok := b.leap(regions)
		if !ok {
			break
		}
		moves = append(moves, b.moved(m, regions, checks))
	}
	for found = judge(); len(moves) < mostFound; found = judge() {
		m, ok := b.moves(regions, checks)
		if !ok {
			break
		}
		moves = append(moves, b.moved(m, regions, checks))
	}
	found = slices.Concat(found, moves, lone)
	slices.SortStableFunc(found, func(a, b Finding) int { return cmp.Compare(math.Abs(b.Off), math.Abs(a.Off)) })
	found = distinct(found)
	if more := len(found) - mostFound; more > 0 {
		found = found[:mostFound]
		few = append(few, survey.Notef(survey.Warning, survey.Pos{File: s.Name}, "%d more shots do not fit those near them: the %d that differ most are listed; that is too many for slips, check the whole survey", more, mostFound).About(survey.AboutDepth))
	}
	for i := range found {
		b := &found[i]
		at := surface.Vec{X: b.Shot.X, Y: b.Shot.Y}
		b.Remark = s.RemarkOn(b.Shot)
		b.AtWall = !f.Hull && at.Distance(f.NearestWall(at)) <= reveal
	}
	return found, few
}

// distinct removes findings that appear twice: a shot on the line between two regions is in
// both, and each of two exchanged shots finds the other.
func distinct(found []Finding) []Finding {
	seen := map[survey.Point]bool{}
	exchanged := map[survey.Pos]bool{}
	return slices.DeleteFunc(found, func(f Finding) bool {
		if f.Kind == Moved {
			return false
		}
		again := seen[f.Shot] || f.Kind == Swapped && exchanged[f.Other.At]
		seen[f.Shot] = true
		exchanged[f.Reading.At] = exchanged[f.Reading.At] || f.Kind == Swapped
		return again
	})
}

// shot is one shot of a region.
type shot struct {
	x, y, z float64 // m, near the floor
	point   survey.Point
	reading int // in the book, -1 for none
	setup   int
}

// shots returns the shots of a region from west to east.
func (b *book) shots(r *surface.Region) []*shot {
	var out []*shot
	for v, i := range r.TIN.Shot {
		if i >= 0 {
			s := &shot{x: r.TIN.X[v], y: r.TIN.Y[v], z: r.TIN.Z[v], point: r.Shots[i], reading: -1}
			if n, ok := b.at[s.point.At()]; ok {
				s.reading, s.setup = n, b.setup[n]
			}
			out = append(out, s)
		}
	}
	slices.SortFunc(out, byPlace)
	return out
}

func byPlace(a, b *shot) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y)) }

// part is some shots to judge, and those round them.
type part struct {
	shots []*shot
	core  int
}

// parts divides a region into pieces of a few dozen shots, by halves across the longer side,
// each with the shots within two spacings round it.
func parts(core, around []*shot, most int) []part {
	lo := [2]float64{math.Inf(1), math.Inf(1)}
	hi := [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, s := range core {
		lo = [2]float64{min(lo[0], s.x), min(lo[1], s.y)}
		hi = [2]float64{max(hi[0], s.x), max(hi[1], s.y)}
	}
	w, h := hi[0]-lo[0], hi[1]-lo[1]
	near := 2 * max(math.Sqrt(w*h/float64(len(core))), max(w, h)/float64(len(core)))
	var ring []*shot
	for _, s := range around {
		if s.x >= lo[0]-near && s.x <= hi[0]+near && s.y >= lo[1]-near && s.y <= hi[1]+near {
			ring = append(ring, s)
		}
	}
	if len(core) <= most {
		return []part{{slices.Concat(core, ring), len(core)}}
	}
	core = slices.Clone(core)
	if w >= h {
		slices.SortFunc(core, byPlace)
	} else {
		slices.SortFunc(core, func(a, b *shot) int { return cmp.Or(cmp.Compare(a.y, b.y), cmp.Compare(a.x, b.x)) })
	}
	m := len(core) / 2
	return append(parts(core[:m], slices.Concat(core[m:], ring), most), parts(core[m:], slices.Concat(core[:m], ring), most)...)
}

// spacing is the usual distance between neighbouring shots: the median of the distances to
// the nearest.
func spacing(p []part) float64 {
	var all []float64
	for _, q := range p {
		for _, s := range q.shots[:q.core] {
			near := math.Inf(1)
			for _, t := range q.shots {
				if t != s {
					near = min(near, math.Hypot(s.x-t.x, s.y-t.y))
				}
			}
			all = append(all, near)
		}
	}
	slices.Sort(all)
	return all[len(all)/2]
}

// region is a region of the floor that is checked.
type region struct {
	shots []*shot
	field field
	bad   map[*shot]bool
}

// pieces returns what is judged at once: the whole of a small region.
func (r *region) pieces() []part {
	most := whole
	if len(r.shots) > whole {
		most = piece
	}
	return parts(r.shots, nil, most)
}

// judge checks a region, shot by shot.
func (r *region) judge(b *book) []Finding {
	cut := r.pieces()
	sample := slices.Clone(cut)
	if len(cut) > mostSampled {
		sample = nil
		for i := range mostSampled {
			sample = append(sample, cut[(2*i+1)*len(cut)/(2*mostSampled)])
		}
	}
	r.field = fit(sample, spacing(sample))
	found := make([][]Finding, len(cut))
	var wait sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for i := range next {
				found[i] = explain(b, newWindow(cut[i].shots, cut[i].core, r.field, false))
			}
		})
	}
	for i := range cut {
		next <- i
	}
	close(next)
	wait.Wait()
	all := slices.Concat(found...)
	r.bad = map[*shot]bool{}
	restated := map[survey.Point]bool{}
	for _, f := range all {
		for p := range f.restated {
			restated[p] = true
		}
	}
	for _, s := range r.shots {
		if restated[s.point] {
			r.bad[s] = true
		}
	}
	return all
}

// mostSampled is how many pieces of a large region are used to find how the floor undulates:
// hundreds of shots.
const mostSampled = 8

// moved reports an instrument that moved, and removes the move from the shots that are
// judged and from the checks.
func (b *book) moved(m jumped, regions []*region, checks []check) Finding {
	f := Finding{Reading: b.readings[m.from], Kind: Moved, Other: b.readings[m.last], Found: b.readings[m.from].Text, Off: m.by, Sure: m.sure, Between: [2]survey.Reading{b.readings[m.first], b.readings[m.late]}, restated: map[survey.Point]float64{}}
	for _, r := range regions {
		for _, s := range r.shots {
			if s.reading < m.from || s.setup != b.setup[m.from] {
				continue
			}
			s.z -= m.by
			f.restated[s.point] = s.z
			if s.reading == m.from {
				f.Shot, f.Fits = s.point, s.z
			}
		}
	}
	for i := range checks {
		if checks[i].spans(f.Reading.At) {
			checks[i].rise -= m.by
		}
	}
	f.WouldFit = b.style[columnOf(f.Reading)].write(f.Reading.Value - upward(f.Reading.Measure)*m.by)
	return f
}

// measure computes the volume of each finding where no target is known.
func measure(found []Finding, f *surface.Floor) {
	if len(found) == 0 {
		return
	}
	level := surface.Horizontal(f.Data.Shots[0].Z)
	before := net(f, level)
	for i := range found {
		found[i].VolumeChange = net(found[i].corrected(f), level) - before
	}
}

// net is the fill to a level less the cut. Its change is the same at any level.
func net(f *surface.Floor, level surface.Plane) float64 {
	v := f.FillTo(level, nil)
	return v.Fill - v.Cut
}

// corrected returns the floor with the reading that would fit. If it has too many shots to be
// rebuilt, the elevations fitted at the walls stay.
func (b *Finding) corrected(f *surface.Floor) *surface.Floor {
	if g := b.Rebuilt(f); g != nil {
		return g
	}
	return restate(f, b.restated)
}

// Rebuilt returns the floor with the reading that would fit; nil if the floor has too many
// shots for that, or cannot be built.
func (b *Finding) Rebuilt(f *surface.Floor) *surface.Floor {
	d := f.Data
	if len(d.Shots) > mostRebuilt {
		return nil
	}
	d.Shots = slices.Clone(d.Shots)
	for j, p := range d.Shots {
		if z, ok := b.restated[p]; ok {
			d.Shots[j].Z = z
		}
	}
	g, err := surface.NewFloor(d)
	if err != nil {
		return nil
	}
	return g
}

// Restates reports whether the elevation of a shot is another with the reading that would fit.
func (b *Finding) Restates(p survey.Point) bool {
	_, ok := b.restated[p]
	return ok
}

// mostRebuilt is the max number of shots of a floor that is rebuilt for each finding.
const mostRebuilt = 20_000

// restate returns a floor with some shots restated on the same triangles; the elevations fitted
// at the walls stay.
func restate(f *surface.Floor, restated map[survey.Point]float64) *surface.Floor {
	g := *f
	g.Regions = slices.Clone(f.Regions)
	for i := range g.Regions {
		r := &g.Regions[i]
		t := *r.TIN
		t.Z = slices.Clone(t.Z)
		for v, s := range t.Shot {
			if s < 0 {
				continue
			}
			if z, ok := restated[r.Shots[s]]; ok {
				t.Z[v] = z
			}
		}
		r.TIN = &t
	}
	return &g
}
