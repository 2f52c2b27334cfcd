package report

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"

	"pourplane/plot"
	"pourplane/plot/sheet"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// scales are the scales of plans, with how each is written.
func scales(style unit.Style) (of []float64, name func(float64) string) {
	if !style.Imperial {
		return []float64{5, 10, 20, 25, 50, 75, 100, 125, 150, 200, 250, 400, 500, 1000, 2000}, func(s float64) string { return fmt.Sprintf("1:%g", s) }
	}
	words := map[float64]string{12: "1 in", 16: "3/4 in", 24: "1/2 in", 32: "3/8 in", 48: "1/4 in", 64: "3/16 in", 96: "1/8 in", 128: "3/32 in", 192: "1/16 in", 384: "1/32 in"}
	return []float64{12, 16, 24, 32, 48, 64, 96, 128, 192, 384, 768}, func(s float64) string {
		if w := words[s]; w != "" {
			return fmt.Sprintf("%s = 1 ft (1:%g)", w, s)
		}
		return fmt.Sprintf("1:%g", s)
	}
}

// mostSheets is the max number of sheets for a plan of pins: this many fit side by side on a
// bench, and more are hard to keep in order on a floor. Own choice.
const mostSheets = 6

// leastOverlap is the min overlap of neighbouring sheets of a plan. If a pin with its
// lettering is larger, the overlap is that large, so that each pin is whole on one sheet.
const leastOverlap = vg.Inch

// writePins writes the sheet of pins: to the largest scale that fits one page or, if the
// lettering of some pins has no room there, over as many sheets as necessary.
func (h *Handover) writePins(w io.Writer, paper sheet.Paper) error {
	s := sheet.PinSheet{Title: h.Title, Date: h.day, Program: "pourplane " + Version, Table: h.pinTable(true)}
	p, u := h.Pins, h.Style
	m := h.setOutMap(true, false, false)
	m.Title = ""
	all, name := scales(u)
	var one *plot.SetOutMap
	finer := 0 // number of scales too large for one page
	for i, scale := range all {
		m.Scale = scale
		w, height := m.PlanSize()
		for _, across := range []bool{false, true} {
			if roomW, roomH := sheet.PlanRoom(paper, across); one == nil && w <= roomW && height <= roomH {
				of := *m
				one, s.PlanWidth, s.PlanHeight, s.Scale = &of, w, height, name(scale)
				finer = i
			}
		}
	}
	if one != nil {
		if err := splitPins(&s, one, all[:finer], name, paper); err != nil {
			return err
		}
	}
	s.Figures = []sheet.Figure{{Value: fmt.Sprint(len(p.Pins)), Name: "pins"}, {Value: h.mark(p.Least), Name: "lowest mark, at " + pinNamed(p.Least)}, {Value: h.mark(p.Greatest), Name: "highest mark, at " + pinNamed(p.Greatest)}, {Value: cmp.Or(p.Start.Name, "—"), Name: h.startName()}}
	s.Text = []string{topOfFill(h.Filled, u) + " Heights are from the old floor beside the pin to the mark, rounded down to " + h.ruleStep() + "; never finish above a mark."}
	s.Text = slices.Concat(s.Text, h.checkFirst(), h.doorTexts(), h.doubtTexts(), h.doubtfulPins(), h.grateTexts())
	if r := h.rodFrom(); r != nil {
		s.Figures = append(s.Figures, sheet.Figure{Value: "\u00a0", Name: "today’s rod reading on " + r.Name + ": write it here"})
		then := "The rod on a mark then reads that plus the figure of the column (rounded: never above the target); a minus sign means less. " + h.levelWins()
		if target, _ := surface.IsPlane(h.Filled.Fill.Target); h.Filled.Fill.Target.Level() {
			sign, more := h.rodDifference(r.Elevation - target.Z)
			then = fmt.Sprintf("Rod on the finished fill, at every pin: that %s %s (rounded: never above the target). %s", cmp.Or(sign, "+"), more, h.levelWins())
		}
		where := u.Elevation(r.Elevation)
		if found := h.findBenchmark(r.Name); found != "" {
			where += "; " + found
		}
		s.Text = append(s.Text, fmt.Sprintf("With the level set up anew, read the rod on %s (%s) and write it in the box. %s", r.Name, where, then))
	}
	if s.Plan == nil && s.Parts == nil {
		s.Text = append(s.Text, "The floor is too large for a plan on this paper; plan.dxf holds the pins in place.")
	}
	s.Cautions = []string{"Find pipes, cables, heating loops and tendons before a pin is drilled or driven; over any of them pins are glued. Local codes and licensed practice decide."}
	return sheet.WritePins(w, s, paper)
}

