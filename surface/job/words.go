package job

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"pourplane/survey/unit"
)

// EdgeLength is the length of a straightedge, m. It is written as its standard writes
// it, with the length in the job's units in brackets: 2 m stays 2 m in a job in feet,
// and 10'-0" stays 10'-0" in a metric one.
type EdgeLength float64

func (v EdgeLength) In(style unit.Style) string {
	m := float64(v)
	own := style.Length(m)
	whole := func(step float64) bool { n := m / step; return math.Abs(n-math.Round(n)) < 1e-6 }
	metric, inches := whole(0.05), whole(unit.Inch.Metres())
	switch {
	case style.Imperial && metric && !inches:
		return strconv.FormatFloat(m, 'g', 4, 64) + " m (" + own + ")"
	case !style.Imperial && inches && !metric:
		return unit.Style{Imperial: true}.Length(m) + " (" + own + ")"
	}
	return own
}

func Minutes(d time.Duration) string {
	m := int(d.Round(time.Minute).Minutes())
	switch {
	case m < 60:
		return fmt.Sprintf("%d min", m)
	case m%60 == 0:
		return fmt.Sprintf("%d h", m/60)
	}
	return fmt.Sprintf("%d h %d min", m/60, m%60)
}

// LessThanStep is a depth, m, that may be smaller than the digits shown.
type LessThanStep float64

func (v LessThanStep) In(style unit.Style) string {
	m := float64(v)
	if math.Abs(m) < style.Step()/2 {
		return "less than " + style.Depth(style.Step())
	}
	return style.Depth(m)
}

func (v EdgeLength) String() string   { return v.In(unit.Style{}) }
func (v LessThanStep) String() string { return v.In(unit.Style{}) }
