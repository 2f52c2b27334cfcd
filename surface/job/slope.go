package job

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"pourplane/survey/unit"
)

// steepest is the max fall of a target in percent: 60 for 1:60 is not a fall of a floor.
// Own choice; ramps for wheelchairs are 8.3 % (1:12).
const steepest = 20

// doubtful is a bare number below which a fall may be a ratio as well as percent: no
// floor falls by less than 0.1 %, and none by more than 1 in 10. Own choice.
const doubtful = 0.1

var ratio = regexp.MustCompile(`^([0-9.]+) ?(?::|in) ?([0-9.]+)$`)

// parseSlope reads the fall of a target in percent: percent, a ratio such as 1:60, or a
// length per length such as 1/4in/ft.
func parseSlope(text string) (percent float64, err error) { return parseSlopeTo(text, steepest) }

// parseSlopeTo reads a slope no steeper than most percent.
func parseSlopeTo(text string, most float64) (percent float64, err error) {
	wrong := unit.Wanted{Want: "percent such as 1.5%, a ratio such as 1:60, or a length per length such as 1/4in/ft or 15mm/m"}
	t := strings.ToLower(strings.TrimSpace(text))
	var v float64
	if m := ratio.FindStringSubmatch(t); m != nil {
		a, err1 := strconv.ParseFloat(m[1], 64)
		b, err2 := strconv.ParseFloat(m[2], 64)
		if err1 != nil || err2 != nil {
			return 0, wrong
		}
		v = 100 * a / b
	} else if t = strings.ReplaceAll(t, " per ", "/"); strings.ContainsAny(t, "/'\"") {
		i := strings.LastIndex(t, "/")
		if i < 0 {
			return 0, wrong
		}
		per := strings.TrimSpace(t[i+1:])
		if u, ok := unit.ParseLength(per); ok {
			per = "1" + u.String()
		}
		down, err1 := unit.Parse(strings.TrimSpace(t[:i]), unit.None)
		over, err2 := unit.Parse(per, unit.None)
		if err1 != nil || err2 != nil {
			return 0, wrong
		}
		v = 100 * down / over
	} else if v, err = strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(t, "%")), 64); err != nil {
		return 0, wrong
	} else if v > 0 && v < doubtful && !strings.HasSuffix(t, "%") {
		return 0, unit.Wanted{Want: fmt.Sprintf("the unit of so small a number: %g%% or %g%%", v, 100*v)}
	}
	if !(v >= 0 && v <= most) {
		return 0, unit.Wanted{Want: fmt.Sprintf("a fall from 0 to %g %%; a ratio is written 1:60", most)}
	}
	return v, nil
}
