package job

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface/flatness"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/file"
	"pourplane/survey/unit"
)

// keyed writes the notes of a job with its keys instead of options.
func keyed(j *Job, notes []survey.Note) {
	for i := range notes {
		notes[i].Text = notes[i].Text.Worded(lineIn(unitOf(j)))
	}
}

// inFolder names files as the job does, so that results do not depend on the current
// folder.
func inFolder(j *Job, notes []survey.Note) {
	for i := range notes {
		notes[i].Pos.File = j.asNamed(notes[i].Pos.File)
	}
}

// unitsSaid refuses lengths of a job without their unit: the meaning of 0.5 must not
// depend on the unit of a survey.
func unitsSaid(j *Job, files fs.FS) error {
	for _, l := range jobLengths(j) {
		for _, text := range l.texts {
			for _, part := range strings.Split(text, ",") {
				if bare(part) {
					return j.Error(l.Key, strconv.Quote(text), "a length with its unit, such as "+likely(j, cmp.Or(l.as, l.Key), text, files))
				}
			}
		}
	}
	return nil
}

// suchAs returns the lengths under a key with those of units that the key accepts.
func suchAs(key, text string, units []unit.Length, most int) string {
	name := "instrument-height" // the key for the survey after the pour has no option
	if f, _ := byKey(key); f.Flag != "" {
		name = f.Flag
	}
	all := offers(name, text, units)
	if len(all) == 0 {
		return lengthOptions[name].example(units[0].String())
	}
	return strings.Join(all[:min(most, len(all))], " or ")
}

// likely returns a length of a job in the units of the job or else of its surveys. It is called for
// a refusal only, since it reads the surveys.
func likely(j *Job, key, text string, files fs.FS) string {
	u, known := unit.ParseLength(j.Units)
	if !known {
		s, err := file.OpenAll(j.paths(j.Survey.Files), survey.Options{Open: func(name string) (io.ReadCloser, error) { return files.Open(name) }})
		if known = err == nil; known {
			u = s.Unit
		}
	}
	f, _ := byKey(key)
	thin := f.Length != nil && f.Length.Of == Thickness
	switch {
	case !known:
		return suchAs(key, text, []unit.Length{unit.Metre, unit.Foot, unit.Millimetre, unit.Inch}, 2)
	case u.Imperial() && thin:
		return suchAs(key, text, []unit.Length{unit.Inch, unit.Foot}, 2)
	case u.Imperial():
		return suchAs(key, text, []unit.Length{unit.Foot, unit.Inch}, 1)
	case thin:
		return suchAs(key, text, []unit.Length{unit.Millimetre, unit.Metre}, 2)
	}
	return suchAs(key, text, []unit.Length{unit.Metre, unit.Millimetre}, 1)
}

// fallSaid refuses a fall of a job that cannot be read or is given twice.
func fallSaid(j *Job) error {
	t := &j.Target
	if t.Fall == "" {
		return nil
	}
	if t.FallPercent != 0 {
		return j.Error("target.fall", strconv.Quote(t.Fall)+", and fall-percent as well", "one of the two")
	}
	var w unit.Wanted
	if _, err := parseSlope(t.Fall); errors.As(err, &w) {
		return j.Error("target.fall", strconv.Quote(t.Fall), w.Want)
	}
	return nil
}

// jobLength holds the lengths under one key of a job.
type jobLength struct {
	Key   string
	texts []string
	as    string // key of a field with an example; empty: Key
}

// jobLengths lists the lengths of a job that are read like the options of commands.
func jobLengths(j *Job) []jobLength {
	s, t, p, f := &j.Survey, &j.Target, &j.Plant, &j.Flatness
	allow, _ := strings.CutSuffix(s.Allow, "/setup")
	toward := ""
	if strings.Contains(t.Toward, ",") {
		toward = t.Toward // else a direction, or the name of a shot
	}
	values := func(m map[string]string) []string {
		var out []string
		for _, name := range slices.Sorted(maps.Keys(m)) {
			out = append(out, m[name])
		}
		return out
	}
	one := func(text string) []string { return []string{text} }
	out := drainLengths(t.Drains)
	for _, l := range []struct {
		key   string
		texts []string
	}{
		{"target.elevation", one(t.Elevation)}, {"target.finish", one(t.Finish)}, {"target.buildup", one(t.Buildup)}, {"target.low", one(t.Low)}, {"target.toward", one(toward)},
		{"target.channels", t.Channels}, {"target.parts", levelsIn(t.Parts)},
		{"target.min-depth", one(t.MinDepth)}, {"target.max-depth", one(t.MaxDepth)}, {"target.trip", one(t.Trip)},
		{"target.covering", one(t.Covering)}, {"target.bed-least", one(t.BedLeast)}, {"target.bed-greatest", one(t.BedGreatest)},
		{"survey.instrument-height", one(s.InstrumentHeight)}, {"survey.after-instrument-height", one(s.AfterInstrument)}, {"survey.benchmarks", values(s.Benchmarks)}, {"survey.allow", one(allow)}, {"survey.thin", one(s.Thin)}, {"survey.reading-sd", one(s.ReadingSD)}, {"survey.setup-sd", one(s.SetupSD)},
		{"survey.grid-spacing", one(s.GridSpacing)}, {"survey.grid-origins", values(s.GridOrigins)},
		{"plant.roughness", one(p.Roughness)}, {"plant.finish-high", one(p.FinishHigh)}, {"plant.line-bore", one(p.LineBore)}, {"plant.line-length", one(p.LineLength)},
		{"flatness.tolerance", one(f.Tolerance)}, {"flatness.grind-pass", one(f.GrindPass)}, {"flatness.straightedges", f.Straightedges},
	} {
		out = append(out, jobLength{Key: l.key, texts: l.texts})
	}
	return out
}

