package job

import (
	"fmt"
	"io/fs"
	"math"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/survey/unit"
)

// writings are the ways to write a length of n sixteenths of an inch in a job: decimals of
// each unit, feet and inches with their marks, and inches with a fraction. 1 in is 25.4 mm and
// 1 ftUS is 1200/3937 m, both exactly (Federal Register 24 FR 5348, 1959).
func writings(n int) []string {
	m := float64(n) / 16 * 0.0254
	out := []string{feetInches(m, 16), fmt.Sprintf(`%d %d/16in`, n/16, n%16), fmt.Sprintf(`%d-%d/16"`, n/16, n%16)}
	if n%16 == 0 {
		out[1], out[2] = fmt.Sprintf("%din", n/16), fmt.Sprintf(`%d"`, n/16)
	}
	for _, u := range []unit.Length{unit.Metre, unit.Centimetre, unit.Millimetre, unit.Foot, unit.SurveyFoot, unit.Inch} {
		out = append(out, strconv.FormatFloat(m/u.Metres(), 'f', 13, 64)+u.String())
	}
	return out
}

// written is a key that takes a length, in a job in which the length can be measured again.
type written struct {
	key        string
	sixteenths int
	text       func(quoted string) string
	files      fs.FS
	measured   func(t *testing.T, r *Result) float64
}

// heldAsWritten solves each job with each way to write its length, and works the length back
// from what the result measures.
func heldAsWritten(t *testing.T, rows []written) {
	t.Helper()
	for _, c := range rows {
		t.Run(c.key, func(t *testing.T) {
			t.Parallel()
			want := float64(c.sixteenths) / 16 * 0.0254
			for _, text := range writings(c.sixteenths) {
				r := solved(t, c.text(strconv.Quote(text)), c.files)
				isWithin(t, c.key+" = "+text, c.measured(t, r), want, 1e-7*max(1, want))
			}
		})
	}
}

// inTable returns a job on ten metres with one more table, in which %s is the length.
func inTable(table string) func(string) string {
	return func(quoted string) string { return tenMetres + fmt.Sprintf(table, quoted) }
}

// aimedAt returns the same with another target.
func aimedAt(keys string) func(string) string {
	return func(quoted string) string {
		return strings.Replace(tenMetres, "elevation = \"10m\"\n", fmt.Sprintf(keys, quoted), 1)
	}
}

// By hand on a floor at 9.900 m: the target is that and the depth; thicknesses lower it from
// 10 m.
func TestTargetsAsWritten(t *testing.T) {
	t.Parallel()
	hall := hallOf(0.1)
	depth := func(_ *testing.T, r *Result) float64 { return r.Filled.Fill.Greatest }
	above := func(t *testing.T, r *Result) float64 { return 9.9 + depth(t, r) }
	below := func(t *testing.T, r *Result) float64 { return 0.1 - depth(t, r) }
	heldAsWritten(t, []written{
		{"target.elevation", 33 * 192, aimedAt("elevation = %s\n"), hall, above},
		{"target.finish", 33 * 192, aimedAt("finish = %s\nbuildup = \"0mm\"\n"), hall, above},
		{"target.buildup", 9, aimedAt("finish = \"10m\"\nbuildup = %s\n"), hall, below},
		{"target.low", 1, aimedAt("finish = \"10m\"\nbuildup = \"0mm\"\nlow = %s\n"), hall, below},
	})
}

// By hand on 80 m² at 100 mm: losses spread over the floor, a line of π/4·bore²·length.
func TestOrdersAsWritten(t *testing.T) {
	t.Parallel()
	hall := hallOf(0.1)
	spread := func(line string) func(*testing.T, *Result) float64 {
		return func(t *testing.T, r *Result) float64 { return lineOf(t, r, line) / 80 }
	}
	heldAsWritten(t, []written{
		{"plant.roughness", 5, inTable("[plant]\nroughness = %s\n"), hall, spread("Rough floor")},
		{"plant.finish-high", 3, inTable("[plant]\nfinish-high = %s\n"), hall, spread("Finish high")},
		{"plant.line-bore", 40, inTable("[plant]\nline-length = \"30m\"\nline-bore = %s\n"), hall, func(t *testing.T, r *Result) float64 {
			return math.Sqrt(lineOf(t, r, "Pump line") / 30 * 4 / math.Pi)
		}},
		{"plant.line-length", 100 * 192, inTable("[plant]\nline-bore = \"65mm\"\nline-length = %s\n"), hall, func(t *testing.T, r *Result) float64 {
			return lineOf(t, r, "Pump line") / (math.Pi / 4 * 0.065 * 0.065)
		}},
		// The ramp has 300 m² for each metre of depth from 20 to 100 mm.
		{"materials.greatest", 37, func(q string) string {
			return rampJob + "[mix]\naccept-unserved = true\n[[materials]]\nname = \"mortar\"\nbag-yield = \"12L\"\ngreatest = " + q + "\n"
		}, ramp, func(_ *testing.T, r *Result) float64 { return r.Bought[0].Area/300 + 0.02 }},
		{"materials.least", 21, func(q string) string {
			return rampJob + "[mix]\naccept-unserved = true\n[[materials]]\nname = \"mortar\"\nbag-yield = \"12L\"\nleast = " + q + "\n"
		}, ramp, func(_ *testing.T, r *Result) float64 { return 0.1 - r.Bought[0].Area/300 }},
	})
}

