package plot

import (
	"bytes"
	"errors"
	"image/color"
	"image/png"
	"math"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// The blues are in proportion to the areas under water, and every sign on the map is in its
// legend.
func TestWaterMap(t *testing.T) {
	t.Parallel()
	floor, err := surface.NewFloor(surface.Data{Shots: []survey.Point{{X: 0, Y: 0, Z: 10}, {X: 10, Y: 0, Z: 10}, {X: 10, Y: 10, Z: 10}, {X: 0, Y: 10, Z: 10}}})
	if err != nil {
		t.Fatal(err)
	}
	square := func(x0, y0, x1, y1 float64) []surface.Vec {
		return []surface.Vec{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
	}
	m := &WaterMap{Title: "Bakery", Floor: floor, Limits: []float64{0, 0.002}, Under: [][][]surface.Vec{{square(2, 2, 7, 7)}, {square(3, 3, 5, 6)}},
		Ponds: []Spot{{Name: "1: 3.0 mm", At: surface.Vec{X: 4, Y: 4}}}, Flows: [][]surface.Vec{{{X: 9, Y: 9}, {X: 9, Y: 1}}},
		Drains: []survey.Point{survey.Point{X: 9, Y: 1}.Named("FD1")}, Doors: []survey.Point{survey.Point{X: 0, Y: 9}.Named("D1")}}
	svg := string(written(t, m, "svg"))
	for _, want := range []string{"1: 3.0 mm", "FD1", "D1", "the way water runs", "water more than 2.0 mm deep", ">drain<", "threshold: water leaves above its elevation"} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %q on the map", want)
		}
	}
	img, err := png.Decode(bytes.NewReader(written(t, m, "png")))
	if err != nil {
		t.Fatal(err)
	}
	count := map[color.NRGBA]int{}
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			count[color.NRGBAModel.Convert(img.At(x, y)).(color.NRGBA)]++
		}
	}
	// 25 − 6 m² and 6 m², less the name and the mark of the pond.
	if got := float64(count[waterInks[0]]) / float64(count[waterInks[1]]); math.Abs(got-19.0/6) > 0.35 {
		t.Errorf("shallow to deep as %.2f, want %.2f", got, 19.0/6)
	}
	dry := &WaterMap{Floor: floor}
	if svg := string(written(t, dry, "svg")); strings.Contains(svg, "water") || strings.Contains(svg, ">drain<") {
		t.Error("the legend of a dry floor has signs that are not on the map")
	}
	if err := Write(&bytes.Buffer{}, &WaterMap{}, Output{Format: "svg"}); !errors.Is(err, ErrNoFloor) {
		t.Errorf("nothing drawn: %v", err)
	}
}
