package order

import (
	"math"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Spacing is the usual spacing of contraction joints, m.
type Spacing struct{ Least, Most float64 }

// JointSpacing returns the spacing of contraction joints in an unbonded fill depth m thick:
// 24 to 36 times that, and at most 18 ft. If depth varies, its minimum needs the closest
// joints. A bonded fill has the joints of the floor beneath it and no rule of its own. A
// designer's spacing takes precedence.
//
// Source: PCA table of joint spacings, 4, 5, 6 in: 8–12, 10–15, 12–18 ft, which is this
// rule; it ends at 18 ft (also ACI 302.1R, from memory; NRMCA, from memory, gives 15 ft).
func JointSpacing(depth float64) (Spacing, error) {
	if err := check(quantity{"depth of the fill", depth, math.SmallestNonzeroFloat64, 1, "a depth in m, more than 0 and no more than 1"}); err != nil {
		return Spacing{}, err
	}
	const most = 18 * foot
	return Spacing{min(24*depth, most), min(36*depth, most)}, nil
}

// Joints are either movement joints of the old floor, which continue through the fill and the
// covering, or contraction joints sawn in the fill.
type Joints struct {
	Length    float64 // m
	Movement  bool    // through the full depth, with a compressible strip, and sealant over a rod in the covering
	Bonded    bool    // the fill is bonded: it is cut through, over every joint below
	Width     float64 // m, at least that of the joint below. 0: not known if Movement, otherwise 3 mm, a saw blade (common practice, no source)
	Elastic   bool    // an elastic sealant over a rod, half as deep as wide, from 6 to 13 mm; otherwise a stiff filler to the bottom of the cut
	Allowance float64 // share added to filler and rod
	Pack      float64 // L in a cartridge or can; 0: not counted
	Step      float64 // m: cut and sealant are whole steps of a rule deep, so that counts match the figures shown; 0: any depth
	US        bool    // the cut is min 1 in, and the sealant from 1/4 to 1/2 in deep
}

const (
	cutShare   = 0.25  // of the depth, see [Joints.Over]
	usualBlade = 0.003 // m, see [Joints]
	rodByWidth = 1.25  // see [JointOrder]
)

// JointOrder is the material for joints.
type JointOrder struct {
	Cut    float64 // m, depth of the joint in the fill
	Strip  float64 // m of compressible strip, as high as the fill; 0: none
	Fill   float64 // m, depth of the filler in it
	Filler float64 // L
	Packs  int
	Rod    float64 // m of rod below the filler; 0: none
	Bore   float64 // m, diameter of the rod: a quarter more than the joint (common practice, no source)
	Notes  []survey.Note
}

// Over returns the material for j in a fill of a depth in m: for movement joints and in a
// bonded fill the max depth that the joints cross, otherwise its thickness. A movement joint
// is open through all of it. A contraction joint is cut a quarter of it but min 25 mm or 1 in,
// or all of a thinner fill. Sealant and rod of a movement joint are counted if its width is
// known.
//
// Source: Concrete Construction, Recommended depth for control joints (a quarter, at least 1
// in); a third is common practice. A movement joint through the full depth, with a
// compressible strip: common practice, no source. A bonded overlay is sawn full depth over the joints of
// its base: PCA, Placing a bonded floor overlay. Sealant half as deep as wide, 6 to 13 mm:
// handbook of architectural detailing. A stiff filler to the bottom: ACI 302.1R, from
// memory.
func (j Joints) Over(depth float64) (JointOrder, error) {
	unknown := j.Movement && j.Width == 0
	if j.Width == 0 {
		j.Width = usualBlade
	}
	if err := check(quantity{"joints", j.Length, 0, 1e6, "a length in m, 0 to 1e6"}, quantity{"step of the rule", j.Step, 0, 0.1, "a length in m, 0 to 0.1"}, quantity{"depth of the fill", depth, math.SmallestNonzeroFloat64, 1, "a depth in m, more than 0 and no more than 1"},
		quantity{"width of the joint", j.Width, math.SmallestNonzeroFloat64, 0.1, "a width in m, more than 0 and no more than 0.1"}, share(PartAllowance, j.Allowance), amount("pack of filler", j.Pack, "litres")); err != nil {
		return JointOrder{}, err
	}
	least := 0.025 // m, as it is said in metric units: an inch would be cut, and shown, as 26 mm
	if j.US {
		least = inch
	}
	out := JointOrder{Cut: min(depth, max(cutShare*depth, least))}
	if j.Bonded || j.Movement {
		out.Cut = depth
	}
	if j.Step > 0 {
		out.Cut = stepsTo(out.Cut, j.Step) * j.Step
	}
	if j.Movement {
		j.Elastic = true
		out.Strip = j.Length * (1 + j.Allowance)
	}
	if unknown {
		if j.Length > 0 {
			out.Notes = append(out.Notes, warning("joints: no width given: measure it on site; sealant and backer rod are not counted"))
		}
		return out, nil
	}
	out.Fill = out.Cut
	if j.Elastic {
		out.Fill = min(out.Cut, j.sealant())
	}
	out.Filler = j.Length * j.Width * out.Fill * (1 + j.Allowance) / litre
	if j.Pack > 0 {
		n, err := packs("filler", out.Filler/j.Pack)
		if err != nil {
			return JointOrder{}, err
		}
		out.Packs = n
	}
	if j.Elastic && j.Length > 0 {
		bore := rodByWidth * j.Width
		if room := out.Cut - out.Fill; room < bore-hair {
			out.Notes = append(out.Notes, warning("joints: below the sealant the cut has %s left, too little for a rod of %s; lay a bond breaker tape instead", unit.Depth(room), unit.Depth(bore)))
		} else {
			out.Rod, out.Bore = j.Length*(1+j.Allowance), bore
		}
	}
	return out, nil
}

// sealant returns the depth of an elastic sealant, m: see [Joints.Over].
func (j Joints) sealant() float64 {
	least, most := 0.006, 0.013
	if j.US {
		least, most = inch/4, inch/2
	}
	deep := max(least, min(most, j.Width/2))
	if j.Step > 0 {
		deep = math.Floor(deep/j.Step+0.5+hair) * j.Step
	}
	return deep
}
