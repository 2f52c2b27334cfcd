package flatness

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"pourplane/surface"
	"pourplane/survey/unit"
)

const (
	// FewestShots is the min number of shots to judge the level of a floor. Own choice: as
	// many places as ČSN 74 4505 requires for the lath in a room (read).
	FewestShots = 5
	// FewestValues is the min number of values to judge a share. Own choice: as many checks
	// as NF DTU 13.3 clause 17 requires (read), and the curvatures of 12 readings.
	FewestValues = 10
	// footsAReading is the max ft² of floor per reading of the runs. Source: A/16 elevation
	// points of ASTM E1486, read on a survey firm's page.
	footsAReading = 16
	// FewestReadings is the min number of readings of runs to judge a floor of unknown area:
	// those of four of the shortest runs, as an interval of FF needs. Own choice.
	FewestReadings = fewestFF * fewest
)

// RunsWanted is the rule on the number of readings to judge runs.
var RunsWanted = fmt.Sprintf("Runs are judged from one reading to each %d ft² (1.5 m²), min %d (ASTM E1486, from a survey firm's page); from %d readings where the area is not known: our own rule", footsAReading, fewest, FewestReadings)

// Count is the number of values that a verdict uses.
type Count struct {
	N, Wanted int       // found, and min for a verdict; 0: not counted
	Of        string    // what they are
	For       unit.Text // reason for the min; empty: for any verdict
}

// Few reports whether there are too few values for a verdict.
func (c Count) Few() bool { return c.N < c.Wanted }

// In writes the count with the area of the floor in a style.
func (c Count) In(s unit.Style) string {
	return strings.TrimSuffix(fmt.Sprintf("%d %s, min %d needed %s", c.N, c.Of, c.Wanted, c.For.In(s)), " ")
}

func (c Count) String() string { return c.In(unit.Style{}) }

// few withdraws a verdict from too few values; its value stays.
func (v *Verdict) few(c Count) {
	v.Count = c
	if c.Few() {
		v.Outcome, v.Note = NotMeasured, c.String()
		v.InDoubt, v.Low, v.High = false, math.NaN(), math.NaN()
	}
}

// CountRuns counts the readings of the runs of sections. Readings closer than 300 mm count
// as if 300 mm apart.
func CountRuns(sections []Section) Count {
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
		out.Wanted, out.For = FewestReadings, unit.Textf("where the area of the floor is not known")
		return out
	}
	out.Wanted = readingsWanted(total)
	out.For = unit.Textf("on a floor of %s", unit.Area(total))
	return out
}

// readingsWanted returns the min number of readings of runs on an area in m².
func readingsWanted(area float64) int {
	return max(fewest, int(math.Ceil(area/sqFoot/footsAReading-hair)))
}

// LevelWanted returns the max distance between shots for a verdict on the level of a floor,
// m, if they are farther apart; 0 otherwise.
func (s Settings) LevelWanted(apart float64) float64 {
	y, _ := systemOf(cmp.Or(s.Step, atInch))
	if wanted := s.filled(y).LevelApart; apart > wanted*(1+tapes) {
		return wanted
	}
	return 0
}

// doorWanted returns the max distance from a threshold to the nearest shot, m.
func (s Settings) doorWanted() float64 {
	y, _ := systemOf(cmp.Or(s.Step, atInch))
	return s.filled(y).DoorShot
}

// DoorShots returns the distance from the place on the walls nearest to each finished place,
// where its threshold is, to the nearest shot of the floor, m.
func DoorShots(f *surface.Floor, doors []surface.Threshold) []float64 {
	walls := f.Walls(surface.Plane{})
	var out []float64
	for _, d := range doors {
		p := surface.Vec{X: d.Point.X, Y: d.Point.Y}
		best, at := math.Inf(1), p
		for _, w := range walls {
			if q := p.NearestOn(w.From, w.To); p.Distance(q) < best {
				best, at = p.Distance(q), q
			}
		}
		nearest := math.Inf(1)
		for _, r := range f.Regions {
			for v := range r.TIN.Z {
				if r.TIN.Fitted == nil || !r.TIN.Fitted[v] {
					nearest = min(nearest, at.Distance(r.TIN.At(int32(v))))
				}
			}
		}
		out = append(out, nearest)
	}
	return out
}

// CountShots returns how many shots a floor has, and how many of them are within a distance
// of a plane, m. Elevations estimated at walls do not count.
func CountShots(f *surface.Floor, plane surface.Target, within float64) (shots Count, near int) {
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
