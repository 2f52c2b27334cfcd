package report

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"pourplane/plot"
)

// The mass is volume × unit weight with the unit weights that are shown, wherever a mass is
// shown. By hand: 6 × 4 m at a mean of 60 mm are 1.44 m³; from 20 to 46.667 mm deep, a third of
// the floor, are 0.26667 m³, and 1.17333 m³ below.
func TestMassIsVolumeTimesTheUnitWeightShown(t *testing.T) {
	const shallow, deep = 24.0 / 3 * (0.020 + 0.14/3) / 2, 24.0 * 2 / 3 * (0.14/3 + 0.100) / 2
	one, two := "[[materials]]\nname = \"dense mix\"\n", "[[materials]]\nname = \"mortar\"\nbag-yield = \"12l\"\ngreatest = \"46.666666666mm\"\n"
	for _, c := range []struct {
		name, text          string
		mass, mean, most, w float64 // w: of the concrete among the ways
	}{
		{"neither says: normal concrete", "", 1.44 * 2400, 60e-3 * 2400, 0.1 * 2400, 2400},
		{"the mix says", "[mix]\nunit-weight-kgm3 = 3000\n", 1.44 * 3000, 60e-3 * 3000, 0.1 * 3000, 3000},
		{"the mix says and the material does not", "[mix]\nunit-weight-kgm3 = 3000\n" + one, 1.44 * 3000, 60e-3 * 3000, 0.1 * 3000, 3000},
		{"the material says", one + "unit-weight-kgm3 = 2800\n", 1.44 * 2800, 60e-3 * 2800, 0.1 * 2800, 2800},
		{"two materials, of which one says", "[mix]\nunit-weight-kgm3 = 3000\n" + two + "unit-weight-kgm3 = 2000\n" + one, shallow*2000 + deep*3000, (shallow*2000 + deep*3000) / 24, 0.1 * 3000, 3000},
		{"two materials, the lighter below", "[mix]\nunit-weight-kgm3 = 1900\n" + two + "unit-weight-kgm3 = 2000\n" + one, shallow*2000 + deep*1900, (shallow*2000 + deep*1900) / 24, 0.1 * 1900, 1900},
		{"some depths not served", "[mix]\nunit-weight-kgm3 = 3000\naccept-unserved = true\n" + two, 1.44 * 3000, 60e-3 * 3000, 0.1 * 3000, 3000},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := runText(t, ramp+c.text)
			near := func(what string, got, want, within float64) {
				t.Helper()
				if !(math.Abs(got-want) <= within*math.Abs(want)) {
					t.Errorf("%s: %g, want %g", what, got, want)
				}
			}
			o := r.result.Order
			near("mass", o.Mass, c.mass, 1e-6)
			near("mean load", o.MeanLoad, c.mean, 1e-6)
			near("greatest load", o.MostLoad, c.most, 1e-6)
			near("net × unit weight", o.Net*o.UnitWeight, o.Mass, 1e-9)
			if len(r.result.Materials) > 0 {
				sum := 0.0
				for _, m := range r.result.Materials {
					near(m.Name, m.Net*m.Weight, m.Mass, 1e-9)
					sum += m.Mass
				}
				for _, p := range r.result.Unserved {
					near("not served", p.Volume*p.Weight, p.Mass, 1e-9)
					sum += p.Mass
				}
				near("materials together", sum, o.Mass, 1e-9)
			}

			// Of the ways compared.
			for _, w := range r.result.Ways {
				sum := w.Weight * w.Area
				for _, l := range w.Layers {
					near(w.Name+", "+l.Name, l.Volume*l.Weight, l.Mass, 1e-9)
					sum += l.Volume * l.Weight
					if strings.HasPrefix(l.Name, "concrete") {
						near(w.Name+": unit weight of "+l.Name, l.Weight, c.w, 0)
					}
				}
				near(w.Name, sum, w.Mass, 1e-9)
				near(w.Name+", mean load", w.MeanLoad*w.Area, w.Mass, 1e-9)
			}

			// On the terminal, to the digits shown there.
			shown := regexp.MustCompile(`(?m)^Load +mean .*; ([0-9.]+) (t|kg) in all, (.*)$`).FindStringSubmatch(r.terminal)
			if shown == nil {
				t.Fatalf("no weight in:\n%s", r.terminal)
			}
			mass, _ := strconv.ParseFloat(shown[1], 64)
			if shown[2] == "t" {
				mass *= 1000
			}
			near("mass on the terminal", mass, c.mass, 0.05/3)
			if at, ok := strings.CutPrefix(shown[3], "at "); ok {
				weight, err := strconv.ParseFloat(strings.TrimSuffix(at, " kg/m³"), 64)
				if err != nil {
					t.Fatal(err)
				}
				near("unit weight on the terminal", weight*1.44, c.mass, 1e-3)
			} else if len(r.result.Materials) < 2 {
				t.Errorf("the terminal shows no unit weight: %s", shown[0])
			}

			// In the workbook: the take-off, and the materials by depth.
			book := r.book(t)
			figures := map[string]float64{}
			rows, err := book.GetRows("Take-off", excelize.Options{RawCellValue: true})
			if err != nil {
				t.Fatal(err)
			}
			for _, row := range rows {
				if len(row) > 1 {
					figures[row[0]], _ = strconv.ParseFloat(row[1], 64)
				}
			}
			near("workbook: fill × unit weight", figures["Fill of all materials"]*figures["Unit weight"], c.mass, 1e-6)
			near("workbook: mass", figures["Mass in place"], c.mass, 1e-6)
			if len(r.result.Materials) > 0 {
				rows, err := book.GetRows("Materials by depth", excelize.Options{RawCellValue: true})
				if err != nil {
					t.Fatal(err)
				}
				sum := 0.0
				for _, row := range rows {
					if len(row) < 8 {
						continue
					}
					if v, err := strconv.ParseFloat(row[7], 64); err == nil {
						volume, _ := strconv.ParseFloat(row[5], 64)
						weight, _ := strconv.ParseFloat(row[6], 64)
						near("workbook: "+row[0], volume*weight, v, 1e-6)
						sum += v
					}
				}
				near("workbook: materials together", sum, c.mass, 1e-6)
			}
		})
	}
}

