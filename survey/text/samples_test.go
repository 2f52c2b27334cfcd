package text

import (
	"bytes"
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// TestSamples reads every file of testdata/csv. The expected values are in the README
// there, computed by hand from the files; z of level books from HI = RL + BS, RL = HI -
// reading.
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
	const noUnit = "a unit: neither the header nor the cell gives one"
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
		{"01-pnezd-header.csv", survey.Options{}, nil, nil, []string{`2:17: column 4 "Elevation", column 3 "Easting", column 2 "Northing": found "10.012", want ` + noUnit}},
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
		{"20-feet.csv", survey.Options{}, []at{{"1", 0, 0, 30.48}, {"2", 3.048, 0, 30.470856}, {"3", 0, 3.048, 30.46476}, {"4", 3.048, 3.048, 30.452568}, {"5", 0, 6.096, 30.467808}},
			[]string{`warning: "sill" (1 row) read as a remark`}, nil},
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
		// The unit in its comment is prose: it is shown, not used.
		{"80-comments-blanks.csv", m, []at{{"1", 0, 0, -3}, {"2", 1, 0, -5}, {"3", 2, 0, -8}},
			[]string{"assumed: 4 comments, 2 blank lines and 1 rule skipped", "assumed: skipped comment: levels in mm below datum line"}, nil},
		{"81-duplicates-same.csv", m, []at{{"1", 0, 0, 9.990}, {"2", 1, 0, 9.987}, {"3", 2, 0, 9.981}, {"4", 0, 1, 9.985}}, []string{"left out: 2: the same place and elevation as line 3: merged"}, nil},
		// Package surface decides between two levels of one place.
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
				err = cmp.Or(s.Book.Err(false), s.Unplaced())
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
			codes = append(codes, cmp.Or(p.Remark(), p.Code()))
		}
		if got := strings.Join(codes, "|"); got != c.want {
			t.Errorf("%s: codes %q, want %q", c.file, got, c.want)
		}
	}
}
