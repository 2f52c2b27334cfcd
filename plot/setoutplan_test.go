package plot

import (
	"bytes"
	"fmt"
	"io"
	"testing"

	"gonum.org/v1/plot/vg"

	"pourplane/surface"
	"pourplane/survey"
)

func laid(t testing.TB, m *SetOutMap) *SetOutPlan {
	t.Helper()
	p, err := m.LayOut()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// pinPlan is a map with everything that a plan places lettering for.
func pinPlan(step, scale float64) *SetOutMap {
	m := pinned(step)
	m.Scale = scale
	m.Finished = doors(surface.Vec{})
	m.Target = surface.Plane{At: m.Target.(surface.Plane).At, Z: m.Target.(surface.Plane).Z, SlopeX: -0.015}
	m.Exit = &m.Pins[3].At
	drain := feet(30, 6)[0]
	m.Drains = []survey.Point{survey.Point{X: drain.X, Y: drain.Y}.Named("D1")}
	m.Bays = []Bay{{Name: "1", Text: "3 yd³", At: feet(8, 8)[0], Rings: [][]surface.Vec{feet(0, 0, 18, 0, 18, 18, 0, 18)}}, {Name: "2", Text: "4 yd³", At: feet(27, 8)[0], Rings: [][]surface.Vec{feet(18, 0, 36, 0, 36, 18, 18, 18)}}}
	m.Dams, m.DamNames = [][]surface.Vec{feet(18, 0, 18, 18)}, []string{"D1"}
	m.Bars, m.BarMarks = [][2]surface.Vec{{feet(1, 4)[0], feet(30, 4)[0]}, {feet(1, 5)[0], feet(30, 5)[0]}}, []string{"B1", "B1"}
	return m
}

// A plan with lettering placed once draws the same as its map, which places it itself: every
// time, and on a page of another size too.
func TestPlanDrawsAsItsMap(t *testing.T) {
	t.Parallel()
	for _, m := range []*SetOutMap{pinned(4), pinned(3.3), pinPlan(4, 50), pinPlan(3, 60), pinPlan(2, 70)} {
		if m.Scale == 0 {
			m.Scale = 84
		}
		plan := laid(t, m)
		w, h := m.PlanSize()
		for _, more := range []vg.Length{0, 0, 90, 0} {
			of := Output{Format: "svg", Width: w + more, Height: h + more}
			var want, got bytes.Buffer
			if err := Write(&want, m, of); err != nil {
				t.Fatal(err)
			}
			if err := Write(&got, plan, of); err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got.Bytes(), want.Bytes()) {
				t.Errorf("%d pins at 1:%g on a page %g pt wider: the plan is drawn otherwise than the map", len(m.Pins), m.Scale, more.Points())
			}
		}
	}
}

// A part does not change its plan or another part.
func TestPartsLeaveThePlanAlone(t *testing.T) {
	t.Parallel()
	m := pinPlan(3, 60)
	m.Bare = true
	plan := laid(t, m)
	w, h := m.PlanSize()
	drawn := func(p *SetOutPlan) string {
		var b bytes.Buffer
		if err := Write(&b, p, Output{Format: "svg", Width: w, Height: h}); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	left := plan.Part(vg.Rectangle{Max: vg.Point{X: w / 2, Y: h}})
	right := plan.Part(vg.Rectangle{Min: vg.Point{X: w / 3}, Max: vg.Point{X: w, Y: h}})
	whole, first, second := drawn(plan), drawn(left), drawn(right)
	if whole == first || first == second {
		t.Error("a part is drawn as the whole is")
	}
	if drawn(left) != first || drawn(right) != second || drawn(plan) != whole {
		t.Error("drawn again a plan is another")
	}
}

// BenchmarkSetOutPlan is a plan that is split: laid out, checked for room on each of six
// sheets, and drawn on them.
func BenchmarkSetOutPlan(b *testing.B) {
	for _, step := range []float64{4, 1.75, 1} {
		m := pinned(step)
		m.Scale, m.Bare = 40, true
		b.Run(fmt.Sprintf("pins=%d", len(m.Pins)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				p := laid(b, m)
				w, h := m.PlanSize()
				for k := range 6 {
					i := vg.Length(k)
					part := p.Part(vg.Rectangle{Min: vg.Point{X: w * i / 8}, Max: vg.Point{X: w * (i + 2) / 8, Y: h}})
					part.Unwritten()
					if err := Write(io.Discard, part, Output{Format: "pdf", Width: w, Height: h}); err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}
