package setout

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

const (
	mostBays  = 500
	usualStep = 0.05 // m; common practice, no source: what a tape is read to on a floor

	// passage is the min width over which two bays must meet for the crew to go from one to
	// the other, and thinBay the min width of a strip to work in, m. Common practice, no
	// source.
	passage = 0.5
	thinBay = 0.3

	// slack is the share by which rounding may exceed a limit.
	slack = 1e-9
)

// BayRules are how a floor is cut into bays, by exactly one of Dams, Width and Most, and
// where the crew leaves. Each region of the floor is cut separately: a step or the edge of a
// pit is always between two bays.
type BayRules struct {
	Dams  [][]surface.Vec // lines from wall to wall or to another of them, see [surface.Floor.Cut]
	Width float64         // m: max width of a strip across the longest walls of its region
	Most  float64         // m³: max fill of a bay: of one batch, or placed within the working time
	Step  float64         // m: dams of Width and Most are at whole steps from the start of the floor, or of a region with another direction; 0: 50 mm

	Exit    surface.Vec // where the crew leaves, on the grid of the survey
	HasExit bool
}

// Bay is a part of one region of a floor that is placed in one go. A part that needs no fill
// is not a bay.
type Bay struct {
	Name       string // "1" is placed first
	Floor      *surface.Floor
	Fill       surface.Fill
	At         surface.Vec // a place well inside, for the name
	Dams       []int       // numbers in Bays.Dams of the dams along it
	Neighbours []string    // names of the bays beyond them, in placing order
}

// Dam is a straight stretch of a dam between two bays.
type Dam struct {
	Name     string // "A", "B", …, "Z", "AA", …
	Line     int    // number of the line, from 1: of the given lines, or of the strips, region by region from the start of each; 0: along a step
	Bays     [2]string
	From, To surface.Vec
	Length   float64 // m in plan
	Height   float64 // m: max depth along it, at a step on its lower side; 0: the floor is not below the target there
	Least    float64 // m: min depth along it, likewise
	Offset   float64 // m from the start of the floor, along the longest walls; 0 for given lines and steps

	Along  surface.Vec // unit direction of Offset; to the east, or north
	Own    bool        // Offset is from the start of the dam's region, whose walls have another direction than those of the floor
	Region string      // name of that region, if any
}

// strip is the placing of one of the lines between strips.
type strip struct {
	offset float64
	along  surface.Vec
	own    bool
	region string
}

// Bays is a floor cut into bays.
type Bays struct {
	Bays  []Bay        // in placing order
	Dams  []Dam        // by the bay placed first
	Fill  surface.Fill // of the whole floor; the bays sum to it except for rounding
	Notes []survey.Note
}

