package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey/unit"
)

// text makes cells of texts.
func text(cells ...string) []table.Cell {
	out := make([]table.Cell, len(cells))
	for i, c := range cells {
		out[i] = table.Text(Printable(c))
	}
	return out
}

// columns are heads; one that ends in > is right-aligned.
func columns(heads ...string) []table.Column {
	out := make([]table.Column, len(heads))
	for i, head := range heads {
		name, right := strings.CutSuffix(head, ">")
		out[i] = table.Column{Name: name, Right: right}
	}
	return out
}

// plain are the lines of a table among the text of a terminal.
func plain(t table.Table) string {
	return strings.Join(table.Plain(t, 2), "\n") + "\n"
}

// bandTable is the floor by depth.
func bandTable(bands []surface.Band, u unit.Style) table.Table {
	m := measuresOf(u)
	t := table.Table{Title: "Depth bands", Columns: []table.Column{numbers("Depth from", m.thinName, 2), numbers("To", m.thinName, 2), numbers("Area", m.areaName, m.areaDigits()), numbers("Volume", m.volumeName, 3)}}
	var volumes []float64
	total := 0.0
	for _, b := range bands {
		total += max(b.Volume, 0)
		volumes = append(volumes, b.Volume)
	}
	write := volumesLike(u, append(volumes, total)...) // as the fill
	for _, b := range shownBands(bands, u) {
		if b.From < 0 {
			t.Notes = []string{"Negative depths and volumes are above the target."}
		}
		to := b.To
		if b.Area > 0 && math.Abs(b.Volume/b.Area-b.From) < unit.Noise {
			to = b.From // all of it is as deep as that
		}
		t.Rows = append(t.Rows, []table.Cell{m.depthCell(b.From), m.depthCell(to), m.areaCell(b.Area), table.Quantity(write(b.Volume), b.Volume/m.volume)})
	}
	return t
}

// thresholdTable is what the target leaves at each threshold, or a floor as surveyed.
func thresholdTable(w *job.Filled, u unit.Style) table.Table {
	top, level := "Top of fill>", u.LevelDown
	if w.Surveyed {
		top, level = "Floor there>", u.Level
	}
	t := table.Table{Columns: columns("Threshold", "Finished>", top, "Covering + bed>")}
	t.Notes = []string{"Covering + bed: room for both, up to the finished floor beside it."}
	if !w.Surveyed {
		t.Notes = append(t.Notes, "Top of fill is rounded down, never up; the other figures are to the nearest step.")
	}
	if w.Covering.Thickness > 0 {
		t.Notes = append(t.Notes, "Bed if flush: thickness of the bed under the covering of "+u.Depth(w.Covering.Thickness)+" to finish flush with that floor.")
		t.Columns = append(t.Columns, columns("Bed if flush>")...)
		if w.Covering.Greatest == 0 {
			t.Notes = append(t.Notes, noBedLimits)
		}
	}
	if w.Covered {
		t.Columns = append(t.Columns, table.Column{Name: "Change of level", Under: "%s"}) // long: on a phone it would make the rows tall
	}
	if w.Finish != nil {
		t.Columns = append(t.Columns, columns("Above finish plane>")...)
		t.Notes = append(t.Notes, "Above finish plane: how far a threshold is above the finished floor that the target is set from; 0 is flush with it.")
	}
	remarks := slices.ContainsFunc(w.Thresholds, func(d surface.Threshold) bool { return remarkOn(w.Survey, d.Point) != "" })
	if remarks {
		t.Columns = append(t.Columns, table.Column{Name: inSurvey, Under: "%s"})
	}
	for i := range w.Thresholds {
		d := &w.Thresholds[i]
		row := []string{strings.TrimSpace(d.Point.Name() + " " + d.Point.Code()), u.Level(d.Point.Z), level(d.Top), u.Depth(d.Room)}
		if w.Covering.Thickness > 0 {
			row = append(row, bedText(d.Bed, w.Covering, u))
		}
		if w.Covered {
			row = append(row, changeText(d.Change, u))
		}
		switch {
		case w.Finish == nil:
		case !w.SetBy(d.Point):
			row = append(row, "—")
		default:
			row = append(row, u.Depth(d.Point.Z-w.Finish.Elevation(surface.Vec{X: d.Point.X, Y: d.Point.Y})))
		}
		if remarks {
			row = append(row, remarkOn(w.Survey, d.Point))
		}
		t.Rows = append(t.Rows, text(row...))
	}
	return t
}

// noBedLimits says why a bed is not checked. A record is read without the job, so no key is named.
const noBedLimits = "No least and greatest thickness of the bed is given, so it is not checked."

