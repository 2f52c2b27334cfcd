package job

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/surface/falls"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// percent is the value of an option: a number, with or without a % sign.
type percent float64

func (p *percent) String() string { return strconv.FormatFloat(float64(*p), 'g', -1, 64) }

func (p *percent) Type() string { return "percent" }

func (p *percent) Set(text string) error {
	v, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(text), "%"), 64)
	if err != nil {
		return unit.Wanted{Want: "a number of percent, such as 5 or 1.5%"}
	}
	*p = percent(v)
	return nil
}

// unitWeight is a unit weight option, kg/m³.
type unitWeight float64

func (w *unitWeight) String() string { return strconv.FormatFloat(float64(*w), 'g', -1, 64) }

func (w *unitWeight) Type() string { return "weight" }

func (w *unitWeight) Set(text string) error {
	v, err := unit.ParseUnitWeight(text)
	*w = unitWeight(v)
	return err
}

// targetFlags are the plane that the floor is brought to.
type targetFlags struct {
	target, finish, at, buildup, low, rule, toward string
	volume                                         string // that is placed
	direction                                      string // direction of the fall to a place
	covering, bedLeast, bedMost                    string
	codes                                          []string
	old                                            map[string]bool // codes, in upper case, that are those of old floor
	fall                                           slope
	drainFlags
	partFlags
	bestFlags
	designFlags
	ramps []string // THRESHOLD=LENGTH or THRESHOLD=SLOPE
}

// Aimed reports whether a job sets its target.
func Aimed(t *Target) bool {
	return t.Elevation != "" || t.Finish != "" || len(t.FinishCodes) > 0 || t.FinishAt != "" || t.Volume != "" || len(t.Drains)+len(t.Channels)+len(t.Parts) > 0 || t.Surface != "" || t.Best
}

// aimed does the same for options.
func (f *targetFlags) aimed() bool { return f.whole() || len(f.parts) > 0 || f.bestFlags.given() }

// whole reports whether there is a target that is not that of one part.
func (f *targetFlags) whole() bool { return f.heightGiven() || f.volume != "" || f.drainFlags.given() }

// heightGiven reports whether the target has a height of its own. A volume then sets none.
func (f *targetFlags) heightGiven() bool {
	return f.target != "" || f.finish != "" || len(f.codes) > 0 || f.at != "" || f.best || f.design != ""
}

