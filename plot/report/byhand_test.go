package report

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pourplane/plot/sheet"
	"pourplane/plot/table"
)

// handJob is a job on the ramp with everything that can be ordered, in figures that are easy
// to work out by hand: at x m from the west wall the fill is 20 + 80·x/6 mm deep. Mortar
// serves what is less than 40 mm deep, the 1.5 m along the west wall.
const handJob = ramp + `[site]
bearing = "ground"
[mix]
allowance-percent = 10
order-step = "0.1m3"
currency = "euros"
[plant]
roughness = "1mm"
finish-high = "2mm"
line-bore = "50mm"
line-length = "20m"
hopper = "0.1m3"
priming = "0.05m3"
truck = "1m3"
[pace]
placing-m3-per-hour = 3
travel = "20min"
working-time = "10min"
[outputs]
ways = true
[[materials]]
name = "topping"
least = "40mm"
price-per-m3 = 150
unit-weight-kgm3 = 2400
[[materials]]
name = "mortar"
bag-yield = "12L"
greatest = "40mm"
price-per-bag = 9
unit-weight-kgm3 = 2000
[[coats]]
name = "primer"
cover-m2-per-litre = 5
coats = 2
water-parts = 1
pack-litres = 5
price-per-pack = 30
[edge]
film = true
roll = "25m"
foam = "5mm"
foam-piece = "2m"
foam-height = "150mm"
[joints]
length = "6m"
width = "6mm"
elastic = true
pack-litres = 0.3
[pins]
spacing = "1.4m"
from-wall = "0.2m"
`

// The two parts by hand: 6 m² of 20 to 40 mm, mean 30, and 18 m² of 40 to 100 mm, mean 70.
const (
	mortarArea, mortarNet   = 6.0, 6 * 0.030
	toppingArea, toppingNet = 18.0, 18 * 0.070
	wholeArea, wholeNet     = mortarArea + toppingArea, mortarNet + toppingNet
)

// alongRamp is a metre along the old floor for each in plan: it falls 80 mm in 6 m.
var alongRamp = math.Hypot(6, 0.080) / 6

// depthAt is the depth x m from the west wall, m.
func depthAt(x float64) float64 { return 0.020 + 0.080*x/6 }

// recordSection is a section of the record.
func recordSection(t *testing.T, h *Handover, title string) sheet.Section {
	t.Helper()
	all := h.record(false).Sections
	i := slices.IndexFunc(all, func(s sheet.Section) bool { return s.Title == title })
	if i < 0 {
		t.Fatalf("no section %q", title)
	}
	return all[i]
}

// tableOf is the table with a title.
func tableOf(t *testing.T, all []table.Table, title string) table.Table {
	t.Helper()
	i := slices.IndexFunc(all, func(one table.Table) bool { return one.Title == title })
	if i < 0 {
		t.Fatalf("no table %q", title)
	}
	return all[i]
}

// figuresOf are the numbers of a table by the text in the first cell of their row, from a
// column.
func figuresOf(one table.Table, column int) map[string]float64 {
	out := map[string]float64{}
	for _, row := range one.Rows {
		if row[column].Number {
			out[row[0].Text] = row[column].Value
		}
	}
	return out
}

// agree compares figures worked out by hand with those of a table: each to 1e-6 of its size.
// Other figures of the table are left out.
func agree(t *testing.T, what string, got, want map[string]float64) {
	t.Helper()
	for name, w := range want {
		if g, ok := got[name]; !ok || math.Abs(g-w) > 1e-6*max(1, math.Abs(w)) {
			t.Errorf("%s, %s: %.9g (%t), by hand %.9g", what, name, g, ok, w)
		}
	}
}

// The comparison itself rejects a figure that is 0.01 % off, and one that is not there.
func TestAgreeFindsDifferences(t *testing.T) {
	for _, got := range []map[string]float64{{"a": 10.001}, {"b": 10}} {
		var other testing.T
		agree(&other, "", got, map[string]float64{"a": 10})
		if !other.Failed() {
			t.Errorf("%v counts as 10", got)
		}
	}
}

