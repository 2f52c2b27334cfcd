package landxml

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"pourplane/survey"
	"pourplane/survey/internal/input"
	"pourplane/survey/internal/thin"
	"pourplane/survey/unit"
)

// Read reads a LandXML document, version 1.0, 1.1, 1.2 or 2.0: points, surfaces (faces,
// source data, boundaries) and outlines. name is used in messages only. The document is
// streamed: unused elements are not kept.
//
// Coordinates are northing, easting, elevation, in the linear unit of the root's Units,
// which must exist unless o.Unit is set. Only outlines may have points with elevation
// NaN; other points without elevation are left out, each with a note. Invisible faces
// are skipped and counted. o.Thin thins the points, not the surfaces.
//
// Errors are [*survey.Error] with file, line and column: another root element, a
// document cut short, a face that names a missing point, a point id used twice, text
// that is not a number, missing or contradicting units, and a document without points,
// surfaces or outlines.
func Read(r io.Reader, name string, o survey.Options) (*survey.Survey, error) {
	if err := thin.Check(o.Thin); err != nil {
		return nil, err
	}
	l := &reader{s: &survey.Survey{Name: name}, o: o, file: survey.Pos{File: name}}
	x, err := newXMLReader(r, name, func(k survey.NoteKind, format string, args ...any) { l.note(k, l.file, format, args...) })
	if err != nil {
		return nil, err
	}
	l.x = x
	x.progress = o.Progress
	root, err := x.root()
	if err != nil {
		return nil, err
	}
	if root.name != "LandXML" {
		return nil, &survey.Error{Pos: root.at, Element: "root element", Found: "<" + root.name + ">", Want: "<LandXML>"}
	}
	l.s.Format = "LandXML " + l.version(root)
	l.s.Encoding = x.enc
	l.s.Order = "N E Z"
	if err := x.each(l.child); err != nil {
		return nil, err
	}
	if x.another() {
		l.note(survey.Warning, x.at, "a second document begins here; it is not read")
	}
	if err := l.finish(); err != nil {
		return nil, err
	}
	if l.s.Points, err = thin.Points(l.s, o, l.s.Points); err != nil {
		return nil, err
	}
	return l.s, nil
}

// reader is a document being read. Coordinates are in the file's unit until all of it is
// read.
type reader struct {
	x    *xmlReader
	s    *survey.Survey
	o    survey.Options
	file survey.Pos

	unit   *linearUnit
	unitAt survey.Pos

	points     []cgPoint
	group      int
	byName     func() map[string][]int32 // index of the points; most documents never ask
	rods       []rodReading
	sights     []string // targets of observations by angle and distance
	unused     int      // observations marked as unused or deleted
	others     []string // files of points that the document refers to
	geometries []geometry
	invisible  int
	empty      *survey.Error // the first surface without data

	text    []byte
	numbers []float64
}

// rodReading is a reading of the middle hair: a bigger reading is a lower point.
type rodReading struct {
	setup, purpose, point string
	target                int32 // index of the point, once all are known
	rod                   float64
	at                    survey.Pos
}

// linearUnit converts lengths of the file to metres with one rounding: a product, or a
// quotient if that is the exact one.
type linearUnit struct {
	name     string
	mul, div float64
	length   unit.Length
}

var linearUnits = map[string]linearUnit{
	"millimeter":   {"millimetre", 1, 1000, unit.Millimetre},
	"centimeter":   {"centimetre", 1, 100, unit.Centimetre},
	"meter":        {"metre", 1, 1, unit.Metre},
	"kilometer":    {"kilometre", 1000, 1, unit.Metre},
	"foot":         {"foot", 0.3048, 1, unit.Foot},
	"ussurveyfoot": {"US survey foot", 1200, 3937, unit.SurveyFoot},
	"inch":         {"inch", 0.0254, 1, unit.Inch},
	"mile":         {"mile", 1609.344, 1, unit.Foot},
}

func (u *linearUnit) metres(v float64) float64 { return v * u.mul / u.div }

func (l *reader) note(k survey.NoteKind, at survey.Pos, format string, args ...any) {
	l.s.Notes = append(l.s.Notes, survey.Notef(k, at, format, args...))
}

