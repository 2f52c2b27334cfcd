package job

import (
	"cmp"
	"math"

	"pourplane/surface"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Brought is how high a given volume fills a floor.
type Brought struct {
	Volume float64        // m³, placed
	Sets   bool           // it sets the target: the other heights are those of the target
	Target surface.Target // that it fills to, of the shape of the target
	Off    float64        // m above the target; negative: below
	Left   float64        // m³ more than the target takes; negative: short

	// Placed is what is placed of Volume, m³, if the trucks bring Volume: less the allowance and
	// the other losses of the order. It is Volume where there are none.
	Placed     float64
	PlacedOff  float64 // m above the target that it then fills to
	PlacedTop  surface.Target
	PlacedLeft float64
}

// Lost reports whether the order has losses, so that less is placed than the trucks bring.
func (b *Brought) Lost() bool { return b.Placed < b.Volume }

// givenVolume reads the volume that is placed, m³.
func (f *targetFlags) givenVolume(us bool) (float64, error) {
	v, err := unit.ParseVolume(f.volume)
	if err != nil || !(v >= 0) {
		return 0, noVolume("volume", f.volume, us)
	}
	if v == 0 {
		return 0, misused("volume", unit.Quote(f.volume), "more than 0").Hinted("%s", unit.LeaveOut("volume"))
	}
	return v, nil
}

// volumeSets reports whether the given volume sets the height of the target.
func (f *targetFlags) volumeSets() bool { return f.volume != "" && !f.heightGiven() }

// placed moves a plane to the height at which the given volume fills the floor up to it.
func (f *targetFlags) placed(floor *surface.Floor, shape surface.Plane, us bool) (surface.Plane, error) {
	z, err := f.filledBy(floor, shape, shape.Z, us)
	shape.Z = z
	return shape, err
}

// filledBy returns z moved as far as a target must move for the given volume to fill the floor up
// to it.
func (f *targetFlags) filledBy(floor *surface.Floor, target surface.Target, z float64, us bool) (float64, error) {
	v, err := f.givenVolume(us)
	if err != nil {
		return z, err
	}
	up := floor.RaiseFor(target, v)
	if fill := floor.FillTo(target.Moved(up), nil); !(fill.Greatest <= tooFar) {
		greatest := fill.Greatest
		return z, misused("volume", "", "").Measured(unit.Textf("%s, which fills the floor to a depth of %s", unit.Quote(f.volume), unit.Distance(greatest)), unit.Textf("the volume that is placed, with its unit"), unit.Text{})
	}
	return z + up, nil
}

// brought works out how high the given volume fills the floor of w; nil if none is given.
func (f *filling) brought(w *Filled) (*Brought, error) {
	if f.volume == "" {
		return nil, nil
	}
	v, err := f.givenVolume(w.own())
	if err != nil {
		return nil, err
	}
	losses, _, err := f.lossesFor(w)
	if err != nil {
		return nil, err
	}
	b := &Brought{Volume: v, Sets: !f.heightGiven()}
	b.Off, b.Target, b.Left = w.reached(v)
	if b.Placed = w.placedOf(v, losses); b.Placed > 0 {
		b.PlacedOff, b.PlacedTop, b.PlacedLeft = w.reached(b.Placed)
	}
	return b, nil
}

// reached returns how far a volume fills the floor above the target, m, the target that it
// fills to, and what is left of it at the target, m³.
func (w *Filled) reached(volume float64) (off float64, top surface.Target, left float64) {
	target := w.Fill.Target
	off = w.Floor.RaiseFor(target, volume)
	if math.Abs(off) <= solvedTo {
		return 0, target, 0
	}
	return off, target.Moved(off), volume - w.Fill.Fill
}

// solvedTo is how far a height that a volume sets may be off by rounding, m: elevations are no
// more exact than that.
const solvedTo = 1e-11

// placedOf returns what is placed of what the trucks bring, m³, not below 0: the volume whose
// order, before it is rounded up, is brought. A rough floor and a high finish take mix by the
// area that is filled, which the volume decides: that part is found by bisection, to a
// millionth of a millimetre of height.
func (w *Filled) placedOf(brought float64, l order.Losses) float64 {
	pump := math.Pi/4*l.Bore*l.Bore*l.Length + l.Hopper + l.Priming
	left := (brought - pump) / (1 + l.Allowance)
	if left <= 0 {
		return 0
	}
	skin := l.Roughness*w.Fill.Sloped/w.Fill.Area + l.High
	if skin == 0 {
		return left
	}
	target := w.Fill.Target
	lo, hi := -w.Fill.Greatest, w.Floor.RaiseFor(target, left)
	placed := 0.0
	for hi-lo > 1e-9 {
		m := lo + (hi-lo)/2
		fill, area := w.Floor.FilledTo(target.Moved(m))
		if fill+skin*area > left {
			hi = m
			continue
		}
		lo, placed = m, fill
	}
	return placed
}

// judgeBrought warns of a volume that, levelled out, ends above an adjoining finished floor
// though the target does not. Where the volume sets the target, the target is warned of.
func (f *filling) judgeBrought(w *Filled) []survey.Note {
	b := w.Brought
	if b == nil || b.Sets || b.Left <= 0 {
		return nil
	}
	var worst *surface.Threshold
	for _, t := range surface.Thresholds(f.finished(w.Survey), b.Target, w.Covering) {
		if t.Room < -w.ownStep() && (worst == nil || t.Room < worst.Room) {
			worst = &t
		}
	}
	if worst == nil {
		return nil
	}
	return []survey.Note{survey.Notef(survey.Warning, worst.Point.At(), "%s levelled out ends %s above the adjoining finished floor at %s: stop at the target, which takes %s",
		unit.SmallVolume(b.Volume), LessThanStep(-worst.Room), cmp.Or(worst.Point.Name(), "the threshold"), unit.SmallVolume(w.Fill.Fill)).About(survey.AboutTarget)}
}
