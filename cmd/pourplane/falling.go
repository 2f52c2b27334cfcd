package main

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// slope is the value of --fall, in percent. It is written as percent, as a ratio such
// as 1:60, or as a length per length such as 1/4in/ft.
type slope float64

func (p *slope) String() string { return strconv.FormatFloat(float64(*p), 'g', -1, 64) }
func (p *slope) Type() string   { return "slope" }

func (p *slope) Set(text string) error {
	v, err := job.ParseSlope(text)
	*p = slope(v)
	return err
}

// falling is how a sloped target comes to lie on the floor.
type falling struct {
	floor               *surface.Floor
	place               *surface.Vec // that it falls to; nil for a direction, or a plane through shots
	name                string       // of the shot there
	z                   float64      // m, of the target at the place
	beyond              surface.Beyond
	lower               float64 // m, by which the lowest place past it is lower than it
	least, greatest     float64 // m, of the target over the floor
	leastAt, greatestAt surface.Vec
}

// lie works out how a target lies on a floor; nil for a level one.
func lie(floor *surface.Floor, target surface.Plane, place *surface.Vec, name string) *falling {
	fall := math.Hypot(target.SlopeX, target.SlopeY)
	if fall == 0 {
		return nil
	}
	f := &falling{floor: floor, place: place, name: name}
	f.least, f.greatest, f.leastAt, f.greatestAt = floor.Range(target)
	if place != nil {
		f.z = target.Elevation(*place)
		f.beyond = floor.Beyond(*place, surface.Vec{X: -target.SlopeX / fall, Y: -target.SlopeY / fall})
		f.lower = f.beyond.Farthest * fall
	}
	return f
}

// water is what a floor may be lower than the place it falls to without a warning, m.
// Own choice, below what a screed is struck to.
const water = 0.001

// notes tell where the target is highest and lowest, and what of it cannot drain.
func (f *falling) notes(target surface.Plane, style unit.Style) []survey.Note {
	if f == nil {
		return nil
	}
	text := fmt.Sprintf("the target %s: greatest %s at %s, least %s at %s", fallText(target), style.Elevation(f.greatest), beside(f.floor, f.greatestAt, style), style.Elevation(f.least), beside(f.floor, f.leastAt, style))
	if f.place == nil {
		return []survey.Note{survey.Notef(survey.Assumed, survey.Pos{}, "%s", text).About(survey.AboutTarget)}
	}
	where := strings.TrimPrefix(f.name+", "+beside(f.floor, *f.place, style), ", ")
	out := []survey.Note{survey.Notef(survey.Assumed, survey.Pos{}, "%s; at %s, where it falls to, %s", text, where, style.Elevation(f.z)).About(survey.AboutTarget)}
	if f.lower > water {
		out = append(out, survey.Notef(survey.Warning, survey.Pos{}, "the target runs on below the place it falls to: %s of it is lower than %s, up to %s lower at %s. Water stays there. One plane drains all of a floor only to its lowest wall or corner",
			style.Area(f.beyond.Area), cmp.Or(f.name, "that place"), style.Depth(f.lower), beside(f.floor, f.beyond.At, style)).About(survey.AboutTarget))
	}
	return out
}

// ends writes where a sloped target is lowest, and how high it is at the place that it
// falls to; nothing for a level one.
func (f *falling) ends(style unit.Style) string {
	if f == nil {
		return ""
	}
	text := fmt.Sprintf("; lowest %s at %s", style.Elevation(f.least), beside(f.floor, f.leastAt, style))
	if f.place != nil {
		text += fmt.Sprintf("; %s at %s, where it falls to", style.Elevation(f.z), cmp.Or(f.name, beside(f.floor, *f.place, style)))
	}
	return text
}

// fallText writes the fall of a plane.
func fallText(p surface.Plane) string {
	fall, way := math.Hypot(p.SlopeX, p.SlopeY), direction(-p.SlopeX, -p.SlopeY)
	text := fmt.Sprintf("falls %.3g %% toward the %s", 100*fall, way)
	if !straight(-p.SlopeX, -p.SlopeY) {
		text += fmt.Sprintf(" (%.1f° from north by east)", math.Mod(math.Atan2(-p.SlopeX, -p.SlopeY)*180/math.Pi+360, 360))
	}
	return text
}

// shotNamed returns the shot of a name that has a place, of whatever kind; nil where
// there is none. Names differ by case only where both are there.
func shotNamed(name string, s *survey.Survey) (*survey.Point, error) {
	if name == "" {
		return nil, nil
	}
	for _, same := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
		var found *survey.Point
		for _, list := range [][]survey.Point{s.Points, s.Control, s.Finished, s.Places} {
			for i := range list {
				p := &list[i]
				if !same(p.Name, name) || math.IsNaN(p.X+p.Y) {
					continue
				}
				if found != nil && (found.X != p.X || found.Y != p.Y) {
					return nil, &survey.Error{Pos: p.At, Element: "--toward", Found: fmt.Sprintf("a second shot named %q; the first is at %s", name, found.At), Want: "one place", Hint: "--toward X,Y"}
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