// inSurvey heads what the survey says of a threshold.
const inSurvey = "In the survey"

// terminalThresholds is thresholdTable without what the survey says of each: its lines would
// be too long for a terminal.
func terminalThresholds(w *job.Filled, u unit.Style) table.Table {
	t := thresholdTable(w, u)
	var names []string
	for _, c := range t.Columns {
		if c.Name != inSurvey {
			names = append(names, c.Name)
		}
	}
	return t.Pick(names...)
}

// bedText is the bed that makes a covering flush, with the limit that it passes.
func bedText(bed float64, c surface.Covering, u unit.Style) string {
	switch {
	case c.Greatest > 0 && bed < c.Least:
		return u.Depth(bed) + ", min " + u.Depth(c.Least)
	case c.Greatest > 0 && bed > c.Greatest:
		return u.Depth(bed) + ", max " + u.Depth(c.Greatest)
	}
	return u.Depth(bed)
}

func changeText(change float64, u unit.Style) string {
	switch {
	case math.Abs(change) < u.Step()/2:
		return "flush"
	case change > 0:
		return u.Depth(change) + " up to the new floor"
	}
	return u.Depth(-change) + " down to the new floor"
}

// placesTable lists highs and lows with their places and what to do about them, to be ticked
// off.
func placesTable(j *job.Judged, u unit.Style) table.Table {
	t := table.Table{Title: "Highs to grind and lows to fill", Columns: columns("Place", "At", "From two walls", "From plane>", "Area>", "Volume>", "To do", "Done")}
	var volumes []float64
	for _, m := range j.Work.Spots {
		volumes = append(volumes, m.Volume)
	}
	write := handVolumesLike(u, volumes...)
	for i := range j.Work.Spots {
		m := &j.Work.Spots[i]
		t.Rows = append(t.Rows, append(text(markName(m), job.At(m.At).In(u), job.CellOf(j.Floor, m.At).In(u), sideOf(m.Off, u), u.Area(m.Area), write(m.Volume), taskOf(m)), table.Cell{Tick: true}))
	}
	return t
}

// runTable is the F-numbers run by run.
func runTable(w *flatness.Whole, u unit.Style) table.Table {
	t := table.Table{Columns: columns("Run", "Readings>", "Length>", "FF>", "FL>")}
	for _, sec := range w.Sections {
		for i := range sec.Lines {
			l := &sec.Lines[i]
			t.Rows = append(t.Rows, text(l.Run, fmt.Sprint(l.Readings()), u.Length(l.Length()), ranged(l.FF, noRange), ranged(l.FL, noRange)))
		}
	}
	return t
}

// firstRows are the lines of a table on a terminal, up to some rows; then it counts the others,
// which --json lists.
func firstRows(t table.Table, most int) string {
	n := len(t.Rows) - most
	if n <= 0 {
		return plain(t)
	}
	t.Rows = t.Rows[:most]
	return plain(t) + fmt.Sprintf("… and %d more; %s lists all\n", n, unit.Flag("json"))
}

// partTable lists which material serves which depths, and what it weighs.
func (h *Handover) partTable() table.Table {
	m := h.measures()
	t := table.Table{Title: "Materials by depth", Columns: []table.Column{numbers("From", m.thinName, 2), numbers("To", m.thinName, 2), {Name: "Material"}, numbers("Lifts", "", 0), numbers("Area", m.areaName, m.areaDigits()), numbers("Volume", m.volumeName, 3), numbers("Unit weight", m.weightName, 1), numbers("Mass", m.massName, 1)}}
	row := func(name string, b order.Band, area, volume float64, lifts table.Cell, weight float64) {
		t.Rows = append(t.Rows, []table.Cell{m.depthCell(b.From), m.depthCell(b.To), table.Text(name), lifts,
			table.Quantity(m.Area(area), b.Area/m.area), table.Quantity(m.Volume(volume), b.Volume/m.volume), m.weightCell(weight), m.massCell(b.Volume * weight)})
	}
	areas, volumes := h.partShares()
	for i, p := range h.Service.Parts {
		row(h.Service.Materials[p.Material].Name, p.Band, areas[i], volumes[i], table.Number(float64(p.Lifts)), h.Service.Use(p.Material).Weight)
	}
	areas, volumes = h.servedShares()
	for i, p := range h.Service.Problems {
		row("not served", p.Band, areas[len(h.Bought)+i], volumes[len(h.Bought)+i], table.Text(""), h.Service.Heaviest())
		t.Notes = append(t.Notes, "NOT SERVED: "+p.Text.In(h.Style)+" Instead: "+p.Instead(p.Ways).In(h.Style)+".")
	}
	return t
}
