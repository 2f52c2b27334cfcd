package scan

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// lasPoint is a record as in a file: class with its flag bits, and the flag byte of
// formats 6 to 10.
type lasPoint struct {
	x, y, z     int32
	class, flag byte
}

// lasFile writes LAS files. Zero fields take the usual values: version 1.2, format 0,
// scale 0.001.
type lasFile struct {
	minor, format byte
	record        int // 0: the minimum
	scale, offset [3]float64
	vlrs          [][]byte
	points        []lasPoint
	encoding      uint16
	change        func([]byte) // edits the file before it is read
}

func (f lasFile) bytes() []byte {
	le := binary.LittleEndian
	if f.minor == 0 {
		f.minor = 2
	}
	if f.record == 0 {
		f.record = lasRecords[f.format]
	}
	scale := f.scale
	if scale == [3]float64{} {
		scale = [3]float64{0.001, 0.001, 0.001}
	}
	size := map[byte]int{2: 227, 3: 235, 4: 375}[f.minor]
	b := make([]byte, size)
	copy(b, "LASF")
	le.PutUint16(b[6:], f.encoding)
	b[24], b[25] = 1, f.minor
	le.PutUint16(b[94:], uint16(size))
	le.PutUint32(b[100:], uint32(len(f.vlrs)))
	b[104] = f.format
	le.PutUint16(b[105:], uint16(f.record))
	if f.format < 6 {
		le.PutUint32(b[107:], uint32(len(f.points)))
	}
	if f.minor == 4 {
		le.PutUint64(b[247:], uint64(len(f.points)))
	}
	for i := range 3 {
		le.PutUint64(b[131+8*i:], math.Float64bits(scale[i]))
		le.PutUint64(b[155+8*i:], math.Float64bits(f.offset[i]))
	}
	for _, v := range f.vlrs {
		b = append(b, v...)
	}
	le.PutUint32(b[96:], uint32(len(b)))
	for _, p := range f.points {
		r := make([]byte, f.record)
		le.PutUint32(r, uint32(p.x))
		le.PutUint32(r[4:], uint32(p.y))
		le.PutUint32(r[8:], uint32(p.z))
		if f.format < 6 {
			r[15] = p.class
		} else {
			r[15], r[16] = p.flag, p.class
		}
		b = append(b, r...)
	}
	if f.change != nil {
		f.change(b)
	}
	return b
}

// lasRecord writes a variable length record: 54 bytes of header, then data.
func lasRecord(user string, id uint16, data []byte) []byte {
	b := make([]byte, 54)
	copy(b[2:], user)
	binary.LittleEndian.PutUint16(b[18:], id)
	binary.LittleEndian.PutUint16(b[20:], uint16(len(data)))
	return append(b, data...)
}

// geoKeys writes a directory of GeoTIFF keys, each with its value in place.
func geoKeys(pairs ...uint16) []byte {
	b := binary.LittleEndian.AppendUint16(nil, 1)
	for _, v := range []uint16{1, 0, uint16(len(pairs) / 2)} {
		b = binary.LittleEndian.AppendUint16(b, v)
	}
	for i := 0; i < len(pairs); i += 2 {
		for _, v := range []uint16{pairs[i], 0, 1, pairs[i+1]} {
			b = binary.LittleEndian.AppendUint16(b, v)
		}
	}
	return lasRecord("LASF_Projection", 34735, b)
}

