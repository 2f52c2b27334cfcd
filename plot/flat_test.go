package plot

import (
	"bytes"
	"errors"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

func someShots() *ShotMap {
	m := &ShotMap{Title: "Bakery", Summary: "5 floor shots", Units: unit.Style{}}
	for i, z := range []float64{9.990, 9.985, 9.981, 9.988, 9.970} {
		m.Points = append(m.Points, survey.Point{X: float64(i % 3), Y: float64(i / 3), Z: z}.Named([]string{"A1", "B1", "C1", "A2", "B2"}[i]))
	}
	m.Ringed = m.Points[4:]
	m.Rings = []survey.Ring{{Points: []survey.Point{{X: -0.2, Y: -0.2}, {X: 2.2, Y: -0.2}, {X: 2.2, Y: 1.2}, {X: -0.2, Y: 1.2}}}}
	return m
}

// Every shot is named, the bar goes from 0 to the difference between highest and lowest, and
// the suspect is ringed.
func TestShotMapNamesEveryShot(t *testing.T) {
	t.Parallel()
	svg := string(written(t, someShots(), "svg"))
	for _, want := range []string{"A1", "B1", "C1", "A2", "B2", "Below the highest shot, mm", "ringed: look at this reading again", ">20<", "outline"} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %q on the map", want)
		}
	}
	plain := someShots()
	plain.Ringed = nil
	if strings.Contains(string(written(t, plain, "svg")), "ringed") {
		t.Error("a ring in the legend and none on the map")
	}
	if err := Write(&bytes.Buffer{}, &ShotMap{}, Output{Format: "svg"}); !errors.Is(err, ErrNoFloor) {
		t.Errorf("nothing drawn: %v", err)
	}
}

func TestRunMap(t *testing.T) {
	t.Parallel()
	none := survey.Point{X: math.NaN(), Y: math.NaN()}
	m := &RunMap{Title: "Runs", Units: unit.Style{}, Runs: []survey.Run{
		{Name: "P1", Start: survey.Point{X: 1, Y: 1}, End: survey.Point{X: 9, Y: 1}, Step: 0.3, Stations: make([]survey.Station, 27)},
		{Name: "P2", Start: survey.Point{X: 1, Y: 3}, End: survey.Point{X: 9, Y: 3}, Step: 0.3, Stations: make([]survey.Station, 27)},
		{Name: "lost", Start: none, End: none},
	}, Text: []string{"FF 28 FL 20", "FF 31 FL 24"}, Outlines: [][]surface.Vec{{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 4}, {X: 0, Y: 4}}}}
	svg := string(written(t, m, "svg"))
	for _, want := range []string{"P1  FF 28 FL 20", "P2  FF 31 FL 24"} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %q on the map", want)
		}
	}
	if strings.Contains(svg, "lost") {
		t.Error("a run without a place is drawn")
	}
	if err := Write(&bytes.Buffer{}, &RunMap{}, Output{Format: "png"}); !errors.Is(err, ErrNoFloor) {
		t.Errorf("nothing drawn: %v", err)
	}
}

