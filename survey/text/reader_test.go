package text

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

const samples = "../../testdata/csv"

// at is a point of a sample file: name, x, y, z in metres.
type at struct {
	name    string
	x, y, z float64
}

// points are those of a list, in short.
func points(list []at) []survey.Point {
	var out []survey.Point
	for _, p := range list {
		out = append(out, survey.Point{Name: p.name, X: p.x, Y: p.y, Z: p.z})
	}
	return out
}

// TestSamples reads every file of testdata/csv. What is expected stands in the
// README there and was worked out from the files by hand; z of level books from
// HI = RL + BS, RL = HI - reading.
func TestSamples(t *testing.T) {
	m := survey.Options{Unit: unit.Metre}
	with := func(order string) survey.Options { return survey.Options{Unit: unit.Metre, Order: order} }
	hall := []at{{"101", 0, 0, 10.012}, {"102", 3, 0, 10.006}, {"103", 6, 0, 9.998}, {"104", 0, 3, 10.009}, {"105", 3, 3, 9.994}}
	numbered := func(pts []at) []at {
		out := append([]at(nil), pts...)
		for i := range out {
			out[i].name = fmt.Sprint(i + 1)
		}
		return out
	}
	line := []at{{"1", 0, 0, 9.990}, {"2", 1.5, 0, 9.987}, {"3", 3, 0, 9.981}}
	big := []at{{"1", 2401.5, 1204.25, 100.012}, {"2", 2404.5, 1204.25, 100.006}, {"3", 2407.5, 1204.25, 99.998}, {"4", 2401.5, 1207.25, 100.009}, {"5", 2404.5, 1207.25, 99.994}}
	rods := func(z1, z2, z3, z4, z5 float64) []at {
		return []at{{"1", 0, 0, z1}, {"2", 2, 0, z2}, {"3", 4, 0, z3}, {"4", 0, 2, z4}, {"5", 2, 2, z5}}
	}
	const rod = -1.609725 // 63.375 in below the line of sight
	ten := []at{{"1", 0, 0, rod}, {"2", 10, 0, rod}, {"3", 20, 0, rod}, {"4", 0, 10, rod}, {"5", 10, 10, rod}}
	scaled := func(pts []at, f float64) []at {
		out := append([]at(nil), pts...)
		for i := range out {
			out[i].x *= f
			out[i].y *= f
		}
		return out
	}
	onGrid := func(step float64, values *survey.Measure, turn survey.GridBearings) survey.Options {
		g := survey.Grid{LetterStep: step, NumberStep: step, Bearings: &turn}
		if values != nil {
			g.Values, g.HasValues = *values, true
		}
		return survey.Options{Unit: unit.Metre, Grid: g}
	}
	asRods := survey.Rod
	rods1 := &asRods
	var sheet110 []at
	for i, r := range [][4]float64{{1.512, 1.515, 1.521, 1.519}, {1.509, 1.518, 1.526, 1.522}, {1.507, 1.516, 1.531, 1.524}, {1.505, 1.513, 1.520, 1.518}} {
		for j, v := range r {
			sheet110 = append(sheet110, at{fmt.Sprintf("%c%d", 'A'+j, i+1), 3 * float64(j), -3 * float64(i), -v})
		}
	}
	bays := onGrid(2, nil, survey.GridBearings{Letters: 90, Numbers: 180})
	bays.Grid.Origins = map[string][2]float64{"BAY 1": {0, 0}, "BAY 2": {6, 1}}
	const noUnit = "a unit: neither the header nor the cell says one"
	const noOrder = "without a header, want the order of the columns"

	type sample struct {
		file  string
		o     survey.Options
		want  []at
		notes []string // each is part of a note, its kind in front
		errs  []string // each is part of the error
	}
	tested := map[string]bool{}
	for _, c := range []sample{
		{"01-pnezd-header.csv", m, hall, nil, nil},
		{"01-pnezd-header.csv", survey.Options{}, nil, nil, []string{`2:17: column 4 "Elevation": found "10.012", want ` + noUnit, `column 2 "Northing"`, `column 3 "Easting"`}},
		{"02-pnezd-bare.txt", with("PNEZD"), hall, []string{"assumed: no header: columns read as PNEZD"}, nil},
		{"02-pnezd-bare.txt", m, nil, nil, []string{"02-pnezd-bare.txt:1: found 5 columns " + noOrder}},
		{"03-penzd-bare.txt", with("PENZD"), hall, nil, nil},
		{"04-xyz-header.csv", m, []at{{"A1", 0, 0, 1.482}, {"A2", 1.5, 0, 1.479}, {"A3", 3, 0, 1.477}, {"B1", 0, 1.5, 1.480}, {"B2", 1.5, 1.5, 1.471}},
			[]string{`assumed: column 2 "x" read as easting`}, nil},
		{"05-header-synonyms.csv", survey.Options{}, []at{{"1", 12.4, 3.05, 24.118}, {"2", 12.4, 4.55, 24.121}, {"3", 13.9, 3.05, 24.109}, {"4", 13.9, 4.55, 24.112}, {"5", 15.4, 3.05, 24.102}}, nil, nil},
		{"06-xyz-three-columns.xyz", with("XYZ"), []at{{"", 0, 0, 9.981}, {"", 0, 2.5, 9.984}, {"", 2.5, 0, 9.979}, {"", 2.5, 2.5, 9.976}, {"", 5, 0, 9.972}}, []string{"assumed: fields separated by blanks"}, nil},
		{"06-xyz-three-columns.xyz", with("NEZ"), []at{{"", 0, 0, 9.981}, {"", 2.5, 0, 9.984}, {"", 0, 2.5, 9.979}, {"", 2.5, 2.5, 9.976}, {"", 0, 5, 9.972}}, nil, nil},
		{"06-xyz-three-columns.xyz", m, nil, nil, []string{noOrder}},
		{"07-text-names-quotes.csv", m, []at{{"A1, north", 0, 0, 10.004}, {"007", 1, 0, 10.002}, {"7", 2, 0, 10.001}, {"B2", 3, 0, 9.999}}, nil, nil},
		{"08-two-header-rows.csv", survey.Options{}, []at{{"K1", 0, 0, -0.003}, {"K2", 2, 0, -0.005}, {"K3", 4, 0, -0.008}}, nil, nil},
		{"09-x-is-north.csv", m, []at{{"1", 0, 0, 3.214}, {"2", 4, 0, 3.219}, {"3", 0, 4, 3.210}, {"4", 4, 4, 3.207}, {"5", 0, 8, 3.201}}, nil, nil},
		{"10-preamble.csv", survey.Options{}, []at{{"1", 0, 0, 9.990}, {"2", 0, 1, 9.987}, {"3", 0, 2, 9.981}},
			[]string{"assumed: skipped line before the header: Job:,Bakery line 2", "assumed: skipped line before the header: Date:", "assumed: line before the header gives the unit: Units:"}, nil},
		{"11-repeated-header.csv", m, []at{{"1", 0, 0, 9.990}, {"2", 1, 0, 9.988}, {"1", 2, 0, 9.985}, {"2", 3, 0, 9.984}},
			[]string{"assumed: header repeated on line 4", "warning: names that occur twice: 1 on lines 2 and 5, 2 on lines 3 and 6"}, nil},
		{"12-footer-totals.csv", m, []at{{"1", 0, 0, 9.990}, {"2", 1, 0, 9.986}, {"3", 2, 0, 9.981}}, []string{`left out: "Min": a total`, `left out: "Average": a total`}, nil},
		{"13-collinear.csv", m, []at{{"1", 0, 0, 9.990}, {"2", 1, 0, 9.986}, {"3", 2, 0, 9.981}, {"4", 3, 0, 9.979}}, nil, nil},
		{"20-feet.csv", survey.Options{}, []at{{"1", 0, 0, 30.48}, {"2", 3.048, 0, 30.470856}, {"3", 0, 3.048, 30.46476}, {"4", 3.048, 3.048, 30.452568}, {"5", 0, 6.096, 30.467808}}, nil, nil},
		{"20-feet.csv", m, nil, nil, []string{"found columns in ft, want lengths in m, the unit asked for"}},
		{"21-mixed-units.csv", survey.Options{}, []at{{"P1", 0, 0, 1.012}, {"P2", 3, 0, 1.006}, {"P3", 6, 0, 0.998}, {"P4", 0, 3, 1.009}, {"P5", 3, 3, 0.994}}, nil, nil},
		{"22-unit-suffix.csv", survey.Options{}, []at{{"1", 0, 0, 9.990}, {"2", 1.5, 0, 9.988}, {"3", 3, 0, 9.985}, {"4", 0, 1.5, 9.981}, {"5", 1.5, 1.5, 9.983}}, nil, nil},
		{"23-one-slip.csv", survey.Options{}, []at{{"1", 0, 0, 9.990}, {"2", 1, 0, 9.988}, {"3", 2, 0, 9986}, {"4", 3, 0, 9.985}, {"5", 4, 0, 9.981}},
			[]string{"warning: 3: 9986 m differs from the rest, median 9.988 m, by a factor of about 1000"}, nil},
		{"30-rod-with-hi.csv", m, rods(10, 9.988, 9.974, 9.991, 9.969), []string{"assumed: height of instrument 11.500 m"}, nil},
		{"31-rod-no-hi.csv", m, rods(-1.5, -1.512, -1.526, -1.509, -1.531), []string{"assumed: no height of instrument: elevations are relative"}, nil},
		{"31-rod-no-hi.csv", survey.Options{Unit: unit.Metre, Instrument: 11.5, HasInstrument: true}, rods(10, 9.988, 9.974, 9.991, 9.969), nil, nil},
		{"32-grade-rod.csv", m, rods(-0.005, -0.017, -0.031, -0.014, -0.036), []string{"assumed: column 5 \"Rod\" read as depth from the target"}, nil},
		{"33-deviation.csv", m, rods(-0.003, 0.002, 0, -0.011, -0.005), []string{"read as depth from the target"}, nil},
		{"34-benchmark-row.csv", m, []at{{"BM door sill", 0, 0, 10}, {"1", 2, 0, 9.988}, {"2", 4, 0, 9.974}, {"3", 0, 2, 9.991}, {"4", 2, 2, 9.969}}, []string{"assumed: height of instrument 11.500 m"}, nil},
		{"40-semicolon-comma.csv", m, numbered(hall), []string{"assumed: decimal sign is the comma", "assumed: fields separated by ;"}, nil},
		{"41-semicolon-point.csv", m, numbered(hall), nil, nil},
		{"42-tab.tsv", m, numbered(hall), []string{"assumed: fields separated by tab"}, nil},
		{"43-spaces.txt", m, []at{{"1", 0, 0, 10.012}, {"2", 3, 0, 10.006}, {"3", 6, 0, 9.998}, {"10", 0, 3, 10.009}, {"11", 3, 3, 9.994}}, nil, nil},
		{"44-pipe.txt", m, line, []string{"assumed: 0 comments, 0 blank lines and 1 rule skipped"}, nil},
		{"45-comma-comma-bare.csv", m, nil, nil, []string{"found 7 fields", "decimal commas with comma separators"}},
		{"46-comma-comma-quoted.csv", m, numbered(hall), []string{"assumed: decimal sign is the comma"}, nil},
		{"47-thousands-comma.csv", m, big, []string{"assumed: comma groups thousands"}, nil},
		{"48-thousands-space.csv", m, big, nil, nil},
		{"49-thousands-apostrophe.csv", m, big, nil, nil},
		{"50-thousands-dot.csv", m, big, []string{"assumed: point groups thousands"}, nil},
		{"51-ambiguous-dot.csv", survey.Options{}, nil, nil, []string{noUnit}},
		{"51-ambiguous-dot.csv", m, []at{{"1", 0, 0, 1.204}, {"2", 1500, 0, 1.199}, {"3", 3000, 0, 1.201}, {"4", 0, 1500, 1.197}, {"5", 1500, 1500, 1.195}},
			[]string{"warning: the plan is 3000 m wide"}, nil},
		{"52-signs.csv", m, []at{{"1", 0, 0, 0.003}, {"2", 1, 0, -0.002}, {"3", 2, 0, -0.004}, {"4", 3, 0, -0.006}, {"5", 4, 0, -0.001}}, nil, nil},
		{"53-exponents.csv", m, []at{{"1", 0, 0, 9.99}, {"2", 1.5, 0, 9.987}, {"3", 3, 0, 9.981}, {"4", 15, 0, 9.978}, {"5", 15, 1, 9.975}}, nil, nil},
		{"54-go-number-trap.csv", m, nil, nil, []string{`3:7: column 4 "Z": found "NaN"`, `4:7: column 4 "Z": found "Inf"`, `5:3: column 2 "E": found "0x10"`, `6:3: column 2 "E": found "1_5"`}},
		{"55-trailing-delimiters.csv", m, line, nil, nil},
		{"56-ragged.csv", m, nil, nil, []string{`56-ragged.csv:4:15: column 4 "Z": found "SL", want`}},
		{"60-missing-forms.csv", m, []at{{"1", 0, 0, 9.990}}, []string{"left out: 2: no elevation", `left out: 3: no elevation ("-")`, `left out: 4: no elevation ("n/a")`, `left out: 5: no elevation ("#N/A")`}, nil},
		{"61-sentinels.csv", m, []at{{"1", 0, 0, 9.990}, {"4", 3, 0, 9.981}}, []string{"left out: 2: -9999 m means no data", "left out: 3: -9999 m", "left out: 5: -32768 m"}, nil},
		{"62-zero-for-missing.csv", m, []at{{"1", 0, 0, 61.990}, {"2", 1, 0, 61.987}, {"4", 3, 0, 61.981}, {"5", 4, 0, 61.979}}, []string{"left out: 3: 0 is not a measured height", "warning: 1 height of exactly 0 not used: the others are 61.979 m or more from 0"}, nil},
		{"63-spreadsheet-dates.csv", m, nil, nil, []string{`3:7: column 4 "Level in": found "08-Mar"`, `4:7: column 4 "Level in": found "45359"`, `5:7: column 4 "Level in": found "=1/4"`, "looks like a date"}},
		{"70-utf8-bom.csv", m, line, nil, nil},
		{"71-utf16le.csv", m, line, []string{"assumed: text read as UTF-16LE"}, nil},
		{"72-utf16be-nobom.csv", m, line, []string{"assumed: text read as UTF-16BE"}, nil},
		{"73-windows-1252.csv", m, line, []string{"assumed: text read as Windows-1252"}, nil},
		{"74-crlf.csv", m, line, nil, nil},
		{"75-cr-only.csv", m, line, nil, nil},
		{"76-no-final-newline.csv", m, line, nil, nil},
		{"77-sep-line.csv", m, line, nil, nil},
		{"78-not-text.csv", m, nil, nil, []string{"found a zipped spreadsheet"}},
		// The unit that its comment tells is prose; it is shown, not obeyed.
		{"80-comments-blanks.csv", m, []at{{"1", 0, 0, -3}, {"2", 1, 0, -5}, {"3", 2, 0, -8}},
			[]string{"assumed: 4 comments, 2 blank lines and 1 rule skipped", "assumed: skipped comment: levels in mm below datum line"}, nil},
		{"81-duplicates-same.csv", m, []at{{"1", 0, 0, 9.990}, {"2", 1, 0, 9.987}, {"3", 2, 0, 9.981}, {"4", 0, 1, 9.985}}, []string{"left out: 2: the same place and elevation as line 3: merged"}, nil},
		// Which of two levels counts is judged in package surface.
		{"82-duplicates-conflict.csv", m, []at{{"1", 0, 0, 9.990}, {"2", 1, 0, 9.987}, {"3", 2, 0, 9.981}, {"2a", 1, 0, 9.979}, {"4", 0, 1, 9.985}}, nil, nil},
		{"83-near-duplicates.csv", m, []at{{"1", 0, 0, 9.990}, {"2", 1, 0, 9.987}, {"3", 1.001, 0, 9.979}, {"4", 2, 0, 9.981}, {"5", 0, 1, 9.985}}, []string{"warning: lines 3 and 4 are 1.0 mm apart in plan and 8.0 mm in elevation"}, nil},
		{"84-two-heights.csv", m, []at{{"1", 0, 0, 9.990}, {"2", 1, 0, 9.987}, {"3", 2, 0, 9.981}}, []string{`column 5 "Z target" is a level to reach`, `column 6 "Elevation design" is a level to reach`}, nil},
		{"90-feet-inch-forms.csv", survey.Options{}, scaled(ten, 0.3048), []string{"elevations are relative"}, nil},
		{"91-feet-inch-quoted.csv", m, ten, nil, nil},
		{"92-feet-inch-eighth.csv", m, []at{{"1", 0, 0, -1.619250}, {"2", 10, 0, -1.600200}, {"3", 20, 0, -1.597025}, {"4", 0, 10, -1.603375}, {"5", 10, 10, -1.825625}}, nil, nil},
		{"93-tenths-or-inches.csv", m, []at{{"1", 0, 0, -5.28 * 0.3048}, {"2", 10, 0, -5.3 * 0.3048}, {"3", 20, 0, -5.11 * 0.3048}, {"4", 0, 10, -5.9 * 0.3048}, {"5", 10, 10, -5.10 * 0.3048}},
			[]string{"warning: 5.10 and 5.9 look like feet.inches"}, nil},
		{"94-inches-only.csv", survey.Options{}, []at{{"1", 0, 0, -0.009525}, {"2", 1.2192, 0, -0.0127}, {"3", 2.4384, 0, -0.028575}, {"4", 0, 1.2192, -0.03175}, {"5", 1.2192, 1.2192, -0.0111125}}, nil, nil},
		{"100-level-book-hi.csv", m, nil, nil, []string{"a level book of 4 levels (A1 9.988 m, A2 9.974 m, TP1 9.969 m, B1 9.986 m; it closes on BM, 2 mm high), want plan positions"}},
		{"101-level-book-rise-fall.csv", m, nil, nil, []string{"a level book of 4 levels (A1 9.988 m, A2 9.974 m, TP1 9.969 m, B1 9.986 m; it closes on BM, 2 mm high), want plan positions"}},
		{"102-level-book-error.csv", m, nil, nil, []string{`4:13: column 6 "RL": found "9.947", want 9.974, which the sights give`}},
		{"103-level-plus-plan.csv", m, nil, nil, []string{"want plan positions beside the levels"}},
		{"103-level-plus-plan.csv", onGrid(3, nil, survey.GridBearings{Letters: 90, Numbers: 0}), []at{{"A1", 0, 0, 9.988}, {"A2", 0, 3, 9.974}, {"B1", 3, 0, 9.991}, {"B2", 3, 3, 9.969}}, nil, nil},
		{"103-level-plus-plan.csv", survey.Options{Unit: unit.Metre, Grid: survey.Grid{LetterStep: 3, NumberStep: 3}}, nil, nil, []string{"want the direction in which the numbers are counted"}},
		{"110-grid-sheet.csv", m, nil, nil, []string{"110-grid-sheet.csv:2: grid: found lines A, B, C … and 1, 2, 3 …, want the direction in which the numbers are counted"}},
		{"110-grid-sheet.csv", onGrid(0, nil, survey.GridBearings{Letters: 90, Numbers: 180}), nil, nil, []string{"numbers that may be rod readings, elevations or depths"}},
		{"110-grid-sheet.csv", onGrid(0, rods1, survey.GridBearings{Letters: 90, Numbers: 180}), sheet110, nil, nil},
		{"111-grid-holes.csv", m, []at{{"0/0", 0, 0, 9.990}, {"2.5/0", 2.5, 0, 9.987}, {"5.0/0", 5, 0, 9.981}, {"7.5/0", 7.5, 0, 9.979}, {"0/2.5", 0, 2.5, 9.988}, {"7.5/2.5", 7.5, 2.5, 9.977},
			{"0/5.0", 0, 5, 9.985}, {"2.5/5.0", 2.5, 5, 9.983}, {"7.5/5.0", 7.5, 5, 9.974}, {"0/7.5", 0, 7.5, 9.986}, {"2.5/7.5", 2.5, 7.5, 9.984}, {"5.0/7.5", 5, 7.5, 9.980}, {"7.5/7.5", 7.5, 7.5, 9.976}},
			[]string{`left out: 2.5/2.5: no reading ("x")`, `left out: 5.0/2.5: no reading ("col")`, "left out: 5.0/5.0: no reading", "cells read as elevations: no rod is that long"}, nil},
		{"112-grid-two-sheets.csv", m, nil, nil, []string{"112-grid-two-sheets.csv:5: grid: found cells given on lines 2 and 6, want an origin for each sheet"}},
		{"112-grid-two-sheets.csv", bays, []at{{"BAY 1 A1", 0, 0, 9.990}, {"BAY 1 B1", 2, 0, 9.987}, {"BAY 1 C1", 4, 0, 9.981}, {"BAY 1 A2", 0, -2, 9.988}, {"BAY 1 B2", 2, -2, 9.985}, {"BAY 1 C2", 4, -2, 9.979},
			{"BAY 2 A1", 6, 1, 9.984}, {"BAY 2 B1", 8, 1, 9.983}, {"BAY 2 C1", 10, 1, 9.980}, {"BAY 2 A2", 6, -1, 9.982}, {"BAY 2 B2", 8, -1, 9.981}, {"BAY 2 C2", 10, -1, 9.978}}, nil, nil},
		{"120-xyz-intensity.xyz", with("XYZ"), []at{{"", 12.4031, 3.0517, 9.9812}, {"", 12.4055, 3.0519, 9.9815}, {"", 12.4080, 3.0522, 9.9809}, {"", 12.4104, 3.0525, 9.9811}, {"", 12.4129, 3.0528, 9.9816}}, nil, nil},
		{"120-xyz-intensity.xyz", m, nil, nil, []string{noOrder}},
		{"121-xyzrgb.txt", m, []at{{"", 12.4031, 3.0517, 9.9812}, {"", 12.4055, 3.0519, 9.9815}, {"", 12.4080, 3.0522, 9.9809}, {"", 12.4104, 3.0525, 9.9811}}, nil, nil},
		{"122-count-line.pts", with("XYZ"), []at{{"", 0.1, 0.1, 9.990}, {"", 0.11, 0.1, 9.990}, {"", 0.12, 0.1, 9.989}, {"", 0.13, 0.1, 9.991}}, nil, nil},
		{"123-shifted-mm.csv", survey.Options{Unit: unit.Millimetre}, []at{{"", 6783020.064, 21530666.426, 17.400}, {"", 6783020.072, 21530666.424, 17.401}, {"", 6783020.080, 21530666.427, 17.399}, {"", 6783020.088, 21530666.425, 17.402}}, nil, nil},
		{"123-shifted-mm.csv", survey.Options{Unit: unit.Millimetre, Order: "NEZ"}, []at{{"", 21530666.426, 6783020.064, 17.400}, {"", 21530666.424, 6783020.072, 17.401}, {"", 21530666.427, 6783020.080, 17.399}, {"", 21530666.425, 6783020.088, 17.402}}, nil, nil},
	} {
		tested[c.file] = true
		t.Run(c.file+" "+c.o.Unit.String()+" "+c.o.Order, func(t *testing.T) {
			f, err := os.Open(filepath.Join(samples, c.file))
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			s, err := Read(f, c.file, c.o)
			if err == nil && s.Book != nil {
				err = cmp.Or(s.Book.Err(unit.Style{}, false), s.Unplaced())
			}
			check.Errors(t, err, c.errs)
			if err != nil {
				return
			}
			check.Points(t, s.Points, points(c.want))
			check.Notes(t, s.Notes, c.notes)
			warned := strings.Contains(strings.Join(c.notes, "\n"), "warning: ")
			for _, n := range s.Notes {
				if n.Kind == survey.Warning && !warned {
					t.Errorf("warns: %v", n)
				}
			}
			if left := len(s.LeftOut()); left+len(s.Points) != s.Rows {
				t.Errorf("%d rows, %d points and %d left out", s.Rows, len(s.Points), left)
			}
		})
	}
	files, err := os.ReadDir(samples)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if n := f.Name(); n[0] >= '0' && n[0] <= '9' && !tested[n] {
			t.Errorf("%s is not tested", n)
		}
	}
}

