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

// The demo orders one plan: a truck for each bay. An assumed pace changes no order, and bays in
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
		{`travel = "30min"`, "travel = \"30min\"\ntruck-spacing = \"30min\"", "[[1] [1]]", 0, "Order loads of max"},
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
