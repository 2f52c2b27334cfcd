package sheet

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"

	"pourplane/plot"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/file"
	"pourplane/survey/unit"
)

// demoMap is the depth map of the demo floor, filled to the adjoining finished floor.
func demoMap(t testing.TB, u unit.Style) *plot.DepthMap {
	t.Helper()
	s, err := file.Open("../../testdata/demo/survey.csv", survey.Options{Codes: map[string]survey.Role{"ADJ": survey.Finished, "SILL": survey.Finished}})
	if err != nil {
		t.Fatal(err)
	}
	walls, err := file.OpenOutline("../../testdata/demo/outline.csv", survey.Options{Unit: s.Plan})
	if err != nil {
		t.Fatal(err)
	}
	f, err := surface.NewFloor(surface.Data{Shots: s.Points, Rings: walls.Rings, Lines: walls.Breaklines})
	if err != nil {
		t.Fatal(err)
	}
	return &plot.DepthMap{
		Title: "Bottling hall", Summary: "Fill to the corridor floor", Note: "Invented survey.",
		Floor: f, Target: surface.Horizontal(99.93 * 0.3048), Finished: s.Finished, Units: u, Shots: true,
	}
}

// demoRecord uses every field of a record.
func demoRecord(m *plot.DepthMap) Record {
	fill := m.Floor.FillTo(m.Target, nil)
	u := m.Units
	quantities := table.Table{
		Title:   "Fill by region",
		Columns: []table.Column{{Name: "Region"}, {Name: "Area (m²)", Right: true, Decimals: 2}, {Name: "Fill (m³)", Right: true, Decimals: 3}, {Name: "Mean depth", Right: true}, {Name: "Greatest", Right: true}, {Name: "Remark"}},
		Notes:   []string{"Areas are in plan."},
	}
	for i, r := range fill.Regions {
		name := m.Floor.Regions[i].Name
		quantities.Rows = append(quantities.Rows, []table.Cell{table.Text(name), table.Number(r.Area), table.Number(r.Fill), table.Text(u.Depth(r.Mean)), table.Text(u.Depth(r.Greatest)), table.Text("Clean, prime and damp the edges before pouring.")})
	}
	quantities.Rows = append(quantities.Rows, []table.Cell{{Text: "together", Bold: true}, {Value: fill.Area, Number: true, Bold: true}, {Value: fill.Fill, Number: true, Bold: true}})
	pins := table.Table{Title: "Pins", Columns: []table.Column{{Name: "Pin"}, {Name: "x (ft)", Right: true, Decimals: 2, Under: "x %s"}, {Name: "y (ft)", Right: true, Decimals: 2, Under: ", y %s"}, {Name: "Depth", Right: true}, {Name: "Region", Under: "; %s"}, {Name: "Set"}}}
	for i, r := range m.Floor.Regions {
		for k, q := range r.Shots {
			pins.Rows = append(pins.Rows, []table.Cell{table.Text(fmt.Sprintf("%d-%d", i+1, k+1)), table.Number(q.X / 0.3048), table.Number(q.Y / 0.3048), table.Text(u.Depth(m.Target.Elevation(surface.Vec{X: q.X, Y: q.Y}) - q.Z)), table.Text(r.Name), {Tick: true}})
		}
	}
	lines := plot.ContourMap(*m)
	return Record{
		Title: "Bottling hall: fill to the corridor floor", Date: "27 November 2026", Program: "pourplane 1.0",
		Sections: []Section{
			{
				Title: "What it takes",
				Figures: []Figure{
					{u.Volume(fill.Fill), "to fill"}, {u.Area(fill.Area), "area in plan"}, {u.Depth(fill.Mean), "mean depth"},
					{u.Depth(fill.Greatest), "max depth"}, {u.Depth(fill.Least), "least depth, where the floor is highest"},
				},
				Text:     []string{"The floor was surveyed by level from two places and is brought up to one level plane, that of the corridor at door A.", "Elevations count from BM1, taken as 100.00 ft."},
				Cautions: []string{"Cement is caustic and its dust harms the lungs: wear gloves, goggles and a mask.", "Ask a licensed engineer whether the slab bears the weight before anything is poured."},
				Tables:   []table.Table{quantities},
			},
			{Title: "Depth map", NewPage: true, Pictures: []Picture{{Drawing: m, Caption: "Depth of fill over the whole floor."}}},
			{Title: "Lines of equal depth", NewPage: true, Pictures: []Picture{{Drawing: &lines, Caption: "The same in lines alone, for black and white print."}}},
			{Title: "Pins", NewPage: true, Text: []string{"Tick each pin once it is set and checked."}, Tables: []table.Table{pins}},
			{Title: "Hand-over", Lines: []string{"Levels checked by", "Accepted by"}},
		},
	}
}

