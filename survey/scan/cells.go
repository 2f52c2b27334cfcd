package scan

import (
	"fmt"
	"io"

	"pourplane/survey"
	"pourplane/survey/internal/input"
	"pourplane/survey/internal/thin"
	"pourplane/survey/unit"
)

// ReadCells reads the squares of a thinned scan, as [pourplane/survey/file.WriteCells] writes
// them. They have their unit, and the size and rule of their squares; options that ask for
// others are refused. Nothing is kept of a file that is cut or damaged.
//
// Errors are [*survey.Error], without a line.
func ReadCells(r io.Reader, name string, o survey.Options) (*survey.Survey, error) {
	if err := thin.Check(o.Thin); err != nil {
		return nil, err
	}
	grid, head, err := thin.ReadCells(input.Watch(r, o.Progress), name)
	if err != nil {
		return nil, err
	}
	at := survey.Pos{File: name}
	if asked := o.Thin; asked.Cell > 0 && (thin.Nanometres(asked.Cell) != grid.Side() || asked.Keep != grid.Keep) {
		return nil, (&survey.Error{Pos: at, Found: grid.Squared(), Want: thin.New(asked, "").Squared() + ", as asked"}).
			Hinted("%s and %s", unit.Ask("thin", grid.SideText()), unit.Ask("thin-keep", grid.Keep.String()))
	}
	if u := o.Unit; u != unit.None && u != head.Plan && u != head.Unit {
		return nil, (&survey.Error{Pos: at, Found: fmt.Sprintf("cells of a scan in %s", head.Unit), Want: u.String() + ", the unit asked for"}).Hinted("%s", unit.LeaveOut("units"))
	}
	s := &survey.Survey{Name: name, Format: "cells", Order: "E N Z", Plan: head.Plan, Unit: head.Unit, Rows: head.Rows, Notes: head.Notes}
	grid.Into(s, o.Cells)
	grid.Lost = head.Lost
	if head.Lost > 0 {
		n := survey.Notef(survey.Assumed, at, "%s of the scans in it were left out when they were read, and listed then", survey.Plural(head.Lost, "row"))
		n.Step = thin.StepLost
		s.Notes = append(s.Notes, n)
	}
	return s, nil
}
