package job

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// mostRelief is a difference between two elevations, m, that no floor has: beyond it a
// reading is wrong by a decimal point or a power of ten. Own choice.
const mostRelief = 1000

// usualRelief is a difference between two elevations, m, that few floors have: beyond it
// two storeys are in one survey, a shot is misread, or the unit is wrong. Own choice: a
// storey.
const usualRelief = 3

// usualReliefText is that in round figures.
var usualReliefText = unit.Either{Metric: "3 m", US: "about 10 ft"}

// oneFloor refuses elevations that are farther apart than those of any floor, and names
// the one farthest from the median. It warns of a difference that few floors have.
func oneFloor(s *survey.Survey, points []survey.Point) error {
	lo, hi := extremes(points)
	relief := hi.Z - lo.Z
	if !(relief > mostRelief) {
		if relief > usualRelief {
			s.Notes = append(s.Notes, survey.Notef(survey.Warning, hi.At(), "elevations of the floor are %s apart, from %s at %s to %s at %s; few floors are uneven by more than %s: is it one floor, and is the unit right?",
				rough(relief), unit.Elevation(lo.Z), cmp.Or(lo.Name(), "a shot"), unit.Elevation(hi.Z), cmp.Or(hi.Name(), "a shot"), usualReliefText).About(survey.AboutDepth))
		}
		return nil
	}
	middle, far := strays(points, 0)
	return strayed(s, far[:1], middle, unit.Textf("elevations of one floor, no more than %s apart", rough(mostRelief)))
}

// extremes returns the points of min and max elevation. Of equal elevations it takes the
// most western point, so the order of points does not matter.
func extremes(points []survey.Point) (lo, hi survey.Point) {
	lo.Z, hi.Z = math.Inf(1), math.Inf(-1)
	for i := range points {
		p := points[i]
		if !p.HasZ() {
			continue
		}
		west := func(q survey.Point) bool { return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y)) < 0 }
		if p.Z < lo.Z || p.Z == lo.Z && west(lo) {
			lo = p
		}
		if p.Z > hi.Z || p.Z == hi.Z && west(hi) {
			hi = p
		}
	}
	return lo, hi
}

// oneRun refuses a run with readings farther apart than those of any floor, and names
// the one farthest from the median of the run. Each run may have its own line of sight.
func oneRun(s *survey.Survey) error {
	for _, run := range s.Runs {
		lo, hi := math.Inf(1), math.Inf(-1)
		var points []survey.Point
		read := map[survey.Pos]string{}
		for i, v := range run.Stations {
			if math.IsNaN(v.Z) {
				continue
			}
			lo, hi = min(lo, v.Z), max(hi, v.Z)
			points = append(points, survey.Point{Z: v.Z}.With(survey.Tag{Name: fmt.Sprintf("reading %d of run %s", i+1, run.Name), At: v.At}))
			read[v.At] = v.Text
		}
		middle, far := fewStrays(points)
		want := unit.Textf("readings within %s of it, as the others are", rough(tooFar))
		if len(far) == 0 {
			if !(hi-lo > mostRelief) {
				continue
			}
			middle, far = strays(points, 0)
			want = unit.Textf("readings of one floor, no more than %s apart", rough(mostRelief))
		}
		p := far[0]
		reading := unit.Textf("%s", rough(p.Z))
		if text := read[p.At()]; text != "" {
			reading = unit.Textf("%s", text)
		}
		return (&survey.Error{Pos: p.At(), Element: p.Name()}).Measured(unit.Textf("%s, %s from the middle one of the run", reading, rough(math.Abs(p.Z-middle))), want, unit.Textf("correct it in the file"))
	}
	return nil
}

// strayShots refuses a floor with a few shots farther from a target than any fill is
// deep: those shots are wrong, not the target. It returns nil if the target is wrong.
func (f *input) strayShots(s *survey.Survey, floor *surface.Floor, target surface.Target) error {
	points := f.measuredOn(s, floor)
	middle, far := strays(points, tooFar)
	if len(far) == 0 {
		return nil
	}
	for _, p := range points {
		off := math.Abs(target.Elevation(surface.Vec{X: p.X, Y: p.Y}) - p.Z)
		if p.HasZ() && math.Abs(p.Z-middle) <= tooFar && !(off <= tooFar) {
			return nil
		}
	}
	return f.strayFromOthers(s, floor)
}

// strayFromOthers refuses a floor with a few shots farther from the others than any fill
// is deep.
func (f *input) strayFromOthers(s *survey.Survey, floor *surface.Floor) error {
	middle, far := fewStrays(f.measuredOn(s, floor))
	if len(far) == 0 {
		return nil
	}
	return strayed(s, far, middle, unit.Textf("shots within %s of it, as the others are", rough(tooFar)))
}

// measuredOn lists the points from which a floor has its elevations.
func (f *input) measuredOn(s *survey.Survey, floor *surface.Floor) []survey.Point {
	points := vertices(floor.Data)
	if one, err := f.chooseSurface(s); err == nil && one != nil && len(points) == 0 {
		points = one.Vertices // the surface has its own faces
	}
	return points
}

// vertices lists the points of a surface that carry elevations.
func vertices(d surface.Data) []survey.Point {
	all := slices.Clip(d.Shots)
	for _, r := range d.Rings {
		all = append(all, r.Points...)
	}
	for _, l := range d.Lines {
		all = append(all, l.Points...)
	}
	return all
}

