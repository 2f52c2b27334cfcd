package report

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/plot"
	"pourplane/plot/exchange"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/surface/uncertainty"
	"pourplane/survey/unit"
)

// Next shots are written to 10 mm, with the ± after each; where two would read the same, with one more
// digit. Those that change it little have one sentence more.
func TestNextShotsAsWritten(t *testing.T) {
	t.Parallel()
	w := waves(t, 6)
	now := uncertainty.Parts{Sampling: 0.0312, Total: 0.0312}
	shots := []uncertainty.Shot{{At: surface.Vec{X: 1.2083, Y: 0.4512}, SDAfter: 0.0200}, {At: surface.Vec{X: 2, Y: 1}, SDAfter: 0.0199}, {At: surface.Vec{X: 3, Y: 1}, SDAfter: 0.0150}}
	got := nextOf(shots, now, w.Floor, 1.3, unit.Style{})
	if want := []string{"±0.0329 m³", "±0.0327 m³", "±0.0247 m³"}; !slices.Equal(got.after, want) || got.little != "" {
		t.Errorf("%q, want %q", got.after, want)
	}
	if want := "about 1.21 m from west wall, 0.45 m from south wall"; !strings.HasPrefix(got.where[0], want) {
		t.Errorf("%q, want %q", got.where[0], want)
	}
	if want := `about 4'-0" from west wall, 1'-6" from south wall`; !strings.HasPrefix(nextOf(shots, now, w.Floor, 1.3, unit.Style{Imperial: true}).where[0], want) {
		t.Errorf("want %q", want)
	}
	for _, c := range []struct {
		after      float64
		last, want string
	}{{0.03119, "±0.0513 m³", "They hardly narrow ±0.0513 m³: the floor between the shots is most of it"}, {0.0300, "±0.0493 m³", "They narrow ±0.0513 m³ to ±0.0493 m³ only: the floor between the shots is most of it"}} {
		shots[2].SDAfter = c.after
		got := nextOf(shots, now, w.Floor, 1.3, unit.Style{})
		if want := []string{"±0.0329 m³", "±0.0327 m³", c.last}; got.little != c.want || !slices.Equal(got.after, want) {
			t.Errorf("%q and %q, want %q and %q", got.little, got.after, c.want, want)
		}
	}
}

// Each place of the JSON that has a depth has how far that is known: pins as pins.csv has it.
func TestDepthSDInJSON(t *testing.T) {
	t.Parallel()
	h := hall(t)
	r := numbersOf(t, h)
	model, ground := h.Filled.Sure().Model, h.Old.Locators()
	check := func(what string, at [2]float64, sd *float64) {
		t.Helper()
		p := surface.Vec{X: at[0], Y: at[1]}
		_, region, _ := ground.At(p)
		if want := model.Depths(region, []surface.Vec{p})[0].SD; sd == nil || !(want > 0) || math.Abs(*sd-want) > 1e-12 {
			t.Errorf("%s: %v, want %g", what, sd, want)
		}
	}
	if len(r.Pins.Places) != len(h.Pins.Pins) || len(r.Next) != 3 {
		t.Fatalf("%d pins, %d next shots", len(r.Pins.Places), len(r.Next))
	}
	for _, p := range r.Pins.Places {
		check(p.Name, p.At, p.DepthSD)
	}
	for _, n := range r.Next {
		check("next shot", n.At, n.Depth)
	}
	for _, d := range []depthJSON{r.Depth, r.Regions[0].Depth, r.Regions[1].Depth} {
		check("min", d.MinAt, d.MinSD)
		check("max", d.MaxAt, d.MaxSD)
	}
	for _, l := range h.settingLayers() {
		for _, k := range l.Labels {
			for _, q := range k.Properties {
				if sd, ok := q.Value.(float64); q.Name == "depth_sd_mm" && !(ok && sd > 0) {
					t.Errorf("%s in the plan: %v", k.Text, q.Value)
				}
			}
		}
	}
}

// The causes of the ± are listed with all of them together, whose square is the sum of theirs, and
// orders for several risks that are one order have one row.
func TestCausesTogether(t *testing.T) {
	t.Parallel()
	w := waves(t, 6)
	p := w.Sure().Parts
	if got := p.Reading*p.Reading + p.Setup*p.Setup + p.Sampling*p.Sampling + p.Walls*p.Walls; math.Abs(math.Sqrt(got)-p.Total) > 1e-12 {
		t.Errorf("%g together, want %g", p.Total, math.Sqrt(got))
	}
	all := causes(w, unit.Style{})
	if last := all[len(all)-1]; last.Head != "together" || last.Text != "±"+partOf(w.Sure(), 1.6448536*p.Total, w.Fill.Fill, unit.Style{}) {
		t.Errorf("last %+v", last)
	}
	for _, of := range []string{hall(t).sureSection().Tables[0].Notes[0], strings.Join((&Summary{Filled: w}).SureGrid().Notes, " ")} {
		if !strings.Contains(strings.ToLower(of), ofCauses) {
			t.Errorf("%q", of)
		}
	}
	for _, o := range orders(hall(t).Filled) {
		seen := map[string]bool{}
		for _, row := range hall(t).riskTable(o, true).Rows {
			if seen[row[1].Text] {
				t.Errorf("two rows for %s", row[1].Text)
			}
			seen[row[1].Text] = true
		}
	}
}

