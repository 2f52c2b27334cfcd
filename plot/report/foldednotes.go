package report

import (
	"cmp"
	"slices"

	"pourplane/survey"
)

// foldedNote is a note, or several that say the same of one file.
type foldedNote struct {
	survey.Note
	of int
}

// folded makes one note of the empty cells of each file, and one of those with a dash: a floor that
// is not a rectangle has many outside it, and none of them matters. Warnings about the job come
// before those about a row of a file, which has its own checks.
func folded(notes []survey.Note) []foldedNote {
	var out []foldedNote
	type cells struct {
		file string
		dash bool
	}
	first := map[cells]int{} // in out
	for _, n := range notes {
		of := cells{n.Pos.File, n.Dash}
		if i, ok := first[of]; ok && (n.Empty || n.Dash) {
			out[i].of++
			continue
		}
		if n.Empty || n.Dash {
			first[of] = len(out)
		}
		out = append(out, foldedNote{n, 1})
	}
	for i := range out {
		n, what := &out[i], "%d empty cells"
		if n.Dash {
			what = "%d cells with a dash"
		}
		if n.of > 1 {
			n.Note = survey.Notef(n.Kind, survey.Pos{File: n.Pos.File}, what, n.of)
		}
	}
	later := func(n foldedNote) int {
		if n.Kind == survey.Warning && n.Pos.File == "" {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(out, func(a, b foldedNote) int { return cmp.Compare(later(a), later(b)) })
	return out
}
