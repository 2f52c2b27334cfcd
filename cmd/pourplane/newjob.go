package main

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"pourplane/cmd/pourplane/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

type newFlags struct {
	units, outline, target, finish, buildup, low, title, job, order string
	instrument, zeros                                               string
	benchmarks                                                      []string
	yes                                                             bool
}

func newNew() *cobra.Command {
	var f newFlags
	c := &cobra.Command{
		Use:   "new SURVEY...",
		Short: "Write a job file for a floor",
		Long: `new reads the surveys of a floor, asks what they do not say, and writes a job file
with a comment to every key. --yes asks nothing and takes what the options and the
files say.`,
		Example: `  pourplane new survey.csv --outline walls.csv --job hall.toml
  pourplane new survey.csv --outline walls.csv --target 99.930ft --yes --job hall.toml`,
		Args: someFiles,
		RunE: func(c *cobra.Command, files []string) error { return f.run(c, files) },
	}
	s := c.Flags()
	s.StringVar(&f.job, "job", "", "the job `FILE` to write, such as hall.toml")
	s.BoolVar(&f.yes, "yes", false, "ask nothing")
	s.StringVar(&f.units, "units", "", "unit `U` of lengths that the files give without one: m, cm, mm, ft, ftUS or in")
	s.StringVar(&f.order, "order", "", "`ORDER` of the columns of a file without header")
	s.StringVar(&f.outline, "outline", "", "outline `FILE`")
	s.StringVar(&f.zeros, "zeros", "", "heights of exactly 0: `RULE` measured or missing")
	s.StringArrayVar(&f.benchmarks, "benchmark", nil, "elevation of a benchmark, as `NAME=ELEV` (repeatable)")
	s.StringVar(&f.instrument, "instrument-height", "", "elevation `H` of the line of sight, for rod readings")
	s.StringVar(&f.target, "target", "", "elevation `Z` of the target plane (top of fill)")
	s.StringVar(&f.finish, "finish", "", "elevation `Z` of the finished floor to meet")
	s.StringVar(&f.buildup, "buildup", "", "thickness `H` of covering and bed above the fill, with --finish")
	s.StringVar(&f.low, "low", "", "how far `H` to stay low, with --finish")
	s.StringVar(&f.title, "title", "", "`TEXT` at the head of maps and pages")
	return c
}

func (f *newFlags) run(c *cobra.Command, files []string) error {
	if f.job == "" {
		return &usageError{"no name for the job file", "--job hall.toml"}
	}
	if _, err := os.Stat(f.job); err == nil {
		return &survey.Error{Pos: survey.Pos{File: f.job}, Found: "a file of that name", Want: "a new one: job files are written by hand from then on, and never over", Hint: "--job OTHER.toml"}
	}
	in := input{outline: f.outline, units: f.units, order: f.order, benchmarks: f.benchmarks, instrument: f.instrument, duplicates: "refuse", zeros: f.zeros, levelFlags: levelFlags{adjust: "none"}, thinFlags: thinFlags{keep: "mean"}}
	var ask *asker
	if !f.yes {
		ask = &asker{in: bufio.NewScanner(c.InOrStdin()), out: c.OutOrStdout()}
	}
	p := newProgress(c.ErrOrStderr())
	s, err := f.understand(&in, files, ask, p)
	p.end()
	if err != nil {
		return err
	}
	d := job.Draft{Title: cmp.Or(f.title, strings.TrimSuffix(filepath.Base(files[0]), filepath.Ext(files[0]))), Units: in.units, Order: in.order, Target: f.target, Finish: f.finish, Buildup: f.buildup, Low: f.low,
		Imperial: s.Unit.Imperial(), Date: today(), Benchmarks: map[string]string{}, InstrumentHeight: in.instrument, Zeros: in.zeros}
	for _, b := range in.benchmarks {
		name, elevation, _ := strings.Cut(b, "=")
		if d.Benchmarks[name], err = in.given.stated("--benchmark "+name, elevation); err != nil {
			return err
		}
	}
	if ask != nil {
		if err := f.askRest(&d, s, ask); err != nil {
			return err
		}
	}
	if d.Target == "" && d.Finish == "" && len(d.FinishCodes) == 0 {
		return &usageError{"no target: how high shall the fill come?", "--target Z, or --finish Z --buildup H"}
	}
	relative := func(name string) (string, error) {
		if name == "" {
			return "", nil
		}
		a, err := filepath.Abs(filepath.Dir(f.job))
		if err != nil {
			return "", err
		}
		b, err := filepath.Abs(name)
		if err != nil {
			return "", err
		}
		r, err := filepath.Rel(a, b)
		return filepath.ToSlash(r), err
	}
	for _, name := range files {
		r, err := relative(name)
		if err != nil {
			return err
		}
		d.Files = append(d.Files, r)
	}
	if d.Outline, err = relative(f.outline); err != nil {
		return err
	}
	for _, l := range []struct {
		flag string
		text *string
	}{{"--target", &d.Target}, {"--finish", &d.Finish}, {"--buildup", &d.Buildup}, {"--low", &d.Low}, {"--instrument-height", &d.InstrumentHeight}} {
		if *l.text == "" {
			continue
		}
		if _, err := in.given.parse(l.flag, *l.text); err != nil {
			return err
		}
		if *l.text, err = in.given.stated(l.flag, *l.text); err != nil {
			return err
		}
	}
	text := d.Text()
	j, err := job.Read([]byte(text), f.job)
	if err != nil {
		return fmt.Errorf("an answer does not fit into a job file: %w", err)
	}
	// A job that run would refuse is not written.
	if err := unitsSaid(j); err != nil {
		return err
	}
	trial := fillOf(j)
	if err := trial.check(); err != nil {
		return err
	}
	if _, err := trial.compute(j.Paths(j.Survey.Files), p); err != nil {
		return err
	}
	if err := writeAll(filepath.Dir(f.job), []output{{filepath.Base(f.job), []byte(text)}}, files); err != nil {
		return err
	}
	_, err = fmt.Fprintf(c.OutOrStdout(), "%s written. Look through it, then: pourplane run %s\n", f.job, f.job)
	return err
}

