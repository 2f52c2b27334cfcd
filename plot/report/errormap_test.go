package report

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// waves is a room of 6 × 4 m with n × n shots on a floor with waves, filled.
func waves(t *testing.T, n int) *job.Filled {
	t.Helper()
	var shots bytes.Buffer
	fmt.Fprintln(&shots, "point,x (m),y (m),z (m)")
	for i := range n * n {
		x, y := 6*float64(i/n)/float64(n-1), 4*float64(i%n)/float64(n-1)
		fmt.Fprintf(&shots, "%d,%g,%g,%.5f\n", 100+i, x, y, 10+0.006*math.Sin(1.3*x+0.8*y)+0.004*math.Cos(2.1*y))
	}
	files := fstest.MapFS{"v.csv": {Data: shots.Bytes()}, "walls.csv": valley()["walls.csv"]}
	j := &job.Job{Survey: job.Survey{Files: []string{"v.csv"}, Outline: "walls.csv"}, Target: job.Target{Elevation: "10.03m"}}
	w, err := job.Fill(j, nil, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// The map has the ± that the model has at any place: at its corners the same, and between them, where
// it is straight, nearly so.
func TestErrorMapAgreesWithTheModel(t *testing.T) {
	t.Parallel()
	w := waves(t, 6)
	m := errorMap(w, unit.Style{})
	if m == nil {
		t.Fatal("no map")
	}
	tin := m.Floor.Regions[0].TIN
	var corners []surface.Vec
	for v := range int32(len(tin.X)) {
		corners = append(corners, tin.At(v))
	}
	for v, d := range w.Sure().Model.Depths(0, corners) {
		if math.Abs(-tin.Z[v]-d.Within) > 1e-12 {
			t.Fatalf("±%g m at %v, want %g", -tin.Z[v], corners[v], d.Within)
		}
	}
	at := tin.Locator()
	for _, d := range w.Sure().Model.Depths(0, []surface.Vec{{X: 0.71, Y: 0.52}, {X: 3.3, Y: 2.9}, {X: 5.2, Y: 1.1}}) {
		if z, _, ok := at.At(d.At); !ok || math.Abs(-z-d.Within) > 0.15*d.Within {
			t.Errorf("±%g m at %v, want %g", -z, d.At, d.Within)
		}
	}
	names := ""
	for _, p := range FillPictures(w, unit.Style{}) {
		names += p.name + " "
	}
	if names != "depth contours depth-error " {
		t.Errorf("pictures %q", names)
	}
	if !strings.HasPrefix(m.Note, "In the ±: readings, set-up and the floor between the shots") || !strings.HasPrefix(m.Summary, "± of the depth: mean ±") {
		t.Errorf("%q, %q", m.Summary, m.Note)
	}
}

// Where the ± is not known, or not everywhere, there is no map, and the record says why.
func TestNoErrorMap(t *testing.T) {
	t.Parallel()
	many := waves(t, 46)
	if got := noErrorMap(many.Sure(), many.Old); errorMap(many, unit.Style{}) != nil || got != "No map of the ± of the depth: with 2116 shots it is worked out on a part of the floor only." {
		t.Errorf("2116 shots: %q", got)
	}
	few, err := job.Fill(valleyJob(), nil, fstest.MapFS{"v.csv": {Data: []byte("point,x (m),y (m),z (m)\n1,0,0,-0.02\n2,6,0,-0.03\n3,3,4,-0.01\n")}, "walls.csv": valley()["walls.csv"]}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := noErrorMap(few.Sure(), few.Old); errorMap(few, unit.Style{}) != nil || got != "± of the depth not measured: 3 shots, min 4 needed." {
		t.Errorf("three shots: %q", got)
	}
}

// The record says what the shots lack, too: here they are few, and there most of the floor is beyond them.
func TestRecordSaysWhatIsLacking(t *testing.T) {
	t.Parallel()
	walls := rampFiles()["walls.csv"]
	for shots, want := range map[string]string{
		"1,0,0,-0.02\n2,6,0,-0.03\n3,3,4,-0.01\n":                                                    "± not measured: 3 shots, min 4 needed.",
		"1,0,0,-0.02\n2,1,0,-0.03\n3,0,0.5,-0.01\n4,1,0.5,-0.02\n5,0.5,0.2,-0.02\n6,0.7,0.4,-0.02\n": "of it is beyond the shots: shoot that floor too.",
	} {
		r := ranOn(t, ramp, fstest.MapFS{"floor.csv": {Data: []byte("point,x (m),y (m),z (m)\n" + shots)}, "walls.csv": walls})
		if got := strings.Join(r.h.sureSection().Text, "|"); !strings.HasPrefix(got, "± not measured: ") || !strings.HasSuffix(got, want) {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
