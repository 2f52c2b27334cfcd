package report

import (
	"strings"

	"pourplane/survey/unit"
)

// jointKind is the kind of joints for programs.
func (h *Handover) jointKind() string {
	if h.Movement {
		return "movement"
	}
	return "contraction"
}

// cutText explains the depth of the saw cut of contraction joints.
func (h *Handover) cutText() string {
	if h.Job.Site.Bonded {
		return "through the fill where it is deepest; elsewhere as deep as the fill"
	}
	least := "25 mm"
	if h.Style.Imperial {
		least = "1 in"
	}
	return "a quarter of the mean depth, min " + least
}

// movementText is what to do with the movement joints of the old floor.
func (h *Handover) movementText() string {
	text := "Movement joints of the old floor (isolation or expansion joints): carry each through the full depth of the fill and of the covering, at the same place and at least as wide. " +
		"Set a compressible strip before the pour, or cut right through; no steel may cross the joint. A cut of a quarter of the depth is for contraction joints only. Put sealant over a backer rod at the top of the covering"
	text += ". " + h.stripText() + " Common practice, no source: the product label and the designer take precedence."
	if len(h.JointsAt) > 0 {
		text += " Places: " + unit.Join(h.JointsAt, "; ").In(h.Style) + "."
	} else {
		text += " Places: the job gives a length only. Mark each joint on the walls on site before the pour hides it."
	}
	if h.JointWidth == 0 {
		text += " Width: not given, measure it on site; sealant and rod are not counted without it."
	}
	return strings.TrimSpace(text)
}

// stripText is how high the compressible strip is, for the pour and below the sealant.
func (h *Handover) stripText() string {
	text := "Set the strip as high as the fill, or mix runs over it and bridges the joint."
	k := h.Joints
	if k.Rod == 0 {
		return text
	}
	need, over := k.Fill+k.Bore, h.Covering.Thickness+h.Covering.Bed
	below := h.Style.DepthUp(need)
	switch {
	case over == 0:
		return text + " Afterwards cut it down to " + below + " below the top of the covering, to leave room for the rod and the sealant."
	case over >= need-1e-9:
		return text + " The covering over it has the " + below + " that the rod and the sealant need."
	}
	return text + " Afterwards cut it down to " + h.Style.DepthUp(need-over) + " below the top of the fill, which is " + below + " below the top of the covering, to leave room for the rod and the sealant."
}