// read reads text as a file of the name f.csv.
func read(t *testing.T, text string, o survey.Options) (*survey.Survey, error) {
	t.Helper()
	return Read(strings.NewReader(text), "f.csv", o)
}

// readFile reads a file of text.
func readFile(t *testing.T, name string, o survey.Options) (*survey.Survey, error) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return readText(b, name, o, false)
}

func TestWrittenTextIsKept(t *testing.T) {
	for _, c := range []struct{ file, want string }{
		{"43-spaces.txt", "roller door||near drain||column C4"},
		{"73-windows-1252.csv", "Türschwelle|Küche|Rinne 0,5° Gefälle"},
		{"04-xyz-header.csv", "SL|SL|SL|SL|DR"},
		{"07-text-names-quotes.csv", "edge of \"old\" screed|plain|different point from 007|two\nlines"},
	} {
		b, err := os.ReadFile(filepath.Join(samples, c.file))
		if err != nil {
			t.Fatal(err)
		}
		s, err := Read(bytes.NewReader(b), c.file, survey.Options{Unit: unit.Metre})
		if err != nil {
			t.Fatal(err)
		}
		var codes []string
		for _, p := range s.Points {
			codes = append(codes, cmp.Or(p.Remark, p.Code))
		}
		if got := strings.Join(codes, "|"); got != c.want {
			t.Errorf("%s: codes %q, want %q", c.file, got, c.want)
		}
	}
}

