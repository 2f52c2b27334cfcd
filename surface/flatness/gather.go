package flatness

import (
	"fmt"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/exact"
	"pourplane/survey"
)

// SectionsOf sorts runs into sections by their outer ring, without its openings. A run is
// cut where it leaves the ring, with a note of the part outside every ring, which is not
// used; a run that crosses two rings belongs to both. Runs without a place, and all runs if
// there is no ring, make a section without an outline.
func SectionsOf(runs []survey.Run, rings []survey.Ring, joints []survey.Breakline) ([]Section, []survey.Note) {
	var out []Section
	for i := range rings {
		if rings[i].Kind != survey.Outer {
			continue
		}
		outer := ringOf(rings[i].Points, true)
		sec := Section{Name: rings[i].Name, Outline: [][]surface.Vec{outer}, Joints: joints}
		for k := range rings {
			if h := &rings[k]; h.Kind == survey.Hole && len(h.Points) > 0 && encloses(outer, surface.Vec{X: h.Points[0].X, Y: h.Points[0].Y}) {
				sec.Outline = append(sec.Outline, ringOf(h.Points, false))
			}
		}
		out = append(out, sec)
	}
	var loose Section
	var notes []survey.Note
	for _, r := range runs {
		if len(out) == 0 || !r.Placed() { // its floor is that of all rings, if no run has a place
			loose.Runs = append(loose.Runs, r)
			continue
		}
		of := make([]int, len(r.Stations))
		lost := 0
		for k := range of {
			p := placeOf(r, k)
			of[k] = slices.IndexFunc(out, func(s Section) bool { return s.holds(p) })
			if of[k] < 0 {
				lost++
			}
		}
		if lost > 0 {
			notes = append(notes, survey.Notef(survey.Warning, r.At, "run %s: %d of its %d readings are outside the outline and are not used", r.Name, lost, len(of)))
		}
		for i := range out {
			if first := slices.Index(of, i); first >= 0 {
				out[i].Runs = append(out[i].Runs, within(r, of, i, first))
			}
		}
	}
	whole := out
	out = slices.DeleteFunc(slices.Clone(out), func(s Section) bool { return len(s.Runs) == 0 })
	if len(loose.Runs) > 0 {
		if len(out) == 0 {
			loose.Area = floorOf(whole)
		} else {
			loose.Name = "of runs without a place"
		}
		out = append(out, loose)
	}
	return out, notes
}

// floorOf returns the area of sections by their outlines, m²; 0 without one.
func floorOf(sections []Section) float64 {
	total := 0.0
	for _, s := range sections {
		total += area(s.Outline)
	}
	return total
}

// placeOf returns the place of station k of a placed run.
func placeOf(r survey.Run, k int) surface.Vec {
	t := float64(k) / float64(max(1, len(r.Stations)-1))
	return surface.Vec{X: r.Start.X + t*(r.End.X-r.Start.X), Y: r.Start.Y + t*(r.End.Y-r.Start.Y)}
}

// holds reports whether a place is in the outline and in no opening.
func (s Section) holds(p surface.Vec) bool {
	for i, ring := range s.Outline {
		// The edge of an opening is floor, as that of the outline is.
		if encloses(ring, p) != (i == 0) && !onEdge(ring, p) {
			return false
		}
	}
	return true
}

// within returns the part of r whose stations are in section i: from the first to the last
// of them, without a reading where others are between.
func within(r survey.Run, of []int, i, first int) survey.Run {
	last := len(of) - 1
	for of[last] != i {
		last--
	}
	out := r
	out.Stations = slices.Clone(r.Stations[first : last+1])
	for k := range out.Stations {
		if of[first+k] != i {
			out.Stations[k].Z = math.NaN()
		}
	}
	a, b := placeOf(r, first), placeOf(r, last)
	out.Start.X, out.Start.Y, out.End.X, out.End.Y = a.X, a.Y, b.X, b.Y
	out.Start.Z, out.End.Z = r.Stations[first].Z, r.Stations[last].Z
	return out
}

// ringOf returns a ring as places, counter-clockwise or clockwise.
func ringOf(pts []survey.Point, ccw bool) []surface.Vec {
	out := make([]surface.Vec, len(pts))
	twice := 0.0
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		out[i] = surface.Vec{X: p.X, Y: p.Y}
		twice += (p.X-pts[0].X)*(q.Y-pts[0].Y) - (q.X-pts[0].X)*(p.Y-pts[0].Y)
	}
	if twice > 0 != ccw {
		slices.Reverse(out)
	}
	return out
}

