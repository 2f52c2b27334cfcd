package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/surface/blunder"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// looks describes each kind of blunder.
var looks = map[blunder.Kind]string{
	blunder.OneFoot:    "it looks one foot out",
	blunder.OneInch:    "it looks one inch out",
	blunder.Hundred:    "it looks 100 mm out",
	blunder.OneMetre:   "it looks one metre out",
	blunder.Transposed: "two digits look transposed",
	blunder.Dropped:    "a digit looks dropped",
	blunder.Misread:    "a digit looks misread",
	blunder.SignTurned: "the sign looks turned",
	blunder.NotRod:     "it looks like an elevation among readings, or a reading among elevations",
	blunder.OtherUnit:  "it looks like another unit",
	blunder.OffFloor:   "the rod may have stood on something",
	blunder.DoesNotFit: "it fits no usual slip, so it is a misread rod or a real step",
}

// wholeSlips are the slips of a whole unit.
var wholeSlips = map[blunder.Kind]string{blunder.OneFoot: "a foot", blunder.OneInch: "an inch", blunder.Hundred: "100 mm", blunder.OneMetre: "a metre"}

// BlunderText describes a finding: what was read in its row, what would fit, and its
// effect on the fill.
func BlunderText(b blunder.Finding) unit.Text {
	name := cmp.Or(b.Shot.Name(), "the shot")
	way := func(up, down string) string {
		if b.Off < 0 {
			return down
		}
		return up
	}
	change, held := unit.Textf("the fill is %s", effect(b)), ", at the same target"
	if b.Corrected == nil {
		change, held = unit.Textf("a fill to a level above the whole floor is %s", effect(b)), ""
	}
	if b.Kind == blunder.Moved {
		from, where := name, "before "+name
		if b.Between[0].At != b.Between[1].At {
			from, where = "some row", fmt.Sprintf("most likely before %s, at the earliest before %s, at the latest before %s", name, b.Between[0].Name, b.Between[1].Name)
		}
		return unit.Textf("the readings from %s on, up to %s, put the floor %s %s than the rows before them and the benchmarks give: the instrument looks moved %s; or the floor has a step there. If it was moved, write a row \"moved laser\" there and below it the row of the benchmark or turning point, read again. The readings are used as read (%s reads %s; %s would fit); without the jump%s, %s",
			from, b.Other.Name, unit.Change(math.Abs(b.Off)), way("higher", "lower"), where, name, b.Found, b.WouldFit, held, change)
	}
	look := looks[b.Kind]
	switch {
	case b.Kind == blunder.Swapped:
		look = fmt.Sprintf("exchanged with %s it fits, as does that one", b.Other.Name)
	case b.Kind == blunder.Copied:
		look = fmt.Sprintf("it repeats the reading of %s", b.Other.Name)
	case len(b.Also) > 0:
		var some []string
		for _, a := range b.Also {
			some = append(some, fmt.Sprintf("%s (%s)", a.WouldFit, a.Kind))
		}
		look = "it may be meant as " + strings.Join(some, " or ")
	}
	suggest := unit.Textf("%s, they suggest %s", unit.Elevation(b.Shot.Z), unit.Elevation(b.Fits))
	if b.Rod != "" { // the elevations are minus the readings
		suggest = unit.Textf("about %s", b.Rod)
	}
	if b.Kind == blunder.Lone {
		return unit.Textf("%s reads %s, %s %s the plane of the other %d shots, which are within %s of it: read it again. If %s is right, %s. It is used as read%s",
			name, b.Found, unit.Change(math.Abs(b.Off)), way("above", "below"), b.Others, unit.DepthUp(b.Within), b.WouldFit, change, blunder.Adjoining(b))
	}
	if b.Doubt {
		return unit.Textf("%s reads %s, %s %s than nearby shots suggest (%s). One shot cannot tell a misread rod from a real %s: read it again. If misread, %s would fit: %s, and %s. It is used as read%s",
			name, b.Found, unit.Change(math.Abs(b.Off)), way("higher", "lower"), suggest, way("hump", "hollow"), b.WouldFit, look, change, blunder.Adjoining(b))
	}
	return unit.Textf("%s reads %s, %s %s than nearby shots suggest (%s): %s. Used as read. If %s is right, %s. Read it again%s",
		name, b.Found, unit.Change(math.Abs(b.Off)), way("higher", "lower"), suggest, look, b.WouldFit, change, blunder.Adjoining(b))
}

