package setout

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"pourplane/survey"
)

// Size is a nominal size of reinforcing bar.
type Size struct {
	Name     string
	Diameter float64 // m
	Mass     float64 // kg/m
}

const (
	poundPerFoot = 0.45359237 / foot // kg/m
	steel        = 7850              // kg/m³, used for masses in EN 10080
)

// inchBars are the sizes of ASTM A615: diameter in inches and pounds per foot as tabulated
// in that standard (read in "Rebar size and weights", Concrete Construction). They are
// looked up, not computed: #5 computed from its area is 1.044.
var inchBars = map[int][2]float64{
	3: {0.375, 0.376}, 4: {0.500, 0.668}, 5: {0.625, 1.043}, 6: {0.750, 1.502}, 7: {0.875, 2.044}, 8: {1.000, 2.670},
	9: {1.128, 3.400}, 10: {1.270, 4.303}, 11: {1.410, 5.313}, 14: {1.693, 7.65}, 18: {2.257, 13.60},
}

// metricBars are the usual diameters in EN 10080 and ISO 6935-2, mm (from memory).
var metricBars = []int{6, 8, 10, 12, 14, 16, 20, 25, 28, 32, 40, 50}

// BarNamed returns the size for a name: "#4" counts eighths of an inch as in ASTM A615;
// "12", "T12", "H12", "Ø12" and "12 mm" are millimetres. The mass of a metric size is that
// of a round bar of the diameter at 7850 kg/m³, to the gram as printed in tables. An unknown
// name is a [*survey.Error].
func BarNamed(name string) (Size, error) {
	plain := strings.ToUpper(strings.Join(strings.Fields(name), ""))
	if number, ok := strings.CutPrefix(plain, "#"); ok {
		n, err := strconv.Atoi(number)
		if b, known := inchBars[n]; err == nil && known {
			return Size{fmt.Sprintf("#%d", n), b[0] * inch, b[1] * poundPerFoot}, nil
		}
		return Size{}, unknownBar(name)
	}
	plain = strings.TrimSuffix(plain, "MM")
	for _, letter := range []string{"T", "H", "D", "Ø"} {
		plain = strings.TrimPrefix(plain, letter)
	}
	n, err := strconv.Atoi(plain)
	for _, d := range metricBars {
		if err == nil && d == n {
			m := float64(n) / 1000
			return Size{fmt.Sprintf("%d mm", n), m, math.Round(steel*math.Pi/4*m*m*1000) / 1000}, nil
		}
	}
	return Size{}, unknownBar(name)
}

func unknownBar(name string) error {
	return &survey.Error{Element: "bar size", Found: strconv.Quote(name),
		Want: "#3 to #11, #14 or #18, or a diameter of 6, 8, 10, 12, 14, 16, 20, 25, 28, 32, 40 or 50 mm"}
}
