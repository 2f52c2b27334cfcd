package report

import (
	"regexp"
	"strings"
	"testing"
)

// Without a currency a price is the bare number; with one it has the word, everywhere.
func TestPricesWithoutCurrency(t *testing.T) {
	all := "[outputs]\nways = true\n"
	for _, c := range []struct{ name, job, price, one, total, each string }{
		{"none", strings.Replace(pricedJob, "currency = \"euros\"\n", "", 1) + all, `(?m)^Price +[0-9.]+; no price given: chairs$`, "Price of one", "Price of one<", "per m³"},
		{"euros", pricedJob + all, `(?m)^Price +[0-9.]+ euros; no price given: chairs$`, "Price of one (euros)", "Price of one (euros)<", "euros per m³"},
	} {
		r := runText(t, c.job)
		if !regexp.MustCompile(c.price).MatchString(r.terminal) {
			t.Errorf("%s: no %s in\n%s", c.name, c.price, r.terminal)
		}
		page := r.page(t)
		if !strings.Contains(page, c.total) {
			t.Errorf("%s: no %s in the record", c.name, c.total)
		}
		book := r.book(t)
		var cells []string
		for _, sheet := range book.GetSheetList() {
			rows, err := book.GetRows(sheet)
			if err != nil {
				t.Fatal(err)
			}
			for _, row := range rows {
				cells = append(cells, row...)
			}
		}
		text := "\n" + strings.Join(cells, "\n") + "\n"
		for _, want := range []string{c.one, c.each} {
			if !strings.Contains(text, "\n"+want+"\n") {
				t.Errorf("%s: no cell %q in the workbook", c.name, want)
			}
		}
		for what, out := range map[string]string{"terminal": r.terminal, "record": page, "workbook": text} {
			if bad := regexp.MustCompile(`\bmoney\b|Cost \(\)|Price of one \(\)`).FindString(out); bad != "" {
				t.Errorf("%s: %q in the %s", c.name, bad, what)
			}
		}
	}
}
