package report

import (
	"path/filepath"
	"strings"
	"testing"
)

// Finished floors that set the target and differ are named on every page with a target.
func TestPagesNameDoorsThatDiffer(t *testing.T) {
	files := garage("")
	files["garage.csv"] = strings.Replace(files["garage.csv"], "elevation ft\n", "elevation ft,code\n", 1) + "D1,8,-0.3,100.1,ADJ\nD2,16.3,4,101.11,ADJ\n"
	files["job.toml"] = strings.Replace(files["job.toml"], "elevation = \"100.05ft\"", "finish-codes = [\"ADJ\"]\nbuildup = \"1/2in\"", 1)
	dir := jobFolder(t, files)
	for _, name := range []string{"pins.pdf", "wall.pdf", "record.pdf"} {
		text := strings.Join(strings.Fields(strings.Join(pagesOf(t, filepath.Join(dir, name)), " ")), " ")
		want := []string{"D1 and D2 are both adjoining finished floor", "most likely a misread rod"}
		if name == "wall.pdf" { // in columns, whose lines the text mixes
			want = []string{"D1 and D2 are both"}
		}
		for _, w := range want {
			if !strings.Contains(text, w) {
				t.Errorf("%s lacks %q:\n%s", name, w, text)
			}
		}
	}
}

// So is a lower shot beside the walls that has no code: the crew may pour by these pages alone.
func TestPagesNameALowerDoorThatHasNoPart(t *testing.T) {
	files := garage("")
	files["garage.csv"] = strings.Replace(files["garage.csv"], "elevation ft\n", "elevation ft,code\n", 1) + "D1,8,-0.3,100.10,\nD2,16.3,4,100.12,ADJ\n"
	files["job.toml"] = strings.Replace(files["job.toml"], "elevation = \"100.05ft\"", "finish-codes = [\"ADJ\"]\nbuildup = \"1/2in\"", 1)
	dir := jobFolder(t, files)
	for _, name := range []string{"pins.pdf", "wall.pdf", "record.pdf"} {
		text := strings.Join(strings.Fields(strings.Join(pagesOf(t, filepath.Join(dir, name)), " ")), " ")
		if want := "D1: left out,"; !strings.Contains(text, want) {
			t.Errorf("%s lacks %q:\n%s", name, want, text)
		}
	}
}
