package report

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/plot/table"
	"pourplane/survey/unit"
)

// byName are the rows of a table by their first cell, the others joined.
func byName(one table.Table) map[string]string {
	out := map[string]string{}
	for _, row := range cellsOf(one) {
		out[row[0]] = strings.Join(row[1:], " | ")
	}
	return out
}

// halfMetre is 12 m³ on 24 m², without an allowance, in trucks of 6 m³ at 12 m³ an hour: half an hour
// each.
const halfMetre = ramp + "[mix]\nallowance-percent = 0\norder-step = \"1m3\"\n[plant]\ntruck = \"6m3\"\n[pace]\nplacing-m3-per-hour = 12\ntravel = \"25min\"\n"

// Trucks by hand. Batched 25 min before they arrive. One that comes 20 min after the first waits 10
// min for it to be empty; one that comes after 45 min finds the crew idle for 15. With 40 min from
// batching to empty the first has until 0:15, when 3 m³ are out; one that comes after 10 min is batched
// at −0:15, and full at 0:25.
func TestTrucksByHand(t *testing.T) {
	for keys, want := range map[string][]string{
		"":                            {"6.00 m³ | −0:25 | 0:00 | 0:00 | 0:30 | 0 min | 0 min", "6.00 m³ | 0:05 | 0:30 | 0:30 | 1:00 | 0 min | 0 min"},
		"truck-spacing = \"20min\"\n": {"6.00 m³ | −0:25 | 0:00 | 0:00 | 0:30 | 0 min | 0 min", "6.00 m³ | −0:05 | 0:20 | 0:30 | 1:00 | 10 min | 0 min"},
		"truck-spacing = \"45min\"\n": {"6.00 m³ | −0:25 | 0:00 | 0:00 | 0:30 | 0 min | 0 min", "6.00 m³ | 0:20 | 0:45 | 0:45 | 1:15 | 0 min | 15 min"},
		// 15 of the 40 min are left on site: loads of 3 m³, each empty as its limit comes.
		"truck-spacing = \"20min\"\ndischarge = \"40min\"\n": {"3.00 m³ | −0:25 | 0:00 | 0:00 | 0:15 | 0 min | 0 min", "3.00 m³ | −0:05 | 0:20 | 0:20 | 0:35 | 0 min | 5 min", "3.00 m³ | 0:15 | 0:40 | 0:40 | 0:55 | 0 min | 5 min", "3.00 m³ | 0:35 | 1:00 | 1:00 | 1:15 | 0 min | 5 min"},
		// So close that even those would wait past it: full loads stay.
		"truck-spacing = \"10min\"\ndischarge = \"40min\"\n": {"6.00 m³ | −0:25 | 0:00 | 0:00 | 0:30 | 0 min | 0 min | 3.00 m³", "6.00 m³ | −0:15 | 0:10 | 0:30 | 1:00 | 20 min | 0 min | 6.00 m³"},
	} {
		h := handed(t, halfMetre+keys, floorIn("m", 6, 4, 1, levelAt(-0.5)))
		clocks, lines := h.clockTable()
		got := byName(clocks)
		for i, row := range want {
			if len(got) != len(want) || got[fmt.Sprint(i+1)] != row {
				t.Errorf("%q: %q, by hand %q", keys, got, want)
				break
			}
		}
		ends := "ends 1 h"
		if strings.Contains(keys, "45") || len(want) == 4 {
			ends = "ends 1 h 15 min"
		}
		saidIn(t, strings.Join(lines, "\n"), "At 12.00 m³ an hour placing takes 1 h", ends, "25 min from batching to arrival")
	}
}

// The same clock in feet: 240 ft² of 1.125 ft are 270 ft³, 10 yd³, placed at 20 an hour in half an hour;
// two trucks of 6 yd³ take 18 and 12 min. 6 yd³ in 18 min of working time: two bays or more.
func TestTrucksInFeetByHand(t *testing.T) {
	h := handed(t, halfFeet, floorIn("ft", 20, 12, 2, levelAt(-1.125)))
	clocks, lines := h.clockTable()
	got := byName(clocks)
	if got["1"] != "6.00 yd³ | −0:30 | 0:00 | 0:00 | 0:18 | 0 min | 0 min | 1, 2" || got["2"] != "4.00 yd³ | −0:12 | 0:18 | 0:18 | 0:30 | 0 min | 0 min | 2" {
		t.Errorf("%q", got)
	}
	saidIn(t, strings.Join(lines, "\n"), "At 20.00 yd³ an hour placing takes 30 min", "6.00 yd³ can be placed in the working time of 18 min after it leaves the truck, screeding and floating included: the pour of 10.00 yd³ needs 2 bays or more")
	figuresIn(t, numbersOf(t, h), map[string]float64{"clock.placing_min": 30, "clock.ends_min": 30, "clock.trucks.1.batched_min": -12, "clock.trucks.1.volume_m3": 4 * 0.764554857984, "order.order_yd3": 10})
}

const halfFeet = "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"0ft\"\n[mix]\nallowance-percent = 0\nunit-weight-lbft3 = 160\n[plant]\ntruck = \"6yd3\"\n[pace]\nplacing-yd3-per-hour = 20\nworking-time = \"18min\"\n"

