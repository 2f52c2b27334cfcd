package report

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/surface"
)

// The valley on a screen, by hand as in [TestValleyByHand]: half of it within 3 mm, two highs to grind and a
// low to fill. A foot is 0.3048 m: 6 mm are 15/64 in, 3 mm 1/8 in to the 64th, 24 m² 258.3 ft².
func TestAfterFactsByHand(t *testing.T) {
	j := judgedValley(t)
	facts, grids, remarks := AfterFacts(j, metric)
	if facts[0].Head != "As poured" || !strings.HasPrefix(facts[0].Text, "50.0 % of the floor within ±3.0 mm of the target (90 % range 45.5 to 50.4 %); ") {
		t.Errorf("first %+v", facts[0])
	}
	text := ""
	for _, f := range facts {
		text += f.Head + ": " + f.Text + "\n"
	}
	saidIn(t, text, "Straightedge: 2.000 m: largest gap 4.0 mm (90 % range 1.2 mm to 5.3 mm), from west 2.000 m", "To do: grind 6.00 m² of floor (9.0 L), fill 6.00 m² (9.0 L) to come within ±3.0 mm", "50.0 % of 24.00 m² within ±3.0 mm (90 % range 45.5 to 50.4 %); root mean square 3.46 mm")
	// What to work on comes before the tolerances; a floor without runs has no table of them.
	if len(grids) != 2 || grids[1].Title != "Tolerance check (measured / allowed)" {
		t.Fatalf("%d tables", len(grids))
	}
	var heads []string
	for _, c := range grids[0].Columns {
		heads = append(heads, c.Name)
	}
	if want := []string{"Place", "From two walls", "From plane", "Area", "Volume", "To do"}; !slices.Equal(heads, want) || !grids[0].Columns[3].Right || grids[0].Columns[1].Right {
		t.Errorf("columns %v, want %q with areas to the right", grids[0].Columns, want)
	}
	for i, want := range []string{"H1|6.0 mm above|3.00 m²|4.5 L|grind, 3 passes", "H2|6.0 mm above|3.00 m²|4.5 L|grind, 3 passes", "L3|6.0 mm below|6.00 m²|9.0 L|fill"} {
		row := grids[0].Rows[i]
		if got := strings.Join(append(slices.Clone(row[:1]), row[2:]...), "|"); got != want {
			t.Errorf("%q, by hand %q", got, want)
		}
	}
	if last := remarks[len(remarks)-1]; !strings.Contains(strings.Join(last.Notes, "\n"), "silica") {
		t.Errorf("no caution of the dust of grinding: %+v", remarks)
	}
	inFeet, _, _ := AfterFacts(j, feet)
	text = ""
	for _, f := range inFeet {
		text += f.Head + ": " + f.Text + "\n"
	}
	// 9 L are 0.318 ft³.
	saidIn(t, text, `As poured: 50.0 % of the floor within ±1/8" of the target`, `50.0 % of 258.3 ft² within ±1/8" (90 % range 45.5 to 50.4 %); root mean square 9/64"`, `highest 15/64" above`, `lowest 15/64" below`, "grind 64.6 ft² of floor (0.32 ft³)", "not mm above")
}

