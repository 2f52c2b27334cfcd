package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// percent is the value of a flag: a number, with or without a % sign.
type percent float64

func (p *percent) String() string { return strconv.FormatFloat(float64(*p), 'g', -1, 64) }
func (p *percent) Type() string   { return "percent" }

func (p *percent) Set(text string) error {
	v, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(text), "%"), 64)
	if err != nil {
		return errors.New("want a number of percent, such as 5 or 1.5%")
	}
	*p = percent(v)
	return nil
}

// unitWeight is a unit weight in kg/m³ as an option.
type unitWeight float64

func (w *unitWeight) String() string { return strconv.FormatFloat(float64(*w), 'g', -1, 64) }
func (w *unitWeight) Type() string   { return "weight" }

func (w *unitWeight) Set(text string) error {
	v, err := unit.ParseUnitWeight(text)
	*w = unitWeight(v)
	return err
}

// targetFlags say which plane the floor is to be brought to.
type targetFlags struct {
	target, finish, at, buildup, low, rule, toward string
	covering, bedLeast, bedMost                    string
	codes                                          []string
	fall                                           percent
}

func (f *targetFlags) register(c *cobra.Command) {
	s := c.Flags()
	s.StringVar(&f.target, "target", "", "elevation `Z` of the target plane (top of fill)")
	s.StringVar(&f.finish, "finish", "", "elevation `Z` of the finished floor to meet; the target lies lower by --buildup and --low")
	s.StringVar(&f.buildup, "buildup", "", "thickness `H` of covering and bed above the fill")
	s.StringVar(&f.low, "low", "", "how far `H` to stay low: a low floor is topped up, a high one is ground")
	s.StringArrayVar(&f.codes, "finish-code", nil, "take the finished floor from the shots of this `CODE` (repeatable)")
	s.StringVar(&f.at, "finish-at", "", "take the finished floor from the one shot of this `NAME`")
	s.StringVar(&f.covering, "covering", "", "thickness `H` of the covering alone, to show the bed at each threshold")
	s.StringVar(&f.bedLeast, "bed-least", "", "least thickness `H` of the bed under the covering")
	s.StringVar(&f.bedMost, "bed-greatest", "", "greatest thickness `H` of the bed")
	s.StringVar(&f.rule, "finish-rule", "lowest", "how several such shots make one plane: `RULE` lowest, mean or plane")
	s.Var(&f.fall, "fall", "fall of the target in `PERCENT`, with --toward")
	s.StringVar(&f.toward, "toward", "", "where the target falls to: a place `X,Y` such as a drain, a direction such as NE, or 120deg from north by east; the highest corner of the floor keeps the elevation")
	complete(c, "finish-rule", "lowest", "mean", "plane")
}

// check finds calls that no survey could make right.
func (f *targetFlags) check() error {
	given := 0
	for _, g := range []bool{f.target != "", f.finish != "", len(f.codes) > 0, f.at != ""} {
		if g {
			given++
		}
	}
	switch {
	case given == 0:
		return &usageError{"no target: how high shall the fill come?", "--target Z, or --finish Z --buildup H, or --finish-code CODE --buildup H, or --finish-at NAME --buildup H"}
	case given > 1:
		return &usageError{"--target, --finish, --finish-code and --finish-at each set the target; give one of them", ""}
	case f.target != "" && (f.buildup != "" || f.low != ""):
		return &usageError{"--target is the top of the fill itself; --buildup and --low go with --finish, --finish-code or --finish-at", ""}
	case (f.bedLeast != "") != (f.bedMost != ""):
		return &usageError{"--bed-least and --bed-greatest go together", ""}
	case f.bedMost != "" && f.covering == "":
		return &usageError{"a bed lies under a covering of known thickness", "--covering 10mm"}
	case f.rule != "lowest" && f.rule != "mean" && f.rule != "plane":
		return &usageError{fmt.Sprintf("--finish-rule: found %q, want lowest, mean or plane", f.rule), ""}
	case (f.fall != 0) != (f.toward != ""):
		return &usageError{"--fall and --toward go together: how much, and to where", "--fall 1.5 --toward 3.2,4.0"}
	case !(f.fall >= 0 && f.fall <= 100):
		return &usageError{fmt.Sprintf("--fall: found %g, want percent between 0 and 100", f.fall), ""}
	case f.fall != 0 && f.rule == "plane":
		return &usageError{"--finish-rule plane has a slope of its own; --fall goes with lowest or mean", ""}
	}
	return nil
}