func TestLinesAreThoseOfTheFile(t *testing.T) {
	// Comments, blank lines, rules, CR LF and a quoted line end all count.
	text := "# one\r\n\r\nP,E,N,Z,Note\r\n-----,---,---,---,---\r\n1,0,0,1.0,\"two\r\nlines\"\r\n\r\n2,1,0,1.1,\r\n# more\r\n3,2,0,bad,\r\n"
	_, err := read(t, text, survey.Options{Unit: unit.Metre})
	var e *survey.Error
	if !errors.As(err, &e) || e.Pos != (survey.Pos{File: "f.csv", Line: 10, Col: 7}) {
		t.Errorf("error %v, want it at f.csv:10:7", err)
	}
	s, err := read(t, strings.Replace(text, "bad", "1.2", 1), survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []int{5, 8, 10} {
		if got := s.Points[i].At.Line; got != want {
			t.Errorf("point %d stands on line %d, want %d", i, got, want)
		}
	}
}

// Each text is refused with an error that says what and where.
func TestRefusals(t *testing.T) {
	m := survey.Options{Unit: unit.Metre}
	for _, c := range []struct {
		name, text string
		o          survey.Options
		want, hint string
	}{
		{"empty", "", m, "f.csv: found an empty file", ""},
		{"blank", " \n\n\t\n", m, "found an empty file", ""},
		{"comments only", "# nothing\n", m, "found comments only", ""},
		{"binary", "P,E,N,Z\n1,0,0,\x00\n", m, "byte 00, want delimited text", "save it as delimited text"},
		{"header only", "P,E,N,Z\n", m, "f.csv:1: found a header without rows", ""},
		{"no elevation", "P,E,N,Code\n1,0,0,SL\n", m, `found columns "P", "E", "N", "Code", want a column of elevations or rod readings`, ""},
		{"design level only", "P,E,N,Target\n1,0,0,10\n", m, `column 4 "Target" is a level to reach`, ""},
		{"no plan", "P,Elevation\n1,10\n", m, "want plan columns", ""},
		{"two elevations", "P,E,N,Z,Level\n1,0,0,1,2\n", m, `column 4 "Z" and column 5 "Level": one column of elevations`, "rename"},
		{"two eastings", "P,E,X,N,Z\n1,0,0,1,2\n", m, `column 2 "E" and column 3 "X": one column of eastings`, "rename"},
		{"two rods", "P,E,N,Rod,Reading\n1,0,0,1,2\n", m, `column 4 "Rod" and column 5 "Reading"`, "rename"},
		{"short row", "P,E,N,Z\n1,0,0,1\n2,1\n", m, `f.csv:3: column 3 "N": found a row that ends before it, want 4 fields`, ""},
		{"long row", "P,E,N,Z\n1,0,0,1\n2,1,0,1,a,b\n", m, `f.csv:3: found "a" past the last column, want 4 fields`, "quotes"},
		{"slid row", "P,E,N,Z,Note\n1,0,0,1,a\n2,1,0,1,512,a\n", m, `f.csv:3: found "a" past the last column, want 5 fields`, "quotes"},
		{"slid row before a column without a known head", "P,E,N,Z,Weather\n1,0,0,1,a\n2,1,5,0,1.512,a\n", m, `f.csv:3: found "a" past the last column, want 5 fields`, "quotes"},
		{"letter for digit", "P,E,N,Z\n1,0,0,O.125\n", m, `f.csv:2:7: column 4 "Z": found "O.125", want a length such as`, ""},
		{"bare cell among units", "P,E,N,Z\n1,0m,0m,990mm\n2,1m,0m,991\n", survey.Options{}, `f.csv:3:9: column 4 "Z": found "991", want a length with its unit, as in other cells`, "--units m"},
		{"mixed decimal signs", "P;E;N;Z\n1;0,0;0,0;9,99\n2;1,0;0,0;9.98\n", m, `f.csv:3:11: column 4 "Z": found "9.98", want a number with a decimal comma`, ""},
		{"comma among points", "P;E;N;Z\n1;0.0;0.0;9.99\n2;1.0;0.0;9,98\n", m, `want a number with a decimal point`, ""},
		{"thousands or decimals", "P,E,N,Z\n1,\"1,204\",\"2,204\",\"1,100\"\n", m, `f.csv:2: found "1,204", want numbers that show`, "decimal points"},
		{"5-3-6 without a word", "P,E,N,rod_ft_in\n1,0,0,5-3-6\n", m, "eighths or sixteenths", ""},
		{"bare number in feet-inches", "P,E,N,rod_ft_in\n1,0,0,4-5 3/8\n2,0,1,4.32\n3,0,2,52.4\n", m, `f.csv:3:7: column 4 "rod_ft_in": found "4.32", want feet-inches such as 4-5 3/8`, ""},
		{"deviation without a sign", "P,E,N,Diff\n1,0,0,3\n", m, "above or below the target", ""},
		{"deviation with a wrong word", "P,E,N,Diff,H/L\n1,0,0,3,Q\n", m, `column 5 "H/L": found "Q", want H or L`, ""},
		{"rods and elevations without HI", "P,E,N,Z,Rod\n1,0,0,10.0,\n2,1,0,,1.5\n", m, "rod readings without a height of instrument beside elevations", "--instrument-height"},
		{"order of nonsense", "1 2 3\n4 5 6\n", survey.Options{Unit: unit.Metre, Order: "QQZ"}, `order: found "QQZ"`, "--order PNEZD"},
		{"order without heights", "1 2 3\n4 5 6\n", survey.Options{Unit: unit.Metre, Order: "PNE"}, "want a column of elevations", ""},
		{"open quote", "P,E,N,Z,Note\n1,0,0,1,\"open\n2,1,0,1,\n", m, "f.csv:2: found a quotation mark that is not closed", ""},
		{"nothing but missing", "P,E,N,Z\n1,0,0,-\n2,1,0,x\n", m, "2 rows and none with a position and an elevation", ""},
		{"units contradict", "P,x_ft,y_ft,z_ft\n1,0,0,1\n", m, "columns in ft, want lengths in m", "leave --units out"},
		{"no unit", "P,E,N,Z\n1,0,0,1.5\n", survey.Options{}, `column 4 "Z": found "1.5", want a unit`, "--units m"},
		{"XML", "<?xml version=\"1.0\"?>\n<x/>", m, "found XML", "LandXML"},
		{"PDF", "%PDF-1.7\n", m, "found a PDF", "delimited text"},
		{"old spreadsheet", "\xd0\xcf\x11\xe0\xa1\xb1", m, "found an old spreadsheet", "delimited text"},
		{"scan", "LASF\x00\x00", m, "found a LAS scan, want delimited text", "x y z text"},
		{"drawing exchange", "  0\nSECTION\n  2\nENTITIES\n", m, "found a drawing exchange file", "delimited text"},
		{"two corners", "P,E,N,Z,Code\n1,0,0,1,OUT\n2,1,0,1,OUT\n3,1,1,1,SL\n", m, "f.csv:2: ring: found 2 points, want at least 3", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := read(t, c.text, c.o)
			check.Errors(t, err, []string{c.want})
			if hints := strings.Join(survey.Hints(err), "\n"); !strings.Contains(hints, c.hint) {
				t.Errorf("hints %q, want %q", hints, c.hint)
			}
		})
	}
}

