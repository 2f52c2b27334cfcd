package flatness

import (
	"fmt"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/exact"
	"pourplane/survey"
)

// SectionsOf sorts runs into sections by the outer ring they lie in, with its
// openings. Runs without a place, or outside every ring, make a section without an
// outline, as all do where there is no ring.
func SectionsOf(runs []survey.Run, rings []survey.Ring, joints []survey.Breakline) []Section {
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
	loose := Section{}
	for _, r := range runs {
		at := -1
		if r.Placed() {
			mid := surface.Vec{X: (r.Start.X + r.End.X) / 2, Y: (r.Start.Y + r.End.Y) / 2}
			at = slices.IndexFunc(out, func(s Section) bool { return encloses(s.Outline[0], mid) })
		}
		if at < 0 {
			loose.Runs = append(loose.Runs, r)
			continue
		}
		out[at].Runs = append(out[at].Runs, r)
	}
	out = slices.DeleteFunc(out, func(s Section) bool { return len(s.Runs) == 0 })
	if len(loose.Runs) > 0 {
		out = append(out, loose)
	}
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

func encloses(ring []surface.Vec, p surface.Vec) bool {
	x, y := make([]float64, len(ring)), make([]float64, len(ring))
	for i, v := range ring {
		x[i], y[i] = v.X, v.Y
	}
	return exact.InRing(x, y, p.X, p.Y) >= 0
}

// LayAlongRuns lays an edge along every run and returns what it found on the worst,
// with the name of that run; the shares are of all positions on all runs. Runs
// without a step are an error, a [*survey.Error].
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

// Reading returns the greatest departure, either way, of a floor and a plane that d
// was worked out for, with the share of the area within a limit.
func (d Departures) Reading(floor *surface.Floor, target surface.Plane) Reading {
	r := Reading{Value: math.Abs(d.Highest), From: d.HighestAt, To: d.HighestAt}
	if low := math.Abs(d.Lowest); low > r.Value {
		r.Value, r.From, r.To = low, d.LowestAt, d.LowestAt
	}
	r.Share = func(limit float64) float64 { return Depart(floor, target, limit).Within }
	return r
}

// Shares returns how much of the area lies in each of n steps of departure from a
// plane, from a lowest one on; above the plane is positive. What lies outside is
// counted in the outermost.
func Shares(floor *surface.Floor, plane surface.Plane, from, step float64, n int) ([]float64, error) {
	if n < 1 || !(step > 0) {
		return nil, fmt.Errorf("%d steps of %g m are no histogram", n, step)
	}
	levels := make([]float64, 0, n-1)
	for i := 1; i < n; i++ {
		levels = append(levels, -(from + step*float64(n-i))) // depths, rising
	}
	f := floor.To(plane, levels)
	out := make([]float64, n)
	for _, b := range f.Bands {
		i := int(math.Floor((-(b.From+b.To)/2 - from) / step))
		out[min(max(i, 0), n-1)] += b.Area / f.Area
	}
	return out, nil
}

// Cautions returns what grinding and filling can do to people, where there is any to
// do.
func Cautions(w Work) []survey.Note {
	var out []survey.Note
	say := func(text string) { out = append(out, survey.Note{Kind: survey.Caution, Text: text}) }
	if w.Grind > 0 {
		// 29 CFR 1926.1153: 50 µg/m³ over 8 hours.
		say("Grinding concrete sets silica free, which scars the lungs: shroud and extraction with a fine filter, or water, and a respirator as the local table asks.")
		say("Old adhesive, black cutback and sheet backing may hold asbestos: presume it until tested, and do not grind, sand or scrape dry.")
		say("Locate pipes, cables, heating loops and tendons before grinding. Local codes and licensed practice decide.")
	}
	if w.Fill > 0 {
		say("Patch and bedding burn the skin while wet, at first without pain, and are dust while dry: gloves, eye protection, rinse at once.")
	}
	return out
}