// TestLASByteLayout reads a file written byte by byte. Offsets and fields: ASPRS LAS
// Specification 1.4, tables of the public header block, of the variable length record
// header and of point data record format 0.
func TestLASByteLayout(t *testing.T) {
	fields := []struct{ offset, bytes string }{
		{"0 file signature", "4c415346"},
		{"4 file source id", "0000"},
		{"6 global encoding", "0000"},
		{"8 project id", "00000000 0000 0000 0000000000000000"},
		{"24 version major, minor", "01 02"},
		{"26 system identifier", "4d45524745" + strings.Repeat("00", 27)},
		{"58 generating software", "746573740000" + strings.Repeat("00", 26)},
		{"90 day, year", "0100 e907"},
		{"94 header size: 227", "e300"},
		{"96 offset to point data: 227 + 54 + 16 + 2", "2b010000"},
		{"100 number of variable length records", "01000000"},
		{"104 point data record format", "00"},
		{"105 point data record length: 21, one extra byte", "1500"},
		{"107 number of point records", "03000000"},
		{"111 number of points by return", strings.Repeat("00", 20)},
		{"131 x scale: 0.5", "000000000000e03f"},
		{"139 y scale: 0.25", "000000000000d03f"},
		{"147 z scale: 0.125", "000000000000c03f"},
		{"155 x offset: 1000", "0000000000408f40"},
		{"163 y offset: -2", "00000000000000c0"},
		{"171 z offset: 9", "0000000000002240"},
		{"179 max and min of x, y, z", strings.Repeat("00", 48)},
		{"227 reserved", "0000"},
		{"229 user id LASF_Projection", "4c4153465f50726f6a656374696f6e 00"},
		{"245 record id 34735", "af87"},
		{"247 record length after header", "1000"},
		{"249 description", strings.Repeat("00", 32)},
		{"281 key directory version, revision, minor, number of keys", "0100 0100 0000 0100"},
		{"289 key 3076, in place, one value, 9001: metre", "040c 0000 0100 2923"},
		{"297 two bytes that belong to nothing", "dddd"},
		{"299 point 1: x 3, y 4, z -8", "03000000 04000000 f8ffffff 0000 11 02 00 00 0000 ff"},
		{"320 point 2: withheld (bit 7 of class 2)", "01000000 01000000 01000000 0000 11 82 00 00 0000 ff"},
		{"341 point 3: x -2, y 0, z 1; key-point and synthetic are no reason to leave it out", "feffffff 00000000 01000000 0000 11 62 00 00 0000 ff"},
	}
	var b []byte
	for _, f := range fields {
		at, _, _ := strings.Cut(f.offset, " ")
		if fmt.Sprint(len(b)) != at {
			t.Fatalf("%s is at %d", f.offset, len(b))
		}
		part, err := hex.DecodeString(strings.ReplaceAll(f.bytes, " ", ""))
		if err != nil {
			t.Fatal(err)
		}
		b = append(b, part...)
	}
	s, err := ReadLAS(bytes.NewReader(b), "f.las", survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	at := survey.Pos{File: "f.las"}
	want := []survey.Point{survey.Point{X: 1001.5, Y: -1, Z: 8}.With(survey.Tag{At: at}), survey.Point{X: 999, Y: -2, Z: 9.125}.With(survey.Tag{At: at})}
	if !slices.EqualFunc(s.Points, want, survey.Point.Equal) || s.Rows != 3 || s.Format != "LAS 1.2" || s.Unit != unit.Metre || s.Plan != unit.Metre {
		t.Errorf("%+v", s)
	}
	check.Notes(t, s.Notes, []string{"warning: 1 of 3 points, that the file marks as withheld, are not used", "assumed: the file does not state the unit of z: taken as m"})
}

func TestReadLAS(t *testing.T) {
	// One point a tenth of a unit east, and one point of each kind that is not used.
	legacy := []lasPoint{{100, 200, 9980, 2, 0}, {0, 0, 0, 2 | 1<<7, 0}, {0, 0, 0, 7, 0}, {0, 0, 0, 18, 0}, {300, 200, 9970, 2 | 1<<5, 0}}
	modern := []lasPoint{{100, 200, 9980, 2, 0}, {0, 0, 0, 2, 1 << 2}, {0, 0, 0, 7, 0}, {0, 0, 0, 18, 0}, {300, 200, 9970, 2, 1<<0 | 1<<1 | 1<<3}}
	m := survey.Options{Unit: unit.Metre}
	wkt := func(text string) [][]byte { return [][]byte{lasRecord("LASF_Projection", 2112, []byte(text+"\x00"))} }
	geo := `GEOGCS["g",DATUM["d",SPHEROID["s",6378137,298.25]],PRIMEM["p",0],UNIT["degree",0.0174532925199433]]`
	for _, c := range []struct {
		name     string
		f        lasFile
		o        survey.Options
		plan, up unit.Length
	}{
		{"1.2 format 0", lasFile{points: legacy}, m, unit.Metre, unit.Metre},
		{"1.2 format 1", lasFile{format: 1, points: legacy}, m, unit.Metre, unit.Metre},
		{"1.2 format 2", lasFile{format: 2, points: legacy}, m, unit.Metre, unit.Metre},
		{"1.2 format 3, extra bytes", lasFile{format: 3, record: 50, points: legacy}, m, unit.Metre, unit.Metre},
		{"1.3 format 4", lasFile{minor: 3, format: 4, points: legacy}, m, unit.Metre, unit.Metre},
		{"1.3 format 5", lasFile{minor: 3, format: 5, points: legacy}, m, unit.Metre, unit.Metre},
		{"1.4 format 0, legacy count", lasFile{minor: 4, points: legacy, change: func(b []byte) { clear(b[247:255]) }}, m, unit.Metre, unit.Metre},
		{"1.4 format 6", lasFile{minor: 4, format: 6, points: modern}, m, unit.Metre, unit.Metre},
		{"1.4 format 7", lasFile{minor: 4, format: 7, points: modern}, m, unit.Metre, unit.Metre},
		{"1.4 format 8", lasFile{minor: 4, format: 8, points: modern}, m, unit.Metre, unit.Metre},
		{"1.4 format 9", lasFile{minor: 4, format: 9, points: modern}, m, unit.Metre, unit.Metre},
		{"1.4 format 10", lasFile{minor: 4, format: 10, record: 65535, points: modern}, m, unit.Metre, unit.Metre},
		{"feet by the user", lasFile{points: legacy}, survey.Options{Unit: unit.Foot}, unit.Foot, unit.Foot},
		{"keys: feet", lasFile{points: legacy, vlrs: [][]byte{lasRecord("other", 34735, []byte{1}), geoKeys(1024, 1, 3076, 9002)}}, survey.Options{}, unit.Foot, unit.Foot},
		{"keys: US survey feet, metres up", lasFile{points: legacy, vlrs: [][]byte{geoKeys(3076, 9003, 4099, 9001)}}, survey.Options{}, unit.SurveyFoot, unit.Metre},
		{"keys: only up", lasFile{points: legacy, vlrs: [][]byte{geoKeys(4099, 9002)}}, survey.Options{}, unit.Foot, unit.Foot},
		{"keys without units", lasFile{points: legacy, vlrs: [][]byte{geoKeys(1024, 1, 3072, 2263, 3076, 32767)}}, m, unit.Metre, unit.Metre},
		{"the unit asked for is one of the two", lasFile{points: legacy, vlrs: [][]byte{geoKeys(3076, 9003, 4099, 9001)}}, m, unit.SurveyFoot, unit.Metre},
		{"the unit asked for is of the same kind", lasFile{points: legacy, vlrs: [][]byte{geoKeys(3076, 9002, 4099, 9002)}}, survey.Options{Unit: unit.Inch}, unit.Foot, unit.Foot},
		{"text: metres", lasFile{points: legacy, vlrs: wkt(`PROJCS["p",` + geo + `,PROJECTION["x"],PARAMETER["k",1],UNIT["metre",1],AXIS["E",EAST]]`)}, survey.Options{}, unit.Metre, unit.Metre},
		{"text: feet, with a vertical system in US survey feet", lasFile{minor: 4, format: 6, encoding: 1 << 4, points: modern,
			vlrs: append(wkt(`COMPD_CS["c",PROJCS["p",`+geo+`,UNIT["foot",0.3048]],VERT_CS["v",VERT_DATUM["d",2005],UNIT["US survey foot",0.304800609601219]]]`), geoKeys(3076, 9001))}, survey.Options{}, unit.Foot, unit.SurveyFoot},
		{"keys before text without its bit", lasFile{points: legacy, vlrs: append(wkt(`LOCAL_CS["l",UNIT["metre",1]]`), geoKeys(3076, 9002))}, survey.Options{}, unit.Foot, unit.Foot},
		{"text of the newer kind", lasFile{points: legacy, vlrs: wkt(`PROJCRS["p",BASEGEOGCRS["g",DATUM["d",ELLIPSOID["e",6378137,298.25,LENGTHUNIT["metre",1]]]],CS[Cartesian,2],AXIS["E",east],LENGTHUNIT["US survey foot",0.304800609601219]]`)}, survey.Options{}, unit.SurveyFoot, unit.SurveyFoot},
		{"a local system in millimetres", lasFile{points: legacy, vlrs: wkt(`LOCAL_CS["l",UNIT["millimetre",0.001]]`)}, survey.Options{}, unit.Millimetre, unit.Millimetre},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := ReadLAS(bytes.NewReader(c.f.bytes()), "f.las", c.o)
			if err != nil {
				t.Fatal(err)
			}
			if s.Plan != c.plan || s.Unit != c.up || s.Rows != 5 {
				t.Errorf("plan in %v, z in %v, %d rows", s.Plan, s.Unit, s.Rows)
			}
			p, u := c.plan.Metres(), c.up.Metres()
			for i, want := range []survey.Point{{X: 0.1 * p, Y: 0.2 * p, Z: 9.98 * u}, {X: 0.3 * p, Y: 0.2 * p, Z: 9.97 * u}} {
				if len(s.Points) != 2 || !check.Nearly(s.Points[i].X, want.X) || !check.Nearly(s.Points[i].Y, want.Y) || !check.Nearly(s.Points[i].Z, want.Z) {
					t.Fatalf("points %v, want %v at %d", s.Points, want, i)
				}
			}
			check.Notes(t, s.Notes, []string{"warning: 1 of 5 points, that the file marks as withheld, are not used", "warning: 2 of 5 points, that the file classifies as noise, are not used"})
		})
	}
}

