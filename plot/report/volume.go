package report

import (
	"fmt"
	"math"

	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// broughtText is how high the given volume fills the floor; empty without one.
func broughtText(w *job.Filled, u unit.Style) string {
	b := w.Brought
	if b == nil {
		return ""
	}
	text := u.SmallVolume(b.Volume) + " placed sets the target"
	if s := w.Sure(); byVolume(w) && s != nil && s.Known {
		text += fmt.Sprintf(": %.0f %% sure to come between %s it", 100*job.SureShare, heightSure(w, job.SureShare, u))
	}
	if !b.Sets {
		text = fmt.Sprintf("%s placed fills it to %s", u.SmallVolume(b.Volume), reachedText(b.Target, b.Off, b.Left, w, u))
	}
	if !b.Lost() {
		return text
	}
	text += ". If it is what the trucks bring, "
	if b.Placed == 0 {
		return text + "all of it is lost on the way: " + lossesText(w, u)
	}
	return text + fmt.Sprintf("%s is placed, after %s: it fills to %s", u.SmallVolume(b.Placed), lossesText(w, u), reachedText(b.PlacedTop, b.PlacedOff, b.PlacedLeft, w, u))
}

// reachedText is an elevation that a volume fills to, and how far it is from the target.
func reachedText(top surface.Target, off, left float64, w *job.Filled, u unit.Style) string {
	if off == 0 {
		return "the target"
	}
	z, side, then := "", "below", ""
	if top.Level() {
		z = u.LevelDown(top.Elevation(w.Fill.GreatestAt)) + ", "
	}
	if off > 0 {
		side = "above"
	}
	switch {
	case w.Brought.Sets:
	case off < 0:
		then = ": short by " + notZero(u.PartVolume(-left, w.Brought.Volume))
	default:
		then = ": " + notZero(u.PartVolume(left, w.Brought.Volume)) + " is left over at the target"
	}
	return fmt.Sprintf("%s%s %s the target%s", z, job.LessThanStep(math.Abs(off)).In(u), side, then)
}

// lossesText names the losses of the order.
func lossesText(w *job.Filled, u unit.Style) string {
	var parts []string
	if w.Mix.Allowance > 0 {
		parts = append(parts, fmt.Sprintf("%g %% allowance", percentOf(w.Mix.Allowance)))
	}
	l := w.Losses
	if l.Roughness > 0 {
		parts = append(parts, "the rough floor")
	}
	if l.High > 0 {
		parts = append(parts, "a high finish")
	}
	if l.Bore > 0 || l.Hopper > 0 || l.Priming > 0 {
		parts = append(parts, "the pump")
	}
	return wordList(parts)
}

// volumeJSON is how high the given volume fills the floor.
type volumeJSON struct {
	reachedJSON
	Sets   bool         `json:"sets_target"`
	CI90   *[2]float64  `json:"z_ci90_m"`     // of z_m; null: not measured, or another target is set
	Placed *reachedJSON `json:"after_losses"` // if it is what the trucks bring: less the allowance and the other losses of the order; null: none, or nothing is left
}

type reachedJSON struct {
	Volume float64 `json:"placed_m3"`
	Z      float64 `json:"z_m"`            // of the target that it fills to, at its place
	Off    float64 `json:"above_target_m"` // negative: below
	Left   float64 `json:"left_m3"`        // more than the target takes; negative: short
}

func volumeOf(w *job.Filled) *volumeJSON {
	b := w.Brought
	if b == nil {
		return nil
	}
	out := &volumeJSON{reachedJSON: reachedJSON{b.Volume, *targetJSON(b.Target, w.Floor).Z, b.Off, b.Left}, Sets: b.Sets}
	if s := w.Sure(); byVolume(w) && s != nil && s.Known {
		lo, hi := s.Interval(job.SureShare)
		out.CI90 = &[2]float64{out.Z - (hi-w.Fill.Fill)/w.Fill.FillArea, out.Z + (w.Fill.Fill-lo)/w.Fill.FillArea}
	}
	if b.Lost() && b.Placed > 0 {
		out.Placed = &reachedJSON{b.Placed, *targetJSON(b.PlacedTop, w.Floor).Z, b.PlacedOff, b.PlacedLeft}
	}
	return out
}
