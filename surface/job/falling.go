package job

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// slope is a fall in percent. It is written as percent, as a ratio such as 1:60, or as a
// length per length such as 1/4in/ft.
type slope float64

func (p *slope) String() string { return strconv.FormatFloat(float64(*p), 'g', -1, 64) }

func (p *slope) Type() string { return "slope" }

func (p *slope) Set(text string) error {
	v, err := parseSlope(text)
	*p = slope(v)
	return err
}

// falling describes a sloped target on its floor.
type falling struct {
	floor               *surface.Floor
	target              surface.Target
	among               bool         // other parts of the floor have targets of their own
	Place               *surface.Vec // place that it falls to; nil for a direction, or a plane through shots
	Name                string       // name of the shot there
	Z                   float64      // m, of the target at Place
	Beyond              surface.Beyond
	Lower               float64 // m, depth of the lowest point beyond Place below Place
	least, greatest     float64 // min and max elevation, m, of the target over the floor
	leastAt, greatestAt surface.Vec
}

// lay works out where a target is on a floor; nil for one that is level or no plane.
func lay(floor *surface.Floor, target surface.Target, place *surface.Vec, name string) *falling {
	plane, ok := surface.IsPlane(surface.WithoutRamps(target))
	fall, down := plane.Slope()
	if !ok || fall == 0 {
		return nil
	}
	f := &falling{floor: floor, target: target, Place: place, Name: name}
	f.least, f.greatest, f.leastAt, f.greatestAt = floor.Range(plane)
	if place != nil {
		f.Z = plane.Elevation(*place)
		f.Beyond = floor.Beyond(*place, down)
		f.Lower = f.Beyond.Farthest * fall
	}
	return f
}

// water is the max depth, m, of a floor below the place it falls to without a warning.
// Own choice, less than a screed is struck to.
const water = 0.001

// notes reports where the target is highest and lowest, and which part of it cannot
// drain.
func (f *falling) notes(target surface.Plane) []survey.Note {
	if f == nil {
		return nil
	}
	text := unit.Textf("the target %s: highest %s at %s, lowest %s at %s", FallText(f.floor, target), unit.ElevationDown(f.greatest), Beside(f.floor, f.greatestAt), unit.ElevationDown(f.least), Beside(f.floor, f.leastAt))
	if f.Place == nil {
		return []survey.Note{survey.Notef(survey.Assumed, survey.Pos{}, "%s", text).About(survey.AboutTarget)}
	}
	where := unit.Textf("%s", Beside(f.floor, *f.Place))
	if f.Name != "" {
		where = unit.Textf("%s, %s", f.Name, where)
	}
	out := []survey.Note{survey.Notef(survey.Assumed, survey.Pos{}, "%s; at %s, where it falls to, %s", text, where, unit.ElevationDown(f.Z)).About(survey.AboutTarget)}
	if f.Lower > water {
		out = append(out, survey.Notef(survey.Warning, survey.Pos{}, "the target runs on below the place it falls to: %s of it is lower than %s, up to %s lower at %s. Water stays there. One plane drains all of a floor only to its lowest wall or corner",
			unit.Area(f.Beyond.Area), cmp.Or(f.Name, "that place"), unit.Depth(f.Lower), Beside(f.floor, f.Beyond.At)).About(survey.AboutTarget))
	}
	return out
}

// Ends writes where a sloped target is lowest, and its elevation at the place that it
// falls to; empty for a level target, and for one of several.
func (f *falling) Ends() unit.Text {
	if f == nil || f.among {
		return unit.Text{}
	}
	text := unit.Textf("; lowest %s at %s", unit.ElevationDown(f.least), Beside(f.floor, f.leastAt))
	if f.Place != nil {
		at := unit.Textf("%s", Beside(f.floor, *f.Place))
		if f.Name != "" {
			at = unit.Textf("%s", f.Name)
		}
		text = unit.Textf("%s; %s at %s, where it falls to", text, unit.ElevationDown(f.Z), at)
	}
	return text
}

