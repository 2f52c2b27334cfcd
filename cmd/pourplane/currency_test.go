package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// Without a currency a price is the bare number; with one it has the word, everywhere.
func TestPricesWithoutCurrency(t *testing.T) {
	all := "[outputs]\nways = true\n"
	for _, c := range []struct{ name, job, price, one, total, each string }{
		{"none", strings.Replace(pricedJob, "currency = \"euros\"\n", "", 1) + all, `(?m)^Price +[0-9.]+, without 1 of 9 items$`, "Price of one", "Price of one<", "per m³"},
		{"euros", pricedJob + all, `(?m)^Price +[0-9.]+ euros, without 1 of 9 items$`, "Price of one (euros)", "Price of one (euros)<", "euros per m³"},
	} {
		r := runText(t, c.job)
		if !regexp.MustCompile(c.price).MatchString(r.terminal) {
			t.Errorf("%s: no %s in\n%s", c.name, c.price, r.terminal)
		}
		page, err := os.ReadFile(filepath.Join(r.folder, "record.html"))
		if err != nil || !strings.Contains(string(page), c.total) {
			t.Errorf("%s: no %s in the record, %v", c.name, c.total, err)
		}
		book, err := excelize.OpenFile(filepath.Join(r.folder, "takeoff.xlsx"))
		if err != nil {
			t.Fatal(err)
		}
		defer book.Close()
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
		for what, out := range map[string]string{"terminal": r.terminal, "record": string(page), "workbook": text} {
			if bad := regexp.MustCompile(`\bmoney\b|Cost \(\)|Price of one \(\)`).FindString(out); bad != "" {
				t.Errorf("%s: %q in the %s", c.name, bad, what)
			}
		}
	}
}

// A covering without a finished shot changes no figure, and is refused by its key.
func TestCoveringWithoutFinishedShots(t *testing.T) {
	_, status, diag := tryText(t, ramp+"covering = \"10mm\"\n")
	if status != refused || !strings.Contains(diag, "job.toml:8:1: target.covering: ") || !strings.Contains(diag, "floor.csv has none, and the target is not lowered by it") || !strings.Contains(diag, "hint: leave target.covering out") {
		t.Errorf("status %d: %s", status, diag)
	}
	if r := runText(t, "units = \"m\"\n"+strings.Replace(ramp, "[target]", "after = [\"check.csv\"]\n[target]", 1)+"covering = \"10mm\"\n"); r.folder == "" {
		t.Error("nothing is made of a covering with a survey after the pour")
	}
}