// Weights by hand in feet: 270 ft³ at 160 lb/ft³ are 43,200 lb, 180 lb/ft² on each of the 240 ft².
// In metres the same is 43,200 × 0.45359237 kg, 8.62 kPa at 9.80665 m/s².
func TestWeightInFeetByHand(t *testing.T) {
	h := handed(t, halfFeet, floorIn("ft", 20, 12, 2, levelAt(-1.125)))
	saidIn(t, strings.Join(h.weightSection().Text, "\n"), "The fill weighs 43,200 lb in place, at 160 lb/ft³: 180.0 lb/ft² on average over what is filled, 180.0 lb/ft² at the deepest.", "not kPa")
	agree(t, "take-off", figuresOf(h.takeoffTable(), 1), map[string]float64{"Net volume": 10, "Filled area": 240, "Mass in place": 43200, "Mean load": 180, "Unit weight": 160, "To order": 10, "Last truck": 4})
	h = handed(t, "show = \"metric\"\n"+halfFeet, floorIn("ft", 20, 12, 2, levelAt(-1.125)))
	saidIn(t, strings.Join(h.weightSection().Text, "\n"), "The fill weighs 19.6 t in place, at 2563 kg/m³: 879 kg/m² on average", "That is 8.62 and 8.62 kPa.")
}

// Bays by hand in feet: 2 in of fill at the west wall and 6 in at the east one, 20 ft off, 12 ft wide. Of
// two strips of 10 ft the west one is 3 in deep on average, 120 ft² × 1/4 ft = 30 ft³, the east one
// 5 in, 50 ft³; together 80 ft³, 2.96 yd³. With 5 % that is 1.94 and 1.17, and 3.25 yd³ are ordered:
// 0.14 of rounding up are with the last, 1.31. One truck brings both. The dam between is 4 in high.
func TestBaysInFeetByHand(t *testing.T) {
	wedge := floorIn("ft", 20, 12, 2, func(x, _ float64) float64 { return -(2 + 4*x/20) / 12 })
	h := handed(t, "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"0ft\"\n[bays]\nwidth = \"10ft\"\n[site]\nexit = \"0ft,0ft\"\n", wedge)
	got := byName(h.bayTable())
	if !strings.HasPrefix(got["1"], `120.0 | 1.85 | 1.94 | 1 | A: 12'-0" long, 4" high, 10'-0" from the west end | 2`) || got["2"] != "120.0 | 1.11 | 1.31 | 1 | A: set for bay 1 | 1" || !strings.HasPrefix(got["Together"], "240.0 | 2.96 | 3.25") {
		t.Errorf("%q", got)
	}
	figuresIn(t, numbersOf(t, h), map[string]float64{"bays.0.fill_m3": 50 * 0.028316846592, "bays.1.fill_m3": 30 * 0.028316846592, "bays.1.area_m2": 120 * 0.09290304, "dams.0.height_max_m": 4 * 0.0254, "dams.0.length_m": 12 * 0.3048})
}

// Ways by hand on 24 m² of 310 mm. Concrete alone: 7.44 m³ at 2400 kg/m³. A cap of 75 mm on light fill:
// 75 × 2.4 + 235 × 0.6 = 321 kg/m². Foam comes in boards of 25 mm: nine, 225 mm, under a cap of 85, 204
// + 225 × 0.0216 = 208.86 kg/m². A frame is 12 lb/ft², 58.6 kg/m². No leveller is laid that deep.
func TestDeepWaysByHand(t *testing.T) {
	const ways = "[mix]\nprice-per-m3 = 150\nunit-weight-kgm3 = 2400\n[outputs]\nways = true\n"
	for show, square := range map[string]float64{"": 1, "show = \"feet\"\n": 0.45359237 / 0.09290304} {
		h := handed(t, show+ramp+ways, floorIn("m", 6, 4, 1, levelAt(-0.31)))
		one := tableOf(t, h.waysSection().Tables, "Ways compared")
		for _, column := range []int{3, 4} {
			agree(t, one.Columns[column].Name, figuresOf(one, column), map[string]float64{"full-depth concrete": 744 / square, "light fill with a cap": 321 / square, "rigid foam with a cap": 208.86 / square, "framing over": 12 * 0.45359237 / 0.09290304 / square})
		}
		agree(t, "cost", figuresOf(one, 5), map[string]float64{"full-depth concrete": 7.44 * 150})
		text := byName(one)
		saidIn(t, text["bagged underlayment"], "works nowhere on this floor as a whole")
		if show == "" {
			saidIn(t, text["light fill with a cap"], "concrete cap 75 mm: 1.80 m³ at 2400 kg/m³", "light fill 235 mm: 5.64 m³ at 600 kg/m³")
			saidIn(t, text["rigid foam with a cap"], "concrete cap 85 mm: 2.04 m³", "rigid foam 225 mm: 5.40 m³ at 21.6 kg/m³")
		}
	}
}