// CutBays cuts f into bays to be filled to target and orders them for placing: the farthest
// from the exit first, by the way over the floor, and the bay at the exit last, so that no
// bay is reached across one already placed. If the floor does not allow that, there is a
// note.
//
// Strips run across the longest walls of their region: in the direction of the whole floor's
// longest walls if as many metres of the region's walls run that way as any other. With
// Width the strips of a region are equally wide, with Most equally full, as nearly as whole
// steps allow. If no whole steps keep the limit, the dams are between steps and there is a
// note. A strip that walls divide is several bays. Given dams cut both sides of a step they
// cross. Parts that need no fill are left out, with a note, and so are dams beside them; the
// crew can walk there at any time.
//
// Errors are [*survey.Error]: not exactly one rule, a number that is not positive and
// finite, more than 500 bays, nothing to fill, and those of [surface.Floor.Cut].
func CutBays(f *surface.Floor, target surface.Target, r BayRules) (Bays, error) {
	if err := r.check(target); err != nil {
		return Bays{}, err
	}
	f, err := f.Under(target)
	if err != nil {
		return Bays{}, err
	}
	along := longDirection(f)
	sweep := f.Sweep(target, along)
	out := Bays{Fill: f.FillTo(target, nil)}
	if out.Fill.Greatest <= same {
		return Bays{}, refuse("bays", "nothing to fill", "a floor that is below the target")
	}
	lines := r.Dams
	var placed []strip
	var only []int
	if len(lines) == 0 {
		lo, hi := f.Bounds()
		reach := lo.Distance(hi) + 1
		for i, region := range f.Regions {
			one, by := strip{along: along}, sweep
			if own := ownDirection(region, along); own != along {
				alone := surface.Floor{Regions: []surface.Region{region}}
				one, by = strip{along: own, own: true, region: region.Name}, alone.Sweep(target, own)
			}
			offsets, err := r.offsets(by, region, target, one.along, &out)
			if err != nil {
				return Bays{}, err
			}
			for _, d := range offsets {
				p := by.At(d)
				one.offset = d
				only, placed = append(only, i), append(placed, one)
				lines = append(lines, []surface.Vec{
					{X: p.X + reach*one.along.Y, Y: p.Y - reach*one.along.X},
					{X: p.X - reach*one.along.Y, Y: p.Y + reach*one.along.X},
				})
			}
		}
		if len(lines) > mostBays {
			return Bays{}, tooMany(float64(len(lines) + 1))
		}
	}
	parts, err := f.CutRegions(lines, only)
	if err != nil {
		return Bays{}, err
	}
	if len(parts.Pieces) > mostBays {
		return Bays{}, tooMany(float64(len(parts.Pieces)))
	}
	exit := r.Exit
	if !r.HasExit {
		exit = farEnd(f, sweep)
	}
	fills := make([]surface.Fill, len(parts.Pieces))
	for i, p := range parts.Pieces {
		fills[i] = p.FillTo(target, nil)
	}
	order := newWalk(parts, exit, func(i int) bool { return fills[i].Greatest > same })
	out.fill(parts, order.placing, fills, target, placed)
	if n := len(parts.Pieces) - len(out.Bays); n == 1 {
		out.Notes = append(out.Notes, survey.Notef(survey.Assumed, survey.Pos{}, "1 part of the floor needs no fill: it is not a bay"))
	} else if n > 1 {
		out.Notes = append(out.Notes, survey.Notef(survey.Assumed, survey.Pos{}, "%d parts of the floor need no fill: they are not bays", n))
	}
	for _, b := range out.Bays {
		movable := slices.ContainsFunc(b.Dams, func(k int) bool { return out.Dams[k].Line > 0 })
		if movable && b.Fill.Area < passage*passage {
			out.Notes = append(out.Notes, survey.Notef(survey.Warning, survey.Pos{}, "bay %s is smaller than a square of %s: move a dam so that it joins a neighbour", b.Name, unit.Distance(passage)))
		}
	}
	out.Notes = append(out.Notes, order.notes(r.HasExit)...)
	return out, nil
}

func tooMany(n float64) error {
	return refuse("bays", fmt.Sprintf("%.0f bays", n), fmt.Sprintf("max %d: look at the width or the volume of a bay", mostBays))
}

func (r *BayRules) check(target surface.Target) error {
	if err := checkTarget(target); err != nil {
		return err
	}
	var given []string
	for _, rule := range []struct {
		name string
		is   bool
	}{{"dams", len(r.Dams) > 0}, {"width", r.Width != 0}, {"most", r.Most != 0}} {
		if rule.is {
			given = append(given, rule.name)
		}
	}
	if len(given) != 1 {
		found := "no rule"
		if len(given) > 0 {
			found = and(given)
		}
		return refuse("bays", found, "exactly one: dam lines, the max width of a bay, or its max volume, more than 0")
	}
	for _, q := range []struct {
		name  string
		value float64
		want  string
	}{
		{"width of a bay", r.Width, "a length in m, more than 0"},
		{"volume of a bay", r.Most, "a volume in m³, more than 0"},
		{"step of the dams", r.Step, "a length in m, 0 or more"},
	} {
		if !finite(q.value) || q.value < 0 {
			return refuse(q.name, fmt.Sprintf("%g", q.value), q.want)
		}
	}
	if len(r.Dams) > mostBays {
		return tooMany(float64(len(r.Dams) + 1))
	}
	if r.HasExit && !finite(r.Exit.X, r.Exit.Y) {
		return refuse("exit", fmt.Sprintf("(%g, %g)", r.Exit.X, r.Exit.Y), "a place in m")
	}
	return nil
}

