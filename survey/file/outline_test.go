package file

import (
	"math"
	"testing"

	"pourplane/survey"
)

// An outline of four lines and an arc. The area in exact arithmetic with the arc is
// 43196.030291818 ft²; chords differ from it by a millimetre max.
func TestLandXMLOutlineWithArc(t *testing.T) {
	s, err := OpenOutline("../../testdata/landxml/samples/lx11-planfeature.xml", survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	area := 0.0
	p := s.Rings[0].Points
	for i := range p {
		q := p[(i+1)%len(p)]
		area += ((p[i].X-p[0].X)*(q.Y-p[0].Y) - (q.X-p[0].X)*(p[i].Y-p[0].Y)) / 2
	}
	want := 43196.030291818 * 0.3048 * 0.3048
	if d := math.Abs(math.Abs(area) - want); d > 0.02 || d == 0 {
		t.Errorf("area %.6f m², with the arc %.6f", math.Abs(area), want)
	}
}
