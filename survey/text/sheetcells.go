package text

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// crossings places the cells of one sheet.
type crossings struct {
	*sheet
	f        *Reader
	g        survey.Grid
	several  bool    // of several sheets: names of points begin with the name of the sheet
	lettered bool    // letters and numbers head the lines, not distances
	skips    bool    // the lines skip the letters I and O
	plan     *column // of heads that are distances
	value    *column // of the readings
}

// sheet reads the cells of one sheet.
func (f *Reader) sheet(s *sheet, g survey.Grid, several bool, value *column) error {
	g, err := f.ownOrigin(s, g)
	if err != nil {
		return err
	}
	one := survey.Sheet{Name: s.name, File: f.name}
	one.Origin[0], one.Origin[1] = placeOn(g, f.name, s.name, 0, 0)
	f.s.Sheets = append(f.s.Sheets, one)
	c := &crossings{sheet: s, f: f, g: g, several: several, plan: &column{head: "head", unit: value.unit}, value: value}
	if err := c.readHeads(); err != nil {
		return err
	}
	for _, r := range s.rows {
		if err := c.row(r); err != nil {
			return err
		}
	}
	return nil
}

// readHeads finds whether lines or distances head the columns and rows.
func (c *crossings) readHeads() error {
	f, at := c.f, c.f.at(c.head.n)
	first := ""
	if len(c.rows) > 0 {
		first = f.form.gridCells(c.rows[0].text)[0]
	}
	if c.numbers && !regexpLetters.MatchString(first) {
		c.numbers = false // distances in both directions
	}
	if c.lettered = c.letters || c.numbers; !c.lettered {
		f.note(survey.Assumed, at, "heads of the columns read as distances to the east, heads of the rows to the north%s", turned(c.g))
		return nil
	}
	if c.g.LetterStep == 0 || c.g.NumberStep == 0 {
		return f.askSpacing(c.sheet, c.value)
	}
	if err := f.askDirections(at); err != nil {
		return err
	}
	letters := c.cells
	if c.numbers {
		letters = nil
		for _, r := range c.rows {
			letters = append(letters, strings.ToUpper(f.form.gridCells(r.text)[0]))
		}
	}
	if c.skips = skipsLetters(letters); c.skips {
		f.note(survey.Assumed, at, "letters I and O are not used: H and J, N and P are neighbours")
	}
	return nil
}

// row reads the cells of one row.
func (c *crossings) row(r line) error {
	f := c.f
	cells, at := f.form.gridCellsAt(r.text)
	f.line = r.n
	// A spreadsheet saves all rows with the same number of cells. A row that was typed
	// with one cell less has slid.
	if n := len(cells) - 1; n < len(c.cells) && len(f.errs) < mostErrors {
		f.fail(&survey.Error{Pos: f.at(r.n), Element: "row " + cells[0], Found: fmt.Sprintf("%d of %d cells", n, len(c.cells)), Want: "a cell for every column: one left out shifts those after it",
			Hint: "where nothing was read write a dash"})
		return nil
	}
	for i, text := range cells[1:] {
		if i >= len(c.cells) {
			if text != "" {
				f.fail(&survey.Error{Pos: f.at(r.n), Found: fmt.Sprintf("%q past the last column", text), Want: fmt.Sprintf("%d cells", len(c.cells))})
			}
			continue
		}
		t := survey.Tag{At: f.at(r.n), Part: c.name}
		t.At.Col = at[i+1]
		if in := f.cells; in != nil {
			if t.At.Col = in.left + i + 2; f.form.indented {
				t.At.Col++
			}
		}
		name, a, b := c.place(r.n, cells[0], c.cells[i])
		if t.Name = name; c.several {
			t.Name = c.name + " " + name
		}
		if len(f.errs) >= mostErrors {
			return survey.JoinErrors(f.errs)
		}
		f.s.Rows++
		p := survey.Point{}.With(t)
		p.X, p.Y = placeOn(c.g, f.name, c.name, a, b)
		f.cell(p, text, c.value)
	}
	return nil
}

