package plot

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
)

const phoneWidth = 236 * vg.Length(1) // of a drawing on a phone 360 pixels wide

// at returns a drawing as SVG at a width.
func at(t *testing.T, d Drawing, width vg.Length) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, d, Output{Format: "svg", Width: width}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// No two texts of a map overlap, on paper and on a phone, although numbered places are at the
// lowest and the highest spot and shots are everywhere.
func TestTextsOfMapsStayApart(t *testing.T) {
	t.Parallel()
	for _, step := range []float64{4, 2} {
		floor := hall(step, surface.Vec{})
		target := surface.Plane{Z: 99.6 * foot, SlopeX: 0.002, SlopeY: 0.004}
		fill := floor.FillTo(target, nil)
		spots := []Spot{{Name: "L1", At: fill.GreatestAt}, {Name: "H2", At: fill.LeastAt}}
		for k, line := range [][]surface.Vec{feet(8, 26, 16, 31), feet(2, 22, 3, 31), feet(20, 7, 30, 7), feet(4, 24, 12, 30)} {
			spots = append(spots, Spot{Name: fmt.Sprintf("%d: 19/64\"", k+1), At: surface.Vec{X: (line[0].X + line[1].X) / 2, Y: (line[0].Y + line[1].Y) / 2}, Lines: [][2]surface.Vec{{line[0], line[1]}}})
		}
		spots = append(spots, Spot{Name: "rocks", At: fill.GreatestAt}, Spot{Name: "rocks", At: fill.LeastAt})
		for _, width := range []vg.Length{DefaultWidth, phoneWidth} {
			for what, m := range map[string]Drawing{
				"departures":   &DepthMap{Floor: floor, Target: target, Departure: true, Shots: true, Spots: spots[:2]},
				"straightedge": &DepthMap{Floor: floor, Target: target, Departure: true, Spots: spots},
				"depths":       &DepthMap{Floor: floor, Target: target, Shots: true, Finished: doors(surface.Vec{}), Drains: doors(surface.Vec{})[:1]},
			} {
				svg := at(t, m, width)
				if pair := overlaps(lettered(t, svg)); pair != "" {
					t.Errorf("%s with shots %g ft apart, %g pt wide: %s run into each other", what, step, width.Points(), pair)
				}
			}
		}
	}
}

// A plan names a door beside its mark or at the end of a line to it, and shows no height
// without the name of its pin where few have room.
func TestPinPlansOnAPhone(t *testing.T) {
	t.Parallel()
	for _, step := range []float64{4, 1.75, 1.2, 0.7} {
		m := pinned(step)
		m.Finished = doors(surface.Vec{})
		s := newSetOutSheet(m)
		drawOnto(s, phoneWidth)
		for _, l := range s.labels {
			if l.of >= 0 {
				continue
			}
			q := s.finished[-l.of-1]
			mark := s.frame.at(surface.Vec{X: q.X, Y: q.Y})
			end, _ := l.leadEnd(mark)
			led := false
			for _, line := range s.leaders {
				led = led || line.of == l.of
			}
			if gap := math.Hypot(float64(end.X-mark.X), float64(end.Y-mark.Y)); gap > 7 && !led {
				t.Errorf("%d pins: %s is %.1f pt from its mark without a line", len(m.Pins), l.text, gap)
			}
		}
		if s.heights > 0 && s.heights < len(m.Pins)/4 {
			t.Errorf("%d pins: %d lone heights", len(m.Pins), s.heights)
		}
	}
}

// drawOnto lays a set-out sheet out on a drawing of a width.
func drawOnto(s *setOutSheet, width vg.Length) {
	lo, hi := s.reach()
	drawPlan(draw.New(newSVG(width, s.SetOutMap.Height(width), "")), lo, hi, plan{legend: s.legendHeight(width), x: "x", y: "y"}, s)
}
