package setout

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// BarRules are how bars are laid, in metres. Size and Spacing are required; any other zero
// field has the default given with it: the second figure for a crew that works in feet and
// inches.
type BarRules struct {
	Size     Size
	Spacing  float64 // max between the middles of bars: they are divided evenly
	SpacingX float64 // of the bars that run along the main wall; 0: Spacing
	SpacingY float64 // of those across; 0: Spacing

	Edge     float64 // from walls and openings to the middle line and the ends of bars; 0: 0.075, 3 in (common practice, no source)
	Stock    float64 // length that bars come in; 0: 6, 20 ft (common practice, no source)
	Lap      float64 // 0: 40 diameters (common practice, no source; a designer's lap takes precedence)
	Shortest float64 // min length worth laying; 0: 0.3, 1 ft (own choice)

	// Top is from the target to the top of the upper bars. 0: the middle of the mat is a
	// third of the mean depth down (upper third, common practice, no source), but under at
	// least 20 mm, 3/4 in (min cover of slabs indoors in ACI 318, from memory).
	Top          float64
	Bottom       float64 // min from the old floor to the lower bars; 0: 0.02, 3/4 in (own choice: mix must get under the bars)
	ChairSpacing float64 // 0: 1, 3 ft (common practice, no source)

	Joints [][]surface.Vec  // movement joints, as polylines: every bar ends Edge from them
	Dams   [][2]surface.Vec // bars run through them, but their laps keep Edge from them, as from steps

	US   bool    // the second figures are the defaults
	Same float64 // step of the tape: bars are cut to whole ones, and alike if they are within one; 0: 0.001, 1/16 in (own choice)
}

const (
	mostLines = 5000   // more come from a wrong unit; own choice
	mostBars  = 20_000 // the same; also for chairs. 150 mm both ways make 13 bars per 6 m² of floor: this is 9000 m²
	same      = 1e-6   // m: lengths that differ by rounding only
	leastBar  = 1e-3   // m
)

// chairStep is the step of the heights of chairs: 5 mm, 1/4 in (own choice).
func (r BarRules) chairStep() float64 { return usual(r.US, 0.005, inch/4) }

func (r BarRules) filled() (BarRules, error) {
	r.SpacingX = cmp.Or(r.SpacingX, r.Spacing)
	r.SpacingY = cmp.Or(r.SpacingY, r.Spacing)
	r.Edge = cmp.Or(r.Edge, usual(r.US, 0.075, 3*inch))
	r.Stock = cmp.Or(r.Stock, usual(r.US, 6, 20*foot))
	r.Lap = cmp.Or(r.Lap, 40*r.Size.Diameter)
	r.Shortest = cmp.Or(r.Shortest, usual(r.US, 0.3, foot))
	r.Bottom = cmp.Or(r.Bottom, usual(r.US, 0.02, 0.75*inch))
	r.ChairSpacing = cmp.Or(r.ChairSpacing, usual(r.US, 1, 3*foot))
	r.Same = cmp.Or(r.Same, usual(r.US, 0.001, inch/16))
	err := check(measure{"bar diameter", r.Size.Diameter, 0.001, 0.1, "a diameter in m from 0.001 to 0.1", ""},
		measure{"bar mass", r.Size.Mass, 1e-3, 100, "a mass in kg/m above 0", ""},
		length(PartBarSpacing, r.SpacingX), length(PartBarSpacingAcross, r.SpacingY),
		length(PartBarsFromWall, r.Edge), length(PartStockLength, r.Stock),
		measure{PartBarLap, r.Lap, leastBar, 1000, "a length from 1 mm to 1000 m", "a length from 1/16 in to 3280 ft"}, measure{"shortest bar", r.Shortest, leastBar, 1000, "a length from 1 mm to 1000 m", "a length from 1/16 in to 3280 ft"}, depth(PartTopCover, r.Top), length(PartBottomCover, r.Bottom),
		length(PartChairSpacing, r.ChairSpacing))
	d := r.Size.Diameter
	switch {
	case err != nil:
	case min(r.SpacingX, r.SpacingY) <= d:
		which := PartBarSpacing
		if r.SpacingY < r.SpacingX {
			which = PartBarSpacingAcross
		}
		err = measured(which, unit.Textf("%s", unit.Distance(min(r.SpacingX, r.SpacingY))), unit.Textf("more than their diameter, %s", unit.Depth(d)))
	case r.Edge < d/2:
		err = measured(PartBarsFromWall, unit.Textf("%s", unit.Depth(r.Edge)), unit.Textf("half their diameter or more, %s", unit.Depth(d/2)))
	case r.Lap >= r.Stock:
		err = measured(PartBarLap, unit.Textf("%s", unit.Distance(r.Lap)), unit.Textf("less than the stock length, %s", unit.Distance(r.Stock)))
	}
	return r, err
}

