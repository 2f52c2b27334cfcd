package main

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"pourplane/surface/flatness"
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"

	"github.com/spf13/cobra"
)

type runFlags struct {
	out     string
	verbose bool
}

func newRun() *cobra.Command {
	var f runFlags
	c := &cobra.Command{
		Use:   "run JOB.toml",
		Short: "Make everything that a job file asks for",
		Long: `run reads a job file and makes all of its results into one folder: the record to
hand over as PDF and as one HTML page, the sheet of grade pins, the take-off as a
spreadsheet, the plan as DXF and GeoJSON, maps, the surface, how flat the floor came
out where it was surveyed again, and a manifest with the SHA-256 of every file that
went in and came out. The folder is replaced as a whole or not at all; the same job and files make the
same bytes, whenever they are run.

File names in a job are relative to its folder. pourplane new writes one to begin
with.`,
		Example: `  pourplane new survey.csv --outline walls.csv --target 99.930ft --yes --job hall.toml
  pourplane run hall.toml --out hall`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{fmt.Sprintf("found %d job files, want one", len(args)), "pourplane run JOB.toml"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, files []string) error { return f.run(c, files[0]) },
	}
	c.Flags().StringVar(&f.out, "out", "", "folder `DIR` for the results (default the name of the job, beside it)")
	c.Flags().BoolVar(&f.verbose, "verbose", false, "print everything: how it was worked out, tables, flatness, all notes")
	return c
}

