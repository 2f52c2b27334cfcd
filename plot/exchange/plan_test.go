package exchange

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/peterstace/simplefeatures/geom"

	"pourplane/surface"
	"pourplane/survey"
)

// store is an invented plan with one item of every kind.
func store() Plan {
	return Plan{
		Title: "Store – north",
		Layers: []Layer{
			{Name: "FLOOR", Areas: []Area{{
				Rings: [][]surface.Vec{
					{{X: 100, Y: 200}, {X: 110, Y: 200}, {X: 110, Y: 208}, {X: 100, Y: 208}},
					{{X: 102, Y: 202}, {X: 102, Y: 203}, {X: 103, Y: 203}, {X: 103, Y: 202}},
				},
				Elevation:  12.25,
				Properties: []Property{{"depth_mm", 12.5}, {"shots", 40}, {"kept", true}, {"remark", "<dry> & \"clean\""}},
			}}},
			{Name: "CONTOURS", Lines: []Line{
				{Points: []surface.Vec{{X: 101.00000001, Y: 201}, {X: 105, Y: 205}, {X: 106, Y: 204}}, Elevation: 12.01},
				{Points: []surface.Vec{{X: 107, Y: 205}, {X: 108, Y: 205}, {X: 107.5, Y: 206}}, Closed: true, Elevation: 12.02},
			}},
			{Name: "PINS", Labels: []Label{
				{At: surface.Vec{X: 104, Y: 204}, Elevation: 12.3, Text: "P1 ½″ ±2 mm²"},
				{At: surface.Vec{X: 109, Y: 207}, Elevation: -0.000001},
			}},
		},
	}
}

func written(t *testing.T, write func(io.Writer, Plan) error, p Plan) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b, p); err != nil {
		t.Fatal(err)
	}
	var again bytes.Buffer
	if err := write(&again, p); err != nil || !bytes.Equal(b.Bytes(), again.Bytes()) {
		t.Fatalf("a second writing differs (%v)", err)
	}
	return b.Bytes()
}

// feature is a feature as GDAL returns it.
type feature struct {
	Geometry struct {
		Type        string
		Coordinates any
	}
	Properties map[string]any
}

// byGDAL returns what GDAL reads from a file with the given content.
func byGDAL(t *testing.T, name string, content []byte, layer ...string) []feature {
	t.Helper()
	program, err := exec.LookPath("ogr2ogr")
	if err != nil {
		t.Skip("ogr2ogr of GDAL (package gdal-bin) is not installed")
	}
	in := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(in, content, 0o600); err != nil {
		t.Fatal(err)
	}
	args := append([]string{"-f", "GeoJSON", "-lco", "COORDINATE_PRECISION=12", "/vsistdout/", in}, layer...)
	cmd := exec.Command(program, args...)
	var diag bytes.Buffer
	cmd.Stderr = &diag
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("GDAL does not read %s: %v: %s", name, err, diag.String())
	}
	if strings.Contains(diag.String(), "ERROR") {
		t.Errorf("GDAL complains: %s", diag.String())
	}
	var c struct{ Features []feature }
	if err := json.Unmarshal(out, &c); err != nil {
		t.Fatal(err)
	}
	return c.Features
}

func line(points ...[]float64) any {
	out := make([]any, len(points))
	for i, p := range points {
		out[i] = place(p...)
	}
	return out
}

func place(c ...float64) any {
	out := make([]any, len(c))
	for i, v := range c {
		out[i] = v
	}
	return out
}

// near compares nested coordinates.
func near(got, want any) bool {
	switch w := want.(type) {
	case float64:
		g, ok := got.(float64)
		return ok && math.Abs(g-w) < 1e-9
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			return false
		}
		for i := range w {
			if !near(g[i], w[i]) {
				return false
			}
		}
		return true
	}
	return false
}