func TestErrorsStopAtTwenty(t *testing.T) {
	var b strings.Builder
	b.WriteString("P,E,N,Z\n")
	for i := range 50 {
		fmt.Fprintf(&b, "%d,0,0,bad\n", i)
	}
	_, err := read(t, b.String(), survey.Options{Unit: unit.Metre})
	if n := strings.Count(err.Error(), "found \"bad\""); n != mostErrors {
		t.Errorf("%d errors, want %d", n, mostErrors)
	}
}

func TestHeadsSayWhatAColumnIs(t *testing.T) {
	for _, c := range []struct {
		head string
		role role
		unit string
	}{
		{"Point", isName, ""}, {" Pt No. ", isName, ""}, {"Pt#", isName, ""}, {"点名", isName, ""}, {"x", isX, ""}, {"X (North)", isY, ""}, {"Y [East]", isX, ""},
		{"Easting (m)", isX, "m"}, {"NORTHING (m)", isY, "m"}, {"R.L. (m)", isZ, "m"}, {"z (mm)", isZ, "mm"}, {"Elev. (ft)", isZ, "ft"}, {"elev_ft", isZ, "ft"},
		{"x_m", isX, "m"}, {"rod_ft_in", isRod, "ft-in"}, {"Rod (ft-in)", isRod, "ft-in"}, {"Rod feet-inches", isRod, "ft-in"}, {"Rod (ft-in-8ths)", isRod, "ft-in/8"},
		{"rod ft-in 1/16", isRod, "ft-in/16"}, {"Rod (US ft)", isRod, "ftUS"}, {"level in", isZ, "in"}, {"Height in mm", isZ, "mm"}, {"Diff mm", isDiff, "mm"},
		{"Z target", isDesign, ""}, {"Elevation design", isDesign, ""}, {"Target", isDesign, ""}, {"Existing", isZ, ""}, {"as-found level", isZ, ""}, {"Grade rod", isGrade, ""},
		{"Height of instrument", isHI, ""}, {"H/L", isSign, ""}, {"Höhe", isZ, ""}, {"標高", isZ, ""}, {"Remark", isRemark, ""}, {"Layer", isCode, ""}, {"Intensity", isIgnored, ""},
		{"Weather", "", ""}, {"", "", ""},
	} {
		col := readHead(0, c.head)
		u := col.unit.String()
		if col.feetInches {
			u = "ft-in"
		}
		if col.last > 0 {
			u += fmt.Sprintf("/%d", col.last)
		}
		if col.role != c.role || u != c.unit {
			t.Errorf("%q is %q in %q, want %q in %q", c.head, col.role, u, c.role, c.unit)
		}
	}
}

