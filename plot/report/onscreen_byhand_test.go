package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pourplane/plot/sheet"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// shown is a summary of a job for a screen.
func shown(h *Handover) *Summary { return &Summary{Filled: h.Filled, Style: h.Style} }

// joinedRows are the rows of a grid, their cells joined.
func joinedRows(g Grid) (out []string) {
	for _, row := range g.Rows {
		out = append(out, strings.Join(row, " | "))
	}
	return out
}

// Facts by hand on 24 m² × 100 mm with sills 12 mm above and 50 below the fill: 2.4 m³ with 5 % are 2.52,
// ordered as 2.75, which is below 0.6 of a truck of 6. A square metre weighs 240 kg at 2400 kg/m³. Each
// warning is beside the line that it is about, once, and not among the notes.
func TestFactsByHand(t *testing.T) {
	h := handed(t, doorJob, besideDoors())
	facts, rest := shown(h).Facts()
	warnings := 0
	for _, want := range []struct{ head, text, warning string }{
		{"Order", "2.75 m³, 1 truck (a short load, usually charged extra)", "Truck: 2.75 m³ is a short load, below 3.60 m³, and usually charged extra; ask the plant"},
		{"Fill", "2.40 m³, 90 % sure between 2.36 and 2.44, over 24.00 m²", ""},
		{"Depth", "min 100 mm, mean 100 mm, max 100 mm; ", ""},
		{"Target", "level at 0.000 m", "floor.csv:38: the top of fill is 50 mm above the adjoining finished floor at D2: check the target"},
		{"Thresholds", "2, from D2 50 mm below the new fill to D1 12 mm above it", ""},
		{"Floor", "24.00 m², 35 shots used of 37 points read", ""},
		{"Load", "mean 240 kg/m², max 240 kg/m²; 5.8 t in all, at 2400 kg/m³", ""},
	} {
		found := false
		for _, f := range facts {
			if f.Head != want.head {
				continue
			}
			found = true
			if !strings.HasPrefix(f.Text, want.text) || strings.Join(f.Warnings, "\n") != want.warning {
				t.Errorf("%+v, by hand %+v", f, want)
			}
			warnings += len(f.Warnings)
		}
		if !found {
			t.Errorf("no line %s", want.head)
		}
	}
	if facts[0].Head != "Order" || warnings != 2 {
		t.Errorf("first %s, %d warnings beside lines; by hand the order and 2", facts[0].Head, warnings)
	}
	for _, r := range rest {
		for _, n := range r.Notes {
			if r.Head == "Warnings" || strings.Contains(n, "short load") || strings.Contains(n, "check the target") {
				t.Errorf("%s: %s, as beside its line", r.Head, n)
			}
		}
	}
	// Without a line of its own a warning is among the notes.
	of := remarks(h.Notes, nil, h.Style)
	if of[0].Head != kinds[0].head || len(of[0].Notes) != 2 {
		t.Errorf("beside nothing: %+v", of[0])
	}
}

