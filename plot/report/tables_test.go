package report

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

var (
	metric = unit.Style{}
	feet   = unit.Style{Imperial: true, Denominator: 16}
)

// cellsOf are the texts of a table, row by row.
func cellsOf(t table.Table) (rows [][]string) {
	for _, row := range t.Rows {
		var texts []string
		for j, c := range row {
			texts = append(texts, t.Columns[j].Show(c))
		}
		rows = append(rows, texts)
	}
	return rows
}

func headsOf(t table.Table) (heads []string) {
	for _, c := range t.Columns {
		heads = append(heads, c.Name)
	}
	return heads
}

// By hand: 24 m² that take 20 to 100 mm are 1.44 m³. The terminal, the page and the workbook
// have the same bands: their numbers add up to that, and every text of the terminal is on the
// page.
func TestBandsAreTheSameForEveryWriter(t *testing.T) {
	t.Parallel()
	r := runText(t, ramp)
	bands := bandTable(r.h.BandsIn(r.h.Style.Imperial), r.h.Style)
	area, volume := 0.0, 0.0
	page := r.page(t)
	for _, row := range bands.Rows {
		area, volume = area+row[2].Value, volume+row[3].Value
		for _, c := range row {
			if !strings.Contains(page, ">"+c.Text+"<") {
				t.Errorf("%q is not on the page", c.Text)
			}
		}
	}
	if math.Abs(area-24) > 1e-9 || math.Abs(volume-1.44) > 1e-9 {
		t.Errorf("the bands are %g m² and %g m³, want 24 and 1.44", area, volume)
	}
	sure := sureBandTable(r.h.Filled, r.h.Style)
	if same := sure.Pick(headsOf(bands)...); plain(same) != plain(bands) || !strings.Contains(r.terminal, "\n"+plainNotes(sure)) {
		t.Errorf("the terminal does not show\n%s", plainNotes(sure))
	}
	rows, err := r.book(t).GetRows("Depth bands")
	if err != nil {
		t.Fatal(err)
	}
	if i := slices.IndexFunc(rows, func(row []string) bool {
		return slices.Equal(row, []string{"Depth from (mm)", "To (mm)", "Area (m²)", "± area (m²)", "Volume (m³)", "± volume (m³)"})
	}); i < 0 || len(rows) < i+1+len(bands.Rows) || len(rows[i+len(bands.Rows)]) != 6 {
		t.Errorf("the workbook has %q, want heads with units and %d bands", rows, len(bands.Rows))
	}
	if bands.Notes != nil {
		t.Errorf("notes %q on a floor below the target", bands.Notes)
	}
}

func TestBandsAboveTheTargetHaveANote(t *testing.T) {
	f := surface.Fill{Bands: []surface.Band{{From: -0.01, To: 0, Area: 1, Volume: -0.005}, {From: 0, To: 0.01, Area: 1, Volume: 0.005}}}
	if got := bandTable(f.Bands, metric).Notes; len(got) != 1 || !strings.Contains(got[0], "above the target") {
		t.Errorf("notes %q, want what a negative depth is", got)
	}
}

// A level part is as deep as it is, no deeper, and a volume of two spoons is not none. All volumes
// of a table are in the unit of the largest: a column in yd³ with one row in ft³ is misread.
func TestBandOfOneDepthAndOfLittleVolume(t *testing.T) {
	bands := []surface.Band{{From: 0.001, To: 0.002, Area: 0.5, Volume: 0.00075}, {From: 0.2, To: 0.201, Area: 12, Volume: 2.4}}
	for _, c := range []struct {
		style unit.Style
		want  [2][2]string // to, and volume, of each
	}{
		{metric, [2][2]string{{"2 mm", "less than 0.01 m³"}, {"200 mm", "2.40 m³"}}},
		{unit.Style{Imperial: true}, [2][2]string{{"1/16\"", "less than 0.01 yd³"}, {"7 7/8\"", "3.14 yd³"}}},
	} {
		for i, row := range bandTable(bands, c.style).Rows {
			if got := [2]string{row[1].Text, row[3].Text}; got != c.want[i] {
				t.Errorf("band %d: %q, want %q", i, got, c.want[i])
			}
		}
	}
}

