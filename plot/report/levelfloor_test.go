package report

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// A level floor has one depth: no sheet writes it as a range of it to itself.
func TestOneDepthIsNoRange(t *testing.T) {
	var shots strings.Builder
	shots.WriteString("point,x (m),y (m),z (m)\n")
	for i := range 35 {
		fmt.Fprintf(&shots, "%d,%d,%d,10\n", 100+i, i%7, i/7)
	}
	files := fstest.MapFS{"floor.csv": {Data: []byte(shots.String())}, "walls.csv": rampFiles()["walls.csv"]}
	r := ranOn(t, strings.Replace(ramp, "0m", "10.1m", 1)+"[pins]\nspacing = \"2m\"\n", files)
	sum := &Summary{Filled: r.h.Filled, Style: r.h.Style}
	shades := sum.Shades()
	if len(shades) != 1 || shades[0].Text != "100 mm" {
		t.Errorf("shades %v", shades)
	}
	page := r.page(t)
	for _, want := range []string{"Depth of fill: 100 mm all over", "all marks 100 mm; start placing at"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q", want)
		}
	}
	if i := strings.Index(page, "100 mm to 100 mm"); i >= 0 {
		t.Errorf("%q", page[max(0, i-60):i+20])
	}
}
