package landxml

import (
	"encoding/xml"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pourplane/survey"
)

// sampleSurface is the expected content of a surface. Areas are in the linear unit of
// the file, squared. They were worked out from the files independently of this program,
// in exact fractions (plan) and compensated sums (sloped).
type sampleSurface struct {
	vertices, faces            int
	plan, sloped               float64 // sloped 0: not known
	points, rings, breaklines  int
	lowest, highest, thickness float64 // thickness: volume above the lowest point; 0: not known
}

type sample struct {
	file                     string
	foot                     float64 // metres in the linear unit
	points, outlines, leaves int     // leaves: points left out
	parcels                  int     // outlines whose area the file declares
	surfaces                 []sampleSurface
	note                     string // one of the notes
	err                      string // exact, or
}

// samples of LandXML: public files of other programs and made ones, including files that
// must not be copied into this tree.
var landXMLSamples = []sample{
	{file: "alignment-only.xml", err: "FILE: found no points or surfaces, want points with elevations, a surface, or an outline"},
	{file: "broken-faces.xml", err: `FILE:17:11: face 5 of surface "Existing Ground": found 4 points, want 3`},
	{file: "bsi-drainage-top.xml", foot: 1, surfaces: []sampleSurface{{vertices: 2309, faces: 4068, plan: 8245.760475949142, sloped: 8598.555407204, breaklines: 38, lowest: 124.28, highest: 127.653212, thickness: 16503.030669582}}},
	{file: "fi-lighting-points.xml", foot: 1, points: 37},
	{file: "fi-road-highest.xml", foot: 1, surfaces: []sampleSurface{{vertices: 307, faces: 547, plan: 315.505526361527, sloped: 332.425608945, breaklines: 13, lowest: 16.276924, highest: 18.194, thickness: 367.871875434385}}},
	{file: "fi-rockbed.xml", foot: 1, surfaces: []sampleSurface{{vertices: 2037, faces: 3244, plan: 2160.7097325, sloped: 2380.468143330, points: 988, breaklines: 67, lowest: 13.809, highest: 21.948, thickness: 9421.983156953333}}},
	{file: "lx11-fieldbook.xml", foot: 0.3048, points: 2896, note: "2945 observations by angle and distance are not reduced: their points have coordinates in the file"},
	{file: "lx11-planfeature.xml", foot: 0.3048, outlines: 1},
	{file: "lx11-subdivision.xml", foot: 0.3048, points: 353, leaves: 286, outlines: 83, parcels: 83, surfaces: []sampleSurface{
		{vertices: 713, faces: 1284, plan: 9742293.952197, sloped: 9752293.970211, lowest: 230, highest: 290},
		{vertices: 2716, faces: 5241, plan: 2768515.766208, sloped: 3348805.635264, lowest: 1150, highest: 1403.566},
	}},
	{file: "lx20-subdivision.xml", foot: 0.3048, outlines: 83, surfaces: []sampleSurface{
		{vertices: 2716, faces: 5241, plan: 2768526.840200387, sloped: 3348819.030099, lowest: 1150.0023, highest: 1403.568807},
		{vertices: 713, faces: 1284, plan: 9742293.952197, sloped: 9752293.970211, lowest: 230, highest: 290},
	}},
	{file: "three-surfaces-no-namespace.xml", foot: 1, surfaces: threeSurfaces, note: "64 invisible faces"},
	{file: "three-surfaces.xml", foot: 1, surfaces: threeSurfaces, note: "64 invisible faces"},
	{file: "us-survey-foot.xml", foot: 1200.0 / 3937, surfaces: []sampleSurface{{vertices: 57, faces: 96, plan: 3031369.120805853, sloped: 3048090.734783, lowest: 447.39111328125, highest: 560.2650146484375, thickness: 103537875.058507}}},

	{file: "bad-ambiguous-reference.xml", err: `FILE:4:238: pntRef: found "1", the name of two points (FILE:4:26 and FILE:4:134), want a reference with one meaning`},
	{file: "bad-comma-decimal.xml", err: `FILE:4:87: point id 2 of surface "s": found "0,000", want a number with a decimal point; LandXML has no decimal comma`},
	{file: "bad-dangling-face.xml", err: `FILE:4:182: face 2 of surface "s": found point id 5, which does not exist, want the id of a point of this surface`},
	{file: "bad-duplicate-id.xml", err: `FILE:4:133: point id 3 of surface "s": found other coordinates than at FILE:4:110, want one place for one id`},
	{file: "bad-nan.xml", err: `FILE:4:87: point id 2 of surface "s": found "NaN", want a finite number such as -12.345`},
	{file: "bad-no-elevation.xml", err: `FILE:4:87: point id 2 of surface "s": found no elevation, where face 1 (FILE:4:164) uses it, want northing, easting and elevation`},
	{file: "bad-no-units.xml", err: "FILE: Units: found none, want the linear unit of the coordinates"},
	// Package surface checks for overlapping faces.
	{file: "bad-overlapping-faces.xml", foot: 1, surfaces: []sampleSurface{{vertices: 4, faces: 3, plan: 36}}},
	{file: "bad-truncated.xml", err: "FILE:2:653: found the end of the file inside Faces, want a whole file; this one is cut short"},
	{file: "bad-two-point-face.xml", err: `FILE:4:182: face 2 of surface "s": found 2 points, want 3`},
	{file: "foot-elevationunit-meter.xml", foot: 0.3048, surfaces: []sampleSurface{{vertices: 4, faces: 2, plan: 1200}}, note: `elevationUnit "meter" is seen and not applied`},
	{file: "foot.xml", foot: 0.3048, surfaces: []sampleSurface{{vertices: 4, faces: 2, plan: 1200}}},
	{file: "grid-quads.xml", foot: 1, surfaces: []sampleSurface{{vertices: 12, faces: 12, plan: 96}}, note: `surface "quads" is a grid`},
	{file: "latin1-declared.xml", foot: 1, surfaces: []sampleSurface{{vertices: 4, faces: 2, plan: 24}}},
	{file: "points-and-references.xml", foot: 1, points: 6, leaves: 2, outlines: 1, note: `CgPoint "S2" repeats "S1" by reference`},
	{file: "prefix-millimetre-exponent.xml", foot: 0.001, surfaces: []sampleSurface{{vertices: 35, faces: 48, plan: 96e6}}},
	{file: "rod-observations.xml", foot: 1, points: 3, note: "set-up IS1: height of instrument 11.5000 from the backsight on BM"},
	{file: "source-data-only.xml", foot: 1, surfaces: []sampleSurface{{points: 28, breaklines: 1, rings: 1}}},
	{file: "us-survey-foot-big-coordinates.xml", foot: 1200.0 / 3937, surfaces: []sampleSurface{{vertices: 4, faces: 2, plan: 1200}}},
	{file: "utf16le-bom.xml", foot: 1, surfaces: []sampleSurface{{vertices: 4, faces: 2, plan: 24}}},
	{file: "utf8-bom.xml", foot: 1, surfaces: []sampleSurface{{vertices: 4, faces: 2, plan: 24}}},
	{file: "version-1.0.xml", foot: 1, surfaces: []sampleSurface{{vertices: 4, faces: 2, plan: 24, breaklines: 1}}},
	{file: "void-and-island.xml", foot: 1, surfaces: []sampleSurface{{vertices: 114, faces: 160, plan: 80, points: 117, rings: 3, breaklines: 1, lowest: 9.96, highest: 9.988}}, note: "32 invisible faces"},
}

