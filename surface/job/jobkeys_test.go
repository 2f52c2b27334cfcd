package job

import (
	"testing"

	"pourplane/survey/unit"
)

// Hints for options become what is typed in a job.
func TestHintsInJobs(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"--target 99.93ft", `[target] elevation = "99.93ft"`},
		{"--instrument-height 11.500", `[survey] instrument-height = "11.500m"`},
		{"--units m, or cm, mm, ft, ftUS, in", `units = "m", or cm, mm, ft, ftUS, in`},
		{"--grid-numbers north or --grid-numbers south (or east, west, a bearing)", `[survey] grid-numbers = "north" or [survey] grid-numbers = "south" (or east, west, a bearing)`},
		{"--zeros measured uses them, --zeros missing does not", `[survey] zeros = "measured" uses them, [survey] zeros = "missing" does not`},
		{"Give --outline FILE.", `Give [survey] outline = "FILE".`},
		{`--grid-origin "BAY 2=10,0"`, `[survey] grid-origins = { "BAY 2" = "10m,0" }`},
		{"--finish-code CODE --buildup H", `[target] finish-codes = ["CODE"] [target] buildup = "H"`},
		{"--accept-misclosure goes on all the same", "[survey] accept-misclosure = true goes on all the same"},
		{"leave --truck out", "leave plant.truck out"},
		{"--duplicates mean, first or last", `[survey] duplicates = "mean", first or last`},
		{"--target Z, or --finish Z --buildup H", `[target] elevation = "Z", or [target] finish = "Z" [target] buildup = "H"`},
		{"--out DIR", "--out DIR"},
	} {
		if got := inKeysWithValues(c.text, unit.Metre); got != c.want {
			t.Errorf("%s\n got %s\nwant %s", c.text, got, c.want)
		}
	}
}
