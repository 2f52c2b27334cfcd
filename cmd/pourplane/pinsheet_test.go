package main

import (
	"math"
	"strings"
	"testing"

	"pourplane/plot"
	"pourplane/plot/sheet"
)

// Whatever is printed of a pin is the height of its mark, rounded down once: heads of the
// sheet and the plan, the table, the list as numbers.
func TestOnePinHasOneHeight(t *testing.T) {
	h := demoHandover(t)
	least, greatest := h.pins.Least, h.pins.Greatest
	if h.mark(greatest) == h.style.Depth(greatest.Depth) {
		t.Fatalf("the deepest pin, %s, rounds down and to the nearest alike: the demo shows nothing", greatest.Name)
	}
	text := h.pinText()
	for _, want := range []string{h.mark(least) + " (" + least.Name + ")", h.mark(greatest) + " (" + greatest.Name + ")"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q does not have %q", text, want)
		}
	}
	for _, crew := range []bool{true, false} {
		table := h.pinTable(crew)
		for i, p := range h.pins.Pins {
			found := false
			for _, c := range table.Rows[i] {
				found = found || c.Text == h.mark(p)
			}
			if !found {
				t.Errorf("the row of %s does not have %s", p.Name, h.mark(p))
			}
		}
	}
	for i, q := range h.setOutMap(true, false, false).Pins {
		if want := strings.TrimSuffix(h.mark(h.pins.Pins[i]), `"`); q.Text != want {
			t.Errorf("the plan has %s at %s, want %s", q.Text, q.Name, want)
		}
	}
}

// The rod on a mark reads what it reads on the benchmark and the difference of the two
// elevations: derived, a reading is the height of the line of sight above the rod's foot.
func TestRodOnAMark(t *testing.T) {
	h := demoHandover(t)
	r := h.rodFrom()
	if r == nil || r.name != "BM1" || math.Abs(r.elevation-100*0.3048) > 1e-12 {
		t.Fatalf("the rod is read on %+v, want BM1 at 100 ft", r)
	}
	for _, p := range h.pins.Pins {
		if p.Depth <= 0 {
			continue
		}
		sight := r.elevation + 1.3 // m, a line of sight anywhere
		onBM, onMark := sight-r.elevation, sight-(p.Floor+p.Height)
		if want := "+" + h.style.Depth(onMark-onBM); h.rodMore(r, p) != want {
			t.Errorf("%s: %s, want %s", p.Name, h.rodMore(r, p), want)
		}
	}
	p := h.pins.Pins[0]
	p.Floor += 1
	if got := h.rodMore(r, p); !strings.HasPrefix(got, "−") {
		t.Errorf("a mark above the benchmark reads %s", got)
	}
	p.Depth = 0
	if got := h.rodMore(r, p); got != "" {
		t.Errorf("a pin without a mark reads %s", got)
	}
	// Without a benchmark a shot on the adjoining finished floor serves, without either
	// nothing does.
	h.survey.Book = nil
	if r := h.rodFrom(); r == nil || r.name != "A1" {
		t.Errorf("the rod is read on %+v, want A1", r)
	}
	h.survey.Finished = nil
	if r := h.rodFrom(); r != nil {
		t.Errorf("the rod is read on %+v", r)
	}
}

// Where the lettering has no room on one page, the plan is split: over its sheets every
// pin has name and height, and is whole with them on one.
func TestPinPlanIsSplit(t *testing.T) {
	h := demoHandover(t)
	m := h.setOutMap(true, false, false)
	m.Scale = 96
	all, name := scales(h.style)
	var s sheet.PinSheet
	if err := splitPins(&s, m, all[:6], name, sheet.Letter); err != nil {
		t.Fatal(err)
	}
	if len(s.Parts) < 2 || len(s.Parts) > mostSheets {
		t.Fatalf("%d sheets", len(s.Parts))
	}
	whole := s.Parts[0].Plan.(*plot.SetOutMap)
	if names, heights, err := whole.Unwritten(); err != nil || names+heights > 0 {
		t.Errorf("%d names and %d heights find no room on the sheets: %v", names, heights, err)
	}
	overview := s.Plan.(*plot.SetOutMap)
	if len(overview.Windows) != len(s.Parts) {
		t.Errorf("%d frames on the overview for %d sheets", len(overview.Windows), len(s.Parts))
	}
	const reach = 36 * 0.0254 / 72 // m of paper: lettering of 11 pt reaches no farther from its pin
	air := reach * whole.Scale
	lo, hi := h.floor.Bounds()
	for _, p := range whole.Pins {
		found := false
		for _, w := range overview.Windows {
			// At the edge of the floor the lettering is inside.
			in := func(v, from, to, least, most float64) bool {
				return v >= from+min(air, max(0, v-least)) && v <= to-min(air, max(0, most-v))
			}
			found = found || in(p.At.X, w.Lo.X, w.Hi.X, lo.X, hi.X) && in(p.At.Y, w.Lo.Y, w.Hi.Y, lo.Y, hi.Y)
		}
		if !found {
			t.Errorf("pin %s is whole on no sheet", p.Name)
		}
	}
	for _, part := range s.Parts {
		roomW, roomH := sheet.PlanRoom(sheet.Letter, false)
		acrossW, acrossH := sheet.PlanRoom(sheet.Letter, true)
		size := part.Window.Size()
		if !(size.X <= roomW+1e-6 && size.Y <= roomH+1e-6 || size.X <= acrossW+1e-6 && size.Y <= acrossH+1e-6) {
			t.Errorf("sheet %s is %v", part.Name, size)
		}
		if part.Scale != name(whole.Scale) {
			t.Errorf("sheet %s is at %s, want %s", part.Name, part.Scale, name(whole.Scale))
		}
	}
	// Where all has room nothing is split.
	m.Scale = 12
	one := sheet.PinSheet{}
	if err := splitPins(&one, m, all[:0], name, sheet.Letter); err != nil || one.Parts != nil {
		t.Errorf("%d sheets of a plan that has room: %v", len(one.Parts), err)
	}
}
