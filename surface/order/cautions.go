package order

import (
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Cautions returns what must be said beside an order: usual trade cautions, not a
// substitute for local codes and licensed practice, to which they defer. cut is
// the volume above the target in m³.
//
// Sources: silica, 29 CFR 1926.1153 (exposure limit 50 µg/m³ over 8 hours); wet
// cement, ASTM C1708 hazard note; weight and buried services, common practice, no
// source.
func Cautions(m Mix, cut float64, style unit.Style) []survey.Note {
	var out []survey.Note
	say := func(format string, args ...any) {
		out = append(out, survey.Notef(survey.Caution, survey.Pos{}, format, args...))
	}
	if m.Net > 0 {
		say("Weight: the fill adds %s on average and %s at its deepest, %s in all. On any suspended, framed or settled floor a licensed engineer must check that before anything is ordered.",
			style.Load(m.MeanLoad), style.Load(m.MostLoad), style.Mass(m.Mass))
		say("Wet concrete and mortar burn the skin, at first without pain: waterproof gloves and boots, no kneeling in it, rinse at once.")
	}
	if cut > 0 {
		say("Grinding sets silica dust free: shroud and extraction or water, and a respirator as local rules ask. Old adhesive, backing and black mastic may hold asbestos: have them tested before anything is ground.")
	}
	say("Locate pipes, cables, heating loops and tendons before drilling pins or grinding; plug drains and gaps. Local codes and licensed practice decide.")
	return out
}
