package text

import (
	"bytes"
	"fmt"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// scan writes rows of id,x,y,z,code on a grid.
func scan(rows int) []byte {
	var b bytes.Buffer
	b.WriteString("id,x,y,z,code\n")
	for i := range rows {
		fmt.Fprintf(&b, "%d,%d.%03d,%d.%03d,%d.%03d,SL\n", i+1, i%1000, i%997, i/1000, i%991, 9+i%2, (i*7919)%1000)
	}
	return b.Bytes()
}

func BenchmarkRead(b *testing.B) {
	for _, n := range []struct {
		name string
		rows int
	}{{"1k", 1e3}, {"100k", 1e5}, {"1M", 1e6}} {
		b.Run("rows="+n.name, func(b *testing.B) {
			data := scan(n.rows)
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				s, err := Read(bytes.NewReader(data), "scan.csv", survey.Options{Unit: unit.Metre})
				if err != nil {
					b.Fatal(err)
				}
				if len(s.Points) != n.rows {
					b.Fatalf("%d points, want %d", len(s.Points), n.rows)
				}
			}
			b.ReportMetric(float64(n.rows)*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
		})
	}
}
