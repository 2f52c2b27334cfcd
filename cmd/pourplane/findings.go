package main

import (
	"cmp"
	"errors"
	"fmt"
	"math"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// finding is a reading that looks wrong.
type finding struct {
	File  string  `json:"file"`
	Line  int     `json:"line"`
	Point string  `json:"point"`
	Kind  string  `json:"kind"`
	Off   float64 `json:"off_m"`

	at survey.Point
}

// findings returns the readings that look wrong.
func findings(_ *survey.Survey, floor *surface.Floor) []finding {
	var out []finding
	for _, u := range floor.Suspects {
		out = append(out, finding{u.Shot.At.File, u.Shot.At.Line, u.Shot.Name, "does not fit", u.Off, u.Shot})
	}
	return out
}

// text says what was found in one line.
func (f finding) text(style unit.Style) string {
	how := "above"
	if f.Off < 0 {
		how = "below"
	}
	return fmt.Sprintf("%s: %s stands %s %s what its neighbours lead one to expect", f.at.At, cmp.Or(f.Point, "the shot"), style.Depth(math.Abs(f.Off)), how)
}

func noSuspects(shots int) string {
	if shots == 0 {
		return "not looked for: the file holds a surface, no shots"
	}
	return "none"
}

func asUsage(err error, to **usageError) bool { return errors.As(err, to) }
