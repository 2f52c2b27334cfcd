package report

import (
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// pricedJob has a price for everything except chairs.
var pricedJob = ramp + func() string {
	text, err := os.ReadFile("../../testdata/priced.toml")
	if err != nil {
		panic(err)
	}
	return string(text)
}()

// One total, added by hand from quantities by hand: 6 m² of 20 to 40 mm are 0.18 m³, with 5 % 15.75
// bags; 1.26 m³ of topping take 1.323, in steps of 0.1 m³ 1.4 m³; 24 m² along the floor take
// 4.8 L of primer, a pack; walls of 20 m a roll of film and 10 pieces of foam.
func TestTotalIsOneFigure(t *testing.T) {
	r := runText(t, pricedJob)
	x := r.result.Total
	if x == nil {
		t.Fatal("no total")
	}
	want := map[string][2]float64{"topping": {1.4, 150}, "mortar": {16, 9}, "Coat: primer": {1, 30}, "Film along the walls": {1, 12}, "Foam along the walls": {10, 1.5}}
	sum := 0.0
	for _, l := range x.Lines {
		if w, ok := want[l.Item]; ok {
			if math.Abs(l.Quantity-w[0]) > 1e-9 || l.Price == nil || *l.Price != w[1] {
				t.Errorf("%s: %g at %v, want %g at %g", l.Item, l.Quantity, l.Price, w[0], w[1])
			}
			delete(want, l.Item)
		}
		if l.Amount == nil {
			if l.Item != "Chairs" {
				t.Errorf("%s has no price", l.Item)
			}
			continue
		}
		sum += l.Quantity * *l.Price
	}
	if len(want) > 0 {
		t.Errorf("not in the total: %v", want)
	}
	// Bars: 6 m of stock; filler and rod: as the lists of the job have them.
	byHand := 1.4*150 + 16*9 + 30 + 12 + 15 + 6*float64(r.result.Bars.Stock) + 8*float64(r.result.Joints.Packs) + 0.5*r.result.Joints.Rod + 1.5*6
	if math.Abs(sum-x.Amount) > 1e-9 || math.Abs(byHand-x.Amount) > 1e-9 {
		t.Errorf("total %g, lines %g, by hand %g", x.Amount, sum, byHand)
	}
	if x.Complete || !strings.Contains(strings.Join(x.Not, "\n"), "chairs") || !strings.Contains(strings.Join(r.result.Warnings, "\n"), "total price: without chairs, as no price is given") {
		t.Errorf("chairs have no price: %+v, %q", x, r.result.Warnings)
	}

	// The same figure on the terminal, in the record and in the workbook.
	shown := regexp.MustCompile(`(?m)^Price +([0-9.]+) euros; no price given: chairs$`).FindStringSubmatch(r.terminal)
	if shown == nil || shown[1] != strconv.FormatFloat(x.Amount, 'f', 2, 64) {
		t.Errorf("terminal %v, want %.2f\n%s", shown, x.Amount, r.terminal)
	}
	page := r.page(t)
	if !strings.Contains(page, strconv.FormatFloat(x.Amount, 'f', 2, 64)) {
		t.Errorf("the record does not hold %.2f", x.Amount)
	}
	book := r.book(t)
	rows, err := book.GetRows("Price of the job", excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	total := ""
	for i, row := range rows {
		if len(row) > 0 && strings.HasPrefix(row[0], "Total") {
			total = "E" + strconv.Itoa(i+1)
		}
	}
	at := func() float64 {
		t.Helper()
		got, err := book.CalcCellValue("Price of the job", total, excelize.Options{RawCellValue: true})
		v, errV := strconv.ParseFloat(got, 64)
		if err != nil || errV != nil {
			t.Fatal(err, errV)
		}
		return v
	}
	if v := at(); math.Abs(v-x.Amount) > 1e-6 {
		t.Errorf("workbook %g, want %g", v, x.Amount)
	}
	// A price changed in the take-off changes the total: 1.4 m³ at 100 more.
	takeoff, _ := book.GetRows("Take-off")
	for i, row := range takeoff {
		if len(row) > 0 && row[0] == "Price of the mix" {
			if err := book.SetCellValue("Take-off", "B"+strconv.Itoa(i+1), 250); err != nil {
				t.Fatal(err)
			}
		}
	}
	if v := at(); math.Abs(v-x.Amount-140) > 1e-6 {
		t.Errorf("with 100 more a m³ the workbook has %g, want %g", v, x.Amount+140)
	}
}

// The filler is counted at the depth that is shown: 18 ft of a joint 3/8 in wide and 1/4 in deep
// are 20.25 in³, 0.0877 gal of 231 in³, with the usual step of a rule.
func TestFillerIsCountedAtTheDepthShown(t *testing.T) {
	r := runText(t, strings.Replace(ramp, "[survey]", "show = \"feet\"\n[survey]", 1)+"[joints]\nlength = \"18ft\"\nwidth = \"3/8in\"\nelastic = true\n")
	if got, want := r.result.Joints.Filler, 18*12*0.375*0.25*16.387064e-3; math.Abs(got-want) > 1e-9 {
		t.Errorf("%g L of filler, want %g", got, want)
	}
	page := r.page(t)
	if !strings.Contains(page, `1/4&#34; deep`) && !strings.Contains(page, `1/4" deep`) {
		t.Error("the record does not show filler 1/4 in deep")
	}
}

// Shots along a wall make no more walls of it: by hand 50 mm and more are from x = 2.25 m, on
// the whole east wall and in the pieces of the south and north walls between the shots at
// x = 2 and 6 m.
func TestFoamNamesWallsNotPieces(t *testing.T) {
	r := runText(t, ramp+"[edge]\nfoam = \"5mm\"\nfoam-height = \"50mm\"\n")
	if got := strings.Join(r.result.Warnings, "\n"); !regexp.MustCompile(`lower than the fill along (south|east|north) wall, (south|east|north) wall and (south|east|north) wall, 12\.000 m, max depth 100 mm`).MatchString(got) {
		t.Errorf("warnings %s", got)
	}
}

// Without any price there is no total and no word of one; usual bags have a price of their own.
func TestTotalWithoutPrices(t *testing.T) {
	r := runText(t, ramp)
	if r.result.Total != nil || regexp.MustCompile(`(?m)^Price`).MatchString(r.terminal) || strings.Contains(strings.Join(r.result.Warnings, "\n"), "price") {
		t.Errorf("total %+v, %q\n%s", r.result.Total, r.result.Warnings, r.terminal)
	}
	// 0.24 m³ at a target 50 mm lower, with 5 % 0.252 m³ and 21.53 bags.
	low := strings.Replace(ramp, `"0m"`, `"-0.05m"`, 1)
	r = runText(t, low+"[mix]\nprice-per-bag = 4\n")
	if b, x := r.result.Order.Bags, r.result.Total; b == nil || x == nil || x.Amount != 4*float64(b.Count) || !x.Complete {
		t.Errorf("bags %+v, total %+v", b, x)
	}
}

// A job in feet has no litres, kilograms or cubic metres in what is shown of its order, and one
// in metres no yards, feet or pounds.
func TestUnitsDoNotLeakIntoTheOrder(t *testing.T) {
	for _, c := range []struct{ show, bad string }{
		{"feet", `[0-9] (L|m³|m²|kg|t|kg/m³|kg/m²|mm)\b`}, {"metric", `[0-9] (gal|yd³|ft³|ft²|lb|lb/ft³|in)\b|7\.65`},
	} {
		r := runText(t, strings.Replace(pricedJob, "[survey]", "show = \""+c.show+"\"\n[survey]", 1))
		book := r.book(t)
		bad := regexp.MustCompile(c.bad)
		for _, s := range []string{"Take-off", "Price of the job", "Coat primer", "Coat- primer", "Along the walls"} {
			rows, _ := book.GetRows(s)
			for _, row := range rows {
				if line := strings.ReplaceAll(strings.Join(row, " | "), "of 8 mm", ""); bad.MatchString(line) {
					t.Errorf("%s: %s", s, line)
				}
			}
		}
		if strings.Join(book.GetSheetList(), " ") == "" {
			t.Error("no sheets")
		}
		if line := bad.FindString(strings.ReplaceAll(r.terminal, "of 8 mm", "")); line != "" {
			t.Errorf("terminal in %s shows %q:\n%s", c.show, line, r.terminal)
		}
	}
}
