package job

import (
	"math"
	"slices"

	"pourplane/surface/flatness"
	"pourplane/surface/uncertainty"
)

// levelDraws is how many floors are drawn for the level of a floor: a bound that one in 20 is beyond
// is then good to about a tenth of the spread. Own choice.
const levelDraws = 400

// betweenShots works out how far the floor may be from its target between the shots, and how much of
// it is within the tolerance; nil where the shots do not say.
func (f *judging) betweenShots(j *Judged, rows []flatness.Row) error {
	if j.Floor == nil {
		return nil
	}
	// All of the floor is below a target far enough up.
	const clear = 1 // m
	lift := max(0, j.Off.Highest) + clear
	target := j.Target.Moved(lift)
	split, err := j.Floor.Under(target)
	if err != nil {
		return err
	}
	setup := j.Accuracy.Setup
	if j.Fitted { // a plane through the same shots has their errors of set-up too
		setup = 0
	}
	m := uncertainty.New(uncertainty.Input{Floor: j.Floor, Split: split, Target: target,
		Errors: uncertainty.Errors{Reading: j.ReadingSD, Setup: setup}, Setup: setupsOf(j.Survey), Ties: tiesOf(j.Survey)})
	limits := []float64{j.Tol}
	for _, r := range rows {
		if r.Kind == flatness.ByDatum && r.Share > 0 {
			limits = append(limits, r.Limit)
		}
	}
	d := m.Departures(levelDraws, lift, limits)
	if d == nil {
		return nil
	}
	if !m.Everywhere() { // what the tiles looked at add, on the whole floor
		most := flatness.AtShots(j.Floor, j.Target).Value
		for i := range d.Most {
			d.Most[i] += most - d.MostRead
		}
	}
	j.between = apartFromSetup(m)
	j.Between = &flatness.Between{Most: d.Most, Share: map[float64][]float64{}}
	slices.Sort(d.Most)
	for k, limit := range limits {
		read := flatness.DeviationsFrom(j.Floor, j.Target, limit).Within
		var shares []float64
		for _, s := range d.Share {
			if !m.Everywhere() {
				s[k] = math.Max(0, math.Min(1, s[k]+read-d.ShareRead[k]))
			}
			shares = append(shares, s[k])
		}
		slices.Sort(shares)
		j.Between.Share[limit] = shares
	}
	return nil
}

// apartFromSetup returns by how much the elevation of a place is off that of the triangulated floor, in
// the root mean square over the floor, without the error of the set-up, m.
func apartFromSetup(m *uncertainty.Model) float64 {
	area, squares, setup := 0.0, 0.0, m.SetupSD()
	for _, cells := range m.Cells() {
		for _, c := range cells {
			if c.SD >= 0 {
				area, squares = area+c.Area, squares+c.Area*max(0, c.SD*c.SD-setup*setup)
			}
		}
	}
	return math.Sqrt(squares / area)
}

// WithinBetween returns the 90 % range of the share of the floor within the tolerance, 0 to 1; it is not
// known where the shots do not say.
func (j *Judged) WithinBetween() (low, high float64, known bool) {
	if j.Between == nil {
		return 0, 1, false
	}
	return j.Between.Shares(j.Tol, j.Off.Within)
}
