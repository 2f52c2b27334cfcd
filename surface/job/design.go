package job

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// designFlags are a surface from a file as the target.
type designFlags struct {
	design string  // FILE or FILE#NAME
	as     string  // the same as the user wrote it
	loaded *Design // once it has been read
}

// Design is a surface from a file that is the target.
type Design struct {
	File      string // as given
	Name      string // of the surface in it; empty for points
	Triangles int
	Lowered   float64 // m, build-up and stay-low; 0 if it is the top of fill itself
	floor     *surface.Floor
	shape     surface.Shape
}

// designFile splits FILE#NAME. What is before the # has the ending of a file: the name of a file may
// have a # too.
func designFile(text string) (file, name string) {
	if i := strings.LastIndex(text, "#"); i > 0 && filepath.Ext(text[:i]) != "" {
		return text[:i], text[i+1:]
	}
	return text, ""
}

// check refuses settings that are wrong whatever the files hold.
func (f *designFlags) check(t *targetFlags) error {
	if f.design == "" {
		return nil
	}
	for _, v := range []struct {
		field string
		given bool
	}{{"fall", t.fall != 0}, {"toward", t.toward != ""}, {"fall-direction", t.direction != ""}, {"drain", len(t.drains) > 0}, {"channel", len(t.channels) > 0}, {"walls", t.walls != ""}, {"ramp", len(t.ramps) > 0}, {"best", t.best}} {
		if v.given {
			return misuse(v.field, "%s has its own heights and falls; %s goes with another target", unit.Ask("target-surface", ""), unit.Ask(v.field, "")).Hinted("%s", unit.LeaveOut(v.field))
		}
	}
	for _, text := range t.parts {
		if _, z, _ := ofPart(text); z != notFilled {
			return misuse("target", "%s is for all parts that are filled", unit.Ask("target-surface", "")).Hinted("%s leaves a part out; parts with a height of their own go with %s", askPart("PART", notFilled), unit.Ask("target", "Z"))
		}
	}
	return nil
}

// loadDesign reads the target surface, if the target is one.
func (f *input) loadDesign(t *targetFlags, s *survey.Survey, watch Watch) error {
	if t.design == "" || t.loaded != nil {
		return nil
	}
	file, name := designFile(t.design)
	in := input{duplicates: "refuse", levelFlags: levelFlags{adjust: "none"}, thinFlags: thinFlags{keep: "mean"}, sourceFlags: sourceFlags{maxSize: f.maxSize, Files: f.Files, stop: f.stop}}
	d, err := in.readDesign(file, f.units, watch)
	if err != nil {
		return err
	}
	one, err := chosenDesign(d, t.as, name)
	if err != nil {
		return err
	}
	out := &Design{File: file}
	if one != nil {
		in.surface, out.Name = one.Name, one.Name
	}
	if out.floor, err = in.floor(d); err != nil {
		return inFile(err, file)
	}
	if len(out.floor.Steps) > 0 {
		return &survey.Error{Pos: survey.Pos{File: file}, Found: "a surface with steps", Want: "one surface without upright faces: a breakline on either side of each step, a millimetre apart"}
	}
	for _, r := range out.floor.Regions {
		out.Triangles += r.TIN.Len()
	}
	out.shape = surface.NewShape(out.floor, nil)
	t.loaded = out
	s.Notes = append(append(s.Notes, d.Notes...), out.floor.Notes...)
	return nil
}

// readDesign reads the file of a target surface. units are for lengths that it gives without one: a
// design may well be in another unit than the survey.
func (f *input) readDesign(file, units string, watch Watch) (*survey.Survey, error) {
	d, err := f.read([]string{file}, watch)
	var e *survey.Error
	if errors.As(err, &e) && units != "" && slices.ContainsFunc(e.Asks(), func(o unit.Option) bool { return o.Name == "units" }) {
		f.units, f.given = units, Lengths{}
		d, err = f.read([]string{file}, watch)
	}
	if err != nil {
		return nil, inFile(err, file)
	}
	if d.Relative {
		return nil, &survey.Error{Pos: survey.Pos{File: file}, Found: "readings whose elevations are relative", Want: "a surface with elevations on the datum of the survey"}
	}
	if len(d.Points) == 0 && len(d.Surfaces) == 0 {
		return nil, &survey.Error{Pos: survey.Pos{File: file}, Found: "neither a surface nor points with elevations", Want: "a LandXML file with a surface, or a list of points x, y, z"}
	}
	return d, nil
}

// chosenDesign returns the surface of a file that is the target; nil if it has points alone.
func chosenDesign(d *survey.Survey, as, name string) (*survey.Surface, error) {
	file, _ := designFile(as)
	var names []string
	for i := range d.Surfaces {
		if names = append(names, d.Surfaces[i].Name); d.Surfaces[i].Name == name && name != "" {
			return &d.Surfaces[i], nil
		}
	}
	ask := func(name string) unit.Option { return unit.AskQuoted("target-surface", file+"#"+name) }
	e := misused("target-surface", "", "")
	switch {
	case name == "" && len(names) == 0:
		return nil, nil
	case name == "" && len(names) == 1:
		return &d.Surfaces[0], nil
	case name == "":
		e.Found, e.Want = fmt.Sprintf("%d surfaces in %s: %s", len(names), file, quotedList(names)), "one of them named"
		return nil, e.Hinted("%s", ask(names[0]))
	case len(names) == 0:
		e.Found, e.Want = fmt.Sprintf("%q, and %s has points and no surface", name, file), "the file alone"
		return nil, e.Hinted("%s", unit.Ask("target-surface", file))
	}
	e.Found, e.Want = fmt.Sprintf("no surface %q in %s", name, file), "one of "+quotedList(names)
	if near := nearestName(name, names); near != "" {
		return nil, e.Hinted("did you mean %s?", ask(near))
	}
	return nil, e.Hinted("%s", ask(names[0]))
}

