package job

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"pourplane/surface"
	ponds "pourplane/surface/water"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Standing is where water stands and runs on one surface of a floor.
type Standing struct {
	*ponds.Water
	On    WaterOn
	Floor *surface.Floor // with the elevations of that surface

	Wanted float64 // rise over run: the fall of the target, the last of [ponds.Water.Flatter]; 0: level, or none

	Channels [][2]surface.Vec // that the target falls to: outlets at both ends
}

// WaterOn is a surface of a floor on which water stands.
type WaterOn uint8

const (
	AsSurveyed WaterOn = iota // the floor before the pour
	AsPlanned                 // the finished floor on the target
	AsPoured                  // the floor after the pour
)

// ShallowWater is the depth below which a pond is counted and not listed, m: less than shots
// and a screed are good to. Own choice; no published limit of the depth of a pond was found.
const ShallowWater = 0.001

// LeastFall is a least fall that is published, of floors from which water must run.
type LeastFall struct {
	For    string
	Fall   float64 // rise over run
	Source string
}

// LeastFalls are the least falls found. None was checked against the standard itself.
var LeastFalls = []LeastFall{
	{"wet areas inside with a drain, France", 0.01, "page on NF DTU 52.1"},
	{"wet areas outside the shower, Australia", 0.01, "specification help page"},
	{"showers, Australia", 1.0 / 80, "page of a builders' association; 1:60 to 1:80"},
	{"showers and wet floors, USA: 1/4 in per ft", 1.0 / 48, "column of a tile education foundation"},
}

// facets is the share by which a fall may be short of a limit and still count as that: 2.08 % is
// 1/4 in per ft. Own choice.
const facets = 0.005

// waterOptions are what ponds are listed and which falls are wanted: those of [LeastFalls], then
// the one of the target, if it falls.
func waterOptions(fall float64) ponds.Options {
	o := ponds.Options{Shallow: ShallowWater}
	for _, l := range LeastFalls {
		o.Falls = append(o.Falls, l.Fall*(1-facets))
	}
	if fall > 0 {
		o.Falls = append(o.Falls, fall)
	}
	return o
}

// standing works out where water stands on the floor as surveyed and on the finished target.
func (f *filling) standing(w *Filled, watch Watch) ([]survey.Note, error) {
	if !f.water {
		return nil, nil
	}
	watch.Say("finding where water stays", 0, 0)
	all, notes, err := f.stands(w)
	w.Water = all
	return notes, err
}

func (f *filling) stands(w *Filled) ([]*Standing, []survey.Note, error) {
	least, _ := w.falls()
	before, notes := standOn(AsSurveyed, w.Old, outletsOf(w.Survey.Drains(), w.Old.Thresholds, true), waterOptions(least))
	planned, err := f.standsOnTarget(w)
	return []*Standing{before, planned}, notes, err
}

// Standing returns where water stands on the floor as surveyed and on the finished target, whether
// the job asks for it or not, and notes about outlets that count for neither.
func (w *Filled) Standing() ([]*Standing, []survey.Note, error) { return w.plan.stands(w) }

// Standing returns where water stands on the floor as found. There must be one.
func (h *Holding) Standing() ([]*Standing, []survey.Note) {
	s, notes := standOn(AsSurveyed, h.Floor, outletsOf(h.S.Drains(), h.Floor.Thresholds, true), waterOptions(0))
	return []*Standing{s}, notes
}

// standsOnTarget works out where water stands on the finished target. A place that it falls to
// is a drain.
func (f *filling) standsOnTarget(w *Filled) (*Standing, error) {
	drains := w.Survey.Drains()
	if fall := w.Falling; fall != nil && fall.Place != nil && !slices.ContainsFunc(drains, func(d survey.Point) bool {
		return fall.Place.Distance(surface.Vec{X: d.X, Y: d.Y}) < samePlace
	}) {
		drains = append(slices.Clone(drains), survey.Point{X: fall.Place.X, Y: fall.Place.Y}.Named(fall.Name))
	}
	if w.Falls != nil {
		for _, d := range w.Falls.Served {
			for _, at := range d.Ends() {
				if !slices.ContainsFunc(drains, func(d survey.Point) bool { return at.Distance(surface.Vec{X: d.X, Y: d.Y}) < samePlace }) {
					drains = append(slices.Clone(drains), survey.Point{X: at.X, Y: at.Y}.Named(d.Name))
				}
			}
		}
	}
	// Water runs on the covering, and grates are set level with it.
	finished, err := w.Floor.Finished(w.Fill.Target.Moved(w.Covering.Thickness + w.Covering.Bed))
	if err != nil {
		return nil, err
	}
	least, greatest := w.falls()
	options := waterOptions(least)
	on, _ := standOn(AsPlanned, finished, outletsOf(drains, w.Floor.Thresholds, false), options)
	if w.Falls != nil {
		for _, d := range w.Falls.Served {
			if d.Channel {
				on.Channels = append(on.Channels, [2]surface.Vec{d.At, d.To})
			}
		}
	}
	if least == greatest { // the facets of an even fall to drains have a little less or more
		on.Least.Fall = least
		for i, fall := range options.Falls {
			if on.Flatter[i] = 0; least < fall {
				on.Flatter[i] = on.Area
			}
		}
	}
	return on, nil
}

