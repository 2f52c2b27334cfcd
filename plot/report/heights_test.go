package report

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
)

// A floor of 6 by 4 m at −50 mm, by hand: 24 m² × 1 mm is 0.024 m³ a step, at 200 a m³ in whole
// 0.1 m³.
func TestOtherHeightsByHand(t *testing.T) {
	h := handed(t, "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"0m\"\n[mix]\nallowance-percent = 0\norder-step = \"0.1m3\"\nprice-per-m3 = 200.0\ncurrency = \"dollars\"\n",
		floorIn("m", 6, 4, 1, levelAt(-0.05)))
	data, err := h.JSON()
	if err != nil {
		t.Fatal(err)
	}
	var r struct {
		Heights []struct {
			Up   float64  `json:"above_target_m"`
			Z    float64  `json:"z_m"`
			Fill float64  `json:"fill_m3"`
			Mass float64  `json:"weight_kg"`
			Cost *float64 `json:"cost"`
		} `json:"heights"`
	}
	if err := json.Unmarshal(data, &r); err != nil {
		t.Fatal(err)
	}
	if len(r.Heights) != 21 {
		t.Fatalf("%d heights in the JSON", len(r.Heights))
	}
	for _, one := range r.Heights {
		fill := 24 * (0.05 + one.Up)
		if math.Abs(one.Z-one.Up) > 1e-12 || math.Abs(one.Fill-fill) > 1e-7 || math.Abs(one.Mass-2400*fill) > 1e-3 || one.Cost == nil || math.Abs(*one.Cost-20*math.Ceil(10*fill-1e-6)) > 1e-6 {
			t.Errorf("%+v", one)
		}
	}
	var page bytes.Buffer
	for _, table := range h.depthSection(false).Tables {
		page.WriteString(strings.Join(strings.Fields(plainNotes(table)), " ") + "\n")
	}
	saidIn(t, page.String(), "Other heights Up (mm) Fill (m³) Order (m³) Cost -10 0.96 1.00 200 ", " 0 1.20 1.20 240 ", " +3 1.27 1.30 260 ", "Cut, depths and weight at each height are in takeoff.xlsx.",
		"Cost: of what is ordered for the fill, at the prices of the job.")
	if n := len(h.depthSection(true).Tables); n != 1 {
		t.Errorf("%d tables of depths on paper", n)
	}
	rows := 0
	for _, table := range h.books() {
		if table.Title == "Other heights" {
			rows = len(table.Rows)
		}
	}
	if rows != 100 { // from 49 mm down, which leaves 1 mm, to 50 mm up
		t.Errorf("%d rows in the workbook", rows)
	}
}

// A cut too small to be written is not none. By hand: shots 0.2 mm above the target over a corner.
func TestATinyCutIsNotNothing(t *testing.T) {
	h := handed(t, "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"0.0499m\"\n", floorIn("m", 1, 1, 1, func(x, y float64) float64 { return 0.05 * (1 - x) * (1 - y) }))
	if h.Filled.Fill.Cut <= 0 || h.Filled.Fill.Cut > 5e-6 {
		t.Fatalf("a cut of %g m³", h.Filled.Fill.Cut)
	}
	text := plainNotes(h.heights(1)) + cutText(h.Filled, h.Style)
	if strings.Contains(text, " 0.00 ") {
		t.Errorf("a cut of 0.00 in\n%s", text)
	}
	saidIn(t, text, "less than 0.01 L")
}

// By hand: 24 m² of 10 mm and 5 % are 0.252 m³. Too thin for concrete and no material chosen, it is needed
// but not ordered, and the JSON has it; where there is an order, it has that.
func TestHeightsHaveWhatIsNeededWhereNothingIsOrdered(t *testing.T) {
	for _, deep := range []float64{0.010, 0.100} {
		h := handed(t, "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"0m\"\n", floorIn("m", 6, 4, 1, levelAt(-deep)))
		for _, one := range numbersOf(t, h).Heights {
			switch {
			case deep == 0.1 && (one.Need != nil || one.Order == nil && one.Bags == 0):
				t.Errorf("%+v", one)
			case deep == 0.01 && one.Up == 0 && (one.Need == nil || math.Abs(*one.Need-0.252) > 1e-9 || one.Order != nil || one.Bags != 0):
				t.Errorf("%+v", one)
			}
		}
	}
}

// A target below the whole floor leaves nothing to fill: there is no table of heights.
func TestNoOtherHeightsWhereNothingIsFilled(t *testing.T) {
	h := handed(t, "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"-1m\"\n", floorIn("m", 6, 4, 1, levelAt(-0.05)))
	if n := len(h.depthSection(false).Tables); n != 1 {
		t.Errorf("%d tables of depths", n)
	}
	data, err := h.JSON()
	if err != nil {
		t.Fatal(err)
	}
	saidIn(t, string(data), `"heights": [],`)
}
