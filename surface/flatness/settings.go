// Package flatness measures how flat a floor is by the measures used in contracts:
// F-numbers, chord departures, Property E and F, and a table of published limits to compare
// with. Lengths and elevations are metres; F-numbers have no unit.
//
// "From memory 90 %" in a comment or a source means that no text was at hand and how sure
// the writer was.
package flatness

import (
	"fmt"
	"math"

	"pourplane/survey/unit"
)

// Method is the name of the results. The pages of ASTM E1155 with its equations were not at
// hand, so no conformance is claimed.
const Method = "by the method of ASTM E1155, constants not verified against the published standard"

// Settings are the choices that the sources leave open. A zero field is the default;
// [Settings.Table] lists each with its source and how well it is known.
type Settings struct {
	Step       float64 // m between the readings of [LayOut]; 0: 12 in
	MetricFF   float64 // m, constant of FF for runs read at 300 mm; 0: 4.57 in, which is 116.078 mm
	DivideByN  bool    // variances by n; false: n − 1
	Pooled     bool    // all readings of a section together; false: line by line
	Thirtieth  bool    // A/30 readings for every area in ft²; false: 2√A up to 1 600 ft²
	LocalRatio float64 // min local value over the overall one; 0: 3/5
	Confidence float64 // of the intervals; 0: 0.90

	LeastArea float64 // m² of a test section; 0: 320 ft² or 30 m²
	LeastSide float64 // m; 0: 8 ft or 2.4 m
	Band      float64 // m left out at walls, openings, steps and joints; 0: 2 ft or 600 mm
	Waive     float64 // max share of the area for the band, above which it is not left out; 0: 0.25
	Apart     float64 // min m between parallel runs; 0: 4 ft or 1.2 m
	Narrow    float64 // m; narrower sections take runs at 45°; 0: 25 ft or 7.5 m
	Diagonal  bool    // runs at 45° in wide sections too
	Sparse    float64 // max usual distance of shots for readings, in steps; 0: 1.25
	Turn      float64 // degrees that a run may differ from its required direction; 0: 5

	EdgeShare  float64 // max distance of readings for a verdict, as a share of the straightedge; 0: 1/3
	DoorShot   float64 // max m from the floor at a threshold to the nearest shot; 0: 2 ft or 600 mm
	LevelApart float64 // max m between shots for a verdict on the level of a floor; 0: 10 ft or 3 m
}

const (
	inch   = 0.0254      // m
	foot   = 12 * inch   // m
	sqFoot = foot * foot // m²
	inchFF = 4.57 * inch // m; from memory 97 %, ASTM E1155-96 section 9
	bothFL = 12.5 * inch // m; from memory 97 %, ASTM E1155-96 section 9; × 25.4 is the 317.5 mm of the metric form
	atInch = 12 * inch   // m, step
	atMM   = 0.300       // m, step
	off    = 0.01        // of a step: max difference from 12 in or 300 mm; own choice
	overZ  = 10          // steps in 10 ft or 3.0 m; ASTM E1155-96 section 3
	fewest = 12          // readings of a run; ASTM E1155-96 section 3
	hair   = 1e-6        // rounding allowed on a whole number
	none   = 1e-9        // m: a smaller departure counts as zero, because nothing measures a nanometre
)

// system is the set of figures for a step: the inch-pound and the metric text do not have
// exactly the same ones.
type system uint8

const (
	inches system = iota
	metric
)

// systemOf returns the system with the nearer step, and whether step is that step to within
// 1 %.
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
	return unit.Style{Imperial: true}.Length(m)
}

func (y system) area(m2 float64) string {
	if y == metric {
		return fmt.Sprintf("%.1f m²", m2)
	}
	return fmt.Sprintf("%.0f ft²", m2/sqFoot)
}

// figure is a numerical setting.
type figure struct {
	name                 string
	of                   func(*Settings) *float64
	inches, mm           float64 // default in each system
	show                 func(y system, v float64) string
	other, source, known string
}

const (
	rulesOf  = "ASTM E1155-96 section 7"
	numberOf = "ASTM E1155-96 section 9"
)

