package setout

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// PinRules are where pins are set, in metres. A zero field has the default given with it:
// the second figure for a crew that works in feet and inches.
type PinRules struct {
	Spacing     float64       // of the grid; 0: 1.5, 5 ft (common practice, no source: shorter than a rod of 6 to 8 ft)
	FromWall    float64       // of wall pins from the wall, and min of grid pins; 0: 0.15, 6 in (own choice: clear of the isolation strip)
	WallSpacing float64       // of wall pins, up to an eighth more at a corner; 0: Spacing
	Step        float64       // smallest division of the crew's rule, 0.00001 to 0.1; 0: 0.001, 1/16 in
	Exit        *surface.Vec  // where the crew leaves the floor; nil: unknown
	US          bool          // the second figures are the defaults
	Drains      []surface.Vec // no pin is nearer to one than FromWall (own choice: clear of the grate and the dam round it)
	Taken       []string      // names of shots, which pins may not have

	// Doubt names the reading in doubt on which the floor at a place depends, or reports that it
	// changes the floor there by less than Step; nil: none is in doubt.
	Doubt func(surface.Vec) (names string, slight bool)
}

// mostPins is the max number of pins on a floor: more come from a wrong unit. Own choice.
const mostPins = 5000

// closest is the min spacing of pins, m: nobody sets them closer. Own choice.
const closest = 0.1

// nearStep is the distance from a step below which a pin is reported, m: a crew may set it
// on the other side. Own choice.
const nearStep = 0.05

func (r PinRules) filled() (PinRules, error) {
	r.Spacing = cmp.Or(r.Spacing, usual(r.US, 1.5, 5*foot))
	r.FromWall = cmp.Or(r.FromWall, usual(r.US, 0.15, 6*inch))
	r.WallSpacing = cmp.Or(r.WallSpacing, r.Spacing)
	r.Step = cmp.Or(r.Step, usual(r.US, 0.001, inch/16))
	err := check(measure{PartPinSpacing, r.Spacing, closest, 1000, "a length from 100 mm to 1000 m", "a length from 4 in to 3280 ft"}, length(PartPinsFromWall, r.FromWall),
		measure{PartWallPinSpacing, r.WallSpacing, closest, 1000, "a length from 100 mm to 1000 m", "a length from 4 in to 3280 ft"}, measure{PartRuleStep, r.Step, 1e-5, 0.1, "a length from 0.01 mm to 100 mm", "a length from 0.001 in to 3.9 in"})
	if err == nil && r.Exit != nil && !finite(r.Exit.X, r.Exit.Y) {
		err = &survey.Error{Part: "exit", Element: "exit", Found: fmt.Sprintf("(%g, %g)", r.Exit.X, r.Exit.Y), Want: "a place in m"}
	}
	return r, err
}

// GridLine is a row or a column of pins.
type GridLine struct {
	Name string  // letters for columns, numbers for rows
	At   float64 // m from the corner of the grid, negative to the west or south: whole multiples of the spacing
}

// Grid is the pin grid of one room, for chalk lines.
type Grid struct {
	Room    string      // name of its first region
	Corner  surface.Vec // a corner of the room, where the longest wall starts or ends
	Across  surface.Vec // direction of increasing columns, of length 1, as near to east as the walls allow
	Up      surface.Vec // direction of increasing rows
	Columns []GridLine
	Rows    []GridLine
}

// Pins are the grade pins of a floor.
type Pins struct {
	Rules    PinRules // with defaults
	Grids    []Grid   // one per room; a room is floor not divided by walls, with or without steps
	Pins     []Pin    // in walking order, room by room: rows to and fro, then along the walls
	Least    Pin      // min depth
	Greatest Pin
	Start    Pin // the first to set, see [Pins.Begin]; no name: there is none
	Close    int // pins left out beside a wall pin
	NoRoom   int // wall pins left out because there was no room
	AtDrains int // pins left out beside a drain
	Notes    []survey.Note
}