// check refuses requests that are wrong whatever the survey.
func (f *targetFlags) check() error {
	if err := f.bestFlags.check(f); err != nil {
		return err
	}
	given := 0
	for _, g := range []bool{f.target != "", f.finish != "", len(f.codes) > 0, f.at != "", f.design != ""} {
		if g {
			given++
		}
	}
	if err := cmp.Or(f.partFlags.check(f), f.designFlags.check(f), f.checkRamps()); err != nil {
		return err
	}
	switch {
	case given == 0 && !f.best && f.volume != "" && (f.buildup != "" || f.low != ""):
		return misuse("volume", "%s alone sets the top of the fill itself; %s and %s go with %s, %s or %s", unit.Ask("volume", ""), unit.Ask("buildup", ""), unit.Ask("low", ""),
			unit.Ask("finish", ""), unit.Ask("finish-code", ""), unit.Ask("finish-at", "")).Hinted("leave out %s and %s, or give the finished floor: the result then says how high the volume fills", unit.Ask("buildup", ""), unit.Ask("low", ""))
	case given == 0 && f.drainFlags.given():
		return f.drainFlags.check(f)
	case given == 0 && f.volume == "" && len(f.parts) == 0 && !f.best:
		return misuse("", "no target: how high is the top of fill?").Hinted("%s, or %s %s, or %s %s, or %s %s", unit.Ask("target", "Z"), unit.Ask("finish", "Z"), unit.Ask("buildup", "H"),
			unit.Ask("finish-code", "CODE"), unit.Ask("buildup", "H"), unit.Ask("finish-at", "NAME"), unit.Ask("buildup", "H"))
	case given > 1:
		return misuse("", "%s, %s, %s, %s and %s each set the target; give one of them", unit.Ask("target", ""), unit.Ask("finish", ""), unit.Ask("finish-code", ""), unit.Ask("finish-at", ""), unit.Ask("target-surface", ""))
	case f.target != "" && (f.buildup != "" || f.low != ""):
		return misuse("target", "%s is the top of the fill itself; %s and %s go with %s, %s or %s", unit.Ask("target", ""), unit.Ask("buildup", ""), unit.Ask("low", ""),
			unit.Ask("finish", ""), unit.Ask("finish-code", ""), unit.Ask("finish-at", "")).Hinted("if %s is the finished floor, %s %s", f.target, unit.Ask("finish", f.target), unit.Ask("buildup", cmp.Or(f.buildup, "H")))
	case (f.bedLeast != "") != (f.bedMost != ""):
		return misuse("bed-least", "%s and %s go together", unit.Ask("bed-least", ""), unit.Ask("bed-greatest", ""))
	case f.bedMost != "" && f.covering == "":
		return misuse("", "a bed is under a covering of known thickness").Hinted("%s", unit.Ask("covering", lengthOptions["covering"].example(f.bedMost)))
	case f.rule != "lowest" && f.rule != "mean" && f.rule != "plane":
		return misused("finish-rule", strconv.Quote(f.rule), "lowest, mean or plane")
	case f.rule != "lowest" && len(f.codes) == 0:
		return misuse("finish-rule", "%s is for the shots of %s", unit.Ask("finish-rule", ""), unit.Ask("finish-code", "")).Hinted("%s", unit.Ask("finish-code", "CODE"))
	case f.drainFlags.given() || f.walls != "":
		return f.drainFlags.check(f)
	case (f.fall != 0) != (f.toward != ""):
		e := misuse("fall", "%s and %s go together: how much, and to where", unit.Ask("fall", ""), unit.Ask("toward", ""))
		if f.toward == "" {
			return e.Hinted("%s %s or the name of a shot", unit.Ask("fall", "1.5%"), unit.Ask("toward", "X,Y"))
		}
		return e.Hinted("%s %s", unit.Ask("fall", "1.5%"), unit.Ask("toward", f.toward))
	case f.direction != "" && f.toward == "":
		return misuse("fall-direction", "%s is for the fall to a place", unit.Ask("fall-direction", "")).Hinted("%s %s %s", unit.Ask("fall", "1.5%"), unit.Ask("toward", "X,Y"), unit.Ask("fall-direction", "N"))
	case f.fall != 0 && f.rule == "plane":
		return misuse("finish-rule", "%s plane has a slope of its own; %s goes with lowest or mean", unit.Ask("finish-rule", ""), unit.Ask("fall", ""))
	}
	return nil
}

// NoBuildup asks for the build-up that lowers the target below a finished floor, in the
// system of the survey.
func NoBuildup(us bool) error {
	thin, none := ExampleBuildup(us)
	return misuse("buildup", "how much lower than the finished floor is the top of fill?").Hinted("%s, covering and bed together; %s for a fill flush with the finished floor", unit.Ask("buildup", thin), unit.Ask("buildup", none))
}

// ExampleBuildup returns examples of a build-up: one of tile and its bed, and none at all.
func ExampleBuildup(us bool) (thin, none string) {
	if us {
		return "9/16in", "0in"
	}
	return "12mm", "0mm"
}

// targetFlag returns the field that sets the target.
func (f *targetFlags) targetFlag() string {
	switch {
	case f.design != "":
		return "target-surface"
	case f.finish != "":
		return "finish"
	case len(f.codes) > 0:
		return "finish-code"
	case f.at != "":
		return "finish-at"
	case f.best:
		return "best"
	case f.target == "" && f.volume != "":
		return "volume"
	}
	return "target"
}

