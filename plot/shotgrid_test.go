package plot

import (
	"bytes"
	"testing"
	"time"

	"gonum.org/v1/plot/vg"

	"pourplane/surface"
)

// room is a grid over 4 by 3 m at 1:50.
func room() *ShotGridMap {
	m := &ShotGridMap{Scale: 50, North: surface.Vec{Y: 1}, Rings: [][]surface.Vec{{{}, {X: 4}, {X: 4, Y: 3}, {Y: 3}}}}
	m.Columns = []GridLine{{0.1, "A", "0.10 m"}, {2, "B", "2.00 m"}, {3.9, "C", "3.90 m"}}
	for _, l := range []GridLine{{0.1, "1", "0.10 m"}, {2.9, "2", "2.90 m"}} {
		m.Rows, m.On = append(m.Rows, l), append(m.On, []bool{true, true, l.Name == "1"})
	}
	return m
}

func TestShotGridMap(t *testing.T) {
	m := room()
	w, h := m.PlanSize()
	if want := 4 * 20 * vg.Millimeter; w-gridLeft-gridAir-want > 1e-6 || want-(w-gridLeft-gridAir) > 1e-6 {
		t.Errorf("4 m at 1:50 take %v points", w-gridLeft-gridAir)
	}
	var b bytes.Buffer
	if err := Write(&b, m, Output{Format: "svg", Width: w, Height: h}); err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{">A<", ">0.10 m<", ">3.90 m<", ">B2<", ">C1<", ">N<"} {
		if !bytes.Contains(b.Bytes(), []byte(text)) {
			t.Errorf("no %s on the plan", text)
		}
	}
	if bytes.Contains(b.Bytes(), []byte(">C2<")) {
		t.Error("a place off the floor has a name")
	}
	if got, want := m.Apart(), 1.9*20*vg.Millimeter; got-want > 1e-6 || want-got > 1e-6 {
		t.Errorf("lines %v apart, want %v", got, want)
	}
	if err := Write(&b, &ShotGridMap{Scale: 50}, Output{Format: "svg"}); err != ErrNoFloor {
		t.Errorf("no walls: %v", err)
	}
}

// Letters after a drawing are whole even if the drawing ended in another font: all are in the
// font of the file.
func TestTextAfterADrawing(t *testing.T) {
	page := func(after bool) []byte {
		d := NewPDF("title", "program", time.Time{})
		d.Page(432, 576)
		place := func() {
			if err := d.Place(room(), vg.Rectangle{Min: vg.Point{X: 20, Y: 20}, Max: vg.Point{X: 400, Y: 400}}); err != nil {
				t.Fatal(err)
			}
		}
		d.Text(Lettering{Size: 12}, vg.Point{X: 20, Y: 520}, "o")
		if !after {
			place()
		}
		d.Text(Lettering{Size: 12}, vg.Point{X: 20, Y: 480}, "SPHINX of quartz")
		d.Text(Lettering{Size: 8, Bold: true}, vg.Point{X: 20, Y: 460}, "JUDGE my vow")
		if after {
			place()
		}
		_, file := encoded(t, d)
		return tool(t, "pdftoppm", "-r", "72", file)
	}
	if before, after := page(true), page(false); !bytes.Equal(before, after) {
		t.Error("text is drawn otherwise after a drawing than before it")
	}
}