// falls returns the least and the greatest fall of the target, rise over run.
func (w *Filled) falls() (least, greatest float64) {
	least, greatest, _, err := w.Floor.FallsOf(w.Fill.Target)
	if err != nil {
		return 0, 0 // the floor could not be split for it, which the fill refuses
	}
	return least, greatest
}

// standsAfter works out where water stands on the floor judged. Drains that were shot before the
// pour alone are at the elevation of the floor.
func (f *judging) standsAfter(j *Judged, watch Watch) error {
	if !f.water {
		return nil
	}
	if j.Floor == nil {
		return misuse("water", "%s is for a survey of the whole floor; runs alone have no low spots", unit.Ask("water", "")).Hinted("%s", unit.LeaveOut("water"))
	}
	watch.Say("finding where water stays", 0, 0)
	outlets := outletsOf(j.Survey.Drains(), j.Floor.Thresholds, true)
	if f.held != nil && len(j.Survey.Drains()) == 0 {
		outlets = append(outlets, outletsOf(f.held.Survey.Drains(), nil, false)...)
	}
	fall := 0.0
	if !j.Fitted {
		least, _, _, err := j.Floor.FallsOf(j.Target)
		if err != nil {
			return err
		}
		fall = least
	}
	on := AsSurveyed
	if f.poured || f.held != nil {
		on = AsPoured
	}
	var notes []survey.Note
	j.Water, notes = standOn(on, j.Floor, outlets, waterOptions(fall))
	j.Notes = append(j.Notes, notes...)
	return nil
}

// outlet is an outlet and where it was read.
type outlet struct {
	ponds.Outlet
	at survey.Pos
}

// outletsOf are the drains, and the adjoining finished floors as open sides with their
// elevation as the sill. rims: drains are at their own elevations.
func outletsOf(drains, finished []survey.Point, rims bool) []outlet {
	var out []outlet
	for _, d := range drains {
		if math.IsNaN(d.X + d.Y) {
			continue
		}
		o := ponds.Outlet{Name: cmp.Or(d.Name(), "drain"), At: surface.Vec{X: d.X, Y: d.Y}, Z: math.NaN()}
		if rims && d.HasZ() {
			o.Z = d.Z
		}
		out = append(out, outlet{o, d.At()})
	}
	for _, p := range finished {
		if p.HasZ() && !math.IsNaN(p.X+p.Y) {
			out = append(out, outlet{ponds.Outlet{Name: cmp.Or(p.Name(), "threshold"), At: surface.Vec{X: p.X, Y: p.Y}, Z: p.Z, Open: true}, p.At()})
		}
	}
	return out
}

// standOn works out where water stands, without the outlets that are not on the floor or at no
// wall of it: a note names each.
func standOn(on WaterOn, floor *surface.Floor, outlets []outlet, o ponds.Options) (*Standing, []survey.Note) {
	outlets, notes := atWalls(floor, outlets)
	if len(floor.Open) > 0 {
		notes = append(notes, survey.Notef(survey.Warning, survey.Pos{}, "water: the edge to floor that is not filled counts as a wall. Water that runs over it is not followed").About(survey.AboutTarget))
	}
	for {
		var all []ponds.Outlet
		for _, u := range outlets {
			all = append(all, u.Outlet)
		}
		w, err := ponds.Find(floor, all, o)
		if err == nil {
			s := &Standing{Water: w, On: on, Floor: floor}
			if n := len(o.Falls); n > len(LeastFalls) {
				s.Wanted = o.Falls[n-1]
			}
			return s, notes
		}
		var off *ponds.OffFloor
		if !errors.As(err, &off) {
			panic("pourplane: water refused an outlet for another reason: " + err.Error())
		}
		u := outlets[off.Outlet]
		notes = append(notes, survey.Notef(survey.Warning, u.at, "%s is %s from the floor: no water of this floor runs to it", u.Name, unit.Distance(off.Away)).About(survey.AboutTarget))
		outlets = slices.Delete(slices.Clone(outlets), off.Outlet, off.Outlet+1)
	}
}

// atWalls leaves out thresholds that are at no wall, see [farFinished]: a note names each.
func atWalls(floor *surface.Floor, outlets []outlet) (near []outlet, notes []survey.Note) {
	most := besideDoor
	if floor.Hull {
		most += floor.Spacing()
	}
	for _, u := range outlets {
		if off := u.At.Distance(floor.NearestWall(u.At)); u.Open && off > most {
			notes = append(notes, survey.Notef(survey.Warning, u.at, "%s is %s from the nearest wall: no water of this floor leaves there", u.Name, unit.Distance(off)).About(survey.AboutTarget))
			continue
		}
		near = append(near, u)
	}
	return near, notes
}