// planned is the target of a floor.
type planned struct {
	target  surface.Target
	whole   *surface.Floor // the floor of split, if that is known
	split   *surface.Floor // whole, split for target
	plane   surface.Plane  // without falls, ramps and parts of their own
	finish  *surface.Plane // finished plane that a rule makes from shots; nil without one
	design  *Design        // nil unless it is a surface from a file
	falls   *falls.Built   // nil unless it falls to drains
	ramps   []Ramp
	best    *Best        // nil unless it is the plane of least cost
	falling *falling     // nil for a level target
	apart   []survey.Pos // the two finished floors that differ the most, if they are warned of
	notes   []survey.Note
}

// general works out the target of a floor whose parts have none of their own.
func (f *targetFlags) general(l *Lengths, s *survey.Survey, floor *surface.Floor) (planned, error) {
	p := planned{}
	if f.loaded != nil {
		return f.toDesign(l, s, floor)
	}
	lo, hi := floor.Bounds()
	shape := surface.Plane{At: surface.Vec{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2}}
	var place *surface.Vec
	var name string
	if f.fall != 0 && !f.drainFlags.given() {
		dir, to, named, err := whereTo(l, f.toward, s)
		if err != nil {
			return p, err
		}
		if place, name = to, named; to != nil {
			if err := within(floor, *to, name); err != nil {
				return p, err
			}
			if dir, err = f.downTo(floor, *to, name); err != nil {
				return p, err
			}
		} else if f.direction != "" {
			return p, misuse("fall-direction", "%s goes with a place; %s %s is a direction already", unit.Ask("fall-direction", ""), unit.Ask("toward", ""), f.toward).Hinted("%s", unit.LeaveOut("fall-direction"))
		}
		if shape, err = surface.Falling(0, float64(f.fall)/100, shape.At, surface.Vec{}, dir); err != nil {
			return p, err
		}
		shape = uphill(floor, shape)
	}
	if f.best {
		if err := f.toBest(&p, l, s, floor); err != nil {
			return p, err
		}
	} else if f.heightGiven() || !f.drainFlags.given() {
		if err := f.raise(&p, l, s, floor, shape); err != nil {
			return p, err
		}
	}
	if f.drainFlags.given() {
		if err := f.toDrains(&p, l, s, floor); err != nil {
			return p, err
		}
	} else {
		p.target = p.plane
	}
	if p.finish != nil {
		p.notes = append(p.notes, f.judgeLevels(s, &p)...)
		p.notes = append(p.notes, f.judgeUnused(s, floor, &p)...)
	} else {
		p.notes = append(p.notes, survey.By(ByDoors, f.noteDoorWords(s, floor, &p.plane, nil))...)
	}
	p.notes = append(p.notes, closedOff(s, f.finishShots(s))...)
	p.notes = append(p.notes, farFinished(floor, f.finished(s))...)
	p.falling = lay(floor, p.target, place, name)
	p.notes = append(p.notes, p.falling.notes(p.plane)...)
	if p.finish != nil && f.toward != "" {
		p.notes = append(p.notes, f.hinge(s, p)...)
	}
	return p, f.withRamps(&p, l, s, floor)
}

// hinge notes that a fall held at a finished floor rises beyond it.
func (f *targetFlags) hinge(s *survey.Survey, p planned) []survey.Note {
	held, least := survey.Point{}, math.Inf(1)
	for _, one := range f.finishShots(s) {
		if d := one.Z - p.finish.Elevation(surface.Vec{X: one.X, Y: one.Y}); d < least {
			held, least = one, d
		}
	}
	there := p.plane.Elevation(surface.Vec{X: held.X, Y: held.Y})
	rise := p.falling.greatest - there
	if !(rise > water) {
		return nil
	}
	where := unit.Textf("%s", At(surface.Vec{X: held.X, Y: held.Y}))
	if held.Name() != "" {
		where = unit.Textf("%s", held.Name())
	}
	return []survey.Note{survey.Notef(survey.Warning, held.At(), "the fall is held at the finished floor at %s, where the target is %s; uphill of it the target rises to %s at %s, %s higher", where, unit.ElevationDown(there),
		unit.ElevationDown(p.falling.greatest), Beside(p.falling.floor, p.falling.greatestAt), unit.Depth(rise)).About(survey.AboutTarget)}
}