// orderByHand are the lines of the take-off of the topping, m³.
func orderByHand() (lines map[string]float64, need float64) {
	rough, high, line := 0.001*toppingArea*alongRamp, 0.002*toppingArea, math.Pi/4*0.05*0.05*20
	lines = map[string]float64{"Rough floor": rough, "Finish high": high, "Allowance": 0.10 * (toppingNet + rough + high), "Pump line": line, "Hopper": 0.1, "Priming": 0.05}
	need = toppingNet
	for _, v := range lines {
		need += v
	}
	return lines, need
}

// mortarByHand: net volume, 1 mm of rough floor and 2 mm high, 10 % more, in bags of 12 L.
func mortarByHand() (volume float64, bags int) {
	volume = (mortarNet + 0.001*mortarArea*alongRamp + 0.002*mortarArea) * 1.10
	return volume, int(math.Ceil(volume / 0.012))
}

// The take-off in the workbook, to the last digit.
func TestTakeOffByHand(t *testing.T) {
	r := runText(t, handJob)
	lines, need := orderByHand()
	volume, bags := mortarByHand()
	want := map[string]float64{"Net volume": toppingNet, "Filled area": toppingArea, "Old floor": toppingArea * alongRamp, "Needed": need,
		"Roughness": 1, "Finish high by": 2, "Pump line, bore": 50, "Pump line, length": 20, "Order step": 0.1,
		"To order": 1.7, "Truck": 1, "Trucks": 2, "Last truck": 0.7, "Price of the mix": 150, "Cost of the mix": 1.7 * 150,
		"mortar, net": mortarNet, "mortar, area": mortarArea, "mortar, needed": volume, "mortar, bags": float64(bags), "mortar, cost": float64(bags) * 9,
		"Fill of all materials": wholeNet, "Over": wholeArea, "Mass in place": mortarNet*2000 + toppingNet*2400,
		"Unit weight": (mortarNet*2000 + toppingNet*2400) / wholeNet, "Mean load": (mortarNet*2000 + toppingNet*2400) / wholeArea}
	for name, v := range lines {
		want[name] = v
	}
	got := figuresOf(r.h.takeoffTable(), 1)
	// The allowance in percent and in m³ bear one name: by hand the second is compared.
	agree(t, "take-off", got, want)
	if math.Ceil(need/0.1)*0.1-1.7 > 1e-9 || bags != 19 {
		t.Errorf("by hand %g m³ and %d bags: not what the comment says", need, bags)
	}
}

// The order line by line in the record and on the terminal: each line is its value to the nearest
// hundredth of a m³. As shown they add up to 1.64 of 1.63 needed, and both places say why.
func TestOrderLinesByHand(t *testing.T) {
	r := runText(t, handJob)
	lines, need := orderByHand()
	lines["Net"], lines["Needed"], lines["Rounded up"], lines["To order"] = toppingNet, need, 1.7-need, 1.7
	list := tableOf(t, recordSection(t, r.h, "Take-off").Tables, "The order line by line")
	rows := cellsOf(list)
	for _, row := range rows {
		v := 0.0
		if _, err := fmt.Sscanf(row[1], "%f m³", &v); err != nil {
			t.Fatalf("%q: %v", row, err)
		}
		if w, ok := lines[row[0]]; !ok || math.Abs(v-w) > 0.005+1e-9 {
			t.Errorf("%s is shown as %g, by hand %g (%t)", row[0], v, w, ok)
		}
		if row[0] != "Needed" && row[0] != "To order" {
			if line := fmt.Sprintf("%s %s: %s\n", row[1], row[0], row[2]); !strings.Contains(strings.Join(strings.Fields(r.terminal), " "), strings.TrimSpace(line)) {
				t.Errorf("the terminal does not show %q", line)
			}
		}
	}
	if len(rows) != len(lines) {
		t.Errorf("%d lines, by hand %d", len(rows), len(lines))
	}
	if !slices.Contains(list.Notes, roundedLines) || !strings.Contains(r.terminal, roundedLines) {
		t.Errorf("the rounding is not explained: %q\n%s", list.Notes, r.terminal)
	}
}

