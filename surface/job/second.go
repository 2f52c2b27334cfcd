package job

import (
	"cmp"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// apartFrom refuses two surveys of a floor, before the pour and after it, that are the
// same: nothing would be placed, and the old floor would be judged as the new one.
// second is the first survey read with the sheet of the second.
func (f *judging) apartFrom(before, after, second *survey.Survey) error {
	at, same := sameShot(before, after)
	if !same {
		if f.second == "" || second.Served.Sheet {
			return nil
		}
		return misuse("before-sheet", "%s is for a workbook (XLSX), and %s is not one", unit.Ask("before-sheet", ""), second.Name).Hinted("%s", unit.LeaveOut("before-sheet"))
	}
	e := &survey.Error{Pos: survey.Pos{File: cmp.Or(at.File, after.Name), Sheet: at.Sheet}, Want: "the survey after the pour is the same as before"}
	switch {
	case at.Sheet != "" && len(second.Served.Left) > 0:
		others := slices.DeleteFunc(slices.Clone(second.Served.Left), func(q string) bool { return strings.EqualFold(q, f.edge) })
		if len(others) == 1 {
			return e.Hinted("%s", unit.AskQuoted("before-sheet", others[0]))
		}
		for i, name := range others {
			others[i] = strconv.Quote(name)
		}
		return e.Hinted("%s, one of %s", unit.Ask("before-sheet", "NAME"), strings.Join(others, ", "))
	case f.held != nil:
		e.Hint = "survey.files names the floor before the pour, survey.after the same floor after it"
	default:
		return e.Hinted("%s FILE, the survey before the pour", unit.Flag("before"))
	}
	return e
}

// sameShot reports whether two surveys share a row, and returns it, or have the same
// shots in different files. A workbook, a list or a surface may be used twice only with
// different shots each time.
func sameShot(before, after *survey.Survey) (at survey.Pos, same bool) {
	a, b := allShots(before), allShots(after)
	rows := map[survey.Pos]bool{}
	for _, p := range a {
		rows[rowOf(p)] = true
	}
	for _, p := range b {
		if p.At().Line > 0 && rows[rowOf(p)] {
			return p.At(), true
		}
	}
	if len(a) != len(b) || len(a) == 0 {
		return survey.Pos{}, false
	}
	byPlace := func(p, q survey.Point) int {
		return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y), cmp.Compare(p.Z, q.Z))
	}
	slices.SortFunc(a, byPlace)
	slices.SortFunc(b, byPlace)
	return survey.Pos{}, slices.EqualFunc(a, b, func(p, q survey.Point) bool { return byPlace(p, q) == 0 })
}

// rowOf returns the place of a shot, with the file that its name resolves to.
func rowOf(p survey.Point) survey.Pos {
	at := p.At()
	at.File = filepath.Clean(at.File)
	return at
}

// allShots lists the shots of a survey and those of its surfaces.
func allShots(s *survey.Survey) []survey.Point {
	out := slices.Clone(s.Points)
	for _, u := range s.Surfaces {
		out = append(append(out, u.Points...), u.Vertices...)
	}
	return out
}

// sheetBefore notes the sheet of the survey before the pour.
func sheetBefore(s *survey.Survey) []survey.Note {
	if !s.Served.Sheet {
		return nil
	}
	return []survey.Note{survey.Notef(survey.Assumed, survey.Pos{File: s.Name}, "the survey before the pour: sheet %q", s.Sheet)}
}

// sheetAfter refuses a sheet of a survey after the pour that the job does not name.
func sheetAfter(j *Job) error {
	if s := &j.Survey; s.AfterSheet != "" && len(s.After) == 0 {
		return j.Error("survey.after-sheet", strconv.Quote(s.AfterSheet)+" and no survey after the pour", `after = ["check.xlsx"]`)
	}
	return nil
}
