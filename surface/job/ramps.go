package job

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/surface/falls"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Ramp joins the target to the fill at a threshold.
type Ramp struct {
	falls.Ramp
	Limits  []RampLimit
	Feather Feather
}

// Feather is where the fill on a ramp is thinner than a least thickness.
type Feather struct {
	surface.Shallow
	Least float64 // m
	Of    string  // what has this least thickness
}

// RampLimit is a published limit for a ramp, compared with it.
type RampLimit struct {
	Name     string
	Limit    float64 // rise over run
	MaxRise  float64 // m; 0: any
	Source   string
	Cross    bool // it is for the cross slope
	Measured bool // false: not known of this ramp
	Met      bool
}

// Outcome gives the outcome in words.
func (l RampLimit) Outcome() string {
	switch {
	case !l.Measured:
		return "not measured"
	case l.Met:
		return "met"
	}
	return "not met"
}

// rampLimits lists the published limits of slopes. Source: 2010 ADA Standards, read as reproduced;
// 403.3 from memory. Local code decides.
var rampLimits = []RampLimit{
	{Name: "ramp, max 1:12", Limit: 1. / 12, Source: "2010 ADA Standards, 405.2"},
	{Name: "walking surface and no ramp, max 1:20", Limit: 1. / 20, Source: "2010 ADA Standards, 403.3, from memory"},
	{Name: "cross slope, max 1:48", Limit: 1. / 48, Source: "2010 ADA Standards, 405.3", Cross: true},
	{Name: "existing site, max 1:10 and max rise 6 in", Limit: 1. / 10, MaxRise: 6 * 0.0254, Source: "2010 ADA Standards, table 405.2"},
	{Name: "existing site, max 1:8 and max rise 3 in", Limit: 1. / 8, MaxRise: 3 * 0.0254, Source: "2010 ADA Standards, table 405.2"},
	{Name: "bevel, max 1:2 and max rise 1/2 in", Limit: 1. / 2, MaxRise: bevelled, Source: "2010 ADA Standards, 303.3"},
}

// limitsOf compares a ramp with the published limits. The cross slope of one at a single shot is
// not known.
func limitsOf(r *falls.Ramp) []RampLimit {
	const alike = 1 + 1e-9 // a ratio such as 1:12 is rounded
	var out []RampLimit
	for _, l := range rampLimits {
		one, slope := l, r.Slope
		if one.Measured = true; l.Cross {
			slope, one.Measured = r.Cross, r.Line
		}
		one.Met = one.Measured && slope <= one.Limit*alike && (one.MaxRise == 0 || math.Abs(r.Rise) <= one.MaxRise+unit.Noise)
		out = append(out, one)
	}
	return out
}

// doorWidth is the max distance between shots of one door, m: a double door or a small gate. Own
// choice.
const doorWidth = 3.0

// steepestRamp is the max slope of a ramp in percent: a bevel of 1:2.
const steepestRamp = 50

// perLength ends a slope given as length per length, such as 1in/ft.
var perLength = regexp.MustCompile(`(/ *[a-zA-Z'"]+|\bper\b.*)$`)

// readRamp reads THRESHOLD=LENGTH or THRESHOLD=SLOPE.
func readRamp(text string) (threshold string, s falls.Slant, err error) {
	wanted := "THRESHOLD=LENGTH, or THRESHOLD=1:N for the greatest slope"
	i := strings.LastIndex(text, "=")
	if i < 0 {
		return "", s, misused("ramp", strconv.Quote(text), wanted).Hinted("%s, or %s", unit.Ask("ramp", cmp.Or(strings.TrimSpace(text), "D1")+"=1:12"), unit.Ask("ramp", cmp.Or(strings.TrimSpace(text), "D1")+"=600mm"))
	}
	threshold, value := strings.TrimSpace(text[:i]), strings.TrimSpace(text[i+1:])
	if threshold == "" || value == "" {
		return "", s, misused("ramp", strconv.Quote(text), wanted).Hinted("%s", unit.Ask("ramp", cmp.Or(threshold, "D1")+"="+cmp.Or(value, "1:12")))
	}
	if bare(value) {
		return "", s, misused("ramp", strconv.Quote(text), "a length with its unit, or a slope").
			Hinted("%s, %s, %s or %s", unit.Ask("ramp", threshold+"="+value+"m"), unit.Ask("ramp", threshold+"="+value+"ft"), unit.Ask("ramp", threshold+"="+value+"in"), unit.Ask("ramp", threshold+"="+value+"%"))
	}
	if strings.ContainsAny(value, ":%") || perLength.MatchString(value) {
		percent, err := parseSlopeTo(value, steepestRamp)
		if err == nil && percent == 0 {
			err = unit.Wanted{Want: "a slope above 0"}
		}
		if err != nil {
			return "", s, wantedOf("ramp", text, err).Hinted("such as %s", unit.Ask("ramp", threshold+"=1:12"))
		}
		s.Slope = percent / 100
		return threshold, s, nil
	}
	if s.Length, err = unit.Parse(value, unit.None); err != nil || !(s.Length > 0) {
		want := "a length above 0, or a slope"
		if err != nil {
			want = "a length such as 600mm or 2ft, or a slope such as 1:12"
		}
		return "", s, misused("ramp", strconv.Quote(text), want).Hinted("%s, or leave the ramp out: the step then stays", unit.Ask("ramp", threshold+"=1:12"))
	}
	return threshold, s, nil
}

