package job

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// lengthOption is an option that takes a length.
type lengthOption struct {
	Length
	Metric, US string // an example in each system
}

// example returns an example in the system of a text, metric if that has none.
func (o lengthOption) example(text string) string {
	if imperial(text) {
		return o.US
	}
	return o.Metric
}

// imperial reports whether a length is in feet or inches.
func imperial(text string) bool {
	if strings.ContainsAny(text, "'\"’′″”") {
		return true
	}
	u, ok := unit.ParseLength(strings.TrimLeft(text, "+-−0123456789.,/ "))
	return ok && u.Imperial()
}

// lengthOptions has every option of every command that takes a length: fields of a job
// and options of single commands.
var lengthOptions = func() map[string]lengthOption {
	out := map[string]lengthOption{
		"profile": {Length{Of: Place, Signed: true}, "0m,1.5m,4m,1.5m", "0ft,5ft,13ft,5ft"},
		"step":    {Length{Of: Place, NotZero: true, Most: 3}, "300mm", "12in"},
		"spacing": {Length{Of: Place, NotZero: true, Most: 100}, "1m", "3ft"},
	}
	for _, f := range Fields {
		if f.Flag != "" && f.Length != nil {
			out[f.Flag] = lengthOption{*f.Length, f.Sample(false), f.Sample(true)}
		}
	}
	return out
}()

// Lengths reads the lengths in options and records how.
//
// A number with its own unit is read in that unit. A bare number is in the given unit,
// if there is one, else in the only unit of the survey. It is refused where it could be
// in another unit: if plan and heights, or several files, differ, or if results show
// such a length in another unit. 0 needs no unit.
//
// Feet in an option are those of the survey: international, or US survey feet if the
// survey uses these.
type Lengths struct {
	asked    unit.Length // the given unit; None: not given
	show     string      // the given system of results
	plan, up []unit.Length
	mixed    bool // cells of one column have several units
	took     []taken
}

// taken is an option given without a unit, or in the survey's own feet.
type taken struct {
	field, text string
	as          unit.Length
	own         bool // in feet, read as the survey's own
	noted       bool
}

// know adds the units of a survey or of a file.
func (l *Lengths) know(plan, up unit.Length) {
	if plan != unit.None && !slices.Contains(l.plan, plan) {
		l.plan = append(l.plan, plan)
	}
	if up != unit.None && !slices.Contains(l.up, up) {
		l.up = append(l.up, up)
	}
}

func (l *Lengths) knowAll(s *survey.Survey) {
	l.know(s.Plan, s.Unit)
	for _, f := range s.Files {
		l.know(f.Plan, f.Unit)
	}
	l.mixed = l.mixed || s.MixedUnits
}

// units lists the possible units of a bare number, each once.
func (l *Lengths) units() []unit.Length {
	out := slices.Clone(l.plan)
	for _, u := range l.up {
		if !slices.Contains(out, u) {
			out = append(out, u)
		}
	}
	return out
}

// shown returns the unit in which results show a measure.
func (l *Lengths) shown(m Measure) unit.Length {
	imperial := strings.HasPrefix(l.show, "feet")
	if l.show == "" {
		for _, of := range [][]unit.Length{l.up, l.plan} {
			if len(of) > 0 {
				imperial = of[0].Imperial()
				break
			}
		}
	}
	switch {
	case imperial && m == Thickness:
		return unit.Inch
	case imperial:
		return unit.Foot
	case m == Thickness:
		return unit.Millimetre
	}
	return unit.Metre
}

// bare returns the unit of a number without one, or refuses it.
func (l *Lengths) bare(field, text string, m Measure) (unit.Length, error) {
	if l.asked != unit.None {
		return l.asked, nil
	}
	could := l.units()
	if len(could) == 0 {
		return unit.None, ofLength(field, "found %q without a unit, and the survey states none", text).Hinted("%s, or cm, mm, ft, ftUS, in", unit.Ask("units", "m"))
	}
	why := ""
	show := l.shown(m)
	one := could[0]
	switch {
	case l.mixed:
		why = "the survey has cells in several units"
	case len(could) > 1 && len(l.plan) == 1 && len(l.up) == 1:
		why = fmt.Sprintf("the survey has x and y in %s and heights in %s", l.plan[0], l.up[0])
	case len(could) > 1:
		why = "the surveys are in " + unitList(could, " and ")
	case one.Imperial() != show.Imperial(), m != Thickness && one != show && !one.IsFoot(), m == Thickness && one != show && one != unit.Metre:
		what := map[Measure]string{Elevation: "elevations", Place: "places", Thickness: "thicknesses"}[m]
		word := show.String()
		if show == unit.Inch {
			word = "inches"
		}
		why = fmt.Sprintf("the survey is in %s, while %s are shown in %s", one, what, word)
	default:
		return one, nil
	}
	if !slices.Contains(could, show) {
		could = append(could, show)
	}
	if m == Thickness && strings.Contains(text, "/") && show == unit.Inch {
		could = []unit.Length{unit.Inch} // a fraction of a foot is not written like that
	}
	hint := bothWays(field, text, could)
	if !strings.ContainsAny(text, "/½¼¾⅛⅜⅝⅞") {
		hint = unit.Textf("%s; or %s for every bare number", hint, unit.Ask("units", ""))
	}
	return unit.None, ofLength(field, "found %q without a unit, and %s", text, why).Hinting(hint)
}

