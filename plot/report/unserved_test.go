package report

import (
	"bytes"
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pourplane/plot/sheet"
)

// Where no material may be laid, neither order nor price is for the whole floor, and each says
// so beside its figure. By hand, 20 to 100 mm deep over 6 m by 4 m: a material for 30 to 50 mm
// serves x from 0.75 to 2.25 m, 6 m² at a mean of 40 mm, which with 6 % are 21.2 bags of 12 L,
// all in the shallow bay; 1.20 m³ over 18 m² are not served, 0.075 and 0.165 m³ of it in the
// shallow bay and all 0.96 m³ of the deep one.
func TestWhatNoMaterialServesIsNamedBesideOrderAndPrice(t *testing.T) {
	const less = "1.20 m³ over 18.00 m² that no material serves"
	r := runText(t, ramp+`[mix]
accept-unserved = true
allowance-percent = 6
currency = "euros"
[[materials]]
name = "mortar"
bag-yield = "12L"
least = "30mm"
greatest = "50mm"
price-per-bag = 9
[bays]
width = "3m"
`)
	x := r.result.Total
	if x == nil || x.Amount != 22*9 || x.Complete || !slices.Contains(x.Not, less) {
		t.Fatalf("total %+v, want 198, not complete, without %s", x, less)
	}
	for _, want := range []string{"Bags 22 bags of mortar, without " + less, "Price 198.00 euros, without " + less,
		"12.00 0.48 22 0.24", "12.00 0.96 0 0.96", "Together 24.00 1.44 22 1.20"} {
		if !strings.Contains(strings.Join(strings.Fields(r.terminal), " "), want) {
			t.Errorf("terminal lacks %q:\n%s", want, r.terminal)
		}
	}
	book := r.book(t)
	for _, name := range []string{"Price of the job", "Take-off"} {
		rows, err := book.GetRows(name)
		text := ""
		for _, row := range rows {
			text += strings.Join(row, "|") + "\n"
		}
		for _, want := range map[string][]string{"Price of the job": {"Total, without " + less, "Not included: " + less}, "Take-off": {"Not served|1.2", "Not served, area|18"}}[name] {
			if err != nil || !strings.Contains(text, want) {
				t.Errorf("%s lacks %q (%v):\n%s", name, want, err, text)
			}
		}
	}
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext (poppler-utils) is not installed")
	}
	for name, page := range map[string]sheet.Record{"customer.pdf": r.h.customer(), "wall.pdf": r.h.wall(), "record.pdf": r.h.record(true)} {
		path := filepath.Join(t.TempDir(), name)
		var b bytes.Buffer
		if err := errors.Join(sheet.WritePDF(&b, page, sheet.A4), os.WriteFile(path, b.Bytes(), 0o600)); err != nil {
			t.Fatal(err)
		}
		text, err := exec.Command(tool, "-raw", path, "-").Output()
		if err != nil || !strings.Contains(strings.Join(strings.Fields(string(text)), " "), "1.20 m³ over 18.00 m²") {
			t.Errorf("%s does not name what is not served (%v):\n%s", name, err, text)
		}
	}

	// All served: no word of it.
	r = runText(t, ramp+"[[materials]]\nname = \"mortar\"\nbag-yield = \"12L\"\nprice-per-bag = 9\n[bays]\nwidth = \"3m\"\n")
	if x := r.result.Total; x == nil || !x.Complete || strings.Contains(r.terminal, "no material serves") || strings.Contains(r.terminal, "ot served") {
		t.Errorf("total %+v:\n%s", x, r.terminal)
	}
}

// Depths are those that occur: the floor is 20 to 100 mm deep, whatever a material is for.
func TestRangesOfDepthOccurOnTheFloor(t *testing.T) {
	r := runText(t, ramp+`[mix]
accept-unserved = true
[[materials]]
name = "mortar"
bag-yield = "12L"
least = "30mm"
greatest = "40mm"
lifts = 3
`)
	for _, want := range []string{"Not served: 20 mm to 30 mm deep", "Mortar: 90 mm to 100 mm deep, 3.00 m², takes 3 equal lifts of 30 mm to 33 mm"} {
		if !strings.Contains(r.terminal, want) {
			t.Errorf("terminal lacks %q:\n%s", want, r.terminal)
		}
	}
	if u := r.result.Unserved; len(u) == 0 || math.Abs(u[0].From-0.020) > 1e-9 {
		t.Errorf("not served: %+v, want from 0.020 m", u)
	}
}

// The min depth is one figure, the nearest, wherever it is reported: 37.6 mm is 38 mm. One bag
// is no bags.
func TestOneFigureForTheMinDepth(t *testing.T) {
	r := runText(t, strings.Replace(ramp, `"0m"`, `"0.0176m"`, 1)+"[[materials]]\nname = \"mortar\"\nbag-yield = \"2000L\"\nprice-per-bag = 9\n[outputs]\nways = true\n")
	page := r.page(t)
	if strings.Contains(r.terminal, "min 37 mm") || strings.Count(r.terminal, "min 38 mm") != 1 || !strings.Contains(r.terminal, "Min depth   38 mm") {
		t.Errorf("38 mm is not the one min depth:\n%s", r.terminal)
	}
	if !strings.Contains(page, "38 mm to 118 mm") || !strings.Contains(r.terminal, "1 bag of mortar") {
		t.Errorf("no 38 mm to 118 mm in the record, or no 1 bag:\n%s", r.terminal)
	}
	book := r.book(t)
	rows, err := book.GetRows("Price of the job")
	if err != nil || !slices.ContainsFunc(rows, func(row []string) bool { return len(row) > 2 && row[0] == "mortar" && row[2] == "bag" }) {
		t.Errorf("the price sheet does not have 1 bag (%v): %v", err, rows)
	}
}