// checkRamps refuses ramps that are wrong whatever the survey.
func (f *targetFlags) checkRamps() error {
	seen := map[string]bool{}
	for _, text := range f.ramps {
		threshold, _, err := readRamp(text)
		switch {
		case err != nil:
			return err
		case seen[strings.ToUpper(threshold)]:
			return misused("ramp", "two ramps at "+strconv.Quote(threshold), "one ramp at a threshold")
		}
		seen[strings.ToUpper(threshold)] = true
	}
	if len(f.ramps) > 0 && len(f.parts) > 0 {
		return misuse("ramp", "%s is for a floor of one target, not for parts with targets of their own", unit.Ask("ramp", "")).Hinted("%s, or a job for each part", unit.LeaveOut("ramp"))
	}
	if len(f.ramps) > 0 && f.volume != "" && !f.heightGiven() && !f.drainFlags.given() {
		return misuse("ramp", "%s is for a target whose height is given; %s alone gives none", unit.Ask("ramp", ""), unit.Ask("volume", "")).
			Hinted("%s: the result then says how high the volume fills", unit.Ask("target", "Z"))
	}
	return nil
}

// withRamps puts the ramps on the target of p.
func (f *targetFlags) withRamps(p *planned, l *Lengths, s *survey.Survey, floor *surface.Floor) error {
	if len(f.ramps) == 0 {
		return nil
	}
	_, c, err := f.thresholds(l, s, p.target)
	if err != nil {
		return err
	}
	var low float64
	if err := l.into(lengthValue{"low", f.low, &low}); err != nil {
		return err
	}
	drop := c.Thickness + c.Bed + low
	var wanted []falls.Slant
	for _, text := range f.ramps {
		threshold, slant, err := readRamp(text)
		if err != nil {
			return err
		}
		if slant.Threshold, err = f.threshold(p, threshold, text[strings.LastIndex(text, "=")+1:], s, drop); err != nil {
			return err
		}
		wanted = append(wanted, slant)
	}
	built, err := falls.WithRamps(floor, p.target, wanted)
	if err != nil {
		return err
	}
	p.target = built.Target
	for i := range built.Ramps {
		r := Ramp{Ramp: built.Ramps[i]}
		if p.falls != nil {
			for _, d := range p.falls.Served {
				if err := r.KeepsOff(&d.Drain); err != nil {
					return err
				}
			}
		}
		p.notes = append(p.notes, drainsUnder(p, &r.Ramp, s)...)
		r.Limits = limitsOf(&r.Ramp)
		p.ramps = append(p.ramps, r)
	}
	p.notes = append(p.notes, rampNotes(built, p.ramps, drop)...)
	return nil
}

// drainsUnder warns of drains that were shot where a ramp is. Those that the target falls to are
// refused there.
func drainsUnder(p *planned, r *falls.Ramp, s *survey.Survey) []survey.Note {
	const least = 0.0005 // m, a shot is no better
	var out []survey.Note
	covers, under := r.Covers(), surface.WithoutRamps(p.target)
	for _, d := range s.Drains() {
		at := surface.Vec{X: d.X, Y: d.Y}
		if !covers(at) || math.Abs(p.target.Elevation(at)-under.Elevation(at)) < least {
			continue
		}
		out = append(out, survey.Notef(survey.Warning, d.At(), "the ramp to %s goes across the drain %s: its grate would be in the slope. A shorter or steeper ramp keeps off it", r.Name, d.Name()).About(survey.AboutTarget))
	}
	return out
}