// bothWays asks for a field with each possible unit that gives an allowed length. If
// none does, it asks for the example.
func bothWays(field, text string, could []unit.Length) unit.Text {
	name, of, named := strings.Cut(field, " ")
	all := offers(name, text, could)
	if len(all) == 0 {
		all = offers(name, text, []unit.Length{unit.Millimetre, unit.Inch})
	}
	if len(all) == 0 {
		all = []string{lengthOptions[name].example(could[0].String())}
	}
	ways := make([]unit.Text, len(all))
	for i, with := range all {
		if named {
			with = of + "=" + with
		}
		ways[i] = unit.Textf("%s", unit.Ask(name, with))
	}
	return unit.Join(ways, " or ")
}

// offers writes the value of an option with each unit that gives an allowed length.
func offers(name, text string, could []unit.Length) []string {
	var out []string
	for _, u := range could {
		if with := withUnit(text, u); !slices.Contains(out, with) && lengthOptions[name].takes(name, with) {
			out = append(out, with)
		}
	}
	return out
}

// takes reports whether each length of a value has its unit and is allowed for the
// option.
func (o lengthOption) takes(name, text string) bool {
	_, list, _ := EachLength(text)
	return !slices.ContainsFunc(strings.Split(list, ","), func(part string) bool {
		v, err := unit.Parse(part, unit.None)
		return err != nil || o.Within(name, part, v) != nil
	})
}

// EachLength splits a value into its lengths and the rest: SHEET= before them, /setup
// after them.
func EachLength(text string) (before, list, after string) {
	if i := strings.LastIndex(text, "="); i >= 0 { // the name of a part may have one too
		before, text = text[:i+1], text[i+1:]
	}
	if rest, each := strings.CutSuffix(text, "/setup"); each {
		return before, rest, "/setup"
	}
	return before, text, ""
}

// withUnit writes u after every bare number of a list. A fraction with a metric unit
// becomes inches.
func withUnit(text string, u unit.Length) string {
	before, list, after := EachLength(text)
	parts := strings.Split(list, ",")
	for i, p := range parts {
		if p = strings.TrimSpace(p); bare(p) {
			with := p + u.String()
			if _, err := unit.Parse(with, unit.None); err != nil {
				with = p + unit.Inch.String()
			}
			p = with
		}
		parts[i] = p
	}
	return before + strings.Join(parts, ",") + after
}

// bare reports whether a length is a number without a unit; 0 needs none.
func bare(text string) bool {
	_, err := unit.Parse(strings.TrimSpace(text), unit.None)
	return errors.Is(err, unit.ErrNoUnit)
}

func unitList(of []unit.Length, and string) string {
	var words []string
	for _, u := range of {
		words = append(words, u.String())
	}
	return strings.Join(words, and)
}

// Parse reads the length of a field. A field may be followed by the name of one of
// several, as in "benchmark BM1". It panics for an option that is not in lengthOptions.
func (l *Lengths) Parse(field, text string) (float64, error) {
	return l.part(field, text, text)
}

// ofLength refuses the length of a field, which may be followed by the name of one of
// several.
func ofLength(field, format string, args ...any) *survey.Error {
	name, of, _ := strings.Cut(field, " ")
	e := misuse(name, format, args...)
	e.Element, e.Of = of, of
	return e
}

