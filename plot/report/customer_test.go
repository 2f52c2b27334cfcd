package report

import (
	"fmt"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
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

// Nothing is on the customer's page that the job does not give, and the head of the price says
// what it holds, in the currency of the job.
func TestCustomersPrice(t *testing.T) {
	page := func(mix string) string {
		files := cellar("")
		files["job.toml"], _, _ = strings.Cut(files["job.toml"], "[[materials]]")
		files["job.toml"], _, _ = strings.Cut(files["job.toml"], "[[coats]]")
		files["job.toml"] = regexp.MustCompile(`(?m)^\[mix\]\n(currency.*\n)?`).ReplaceAllString(files["job.toml"], "")
		files["job.toml"] += "[mix]\n" + mix
		return strings.Join(strings.Fields(pagesOf(t, filepath.Join(jobFolder(t, files), "customer.pdf"))[0]), " ")
	}
	text := page("price-per-m3 = 150\ncurrency = \"euro\"\n")
	for _, want := range []string{"price in euro, mix only", "Not in it: charges for short loads and waiting, labour, hire, tax."} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in:\n%s", want, text)
		}
	}
	if text := page("price-per-m3 = 150\n"); !strings.Contains(text, "price, no currency named, mix only") || !strings.Contains(text, "has a cost above; the job names no currency. Not in it") {
		t.Errorf("nothing about the currency in:\n%s", text)
	}
	if regexp.MustCompile(`\btarget\b`).MatchString(text) {
		t.Errorf("a target on the page:\n%s", text)
	}
	if text = page("allowance-percent = 5\n"); strings.Contains(text, "price") {
		t.Errorf("a price that the job does not give:\n%s", text)
	}
}

// With a covering the customer reads what is left for it and where the new floor then meets
// the doors. By hand: the finished floor is 25 mm above the top of the fill at D1, the covering
// and its bed take 20, so 5 mm are left; at D2, 5 mm lower, it is flush.
func TestCustomerSeesWhereTheDoorsMeet(t *testing.T) {
	files := cellar("")
	files["cellar.csv"] = strings.Replace(files["cellar.csv"], "D1,0,2.5,0.000,ADJ", "D1,0,2.5,0.005,ADJ\nD2,7.4,2.5,0.000,ADJ", 1)
	files["job.toml"] = strings.Replace(files["job.toml"], `elevation = "-0.020m"`, "finish = \"0m\"\nbuildup = \"20mm\"", 1)
	text := strings.Join(strings.Fields(pagesOf(t, filepath.Join(jobFolder(t, files), "customer.pdf"))[0]), " ")
	if want := "Up to the finished floor it leaves 25 mm at D1, 20 mm at D2; covering and bed take 20 mm. With the covering on, the new floor is 5 mm lower than the floor at D1, flush at D2."; !strings.Contains(text, want) {
		t.Errorf("no %q in:\n%s", want, text)
	}
}

// What is handed over says what is, not what to type in the job: that is for the screen. The
// grate of a drain has its move to the top of the covering too, and where one plane cannot
// drain to it, that is said.
func TestNothingToTypeInWhatIsHandedOver(t *testing.T) {
	t.Parallel()
	job := "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nfinish = \"0.02m\"\nbuildup = \"20mm\"\n"
	for at, want := range map[string]string{"1.00,1.00": "one plane cannot drain to FD from all sides, 1.000 m from the nearest wall", "0.10,1.00": "a level fill does not drain to FD"} {
		files := fstest.MapFS{"walls.csv": {Data: []byte("x_m,y_m\n0,0\n3,0\n3,2\n0,2\n")},
			"floor.csv": {Data: []byte("point,x (m),y (m),z (m),remarks\n1,0,0,-0.1,\n2,3,0,-0.1,\n3,3,2,-0.1,\n4,0,2,-0.1,\nFD," + at + ",-0.12,DRAIN\nD1,0,1.5,0.02,ADJ - hall\n")}}
		r := ranOn(t, job, files)
		page := strings.Join(regexp.MustCompile(`<[^>]*>`).Split(r.page(t), -1), " ")
		for _, bad := range []string{"[survey]", "[target]", "For a floor shot type", "--fall", "FLR"} {
			if strings.Contains(page, bad) {
				t.Errorf("%q in the record", bad)
			}
		}
		for _, w := range []string{want, "FD: grate up 120 mm to the top of the fill, up 140 mm to the top of the covering", "read as the code ADJ: not counted as floor"} {
			if !strings.Contains(page, w) {
				t.Errorf("no %q in the record", w)
			}
		}
		// Away from the walls it takes a fall from all sides.
		if !strings.Contains(r.terminal, "fall = \"1.5%\"") || strings.Contains(r.terminal, "drains = [\"FD\"]") != (at == "1.00,1.00") {
			t.Errorf("at %s:\n%s", at, r.terminal)
		}
	}
}

// A cut that depends on a reading in doubt is marked: one shot reads 100 mm high on a floor 50
// mm below the target, and only it is above.
func TestCustomersCutIsMarkedIfInDoubt(t *testing.T) {
	var shots strings.Builder
	shots.WriteString("point,x (m),y (m),z (m)\n")
	for i := range 7 {
		for j := range 5 {
			z := -0.050 + 0.001*float64((3*i+2*j)%4)
			if i == 3 && j == 2 {
				z += 0.100
			}
			fmt.Fprintf(&shots, "%d,%d,%d,%.3f\n", 100+5*i+j, i, j, z)
		}
	}
	files := rampFiles()
	files["floor.csv"].Data = []byte(shots.String())
	h := ranOn(t, ramp, files).h
	text := strings.Join(h.customer().Sections[0].Text, "\n")
	if !strings.Contains(text, " (none if shot 117 is misread) is above it and has to be ground") {
		t.Errorf("the cut is not marked:\n%s", text)
	}
	if got := strings.Join(h.summarySection(true).Text, "\n"); !strings.Contains(got, " (none if shot 117 is misread), to be ground") {
		t.Errorf("first page:\n%s", got)
	}
}
