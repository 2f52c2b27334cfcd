package order

import (
	"math"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Spacing is how far apart contraction joints usually stand, m.
type Spacing struct{ Least, Most float64 }

// JointSpacing returns how far apart contraction joints stand in an unbonded fill that is
// depth m thick: 24 to 36 times that, and no more than 18 ft. Where depth varies, the least of
// it asks for the closest joints. A bonded fill has the joints of the floor beneath it and no
// rule of its own; with a designer's spacing, take the designer's.
//
// Source: PCA table of joint spacings, 4, 5, 6 in: 8–12, 10–15, 12–18 ft, which is this rule;
// 18 ft is where it ends (also ACI 302.1R, from memory; NRMCA, from memory, says 15 ft).
func JointSpacing(depth float64) (Spacing, error) {
	if err := check(quantity{"depth of the fill", depth, math.SmallestNonzeroFloat64, 1, "a depth in m, more than 0 and no more than 1"}); err != nil {
		return Spacing{}, err
	}
	const most = 18 * foot
	return Spacing{min(24*depth, most), min(36*depth, most)}, nil
}

// Joints are movement joints of the old floor that are carried through the fill, and joints
// that are sawn in it.
type Joints struct {
	Length    float64 // m
	Bonded    bool    // the fill is bonded: it is cut through, over every joint beneath
	Width     float64 // m; 0: 3 mm, a saw blade (common practice, no source). Over a joint, no less than its width
	Elastic   bool    // an elastic sealant over a rod, half as deep as wide, from 6 to 13 mm; otherwise a stiff filler to the bottom of the cut
	Allowance float64 // share added to filler and rod
	Pack      float64 // L in a cartridge or can; 0: not counted
	Step      float64 // m: cut and sealant are as deep as whole steps of a rule, so that what is shown is what is counted; 0: any depth
	US        bool    // the sealant is from 1/4 to 1/2 in deep
}

const (
	cutShare   = 0.25  // of the depth, see [Joints.Over]
	usualBlade = 0.003 // m, see [Joints]
	leastCut   = inch  // see [Joints.Over]
	rodByWidth = 1.25  // see [JointOrder]
)

// JointOrder is what joints take.
type JointOrder struct {
	Cut    float64 // m, depth of the saw cut
	Fill   float64 // m, depth of the filler in it
	Filler float64 // L
	Packs  int
	Rod    float64 // m of rod below the filler; 0: none
	Bore   float64 // m, diameter of the rod: a quarter more than the joint (common practice, no source)
	Notes  []survey.Note
}

// Over returns what j takes in a fill of a depth in m: over a bonded fill the deepest that the
// joints cross, else its thickness. The cut is a quarter of that but no less than 1 in, or all of
// a thinner fill.
//
// Source: Concrete Construction, Recommended depth for control joints (a quarter, at least 1
// in); a third is common practice. A bonded overlay is sawn full depth over the joints of its
// base: PCA, Placing a bonded floor overlay. Sealant half as deep as wide, 6 to 13 mm:
// handbook of architectural detailing. A stiff filler to the bottom: ACI 302.1R, from memory.
func (j Joints) Over(depth float64) (JointOrder, error) {
	if j.Width == 0 {
		j.Width = usualBlade
	}
	if err := check(quantity{"joints", j.Length, 0, 1e6, "a length in m, 0 to 1e6"}, quantity{"step of the rule", j.Step, 0, 0.1, "a length in m, 0 to 0.1"}, quantity{"depth of the fill", depth, math.SmallestNonzeroFloat64, 1, "a depth in m, more than 0 and no more than 1"},
		quantity{"width of the joint", j.Width, math.SmallestNonzeroFloat64, 0.1, "a width in m, more than 0 and no more than 0.1"}, share("allowance", j.Allowance), amount("pack of filler", j.Pack, "litres")); err != nil {
		return JointOrder{}, err
	}
	out := JointOrder{Cut: min(depth, max(cutShare*depth, leastCut))}
	if j.Bonded {
		out.Cut = depth
	}
	if j.Step > 0 {
		out.Cut = wholes(out.Cut/j.Step) * j.Step
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

// sealant returns how deep an elastic sealant is, m: see [Joints.Over].
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