// Decimal coordinates give exactly these decimals. In binary, 9980 times 0.001 does not.
func TestLASDecimalsStayDecimals(t *testing.T) {
	var pts []lasPoint
	for i := range int32(20_000) {
		pts = append(pts, lasPoint{i * 7, i * 97, 9980 - i, 2, 0})
	}
	s, err := ReadLAS(bytes.NewReader(lasFile{points: pts, scale: [3]float64{0.01, 0.0001, 0.001}}.bytes()), "f.las", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range s.Points {
		if q := pts[i]; p.X != float64(q.x)/100 || p.Y != float64(q.y)/10_000 || p.Z != float64(q.z)/1000 {
			t.Fatalf("%v of %v", p, q)
		}
	}
}

func TestReadLASRefuses(t *testing.T) {
	le := binary.LittleEndian
	pts := []lasPoint{{100, 200, 9980, 2, 0}, {300, 200, 9970, 2, 0}}
	put := func(at int, v ...byte) func([]byte) { return func(b []byte) { copy(b[at:], v) } }
	number := func(at int, v float64) func([]byte) {
		return func(b []byte) { le.PutUint64(b[at:], math.Float64bits(v)) }
	}
	cut := func(n int) func(lasFile) []byte { return func(f lasFile) []byte { return f.bytes()[:n] } }
	m := survey.Options{Unit: unit.Metre}
	for _, c := range []struct {
		name string
		f    lasFile
		cut  func(lasFile) []byte
		o    survey.Options
		want string
	}{
		{"nothing", lasFile{points: pts}, cut(0), m, "header: found the end of the file after 0 bytes, want 227 bytes more"},
		{"truncated header", lasFile{points: pts}, cut(100), m, "header: found the end of the file after 100 bytes, want 127 bytes more"},
		{"truncated header of 1.4", lasFile{minor: 4, points: pts}, cut(300), m, "header: found the end of the file after 300 bytes, want 75 bytes more"},
		{"truncated data", lasFile{points: pts}, cut(260), m, "point 2 of 2: found the end of the file after 260 bytes, want 7 bytes more"},
		{"count larger than the file", lasFile{points: pts, change: put(107, 0xff, 0xff, 0xff, 0xff)}, nil, m, "point 3 of 4294967295: found the end of the file after 267 bytes, want 20 bytes more"},
		{"absurd count", lasFile{minor: 4, format: 6, points: pts, change: put(247, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff)}, nil, m, "point 3 of 18446744073709551615: found the end of the file after 435 bytes, want 30 bytes more"},
		{"points past the file", lasFile{points: pts, change: put(96, 0xff, 0xff, 0xff, 0xff)}, nil, m, "point data: found the end of the file after 267 bytes, want 4294967028 bytes more"},
		{"another signature", lasFile{points: pts, change: put(0, 'L', 'A', 'S', 'X')}, nil, m, `file signature: found "LASX", want "LASF"`},
		{"unknown version", lasFile{points: pts, change: put(25, 5)}, nil, m, "version: found 1.5, want 1.2, 1.3 or 1.4"},
		{"old version", lasFile{points: pts, change: put(25, 1)}, nil, m, "version: found 1.1, want 1.2, 1.3 or 1.4"},
		{"compressed by its format", lasFile{points: pts, change: put(104, 0x80|1)}, nil, m, "found compressed points (LAZ), want a LAS file that is not compressed"},
		{"compressed by its record", lasFile{points: pts, vlrs: [][]byte{lasRecord("laszip encoded", 22204, make([]byte, 46))}}, nil, m, "found compressed points (LAZ), want a LAS file that is not compressed"},
		{"unknown format", lasFile{points: pts, change: put(104, 11)}, nil, m, "point data record format: found 11, want 0 to 10"},
		{"short records", lasFile{points: pts, change: put(105, 19, 0)}, nil, m, "point data record length: found 19 bytes, want 20 or more for format 0"},
		{"short records of format 8", lasFile{minor: 4, format: 8, points: pts, change: put(105, 36, 0)}, nil, m, "point data record length: found 36 bytes, want 38 or more for format 8"},
		{"header size of nonsense", lasFile{points: pts, change: put(94, 10, 0)}, nil, m, "header size: found 10 bytes, want 227 or more for version 1.2"},
		{"header of 1.4 too short", lasFile{minor: 4, points: pts, change: put(94, 227, 0)}, nil, m, "header size: found 227 bytes, want 375 or more for version 1.4"},
		{"header past the points", lasFile{points: pts, change: put(94, 0xff, 0xff)}, nil, m, "offset to point data: found 227, want 65535 or more, the size of the header"},
		{"points inside the header", lasFile{points: pts, change: put(96, 100, 0, 0, 0)}, nil, m, "offset to point data: found 100, want 227 or more, the size of the header"},
		{"records past the points", lasFile{points: pts, change: put(100, 1, 0, 0, 0)}, nil, m, "variable length record 1 of 1: found an end past the start of the points, want an end at byte 227 or before"},
		{"a record past the points", lasFile{points: pts, vlrs: [][]byte{geoKeys(3076, 9001)}, change: put(227+20, 0xff, 0xff)}, nil, m, "variable length record 1 of 1: found an end past the start of the points, want an end at byte 297 or before"},
		{"absurd count of records", lasFile{points: pts, vlrs: [][]byte{geoKeys(3076, 9001)}, change: put(100, 0xff, 0xff, 0xff, 0xff)}, nil, m, "variable length record 2 of 4294967295: found an end past the start of the points, want an end at byte 297 or before"},
		{"zero scale", lasFile{points: pts, change: number(139, 0)}, nil, m, "y scale factor: found 0, want a number above 0"},
		{"scale that turns about", lasFile{points: pts, change: number(147, -0.001)}, nil, m, "z scale factor: found -0.001, want a number above 0"},
		{"scale without end", lasFile{points: pts, change: number(131, math.Inf(1))}, nil, m, "x scale factor: found +Inf, want a number above 0"},
		{"scale that is no number", lasFile{points: pts, change: number(131, math.NaN())}, nil, m, "x scale factor: found NaN, want a number above 0"},
		{"offset that is no number", lasFile{points: pts, change: number(171, math.NaN())}, nil, m, "z offset: found NaN, want a finite number"},
		{"coordinates without end", lasFile{points: pts, change: number(155, 1e300)}, nil, survey.Options{Unit: unit.Metre, Thin: survey.Thin{Cell: 1}}, "point 1 of 2: found 1e+300, 0.2, 9.98 m, want coordinates within a million kilometres of 0"},
		{"coordinates past all numbers", lasFile{points: []lasPoint{{1 << 30, 0, 0, 2, 0}}, change: number(131, 1e300)}, nil, m, "point 1 of 1: found +Inf, 0, 0 m, want finite coordinates"},
		{"no points", lasFile{}, nil, m, "number of point records: found 0, want a scan with points"},
		{"nothing but noise", lasFile{points: []lasPoint{{0, 0, 0, 7, 0}}}, nil, m, "found 1 points, all of them withheld or noise, want a scan with points"},
		{"no unit", lasFile{points: pts}, nil, survey.Options{}, "found coordinates without a unit, want a unit: neither GeoTIFF keys nor well-known text before the points state one"},
		{"another foot", lasFile{points: pts, vlrs: [][]byte{geoKeys(3076, 9005)}}, nil, survey.Options{}, "linear unit of x and y: found code 9005, want 9001 (metre), 9002 (foot) or 9003 (US survey foot)"},
		{"another foot in text", lasFile{points: pts, vlrs: [][]byte{lasRecord("LASF_Projection", 2112, []byte(`PROJCS["p",UNIT["Clarke's foot",0.3047972654]]`))}}, nil, m, `unit of x and y: found "Clarke's foot" of 0.3047972654 m, want metre, foot or US survey foot`},
		{"angles", lasFile{points: pts, vlrs: [][]byte{geoKeys(1024, 2)}}, nil, m, "coordinate system: found longitude and latitude, want x and y on a plane, in a unit of length"},
		{"angles in text", lasFile{points: pts, vlrs: [][]byte{lasRecord("LASF_Projection", 2112, []byte(`GEOGCS["g",UNIT["degree",0.0174532925199433]]`))}}, nil, m, "coordinate system: found longitude and latitude, want x and y on a plane, in a unit of length"},
		{"units contradict", lasFile{points: pts, vlrs: [][]byte{geoKeys(3076, 9002, 4099, 9002)}}, nil, m, "found x and y in ft, z in ft, want m, the unit asked for: one of the two is wrong"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.cut == nil {
				c.cut = lasFile.bytes
			}
			_, err := ReadLAS(bytes.NewReader(c.cut(c.f)), "f.las", c.o)
			if err == nil || err.Error() != "f.las: "+c.want {
				t.Errorf("%v\nwant f.las: %s", err, c.want)
			}
		})
	}
	_, err := ReadLAS(bytes.NewReader(lasFile{points: pts}.bytes()), "f.las", survey.Options{})
	if h := survey.Hints(err); !slices.Equal(h, []string{"--units m, or cm, mm, ft, ftUS, in"}) {
		t.Errorf("hints %q", h)
	}
}

