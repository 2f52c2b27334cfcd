package plot

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// No line of a legend reaches under the scale bar or past the page, at the widths of phones
// and of a column of paper.
func TestLegendsStandClearOfTheScale(t *testing.T) {
	t.Parallel()
	style := lettering(8, false, black)
	for _, u := range []unit.Style{{}, {Imperial: true}} {
		depth := cutHall(1)
		depth.Units, depth.Shots = u, true
		depth.Spots = []Spot{{Name: "1"}}
		load := (&LoadMap{Floor: depth.Floor, Target: depth.Target, UnitWeight: 2300, Units: u}).depths()
		for page := vg.Length(345); page <= 460; page += 5 {
			for what, m := range map[string]*DepthMap{"depth": depth, "load": load} {
				s := newSheet(m, true)
				width := page - 2*margin
				for i, l := range entryLines(s.legendEntries(width), width, scaleRoom) {
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

// On half a page, no lettering of the pictures of flatness and of a profile passes the edge,
// and no axis lettering reaches into the legend.
func TestPicturesFitHalfAPage(t *testing.T) {
	t.Parallel()
	edge := EdgeProfile{Title: "Worst place", Line: []surface.Station{{Distance: 0, Elevation: 0}, {Distance: 1, Elevation: 0.003}, {Distance: 2, Elevation: -0.001}, {Distance: 3, Elevation: 0.002}, {Distance: 4, Elevation: 0}},
		From: 0.9, To: 3.9, A: 1, B: 3, Low: 2, Gap: 0.0035}
	bars := edge
	bars.Curvature = []float64{0.001, -0.002, 0.001}
	share := Histogram{Title: "Departures", From: -0.005, Step: 0.001, Shares: []float64{0.01, 0.02, 0.02, 0.9, 0.05}, Tolerance: 0.003}
	along := Profile{Title: "Through the hall", Floor: hall(1, surface.Vec{}), Target: surface.Horizontal(99.93 * foot), From: feet(8, 1)[0], To: feet(8, 31)[0], Units: unit.Style{Imperial: true}}
	ground := along // above the target in part
	ground.Target = surface.Horizontal(99.7 * foot)
	parts := regexp.MustCompile(`<text x="([^"]+)" y="([^"]+)" .*?textLength="([^"]+)"(.*?)>([^<]+)<`)
	for page := vg.Length(230); page <= 260; page += 5 {
		for first, d := range map[string]Drawing{"where the straightedge rests": &edge, "where the straightedge": &bars, "share of the area that": &share, "target": &along, "target of a cut": &ground} {
			c := newSVG(page, d.Height(page), "")
			if err := d.Draw(draw.New(c)); err != nil {
				t.Fatal(err)
			}
			lowest, legend := 0.0, math.Inf(1)
			for _, m := range parts.FindAllStringSubmatch(c.body.String(), -1) {
				x, y, long := number(t, m[1]), number(t, m[2]), number(t, m[3])
				if strings.Contains(m[4], "rotate") {
					lowest = max(lowest, y)
					long = 0
				}
				if strings.HasPrefix(m[5], strings.TrimSuffix(first, " of a cut")) {
					legend = y - 6
				}
				if x < 0 || x+long > page.Points() || y > c.h.Points() {
					t.Errorf("%g pt wide: %q from %.0f to %.0f, %.0f of %.0f pt down", page.Points(), m[5], x, x+long, y, c.h.Points())
				}
			}
			if lowest == 0 || lowest > legend {
				t.Errorf("%g pt wide: the name of an axis reaches down to %.0f, the legend begins at %.0f", page.Points(), lowest, legend)
			}
		}
	}
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// A map on a page without room for the plan is drawn without it. The search for the length
// of the scale bar once never ended.
func TestMapWithoutRoomEnds(t *testing.T) {
	t.Parallel()
	m := &DepthMap{Floor: hall(4, surface.Vec{}), Target: surface.Horizontal(31), Shots: true}
	for high := vg.Length(20); high < 300; high += 7 {
		if err := m.Draw(draw.New(newSVG(320, high, ""))); err != nil {
			t.Errorf("%g pt high: %v", high.Points(), err)
		}
	}
}