// raise moves a plane of the right slope to its elevation.
func (f *targetFlags) raise(p *planned, l *Lengths, s *survey.Survey, floor *surface.Floor, shape surface.Plane) error {
	var buildup, low float64
	if err := l.into(lengthValue{"buildup", f.buildup, &buildup}, lengthValue{"low", f.low, &low}); err != nil {
		return err
	}
	drop := buildup + low
	if !f.heightGiven() {
		var err error
		p.plane, err = f.placed(floor, shape, s.Unit.Imperial())
		return err
	}
	if f.target == "" && f.buildup == "" {
		return NoBuildup(s.Unit.Imperial())
	}
	if len(f.codes) > 0 || f.at != "" {
		finish, notes, err := f.fromShots(s, floor, shape)
		p.plane, p.finish, p.notes = finish.Lowered(drop), &finish, append(p.notes, notes...)
		return err
	}
	field, text := "target", f.target
	if f.finish != "" {
		field, text = "finish", f.finish
	}
	z, err := l.Parse(field, text)
	shape.Z = z - drop
	p.plane = shape
	return err
}

// uphill moves the place where a plane is held to the highest corner of the floor:
// everywhere else the fill is then lower.
func uphill(floor *surface.Floor, p surface.Plane) surface.Plane {
	_, _, _, at := floor.Range(p)
	return surface.Plane{At: at, SlopeX: p.SlopeX, SlopeY: p.SlopeY}
}

// fromShots makes the finished plane from shots on adjoining floors. shape gives the
// slope for rules that do not fit one.
func (f *targetFlags) fromShots(s *survey.Survey, floor *surface.Floor, shape surface.Plane) (surface.Plane, []survey.Note, error) {
	on := f.finishShots(s)
	if f.at != "" && len(on) == 0 {
		e := noShot(s, "finish-at", f.at, "the name of a shot on the adjoining finished floor")
		if codesIn(s)[strings.ToUpper(f.at)] {
			e = e.Hinted("%s is a code: %s", f.at, unit.Ask("finish-code", f.at))
		}
		return shape, nil, e
	}
	if len(on) == 0 {
		return shape, nil, f.noCode(s)
	}
	notes, err := f.placeless(s, shape)
	if err != nil {
		return shape, nil, err
	}
	if err := readApart(doorsOn(on, shape)); err != nil {
		return shape, nil, err
	}
	lowest, total := math.Inf(1), 0.0
	for _, p := range on {
		d := p.Z - shape.Elevation(surface.Vec{X: p.X, Y: p.Y})
		lowest = min(lowest, d)
		total += d
	}
	var plane surface.Plane
	switch f.rule {
	case "lowest":
		shape.Z = lowest
		return shape, notes, nil
	case "mean":
		shape.Z = total / float64(len(on))
		plane = shape
	default:
		fit, _, err := surface.FitPlane(on)
		if err != nil {
			return shape, nil, byLowest(&survey.Error{Pos: on[0].At(), Element: "finished floor", Found: fmt.Sprintf("%d shots", len(on)), Err: err}, "three that are not on one line, for %s", byPlane)
		}
		plane = fit
		var corners []surface.Vec
		for _, r := range floor.Regions {
			corners = append(corners, r.Rings[0]...)
		}
		// For shots good to 2 mm (common practice, no source) these are 6 mm and 20
		// mm.
		switch u := surface.Uncertainty(on, corners); {
		case u > 10:
			return shape, nil, byLowest(&survey.Error{Pos: on[0].At(), Element: "finished floor", Found: fmt.Sprintf("%d shots almost on one line, or close together: they carry no plane over the whole floor", len(on))},
				"shots that surround the floor, for %s", byPlane)
		case u > 3:
			notes = append(notes, survey.Notef(survey.Warning, on[0].At(), "the plane through the %d shots on the finished floor is %.0f times as uncertain at the far side of the floor as a shot: shoot more places around it%s", len(on), u, unit.Hintf(", or use %s", unit.Ask("finish-rule", "lowest"))).About(survey.AboutTarget))
		}
	}
	worst, over := survey.Point{}, 0.0
	for _, p := range on {
		if d := plane.Elevation(surface.Vec{X: p.X, Y: p.Y}) - p.Z; d > over {
			worst, over = p, d
		}
	}
	if over > 0.0005 {
		notes = append(notes, survey.Notef(survey.Warning, worst.At(), "the finished plane is %s above the adjoining floor at %s%s", unit.Depth(over), worst.Name(), unit.Hintf("; %s never is", unit.Ask("finish-rule", "lowest"))))
	}
	return plane, notes, nil
}

