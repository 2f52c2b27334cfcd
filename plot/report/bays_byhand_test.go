package report

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pourplane/surface/flatness"
)

// thirds is a floor of 5 × 4 m, 50 mm deep, in three like bays: 20/3 m² and 1/3 m³ each, 0.35 with 5 %. The
// order of 1.05 is 1.25 m³ in steps of 0.25: 0.20 more for the bay placed last.
const thirds = ramp + "[bays]\ndams = [[\"1.66666666667m,0m\", \"1.66666666667m,4m\"], [\"3.33333333333m,0m\", \"3.33333333333m,4m\"]]\n[pace]\nplacing-m3-per-hour = 6\n"

// What is shown of the bays adds up to the whole as shown, by hand: 6.67 + 6.67 + 6.66 = 20.00 m²,
// 0.34 + 0.33 + 0.33 = 1.00 m³, 0.35 + 0.35 + 0.55 = 1.25 m³ by truck. In feet 215.3 ft², 1.31 yd³ and 1.63.
func TestThirdsAddUpByHand(t *testing.T) {
	for show, want := range map[string]struct {
		area, volume, mix string
		each              [3]float64 // of the first two
		step              [3]float64
	}{
		"":                  {"20.00", "1.00", "1.25", [3]float64{20.0 / 3, 1.0 / 3, 0.35}, [3]float64{0.01, 0.01, 0.01}},
		"show = \"feet\"\n": {"215.3", "1.31", "1.63", [3]float64{20.0 / 3 / 0.09290304, 1.0 / 3 / 0.764554857984, 0.35 / 0.764554857984}, [3]float64{0.1, 0.01, 0.01}},
	} {
		h := handed(t, show+thirds, floorIn("m", 5, 4, 1, levelAt(-0.05)))
		table := h.bayTable()
		rows := cellsOf(table)
		if len(rows) != 4 || rows[3][0] != "Together" {
			t.Fatalf("%q: %q", show, rows)
		}
		for k, whole := range []string{want.area, want.volume, want.mix} {
			sum := 0.0
			for i := range 3 {
				var v float64
				by := want.each[k]
				if k == 2 && i == 2 {
					by *= 0.55 / 0.35
				}
				if _, err := fmt.Sscan(rows[i][k+1], &v); err != nil || math.Abs(v-by) > want.step[k] {
					t.Errorf("%q, bay %d, column %d: %s, by hand %g", show, i+1, k+1, rows[i][k+1], by)
				}
				sum += v
			}
			digits := len(whole) - strings.IndexByte(whole, '.') - 1
			if got := fmt.Sprintf("%.*f", digits, sum); got != whole || rows[3][k+1] != whole {
				t.Errorf("%q, column %d: %s in all and %s shown, by hand %s", show, k+1, got, rows[3][k+1], whole)
			}
		}
		// The plan has the same volumes as the list, and one truck serves all.
		for i := range 3 {
			if text := h.bayText(i); !strings.HasPrefix(text, rows[i][2]+" ") || rows[i][4] != "1" {
				t.Errorf("%q, bay %d: %q on the plan, %q in the list", show, i+1, text, rows[i])
			}
		}
	}
}

// Which truck serves which bay, by hand: 6 m³ in bays of 4 and 2 m³ at 4 m³/h. A truck of 6 is empty 30 min
// too late; one of 4 and one of 2 are not. In the table of bays and in the one of trucks it is the same.
func TestTrucksOfBaysByHand(t *testing.T) {
	const keys = ramp + "[mix]\nallowance-percent = 0\n[plant]\ntruck = \"%s\"\n[bays]\ndams = [[\"4m,0m\", \"4m,4m\"]]\n[pace]\nplacing-m3-per-hour = %g\n"
	files := floorIn("m", 6, 4, 1, levelAt(-0.25))
	h := handed(t, fmt.Sprintf(keys, "6m3", 4.0), files)
	for i, want := range []string{"16.00 | 4.00 | 4.00 | 1", "8.00 | 2.00 | 2.00 | 2"} {
		if got := strings.Join(cellsOf(h.bayTable())[i][1:5], " | "); got != want {
			t.Errorf("bay %d: %s, by hand %s", i+1, got, want)
		}
	}
	clocks, _ := h.clockTable()
	got := byName(clocks)
	if got["1"] != "4.00 m³ | −0:30 | 0:00 | 0:00 | 1:00 | 0 min | 0 min | 1" || got["2"] != "2.00 m³ | 0:30 | 1:00 | 1:00 | 1:30 | 0 min | 0 min | 2" {
		t.Errorf("trucks %q", got)
	}
	saidIn(t, strings.Join(h.orderSection().Text, "\n"), "2 trucks", "4.00 m³ for bay 1, then 2.00 m³ for bay 2")
	// Full loads of 5 m³ at 6 m³/h: the second truck has the last cubic metre, for bay 2.
	h = handed(t, fmt.Sprintf(keys, "5m3", 6.0), files)
	rows := cellsOf(h.bayTable())
	if rows[0][4] != "1" || rows[1][4] != "1, 2" {
		t.Errorf("from trucks %q and %q, by hand 1, and 1 and 2", rows[0][4], rows[1][4])
	}
	clocks, _ = h.clockTable()
	if got := byName(clocks); !strings.HasSuffix(got["1"], " | 1, 2") || !strings.HasSuffix(got["2"], " | 2") {
		t.Errorf("bays of the trucks %q", got)
	}
	figuresIn(t, numbersOf(t, h), map[string]float64{"order.trucks": 2, "order.order_m3": 6})
}

