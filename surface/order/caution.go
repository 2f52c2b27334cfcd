package order

import (
	"fmt"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Job is the facts about a job that call for care. The zero value fills a floor about which
// nothing is known.
type Job struct {
	Cut       float64 // m³ above the target, to be ground off
	Bagged    bool    // dry bags are opened and mixed on site
	Grounded  bool    // the floor bears on the ground everywhere, as the user stated
	Suspended bool    // framed or suspended, as the user stated
	Heated    bool    // pipes or cables run in it
	Tendons   bool    // it is post-tensioned
	Pinned    bool    // pins, anchors or dowels are drilled or driven into it
	Sawn      bool    // joints are cut
	Old       bool    // tile, sheet, adhesive or paint was or is on it
	Covering  bool    // something will be laid on the fill
	Pumped    bool
	Engines   bool // engines run indoors
	Drains    bool // drains, weep holes, a damp course or a gas barrier are in or beside it
	Doors     bool // people pass through while it is done
}

// Cautions returns the cautions for an order, threats to the building first: usual trade
// cautions, not a substitute for local codes and licensed practice, which take precedence.
//
// Sources: silica, 29 CFR 1926.1153 (exposure limit 50 µg/m³ over 8 hours); wet cement, ASTM
// C1708 hazard note; moisture, ASTM F2170 and F1869 summaries; the rest common practice, no
// source.
func Cautions(l Load, j Job) []survey.Note {
	var out []survey.Note
	say := func(format string, args ...any) {
		out = append(out, survey.Notef(survey.Caution, survey.Pos{}, format, args...))
	}
	bear := func(format string, args ...any) { // what the floor must bear
		say(format, args...)
		out[len(out)-1].Topic = survey.AboutLoad
	}
	fills, grinds := !(l.Mass <= 0), !(j.Cut <= 0)
	if fills {
		if j.Suspended {
			bear("Suspended floor: order nothing until a licensed engineer has checked it for this weight. What it was built to carry is in its drawings or the local code; the fill takes %s of that at its deepest. A deck also sags while it is filled, and takes more than was measured.",
				pressure(l.Most))
		}
		bear("Weight: the fill adds %s on average and %s at its deepest, %s in all. On any suspended, framed or settled floor a licensed engineer must check that before anything is ordered.",
			pressure(l.Mean), pressure(l.Most), unit.Mass(l.Mass))
		if j.Grounded {
			say("Ground: a slab laid level that is out of level now may have settled, and may keep settling under more weight. Find out why before it is loaded.")
		}
	}
	if j.Tendons {
		bear("Post-tensioned floor: a tendon that is nicked lets go with force enough to kill, and weakens the floor. No pin, anchor, saw or grinder touches it until tendons are located and a licensed engineer has agreed.")
	}
	if j.Heated {
		say("Heating pipes or cables: find and mark them, drive no pins and saw no joints over them. Keep pipes under pressure with a gauge in sight while pouring; test cables before and after.")
	}
	if j.Pinned {
		say("Pins and anchors: find out and scan what is in the floor before drilling, and stop short of it; where nobody knows, glue the pins. Eye protection, and dust drawn off at the bit.")
	}
	if grinds {
		say("Grinding sets silica dust free: shroud and extraction or water, and a respirator as local rules ask. Old adhesive, backing and black mastic may hold asbestos: have them tested before anything is ground.")
	}
	if j.Sawn {
		say("Sawing joints sets silica dust free and kicks back: water at the blade or extraction, a guard, and eye, ear and breathing protection as local rules ask. With an electric saw in water, a residual-current (ground-fault) breaker.")
	}
	if j.Bagged {
		say("Mixing dry bags sets silica and cement dust free: extraction at the barrel and a respirator as local rules ask. Bags are heavy: lift in pairs.")
	}
	if j.Old {
		say("Old tile, sheet, adhesive or paint: treat it as asbestos or lead until it is tested; no dry scraping, sanding, blasting or chipping. What it leaves behind breaks the bond of anything laid over it.")
	}
	if fills {
		say("Wet concrete and mortar burn the skin, at first without pain: waterproof gloves and boots, no kneeling in it, rinse at once.")
	}
	if j.Pumped {
		say("Pump: the line whips when it is primed or clears a blockage; keep clear of its end, and couplings are pinned and cabled.")
	}
	if j.Engines {
		say("Engines indoors give off carbon monoxide, which nobody smells, open doors or not. Use electric machines, or lead the exhaust outside and carry an alarm.")
	}
	if j.Drains {
		say("Drains, weep holes, damp courses and gas barriers: plug or dam them while pouring, and leave none buried or bridged by the fill.")
	}
	if j.Doors {
		say("Ways out: keep one open at all times. Mark or ramp every edge, and look at doors and steps again at the new height.")
	}
	if j.Covering {
		say("Moisture: a fill over an old floor dries from its top alone, about a month for every %s of concrete and often longer. Test (ASTM F2170 or F1869) against the limit of whoever makes the covering or its adhesive; a date is no test.", unit.Either{Metric: "25 mm", US: "inch"})
	}
	say("Locate pipes, cables, heating loops and tendons before drilling pins or grinding; plug drains and gaps. Local codes and licensed practice decide.")
	return out
}

// pressure is a load in kg/m², written in an engineer's units: lb/ft², or kg/m² and kPa.
type pressure float64

func (p pressure) In(s unit.Style) string {
	if s.Imperial {
		return s.Load(float64(p))
	}
	return fmt.Sprintf("%s (%.2f kPa)", s.Load(float64(p)), Kilopascals(float64(p)))
}

func (p pressure) String() string { return p.In(unit.Style{}) }
