package job

import (
	"slices"
	"strconv"
	"strings"

	"pourplane/surface/uncertainty"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// errorFlags are how exact the readings of a survey are, as options.
type errorFlags struct{ reading, setup string }

// Accuracy is how exact the readings of a survey are: standard deviations, m.
type Accuracy struct {
	Reading, Setup           float64
	ReadingGiven, SetupGiven bool            // by the user; else as usual
	Way                      uncertainty.Way // of measuring
	TakenAsScan              int             // points of a file that does not say how they were measured, so many or so close that it is taken as a scan; 0: other
	Step                     float64         // that the readings were rounded to, part of Reading unless that is given; 0: none found
}

// accuracy returns how exact the readings of s are, by the options, or as usual for the way
// they were measured.
func (f *input) accuracy(s *survey.Survey) (a Accuracy, err error) {
	a = Accuracy{Way: f.wayOf(s), Setup: uncertainty.UsualSetup}
	if a.Way == uncertainty.ByScan && !f.saidScan(s) {
		a.TakenAsScan = len(s.Points)
	}
	a.Step = uncertainty.Step(heightsRead(s), s.Unit.Imperial())
	a.Reading = uncertainty.Rounded(uncertainty.Usual(a.Way), a.Step)
	if f.reading != "" {
		if a.Reading, err = f.given.Parse("reading-sd", f.reading); err != nil {
			return a, err
		}
		a.ReadingGiven = true
	}
	if f.setup != "" {
		if a.Setup, err = f.given.Parse("setup-sd", f.setup); err != nil {
			return a, err
		}
		a.SetupGiven = true
	}
	return a, nil
}

// mostUsual is the error above which one that is given is doubted, m. Own choice: a rod read to the
// nearest 0.1 ft, coarser than any floor is shot, has 0.1 ft/√12 = 8.8 mm.
const mostUsual = 0.010

// notes warns of errors that no instrument for floors has, and says where points were taken as those
// of a scan by their number or their spacing.
func (a Accuracy) notes(about survey.Topic) (out []survey.Note) {
	if a.TakenAsScan > 0 && !a.ReadingGiven {
		out = append(out, survey.Notef(survey.Assumed, survey.Pos{}, "%d points, as close or as many as a scan has: the reading error is assumed as that of a scan, %s", a.TakenAsScan, SD(a.Reading)).About(about))
	}
	for _, of := range []struct {
		what      string
		given     bool
		sd, usual float64
	}{{"reading", a.ReadingGiven, a.Reading, uncertainty.Usual(a.Way)}, {"set-up", a.SetupGiven, a.Setup, uncertainty.UsualSetup}} {
		if of.given && of.sd > mostUsual {
			out = append(out, survey.Notef(survey.Warning, survey.Pos{}, "the %s error is given as %s; usual is %s, and no rod, laser or scan for floors has more than %s: check the figure and its unit. Every ± follows from it",
				of.what, SD(of.sd), SD(of.usual), SD(mostUsual)).About(about))
		}
	}
	return out
}

// wayOf returns how the heights of s were measured. A text file says nothing of a scan: one that is
// thinned, or has points closer or more than anyone shoots, is taken as one.
func (f *input) wayOf(s *survey.Survey) uncertainty.Way {
	const mostShots = 10_000 // own choice: weeks of work with a rod or a prism
	switch {
	case s.Book != nil || s.Served.Rods || s.Relative:
		return uncertainty.ByRod
	case f.saidScan(s), len(s.Points) > mostShots, isDense(s.Points):
		return uncertainty.ByScan
	}
	return uncertainty.ByElevation
}

// saidScan reports whether the format of a file, or the thinning of it, says that it is a scan.
func (f *input) saidScan(s *survey.Survey) bool {
	scanned := func(format string) bool {
		return format == "cells" || strings.HasPrefix(format, "LAS") || strings.HasPrefix(format, "PLY")
	}
	return f.cell != "" || scanned(s.Format) || slices.ContainsFunc(s.Files, func(f survey.Source) bool { return scanned(f.Format) })
}

// heightsRead returns the heights of s as they were read: in the file, before any height of
// instrument is applied, where those are kept.
func heightsRead(s *survey.Survey) []float64 {
	var out []float64
	for _, r := range s.Readings {
		out = append(out, r.Value)
	}
	if out == nil {
		for _, p := range s.Points {
			out = append(out, p.Z)
		}
	}
	for _, r := range s.Runs {
		for _, z := range r.Stations {
			out = append(out, z.Z)
		}
	}
	return out
}

// SD is a standard deviation in a sentence, m: it is finer than anything that is set out.
type SD float64

func (v SD) In(s unit.Style) string {
	if s.Imperial {
		return strconv.FormatFloat(float64(v)/unit.Inch.Metres(), 'f', 3, 64) + `"`
	}
	return strconv.FormatFloat(1000*float64(v), 'f', 1, 64) + " mm"
}

func (v SD) String() string { return v.In(unit.Style{}) }
