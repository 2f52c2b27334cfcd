package unit

import "testing"

// A change of level is a depth up to 2 ft or 600 mm, and beyond in feet and inches or metres.
func TestChange(t *testing.T) {
	t.Parallel()
	us := Style{Imperial: true}
	for _, c := range []struct {
		m    float64
		s    Style
		want string
	}{
		{0.3, Style{}, "300 mm"}, {0.6000000001, Style{}, "600 mm"}, {0.601, Style{}, "0.601 m"}, {-0.25, Style{}, "-250 mm"}, {-2.5, Style{}, "-2.500 m"},
		{0.3048, us, `12"`}, {0.6096, us, `24"`}, {0.0254 * 24.5, us, `2'-0 1/2"`}, {0.0254 * (10798 + 9./16), us, `899'-10 9/16"`}, {-0.0254, us, `-1"`},
	} {
		if got := c.s.Change(c.m); got != c.want {
			t.Errorf("%v m is %q, want %q", c.m, got, c.want)
		}
		if got := Change(c.m).In(c.s); got != c.want {
			t.Errorf("%v m is %q as a quantity", c.m, got)
		}
	}
}
