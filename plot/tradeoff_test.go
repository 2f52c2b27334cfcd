package plot

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"pourplane/survey/unit"
)

// The curve has the volume ground off to the right and the fill upward, in the units shown, and the
// target with its line of equal cost.
func TestTradeOff(t *testing.T) {
	t.Parallel()
	m := &TradeOff{Title: "Store", Summary: "0.15 m³ of fill, 9.6 L ground off", Ratio: 4, Priced: true, Points: []Traded{
		{Fill: 0.06, Cut: 0.06, Text: "1 ×"}, {Fill: 0.1536, Cut: 0.0096, Text: "4 ×", Here: true}, {Fill: 0.24, Text: "no grinding"}}}
	svg := string(written(t, m, "svg"))
	for _, want := range []string{"ground off, m³", "fill, m³", "1 ×", "4 ×", "no grinding", "the target", "equal cost at the prices given"} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %q in the curve", want)
		}
	}
	m.Units, m.Priced = unit.Style{Imperial: true}, false
	if svg = string(written(t, m, "svg")); !strings.Contains(svg, "fill, yd³") || !strings.Contains(svg, "if both cost the same by volume") {
		t.Error("not in yd³, or prices that were not given")
	}
	// Where limits leave one plane all points are alike.
	alike := &TradeOff{Points: []Traded{{Fill: 7.06, Cut: 0.02}, {Fill: 7.06 + 1e-15, Cut: 0.02, Here: true}}}
	if svg = string(written(t, alike, "svg")); !strings.Contains(svg, "7.0") {
		t.Error("no fill beside the axis")
	}
	if err := Write(&bytes.Buffer{}, &TradeOff{Points: []Traded{{Fill: 1}, {Fill: 1}}}, Output{Format: "svg"}); !errors.Is(err, ErrNoTrade) {
		t.Errorf("nothing ground: %v", err)
	}
	if err := Write(&bytes.Buffer{}, &TradeOff{Points: m.Points[:1]}, Output{Format: "svg"}); !errors.Is(err, ErrNoTrade) {
		t.Errorf("one point: %v", err)
	}
}
