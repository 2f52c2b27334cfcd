package flatness

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
)

// jointSegments returns the pieces of joints.
func jointSegments(joints []survey.Breakline) []segment {
	var out []segment
	for _, j := range joints {
		for i := 1; i < len(j.Points); i++ {
			p, q := j.Points[i-1], j.Points[i]
			out = append(out, segment{surface.Vec{X: p.X, Y: p.Y}, surface.Vec{X: q.X, Y: q.Y}})
		}
	}
	return out
}

// LayOut lays runs over a floor by the rules of [Settings] and reads them from its
// triangles, one section per region. The band at walls, openings, steps and joints is left
// out unless that would take more than a quarter of the area. Runs are as close as allowed,
// in equal length along and across the longest side, or along both diagonals in a narrow
// section. Readings are on the triangles; a reading where shots are more than twice as far
// apart as allowed is missing.
//
// The numbers depend on the surface, which is straight between shots. It is an error, of
// type [*survey.Error], if the shots are usually farther apart than 1.25 steps, because the
// surface then has no curvature at the scale of a step, or if no run of 12 readings fits.
// Regions that cannot be read while others can are noted.
func LayOut(floor *surface.Floor, joints []survey.Breakline, s Settings) ([]Section, []survey.Note, error) {
	y, ok := systemOf(cmp.Or(s.Step, atInch))
	if !ok {
		return nil, nil, &survey.Error{Found: fmt.Sprintf("a step of %.1f mm", s.Step*1000), Want: "12 in (304.8 mm) or 300 mm to 1 % for F-numbers"}
	}
	s = s.filled(y)
	var out []Section
	var notes []survey.Note
	var first error
	count := map[byte]int{} // runs along, A, and across, B: over all regions, so that no name repeats
	if floor.Hull {
		notes = append(notes, survey.Notef(survey.Assumed, survey.Pos{}, "no outline: the band is left out along the outermost shots"))
	}
	for _, r := range floor.Regions {
		part := ""
		if len(floor.Regions) > 1 {
			part = strings.TrimSpace("part of the floor " + r.Name)
		}
		sec, err := layOut(part, r, joints, s, y)
		if err != nil {
			if first == nil {
				first = err
			}
			notes = append(notes, survey.Notef(survey.Warning, survey.Pos{}, "%v", err))
			continue
		}
		for i := range sec.Runs {
			way := sec.Runs[i].Name[0]
			count[way]++
			sec.Runs[i].Name = fmt.Sprintf("%c%d", way, count[way])
		}
		out = append(out, sec)
	}
	if len(out) == 0 {
		return nil, nil, first
	}
	return out, notes, nil
}

func layOut(part string, r surface.Region, joints []survey.Breakline, s Settings, y system) (Section, error) {
	sec := Section{Name: r.Name, Outline: r.Rings, Joints: joints, Area: area(r.Rings)}
	element := part
	long := longest(r.Rings[0])
	pieces := jointSegments(joints)
	square := newPlan(r.Rings, pieces, newFrame(long.a, long.bearing()))
	lo, hi := square.extent()
	if 2*(hi.X-lo.X)*(hi.Y-lo.Y) > mostReadings*s.Apart*s.Step {
		return Section{}, tooWide(len(r.Shots), lo, hi, "readings of runs")
	}
	bearing := long.bearing()
	narrow := math.Min(hi.X-lo.X, hi.Y-lo.Y) < s.Narrow*(1-1e-9)
	if narrow || s.Diagonal {
		bearing += math.Pi / 4
	}
	band := s.Band
	if square.excluded(band) > s.Waive {
		band = 0
	}
	var ways [2][]survey.Run
	for i := range ways {
		f := newFrame(long.a, bearing+float64(i)*math.Pi/2)
		ways[i] = runsAlong(newPlan(r.Rings, pieces, f), f, band, s, string(rune('A'+i)))
	}
	even(ways[0], ways[1])
	sec.Runs = append(ways[0], ways[1]...)
	if len(sec.Runs) == 0 {
		return Section{}, &survey.Error{Element: element, Found: fmt.Sprintf("room for less than 12 readings every %s", y), Want: "a run of " + y.length((fewest-1)*s.Step) + " clear of walls and joints"}
	}
	spacing := newSampler(r.TIN).read(sec.Runs, 2*s.Sparse*s.Step)
	if spacing > s.Sparse*s.Step {
		return Section{}, &survey.Error{Element: element, Want: fmt.Sprintf("shots usually %s apart along the runs, max %s needed for readings every %s", y.length(spacing), y.length(s.Sparse*s.Step), y), Hint: "read runs with a level, or scan the floor"}
	}
	sec.Basis = fmt.Sprintf("a surface of %d shots, %s apart along the runs", len(r.Shots), y.length(spacing))
	return sec, nil
}