// errNoCode is the cause where no shot has the codes of the finished floor.
var errNoCode = errors.New("no shot with the code")

// noCode refuses codes that no shot has. Its cause is [errNoCode].
func (f *targetFlags) noCode(s *survey.Survey) *survey.Error {
	codes := codesIn(s)
	e := &survey.Error{Pos: survey.Pos{File: s.Name}, Found: "no shot with code " + strings.Join(f.codes, " or "), Want: "shots on the adjoining finished floor", Err: errNoCode}
	hint := unit.Textf("codes in this survey: %s", listed(codes))
	for _, n := range s.Notes {
		if n.Step == survey.ByLead {
			hint = unit.Textf("%s. %s: %s", hint, n.Pos, n.Text)
			break
		}
	}
	for _, code := range f.codes {
		switch near := nearestName(code, slices.Sorted(maps.Keys(codes))); {
		case slices.Contains(shotNames(s), code):
			hint = unit.Textf("%s is the name of a shot: %s; %s", code, unit.Ask("finish-at", code), hint)
		case len(remarked(s, code)) > 0:
			hint = unit.Textf("%s; %s", askRemarked(s, code), hint)
		case near != "":
			hint = unit.Textf("did you mean %s? %s", unit.Ask("finish-code", near), hint)
		}
	}
	return e.Hinting(hint)
}

// remarked returns the shots with a height whose whole remark is a text, in any case.
func remarked(s *survey.Survey, text string) []survey.Point {
	var out []survey.Point
	for _, list := range [][]survey.Point{s.Points, s.Finished, s.Control, s.Heights} {
		for _, p := range list {
			if p.HasZ() && p.Remark() != "" && strings.EqualFold(bareCode(p.Remark()), bareCode(text)) {
				out = append(out, p)
			}
		}
	}
	return out
}

// askRemarked says how to make finished floor of the shots with a remark. A name serves for
// one shot alone.
func askRemarked(s *survey.Survey, remark string) unit.Text {
	shots := remarked(s, remark)
	code := unit.Ask("code", strings.ToUpper(strings.TrimRight(strings.TrimSpace(remark), ".,;:"))+"=finished")
	if name := shots[0].Name(); len(shots) == 1 && name != "" {
		return unit.Textf("%s is the remark of %s: %s in its place, or add %s", remark, name, unit.Ask("finish-at", name), code)
	}
	return unit.Textf("%s is the remark of %s: add %s", remark, survey.Plural(len(shots), "shot"), code)
}

// byPlane is the rule that fits a plane to the shots on the finished floor.
var byPlane = unit.Ask("finish-rule", "plane")

// byLowest refuses the plane rule if the shots do not suffice, and offers the lowest
// shot.
func byLowest(e *survey.Error, want string, args ...any) error {
	return e.Wanted(want, args...).Hinted("%s", unit.Ask("finish-rule", "lowest"))
}

