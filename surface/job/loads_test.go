package job

import (
	"fmt"
	"io/fs"
	"math"
	"strings"
	"testing"

	"pourplane/surface/order"
	"pourplane/survey"
)

// The demo orders one plan: a truck for each bay, also if the job spaces them. An assumed pace changes no order, and bays in
// time for one truck are all served by it.
func TestTrucksServeBays(t *testing.T) {
	text, err := fs.ReadFile(demo, "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		was, is string
		trucks  string
		loads   int // planned
		warned  string
	}{
		{"", "", "[[1] [2]]", 2, "order 2 trucks: "},
		{"placing-m3-per-hour = 6", "", "[[1] [1]]", 0, "Order loads of max"},
		{`travel = "30min"`, `travel = "15min"`, "[[1] [1]]", 0, "place it in the 2 bays laid out"},
		{`travel = "30min"`, "travel = \"30min\"\ntruck-spacing = \"30min\"", "[[1] [2]]", 2, "for bay 2, on site 30 min later"},
	} {
		h := solved(t, strings.Replace(string(text), c.was, c.is, 1), demo)
		sum := 0.0
		for _, v := range h.BayMix {
			sum += v
		}
		if len(h.Bays.Bays) != 2 || math.Abs(sum-8.25*order.CubicYard) > 1e-9 {
			t.Errorf("%s: %d bays take %g m³", c.is, len(h.Bays.Bays), sum)
		}
		if got := fmt.Sprint(h.BayTrucks); got != c.trucks || len(h.Delivery.Loads) != c.loads {
			t.Errorf("%q for %q: bays from trucks %s, %v planned; want %s and %d", c.is, c.was, got, h.Delivery.Loads, c.trucks, c.loads)
		}
		advice := 0
		for _, n := range h.Notes {
			if n.Kind == survey.Warning && strings.Contains(n.String(), c.warned) {
				advice++
			}
		}
		if advice != 1 {
			t.Errorf("%q for %q: %d warnings of %q", c.is, c.was, advice, c.warned)
		}
	}
}

// The first truck brings what its bay takes, with what fills line and hopper before it. By hand,
// of the demo: 2.367 yd³ net over 192 ft², 0.023 for 1 mm of roughness, 0.037 for 1/16 in, 5 % of
// these, 0.081 of line and 0.25 of hopper are 2.880, and 3.00 in steps of 0.25 yd³. The truck
// after it has the rest of the 8.25 yd³: its bay takes 5.315, of which 0.12 are left of the first.
func TestTheFirstLoadFillsThePump(t *testing.T) {
	text, err := fs.ReadFile(demo, "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	h := solved(t, string(text), demo)
	if len(h.Delivery.Loads) != 2 || math.Abs(h.BayMix[0]/order.CubicYard-2.880) > 0.001 || math.Abs(h.BayMix[1]/order.CubicYard-5.370) > 0.001 {
		t.Fatalf("bays take %v m³, loads %+v", h.BayMix, h.Delivery.Loads)
	}
	for i, want := range []float64{3, 5.25} {
		if got := h.Delivery.Loads[i].Volume / order.CubicYard; math.Abs(got-want) > 1e-9 {
			t.Errorf("truck %d brings %g yd³, want %g", i+1, got, want)
		}
	}
}
