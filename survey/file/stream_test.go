package file

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"pourplane/survey"
	"pourplane/survey/text"
	"pourplane/survey/unit"
)

// A large list is read block by block, and again from its start if a row is not plain.
func TestLargeList(t *testing.T) {
	var b bytes.Buffer
	for i := 0; b.Len() < text.Streamed; i++ {
		fmt.Fprintf(&b, "%d.%04d,%d.125,%d.%03d\n", i%40, i%9973, i/40_000, i%3, i%997)
	}
	name := filepath.Join(t.TempDir(), "scan.csv")
	for _, end := range []string{"", "1.5,2.5,1.5 m\n", "1.5,2.5,x\n"} {
		b.WriteString(end)
		if err := os.WriteFile(name, b.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
		o := survey.Options{Unit: unit.Metre, Order: "XYZ"}
		want, wantErr := text.Read(bytes.NewReader(b.Bytes()), name, o)
		got, err := Open(name, o)
		if fmt.Sprint(err) != fmt.Sprint(wantErr) {
			t.Fatalf("%q: %v, want %v", end, err, wantErr)
		}
		if err != nil {
			continue
		}
		if len(got.Points) != len(want.Points) || fmt.Sprint(got.Notes) != fmt.Sprint(want.Notes) || got.Rows != want.Rows {
			t.Fatalf("%q: %d points, want %d: %v, want %v", end, len(got.Points), len(want.Points), got.Notes, want.Notes)
		}
		for i, p := range got.Points {
			if !p.Equal(want.Points[i]) {
				t.Fatalf("%q: point %d: %v, want %v", end, i, p, want.Points[i])
			}
		}
	}
}