// understand reads the surveys, and asks for what they lack: ask is nil where nothing
// is to be asked.
func (f *newFlags) understand(in *input, files []string, ask *asker, p *progress) (*survey.Survey, error) {
	asked := map[string]bool{}
	for {
		s, err := in.read(files, p)
		p.end()
		if ask == nil {
			return s, err
		}
		if err == nil {
			if s.Relative && s.Served.Rods && in.instrument == "" && !asked["--instrument-height"] {
				asked["--instrument-height"] = true
				in.instrument = ask.ask("Height of instrument (elevation of the line of sight), with its unit; empty: levels relative to each other", "", aLength)
				if in.instrument != "" {
					continue
				}
			}
			return s, ask.err
		}
		// Each refusal names the option that answers it.
		var answered bool
		for _, q := range []struct {
			flag, question string
			want           func(string) string
			answer         func(string)
		}{
			{"--units", "Unit of the lengths in " + filepath.Base(files[0]) + ": m, cm, mm, ft, ftUS or in", aUnit, func(a string) { in.units = a }},
			{"--order", "Order of the columns, such as PNEZD or XYZ", anything, func(a string) { in.order = a }},
			{"--benchmark", "A benchmark and its elevation, such as BM1=100ft", aBenchmark, func(a string) { in.benchmarks = append(in.benchmarks, a) }},
			{"--instrument-height", "Height of instrument (elevation of the line of sight), with its unit", aLength, func(a string) { in.instrument = a }},
		} {
			if asked[q.flag] || !slices.ContainsFunc(hintsOf(err), func(h string) bool { return strings.Contains(h, q.flag) }) {
				continue
			}
			asked[q.flag] = true
			if _, wrong := fmt.Fprintf(ask.out, "%s\n", printable(err.Error())); wrong != nil {
				return nil, wrong
			}
			if a := ask.ask(q.question, "", q.want); a != "" {
				q.answer(a)
				answered = true
			}
			break
		}
		if !answered {
			return nil, cmp.Or(ask.err, err)
		}
	}
}

// hintsOf lists what an error says to type.
func hintsOf(err error) []string {
	hints := survey.Hints(err)
	var u *usageError
	if errors.As(err, &u) {
		hints = append(hints, u.hint)
	}
	return hints
}

