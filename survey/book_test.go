package survey

import (
	"testing"

	"pourplane/survey/unit"
)

func TestBenchmarkOption(t *testing.T) {
	for _, c := range []struct {
		name string
		unit unit.Length
		want string
	}{{"BM1", unit.Foot, "--benchmark BM1=100ft"}, {"BM A", unit.SurveyFoot, `--benchmark "BM A=100ftUS"`}, {"BM", unit.Metre, "--benchmark BM=100m"},
		{"BM1", unit.Inch, "--benchmark BM1=100ft"}, {"BM1", unit.Millimetre, "--benchmark BM1=100m"}, {"BM1", unit.None, "--benchmark BM1=100m"}} {
		if got := BenchmarkOption(c.name, c.unit).String(); got != c.want {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
}
