package text

import (
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"pourplane/survey"
	"pourplane/survey/level"
)

// Tie reduces the level books of all files together, with the rod readings whose height
// of instrument is not known. texts has the reader of each survey of all, nil for a file
// that is not text. It returns an error for a name that can be two benchmarks, for zeros
// that may mean no data and for readings that nothing ties. Call [Reader.Finish] of each
// reader after it.
func Tie(all []*survey.Survey, texts []*Reader) error {
	state, err := readElsewhere(texts)
	if err != nil {
		return err
	}
	var group []*Reader
	loose, given, others := false, false, false
	for _, f := range texts {
		switch {
		case f == nil:
			others = true
		case len(f.sights) > 0 && f.manner == byGradeRod: // elevation 0 is its own target
			if err := reduce([]*Reader{f}, true); err != nil {
				return err
			}
			others = true
		case len(f.sights) > 0:
			group = append(group, f)
			for _, s := range f.sights {
				given = given || !math.IsNaN(s.Stated)
			}
			given = given || len(f.given) > 0 || f.hasHI
		case len(texts) > 1 && len(f.pending) > 0 && len(f.pending) == len(f.pts) && !f.hasHI:
			f.setups[0].name = filepath.Base(f.name)
			if err := f.toSights(); err != nil {
				return err
			}
			group = append(group, f)
			loose = true
		case f.manner != planOnly:
			others = true
		}
	}
	if len(group) == 0 {
		return nil
	}
	if len(texts) > 1 {
		if err := sameMarks(spellings(all, texts), group[0].o.Benchmarks); err != nil {
			return err
		}
	}
	state()
	given = given || len(group[0].o.Benchmarks) > 0
	if loose || !given {
		anchor(group, all, texts)
	}
	return reduce(group, !others)
}

// toSights turns the readings of a list or of sheets into sights.
func (f *Reader) toSights() error {
	if f.form.grid {
		return f.sheetBook()
	}
	return f.toBook()
}

// anchor gives the sights of a group the elevations that other files have for points of
// the same name and place.
func anchor(group []*Reader, all []*survey.Survey, texts []*Reader) {
	known := map[string][]survey.Point{}
	for i, f := range texts {
		switch {
		case f == nil:
			for _, p := range slices.Concat(all[i].Points, all[i].Control, all[i].Finished) {
				known[strings.ToUpper(p.Name())] = append(known[strings.ToUpper(p.Name())], p)
			}
		case len(f.sights) > 0 || f.manner != byElevation && f.manner != byRod:
		default:
			for i, p := range f.pts {
				if _, isRod := slices.BinarySearch(f.pending, i); isRod {
					p.Z += f.hi
				}
				known[strings.ToUpper(p.Name())] = append(known[strings.ToUpper(p.Name())], p)
			}
			for _, m := range f.marksRead() {
				if f.hasHI && !(m.placed && m.given) { // those are among the points
					m.p.Z = f.hi - m.rod
					known[strings.ToUpper(m.p.Name())] = append(known[strings.ToUpper(m.p.Name())], m.p)
				}
			}
		}
	}
	delete(known, "")
	for _, f := range group {
		for i := range f.sights {
			s := &f.sights[i]
			for _, p := range known[strings.ToUpper(s.Name)] {
				if d := math.Hypot(s.X-p.X, s.Y-p.Y); !(d > level.OnePlace) && p.HasZ() && math.IsNaN(s.Stated) {
					s.Stated, s.Tied, s.Shared = p.Z, true, true
				}
			}
		}
	}
}

// spellings returns the names in all files that may tie readings.
func spellings(all []*survey.Survey, texts []*Reader) []spelling {
	var out []spelling
	for i, f := range texts {
		switch {
		case f == nil:
			for _, p := range slices.Concat(all[i].Points, all[i].Control, all[i].Finished) {
				if isMark(p.Name()) {
					out = append(out, spelling{p: p, mark: true, fixed: true})
				}
			}
		case f.manner == byGradeRod:
		case len(f.sights) > 0:
			out = append(out, f.bookSpellings()...)
		default:
			for i, p := range f.pts {
				if isMark(p.Name()) || f.role(i) == survey.Control {
					out = append(out, spelling{f: f, p: p, mark: true, fixed: true})
				}
			}
			for _, m := range f.marksRead() {
				out = append(out, spelling{f: f, p: m.p, mark: true, fixed: true})
			}
		}
	}
	return out
}

