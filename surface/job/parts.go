package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// partFlags are the targets of single parts of a floor.
type partFlags struct {
	parts []string          // PART=Z, or PART=none
	part  string            // the only part that the target is for
	own   map[string]string // by [surface.Region.Part], as written

	// Set once there is a floor.
	floor  *surface.Floor // with the parts that are not filled
	filled *surface.Floor // without them
	rest   *surface.Floor // what has no target of its own, if the general one is for a part of the floor only
}

// notFilled is the target of a part that is not filled.
const notFilled = "none"

// PartLeft is a part of the floor that is not filled.
type PartLeft struct {
	Name  string
	Area  float64 // m²
	Shots int
	At    *surface.Vec // a place in a piece that the target surface does not cover; nil for a whole part
}

// ofPart splits PART=Z. A name may have a = too.
func ofPart(text string) (name, z string, ok bool) {
	i := strings.LastIndex(text, "=")
	if i < 0 {
		return "", "", false
	}
	name, z = strings.TrimSpace(text[:i]), strings.TrimSpace(text[i+1:])
	if strings.EqualFold(z, notFilled) {
		z = notFilled
	}
	return name, z, name != "" && z != ""
}

// levelsIn returns the elevations in targets of parts.
func levelsIn(parts []string) []string {
	var out []string
	for _, text := range parts {
		if _, z, ok := ofPart(text); ok && z != notFilled {
			out = append(out, z)
		}
	}
	return out
}

// askPart asks for a target of a part.
func askPart(name, z string) unit.Option { return unit.AskQuoted("target", name+"="+z) }

// check refuses settings that are wrong whatever the survey.
func (f *partFlags) check(t *targetFlags) error {
	for _, text := range f.parts {
		if _, _, ok := ofPart(text); !ok {
			e := misused("target", unit.Quote(text), "PART=Z, or PART=none for a part that is not filled")
			e.Of = text
			if _, z, _ := strings.Cut(text, "="); imperial(z) || imperial(t.target) {
				return e.Hinted("such as %s", askPart("pit", "98.9ft"))
			}
			return e.Hinted("such as %s", askPart("pit", "9.7m"))
		}
	}
	if len(f.parts) == 0 {
		return nil
	}
	if slices.ContainsFunc(f.parts, func(text string) bool { _, z, _ := ofPart(text); return z != notFilled }) && t.volume != "" {
		return misuse("volume", "a volume fills to one height, and the parts have targets of their own").Hinted("%s, or one target with %s for parts that are not filled", unit.LeaveOut("volume"), askPart("PART", notFilled))
	}
	if t.whole() {
		return nil
	}
	for _, v := range []struct {
		field string
		given bool
	}{{"buildup", t.buildup != ""}, {"low", t.low != ""}, {"fall", t.fall != 0}, {"toward", t.toward != ""}, {"fall-direction", t.direction != ""}, {"walls", t.walls != ""}} {
		if v.given {
			return misuse(v.field, "%s goes with a target for the parts that have none of their own", unit.Ask(v.field, "")).Hinted("%s, or %s", unit.Ask("target", "Z"), unit.LeaveOut(v.field))
		}
	}
	return nil
}