func htmlOf(t testing.TB, r Record, m *plot.DepthMap) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteHTML(&b, r, m); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var address = regexp.MustCompile(`(?i)(https?:|ftp:|url\(|@import|\b(?:src|href|action|srcset|poster)\s*=\s*"([^"]*)")`)

// A page that loads nothing opens without a network and sends nothing.
func TestHTMLNamesNoOtherPlace(t *testing.T) {
	t.Parallel()
	m := demoMap(t, unit.Style{})
	text := htmlOf(t, demoRecord(m), m)
	found := 0
	for _, a := range address.FindAllStringSubmatch(text, -1) {
		if found++; !strings.HasPrefix(a[2], "#part-") && !strings.HasPrefix(a[2], "data:image/png;base64,") {
			t.Errorf("the page names %q", a[0])
		}
	}
	if found < 5 {
		t.Errorf("found %d links in the list of contents, want 5", found)
	}
	if n := len(text); n > 2<<20 {
		t.Errorf("the page has %d bytes", n)
	}
	t.Logf("%d bytes", len(text))
	if again := htmlOf(t, demoRecord(demoMap(t, unit.Style{})), nil); again == text {
		t.Error("the page does not depend on the depths")
	}
	m = demoMap(t, unit.Style{})
	if htmlOf(t, demoRecord(m), m) != text {
		t.Error("equal records give unequal pages")
	}
}

// wellFormed checks that every element that needs an end tag has one, in order.
func wellFormed(t *testing.T, text string) {
	t.Helper()
	void := map[string]bool{"meta": true, "input": true, "!doctype": true}
	raw := regexp.MustCompile(`(?s)<(script|style)[^>]*>.*?</(?:script|style)>`)
	tag := regexp.MustCompile(`<(/?)([a-zA-Z!][a-zA-Z0-9]*)((?:[^>"]|"[^"]*")*)>`)
	var open []string
	for _, m := range tag.FindAllStringSubmatch(raw.ReplaceAllString(text, ""), -1) {
		switch {
		case m[1] == "/":
			if len(open) == 0 || open[len(open)-1] != m[2] {
				t.Fatalf("</%s> closes %v", m[2], open)
			}
			open = open[:len(open)-1]
		case !void[m[2]] && !strings.HasSuffix(m[3], "/"):
			open = append(open, m[2])
		}
	}
	if len(open) > 0 {
		t.Fatalf("left open: %v", open)
	}
}

