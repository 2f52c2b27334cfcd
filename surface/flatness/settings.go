// Package flatness says how flat a floor is by the measures that contracts name:
// F-numbers, chord departures, Property E and F, and a table of published limits
// to hold measurements against. Lengths and elevations are metres; F-numbers have
// no unit.
package flatness

import (
	"fmt"
	"math"

	"pourplane/survey/unit"
)

// Method is how results are to be named. The pages of ASTM E1155 that hold its
// equations were not at hand, so nothing here is claimed to conform to it.
const Method = "by the method of ASTM E1155, constants not checked against a bought copy"

// Settings are the choices that the sources leave open. What is zero is the
// default; [Settings.Table] lists each with its source and how well it is known.
type Settings struct {
	Step       float64 // m between readings that [LayOut] takes; 0: 12 in
	MetricFF   float64 // m, constant of FF for runs read at 300 mm; 0: 4.57 in, which is 116.078 mm
	DivideByN  bool    // variances by n; false: n − 1
	Pooled     bool    // all readings of a section together; false: line by line
	Thirtieth  bool    // A/30 readings for every area in ft²; false: 2√A up to 1 600 ft²
	LocalRatio float64 // least local value over the overall one; 0: 3/5
	Confidence float64 // of the intervals; 0: 0.90

	LeastArea float64 // m² of a test section; 0: 320 ft² or 30 m²
	LeastSide float64 // m; 0: 8 ft or 2.4 m
	Band      float64 // m left out at walls, openings, steps and joints; 0: 2 ft or 600 mm
	Waive     float64 // share of the area from which the band is not left out; 0: 0.25
	Apart     float64 // m between parallel runs, at least; 0: 4 ft or 1.2 m
	Narrow    float64 // m; narrower sections take runs at 45°; 0: 25 ft or 7.5 m
	Diagonal  bool    // runs at 45° in wide sections too
	Sparse    float64 // greatest usual distance of shots, in steps, that carries readings; 0: 1.25
	Turn      float64 // degrees that a run may be off the direction wanted; 0: 5
}

const (
	inch   = 0.0254      // m
	foot   = 12 * inch   // m
	sqFoot = foot * foot // m²
	inchFF = 4.57 * inch // m; ASTM E1155-96 §9, M 97 %
	bothFL = 12.5 * inch // m; ASTM E1155-96 §9, M 97 %; × 25.4 is the 317.5 mm of the metric form
	atInch = 12 * inch   // m, step
	atMM   = 0.300       // m, step
	off    = 0.01        // of a step: how far it may be from 12 in or 300 mm; own choice
	overZ  = 10          // steps in 10 ft or 3.0 m; R1
	fewest = 12          // readings of a run; R1
	hair   = 1e-6        // that rounding may add to a number that ought to be whole
	none   = 1e-9        // m: a departure below this is none, since nothing measures a nanometre
)

// system is the set of figures that goes with a step: the inch-pound and the
// metric text do not hold each other's exactly.
type system uint8

const (
	inches system = iota
	metric
)

// systemOf returns the system whose step is nearer, and whether step is its own
// to within 1 %.
func systemOf(step float64) (system, bool) {
	if math.Abs(step-atMM) < math.Abs(step-atInch) {
		return metric, math.Abs(step-atMM) <= off*atMM
	}
	return inches, math.Abs(step-atInch) <= off*atInch
}

func (y system) String() string {
	if y == metric {
		return "300 mm"
	}
	return "12 in"
}

// length writes m as the system does.
func (y system) length(m float64) string {
	if y == metric {
		return fmt.Sprintf("%.2f m", m)
	}
	return fmt.Sprintf("%.2f ft", m/unit.Foot.Metres())
}

func (y system) area(m2 float64) string {
	if y == metric {
		return fmt.Sprintf("%.1f m²", m2)
	}
	return fmt.Sprintf("%.0f ft²", m2/sqFoot)
}

// filled returns s with the defaults of a system where it is zero.
func (s Settings) filled(y system) Settings {
	fill := func(v *float64, inches, mm float64) {
		if *v == 0 {
			*v = [...]float64{inches, mm}[y]
		}
	}
	fill(&s.Step, atInch, atMM)
	fill(&s.MetricFF, inchFF, inchFF)
	fill(&s.LocalRatio, 0.6, 0.6)
	fill(&s.Confidence, 0.9, 0.9)
	fill(&s.LeastArea, 320*sqFoot, 30)
	fill(&s.LeastSide, 8*foot, 2.4)
	fill(&s.Band, 2*foot, 0.6)
	fill(&s.Waive, 0.25, 0.25)
	fill(&s.Apart, 4*foot, 1.2)
	fill(&s.Narrow, 25*foot, 7.5)
	fill(&s.Sparse, 1.25, 1.25)
	fill(&s.Turn, 5, 5)
	return s
}