// runsAlong lays runs along x of frame f: as many lines as the min distance allows, spread
// evenly over the width. Each stretch is clear of walls and joints, with as many readings as
// fit, centred. All have the name of the way.
func runsAlong(p plan, f frame, band float64, s Settings, way string) []survey.Run {
	lo, hi := p.extent()
	low, high := lo.Y+band, hi.Y-band
	if high <= low {
		return nil
	}
	n := max(1, int((high-low)/s.Apart*(1+1e-12)))
	pitch := (high - low) / float64(n)
	var out []survey.Run
	line := func(i int, shift float64) float64 { return low + (float64(i)+shift)*pitch }
	shift := 0.5
	for i := range n {
		if p.cornerToCorner(line(i, 0.5), s.Step) {
			shift = 0.25 // all of them, so that they stay as far apart
		}
	}
	for i := range n {
		at := line(i, shift)
		for _, w := range p.free(at, band) {
			fit := int((w.Hi-w.Lo)/s.Step+1e-9) + 1
			if fit < fewest {
				continue
			}
			from := (w.Lo + w.Hi - float64(fit-1)*s.Step) / 2
			run := survey.Run{Name: way, Step: s.Step, Stations: make([]survey.Station, fit)}
			place(&run, f.out(surface.Vec{X: from, Y: at}), f.out(surface.Vec{X: from + float64(fit-1)*s.Step, Y: at}))
			out = append(out, run)
		}
	}
	return out
}

func place(r *survey.Run, a, b surface.Vec) {
	r.Start.X, r.Start.Y, r.End.X, r.End.Y = a.X, a.Y, b.X, b.Y
}

// cornerToCorner reports whether the line at y leaves the floor at two corners, to within a
// step.
func (p plan) cornerToCorner(y, step float64) bool {
	corner := func(x float64) bool {
		return slices.ContainsFunc(p.rings, func(s segment) bool {
			return s.a.Distance(surface.Vec{X: x, Y: y}) < step
		})
	}
	return slices.ContainsFunc(p.floorAlong(y), func(w surface.Span) bool { return corner(w.Lo) && corner(w.Hi) })
}

// even removes readings from the longest runs of the longer set until both have the same
// total length, or no run has a reading to spare.
func even(a, b []survey.Run) {
	readings := func(runs []survey.Run) (n int) {
		for _, r := range runs {
			n += len(r.Stations) - 1
		}
		return n
	}
	over := readings(a) - readings(b)
	if len(a) == 0 || len(b) == 0 {
		return
	}
	if over < 0 {
		a, over = b, -over
	}
	for ; over > 0; over-- {
		i := 0
		for j := range a {
			if len(a[j].Stations) > len(a[i].Stations) {
				i = j
			}
		}
		n := len(a[i].Stations)
		if n == fewest {
			return
		}
		from, to := station(a[i], 0), station(a[i], n-2)
		a[i].Stations = a[i].Stations[:n-1]
		place(&a[i], from, to)
	}
}
