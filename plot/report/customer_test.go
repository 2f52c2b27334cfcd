package report

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The customer's map has the names of the doors that the text gives the heights at.
func TestCustomersMapNamesTheDoors(t *testing.T) {
	files := garage("")
	files["garage.csv"] += "A1,0,6,100.2\nB2,16,6,100.3\n"
	files["garage.csv"] = strings.Replace(files["garage.csv"], "7,4,4,98.808", "7,4,4,99.808", 1)
	files["garage.csv"] = regexp.MustCompile(`(?m)$`).ReplaceAllString(strings.TrimSpace(files["garage.csv"]), ",")
	files["garage.csv"] = strings.NewReplacer("elevation ft,", "elevation ft,code", "100.200,", "100.200,SILL", "100.2,", "100.2,SILL", "100.3,", "100.3,SILL").Replace(files["garage.csv"]) + "\n"
	files["job.toml"] = strings.Replace(files["job.toml"], "[target]", "codes = { SILL = \"finished\" }\n[target]", 1)
	text := strings.Join(pagesOf(t, filepath.Join(jobFolder(t, files), "customer.pdf")), " ")
	for _, door := range []string{"A1", "B2"} {
		if n := strings.Count(text, door); n < 2 {
			t.Errorf("%s is there %d times, want it in the text and on the map:\n%s", door, n, text)
		}
	}
	if !strings.Contains(text, "adjoining finished floor") || strings.Contains(text, "(+)") {
		t.Errorf("the legend is wrong:\n%s", text)
	}
}
