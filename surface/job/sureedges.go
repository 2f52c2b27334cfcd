package job

import (
	"math"

	"pourplane/surface/flatness"
)

// sureEdges works out how sure the gaps under straightedges are: those that readings are close
// enough for by laying them again, the others by what single shots prove.
func (f *judging) sureEdges(j *Judged, watch Watch) error {
	watch.Say("working out how sure the gaps are", 0, 0)
	j.ReadingSD = j.Accuracy.Reading
	j.scatter = flatness.Scatter(j.Floor, j.Target, j.Runs, j.Accuracy.Reading)
	if !j.Accuracy.ReadingGiven {
		j.ReadingSD = j.scatter
	}
	if j.Floor == nil {
		for i := range j.Edges {
			e := &j.Edges[i]
			sure, err := flatness.SureRuns(j.Runs, flatness.Laying{Length: e.Length}, j.scatter)
			if err != nil {
				return err
			}
			e.SureGap = j.asStated(sure, math.Sqrt2, 0)
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
	gaps, steps, err := flatness.SureEdges(laid, flatness.Laying{Target: plane, Stop: f.stop}, j.scatter, lengths...)
	if err != nil {
		return err
	}
	for i, e := range of {
		e.SureGap, e.SureStep = j.asStated(gaps[i], math.Sqrt2, 0), j.asStated(steps[i], math.Sqrt2, 0)
		e.SureGap.Short = flatness.Unseen(j.Apart, e.Length)
		e.SureStep.Short = e.SureGap.Short
	}
	return nil
}

// asStated returns how sure a max is, found with the scatter of the readings, where the user
// states a larger error than that: readings that share a part of it scatter less. One value has
// times the error of a reading, and setup, m.
func (j *Judged) asStated(s flatness.Sure, times, setup float64) flatness.Sure {
	if j.scatter < j.ReadingSD {
		s.Stated = math.Hypot(times*j.ReadingSD, setup)
	}
	return s
}
