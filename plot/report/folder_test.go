package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"pourplane/survey"
	"pourplane/survey/landxml"
)

// What other programs are to read is read back and agrees with the result.
func TestFolderReadBack(t *testing.T) {
	h := hall(t)
	all, err := h.Everything(nil)
	if err != nil {
		t.Fatal(err)
	}
	read := func(name string) []byte {
		i := slices.IndexFunc(all, func(o Output) bool { return o.Name == name })
		if i < 0 {
			t.Fatalf("no file %s", name)
		}
		return all[i].Data
	}
	var r JobResult
	if err := json.Unmarshal(read("result.json"), &r); err != nil {
		t.Fatal(err)
	}

	t.Run("a price changed in the spreadsheet changes the cost", func(t *testing.T) {
		book, err := excelize.OpenReader(bytes.NewReader(read("takeoff.xlsx")))
		if err != nil {
			t.Fatal(err)
		}
		defer book.Close()
		// Every formula gives the figure that is stored beside it.
		formulas := 0
		for _, s := range book.GetSheetList() {
			rows, err := book.GetRows(s)
			if err != nil {
				t.Fatal(err)
			}
			for i := range rows {
				for k := range rows[i] {
					at, _ := excelize.CoordinatesToCellName(k+1, i+1)
					if f, _ := book.GetCellFormula(s, at); f == "" {
						continue
					}
					formulas++
					stored, _ := book.GetCellValue(s, at, excelize.Options{RawCellValue: true})
					worked, err := book.CalcCellValue(s, at, excelize.Options{RawCellValue: true})
					a, errA := strconv.ParseFloat(stored, 64)
					b, errB := strconv.ParseFloat(worked, 64)
					if err != nil || errA != nil || errB != nil || !(math.Abs(a-b) <= 1e-9*max(1, math.Abs(a))) {
						t.Errorf("%s!%s: stored %s, worked out %s (%v)", s, at, stored, worked, err)
					}
				}
			}
		}
		if formulas < 30 {
			t.Errorf("%d formulas, want at least 30", formulas)
		}
		price, cost := "", ""
		rows, _ := book.GetRows("Take-off")
		for i, row := range rows {
			at, _ := excelize.CoordinatesToCellName(2, i+1)
			switch {
			case len(row) > 0 && row[0] == "Price of the mix":
				price = at
			case len(row) > 0 && row[0] == "Cost of the mix":
				cost = at
			}
		}
		if err := book.SetCellValue("Take-off", price, 100); err != nil {
			t.Fatal(err)
		}
		got, err := book.CalcCellValue("Take-off", cost, excelize.Options{RawCellValue: true})
		if v, _ := strconv.ParseFloat(got, 64); err != nil || math.Abs(v-100**r.Order.OrderYards) > 1e-6 {
			t.Errorf("at a price of 100 the mix costs %s (%v), want %g", got, err, 100**r.Order.OrderYards)
		}
	})

	t.Run("pins", func(t *testing.T) {
		rows, err := csv.NewReader(bytes.NewReader(read("pins.csv"))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if len(rows) != 1+r.Pins.Count {
			t.Errorf("%d rows, want a head and %d pins", len(rows), r.Pins.Count)
		}
		column := map[string]int{}
		for i, name := range rows[0] {
			column[name] = i
		}
		for _, row := range rows[1:] {
			depth, errD := strconv.ParseFloat(row[column["depth (in)"]], 64)
			height, errH := strconv.ParseFloat(row[column["height of mark (in)"]], 64)
			const eighth = 1.0 / 8
			if errD != nil || errH != nil || height > depth+1e-6 || depth-height >= eighth+1e-6 || math.Abs(math.Remainder(height, eighth)) > 1e-6 {
				t.Errorf("pin %s: mark at %s in over a depth of %s in, want whole eighths of an inch, low by less than one", row[0], row[column["height of mark (in)"]], row[column["depth (in)"]])
			}
		}
	})

	t.Run("plan", func(t *testing.T) {
		// A DXF is pairs of lines, a group code and a value; 8 is the layer (published reference of release 12).
		lines := strings.Split(strings.ReplaceAll(string(read("plan.dxf")), "\r\n", "\n"), "\n")
		drawn := map[string]int{}
		for i := 0; i+1 < len(lines); i += 2 {
			if strings.TrimSpace(lines[i]) == "8" {
				drawn[lines[i+1]]++
			}
		}
		for _, layer := range []string{"OUTLINE", "OPENINGS", "STEPS", "DEPTH-CONTOURS", "SHOTS", "FINISHED-FLOOR", "PINS", "BARS", "CHAIRS", "BAYS", "DAMS"} {
			if drawn[layer] == 0 {
				t.Errorf("nothing on layer %s", layer)
			}
		}
		var g struct {
			Features []struct {
				Geometry struct {
					Type        string
					Coordinates json.RawMessage
				}
				Properties map[string]any
			}
		}
		if err := json.Unmarshal(read("floor.geojson"), &g); err != nil {
			t.Fatal(err)
		}
		area, fill, bars := 0.0, 0.0, 0.0
		for _, f := range g.Features {
			switch f.Properties["layer"] {
			case "OUTLINE":
				var rings [][][]float64
				if err := json.Unmarshal(f.Geometry.Coordinates, &rings); err != nil {
					t.Fatal(err)
				}
				for _, ring := range rings {
					for i := 1; i < len(ring); i++ {
						area += (ring[i-1][0]*ring[i][1] - ring[i][0]*ring[i-1][1]) / 2
					}
				}
			case "BAYS":
				if v, ok := f.Properties["fill_m3"].(float64); ok {
					fill += v
				}
			case "BARS":
				bars += f.Properties["length_mm"].(float64) / 1000
			}
		}
		// 36 × 18 + 16 × 14 ft less a column of 1.5 × 1.5 ft (testdata/demo/outline.csv).
		if want := 869.75 * 0.3048 * 0.3048; math.Abs(area-want) > 1e-6 {
			t.Errorf("outline of %g m², want %g", area, want)
		}
		if math.Abs(fill-r.Fill) > 1e-9 {
			t.Errorf("bays of %g m³ together, want %g", fill, r.Fill)
		}
		if math.Abs(bars-r.Bars.Length) > 1e-6 {
			t.Errorf("bars of %g m on the plan, want %g", bars, r.Bars.Length)
		}
	})

	t.Run("surface", func(t *testing.T) {
		s, err := landxml.Read(bytes.NewReader(read("surface.xml")), "surface.xml", survey.Options{})
		if err != nil {
			t.Fatal(err)
		}
		faces := 0
		for _, one := range s.Surfaces {
			faces += len(one.Faces)
		}
		if faces != r.TIN.Triangles {
			t.Errorf("%d faces, want %d", faces, r.TIN.Triangles)
		}
	})

	t.Run("record", func(t *testing.T) {
		page := string(read("record.html"))
		for _, bad := range []string{"http:", "https:", "//cdn", "src=\"/", "@import"} {
			if strings.Contains(strings.ReplaceAll(page, "http://www.w3.org/", ""), bad) {
				t.Errorf("the page reaches out: %q", bad)
			}
		}
		for _, want := range []string{"Summary", "Take-off", "Reinforcement", "Grade pins", "Bays", "After the pour", "Tolerance check", "Cautions", "Manifest", "8.25 yd³"} {
			if !strings.Contains(page, want) {
				t.Errorf("the page does not hold %q", want)
			}
		}
		if !bytes.HasPrefix(read("record.pdf"), []byte("%PDF-")) || !bytes.HasPrefix(read("pins.pdf"), []byte("%PDF-")) {
			t.Error("no PDF")
		}
	})
}

// Bays as shown add up to the floor as shown, to the last digit.
func TestBaysAddUpAsShown(t *testing.T) {
	h := hall(t)
	rows := h.bayTable().Rows
	for _, k := range []int{1, 2} {
		digits := math.Pow10(h.bayTable().Columns[k].Decimals)
		sum := 0.0
		for _, row := range rows[:len(rows)-1] {
			sum += math.Round(row[k].Value * digits)
		}
		if want := math.Round(rows[len(rows)-1][k].Value * digits); sum != want {
			t.Errorf("column %d: bays add up to %g, want %g", k, sum/digits, want/digits)
		}
	}
}
