package flatness

import "math"

// Between is how far a floor may be from its target between the shots: on each of the floors that
// they allow.
type Between struct {
	Most  []float64             // m: the largest departure, ascending
	Share map[float64][]float64 // of the area within a limit in m, 0 to 1, ascending
}

// quantile returns the value that a share of the ascending values is below.
func quantile(sorted []float64, share float64) float64 {
	return sorted[min(int(share*float64(len(sorted))), len(sorted)-1)]
}

// Shares returns the 90 % range of the share of the area within a limit, m, that is read as v: it
// holds v. Unknown for limits that were not asked for.
func (b *Between) Shares(limit, v float64) (low, high float64, known bool) {
	s := b.Share[limit]
	if s == nil {
		return v, v, false
	}
	return min(v, quantile(s, 0.05)), max(v, quantile(s, 0.95)), true
}

// between widens the range of a departure to what the floor does between the shots. A pass that
// nearly all floors that the shots allow would fail is not measured.
func (v *Verdict) between(b *Between) {
	if b == nil || v.Outcome == NotMeasured {
		return
	}
	if r := v.Row; r.Share > 0 && r.Share < 1 {
		if low, high, known := b.Shares(v.Limit, v.Share); known && !v.InDoubt {
			v.share(low, high)
		}
		return
	}
	high := quantile(b.Most, 0.95)
	if math.IsNaN(v.High) {
		v.Low, v.High = v.Value, v.Value // without errors of the readings
	}
	read := v.High
	v.High = max(read, high)
	if v.Outcome == Fail {
		return
	}
	switch low := quantile(b.Most, 0.05); {
	case low > v.Limit+none && low > read:
		v.withhold(LikelyOut)
	case high > v.Limit+none && !v.InDoubt:
		v.doubtLimit()
	}
}

// What a verdict of the level of a floor lacks where the shots do not carry it.
const (
	LikelyOut  = "within the limit at the shots, but likely not between them or at the walls"
	BetweenNot = "at the shots alone: between them the floor is not known"
)

// withhold withdraws a verdict that the shots do not carry; its value stays.
func (v *Verdict) withhold(why string) {
	v.Outcome, v.Lack, v.InDoubt = NotMeasured, why, false
	v.remark(why)
}
