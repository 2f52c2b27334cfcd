package report

import (
	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// FallsGrid is what each drain of the target serves, nil without any.
func (s *Summary) FallsGrid() *Grid {
	if s.Falls == nil {
		return nil
	}
	g := gridOf(fallsTable(s.Filled, s.Style))
	return &g
}

// fallsTable is what each drain of the target serves, and how high the walls are above it.
func fallsTable(w *job.Filled, u unit.Style) table.Table {
	m := measuresOf(u)
	t := table.Table{Title: "Falls to drains", Columns: []table.Column{{Name: "Drain"}, {Name: "Fill there", Right: true}, numbers("Serves", m.areaName, m.areaDigits()), {Name: "Longest way", Right: true},
		{Name: "Least fall", Right: true}, {Name: "At"}, {Name: "Highest at a wall", Right: true}, {Name: "There"}}}
	for _, d := range w.Falls.Served {
		t.Rows = append(t.Rows, []table.Cell{table.Text(Printable(d.Name)), table.Text(u.LevelDown(d.Z + w.RaisedBy)), m.areaCell(d.Area), table.Text(u.Length(d.Farthest)),
			table.Text(percentFall(d.LeastFall)), table.Text(job.Beside(w.Floor, d.LeastAt).In(u)), table.Text(u.LevelDown(d.Highest.Z + w.RaisedBy)), table.Text(job.Beside(w.Floor, d.Highest.At).In(u))})
	}
	high, low := u.LevelDown(w.Falls.Highest.Z+w.RaisedBy), u.LevelDown(w.Falls.Lowest.Z+w.RaisedBy)
	t.Notes = []string{"The walls are level, at " + high + "."}
	if high != low {
		t.Notes = []string{"The fill is not level along the walls: from " + low + " at " + job.Beside(w.Floor, w.Falls.Lowest.At).In(u) + " to " + high + " at " + job.Beside(w.Floor, w.Falls.Highest.At).In(u) + "."}
	}
	return t
}
