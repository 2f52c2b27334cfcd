package report

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/plot"
	"pourplane/plot/sheet"
	"pourplane/surface/job"
)

// pagesOf returns the text of each page of a PDF from poppler, which is independent of
// this program.
func pagesOf(t *testing.T, name string) []string {
	t.Helper()
	path, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("found no pdftotext on the path: pages are not counted")
	}
	text, err := exec.Command(path, "-layout", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSuffix(string(text), "\f"), "\f")
}

// jobFolder solves a job and returns a folder with everything that it makes.
func jobFolder(t *testing.T, files map[string]string) string {
	t.Helper()
	in := fstest.MapFS{}
	for name, text := range files {
		in[name] = &fstest.MapFile{Data: []byte(text)}
	}
	j, err := job.Parse([]byte(files["job.toml"]), "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	done, err := job.Solve(t.Context(), j, in, nil)
	if err != nil {
		t.Fatal(err)
	}
	h, err := NewHandover(done, StyleOf(done))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		h.Inputs = append(h.Inputs, FileSum{name, len(files[name]), fmt.Sprintf("%x", sha256.Sum256([]byte(files[name])))})
	}
	return folderOf(t, h)
}

// folderOf returns a folder with everything that a job makes.
func folderOf(t *testing.T, h *Handover) string {
	t.Helper()
	all, err := h.Everything(nil)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, f := range all {
		if err := os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// cellar is a basement of 7.40 × 5.00 m, 37 m², 35 to 85 mm deep, filled with mortar
// from bags, primed, with a price for everything.
func cellar(outputs string) map[string]string {
	var shots strings.Builder
	fmt.Fprintln(&shots, "point,x (m),y (m),z (m),code")
	for i := range 8 {
		for j := range 6 {
			x, y := 0.1+7.2*float64(i)/7, 0.1+4.8*float64(j)/5
			fmt.Fprintf(&shots, "%d,%.3f,%.3f,%.3f,FLR\n", 100+6*i+j, x, y, -0.055-0.030*math.Sin(x/2.5)-0.020*y/5)
		}
	}
	fmt.Fprintln(&shots, "D1,0,2.5,0.000,ADJ")
	return map[string]string{
		"cellar.csv": shots.String(),
		"walls.csv":  "part,ring,x_m,y_m\ncellar,outer,0,0\ncellar,outer,7.4,0\ncellar,outer,7.4,5\ncellar,outer,0,5\n",
		"job.toml": `title = "Cellar"
date = 2026-11-25
[survey]
files = ["cellar.csv"]
outline = "walls.csv"
[target]
elevation = "-0.020m"
[site]
bearing = "ground"
[mix]
currency = "euro"
[[materials]]
name = "floor mortar"
least = "10mm"
greatest = "90mm"
bag-yield = "14l"
price-per-bag = 9.5
[[coats]]
name = "primer"
cover-m2-per-litre = 6
pack-litres = 5
price-per-pack = 48.0
` + outputs,
	}
}

// A record is short, and begins with three numbers and the map.
func TestRecordIsShort(t *testing.T) {
	small := pagesOf(t, filepath.Join(jobFolder(t, cellar("")), "record.pdf"))
	if len(small) > 4 {
		t.Errorf("the record of a basement of 37 m² has %d pages, want at most 4", len(small))
	}
	demo := folderOf(t, hall(t))
	pages := pagesOf(t, filepath.Join(demo, "record.pdf"))
	if len(pages) > 13 {
		t.Errorf("the record of the demo has %d pages, want at most 13", len(pages))
	}
	for _, want := range []string{`8.25 yd³ + 7 bags`, "7.32 yd³", `3/8" to 4 5/8"`, "Depth of fill from the old floor to the target", "licensed engineer"} {
		if !strings.Contains(pages[0], want) {
			t.Errorf("page 1 of the record does not show %q:\n%s", want, pages[0])
		}
	}
	// What makes the volume unsure, and where the depth is: beside the depths, on a page with others.
	sure := ""
	for _, page := range pages {
		if strings.Contains(page, "± of the depth, inches") {
			sure = strings.Join(strings.Fields(page), " ")
		}
	}
	for _, want := range []string{"Depths ± of the depth: mean ±", "How well the depth is known", "readings ±0.02, set-up ±0.18, between shots ±0.04, at walls ±0.03, together ±0.19 yd³, assumed: reading error", "The order line by line"} {
		if !strings.Contains(sure, want) {
			t.Errorf("the page with the map of the ± does not show %q:\n%s", want, sure)
		}
	}
	for _, name := range []string{"wall.pdf", "customer.pdf"} {
		if n := len(pagesOf(t, filepath.Join(demo, name))); n != 1 {
			t.Errorf("%s has %d pages, want 1", name, n)
		}
	}
	if customer := pagesOf(t, filepath.Join(demo, "customer.pdf"))[0]; !strings.Contains(customer, "Depth of fill, inches") || !strings.Contains(customer, "Agreed") {
		t.Errorf("the page for the customer has no map, or no line to sign:\n%s", customer)
	} else if text := strings.Join(strings.Fields(customer), " "); !strings.HasPrefix(text, "Bottling hall not an offer") || !strings.Contains(text, "materials only, without 7 of 10 items,") || !strings.Contains(text, "not a price") || !strings.Contains(text, "1,729.00") ||
		!strings.Contains(text, `one plane, level. Up to the finished floor, for the covering, it leaves 3/4" at door A south end (A1), 13/16" at door A north end (A2)`) {
		t.Errorf("the customer does not see what has no price, or how far the fill is below the doors:\n%s", customer)
	}
	wall := pagesOf(t, filepath.Join(demo, "wall.pdf"))[0]
	for _, want := range []string{`8.25 yd³ + 7 bags`, `4 5/8"`, "deepest", "W12", "A1", "Rod on the finished fill = rod on BM1"} {
		if !strings.Contains(wall, want) {
			t.Errorf("the wall sheet does not show %q:\n%s", want, wall)
		}
	}
}

// The comparison of ways and the map of the load are there only on request.
func TestRecordHasWhatIsAskedFor(t *testing.T) {
	for _, c := range []struct {
		outputs string
		want    []bool
	}{{"", []bool{false, false}}, {"[outputs]\nways = true\n", []bool{true, false}}, {"[outputs]\nload-map = true\n", []bool{false, true}}} {
		page, err := os.ReadFile(filepath.Join(jobFolder(t, cellar(c.outputs)), "record.html"))
		if err != nil {
			t.Fatal(err)
		}
		if net := strings.Contains(string(page), "Cost, net (euro)") && strings.Contains(string(page), "For the net volume, without allowance, waste, rounding up"); net != c.want[0] {
			t.Errorf("%q: the cost of a way is said to be net: %v", c.outputs, net)
		}
		got := []bool{strings.Contains(string(page), "Ways compared"), strings.Contains(string(page), "Added dead load")}
		if !slices.Equal(got, c.want) {
			t.Errorf("%q: ways, load map: %v, want %v", c.outputs, got, c.want)
		}
	}
}

// The total on the customer's page is the sum of its lines. By hand: the bags × 9.50 and
// the packs × 48.00; 37.00 m² at 6 m²/L are 6.2 L of primer, two packs of 5 L.
func TestCustomerSeesTheTotal(t *testing.T) {
	page := pagesOf(t, filepath.Join(jobFolder(t, cellar("")), "customer.pdf"))[0]
	bags := regexp.MustCompile(`floor mortar +(\d+) +bags +9\.50 +([0-9.,]+)`).FindStringSubmatch(page)
	packs := regexp.MustCompile(`primer +2 +packs +48\.00 +96\.00`).FindString(page)
	total := regexp.MustCompile(`Total +([0-9.,]+)`).FindStringSubmatch(page)
	if bags == nil || packs == "" || total == nil {
		t.Fatalf("no lines of price in:\n%s", page)
	}
	n, _ := strconv.ParseFloat(bags[1], 64)
	cost, _ := strconv.ParseFloat(strings.ReplaceAll(bags[2], ",", ""), 64)
	sum, _ := strconv.ParseFloat(strings.ReplaceAll(total[1], ",", ""), 64)
	if math.Abs(n*9.5-cost) > 0.005 || math.Abs(cost+96-sum) > 0.005 {
		t.Errorf("%g bags at 9.50 are %g, with 96.00 together %g", n, cost, sum)
	}
	head, _, _ := strings.Cut(page, "Item")
	if !strings.Contains(head, total[1]) || !strings.Contains(head, "price in euro") {
		t.Errorf("the total is not at the head of:\n%s", page)
	}
}

// The crew's sheets and the customer's page count the readings in doubt.
func TestReadingsInDoubtOnSheets(t *testing.T) {
	files := cellar("")
	files["cellar.csv"] = regexp.MustCompile(`(?m)^120,([^,]*),([^,]*),-0[.]`).ReplaceAllString(files["cellar.csv"], "120,$1,$2,-1.")
	files["job.toml"] = strings.Replace(files["job.toml"], `greatest = "90mm"`, `greatest = "2m"`, 1)
	dir := jobFolder(t, files)
	sound := jobFolder(t, cellar(""))
	for _, name := range []string{"wall.pdf", "customer.pdf", "pins.pdf"} {
		text := strings.Join(strings.Fields(strings.Join(pagesOf(t, filepath.Join(dir, name)), " ")), " ")
		if !regexp.MustCompile(`1 reading in doubt: shot 120 \(if wrong, [0-9.,]+ m³ less fill\)[.] Read again before you order[.]`).MatchString(text) {
			t.Errorf("%s does not count the reading in doubt:\n%s", name, text)
		}
		if text := strings.Join(pagesOf(t, filepath.Join(sound, name)), " "); strings.Contains(text, "in doubt") {
			t.Errorf("%s of a sound survey has a reading in doubt:\n%s", name, text)
		}
	}
}

// The page for the wall has the heights of nearly all pins, and is landscape for a long
// floor.
func TestWallHasTheHeights(t *testing.T) {
	h := hall(t)
	wall := h.wall()
	if wall.Across {
		t.Error("the page of a floor of 36 ft by 32 ft is landscape")
	}
	if plan, ok := wall.Sections[0].Pictures[0].Drawing.(*plot.SetOutMap); !ok || plan.List != "pins.pdf" {
		t.Error("the plan does not name pins.pdf for what it leaves out")
	}
	var b bytes.Buffer
	if err := sheet.WritePDF(&b, wall, sheet.Letter); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "wall.pdf")
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	left := 0
	if m := regexp.MustCompile(`(\d+) heights?( and \d+ names?)? left out`).FindStringSubmatch(strings.Join(pagesOf(t, file), "")); m != nil {
		left, _ = strconv.Atoi(m[1])
	}
	if left > len(h.Pins.Pins)/20 {
		t.Errorf("%d heights of %d are left out", left, len(h.Pins.Pins))
	}
	var rows strings.Builder
	rows.WriteString("x,y,z\n")
	for x := 0; x <= 24; x += 2 {
		for y := 0; y <= 4; y += 2 {
			fmt.Fprintf(&rows, "%d,%d,%.3f\n", x, y, 10-0.001*float64(x%5))
		}
	}
	dir := jobFolder(t, map[string]string{"long.csv": rows.String(), "job.toml": `date = 2026-11-25
units = "m"
[survey]
files = ["long.csv"]
[target]
elevation = "10.02m"
[pins]
spacing = "2m"
`})
	out, err := exec.Command("pdftotext", "-bbox", filepath.Join(dir, "wall.pdf"), "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	if m := regexp.MustCompile(`<page width="([0-9.]+)" height="([0-9.]+)"`).FindAllStringSubmatch(string(out), -1); len(m) != 1 || m[0][1] != "841.890000" || m[0][2] != "595.280000" {
		t.Errorf("the page of a floor of 24 m by 4 m: %v", m)
	}
}

// The change in height of the grate of a drain is beside it on the plan, and in the
// text. By hand: the target is at −20 mm, so a rim at −95 mm goes up 75 mm and one at +5
// mm goes down 25 mm; a rim 0.4 mm below the target stays.
func TestGratesComeUp(t *testing.T) {
	files := cellar("[pins]\nspacing = \"1.5m\"\n")
	files["cellar.csv"] += "D2,2.2,1.9,-0.095,DRN\nD3,5.2,3.1,0.005,FD\nD4,4.0,1.1,-0.0204,GULLY\nD5,20,1.9,-0.095,DRN\n"
	dir := jobFolder(t, files)
	for _, name := range []string{"pins.pdf", "wall.pdf", "record.pdf"} {
		text := strings.Join(strings.Fields(strings.Join(pagesOf(t, filepath.Join(dir, name)), " ")), " ")
		if want := "Drains, from the old rim to the top of the fill: D2: grate up 75 mm; D3: grate down 25 mm; D4: grate stays."; !strings.Contains(text, want) {
			t.Errorf("%s does not have %q:\n%s", name, want, text)
		}
		for _, want := range []string{"D2, grate up 75 mm", "D3, grate down 25 mm"} {
			if name != "record.pdf" && !strings.Contains(text, want) {
				t.Errorf("the plan of %s does not have %q:\n%s", name, want, text)
			}
		}
	}
}

// The record of a small job takes 4 pages: a bathroom of 12 × 10 ft on a suspended
// floor, with a drain, pins, primer, film and foam.
func TestRecordOfABathroomIsShort(t *testing.T) {
	var shots strings.Builder
	fmt.Fprintln(&shots, "point,x (ft),y (ft),z (ft),code")
	for i := range 6 {
		for j := range 5 {
			x, y := 0.3+11.4*float64(i)/5, 0.3+9.4*float64(j)/4
			fmt.Fprintf(&shots, "%d,%.2f,%.2f,%.3f,FLR\n", 100+5*i+j, x, y, -0.15-0.05*math.Sin(x/3)-0.03*y/10)
		}
	}
	fmt.Fprint(&shots, "D1,0,5,0.05,ADJ\nG1,6,5,-0.2,DRAIN\n")
	dir := jobFolder(t, map[string]string{
		"bath.csv":  shots.String(),
		"walls.csv": "part,ring,x_ft,y_ft\nbath,outer,0,0\nbath,outer,12,0\nbath,outer,12,10\nbath,outer,0,10\n",
		"job.toml": `title = "Bathroom"
date = 2026-11-25
[survey]
files = ["bath.csv"]
outline = "walls.csv"
[target]
elevation = "-0.05ft"
covering = "3/8in"
[site]
bearing = "suspended"
drains = true
[mix]
currency = "dollars"
[pins]
spacing = "3ft"
[[materials]]
name = "leveller"
least = "1/4in"
greatest = "3in"
bag-yield = "0.42ft3"
price-per-bag = 31.0
[[coats]]
name = "primer"
cover-m2-per-litre = 6
pack-litres = 5
price-per-pack = 48.0
[edge]
film = true
roll = "100ft"
foam = "1/4in"
foam-piece = "50ft"
foam-height = "4in"
`,
	})
	pages := pagesOf(t, filepath.Join(dir, "record.pdf"))
	if len(pages) > 4 {
		t.Errorf("%d pages, want at most 4; the last:\n%s", len(pages), pages[len(pages)-1])
	}
	// A map of the ± that can be read would cost a page.
	if text := strings.Join(strings.Fields(pages[1]), " "); !strings.Contains(text, "map in depth-error.pdf") || strings.Contains(text, "± of the depth, inches") {
		t.Errorf("page 2 does not name the file of the map:\n%s", text)
	}
	if all := strings.Join(pages, ""); strings.Contains(all, " 0.0 ft²") {
		t.Errorf("a band without area is listed:\n%s", all)
	}
	if last := pages[len(pages)-1]; !regexp.MustCompile(`bath\.csv, \d+ bytes: [0-9a-f]{64}\n`).MatchString(last) {
		t.Errorf("the last page does not list what went in:\n%s", last)
	}
}

// The page on the wall states where the fill is too thin for the mix, as the terminal does
// beside the order; the customer's page has nothing of it. By hand: the cellar is less than
// 40 mm deep in part, its min is 35 mm.
func TestCrewSeesWhatIsTooThin(t *testing.T) {
	page := func(files map[string]string, name string) string {
		return strings.Join(strings.Fields(pagesOf(t, filepath.Join(jobFolder(t, files), name))[0]), " ")
	}
	const want = "less than 40 mm deep, the usual minimum if bonded; not bonded it takes more."
	concrete := cellar("")
	concrete["job.toml"], _, _ = strings.Cut(concrete["job.toml"], "[[materials]]")
	if text := page(concrete, "wall.pdf"); !strings.Contains(text, "Too thin for concrete on ") || !strings.Contains(text, want) {
		t.Errorf("no %q on the page:\n%s", want, text)
	}
	if text := page(concrete, "customer.pdf"); strings.Contains(text, "Too thin") {
		t.Errorf("for the customer:\n%s", text)
	}
	if text := page(cellar(""), "wall.pdf"); strings.Contains(text, "Too thin") {
		t.Errorf("mortar of 10 mm and more is too thin on the page:\n%s", text)
	}
}

// The order of placing mentions the exit only if the job gives one.
func TestOrderOfPlacing(t *testing.T) {
	shots, walls := "point,x (m),y (m),z (m)\n", "x_m,y_m\n0,0\n8,0\n8,4\n0,4\n"
	for _, p := range []string{"0.2,0.2", "4,0.2", "7.8,0.2", "0.2,2", "4,2", "7.8,2", "0.2,3.8", "4,3.8", "7.8,3.8"} {
		shots += "P" + p[:1] + p[len(p)-1:] + "," + p + ",9.9\n"
	}
	for site, want := range map[string]string{"": "from one end of the floor to the other", "exit = \"0m,2m\"\n": "the farthest from the exit first"} {
		dir := jobFolder(t, map[string]string{"shots.csv": shots, "walls.csv": walls,
			"job.toml": "title = \"Store\"\ndate = 2026-11-25\n[survey]\nfiles = [\"shots.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"10m\"\n[site]\n" + site + "[bays]\nwidth = \"3m\"\n"})
		page, err := os.ReadFile(filepath.Join(dir, "record.html"))
		if err != nil {
			t.Fatal(err)
		}
		if text := string(page); !strings.Contains(text, "Place them in this order, "+want) || strings.Contains(text, "and the exit") != (site != "") {
			t.Errorf("%q: not placed %s, or an exit that there is not", site, want)
		}
	}
}

// Steel that is drawn through the dam between the bays says what becomes of the dam.
func TestSteelThroughDams(t *testing.T) {
	h := hall(t)
	const want = "drawn through dam A: notch the boards"
	if got := strings.Join(h.steelSection().Text, "\n"); !strings.Contains(got, want) {
		t.Errorf("found %q, want %q", got, want)
	}
	h.Bays = nil
	if got := strings.Join(h.steelSection().Text, "\n"); strings.Contains(got, "dam") {
		t.Errorf("without bays: %q", got)
	}
}
