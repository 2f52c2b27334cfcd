package text

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// SheetsApart returns an error if grid sheets of several files would be on the same
// place, or if an origin is given for a sheet that is not there. An element of texts is
// nil for a file that is not text.
func SheetsApart(texts []*Reader) error {
	var sheets []*Reader
	known := map[string]bool{"": true}
	var names []string
	for _, f := range texts {
		if f == nil || !f.form.grid {
			continue
		}
		sheets = append(sheets, f)
		names = append(names, unit.Quote(filepath.Base(f.name)))
		for _, name := range f.sheetNames {
			known[strings.ToUpper(name)] = true
			names = append(names, unit.Quote(name))
		}
		for _, name := range (survey.Sheet{File: f.name}).Names() {
			known[name] = true
		}
	}
	if len(sheets) == 0 {
		return nil
	}
	for name := range sheets[0].o.Grid.Origins {
		if !known[name] && !sheets[0].o.Grid.OthersToo {
			there := "there is"
			if len(names) > 1 {
				there = "there are"
			}
			return askGrid(survey.Pos{File: sheets[0].name}, fmt.Sprintf("no sheet %q; %s %s", name, there, strings.Join(names, ", ")),
				"the name of its file or the text in its corner", askOrigin(filepath.Base(sheets[0].name)+"=X,Y"))
		}
	}
	for _, f := range sheets[1:] {
		placed := slices.ContainsFunc(append(survey.Sheet{File: f.name}.Names(), f.sheetNames...), func(name string) bool {
			_, ok := f.o.Grid.Origins[strings.ToUpper(name)]
			return ok
		})
		if !placed {
			return askGrid(f.pos, "a second sheet at the origin of the first", "an origin for each, where its A1 is",
				askOrigin(filepath.Base(f.name)+"=10,0"))
		}
	}
	return nil
}

// HoldsInstrument reports whether a file uses the height of instrument of the options for
// its first set-up. It is false for grid sheets: sheets of one set-up may be in several
// files.
func (f *Reader) HoldsInstrument() bool {
	return !f.form.grid && (f.manner == byRod || f.isLevelBook())
}
