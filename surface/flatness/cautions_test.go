package flatness

import (
	"strings"
	"testing"
)

// Grinding an old floor may hit old adhesive and items in the floor; a new fill has only the
// dust.
func TestCautionsOfANewFill(t *testing.T) {
	text := func(newFill bool) string {
		var all []string
		for _, n := range Cautions(Work{Grind: 1, Fill: 1}, newFill) {
			all = append(all, n.Text.String())
		}
		return strings.Join(all, "\n")
	}
	for _, word := range []string{"silica", "Old adhesive", "Locate pipes", "burn the skin"} {
		old := word == "Old adhesive" || word == "Locate pipes"
		if !strings.Contains(text(false), word) || strings.Contains(text(true), word) == old {
			t.Errorf("%s: on an old floor\n%s\non a new fill\n%s", word, text(false), text(true))
		}
	}
}
