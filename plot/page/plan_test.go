package page

import (
	"bytes"
	"strings"
	"testing"
)

var planWalls = []byte("x_m,y_m\n0,0\n6,0\n6,4\n0,4\n")

func planned(t *testing.T, a PlanAsk, names ...string) (Reply, []byte) {
	t.Helper()
	var e Engine
	return got(t, e.Answer(t.Context(), pack(Request{Ask: "plan", Plan: a, Names: names, Files: []File{{"walls.csv", "w", int64(len(planWalls))}}}, [][]byte{planWalls}), nil))
}

// A plan of shots has the words of the command, the places of its shots, and its sheets.
func TestPlanOfShots(t *testing.T) {
	t.Parallel()
	r, parts := planned(t, PlanAsk{Outline: "walls.csv", Spacing: "1m"})
	if r.Refused != nil || r.Plan == nil {
		t.Fatalf("%+v", r)
	}
	p := r.Plan
	if len(p.Floor.Shots) != 35 || p.Spacing != 1 || !strings.HasPrefix(p.Facts[0].Text, "35, up to 1.00 m apart") {
		t.Errorf("%d shots: %+v", len(p.Floor.Shots), p.Facts)
	}
	if len(parts) == 0 || p.Floor.Regions[0].Triangles == 0 || p.Floor.Shots[0].Name != "A1" {
		t.Errorf("the floor is %+v", p.Floor)
	}
	if !strings.Contains(p.Facts[1].Text, "90 % sure") || len(p.Choices.Rows) < 3 {
		t.Errorf("%+v %+v", p.Facts, p.Choices)
	}
	r, parts = planned(t, PlanAsk{Outline: "walls.csv", Spacing: "1m"}, "plan.pdf", "plan.csv", "plan.xlsx")
	if len(r.Made) != 3 || !bytes.HasPrefix(parts, []byte("%PDF")) || !bytes.Contains(parts[r.Made[0].Size:], []byte("1 = 100 mm")) {
		t.Errorf("made %+v", r.Made)
	}
}

// What cannot be planned is refused in the words of the form, without options of a command.
func TestPlanRefused(t *testing.T) {
	t.Parallel()
	for want, a := range map[string]PlanAsk{
		"± wanted: found":      {Outline: "walls.csv", Want: "a lot"},
		"“± wanted”":           {Outline: "walls.csv", Want: "0.004m3"},
		"spacing: found":       {Outline: "walls.csv", Spacing: "0.01m"},
		"kind of floor: found": {Outline: "walls.csv", Spacing: "1m", Floor: "odd"},
		"reading error: found": {Outline: "walls.csv", Spacing: "1m", Reading: "2"},
		"“spacing”":            {Outline: "walls.csv"},
	} {
		r, _ := planned(t, a)
		if len(r.Refused) != 1 || !strings.Contains(r.Refused[0].Text, want) || strings.Contains(r.Refused[0].Text, "--") {
			t.Errorf("%+v: refused %+v, want %q", a, r.Refused, want)
		}
	}
}