// A word that named two roles would make columns depend on the order in which
// a map is walked.
func TestHeadWordsNameOneRole(t *testing.T) {
	src, err := os.ReadFile("header.go")
	if err != nil {
		t.Fatal(err)
	}
	_, list, _ := strings.Cut(string(src), "range map[role]string{")
	list, _, _ = strings.Cut(list, "\n\t} {")
	seen := map[string]bool{}
	words := 0
	for _, m := range regexp.MustCompile(`is[A-Za-z]+:\s+"([^"]+)"`).FindAllStringSubmatch(list, -1) {
		for w := range strings.SplitSeq(m[1], "|") {
			words++
			if seen[w] {
				t.Errorf("%q names two roles", w)
			}
			seen[w] = true
		}
	}
	if words < 150 {
		t.Errorf("%d words found in header.go: the test no longer reads them", words)
	}
}

func TestCodesSortPoints(t *testing.T) {
	s, err := read(t, `id,x,y,z,code
1,0,0,,OUT
2,4,0,,out
3,4,4,1.5,Out
4,0,4,,OUT
5,0,0,,OUT
6,1,1,,VOID column 1
7,2,1,,VOID column 1
8,2,2,,VOID column 1
9,0,2,1.40,BRK-joint
10,4,2,1.41,BRK-joint
11,3,1,1.48,SL
12,3,3,1.49,DR
13,0,1,1.52,SILL
14,9,9,1.60,BM 2
15,3,2,,SL
16,1,3,1.47,VOIDED
17,1,3.5,1.47,MH
`, survey.Options{Unit: unit.Metre, Codes: map[string]survey.Role{"MH": survey.Control}})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"11", 3, 1, 1.48}, {"12", 3, 3, 1.49}, {"16", 1, 3, 1.47}}))
	check.Points(t, s.Finished, points([]at{{"13", 0, 1, 1.52}}))
	check.Points(t, s.Control, points([]at{{"14", 9, 9, 1.60}, {"17", 1, 3.5, 1.47}}))
	nan := math.NaN()
	if len(s.Rings) != 2 || len(s.Breaklines) != 1 {
		t.Fatalf("%d rings and %d lines, want 2 and 1", len(s.Rings), len(s.Breaklines))
	}
	// The first corner, repeated at the end, is dropped.
	check.Points(t, s.Rings[0].Points, points([]at{{"1", 0, 0, nan}, {"2", 4, 0, nan}, {"3", 4, 4, 1.5}, {"4", 0, 4, nan}}))
	check.Points(t, s.Rings[1].Points, points([]at{{"6", 1, 1, nan}, {"7", 2, 1, nan}, {"8", 2, 2, nan}}))
	check.Points(t, s.Breaklines[0].Points, points([]at{{"9", 0, 2, 1.40}, {"10", 4, 2, 1.41}}))
	if s.Rings[0].Kind != survey.Outer || s.Rings[1].Kind != survey.Hole || s.Rings[1].Name != "column 1" || s.Breaklines[0].Name != "joint" {
		t.Errorf("rings %v and %v %q, line %q", s.Rings[0].Kind, s.Rings[1].Kind, s.Rings[1].Name, s.Breaklines[0].Name)
	}
	check.Notes(t, s.Notes, []string{"left out: 15: no elevation"})
}