// startName is what is written below the name of the first pin.
func (h *Handover) startName() string {
	if h.Pins.Start.Name == "" {
		return "start placing here"
	}
	back := ""
	if h.Pins.Rules.Exit != nil {
		back = "; then back toward the exit"
	}
	return "start placing here: " + h.whyStart() + back
}

// splitPins sets the plan of a sheet, and splits it if some lettering has no room: to the
// coarsest of the finer scales, the last first, at which all has room, over up to
// [mostSheets] sheets. If there is none, it takes the plan with the fewest left out. One
// sheet has the legend, several have an overview.
func splitPins(s *sheet.PinSheet, one *plot.SetOutMap, finer []float64, name func(float64) string, paper sheet.Paper) error {
	whole, err := one.LayOut()
	if err != nil {
		return err
	}
	s.Plan = whole
	names, heights := whole.Unwritten()
	least := names + heights
	for _, scale := range slices.Backward(finer) {
		if least == 0 {
			return nil
		}
		m := *one
		m.Scale, m.Bare = scale, true
		if tooManySheets(&m, paper) {
			return nil // nor do finer scales take fewer
		}
		laid, err := m.LayOut()
		if err != nil {
			return err
		}
		names, heights := laid.Unwritten()
		if names+heights >= least {
			continue
		}
		parts, windows := sheetsOf(laid, name(scale), paper)
		if len(parts) > mostSheets {
			return nil
		}
		least = names + heights
		if len(parts) == 1 { // an overview would be the same again
			s.Plan, s.Parts, s.Legend = nil, parts, parts[0].Plan.(*plot.SetOutPlan).Legend()
			continue
		}
		overview := *one
		overview.Windows, overview.Pins = windows, slices.Clone(one.Pins)
		for i := range overview.Pins {
			overview.Pins[i].Name, overview.Pins[i].Text = "", ""
		}
		s.Plan, s.Parts, s.Legend = &overview, parts, nil
	}
	return nil
}

// tooManySheets reports, without placing the lettering, whether a plan certainly needs more than
// [mostSheets].
func tooManySheets(m *plot.SetOutMap, paper sheet.Paper) bool {
	for _, across := range []bool{false, true} {
		if m.SheetsAtLeast(sheet.PlanRoom(paper, across)) <= mostSheets {
			return false
		}
	}
	return true
}

// sheetsOf splits a plan into sheets of one size, upright or across, with the axes or, if
// that saves a sheet, without: whichever are fewest, row by row from the upper left. Sheets
// are left out if all their whole pins are on other sheets too.
func sheetsOf(laid *plot.SetOutPlan, scale string, paper sheet.Paper) (parts []sheet.PlanPart, windows []plot.PlanWindow) {
	w, height := laid.PlanSize()
	frame, boxes, inside := laid.Frame(), laid.PinBoxes(), laid.Inside()
	shared := vg.Point{X: leastOverlap, Y: leastOverlap}
	for _, b := range boxes {
		shared = vg.Point{X: max(shared.X, b.Size().X), Y: max(shared.Y, b.Size().Y)}
	}
	for _, area := range []vg.Rectangle{{Max: vg.Point{X: w, Y: height}}, inside} {
		for _, across := range []bool{false, true} {
			var some []sheet.PlanPart
			var frames []plot.PlanWindow
			for _, r := range needed(windowsOf(area, paper, across, shared), boxes) {
				from, to := frame.Place(r.Min.X.Points(), (height-r.Min.Y).Points()), frame.Place(r.Max.X.Points(), (height-r.Max.Y).Points())
				letter := string(rune('A' + len(some)%26))
				some = append(some, sheet.PlanPart{Name: letter, Plan: laid.Part(r), Width: w, Height: height, Window: r, Scale: scale})
				frames = append(frames, plot.PlanWindow{Name: letter, Lo: from, Hi: to})
			}
			if parts == nil || len(some) < len(parts) {
				parts, windows = some, frames
			}
		}
	}
	for i := range parts {
		shown := parts[i].Plan.(*plot.SetOutPlan)
		var notes []string
		if text := noRoom(shown.Unwritten()); text != "" {
			notes = append(notes, text)
		}
		if n := shown.Unnamed(); n > 0 {
			notes = append(notes, survey.Plural(n, "name")+" of thresholds and drains not shown, no room")
		}
		if shown.Arrowless() {
			notes = append(notes, "the target "+job.FallText(laid.Floor, laid.Target))
		}
		parts[i].Note = strings.Join(notes, "; ")
	}
	return parts, windows
}

