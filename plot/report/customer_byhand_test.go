package report

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/plot/sheet"
)

// besideDoors is a floor of 6 × 4 m, 100 mm below 0, with sills of 12 mm above 0 at the west wall and 50
// below it at the east one.
func besideDoors() fstest.MapFS {
	files := floorIn("m", 6, 4, 1, levelAt(-0.1))
	text := strings.TrimSpace(string(files["floor.csv"].Data))
	text = strings.ReplaceAll(strings.Replace(text, "z (m)", "z (m),code", 1), "\n", ",\n")
	text = strings.Replace(text, "code,\n", "code\n", 1) + ",\nD1,0,2,0.012,SILL\nD2,6,1,-0.050,SILL\n"
	files["floor.csv"] = &fstest.MapFile{Data: []byte(text)}
	return files
}

const doorJob = "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\ncodes = { SILL = \"finished\" }\n[target]\nelevation = \"0m\"\n"

// onlySection is the only section of a page.
func onlySection(t *testing.T, r sheet.Record) sheet.Section {
	t.Helper()
	if len(r.Sections) != 1 {
		t.Fatalf("%d sections, want one", len(r.Sections))
	}
	return r.Sections[0]
}

// The page for the customer by hand. A target that falls 1.5 % from 0 at the west wall is 90 mm lower at
// the east one: 100 to 10 mm over 24 m², 1.32 m³, 55 mm on average; D1 is 12 mm above it and D2 50 −
// 90, 40 mm above it. At 2 % it is 120 mm lower there: the last metre, 4 m², is above it by 10 mm on
// average, 40 L, and on the other 20 m² the mean is 50 mm.
func TestCustomerPageByHand(t *testing.T) {
	for fall, want := range map[string]struct {
		figures [][2]string
		text    []string
	}{
		"1.5%": {[][2]string{{"24.00 m²", "floor to be filled"}, {"55 mm", "mean depth, max 100 mm"}},
			[]string{"one plane, falls 1.5 % toward the east", " 12 mm at D1, 40 mm at D2.", "not to be ground"}},
		"2%": {[][2]string{{"20.00 m²", "floor to be filled"}, {"50 mm", "mean depth where filled, max 100 mm"}},
			[]string{"one plane, falls 2 % toward the east", " 12 mm at D1, 70 mm at D2.", "40 L over 4.00 m² is above it and has to be ground; that is not in the price."}},
		"": {[][2]string{{"24.00 m²", "floor to be filled"}, {"100 mm", "mean depth, max 100 mm"}},
			[]string{"one plane, level", " 12 mm at D1, ", "50 mm too high) at D2."}},
	} {
		text := doorJob
		if fall != "" {
			text += "fall = \"" + fall + "\"\ntoward = \"E\"\n"
		}
		s := onlySection(t, handed(t, text, besideDoors()).customer())
		for i, w := range want.figures {
			if f := s.Figures[i]; f.Value != w[0] || f.Name != w[1] {
				t.Errorf("%q: %+v, by hand %q", fall, f, w)
			}
		}
		if len(s.Figures) != 2 || len(s.Tables) != 0 {
			t.Errorf("%q: without prices %+v, %d tables", fall, s.Figures, len(s.Tables))
		}
		saidIn(t, strings.Join(s.Text, "\n"), want.text...)
	}
}

