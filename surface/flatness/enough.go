package flatness

import (
	"cmp"
	"fmt"
	"math"

	"pourplane/surface"
	"pourplane/survey/unit"
)

const (
	// FewestShots is how many shots the level of a floor is judged by, at least. Own
	// choice: as many places as ČSN 74 4505 wants the lath laid at in a room (read).
	FewestShots = 5
	// FewestValues is how many values a share is judged by, at least. Own choice: as many
	// as NF DTU 13.3 clause 17 asks checks for (read), and the curvatures of 12 readings.
	FewestValues = 10
	// footsAReading is how many ft² of floor there may be to a reading of the runs. Source:
	// A/16 elevation points of ASTM E1486, read on a survey firm's page.
	footsAReading = 16
	// FewestReadings is how many readings of the runs a floor of unknown area is judged by,
	// at least: those of four of the shortest runs, as intervals want them. Own choice.
	FewestReadings = knowsSpread * fewest
)

// RunsWanted states from how many readings of runs on a floor is judged.
var RunsWanted = fmt.Sprintf("Runs are judged from a reading to each %d ft² (1.5 m²) on, %d at least (ASTM E1486, from a survey firm's page); from %d readings on where the area is not known: our own rule", footsAReading, fewest, FewestReadings)

// Count is how many values a verdict rests on.
type Count struct {
	N, Wanted int    // found, and min for a verdict; 0: not counted
	Of        string // what they are
	For       string // why so many are wanted; empty: for any verdict
}

// Few reports whether there are too few for a verdict.
func (c Count) Few() bool { return c.N < c.Wanted }

func (c Count) String() string {
	text := fmt.Sprintf("%d %s, min %d needed", c.N, c.Of, c.Wanted)
	if c.For != "" {
		text += " " + c.For
	}
	return text
}

// few takes back a verdict that rests on too few values; its value stays.
func (v *Verdict) few(c Count) {
	v.Count = c
	if c.Few() {
		v.Outcome, v.Note = NotMeasured, c.String()
	}
}

// CountRuns counts the readings of the runs of sections. Readings closer than 300 mm
// count as if they were that far apart. style is for what is said of the area.
func CountRuns(sections []Section, style unit.Style) Count {
	out := Count{Of: "readings of runs"}
	total := 0.0
	known := len(sections) > 0
	for _, sec := range sections {
		for _, r := range sec.Runs {
			for _, p := range stretches(r) {
				n := len(p.h)
				if r.Step > 0 && r.Step < atMM {
					n = int(float64(n-1)*r.Step/atMM+hair) + 1
				}
				out.N += n
			}
		}
		size := cmp.Or(sec.Area, area(sec.Outline))
		known = known && size > 0
		total += size
	}
	if !known {
		out.Wanted, out.For = FewestReadings, "where the area of the floor is not known"
		return out
	}
	out.Wanted = max(fewest, int(math.Ceil(total/sqFoot/footsAReading-hair)))
	out.For = "on a floor of " + style.Area(total)
	return out
}

// LevelWanted returns how far apart shots may be for a verdict about the level of a
// floor, m, where they are farther apart; 0 where they are not.
func (s Settings) LevelWanted(apart float64) float64 {
	y, _ := systemOf(cmp.Or(s.Step, atInch))
	if wanted := s.filled(y).LevelApart; apart > wanted*(1+tapes) {
		return wanted
	}
	return 0
}

// CountShots returns how many shots carry a floor, and how many of them are within a
// distance of a plane, m. Elevations estimated at walls are no shots.
func CountShots(f *surface.Floor, plane surface.Plane, within float64) (shots Count, near int) {
	shots = Count{Wanted: FewestShots, Of: "shots"}
	for _, r := range f.Regions {
		depths := r.TIN.Depths(plane)
		for v := range r.TIN.Z {
			if r.TIN.Fitted != nil && r.TIN.Fitted[v] {
				continue
			}
			shots.N++
			if math.Abs(depths[v]) <= within+none {
				near++
			}
		}
	}
	return shots, near
}