// windowsOf splits an area of a plan into windows of one size that fit the paper and overlap
// their neighbours by at least a width and a height, row by row from the upper left.
func windowsOf(area vg.Rectangle, paper sheet.Paper, across bool, shared vg.Point) []vg.Rectangle {
	size := area.Size()
	roomW, roomH := sheet.PlanRoom(paper, across)
	columns, wide := pieces(size.X, roomW, shared.X)
	rows, tall := pieces(size.Y, roomH, shared.Y)
	var out []vg.Rectangle
	for j := range rows {
		for i := range columns {
			lo := area.Min.Add(vg.Point{X: along(i, columns, size.X, wide), Y: size.Y - tall - along(j, rows, size.Y, tall)})
			out = append(out, vg.Rectangle{Min: lo, Max: lo.Add(vg.Point{X: wide, Y: tall})})
		}
	}
	return out
}

// needed drops each window whose boxes are all whole in other windows that stay.
func needed(windows, boxes []vg.Rectangle) []vg.Rectangle {
	in := make([]int, len(boxes)) // number of windows in which each box is whole
	for i, b := range boxes {
		for _, r := range windows {
			if plot.Holds(r, b) {
				in[i]++
			}
		}
	}
	return slices.DeleteFunc(windows, func(r vg.Rectangle) bool {
		for i, b := range boxes {
			if plot.Holds(r, b) && in[i] == 1 {
				return false
			}
		}
		for i, b := range boxes {
			if plot.Holds(r, b) {
				in[i]--
			}
		}
		return true
	})
}

// noRoom counts how many names and heights of pins are not on a sheet.
func noRoom(names, heights int) string {
	var left []string
	if heights > 0 {
		left = append(left, survey.Plural(heights, "height"))
	}
	if names > 0 {
		left = append(left, survey.Plural(names, "name"))
	}
	if left == nil {
		return ""
	}
	return strings.Join(left, " and ") + " not shown, no room; the list has all"
}

// pieces returns the number of overlapping sheets for a length, and the length of each.
func pieces(length, room, overlap vg.Length) (n int, each vg.Length) {
	if length <= room {
		return 1, length
	}
	overlap = min(overlap, room/2)
	n = int(math.Ceil(float64((length - overlap) / (room - overlap))))
	return n, room
}

// along returns the start of sheet i of n along a length.
func along(i, n int, length, each vg.Length) vg.Length {
	if n == 1 {
		return 0
	}
	return (length - each) * vg.Length(i) / vg.Length(n-1)
}

// rodPoint is a point that the rod is read on before the marks are set.
type rodPoint struct {
	Name      string
	Elevation float64 // m
}

// rodFrom returns the point that rod readings on the marks are taken from: a benchmark, or
// else a shot on an adjoining finished floor; nil if there is neither.
func (h *Handover) rodFrom() *rodPoint {
	if k := h.Survey.Book; k != nil && !k.Relative {
		for _, b := range k.Benchmarks {
			return &rodPoint{b.Name, b.Elevation}
		}
	}
	for _, p := range h.Survey.Finished {
		if p.HasZ() && p.Name() != "" {
			return &rodPoint{p.Name(), p.Z}
		}
	}
	return nil
}

// rodByPin returns the point that the rod readings of each pin are taken from, for a sloped
// target; a level one has the same reading everywhere, which is in the text.
func (h *Handover) rodByPin() *rodPoint {
	if h.Filled.Fill.Target.Level() {
		return nil
	}
	return h.rodFrom()
}

// rodMore returns how much more the rod reads on the mark of a pin than on a point, as
// written: a lower mark reads more. It is from the target, not from the height of the mark,
// which is rounded as well: pins at one level have one reading.
func (h *Handover) rodMore(r *rodPoint, p setout.Pin) string {
	if p.Depth <= 0 {
		return ""
	}
	sign, text := h.rodDifference(r.Elevation - (p.Floor + p.Depth))
	return sign + text
}

// rodDifference writes how much more the rod reads on a lower place, m: rounded up, so that
// the fill is never above the place meant. sign is empty for 0.
func (h *Handover) rodDifference(more float64) (sign, text string) {
	text = unit.DepthUp(more).In(h.Style)
	switch less, negative := strings.CutPrefix(text, "-"); {
	case negative:
		return "−", less
	case text == h.Style.Depth(0):
		return "", text
	}
	return "+", text
}
