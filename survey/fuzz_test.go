package survey

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"pourplane/survey/unit"
)

// FuzzReadText asks that no text makes the reader panic, that every position it
// names lies inside the file, and that what it returns is finite and accounted
// for.
func FuzzReadText(f *testing.F) {
	for _, dir := range []string{samples, "../testdata/demo"} {
		files, err := os.ReadDir(dir)
		if err != nil {
			f.Fatal(err)
		}
		for _, e := range files {
			if ext := filepath.Ext(e.Name()); ext == ".md" || e.Name()[0] == '.' {
				continue
			}
			b, err := os.ReadFile(filepath.Join(dir, e.Name()))
			if err != nil {
				f.Fatal(err)
			}
			f.Add(b, byte(1), "")
			f.Add(b, byte(4), "PNEZD")
		}
	}
	f.Add([]byte("P;E;N;Z\n\"1\n2;3;4;5\"\n"), byte(3), "XYZ")
	f.Add([]byte("x,y,ring\n0,0,hole\n"), byte(1), "XY")
	f.Fuzz(func(t *testing.T, b []byte, u byte, order string) {
		if len(b) > 1<<16 || len(order) > 20 {
			t.Skip()
		}
		o := Options{Unit: unit.Length(u % 7), Order: order}
		for _, outline := range []bool{false, true} {
			whole, decodeErr := decode("f", bytes.Clone(b))
			s, err := readText(bytes.Clone(b), "f", o, outline)
			if (s == nil) == (err == nil) {
				t.Fatalf("survey %v with error %v", s, err)
			}
			if decodeErr == nil {
				inside := insideOf(whole.body)
				for _, p := range positions(err) {
					if !inside(p) {
						t.Errorf("%v lies outside the file: %v", p, err)
					}
				}
				if s != nil {
					for _, n := range s.Notes {
						if !inside(n.Pos) {
							t.Errorf("%v lies outside the file: %v", n.Pos, n)
						}
					}
				}
			}
			if s == nil {
				continue
			}
			for _, p := range s.Points {
				if !finite(p.X) || !finite(p.Y) || !finite(p.Z) {
					t.Errorf("point %+v", p)
				}
			}
			for _, r := range s.Rings {
				for _, p := range r.Points {
					if !finite(p.X) || !finite(p.Y) || math.IsInf(p.Z, 0) {
						t.Errorf("corner %+v", p)
					}
				}
			}
			if used := len(s.Points) + len(s.LeftOut()); used > s.Rows {
				t.Errorf("%d points and rows left out of %d rows", used, s.Rows)
			}
		}
	})
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// positions returns the places that err names.
func positions(err error) []Pos {
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		var out []Pos
		for _, e := range many.Unwrap() {
			out = append(out, positions(e)...)
		}
		return out
	}
	var e *Error
	if errors.As(err, &e) {
		return []Pos{e.Pos}
	}
	return nil
}

// insideOf returns whether a position lies inside body or just after a line.
func insideOf(body []byte) func(Pos) bool {
	lines := bytes.Split(body, []byte("\n"))
	return func(p Pos) bool {
		switch {
		case p.Line == 0:
			return p.Col == 0
		case p.Line < 0 || p.Line > len(lines):
			return false
		}
		return p.Col >= 0 && p.Col <= len(lines[p.Line-1])+1
	}
}

func TestInsideOfRefusesPlacesOutside(t *testing.T) {
	inside := insideOf([]byte("ab\nc"))
	for _, p := range []Pos{{"", 3, 1}, {"", 1, 4}, {"", -1, 0}, {"", 2, 3}, {"", 0, 1}} {
		if inside(p) {
			t.Errorf("%v passes as inside", p)
		}
	}
	for _, p := range []Pos{{"", 0, 0}, {"", 1, 3}, {"", 2, 1}, {"", 2, 0}} {
		if !inside(p) {
			t.Errorf("%v passes as outside", p)
		}
	}
}