// Which material serves which depth, what it weighs and what is bought of it.
func TestMaterialsByHand(t *testing.T) {
	r := runText(t, handJob)
	volume, bags := mortarByHand()
	parts := r.h.partTable()
	if len(parts.Rows) != 2 {
		t.Fatalf("%d parts, want 2", len(parts.Rows))
	}
	for i, want := range [][]float64{{20, 40, mortarArea, mortarNet, 2000, mortarNet * 2000}, {40, 100, toppingArea, toppingNet, 2400, toppingNet * 2400}} {
		row := parts.Rows[i]
		for k, c := range []table.Cell{row[0], row[1], row[4], row[5], row[6], row[7]} {
			if !c.Number || math.Abs(c.Value-want[k]) > 1e-6*want[k] {
				t.Errorf("%s, figure %d: %.9g, by hand %g", row[2].Text, k+1, c.Value, want[k])
			}
		}
	}
	buy := tableOf(t, recordSection(t, r.h, "Take-off").Tables, "Materials to buy")
	want := [][]string{
		{"topping", "18.00 m²", "1.26 m³", "2400 kg/m³", "3,020 kg", "1.70 m³", "by volume", "255.00 euros"},
		{"mortar", "6.00 m²", "0.18 m³", "2000 kg/m³", "360 kg", fmt.Sprintf("%.2f m³", volume), fmt.Sprint(bags), fmt.Sprintf("%d.00 euros", 9*bags)},
		{"Together", "24.00 m²", "1.44 m³", "", "3,380 kg", "", "", fmt.Sprintf("%d.00 euros", 255+9*bags)},
	}
	if got := cellsOf(buy); !slices.EqualFunc(got, want, slices.Equal) {
		t.Errorf("to buy %q, by hand %q", got, want)
	}
}

// By hand at 3 m³ an hour: 1 m³ is placed in 20 min, the other 0.7 m³ in 14. Trucks are
// batched 20 min before they arrive. In 10 min 0.5 m³ are placed: 1.7 m³ need 4 bays.
func TestClockByHand(t *testing.T) {
	r := runText(t, handJob)
	clocks, lines := r.h.clockTable()
	want := [][]string{
		{"1", "1.00 m³", "−0:20", "0:00", "0:00", "0:20", "0 min", "0 min", "1, 2, 3"},
		{"2", "0.70 m³", "0:00", "0:20", "0:20", "0:34", "0 min", "0 min", "3, 4"},
	}
	if got := cellsOf(clocks); !slices.EqualFunc(got, want, slices.Equal) {
		t.Errorf("trucks %q, by hand %q", got, want)
	}
	for i, figures := range [][]string{{"3.00 m³", "takes 34 min", "ends 34 min"}, {"20 min"}, {"0.50 m³", " 10 min", "1.70 m³", " 4 bays"}} {
		for _, want := range figures {
			if !strings.Contains(lines[i], want) {
				t.Errorf("%q does not have %q", lines[i], want)
			}
		}
	}
	for d, want := range map[time.Duration]string{-90 * time.Minute: "−1:30", 0: "0:00", 125 * time.Minute: "2:05", 59*time.Minute + 31*time.Second: "1:00"} {
		if got := clock(d); got != want {
			t.Errorf("%v: %s, want %s", d, got, want)
		}
	}
	for d, want := range map[time.Duration]string{24 * time.Hour: "1 day", 20 * 24 * time.Hour: "20 days", 21 * 24 * time.Hour: "3 weeks", 22 * 24 * time.Hour: "4 weeks"} {
		if got := days(d); got != want {
			t.Errorf("%v: %s, want %s", d, got, want)
		}
	}
}

