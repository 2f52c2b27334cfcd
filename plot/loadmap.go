package plot

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// LoadMap is the dead load that the fill adds, in plan: depth times unit weight at each
// place. Where the floor is above the target nothing is poured and the load is zero.
type LoadMap struct {
	Title   string
	Summary string // the main numbers, one line in bold
	Note    string

	Floor      *surface.Floor
	Target     surface.Target
	UnitWeight float64   // of the fill, kg/m³
	Heaviest   bool      // UnitWeight is that of the heaviest of several materials: no mean load is written
	Levels     []float64 // limits of the bands, kg/m²; nil: [LoadLevels]
	Units      unit.Style
}

// Draw draws the map onto c. It refuses a unit weight that is not positive.
func (m *LoadMap) Draw(c draw.Canvas) error {
	if !m.weighs() {
		return &survey.Error{Element: "unit weight", Found: strconv.FormatFloat(m.UnitWeight, 'g', -1, 64), Want: "a weight in kg/m³ above 0"}
	}
	if !drawable(m.Floor) {
		return ErrNoFloor
	}
	return m.depths().Draw(c)
}

// Height returns the height at which the floor has the full width.
func (m *LoadMap) Height(width vg.Length) vg.Length { return m.depths().Height(width) }

func (m *LoadMap) heading() string { return header{title: m.Title}.heading() }

func (m *LoadMap) weighs() bool { return m.UnitWeight > 0 && !math.IsInf(m.UnitWeight, 0) }

// depths returns m as a map of depths with labels in load: bands of load are bands of depth.
func (m *LoadMap) depths() *DepthMap {
	d := &DepthMap{Title: m.Title, Summary: m.Summary, Note: m.Note, Floor: m.Floor, Target: m.Target, Units: m.Units}
	if !drawable(m.Floor) || !m.weighs() {
		return d
	}
	d.unitWeight, d.heaviest = m.UnitWeight, m.Heaviest
	levels := m.Levels
	if levels == nil {
		least, greatest := m.Floor.Depths(m.Target)
		levels = LoadLevels(max(least, 0)*m.UnitWeight, max(greatest, 0)*m.UnitWeight, m.Units)
	}
	for _, l := range levels {
		d.Levels = append(d.Levels, l/m.UnitWeight)
	}
	return d
}

// LoadLevels returns the limits of bands of load, kg/m², as [Levels] does for depths:
// multiples of 1, 2, 5, 10 … kg/m² or lb/ft².
func LoadLevels(least, greatest float64, u unit.Style) []float64 {
	size := loadSize(u)
	out := surface.Ladder(least/size, greatest/size, 1, 1, []float64{2, 2.5, 2}, math.Round)
	for i := range out {
		out[i] *= size
	}
	return out
}

// loadSize returns the unit of loads in kg/m².
func loadSize(u unit.Style) float64 {
	if u.Imperial {
		const pound = 0.45359237 // kg, exactly: Federal Register 24 FR 5348, 1959
		return pound / (foot * foot)
	}
	return 1
}

func loadUnit(u unit.Style) string {
	if u.Imperial {
		return "lb/ft²"
	}
	return "kg/m²"
}

// bareLoad writes a load in kg/m² without its unit.
func bareLoad(load float64, u unit.Style) string {
	return strings.TrimSuffix(strings.TrimSuffix(u.Load(max(load, 0)), " "+loadUnit(u)), ".0")
}

// bothLoads writes a load in the unit of u and in kilopascals.
func bothLoads(load float64, u unit.Style) string {
	return fmt.Sprintf("%s (%.2f kPa)", u.Load(load), order.Kilopascals(load))
}

func loadCaption(u unit.Style) string {
	n := 100.0
	if u.Imperial {
		n = 10
	}
	return fmt.Sprintf("Added dead load, %s (%g %s = %.2f kPa)", loadUnit(u), n, loadUnit(u), order.Kilopascals(n*loadSize(u)))
}

func (s *sheet) loadExtremes() []extreme {
	f := &s.fill
	greatest := extreme{f.GreatestAt, "max " + bothLoads(f.Greatest*s.unitWeight, s.Units)}
	switch {
	case f.Greatest <= 0:
		return []extreme{{f.GreatestAt, "no load"}}
	case f.Least < 0:
		return []extreme{greatest}
	case f.Greatest-f.Least < s.Units.Step()/2:
		greatest.text = bothLoads(f.Greatest*s.unitWeight, s.Units) + " all over"
		return []extreme{greatest}
	}
	return []extreme{greatest, {f.LeastAt, "min " + s.Units.Load(f.Least*s.unitWeight)}}
}

// loadEntries gives mean and max load, and who must check them.
func (s *sheet) loadEntries() []entry {
	if s.fill.FillArea == 0 {
		return nil
	}
	loads := "max " + bothLoads(s.fill.Greatest*s.unitWeight, s.Units)
	if !s.heaviest {
		loads = fmt.Sprintf("mean %s over the area poured, %s", bothLoads(s.fill.Fill/s.fill.FillArea*s.unitWeight, s.Units), loads)
	}
	return []entry{
		{nil, loads},
		{nil, "fill taken at " + density(s.unitWeight, s.Units) + "; wet it weighs a little more"},
		{nil, "Suspended, framed or settled floor: a licensed engineer first"},
	}
}

// density writes a unit weight given in kg/m³.
func density(kgm3 float64, u unit.Style) string {
	if u.Imperial {
		return fmt.Sprintf("%.4g lb/ft³", kgm3*foot/loadSize(u))
	}
	return grouped(kgm3) + " kg/m³"
}