// A unit that contradicts itself is refused, and --units settles it.
func TestLASUnitsSettled(t *testing.T) {
	pts := []lasPoint{{100, 200, 9980, 2, 0}, {300, 200, 9970, 2, 0}}
	wkt := func(u string) lasFile {
		return lasFile{points: pts, vlrs: [][]byte{lasRecord("LASF_Projection", 2112, []byte(`LOCAL_CS["l",UNIT[`+u+`]]`))}}
	}
	const disagree = "a name and a factor of the same unit; one of the two is wrong"
	const none = unit.None
	for _, c := range []struct {
		f           lasFile
		asked, took unit.Length // took None: refused
		want, hint  string
	}{
		{wkt(`"US survey foot",1.0`), none, none, `unit of x and y: found "US survey foot" of 1.0 m, want ` + disagree, "--units m or --units ftUS"},
		{wkt(`"US survey foot",1.0`), unit.SurveyFoot, unit.SurveyFoot, "", ""},
		{wkt(`"US survey foot",1.0`), unit.Metre, unit.Metre, "", ""},
		{wkt(`"US survey foot",1.0`), unit.Inch, none, `unit of x and y: found "US survey foot" of 1.0 m, want ` + disagree, "--units m or --units ftUS"},
		{wkt(`"Foot_US",0.3048`), none, none, `unit of x and y: found "Foot_US" of 0.3048 m, want ` + disagree, "--units ft or --units ftUS"},
		{wkt(`"Foot (International)",0.304800609601219`), none, none, `unit of x and y: found "Foot (International)" of 0.304800609601219 m, want ` + disagree, "--units ft or --units ftUS"},
		{wkt(`"foot",1`), none, none, `unit of x and y: found "foot" of 1 m, want ` + disagree, "--units m or --units ft or --units ftUS"},
		{wkt(`"metre",0.3048`), none, none, `unit of x and y: found "metre" of 0.3048 m, want ` + disagree, "--units m or --units ft or --units ftUS"},
		{wkt(`"Clarke's foot",0.3047972654`), unit.Foot, unit.Foot, "", ""},
		// A factor to eight digits settles the foot; the two feet differ by 2 in a million.
		{wkt(`"grid unit",0.3048000274`), none, unit.Foot, "", ""},
		{wkt(`"grid unit",0.3048000335`), none, none, `unit of x and y: found "grid unit" of 0.3048000335 m, want metre, foot or US survey foot`, "--units ft or --units ftUS"},
		// The option can settle a factor within a thousandth of a unit.
		{wkt(`"grid unit",0.30507`), none, none, `unit of x and y: found "grid unit" of 0.30507 m, want metre, foot or US survey foot`, "--units ft or --units ftUS"},
		{wkt(`"grid unit",0.30514`), none, none, `unit of x and y: found "grid unit" of 0.30514 m, want metre, foot or US survey foot`, survey.AskUnit.String()},
		{wkt(`"Clarke's foot",0.3047972654`), unit.Metre, none, `unit of x and y: found "Clarke's foot" of 0.3047972654 m, want metre, foot or US survey foot`, "--units ft or --units ftUS"},
		{wkt(`"link",0.201168`), none, none, `unit of x and y: found "link" of 0.201168 m, want metre, foot or US survey foot`, "--units m, or cm, mm, ft, ftUS, in"},
		{lasFile{points: pts, vlrs: [][]byte{geoKeys(3076, 9005)}}, none, none, "linear unit of x and y: found code 9005, want 9001 (metre), 9002 (foot) or 9003 (US survey foot)", "--units m, or cm, mm, ft, ftUS, in"},
		{lasFile{points: pts, vlrs: [][]byte{geoKeys(3076, 9005)}}, unit.Foot, unit.Foot, "", ""},
		// Names that agree with their factor, as files write them.
		{wkt(`"US survey foot",0.3048006096012192`), none, unit.SurveyFoot, "", ""},
		{wkt(`"Foot_US",0.3048006096012192`), none, unit.SurveyFoot, "", ""},
		{wkt(`"ftUS",0.304800609601219`), none, unit.SurveyFoot, "", ""},
		{wkt(`"Foot",0.3048006096012192`), none, none, `unit of x and y: found "Foot" of 0.3048006096012192 m, want ` + disagree, "--units ft or --units ftUS"},
		{wkt(`"foot",0.3048006096`), none, none, `unit of x and y: found "foot" of 0.3048006096 m, want ` + disagree, "--units ft or --units ftUS"},
		{wkt(`"ft",0.3048006096`), none, none, `unit of x and y: found "ft" of 0.3048006096 m, want ` + disagree, "--units ft or --units ftUS"},
		{wkt(`"foot",0.3048006096`), unit.SurveyFoot, unit.SurveyFoot, "", ""},
		{wkt(`"foot",0.3048006096`), unit.Foot, unit.Foot, "", ""},
		{wkt(`"foot",0.3048006096`), unit.Metre, none, `unit of x and y: found "foot" of 0.3048006096 m, want ` + disagree, "--units ft or --units ftUS"},
		{wkt(`"Foot (International)",0.3048`), none, unit.Foot, "", ""},
		{wkt(`"foot",0.3048`), none, unit.Foot, "", ""},
		{wkt(`"Meter",1`), none, unit.Metre, "", ""},
		{wkt(`"unit of the site",0.3048`), none, unit.Foot, "", ""},
	} {
		s, err := ReadLAS(bytes.NewReader(c.f.bytes()), "f.las", survey.Options{Unit: c.asked})
		if c.took == none {
			if err == nil || err.Error() != "f.las: "+c.want || !slices.Equal(survey.Hints(err), []string{c.hint}) {
				t.Errorf("%q, --units %s: %v %q, want %s, hint %s", c.f.vlrs[0][54:], c.asked, err, survey.Hints(err), c.want, c.hint)
			}
			continue
		}
		if err != nil || s.Plan != c.took || s.Unit != c.took {
			t.Errorf("%q, --units %s: %v, want %s", c.f.vlrs[0][54:], c.asked, err, c.took)
			continue
		}
		if warned := slices.ContainsFunc(s.Notes, func(n survey.Note) bool {
			return n.Kind == survey.Assumed && strings.HasSuffix(n.Text.String(), "as asked")
		}); warned != (c.asked != none) {
			t.Errorf("%q, --units %s: notes %v", c.f.vlrs[0][54:], c.asked, s.Notes)
		}
	}
}