func TestEdgeProfileAndHistogram(t *testing.T) {
	t.Parallel()
	e := &EdgeProfile{Title: "Worst place", Line: []surface.Station{{Distance: 0, Elevation: 0}, {Distance: 1, Elevation: 0.003}, {Distance: 2, Elevation: -0.001}, {Distance: 3, Elevation: 0.002}, {Distance: 4, Elevation: 0}},
		From: 0.9, To: 3.9, A: 1, B: 3, Low: 2, Gap: 0.0035, Units: unit.Style{}}
	svg := string(written(t, e, "svg"))
	if !strings.Contains(svg, "3.5 mm") || !strings.Contains(svg, "times larger than lengths") {
		t.Error("the gap or the exaggeration is not given")
	}
	if err := Write(&bytes.Buffer{}, &EdgeProfile{}, Output{Format: "svg"}); !errors.Is(err, ErrOffFloor) {
		t.Errorf("nothing drawn: %v", err)
	}
	h := &Histogram{Title: "Departures", From: -0.004, Step: 0.002, Shares: []float64{0.1, 0.4, 0.4, 0.1}, Tolerance: 0.003, Units: unit.Style{}}
	svg = string(written(t, h, "svg"))
	for _, want := range []string{"+3.0 mm", "−3.0 mm", "share of the area, %", "tolerance"} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %q in the histogram", want)
		}
	}
	if err := Write(&bytes.Buffer{}, &Histogram{}, Output{Format: "svg"}); !errors.Is(err, ErrNoFloor) {
		t.Errorf("nothing drawn: %v", err)
	}
	// One bar over four times as tall as all others is cut, with its figure.
	h.Shares = []float64{0.01, 0.02, 0.95, 0.02}
	if top, cut := shareAxis(h.Shares); cut != 1 || top != 0.03 {
		t.Errorf("%d bars cut at %g", cut, top)
	}
	for _, c := range []struct {
		shares []float64
		cut    int
	}{{[]float64{0.2, 0.6, 0.2}, 0}, {[]float64{1}, 0}, {[]float64{0, 1, 0}, 0}, {[]float64{0.48, 0.5, 0.01, 0.01}, 2}, {[]float64{0.25, 0.25, 0.25, 0.24, 0.01}, 0}} {
		if top, cut := shareAxis(c.shares); cut != c.cut || cut == 0 && top != slices.Max(c.shares) {
			t.Errorf("%v: %d bars cut at %g", c.shares, cut, top)
		}
	}
	svg = string(written(t, h, "svg"))
	for _, want := range []string{"95.0 %", "a bar with a figure is cut short"} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %q in the histogram", want)
		}
	}
	for _, d := range []Drawing{e, h, someShots()} {
		if png := string(written(t, d, "png")); !strings.HasPrefix(png, "\x89PNG") {
			t.Error("no PNG")
		}
		if pdf := string(written(t, d, "pdf")); !strings.HasPrefix(pdf, "%PDF") {
			t.Error("no PDF")
		}
	}
}

// A histogram names the colours of what is within and beyond the tolerance where there is some, and the
// names of both limits are apart however narrow the tolerance is.
func TestHistogramNamesWhatIsBeyond(t *testing.T) {
	t.Parallel()
	h := &Histogram{Title: "Departures", From: -0.010, Step: 0.002, Shares: []float64{0.1, 0, 0, 0.1, 0.3, 0.3, 0.1, 0, 0, 0.1}, Tolerance: 0.0005}
	for _, c := range []struct {
		tolerance             float64
		within, beyond, share bool
	}{{0.0005, false, true, false}, {0.002, true, true, false}, {0.02, true, false, false}, {0, false, false, true}} {
		h.Tolerance = c.tolerance
		of := texts(t, written(t, h, "svg"))
		for text, want := range map[string]bool{"within the tolerance": c.within, "beyond the tolerance": c.beyond, "share of the area with that departure": c.share} {
			if got := has(of, text); got != want {
				t.Errorf("tolerance %g: %q in the legend %t, want %t", c.tolerance, text, got, want)
			}
		}
	}
	h.Tolerance = 0.0005
	svg := string(written(t, h, "svg"))
	places := regexp.MustCompile(`<text x="([0-9.]+)"[^>]*>([−+])0\.5 mm`).FindAllStringSubmatch(svg, -1)
	if len(places) != 2 {
		t.Fatalf("%d names of limits, want 2: %s", len(places), svg)
	}
	low, _ := strconv.ParseFloat(places[0][1], 64)
	high, _ := strconv.ParseFloat(places[1][1], 64)
	if width := lettering(8, true, alarm).Width("−0.5 mm"); high-low < float64(width) {
		t.Errorf("names of the limits at %g and %g, %g wide", low, high, width)
	}
}

// Departures on the axis of a job in inches are fractions, as on a rule and beside them.
func TestInchesOnAxesAreFractions(t *testing.T) {
	t.Parallel()
	h := &Histogram{Title: "Departures", From: -0.004, Step: 0.002, Shares: []float64{0.1, 0.4, 0.4, 0.1}, Tolerance: 0.003, Units: unit.Style{Imperial: true}}
	got := texts(t, written(t, h, "svg"))
	if !has(got, "1/8") || !has(got, "-1/16") && !has(got, "-1/8") || has(got, "0.1") || has(got, "-0.1") {
		t.Errorf("%q", got)
	}
	h.Units = unit.Style{}
	if got = texts(t, written(t, h, "svg")); !has(got, "2") || has(got, "1/8") {
		t.Errorf("in mm: %q", got)
	}
}