var threeSurfaces = []sampleSurface{
	{vertices: 29, faces: 45},
	{vertices: 92, faces: 138},
	{vertices: 143, faces: 179, plan: 106.922785151175}, // with the 64 invisible ones 123.1156
}

// sizes returns the plan area of the visible faces, their sloped area, the lowest and
// highest corner, and the volume above the lowest.
func sizes(s *survey.Surface) (plan, sloped, lo, hi, volume float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range s.Vertices {
		lo, hi = min(lo, p.Z), max(hi, p.Z)
	}
	for _, f := range s.Faces {
		a, b, c := s.Vertices[f[0]], s.Vertices[f[1]], s.Vertices[f[2]]
		ux, uy, uz, vx, vy, vz := b.X-a.X, b.Y-a.Y, b.Z-a.Z, c.X-a.X, c.Y-a.Y, c.Z-a.Z
		p := math.Abs(ux*vy-uy*vx) / 2
		plan += p
		sloped += math.Hypot(math.Hypot(uy*vz-uz*vy, uz*vx-ux*vz), ux*vy-uy*vx) / 2
		volume += p * ((a.Z + b.Z + c.Z) / 3)
	}
	return plan, sloped, lo, hi, volume - plan*lo
}

func TestLandXMLSamples(t *testing.T) {
	dir := os.Getenv("POURPLANE_LANDXML_SAMPLES")
	if dir == "" {
		t.Skip("needs the folder of LandXML samples named by POURPLANE_LANDXML_SAMPLES")
	}
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && filepath.Ext(path) == ".xml" {
			files[d.Name()] = path
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range landXMLSamples {
		path, ok := files[c.file]
		if !ok {
			t.Errorf("%s is not in %s", c.file, dir)
			continue
		}
		delete(files, c.file)
		t.Run(c.file, func(t *testing.T) { c.check(t, path) })
	}
	for name := range files {
		t.Errorf("%s: nothing is known of it", name)
	}
}

func (c *sample) check(t *testing.T, path string) {
	s, err := readXML(t, path, survey.Options{})
	if err != nil {
		if got := strings.ReplaceAll(err.Error(), path, "FILE"); got != c.err {
			t.Errorf("error %s\nwant  %s", got, c.err)
		}
		return
	}
	if c.err != "" || len(s.Surfaces) != len(c.surfaces) {
		t.Fatalf("%d surfaces, want %d and error %q", len(s.Surfaces), len(c.surfaces), c.err)
	}
	count := func(what string, got, want int) {
		if got != want {
			t.Errorf("%d %s, want %d", got, what, want)
		}
	}
	count("points", len(s.Points), c.points)
	count("left out", len(s.LeftOut()), c.leaves)
	count("outlines", len(s.Outlines), c.outlines)
	if !strings.Contains(fmt.Sprint(s.Notes), c.note) {
		t.Errorf("notes %v, want %q", s.Notes, c.note)
	}
	agree := func(what string, got, want, digits float64) {
		if !(math.Abs(got-want) <= math.Pow(10, -digits)*math.Abs(want)) {
			t.Errorf("%s %.15g, want %.15g to %g digits", what, got, want, digits)
		}
	}
	u := c.foot
	for i, want := range c.surfaces {
		got := &s.Surfaces[i]
		count("vertices", len(got.Vertices), want.vertices)
		count("faces", len(got.Faces), want.faces)
		count("data points", len(got.Points), want.points)
		count("rings", len(got.Rings), want.rings)
		count("breaklines", len(got.Breaklines), want.breaklines)
		plan, sloped, lo, hi, volume := sizes(got)
		// The figures have twelve digits, the shortest eleven. Feet far from 0 lose
		// some of them in metres.
		for _, v := range []struct {
			what              string
			got, want, digits float64
		}{
			{"plan area", plan / u / u, want.plan, 9}, {"area along the slope", sloped / u / u, want.sloped, 9},
			{"lowest", lo / u, want.lowest, 7}, {"highest", hi / u, want.highest, 7},
			{"volume above the lowest", volume / u / u / u, want.thickness, 9},
		} {
			if v.want != 0 {
				agree(v.what, v.got, v.want, v.digits)
			}
		}
		// The program that wrote the file worked out its declared figures from
		// coordinates before rounding.
		for _, v := range []struct {
			what                  string
			got, declared, digits float64
		}{
			{"plan area", plan, got.Declared.Area2D, 8}, {"area along the slope", sloped, got.Declared.Area3D, 6},
			{"lowest", lo, got.Declared.ElevMin, 5}, {"highest", hi, got.Declared.ElevMax, 5},
		} {
			if v.declared == v.declared {
				agree("declared "+v.what, v.got, v.declared, v.digits)
			}
		}
	}
	if c.parcels > 0 {
		parcels(t, path, s, c)
	}
}

// parcels compares each outline with the area that its Parcel declares. Chords are a
// millimetre max from arcs, along some tens of metres of edge.
func parcels(t *testing.T, path string, s *survey.Survey, c *sample) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Parcels []struct {
			Name string  `xml:"name,attr"`
			Area float64 `xml:"area,attr"`
		} `xml:"Parcels>Parcel"`
	}
	if err := xml.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	if len(doc.Parcels) != c.parcels || len(s.Outlines) != c.parcels {
		t.Fatalf("%d parcels declared, %d outlines, want %d", len(doc.Parcels), len(s.Outlines), c.parcels)
	}
	for i, p := range doc.Parcels {
		got := ringArea(s.Outlines[i]) / c.foot / c.foot
		if math.Abs(got-p.Area) > 3e-5*p.Area || s.Outlines[i].Name != p.Name {
			t.Errorf("parcel %q declares %.3f, outline %q has %.3f", p.Name, p.Area, s.Outlines[i].Name, got)
		}
	}
}