// findParts finds the parts of a floor that are named, and refuses what they do not add up to.
func (f *targetFlags) findParts(floor *surface.Floor) error {
	names := floor.Parts()
	f.own, f.floor, f.filled, f.rest = map[string]string{}, floor, floor, nil
	if len(f.parts) == 0 {
		return nil
	}
	first, z, _ := ofPart(f.parts[0])
	switch {
	case floor.Hull:
		return noPart(first, f.parts[0], "a part of the outline, and there is none", unit.Textf("%s, with the parts in a column part", unit.Ask("outline", "FILE")))
	case !slices.ContainsFunc(names, func(n string) bool { return n != "" }):
		hint := unit.Textf("a column part in the outline names them; %s is for the whole floor", unit.Ask("target", z))
		if z == notFilled {
			hint = unit.Textf("a column part in the outline names them")
		}
		return noPart(first, f.parts[0], "a part of the outline: it has one, without a name", hint)
	}
	for _, text := range f.parts {
		name, z, _ := ofPart(text)
		part, ok := partNamed(name, names)
		if !ok {
			hint := unit.Textf("the parts are %s", some(called(names)))
			if near := nearestName(name, names); near != "" {
				hint = unit.Textf("did you mean %s? The parts are %s", askPart(near, z), some(called(names)))
			}
			return noPart(name, text, "a part of the outline", hint)
		}
		if was, twice := f.own[part]; twice {
			return noPart(name, text, fmt.Sprintf("one target for %s: %s is given too", part, was), unit.Text{})
		}
		f.own[part] = z
	}
	var rest []string
	filled := 0
	for _, n := range names {
		if z, ok := f.own[n]; !ok {
			rest = append(rest, n)
			filled++
		} else if z != notFilled {
			filled++
		}
	}
	switch {
	case filled == 0:
		return ofParts(names[0], "no part is filled: each is %s", notFilled).Hinted("%s", askPart(names[0], "Z"))
	case len(rest) > 0 && !f.whole():
		return ofParts(rest[0], "no target for %s", strings.Join(called(rest), ", ")).Hinted("%s for what has none of its own, or %s, or %s where it is not filled", unit.Ask("target", "Z"), askPart(called(rest)[0], "Z"), askPart(called(rest)[0], notFilled))
	case len(rest) == 0 && f.whole():
		return f.forNone()
	}
	return nil
}

// forNone refuses a general target where every part has its own.
func (f *targetFlags) forNone() error {
	field, out := f.targetFlag(), []unit.Text{}
	if !f.heightGiven() && f.drainFlags.given() {
		if field = "drain"; len(f.drains) == 0 {
			field = "channel"
		}
		if len(f.channels) > 0 && field != "channel" {
			out = append(out, unit.Textf("%s", unit.LeaveOut("channel")))
		}
		if f.fall != 0 {
			out = append(out, unit.Textf("%s", unit.LeaveOut("fall")))
		}
	}
	out = append([]unit.Text{unit.Textf("%s", unit.LeaveOut(field))}, out...)
	return misuse(field, "every part has a target of its own: %s is for none of them", unit.Ask(field, "")).Hinted("%s, or one part fewer", unit.Join(out, " and "))
}

// ofParts is [misuse] of the targets of parts, of which one is name.
func ofParts(name, format string, args ...any) *survey.Error {
	e := misuse("target", format, args...)
	e.Of = cmp.Or(name, "part")
	return e
}

// noPart refuses the target of a part.
func noPart(name, text, want string, hint unit.Text) error {
	e := misused("target", unit.Quote(text), want)
	e.Of = name
	return e.Hinting(hint)
}

// called names parts; one may have no name.
func called(parts []string) []string {
	var out []string
	for _, p := range parts {
		if p == "" {
			p = "the part without a name"
		}
		out = append(out, p)
	}
	return out
}

// partNamed returns the part of a name; case matters only where two differ by nothing else.
func partNamed(name string, parts []string) (string, bool) {
	if slices.Contains(parts, name) {
		return name, true
	}
	var found []string
	for _, p := range parts {
		if p != "" && strings.EqualFold(p, name) {
			found = append(found, p)
		}
	}
	if len(found) == 1 {
		return found[0], true
	}
	return "", false
}

// filledParts returns the floor without the parts that are not filled, and these.
func (f *targetFlags) filledParts(floor *surface.Floor) (*surface.Floor, []PartLeft, error) {
	if err := f.findParts(floor); err != nil {
		return nil, nil, err
	}
	var gone []string
	for _, n := range floor.Parts() {
		if f.own[n] == notFilled {
			gone = append(gone, n)
		}
	}
	var left []PartLeft
	for _, n := range gone {
		one := floor.Only(n)
		left = append(left, PartLeft{Name: n, Area: one.FillTo(surface.Horizontal(0), nil).Area, Shots: one.Used})
	}
	if len(gone) > 0 {
		f.filled = floor.Without(gone...)
		f.filled.Thresholds = slices.DeleteFunc(slices.Clone(floor.Thresholds), func(p survey.Point) bool { return f.beyond(&p, f.filled) })
	}
	return f.filled, left, nil
}