func TestRunsOfOneCodeAreOneLine(t *testing.T) {
	s, err := read(t, "x,y,z,code\n0,0,1,BL\n1,0,1,BL\n5,5,1,SL\n0,2,1,BL\n1,2,1,BL\n1,3,1,BL\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Breaklines) != 2 || len(s.Breaklines[0].Points) != 2 || len(s.Breaklines[1].Points) != 3 {
		t.Errorf("lines %v, want one of 2 points and one of 3", s.Breaklines)
	}
}

func TestRemarksAreProseUnlessACodeWordFillsThem(t *testing.T) {
	s, err := read(t, "P,E,N,Z,Remark\n1,0,0,1,void near drain\n2,1,0,1.1,hole\n3,2,0,1.2,BM\n4,3,0,1.3,SL\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"1", 0, 0, 1}, {"2", 1, 0, 1.1}, {"4", 3, 0, 1.3}}))
	check.Points(t, s.Control, points([]at{{"3", 2, 0, 1.2}}))
}

func TestHeightOfInstrument(t *testing.T) {
	m := survey.Options{Unit: unit.Metre}
	for _, c := range []struct {
		name, text string
		o          survey.Options
		z          []float64
		relative   bool
		note       string
	}{
		{"line before the header", "HI,11.5\nP,E,N,Rod\n1,0,0,1.5\n2,1,0,1.6\n", m, []float64{10, 9.9}, false, "height of instrument 11.500 m"},
		{"comment with a unit", "# Height of instrument: 11500 mm\nP,E,N,Rod\n1,0,0,1.5\n", m, []float64{10}, false, ""},
		{"column", "P,E,N,Rod,HI\n1,0,0,1.5,11.5\n2,1,0,1.6,\n3,2,0,1.6,11.7\n", m, []float64{10, 9.9, 10.1}, false, ""},
		{"row of its own", "P,E,N,Rod\n1,0,0,1.5\nHI,,,11.5\n2,1,0,1.6\n", m, []float64{10, 9.9}, false, ""},
		{"benchmark without a place", "P,E,N,Rod,Elev\n1,0,0,1.5,\nBM,,,1.2,10.3\n", m, []float64{10}, false, "height of instrument 11.500 m"},
		{"two benchmarks that differ", "P,E,N,Rod,Elev\nBM1,0,0,1.5,10\nBM2,1,0,1.5,10.003\n1,2,0,1.6,\n", m, []float64{10, 10.003, 9.9}, false, "3 mm apart; the first is used"},
		{"option", "P,E,N,FS\n1,0,0,1.5\n", survey.Options{Unit: unit.Metre, Instrument: 2, HasInstrument: true}, []float64{0.5}, false, ""},
		{"none", "P,E,N,FS\n1,0,0,1.5\n", m, []float64{-1.5}, true, "elevations are relative"},
		{"order with rods", "1 0 0 1.5\n2 1 0 1.6\n", survey.Options{Unit: unit.Metre, Order: "PENR"}, []float64{-1.5, -1.6}, true, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, c.text, c.o)
			if err != nil {
				t.Fatal(err)
			}
			var z []float64
			for _, p := range s.Points {
				z = append(z, p.Z)
			}
			if len(z) != len(c.z) || s.Relative != c.relative {
				t.Fatalf("elevations %v relative %v, want %v %v", z, s.Relative, c.z, c.relative)
			}
			for i := range z {
				if !check.Nearly(z[i], c.z[i]) {
					t.Errorf("elevations %v, want %v", z, c.z)
				}
			}
			check.Notes(t, s.Notes, []string{c.note})
		})
	}
}

