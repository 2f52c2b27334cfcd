package report

import (
	"bytes"
	"strings"
	"testing"

	"pourplane/plot/sheet"
)

// A crew finds the benchmark by the words of the survey, and sees what else it remarks: drains
// beside the cautions, doors beside their thresholds.
func TestRemarksOfTheSurveyAreShown(t *testing.T) {
	h := hall(t)
	const screw = `brass screw in corridor floor at door A; assumed 100.00; west 0", south 5'-9"`
	if got := strings.Join(h.wall().Sections[0].Text, "\n"); !strings.Contains(got, "BM1, 100.000 ft: "+screw) {
		t.Errorf("wall:\n%s", got)
	}
	if got := strings.Join(h.targetSection().Text, "\n"); !strings.Contains(got, screw) {
		t.Errorf("record:\n%s", got)
	}
	if got := strings.Join(h.cautionSection().Cautions, "\n"); !strings.Contains(got, `In the survey at 213 (west 8'-0", north 6'-0"): old drain; plugged and filled over`) {
		t.Errorf("cautions:\n%s", got)
	}
	rows := h.remarkTable().Rows
	if len(rows) == 0 || rows[0][0].Text != "213" {
		t.Errorf("remarks: %v", rows)
	}
	// A benchmark or turning point is listed once: what is beside its later readings is about those.
	at := map[string]int{}
	for _, row := range rows {
		at[row[0].Text]++
	}
	if at["BM1"] != 1 || at["BM2"] != 1 || at["TP1"] != 1 {
		t.Errorf("listed %v times", at)
	}
	if notes := strings.Join(h.remarkTable().Notes, "\n"); !strings.Contains(notes, "on later readings of benchmarks and turning points, see survey.csv") {
		t.Errorf("notes %q", notes)
	}
	doors := h.targetSection().Tables[0]
	if n := len(doors.Columns) - 1; doors.Columns[n].Name != "In the survey" || !strings.Contains(doors.Rows[0][n].Text, "door A") {
		t.Errorf("thresholds: %v", doors)
	}
	var b bytes.Buffer
	if err := h.writePins(&b, sheet.Letter); err != nil {
		t.Fatal(err)
	}
}

// Both sheets say that the level sets the marks and the heights check them. By hand: the target
// is 0.84" below BM1, so marks set by 7/8" are 0.035" below it, and heights in eighths of an inch
// are 0 to 0.125" below it: 0.035" below to 0.09" above, in sixty-fourths outward.
func TestTheLevelSetsTheMarks(t *testing.T) {
	h := hall(t)
	if got := strings.Join(h.wall().Sections[0].Text, "\n"); !strings.Contains(got, `rod on BM1 + 7/8", from the same set-up (rounded: never above the target). Set the marks with the level. The heights are a check: a mark comes out 3/64" below to 3/32" above its height.`) || !strings.Contains(got, "never finish above") {
		t.Errorf("wall:\n%s", got)
	}
	metric := runText(t, ramp)
	if got := strings.Join(metric.h.wall().Sections[0].Text, "\n"); strings.Contains(got, "with the level") {
		t.Errorf("without a benchmark:\n%s", got)
	}
}