// Rules by hand on the valley of 4 mm a metre either way: over a length of L m the middle is L/2 × 4 mm below
// its ends, 4 mm over 2 m and 12 over 6. Limits as published: DIN 18202 table 3, rows 3 and 4 (11 and 10 mm
// over 6 m; R17 of the reference), BS 8204 SR1, SR2 and SR3 (3, 5 and 10 mm under 2 m).
func TestToleranceRowsByHand(t *testing.T) {
	_, grids, _ := AfterFacts(judgedValley(t), metric)
	rows := map[string][]string{}
	for _, row := range grids[len(grids)-1].Rows {
		rows[row[0]] = row
	}
	for name, want := range map[string]struct {
		result string
		said   []string
	}{
		"din18202-2":   {"partly checked", []string{"4.0 mm, limit 9.0 mm, over 2 m", "6.0 mm, limit 11.0 mm, over 3 m", "8.0 mm, limit 12.0 mm, over 4 m", "12.0 mm, limit 13.0 mm, over 6 m"}},
		"din18202-3":   {"fail", []string{"4.0 mm, limit 6.0 mm, over 2 m", "6.0 mm, limit 8.0 mm, over 3 m", "8.0 mm, limit 10.0 mm, over 4 m", "FAIL 12.0 mm, limit 11.0 mm, over 6 m"}},
		"din18202-4":   {"fail", []string{"4.0 mm, limit 5.0 mm, over 2 m", "6.0 mm, limit 7.0 mm, over 3 m", "8.0 mm, limit 9.0 mm, over 4 m", "FAIL 12.0 mm, limit 10.0 mm, over 6 m"}},
		"bs8204-sr1":   {"fail", []string{"FAIL 4.0 mm gap, limit 3.0 mm, 2 m straightedge"}},
		"bs8204-sr2":   {"pass", []string{"4.0 mm gap, limit 5.0 mm, 2 m straightedge", "not FAIL"}},
		"bs8204-sr3":   {"pass", []string{"4.0 mm gap, limit 10.0 mm, 2 m straightedge", "not FAIL"}},
		"bs8204-datum": {"pass", []string{"departure from the required plane 6.0 mm, limit 15.0 mm"}},
		"bs5385":       {"fail", []string{"FAIL 4.0 mm gap, limit 3.0 mm, 2 m straightedge"}},
		"as3958":       {"pass", []string{"4.0 mm gap, limit 4.0 mm, 2 m straightedge"}}, // just at the limit
	} {
		row := rows[name]
		if row == nil || row[3] != want.result {
			t.Errorf("%s: %q, by hand %s", name, row, want.result)
			continue
		}
		saidIn(t, row[2], want.said...)
	}
	// In feet: 10 ft bridge the valley by 5 ft on either side, 1.524 × 4 = 6.096 mm, 15/64 in; 6 ft by
	// 3.658 mm, 9/64. ACI 117: 1/2, 3/8 and 1/4 in for nine in ten, half as much again and more for all.
	_, grids, _ = AfterFacts(judgedValley(t), feet)
	for _, row := range grids[len(grids)-1].Rows {
		rows[row[0]] = row
	}
	for name, want := range map[string][2]string{
		"aci117-conventional-gap": {"pass", `15/64" gap, limit 3/4", 10'-0" straightedge`}, "aci117-flat-gap": {"pass", `15/64" gap, limit 3/8", 10'-0" straightedge`},
		"tile-large": {"fail", `FAIL 15/64" gap, limit 1/8", 10'-0" straightedge`}, "resilient": {"fail", `FAIL 15/64" gap, limit 3/16"`},
		"wood-6ft": {"fail", `FAIL 9/64" gap, limit 1/8", 6'-0" straightedge`}, "wood-10ft": {"fail", `FAIL 15/64" gap, limit 3/16"`},
	} {
		if row := rows[name]; row == nil || row[3] != want[0] || !strings.Contains(row[2], want[1]) {
			t.Errorf("%s: %q, by hand %q", name, row, want)
		}
	}
}

// Shades of the departures by hand, from 6 mm above to 6 mm below in steps of 2 mm: they follow one
// another, and their words are of the same limits.
func TestAfterShadesByHand(t *testing.T) {
	words := []string{"4.0 mm above to 6.0 mm above", "2.0 mm above to 4.0 mm above", "0.0 mm to 2.0 mm above", "2.0 mm below to 0.0 mm", "4.0 mm below to 2.0 mm below", "6.0 mm below to 4.0 mm below"}
	all := AfterShades(judgedValley(t), metric)
	if len(all) != len(words) {
		t.Fatalf("%d shades", len(all))
	}
	colors := map[string]bool{}
	for i, s := range all {
		from, to := -0.006+0.002*float64(i), -0.004+0.002*float64(i)
		if math.Abs(s.From-from) > 1e-9 || math.Abs(s.To-to) > 1e-9 || s.Text != words[i] {
			t.Errorf("shade %d: %+v, by hand from %g to %g, %q", i, s, from, to, words[i])
		}
		if colors[s.Color] || len(s.Color) != 7 || s.Color[0] != '#' {
			t.Errorf("shade %d in %s", i, s.Color)
		}
		colors[s.Color] = true
	}
}