func TestMarkersCountOnlyFarFromTheRest(t *testing.T) {
	// 9999 mm is a level where the floor lies at 9,990 mm; 0 is one where it
	// lies about 0.
	s, err := read(t, "P,E,N,Z\n1,0,0,9990\n2,1000,0,9999\n3,0,1000,9994\n", survey.Options{Unit: unit.Millimetre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != 3 {
		t.Errorf("%d points, want 3", len(s.Points))
	}
	s, err = read(t, "P,E,N,Z\n1,0,0,-0.003\n2,1,0,0\n3,0,1,0.004\n4,1,1,-0.002\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != 4 {
		t.Errorf("%d points, want 4", len(s.Points))
	}
}

// Each text separates the same two points in its own way.
func TestSeparators(t *testing.T) {
	for _, text := range []string{
		"0,00 1,50 9,981\n2,50 0,00 9,979\n",
		"0.00 1.50 9.981\n2.50 0.00 9.979\n",
		"  0.00\t1.50  9.981\n  2.50 0.00\t9.979\n",
		"0,00;1,50;9,981\n2,50;0,00;9,979\n",
		"0.00\t1.50\t9.981\n2.50\t0.00\t9.979\n",
		"0.00|1.50|9.981\n2.50|0.00|9.979\n",
		"0.00, 1.50, 9.981\n2.50, 0.00, 9.979\n",
		"sep=,\n0.00,1.50,9.981\n2.50,0.00,9.979\n",
	} {
		s, err := read(t, text, survey.Options{Unit: unit.Metre, Order: "XYZ"})
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		check.Points(t, s.Points, points([]at{{"", 0, 1.5, 9.981}, {"", 2.5, 0, 9.979}}))
	}
}

func TestCountLineIsChecked(t *testing.T) {
	s, err := read(t, "5\n0 0 1.1\n1 0 1.2\n2 0 1.3\n", survey.Options{Unit: unit.Metre, Order: "XYZ"})
	if err != nil {
		t.Fatal(err)
	}
	check.Notes(t, s.Notes, []string{"warning: the first line promises 5 points, 3 follow"})
	s, err = read(t, "3\n0 0 1.1\n1 0 1.2\nafter lunch\n2 0 1.3\n", survey.Options{Unit: unit.Metre, Order: "XYZ"})
	if err != nil {
		t.Fatal(err)
	}
	check.Notes(t, s.Notes, []string{`left out: "after lunch": a remark, no shot`})
}

func TestColumnDirections(t *testing.T) {
	for _, c := range []struct {
		head, order string
		x, y        float64
	}{
		{"P,X,Y,Z", "", 1, 2},
		{"P,X,Y,Z", "PNEZ", 2, 1},
		{"P,X,Y,Z", "PENZ", 1, 2},
		{"P,Northing,Y,Z", "", 2, 1},
		{"P,N,E,Z", "PENZ", 2, 1}, // words are stronger than the order
	} {
		s, err := read(t, c.head+"\n1,1,2,3\n", survey.Options{Unit: unit.Metre, Order: c.order})
		if err != nil {
			t.Errorf("%s %s: %v", c.head, c.order, err)
			continue
		}
		check.Points(t, s.Points, points([]at{{"1", c.x, c.y, 3}}))
	}
}

func TestProgressEndsAtTheEnd(t *testing.T) {
	var done, total int64
	_, err := read(t, "P,E,N,Z\n1,0,0,1\n2,1,0,1.1\n", survey.Options{Unit: unit.Metre, Progress: func(d, n int64) {
		if d < done {
			t.Errorf("goes back from %d to %d", done, d)
		}
		done, total = d, n
	}})
	if err != nil || done != total || total == 0 {
		t.Errorf("ends at %d of %d, %v", done, total, err)
	}
}

// Chunks are decoded apart; a row must not be cut, whatever its quotes hold,
// and the rows must come out in the order and on the lines of the file.
func TestLargeFilesAreCutBetweenRows(t *testing.T) {
	const rows = 40_000
	var b strings.Builder
	b.WriteString("P,E,N,Z,Note\n")
	line := 1
	var lines []int
	for i := range rows {
		line++
		lines = append(lines, line)
		note := "slab, level 1"
		if i%7 == 0 {
			note = "two\nlines, \"\"quoted\"\""
			line++
		}
		if i%1000 == 0 {
			b.WriteString("# a comment with a \" in it\n")
			line++
			lines[i]++
		}
		fmt.Fprintf(&b, "%d,%d,%d,%d.5,\"%s\"\n", i, i%200, i/200, 1+i%3, note)
	}
	if b.Len() < 2*chunkSize {
		t.Fatalf("%d bytes are fewer than two chunks", b.Len())
	}
	s, err := read(t, b.String(), survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != rows {
		t.Fatalf("%d points, want %d", len(s.Points), rows)
	}
	for i, p := range s.Points {
		if p.Name != fmt.Sprint(i) || p.At.Line != lines[i] || p.Z != float64(1+i%3)+0.5 {
			t.Fatalf("point %d is %+v, want it on line %d", i, p, lines[i])
		}
	}
	b.WriteString("last,1,2,none of it,\n")
	_, err = read(t, b.String(), survey.Options{Unit: unit.Metre})
	var e *survey.Error
	if !errors.As(err, &e) || e.Pos != (survey.Pos{File: "f.csv", Line: line + 1, Col: 10}) {
		t.Errorf("error %v, want it at f.csv:%d:10", err, line+1)
	}
}

// The sign of a deviation may be a word in its own cell (common practice, no
// source).
func TestDeviationsByWord(t *testing.T) {
	s, err := read(t, "Pt,E,N,Diff in\n1,0,0,hi 1/4\n2,12,0,3/8 lo\n3,24,0,✓\n4,0,12,high 1 1/8\n5,12,12,1/2 + low\n6,24,12,0\n", survey.Options{Unit: unit.Inch})
	if err != nil {
		t.Fatal(err)
	}
	const in = 0.0254
	check.Points(t, s.Points, points([]at{{"1", 0, 0, in / 4}, {"2", 12 * in, 0, -3 * in / 8}, {"3", 24 * in, 0, 0}, {"4", 0, 12 * in, 9 * in / 8}, {"5", 12 * in, 12 * in, -17 * in / 32}, {"6", 24 * in, 12 * in, 0}}))
	_, err = read(t, "Pt,E,N,Diff in\n1,0,0,hi -1/4\n2,12,0,3/8\n", survey.Options{Unit: unit.Inch})
	check.Errors(t, err, []string{`found "hi -1/4", want a number without sign beside the word hi`, `found "3/8", want whether it is above or below the target`})
}

// Remarks are written without regard to separators; what is before them has not slid.
func TestSeparatorsInTheLastColumn(t *testing.T) {
	want := []at{{"1", 0, 0, 1.5}, {"2", 1, 0, 1.51}, {"3", 2, 0, 1.52}}
	for _, c := range []struct{ name, text, order, code string }{
		{"remarks", "P,E,N,Z,Remarks\n1,0,0,1.5,wet\n2,1,0,1.51,by the door, wet, see note\n3,2,0,1.52,\n", "", "by the door, wet, see note"},
		{"a word of no role", "P,E,N,Z,Weather\n1,0,0,1.5,wet\n2,1,0,1.51,by the door, wet, see note\n3,2,0,1.52,\n", "", ""},
		{"semicolons", "P;E;N;Z;what\n1;0;0;1,5;\n2;1;0;1,51;wet; see note\n3;2;0;1,52;dry\n", "", "wet; see note"},
		{"columns without a head behind", "P,E,N,Z,Note,,\n1,0,0,1.5,wet,,\n2,1,0,1.51,wet, see note,,\n3,2,0,1.52,,,\n", "", "wet, see note"},
		{"more commas than columns", "P,E,N,Z,Note\n1,0,0,1.5,a,b,c,d,e,f,g,h,i,j,k,l,m\n2,1,0,1.51,n, o\n3,2,0,1.52,a,b,c,d\n", "", "n, o"},
		{"no header", "1,0,0,1.5,wet\n2,0,1,1.51,wet, see note\n3,0,2,1.52,\n", "PNEZD", "wet, see note"},
		{"a number in the text", "P,E,N,Z,Note\n1,0,0,1.5,a\n2,1,0,1.51,wet, 3, 5\n3,2,0,1.52,2 cracks, wet\n", "", "wet, 3, 5"},
		{"codes", "P,E,N,Z,Code\n1,0,0,1.5,FLR, wet\n2,1,0,1.51,FLR, see note\n3,2,0,1.52,FLR\n4,5,5,1.6,SILL, door, north\n", "", "FLR"},
		{"a level book", "setup,sight,P,x,y,rod,Remark\nA,BS,BM,9,9,1.5,RL 3.0, on the sill, door 2\nA,IS,1,0,0,3.0,dry\nA,IS,2,1,0,2.99,wet, see note\nA,IS,3,2,0,2.98,\n", "", "wet, see note"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, c.text, survey.Options{Unit: unit.Metre, Order: c.order})
			if err != nil {
				t.Fatal(err)
			}
			check.Points(t, s.Points, points(want))
			if text := cmp.Or(s.Points[1].Remark, s.Points[1].Code); text != c.code {
				t.Errorf("text %q, want %q", text, c.code)
			}
			if c.name == "codes" {
				check.Points(t, s.Finished, points([]at{{"4", 5, 5, 1.6}}))
			}
		})
	}
}
