package blunder

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// hall reads the demo survey after edit has changed its text, and looks through
// it.
func hall(t *testing.T, edit func(string) string) []Finding {
	t.Helper()
	text, err := os.ReadFile("../../testdata/demo/survey.csv")
	if err != nil {
		t.Fatal(err)
	}
	s, err := survey.ReadText(strings.NewReader(edit(string(text))), "survey.csv", survey.Options{Codes: map[string]survey.Role{"ADJ": survey.Finished, "SILL": survey.Finished}})
	if err != nil {
		t.Fatal(err)
	}
	walls, err := survey.OpenOutline("../../testdata/demo/outline.csv", survey.Options{Unit: s.Plan})
	if err != nil {
		t.Fatal(err)
	}
	f, err := surface.NewFloor(surface.Data{Shots: s.Points, Rings: walls.Rings, Lines: walls.Breaklines})
	if err != nil {
		t.Fatal(err)
	}
	found, _ := Find(s, f)
	return found
}

func replaced(pairs ...string) func(string) string {
	return func(text string) string {
		for i := 0; i < len(pairs); i += 2 {
			if !strings.Contains(text, pairs[i]) {
				panic("no " + pairs[i])
			}
			text = strings.Replace(text, pairs[i], pairs[i+1], 1)
		}
		return text
	}
}

// What the trade's own list of slips does to the demo: each is made alone.
func TestDirtyCopiesOfTheDemo(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(string) string
		want []string // point, kind and what would fit
	}{
		{"as it is", replaced(), nil},
		{"113 a foot out", replaced("113,28,4.5,4-6 5/16", "113,28,4.5,5-6 5/16"), []string{"113 one foot 4-6 5/16"}},
		{"137 an inch out", replaced("137,8,13,4-5 7/16", "137,8,13,4-4 7/16"), []string{"137 one inch 4-5 7/16"}},
		// 5/8 in at a corner: seen, and left open whether an inch or a digit is wrong.
		{"110 without a digit", replaced("110,35.7,0.3,4-5 13/16", "110,35.7,0.3,4-5 3/16"), []string{"110 does not fit 4-6 1/16 or 4-6 3/16 or 4-5 13/16"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			for _, f := range hall(t, c.edit) {
				text := fmt.Sprint(f.Reading.Name, " ", f.Kind, " ", f.WouldFit)
				for _, a := range f.Also {
					text += " or " + a.WouldFit
				}
				got = append(got, text)
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}
