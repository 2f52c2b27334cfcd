package file

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"pourplane/survey"
	"pourplane/survey/internal/input"
	"pourplane/survey/text"
	"pourplane/survey/unit"
)

// OpenAll reads the files of one floor and joins them. In addition to [Open]:
//
//   - level books of several files are reduced together, so that a turning point
//     of one can be the backsight of another;
//   - rod readings from an instrument of unknown height are brought to the level of
//     the other files by the points that both have, and are refused without any;
//   - levels without a place get it from a file of names, x and y;
//   - thinned points of several files, and cells, are joined square by square before points
//     are made of them.
//
// Notes come in the order of the files. Survey.Name is the name of the first.
func OpenAll(names []string, o survey.Options) (*survey.Survey, error) {
	for i, name := range names {
		if slices.Contains(names[:i], name) {
			return nil, &survey.Error{Pos: survey.Pos{File: shown(name)}, Found: "the file twice", Want: "each file once"}
		}
	}
	all := make([]*survey.Survey, len(names))
	texts := make([]*text.Reader, len(names))
	squares := joined{asked: o.Cells}
	o.Cells = o.Cells || len(names) > 1
	var memory input.Expected
	defer memory.End()
	for i, name := range names {
		// A given height of instrument belongs to the first set-up.
		if i > 0 && texts[i-1] != nil && o.HasInstrument && texts[i-1].HoldsInstrument() {
			o = withoutInstrument(o)
		}
		var err error
		if all[i], texts[i], err = begin(name, o, false, &memory); err != nil {
			return nil, err
		}
		if err := squares.take(all[i], o.Thin.Cell > 0); err != nil {
			return nil, err
		}
	}
	if err := text.SheetsApart(texts); err != nil {
		return nil, err
	}
	if err := text.Tie(all, texts); err != nil {
		return nil, err
	}
	for i, f := range texts {
		if f == nil {
			continue
		}
		if err := f.Finish(); err != nil {
			return nil, err
		}
		all[i] = f.Survey()
		if err := squares.take(all[i], o.Thin.Cell > 0); err != nil {
			return nil, err
		}
	}
	if err := squares.finish(); err != nil {
		return nil, err
	}
	s, err := join(all)
	if err != nil {
		return nil, err
	}
	for _, f := range texts {
		if f != nil && len(s.Levels) == 0 && len(f.Survey().Places) > 0 {
			return nil, f.NoHeights()
		}
	}
	if err := place(s); err != nil {
		return nil, err
	}
	noteDrains(s)
	if !squares.asked {
		s.Cells = nil
	}
	return s, nil
}

// withoutInstrument returns o without the height of instrument, for files that it does
// not apply to.
func withoutInstrument(o survey.Options) survey.Options {
	before := o.InUnit
	o.Instrument, o.HasInstrument = 0, false
	if before != nil {
		o.InUnit = func(plan, up unit.Length, o *survey.Options) error {
			err := before(plan, up, o)
			o.Instrument, o.HasInstrument = 0, false
			return err
		}
	}
	return o
}

// join merges the surveys of several files into the first.
func join(all []*survey.Survey) (*survey.Survey, error) {
	s := all[0]
	if len(all) > 1 {
		for _, t := range all {
			s.Files = append(s.Files, survey.Source{Name: t.Name, Format: t.Format, Order: t.Order, Rows: t.Rows, Plan: t.Plan, Unit: t.Unit})
		}
	}
	for _, t := range all[1:] {
		if t.Relative != s.Relative && len(t.Places) == 0 && len(s.Places) == 0 {
			return nil, &survey.Error{Pos: survey.Pos{File: t.Name}, Found: "elevations from another zero than those of " + s.Name, Want: "surveys of one datum, or points in common that tie them"}
		}
		s.Points = append(s.Points, t.Points...)
		s.Levels = append(s.Levels, t.Levels...)
		s.LevelRoles = append(s.LevelRoles, t.LevelRoles...)
		s.Places = append(s.Places, t.Places...)
		s.Finished = append(s.Finished, t.Finished...)
		s.Heights = append(s.Heights, t.Heights...)
		s.Control = append(s.Control, t.Control...)
		if s.Remarks == nil && t.Remarks != nil {
			s.Remarks = map[survey.Pos]string{}
		}
		maps.Copy(s.Remarks, t.Remarks)
		s.Rings = append(s.Rings, t.Rings...)
		s.Breaklines = append(s.Breaklines, t.Breaklines...)
		s.Outlines = append(s.Outlines, t.Outlines...)
		s.Surfaces = append(s.Surfaces, t.Surfaces...)
		s.Runs = append(s.Runs, t.Runs...)
		s.Sheets = append(s.Sheets, t.Sheets...)
		s.Readings = append(s.Readings, t.Readings...)
		s.Notes = append(s.Notes, t.Notes...)
		s.Rows += t.Rows
		s.MarkRows += t.MarkRows
		s.Headed = s.Headed && t.Headed
		s.MixedUnits = s.MixedUnits || t.MixedUnits
		s.Served.Add(t.Served)
		if s.Book == nil {
			s.Book = t.Book
		}
		if s.Cells == nil {
			s.Cells = t.Cells
		}
	}
	return s, nil
}

// place gives levels their places by name. Levels on the floor without a place, and
// places without a level, are left out with a note each.
func place(s *survey.Survey) error {
	if len(s.Places) == 0 {
		return nil
	}
	places := map[string]survey.Point{}
	for _, p := range s.Places {
		key := strings.ToUpper(p.Name())
		if first, twice := places[key]; twice && (first.X != p.X || first.Y != p.Y) {
			return &survey.Error{Pos: p.At(), Element: "point " + p.Name(), Found: "a second place", Want: fmt.Sprintf("one place; line %d gives another", first.At().Line)}
		}
		places[key] = p
	}
	used := map[string]bool{}
	readings := map[survey.Pos]survey.Reading{}
	for _, r := range s.Readings {
		readings[r.At] = r
	}
	s.Readings = nil
	placed := 0
	for i, p := range s.Levels {
		key := strings.ToUpper(p.Name())
		at, ok := places[key]
		if ok && p.Name() != "" {
			p.X, p.Y = at.X, at.Y
			used[key] = true
			placed++
		}
		switch role := s.LevelRoles[i]; {
		case !ok && role == survey.Control && !survey.IsDrain(p.Code()): // used in the book
		case !ok:
			if role != survey.Control {
				s.Heights = append(s.Heights, p)
			}
			s.Notes = append(s.Notes, survey.Notef(survey.LeftOut, p.At(), "%sno place in the other files", survey.Label(p)))
		case role == survey.Control:
			s.Control = append(s.Control, p)
		case role == survey.Finished:
			s.Finished = append(s.Finished, p)
		default:
			s.Points = append(s.Points, p)
			if r, ok := readings[p.At()]; ok {
				s.Readings = append(s.Readings, r)
			}
		}
	}
	if placed == 0 {
		return &survey.Error{Pos: s.Places[0].At(), Found: fmt.Sprintf("%d places under names that the level book does not have", len(s.Places)), Want: "names as in the book"}
	}
	for _, p := range s.Places {
		if !used[strings.ToUpper(p.Name())] {
			s.Notes = append(s.Notes, survey.Notef(survey.LeftOut, p.At(), "%sa place without a level", survey.Label(p)))
		}
	}
	s.Levels, s.LevelRoles, s.Places = nil, nil, nil
	return nil
}