// SetPins places grade pins on f for a pour to target. In each room a grid follows the
// longest wall and counts in whole spacings from a corner. Wall pins are set along outer
// walls, openings and both sides of steps, one near each corner and the rest at whole
// spacings from the corner; round a column without corners they are evenly spaced. Grid pins
// nearer than a quarter of their spacing to a wall pin are left out. Each region has at
// least one pin; a small pit has it in the middle.
//
// Heights are rounded down to the step of the rule, so that no mark is above the target. For
// a pin on a step the upper side counts. Names do not repeat on a floor: letters continue
// from room to room.
//
// Errors are [*survey.Error]: rules or a target that are not lengths, a floor with no place
// for a pin.
func SetPins(f *surface.Floor, target surface.Target, r PinRules) (Pins, error) {
	given := r
	r, err := r.filled()
	if err == nil {
		err = checkTarget(target)
	}
	if err != nil {
		return Pins{}, err
	}
	lo, hi := f.Bounds()
	// The default spacing is for rooms: on a floor too large for it, it is doubled.
	for given.Spacing == 0 && (hi.X-lo.X)*(hi.Y-lo.Y) > mostPins*r.Spacing*r.Spacing {
		r.Spacing *= 2
	}
	for given.WallSpacing == 0 && given.Spacing == 0 && f.Perimeter > mostPins*r.WallSpacing {
		r.WallSpacing *= 2
	}
	inside, along := (hi.X-lo.X)*(hi.Y-lo.Y)/(r.Spacing*r.Spacing), f.Perimeter/r.WallSpacing
	if inside > mostPins {
		return Pins{}, followed(PartPinSpacing, unit.Textf("%s, about %.0f pins on a floor of %s by %s", unit.Distance(r.Spacing), inside, unit.Distance(hi.X-lo.X), unit.Distance(hi.Y-lo.Y)),
			unit.Textf("%s", atLeast(r.Spacing*math.Sqrt(inside/mostPins))))
	}
	if along > mostPins {
		return Pins{}, followed(PartWallPinSpacing, unit.Textf("%s, about %.0f pins along walls of %s", unit.Distance(r.WallSpacing), along, unit.Distance(f.Perimeter)), unit.Textf("%s", atLeast(r.WallSpacing*along/mostPins)))
	}
	s := setter{floor: f, target: target, rules: r, ground: f.Locators()}
	s.out.Rules, s.out.Notes = r, hull(f)
	if usual, _ := given.filled(); usual.Spacing != r.Spacing || usual.WallSpacing != r.WallSpacing {
		s.out.Notes = append(s.out.Notes, survey.Notef(survey.Assumed, survey.Pos{}, "pins: %s apart, %s along the walls; at the usual %s there would be more than %d", unit.Distance(r.Spacing), unit.Distance(r.WallSpacing), unit.Distance(usual.Spacing), mostPins))
	}
	for _, room := range roomsOf(f) {
		s.room(room)
	}
	if len(s.out.Pins) == 0 {
		return Pins{}, measured("pins", unit.Textf("no place that is %s from the walls", unit.Distance(r.FromWall)), unit.Textf("a floor wide enough, or a lesser distance from walls"))
	}
	s.rename()
	s.judge()
	return s.out, nil
}

// rename gives pins another series of names if a shot has the name of one: a crew must not
// find two places of one name. Columns then start at P, without W, which is for walls. If
// those also clash with shots, all names get more P in front.
func (s *setter) rename() {
	taken := map[string]bool{}
	for _, name := range s.rules.Taken {
		taken[strings.ToUpper(name)] = true
	}
	pins := s.out.Pins
	both := func() (names []string) {
		for i := range pins {
			if taken[pins[i].Name] {
				names = append(names, pins[i].Name)
			}
		}
		return names
	}
	clash := both()
	if clash == nil {
		return
	}
	columns := map[string]string{}
	for k := range s.columns {
		columns[letters(k)] = letters(fromP(k))
	}
	for more := 0; both() != nil; more++ {
		for i := range pins {
			column := strings.TrimRight(pins[i].Name, "0123456789")
			switch row := pins[i].Name[len(column):]; {
			case more > 0:
				pins[i].Name = "P" + pins[i].Name
			case !pins[i].Wall:
				pins[i].Name = columns[column] + row
			}
		}
		for _, g := range s.out.Grids {
			for i := range g.Columns {
				if name := &g.Columns[i].Name; more > 0 {
					*name = "P" + *name
				} else {
					*name = columns[*name]
				}
			}
		}
	}
	some := strings.Join(clash[:min(len(clash), 3)], ", ")
	if len(clash) > 3 {
		some += ", …"
	}
	s.out.Notes = append(s.out.Notes, survey.Notef(survey.Assumed, survey.Pos{}, "pins are named %s and so on: the survey has shots named %s", pins[0].Name, some))
}

