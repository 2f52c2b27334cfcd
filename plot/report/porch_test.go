package report

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// porchShots are rod readings in 1/16 in of a porch of 12 by 8 ft that falls 1/8 in a foot, to
// within 1/4 in, with the hall door on its high side and the side door 4 ft lower down the fall.
func porchShots() string {
	var b strings.Builder
	b.WriteString("setup,sight,point,x_ft,y_ft,rod_ft_in,code,note\nS1,BS,BM1,0,8,4-2,BM,screw in the door sill\nS1,IS,D1,6,8,4-2,ADJ,hall\nS1,IS,D2,12,4,4-2 1/4,ADJ,side door\n")
	n := 101
	for j, y := range []float64{0.25, 4, 7.75} {
		for i, x := range []float64{0.25, 4, 8, 11.75} {
			sixteenths := int(16*(2.5+(8-y)/8)) + (5*i+3*j)%5
			fmt.Fprintf(&b, "S1,IS,%d,%g,%g,4-%d %d/16,FLR,\n", n, x, y, 2+sixteenths/16, sixteenths%16)
			n++
		}
	}
	b.WriteString("S1,FS,BM1,0,8,4-2,BM,\n")
	return b.String()
}

const porchJob = `[survey]
files = ["porch.csv"]
outline = "walls.csv"
benchmarks = { BM1 = "100ft" }
[target]
finish-codes = ["ADJ"]
buildup = "3/4in"
fall = "1/8in/ft"
toward = "S"
covering = "9/16in"
[site]
bearing = "ground"
[[materials]]
name = "topping concrete"
least = "1in"
greatest = "6in"
price-per-yd3 = 160.0
[mix]
currency = "dollars"
[pins]
spacing = "2ft"
rule-step = "1/8in"
`

func porch(t *testing.T, text string) *Handover {
	t.Helper()
	return ranOn(t, text, fstest.MapFS{"porch.csv": {Data: []byte(porchShots())}, "walls.csv": {Data: []byte("x_ft,y_ft\n0,0\n12,0\n12,8\n0,8\n")}}).h
}

// Pins at one level have one rod, whatever their heights are rounded by. By hand: the target is
// 3/4" below BM1 at the hall door and falls 1/8" a foot from there, so a pin y ft north has
// 3/4" + (8 − y)/8" more, to the next 1/16".
func TestRodsDownAFall(t *testing.T) {
	h := porch(t, porchJob)
	r := h.rodFrom()
	u := h.Style
	seen := map[string]bool{}
	for _, p := range h.Pins.Pins {
		sixteenths := int(12 + 2*(8-p.At.Y/0.3048) + 0.999)
		want := "+" + u.Depth(float64(sixteenths)*0.0254/16)
		if got := h.rodMore(r, p); got != want {
			t.Errorf("%s at %v: rod %s, want %s", p.Name, p.At, got, want)
		}
		seen[want] = true
	}
	if len(seen) < 4 {
		t.Errorf("rods %v: too few levels", seen)
	}
	got := strings.Join(h.wall().Sections[0].Text, "\n")
	if want := `Rod on each mark: pins.pdf. Set the marks with the level. The heights are a check: a mark comes out 1/16" below to 1/8" above its height.`; !strings.Contains(got, want) {
		t.Errorf("wall:\n%s", got)
	}
}

// The customer reads what is left at each door, as the record has it, and what covering and bed
// take of it; a door has the name of the remark without its code. By hand: the target is 1/2"
// lower at the side door, whose floor is 1/4" lower, so 3/4" + 1/4" = 1" is left there.
func TestCustomerOfAFallingPorch(t *testing.T) {
	files := strings.Replace(porchShots(), "ADJ,hall", "ADJ,ADJ - hall", 1)
	h := ranOn(t, porchJob, fstest.MapFS{"porch.csv": {Data: []byte(files)}, "walls.csv": {Data: []byte("x_ft,y_ft\n0,0\n12,0\n12,8\n0,8\n")}}).h
	want := `Up to the finished floor it leaves 3/4" at hall (D1), 1" at side door (D2); covering and bed take 3/4". With the covering on, the new floor is flush at hall (D1), 1/4" lower than the floor at side door (D2).`
	if got := strings.Join(h.customer().Sections[0].Text, "\n"); !strings.Contains(got, want) {
		t.Errorf("no %q in:\n%s", want, got)
	}
}
