package main

import (
	"path/filepath"
	"slices"
	"strings"

	"pourplane/surface/job"
)

// question is the question for a field of a job.
type question struct {
	name, text string // short name of the field, and the question
	check      func(string) error
	shown      bool // the values in a refusal are shown with the question
}

func (q *questions) table() []question {
	kinds := func(words ...string) func(string) error {
		return func(text string) error {
			if slices.Contains(words, text) {
				return nil
			}
			return wanted(text, strings.Join(words[:len(words)-1], ", ")+" or "+words[len(words)-1])
		}
	}
	return []question{
		{name: "units", text: "Unit of the lengths in " + filepath.Base(q.of.Survey.Files[0]) + ": m, cm, mm, ft, ftUS or in", check: aUnit},
		{name: "sheet", text: "Sheet of the workbook with the shots", check: anything, shown: true},
		{name: "outline-sheet", text: "Sheet of the workbook with the outline", check: anything, shown: true},
		{name: "surface", text: "Surface to use", check: anything, shown: true},
		{name: "order", text: "Order of the columns, such as PNEZD or XYZ", check: anything},
		{name: "grid-values", text: "What the cells of the grid hold: rod, elevation or depth", check: kinds("rod", "elevation", "depth")},
		{name: "grid-spacing", text: "Distance between the lines of the grid with its unit, such as 3m or 10ft; two with a comma between for letters and numbers", check: lengthsOf(1, 2)},
		{name: "grid-numbers", text: "Direction in which the lines 1, 2, 3 are counted: north, east, south, west, or degrees", check: anything},
		{name: "grid-letters", text: "Direction in which the lines A, B, C are counted", check: anything},
		{name: "grid-origin", text: "Where A1 is on the floor, such as 12m,0m; for one of several sheets BAY 2=12m,0m", check: lengthsOf(2, 2), shown: true},
		{name: "benchmark", text: "A benchmark and its elevation, such as BM1=100ft", check: aBenchmark},
		{name: "instrument-height", text: "Height of instrument (elevation of the line of sight), with its unit", check: aLength},
		{name: "accept-misclosure", text: "Build on the level book although it misses by more than allowed: yes or no", check: yesOrNo},
		{name: "duplicates", text: "Two elevations at one place: mean, first or last", check: kinds("mean", "first", "last", "refuse")},
		{name: "zeros", text: "Heights of exactly 0: measured or missing", check: kinds("measured", "missing")},
		{name: "retriangulate", text: "Make new triangles from the points of the surface, not keeping its faces: yes or no", check: yesOrNo},
		{name: "thin", text: "Side of the square that keeps one point of the scan, such as 50mm or 2in", check: aLength},
		{name: "max-size", text: "Largest file to read, such as 2GB", check: anything},
		{name: "target", text: "Elevation of the target plane (top of fill), with its unit", check: aLength},
		{name: "finish", text: "Elevation of the finished floor to meet, with its unit", check: aLength},
		{name: "finish-code", text: "Code of the shots on the finished floor", check: anything},
		{name: "finish-at", text: "Name of the shot on the finished floor", check: anything},
		{name: "finish-rule", text: "How several shots make the finished floor: lowest, mean or plane", check: kinds("lowest", "mean", "plane")},
		{name: "buildup", text: "How much lower than the finished floor is the top of fill (covering and bed together), with its unit", check: aLength},
		{name: "low", text: "How far to stay low, with its unit", check: aLength},
		{name: "volume", text: "Volume that is placed, with its unit, such as 3yd3", check: anything},
		{name: "covering", text: "Thickness of the covering alone, with its unit", check: aLength},
		{name: "toward", text: "Where the target falls to: a place such as 6m,4m, the name of a shot, or a direction such as NE", check: anything},
		{name: "fall-direction", text: "Direction of the fall to that place, such as N or 120deg", check: anything},
		{name: "outline", text: "Outline file", check: aFile},
	}
}

// answer sets a field to an answer, replacing the refused value. It returns false if the
// field is unchanged.
func (one *question) answer(j *job.Job, text string) bool {
	f, _ := job.ByFlag(one.name)
	v := f.Value(j)
	switch old := v.Addr().Interface().(type) {
	case *bool:
		was := *old
		*old = text == "yes"
		return *old != was
	case *map[string]string: // another answer for one of several
		if name, _, named := strings.Cut(text, "="); named {
			delete(*old, name)
			delete(*old, "")
		} else {
			clear(*old)
		}
	default:
		v.SetZero()
	}
	return f.Set(j, text) == nil
}

func (one *question) clear(j *job.Job) {
	f, _ := job.ByFlag(one.name)
	f.Value(j).SetZero()
}