// fillOf returns the flags of fill for a job.
func fillOf(j *Job) *filling {
	f := &filling{input: inputOf(j), targetFlags: aimOf(j), title: j.Title}
	f.Allowance = 5
	if a := j.Mix.AllowancePercent; a != nil {
		f.Allowance = percent(*a)
	}
	f.riskPercent, f.nextShots = j.Mix.RiskPercent, j.Outputs.NextShots
	f.step, f.Weight = j.Mix.OrderStep, unitWeight(j.UnitWeight())
	p := &j.Plant
	f.plantFlags = plantFlags{p.Roughness, p.FinishHigh, p.LineBore, p.LineLength, p.Hopper, p.Priming, p.Truck, p.ShortLoad}
	f.served = slices.ContainsFunc(j.Materials, func(m Material) bool { return !m.CompareOnly })
	f.bonded = j.Site.Bonded
	f.byBag = j.Mix.PricePerBag != 0
	f.byPlant = j.Mix.PricePerM3+j.Mix.PricePerYd3 != 0 || j.Pace.MixedOnSite || j.Pace.Travel+j.Pace.Discharge+j.Pace.TruckSpacing != ""
	return f
}

// aimOf returns the target of a job.
func aimOf(j *Job) targetFlags {
	t := &j.Target
	percent := t.FallPercent
	if t.Fall != "" {
		percent, _ = parseSlope(t.Fall) // a faulty fall was refused before
	}
	old := map[string]bool{}
	for code, role := range j.Survey.Codes {
		old[strings.ToUpper(code)] = roles[strings.ToLower(role)] == survey.Floor
	}
	return targetFlags{old: old, target: t.Elevation, finish: t.Finish, at: t.FinishAt, buildup: t.Buildup, low: t.Low, volume: t.Volume, rule: cmp.Or(t.FinishRule, "lowest"),
		drainFlags: drainFlags{t.Drains, t.Channels, t.Walls}, partFlags: partFlags{parts: t.Parts}, designFlags: designFlags{design: j.designPath(), as: t.Surface}, bestFlags: bestOf(j), ramps: t.Ramps,
		toward: t.Toward, direction: t.FallDirection, covering: t.Covering, bedLeast: t.BedLeast, bedMost: t.BedGreatest, codes: t.FinishCodes, fall: slope(percent)}
}

// siteOf returns the conditions of the floor and the work that need care.
func siteOf(j *Job) order.Job {
	o := &j.Site
	return order.Job{Grounded: o.Bearing == "ground", Suspended: o.Bearing == "suspended", Heated: o.Heated, Tendons: o.Tensioned, Old: o.OldCovering, Drains: o.Drains, Engines: o.Engines, Doors: o.InUse,
		Pinned: true, Sawn: j.Joints.Length != "", Bagged: slices.ContainsFunc(j.Materials, func(m Material) bool { return m.BagYield != "" && !m.CompareOnly })}
}

func inputOf(j *Job) input {
	s := &j.Survey
	f := input{
		show: j.Show, water: j.Outputs.Water, outline: j.Path(s.Outline), surface: s.Surface, units: j.Units, order: s.Order, instrument: s.InstrumentHeight, duplicates: cmp.Or(s.Duplicates, "refuse"), zeros: s.Zeros, despite: s.AcceptMisclosure, retriangulate: s.Retriangulate,
		levelFlags: levelFlags{adjust: cmp.Or(s.Adjust, "none"), allow: s.Allow},
		gridFlags:  gridFlags{spacing: s.GridSpacing, letters: s.GridLetters, numbers: s.GridNumbers, values: s.GridValues},
		thinFlags:  thinFlags{cell: s.Thin, keep: cmp.Or(s.ThinKeep, "mean")}, errorFlags: errorFlags{reading: s.ReadingSD, setup: s.SetupSD}, sourceFlags: sourceFlags{maxSize: s.MaxSize, sheet: s.Sheet, second: s.AfterSheet, edge: s.OutlineSheet},
	}
	f.benchmarks, f.codes, f.leaveOut = pairs(s.Benchmarks), pairs(s.Codes), pairs(s.LeaveOut)
	f.origins, f.apart = pairs(s.GridOrigins), len(s.After) > 0
	for i, text := range f.origins {
		f.origins[i] = strings.TrimPrefix(text, "=") // the origin of the only sheet has no name
	}
	f.marksLater = len(s.After) > 0
	return f
}