// fromP returns the number of column k if the letters begin at P and skip W.
func fromP(k int) int {
	if k += 'P' - 'A'; k >= 'W'-'A' {
		k++
	}
	return k
}

type setter struct {
	floor   *surface.Floor
	target  surface.Target
	rules   PinRules
	ground  surface.Locators
	columns int // of the previous rooms
	out     Pins
}

// pin returns the pin at p, false off the floor.
func (s *setter) pin(p surface.Vec, wall bool) (Pin, bool) {
	z, region, ok := s.ground.At(p)
	if !ok {
		return Pin{}, false
	}
	pin := Pin{At: p, Wall: wall, Floor: z, Depth: s.target.Within(s.floor.Regions[region].Part).Elevation(p) - z}
	if len(s.floor.Regions) > 1 {
		pin.Room = s.floor.Regions[region].Name
	}
	pin.Height = unit.Down(max(pin.Depth, 0), s.rules.Step)
	return pin, true
}

func (s *setter) room(r room) {
	parts := make([]room, len(r.regions))
	var walls []Pin
	for n, k := range r.regions {
		parts[n] = s.part(k)
		var own []Pin
		noRoom := 0
		for _, side := range parts[n].sides {
			for _, p := range s.along(side) {
				pin, ok := s.pin(p, true)
				// On a bend the wall is a little nearer than beside a straight piece.
				if !ok || !parts[n].inside(p, 0.9*s.rules.FromWall) {
					noRoom++
					continue
				}
				if s.atDrain(p) {
					continue
				}
				if near(own, p, s.rules.WallSpacing/10) {
					s.out.Close++
					continue
				}
				own = append(own, pin)
			}
		}
		if len(own) == 0 && len(s.floor.Regions) > 1 {
			if pin, ok := s.pin(widest(s.floor.Regions[k].TIN), true); ok {
				own = append(own, pin)
			}
		}
		s.out.NoRoom += noRoom
		walls = append(walls, own...)
	}
	s.grid(r, parts, walls)
	first := 1
	for _, p := range s.out.Pins {
		if p.Wall {
			first++
		}
	}
	for i := range walls {
		walls[i].Name = "W" + strconv.Itoa(first+i)
	}
	s.out.Pins = append(s.out.Pins, walls...)
}

// part returns a region as a separate room whose steps are walls: the fill is set out on
// both sides of a step.
func (s *setter) part(k int) room {
	p := room{regions: []int{k}}
	for _, ring := range s.floor.Regions[k].Rings {
		for j, a := range ring {
			p.walls = append(p.walls, wall{a, ring[(j+1)%len(ring)]})
		}
	}
	p.sides = sidesOf(p.walls)
	return p
}

// atDrain reports whether p is too near to a drain for a pin, and counts it.
func (s *setter) atDrain(p surface.Vec) bool {
	if !slices.ContainsFunc(s.rules.Drains, func(d surface.Vec) bool { return d.Distance(p) < s.rules.FromWall-1e-9 }) {
		return false
	}
	s.out.AtDrains++
	return true
}

