package main

import (
	"cmp"
	"strconv"
	"strings"

	"pourplane/surface/job"
)

// surveyKeys writes the options of input as a job has them, lengths with their units;
// [inputOf] reads them. Files and outline are left to the caller.
func (f *input) surveyKeys(given *lengths) (job.Survey, error) {
	or := func(text, usual string) string {
		if text == usual {
			return ""
		}
		return text
	}
	s := job.Survey{Surface: f.surface, Order: f.order, InstrumentHeight: f.instrument, Duplicates: or(f.duplicates, "refuse"), Zeros: f.zeros, Adjust: or(f.adjust, "none"), Allow: f.allow, AcceptMisclosure: f.despite,
		GridSpacing: f.spacing, GridNumbers: f.numbers, GridLetters: f.letters, GridValues: f.values, Retriangulate: f.retriangulate, Thin: f.cell, ThinKeep: or(f.keep, "mean"), MaxSize: f.maxSize, Sheet: f.sheet, OutlineSheet: f.edge,
		Benchmarks: byName(f.benchmarks), Codes: byName(f.codes), LeaveOut: byName(f.leaveOut), GridOrigins: byName(f.origins)}
	err := given.stateAll(optionText{"--instrument-height", &s.InstrumentHeight}, optionText{"--allow", &s.Allow}, optionText{"--grid-spacing", &s.GridSpacing}, optionText{"--thin", &s.Thin})
	for flag, all := range map[string]map[string]string{"--benchmark": s.Benchmarks, "--grid-origin": s.GridOrigins} {
		for name, text := range all {
			of := flag
			if flag == "--benchmark" {
				of += " " + name
			}
			with, wrong := given.stated(of, text)
			all[name], err = with, cmp.Or(err, wrong)
		}
	}
	return s, err
}

// targetKeys writes the options of the target as a job has them, likewise.
func (f *targetFlags) targetKeys(given *lengths) (job.Target, error) {
	t := job.Target{Elevation: f.target, Finish: f.finish, FinishCodes: f.codes, FinishAt: f.at, Buildup: f.buildup, Low: f.low, Toward: f.toward, FallDirection: f.direction, Covering: f.covering, BedLeast: f.bedLeast, BedGreatest: f.bedMost}
	if f.rule != "lowest" {
		t.FinishRule = f.rule
	}
	if f.fall != 0 {
		t.Fall = f.fall.text()
	}
	all := []optionText{{"--target", &t.Elevation}, {"--finish", &t.Finish}, {"--buildup", &t.Buildup}, {"--low", &t.Low}, {"--covering", &t.Covering}, {"--bed-least", &t.BedLeast}, {"--bed-greatest", &t.BedGreatest}}
	if strings.Contains(t.Toward, ",") {
		all = append(all, optionText{"--toward", &t.Toward}) // else a direction, or the name of a shot
	}
	return t, given.stateAll(all...)
}

// optionText is an option and what was given for it.
type optionText struct {
	flag string
	text *string
}

// stateAll writes the lengths of options with their units.
func (l *lengths) stateAll(all ...optionText) error {
	var err error
	for _, one := range all {
		with, wrong := l.stated(one.flag, *one.text)
		*one.text, err = with, cmp.Or(err, wrong)
	}
	return err
}

// byName turns NAME=VALUE into keys and values; a value alone has the name "".
func byName(all []string) map[string]string {
	out := map[string]string{}
	for _, text := range all {
		name, value, named := strings.Cut(text, "=")
		if !named {
			name, value = "", text
		}
		out[name] = value
	}
	return out
}

// text writes a slope so that reading it gives the same again: 1.5% or 1:60.
func (p slope) text() string {
	percent := strconv.FormatFloat(float64(p), 'f', -1, 64) + "%"
	ratio := "1:" + strconv.FormatFloat(100/float64(p), 'f', 0, 64)
	if v, err := job.ParseSlope(ratio); err == nil && v == float64(p) && len(ratio) < len(percent) {
		return ratio
	}
	return percent
}
