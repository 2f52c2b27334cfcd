package plot

import (
	"fmt"
	"testing"

	"pourplane/surface"
)

// Close lines of bars are separate lines, and bars that lap are on one line: 100 lines 8 mm
// apart, each of two bars that lap over 0.4 m.
func TestCloseLinesOfBarsDoNotLap(t *testing.T) {
	t.Parallel()
	var s setOutSheet
	var bars []bar
	for i := range 100 {
		y := 0.008 * float64(i)
		bars = append(bars, bar{ends: [2]surface.Vec{{X: 0, Y: y}, {X: 6, Y: y}}, mark: fmt.Sprint(i)}, bar{ends: [2]surface.Vec{{X: 5.6, Y: y}, {X: 9, Y: y}}, mark: fmt.Sprint(i)})
	}
	s.sortBars(bars)
	if len(s.laps) != 100 || bars[len(bars)-1].line != 99 {
		t.Errorf("%d laps on %d lines, want 100 on 100", len(s.laps), bars[len(bars)-1].line+1)
	}
}