// Tables on a screen by hand, in both systems: 12 mm are 0.0394 ft, to the sixteenth 1/2 in; 50 mm are 0.164
// ft, 1.97 in, 1 15/16 and 1/32: less room than there is. The take-off adds up: 2.40 + 0.12 = 2.52, + 0.23 = 2.75 m³.
func TestGridsByHand(t *testing.T) {
	for show, want := range map[string]map[string][]string{
		"": {"Thresholds": {"D1 SILL | 0.012 m | 0.000 m | 12 mm", "D2 SILL | -0.050 m | 0.000 m | -50 mm"}, "Depths": {"100 mm | 100 mm | 24.00 m² | 2.40 m³"},
			"Order": {"Net | 2.40 m³ | old floor to target, mean 100 mm over 24.00 m²", "Allowance | 0.12 m³ | 5 % of the lines above", "Needed | 2.52 m³ | ", "Rounded up | 0.23 m³ | to whole steps of 0.25 m³"}},
		// 2.4 m³ are 3.139 yd³, 0.12 are 0.157, 0.23 are 0.301; 24 m² are 258.33 ft².
		"show = \"feet\"\n": {"Thresholds": {`D1 SILL | 0.039 ft (1/2") | 0.000 ft (0") | 1/2"`, `D2 SILL | -0.164 ft (-1 15/16") | 0.000 ft (0") | -1 15/16"`}, "Depths": {`3 7/8" | 3 15/16" | 258.3 ft² | 3.14 yd³`},
			"Order": {`Net | 3.14 yd³ | old floor to target, mean 3 15/16" over 258.3 ft²`, "Allowance | 0.16 yd³ | 5 % of the lines above", "Needed | 3.30 yd³ | ", "Rounded up | 0.30 yd³ | to whole steps of 0.25 m³ (0.33 yd³)"}},
	} {
		all := shown(handed(t, show+doorJob, besideDoors())).Grids()
		if len(all) != len(want) {
			t.Errorf("%q: %d tables", show, len(all))
		}
		for _, g := range all {
			if got := joinedRows(g); strings.Join(got, "\n") != strings.Join(want[g.Title], "\n") {
				t.Errorf("%q, %s:\n%s\nby hand\n%s", show, g.Title, strings.Join(got, "\n"), strings.Join(want[g.Title], "\n"))
			}
		}
	}
	// Bands of 10 mm on the ramp are 3 m² each, with means from 25 to 95 mm: 0.075, 0.105 … 0.285 m³. Shown
	// with two digits they add up to the 1.44 m³ of the fill, each within a digit of its own.
	g := shown(handed(t, ramp, rampFiles())).Grids()[0]
	sum := 0.0
	for i, row := range g.Rows {
		v, err := strconv.ParseFloat(strings.TrimSuffix(row[3], " m³"), 64)
		if exact := 3 * (0.025 + 0.010*float64(i)); err != nil || math.Abs(v-exact) > 0.01 || row[2] != "3.00 m²" || row[0] != fmt.Sprintf("%d mm", 20+10*i) || row[1] != fmt.Sprintf("%d mm", 30+10*i) {
			t.Errorf("%q, by hand 3.00 m² and %.3f m³", row, exact)
		}
		sum += v
	}
	if g.Title != "Depths" || len(g.Rows) != 8 || math.Abs(sum-1.44) > 1e-9 {
		t.Errorf("%s: %d rows, %.2f m³ together, by hand 8 and 1.44", g.Title, len(g.Rows), sum)
	}
	// Depths outside a floor without thresholds or an order: nothing else.
	if all := shown(handed(t, ramp+"[[materials]]\nname = \"mortar\"\nbag-yield = \"12L\"\n", rampFiles())).Grids(); len(all) != 1 {
		t.Errorf("in bags: %d tables", len(all))
	}
}

// Shades of the ramp by hand, every 10 mm from 20 to 100; each begins where the one before ends.
func TestShadesByHand(t *testing.T) {
	all := shown(handed(t, ramp, rampFiles())).Shades()
	if len(all) != 8 {
		t.Fatalf("%d shades", len(all))
	}
	for i, s := range all {
		from := 20 + 10*i
		if math.Abs(s.From-float64(from)/1000) > 1e-9 || math.Abs(s.To-float64(from+10)/1000) > 1e-9 || s.Text != fmt.Sprintf("%d mm to %d mm", from, from+10) {
			t.Errorf("%+v, by hand from %d to %d mm", s, from, from+10)
		}
		if i > 0 && s.Color == all[i-1].Color {
			t.Errorf("two shades in %s", s.Color)
		}
	}
}

// Pins on the ramp by hand: 20 + 80·x/6 mm deep. The mark is at the target in whole millimetres; in feet
// it is down to 1/16 in, so that it is not above the target: 40 mm are 1.575 in, 1 9/16.
func TestPinMarksByHand(t *testing.T) {
	h := handed(t, ramp, rampFiles())
	marks := h.PinMarks()
	if len(marks) != len(h.Pins.Pins) || len(marks) < 4 {
		t.Fatalf("%d marks", len(marks))
	}
	for _, m := range marks {
		depth := depthAt(m.At[0])
		if math.Abs(m.Depth-depth) > 1e-9 || math.Abs(m.Floor+depth) > 1e-9 || math.Abs(m.Mark) > 0.001 || m.Mark > 1e-9 || m.Text != fmt.Sprintf("%.0f mm", 1000*(depth+m.Mark)) {
			t.Errorf("%+v, by hand %.1f mm deep", m, 1000*depth)
		}
	}
	if m := marks[0]; m.Name != "A1" || m.At != [2]float64{1.5, 1.5} || m.Text != "40 mm" || m.Where != "1.500 m from west wall, 1.500 m from south wall" || m.Doubt != "" {
		t.Errorf("%+v", m)
	}
	for _, m := range handed(t, "show = \"feet\"\n"+ramp, rampFiles()).PinMarks() {
		sixteenths := math.Floor(depthAt(m.At[0])/0.0254*16 + 1e-9)
		if got := (m.Mark - m.Floor) / 0.0254 * 16; math.Abs(got-sixteenths) > 1e-6 {
			t.Errorf("%s: mark at %.6g sixteenths, by hand %g: %s", m.Name, got, sixteenths, m.Text)
		}
	}
	h.Pins = nil
	if got := h.PinMarks(); got == nil || len(got) != 0 {
		t.Errorf("without pins %v, want an empty list", got)
	}
}

