package setout

import (
	"fmt"
	"math"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
)

func isFinite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// measure is a number that somebody entered, with what it may be.
type measure struct {
	name        string
	value       float64
	least, most float64 // both are allowed
	want        string
}

// length is a measure above nothing and below a kilometre.
func length(name string, m float64) measure {
	return measure{name, m, 1e-6, 1000, "a length in m above 0 and up to 1000"}
}

// depth is a length that may be nothing.
func depth(name string, m float64) measure {
	return measure{name, m, 0, 1000, "a length in m from 0 to 1000"}
}

// check refuses the first measure that is not what it may be, NaN included.
func check(all ...measure) error {
	for _, m := range all {
		if !(m.value >= m.least && m.value <= m.most) {
			return &survey.Error{Element: m.name, Found: fmt.Sprintf("%g", m.value), Want: m.want}
		}
	}
	return nil
}

func checkTarget(p surface.Plane) error {
	for _, v := range [...]float64{p.At.X, p.At.Y, p.Z, p.SlopeX, p.SlopeY} {
		if !isFinite(v) {
			return &survey.Error{Element: "target", Found: fmt.Sprintf("%g", v), Want: "a plane in numbers"}
		}
	}
	return nil
}

// worded returns w with metric words where it has none.
func worded(w surface.Words) surface.Words {
	if w.Depth == nil {
		w.Depth = func(m float64) string { return fmt.Sprintf("%.1f mm", m*1000) }
	}
	if w.Length == nil {
		w.Length = func(m float64) string { return fmt.Sprintf("%.3f m", m) }
	}
	if w.Place == nil {
		w.Place = func(p surface.Vec) string { return fmt.Sprintf("(%.3f, %.3f) m", p.X, p.Y) }
	}
	return w
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// some lists the first few names.
func some(names []string) string {
	const most = 12
	if len(names) > most {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", len(names)-most)
	}
	return strings.Join(names, ", ")
}