// A header that counts too few points gives a warning. Waveforms and extended records,
// which may follow the points, are not counted as points.
func TestLASCountsTooFew(t *testing.T) {
	le := binary.LittleEndian
	var pts []lasPoint
	for i := range int32(6) {
		pts = append(pts, lasPoint{100 * i, 200, 9980, 2, 0})
	}
	const on = "warning: the file goes on after the %d points that its header counts: what follows is not read, and may be points"
	for _, c := range []struct {
		name   string
		f      lasFile
		tail   int // bytes after the points
		change func([]byte)
		rows   int
		want   string
	}{
		{"all counted", lasFile{points: pts}, 0, nil, 6, ""},
		{"four of six", lasFile{points: pts}, 0, func(b []byte) { le.PutUint32(b[107:], 4) }, 4, fmt.Sprintf(on, 4)},
		{"one of six, 1.4", lasFile{minor: 4, format: 6, points: pts}, 0, func(b []byte) { le.PutUint64(b[247:], 1) }, 1, fmt.Sprintf(on, 1)},
		{"less than a point more", lasFile{points: pts}, 19, nil, 6, ""},
		{"a point's worth more", lasFile{points: pts}, 20, nil, 6, fmt.Sprintf(on, 6)},
		{"extended records", lasFile{minor: 4, format: 6, points: pts}, 80, func(b []byte) { le.PutUint64(b[235:], 375+6*30); le.PutUint32(b[243:], 1) }, 6, ""},
		{"extended records after points that are not counted", lasFile{minor: 4, format: 6, points: pts}, 80, func(b []byte) {
			le.PutUint64(b[235:], 375+6*30)
			le.PutUint32(b[243:], 1)
			le.PutUint64(b[247:], 5)
		}, 5, fmt.Sprintf(on, 5)},
		{"the place of extended records without any", lasFile{minor: 4, format: 6, points: pts}, 80, func(b []byte) { le.PutUint64(b[235:], 375+6*30) }, 6, fmt.Sprintf(on, 6)},
		{"waveforms", lasFile{minor: 3, format: 4, points: pts}, 80, func(b []byte) { le.PutUint64(b[227:], 235+6*57) }, 6, ""},
		{"two counts", lasFile{minor: 4, points: pts}, 0, func(b []byte) { le.PutUint32(b[107:], 9) }, 6, "warning: the header counts 6 points, and 9 in the field of older versions: the first is taken"},
	} {
		b := append(c.f.bytes(), make([]byte, c.tail)...)
		if c.change != nil {
			c.change(b)
		}
		s, err := ReadLAS(bytes.NewReader(b), "f.las", survey.Options{Unit: unit.Metre})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var warned []string
		for _, n := range s.Notes {
			if n.Kind == survey.Warning {
				warned = append(warned, "warning: "+n.Text.String())
				if n.Topic != survey.AboutOrder {
					t.Errorf("%s: topic %q of %q", c.name, n.Topic, n.Text.String())
				}
			}
		}
		if s.Rows != c.rows || strings.Join(warned, "; ") != c.want {
			t.Errorf("%s: %d rows, %q; want %d, %q", c.name, s.Rows, warned, c.rows, c.want)
		}
	}
}