// Cut is a row of the cutting list.
type Cut struct {
	Mark   string // X: along the main wall, the lower layer; Y: across, on top of it
	Length float64
	Count  int
	Total  float64 // m, Length × Count
}

// Spaced is a set of lines of bars, evenly spaced.
type Spaced struct {
	Direction string // X or Y, see [Cut]
	Lines     int
	Apart     float64     // m from line to line; 0: one line
	First     surface.Vec // the middle of the first bar of the first line
}

// Chair supports a bar of the lower layer.
type Chair struct {
	At     surface.Vec
	Room   string
	Clear  float64 // m from the old floor to the underside of the bar
	Height float64 // m: Clear rounded down to the step; the rest is shimmed
}

// ChairCount is the number of chairs of one height.
type ChairCount struct {
	Height float64
	Count  int
}

// Bars is the reinforcement of a floor as laid.
type Bars struct {
	Rules      BarRules // with defaults; Top as computed
	Bars       []Bar
	Spaced     []Spaced
	Cuts       []Cut // lengths within Same share a mark and are cut to the shortest of them
	Count      int   // bars as cut
	Laps       int
	LapsMoved  int           // off steps and dams: the bars before them are cut shorter
	LapsStuck  []surface.Vec // middles of laps on a step or a dam with no room beside it
	Total      float64       // m of bar, laps included
	Mass       float64       // kg of Total
	Stock      int           // bars of stock length for the cutting list, the longest cut first, each from the first bar with room for it
	StockMass  float64       // kg of the stock bars
	Short      int           // pieces left out as too short
	Chairs     []Chair
	ChairCount []ChairCount  // Chairs by height, the lowest first
	NoRoom     []surface.Vec // places where the lowest chair has no room under its bar
	Thin       Thin          // where the depth is less than Bottom, two bars and Top together; bars are still laid and counted there
	Notes      []survey.Note
}

// LayBars lays bars both ways on f for a pour to target: along the longest wall of each room
// and across it, broken at openings. Every piece is clipped so that its middle line and its
// ends keep Edge from every wall, at any angle. The first bars are Edge from the walls
// beside them. Bars continue over steps and stop on both sides of Joints. Pieces longer than Stock
// are lapped; whole bars come first, from the other end on every second line, so that laps are not
// side by side. A bar whose lap would be on a step or a dam is cut shorter, if there is room.
// Other pieces are cut to whole steps of the tape, rounded down: rounded up they would be in
// the cover. Pieces of one direction with lengths within a step are cut to the shortest of
// them; the cut is at their far end, away from a lap.
//
// The mat is parallel to the target, with the bars across on top. Chairs are under the lower
// bars.
//
// Errors are [*survey.Error]: rules or a target that are not lengths, a mat thicker than the
// deepest fill, a floor with no room for a bar.
func LayBars(f *surface.Floor, target surface.Target, r BarRules) (Bars, error) {
	r, err := r.filled()
	if err == nil {
		err = checkTarget(target)
	}
	if err != nil {
		return Bars{}, err
	}
	d := r.Size.Diameter
	fill := f.FillTo(target, nil)
	third := r.Top == 0 && fill.FillArea > 0
	if third {
		r.Top = max(fill.Fill/fill.FillArea/3-d, usual(r.US, 0.02, 0.75*inch))
	}
	need := r.Top + 2*d + r.Bottom
	if fill.Greatest < need {
		return Bars{}, measured("bars", unit.Textf("a fill of %s at its deepest", unit.Depth(fill.Greatest)),
			unit.Textf("room for the cover above, two bars and the cover below, %s", unit.Depth(need)))
	}
	lo, hi := f.Bounds()
	w := lo.Distance(hi)
	for _, q := range []struct {
		name   string
		metres float64
	}{{PartBarSpacing, r.SpacingX}, {PartBarSpacingAcross, r.SpacingY}, {PartChairSpacing, r.ChairSpacing}, {PartStockLength, r.Stock - r.Lap}} {
		if n := w / q.metres; n > mostLines {
			return Bars{}, followed(q.name, unit.Textf("%s, %.0f lines on a floor of %s", unit.Distance(q.metres), n, unit.Distance(w)), unit.Textf("%s", atLeast(w/mostLines)))
		}
	}
	l := layer{floor: f, target: target, ground: f.Locators(), rules: r}
	l.out.Rules, l.out.Notes = r, hull(f)
	if third {
		l.note(survey.Assumed, "the top of the upper bars is %s below the target, in the upper third of the mean depth", unit.Depth(r.Top))
	}
	for _, room := range roomsOf(f) {
		a := room.main()
		l.lay("X", room.on(a), r.SpacingX)
		l.lay("Y", room.on(a.across()), r.SpacingY)
		for _, side := range room.sides {
			l.inner = l.inner || side.inner()
		}
	}
	if l.bars > mostBars {
		name, least := PartBarSpacing, r.SpacingX
		if r.SpacingY < r.SpacingX {
			name, least = PartBarSpacingAcross, r.SpacingY
		}
		return Bars{}, followed(name, unit.Textf("%s, %d bars", unit.Distance(least), l.bars), unit.Textf("%s", atLeast(least*float64(l.bars)/mostBars)))
	}
	if l.stands > mostBars {
		return Bars{}, followed(PartChairSpacing, unit.Textf("%s, %d chairs", unit.Distance(r.ChairSpacing), l.stands), unit.Textf("%s", atLeast(r.ChairSpacing*math.Sqrt(float64(l.stands)/mostBars))))
	}
	if len(l.out.Bars) == 0 {
		return Bars{}, measured("bars", unit.Textf("no room for a bar %s from the walls", unit.Depth(r.Edge)), unit.Textf("a floor that holds a piece of %s", unit.Distance(r.Shortest)))
	}
	l.list()
	if l.out.Thin, err = Shallow(f, target, need); err != nil {
		return Bars{}, err
	}
	l.addNotes()
	return l.out, nil
}

