package job

import (
	"testing"

	"pourplane/survey/unit"
)

// A refusal shows an option as a line of the job file, with the unit of the job.
func TestWhatToTypeInAJob(t *testing.T) {
	for _, c := range []struct {
		ask  unit.Option
		want string
	}{
		{unit.Ask("target", "99.93ft"), `[target] elevation = "99.93ft"`},
		{unit.Ask("target", "10"), `[target] elevation = "10m"`},
		{unit.Ask("instrument-height", "11.500"), `[survey] instrument-height = "11.500m"`},
		{unit.Ask("units", "m"), `units = "m"`},
		{unit.Ask("grid-numbers", "north"), `[survey] grid-numbers = "north"`},
		{unit.Ask("outline", "FILE"), `[survey] outline = "FILE"`},
		{unit.AskQuoted("grid-origin", "BAY 2=10,0"), `[survey] grid-origins = { "BAY 2" = "10m,0" }`},
		{unit.Ask("grid-origin", "X,Y"), `[survey] grid-origins = { "" = "X,Y" }`},
		{unit.Ask("finish-code", "CODE"), `[target] finish-codes = ["CODE"]`},
		{unit.Ask("allowance", "5"), `[mix] allowance-percent = 5`},
		{unit.Ask("accept-misclosure", ""), "[survey] accept-misclosure = true"},
		{unit.Ask("before-sheet", "After"), `[survey] after-sheet = "After"`},
		{unit.Ask("allow", ""), "survey.allow"},
		{unit.LeaveOut("truck"), "leave plant.truck out"},
		{unit.Ask("duplicates", "mean"), `[survey] duplicates = "mean"`},
		{unit.Ask("step", "12in"), "--step 12in"}, // an option of a command only
	} {
		if got := lineIn(unit.Metre)(c.ask, unit.Option{}); got != c.want {
			t.Errorf("%s\n got %s\nwant %s", c.ask, got, c.want)
		}
	}
}