// By hand. Primer: 24 m² along the slope, twice, at 5 m² a litre, half of it water. Walls of
// 20 m: the west one takes 20 mm of fill, the east one 100, the others 60 on average, 1.2 m²
// together; film stands 50 mm above the fill. Foam of 5 mm beside 1.2 m². A joint of 6 m,
// 6 mm wide, with as much filler deep as wide.
func TestSuppliesByHand(t *testing.T) {
	all := runText(t, handJob).h.supplySection().Tables
	mixed := 2 * wholeArea * alongRamp / 5
	agree(t, "primer", figuresOf(tableOf(t, all, "Coat: primer"), 1), map[string]float64{"Old floor (m²)": wholeArea * alongRamp, "Coats": 2, "Mixed (L)": mixed, "Product (L)": mixed / 2, "Water (L)": mixed / 2, "Packs": 1, "Cost (euros)": 30})
	faces := 4*0.020 + 4*0.100 + 2*6*0.060
	agree(t, "walls", figuresOf(tableOf(t, all, "Along the walls"), 1), map[string]float64{"Walls and columns (m)": 20, "Film, height (mm)": 150, "Film, length (m)": 21, "Film, area (m²)": faces + 20*0.050, "Film, rolls": 1,
		"Foam strip, height (mm)": 100, "Foam strip, length (m)": 20, "Foam strip, pieces": 10, "Mix displaced (m³)": 0.005 * faces})
	agree(t, "joints", figuresOf(tableOf(t, all, "Movement joints carried through"), 1), map[string]float64{"Length (m)": 6, "Width (mm)": 6, "Joint, depth in the fill (mm)": 100, "Compressible strip (m)": 6, "Sealant (L)": 6 * 0.006 * 0.006 * 1000, "Packs": 1, "Backer rod, under the sealant (m)": 6})
}

// By hand: concrete of 2400 kg/m³ works on the 18 m² from 40 mm, 70 mm on average and 100 at
// most; mortar of 2000 kg/m³ on the other 6, 30 and 40 mm, 0.18 m³ in bags of 12 L.
func TestWaysByHand(t *testing.T) {
	one := tableOf(t, recordSection(t, runText(t, handJob).h, "Ways to fill, compared").Tables, "Ways compared")
	for column, want := range map[int]map[string]float64{
		2: {"full-depth concrete": toppingArea, "bagged underlayment": mortarArea},
		3: {"full-depth concrete": 0.070 * 2400, "bagged underlayment": 0.030 * 2000},
		4: {"full-depth concrete": 0.100 * 2400, "bagged underlayment": 0.040 * 2000},
		5: {"full-depth concrete": toppingNet * 150, "bagged underlayment": math.Ceil(mortarNet/0.012-1e-9) * 9},
	} {
		agree(t, one.Columns[column].Name, figuresOf(one, column), want)
	}
	for _, row := range cellsOf(one) {
		if row[0] == "light fill with a cap" && (row[1] != "works nowhere on this floor as a whole" || row[2] != "—") {
			t.Errorf("a way that works nowhere has figures: %q", row)
		}
	}
}

// By hand: 0.18 × 2000 + 1.26 × 2400 kg over 24 m², at most 100 mm of topping; 1 kg weighs
// 9.80665 N.
func TestWeightByHand(t *testing.T) {
	mass := mortarNet*2000 + toppingNet*2400
	text := strings.Join(recordSection(t, runText(t, handJob).h, "Weight").Text, " ")
	for _, want := range []string{"3.4 t in place", fmt.Sprintf("%.0f kg/m² on average", mass/wholeArea), "240 kg/m² at the deepest", fmt.Sprintf("%.2f and %.2f kPa", mass/wholeArea*9.80665/1000, 240*9.80665/1000)} {
		if !strings.Contains(text, want) {
			t.Errorf("want %q in %q", want, text)
		}
	}
}

// A pin marks the depth where it is: 20 + 80·x/6 mm. Pins along the walls are 200 mm from
// them.
func TestPinsByHand(t *testing.T) {
	h := runText(t, handJob).h
	list := h.pinTable(false)
	column := func(name string) int {
		return slices.IndexFunc(list.Columns, func(c table.Column) bool { return c.Name == name })
	}
	x, floor, depth, height := column("x"), column("old floor"), column("depth"), column("height of mark")
	if len(list.Rows) < 12 {
		t.Fatalf("%d pins", len(list.Rows))
	}
	nearest := math.Inf(1)
	for i, row := range list.Rows {
		want := 1000 * depthAt(row[x].Value)
		nearest = min(nearest, row[x].Value)
		if math.Abs(row[depth].Value-want) > 1e-6 || math.Abs(row[floor].Value+want/1000) > 1e-6 {
			t.Errorf("%s: %g mm below the target, the floor at %g m; by hand %g mm", row[0].Text, row[depth].Value, row[floor].Value, want)
		}
		if mark := math.Floor(want + 1e-6); math.Abs(row[height].Value-mark) > 1e-6 || h.mark(h.Pins.Pins[i]) != fmt.Sprintf("%g mm", mark) {
			t.Errorf("%s: mark at %g mm, %s; by hand %g", row[0].Text, row[height].Value, h.mark(h.Pins.Pins[i]), mark)
		}
	}
	if nearest != 0.2 {
		t.Errorf("the pins nearest to the west wall are %g m from it, want 0.2", nearest)
	}
}