// askRest asks what no survey says: title, target, walls and what the floor bears on.
func (f *newFlags) askRest(d *job.Draft, s *survey.Survey, ask *asker) error {
	d.Title = ask.ask("Title of the job", d.Title, anything)
	for d.Target == "" && d.Finish == "" && len(d.FinishCodes) == 0 && !ask.over {
		d.Target = ask.ask("Elevation of the target plane, with its unit; empty: from the finished floor", "", aLength)
		if d.Target != "" {
			break
		}
		if codes := codesOf(s.Finished); len(codes) > 0 {
			if ask.ask(fmt.Sprintf("Take the finished floor from the %s of %s", plural(len(s.Finished), "shot"), strings.Join(codes, ", ")), "yes", yesOrNo) == "yes" && !ask.over {
				d.FinishCodes = codes
			}
		}
		if len(d.FinishCodes) == 0 {
			d.Finish = ask.ask("Elevation of the finished floor to meet", "", aLength)
		}
		if d.Finish != "" || len(d.FinishCodes) > 0 {
			d.Buildup = cmp.Or(d.Buildup, ask.ask("Thickness of covering and bed above the fill", "", aLength))
			d.Low = cmp.Or(d.Low, ask.ask("How far to stay low", "", aLength))
		}
	}
	if f.outline == "" && len(s.Rings) == 0 {
		f.outline = ask.ask("Outline file; empty: the hull of the shots", "", aFile)
	}
	d.Bearing = ask.ask("Does the floor bear on the ground or is it suspended: ground, suspended, or empty if nobody knows", "", aBearing)
	if ask.err != nil {
		return fmt.Errorf("the answers cannot be read: %w", ask.err)
	}
	return nil
}

// today is the date that a new job bears: that of SOURCE_DATE_EPOCH where it is set.
func today() time.Time {
	if s, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64); err == nil {
		return time.Unix(s, 0).UTC()
	}
	return time.Now()
}

// asker asks questions on a terminal, or of a pipe.
type asker struct {
	in   *bufio.Scanner
	out  io.Writer
	over bool // no more answers come
	err  error
}

// ask returns the answer, def where it is empty or there are no more. An answer that
// cannot be is asked for again; want says what can.
func (a *asker) ask(question, def string, want func(string) string) string {
	if a.err != nil {
		return def
	}
	if def != "" {
		question += " [" + def + "]"
	}
	for {
		if _, a.err = fmt.Fprintf(a.out, "%s: ", question); a.err != nil || !a.in.Scan() {
			a.over, a.err = true, cmp.Or(a.err, a.in.Err())
			return def
		}
		answer := cmp.Or(strings.TrimSpace(a.in.Text()), def)
		wanted := want(answer)
		if answer == "" || wanted == "" {
			return answer
		}
		if _, a.err = fmt.Fprintf(a.out, "found %q, want %s\n", answer, wanted); a.err != nil {
			return def
		}
	}
}

// What an answer may be: each says what is wanted, or nothing of one that will do.
func anything(string) string { return "" }

func aLength(text string) string {
	if _, err := unit.Parse(text, unit.None); err != nil {
		return "a length with its unit, such as 10.02m or 99.93ft"
	}
	return ""
}

func aUnit(text string) string {
	if _, ok := unit.ParseLength(text); !ok {
		return "m, cm, mm, ft, ftUS or in"
	}
	return ""
}

func aBenchmark(text string) string {
	name, elevation, ok := strings.Cut(text, "=")
	if !ok || name == "" || aLength(elevation) != "" {
		return "NAME=ELEVATION with its unit, such as BM1=100ft"
	}
	return ""
}

func aFile(name string) string {
	if info, err := os.Stat(name); err != nil || info.IsDir() {
		return "a file that is there"
	}
	return ""
}

func aBearing(text string) string {
	if text == "ground" || text == "suspended" {
		return ""
	}
	return "ground, suspended, or nothing"
}

func yesOrNo(text string) string {
	if text == "yes" || text == "no" {
		return ""
	}
	return "yes or no"
}

// codesOf lists the codes of shots, each once.
func codesOf(points []survey.Point) []string {
	var out []string
	for _, p := range points {
		if p.Code != "" && !slices.Contains(out, p.Code) {
			out = append(out, p.Code)
		}
	}
	return out
}
