package plot

import (
	"fmt"
	"testing"
)

// Shades cover the depths of the floor without a gap, in the colours of the map.
func TestShades(t *testing.T) {
	t.Parallel()
	for _, m := range []*DepthMap{cutHall(0.05), cutHall(0.5)} {
		all := m.Shades()
		least, greatest := m.Floor.Depths(m.Target)
		if len(all) < 3 || all[0].From != least || all[len(all)-1].To != greatest {
			t.Fatalf("%v for depths from %v to %v", all, least, greatest)
		}
		s := newSheet(m, true)
		for i, one := range all {
			if i > 0 && one.From != all[i-1].To {
				t.Errorf("a gap between %v and %v", all[i-1], one)
			}
			c := s.bands.color((one.From + one.To) / 2)
			var r, g, b uint8
			if _, err := fmt.Sscanf(one.Color, "#%02x%02x%02x", &r, &g, &b); err != nil || r != c.R || g != c.G || b != c.B {
				t.Errorf("%v has the colour %v on the map", one, c)
			}
		}
	}
}
