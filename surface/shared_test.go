package surface

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// TestShotsOnACommonEdge: shots of a 1 m grid on the edge of a pit of 2 × 2 m in a hall are
// used for both sides, which is reported beside the depths. Shots with a part are used for
// that part.
func TestShotsOnACommonEdge(t *testing.T) {
	rings := []survey.Ring{ringOf("hall", survey.Outer, 0, 0, 6, 0, 6, 6, 0, 6), ringOf("pit", survey.Outer, 2, 2, 4, 2, 4, 4, 2, 4)}
	var shots []survey.Point
	for _, p := range shotsOn(0, 0, 6, 6, 1, func(_, _ float64) float64 { return 0 }) {
		p = p.With(survey.Tag{Name: string(rune('A'+int(p.X))) + string(rune('1'+int(p.Y))),
			At: survey.Pos{File: "floor.csv", Line: 2 + int(p.Y), Col: 2 + int(p.X)}})
		if p.X == 3 && p.Y == 3 {
			p.Z = -0.15
		}
		shots = append(shots, p)
	}
	warned := func(d Data) (Fill, []survey.Note) {
		f := build(t, d)
		return f.FillTo(Horizontal(0.05), nil), slices.DeleteFunc(f.Notes, func(n survey.Note) bool { return !strings.Contains(n.Text.String(), " on the edge ") })
	}
	want := survey.Note{Kind: survey.Warning, Topic: survey.AboutDepth, Pos: survey.Pos{File: "floor.csv", Line: 4, Col: 4},
		Text: unit.Textf("8 shots are on the edge between hall and pit (C3, D3, E3, C4, E4, C5, D5, E5): which side they were read on is not known, so both sides are taken at that height; name the side in a column part, or draw the edge beside the shots")}
	r, notes := warned(Data{Shots: shots, Rings: rings})
	if len(notes) != 1 || notes[0] != want {
		t.Errorf("notes %v, want %v", notes, want)
	}
	// By hand: in each of 4 squares of 1 m the pit rises to the edge over one triangle or
	// two, depending on its diagonal: 0.1 to 0.2 m³ of the 0.6 m³ of a pit with walls.
	if pit := r.Fill - 36*0.05; pit < 0.1-1e-12 || pit > 0.2+1e-12 {
		t.Errorf("the pit takes %g m³, want 0.1 to 0.2", pit)
	}
	slices.Reverse(shots)
	if _, again := warned(Data{Shots: shots, Rings: rings}); !slices.Equal(again, notes) {
		t.Errorf("in another order: %v, want %v", again, notes)
	}
	for i, p := range shots {
		if math.Max(math.Abs(p.X-3), math.Abs(p.Y-3)) == 1 {
			t := p.Tag()
			t.Part = "hall"
			shots[i] = p.With(t)
		}
	}
	for _, p := range [][2]float64{{2.5, 2.5}, {3.5, 2.5}, {2.5, 3.5}} {
		shots = append(shots, survey.Point{X: p[0], Y: p[1], Z: -0.15})
	}
	r, notes = warned(Data{Shots: shots, Rings: rings})
	if len(notes) != 0 {
		t.Errorf("with parts: %v, want none", notes)
	}
	near(t, "fill with parts", r.Fill, 36*0.05+4*0.15, 1e-9)

	// For a step no part names a side. If there are more than eight shots, not all are
	// named.
	step := []survey.Breakline{{Name: "s", Points: []survey.Point{{X: 5, Y: 0, Z: math.NaN()}, {X: 5, Y: 10, Z: math.NaN()}}}}
	long := shotsOn(0, 0, 10, 10, 1, func(_, _ float64) float64 { return 0 })
	for i := range long {
		long[i] = long[i].Named("P")
	}
	_, notes = warned(Data{Shots: long, Lines: step, Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 10, 0, 10, 10, 0, 10)}})
	if len(notes) != 1 || !strings.HasPrefix(notes[0].Text.String(), "11 shots are on the edge between part 1 and part 2 (P, P, P, P, P, P, P, P, …): ") || !strings.HasSuffix(notes[0].Text.String(), "; draw the edge beside the shots") {
		t.Errorf("a step: %v", notes)
	}
	one := []survey.Point{{X: 1, Y: 1}, {X: 1, Y: 9}, {X: 4, Y: 5}, {X: 9, Y: 1}, {X: 9, Y: 9}, {X: 6, Y: 5}, {X: 5, Y: 5}}
	_, notes = warned(Data{Shots: one, Lines: step, Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 10, 0, 10, 10, 0, 10)}})
	if len(notes) != 1 || !strings.HasPrefix(notes[0].Text.String(), "1 shot is on the edge between part 1 and part 2: which side it was read on") {
		t.Errorf("one shot: %v", notes)
	}
}
