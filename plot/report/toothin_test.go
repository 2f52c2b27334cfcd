package report

import (
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey/unit"
)

// An order of concrete says in its own line that most of the floor is too thin for it.
func TestOrderSaysThatMostIsTooThin(t *testing.T) {
	t.Parallel()
	for share, want := range map[float64]bool{0.49: false, 0.5: true, 0.84: true, 0: false} {
		s := &Summary{Filled: &job.Filled{Fill: surface.Fill{Fill: 1, FillArea: 100, Greatest: 0.05}, Mix: order.Mix{Order: 1, Step: 0.25}, Thin: order.Band{Area: 100 * share}}, Style: unit.Style{}}
		if got := s.tooThin(); strings.Contains(got, "too thin for concrete") != want {
			t.Errorf("%v of the floor: %q", share, got)
		}
	}
	s := &Summary{Filled: &job.Filled{Fill: surface.Fill{Fill: 1, FillArea: 100}, Thin: order.Band{Area: 84}}}
	if got := s.tooThin(); got != "; but 84 % of the filled area is too thin for concrete: choose a material for it" {
		t.Errorf("%q", got)
	}
}
