package job

import (
	"math"
	"testing"
)

// Falls as people write them; percent by hand.
func TestParseSlope(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64 // percent; NaN: refused
	}{
		{"1.5", 1.5}, {"1.5%", 1.5}, {" 2 % ", 2}, {"0", 0},
		{"1:60", 100.0 / 60}, {"1 : 80", 1.25}, {"1 in 60", 100.0 / 60}, {"1in60", 100.0 / 60}, {"2:100", 2},
		{"1/4in/ft", 100.0 / 48}, {`1/4"/ft`, 100.0 / 48}, {"1/4 in per foot", 100.0 / 48}, {"1/8in/ft", 100.0 / 96}, {"15mm/m", 1.5}, {"2cm/2m", 1}, {"0.25in/12in", 100.0 / 48},
		{"1/60", math.NaN()}, {"1/4", math.NaN()}, {"1/4in", math.NaN()}, {"60", math.NaN()}, {"20.1", math.NaN()}, {"1:4", math.NaN()}, {"-1", math.NaN()}, {"1:0", math.NaN()}, {"0:0", math.NaN()}, {"", math.NaN()}, {"steep", math.NaN()}, {"NaN", math.NaN()}, {"1/4in/yd", math.NaN()},
	} {
		got, err := parseSlope(c.text)
		switch {
		case math.IsNaN(c.want) && err == nil:
			t.Errorf("%q is %g %%, want a refusal", c.text, got)
		case !math.IsNaN(c.want) && (err != nil || math.Abs(got-c.want) > 1e-12):
			t.Errorf("%q is %g %%, %v; want %g", c.text, got, err, c.want)
		}
	}
}