// FallText writes the fall of a target over a floor.
func FallText(floor *surface.Floor, target surface.Target) string {
	target = surface.WithoutRamps(target)
	const alike, none = 0.01, 1e-9 // of the fall: facets of an even fall differ by less; rounding
	p, ok := surface.IsPlane(target)
	if !ok {
		least, greatest, _, err := floor.FallsOf(target)
		if err != nil {
			return ""
		}
		if greatest < none {
			return "level"
		}
		if greatest-least < alike*greatest {
			return fmt.Sprintf("falls %.3g %%", 100*greatest)
		}
		return fmt.Sprintf("falls %.3g to %.3g %%", 100*least, 100*greatest)
	}
	fall, way := math.Hypot(p.SlopeX, p.SlopeY), surface.CompassPoint(-p.SlopeX, -p.SlopeY)
	if fall < none {
		return "level"
	}
	text := fmt.Sprintf("falls %.3g %% toward the %s", 100*fall, way)
	if !straight(-p.SlopeX, -p.SlopeY) {
		text += fmt.Sprintf(" (bearing %.1f°)", math.Mod(math.Atan2(-p.SlopeX, -p.SlopeY)*180/math.Pi+360, 360))
	}
	return text
}

// shotNamed returns the shot of that name that has a place, of any kind; nil if there is
// none. Case matters only if two names differ by nothing else.
func shotNamed(name string, s *survey.Survey) (*survey.Point, error) {
	if name == "" {
		return nil, nil
	}
	for _, same := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
		var found *survey.Point
		for _, list := range [][]survey.Point{s.Points, s.Control, s.Finished, s.Places} {
			for i := range list {
				p := &list[i]
				if !same(p.Name(), name) || math.IsNaN(p.X+p.Y) {
					continue
				}
				if found != nil && (found.X != p.X || found.Y != p.Y) {
					return nil, (&survey.Error{Pos: p.At(), Field: "toward", Found: fmt.Sprintf("a second shot named %q; the first is at %s", name, found.At()), Want: "one place"}).Hinted("%s", unit.Ask("toward", "X,Y"))
				}
				found = p
			}
		}
		if found != nil {
			return found, nil
		}
	}
	return nil, nil
}

// straight reports whether a direction is one of the eight compass directions to the tenth
// of a degree that a bearing is written to.
func straight(x, y float64) bool {
	return math.Abs(math.Remainder(math.Atan2(y, x), math.Pi/4)) < 0.05*math.Pi/180
}

// drainAtWall is how far a drain may be from a wall for one plane to drain to it, m: about a
// screed board. Own choice.
const drainAtWall = 0.6

// fromWall is the distance from a place to the nearest outer wall, m.
func (w *Filled) fromWall(p surface.Vec) float64 {
	least := math.Inf(1)
	for _, r := range w.Floor.Regions {
		ring := r.Rings[0]
		for i, a := range ring {
			least = min(least, p.Distance(p.NearestOn(a, ring[(i+1)%len(ring)])))
		}
	}
	return least
}

// levelAtDrains warns that a level target drains to none of the drains that were shot on
// the floor.
func levelAtDrains(w *Filled) []survey.Note {
	if w.Falling != nil || w.Falls != nil || w.Fill.Fill == 0 {
		return nil
	}
	lo, hi := w.Floor.Bounds()
	var some []survey.Point
	for _, d := range w.Survey.Drains() {
		if d.Name() != "" && d.X >= lo.X && d.X <= hi.X && d.Y >= lo.Y && d.Y <= hi.Y && !w.BesideLeft(d) {
			some = append(some, d)
		}
	}
	if len(some) == 0 {
		return nil
	}
	name := some[0].Name()
	if n := len(some) - 1; n > 0 {
		name += fmt.Sprintf(" and %d more", n)
	}
	text := unit.Textf("a level fill does not drain to %s%s", name, unit.Hintf(": if water is to run there, %s %s", unit.Ask("fall", "1.5%"), unit.Ask("toward", some[0].Name())))
	if far := w.fromWall(surface.Vec{X: some[0].X, Y: some[0].Y}); far > drainAtWall {
		text = unit.Textf("a level fill does not drain to %s, and one plane cannot drain to %s from all sides, %s from the nearest wall: sloped toward it, the floor goes on falling past it%s", name, some[0].Name(), unit.Distance(far), unit.Hintf(". From all sides: %s %s", unit.Ask("fall", "1.5%"), unit.Ask("drain", some[0].Name())))
	}
	return []survey.Note{survey.Notef(survey.Warning, some[0].At(), "%s", text).About(survey.AboutTarget)}
}
