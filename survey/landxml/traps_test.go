package landxml

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// summary describes what was read of a LandXML file. It omits the usual: LandXML 1.2,
// UTF-8, metres.
func summary(s *survey.Survey) string {
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	if s.Format != "LandXML 1.2" {
		say("%s", s.Format)
	}
	if s.Encoding != "UTF-8" {
		say("%s", s.Encoding)
	}
	if s.Unit != unit.Metre {
		say("in %v", s.Unit)
	}
	for _, p := range s.Points {
		say("%s %.10g %.10g %.10g", p.Name(), p.X, p.Y, p.Z)
	}
	for _, p := range s.Control {
		say("control %s %.10g %.10g %.10g", p.Name(), p.X, p.Y, p.Z)
	}
	for _, r := range s.Outlines {
		say("outline %s %.2f m²", r.Name, ringArea(r))
	}
	for i := range s.Surfaces {
		u := &s.Surfaces[i]
		if len(u.Faces) > 0 {
			lo, hi := u.Vertices[0], u.Vertices[0]
			for _, p := range u.Vertices {
				lo.X, lo.Y, hi.X, hi.Y = min(lo.X, p.X), min(lo.Y, p.Y), max(hi.X, p.X), max(hi.Y, p.Y)
			}
			say("%s: %d vertices, %d faces, %.9g m², %.6g m east by %.6g m north, edge %.6g m", u.Name, len(u.Vertices), len(u.Faces), planArea(u), hi.X-lo.X, hi.Y-lo.Y, edge(u))
		}
		if d := u.Declared.Area2D; d == d {
			say("declared %.9g m²", d)
		}
		if n := len(u.Points); n > 0 {
			say("%s: %d data points", u.Name, n)
		}
		for _, r := range u.Rings {
			say("%s %s %.2f m²", [...]string{survey.Outer: "ring", survey.Hole: "opening"}[r.Kind], r.Name, ringArea(r))
		}
		for _, b := range u.Breaklines {
			text := "breakline " + b.Name
			for _, p := range b.Points {
				text += fmt.Sprintf(" (%.6g %.6g %.6g)", p.X, p.Y, p.Z)
			}
			say("%s", text)
		}
	}
	return strings.Join(all, "; ")
}

func ringArea(r survey.Ring) float64 {
	total, o := 0.0, r.Points[0]
	for i, p := range r.Points {
		q := r.Points[(i+1)%len(r.Points)]
		total += ((p.X-o.X)*(q.Y-o.Y) - (q.X-o.X)*(p.Y-o.Y)) / 2
	}
	return math.Abs(total)
}

// edge returns the total length of the sides that belong to one face only.
func edge(u *survey.Surface) float64 {
	faces := map[[2]int32]int{}
	for _, f := range u.Faces {
		for k := range f {
			a, b := f[k], f[(k+1)%3]
			faces[[2]int32{min(a, b), max(a, b)}]++
		}
	}
	total := 0.0
	for side, n := range faces {
		if n == 1 {
			a, b := u.Vertices[side[0]], u.Vertices[side[1]]
			total += math.Hypot(b.X-a.X, b.Y-a.Y)
		}
	}
	return total
}

// bakery is the floor in most files of testdata/landxml/traps: four corners 6 m east and
// 4 m north apart, two triangles.
const bakery = "bakery: 4 vertices, 2 faces, 24 m², 6 m east by 4 m north, edge 20 m"

