package job

import (
	"pourplane/surface/flatness"
)

// sureEdges works out how sure the gaps under straightedges are: those that readings are close
// enough for by laying them again, the others by what single shots prove.
func (f *judging) sureEdges(j *Judged, watch Watch) error {
	watch.Say("working out how sure the gaps are", 0, 0)
	j.ReadingSD = j.Accuracy.Reading
	if !j.Accuracy.ReadingGiven {
		j.ReadingSD = flatness.Scatter(j.Floor, j.Target, j.Runs, j.Accuracy.Reading)
	}
	if j.Floor == nil {
		for i := range j.Edges {
			e := &j.Edges[i]
			sure, err := flatness.SureRuns(j.Runs, flatness.Laying{Length: e.Length}, j.ReadingSD)
			if err != nil {
				return err
			}
			e.SureGap = sure
			e.SureGap.Short = flatness.Unseen(j.Apart, e.Length)
		}
		return nil
	}
	laid, plane, err := j.underEdges()
	if err != nil {
		return err
	}
	var lengths []float64
	var of []*Laid
	for i := range j.Edges {
		switch e := &j.Edges[i]; {
		case !e.Fits:
		case j.Carries(e.Length):
			lengths, of = append(lengths, e.Length), append(of, e)
		default:
			if proof, ok := flatness.Prove(laid, e.Length, j.ReadingSD); ok {
				e.Proof = &proof
			}
		}
	}
	gaps, steps, err := flatness.SureEdges(laid, flatness.Laying{Target: plane, Stop: f.stop}, j.ReadingSD, lengths...)
	if err != nil {
		return err
	}
	for i, e := range of {
		e.SureGap, e.SureStep = gaps[i], steps[i]
		e.SureGap.Short = flatness.Unseen(j.Apart, e.Length)
		e.SureStep.Short = e.SureGap.Short
	}
	return nil
}