// The price on that page by hand: 2.40 m³ and 5 % in bags of 12 L are 210 bags at 9.00, 24 m² of primer
// at 5 m² a litre 4.8 L, a pack of 5 at 30.00: 1,920.00. Without the price of a pack it is not
// complete; and of a floor whose east half only is shallow enough for the mortar neither.
func TestCustomersPriceByHand(t *testing.T) {
	const mortar = "[mix]\ncurrency = \"euros\"\n%s[[materials]]\nname = \"mortar\"\nbag-yield = \"12L\"\nprice-per-bag = 9\n%s[[coats]]\nname = \"primer\"\ncover-m2-per-litre = 5\npack-litres = 5\n%s"
	page := func(mix, material, coat, fall string) sheet.Section {
		return onlySection(t, handed(t, doorJob+fall+fmt.Sprintf(mortar, mix, material, coat), besideDoors()).customer())
	}
	s := page("", "", "price-per-pack = 30\n", "")
	if f := s.Figures[0]; f.Value != "1,920.00" || f.Name != "price in euros" {
		t.Errorf("%+v, by hand 1,920.00 in euros", f)
	}
	rows := map[string][]string{}
	for _, row := range cellsOf(s.Tables[0]) {
		rows[row[0]] = row[1:]
	}
	for name, want := range map[string]string{"mortar": "210 bags 9.00 1,890.00", "Coat: primer": "1 pack 30.00 30.00", "Total": "   1,920.00"} {
		if got := strings.Join(rows[name], " "); got != want {
			t.Errorf("%s: %q, by hand %q", name, got, want)
		}
	}
	if s.Lines[0] != "Agreed: level, depth, weight, and the price of what is listed" {
		t.Errorf("a price: %q", s.Lines)
	}
	if s := page("", "", "", ""); s.Lines[0] != "Agreed: level, depth and weight; not a price" || s.Tables[0].Title != "Materials only, not an offer" {
		t.Errorf("no whole price: %q under %q", s.Lines, s.Tables[0].Title)
	}
	if f := page("", "", "", "").Figures[0]; f.Value != "not an offer" || f.Name != "materials only, without coat: primer" {
		t.Errorf("without the price of a pack %+v", f)
	}
	// 100 to 10 mm from west to east: 55 mm are at x = 3 m.
	s = page("accept-unserved = true\n", "greatest = \"55mm\"\n", "price-per-pack = 30\n", "fall = \"1.5%\"\ntoward = \"E\"\n")
	if f := s.Figures[1]; f.Value != "24.00 m²" || f.Name != "floor to be filled; 12.00 m² of it no material serves" {
		t.Errorf("half without a material: %+v", f)
	}
	if f := s.Figures[0]; f.Value != "not an offer" {
		t.Errorf("half without a material: %+v", f)
	}
}

// More than eight doors are summed up. By hand nine sills from 10 to 90 mm above 0.
func TestManyDoorsByHand(t *testing.T) {
	files := besideDoors()
	text, _, _ := strings.Cut(string(files["floor.csv"].Data), "D1,")
	for i := range 9 {
		text += fmt.Sprintf("S%d,0,%g,%.3f,SILL\n", i+1, 0.4*float64(i+1), 0.010*float64(i+1))
	}
	files["floor.csv"] = &fstest.MapFile{Data: []byte(text)}
	h := handed(t, doorJob, files)
	saidIn(t, h.belowDoors(), "level; at the doors: 9, above the fill by 10 mm (S1) to 90 mm (S9)")
	h.Thresholds = h.Thresholds[:8]
	saidIn(t, h.belowDoors(), "level", " 10 mm at S1, 20 mm at S2", ", 80 mm at S8")
}

// How the old floor is described by hand: it falls 30 mm in 6 m to the east and 40 mm in 4 m to the
// north: √(0.5² + 1²) = 1.12 %, more north than north-east; its target is 20 mm above its highest
// corner, 90 above its lowest.
func TestOldFloorAsFoundByHand(t *testing.T) {
	for _, c := range []struct {
		east, north float64 // of slope, up
		want        string
	}{
		{-0.005, -0.010, "falls 1.12 % toward the north-east; "}, {-0.003, -0.010, "falls 1.04 % toward the north; "}, {0.005, 0, "falls 0.50 % toward the west; "}, {0.004, -0.004, "falls 0.57 % toward the north-west; "}, {0.00002, 0, "no fall as a whole; "},
	} {
		drop := 6*math.Abs(c.east) + 4*math.Abs(c.north)
		h := handed(t, strings.Replace(ramp, "0m", "1m", 1), floorIn("m", 6, 4, 1, func(x, y float64) float64 {
			return 0.98 - max(0, 6*c.east) - max(0, 4*c.north) + c.east*x + c.north*y
		}))
		sum := &Summary{Filled: h.Filled, Style: metric, Verbose: true}
		saidIn(t, sum.foundText(h.Found), c.want, fmt.Sprintf("lowest spot %.3f m, at ", 0.98-drop), "typical deviation less than 1 mm (half of the shots are nearer)")
		var b bytes.Buffer
		if err := sum.Print(&b); err != nil {
			t.Fatal(err)
		}
		saidIn(t, strings.Join(strings.Fields(b.String()), " "), fmt.Sprintf("Depth min 20 mm, mean %.0f mm, max %.0f mm", 1000*(0.02+drop/2), 1000*(0.02+drop)), "As found "+strings.TrimSpace(c.want))
	}
}

// A customer knows a door by what it is called, not by the name of a shot.
func TestCustomersDoorsByName(t *testing.T) {
	saidIn(t, hall(t).belowDoors(), `3/4" at door A south end (A1), `, `, 1" at sliding door (C1), `)
	h := handed(t, doorJob, besideDoors()) // without remarks
	saidIn(t, h.belowDoors(), " 12 mm at D1, ")
}