// mostBare is how many pieces that a target surface does not cover a result lists. Own choice.
const mostBare = 5

// leftNotes list the parts that are not filled.
func leftNotes(left []PartLeft) []survey.Note {
	var out []survey.Note
	bare, rest := 0, 0.0
	for _, p := range left {
		if p.At != nil {
			if bare++; bare > mostBare {
				rest += p.Area
				continue
			}
			of := ""
			if p.Name != "" {
				of = " of " + p.Name
			}
			out = append(out, survey.Notef(survey.Warning, survey.Pos{}, "the target surface does not cover %s%s, by %s: not filled, and in none of the figures", unit.Area(p.Area), of, At(*p.At)).About(survey.AboutTarget))
			continue
		}
		out = append(out, survey.Notef(survey.Assumed, survey.Pos{}, "not filled: %s, %s with %s: in none of the figures", p.Name, unit.Area(p.Area), survey.Plural(p.Shots, "shot")).About(survey.AboutTarget))
	}
	if bare > mostBare {
		out = append(out, survey.Notef(survey.Warning, survey.Pos{}, "the target surface does not cover %s beside these, %s in all: not filled, and in none of the figures", survey.Plural(bare-mostBare, "piece"), unit.Area(rest)).About(survey.AboutTarget))
	}
	return out
}

// plane works out the target of a floor, of which the parts that are not filled have been left
// out.
func (f *targetFlags) plane(l *Lengths, s *survey.Survey, floor *surface.Floor) (planned, error) {
	var own []string
	for _, n := range floor.Parts() {
		if _, ok := f.own[n]; ok {
			own = append(own, n)
		}
	}
	if len(own) == 0 {
		return f.forRest(l, s, floor)
	}
	p := planned{}
	rest := floor.Without(own...)
	if f.whole() {
		var err error
		if p, err = f.forRest(l, s, rest); err != nil {
			return p, err
		}
	} else {
		p.notes = append(closedOff(s, f.finishShots(s)), farFinished(floor, f.finished(s))...)
		p.notes = append(p.notes, survey.By(ByDoors, f.noteDoorWords(s, floor, nil, nil))...)
	}
	each := map[string]surface.Target{}
	for _, n := range rest.Parts() {
		each[n] = p.target
	}
	for _, n := range own {
		z, err := l.Parse("target "+n, f.own[n])
		if err != nil {
			return p, err
		}
		each[n] = surface.Horizontal(z)
	}
	p.target = surface.NewPartTargets(floor, each)
	return p, nil
}

// forRest works out the target of the parts that have none of their own.
func (f *targetFlags) forRest(l *Lengths, s *survey.Survey, rest *surface.Floor) (planned, error) {
	f.rest = nil
	every := *f
	every.filled = nil
	f.rest = rest
	if len(f.codes) > 0 && len(every.finishShots(s)) > 0 && len(f.finishShots(s)) == 0 {
		return planned{}, misuse("finish-code", "all shots of %s are at parts with a target of their own, or that are not filled", strings.Join(f.codes, " and ")).Hinted("%s for the other parts", unit.Ask("target", "Z"))
	}
	p, err := f.general(l, s, rest)
	if p.falling != nil {
		p.falling.among = rest != f.filled
	}
	return p, err
}

// beyond reports whether a shot is at another part of the floor than those of some.
func (f *partFlags) beyond(p *survey.Point, some *surface.Floor) bool {
	if some == nil || some == f.floor || math.IsNaN(p.X+p.Y) {
		return false
	}
	const alike = 1e-6 // m, by rounding
	at := surface.Vec{X: p.X, Y: p.Y}
	return setout.Away(some, at) > setout.Away(f.floor, at)+alike
}

