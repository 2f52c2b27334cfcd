package report

import (
	"math"
	"strings"
	"testing"

	"pourplane/survey"
)

// The pour of 1.44 m³, 1.512 with the allowance and 1.75 as ordered, is longer than the mix works:
// bays of the job that are small enough settle that, larger ones do not. 1 m³ is placed in 30 min
// at 2 m³/h: 1 × 1.44/1.75 = 0.823 m³ in place.
func TestBaysOfTheJobSettleTheWorkingTime(t *testing.T) {
	const pace = ramp + "[mix]\norder-step = \"0.25m3\"\n[pace]\nplacing-m3-per-hour = 2\nworking-time = \"30min\"\nmixed-on-site = true\n"
	for _, c := range []struct {
		bays string
		said bool
	}{
		{"", true},
		{"[bays]\nmost = \"0.80m3\"\n", false},
		{"[bays]\nwidth = \"4m\"\n", true}, // two of 3 m: the deeper one holds 3 × 4 m × 80 mm, 0.96 m³
		{"[bays]\nwidth = \"2m\"\n", false},
	} {
		r := runText(t, pace+c.bays)
		if said := strings.Contains(strings.Join(r.result.Warnings, "\n"), "working time: "); said != c.said {
			t.Errorf("%q: warned %v, want %v; bays %+v", c.bays, said, c.said, r.result.Bays)
		}
	}
}

// A bay lists the lifts it takes where it is deepest. By hand: 20 to 100 mm over 6 m, bays of 2 m;
// 46.7, 73.3 and 100 mm at the deepest, in lifts of 50 mm: 1, 2 and 2.
func TestBaysListTheirLifts(t *testing.T) {
	r := runText(t, ramp+"[[materials]]\nname = \"leveller\"\nbag-yield = \"12L\"\ngreatest = \"50mm\"\nlifts = 2\n[bays]\nwidth = \"2m\"\n")
	got := map[int]int{}
	for _, b := range r.result.Bays {
		got[b.Lifts]++
	}
	if len(r.result.Bays) != 3 || got[1] != 1 || got[2] != 2 {
		t.Errorf("bays %+v, want lifts of 1, 2 and 2", r.result.Bays)
	}
	if !strings.Contains(r.terminal, "Lifts") {
		t.Errorf("no lifts in\n%s", r.terminal)
	}
}

// By hand: 20 mm deep at x 0 and 100 mm at x 6 m over 4 m; a dam at 2 m and one at 4 m, 20 +
// 80·2/6 = 46.7 mm and 73.3 mm high from end to end.
func TestResultListsDams(t *testing.T) {
	dams := runText(t, ramp+"[bays]\nwidth = \"2m\"\n").result.Dams
	if len(dams) != 2 {
		t.Fatalf("dams %+v, want 2", dams)
	}
	for i, want := range []struct{ x, height float64 }{{2, 0.02 + 0.08*2/6}, {4, 0.02 + 0.08*4/6}} {
		d := dams[i]
		near := func(got, want float64) bool { return math.Abs(got-want) < 1e-9 }
		if !near(d.From[0], want.x) || !near(d.To[0], want.x) || !near(math.Abs(d.From[1]-d.To[1]), 4) || !near(d.Length, 4) || !near(d.Min, want.height) || !near(d.Max, want.height) || d.Step {
			t.Errorf("dam %+v, want x %g, 4 m long, %g high", d, want.x, want.height)
		}
		if d.Name != string(rune('A'+i)) || d.Bays[0] == d.Bays[1] {
			t.Errorf("dam %+v, want %c between two bays", d, 'A'+i)
		}
	}
}

// A dam is described once, in the bay that is placed first; the bay on its other side names it
// with that.
func TestDamsAreListedOnce(t *testing.T) {
	r := runText(t, ramp+"[bays]\nwidth = \"2m\"\n")
	for _, d := range r.result.Dams {
		if n := strings.Count(r.terminal, d.Name+": 4.000 m long, "); n != 1 {
			t.Errorf("dam %s is described %d times in\n%s", d.Name, n, r.terminal)
		}
		first, then := d.Bays[0], d.Bays[1]
		for _, b := range r.result.Bays { // in the order of placing
			if b.Name == d.Bays[0] || b.Name == d.Bays[1] {
				if b.Name != first {
					first, then = then, first
				}
				break
			}
		}
		if n := strings.Count(r.terminal, d.Name+": set for bay "+first); n != 1 {
			t.Errorf("dam %s is set for bay %s %d times at bay %s, want once:\n%s", d.Name, first, n, then, r.terminal)
		}
	}
}

// Bays are counted once: those that are laid out.
func TestBaysHaveOneCount(t *testing.T) {
	h := hall(t)
	if h.Bays == nil || h.Schedule == nil {
		t.Fatal("the demo has no bays or no clock")
	}
	n := len(h.Bays.Bays)
	if _, lines := h.clockTable(); !strings.Contains(strings.Join(lines, " "), "The plan has "+survey.Plural(n, "bay")+".") {
		t.Errorf("%q does not have the %d bays of the plan", lines, n)
	}
	// What the working time requires does not depend on the plan: 5 of 2.5 are 2, 5.1 are 3.
	h.Schedule.Bay = 2.5
	for volume, want := range map[float64]string{1.24: "fits in one bay.", 5: "needs 2 bays or more.", 5.1: "needs 3 bays or more."} {
		h.Schedule.Volume = volume
		if _, lines := h.clockTable(); !strings.Contains(strings.Join(lines, " "), want) {
			t.Errorf("%g m³: %q, want %q", volume, lines, want)
		}
	}
}

// The pins say in which bay they are, as rooms are numbered otherwise: room 2 of the demo is bay 1.
// The crew's list has them bay by bay, in the order of placing.
func TestPinsNameTheirBay(t *testing.T) {
	h := hall(t)
	for _, crew := range []bool{true, false} {
		list := h.pinTable(crew)
		if list.Columns[1].Name != "Bay" || list.Columns[2].Name != "Room" {
			t.Fatalf("columns %+v", list.Columns)
		}
		last := ""
		for _, row := range cellsOf(list) {
			if want := map[string]string{"1": "room 2", "2": "room 1"}[row[1]]; row[2] != want || crew && row[1] < last {
				t.Errorf("%q after bay %q, want %s", row, last, want)
			}
			last = row[1]
		}
	}
	saidIn(t, h.marksText(), "start placing at W34, the pin farthest from the exit in bay 1")
	saidIn(t, h.startName(), "start placing here: the pin farthest from the exit in bay 1; then back toward the exit")
}

// Every row of the bays, the last one too, has as many cells as there are columns.
func TestBayRowsHaveAllCells(t *testing.T) {
	tab := hall(t).bayTable()
	for _, row := range tab.Rows {
		if len(row) != len(tab.Columns) {
			t.Errorf("%q has %d cells of %d", row[0].Text, len(row), len(tab.Columns))
		}
	}
}