// By hand, a door at 10.020 m, fill to 10.000 m, tiles of 8 mm: room 20 mm, bed 12 mm.
func TestThresholdsShowWhatIsKnown(t *testing.T) {
	door := surface.Threshold{Point: survey.Point{X: 1, Y: 2, Z: 10.020}.With(survey.Tag{Name: "D1", Code: "ADJ"}), Top: 10, Room: 0.020, Bed: 0.012, Change: -0.003}
	finish := surface.Horizontal(10.018)
	always := []string{"Threshold", "Finished", "Top of fill", "Covering + bed"}
	for _, c := range []struct {
		what  string
		w     job.Filled
		heads []string
		cells []string // after the first four
	}{
		{"a target alone", job.Filled{}, always, nil},
		{"a floor as surveyed", job.Filled{Surveyed: true}, []string{"Threshold", "Finished", "Floor there", "Covering + bed"}, nil},
		{"a bed within its limits", job.Filled{Covering: surface.Covering{Thickness: 0.008, Least: 0.003, Greatest: 0.020}}, append(slices.Clip(always), "Bed if flush"), []string{"12 mm"}},
		{"too thick a bed", job.Filled{Covering: surface.Covering{Thickness: 0.008, Least: 0.003, Greatest: 0.010}}, append(slices.Clip(always), "Bed if flush"), []string{"12 mm, max 10 mm"}},
		{"too thin a bed", job.Filled{Covering: surface.Covering{Thickness: 0.008, Least: 0.015, Greatest: 0.020}}, append(slices.Clip(always), "Bed if flush"), []string{"12 mm, min 15 mm"}},
		{"a covering without limits", job.Filled{Covering: surface.Covering{Thickness: 0.008}, Covered: true}, append(slices.Clip(always), "Bed if flush", "Change of level"), []string{"12 mm", "3 mm down to the new floor"}},
		{"a finish rule", job.Filled{Finish: &finish}, append(slices.Clip(always), "Above finish plane"), []string{"2 mm"}},
	} {
		c.w.Thresholds = []surface.Threshold{door}
		got := thresholdTable(&c.w, metric)
		want := append([]string{"D1 ADJ", "10.020 m", "10.000 m", "20 mm"}, c.cells...)
		if heads, cells := headsOf(got), cellsOf(got)[0]; !slices.Equal(heads, c.heads) || !slices.Equal(cells, want) {
			t.Errorf("%s: %q over %q, want %q over %q", c.what, heads, cells, c.heads, want)
		}
		if unchecked := slices.Contains(got.Notes, noBedLimits); unchecked != (c.what == "a covering without limits") {
			t.Errorf("%s: notes %q", c.what, got.Notes)
		}
	}
}

// Nothing is finished above the top of fill, so it is never written higher than it is: 10.0009 m
// are 10.000 m. A floor as surveyed is written to the nearest millimetre.
func TestTopOfFillIsRoundedDown(t *testing.T) {
	for surveyed, want := range map[bool]string{false: "10.000 m", true: "10.001 m"} {
		w := job.Filled{Surveyed: surveyed, Thresholds: []surface.Threshold{{Point: survey.Point{Z: 10.02}, Top: 10.0009, Room: 0.0191}}}
		got := thresholdTable(&w, metric)
		said := slices.ContainsFunc(got.Notes, func(n string) bool { return strings.Contains(n, "rounded down") })
		if cell := cellsOf(got)[0][2]; cell != want || said == surveyed {
			t.Errorf("surveyed %v: %s, want %s; notes %q", surveyed, cell, want, got.Notes)
		}
	}
	if got := targetText(surface.Horizontal(10.0009), nil, metric); got != "level at 10.000 m" {
		t.Error(got)
	}
}

func TestChangeOfLevel(t *testing.T) {
	for _, c := range []struct {
		change float64
		style  unit.Style
		want   string
	}{
		{0.0004, metric, "flush"}, {-0.0004, metric, "flush"}, {0.006, metric, "6 mm up to the new floor"}, {-0.006, metric, "6 mm down to the new floor"},
		{0.25 * 0.0254, feet, `1/4" up to the new floor`}, {0.0254 / 40, feet, "flush"},
	} {
		if got := changeText(c.change, c.style); got != c.want {
			t.Errorf("%g m: %q, want %q", c.change, got, c.want)
		}
	}
}

// A fill of little has all of its bands in its own unit.
func TestBandsAreInTheUnitOfTheFill(t *testing.T) {
	bands := []surface.Band{{From: 0, To: 0.001, Area: 1, Volume: 0.0005}, {From: 0.001, To: 0.002, Area: 20, Volume: 0.03}, {From: 0.002, To: 0.003, Area: 16, Volume: 0.04}}
	for style, want := range map[unit.Style][]string{metric: {"less than 1 L", "30 L", "40 L"}, feet: {"less than 0.1 ft³", "1.1 ft³", "1.4 ft³"}} {
		for i, row := range bandTable(bands, style).Rows {
			if row[3].Text != want[i] {
				t.Errorf("band %d: %q, want %q", i, row[3].Text, want[i])
			}
		}
	}
}