func TestDXFByGDAL(t *testing.T) {
	got := byGDAL(t, "store.dxf", written(t, WriteDXF, store()))
	want := []struct {
		layer, kind, text string
		coordinates       any
	}{
		{"FLOOR", "LineString", "", line([]float64{100, 200, 12.25}, []float64{110, 200, 12.25}, []float64{110, 208, 12.25}, []float64{100, 208, 12.25}, []float64{100, 200, 12.25})},
		{"FLOOR", "LineString", "", line([]float64{102, 202, 12.25}, []float64{102, 203, 12.25}, []float64{103, 203, 12.25}, []float64{103, 202, 12.25}, []float64{102, 202, 12.25})},
		{"CONTOURS", "LineString", "", line([]float64{101.00000001, 201, 12.01}, []float64{105, 205, 12.01}, []float64{106, 204, 12.01})},
		{"CONTOURS", "LineString", "", line([]float64{107, 205, 12.02}, []float64{108, 205, 12.02}, []float64{107.5, 206, 12.02}, []float64{107, 205, 12.02})},
		{"PINS", "Point", "", place(104, 204, 12.3)},
		// GDAL leaves \U+ in a TEXT as it is; the rest of the text is in the code page.
		{"PINS", "Point", `P1 ½\U+2033 ±2 mm²`, place(104.05, 204.05, 12.3)},
		{"PINS", "Point", "", place(109, 207, -0.000001)},
		{"0", "Point", `1 drawing unit = 1 metre. Store \U+2013 north`, place(100, 199.7, 0)},
	}
	if len(got) != len(want) {
		t.Fatalf("GDAL reads %d things, want %d", len(got), len(want))
	}
	for i, w := range want {
		g := got[i]
		text, _ := g.Properties["Text"].(string)
		if g.Properties["Layer"] != w.layer || g.Geometry.Type != w.kind || text != w.text || !near(g.Geometry.Coordinates, w.coordinates) {
			t.Errorf("thing %d: GDAL reads %v, want %v", i, g, w)
		}
	}
}

// A plan in feet has the numbers of a survey in feet, and states the unit.
func TestDXFInFeet(t *testing.T) {
	for _, c := range []struct {
		unit         Unit
		metres       float64
		number, text string
	}{{Metre, 1, "6", "1 drawing unit = 1 metre. "}, {Foot, 0.3048, "2", "1 drawing unit = 1 foot. "}, {SurveyFoot, 1200. / 3937, "21", "1 drawing unit = 1 US survey foot. "}} {
		at := surface.Vec{X: 2_445_180.25 * c.metres, Y: 12.0625 * c.metres}
		p := Plan{Title: "Hall", Unit: c.unit, Layers: []Layer{{Name: "PINS", Labels: []Label{{At: at, Elevation: 99.93 * c.metres, Text: "P1"}}}}}
		all := groups(t, written(t, WriteDXF, p))
		found := map[string]bool{}
		for i, g := range all {
			if g.code == 9 && g.value == "$INSUNITS" {
				found["unit"] = all[i+1] == group{70, c.number}
			}
			if g.code == 1 && g.value == c.text+"Hall" {
				found["text"] = true
			}
			if g.code == 0 && g.value == "POINT" {
				for k, want := range []float64{2_445_180.25, 12.0625, 99.93} {
					v, err := strconv.ParseFloat(all[i+2+k].value, 64)
					if err != nil || math.Abs(v-want) > 1e-9 {
						t.Errorf("%s: %s, want %.10g", c.text, all[i+2+k].value, want)
					}
				}
				found["point"] = true
			}
		}
		if len(found) != 3 || !found["unit"] || !found["text"] {
			t.Errorf("%s: found %v", c.text, found)
		}
	}
	if err := WriteDXF(io.Discard, Plan{Unit: 9}); err == nil {
		t.Error("a drawing unit that is not known was written")
	}
}

// group is a group of a DXF file: a code on one line, its value on the next.
type group struct {
	code  int
	value string
}

// groups reads a DXF file by the DXF reference, release 12, and checks its rules for every
// group: the code a whole number, right-justified in three places below 1000, and the value
// of the type for the range of the code.
func groups(t *testing.T, file []byte) []group {
	t.Helper()
	lines := strings.Split(string(file), "\r\n")
	if len(lines)%2 != 1 || lines[len(lines)-1] != "" {
		t.Fatalf("%d lines do not pair up, each ended by CR LF", len(lines))
	}
	var out []group
	for i := 0; i+1 < len(lines); i += 2 {
		code, err := strconv.Atoi(strings.TrimLeft(lines[i], " "))
		if err != nil || len(lines[i]) != 3 {
			t.Fatalf("line %d: %q is no group code", i+1, lines[i])
		}
		value := lines[i+1]
		switch {
		case code >= 10 && code <= 59:
			if _, err := strconv.ParseFloat(value, 64); err != nil || strings.ContainsAny(value, "eE") {
				t.Errorf("line %d: %q is no plain decimal, as code %d asks for", i+2, value, code)
			}
		case code >= 60 && code <= 79:
			if n, err := strconv.Atoi(value); err != nil || n != int(int16(n)) {
				t.Errorf("line %d: %q is no 16-bit number, as code %d asks for", i+2, value, code)
			}
		default:
			if len(value) > 255 || strings.ContainsAny(value, "\r\n") {
				t.Errorf("line %d: %q is no string", i+2, value)
			}
		}
		out = append(out, group{code, value})
	}
	return out
}