// targetFlag is the flag that sets the target.
func (f *targetFlags) targetFlag() string {
	switch {
	case f.finish != "":
		return "--finish"
	case len(f.codes) > 0:
		return "--finish-code"
	case f.at != "":
		return "--finish-at"
	}
	return "--target"
}

// plane works out the target for a floor. finish is the finished plane that a
// rule made of shots, nil without one.
func (f *targetFlags) plane(l *lengths, s *survey.Survey, floor *surface.Floor) (target surface.Plane, finish *surface.Plane, notes []survey.Note, err error) {
	lo, hi := floor.Bounds()
	shape := surface.Plane{At: surface.Vec{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2}}
	if f.fall != 0 {
		middle := shape.At
		toward, err := whereTo(l, f.toward, middle)
		if err != nil {
			return shape, nil, nil, err
		}
		shape, err = surface.Falling(0, float64(f.fall)/100, middle, middle, toward)
		if err != nil {
			return shape, nil, nil, &usageError{"--toward is the middle of the floor, so the fall has no direction", ""}
		}
		shape = uphill(floor, shape)
	}
	var drop float64
	for _, h := range []struct{ flag, text string }{{"--buildup", f.buildup}, {"--low", f.low}} {
		if h.text == "" {
			continue
		}
		v, err := l.parse(h.flag, h.text)
		if err != nil {
			return shape, nil, nil, err
		}
		drop += v
	}
	if len(f.codes) > 0 || f.at != "" {
		p, notes, err := f.fromShots(s, floor, shape)
		return p.Lowered(drop), &p, notes, err
	}
	flag, text := "--target", f.target
	if f.finish != "" {
		flag, text = "--finish", f.finish
	}
	z, err := l.parse(flag, text)
	if err != nil {
		return shape, nil, nil, err
	}
	shape.Z = z - drop
	return shape, nil, nil, nil
}

// uphill moves the place where a plane is held to the highest corner of the
// floor: everywhere else the fill then stays below it.
func uphill(floor *surface.Floor, p surface.Plane) surface.Plane {
	best := math.Inf(-1)
	at := p.At
	for _, r := range floor.Regions {
		for _, c := range r.Rings[0] {
			if z := p.Elevation(c); z > best {
				best, at = z, c
			}
		}
	}
	return surface.Plane{At: at, SlopeX: p.SlopeX, SlopeY: p.SlopeY}
}

// fromShots makes the finished plane from shots on the floors next door. shape
// gives the slope for the rules that do not find one.
func (f *targetFlags) fromShots(s *survey.Survey, floor *surface.Floor, shape surface.Plane) (surface.Plane, []survey.Note, error) {
	var on []survey.Point
	seen := map[string]bool{}
	for _, list := range [][]survey.Point{s.Finished, s.Control, s.Points} {
		for _, p := range list {
			seen[strings.ToUpper(p.Code)] = true
			if f.chosen(&p) {
				on = append(on, p)
			}
		}
	}
	if f.at != "" && len(on) == 0 {
		return shape, nil, &survey.Error{Pos: survey.Pos{File: s.Name}, Found: fmt.Sprintf("no shot named %q", f.at), Want: "the name of a shot on the finished floor next door"}
	}
	if len(on) == 0 {
		return shape, nil, &survey.Error{Pos: survey.Pos{File: s.Name}, Found: "no shot with code " + strings.Join(f.codes, " or "), Want: "shots on the finished floor next door", Hint: "codes in this survey: " + listed(seen)}
	}
	lowest, total := math.Inf(1), 0.0
	for _, p := range on {
		d := p.Z - shape.Elevation(surface.Vec{X: p.X, Y: p.Y})
		lowest = min(lowest, d)
		total += d
	}
	var plane surface.Plane
	var notes []survey.Note
	switch f.rule {
	case "lowest":
		shape.Z = lowest
		return shape, nil, nil
	case "mean":
		shape.Z = total / float64(len(on))
		plane = shape
	default:
		fit, _, err := surface.FitPlane(on)
		if err != nil {
			return shape, nil, &survey.Error{Pos: on[0].At, Element: "finished floor", Found: fmt.Sprintf("%d shots", len(on)), Want: "three that do not lie on one line, for --finish-rule plane", Hint: "--finish-rule lowest", Err: err}
		}
		plane = fit
		var corners []surface.Vec
		for _, r := range floor.Regions {
			corners = append(corners, r.Rings[0]...)
		}
		// With shots good to 2 mm (common practice, no source): 6 mm and 20 mm there.
		switch u := surface.Uncertainty(on, corners); {
		case u > 10:
			return shape, nil, &survey.Error{Pos: on[0].At, Element: "finished floor", Found: fmt.Sprintf("%d shots almost on one line, or close together: they carry no plane over the whole floor", len(on)),
				Want: "shots that surround the floor, for --finish-rule plane", Hint: "--finish-rule lowest"}
		case u > 3:
			notes = append(notes, survey.Notef(survey.Warning, on[0].At, "the plane through the %d shots on the finished floor is %.0f times as uncertain at the far side of the floor as a shot: shoot more places around it, or use --finish-rule lowest", len(on), u).About(survey.AboutTarget))
		}
	}
	worst, over := survey.Point{}, 0.0
	for _, p := range on {
		if d := plane.Elevation(surface.Vec{X: p.X, Y: p.Y}) - p.Z; d > over {
			worst, over = p, d
		}
	}
	if over > 0.0005 {
		notes = append(notes, survey.Notef(survey.Warning, worst.At, "the finished plane stands %s above the floor next door at %s; --finish-rule lowest never does", unit.Style{Imperial: s.Unit.Imperial()}.Depth(over), worst.Name))
	}
	return plane, notes, nil
}

