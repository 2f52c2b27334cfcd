package job

import (
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// Places of a room of 6 by 4 m by tape, worked out by hand, in both systems: 1 m is 3'-3 3/8"
// to the next sixteenth. A line has both ends from one pair of walls: 1 and 5.5 m from the west
// wall are 6.5 m together, 5 and 0.5 m from the east wall 5.5 m: east is nearer. The wall with a door is named with it once, below the table.
func TestPlacesInCells(t *testing.T) {
	t.Parallel()
	r := solved(t, doorJob("finish-codes = [\"ADJ\"]\n"), doored("D1,6.1,3,10,ADJ", "D2,2,-0.1,10,ADJ"))
	metric, feet := unit.Style{}, unit.Style{Imperial: true}
	at := surface.Vec{X: 1, Y: 1.5}
	for _, c := range []struct {
		style      unit.Style
		cell, line string
	}{
		{metric, "west 1.000 m, south 1.500 m", "from east 5.000 m, north 2.500 m to east 0.500 m, north 1.000 m"},
		{feet, `west 3'-3 3/8", south 4'-11 1/16"`, `from east 16'-4 7/8", north 8'-2 7/16" to east 1'-7 11/16", north 3'-3 3/8"`},
	} {
		if got := CellOf(r.Floor, at).In(c.style); got != c.cell {
			t.Errorf("cell %q, want %q", got, c.cell)
		}
		if got := Stretch(r.Floor, at, surface.Vec{X: 5.5, Y: 3}).In(c.style); got != c.line {
			t.Errorf("line %q, want %q", got, c.line)
		}
	}
	if got, want := WallsNote(r.Floor, []surface.Vec{at, {X: 5.5, Y: 3}}), "Walls are named by the drawing: north is toward +y; thresholds: south D2; east D1."; got != want {
		t.Errorf("note %q, want %q", got, want)
	}
	if got := WallsNote(r.Floor, nil); got != "" {
		t.Errorf("note on no place: %q", got)
	}
	for _, c := range []struct {
		from, to surface.Vec
		want     string
	}{
		{surface.Vec{}, surface.Vec{X: 6}, "south wall"},
		{surface.Vec{X: 6}, surface.Vec{X: 6, Y: 4}, "east wall"},
		{surface.Vec{X: 1, Y: 1}, surface.Vec{X: 2, Y: 2}, "wall at"},
	} {
		if got := wallBetween(r.Floor, c.from, c.to).In(metric); !strings.Contains(got, c.want) {
			t.Errorf("from %v to %v: %q, want %q", c.from, c.to, got, c.want)
		}
	}
}

// Whole steps lose the noise of binary fractions and nothing else.
func TestRoundedToSteps(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ v, step, want float64 }{
		{0.1 + 0.2, 0.01, 0.3}, {2.675, 0.01, 2.68}, {-0.30000000000000004, 0.1, -0.3}, {7.25, 0.25, 7.25}, {7.3, 0.25, 7.25}, {0, 0.5, 0},
	} {
		if got := Rounded(c.v, c.step); got != c.want {
			t.Errorf("Rounded(%v, %v) = %v, want %v", c.v, c.step, got, c.want)
		}
	}
}
