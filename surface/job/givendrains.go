package job

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"pourplane/surface"
	"pourplane/surface/falls"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// UnmarshalText reads a drain of a list of texts.
func (d *Drain) UnmarshalText(text []byte) error {
	*d = Drain{text: string(text)}
	return nil
}

// isTable reports whether a drain is given by a table.
func (d Drain) isTable() bool { return d.text == "" }

// isPlace reports whether the text of a drain is a place, not a name.
func (d Drain) isPlace() bool { return strings.Contains(d.text, ",") }

// String returns a drain as an option shows it, or its table in one line.
func (d Drain) String() string {
	if !d.isTable() {
		return d.text
	}
	var all []string
	for _, one := range [][2]string{{"name", d.Name}, {"at", d.At}, {"to", d.To}, {"elevation", d.Elevation}} {
		if one[1] != "" {
			all = append(all, one[0]+" = "+strconv.Quote(one[1]))
		}
	}
	return "{ " + strings.Join(all, ", ") + " }"
}

// literal returns a drain as an item of a list in a job.
func (d Drain) literal() string {
	if d.isTable() {
		return d.String()
	}
	return strconv.Quote(d.text)
}

// drainTables reports whether a job file gives drains by tables.
func drainTables(b []byte) bool {
	var j struct {
		Target struct {
			Drains []Drain `toml:"drains"`
		} `toml:"target"`
	}
	if toml.Unmarshal(b, &j) != nil {
		return false
	}
	for _, d := range j.Target.Drains {
		if d.isTable() {
			return true
		}
	}
	return false
}

// drainLengths lists the lengths of the drains of a job.
func drainLengths(drains []Drain) []jobLength {
	list := jobLength{Key: "target.drains"}
	out := []jobLength{}
	for i, d := range drains {
		if d.isPlace() {
			list.texts = append(list.texts, d.text)
		}
		out = append(out, jobLength{drainKey(i, "at"), []string{d.At}, "target.drains"}, jobLength{drainKey(i, "to"), []string{d.To}, "target.drains"},
			jobLength{drainKey(i, "elevation"), []string{d.Elevation}, "target.elevation"})
	}
	return append(out, list)
}

// drainKey returns the key name of table number i, from 0.
func drainKey(i int, name string) string { return fmt.Sprintf("target.drains[%d].%s", i+1, name) }

// givenDrain is a drain and the option or key that gives it.
type givenDrain struct {
	falls.Drain
	key   string
	table bool
}

// givenDrains reads the drains and channels. drop is how far the fill is below the rim of a drain
// that was shot, NaN if the walls set its elevation.
func (f *targetFlags) givenDrains(drop float64, l *Lengths, s *survey.Survey) ([]givenDrain, error) {
	var out []givenDrain
	channels := 0
	number := func(d givenDrain) {
		kind, n := "drain ", len(out)+1
		if d.Channel {
			channels++
			kind, n = "channel ", channels
		}
		d.Name = cmp.Or(d.Name, kind+strconv.Itoa(n))
		out = append(out, d)
	}
	for i, one := range f.drains {
		var some []givenDrain
		var err error
		if one.isTable() {
			some, err = f.drainOfTable(i, one, drop, l, s)
		} else {
			some, err = f.drainsOfText(strings.TrimSpace(one.text), drop, l, s)
		}
		if err != nil {
			return nil, err
		}
		for _, d := range some {
			number(d)
		}
	}
	for _, text := range f.channels {
		v, err := l.someOf("channel", text, "X1,Y1,X2,Y2 or X1,Y1,X2,Y2,Z", 4, 5)
		if err != nil {
			return nil, err
		}
		d := falls.Drain{Channel: true, At: surface.Vec{X: v[0], Y: v[1]}, To: surface.Vec{X: v[2], Y: v[3]}, Z: math.NaN()}
		if len(v) == 5 {
			d.Z = v[4]
		}
		number(givenDrain{Drain: d, key: "channel"})
	}
	for i, d := range out {
		for _, e := range out[:i] {
			if strings.EqualFold(d.Name, e.Name) {
				return nil, misused(d.key, "two drains named "+strconv.Quote(d.Name), "each drain once, and under a name of its own")
			}
		}
	}
	return out, nil
}

// rim makes a drain of a shot: without a level of the walls the fill is below its rim.
func (f *targetFlags) rim(shot *survey.Point, drop float64) (falls.Drain, error) {
	d := falls.Drain{Name: shot.Name(), At: surface.Vec{X: shot.X, Y: shot.Y}, Z: math.NaN()}
	if f.heightGiven() || f.volumeSets() || !shot.HasZ() {
		return d, nil
	}
	if math.IsNaN(drop) {
		return d, misuse("buildup", "%s was shot at its rim: how much lower is the top of fill?", cmp.Or(d.Name, "the drain")).
			Hinted("%s for covering and bed, or %s for the walls", unit.Ask("buildup", "H"), unit.Ask("target", "Z"))
	}
	d.Z = shot.Z - drop
	return d, nil
}