// sideOf is positive for a place in a ring, zero on its edge.
func sideOf(ring []surface.Vec, p surface.Vec) int {
	x, y := make([]float64, len(ring)), make([]float64, len(ring))
	for i, v := range ring {
		x[i], y[i] = v.X, v.Y
	}
	return exact.InRing(x, y, p.X, p.Y)
}

func encloses(ring []surface.Vec, p surface.Vec) bool { return sideOf(ring, p) >= 0 }

func onEdge(ring []surface.Vec, p surface.Vec) bool { return sideOf(ring, p) == 0 }

// LayAlongRuns lays an edge along every run and returns the result on the worst, with the
// name of that run; the shares are of all positions on all runs. Runs without a step are an
// error, a [*survey.Error].
func LayAlongRuns(runs []survey.Run, l Laying) (Straightedge, string, error) {
	var worst Straightedge
	name := ""
	way, rocking := 0.0, 0.0
	longest := 0.0
	var gaps []float64
	for _, r := range runs {
		profile, err := Stretches(r)
		if err != nil {
			return Straightedge{}, "", err
		}
		if len(profile) == 0 {
			continue
		}
		e, err := LayAlong(profile, l)
		if err != nil {
			return Straightedge{}, "", err
		}
		longest = max(longest, e.Longest)
		way, rocking = way+e.Positions, rocking+e.Rocking
		for i, w := range e.gaps {
			for len(gaps) <= i {
				gaps = append(gaps, 0)
			}
			gaps[i] += w
		}
		if e.Fits && (name == "" || e.Gap > worst.Gap) {
			worst, name = e, r.Name
		}
	}
	worst.Length, worst.Longest = l.Length, longest
	worst.Positions, worst.Rocking, worst.gaps, worst.Lines = way, rocking, gaps, len(runs)
	return worst, name, nil
}

// AtShots returns the max departure of the shots of a floor from target, up or down. What is
// estimated at walls is no measure of the level there.
func AtShots(floor *surface.Floor, target surface.Target) Reading {
	r := Reading{Value: -1, From: nowhere, To: nowhere}
	for _, region := range floor.Regions {
		t := region.TIN
		for v, d := range t.Depths(target.Within(region.Part)) {
			if t.Fitted != nil && t.Fitted[v] {
				continue
			}
			at := t.At(int32(v))
			if m := math.Abs(d); m > r.Value || m == r.Value && byPlace(at, r.From) < 0 {
				r.Value, r.From, r.To = m, at, at
			}
		}
	}
	r.Value = max(0, r.Value)
	r.Share = func(limit float64) float64 { return DeviationsFrom(floor, target, limit).Within }
	return r
}

// Shares returns the share of the area in each of n steps of departure from a plane,
// starting at from; above the plane is positive. Area outside counts in the outermost steps.
func Shares(floor *surface.Floor, plane surface.Target, from, step float64, n int) ([]float64, error) {
	if n < 1 || !(step > 0) {
		return nil, fmt.Errorf("%d steps of %g m are no histogram", n, step)
	}
	levels := make([]float64, 0, n-1)
	for i := 1; i < n; i++ {
		levels = append(levels, -(from + step*float64(n-i))) // depths, ascending
	}
	f := floor.FillTo(plane, levels)
	out := make([]float64, n)
	for _, b := range f.Bands {
		i := int(math.Floor((-(b.From+b.To)/2 - from) / step))
		out[min(max(i, 0), n-1)] += b.Area / f.Area
	}
	return out, nil
}

// Cautions returns what grinding and filling can do to people, if there is any to do. A new
// fill has no old adhesive to grind into, and the contents of the floor below were named
// before the pour.
func Cautions(w Work, newFill bool) []survey.Note {
	var out []survey.Note
	say := func(text string) { out = append(out, survey.Notef(survey.Caution, survey.Pos{}, "%s", text)) }
	if w.Grind > 0 {
		// 29 CFR 1926.1153: 50 µg/m³ over 8 hours.
		say("Grinding concrete sets silica free, which scars the lungs: shroud and extraction with a fine filter, or water, and a respirator as the local table asks.")
	}
	if w.Grind > 0 && !newFill {
		say("Old adhesive, black cutback and sheet backing may hold asbestos: presume it until tested, and do not grind, sand or scrape dry.")
		say("Locate pipes, cables, heating loops and tendons before grinding. Local codes and licensed practice decide.")
	}
	if w.Fill > 0 {
		say("Patch and bedding burn the skin while wet, at first without pain, and are dust while dry: gloves, eye protection, rinse at once.")
	}
	return out
}