// shape is an entity read back, with its vertices.
type shape struct {
	kind   string
	values map[int]string
	vertex []map[int]string
}

func TestDXFByTheReference(t *testing.T) {
	all := groups(t, written(t, WriteDXF, store()))
	if all[len(all)-1] != (group{0, "EOF"}) {
		t.Error("the file does not end in EOF")
	}

	// Sections and tables open and close in turn; layers and line types are declared.
	var section, table string
	var shapes []shape
	header, colours, types := map[string]string{}, map[string]string{}, map[string]bool{}
	var variable, entry, last string
	for i, g := range all {
		switch {
		case g == group{0, "SECTION"}:
			if section != "" {
				t.Fatalf("section %s is open as another begins", section)
			}
			section = all[i+1].value
		case g == group{0, "ENDSEC"}:
			section = ""
		case section == "HEADER" && g.code == 9:
			variable = g.value
		case section == "HEADER" && variable != "":
			header[variable+" "+strconv.Itoa(g.code)] = g.value
		case g == group{0, "TABLE"}:
			table = all[i+1].value
		case g == group{0, "ENDTAB"}:
			table = ""
		case table != "" && g.code == 0:
			entry = g.value
		case entry == "LTYPE" && g.code == 2 && table == "LTYPE":
			types[g.value] = true
		case entry == "LAYER" && table == "LAYER" && g.code == 2:
			last = g.value
		case entry == "LAYER" && table == "LAYER" && g.code == 62:
			colours[last] = g.value
		case entry == "LAYER" && table == "LAYER" && g.code == 6 && !types[g.value]:
			t.Errorf("layer %s has the line type %s, which is not declared", last, g.value)
		case section == "ENTITIES" && g.code == 0 && g.value == "VERTEX":
			s := &shapes[len(shapes)-1]
			s.vertex = append(s.vertex, map[int]string{})
		case section == "ENTITIES" && g.code == 0:
			shapes = append(shapes, shape{kind: g.value, values: map[int]string{}})
		case section == "ENTITIES" && len(shapes) > 0:
			s := &shapes[len(shapes)-1]
			if len(s.vertex) > 0 {
				s.vertex[len(s.vertex)-1][g.code] = g.value
			} else {
				s.values[g.code] = g.value
			}
			if g.code == 8 && colours[g.value] == "" {
				t.Errorf("a %s is on layer %q, which is not declared", s.kind, g.value)
			}
		}
	}
	for name, want := range map[string]string{
		"$ACADVER 1": "AC1009", "$DWGCODEPAGE 3": "ANSI_1252",
		"$EXTMIN 10": "100.0", "$EXTMIN 20": "200.0", "$EXTMAX 10": "110.0", "$EXTMAX 20": "208.0",
	} {
		if header[name] != want {
			t.Errorf("header: %s is %q, want %q", name, header[name], want)
		}
	}
	if len(colours) != 4 || colours["FLOOR"] == colours["CONTOURS"] {
		t.Errorf("layers and their colours are %v, want 0, FLOOR, CONTOURS and PINS, told apart", colours)
	}

	var kinds []string
	for _, s := range shapes {
		kinds = append(kinds, s.kind)
	}
	if got, want := strings.Join(kinds, " "), "POLYLINE SEQEND POLYLINE SEQEND POLYLINE SEQEND POLYLINE SEQEND POINT TEXT POINT TEXT"; got != want {
		t.Fatalf("entities are %s, want %s", got, want)
	}
	for k, want := range []struct {
		vertices int
		closed   string
		z        string
	}{{4, "1", "12.25"}, {4, "1", "12.25"}, {3, "0", "12.01"}, {3, "1", "12.02"}} {
		s := shapes[2*k]
		if len(s.vertex) != want.vertices || s.values[70] != want.closed || s.values[30] != want.z || s.values[66] != "1" {
			t.Errorf("polyline %d has %d vertices, flag %s, elevation %s: want %v", k+1, len(s.vertex), s.values[70], s.values[30], want)
		}
		for _, v := range s.vertex {
			if v[30] != want.z {
				t.Errorf("polyline %d: a vertex is at %s, want %s", k+1, v[30], want.z)
			}
		}
	}
	if got := shapes[8].vertex; got != nil {
		t.Errorf("a point has vertices: %v", got)
	}
	// The longer side is 10 m, so that letters are 10 m / 100 tall.
	if got := shapes[9].values; got[40] != "0.1" || got[1] != "P1 \xbd\\U+2033 \xb12 mm\xb2" {
		t.Errorf("the mark's text is %q, %s m tall", got[1], got[40])
	}
}

