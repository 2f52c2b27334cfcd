package report

import (
	"strings"
	"testing"

	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey/unit"
)

// Every line is its own figure, correctly rounded, so that the reader can check its rule. By hand:
// 5 % of 7.2248 + 0.1024 + 0.1625 = 7.4897 is 0.3745, not 0.39; the lines as shown are 8.18 of the
// 8.1950 needed, and the table says why.
func TestLinesAreCorrectlyRounded(t *testing.T) {
	w := &job.Filled{}
	for i, v := range []float64{7.2248, 0.1024, 0.1625, 0.3745, 0.0808, 0.25, 0} {
		w.Takeoff.Items = append(w.Takeoff.Items, order.Item{Name: string(rune('A' + i)), Volume: v})
		w.Takeoff.Need += v
	}
	w.Delivery.Volume, w.Delivery.Rounding = 8.25, order.Item{Name: "Rounded up", Volume: 8.25 - w.Takeoff.Need}
	got := orderTable(w, unit.Style{})
	var rows []string
	for _, r := range got.Rows {
		rows = append(rows, r[0].Text+" "+r[1].Text)
	}
	if want := "A 7.22 m³, B 0.10 m³, C 0.16 m³, D 0.37 m³, E 0.08 m³, F 0.25 m³, Needed 8.20 m³, Rounded up 0.05 m³"; strings.Join(rows, ", ") != want {
		t.Errorf("%s\nwant %s", strings.Join(rows, ", "), want)
	}
	if len(got.Notes) != 1 || got.Notes[0] != roundedLines {
		t.Errorf("notes %q", got.Notes)
	}
	w.Takeoff.Items, w.Takeoff.Need, w.Delivery.Rounding.Volume = w.Takeoff.Items[5:], 0.25, 8
	if got := orderTable(w, unit.Style{}); len(got.Notes) != 0 {
		t.Errorf("0.25 + 8 = 8.25, and yet: %q", got.Notes)
	}
}

// The mortar of the demo is 0.0933 yd³, 330 lb at 131.1 lb/ft³: 0.09, though 7.22 + 0.09 is not the
// 7.32 of both.
func TestMaterialsAreCorrectlyRounded(t *testing.T) {
	tables := hall(t).serviceTables()
	for i, want := range []string{"0.09", "0.09 yd³"} {
		shown := ""
		for _, r := range tables[i].Rows {
			for _, c := range r {
				if c.Text == "repair mortar" {
					shown = strings.Join(cellTexts(tables[i], r), " | ")
				}
			}
		}
		if !strings.Contains(shown, want) {
			t.Errorf("%s: %s", tables[i].Title, shown)
		}
	}
	if !strings.Contains(strings.Join(tables[1].Notes, " "), roundedLines) {
		t.Errorf("notes %q", tables[1].Notes)
	}
}

func cellTexts(t table.Table, row []table.Cell) []string {
	var out []string
	for j, c := range row {
		out = append(out, t.Columns[j].Show(c))
	}
	return out
}
