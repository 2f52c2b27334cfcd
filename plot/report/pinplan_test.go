package report

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/plot/vg"

	"pourplane/plot"
	"pourplane/plot/sheet"
	"pourplane/surface"
	"pourplane/survey/unit"
)

// Every output of a pin has the same height of its mark, rounded down once: the sheet
// and the plan, the table, the list of numbers.
func TestOnePinHasOneHeight(t *testing.T) {
	h := hall(t)
	least, greatest := h.Pins.Least, h.Pins.Greatest
	if h.mark(greatest) == h.Style.Depth(greatest.Depth) {
		t.Fatalf("the deepest pin, %s, rounds down and to the nearest alike: the demo shows nothing", greatest.Name)
	}
	text := h.pinText()
	for _, want := range []string{h.mark(least) + " (" + least.Name + ")", h.mark(greatest) + " (" + greatest.Name + ")"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q does not have %q", text, want)
		}
	}
	for _, crew := range []bool{true, false} {
		rows := map[string][]string{}
		for _, row := range cellsOf(h.pinTable(crew)) {
			rows[row[0]] = row
		}
		for _, p := range h.Pins.Pins {
			found := slices.Contains(rows[p.Name], h.mark(p))
			if !found {
				t.Errorf("the row of %s does not have %s", p.Name, h.mark(p))
			}
		}
	}
	for i, q := range h.setOutMap(true, false, false).Pins {
		if want := strings.TrimSuffix(h.mark(h.Pins.Pins[i]), `"`); q.Text != want {
			t.Errorf("the plan has %s at %s, want %s", q.Text, q.Name, want)
		}
	}
}

// On a phone the places are under the names, so that heights and rod readings stay in view;
// a list of numbers keeps its columns.
func TestPlacesOfPinsAreUnderTheirNames(t *testing.T) {
	h := hall(t)
	for _, crew := range []bool{true, false} {
		var under []string
		for _, c := range h.pinTable(crew).Columns {
			if c.Under != "" {
				under = append(under, c.Name)
			}
		}
		if want := map[bool]string{true: "Bay, Room, From wall, and from wall"}[crew]; strings.Join(under, ", ") != want {
			t.Errorf("for the crew %t: under the names are %q, want %q", crew, under, want)
		}
	}
}

// The rod on a mark is the rod on the benchmark plus the difference of the two
// elevations, the same at all pins of a level target. Derived: a reading is the height of the line of sight above the foot of
// the rod.
func TestRodOnAMark(t *testing.T) {
	h := hall(t)
	r := h.rodFrom()
	if r == nil || r.Name != "BM1" || math.Abs(r.Elevation-100*0.3048) > 1e-12 {
		t.Fatalf("the rod is read on %+v, want BM1 at 100 ft", r)
	}
	for _, p := range h.Pins.Pins {
		if p.Depth <= 0 {
			continue
		}
		sight := r.Elevation + 1.3 // m, any line of sight
		onBM, onMark := sight-r.Elevation, sight-99.93*0.3048
		if want := "+" + unit.DepthUp(onMark-onBM).In(h.Style); h.rodMore(r, p) != want {
			t.Errorf("%s: %s, want %s", p.Name, h.rodMore(r, p), want)
		}
		// A reading that is too small by a hair puts the fill above the mark.
		written, err := unit.Parse(strings.TrimPrefix(h.rodMore(r, p), "+"), unit.Foot)
		if err != nil || written < onMark-onBM-1e-12 || written > onMark-onBM+h.Style.Step() {
			t.Errorf("%s: %s is %g m, want %g m or up to a step more: %v", p.Name, h.rodMore(r, p), written, onMark-onBM, err)
		}
	}
	p := h.Pins.Pins[0]
	p.Floor += 1
	if got := h.rodMore(r, p); !strings.HasPrefix(got, "−") {
		t.Errorf("a mark above the benchmark reads %s", got)
	}
	p.Depth = 0
	if got := h.rodMore(r, p); got != "" {
		t.Errorf("a pin without a mark reads %s", got)
	}
	// By hand: the target is 100 - 99.930 = 0.07 ft = 0.84 in below BM1. 13/16 in = 0.8125
	// more would put the fill 1/32 in above it, so 7/8 in more.
	if got := strings.Join(h.rodTexts(), " "); !strings.Contains(got, `Rod on the finished fill = rod on BM1 + 7/8", from the same set-up`) {
		t.Error(got)
	}
	// A target 0.84 in above a benchmark is read 13/16 in less.
	h.Survey.Book.Benchmarks[0].Elevation = 99.86 * 0.3048
	if got := strings.Join(h.rodTexts(), " "); !strings.Contains(got, `= rod on BM1 − 13/16"`) {
		t.Error(got)
	}
	h.Survey.Book.Benchmarks[0].Elevation = 99.93 * 0.3048
	if got := strings.Join(h.rodTexts(), " "); !strings.Contains(got, `= rod on BM1 + 0"`) {
		t.Error(got)
	}
	// Without a benchmark a shot on the adjoining finished floor is the reference.
	// Without either there is none.
	h.Survey.Book = nil
	if r := h.rodFrom(); r == nil || r.Name != "A1" {
		t.Errorf("the rod is read on %+v, want A1", r)
	}
	h.Survey.Finished = nil
	if r := h.rodFrom(); r != nil {
		t.Errorf("the rod is read on %+v", r)
	}
}