// figures lists every default once, with its source.
var figures = []figure{
	{"reading step", func(s *Settings) *float64 { return &s.Step }, atInch, atMM, millimetres,
		"300 mm", "ASTM E1155-96 section 3", "read in text copies"},
	{"FF constant at 300 mm", func(s *Settings) *float64 { return &s.MetricFF }, inchFF, inchFF, millimetres,
		"115.800 mm", numberOf + "; E1155M-96", "4.57 in from memory 97 %; 115.8 mm from memory 65 %"},
	{"min local over overall", func(s *Settings) *float64 { return &s.LocalRatio }, 0.6, 0.6, ratio,
		"0.67 or 0.50", "ACI 117-10; others ACI 302.1R-04, earlier practice", "read, reproduced"},
	{"confidence", func(s *Settings) *float64 { return &s.Confidence }, 0.9, 0.9, ratio,
		"", "ASTM E1155 asks for 90 %", "its formula was not found; " + Estimate},
	{"min area of a section", func(s *Settings) *float64 { return &s.LeastArea }, 320 * sqFoot, 30, system.area,
		"a published report passes 20.5 m²", rulesOf, "survey firm's page; from memory 90 %"},
	{"min side of a section", func(s *Settings) *float64 { return &s.LeastSide }, 8 * foot, 2.4, system.length,
		"", rulesOf, "survey firm's page; from memory 90 %"},
	{"band left out", func(s *Settings) *float64 { return &s.Band }, 2 * foot, 0.6, system.length,
		"", rulesOf, "read in a published report; full list from memory 90 %"},
	{"band not left out above this share", func(s *Settings) *float64 { return &s.Waive }, 0.25, 0.25, ratio,
		"", rulesOf, "from memory 80 %"},
	{"parallel runs apart", func(s *Settings) *float64 { return &s.Apart }, 4 * foot, 1.2, system.length,
		"", rulesOf, "read in a published report"},
	{"narrow section below", func(s *Settings) *float64 { return &s.Narrow }, 25 * foot, 7.5, system.length,
		"", rulesOf, "read in a published report"},
	{"direction differs by, degrees", func(s *Settings) *float64 { return &s.Turn }, 5, 5, plain,
		"", "own choice", "own choice"},
	{"max distance between shots, steps", func(s *Settings) *float64 { return &s.Sparse }, 1.25, 1.25, plain,
		"", "own choice", "own choice"},
	{"readings apart, share of a straightedge", func(s *Settings) *float64 { return &s.EdgeShare }, 1. / 3, 1. / 3, ratio,
		"0.50, the grid of DIN 18202 by level", "own choice: two or more readings between the ends", "own choice"},
	{"nearest shot to a threshold", func(s *Settings) *float64 { return &s.DoorShot }, 2 * foot, 0.6, system.length,
		"", "own choice: the band at walls that ASTM E1155 leaves out", "own choice"},
	{"shots apart for the level of a floor", func(s *Settings) *float64 { return &s.LevelApart }, 10 * foot, 3, system.length,
		"", "own choice: the 3 m grid of TR 34 Property E; no standard read states one for a departure from datum", "own choice"},
}

func millimetres(_ system, m float64) string { return fmt.Sprintf("%.3f mm", m*1000) }
func ratio(_ system, v float64) string       { return fmt.Sprintf("%.2f", v) }
func plain(_ system, v float64) string       { return fmt.Sprintf("%g", v) }

// filled returns s with the defaults of a system in its zero fields.
func (s Settings) filled(y system) Settings {
	for _, f := range figures {
		if v := f.of(&s); *v == 0 {
			*v = [...]float64{f.inches, f.mm}[y]
		}
	}
	return s
}

// constants returns the numerators of FF and FL, m.
func (s Settings) constants(y system) (ff, fl float64) {
	if y == metric {
		return s.filled(y).MetricFF, bothFL
	}
	return inchFF, bothFL
}

// required returns how many 10-ft differences a section of an area in m² must have, rounded
// up.
//
// Source: N = A/30, A in ft², read on a survey firm's page; N = 2√A up to 1 600 ft², from
// memory 70 %. The two differ at 1 600 ft². The figures of the metric text were not found;
// the area is converted to ft².
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

// Table lists the choices used for runs read at a step in metres.
func (s Settings) Table(step float64) []Setting {
	y, _ := systemOf(step)
	if s.Step == 0 {
		s.Step = step
	}
	out := []Setting{{"FF constant at 12 in", millimetres(y, inchFF), "", numberOf, "from memory 97 %"},
		{"FL constant", millimetres(y, bothFL), "", numberOf, "from memory 97 %"}}
	pick := func(name string, on bool, yes, no, source, known string) {
		if on {
			yes, no = no, yes
		}
		out = append(out, Setting{name, no, yes, source, known})
	}
	pick("variance divisor", s.DivideByN, "n", "n − 1", numberOf, "from memory 90 %")
	pick("lines into a section", s.Pooled, "all readings pooled", "line by line, weighted by readings", numberOf+"; E1155-14 speaks of all values", "from memory 85 %")
	out = append(out, Setting{"sections into a floor", "weighted by area", "", numberOf, "from memory 85 %"})
	pick("readings required", s.Thirtieth, "A/30", "2√A to 1 600 ft², A/30 above", "a survey firm's page for A/30", "2√A from memory 70 %")
	pick("directions", s.Diagonal, "45° everywhere", "along and across in equal length; 45° where narrow", rulesOf, "from memory 85 %")
	filled := s.filled(y)
	for _, f := range figures {
		out = append(out, Setting{f.name, f.show(y, *f.of(&filled)), f.other, f.source, f.known})
	}
	return out
}