// The next shots are numbered on the map of the depths, before the pour; more than a few would hide the
// depths, and the map says where they are.
func TestNextShotsOnTheDepthMap(t *testing.T) {
	t.Parallel()
	for next, want := range map[float64]int{0: 0, 3: 3, 5: 5, 6: 0} {
		j := valleyJob()
		j.Outputs.NextShots = &next
		w, err := job.Fill(j, nil, valley(), nil)
		if err != nil {
			t.Fatal(err)
		}
		m := FillPictures(w, unit.Style{})[0].drawing.(*plot.DepthMap)
		if len(m.Spots) != want || strings.HasPrefix(m.Note, "6 next shots: numbered on the map of the ±, depth-error") != (next == 6) {
			t.Errorf("%g next shots: %d marks, note %q", next, len(m.Spots), m.Note)
		}
		for i, s := range m.Spots {
			if s.At != w.Sure().Next()[i].At || s.Name != fmt.Sprint(i+1) || !s.Next {
				t.Errorf("%+v", s)
			}
		}
	}
	h := hall(t)
	if h.Judged == nil {
		t.Fatal("not after the pour")
	}
	if n := len(h.main().Spots); n != 0 {
		t.Errorf("%d next shots after the pour", n)
	}
	before := *h.Result
	before.Judged = nil
	b, err := NewHandover(&before, h.Style)
	if err != nil {
		t.Fatal(err)
	}
	if n, other := len(b.main().Spots), len(b.depth.Spots); n != 3 || other != 0 {
		t.Errorf("%d next shots in the record, want 3; %d for the customer, want none", n, other)
	}
}

// Of a volume that sets the target the height is what is unsure. By hand: the bounds of what fills to
// the target, over the area.
func TestHeightOfAGivenVolume(t *testing.T) {
	t.Parallel()
	j := valleyJob()
	j.Target = job.Target{Volume: "1.3m3"}
	w, err := job.Fill(j, nil, valley(), nil)
	if err != nil {
		t.Fatal(err)
	}
	lo, hi := w.Sure().Interval(0.9)
	v := volumeOf(w)
	if v.CI90 == nil || math.Abs(v.Z-v.CI90[0]-(hi-1.3)/24) > 1e-9 || math.Abs(v.CI90[1]-v.Z-(1.3-lo)/24) > 1e-9 {
		t.Errorf("%+v of %g to %g m³", v, lo, hi)
	}
	want := fmt.Sprintf("Fill 1.30 m³, 90 %% sure to come between %.0f mm below and %.0f mm above the target", 1000*(hi-1.3)/24, 1000*(1.3-lo)/24)
	if got := SureMarkOf(w, unit.Style{}).Text; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := causesText(w, unit.Style{}); !strings.HasPrefix(got, "in height: ") || !strings.HasSuffix(got, " mm") {
		t.Errorf("%q", got)
	}
	if g := (&Summary{Filled: w}).SureGrid(); g.Title != "What makes the height unsure" || !strings.HasSuffix(g.Rows[0][1], " mm") {
		t.Errorf("%+v", g)
	}
}

// On paper the places are listed as the maps number them, where they narrow the ± by more than a
// little or the job asks for them.
func TestNextShotsOnPaper(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"walls.csv": valley()["walls.csv"], "v.csv": {Data: []byte("point,x (m),y (m),z (m)\n1,0.3,0.3,9.98\n2,3,0.3,9.96\n3,5.7,0.3,9.99\n4,0.3,2,9.95\n5,5.7,2,9.97\n6,3,3.7,9.96\n")}}
	h := handed(t, "[survey]\nfiles = [\"v.csv\"]\noutline = \"walls.csv\"\nsetup-sd = \"0mm\"\n[target]\nelevation = \"10.03m\"\n", files)
	text := h.nextText()
	if len(text) != 1 || !strings.HasPrefix(text[0], "Next shots, the best first: 1 about ") || !strings.Contains(text[0], "; 3 about ") || !strings.Contains(text[0], "; the fill is then within ±") {
		t.Errorf("next shots on paper: %q", text)
	}
	// Three shots are too few for a ±.
	few := fstest.MapFS{"walls.csv": files["walls.csv"], "v.csv": {Data: []byte("point,x (m),y (m),z (m)\n1,0.3,0.3,9.98\n2,5.7,0.3,9.99\n3,0.3,2,9.95\n")}}
	job := "[survey]\nfiles = [\"v.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"10.03m\"\n[pins]\nspacing = \"1m\"\n"
	if text := handed(t, job, few).nextText(); text != nil {
		t.Errorf("not asked for: %q", text)
	}
	h = handed(t, job+"[outputs]\nnext-shots = 2\n", few)
	if text := strings.Join(h.nextText(), ""); !strings.HasPrefix(text, "Next shots: 1 about ") || !strings.Contains(text, "; 2 about ") || !strings.HasSuffix(text, ". They are the places farthest from all shots. Read them, and the ± can be measured.") {
		t.Errorf("asked for, ± not known: %q", text)
	}
	// The ± of the depth at a pin is not known then: the plans have the pin without it.
	var plan bytes.Buffer
	if err := exchange.WriteGeoJSON(&plan, exchange.Plan{Layers: h.settingLayers()}); err != nil || !strings.Contains(plan.String(), `"depth_sd_mm":null`) {
		t.Errorf("%v: no pin without a ± in %d bytes", err, plan.Len())
	}
}
