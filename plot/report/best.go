package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/plot"
	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// bestText is what the plane of least cost costs, and what limits it, no more than most limits of
// those that cost the most; empty unless it is the target.
func bestText(b *job.Best, most int, u unit.Style) string {
	if b == nil {
		return ""
	}
	m := measuresOf(u)
	fill, cut := u.SmallVolume(b.Fill)+" of fill", "nothing ground off"
	if b.Cut > 0 {
		cut = u.SmallVolume(b.Cut) + " ground off"
	}
	if b.Priced {
		per := " per " + m.volumeName
		fill = amount(b, b.Cost, u) + ": " + fill + " at " + unit.Money(b.FillPrice*m.volume)
		if b.Cut > 0 {
			cut += " at " + unit.Money(b.Grind*m.volume) + per
		} else {
			fill += per
		}
	}
	text := fill + ", " + cut
	limits := slices.Clone(b.Limits)
	slices.SortStableFunc(limits, func(x, y job.Limit) int { return cmp.Compare(saved(&y, u), saved(&x, u)) })
	var held []string
	for _, l := range limits[:min(most, len(limits))] {
		held = append(held, l.Text.In(u)+savesText(b, &l, u))
	}
	if len(held) == 0 {
		return text + ". No limit is reached"
	}
	text += ". Limited by " + strings.Join(held, "; ")
	if more := len(limits) - len(held); more > 0 {
		text += fmt.Sprintf("; and %d more", more)
	}
	return text
}

// bestShort is what the plane of least cost takes.
func bestShort(b *job.Best, u unit.Style) string {
	text := fillAndCut(b.Fill, b.Cut, u)
	if b.Priced {
		text += ": " + amount(b, b.Cost, u)
	}
	return text
}

func fillAndCut(fill, cut float64, u unit.Style) string {
	return fmt.Sprintf("%s of fill, %s ground off", u.SmallVolume(fill), u.SmallVolume(cut))
}

// ratioHead is a price of grinding at the head of a row.
func ratioHead(ratio float64) string {
	if math.IsInf(ratio, 1) {
		return "no grinding"
	}
	return fmt.Sprintf("%.3g × fill", ratio)
}

// amount is a cost in money, or in volume if there are no prices.
func amount(b *job.Best, v float64, u unit.Style) string {
	if b.Priced {
		return strings.TrimSpace(unit.Money(v) + " " + b.Currency)
	}
	return u.SmallVolume(v)
}

// saved is what a step of a rule, or 0.1 % of fall, more of a limit saves.
func saved(l *job.Limit, u unit.Style) float64 {
	if l.Fall {
		return 0.001 * l.Saves
	}
	return job.HeightStep(u.Imperial) * l.Saves
}

// savesText is what a limit costs. Each further step saves less, so the step itself may too.
func savesText(b *job.Best, l *job.Limit, u unit.Style) string {
	name := u.Depth(job.HeightStep(u.Imperial)) + " " + l.Loose
	if l.Fall {
		name = "0.1 % more fall"
	}
	if saves := saved(l, u); saves > 1e-6*b.Cost {
		return fmt.Sprintf(" (%s saves up to %s)", name, amount(b, saves, u))
	}
	return ""
}

// tradeTable is what is ground and filled as grinding gets dearer. It has no rows where nothing
// may be ground.
func tradeTable(b *job.Best, u unit.Style) table.Table {
	t := table.Table{Title: "Grinding against filling"}
	if b == nil {
		return t
	}
	points, err := b.Curve()
	if err != nil || len(points) == 0 {
		return t
	}
	m := measuresOf(u)
	t.Columns = []table.Column{{Name: "Grinding price"}, numbers("Ground off", m.volumeName, 3), numbers("Fill", m.volumeName, 3)}
	if b.Level {
		t.Columns = append(t.Columns, numbers("Target", u.Elevations().String(), 3))
	} else {
		t.Columns = append(t.Columns, numbers("Fall", "%", 2))
	}
	if b.Priced {
		t.Columns = append(t.Columns, table.Column{Name: "Cost", Unit: b.Currency, Right: true, Decimals: 2, Grouped: true})
	}
	var cuts []float64
	for _, p := range points {
		cuts = append(cuts, p.Cut)
	}
	write := handVolumesLike(u, cuts...)
	for _, p := range points {
		cut := table.Quantity("—", 0)
		if p.Cut > 0 {
			cut = table.Quantity(write(p.Cut), p.Cut/m.volume)
		}
		row := []table.Cell{table.Text(ratioHead(p.Ratio)), cut, m.volumeCell(p.Fill)}
		if b.Level {
			row = append(row, table.Quantity(u.ElevationDown(p.Plane.Z), p.Plane.Z/u.Elevations().Metres()))
		} else {
			row = append(row, table.Number(100*math.Hypot(p.Plane.SlopeX, p.Plane.SlopeY)))
		}
		if b.Priced {
			row = append(row, table.Number(p.Cost))
		}
		for i := range row {
			row[i].Bold = p.Here
		}
		t.Rows = append(t.Rows, row)
	}
	if b.Priced {
		t.Notes = append(t.Notes, "Cost: at the prices given. Each row is the plane of least cost if grinding a volume costs that much.")
	}
	return t
}

// Trade is what is ground and filled as grinding gets dearer, for a screen.
type Trade struct {
	Points []Traded `json:"points"` // from much ground to nothing
	Table  Grid     `json:"table"`
	Flat   bool     `json:"flat,omitempty"` // the limits leave hardly any choice
}

// Traded is a plane of least cost at a price of grinding.
type Traded struct {
	Head  string        `json:"head"`  // "4 × fill"
	Text  string        `json:"text"`  // what it takes
	Price string        `json:"price"` // as a value of the key
	Here  bool          `json:"here,omitempty"`
	Plane surface.Plane `json:"-"`
}

