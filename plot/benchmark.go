package plot

import (
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const benchRadius = 4.2 // pt

func benchBox(at vg.Point) box { return box{centre: at, w: 2*benchRadius + 1, h: 2*benchRadius + 1} }

// sortBenches parts the benchmarks that the plan can show from those that would shrink it.
func (s *setOutSheet) sortBenches() {
	lo, hi := s.Floor.Bounds()
	near := 0.1 * lo.Distance(hi)
	for _, q := range s.Marks {
		switch {
		case math.IsNaN(q.X + q.Y):
		case max(lo.X-q.X, q.X-hi.X, lo.Y-q.Y, q.Y-hi.Y) <= near:
			s.benches = append(s.benches, q)
		default:
			s.away = append(s.away, q)
		}
	}
}

// firstBench is the owner of the label of the first benchmark; the next has one less.
func (s *setOutSheet) firstBench() int { return -len(s.finished) - len(s.drains()) - 1 }

// benchSign is a disc in quarters, as on the targets of surveyors.
func benchSign(c draw.Canvas, at vg.Point) {
	c.SetColor(white)
	c.Fill(dot(at, benchRadius+1.2))
	c.SetColor(black)
	for _, from := range []float64{0, math.Pi} {
		var quarter vg.Path
		quarter.Move(at)
		quarter.Arc(at, benchRadius, from, math.Pi/2)
		quarter.Close()
		c.Fill(quarter)
	}
	stroke(c, dot(at, benchRadius), 1, black)
}
