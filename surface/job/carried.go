package job

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// sameBenchmark is the max difference, m, between two elevations of one benchmark that
// still agree: the difference between two ways to write one elevation, as in a level
// book.
const sameBenchmark = 1e-4

// afterCarried measures the survey after the pour. Benchmarks without an elevation in it
// take the one from the survey before the pour. A different elevation of its own is
// refused.
func (f *judging) afterCarried(j *Job, before *Filled, watch Watch) (*Judged, error) {
	a, err := f.afterPour(j, watch)
	if stopped := f.stopped(); stopped != nil {
		return nil, stopped
	}
	known := knownBenchmarks(j, before.Survey)
	if err == nil {
		if err := sameElevations(j, known, a.Survey.Stated()); err != nil {
			return nil, survey.ErrorIn(err, StyleOf(before.Survey, j.Show))
		}
		own := a.Survey.Stated()
		if b := a.Survey.Book; b != nil {
			own = append(own, b.Benchmarks...)
		}
		known = slices.DeleteFunc(known, func(b survey.Benchmark) bool { return benchmarkNamed(own, b.Name) != nil || !reads(a.Survey, b.Name) })
	}
	if len(known) == 0 {
		return a, err
	}
	named := func(of func(survey.Benchmark) bool) unit.Text {
		var out []unit.Text
		for _, b := range known {
			if of(b) {
				out = append(out, unit.Textf("%s at %s", b.Name, unit.Elevation(b.Elevation)))
			}
		}
		return unit.Join(out, ", ")
	}
	for _, b := range known {
		f.benchmarks = append(f.benchmarks, fmt.Sprintf("%s=%.6fm", b.Name, b.Elevation))
	}
	again, errAgain := f.afterPour(j, watch)
	if errAgain != nil {
		if err == nil {
			err = errAgain
			var e *survey.Error
			if errors.As(errAgain, &e) {
				with := *e
				err = with.AlsoFound(", with %s from the survey before the pour", named(func(survey.Benchmark) bool { return true }))
			}
		}
		return nil, err
	}
	if err := sameElevations(j, known, again.Survey.Stated()); err != nil {
		return nil, survey.ErrorIn(err, StyleOf(before.Survey, j.Show))
	}
	carried := named(func(b survey.Benchmark) bool { return reads(again.Survey, b.Name) })
	again.Notes = append(again.Notes, survey.Notef(survey.Assumed, survey.Pos{}, "benchmarks as in the survey before the pour: %s", carried))
	return again, nil
}

// knownBenchmarks lists the benchmarks of a survey whose elevation the job does not
// give.
func knownBenchmarks(j *Job, s *survey.Survey) []survey.Benchmark {
	all := s.Stated()
	if s.Book != nil {
		for _, b := range s.Book.Benchmarks {
			if benchmarkNamed(all, b.Name) == nil {
				all = append(all, b)
			}
		}
	}
	return slices.DeleteFunc(all, func(b survey.Benchmark) bool {
		for name := range j.Survey.Benchmarks {
			if strings.EqualFold(name, b.Name) {
				return true
			}
		}
		return strings.Contains(b.Name, "=")
	})
}

// sameElevations refuses a benchmark whose elevation differs between the survey before
// the pour and the one after it.
func sameElevations(j *Job, before, after []survey.Benchmark) error {
	for _, b := range before {
		a := benchmarkNamed(after, b.Name)
		if a == nil || math.Abs(a.Elevation-b.Elevation) <= sameBenchmark {
			continue
		}
		was := b.At
		was.File = j.asNamed(was.File)
		return InJob(j, (&survey.Error{Pos: a.At, Element: "benchmark " + a.Name}).Measured(
			unit.Textf("%s after the pour, %s before it (%s)", unit.Elevation(a.Elevation), unit.Elevation(b.Elevation), was),
			unit.Textf("one elevation"),
			unit.Textf("correct the one that is wrong; or give the one that holds for both: [survey] benchmarks = { %s = \"%s\" }", strconv.Quote(b.Name), unit.Elevation(b.Elevation))))
	}
	return nil
}

func benchmarkNamed(all []survey.Benchmark, name string) *survey.Benchmark {
	for i := range all {
		if strings.EqualFold(all[i].Name, name) {
			return &all[i]
		}
	}
	return nil
}

// reads reports whether a survey has a reading on a point of that name.
func reads(s *survey.Survey, name string) bool {
	same := func(p survey.Point) bool { return strings.EqualFold(p.Name(), name) }
	return slices.ContainsFunc(s.Marks(true), func(m string) bool { return strings.EqualFold(m, name) }) || benchmarkNamed(s.Stated(), name) != nil ||
		s.Book == nil && len(s.Readings) > 0 && slices.ContainsFunc(slices.Concat(s.Control, s.Points), same)
}
