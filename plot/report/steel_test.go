package report

import (
	"strings"
	"testing"
)

// Where the fill is too thin for bars, the first page and the answer say so beside the bars.
func TestThinBarsAreOnTheFirstPage(t *testing.T) {
	h := hall(t)
	const want = `Too thin for bars and their cover (2 1/4" needed): 276.3 ft²`
	if page := strings.Join(h.summarySection(true).Warnings, "\n"); !strings.Contains(page, want) {
		t.Errorf("first page:\n%s", page)
	}
	if text := strings.Join(h.steelSection().Text, "\n"); !strings.Contains(text, "end them at the hatching unless the designer wants something else") {
		t.Errorf("section on bars:\n%s", text)
	}
	for _, c := range []string{"Where the fill is thinner than the bar it cannot be placed", "Laps are 3\" or more from steps and dams.", `all where it is too thin for bars, thinnest at the corner of west wall and south wall; 5'-0" from east wall`, "At 6 places the fill is too thin for a chair and the bar on it: crosses on the plan, not counted. End the bars before them, raise the target, or ask the designer.", `Chairs as low as 1/4" may not be sold`} {
		if text := strings.Join(h.steelSection().Text, "\n"); !strings.Contains(text, c) {
			t.Errorf("no %q in:\n%s", c, text)
		}
	}
	if page := strings.Join(h.summarySection(true).Warnings, "\n"); !strings.Contains(page, "in 2 places; the larger is thinnest at") || !strings.Contains(page, "end them at the hatching unless the designer wants something else") {
		t.Errorf("first page:\n%s", page)
	}
	var b strings.Builder
	sum := &Summary{Filled: h.Filled, Style: h.Style, Extra: h.Rows()}
	if err := sum.Print(&b); err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(strings.Fields(b.String()), " "); !strings.Contains(got, `Bars 73 of #3, 449 lb; too thin for them and the cover (2 1/4" needed): 276.3 ft²`) {
		t.Errorf("answer:\n%s", b.String())
	}
}

// The bar plan and the list name the walls that bars are laid from, with the distances: by hand of
// the demo, 3 in from the walls, 31.5 ft in 21 gaps and 35.5 ft in 24 of 17.75 in.
func TestBarsAreLaidFromNamedWalls(t *testing.T) {
	h := hall(t)
	m := h.setOutMap(false, true, false)
	want := [2]string{`X: along south wall, the first 3" from it, then every 18"`, `Y: across, on top: the first beside east wall (the wall with B1 and B2), 3" from it, then every 17 3/4"`}
	if m.Ways != want {
		t.Errorf("%q", m.Ways)
	}
	if note := h.cutTable().Notes[0]; !strings.HasPrefix(note, want[0]+"; the lower layer. "+want[1]+". ") {
		t.Errorf("below the list: %q", note)
	}
	counts := map[string]int{}
	for _, height := range m.Heights {
		counts[height]++
	}
	if counts[`1/4"`] != 18 || counts[`2 3/4"`] != 3 || len(m.Chairs) != 102 || len(m.NoChair) != 6 {
		t.Errorf("%d chairs, %d without room, heights %v", len(m.Chairs), len(m.NoChair), counts)
	}
}
