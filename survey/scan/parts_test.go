package scan

import (
	"bytes"
	"fmt"
	"runtime"
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