// An absurd point count is refused since the file is too short, before memory is
// allocated for it.
func TestAbsurdCountsMakeNoRoom(t *testing.T) {
	for _, c := range []struct {
		name string
		read func() error
	}{
		{"LAS", func() error {
			f := lasFile{minor: 4, format: 6, points: []lasPoint{{}}, change: func(b []byte) { binary.LittleEndian.PutUint64(b[247:], 1<<60) }}
			_, err := ReadLAS(bytes.NewReader(f.bytes()), "f", survey.Options{Unit: unit.Metre})
			return err
		}},
		{"PLY", func() error {
			text := "ply\nformat binary_little_endian 1.0\nelement vertex 9000000000000000000\nproperty float x\nproperty float y\nproperty float z\nelement face 9000000000000000000\nproperty list uint int vertex_indices\nend_header\n"
			_, err := ReadPLY(strings.NewReader(text), "f", survey.Options{Unit: unit.Metre})
			return err
		}},
		{"PLY list", func() error {
			text := "ply\nformat binary_big_endian 1.0\nelement edge 1\nproperty list uint double v\nelement vertex 1\nproperty float x\nproperty float y\nproperty float z\nend_header\n\xff\xff\xff\xff"
			_, err := ReadPLY(strings.NewReader(text), "f", survey.Options{Unit: unit.Metre})
			return err
		}},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		err := c.read()
		runtime.ReadMemStats(&after)
		if err == nil {
			t.Errorf("%s: no error", c.name)
		}
		if n := after.TotalAlloc - before.TotalAlloc; n > 1<<20 {
			t.Errorf("%s: %d bytes for a file of a few hundred", c.name, n)
		}
	}
}

// A warning is given if the option sets the unit of z and the file states another unit
// for x and y.
func TestUnitOfZAskedBesideAnother(t *testing.T) {
	pts := []lasPoint{{100, 200, 9980, 2, 0}, {300, 200, 9970, 2, 0}}
	for asked, want := range map[unit.Length]string{
		unit.Metre:      "warning: the file states ftUS for the other coordinates and no unit of z: taken as m, as asked; is that right?",
		unit.SurveyFoot: "assumed: the file does not state the unit of z: taken as ftUS",
	} {
		f := lasFile{points: pts, vlrs: [][]byte{geoKeys(3076, 9003)}}
		s, err := ReadLAS(bytes.NewReader(f.bytes()), "f.las", survey.Options{Unit: asked})
		if err != nil {
			t.Fatal(err)
		}
		check.Notes(t, s.Notes, []string{want})
	}
}