// Two materials by hand, in feet. The wedge is 2 to 6 in deep; mortar serves it to 4 in, 10 ft: 120 ft²
// of 3 in, 30 ft³, the topping the other 50. Mortar with 10 %: 33 ft³ in bags of 0.5 ft³ are 66, at
// 12.00 each; the topping with 10 %: 55 ft³, 2.037 yd³, ordered as 2.25 at 160.00.
func TestTwoMaterialsInFeetByHand(t *testing.T) {
	wedge := floorIn("ft", 20, 12, 2, func(x, _ float64) float64 { return -(2 + 4*x/20) / 12 })
	h := handed(t, "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"0ft\"\n[mix]\nallowance-percent = 10\ncurrency = \"dollars\"\n"+
		"[[materials]]\nname = \"mortar\"\nbag-yield = \"0.5ft3\"\ngreatest = \"4in\"\nprice-per-bag = 12\nunit-weight-lbft3 = 120\n[[materials]]\nname = \"topping\"\nleast = \"4in\"\nprice-per-yd3 = 160\nunit-weight-lbft3 = 150\n", wedge)
	agree(t, "take-off", figuresOf(h.takeoffTable(), 1), map[string]float64{
		"Net volume": 50.0 / 27, "Filled area": 120, "Needed": 55.0 / 27, "To order": 2.25, "Order step": 0.25, "Price of the mix": 160, "Cost of the mix": 360,
		"mortar, net": 30.0 / 27, "mortar, area": 120, "mortar, needed": 33.0 / 27, "mortar, yield of a bag": 0.5 / 27, "mortar, bags": 66, "mortar, cost": 792,
		"Fill of all materials": 80.0 / 27, "Over": 240, "Mass in place": 30*120 + 50*150, "Mean load": (30*120 + 50*150) / 240.0, "Unit weight": (30*120 + 50*150) / 80.0})
	rows := cellsOf(tableOf(t, h.serviceTables(), "Materials to buy"))
	for i, want := range [][]string{
		{"mortar", "120.0 ft²", "1.11 yd³", "120 lb/ft³", "3,600 lb", "1.22 yd³", "66", "792.00 dollars"},
		{"topping", "120.0 ft²", "1.85 yd³", "150 lb/ft³", "7,500 lb", "2.25 yd³", "by volume", "360.00 dollars"},
		{"Together", "240.0 ft²", "2.96 yd³", "", "11,100 lb", "", "", "1,152.00 dollars"},
	} {
		if i >= len(rows) || !slices.Equal(rows[i], want) {
			t.Errorf("%q, by hand %q", rows, want)
			break
		}
	}
}

// The rod on a mark from today's set-up, by hand: a reading is the line of sight less what it stands on, so
// on the fill it is the reading on the benchmark and the difference of the two elevations, rounded up to
// a millimetre so that no fill is above the target. That falls 1 % to the east.
func TestRodsOfPinsByHand(t *testing.T) {
	for _, bm := range []float64{0.200, -0.100, 0.0336} {
		shots := "point,x (m),y (m),rod (m)\nBM1,,,1.3000\n"
		sight, n := bm+1.3, 100
		for x := range 7 {
			for y := range 5 {
				shots += fmt.Sprintf("%d,%d,%d,%.12f\n", n, x, y, sight+0.020+0.080*float64(x)/6)
				n++
			}
		}
		files := floorIn("m", 6, 4, 1, levelAt(-0.1))
		files["floor.csv"] = &fstest.MapFile{Data: []byte(shots + "BM1,,,1.3000\n")}
		text := strings.Replace(ramp, "[target]", fmt.Sprintf("benchmarks = { BM1 = \"%gm\" }\n[target]", bm), 1)
		const pins = "[pins]\nspacing = \"1.4m\"\n"
		h := handed(t, text+"fall = \"1%\"\ntoward = \"E\"\n"+pins, files)
		list := h.pinTable(true)
		k := slices.IndexFunc(list.Columns, func(c table.Column) bool { return c.Name == "Rod = BM1 +" })
		if k < 0 || len(list.Rows) < 12 {
			t.Fatalf("BM1 at %g: column %d of %v", bm, k, headsOf(list))
		}
		const today = 1.734 // m on the benchmark, any line of sight
		for i, row := range list.Rows {
			more, err := unit.Parse(strings.NewReplacer("+", "", "−", "-", " ", "").Replace(row[k].Text), unit.None)
			if err != nil {
				t.Fatal(err)
			}
			p := h.Pins.Pins[i]
			target := -0.010 * p.At.X
			foot := bm + today - (today + more)
			if foot > target+1e-6 || foot < target-0.001-1e-6 {
				t.Errorf("BM1 at %g: %s reads %q, which is %.4f m, by hand up to a millimetre below %.4f", bm, p.Name, row[k].Text, foot, target)
			}
		}
		// On a level fill: 200 mm more, 100 less, and 33.6 is 34 more.
		want := map[float64]string{0.2: "rod on BM1 + 200 mm", -0.1: "rod on BM1 − 100 mm", 0.0336: "rod on BM1 + 34 mm"}[bm]
		saidIn(t, strings.Join(handed(t, text+pins, files).rodTexts(), "\n"), want+", from the same set-up")
	}
}