type layer struct {
	floor  *surface.Floor
	target surface.Target
	ground surface.Locators
	rules  BarRules
	bars   int     // pieces, including those beyond mostBars, which are not laid
	stands int     // chairs, likewise
	inner  bool    // the floor has inner corners or openings
	most   float64 // max m that a bar is cut shorter than the room on its line
	out    Bars
}

func (l *layer) note(k survey.NoteKind, format string, args ...any) {
	l.out.Notes = append(l.out.Notes, survey.Notef(k, survey.Pos{}, format, args...))
}

// lines returns evenly spaced places of lines from lo to hi, at most spacing apart.
func lines(lo, hi, spacing float64) []float64 {
	switch {
	case hi < lo-hair:
		return nil
	case hi <= lo:
		return []float64{(lo + hi) / 2}
	}
	n := pieces(hi-lo, spacing)
	pitch := (hi - lo) / float64(n)
	var out []float64
	for i := range n + 1 {
		out = append(out, lo+float64(i)*pitch)
	}
	return out
}

// lay lays the bars along x of p.
func (l *layer) lay(direction string, p layout, spacing float64) {
	r := l.rules
	p.addJoints(r.Joints)
	over := l.crossed(p.axes)
	odd := false
	for _, part := range p.parts(r.Edge) {
		at := lines(part.Lo, part.Hi, spacing)
		set := Spaced{Direction: direction, Lines: len(at)}
		if len(at) > 1 {
			set.Apart = at[1] - at[0]
		}
		before := len(l.out.Bars)
		every := 1 // line of chairs
		if len(at) > 1 {
			every = max(1, int(r.ChairSpacing/(at[1]-at[0])+whole))
		}
		for i, y := range at {
			for _, s := range p.clear(y, r.Edge) {
				if s.Hi-s.Lo < r.Shortest {
					l.out.Short++
					continue
				}
				l.piece(direction, p.axes, y, s, odd, over)
				if direction == "X" && (i%every == 0 || i == len(at)-1) {
					l.chairs(p.axes, y, s)
				}
			}
			odd = !odd
		}
		if len(l.out.Bars) > before {
			b := l.out.Bars[before]
			set.First = surface.Vec{X: (b.From.X + b.To.X) / 2, Y: (b.From.Y + b.To.Y) / 2}
			l.out.Spaced = append(l.out.Spaced, set)
		}
	}
}

func (l *layer) chairs(a axes, y float64, s surface.Span) {
	r := l.rules
	n := pieces(s.Hi-s.Lo, r.ChairSpacing)
	if l.stands += n; l.stands > mostBars {
		return
	}
	for i := range n {
		at := a.out(surface.Vec{X: s.Lo + (float64(i)+0.5)*(s.Hi-s.Lo)/float64(n), Y: y})
		z, region, ok := l.ground.At(at)
		if !ok {
			continue // bars keep clear of walls, so there is floor under all of them
		}
		c := Chair{At: at, Clear: l.target.Within(l.floor.Regions[region].Part).Elevation(at) - z - r.Top - 2*r.Size.Diameter}
		if c.Height = unit.Down(max(c.Clear, 0), r.chairStep()); c.Height == 0 {
			l.out.NoRoom = append(l.out.NoRoom, at)
			continue
		}
		if len(l.floor.Regions) > 1 {
			c.Room = l.floor.Regions[region].Name
		}
		l.out.Chairs = append(l.out.Chairs, c)
	}
}

