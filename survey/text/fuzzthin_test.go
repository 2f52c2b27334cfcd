package text

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// FuzzThinXYZ checks that text read row by row gives the same points and the same
// refusals as text read whole, that positions are inside the file, and that each row is a
// point of a square or has a note.
func FuzzThinXYZ(f *testing.F) {
	check.Seeds(f, "xyz", func(b []byte) { f.Add(b, byte(1), "", byte(1), byte(0)) })
	for _, name := range []string{"06-xyz-three-columns.xyz", "120-xyz-intensity.xyz", "121-xyzrgb.txt", "122-count-line.pts", "61-sentinels.csv", "62-zero-for-missing.csv", "22-unit-suffix.csv", "56-ragged.csv", "80-comments-blanks.csv"} {
		b, err := os.ReadFile(filepath.Join(samples, name))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b, byte(1), "XYZ", byte(1), byte(0))
	}
	f.Add([]byte("x;y;z\n1;2;3\n4;5,5;6\n;;;\n---\n# 1 2\n7;8;-9999\n7;8;0\n"), byte(4), "", byte(2), byte(1))
	f.Add([]byte("1\t2\t3\n4 5 6\r\n\r7 8 9\n\x1a"), byte(6), "ENZ", byte(0), byte(2))
	f.Fuzz(func(t *testing.T, b []byte, u byte, order string, cell, keep byte) {
		if len(b) > 1<<15 || len(order) > 20 || bytes.IndexByte(b, 0x1a) >= 0 {
			t.Skip() // text after the end-of-file byte is refused when it streams
		}
		o := survey.Options{Unit: unit.Length(u % 7), Order: order, Thin: check.Thinning(cell, keep)}
		whole, wholeErr := readText(bytes.Clone(b), "f", o, false)
		s, err := Read(bytes.NewReader(b), "f", o)
		if (err == nil) != (wholeErr == nil) {
			t.Fatalf("streamed: %v\nin one piece: %v", err, wholeErr)
		}
		if text, decodeErr := decode("f", bytes.Clone(b)); decodeErr == nil {
			inside := check.Inside(text.body)
			for _, p := range check.Positions(err) {
				if !inside(p) {
					t.Errorf("%v is outside the file: %v", p, err)
				}
			}
			if s != nil {
				for _, n := range s.Notes {
					if !inside(n.Pos) {
						t.Errorf("%v is outside the file: %v", n.Pos, n)
					}
				}
			}
		}
		if err != nil {
			return
		}
		if !slices.EqualFunc(s.Points, whole.Points, survey.Point.Equal) || s.Rows != whole.Rows || s.Unit != whole.Unit || s.Plan != whole.Plan {
			t.Errorf("streamed: %d rows, %v\nin one piece: %d rows, %v", s.Rows, s.Points, whole.Rows, whole.Points)
		}
		thinned := 0
		for _, n := range s.Notes {
			if n.Kind == survey.Assumed && strings.Contains(n.Text.String(), " points thinned to ") {
				if _, err := fmt.Sscan(n.Text.String(), &thinned); err != nil {
					t.Fatal(err)
				}
			}
		}
		if len(s.Rings) == 0 && len(s.Breaklines) == 0 && len(s.Finished) == 0 && len(s.Control) == 0 && s.Book == nil && s.Points != nil {
			if left := len(s.LeftOut()); thinned+left > s.Rows || len(s.Points) > thinned {
				t.Errorf("%d thinned to %d and %d left out of %d rows", thinned, len(s.Points), left, s.Rows)
			}
		}
		for _, p := range s.Points {
			if !check.Finite(p.X) || !check.Finite(p.Y) || !check.Finite(p.Z) {
				t.Errorf("point %+v", p)
			}
		}
	})
}

func BenchmarkThinXYZ(b *testing.B) {
	var text bytes.Buffer
	check.Shots(1_000_000, func(i int, x, y, z float64) {
		fmt.Fprintf(&text, "%.4f %.4f %.4f %d\n", x, y, z, i%256)
	})
	data := text.Bytes()
	check.Bench(b, data, true, func(o survey.Options) (*survey.Survey, error) { return Read(bytes.NewReader(data), "f", o) })
}
