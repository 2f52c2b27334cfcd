package job

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/surface/falls"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// drainFlags are the drains and channels that a target falls to.
type drainFlags struct {
	drains   []Drain
	channels []string
	walls    string // even or level
}

// given reports whether there are any.
func (f *drainFlags) given() bool { return len(f.drains)+len(f.channels) > 0 }

// byName reports whether a drain is given by the name of a shot.
func (f *drainFlags) byName(name string) bool {
	return name != "" && slices.ContainsFunc(f.drains, func(d Drain) bool { return d.At == "" && cmp.Or(d.Name, d.text) == name })
}

// check refuses settings that are wrong whatever the survey.
func (f *drainFlags) check(t *targetFlags) error {
	switch {
	case !f.given() && f.walls != "":
		return misuse("walls", "%s is for a floor that falls to drains", unit.Ask("walls", "")).Hinted("%s", unit.Ask("drain", "NAME"))
	case !f.given():
		return nil
	case f.walls != "" && f.walls != "even" && f.walls != "level":
		return misused("walls", strconv.Quote(f.walls), "even or level")
	case t.toward != "":
		return misuse("toward", "%s is a fall in one direction, %s from all sides; give one of them", unit.Ask("toward", t.toward), unit.Ask("drain", "")).Hinted("%s", unit.LeaveOut("toward"))
	case t.fall == 0:
		return misuse("fall", "how much does the floor fall to the drains?").Hinted("%s, or %s", unit.Ask("fall", "1:60"), unit.Ask("fall", "1/4in/ft"))
	case t.rule == "plane":
		return misuse("finish-rule", "%s plane has a slope of its own; drains go with lowest or mean", unit.Ask("finish-rule", ""))
	case f.walls == "level" && !t.heightGiven() && t.volume == "":
		return misuse("walls", "walls that are to be level, without their level").Hinted("%s, or %s, which takes the elevation of the drains", unit.Ask("target", "Z"), unit.Ask("walls", "even"))
	}
	return nil
}

// toDrains makes the target of p fall to the drains. The plane of p, if the job sets one, is the
// level of the walls: they are at it, or with an even fall nowhere above it. Without one a drain
// given with an elevation is at it, and the rim of a drain that was shot is finished floor.
func (f *targetFlags) toDrains(p *planned, l *Lengths, s *survey.Survey, floor *surface.Floor) error {
	a := falls.Ask{Floor: floor, Fall: float64(f.fall) / 100, Level: f.walls == "level", Top: math.NaN()}
	drop := math.NaN()
	switch {
	case f.heightGiven():
		a.Top = p.plane.Z
	case f.volumeSets():
		least, _ := floor.Depths(surface.Horizontal(0))
		a.Top = 0 - least // wherever: the volume moves it
	case f.buildup != "":
		var buildup, low float64
		if err := l.into(lengthValue{"buildup", f.buildup, &buildup}, lengthValue{"low", f.low, &low}); err != nil {
			return err
		}
		drop = buildup + low
	}
	given, err := f.givenDrains(drop, l, s)
	if err != nil {
		return err
	}
	for _, d := range given {
		a.Drains = append(a.Drains, d.Drain)
	}
	if i := slices.IndexFunc(a.Drains, func(d falls.Drain) bool { return math.IsNaN(d.Z) }); i >= 0 && math.IsNaN(a.Top) {
		d := given[i]
		e := misuse("", "no target, and no elevation of %s: how high is the top of fill?", d.Name)
		switch {
		case d.table:
			return e.Hinted("%s for the walls, or an elevation in the table of the drain", unit.Ask("target", "Z"))
		case d.Channel:
			return e.Hinted("%s for the walls, or %s", unit.Ask("target", "Z"), unit.Ask("channel", "X1,Y1,X2,Y2,Z"))
		}
		return e.Hinted("%s for the walls, or %s for the drain", unit.Ask("target", "Z"), unit.Ask("drain", "X,Y,Z"))
	}
	if i := slices.IndexFunc(a.Drains, func(d falls.Drain) bool { return !math.IsNaN(d.Z) }); i >= 0 && f.volumeSets() {
		return misuse("volume", "%s sets the height of the fill, and the elevation of %s does too; give one of them", unit.Ask("volume", ""), given[i].Name).
			Hinted("leave out the elevations of the drains, or %s", unit.LeaveOut("volume"))
	}
	built, err := falls.Build(a)
	if err == nil && f.volumeSets() {
		if a.Top, err = f.filledBy(floor, shapeOf(built), a.Top, s.Unit.Imperial()); err == nil {
			built, err = falls.Build(a)
		}
	}
	if err != nil {
		return err
	}
	p.falls, p.target = built, shapeOf(built)
	p.plane = surface.Horizontal(built.Highest.Z)
	p.notes = append(p.notes, f.drainNotes(built, floor)...)
	notes, err := f.drainsAtDoors(p, l, s)
	p.notes = append(p.notes, notes...)
	return err
}