// longDirection returns the unit direction of most metres of outer wall, within half a
// degree: that of the longest wall among them. Of equal ones it is the nearest to east,
// turning north.
func longDirection(f *surface.Floor) surface.Vec {
	const bins = 360
	var metres [bins]float64
	type wall struct {
		dir    surface.Vec
		length float64
		bin    int
	}
	var walls []wall
	for _, r := range f.Regions {
		outer := r.Rings[0]
		for i, a := range outer {
			b := outer[(i+1)%len(outer)]
			d := a.Distance(b)
			if d == 0 {
				continue
			}
			v := surface.Vec{X: (b.X - a.X) / d, Y: (b.Y - a.Y) / d}
			if v.X < 0 || v.X == 0 && v.Y < 0 {
				v.X, v.Y = 0-v.X, 0-v.Y
			}
			angle := math.Atan2(v.Y, v.X)
			bin := int(math.Round(angle/math.Pi*bins)+bins) % bins
			metres[bin] += d
			walls = append(walls, wall{v, d, bin})
		}
	}
	best, most := 0, 0.0
	for i := range bins {
		if m := metres[(i+bins-1)%bins] + metres[i] + metres[(i+1)%bins]; metres[i] > 0 && m > most*(1+slack) {
			best, most = i, m
		}
	}
	out := wall{}
	for _, w := range walls {
		if d := (w.bin - best + bins) % bins; d > 1 && d < bins-1 {
			continue
		}
		if w.length > out.length*(1+slack) {
			out = w
		}
	}
	return out.dir
}

// ownDirection returns the direction of the longest walls of a region: along, the direction
// of the whole floor, if as many metres of its walls run that way.
func ownDirection(r surface.Region, along surface.Vec) surface.Vec {
	own := longDirection(&surface.Floor{Regions: []surface.Region{r}})
	if metresAlong(r, along) >= metresAlong(r, own)*(1-slack) {
		return along
	}
	return own
}

// metresAlong returns how many metres of the outer walls of a region run in a unit
// direction, within half a degree.
func metresAlong(r surface.Region, dir surface.Vec) float64 {
	across := math.Sin(math.Pi / 360)
	var m float64
	for i, a := range r.Rings[0] {
		b := r.Rings[0][(i+1)%len(r.Rings[0])]
		if d := a.Distance(b); math.Abs((b.X-a.X)*dir.Y-(b.Y-a.Y)*dir.X) <= across*d {
			m += d
		}
	}
	return m
}

// offsets returns the places of the dams of a region's strips, from the start of the floor
// that sweep runs over. That is the whole floor if its walls have the region's direction, so
// all of them are measured from one wall.
func (r *BayRules) offsets(sweep *surface.Sweep, region surface.Region, target surface.Target, along surface.Vec, out *Bays) ([]float64, error) {
	alone := surface.Floor{Regions: []surface.Region{region}}
	if _, greatest := alone.Depths(target); greatest <= same {
		return nil, nil
	}
	own := alone.Sweep(target, along)
	start := max(0, sweep.Of(own.At(0)))
	end := start + own.Length()
	measure := func(d float64) float64 { return own.Fill(d - start) }
	find := func(v float64) float64 { return start + own.Find(v) }
	most := r.Most
	if r.Width > 0 {
		measure = func(d float64) float64 { return d - start }
		find = func(w float64) float64 { return start + w }
		most = r.Width
	}
	whole := measure(end)
	n := math.Max(1, math.Ceil(whole/most-slack))
	if n > mostBays {
		return nil, tooMany(n)
	}
	s := strips{measure: measure, find: find, most: most, start: start, end: end, step: cmp.Or(r.Step, usualStep)}
	exactly := make([]float64, int(n)-1)
	for i := range exactly {
		exactly[i] = find(whole * float64(i+1) / n)
	}
	dams, ok := s.rounded(exactly)
	if !ok {
		dams = exactly
		if note := survey.Notef(survey.Warning, survey.Pos{}, "dams on whole steps would make a bay too large: they are between steps"); !slices.Contains(out.Notes, note) {
			out.Notes = append(out.Notes, note)
		}
	}
	from := start
	for i, to := range append(slices.Clone(dams), end) {
		if len(dams) > 0 && to-from < thinBay {
			where := "the floor"
			if region.Name != "" {
				where = strconv.Quote(region.Name)
			}
			out.Notes = append(out.Notes, survey.Notef(survey.Warning, survey.Pos{}, "strip %d from where %s begins is narrower than a crew can work in: take a larger bay", i+1, where))
		}
		from = to
	}
	return dams, nil
}

