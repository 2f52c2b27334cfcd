package scan

import (
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/internal/input"
	"pourplane/survey/unit"
)

// plyFile writes a PLY file: the header lines between format and end_header, then text
// or values of the types in the header.
func plyFile(format, header, body string) string {
	return "ply\nformat " + format + " 1.0\n" + header + "end_header\n" + body
}

// packed writes values one after another.
func packed(order binary.AppendByteOrder, values ...any) string {
	var b []byte
	for _, v := range values {
		switch v := v.(type) {
		case int8:
			b = append(b, byte(v))
		case uint8:
			b = append(b, v)
		case int16:
			b = order.AppendUint16(b, uint16(v))
		case uint16:
			b = order.AppendUint16(b, v)
		case int32:
			b = order.AppendUint32(b, uint32(v))
		case uint32:
			b = order.AppendUint32(b, v)
		case float32:
			b = order.AppendUint32(b, math.Float32bits(v))
		case float64:
			b = order.AppendUint64(b, math.Float64bits(v))
		}
	}
	return string(b)
}

const plyPlace = "property float x\nproperty float y\nproperty float z\n"

func TestReadPLYPoints(t *testing.T) {
	le, be := binary.AppendByteOrder(binary.LittleEndian), binary.AppendByteOrder(binary.BigEndian)
	want := []survey.Point{{X: 0.5, Y: -2, Z: 9.25}, {X: 1.5, Y: 2, Z: 9.5}}
	for _, c := range []struct {
		name, file string
		lines      [2]int
	}{
		{"ascii", plyFile("ascii", "element vertex 2\n"+plyPlace, "0.5 -2 9.25\n1.5 2 9.5\n"), [2]int{8, 9}},
		{"ascii with comments, blank lines and carriage returns", "ply\r\ncomment invented\r\nformat ascii 1.0\r\nobj_info x y\r\nelement vertex 2\r\nproperty double x\r\nproperty double y\r\nproperty double z\r\nend_header\r\n\r\n 0.5\t-2  9.25 \r\n\r\n15e-1 +2 9.50", [2]int{11, 13}},
		{"ascii, another order, colours and a list", plyFile("ascii", "element vertex 2\nproperty uchar red\nproperty float z\nproperty list uchar float weights\nproperty float y\nproperty float x\n", "7 9.25 2 nan 1 -2 0.5\n8 9.5 0 2 1.5\n"), [2]int{10, 11}},
		{"ascii after another element", plyFile("ascii", "element camera 1\nproperty float focus\nproperty list uchar int at\nelement vertex 2\n"+plyPlace, "35 2 1 2\n0.5 -2 9.25\n1.5 2 9.5\n"), [2]int{12, 13}},
		{"little-endian floats", plyFile("binary_little_endian", "element vertex 2\n"+plyPlace, packed(le, float32(0.5), float32(-2), float32(9.25), float32(1.5), float32(2), float32(9.5))), [2]int{}},
		{"big-endian doubles between others", plyFile("binary_big_endian", "element vertex 2\nproperty double x\nproperty char a\nproperty short b\nproperty int c\nproperty double y\nproperty ushort d\nproperty uint e\nproperty double z\n",
			packed(be, 0.5, int8(1), int16(2), int32(3), -2.0, uint16(4), uint32(5), 9.25, 1.5, int8(1), int16(2), int32(3), 2.0, uint16(4), uint32(5), 9.5)), [2]int{}},
		{"lists before and inside", plyFile("binary_little_endian", "element edge 2\nproperty list ushort double v\nelement vertex 2\nproperty float x\nproperty list uint short n\nproperty float y\nproperty float64 z\n",
			packed(le, uint16(2), 1.0, 2.0, uint16(0), float32(0.5), uint32(3), int16(1), int16(2), int16(3), float32(-2), 9.25, float32(1.5), uint32(0), float32(2), 9.5)), [2]int{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := ReadPLY(strings.NewReader(c.file), "f.ply", survey.Options{Unit: unit.Metre})
			if err != nil {
				t.Fatal(err)
			}
			if len(s.Points) != 2 || s.Rows != 2 || len(s.Surfaces) > 0 {
				t.Fatalf("%+v", s)
			}
			for i, p := range s.Points {
				if w := (survey.Point{X: want[i].X, Y: want[i].Y, Z: want[i].Z}.With(survey.Tag{At: survey.Pos{File: "f.ply", Line: c.lines[i]}})); p != w {
					t.Errorf("%+v, want %+v", p, w)
				}
			}
			check.Notes(t, s.Notes, []string{"assumed: PLY states no unit: coordinates taken as m"})
		})
	}
}

