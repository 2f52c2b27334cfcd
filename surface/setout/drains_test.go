package setout_test

import (
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/surface/setout"
)

// By hand: in the room of 5 × 4 m pin A1 of the grid is at (1.5, 1.5) and wall pin W2 at
// (1.5, 0.15). A drain 0.149 m from either takes it away, one 0.15 m from it does not.
func TestPinsKeepClearOfDrains(t *testing.T) {
	for _, c := range []struct {
		drain surface.Vec
		gone  int
	}{{surface.Vec{X: 1.649, Y: 1.5}, 1}, {surface.Vec{X: 1.65, Y: 1.5}, 0}, {surface.Vec{X: 1.5, Y: 0.299}, 1}, {surface.Vec{X: 1.5, Y: 0.3}, 0}} {
		p, err := setout.SetPins(rectangle(t, 5, 4, tilted), surface.Horizontal(10.03), setout.PinRules{Drains: []surface.Vec{c.drain}})
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Pins) != 18-c.gone || p.AtDrains != c.gone {
			t.Errorf("a drain at %v: %d pins, %d left out, want %d left out of 18", c.drain, len(p.Pins), p.AtDrains, c.gone)
		}
		for _, pin := range p.Pins {
			if d := pin.At.Distance(c.drain); d < 0.15-1e-9 {
				t.Errorf("%s is %g m from the drain", pin.Name, d)
			}
		}
		if noted := strings.Contains(noteText(p.Notes), "1 pin is left out, nearer to a drain than 0.150 m"); noted != (c.gone > 0) {
			t.Errorf("a drain at %v: notes %q", c.drain, noteText(p.Notes))
		}
	}
}