// The namespace gives the version more reliably than the attribute.
func (l *reader) version(root *element) string {
	_, v, ok := strings.Cut(l.x.home, "LandXML-")
	stated := root.get("version")
	if !ok {
		return cmp.Or(stated, "without version")
	}
	if stated != "" && stated != v {
		l.note(survey.Assumed, root.at, "namespace of version %s, attribute of version %s: read as %s", v, stated, v)
	}
	return v
}

// child reads a child of the root.
func (l *reader) child(e *element) error {
	switch e.name {
	case "Units":
		return l.x.each(l.units)
	case "CgPoints":
		return l.cgPoints(e, false)
	case "Surfaces":
		return l.x.each(func(e *element) error {
			if e.name == "Surface" {
				return l.surface(e)
			}
			return l.x.skip()
		})
	case "PlanFeatures":
		return l.features("PlanFeature")
	case "Parcels":
		return l.features("Parcel")
	case "Survey":
		return l.x.each(l.surveyChild)
	}
	return l.x.skip()
}

func (l *reader) units(e *element) error {
	if e.name != "Metric" && e.name != "Imperial" {
		return l.x.skip()
	}
	word := e.get("linearUnit")
	u, ok := linearUnits[strings.ToLower(word)]
	if !ok {
		return &survey.Error{Pos: e.at, Element: "linearUnit", Found: strconv.Quote(word), Want: "meter, millimeter, centimeter, kilometer, foot, USSurveyFoot, inch or mile"}
	}
	if l.unit != nil && l.unit.name != u.name {
		return &survey.Error{Pos: e.at, Element: "Units", Found: fmt.Sprintf("%s, where %s gives %s", u.name, l.unitAt, l.unit.name), Want: "one linear unit"}
	}
	l.unit, l.unitAt = &u, e.at
	if z := e.get("elevationUnit"); z != "" {
		same := map[string]string{"meter": "metre", "kilometer": "kilometre", "feet": "foot", "miles": "mile"}[strings.ToLower(z)]
		if same != strings.TrimPrefix(u.name, "US survey ") { // both kinds of foot are called feet
			l.note(survey.Assumed, e.at, "elevationUnit %q is seen and not applied: elevations of points are in the linear unit, %s", z, u.name)
		}
	}
	return l.x.skip()
}

// coordinates reads the numbers of the element just opened. what returns its name for
// messages; it is a function so that no name is made for each of a million points.
func (l *reader) coordinates(what func() string, e *element) ([]float64, error) {
	var err error
	l.text, err = l.x.text(l.text[:0])
	if err != nil {
		return nil, err
	}
	l.numbers, err = input.Numbers(l.text, l.numbers[:0])
	if bad, ok := err.(*input.NumberError); ok {
		return nil, &survey.Error{Pos: e.at, Element: what(), Found: bad.Found, Want: bad.Want}
	}
	return l.numbers, err
}

// place reads a point element and returns the count of its numbers: none, two or three.
func (l *reader) place(what func() string, e *element) (survey.Point, int, error) {
	c, err := l.coordinates(what, e)
	if err != nil {
		return survey.Point{}, 0, err
	}
	if n := len(c); n == 1 || n > 3 {
		return survey.Point{}, 0, &survey.Error{Pos: e.at, Element: what(), Found: survey.Plural(n, "number"), Want: "northing, easting and, where there is one, elevation"}
	}
	return pointOf(c).With(survey.Tag{At: e.at}), len(c), nil
}

// pointOf returns the point of none, two or three numbers: northing, easting, elevation.
func pointOf(c []float64) survey.Point {
	p := survey.Point{Z: math.NaN()}
	if len(c) > 1 {
		p.X, p.Y = c[1], c[0]
	}
	if len(c) > 2 {
		p.Z = c[2]
	}
	return p
}

// surveyChild reads a child of Survey: points and observations.
func (l *reader) surveyChild(e *element) error {
	switch e.name {
	case "CgPoints":
		return l.cgPoints(e, false)
	case "InstrumentSetup":
		return l.observations(e.get("id"), e.get("purpose"))
	case "ObservationGroup":
		return l.observations(e.get("setupID"), e.get("purpose"))
	}
	return l.x.skip()
}