// Where each material goes, by hand on the ramp: mortar up to 40 mm, 6 m² × 30 mm = 0.18 m³, and concrete,
// 18 m² × 70 mm = 1.26. In feet 64.58 + 193.75 = 258.33 ft²: the larger has its nearest figure, 193.8, and the
// other the rest of 258.3. Volumes are each their own: 0.235 and 1.648 yd³.
func TestWhereEachMaterialGoesByHand(t *testing.T) {
	const two = ramp + "[[materials]]\nname = \"mortar\"\nbag-yield = \"12L\"\ngreatest = \"40mm\"\n[[materials]]\nname = \"concrete\"\nleast = \"40mm\"\n"
	for show, want := range map[string][]string{
		"":                  {"mortar: 6.00 m², 0.18 m³", "concrete: 18.00 m², 1.26 m³", "The border is where the fill is 40 mm deep: mortar where it is thinner, concrete where it is deeper."},
		"show = \"feet\"\n": {"mortar: 64.5 ft², 0.24 yd³", "concrete: 193.8 ft², 1.65 yd³", `The border is where the fill is 1 9/16" deep: mortar where it is thinner, concrete where it is deeper.`},
	} {
		h := handed(t, show+two, rampFiles())
		all := h.planMaterials()
		if len(all) != 2 {
			t.Fatalf("%q: %+v", show, all)
		}
		for i, p := range all {
			if got := p.Name + ": " + p.Text; got != want[i] || p.None {
				t.Errorf("%q: %q, by hand %q", show, got, want[i])
			}
		}
		if all[0].From != 0 || math.Abs(all[1].From-0.04) > 1e-9 {
			t.Errorf("%q: from %g and %g m, by hand 0 and 0.04", show, all[0].From, all[1].From)
		}
		saidIn(t, strings.Join(h.materialSection().Text, "\n"), want[2])
	}
	// The middle is not served: mortar below 40 mm, concrete from 60 mm, 12 m² × 80 mm = 0.96 m³; between
	// them 6 m² × 50 mm = 0.30.
	h := handed(t, strings.Replace(two, "least = \"40mm\"", "least = \"60mm\"", 1)+"[mix]\naccept-unserved = true\n", rampFiles())
	var got []string
	for _, p := range h.planMaterials() {
		got = append(got, fmt.Sprintf("%s: %s, %t", p.Name, p.Text, p.None))
	}
	if want := "mortar: 6.00 m², 0.18 m³, false; no material: 6.00 m², 0.30 m³, true; concrete: 12.00 m², 0.96 m³, false"; strings.Join(got, "; ") != want {
		t.Errorf("%q\nby hand %s", got, want)
	}
	if s := handed(t, ramp+"[[materials]]\nname = \"concrete\"\n", rampFiles()).materialSection(); s.Title != "" {
		t.Errorf("one material: %+v", s)
	}
}

// Limits in both units, as published first: 3/16 in are 4.76 mm; 3 mm are 0.118 in, and not 1/8 in, which
// is more; 2 m are 6.56 ft, 10 ft 3.048 m. A local F-number is 60 % of the one of the floor (ACI 117 and E1155,
// standards.md).
func TestLimitsInBothUnitsByHand(t *testing.T) {
	const inch = 0.0254
	for _, c := range []struct {
		row            flatness.Row
		limit, measure string
	}{
		{flatness.Row{Kind: flatness.ByStraightedge, Limit: 0.003, Length: 2}, "3 mm (0.118 in)", "2 m (6.56 ft)"},
		{flatness.Row{Kind: flatness.ByStraightedge, Limit: 3 * inch / 16, Length: 120 * inch, Share: 0.9}, `3/16" (4.76 mm)`, `10'-0" (3.048 m), 90 % of it`},
		{flatness.Row{Kind: flatness.ByStraightedge, Limit: 0.0005, Length: 0.2}, "0.5 mm (0.020 in)", "0.2 m (7.874 in)"},
		{flatness.Row{Kind: flatness.BySupports, Limit: 0.003}, "by the distance of the supports", ""},
		{flatness.Row{Kind: flatness.ByStraightedge}, "by length", ""},
		{flatness.Row{Kind: flatness.ByFF, Limit: 25}, "25", ""},
		{flatness.Row{Kind: flatness.ByFF, Limit: 25, Local: true}, "15", ""},
	} {
		if got := ruleLimit(c.row); got != c.limit {
			t.Errorf("%+v: limit %q, by hand %q", c.row, got, c.limit)
		}
		got := strings.TrimPrefix(strings.TrimPrefix(ruleMeasure(c.row), c.row.Kind.String()), ", ")
		if got != c.measure {
			t.Errorf("%+v: measure %q, by hand %q", c.row, got, c.measure)
		}
	}
}