func TestHTMLShowsTheWholeRecord(t *testing.T) {
	t.Parallel()
	m := demoMap(t, unit.Style{Imperial: true})
	r := demoRecord(m)
	text := htmlOf(t, r, m)
	wellFormed(t, text)
	var want []string
	want = append(want, r.Date, r.Program)
	for _, s := range r.Sections {
		want = append(want, s.Title)
		want = append(want, s.Text...)
		want = append(want, s.Cautions...)
		want = append(want, s.Lines...)
		for _, f := range s.Figures {
			want = append(want, f.Name, f.Value)
		}
		for _, p := range s.Pictures {
			want = append(want, p.Caption)
		}
		for _, table := range s.Tables {
			want = append(want, table.Title)
			want = append(want, table.Notes...)
			for _, row := range table.Rows {
				for i, c := range row {
					want = append(want, table.Columns[i].Show(c))
				}
			}
		}
	}
	plain := strings.NewReplacer("&#34;", `"`, "&#39;", "'", "&#43;", "+").Replace(text)
	for _, w := range want {
		if !strings.Contains(plain, w) {
			t.Errorf("no %q on the page", w)
		}
	}
	boxes := 0
	for _, region := range m.Floor.Regions {
		boxes += len(region.Shots)
	}
	if got := strings.Count(text, `<input type="checkbox"`); got != boxes {
		t.Errorf("%d boxes to tick, want %d", got, boxes)
	}
	if !strings.Contains(text, `aria-label="Set 2-3"`) {
		t.Error("a box does not say what it is for")
	}
}

func TestHTMLEscapesWhatItIsGiven(t *testing.T) {
	t.Parallel()
	const evil = `</script></title><script>alert(1)</script><img src=x onerror=alert(2)>" onload="x`
	m := demoMap(t, unit.Style{})
	for i := range m.Floor.Regions {
		m.Floor.Regions[i].Name = evil
	}
	m.Title, m.Summary, m.Note = evil, evil, evil
	r := demoRecord(m)
	r.Title, r.Date, r.Program = evil, evil, evil
	for i := range r.Sections {
		s := &r.Sections[i]
		s.Title, s.Text, s.Cautions, s.Lines = evil, []string{evil}, []string{evil}, []string{evil}
		for k := range s.Pictures {
			s.Pictures[k].Caption = evil
		}
		for k := range s.Tables {
			s.Tables[k].Title, s.Tables[k].Columns[0].Name, s.Tables[k].Notes = evil, evil, []string{evil}
			s.Tables[k].Rows[0][0].Text = evil
		}
	}
	text := htmlOf(t, r, m)
	wellFormed(t, text)
	if n := strings.Count(text, "<script"); n != 2 {
		t.Errorf("%d scripts, want 2", n)
	}
	for _, bad := range []string{"<script>alert", "<img", `" onload="`} {
		if strings.Contains(text, bad) {
			t.Errorf("the page has %q", bad)
		}
	}
}

func TestHTMLWithoutADepthMapHasNoScript(t *testing.T) {
	t.Parallel()
	m := demoMap(t, unit.Style{})
	plain := demoRecord(m)
	plain.Sections = slices.DeleteFunc(plain.Sections, func(s Section) bool { return s.Title == "Pins" }) // nothing to tick
	text := htmlOf(t, plain, nil)
	if strings.Contains(text, "<script") || strings.Contains(text, "script-src") {
		t.Error("the page has a script though no depth is to be shown and nothing to tick")
	}
	// The map is added if no picture draws it.
	r := Record{Sections: []Section{{Title: "Alone", Text: []string{"One."}}}}
	text = htmlOf(t, r, m)
	if !strings.Contains(text, ">Depth map<") || !strings.Contains(text, `id="map"`) {
		t.Error("no map was added to a record without one")
	}
	if len(r.Sections) != 1 {
		t.Error("the record was changed")
	}
}

// atScale is a drawing whose scale fixes its size.
type atScale struct {
	*plot.DepthMap
	width vg.Length
}

func (a atScale) PlanSize() (w, h vg.Length) { return a.width, a.Height(a.width) }

