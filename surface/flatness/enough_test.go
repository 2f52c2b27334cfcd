package flatness

import (
	"math"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// Shots at the corners and the middle of a room, and one more 4 mm high: the count is of
// shots, and elevations estimated at walls do not count.
func TestShotsWithinATolerance(t *testing.T) {
	floor := room(t, 4, 4, [][2]float64{{1, 1}, {3, 1}, {3, 3}, {1, 3}, {2, 2}}) // 10.0000 to 10.0004 m
	for within, want := range map[float64]int{0.0001: 2, 0.0002: 3, 0.003: 5} {
		shots, near := CountShots(floor, surface.Horizontal(10), within)
		if shots.N != 5 || shots.Few() || near != want {
			t.Errorf("within %g m: %d of %v, want %d of 5", within, near, shots, want)
		}
	}
	if shots, _ := CountShots(room(t, 4, 4, [][2]float64{{1, 1}, {3, 1}, {3, 3}, {1, 3}}), surface.Horizontal(10), 1); !shots.Few() || shots.String() != "4 shots, min 5 needed" {
		t.Errorf("%v", shots)
	}
}

// Five shots, at most 3 m or 10 ft apart plus the tolerance of a tape, give a verdict on the
// level of a floor.
func TestLevelWantsShotsCloseEnough(t *testing.T) {
	for _, c := range []struct {
		n     int
		apart float64
		s     Settings
		want  Outcome
		note  string
	}{
		{5, 3.0, Settings{Step: 0.3}, Pass, ""},
		{5, 3.059, Settings{Step: 0.3}, Pass, ""},
		{500, 3.061, Settings{Step: 0.3}, NotMeasured, "readings 3.06 m apart; no farther than 3 m would do"},
		{5, 3.108, Settings{}, Pass, ""}, // 10 ft and 2 %
		{5, 3.110, Settings{}, NotMeasured, "readings 3.11 m apart; no farther than 3.05 m would do"},
		{5, 4.0, Settings{LevelApart: 4}, Pass, ""},
		{4, 1.0, Settings{}, NotMeasured, "4 shots, min 5 needed"},
	} {
		m := Measured{Datum: &Reading{Value: 0.001, Apart: c.apart, Count: Count{N: c.n, Wanted: FewestShots, Of: "shots"}}}
		v := judgeNamed(t, m, "bs8204-datum", c.s)[0]
		if v.Outcome != c.want || v.Note != c.note || v.Value != 0.001 {
			t.Errorf("%d shots %g m apart: %v, %q", c.n, c.apart, v.Outcome, v.Note)
		}
	}
}

func TestShareWantsTenValues(t *testing.T) {
	for n, want := range map[int]Outcome{9: NotMeasured, 10: Pass} {
		for _, m := range []Measured{{PropertyE: &Spread{Values: make([]float64, n)}}, {PropertyF: &Spread{Values: make([]float64, n)}}} {
			for _, v := range judgeNamed(t, m, "tr34-fm1", Settings{}) {
				if math.IsNaN(v.Value) {
					continue // the other property
				}
				if v.Outcome != want || v.Count.N != n || want == NotMeasured && v.Note != "9 "+v.Row.Kind.values()+", min 10 needed to judge a share" {
					t.Errorf("%s of %d values: %v, %q", v.Row.Kind, n, v.Outcome, v.Note)
				}
			}
		}
	}
}

// 1,600 ft² require 100 readings, A/16; a small room 12; four runs of 12 if the area is
// unknown. Readings every 100 mm count as every 300 mm.
func TestReadingsOfRunsForAnArea(t *testing.T) {
	run := func(n int, step float64) survey.Run {
		return survey.Run{Step: step, Stations: make([]survey.Station, n)}
	}
	for _, c := range []struct {
		area  float64 // ft²
		runs  []survey.Run
		n     int
		want  int
		words string
	}{
		{1600, []survey.Run{run(50, 0.3048), run(49, 0.3048)}, 99, 100, "99 readings of runs, min 100 needed on a floor of 148.64 m²"},
		{1601, []survey.Run{run(100, 0.3048)}, 100, 101, ""},
		{100, []survey.Run{run(12, 0.3048)}, 12, 12, ""},
		{0, []survey.Run{run(12, 0.3048)}, 12, 48, "12 readings of runs, min 48 needed where the area of the floor is not known"},
		{0, []survey.Run{run(31, 0.1)}, 11, 48, ""}, // 3 m
	} {
		got := CountRuns([]Section{{Runs: c.runs, Area: c.area * sqFoot}})
		if got.N != c.n || got.Wanted != c.want || c.words != "" && got.String() != c.words {
			t.Errorf("%g ft²: %v, want %d of %d", c.area, got, c.n, c.want)
		}
	}
	square := [][]surface.Vec{{{}, {X: 10}, {X: 10, Y: 10}, {Y: 10}}}
	if got := CountRuns([]Section{{Outline: square}, {Outline: square}}); got.Wanted != 135 { // 200 m² are 2,152.8 ft²
		t.Errorf("two sections of 100 m²: %v", got)
	}
}

// Too few readings of runs withhold every verdict that uses them.
func TestFewReadingsOfRuns(t *testing.T) {
	few := Count{N: 12, Wanted: 48, Of: "readings of runs"}
	m := Measured{Runs: few, F: whole(60, 60, 60, 60), PropertyF: &Spread{Values: make([]float64, 20)},
		GapAt: func(float64) (Reading, bool) { return Reading{Value: 0.001, Count: few}, true }}
	n := 0
	for _, v := range Judge(m, Limits(), Settings{}) {
		if v.Outcome != NotMeasured {
			t.Errorf("%s, %s: %v", v.Row.Name, v.Row.Kind, v.Outcome)
		}
		if strings.HasPrefix(v.Note, few.String()) {
			n++
		}
	}
	if n < 50 {
		t.Errorf("%d verdicts name the readings", n)
	}
	if v := judgeNamed(t, m, "din18202-3", Settings{}); len(v) != 1 {
		t.Errorf("%d verdicts of one table: %v", len(v), v)
	}
}

// A rule for level floors gives no verdict on a floor ordered to fall; a departure is
// measured from the ordered plane.
func TestFloorOrderedToFall(t *testing.T) {
	level := &Spread{Values: make([]float64, 20)}
	m := Measured{Fall: 0.015, F: whole(60, 60, 60, 60), PropertyE: level, PropertyF: level, Datum: &Reading{Value: 0.001}}
	const want = "the floor is ordered to fall 1.5 %; this rule is for level floors"
	for kind, name := range map[Kind]string{ByPropertyE: "tr34-fm1", ByFL: "aci117-flat", ByLocalFL: "aci117-flat"} {
		for _, v := range judgeNamed(t, m, name, Settings{}) {
			if v.Row.Kind == kind && (v.Outcome != NotMeasured || v.Note != want || v.Fall != 0.015) {
				t.Errorf("%s: %v, %q", kind, v.Outcome, v.Note)
			}
			if (v.Row.Kind == ByPropertyF || v.Row.Kind == ByFF) && v.Outcome != Pass {
				t.Errorf("%s: %v, %q", v.Row.Kind, v.Outcome, v.Note)
			}
		}
	}
	if v := judgeNamed(t, m, "nzs3109", Settings{})[0]; v.Outcome != Pass || v.Note != "measured from the plane ordered, which falls 1.5 %" {
		t.Errorf("%v, %q", v.Outcome, v.Note)
	}
	m.Fall = 0
	if v := judgeNamed(t, m, "tr34-fm1", Settings{}); v[0].Outcome != Pass || v[1].Outcome != Pass {
		t.Errorf("level: %+v", v)
	}
}
