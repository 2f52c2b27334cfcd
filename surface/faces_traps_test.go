package surface

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/file"
)

// Surfaces with faces as floors: the traps that only show here. By construction of the files
// the floor is 6 m by 4 m: 24 m², perimeter 20 m.
func TestFloorsOfLandXMLTraps(t *testing.T) {
	for _, c := range []struct {
		file                  string
		area, perimeter, fill float64 // m², m, m³ to 10 m
		notes                 []string
		err                   string
	}{
		// Mean depth of a triangle times its area: 12·(0.040+0.034+0.026)/3 + 12·(0.040+0.026+0.032)/3.
		{file: "clockwise-mixed", area: 24, perimeter: 20, fill: 0.792},
		{file: "unwelded-faces", area: 24, perimeter: 20, fill: 0.792},
		// One triangle is lower by 20 mm at one end of the step: 12·(0.060+0.026+0.032)/3. The step counts on both sides.
		{file: "step-is-not-welded", area: 24, perimeter: 20 + 2*math.Sqrt(52), fill: 0.872},
		{file: "ids-out-of-order", area: 24, perimeter: 20, fill: 0.792},
		{file: "invisible-face", area: 24, perimeter: 20, fill: 0.792},
		{file: "area-unit-acre", area: 24 * 0.3048 * 0.3048, perimeter: 20 * 0.3048, fill: 240*0.3048*0.3048 - 239.208*0.3048*0.3048*0.3048},
		{file: "upright-face", area: 24, perimeter: 20, fill: 0.792, notes: []string{`FILE:17: face 3 of surface "bakery" has no area in plan`}},
		{file: "declared-area-of-another", area: 24, perimeter: 20, fill: 0.792, notes: []string{`FILE:5:5: surface "bakery" declares a plan area of 25 m², its visible faces have 24`}},
		{file: "lowest-of-invisible", area: 24, perimeter: 20, fill: 0.792, notes: []string{`FILE:5:5: surface "bakery" declares a lowest elevation of 0 m, its visible faces have 9.96`}},
		{file: "edge-of-three-faces", err: `FILE:17: face 3 of surface "bakery": found the same edge, on the same side, as face 1 (FILE:15), want faces that do not overlap in plan`},
	} {
		t.Run(c.file, func(t *testing.T) {
			name := "../testdata/landxml/traps/" + c.file + ".xml"
			text := func(v any) string { return strings.ReplaceAll(fmt.Sprint(v), name, "FILE") }
			s, err := file.Open(name, survey.Options{})
			if err != nil {
				t.Fatal(err)
			}
			f, err := FromFaces(s.Surfaces[0])
			if err != nil {
				if text(err) != c.err {
					t.Errorf("error %s\nwant  %s", text(err), c.err)
				}
				return
			}
			var notes []string
			for _, n := range f.Notes {
				notes = append(notes, text(n))
			}
			if c.err != "" || !slices.Equal(notes, c.notes) {
				t.Errorf("told %q\nwant %q, error %q", notes, c.notes, c.err)
			}
			fill := f.FillTo(Horizontal(10), nil)
			if math.Abs(fill.Area-c.area) > 1e-12 || math.Abs(f.Perimeter-c.perimeter) > 1e-12 || math.Abs(fill.Fill-c.fill) > 1e-9 {
				t.Errorf("%.12g m², %.12g m round, %.12g m³; want %.12g, %.12g, %.12g", fill.Area, f.Perimeter, fill.Fill, c.area, c.perimeter, c.fill)
			}
		})
	}
}
