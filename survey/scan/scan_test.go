package scan

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
)

func FuzzReadPLY(f *testing.F) {
	check.Seeds(f, "ply", func(b []byte) { f.Add(b, byte(1), byte(0)) })
	f.Add([]byte("ply\nformat ascii 1.0\nelement face 1\nproperty list int8 short vertex_index\nelement vertex 3\nproperty list ushort half w\nproperty double z\nproperty double y\nproperty double x\nend_header\n4 0 1 2 0\n0 1 2 3\n"), byte(0), byte(1))
	f.Add([]byte("ply\nformat binary_big_endian 1.0\nelement vertex 9\nproperty list uint double w\nproperty char x\nproperty char y\nproperty char z\nend_header\n\xff\xff\xff\xff"), byte(3), byte(2))
	f.Fuzz(func(t *testing.T, b []byte, cell, keep byte) {
		if len(b) > 1<<16 {
			t.Skip()
		}
		check.Scan(t, b, check.Thinning(cell, keep), func(o survey.Options) (*survey.Survey, error) { return ReadPLY(bytes.NewReader(b), "f", o) })
	})
}

func FuzzReadLAS(f *testing.F) {
	check.Seeds(f, "las", func(b []byte) { f.Add(b, byte(1), byte(0)) })
	f.Add(lasFile{minor: 4, format: 6, points: []lasPoint{{1, 2, 3, 2, 0}, {1, 2, 3, 2, 4}, {1, 2, 3, 7, 0}}}.bytes(), byte(2), byte(1))
	f.Add(lasFile{vlrs: [][]byte{lasRecord("LASF_Projection", 2112, []byte(`PROJCS["p",UNIT["metre",1]]`)), geoKeys(1024, 1, 4099, 9003)}, points: []lasPoint{{1, 2, 3, 2, 0}}}.bytes(), byte(0), byte(2))
	f.Fuzz(func(t *testing.T, b []byte, cell, keep byte) {
		if len(b) > 1<<16 {
			t.Skip()
		}
		check.Scan(t, b, check.Thinning(cell, keep), func(o survey.Options) (*survey.Survey, error) { return ReadLAS(bytes.NewReader(b), "f", o) })
	})
}

func BenchmarkReadLAS(b *testing.B) {
	f := lasFile{format: 3, offset: [3]float64{400_000, 5_000_000, 0}}
	check.Shots(1_000_000, func(_ int, x, y, z float64) {
		f.points = append(f.points, lasPoint{int32((x - 400_000) * 1000), int32((y - 5_000_000) * 1000), int32(z * 1000), 2, 0})
	})
	data := f.bytes()
	check.Bench(b, data, testing.Short(), func(o survey.Options) (*survey.Survey, error) { return ReadLAS(bytes.NewReader(data), "f", o) })
}

func BenchmarkReadPLY(b *testing.B) {
	var binaryRows, text bytes.Buffer
	check.Shots(1_000_000, func(i int, x, y, z float64) {
		binaryRows.WriteString(packed(binary.LittleEndian, x, y, z, uint8(i), uint8(i), uint8(i)))
		fmt.Fprintf(&text, "%.4f %.4f %.4f %d %d %d\n", x, y, z, i%256, i%256, i%256)
	})
	header := "element vertex 1000000\nproperty double x\nproperty double y\nproperty double z\nproperty uchar red\nproperty uchar green\nproperty uchar blue\n"
	for _, c := range []struct{ format, body string }{{"binary_little_endian", binaryRows.String()}, {"ascii", text.String()}} {
		data := []byte(plyFile(c.format, header, c.body))
		b.Run("format="+c.format, func(b *testing.B) {
			check.Bench(b, data, testing.Short(), func(o survey.Options) (*survey.Survey, error) { return ReadPLY(bytes.NewReader(data), "f", o) })
		})
	}
}
