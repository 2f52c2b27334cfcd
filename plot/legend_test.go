package plot

import (
	"testing"

	"gonum.org/v1/plot/vg"

	"pourplane/survey/unit"
)

// No line of a legend reaches under the scale bar or past the page, at the widths of
// telephones and of a column of paper.
func TestLegendsStandClearOfTheScale(t *testing.T) {
	style := lettering(8, false, black)
	for _, u := range []unit.Style{{}, {Imperial: true}} {
		depth := cutHall(1)
		depth.Units, depth.Shots = u, true
		depth.Marks = []Mark{{Name: "1"}}
		load := (&LoadMap{Floor: depth.Floor, Target: depth.Target, UnitWeight: 2300, Units: u}).depths()
		for page := vg.Length(345); page <= 460; page += 5 {
			for what, m := range map[string]*DepthMap{"depth": depth, "load": load} {
				s := newSheet(m, true)
				width := page - 2*margin
				for i, l := range entryLines(s.legendEntries(width), width) {
					right := style.Width(l.text)
					if l.indent {
						right += signRoom
					}
					most := width
					if vg.Length(i)*entryLead < scaleTall+4 {
						most -= scaleRoom
					}
					if right > most {
						t.Errorf("%s map, %g pt wide: %q ends at %.0f pt, past %.0f", what, page.Points(), l.text, right, most)
					}
				}
				caption := lettering(9, true, black).Width(s.caption())
				if s.sharesAbove(width) {
					caption += lettering(8, false, grey).Width(sharesText)
				}
				if caption > width {
					t.Errorf("%s map, %g pt wide: what stands above the bar is %.0f pt wide", what, page.Points(), caption)
				}
			}
		}
	}
}
