package order

import (
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Load is the dead load that a fill adds.
type Load struct {
	Mass float64 // kg in all
	Mean float64 // kg/m² over the area that is filled
	Most float64 // kg/m² at the greatest depth
}

// gravity is standard gravity, m/s², exactly. Source: 3rd CGPM, 1901.
const gravity = 9.80665

// Kilopascals returns a load in kg/m² as kN/m².
func Kilopascals(load float64) float64 { return load * gravity / 1000 }

// Load returns the dead load of f filled with something of a unit weight in kg/m³. Fresh
// concrete weighs a little more.
func (f Floor) Load(unitWeight float64) (Load, error) {
	f, err := f.checked()
	if err != nil {
		return Load{}, err
	}
	if err := check(positive("unit weight", unitWeight, "a weight in kg/m³")); err != nil {
		return Load{}, err
	}
	return Load{f.Net * unitWeight, f.Mean() * unitWeight, f.Greatest * unitWeight}, nil
}

// Job says what there is about a job to be careful of. The zero value fills a floor
// that nobody has said anything about.
type Job struct {
	Cut       float64 // m³ above the target, to be ground off
	Bagged    bool    // dry bags are opened and mixed on site
	Grounded  bool    // the floor bears on the ground all over, and somebody has said so
	Heated    bool    // pipes or cables run in it
	Old       bool    // tile, sheet, adhesive or paint was or is on it
	Covering  bool    // something will be laid on the fill
	Pumped    bool
	Suspended bool // framed or suspended, and somebody has said so
}

// Cautions returns what must be said beside an order: usual trade cautions, not a
// substitute for local codes and licensed practice, to which they defer.
//
// Sources: silica, 29 CFR 1926.1153 (exposure limit 50 µg/m³ over 8 hours); wet
// cement, ASTM C1708 hazard note; moisture, ASTM F2170 and F1869 summaries; live load
// of dwellings 40 lb/ft², ASCE 7 Table 4.3-1, from memory; the rest common practice, no
// source.
func Cautions(l Load, j Job, style unit.Style) []survey.Note {
	var out []survey.Note
	say := func(format string, args ...any) {
		out = append(out, survey.Notef(survey.Caution, survey.Pos{}, format, args...))
	}
	const dwelling = 40 * pound / (foot * foot) // kg/m²
	if l.Mass > 0 {
		say("Weight: the fill adds %s on average and %s at its deepest, %s in all. On any suspended, framed or settled floor a licensed engineer must check that before anything is ordered.",
			style.Load(l.Mean), style.Load(l.Most), style.Mass(l.Mass))
		if j.Suspended {
			say("Structure: this floor is said to be suspended; the usual live load of a dwelling is %s, of which the fill alone takes %.0f %% at its deepest. A deck also goes on sagging while it is filled, and takes more than was measured.",
				style.Load(dwelling), 100*l.Most/dwelling)
		}
		if j.Grounded {
			say("Ground: a slab that was laid level and is not so now may have settled, and will go on under more weight. Find out why before it is loaded.")
		}
		say("Wet concrete and mortar burn the skin, at first without pain: waterproof gloves and boots, no kneeling in it, rinse at once.")
	}
	if j.Cut > 0 {
		say("Grinding sets silica dust free: shroud and extraction or water, and a respirator as local rules ask. Old adhesive, backing and black mastic may hold asbestos: have them tested before anything is ground.")
	}
	if j.Bagged {
		say("Mixing dry bags sets silica and cement dust free: extraction at the barrel and a respirator as local rules ask. Bags are heavy: lift in pairs.")
	}
	if j.Old {
		say("Old tile, sheet, adhesive or paint: taken to hold asbestos or lead until tested; no dry scraping, sanding, blasting or chipping. What it leaves behind breaks the bond of anything laid over it.")
	}
	if j.Heated {
		say("Heating pipes or cables: find and mark them, keep pipes under pressure with a gauge in sight while pouring, drive no pins and saw no joints over them; cables are tested before and after.")
	}
	if j.Pumped {
		say("Pump: the line whips when it is primed or clears a blockage; nobody stands at its end, and couplings are pinned and cabled.")
	}
	if j.Covering {
		say("Moisture: a fill over an old floor dries from its top alone. Test (ASTM F2170 or F1869) against the limit of whoever makes the covering or its adhesive; a date is no test.")
	}
	say("Locate pipes, cables, heating loops and tendons before drilling pins or grinding; plug drains and gaps. Local codes and licensed practice decide.")
	return out
}
