package report

import (
	"testing"

	"pourplane/surface/flatness"
	"pourplane/survey/unit"
)

// A verdict that is not from the whole floor gives the share beside its figure, and
// never rounds one that is not whole up to 100 %.
func TestVerdictGivesTheShareOfTheFloor(t *testing.T) {
	row := flatness.Row{Kind: flatness.ByPropertyE, Limit: 0.0065, Share: 0.95}
	for unread, want := range map[float64]string{
		0:     "Property E 100.0 % within 6.5 mm (95 % needed)",
		0.03:  "Property E 100.0 % within 6.5 mm (95 % needed) on 97 % of the floor",
		0.001: "Property E 100.0 % within 6.5 mm (95 % needed) on 99 % of the floor",
	} {
		v := flatness.Verdict{Row: row, Limit: row.Limit, Value: 0.001, Share: 1, Unread: unread}
		if got := VerdictText(&v, unit.Style{}); got != want {
			t.Errorf("%g unread: %q, want %q", unread, got, want)
		}
	}
}
