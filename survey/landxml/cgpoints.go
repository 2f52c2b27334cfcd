package landxml

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/internal/input"
	"pourplane/survey/unit"
)

// cgPoint is a CgPoint; n is the count of its numbers.
type cgPoint struct {
	survey.Point
	ref     string
	group   int
	n       int
	skip    bool
	ownName bool
	bench   bool // the height of instrument depends on it
}

// cgPoints reads a group of points. A group or point without its own DTMAttribute is
// left out if the group around it is.
func (l *reader) cgPoints(e *element, leave bool) error {
	l.group++
	group := l.group
	leave = donotinclude(e, leave)
	keep := func(e *element, p survey.Point, n int) {
		p = p.With(survey.Tag{Name: nameOf(e), Code: strings.Clone(e.get("code")), At: e.at})
		if len(l.points) == cap(l.points) {
			l.points = slices.Grow(l.points, len(l.points)) // doubled: append alone copies a million points five times
		}
		l.points = append(l.points, cgPoint{Point: p, ref: strings.Clone(e.get("pntRef")), group: group, n: n, skip: donotinclude(e, leave)})
	}
	return l.x.eachBut(l.plainCgPoints(keep), func(e *element) error {
		switch e.name {
		case "CgPoints":
			return l.cgPoints(e, leave)
		case "CgPoint":
			p, n, err := l.place(func() string { return "CgPoint " + unit.Quote(nameOf(e)) }, e)
			if err != nil {
				return err
			}
			keep(e, p, n)
			return nil
		}
		return l.x.skip()
	})
}

// nameOf returns the name of a CgPoint.
func nameOf(e *element) string { return strings.Clone(cmp.Or(e.get("name"), e.get("oID"))) }

// plainCgPoints returns a function that reads points without the decoder, several times
// faster, as long as they have the simplest form.
func (l *reader) plainCgPoints(keep func(e *element, p survey.Point, n int)) func() {
	x := l.x
	begin, end := x.tags("CgPoint")
	var e element
	return func() {
		for len(x.open) < xmlDepth {
			w := x.src.window()
			attr, text, rest, ok := plainElement(w, begin, end, e.attr[:0])
			if !ok || len(attr) > xmlAttributes {
				return
			}
			var err error
			if l.numbers, err = input.Numbers(text, l.numbers[:0]); err != nil || len(l.numbers) < 2 || len(l.numbers) > 3 {
				return
			}
			e = element{"CgPoint", attr, x.here()}
			keep(&e, pointOf(l.numbers), len(l.numbers))
			x.src.lo += len(w) - len(rest)
			x.report()
		}
	}
}

func donotinclude(e *element, around bool) bool {
	if dtm := e.get("DTMAttribute"); dtm != "" {
		return strings.EqualFold(dtm, "donotinclude")
	}
	return around
}

// names returns the points of each name.
func (l *reader) names() map[string][]int32 {
	all := map[string][]int32{}
	for i := range l.points {
		all[l.points[i].Name()] = append(all[l.points[i].Name()], int32(i))
	}
	return all
}

// named returns the index of the point that a reference names.
func (l *reader) named(ref string, group int, at survey.Pos) (int32, error) {
	all := l.byName()[ref]
	if len(all) == 0 {
		return 0, &survey.Error{Pos: at, Element: "pntRef", Found: strconv.Quote(ref), Want: "the name of a CgPoint in this file"}
	}
	var here []int32
	for _, i := range all {
		if l.points[i].group == group {
			here = append(here, i)
		}
	}
	if len(here) == 1 {
		return here[0], nil
	}
	first := l.points[all[0]]
	for _, i := range all[1:] {
		if p := l.points[i]; p.X != first.X || p.Y != first.Y || p.Z != first.Z && p.HasZ() && first.HasZ() {
			return 0, &survey.Error{Pos: at, Element: "pntRef", Found: fmt.Sprintf("%q, the name of two points (%s and %s)", ref, first.At(), p.At()), Want: "a reference with one meaning"}
		}
	}
	return all[0], nil
}

// deepest is the max length of a chain of references.
const deepest = 100

// resolvePoint gives a point that is only a reference the coordinates of its target.
func (l *reader) resolvePoint(i int32) error {
	seen := []int32{i}
	for l.points[i].n == 0 {
		p := &l.points[i]
		if p.ref == "" {
			return nil
		}
		j, err := l.named(p.ref, p.group, p.At())
		if err != nil {
			return err
		}
		if slices.Contains(seen, j) {
			return &survey.Error{Pos: p.At(), Element: "pntRef", Found: fmt.Sprintf("%q, which leads back to where it came from", p.ref), Want: "references that end at a point with coordinates"}
		}
		if len(seen) > deepest {
			return &survey.Error{Pos: p.At(), Element: "pntRef", Found: fmt.Sprintf("%q, after %d references in a row", p.ref, deepest), Want: "references that end sooner at a point with coordinates"}
		}
		seen = append(seen, j)
		i = j
	}
	end := l.points[i]
	for _, j := range seen[:len(seen)-1] {
		p := &l.points[j]
		p.X, p.Y, p.Z, p.n = end.X, end.Y, end.Z, end.n
		p.ownName = true
	}
	return nil
}

// keepPoints selects the CgPoints that are shots.
func (l *reader) keepPoints() {
	l.s.Rows = len(l.points)
	var all, kept zeroLevels
	for i := range l.points {
		if p := &l.points[i]; !p.skip && p.HasZ() {
			all.add(&p.Point)
		}
	}
	noLevel := all.stray(l.unit)
	l.s.Points = make([]survey.Point, 0, len(l.points))
	codes := survey.NewCodebook(l.o.Codes) // for drains; other codes have no meaning here
	defer func() { l.s.Served.Codes = codes.Hit }()
	for i := range l.points {
		p := &l.points[i]
		who := func() string { return "CgPoint " + unit.Quote(p.Name()) }
		switch {
		case p.skip:
			l.note(survey.LeftOut, p.At(), "%s is marked as not to be included", who())
		case p.n == 0:
			l.note(survey.LeftOut, p.At(), "%s has no coordinates", who())
		case !p.HasZ():
			l.note(survey.LeftOut, p.At(), "%s has no elevation", who())
		case p.ownName:
			l.note(survey.LeftOut, p.At(), "%s repeats %q by reference", who(), p.ref)
		case noLevel && p.Z == 0:
			l.note(survey.LeftOut, p.At(), "%s has elevation exactly 0 where all others stay clear of it: taken as not levelled", who())
		case p.bench || codes.Code(p.Code()).Role == survey.Control && survey.IsDrain(p.Code()):
			l.s.Control = append(l.s.Control, p.Point)
		default:
			kept.add(&p.Point)
			l.s.Points = append(l.s.Points, p.Point)
		}
	}
	if kept.n > 0 {
		l.note(survey.Warning, kept.first, "elevation exactly 0, here and at %d points in all: where no level was taken, some programs write that", kept.n)
	}
	l.points = nil
}