func TestHTMLDrawsPlansToScaleOnce(t *testing.T) {
	t.Parallel()
	m := demoMap(t, unit.Style{})
	for _, c := range []struct {
		width vg.Length
		times int
	}{{612.5, 1}, {plot.DefaultWidth, 2}} {
		text := htmlOf(t, Record{Sections: []Section{{Pictures: []Picture{{Drawing: atScale{m, c.width}, Caption: "plan"}}}}}, nil)
		if got := strings.Count(text, `aria-label="Bottling hall"`); got != c.times {
			t.Errorf("a plan %g points wide is drawn %d times, want %d", c.width, got, c.times)
		}
		if !strings.Contains(text, fmt.Sprintf(`width="%gpt"`, c.width)) {
			t.Errorf("no picture is %g points wide", c.width)
		}
	}
}

func TestHTMLRefuses(t *testing.T) {
	t.Parallel()
	m := demoMap(t, unit.Style{})
	empty := &plot.DepthMap{Floor: &surface.Floor{}}
	for _, c := range []struct {
		name string
		s    Section
		m    *plot.DepthMap
		want string
	}{
		{"no drawing", Section{Title: "A", Pictures: []Picture{{Caption: "c"}}}, m, `section 1 "A", picture 1: found no drawing, want one`},
		{"no floor", Section{Title: "A", Pictures: []Picture{{Drawing: empty, Caption: "c"}}}, nil, plot.ErrNoFloor.Error()},
		{"no floor to show", Section{Title: "A"}, empty, plot.ErrNoFloor.Error()},
		{"a cell too many", Section{Title: "A", Tables: []table.Table{{Title: "T", Columns: make([]table.Column, 1), Rows: [][]table.Cell{make([]table.Cell, 2)}}}}, nil, `section 1 "A", table "T", row 1: found 2 cells, want at most 1`},
		{"no number", Section{Title: "A", Tables: []table.Table{{Title: "T", Columns: []table.Column{{Name: "Depth"}}, Rows: [][]table.Cell{{table.Number(math.NaN())}}}}}, nil, `section 1 "A", table "T", row 1: found NaN under "Depth", want a number`},
		{"no target", Section{Title: "A"}, &plot.DepthMap{Floor: m.Floor, Target: surface.Horizontal(math.NaN())}, "depth map: found depths from NaN to NaN m, want numbers"},
	} {
		err := WriteHTML(io.Discard, Record{Sections: []Section{c.s}}, c.m)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: found error %v, want %q", c.name, err, c.want)
		}
	}
}

// wave is a floor of w by h metres, n by m cells, two triangles each, with a column.
func wave(w, h float64, n, m int) *surface.Floor {
	t := &surface.TIN{Origin: surface.Vec{X: 5000, Y: 3000}}
	vec := func(x, y float64) surface.Vec { return surface.Vec{X: 5000 + x, Y: 3000 + y} }
	for j := range m + 1 {
		for i := range n + 1 {
			x, y := w*float64(i)/float64(n), h*float64(j)/float64(m)
			t.X, t.Y = append(t.X, x), append(t.Y, y)
			t.Z = append(t.Z, 10+0.02*math.Sin(x/3)*math.Cos(y/2))
			t.Shot, t.Fitted = append(t.Shot, -1), append(t.Fitted, false)
		}
	}
	half := map[[2]int32]int32{}
	for j := range m {
		for i := range n {
			if i >= n/3 && i < n/2 && j >= m/3 && j < m/2 {
				continue
			}
			a := int32(j*(n+1) + i)
			b, c, d := a+1, a+int32(n)+2, a+int32(n)+1
			t.V = append(t.V, a, b, c, a, c, d)
		}
	}
	for h := range int32(len(t.V)) {
		half[[2]int32{t.V[h], t.V[h-h%3+(h+1)%3]}] = h
	}
	t.Twin = make([]int32, len(t.V))
	for h := range int32(len(t.V)) {
		t.Twin[h] = -1
		if w, ok := half[[2]int32{t.V[h-h%3+(h+1)%3], t.V[h]}]; ok {
			t.Twin[h] = w
		}
	}
	x0, x1 := w*float64(n/3)/float64(n), w*float64(n/2)/float64(n)
	y0, y1 := h*float64(m/3)/float64(m), h*float64(m/2)/float64(m)
	column := []surface.Vec{vec(x0, y0), vec(x0, y1), vec(x1, y1), vec(x1, y0)}
	return &surface.Floor{
		Regions:  []surface.Region{{Name: "wave", TIN: t, Rings: [][]surface.Vec{{vec(0, 0), vec(w, 0), vec(w, h), vec(0, h)}, column}}},
		Openings: [][]surface.Vec{column},
	}
}