// A high and a low, in feet: 1/8 in are 3.175 mm, 10 ft² are 0.929 m². What is too small for
// its digits is not written as 0.
func TestPlacesAreListedOnce(t *testing.T) {
	j := &job.Judged{Work: flatness.Work{Spots: []flatness.Spot{
		{Number: 1, High: true, At: surface.Vec{X: 3.048, Y: 6.096}, Off: 0.003175, Area: 0.92903, Volume: 0.00001, Passes: 2},
		{Number: 2, At: surface.Vec{}, Off: -0.003175, Area: 0.001, Volume: 0.1, Bags: 1},
	}}}
	got := placesTable(j, feet)
	want := [][]string{
		{"H1", "(10.00, 20.00) ft", "(10.00, 20.00) ft", `1/8" above`, "10.0 ft²", "less than 0.1 ft³", "grind, 2 passes", ""},
		{"L2", "(0.00, 0.00) ft", "(0.00, 0.00) ft", `1/8" below`, "less than 0.1 ft²", "3.5 ft³", "fill, 1 bag", ""},
	}
	if cells := cellsOf(got); !slices.EqualFunc(cells, want, slices.Equal) {
		t.Errorf("got %q, want %q", cells, want)
	}
	if last := got.Rows[0][len(got.Columns)-1]; !last.Tick {
		t.Error("the record has no box to tick")
	}
	if short := placesInShort(j, 1, feet); len(short) != 3 || strings.Contains(short[2], "ft³") {
		t.Errorf("the short list is %q, want a blank line, heads and one place without its volume", short)
	}
}

func TestLongTablesAreCounted(t *testing.T) {
	long := table.Table{Columns: columns("Run")}
	for range 5 {
		long.Rows = append(long.Rows, text("R"))
	}
	if got := firstRows(long, 3); got != "Run\nR\nR\nR\n… and 2 more; --json lists all\n" {
		t.Errorf("got %q", got)
	}
	if got := firstRows(long, 5); strings.Contains(got, "more") {
		t.Errorf("all rows are shown, and %q", got)
	}
}

// A floor without a verdict has a table that says so, in the record too.
func TestNothingMeasuredIsReported(t *testing.T) {
	got, rules := toleranceTable(&job.Judged{}, metric, inResult)
	if len(rules) != 0 || len(got.Rows) != 0 || !slices.Contains(got.Notes, "Nothing was measured that a rule asks for.") {
		t.Errorf("%d rules, notes %q", len(rules), got.Notes)
	}
	pass := flatness.Verdict{Row: flatness.Row{Name: "ours", Standard: "Own", Kind: flatness.ByStraightedge, Limit: 0.005, Length: 2}, Outcome: flatness.Pass, Value: 0.003, Limit: 0.005, Length: 2, Share: math.NaN()}
	fail := pass
	fail.Row.Name, fail.Outcome, fail.Value, fail.From = "stricter", flatness.Fail, 0.006, surface.Vec{X: math.NaN()}
	got, _ = toleranceTable(&job.Judged{Verdicts: []flatness.Verdict{pass, fail}}, metric, inResult)
	want := [][]string{
		{"ours", "Own", "3.0 mm gap, limit 5.0 mm, 2 m straightedge", "pass"},
		{"stricter", "Own", "FAIL 6.0 mm gap, limit 5.0 mm, 2 m straightedge", "fail"},
	}
	if cells := cellsOf(got); !slices.EqualFunc(cells, want, slices.Equal) {
		t.Errorf("got %q, want %q", cells, want)
	}
	if got.Rows[0][3].Bold || !got.Rows[1][3].Bold {
		t.Error("a failure is in bold, a pass is not")
	}
}

// One sentence for the terminal, the record and what a file holds: 3 mm of 4 allowed, and 5
// of 4.
func TestHowABookCloses(t *testing.T) {
	closure := func(off float64) survey.Closure {
		return survey.Closure{On: "BM1", Known: 10, Observed: 10 + off, Allowable: 0.004, Closing: true}
	}
	for _, c := range []struct {
		what string
		book survey.Book
		want string
	}{
		{"no closing shot", survey.Book{}, noClosure},
		{"two benchmarks before the floor", survey.Book{Ties: []survey.Tie{{On: []string{"BM1", "BM2"}, Off: []float64{-0.002, 0.002}, Known: true}}}, "BM1 and BM2 agree to within 4 mm; " + noClosure},
		{"a turning point read again", survey.Book{Closures: []survey.Closure{{On: "TP1", Known: 10, Observed: 10.0003}}}, "TP1 agrees to within 1 mm; " + noClosure},
		{"high", survey.Book{Closures: []survey.Closure{closure(0.003)}}, "closes 3 mm high on BM1, allowed 4 mm; not adjusted"},
		{"low", survey.Book{Closures: []survey.Closure{closure(-0.003)}}, "closes 3 mm low on BM1, allowed 4 mm; not adjusted"},
		{"exact", survey.Book{Closures: []survey.Closure{closure(0)}}, "closes exactly on BM1, allowed 4 mm; not adjusted"},
		{"within a step", survey.Book{Closures: []survey.Closure{closure(0.0004)}}, "closes to within 1 mm on BM1, allowed 4 mm; not adjusted"},
		{"too far", survey.Book{Closures: []survey.Closure{closure(0.005)}}, "closes 5 mm high on BM1, BEYOND the allowed 4 mm; not adjusted"},
		{"adjusted", survey.Book{Closures: []survey.Closure{closure(0.003)}, Adjust: survey.LeastSquares}, "closes 3 mm high on BM1, allowed 4 mm; adjusted: " + survey.LeastSquares.String()},
	} {
		if got := closes(&c.book, metric); got != c.want {
			t.Errorf("%s: %q, want %q", c.what, got, c.want)
		}
	}
}