// part reads text, which is all or a part of whole. Messages show whole.
func (l *Lengths) part(field, text, whole string) (float64, error) {
	name, _, _ := strings.Cut(field, " ")
	o, ok := lengthOptions[name]
	if !ok {
		panic("pourplane: not a field with a length: " + field)
	}
	text = strings.TrimSpace(text)
	v, err := unit.Parse(text, unit.None)
	if o.Unit && errors.Is(err, unit.ErrNoUnit) {
		return 0, ofLength(field, "found %q without a unit, want a length such as %s", whole, o.example(text)).Hinted("%s or %s", unit.Ask(name, o.Metric), unit.Ask(name, o.US))
	}
	if err != nil && o.Unit {
		return 0, ofLength(field, "found %q, want a length with its unit such as %s", whole, o.example(text)).Hinted("%s or %s", unit.Ask(name, o.Metric), unit.Ask(name, o.US))
	}
	if err == nil && ownFeet(text) && l.surveyFeet(o.Of) {
		v = v / unit.Foot.Metres() * unit.SurveyFoot.Metres()
		l.take(taken{field: field, text: whole, as: unit.SurveyFoot, own: true})
	}
	if err != nil && (errors.Is(err, unit.ErrNoUnit) || l.asked == unit.Inch) {
		u, open := l.bare(field, whole, o.Of)
		if open != nil {
			return 0, open
		}
		own := u == unit.Foot && l.surveyFeet(o.Of)
		if own {
			u = unit.SurveyFoot
		}
		if v, err = unit.Parse(text, u); err == nil {
			l.take(taken{field: field, text: whole, as: u, own: own})
		}
		if errors.Is(err, unit.ErrNoUnit) { // a fraction, in a unit without fractions
			return 0, ofLength(field, "found %q, want %v", whole, err).Hinting(bothWays(field, whole, []unit.Length{u, unit.Inch}))
		}
	}
	if err != nil {
		return 0, ofLength(field, "found %q, want %v", whole, err).Hinting(l.asTyped(field, text, o))
	}
	return v, o.Within(field, whole, v)
}

// asTyped asks for a text that is no length as it may be meant, or for the example of its option.
func (l *Lengths) asTyped(field, text string, o lengthOption) unit.Text {
	if hint := hyphened(field, text); hint != (unit.Text{}) {
		return hint
	}
	name, of, named := strings.Cut(field, " ")
	value := o.Metric
	if l.shown(o.Of).Imperial() || imperial(text) {
		value = o.US
	}
	if point := strings.Replace(text, ",", ".", 1); point != text && o.takes(name, point) {
		value = point // a decimal comma
	}
	if named {
		value = of + "=" + value
	}
	return unit.Textf("such as %s", unit.Ask(name, value))
}

// hyphened returns the option to type for feet and inches with a hyphen, since shells
// read the marks of feet and inches as quotes. It is empty for any other text.
func hyphened(field, text string) unit.Text {
	marked := strings.Replace(text, "-", "ft", 1) + "in"
	if _, err := unit.Parse(text, unit.None); !errors.Is(err, unit.ErrHyphen) {
		return unit.Text{}
	} else if _, err := unit.Parse(marked, unit.None); err != nil {
		return unit.Text{}
	}
	name, of, named := strings.Cut(field, " ")
	if named {
		marked = of + "=" + marked
	}
	return unit.Textf("%s", unit.Ask(name, marked))
}

// lengthValue is a length option, its text, and where its value goes.
type lengthValue struct {
	field, text string
	to          *float64
}

// into reads the given lengths.
func (l *Lengths) into(all ...lengthValue) error {
	for _, one := range all {
		if one.text == "" {
			continue
		}
		v, err := l.Parse(one.field, one.text)
		if err != nil {
			return err
		}
		*one.to = v
	}
	return nil
}

// Stated writes the lengths of an option with their units, as a job file needs them.
func (l *Lengths) Stated(field, text string) (string, error) {
	text = strings.TrimSpace(text)
	if _, list, _ := EachLength(text); !slices.ContainsFunc(strings.Split(list, ","), bare) {
		return text, nil
	}
	name, _, _ := strings.Cut(field, " ")
	u, err := l.bare(field, text, lengthOptions[name].Of)
	if err != nil {
		return text, err
	}
	return withUnit(text, u), nil
}

// later sets a length in the options: at once if its unit is known, else when the unit
// of the file is. Until then it is NaN. text is all or a part of whole.
func (l *Lengths) later(o *survey.Options, field, text, whole string, set func(o *survey.Options, v float64)) error {
	_, err := unit.Parse(text, unit.None)
	if !(errors.Is(err, unit.ErrNoUnit) && l.asked == unit.None) && !(err == nil && ownFeet(text)) {
		v, err := l.part(field, text, whole)
		if err == nil {
			set(o, v)
		}
		return err
	}
	set(o, math.NaN())
	before := o.InUnit
	o.InUnit = func(plan, up unit.Length, o *survey.Options) error {
		if before != nil {
			if err := before(plan, up, o); err != nil {
				return err
			}
		}
		l.know(plan, up)
		v, err := l.part(field, text, whole)
		set(o, v)
		return err
	}
	return nil
}