// By hand on 10 by 8 m at 100 mm, 36 m of wall: pins on lines a spacing apart, bars of 10 m less
// two covers (5 in, as they are cut to whole mm), film as high as depth, foot and what is above.
func TestSetOutAsWritten(t *testing.T) {
	t.Parallel()
	hall := hallOf(0.1)
	longest := func(r *Result) (out float64) {
		for _, b := range r.Bars.Bars {
			out = max(out, b.Length())
		}
		return out
	}
	heldAsWritten(t, []written{
		{"pins.spacing", 5 * 192, inTable("[pins]\nspacing = %s\n"), hall, func(_ *testing.T, r *Result) float64 {
			lines := r.Pins.Grids[0].Columns
			return math.Abs(lines[1].At - lines[0].At)
		}},
		// Of 100 mm a rule in steps of 1 1/4 in shows three, 3 3/4 in.
		{"pins.rule-step", 20, inTable("[pins]\nrule-step = %s\n"), hall, func(_ *testing.T, r *Result) float64 { return r.Pins.Pins[0].Height / 3 }},
		{"bars.edge-cover", 80, inTable("[bars]\nsize = \"10\"\nspacing = \"1m\"\nstock-length = \"12m\"\nedge-cover = %s\n"), hall, func(_ *testing.T, r *Result) float64 { return (10 - longest(r)) / 2 }},
		{"mesh.sheet-length", 15 * 192, inTable("[mesh]\nname = \"m\"\nsheet-width = \"2.4m\"\nmass-kgm2 = 2\nsheet-length = %s\n"), hall, func(_ *testing.T, r *Result) float64 {
			return r.Mesh.Mass / float64(r.Mesh.Count) / 2 / 2.4
		}},
		{"edge.above", 37, inTable("[edge]\nfilm = true\nabove = %s\n"), hall, func(_ *testing.T, r *Result) float64 { return r.Edging.FilmHeight - 0.1 }},
		{"edge.foot", 67, inTable("[edge]\nfilm = true\nabove = \"50mm\"\nfoot = %s\n"), hall, func(_ *testing.T, r *Result) float64 { return r.Edging.FilmHeight - 0.15 }},
		{"edge.foam", 5, inTable("[edge]\nfoam = %s\n"), hall, func(_ *testing.T, r *Result) float64 { return r.Edging.Displaced / 36 / 0.1 }},
		{"joints.length", 40 * 192, inTable("[joints]\nwidth = \"6mm\"\nlength = %s\n"), hall, func(_ *testing.T, r *Result) float64 {
			return r.Joints.Filler / 1000 / 0.006 / r.Joints.Fill
		}},
		{"joints.width", 7, inTable("[joints]\nlength = \"10m\"\nwidth = %s\n"), hall, func(_ *testing.T, r *Result) float64 {
			return r.Joints.Filler / 1000 / 10 / r.Joints.Fill
		}},
	})
}

// Heights of instrument and benchmarks move the floor: by hand the rods of a floor read 1.560
// below the line of sight, and 1.300 on the benchmark, 0.260 below which it is.
func TestLevelsAsWritten(t *testing.T) {
	t.Parallel()
	plain := rods(9.94, 11.5, "", "")
	marked := rods(9.94, 11.5, "BM1,,,1.300\n", "BM1,,,1.300\n")
	again := rods(9.94, 11.5, "", "")
	again["after.csv"] = rods(10, 11.35, "", "")["floor.csv"]
	survey := func(keys string) func(string) string {
		return func(quoted string) string { return with(rodJob, fmt.Sprintf(keys, quoted)) }
	}
	heldAsWritten(t, []written{
		{"survey.instrument-height", 37 * 192, survey("instrument-height = %s\n"), plain, func(_ *testing.T, r *Result) float64 { return 11.56 - r.Filled.Fill.Greatest }},
		{"survey.benchmarks", 33 * 192, survey("benchmarks = { BM1 = %s }\n"), marked, func(_ *testing.T, r *Result) float64 { return 10.26 - r.Filled.Fill.Greatest }},
		{"survey.after-instrument-height", 37*192 + 48, survey("instrument-height = \"11.5m\"\nafter = [\"after.csv\"]\nafter-instrument-height = %s\n"), again, func(_ *testing.T, r *Result) float64 {
			return 10 + r.Judged.Off.Mean + 1.35
		}},
		{"survey.grid-spacing", 8 * 192, func(q string) string {
			return strings.Replace("units = \"m\"\n"+with(tenMetres, "grid-spacing = "+q+"\ngrid-numbers = \"north\"\ngrid-values = \"elevation\"\n"), "outline = \"walls.csv\"\n", "", 1)
		}, fstest.MapFS{"floor.csv": {Data: []byte(",A,B,C\n3,9.95,9.95,9.95\n2,9.95,9.95,9.95\n1,9.95,9.95,9.95\n")}}, func(_ *testing.T, r *Result) float64 {
			return math.Sqrt(r.Filled.Fill.Area) / 2
		}},
	})
}

// A tolerance and a straightedge are used as they are given.
func TestJudgementsAsWritten(t *testing.T) {
	t.Parallel()
	poured := asPoured(1, flat(0))
	judged := func(keys string) func(string) string {
		return func(quoted string) string { return afterJob(fmt.Sprintf(keys, quoted)) }
	}
	heldAsWritten(t, []written{
		{"flatness.tolerance", 3, judged("tolerance = %s\n"), poured, func(_ *testing.T, r *Result) float64 { return r.Judged.Tol }},
		{"flatness.straightedges", 8 * 192, judged("straightedges = [%s]\n"), poured, func(_ *testing.T, r *Result) float64 { return r.Judged.Edges[0].Length }},
	})
}