// drainsOfText reads drains given as a text: the name of a shot, the code of drains that were
// shot, or a place with or without its elevation.
func (f *targetFlags) drainsOfText(text string, drop float64, l *Lengths, s *survey.Survey) ([]givenDrain, error) {
	shot, err := shotNamed(text, s)
	if err != nil {
		return nil, err
	}
	coded := drainsCoded(s, text)
	if shot != nil {
		if n := len(coded); n > 1 || n == 1 && (coded[0].X != shot.X || coded[0].Y != shot.Y) {
			return nil, misused("drain", fmt.Sprintf("%q, the name of the shot at %s and the code of %s", text, shot.At(), survey.Plural(n, "drain")), "one of the two").
				Hinted("%s with the place of the one, or the names of the others", unit.Ask("drain", "X,Y"))
		}
		coded = []survey.Point{*shot}
	}
	if len(coded) > 0 {
		var out []givenDrain
		for i := range coded {
			d, err := f.rim(&coded[i], drop)
			if err != nil {
				return nil, err
			}
			out = append(out, givenDrain{Drain: d, key: "drain"})
		}
		return out, nil
	}
	if !strings.Contains(text, ",") {
		return nil, noDrain(text, s)
	}
	v, err := l.someOf("drain", text, "the name of a shot, X,Y or X,Y,Z", 2, 3)
	if err != nil {
		return nil, err
	}
	d := falls.Drain{At: surface.Vec{X: v[0], Y: v[1]}, Z: math.NaN()}
	if len(v) == 3 {
		d.Z = v[2]
	}
	return []givenDrain{{Drain: d, key: "drain"}}, nil
}

// noDrain refuses a text that names no drain.
func noDrain(text string, s *survey.Survey) error {
	e := misused("drain", strconv.Quote(text), "the name of a shot, the code of drains, or a place X,Y or X,Y,Z with the elevation of the fill there")
	if survey.IsDrain(text) {
		if shot := s.Drains(); len(shot) > 0 {
			return e.Hinted("%s: drains here have that code", unit.Ask("drain", bareCode(shot[0].Code())))
		}
	} else if codesIn(s)[strings.ToUpper(text)] {
		return e.Hinted("%s is a code of shots that are not drains: %s for each drain", text, unit.Ask("drain", "NAME"))
	}
	if _, err := unit.Parse(text, unit.None); err == nil && !bare(text) {
		return e.Hinted("one length is no place: %s", unit.Ask("drain", text+",Y"))
	}
	return e.Hinting(meant(text, shotNames(s), func(near string) unit.Option { return unit.Ask("drain", near) }))
}

// drainsCoded returns the drains that were shot with a code, alone or before a name.
func drainsCoded(s *survey.Survey, code string) []survey.Point {
	if !survey.IsDrain(code) {
		return nil
	}
	var out []survey.Point
	for _, p := range s.Drains() {
		of := bareCode(p.Code())
		if n := len(code); strings.EqualFold(of, code) || len(of) > n && strings.EqualFold(of[:n], code) && strings.ContainsRune(" -_:/.", rune(of[n])) {
			out = append(out, p)
		}
	}
	return out
}

// drainOfTable reads table number i, from 0, of a job.
func (f *targetFlags) drainOfTable(i int, one Drain, drop float64, l *Lengths, s *survey.Survey) ([]givenDrain, error) {
	name := strings.TrimSpace(one.Name)
	shot, err := shotNamed(name, s)
	if err != nil {
		return nil, err
	}
	d := givenDrain{Drain: falls.Drain{Name: name, Z: math.NaN()}, key: drainKey(i, "name"), table: true}
	switch {
	case name == "" && one.At == "":
		return nil, misused(drainKey(i, "name"), "neither name nor at", "the name of a shot, or a place at = \"X,Y\"")
	case one.At == "" && shot == nil:
		return nil, misused(drainKey(i, "name"), strconv.Quote(name), "the name of a shot; any other name goes with a place, at = \"X,Y\"").
			Hinted("the shots here are %s", some(shotNames(s)))
	case one.At != "" && shot != nil:
		return nil, misused(drainKey(i, "at"), fmt.Sprintf("a place for %q, which is the shot at %s", name, shot.At()), "the name alone, or the place with a name that no shot has")
	case one.At != "":
		if d.At, err = drainPlace(drainKey(i, "at"), one.At, l); err != nil {
			return nil, err
		}
	case one.Elevation != "":
		d.Name, d.At = shot.Name(), surface.Vec{X: shot.X, Y: shot.Y}
	default:
		if d.Drain, err = f.rim(shot, drop); err != nil {
			return nil, err
		}
	}
	if one.To != "" {
		d.Channel = true
		if d.To, err = drainPlace(drainKey(i, "to"), one.To, l); err != nil {
			return nil, err
		}
		if d.To == d.At {
			return nil, misused(drainKey(i, "to"), strconv.Quote(one.To), "another place than the first end, or no other end for a drain that is no channel")
		}
	}
	if one.Elevation != "" {
		if d.Z, err = l.Parse("target", one.Elevation); err != nil {
			return nil, atKey(drainKey(i, "elevation"), err)
		}
	}
	return []givenDrain{d}, nil
}

// drainPlace reads a place of a table.
func drainPlace(key, text string, l *Lengths) (surface.Vec, error) {
	if strings.Count(text, ",") != 1 {
		return surface.Vec{}, misused(key, strconv.Quote(text), "a place \"X,Y\" with its units, such as \"3.2m,4m\"")
	}
	at, err := l.place("drain", text)
	return at, atKey(key, err)
}

// atKey moves a refusal to a key.
func atKey(key string, err error) error {
	return survey.Each(err, func(e *survey.Error) error {
		out := *e
		out.Field = key
		return &out
	})
}