// observations reads the sights of a set-up. An observation that names no set-up takes
// it from the Backsight of its group, if there is one.
func (l *reader) observations(setup, purpose string) error {
	first := len(l.rods)
	err := l.x.each(func(e *element) error {
		switch e.name {
		case "Backsight":
			setup = cmp.Or(setup, e.get("setupID"))
		case "ObservationGroup":
			return l.observations(cmp.Or(e.get("setupID"), setup), cmp.Or(e.get("purpose"), purpose))
		case "RawObservation", "ReducedObservation":
			return l.observation(e, purpose)
		}
		return l.x.skip()
	})
	for i := range l.rods[first:] {
		o := &l.rods[first+i]
		o.setup = cmp.Or(o.setup, setup)
	}
	return err
}

func (l *reader) observation(e *element, purpose string) error {
	if unused := e.get("unused"); unused == "true" || unused == "1" || strings.EqualFold(e.get("status"), "deleted") {
		l.unused++
		return l.x.skip()
	}
	o := rodReading{setup: e.get("setupID"), purpose: cmp.Or(e.get("purpose"), purpose), at: e.at}
	text := e.get("rod")
	if text != "" {
		var err error
		if o.rod, err = l.attribute(e, "rod", "rod"); err != nil {
			return err
		}
	}
	if err := l.x.each(func(t *element) error {
		if t.name == "TargetPoint" {
			o.point = cmp.Or(t.get("pntRef"), t.get("name"))
		}
		return l.x.skip()
	}); err != nil {
		return err
	}
	if text == "" {
		l.sights = append(l.sights, o.point)
		return nil
	}
	l.rods = append(l.rods, o)
	return nil
}

// attribute reads the number in an attribute. what names it in messages.
func (l *reader) attribute(e *element, name, what string) (float64, error) {
	v, err := input.Number([]byte(strings.TrimSpace(e.get(name))))
	if bad, ok := err.(*input.NumberError); ok {
		return 0, &survey.Error{Pos: e.at, Element: what, Found: bad.Found, Want: bad.Want}
	}
	return v, err
}

// finish resolves references, converts units and decides which points are shots.
func (l *reader) finish() error {
	if err := l.settleUnit(); err != nil {
		return err
	}
	l.byName = sync.OnceValue(l.names)
	for i := range l.points {
		if err := l.resolvePoint(int32(i)); err != nil {
			return err
		}
	}
	if err := l.reduceRods(); err != nil {
		return err
	}
	for i := range l.geometries {
		if err := l.outline(&l.geometries[i]); err != nil {
			return err
		}
	}
	for i := range l.s.Surfaces {
		if err := l.resolveSurface(&l.s.Surfaces[i]); err != nil {
			return err
		}
	}
	l.noteObservations()
	l.keepPoints()
	l.scale()
	for _, f := range l.others {
		l.note(survey.Assumed, l.file, "points of this file are in another, %q, which is not opened", f)
	}
	if l.invisible > 0 {
		l.note(survey.Assumed, l.file, "%d invisible faces (i=\"1\") are no part of the floor", l.invisible)
	}
	return l.anything()
}

func (l *reader) settleUnit() error {
	asked := l.o.Unit
	switch {
	case l.unit == nil && asked == unit.None:
		return (&survey.Error{Pos: l.file, Element: "Units", Found: "none", Want: "the linear unit of the coordinates"}).Hinted("%s", unit.Ask("units", "m"))
	case l.unit == nil:
		for _, u := range linearUnits {
			if u.length == asked && u.name != "kilometre" && u.name != "mile" {
				l.unit = &u
			}
		}
		l.note(survey.Assumed, l.file, "no Units in the file: coordinates taken as %s", l.unit.name)
	case asked != unit.None && asked.Imperial() != l.unit.length.Imperial():
		return (&survey.Error{Pos: l.unitAt, Element: "Units", Found: l.unit.name, Want: asked.String() + ", the unit asked for: one of the two is wrong"}).Hinted("%s to take the unit of the file", unit.LeaveOut("units"))
	}
	l.s.Unit, l.s.Plan = l.unit.length, l.unit.length
	return nil
}