// measured lists the points of a surface that have an elevation, and maybe others. It makes
// no list where the shots are all of them.
func measured(d surface.Data) []survey.Point {
	if len(d.Shots) == 0 {
		return vertices(d)
	}
	for _, r := range d.Rings {
		if slices.ContainsFunc(r.Points, survey.Point.HasZ) {
			return vertices(d)
		}
	}
	for _, l := range d.Lines {
		if slices.ContainsFunc(l.Points, survey.Point.HasZ) {
			return vertices(d)
		}
	}
	return d.Shots
}

// tooWide names the shot that makes a floor too wide for its shots: one with a lost
// decimal point, or the farthest out. Other errors are unchanged.
func tooWide(s *survey.Survey, err error) error {
	if !errors.Is(err, flatness.ErrTooWide) || len(s.Rings) > 0 || len(s.Points) == 0 {
		return named(s, err)
	}
	var e *survey.Error
	errors.As(err, &e)
	refusal := *e
	if lost := s.LostPoints(); len(lost) > 0 {
		refusal.Pos = lost[0].Pos
		refusal = *refusal.Measured(lost[0].Text, unit.Textf("%s", refusal.Want), unit.Text{})
	} else {
		p := farthestOut(s.Points)
		refusal.Pos = p.At()
		refusal = *refusal.AlsoFound(", farthest out %s at %s", cmp.Or(p.Name(), "a shot"), At(surface.Vec{X: p.X, Y: p.Y}))
	}
	return refusal.Hinted("correct it in the file, or %s; or give the walls: %s", leaveRow(refusal.Pos), unit.Ask("outline", "FILE"))
}

// leaveRow asks to leave out the shot of a row.
func leaveRow(at survey.Pos) unit.Option {
	return unit.AskQuoted("leave-out", fmt.Sprintf("%s:%d=misread", filepath.Base(at.File), at.Line))
}

// farthestOut returns the shot farthest in plan from the median x and y.
func farthestOut(points []survey.Point) survey.Point {
	var x, y []float64
	for i := range points {
		x, y = append(x, points[i].X), append(y, points[i].Y)
	}
	slices.Sort(x)
	slices.Sort(y)
	middle := surface.Vec{X: x[len(x)/2], Y: y[len(y)/2]}
	return slices.MaxFunc(points, func(a, b survey.Point) int {
		return cmp.Compare(middle.Distance(surface.Vec{X: a.X, Y: a.Y}), middle.Distance(surface.Vec{X: b.X, Y: b.Y}))
	})
}

// strays returns the median elevation, and the points that differ from it by more than
// most, m, the farthest first.
func strays(points []survey.Point, most float64) (middle float64, far []survey.Point) {
	var z []float64
	for i := range points {
		if points[i].HasZ() {
			z = append(z, points[i].Z)
		}
	}
	if len(z) == 0 {
		return 0, nil
	}
	slices.Sort(z)
	middle = z[len(z)/2]
	for _, p := range points {
		if math.Abs(p.Z-middle) > most {
			far = append(far, p)
		}
	}
	slices.SortStableFunc(far, func(a, b survey.Point) int {
		return cmp.Or(cmp.Compare(math.Abs(b.Z-middle), math.Abs(a.Z-middle)), cmp.Compare(a.At().File, b.At().File), cmp.Compare(a.At().Line, b.At().Line))
	})
	return middle, far
}

// fewStrays returns the points that differ from the median elevation by more than
// [tooFar], if there is one or they are a tenth of all, max. More of them are a floor at
// another level, not misread.
func fewStrays(points []survey.Point) (middle float64, far []survey.Point) {
	middle, far = strays(points, tooFar)
	if len(far) > max(1, len(points)/10) {
		return middle, nil
	}
	return middle, far
}

// strayed refuses shots that are far from the median elevation.
func strayed(s *survey.Survey, far []survey.Point, middle float64, want unit.Text) error {
	p := far[0]
	name := cmp.Or(p.Name(), "a point")
	same := func(r survey.Reading) bool {
		return r.At.File == p.At().File && r.At.Line == p.At().Line && r.Name == p.Name()
	}
	if i := slices.IndexFunc(s.Readings, same); i >= 0 {
		name += ", read as " + s.Readings[i].Text + ","
	}
	others := ""
	if n := len(far) - 1; n > 0 {
		others = fmt.Sprintf(", and %s far off", survey.Plural(n, "other point"))
	}
	found := unit.Textf("%s with the elevation %s, %s from the middle one of the survey (%s)%s", name, rough(p.Z), rough(math.Abs(p.Z-middle)), rough(middle), others)
	return (&survey.Error{Pos: p.At()}).Measured(found, want, unit.Text{}).Hinted("correct it in the file, or %s", leaveRow(p.At()))
}

// rough is a length of any size, m, written with four figures.
type rough float64

func (v rough) String() string { return v.In(unit.Style{}) }

func (v rough) In(s unit.Style) string {
	if s.Imperial {
		return fmt.Sprintf("%.4g ft", float64(v)/s.Elevations().Metres())
	}
	return fmt.Sprintf("%.4g m", float64(v))
}