// ends warns of edges at which the fill ends in the open.
func (f *targetFlags) ends(w *Filled) []survey.Note {
	if len(f.parts) == 0 && f.loaded == nil {
		return nil
	}
	ends, err := w.Floor.Ends(w.Fill.Target)
	if err != nil {
		return nil // the target is refused
	}
	var out []survey.Note
	for _, e := range ends {
		if e.Height < leastEnd {
			continue
		}
		if e.Part == e.Beside {
			out = append(out, survey.Notef(survey.Warning, survey.Pos{}, "the fill ends up to %s above the floor where the target surface ends, along %s of edge: it needs an edge form there, or a wall", unit.Depth(e.Height), unit.Distance(e.Length)).About(survey.AboutTarget))
			continue
		}
		step := unit.Text{}
		if e.Step-e.Height >= leastEnd {
			step = unit.Textf("; the step down to %s is then %s", PartName(e.Beside), unit.Depth(e.Step))
		}
		out = append(out, survey.Notef(survey.Warning, survey.Pos{}, "the fill of %s ends in the open beside %s, along %s of edge, with a face up to %s high: it needs an edge form there, or a wall%s",
			PartName(e.Part), PartName(e.Beside), unit.Distance(e.Length), unit.Depth(e.Height), step).About(survey.AboutTarget))
	}
	return out
}

// leastEnd is the height, m, from which an edge of the fill needs a form: less is trowelled to
// nothing. Own choice.
const leastEnd = 0.001

// nearParts is [input.nearFloor] for a target of which some parts of the floor have their own.
func (f *input) nearParts(s *survey.Survey, floor *surface.Floor, target surface.Target, aim *targetFlags, below float64) error {
	for _, n := range floor.Parts() {
		of := *aim
		of.own = nil
		if z, ok := aim.own[n]; ok {
			of = targetFlags{target: z, partFlags: partFlags{part: n}}
		}
		err := f.nearFloor(s, floor.Only(n), target.Within(n), &of, below)
		if e, ok := err.(*survey.Error); ok && of.part != "" && e.Usage {
			e.Of = n
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// PartFill is what a part of a floor takes.
type PartFill struct {
	Name  string
	Floor *surface.Floor // the part alone
	surface.Fill
}

// PartsOf lists what the parts of a floor take, by name. They add up to the whole except for
// the rounding of the last digit.
func PartsOf(w *Filled) []PartFill {
	var out []PartFill
	for _, n := range w.Floor.Parts() {
		one := w.Floor.Only(n)
		out = append(out, PartFill{n, one, one.FillTo(w.Fill.Target, nil)})
	}
	return out
}

// PartName names a part of a floor; one may have no name.
func PartName(name string) string { return called([]string{name})[0] }

// FinishedBeside lists the shots on finished floor beside what is filled.
func (w *Filled) FinishedBeside() []survey.Point {
	return slices.DeleteFunc(slices.Clone(w.Survey.Finished), w.BesideLeft)
}

// BesideLeft reports whether a shot is at a part that is not filled.
func (w *Filled) BesideLeft(p survey.Point) bool {
	return w.plan != nil && w.plan.beyond(&p, w.plan.filled)
}

// filledRings are the outlines without those of parts that are not filled.
func (f *targetFlags) filledRings(rings []survey.Ring) []survey.Ring {
	return slices.DeleteFunc(slices.Clone(rings), func(r survey.Ring) bool { return r.Kind == survey.Outer && f.own[r.Name] == notFilled })
}

// SetBy reports whether a shot on finished floor is beside parts whose target comes from the
// finished floor, not one of their own.
func (w *Filled) SetBy(p survey.Point) bool { return w.plan == nil || !w.plan.beyond(&p, w.plan.rest) }
