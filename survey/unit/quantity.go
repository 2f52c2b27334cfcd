package unit

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Quantity is a figure with its kind. The [Style] in which it is shown decides on metric
// or US units.
type Quantity interface {
	In(Style) string
	String() string // in metric units
}

// Quantities. The [Style] method of the same name writes each.
type (
	Depth         float64 // m, to the nearest step of a rule
	DepthDown     float64 // m, rounded down: a minimum depth must not read better than it is
	DepthUp       float64 // m, rounded up: an amount that must suffice
	FineDepth     float64 // m, in metric to 0.1 mm: a difference that may be less than a step of a rule
	Distance      float64 // m in plan
	Elevation     float64 // m
	FineLevel     float64 // m: an elevation, in metric to 0.1 mm, where two of them differ
	Level         float64 // m: an elevation for the crew
	ElevationDown float64 // m: an elevation of the target, rounded down, because nothing is finished above it
	LevelDown     float64 // m: the same for the crew
	Coordinate    float64 // m
	Area          float64 // m²
	Volume        float64 // m³

	// SmallVolume is a volume, m³, in a sentence. One answer shows it by one rule, so that a
	// reader can compare: as the order, and below 0.1 yd³ or 0.1 m³ in ft³ or litres.
	SmallVolume float64

	Mass       float64 // kg
	Load       float64 // kg/m²
	UnitWeight float64 // kg/m³
)

// Place is a plan position, m.
type Place struct{ X, Y float64 }

// Either is text that differs between metric and US units.
type Either struct{ Metric, US string }

// Change is a change of level, m, which may be any: a reading on the wrong datum differs by metres.
type Change float64

func (v Change) In(s Style) string { return s.Change(float64(v)) }
func (v Change) String() string    { return v.In(Style{}) }

func (v Depth) In(s Style) string         { return s.Depth(float64(v)) }
func (v DepthDown) In(s Style) string     { return s.DepthDown(float64(v)) }
func (v Distance) In(s Style) string      { return s.Length(float64(v)) }
func (v Elevation) In(s Style) string     { return s.Elevation(float64(v)) }
func (v Level) In(s Style) string         { return s.Level(float64(v)) }
func (v ElevationDown) In(s Style) string { return s.ElevationDown(float64(v)) }
func (v LevelDown) In(s Style) string     { return s.LevelDown(float64(v)) }
func (v Coordinate) In(s Style) string    { return s.Coordinate(float64(v)) }
func (v Area) In(s Style) string          { return s.Area(float64(v)) }
func (v Volume) In(s Style) string        { return s.Volume(float64(v)) }
func (v Mass) In(s Style) string          { return s.Mass(float64(v)) }
func (v SmallVolume) In(s Style) string   { return s.SmallVolume(float64(v)) }
func (v Load) In(s Style) string          { return s.Load(float64(v)) }
func (v UnitWeight) In(s Style) string    { return s.UnitWeight(float64(v)) }
func (v Place) In(s Style) string         { return s.Place(v.X, v.Y) }

func (v DepthUp) In(s Style) string { return s.DepthUp(float64(v)) }

func (v FineDepth) In(s Style) string {
	if !s.Imperial {
		return fixed(float64(v)*1000, 1, "mm")
	}
	return s.Depth(float64(v))
}

func (v FineLevel) In(s Style) string {
	if !s.Imperial {
		return fixed(float64(v), 4, "m")
	}
	return s.Elevation(float64(v))
}

func (v Either) In(s Style) string {
	if s.Imperial {
		return v.US
	}
	return v.Metric
}

func (v Depth) String() string         { return v.In(Style{}) }
func (v DepthDown) String() string     { return v.In(Style{}) }
func (v DepthUp) String() string       { return v.In(Style{}) }
func (v FineDepth) String() string     { return v.In(Style{}) }
func (v Distance) String() string      { return v.In(Style{}) }
func (v Elevation) String() string     { return v.In(Style{}) }
func (v FineLevel) String() string     { return v.In(Style{}) }
func (v Level) String() string         { return v.In(Style{}) }
func (v ElevationDown) String() string { return v.In(Style{}) }
func (v LevelDown) String() string     { return v.In(Style{}) }
func (v Coordinate) String() string    { return v.In(Style{}) }
func (v Area) String() string          { return v.In(Style{}) }
func (v Volume) String() string        { return v.In(Style{}) }
func (v Mass) String() string          { return v.In(Style{}) }
func (v SmallVolume) String() string   { return v.In(Style{}) }
func (v Load) String() string          { return v.In(Style{}) }
func (v UnitWeight) String() string    { return v.In(Style{}) }
func (v Place) String() string         { return v.In(Style{}) }
func (v Either) String() string        { return v.In(Style{}) }

