// Package check compares the results of readers with those that tests want.
package check

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"pourplane/survey"
)

// Errors checks that err contains each text, or is nil if there is none.
func Errors(t *testing.T, err error, want []string) {
	t.Helper()
	if len(want) == 0 {
		if err != nil {
			t.Fatal(err)
		}
		return
	}
	if err == nil {
		t.Fatalf("no error, want %q", want)
	}
	var e *survey.Error
	if !errors.As(err, &e) {
		t.Errorf("%T, want an *Error in it", err)
	}
	for _, w := range want {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("error\n%v\nwant it to say %s", err, w)
		}
	}
}

// Nearly reports whether a equals b apart from rounding in a sum or difference of
// lengths.
func Nearly(a, b float64) bool {
	return a == b || math.Abs(a-b) <= 1e-12*max(1, math.Abs(a)) || math.IsNaN(a) && math.IsNaN(b)
}

// Points compares points except for their places in the file, which each must have.
func Points(t *testing.T, got, want []survey.Point) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d points, want %d: %v", len(got), len(want), got)
	}
	for i, w := range want {
		g := got[i]
		if g.Name() != w.Name() || !Nearly(g.X, w.X) || !Nearly(g.Y, w.Y) || !Nearly(g.Z, w.Z) {
			t.Errorf("point %d: got %q %.9g %.9g %.9g, want %q %.9g %.9g %.9g", i, g.Name(), g.X, g.Y, g.Z, w.Name(), w.X, w.Y, w.Z)
		}
		if g.At().Line == 0 || g.At().File == "" {
			t.Errorf("point %d is at %v", i, g.At())
		}
	}
}

// Notes checks that each text occurs in the notes, each with its kind in front.
func Notes(t *testing.T, notes []survey.Note, want []string) {
	t.Helper()
	var all []string
	for _, n := range notes {
		all = append(all, n.Kind.String()+": "+n.Text.String())
	}
	text := strings.Join(all, "\n")
	for _, w := range want {
		if !strings.Contains(text, w) {
			t.Errorf("notes\n%s\nwant %q", text, w)
		}
	}
}

// AllNotes returns the notes of a survey, one per line.
func AllNotes(s *survey.Survey) string {
	var b strings.Builder
	for _, n := range s.Notes {
		b.WriteString(n.String() + "\n")
	}
	return b.String()
}

// Finite reports whether v is neither NaN nor infinite.
func Finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Positions returns the places in the errors of err.
func Positions(err error) []survey.Pos {
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		var out []survey.Pos
		for _, e := range many.Unwrap() {
			out = append(out, Positions(e)...)
		}
		return out
	}
	var e *survey.Error
	if errors.As(err, &e) {
		return []survey.Pos{e.Pos}
	}
	return nil
}

// Inside returns a function that reports whether a position is inside body or just after
// a line.
func Inside(body []byte) func(survey.Pos) bool {
	lines := bytes.Split(body, []byte("\n"))
	return func(p survey.Pos) bool {
		switch {
		case p.Line == 0:
			return p.Col == 0
		case p.Line < 0 || p.Line > len(lines):
			return false
		}
		return p.Col >= 0 && p.Col <= len(lines[p.Line-1])+1
	}
}

// Find returns the point of that name. The test fails if there is none.
func Find(t *testing.T, pts []survey.Point, name string) survey.Point {
	t.Helper()
	for _, p := range pts {
		if p.Name() == name {
			return p
		}
	}
	t.Fatalf("no point %s", name)
	return survey.Point{}
}