func (f *runFlags) run(c *cobra.Command, name string) error {
	text, err := job.Text(name)
	if err != nil {
		return err
	}
	j, err := job.Read(text, name)
	if err != nil {
		return err
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	from := &disk{sums: &readSums{of: map[string]fileSum{}}}
	done, err := solve(j, from, p.say)
	if err != nil {
		return err
	}
	day, err := j.Day()
	if err != nil {
		return err
	}
	h, err := newHandover(done, day)
	if err != nil {
		return err
	}
	result := runResult{result: newResult(done.work), handoverJSON: h.handoverOf()}
	var flatText []byte
	outputs, err := drawn(done.pictures(), p.say)
	if err != nil {
		return err
	}
	xml, err := done.landXML(day)
	if err != nil {
		return err
	}
	outputs = append(outputs, xml)
	if judged := done.judged; judged != nil {
		one := newFlat(judged)
		result.Flatness = &one
		pictures, err := drawn(judged.pictures(judged.title, judged.style), p.say)
		if err != nil {
			return err
		}
		outputs = append(outputs, output{"places.csv", judged.places(judged.style)})
		outputs = append(outputs, pictures...)
		flatText = append([]byte("\nAfter the pour: "), judged.print(judged.style, "", nil)...)
	}
	data, err := indented(result)
	if err != nil {
		return err
	}
	m, err := newManifest(j, text, day, from.sums)
	if err != nil {
		return err
	}
	h.inputs = m.Inputs
	handed, err := h.files(p.say)
	if err != nil {
		return err
	}
	outputs = slices.Concat([]output{{"result.json", data}}, handed, outputs)
	for _, name := range j.Outputs.Omit {
		rest := slices.DeleteFunc(slices.Clone(outputs), func(o output) bool { return o.name == name })
		if len(rest) == len(outputs) || name == "result.json" {
			return j.Error("outputs.omit", strconv.Quote(name), "files that this job makes and that may be left out: "+strings.Join(names(outputs[1:]), ", "))
		}
		outputs = rest
	}
	for _, o := range outputs {
		m.Outputs = append(m.Outputs, sumOf(o.name, o.data))
	}
	list, err := indented(m)
	if err != nil {
		return err
	}
	outputs = append(outputs, output{"manifest.json", list})
	out := cmp.Or(f.out, strings.TrimSuffix(name, filepath.Ext(name)))
	p.say("writing "+filepath.Base(out), 0, 0)
	if err := replaceFolder(out, outputs, append(j.Inputs(), name)); err != nil {
		return err
	}
	p.end()
	sum := &summary{work: done.work, style: done.style, out: out, verbose: f.verbose, written: outputs}
	if text := h.totalText(); text != "" {
		sum.extra = append(sum.extra, answerRow{head: "Price", text: text})
	}
	if h.judged != nil {
		sum.after, sum.afterNotes = h.judged.verdict(h.style), h.judged.notes
	}
	if err := sum.print(c.OutOrStdout()); err != nil || !f.verbose {
		return err
	}
	if err := h.printTables(c.OutOrStdout()); err != nil {
		return err
	}
	_, err = c.OutOrStdout().Write(flatText)
	return err
}

// keyText is a text of an engine, which names options, as a job names them.
type keyText struct {
	unit.Text
	of unit.Length // of the job, for values without a unit
}

func (t keyText) In(s unit.Style) string { return inKeysWithValues(t.Text.In(s), t.of) }

func keyed(t unit.Text, of unit.Length) unit.Text { return unit.Textf("%s", keyText{t, of}) }

// inFolder names files as the job does, so that its results are the same from
// wherever it is run.
func inFolder(j *job.Job, notes []survey.Note) {
	for i := range notes {
		notes[i].Pos.File = j.AsNamed(notes[i].Pos.File)
	}
}

// unitsSaid refuses lengths of a job without their unit: what 0.5 is must not depend
// on the unit of a survey.
func unitsSaid(j *job.Job) error {
	for _, l := range jobLengths(j) {
		for _, text := range l.texts {
			for _, part := range strings.Split(text, ",") {
				if bare(part) {
					return j.Error(l.key, strconv.Quote(text), "a length with its unit, such as "+suchAs(l.key, text))
				}
			}
		}
	}
	return nil
}

// suchAs writes the lengths under a key with units that the key takes, two at most.
func suchAs(key, text string) string {
	name := "--instrument-height" // the key of the survey after the pour has no option
	for flag, of := range keysOfFlags {
		if of == key {
			name = flag
		}
	}
	all := offers(name, text, []unit.Length{unit.Metre, unit.Foot, unit.Millimetre, unit.Inch})
	if len(all) == 0 {
		return lengthOptions[name].example
	}
	return strings.Join(all[:min(2, len(all))], " or ")
}

// fallSaid refuses a fall of a job that is none, or given twice.
func fallSaid(j *job.Job) error {
	t := &j.Target
	if t.Fall == "" {
		return nil
	}
	if t.FallPercent != 0 {
		return j.Error("target.fall", strconv.Quote(t.Fall)+", and fall-percent as well", "one of the two")
	}
	if _, err := job.ParseSlope(t.Fall); err != nil {
		return j.Error("target.fall", strconv.Quote(t.Fall), strings.TrimPrefix(err.Error(), "want "))
	}
	return nil
}

// jobLength is the lengths that stand under one key of a job.
type jobLength struct {
	key   string
	texts []string
}

// jobLengths lists the lengths of a job that are read as the options of commands are.
func jobLengths(j *job.Job) []jobLength {
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
	return []jobLength{
		{"target.elevation", one(t.Elevation)}, {"target.finish", one(t.Finish)}, {"target.buildup", one(t.Buildup)}, {"target.low", one(t.Low)}, {"target.toward", one(toward)},
		{"target.covering", one(t.Covering)}, {"target.bed-least", one(t.BedLeast)}, {"target.bed-greatest", one(t.BedGreatest)},
		{"survey.instrument-height", one(s.InstrumentHeight)}, {"survey.after-instrument-height", one(s.AfterInstrument)}, {"survey.benchmarks", values(s.Benchmarks)}, {"survey.allow", one(allow)}, {"survey.thin", one(s.Thin)},
		{"survey.grid-spacing", one(s.GridSpacing)}, {"survey.grid-origins", values(s.GridOrigins)},
		{"plant.roughness", one(p.Roughness)}, {"plant.finish-high", one(p.FinishHigh)}, {"plant.line-bore", one(p.LineBore)}, {"plant.line-length", one(p.LineLength)},
		{"flatness.tolerance", one(f.Tolerance)}, {"flatness.grind-pass", one(f.GrindPass)}, {"flatness.straightedges", f.Straightedges},
	}
}

func names(files []output) []string {
	var out []string
	for _, f := range files {
		out = append(out, f.name)
	}
	return out
}

// runResult is the object of fill --json and what a job adds.
type runResult struct {
	result
	handoverJSON
	Flatness *flatJSON `json:"flatness,omitempty"`
}

// fillOf returns the flags of fill that a job stands for.
func fillOf(j *job.Job) *filling {
	f := &filling{input: inputOf(j), targetFlags: aimOf(j), title: j.Title}
	f.allowance = 5
	if a := j.Mix.AllowancePercent; a != nil {
		f.allowance = percent(*a)
	}
	f.step, f.weight = j.Mix.OrderStep, unitWeight(j.UnitWeight())
	p := &j.Plant
	f.plantFlags = plantFlags{p.Roughness, p.FinishHigh, p.LineBore, p.LineLength, p.Hopper, p.Priming, p.Truck, p.ShortLoad}
	f.served = slices.ContainsFunc(j.Materials, func(m job.Material) bool { return !m.CompareOnly })
	f.byBag = j.Mix.PricePerBag != 0
	f.byPlant = j.Mix.PricePerM3+j.Mix.PricePerYd3 != 0 || j.Pace.MixedOnSite || j.Pace.Travel+j.Pace.Discharge+j.Pace.TruckSpacing != ""
	return f
}

// aimOf returns the target of a job.
func aimOf(j *job.Job) targetFlags {
	t := &j.Target
	percent := t.FallPercent
	if t.Fall != "" {
		percent, _ = job.ParseSlope(t.Fall) // it was refused before, where it is none
	}
	return targetFlags{target: t.Elevation, finish: t.Finish, at: t.FinishAt, buildup: t.Buildup, low: t.Low, rule: cmp.Or(t.FinishRule, "lowest"),
		toward: t.Toward, direction: t.FallDirection, covering: t.Covering, bedLeast: t.BedLeast, bedMost: t.BedGreatest, codes: t.FinishCodes, fall: slope(percent)}
}

// siteOf returns what a job says of the floor and the work on it, for the cautions.
func siteOf(j *job.Job) order.Job {
	o := &j.Site
	return order.Job{Grounded: o.Bearing == "ground", Suspended: o.Bearing == "suspended", Heated: o.Heated, Tendons: o.Tensioned, Old: o.OldCovering, Drains: o.Drains, Engines: o.Engines, Doors: o.InUse,
		Pinned: true, Sawn: j.Joints.Length != "", Bagged: slices.ContainsFunc(j.Materials, func(m job.Material) bool { return m.BagYield != "" && !m.CompareOnly })}
}

func inputOf(j *job.Job) input {
	s := &j.Survey
	f := input{
		show: j.Show, outline: j.Path(s.Outline), surface: s.Surface, units: j.Units, order: s.Order, instrument: s.InstrumentHeight, duplicates: cmp.Or(s.Duplicates, "refuse"), zeros: s.Zeros, despite: s.AcceptMisclosure, retriangulate: s.Retriangulate,
		levelFlags: levelFlags{adjust: cmp.Or(s.Adjust, "none"), allow: s.Allow},
		gridFlags:  gridFlags{spacing: s.GridSpacing, letters: s.GridLetters, numbers: s.GridNumbers, values: s.GridValues},
		thinFlags:  thinFlags{cell: s.Thin, keep: cmp.Or(s.ThinKeep, "mean")}, sourceFlags: sourceFlags{maxSize: s.MaxSize, sheet: s.Sheet, edge: s.OutlineSheet},
	}
	f.benchmarks, f.codes, f.leaveOut = pairs(s.Benchmarks), pairs(s.Codes), pairs(s.LeaveOut)
	f.origins, f.apart = pairs(s.GridOrigins), len(s.After) > 0
	for i, text := range f.origins {
		f.origins[i] = strings.TrimPrefix(text, "=") // that of the one sheet has no name
	}
	f.marksLater = len(s.After) > 0
	return f
}

// judgedBy returns the flags of flatness that a job stands for.
func judgedBy(j *job.Job) *judging {
	return &judging{input: inputOf(j), targetFlags: aimOf(j), title: j.Title, tolerance: j.Flatness.Tolerance, straightedges: j.Flatness.Straightedges, rules: j.Flatness.Rules,
		ordered: j.Flatness.Ordered, pass: j.Flatness.GrindPass, yield: j.Flatness.BagYield}
}

// flatnessOf returns the flags of flatness for the survey after the pour, which is
// held against what was placed and against the plane of the job.
func flatnessOf(j *job.Job, fill *filling, w *work) *judging {
	f := judgedBy(j)
	f.leastArea, f.poured, f.targetFlags = leastMark, true, fill.targetFlags
	f.files = fill.files
	f.leaveOut = nil // names of shots before the pour
	f.instrument = j.Survey.AfterInstrument
	f.afterwards = true
	f.held = w
	return f
}

// afterPour measures the survey after the pour. Its instrument was set up anew, so that
// rod readings without a height of instrument of their own are on no known zero.
func (f *judging) afterPour(j *job.Job, watch Watch) (*judged, error) {
	a, err := f.compute(j.Paths(j.Survey.After), watch)
	if err != nil {
		return nil, err
	}
	s := a.survey
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
func sheetsNamed(j *job.Job, before, after *survey.Survey) error {
	if name, want := strangeSheet(pairs(j.Survey.GridOrigins), before, after); name != "" {
		return j.Error("survey.grid-origins", name, want)
	}
	return nil
}

// strangeSheet returns the name of an origin, quoted, that is of no grid sheet of several
// surveys, and what is wanted; empty where there is none.
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
func houseRules(j *job.Job) ([]flatness.Row, error) {
	var rows []flatness.Row
	for i, h := range j.Flatness.House {
		bad := func(found, want string) error {
			return j.Error("flatness.house-rules", fmt.Sprintf("rule %d %s", i+1, found), want)
		}
		row := flatness.Row{Name: h.Name, Standard: "house rule", Class: h.Name, Source: "the job file", Known: "as given", Share: h.SharePercent / 100}
		if h.Name == "" || slices.Contains(ruleNames(), h.Name) {
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

// keysOfFlags says which key of a job stands for a flag, for messages.
var keysOfFlags = func() map[string]string {
	out := map[string]string{}
	for _, f := range job.Fields {
		if f.Flag != "" {
			out["--"+f.Flag] = f.Key
		}
	}
	return out
}()

// unitOf is the unit in which a job is thought of, for examples.
func unitOf(j *job.Job) unit.Length {
	if u, ok := unit.ParseLength(j.Units); ok {
		return u
	}
	return unit.Metre
}

// longestFirst lists the flags that a job has keys for, so that none hides a longer one.
func longestFirst() []string {
	return slices.SortedFunc(maps.Keys(keysOfFlags), func(a, b string) int { return cmp.Or(len(b)-len(a), cmp.Compare(a, b)) })
}

// inKeys writes the keys of a job for the flags in a text.
func inKeys(text string) string {
	for _, flag := range longestFirst() {
		text = strings.ReplaceAll(text, flag, keysOfFlags[flag])
	}
	return text
}

// inJob tells a refusal of a flag as one of the key that stands for it.
func inJob(j *job.Job, err error) error {
	var e *survey.Error
	if errors.As(err, &e) {
		told := *e
		told.Hint = inKeysWithValues(e.Hint, unitOf(j))
		return &told
	}
	var u *usageError
	if !errors.As(err, &u) {
		return err
	}
	text, key := u.text, "target"
	for _, flag := range longestFirst() {
		if strings.HasPrefix(text, flag+":") || strings.HasPrefix(text, flag+" ") {
			key = keysOfFlags[flag]
			if rest := strings.TrimLeft(text[len(flag):], ": "); !strings.HasPrefix(rest, "and ") {
				text = rest
			}
			break
		}
	}
	told := j.Error(key, "", inKeys(text))
	told.Hint = inKeysWithValues(u.hint, unitOf(j))
	return told
}

const program = "pourplane"

// manifest lists what went into a result and what came out.
type manifest struct {
	Program string    `json:"program"`
	Version string    `json:"version"`
	Job     string    `json:"job"`
	Date    string    `json:"date"`
	Inputs  []fileSum `json:"inputs"`
	Outputs []fileSum `json:"outputs"`
}

type fileSum struct {
	Name   string `json:"name"`
	Bytes  int    `json:"bytes"`
	SHA256 string `json:"sha256"`
}

func sumOf(name string, b []byte) fileSum {
	h := sha256.Sum256(b)
	return fileSum{filepath.ToSlash(name), len(b), hex.EncodeToString(h[:])}
}

func newManifest(j *job.Job, text []byte, day time.Time, read *readSums) (manifest, error) {
	m := manifest{Program: program, Version: version, Job: j.Title, Date: day.Format(time.DateOnly), Inputs: []fileSum{sumOf(filepath.Base(j.Name()), text)}}
	if read.err != nil {
		return m, read.err
	}
	for _, name := range j.FilesNamed() {
		sum, ok := read.of[j.Path(name)]
		if !ok {
			return m, &survey.Error{Pos: survey.Pos{File: j.Path(name)}, Found: "a file that nothing was read of", Want: "inputs that the job uses"}
		}
		sum.Name = filepath.ToSlash(name)
		m.Inputs = append(m.Inputs, sum)
	}
	return m, nil
}
