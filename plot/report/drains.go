package report

import (
	"cmp"
	"slices"
	"strings"

	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// grate is how far the grate of a drain must move to be level with the fill. Up is rounded
// down, so that water still runs in; "" if its rim has no elevation, or it is off the floor.
func grate(w *job.Filled, d survey.Point, u unit.Style) string {
	lo, hi := w.Floor.Bounds()
	if on := d.X >= lo.X && d.X <= hi.X && d.Y >= lo.Y && d.Y <= hi.Y; !on || w.BesideLeft(d) || d.Code() == "" || !d.HasZ() { // without a code it is only the place that the target falls to
		return ""
	}
	return moved(w.Fill.Target.Elevation(surface.Vec{X: d.X, Y: d.Y})-d.Z, u)
}

// fallsTo are the drains that the target falls to and that were not shot: a channel by its ends.
func fallsTo(w *job.Filled) []survey.Point {
	if w.Falls == nil {
		return nil
	}
	var out []survey.Point
	for _, d := range w.Falls.Served {
		for _, at := range d.Ends() {
			if !slices.ContainsFunc(w.Survey.Drains(), func(p survey.Point) bool { return p.X == at.X && p.Y == at.Y }) {
				out = append(out, survey.Point{X: at.X, Y: at.Y}.Named(d.Name))
			}
		}
	}
	return out
}

// channelsOf are the channels that the target falls to.
func channelsOf(w *job.Filled) (out [][2]surface.Vec) {
	if w.Falls == nil {
		return nil
	}
	for _, d := range w.Falls.Served {
		if d.Channel {
			out = append(out, [2]surface.Vec{d.At, d.To})
		}
	}
	return out
}

// moved is the move of a grate.
func moved(up float64, u unit.Style) string {
	switch stays := u.Depth(0); {
	case up >= 0 && u.DepthDown(up) != stays:
		return "grate up " + u.DepthDown(up)
	case up < 0 && u.DepthUp(-up) != stays:
		return "grate down " + u.DepthUp(-up)
	}
	return "grate stays"
}

// setOutDrains are the drains, with the move of each grate beside its name.
func (h *Handover) setOutDrains() []survey.Point {
	out := slices.Clone(h.depth.Drains)
	for i, d := range out {
		if text := grate(h.Filled, d, h.Style); text != "" {
			out[i] = d.Named(strings.TrimPrefix(d.Name()+", "+text, ", "))
		}
	}
	return out
}

// gratesText lists the move of each drain's grate from its old rim, with a covering to the top
// of that as well; empty without any.
func gratesText(w *job.Filled, u unit.Style) string {
	var out []string
	for _, d := range w.Survey.Drains() {
		if text := grate(w, d, u); text != "" {
			if w.Covered {
				text += " to the top of the fill, " + strings.TrimPrefix(moved(w.Fill.Target.Elevation(surface.Vec{X: d.X, Y: d.Y})+w.Covering.Thickness+w.Covering.Bed-d.Z, u), "grate ") + " to the top of the covering"
			}
			out = append(out, cmp.Or(d.Name(), "the drain at "+w.Place(surface.Vec{X: d.X, Y: d.Y}).In(u))+": "+text)
		}
	}
	if len(out) == 0 {
		return ""
	}
	if w.Covered {
		return "from the old rim: " + strings.Join(out, "; ")
	}
	return "from the old rim to the top of the fill: " + strings.Join(out, "; ")
}

// grateTexts are a sentence on the grates, or none.
func (h *Handover) grateTexts() []string {
	text := gratesText(h.Filled, h.Style)
	if text == "" {
		return nil
	}
	return []string{"Drains, " + text + "."}
}
