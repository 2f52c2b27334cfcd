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
	}{{"BM1", unit.Foot, "--benchmark BM1=100ft"}, {"BM A", unit.SurveyFoot, `--benchmark "BM A=100ftUS"`}, {"BM", unit.Metre, "--benchmark BM=100m"}} {
		if got := BenchmarkOption(c.name, c.unit).String(); got != c.want {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
}