// widest returns the middle of the largest triangle: the place of the one pin of a region
// too small for a pin at its walls.
func widest(t *surface.TIN) surface.Vec {
	best, at := -1.0, surface.Vec{}
	for k := range t.Len() {
		a, b, c := t.At(t.V[3*k]), t.At(t.V[3*k+1]), t.At(t.V[3*k+2])
		area := (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
		p := surface.Vec{X: a.X + (b.X-a.X+c.X-a.X)/3, Y: a.Y + (b.Y-a.Y+c.Y-a.Y)/3}
		if area > best*(1+1e-9) || area > best*(1-1e-9) && before(p, at) < 0 {
			best, at = area, p
		}
	}
	return at
}

func near(pins []Pin, p surface.Vec, r float64) bool {
	return slices.ContainsFunc(pins, func(q Pin) bool { return q.At.Distance(p) < r })
}

// along returns the places of pins along a side, without the one at its last corner: that is
// the first of the next side.
func (s *setter) along(w side) []surface.Vec {
	off := s.rules.FromWall
	length := w.length()
	var out []surface.Vec
	even := func(from, to float64, n, first int) {
		for i := first; i < n; i++ {
			out = append(out, w.at(from+(to-from)*float64(i)/float64(n), off))
		}
	}
	if w.closed {
		even(0, length, max(3, pieces(length, s.rules.WallSpacing)), 0)
		return out
	}
	start, end := w.walls[0], w.walls[len(w.walls)-1]
	from := corner(w.before.turn(start), off)
	to := length - corner(end.turn(w.after), off)
	out = append(out, start.along(from, off))
	// Whole spacings from the corner are easy to read on a tape.
	d := s.rules.WallSpacing
	for k := 1.0; k*d < to-d*short; k++ {
		if k*d > from+d*short {
			out = append(out, w.at(k*d, off))
		}
	}
	return out
}

// short is the share of the spacing of wall pins left out before a corner, where the pin at
// the corner serves; the gap there is longer by that much. Own choice.
const short = 1.0 / 8

// whole is how much a count of spacings may differ from a whole number by rounding.
const whole = 1e-6

// pieces returns the number of pieces of at most spacing in a length.
func pieces(length, spacing float64) int { return max(1, int(math.Ceil(length/spacing-whole))) }

// corner returns the distance from a corner to the place that is off from both walls there,
// m along either; negative if the walls turn away from the floor. There it is at most off,
// so that the pin stays near a sharp corner.
func corner(turn, off float64) float64 { return max(off*math.Tan(turn/2), -off) }

// grid adds the grid pins of a room that are clear of its wall pins. Its lines continue over
// steps; its pins keep clear of steps as of walls.
func (s *setter) grid(r room, parts []room, walls []Pin) {
	a := r.main().toEast()
	p := r.on(a)
	type crossing struct{ i, j int }
	var at []crossing
	pins := map[crossing]Pin{}
	columns, rows := map[int]bool{}, map[int]bool{}
	d := s.rules.Spacing
	for j := int(math.Ceil(p.lo.Y / d)); float64(j)*d <= p.hi.Y; j++ {
		for i := int(math.Ceil(p.lo.X / d)); float64(i)*d <= p.hi.X; i++ {
			v := a.out(surface.Vec{X: float64(i) * d, Y: float64(j) * d})
			if !slices.ContainsFunc(parts, func(p room) bool { return p.inside(v, s.rules.FromWall) }) {
				continue
			}
			pin, ok := s.pin(v, false)
			if !ok {
				continue
			}
			if s.atDrain(v) {
				continue
			}
			if near(walls, v, d/4) {
				s.out.Close++
				continue
			}
			at, pins[crossing{i, j}] = append(at, crossing{i, j}), pin
			columns[i], rows[j] = true, true
		}
	}
	g := Grid{Room: s.floor.Regions[r.regions[0]].Name, Corner: a.o,
		Across: surface.Vec{X: a.cos, Y: a.sin}, Up: surface.Vec{X: -a.sin, Y: a.cos}}
	columnName, rowName := map[int]string{}, map[int]string{}
	for _, i := range sorted(columns) {
		columnName[i] = letters(s.columns)
		s.columns++
		g.Columns = append(g.Columns, GridLine{columnName[i], float64(i) * d})
	}
	for n, j := range sorted(rows) {
		rowName[j] = strconv.Itoa(n + 1)
		g.Rows = append(g.Rows, GridLine{rowName[j], float64(j) * d})
	}
	s.out.Grids = append(s.out.Grids, g)
	for n, j := range sorted(rows) {
		row := slices.DeleteFunc(slices.Clone(at), func(q crossing) bool { return q.j != j })
		if n%2 == 1 {
			slices.Reverse(row)
		}
		for _, q := range row {
			pin := pins[q]
			pin.Name = columnName[q.i] + rowName[j]
			s.out.Pins = append(s.out.Pins, pin)
		}
	}
}

func sorted(set map[int]bool) []int {
	var out []int
	for i := range set {
		out = append(out, i)
	}
	slices.Sort(out)
	return out
}

// Begin chooses Start on a part of the floor, or on all of it if that is nil: of the pins with
// a mark above the floor the farthest from the exit, without an exit the deepest. A pin that
// depends on a reading in doubt is none to begin with: the others would be set by it.
func (p *Pins) Begin(part *surface.Floor) {
	var on surface.Locators
	if part != nil {
		on = part.Locators()
	}
	p.Start = Pin{}
	most := -1.0
	for _, q := range p.Pins {
		if q.Height <= 0 || q.Doubt != "" {
			continue
		}
		if part != nil {
			if _, _, in := on.At(q.At); !in {
				continue
			}
		}
		size := q.Depth
		if e := p.Rules.Exit; e != nil {
			size = e.Distance(q.At)
		}
		if size > most*(1+1e-12) {
			p.Start, most = q, size
		}
	}
}

// judge finds the pins of min and max depth and notes what matters.
func (s *setter) judge() {
	out := &s.out
	note := func(k survey.NoteKind, format string, args ...any) {
		out.Notes = append(out.Notes, survey.Notef(k, survey.Pos{}, format, args...))
	}
	var dry, thin, beside []string
	for i := range out.Pins {
		if s.rules.Doubt != nil {
			out.Pins[i].Doubt, out.Pins[i].Slight = s.rules.Doubt(out.Pins[i].At)
		}
	}
	out.Least, out.Greatest = out.Pins[0], out.Pins[0]
	for _, p := range out.Pins {
		if p.Depth < out.Least.Depth {
			out.Least = p
		}
		if p.Depth > out.Greatest.Depth {
			out.Greatest = p
		}
		switch {
		case p.Depth <= 0:
			dry = append(dry, p.Name)
		case p.Height == 0:
			thin = append(thin, p.Name)
		}
		for _, step := range s.floor.Steps {
			if (wall{step[0], step[1]}).to(p.At) < nearStep {
				beside = append(beside, p.Name)
				break
			}
		}
	}
	out.Begin(nil)
	if out.Close > 0 {
		note(survey.Assumed, "%s left out beside a wall pin, nearer than a quarter of the spacing", count(out.Close, "pin is", "pins are"))
	}
	if out.NoRoom > 0 {
		note(survey.Assumed, "%s left out: there is no room %s from the walls", count(out.NoRoom, "wall pin is", "wall pins are"), unit.Distance(s.rules.FromWall))
	}
	if out.AtDrains > 0 {
		note(survey.Assumed, "%s left out, nearer to a drain than %s", count(out.AtDrains, "pin is", "pins are"), unit.Distance(s.rules.FromWall))
	}
	if len(dry) > 0 {
		note(survey.Warning, "nothing is poured at %s: the floor is at the target or above it", some(dry))
	}
	if len(thin) > 0 {
		note(survey.Warning, "no mark at %s: the fill is less than a step of the rule deep, %s", some(thin), unit.Depth(s.rules.Step))
	}
	switch {
	case out.Start.Name != "":
	case out.Greatest.Height > 0:
		note(survey.Warning, "all pins with a mark above the floor depend on readings in doubt, so that there is none to begin with: read again")
	default:
		note(survey.Warning, "no pin has a mark above the floor, so that there is none to begin with")
	}
	if len(beside) > 0 {
		note(survey.Warning, "%s within %s of a step: set the height from the target there, not from the floor", some(beside), unit.Depth(nearStep))
	}
}
