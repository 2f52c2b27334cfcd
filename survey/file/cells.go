package file

import (
	"fmt"
	"io"

	"pourplane/survey"
	"pourplane/survey/internal/thin"
	"pourplane/survey/unit"
)

// joined joins the squares of thinned files, one after the other: memory grows with the
// squares, not with the files.
type joined struct {
	grid  *thin.Grid
	of    *survey.Survey // the first that has squares; it gets the points of all
	asked bool           // they are to be written
	more  bool           // points of others were joined
	bare  *survey.Survey // the first that has floor points and no squares
}

// take takes the squares of a survey; nil has none yet. thinned is whether files are to be
// thinned.
func (j *joined) take(s *survey.Survey, thinned bool) error {
	if s == nil {
		return nil
	}
	grid, ok := s.Cells.(*thin.Grid)
	switch {
	case !ok && j.asked:
		e := (&survey.Error{Usage: true, Pos: survey.Pos{File: s.Name}, Found: fmt.Sprintf("%d points that are not thinned", len(s.Points))}).Wanted("for %s a scan that is thinned, or cells", unit.Ask("cells", ""))
		if thinned {
			return e.Hinted("%s", unit.LeaveOut("cells"))
		}
		return e.Hinted("%s", unit.Ask("thin", "25mm"))
	case !ok:
		if len(s.Points) > 0 && j.bare == nil {
			j.bare = s
		}
	case j.grid == nil:
		j.grid, j.of = grid, s
	case grid.Side() != j.grid.Side() || grid.Keep != j.grid.Keep:
		return &survey.Error{Pos: survey.Pos{File: s.Name}, Found: grid.Squared(), Want: j.grid.Squared() + ", as " + j.of.Name + " has: files are thinned alike to be joined"}
	case j.grid.Shares(grid):
		return &survey.Error{Pos: survey.Pos{File: s.Name}, Found: "cells that are in an earlier file too", Want: "each part once: its points would count twice"}
	default:
		j.grid.Merge(grid)
		j.more = true
		s.Cells, s.Points, s.Notes = nil, nil, survey.Without(s.Notes, thin.Step)
	}
	return nil
}

// finish makes the points of the squares of all files.
func (j *joined) finish() error {
	if j.grid == nil {
		return nil
	}
	if j.bare != nil {
		return (&survey.Error{Pos: survey.Pos{File: j.bare.Name}, Found: fmt.Sprintf("%d points that are not thinned, beside the cells of %s", len(j.bare.Points), j.of.Name), Want: "points that are thinned alike"}).
			Hinted("%s and %s", unit.Ask("thin", j.grid.SideText()), unit.Ask("thin-keep", j.grid.Keep.String()))
	}
	if j.more {
		j.grid.Into(j.of, true)
	}
	return nil
}

// WriteCells writes the cells of a survey that was read with o.Cells, so that they can be
// read in place of the files. It refuses a survey with anything besides the points of a
// floor.
func WriteCells(w io.Writer, s *survey.Survey) error {
	grid, ok := s.Cells.(*thin.Grid)
	for _, other := range []struct {
		n    int
		what string
	}{{len(s.Finished), "point of finished floor"}, {len(s.Control), "benchmark or check"}, {len(s.Heights) + len(s.Levels), "level without a place"}, {len(s.Places), "place without a level"},
		{len(s.Rings) + len(s.Outlines), "outline"}, {len(s.Breaklines), "breakline"}, {len(s.Surfaces), "surface"}, {len(s.Runs), "run"}} {
		if other.n > 0 {
			return &survey.Error{Pos: survey.Pos{File: s.Name}, Found: survey.Plural(other.n, other.what) + " beside the points", Want: "a scan of a floor and nothing else: cells would lose it"}
		}
	}
	if !ok || s.Relative || s.Book != nil {
		return &survey.Error{Pos: survey.Pos{File: s.Name}, Found: "elevations that other readings may still move", Want: "a scan of a floor: cells keep its points as they are"}
	}
	return grid.Write(w, thin.HeadOf(s, grid))
}