// Trade returns nil where nothing may be ground, or the target is no plane of least cost.
func (s *Summary) Trade() *Trade {
	t := tradeTable(s.Best, s.Style)
	if t.Rows == nil {
		return nil
	}
	out := &Trade{Table: gridOf(t)}
	points, err := s.Best.Curve()
	if err != nil {
		return nil // and has no rows
	}
	out.Flat = flat(points)
	for _, p := range points {
		text := fillAndCut(p.Fill, p.Cut, s.Style)
		if s.Best.Priced {
			text += ": " + amount(s.Best, p.Cost, s.Style) + " at the prices of the job"
		}
		out.Points = append(out.Points, Traded{Head: ratioHead(p.Ratio), Text: text, Price: job.TimesText(p.Ratio), Here: p.Here, Plane: p.Plane})
	}
	return out
}

// tradeSection is what more or less grinding would take.
func (h *Handover) tradeSection() sheet.Section {
	t := tradeTable(h.Best, h.Style)
	if t.Rows == nil {
		return sheet.Section{}
	}
	s := sheet.Section{Title: t.Title}
	t.Title = "" // as the section has one
	if m := tradeOff(h.Best, h.Style); m != nil {
		s.Pictures = []sheet.Picture{{Drawing: m, Caption: "Least fill for what is ground off"}}
	}
	s.Tables = []table.Table{t}
	return s
}

// tradeOff is the curve of grinding against filling; nil where grinding changes hardly anything.
func tradeOff(b *job.Best, u unit.Style) *plot.TradeOff {
	if b == nil {
		return nil
	}
	points, err := b.Curve()
	if err != nil || len(points) < 2 || flat(points) {
		return nil
	}
	m := &plot.TradeOff{Summary: bestShort(b, u), Ratio: b.Grind / b.FillPrice, Priced: b.Priced, Units: u}
	for _, p := range points {
		m.Points = append(m.Points, plot.Traded{Fill: p.Fill, Cut: p.Cut, Text: ratioText(p.Ratio), Here: p.Here})
	}
	return m
}

// flat reports whether grinding changes hardly anything along a curve.
func flat(points []job.Traded) bool {
	return !(points[0].Cut-points[len(points)-1].Cut > leastTrade*points[0].Fill)
}

// leastTrade is the least share of the fill by which grinding differs along a curve that is drawn.
// Own choice.
const leastTrade = 1e-3

// ratioText is a price of grinding beside a point of the curve.
func ratioText(ratio float64) string {
	if math.IsInf(ratio, 1) {
		return "no grinding"
	}
	return fmt.Sprintf("%.3g ×", ratio)
}

// bestJSON is the plane of least cost.
type bestJSON struct {
	Z          float64      `json:"z_m"` // at the middle of the floor
	SlopeX     float64      `json:"slope_x"`
	SlopeY     float64      `json:"slope_y"`
	Cost       float64      `json:"cost"` // in m³ without prices
	Priced     bool         `json:"priced"`
	FillPrice  float64      `json:"fill_price_per_m3"`
	GrindPrice *float64     `json:"grind_price_per_m3"` // null: nothing may be ground
	Fill       float64      `json:"fill_m3"`            // with what covers the ground parts
	Cut        float64      `json:"cut_m3"`
	Binding    []string     `json:"binding"`
	Limits     []limitJSON  `json:"limits"`
	LeastSaves float64      `json:"least_depth_saves_per_m"`
	Curve      []tradedJSON `json:"curve"`
}

// limitJSON is a limit that holds the plane.
type limitJSON struct {
	ID    string      `json:"id"`
	At    *[2]float64 `json:"at"`                // null: nowhere
	Saves float64     `json:"saves_per_m"`       // cost; 0 of a fall
	Fall  float64     `json:"saves_per_percent"` // cost, of a fall
}

// tradedJSON is the plane of least cost at another price of grinding.
type tradedJSON struct {
	Ratio  *float64 `json:"grind_price_ratio"` // to that of fill; null: nothing is ground
	Fill   float64  `json:"fill_m3"`
	Cut    float64  `json:"cut_m3"`
	Z      float64  `json:"z_m"`
	SlopeX float64  `json:"slope_x"`
	SlopeY float64  `json:"slope_y"`
	Cost   float64  `json:"cost"` // at the prices of the job
}

func bestOf(b *job.Best) *bestJSON {
	if b == nil {
		return nil
	}
	p := b.Plane
	out := &bestJSON{Z: p.Z, SlopeX: p.SlopeX, SlopeY: p.SlopeY, Cost: b.Cost, Priced: b.Priced, FillPrice: b.FillPrice, GrindPrice: finite(b.Grind), Fill: b.Fill, Cut: b.Cut,
		Binding: []string{}, Limits: []limitJSON{}, LeastSaves: b.Cover, Curve: []tradedJSON{}}
	for _, h := range b.Held {
		out.Binding = append(out.Binding, h.ID)
		l := limitJSON{ID: h.ID, Saves: h.Saves}
		if h.Fall {
			l.Saves, l.Fall = 0, h.Saves/100
		}
		if h.Placed {
			at := pt(h.At)
			l.At = &at
		}
		out.Limits = append(out.Limits, l)
	}
	points, err := b.Curve()
	if err != nil { // the plane itself was found
		out.Curve = nil
	}
	for _, c := range points {
		out.Curve = append(out.Curve, tradedJSON{finite(c.Ratio), c.Fill, c.Cut, c.Plane.Z, c.Plane.SlopeX, c.Plane.SlopeY, c.Cost})
	}
	return out
}