// place returns the name of the crossing of a row and a column, from their heads. The
// crossing is a metres along the letters and b along the numbers, or a east and b north.
// Both are 0 if a head is an error.
func (c *crossings) place(line int, row, across string) (name string, a, b float64) {
	f := c.f
	if c.named {
		return c.placeNamed(line, row, across)
	}
	if !c.lettered {
		a, err1 := f.num.length(c.plan, across)
		b, err2 := f.num.length(c.plan, row)
		if err1 != nil || err2 != nil {
			f.fail((&survey.Error{Pos: f.at(line), Element: "row head", Found: strconv.Quote(row), Want: "a distance, as the heads of the columns"}).Hinting(survey.AskUnit))
			return "", 0, 0
		}
		return across + "/" + row, a, b
	}
	letter, number := across, row
	if c.numbers {
		letter, number = number, letter
	}
	n, err := strconv.Atoi(number)
	if err != nil || !regexpLetters.MatchString(letter) {
		f.fail(&survey.Error{Pos: f.at(line), Element: "row head", Found: strconv.Quote(row), Want: "a line of the grid, a number beside letters or a letter beside numbers"})
		return "", 0, 0
	}
	letter = strings.ToUpper(letter)
	return letter + number, float64(letterIndex(letter, c.skips)) * c.g.LetterStep, float64(n-1) * c.g.NumberStep
}

// cell reads the reading of one crossing.
func (f *shots) cell(p survey.Point, text string, value *column) {
	if missing(text) {
		why := "no reading"
		if t := strings.TrimSpace(text); t != "" {
			why += " (" + unit.Quote(t) + ")"
		}
		n := survey.Notef(survey.LeftOut, p.At(), "%s%s", survey.Label(p), why)
		n.Empty = strings.TrimSpace(text) == ""
		n.Dash = !n.Empty && strings.Trim(text, " \t-–—−") == ""
		f.s.Notes = append(f.s.Notes, n)
		return
	}
	v, err := f.num.length(value, text)
	if err != nil {
		f.fail((&survey.Error{Pos: p.At(), Element: fmt.Sprintf("cell %s", p.Name()), Found: strconv.Quote(strings.TrimSpace(text)), Want: err.Error(), Err: err}).Hinting(unitHint(err)))
		return
	}
	if value.feetInches {
		f.takenAsFeet(value, text)
	}
	f.mark(v)
	f.readings = append(f.readings, survey.Reading{Name: p.Name(), Text: ungrouped(text), Value: v, Unit: value.unit, FeetInches: value.feetInches, At: p.At()})
	p.Z = v
	f.keep(p, survey.Floor)
}

// meaningOfCells finds whether the cells are readings, elevations or depths. wording is
// the text beside the cells, value how they are written. read is true if benchmarks were read
// beside them.
func (f *shots) meaningOfCells(wording string, read bool, value *column) error {
	g := f.o.Grid
	what, known := g.Values, g.HasValues
	has := func(words ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(wording, w) })
	}
	if !known {
		rod, up := has("rod", "staff", "reading"), has("elevation", "elev", "reduced level", " rl", " z")
		down := has("depth", "low ", "below")
		switch {
		case rod && !up && !down:
			what, known = survey.Rod, true
		case up && !rod && !down:
			what, known = survey.Elevation, true
		case down && !rod && !up:
			what, known = survey.Drop, true
		case f.hasHI || read || len(f.o.Benchmarks) > 0:
			what, known = survey.Rod, true
		}
	}
	if !known {
		beyond := len(f.pts) > 0
		for _, p := range f.pts {
			beyond = beyond && p.Z > longestRod
		}
		if !beyond {
			return askGrid(f.pos, "numbers that may be rod readings, elevations or depths", "which of them; taken for the wrong one the floor is upside down",
				unit.Textf("%s, %s or %s", unit.Ask("grid-values", "rod"), unit.Ask("grid-values", "elevation"), unit.Ask("grid-values", "depth")))
		}
		f.note(survey.Assumed, f.pos, "cells read as elevations: no rod is that long")
	}
	for i := range f.readings {
		f.readings[i].Measure = what
	}
	switch what {
	case survey.Elevation:
		f.manner = byElevation
	case survey.Drop, survey.Deviation:
		f.manner = byDepth
		if what == survey.Drop {
			for i := range f.pts {
				f.pts[i].Z = -f.pts[i].Z
			}
		}
	case survey.Rod:
		f.manner = byRod
		for i, p := range f.pts {
			if f.rodsSeen.see(value, p.Z) {
				f.rodsSeen.found, f.rodsSeen.at, f.rodsSeen.element = f.readings[i].Text, p.At(), "cell "+p.Name()
			}
		}
		if e := f.rodsSeen.refuse(false); e != nil {
			return e.Hinted("correct the reading, or the unit of the sheet; where the cells hold elevations: %s", unit.Ask("grid-values", "elevation"))
		}
		for i := range f.pts {
			f.pts[i].Z = -f.pts[i].Z
			f.pending = append(f.pending, i)
		}
	}
	return nil
}