func laidOut(t *testing.T, m *plot.SetOutMap) *plot.SetOutPlan {
	t.Helper()
	p, err := m.LayOut()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// If the labels do not fit on one page, the plan is split. Every pin is complete with
// name and height on one of its sheets.
func TestPinPlanIsSplit(t *testing.T) {
	h := hall(t)
	m := h.setOutMap(true, false, false)
	m.Scale = 192
	all, name := scales(h.Style)
	var s sheet.PinSheet
	if err := splitPins(&s, m, all[:5], name, sheet.Letter); err != nil {
		t.Fatal(err)
	}
	if len(s.Parts) < 2 || len(s.Parts) > mostSheets {
		t.Fatalf("%d sheets", len(s.Parts))
	}
	whole := s.Parts[0].Plan.(*plot.SetOutPlan)
	if names, heights := whole.Unwritten(); names+heights > 0 {
		t.Errorf("%d names and %d heights find no room on the sheets", names, heights)
	}
	overview := s.Plan.(*plot.SetOutMap)
	if len(overview.Windows) != len(s.Parts) {
		t.Errorf("%d frames on the overview for %d sheets", len(overview.Windows), len(s.Parts))
	}
	boxes, frame := whole.PinBoxes(), whole.Frame()
	_, tall := whole.PlanSize()
	for i, p := range whole.Pins {
		lo := frame.Place(boxes[i].Min.X.Points(), (tall - boxes[i].Min.Y).Points())
		hi := frame.Place(boxes[i].Max.X.Points(), (tall - boxes[i].Max.Y).Points())
		if !slices.ContainsFunc(overview.Windows, func(w plot.PlanWindow) bool {
			return lo.X >= w.Lo.X-1e-9 && lo.Y >= w.Lo.Y-1e-9 && hi.X <= w.Hi.X+1e-9 && hi.Y <= w.Hi.Y+1e-9
		}) {
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
	// If everything fits, nothing is split.
	m.Scale = 12
	one := sheet.PinSheet{}
	if err := splitPins(&one, m, all[:0], name, sheet.Letter); err != nil || one.Parts != nil {
		t.Errorf("%d sheets of a plan that has room: %v", len(one.Parts), err)
	}
}

// A label is complete on a sheet or absent: no text crosses the edge of a sheet, where
// "1 11/16" would read as "1/16". Each pin is on one sheet with name and height.
func TestSheetsCutNoLettering(t *testing.T) {
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext (poppler-utils) is not installed")
	}
	h := hall(t)
	dense := *h.setOutMap(true, false, false)
	dense.Pins = nil
	lo, hi := h.Floor.Bounds()
	for x := lo.X + 0.3; x < hi.X; x += 0.83 {
		for y := lo.Y + 0.3; y < hi.Y; y += 0.83 {
			dense.Pins = append(dense.Pins, plot.SetOutPin{At: surface.Vec{X: x, Y: y}, Name: fmt.Sprintf("N%d", len(dense.Pins)+1), Text: "1 11/16"})
		}
	}
	_, name := scales(h.Style)
	for _, c := range []struct {
		of    *plot.SetOutMap
		scale float64
	}{{h.setOutMap(true, false, false), 48}, {h.setOutMap(true, false, false), 28}, {&dense, 30}} {
		m := *c.of
		m.Title, m.Scale, m.Bare = "", c.scale, true
		laid := laidOut(t, &m)
		parts, _ := sheetsOf(laid, name(c.scale), sheet.Letter)
		if len(parts) < 2 {
			t.Fatalf("1:%g: %d sheets", c.scale, len(parts))
		}
		on := map[string]int{}
		cut := 0 // pins that an edge would cut
		boxes := laid.PinBoxes()
		for _, part := range parts {
			size, whole := part.Window.Size(), vg.Rectangle{Min: part.Window.Min.Scale(-1)}
			const air = 200 // pt around the sheet, where cut text would be found
			whole.Min = whole.Min.Add(vg.Point{X: air, Y: air})
			whole.Max = whole.Min.Add(vg.Point{X: part.Width, Y: part.Height})
			r := vg.Rectangle{Min: vg.Point{X: air, Y: air}, Max: vg.Point{X: air, Y: air}.Add(size)}
			d := plot.NewPDF("sheet", "", time.Time{})
			d.Page(size.X+2*air, size.Y+2*air)
			if err := d.PlacePart(part.Plan, whole, r); err != nil {
				t.Fatal(err)
			}
			file := filepath.Join(t.TempDir(), "sheet.pdf")
			var b bytes.Buffer
			if err := d.Encode(&b); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
			out, err := exec.Command(tool, "-bbox", file, "-").Output()
			if err != nil {
				t.Fatal(err)
			}
			for _, w := range regexp.MustCompile(`<word xMin="([^"]+)" yMin="([^"]+)" xMax="([^"]+)" yMax="([^"]+)">([^<]*)<`).FindAllStringSubmatch(string(out), -1) {
				var v [4]float64
				for i := range v {
					v[i], _ = strconv.ParseFloat(w[i+1], 64)
				}
				const line = 4 // pt that a line of text extends above and below its figures
				if v[0] < air-0.1 || v[2] > air+size.X.Points()+0.1 || v[1] < air-line || v[3] > air+size.Y.Points()+line {
					t.Errorf("1:%g, sheet %s: %q reaches over the edge", c.scale, part.Name, w[5])
				}
				on[w[5]]++
			}
			for _, box := range boxes {
				if !plot.Holds(part.Window, box) && box.Min.X < part.Window.Max.X && box.Max.X > part.Window.Min.X && box.Min.Y < part.Window.Max.Y && box.Max.Y > part.Window.Min.Y {
					cut++
				}
			}
		}
		if cut == 0 {
			t.Errorf("1:%g: no edge cuts a pin, so nothing is shown", c.scale)
		}
		names, _ := laid.Unwritten()
		missing := 0
		for i, p := range m.Pins {
			if !slices.ContainsFunc(parts, func(q sheet.PlanPart) bool { return plot.Holds(q.Window, boxes[i]) }) {
				t.Errorf("1:%g: pin %s is whole on no sheet", c.scale, p.Name)
			}
			if on[p.Name] == 0 {
				missing++
			}
		}
		if missing != names {
			t.Errorf("1:%g: %d names are on no sheet, want the %d without room", c.scale, missing, names)
		}
	}
}

// A sheet lists what did not fit on it.
func TestSheetSaysWhatIsLeftOut(t *testing.T) {
	h := hall(t)
	m := *h.setOutMap(true, false, false)
	m.Title, m.Scale, m.Bare = "", 48, true
	crowd := m.Pins[len(m.Pins)-1]
	for range 20 {
		m.Pins = append(m.Pins, crowd)
	}
	laid := laidOut(t, &m)
	names, heights := laid.Unwritten()
	if names == 0 || heights == 0 {
		t.Fatalf("%d names and %d heights find no room", names, heights)
	}
	parts, _ := sheetsOf(laid, "1:48", sheet.Letter)
	said := false
	for _, p := range parts {
		said = said || strings.HasSuffix(p.Note, " not shown, no room; the list has all")
	}
	if !said {
		t.Errorf("no sheet reports that %d names and %d heights do not fit", names, heights)
	}
	for _, c := range []struct {
		names, heights int
		want           string
	}{{0, 0, ""}, {1, 1, "1 height and 1 name not shown, no room; the list has all"}, {0, 2, "2 heights not shown, no room; the list has all"}, {3, 0, "3 names not shown, no room; the list has all"}} {
		if got := noRoom(c.names, c.heights); got != c.want {
			t.Errorf("%d and %d: %q", c.names, c.heights, got)
		}
	}
}

// The pins of the demo take one sheet beside the overview, at 1:64. None is left out
// there or on the sheet for the wall.
func TestEveryPinOfTheDemoIsWritten(t *testing.T) {
	h := hall(t)
	m := h.setOutMap(true, false, false)
	m.Title, m.Scale, m.Bare = "", 64, true
	laid := laidOut(t, m)
	if names, heights := laid.Unwritten(); names+heights > 0 {
		t.Errorf("%d names and %d heights find no room at 1:64", names, heights)
	}
	if parts, _ := sheetsOf(laid, "1:64", sheet.Letter); len(parts) != 1 {
		t.Errorf("%d sheets, want 1", len(parts))
	}
	file := filepath.Join(t.TempDir(), "wall.pdf")
	var b bytes.Buffer
	if err := sheet.WritePDF(&b, h.wall(), sheet.Letter); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	pages := pagesOf(t, file)
	if len(pages) != 1 {
		t.Errorf("%d pages, want 1", len(pages))
	}
	if strings.Contains(pages[0], "left out") {
		t.Errorf("a pin is left out:\n%s", pages[0])
	}
	for _, p := range h.Pins.Pins {
		if !regexp.MustCompile(`(?m)(^|\s)` + p.Name + `(\s|$)`).MatchString(pages[0]) {
			t.Errorf("%s is not on it", p.Name)
		}
	}
}

// A corridor of 29 m with 90 pins, 1 m apart, takes few sheets, and each has all its pins.
func TestCorridorTakesFewSheets(t *testing.T) {
	var shots strings.Builder
	fmt.Fprintln(&shots, "point,x (m),y (m),z (m),code")
	for i := range 31 {
		for j := range 3 {
			fmt.Fprintf(&shots, "%d,%.2f,%.2f,%.3f,FLR\n", 3*i+j+1, 0.1+0.96*float64(i), 0.1+0.9*float64(j), -0.06+0.012*math.Sin(float64(i)/3)+0.004*float64(j))
		}
	}
	out := jobFolder(t, map[string]string{
		"shots.csv": shots.String(),
		"walls.csv": "x_m,y_m\n0,0\n29,0\n29,2\n0,2\n",
		"job.toml": `title = "Corridor"
date = 2026-11-25
[survey]
files = ["shots.csv"]
outline = "walls.csv"
[target]
elevation = "-0.01m"
[site]
bearing = "ground"
[pins]
spacing = "1m"
`,
	})
	pages := pagesOf(t, filepath.Join(out, "pins.pdf"))
	sheets := 0
	for _, p := range pages {
		if strings.Contains(p, "Sheet ") {
			sheets++
		}
		if strings.Contains(p, "no room") {
			t.Errorf("a pin is left out:\n%s", p)
		}
	}
	if sheets > 3 || len(pages) > 6 {
		t.Errorf("%d pages, %d of them plans of a part; want at most 6 and 3", len(pages), sheets)
	}
}

// Each sheet of a sloped target has its arrow, or a text with the direction of the fall.
func TestEverySheetHasTheFall(t *testing.T) {
	h := hall(t)
	m := *h.setOutMap(true, false, false)
	m.Title, m.Scale, m.Bare = "", 30, true
	m.Target = surface.Plane{At: m.Target.(surface.Plane).At, Z: m.Target.(surface.Plane).Z, SlopeX: -0.015}
	parts, _ := sheetsOf(laidOut(t, &m), "1:30", sheet.Letter)
	if len(parts) < 3 {
		t.Fatalf("%d sheets", len(parts))
	}
	arrows := 0
	for _, part := range parts {
		none := part.Plan.(*plot.SetOutPlan).Arrowless()
		if said := strings.Contains(part.Note, "falls 1.5 % toward the east"); none != said {
			t.Errorf("sheet %s: no arrow %t, note %q", part.Name, none, part.Note)
		}
		if !none {
			arrows++
		}
	}
	if arrows < 2 {
		t.Errorf("%d sheets have an arrow", arrows)
	}
}

// A plan on one sheet is there once, with its legend below it or on the next page, and
// without an overview.
func TestOneSheetHasNoOverview(t *testing.T) {
	h := hall(t)
	m := h.setOutMap(true, false, false)
	m.Title, m.Scale = "", 192
	_, name := scales(h.Style)
	for scale, on := range map[float64]int{64: 1, 96: 0} { // the page with the legend
		s := sheet.PinSheet{Title: "Bottling hall", Table: h.pinTable(true)}
		if err := splitPins(&s, m, []float64{scale}, name, sheet.Letter); err != nil {
			t.Fatal(err)
		}
		if s.Plan != nil || len(s.Parts) != 1 || s.Legend == nil {
			t.Fatalf("1:%g: an overview %t, %d sheets, a legend %t", scale, s.Plan != nil, len(s.Parts), s.Legend != nil)
		}
		var b bytes.Buffer
		if err := sheet.WritePins(&b, s, sheet.Letter); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "pins.pdf")
		if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		pages := pagesOf(t, file)
		if len(pages) > 2 || !strings.Contains(pages[0], "Bottling hall") || strings.Contains(pages[0], "Sheet A") {
			t.Errorf("1:%g: %d pages, want at most 2, the first with the title alone:\n%s", scale, len(pages), pages[0])
		}
		for i, p := range pages {
			if has := strings.Contains(p, "60 pins: name, and height of the mark in bold, inches"); has != (i == on) {
				t.Errorf("1:%g: the legend is on page %d %t:\n%s", scale, i+1, has, p)
			}
		}
	}
}

// One rod reading for a level target: the sheet has it once, rounded as on the other pages,
// and no column beside it. A sloped target has one for each pin.
func TestOneRodForALevelTarget(t *testing.T) {
	h := hall(t)
	columns := func() string { return fmt.Sprint(h.pinTable(true).Columns) }
	var b bytes.Buffer
	name := filepath.Join(t.TempDir(), "pins.pdf")
	if err := errors.Join(h.writePins(&b, sheet.A4), os.WriteFile(name, b.Bytes(), 0o600)); err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(strings.Join(pagesOf(t, name), " ")), " ")
	// By hand: 0.84 in, rounded up to 7/8 in.
	if want := `Rod on the finished fill, at every pin: that + 7/8" (rounded: never above the target)`; !strings.Contains(text, want) || strings.Contains(columns(), "Rod = ") {
		t.Errorf("no %q, or a column of readings: %s", want, columns())
	}
	h.Filled.Fill.Target = surface.Plane{At: h.Filled.Fill.Target.(surface.Plane).At, Z: h.Filled.Fill.Target.(surface.Plane).Z, SlopeX: 0.01}
	if !strings.Contains(columns(), "Rod = BM1 +") {
		t.Errorf("a sloped target: %s", columns())
	}
}