// threshold finds the shots of a threshold, by the name of a shot on finished floor or by a code
// that some share. value is the length or the slope of the ramp there, as given.
func (f *targetFlags) threshold(p *planned, name, value string, s *survey.Survey, drop float64) (falls.Threshold, error) {
	finished := f.finished(s)
	var named, coded []survey.Point
	for _, one := range finished {
		if strings.EqualFold(one.Name(), name) {
			named = append(named, one)
		}
		if strings.EqualFold(bareCode(one.Code()), name) {
			coded = append(coded, one)
		}
	}
	if exact := slices.DeleteFunc(slices.Clone(named), func(one survey.Point) bool { return one.Name() != name }); len(exact) > 0 {
		named = exact
	}
	shots := named
	switch {
	case len(named) > 0 && len(coded) > 0 && !(len(named) == 1 && len(coded) == 1 && named[0].At() == coded[0].At()):
		return falls.Threshold{}, misused("ramp", fmt.Sprintf("%q, the name of the shot at %s and the code of %s", name, named[0].At(), survey.Plural(len(coded), "shot")), "one of the two: name the shots of the door otherwise")
	case len(named) == 0 && len(coded) == 0:
		return falls.Threshold{}, f.noThreshold(name, value, s, finished)
	case len(named) == 0:
		shots = coded
	}
	for i := range shots {
		if one := &shots[i]; math.IsNaN(one.X + one.Y + one.Z) {
			return falls.Threshold{}, (&survey.Error{Pos: one.At(), Element: cmp.Or(one.Name(), name), Found: "no position", Want: "its x, y and elevation, for a ramp to it"}).Hinted("or %s", unit.LeaveOut("ramp"))
		}
	}
	return doorOf(p, name, shots, drop)
}

// doorOf makes a threshold of the shots of one door: the line between those farthest apart.
func doorOf(p *planned, name string, shots []survey.Point, drop float64) (falls.Threshold, error) {
	a, b, far := 0, 0, 0.0
	for i := range shots {
		for j := range i {
			if d := math.Hypot(shots[i].X-shots[j].X, shots[i].Y-shots[j].Y); d > far {
				a, b, far = j, i, d
			}
		}
	}
	at := func(i int) surface.Vec { return surface.Vec{X: shots[i].X, Y: shots[i].Y} }
	if far > doorWidth {
		var names []unit.Text
		for i := range shots[:min(3, len(shots))] {
			if n := shots[i].Name(); n != "" {
				names = append(names, unit.Textf("%s", unit.Ask("ramp", n+"=1:12")))
			}
		}
		e := (&survey.Error{Field: "ramp", Usage: true}).Saw("%d shots %q, %s apart: several doors", len(shots), name, unit.Distance(far)).
			Wanted("the shots of one door, max %s apart, or each by its name", unit.Distance(doorWidth))
		if len(names) == 0 {
			return falls.Threshold{}, e.Hinted("give each door a code of its own in the file")
		}
		return falls.Threshold{}, e.Hinting(unit.Textf("such as %s", unit.Join(names, " ")))
	}
	const onePlace = 0.001 // m
	t := falls.Threshold{Name: name, At: at(a), Z: shots[a].Z - drop, Zo: shots[a].Z - drop}
	if far < onePlace {
		return t, nil
	}
	t.Line, t.To, t.Zo = true, at(b), shots[b].Z-drop
	const off = 0.002 // m, as good as a shot
	for i := range shots {
		if i == a || i == b {
			continue
		}
		t.More = append(t.More, at(i))
		if d := shots[i].Z - drop - t.Z - at(i).Along(t.At, t.To)*(t.Zo-t.Z); math.Abs(d) > off {
			p.notes = append(p.notes, survey.Notef(survey.Warning, shots[i].At(), "%s is %s off the line between %s and %s, which the ramp leads to: read it again", door{shot: shots[i]}.name(), unit.Change(math.Abs(d)),
				door{shot: shots[a]}.name(), door{shot: shots[b]}.name()).About(survey.AboutTarget))
		}
	}
	return t, nil
}

