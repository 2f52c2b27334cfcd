package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// valley is a floor of 6 × 4 m that falls from 6 mm above 0 at the west and the east wall to
// 6 mm below it in the middle: 4 mm a metre.
func valley() fstest.MapFS {
	var shots bytes.Buffer
	fmt.Fprintln(&shots, "point,x (m),y (m),z (m)")
	for i := range 13 {
		for k := range 9 {
			fmt.Fprintf(&shots, "%d,%g,%g,%.6f\n", 100+9*i+k, 0.5*float64(i), 0.5*float64(k), 0.004*math.Abs(0.5*float64(i)-3)-0.006)
		}
	}
	return fstest.MapFS{"v.csv": {Data: shots.Bytes()}, "walls.csv": {Data: []byte("part,ring,x_m,y_m\nroom,outer,0,0\nroom,outer,6,0\nroom,outer,6,4\nroom,outer,0,4\n")}}
}

func valleyJob() *job.Job {
	return &job.Job{Survey: job.Survey{Files: []string{"v.csv"}, Outline: "walls.csv"}, Target: job.Target{Elevation: "0m"},
		Flatness: job.Flatness{Tolerance: "3mm", Straightedges: []string{"2m"}}}
}

func judgedValley(t *testing.T) *job.Judged {
	t.Helper()
	j, err := job.Judge(valleyJob(), job.FlatOptions{LeastArea: 0.01}, valley(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// figuresIn compares numbers of a JSON with figures worked out by hand, by their paths.
func figuresIn(t *testing.T, v any, want map[string]float64) {
	t.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var all any
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	for path, w := range want {
		if got, ok := follow(all, path); !ok || math.Abs(got-w) > 1e-6*max(1, math.Abs(w)) {
			t.Errorf("%s: %.9g (%t), by hand %.9g", path, got, ok, w)
		}
	}
}

// By hand: departures are spread evenly from −6 to 6 mm, so half the floor is within ±3, and
// their root mean square is 6/√3 mm. A straightedge of 2 m across the valley stands 1 m out on
// either side: 4 mm. 750 mm along each wall are more than 3 mm high, by 1.5 on average: twice
// 3 m² and 4.5 L; as much is too low. 3 mm higher nothing is too high, and the 12 m² below 0
// take 3 mm on average, 36 L.
func TestValleyByHand(t *testing.T) {
	j := judgedValley(t)
	var text strings.Builder
	for _, r := range flatRows(j, metric, true) {
		fmt.Fprintf(&text, "%s: %s\n", r.Head, r.Text)
	}
	for _, want := range []string{
		"highest 6.0 mm above at ", "lowest 6.0 mm below at 3.000 m from west wall",
		"50.0 % of 24.00 m² within ±3.0 mm (90 % range 45.5 to 50.4 %); root mean square " + fmt.Sprintf("%.2f mm", 6/math.Sqrt(3)),
		"2.000 m: largest gap 4.0 mm (90 % range 1.2 mm to 5.3 mm), from west 2.000 m, ", " to west 4.000 m, ",
		"grind 6.00 m² of floor (9.0 L), fill 6.00 m² (9.0 L)", "3.0 mm higher nothing needs grinding, and the lows take 36 L", "9.0 mm below it",
	} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("%q is not in\n%s", want, text.String())
		}
	}
	if got := figuresOf(placesTable(j, metric), 4); len(got) != 0 {
		t.Errorf("areas are texts, with %v as numbers", got)
	}
	var places [][]string
	for _, row := range cellsOf(placesTable(j, metric)) {
		places = append(places, slices.Concat(row[:1], row[3:7]))
	}
	if want := [][]string{{"H1", "6.0 mm above", "3.00 m²", "4.5 L", "grind, 3 passes"}, {"H2", "6.0 mm above", "3.00 m²", "4.5 L", "grind, 3 passes"}, {"L3", "6.0 mm below", "6.00 m²", "9.0 L", "fill"}}; !slices.EqualFunc(places, want, slices.Equal) {
		t.Errorf("places %q, by hand %q", places, want)
	}
	figuresIn(t, NewFlat(j), map[string]float64{
		"straightedge.0.length_m": 2, "straightedge.0.max_gap_m": 0.004, "straightedge.0.from.0": 2, "straightedge.0.to.0": 4, "straightedge.0.low_at.0": 3,
		"departure.highest_m": 0.006, "departure.lowest_m": -0.006, "departure.lowest_at.0": 3, "departure.mean_m": 0, "departure.rms_m": 0.006 / math.Sqrt(3), "departure.tolerance_m": 0.003, "departure.within_share": 0.5,
		"departure.shots": 13 * 9,
	})
}

// The file of places has the same figures in metres, and the text for people in feet: 6 mm
// are 15/64 in, 3 m² are 32.3 ft².
func TestPlacesFileByHand(t *testing.T) {
	j := judgedValley(t)
	lines := strings.Split(strings.TrimSpace(string(Places(j, metric))), "\n")
	if len(lines) != 4 {
		t.Fatalf("%d lines, want a head and 3 places", len(lines))
	}
	head := strings.Split(lines[0], ",")
	for i, want := range []map[string]float64{{"x_m": 0, "off_plane_m": 0.006, "area_m2": 3, "volume_m3": 0.0045, "passes": 3}, {"x_m": 6, "off_plane_m": 0.006, "area_m2": 3, "volume_m3": 0.0045, "passes": 3}, {"x_m": 3, "off_plane_m": -0.006, "area_m2": 6, "volume_m3": 0.009}} {
		cells := strings.Split(lines[i+1], ",")
		for name, w := range want {
			k := slices.Index(head, name)
			if k < 0 {
				t.Fatalf("no column %s in %q", name, head)
			}
			if v, err := strconv.ParseFloat(cells[k], 64); err != nil || math.Abs(v-w) > 1e-4 {
				t.Errorf("%s of place %d: %q, by hand %g", name, i+1, cells[k], w)
			}
		}
	}
	if row := cellsOf(placesTable(j, feet))[0]; row[3] != `15/64" above` || row[4] != "32.3 ft²" {
		t.Errorf("in feet %q", row)
	}
}

// What a file holds: 117 shots 0.5 m apart on 24 m², one to 24/117 m²; from 6 mm below 0 to 6
// above, 12 apart.
func TestHoldingByHand(t *testing.T) {
	h, err := job.Hold(valleyJob(), job.HoldOptions{}, valley(), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	rows, more := holdingRows(h, metric, 5)
	var text strings.Builder
	for _, r := range rows {
		fmt.Fprintf(&text, "%s: %s\n", r.Head, r.Text)
	}
	for _, want := range []string{"Holds: 117 rows, 117 floor shots, 1 ring\n", "east 0.000 m to 6.000 m, north 0.000 m to 4.000 m", "floor -0.006 m to 0.006 m: 12 mm from lowest to highest", "Area: 24.00 m²", fmt.Sprintf("one to %.2f m²", 24.0/117), "Suspects: none"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("%q is not in\n%s", want, text.String())
		}
	}
	if len(more) != 0 {
		t.Errorf("%q is not listed", more)
	}
	figuresIn(t, NewHolding(h), map[string]float64{"rows": 117, "points": 117, "finished": 0, "drains": 0, "rings": 1, "area_m2": 24, "density.shots": 117})
}

// A level book by hand, in feet: BM 100.00 with a backsight of 4.32, 104.32; a shot of 5.10 at
// 99.22; a foresight of 6.02 on TP, 98.30; a backsight of 3.15 there, 101.45; and 1.47 on the
// BM at the end, 99.98, 0.02 low. Sums: 7.47 − 7.49.
func TestLevelBookByHand(t *testing.T) {
	const book = "setup,sight,point,rod [ft],elevation [ft]\n1,BS,BM,4.32,100.00\n1,IS,A,5.10,\n1,FS,TP,6.02,\n2,BS,TP,3.15,\n2,FS,BM,1.47,\n"
	s, err := job.OpenBook(&job.Job{Survey: job.Survey{Files: []string{"book.csv"}}}, "", fstest.MapFS{"book.csv": {Data: []byte(book)}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	p := &BookPage{S: s, B: s.Book, Style: LevelStyleOf(s, "")}
	rows := cellsOf(p.table())
	want := map[string][2]string{"BM": {"104.32", "100.00"}, "A": {"", "99.22"}, "TP": {"101.45", "98.30"}}
	for _, row := range rows {
		w, ok := want[row[1]]
		if !ok {
			continue
		}
		delete(want, row[1])
		same := func(text, want string) bool {
			a, errA := strconv.ParseFloat(text, 64)
			b, errB := strconv.ParseFloat(want, 64)
			return text == want || errA == nil && errB == nil && math.Abs(a-b) < 0.0006
		}
		if !same(row[5], w[0]) || !same(row[len(row)-1], w[1]) {
			t.Errorf("%q, by hand the line of sight at %s and the point at %s", row, w[0], w[1])
		}
	}
	if len(want) > 0 || len(rows) != 4 {
		t.Errorf("rows %q; without %v", rows, want)
	}
	const ft = 0.3048
	figuresIn(t, NewReduction(s), map[string]float64{"setups.0.hi_m": 104.32 * ft, "setups.1.hi_m": 101.45 * ft, "benchmarks.0.elevation_m": 100 * ft, "misclosure_m": -0.02 * ft,
		"checks.sum_bs_m": 7.47 * ft, "checks.sum_fs_m": 7.49 * ft, "checks.last_minus_first_m": -0.02 * ft})
}

// By hand on 6 × 4 m with 50 mm to the walls: bars of 5.9 m at up to 1 m over 3.9 m are 5, of
// 3.9 m over 5.9 m 7. A stock bar of 6 m gives one of either. 10 mm of steel at 7850 kg/m³
// weigh 0.6165 kg a metre; lists round to 0.617.
func TestBarsByHand(t *testing.T) {
	r := runText(t, strings.Replace(ramp, "0m", "60mm", 1)+"[site]\nbearing = \"ground\"\n[bars]\nsize = \"10\"\nspacing = \"1m\"\nedge-cover = \"50mm\"\ntop-cover = \"20mm\"\nbottom-cover = \"20mm\"\n")
	perMetre := math.Pi / 4 * 0.010 * 0.010 * 7850
	cuts := r.h.cutSheet()
	for column, want := range map[int]map[string]float64{
		1: {"X1": 5, "Y1": 7, "Together": 12}, 2: {"X1": 5.9, "Y1": 3.9}, 3: {"X1": 5 * 5.9, "Y1": 7 * 3.9, "Together": 5*5.9 + 7*3.9},
	} {
		agree(t, cuts.Columns[column].Name, figuresOf(cuts, column), want)
	}
	for name, metres := range map[string]float64{"X1": 29.5, "Y1": 27.3, "Together": 56.8} {
		if got := figuresOf(cuts, 4)[name]; math.Abs(got/(metres*perMetre)-1) > 0.002 {
			t.Errorf("%s weighs %g kg, by hand %g", name, got, metres*perMetre)
		}
	}
	if text := strings.Join(recordSection(t, r.h, "Reinforcement").Text, " "); !strings.Contains(text, "12 bars of 10 mm") || !strings.Contains(text, "57 m in all") || !strings.Contains(text, "cut from 12 stock bars of 6.000 m (44 kg)") {
		t.Errorf("%q", text)
	}
	// In feet a sheet also gives the lengths as on a tape, and a sum of 186.31 ft in whole feet.
	// 5.9 m are 19'-4 9/32", cut to 19'-4 1/4".
	inFeet := runText(t, "show = \"feet\"\n"+strings.Replace(ramp, "0m", "60mm", 1)+"[site]\nbearing = \"ground\"\n[bars]\nsize = \"10\"\nspacing = \"1m\"\nedge-cover = \"50mm\"\ntop-cover = \"20mm\"\nbottom-cover = \"20mm\"\n").h.cutSheet()
	if x1, sum := inFeet.Rows[0], inFeet.Rows[2]; x1[5].Text != `19'-4 1/4"` || x1[3].Text != `96'-9 1/4"` || sum[3].Text != "186 ft" {
		t.Errorf("%v, %v", x1, sum)
	}
	// Chairs: a lower bar hangs 20 mm and two bars below the target. They are at the middles of
	// 6 equal parts of 5.9 m, rounded down to 5 mm, 5 of each.
	want := map[float64]float64{}
	for i := range 6 {
		x := 0.05 + 5.9*(float64(i)+0.5)/6
		want[math.Floor((1000*(depthAt(x)+0.060)-20-20)/5)*5] += 5
	}
	chairs := r.h.chairTable()
	got := map[float64]float64{}
	for _, row := range chairs.Rows {
		got[row[0].Value] = row[1].Value
	}
	for height, n := range want {
		if got[height] != n {
			t.Errorf("%g chairs of %g mm, by hand %g", got[height], height, n)
		}
	}
	if len(got) != len(want) {
		t.Errorf("chairs %v, by hand %v", got, want)
	}
}

// One unit of each column and row, in SI. International foot and pound; gallons of 231 in³.
var inSI = map[string]float64{
	"m": 1, "mm": 0.001, "m²": 1, "m³": 1, "kg": 1, "kg/m³": 1, "kg/m²": 1, "L": 0.001, "%": 0.01, "": 1, "euros": 1,
	"ft": 0.3048, "in": 0.0254, "ft²": 0.3048 * 0.3048, "yd³": 0.9144 * 0.9144 * 0.9144, "lb": 0.45359237, "lb/ft³": 0.45359237 / (0.3048 * 0.3048 * 0.3048), "lb/ft²": 0.45359237 / (0.3048 * 0.3048), "gal": 231 * 0.0254 * 0.0254 * 0.0254,
	"euros per m³": 1, "euros per yd³": 1 / (0.9144 * 0.9144 * 0.9144),
}

// siOf are the figures of a table in SI, by row and column.
func siOf(t *testing.T, one table.Table) map[string]float64 {
	t.Helper()
	out := map[string]float64{}
	for i, row := range one.Rows {
		for k, c := range row {
			if !c.Number {
				continue
			}
			u := one.Columns[k].Unit
			if k+1 < len(row) && one.Columns[k+1].Name == "Unit" {
				u = row[k+1].Text
			}
			if _, after, ok := strings.Cut(row[0].Text, " ("); ok && k == 1 {
				u = strings.TrimSuffix(after, ")")
			}
			per, ok := inSI[u]
			if !ok {
				t.Errorf("%s, %s: what is %q?", one.Title, row[0].Text, u)
			}
			if c.Whole && (u == "ft" || u == "m") {
				continue // sold by the foot or metre: rounded up
			}
			out[fmt.Sprintf("%s, row %d, column %d", one.Title, i+1, k+1)] = c.Value * per
		}
	}
	return out
}

// The workbook in feet has the figures of the one in metres, each in the unit beside it.
func TestWorkbookIsTheSameInFeet(t *testing.T) {
	books := func(show string) map[string]float64 {
		h := runText(t, show+handJob).h
		out := map[string]float64{}
		for _, one := range slices.Concat([]table.Table{h.takeoffTable(), h.partTable()}, h.waysSection().Tables[:1], h.supplySection().Tables[:2]) {
			for name, v := range siOf(t, one) {
				out[name] = v
			}
		}
		return out
	}
	metres, inFeet := books(""), books("show = \"feet\"\n")
	if len(metres) < 60 || len(metres) != len(inFeet) {
		t.Fatalf("%d figures in metres, %d in feet", len(metres), len(inFeet))
	}
	for name, v := range metres {
		if w, ok := inFeet[name]; !ok || math.Abs(v-w) > 1e-6*max(0.001, math.Abs(v)) {
			t.Errorf("%s: %.9g in metres, %.9g in feet (%t)", name, v, w, ok)
		}
	}
}

// The factors in formulas of the workbook: a depth over an area is a volume, and so is the
// bore of a line over its length.
func TestFactorsOfFormulas(t *testing.T) {
	for _, u := range []unit.Style{metric, feet} {
		m := measuresOf(u)
		factor := func(text string) float64 {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		for name, c := range map[string][2]float64{
			"depth × area ÷ layer": {m.thin * m.area, m.volume / factor(m.layer)},
			"(bore ÷ b)² × length": {m.thin * m.thin * m.long, m.volume / (factor(m.bore) * factor(m.bore) * factor(m.line))},
			"volume × weight":      {m.volume * m.weight, m.mass * factor(m.each)},
		} {
			if math.Abs(c[0]/c[1]-1) > 1e-9 {
				t.Errorf("imperial %t, %s: %g, want %g", u.Imperial, name, c[0], c[1])
			}
		}
	}
}
