package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pourplane/plot"
	"pourplane/plot/report"

	"github.com/xuri/excelize/v2"
)

// ran is a job that was run as a user runs it.
type ran struct {
	folder, terminal string
	result           report.JobResult
}

// runText runs a job, given as text, beside a floor of 6 × 4 m that falls from 20 mm to
// 100 mm below 0 along x.
func runText(t *testing.T, text string) ran {
	t.Helper()
	r, status, diag := tryText(t, text)
	if status != 0 {
		t.Fatalf("status %d: %s", status, diag)
	}
	return r
}

func tryText(t *testing.T, text string) (ran, int, string) {
	t.Helper()
	dir := t.TempDir()
	var shots bytes.Buffer
	fmt.Fprintln(&shots, "point,x (m),y (m),z (m)")
	for i := range 7 {
		for j := range 5 {
			fmt.Fprintf(&shots, "%d,%d,%d,%.12f\n", 100+5*i+j, i, j, -0.020-0.080*float64(i)/6)
		}
	}
	for name, b := range map[string]string{"floor.csv": shots.String(), "check.csv": "point,x (m),y (m),z (m)\n1,0,0,0\n2,6,0,0\n3,6,4,0\n4,0,4,0.001\n", "walls.csv": "part,ring,x_m,y_m\nroom,outer,0,0\nroom,outer,6,0\nroom,outer,6,4\nroom,outer,0,4\n",
		"job.toml": "title = \"Ramp\"\ndate = 2026-11-25\n" + text} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(b), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	out := filepath.Join(dir, "out")
	var said, diag bytes.Buffer
	status := run([]string{"run", "--verbose", filepath.Join(dir, "job.toml"), "--out", out}, strings.NewReader(""), &said, &diag)
	r := ran{folder: out, terminal: said.String()}
	if status != 0 {
		return r, status, diag.String()
	}
	b, err := os.ReadFile(filepath.Join(out, "result.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &r.result); err != nil {
		t.Fatal(err)
	}
	return r, 0, ""
}

const ramp = `[survey]
files = ["floor.csv"]
outline = "walls.csv"
[target]
elevation = "0m"
`

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
			book, err := excelize.OpenFile(filepath.Join(r.folder, "takeoff.xlsx"))
			if err != nil {
				t.Fatal(err)
			}
			defer book.Close()
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
	h := demoHandover(t)
	if len(h.Service.Uses) != 2 || h.Weighs == "" {
		t.Fatalf("the demo has %d materials, want 2 of unlike unit weights", len(h.Service.Uses))
	}
	for _, p := range h.WeightSection().Pictures {
		m, ok := p.Drawing.(*plot.LoadMap)
		if !ok || m.UnitWeight != 2400 || m.UnitWeight*h.Filled.Fill.Greatest < h.Mix.Load.Most-1e-9 {
			t.Errorf("map with %+v kg/m³, want 2400, and no place above %g kg/m²", m.UnitWeight, h.Mix.Load.Most)
		}
		if !strings.Contains(m.Summary, h.Style.UnitWeight(2400)) {
			t.Errorf("the map shows %q, want its unit weight", m.Summary)
		}
	}
}

// A unit weight of the mix that nothing of the job has is refused, and a bare unit weight that
// may be in lb/ft³ as well.
func TestUnitWeightThatMeansNothing(t *testing.T) {
	_, status, diag := tryText(t, ramp+"[mix]\nunit-weight-kgm3 = 3000\n[[materials]]\nname = \"mix\"\nunit-weight-kgm3 = 2400\n")
	if want := "mix.unit-weight-kgm3: found 3000 kg/m³, while each material has another unit weight of its own, want one of the two"; status != 1 || !strings.Contains(diag, want) {
		t.Errorf("status %d, %s; want 1 and %q", status, diag, want)
	}
	var said, stderr bytes.Buffer
	status = run([]string{"fill", "nofile.csv", "--target", "1m", "--unit-weight", "150"}, strings.NewReader(""), &said, &stderr)
	if status != 2 || !strings.Contains(stderr.String(), "150lb/ft3 or 150kg/m3") {
		t.Errorf("status %d, %s; want 2 and both ways to write it", status, stderr.String())
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