// Every scalar type, by both its names, in both byte orders.
func TestReadPLYTypes(t *testing.T) {
	for _, c := range []struct {
		names string
		value any
		want  float64
	}{
		{"char int8", int8(-7), -7}, {"uchar uint8", uint8(200), 200}, {"short int16", int16(-300), -300}, {"ushort uint16", uint16(60000), 60000},
		{"int int32", int32(-70000), -70000}, {"uint uint32", uint32(4e9), 4e9}, {"float float32", float32(0.5), 0.5}, {"double float64", 0.1, 0.1},
	} {
		for _, name := range strings.Fields(c.names) {
			for format, order := range map[string]binary.AppendByteOrder{"binary_little_endian": binary.LittleEndian, "binary_big_endian": binary.BigEndian} {
				header := fmt.Sprintf("element vertex 1\nproperty %[1]s x\nproperty %[1]s y\nproperty %[1]s z\n", name)
				s, err := ReadPLY(strings.NewReader(plyFile(format, header, packed(order, c.value, c.value, c.value))), "f", survey.Options{Unit: unit.Metre})
				if err != nil {
					t.Errorf("%s, %s: %v", name, format, err)
				} else if p := s.Points[0]; p.X != c.want || p.Y != c.want || p.Z != c.want {
					t.Errorf("%s, %s: %v, want %v", name, format, p, c.want)
				}
			}
		}
	}
}

// TestPLYByteLayout reads a file written byte by byte: "The PLY Polygon File Format"
// (Turk 1994) puts values one after another without padding, in the order of the
// properties, each list after its length.
func TestPLYByteLayout(t *testing.T) {
	body := strings.Join([]string{
		"0000003f 00 000000c0 00001441", // vertex 0: float x 0.5, uchar 0, float y -2, float z 9.25
		"0000c03f 01 00000040 00001841", // vertex 1: 1.5, 1, 2, 9.5
		"00000000 02 0000803f 00001041", // vertex 2: 0, 2, 1, 9
		"03 00000000 01000000 02000000", // face 0: uchar length 3, int 0, 1, 2
	}, "")
	b, err := hex.DecodeString(strings.ReplaceAll(body, " ", ""))
	if err != nil {
		t.Fatal(err)
	}
	header := "element vertex 3\nproperty float x\nproperty uchar tag\nproperty float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\n"
	s, err := ReadPLY(strings.NewReader(plyFile("binary_little_endian", header, string(b))), "dir/slab.ply", survey.Options{Unit: unit.Foot})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Surfaces) != 1 || len(s.Points) != 0 || s.Rows != 0 {
		t.Fatalf("%+v", s)
	}
	u := s.Surfaces[0]
	at := survey.Pos{File: "dir/slab.ply"}
	const ft = 0.3048
	want := []survey.Point{survey.Point{X: 0.5 * ft, Y: -2 * ft, Z: 9.25 * ft}.With(survey.Tag{At: at}), survey.Point{X: 1.5 * ft, Y: 2 * ft, Z: 9.5 * ft}.With(survey.Tag{At: at}), survey.Point{X: 0, Y: ft, Z: 9 * ft}.With(survey.Tag{At: at})} // of the decimals, rounded once
	if u.Name != "slab" || u.At != at || !slices.Equal(u.Vertices, want) || !slices.Equal(u.Faces, [][3]int32{{0, 1, 2}}) || u.FaceLine != nil || !math.IsNaN(u.Declared.Area2D) {
		t.Errorf("%+v", u)
	}
}

