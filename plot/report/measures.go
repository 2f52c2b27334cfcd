package report

import (
	"math"

	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey/unit"
)

// measures are the units of the numbers of a spreadsheet, each in SI, with their words, and
// how readers see them.
type measures struct {
	unit.Style
	volume, area, thin, long, mass                     float64
	volumeName, areaName, thinName, longName, massName string
	layer                                              string // thin × area ÷ layer is a volume
	bore                                               string // π/4 × (thin ÷ bore)² × long …
	line                                               string // … ÷ line is a volume
	each                                               string // volumes × each are in the volume of unit weights
	weightName                                         string
	weight                                             float64
	liquid                                             float64 // in L
	liquidName                                         string
}

func measuresOf(u unit.Style) measures {
	const (
		pound  = 0.45359237                            // kg
		gallon = 231 * 0.0254 * 0.0254 * 0.0254 * 1000 // L: US, of 231 in³
	)
	foot := unit.Foot.Metres()
	if u.Imperial {
		return measures{u, order.CubicYard, foot * foot, foot / 12, foot, pound, "yd³", "ft²", "in", "ft", "lb", "324", "12", "27", "27", "lb/ft³", pound / (foot * foot * foot), gallon, "gal"}
	}
	return measures{u, 1, 1, 0.001, 1, 1, "m³", "m²", "mm", "m", "kg", "1000", "1000", "1", "1", "kg/m³", 1, 1, "L"}
}

func (h *Handover) measures() measures { return measuresOf(h.Style) }

// areaDigits are the decimals of an area everywhere, as [unit.Style.Area] writes it.
func (m measures) areaDigits() int {
	if m.Imperial {
		return 1
	}
	return 2
}

// numbers is a column of numbers in a unit, with some decimals in a spreadsheet.
func numbers(name, unit string, decimals int) table.Column {
	return table.Column{Name: name, Unit: unit, Right: true, Decimals: decimals}
}

// Cells of quantities: numbers for programs, texts for readers.

// plusMinus is the ± of a depth: to 0.1 mm or 0.005 in.
func (m measures) plusMinus(v float64) table.Cell {
	step := 0.1
	if m.Imperial {
		step = 0.005
	}
	return table.Number(job.Rounded(v/m.thin, step))
}

func (m measures) depthCell(v float64) table.Cell {
	return table.Quantity(m.Depth(v), job.Rounded(v/m.thin, 1e-6))
}

func (m measures) areaCell(v float64) table.Cell { return table.Quantity(m.Area(v), v/m.area) }

func (m measures) volumeCell(v float64) table.Cell { return table.Quantity(m.Volume(v), v/m.volume) }

// volumesLike returns how volumes of one table or sentence are written: all in the unit of the
// largest of them, and one above zero never as zero.
func volumesLike(u unit.Style, all ...float64) func(v float64) string {
	return volumesOf(u, largestOf(all))
}

// handVolumesLike is [volumesLike] for what is mixed or chased by hand, and for water: in ft³ or
// litres up to 1 yd³ or 1 m³.
func handVolumesLike(u unit.Style, all ...float64) func(v float64) string {
	whole := largestOf(all)
	if m := measuresOf(u).volume; whole < 0.995*m {
		whole = min(whole, 0.099*m)
	}
	return volumesOf(u, whole)
}

func largestOf(all []float64) float64 {
	whole := 0.0
	for _, v := range all {
		whole = max(whole, math.Abs(v))
	}
	return whole
}

func volumesOf(u unit.Style, whole float64) func(v float64) string {
	return func(v float64) string {
		text := u.PartVolume(v, whole)
		if v > 0 {
			return notZero(text)
		}
		return text
	}
}

func (m measures) massCell(v float64) table.Cell { return table.Quantity(m.Mass(v), v/m.mass) }

func (m measures) weightCell(v float64) table.Cell {
	return table.Quantity(m.UnitWeight(v), v/m.weight)
}