// judgedBy returns the flags of flatness for a job.
func judgedBy(j *Job) *judging {
	return &judging{input: inputOf(j), targetFlags: aimOf(j), title: j.Title, tolerance: j.Flatness.Tolerance, straightedges: j.Flatness.Straightedges, rules: j.Flatness.Rules,
		ordered: j.Flatness.Ordered, pass: j.Flatness.GrindPass, yield: j.Flatness.BagYield}
}

// flatnessOf returns the flags of flatness for the survey after the pour, which is
// compared with the floor before and the plane of the job.
func flatnessOf(j *Job, fill *filling, w *Filled) *judging {
	f := judgedBy(j)
	f.leastArea, f.poured, f.targetFlags = LeastMark, true, fill.targetFlags
	f.Files, f.stop = fill.Files, fill.stop
	f.leaveOut = nil // they name shots of the survey before the pour
	f.instrument = j.Survey.AfterInstrument
	f.afterwards = true
	f.ofSecond()
	f.held = w
	return f
}

// afterPour measures the survey after the pour. The instrument was set up again, so rod
// readings without their own height of instrument are on no known zero.
func (f *judging) afterPour(j *Job, watch Watch) (*Judged, error) {
	a, err := f.compute(j.paths(j.Survey.After), watch)
	if err != nil {
		return nil, err
	}
	s := a.Survey
	if rods := s.Book != nil || len(s.Readings) > 0 && s.Readings[0].Measure == survey.Rod; s.Relative && rods {
		return nil, &survey.Error{Pos: survey.Pos{File: s.Name}, Found: "rod readings after the pour without a height of instrument", Want: "one of their own, since the instrument was set up again",
			Hint: `[survey] after-instrument-height = "11.2m", a line HI = 11.2 in the file, or a reading on a benchmark`}
	}
	return a, nil
}

// pairs writes the values of a table as options, in the order of their keys.
func pairs(m map[string]string) (out []string) {
	for _, k := range slices.Sorted(maps.Keys(m)) {
		out = append(out, k+"="+m[k])
	}
	return out
}

// sheetsNamed refuses origins for grid sheets that neither survey of a job has.
func sheetsNamed(j *Job, before, after *survey.Survey) error {
	if name, want := strangeSheet(pairs(j.Survey.GridOrigins), before, after); name != "" {
		return j.Error("survey.grid-origins", name, want)
	}
	return nil
}

// strangeSheet returns the first origin whose name, quoted, is no grid sheet of the
// surveys, and what is wanted; empty if there is none.
func strangeSheet(origins []string, surveys ...*survey.Survey) (name, want string) {
	known := map[string]bool{"": true}
	var names []string
	for _, s := range surveys {
		for _, sheet := range s.Sheets {
			for _, name := range sheet.Names() {
				known[name] = true
			}
			names = append(names, strconv.Quote(cmp.Or(sheet.Name, filepath.Base(sheet.File))))
		}
	}
	for _, text := range origins {
		name, _, named := strings.Cut(text, "=")
		if named && !known[strings.ToUpper(strings.TrimSpace(name))] {
			want := "the text in the corner of a grid sheet, or the name of its file"
			if len(names) > 0 {
				want += "; there are " + strings.Join(names, ", ")
			}
			return strconv.Quote(name), want
		}
	}
	return "", ""
}