func TestReadPLYFaces(t *testing.T) {
	header := "element face 2\nproperty list uchar int vertex_index\nproperty list uchar float uv\nelement vertex 5\n" + plyPlace
	file := plyFile("ascii", header, "3 0 1 4 0\n4 1 2 3 4 2 0.5 0.5\n0 0 1\n1 0 1\n2 0 1\n2 1 1\n1 1 1\n")
	s, err := ReadPLY(strings.NewReader(file), "f.ply", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	u := s.Surfaces[0]
	if !slices.Equal(u.Faces, [][3]int32{{0, 1, 4}, {1, 2, 4 - 1}, {1, 3, 4}}) || !slices.Equal(u.FaceLine, []int32{11, 12, 12}) || len(u.Vertices) != 5 {
		t.Errorf("%+v", u)
	}
	check.Notes(t, s.Notes, []string{"assumed: 1 faces of four corners cut from the first corner to the third"})

	s, err = ReadPLY(strings.NewReader(file+"left over\n"), "f.ply", survey.Options{Unit: unit.Metre, Thin: survey.Thin{Cell: 1, Keep: survey.Lowest}})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != 5 || len(s.Surfaces) != 0 || s.Points[0].At().Line != 13 || s.Rows != 5 {
		t.Errorf("%+v", s)
	}
	check.Notes(t, s.Notes, []string{"assumed: 2 faces are not used, since the points are thinned", "assumed: 5 points thinned to 5: the lowest point of each square of 1000 mm", "warning: the file goes on after the rows that its header promises"})
}

func TestReadPLYRefuses(t *testing.T) {
	le := binary.AppendByteOrder(binary.LittleEndian)
	cloud := "element vertex 2\n" + plyPlace
	mesh := "element vertex 3\n" + plyPlace + "element face 1\nproperty list uchar int vertex_indices\n"
	corners := "0 0 1\n1 0 1\n0 1 1\n"
	for _, c := range []struct{ name, file, want string }{
		{"nothing", "", "f: header: found the end of the file, want the line end_header"},
		{"another magic", "plyx\n", `f:1: found "plyx", want "ply"`},
		{"truncated header", "ply\nformat ascii 1.0\nelement vertex 2\n", "f: header: found the end of the file, want the line end_header"},
		{"a header without end", "ply\n" + strings.Repeat("comment x\n", 1e4), "f: header: found no line end_header in the first 65536 bytes, want a PLY file"},
		{"no format", "ply\nelement vertex 1\n" + plyPlace + "end_header\n0 0 0\n", "f: header: found no line format, want format ascii 1.0, binary_little_endian 1.0 or binary_big_endian 1.0"},
		{"unknown format", "ply\nformat binary 1.0\n", `f:2: found "format binary 1.0", want format ascii 1.0, binary_little_endian 1.0 or binary_big_endian 1.0`},
		{"unknown version", "ply\nformat ascii 2.0\n", `f:2: found "format ascii 2.0", want format ascii 1.0, binary_little_endian 1.0 or binary_big_endian 1.0`},
		{"unknown word", "ply\nvertices 3\n", `f:2: found "vertices", want format, element, property, comment, obj_info or end_header`},
		{"unknown type", "ply\nformat ascii 1.0\nelement vertex 1\nproperty half x\n", `f:4: found type "half", want char, uchar, short, ushort, int, uint, float or double, or int8 to float64`},
		{"unknown type in a list", "ply\nelement face 1\nproperty list uchar long v\n", `f:3: found type "long", want char, uchar, short, ushort, int, uint, float or double, or int8 to float64`},
		{"a length with decimals", "ply\nelement face 1\nproperty list float int v\n", `f:3: found type "float", want a type of whole numbers for the length of a list`},
		{"a property of nothing", "ply\nproperty float x\n", "f:2: found a property before any element, want an element first"},
		{"a property without a name", "ply\nelement vertex 1\nproperty float\n", `f:3: found "property float", want property, a type and a name, or property list, two types and a name`},
		{"a count that is none", "ply\nelement vertex many\n", `f:2: found "element vertex many", want element, a name and a count`},
		{"a count below 0", "ply\nelement vertex -1\n", `f:2: found "element vertex -1", want element, a name and a count`},
		{"a count past all bounds", "ply\nelement vertex 99999999999999999999\n", `f:2: found "element vertex 99999999999999999999", want element, a name and a count`},
		{"an element twice", "ply\nelement vertex 1\nproperty float x\nelement vertex 1\n", "f:4: found element vertex once more, want each element once"},
		{"no vertices", plyFile("ascii", "element vertex 0\n"+plyPlace, ""), "f: header: found no vertices, want an element vertex with a count above 0"},
		{"no z", plyFile("ascii", "element vertex 1\nproperty float x\nproperty float y\n", "1 2\n"), "f:3: element vertex: found no property z, want x, y and z"},
		{"x twice", plyFile("ascii", "element vertex 1\nproperty float x\n"+plyPlace, "1 2 3 4\n"), `f:3: element vertex: found two properties "x", want each name once`},
		{"a list of x", plyFile("ascii", "element vertex 1\nproperty list uchar float x\nproperty float y\nproperty float z\n", "1 2 3 4\n"), "f:3: element vertex: found a list x, want one number"},
		{"an element without properties", plyFile("ascii", cloud+"element ghost 9\n", ""), "f:7: element ghost: found no property, want at least one"},
		{"truncated text", plyFile("ascii", cloud, "0 0 1\n"), "f: vertex 2 of 2: found the end of the file, want as many rows as the header promises"},
		{"truncated bytes", plyFile("binary_little_endian", cloud, packed(le, float32(1), float32(2), float32(3), float32(4))), "f: vertex 2 of 2: found the end of the file, want as many rows as the header promises"},
		{"a list past the end", plyFile("binary_little_endian", mesh, packed(le, 1.0, 1.0, 1.0, 1.0, float32(1), uint8(3), int32(0))), "f: face 1 of 1: found the end of the file, want as many rows as the header promises"},
		{"a short row", plyFile("ascii", cloud, "0 0 1\n1 0\n"), "f:9:4: vertex 2 of 2: found the end of the line, want a value of z"},
		{"a long row", plyFile("ascii", cloud, "0 0 1\n1 0 1 7\n"), `f:9:7: vertex 2 of 2: found "7" after the last value, want as many values as the header promises`},
		{"a word", plyFile("ascii", cloud, "0 0 1\n1 zero 1\n"), `f:9:3: vertex 2 of 2: found "zero" as y, want a finite number such as -12.345`},
		{"no number", plyFile("ascii", cloud, "0 0 nan\n"), `f:8:5: vertex 1 of 2: found "nan" as z, want a finite number such as -12.345`},
		{"infinity", plyFile("ascii", cloud, "0 0 1\n-inf 0 1\n"), `f:9:1: vertex 2 of 2: found "-inf" as x, want a finite number such as -12.345`},
		{"no number in bytes", plyFile("binary_little_endian", cloud, packed(le, float32(1), float32(math.NaN()), float32(3))), "f: vertex 1 of 2: found y NaN, want a finite number"},
		{"infinity in bytes", plyFile("binary_little_endian", cloud, packed(le, float32(1), float32(2), float32(math.Inf(-1)))), "f: vertex 1 of 2: found z -Inf, want a finite number"},
		{"a line without end", plyFile("ascii", cloud, strings.Repeat("1", input.BufferSize+1)), "f:8: vertex 1 of 2: found a line of more than 65536 bytes, want one row a line"},
		{"two corners", plyFile("ascii", mesh, corners+"2 0 1\n"), "f:13:1: face 1 of 1: found 2 corners, want 3 or 4"},
		{"five corners", plyFile("ascii", mesh, corners+"5 0 1 2 0 1\n"), "f:13:1: face 1 of 1: found 5 corners, want 3 or 4"},
		{"a vertex that is not there", plyFile("ascii", mesh, corners+"3 0 1 3\n"), "f:13:7: face 1 of 1: found vertex 3, want 0 to 2"},
		{"a vertex below 0", plyFile("ascii", mesh, corners+"3 0 -1 2\n"), "f:13:5: face 1 of 1: found vertex -1, want 0 to 2"},
		{"half a vertex", plyFile("ascii", mesh, corners+"3 0 0.5 2\n"), "f:13:5: face 1 of 1: found vertex 0.5, want 0 to 2"},
		{"a length below 0", plyFile("ascii", mesh, corners+"-3 0 1 2\n"), "f:13:1: face 1 of 1: found a list vertex_indices of -3 values, want a length of 0 or more"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ReadPLY(strings.NewReader(c.file), "f", survey.Options{Unit: unit.Metre})
			if err == nil || err.Error() != c.want {
				t.Errorf("%v\nwant %s", err, c.want)
			}
		})
	}
	_, err := ReadPLY(strings.NewReader(plyFile("ascii", cloud, "0 0 1\n1 0 1\n")), "f", survey.Options{})
	if err == nil || err.Error() != "f: found coordinates without a unit, want a unit: PLY files state none" || !slices.Equal(survey.Hints(err), []string{survey.AskUnit.String()}) {
		t.Errorf("%v, hints %q", err, survey.Hints(err))
	}
	_, err = ReadPLY(strings.NewReader(plyFile("ascii", cloud, "0 0 1\n1 0 1e9\n")), "f", survey.Options{Unit: unit.Metre, Thin: survey.Thin{Cell: 1}})
	if err == nil || err.Error() != "f:9: vertex 2 of 2: found 1, 0, 1e+09 m, want coordinates within a million kilometres of 0" {
		t.Error(err)
	}
}