// traps gives the result for each file of testdata/landxml/traps: what is read and
// noted, or the error. FILE is the name of the file.
var traps = []struct {
	file, read string
	notes      []string
	err        string
}{
	// Versions and namespaces.
	{file: "unknown-root", err: "FILE:2:1: root element: found <Garden>, want <LandXML>"},
	{file: "prefix-everywhere", read: bakery},
	{file: "prefix-unbound", read: bakery},
	{file: "no-namespace", read: bakery},
	{file: "profile-namespace", read: bakery},
	{file: "version-disagrees", read: "LandXML 1.1; " + bakery, notes: []string{"assumed: FILE:2:1: namespace of version 1.1, attribute of version 1.0: read as 1.1"}},
	{file: "letter-case", read: "bakery: 3 vertices, 1 faces, 12 m², 6 m east by 4 m north, edge 17.2111 m", notes: []string{`assumed: FILE:15:11: face 2 of surface "bakery": i="TRUE" is read as i="1", invisible`, `left out: FILE:21:5: CgPoint "A" is marked as not to be included`, `assumed: FILE: 1 invisible faces (i="1") are no part of the floor`}}, // half of it; edge 6 + 4 + √52
	{file: "material-capital-m", read: bakery},
	{file: "foreign-attribute", read: bakery},
	// Units.
	{file: "two-units", err: "FILE:4:10: Units: found foot, where FILE:3:10 gives metre, want one linear unit"},
	{file: "units-repeated-alike", read: bakery},
	{file: "units-in-survey-header", read: bakery},
	{file: "units-missing", err: "FILE: Units: found none, want the linear unit of the coordinates"},
	{file: "units-last", read: bakery},
	{file: "elevation-unit-disagrees", read: "in ft; bakery: 4 vertices, 2 faces, 2.22967296 m², 1.8288 m east by 1.2192 m north, edge 6.096 m", notes: []string{`assumed: FILE:3:10: elevationUnit "meter" is seen and not applied: elevations of points are in the linear unit, foot`}},
	{file: "elevation-unit-feet", read: "in ftUS; bakery: 4 vertices, 2 faces, 2.22968188 m², 1.8288 m east by 1.2192 m north, edge 6.09601 m"},                // 24 · (1200/3937)²
	{file: "area-unit-acre", read: "in ft; bakery: 4 vertices, 2 faces, 2.22967296 m², 1.8288 m east by 1.2192 m north, edge 6.096 m; declared 2.22967296 m²"}, // 24 · 0.3048²; square feet, although the file gives acres
	{file: "inch", read: "in in; bakery: 4 vertices, 2 faces, 0.01548384 m², 0.1524 m east by 0.1016 m north, edge 0.508 m"},                                   // 24 · 0.0254²
	{file: "kilometre", read: "bakery: 4 vertices, 2 faces, 24000000 m², 6000 m east by 4000 m north, edge 20000 m"},
	{file: "unknown-unit", err: `FILE:3:10: linearUnit: found "ell", want meter, millimeter, centimeter, kilometer, foot, USSurveyFoot, inch or mile`},
	// Coordinates and references.
	{file: "crlf-in-coordinates", read: bakery},
	{file: "no-digit-after-point", read: bakery},
	{file: "exponent", read: bakery},
	{file: "hexadecimal", err: `FILE:9:11: point id 2 of surface "bakery": found "0x1p3", want a finite number such as -12.345`},
	{file: "underscore", err: `FILE:9:11: point id 2 of surface "bakery": found "1_0", want a finite number such as -12.345`},
	{file: "infinity", err: `FILE:9:11: point id 2 of surface "bakery": found "INF", want a finite number such as -12.345`},
	{file: "four-numbers", err: `FILE:9:11: point id 2 of surface "bakery": found 4 numbers, want northing, easting and, where there is one, elevation`},
	{file: "one-number", err: `FILE:6:5: CgPoint "B": found 1 number, want northing, easting and, where there is one, elevation`},
	{file: "plan-only-point", read: "A 2 1 9.966; C 4 2 9.971", notes: []string{`left out: FILE:6:5: CgPoint "B" has no elevation`}},
	{file: "elevation-zero-is-none", read: "A 2 1 9.966; C 4 2 9.971", notes: []string{`left out: FILE:6:5: CgPoint "B" has elevation exactly 0 where all others stay clear of it: taken as not levelled`}},
	{file: "elevation-zero-near", read: "A 2 1 0.006; B 5 3 0; C 4 2 -0.003", notes: []string{"warning: FILE:6:5: elevation exactly 0, here and at 1 points in all: where no level was taken, some programs write that"}},
	{file: "elevation-zero-in-surface", read: bakery, notes: []string{`warning: FILE:10:11: surface "bakery": elevation exactly 0, here and at 1 points in all, where all others stay clear of it: where no level was taken, some programs write that`}},
	{file: "big-coordinates", read: bakery},
	{file: "reference-forward", read: "B 5 3 9.96; C 4 2 9.971", notes: []string{`left out: FILE:5:5: CgPoint "A" repeats "C" by reference`}},
	{file: "reference-chain", read: "C 4 2 9.971; bakery: 4 vertices, 2 faces, 14 m², 6 m east by 4 m north, edge 17.3006 m", notes: []string{`left out: FILE:5:5: CgPoint "A" repeats "B" by reference`, `left out: FILE:6:5: CgPoint "B" repeats "C" by reference`}}, // 6 + 8 m²; edge 6 + √8 + √20 + 4
	{file: "reference-circle", err: `FILE:6:5: pntRef: found "A", which leads back to where it came from, want references that end at a point with coordinates`},
	{file: "reference-missing", err: `FILE:5:5: pntRef: found "Z", want the name of a CgPoint in this file`},
	{file: "reference-and-coordinates", read: "A 2 1 9.96; B 5 3 9.97"},
	{file: "one-name-one-place", read: "A 6 4 9.974; A 6 4 9.974; " + bakery},
	{file: "donotinclude", read: "A 2 1 9.966; C 4 2 9.971", notes: []string{`left out: FILE:6:5: CgPoint "B" is marked as not to be included`}},
	{file: "donotinclude-group", read: "B 4 2 9.971", notes: []string{`left out: FILE:5:5: CgPoint "A" is marked as not to be included`, `left out: FILE:8:7: CgPoint "C" is marked as not to be included`}},
	{file: "source-donotinclude", read: "bakery: 3 data points", notes: []string{`left out: FILE:7:49: data point 1 of surface "bakery" is marked as not to be included`, `left out: FILE:7:49: data point 2 of surface "bakery" is marked as not to be included`}},
	// Points.
	{file: "points-under-survey", read: "A 2 1 9.966; B 5 3 9.96"},
	{file: "point-without-name", read: "17 2 1 9.966;  5 3 9.96"},
	{file: "monument", read: "A 2 1 9.966"},
	// Surfaces.
	{file: "several-surfaces", read: bakery + "; bakery, second day: 4 vertices, 2 faces, 24 m², 6 m east by 4 m north, edge 20 m"},
	{file: "ids-out-of-order", read: bakery},
	{file: "id-twice-one-place", read: bakery},
	{file: "id-is-letters", err: `FILE:9:11: point id in surface "bakery": found "B", want a whole number`},
	{file: "several-faces-blocks", read: bakery},
	{file: "faces-before-points", read: bakery},
	{file: "invisible-face", read: bakery + "; declared 24 m²", notes: []string{`assumed: FILE: 1 invisible faces (i="1") are no part of the floor`}}, // with it 34 m²
	{file: "only-invisible-faces", err: `FILE:5:5: surface "bakery": found no visible face, want at least one`},
	{file: "neighbours-and-bits", read: bakery},
	{file: "clockwise-mixed", read: bakery},
	{file: "unwelded-faces", read: bakery, notes: []string{`assumed: FILE:5:5: surface "bakery": 2 vertices at the place of another, to the last digit, are joined with it`}},
	{file: "step-is-not-welded", read: "bakery: 5 vertices, 2 faces, 24 m², 6 m east by 4 m north, edge 34.4222 m", notes: []string{`assumed: FILE:5:5: surface "bakery": 1 vertices at the place of another, to the last digit, are joined with it`}}, // two triangles: 2 · (6 + 4 + √52)
	{file: "face-corner-twice", err: `FILE:15:11: face 2 of surface "bakery": found point id 3 twice, want 3 different points`},
	{file: "face-of-four-in-tin", err: `FILE:14:11: face 1 of surface "bakery": found 4 points, want 3`},
	{file: "grid-face-of-three", err: `FILE:14:11: face 1 of surface "bakery": found 3 points, want 4`},
	{file: "grid-face-of-four", read: bakery, notes: []string{`assumed: FILE:5:5: surface "bakery" is a grid: each face of four points is cut along the diagonal from its first to its third`}},
	{file: "kind-of-surface", err: `FILE:6:7: surfType of surface "bakery": found "mesh", want TIN or grid`},
	{file: "upright-face", read: "bakery: 5 vertices, 3 faces, 24 m², 6 m east by 4 m north, edge 20 m"},
	{file: "edge-of-three-faces", read: "bakery: 5 vertices, 3 faces, 31 m², 6 m east by 4 m north, edge 28.2613 m"}, // 24 + 7 m²; edge 20 + √10 + √26
	{file: "declared-area-of-another", read: bakery + "; declared 25 m²"},
	{file: "lowest-of-invisible", read: bakery + "; declared 24 m²", notes: []string{`assumed: FILE: 1 invisible faces (i="1") are no part of the floor`}},
	{file: "point-by-reference", read: "corner 6 4 9.974; " + bakery},
	{file: "definition-twice", err: `FILE:18:7: surface "bakery": found a second Definition, want one: two surfaces are not merged`},
	{file: "points-without-faces", err: `FILE:5:5: surface "bakery": found 4 points and no faces, want faces, points or breaklines`},
	{file: "empty-surface-alone", err: `FILE:5:5: surface "bakery": found no data, want faces, points or breaklines`},
	{file: "empty-surface-beside", read: bakery, notes: []string{`warning: FILE:19:5: surface "template" has no data, and is left out`}},
	{file: "source-beside-faces", read: bakery + "; bakery: 3 data points; ring walls 24.00 m²"},
	{file: "point-file", read: bakery, notes: []string{`assumed: FILE: points of this file are in another, "../shots.txt", which is not opened`}},
	{file: "breakline-without-elevations", read: "bakery: 4 data points; breakline joint (0 2 NaN) (6 2 NaN)", notes: []string{`assumed: FILE:8:21: Breakline "joint" of surface "bakery" has no elevations: it is kept as a line where the floor may step`}},
	{file: "breakline-wall", read: "bakery: 4 data points; breakline kerb (0 2 9.9) (6 2 9.9)", notes: []string{`assumed: FILE:8:21: Breakline "kerb" of surface "bakery" of type "wall" is kept as an edge like any other`}},
	{file: "breakline-of-one-point", err: `FILE:8:21: Breakline "dot" of surface "bakery": found 1 points, want at least 2`},
	{file: "retaining-wall", read: "bakery: 4 data points", notes: []string{`left out: FILE:8:21: RetWall "w" of surface "bakery" is a retaining wall, no part of a floor`}},
	{file: "contour", read: "bakery: 4 data points; breakline contour 9.970 (0 2 9.97) (3 2 9.97) (6 2.5 9.97)"},
	{file: "contour-without-elevation", err: `FILE:8:19: elev of Contour of surface "bakery": found "", want a finite number such as -12.345`},
	{file: "chain", read: "A 0 2 9.9; B 6 2 9.9; bakery: 4 data points; breakline channel (0 2 9.9) (6 2 9.9)"},
	{file: "odd-list", err: `FILE:7:21: data points of surface "bakery": found 5 numbers, want a multiple of 3`},
	{file: "void-boundary-unclosed", read: "bakery: 4 data points; ring walls 24.00 m²; opening pit 1.00 m²"}, // 1 by 1
	{file: "boundary-with-elevations", read: "bakery: 4 data points; ring walls 24.00 m²", notes: []string{`assumed: FILE:9:11: Boundary "walls" of surface "bakery" has elevations: it limits the surface in plan, and they are not used`}},
	{file: "boundary-whole-faces", read: "bakery: 4 data points; ring walls 24.00 m²", notes: []string{`assumed: FILE:9:11: Boundary "walls" of surface "bakery" asks for whole faces only (edgeTrim="false"): a surface made from its points is cut at the line all the same`}},
	{file: "boundary-texture", read: "bakery: 4 data points; ring walls 24.00 m²"},
	{file: "boundary-island", read: "bakery: 4 data points; ring walls 24.00 m²; opening pit 6.00 m²; ring plinth 1.00 m²", notes: []string{`assumed: FILE:11:11: Boundary "plinth" of surface "bakery" is an island: floor again inside a void`}}, // 2 by 3, 1 by 1
	{file: "boundary-dataclip", err: `FILE:9:11: bndType of Boundary "clip" of surface "bakery": found "dataclip", want outer, void or island`},
	{file: "boundary-without-type", err: `FILE:9:11: bndType of Boundary "walls" of surface "bakery": found "", want outer, void or island`},
	{file: "boundary-of-two-corners", err: `FILE:9:11: Boundary "walls" of surface "bakery": found 2 corners, want at least 3`},
	{file: "watersheds-and-volumes", read: bakery},
	// Outlines. An arc of radius 2 m over the 4 m side adds or removes 2π = 6.283 m²;
	// its chords lose less than 0.007 m² of that.
	{file: "outline-of-lines", read: "outline room 24.00 m²"},
	{file: "outline-with-gap", read: "A 1 1 9.9", notes: []string{`assumed: FILE:8:5: PlanFeature "room" has a gap of 0.020 m: it is not closed, and no outline`}},
	{file: "outline-by-reference", read: "outline room 24.00 m²", notes: []string{`left out: FILE:5:5: CgPoint "A" has no elevation`, `left out: FILE:6:5: CgPoint "B" has no elevation`, `left out: FILE:7:5: CgPoint "C" has no elevation`, `left out: FILE:8:5: CgPoint "D" has no elevation`}},
	{file: "curve-outline", read: "outline room 30.28 m²", notes: []string{`assumed: FILE:5:5: PlanFeature "room" has 1 curved side, which straight pieces follow to 1 mm`}}, // 24 + 2π
	{file: "curve-inwards", read: "outline room 17.72 m²", notes: []string{`assumed: FILE:5:5: PlanFeature "room" has 1 curved side, which straight pieces follow to 1 mm`}}, // 24 − 2π
	{file: "curve-without-direction", err: `FILE:8:9: rot of a Curve of PlanFeature "room": found "", want cw or ccw`},
	{file: "curve-off-its-centre", read: "A 1 1 9.9", notes: []string{`assumed: FILE:8:5: PlanFeature "room" has a gap of 0.200 m: it is not closed, and no outline`}},
	{file: "curve-without-centre", err: `FILE:7:9: Curve of PlanFeature "room": found 2 places, want Start, Center and End`},
	{file: "irregular-line", read: "outline room 24.00 m²"},
	{file: "irregular-line-inner-points", read: "outline room 24.00 m²"},
	{file: "start-twice", err: `FILE:7:9: Line of PlanFeature "room": found 1 places, want Start and End`},
	{file: "spiral-outline", read: "A 1 1 9.9", notes: []string{`assumed: FILE:8:5: PlanFeature "room" is not a closed line that can be followed, and no outline`}},
	{file: "parcels-nested", read: "outline bakery 24.00 m²"},
	// Observations. 10.000 + 1.500 is the height of instrument of S1.
	{file: "rod-two-setups", read: "L1 1 1 9.988; L2 4 1 9.974; L3 4 4 10.069; control BM 0 0 10; control TP 2 2 10.1", notes: []string{"assumed: FILE:18:7: set-up S1: height of instrument 11.5000 from the backsight on BM, in the unit of the file", "assumed: FILE:14:7: set-up S2: height of instrument 11.4000 from the backsight on TP, in the unit of the file"}}, // TP = 11.500 − 1.400, L3 = TP + 1.300 − 1.331
	{file: "rod-two-benchmarks", read: "L1 1 1 9.988; L2 4 1 9.974; control BM 0 0 10; control BN 9 9 10.2", notes: []string{"assumed: FILE:13:7: set-up S1: height of instrument 11.5000 from the backsight on BM, in the unit of the file", "assumed: FILE:17:7: set-up S2: height of instrument 11.6500 from the backsight on BN, in the unit of the file"}},            // L2 = 10.200 + 1.450 − 1.676
	{file: "rod-group-names-setup", read: "L1 1 1 9.988; L2 4 1 9.974; L3 4 4 9.969; control BM 0 0 10", notes: []string{"assumed: FILE:17:7: set-up S1: height of instrument 11.5000 from the backsight on BM, in the unit of the file", `left out: FILE:8:5: CgPoint "TP" has no elevation`}},
	{file: "rod-misclosure", read: "L1 1 1 9.988; L2 4 1 9.974; L3 4 4 9.969; control BM 0 0 10", notes: []string{"assumed: FILE:14:7: set-up S1: height of instrument 11.5000 from the backsight on BM, in the unit of the file", "warning: FILE:18:7: the rod on L1 reads an elevation of 9.9850, which is known as 9.9880, in the unit of the file", `left out: FILE:8:5: CgPoint "TP" has no elevation`}},
	{file: "unused-observation", read: "L1 1 1 9.988; L2 4 1 9.974; control BM 0 0 10", notes: []string{"assumed: FILE:14:7: set-up S1: height of instrument 11.5000 from the backsight on BM, in the unit of the file", "assumed: FILE: 3 observations are marked as unused or deleted, and skipped", `left out: FILE:8:5: CgPoint "TP" has no elevation`, `left out: FILE:9:5: CgPoint "L3" has no elevation`}},
	{file: "rod-two-backsights", err: `FILE:13:7: set-up "S1": found backsights on "BM" and "BN", want one backsight: two would give two heights of instrument`},
	{file: "rod-without-backsight", err: `FILE:14:7: set-up "S1": found rod readings without a backsight on a point of known elevation, want a backsight`},
	{file: "rod-backsight-unknown", err: `FILE:14:7: set-up "S1": found rod readings without a backsight on a point of known elevation, want a backsight`},
	{file: "rod-is-no-number", err: `FILE:14:7: rod: found "1,500", want a number with a decimal point; LandXML has no decimal comma`},
	{file: "total-station-only", err: "FILE: found only observations, 4 by angle and distance, and no point with an elevation, want points with elevations, a surface, or an outline"},
	{file: "total-station-with-points", read: "11 2 1 9.966; 12 5 3 9.96", notes: []string{"assumed: FILE: 2 observations by angle and distance are not reduced: their points have coordinates in the file"}},
	{file: "total-station-point-missing", read: "11 2 1 9.966; 12 5 3 9.96", notes: []string{"warning: FILE: 4 observations by angle and distance are not reduced: 2 points are in them alone, and are missing", `left out: FILE:7:5: CgPoint "14" has no coordinates`}},
	// Extensions.
	{file: "feature-holds-p", read: "LandXML 1.0; " + bakery},
	{file: "foreign-element", read: bakery},
	// Encodings and the XML itself.
	{file: "shift-jis", read: "SHIFT_JIS; 床: 4 vertices, 2 faces, 24 m², 6 m east by 4 m north, edge 20 m"},
	{file: "windows-1252-undeclared", read: "Küche: 4 vertices, 2 faces, 24 m², 6 m east by 4 m north, edge 20 m", notes: []string{"assumed: FILE: bytes that are not UTF-8 are read as Windows-1252"}},
	{file: "utf16be-without-mark", read: "UTF-16, big endian; Küche: 4 vertices, 2 faces, 24 m², 6 m east by 4 m north, edge 20 m"},
	{file: "utf16-declared-only", read: "Küche: 4 vertices, 2 faces, 24 m², 6 m east by 4 m north, edge 20 m", notes: []string{"assumed: FILE: declared as utf-16, but written byte by byte: read as UTF-8"}},
	{file: "unknown-encoding", err: `FILE:1:1: XML declaration: found encoding "rot13", want an encoding that is known, such as UTF-8`},
	{file: "xml11", err: `FILE:1:1: XML declaration: found version "1.1", want XML 1.0`},
	{file: "doctype", read: bakery},
	{file: "entity", err: "FILE:10:40: found invalid character entity &level;, want well-formed XML"},
	{file: "nul-at-end", read: bakery},
	{file: "two-documents", read: bakery, notes: []string{"warning: FILE:22:1: a second document begins here; it is not read"}},
	{file: "comments-and-cdata", read: bakery},
	{file: "single-quotes", read: bakery},
	{file: "one-line", read: bakery},
	{file: "nothing-of-use", err: "FILE: found no points or surfaces, want points with elevations, a surface, or an outline"},
}

