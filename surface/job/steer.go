package job

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// compass gives the compass directions in degrees clockwise from north.
var compass = map[string]float64{
	"N": 0, "NE": 45, "E": 90, "SE": 135, "S": 180, "SW": 225, "W": 270, "NW": 315,
}

// compassWords are the compass directions in words, without hyphens.
var compassWords = []string{"north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest"}

// degreesOf reads a direction into degrees clockwise from north: NE, north-east or 45deg.
func degreesOf(text string) (degrees float64, ok bool) {
	if d, is := compass[strings.ToUpper(text)]; is {
		return d, true
	}
	if i := slices.Index(compassWords, strings.NewReplacer("-", "", " ", "").Replace(strings.ToLower(text))); i >= 0 {
		return 45 * float64(i), true
	}
	number, is := strings.CutSuffix(text, "deg")
	v, err := strconv.ParseFloat(number, 64)
	return v, is && err == nil && v >= 0 && v < 360
}

// heading returns the unit vector of a direction. Quarter turns are exact: a fall to the
// east has no part to the north.
func heading(degrees float64) surface.Vec {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	if math.Mod(degrees, 90) == 0 {
		sin, cos = math.Round(sin), math.Round(cos)
	}
	return surface.Vec{X: sin, Y: cos}
}

// headingText writes a direction as typed, to a tenth of a degree.
func headingText(dir surface.Vec) string {
	tenths := math.Mod(math.Round(math.Atan2(dir.X, dir.Y)*1800/math.Pi)+3600, 3600)
	for name, degrees := range compass {
		if 10*degrees == tenths {
			return name
		}
	}
	return strconv.FormatFloat(tenths/10, 'f', -1, 64) + "deg"
}

// middle is the min share of a floor below the place it falls to from which no plane
// drains the floor to that place, whatever its direction. Own choice: it is half for a
// place in the middle of a room.
const middle = 0.45

// wallThickness is the max distance outside its outline to which a floor may fall, m: a
// gully in the wall or a threshold is not part of the floor. Own choice, a thick wall.
const wallThickness = 0.5

// within refuses a place to fall to that is off the floor. Without an outline the walls
// may be as far outside the outermost shots as the shot spacing.
func within(floor *surface.Floor, place surface.Vec, name string) error {
	off, edge, most := setout.Away(floor, place), "the outline", wallThickness
	if floor.Hull {
		edge, most = "the outermost shots", wallThickness+floor.Spacing()
	}
	if off <= most {
		return nil
	}
	named := unit.Textf("%s", At(place))
	if name != "" {
		named = unit.Textf("%s %s", name, At(place))
	}
	return misuse("toward", "found %s, %s outside %s; want a place on the floor, or no farther than %s from it", named, unit.Distance(off), edge, unit.Distance(most)).
		Hinted("for a direction, %s or %s", unit.Ask("toward", "NE"), unit.Ask("toward", "120deg"))
}

// downTo returns the direction in which a floor falls to a place: the given one, or the
// best. If several are equally good it asks which, with what each leaves lower.
func (f *targetFlags) downTo(floor *surface.Floor, place surface.Vec, name string) (surface.Vec, error) {
	if f.direction != "" {
		degrees, ok := degreesOf(strings.TrimSpace(f.direction))
		if !ok {
			return surface.Vec{}, misused("fall-direction", strconv.Quote(f.direction), "a direction such as NE, or a bearing such as 120deg (degrees clockwise from north)")
		}
		return heading(degrees), nil
	}
	dirs, past := floor.FallsAt(place)
	if len(dirs) == 1 {
		return dirs[0], nil
	}
	var whole float64
	for _, r := range floor.Regions {
		whole += r.TIN.PlanArea()
	}
	var each, ways []unit.Text
	least := 1.0
	for i, dir := range dirs {
		b := floor.Beyond(place, dir)
		least = min(least, b.Area/whole)
		text := headingText(dir)
		if past && i == 0 {
			text += ", square to the wall,"
		}
		each = append(each, unit.Textf("%s leaves %s lower than it, up to %s", text, unit.Area(b.Area), unit.Depth(b.Farthest*float64(f.fall)/100)))
		ways = append(ways, unit.Textf("%s", unit.Ask("fall-direction", headingText(dir))))
	}
	where, list := unit.Textf("%s", Beside(floor, place)), unit.Join(each, "; ")
	if name != "" {
		where = unit.Textf("%s, %s", name, where)
	}
	hint := unit.Join(ways, ", or ")
	if least >= middle {
		e := misuse("toward", "found %s, in the middle of the floor, to which no one plane falls from all sides: %s. Want a drain at a wall, or a floor that falls to it from all sides", where, list).
			Hinted("from all sides, %s in place of %s; for one plane all the same, %s", unit.Ask("drain", f.toward), unit.Ask("toward", ""), hint)
		e.Ask = []unit.Option{unit.Ask("drain", ""), unit.Ask("outline", "")}
		return surface.Vec{}, e
	}
	if past {
		return surface.Vec{}, misuse("toward", "found %s, at a wall past which the floor runs on: %s. Want to know in which direction it falls", where, list).Hinting(hint)
	}
	return surface.Vec{}, misuse("toward", "found %s, to which the floor can fall in %d directions alike: %s. Want to know in which", where, len(dirs), list).Hinting(hint)
}

// whereTo reads a place, the name of a shot, or a direction. For a direction place is
// nil and dir is a unit vector.
func whereTo(l *Lengths, text string, s *survey.Survey) (dir surface.Vec, place *surface.Vec, name string, err error) {
	text = strings.TrimSpace(text)
	shot, err := shotNamed(text, s)
	if err != nil {
		return dir, nil, "", err
	}
	degrees, ok := degreesOf(text)
	switch {
	case ok && shot != nil:
		return dir, nil, "", misuse("toward", "%q is a direction and the name of a shot", text).Hinted("%s, or the place as %s", unit.Ask("toward", fmt.Sprintf("%gdeg", degrees)), unit.Ask("toward", "X,Y"))
	case ok:
		return heading(degrees), nil, "", nil
	case shot != nil:
		return dir, &surface.Vec{X: shot.X, Y: shot.Y}, shot.Name(), nil
	case strings.Contains(text, ","):
		v, err := l.place("toward", text)
		return dir, &v, "", err
	}
	names := shotNames(s)
	hint := meant(text, names, func(near string) unit.Option { return unit.Ask("toward", near) })
	if name := Nearest(text, compassWords); name != "" && nearestShot(text, names) == "" {
		hint = unit.Textf("did you mean %s?", unit.Ask("toward", name))
	}
	return dir, nil, "", misused("toward", strconv.Quote(text), "a place X,Y, the name of a shot, a direction such as NE, or a bearing such as 120deg (degrees clockwise from north)").Hinting(hint)
}