// misclosure is the max difference, m, between two levels of one point: they are read to
// the millimetre.
const misclosure = 0.0015

// reduceRods turns rod readings into elevations: elevation of the backsight's point +
// its reading − the reading. The backsight's point becomes a benchmark and is not floor.
// It may be a turning point whose elevation comes from another set-up.
func (l *reader) reduceRods() error {
	var setups [][]rodReading // backsights first
	index := map[string]int{}
	for _, back := range []bool{true, false} {
		for _, o := range l.rods {
			if strings.EqualFold(o.purpose, "backsight") != back {
				continue
			}
			var err error
			if o.target, err = l.named(o.point, 0, o.at); err != nil {
				return err
			}
			k, ok := index[o.setup]
			switch {
			case !ok && !back:
				return noBacksight(o)
			case !ok:
				k = len(setups)
				index[o.setup] = k
				setups = append(setups, nil)
			case back && setups[k][0].target != o.target:
				return &survey.Error{Pos: o.at, Element: fmt.Sprintf("set-up %q", o.setup), Found: fmt.Sprintf("backsights on %q and %q", l.points[setups[k][0].target].Name(), l.points[o.target].Name()), Want: "one backsight: two would give two heights of instrument"}
			}
			setups[k] = append(setups[k], o)
		}
	}
	for n := len(setups); n > 0; n = len(setups) {
		setups = slices.DeleteFunc(setups, l.reduceSetup)
		if len(setups) == n {
			return noBacksight(setups[0][0])
		}
	}
	return nil
}

func noBacksight(o rodReading) error {
	return &survey.Error{Pos: o.at, Element: fmt.Sprintf("set-up %q", o.setup), Found: "rod readings without a backsight on a point of known elevation", Want: "a backsight"}
}

// reduceSetup reduces a set-up if the elevation of the backsight's point, the first
// reading, is known. It reports whether it did.
func (l *reader) reduceSetup(readings []rodReading) bool {
	first := readings[0]
	b := &l.points[first.target]
	if !b.HasZ() {
		return false
	}
	b.bench = true
	instrument := b.Z + first.rod
	l.note(survey.Assumed, first.at, "set-up %s: height of instrument %.4f from the backsight on %s, in the unit of the file", first.setup, instrument, b.Name())
	for _, o := range readings[1:] {
		p, z := &l.points[o.target], instrument-o.rod
		switch {
		case !p.HasZ():
			p.Z = z
			if p.n == 2 {
				p.n = 3
			}
		case math.Abs(l.unit.metres(p.Z-z)) > misclosure:
			l.note(survey.Warning, o.at, "the rod on %s reads an elevation of %.4f, which is known as %.4f, in the unit of the file", p.Name(), z, p.Z)
		}
	}
	return true
}

// noteObservations notes the observations that are not levels.
func (l *reader) noteObservations() {
	if l.unused > 0 {
		l.note(survey.Assumed, l.file, "%d observations are marked as unused or deleted, and skipped", l.unused)
	}
	missing := map[string]bool{}
	for _, name := range l.sights {
		if all := l.byName()[name]; len(all) == 0 || l.points[all[0]].n == 0 {
			missing[name] = true
		}
	}
	switch n := len(l.sights); {
	case len(missing) > 0:
		l.note(survey.Warning, l.file, "%d observations by angle and distance are not reduced: %d points are in them alone, and are missing", n, len(missing))
	case n > 0:
		l.note(survey.Assumed, l.file, "%d observations by angle and distance are not reduced: their points have coordinates in the file", n)
	}
}

// anything refuses a document without anything to use.
func (l *reader) anything() error {
	s := l.s
	if len(s.Points) > 0 || len(s.Surfaces) > 0 || len(s.Outlines) > 0 {
		return nil
	}
	if l.empty != nil {
		return l.empty
	}
	found := "no points or surfaces"
	switch {
	case len(l.sights) > 0:
		found = fmt.Sprintf("only observations, %d by angle and distance, and no point with an elevation", len(l.sights))
	case s.Rows > 0:
		found = fmt.Sprintf("%d points, none of them with an elevation", s.Rows)
	}
	return &survey.Error{Pos: l.file, Found: found, Want: "points with elevations, a surface, or an outline"}
}
