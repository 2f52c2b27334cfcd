package report

import (
	"math"
	"slices"
	"testing"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// No band is listed with an area of 0, and the listed bands add up to the whole.
func TestBandsWithoutAreaAreNotListed(t *testing.T) {
	band := surface.Band{From: 0.01, To: 0.02, Area: 3, Volume: 0.045}
	least := surface.Band{From: 0, To: 0.01, Area: 0.004, Volume: 0.00002}
	pit := surface.Band{From: 0.02, To: 0.2, Area: 0.002, Volume: 0.0001}
	above := surface.Band{From: -0.01, To: 0, Area: 0.004, Volume: -0.00001}
	hump := surface.Band{From: -3, To: 0, Area: 0.004, Volume: -0.01}
	joined := func(a, b surface.Band) surface.Band {
		return surface.Band{From: a.From, To: b.To, Area: a.Area + b.Area, Volume: a.Volume + b.Volume}
	}
	metric := unit.Style{}
	for what, c := range map[string]struct {
		style    unit.Style
		of, want []surface.Band
	}{
		"shallowest":             {metric, []surface.Band{least, band}, []surface.Band{joined(least, band)}},
		"a sliver, shallowest":   {metric, []surface.Band{{From: 0, To: 0.01, Area: 0.004, Volume: 0.00004}, band}, []surface.Band{{From: 0.01, To: 0.02, Area: 3.004, Volume: band.Volume + 0.00004}}},
		"a sliver, deepest":      {metric, []surface.Band{band, {From: 0.02, To: 0.2, Area: 0.004, Volume: 0.000081}}, []surface.Band{{From: 0.01, To: 0.02, Area: 3.004, Volume: band.Volume + 0.000081}}},
		"deepest":                {metric, []surface.Band{band, pit}, []surface.Band{joined(band, pit)}},
		"across the target":      {metric, []surface.Band{above, band}, []surface.Band{band}},
		"a volume but no area":   {metric, []surface.Band{hump, band}, []surface.Band{hump, band}},
		"two of them":            {metric, []surface.Band{least, pit}, []surface.Band{joined(least, pit)}},
		"an area to be written":  {metric, []surface.Band{{From: 0, To: 0.01, Area: 0.006}, band}, []surface.Band{{From: 0, To: 0.01, Area: 0.006}, band}},
		"none in square feet":    {unit.Style{Imperial: true}, []surface.Band{least, band}, []surface.Band{joined(least, band)}},
		"of 0.1 ft² is 0.0093 m": {unit.Style{Imperial: true}, []surface.Band{{From: 0, To: 0.01, Area: 0.0093}, band}, []surface.Band{{From: 0, To: 0.01, Area: 0.0093}, band}},
	} {
		before := slices.Clone(c.of)
		if got := shownBands(c.of, c.style); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", what, got, c.want)
		}
		if !slices.Equal(before, c.of) {
			t.Errorf("%s: the bands of the fill are changed", what)
		}
	}
}

// The band that only the triangles of a fall reach is part of the next one in the list, as on the map.
func TestNoRowForFacets(t *testing.T) {
	facets, next, last := surface.Band{From: 0.05, To: 0.06, Area: 0.028, Volume: 0.028 * 0.05995}, surface.Band{From: 0.06, To: 0.07, Area: 5.26, Volume: 0.345}, surface.Band{From: 0.07, To: 0.08, Area: 8, Volume: 0.6}
	got := shownBands([]surface.Band{facets, next, last}, unit.Style{})
	if len(got) != 2 || got[0].From != 0.06 || got[0].To != 0.07 || math.Abs(got[0].Area-5.288) > 1e-9 {
		t.Errorf("bands %+v", got)
	}
	facets.Volume = 0.028 * 0.055
	if got := shownBands([]surface.Band{facets, next, last}, unit.Style{}); len(got) != 3 {
		t.Errorf("bands %+v", got)
	}
}