func TestLandXMLTrapFiles(t *testing.T) {
	var tested []string
	for _, c := range traps {
		tested = append(tested, c.file)
		t.Run(c.file, func(t *testing.T) {
			name := filepath.Join("../../testdata/landxml/traps", c.file+".xml")
			text := func(v any) string { return strings.ReplaceAll(fmt.Sprint(v), name, "FILE") }
			s, err := readXML(t, name, survey.Options{})
			if err != nil {
				if text(err) != c.err {
					t.Errorf("error %s\nwant  %s", text(err), c.err)
				}
				return
			}
			var notes []string
			for _, n := range s.Notes {
				notes = append(notes, n.Kind.String()+": "+text(n))
			}
			if c.err != "" || summary(s) != c.read || !slices.Equal(notes, c.notes) {
				t.Errorf("read %s, notes %q\nwant %s, notes %q, error %q", summary(s), notes, c.read, c.notes, c.err)
			}
		})
	}
	// Every file has a row here, and the list of the folder names every file.
	files, err := filepath.Glob("../../testdata/landxml/traps/*.xml")
	if err != nil {
		t.Fatal(err)
	}
	list, err := os.ReadFile("../../testdata/landxml/README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		name := filepath.Base(f)
		if !slices.Contains(tested, strings.TrimSuffix(name, ".xml")) {
			t.Errorf("%s has no row", name)
		}
		if !strings.Contains(string(list), "| "+name+" |") {
			t.Errorf("%s is not listed in the README", name)
		}
	}
}
