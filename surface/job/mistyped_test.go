package job

import (
	"strings"
	"testing"
)

// Benchmarks of a job that the level book does not have are named, with the mark that one is
// most like; one that is like none is named alone.
func TestMistypedBenchmarkIsNamed(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		benchmarks string
		found      string
		meant      string
	}{
		{`BN1 = "10m"`, "no benchmark with a known elevation: no reading is on BN1, want the elevation of BM1", `"BM1" = "10m"`},
		{`BMM1 = "10.05m"`, "no reading is on BMM1, want", `"BM1" = "10.05m"`},
		{`TQ1 = "10.1m"`, "no reading is on TQ1, want", `"TP1" = "10.1m"`},
		{`CORNER = "10m"`, "no reading is on CORNER, want the elevation of BM1", ""},
		{`CORNER = "10m", BL1 = "9m"`, "no reading is on BL1 nor on CORNER, want", `"BM1" = "9m"`},
	} {
		text := hinted(refused(t, with(rodJob, "benchmarks = { "+c.benchmarks+" }\n"), book(9.96, 1.35)))
		if !strings.Contains(text, c.found) {
			t.Errorf("%s:\n%s\nwant %s", c.benchmarks, text, c.found)
		}
		if strings.Contains(text, "did you mean") != (c.meant != "") || !strings.Contains(text, c.meant) {
			t.Errorf("%s:\n%s\nwant the question for %q", c.benchmarks, text, c.meant)
		}
	}
}

// A benchmark that is not given needs no name: the refusal is as before.
func TestBookWithoutBenchmarkNamesNone(t *testing.T) {
	t.Parallel()
	text := hinted(refused(t, rodJob, book(9.96, 1.35)))
	if !strings.Contains(text, "found no benchmark with a known elevation, want the elevation of BM1") || strings.Contains(text, "did you mean") {
		t.Errorf("%s", text)
	}
}

// With a survey after the pour a benchmark may be one of that, at another elevation: it is
// named, and no other is offered in its place.
func TestBenchmarkOfTheOtherSurveyIsNotOffered(t *testing.T) {
	t.Parallel()
	files := book(9.96, 1.35)
	files["after.csv"] = rods(10, 11.35, "BM2,,,1.350\n", "BM2,,,1.350\n")["floor.csv"]
	text := hinted(refused(t, with(rodJob, "after = [\"after.csv\"]\nbenchmarks = { BM2 = \"10m\" }\n"), files))
	if !strings.Contains(text, "no reading is on BM2, want the elevation of BM1") || strings.Contains(text, "did you mean") {
		t.Errorf("%s", text)
	}
}