func TestDXFTexts(t *testing.T) {
	// Release 12: control codes begin with %% and ^; \U+ and four digits are letters outside
	// the code page.
	for s, want := range map[string]string{
		"50 %":                   "50 %",
		"%%d":                    `\U+0025\U+0025d`,
		"a^J":                    "a^ J",
		`c:\dir`:                 `c:\dir`,
		`c:\U+0041`:              `c:\U+005CU+0041`,
		"Größe":                  "Gr\xf6\xdfe",
		"2″":                     `2\U+2033`,
		"one\ntwo\t":             "one two ",
		"Hall 🏭":                 "Hall ?",
		strings.Repeat("″", 100): strings.Repeat(`\U+2033`, 36) + "...",
		strings.Repeat("x", 255): strings.Repeat("x", 255),
		strings.Repeat("x", 256): strings.Repeat("x", 252) + "...",
	} {
		if got := dxfString(s); got != want {
			t.Errorf("dxfString(%q) = %q, want %q", s, got, want)
		}
	}
}

func TestGeoJSONByGDAL(t *testing.T) {
	got := byGDAL(t, "store.geojson", written(t, WriteGeoJSON, store()))
	if len(got) != 5 {
		t.Fatalf("GDAL reads %d features, want 5", len(got))
	}
	floor := []any{
		line([]float64{100, 200}, []float64{110, 200}, []float64{110, 208}, []float64{100, 208}, []float64{100, 200}),
		line([]float64{102, 202}, []float64{102, 203}, []float64{103, 203}, []float64{103, 202}, []float64{102, 202}),
	}
	if g := got[0].Geometry; g.Type != "Polygon" || !near(g.Coordinates, floor) {
		t.Errorf("GDAL reads %v, want %v", g, floor)
	}
	p := got[0].Properties
	if p["layer"] != "FLOOR" || p["elevation_m"] != 12.25 || p["depth_mm"] != 12.5 || p["shots"] != 40. || p["kept"] != true || p["remark"] != "<dry> & \"clean\"" {
		t.Errorf("GDAL reads the properties %v", p)
	}
	ring := line([]float64{107, 205}, []float64{108, 205}, []float64{107.5, 206}, []float64{107, 205})
	if g := got[2].Geometry; g.Type != "LineString" || !near(g.Coordinates, ring) {
		t.Errorf("GDAL reads %v, want %v", g, ring)
	}
	if g := got[3]; g.Geometry.Type != "Point" || g.Properties["text"] != "P1 ½″ ±2 mm²" || g.Properties["elevation_m"] != 12.3 {
		t.Errorf("GDAL reads %v", g)
	}
}

// Read back by another library, which also checks that polygons are valid by the rules of
// OGC Simple Features; order and members by RFC 7946.
func TestGeoJSONIsValid(t *testing.T) {
	p := store()
	for _, ring := range p.Layers[0].Areas[0].Rings { // in the wrong direction, for the writer to reverse
		for i, j := 0, len(ring)-1; i < j; i, j = i+1, j-1 {
			ring[i], ring[j] = ring[j], ring[i]
		}
	}
	for _, p := range []Plan{store(), p} {
		file := written(t, WriteGeoJSON, p)
		var c geom.GeoJSONFeatureCollection
		if err := json.Unmarshal(file, &c); err != nil {
			t.Fatal(err)
		}
		var layers []string
		for _, f := range c {
			layers = append(layers, f.Properties["layer"].(string))
			if err := f.Geometry.Validate(); err != nil {
				t.Errorf("%v is not valid: %v", f.Geometry, err)
			}
		}
		if want := []string{"FLOOR", "CONTOURS", "CONTOURS", "PINS", "PINS"}; !reflect.DeepEqual(layers, want) {
			t.Errorf("features are of the layers %v, want %v", layers, want)
		}
		floor := c[0].Geometry.MustAsPolygon()
		if area := floor.Area(); area != 79 { // 10 × 8 − 1 × 1
			t.Errorf("the floor has %v m², want 79", area)
		}
		if !floor.IsCCW() { // outer ring; openings clockwise: RFC 7946, 3.1.6
			t.Error("rings do not follow the right-hand rule")
		}
		var top map[string]any
		if err := json.Unmarshal(file, &top); err != nil {
			t.Fatal(err)
		}
		if top["type"] != "FeatureCollection" || top["title"] != "Store – north" || top["unit"] != "m" || !strings.Contains(top["note"].(string), "no longitudes") {
			t.Errorf("members are %v", top)
		}
	}
}

func TestPlansRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	at := surface.Vec{X: 1, Y: 2}
	mark := func(m Label) Plan { return Plan{Layers: []Layer{{Name: "PINS", Labels: []Label{m}}}} }
	ring := func(points ...surface.Vec) Plan {
		return Plan{Layers: []Layer{{Name: "FLOOR", Areas: []Area{{Rings: [][]surface.Vec{points}}}}}}
	}
	for _, c := range []struct {
		plan Plan
		want string
	}{
		{mark(Label{At: surface.Vec{X: nan}}), "layer PINS, mark 1: found the coordinate NaN m, want at most 1e+08 m"},
		{mark(Label{At: surface.Vec{Y: inf}}), "layer PINS, mark 1: found the coordinate +Inf m, want at most 1e+08 m"},
		{mark(Label{At: at, Elevation: -inf}), "layer PINS, mark 1: found the elevation -Inf m, want at most 1e+08 m"},
		{mark(Label{At: at, Properties: []Property{{"depth_mm", nan}}}), "layer PINS, mark 1, property depth_mm: found NaN, want a finite number"},
		{mark(Label{At: at, Properties: []Property{{"depth_mm", survey.Point{}}}}), "layer PINS, mark 1, property depth_mm: found a survey.Point, want a string, float64, int, bool or nil"},
		{mark(Label{At: at, Properties: []Property{{"layer", 1}}}), `layer PINS, mark 1: found the property name "layer", want names that differ, other than layer, text and elevation_m`},
		{mark(Label{At: at, Properties: []Property{{"a", 1}, {"a", 2}}}), `layer PINS, mark 1: found the property name "a", want names that differ, other than layer, text and elevation_m`},
		{ring(at, at), "layer FLOOR, area 1, ring 1: found 2 places, want at least 3"},
		{ring(at, surface.Vec{X: 2, Y: 3}, surface.Vec{X: 3, Y: 4}), "layer FLOOR, area 1, ring 1: found a ring without area, want a ring around a piece of floor"},
		{ring(at, surface.Vec{X: 2}, surface.Vec{X: 3, Y: 4}, at), "layer FLOOR, area 1, ring 1: found the first place again at the end, want each place once"},
		{Plan{Layers: []Layer{{Name: "FLOOR", Areas: []Area{{}}}}}, "layer FLOOR, area 1: found no ring, want an outer ring"},
		{Plan{Layers: []Layer{{Name: "A", Lines: []Line{{Points: []surface.Vec{at}}}}}}, "layer A, line 1: found 1 places, want at least 2"},
		{Plan{Layers: []Layer{{Name: "A"}, {Name: "A"}}}, "layer A: found the name a second time, want a name for each layer"},
		{Plan{Layers: []Layer{{Name: "low"}}}, `layer: found the name "low", want 1 to 31 capitals, digits and hyphens`},
		{Plan{Layers: []Layer{{Name: strings.Repeat("A", 32)}}}, `layer: found the name "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA", want 1 to 31 capitals, digits and hyphens`},
	} {
		for _, write := range []func(io.Writer, Plan) error{WriteDXF, WriteGeoJSON} {
			var b bytes.Buffer
			err := write(&b, c.plan)
			var e *survey.Error
			if !errors.As(err, &e) || err.Error() != c.want {
				t.Errorf("got %v, want %s", err, c.want)
			}
			if b.Len() > 0 {
				t.Errorf("something was written before the refusal: %.40q", b.String())
			}
		}
	}
}

func TestPlansWithOnePlaceOrNone(t *testing.T) {
	for _, p := range []Plan{{}, {Layers: []Layer{{Name: "0", Labels: []Label{{Text: "A"}}}}}} {
		all := groups(t, written(t, WriteDXF, p))
		zero := 0
		for i, g := range all {
			if g == (group{0, "LAYER"}) && all[i+1] == (group{2, "0"}) {
				zero++
			}
			if g.code == 40 && all[i-1].value == "$PDSIZE" && g.value != "0.1" {
				t.Errorf("letters are %s m tall, want 0.1", g.value)
			}
		}
		if zero != 1 {
			t.Errorf("layer 0 is declared %d times", zero)
		}
		var c geom.GeoJSONFeatureCollection
		if err := json.Unmarshal(written(t, WriteGeoJSON, p), &c); err != nil {
			t.Error(err)
		}
	}
}