// placeless uses shots without a place for the finished floor and takes them off the
// list of left-out shots. It refuses them if the plane depends on their places.
func (f *targetFlags) placeless(s *survey.Survey, shape surface.Plane) ([]survey.Note, error) {
	var notes []survey.Note
	for i := range s.Heights {
		p := &s.Heights[i]
		if !f.chosen(p) {
			continue
		}
		name := cmp.Or(p.Name(), "shot on the finished floor")
		switch {
		case f.rule == "plane":
			return nil, byLowest(&survey.Error{Pos: p.At(), Element: name, Found: "no position"}, "its x and y: %s depends on them", byPlane)
		case !shape.Level():
			return nil, (&survey.Error{Pos: p.At(), Element: name, Found: "no position", Want: "its x and y: the fall is held at the finished floor there"}).Hinted("%s, or give its x and y", unit.LeaveOut("fall"))
		}
		s.Notes = slices.DeleteFunc(s.Notes, func(n survey.Note) bool { return n.Kind == survey.LeftOut && n.Pos == p.At() })
		notes = append(notes, survey.Notef(survey.Assumed, p.At(), "%s: no position; its elevation counts for the target, and it is not on the plans", name))
	}
	return notes, nil
}

// FinishShots lists the shots of a survey with one of several codes, from which the
// finished floor can be taken.
func FinishShots(s *survey.Survey, codes []string) []survey.Point {
	return (&targetFlags{codes: codes}).finishShots(s)
}

// finishShots lists the shots from which the finished floor is taken.
func (f *targetFlags) finishShots(s *survey.Survey) []survey.Point {
	var on []survey.Point
	for _, list := range [][]survey.Point{s.Finished, s.Control, s.Points, s.Heights} {
		for i := range list {
			if f.chosen(&list[i]) && (f.at != "" || !f.beyond(&list[i], cmp.Or(f.rest, f.filled))) {
				on = append(on, list[i])
			}
		}
	}
	return on
}

// codesIn returns the codes of all shots, in upper case.
func codesIn(s *survey.Survey) map[string]bool {
	seen := map[string]bool{}
	for _, list := range [][]survey.Point{s.Finished, s.Control, s.Points, s.Heights} {
		for _, p := range list {
			seen[strings.ToUpper(bareCode(p.Code()))] = true
		}
	}
	return seen
}

// thresholds works out the step that the target leaves at each finished place.
func (f *targetFlags) thresholds(l *Lengths, s *survey.Survey, target surface.Target) ([]surface.Threshold, surface.Covering, error) {
	var c surface.Covering
	if err := l.into(lengthValue{"covering", f.covering, &c.Thickness}, lengthValue{"bed-least", f.bedLeast, &c.Least}, lengthValue{"bed-greatest", f.bedMost, &c.Greatest}, lengthValue{"buildup", f.buildup, &c.Bed}); err != nil {
		return nil, c, err
	}
	if f.buildup != "" {
		c.Bed -= c.Thickness // minus the rest of the build-up
	}
	if c.Bed < 0 || c.Least > c.Greatest {
		return nil, c, misuse("", "the covering is thicker than the whole build-up, or the min bed than the max bed")
	}
	return surface.Thresholds(f.finished(s), target, c), c, nil
}

// chosen reports whether the user named a shot as finished floor, by code or by name.
func (f *targetFlags) chosen(p *survey.Point) bool {
	if len(f.codes) == 0 && f.at == "" || !p.HasZ() {
		return false
	}
	for _, c := range f.codes {
		// A name may follow the code: "ADJ hall".
		whole := bareCode(p.Code())
		if word, _, cut := strings.Cut(whole, " "); strings.EqualFold(whole, c) || cut && survey.IsCode(c) && strings.EqualFold(word, c) && !f.old[strings.ToUpper(whole)] {
			return true
		}
	}
	return f.at != "" && p.Name() == f.at
}

// bareCode is a code as written but for a full stop or the like behind it.
func bareCode(code string) string { return strings.TrimRight(strings.TrimSpace(code), ".,;: ") }

// listed returns the keys of a set in order, ten max.
func listed(set map[string]bool) string {
	var words []string
	for w := range set {
		if w != "" {
			words = append(words, w)
		}
	}
	slices.Sort(words)
	if len(words) == 0 {
		return "none"
	}
	if len(words) > 10 {
		words = append(words[:10], "…")
	}
	return strings.Join(words, ", ")
}