// markRead is a reading on a benchmark or turning point.
type markRead struct {
	p      survey.Point
	rod    float64 // m
	z      float64 // m, elevation in the row; NaN without
	given  bool
	placed bool
}

// marksRead returns the readings on benchmarks and turning points in a file of rod
// readings that is not a level book.
func (f *Reader) marksRead() []markRead {
	var out []markRead
	if f.manner != byRod || len(f.sights) > 0 {
		return nil
	}
	for _, r := range f.listRods {
		if p := f.listedPoint(r); p.Name() != "" && f.isMarkRow(r) {
			out = append(out, markRead{*p, r.rod, r.given, !math.IsNaN(r.given), r.pt >= 0})
		}
	}
	if f.form.grid {
		for _, m := range f.sheetRead {
			out = append(out, markRead{survey.Point{X: math.NaN(), Y: math.NaN(), Z: math.NaN()}.With(survey.Tag{Name: m.name, At: m.at}), m.rod, m.z, !math.IsNaN(m.z), false})
		}
	}
	return out
}

// readElsewhere turns lists and sheets into level books if they have a height of
// instrument and read a benchmark whose elevation only another file states: the two must
// agree, as in one file. state gives the readings that elevation; call it after their
// names are unified.
func readElsewhere(texts []*Reader) (state func(), err error) {
	var sights []*survey.Sight
	var zs []float64
	state = func() {
		for i, s := range sights {
			s.Stated = zs[i]
		}
	}
	if len(texts) < 2 {
		return state, nil
	}
	stated := statedMarks(texts)
	stated.warn(texts)
	for _, f := range texts {
		if f == nil || !f.hasHI {
			continue
		}
		elsewhere := stated.elsewhere(f, texts)
		if len(elsewhere) == 0 {
			continue
		}
		if err := f.toSights(); err != nil {
			return nil, err
		}
		for i := range f.sights {
			s := &f.sights[i]
			if z, ok := elsewhere[markKey(s.Name)]; ok && s.Mark && math.IsNaN(s.Stated) {
				sights, zs = append(sights, s), append(zs, z)
			}
		}
	}
	return state, nil
}

// markElevations are the elevations, m, that files state for benchmarks and turning
// points, by the key of the name and the file.
type markElevations map[string]map[*Reader]float64

// statedMarks collects the stated elevations, of each file the first for a name.
func statedMarks(texts []*Reader) markElevations {
	out := markElevations{}
	for _, f := range texts {
		if f == nil {
			continue
		}
		add := func(name string, z float64) {
			key := markKey(name)
			if out[key] == nil {
				out[key] = map[*Reader]float64{}
			}
			if _, ok := out[key][f]; !ok && !math.IsNaN(z) {
				out[key][f] = z
			}
		}
		for _, m := range f.marksRead() {
			add(m.p.Name(), m.z)
		}
		for i := range f.sights {
			if s := &f.sights[i]; s.Mark || isMark(s.Name) {
				add(s.Name, s.Stated)
			}
		}
	}
	return out
}

// warn warns of benchmarks for which two files state different elevations.
func (stated markElevations) warn(texts []*Reader) {
	const same = 0.0005 // m; elevations are booked to the millimetre
	for _, key := range slices.Sorted(maps.Keys(stated)) {
		var first *Reader
		for _, f := range texts {
			z, ok := stated[key][f]
			switch {
			case !ok:
			case first == nil:
				first = f
			case math.Abs(z-stated[key][first]) > same:
				f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, survey.Pos{File: f.name}, "benchmark %s at %s here, %s in %s: one of the two is wrong, or they are two benchmarks", key, f.show(z), f.show(stated[key][first]), filepath.Base(first.name)).About(survey.AboutOrder))
			}
		}
	}
}

// elsewhere returns, by key, the elevations, m, of benchmarks that f reads and only other
// files state. The first file that states one is used.
func (stated markElevations) elsewhere(f *Reader, texts []*Reader) map[string]float64 {
	own, out := map[string]bool{}, map[string]float64{}
	marks := f.marksRead()
	for _, m := range marks {
		own[markKey(m.p.Name())] = own[markKey(m.p.Name())] || m.given
	}
	for _, m := range marks {
		key := markKey(m.p.Name())
		if key == "" || own[key] {
			continue
		}
		for _, g := range texts {
			if z, ok := stated[key][g]; ok && g != f {
				out[key] = z
				break
			}
		}
	}
	return out
}