// strips places dams between start and end at whole steps from 0. measure gives the size of
// the floor up to a distance, find the distance of a size; both increase.
type strips struct {
	measure, find          func(float64) float64
	most, start, end, step float64
}

// rounded returns the dams moved to whole steps, each to the nearest to its exact place that
// leaves no strip over the limit; false if there is none.
func (s *strips) rounded(exactly []float64) ([]float64, bool) {
	var out []float64
	from := s.start
	for i, d := range exactly {
		// Not so far that this strip is too large, and not so near that the remaining strips
		// cannot take the rest.
		left := float64(len(exactly) - i)
		farthest := math.Floor(s.find(s.measure(from)+s.most*(1+slack))/s.step + slack)
		nearest := math.Ceil(s.find(s.measure(s.end)-s.most*(1+slack)*left)/s.step - slack)
		k := min(max(math.Round(d/s.step), nearest), farthest)
		to := k * s.step
		if k < nearest || to <= from || to >= s.end || s.measure(to)-s.measure(from) > s.most*(1+slack) {
			return nil, false
		}
		out = append(out, to)
		from = to
	}
	return out, s.measure(s.end)-s.measure(from) <= s.most*(1+slack)
}

// fill names the pieces in placing order and fills in bays and dams.
func (b *Bays) fill(parts *surface.Parts, placing []int, fills []surface.Fill, target surface.Target, placed []strip) {
	rank := map[int]int{}
	for i, p := range placing {
		rank[p] = i
		piece := parts.Pieces[p]
		b.Bays = append(b.Bays, Bay{Name: strconv.Itoa(i + 1), Floor: piece, Fill: fills[p], At: wellInside(piece)})
	}
	joins := slices.DeleteFunc(slices.Clone(parts.Joins), func(j surface.Join) bool {
		_, first := rank[j.Pieces[0]]
		_, second := rank[j.Pieces[1]]
		return !first || !second
	})
	pair := func(j surface.Join) (first, second int) {
		p, q := rank[j.Pieces[0]], rank[j.Pieces[1]]
		return min(p, q), max(p, q)
	}
	slices.SortStableFunc(joins, func(i, j surface.Join) int {
		p, q := pair(i)
		u, v := pair(j)
		return cmp.Or(cmp.Compare(p, u), cmp.Compare(q, v))
	})
	for i, j := range joins {
		p, q := pair(j)
		least, greatest := j.Heights(target)
		d := Dam{Name: letters(i), Line: j.Line + 1, Bays: [2]string{b.Bays[p].Name, b.Bays[q].Name},
			From: j.Run[0].At, To: j.Run[len(j.Run)-1].At, Length: j.Length(), Least: max(0, least), Height: max(0, greatest)}
		if placed != nil && j.Line >= 0 {
			l := placed[j.Line]
			d.Offset, d.Along, d.Own, d.Region = l.offset, l.along, l.own, l.region
		}
		b.Dams = append(b.Dams, d)
		for _, k := range []int{p, q} {
			b.Bays[k].Dams = append(b.Bays[k].Dams, i)
		}
	}
	for i := range b.Bays {
		beside := map[int]bool{}
		for _, j := range joins {
			p, q := pair(j)
			if p == i {
				beside[q] = true
			}
			if q == i {
				beside[p] = true
			}
		}
		for k := range b.Bays {
			if beside[k] {
				b.Bays[i].Neighbours = append(b.Bays[i].Neighbours, b.Bays[k].Name)
			}
		}
	}
}