// compass has the directions that people write, as degrees from north by east.
var compass = map[string]float64{
	"N": 0, "NE": 45, "E": 90, "SE": 135, "S": 180, "SW": 225, "W": 270, "NW": 315,
}

// whereTo reads a place or a direction; a direction is a place a metre off.
func whereTo(l *lengths, text string, from surface.Vec) (surface.Vec, error) {
	if strings.Contains(text, ",") {
		return l.place("--toward", text)
	}
	degrees, ok := compass[strings.ToUpper(text)]
	if number, is := strings.CutSuffix(text, "deg"); is && !ok {
		v, err := strconv.ParseFloat(number, 64)
		degrees, ok = v, err == nil && v >= 0 && v < 360
	}
	if !ok {
		return surface.Vec{}, &usageError{fmt.Sprintf("--toward: found %q, want a place X,Y, a direction such as NE, or degrees from north by east such as 120deg", text), ""}
	}
	// Quarter turns are exact, so that a fall to the east does not fall north.
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	if math.Mod(degrees, 90) == 0 {
		sin, cos = math.Round(sin), math.Round(cos)
	}
	return surface.Vec{X: from.X + sin, Y: from.Y + cos}, nil
}

// thresholds works out what the target leaves at each finished place.
func (f *targetFlags) thresholds(l *lengths, s *survey.Survey, target surface.Plane) ([]surface.Threshold, surface.Covering, error) {
	var c surface.Covering
	for _, h := range []struct {
		flag, text string
		to         *float64
	}{
		{"--covering", f.covering, &c.Thickness}, {"--bed-least", f.bedLeast, &c.Least}, {"--bed-greatest", f.bedMost, &c.Greatest}, {"--buildup", f.buildup, &c.Bed},
	} {
		if h.text == "" {
			continue
		}
		v, err := l.parse(h.flag, h.text)
		if err != nil {
			return nil, c, err
		}
		*h.to = v
	}
	if f.buildup != "" {
		c.Bed -= c.Thickness // the rest of the build-up
	}
	if c.Bed < 0 || c.Least > c.Greatest {
		return nil, c, &usageError{"the covering is thicker than the whole build-up, or the least bed than the greatest", ""}
	}
	finished := s.Finished
	for _, list := range [][]survey.Point{s.Control, s.Points} {
		for i := range list {
			if f.chosen(&list[i]) {
				finished = append(slices.Clip(finished), list[i])
			}
		}
	}
	return surface.Thresholds(finished, target, c), c, nil
}

// chosen reports whether the user named a shot as finished floor, by code or by
// name.
func (f *targetFlags) chosen(p *survey.Point) bool {
	if !p.HasZ() {
		return false
	}
	for _, c := range f.codes {
		if strings.EqualFold(p.Code, c) {
			return true
		}
	}
	return f.at != "" && p.Name == f.at
}

// listed returns the keys of a set in order, at most ten.
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
