package job

import (
	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Judged is everything that flatness has worked out.
type Judged struct {
	Survey   *survey.Survey
	Style    unit.Style
	Floor    *surface.Floor // nil for runs alone
	Settings flatness.Settings
	joints   []survey.Breakline
	Runs     []survey.Run
	LaidOut  bool
	Whole    *flatness.Whole // nil without runs that F-numbers take
	Why      string          // there are none
	Chords   []flatness.Chord
	Edges    []Laid
	Apart    float64        // m between shots, or between readings of the runs; 0: none
	OnRuns   flatness.Count // readings of the runs, and how many a verdict wants
	Shots    flatness.Count // of the surface
	Near     int            // of the shots, within the tolerance of the plane
	Plane    surface.Plane
	Fitted   bool // plane is the floor's own, of least squares
	Off      flatness.Departures
	Area     float64 // m²
	Tol      float64
	Verdicts []flatness.Verdict
	Work     flatness.Work
	Raised   *flatness.Compensation // nil where nothing stands high
	finish   *surface.Plane         // of the finished floor; nil where it is not known
	Placed   *flatness.Placement
	Bed      *flatness.Bedding
	Covering surface.Covering
	Doors    *Filled // thresholds under the target; nil without one
	Notes    []survey.Note

	Title     string
	Asked     int     // of edges: the user's own come first
	InJob     bool    // the fill of the job has shown its thresholds
	LeastArea float64 // m², of a place that is listed
	Covered   bool    // a covering was given
}

// Laid is a straightedge on the floor, or along the runs.
type Laid struct {
	flatness.Straightedge
	Run string // that has the worst place; empty on a surface
}

// measureApart finds how far apart the readings are that straightedges rest on.
func (j *Judged) measureApart() {
	if j.Floor != nil {
		j.Apart = flatness.Apart(j.Floor)
		return
	}
	for _, r := range j.Runs {
		j.Apart = max(j.Apart, r.Step)
	}
}

// Carries reports whether the readings carry a verdict about a straightedge of a length.
func (j *Judged) Carries(length float64) bool {
	return j.Settings.Carries(j.Apart, length) && !(j.Floor == nil && j.OnRuns.Few())
}

// TooSparse says why a straightedge of a length carries no verdict; empty if it does.
func (j *Judged) TooSparse(length float64) unit.Text {
	switch {
	case j.Carries(length):
		return unit.Text{}
	case j.Settings.Carries(j.Apart, length):
		return unit.Textf("not measured: %s", j.OnRuns)
	}
	return unit.Textf("not measured: %s", j.Sparse(j.Settings.Wanted(length)))
}

// LevelLack says what the shots lack for a verdict about the level of the whole floor;
// empty where they carry one.
func (j *Judged) LevelLack() unit.Text {
	if wanted := j.Settings.LevelWanted(j.Apart); wanted > 0 {
		return j.Sparse(wanted)
	}
	if j.Shots.Few() {
		return unit.Textf("%s", j.Shots)
	}
	return unit.Text{}
}

// Readings is what straightedges rest on.
func (j *Judged) Readings() string {
	if j.Floor == nil {
		return "readings"
	}
	return "shots"
}

// Sparse says that readings are too far apart, and what would do.
func (j *Judged) Sparse(wanted float64) unit.Text {
	return unit.Textf("%s %s apart, max %s needed", j.Readings(), unit.Distance(j.Apart), unit.Distance(wanted))
}