// A bay from a to b m from the west wall has 4·(b−a) m² and the mean of its two depths; as
// shown they add up to the whole, so that one may be a digit off. A dam is as high as the fill
// beside it.
func TestBaysByHand(t *testing.T) {
	h := runText(t, handJob).h
	from := 0.0
	for i, bay := range h.Bays.Bays {
		to := 6.0
		if i < len(h.Bays.Dams) {
			to = h.Bays.Dams[i].From.X
		}
		area, volume := 4*(to-from), 4*(to-from)*(depthAt(from)+depthAt(to))/2
		row := h.bayTable().Rows[i]
		if math.Abs(row[1].Value-area) > 0.051 || math.Abs(row[2].Value-volume) > 0.0101 || bay.Fill.Fill > 0.5+1e-9 {
			t.Errorf("bay %d: %g m², %g m³ of %g; by hand %g and %g", i+1, row[1].Value, row[2].Value, bay.Fill.Fill, area, volume)
		}
		if i < len(h.Bays.Dams) {
			if want := fmt.Sprintf("4.000 m long, %.0f mm high, %.3f m from the west end", 1000*depthAt(to), to); !strings.Contains(row[5].Text, want) {
				t.Errorf("bay %d: %q, by hand %q", i+1, row[5].Text, want)
			}
		}
		from = to
	}
	if len(h.Bays.Bays) < 4 {
		t.Errorf("%d bays, want 4 or more: 0.5 m³ each at most", len(h.Bays.Bays))
	}
}

// Every millimetre of the ramp has the same share of the floor.
func TestSharesByDepthByHand(t *testing.T) {
	h := runText(t, handJob).h
	g := h.histogram()
	all := 0.0
	for i, v := range g.Shares {
		from := 1000 * (g.From + float64(i)*g.Step) // mm
		want := (min(from+1000*g.Step, 100) - max(from, 20)) / 80
		if all += v; math.Abs(v-max(0, want)) > 1e-9 {
			t.Errorf("from %g mm: a share of %g, by hand %g", from, v, want)
		}
	}
	// From 20 to 100 mm, 2 mm each: the max depth is the end of the last bar and opens no other.
	if math.Abs(all-1) > 1e-9 || len(g.Shares) != 40 {
		t.Errorf("%d shares, %g together", len(g.Shares), all)
	}
	for _, row := range bandTable(h.BandsIn(h.Style.Imperial), h.Style).Rows {
		from, to := row[0].Value/1000, row[1].Value/1000
		area := (to - from) / 0.080 * wholeArea
		if math.Abs(row[2].Value-area) > 1e-6 || math.Abs(row[3].Value-area*(from+to)/2) > 1e-6 {
			t.Errorf("%g to %g m: %g m² and %g m³, by hand %g and %g", from, to, row[2].Value, row[3].Value, area, area*(from+to)/2)
		}
	}
}

// The three figures at the head of the record.
func TestSummaryByHand(t *testing.T) {
	s := recordSection(t, runText(t, handJob).h, "Summary")
	want := []sheet.Figure{{Value: "1.70 m³ + 19 bags", Name: "to order: topping + mortar"}, {Value: "1.44 m³", Name: "fill, over 24.00 m²"}, {Value: "20 mm to 100 mm", Name: "depth, mean 60 mm"}}
	if !slices.Equal(s.Figures, want) {
		t.Errorf("%v, by hand %v", s.Figures, want)
	}
}