// The map of the load is drawn with the heaviest of what the floor is filled with, so that no
// place weighs more than the map shows.
func TestLoadMapIsOfTheHeaviest(t *testing.T) {
	h := hall(t)
	if len(h.Service.Uses) != 2 || h.Weighs == "" {
		t.Fatalf("the demo has %d materials, want 2 of unlike unit weights", len(h.Service.Uses))
	}
	for _, p := range h.weightSection().Pictures {
		m, ok := p.Drawing.(*plot.LoadMap)
		if !ok || m.UnitWeight != 2400 || m.UnitWeight*h.Filled.Fill.Greatest < h.Mix.Load.Most-1e-9 {
			t.Errorf("map with %+v kg/m³, want 2400, and no place above %g kg/m²", m.UnitWeight, h.Mix.Load.Most)
		}
		if !strings.Contains(m.Summary, h.Style.UnitWeight(2400)) {
			t.Errorf("the map shows %q, want its unit weight", m.Summary)
		}
	}
}

// Where the price of the mix is that of the one material by volume, nothing is said to lack a price.
func TestCostKnownFromTheMix(t *testing.T) {
	r := runText(t, ramp+"[mix]\nprice-per-m3 = 150\n[[materials]]\nname = \"dense mix\"\n")
	if m := r.result.Materials; len(m) != 1 || m[0].Cost == nil {
		t.Fatalf("materials %+v, want a cost", m)
	}
	for _, w := range r.result.Warnings {
		if strings.Contains(w, "cost") {
			t.Errorf("beside a cost it is said: %s", w)
		}
	}
}