// How many sheets a plan takes at the least is known without placing its lettering.
func TestSheetsAtLeast(t *testing.T) {
	t.Parallel()
	m := hall(t).setOutMap(true, false, false)
	m.Bare = true
	most := 0
	for _, scale := range []float64{12, 16, 24, 32, 48} {
		m.Scale = scale
		parts, _ := sheetsOf(laidOut(t, m), "", sheet.Letter)
		least := math.MaxInt
		for _, across := range []bool{false, true} {
			least = min(least, m.SheetsAtLeast(sheet.PlanRoom(sheet.Letter, across)))
		}
		if least > len(parts) {
			t.Errorf("at 1:%g at least %d sheets, and it is on %d", scale, least, len(parts))
		}
		if tooManySheets(m, sheet.Letter) != (least > mostSheets) {
			t.Errorf("at 1:%g, with at least %d sheets", scale, least)
		}
		most = max(most, least)
	}
	if most <= mostSheets {
		t.Errorf("at least %d sheets at the largest scale: the test shows nothing", most)
	}
	if n := m.SheetsAtLeast(100, 100); n != 0 {
		t.Errorf("on sheets smaller than the lettering of a pin: %d, want 0", n)
	}
}

// The names of both materials are on the plan for the wall, on either paper, and not in its legend
// alone.
func TestMaterialsAreNamedOnTheWall(t *testing.T) {
	h := hall(t)
	for _, paper := range []sheet.Paper{sheet.Letter, sheet.A4} {
		var b bytes.Buffer
		if err := sheet.WritePDF(&b, h.wall(), paper); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "wall.pdf")
		if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"repair mortar", "topping concrete"} {
			named := 0
			for line := range strings.Lines(pagesOf(t, file)[0]) {
				if strings.Contains(line, name) && !strings.Contains(line, "thinner:") && !strings.Contains(line, "to order:") {
					named++
				}
			}
			if named != 1 {
				t.Errorf("paper %d: %q is on the plan %d times", paper, name, named)
			}
		}
	}
}
