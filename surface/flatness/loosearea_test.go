package flatness

import (
	"math"
	"testing"

	"pourplane/survey"
)

// Runs without a place are of the floor that the outline has: 30 m² want 21 readings, not the 48 of a
// floor of unknown area.
func TestRunsWithoutAPlaceHaveTheAreaOfTheOutline(t *testing.T) {
	nowhere := survey.Point{X: math.NaN(), Y: math.NaN()}
	run := survey.Run{Name: "A", Step: 0.3, Start: nowhere, End: nowhere}
	for range 40 {
		run.Stations = append(run.Stations, survey.Station{})
	}
	ring := survey.Ring{Kind: survey.Outer, Points: []survey.Point{{}, {X: 6}, {X: 6, Y: 5}, {Y: 5}}}
	sections, _ := SectionsOf([]survey.Run{run}, []survey.Ring{ring}, nil)
	if c := CountRuns(sections); len(sections) != 1 || sections[0].Area != 30 || c.Few() || c.N != 40 {
		t.Errorf("%d sections, %v m², %v", len(sections), sections[0].Area, c)
	}
	sections, _ = SectionsOf([]survey.Run{run}, nil, nil)
	if c := CountRuns(sections); !c.Few() {
		t.Errorf("without an outline: %v", c)
	}
}
