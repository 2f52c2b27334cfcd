package scan

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// A scan of several blocks gives the same survey on one processor and on several: every
// point, and the thinned ones, with points left out among them. A point that is refused is
// the first of the file, and a file cut short names the point that is not whole.
func TestBlocksOnAnyNumberOfProcessors(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	f := lasFile{format: 3}
	for i := range 20_000 {
		class := byte(2)
		if i%700 == 3 {
			class = 7
		}
		f.points = append(f.points, lasPoint{int32(i * 7919 % 50_000), int32(i * 104_729 % 30_000), int32(i % 37), class, 0})
	}
	data := f.bytes()
	for _, o := range []survey.Options{{Unit: unit.Metre}, {Unit: unit.Metre, Thin: survey.Thin{Cell: 0.5}}, {Unit: unit.Metre, Thin: survey.Thin{Cell: 0.5, Keep: survey.Median}}} {
		for _, cut := range []int{0, 1, 400_000} {
			want := ""
			for _, k := range []int{1, 4} {
				runtime.GOMAXPROCS(k)
				s, err := ReadLAS(bytes.NewReader(data[:len(data)-cut]), "f", o)
				if (err != nil) != (cut > 0) {
					t.Fatal(err)
				}
				got := fmt.Sprint(err)
				if s != nil {
					got += fmt.Sprintf("%d %v %v", s.Rows, s.Points, s.Notes)
				}
				if k == 1 {
					want = got
				} else if got != want {
					t.Errorf("%+v, %d bytes cut off: another result on %d processors", o.Thin, cut, k)
				}
			}
		}
	}
}

// So does a PLY file, whose first row that is refused is the first of the file.
func TestPLYBlocksOnAnyNumberOfProcessors(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	const rows = 40_000
	body := func(bad ...int) string {
		var b []byte
		for i := range rows {
			x := float64(i*7919%50_000) / 1000
			if slices.Contains(bad, i+1) {
				x = math.NaN()
			}
			b = append(b, packed(binary.BigEndian, uint8(i), x, float32(i*104_729%30_000)/1000, int16(i%37))...)
		}
		return plyFile("binary_big_endian", fmt.Sprintf("element vertex %d\nproperty uchar red\nproperty double x\nproperty float y\nproperty short z\nelement face 0\nproperty list uchar int vertex_indices\n", rows), string(b))
	}
	whole := body()
	for _, o := range []survey.Options{{Unit: unit.Foot}, {Unit: unit.Foot, Thin: survey.Thin{Cell: 0.5}}, {Unit: unit.Foot, Thin: survey.Thin{Cell: 0.5, Keep: survey.Median}}} {
		for text, refused := range map[string]string{whole: "", whole + "more": "", whole[:len(whole)-1]: "vertex 40000 of 40000: found the end", whole[:len(whole)/2]: "found the end of the file", body(39_000, 31_000, 35_000): "vertex 31000 of 40000: found x NaN"} {
			want := ""
			for _, k := range []int{1, 2, 5} {
				runtime.GOMAXPROCS(k)
				s, err := ReadPLY(strings.NewReader(text), "f", o)
				if got := fmt.Sprint(err); (err == nil) != (refused == "") || !strings.Contains(got, refused) {
					t.Fatalf("%s, want %q", got, refused)
				}
				got := fmt.Sprint(err)
				if s != nil {
					got += fmt.Sprintf("%d %v %v", s.Rows, s.Points, s.Notes)
				}
				if k == 1 {
					want = got
				} else if got != want {
					t.Errorf("%+v: another result on %d processors", o.Thin, k)
				}
			}
		}
	}
}
