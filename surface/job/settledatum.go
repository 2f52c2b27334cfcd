package job

import (
	"math"
	"slices"
	"strings"

	"pourplane/surface/settlement"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// oneInstrument refuses one height of instrument for several surveys: the instrument is set up
// anew each time.
func (f *settling) oneInstrument() error {
	if f.instrument == "" {
		return nil
	}
	// No file is read yet: the unit is that of the option, or not known.
	elevation, line := "ELEV", "HI = ELEV"
	switch u := f.given.asked; {
	case imperial(f.instrument) || bare(f.instrument) && u.Imperial():
		elevation, line = "100ft", "such as HI = 104.25"
	case !bare(f.instrument) || u != unit.None:
		elevation, line = "100m", "such as HI = 11.500"
	}
	return misuse("instrument-height", "one height of instrument for surveys of several days: the instrument is set up anew each time").
		Hinted("a row BM1 with its rod reading in each file, and %s; or elevations; or a line %s in each", unit.Ask("benchmark", "BM1="+elevation), line)
}

// tieable refuses a survey whose heights are on no known zero.
func (f *settling) tieable(s *survey.Survey) error {
	if !s.Relative {
		return nil
	}
	if len(f.benchmarks) > 0 {
		var names []string
		for _, text := range f.benchmarks {
			name, _, _ := strings.Cut(text, "=")
			names = append(names, name)
		}
		return &survey.Error{Pos: survey.Pos{File: s.Name}, Found: "no reading on " + strings.Join(names, ", "), Want: "a benchmark that is read in every file, spelt as there", Hint: "pourplane read shows the file"}
	}
	return (&survey.Error{Pos: survey.Pos{File: s.Name}, Found: "heights without an elevation: nothing ties them to another survey", Want: "in every survey a reading on one benchmark"}).
		Hinted("a row BM1 with its rod reading in each file, and %s, or its elevation in place of 100", survey.BenchmarkOption("BM1", s.Unit))
}

// benchmarksOf lists the benchmarks of a survey with their elevations: known ones of a
// level book, stated ones, given ones beside a grid sheet, and control points of a list of
// elevations.
func (f *settling) benchmarksOf(s *survey.Survey) ([]survey.Benchmark, error) {
	all := s.Stated()
	for _, text := range f.benchmarks {
		name, elevation, _ := strings.Cut(text, "=")
		if !slices.ContainsFunc(s.Served.Marks, func(m string) bool { return strings.EqualFold(m, name) }) {
			continue
		}
		z, err := f.given.Parse("benchmark "+name, elevation)
		if err != nil {
			return nil, err
		}
		all = append(all, survey.Benchmark{Name: name, Elevation: z, At: survey.Pos{File: s.Name}})
	}
	if s.Book != nil {
		all = append(all, s.Book.Benchmarks...)
	} else {
		for _, p := range s.Control {
			if p.HasZ() && p.Name() != "" {
				all = append(all, survey.Benchmark{Name: p.Name(), Elevation: p.Z, At: p.At()})
			}
		}
	}
	var out []survey.Benchmark
	for _, b := range all {
		if benchmarkNamed(out, b.Name) == nil {
			out = append(out, b)
		}
	}
	return out, nil
}

// tie finds the benchmark that the surveys have in common. One with two elevations is
// refused, and so are surveys without a common one, unless the user states that the
// elevations are on one datum.
func (f *settling) tie(r *Settled) error {
	var marks [][]survey.Benchmark
	for _, v := range r.Visits {
		known, err := f.benchmarksOf(v.Survey)
		if err != nil {
			return err
		}
		marks = append(marks, known)
	}
	var common []survey.Benchmark
	for _, b := range marks[0] {
		in := true
		for _, others := range marks[1:] {
			o := benchmarkNamed(others, b.Name)
			if o == nil {
				in = false
				continue
			}
			if math.Abs(o.Elevation-b.Elevation) <= sameBenchmark {
				continue
			}
			in = false
			if !f.sameDatum {
				return (&survey.Error{Pos: o.At, Element: "benchmark " + o.Name}).Measured(
					unit.Textf("%s, and %s in %s", unit.FineLevel(o.Elevation), unit.FineLevel(b.Elevation), b.At),
					unit.Textf("one elevation in all surveys"),
					unit.Textf("correct the one that is wrong; if both were measured from one datum, %s", unit.Flag("same-datum")))
			}
			r.Notes = append(r.Notes, survey.Notef(survey.Warning, o.At, "%s is at %s, and at %s in %s: the surveys may differ by that much", o.Name, unit.FineLevel(o.Elevation), unit.FineLevel(b.Elevation), b.At))
		}
		if in {
			common = append(common, b)
		}
	}
	all := "both"
	if len(r.Visits) > 2 {
		all = "all"
	}
	switch {
	case len(common) > 0 && f.sameDatum:
		return misuse("same-datum", "%s has one elevation in every survey already", common[0].Name).Hinted("%s", unit.LeaveOut("same-datum"))
	case len(common) > 0:
		r.Mark = common[0].Name
		r.Basis = unit.Textf("%s on %s at %s", all, common[0].Name, unit.Elevation(common[0].Elevation))
		return nil
	case f.sameDatum:
		r.Basis = unit.Textf("elevations stated to be on one datum: no benchmark shows it")
		return nil
	}
	var found []string
	for i, v := range r.Visits {
		var names []string
		for _, b := range marks[i] {
			names = append(names, b.Name)
		}
		slices.Sort(names)
		if len(names) == 0 {
			names = []string{"none"}
		}
		found = append(found, v.Name+": "+strings.Join(names[:min(3, len(names))], ", "))
	}
	return (&survey.Error{Found: "no benchmark that every survey has (" + strings.Join(found, "; ") + ")", Want: "one benchmark, by the same name, in each survey"}).
		Hinted("write its row in each file; if the elevations of all are on one datum all the same, %s", unit.Flag("same-datum"))
}

// tooFewPlaces refuses surveys with too few places in common, and too few shots to compare their
// surfaces.
func tooFewPlaces(r *Settled, m *matcher) error {
	last := len(r.Visits) - 1
	first, latest, both := r.commonPlaces()
	e := &survey.Error{Pos: survey.Pos{File: r.Visits[last].Survey.Name}}
	e = e.Measured(unit.Textf("%d of its %s at a place of %s (%s)", both, survey.Plural(latest, "shot"), r.Visits[0].Survey.Name, survey.Plural(first, "shot")),
		unit.Textf("at least %d places read in both: shots of one name within %s of each other, or any within %s", settlement.Fewest, unit.Either{Metric: "100 mm", US: `4"`}, unit.Either{Metric: "50 mm", US: `2"`}), unit.Text{})
	if len(m.apart) > 0 {
		return e.Hinted("%s is %s from its place in the earlier survey: are x and y of both on one grid?", m.apart[0].name, unit.Distance(m.apart[0].distance))
	}
	return e.Hinted("read the places of the first survey again; are x and y of both on one grid?")
}