// drainsAtDoors warns of drains that are shots of finished floor above the fill.
func (f *targetFlags) drainsAtDoors(p *planned, l *Lengths, s *survey.Survey) ([]survey.Note, error) {
	const least = 0.0005 // m, a shot is no better
	_, c, err := f.thresholds(l, s, p.target)
	if err != nil {
		return nil, err
	}
	var out []survey.Note
	finished := f.finished(s)
	for _, d := range p.falls.Served {
		for i := range finished {
			shot := &finished[i]
			if up := shot.Z - c.Thickness - c.Bed - d.Z; up > least && shot.Name() != "" && shot.Name() == d.Name {
				out = append(out, survey.Notef(survey.Warning, shot.At(), "the floor falls to %s, which is finished floor %s above the fill there: no water leaves over it%s", d.Name, unit.Depth(up), unit.Hintf(". Name the drain itself, or its place: %s", unit.Ask("drain", "X,Y"))).About(survey.AboutTarget))
			}
		}
	}
	return out, nil
}

// shapeOf returns the target that a surface of falls is.
func shapeOf(b *falls.Built) surface.Shape {
	if b.Fall > 0 {
		return surface.NewEvenShape(b.Floor, b.Fall)
	}
	return surface.NewShape(b.Floor, nil)
}

// drainNotes say what the falls come to.
func (f *targetFlags) drainNotes(b *falls.Built, floor *surface.Floor) []survey.Note {
	var out []survey.Note
	for _, d := range b.Served {
		out = append(out, survey.Notef(survey.Assumed, survey.Pos{}, "%s serves %s of the floor: the fill there is at %s, the longest way to it is %s, the least fall %.3g %%, and the wall is highest at %s, %s",
			cmp.Or(d.Name, "the drain"), unit.Area(d.Area), unit.ElevationDown(d.Z), unit.Distance(d.Farthest), 100*d.LeastFall, unit.ElevationDown(d.Highest.Z), Beside(floor, d.Highest.At)).About(survey.AboutTarget))
	}
	if b.Highest.Z-b.Lowest.Z > water {
		out = append(out, survey.Notef(survey.Assumed, survey.Pos{}, "the fill is not level along the walls: from %s at %s to %s at %s", unit.ElevationDown(b.Lowest.Z), Beside(floor, b.Lowest.At),
			unit.ElevationDown(b.Highest.Z), Beside(floor, b.Highest.At)).About(survey.AboutTarget))
	}
	return out
}

// DrainsList names the drains that a target falls to, as "D1 and D2" or "5 drains"; empty unless it
// falls to some.
func (w *Filled) DrainsList() string {
	if w.Falls == nil {
		return ""
	}
	const most = 4
	var names []string
	for _, d := range w.Falls.Served {
		names = append(names, d.Name)
	}
	last := len(names) - 1
	switch {
	case last >= most:
		return survey.Plural(len(names), "drain")
	case last > 0:
		return strings.Join(names[:last], ", ") + " and " + names[last]
	}
	return names[last]
}

// DrainsText says what a target falls to: "; to D1 and D2 at 9.955 m". Empty unless it falls to
// drains. With level walls it has the least fall along the way as well: that of a facet is steeper.
func (w *Filled) DrainsText() unit.Text {
	if w.Falls == nil || w.Falls.Fall > 0 {
		return w.drainsAt()
	}
	least := slices.MinFunc(w.Falls.Served, func(a, b falls.Served) int { return cmp.Compare(a.LeastFall, b.LeastFall) }).LeastFall
	return unit.Textf("%s, min %s %% along the way there", w.drainsAt(), unit.Digits(100*least))
}

func (w *Filled) drainsAt() unit.Text {
	if w.Falls == nil {
		return unit.Text{}
	}
	const most, alike = 4, 1e-9 // named in a line; m
	all := w.Falls.Served
	low, high := math.Inf(1), math.Inf(-1)
	for _, d := range all {
		low, high = min(low, d.Z+w.RaisedBy), max(high, d.Z+w.RaisedBy)
	}
	at := unit.Textf("%s", unit.ElevationDown(low))
	if high-low > alike {
		at = unit.Textf("%s to %s", unit.ElevationDown(low), unit.ElevationDown(high))
	}
	if len(all) > most {
		return unit.Textf("; to %s at %s", survey.Plural(len(all), "drain"), at)
	}
	var each []unit.Text
	for _, d := range all {
		if high-low > alike {
			each = append(each, unit.Textf("%s at %s", d.Name, unit.ElevationDown(d.Z+w.RaisedBy)))
		} else {
			each = append(each, unit.Textf("%s", d.Name))
		}
	}
	last := len(each) - 1
	list := each[last]
	if last > 0 {
		list = unit.Textf("%s and %s", unit.Join(each[:last], ", "), list)
	}
	if high-low > alike {
		return unit.Textf("; to %s", list)
	}
	return unit.Textf("; to %s at %s", list, at)
}