func quotedList(names []string) string {
	var out []string
	for _, n := range names {
		out = append(out, unit.Quote(n))
	}
	return strings.Join(out, ", ")
}

// covered returns the part of a floor that the target surface covers, and the pieces that it does
// not.
func (f *targetFlags) covered(floor *surface.Floor) (*surface.Floor, []PartLeft, error) {
	if f.loaded == nil {
		return floor, nil, nil
	}
	got, err := floor.Covered(f.loaded.shape)
	if err != nil || got == floor {
		return got, nil, err
	}
	if len(got.Regions) == 0 {
		return nil, nil, f.elsewhere(floor)
	}
	var left []PartLeft
	for _, r := range got.Left[len(floor.Left):] {
		shots := 0
		for _, p := range r.Shots {
			if offFloor(got, p) {
				shots++
			}
		}
		at := r.TIN.Middle()
		left = append(left, PartLeft{Name: r.Part, Area: r.TIN.PlanArea(), Shots: shots, At: &at})
	}
	slices.SortFunc(left, func(a, b PartLeft) int {
		return cmp.Or(cmp.Compare(b.Area, a.Area), cmp.Compare(a.At.X, b.At.X), cmp.Compare(a.At.Y, b.At.Y))
	})
	f.filled = got
	got.Thresholds = slices.DeleteFunc(slices.Clone(floor.Thresholds), func(p survey.Point) bool { return f.beyond(&p, got) })
	return got, left, nil
}

// elsewhere refuses a target surface that covers nothing of the floor.
func (f *targetFlags) elsewhere(floor *surface.Floor) error {
	lo, hi := floor.Bounds()
	from, to := f.loaded.floor.Bounds()
	extent := func(lo, hi surface.Vec) unit.Text { return unit.Textf("from %s to %s", At(lo), At(hi)) }
	e := misused("target-surface", "", "").Measured(unit.Textf("a surface %s, and a floor %s: it covers nothing of it", extent(from, to), extent(lo, hi)),
		unit.Textf("both on one site grid and in their right units"), unit.Text{})
	swapped := lo.X < to.Y && from.Y < hi.X && lo.Y < to.X && from.X < hi.Y
	if swapped {
		return e.Hinted("x and y of one of the two look exchanged: name the columns in a header, such as n,e,z")
	}
	return e
}

// toDesign makes the target the surface of a file, lowered by build-up and stay-low.
func (f *targetFlags) toDesign(l *Lengths, s *survey.Survey, floor *surface.Floor) (planned, error) {
	var p planned
	var buildup, low float64
	if err := l.into(lengthValue{"buildup", f.buildup, &buildup}, lengthValue{"low", f.low, &low}); err != nil {
		return p, err
	}
	d := *f.loaded
	d.Lowered = buildup + low
	p.design = &d
	p.target = d.shape.Moved(-d.Lowered)
	split, err := floor.Under(p.target)
	if err != nil {
		return p, err
	}
	p.whole, p.split = floor, split
	_, highest, _, _ := split.RangeOf(p.target)
	p.plane = surface.Horizontal(highest)
	what := unit.Textf("the surface of %s, %s", filepath.Base(d.File), survey.Plural(d.Triangles, "triangle"))
	if d.Name != "" {
		what = unit.Textf("surface %s of %s, %s", unit.Quote(d.Name), filepath.Base(d.File), survey.Plural(d.Triangles, "triangle"))
	}
	text := unit.Textf("%s: it is the top of fill itself", what)
	if f.buildup != "" || f.low != "" {
		text = unit.Textf("%s: it is the finished floor, and the top of fill is %s below it", what, unit.Depth(d.Lowered))
	}
	p.notes = append(p.notes, survey.Notef(survey.Assumed, survey.Pos{}, "the target is %s", text).About(survey.AboutTarget))
	p.notes = append(p.notes, closedOff(s, f.finishShots(s))...)
	p.notes = append(p.notes, farFinished(floor, f.finished(s))...)
	p.notes = append(p.notes, survey.By(ByDoors, f.noteDoorWords(s, floor, nil, nil))...)
	return p, nil
}

// offFloor reports whether a shot is none of a floor.
func offFloor(floor *surface.Floor, p survey.Point) bool {
	return !math.IsNaN(p.X+p.Y) && !slices.ContainsFunc(floor.Regions, func(r surface.Region) bool { return slices.Contains(r.Shots, p) })
}

// Text says which surface it is: `surface "top" of design.xml, `. Empty for none.
func (d *Design) Text() unit.Text {
	switch {
	case d == nil:
		return unit.Text{}
	case d.Name == "":
		return unit.Textf("the surface of %s, ", filepath.Base(d.File))
	}
	return unit.Textf("surface %s of %s, ", unit.Quote(d.Name), filepath.Base(d.File))
}

// toFill returns what of a floor is filled, and what is not: parts that stay as they are, and
// what the target surface does not cover.
func (f *input) toFill(t *targetFlags, s *survey.Survey, floor *surface.Floor, watch Watch) (*surface.Floor, []PartLeft, error) {
	filled, left, err := t.filledParts(floor)
	if err == nil {
		err = f.loadDesign(t, s, watch)
	}
	if err != nil {
		return nil, nil, err
	}
	filled, bare, err := t.covered(filled)
	return filled, append(left, bare...), err
}
