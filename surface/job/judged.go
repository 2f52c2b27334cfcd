package job

import (
	"fmt"

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
	Apart    float64 // m between shots, or between readings of the runs; 0: none
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

// TooSparse says why a straightedge of a length carries no verdict; empty if it does.
func (j *Judged) TooSparse(length float64, style unit.Style) string {
	if j.Settings.Carries(j.Apart, length) {
		return ""
	}
	return "not measured: " + j.Sparse(j.Settings.Wanted(length), style)
}

// Readings is what straightedges rest on.
func (j *Judged) Readings() string {
	if j.Floor == nil {
		return "readings"
	}
	return "shots"
}

// Sparse says that readings are too far apart, and what would do.
func (j *Judged) Sparse(wanted float64, style unit.Style) string {
	return fmt.Sprintf("%s %s apart, max %s needed", j.Readings(), style.Length(j.Apart), style.Length(wanted))
}