// houseRules turns the limits of a job into rows of the table of limits.
func houseRules(j *Job) ([]flatness.Row, error) {
	var rows []flatness.Row
	for i, h := range j.Flatness.House {
		bad := func(found, want string) error {
			return j.Error("flatness.house-rules", fmt.Sprintf("rule %d %s", i+1, found), want)
		}
		row := flatness.Row{Name: h.Name, Standard: "house rule", Class: h.Name, Source: "the job file", Known: "as given", Share: h.SharePercent / 100}
		if h.Name == "" || slices.Contains(RuleNames(), h.Name) {
			return nil, bad(fmt.Sprintf("named %q", h.Name), "a name of its own, which no published rule has")
		}
		if !(row.Share >= 0 && row.Share <= 1) {
			return nil, bad(fmt.Sprintf("with a share of %g %%", h.SharePercent), "0 to 100 %")
		}
		if h.Limit != "" {
			v, err := unit.Parse(h.Limit, unit.None)
			if err != nil || !(v > 0) {
				return nil, bad(fmt.Sprintf("with the limit %q", h.Limit), "a length with its unit, such as 3mm")
			}
			row.Limit = v
		}
		for _, f := range []float64{h.FF, h.FL} {
			if !(f >= 0 && f < 1000) {
				return nil, bad(fmt.Sprintf("with an F-number of %g", f), "F-numbers from 0 to 1000")
			}
		}
		n := len(rows)
		switch {
		case h.Straightedge != "" && row.Limit > 0:
			l, err := unit.Parse(h.Straightedge, unit.None)
			if err != nil || !(l > 0) {
				return nil, bad(fmt.Sprintf("with the straightedge %q", h.Straightedge), "a length with its unit, such as 2m")
			}
			row.Kind, row.Length = flatness.ByStraightedge, l
			rows = append(rows, row)
		case h.Departure && row.Limit > 0:
			row.Kind = flatness.ByDatum
			rows = append(rows, row)
		}
		for _, f := range []struct {
			kind  flatness.Kind
			limit float64
		}{{flatness.ByFF, h.FF}, {flatness.ByFL, h.FL}} {
			if f.limit > 0 {
				one := row
				one.Kind, one.Limit, one.Share = f.kind, f.limit, 0
				rows = append(rows, one)
			}
		}
		if len(rows) == n {
			return nil, bad("without a limit", "straightedge and limit, departure and limit, or ff and fl")
		}
	}
	return rows, nil
}

// unitOf returns the unit of a job, for examples.
func unitOf(j *Job) unit.Length {
	if u, ok := unit.ParseLength(j.Units); ok {
		return u
	}
	return unit.Metre
}

// InJob returns a refusal with the keys of the job for the fields that it names, at the
// place of the key that it is about.
func InJob(j *Job, err error) error {
	return survey.Each(err, func(e *survey.Error) error { return j.refusal(e) })
}

func (j *Job) refusal(e *survey.Error) *survey.Error {
	out := e.Worded(lineIn(unitOf(j)))
	key := "target" // the target as a whole
	if e.Field != "" {
		key = e.Field // the field belongs to a command only
		if f, ok := ByFlag(e.Field); ok {
			key = cmp.Or(j.written[f.Key], f.Key)
		}
		if key == "target.elevation" && e.Of != "" {
			key = "target.parts"
		}
	} else if !e.Usage {
		return out
	}
	if e.Usage {
		out.Pos = j.Error(key, "", "").Pos
	}
	out.Field, out.Usage = "", false
	if !e.NamesField() {
		out.Element = key
		if e.Element != "" {
			out.Element += ": " + e.Element
		}
	}
	return out
}

// lineIn returns a function that writes an option as a line of a job: [target] elevation
// = "99.93ft" for --target 99.93ft. A bare length gets the unit u; a job refuses it
// without one. After a line of the same table the table is not repeated.
func lineIn(u unit.Length) func(o, before unit.Option) string {
	return func(o, before unit.Option) string {
		f, ok := ByFlag(o.Name)
		if !ok {
			return o.String()
		}
		if f.Key == "target.elevation" && strings.Contains(o.Value, "=") {
			f, _ = byKey("target.parts")
		}
		value := f.literal(o.Value, u)
		switch {
		case o.Leave:
			return "leave " + f.Key + " out"
		case value == "":
			return f.Key
		case f.Table() != "" && f.Table() == tableOf(before):
			return f.Name() + " = " + value
		case f.Table() != "":
			return "[" + f.Table() + "] " + f.Name() + " = " + value
		}
		return f.Name() + " = " + value
	}
}

// tableOf returns the table of the line that is written for an option, "" if there is none.
func tableOf(o unit.Option) string {
	f, _ := ByFlag(o.Name)
	return f.Table()
}

// literal writes a value of the field in TOML, "" if there is none.
func (f Field) literal(value string, u unit.Length) string {
	of := f.Value(&Job{}).Addr().Interface()
	if _, is := of.(*bool); is {
		return "true"
	}
	if value == "" {
		return ""
	}
	if f.Length != nil {
		value = withUnit(value, u)
	}
	switch of.(type) {
	case *string:
		return strconv.Quote(value)
	case *[]string, *[]Drain:
		return fmt.Sprintf("[%q]", value)
	case *map[string]string:
		name, is, named := strings.Cut(value, "=")
		if !named {
			name, is = "", value
		}
		return fmt.Sprintf("{ %q = %q }", name, is)
	}
	return value // a number
}
