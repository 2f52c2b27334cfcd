package survey

import (
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey/unit"
)

// OpenAll reads the files of one floor and joins what they hold. Beside what
// [Open] does,
//
//   - level books of several files are reduced together, so that a turning point
//     of one can be the backsight of another;
//   - rod readings from an instrument of unknown height are brought to the level of
//     the other files by the points that both have, and are refused without any;
//   - levels without a place get it from a file of names, x and y.
//
// Notes come in the order of the files. Survey.Name is that of the first.
func OpenAll(names []string, o Options) (*Survey, error) {
	for i, name := range names {
		if slices.Contains(names[:i], name) {
			return nil, &Error{Pos: Pos{File: shown(name)}, Found: "the file twice", Want: "each file once"}
		}
	}
	all := make([]*Survey, len(names))
	texts := make([]*textReader, len(names))
	for i, name := range names {
		// A height of instrument that is given is that of the first set-up.
		if i > 0 && texts[i-1] != nil && o.HasInstrument && texts[i-1].holdsInstrument() {
			o = o.withoutInstrument()
		}
		var err error
		if all[i], texts[i], err = begin(name, o, false); err != nil {
			return nil, err
		}
	}
	if err := sheetsApart(texts); err != nil {
		return nil, err
	}
	if err := tie(all, texts); err != nil {
		return nil, err
	}
	for i, f := range texts {
		if f == nil {
			continue
		}
		if err := f.finish(); err != nil {
			return nil, err
		}
		all[i] = f.survey()
	}
	s, err := join(all)
	if err != nil {
		return nil, err
	}
	for _, f := range texts {
		if f != nil && len(s.Levels) == 0 && len(f.survey().Places) > 0 {
			return nil, f.noHeights()
		}
	}
	if err := s.place(); err != nil {
		return nil, err
	}
	s.noteDrains()
	return s, nil
}

// sheetsApart refuses grid sheets of several files that cover one another, and
// origins for sheets that are not there.
func sheetsApart(texts []*textReader) error {
	var sheets []*textReader
	known := map[string]bool{"": true}
	var names []string
	for _, f := range texts {
		if f == nil || !f.form.grid {
			continue
		}
		sheets = append(sheets, f)
		names = append(names, strconv.Quote(filepath.Base(f.name)))
		for _, name := range f.sheetNames {
			known[strings.ToUpper(name)] = true
			names = append(names, strconv.Quote(name))
		}
		for _, name := range (Sheet{File: f.name}).Names() {
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
			return askGrid(Pos{File: sheets[0].name}, fmt.Sprintf("no sheet %q; %s %s", name, there, strings.Join(names, ", ")),
				"the name of its file or the text in its corner", askOrigin(filepath.Base(sheets[0].name)+"=X,Y"))
		}
	}
	for _, f := range sheets[1:] {
		placed := slices.ContainsFunc(append(Sheet{File: f.name}.Names(), f.sheetNames...), func(name string) bool {
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

// holdsInstrument reports whether a file has taken the height of instrument of the
// options for its first set-up. Grid sheets of one set-up may be in several files.
func (f *textReader) holdsInstrument() bool {
	return !f.form.grid && (f.manner == byRod || f.isLevelBook())
}

// withoutInstrument returns o for a file that the height of instrument is not for.
func (o Options) withoutInstrument() Options {
	before := o.InUnit
	o.Instrument, o.HasInstrument = 0, false
	if before != nil {
		o.InUnit = func(plan, up unit.Length, o *Options) error {
			err := before(plan, up, o)
			o.Instrument, o.HasInstrument = 0, false
			return err
		}
	}
	return o
}

// join puts the surveys of several files into the first.
func join(all []*Survey) (*Survey, error) {
	s := all[0]
	if len(all) > 1 {
		for _, t := range all {
			s.Files = append(s.Files, Source{t.Name, t.Format, t.Order, t.Rows, t.Plan, t.Unit})
		}
	}
	for _, t := range all[1:] {
		if t.Relative != s.Relative && len(t.Places) == 0 && len(s.Places) == 0 {
			return nil, &Error{Pos: Pos{File: t.Name}, Found: "elevations from another zero than those of " + s.Name, Want: "surveys of one datum, or points in common that tie them"}
		}
		s.Points = append(s.Points, t.Points...)
		s.Levels = append(s.Levels, t.Levels...)
		s.levelRoles = append(s.levelRoles, t.levelRoles...)
		s.Places = append(s.Places, t.Places...)
		s.Finished = append(s.Finished, t.Finished...)
		s.Heights = append(s.Heights, t.Heights...)
		s.Control = append(s.Control, t.Control...)
		s.Rings = append(s.Rings, t.Rings...)
		s.Breaklines = append(s.Breaklines, t.Breaklines...)
		s.Outlines = append(s.Outlines, t.Outlines...)
		s.Surfaces = append(s.Surfaces, t.Surfaces...)
		s.Runs = append(s.Runs, t.Runs...)
		s.Sheets = append(s.Sheets, t.Sheets...)
		s.Readings = append(s.Readings, t.Readings...)
		s.Notes = append(s.Notes, t.Notes...)
		s.Rows += t.Rows
		s.Headed = s.Headed && t.Headed
		s.MixedUnits = s.MixedUnits || t.MixedUnits
		s.Served.add(t.Served)
		if s.Book == nil {
			s.Book = t.Book
		}
	}
	return s, nil
}

// place gives levels their places by name. Levels on the floor without one, and
// places without a level, are left out with a note each.
func (s *Survey) place() error {
	if len(s.Places) == 0 {
		return nil
	}
	places := map[string]Point{}
	for _, p := range s.Places {
		key := strings.ToUpper(p.Name)
		if first, twice := places[key]; twice && (first.X != p.X || first.Y != p.Y) {
			return &Error{Pos: p.At, Element: "point " + p.Name, Found: "a second place", Want: fmt.Sprintf("one place; line %d gives another", first.At.Line)}
		}
		places[key] = p
	}
	used := map[string]bool{}
	readings := map[Pos]Reading{}
	for _, r := range s.Readings {
		readings[r.At] = r
	}
	s.Readings = nil
	placed := 0
	for i, p := range s.Levels {
		key := strings.ToUpper(p.Name)
		at, ok := places[key]
		if ok && p.Name != "" {
			p.X, p.Y = at.X, at.Y
			used[key] = true
			placed++
		}
		switch role := s.levelRoles[i]; {
		case !ok && role == Control && !IsDrain(p.Code): // it has served in the book
		case !ok:
			if role != Control {
				s.Heights = append(s.Heights, p)
			}
			s.Notes = append(s.Notes, Notef(LeftOut, p.At, "%sno place in the other files", label(p)))
		case role == Control:
			s.Control = append(s.Control, p)
		case role == Finished:
			s.Finished = append(s.Finished, p)
		default:
			s.Points = append(s.Points, p)
			if r, ok := readings[p.At]; ok {
				s.Readings = append(s.Readings, r)
			}
		}
	}
	if placed == 0 {
		return &Error{Pos: s.Places[0].At, Found: fmt.Sprintf("%d places under names that the level book does not have", len(s.Places)), Want: "names as in the book"}
	}
	for _, p := range s.Places {
		if !used[strings.ToUpper(p.Name)] {
			s.Notes = append(s.Notes, Notef(LeftOut, p.At, "%sa place without a level", label(p)))
		}
	}
	s.Levels, s.levelRoles, s.Places = nil, nil, nil
	return nil
}
