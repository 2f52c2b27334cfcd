package job

import (
	"math"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Judged is the complete result of a flatness check.
type Judged struct {
	Survey    *survey.Survey
	Floor     *surface.Floor // nil if there are only runs
	Settings  flatness.Settings
	Accuracy  Accuracy // of the survey judged
	ReadingSD float64  // m, of one reading in verdicts: see [flatness.Scatter]
	between   float64  // m, of the elevation of a place between the shots; 0: not known
	scatter   float64  // m: no more than ReadingSD
	joints    []survey.Breakline
	Runs      []survey.Run
	LaidOut   bool
	Whole     *flatness.Whole // nil without runs suited to F-numbers
	Why       unit.Text       // reason why there are none
	Chords    []flatness.Chord
	Edges     []Laid
	Apart     float64                      // m between shots, or between readings of the runs; 0: not known
	close     func(wanted float64) float64 // share of the floor with readings that close; nil: of runs
	OnRuns    flatness.Count               // number of readings of the runs, and how many a verdict needs
	Shots     flatness.Count               // the same for shots of the surface
	Near      int                          // number of shots within the tolerance of the target
	Target    surface.Target
	Best      *Best      // the target, if it is the plane of least cost
	NotFilled []PartLeft // parts of the floor that are not filled, and not judged
	Design    *Design    // a surface from a file that is the target; else nil
	Ramps     []Ramp     // of the target
	Fitted    bool       // the target is a plane, a least-squares fit to the floor
	Off       flatness.Deviations
	Between   *flatness.Between // what the floor may be between the shots; nil: not known
	Area      float64           // m²
	Tol       float64
	Verdicts  []flatness.Verdict
	Work      flatness.Work
	Raised    *flatness.Compensation // nil if nothing is high
	finish    surface.Target         // finished floor; nil if not known
	Placed    *flatness.Placement
	Bed       *flatness.Bedding
	Covering  surface.Covering
	Doors     *Filled   // thresholds under the target; nil without a target
	Water     *Standing // on the floor judged; nil unless asked for
	Notes     []survey.Note

	Title     string
	Asked     int     // number of straightedges that the user asks for; they come first
	InJob     bool    // the fill of the job already shows its thresholds
	LeastArea float64 // m², min area of a listed high or low
	Covered   bool    // a covering is given

	TakenOff unit.Text // what the job itself orders; empty without a job, or if it is not known
}

// Laid is a straightedge on the floor, or along the runs.
type Laid struct {
	flatness.Straightedge
	Run               string // run with the worst place; empty on a surface
	SureGap, SureStep flatness.Sure
	Proof             *flatness.Proof // of a gap, where shots are too far apart for more; nil: none
}

// measureApart finds the spacing of the readings under straightedges.
func (j *Judged) measureApart() {
	if j.Floor != nil {
		j.Apart, j.close = flatness.ApartOn(j.Floor)
		return
	}
	for _, r := range j.Runs {
		j.Apart = max(j.Apart, r.Step)
	}
}

// underEdges returns the floor that straightedges are laid on, and the plane that it is to be.
// Where the target bends, an edge would rock on its ridges and bridge its valleys: it is laid on
// the heights above the target.
func (j *Judged) underEdges() (*surface.Floor, surface.Plane, error) {
	if plane, ok := surface.IsPlane(j.Target); ok {
		return j.Floor, plane, nil
	}
	above, err := j.Floor.Above(j.Target)
	return above, surface.Plane{}, err
}

// CloseShare returns on which share of the floor, 0 to 1, readings are no farther apart than a
// length in m; along runs all or none.
func (j *Judged) CloseShare(wanted float64) float64 {
	switch {
	case j.close != nil:
		return j.close(wanted)
	case j.Settings.Carries(j.Apart, wanted/j.Settings.Wanted(1)):
		return 1
	}
	return 0
}

// Carries reports whether the readings are close enough for a verdict with a
// straightedge of that length, m.
func (j *Judged) Carries(length float64) bool {
	return j.Settings.Carries(j.Apart, length) && !(j.Floor == nil && j.OnRuns.Few())
}

// TooSparse returns the reason why the readings give no verdict with a straightedge of
// that length, m; empty if they do.
func (j *Judged) TooSparse(length float64) unit.Text {
	switch {
	case j.Carries(length):
		return unit.Text{}
	case j.Settings.Carries(j.Apart, length):
		return unit.Textf("no verdict: %s", j.OnRuns)
	}
	return unit.Textf("no verdict: %s", j.Sparse(j.Settings.Wanted(length)))
}

// instead returns what to do where the readings give no verdict with a straightedge of that
// length, m.
func (j *Judged) instead(length float64) unit.Text {
	return unit.Textf("Lay one by hand and measure the gap with a wedge, or shoot every %s along lines", unit.Distance(j.Settings.Wanted(length)))
}

// LevelLack returns what the shots lack for a verdict about the level of the whole
// floor; empty if they lack nothing.
func (j *Judged) LevelLack() unit.Text {
	if wanted := j.Settings.LevelWanted(j.Apart); wanted > 0 {
		return j.Sparse(wanted)
	}
	if j.Shots.Few() {
		return unit.Textf("%s", j.Shots)
	}
	return unit.Text{}
}

// Readings names the readings under straightedges. In a job those of the survey before the
// pour are shots too, at another spacing.
func (j *Judged) Readings() string {
	switch {
	case j.Floor == nil:
		return "readings"
	case j.InJob:
		return "check shots"
	}
	return "shots"
}

// Sparse returns a text that the readings are too far apart, with the spacing that would do and
// the share of the floor where they are no farther apart.
func (j *Judged) Sparse(wanted float64) unit.Text {
	if share := math.Floor(100 * j.CloseShare(wanted)); share > 0 && j.close != nil {
		return unit.Textf("%s, met on %.0f %% of the floor", j.far(wanted), share)
	}
	return j.far(wanted)
}

// far is [Judged.Sparse] without the share.
func (j *Judged) far(wanted float64) unit.Text {
	return unit.Textf("%s %s apart, max %s needed", j.Readings(), unit.Distance(j.Apart), unit.Distance(wanted))
}