// How far a door is above the fill is said with its side.
func TestDoorTextByHand(t *testing.T) {
	for _, style := range []unit.Style{metric, feet} {
		want := map[string]string{"D1": "12 mm above the top of fill", "D2": "50 mm below the top of fill"}
		if style.Imperial {
			want = map[string]string{"D1": `1/2" above the top of fill`, "D2": `1 15/16" below the top of fill`}
		}
		for _, d := range handed(t, doorJob, besideDoors()).Thresholds {
			name := d.Point.Name()
			if got := DoorText(d, style); got != want[name] {
				t.Errorf("%s: %q, by hand %q", name, got, want[name])
			}
		}
	}
}

// What a file holds, by hand: 13 × 9 shots on 24 m², one to 24/117 = 0.205 m²; 12 mm from lowest to highest,
// 0.039 ft, 15/32 in.
func TestHeldFactsByHand(t *testing.T) {
	h, err := job.Hold(valleyJob(), job.HoldOptions{}, valley(), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, style := range []unit.Style{metric, feet} {
		facts, notes := HeldFacts(h, style)
		text := ""
		for _, f := range facts {
			text += f.Head + ": " + f.Text + "\n"
		}
		saidIn(t, text, "File: v.csv\n", "Holds: 117 rows, 117 floor shots, 1 ring\n", "Suspects: none\n")
		if style.Imperial {
			saidIn(t, text, "Area: 258.3 ft² (inside the outline)", "not Area: 24.00")
		} else {
			saidIn(t, text, "Extent: east 0.000 m to 6.000 m, north 0.000 m to 4.000 m\n", "floor -0.006 m to 0.006 m: 12 mm from lowest to highest", "Area: 24.00 m² (inside the outline)", "117 shots, one to 0.21 m²")
		}
		if len(notes) != 1 || notes[0].Head != "Assumptions" || len(notes[0].Notes) != 2 {
			t.Errorf("notes %+v, by hand the columns of two files", notes)
		}
	}
}

// The take-off on a screen has the parts of the record, with the same rows; a job without bars or bays has
// none of theirs, and of joints only how far apart they are sawn.
func TestTakeoffPartsByHand(t *testing.T) {
	const all = "[bars]\nsize = \"8mm\"\nspacing = \"200mm\"\n[joints]\nlength = \"6m\"\nwidth = \"10mm\"\n[bays]\nwidth = \"2m\"\n"
	h := handed(t, ramp+all, rampFiles())
	titles := ""
	for _, p := range h.TakeoffParts() {
		titles += p.Title + ". "
		for _, s := range []sheet.Section{h.orderSection(), h.waysSection(), h.steelSection(), h.supplyPage(), h.baySection()} {
			if s.Title != p.Title {
				continue
			}
			if len(p.Tables) != len(s.Tables) || strings.Join(p.Text, "\n") != strings.Join(s.Text, "\n") {
				t.Errorf("%s: %d tables, the record has %d", p.Title, len(p.Tables), len(s.Tables))
				continue
			}
			for i, g := range p.Tables {
				if g.Title != s.Tables[i].Title || len(g.Rows) != len(s.Tables[i].Rows) {
					t.Errorf("%s: %s with %d rows, the record has %s with %d", p.Title, g.Title, len(g.Rows), s.Tables[i].Title, len(s.Tables[i].Rows))
				}
				for _, row := range g.Rows {
					if len(row) > len(g.Columns) || len(row) < len(g.Columns) && row[0] != "Together" {
						t.Errorf("%s: %q under %d heads", g.Title, row, len(g.Columns))
					}
				}
			}
		}
	}
	plain := ""
	for _, p := range handed(t, ramp, rampFiles()).TakeoffParts() {
		plain += p.Title + ". "
	}
	if titles != "Take-off. Reinforcement. Coats, walls and joints. Bays. " || plain != "Take-off. Coats, walls and joints. " {
		t.Errorf("parts %s; of an order alone %s", titles, plain)
	}
}
