package report

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/job"
)

// garage is a floor of 16 by 12 ft whose shot 7 was read a foot low.
func garage(more string) map[string]string {
	var shots strings.Builder
	shots.WriteString("name,easting ft,northing ft,elevation ft\n")
	for k := range 20 {
		i, j := k%5, k/5
		z := 99.8 - 0.016*float64(i) + 0.024*float64(j)
		if k+1 == 7 {
			z--
		}
		fmt.Fprintf(&shots, "%d,%d,%d,%.3f\n", k+1, 4*i, 4*j, z)
	}
	return map[string]string{
		"garage.csv": shots.String(), "walls.csv": "easting ft,northing ft\n0,0\n16,0\n16,12\n0,12\n",
		"job.toml": `title = "Garage"
date = 2026-11-25
[survey]
files = ["garage.csv"]
outline = "walls.csv"
[target]
elevation = "100.05ft"
[site]
bearing = "ground"
[[materials]]
name = "topping concrete"
least = "1 1/2in"
greatest = "16in"
` + more,
	}
}

// A pin whose height a misread shot changes is marked in list and plan, and is not the one
// that the others are begun from.
func TestPinsThatDependOnAShotInDoubt(t *testing.T) {
	for _, c := range []struct{ more, start string }{
		{"", "start placing at W4, the deepest pin that is not in doubt"},
		{"[bays]\nwidth = \"6ft\"\n", "start placing at W2, the deepest pin in bay 1 that is not in doubt"},
	} {
		dir := jobFolder(t, garage(c.more))
		if text := strings.Join(pagesOf(t, filepath.Join(dir, "customer.pdf")), " "); strings.Contains(text, "before setting") {
			t.Errorf("the customer is told of pins:\n%s", text)
		}
		for _, name := range []string{"pins.pdf", "wall.pdf"} {
			text := strings.Join(strings.Fields(strings.Join(pagesOf(t, filepath.Join(dir, name)), " ")), " ")
			start := c.start
			if name == "wall.pdf" { // in columns, whose lines the text mixes
				_, start, _ = strings.Cut(start, "placing at ")
				start, _, _ = strings.Cut(start, " ")
			}
			for _, want := range []string{"! A1, W1, W12 depend on shot 7, in doubt: check before setting.", "(A1, in doubt)", start, "! 3 in doubt: check before setting"} {
				if !strings.Contains(text, want) {
					t.Errorf("%s does not say %q:\n%s", name, want, text)
				}
			}
		}
	}
}

// Files for other programs mark the same pins: the JSON, the list, the plan and its GeoJSON.
func TestFilesMarkPinsInDoubt(t *testing.T) {
	dir := jobFolder(t, garage(""))
	for name, want := range map[string][]string{
		"result.json":   {`{"pin":"A1","reading":"shot7"}`, `{"pin":"W1","reading":"shot7"}`, `{"pin":"W12","reading":"shot7"}`},
		"plan.dxf":      {"!indoubt:shot7"},
		"pins.csv":      {"indoubt", ",shot7"},
		"floor.geojson": {`"in_doubt":true`, `"in_doubt":false`},
	} {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Join(strings.Fields(string(data)), "")
		for _, w := range want {
			if !strings.Contains(text, w) {
				t.Errorf("%s: no %s", name, w)
			}
		}
		if n := strings.Count(text, "!indoubt"); name == "plan.dxf" && n != 3 {
			t.Errorf("the plan marks %d pins, want 3", n)
		}
	}
}

// What is ordered instead, if a reading is wrong, is what the corrected survey orders.
func TestOrderIfAReadingIsWrong(t *testing.T) {
	for _, c := range []struct{ target, instead, corrected string }{
		{"100.05ft", "Order 2.50 yd³ (2.00 yd³ if shot 7 is misread), 1 truck", "2.00 yd³, 1 truck"},
		{"99.95ft", "If shot 7 is wrong, order about 1.09 yd³, in bags: too little for a truck", "concrete mix for 1.09 yd³; too little for a truck"},
	} {
		files := garage("")
		right := strings.Replace(files["garage.csv"], "7,4,4,98.808", "7,4,4,99.808", 1)
		var said []string
		for _, shots := range []string{files["garage.csv"], right} {
			_, text := filled(t, fstest.MapFS{"room.csv": {Data: []byte(shots)}, "walls.csv": {Data: []byte(files["walls.csv"])}}, func(j *job.Job) { j.Target.Elevation = c.target })
			said = append(said, strings.Join(strings.Fields(text), " "))
		}
		if !strings.Contains(said[0], "0.59 yd³ less fill") || !strings.Contains(said[0], c.instead) {
			t.Errorf("to %s: want %q in\n%s", c.target, c.instead, said[0])
		}
		if !strings.Contains(said[1], c.corrected) || strings.Contains(said[1], "In doubt") {
			t.Errorf("to %s, corrected: want %q in\n%s", c.target, c.corrected, said[1])
		}
	}
}

// The order in large letters has beside it what is ordered if the shot in doubt is misread, as
// the terminal has. By hand 16 by 12 ft, on average 0.246 ft below the target, take 1.75 yd³, and
// 2.00 with 5 % in steps; the hole of a foot adds 0.59 yd³.
func TestOrderIfMisreadIsBesideTheOrder(t *testing.T) {
	dir := jobFolder(t, garage(""))
	for _, name := range []string{"wall.pdf", "record.pdf"} {
		text := strings.Join(strings.Fields(pagesOf(t, filepath.Join(dir, name))[0]), " ")
		if want := "to order: topping concrete (2.00 yd³ if"; !strings.Contains(text, want) {
			t.Errorf("%s lacks %q:\n%s", name, want, text)
		}
	}
}