// Marks of highs and lows by hand: the walls' 6 mm above, 0.75 m wide each, and the middle's 6 mm below,
// 1.5 m wide: their rings are of 3, 3 and 6 m².
func TestSpotMarksByHand(t *testing.T) {
	all := SpotMarks(judgedValley(t), metric)
	if len(all) != 3 {
		t.Fatalf("%d marks", len(all))
	}
	for i, want := range []struct {
		name, text     string
		high           bool
		west, east     float64 // of its ring
		off, area, atX float64
	}{
		{"H1", "6.0 mm above: grind, 3 passes", true, 0, 0.75, 0.006, 3, 0}, {"H2", "6.0 mm above: grind, 3 passes", true, 5.25, 6, 0.006, 3, 6}, {"L3", "6.0 mm below: fill", false, 2.25, 3.75, -0.006, 6, 3},
	} {
		m := all[i]
		if m.Name != want.name || m.Text != want.text || m.High != want.high || math.Abs(m.Off-want.off) > 1e-9 || math.Abs(m.At[0]-want.atX) > 1e-9 || len(m.Rings) != 1 {
			t.Errorf("%+v, by hand %+v", m, want)
			continue
		}
		ring, area := m.Rings[0], 0.0
		west, east := math.Inf(1), math.Inf(-1)
		for k, p := range ring {
			q := ring[(k+1)%len(ring)]
			area += (p[0]*q[1] - q[0]*p[1]) / 2
			west, east = min(west, p[0]), max(east, p[0])
		}
		for what, v := range map[string][2]float64{"area": {math.Abs(area), want.area}, "west": {west, want.west}, "east": {east, want.east}} {
			if math.Abs(v[0]-v[1]) > 1e-4 {
				t.Errorf("%s: %s %g, by hand %g", m.Name, what, v[0], v[1])
			}
		}
	}
}

// A straightedge laid across the valley by hand stands half its length times 4 mm off. Along a wall, on one
// flank or on a ridge there is no gap, and no place of it. A line that leaves the room has 3 m in it.
func TestEdgeOnByHand(t *testing.T) {
	j := judgedValley(t)
	for _, c := range []struct {
		from, to surface.Vec
		fits     bool
		gap, low float64 // low: x of it
		text     string
	}{
		{surface.Vec{X: 2, Y: 2}, surface.Vec{X: 4, Y: 2}, true, 0.004, 3, "largest gap 4.0 mm under 2.000 m, 3.000 m from west wall, 2.000 m from south wall"},
		{surface.Vec{X: 4, Y: 2}, surface.Vec{X: 2, Y: 2}, true, 0.004, 3, "largest gap 4.0 mm under 2.000 m, 3.000 m from west wall, 2.000 m from south wall"},
		{surface.Vec{X: 0, Y: 2}, surface.Vec{X: 6, Y: 2}, true, 0.012, 3, "largest gap 12.0 mm under 6.000 m, 3.000 m from west wall, 2.000 m from south wall"},
		// 1 m on one side and 2 on the other: the line from −2 to 2 mm is at −6 + 4 + 4/3 mm over the middle.
		{surface.Vec{X: 2, Y: 1}, surface.Vec{X: 5, Y: 1}, true, 0.004 + 0.004/3, 3, "largest gap 5.3 mm under 3.000 m, 3.000 m from west wall, 1.000 m from south wall"},
		{surface.Vec{X: 1, Y: 1}, surface.Vec{X: 3, Y: 1}, true, 0, 0, "no gap under 2.000 m: the floor is straight there, or higher in the middle"},
		{surface.Vec{X: 3, Y: 0}, surface.Vec{X: 3, Y: 4}, true, 0, 0, "no gap under 4.000 m: the floor is straight there, or higher in the middle"},
		{surface.Vec{X: -1, Y: 2}, surface.Vec{X: 3, Y: 2}, false, 0, 0, "4.000 m does not fit there: the longest clear line is 3.000 m"},
		{surface.Vec{X: 1, Y: 1}, surface.Vec{X: 1, Y: 1}, false, 0, 0, "a straightedge without length"},
	} {
		m, err := EdgeOn(j.Floor, c.from, c.to, metric)
		if err != nil {
			t.Fatal(err)
		}
		if m.Fits != c.fits || math.Abs(m.Gap-c.gap) > 1e-8 || math.Abs(m.Low[0]-c.low) > 1e-6 || m.Text != c.text {
			t.Errorf("from %v to %v: %+v, by hand %g m at x = %g, %q", c.from, c.to, m, c.gap, c.low, c.text)
		}
		if ends := [2]float64{min(m.A[0], m.B[0]), max(m.A[0], m.B[0])}; c.gap > 0 && (math.Abs(ends[0]-min(c.from.X, c.to.X)) > 1e-6 || math.Abs(ends[1]-max(c.from.X, c.to.X)) > 1e-6) {
			t.Errorf("from %v to %v: it rests on %v and %v", c.from, c.to, m.A, m.B)
		}
	}
	// 12 mm are 15/32 in.
	m, err := EdgeOn(j.Floor, surface.Vec{X: 0, Y: 2}, surface.Vec{X: 6, Y: 2}, feet)
	if want := `largest gap 15/32" under 19'-8 1/4", `; err != nil || !strings.HasPrefix(m.Text, want) {
		t.Errorf("%q, %v; by hand %q", m.Text, err, want)
	}
}
