package report

import (
	"math"
	"slices"

	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/surface/setout"
	"pourplane/survey/unit"
)

// sureBandTable is bandTable with how far area and volume are known, where that is measured.
func sureBandTable(w *job.Filled, u unit.Style) table.Table {
	m, bands := measuresOf(u), w.BandsIn(u.Imperial)
	t, s := bandTable(bands, u), w.Sure()
	if s == nil || !s.Known || byVolume(w) {
		return t
	}
	write := volumesLike(u, w.Fill.Fill)
	bands = shownBands(bands, u)
	area, volume := numbers("± area", m.areaName, m.areaDigits()), numbers("± volume", m.volumeName, 3)
	area.Under, volume.Under = "± %s", ", %s" // six columns are too wide for a phone
	t.Columns = append(slices.Insert(t.Columns, 3, area), volume)
	lacks := false
	for i, of := range s.Bands(bands) {
		area, volume := table.Text("—"), table.Text("—")
		if math.IsNaN(of.Area.Within) {
			lacks = true
		} else {
			area, volume = m.areaCell(of.Area.Within), table.Quantity(write(of.Volume.Within), of.Volume.Within/m.volume)
			area.Text = notZero(area.Text)
		}
		t.Rows[i] = append(slices.Insert(t.Rows[i], 3, area), volume)
	}
	t.Notes = append(t.Notes, "A ± holds about 8 times in 10. These do not add up: what one band loses another gains.")
	if lacks {
		t.Notes = append(t.Notes, "— : ± not measured above the target, nor in the band next to it.")
	}
	return t
}

// regionShares are the areas, m², and the fills, m³, of several regions as shown: they add up, as in the
// list of bays, which may be the same rooms.
func regionShares(w *job.Filled, u unit.Style) (areas, volumes []float64) {
	m := measuresOf(u)
	for _, r := range w.Fill.Regions {
		areas, volumes = append(areas, r.Area/m.area), append(volumes, r.Fill/m.volume)
	}
	if shown, err := setout.Apportion(w.Fill.Area/m.area, areas, m.areaDigits()); err == nil {
		areas = shown
	}
	if shown, err := setout.Apportion(w.Fill.Fill/m.volume, volumes, 2); err == nil {
		volumes = shown
	}
	for i := range areas {
		areas[i], volumes[i] = areas[i]*m.area, volumes[i]*m.volume
	}
	return areas, volumes
}

// regionDoubts is what the fill of each of several regions is within, 9 times in 10, m³; not a number
// where that is not measured, or where the height is what is unsure.
func regionDoubts(w *job.Filled) []float64 {
	s := w.Sure()
	out := make([]float64, len(w.Fill.Regions))
	for i := range out {
		out[i] = math.NaN()
		if s != nil && s.Known && !byVolume(w) {
			out[i] = halfOf(s.Regions()[i])
		}
	}
	return out
}

// regionTable is the fill of each of several regions.
func regionTable(w *job.Filled, u unit.Style) table.Table {
	m := measuresOf(u)
	t := table.Table{Title: "Regions", Columns: []table.Column{{Name: "Region"}, numbers("Area", m.areaName, m.areaDigits()), numbers("Fill", m.volumeName, 3)}}
	if len(w.Fill.Regions) < 2 {
		return t
	}
	areas, volumes := regionShares(w, u)
	for i, half := range regionDoubts(w) {
		row := []table.Cell{table.Text(Printable(w.Floor.Regions[i].Name)), table.Quantity(u.Area(areas[i]), w.Fill.Regions[i].Area/m.area), table.Quantity(u.PartVolume(volumes[i], w.Fill.Fill), w.Fill.Regions[i].Fill/m.volume)}
		if !math.IsNaN(half) {
			row = append(row, table.Quantity(notZero(partOf(w.Sure(), half, w.Fill.Fill, u)), half/m.volume))
		}
		t.Rows = append(t.Rows, row)
	}
	if len(t.Rows[0]) > len(t.Columns) {
		t.Columns = append(t.Columns, numbers("± fill", m.volumeName, 3))
		t.Notes = []string{"A ± holds 9 times in 10. The error of a set-up moves all of its regions alike."}
	}
	return t
}