// Every form of the book has as many cells in a row as heads.
func TestTheBookFillsItsColumns(t *testing.T) {
	sights := []survey.Sight{
		{Kind: survey.Back, Setup: "S1", Name: "BM", Text: "1.500", Reading: 1.5, Elevation: 10},
		{Kind: survey.Intermediate, Setup: "S1", Text: "1.400", Reading: 1.4, Elevation: 10.1},
		{Kind: survey.Fore, Setup: "S1", Name: "TP", Text: "1.600", Reading: 1.6, Elevation: 9.9},
		{Kind: survey.Back, Setup: "S2", Name: "TP", Text: "1.300", Reading: 1.3, Elevation: 9.9},
		{Kind: survey.Intermediate, Setup: "S2", Name: "A", Text: "1.200", Reading: 1.2, Elevation: 10},
	}
	setups := []survey.Setup{{Name: "S1", HI: 11.5}, {Name: "S2", HI: 11.2}}
	for _, c := range []struct {
		what     string
		adjust   survey.Adjust
		weight   float64
		riseFall bool
		heads    string
		turn     string // the row of the turning point
	}{
		{"as read", survey.NoAdjustment, math.NaN(), false, "Set-up Point BS IS FS HI Elevation", "S2 TP 1.300  1.600 11.200 9.900"},
		{"rise and fall", survey.NoAdjustment, math.NaN(), true, "Set-up Point BS IS FS Rise Fall Elevation", "S2 TP 1.300  1.600  0.200 9.900"},
		{"adjusted", survey.BySetups, math.NaN(), false, "Set-up Point BS IS FS HI As read Correction Elevation", "S2 TP 1.300  1.600 11.200 9.900 0.000 9.900"},
		{"least squares", survey.LeastSquares, 0.001, false, "Set-up Point BS IS FS HI Correction Elevation St. dev.", "S2 TP 1.300  1.600 11.200 0.000 9.900 0.00 mm"},
	} {
		p := BookPage{B: &survey.Book{Sights: sights, Setups: setups, Adjust: c.adjust, UnitWeight: c.weight}, Style: levelStyle{digits: 3}, RiseFall: c.riseFall}
		got := p.table()
		if err := got.Check(); err != nil {
			t.Errorf("%s: %v", c.what, err)
		}
		if heads := strings.Join(headsOf(got), " "); heads != c.heads {
			t.Errorf("%s: heads %q, want %q", c.what, heads, c.heads)
		}
		rows := cellsOf(got)
		if len(rows) != 4 || strings.Join(rows[2], " ") != c.turn || rows[1][1] != "—" {
			t.Errorf("%s: rows %q, want four, the third %q", c.what, rows, c.turn)
		}
	}
}

func TestHowAnOrderComes(t *testing.T) {
	for _, c := range []struct {
		what  string
		of    func(w *job.Filled)
		want  string
		style unit.Style
	}{
		{"nothing from a plant", func(*job.Filled) {}, "", metric},
		{"mixed on site", func(w *job.Filled) { w.OnSite, w.Delivery.Trucks = true, 2 }, "mixed on site", metric},
		{"one", func(w *job.Filled) { w.Delivery.Trucks = 1 }, "1 truck", metric},
		{"two", func(w *job.Filled) { w.Delivery.Trucks, w.Delivery.Full, w.Delivery.Last = 2, 6, 1.75 }, "2 trucks of 6.00 m³, the last with 1.75 m³", metric},
		{"short", func(w *job.Filled) { w.Delivery.Trucks, w.Delivery.Short = 1, true }, "1 truck (a short load, usually charged extra)", metric},
	} {
		w := &job.Filled{Survey: &survey.Survey{}}
		c.of(w)
		if got := delivered(w, c.style); got != c.want {
			t.Errorf("%s: %q, want %q", c.what, got, c.want)
		}
	}
	if got := sentence("mixed on site"); got != "Mixed on site." || sentence("") != "" {
		t.Errorf("a sentence is %q, of nothing %q", got, sentence(""))
	}
}