// A floor of very many triangles is read from a grid, and the note about it is true.
func TestLargeFloorIsReadFromAGrid(t *testing.T) {
	t.Parallel()
	f := wave(40, 30, 240, 180)
	m := &plot.DepthMap{Title: "Wave", Floor: f, Target: surface.Horizontal(10.05)}
	l, err := newLive(m)
	if err != nil {
		t.Fatal(err)
	}
	r := l.Regions[0]
	if r.At != "" || r.Nodes == "" || r.Step != 0.2 {
		t.Fatalf("found %d bytes of triangles and a grid of %g m, want a grid of 0.2 m alone", len(r.At), r.Step)
	}
	tin := f.Regions[0].TIN
	g := newNodes(tin, tin.Depths(m.Target), r.Step)
	worst := 0.0
	for v := range tin.Z {
		x, y := tin.X[v], tin.Y[v]
		worst = max(worst, math.Abs(g.at(x, y)-(0.05-0.02*math.Sin(x/3)*math.Cos(y/2))))
	}
	if worst > 0.002 {
		t.Errorf("the grid is %.4f m off the wave, want at most 2 mm", worst)
	}
	if want := fmt.Sprintf("max difference is %d mm", int(math.Ceil(worst*1000))); !strings.Contains(l.note, want) || !strings.Contains(l.note, "a grid of 0.200 m") {
		t.Errorf("found %q, want %q in it", l.note, want)
	}
	if text := htmlOf(t, Record{}, m); len(text) > 2<<20 || !strings.Contains(text, "too many triangles for a page") {
		t.Errorf("%d bytes, or the page does not say what it shows", len(text))
	}
}

// A region narrower than the cells of the grid still has its depth.
func TestGridKeepsNarrowParts(t *testing.T) {
	t.Parallel()
	f := wave(40, 0.05, 400, 3)
	tin := f.Regions[0].TIN
	depth := tin.Depths(surface.Horizontal(10.05))
	g := newNodes(tin, depth, 0.2)
	for v, d := range depth {
		if got := g.at(tin.X[v], tin.Y[v]); math.Abs(got-d) > 0.002 {
			t.Fatalf("at %.3f, %.3f found depth %.4f, want %.4f", tin.X[v], tin.Y[v], got, d)
		}
	}
}

// On a phone a narrow column may break a long file name, but not its line number.
func TestLineNumbersStayWhole(t *testing.T) {
	for text, want := range map[string][2]string{
		"shots.csv:10":                {"", "shots.csv:10"},
		"bottlinghall_before.csv:101": {"bottlinghall_before", ".csv:101"},
		"":                            {},
	} {
		if head, tail := unbroken(text); head != want[0] || tail != want[1] {
			t.Errorf("%s: %q, %q", text, head, tail)
		}
	}
	places := table.Table{Title: "Readings", Columns: []table.Column{{Name: "Shot"}, {Name: "Where", Under: "%s", Whole: true}, {Name: "What"}},
		Rows: [][]table.Cell{{table.Text("113"), table.Text("shots.csv:10"), table.Text("99 mm lower than nearby shots")}}}
	var b bytes.Buffer
	if err := WriteHTML(&b, Record{Title: "Room", Sections: []Section{{Title: "Readings", Tables: []table.Table{places}}}}, nil); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`113<span class="under"><span class="whole">shots.csv:10</span></span></td>`, `<td class="aside"><span class="whole">shots.csv:10</span></td>`} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %s in the page", want)
		}
	}
}