// effect is the change of the fill with the reading that would fit: "0.32 m³ more".
func effect(b blunder.Finding) unit.Text {
	const none = 1e-6 // m³: rounding error
	switch {
	case math.Abs(b.VolumeChange) < none:
		return unit.Textf("the same")
	case b.VolumeChange < 0:
		return unit.Textf("%s less", unit.SmallVolume(-b.VolumeChange))
	}
	return unit.Textf("%s more", unit.SmallVolume(b.VolumeChange))
}

// maxDoubt names the reading in doubt on which the max depth depends: with the reading that
// would fit it is less by more than a step of depths.
func (w *Filled) maxDoubt() unit.Text {
	for i := range w.Blunders {
		b := &w.Blunders[i]
		if b.Kind == blunder.Moved {
			continue
		}
		if g := b.Rebuilt(w.Old); g != nil {
			if _, most := g.Depths(w.Fill.Target); w.Fill.Greatest-most > w.ownStep() {
				how := unit.Textf("%s low", unit.Change(math.Abs(b.Off)))
				if whole := wholeSlips[b.Kind]; whole != "" {
					how = unit.Textf("%s low", whole)
				}
				return unit.Textf(" (only because %s reads %s; otherwise %s)", doubtNamed(b.Shot), how, unit.Depth(most))
			}
		}
	}
	return unit.Text{}
}

// cutShare is the share of a cut that a reading in doubt must change to be named with it. Own
// choice.
const cutShare = 0.1

// CutDoubt names the reading in doubt on which the cut depends most: " (0.02 m³ if shot 24 is
// misread)". Empty if there is none.
func (w *Filled) CutDoubt() unit.Text {
	if w.groundLower() {
		return unit.Text{} // the corrected cut is of the target itself
	}
	now := w.Fill.Cut
	var worst *blunder.Finding
	change := cutShare * now
	for i := range w.Blunders {
		b := &w.Blunders[i]
		if b.Kind == blunder.Moved || b.Corrected == nil {
			continue
		}
		if d := math.Abs(now - b.Corrected.Cut); d > change {
			worst, change = b, d
		}
	}
	switch {
	case worst == nil:
		return unit.Text{}
	case worst.Corrected.Cut < 1e-9:
		return unit.Textf(" (none if %s is misread)", doubtNamed(worst.Shot))
	}
	return unit.Textf(" (%s if %s is misread)", unit.SmallVolume(worst.Corrected.Cut), doubtNamed(worst.Shot))
}

// doubtNamed returns a shot in a sentence.
func doubtNamed(p survey.Point) string {
	if p.Name() == "" {
		return fmt.Sprintf("the shot of line %d", p.At().Line)
	}
	return "shot " + p.Name()
}

