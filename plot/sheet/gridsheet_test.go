package sheet

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"pourplane/plot"
	"pourplane/surface"
)

// gridOf is a room of columns by rows, 1 m apart.
func gridOf(name string, columns, rows int) GridRoom {
	w, h := float64(columns), float64(rows)
	m := plot.ShotGridMap{North: surface.Vec{Y: 1}, Rings: [][]surface.Vec{{{}, {X: w}, {X: w, Y: h}, {Y: h}}}}
	for c := range columns {
		m.Columns = append(m.Columns, plot.GridLine{At: float64(c) + 0.5, Name: fmt.Sprintf("%c", 'A'+c), Text: fmt.Sprintf("%d.50 m", c)})
	}
	for r := range rows {
		m.Rows = append(m.Rows, plot.GridLine{At: float64(r) + 0.5, Name: fmt.Sprint(r + 1), Text: fmt.Sprintf("%d.50 m", r)})
		m.On = append(m.On, make([]bool, columns))
	}
	return GridRoom{Name: name, Plan: m, From: "From two walls."}
}

func TestGridSheetRefusals(t *testing.T) {
	for want, s := range map[string]GridSheet{
		"found no title": {Rooms: []GridRoom{gridOf("", 2, 2)}},
		"found no room":  {Title: "Hall"},
	} {
		if err := WriteGridSheet(&bytes.Buffer{}, s, A4, []float64{50}, nil); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
	if err := WriteGridSheet(&bytes.Buffer{}, GridSheet{Title: "Hall", Rooms: []GridRoom{gridOf("", 2, 2)}}, Paper(9), []float64{50}, nil); err == nil {
		t.Error("an unknown paper is taken")
	}
}

// A room has one page if its plan stays readable beside the table; else the plan has its own; a room
// too large for any scale has only the table. Equal sheets are equal files.
func TestGridSheetPages(t *testing.T) {
	name := func(s float64) string { return fmt.Sprintf("1:%g", s) }
	for _, c := range []struct {
		what   string
		rooms  []GridRoom
		scales []float64
		pages  int
	}{
		{"a small room", []GridRoom{gridOf("", 4, 3)}, []float64{50, 100}, 1},
		{"its plan too small beside the table", []GridRoom{gridOf("", 8, 9)}, []float64{50, 250}, 2},
		{"more columns than a page", []GridRoom{gridOf("", 20, 9)}, []float64{100, 200}, 3},
		{"no scale", []GridRoom{gridOf("", 4, 3)}, []float64{5}, 1},
		{"two rooms", []GridRoom{gridOf("a", 4, 3), gridOf("b", 4, 3)}, []float64{50}, 2},
	} {
		s := GridSheet{Title: "Hall", Blanks: []string{"Date", "Read by"}, Rooms: c.rooms, Text: []string{"Read the benchmark."}, Cautions: []string{"Laser."}}
		var one, two bytes.Buffer
		for _, b := range []*bytes.Buffer{&one, &two} {
			if err := WriteGridSheet(b, s, A4, c.scales, name); err != nil {
				t.Fatal(err)
			}
		}
		if n := bytes.Count(one.Bytes(), []byte("/Type /Page\n")); n != c.pages {
			t.Errorf("%s: %d pages, want %d", c.what, n, c.pages)
		}
		if !bytes.Equal(one.Bytes(), two.Bytes()) {
			t.Errorf("%s: two files differ", c.what)
		}
	}
}