// list marks the bars and sums them.
func (l *layer) list() {
	out := &l.out
	out.Count = len(out.Bars)
	order := make([]int, len(out.Bars))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := out.Bars[i], out.Bars[j]
		return cmp.Or(cmp.Compare(a.Mark, b.Mark), cmp.Compare(b.Length(), a.Length()))
	})
	var direction string // of the previous mark
	number, longest := 0, 0.0
	for _, i := range order {
		b := &out.Bars[i]
		length := b.Length()
		uncut := length > l.rules.Stock-hair // it may be lapped
		if length = unit.Down(length, l.rules.Same); uncut {
			length = l.rules.Stock
		}
		switch {
		case b.Mark != direction:
			direction, number = b.Mark, 0
		case longest-length <= l.rules.Same+hair && (uncut || longest < l.rules.Stock):
			c := &out.Cuts[len(out.Cuts)-1]
			c.Length = length // the shortest so far
			c.Count++
			b.Mark = c.Mark
			continue
		}
		number++
		longest = length
		out.Cuts = append(out.Cuts, Cut{Mark: fmt.Sprintf("%s%d", direction, number), Length: length, Count: 1})
		b.Mark = out.Cuts[len(out.Cuts)-1].Mark
	}
	lengths := map[string]float64{}
	for _, c := range out.Cuts {
		lengths[c.Mark] = c.Length
	}
	for i := range out.Bars {
		b := &out.Bars[i]
		was, length := b.Length(), lengths[b.Mark]
		l.most = max(l.most, was-length)
		b.To = surface.Vec{X: b.From.X + (b.To.X-b.From.X)*(length/was), Y: b.From.Y + (b.To.Y-b.From.Y)*(length/was)}
	}
	var total sum.Sum
	for i := range out.Cuts {
		c := &out.Cuts[i]
		c.Total = c.Length * float64(c.Count)
		total.Add(c.Total)
	}
	out.Total = total.Value()
	out.Mass = out.Total * l.rules.Size.Mass
	out.Stock = stockFor(out.Cuts, l.rules.Stock)
	out.StockMass = float64(out.Stock) * l.rules.Stock * l.rules.Size.Mass

	heights := map[float64]int{}
	for _, c := range out.Chairs {
		heights[c.Height]++
	}
	for h, n := range heights {
		out.ChairCount = append(out.ChairCount, ChairCount{h, n})
	}
	slices.SortFunc(out.ChairCount, func(a, b ChairCount) int { return cmp.Compare(a.Height, b.Height) })
}

// stockFor returns how many stock bars the cuts take: first fit, the longest first. The
// result is at most 11/9 of the min number plus 6/9 of a bar (Dósa 2007, LNCS 4614:1-11).
func stockFor(cuts []Cut, stock float64) int {
	all := slices.Clone(cuts)
	slices.SortStableFunc(all, func(a, b Cut) int { return cmp.Compare(b.Length, a.Length) })
	var left []float64
	for _, c := range all {
		from := 0 // bars before it have no room for this length
		for range c.Count {
			for from < len(left) && left[from] < c.Length-same {
				from++
			}
			if from == len(left) {
				left = append(left, stock)
			}
			left[from] -= c.Length
		}
	}
	return len(left)
}

// addNotes notes the assumptions and what to check.
func (l *layer) addNotes() {
	out, r := &l.out, l.rules
	l.note(survey.Assumed, "bars are spaced evenly, no farther apart than their spacing; their middle line is kept %s from walls", unit.Depth(r.Edge))
	if out.Laps > 0 {
		l.note(survey.Assumed, "%s of %s, %.3g diameters", count(out.Laps, "lap", "laps"), unit.Depth(r.Lap), r.Lap/r.Size.Diameter)
		if out.LapsMoved > 0 {
			l.note(survey.Assumed, "%s moved to %s from steps and dams: the bar before each is cut shorter", count(out.LapsMoved, "lap is", "laps are"), unit.Depth(r.Edge))
		}
	}
	if out.Short > 0 {
		l.note(survey.Assumed, "%s shorter than %s left out", count(out.Short, "piece is", "pieces are"), unit.Distance(r.Shortest))
	}
	if len(r.Joints) > 0 {
		l.note(survey.Assumed, "bars end %s from each movement joint, on both sides", unit.Depth(r.Edge))
	}
	if l.inner {
		l.note(survey.Assumed, "no extra bars are laid at openings and inside corners, where cracks start")
	}
	if n := len(out.NoRoom); n > 0 {
		l.note(survey.Warning, "%s no room: not counted, as the bar would be less than %s above the old floor", count(n, "chair has", "chairs have"), unit.Depth(r.chairStep()))
	}
	if l.most > r.Same+hair {
		l.note(survey.Assumed, "bars whose lengths are within %s are cut alike, to the shortest of them", unit.Depth(r.Same))
	}
	l.note(survey.Caution, "Size, spacing, cover and laps are as entered: bars are chosen by a designer, and local codes take precedence.")
}