// Within refuses a length outside the limits of the option.
func (o lengthOption) Within(field, text string, v float64) error {
	want := ""
	switch {
	case v <= 0 && o.NotZero:
		want = "a length above 0"
	case v < 0 && !o.Signed:
		want = "a length of 0 or more"
	case o.Most > 0 && v > o.Most:
		want = "max " + limitText(o.Most)
	}
	if want == "" {
		return nil
	}
	name, of, named := strings.Cut(field, " ")
	value := o.example(text)
	if named && of != "" {
		value = of + "=" + value
	}
	// Of a length below 0 the sign may be the slip.
	if plain := strings.TrimLeft(strings.TrimSpace(text), "-−"); v < 0 && !strings.Contains(text, ",") && o.takes(name, plain) {
		value = plain
	}
	return ofLength(field, "found %q, want %s", text, want).Hinted("%s", unit.Ask(name, value))
}

// limitText writes a limit in both systems.
func limitText(m float64) string {
	metric := strconv.FormatFloat(m, 'g', -1, 64) + " m"
	if m < 1 {
		metric = strconv.FormatFloat(1000*m, 'f', -1, 64) + " mm"
	}
	if m < 1 {
		return fmt.Sprintf("%s (%s in)", metric, threeDigits(m/unit.Inch.Metres()))
	}
	return fmt.Sprintf("%s (%s ft)", metric, threeDigits(m/unit.Foot.Metres()))
}

// threeDigits rounds a number above 0 down to three digits that count: a limit that is shown
// is kept.
func threeDigits(v float64) string {
	scale := math.Pow10(2 - int(math.Floor(math.Log10(v))))
	return strconv.FormatFloat(math.Floor(v*scale*(1+1e-12))/scale, 'f', -1, 64)
}

// surveyFeet reports whether the survey is in US survey feet.
func (l *Lengths) surveyFeet(m Measure) bool {
	of := l.up
	if m == Place || len(of) == 0 {
		of = l.plan
	}
	return m != Thickness && len(of) == 1 && of[0] == unit.SurveyFoot
}

// ownFeet reports whether a length is in feet of an unstated kind.
func ownFeet(text string) bool {
	if strings.ContainsAny(text, "'’′") {
		return true
	}
	u, ok := unit.ParseLength(strings.TrimLeft(text, "+-−0123456789.,/ "))
	return ok && u == unit.Foot
}

func (l *Lengths) take(t taken) {
	if !slices.ContainsFunc(l.took, func(o taken) bool { return o.field == t.field && o.text == t.text }) {
		l.took = append(l.took, t)
	}
}

// notes reports the units in which options were read, each once.
func (l *Lengths) notes() []survey.Note {
	var out []survey.Note
	for _, own := range []bool{false, true} {
		var units []unit.Length
		by := map[unit.Length][]unit.Text{}
		for i := range l.took {
			t := &l.took[i]
			if t.noted || t.own != own {
				continue
			}
			t.noted = true
			name, of, named := strings.Cut(t.field, " ")
			if named && of != "" {
				of += "="
			}
			if by[t.as] == nil {
				units = append(units, t.as)
			}
			by[t.as] = append(by[t.as], unit.Textf("%s", unit.Ask(name, of+t.text)))
		}
		for _, u := range units {
			why := unit.Textf("the unit of the survey")
			switch {
			case own:
				why = unit.Textf("the feet of the survey")
			case l.asked != unit.None:
				why = unit.Textf("the unit of %s", unit.Ask("units", ""))
			}
			out = append(out, survey.Notef(survey.Assumed, survey.Pos{}, "read in %s, %s: %s", u, why, unit.Join(by[u], ", ")))
		}
	}
	return out
}

// place reads a plan position, "X,Y".
func (l *Lengths) place(field, text string) (surface.Vec, error) {
	v, err := l.list(field, text, "X,Y", 2)
	if err != nil {
		return surface.Vec{}, err
	}
	return surface.Vec{X: v[0], Y: v[1]}, nil
}

// list reads n lengths separated by commas. form describes them.
func (l *Lengths) list(field, text, form string, n int) ([]float64, error) {
	parts := strings.Split(text, ",")
	if len(parts) != n {
		name, of, named := strings.Cut(field, " ")
		value := lengthOptions[name].example(text)
		if l.shown(Place).Imperial() {
			value = lengthOptions[name].US
		}
		if named {
			value = of + "=" + value
		}
		return nil, ofLength(field, "found %q, want %s", text, form).Hinted("such as %s", unit.Ask(name, value))
	}
	out := make([]float64, n)
	for i, p := range parts {
		v, err := l.part(field, p, text)
		if err != nil {
			return nil, err
		}
		out[i] = v
	}
	return out, nil
}

// someOf reads least or most lengths separated by commas. form describes them.
func (l *Lengths) someOf(field, text, form string, least, most int) ([]float64, error) {
	n := least
	if strings.Count(text, ",")+1 == most {
		n = most
	}
	return l.list(field, text, form, n)
}
