package sheet

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pourplane/plot/table"
)

// A list of prices too long for the customer's page continues with its heads on the next
// page, and the total is on the last.
func TestLongPricesGoOnWithHeads(t *testing.T) {
	t.Parallel()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext (poppler-utils) is not installed")
	}
	prices := table.Table{Title: "Price of the job", Columns: []table.Column{{Name: "Item"}, {Name: "Quantity", Right: true}, {Name: "Unit"}, {Name: "Price of one (dollars)", Right: true}, {Name: "Cost (dollars)", Right: true}}}
	for i := range 60 {
		prices.Rows = append(prices.Rows, []table.Cell{table.Text(fmt.Sprintf("item-%d of some length, as sold", i+1)), table.Text("1"), table.Text("packs"), table.Text("10.00"), table.Text("10.00")})
	}
	prices.Rows = append(prices.Rows, []table.Cell{{Text: "Total", Bold: true}, {}, {}, {}, {Text: "600.00", Bold: true}})
	var b bytes.Buffer
	r := Record{Title: "Hall", Date: "2026-11-25", Program: "pourplane", OnePage: true, Sections: []Section{{Figures: []Figure{{Value: "600.00", Name: "price"}}, Tables: []table.Table{prices}, Lines: []string{"Agreed"}}}}
	if err := WritePDF(&b, r, Letter); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "customer.pdf")
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(tool, "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	pages := strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
	if len(pages) != 2 {
		t.Fatalf("%d pages, want 2", len(pages))
	}
	for i, p := range pages {
		if !strings.Contains(p, "Item") || !strings.Contains(p, "Cost") {
			t.Errorf("page %d has no heads:\n%s", i+1, p)
		}
	}
	for i := range 60 {
		if !strings.Contains(string(out), fmt.Sprintf("item-%d ", i+1)) {
			t.Errorf("item %d is on no page", i+1)
		}
	}
	if strings.Contains(pages[0], "Total") || !strings.Contains(pages[1], "Total") || !strings.Contains(pages[1], "Agreed") {
		t.Error("the total and the signature are not on the last page alone")
	}
}