// Doubts counts the readings in doubt and names them with their effect, the largest fill
// first; "" if there are none. between is written between "2 readings" and the names.
func Doubts(all []blunder.Finding, between string) unit.Text {
	if len(all) == 0 {
		return unit.Text{}
	}
	const most = 3 // max number named; the rest are counted
	sorted := slices.Clone(all)
	slices.SortStableFunc(sorted, func(a, b blunder.Finding) int {
		return cmp.Compare(math.Abs(b.VolumeChange), math.Abs(a.VolumeChange))
	})
	var names []unit.Text
	for _, b := range sorted[:min(most, len(sorted))] {
		name, at := doubtNamed(b.Shot), ""
		if b.Kind == blunder.Moved {
			name, at = "all from "+name+" on", " at the same target" // a threshold may move with the shots
		}
		names = append(names, unit.Textf("%s (if wrong, %s fill%s)", name, effect(b), at))
	}
	more := ""
	if n := len(sorted) - len(names); n > 0 {
		more = fmt.Sprintf(" and %d more", n)
	}
	return unit.Textf("%s%s: %s%s. Read again before you order", survey.Plural(len(all), "reading"), between, unit.Join(names, ", "), more)
}

// DoubtsOnOrder is [Doubts] beside an order: it says what is ordered instead if the reading of
// the largest effect is wrong.
func (w *Filled) DoubtsOnOrder() unit.Text {
	instead := w.instead()
	if instead.String() == "" {
		return Doubts(w.Blunders, "")
	}
	return unit.Textf("%s. %s", Doubts(w.Blunders, ""), instead)
}

// largest returns the finding of the largest effect on an order by the truck, and what is
// needed if that reading is wrong; nil if there is none or nothing comes by the truck.
func (w *Filled) largest() (worst *blunder.Finding, need float64) {
	var b *blunder.Finding
	for i := range w.Blunders {
		if c := &w.Blunders[i]; b == nil || math.Abs(c.VolumeChange) > math.Abs(b.VolumeChange) {
			b = c
		}
	}
	if b == nil || b.Kind == blunder.Moved || w.Delivery.Trucks == 0 || w.OnSite || len(w.Bags) > 0 {
		return nil, 0
	}
	// Of several materials the truck brings one: what changes is taken to be of that one.
	now, err := floorOf(w.Floor, w.Fill).Takeoff(w.Losses)
	if err != nil {
		return nil, 0
	}
	then, err := floorOf(w.Floor, *b.Corrected).Takeoff(w.Losses)
	if err != nil {
		return nil, 0
	}
	if need = w.Takeoff.Need + (then.Need - now.Need); need <= 0 {
		return nil, 0
	}
	return b, need
}

// OrderDoubt is what is ordered by the truck if the reading of the largest effect is
// misread, for beside the order: " (2.50 yd³ if shot 24 is misread)". Empty if it is the same.
func (w *Filled) OrderDoubt() unit.Text {
	b, need := w.largest()
	if b == nil || w.smallBags && need < order.BagsBelow {
		return unit.Text{}
	}
	then, err := w.plant.Deliver(need)
	if err != nil || then.Volume == w.Delivery.Volume {
		return unit.Text{}
	}
	return unit.Textf(" (%s if %s is misread)", order.SoldIn(then.Volume, w.Mix.Step, w.own()), doubtNamed(b.Shot))
}

// instead is about what is ordered if the reading of the largest effect is wrong; "" if that
// comes in as many trucks, if several materials share the fill, if nothing comes by the truck or
// if the loads are planned: how many they were then is not known.
func (w *Filled) instead() unit.Text {
	b, need := w.largest()
	d := w.Delivery
	if b == nil || d.Loads != nil {
		return unit.Text{}
	}
	name := doubtNamed(b.Shot)
	if w.smallBags && need < order.BagsBelow {
		return unit.Textf("If %s is wrong, order about %s, in bags: too little for a truck", name, unit.Volume(need))
	}
	then, err := w.plant.Deliver(need)
	if err != nil || then.Volume == d.Volume || then.Trucks == d.Trucks && then.Short == d.Short { // [Filled.OrderDoubt] has it
		return unit.Text{}
	}
	short := ""
	if then.Short && !d.Short {
		short = ", a short load"
	}
	return unit.Textf("If %s is wrong, order about %s, %s%s", name, order.SoldIn(then.Volume, w.Mix.Step, w.own()), survey.Plural(then.Trucks, "truck"), short)
}
