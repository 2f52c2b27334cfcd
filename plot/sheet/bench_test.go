package sheet

import (
	"io"
	"testing"

	"pourplane/survey/unit"
)

func BenchmarkWritePDF(b *testing.B) {
	r := demoRecord(demoMap(b, unit.Style{}))
	b.ReportAllocs()
	for b.Loop() {
		if err := WritePDF(io.Discard, r, A4); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWriteHTML(b *testing.B) {
	m := demoMap(b, unit.Style{})
	r := demoRecord(m)
	b.ReportAllocs()
	for b.Loop() {
		if err := WriteHTML(io.Discard, r, m); err != nil {
			b.Fatal(err)
		}
	}
}
