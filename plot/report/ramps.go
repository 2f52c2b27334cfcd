package report

import (
	"fmt"
	"math"
	"strings"

	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// rampRows are the ramps, a line each.
func rampRows(w *job.Filled, u unit.Style) []AnswerRow {
	var out []AnswerRow
	for i := range w.Ramps {
		r := &w.Ramps[i]
		text := fmt.Sprintf("%s: %s %s over %s, slope %s; %s: %s", r.Name, r.Way(), u.Depth(math.Abs(r.Rise)), unit.Distance(r.Length).In(u), job.OneIn(r.Slope), r.Limits[0].Name, r.Limits[0].Outcome())
		if feather := featherText(r, u); feather != "" {
			text += "; " + feather
		}
		out = append(out, AnswerRow{Head: "Ramp", Text: text})
	}
	return out
}

// featherText is what to chase at the feather edge of a ramp; empty if there is none.
func featherText(r *job.Ramp, u unit.Style) string {
	e := &r.Feather
	if e.Area == 0 {
		return ""
	}
	stop := ""
	if length := u.Length(e.Length); length != u.Length(0) {
		stop = "stop the fill along a line of " + length + ", "
	}
	write := handVolumesLike(u, e.Chase, e.Cut)
	text := fmt.Sprintf("thinner than %s %s: %schase %s over %s", u.Depth(e.Least), r.Thin().In(u), stop, write(e.Chase), u.Area(e.Area))
	if e.Cut > 0 {
		text += fmt.Sprintf(", of which %s is above the target", write(e.Cut))
	}
	return text
}

// rampTables list the ramps, the published limits, and the feather edges if there are any.
func rampTables(w *job.Filled, u unit.Style) []table.Table {
	if len(w.Ramps) == 0 {
		return nil
	}
	ramps := table.Table{Title: "Ramps", Columns: columns("To", "Way", "Rise>", "Length>", "Slope>", "Cross slope>", "Area>")}
	limits := table.Table{Title: "Limits for ramps", Columns: columns("Ramp to", "Limit", "Ramp>", "Result", "Source")}
	feather := table.Table{Title: "Feather edges", Columns: columns("Ramp to", "Least thickness>", "Stop line>", "Thin", "Chase>", "Over>", "Above target>")}
	var volumes []float64
	for _, r := range w.Ramps {
		volumes = append(volumes, r.Feather.Chase, r.Feather.Cut)
	}
	write := handVolumesLike(u, volumes...)
	for i := range w.Ramps {
		r := &w.Ramps[i]
		cross := "not measured"
		if r.Line {
			cross = percentFall(r.Cross)
		}
		ramps.Rows = append(ramps.Rows, text(Printable(r.Name), r.Way(), u.Depth(math.Abs(r.Rise)), unit.Distance(r.Length).In(u), job.OneIn(r.Slope), cross, u.Area(r.Area)))
		for _, l := range r.Limits {
			has := job.OneIn(r.Slope)
			if l.Cross {
				has = cross
			}
			limits.Rows = append(limits.Rows, text(Printable(r.Name), l.Name, has, l.Outcome(), l.Source))
		}
		if e := &r.Feather; e.Area > 0 {
			feather.Rows = append(feather.Rows, text(Printable(r.Name), u.Depth(e.Least)+", "+e.Of, u.Length(e.Length), r.Thin().In(u), write(e.Chase), u.Area(e.Area), write(e.Cut)))
		}
	}
	ramps.Notes = []string{"Length and rise are square to the wall from the middle of the threshold; the slope is the same all round, within 0.05 mm of a cone."}
	limits.Notes = []string{"Limits as quoted by their sources, not verified against the published standards; local code decides. Slopes are those planned."}
	out := []table.Table{ramps, limits}
	if len(feather.Rows) > 0 {
		feather.Notes = []string{"The chase is all that comes off the old floor from the stop line to the threshold for the least thickness. It is not in the fill, nor in the order: what is chased below the target is filled as well."}
		out = append(out, feather)
	}
	return out
}

// rampSection is the ramps, for the record.
func (h *Handover) rampSection() sheet.Section {
	s := sheet.Section{Title: "Ramps", Tables: rampTables(h.Filled, h.Style)}
	if len(s.Tables) == 0 {
		return sheet.Section{}
	}
	for i := range h.Ramps {
		if text := featherText(&h.Ramps[i], h.Style); text != "" {
			s.Text = append(s.Text, sentence("Ramp to "+Printable(h.Ramps[i].Name)+": "+text))
		}
	}
	return s
}

// printRamps prints the tables.
func printRamps(w *job.Filled, b interface{ WriteString(string) (int, error) }, u unit.Style) {
	for _, t := range rampTables(w, u) {
		b.WriteString("\n" + plain(t))
		b.WriteString(strings.Join(t.Notes, "\n") + "\n")
	}
}

// rampsInShort is the number of ramps, for the head of a map.
func rampsInShort(w *job.Filled) string {
	if len(w.Ramps) == 0 {
		return ""
	}
	return ", " + survey.Plural(len(w.Ramps), "ramp")
}

// rampsForCustomer are the ramps, after the target: ", with a ramp up to D1 of 1:12 (8.33 %) over
// 0.600 m". Empty without any.
func rampsForCustomer(ramps []job.Ramp, u unit.Style) string {
	var each []string
	for i := range ramps {
		r := &ramps[i]
		each = append(each, fmt.Sprintf("a ramp %s to %s of %s over %s", r.Way(), r.Name, job.OneIn(r.Slope), unit.Distance(r.Length).In(u)))
	}
	if each == nil {
		return ""
	}
	return ", with " + strings.Join(each, " and ")
}

// rampOutlines are the edges of the ramps, and the lines at which the fill on them is to stop, for
// the map.
func rampOutlines(w *job.Filled) (edges [][]surface.Vec, stops [][2]surface.Vec) {
	for i := range w.Ramps {
		r := &w.Ramps[i]
		edges, stops = append(edges, r.Outline...), append(stops, r.Feather.Line...)
	}
	return edges, stops
}

// rampJSON is a ramp between the target and a threshold.
type rampJSON struct {
	Threshold string          `json:"threshold"`
	At        [2]float64      `json:"at"`  // the middle of the threshold, on the wall
	End       [2]float64      `json:"end"` // where it meets the target, square to the wall
	Rise      float64         `json:"rise_m"`
	Length    float64         `json:"length_m"`
	Slope     float64         `json:"slope"`       // rise over run
	Cross     *float64        `json:"cross_slope"` // null at a single shot
	Area      float64         `json:"area_m2"`
	Limits    []rampLimitJSON `json:"limits"`
	Feather   *featherJSON    `json:"feather"` // null where the fill has its least thickness
}

type rampLimitJSON struct {
	Name   string  `json:"name"`
	Limit  float64 `json:"limit"`
	Rise   float64 `json:"max_rise_m"` // 0: any
	Result string  `json:"result"`     // met, not met or not measured
	Source string  `json:"source"`
}

type featherJSON struct {
	Least  float64 `json:"least_m"`
	Of     string  `json:"least_of"`
	Length float64 `json:"stop_length_m"`
	From   float64 `json:"thin_from_m"` // from the threshold
	To     float64 `json:"thin_to_m"`
	Area   float64 `json:"chase_area_m2"`
	Chase  float64 `json:"chase_m3"`
	Cut    float64 `json:"above_target_m3"` // of the chase
}

func rampsJSON(w *job.Filled) []rampJSON {
	var out []rampJSON
	for i := range w.Ramps {
		r := &w.Ramps[i]
		one := rampJSON{Threshold: r.Name, At: pt(r.From), End: pt(r.End), Rise: r.Rise, Length: r.Length, Slope: r.Slope, Area: r.Area}
		if r.Line {
			one.Cross = &r.Cross
		}
		for _, l := range r.Limits {
			one.Limits = append(one.Limits, rampLimitJSON{l.Name, l.Limit, l.MaxRise, l.Outcome(), l.Source})
		}
		if e := &r.Feather; e.Area > 0 {
			one.Feather = &featherJSON{e.Least, e.Of, e.Length, e.Nearest, e.Farthest, e.Area, e.Chase, e.Cut}
		}
		out = append(out, one)
	}
	return out
}