// constants returns what FF and FL are divided from, m.
func (s Settings) constants(y system) (ff, fl float64) {
	if y == metric {
		return s.filled(y).MetricFF, bothFL
	}
	return inchFF, bothFL
}

// required returns how many 10-ft differences a section of an area in m² must
// have, rounded up.
//
// Source: N = A/30, A in ft², read on a survey firm's page; N = 2√A up to
// 1 600 ft², M 70 %. The two leave a jump at 1 600 ft². The metric text's own
// figures were not found; the area is turned into ft².
func (s Settings) required(area float64) int {
	a := area / sqFoot
	n := a / 30
	if !s.Thirtieth && a <= 1600+hair {
		n = 2 * math.Sqrt(a)
	}
	return int(math.Ceil(n - hair))
}

// Setting is one choice for printing.
type Setting struct {
	Name, Value, Other, Source, Known string
}

// Table lists the choices in force for runs read at a step in metres.
func (s Settings) Table(step float64) []Setting {
	y, _ := systemOf(step)
	f := s.filled(y)
	pick := func(on bool, yes, no string) (value, other string) {
		if on {
			return yes, no
		}
		return no, yes
	}
	mm := func(m float64) string { return fmt.Sprintf("%.3f mm", m*1000) }
	ff, fl := s.constants(y)
	divisor, otherDivisor := pick(s.DivideByN, "n", "n − 1")
	joined, otherJoined := pick(s.Pooled, "all readings pooled", "line by line, weighted by readings")
	count, otherCount := pick(s.Thirtieth, "A/30", "2√A to 1 600 ft², A/30 above")
	way, otherWay := pick(s.Diagonal, "45° everywhere", "along and across in equal length; 45° where narrow")
	const rules = "ASTM E1155-96 section 7"
	return []Setting{
		{"FF constant", mm(ff), "115.8 mm for 300 mm steps, or 4.57 in = 116.078 mm", "ASTM E1155-96 section 9; E1155M-96", "4.57 in from memory 97 %; 115.8 mm from memory 65 %"},
		{"FL constant", mm(fl), "", "ASTM E1155-96 section 9", "from memory 97 %"},
		{"variance divisor", divisor, otherDivisor, "ASTM E1155-96 section 9", "from memory 90 %"},
		{"lines into a section", joined, otherJoined, "ASTM E1155-96 section 9; E1155-14 speaks of all values", "from memory 85 %"},
		{"sections into a floor", "weighted by area", "", "ASTM E1155-96 section 9", "from memory 85 %"},
		{"readings required", count, otherCount, "a survey firm's page for A/30", "2√A from memory 70 %"},
		{"least local over overall", fmt.Sprintf("%.2f", f.LocalRatio), "0.60, 0.67 or 0.50", "ACI 117-10; ACI 302.1R-04; earlier practice", "read, reproduced"},
		{"confidence", fmt.Sprintf("%.0f %%", 100*f.Confidence), "", "ASTM E1155 asks for 90 %", "its formula was not found; " + Estimate},
		{"least area of a section", y.area(f.LeastArea), "a published report passes 20.5 m²", rules, "survey firm's page; from memory 90 %"},
		{"least side of a section", y.length(f.LeastSide), "", rules, "survey firm's page; from memory 90 %"},
		{"band left out", y.length(f.Band), "", rules, "read in a published report; full list from memory 90 %"},
		{"band not left out above", fmt.Sprintf("%.0f %% of the area", 100*f.Waive), "", rules, "from memory 80 %"},
		{"parallel runs apart", y.length(f.Apart), "", rules, "read in a published report"},
		{"narrow section below", y.length(f.Narrow), "", rules, "read in a published report"},
		{"directions", way, otherWay, rules, "from memory 85 %"},
		{"direction off by at most", fmt.Sprintf("%g°", f.Turn), "", "own choice", "common sense"},
		{"shots apart at most", fmt.Sprintf("%g steps", f.Sparse), "", "own choice", "common sense"},
	}
}