// noThreshold refuses a ramp to a threshold that was not shot.
func (f *targetFlags) noThreshold(name, value string, s *survey.Survey, finished []survey.Point) error {
	e := misused("ramp", strconv.Quote(name), "a shot on an adjoining finished floor, by its name or its code")
	var names []string
	for i := range finished {
		for _, n := range []string{finished[i].Name(), bareCode(finished[i].Code())} {
			if n != "" && !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
	}
	if len(names) == 0 {
		return e.Hinted("none is marked as such: %s, or %s", unit.Ask("code", "CODE=finished"), unit.Ask("finish-code", "CODE"))
	}
	if slices.Contains(shotNames(s), name) {
		return e.Hinted("%s is no finished floor; those are %s", name, some(names))
	}
	return e.Hinting(meant(name, names, func(near string) unit.Option { return unit.Ask("ramp", near+"="+strings.TrimSpace(value)) }))
}

// OneIn writes a slope as a ratio and in percent: "1:12 (8.33 %)".
func OneIn(slope float64) string {
	return fmt.Sprintf("1:%s (%s %%)", unit.Digits(1/slope), unit.Digits(100*slope))
}

// Way is the direction of a ramp seen from the floor.
func (r *Ramp) Way() string {
	if r.Rise < 0 {
		return "down"
	}
	return "up"
}

// rampNotes say what the ramps come to.
func rampNotes(built *falls.Ramped, ramps []Ramp, drop float64) []survey.Note {
	var out []survey.Note
	note := func(kind survey.NoteKind, format string, args ...any) {
		out = append(out, survey.Notef(kind, survey.Pos{}, format, args...).About(survey.AboutTarget))
	}
	below := unit.Textf("level with the finished floor, since no covering and no build-up is given")
	if drop != 0 {
		below = unit.Textf("%s below the finished floor", unit.Depth(drop))
	}
	for i := range ramps {
		r := &ramps[i]
		ends := unit.Textf("at %s", unit.ElevationDown(r.Z))
		if r.Line && r.Z != r.Zo {
			ends = unit.Textf("from %s to %s", unit.ElevationDown(r.Z), unit.ElevationDown(r.Zo))
		}
		note(survey.Assumed, "the ramp to %s goes %s %s over %s, %s, on %s of the floor; the fill at the threshold is %s, %s", r.Name, r.Way(), unit.Depth(math.Abs(r.Rise)), unit.Distance(r.Length), OneIn(r.Slope), unit.Area(r.Area), ends, below)
		if !r.Limits[0].Met {
			note(survey.Warning, "the ramp to %s is %s: steeper than 1:12 (%s; local code decides)", r.Name, OneIn(r.Slope), r.Limits[0].Source)
		}
		if c := r.Limits[2]; c.Measured && !c.Met {
			note(survey.Warning, "the threshold %s falls %s along its length: more cross slope than 1:48 (%s; local code decides)", r.Name, OneIn(r.Cross), c.Source)
		}
	}
	for _, t := range built.Flush {
		note(survey.Assumed, "at %s the target already meets the fill at the threshold: no ramp needed", t.Name)
	}
	return out
}

// RampsText names the ramps of a target: "; ramp up to D1, 1:12 (8.33 %)". Empty without any.
func RampsText(ramps []Ramp) unit.Text {
	const most = 3
	if len(ramps) == 0 {
		return unit.Text{}
	}
	if len(ramps) > most {
		return unit.Textf("; %d ramps", len(ramps))
	}
	var each []unit.Text
	for i := range ramps {
		r := &ramps[i]
		each = append(each, unit.Textf("ramp %s to %s, %s", r.Way(), r.Name, OneIn(r.Slope)))
	}
	return unit.Textf("; %s", unit.Join(each, "; "))
}

// featherEdges works out where the fill on the ramps is thinner than the least thickness of the
// materials, or than concrete is usually laid.
func (w *Filled) featherEdges(service *order.Service) error {
	least, of := order.ConcreteLeast(w.own()), "concrete as usually laid"
	if service != nil && len(service.Materials) > 0 {
		m := slices.MinFunc(service.Materials, func(a, b order.Material) int { return cmp.Compare(a.Least, b.Least) })
		least, of = m.Least, m.Name
	}
	for i := range w.Ramps {
		r := &w.Ramps[i]
		shallow, err := r.Ramp.Feather(w.Floor, w.Fill.Target, least)
		if err != nil {
			return err
		}
		if shallow.Area < leastThin || least == 0 && shallow.Cut == 0 {
			shallow = surface.Shallow{}
		}
		r.Feather = Feather{Shallow: shallow, Least: least, Of: of}
	}
	return nil
}

// Thin says where on the ramp the fill is thinner than its least thickness.
func (r *Ramp) Thin() unit.Text {
	const most, near = 0.99, 0.001 // of the ramp; m
	switch e := &r.Feather; {
	case e.Area > most*r.Area:
		return unit.Textf("on all of it")
	case e.Nearest < near:
		return unit.Textf("within %s of the threshold", unit.Distance(e.Farthest))
	default:
		return unit.Textf("from %s off the threshold on", unit.Distance(e.Nearest))
	}
}

// featherNotes say what to chase so that the fill on the ramps keeps its least thickness.
func (w *Filled) featherNotes() []survey.Note {
	var out []survey.Note
	for i := range w.Ramps {
		r := &w.Ramps[i]
		e := &r.Feather
		if e.Area == 0 {
			continue
		}
		out = append(out, survey.Notef(survey.Warning, survey.Pos{}, "on the ramp to %s the fill is thinner than %s, the least of %s, %s. Chase the old floor there, or use a material for thin fill",
			r.Name, unit.Depth(e.Least), e.Of, r.Thin()).About(survey.AboutOrder))
	}
	return out
}

// chased is the volume to be cut off the old floor at feather edges, m³, in addition to the cut.
func (w *Filled) chased() float64 {
	total := 0.0
	for i := range w.Ramps {
		total += w.Ramps[i].Feather.Chase - w.Ramps[i].Feather.Cut
	}
	return total
}
