package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// targetFlags say which plane the floor is to be brought to.
type targetFlags struct {
	target, finish, buildup, low, rule, toward string
	codes                                      []string
	fall                                       float64
}

func (f *targetFlags) register(c *cobra.Command) {
	s := c.Flags()
	s.StringVar(&f.target, "target", "", "elevation `Z` of the target plane (top of fill)")
	s.StringVar(&f.finish, "finish", "", "elevation `Z` of the finished floor to meet; the target lies lower by --buildup and --low")
	s.StringVar(&f.buildup, "buildup", "", "thickness `H` of covering and bed above the fill")
	s.StringVar(&f.low, "low", "", "how far `H` to stay low: a low floor is topped up, a high one is ground")
	s.StringArrayVar(&f.codes, "finish-code", nil, "take the finished floor from the shots of this `CODE` (repeatable)")
	s.StringVar(&f.rule, "finish-rule", "lowest", "how several such shots make one plane: `RULE` lowest, mean or plane")
	s.Float64Var(&f.fall, "fall", 0, "fall of the target in `PERCENT`, with --toward")
	s.StringVar(&f.toward, "toward", "", "the place `X,Y` that the target falls to, such as a drain; the highest corner of the floor keeps the elevation")
	complete(c, "finish-rule", "lowest", "mean", "plane")
}

// check finds calls that no survey could make right.
func (f *targetFlags) check() error {
	given := 0
	for _, g := range []bool{f.target != "", f.finish != "", len(f.codes) > 0} {
		if g {
			given++
		}
	}
	switch {
	case given == 0:
		return &usageError{"no target: how high shall the fill come?", "--target Z, or --finish Z --buildup H, or --finish-code CODE --buildup H"}
	case given > 1:
		return &usageError{"--target, --finish and --finish-code each set the target; give one of them", ""}
	case f.target != "" && (f.buildup != "" || f.low != ""):
		return &usageError{"--target is the top of the fill itself; --buildup and --low go with --finish or --finish-code", ""}
	case f.rule != "lowest" && f.rule != "mean" && f.rule != "plane":
		return &usageError{fmt.Sprintf("--finish-rule: found %q, want lowest, mean or plane", f.rule), ""}
	case (f.fall != 0) != (f.toward != ""):
		return &usageError{"--fall and --toward go together: how much, and to where", "--fall 1.5 --toward 3.2,4.0"}
	case math.IsNaN(f.fall) || f.fall < 0 || f.fall > 100:
		return &usageError{fmt.Sprintf("--fall: found %g, want percent between 0 and 100", f.fall), ""}
	case f.fall != 0 && f.rule == "plane":
		return &usageError{"--finish-rule plane has a slope of its own; --fall goes with lowest or mean", ""}
	}
	return nil
}

// plane works out the target for a floor.
func (f *targetFlags) plane(s *survey.Survey, floor *surface.Floor) (surface.Plane, []survey.Note, error) {
	lo, hi := floor.Bounds()
	shape := surface.Plane{At: surface.Vec{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2}}
	if f.fall != 0 {
		toward, err := pair("--toward", f.toward, s.Plan)
		if err != nil {
			return shape, nil, err
		}
		middle := shape.At
		shape, err = surface.Falling(0, f.fall/100, middle, middle, toward)
		if err != nil {
			return shape, nil, &usageError{"--toward is the middle of the floor, so the fall has no direction", ""}
		}
		shape = uphill(floor, shape)
	}
	var drop float64
	for _, h := range []struct{ flag, text string }{{"--buildup", f.buildup}, {"--low", f.low}} {
		if h.text == "" {
			continue
		}
		v, err := length(h.flag, h.text, s.Unit)
		if err != nil {
			return shape, nil, err
		}
		if v < 0 {
			return shape, nil, &usageError{fmt.Sprintf("%s: found %q, want a thickness of 0 or more", h.flag, h.text), ""}
		}
		drop += v
	}
	if len(f.codes) > 0 {
		p, notes, err := f.fromShots(s, shape)
		return p.Lowered(drop), notes, err
	}
	flag, text := "--target", f.target
	if f.finish != "" {
		flag, text = "--finish", f.finish
	}
	z, err := length(flag, text, s.Unit)
	if err != nil {
		return shape, nil, err
	}
	shape.Z = z - drop
	return shape, nil, nil
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
func (f *targetFlags) fromShots(s *survey.Survey, shape surface.Plane) (surface.Plane, []survey.Note, error) {
	var on []survey.Point
	seen := map[string]bool{}
	for _, list := range [][]survey.Point{s.Finished, s.Control, s.Points} {
		for _, p := range list {
			seen[strings.ToUpper(p.Code)] = true
			for _, c := range f.codes {
				if strings.EqualFold(p.Code, c) && p.HasZ() {
					on = append(on, p)
				}
			}
		}
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
	}
	var notes []survey.Note
	worst, over := survey.Point{}, 0.0
	for _, p := range on {
		if d := plane.Elevation(surface.Vec{X: p.X, Y: p.Y}) - p.Z; d > over {
			worst, over = p, d
		}
	}
	if over > 0.0005 {
		notes = append(notes, survey.Notef(survey.Warning, worst.At, "the finished plane stands %.1f mm above the floor next door at %s; --finish-rule lowest never does", over*1000, worst.Name))
	}
	return plane, notes, nil
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

// pair reads a place in plan, "X,Y".
func pair(flag, text string, def unit.Length) (surface.Vec, error) {
	x, y, ok := strings.Cut(text, ",")
	if !ok {
		return surface.Vec{}, &usageError{fmt.Sprintf("%s: found %q, want X,Y", flag, text), ""}
	}
	vx, err := length(flag, strings.TrimSpace(x), def)
	if err != nil {
		return surface.Vec{}, err
	}
	vy, err := length(flag, strings.TrimSpace(y), def)
	return surface.Vec{X: vx, Y: vy}, err
}