// Text is a sentence that still contains its quantities, so that it can be written in
// either system of units. The zero value is empty.
type Text struct {
	plain string  // the whole text, if it has no quantity
	open  *phrase // the text with quantities
	hint  bool    // what to type: see [Hintf]
}

type phrase struct {
	format string
	args   []any
}

// Textf returns a text. format is as in package fmt, and a [Quantity] among the
// arguments takes %s. A text without quantities is formatted at once, so later changes
// to the arguments have no effect. %q writes a name as [Quote] does.
func Textf(format string, args ...any) Text {
	format, args = plainQuotes(format, args)
	for _, a := range args {
		if _, ok := a.(Quantity); ok {
			return Text{open: &phrase{format, slices.Clone(args)}}
		}
	}
	return Text{plain: fmt.Sprintf(format, args...)}
}

// Hintf returns a part of a text that says what to type. It belongs on a screen, not on what
// is handed over: see [Text.Unhinted].
func Hintf(format string, args ...any) Text {
	t := Textf(format, args...)
	t.hint = true
	return t
}

// Unhinted returns the text without its hints.
func (t Text) Unhinted() Text {
	if t.hint {
		return Text{}
	}
	if t.open == nil {
		return t
	}
	args := slices.Clone(t.open.args)
	for i, a := range args {
		if part, is := a.(Text); is {
			args[i] = part.Unhinted()
		}
	}
	return Text{open: &phrase{t.open.format, args}}
}

// Quote puts a name in quotes as it is written in the file: an inch mark has no backslash.
// What cannot be printed is still escaped.
func Quote(name string) string {
	return strings.NewReplacer(`\\`, `\`, `\"`, `"`).Replace(strconv.Quote(name))
}

// plainQuotes replaces each %q for a string by %s for its [Quote].
func plainQuotes(format string, args []any) (string, []any) {
	if !strings.Contains(format, "%q") {
		return format, args
	}
	args = slices.Clone(args)
	out, verb := []byte(format), 0
	for i := 0; i+1 < len(out); i++ {
		if out[i] != '%' {
			continue
		}
		i++
		if out[i] == '%' {
			continue
		}
		if out[i] == 'q' && verb < len(args) {
			if name, ok := args[verb].(string); ok {
				out[i], args[verb] = 's', Quote(name)
			}
		}
		verb++
	}
	return string(out), args
}

// In writes the text with its quantities in style s.
func (t Text) In(s Style) string {
	if t.open == nil {
		return t.plain
	}
	args := slices.Clone(t.open.args)
	for i, a := range args {
		if q, ok := a.(Quantity); ok {
			args[i] = q.In(s)
		}
	}
	return fmt.Sprintf(t.open.format, args...)
}

// Lower returns the text with its first letter small, for the middle of a sentence.
func (t Text) Lower() Text {
	small := func(s string) string {
		r, n := utf8.DecodeRuneInString(s)
		return string(unicode.ToLower(r)) + s[n:]
	}
	switch {
	case t.open != nil:
		return Text{open: &phrase{small(t.open.format), t.open.args}}
	case t.plain != "":
		return Text{plain: small(t.plain)}
	}
	return t
}

// String writes the text in metric units.
func (t Text) String() string { return t.In(Style{}) }

// Join joins texts with sep between them.
func Join(all []Text, sep string) Text {
	args := make([]any, len(all))
	for i, t := range all {
		args[i] = t
	}
	return Textf(strings.Join(slices.Repeat([]string{"%s"}, len(all)), strings.ReplaceAll(sep, "%", "%%")), args...)
}

// Sold is a volume in steps that a plant sells, m³: round in its own system, so a page in the
// other one gives both.
type Sold struct {
	Volume float64 // m³
	US     bool    // the steps are yd³
}

func (v Sold) In(s Style) string {
	own := Style{Imperial: v.US}.Volume(v.Volume)
	if s.Imperial == v.US {
		return own
	}
	return own + " (" + s.Volume(v.Volume) + ")"
}

func (v Sold) String() string { return v.In(Style{}) }

// Sentence begins a text with a capital, if its first word is one of the language: a name such
// as p3 or walls.csv, a letter and a unit stay as they are written.
func Sentence(text string) string {
	n := strings.IndexFunc(text, func(r rune) bool { return r < 'a' || r > 'z' })
	if n < 0 {
		n = len(text)
	}
	word, rest := text[:n], text[n:]
	switch {
	case word == "", len(word) == 1 && word != "a", word == "mm", word == "cm", word == "ft":
		return text
	case rest != "" && !strings.ContainsAny(rest[:1], " ,:;-"):
		return text
	}
	return strings.ToUpper(word[:1]) + text[1:]
}
